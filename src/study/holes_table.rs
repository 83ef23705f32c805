//! `[grille.holes]`: holes of one shape and size all over a face or a zone.

use std::f64::consts::FRAC_1_SQRT_2;

use crate::grille::{HolePattern, HoleShape, Layout};
use crate::study::describe::millimetres;
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::{FaultKind, join};
use crate::study::key::{Choice, Key, Keys};
use crate::study::table::Table;
use crate::study::turn_table::{self, FROM, HANDS, LEAN, PATTERN_TWIST, TWIST};
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;

pub(super) const SHAPE: WordKey<Shape> = Key::text("shape")
    .hint("write shape = \"round\", \"square\", \"hexagon\", \"triangle\", \"rhombus\" or \"slot\"")
    .varies("")
    .means(&[
        ("round", Shape::Round),
        ("square", Shape::Square),
        ("hexagon", Shape::Hexagon),
        ("triangle", Shape::Triangle),
        ("rhombus", Shape::Rhombus),
        ("slot", Shape::Slot),
    ]);
const DIAMETER: Key = size("diameter_mm").varies("diameter").one_of(Choice::Size);
pub(super) const SIDE: Key = size("side_mm").varies("side").one_of(Choice::Size);
const ACROSS_FLATS: Key = size("across_flats_mm")
    .varies("across flats")
    .one_of(Choice::Size);
/// From 0.45, so that sides and flats that follow from it lie in the range of the others.
const ACROSS_CORNERS: Key = Key::mm("across_corners_mm", 0.45, 500.0)
    .hint("give the diameter of the circle through the corners in mm; describe finer openings as a fabric")
    .varies("across corners")
    .one_of(Choice::Size);
pub(super) const WIDTH: Key = size("width_mm").varies("width");
const LENGTH: Key = size("length_mm").varies("length");
const ALONG: Key = size("diagonal_along_mm").varies("diagonal along");
const ACROSS: Key = size("diagonal_across_mm").varies("diagonal across");
pub(super) const LAYOUT: WordKey<Layout> = Key::text("layout").varies("layout").means(&[
    ("square", Layout::Square),
    ("staggered", Layout::Staggered),
    ("up-down", Layout::UpDown),
]);
pub(super) const RIB: Key = Key::mm("rib_mm", 0.2, 100.0)
    .hint("give the least wall between neighbouring holes in mm, such as rib_mm = 1.2")
    .varies("rib");
const MERGING: WordKey<bool> = Key::text("merging")
    .varies("merging")
    .means(&[("refuse", false), ("accept", true)])
    .or(false);

/// `[grille.holes]`
pub(super) const HOLES: Keys = Keys::new(
    "[grille.holes]",
    &[
        &SHAPE.key,
        &DIAMETER,
        &SIDE,
        &ACROSS_FLATS,
        &ACROSS_CORNERS,
        &WIDTH,
        &LENGTH,
        &ALONG,
        &ACROSS,
        &LAYOUT.key,
        &RIB,
        &TWIST,
        &FROM.key,
        &HANDS.key,
        &LEAN,
        &PATTERN_TWIST,
        &MERGING.key,
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
    Rhombus,
    Slot,
}

impl Shape {
    /// The shape of that word.
    pub(super) fn named(word: &str) -> Option<Self> {
        SHAPE.meaning(word)
    }

    fn word(self) -> &'static str {
        SHAPE.word(&self)
    }

    /// The keys that give its size, those first that the program keeps.
    pub(super) fn size_keys(self) -> &'static [&'static Key] {
        match self {
            Self::Round => &[&DIAMETER],
            Self::Square | Self::Triangle => &[&SIDE, &ACROSS_CORNERS],
            Self::Hexagon => &[&ACROSS_FLATS, &ACROSS_CORNERS],
            Self::Rhombus => &[&ALONG, &ACROSS],
            Self::Slot => &[&WIDTH, &LENGTH],
        }
    }

    /// Whether all of its size keys are needed; else any one of them will do.
    fn needs_all_sizes(self) -> bool {
        match self {
            Self::Round | Self::Square | Self::Hexagon | Self::Triangle => false,
            Self::Rhombus | Self::Slot => true,
        }
    }

    fn size_keys_in_words(self) -> String {
        let keys: Vec<&str> = self.size_keys().iter().map(|key| key.name).collect();
        if self.needs_all_sizes() {
            keys.join(" and ")
        } else {
            join(&keys)
        }
    }

    fn default_layout(self) -> Layout {
        match self {
            Self::Round | Self::Hexagon | Self::Rhombus | Self::Slot => Layout::Staggered,
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
        let mut keys = SHAPE.words.iter().flat_map(|(_, shape)| shape.size_keys());
        keys.any(|size| size.is(key))
    };
    HOLES.list.iter().copied().filter(move |key| is_size(key))
}

/// Checks `[grille.holes]`. `None` only after a fault.
pub(super) fn resolve(diagnostics: &mut Diagnostics<'_>, holes: &Table<'_>) -> Option<HolePattern> {
    let shape = holes.word(diagnostics, &SHAPE);
    let shape_with_size = shape.and_then(|shape| resolve_size(diagnostics, holes, shape));
    let layout = shape.and_then(|shape| resolve_layout(diagnostics, holes, shape));
    let rib = holes.number(diagnostics, &RIB);
    let turn = turn_table::of_holes(diagnostics, holes);
    let merging_accepted = holes.word(diagnostics, &MERGING);
    Some(HolePattern {
        shape: shape_with_size?,
        layout: layout?,
        rib: rib?.si,
        turn: turn?,
        merging_accepted: merging_accepted?,
    })
}

fn resolve_size(
    diagnostics: &mut Diagnostics<'_>,
    holes: &Table<'_>,
    shape: Shape,
) -> Option<HoleShape> {
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
            diagnostics.report(&span, kind);
        }
    }
    let mut size = |part: f64| one_size(diagnostics, holes, keys, part);
    let root = 3.0_f64.sqrt();
    Some(match shape {
        Shape::Round => HoleShape::Round {
            diameter: size(1.0)?,
        },
        Shape::Square => HoleShape::Square {
            side: size(FRAC_1_SQRT_2)?,
        },
        Shape::Hexagon => HoleShape::Hexagon {
            across_flats: size(root / 2.0)?,
        },
        Shape::Triangle => HoleShape::Triangle {
            side: size(root / 2.0)?,
        },
        Shape::Rhombus => {
            let [along, across] = [&ALONG, &ACROSS].map(|key| holes.number(diagnostics, key));
            HoleShape::Rhombus {
                along: along?.si,
                across: across?.si,
            }
        }
        Shape::Slot => return resolve_slot(diagnostics, holes),
    })
}

/// The one size of a shape in m, which is this part of the circle through the corners where that is given. `None` only after a fault.
fn one_size(
    diagnostics: &mut Diagnostics<'_>,
    holes: &Table<'_>,
    keys: &[&'static Key],
    part: f64,
) -> Option<f64> {
    let key = holes.exactly_one(diagnostics, keys)?;
    let size = holes.number(diagnostics, key)?;
    Some(if key.is(&ACROSS_CORNERS) {
        size.written * part / 1000.0
    } else {
        size.si
    })
}

fn resolve_slot(diagnostics: &mut Diagnostics<'_>, holes: &Table<'_>) -> Option<HoleShape> {
    let (width, length) = (
        holes.number(diagnostics, &WIDTH),
        holes.number(diagnostics, &LENGTH),
    );
    let (width, length) = (width?, length?);
    if length.written < width.written {
        let kind = FaultKind::SlotTooShort {
            length: length.written,
            width: width.written,
        };
        diagnostics.report(&holes.span_of(&LENGTH)?, kind);
    }
    Some(HoleShape::Slot {
        width: width.si,
        length: length.si,
    })
}

fn resolve_layout(
    diagnostics: &mut Diagnostics<'_>,
    holes: &Table<'_>,
    shape: Shape,
) -> Option<Layout> {
    let layout = holes.word_or(diagnostics, &LAYOUT, shape.default_layout())?;
    if let Some(span) = holes.span_of(&LAYOUT)
        && !shape.has_layout(layout)
    {
        let kind = FaultKind::LayoutNotForShape {
            layout: LAYOUT.word(&layout),
            shape: shape.word(),
        };
        diagnostics.report(&span, kind);
    }
    Some(layout)
}

/// A hole in the words of its maker: `hexagons 6 mm across flats`.
pub(super) fn hole_in_words(shape: &HoleShape) -> String {
    match *shape {
        HoleShape::Round { diameter } => format!("round holes {} mm", millimetres(diameter)),
        HoleShape::Square { side } => format!("squares {} mm", millimetres(side)),
        HoleShape::Hexagon { across_flats } => {
            format!("hexagons {} mm across flats", millimetres(across_flats))
        }
        HoleShape::Triangle { side } => format!("triangles {} mm", millimetres(side)),
        HoleShape::Rhombus { along, across } => {
            let (along, across) = (millimetres(along), millimetres(across));
            format!("rhombi {along} x {across} mm")
        }
        HoleShape::Slot { width, length } => {
            format!("slots {} x {} mm", millimetres(width), millimetres(length))
        }
    }
}

/// Writes `[grille.holes]` or that of a zone.
pub(super) fn write(copy: &mut ResolvedCopy, header: &str, holes: &HolePattern) {
    copy.table(header);
    let shape = match holes.shape {
        HoleShape::Round { .. } => Shape::Round,
        HoleShape::Square { .. } => Shape::Square,
        HoleShape::Hexagon { .. } => Shape::Hexagon,
        HoleShape::Triangle { .. } => Shape::Triangle,
        HoleShape::Rhombus { .. } => Shape::Rhombus,
        HoleShape::Slot { .. } => Shape::Slot,
    };
    copy.word(&SHAPE, &shape);
    for (key, size) in shape.size_keys().iter().zip(holes.shape.lengths()) {
        copy.number(key, size.value);
    }
    copy.word(&LAYOUT, &holes.layout);
    copy.number(&RIB, holes.rib);
    turn_table::write(copy, holes.turn, &TWIST);
    copy.word(&MERGING, &holes.merging_accepted);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::Turn;
    use crate::study::place::SourceText;
    use crate::study::tree::Tree;
    use toml::de::DeTable;

    fn read(text: &str) -> Option<HolePattern> {
        let source = SourceText {
            file: "holes.toml".to_owned(),
            text: text.to_owned(),
        };
        let tree: Tree = DeTable::parse(text).unwrap().get_ref().into();
        let top = Table::new("the copy", 0..0, &tree);
        let mut diagnostics = Diagnostics::new(&source);
        let pattern = resolve(&mut diagnostics, &top.table(&Key::table("holes", &HOLES))?);
        pattern.filter(|_| diagnostics.count() == 0)
    }

    #[test]
    fn each_shape_reads_back_in_each_layout_that_it_has() {
        for shape in HoleShape::one_of_each(0.005, 0.003) {
            for &(_, layout) in LAYOUT.words {
                let pattern = HolePattern {
                    shape,
                    layout,
                    rib: 0.0012,
                    turn: Turn::Straight,
                    merging_accepted: false,
                };
                let mut copy = ResolvedCopy::default();
                write(&mut copy, "[holes]", &pattern);
                let drawn = pattern.repeat().map(|_| pattern);
                let text = copy.into_text();
                assert_eq!(read(&text), drawn, "{text}");
            }
        }
    }

    #[test]
    fn each_shape_is_named_wherever_a_maker_looks_for_it() {
        let explained = include_str!("../../cases/every-key.toml");
        let starter = include_str!("starter.toml");
        for (word, shape) in SHAPE.words {
            let quoted = format!("\"{word}\"");
            assert!(
                explained.contains(&quoted) && SHAPE.hint.contains(&quoted),
                "{word}"
            );
            let with_size = format!("{word} ({}", shape.size_keys()[0].name);
            assert!(starter.contains(&with_size), "{with_size}");
        }
    }
}
