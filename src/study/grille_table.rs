//! `[[grille]]`: one printed part.

use std::ops::Range;

use crate::grille::{CrossingHoles, CutOut, Grille, GrilleError, GrilleGeometry, Pattern, Zone};
use crate::study::diagnostics::Diagnostics;
use crate::study::edge_table::{self, BACK_EDGE, FRONT_EDGE};
use crate::study::fault::FaultKind;
use crate::study::holes_table;
use crate::study::key::{Key, Keys};
use crate::study::pattern_table::{self, BARS_OF_IT, HOLES_OF_IT, PATTERNS, RINGS_OF_IT};
use crate::study::table::{NAME, Table};
use crate::study::turn_table::{LEAN, PATTERN_TWIST, TWIST};
use crate::study::vent_table::FaceSize;
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;
use crate::study::zone_table::{self, Face, ZONE};

pub(super) const THICKNESS: Key = Key::mm("thickness_mm", 0.2, 100.0)
    .hint("give the thickness of the plate in mm, such as thickness_mm = 4")
    .varies("thickness");
const BORDER: Key = Key::mm("border_mm", 0.0, 500.0)
    .or(2.0)
    .hint("give the width of the solid ring at the bore's edge in mm; 0 if there is none")
    .varies("border");
const CENTRE_DISC: Key = Key::mm("centre_disc_mm", 0.0, 1000.0)
    .or(0.0)
    .hint("give the diameter of the solid disc in mm; 0 if there is none")
    .varies("centre disc");
const CROSSING: WordKey<CrossingHoles> = Key::text("crossing_holes")
    .varies("crossing holes")
    .means(&[("drop", CrossingHoles::Drop), ("clip", CrossingHoles::Clip)])
    .or(CrossingHoles::Drop);
const ZONES: Key = Key::tables("zone", &ZONE);

/// `[[grille]]`
pub(super) const GRILLE: Keys = Keys::new(
    "[[grille]]",
    &[
        &NAME,
        &THICKNESS,
        &BORDER,
        &CENTRE_DISC,
        &CROSSING.key,
        &FRONT_EDGE,
        &BACK_EDGE,
        &HOLES_OF_IT,
        &RINGS_OF_IT,
        &BARS_OF_IT,
        &ZONES,
    ],
);

/// Radii between which a face may carry a pattern, from the cut-out, the border's width and the disc's diameter, all m; of a vent those of its middle and corners.
fn face_radii(cut_out: CutOut, border: f64, disc_diameter: f64) -> [f64; 2] {
    match cut_out {
        CutOut::Bore { diameter } => [0.5 * disc_diameter, 0.5 * diameter - border],
        CutOut::Vent { .. } => [0.0, cut_out.inside(border).reach()],
    }
}

/// A grille with what follows from its drawing, which is `None` only after a fault.
pub(super) struct DrawnGrille {
    pub(super) grille: Grille,
    pub(super) geometry: Option<GrilleGeometry>,
}

/// Checks one grille. `None` only after a fault; `name` is `None` after one that is noted already.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
    name: Option<String>,
    size: Option<FaceSize>,
    hub_diameter: f64,
) -> Option<DrawnGrille> {
    let faults_before = diagnostics.count();
    let thickness = table.number(diagnostics, &THICKNESS);
    let border = table.number(diagnostics, &BORDER);
    let disc = table.number(diagnostics, &CENTRE_DISC);
    let crossing_holes = table.word(diagnostics, &CROSSING);
    let front_edge = edge_table::resolve(diagnostics, table, &FRONT_EDGE);
    let back_edge = edge_table::resolve(diagnostics, table, &BACK_EDGE);
    let zones = if let Some(FaceSize::Vent(_)) = size {
        let border = border.map_or(0.0, |border| border.si);
        resolve_vent(diagnostics, table, size?.cut_out(), border)
    } else {
        let bore_mm = size.and_then(|size| match size {
            FaceSize::Bore { diameter_mm } => Some(diameter_mm),
            FaceSize::Vent(_) => None,
        });
        let [border_mm, disc_mm] = [border, disc].map(|length| Some(length?.written));
        let face = resolve_face(diagnostics, table, bore_mm, border_mm, disc_mm);
        resolve_zones(diagnostics, table, face)
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
    if diagnostics.count() > faults_before {
        return None;
    }
    edge_table::check(diagnostics, table, &grille);
    let geometry = (diagnostics.count() == faults_before)
        .then(|| geometry(diagnostics, table, &grille, hub_diameter))
        .flatten();
    Some(DrawnGrille { grille, geometry })
}

/// The one zone of a plate that covers a vent: a pattern of holes, of which nothing goes round a fan axis. `None` only after a fault.
fn resolve_vent(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
    cut_out: CutOut,
    border: f64,
) -> Option<Vec<Zone>> {
    let faults_before = diagnostics.count();
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
            diagnostics.report(&span, FaultKind::NeedsBore { key });
        }
    }
    let Some(holes) = holes else {
        if diagnostics.count() == faults_before && !table.has(&HOLES_OF_IT) {
            table.missing(diagnostics, &HOLES_OF_IT);
        }
        return None;
    };
    let pattern = holes_table::resolve(diagnostics, &holes).map(Pattern::Holes)?;
    let [inner_radius, outer_radius] = face_radii(cut_out, border, 0.0);
    Some(vec![Zone {
        inner_radius,
        outer_radius,
        pattern,
    }])
}

/// What follows from the drawn outlines. `None` only after a fault.
fn geometry(
    diagnostics: &mut Diagnostics<'_>,
    table: &Table<'_>,
    grille: &Grille,
    hub_diameter: f64,
) -> Option<GrilleGeometry> {
    let errors = match grille.resolve(hub_diameter) {
        Ok(geometry) => return Some(geometry),
        Err(errors) => errors,
    };
    for error in errors {
        let span = drawing_span(table, &error);
        let grille = grille.name.clone();
        diagnostics.report(&span, FaultKind::Drawing { grille, error });
    }
    None
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

/// The face, if something is left of it. `None` only after a fault.
fn resolve_face(
    diagnostics: &mut Diagnostics<'_>,
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
        diagnostics.report(&span, FaultKind::NothingLeft { border, disc, bore });
        return None;
    }
    Some(face)
}

/// The zones from the inside out; a pattern without zones fills the face. `None` only after a fault.
fn resolve_zones(
    diagnostics: &mut Diagnostics<'_>,
    grille: &Table<'_>,
    face: Option<Face>,
) -> Option<Vec<Zone>> {
    let zones = grille.tables(&ZONES);
    let first_zone = zones.first().map(|zone| zone.span.clone());
    let [holes, rings, bars] = PATTERNS.map(|key| (key.name, grille.span_of(key)));
    let parts = [holes, rings, bars, (ZONES.name, first_zone)];
    if grille.exactly_one_of(diagnostics, &parts)? == ZONES.name {
        return zone_table::resolve(diagnostics, &zones, face);
    }
    let pattern = pattern_table::resolve(diagnostics, grille);
    let face = face?;
    let cut_out = CutOut::Bore {
        diameter: face.bore / 1000.0,
    };
    let [inner_radius, outer_radius] =
        face_radii(cut_out, face.border / 1000.0, face.disc / 1000.0);
    Some(vec![Zone {
        inner_radius,
        outer_radius,
        pattern: pattern?,
    }])
}

/// Writes `[[grille]]`.
pub(super) fn write(copy: &mut ResolvedCopy, grille: &Grille) {
    copy.table(GRILLE.header);
    copy.text(&NAME, &grille.name);
    copy.number(&THICKNESS, grille.thickness);
    copy.number(&BORDER, grille.border);
    copy.number(&CENTRE_DISC, grille.centre_disc_diameter);
    copy.word(&CROSSING, &grille.crossing_holes);
    edge_table::write(copy, &FRONT_EDGE, grille.front_edge);
    edge_table::write(copy, &BACK_EDGE, grille.back_edge);
    if let [zone] = grille.zones.as_slice()
        && fills_the_face(grille, zone)
    {
        return pattern_table::write(copy, "grille", &zone.pattern);
    }
    for zone in &grille.zones {
        zone_table::write(copy, zone);
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
