//! In which order a batch goes, and how long it takes.

use crate::measure::drive::DriveProgress;
use crate::run::planned::{Run, Subject};
use crate::run::repeat_plan::TIMES;

/// Cell updates per second of one thread, sampling included: about what one core of a desk computer does in a flat view.
const FLAT_RATE: f64 = 2.5e8;

/// The same in three dimensions.
const REPEAT_RATE: f64 = 6e7;

/// The same of a fan view, whose lattice is braked between steps.
const FACE_RATE: f64 = 6e7;

/// Pitch-times that a flat view usually takes.
const FLAT_PITCH_TIMES: f64 = 16.0;

/// The same of a repeat.
const REPEAT_PITCH_TIMES: f64 = 1.6 * TIMES.0;

/// Part of a thread's work that is lost for every further thread that shares a run.
const LOSS_PER_THREAD: f64 = 0.05;

/// Part of the time that a run alone on all threads must save to be worth it, because times are guesses.
const LEAST_GAIN: f64 = 0.03;

/// The order of a batch.
#[derive(Debug, Clone, PartialEq)]
pub struct Schedule {
    /// Runs that go side by side on one thread each, the longest first.
    pub abreast: Vec<usize>,
    /// Runs that go after them, one by one on all threads.
    pub alone: Vec<usize>,
    /// Time that everything takes about, s.
    pub seconds: f64,
}

/// Time, s, that a run takes about on one thread.
pub fn expected_seconds(run: &Run) -> f64 {
    let pitch_times = match &run.subject {
        Subject::Flat(_) => FLAT_PITCH_TIMES,
        Subject::Repeat(_) => REPEAT_PITCH_TIMES,
        // A jet into a room is not steady: most go on to the end.
        Subject::Face(face) => face.depth.times.1,
    };
    seconds_of(run, pitch_times * run.steps_per_pitch())
}

/// Time, s, that what a run did since the last call takes about on one thread.
pub fn seconds_done(run: &Run, progress: &DriveProgress) -> f64 {
    seconds_of(run, progress.steps as f64)
}

/// Time, s, that so many steps of a run take about on one thread.
pub fn seconds_of(run: &Run, steps: f64) -> f64 {
    let rate = match &run.subject {
        Subject::Flat(_) => FLAT_RATE,
        Subject::Repeat(_) => REPEAT_RATE,
        Subject::Face(_) => FACE_RATE,
    };
    run.cell_count() as f64 * steps / rate
}

/// Time, s, that a batch of these runs takes about on so many threads.
pub fn expected_batch_seconds(runs: &[&Run], threads: usize) -> f64 {
    let told = runs
        .iter()
        .map(|run| (run.is_repeat(), expected_seconds(run)));
    order(
        told.enumerate()
            .map(|(index, (is_repeat, seconds))| (index, is_repeat, seconds)),
        threads,
    )
    .seconds
}

/// Orders the runs with these places in `runs` for so many threads.
///
/// Side by side on one thread each is the best use of the threads, as long as there are enough runs of about equal length; so the longest
/// repeats go on all threads only where that ends the batch earlier.
pub fn schedule(runs: &[Run], pending: &[usize], threads: usize) -> Schedule {
    let pending = pending.iter().map(|&index| {
        let run = &runs[index];
        (index, run.is_repeat(), expected_seconds(run))
    });
    order(pending, threads)
}

/// Orders runs: place, whether it is a repeat, time on one thread.
fn order(runs: impl Iterator<Item = (usize, bool, f64)>, threads: usize) -> Schedule {
    let mut sorted: Vec<(usize, bool, f64)> = runs.collect();
    sorted.sort_by(|a, b| b.2.total_cmp(&a.2));
    let repeats = sorted.iter().take_while(|run| run.1).count();
    let longest_first: Vec<(usize, f64)> = sorted.iter().map(|run| (run.0, run.2)).collect();
    let seconds = |run: &(usize, f64)| run.1;
    let best = (0..=repeats)
        .map(|alone| {
            let (wide, narrow) = longest_first.split_at(alone);
            let side_by_side = makespan(&narrow.iter().map(seconds).collect::<Vec<_>>(), threads);
            let after: f64 = wide.iter().map(seconds).sum();
            (alone, side_by_side + after / gain(threads))
        })
        .min_by(|a, b| worthwhile(*a).total_cmp(&worthwhile(*b)));
    let (alone, seconds) = best.unwrap_or((0, 0.0));
    let (wide, narrow) = longest_first.split_at(alone);
    let indices = |runs: &[(usize, f64)]| runs.iter().map(|run| run.0).collect();
    Schedule {
        abreast: indices(narrow),
        alone: indices(wide),
        seconds,
    }
}

/// Time of a batch with so many runs alone, with what each of them must save.
fn worthwhile((alone, seconds): (usize, f64)) -> f64 {
    seconds * (1.0 + LEAST_GAIN * alone as f64)
}

/// How many times faster a run goes on so many threads than on one.
fn gain(threads: usize) -> f64 {
    let threads = threads.max(1) as f64;
    threads / (1.0 + LOSS_PER_THREAD * (threads - 1.0))
}

/// Time until the last of runs is done that are handed out one by one in this order.
fn makespan(seconds: &[f64], threads: usize) -> f64 {
    let mut busy = vec![0.0_f64; threads.max(1)];
    for seconds in seconds {
        let first_free = busy.iter_mut().min_by(|a, b| a.total_cmp(b));
        if let Some(until) = first_free {
            *until += seconds;
        }
    }
    busy.into_iter().fold(0.0, f64::max)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_go_to_the_thread_that_is_free_first() {
        assert!((makespan(&[5.0, 4.0, 3.0, 2.0], 2) - 7.0).abs() < 1e-12);
        assert!((makespan(&[5.0, 1.0], 8) - 5.0).abs() < 1e-12);
        assert!(makespan(&[], 2).abs() < 1e-12);
    }

    #[test]
    fn threads_that_share_a_run_gain_less_than_their_number() {
        assert!((gain(1) - 1.0).abs() < 1e-12);
        assert!(gain(2) > 1.8 && gain(2) < 2.0);
        assert!(gain(16) > gain(8));
    }
}
