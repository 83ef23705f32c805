//! The ranking as a table for spreadsheets and scripts (`ranking.csv`).
//!
//! One line per grille, best first; names of columns carry their units; a missing number is an empty field; a point is the decimal sign.
//! `*_low` and `*_high` are the ends of the 95 % interval.

use std::io::Write;

use crate::report::Likely;
use crate::result::{AirPathOfGrille, GrilleResult, PairComparison, StudyResult};
use crate::text::SpreadsheetWriter;

/// A column of the table.
#[derive(Debug, Clone, Copy)]
pub struct Column {
    /// Name in the head of the table.
    pub name: &'static str,
    /// Unit as it is written; empty for words, counts and bare numbers.
    pub unit: &'static str,
    /// What stands in it.
    pub meaning: &'static str,
    field: fn(&Row<'_>) -> String,
}

/// What the fields of a line are taken from.
struct Row<'a> {
    result: &'a StudyResult,
    grille: &'a GrilleResult,
    path: Option<&'a AirPathOfGrille>,
    /// The pair with the next grille of the ranking.
    next: Option<&'a PairComparison>,
}

macro_rules! columns {
    ($row:ident; $($name:ident [$unit:literal] $meaning:literal: $field:expr;)*) => {
        &[$(Column {
            name: stringify!($name),
            unit: $unit,
            meaning: $meaning,
            field: |$row| Field::written($field),
        }),*]
    };
}

/// The columns, in order.
pub const COLUMNS: &[Column] = columns! { row;
    rank [""] "place, 1 is best; equal for grilles tied with a better one": row.grille.rank.map(f64::from);
    grille [""] "name from the study": row.grille.name.as_str();
    description [""] "what it is": row.grille.description.as_str();
    quality [""] "how deep it was solved": row.grille.quality.to_string().as_str();
    tied_with [""] "names of those that it is neither behind nor ahead of": tied_with(row).as_str();
    is_turn_undecided [""] "whether its openings turn but were solved as straight ones": row.grille.is_turn_undecided;
    flow_percent_of_bare_fan ["%"] "flow where the fan settles, over that of the bare fan": best(row.grille.flow_percent);
    flow_percent_of_bare_fan_low ["%"] "its low end": low(row.grille.flow_percent);
    flow_percent_of_bare_fan_high ["%"] "its high end": high(row.grille.flow_percent);
    flow_m3_per_h ["m³/h"] "flow where the fan settles": best(row.grille.flow_m3_per_h);
    flow_m3_per_h_low ["m³/h"] "its low end": low(row.grille.flow_m3_per_h);
    flow_m3_per_h_high ["m³/h"] "its high end": high(row.grille.flow_m3_per_h);
    flow_cfm ["CFM"] "the same flow": best(row.grille.flow_cfm);
    loss_coefficient [""] "K where the fan settles": best(row.grille.loss_coefficient);
    loss_coefficient_low [""] "its low end": low(row.grille.loss_coefficient);
    loss_coefficient_high [""] "its high end": high(row.grille.loss_coefficient);
    loss_coefficient_reference_area_m2 ["m²"] "area that K and the mean air speed are based on": row.result.reference_area.area_m2;
    handbook_loss_coefficient [""] "K by a handbook formula": row.grille.handbook_loss_coefficient.as_ref().map(|it| it.value);
    pressure_drop_pa ["Pa"] "pressure that the grille costs there": best(row.grille.pressure_drop_pa);
    pressure_drop_pa_low ["Pa"] "its low end": low(row.grille.pressure_drop_pa);
    pressure_drop_pa_high ["Pa"] "its high end": high(row.grille.pressure_drop_pa);
    face_velocity_m_per_s ["m/s"] "mean air speed on the reference area": best(row.grille.face_velocity_m_per_s);
    hole_reynolds_number [""] "Reynolds number in the holes, on the hydraulic diameter": row.grille.hole_reynolds_number;
    hole_area_percent ["%"] "open area of the whole bore, over the reference area": row.grille.hole_area_percent;
    zone_free_area_ratio [""] "open area of the patterned zone over its area": row.grille.zone_free_area_ratio;
    hydraulic_diameter_mm ["mm"] "effective hole width": row.grille.hydraulic_diameter_mm;
    thickness_mm ["mm"] "thickness": row.grille.thickness_mm;
    hole_count [""] "holes or slots": row.grille.hole_count;
    temperature_rise_k ["K"] "mean rise of the air's temperature": row.grille.temperature_rise_k;
    other_flows_m3_per_h ["m³/h"] "further flows at which the fan could settle": other_flows(row.grille).as_str();
    static_loss_coefficient_of_holes [""] "behind a fan: static K of the holes, each where it stands": row.grille.swirl.map(|it| it.static_loss_coefficient);
    lost_suction_loss_coefficient [""] "behind a fan: what the lost suction of the turning core adds": row.grille.swirl.map(|it| it.lost_suction_loss_coefficient);
    total_loss_coefficient [""] "behind a fan: K by the total pressure": row.grille.swirl.map(|it| it.total_loss_coefficient);
    swirl_torque_n_m ["N m"] "torque of the air on the grille, positive with the fan's rotation": row.grille.swirl.map(|it| it.torque_n_m);
    meter_reading_m_per_s_low ["m/s"] "least expected reading of the meter": row.grille.meter.map(|it| it.reading_m_per_s[0]);
    meter_reading_m_per_s_high ["m/s"] "largest expected reading of the meter": row.grille.meter.map(|it| it.reading_m_per_s[1]);
    meter_percent_of_bare_fan_low ["%"] "the least, over that behind the bare fan": meter_percent(row.grille, 0);
    meter_percent_of_bare_fan_high ["%"] "the largest, over that behind the bare fan": meter_percent(row.grille, 1);
    panels_pressure_drop_pa ["Pa"] "pressure that all panels cost": row.path.map(panels_pressure);
    pc_case_pressure_over_room_pa ["Pa"] "pressure in the PC case over that of the room": row.path.map(|it| it.case_pressure_pa);
    fan_speed_ratio_for_bare_flow [""] "how many times as fast the fan would have to turn to move what the bare fan moves": row.path.and_then(|it| it.speed_ratio_for_bare_flow);
    rig_flow_m3_per_h ["m³/h"] "flow on the rig": row.path.and_then(|it| Some(it.on_rig.as_ref()?.flow_m3_per_h.value));
    rig_flow_percent_of_bare_fan ["%"] "the same, over that of the bare fan on the rig": row.path.and_then(|it| best(it.on_rig.as_ref()?.flow_percent));
    probability_better_than_next [""] "probability that it is really better than the next, these two alone considered": row.next.map(|it| it.probability);
    bench_remounts_to_tell_from_next [""] "remounts of each that would show the difference on a bench": row.next.and_then(|it| it.separation.as_ref()?.bench_remounts);
    largest_doubt [""] "the largest part of its likely range": row.grille.contributions.first().map_or("", |it| &it.source);
    largest_doubt_percent ["%"] "half the width of that part, over the flow (over the pressure drop at a given flow)": row.grille.contributions.first().map(|it| it.half_width_percent);
    warnings [""] "codes of the doubts about it and its runs": codes(row.grille).as_str();
};

/// Writes the ranking as comma-separated values.
///
/// A text that a spreadsheet would take for a formula gets an apostrophe in front ([`SpreadsheetWriter`]); `ranking.json` has it as it is.
///
/// # Errors
/// What `out` reports.
pub fn write_ranking_csv(result: &StudyResult, out: impl Write) -> Result<(), csv::Error> {
    let mut writer = SpreadsheetWriter::new(out);
    writer.row(COLUMNS.iter().map(|column| column.name))?;
    for grille in &result.grilles {
        let mut paths = result.air_path.iter().flat_map(|path| &path.grilles);
        let row = Row {
            result,
            grille,
            path: paths.find(|path| path.id == grille.id),
            // Pairs stand best first, so the first one with this grille in front is that with the next.
            next: result.pairs.iter().find(|pair| pair.better.id == grille.id),
        };
        writer.row(COLUMNS.iter().map(|column| (column.field)(&row)))?;
    }
    writer.end()
}

fn best(likely: Option<Likely>) -> Option<f64> {
    likely.map(|likely| likely.value)
}

fn low(likely: Option<Likely>) -> Option<f64> {
    likely.map(|likely| likely.low)
}

fn high(likely: Option<Likely>) -> Option<f64> {
    likely.map(|likely| likely.high)
}

fn tied_with(row: &Row<'_>) -> String {
    let tied = row.result.tied_with(row.grille.id);
    let names: Vec<&str> = tied.map(|other| other.name.as_str()).collect();
    names.join("; ")
}

fn other_flows(grille: &GrilleResult) -> String {
    let flows = grille.other_flows_m3_per_h.iter();
    flows
        .map(|&flow| flow.written())
        .collect::<Vec<_>>()
        .join("; ")
}

fn meter_percent(grille: &GrilleResult, end: usize) -> Option<f64> {
    Some(grille.meter?.reading_percent_of_bare_fan?[end])
}

/// Pressure drop of all panels, Pa: the shares less those of grille and PC case.
fn panels_pressure(path: &AirPathOfGrille) -> f64 {
    let panels = path.shares.iter().filter(|share| share.is_panel);
    panels.map(|share| share.pressure_pa).sum()
}

fn codes(grille: &GrilleResult) -> String {
    let of_runs = grille.runs.iter().flat_map(|run| &run.warnings);
    let warnings = grille.warnings.iter().chain(of_runs);
    let mut codes: Vec<&str> = warnings.map(|warning| &*warning.code).collect();
    codes.sort_unstable();
    codes.dedup();
    codes.join("; ")
}

/// What can stand in a field.
trait Field {
    fn written(self) -> String;
}

impl Field for f64 {
    /// Six significant digits: more than any number here is worth, and short enough to read.
    fn written(self) -> String {
        if !self.is_finite() {
            return String::new();
        }
        let rounded: f64 = format!("{self:.5e}").parse().unwrap_or(self);
        // A negative zero is of no use to anybody.
        format!("{}", rounded + 0.0)
    }
}

impl Field for &str {
    fn written(self) -> String {
        self.to_owned()
    }
}

impl Field for usize {
    fn written(self) -> String {
        self.to_string()
    }
}

impl Field for bool {
    fn written(self) -> String {
        self.to_string()
    }
}

impl<F: Field> Field for Option<F> {
    fn written(self) -> String {
        self.map_or_else(String::new, Field::written)
    }
}
