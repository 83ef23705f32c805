//! The first screen of `check` for a study with many grilles: how long, how much memory and disk, the first few grilles, and where the rest is.

use std::fmt::Write as _;

use crate::cli::check_plan::write_totals;
use crate::cli::check_table::write_rows;
use crate::cli::checked::{CheckedGrille, write_wrapped};
use crate::cli::foreseen::RunPlan;
use crate::study::Study;

/// Grilles of the table.
const ROWS: usize = 5;

/// Writes it.
pub(super) fn write_screen(
    out: &mut String,
    study: &Study,
    grilles: &[CheckedGrille<'_>],
    plan: Option<&RunPlan>,
) -> std::fmt::Result {
    write_totals(out, study, plan)?;
    writeln!(out)?;
    write_rows(out, study, &grilles[..ROWS.min(grilles.len())])?;
    let more = grilles.len().saturating_sub(ROWS);
    write_wrapped(
        out,
        "",
        &format!("{more} more, and what the columns mean: --details table"),
    )?;
    let lonely = study.grilles.iter();
    let lonely = lonely.filter(|grille| study.straight_twin(grille) == Some(None));
    for (count, what, part) in [
        (lonely.count(), "turn and have no straight twin", "twins"),
        (
            plan.map_or(0, |plan| plan.undecided.len()),
            "turn, but are run as straight ones",
            "runs",
        ),
    ] {
        if count > 0 {
            let text = format!("{count} of the grilles {what}: --details {part}");
            write_wrapped(out, "", &text)?;
        }
    }
    write_wrapped(
        out,
        "",
        "A planning aid, not a safety assessment; cooling, blades, soft plastic: --details cautions",
    )?;
    write_wrapped(
        out,
        "",
        "Fan, place and air: --details study. Each drawing, with its fingers: --details grilles. Everything: --details",
    )
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::{Disk, FilmsForeseen};
    use crate::study::{Draft, starter};

    #[test]
    fn two_hundred_grilles_fit_into_24_lines_with_time_memory_and_disk_first() {
        let text = starter("many").replacen(
            "\n[[grille]]",
            "\n[[series]]\nbase = \"hexagons\"\nvary.rib_mm = { from = 1.2, to = 3, count = 190 }\n\n[[grille]]",
            1,
        );
        let draft = Draft::parse(text.as_bytes(), "many").unwrap();
        let study = draft.resolve(&mut |_| Err(String::new())).unwrap();
        let checked = study.grilles.iter().zip(&study.geometries);
        let checked: Vec<CheckedGrille<'_>> = checked
            .map(|(grille, geometry)| CheckedGrille {
                grille,
                geometry,
                expectation: None,
            })
            .collect();
        assert!(checked.len() > 190);
        let plan = RunPlan {
            runs: Vec::new(),
            fan_views: Vec::new(),
            threads: 2,
            memory_limit: 10_000_000_000,
            disk: Disk {
                left: 12_300_000,
                most: 1_260_000_000,
            },
            budget: None,
            films: FilmsForeseen {
                count: 2,
                panels: 6,
                seconds: 90.0,
            },
            undecided: vec!["hexagons".to_owned()],
        };
        let mut text = String::new();
        write_screen(&mut text, &study, &checked, Some(&plan)).unwrap();
        // The heading takes two more lines.
        assert!(text.lines().count() <= 22, "{text}");
        let place = |words: &str| {
            text.find(words)
                .unwrap_or_else(|| panic!("{words}: {text}"))
        };
        assert!(place("idle cores") < place("on disk"));
        assert!(place("on disk") < place("grille  ".trim_end()));
        assert!(
            text.contains("1 of the grilles turn, but are run as straight ones: --details runs")
        );
    }
}
