//! What every run is checked for: each check with its limit and what to do. The one place where these limits stand.
//!
//! A check that fails is a doubt with the same code, and travels with the result; `ventwright doubts` shows the passed ones too.

use crate::likely::Warning;

/// Largest density rise across the plate that is left unmarked, per cent. Judgement: K of a round hole moves by a per cent there.
pub const DENSITY_RISE_LIMIT_PERCENT: f64 = 1.0;

/// Largest difference between K by momentum and K by force that is left unmarked, per cent of K beyond twice the half-width in time.
pub const BOOK_KEEPING_LIMIT_PERCENT: f64 = 0.5;

/// Largest difference of the mean flow ahead of and behind the plate that is left unmarked, per cent.
pub const FLOW_LIMIT_PERCENT: f64 = 0.5;

/// Largest mean speed in the openings over the lattice's speed of sound. The usual border of nearly incompressible flow, from memory.
pub const MACH_LIMIT: f64 = 0.3;

/// Least room ahead of and behind the plate, in pitches. Judgement: with periodic sides the momentum balance is the same at every plane.
pub const ROOM_LIMITS: [f64; 2] = [1.0, 2.0];

/// What is checked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum CheckKind {
    /// K by momentum against K by force.
    BookKeeping,
    /// Flow behind the plate against flow ahead of it.
    FlowBalance,
    /// Density rise across the plate.
    DensityRise,
    /// Mean speed in the openings over the speed of sound, both of the lattice.
    Mach,
    /// Cells across the narrowest gap or rib.
    Cells,
    /// Room ahead of the plate.
    RoomAhead,
    /// Room behind the plate.
    RoomBehind,
    /// Mean of K over the last third of its time against the third before.
    Drift,
}

impl CheckKind {
    /// All of them, in the order of the tables.
    pub const ALL: [Self; 8] = [
        Self::Drift,
        Self::BookKeeping,
        Self::FlowBalance,
        Self::DensityRise,
        Self::Mach,
        Self::Cells,
        Self::RoomAhead,
        Self::RoomBehind,
    ];

    /// The fixed short code, that of the doubt too.
    pub fn code(self) -> &'static str {
        match self {
            Self::BookKeeping => "book-keeping",
            Self::FlowBalance => "flow-balance",
            Self::DensityRise => "density-rise",
            Self::Mach => "mach",
            Self::Cells => "few-cells",
            Self::RoomAhead => "short-ahead",
            Self::RoomBehind => "short-behind",
            Self::Drift => "drift",
        }
    }

    /// The check with this code.
    pub fn of_code(code: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|kind| kind.code() == code)
    }

    /// What is looked at, in plain words.
    pub fn in_words(self) -> &'static str {
        match self {
            Self::BookKeeping => "K by momentum and K by force differ (book-keeping)",
            Self::FlowBalance => "the flow behind the plate differs from that ahead (mass error)",
            Self::DensityRise => "the solver's air is compressed ahead of the plate",
            Self::Mach => "speed in the openings over the solver's speed of sound (Mach)",
            Self::Cells => "cells across the narrowest gap or rib",
            Self::RoomAhead => "room ahead of the plate",
            Self::RoomBehind => "room behind the plate",
            Self::Drift => "K still moves between the last thirds of its time (drift)",
        }
    }

    /// Unit of value and limit, as it stands behind a number; empty for a bare number.
    pub fn unit(self) -> &'static str {
        match self {
            Self::BookKeeping | Self::FlowBalance | Self::DensityRise | Self::Drift => "%",
            Self::Mach => "",
            Self::Cells => "cells",
            Self::RoomAhead | Self::RoomBehind => "pitches",
        }
    }

    /// Whether the limit is the least value that passes; otherwise it is the largest.
    pub fn is_least(self) -> bool {
        matches!(self, Self::Cells | Self::RoomAhead | Self::RoomBehind)
    }

    /// What to do when it fails.
    pub fn advice(self) -> &'static str {
        match self {
            Self::BookKeeping => {
                "allow more time; if it stays, this is a fault of the program: please tell us"
            }
            Self::FlowBalance => "allow more time",
            Self::DensityRise | Self::Mach => "a higher quality runs at a lower lattice velocity",
            Self::Cells => "choose a higher quality",
            Self::RoomAhead | Self::RoomBehind => "this is a fault of the program: please tell us",
            Self::Drift => "raise time_limit_per_run_min in [run]",
        }
    }
}

/// A check of one run.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Check {
    /// What is checked.
    pub kind: CheckKind,
    /// What was found, in the unit of the kind; NaN where the run left no number.
    pub value: f64,
    /// The limit, in the same unit.
    pub limit: f64,
}

impl Check {
    /// A check of `value` against `limit`.
    pub fn new(kind: CheckKind, value: f64, limit: f64) -> Self {
        Self { kind, value, limit }
    }

    /// Whether it passes; what is no number does not.
    pub fn is_passed(&self) -> bool {
        if self.kind.is_least() {
            self.value >= self.limit
        } else {
            self.value <= self.limit
        }
    }

    /// The doubt that a failed check is; `None` when it passes, or where there is no number to speak of (the reason why the run stopped tells that).
    pub fn doubt(&self) -> Option<Warning> {
        if self.is_passed() || !self.value.is_finite() {
            return None;
        }
        let (value, limit) = (self.value, self.limit);
        let message = match self.kind {
            CheckKind::BookKeeping => format!("K by momentum and by force differ by {value:.2} %"),
            CheckKind::FlowBalance => {
                format!(
                    "the mean flow behind the plate differs by {value:.2} % from that ahead of it"
                )
            }
            CheckKind::DensityRise => {
                format!("the solver's air is compressed by {value:.1} % ahead of the plate")
            }
            CheckKind::Mach => format!(
                "the air in the openings runs at {value:.2} of the solver's speed of sound, allowed is {limit}"
            ),
            CheckKind::Cells => {
                format!("only {value:.1} cells across the narrowest part, {limit} are wanted")
            }
            CheckKind::RoomAhead | CheckKind::RoomBehind => {
                let side = if self.kind == CheckKind::RoomAhead {
                    "ahead of"
                } else {
                    "behind"
                };
                format!("only {value:.1} pitches of room {side} the plate, {limit} are wanted")
            }
            CheckKind::Drift => {
                format!("K still drifts by {value:.1} %, asked is a mean to {limit:.1} %")
            }
        };
        Some(Warning {
            code: self.kind.code().into(),
            message,
            advice: self.kind.advice().to_owned(),
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_different_and_lead_back() {
        for kind in CheckKind::ALL {
            assert_eq!(CheckKind::of_code(kind.code()), Some(kind));
        }
        assert_eq!(CheckKind::of_code("diverged"), None);
    }

    #[test]
    fn a_value_beyond_its_limit_is_a_doubt_with_the_code_of_the_check() {
        for kind in CheckKind::ALL {
            let (good, bad) = if kind.is_least() {
                (7.0, 5.0)
            } else {
                (5.0, 7.0)
            };
            assert!(Check::new(kind, good, 6.0).doubt().is_none());
            let doubt = Check::new(kind, bad, 6.0).doubt().unwrap();
            assert_eq!(doubt.code, kind.code());
            assert_eq!(doubt.advice, kind.advice());
            let nothing = Check::new(kind, f64::NAN, 6.0);
            assert!(!nothing.is_passed() && nothing.doubt().is_none());
        }
    }
}
