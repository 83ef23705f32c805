//! What can be wrong with the points of a fan curve, and what to do about it.

use thiserror::Error;

use crate::units::figure;

/// Largest flow that a point may have, m³/s.
pub const LARGEST_FLOW: f64 = 10.0;

/// Largest pressure that a point may have, Pa.
pub const LARGEST_PRESSURE: f64 = 10_000.0;

/// Largest number of points of a curve.
pub const MOST_POINTS: usize = 2000;

/// Largest length of a curve's text, bytes: look at the size of a file before reading it.
pub const LONGEST_TEXT: usize = 1 << 20;

/// Columns that a curve's file may have, for messages.
const COLUMN_NAMES: &str =
    "flow_m3_per_h or flow_cfm and pressure_pa or pressure_mmh2o, separated by a comma";

/// One fault of a fan curve: where it is, and what.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("{place}{kind}")]
pub struct CurveFault {
    /// Where.
    pub place: CurvePlace,
    /// What.
    pub kind: CurveFaultKind,
}

/// Where a fault is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum CurvePlace {
    /// The curve as a whole.
    Whole,
    /// A place in a text, both counted from 1; `column` counts characters.
    Text {
        /// Line of the text.
        line: usize,
        /// First character of the value.
        column: usize,
    },
    /// The number of a point, from 1, of a curve that was not given as text.
    Point(usize),
}

impl std::fmt::Display for CurvePlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Whole => Ok(()),
            Self::Text { line, column } => write!(f, "line {line}, column {column}: "),
            Self::Point(number) => write!(f, "point {number}: "),
        }
    }
}

/// What is wrong.
#[derive(Debug, Clone, PartialEq, Error)]
#[non_exhaustive]
pub enum CurveFaultKind {
    /// No line with anything but comments, or no points.
    #[error("the fan curve is empty")]
    Empty,
    /// Bytes that are no text.
    #[error("the fan curve is not a text file")]
    NotText,
    /// Longer than [`LONGEST_TEXT`], or more points than [`MOST_POINTS`].
    #[error("the fan curve has {found} {what}; the limit is {allowed}")]
    TooLong {
        /// How many there are.
        found: usize,
        /// Of what: "bytes" or "points".
        what: &'static str,
        /// How many there may be.
        allowed: usize,
    },
    /// Columns are separated by something else than a comma.
    #[error("columns are separated by `{separator}`, but must be separated by a comma")]
    Separator {
        /// The character that was found.
        separator: char,
    },
    /// A comma stands in place of a decimal point.
    #[error("`{value}` looks like numbers with decimal commas")]
    DecimalComma {
        /// The value or line.
        value: String,
    },
    /// The first line holds numbers instead of names.
    #[error("the first line is `{value}`, but it must name the columns")]
    NoHeader {
        /// The line.
        value: String,
    },
    /// A column that is not known.
    #[error("unknown column `{value}`: use {COLUMN_NAMES}")]
    UnknownColumn {
        /// Its name.
        value: String,
    },
    /// A column that should be there.
    #[error("there is no column for the {what}: use {COLUMN_NAMES}")]
    MissingColumn {
        /// "flow" or "pressure".
        what: &'static str,
    },
    /// Two columns for the same quantity.
    #[error("column `{value}` gives the {what} again")]
    DoubleColumn {
        /// Its name.
        value: String,
        /// "flow" or "pressure".
        what: &'static str,
    },
    /// A line with too few or too many values.
    #[error("values in this line: {found}, columns: {expected}")]
    FieldCount {
        /// Values in the line.
        found: usize,
        /// Columns in the first line.
        expected: usize,
    },
    /// A value that is no number.
    #[error("{name} is `{value}`, which is not a number")]
    NotNumeric {
        /// Name of the column.
        name: &'static str,
        /// The value.
        value: String,
    },
    /// Not a number, or infinite.
    #[error("{name} is {value}, but must be finite")]
    NotFinite {
        /// Name of the column.
        name: &'static str,
        /// The value.
        value: String,
    },
    /// Below zero.
    #[error("{name} is {}, but must not be negative", figure(*value))]
    Negative {
        /// Name of the column.
        name: &'static str,
        /// The value.
        value: f64,
    },
    /// Far above what any fan of a PC does.
    #[error("{name} is {}, but must be between 0 and {largest}", figure(*value))]
    TooLarge {
        /// Name of the column.
        name: &'static str,
        /// The value.
        value: f64,
        /// Largest value in the same unit.
        largest: f64,
    },
    /// The same flow twice.
    #[error("{name} is {} again", figure(*value))]
    DuplicateFlow {
        /// Name of the column.
        name: &'static str,
        /// The value.
        value: f64,
    },
    /// One point is no curve.
    #[error("the fan curve has only one point, but at least two are needed")]
    OnePoint,
    /// The fan makes no pressure at all.
    #[error("the fan curve makes no pressure at any flow")]
    NoPressure,
    /// Pressure at no flow but the smallest.
    #[error("the only flow in the fan curve is {value}, which is no flow at all")]
    NoFlow {
        /// Largest flow of the curve.
        value: f64,
    },
}

impl CurveFault {
    /// Fixed short code.
    pub fn code(&self) -> &'static str {
        match self.kind {
            CurveFaultKind::Empty => "curve-empty",
            CurveFaultKind::NotText => "curve-not-text",
            CurveFaultKind::TooLong { .. } => "curve-too-long",
            CurveFaultKind::Separator { .. } => "curve-separator",
            CurveFaultKind::DecimalComma { .. } => "curve-decimal-comma",
            CurveFaultKind::NoHeader { .. } => "curve-no-header",
            CurveFaultKind::UnknownColumn { .. } => "curve-unknown-column",
            CurveFaultKind::MissingColumn { .. } => "curve-missing-column",
            CurveFaultKind::DoubleColumn { .. } => "curve-double-column",
            CurveFaultKind::FieldCount { .. } => "curve-field-count",
            CurveFaultKind::NotNumeric { .. } => "curve-not-numeric",
            CurveFaultKind::NotFinite { .. } => "curve-not-finite",
            CurveFaultKind::Negative { .. } => "curve-negative",
            CurveFaultKind::TooLarge { .. } => "curve-too-large",
            CurveFaultKind::DuplicateFlow { .. } => "curve-duplicate-flow",
            CurveFaultKind::OnePoint => "curve-one-point",
            CurveFaultKind::NoPressure => "curve-no-pressure",
            CurveFaultKind::NoFlow { .. } => "curve-no-flow",
        }
    }

    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self.kind {
            CurveFaultKind::Empty => {
                "write a line with the names of the columns, then one line for each point"
            }
            CurveFaultKind::NotText => {
                "save the table as CSV in plain text (UTF-8), not as a spreadsheet"
            }
            CurveFaultKind::TooLong { .. } => {
                "ten to twenty points are enough for a fan curve: check that this is the right file"
            }
            CurveFaultKind::Separator { .. } => {
                "export with commas between the columns and decimal points in the numbers"
            }
            CurveFaultKind::DecimalComma { .. } => {
                "write 12.5, not 12,5; commas only separate the columns"
            }
            CurveFaultKind::NoHeader { .. }
            | CurveFaultKind::UnknownColumn { .. }
            | CurveFaultKind::MissingColumn { .. } => {
                "write a first line such as flow_m3_per_h,pressure_pa"
            }
            CurveFaultKind::DoubleColumn { .. } => "keep one of the two",
            CurveFaultKind::FieldCount { .. } => "give one value for each column in every line",
            CurveFaultKind::NotNumeric { .. } | CurveFaultKind::NotFinite { .. } => {
                "write a plain number such as 12.5, without unit; put # in front of lines that are comments"
            }
            CurveFaultKind::Negative { .. } => {
                "leave out points at which other fans push air through this one"
            }
            CurveFaultKind::TooLarge { .. } => "check the unit in the column name",
            CurveFaultKind::DuplicateFlow { .. } => {
                "keep one point for each flow (a fan has only one pressure at each flow)"
            }
            CurveFaultKind::OnePoint => {
                "add points, or give the two numbers on the box: free flow and shut-off pressure"
            }
            CurveFaultKind::NoPressure | CurveFaultKind::NoFlow { .. } => {
                "check that both columns hold the values of the data sheet"
            }
        }
    }
}
