//! The ranking as a table of characters.

use unicode_width::UnicodeWidthStr;

use crate::report::bar::BarScale;
use crate::report::cautions::NO_NUMBER;
use crate::report::page::{Ink, Page, harmless};
use crate::report::sentence::{is_undecided, measure};
use crate::report::tie_letters::{MORE, tie_letters};
use crate::report::{GrilleResult, Likely, StudyResult, Warning};
use crate::units::{CUBIC_FEET_PER_MINUTE, CUBIC_METRES_PER_HOUR};

/// Marks a turned grille that was run as straight.
pub(super) const UNDECIDED_MARK: &str = "(?)";

/// From this width on there is room for the flow itself.
const WIDTH_WITH_FLOW: usize = 100;

/// Below this width names need the room of the pressure drop.
const WIDTH_WITH_PRESSURE: usize = 72;

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
    has_flow: bool,
    has_pressure: bool,
}

const NUMBER: usize = 6;
const AREA: usize = 7;

/// Lays the ranking out in the width of the page.
pub(super) fn table(result: &StudyResult, page: &Page) -> Table {
    let letters = tie_letters(result);
    let measures: Vec<&Likely> = result
        .grilles
        .iter()
        .filter_map(|g| measure(result, g))
        .collect();
    let places = places_for(&measures);
    let columns = columns(result, page, &letters, &measures, places);
    let mut lines = Vec::new();
    let scale = (!measures.is_empty()).then(|| {
        if result.given_flow_m3_per_h.is_some() {
            BarScale::for_pressure(measures.iter().copied())
        } else {
            BarScale::for_percent(measures.iter().copied())
        }
    });
    if let Some(scale) = scale {
        lines.extend(header(result, page, &columns, scale));
    }
    for (grille, letters) in result.grilles.iter().zip(&letters) {
        let start = row_start(result, grille, letters, page, &columns);
        let line = if let (Some(likely), Some(scale)) = (measure(result, grille), scale) {
            let bar = page.spell(&scale.bar(likely, columns.bar));
            let is_leader = grille.rank == Some(1);
            let bar = if is_leader {
                page.ink(Ink::Leader, &bar)
            } else {
                bar
            };
            format!(
                "{start} {bar}{}",
                numbers(grille, likely, page, &columns, places)
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
pub(super) fn why(grille: &GrilleResult) -> Option<&Warning> {
    let run = grille.runs.iter().find(|run| !run.is_valid);
    let own = || {
        let mut warnings = grille.warnings.iter();
        warnings.find(|warning| NO_NUMBER.contains(&warning.code))
    };
    run.and_then(|run| run.warnings.first()).or_else(own)
}

/// Why a grille has no number, in words.
pub(super) fn reason(grille: &GrilleResult) -> String {
    let run = grille.runs.iter().find(|run| !run.is_valid);
    let said = why(grille)
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
            .map(|m| page.spell(&likely_text(m, places)).width()),
    )
    .max(8);
    let is_by_flow = result.given_flow_m3_per_h.is_none();
    let has_pressure = is_by_flow && page.width >= WIDTH_WITH_PRESSURE;
    let has_flow = is_by_flow && page.width >= WIDTH_WITH_FLOW;
    let tie_room = if tie > 0 { tie + 1 } else { 0 };
    let number_count = 1 + usize::from(has_pressure) + 2 * usize::from(has_flow);
    let taken = place + 1 + tie_room + 1 + 1 + likely + number_count * NUMBER + AREA;
    let rest = page.width.saturating_sub(taken);
    let longest_name = longest(&mut result.grilles.iter().map(|g| name(g).width())).max(6);
    let share = if page.width < WIDTH_WITH_PRESSURE {
        3
    } else {
        2
    };
    let least_bar = (rest / share).min(16);
    let name = longest_name.min(rest - least_bar).max(1);
    let bar = (rest - name).min(60);
    Columns {
        place,
        tie,
        name,
        bar,
        likely,
        has_flow,
        has_pressure,
    }
}

fn header(result: &StudyResult, page: &Page, columns: &Columns, scale: BarScale) -> [String; 2] {
    let is_given = result.given_flow_m3_per_h.is_some();
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
    let number = |text: &str| page.right(text, NUMBER);
    let low = round(scale.low);
    let axis =
        low.clone() + &page.right(&round(scale.high), columns.bar.saturating_sub(low.width()));
    let mut first = front("", "") + &" ".repeat(columns.bar + 1);
    first += &page.right(if is_given { "drop, Pa" } else { "air, %" }, columns.likely);
    let mut second = front("tie", "grille") + &page.left(&axis, columns.bar + 1);
    second += &page.right("(likely)", columns.likely);
    if columns.has_flow {
        first += &" ".repeat(2 * NUMBER);
        second += &(number("m³/h") + &number("CFM"));
    }
    first += &number("");
    second += &number("K");
    if columns.has_pressure {
        first += &number("");
        second += &number("Pa");
    }
    first += &page.right("hole", AREA);
    second += &page.right("area %", AREA);
    [first, second].map(|line| line.trim_end().to_owned())
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
        .filter(|_| measure(result, grille).is_some())
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
    let name_cell = if is_undecided(grille) {
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
    if is_undecided(grille) {
        format!("{name} {UNDECIDED_MARK}")
    } else {
        name
    }
}

fn numbers(
    grille: &GrilleResult,
    likely: &Likely,
    page: &Page,
    columns: &Columns,
    places: usize,
) -> String {
    let number = |value: Option<f64>| page.right(&value.map_or("–".to_owned(), compact), NUMBER);
    let mut numbers = " ".to_owned() + &page.right(&likely_text(likely, places), columns.likely);
    if columns.has_flow {
        let flow = grille.flow_m3_per_h.map(|flow| flow.value);
        numbers += &number(flow);
        numbers += &number(flow.map(cubic_feet_per_minute));
    }
    numbers += &number(grille.loss_coefficient.map(|k| k.value));
    if columns.has_pressure {
        numbers += &number(grille.pressure_drop_pa.map(|p| p.value));
    }
    numbers + &page.right(&format!("{:.0}", grille.hole_area_percent), AREA)
}

/// m³/h in cubic feet per minute.
pub(super) fn cubic_feet_per_minute(flow_m3_per_h: f64) -> f64 {
    flow_m3_per_h / CUBIC_METRES_PER_HOUR * CUBIC_FEET_PER_MINUTE
}

/// Decimals at which the narrowest range still shows.
fn places_for(measures: &[&Likely]) -> usize {
    let narrowest = measures
        .iter()
        .map(|m| (m.high - m.low) / 2.0)
        .fold(f64::INFINITY, f64::min);
    match narrowest {
        half if half >= 0.75 => 0,
        half if half >= 0.075 => 1,
        _ => 2,
    }
}

fn likely_text(likely: &Likely, places: usize) -> String {
    format!(
        "{:.places$} ({:.places$}–{:.places$})",
        likely.value, likely.low, likely.high
    )
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
