//! What a run takes on disk, before it is solved.

use crate::run::planned::Run;
use crate::store::CHECKPOINT_FRAME_BYTES;

/// Bytes on disk.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct DiskBytes {
    /// What a finished run leaves: history, fields, picture.
    pub files: u64,
    /// The largest checkpoint while it is under way. It goes when the run is finished, but while one is written the one before is still there.
    pub checkpoint: u64,
}

/// What a run takes on disk, about: fields are written in a compressed form, and how far that goes depends on the flow.
pub fn disk_bytes(run: &Run) -> DiskBytes {
    let cells = run.cell_count() as u64;
    let cost = run.subject.view().cost();
    DiskBytes {
        files: cost.field_bytes * cells + cost.other_bytes,
        // Ghosts and what fills the lines of memory.
        checkpoint: cost.state_bytes * cells * 23 / 20 + CHECKPOINT_FRAME_BYTES,
    }
}

/// What a batch takes on disk at most, when so many runs are under way at a time: everything finished, and the largest checkpoints with what is written of the next.
pub fn batch_disk_bytes(runs: &[Run], at_a_time: usize) -> u64 {
    let all: Vec<DiskBytes> = runs.iter().map(disk_bytes).collect();
    let mut checkpoints: Vec<u64> = all.iter().map(|bytes| bytes.checkpoint).collect();
    checkpoints.sort_unstable_by(|a, b| b.cmp(a));
    let files: u64 = all.iter().map(|bytes| bytes.files).sum();
    let half: u64 = checkpoints.iter().take(at_a_time).sum();
    files + 2 * half
}
