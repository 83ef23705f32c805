//! What this machine has for the runs: threads, and how much memory they may take together.

use sysinfo::{MemoryRefreshKind, System};

use crate::run::batch::schedule::Capacity;
use crate::run::planned::PROGRAM_BYTES;
use crate::run::planning::plan::LARGEST_RUN_BYTES;
use crate::study::{Study, Threads};

/// Part of the free memory that is taken where the study gives no limit.
const SHARE_OF_FREE: f64 = 0.75;

/// Threads that a study asks for.
pub(super) fn threads(study: &Study) -> usize {
    let available = std::thread::available_parallelism().map_or(1, usize::from);
    match study.run.threads {
        Threads::All => available,
        Threads::Count(count) => usize::try_from(count).unwrap_or(available),
    }
}

/// Threads and memory that the runs of a study may take on this machine; the program itself needs a little besides.
pub(super) fn capacity(study: &Study, threads: usize) -> Capacity {
    Capacity {
        threads,
        memory_bytes: study
            .run
            .memory_limit
            .unwrap_or_else(free_share)
            .saturating_sub(PROGRAM_BYTES),
    }
}

/// The same study with a limit for single runs that goes with what the machine has free, where it gives none.
pub(super) fn within(study: &Study, capacity: Capacity) -> Study {
    let mut study = study.clone();
    let largest = LARGEST_RUN_BYTES.min(capacity.memory_bytes) + PROGRAM_BYTES;
    study.run.memory_limit.get_or_insert(largest);
    study
}

/// Part of what the machine, or the container on it, has free, bytes; where that cannot be told, what one run may take.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a part of a number of bytes"
)]
fn free_share() -> u64 {
    let Ok(mut system) = System::new() else {
        return LARGEST_RUN_BYTES;
    };
    system.refresh_memory_specifics(MemoryRefreshKind::nothing().with_ram());
    let of_container = system.cgroup_limits().map(|limits| limits.free_memory);
    let free = [Some(system.available_memory()), of_container];
    match free.into_iter().flatten().filter(|free| *free > 0).min() {
        Some(free) => (SHARE_OF_FREE * free as f64) as u64,
        None => LARGEST_RUN_BYTES,
    }
}
