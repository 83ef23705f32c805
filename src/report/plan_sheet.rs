//! A plan of readings: as CSV to be filled in, as a sheet to print, and for the terminal.

use std::io::{self, Write};

use crate::report::cautions::CAUTIONS;
use crate::report::forum::plain;
use crate::report::page::{Ink, Page, harmless};
use crate::rig::plan::BenchPlan;
use crate::rig::power::MOST_REPEATS;
use crate::text::SpreadsheetWriter;

/// What a bench needs so that its readings mean something, in the order of the day.
const HABITS: [&str; 8] = [
    "Let the fan run for five minutes first, and leave its voltage (or speed setting) alone all day.",
    "Keep the meter in the same place for every design; swirling air behind a grille makes a vane meter misread, so measure on the inlet side or well behind a straightener if you can.",
    "Check the unit on the meter and the area stored in it.",
    "Take the grille out and put it back before every line: that is a remount. Several readings of one mount are averaged and count as one.",
    "Keep to the order: it is shuffled so that drift of the bench cannot be mistaken for a difference between grilles.",
    "Read the mean over half a minute, and write down every digit. Write down the fan speed and the room temperature too if you can.",
    "Write down anything that happened (a hose moved, a door opened) in the notes.",
    "Low voltage only, the fan screwed down, hair and cords tied back.",
];

/// A sheet of paper.
const SHEET: Page = Page {
    width: 80,
    has_colour: false,
    is_ascii: false,
};

/// Writes the plan as CSV: ready to be filled in (value, unit, time) and to be read by `compare`.
///
/// # Errors
/// What `out` reports.
pub fn write_plan_csv(plan: &BenchPlan, out: impl Write) -> Result<(), csv::Error> {
    let mut writer = SpreadsheetWriter::new(out);
    writer.row([
        "order",
        "design",
        "remount",
        "reading",
        "value",
        "unit",
        "speed_rpm",
        "temperature_c",
        "place",
        "note",
    ])?;
    for turn in &plan.readings {
        for reading in 1..=plan.readings_per_mount {
            let [order, remount, reading] =
                [turn.order, turn.remount, reading].map(|number| number.to_string());
            let empty = "";
            writer.row([
                &order,
                &turn.design,
                &remount,
                &reading,
                empty,
                empty,
                empty,
                empty,
                empty,
                empty,
            ])?;
        }
    }
    writer.end()
}

/// Writes the sheet to print, in Markdown that reads as plain text.
///
/// # Errors
/// What `out` reports.
pub fn write_plan_sheet(plan: &BenchPlan, mut out: impl Write) -> io::Result<()> {
    writeln!(out, "# Readings of {}\n", plain(&plan.study))?;
    writeln!(
        out,
        "Date: ____________  Meter: ____________  Unit: ________  Area stored: ________ cm²\n\nPlace of the meter: ________________________________________________\n"
    )?;
    for line in summary(plan) {
        SHEET.write(&mut out, &line, None)?;
    }
    writeln!(out)?;
    for (number, habit) in HABITS.iter().enumerate() {
        SHEET.write(&mut out, &format!("{}. {habit}", number + 1), None)?;
    }
    let widest = plan
        .readings
        .iter()
        .map(|reading| plain(&reading.design).chars().count())
        .max()
        .unwrap_or(0);
    let readings: Vec<String> = match plan.readings_per_mount {
        1 => vec!["reading  ".to_owned()],
        count => (1..=count)
            .map(|number| format!("reading {number}"))
            .collect(),
    };
    let cells = " | ".to_owned() + &readings.join(" | ");
    let blank: String = cells
        .chars()
        .map(|it| if it == '|' { it } else { ' ' })
        .collect();
    let rule: String = cells
        .chars()
        .map(|it| if " |".contains(it) { it } else { '-' })
        .collect();
    let mut last = 0;
    for turn in &plan.readings {
        if turn.block != last {
            last = turn.block;
            writeln!(out, "\n## Round {last}\n")?;
            writeln!(
                out,
                "| no. | {:widest$}{cells} | rpm  | °C   | note         |",
                "design"
            )?;
            writeln!(
                out,
                "| --- | {}{rule} | ---- | ---- | ------------ |",
                "-".repeat(widest)
            )?;
        }
        let design = plain(&turn.design);
        writeln!(
            out,
            "| {:3} | {design:widest$}{blank} |      |      |              |",
            turn.order
        )?;
    }
    writeln!(out)?;
    for caution in CAUTIONS {
        SHEET.write(&mut out, caution, None)?;
    }
    Ok(())
}

/// Writes what the plan is and why for a terminal. `files`: where it was put.
///
/// # Errors
/// What `out` reports.
pub fn write_plan_screen(
    plan: &BenchPlan,
    files: &[String],
    width: usize,
    has_colour: bool,
    mut out: impl Write,
) -> io::Result<()> {
    let page = Page::of(width, has_colour);
    let title = format!(
        "{}: mount each design {} times and take {} readings, the bare fan included.",
        plan.study,
        plan.remounts,
        plan.readings.len() * plan.readings_per_mount
    );
    page.write(&mut out, &title, Some(Ink::Strong))?;
    writeln!(out)?;
    for line in summary(plan) {
        page.write(&mut out, &line, None)?;
    }
    if !plan.pairs.is_empty() {
        writeln!(out)?;
        let names = page.width - 36;
        writeln!(
            out,
            "{}{}{}{}",
            page.left("pair", names),
            page.right("predicted %", 12),
            page.right("remounts", 11),
            page.right("told apart", 13)
        )?;
        for pair in &plan.pairs {
            let name = format!("{} over {}", pair.better, pair.other);
            let tie = if pair.is_predicted_tie { " tie" } else { "" };
            let needed = pair
                .remounts_needed
                .map_or(format!("> {MOST_REPEATS}"), |needed| needed.to_string());
            let shown = if pair.is_shown_by_plan { "yes" } else { "no" };
            writeln!(
                out,
                "{}{}{}{}",
                page.left(&harmless(&name), names),
                page.right(&format!("{:.1}{tie}", pair.difference_percent), 12),
                page.right(&needed, 11),
                page.right(shown, 13)
            )?;
        }
    }
    writeln!(out)?;
    for file in files {
        page.write(&mut out, file, None)?;
    }
    for caution in CAUTIONS {
        page.write(&mut out, caution, None)?;
    }
    Ok(())
}

/// What the numbers rest on.
fn summary(plan: &BenchPlan) -> Vec<String> {
    let mut lines = vec![format!(
        "Assumed: readings scatter by {} % from one remount to the next. A difference of the predicted size is found with {:.0} % probability; if all designs are equal, one is called behind another on at most {:.0} of 100 benches (studentized range, as compare judges).",
        plan.scatter_percent,
        100.0 * plan.power,
        100.0 * plan.false_alarm
    )];
    if let Some(least) = plan.least_difference_percent {
        lines.push(format!(
            "This plan tells designs apart from {least:.1} % of the bare fan's air upwards; of those closer together, choose by looks."
        ));
    }
    lines.push(format!(
        "The order is shuffled in blocks from seed {}.",
        plan.seed
    ));
    lines
}
