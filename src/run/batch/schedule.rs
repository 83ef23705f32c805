//! In which order a batch goes, and how long it takes.

use crate::run::batch::forecast::expected_seconds;
use crate::run::batch::memory_admission::{MemoryAdmission, Turn};
use crate::run::planned::Run;

/// Part of a thread's work that is lost for every further thread that shares a run.
const LOSS_PER_THREAD: f64 = 0.05;

/// Part of the time that a run alone on all threads must save to be worth it, because times are guesses.
const LEAST_GAIN: f64 = 0.03;

/// What a batch may take of the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Capacity {
    /// Threads: as many runs at a time, or one run on all of them.
    pub threads: usize,
    /// Memory that the runs under way may take together, bytes.
    pub memory_bytes: u64,
}

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

/// Time, s, that a batch of these runs takes about.
pub fn expected_batch_seconds(runs: &[&Run], capacity: Capacity) -> f64 {
    let runs = runs.iter().enumerate();
    order(runs.map(|(index, run)| SizedRun::of(index, run)), capacity).seconds
}

/// Orders the runs with these places in `runs`. A run that takes more memory by itself than allowed has no business among them.
///
/// Side by side on one thread each is the best use of the threads, as long as there are enough runs of about equal length; so the longest
/// repeats go on all threads only where that ends the batch earlier.
pub fn schedule(runs: &[Run], pending: &[usize], capacity: Capacity) -> Schedule {
    let pending = pending.iter();
    order(
        pending.map(|&index| SizedRun::of(index, &runs[index])),
        capacity,
    )
}

/// What the order has to know of a run.
#[derive(Debug, Clone, Copy)]
struct SizedRun {
    index: usize,
    is_repeat: bool,
    /// On one thread.
    seconds: f64,
    bytes: u64,
}

impl SizedRun {
    fn of(index: usize, run: &Run) -> Self {
        Self {
            index,
            is_repeat: run.is_repeat(),
            seconds: expected_seconds(run),
            bytes: run.peak_bytes(),
        }
    }
}

/// Orders runs.
fn order(runs: impl Iterator<Item = SizedRun>, capacity: Capacity) -> Schedule {
    let mut longest_first: Vec<SizedRun> = runs.collect();
    longest_first.sort_by(|a, b| b.seconds.total_cmp(&a.seconds));
    let repeats = longest_first.iter().take_while(|run| run.is_repeat).count();
    let best = (0..=repeats)
        .map(|alone| {
            let (wide, narrow) = longest_first.split_at(alone);
            let side_by_side = makespan(narrow, capacity);
            let after: f64 = wide.iter().map(|run| run.seconds).sum();
            (alone, side_by_side + after / gain(capacity.threads))
        })
        .min_by(|a, b| worthwhile(*a).total_cmp(&worthwhile(*b)));
    let (alone, seconds) = best.unwrap_or((0, 0.0));
    let (wide, narrow) = longest_first.split_at(alone);
    let indices = |runs: &[SizedRun]| runs.iter().map(|run| run.index).collect();
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
pub(super) fn gain(threads: usize) -> f64 {
    let threads = threads.max(1) as f64;
    threads / (1.0 + LOSS_PER_THREAD * (threads - 1.0))
}

/// Time until the last of runs is done that are Admitted one by one in this order, as memory allows.
fn makespan(runs: &[SizedRun], capacity: Capacity) -> f64 {
    let threads = capacity.threads.max(1);
    let mut bytes: Vec<u64> = runs.iter().map(|run| run.bytes).collect();
    bytes.sort_unstable_by(|a, b| b.cmp(a));
    if bytes.iter().take(threads).sum::<u64>() > capacity.memory_bytes {
        return makespan_in_turns(runs, capacity);
    }
    let mut busy = vec![0.0_f64; threads];
    for run in runs {
        let first_free = busy.iter_mut().min_by(|a, b| a.total_cmp(b));
        if let Some(until) = first_free {
            *until += run.seconds;
        }
    }
    busy.into_iter().fold(0.0, f64::max)
}

/// The same where not all threads can be busy all the time.
fn makespan_in_turns(runs: &[SizedRun], capacity: Capacity) -> f64 {
    let places = runs
        .iter()
        .enumerate()
        .map(|(place, run)| (place, run.bytes));
    let mut admission = MemoryAdmission::new(places, capacity.memory_bytes);
    let mut busy: Vec<(f64, u64)> = Vec::new();
    let mut now = 0.0;
    loop {
        while busy.len() < capacity.threads.max(1) {
            let Turn::Begin(place) = admission.turn() else {
                break;
            };
            busy.push((now + runs[place].seconds, runs[place].bytes));
        }
        let first = (0..busy.len()).min_by(|&a, &b| busy[a].0.total_cmp(&busy[b].0));
        let Some(first) = first else {
            return now;
        };
        let (end, bytes) = busy.swap_remove(first);
        now = end;
        admission.give_back(bytes);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn sized(seconds: &[f64], bytes: &[u64]) -> Vec<SizedRun> {
        let runs = seconds.iter().zip(bytes.iter().cycle()).enumerate();
        runs.map(|(index, (&seconds, &bytes))| SizedRun {
            index,
            is_repeat: true,
            seconds,
            bytes,
        })
        .collect()
    }

    fn of(threads: usize, memory_bytes: u64) -> Capacity {
        Capacity {
            threads,
            memory_bytes,
        }
    }

    #[test]
    fn runs_go_to_the_thread_that_is_free_first() {
        let seconds = |seconds: &[f64], threads| makespan(&sized(seconds, &[1]), of(threads, 99));
        assert!((seconds(&[5.0, 4.0, 3.0, 2.0], 2) - 7.0).abs() < 1e-12);
        assert!((seconds(&[5.0, 1.0], 8) - 5.0).abs() < 1e-12);
        assert!(seconds(&[], 2).abs() < 1e-12);
    }

    #[test]
    fn what_does_not_fit_beside_the_others_waits() {
        let runs = sized(&[5.0, 4.0, 3.0], &[6, 6, 4]);
        // 5 s with the small one beside it, then 4 s.
        assert!((makespan(&runs, of(2, 10)) - 9.0).abs() < 1e-12);
        assert!((makespan(&runs, of(2, 7)) - 12.0).abs() < 1e-12);
        assert!((makespan(&runs, of(2, 12)) - 7.0).abs() < 1e-12);
    }

    #[test]
    fn repeats_that_do_not_fit_side_by_side_take_all_threads() {
        let runs = || sized(&[5.0, 5.0, 5.0, 5.0], &[6]).into_iter();
        assert_eq!(order(runs(), of(2, 12)).alone.len(), 0);
        let tight = order(runs(), of(2, 11));
        assert!(tight.alone.len() >= 3, "{tight:?}");
        assert!(tight.seconds < 20.0);
    }

    #[test]
    fn threads_that_share_a_run_gain_less_than_their_number() {
        assert!((gain(1) - 1.0).abs() < 1e-12);
        assert!(gain(2) > 1.8 && gain(2) < 2.0);
        assert!(gain(16) > gain(8));
    }
}
