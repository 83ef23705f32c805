//! What each measure that saves time is worth: seconds until K of a hole view and of two straight repeats has settled, with all measures, without each, and without any.
//!
//! `cargo bench --bench heavy_time_to_answer` writes `tests/reference/heavy/time_to_answer.csv` anew; a quarter of an hour on two idle cores, and seconds mean nothing where anything else runs.
//! The measures, in the words of the table:
//!
//! * head start: the flow begins with that of half as many cells (repeats only; on hole views it does not pay);
//! * statistical stop: the run ends when the 95 % half-width of K is under 1.5 % at two looks in a row, else after 13 pitch-times (repeats) or 60 (hole views);
//! * velocity: as fast as a density rise of 0.8 % allows, else 0.05 cells per step in the hole;
//! * short room: 1 pitch ahead and 2.5 behind (repeats; hole views 3.5), else 1.5 more.

mod case_table;
#[path = "../tests/common/free_area.rs"]
mod free_area;
mod holes;

use std::ops::ControlFlow;
use std::path::Path;
use std::time::Instant;

use case_table::write;
use holes::{Case, digits};
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, drive};
use ventwright::measure::series::SettledMean;
use ventwright::tunnel::{Domain, EdgeShape, View};
use ventwright::units::LatticeVelocity;

/// Columns behind those that name a case.
const RESULTS: &[&str] = &[
    "view",
    "measures",
    "cells_across_hole",
    "K",
    "half_width_in_time",
    "million_cell_updates",
    "seconds",
    "code_version",
];

/// Relative half-width at which a run stops.
const TOLERANCE: f64 = 0.015;

/// Density rise that the velocity is chosen by.
const DENSITY_RISE: f64 = 0.008;

/// Velocity in the hole without a budget, cells per step.
const SLOW: f64 = 0.05;

/// What is added to the room without that measure, in pitches.
const MORE_ROOM: f64 = 1.5;

/// What is left out of the measures that save time.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Without {
    Nothing,
    HeadStart,
    StatisticalStop,
    VelocityFromBudget,
    ShortRoom,
    Everything,
}

const ROWS: [Without; 6] = [
    Without::Nothing,
    Without::HeadStart,
    Without::StatisticalStop,
    Without::VelocityFromBudget,
    Without::ShortRoom,
    Without::Everything,
];

/// What a run came to.
struct Answer {
    loss: SettledMean,
    cells: f64,
    updates: f64,
    seconds: f64,
}

impl Without {
    fn name(self) -> &'static str {
        match self {
            Self::Nothing => "all measures",
            Self::HeadStart => "without head start",
            Self::StatisticalStop => "without statistical stop",
            Self::VelocityFromBudget => "without velocity from the budget",
            Self::ShortRoom => "without short room",
            Self::Everything => "without any",
        }
    }

    fn leaves_out(self, measure: Self) -> bool {
        self == measure || self == Self::Everything
    }

    fn hole_velocity(self, expected_loss: f64, free_area_ratio: f64) -> f64 {
        let by_density = (2.0 * DENSITY_RISE / (3.0 * 1.2 * expected_loss)).sqrt();
        if self.leaves_out(Self::VelocityFromBudget) {
            SLOW
        } else {
            by_density.min(0.1 * free_area_ratio) / free_area_ratio
        }
    }

    fn limits(self, least_time: f64, fixed_time: f64, longest_time: f64) -> DriveLimits {
        let (least_time, longest_time) = if self.leaves_out(Self::StatisticalStop) {
            (fixed_time, fixed_time)
        } else {
            (least_time, longest_time)
        };
        DriveLimits {
            tolerance: TOLERANCE,
            other_doubts: 0.0,
            least_time,
            longest_time,
        }
    }

    fn more_room(self) -> f64 {
        if self.leaves_out(Self::ShortRoom) {
            MORE_ROOM
        } else {
            0.0
        }
    }

    /// A straight repeat whose K is about `expected_loss`.
    fn repeat(self, case: Case, expected_loss: f64) -> Option<Answer> {
        let (head_start, least_time) = if self.leaves_out(Self::HeadStart) {
            (0.0, 8.0)
        } else {
            (5.0, 4.0)
        };
        let case = Case {
            head_start,
            hole_velocity: self.hole_velocity(expected_loss, case.free_area_ratio),
            pitches_behind: 2.5 + self.more_room(),
            ..case
        };
        let solved = case.solve(&self.limits(least_time, 13.0, 40.0), Threads::Pool(2))?;
        let outcome = solved.outcome;
        Some(Answer {
            loss: outcome.drive.loss_coefficient?,
            cells: outcome.layout.cells_across_hole,
            updates: outcome.drive.step_count as f64 * outcome.drive.cell_count as f64,
            seconds: solved.seconds,
        })
    }

    /// A round hole in its round repeat.
    fn hole(self, case: &Case, expected_loss: f64) -> Option<Answer> {
        let free_area_ratio = case.free_area_ratio;
        let velocity = self.hole_velocity(expected_loss, free_area_ratio) * free_area_ratio;
        let domain = Domain {
            view: View::Hole,
            free_area_ratio,
            thickness: case.thickness,
            front_edge: EdgeShape::Sharp,
            rear_edge: EdgeShape::Sharp,
            reynolds_number: case.reynolds_number,
            cells_across_opening: case.cells,
            face_velocity: LatticeVelocity(velocity),
            pitches_ahead: 1.0,
            pitches_behind: 3.5 + self.more_room(),
            has_subgrid: true,
            shift: 0.0,
        };
        let begun = Instant::now();
        let limits = self.limits(10.0, 60.0, 120.0);
        let outcome = drive(&domain, &limits, Threads::One, &mut |_| {
            ControlFlow::Continue(())
        });
        Some(Answer {
            loss: outcome.drive.loss_coefficient?,
            cells: outcome.layout.cells_across_opening,
            updates: outcome.drive.step_count as f64 * outcome.drive.cell_count as f64,
            seconds: begun.elapsed().as_secs_f64(),
        })
    }
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/heavy/time_to_answer.csv");
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (view, shape, free_area_ratio, expected_loss) in [
        ("hole view", "round", 0.42, 4.8),
        ("repeat view", "hexagon", 0.6, 1.6),
        ("repeat view", "triangle", 0.42, 5.1),
    ] {
        let cells = if view == "hole view" { 48.0 } else { 24.0 };
        let case = Case {
            reynolds_number: (1000.0_f64 / free_area_ratio).round(),
            ..Case::straight(shape, free_area_ratio, cells)
        };
        for without in ROWS {
            let answer = match view {
                "hole view" if without == Without::HeadStart => continue,
                "hole view" => without.hole(&case, expected_loss),
                _ => without.repeat(case, expected_loss),
            };
            let Some(answer) = answer else {
                continue;
            };
            let mut row = case.names().to_vec();
            row.extend([
                view.to_owned(),
                without.name().to_owned(),
                digits(answer.cells, 2),
                digits(answer.loss.mean, 4),
                digits(answer.loss.half_width, 4),
                digits(answer.updates / 1e6, 0),
                digits(answer.seconds, 1),
                env!("CARGO_PKG_VERSION").to_owned(),
            ]);
            rows.push(row);
            write(&path, RESULTS, rows.iter())?;
        }
    }
    Ok(())
}
