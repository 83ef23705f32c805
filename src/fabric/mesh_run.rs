//! Our own runs around woven threads, and what they make of the published formulas.
//!
//! `thread_meshes.csv` holds K of square meshes of round threads that go over one and under the next, on the finest grid that each was
//! solved on (`tests/reference/heavy/thread_meshes.csv`, written by `cargo bench --bench heavy_thread_meshes`).

use std::sync::LazyLock;

use serde::Deserialize;

use crate::fabric::law::Band;
use crate::fabric::screen::Grid;

/// How far a woven fabric may be off our runs (95 %).
///
/// Published formulas lie -17 to +16 % off the runs at open fractions of 0.5 and 0.7, and further below them where less is open; of the grid 2 to 6 % are left up to Reynolds number 20 and
/// up to 20 % at 100; real weaves are flatter or rounder than circles of thread (judgement).
pub(super) const MESH_RUN_BAND: Band = Band {
    low: 0.65,
    high: 1.25,
};

/// Least open fraction for which a run stands in place of the formulas: at 0.3 they lie up to half below it, and the doubt is that of a formula.
const LEAST_OPEN: f64 = 0.4;

/// How far beyond the least and largest thread Reynolds number of a mesh its rows are trusted, as a factor: very slow flow follows the formula's course.
const BEYOND: f64 = 2.0;

/// A row of the table.
#[derive(Debug, Clone, Copy, Deserialize)]
struct Row {
    open_fraction: f64,
    thread_reynolds_number: f64,
    loss_coefficient: f64,
}

/// One mesh: its open fraction, and over the logarithm of the thread's Reynolds number what the run makes of the formula.
struct Mesh {
    open_fraction: f64,
    factors: Vec<(f64, f64)>,
}

static MESHES: LazyLock<Vec<Mesh>> = LazyLock::new(|| {
    let mut table = csv::Reader::from_reader(include_str!("thread_meshes.csv").as_bytes());
    let mut rows: Vec<Row> = table.deserialize().filter_map(Result::ok).collect();
    let place = |row: &Row| (row.open_fraction, row.thread_reynolds_number);
    rows.sort_by(|a, b| {
        place(a)
            .partial_cmp(&place(b))
            .unwrap_or(std::cmp::Ordering::Equal)
    });
    rows.chunk_by(|a, b| (a.open_fraction - b.open_fraction).abs() < 1e-9)
        .map(|rows| Mesh {
            open_fraction: rows[0].open_fraction,
            factors: rows.iter().map(factor).collect(),
        })
        .collect()
});

/// Logarithm of the Reynolds number, and the run's K over that of the formula for the same square mesh.
fn factor(row: &Row) -> (f64, f64) {
    let grid = Grid {
        thread: 1.0 - row.open_fraction.sqrt(),
        pitches: [1.0; 2],
        open_fraction: row.open_fraction,
    };
    let reynolds = row.thread_reynolds_number;
    (
        reynolds.ln(),
        row.loss_coefficient / grid.loss_coefficient(reynolds),
    )
}

/// What our runs make of a formula's K, straight between the solved meshes, held beyond the outermost.
pub(super) fn run_factor(open_fraction: f64, thread_reynolds: f64) -> f64 {
    let meshes: Vec<(f64, f64)> = MESHES
        .iter()
        .map(|mesh| {
            (
                mesh.open_fraction,
                between(&mesh.factors, thread_reynolds.ln()),
            )
        })
        .collect();
    between(&meshes, open_fraction)
}

/// Whether the runs reach to a mesh whose threads run between two Reynolds numbers.
pub(super) fn covers(open_fraction: f64, reynolds: (f64, f64)) -> bool {
    let Some(last) = MESHES.last() else {
        return false;
    };
    let reaches = |mesh: &Mesh| {
        let [Some(low), Some(high)] = [mesh.factors.first(), mesh.factors.last()] else {
            return false;
        };
        low.0.exp() / BEYOND <= reynolds.0 && reynolds.1 <= high.0.exp() * BEYOND
    };
    let above = MESHES.partition_point(|mesh| mesh.open_fraction < open_fraction);
    (LEAST_OPEN..=last.open_fraction).contains(&open_fraction)
        && MESHES[above.saturating_sub(1)..=above].iter().all(reaches)
}

/// Straight between points that rise, held beyond their ends; 1 without points.
fn between(points: &[(f64, f64)], at: f64) -> f64 {
    let above = points.iter().position(|point| point.0 >= at);
    match (above, points) {
        (_, []) => 1.0,
        (Some(0), [first, ..]) => first.1,
        (None, [.., last]) => last.1,
        (Some(index), _) => {
            let ((low, from), (high, to)) = (points[index - 1], points[index]);
            from + (to - from) * (at - low) / (high - low)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_of_the_table_is_read() {
        let lines = include_str!("thread_meshes.csv").lines().count();
        let rows: usize = MESHES.iter().map(|mesh| mesh.factors.len()).sum();
        assert_eq!(rows, lines - 1);
    }

    #[test]
    fn between_rows_it_goes_straight_and_beyond_them_it_is_held() {
        let points = [(1.0, 2.0), (3.0, 4.0)];
        for (at, wanted) in [(0.0, 2.0), (1.0, 2.0), (2.0, 3.0), (3.0, 4.0), (9.0, 4.0)] {
            assert!((between(&points, at) - wanted).abs() < 1e-12);
        }
        assert!((between(&[], 2.0) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn at_a_row_of_the_table_the_factor_gives_its_run_back() {
        // Half of the face open, Reynolds number 20: K is 3.64112 in the table.
        let grid = Grid {
            thread: 1.0 - 0.5_f64.sqrt(),
            pitches: [1.0; 2],
            open_fraction: 0.5,
        };
        let solved = grid.loss_coefficient(20.0) * run_factor(0.5, 20.0);
        assert!((solved / 3.641_12 - 1.0).abs() < 1e-9, "{solved}");
        // Halfway to the next mesh the factor is the mean of both.
        let mean = 0.5 * (run_factor(0.5, 20.0) + run_factor(0.6, 20.0));
        assert!((run_factor(0.55, 20.0) - mean).abs() < 1e-9);
    }

    #[test]
    fn runs_reach_to_half_their_least_and_twice_their_largest_reynolds_number() {
        // Meshes of 0.5 and 0.6 are solved from 1 to 100, that of 0.7 to 20.
        assert!(covers(0.55, (0.51, 199.0)));
        assert!(!covers(0.55, (0.49, 199.0)) && !covers(0.55, (0.51, 201.0)));
        assert!(covers(0.65, (1.0, 39.0)) && !covers(0.65, (1.0, 41.0)));
        // Open fractions from 0.4 to that of the last mesh, 0.8.
        assert!(covers(0.41, (1.0, 20.0)) && !covers(0.39, (1.0, 20.0)));
        assert!(covers(0.8, (1.0, 20.0)) && !covers(0.81, (1.0, 20.0)));
    }
}
