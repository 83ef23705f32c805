//! `check --details`: which parts of its text are shown.

use clap::{Args, ValueEnum};

/// A part of the text of `check`.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum CheckPart {
    /// Everything below
    All,
    /// Fan, place and air
    Study,
    /// One line for each grille
    Table,
    /// What follows from the drawing of each grille
    Grilles,
    /// A sheet for each fabric
    Fabrics,
    /// Grilles that turn and have no straight twin
    Twins,
    /// What `run` would do, with the runs of each grille
    Runs,
    /// What to mind
    Cautions,
}

/// Most grilles of which everything is shown unless parts are named: beyond, the first screen has to do.
const MOST_WHOLE: usize = 12;

/// The option.
#[derive(Debug, Clone, Args)]
pub struct CheckDetailArgs {
    /// Show these parts, separated by commas; of more than twelve grilles they follow a first screen that else stands alone
    #[arg(long, value_name = "PARTS", value_enum, value_delimiter = ',', num_args = 0..=1, default_missing_value = "all")]
    pub details: Option<Vec<CheckPart>>,
}

/// What is shown of a study.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Shown {
    /// Whether a first screen goes before the parts.
    pub(super) has_screen: bool,
    parts: Vec<CheckPart>,
}

impl CheckDetailArgs {
    /// What is shown of a study with so many grilles.
    pub(super) fn shown(&self, grille_count: usize) -> Shown {
        let has_screen = grille_count > MOST_WHOLE;
        let parts = match &self.details {
            Some(parts) => parts.clone(),
            None if has_screen => Vec::new(),
            None => vec![CheckPart::All],
        };
        Shown { has_screen, parts }
    }
}

impl Shown {
    /// Whether there is anything beyond the first screen.
    pub(super) fn has_parts(&self) -> bool {
        !self.parts.is_empty()
    }

    /// Whether a part is among them.
    pub(super) fn has(&self, part: CheckPart) -> bool {
        self.parts.contains(&part) || self.parts.contains(&CheckPart::All)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_short_study_is_shown_whole_and_of_a_long_one_what_is_named() {
        let asked = |details: Option<&[CheckPart]>| CheckDetailArgs {
            details: details.map(<[CheckPart]>::to_vec),
        };
        let short = asked(None).shown(12);
        assert!(!short.has_screen && short.has(CheckPart::Grilles));
        let long = asked(None).shown(13);
        assert!(long.has_screen && !long.has(CheckPart::Table));
        let table = asked(Some(&[CheckPart::Table])).shown(13);
        assert!(table.has_screen && table.has(CheckPart::Table) && !table.has(CheckPart::Runs));
        assert!(
            !asked(Some(&[CheckPart::Runs]))
                .shown(3)
                .has(CheckPart::Table)
        );
    }
}
