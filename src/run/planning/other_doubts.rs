//! What else hides K of a run, as far as it is known when the run is planned: waiting longer than that lets be seen tells nothing.
//!
//! Only what a grille has of its own counts. The fan curve and the PC case move all grilles together, and who wants to tell two of them apart gains by waiting.

use crate::grille::{Turn, Zone, ZoneFlow};
use crate::run::corrections::flat_view::view_correction;
use crate::run::corrections::repeat_grid::one_grid_half_width;
use crate::study::{Quality, RunSettings};

/// Share of what a flat view is worth that counts: grids and air speeds of it are compared, and a difference shows the part of time of both.
const COMPARED: f64 = 0.5;

/// Of a flat view, as a part of K; 0 where K is to be waited for whatever hides it.
pub(super) fn of_flat_view(run: &RunSettings, zone: &Zone, flow: &ZoneFlow) -> f64 {
    if are_weighed(run) {
        COMPARED * view_correction(zone, flow).half_width
    } else {
        0.0
    }
}

/// The same of a repeat on the only grid of these cells across the hydraulic diameter: what the grid hides.
pub(super) fn of_lone_repeat(run: &RunSettings, cells: f64, flow: &ZoneFlow) -> f64 {
    if are_weighed(run) {
        one_grid_half_width(cells, flow.free_area_ratio, flow.turn != Turn::Straight)
    } else {
        0.0
    }
}

/// Not where a tolerance was asked for, and not for a glance, whose runs take a second.
fn are_weighed(run: &RunSettings) -> bool {
    run.tolerance_follows_quality && run.quality > Quality::Quick
}

#[cfg(test)]
mod tests {
    use super::*;

    use std::time::Duration;

    use crate::grille::{
        CountedFrom, Edge, FlowKind, Hands, HolePattern, HoleShape, Layout, OpeningShape, Pattern,
    };
    use crate::study::Threads;

    fn settings(quality: Quality, tolerance_follows_quality: bool) -> RunSettings {
        RunSettings {
            quality,
            threads: Threads::All,
            memory_limit: None,
            tolerance: 0.02,
            time_limit_per_run: Duration::ZERO,
            time_limit: Duration::ZERO,
            checkpoint_interval: Duration::ZERO,
            frame_count: 0,
            budget: None,
            tolerance_follows_quality,
        }
    }

    /// Round holes with a free-area ratio of 0.42 and a thickness of 0.8.
    fn round_holes(turn: Turn) -> (Zone, ZoneFlow) {
        let pattern = HolePattern {
            shape: HoleShape::Round { diameter: 0.006 },
            layout: Layout::Staggered,
            rib: 0.0028,
            turn,
            merging_accepted: false,
        };
        let zone = Zone {
            inner_radius: 0.0,
            outer_radius: 0.05,
            pattern: Pattern::Holes(pattern),
        };
        let flow = ZoneFlow {
            shape: OpeningShape::Round,
            kind: FlowKind::Hole,
            free_area_ratio: 0.42,
            hydraulic_diameter: 0.006,
            thickness: 0.0048,
            front_edge: Edge::Sharp,
            back_edge: Edge::Sharp,
            turn,
            inner_radius: 0.0,
            outer_radius: 0.05,
            zone_area: 7.8e-3,
            open_area: 3.3e-3,
        };
        (zone, flow)
    }

    #[test]
    fn a_view_hides_half_of_its_worth_and_a_lone_grid_all_of_its_own() {
        let (zone, flow) = round_holes(Turn::Straight);
        for quality in [Quality::Standard, Quality::Overnight] {
            let run = settings(quality, true);
            // Half of 5 %; 5 % on 24 cells, an eighth of that on four times as many.
            assert!((of_flat_view(&run, &zone, &flow) - 0.025).abs() < 1e-12);
            assert!((of_lone_repeat(&run, 24.0, &flow) - 0.05).abs() < 1e-12);
            assert!((of_lone_repeat(&run, 96.0, &flow) - 0.05 / 8.0).abs() < 1e-12);
            // Holes that turn: 2 % more.
            let twist = Turn::Twist {
                angle: 0.3,
                counted_from: CountedFrom::MidDepth,
                hands: Hands::Same,
            };
            let (_, turned) = round_holes(twist);
            assert!((of_lone_repeat(&run, 24.0, &turned) - 0.07).abs() < 1e-12);
        }
    }

    #[test]
    fn nothing_is_weighed_at_a_glance_or_where_a_tolerance_was_asked_for() {
        let (zone, flow) = round_holes(Turn::Straight);
        for run in [
            settings(Quality::Quick, true),
            settings(Quality::Overnight, false),
        ] {
            assert!(of_flat_view(&run, &zone, &flow).abs() < 1e-15);
            assert!(of_lone_repeat(&run, 24.0, &flow).abs() < 1e-15);
        }
    }
}
