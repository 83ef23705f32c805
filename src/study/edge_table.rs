//! `front_edge` and `back_edge`: what the holes look like where they meet the faces.

use crate::grille::{Edge, Grille, Pattern};
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys};
use crate::study::table::Table;
use crate::study::write::{ResolvedCopy, inline};

pub(super) const FRONT_EDGE: Key = Key::table("front_edge", &EDGE).varies("front edge");
pub(super) const BACK_EDGE: Key = Key::table("back_edge", &EDGE).varies("back edge");

const SHARP: Key = Key::flag("sharp");
pub(super) const RADIUS: Key = edge_size("radius_mm");
pub(super) const CHAMFER: Key = edge_size("chamfer_mm");

/// `front_edge = { radius_mm = 0.5 }`
const EDGE: Keys = Keys::new("front_edge", &[&SHARP, &RADIUS, &CHAMFER]);

const fn edge_size(name: &'static str) -> Key {
    Key::mm(name, 0.0, 20.0)
        .hint("give the radius or the depth of the edge in mm, or write { sharp = true }")
}

/// Checks one of the two. `None` only after a fault.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    grille: &Table<'_>,
    key: &Key,
) -> Option<Edge> {
    if !grille.has(key) {
        return Some(Edge::Sharp);
    }
    let edge = grille.table(key)?.called(key.name);
    let is_sharp = edge.flag(&SHARP).filter(|is_sharp| *is_sharp);
    let found = edge.exactly_one_of(
        diagnostics,
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
    let size = edge.number(diagnostics, key)?.si;
    Some(if size > 0.0 { kind(size) } else { Edge::Sharp })
}

/// Depth that an edge takes, m.
fn edge_depth(edge: Edge) -> f64 {
    match edge {
        Edge::Sharp => 0.0,
        Edge::Rounded(size) | Edge::Chamfered(size) => size,
    }
}

/// Rounded and chamfered edges neither meet inside the plate nor on the ribs.
pub(super) fn check(diagnostics: &mut Diagnostics<'_>, table: &Table<'_>, grille: &Grille) {
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
        diagnostics.report(&span, kind);
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
            diagnostics.report(&span, kind);
        }
    }
}

/// mm of a length in m, without the last digits' noise.
fn millimetres(metres: f64) -> f64 {
    (metres * 1e9).round() / 1e6
}

/// Writes one of the two.
pub(super) fn write(copy: &mut ResolvedCopy, key: &Key, edge: Edge) {
    match edge {
        Edge::Sharp => copy.value(key, format!("{{ {} = true }}", SHARP.name)),
        Edge::Rounded(size) => copy.value(key, inline(&[(&RADIUS, size)])),
        Edge::Chamfered(size) => copy.value(key, inline(&[(&CHAMFER, size)])),
    }
}
