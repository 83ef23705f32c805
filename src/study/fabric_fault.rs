//! What can be wrong with a fabric of a study.

use crate::fabric::BenchError;

/// What is wrong with a fabric. Lengths are in mm.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FabricFault {
    /// Two fabrics of the same name.
    #[error("the name \"{name}\" is already used by another fabric in line {first_line}")]
    NameTwice {
        /// The name.
        name: String,
        /// Line of the first one.
        first_line: usize,
    },
    /// A knit that builds on a fabric which the study does not have, or which is no knit of its own.
    #[error("same_as is \"{base}\", but there is no fabric of that name that gives a thread")]
    UnknownBase {
        /// The name asked for.
        base: String,
        /// Knits that tell their thread.
        known: Vec<String>,
    },
    /// A panel of a fabric that the study does not have.
    #[error("fabric is \"{name}\", but there is no [[fabric]] of that name")]
    Unknown {
        /// The name asked for.
        name: String,
        /// The names that there are.
        known: Vec<String>,
    },
    /// Threads that leave nothing open.
    #[error(
        "the {what} of \"{fabric}\" take {taken:.3} mm of every {pitch:.3} mm {direction}: nothing is left open"
    )]
    Shut {
        /// The fabric.
        fabric: String,
        /// Loops, threads or wires.
        what: &'static str,
        /// Across, along or both ways.
        direction: &'static str,
        /// Width that they take in a pitch.
        taken: f64,
        /// The pitch.
        pitch: f64,
    },
    /// Holes of a sheet that run into each other.
    #[error("pitch_mm is {pitch}, but hole_mm is {hole}: the holes would run together")]
    HolesMeet {
        /// Distance of the holes.
        pitch: f64,
        /// Their diameter.
        hole: f64,
    },
    /// Readings that make no law.
    #[error("no pressure law follows from the readings of \"{fabric}\": {error}")]
    Readings {
        /// The fabric.
        fabric: String,
        /// Why not.
        error: BenchError,
    },
}

impl FabricFault {
    /// Fixed short code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::NameTwice { .. } => "fabric-name-twice",
            Self::UnknownBase { .. } => "unknown-fabric",
            Self::Unknown { .. } => "unknown-panel-fabric",
            Self::Shut { .. } => "fabric-shut",
            Self::HolesMeet { .. } => "fabric-holes-meet",
            Self::Readings { .. } => "fabric-readings",
        }
    }

    /// What to do about it, in one line.
    pub fn hint(&self) -> String {
        match self {
            Self::NameTwice { .. } => "give each fabric its own name".to_owned(),
            Self::UnknownBase { known, .. } if known.is_empty() => {
                "same_as is the name of a [[fabric]] with a table [fabric.knit] that gives denier and pitch".to_owned()
            }
            Self::Unknown { known, .. } if known.is_empty() => {
                "add a [[fabric]] of that name, or give k or point instead".to_owned()
            }
            Self::UnknownBase { known, .. } | Self::Unknown { known, .. } => format!("known here: {}", known.join(", ")),
            Self::Shut { what: "loops", .. } => {
                "check denier and pitches: pitches are from stitch to stitch, and each stitch has two legs of thread side by side".to_owned()
            }
            Self::Shut { .. } => "the pitch is from thread to thread and must be larger than the thread".to_owned(),
            Self::HolesMeet { .. } => {
                "pitch_mm is from the centre of one hole to the centre of the next".to_owned()
            }
            Self::Readings { error, .. } => match error {
                BenchError::OneVelocity { .. } => {
                    "add a reading at half or twice the air speed, or keep only one of them".to_owned()
                }
                _ => "give air speed or flow, and the pressure drop across the fabric, each above 0".to_owned(),
            },
        }
    }
}
