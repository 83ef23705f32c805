//! What every flow test needs: walls from a closure, and a line with the error seen.

#![allow(
    dead_code,
    reason = "not every test has walls, and most are flat or three-dimensional"
)]

use ventwright::lattice::walls::{Geometry, WallGroup, WallPoint};

/// Walls as told by a function of x and y in cell coordinates.
pub(crate) struct Shape<F>(pub(crate) F);

impl<F: Fn(f64, f64) -> Option<WallPoint>> Geometry for Shape<F> {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        (self.0)(point[0], point[1])
    }
}

/// Walls as told by a function of all three cell coordinates.
pub(crate) struct Solid<F>(pub(crate) F);

impl<F: Fn([f64; 3]) -> Option<WallPoint>> Geometry for Solid<F> {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        (self.0)(point)
    }
}

/// A wall of this group that moves (or lets fluid in) with this velocity.
pub(crate) fn wall(group: WallGroup, velocity: [f64; 2]) -> WallPoint {
    WallPoint {
        group,
        velocity: [velocity[0], velocity[1], 0.0],
    }
}

/// The same in axisymmetric flow with swirl: velocity along the axis, along the radius and about the axis.
pub(crate) fn turning(group: WallGroup, velocity: [f64; 3]) -> WallPoint {
    WallPoint { group, velocity }
}

/// Fails unless `error` is at most `allowed` in size (NaN fails), and says what was seen: `cargo test -- --nocapture` shows it.
#[track_caller]
#[expect(
    clippy::print_stdout,
    reason = "the error seen is what a validation is for"
)]
pub(crate) fn assert_error(name: &str, error: f64, allowed: f64) {
    println!("{name}: error {error:+.3e}, allowed {allowed}");
    assert!(
        error.abs() <= allowed,
        "{name}: error {error:+.5}, allowed {allowed}"
    );
}
