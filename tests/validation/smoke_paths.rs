//! Smoke goes where the air goes.
//!
//! Source: closed forms. A particle in a vortex that turns like a solid body goes round a circle; in air that swings across an even stream, `u = U`, `v = V cos(w t)`, the particles that left the
//! origin at time `s` stand at `x = U (t - s)`, `y = V/w (sin(w t) - sin(w s))`, which is the streak line (both follow by integrating `dx/dt = u(x, t)`); in the steady vortices of G. I. Taylor
//! and A. E. Green, Proc. R. Soc. A 158 (1937) 499, the stream function `sin(x) sin(y)` stays the same along a path.
//! The order of the method is that of W. Kutta, Z. Math. Phys. 46 (1901) 435: the error falls with the fourth power of the step.
//!
//! Tolerance: an order of 3.9 to 4.3 where nothing but the step is wrong. In the swinging air only time is interpolated, over a hundredth of a swing: a fiftieth of a cell.
//! On a grid of 64 cells per wave the velocity between cells is off by a part of (2π/64)²/8 = 0.12 % at most, and such errors take turns along a path: 1 % of the stream function after ten turns.
//!
//! Error seen: orders of 4.00; streak line 0.002 cells; stream function 0.001 %.

use std::f64::consts::{PI, TAU};

use ventwright::smoke::{Air, Beyond, Cloud, Thread, Wind, carried};

/// Air given by a formula.
struct Formula<F>(F);

impl<F: Fn([f64; 3], f64) -> [f64; 3]> Wind for Formula<F> {
    fn velocity(&self, place: [f64; 3], time: f64) -> Option<[f64; 3]> {
        Some((self.0)(place, time))
    }
}

/// Where a particle is after a time, in so many steps.
fn carried_far(wind: &impl Wind, start: [f64; 3], time: f64, steps: u32) -> [f64; 3] {
    let step = time / f64::from(steps);
    (0..steps).fold(start, |place, number| {
        carried(wind, place, f64::from(number) * step, step).expect("this wind blows everywhere")
    })
}

fn distance(a: [f64; 3], b: [f64; 3]) -> f64 {
    let squares = a.iter().zip(b).map(|(a, b)| (a - b).powi(2));
    squares.sum::<f64>().sqrt()
}

#[test]
fn the_error_of_a_path_falls_with_the_fourth_power_of_the_step() {
    // Turns like a solid body and drifts along z, ever faster.
    let wind = Formula(|[x, y, _]: [f64; 3], time: f64| [-y, x, time.powi(3)]);
    let end = 0.75 * TAU;
    let exact = [end.cos(), end.sin(), end.powi(4) / 4.0];
    let error = |steps| distance(carried_far(&wind, [1.0, 0.0, 0.0], end, steps), exact);
    for steps in [16, 32, 64] {
        let order = (error(steps) / error(2 * steps)).log2();
        eprintln!(
            "{steps} steps: error {:.2e}, order {order:.3}",
            error(steps)
        );
        assert!((3.9..4.3).contains(&order), "{steps} steps: order {order}");
    }
}

#[test]
fn a_thread_in_air_that_swings_becomes_the_wave_of_the_closed_form() {
    let cells = [200, 40, 1];
    let (stream, swing, frequency) = (0.5, 0.3, 0.02 * PI);
    #[expect(
        clippy::cast_possible_truncation,
        reason = "fields are single precision"
    )]
    let air_at = |time: f64| Air {
        cells,
        beyond: [Beyond::Repeat; 2],
        velocity: vec![
            [
                stream as f32,
                (swing * (frequency * time).cos()) as f32,
                0.0
            ];
            cells.iter().product()
        ],
    };
    let thread = Thread {
        place: [10.0, 20.0, 0.0],
        radius: [0.0; 2],
    };
    let mut cloud = Cloud::new(vec![thread], 2.0, 1e9);
    let (mut time, step) = (0.0, 1.0);
    let mut before = air_at(0.0);
    while time < 250.0 {
        let after = air_at(time + step);
        cloud.drift([&before, &after], step);
        (before, time) = (after, time + step);
    }
    assert!(cloud.particles().len() > 450);
    let mut largest: f64 = 0.0;
    for particle in cloud.particles() {
        let age = f64::from(particle.age);
        let left = time - age;
        let x = 10.0 + stream * age;
        let y = 20.0 + swing / frequency * ((frequency * time).sin() - (frequency * left).sin());
        let place = particle.place.map(f64::from);
        largest = largest.max(distance(place, [x, y, 0.0]));
    }
    eprintln!("streak line: off by {largest:.4} cells at most");
    assert!(largest < 0.02, "{largest}");
}

#[test]
fn smoke_in_steady_vortices_stays_on_its_stream_lines() {
    const WAVE: usize = 64;
    let cells = [WAVE, WAVE, 1];
    let wave = TAU / WAVE as f64;
    let speed = 0.05;
    let phase = |cell: f64| wave * (cell + 0.5);
    // Stream function sin(x) sin(y); the block repeats along y, and no path leaves it along x.
    #[expect(
        clippy::cast_possible_truncation,
        reason = "fields are single precision"
    )]
    let velocity = (0..WAVE * WAVE).map(|cell| {
        let (x, y) = (phase((cell % WAVE) as f64), phase((cell / WAVE) as f64));
        [
            (speed * x.sin() * y.cos()) as f32,
            (-speed * x.cos() * y.sin()) as f32,
            0.0,
        ]
    });
    let air = Air {
        cells,
        beyond: [Beyond::Repeat; 2],
        velocity: velocity.collect(),
    };
    let stream_function = |[x, y, _]: [f64; 3]| phase(x).sin() * phase(y).sin();
    // Near the rim of a vortex, where the velocity is least linear.
    let start = [28.0, 18.0, 0.0];
    let thread = Thread {
        place: start,
        radius: [0.0; 2],
    };
    // Ten turns about the middle of a vortex take 10 TAU / (speed * wave) steps.
    let turns = 10.0 * TAU / (speed * wave);
    let mut cloud = Cloud::new(vec![thread], 0.02, 1e9);
    let mut time = 0.0;
    while time < turns {
        cloud.drift([&air, &air], 40.0);
        time += 40.0;
    }
    let expected = stream_function(start);
    let errors = cloud.particles().iter().map(|particle| {
        let place = particle.place.map(f64::from);
        (stream_function(place) / expected - 1.0).abs()
    });
    let largest = errors.fold(0.0, f64::max);
    eprintln!(
        "stream function: off by {:.3} % at most after ten turns",
        100.0 * largest
    );
    assert!(largest < 0.01, "{largest}");
}
