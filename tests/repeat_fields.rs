//! What a solved repeat leaves: fields and surface for an external viewer, and a picture, from a small flow.
//!
//! The files are left in `target/tmp` for looking at.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

mod common;

use std::path::Path;

use common::repeat::{DIAMETER, Solved, solve, triangles, twisted};
use ventwright::fields::{
    PlateShape, SolvedRepeat, ring, write_last, write_mean, write_picture, write_plate,
};
use ventwright::grille::Turn;
use ventwright::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

fn write_all(name: &str, solved: &Solved) {
    let outcome = &solved.outcome;
    let repeat = SolvedRepeat {
        outcome,
        scale: Scale::new(
            Metres(DIAMETER),
            outcome.layout.cells_across_hole,
            MetresPerSecond(3.0),
            LatticeVelocity(outcome.face_velocity),
            1.2,
        ),
        holes: &solved.holes,
    };
    let solid = &solved.solid;
    let shape = PlateShape {
        outlines_at: &|depth| {
            let outlines = solid.outlines_at(depth * DIAMETER);
            outlines.iter().map(|o| ring(o, DIAMETER)).collect()
        },
        solid: &|[depth, y, z]: [f64; 3]| {
            solid.is_solid(depth * DIAMETER, y * DIAMETER, z * DIAMETER)
        },
        edges: [0.0; 2],
    };
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let file = |end: &str| std::fs::File::create(folder.join(format!("{name}-{end}"))).unwrap();
    write_mean(&repeat, file("mean.vti")).unwrap();
    write_last(&repeat, file("last.vti")).unwrap();
    write_plate(&repeat, &shape, file("plate.vtp")).unwrap();
    write_picture(&repeat, name, 0.05, file("picture.png")).unwrap();
}

#[test]
#[ignore = "slow: 1 min"]
fn a_solved_repeat_is_written_down() {
    for (name, turn) in [("straight", Turn::Straight), ("twisted", twisted(30.0))] {
        write_all(name, &solve(triangles(turn), 14.0, 600.0, 12.0));
    }
}
