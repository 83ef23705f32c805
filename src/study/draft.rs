//! A study file as read: well-formed and without unknown keys, not yet checked.

use std::ops::Range;

use toml::Spanned;

use crate::study::fault::{FaultKind, StudyFault};
use crate::study::file::{RunTable, StudyFile};
use crate::study::findings::FROM_FLAG;
use crate::study::place::{FaultPlace, SourceText};

/// Largest study file or fan curve that is read, in bytes.
pub const LARGEST_FILE_BYTES: u64 = 2_000_000;

/// A study file as read: well-formed and without unknown keys, but not yet checked.
///
/// Flags of the command line overwrite its fields before [`Draft::resolve`] checks everything at once.
#[derive(Debug, Clone)]
pub struct Draft {
    pub(super) source: SourceText,
    pub(super) file: StudyFile,
}

impl Draft {
    /// Reads the TOML in `bytes`; `file_name` is what faults call the file.
    ///
    /// # Errors
    /// The first thing that keeps the file from being read: too large, not text, empty, not TOML, a wrong type, an unknown key.
    pub fn parse(bytes: &[u8], file_name: &str) -> Result<Self, StudyFault> {
        let whole_file = |kind| {
            let file = file_name.to_owned();
            StudyFault::new(FaultPlace::WholeFile { file }, kind)
        };
        if bytes.len() as u64 > LARGEST_FILE_BYTES {
            return Err(too_large(file_name, bytes.len() as u64));
        }
        let text = match std::str::from_utf8(bytes) {
            Ok(text) => text.strip_prefix('\u{feff}').unwrap_or(text),
            Err(error) => {
                let offset = error.valid_up_to();
                return Err(whole_file(FaultKind::NotText { offset }));
            }
        };
        if let Some(offset) = text.find('\0') {
            return Err(whole_file(FaultKind::NotText { offset }));
        }
        if text.trim().is_empty() {
            return Err(whole_file(FaultKind::Empty));
        }
        let source = SourceText {
            file: file_name.to_owned(),
            text: text.to_owned(),
        };
        match toml::from_str::<StudyFile>(text) {
            Ok(file) => Ok(Self { source, file }),
            Err(error) => Err(read_fault(&source, &error)),
        }
    }

    /// Overwrites `run.quality`, as the flag `--quality` does.
    pub fn set_quality(&mut self, quality: &str) {
        self.run_table().quality = Some(Spanned::new(FROM_FLAG, quality.to_owned()));
    }

    /// Overwrites `run.threads`, as the flag `--threads` does.
    pub fn set_threads(&mut self, threads: i64) {
        self.run_table().threads = Some(Spanned::new(FROM_FLAG, threads));
    }

    /// Overwrites `run.memory_gb`, as the flag `--memory` does.
    pub fn set_memory_gb(&mut self, memory_gb: f64) {
        self.run_table().memory_gb = Some(Spanned::new(FROM_FLAG, memory_gb));
    }

    /// Overwrites `run.tolerance_percent`, as the flag `--tolerance` does.
    pub fn set_tolerance_percent(&mut self, tolerance_percent: f64) {
        self.run_table().tolerance_percent = Some(Spanned::new(FROM_FLAG, tolerance_percent));
    }

    /// Overwrites the time budget, as the flag `--hours` does; the quality of the file, meant for all at once, no longer counts.
    pub fn set_hours(&mut self, hours: f64) {
        let run = self.run_table();
        run.time_budget_h = Some(Spanned::new(FROM_FLAG, hours));
        run.ready_by = None;
        run.quality = None;
    }

    /// The same for the flag `--ready-by`.
    pub fn set_ready_by(&mut self, clock: &str) {
        let run = self.run_table();
        run.ready_by = Some(Spanned::new(FROM_FLAG, clock.to_owned()));
        run.time_budget_h = None;
        run.quality = None;
    }

    /// The fault "this grille needs more cells than the memory holds", at the place of the grille.
    ///
    /// Only `run` knows how many cells a grille needs, and only this file knows where it stands.
    pub fn too_many_cells(
        &self,
        grille: &str,
        cells: f64,
        memory_bytes: f64,
        limit_bytes: f64,
    ) -> StudyFault {
        let kind = FaultKind::TooManyCells {
            grille: grille.to_owned(),
            cells,
            memory_bytes,
            limit_bytes,
        };
        StudyFault::new(self.source.place(self.grille_offset(grille)), kind)
    }

    /// Where the grille, or else the first series, begins.
    fn grille_offset(&self, grille: &str) -> usize {
        let named = self.file.grille.iter().find(|table| {
            let name = table.get_ref().name.as_ref();
            name.is_some_and(|name| name.get_ref().trim() == grille)
        });
        match (named, self.file.series.first()) {
            (Some(table), _) => table.span().start,
            (None, Some(series)) => series.span().start,
            (None, None) => 0,
        }
    }

    fn run_table(&mut self) -> &mut RunTable {
        self.file
            .run
            .get_or_insert_with(|| Spanned::new(0..0, RunTable::default()))
            .as_mut()
    }
}

/// The fault of a file that is too large to be read; whoever opens files checks this before reading.
pub fn too_large(file_name: &str, bytes: u64) -> StudyFault {
    let file = file_name.to_owned();
    let kind = FaultKind::TooLarge {
        bytes,
        limit: LARGEST_FILE_BYTES,
    };
    StudyFault::new(FaultPlace::WholeFile { file }, kind)
}

/// Sorts what the TOML reader reports into syntax, wrong type and unknown key.
fn read_fault(source: &SourceText, error: &toml::de::Error) -> StudyFault {
    let span = error.span().unwrap_or(0..0);
    let message = error.message().lines().next().unwrap_or("").to_owned();
    let kind = if let Some(rest) = message.strip_prefix("unknown field ") {
        let mut names = rest.split('`').skip(1).step_by(2).map(str::to_owned);
        FaultKind::UnknownKey {
            key: names.next().unwrap_or_default(),
            known: names.collect(),
        }
    } else if message.starts_with("invalid type") || message.starts_with("invalid value") {
        FaultKind::WrongType {
            key: source.key_before(&span),
            message: type_in_words(&message),
        }
    } else {
        FaultKind::Syntax {
            has_decimal_comma: has_decimal_comma(source, &span),
            message,
        }
    };
    StudyFault::new(source.place(span.start), kind)
}

/// The reader's sentence about types, in a maker's words.
fn type_in_words(message: &str) -> String {
    message
        .trim_start_matches("invalid type: ")
        .trim_start_matches("invalid value: ")
        .replace("string \"", "the text \"")
        .replace("floating point `", "number `")
        .replace("integer `", "whole number `")
        .replace("expected f64", "expected a number")
        .replace("expected i64", "expected a whole number")
        .replace("expected a string", "expected a word in quotation marks")
        .replace("expected a boolean", "expected true or false")
        .replace("expected a sequence", "expected a list in [ ]")
        .replace('`', "")
}

/// Whether the value in this line is a number with a comma where the point should be.
fn has_decimal_comma(source: &SourceText, span: &Range<usize>) -> bool {
    let Some((_, value)) = source.line_text(span).split_once('=') else {
        return false;
    };
    let value = value.trim_start().trim_start_matches(['+', '-']);
    value.split_once(',').is_some_and(|(whole, decimals)| {
        !whole.is_empty()
            && whole.bytes().all(|byte| byte.is_ascii_digit())
            && decimals
                .bytes()
                .next()
                .is_some_and(|byte| byte.is_ascii_digit())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_grille_of_too_many_cells_is_named_with_its_place_and_the_memory() {
        let text = "format = 1\n[[grille]]\nname = \"a\"\n[[grille]]\nname = \"b\"\n[[series]]\nbase = \"a\"\n";
        let draft = Draft::parse(text.as_bytes(), "s.toml").unwrap();
        let fault = draft.too_many_cells("b", 1e12, 8e13, 1.6e10);
        assert_eq!(
            fault.to_string().lines().next().unwrap(),
            "s.toml:4:1: grille \"b\" needs 1.00e12 cells, which take 80.0 TB of memory; the limit is 16.0 GB [too-many-cells]"
        );
        let of_series = draft.too_many_cells("a, rib 2", 1e12, 8e13, 1.6e10);
        assert_eq!(of_series.place.to_string(), "s.toml:6:1");
    }

    #[test]
    fn decimal_commas_are_told_from_lists() {
        let is_comma = |text: &str| {
            let fault = Draft::parse(text.as_bytes(), "s.toml").unwrap_err();
            matches!(*fault.kind, FaultKind::Syntax { has_decimal_comma, .. } if has_decimal_comma)
        };
        assert!(is_comma("format = 1,0"));
        assert!(is_comma("format = -1,5 # half"));
        assert!(!is_comma("format = [1,2"));
        assert!(!is_comma("format = \"1,2"));
    }
}
