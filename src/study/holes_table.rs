//! `[grille.holes]`: holes of one shape and size all over a face or a zone.

use std::f64::consts::FRAC_1_SQRT_2;

use crate::grille::{HolePattern, HoleShape, Layout};
use crate::study::fault::{FaultKind, join};
use crate::study::findings::Findings;
use crate::study::key::{Choice, Key, Keys};
use crate::study::table::{Table, word_for};
use crate::study::turn_table::{self, FROM, HANDS, LEAN, PATTERN_TWIST, TWIST};
use crate::study::write::ResolvedCopy;

pub(super) const SHAPE: Key = Key::text("shape")
    .hint("write shape = \"round\", \"square\", \"hexagon\", \"triangle\" or \"slot\"")
    .varies("");
pub(super) const DIAMETER: Key = size("diameter_mm").varies("diameter").one_of(Choice::Size);
pub(super) const SIDE: Key = size("side_mm").varies("side").one_of(Choice::Size);
pub(super) const ACROSS_FLATS: Key = size("across_flats_mm")
    .varies("across flats")
    .one_of(Choice::Size);
/// From 0.45, so that sides and flats that follow from it lie in the range of the others.
const ACROSS_CORNERS: Key = Key::mm("across_corners_mm", 0.45, 500.0)
    .hint("give the diameter of the circle through the corners in mm; describe finer openings as a fabric")
    .varies("across corners")
    .one_of(Choice::Size);
pub(super) const WIDTH: Key = size("width_mm").varies("width");
pub(super) const LENGTH: Key = size("length_mm").varies("length");
pub(super) const LAYOUT: Key = Key::text("layout").varies("layout");
pub(super) const RIB: Key = Key::mm("rib_mm", 0.2, 100.0)
    .hint("give the least wall between neighbouring holes in mm, such as rib_mm = 1.2")
    .varies("rib");
pub(super) const MERGING: Key = Key::text("merging").varies("merging");

/// `[grille.holes]`
pub(super) const HOLES: Keys = Keys::new(
    "[grille.holes]",
    &[
        &SHAPE,
        &DIAMETER,
        &SIDE,
        &ACROSS_FLATS,
        &ACROSS_CORNERS,
        &WIDTH,
        &LENGTH,
        &LAYOUT,
        &RIB,
        &TWIST,
        &FROM,
        &HANDS,
        &LEAN,
        &PATTERN_TWIST,
        &MERGING,
    ],
)
.called("the table of holes");

/// The size of an opening.
pub(super) const fn size(name: &'static str) -> Key {
    Key::mm(name, 0.3, 500.0)
        .hint("give the size of a hole in mm; describe finer openings as a fabric")
}

/// A shape of hole, as the file names it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Shape {
    Round,
    Square,
    Hexagon,
    Triangle,
    Slot,
}

/// Words for the shapes of holes, in the order in which messages list them.
const SHAPES: [(&str, Shape); 5] = [
    ("round", Shape::Round),
    ("square", Shape::Square),
    ("hexagon", Shape::Hexagon),
    ("triangle", Shape::Triangle),
    ("slot", Shape::Slot),
];

impl Shape {
    /// The shape of that word.
    pub(super) fn named(word: &str) -> Option<Self> {
        let known = SHAPES.iter().find(|(name, _)| *name == word);
        known.map(|(_, shape)| *shape)
    }

    fn word(self) -> &'static str {
        word_for(&SHAPES, &self)
    }

    /// The keys that give its size; of all but the slot's exactly one is needed.
    pub(super) fn size_keys(self) -> &'static [&'static Key] {
        match self {
            Self::Round => &[&DIAMETER],
            Self::Square | Self::Triangle => &[&SIDE, &ACROSS_CORNERS],
            Self::Hexagon => &[&ACROSS_FLATS, &ACROSS_CORNERS],
            Self::Slot => &[&WIDTH, &LENGTH],
        }
    }

    fn size_keys_in_words(self) -> String {
        let keys: Vec<&str> = self.size_keys().iter().map(|key| key.name).collect();
        match self {
            Self::Slot => keys.join(" and "),
            _ => join(&keys),
        }
    }

    fn default_layout(self) -> Layout {
        match self {
            Self::Round | Self::Hexagon | Self::Slot => Layout::Staggered,
            Self::Square => Layout::Square,
            Self::Triangle => Layout::UpDown,
        }
    }

    pub(super) fn has_layout(self, layout: Layout) -> bool {
        self == Self::Triangle || layout != Layout::UpDown
    }
}

/// The keys that give the size of any shape.
pub(super) fn size_keys() -> impl Iterator<Item = &'static Key> {
    let is_size = |key: &Key| {
        let mut keys = SHAPES.iter().flat_map(|(_, shape)| shape.size_keys());
        keys.any(|size| size.is(key))
    };
    HOLES.list.iter().copied().filter(move |key| is_size(key))
}

/// Words for the layouts.
pub(super) const LAYOUTS: [(&str, Layout); 3] = [
    ("square", Layout::Square),
    ("staggered", Layout::Staggered),
    ("up-down", Layout::UpDown),
];

/// Words for what becomes of holes that run into each other.
pub(super) const MERGINGS: [(&str, bool); 2] = [("refuse", false), ("accept", true)];

/// Checks `[grille.holes]`. `None` only after a fault.
pub(super) fn resolve(findings: &mut Findings<'_>, holes: &Table<'_>) -> Option<HolePattern> {
    let shape = holes.word(findings, &SHAPE, &SHAPES);
    let shape_with_size = shape.and_then(|shape| resolve_size(findings, holes, shape));
    let layout = shape.and_then(|shape| resolve_layout(findings, holes, shape));
    let rib = holes.number(findings, &RIB);
    let turn = turn_table::of_holes(findings, holes);
    let merging_accepted = holes.word_or(findings, &MERGING, &MERGINGS, false);
    Some(HolePattern {
        shape: shape_with_size?,
        layout: layout?,
        rib: rib?.si,
        turn: turn?,
        merging_accepted: merging_accepted?,
    })
}

fn resolve_size(findings: &mut Findings<'_>, holes: &Table<'_>, shape: Shape) -> Option<HoleShape> {
    let keys = shape.size_keys();
    for key in size_keys() {
        if let Some(span) = holes.span_of(key)
            && !keys.iter().any(|wanted| wanted.is(key))
        {
            let kind = FaultKind::KeyNotForShape {
                key: key.name,
                shape: shape.word(),
                wanted: shape.size_keys_in_words(),
            };
            findings.report(&span, kind);
        }
    }
    if shape == Shape::Slot {
        return resolve_slot(findings, holes);
    }
    let key = holes.exactly_one(findings, keys)?;
    let size = holes.number(findings, key)?;
    // Of the circle through the corners, sides and flats take this part.
    let taking = |part: f64| {
        if key.is(&ACROSS_CORNERS) {
            size.written * part / 1000.0
        } else {
            size.si
        }
    };
    let root = 3.0_f64.sqrt();
    Some(match shape {
        Shape::Square => HoleShape::Square {
            side: taking(FRAC_1_SQRT_2),
        },
        Shape::Hexagon => HoleShape::Hexagon {
            across_flats: taking(root / 2.0),
        },
        Shape::Triangle => HoleShape::Triangle {
            side: taking(root / 2.0),
        },
        Shape::Round | Shape::Slot => HoleShape::Round { diameter: size.si },
    })
}

fn resolve_slot(findings: &mut Findings<'_>, holes: &Table<'_>) -> Option<HoleShape> {
    let (width, length) = (
        holes.number(findings, &WIDTH),
        holes.number(findings, &LENGTH),
    );
    let (width, length) = (width?, length?);
    if length.written < width.written {
        let kind = FaultKind::SlotTooShort {
            length: length.written,
            width: width.written,
        };
        findings.report(&holes.span_of(&LENGTH)?, kind);
    }
    Some(HoleShape::Slot {
        width: width.si,
        length: length.si,
    })
}

fn resolve_layout(findings: &mut Findings<'_>, holes: &Table<'_>, shape: Shape) -> Option<Layout> {
    let layout = holes.word_or(findings, &LAYOUT, &LAYOUTS, shape.default_layout())?;
    if let Some(span) = holes.span_of(&LAYOUT)
        && !shape.has_layout(layout)
    {
        let kind = FaultKind::LayoutNotForShape {
            layout: word_for(&LAYOUTS, &layout),
            shape: shape.word(),
        };
        findings.report(&span, kind);
    }
    Some(layout)
}

/// Writes `[grille.holes]` or that of a zone.
pub(super) fn write(copy: &mut ResolvedCopy, header: &str, holes: &HolePattern) {
    copy.table(header);
    let (shape, sizes) = match holes.shape {
        HoleShape::Round { diameter } => (Shape::Round, vec![diameter]),
        HoleShape::Square { side } => (Shape::Square, vec![side]),
        HoleShape::Hexagon { across_flats } => (Shape::Hexagon, vec![across_flats]),
        HoleShape::Triangle { side } => (Shape::Triangle, vec![side]),
        HoleShape::Slot { width, length } => (Shape::Slot, vec![width, length]),
    };
    copy.word(&SHAPE, &SHAPES, &shape);
    // The first way to give a size is the one that the program keeps.
    for (key, size) in shape.size_keys().iter().zip(sizes) {
        copy.number(key, size);
    }
    copy.word(&LAYOUT, &LAYOUTS, &holes.layout);
    copy.number(&RIB, holes.rib);
    turn_table::write(copy, holes.turn, &TWIST);
    copy.word(&MERGING, &MERGINGS, &holes.merging_accepted);
}
