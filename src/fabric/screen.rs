//! Published loss coefficients of screens of round threads, carried down to the slow flow of fine fibres.

use crate::air::Air;
use crate::fabric::fit;
use crate::fabric::mesh_run::run_factor;
use crate::fabric::row::slow_row_loss;

/// Factor b of the round-wire formula over the Reynolds number of the wire.
///
/// Source: R. D. Blevins, Applied Fluid Dynamics Handbook, Van Nostrand Reinhold 1984, as the Python library `fluids` 1.3.1 has it
/// (`fluids.filters`). The length in its Reynolds number is taken as the wire's diameter, with which it agrees with the formulas
/// of others for woven screens.
pub const ROUND_WIRE_FACTORS: [(f64, f64); 8] = [
    (20.0, 1.3),
    (30.0, 1.1),
    (40.0, 0.95),
    (60.0, 0.83),
    (80.0, 0.75),
    (100.0, 0.70),
    (200.0, 0.60),
    (400.0, 0.52),
];

/// Open fractions within which published formulas were set beside each other: outside them a law from geometry is doubtful.
pub const OPEN_FRACTIONS: (f64, f64) = (0.3, 0.8);

/// Reynolds number of the thread below which the round-wire formula is carried on by the slow flow past rows.
pub const LEAST_WIRE_REYNOLDS: f64 = ROUND_WIRE_FACTORS[0].0;

/// Largest Reynolds number of the round-wire formula; beyond it its last factor is held.
pub const LARGEST_WIRE_REYNOLDS: f64 = ROUND_WIRE_FACTORS[7].0;

/// Air speeds over which a law is fitted to the formulas, m/s.
pub const FITTED_VELOCITIES: (f64, f64) = (0.25, 4.0);

/// Speeds within [`FITTED_VELOCITIES`] that the fit looks at.
const FITTED_COUNT: u32 = 13;

/// Round threads in two directions that cross.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grid {
    /// Diameter of the threads, m.
    pub thread: f64,
    /// Distance between neighbouring threads across and along, m, each larger than the thread.
    pub pitches: [f64; 2],
    /// Open area as seen straight on, over the whole.
    pub open_fraction: f64,
}

impl Grid {
    /// Loss coefficient K on the face velocity at a Reynolds number of the thread (face velocity times diameter over kinematic viscosity).
    ///
    /// ```text
    /// Re >= 20:   K = b(Re) (1 - f^2) / f^2                         b: ROUND_WIRE_FACTORS;  f: open fraction
    /// Re < 20:    K = A / Re + B,   A: slow flow past both rows of threads;   B: so that K is the same at Re 20
    /// ```
    ///
    /// # Validity
    /// f from 0.3 to 0.8 and Re from 20 to 400 is where the handbook's formula holds.
    /// Our own runs around woven threads give 1.06 to 1.34 times this K at Re 1 and 5, and 0.86 to 0.93 times at Re 20 and 100 (f 0.5 and 0.7); at
    /// f 0.3 they give 1.2 to 1.9 times this K, most where the air is slow.
    /// At Re 10 and f from 0.3 to 0.7 it lies 2 to 5 % above one other formula for woven screens (Brundrett 1993) and -16 to +50 % off
    /// another one (Bailey 2003), both from memory.
    ///
    /// # References
    /// [`ROUND_WIRE_FACTORS`] and [`slow_row_loss`](crate::fabric::slow_row_loss).
    pub fn loss_coefficient(&self, thread_reynolds: f64) -> f64 {
        let open = self.open_fraction * self.open_fraction;
        let blocked = (1.0 - open) / open;
        if thread_reynolds >= LEAST_WIRE_REYNOLDS {
            return round_wire_factor(thread_reynolds) * blocked;
        }
        let viscous: f64 = self
            .pitches
            .iter()
            .map(|pitch| slow_row_loss(1.0 - self.thread / pitch))
            .sum();
        let at_least = ROUND_WIRE_FACTORS[0].1 * blocked;
        let constant = (at_least - viscous / LEAST_WIRE_REYNOLDS).max(0.0);
        viscous / thread_reynolds + constant
    }

    /// The same K set right by our own runs around woven square meshes where they reach, and by the nearest of them elsewhere.
    pub fn solved_loss_coefficient(&self, thread_reynolds: f64) -> f64 {
        self.loss_coefficient(thread_reynolds) * run_factor(self.open_fraction, thread_reynolds)
    }

    /// Reynolds numbers of the thread over [`FITTED_VELOCITIES`].
    pub fn fitted_reynolds(&self, air: &Air) -> (f64, f64) {
        let (low, high) = FITTED_VELOCITIES;
        let number = |velocity: f64| velocity * self.thread / air.kinematic_viscosity;
        (number(low), number(high))
    }

    /// Viscous (Pa per m/s) and inertial coefficient (Pa per (m/s)²) that follow [`Grid::solved_loss_coefficient`] over [`FITTED_VELOCITIES`].
    pub fn coefficients(&self, air: &Air) -> (f64, f64) {
        let (low, high) = FITTED_VELOCITIES;
        let ratio = (high / low).powf(f64::from(FITTED_COUNT - 1).recip());
        let points: Vec<(f64, f64)> = (0..FITTED_COUNT)
            .map(|index| {
                let velocity = low * ratio.powf(f64::from(index));
                let reynolds = velocity * self.thread / air.kinematic_viscosity;
                let loss = self.solved_loss_coefficient(reynolds);
                (velocity, loss * air.dynamic_pressure(velocity))
            })
            .collect();
        fit::coefficients(&points)
    }

    /// Whether the open fraction lies where published formulas have been compared.
    pub fn is_in_range(&self) -> bool {
        let (low, high) = OPEN_FRACTIONS;
        (low..=high).contains(&self.open_fraction)
    }
}

/// The factor b of the round-wire formula, straight between the tabled values on logarithmic scales, held beyond the ends.
fn round_wire_factor(reynolds: f64) -> f64 {
    let table = &ROUND_WIRE_FACTORS;
    let above = table.iter().position(|(number, _)| *number >= reynolds);
    match above {
        Some(0) => table[0].1,
        None => table[table.len() - 1].1,
        Some(index) => {
            let ((low, from), (high, to)) = (table[index - 1], table[index]);
            let share = (reynolds / low).ln() / (high / low).ln();
            from * (to / from).powf(share)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn square(thread: f64, pitch: f64) -> Grid {
        Grid {
            thread,
            pitches: [pitch; 2],
            open_fraction: (1.0 - thread / pitch).powi(2),
        }
    }

    #[test]
    fn the_two_formulas_meet_where_one_takes_over() {
        for pitch in [1.3, 2.0, 5.0, 12.0] {
            let grid = square(1.0, pitch);
            let [below, above] = [19.999_999, 20.0].map(|reynolds| grid.loss_coefficient(reynolds));
            assert!(
                (below / above - 1.0).abs() < 1e-5,
                "pitch {pitch}: {below} and {above}"
            );
        }
    }

    #[test]
    fn very_slow_air_meets_friction_only() {
        let grid = square(1.0, 4.0);
        let ratio = grid.loss_coefficient(1e-4) / grid.loss_coefficient(1e-3);
        assert!((ratio - 10.0).abs() < 0.01);
    }

    #[test]
    fn the_fit_follows_the_formulas() {
        let air = Air::new(20.0, 101_325.0, None).unwrap();
        for (thread, pitch, within) in [(40e-6, 200e-6, 0.04), (0.4e-3, 1.6e-3, 0.12)] {
            let grid = square(thread, pitch);
            let (a, b) = grid.coefficients(&air);
            for velocity in [0.25, 0.5, 1.0, 2.0, 4.0] {
                let reynolds = velocity * thread / air.kinematic_viscosity;
                let wanted =
                    grid.solved_loss_coefficient(reynolds) * air.dynamic_pressure(velocity);
                let found = a * velocity + b * velocity * velocity;
                assert!(
                    (found / wanted - 1.0).abs() < within,
                    "{thread} m at {velocity} m/s: {found} for {wanted}"
                );
            }
        }
    }

    #[test]
    fn round_wires_by_the_handbook() {
        // Half open: (1 - 0.25) / 0.25 = 3 times the factor of the table, held beyond its ends; between 60 and 80 straight on logarithmic scales.
        let grid = Grid {
            thread: 1.0,
            pitches: [2.0 + 2.0_f64.sqrt(); 2],
            open_fraction: 0.5,
        };
        for (reynolds, factor) in [(20.0, 1.3), (60.0, 0.83), (400.0, 0.52), (5e3, 0.52)] {
            assert!((grid.loss_coefficient(reynolds) - 3.0 * factor).abs() < 1e-12);
        }
        let middle = (60.0_f64 * 80.0).sqrt();
        let factor = (0.83_f64 * 0.75).sqrt();
        assert!((grid.loss_coefficient(middle) - 3.0 * factor).abs() < 1e-12);
    }

    #[test]
    fn below_the_handbook_slow_flow_past_both_rows_is_added() {
        // K = A/Re + B, so from 20 down to 5 it rises by A (1/5 - 1/20); A of rows of 1 in 2.5 and 1 in 4.
        let grid = Grid {
            thread: 1.0,
            pitches: [2.5, 4.0],
            open_fraction: 0.6 * 0.75,
        };
        let viscous = slow_row_loss(0.6) + slow_row_loss(0.75);
        let rise = grid.loss_coefficient(5.0) - grid.loss_coefficient(20.0);
        assert!((rise / (viscous * 0.15) - 1.0).abs() < 1e-9);
    }

    #[test]
    fn the_range_of_the_fit_in_numbers_of_the_thread() {
        // 0.25 and 4 m/s past 0.1 mm in air of 1.6e-5 m²/s: 25/16 and 25.
        let air = Air {
            kinematic_viscosity: 1.6e-5,
            ..Air::new(20.0, 101_325.0, None).unwrap()
        };
        let (low, high) = square(1e-4, 4e-4).fitted_reynolds(&air);
        assert!((low - 1.5625).abs() < 1e-12 && (high - 25.0).abs() < 1e-12);
        let open = |open_fraction| Grid {
            open_fraction,
            ..square(1e-4, 4e-4)
        };
        assert!(open(0.3).is_in_range() && open(0.8).is_in_range());
        assert!(!open(0.29).is_in_range() && !open(0.81).is_in_range());
    }
}
