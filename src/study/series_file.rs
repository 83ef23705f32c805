//! `[[series]]` as it stands in the file: lists and ranges of values, and explicit rows.

use std::fmt;

use serde::de::value::MapAccessDeserializer;
use serde::de::{MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer};
use toml::Spanned;

use crate::study::file::{Count, EdgeTable, Number, Word};

/// `[[series]]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SeriesTable {
    pub(super) base: Word,
    pub(super) name: Word,
    pub(super) vary: Option<Spanned<VaryTable>>,
    pub(super) rows: Option<Spanned<Vec<Spanned<RowTable>>>>,
}

/// Numbers with their places, listed or as a range.
pub(super) type Numbers = Option<Spanned<NumbersTable>>;

/// Words with their places.
pub(super) type Words = Option<Spanned<Vec<Spanned<String>>>>;

/// Edges with their places.
pub(super) type Edges = Option<Spanned<Vec<Spanned<EdgeTable>>>>;

/// `[0.8, 1.2]` or `{ from = 0.8, to = 1.6, step = 0.2 }`
#[derive(Debug, Clone)]
pub(super) enum NumbersTable {
    List(Vec<Spanned<f64>>),
    Range(RangeTable),
}

/// `{ from = 0.8, to = 1.6, step = 0.2 }` or `{ from = 0.8, to = 1.6, count = 5 }`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RangeTable {
    pub(super) from: Number,
    pub(super) to: Number,
    pub(super) step: Number,
    pub(super) count: Count,
}

// By hand: an untagged enum would lose the places of its values.
impl<'de> Deserialize<'de> for NumbersTable {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_any(ListOrRange)
    }
}

struct ListOrRange;

impl<'de> Visitor<'de> for ListOrRange {
    type Value = NumbersTable;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a list of numbers or a range such as { from = 1, to = 2, step = 0.5 }")
    }

    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<NumbersTable, A::Error> {
        let mut values = Vec::new();
        while let Some(value) = seq.next_element()? {
            values.push(value);
        }
        Ok(NumbersTable::List(values))
    }

    fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<NumbersTable, A::Error> {
        RangeTable::deserialize(MapAccessDeserializer::new(map)).map(NumbersTable::Range)
    }
}

/// `[series.vary]`
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct VaryTable {
    pub(super) thickness_mm: Numbers,
    pub(super) border_mm: Numbers,
    pub(super) centre_disc_mm: Numbers,
    pub(super) diameter_mm: Numbers,
    pub(super) side_mm: Numbers,
    pub(super) across_flats_mm: Numbers,
    pub(super) across_corners_mm: Numbers,
    pub(super) width_mm: Numbers,
    pub(super) length_mm: Numbers,
    pub(super) slot_width_mm: Numbers,
    pub(super) rib_mm: Numbers,
    pub(super) bar_count: Numbers,
    pub(super) bar_width_mm: Numbers,
    pub(super) twist_deg: Numbers,
    pub(super) lean_deg: Numbers,
    pub(super) pattern_twist_deg: Numbers,
    pub(super) shape: Words,
    pub(super) layout: Words,
    pub(super) twist_from: Words,
    pub(super) twist_hands: Words,
    pub(super) merging: Words,
    pub(super) crossing_holes: Words,
    pub(super) front_edge: Edges,
    pub(super) back_edge: Edges,
}

/// One row of `rows`: what one grille has instead of what its base has.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RowTable {
    pub(super) name: Word,
    pub(super) thickness_mm: Number,
    pub(super) border_mm: Number,
    pub(super) centre_disc_mm: Number,
    pub(super) diameter_mm: Number,
    pub(super) side_mm: Number,
    pub(super) across_flats_mm: Number,
    pub(super) across_corners_mm: Number,
    pub(super) width_mm: Number,
    pub(super) length_mm: Number,
    pub(super) slot_width_mm: Number,
    pub(super) rib_mm: Number,
    pub(super) bar_count: Number,
    pub(super) bar_width_mm: Number,
    pub(super) twist_deg: Number,
    pub(super) lean_deg: Number,
    pub(super) pattern_twist_deg: Number,
    pub(super) shape: Word,
    pub(super) layout: Word,
    pub(super) twist_from: Word,
    pub(super) twist_hands: Word,
    pub(super) merging: Word,
    pub(super) crossing_holes: Word,
    pub(super) front_edge: Option<Spanned<EdgeTable>>,
    pub(super) back_edge: Option<Spanned<EdgeTable>>,
}
