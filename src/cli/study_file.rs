//! Reads a study and the files that it names from disk, with the flags that overwrite it.

use std::fs::{self, File};
use std::io::Read;
use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};
use clap::Args;

use crate::cli::Failure;
use crate::study::{Draft, LARGEST_FILE_BYTES, Study, too_large};

/// Arguments of every command that reads a study.
#[derive(Debug, Clone, Args)]
pub struct StudyArgs {
    /// The study file (TOML)
    #[arg(value_name = "FILE")]
    pub file: PathBuf,
    /// How thorough the runs are: quick, standard or overnight
    #[arg(long, value_name = "WORD")]
    pub quality: Option<String>,
    /// Number of threads; 0 uses all processors
    #[arg(long, value_name = "NUMBER", allow_negative_numbers = true)]
    pub threads: Option<i64>,
    /// Memory in GB for all runs together; 0 allows three quarters of what is free
    #[arg(long, value_name = "GB", allow_negative_numbers = true)]
    pub memory: Option<f64>,
    /// Stop a run only when its K is known to this many per cent; without it a run also stops where the grid or the view is the larger uncertainty
    #[arg(long, value_name = "PERCENT", allow_negative_numbers = true)]
    pub tolerance: Option<f64>,
    /// Time limit for everything: all grilles quickly first, then the close calls near the top as thoroughly as it allows
    #[arg(
        long,
        value_name = "HOURS",
        allow_negative_numbers = true,
        conflicts_with = "ready_by"
    )]
    pub hours: Option<f64>,
    /// The same, as a time of day by which to be ready, such as 07:00
    #[arg(long, value_name = "CLOCK")]
    pub ready_by: Option<String>,
}

/// A study as it came from disk: checked, and the draft that knows where things stand in the file.
#[derive(Debug)]
pub struct StudyOnDisk {
    /// The file as read, for faults that are found later.
    pub draft: Draft,
    /// The study.
    pub study: Study,
}

impl StudyArgs {
    /// Reads and checks the study and the fan curve that it names.
    ///
    /// # Errors
    /// [`Failure::Wrong`] if the file cannot be read, [`Failure::Study`] with every fault.
    pub fn read(&self) -> Result<StudyOnDisk, Failure> {
        let file_name = self.file.display().to_string();
        let bytes = read_limited(&self.file)
            .with_context(|| format!("reading {file_name}"))
            .map_err(Failure::Wrong)?;
        let bytes = match bytes {
            Content::Whole(bytes) => bytes,
            Content::TooLarge(size) => return Err(too_large(&file_name, size).into()),
        };
        let mut draft = Draft::parse(&bytes, &file_name)?;
        if let Some(hours) = self.hours {
            draft.set_hours(hours);
        }
        if let Some(clock) = &self.ready_by {
            draft.set_ready_by(clock);
        }
        // After a budget, for which it is the deepest.
        if let Some(quality) = &self.quality {
            draft.set_quality(quality);
        }
        if let Some(threads) = self.threads {
            draft.set_threads(threads);
        }
        if let Some(memory) = self.memory {
            draft.set_memory_gb(memory);
        }
        if let Some(tolerance) = self.tolerance {
            draft.set_tolerance_percent(tolerance);
        }
        let folder = self.file.parent().unwrap_or(Path::new(""));
        let mut read_named = |path: &str| match read_limited(&folder.join(path)) {
            Ok(Content::Whole(bytes)) => Ok(bytes),
            Ok(Content::TooLarge(size)) => Err(format!(
                "it is {size} bytes long; the limit is {LARGEST_FILE_BYTES}"
            )),
            Err(error) => Err(error.to_string()),
        };
        let study = draft.resolve(&mut read_named).map_err(Failure::Study)?;
        Ok(StudyOnDisk { draft, study })
    }
}

enum Content {
    Whole(Vec<u8>),
    TooLarge(u64),
}

/// Reads a file unless it is larger than any study or curve; never holds more than that in memory.
fn read_limited(path: &Path) -> anyhow::Result<Content> {
    let metadata = fs::metadata(path).map_err(|error| in_words(&error))?;
    if metadata.is_dir() {
        return Err(anyhow!("it is a folder"));
    }
    if metadata.len() > LARGEST_FILE_BYTES {
        return Ok(Content::TooLarge(metadata.len()));
    }
    let file = File::open(path).map_err(|error| in_words(&error))?;
    let mut bytes = Vec::new();
    // Pipes and devices have no length: stop one byte beyond the limit.
    file.take(LARGEST_FILE_BYTES + 1).read_to_end(&mut bytes)?;
    let size = bytes.len() as u64;
    Ok(if size > LARGEST_FILE_BYTES {
        Content::TooLarge(size)
    } else {
        Content::Whole(bytes)
    })
}

/// The usual reasons in the same words on every system.
fn in_words(error: &std::io::Error) -> anyhow::Error {
    match error.kind() {
        std::io::ErrorKind::NotFound => anyhow!("there is no such file"),
        std::io::ErrorKind::PermissionDenied => anyhow!("reading it is not permitted"),
        _ => anyhow!("{error}"),
    }
}
