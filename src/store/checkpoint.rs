//! An interrupted run on disk: one file that says what it belongs to and whether it is whole.
//!
//! ```text
//! "VWHALF\r\n"            8 bytes    what it is; a transfer that changes ends of lines is noticed
//! version of this layout  u32
//! version of the solver   u32
//! hash of the inputs      32 bytes   BLAKE3
//! the state
//! length of the state     u64
//! checksum                32 bytes   BLAKE3 of everything before it
//! ```
//!
//! Numbers are little-endian. All of it is checked before the first byte of the state is handed out, in one go through the file and with a buffer of fixed size.

use std::fs::File;
use std::io::{self, BufReader, Read, Seek, SeekFrom, Take, Write};
use std::path::Path;

use crate::store::{StoreError, write_whole};

/// Name of the file in the folder of a run.
pub const CHECKPOINT_FILE: &str = "half.state";

const MAGIC: [u8; 8] = *b"VWHALF\r\n";

/// Version of the layout.
const LAYOUT: u32 = 2;

/// Bytes ahead of the state, and behind it.
const HEAD: u64 = 8 + 4 + 4 + 32;
const TAIL: u64 = 8 + 32;

/// Bytes of a checkpoint besides its state.
pub const CHECKPOINT_FRAME_BYTES: u64 = HEAD + TAIL;

/// Bytes that are checked at a time.
const BLOCK: usize = 1 << 16;

/// What an interrupted run belongs to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CheckpointOwner {
    solver_version: u32,
    inputs: [u8; 32],
}

/// Why a checkpoint is of no use.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum CheckpointFault {
    /// It cannot be read.
    #[error("it cannot be read: {0}")]
    Read(#[from] io::Error),
    /// It begins in another way.
    #[error("it is not a checkpoint")]
    NotOne,
    /// It was written by a program with another layout.
    #[error("it has layout {found}, but this program reads layout {LAYOUT}")]
    OtherLayout {
        /// Its layout.
        found: u32,
    },
    /// It was written by a solver that gives other numbers.
    #[error("it was written by solver version {found}, and this is version {expected}")]
    OtherSolver {
        /// Its version.
        found: u32,
        /// The version of this program.
        expected: u32,
    },
    /// It is of a run with other inputs.
    #[error("it belongs to a run with different inputs")]
    OtherInputs,
    /// It has lost its end, or got one that does not belong to it.
    #[error("it is cut short, or longer than it was")]
    Cut,
    /// Some of its bytes are not those that were written.
    #[error("its checksum is wrong")]
    Damaged,
}

impl CheckpointOwner {
    /// The run with these inputs, solved by this version.
    pub fn new(solver_version: u32, inputs: &[u8]) -> Self {
        Self {
            solver_version,
            inputs: *blake3::hash(inputs).as_bytes(),
        }
    }

    fn head(&self) -> Vec<u8> {
        let versions = [LAYOUT, self.solver_version].map(u32::to_le_bytes);
        [&MAGIC[..], versions.as_flattened(), &self.inputs].concat()
    }

    /// Whether a head is that of this run.
    fn check(&self, head: &[u8]) -> Result<(), CheckpointFault> {
        let number = |at: usize| {
            let bytes = head.get(at..at + 4).and_then(|bytes| bytes.try_into().ok());
            bytes.map(u32::from_le_bytes)
        };
        let is_one = head.starts_with(&MAGIC);
        let (Some(layout), Some(solver), true) = (number(8), number(12), is_one) else {
            return Err(CheckpointFault::NotOne);
        };
        if layout != LAYOUT {
            return Err(CheckpointFault::OtherLayout { found: layout });
        }
        if solver != self.solver_version {
            return Err(CheckpointFault::OtherSolver {
                found: solver,
                expected: self.solver_version,
            });
        }
        if head.get(16..) != Some(&self.inputs) {
            return Err(CheckpointFault::OtherInputs);
        }
        Ok(())
    }
}

/// Writes a checkpoint; `fill` writes the state.
///
/// # Errors
/// What `out` gives.
pub fn write_checkpoint(
    owner: &CheckpointOwner,
    out: &mut dyn Write,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> io::Result<()> {
    let mut hashed = Hashed {
        out,
        hash: blake3::Hasher::new(),
        length: 0,
    };
    hashed.write_all(&owner.head())?;
    hashed.length = 0;
    fill(&mut hashed)?;
    let length = hashed.length;
    hashed.write_all(&length.to_le_bytes())?;
    let sum = hashed.hash.finalize();
    out.write_all(sum.as_bytes())
}

/// Writes a checkpoint to a file that appears whole or not at all.
///
/// # Errors
/// As [`write_whole`].
pub fn keep_checkpoint(
    path: &Path,
    owner: &CheckpointOwner,
    fill: impl FnOnce(&mut dyn Write) -> io::Result<()>,
) -> Result<(), StoreError> {
    write_whole(path, |out| write_checkpoint(owner, out, fill))
}

/// The beginning of the state in a checkpoint of this run, whose end nobody has looked at: good for telling, not for going on. `None` where there is none.
pub fn glance_at_checkpoint(path: &Path, owner: &CheckpointOwner) -> Option<File> {
    let mut from = File::open(path).ok()?;
    let mut head = Vec::new();
    Read::by_ref(&mut from)
        .take(HEAD)
        .read_to_end(&mut head)
        .ok()?;
    owner.check(&head).ok()?;
    Some(from)
}

/// The state of a checkpoint that has been checked, to be read to its end and no further.
pub type CheckpointState<R> = BufReader<Take<R>>;

/// The same of a file.
pub type CheckpointOnDisk = CheckpointState<File>;

/// Checks a checkpoint and hands out its state.
///
/// # Errors
/// What is wrong with it, in the order in which it would be noticed.
pub fn read_checkpoint<R: Read + Seek>(
    owner: &CheckpointOwner,
    mut from: R,
) -> Result<CheckpointState<R>, CheckpointFault> {
    let size = from.seek(SeekFrom::End(0))?;
    from.rewind()?;
    let mut head = Vec::new();
    from.by_ref().take(HEAD).read_to_end(&mut head)?;
    owner.check(&head)?;
    let length = size
        .checked_sub(CHECKPOINT_FRAME_BYTES)
        .ok_or(CheckpointFault::Cut)?;
    let mut hash = blake3::Hasher::new();
    hash.update(&head);
    let mut block = vec![0; BLOCK];
    let mut left = length;
    while left > 0 {
        let count = usize::try_from(left).unwrap_or(BLOCK).min(BLOCK);
        from.read_exact(&mut block[..count])?;
        hash.update(&block[..count]);
        left -= count as u64;
    }
    let (mut told, mut sum) = ([0; 8], [0; 32]);
    from.read_exact(&mut told)?;
    from.read_exact(&mut sum)?;
    if told != length.to_le_bytes() {
        return Err(CheckpointFault::Cut);
    }
    hash.update(&told);
    if hash.finalize() != sum {
        return Err(CheckpointFault::Damaged);
    }
    from.seek(SeekFrom::Start(HEAD))?;
    Ok(BufReader::with_capacity(BLOCK, from.take(length)))
}

/// Opens and checks the checkpoint in a file; `None` if there is no file.
///
/// # Errors
/// What is wrong with it.
pub fn find_checkpoint(
    path: &Path,
    owner: &CheckpointOwner,
) -> Result<Option<CheckpointOnDisk>, CheckpointFault> {
    match File::open(path) {
        Ok(file) => read_checkpoint(owner, file).map(Some),
        Err(error) if error.kind() == io::ErrorKind::NotFound => Ok(None),
        Err(error) => Err(error.into()),
    }
}

/// Counts and hashes what goes through.
struct Hashed<'a> {
    out: &'a mut dyn Write,
    hash: blake3::Hasher,
    length: u64,
}

impl Write for Hashed<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let count = self.out.write(bytes)?;
        self.hash.update(&bytes[..count]);
        self.length += count as u64;
        Ok(count)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::io::Cursor;

    const INPUTS: &[u8] = b"{\"view\":\"hole\"}";

    fn owner() -> CheckpointOwner {
        CheckpointOwner::new(4, INPUTS)
    }

    fn written(state: &[u8]) -> Vec<u8> {
        let mut bytes = Vec::new();
        write_checkpoint(&owner(), &mut bytes, |out| out.write_all(state)).unwrap();
        bytes
    }

    fn fault(owner: &CheckpointOwner, bytes: &[u8]) -> CheckpointFault {
        read_checkpoint(owner, Cursor::new(bytes)).unwrap_err()
    }

    #[test]
    fn a_state_comes_back_as_it_was() {
        for length in [0, 1, BLOCK - 1, BLOCK, 3 * BLOCK + 5] {
            let state: Vec<u8> = (0..251).cycle().take(length).collect();
            let mut back = Vec::new();
            let bytes = written(&state);
            assert_eq!(
                bytes.len() as u64,
                state.len() as u64 + CHECKPOINT_FRAME_BYTES
            );
            let mut from = read_checkpoint(&owner(), Cursor::new(bytes)).unwrap();
            from.read_to_end(&mut back).unwrap();
            assert!(back == state, "{length}");
        }
    }

    #[test]
    fn every_single_changed_byte_and_every_cut_is_noticed() {
        let bytes = written(b"a state of some length");
        for at in 0..bytes.len() {
            let mut changed = bytes.clone();
            changed[at] ^= 0x10;
            let fault = fault(&owner(), &changed);
            let is_right = match at {
                0..8 => matches!(fault, CheckpointFault::NotOne),
                8..12 => matches!(fault, CheckpointFault::OtherLayout { .. }),
                12..16 => matches!(fault, CheckpointFault::OtherSolver { .. }),
                16..48 => matches!(fault, CheckpointFault::OtherInputs),
                at if (bytes.len() - 40..bytes.len() - 32).contains(&at) => {
                    matches!(fault, CheckpointFault::Cut)
                }
                _ => matches!(fault, CheckpointFault::Damaged),
            };
            assert!(is_right, "{at}: {fault}");
            assert!(read_checkpoint(&owner(), Cursor::new(&bytes[..at])).is_err());
        }
        let longer = [bytes.as_slice(), b"x"].concat();
        assert!(matches!(fault(&owner(), &longer), CheckpointFault::Cut));
    }

    #[test]
    fn another_run_and_another_solver_are_told_apart() {
        let bytes = written(b"state");
        let other = CheckpointOwner::new(4, b"{\"view\":\"slice\"}");
        assert!(matches!(
            fault(&other, &bytes),
            CheckpointFault::OtherInputs
        ));
        let words = fault(&CheckpointOwner::new(5, INPUTS), &bytes).to_string();
        assert!(words.contains("version 4") && words.contains("version 5"));
    }
}
