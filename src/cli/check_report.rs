//! The text of `ventwright check`: what follows from a study, in 80 columns.

use std::fmt::Write as _;

use crate::cli::check_details::{CheckPart, Shown};
use crate::cli::check_fabric::write_fabric;
use crate::cli::check_grille::write_grille;
use crate::cli::check_path::{panel_lines, place_in_words};
use crate::cli::check_plan::write_plan;
use crate::cli::check_screen::write_screen;
use crate::cli::check_swirl::exit_in_words;
use crate::cli::check_table::write_table;
use crate::cli::checked::{CheckedGrille, write_wrapped};
use crate::cli::expectation::bare_flow;
use crate::cli::foreseen::RunPlan;
use crate::fan::Supply;
use crate::study::{Side, Study, study_cautions};
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR};

/// Everything that `check` prints.
pub(super) fn check_report(
    study: &Study,
    grilles: &[CheckedGrille<'_>],
    plan: Option<&RunPlan>,
    shown: &Shown,
) -> String {
    let mut text = String::new();
    // Writing into a `String` cannot fail.
    let _ = write_report(&mut text, study, grilles, plan, shown);
    text
}

fn write_report(
    out: &mut String,
    study: &Study,
    grilles: &[CheckedGrille<'_>],
    plan: Option<&RunPlan>,
    shown: &Shown,
) -> std::fmt::Result {
    write_heading(out, study, grilles.len())?;
    if shown.has_screen {
        write_screen(out, study, grilles, plan)?;
        if shown.has_parts() {
            writeln!(out)?;
        }
    }
    if shown.has(CheckPart::Study) {
        write_study(out, study)?;
    }
    if shown.has(CheckPart::Table) {
        write_table(out, study, grilles)?;
    }
    if shown.has(CheckPart::Grilles) {
        for checked in grilles {
            write_grille(out, study, checked)?;
        }
    }
    if shown.has(CheckPart::Fabrics) {
        for fabric in &study.fabrics {
            write_fabric(out, study, fabric)?;
        }
    }
    if shown.has(CheckPart::Twins) {
        write_missing_twins(out, study)?;
    }
    if shown.has(CheckPart::Runs) {
        write_plan(out, study, plan)?;
    }
    if shown.has(CheckPart::Cautions) {
        writeln!(out, "Cautions")?;
        for caution in study_cautions(study) {
            let text = format!("{}; {}", caution.message, caution.advice);
            write_wrapped(out, "  ", &text)?;
        }
    }
    Ok(())
}

/// Offers a straight twin for every grille whose openings turn and that has none: only beside it one sees what the turn does.
fn write_missing_twins(out: &mut String, study: &Study) -> std::fmt::Result {
    let lonely = study
        .grilles
        .iter()
        .filter(|grille| study.straight_twin(grille) == Some(None));
    let names: Vec<&str> = lonely.map(|grille| grille.name.as_str()).collect();
    if names.is_empty() {
        return Ok(());
    }
    writeln!(out, "Straight twins")?;
    write_wrapped(
        out,
        "  ",
        &format!(
            "no straight twin: {}; to see what the turn does, copy the table [[grille]], give it another name and leave its turn out (twist_deg, lean_deg, pattern_twist_deg)",
            names.join(", ")
        ),
    )?;
    writeln!(out)
}

fn write_heading(out: &mut String, study: &Study, grille_count: usize) -> std::fmt::Result {
    let plural = if grille_count == 1 { "" } else { "s" };
    write_wrapped(
        out,
        "",
        &format!(
            "{}: {grille_count} grille{plural}, no errors, nothing was run",
            study.name
        ),
    )?;
    writeln!(out)
}

fn write_study(out: &mut String, study: &Study) -> std::fmt::Result {
    let area = study.reference_area();
    write_wrapped(
        out,
        "  ",
        &format!(
            "fan: {}, {} = {:.1} cm2, the reference area of every K",
            study.fan.name,
            study.reference_area_in_words(),
            area * 1e4
        ),
    )?;
    write_wrapped(
        out,
        "  ",
        &format!("what it delivers: {}", supply_in_words(&study.fan.supply)),
    )?;
    let side = match (study.place.side, study.vent.is_some()) {
        (Side::Intake, false) => "intake: the air meets the front of the grille, then the fan",
        (Side::Exhaust, false) => "exhaust: the air meets the back of the grille after the fan",
        (Side::Intake, true) => {
            "intake: the air comes in through the vent, front of the grille first"
        }
        (Side::Exhaust, true) => {
            "exhaust: the air goes out through the vent, back of the grille first"
        }
    };
    write_wrapped(
        out,
        "  ",
        &format!("place: {side}; {}", place_in_words(study)),
    )?;
    for line in panel_lines(study) {
        write_wrapped(out, "  ", &line)?;
    }
    write_wrapped(
        out,
        "  ",
        &format!(
            "air: {} °C, {:.1} hPa, {:.3} kg/m3, {:.2} mm2/s",
            study.air.temperature_c,
            study.air.pressure / 100.0,
            study.air.density,
            study.air.kinematic_viscosity * 1e6
        ),
    )?;
    let bare = bare_flow(study);
    let flow_in_words = match bare {
        Some(flow) => flow_in_words(study, flow),
        None => "flow: none, the fan never makes the pressure that the PC case costs".to_owned(),
    };
    write_wrapped(out, "  ", &flow_in_words)?;
    if let Some(swirl) = bare.and_then(|flow| exit_in_words(study, flow)) {
        write_wrapped(out, "  ", &swirl)?;
    }
    writeln!(out)
}

fn supply_in_words(supply: &Supply) -> String {
    match supply {
        Supply::Curve(curve) => format!(
            "a curve of {} points, up to {:.1} m3/h and {:.1} Pa",
            curve.flow.len(),
            curve.flow.last().copied().unwrap_or(0.0) * CUBIC_METRES_PER_HOUR,
            curve.pressure.iter().copied().fold(0.0, f64::max)
        ),
        Supply::TwoNumbers {
            free_flow,
            shut_off_pressure,
        } => format!(
            "the two numbers on the box, {:.1} m3/h and {shut_off_pressure:.1} Pa; the shape of the curve between them is uncertain",
            free_flow * CUBIC_METRES_PER_HOUR
        ),
        Supply::GivenFlow(flow) => {
            format!(
                "no fan, a given flow of {:.1} m3/h",
                flow * CUBIC_METRES_PER_HOUR
            )
        }
    }
}

fn flow_in_words(study: &Study, flow: f64) -> String {
    let which = match study.fan.supply {
        Supply::GivenFlow(_) => "as given",
        Supply::Curve(_) | Supply::TwoNumbers { .. } => "without a grille",
    };
    let mut text = format!(
        "flow {which}: {:.1} m3/h ({:.0} CFM), mean air speed {:.2} m/s on the reference area",
        flow * CUBIC_METRES_PER_HOUR,
        flow * CUBIC_FEET_PER_MINUTE,
        flow / study.reference_area()
    );
    if let Some(heat_load) = study.place.heat_load {
        let rise = study.air.temperature_rise(heat_load, flow);
        let _ = write!(text, "; {heat_load} W warm it by {rise:.1} K on average");
    }
    text
}
