//! `--details`: which parts of a result follow the first screen.

use clap::{Args, ValueEnum};

use crate::report::details::Detail;

/// What may follow the first screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum DetailName {
    /// Everything below
    All,
    /// Every grille of a long ranking
    Table,
    /// Pairs too close to call, and what would decide between them
    Ties,
    /// Every turn against its straight twin
    Turns,
    /// Every grille with every fabric
    Fabrics,
    /// What each thing in the air's way takes
    AirPath,
    /// Angles of the air, static and total K, torque
    Swirl,
    /// The jet behind each grille, from the fan view
    Behind,
    /// Air speed across each opening
    Profile,
    /// What a vane meter would show
    Meter,
    /// How much the air warms
    Warming,
    /// What each number is uncertain by
    Doubts,
    /// How a time budget was spent
    Budget,
    /// Every warning
    Warnings,
    /// What columns and marks mean
    Definitions,
    /// Where the files are
    Files,
}

impl DetailName {
    /// The detail; `None` for all of them.
    pub(super) fn detail(self) -> Option<Detail> {
        Some(match self {
            Self::All => return None,
            Self::Table => Detail::Table,
            Self::Ties => Detail::Ties,
            Self::Turns => Detail::Turns,
            Self::Fabrics => Detail::Fabrics,
            Self::AirPath => Detail::AirPath,
            Self::Swirl => Detail::Swirl,
            Self::Behind => Detail::Behind,
            Self::Profile => Detail::Profile,
            Self::Meter => Detail::Meter,
            Self::Warming => Detail::Warming,
            Self::Doubts => Detail::Doubts,
            Self::Budget => Detail::Budget,
            Self::Warnings => Detail::Warnings,
            Self::Definitions => Detail::Definitions,
            Self::Files => Detail::Files,
        })
    }
}

/// The option of every command that shows the first screen.
#[derive(Debug, Clone, Args)]
pub struct DetailArgs {
    /// Show what stands behind the first screen: everything, or the parts named, separated by commas
    #[arg(long, value_name = "PARTS", value_enum, value_delimiter = ',', num_args = 0..=1, default_missing_value = "all")]
    pub details: Option<Vec<DetailName>>,
}
