//! `[[grille]]`: one printed part.

use std::ops::Range;

use crate::grille::{CrossingHoles, CutOut, Edge, Grille, GrilleError, Pattern, Zone};
use crate::study::fault::FaultKind;
use crate::study::findings::Findings;
use crate::study::holes_table;
use crate::study::key::{Key, Keys, Unit};
use crate::study::pattern_table::{self, BARS_OF_IT, HOLES_OF_IT, PATTERNS, RINGS_OF_IT};
use crate::study::table::{NAME, Table};
use crate::study::turn_table::{LEAN, PATTERN_TWIST, TWIST};
use crate::study::vent_table::FaceSize;
use crate::study::write::{ResolvedCopy, inline};

pub(super) const THICKNESS: Key = Key::mm("thickness_mm", 0.2, 100.0)
    .hint("give the thickness of the plate in mm, such as thickness_mm = 4")
    .varies("thickness");
pub(super) const BORDER: Key = Key::mm("border_mm", 0.0, 500.0)
    .or(2.0)
    .hint("give the width of the solid ring at the bore's edge in mm; 0 if there is none")
    .varies("border");
pub(super) const CENTRE_DISC: Key = Key::mm("centre_disc_mm", 0.0, 1000.0)
    .or(0.0)
    .hint("give the diameter of the solid disc in mm; 0 if there is none")
    .varies("centre disc");
pub(super) const CROSSING: Key = Key::text("crossing_holes").varies("crossing holes");
pub(super) const FRONT_EDGE: Key = Key::table("front_edge", &EDGE).varies("front edge");
pub(super) const BACK_EDGE: Key = Key::table("back_edge", &EDGE).varies("back edge");
const ZONES: Key = Key::tables("zone", &ZONE);

/// `[[grille]]`
pub(super) const GRILLE: Keys = Keys::new(
    "[[grille]]",
    &[
        &NAME,
        &THICKNESS,
        &BORDER,
        &CENTRE_DISC,
        &CROSSING,
        &FRONT_EDGE,
        &BACK_EDGE,
        &HOLES_OF_IT,
        &RINGS_OF_IT,
        &BARS_OF_IT,
        &ZONES,
    ],
);

const SHARP: Key = Key::flag("sharp");
pub(super) const RADIUS: Key = edge_size("radius_mm");
pub(super) const CHAMFER: Key = edge_size("chamfer_mm");

/// `front_edge = { radius_mm = 0.5 }`
const EDGE: Keys = Keys::new("front_edge", &[&SHARP, &RADIUS, &CHAMFER]);

const fn edge_size(name: &'static str) -> Key {
    Key::mm(name, 0.0, 20.0)
        .hint("give the radius or the depth of the edge in mm, or write { sharp = true }")
}

pub(super) const INNER: Key = zone_end("inner_diameter_mm");
pub(super) const OUTER: Key = zone_end("outer_diameter_mm");

/// `[[grille.zone]]`
const ZONE: Keys = Keys::new(
    "[[grille.zone]]",
    &[&INNER, &OUTER, &HOLES_OF_IT, &RINGS_OF_IT, &BARS_OF_IT],
);

const fn zone_end(name: &'static str) -> Key {
    Key::number(name, Unit::DIAMETER_MM, 0.0, 1000.0)
        .hint("give the diameter at which the zone starts or ends, in mm")
}

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
fn face_radii(cut_out: CutOut, border: f64, disc_diameter: f64) -> [f64; 2] {
    match cut_out {
        CutOut::Bore { diameter } => [0.5 * disc_diameter, 0.5 * diameter - border],
        CutOut::Vent { .. } => [0.0, cut_out.inside(border).reach()],
    }
}

/// Checks one grille. `None` only after a fault; `name` is `None` after one that is noted already.
pub(super) fn resolve(
    findings: &mut Findings<'_>,
    table: &Table<'_>,
    name: Option<String>,
    size: Option<FaceSize>,
    hub_diameter: f64,
) -> Option<Grille> {
    let faults_before = findings.count();
    let thickness = table.number(findings, &THICKNESS);
    let border = table.number(findings, &BORDER);
    let disc = table.number(findings, &CENTRE_DISC);
    let crossing_holes = table.word_or(findings, &CROSSING, &CROSSING_HOLES, CrossingHoles::Drop);
    let front_edge = resolve_edge(findings, table, &FRONT_EDGE);
    let back_edge = resolve_edge(findings, table, &BACK_EDGE);
    let zones = if let Some(FaceSize::Vent(_)) = size {
        let border = border.map_or(0.0, |border| border.si);
        resolve_vent(findings, table, size?.cut_out(), border)
    } else {
        let bore_mm = size.and_then(|size| match size {
            FaceSize::Bore { diameter_mm } => Some(diameter_mm),
            FaceSize::Vent(_) => None,
        });
        let [border_mm, disc_mm] = [border, disc].map(|length| Some(length?.written));
        let face = resolve_face(findings, table, bore_mm, border_mm, disc_mm);
        resolve_zones(findings, table, face)
    };
    let grille = Grille {
        name: name?,
        cut_out: size?.cut_out(),
        thickness: thickness?.si,
        border: border?.si,
        centre_disc_diameter: disc?.si,
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
    table: &Table<'_>,
    cut_out: CutOut,
    border: f64,
) -> Option<Vec<Zone>> {
    let faults_before = findings.count();
    let holes = table.table(&HOLES_OF_IT);
    let set = |table: Option<&Table<'_>>, key: &Key| {
        let table = table?;
        let is_set = table
            .sound_number(key)
            .is_some_and(|number| number.abs() > 0.0);
        is_set.then(|| table.span_of(key))?
    };
    let around_an_axis = [
        (CENTRE_DISC.name, set(Some(table), &CENTRE_DISC)),
        ("[grille.rings]", table.span_of(&RINGS_OF_IT)),
        ("[grille.bars]", table.span_of(&BARS_OF_IT)),
        (
            "[[grille.zone]]",
            table.tables(&ZONES).first().map(|zone| zone.span.clone()),
        ),
        (LEAN.name, set(holes.as_ref(), &LEAN)),
        (PATTERN_TWIST.name, set(holes.as_ref(), &PATTERN_TWIST)),
    ];
    for (key, span) in around_an_axis {
        if let Some(span) = span {
            findings.report(&span, FaultKind::NeedsBore { key });
        }
    }
    let Some(holes) = holes else {
        if findings.count() == faults_before && !table.has(&HOLES_OF_IT) {
            table.missing(findings, &HOLES_OF_IT);
        }
        return None;
    };
    let pattern = holes_table::resolve(findings, &holes).map(Pattern::Holes)?;
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
    table: &Table<'_>,
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
fn drawing_span(table: &Table<'_>, error: &GrilleError) -> Range<usize> {
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
            return table.span_of(&BORDER).unwrap_or(table.span.clone());
        }
        _ => return table.span.clone(),
    };
    let zones = table.tables(&ZONES);
    let carrier = zones.get(zone.wrapping_sub(1)).unwrap_or(table);
    let pattern = PATTERNS.iter().find_map(|key| carrier.span_of(key));
    let turn = match error {
        GrilleError::TwistedHolesCollide { .. } => Some(&TWIST),
        GrilleError::LeanedHolesCollide { .. } => Some(&LEAN),
        _ => None,
    };
    let turn = turn.and_then(|key| carrier.table(&HOLES_OF_IT)?.span_of(key));
    turn.or(pattern).unwrap_or(table.span.clone())
}

fn resolve_edge(findings: &mut Findings<'_>, grille: &Table<'_>, key: &Key) -> Option<Edge> {
    if !grille.has(key) {
        return Some(Edge::Sharp);
    }
    let edge = grille.table(key)?.called(key.name);
    let is_sharp = edge.flag(&SHARP).filter(|is_sharp| *is_sharp);
    let found = edge.exactly_one_of(
        findings,
        &[
            ("sharp = true", is_sharp.and_then(|_| edge.span_of(&SHARP))),
            (RADIUS.name, edge.span_of(&RADIUS)),
            (CHAMFER.name, edge.span_of(&CHAMFER)),
        ],
    )?;
    let (key, kind): (_, fn(f64) -> Edge) = if found == RADIUS.name {
        (&RADIUS, Edge::Rounded)
    } else if found == CHAMFER.name {
        (&CHAMFER, Edge::Chamfered)
    } else {
        return Some(Edge::Sharp);
    };
    let size = edge.number(findings, key)?.si;
    Some(if size > 0.0 { kind(size) } else { Edge::Sharp })
}

/// The face, if something is left of it. `None` only after a fault.
fn resolve_face(
    findings: &mut Findings<'_>,
    grille: &Table<'_>,
    bore_mm: Option<f64>,
    border_mm: Option<f64>,
    disc_mm: Option<f64>,
) -> Option<Face> {
    let (bore, border, disc) = (bore_mm?, border_mm?, disc_mm?);
    let face = Face { bore, border, disc };
    if face.outer() <= disc {
        let written = [&BORDER, &CENTRE_DISC].map(|key| grille.span_of(key));
        let last = written.into_iter().flatten().max_by_key(|span| span.start);
        let span = last.unwrap_or(grille.span.clone());
        findings.report(&span, FaultKind::NothingLeft { border, disc, bore });
        return None;
    }
    Some(face)
}

/// The zones from the inside out; a pattern without zones fills the face. `None` only after a fault.
fn resolve_zones(
    findings: &mut Findings<'_>,
    grille: &Table<'_>,
    face: Option<Face>,
) -> Option<Vec<Zone>> {
    let zones = grille.tables(&ZONES);
    let first_zone = zones.first().map(|zone| zone.span.clone());
    let [holes, rings, bars] = PATTERNS.map(|key| (key.name, grille.span_of(key)));
    let parts = [holes, rings, bars, (ZONES.name, first_zone)];
    if grille.exactly_one_of(findings, &parts)? == ZONES.name {
        return resolve_zone_list(findings, &zones, face);
    }
    let pattern = pattern_table::resolve(findings, grille);
    let [inner_radius, outer_radius] = face?.radii();
    Some(vec![Zone {
        inner_radius,
        outer_radius,
        pattern: pattern?,
    }])
}

fn resolve_zone_list(
    findings: &mut Findings<'_>,
    tables: &[Table<'_>],
    face: Option<Face>,
) -> Option<Vec<Zone>> {
    let mut zones = Vec::with_capacity(tables.len());
    let mut is_complete = true;
    let mut previous: Option<(f64, usize)> = None;
    for table in tables {
        let inner = table.number(findings, &INNER);
        let outer = table.number(findings, &OUTER);
        table.exactly_one(findings, &PATTERNS);
        let pattern = pattern_table::resolve(findings, table);
        if let (Some(inner), Some(outer)) = (inner, outer) {
            check_zone_bounds(
                findings,
                table,
                [inner.written, outer.written],
                face,
                previous,
            );
            previous = Some((outer.written, findings.line(&table.span)));
        }
        match (inner, outer, pattern) {
            (Some(inner), Some(outer), Some(pattern)) => zones.push(Zone {
                inner_radius: inner.si,
                outer_radius: outer.si,
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
    zone: &Table<'_>,
    [inner, outer]: [f64; 2],
    face: Option<Face>,
    previous: Option<(f64, usize)>,
) {
    let (Some(inner_span), Some(outer_span)) = (zone.span_of(&INNER), zone.span_of(&OUTER)) else {
        return;
    };
    if outer <= inner {
        findings.report(&outer_span, FaultKind::ZoneInsideOut { inner, outer });
    }
    if let Some(face) = face {
        for (key, value, span) in [(&INNER, inner, &inner_span), (&OUTER, outer, &outer_span)] {
            if value < face.disc || value > face.outer() {
                let kind = FaultKind::ZoneOutsideFace {
                    key: key.name,
                    value,
                    low: face.disc,
                    high: face.outer(),
                };
                findings.report(span, kind);
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
        findings.report(&inner_span, kind);
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
fn check_edges(findings: &mut Findings<'_>, table: &Table<'_>, grille: &Grille) {
    let (front, back) = (edge_depth(grille.front_edge), edge_depth(grille.back_edge));
    let sides = [(&FRONT_EDGE, front), (&BACK_EDGE, back)]
        .map(|(key, depth)| (key.name, depth, table.span_of(key)));
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

/// Writes `[[grille]]`.
pub(super) fn write(copy: &mut ResolvedCopy, grille: &Grille) {
    copy.table(GRILLE.header);
    copy.text(&NAME, &grille.name);
    copy.number(&THICKNESS, grille.thickness);
    copy.number(&BORDER, grille.border);
    copy.number(&CENTRE_DISC, grille.centre_disc_diameter);
    copy.word(&CROSSING, &CROSSING_HOLES, &grille.crossing_holes);
    write_edge(copy, &FRONT_EDGE, grille.front_edge);
    write_edge(copy, &BACK_EDGE, grille.back_edge);
    if let [zone] = grille.zones.as_slice()
        && fills_the_face(grille, zone)
    {
        return pattern_table::write(copy, "grille", &zone.pattern);
    }
    for zone in &grille.zones {
        copy.table(ZONE.header);
        copy.number(&INNER, zone.inner_radius);
        copy.number(&OUTER, zone.outer_radius);
        pattern_table::write(copy, "grille.zone", &zone.pattern);
    }
}

fn write_edge(copy: &mut ResolvedCopy, key: &Key, edge: Edge) {
    match edge {
        Edge::Sharp => copy.value(key, format!("{{ {} = true }}", SHARP.name)),
        Edge::Rounded(size) => copy.value(key, inline(&[(&RADIUS, size)])),
        Edge::Chamfered(size) => copy.value(key, inline(&[(&CHAMFER, size)])),
    }
}

/// Whether the zone is the one that a grille without zones has, as [`resolve_zones`] computes it.
#[expect(
    clippy::float_cmp,
    reason = "the copy must give back the same bits, so only the same bits will do"
)]
fn fills_the_face(grille: &Grille, zone: &Zone) -> bool {
    let radii = face_radii(grille.cut_out, grille.border, grille.centre_disc_diameter);
    radii == [zone.inner_radius, zone.outer_radius]
}
