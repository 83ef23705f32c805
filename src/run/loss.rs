//! From solved points to K over air speed of a grille, with everything that K may be off by.

use crate::likely::{HALF_WIDTH_95, Warning};
use crate::measure::grid::{GridValue, grid_study};
use crate::ranking::{GrilleLoss, LossBand, LossLaw, LossPoint, ZoneLoss};
use crate::report::RunSummary;
use crate::run::plan::{GrillePlan, Plan, ZonePlan, repeat_area};
use crate::run::view::{turn_doubt, worth};
use crate::study::Study;

/// Least half-width of the grid's part, as a part of K. At the Reynolds numbers of real grilles the jet between mirrors sheds rings, and K does not converge
/// from one side: followed from 34 to 96 cells, K of a hole (free-area ratio 0.42, thickness 0.8, Reynolds number 2400) was 4.69, 4.68, 4.74, 4.83, 4.90, 5.01,
/// against 4.75 ± 0.15 in three dimensions.
const LEAST_GRID_BAND: f64 = 0.025;

/// The same where the flow is laminar and steady, at 48 cells across; it falls with the cell size (`tests/validation_hole_view.rs`).
const LEAST_LAMINAR_GRID_BAND: f64 = 0.01;

/// Reynolds number of the hole up to which the flow between mirrors stays steady.
const LAMINAR: f64 = 300.0;

/// Half-width of the lattice velocity's part, as a part of K at a velocity of 0.08 in the opening; proportional to it.
const VELOCITY_BAND: f64 = 0.015;

/// K over air speed of every zone of a grille with its bands, or the doubts that forbid it.
pub(super) fn loss(
    study: &Study,
    grille: &GrillePlan,
    plan: &Plan,
    summaries: &[Option<RunSummary>],
) -> Result<GrilleLoss, Vec<Warning>> {
    let mut zones = Vec::new();
    let drawn = &study.grilles[grille.index];
    for (zone, pattern) in grille.zones.iter().zip(&drawn.zones) {
        let worth = worth(pattern, &zone.flow);
        let mut points = Vec::new();
        let mut grid_band: f64 = 0.0;
        for point in &zone.points {
            let values: Option<Vec<&RunSummary>> = point
                .runs
                .iter()
                .map(|&index| summaries[index].as_ref().filter(|summary| summary.is_valid))
                .collect();
            let Some(values) = values else {
                return Err(missing(point.face_velocity, &point.runs, summaries));
            };
            let fine = values[0];
            grid_band = grid_band.max(grid_half_width(&values));
            points.push(LossPoint {
                velocity: point.face_velocity,
                loss_coefficient: worth.factor * fine.loss_coefficient.value,
                standard_uncertainty: worth.factor * fine.loss_coefficient.half_width()
                    / HALF_WIDTH_95,
            });
        }
        let law = LossLaw::fit(&points).map_err(|error| {
            vec![Warning {
                code: "no-loss-law",
                message: error.to_string(),
                advice: "look at the history of its runs".to_owned(),
            }]
        })?;
        zones.push(ZoneLoss {
            area: repeat_area(&zone.flow),
            law,
            bands: bands(zone, plan, grid_band, worth.half_width, &worth.family),
        });
    }
    Ok(GrilleLoss {
        name: drawn.name.clone(),
        zones,
    })
}

/// Half-width of the grid's part of the finest value, as a part of K.
fn grid_half_width(values: &[&RunSummary]) -> f64 {
    let fine = values[0];
    let least = if fine.hole_reynolds_number < LAMINAR {
        LEAST_LAMINAR_GRID_BAND * 48.0 / fine.cells_across
    } else {
        LEAST_GRID_BAND
    };
    if values.len() < 2 {
        return least;
    }
    let grids: Vec<GridValue> = values
        .iter()
        .map(|summary| GridValue {
            cells: summary.cells_across,
            value: summary.loss_coefficient.value,
        })
        .collect();
    (grid_study(&grids).half_width / fine.loss_coefficient.value).max(least)
}

fn bands(zone: &ZonePlan, plan: &Plan, grid: f64, view: f64, family: &str) -> Vec<LossBand> {
    let fastest = zone
        .points
        .iter()
        .filter_map(|point| point.runs.first())
        .map(|&index| plan.runs[index].domain.face_velocity.0 / zone.flow.free_area_ratio)
        .fold(0.0, f64::max);
    let own = |source: &str, half_width: f64| LossBand {
        source: source.to_owned(),
        half_width,
        shared_by: None,
    };
    let mut bands = vec![
        own("grid", grid),
        own(
            "air speed limit of the solver",
            VELOCITY_BAND * fastest / 0.08,
        ),
        LossBand {
            source: "simplified view".to_owned(),
            half_width: view,
            shared_by: Some(family.to_owned()),
        },
    ];
    if let Some(doubt) = turn_doubt(zone.flow.turn, zone.flow.thickness, zone.flow.outer_radius) {
        bands.push(own("turned holes run as straight", doubt));
    }
    bands
}

/// Why a point has no number.
fn missing(face_velocity: f64, runs: &[usize], summaries: &[Option<RunSummary>]) -> Vec<Warning> {
    let mut doubts: Vec<Warning> = Vec::new();
    for &index in runs {
        match &summaries[index] {
            Some(summary) if !summary.is_valid => doubts.extend(summary.warnings.iter().cloned()),
            Some(_) => {}
            None => doubts.push(Warning {
                code: "not-run",
                message: format!("its run at {face_velocity} m/s was not finished"),
                advice: "run the study again: finished runs are kept".to_owned(),
            }),
        }
    }
    doubts
}
