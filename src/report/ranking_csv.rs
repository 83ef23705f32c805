//! The ranking as a table for spreadsheets and scripts (`ranking.csv`).
//!
//! One line per grille, best first; names of columns carry their units; a missing number is an empty field; a point is the decimal sign.
//! `*_low` and `*_high` are the ends of the 95 % interval.

use std::io::Write;

use crate::report::words::is_undecided;
use crate::report::{AirPathOfGrille, GrilleResult, Likely, StudyResult};
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR};

/// Names of the columns, in order.
pub const COLUMNS: [&str; 48] = [
    "rank",
    "grille",
    "description",
    "quality",
    "tied_with",
    "is_turn_undecided",
    "flow_percent_of_bare_fan",
    "flow_percent_of_bare_fan_low",
    "flow_percent_of_bare_fan_high",
    "flow_m3_per_h",
    "flow_m3_per_h_low",
    "flow_m3_per_h_high",
    "flow_cfm",
    "loss_coefficient",
    "loss_coefficient_low",
    "loss_coefficient_high",
    "loss_coefficient_reference_area_m2",
    "handbook_loss_coefficient",
    "pressure_drop_pa",
    "pressure_drop_pa_low",
    "pressure_drop_pa_high",
    "face_velocity_m_per_s",
    "hole_reynolds_number",
    "hole_area_percent",
    "zone_free_area_ratio",
    "hydraulic_diameter_mm",
    "thickness_mm",
    "hole_count",
    "temperature_rise_k",
    "other_flows_m3_per_h",
    "static_loss_coefficient_of_holes",
    "lost_suction_loss_coefficient",
    "total_loss_coefficient",
    "swirl_torque_n_m",
    "meter_reading_m_per_s_low",
    "meter_reading_m_per_s_high",
    "meter_percent_of_bare_fan_low",
    "meter_percent_of_bare_fan_high",
    "panels_pressure_drop_pa",
    "pc_case_pressure_over_room_pa",
    "fan_speed_ratio_for_bare_flow",
    "rig_flow_m3_per_h",
    "rig_flow_percent_of_bare_fan",
    "probability_better_than_next",
    "bench_remounts_to_tell_from_next",
    "largest_doubt",
    "largest_doubt_percent",
    "warnings",
];

/// Writes the ranking as comma-separated values.
///
/// A text that a spreadsheet would take for a formula (it begins with `=`, `+`, `-`, `@` or a control character) gets an apostrophe in front;
/// `ranking.json` has it as it is.
///
/// # Errors
/// What `out` reports.
pub fn write_ranking_csv(result: &StudyResult, out: impl Write) -> Result<(), csv::Error> {
    let mut writer = csv::Writer::from_writer(out);
    writer.write_record(COLUMNS)?;
    for grille in &result.grilles {
        writer.write_record(fields(result, grille))?;
    }
    writer.flush()?;
    Ok(())
}

fn fields(result: &StudyResult, grille: &GrilleResult) -> [String; 48] {
    let [percent, percent_low, percent_high] = range(grille.flow_percent);
    let [flow, flow_low, flow_high] = range(grille.flow_m3_per_h);
    let [k, k_low, k_high] = range(grille.loss_coefficient);
    let [drop, drop_low, drop_high] = range(grille.pressure_drop_pa);
    let cfm = grille
        .flow_m3_per_h
        .map(|flow| flow.value / CUBIC_METRES_PER_HOUR * CUBIC_FEET_PER_MINUTE);
    let handbook = grille
        .handbook_loss_coefficient
        .as_ref()
        .map(|(value, _)| *value);
    let other_flows: Vec<String> = grille
        .other_flows_m3_per_h
        .iter()
        .map(|flow| number(*flow))
        .collect();
    let doubt = grille.contributions.first();
    let paths = result.air_path.iter().flat_map(|path| &path.grilles);
    let path = paths.into_iter().find(|path| path.name == grille.name);
    let on_rig = path.and_then(|path| path.on_rig.as_ref());
    let swirl = grille.swirl;
    let shown = grille.meter.map(|meter| meter.reading_m_per_s);
    let percent_shown = grille
        .meter
        .and_then(|meter| meter.reading_percent_of_bare_fan);
    // Pairs stand best first, so the first one with this grille in front is that with the next.
    let next = result.pairs.iter().find(|pair| pair.better == grille.name);
    let remounts = next.and_then(|pair| pair.separation.as_ref()?.bench_remounts);
    let mut codes: Vec<&str> = grille
        .warnings
        .iter()
        .chain(grille.runs.iter().flat_map(|run| &run.warnings))
        .map(|warning| &*warning.code)
        .collect();
    codes.sort_unstable();
    codes.dedup();
    [
        grille.rank.map_or(String::new(), |rank| rank.to_string()),
        text(&grille.name),
        text(&grille.description),
        grille.quality.clone(),
        text(&grille.tied_with.join("; ")),
        is_undecided(grille).to_string(),
        percent,
        percent_low,
        percent_high,
        flow,
        flow_low,
        flow_high,
        optional(cfm),
        k,
        k_low,
        k_high,
        number(result.reference_area_m2),
        optional(handbook),
        drop,
        drop_low,
        drop_high,
        optional(grille.face_velocity_m_per_s.map(|velocity| velocity.value)),
        optional(grille.hole_reynolds_number),
        number(grille.hole_area_percent),
        number(grille.zone_free_area_ratio),
        number(grille.hydraulic_diameter_mm),
        number(grille.thickness_mm),
        grille.hole_count.to_string(),
        optional(grille.temperature_rise_k),
        other_flows.join("; "),
        optional(swirl.map(|swirl| swirl.static_loss_coefficient)),
        optional(swirl.map(|swirl| swirl.lost_suction_loss_coefficient)),
        optional(swirl.map(|swirl| swirl.total_loss_coefficient)),
        optional(swirl.map(|swirl| swirl.torque_n_m)),
        optional(shown.map(|shown| shown[0])),
        optional(shown.map(|shown| shown[1])),
        optional(percent_shown.map(|shown| shown[0])),
        optional(percent_shown.map(|shown| shown[1])),
        optional(path.map(panels_pressure)),
        optional(path.map(|path| path.case_pressure_pa)),
        optional(path.and_then(|path| path.speed_ratio_for_bare_flow)),
        optional(on_rig.map(|rig| rig.flow_m3_per_h.value)),
        optional(on_rig.and_then(|rig| Some(rig.flow_percent?.value))),
        optional(next.map(|pair| pair.probability)),
        remounts.map_or(String::new(), |remounts| remounts.to_string()),
        doubt.map_or(String::new(), |doubt| text(&doubt.source)),
        optional(doubt.map(|doubt| doubt.half_width_percent)),
        codes.join("; "),
    ]
}

/// Pressure drop of all panels, Pa: the shares less those of grille and PC case.
fn panels_pressure(path: &AirPathOfGrille) -> f64 {
    let panels = path.shares.iter().filter(|share| share.is_panel);
    panels.map(|share| share.pressure_pa).sum()
}

fn range(likely: Option<Likely>) -> [String; 3] {
    likely.map_or_else(Default::default, |likely| {
        [likely.value, likely.low, likely.high].map(number)
    })
}

fn optional(value: Option<f64>) -> String {
    value.map_or(String::new(), number)
}

/// Six significant digits: more than any number here is worth, and short enough to read.
fn number(value: f64) -> String {
    if !value.is_finite() {
        return String::new();
    }
    let rounded: f64 = format!("{value:.5e}").parse().unwrap_or(value);
    // A negative zero is of no use to anybody.
    format!("{}", rounded + 0.0)
}

fn text(text: &str) -> String {
    let is_formula =
        text.starts_with(['=', '+', '-', '@']) || text.starts_with(|c: char| c.is_control());
    if is_formula {
        format!("'{text}")
    } else {
        text.to_owned()
    }
}
