//! The part of `ventwright check` that tells of one grille.

use crate::cli::check_swirl::matching_lean;
use crate::cli::checked::{CheckedGrille, reference_share, write_wrapped};
use crate::grille::{Zone, ZoneGeometry};
use crate::study::{Study, describe, grille_cautions, straight_of, zone_lines};
use crate::units::CUBIC_METRES_PER_HOUR;

/// One paragraph for one grille, a line for each subject.
pub(super) fn write_grille(
    out: &mut String,
    study: &Study,
    checked: &CheckedGrille<'_>,
) -> std::fmt::Result {
    let (grille, geometry) = (checked.grille, &checked.geometry);
    write_wrapped(out, "", &format!("{}: {}", grille.name, describe(grille)))?;
    write_wrapped(
        out,
        "  ",
        &format!(
            "hole area: {:.1} % of the reference area, {:.1} % of the {}, {:.1} % of the patterned {}",
            100.0 * reference_share(study, geometry),
            100.0 * geometry.cut_out_free_area_ratio,
            if grille.cut_out.is_vent() {
                "vent"
            } else {
                "bore"
            },
            100.0 * geometry.zone_free_area_ratio,
            if grille.cut_out.is_vent() {
                "field"
            } else {
                "zone"
            },
        ),
    )?;
    let is_zoned = grille.zones.len() > 1;
    for (number, (zone, numbers)) in grille.zones.iter().zip(&geometry.zones).enumerate() {
        if is_zoned {
            write_wrapped(
                out,
                "  ",
                &format!(
                    "zone {} from {:.1} to {:.1} mm in diameter, hole area {:.1} %",
                    number + 1,
                    2000.0 * numbers.inner_radius,
                    2000.0 * numbers.outer_radius,
                    100.0 * numbers.placed_free_area_ratio
                ),
            )?;
        }
        let indent = if is_zoned { "    " } else { "  " };
        write_zone(out, indent, straight_of(grille), zone, numbers)?;
    }
    write_wrapped(
        out,
        "  ",
        &format!("plastic: {:.1} cm3", geometry.plastic_volume * 1e6),
    )?;
    write_expectation(out, checked)?;
    for line in matching_lean(study, checked) {
        write_wrapped(out, "  ", &line)?;
    }
    for caution in grille_cautions(study, grille, geometry) {
        write_wrapped(
            out,
            "  ",
            &format!("caution: {}; {}", caution.message, caution.advice),
        )?;
    }
    out.push('\n');
    Ok(())
}

/// Flow, air speed and Reynolds number in the holes, K by the handbook.
fn write_expectation(out: &mut String, checked: &CheckedGrille<'_>) -> std::fmt::Result {
    let Some(expectation) = &checked.expectation else {
        return write_wrapped(
            out,
            "  ",
            "expected flow: none, the fan never makes the pressure that a handbook predicts",
        );
    };
    let holes: Vec<String> = expectation
        .hole_velocities
        .iter()
        .zip(&expectation.hole_reynolds_numbers)
        .map(|(velocity, number)| {
            format!("{velocity:.1} m/s in the holes (Reynolds number {number:.0})")
        })
        .collect();
    write_wrapped(
        out,
        "  ",
        &format!(
            "expected: {:.0} m3/h, {}",
            expectation.flow * CUBIC_METRES_PER_HOUR,
            holes.join(" and ")
        ),
    )?;
    let handbook = match expectation.handbook {
        Ok((loss, source)) => format!("handbook: K {loss:.2} on the reference area, by {source}"),
        Err(reason) => format!("handbook: {reason}"),
    };
    write_wrapped(out, "  ", &handbook)
}

fn write_zone(
    out: &mut String,
    indent: &str,
    straight: &str,
    zone: &Zone,
    numbers: &ZoneGeometry,
) -> std::fmt::Result {
    for (subject, text) in zone_lines(straight, zone, numbers) {
        write_wrapped(out, indent, &format!("{subject}: {text}"))?;
    }
    Ok(())
}
