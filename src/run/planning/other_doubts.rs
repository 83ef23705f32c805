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
