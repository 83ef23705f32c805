//! `[[grille.zone]]`: rings of a face, each with its own pattern.

use crate::grille::Zone;
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::pattern_table::{self, BARS_OF_IT, HOLES_OF_IT, PATTERNS, RINGS_OF_IT};
use crate::study::table::Table;
use crate::study::write::ResolvedCopy;

const INNER: Key = zone_end("inner_diameter_mm");
const OUTER: Key = zone_end("outer_diameter_mm");

/// `[[grille.zone]]`
pub(super) const ZONE: Keys = Keys::new(
    "[[grille.zone]]",
    &[&INNER, &OUTER, &HOLES_OF_IT, &RINGS_OF_IT, &BARS_OF_IT],
);

const fn zone_end(name: &'static str) -> Key {
    Key::number(name, Unit::DIAMETER_MM, 0.0, 1000.0)
        .hint("give the diameter at which the zone starts or ends, in mm")
}

/// The part of the bore that is neither border nor centre disc; lengths in mm.
#[derive(Debug, Clone, Copy)]
pub(super) struct Face {
    pub(super) bore: f64,
    pub(super) border: f64,
    pub(super) disc: f64,
}

impl Face {
    /// Diameter inside the border, without the noise of the last digits.
    pub(super) fn outer(self) -> f64 {
        ((self.bore - 2.0 * self.border) * 1e9).round() / 1e9
    }
}

/// Checks the zones from the inside out. `None` only after a fault; the face is `None` after one that is noted already.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    tables: &[Table<'_>],
    face: Option<Face>,
) -> Option<Vec<Zone>> {
    let mut zones = Vec::with_capacity(tables.len());
    let mut is_complete = true;
    let mut previous: Option<(f64, usize)> = None;
    for table in tables {
        let inner = table.number(diagnostics, &INNER);
        let outer = table.number(diagnostics, &OUTER);
        table.exactly_one(diagnostics, &PATTERNS);
        let pattern = pattern_table::resolve(diagnostics, table);
        if let (Some(inner), Some(outer)) = (inner, outer) {
            check_zone_bounds(
                diagnostics,
                table,
                [inner.written, outer.written],
                face,
                previous,
            );
            previous = Some((outer.written, diagnostics.line(&table.span)));
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
    diagnostics: &mut Diagnostics<'_>,
    zone: &Table<'_>,
    [inner, outer]: [f64; 2],
    face: Option<Face>,
    previous: Option<(f64, usize)>,
) {
    let (Some(inner_span), Some(outer_span)) = (zone.span_of(&INNER), zone.span_of(&OUTER)) else {
        return;
    };
    if outer <= inner {
        diagnostics.report(&outer_span, FaultKind::ZoneInsideOut { inner, outer });
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
                diagnostics.report(span, kind);
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
        diagnostics.report(&inner_span, kind);
    }
}

/// Writes `[[grille.zone]]`.
pub(super) fn write(copy: &mut ResolvedCopy, zone: &Zone) {
    copy.table(ZONE.header);
    copy.number(&INNER, zone.inner_radius);
    copy.number(&OUTER, zone.outer_radius);
    pattern_table::write(copy, "grille.zone", &zone.pattern);
}
