//! Reads a study and the files that it names from disk, with the flags that overwrite it.

use std::path::{Path, PathBuf};

use anyhow::anyhow;
use clap::Args;

use crate::cli::Failure;
use crate::cli::plain_file::{Unread, plain_bytes};
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
    /// The study in a file as it stands there, without flags.
    pub(super) fn plain(file: &Path) -> Self {
        Self {
            file: file.to_owned(),
            quality: None,
            threads: None,
            memory: None,
            tolerance: None,
            hours: None,
            ready_by: None,
        }
    }

    /// Reads and checks the study and the fan curve that it names.
    ///
    /// # Errors
    /// [`Failure::Wrong`] if the file cannot be read, [`Failure::Study`] with every fault.
    pub fn read(&self) -> Result<StudyOnDisk, Failure> {
        let file_name = self.file.display().to_string();
        let bytes = match plain_bytes(&self.file, LARGEST_FILE_BYTES) {
            Ok(bytes) => bytes,
            Err(Unread::TooLarge { size, .. }) => return Err(too_large(&file_name, size).into()),
            Err(why) => {
                let context = format!("reading {file_name}");
                return Err(Failure::Wrong(anyhow!(why).context(context)));
            }
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
        let mut read_named = |path: &str| {
            plain_bytes(&folder.join(path), LARGEST_FILE_BYTES).map_err(|why| why.to_string())
        };
        let study = draft.resolve(&mut read_named).map_err(Failure::Study)?;
        Ok(StudyOnDisk { draft, study })
    }
}
