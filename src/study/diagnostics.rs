//! Collects the faults of a study.

use std::collections::BTreeSet;
use std::ops::Range;

use crate::study::fault::{FaultKind, StudyFault};
use crate::study::key::Key;
use crate::study::place::{FaultPlace, SourceText};
use crate::study::tree::FROM_FLAG;

/// A fault with the byte that orders it, and its place where that is another one.
#[derive(Debug)]
struct Finding {
    offset: usize,
    place: Option<FaultPlace>,
    kind: FaultKind,
}

/// The faults found so far.
#[derive(Debug)]
pub(super) struct Diagnostics<'a> {
    source: &'a SourceText,
    faults: Vec<Finding>,
    /// Keys that were meant by unknown ones, with the start of their table: they are not missing.
    expected: BTreeSet<(usize, &'static str)>,
}

impl<'a> Diagnostics<'a> {
    pub(super) fn new(source: &'a SourceText) -> Self {
        Self {
            source,
            faults: Vec::new(),
            expected: BTreeSet::new(),
        }
    }

    /// All faults in the order of the file.
    pub(super) fn into_faults(mut self) -> Vec<StudyFault> {
        self.faults.sort_by_key(|finding| finding.offset);
        let mut places = self.source.places();
        let mut faults: Vec<StudyFault> = Vec::with_capacity(self.faults.len());
        let (mut offset, mut first_here) = (0, 0);
        for finding in self.faults {
            if finding.offset != offset {
                (offset, first_here) = (finding.offset, faults.len());
            }
            let place = finding.place.unwrap_or_else(|| places.at(offset));
            let fault = StudyFault::new(place, finding.kind);
            // A series repeats the faults of the values that it shares.
            if !faults[first_here..].contains(&fault) {
                faults.push(fault);
            }
        }
        faults
    }

    /// Remembers that an unknown key of the table at this place was meant to be `key`.
    pub(super) fn expect(&mut self, table: &Range<usize>, key: &'static str) {
        self.expected.insert((table.start, key));
    }

    /// Whether one of the keys was meant in the table at this place: a second fault would only confuse.
    pub(super) fn expects(&self, table: &Range<usize>, keys: &[&'static str]) -> bool {
        let mut keys = keys.iter();
        keys.any(|key| self.expected.contains(&(table.start, *key)))
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
        self.note(span, None, kind);
    }

    /// Notes a fault that lies in another file, ordered by the place where this file names it.
    pub(super) fn report_elsewhere(
        &mut self,
        span: &Range<usize>,
        place: FaultPlace,
        kind: FaultKind,
    ) {
        self.note(span, Some(place), kind);
    }

    /// Notes a fault of the value of `key`, which may have come from a flag.
    pub(super) fn report_value(&mut self, key: &Key, span: &Range<usize>, kind: FaultKind) {
        let flag = || FaultPlace::Flag(key.flag.unwrap_or(key.name));
        self.note(span, (*span == FROM_FLAG).then(flag), kind);
    }

    fn note(&mut self, span: &Range<usize>, place: Option<FaultPlace>, kind: FaultKind) {
        let offset = span.start;
        self.faults.push(Finding {
            offset,
            place,
            kind,
        });
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
}
