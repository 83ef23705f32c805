//! What an opening holds back, in words: never a filtration per cent.

/// A class of what floats through a room.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Particle {
    /// Hair, 0.02 to 0.2 mm thick and long.
    Hair,
    /// Lint and fluff, flocks of a millimetre and more.
    Lint,
    /// Pollen, 10 to 100 µm.
    Pollen,
    /// Skin flakes, soot, smoke: mostly below 10 µm, up to 40 µm.
    FineDust,
}

/// What becomes of a class at an opening.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fate {
    /// The openings are smaller than all of it.
    HeldBack,
    /// The openings lie within its sizes.
    InPart,
    /// The openings are larger than all of it.
    Passes,
}

impl Particle {
    /// All classes, from the coarsest.
    pub const ALL: [Self; 4] = [Self::Hair, Self::Lint, Self::Pollen, Self::FineDust];

    /// Plain name.
    pub fn name(self) -> &'static str {
        match self {
            Self::Hair => "hair",
            Self::Lint => "lint",
            Self::Pollen => "pollen",
            Self::FineDust => "fine dust",
        }
    }

    /// Openings (m) up to which all of it and some of it is held back by size alone.
    ///
    /// Pollen and dust are taken at their published sizes (10 to 100 µm and 0.5 to 40 µm, popular sources).
    /// Hair and lint hang across openings much wider than they are thick: 1 and 3 mm are common practice without a source.
    fn openings(self) -> (f64, f64) {
        match self {
            Self::Hair | Self::Lint => (1e-3, 3e-3),
            Self::Pollen => (10e-6, 100e-6),
            Self::FineDust => (0.5e-6, 40e-6),
        }
    }

    /// What becomes of it at a clear opening (m) of a clean fabric.
    ///
    /// By size alone: what sticks to threads, and what a layer of dust catches later, is not in it.
    pub fn fate(self, opening: f64) -> Fate {
        let (all, some) = self.openings();
        if opening <= all {
            Fate::HeldBack
        } else if opening <= some {
            Fate::InPart
        } else {
            Fate::Passes
        }
    }
}

/// The fates of all classes at an opening (m): `holds back hair, lint; lets through pollen, fine dust`.
pub fn fates_in_words(opening: f64) -> String {
    let of = |fate: Fate| {
        let names = Particle::ALL
            .iter()
            .filter(|class| class.fate(opening) == fate)
            .map(|class| class.name());
        names.collect::<Vec<_>>().join(", ")
    };
    [
        ("holds back", of(Fate::HeldBack)),
        ("partly holds back", of(Fate::InPart)),
        ("lets through", of(Fate::Passes)),
    ]
    .into_iter()
    .filter(|(_, names)| !names.is_empty())
    .map(|(what, names)| format!("{what} {names}"))
    .collect::<Vec<_>>()
    .join("; ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_stocking_holds_hair_and_lint_and_lets_pollen_pass() {
        assert_eq!(
            fates_in_words(0.6e-3),
            "holds back hair, lint; lets through pollen, fine dust"
        );
        assert_eq!(
            fates_in_words(50e-6),
            "holds back hair, lint; partly holds back pollen; lets through fine dust"
        );
        assert_eq!(
            fates_in_words(5e-3),
            "lets through hair, lint, pollen, fine dust"
        );
    }

    #[test]
    fn smaller_openings_never_let_more_pass() {
        let rank = |fate| match fate {
            Fate::HeldBack => 0,
            Fate::InPart => 1,
            Fate::Passes => 2,
        };
        for class in Particle::ALL {
            let ranks: Vec<i32> = (0..60)
                .map(|step| rank(class.fate(1e-7 * 1.25_f64.powi(step))))
                .collect();
            assert!(ranks.is_sorted(), "{class:?}: {ranks:?}");
        }
    }
}
