//! Admits the runs of a batch so that those under way never take more memory together than allowed.

use std::sync::{Condvar, Mutex, MutexGuard};

/// What a thread that is free is to do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Turn {
    /// Begin with the run in this place.
    Begin(usize),
    /// Wait until another run has ended: nothing fits beside what is under way.
    Wait,
    /// Nothing is left that could ever fit.
    Done,
}

/// Runs that wait for their turn, each with its place and its memory.
#[derive(Debug, Clone)]
pub struct MemoryAdmission {
    waiting: Vec<(usize, u64)>,
    limit: u64,
    in_use: u64,
}

impl MemoryAdmission {
    /// Runs in the order in which they are wanted (place, memory in bytes), and the memory that they may take together, bytes.
    pub fn new(runs: impl IntoIterator<Item = (usize, u64)>, limit: u64) -> Self {
        Self {
            waiting: runs.into_iter().collect(),
            limit,
            in_use: 0,
        }
    }

    /// The first run that fits beside those under way. A run that is larger than the limit by itself is never admitted.
    pub fn turn(&mut self) -> Turn {
        let free = self.limit - self.in_use;
        let fitting = self.waiting.iter().position(|(_, bytes)| *bytes <= free);
        if let Some(place) = fitting {
            let (run, bytes) = self.waiting.remove(place);
            self.in_use += bytes;
            return Turn::Begin(run);
        }
        if self.waiting.iter().any(|(_, bytes)| *bytes <= self.limit) {
            Turn::Wait
        } else {
            Turn::Done
        }
    }

    /// A run of so many bytes has ended.
    pub fn give_back(&mut self, bytes: u64) {
        self.in_use = self.in_use.saturating_sub(bytes);
    }

    /// Memory of the runs under way, bytes.
    pub fn in_use(&self) -> u64 {
        self.in_use
    }
}

/// An admission that several threads share.
#[derive(Debug)]
pub(super) struct SharedAdmission {
    admission: Mutex<MemoryAdmission>,
    has_ended: Condvar,
}

/// A run under way, whose memory is free again when this goes.
pub(super) struct Held<'a> {
    pub(in crate::run) index: usize,
    bytes: u64,
    of: &'a SharedAdmission,
}

impl Drop for Held<'_> {
    fn drop(&mut self) {
        self.of.lock().give_back(self.bytes);
        self.of.has_ended.notify_all();
    }
}

impl SharedAdmission {
    pub(super) fn new(admission: MemoryAdmission) -> Self {
        Self {
            admission: Mutex::new(admission),
            has_ended: Condvar::new(),
        }
    }

    /// Waits for the next run that fits; `None` when there is none left.
    pub(super) fn take(&self) -> Option<Held<'_>> {
        let mut admission = self.lock();
        loop {
            let before = admission.in_use();
            match admission.turn() {
                Turn::Begin(index) => {
                    return Some(Held {
                        index,
                        bytes: admission.in_use() - before,
                        of: self,
                    });
                }
                Turn::Wait => {
                    admission = self
                        .has_ended
                        .wait(admission)
                        .expect("no holder of this lock panics");
                }
                Turn::Done => return None,
            }
        }
    }

    fn lock(&self) -> MutexGuard<'_, MemoryAdmission> {
        self.admission
            .lock()
            .expect("no holder of this lock panics")
    }
}
