//! The whole result for other programs (`ranking.json`).
//!
//! The structs of this file are the format: its fields keep their names and order within one format version. Everything that may differ between two
//! runs of the same study (times, what was reused) stands in the last object, `this_run`; all before it is the same byte for byte.
//! A number that is missing or not finite is `null`.
//!
//! `ranking.schema.json` beside this file describes every key with its unit (JSON Schema, draft 2020-12) and allows no other.

use std::io::Write;

use serde::Serialize;

use crate::report::cautions::CAUTIONS;
use crate::report::pairs::PairTold;
use crate::report::reasons::why;
use crate::report::verdict::{reservation, verdict};
use crate::report::words::is_undecided;
use crate::report::{
    AirPathResult, BudgetTold, Contribution, FanViewTold, GrilleResult, GrilleSwirl, JetSeen,
    Likely, LossAtSpeed, MeterShown, ObliqueFlow, RunSummary, StudyResult, TurnTold, Warning,
    WhatIf, ZoneTold,
};
use crate::result::{Quality, Side, View};
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR, FlowUnit, PressureUnit};

/// Version of the ranking files.
pub const FORMAT_VERSION: u32 = 7;

/// What stands in a `ranking.json`, every key with its unit: JSON Schema, draft 2020-12.
pub const SCHEMA: &str = include_str!("ranking.schema.json");

#[derive(Serialize)]
struct Ranking<'a> {
    format: &'static str,
    format_version: u32,
    study: &'a str,
    code_version: &'a str,
    quality: Quality,
    side: Side,
    ranked_by: &'static str,
    answer: String,
    why: Option<String>,
    reservation: String,
    air: Air,
    reference_area: ReferenceArea<'a>,
    bare_flow_m3_per_h: Option<Likely>,
    given_flow_m3_per_h: Option<f64>,
    bare_meter: Option<MeterShown>,
    bare_fan_view: Option<FanView<'a>>,
    flow_unit: FlowUnit,
    pressure_unit: PressureUnit,
    blade_gap_mm: Option<f64>,
    heat_load_w: Option<f64>,
    bare_temperature_rise_k: Option<f64>,
    grilles: Vec<Grille<'a>>,
    air_path: Option<&'a AirPathResult>,
    what_if: Option<&'a WhatIf>,
    pairs: &'a [PairTold],
    ties: &'a [Vec<String>],
    warnings: &'a [Warning],
    cautions: [&'static str; CAUTIONS.len()],
    this_run: ThisRun<'a>,
}

#[derive(Serialize)]
struct Air {
    density_kg_per_m3: f64,
    kinematic_viscosity_m2_per_s: f64,
}

#[derive(Serialize)]
struct ReferenceArea<'a> {
    area_m2: f64,
    words: &'a str,
}

#[derive(Serialize)]
struct Grille<'a> {
    quality: Quality,
    rank: Option<u32>,
    name: &'a str,
    description: &'a str,
    is_turn_undecided: bool,
    flow_percent: Option<Likely>,
    flow_m3_per_h: Option<Likely>,
    flow_cfm: Option<Likely>,
    loss_coefficient: Option<Likely>,
    handbook_loss_coefficient: Option<Handbook<'a>>,
    pressure_drop_pa: Option<Likely>,
    face_velocity_m_per_s: Option<Likely>,
    hole_reynolds_number: Option<f64>,
    temperature_rise_k: Option<f64>,
    other_flows_m3_per_h: &'a [f64],
    swirl: Option<GrilleSwirl>,
    meter: Option<MeterShown>,
    fan_view: Option<FanView<'a>>,
    hole_area_percent: f64,
    zone_free_area_ratio: f64,
    hydraulic_diameter_mm: f64,
    thickness_mm: f64,
    hole_count: usize,
    finger_distance_mm: Option<f64>,
    see_through_percent: f64,
    turn: Option<&'a TurnTold>,
    contributions: &'a [Contribution],
    tied_with: &'a [String],
    zones: Vec<Zone<'a>>,
    runs: Vec<Run<'a>>,
    warnings: &'a [Warning],
}

#[derive(Serialize)]
struct Handbook<'a> {
    value: f64,
    formula: &'a str,
}

/// A patterned zone; K on the speed in front of it.
#[derive(Serialize)]
struct Zone<'a> {
    inner_diameter_mm: f64,
    outer_diameter_mm: f64,
    free_area_ratio: f64,
    hydraulic_diameter_mm: f64,
    face_velocity_m_per_s: Option<f64>,
    area_m2: Option<f64>,
    handbook_loss_coefficient: Option<Handbook<'a>>,
    loss_curve: &'a [LossAtSpeed],
    runs: &'a [String],
}

#[derive(Serialize)]
struct Run<'a> {
    key: &'a str,
    view: View,
    face_velocity_m_per_s: f64,
    hole_reynolds_number: f64,
    cells_across: f64,
    loss_coefficient: Likely,
    loss_coefficient_by_force: f64,
    oblique: Option<ObliqueFlow>,
    density_rise: f64,
    stop_reason: &'a str,
    is_valid: bool,
    step_count: u64,
    cell_count: u64,
    warnings: &'a [Warning],
}

/// A trend: an axisymmetric flow stretches no vortices.
#[derive(Serialize)]
struct FanView<'a> {
    key: &'a str,
    is_valid: bool,
    stop_reason: &'a str,
    bore_velocity_m_per_s: f64,
    cells_per_bore_radius: f64,
    jet: &'a [JetSeen],
    hub_wake_mm: Option<f64>,
    is_hub_wake_beyond_view: Option<bool>,
    swirl_number_in: Option<f64>,
    swirl_number_out: Option<f64>,
    bench_distance_mm: Option<f64>,
    bench_swirl_angle_deg: Option<f64>,
    bench_turbulence_percent: Option<f64>,
    total_pressure_swing_percent: Option<f64>,
    paid_loss_coefficient: Option<f64>,
    rings_key: Option<&'a str>,
    warnings: &'a [Warning],
}

#[derive(Serialize)]
struct ThisRun<'a> {
    elapsed_s: f64,
    budget: Option<&'a BudgetTold>,
    runs: Vec<RunTime<'a>>,
}

#[derive(Serialize)]
struct RunTime<'a> {
    key: &'a str,
    elapsed_s: f64,
    was_reused: bool,
}

/// Writes the result as indented JSON with a line end at the end.
///
/// # Errors
/// What `out` reports.
pub fn write_ranking_json(
    result: &StudyResult,
    mut out: impl Write,
) -> Result<(), serde_json::Error> {
    serde_json::to_writer_pretty(&mut out, &ranking(result))?;
    out.write_all(b"\n").map_err(serde_json::Error::io)
}

fn ranking(result: &StudyResult) -> Ranking<'_> {
    let solved = result.grilles.iter().flat_map(|grille| &grille.runs);
    let views = result.grilles.iter().filter_map(|g| g.fan_view.as_ref());
    let views = views.chain(&result.bare_fan_view);
    let runs = solved.chain(views.flat_map(|view| std::iter::once(&view.run).chain(&view.rings)));
    // A no-break space keeps number and unit together on a screen; in a file it surprises.
    let plain = |text: String| text.replace('\u{a0}', " ");
    Ranking {
        format: "ventwright ranking",
        format_version: result.format,
        study: &result.study,
        code_version: &result.code_version,
        quality: result.quality,
        side: result.side,
        ranked_by: if result.given_flow_m3_per_h.is_some() {
            "pressure_drop_pa"
        } else {
            "flow_percent"
        },
        answer: plain(verdict(result)),
        why: why(result).map(plain),
        reservation: plain(reservation(result)),
        air: Air {
            density_kg_per_m3: result.air_density_kg_per_m3,
            kinematic_viscosity_m2_per_s: result.kinematic_viscosity_m2_per_s,
        },
        reference_area: ReferenceArea {
            area_m2: result.reference_area_m2,
            words: &result.reference_area_words,
        },
        bare_flow_m3_per_h: result.bare_flow_m3_per_h,
        given_flow_m3_per_h: result.given_flow_m3_per_h,
        bare_meter: result.bare_meter,
        bare_fan_view: result.bare_fan_view.as_ref().map(fan_view),
        flow_unit: result.told_units.flow,
        pressure_unit: result.told_units.pressure,
        blade_gap_mm: result.blade_gap_mm,
        heat_load_w: result.heat_load_w,
        bare_temperature_rise_k: result.bare_temperature_rise_k,
        grilles: result.grilles.iter().map(grille).collect(),
        air_path: result.air_path.as_ref(),
        what_if: result.what_if.as_ref(),
        pairs: &result.pairs,
        ties: &result.ties,
        warnings: &result.warnings,
        cautions: CAUTIONS,
        this_run: ThisRun {
            elapsed_s: result.elapsed_s,
            budget: result.budget.as_ref(),
            runs: runs
                .map(|run| RunTime {
                    key: &run.key,
                    elapsed_s: run.elapsed_s,
                    was_reused: run.was_reused,
                })
                .collect(),
        },
    }
}

fn grille(grille: &GrilleResult) -> Grille<'_> {
    let cfm = |flow: f64| flow / CUBIC_METRES_PER_HOUR * CUBIC_FEET_PER_MINUTE;
    Grille {
        quality: grille.quality,
        rank: grille.rank,
        name: &grille.name,
        description: &grille.description,
        is_turn_undecided: is_undecided(grille),
        flow_percent: grille.flow_percent,
        flow_m3_per_h: grille.flow_m3_per_h,
        flow_cfm: grille.flow_m3_per_h.map(|flow| Likely {
            value: cfm(flow.value),
            low: cfm(flow.low),
            high: cfm(flow.high),
        }),
        loss_coefficient: grille.loss_coefficient,
        handbook_loss_coefficient: handbook(grille.handbook_loss_coefficient.as_ref()),
        pressure_drop_pa: grille.pressure_drop_pa,
        face_velocity_m_per_s: grille.face_velocity_m_per_s,
        hole_reynolds_number: grille.hole_reynolds_number,
        temperature_rise_k: grille.temperature_rise_k,
        other_flows_m3_per_h: &grille.other_flows_m3_per_h,
        swirl: grille.swirl,
        meter: grille.meter,
        fan_view: grille.fan_view.as_ref().map(fan_view),
        hole_area_percent: grille.hole_area_percent,
        zone_free_area_ratio: grille.zone_free_area_ratio,
        hydraulic_diameter_mm: grille.hydraulic_diameter_mm,
        thickness_mm: grille.thickness_mm,
        hole_count: grille.hole_count,
        finger_distance_mm: grille.finger_distance_mm,
        see_through_percent: grille.see_through_percent,
        turn: grille.turn.as_ref(),
        contributions: &grille.contributions,
        tied_with: &grille.tied_with,
        zones: grille.zones.iter().map(zone).collect(),
        runs: grille.runs.iter().map(run).collect(),
        warnings: &grille.warnings,
    }
}

fn handbook(told: Option<&(f64, String)>) -> Option<Handbook<'_>> {
    told.map(|(value, formula)| Handbook {
        value: *value,
        formula,
    })
}

fn zone(told: &ZoneTold) -> Zone<'_> {
    Zone {
        inner_diameter_mm: told.inner_diameter_mm,
        outer_diameter_mm: told.outer_diameter_mm,
        free_area_ratio: told.free_area_ratio,
        hydraulic_diameter_mm: told.hydraulic_diameter_mm,
        face_velocity_m_per_s: told.face_velocity_m_per_s,
        area_m2: told.area_m2,
        handbook_loss_coefficient: handbook(told.handbook_loss_coefficient.as_ref()),
        loss_curve: &told.loss_curve,
        runs: &told.runs,
    }
}

fn fan_view(told: &FanViewTold) -> FanView<'_> {
    let (run, seen) = (&told.run, told.seen());
    FanView {
        key: &run.key,
        is_valid: run.is_valid,
        stop_reason: &run.stop_reason,
        bore_velocity_m_per_s: run.face_velocity_m_per_s,
        cells_per_bore_radius: run.cells_across,
        jet: seen.map_or(&[], |seen| &seen.jet),
        hub_wake_mm: seen.map(|seen| seen.hub_wake_mm),
        is_hub_wake_beyond_view: seen.map(|seen| seen.is_hub_wake_beyond_view),
        swirl_number_in: seen.map(|seen| seen.swirl_number_in),
        swirl_number_out: seen.map(|seen| seen.swirl_number_out),
        bench_distance_mm: seen.map(|seen| seen.bench_distance_mm),
        bench_swirl_angle_deg: seen.and_then(|seen| seen.bench_swirl_angle_deg),
        bench_turbulence_percent: seen.and_then(|seen| seen.bench_turbulence_percent),
        total_pressure_swing_percent: seen.and_then(|seen| seen.total_pressure_swing_percent),
        paid_loss_coefficient: told.paid_loss_coefficient,
        rings_key: told.rings.as_ref().map(|run| run.key.as_str()),
        warnings: &run.warnings,
    }
}

fn run(run: &RunSummary) -> Run<'_> {
    Run {
        key: &run.key,
        view: run.view,
        face_velocity_m_per_s: run.face_velocity_m_per_s,
        hole_reynolds_number: run.hole_reynolds_number,
        cells_across: run.cells_across,
        loss_coefficient: run.loss_coefficient,
        loss_coefficient_by_force: run.loss_coefficient_by_force,
        oblique: run.oblique,
        density_rise: run.density_rise,
        stop_reason: &run.stop_reason,
        is_valid: run.is_valid,
        step_count: run.step_count,
        cell_count: run.cell_count,
        warnings: &run.warnings,
    }
}
