//! What `check` tells of the runs: how many, how long, how large, and how far a time budget reaches.

use std::fmt::Write;

use crate::cli::checked::write_wrapped;
use crate::cli::foreseen::{BudgetForeseen, FilmsForeseen, PlannedRun, RunPlan};
use crate::report::duration_in_words;
use crate::result::View;
use crate::study::Study;

/// What would be run, how long it takes and how much memory.
pub(super) fn write_plan(
    out: &mut String,
    study: &Study,
    plan: Option<&RunPlan>,
) -> std::fmt::Result {
    writeln!(out, "What `run` would do")?;
    write_wrapped(out, "  ", &depth_in_words(study, plan))?;
    let Some(plan) = plan else {
        return writeln!(out);
    };
    write_wrapped(out, "  ", &runs_in_words(plan))?;
    let mut runs = plan.runs.as_slice();
    while let Some(first) = runs.first() {
        let is_other = |run: &PlannedRun| run.grille != first.grille || run.view != first.view;
        let end = runs.iter().position(is_other).unwrap_or(runs.len());
        write_runs(out, &runs[..end])?;
        runs = &runs[end..];
    }
    write_what_follows(out, study, plan)?;
    write_wrapped(out, "  ", &disk_in_words(plan))?;
    for name in &plan.undecided {
        write_wrapped(
            out,
            "  ",
            &format!(
                "{name}: its openings turn, but are run as straight ones; its place stays open"
            ),
        )?;
    }
    writeln!(out)
}

/// The same without a line for each grille, memory and disk first.
pub(super) fn write_totals(
    out: &mut String,
    study: &Study,
    plan: Option<&RunPlan>,
) -> std::fmt::Result {
    if let Some(plan) = plan {
        write_wrapped(out, "  ", &runs_in_words(plan))?;
        write_wrapped(out, "  ", &disk_in_words(plan))?;
        write_what_follows(out, study, plan)?;
    }
    write_wrapped(out, "  ", &depth_in_words(study, plan))
}

/// How many runs, how long, how large.
fn runs_in_words(plan: &RunPlan) -> String {
    let seconds: f64 = plan.runs.iter().map(|run| run.seconds).sum();
    let cells = plan.runs.iter().map(|run| run.cell_count).max();
    let solid = plan.runs.iter().filter(|run| run.is_three_dimensional);
    let solid = match solid.count() {
        0 => String::new(),
        count => format!(", {count} of them in three dimensions"),
    };
    format!(
        "{} runs{solid}, about {} on {} idle core{}, up to {} cells and {:.0} MB of memory",
        plan.runs.len(),
        duration_in_words(seconds),
        plan.threads,
        if plan.threads == 1 { "" } else { "s" },
        cells.unwrap_or(0),
        memory_at_a_time(&plan.runs, plan) as f64 / 1e6
    )
}

/// What comes after the first runs: deeper ones within a budget, fan views, films.
fn write_what_follows(out: &mut String, study: &Study, plan: &RunPlan) -> std::fmt::Result {
    if let Some(budget) = &plan.budget {
        let seconds = plan.runs.iter().map(|run| run.seconds).sum();
        let text = budget_in_words(study.grilles.len(), seconds, budget);
        write_wrapped(out, "  ", &text)?;
    }
    write_fan_views(out, plan)?;
    if plan.films.count > 0 {
        write_wrapped(out, "  ", &films_in_words(&plan.films))?;
    }
    Ok(())
}

/// How deep the runs go, and how steady they have to be.
fn depth_in_words(study: &Study, plan: Option<&RunPlan>) -> String {
    let run = &study.run;
    if run.budget.is_some() {
        return format!(
            "first every grille at quality quick, then the top up to quality {} as time allows",
            run.quality
        );
    }
    let percent = |part: f64| (part * 1e3).round() / 10.0;
    let widths = plan.iter().flat_map(|plan| &plan.runs);
    let widest = widths.map(|run| run.allowed_width).fold(0.0, f64::max);
    let least = (run.tolerance * 1e6).round() / 1e4;
    let hidden = if percent(widest) > least && run.tolerance_follows_quality {
        format!(
            ", or to {} % where the grid or the view hides more",
            percent(widest)
        )
    } else {
        String::new()
    };
    format!(
        "quality {}, until K is steady to {least} %{hidden}",
        run.quality
    )
}

/// How far a time budget reaches.
fn budget_in_words(grilles: usize, glance: f64, budget: &BudgetForeseen) -> String {
    let left = budget.given - glance;
    let given = format!("time budget {}", duration_in_words(budget.given));
    if left < 0.0 {
        return given + ": less than the first step takes; some grilles will have no number";
    }
    if budget.deeper.is_empty() {
        return given + ", but nothing goes deeper than quality quick";
    }
    let room = |(quality, each): &(String, f64)| {
        let room = (left / each.max(1e-9)).floor();
        let room = if room >= grilles as f64 {
            format!("all {grilles}")
        } else {
            format!("about {room:.0}")
        };
        format!("{room} at {quality} ({} each)", duration_in_words(*each))
    };
    let rooms: Vec<String> = budget.deeper.iter().map(room).collect();
    format!("{given}: after that, room for {}", rooms.join(" or "))
}

/// What everything takes on disk.
fn disk_in_words(plan: &RunPlan) -> String {
    let size = |bytes: u64| match bytes as f64 {
        bytes if bytes < 1e9 => format!("{:.0} MB", bytes / 1e6),
        bytes => format!("{:.1} GB", bytes / 1e9),
    };
    let (left, most) = (size(plan.disk.left), size(plan.disk.most));
    let all = if plan.budget.is_some() {
        "if the budget reached all of it, "
    } else {
        ""
    };
    format!("on disk: {all}about {left} of results, and up to {most} while runs are half done")
}

/// Most memory that is taken at a time, bytes: by the largest runs, as many as go side by side.
fn memory_at_a_time(runs: &[PlannedRun], plan: &RunPlan) -> u64 {
    let mut bytes: Vec<u64> = runs.iter().map(|run| run.memory_bytes).collect();
    bytes.sort_unstable_by(|a, b| b.cmp(a));
    let together: u64 = bytes.iter().take(plan.threads).sum();
    // Beyond the limit fewer go side by side.
    together.min(plan.memory_limit.max(bytes.first().copied().unwrap_or(0)))
}

/// One line for the views of the whole fan face that follow the ranking, and one for those of them that resolve rings.
fn write_fan_views(out: &mut String, plan: &RunPlan) -> std::fmt::Result {
    let views = plan.fan_views.as_slice();
    if views.is_empty() {
        return Ok(());
    }
    let seconds: f64 = views.iter().map(|run| run.seconds).sum();
    let cells = views.iter().map(|run| run.cell_count).max().unwrap_or(0);
    let resolved = views.iter().filter(|run| run.view != View::Fan).count();
    let resolved = match resolved {
        0 => String::new(),
        count => format!(", {count} of them pictures with resolved rings"),
    };
    write_wrapped(
        out,
        "  ",
        &format!(
            "then {} views of the whole fan face (the bare fan, and each grille with a number){resolved}: about {} more, up to {cells} cells and {:.0} MB of memory; no rank changes by them",
            views.len(),
            duration_in_words(seconds),
            memory_at_a_time(views, plan) as f64 / 1e6
        ),
    )
}

/// What films would take on top.
fn films_in_words(films: &FilmsForeseen) -> String {
    format!(
        "`ventwright smoke` afterwards: {} film{} of {} panels together, about {} more",
        films.count,
        if films.count == 1 { "" } else { "s" },
        films.panels,
        duration_in_words(films.seconds)
    )
}

/// One line for the runs of one view of one grille.
fn write_runs(out: &mut String, runs: &[PlannedRun]) -> std::fmt::Result {
    let Some(first) = runs.first() else {
        return Ok(());
    };
    // Several grids at one velocity follow each other.
    let mut velocities: Vec<String> = runs
        .iter()
        .map(|run| format!("{:.2}", run.face_velocity))
        .collect();
    velocities.dedup();
    let cells = runs.iter().map(|run| run.cell_count).max().unwrap_or(0);
    let seconds = runs.iter().map(|run| run.seconds).sum();
    let text = format!(
        "{}, {} at {} m/s: {} {} of up to {cells} cells, about {}",
        first.grille,
        first.view,
        velocities.join(", "),
        runs.len(),
        if runs.len() == 1 { "run" } else { "runs" },
        duration_in_words(seconds)
    );
    write_wrapped(out, "  ", &text)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::Disk;

    #[test]
    fn the_plan_has_a_line_for_each_view_of_each_grille() {
        let run = |grille: &str, face_velocity, seconds| PlannedRun {
            grille: grille.to_owned(),
            view: View::Hole,
            is_three_dimensional: grille == "rings",
            face_velocity,
            cell_count: 40_000,
            memory_bytes: 6_000_000,
            allowed_width: 0.02,
            seconds,
        };
        let plan = RunPlan {
            runs: vec![
                run("hexagons", 1.5, 20.0),
                run("hexagons", 2.5, 30.0),
                run("rings", 2.0, 40.0),
            ],
            fan_views: vec![
                PlannedRun {
                    view: View::Fan,
                    ..run("bare fan", 2.0, 12.0)
                },
                PlannedRun {
                    view: View::FanWithRibs,
                    cell_count: 90_000,
                    memory_bytes: 14_000_000,
                    ..run("rings", 1.5, 30.0)
                },
            ],
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
            undecided: vec!["rings".to_owned()],
        };
        let study = crate::study::starter("plan");
        let draft = crate::study::Draft::parse(study.as_bytes(), "plan").unwrap();
        let study = draft.resolve(&mut |_| Err(String::new())).unwrap();
        let mut text = String::new();
        write_plan(&mut text, &study, Some(&plan)).unwrap();
        let text = text.replacen("What `run` would do\n", "", 1);
        let text = text.trim_end();
        assert_eq!(
            text,
            "  quality quick, until K is steady to 2 %\n  \
             3 runs, 1 of them in three dimensions, about 2 min on 2 idle cores, up to\n    \
             40000 cells and 12 MB of memory\n  \
             hexagons, hole view at 1.50, 2.50 m/s: 2 runs of up to 40000 cells, about 50 s\n  \
             rings, hole view at 2.00 m/s: 1 run of up to 40000 cells, about 40 s\n  \
             then 2 views of the whole fan face (the bare fan, and each grille with a\n    \
             number), 1 of them pictures with resolved rings: about 42 s more, up to\n    \
             90000 cells and 20 MB of memory; no rank changes by them\n  \
             `ventwright smoke` afterwards: 2 films of 6 panels together, about 2 min more\n  \
             on disk: about 12 MB of results, and up to 1.3 GB while runs are half done\n  \
             rings: its openings turn, but are run as straight ones; its place stays open"
        );
    }

    #[test]
    fn a_budget_is_told_as_what_it_has_room_for() {
        let budget = |hours: f64| BudgetForeseen {
            given: 3600.0 * hours,
            deeper: vec![
                ("standard".to_owned(), 300.0),
                ("overnight".to_owned(), 4000.0),
            ],
        };
        let plain = |text: String| text.replace('\u{a0}', " ");
        assert_eq!(
            plain(budget_in_words(40, 400.0, &budget(8.0))),
            "time budget 8.0 h: after that, room for all 40 at standard (5 min each) or about 7 at overnight (67 min each)"
        );
        assert_eq!(
            plain(budget_in_words(40, 400.0, &budget(0.1))),
            "time budget 6 min: less than the first step takes; some grilles will have no number"
        );
    }
}
