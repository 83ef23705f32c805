//! `[[series]]`: many grilles from one, by lists of values.

use toml::Spanned;

use crate::study::fault::FaultKind;
use crate::study::file::{GrilleTable, Number, SeriesTable, Values, VaryTable};
use crate::study::findings::{Findings, Table};
use crate::study::limits;

/// A key that a series may vary: how it is read, how it is written into a grille, how it reads in a name.
struct Key {
    name: &'static str,
    in_words: &'static str,
    unit: &'static str,
    values: fn(&VaryTable) -> &Values,
    set: fn(&mut GrilleTable, Spanned<f64>) -> Setting,
}

/// What became of a value.
enum Setting {
    Done,
    NotUsed,
    NotWhole,
}

/// Writes into a key of the grille that may have been left to its default.
fn overwrite(target: &mut Number, value: Spanned<f64>) -> Setting {
    *target = Some(value);
    Setting::Done
}

/// Writes into a key of the pattern, only if the base grille uses it.
fn replace(target: Option<&mut Number>, value: Spanned<f64>) -> Setting {
    match target {
        Some(target @ Some(_)) => overwrite(target, value),
        _ => Setting::NotUsed,
    }
}

/// The table of this kind, if the face carries one and no zones.
macro_rules! pattern_key {
    ($grille:ident, $table:ident, $key:ident) => {
        $grille
            .$table
            .as_mut()
            .map(|table| &mut table.as_mut().$key)
    };
}

/// Every key that can be varied.
const KEYS: [Key; 16] = [
    Key {
        name: "thickness_mm",
        in_words: "thickness",
        unit: "",
        values: |vary| &vary.thickness_mm,
        set: |grille, value| overwrite(&mut grille.thickness_mm, value),
    },
    Key {
        name: "border_mm",
        in_words: "border",
        unit: "",
        values: |vary| &vary.border_mm,
        set: |grille, value| overwrite(&mut grille.border_mm, value),
    },
    Key {
        name: "centre_disc_mm",
        in_words: "centre disc",
        unit: "",
        values: |vary| &vary.centre_disc_mm,
        set: |grille, value| overwrite(&mut grille.centre_disc_mm, value),
    },
    Key {
        name: "diameter_mm",
        in_words: "diameter",
        unit: "",
        values: |vary| &vary.diameter_mm,
        set: |grille, value| replace(pattern_key!(grille, holes, diameter_mm), value),
    },
    Key {
        name: "side_mm",
        in_words: "side",
        unit: "",
        values: |vary| &vary.side_mm,
        set: |grille, value| replace(pattern_key!(grille, holes, side_mm), value),
    },
    Key {
        name: "across_flats_mm",
        in_words: "across flats",
        unit: "",
        values: |vary| &vary.across_flats_mm,
        set: |grille, value| replace(pattern_key!(grille, holes, across_flats_mm), value),
    },
    Key {
        name: "across_corners_mm",
        in_words: "across corners",
        unit: "",
        values: |vary| &vary.across_corners_mm,
        set: |grille, value| replace(pattern_key!(grille, holes, across_corners_mm), value),
    },
    Key {
        name: "width_mm",
        in_words: "width",
        unit: "",
        values: |vary| &vary.width_mm,
        set: |grille, value| replace(pattern_key!(grille, holes, width_mm), value),
    },
    Key {
        name: "length_mm",
        in_words: "length",
        unit: "",
        values: |vary| &vary.length_mm,
        set: |grille, value| replace(pattern_key!(grille, holes, length_mm), value),
    },
    Key {
        name: "slot_width_mm",
        in_words: "slot width",
        unit: "",
        values: |vary| &vary.slot_width_mm,
        set: |grille, value| replace(pattern_key!(grille, rings, slot_width_mm), value),
    },
    Key {
        name: "rib_mm",
        in_words: "rib",
        unit: "",
        values: |vary| &vary.rib_mm,
        set: set_rib,
    },
    Key {
        name: "bar_count",
        in_words: "bars",
        unit: "",
        values: |vary| &vary.bar_count,
        set: set_bar_count,
    },
    Key {
        name: "bar_width_mm",
        in_words: "bar width",
        unit: "",
        values: |vary| &vary.bar_width_mm,
        set: set_bar_width,
    },
    Key {
        name: "twist_deg",
        in_words: "twist",
        unit: " deg",
        values: |vary| &vary.twist_deg,
        set: |grille, value| replace(pattern_key!(grille, holes, twist_deg), value),
    },
    Key {
        name: "lean_deg",
        in_words: "lean",
        unit: " deg",
        values: |vary| &vary.lean_deg,
        set: set_lean,
    },
    Key {
        name: "pattern_twist_deg",
        in_words: "pattern twist",
        unit: " deg",
        values: |vary| &vary.pattern_twist_deg,
        set: set_pattern_twist,
    },
];

fn set_rib(grille: &mut GrilleTable, value: Spanned<f64>) -> Setting {
    if grille.holes.is_some() {
        replace(pattern_key!(grille, holes, rib_mm), value)
    } else {
        replace(pattern_key!(grille, rings, rib_mm), value)
    }
}

fn set_bar_width(grille: &mut GrilleTable, value: Spanned<f64>) -> Setting {
    if grille.rings.is_some() {
        replace(pattern_key!(grille, rings, bar_width_mm), value)
    } else {
        replace(pattern_key!(grille, bars, bar_width_mm), value)
    }
}

fn set_lean(grille: &mut GrilleTable, value: Spanned<f64>) -> Setting {
    if grille.holes.is_some() {
        replace(pattern_key!(grille, holes, lean_deg), value)
    } else if grille.rings.is_some() {
        replace(pattern_key!(grille, rings, lean_deg), value)
    } else {
        replace(pattern_key!(grille, bars, lean_deg), value)
    }
}

fn set_pattern_twist(grille: &mut GrilleTable, value: Spanned<f64>) -> Setting {
    if grille.holes.is_some() {
        replace(pattern_key!(grille, holes, pattern_twist_deg), value)
    } else if grille.rings.is_some() {
        replace(pattern_key!(grille, rings, pattern_twist_deg), value)
    } else {
        replace(pattern_key!(grille, bars, pattern_twist_deg), value)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    reason = "a number without fraction below 1e9 is exact in both types"
)]
fn set_bar_count(grille: &mut GrilleTable, value: Spanned<f64>) -> Setting {
    let span = value.span();
    let number = value.into_inner();
    if number.fract().abs() > 0.0 || number.abs() > 1e9 {
        return Setting::NotWhole;
    }
    let target = match (&mut grille.rings, &mut grille.bars) {
        (Some(rings), _) => &mut rings.as_mut().bar_count,
        (None, Some(bars)) => &mut bars.as_mut().bar_count,
        (None, None) => return Setting::NotUsed,
    };
    *target = Some(Spanned::new(span, number as i64));
    Setting::Done
}

/// The grilles that a series makes: every combination of its values, the last key of the file changing fastest.
///
/// Each value keeps its place in the list, so that a fault of one combination points at the series.
pub(super) fn expand(
    findings: &mut Findings<'_>,
    series: &Spanned<SeriesTable>,
    grilles: &[Spanned<GrilleTable>],
) -> Vec<Spanned<GrilleTable>> {
    let header = Table::new("[[series]]", series);
    let table = series.get_ref();
    let base = find_base(findings, &header, table, grilles);
    let Some(vary) = &table.vary else {
        findings.missing(
            &header,
            "vary",
            "add lists of values, such as vary = { rib_mm = [0.8, 1.2, 1.6] }",
        );
        return Vec::new();
    };
    let mut keys: Vec<(usize, &Key)> = KEYS
        .iter()
        .filter_map(|key| {
            let values = (key.values)(vary.get_ref()).as_ref()?;
            Some((values.span().start, key))
        })
        .collect();
    keys.sort_by_key(|(offset, _)| *offset);
    if keys.is_empty() {
        findings.report(&vary.span(), FaultKind::NothingToVary { key: "vary" });
        return Vec::new();
    }
    let Some((base, base_name)) = base else {
        return Vec::new();
    };
    let stem = match &table.name {
        Some(_) => findings.name(&header, &table.name),
        None => Some(base_name.clone()),
    };
    let Some(stem) = stem else {
        return Vec::new();
    };
    let mut made = vec![(stem, base.clone())];
    for (_, key) in keys {
        made = vary_one(findings, key, vary.get_ref(), &base_name, &made);
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

/// Every grille so far with every value of one key.
fn vary_one(
    findings: &mut Findings<'_>,
    key: &Key,
    vary: &VaryTable,
    base_name: &str,
    so_far: &[(String, GrilleTable)],
) -> Vec<(String, GrilleTable)> {
    let Some(values) = (key.values)(vary) else {
        return Vec::new();
    };
    if values.get_ref().is_empty() {
        findings.report(&values.span(), FaultKind::NothingToVary { key: key.name });
        return Vec::new();
    }
    let mut made = Vec::new();
    for (name, grille) in so_far {
        for value in values.get_ref() {
            let mut grille = grille.clone();
            match (key.set)(&mut grille, value.clone()) {
                Setting::Done => {
                    let number = value.get_ref();
                    made.push((
                        format!("{name}, {} {number}{}", key.in_words, key.unit),
                        grille,
                    ));
                }
                Setting::NotUsed => {
                    let kind = FaultKind::CannotVary {
                        key: key.name,
                        base: base_name.to_owned(),
                    };
                    findings.report(&values.span(), kind);
                    return Vec::new();
                }
                Setting::NotWhole => {
                    let kind = FaultKind::NotWhole {
                        key: key.name,
                        value: *value.get_ref(),
                    };
                    findings.report(&value.span(), kind);
                }
            }
        }
    }
    made
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
}
