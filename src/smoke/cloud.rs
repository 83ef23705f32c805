//! Smoke: what rakes let into the air, carried along.

#![expect(
    clippy::cast_possible_truncation,
    reason = "particles are kept in single precision, a thousandth of a cell"
)]

use std::f64::consts::TAU;

use crate::smoke::air::{Air, Between};
use crate::smoke::carried::carried;

/// Furthest way of a particle in one step of its path, cells: less than a cell, so that nothing is jumped over.
const LONGEST_WAY: f64 = 0.7;

/// Shares by which one particle enters beside the one before it; they fill a line, and a square, evenly however many there are: powers of 1/ρ with ρ² = ρ + 1, and ρ³ = ρ + 1,
/// after M. Roberts, "The unreasonable effectiveness of quasirandom sequences" (2018, from memory).
const ON_A_LINE: f64 = 0.618_033_988_749_895;
const ON_A_SQUARE: [f64; 2] = [0.754_877_666_246_693, 0.569_840_290_998_053];

/// A thread of smoke: where it enters the air.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Thread {
    /// Middle of its mouth.
    pub place: [f64; 3],
    /// Half-widths of the mouth along y and z.
    pub radius: [f64; 2],
}

/// A particle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Particle {
    /// Where it is.
    pub place: [f32; 3],
    /// Time since it entered.
    pub age: f32,
    /// Number of its thread.
    pub thread: u16,
}

/// All smoke in the air.
#[derive(Debug, Clone)]
pub struct Cloud {
    threads: Vec<Thread>,
    /// Particles that each thread lets in per unit of time.
    rate: f64,
    /// Age at which a particle is given up.
    longest_age: f64,
    particles: Vec<Particle>,
    /// Particles that each thread has let in.
    entered: u64,
    /// Time until the next ones.
    next_entry: f64,
}

impl Cloud {
    /// No smoke yet.
    pub fn new(threads: Vec<Thread>, rate: f64, longest_age: f64) -> Self {
        Self {
            threads,
            rate,
            longest_age,
            particles: Vec::new(),
            entered: 0,
            next_entry: 0.0,
        }
    }

    /// The particles.
    pub fn particles(&self) -> &[Particle] {
        &self.particles
    }

    /// Lets the air carry the smoke from one instant to another, while the threads go on.
    pub fn drift(&mut self, ends: [&Air; 2], duration: f64) {
        let wind = Between { ends, duration };
        let way = ends[0].top_speed().max(ends[1].top_speed()) * duration;
        let longest_step = duration * LONGEST_WAY / way.max(LONGEST_WAY);
        let go = |particle: &Particle, from: f64| -> Option<Particle> {
            let mut place = particle.place.map(f64::from);
            let left = duration - from;
            let steps = (left / longest_step).ceil().max(1.0);
            let step = left / steps;
            let mut time = from;
            while time < duration - 0.5 * step {
                place = carried(&wind, place, time, step)?;
                time += step;
            }
            if ends[1].is_wall(place) {
                return None;
            }
            Some(Particle {
                place: place.map(|coordinate| coordinate as f32),
                age: particle.age + left as f32,
                thread: particle.thread,
            })
        };
        let longest_age = self.longest_age as f32;
        let old = self.particles.iter().filter_map(|old| go(old, 0.0));
        let mut now: Vec<Particle> = old.collect();
        // One after the other in even steps of time.
        let interval = self.rate.recip();
        while self.next_entry < duration {
            self.entered += 1;
            for (number, thread) in self.threads.iter().enumerate() {
                let place = thread.mouth(self.entered, number);
                let particle = Particle {
                    place: place.map(|coordinate| coordinate as f32),
                    age: 0.0,
                    thread: u16::try_from(number).unwrap_or(u16::MAX),
                };
                now.extend(go(&particle, self.next_entry));
            }
            self.next_entry += interval;
        }
        self.next_entry -= duration;
        now.retain(|particle| particle.age < longest_age);
        self.particles = now;
    }
}

impl Thread {
    /// Where in the mouth its particle of a number enters.
    fn mouth(&self, entered: u64, number: usize) -> [f64; 3] {
        let [x, y, z] = self.place;
        let [wide, deep] = self.radius;
        // Threads beside each other do not go in step.
        let count = entered as f64 + 0.37 * number as f64;
        if deep == 0.0 {
            let share = (count * ON_A_LINE).fract();
            return [x, y + wide * (2.0 * share - 1.0), z];
        }
        let [turn, share] = ON_A_SQUARE.map(|fraction| (count * fraction).fract());
        let (sin, cos) = (TAU * turn).sin_cos();
        let distance = share.sqrt();
        [x, y + wide * distance * cos, z + deep * distance * sin]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::smoke::air::Beyond;

    fn uniform(velocity: [f32; 3]) -> Air {
        let cells = [40, 10, 1];
        Air {
            cells,
            beyond: [Beyond::Repeat; 2],
            velocity: vec![velocity; cells.iter().product()],
        }
    }

    fn thread() -> Thread {
        Thread {
            place: [2.0, 5.0, 0.0],
            radius: [1.0, 0.0],
        }
    }

    #[test]
    fn threads_go_on_evenly_and_the_stream_carries_them() {
        let air = uniform([0.5, 0.25, 0.0]);
        let mut cloud = Cloud::new(vec![thread()], 3.2, 1e9);
        for _ in 0..10 {
            cloud.drift([&air, &air], 5.0);
        }
        // 3.2 in a unit of time over 50 of them.
        assert_eq!(cloud.particles().len(), 160);
        for particle in cloud.particles() {
            let [x, y, _] = particle.place;
            assert!((x - 2.0 - 0.5 * particle.age).abs() < 1e-3, "{particle:?}");
            let beside = y - 5.0 - 0.25 * particle.age;
            assert!(beside.abs() <= 1.001, "{particle:?}");
        }
        // Their ages fill the time without a gap.
        let mut ages: Vec<f32> = cloud.particles().iter().map(|p| p.age).collect();
        ages.sort_by(f32::total_cmp);
        let widest = ages.windows(2).map(|pair| pair[1] - pair[0]);
        assert!(widest.fold(0.0, f32::max) < 1.01 / 3.2);
    }

    #[test]
    fn smoke_leaves_with_the_air_and_ends_with_its_age() {
        let air = uniform([1.0, 0.0, 0.0]);
        let mut cloud = Cloud::new(vec![thread()], 1.0, 1e9);
        for _ in 0..20 {
            cloud.drift([&air, &air], 10.0);
        }
        let count = cloud.particles().len();
        // One in each unit of time on the way from 2 to 39.5.
        assert!((37..=38).contains(&count), "{count}");
        let mut young = Cloud::new(vec![thread()], 1.0, 7.0);
        for _ in 0..20 {
            young.drift([&air, &air], 10.0);
        }
        assert!(young.particles().iter().all(|particle| particle.age < 7.0));
        assert!(!young.particles().is_empty());
    }
}
