//! The tables of a study file, and the keys that stand alone.

use std::sync::LazyLock;

use crate::study::Study;
use crate::study::air_table::AIR;
use crate::study::fabric_table::FABRIC;
use crate::study::fan_table::FAN;
use crate::study::fan_view_table::FAN_VIEW;
use crate::study::grille_table::GRILLE;
use crate::study::key::{Key, Keys};
use crate::study::meter_table::METER;
use crate::study::other_fans_table::OTHER_FANS;
use crate::study::output_units::{FLOW_UNIT, PRESSURE_UNIT};
use crate::study::panel_table::PANEL;
use crate::study::place_table::PLACE;
use crate::study::printer_table::PRINTER;
use crate::study::run_table::RUN;
use crate::study::series_table::SERIES;
use crate::study::smoke_table::SMOKE;
use crate::study::table::NAME;
use crate::study::vent_table::VENT;
use crate::study::write::ResolvedCopy;

/// Any whole number: which of them are read is a question of its own.
pub(super) const FORMAT_KEY: Key = Key::whole("format", f64::NEG_INFINITY, f64::INFINITY)
    .hint("start the file with the line format = 1");
pub(super) const NOTES: Key = Key::text("notes");

pub(super) const STUDY_TABLE: Key = Key::table(
    "study",
    &Keys::new(
        "[study]",
        &[&NAME, &NOTES, &FLOW_UNIT.key, &PRESSURE_UNIT.key],
    ),
)
.hint("add a [study] table with a name");
pub(super) const AIR_TABLE: Key = Key::table("air", &AIR);
pub(super) const FAN_TABLE: Key =
    Key::table("fan", &FAN).hint("add a [fan] table with at least bore_mm, hub_mm and a curve");
pub(super) const VENT_TABLE: Key = Key::table("vent", &VENT);
pub(super) const PLACE_TABLE: Key = Key::table("place", &PLACE)
    .hint("add a [place] table with side = \"intake\" or side = \"exhaust\"");
pub(super) const METER_TABLE: Key = Key::table("meter", &METER);
pub(super) const PRINTER_TABLE: Key = Key::table("printer", &PRINTER);
pub(super) const FAN_VIEW_TABLE: Key = Key::table("fan_view", &FAN_VIEW);
pub(super) const OTHER_FANS_TABLES: Key = Key::tables("other_fans", &OTHER_FANS);
pub(super) const PANELS: Key = Key::tables("panel", &PANEL);
pub(super) const FABRICS: Key = Key::tables("fabric", &FABRIC);
pub(super) const GRILLES: Key = Key::tables("grille", &GRILLE);
pub(super) const ALL_SERIES: Key = Key::tables("series", &SERIES);
pub(super) const SMOKE_TABLE: Key = Key::table("smoke", &SMOKE);
pub(super) const RUN_TABLE: Key = Key::table("run", &RUN);

/// The whole file.
pub(super) const STUDY: Keys = Keys::new(
    "the study",
    &[
        &FORMAT_KEY,
        &STUDY_TABLE,
        &AIR_TABLE,
        &FAN_TABLE,
        &VENT_TABLE,
        &PLACE_TABLE,
        &METER_TABLE,
        &PRINTER_TABLE,
        &FAN_VIEW_TABLE,
        &OTHER_FANS_TABLES,
        &PANELS,
        &FABRICS,
        &GRILLES,
        &ALL_SERIES,
        &SMOKE_TABLE,
        &RUN_TABLE,
    ],
);

/// Writes `[study]`.
pub(super) fn write(copy: &mut ResolvedCopy, study: &Study) {
    copy.table("[study]");
    copy.text(&NAME, &study.name);
    copy.text(&NOTES, &study.notes);
    copy.word(&FLOW_UNIT, &study.output_units.flow);
    copy.word(&PRESSURE_UNIT, &study.output_units.pressure);
}

/// Every table of a study, the whole file first.
pub(super) static TABLES: LazyLock<Vec<&'static Keys>> = LazyLock::new(|| STUDY.all());

#[cfg(test)]
mod tests {
    use super::*;
    use crate::study::key::Kind;

    /// Whether a text has `word` as a word of its own.
    fn has_word(text: &str, word: &str) -> bool {
        let is_part = |c: char| c.is_ascii_alphanumeric() || c == '_';
        text.match_indices(word).any(|(place, _)| {
            !text[..place].ends_with(is_part) && !text[place + word.len()..].starts_with(is_part)
        })
    }

    #[test]
    fn the_file_that_explains_every_key_gives_a_value_to_each() {
        let explained = include_str!("../../cases/every-key.toml");
        let is_explained = |key: &Key| match key.kind {
            Kind::Table(keys) | Kind::Tables(keys) if explained.contains(keys.header) => true,
            _ => has_word(explained, &format!("{} =", key.name)),
        };
        let mut unexplained = Vec::new();
        for table in TABLES.iter() {
            let keys = table.list.iter().filter(|key| !is_explained(key));
            unexplained.extend(keys.map(|key| (table.header, key.name)));
        }
        assert!(unexplained.is_empty(), "{unexplained:?}");
    }

    #[test]
    fn no_table_has_a_key_twice_and_what_a_key_needs_stands_beside_it() {
        for table in TABLES.iter() {
            for (index, key) in table.list.iter().enumerate() {
                let before = &table.list[..index];
                assert!(!before.iter().any(|other| other.is(key)), "{}", key.name);
                let needed = key.needs.is_none_or(|needed| table.find(needed).is_some());
                assert!(needed, "{}", key.name);
            }
        }
    }
}
