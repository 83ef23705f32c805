//! `[[series]]`: many grilles from one, by lists and ranges of values and by explicit rows.

use std::ops::Range;

use toml::Spanned;

use crate::study::fault::FaultKind;
use crate::study::file::GrilleTable;
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits;
use crate::study::series_file::{RangeTable, RowTable, SeriesTable, VaryTable};
use crate::study::series_keys::{KEYS, Key, Listed, Rule, Setting, Value, make_room};

/// Grilles that are being made, each with its name.
type Made = Vec<(String, GrilleTable)>;

/// The grilles that a series makes: its rows, each with every combination of the values of `vary`, the last key of the file changing fastest.
///
/// Each value keeps its place in the file, so that a fault of one combination points at the series.
pub(super) fn expand(
    findings: &mut Findings<'_>,
    series: &Spanned<SeriesTable>,
    grilles: &[Spanned<GrilleTable>],
) -> Vec<Spanned<GrilleTable>> {
    let header = Table::new("[[series]]", series);
    let table = series.get_ref();
    let base = find_base(findings, &header, table, grilles);
    if table.vary.is_none() && table.rows.is_none() {
        findings.missing(
            &header,
            "vary",
            "add lists of values, such as vary = { rib_mm = [0.8, 1.2, 1.6] }, or rows = [ { rib_mm = 0.8 }, { rib_mm = 1.2, thickness_mm = 3 } ]",
        );
        return Vec::new();
    }
    let lists = table.vary.as_ref().map(|vary| lists(findings, vary));
    let Some((base, base_name)) = base else {
        return Vec::new();
    };
    let stem = match &table.name {
        Some(_) => findings.name(&header, &table.name),
        None => Some(base_name.clone()),
    };
    let (Some(stem), Some(lists)) = (stem, lists.unwrap_or(Some(Vec::new()))) else {
        return Vec::new();
    };
    let start = (stem, base.clone());
    let mut made = match &table.rows {
        None => vec![start],
        Some(rows) => by_rows(findings, rows, &base_name, &start),
    };
    for list in lists {
        made = vary_one(findings, &list, &base_name, &made);
        if made.len() > 10 * limits::MOST_GRILLES {
            break;
        }
    }
    made.into_iter()
        .map(|(name, mut grille)| {
            let span = table.name.as_ref().map_or(series.span(), Spanned::span);
            grille.name = Some(Spanned::new(span, name));
            Spanned::new(series.span(), grille)
        })
        .collect()
}

fn find_base<'a>(
    findings: &mut Findings<'_>,
    header: &Table,
    series: &SeriesTable,
    grilles: &'a [Spanned<GrilleTable>],
) -> Option<(&'a GrilleTable, String)> {
    let Some(base) = &series.base else {
        findings.missing(
            header,
            "base",
            "name the [[grille]] on which the series builds",
        );
        return None;
    };
    let name_of = |grille: &'a Spanned<GrilleTable>| {
        let name = grille.get_ref().name.as_ref()?.get_ref().trim();
        Some((grille.get_ref(), name))
    };
    let found = grilles
        .iter()
        .filter_map(name_of)
        .find(|(_, name)| *name == base.get_ref().trim());
    if found.is_none() {
        let kind = FaultKind::UnknownBase {
            base: base.get_ref().clone(),
            known: grilles
                .iter()
                .filter_map(name_of)
                .map(|(_, name)| name.to_owned())
                .collect(),
        };
        findings.report(&base.span(), kind);
    }
    found.map(|(grille, name)| (grille, name.to_owned()))
}

/// A key with its values.
struct List {
    key: &'static Key,
    span: Range<usize>,
    values: Vec<Value>,
}

/// The keys of `vary` with their values, in the order of the file. `None` after a fault.
fn lists(findings: &mut Findings<'_>, vary: &Spanned<VaryTable>) -> Option<Vec<List>> {
    let mut lists = Vec::new();
    let mut is_sound = true;
    for key in &KEYS {
        let Some((span, listed)) = (key.listed)(vary.get_ref()) else {
            continue;
        };
        let values = match listed {
            Listed::Values(values) => Some(values),
            Listed::Range(range) => values_of(findings, &span, range),
        };
        let Some(values) = values else {
            is_sound = false;
            continue;
        };
        if values.is_empty() {
            findings.report(&span, FaultKind::NothingToVary { key: key.name });
            is_sound = false;
        }
        lists.push(List { key, span, values });
    }
    if lists.is_empty() && is_sound {
        findings.report(&vary.span(), FaultKind::NothingToVary { key: "vary" });
        return None;
    }
    lists.sort_by_key(|list| list.span.start);
    is_sound.then_some(lists)
}

/// The values of a range, both ends included where the steps reach the second. `None` after a fault.
fn values_of(
    findings: &mut Findings<'_>,
    span: &Range<usize>,
    range: &RangeTable,
) -> Option<Vec<Value>> {
    let header = Table {
        name: "the range",
        span: span.clone(),
    };
    let from = findings.required_number(&header, "from", &range.from, &limits::RANGE_END);
    let to = findings.required_number(&header, "to", &range.to, &limits::RANGE_END);
    let how = findings.exactly_one(
        &header,
        &[
            ("step", span_of(range.step.as_ref())),
            ("count", span_of(range.count.as_ref())),
        ],
    );
    let (count, step) = if how? == "count" {
        let count = findings.required_whole(&header, "count", &range.count, &limits::RANGE_COUNT);
        let (count, from, to) = (count?, from?, to?);
        (count, (to - from) / f64::from(count - 1))
    } else {
        let step = findings.required_number(&header, "step", &range.step, &limits::RANGE_END);
        let (step, from, to) = (step?, from?, to?);
        // A step that is meant to end at `to` may fall short of it by rounding.
        let steps = ((to - from) / step + 1e-9).floor();
        if step.abs() <= 0.0 || steps < 0.0 {
            findings.report(
                &span_of(range.step.as_ref())?,
                FaultKind::StepAway { step, from, to },
            );
            return None;
        }
        if steps >= limits::MOST_GRILLES as f64 {
            let (count, limit) = (whole(steps), limits::MOST_GRILLES);
            findings.report(span, FaultKind::TooManyGrilles { count, limit });
            return None;
        }
        (u32::try_from(whole(steps)).ok()? + 1, step)
    };
    let from = from?;
    let value = |i: u32| {
        // 0.1 + 2 x 0.1 is meant to be 0.3.
        let value = ((from + f64::from(i) * step) * 1e9).round() / 1e9;
        Value::Number(Spanned::new(span.clone(), value))
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
    findings: &mut Findings<'_>,
    rows: &Spanned<Vec<Spanned<RowTable>>>,
    base_name: &str,
    (stem, base): &(String, GrilleTable),
) -> Made {
    if rows.get_ref().is_empty() {
        findings.report(&rows.span(), FaultKind::NothingToVary { key: "rows" });
    }
    let mut made = Vec::new();
    for row in rows.get_ref() {
        let mut grille = base.clone();
        make_room(&mut grille, row.get_ref());
        let mut words: Vec<(usize, String)> = Vec::new();
        let mut is_sound = true;
        for key in &KEYS {
            let Some(value) = (key.given)(row.get_ref()) else {
                continue;
            };
            let setting = (key.set)(&mut grille, value.clone(), Rule::Any);
            is_sound &= is_done(findings, (key, &value), &value.span(), setting, base_name);
            words.push((value.span().start, key.in_name(&value)));
        }
        words.sort_by_key(|(offset, _)| *offset);
        if words.is_empty() {
            findings.report(&row.span(), FaultKind::NothingToVary { key: "rows" });
            continue;
        }
        let words: Vec<String> = words.into_iter().map(|(_, words)| words).collect();
        let called = match &row.get_ref().name {
            Some(_) => findings.name(&Table::new("the row", row), &row.get_ref().name),
            None => Some(words.join(", ")),
        };
        if let (Some(called), true) = (called, is_sound) {
            made.push((format!("{stem}, {called}"), grille));
        }
    }
    made
}

/// Every grille so far with every value of one key.
fn vary_one(findings: &mut Findings<'_>, list: &List, base_name: &str, so_far: &Made) -> Made {
    let key = list.key;
    let mut made = Vec::new();
    for (name, grille) in so_far {
        for value in &list.values {
            let mut grille = grille.clone();
            let setting = (key.set)(&mut grille, value.clone(), Rule::Known);
            if is_done(findings, (key, value), &list.span, setting, base_name) {
                made.push((format!("{name}, {}", key.in_name(value)), grille));
            } else if setting == Setting::NotUsed {
                return Vec::new();
            }
        }
    }
    made
}

/// Whether a value was set; otherwise notes the fault, at `span` if the key is to blame and not the value.
fn is_done(
    findings: &mut Findings<'_>,
    (key, value): (&Key, &Value),
    span: &Range<usize>,
    setting: Setting,
    base_name: &str,
) -> bool {
    match (setting, value) {
        (Setting::Done, _) => true,
        (Setting::NotWhole, Value::Number(number)) => {
            let kind = FaultKind::NotWhole {
                key: key.name,
                value: *number.get_ref(),
            };
            findings.report(&value.span(), kind);
            false
        }
        (Setting::NotUsed | Setting::NotWhole, _) => {
            let kind = FaultKind::CannotVary {
                key: key.name,
                base: base_name.to_owned(),
            };
            findings.report(span, kind);
            false
        }
    }
}

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
