//! `--details`: which parts of a result follow the first screen.

use std::sync::LazyLock;

use clap::builder::PossibleValue;
use clap::{Args, ValueEnum};

use crate::report::details::Detail;

/// What may follow the first screen.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum DetailName {
    /// Everything.
    All,
    /// One part.
    One(Detail),
}

/// What can be asked for, in the order of the help.
static NAMES: LazyLock<Vec<DetailName>> = LazyLock::new(|| {
    let parts = Detail::ALL.map(DetailName::One);
    [DetailName::All].into_iter().chain(parts).collect()
});

impl ValueEnum for DetailName {
    fn value_variants<'a>() -> &'a [Self] {
        &NAMES
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        let (name, help) = match self {
            Self::All => ("all", "Everything below"),
            Self::One(detail) => (detail.name(), detail.meaning()),
        };
        Some(PossibleValue::new(name).help(help))
    }
}

/// The option of every command that shows the first screen.
#[derive(Debug, Clone, Args)]
pub struct DetailArgs {
    /// Show what stands behind the first screen: everything, or the parts named, separated by commas
    #[arg(long, value_name = "PARTS", value_enum, value_delimiter = ',', num_args = 0..=1, default_missing_value = "all")]
    pub details: Option<Vec<DetailName>>,
}

impl DetailArgs {
    /// The parts that were asked for.
    pub(super) fn parts(&self) -> Vec<Detail> {
        let names = self.details.as_deref().unwrap_or_default();
        let parts = names.iter().flat_map(|name| match name {
            DetailName::All => Detail::ALL.to_vec(),
            DetailName::One(detail) => vec![*detail],
        });
        parts.collect()
    }
}
