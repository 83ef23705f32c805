//! `[[series]]`: many grilles from one, by lists and ranges of values and by explicit rows.

use std::ops::Range;

use toml::Spanned;

use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys, Unit};
use crate::study::series_keys::{
    Rule, Setting, decimals_in_names, fits, in_name, make_room, set, varied_keys,
};
use crate::study::table::{NAME, Table};
use crate::study::tree::{Tree, Value};

/// Most grilles in a study, series included.
pub(super) const MOST_GRILLES: usize = 200;

pub(super) const BASE: Key =
    Key::text("base").hint("name the [[grille]] on which the series builds");
const VARY: Key = Key::vary("vary").hint(
    "add lists of values, such as vary = { rib_mm = [0.8, 1.2, 1.6] }, or rows = [ { rib_mm = 0.8 }, { rib_mm = 1.2, thickness_mm = 3 } ]",
);
const ROWS: Key = Key::rows("rows");

/// `[[series]]`
pub(super) const SERIES: Keys = Keys::new("[[series]]", &[&BASE, &NAME, &VARY, &ROWS]);

const FROM: Key = range_part("from");
const TO: Key = range_part("to");
const STEP: Key = range_part("step");
const COUNT: Key = Key::whole("count", 2.0, MOST_GRILLES as f64)
    .hint("give how many values the range holds, both ends included");

/// `{ from = 0.8, to = 1.6, step = 0.2 }` or `{ from = 0.8, to = 1.6, count = 5 }`
pub(super) const RANGE: Keys = Keys::new("the range", &[&FROM, &TO, &STEP, &COUNT]);

const fn range_part(name: &'static str) -> Key {
    Key::number(name, Unit::NONE, -1e6, 1e6).hint(
        "write a range as { from = 0.8, to = 1.6, step = 0.2 } or { from = 0.8, to = 1.6, count = 5 }",
    )
}

/// Grilles that are being made, each with its name.
type Made = Vec<(String, Tree)>;

/// The grilles that a series makes: its rows, each with every combination of the values of `vary`, the last key of the file changing fastest.
///
/// Each value keeps its place in the file, so that a fault of one combination points at the series.
pub(super) fn expand(
    diagnostics: &mut Diagnostics<'_>,
    series: &Table<'_>,
    grilles: &[Table<'_>],
) -> Vec<Tree> {
    let base = find_base(diagnostics, series, grilles);
    if !series.has(&VARY) && !series.has(&ROWS) {
        series.missing(diagnostics, &VARY);
        return Vec::new();
    }
    let lists = match (series.table(&VARY), series.has(&VARY)) {
        (Some(vary), _) => lists(diagnostics, &vary),
        (None, is_there) => (!is_there).then(Vec::new),
    };
    let Some((base, base_name)) = base else {
        return Vec::new();
    };
    let name = series.has(&NAME).then(|| series.name(diagnostics));
    let name_span = series.span_of(&NAME).unwrap_or(series.span.clone());
    let stem = match name {
        Some(name) => name.map(Spanned::into_inner),
        None => Some(base_name.clone()),
    };
    let (Some(stem), Some(lists)) = (stem, lists) else {
        return Vec::new();
    };
    let start = (stem, base.clone());
    let mut made = if series.has(&ROWS) {
        by_rows(diagnostics, series, &base_name, &start)
    } else {
        vec![start]
    };
    for list in lists {
        made = vary_one(diagnostics, &list, &base_name, &made);
        if made.len() > 10 * MOST_GRILLES {
            break;
        }
    }
    made.into_iter()
        .map(|(name, mut grille)| {
            let name = Spanned::new(name_span.clone(), Value::Text(name));
            grille.set(NAME.name, name);
            grille
        })
        .collect()
}

fn find_base<'a>(
    diagnostics: &mut Diagnostics<'_>,
    series: &Table<'_>,
    grilles: &[Table<'a>],
) -> Option<(&'a Tree, String)> {
    if !series.has(&BASE) {
        series.missing(diagnostics, &BASE);
    }
    let base = series.text(&BASE)?;
    let named = grilles.iter().filter_map(|grille| {
        let name = grille.tree.text(NAME.name)?;
        Some((grille.tree, name.to_owned()))
    });
    let found = named
        .clone()
        .find(|(_, name)| name == base.get_ref().trim());
    if found.is_none() {
        let kind = FaultKind::UnknownBase {
            base: (*base.get_ref()).to_owned(),
            known: named.map(|(_, name)| name).collect(),
        };
        diagnostics.report(&base.span(), kind);
    }
    found
}

/// A key with its values.
struct List {
    key: &'static Key,
    span: Range<usize>,
    values: Vec<Spanned<Value>>,
}

/// The keys of `vary` with their values, in the order of the file. `None` after a fault.
fn lists(diagnostics: &mut Diagnostics<'_>, vary: &Table<'_>) -> Option<Vec<List>> {
    let mut lists = Vec::new();
    let mut is_sound = true;
    for key in varied_keys() {
        let Some(value) = vary.tree.get(key.name) else {
            continue;
        };
        let span = value.span();
        let values = match value.get_ref() {
            Value::Table(range) => {
                let range = Table::new(RANGE.called, span.clone(), range);
                values_of(diagnostics, &range)
            }
            Value::List(values) => {
                let is_of_type = values.iter().all(|value| fits(key, value.get_ref()));
                is_of_type.then(|| values.clone())
            }
            _ => None,
        };
        let Some(values) = values else {
            is_sound = false;
            continue;
        };
        if values.is_empty() {
            diagnostics.report(&span, FaultKind::NothingToVary { key: key.name });
            is_sound = false;
        }
        lists.push(List { key, span, values });
    }
    if vary.tree.entries.is_empty() {
        diagnostics.report(&vary.span, FaultKind::NothingToVary { key: VARY.name });
        return None;
    }
    lists.sort_by_key(|list| list.span.start);
    is_sound.then_some(lists)
}

/// The values of a range, both ends included where the steps reach the second. `None` after a fault.
fn values_of(diagnostics: &mut Diagnostics<'_>, range: &Table<'_>) -> Option<Vec<Spanned<Value>>> {
    let from = range.number(diagnostics, &FROM);
    let to = range.number(diagnostics, &TO);
    let how = range.exactly_one(diagnostics, &[&STEP, &COUNT])?;
    let (count, step) = if how.is(&COUNT) {
        let count = range.whole(diagnostics, &COUNT);
        let (count, from, to) = (count?, from?.written, to?.written);
        (count, (to - from) / f64::from(count - 1))
    } else {
        let step = range.number(diagnostics, &STEP);
        let (step, from, to) = (step?.written, from?.written, to?.written);
        // A step that is meant to end at `to` may fall short of it by rounding.
        let steps = ((to - from) / step + 1e-9).floor();
        if step.abs() <= 0.0 || steps < 0.0 {
            let span = range.span_of(&STEP)?;
            diagnostics.report(&span, FaultKind::StepAway { step, from, to });
            return None;
        }
        if steps >= MOST_GRILLES as f64 {
            let (count, limit) = (whole(steps), MOST_GRILLES);
            diagnostics.report(&range.span, FaultKind::TooManyGrilles { count, limit });
            return None;
        }
        (u32::try_from(whole(steps)).ok()? + 1, step)
    };
    let from = from?.written;
    let value = |i: u32| {
        // 0.1 + 2 x 0.1 is meant to be 0.3.
        let value = ((from + f64::from(i) * step) * 1e9).round() / 1e9;
        Spanned::new(range.span.clone(), Value::Number(value))
    };
    Some((0..count).map(value).collect())
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a count that is not negative; a huge one stays huge"
)]
fn whole(count: f64) -> usize {
    count as usize
}

/// One grille per row.
fn by_rows(
    diagnostics: &mut Diagnostics<'_>,
    series: &Table<'_>,
    base_name: &str,
    (stem, base): &(String, Tree),
) -> Made {
    let nothing = FaultKind::NothingToVary { key: ROWS.name };
    if series.list(&ROWS).is_some_and(<[_]>::is_empty)
        && let Some(span) = series.span_of(&ROWS)
    {
        diagnostics.report(&span, nothing.clone());
    }
    let mut made = Vec::new();
    for row in series.tables(&ROWS) {
        let mut grille = base.clone();
        make_room(&mut grille, row.tree);
        let mut words: Vec<(usize, String)> = Vec::new();
        let mut is_sound = true;
        for key in varied_keys() {
            let Some(value) = row.tree.get(key.name) else {
                continue;
            };
            let setting = set(&mut grille, key, value.clone(), Rule::Any);
            is_sound &= fits(key, value.get_ref())
                && is_done(diagnostics, (key, value), &value.span(), setting, base_name);
            words.push((
                value.span().start,
                in_name(key, value.get_ref(), ALL_DECIMALS),
            ));
        }
        words.sort_by_key(|(offset, _)| *offset);
        if words.is_empty() {
            // Unknown keys have been noted.
            if row
                .tree
                .entries
                .iter()
                .all(|(key, _)| key.get_ref() == NAME.name)
            {
                diagnostics.report(&row.span, nothing.clone());
            }
            continue;
        }
        let words: Vec<String> = words.into_iter().map(|(_, words)| words).collect();
        let called = if row.has(&NAME) {
            row.called("the row")
                .name(diagnostics)
                .map(Spanned::into_inner)
        } else {
            Some(words.join(", "))
        };
        if let (Some(called), true) = (called, is_sound) {
            made.push((format!("{stem}, {called}"), grille));
        }
    }
    made
}

/// Every grille so far with every value of one key.
fn vary_one(
    diagnostics: &mut Diagnostics<'_>,
    list: &List,
    base_name: &str,
    so_far: &Made,
) -> Made {
    let key = list.key;
    let numbers = list
        .values
        .iter()
        .filter_map(|value| match value.get_ref() {
            Value::Number(number) => Some(*number),
            _ => None,
        });
    let decimals = decimals_in_names(&numbers.collect::<Vec<f64>>());
    let mut made = Vec::new();
    for (name, grille) in so_far {
        for value in &list.values {
            let mut grille = grille.clone();
            let setting = set(&mut grille, key, value.clone(), Rule::Known);
            if is_done(diagnostics, (key, value), &list.span, setting, base_name) {
                let words = in_name(key, value.get_ref(), decimals);
                made.push((format!("{name}, {words}"), grille));
            } else if setting == Setting::NotUsed {
                return Vec::new();
            }
        }
    }
    made
}

/// Whether a value was set; otherwise notes the fault, at `span` if the key is to blame and not the value.
fn is_done(
    diagnostics: &mut Diagnostics<'_>,
    (key, value): (&Key, &Spanned<Value>),
    span: &Range<usize>,
    setting: Setting,
    base_name: &str,
) -> bool {
    match (setting, value.get_ref()) {
        (Setting::Done, _) => return true,
        (Setting::NotWhole, Value::Number(number)) => {
            let kind = FaultKind::NotWhole {
                key: key.name,
                value: *number,
            };
            diagnostics.report(&value.span(), kind);
        }
        (Setting::NotUsed | Setting::NotWhole, _) => {
            let kind = FaultKind::CannotVary {
                key: key.name,
                base: base_name.to_owned(),
            };
            diagnostics.report(span, kind);
        }
    }
    false
}

/// A row of values names its numbers as they were written.
const ALL_DECIMALS: usize = 9;

#[cfg(test)]
mod tests {
    use crate::grille::{HoleShape, Pattern};
    use crate::study::{Draft, Study};

    fn read(series: &str) -> Study {
        let text = format!(
            r#"
            format = 1
            study.name = "series"
            fan = {{ bore_mm = 120, hub_mm = 40, given_flow_m3_per_h = 80 }}
            place.side = "intake"
            [[grille]]
            name = "dots"
            thickness_mm = 4
            holes = {{ shape = "round", diameter_mm = 6, rib_mm = 1 }}
            [[grille]]
            name = "spokes"
            thickness_mm = 4
            centre_disc_mm = 40
            bars = {{ bar_count = 12, bar_width_mm = 2 }}
            [[series]]
            {series}
            "#
        );
        let draft = Draft::parse(text.as_bytes(), "series").unwrap();
        draft.resolve(&mut |_| Err(String::new())).unwrap()
    }

    #[test]
    fn every_combination_becomes_a_grille_that_says_what_varies() {
        let study =
            read("base = \"dots\"\nvary = { thickness_mm = [3, 5], diameter_mm = [4.5, 8] }");
        let names: Vec<&str> = study
            .grilles
            .iter()
            .map(|grille| grille.name.as_str())
            .collect();
        assert_eq!(
            names,
            [
                "dots",
                "spokes",
                "dots, thickness 3, diameter 4.5",
                "dots, thickness 3, diameter 8",
                "dots, thickness 5, diameter 4.5",
                "dots, thickness 5, diameter 8",
            ]
        );
        let last = &study.grilles[5];
        assert!((last.thickness - 0.005).abs() < 1e-12);
        let Pattern::Holes(holes) = &last.zones[0].pattern else {
            panic!("{last:?}");
        };
        assert_eq!(holes.shape, HoleShape::Round { diameter: 0.008 });
        assert!(
            (holes.rib - 0.001).abs() < 1e-12,
            "what is not varied stays"
        );
    }

    #[test]
    fn whole_numbers_can_be_varied_too() {
        let study = read("base = \"spokes\"\nname = \"s\"\nvary.bar_count = [7, 9]");
        let Pattern::Bars(bars) = &study.grilles[3].zones[0].pattern else {
            panic!("{study:?}");
        };
        assert_eq!(bars.bar_count, 9);
        assert_eq!(study.grilles[3].name, "s, bars 9");
    }

    #[test]
    fn names_of_a_divided_range_are_short_and_differ() {
        let names = names_of("base = \"dots\"\nvary.rib_mm = { from = 1, to = 2, count = 8 }");
        // Sevenths, within a twentieth of a seventh.
        assert_eq!(names[1], "dots, rib 1.14");
        assert_eq!(names[7], "dots, rib 2");
        assert!(
            names
                .iter()
                .all(|name| name.len() <= "dots, rib 1.14".len()),
            "{names:?}"
        );
    }

    fn names_of(series: &str) -> Vec<String> {
        let grilles = read(series).grilles.into_iter().skip(2);
        grilles.map(|grille| grille.name).collect()
    }

    #[test]
    fn ranges_by_step_and_by_count_hold_both_ends() {
        let by_step = "base = \"dots\"\nvary.rib_mm = { from = 0.8, to = 1.4, step = 0.2 }";
        let names = [
            "dots, rib 0.8",
            "dots, rib 1",
            "dots, rib 1.2",
            "dots, rib 1.4",
        ];
        assert_eq!(names_of(by_step), names);
        let by_count = "base = \"dots\"\nvary.rib_mm = { from = 0.8, to = 1.4, count = 4 }";
        assert_eq!(names_of(by_count), names);
        let down = "base = \"dots\"\nvary.rib_mm = { from = 1.2, to = 0.75, step = -0.2 }";
        assert_eq!(
            names_of(down),
            ["dots, rib 1.2", "dots, rib 1", "dots, rib 0.8"]
        );
    }

    #[test]
    fn words_and_edges_can_be_varied() {
        let series = "base = \"dots\"\nvary = { layout = [\"square\", \"staggered\"], front_edge = [{ radius_mm = 0.4 }, { sharp = true }] }";
        assert_eq!(
            names_of(series),
            [
                "dots, layout square, front edge rounded 0.4",
                "dots, layout square, front edge sharp",
                "dots, layout staggered, front edge rounded 0.4",
                "dots, layout staggered, front edge sharp",
            ]
        );
    }

    #[test]
    fn a_row_says_what_is_different_from_the_base() {
        let series = "base = \"dots\"\nrows = [{ shape = \"hexagon\", across_flats_mm = 6, twist_deg = 20 }, { rib_mm = 1.4, lean_deg = 10 }, { name = \"thin\", thickness_mm = 2 }]";
        assert_eq!(
            names_of(series),
            [
                "dots, hexagon, across flats 6, twist 20 deg",
                "dots, rib 1.4, lean 10 deg",
                "dots, thin",
            ]
        );
        let study = read(series);
        let Pattern::Holes(holes) = &study.grilles[2].zones[0].pattern else {
            panic!("{study:?}");
        };
        assert_eq!(
            holes.shape,
            HoleShape::Hexagon {
                across_flats: 0.006
            }
        );
    }

    #[test]
    fn rows_and_lists_go_together() {
        let series =
            "base = \"dots\"\nrows = [{ rib_mm = 1 }, { rib_mm = 2 }]\nvary.thickness_mm = [3, 5]";
        assert_eq!(
            names_of(series),
            [
                "dots, rib 1, thickness 3",
                "dots, rib 1, thickness 5",
                "dots, rib 2, thickness 3",
                "dots, rib 2, thickness 5",
            ]
        );
    }

    #[test]
    fn another_shape_keeps_the_sizes_that_it_shares() {
        let names = names_of(
            "base = \"dots\"\nrows = [{ shape = \"square\", side_mm = 5 }]\nvary.shape = [\"square\", \"triangle\"]",
        );
        assert_eq!(
            names,
            [
                "dots, square, side 5, square",
                "dots, square, side 5, triangle"
            ]
        );
    }
}
