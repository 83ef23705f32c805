//! What a terminal shows of a batch under way: a line per run, a bar over all of them, the best so far.

use unicode_width::UnicodeWidthStr;

use crate::likely::Likely;
use crate::report::cut;

/// Most runs that get a line of their own.
const MOST_LINES: usize = 8;

/// Columns from which there is room for the air speed.
const WIDE: usize = 100;

/// Columns below which words are left out.
const NARROW: usize = 72;

/// Columns of a run's K.
const K_COLUMNS: usize = 17;

/// A run under way, as it is shown.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ShownRun<'a> {
    pub(super) grille: &'a str,
    pub(super) view: &'a str,
    /// m/s.
    pub(super) face_velocity: f64,
    /// Running K with its interval in time, once there is one.
    pub(super) loss: Option<Likely>,
    /// Share done, 0 to 1.
    pub(super) share: f64,
}

/// The whole batch, as it is shown.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct ShownBatch<'a> {
    /// Share done, 0 to 1.
    pub(super) share: f64,
    pub(super) ended_count: usize,
    pub(super) count: usize,
    /// How long it will still take and what the clock will show then; `None` while nothing is known.
    pub(super) left: Option<(String, String)>,
    /// What the ranking knows so far and when the budget ends.
    pub(super) standing: &'a str,
}

/// Everything, line by line, none of them wider than the terminal.
pub(super) fn screen(batch: &ShownBatch<'_>, runs: &[ShownRun<'_>], columns: usize) -> String {
    // The last column stays free: some terminals begin a new line after it.
    let columns = columns.saturating_sub(1).max(20);
    let shown = if runs.len() > MOST_LINES {
        MOST_LINES - 1
    } else {
        runs.len()
    };
    let mut lines: Vec<String> = runs[..shown]
        .iter()
        .map(|run| run_line(run, columns))
        .collect();
    if shown < runs.len() {
        lines.push(format!("and {} more", runs.len() - shown));
    }
    lines.push(batch_line(batch, columns));
    if !batch.standing.is_empty() {
        lines.push(batch.standing.to_owned());
    }
    let lines: Vec<String> = lines.iter().map(|line| cut(line, columns)).collect();
    lines.join("\n")
}

/// The same as one plain line, for a stream that nobody can draw on.
pub(super) fn plain_line(batch: &ShownBatch<'_>, runs: &[ShownRun<'_>]) -> String {
    let shown = runs.iter().take(MOST_LINES).map(|run| {
        let share = 100.0 * run.share;
        format!(
            "{} ({}) {share:.0} %, {}",
            run.grille,
            run.view,
            loss_in_words(run.loss)
        )
    });
    let mut under_way: Vec<String> = shown.collect();
    if runs.len() > MOST_LINES {
        under_way.push(format!("{} more", runs.len() - MOST_LINES));
    }
    let left = match &batch.left {
        None => "time left not known yet".to_owned(),
        Some((left, clock)) => format!("about {left} left, ready {clock}"),
    };
    let mut parts = vec![format!(
        "{:.0} %, {} of {} runs done, {left}",
        100.0 * batch.share,
        batch.ended_count,
        batch.count
    )];
    if !under_way.is_empty() {
        parts.push(format!("now {}", under_way.join("; ")));
    }
    if !batch.standing.is_empty() {
        parts.push(batch.standing.to_owned());
    }
    parts.join("; ")
}

fn loss_in_words(loss: Option<Likely>) -> String {
    match loss {
        Some(loss) if loss.value.is_finite() => {
            let share = 100.0 * loss.half_width() / loss.value.abs();
            format!("K {:.2} ± {share:.1} %", loss.value)
        }
        _ => "K not known yet".to_owned(),
    }
}

fn run_line(run: &ShownRun<'_>, columns: usize) -> String {
    let loss = loss_in_words(run.loss);
    let (speed, view_columns) = if columns >= WIDE {
        (format!("{:>6.2} m/s  ", run.face_velocity), 18)
    } else {
        (String::new(), 11)
    };
    let tail = format!(
        "{}  {speed}{}  {:>3.0} %",
        padded(run.view, view_columns),
        padded(&loss, K_COLUMNS),
        100.0 * run.share
    );
    let room = columns.saturating_sub(tail.width() + 2).min(48);
    format!("{}  {tail}", padded(run.grille, room))
}

fn batch_line(batch: &ShownBatch<'_>, columns: usize) -> String {
    let is_narrow = columns < NARROW;
    let bar_columns = match columns {
        _ if is_narrow => 10,
        columns if columns < WIDE => 16,
        _ => 40,
    };
    let left = match &batch.left {
        None if is_narrow => "time not known yet".to_owned(),
        None => "finish time not known yet".to_owned(),
        Some((left, clock)) if is_narrow => format!("{left} left, {clock}"),
        Some((left, clock)) => format!("about {left} left, ready {clock}"),
    };
    format!(
        "{}  {:>3.0} %  {} of {} runs, {left}",
        bar(batch.share, bar_columns),
        100.0 * batch.share,
        batch.ended_count,
        batch.count
    )
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and the columns"
)]
fn bar(share: f64, columns: usize) -> String {
    let full = (share.clamp(0.0, 1.0) * columns as f64).floor() as usize;
    "█".repeat(full) + &"░".repeat(columns - full)
}

/// A text cut or filled up to so many columns.
fn padded(text: &str, columns: usize) -> String {
    let text = cut(text, columns);
    let missing = columns.saturating_sub(text.width());
    text + &" ".repeat(missing)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn runs() -> Vec<ShownRun<'static>> {
        vec![
            ShownRun {
                grille: "hexagons, rib 1.2, twist 20 deg",
                view: "repeat view",
                face_velocity: 2.31,
                loss: Some(Likely::symmetric(3.421, 0.041)),
                share: 0.452,
            },
            ShownRun {
                grille: "六角形の穴、とても細いリブとねじれた壁、もう一つの長い名前",
                view: "fan view with ribs",
                face_velocity: 12.5,
                loss: None,
                share: 0.0,
            },
        ]
    }

    fn batch() -> ShownBatch<'static> {
        ShownBatch {
            share: 0.45,
            ended_count: 113,
            count: 240,
            left: Some(("12 min".to_owned(), "at 07:12".to_owned())),
            standing: "best so far: hexagons, rib 0.8; the time budget ends at 07:30",
        }
    }

    #[test]
    fn no_line_is_wider_than_the_terminal() {
        for columns in 20..200 {
            for left in [None, batch().left] {
                let batch = ShownBatch { left, ..batch() };
                let text = screen(&batch, &runs(), columns);
                assert_eq!(text.lines().count(), 4);
                for line in text.lines() {
                    assert!(line.width() < columns.max(21), "{columns}: {line}");
                }
            }
        }
    }

    #[test]
    fn eighty_and_sixty_columns_hold_what_one_wants_to_know() {
        assert_eq!(
            screen(&batch(), &runs()[..1], 80),
            "hexagons, rib 1.2, twist 20 deg           repeat view  K 3.42 ± 1.2 %      45 %\n\
             ███████░░░░░░░░░   45 %  113 of 240 runs, about 12 min left, ready at 07:12\n\
             best so far: hexagons, rib 0.8; the time budget ends at 07:30"
        );
        assert_eq!(
            screen(&batch(), &runs()[..1], 60),
            "hexagons, rib 1.2,…   repeat view  K 3.42 ± 1.2 %      45 %\n\
             ████░░░░░░   45 %  113 of 240 runs, 12 min left, at 07:12\n\
             best so far: hexagons, rib 0.8; the time budget ends at 07…"
        );
    }

    #[test]
    fn a_plain_line_says_what_runs_how_far_it_is_and_how_long_it_takes() {
        assert_eq!(
            plain_line(&batch(), &runs()[..1]),
            "45 %, 113 of 240 runs done, about 12 min left, ready at 07:12; \
             now hexagons, rib 1.2, twist 20 deg (repeat view) 45 %, K 3.42 ± 1.2 %; \
             best so far: hexagons, rib 0.8; the time budget ends at 07:30"
        );
        let unknown = ShownBatch {
            left: None,
            standing: "",
            ..batch()
        };
        assert_eq!(
            plain_line(&unknown, &[]),
            "45 %, 113 of 240 runs done, time left not known yet"
        );
    }

    #[test]
    fn many_runs_at_a_time_do_not_fill_the_terminal() {
        let many: Vec<ShownRun<'_>> = runs().into_iter().cycle().take(64).collect();
        let text = screen(&batch(), &many, 80);
        assert_eq!(text.lines().count(), MOST_LINES + 2);
        assert!(text.contains("and 57 more"), "{text}");
    }
}
