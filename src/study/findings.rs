//! Collects the faults of a study, and the checks that every value goes through.

use std::ops::Range;

use toml::Spanned;

use crate::study::fault::{FaultKind, StudyFault};
use crate::study::file::{Count, Number, Word};
use crate::study::limits::Limits;
use crate::study::place::{FaultPlace, SourceText};

/// Place of a value that stands in no file but came from a flag.
pub(super) const FROM_FLAG: Range<usize> = usize::MAX..usize::MAX;

/// A table of the file: what its header reads and where it stands.
#[derive(Debug, Clone)]
pub(super) struct Table {
    pub(super) name: &'static str,
    pub(super) span: Range<usize>,
}

impl Table {
    pub(super) fn new<T>(name: &'static str, table: &Spanned<T>) -> Self {
        let span = table.span();
        Self { name, span }
    }
}

/// The faults found so far.
#[derive(Debug)]
pub(super) struct Findings<'a> {
    source: &'a SourceText,
    faults: Vec<(usize, StudyFault)>,
}

impl<'a> Findings<'a> {
    pub(super) fn new(source: &'a SourceText) -> Self {
        Self {
            source,
            faults: Vec::new(),
        }
    }

    /// All faults in the order of the file.
    pub(super) fn into_faults(mut self) -> Vec<StudyFault> {
        self.faults.sort_by_key(|(offset, _)| *offset);
        let mut faults: Vec<StudyFault> = Vec::with_capacity(self.faults.len());
        for (_, fault) in self.faults {
            // A series repeats the faults of the values that it shares.
            if !faults.contains(&fault) {
                faults.push(fault);
            }
        }
        faults
    }

    /// How many faults there are so far.
    pub(super) fn count(&self) -> usize {
        self.faults.len()
    }

    /// Line of a place in the file.
    pub(super) fn line(&self, span: &Range<usize>) -> usize {
        self.source.line(span.start)
    }

    /// The name of a file that this one names by its path from its own folder.
    pub(super) fn name_beside(&self, path: &str) -> String {
        self.source.name_beside(path)
    }

    /// Notes a fault at a place in the file.
    pub(super) fn report(&mut self, span: &Range<usize>, kind: FaultKind) {
        let place = self.source.place(span.start);
        self.faults.push((span.start, StudyFault::new(place, kind)));
    }

    /// Notes a fault that lies in another file, ordered by the place where this file names it.
    pub(super) fn report_elsewhere(&mut self, span: &Range<usize>, fault: StudyFault) {
        self.faults.push((span.start, fault));
    }

    /// Notes a fault of the value of `key`, which may have come from a flag.
    pub(super) fn report_value(&mut self, key: &'static str, span: &Range<usize>, kind: FaultKind) {
        if *span != FROM_FLAG {
            return self.report(span, kind);
        }
        let place = FaultPlace::Flag(match key {
            "quality" => "--quality",
            "threads" => "--threads",
            "memory_gb" => "--memory",
            "tolerance_percent" => "--tolerance",
            "time_budget_h" => "--hours",
            "ready_by" => "--ready-by",
            other => other,
        });
        self.faults.push((span.start, StudyFault::new(place, kind)));
    }

    /// Notes that a key without default is absent.
    pub(super) fn missing(&mut self, table: &Table, key: &'static str, hint: &'static str) {
        let kind = FaultKind::Missing {
            table: table.name,
            key,
            hint,
        };
        self.report(&table.span, kind);
    }

    /// The number, if it is finite and in its range.
    pub(super) fn number(
        &mut self,
        key: &'static str,
        value: &Spanned<f64>,
        limits: &Limits,
    ) -> Option<f64> {
        let number = *value.get_ref();
        let kind = if !number.is_finite() {
            FaultKind::NotFinite { key, value: number }
        } else if !limits.includes(number) {
            FaultKind::OutOfRange {
                key,
                value: number,
                low: limits.low,
                high: limits.high,
                unit: limits.unit,
                hint: limits.hint,
            }
        } else {
            return Some(number + 0.0);
        };
        self.report_value(key, &value.span(), kind);
        None
    }

    /// The number, or the default if it is absent. `None` only after a fault.
    pub(super) fn number_or(
        &mut self,
        key: &'static str,
        value: &Number,
        limits: &Limits,
        default: f64,
    ) -> Option<f64> {
        match value {
            Some(value) => self.number(key, value, limits),
            None => Some(default),
        }
    }

    /// The number that has no default. `None` only after a fault.
    pub(super) fn required_number(
        &mut self,
        table: &Table,
        key: &'static str,
        value: &Number,
        limits: &Limits,
    ) -> Option<f64> {
        if value.is_none() {
            self.missing(table, key, limits.hint);
        }
        value
            .as_ref()
            .and_then(|value| self.number(key, value, limits))
    }

    /// The whole number, if it is in its range.
    pub(super) fn whole(
        &mut self,
        key: &'static str,
        value: &Spanned<i64>,
        limits: &Limits,
    ) -> Option<u32> {
        let as_number = Spanned::new(value.span(), *value.get_ref() as f64);
        self.number(key, &as_number, limits)?;
        u32::try_from(*value.get_ref()).ok()
    }

    /// The whole number, or the default if it is absent. `None` only after a fault.
    pub(super) fn whole_or(
        &mut self,
        key: &'static str,
        value: &Count,
        limits: &Limits,
        default: u32,
    ) -> Option<u32> {
        match value {
            Some(value) => self.whole(key, value, limits),
            None => Some(default),
        }
    }

    /// The whole number that has no default. `None` only after a fault.
    pub(super) fn required_whole(
        &mut self,
        table: &Table,
        key: &'static str,
        value: &Count,
        limits: &Limits,
    ) -> Option<u32> {
        if value.is_none() {
            self.missing(table, key, limits.hint);
        }
        value
            .as_ref()
            .and_then(|value| self.whole(key, value, limits))
    }

    /// What the word stands for, or the default if it is absent. `None` only after a fault.
    pub(super) fn word_or<T: Copy>(
        &mut self,
        key: &'static str,
        value: &Word,
        meanings: &[(&'static str, T)],
        default: T,
    ) -> Option<T> {
        let Some(value) = value else {
            return Some(default);
        };
        let known = meanings.iter().find(|(word, _)| word == value.get_ref());
        if known.is_none() {
            let kind = FaultKind::UnknownWord {
                key,
                value: shown(value.get_ref()),
                allowed: meanings.iter().map(|(word, _)| *word).collect(),
            };
            self.report_value(key, &value.span(), kind);
        }
        known.map(|(_, meaning)| *meaning)
    }

    /// What the word that has no default stands for. `None` only after a fault.
    pub(super) fn required_word<T: Copy>(
        &mut self,
        table: &Table,
        key: &'static str,
        value: &Word,
        meanings: &[(&'static str, T)],
        hint: &'static str,
    ) -> Option<T> {
        if value.is_none() {
            self.missing(table, key, hint);
            return None;
        }
        self.word_or(key, value, meanings, meanings.first()?.1)
    }

    /// A name: one line of 1 to 80 characters without spaces at its ends.
    pub(super) fn name(&mut self, table: &Table, value: &Word) -> Option<String> {
        let Some(value) = value else {
            self.missing(
                table,
                "name",
                "give it a name that you recognise in the ranking",
            );
            return None;
        };
        let name = value.get_ref().trim();
        let reason = if name.is_empty() {
            "is empty"
        } else if name.chars().count() > 80 {
            "is longer than 80 characters"
        } else if name.chars().any(char::is_control) {
            "has line breaks or control characters"
        } else {
            return Some(name.to_owned());
        };
        let name = shown(name);
        self.report(&value.span(), FaultKind::BadName { name, reason });
        None
    }

    /// Of keys that exclude each other: the one that is there. Reports every further one.
    pub(super) fn at_most_one(
        &mut self,
        keys: &[(&'static str, Option<Range<usize>>)],
    ) -> Option<&'static str> {
        let mut there: Vec<(&'static str, &Range<usize>)> = keys
            .iter()
            .filter_map(|(key, span)| span.as_ref().map(|span| (*key, span)))
            .collect();
        there.sort_by_key(|(_, span)| span.start);
        let (first, rest) = there.split_first()?;
        for (key, span) in rest {
            let kind = FaultKind::Excludes {
                key,
                other: first.0,
            };
            self.report(span, kind);
        }
        Some(first.0)
    }

    /// The same, and one of them must be there.
    pub(super) fn exactly_one(
        &mut self,
        table: &Table,
        keys: &[(&'static str, Option<Range<usize>>)],
    ) -> Option<&'static str> {
        let found = self.at_most_one(keys);
        if found.is_none() {
            let kind = FaultKind::NeedsOneOf {
                table: table.name,
                keys: keys.iter().map(|(key, _)| *key).collect(),
            };
            self.report(&table.span, kind);
        }
        found
    }
}

/// Place of a value, if it is there.
pub(super) fn span_of<T>(value: Option<&Spanned<T>>) -> Option<Range<usize>> {
    value.map(Spanned::span)
}

/// A text as a message may show it: short, without control characters.
fn shown(text: &str) -> String {
    let text: String = text
        .chars()
        .map(|c| if c.is_control() { ' ' } else { c })
        .collect();
    if text.chars().count() <= 60 {
        return text;
    }
    text.chars().take(57).chain("...".chars()).collect()
}
