//! The text of `ventwright check`: what follows from a study, in 80 columns.

use std::fmt::Write as _;

use unicode_width::UnicodeWidthStr;

use crate::cli::check_fabric::write_fabric;
use crate::cli::check_grille::write_grille;
use crate::cli::check_path::{panel_lines, place_in_words};
use crate::cli::check_plan::write_plan;
use crate::cli::check_swirl::exit_in_words;
use crate::cli::checked::{CheckedGrille, reference_share, write_wrapped};
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
) -> String {
    let mut text = String::new();
    // Writing into a `String` cannot fail.
    let _ = write_report(&mut text, study, grilles, plan);
    text
}

fn write_report(
    out: &mut String,
    study: &Study,
    grilles: &[CheckedGrille<'_>],
    plan: Option<&RunPlan>,
) -> std::fmt::Result {
    write_study(out, study, grilles.len())?;
    write_table(out, study, grilles)?;
    for checked in grilles {
        write_grille(out, study, checked)?;
    }
    for fabric in &study.fabrics {
        write_fabric(out, study, fabric)?;
    }
    write_missing_twins(out, study)?;
    write_plan(out, study, plan)?;
    writeln!(out, "Cautions")?;
    for caution in study_cautions(study) {
        write_wrapped(
            out,
            "  ",
            &format!("{}; {}", caution.message, caution.advice),
        )?;
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

fn write_study(out: &mut String, study: &Study, grille_count: usize) -> std::fmt::Result {
    let plural = if grille_count == 1 { "" } else { "s" };
    write_wrapped(
        out,
        "",
        &format!(
            "{}: {grille_count} grille{plural}, no errors, nothing was run",
            study.name
        ),
    )?;
    writeln!(out)?;
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

/// One line for each grille.
fn write_table(out: &mut String, study: &Study, grilles: &[CheckedGrille<'_>]) -> std::fmt::Result {
    let name_columns = grilles
        .iter()
        .map(|checked| checked.grille.name.width())
        .max()
        .unwrap_or(0)
        .clamp(6, 31);
    writeln!(
        out,
        "{}  hole %  holes  width  t/Dh   rib     Re  book K",
        padded("grille", name_columns)
    )?;
    for checked in grilles {
        let geometry = &checked.geometry;
        let Some(zone) = geometry.zones.first() else {
            continue;
        };
        let least_rib = geometry.zones.iter().map(|zone| zone.least_rib);
        let least_rib = least_rib.fold(f64::INFINITY, f64::min);
        let expectation = checked.expectation.as_ref();
        let reynolds_number = expectation
            .and_then(|expectation| expectation.hole_reynolds_numbers.first())
            .map_or("-".to_owned(), |number| format!("{number:.0}"));
        let handbook = expectation
            .and_then(|expectation| expectation.handbook.ok())
            .map_or("-".to_owned(), |(loss, _)| format!("{loss:.2}"));
        let shares = reference_share(study, geometry);
        writeln!(
            out,
            "{}  {:>6.1}  {:>5}  {:>5.2}  {:>4.2}  {:>4.2}  {:>5}  {:>6}",
            padded(&checked.grille.name, name_columns),
            100.0 * shares,
            geometry.hole_count,
            zone.hydraulic_diameter * 1000.0,
            zone.thickness_ratio,
            least_rib * 1000.0,
            reynolds_number,
            handbook
        )?;
    }
    write_wrapped(
        out,
        "",
        "hole %: hole area in per cent of the reference area; width: effective hole width (hydraulic diameter Dh) in mm; t/Dh: thickness \
         over it; rib: the thinnest over the whole thickness in mm; Re: Reynolds number in the holes, on Dh, at the flow expected from a \
         handbook; book K: K from that handbook on the reference area, - outside the range of its formula. With several zones, the innermost.",
    )?;
    writeln!(out)
}

/// The text in exactly this many columns of a terminal; if longer, `..` stands in place of its middle.
pub(super) fn padded(text: &str, columns: usize) -> String {
    let mut fitting = text.to_owned();
    if fitting.width() > columns {
        let mut letters: Vec<char> = text.chars().collect();
        let mut middle = letters.len() / 2;
        while letters.iter().collect::<String>().width() + 2 > columns && letters.len() > 1 {
            middle = middle.min(letters.len() - 1);
            letters.remove(middle);
            middle = letters.len() / 2;
        }
        fitting = letters[..middle]
            .iter()
            .chain(&['.', '.'])
            .chain(&letters[middle..])
            .collect();
    }
    let missing = columns.saturating_sub(fitting.width());
    fitting + &" ".repeat(missing)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wide_letters_count_for_two_columns() {
        assert_eq!(padded("格栅", 6), "格栅  ");
        assert_eq!(padded("hexagons", 6), "he..ns");
    }
}
