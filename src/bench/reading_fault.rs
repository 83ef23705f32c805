//! What can be wrong with a file of readings.

use std::fmt;

use crate::bench::readings::{COLUMNS, Unit};

/// A fault of a file of readings.
#[derive(Debug, Clone, PartialEq)]
pub struct ReadingFault {
    /// Line, from 1; `None` for the file as a whole.
    pub line: Option<u64>,
    /// What is wrong.
    pub kind: ReadingFaultKind,
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq)]
#[non_exhaustive]
pub enum ReadingFaultKind {
    /// No text, or far too long.
    NotText,
    /// More than allowed.
    TooLong {
        /// How many.
        found: usize,
        /// Of what.
        what: &'static str,
        /// How many are allowed.
        allowed: usize,
    },
    /// A column that must be there is not.
    MissingColumn {
        /// Its name.
        name: &'static str,
    },
    /// A column twice.
    DoubleColumn {
        /// Its name.
        name: String,
    },
    /// A column that is not known.
    UnknownColumn {
        /// Its name.
        name: String,
    },
    /// A line that cannot be taken apart.
    Unreadable {
        /// Why.
        why: String,
    },
    /// A value that is no number, below zero or beyond all bounds.
    NotNumeric {
        /// Name of the column.
        name: &'static str,
        /// What stands there.
        value: String,
    },
    /// A time that is none.
    NotTime {
        /// What stands there.
        value: String,
    },
    /// A unit that is not known.
    UnknownUnit {
        /// What stands there.
        value: String,
    },
    /// A reading without a design.
    NoDesign,
    /// A design that was not sealed.
    UnknownDesign {
        /// What stands there.
        value: String,
        /// The names that were.
        known: String,
    },
    /// Flow, speed and per cent in one file.
    MixedQuantities {
        /// Two that do not go together.
        found: [&'static str; 2],
    },
    /// Nothing is filled in.
    NoReadings,
}

impl fmt::Display for ReadingFault {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        if let Some(line) = self.line {
            write!(formatter, "line {line}: ")?;
        }
        write!(formatter, "{}", self.kind)
    }
}

impl fmt::Display for ReadingFaultKind {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotText => write!(formatter, "this is no text in UTF-8; save it as CSV"),
            Self::TooLong {
                found,
                what,
                allowed,
            } => write!(formatter, "there are {found} {what}, allowed are {allowed}"),
            Self::MissingColumn { name } => write!(
                formatter,
                "the column {name} is missing; known are {}",
                COLUMNS.join(", ")
            ),
            Self::DoubleColumn { name } => {
                write!(formatter, "the column {name} stands there twice")
            }
            Self::UnknownColumn { name } => write!(
                formatter,
                "the column `{name}` is not known; known are {}",
                COLUMNS.join(", ")
            ),
            Self::Unreadable { why } => write!(formatter, "this line cannot be read: {why}"),
            Self::NotNumeric { name, value } => write!(
                formatter,
                "{name} is `{value}`, allowed is a number from 0 to a million; a comma is a decimal sign only where semicolons or tabs separate"
            ),
            Self::NotTime { value } => {
                write!(formatter, "time is `{value}`, allowed is 14:05 or 14:05:30")
            }
            Self::UnknownUnit { value } => write!(
                formatter,
                "unit is `{value}`, allowed are {}",
                Unit::ALL.map(Unit::word).join(", ")
            ),
            Self::NoDesign => write!(
                formatter,
                "design is empty; the fan without a grille is called bare fan"
            ),
            Self::UnknownDesign { value, known } => write!(
                formatter,
                "design is `{value}`, sealed were {known}; the fan without a grille is called bare fan"
            ),
            Self::MixedQuantities { found: [a, b] } => write!(
                formatter,
                "{a} and {b} in one file: they are not the same thing; give each a file of its own"
            ),
            Self::NoReadings => write!(
                formatter,
                "there is no reading in this file yet: fill in value and unit"
            ),
        }
    }
}
