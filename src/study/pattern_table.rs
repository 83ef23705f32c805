//! `[grille.holes]`, `[grille.rings]` and `[grille.bars]`: what a face or a zone carries.

use std::ops::Range;

use toml::Spanned;

use crate::grille::{
    BarPattern, CountedFrom, Hands, HolePattern, HoleShape, Layout, Pattern, RingPattern, Turn,
};
use crate::study::fault::FaultKind;
use crate::study::file::{BarsTable, HolesTable, Number, RingsTable, Word};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits::{self, Limits};

/// The three pattern tables of a face or zone, of which exactly one is there.
#[derive(Clone, Copy)]
pub(super) struct PatternTables<'a> {
    pub(super) holes: Option<&'a Spanned<HolesTable>>,
    pub(super) rings: Option<&'a Spanned<RingsTable>>,
    pub(super) bars: Option<&'a Spanned<BarsTable>>,
}

impl PatternTables<'_> {
    /// Where each table stands.
    pub(super) fn spans(&self) -> [(&'static str, Option<Range<usize>>); 3] {
        [
            ("holes", span_of(self.holes)),
            ("rings", span_of(self.rings)),
            ("bars", span_of(self.bars)),
        ]
    }

    /// Checks the pattern that is there. `None` only after a fault, which the caller may have noted.
    pub(super) fn resolve(&self, findings: &mut Findings<'_>) -> Option<Pattern> {
        if let Some(holes) = self.holes {
            resolve_holes(findings, holes).map(Pattern::Holes)
        } else if let Some(rings) = self.rings {
            resolve_rings(findings, rings).map(Pattern::Rings)
        } else {
            resolve_bars(findings, self.bars?).map(Pattern::Bars)
        }
    }
}

/// Words for the shapes of holes, in the order in which messages list them.
const SHAPES: [(&str, Shape); 5] = [
    ("round", Shape::Round),
    ("square", Shape::Square),
    ("hexagon", Shape::Hexagon),
    ("triangle", Shape::Triangle),
    ("slot", Shape::Slot),
];

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Shape {
    Round,
    Square,
    Hexagon,
    Triangle,
    Slot,
}

impl Shape {
    fn word(self) -> &'static str {
        SHAPES
            .iter()
            .find(|(_, shape)| *shape == self)
            .map_or("", |(word, _)| word)
    }

    /// The keys that give its size; of all but the slot's exactly one is needed.
    fn size_keys(self) -> &'static [&'static str] {
        match self {
            Self::Round => &["diameter_mm"],
            Self::Square | Self::Triangle => &["side_mm", "across_corners_mm"],
            Self::Hexagon => &["across_flats_mm", "across_corners_mm"],
            Self::Slot => &["width_mm", "length_mm"],
        }
    }

    fn size_keys_in_words(self) -> &'static str {
        match self {
            Self::Round => "diameter_mm",
            Self::Square | Self::Triangle => "side_mm or across_corners_mm",
            Self::Hexagon => "across_flats_mm or across_corners_mm",
            Self::Slot => "width_mm and length_mm",
        }
    }

    fn default_layout(self) -> Layout {
        match self {
            Self::Round | Self::Hexagon | Self::Slot => Layout::Staggered,
            Self::Square => Layout::Square,
            Self::Triangle => Layout::UpDown,
        }
    }

    fn has_layout(self, layout: Layout) -> bool {
        self == Self::Triangle || layout != Layout::UpDown
    }
}

/// The keys that give the size of a shape; none of a word that is no shape.
pub(super) fn size_keys_of(word: &str) -> &'static [&'static str] {
    let known = SHAPES.iter().find(|(name, _)| *name == word);
    known.map_or(&[], |(_, shape)| shape.size_keys())
}

/// Words for the layouts.
pub(super) const LAYOUTS: [(&str, Layout); 3] = [
    ("square", Layout::Square),
    ("staggered", Layout::Staggered),
    ("up-down", Layout::UpDown),
];

/// Words for where a twist is counted from.
pub(super) const TWIST_FROM: [(&str, CountedFrom); 3] = [
    ("mid-depth", CountedFrom::MidDepth),
    ("front", CountedFrom::Front),
    ("back", CountedFrom::Back),
];

/// Words for the hands of neighbouring holes.
pub(super) const TWIST_HANDS: [(&str, Hands); 2] =
    [("same", Hands::Same), ("alternate", Hands::Alternate)];

fn resolve_holes(findings: &mut Findings<'_>, table: &Spanned<HolesTable>) -> Option<HolePattern> {
    let holes = table.get_ref();
    let header = Table::new("the table of holes", table);
    let shape = findings.required_word(
        &header,
        "shape",
        &holes.shape,
        &SHAPES,
        "write shape = \"round\", \"square\", \"hexagon\", \"triangle\" or \"slot\"",
    );
    let shape_with_size = shape.and_then(|shape| resolve_size(findings, &header, holes, shape));
    let layout = shape.and_then(|shape| resolve_layout(findings, &holes.layout, shape));
    let rib_mm = findings.required_number(&header, "rib_mm", &holes.rib_mm, &limits::RIB_MM);
    let turn = resolve_hole_turn(findings, holes);
    let merging_accepted = findings.word_or(
        "merging",
        &holes.merging,
        &[("refuse", false), ("accept", true)],
        false,
    );
    Some(HolePattern {
        shape: shape_with_size?,
        layout: layout?,
        rib: rib_mm? / 1000.0,
        turn: turn?,
        merging_accepted: merging_accepted?,
    })
}

fn resolve_size(
    findings: &mut Findings<'_>,
    header: &Table,
    holes: &HolesTable,
    shape: Shape,
) -> Option<HoleShape> {
    let sizes: [(&'static str, &Number); 6] = [
        ("diameter_mm", &holes.diameter_mm),
        ("side_mm", &holes.side_mm),
        ("across_flats_mm", &holes.across_flats_mm),
        ("across_corners_mm", &holes.across_corners_mm),
        ("width_mm", &holes.width_mm),
        ("length_mm", &holes.length_mm),
    ];
    let keys = shape.size_keys();
    for (key, value) in &sizes {
        if let Some(value) = value
            && !keys.contains(key)
        {
            let kind = FaultKind::KeyNotForShape {
                key,
                shape: shape.word(),
                wanted: shape.size_keys_in_words(),
            };
            findings.report(&value.span(), kind);
        }
    }
    if shape == Shape::Slot {
        return resolve_slot(findings, header, holes);
    }
    let wanted: Vec<_> = sizes
        .iter()
        .filter(|(key, _)| keys.contains(key))
        .map(|(key, value)| (*key, span_of(value.as_ref())))
        .collect();
    let key = findings.exactly_one(header, &wanted)?;
    let (_, value) = sizes.iter().find(|(name, _)| *name == key)?;
    // The circle through the corners has the diameter `size`; sides and flats follow from it, still in mm.
    let is_across_corners = key == "across_corners_mm";
    let range = if is_across_corners {
        &limits::ACROSS_CORNERS_MM
    } else {
        &limits::HOLE_MM
    };
    let size = findings.number(key, value.as_ref()?, range)?;
    Some(match shape {
        Shape::Square => HoleShape::Square {
            side: scaled(size, is_across_corners, std::f64::consts::FRAC_1_SQRT_2) / 1000.0,
        },
        Shape::Hexagon => HoleShape::Hexagon {
            across_flats: scaled(size, is_across_corners, 3.0_f64.sqrt() / 2.0) / 1000.0,
        },
        Shape::Triangle => HoleShape::Triangle {
            side: scaled(size, is_across_corners, 3.0_f64.sqrt() / 2.0) / 1000.0,
        },
        Shape::Round | Shape::Slot => HoleShape::Round {
            diameter: size / 1000.0,
        },
    })
}

fn scaled(size: f64, is_across_corners: bool, factor: f64) -> f64 {
    if is_across_corners {
        size * factor
    } else {
        size
    }
}

fn resolve_slot(
    findings: &mut Findings<'_>,
    header: &Table,
    holes: &HolesTable,
) -> Option<HoleShape> {
    let width = findings.required_number(header, "width_mm", &holes.width_mm, &limits::HOLE_MM);
    let length = findings.required_number(header, "length_mm", &holes.length_mm, &limits::HOLE_MM);
    let (width, length) = (width?, length?);
    if length < width {
        let span = span_of(holes.length_mm.as_ref())?;
        findings.report(&span, FaultKind::SlotTooShort { length, width });
    }
    Some(HoleShape::Slot {
        width: width / 1000.0,
        length: length / 1000.0,
    })
}

fn resolve_layout(findings: &mut Findings<'_>, layout: &Word, shape: Shape) -> Option<Layout> {
    let resolved = findings.word_or("layout", layout, &LAYOUTS, shape.default_layout())?;
    if let Some(written) = layout
        && !shape.has_layout(resolved)
    {
        let kind = FaultKind::LayoutNotForShape {
            layout: word_for(&LAYOUTS, &resolved),
            shape: shape.word(),
        };
        findings.report(&written.span(), kind);
    }
    Some(resolved)
}

/// The word that stands for a meaning.
pub(super) fn word_for<T: PartialEq>(meanings: &[(&'static str, T)], meaning: &T) -> &'static str {
    meanings
        .iter()
        .find(|(_, known)| known == meaning)
        .map_or("", |(word, _)| word)
}

/// At most one of the three ways to turn.
fn resolve_hole_turn(findings: &mut Findings<'_>, holes: &HolesTable) -> Option<Turn> {
    let found = findings.at_most_one(&[
        ("twist_deg", span_of(holes.twist_deg.as_ref())),
        ("lean_deg", span_of(holes.lean_deg.as_ref())),
        (
            "pattern_twist_deg",
            span_of(holes.pattern_twist_deg.as_ref()),
        ),
    ]);
    let counted_from = findings.word_or(
        "twist_from",
        &holes.twist_from,
        &TWIST_FROM,
        CountedFrom::MidDepth,
    );
    let hands = findings.word_or("twist_hands", &holes.twist_hands, &TWIST_HANDS, Hands::Same);
    for (key, word) in [
        ("twist_from", &holes.twist_from),
        ("twist_hands", &holes.twist_hands),
    ] {
        if let Some(word) = word
            && holes.twist_deg.is_none()
        {
            let needed = "twist_deg";
            findings.report(&word.span(), FaultKind::MeansNothing { key, needed });
        }
    }
    if found != Some("twist_deg") {
        return resolve_lean(findings, &holes.lean_deg, &holes.pattern_twist_deg);
    }
    let degrees = findings.number("twist_deg", holes.twist_deg.as_ref()?, &limits::TWIST_DEG)?;
    let (counted_from, hands) = (counted_from?, hands?);
    Some(turn_or_straight(degrees, |angle| Turn::Twist {
        angle,
        counted_from,
        hands,
    }))
}

/// Lean or pattern twist, whichever is there, or straight.
fn resolve_lean(
    findings: &mut Findings<'_>,
    lean: &Number,
    pattern_twist: &Number,
) -> Option<Turn> {
    if let Some(lean) = lean {
        let degrees = findings.number("lean_deg", lean, &limits::LEAN_DEG)?;
        return Some(turn_or_straight(degrees, |angle| Turn::Lean { angle }));
    }
    let Some(pattern_twist) = pattern_twist else {
        return Some(Turn::Straight);
    };
    let degrees = findings.number(
        "pattern_twist_deg",
        pattern_twist,
        &limits::PATTERN_TWIST_DEG,
    )?;
    Some(turn_or_straight(degrees, |angle| Turn::PatternTwist {
        angle,
    }))
}

/// A turn by nothing is no turn.
fn turn_or_straight(degrees: f64, turn: impl FnOnce(f64) -> Turn) -> Turn {
    let angle = degrees.to_radians();
    if angle.abs() > 0.0 {
        turn(angle)
    } else {
        Turn::Straight
    }
}

fn resolve_rings(findings: &mut Findings<'_>, table: &Spanned<RingsTable>) -> Option<RingPattern> {
    let rings = table.get_ref();
    let header = Table::new("the table of rings", table);
    let slot_width_mm = findings.required_number(
        &header,
        "slot_width_mm",
        &rings.slot_width_mm,
        &limits::HOLE_MM,
    );
    let rib_mm = findings.required_number(&header, "rib_mm", &rings.rib_mm, &limits::RIB_MM);
    let bar_count = findings.required_whole(
        &header,
        "bar_count",
        &rings.bar_count,
        &limits::RING_BAR_COUNT,
    );
    let bar_width_mm = match (&rings.bar_width_mm, bar_count) {
        // Without bars their width is of no importance, but must be something.
        (None, Some(0)) => Some(0.0),
        (width, _) => {
            findings.required_number(&header, "bar_width_mm", width, &bar_width_limits(bar_count))
        }
    };
    let turn = resolve_bar_turn(findings, &rings.lean_deg, &rings.pattern_twist_deg);
    Some(RingPattern {
        slot_width: slot_width_mm? / 1000.0,
        rib: rib_mm? / 1000.0,
        bar_count: bar_count?,
        bar_width: bar_width_mm? / 1000.0,
        turn: turn?,
    })
}

/// Rings without bars may have bars of no width.
fn bar_width_limits(bar_count: Option<u32>) -> Limits {
    let low = if bar_count == Some(0) {
        0.0
    } else {
        limits::BAR_WIDTH_MM.low
    };
    Limits {
        low,
        ..limits::BAR_WIDTH_MM
    }
}

fn resolve_bars(findings: &mut Findings<'_>, table: &Spanned<BarsTable>) -> Option<BarPattern> {
    let bars = table.get_ref();
    let header = Table::new("the table of bars", table);
    let bar_count =
        findings.required_whole(&header, "bar_count", &bars.bar_count, &limits::BAR_COUNT);
    let bar_width_mm = findings.required_number(
        &header,
        "bar_width_mm",
        &bars.bar_width_mm,
        &limits::BAR_WIDTH_MM,
    );
    let turn = resolve_bar_turn(findings, &bars.lean_deg, &bars.pattern_twist_deg);
    Some(BarPattern {
        bar_count: bar_count?,
        bar_width: bar_width_mm? / 1000.0,
        turn: turn?,
    })
}

fn resolve_bar_turn(
    findings: &mut Findings<'_>,
    lean: &Number,
    pattern_twist: &Number,
) -> Option<Turn> {
    findings.at_most_one(&[
        ("lean_deg", span_of(lean.as_ref())),
        ("pattern_twist_deg", span_of(pattern_twist.as_ref())),
    ]);
    resolve_lean(findings, lean, pattern_twist)
}
