//! The velocity of a block of cells at an instant, and between two of them.

use crate::smoke::carried::Wind;

/// What lies beyond the sides of the block.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Beyond {
    /// The same block again.
    Repeat,
    /// Its image in the side; an axis counts as one too.
    Mirror,
    /// What stands at the side.
    Same,
}

/// The velocity of a block of cells at an instant. What leaves it along x is gone.
#[derive(Debug, Clone, PartialEq)]
pub struct Air {
    /// Number of cells along x, y and z; one along z makes it flat.
    pub cells: [usize; 3],
    /// What lies beyond the sides of y and of z.
    pub beyond: [Beyond; 2],
    /// Velocity of each cell, x fastest, then y, then z; zero in walls. Cells in a unit of time.
    pub velocity: Vec<[f32; 3]>,
}

/// Places in the block of the two cells around a coordinate, whether the component across the side turns round in each, and the share of the second.
type Pair = ([(usize, bool); 2], f64);

impl Air {
    /// The velocity at a place, linear between centres of cells; `None` where the place lies outside along x or is none.
    pub fn at(&self, place: [f64; 3]) -> Option<[f64; 3]> {
        let [nx, ny, nz] = self.cells;
        let [x, y, z] = place;
        let is_inside = x >= -0.5 && x <= nx as f64 - 0.5 && y.is_finite() && z.is_finite();
        if !is_inside {
            return None;
        }
        let along = around(x, nx, Beyond::Same);
        let across = around(y, ny, self.beyond[0]);
        let deep = around(z, nz, self.beyond[1]);
        let mut sum = [0.0; 3];
        let layers = if nz == 1 { 1 } else { 2 };
        for (k, share_z) in shares(deep.1).into_iter().enumerate().take(layers) {
            let (z, is_turned_z) = deep.0[k];
            let share_z = if layers == 1 { 1.0 } else { share_z };
            for (j, share_y) in shares(across.1).into_iter().enumerate() {
                let (y, is_turned_y) = across.0[j];
                let signs = [1.0, sign(is_turned_y), sign(is_turned_z)];
                let row = (z * ny + y) * nx;
                for (i, share_x) in shares(along.1).into_iter().enumerate() {
                    let velocity = self.velocity[row + along.0[i].0];
                    let share = share_x * share_y * share_z;
                    for axis in 0..3 {
                        sum[axis] += share * signs[axis] * f64::from(velocity[axis]);
                    }
                }
            }
        }
        Some(sum)
    }

    /// Whether the cell of a place is a wall: air is never exactly at rest.
    pub(super) fn is_wall(&self, place: [f64; 3]) -> bool {
        let [nx, ny, _] = self.cells;
        let beyond = [Beyond::Same, self.beyond[0], self.beyond[1]];
        let [x, y, z] = [0, 1, 2].map(|axis| {
            let cell = around(place[axis].round(), self.cells[axis], beyond[axis]);
            cell.0[0].0
        });
        let velocity = self.velocity[(z * ny + y) * nx + x];
        velocity.iter().all(|u| u.to_bits() << 1 == 0)
    }

    /// Whether every component of every velocity is a number below a limit.
    pub fn is_slower_than(&self, limit: f32) -> bool {
        let components = self.velocity.as_flattened();
        components.iter().all(|component| component.abs() < limit)
    }

    /// The greatest speed of a cell.
    pub fn top_speed(&self) -> f64 {
        let squares = self.velocity.iter();
        let squares = squares.map(|velocity| velocity.iter().map(|u| u * u).sum::<f32>());
        f64::from(squares.fold(0.0, f32::max).sqrt())
    }
}

fn shares(second: f64) -> [f64; 2] {
    [1.0 - second, second]
}

fn sign(is_turned: bool) -> f64 {
    if is_turned { -1.0 } else { 1.0 }
}

/// The two cells whose centres lie around a coordinate.
fn around(coordinate: f64, count: usize, beyond: Beyond) -> Pair {
    let first = coordinate.floor();
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a coordinate beyond all numbers of cells saturates and is brought back"
    )]
    let lower = first as i64;
    let cell = |cell: i64| inside(cell, count, beyond);
    (
        [cell(lower), cell(lower.saturating_add(1))],
        coordinate - first,
    )
}

/// The cell of the block that stands for a cell of any number, and whether it is seen in a mirror.
fn inside(cell: i64, count: usize, beyond: Beyond) -> (usize, bool) {
    let count = i64::try_from(count).unwrap_or(i64::MAX);
    let (cell, is_image) = match beyond {
        Beyond::Repeat => (cell.rem_euclid(count), false),
        Beyond::Same => (cell.clamp(0, count - 1), false),
        Beyond::Mirror => {
            let folded = cell.rem_euclid(2 * count);
            if folded < count {
                (folded, false)
            } else {
                (2 * count - 1 - folded, true)
            }
        }
    };
    (usize::try_from(cell).unwrap_or(0), is_image)
}

/// Air that changes evenly from one instant to another; time counts from the first one.
#[derive(Debug, Clone, Copy)]
pub struct Between<'a> {
    /// The instants.
    pub ends: [&'a Air; 2],
    /// Time between them.
    pub duration: f64,
}

impl Wind for Between<'_> {
    fn velocity(&self, place: [f64; 3], time: f64) -> Option<[f64; 3]> {
        let share = (time / self.duration).clamp(0.0, 1.0);
        let [before, after] = [self.ends[0].at(place)?, self.ends[1].at(place)?];
        Some([0, 1, 2].map(|axis| before[axis] + share * (after[axis] - before[axis])))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Velocity linear in the place, which linear interpolation must give back.
    fn linear(cells: [usize; 3], beyond: [Beyond; 2]) -> Air {
        let [nx, ny, nz] = cells;
        let mut velocity = Vec::new();
        for z in 0..nz {
            for y in 0..ny {
                for x in 0..nx {
                    velocity.push([x as f32, 2.0 * y as f32, -(z as f32)]);
                }
            }
        }
        Air {
            cells,
            beyond,
            velocity,
        }
    }

    #[test]
    fn a_velocity_linear_in_the_place_is_met_exactly() {
        let air = linear([5, 4, 3], [Beyond::Same; 2]);
        for place in [[0.0, 0.0, 0.0], [1.25, 2.5, 0.75], [3.9, 0.1, 1.9]] {
            let velocity = air.at(place).unwrap();
            let expected = [place[0], 2.0 * place[1], -place[2]];
            for axis in 0..3 {
                assert!(
                    (velocity[axis] - expected[axis]).abs() < 1e-6,
                    "{place:?}: {velocity:?}"
                );
            }
        }
    }

    #[test]
    fn what_is_beyond_a_side_repeats_is_mirrored_or_stays() {
        let at = |beyond, y| {
            linear([3, 4, 1], [beyond, Beyond::Repeat])
                .at([1.0, y, 0.0])
                .unwrap()[1]
        };
        assert!((at(Beyond::Repeat, 5.0) - at(Beyond::Repeat, 1.0)).abs() < 1e-6);
        assert!((at(Beyond::Repeat, -0.5) - 3.0).abs() < 1e-6);
        assert!((at(Beyond::Mirror, -1.0) + at(Beyond::Mirror, 0.0)).abs() < 1e-6);
        assert!((at(Beyond::Mirror, 4.75) + at(Beyond::Mirror, 2.25)).abs() < 1e-6);
        assert!((at(Beyond::Same, 9.0) - 6.0).abs() < 1e-6);
    }

    #[test]
    fn nothing_moves_beyond_the_ends() {
        let air = linear([3, 4, 1], [Beyond::Repeat; 2]);
        assert!(air.at([-0.6, 1.0, 0.0]).is_none());
        assert!(air.at([2.6, 1.0, 0.0]).is_none());
        assert!(air.at([1.0, f64::NAN, 0.0]).is_none());
    }
}
