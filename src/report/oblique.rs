//! Air that comes in or goes out at an angle: both K of the grilles for which they differ.

use crate::report::page::harmless;
use crate::report::words::shortened;
use crate::result::{GrilleResult, GrilleSwirl, RunSummary, Side, StudyResult};

/// Least difference of static and total K, as a part of the static one, that is worth a line.
const LEAST_DIFFERENCE: f64 = 0.01;

/// Most grilles that are told of.
const MOST_GRILLES: usize = 6;

/// One line for every grille whose air comes in or goes out at an angle: where the fan settles if its swirl is known, else by the finest run that sees it.
pub(super) fn oblique_lines(result: &StudyResult) -> Vec<String> {
    let mut lines: Vec<String> = result
        .grilles
        .iter()
        .filter_map(|grille| match &grille.swirl {
            Some(swirl) => Some(settled_line(grille, swirl)),
            None => Some(line(grille, finest(grille)?, result.side)),
        })
        .collect();
    let more = lines.len().saturating_sub(MOST_GRILLES);
    if more > 0 {
        lines.truncate(MOST_GRILLES);
        lines.push(format!("{more} more: see ranking.json."));
    }
    if let Some(swirl) = result.grilles.iter().find_map(|grille| grille.swirl) {
        lines.insert(0, heading(&swirl));
    }
    lines
}

/// The finest valid run in which static and total K differ.
fn finest(grille: &GrilleResult) -> Option<&RunSummary> {
    let runs = grille.runs.iter().filter(|run| run.is_valid);
    let oblique = runs.filter(|run| {
        let fixed = run.loss_coefficient.value;
        run.oblique.is_some_and(|oblique| {
            (oblique.total_loss_coefficient - fixed).abs() > LEAST_DIFFERENCE * fixed.abs()
        })
    });
    oblique.max_by(|a, b| a.cells_across.total_cmp(&b.cells_across))
}

fn line(grille: &GrilleResult, run: &RunSummary, side: Side) -> String {
    let Some(oblique) = run.oblique else {
        return String::new();
    };
    let ranked = if side == Side::Exhaust {
        "static"
    } else {
        "total"
    };
    harmless(&format!(
        "{}: the air comes in at {:.0} and leaves at {:.0} degrees; K {:.2} static, {:.2} total on its speed ahead of the holes, ranked by the {ranked} one.",
        shortened(&grille.name),
        oblique.inflow_angle_deg + 0.0,
        oblique.outflow_angle_deg + 0.0,
        run.loss_coefficient.value,
        oblique.total_loss_coefficient,
    ))
}

/// What the swirl does where the fan settles.
fn settled_line(grille: &GrilleResult, swirl: &GrilleSwirl) -> String {
    harmless(&format!(
        "{}: in at {}, out at {} degrees; K {:.2} {} {:.2}, total {:.2}; {:.2}\u{a0}mN\u{a0}m.",
        shortened(&grille.name),
        list(swirl.inflow_angles_deg),
        list(swirl.outflow_angles_deg),
        swirl.static_loss_coefficient,
        if swirl.lost_suction_loss_coefficient < 0.0 {
            '−'
        } else {
            '+'
        },
        swirl.lost_suction_loss_coefficient.abs(),
        swirl.total_loss_coefficient,
        1e3 * swirl.torque_n_m + 0.0,
    ))
}

/// What the numbers of those lines are.
fn heading(swirl: &GrilleSwirl) -> String {
    format!(
        "angles of the air to the axis at {}\u{a0}mm from it; K is static + lost suction of the turning core, total is what the air itself loses; torque on the grille:",
        list(swirl.radii_mm)
    )
}

/// `30, 43 and 54`
fn list(values: [f64; 3]) -> String {
    let [a, b, c] = values.map(|value| format!("{:.0}", value.round() + 0.0));
    format!("{a}, {b} and {c}")
}
