//! The ranking as a table of characters.

use unicode_width::UnicodeWidthStr;

use crate::report::bar::BarScale;
use crate::report::cautions::NO_NUMBER;
use crate::report::page::{Ink, Page, harmless};
use crate::report::tie_letters::{MORE, tie_letters};
use crate::report::{Likely, Warning};
use crate::result::{GrilleResult, StudyResult};

/// Marks a turned grille that was run as straight.
pub(super) const UNDECIDED_MARK: &str = "(?)";

/// Below this width names need the room of flow and pressure drop.
const WIDTH_WITH_FLOW: usize = 72;

/// From this width on there is room for K.
const WIDTH_WITH_K: usize = 100;

/// The table, ready to be written.
pub(super) struct Table {
    /// Lines with their colours.
    pub(super) lines: Vec<String>,
    /// The scale of the bars; `None` when no grille has a number.
    pub(super) scale: Option<BarScale>,
    /// Whether some grilles carry letters of ties.
    pub(super) has_ties: bool,
    /// Whether some grilles have more ties than letters.
    pub(super) has_more_ties: bool,
}

/// How many characters each column has.
struct Columns {
    place: usize,
    tie: usize,
    name: usize,
    bar: usize,
    likely: usize,
    numbers: Vec<Number>,
}

/// A column of numbers behind the bar: its heading, characters, and what stands in it.
struct Number {
    head: &'static str,
    width: usize,
    of: fn(&StudyResult, &GrilleResult) -> String,
}

/// The columns of numbers that a width has room for.
fn numbers_for(result: &StudyResult, width: usize) -> Vec<Number> {
    let is_by_flow = result.given_flow_m3_per_h.is_none();
    let mut numbers = Vec::new();
    if is_by_flow && width >= WIDTH_WITH_FLOW {
        numbers.push(Number {
            head: result.output_units.flow.symbol(),
            width: 6,
            of: |result, grille| {
                let flow = grille.flow_m3_per_h.map(|flow| flow.value);
                or_dash(flow.map(|flow| result.output_units.flow.of_m3_per_h(flow)))
            },
        });
        numbers.push(Number {
            head: result.output_units.pressure.symbol(),
            width: 6,
            of: |result, grille| {
                let unit = result.output_units.pressure;
                or_dash(
                    grille
                        .pressure_drop_pa
                        .map(|drop| drop.value * unit.per_si()),
                )
            },
        });
    }
    if width >= WIDTH_WITH_K {
        numbers.push(Number {
            head: "K",
            width: 6,
            of: |_, grille| or_dash(grille.loss_coefficient.map(|k| k.value)),
        });
    }
    numbers.push(Number {
        head: "open%",
        width: 6,
        of: |_, grille| format!("{:.0}", grille.hole_area_percent),
    });
    if result.has_blades {
        numbers.push(Number {
            head: "finger",
            width: 7,
            of: |_, grille| {
                let distance = grille.finger_distance_mm;
                distance.map_or("hand".to_owned(), |distance| format!("{distance:.0}"))
            },
        });
    }
    numbers
}

fn or_dash(value: Option<f64>) -> String {
    value.map_or("–".to_owned(), compact)
}

/// Lays the first so many rows of the ranking out in the width of the page.
pub(super) fn table(result: &StudyResult, page: &Page, rows: usize) -> Table {
    let letters = tie_letters(result);
    let measures: Vec<&Likely> = result
        .grilles
        .iter()
        .filter_map(|g| result.measure(g))
        .collect();
    let places = places_for(result, &measures);
    let columns = columns(result, page, &letters, &measures, places);
    let mut lines = Vec::new();
    let scale = (!measures.is_empty()).then(|| {
        if result.is_flow_given() {
            BarScale::for_pressure(measures.iter().copied())
        } else {
            BarScale::for_percent(measures.iter().copied())
        }
    });
    if let Some(scale) = scale {
        lines.push(header(result, page, &columns, scale));
    }
    for (grille, letters) in result.grilles.iter().zip(&letters).take(rows) {
        let start = row_start(result, grille, letters, page, &columns);
        let line = if let (Some(likely), Some(scale)) = (result.measure(grille), scale) {
            let bar = page.spell(&scale.bar(likely, columns.bar));
            let is_leader = grille.rank == Some(1);
            let bar = if is_leader {
                page.ink(Ink::Leader, &bar)
            } else {
                bar
            };
            format!(
                "{start} {bar}{}",
                numbers(result, grille, page, &columns, places)
            )
        } else {
            let room = page.width.saturating_sub(start.width() + 1);
            let why = page.cut(&format!("no valid number: {}", reason(grille)), room);
            format!("{start} {}", page.ink(Ink::Alert, &why))
        };
        lines.push(line.trim_end().to_owned());
    }
    Table {
        lines,
        scale,
        has_ties: columns.tie > 0,
        has_more_ties: letters.iter().any(|letters| letters.ends_with(MORE)),
    }
}

/// The warning that says why a grille has no number: the first of its first invalid run, else one of its own that is a reason.
pub(super) fn why_missing(grille: &GrilleResult) -> Option<&Warning> {
    let run = grille.runs.iter().find(|run| !run.is_valid);
    let own = || {
        let mut warnings = grille.warnings.iter();
        warnings.find(|warning| NO_NUMBER.contains(&&*warning.code))
    };
    run.and_then(|run| run.warnings.first()).or_else(own)
}

/// Why a grille has no number, in words.
pub(super) fn reason(grille: &GrilleResult) -> String {
    let run = grille.runs.iter().find(|run| !run.is_valid);
    let said = why_missing(grille)
        .map(|warning| &warning.message)
        .or(run.map(|run| &run.stop_reason));
    harmless(said.map_or("it was not solved", String::as_str))
}

fn columns(
    result: &StudyResult,
    page: &Page,
    letters: &[String],
    measures: &[&Likely],
    places: usize,
) -> Columns {
    let longest = |texts: &mut dyn Iterator<Item = usize>| texts.max().unwrap_or(0);
    // A place and the sign for an equal one.
    let place = result.grilles.len().to_string().len().max(2) + 1;
    let tie = longest(&mut letters.iter().map(|l| l.width()));
    let tie = if tie > 0 { tie.max(3) } else { 0 };
    let likely = longest(
        &mut measures
            .iter()
            .map(|m| page.spell(&likely_text(result, m, places)).width()),
    )
    .max(8);
    let numbers = numbers_for(result, page.width);
    let tie_room = if tie > 0 { tie + 1 } else { 0 };
    let number_room: usize = numbers.iter().map(|number| number.width).sum();
    let taken = place + 1 + tie_room + 1 + 1 + likely + number_room;
    let rest = page.width.saturating_sub(taken);
    let longest_name = longest(&mut result.grilles.iter().map(|g| name(g).width())).max(6);
    let share = if page.width < WIDTH_WITH_FLOW { 3 } else { 2 };
    let least_bar = (rest / share).min(16);
    let name = longest_name.min(rest - least_bar).max(1);
    let bar = (rest - name).min(60);
    Columns {
        place,
        tie,
        name,
        bar,
        likely,
        numbers,
    }
}

fn header(result: &StudyResult, page: &Page, columns: &Columns, scale: BarScale) -> String {
    let is_given = result.is_flow_given();
    let tie = |text: &str| {
        if columns.tie > 0 {
            page.left(text, columns.tie + 1)
        } else {
            String::new()
        }
    };
    let front = |tie_text: &str, name: &str| {
        format!(
            "{} {}{} ",
            " ".repeat(columns.place),
            tie(tie_text),
            page.left(name, columns.name)
        )
    };
    let low = round(told_measure(result, scale.low));
    let high = round(told_measure(result, scale.high));
    let axis = low.clone() + &page.right(&high, columns.bar.saturating_sub(low.width()));
    let mut line = front("tie", "grille") + &page.left(&axis, columns.bar + 1);
    let unit = if is_given {
        result.output_units.pressure.symbol()
    } else {
        "% of bare"
    };
    line += &page.right(unit, columns.likely);
    for number in &columns.numbers {
        line += &page.right(number.head, number.width);
    }
    line.trim_end().to_owned()
}

/// Place, letters and name.
fn row_start(
    result: &StudyResult,
    grille: &GrilleResult,
    letters: &str,
    page: &Page,
    columns: &Columns,
) -> String {
    let place = grille
        .rank
        .filter(|_| result.measure(grille).is_some())
        .map_or("–".to_owned(), |rank| {
            let is_shared = result
                .grilles
                .iter()
                .filter(|g| g.rank == Some(rank))
                .count()
                > 1;
            format!("{rank}{}", if is_shared { "=" } else { " " })
        });
    let place = if place.ends_with(['=', ' ']) {
        place
    } else {
        place + " "
    };
    let tie = if columns.tie > 0 {
        page.left(letters, columns.tie + 1)
    } else {
        String::new()
    };
    let name_cell = if grille.is_turn_undecided {
        let room = columns.name.saturating_sub(UNDECIDED_MARK.len() + 1);
        page.left(
            &format!(
                "{} {UNDECIDED_MARK}",
                page.cut(&harmless(&grille.name), room)
            ),
            columns.name,
        )
    } else {
        page.left(&harmless(&grille.name), columns.name)
    };
    format!("{} {tie}{name_cell}", page.right(&place, columns.place))
}

/// The name as it stands in the table.
fn name(grille: &GrilleResult) -> String {
    let name = harmless(&grille.name);
    if grille.is_turn_undecided {
        format!("{name} {UNDECIDED_MARK}")
    } else {
        name
    }
}

fn numbers(
    result: &StudyResult,
    grille: &GrilleResult,
    page: &Page,
    columns: &Columns,
    places: usize,
) -> String {
    let likely = result
        .measure(grille)
        .map(|likely| likely_text(result, likely, places));
    let mut text = " ".to_owned() + &page.right(&likely.unwrap_or_default(), columns.likely);
    for number in &columns.numbers {
        text += &page.right(&(number.of)(result, grille), number.width);
    }
    text
}

/// What grilles are ranked by in the unit in which it is told.
fn told_measure(result: &StudyResult, value: f64) -> f64 {
    match result.given_flow_m3_per_h {
        Some(_) => value * result.output_units.pressure.per_si(),
        None => value,
    }
}

/// Decimals at which the narrowest range still shows.
fn places_for(result: &StudyResult, measures: &[&Likely]) -> usize {
    let narrowest = measures
        .iter()
        .map(|m| told_measure(result, m.high - m.low) / 2.0)
        .fold(f64::INFINITY, f64::min);
    match narrowest {
        half if half >= 0.75 => 0,
        half if half >= 0.075 => 1,
        _ => 2,
    }
}

fn likely_text(result: &StudyResult, likely: &Likely, places: usize) -> String {
    let [value, low, high] =
        [likely.value, likely.low, likely.high].map(|it| told_measure(result, it));
    format!("{value:.places$} ({low:.places$}–{high:.places$})")
}

/// A number in about three digits.
pub fn compact(value: f64) -> String {
    if value == 0.0 {
        return "0".to_owned();
    }
    match value.abs() {
        size if size >= 99.95 => format!("{value:.0}"),
        size if size >= 9.995 && (value - value.round()).abs() < 1e-9 => format!("{value:.0}"),
        size if size >= 9.995 => format!("{value:.1}"),
        size if size >= 0.0995 => format!("{value:.2}"),
        _ => format!("{value:.3}"),
    }
}

/// A round number without needless zeros.
pub(super) fn round(value: f64) -> String {
    let text = format!("{value:.6}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}
