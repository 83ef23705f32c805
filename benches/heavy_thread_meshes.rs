//! Heavy validation and table: K of square meshes of round threads over open fraction and thread Reynolds number, each on two grids.
//!
//! `cargo bench --bench heavy_thread_meshes` goes on with `tests/reference/heavy/thread_meshes.csv` where it ends: an hour on one core. Delete the file to begin anew.
//! `tests/validation/thread_mesh.rs` sets the table beside published correlations and recomputes coarse rows of it.

mod kept_rows;
#[expect(dead_code, reason = "only a part of it is needed")]
mod threads;

use std::collections::HashSet;
use std::ops::ControlFlow;
use std::path::Path;
use std::time::Instant;

use kept_rows::kept_rows;
use threads::mesh::{Crossing, ThreadMesh, solve_mesh};
use threads::row::ThreadSides;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::measure::repeat::{RepeatOutcome, drive_repeat};
use ventwright::tunnel::RepeatDomain;

const COLUMNS: [&str; 16] = [
    "crossing",
    "sides",
    "open_fraction",
    "thread_reynolds_number",
    "cells_asked_across_thread",
    "cells_per_pitch",
    "K",
    "half_width_in_time",
    "K_by_force",
    "flow_error",
    "density_rise",
    "cell_count",
    "step_count",
    "seconds",
    "stop_reason",
    "code_version",
];

/// How many columns name a case.
const NAMES: usize = 5;

/// Meshes that may swing.
const WHOLE_LIMITS: DriveLimits = DriveLimits {
    tolerance: 0.01,
    other_doubts: 0.0,
    least_time: 15.0,
    longest_time: 40.0,
};

/// One line of the table.
struct Case {
    mesh: ThreadMesh,
    cells_across_thread: f64,
}

impl Case {
    fn new(
        open_fraction: f64,
        crossing: Crossing,
        reynolds_number: f64,
        cells_across_thread: f64,
    ) -> Self {
        Self {
            mesh: ThreadMesh::new(
                open_fraction,
                crossing,
                reynolds_number,
                cells_across_thread,
            ),
            cells_across_thread,
        }
    }

    fn names(&self) -> [String; NAMES] {
        let crossing = match self.mesh.crossing {
            Crossing::Woven => "woven",
            Crossing::Touching => "touching",
            Crossing::OnePlane => "one plane",
        };
        let sides = match self.mesh.sides {
            ThreadSides::Mirrors => "mirrors",
            ThreadSides::Periodic => "periodic",
        };
        [
            crossing.to_owned(),
            sides.to_owned(),
            self.mesh.open_fraction.to_string(),
            self.mesh.reynolds_number.to_string(),
            self.cells_across_thread.to_string(),
        ]
    }

    fn solve(&self) -> RepeatOutcome {
        let mut go_on = |_: &_| ControlFlow::Continue(());
        match self.mesh.sides {
            ThreadSides::Mirrors => solve_mesh(&self.mesh),
            ThreadSides::Periodic => {
                // On a grid that is not its own image, so that vortices may come.
                let domain = RepeatDomain {
                    shift: [0.0, 0.3, 0.17],
                    ..self.mesh.repeat()
                };
                let solid = |place| self.mesh.is_solid(place);
                drive_repeat(&domain, &solid, &WHOLE_LIMITS, &Threads::One, &mut go_on)
            }
        }
    }
}

/// Cells across a thread of the coarse and the fine grid.
fn grids(open_fraction: f64) -> [f64; 2] {
    match open_fraction {
        f if f < 0.35 => [14.0, 22.0],
        f if f < 0.45 => [12.0, 18.0],
        f if f < 0.55 => [10.0, 16.0],
        f if f < 0.65 => [8.0, 12.0],
        f if f < 0.75 => [8.0, 12.0],
        f if f < 0.85 => [6.0, 9.0],
        _ => [4.0, 6.0],
    }
}

/// Weaves: open fraction and cells across a thread. They need four times the room of straight threads.
const WEAVES: [(f64, f64); 8] = [
    (0.5, 7.0),
    (0.5, 10.0),
    (0.7, 6.0),
    (0.3, 10.0),
    (0.4, 9.0),
    (0.6, 7.0),
    (0.8, 5.0),
    (0.7, 8.0),
];

/// Reynolds numbers of the table.
const REYNOLDS_NUMBERS: [f64; 6] = [0.5, 1.0, 5.0, 20.0, 50.0, 100.0];

/// Those beside published correlations on both grids, weaves, the table on its coarse grid, threads in one plane, whole pitches where threads may shed vortices, and the table on its fine grid.
fn cases() -> Vec<Case> {
    let mut cases = Vec::new();
    let published = || [0.5, 0.7].into_iter();
    for (open_fraction, reynolds_number) in pairs(published(), &[1.0, 5.0, 20.0, 100.0]) {
        for cells in grids(open_fraction) {
            cases.push(Case::new(
                open_fraction,
                Crossing::Touching,
                reynolds_number,
                cells,
            ));
        }
    }
    let all = || [0.6, 0.8, 0.4, 0.3, 0.5, 0.7, 0.9].into_iter();
    let on_grid = |grid: usize| {
        pairs(all(), &REYNOLDS_NUMBERS).map(move |(open_fraction, reynolds_number)| {
            let cells = grids(open_fraction)[grid];
            Case::new(open_fraction, Crossing::Touching, reynolds_number, cells)
        })
    };
    cases.extend(on_grid(0).take(4 * REYNOLDS_NUMBERS.len()));
    for (open_fraction, cells) in WEAVES {
        for reynolds_number in [1.0, 5.0, 20.0, 100.0] {
            cases.push(Case::new(
                open_fraction,
                Crossing::Woven,
                reynolds_number,
                cells,
            ));
        }
    }
    cases.extend(on_grid(0));
    for (open_fraction, reynolds_number) in pairs(published(), &[1.0, 20.0, 100.0]) {
        let cells = grids(open_fraction)[0];
        cases.push(Case::new(
            open_fraction,
            Crossing::OnePlane,
            reynolds_number,
            cells,
        ));
    }
    for (open_fraction, reynolds_number) in [(0.5, 20.0), (0.5, 100.0), (0.7, 100.0)] {
        let cells = grids(open_fraction)[0];
        let mut case = Case::new(open_fraction, Crossing::Touching, reynolds_number, cells);
        case.mesh.sides = ThreadSides::Periodic;
        cases.push(case);
    }
    cases.extend(on_grid(1));
    cases
}

/// Each open fraction with each Reynolds number.
fn pairs<'a>(
    open_fractions: impl Iterator<Item = f64> + 'a,
    reynolds_numbers: &'a [f64],
) -> impl Iterator<Item = (f64, f64)> + 'a {
    open_fractions.flat_map(|open_fraction| {
        let with = move |&reynolds_number| (open_fraction, reynolds_number);
        reynolds_numbers.iter().map(with)
    })
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/heavy/thread_meshes.csv");
    let mut rows = kept_rows(&path)?;
    let mut done: HashSet<Vec<String>> = rows.iter().map(|row| row[..NAMES].to_vec()).collect();
    for case in cases() {
        let names = case.names().to_vec();
        if !done.insert(names.clone()) {
            continue;
        }
        let begun = Instant::now();
        let outcome = case.solve();
        let mean = outcome.drive.loss_coefficient;
        let number =
            |value: Option<f64>| value.map_or(String::new(), |value| format!("{value:.5}"));
        let mut row = names;
        row.extend([
            format!("{}", outcome.layout.cells_across_hole),
            number(mean.map(|mean| mean.mean)),
            number(mean.map(|mean| mean.half_width)),
            format!("{:.5}", outcome.drive.loss_coefficient_by_force),
            format!("{:.1e}", outcome.drive.flow_error),
            format!("{:.4}", outcome.drive.density_rise),
            outcome.drive.cell_count.to_string(),
            outcome.drive.step_count.to_string(),
            format!("{:.1}", begun.elapsed().as_secs_f64()),
            outcome.drive.stop_reason.in_words(),
            env!("CARGO_PKG_VERSION").to_owned(),
        ]);
        rows.push(row);
        let mut table = csv::Writer::from_path(&path)?;
        table.write_record(COLUMNS)?;
        for row in &rows {
            table.write_record(row)?;
        }
        table.flush()?;
    }
    Ok(())
}
