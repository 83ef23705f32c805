//! `[[grille]]`: one printed part.

use std::ops::Range;

use toml::Spanned;

use crate::grille::{CrossingHoles, CutOut, Edge, Grille, GrilleError, Pattern, Zone};
use crate::study::fault::FaultKind;
use crate::study::file::{EdgeTable, GrilleTable, ZoneTable};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits;
use crate::study::pattern_table::PatternTables;
use crate::study::vent_table::FaceSize;

/// Words for what becomes of holes that cross an edge of their zone.
pub(super) const CROSSING_HOLES: [(&str, CrossingHoles); 2] =
    [("drop", CrossingHoles::Drop), ("clip", CrossingHoles::Clip)];

/// The part of the bore that is neither border nor centre disc; lengths in mm.
#[derive(Debug, Clone, Copy)]
struct Face {
    bore: f64,
    border: f64,
    disc: f64,
}

impl Face {
    /// Diameter inside the border, without the noise of the last digits.
    fn outer(self) -> f64 {
        ((self.bore - 2.0 * self.border) * 1e9).round() / 1e9
    }

    /// Radii between which it may carry a pattern, m.
    fn radii(self) -> [f64; 2] {
        let cut_out = CutOut::Bore {
            diameter: self.bore / 1000.0,
        };
        face_radii(cut_out, self.border / 1000.0, self.disc / 1000.0)
    }
}

/// Radii between which a face may carry a pattern, from the cut-out, the border's width and the disc's diameter, all m; of a vent those of its middle and corners.
pub(super) fn face_radii(cut_out: CutOut, border: f64, disc_diameter: f64) -> [f64; 2] {
    match cut_out {
        CutOut::Bore { diameter } => [0.5 * disc_diameter, 0.5 * diameter - border],
        CutOut::Vent { .. } => [0.0, cut_out.inside(border).reach()],
    }
}

/// Checks one grille. `None` only after a fault; `name` is `None` after one that is noted already.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    table: &Spanned<GrilleTable>,
    name: Option<String>,
    size: Option<FaceSize>,
    hub_diameter: f64,
) -> Option<Grille> {
    let faults_before = findings.count();
    let grille = table.get_ref();
    let header = Table::new("[[grille]]", table);
    let thickness_mm = findings.required_number(
        &header,
        "thickness_mm",
        &grille.thickness_mm,
        &limits::THICKNESS_MM,
    );
    let border_mm = findings.number_or("border_mm", &grille.border_mm, &limits::BORDER_MM, 2.0);
    let disc_mm = findings.number_or(
        "centre_disc_mm",
        &grille.centre_disc_mm,
        &limits::CENTRE_DISC_MM,
        0.0,
    );
    let crossing_holes = findings.word_or(
        "crossing_holes",
        &grille.crossing_holes,
        &CROSSING_HOLES,
        CrossingHoles::Drop,
    );
    let front_edge = resolve_edge(findings, "front_edge", grille.front_edge.as_ref());
    let back_edge = resolve_edge(findings, "back_edge", grille.back_edge.as_ref());
    let zones = if let Some(FaceSize::Vent(_)) = size {
        let border = border_mm.unwrap_or(0.0) / 1000.0;
        resolve_vent(findings, &header, grille, size?.cut_out(), border)
    } else {
        let bore_mm = size.and_then(|size| match size {
            FaceSize::Bore { diameter_mm } => Some(diameter_mm),
            FaceSize::Vent(_) => None,
        });
        let face = resolve_face(findings, &header, grille, bore_mm, border_mm, disc_mm);
        resolve_zones(findings, &header, grille, face)
    };
    let grille = Grille {
        name: name?,
        cut_out: size?.cut_out(),
        thickness: thickness_mm? / 1000.0,
        border: border_mm? / 1000.0,
        centre_disc_diameter: disc_mm? / 1000.0,
        crossing_holes: crossing_holes?,
        front_edge: front_edge?,
        back_edge: back_edge?,
        zones: zones?,
    };
    if findings.count() > faults_before {
        return None;
    }
    check_edges(findings, table, &grille);
    if findings.count() == faults_before {
        check_geometry(findings, table, &grille, hub_diameter);
    }
    Some(grille)
}

/// The one zone of a plate that covers a vent: a pattern of holes, of which nothing goes round a fan axis. `None` only after a fault.
fn resolve_vent(
    findings: &mut Findings<'_>,
    header: &Table,
    grille: &GrilleTable,
    cut_out: CutOut,
    border: f64,
) -> Option<Vec<Zone>> {
    let faults_before = findings.count();
    let is_set = |number: &&Spanned<f64>| number.get_ref().abs() > 0.0;
    let disc = grille.centre_disc_mm.as_ref().filter(is_set);
    let holes = grille.holes.as_ref().map(Spanned::get_ref);
    let lean = holes.and_then(|holes| holes.lean_deg.as_ref());
    let pattern_twist = holes.and_then(|holes| holes.pattern_twist_deg.as_ref());
    let around_an_axis = [
        ("centre_disc_mm", span_of(disc)),
        ("[grille.rings]", span_of(grille.rings.as_ref())),
        ("[grille.bars]", span_of(grille.bars.as_ref())),
        ("[[grille.zone]]", span_of(grille.zone.first())),
        ("lean_deg", span_of(lean.filter(is_set))),
        ("pattern_twist_deg", span_of(pattern_twist.filter(is_set))),
    ];
    for (key, span) in around_an_axis {
        if let Some(span) = span {
            findings.report(&span, FaultKind::NeedsBore { key });
        }
    }
    let patterns = PatternTables {
        holes: grille.holes.as_ref(),
        rings: None,
        bars: None,
    };
    if grille.holes.is_none() {
        if findings.count() == faults_before {
            findings.missing(
                header,
                "[grille.holes]",
                "give the shape, size and rib of the holes; a plate over a vent has one pattern of them",
            );
        }
        return None;
    }
    let pattern = patterns.resolve(findings)?;
    let [inner_radius, outer_radius] = face_radii(cut_out, border, 0.0);
    Some(vec![Zone {
        inner_radius,
        outer_radius,
        pattern,
    }])
}

/// Whatever only the drawn outlines can tell.
fn check_geometry(
    findings: &mut Findings<'_>,
    table: &Spanned<GrilleTable>,
    grille: &Grille,
    hub_diameter: f64,
) {
    let Err(errors) = grille.resolve(hub_diameter) else {
        return;
    };
    for error in errors {
        let span = drawing_span(table, &error);
        let grille = grille.name.clone();
        findings.report(&span, FaultKind::Drawing { grille, error });
    }
}

/// Where in the file the cause of a faulty drawing most likely stands.
fn drawing_span(table: &Spanned<GrilleTable>, error: &GrilleError) -> Range<usize> {
    let grille = table.get_ref();
    let zone = match error {
        GrilleError::TwistedHolesCollide { zone, .. }
        | GrilleError::LeanedHolesCollide { zone, .. }
        | GrilleError::NoHoleFits { zone, .. }
        | GrilleError::TooManyHoles { zone, .. }
        | GrilleError::RibsOverlap { zone, .. }
        | GrilleError::BarsOverlap { zone, .. }
        | GrilleError::EmptyZone { zone, .. } => *zone,
        GrilleError::NoHoleFitsVent { .. } => 1,
        GrilleError::BorderFillsVent { .. } => {
            return span_of(grille.border_mm.as_ref()).unwrap_or_else(|| table.span());
        }
        _ => return table.span(),
    };
    let zone = grille.zone.get(zone.wrapping_sub(1));
    let (holes, rings, bars) = match zone.map(Spanned::get_ref) {
        Some(zone) => (&zone.holes, &zone.rings, &zone.bars),
        None => (&grille.holes, &grille.rings, &grille.bars),
    };
    let pattern = span_of(holes.as_ref())
        .or_else(|| span_of(rings.as_ref()))
        .or_else(|| span_of(bars.as_ref()));
    let holes = holes.as_ref().map(Spanned::get_ref);
    let key = match error {
        GrilleError::TwistedHolesCollide { .. } => {
            holes.and_then(|holes| span_of(holes.twist_deg.as_ref()))
        }
        GrilleError::LeanedHolesCollide { .. } => {
            holes.and_then(|holes| span_of(holes.lean_deg.as_ref()))
        }
        _ => None,
    };
    key.or(pattern).unwrap_or_else(|| table.span())
}

fn resolve_edge(
    findings: &mut Findings<'_>,
    name: &'static str,
    table: Option<&Spanned<EdgeTable>>,
) -> Option<Edge> {
    let Some(table) = table else {
        return Some(Edge::Sharp);
    };
    let edge = table.get_ref();
    let is_sharp = edge.sharp.as_ref().filter(|sharp| *sharp.get_ref());
    let found = findings.exactly_one(
        &Table::new(name, table),
        &[
            ("sharp = true", span_of(is_sharp)),
            ("radius_mm", span_of(edge.radius_mm.as_ref())),
            ("chamfer_mm", span_of(edge.chamfer_mm.as_ref())),
        ],
    )?;
    let (size, kind): (_, fn(f64) -> Edge) = match found {
        "radius_mm" => (&edge.radius_mm, Edge::Rounded),
        "chamfer_mm" => (&edge.chamfer_mm, Edge::Chamfered),
        _ => return Some(Edge::Sharp),
    };
    let size = findings.number(found, size.as_ref()?, &limits::EDGE_MM)?;
    Some(if size > 0.0 {
        kind(size / 1000.0)
    } else {
        Edge::Sharp
    })
}

/// The face, if something is left of it. `None` only after a fault.
fn resolve_face(
    findings: &mut Findings<'_>,
    header: &Table,
    grille: &GrilleTable,
    bore_mm: Option<f64>,
    border_mm: Option<f64>,
    disc_mm: Option<f64>,
) -> Option<Face> {
    let (bore, border, disc) = (bore_mm?, border_mm?, disc_mm?);
    let face = Face { bore, border, disc };
    if face.outer() <= disc {
        let written = [&grille.border_mm, &grille.centre_disc_mm];
        let span = written
            .into_iter()
            .flatten()
            .map(Spanned::span)
            .max_by_key(|span| span.start);
        let span = span.unwrap_or_else(|| header.span.clone());
        findings.report(&span, FaultKind::NothingLeft { border, disc, bore });
        return None;
    }
    Some(face)
}

/// The zones from the inside out; a pattern without zones fills the face. `None` only after a fault.
fn resolve_zones(
    findings: &mut Findings<'_>,
    header: &Table,
    grille: &GrilleTable,
    face: Option<Face>,
) -> Option<Vec<Zone>> {
    let patterns = PatternTables {
        holes: grille.holes.as_ref(),
        rings: grille.rings.as_ref(),
        bars: grille.bars.as_ref(),
    };
    let [holes, rings, bars] = patterns.spans();
    let zone = ("zone", span_of(grille.zone.first()));
    let found = findings.exactly_one(header, &[holes, rings, bars, zone])?;
    if found == "zone" {
        return resolve_zone_list(findings, &grille.zone, face);
    }
    let pattern = patterns.resolve(findings);
    let [inner_radius, outer_radius] = face?.radii();
    Some(vec![Zone {
        inner_radius,
        outer_radius,
        pattern: pattern?,
    }])
}

/// Radius in m of a diameter in mm.
pub(super) fn radius(diameter_mm: f64) -> f64 {
    diameter_mm / 2000.0
}

fn resolve_zone_list(
    findings: &mut Findings<'_>,
    tables: &[Spanned<ZoneTable>],
    face: Option<Face>,
) -> Option<Vec<Zone>> {
    let mut zones = Vec::with_capacity(tables.len());
    let mut is_complete = true;
    let mut previous: Option<(f64, usize)> = None;
    for table in tables {
        let zone = table.get_ref();
        let header = Table::new("[[grille.zone]]", table);
        let inner = findings.required_number(
            &header,
            "inner_diameter_mm",
            &zone.inner_diameter_mm,
            &limits::ZONE_MM,
        );
        let outer = findings.required_number(
            &header,
            "outer_diameter_mm",
            &zone.outer_diameter_mm,
            &limits::ZONE_MM,
        );
        let patterns = PatternTables {
            holes: zone.holes.as_ref(),
            rings: zone.rings.as_ref(),
            bars: zone.bars.as_ref(),
        };
        findings.exactly_one(&header, &patterns.spans());
        let pattern = patterns.resolve(findings);
        if let (Some(inner), Some(outer)) = (inner, outer) {
            check_zone_bounds(findings, zone, [inner, outer], face, previous);
            previous = Some((outer, findings.line(&table.span())));
        }
        match (inner, outer, pattern) {
            (Some(inner), Some(outer), Some(pattern)) => zones.push(Zone {
                inner_radius: radius(inner),
                outer_radius: radius(outer),
                pattern,
            }),
            _ => is_complete = false,
        }
    }
    is_complete.then_some(zones)
}

/// A zone is a ring, lies in the open face and outside the zone before it.
fn check_zone_bounds(
    findings: &mut Findings<'_>,
    zone: &ZoneTable,
    [inner, outer]: [f64; 2],
    face: Option<Face>,
    previous: Option<(f64, usize)>,
) {
    let (Some(inner_written), Some(outer_written)) =
        (&zone.inner_diameter_mm, &zone.outer_diameter_mm)
    else {
        return;
    };
    if outer <= inner {
        findings.report(
            &outer_written.span(),
            FaultKind::ZoneInsideOut { inner, outer },
        );
    }
    if let Some(face) = face {
        let ends = [
            ("inner_diameter_mm", inner, inner_written.span()),
            ("outer_diameter_mm", outer, outer_written.span()),
        ];
        for (key, value, span) in ends {
            if value < face.disc || value > face.outer() {
                let kind = FaultKind::ZoneOutsideFace {
                    key,
                    value,
                    low: face.disc,
                    high: face.outer(),
                };
                findings.report(&span, kind);
            }
        }
    }
    if let Some((other_outer, other_line)) = previous
        && inner < other_outer
    {
        let kind = FaultKind::ZonesOverlap {
            inner,
            other_outer,
            other_line,
        };
        findings.report(&inner_written.span(), kind);
    }
}

/// Depth that an edge takes, m.
fn edge_depth(edge: Edge) -> f64 {
    match edge {
        Edge::Sharp => 0.0,
        Edge::Rounded(size) | Edge::Chamfered(size) => size,
    }
}

/// Rounded and chamfered edges neither meet inside the plate nor on the ribs.
fn check_edges(findings: &mut Findings<'_>, table: &Spanned<GrilleTable>, grille: &Grille) {
    let (front, back) = (edge_depth(grille.front_edge), edge_depth(grille.back_edge));
    let written = table.get_ref();
    let sides = [
        ("front_edge", front, span_of(written.front_edge.as_ref())),
        ("back_edge", back, span_of(written.back_edge.as_ref())),
    ];
    if front + back > grille.thickness
        && let Some(span) = sides.iter().find_map(|(_, _, span)| span.clone())
    {
        let kind = FaultKind::EdgesTooDeep {
            grille: grille.name.clone(),
            edges: millimetres(front + back),
            thickness: millimetres(grille.thickness),
        };
        findings.report(&span, kind);
    }
    let rib = grille.zones.iter().map(|zone| match &zone.pattern {
        Pattern::Holes(holes) => holes.rib,
        Pattern::Rings(rings) => rings.rib,
        Pattern::Bars(bars) => bars.bar_width,
    });
    let rib = rib.fold(f64::INFINITY, f64::min);
    for (key, edge, span) in sides {
        if let Some(span) = span
            && 2.0 * edge > rib
        {
            let kind = FaultKind::EdgeTooWide {
                grille: grille.name.clone(),
                key,
                edge: millimetres(edge),
                rib: millimetres(rib),
            };
            findings.report(&span, kind);
        }
    }
}

/// mm of a length in m, without the last digits' noise.
fn millimetres(metres: f64) -> f64 {
    (metres * 1e9).round() / 1e6
}
