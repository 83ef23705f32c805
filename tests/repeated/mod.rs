//! Patterns that several test files of a repeat's solid share.

use ventwright::grille::{
    CountedFrom, Edge, Hands, HolePattern, HoleShape, Layout, RepeatSolid, Turn,
};

/// A millimetre in m.
const MM: f64 = 1e-3;

/// Plate thickness, m.
pub(crate) const T: f64 = 4.0 * MM;
/// Size of every hole, m.
pub(crate) const SIZE: f64 = 5.0 * MM;

/// One of each shape.
pub(crate) const SHAPES: [HoleShape; 6] = [
    HoleShape::Round { diameter: SIZE },
    HoleShape::Square { side: SIZE },
    HoleShape::Hexagon { across_flats: SIZE },
    HoleShape::Triangle { side: SIZE },
    HoleShape::Slot {
        width: SIZE,
        length: 3.0 * SIZE,
    },
    HoleShape::Rhombus {
        along: 1.5 * SIZE,
        across: SIZE,
    },
];

pub(crate) fn turned(shape: HoleShape, layout: Layout, rib: f64, turn: Turn) -> HolePattern {
    HolePattern {
        turn,
        shape,
        layout,
        rib,
        merging_accepted: false,
    }
}

pub(crate) fn twist(angle: f64, counted_from: CountedFrom, hands: Hands) -> Turn {
    Turn::Twist {
        angle,
        counted_from,
        hands,
    }
}

pub(crate) fn sharp(pattern: &HolePattern) -> RepeatSolid {
    RepeatSolid::of(pattern, T, Edge::Sharp, Edge::Sharp, 0.05).expect("the pattern is sound")
}

/// Patterns whose twisted holes need room, with the extent of the rectangle and the number of holes by hand.
pub(crate) fn patterns(turn: Turn) -> Vec<(HolePattern, [f64; 2], usize)> {
    let root = 3.0_f64.sqrt();
    let rib = 6.0 * MM;
    let p = SIZE + rib;
    let long = 3.0 * SIZE + rib;
    let tile = SIZE + root * rib;
    let [round, square, hexagon, triangle, slot, rhombus] = SHAPES;
    // Sides of a rhombus 1.5 wide and 1 high lie 1.5 / √3.25 apart, and the rib is added to that.
    let tiled = [1.5, 1.0].map(|part| part * (SIZE + 3.25_f64.sqrt() / 1.5 * rib));
    let is_chessboard = matches!(
        turn,
        Turn::Twist {
            hands: Hands::Alternate,
            ..
        }
    );
    let twice = |shape: HoleShape| is_chessboard && shape != round;
    let rows = |shape, extent: [f64; 2]| {
        if twice(shape) {
            (extent.map(|length| 2.0 * length), 4)
        } else {
            (extent, 1)
        }
    };
    let mut found = Vec::new();
    for (shape, layout, (extent, count)) in [
        (round, Layout::Square, rows(round, [p, p])),
        (square, Layout::Square, rows(square, [p, p])),
        (
            hexagon,
            Layout::Square,
            rows(hexagon, [p, 2.0 / root * SIZE + rib]),
        ),
        (
            triangle,
            Layout::Square,
            rows(triangle, [p, root / 2.0 * SIZE + rib]),
        ),
        (slot, Layout::Square, rows(slot, [long, p])),
        (
            rhombus,
            Layout::Square,
            rows(rhombus, [1.5 * SIZE + rib, p]),
        ),
        (rhombus, Layout::Staggered, (tiled, 2)),
        (round, Layout::Staggered, ([p, root * p], 2)),
        (square, Layout::Staggered, ([p, 2.0 * p], 2)),
        (hexagon, Layout::Staggered, ([p, root * p], 2)),
        (triangle, Layout::Staggered, ([p, root * p], 2)),
        (slot, Layout::Staggered, ([long, 2.0 * p], 2)),
        (triangle, Layout::UpDown, ([tile, root * tile], 4)),
    ] {
        found.push((turned(shape, layout, rib, turn), extent, count));
    }
    found
}
