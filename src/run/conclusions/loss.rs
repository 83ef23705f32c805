//! From solved points to K over air speed of a grille, with everything that K may be off by.

use crate::fan::FanExit;
use crate::grille::{FlowKind, Turn, Zone, ZoneFlow};
use crate::likely::{HALF_WIDTH_95, Warning};
use crate::measure::grid::{GridValue, grid_study};
use crate::ranking::{Exhaust, GrilleLoss, LossBand, LossLaw, LossPoint, ZoneLoss};
use crate::result::RunSummary;
use crate::run::conclusions::level::{Level, curve_band, levelled};
use crate::run::corrections::flat_view::{swirl_doubt, turn_doubt, view_correction};
use crate::run::corrections::repeat_grid;
use crate::run::planning::expected::fan_exit;
use crate::run::planning::plan::{GrillePlan, Plan, Point, ZonePlan, repeat_area};
use crate::run::swirl::exhaust::{ZoneStream, covered_share, zone_streams};
use crate::run::swirl::zone_loss_curves::{KnownSwirl, ZoneLossCurves};
use crate::study::{Side, Study};

/// Words for the part of an interval that comes from the grid.
pub(super) const GRID_WORDS: &str = "grid";

/// Least half-width of the grid's part, as a part of K. At the Reynolds numbers of real grilles the jet between mirrors sheds rings, and K does not converge
/// from one side: followed from 34 to 96 cells, K of a hole (free-area ratio 0.42, thickness 0.8, Reynolds number 2400) was 4.69, 4.68, 4.74, 4.83, 4.90, 5.01,
/// against 4.75 ± 0.15 in three dimensions.
const LEAST_GRID_BAND: f64 = 0.025;

/// The same where the flow is laminar and steady, at 48 cells across; it falls with the cell size (`tests/validation/hole_view.rs`).
const LEAST_LAMINAR_GRID_BAND: f64 = 0.01;

/// Reynolds number of the hole up to which the flow between mirrors stays steady.
const LAMINAR: f64 = 300.0;

/// Half-width of the lattice velocity's part, as a part of K at a velocity of 0.08 in the opening; proportional to it.
const VELOCITY_BAND: f64 = 0.015;

/// Half-width of the lost suction, as a part of it, where the table or a repeat tells what is left of the swirl, and where nothing does. Judgement: what is left
/// after mixing differs by a few degrees between grids and thicknesses; of other openings anything from none to all may be left.
const SUCTION_BAND: (f64, f64) = (0.25, 0.7);

/// Share of what the swirl changes of K beyond the solved angle that is left as doubt.
const DOUBTED_SWIRL: f64 = 0.25;

/// A grille behind a fan or ahead of it, as the ranking wants it.
pub(in crate::run) struct SolvedGrille {
    /// K over air speed.
    pub(in crate::run) loss: GrilleLoss,
    /// The fan's air over its zones; none ahead of the fan.
    pub(super) streams: Vec<ZoneStream>,
}

/// K over air speed of every zone of a grille with its bands, or the doubts that forbid it.
pub(in crate::run) fn loss(
    study: &Study,
    grille: &GrillePlan,
    plan: &Plan,
    summaries: &[Option<RunSummary>],
) -> Result<SolvedGrille, Vec<Warning>> {
    let drawn = &study.grilles[grille.index];
    let batch = Batch {
        study,
        plan,
        summaries,
    };
    let zones = grille.zones.iter().zip(&drawn.zones);
    let zones = zones.map(|(zone, pattern)| match &zone.repeat {
        Some(point) => batch.levelled_zone(zone, point),
        None => batch.flat_zone(zone, pattern),
    });
    let even = GrilleLoss {
        name: drawn.name.clone(),
        zones: zones.collect::<Result<_, _>>()?,
        exhaust: None,
        parts: Vec::new(),
    };
    let Some(exit) = fan_exit(study) else {
        return Ok(SolvedGrille {
            loss: even,
            streams: Vec::new(),
        });
    };
    let curves: Vec<ZoneLossCurves> = grille
        .zones
        .iter()
        .map(|zone| ZoneLossCurves::of(&zone.flow, batch.known_swirl(zone)))
        .collect();
    let flows = grille.zones.iter().map(|zone| &zone.flow);
    let known: Vec<(&ZoneFlow, &ZoneLossCurves)> = flows.zip(&curves).collect();
    let unspread = behind_fan(even.clone(), &exit, &grille.zones, &known).0;
    let spread = behind_fan(even.clone(), &exit.spread_evenly(), &grille.zones, &known).0;
    let (mut loss, streams) = behind_fan(even, &exit.half_spread(), &grille.zones, &known);
    if let Some(exhaust) = &mut loss.exhaust {
        exhaust.extremes = Some(Box::new([unspread, spread]));
    }
    Ok(SolvedGrille { loss, streams })
}

/// A grille in the air of a fan: only what the air meets of each zone counts, each part at its own speed and angle.
fn behind_fan(
    mut grille: GrilleLoss,
    exit: &FanExit,
    zones: &[ZonePlan],
    known: &[(&ZoneFlow, &ZoneLossCurves)],
) -> (GrilleLoss, Vec<ZoneStream>) {
    let streams = zone_streams(exit, known);
    let (mut area, mut doubt) = (0.0, 0.0);
    let parts = grille
        .zones
        .iter_mut()
        .zip(zones)
        .zip(known.iter().zip(&streams));
    for ((loss, zone), ((_, curves), stream)) in parts {
        let known = curves.known;
        loss.area *= covered_share(exit, &zone.flow);
        if known.is_tabled && zone.strength > 0.0 {
            let change = (stream.swirl_factor(zone.strength) - 1.0).abs();
            loss.bands
                .push(own("K over the swirl angle", DOUBTED_SWIRL * change));
        }
        area += loss.area;
        doubt += loss.area
            * if known.is_tabled {
                SUCTION_BAND.0
            } else {
                SUCTION_BAND.1
            };
    }
    grille.exhaust = Some(Exhaust {
        exit: exit.clone(),
        zones: streams.iter().map(ZoneStream::tabled).collect(),
        suction_half_width: doubt / area,
        extremes: None,
    });
    (grille, streams)
}

/// What was to be solved and what came out.
struct Batch<'a> {
    study: &'a Study,
    plan: &'a Plan,
    summaries: &'a [Option<RunSummary>],
}

impl Batch<'_> {
    /// A zone of which only flat views are solved: their K times what the view is worth.
    fn flat_zone(&self, zone: &ZonePlan, pattern: &Zone) -> Result<ZoneLoss, Vec<Warning>> {
        let correction = match &zone.tabled {
            Some(tabled) => tabled.clone(),
            None => view_correction(pattern, &zone.flow),
        };
        let (law, grid) = self.flat_law(zone, correction.factor)?;
        let mut bands = vec![
            own(GRID_WORDS, grid),
            self.velocity_band(
                zone.points.iter().filter_map(|point| point.runs.first()),
                zone,
            ),
            LossBand {
                source: "simplified view".to_owned(),
                half_width: correction.half_width,
                shared_by: Some(correction.family),
            },
        ];
        if zone.tabled.is_none() {
            let flow = &zone.flow;
            let doubt = turn_doubt(flow.turn, flow.thickness, flow.outer_radius);
            bands.extend(doubt.map(|doubt| own("turned holes run as straight", doubt)));
            let doubt = swirl_doubt(zone.expected_inflow);
            bands.extend(doubt.map(|doubt| own("swirl that a flat view does not see", doubt)));
        }
        Ok(ZoneLoss {
            area: repeat_area(&zone.flow),
            law,
            bands,
        })
    }

    /// A zone that is solved in three dimensions at one air speed: that gives the level, the flat view the curve over the air speed.
    fn levelled_zone(&self, zone: &ZonePlan, point: &Point) -> Result<ZoneLoss, Vec<Warning>> {
        let (flat, _) = self.flat_law(zone, 1.0)?;
        let values = self.values(point)?;
        // On the exhaust side the fan pays the static drop, swirl and all; on the intake side what the air lost.
        let ranked = |summary: &RunSummary| match (self.study.place.side, &summary.oblique) {
            (Side::Intake, Some(oblique)) => oblique.total_loss_coefficient,
            _ => summary.loss_coefficient.value,
        };
        let grids = grids(&values, ranked);
        let (fine, loss_coefficient) = (values[0], grids[0].value);
        if loss_coefficient <= 0.0 {
            return Err(vec![Warning {
                code: "no-loss-law".into(),
                message: format!("K came out as {loss_coefficient:.3}, which must be above zero"),
                advice: "look at the history of its runs".to_owned(),
            }]);
        }
        let level = Level {
            velocity: point.face_velocity,
            loss_coefficient,
            half_width: fine.loss_coefficient.half_width(),
        };
        let is_turned = zone.flow.turn != Turn::Straight;
        Ok(ZoneLoss {
            area: repeat_area(&zone.flow),
            law: levelled(&flat, level),
            bands: vec![
                own(
                    GRID_WORDS,
                    repeat_grid::grid_half_width(&grids, zone.flow.free_area_ratio, is_turned),
                ),
                self.velocity_band(point.runs.first(), zone),
                own("K over air speed from a flat view", curve_band(&flat)),
            ],
        })
    }

    /// What is known of the swirl through a zone.
    fn known_swirl(&self, zone: &ZonePlan) -> KnownSwirl {
        let finest = zone
            .repeat
            .as_ref()
            .and_then(|point| self.values(point).ok());
        let finest = finest.and_then(|values| values[0].oblique);
        let is_solved = zone.repeat.is_some() || zone.tabled.is_some();
        KnownSwirl {
            inflow: zone.solved_inflow,
            outflow: finest.map(|oblique| oblique.outflow_angle_deg.to_radians().tan()),
            // Straight holes beyond the table change with the angle much as its holes do.
            is_tabled: is_solved || zone.flow.kind == FlowKind::Hole,
            is_turned: is_solved,
        }
    }

    /// The law through the points of the flat view, K times `factor`, and the half-width of its grid's part.
    fn flat_law(&self, zone: &ZonePlan, factor: f64) -> Result<(LossLaw, f64), Vec<Warning>> {
        let mut points = Vec::new();
        let mut grid_band: f64 = 0.0;
        for point in &zone.points {
            let values = self.values(point)?;
            let fine = values[0];
            let grids = grids(&values, |summary| summary.loss_coefficient.value);
            grid_band = grid_band.max(grid_half_width(&grids, fine.hole_reynolds_number));
            points.push(LossPoint {
                velocity: point.face_velocity,
                loss_coefficient: factor * fine.loss_coefficient.value,
                standard_uncertainty: factor * fine.loss_coefficient.half_width() / HALF_WIDTH_95,
            });
        }
        let law = LossLaw::fit(&points).map_err(|error| {
            vec![Warning {
                code: "no-loss-law".into(),
                message: error.to_string(),
                advice: "look at the history of its runs".to_owned(),
            }]
        })?;
        Ok((law, grid_band))
    }

    /// The runs of a point, all of them with a number, finest grid first.
    fn values(&self, point: &Point) -> Result<Vec<&RunSummary>, Vec<Warning>> {
        let values: Option<Vec<&RunSummary>> = point
            .runs
            .iter()
            .map(|&index| {
                self.summaries[index]
                    .as_ref()
                    .filter(|summary| summary.is_valid)
            })
            .collect();
        values
            .filter(|values| !values.is_empty())
            .ok_or_else(|| missing(point.face_velocity, &point.runs, self.summaries))
    }

    /// The part of the lattice velocity, by the fastest of these runs.
    fn velocity_band<'r>(
        &self,
        runs: impl IntoIterator<Item = &'r usize>,
        zone: &ZonePlan,
    ) -> LossBand {
        let fastest = runs
            .into_iter()
            .map(|&index| self.plan.runs[index].lattice_velocity() / zone.flow.free_area_ratio)
            .fold(0.0, f64::max);
        own(
            "air speed limit of the solver",
            VELOCITY_BAND * fastest / 0.08,
        )
    }
}

fn own(source: &str, half_width: f64) -> LossBand {
    LossBand {
        source: source.to_owned(),
        half_width,
        shared_by: None,
    }
}

/// K of each run by its grid.
fn grids(values: &[&RunSummary], loss_coefficient: impl Fn(&RunSummary) -> f64) -> Vec<GridValue> {
    let grid = |summary: &&RunSummary| GridValue {
        cells: summary.cells_across,
        value: loss_coefficient(summary),
    };
    values.iter().map(grid).collect()
}

/// Half-width of the grid's part of the finest value of a flat view, as a part of K. `grids` run from fine to coarse.
fn grid_half_width(grids: &[GridValue], hole_reynolds_number: f64) -> f64 {
    let fine = grids[0];
    let least = if hole_reynolds_number < LAMINAR {
        LEAST_LAMINAR_GRID_BAND * 48.0 / fine.cells
    } else {
        LEAST_GRID_BAND
    };
    if grids.len() < 2 {
        return least;
    }
    (grid_study(grids).half_width / fine.value).max(least)
}

/// Why a point has no number.
fn missing(face_velocity: f64, runs: &[usize], summaries: &[Option<RunSummary>]) -> Vec<Warning> {
    let mut doubts: Vec<Warning> = Vec::new();
    for &index in runs {
        match &summaries[index] {
            Some(summary) if !summary.is_valid => doubts.extend(summary.warnings.iter().cloned()),
            Some(_) => {}
            None => doubts.push(Warning {
                code: "not-run".into(),
                message: format!("its run at {face_velocity} m/s did not finish"),
                advice: "run the study again; finished runs are kept".to_owned(),
            }),
        }
    }
    doubts
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_grid_hides_what_its_study_finds_but_never_less_than_is_known() {
        let of = |values: &[f64], hole_reynolds_number: f64| {
            let grids = [48.0, 34.0, 24.0].iter().zip(values);
            let grids: Vec<GridValue> = grids
                .map(|(&cells, &value)| GridValue { cells, value })
                .collect();
            grid_half_width(&grids, hole_reynolds_number)
        };
        let is = |seen: f64, expected: f64| assert!((seen - expected).abs() < 1e-12, "{seen}");
        is(of(&[4.7], 2000.0), LEAST_GRID_BAND);
        is(of(&[4.7, 4.7, 4.7], 2000.0), LEAST_GRID_BAND);
        is(of(&[4.7], 100.0), LEAST_LAMINAR_GRID_BAND);
        // What the study of the grids says, whole.
        let apart = [4.7, 4.9, 5.3];
        let grids = [(48.0, apart[0]), (34.0, apart[1]), (24.0, apart[2])];
        let study = grid_study(&grids.map(|(cells, value)| GridValue { cells, value }));
        is(of(&apart, 2000.0), study.half_width / apart[0]);
        assert!(study.half_width / apart[0] > 2.0 * LEAST_GRID_BAND);
    }

    use crate::likely::Likely;
    use crate::result::ObliqueFlow;
    use crate::run::planned::Run;
    use crate::run::planning::plan::plan;
    use crate::study::Draft;

    /// Round holes and long slots behind or ahead of a fan.
    fn study(side: &str, quality: &str) -> Study {
        let text = format!(
            "format = 1\nstudy.name = \"two\"\nplace.side = \"{side}\"\nrun.quality = \"{quality}\"\n\
             fan = {{ bore_mm = 112, hub_mm = 40, free_flow_m3_per_h = 90, shut_off_pressure_pa = 18, speed_rpm = 1500 }}\n\
             [[grille]]\nname = \"round\"\nthickness_mm = 4.8\nholes = {{ shape = \"round\", diameter_mm = 6, rib_mm = 2.8 }}\n\
             [[grille]]\nname = \"slots\"\nthickness_mm = 3\nholes = {{ shape = \"slot\", width_mm = 4, length_mm = 20, rib_mm = 2 }}\n"
        );
        let draft = Draft::parse(text.as_bytes(), "study.toml").unwrap();
        draft.resolve(&mut |_| Err("no files".to_owned())).unwrap()
    }

    /// What a run leaves whose K is 1.6 + 0.2/U within 0.02.
    fn solved(run: &Run) -> RunSummary {
        let value = 1.6 + 0.2 / run.face_velocity;
        RunSummary {
            key: run.key.clone(),
            view: run.view(),
            face_velocity_m_per_s: run.face_velocity,
            hole_reynolds_number: 2000.0,
            cells_across: 24.0,
            loss_coefficient: Likely::symmetric(value, 0.02),
            loss_coefficient_by_force: value,
            oblique: None,
            fan_view: None,
            density_rise: 0.003,
            stop_reason: "settled".to_owned(),
            is_valid: true,
            step_count: 10_000,
            cell_count: 10_000,
            elapsed_s: 1.0,
            was_reused: false,
            checks: Vec::new(),
            warnings: Vec::new(),
        }
    }

    fn all_solved(plan: &Plan) -> Vec<Option<RunSummary>> {
        plan.runs.iter().map(|run| Some(solved(run))).collect()
    }

    #[test]
    fn a_flat_law_is_that_of_its_runs_times_what_the_view_is_worth() {
        let study = study("intake", "quick");
        let plan = plan(&study).unwrap();
        let summaries = all_solved(&plan);
        let batch = Batch {
            study: &study,
            plan: &plan,
            summaries: &summaries,
        };
        for grille in &plan.grilles {
            let zone = &grille.zones[0];
            let (law, _) = batch.flat_law(zone, 1.25).unwrap();
            for point in &zone.points {
                let velocity = point.face_velocity;
                let expected = 1.25 * (1.6 + 0.2 / velocity);
                assert!((law.loss_coefficient(velocity) / expected - 1.0).abs() < 1e-2);
            }
            // One point alone keeps its own uncertainty, 0.02 at 95 %.
            let alone = ZonePlan {
                points: vec![zone.points[0].clone()],
                ..zone.clone()
            };
            let (law, _) = batch.flat_law(&alone, 1.25).unwrap();
            let velocity = alone.points[0].face_velocity;
            let expected = 1.25 * (1.6 + 0.2 / velocity);
            assert!((law.loss_coefficient(velocity) - expected).abs() < 1e-12);
            let own = 1.25 * 0.02 / 1.959_964;
            assert!((law.standard_uncertainty(velocity) - own).abs() < 1e-7);
        }
    }

    #[test]
    fn ahead_of_the_fan_nothing_turns_and_behind_it_every_zone_has_its_air() {
        let intake = study("intake", "quick");
        let planned = plan(&intake).unwrap();
        let ahead = loss(
            &intake,
            &planned.grilles[0],
            &planned,
            &all_solved(&planned),
        );
        let ahead = ahead.ok().unwrap();
        assert!(ahead.streams.is_empty() && ahead.loss.exhaust.is_none());
        assert_eq!(ahead.loss.name, "round");
        let flow = &planned.grilles[0].zones[0].flow;
        let area = flow.open_area / flow.free_area_ratio;
        assert!((ahead.loss.zones[0].area / area - 1.0).abs() < 1e-12);

        let behind = study("exhaust", "quick");
        let planned = plan(&behind).unwrap();
        let summaries = all_solved(&planned);
        // Of round holes the table tells what is left of the swirl, of slots nothing does: a quarter and seven tenths of the suction.
        for (grille, half_width) in planned.grilles.iter().zip([0.25, 0.7]) {
            let solved = loss(&behind, grille, &planned, &summaries).ok().unwrap();
            assert_eq!(solved.streams.len(), 1);
            let exhaust = solved.loss.exhaust.unwrap();
            assert!((exhaust.suction_half_width - half_width).abs() < 1e-12);
            assert!(exhaust.extremes.is_some());
        }
    }

    #[test]
    fn of_a_missing_run_it_is_told_that_it_is_missing_and_of_a_bad_one_why() {
        let study = study("intake", "quick");
        let plan = plan(&study).unwrap();
        let good = solved(&plan.runs[0]);
        let bad = RunSummary {
            is_valid: false,
            warnings: vec![Warning {
                code: "not-settled".into(),
                message: "it swings".to_owned(),
                advice: "wait".to_owned(),
            }],
            ..good.clone()
        };
        let noted = RunSummary {
            is_valid: true,
            ..bad.clone()
        };
        let codes = |runs: &[usize], summaries: &[Option<RunSummary>]| -> Vec<String> {
            let doubts = missing(2.0, runs, summaries);
            doubts.iter().map(|doubt| doubt.code.to_string()).collect()
        };
        let summaries = [Some(good), Some(bad), None, Some(noted)];
        assert!(codes(&[0, 3], &summaries).is_empty());
        assert_eq!(codes(&[0, 1], &summaries), ["not-settled"]);
        assert_eq!(codes(&[2, 1], &summaries), ["not-run", "not-settled"]);
        let nothing = vec![None; plan.runs.len()];
        let doubts = loss(&study, &plan.grilles[0], &plan, &nothing)
            .err()
            .unwrap();
        assert_eq!(doubts[0].code, "not-run");
    }

    #[test]
    fn the_table_and_a_repeat_know_the_swirl_and_a_slot_does_not() {
        let study = study("exhaust", "quick");
        let plan = plan(&study).unwrap();
        let summaries = all_solved(&plan);
        let batch = Batch {
            study: &study,
            plan: &plan,
            summaries: &summaries,
        };
        let [round, slots] = [0, 1].map(|index: usize| &plan.grilles[index].zones[0]);
        let known = batch.known_swirl(round);
        assert!(known.is_tabled && known.is_turned && known.outflow.is_none());
        let known = batch.known_swirl(slots);
        assert!(!known.is_tabled && !known.is_turned);
        // Holes beyond the table change with the angle as its holes do, but nothing is known of their turn.
        let beyond = ZonePlan {
            tabled: None,
            ..round.clone()
        };
        let known = batch.known_swirl(&beyond);
        assert!(known.is_tabled && !known.is_turned);
    }

    #[test]
    fn a_repeat_gives_the_level_by_what_the_air_loses_ahead_of_a_fan() {
        // Static K 2, total K 2.5 where the air comes in and goes out at angles; 30 degrees behind.
        for (side, level) in [("intake", 2.5), ("exhaust", 2.0)] {
            let study = study(side, "standard");
            let plan = plan(&study).unwrap();
            let zone = &plan.grilles[0].zones[0];
            let point = zone.repeat.as_ref().unwrap();
            let mut summaries = all_solved(&plan);
            for &index in &point.runs {
                let summary = summaries[index].as_mut().unwrap();
                summary.loss_coefficient = Likely::symmetric(2.0, 0.02);
                summary.oblique = Some(ObliqueFlow {
                    total_loss_coefficient: 2.5,
                    inflow_angle_deg: 40.0,
                    outflow_angle_deg: 30.0,
                    outflow_cross_angle_deg: 0.0,
                    side_force_coefficients: [0.0; 2],
                    torque_coefficient: 0.0,
                });
            }
            let batch = Batch {
                study: &study,
                plan: &plan,
                summaries: &summaries,
            };
            let solved = batch.levelled_zone(zone, point).unwrap();
            let seen = solved.law.loss_coefficient(point.face_velocity);
            assert!((seen - level).abs() < 1e-9, "{side}: {seen}");
            let outflow = batch.known_swirl(zone).outflow.unwrap();
            assert!((outflow - 1.0 / 3_f64.sqrt()).abs() < 1e-12);
        }
    }
}
