//! Heavy validation: the hole view beside the handbook's thick perforated plate, on two grids.
//!
//! `cargo bench --bench heavy_perforated_plate` writes `tests/reference/heavy/perforated_plate.csv` anew; about five minutes on two cores.
//! `tests/validation/perforated_plate.rs` checks the table and recomputes a row of it.

use std::ops::ControlFlow;
use std::path::Path;
use std::time::Instant;

use rayon::prelude::*;
use ventwright::handbook::perforated_plate;
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, drive};
use ventwright::tunnel::{Domain, EdgeShape, View};
use ventwright::units::LatticeVelocity;

const FREE_AREA_RATIOS: [f64; 4] = [0.4, 0.5, 0.6, 0.7];
const THICKNESSES: [f64; 2] = [0.5, 1.0];
const REYNOLDS_NUMBERS: [f64; 3] = [2000.0, 5000.0, 10_000.0];
const GRIDS: [f64; 2] = [48.0, 72.0];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut cases = Vec::new();
    for free_area_ratio in FREE_AREA_RATIOS {
        for thickness in THICKNESSES {
            for reynolds_number in REYNOLDS_NUMBERS {
                cases.push((free_area_ratio, thickness, reynolds_number));
            }
        }
    }
    let rows: Vec<Vec<String>> = cases
        .par_iter()
        .with_max_len(1)
        .map(|&case| row(case))
        .collect();
    let path =
        Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/heavy/perforated_plate.csv");
    let mut table = csv::Writer::from_path(path)?;
    table.write_record([
        "free_area_ratio",
        "thickness_over_diameter",
        "hole_reynolds_number",
        "K_at_48_cells",
        "half_width_in_time_at_48_cells",
        "K_at_72_cells",
        "half_width_in_time_at_72_cells",
        "K_handbook",
        "difference_percent_at_72_cells",
        "stop_reason_at_72_cells",
        "seconds",
        "code_version",
    ])?;
    for row in rows {
        table.write_record(row)?;
    }
    table.flush()?;
    Ok(())
}

fn row((free_area_ratio, thickness, reynolds_number): (f64, f64, f64)) -> Vec<String> {
    let begun = Instant::now();
    let outcomes = GRIDS.map(|cells| {
        let domain = Domain {
            view: View::Hole,
            free_area_ratio,
            thickness,
            front_edge: EdgeShape::Sharp,
            rear_edge: EdgeShape::Sharp,
            reynolds_number,
            cells_across_opening: cells,
            face_velocity: LatticeVelocity(0.06 * free_area_ratio * 48.0 / cells),
            pitches_ahead: 1.0,
            pitches_behind: 3.5,
            has_subgrid: true,
            shift: 0.0,
        };
        drive(&domain, &DriveLimits::default(), Threads::One, &mut |_| {
            ControlFlow::Continue(())
        })
    });
    let value = |grid: usize| {
        outcomes[grid]
            .drive
            .loss_coefficient
            .map_or((f64::NAN, f64::NAN), |mean| (mean.mean, mean.half_width))
    };
    let ((coarse, coarse_width), (fine, fine_width)) = (value(0), value(1));
    let handbook = perforated_plate(free_area_ratio, thickness, reynolds_number)
        .map_or(f64::NAN, |loss| loss.loss_coefficient);
    vec![
        free_area_ratio.to_string(),
        thickness.to_string(),
        reynolds_number.to_string(),
        format!("{coarse:.4}"),
        format!("{coarse_width:.4}"),
        format!("{fine:.4}"),
        format!("{fine_width:.4}"),
        format!("{handbook:.4}"),
        format!("{:+.1}", 100.0 * (fine / handbook - 1.0)),
        outcomes[1].drive.stop_reason.in_words(),
        format!("{:.0}", begun.elapsed().as_secs_f64()),
        env!("CARGO_PKG_VERSION").to_owned(),
    ]
}
