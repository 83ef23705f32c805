//! The picture of a grille whose passages are resolved in the fan view: the real ribs of ring grilles, and rings that stand in for holes.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths become counts of cells"
)]

use crate::grille::{FlowKind, Grille, OpeningShape, ZoneFlow};
use crate::run::views::fan::Passages;
use crate::tunnel::{FaceGrille, FaceZone};

/// Fewest cells across a slot and across a rib.
const FEWEST_CELLS: (f64, f64) = (3.0, 2.0);

/// Most cells per bore radius: with more of them a picture takes longer than a repeat.
pub(super) const MOST_CELLS: usize = 96;

/// Fewest of them.
const LEAST_CELLS: usize = 40;

/// A zone with resolved passages: slots from radius to radius, m.
struct RingZone {
    inner: f64,
    outer: f64,
    slots: Vec<[f64; 2]>,
}

/// A grille with resolved passages.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ResolvedRings {
    pub(in crate::run) grille: FaceGrille,
    pub(super) passages: Passages,
    /// Cells per bore radius that they ask for.
    pub(in crate::run) cells: usize,
}

/// Walls between slots instead of the zones of `coarse`, a grille in a bore of this radius (m); `None` where bars or long slots cannot be drawn as rings, or nothing would be resolved.
///
/// Rings for holes are slots of half the hydraulic diameter, wider where even the finest grid would not resolve that, with the open area of the holes as placed.
/// What holes do to the swirl, rings do not: their slots turn the air as the zones did, without braking it.
pub(super) fn resolved_rings(
    drawn: &Grille,
    flows: &[ZoneFlow],
    coarse: &FaceGrille,
    bore: f64,
) -> Option<ResolvedRings> {
    let cell = bore / MOST_CELLS as f64;
    let mut zones = Vec::new();
    let mut has_holes = false;
    for (zone, flow) in drawn.zones.iter().zip(flows) {
        let slots = match (flow.shape, flow.kind) {
            (OpeningShape::Ring, _) => drawn.ring_slots(zone),
            (_, FlowKind::Hole) => {
                has_holes = true;
                stand_in(flow, cell)
            }
            (_, FlowKind::Slot { .. }) => return None,
        };
        zones.push(RingZone {
            inner: flow.inner_radius,
            outer: flow.outer_radius,
            slots,
        });
    }
    let all: Vec<[f64; 2]> = zones.iter().flat_map(|zone| zone.slots.clone()).collect();
    let (slot, rib) = narrowest(&all);
    let asked = (FEWEST_CELLS.0 / slot).max(FEWEST_CELLS.1 / rib) * bore;
    // Half a cell too few is drawn all the same; a picture of nothing is not.
    if all.is_empty() || asked > 1.25 * MOST_CELLS as f64 {
        return None;
    }
    let scaled = |ends: [f64; 2]| ends.map(|radius| radius / bore);
    let turning: Vec<FaceZone> = zones
        .iter()
        .flat_map(|zone| zone.slots.iter().map(move |slot| (zone, scaled(*slot))))
        .filter_map(|(zone, slot)| turned(coarse, zone, slot))
        .collect();
    Some(ResolvedRings {
        grille: FaceGrille {
            thickness: coarse.thickness,
            walls: walls_beside(&all.iter().map(|slot| scaled(*slot)).collect::<Vec<_>>()),
            zones: if has_holes { turning } else { Vec::new() },
        },
        passages: if has_holes {
            Passages::RingsForHoles
        } else {
            Passages::Ribs
        },
        cells: (asked.ceil() as usize).clamp(LEAST_CELLS, MOST_CELLS),
    })
}

/// Slots over a zone of holes with their open area.
fn stand_in(flow: &ZoneFlow, cell: f64) -> Vec<[f64; 2]> {
    let share = (flow.open_area / flow.zone_area).clamp(0.05, 0.95);
    let depth = flow.outer_radius - flow.inner_radius;
    // A slot is as wide as needed for itself and for its rib.
    let least = cell * FEWEST_CELLS.0.max(FEWEST_CELLS.1 * share / (1.0 - share));
    let width = (0.5 * flow.hydraulic_diameter).max(least);
    let count = (depth * share / width).floor().max(1.0);
    let pitch = depth / count;
    (0..count as u32)
        .map(|number| {
            let middle = flow.inner_radius + (f64::from(number) + 0.5) * pitch;
            let half = 0.5 * share * pitch;
            [middle - half, middle + half]
        })
        .collect()
}

/// Narrowest slot and narrowest rib between two slots, m.
fn narrowest(slots: &[[f64; 2]]) -> (f64, f64) {
    let slot = slots.iter().map(|[from, to]| to - from);
    let rib = slots.windows(2).map(|pair| pair[1][0] - pair[0][1]);
    (
        slot.fold(f64::INFINITY, f64::min),
        rib.filter(|rib| *rib > 0.0).fold(f64::INFINITY, f64::min),
    )
}

/// What a slot does to the swirl: that of the part of the coarse grille in whose radius it lies, on the faster air in the slot.
fn turned(coarse: &FaceGrille, zone: &RingZone, slot: [f64; 2]) -> Option<FaceZone> {
    let middle = 0.5 * (slot[0] + slot[1]);
    let distance = |part: &&FaceZone| (0.5 * (part.inner + part.outer) - middle).abs();
    let own = coarse.zones.iter();
    let part = own.min_by(|a, b| distance(a).total_cmp(&distance(b)))?;
    let square = |ends: [f64; 2]| ends[1] * ends[1] - ends[0] * ends[0];
    let open: f64 = zone.slots.iter().map(|slot| square(*slot)).sum();
    let crowded = open / square([zone.inner, zone.outer]);
    Some(FaceZone {
        inner: slot[0],
        outer: slot[1],
        loss_coefficient: 0.0,
        linear_loss_coefficient: 0.0,
        kept_tangent: part.kept_tangent,
        outflow_tangent: part.outflow_tangent * crowded,
        lean_tangent: 0.0,
    })
}

/// What is solid besides the slots.
fn walls_beside(slots: &[[f64; 2]]) -> Vec<[f64; 2]> {
    let starts = std::iter::once(0.0).chain(slots.iter().map(|slot| slot[1]));
    let ends = slots.iter().map(|slot| slot[0]).chain([1.0]);
    starts
        .zip(ends)
        .filter(|(from, to)| to - from > 1e-9)
        .map(|(from, to)| [from, to])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::{Edge, Turn};

    fn holes() -> ZoneFlow {
        ZoneFlow {
            shape: OpeningShape::Hexagon,
            kind: FlowKind::Hole,
            free_area_ratio: 0.6,
            hydraulic_diameter: 0.006,
            thickness: 0.004,
            front_edge: Edge::Sharp,
            back_edge: Edge::Sharp,
            turn: Turn::Straight,
            inner_radius: 0.015,
            outer_radius: 0.065,
            zone_area: 0.01,
            open_area: 0.0055,
        }
    }

    #[test]
    fn rings_for_holes_have_their_open_area_and_are_resolved() {
        let cell = 0.0675 / MOST_CELLS as f64;
        for diameter in [0.002, 0.006, 0.02] {
            let flow = ZoneFlow {
                hydraulic_diameter: diameter,
                ..holes()
            };
            let slots = stand_in(&flow, cell);
            let square = |ends: &[f64; 2]| ends[1] * ends[1] - ends[0] * ends[0];
            let open: f64 = slots.iter().map(square).sum();
            let share = open / square(&[flow.inner_radius, flow.outer_radius]);
            assert!((share / 0.55 - 1.0).abs() < 1e-9, "{diameter}: {share}");
            let (slot, rib) = narrowest(&slots);
            assert!(slot >= 2.999 * cell && rib >= 1.999 * cell, "{diameter}");
        }
    }

    #[test]
    fn walls_fill_what_slots_leave() {
        let walls = walls_beside(&[[0.2, 0.3], [0.4, 0.5]]);
        assert_eq!(walls, [[0.0, 0.2], [0.3, 0.4], [0.5, 1.0]]);
    }
}
