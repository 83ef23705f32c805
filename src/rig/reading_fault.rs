//! What can be wrong with a file of readings.

use std::fmt;

use crate::rig::readings::COLUMNS;
use crate::rig::unit::Unit;

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
    /// A value that is no number, or beyond what is allowed.
    NotNumeric {
        /// Name of the column.
        name: &'static str,
        /// What stands there.
        value: String,
        /// The least and the largest that is allowed.
        allowed: [f64; 2],
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
    /// Every reading is zero.
    AllZero,
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
            Self::NotText => write!(formatter, "this is not UTF-8 text; save it as CSV"),
            Self::TooLong {
                found,
                what,
                allowed,
            } => write!(formatter, "{found} {what}, at most {allowed} are allowed"),
            Self::MissingColumn { name } => write!(
                formatter,
                "the column {name} is missing; the columns are {}",
                COLUMNS.join(", ")
            ),
            Self::DoubleColumn { name } => {
                write!(formatter, "the column {name} appears twice")
            }
            Self::UnknownColumn { name } => write!(
                formatter,
                "unknown column `{name}`; the columns are {}",
                COLUMNS.join(", ")
            ),
            Self::Unreadable { why } => write!(formatter, "this line cannot be read: {why}"),
            Self::NotNumeric {
                name,
                value,
                allowed: [least, most],
            } => write!(
                formatter,
                "{name} is `{value}`, allowed is a number from {least} to {most}; decimal commas need semicolons or tabs between the columns"
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
                "design is `{value}`, but the sealed prediction has {known}; the fan without a grille is called bare fan"
            ),
            Self::MixedQuantities { found: [a, b] } => write!(
                formatter,
                "{a} and {b} in one file; put each in a file of its own"
            ),
            Self::AllZero => write!(formatter, "every reading in this file is 0"),
            Self::NoReadings => write!(
                formatter,
                "no reading in this file yet: fill in value and unit"
            ),
        }
    }
}
