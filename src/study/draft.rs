//! A study file as read: well-formed TOML, not yet checked.

use std::ops::Range;

use toml::Spanned;
use toml::de::DeTable;

use crate::study::fault::{FaultKind, StudyFault};
use crate::study::key::Key;
use crate::study::place::{FaultPlace, SourceText};
use crate::study::run_table::{MEMORY, QUALITY, READY_BY, THREADS, TIME_BUDGET, TOLERANCE};
use crate::study::study_keys::{ALL_SERIES, GRILLES, RUN_TABLE};
use crate::study::table::{NAME, Table};
use crate::study::tree::{FROM_FLAG, Tree, Value};

/// Largest study file or fan curve that is read, in bytes.
pub const LARGEST_FILE_BYTES: u64 = 2_000_000;

/// A study file as read: well-formed TOML, but not yet checked.
///
/// Flags of the command line overwrite its fields before [`Draft::resolve`] checks everything at once.
#[derive(Debug, Clone)]
pub struct Draft {
    pub(super) source: SourceText,
    pub(super) tree: Tree,
}

impl Draft {
    /// Reads the TOML in `bytes`; `file_name` is what faults call the file.
    ///
    /// # Errors
    /// The first thing that keeps the file from being read: too large, not text, empty, not TOML.
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
        match DeTable::parse(text) {
            Ok(table) => {
                let tree = table.get_ref().into();
                Ok(Self { source, tree })
            }
            Err(error) => Err(syntax_fault(&source, &error)),
        }
    }

    /// Overwrites `run.quality`, as the flag `--quality` does.
    pub fn set_quality(&mut self, quality: &str) {
        self.set_in_run(&QUALITY, Value::Text(quality.to_owned()));
    }

    /// Overwrites `run.threads`, as the flag `--threads` does.
    pub fn set_threads(&mut self, threads: i64) {
        self.set_in_run(&THREADS, Value::Whole(threads));
    }

    /// Overwrites `run.memory_gb`, as the flag `--memory` does.
    pub fn set_memory_gb(&mut self, memory_gb: f64) {
        self.set_in_run(&MEMORY, Value::Number(memory_gb));
    }

    /// Overwrites `run.tolerance_percent`, as the flag `--tolerance` does.
    pub fn set_tolerance_percent(&mut self, tolerance_percent: f64) {
        self.set_in_run(&TOLERANCE, Value::Number(tolerance_percent));
    }

    /// Overwrites the time budget, as the flag `--hours` does; the quality of the file, meant for all at once, no longer counts.
    pub fn set_hours(&mut self, hours: f64) {
        self.set_budget(&TIME_BUDGET, Value::Number(hours));
    }

    /// The same for the flag `--ready-by`.
    pub fn set_ready_by(&mut self, clock: &str) {
        self.set_budget(&READY_BY, Value::Text(clock.to_owned()));
    }

    fn set_budget(&mut self, key: &Key, value: Value) {
        if let Some(run) = self.tree.table_mut(RUN_TABLE.name) {
            for key in [&TIME_BUDGET, &READY_BY, &QUALITY] {
                run.remove(key.name);
            }
        }
        self.set_in_run(key, value);
    }

    /// Where `run` is no table, that is a fault of its own.
    fn set_in_run(&mut self, key: &Key, value: Value) {
        if self.tree.get(RUN_TABLE.name).is_none() {
            let run = Spanned::new(0..0, Value::Table(Tree::default()));
            self.tree.set(RUN_TABLE.name, run);
        }
        if let Some(run) = self.tree.table_mut(RUN_TABLE.name) {
            run.set(key.name, Spanned::new(FROM_FLAG, value));
        }
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
        let top = Table::new("", 0..0, &self.tree);
        let mut grilles = top.tables(&GRILLES).into_iter();
        let named = grilles.find(|table| table.tree.text(NAME.name) == Some(grille));
        let place = named.or_else(|| top.tables(&ALL_SERIES).into_iter().next());
        place.map_or(0, |table| table.span.start)
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

/// What the TOML reader reports.
fn syntax_fault(source: &SourceText, error: &toml::de::Error) -> StudyFault {
    let span = error.span().unwrap_or(0..0);
    let message = error.message().lines().next().unwrap_or("");
    let kind = FaultKind::Syntax {
        message: message.to_owned(),
        has_decimal_comma: has_decimal_comma(source, &span),
        has_bad_escape: ["unicode", "escape"]
            .iter()
            .any(|word| message.contains(word)),
    };
    StudyFault::new(source.place(span.start), kind)
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
    fn a_bad_escape_is_told_with_its_place() {
        for text in [
            r#"curve = "C:\fans\unit.csv""#,
            r#"curve = "a\u12""#,
            r#"curve = "a\U00110000""#,
            r#"curve = "a\ud800""#,
            r#"curve = "a\qb""#,
        ] {
            let fault = Draft::parse(text.as_bytes(), "s.toml").unwrap_err();
            assert_eq!(fault.code(), "syntax");
            assert!(fault.place.to_string().starts_with("s.toml:1:1"));
            assert!(fault.kind.hint().contains("backslash"), "{fault}");
        }
        let other = Draft::parse(b"curve = \"a", "s.toml").unwrap_err();
        assert!(!other.kind.hint().contains("backslash"), "{other}");
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
