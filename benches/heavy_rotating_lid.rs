//! Heavy validation: a closed cylinder, one and a half times as high as its radius, of which one end turns.
//!
//! `cargo bench --bench heavy_rotating_lid` writes `tests/reference/heavy/rotating_lid.csv` anew, a row at a time, coarse grids first; four minutes on two cores.
//! `tests/validation/rotating_lid.rs` checks the table and recomputes its coarsest row.

#[path = "../tests/common/flow.rs"]
mod flow;
#[path = "../tests/common/rotating_lid.rs"]
mod rotating_lid;

use std::fmt::Write;
use std::path::Path;
use std::time::Instant;

use rotating_lid::{CHANGE, solve};
use ventwright::lattice::step::Threads;

const COLUMNS: &str = "height_over_radius,reynolds_number,cells_in_radius,jet_over_edge_velocity,place_over_height,bubble_from,bubble_to,step_count,seconds,code_version\n";

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reference/heavy/rotating_lid.csv");
    let mut text = COLUMNS.to_owned();
    for rows in [40, 60, 100] {
        for reynolds_number in [990.0, 1290.0] {
            let begun = Instant::now();
            let flow = solve(rows, 1.5, reynolds_number, CHANGE, Threads::Pool(2));
            let end = |end: Option<f64>| end.map_or(String::new(), |end| format!("{end:.4}"));
            writeln!(
                text,
                "1.5,{reynolds_number},{rows},{:.5},{:.4},{},{},{},{:.0},{}",
                flow.largest,
                flow.place,
                end(flow.bubble.map(|ends| ends.0)),
                end(flow.bubble.map(|ends| ends.1)),
                flow.steps,
                begun.elapsed().as_secs_f64(),
                env!("CARGO_PKG_VERSION"),
            )?;
            std::fs::write(&path, &text)?;
        }
    }
    Ok(())
}
