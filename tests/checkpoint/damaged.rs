//! Checkpoints that are not what they were: a hundred thousand damaged ones, read as a program that starts would read them.
//!
//! Half of them are damaged as a disk would (and must all be refused), half are damaged and given a checksum that fits, so that the damage gets through to the run.
//! Nothing may panic or hang, and nothing may be allocated by what a length in a file says: the state of this small run has a few hundred kilobytes,
//! and a list of another length is refused before it is read.

#![expect(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    reason = "a test may stop at what cannot be, and its dice are small numbers"
)]

use crate::views;

use std::io::{Cursor, Read};
use std::ops::ControlFlow;

use ventwright::lattice::step::Threads;
use ventwright::measure::attendant::{Attendant, State};
use ventwright::measure::drive::{DriveLimits, DriveProgress, drive_from};
use ventwright::measure::series::StopReason;
use ventwright::store::{CheckpointOwner, read_checkpoint, write_checkpoint};
use ventwright::tunnel::{Domain, View};

const INPUTS: usize = 100_000;

/// Stops at the first question that comes with a state, and keeps it after so many.
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
        let Some(state) = state else {
            return ControlFlow::Continue(());
        };
        self.left = self.left.saturating_sub(1);
        if self.left > 0 {
            return ControlFlow::Continue(());
        }
        self.state.clear();
        state.save(&mut self.state).unwrap();
        ControlFlow::Break(StopReason::Interrupted)
    }
}

/// Equal dice on every machine: a linear congruential generator with D. Knuth's constants for 64 bits (from memory).
struct Dice(u64);

impl Dice {
    fn below(&mut self, end: usize) -> usize {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        ((self.0 >> 33) as usize) % end.max(1)
    }

    /// Changes bytes, cuts, repeats, and writes numbers that are larger than anything.
    fn damage(&mut self, bytes: &mut Vec<u8>) {
        for _ in 0..=self.below(4) {
            let at = self.below(bytes.len());
            match self.below(6) {
                0 => bytes[at] ^= 1 << self.below(8),
                1 => bytes.truncate(at),
                2 => bytes.extend_from_within(at..(at + 8).min(bytes.len())),
                3 => {
                    let end = (at + 8).min(bytes.len());
                    bytes[at..end].fill([0, 0x7f, 0xff][self.below(3)]);
                }
                // The first numbers are lengths and counts: they get more than their share.
                4 => {
                    let at = self.below(bytes.len().min(64));
                    bytes[at] = self.below(256) as u8;
                }
                _ => {
                    let end = (at + self.below(64)).min(bytes.len());
                    bytes.drain(at..end);
                }
            }
            if bytes.is_empty() {
                return;
            }
        }
    }
}

fn small() -> Domain {
    let mut domain = views::sharp(View::Hole, 0.5, 0.3, 200.0);
    domain.cells_across_opening = 4.0;
    domain.pitches_ahead = 0.5;
    domain.pitches_behind = 1.5;
    domain
}

fn go_on(domain: &Domain, from: Option<&mut dyn Read>, left: usize) -> std::io::Result<Vec<u8>> {
    let mut stopper = Stopper {
        left,
        state: Vec::new(),
    };
    let limits = DriveLimits::default();
    drive_from(domain, &limits, Threads::One, from, &mut stopper)?;
    Ok(stopper.state)
}

#[test]
#[ignore = "slow: 1 min"]
fn damaged_checkpoints_are_refused_or_run_without_panic() {
    let domain = small();
    // Long enough that fields are collected.
    let state = go_on(&domain, None, 60 * 8).unwrap();
    assert!(!state.is_empty());
    let owner = CheckpointOwner::new(4, b"inputs");
    let mut whole = Vec::new();
    write_checkpoint(&owner, &mut whole, |out| out.write_all(&state)).unwrap();
    let halves = [1_u64, 2].map(|seed| {
        let (domain, owner, state, whole) = (&domain, &owner, &state, &whole);
        move || fuzz(domain, owner, state, whole, seed)
    });
    let [first, second] = halves;
    let counts = std::thread::scope(|scope| {
        let other = scope.spawn(second);
        [first(), other.join().unwrap()]
    });
    let sum = |which: usize| counts.iter().map(|count| count[which]).sum::<usize>();
    println!(
        "{} of {INPUTS}: {} refused by the file, {} by the run, {} run on",
        sum(0) + sum(1) + sum(2),
        sum(0),
        sum(1),
        sum(2)
    );
    assert_eq!(sum(0) + sum(1) + sum(2), INPUTS);
    assert!(sum(1) > INPUTS / 10 && sum(2) > INPUTS / 100);
}

/// Half of the inputs: how many were refused by the file, how many by the run, and how many ran on.
fn fuzz(
    domain: &Domain,
    owner: &CheckpointOwner,
    state: &[u8],
    whole: &[u8],
    seed: u64,
) -> [usize; 3] {
    let mut dice = Dice(seed);
    let mut counts = [0; 3];
    for number in 0..INPUTS / 2 {
        let bytes = if number % 2 == 0 {
            let mut bytes = whole.to_vec();
            dice.damage(&mut bytes);
            bytes
        } else {
            let mut state = state.to_vec();
            dice.damage(&mut state);
            let mut bytes = Vec::new();
            write_checkpoint(owner, &mut bytes, |out| out.write_all(&state)).unwrap();
            bytes
        };
        match read_checkpoint(owner, Cursor::new(&bytes)) {
            Err(_) => counts[0] += 1,
            Ok(mut from) => match go_on(domain, Some(&mut from), 2) {
                Err(_) => counts[1] += 1,
                Ok(_) => counts[2] += 1,
            },
        }
        if number % 2 == 0 && bytes != whole {
            assert!(read_checkpoint(owner, Cursor::new(&bytes)).is_err());
        }
    }
    counts
}
