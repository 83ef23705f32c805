//! A run that is stopped and gone on with ends bit by bit like one that nobody disturbed: flat views, holes with swirl, repeats with and without a head start, fan faces.
//!
//! The outside reference of each is the undisturbed run of the same code by the way in that knows no checkpoints; equal means equal bits, so there is no tolerance.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use crate::face;
use crate::repeat;
use crate::views;

use std::io::Read;
use std::ops::ControlFlow;

use ventwright::grille::Turn;
use ventwright::lattice::step::Threads;
use ventwright::measure::attendant::{Attendant, State};
use ventwright::measure::drive::{DriveLimits, DriveProgress, drive, drive_from};
use ventwright::measure::face::{drive_face, drive_face_from};
use ventwright::measure::repeat::{drive_repeat, drive_repeat_from};
use ventwright::measure::series::StopReason;
use ventwright::tunnel::{Behind, FaceGrille, FaceStream, FanFace, View};
use ventwright::units::LatticeVelocity;

/// Stops after so many questions, and keeps the state then.
struct Stopper {
    left: usize,
    state: Vec<u8>,
}

impl Attendant for Stopper {
    fn attend(
        &mut self,
        _progress: &DriveProgress,
        state: Option<&dyn State>,
    ) -> ControlFlow<StopReason> {
        self.left = self.left.saturating_sub(1);
        match state {
            Some(state) if self.left == 0 => {
                state.save(&mut self.state).unwrap();
                ControlFlow::Break(StopReason::Interrupted)
            }
            _ => ControlFlow::Continue(()),
        }
    }
}

/// Runs something to its end, stopping after each of these counts of questions; on one thread and on two by turns.
fn in_parts<T>(
    stops: &[usize],
    run: impl Fn(Threads, Option<&mut dyn Read>, &mut dyn Attendant) -> std::io::Result<Option<T>>,
) -> T {
    let mut state: Option<Vec<u8>> = None;
    for part in 0.. {
        let mut stopper = Stopper {
            left: stops.get(part).copied().unwrap_or(usize::MAX),
            state: Vec::new(),
        };
        let threads = [Threads::One, Threads::Pool(2)][part % 2];
        let mut from = state.as_deref();
        let from = from.as_mut().map(|from| from as &mut dyn Read);
        match run(threads, from, &mut stopper).unwrap() {
            Some(outcome) => {
                assert_eq!(part, stops.len(), "it was stopped so many times");
                return outcome;
            }
            None => state = Some(stopper.state),
        }
    }
    unreachable!("a run comes to its end")
}

fn go_on() -> impl FnMut(&DriveProgress) -> ControlFlow<StopReason> {
    |_| ControlFlow::Continue(())
}

#[test]
fn a_flat_view_that_is_stopped_ends_like_one_that_is_not() {
    let limits = DriveLimits {
        tolerance: 1e-9,
        other_doubts: 0.0,
        least_time: 12.0,
        longest_time: 13.0,
    };
    for view in [View::Hole, View::Slice] {
        let mut domain = views::sharp(view, 0.5, 0.3, 4000.0);
        domain.cells_across_opening = 12.0;
        domain.face_velocity = LatticeVelocity(0.05);
        domain.has_subgrid = true;
        let whole = drive(&domain, &limits, Threads::One, &mut go_on());
        // Before fields are collected, while they are, after the first were forgotten.
        let parts = in_parts(&[1, 100, 340, 190], |threads, from, attendant| {
            drive_from(&domain, &limits, threads, from, attendant)
        });
        assert_eq!(parts.drive.history, whole.drive.history);
        assert_eq!(parts.drive.stop_reason, whole.drive.stop_reason);
        assert_eq!(parts.drive.loss_coefficient, whole.drive.loss_coefficient);
        assert_eq!(
            parts.drive.flow_error.to_bits(),
            whole.drive.flow_error.to_bits()
        );
        assert!(parts.mean == whole.mean && parts.last == whole.last);
    }
}

#[test]
fn a_large_plane_that_goes_through_memory_in_sweeps_ends_alike_too() {
    let limits = DriveLimits {
        tolerance: 1e-9,
        other_doubts: 0.0,
        least_time: 0.5,
        longest_time: 0.5,
    };
    let mut domain = views::sharp(View::Slice, 0.5, 0.3, 4000.0);
    domain.cells_across_opening = 130.0;
    domain.face_velocity = LatticeVelocity(0.06);
    domain.has_subgrid = true;
    let whole = drive(&domain, &limits, Threads::One, &mut go_on());
    let parts = in_parts(&[3, 9], |threads, from, attendant| {
        drive_from(&domain, &limits, threads, from, attendant)
    });
    assert_eq!(parts.drive.history, whole.drive.history);
    assert!(parts.last == whole.last);
}

#[test]
fn a_repeat_that_is_stopped_ends_like_one_that_is_not_its_head_start_included() {
    let solid = repeat::hexagons(0.6, Turn::Straight);
    let is_solid = |place: [f64; 3]| repeat::is_solid(&solid, place);
    for (head_start, time, stops) in [
        (0.0, 12.0, [5, 430, 200]),
        // In the head start twice, then in the run itself.
        (2.0, 4.0, [7, 30, 160]),
    ] {
        let mut domain = repeat::domain(&solid, 10.0, 4000.0);
        domain.inflow_tangents = [0.3, 0.0];
        domain.head_start = head_start;
        let limits = DriveLimits {
            tolerance: 1e-9,
            other_doubts: 0.0,
            least_time: time,
            longest_time: time,
        };
        let whole = drive_repeat(&domain, &is_solid, &limits, &Threads::One, &mut go_on());
        let parts = in_parts(&stops, |threads, from, attendant| {
            drive_repeat_from(&domain, &is_solid, &limits, &threads, from, attendant)
        });
        assert_eq!(parts.drive.history, whole.drive.history);
        let bits = |pair: [f64; 2]| pair.map(f64::to_bits);
        assert_eq!(bits(parts.outflow_tangents), bits(whole.outflow_tangents));
        assert_eq!(bits(parts.side_force), bits(whole.side_force));
        assert_eq!(parts.wall_load, whole.wall_load);
        assert!(parts.mean == whole.mean && parts.last == whole.last);
    }
}

#[test]
fn a_fan_face_that_is_stopped_ends_like_one_that_is_not() {
    let swirl = |radius: f64| 0.4 * radius;
    let even = |_: f64| 1.0;
    let limits = DriveLimits {
        tolerance: 1e-9,
        other_doubts: 0.0,
        least_time: 2.0,
        longest_time: 2.0,
    };
    let rooms = [Behind::Room { width: 2.5 }, Behind::Duct];
    let grilles = [face::even_grille(2.0, 0.3), FaceGrille::default()];
    for (behind, grille) in rooms.into_iter().zip(grilles) {
        let face = FanFace {
            exit: FaceStream {
                hub: 0.4,
                tip: 1.0,
                axial: &even,
                swirl: &swirl,
            },
            gap: 0.5,
            grille,
            behind,
            length_behind: 3.0,
            reynolds_number: 2000.0,
            face_velocity: LatticeVelocity(0.05),
            cells_per_radius: 16,
            has_subgrid: true,
        };
        let whole = drive_face(&face, &limits, Threads::One, &mut go_on());
        let parts = in_parts(&[1, 61, 45], |threads, from, attendant| {
            drive_face_from(&face, &limits, threads, from, attendant)
        });
        assert_eq!(parts.drive.history, whole.drive.history);
        assert_eq!(parts.balance, whole.balance);
        assert_eq!(parts.planes, whole.planes);
        assert!(parts.mean == whole.mean && parts.last == whole.last);
    }
}

#[test]
fn a_state_of_another_run_is_refused() {
    let limits = DriveLimits::default();
    let mut domain = views::sharp(View::Hole, 0.5, 0.3, 200.0);
    domain.cells_across_opening = 8.0;
    let mut stopper = Stopper {
        left: 3,
        state: Vec::new(),
    };
    let stopped = drive_from(&domain, &limits, Threads::One, None, &mut stopper).unwrap();
    assert!(stopped.is_none());
    domain.cells_across_opening = 16.0;
    let mut state = stopper.state.as_slice();
    let refused = drive_from(
        &domain,
        &limits,
        Threads::One,
        Some(&mut state),
        &mut Stopper {
            left: 1,
            state: Vec::new(),
        },
    );
    let error = refused.unwrap_err();
    assert!(error.to_string().contains("numbers where"), "{error}");
}
