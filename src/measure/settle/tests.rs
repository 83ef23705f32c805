//! The end of a run, on a flow that is a formula.

use super::*;
use crate::measure::attendant::Onlooker;

const STEPS_PER_PITCH: f64 = 600.0;
const START_UP: f64 = 7.0;

/// K swings about 2 and settles.
struct Swinging {
    steps: u64,
    at_once: usize,
}

impl Default for Swinging {
    fn default() -> Self {
        Self {
            steps: 0,
            at_once: 1000,
        }
    }
}

impl Sampled for Swinging {
    fn advance(&mut self, pairs: usize) {
        self.steps += 2 * pairs as u64;
    }

    fn step_count(&self) -> u64 {
        self.steps
    }

    fn fluid_cell_count(&self) -> usize {
        1
    }

    fn dynamic_pressure(&self) -> f64 {
        0.5
    }

    fn reading(&self) -> Reading {
        let time = self.steps as f64 / STEPS_PER_PITCH;
        let loss_coefficient = 2.0 + 0.05 * (7.0 * time).sin() + (-time).exp();
        Reading {
            loss_coefficient,
            loss_coefficient_by_force: loss_coefficient,
            flow_error: 0.0,
        }
    }

    fn mean_density(&self) -> f64 {
        0.0
    }

    fn collect_fields(&mut self) {}

    fn forget_early_fields(&mut self) {}

    fn pairs_at_once(&self) -> usize {
        self.at_once
    }
}

#[test]
fn the_observer_is_asked_at_every_sample_and_told_the_mean_at_whole_pitch_times() {
    let mut told = Vec::new();
    let settled = run_until_settled(
        &mut Swinging::default(),
        STEPS_PER_PITCH,
        START_UP,
        &DriveLimits::default(),
        &mut |progress| {
            told.push(*progress);
            ControlFlow::Continue(())
        },
    );
    assert_eq!(settled.stop_reason, StopReason::Converged);
    assert_eq!(told.len(), settled.history.len());
    for (index, progress) in told.iter().enumerate() {
        assert_eq!(progress.steps, 10);
        assert_eq!(progress.mean.is_some(), (index + 1) % 60 == 0, "{index}");
    }
    assert_eq!(told[told.len() - 1].mean, settled.loss_coefficient);
}

#[test]
fn a_flow_is_broken_off_within_a_pitch_time() {
    let settled = run_until_settled(
        &mut Swinging::default(),
        STEPS_PER_PITCH,
        START_UP,
        &DriveLimits::default(),
        &mut |progress| {
            if progress.time > 3.3 {
                return ControlFlow::Break(StopReason::Interrupted);
            }
            ControlFlow::Continue(())
        },
    );
    assert_eq!(settled.stop_reason, StopReason::Interrupted);
    assert_eq!(settled.history.len(), 199);
}

impl Resumable for Swinging {
    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        out.write_all(&self.steps.to_le_bytes())
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        let mut bytes = [0; 8];
        from.read_exact(&mut bytes)?;
        self.steps = u64::from_le_bytes(bytes);
        Ok(())
    }
}

/// Keeps the state and breaks off after so many questions.
struct BreaksOff {
    asked: usize,
    after: usize,
    state: Vec<u8>,
}

impl Attendant for BreaksOff {
    fn attend(
        &mut self,
        _progress: &DriveProgress,
        state: Option<&dyn crate::measure::attendant::State>,
    ) -> ControlFlow<StopReason> {
        // Before the first step there is nothing to keep.
        let Some(state) = state else {
            return ControlFlow::Continue(());
        };
        self.asked += 1;
        if self.asked == self.after {
            state.save(&mut self.state).unwrap();
            return ControlFlow::Break(StopReason::Interrupted);
        }
        ControlFlow::Continue(())
    }
}

#[test]
fn a_flow_that_is_broken_off_again_and_again_comes_to_the_same_end() {
    let pace = Pace::new(STEPS_PER_PITCH, START_UP);
    let limits = DriveLimits::default();
    let mut go_on = |_: &DriveProgress| ControlFlow::Continue(());
    let (mut flow, whole) = (Swinging::default(), &mut Onlooker(&mut go_on));
    let whole = go_on_from(&mut flow, &pace, &limits, None, whole);
    let whole = whole.unwrap().unwrap();
    // A sample is five pairs of steps: also in the midst of one, at its end, and at the last one of a pitch-time.
    for after in [1, 2, 3, 5, 59, 60, 61, 180] {
        let mut state: Option<Vec<u8>> = None;
        let mut broken_off = 0;
        let parts = loop {
            let mut flow = Swinging {
                at_once: 2,
                ..Swinging::default()
            };
            let mut attendant = BreaksOff {
                asked: 0,
                after,
                state: Vec::new(),
            };
            let mut from = state.as_deref();
            let from = from.as_mut().map(|from| from as &mut dyn Read);
            let settled = go_on_from(&mut flow, &pace, &limits, from, &mut attendant).unwrap();
            match settled {
                Some(settled) => break settled,
                None => state = Some(attendant.state),
            }
            broken_off += 1;
        };
        assert!(broken_off > 5, "{broken_off}");
        assert_eq!(parts.stop_reason, whole.stop_reason);
        assert_eq!(parts.history, whole.history);
        assert_eq!(parts.loss_coefficient, whole.loss_coefficient);
    }
}

#[test]
fn the_end_of_a_run_is_not_broken_off() {
    let pace = Pace::new(STEPS_PER_PITCH, START_UP);
    let limits = DriveLimits {
        least_time: 1.0,
        longest_time: 1.0,
        ..DriveLimits::default()
    };
    let mut stop_at_once = |progress: &DriveProgress| {
        if progress.time < 1.0 {
            ControlFlow::Continue(())
        } else {
            ControlFlow::Break(StopReason::Interrupted)
        }
    };
    let mut attendant = Onlooker(&mut stop_at_once);
    let flow = &mut Swinging::default();
    let settled = go_on_from(flow, &pace, &limits, None, &mut attendant).unwrap();
    assert_eq!(settled.unwrap().stop_reason, StopReason::StepLimit);
}

/// Where the grid hides 9 % of K, a swing of a fiftieth need not be averaged as long as to a thousandth.
#[test]
fn a_flow_stops_sooner_where_something_else_hides_its_number_and_its_interval_says_so() {
    let stopped = |other_doubts: f64| {
        let limits = DriveLimits {
            tolerance: 1e-3,
            other_doubts,
            ..DriveLimits::default()
        };
        let flow = &mut Swinging::default();
        let mut go_on = |_: &DriveProgress| ControlFlow::Continue(());
        run_until_settled(flow, STEPS_PER_PITCH, START_UP, &limits, &mut go_on)
    };
    let (sooner, later) = (stopped(0.09), stopped(0.0));
    assert_eq!(sooner.stop_reason, StopReason::Converged);
    assert!(2 * sooner.history.len() < later.history.len());
    let mean = sooner.loss_coefficient.unwrap();
    let as_it_looks = settled_mean(&loss_coefficients(&sooner.history)).unwrap();
    assert!(mean.half_width < 0.03 * mean.mean);
    assert!(mean.half_width >= as_it_looks.half_width);
    assert!((mean.mean - 2.0).abs() < mean.half_width);
}
