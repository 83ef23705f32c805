//! Several layers of a fabric: apart from each other, or lying on each other.

use crate::fabric::law::{Band, FabricLaw};

/// How layers lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Lie {
    /// Apart by many thread widths: each costs what it costs alone.
    Spaced,
    /// On each other with their threads in line.
    Aligned,
    /// On each other with their threads crossing at an angle.
    Crossed,
}

/// Layers of one fabric.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Layers {
    /// How many, 1 or more.
    pub count: u32,
    /// How they lie; without meaning for one.
    pub lie: Lie,
}

impl Layers {
    /// What two layers cost over one, and the ends of its range.
    ///
    /// Spaced: 2, exact for incompressible flow that has evened out in between.
    /// In contact 1.5 to 2.5 (estimate, no source): threads in line hide in each other's wake, threads that cross close each other's openings.
    fn second(self) -> [f64; 3] {
        match self.lie {
            Lie::Spaced => [2.0; 3],
            Lie::Aligned => [1.5, 1.75, 2.5],
            Lie::Crossed => [1.5, 2.25, 2.5],
        }
    }

    /// The law of all layers from that of one.
    ///
    /// ```text
    /// factor = 1 + (n - 1)(c - 1)      n: layers;  c: what two cost over one
    /// ```
    pub fn law(self, one: &FabricLaw) -> FabricLaw {
        let further = f64::from(self.count.saturating_sub(1));
        let [low, factor, high] = self.second().map(|second| 1.0 + further * (second - 1.0));
        one.times(
            factor,
            Band {
                low: low / factor,
                high: high / factor,
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::fabric::law::Source;

    fn of_three(lie: Lie) -> FabricLaw {
        let one = FabricLaw {
            viscous: 2.0,
            inertial: 4.0,
            velocities: (0.25, 4.0),
            band: Band::EXACT,
            source: Source::FibreRun,
        };
        Layers { count: 3, lie }.law(&one)
    }

    #[test]
    fn three_layers_apart_cost_three_times_one() {
        let law = of_three(Lie::Spaced);
        assert_eq!((law.viscous, law.inertial), (6.0, 12.0));
        assert_eq!(law.band, Band::EXACT);
    }

    #[test]
    fn further_layers_in_contact_add_less_or_more_than_their_own() {
        // Each further layer adds what the second does: 0.75 (0.5 to 1.5) in line, 1.25 (0.5 to 1.5) crossed.
        for (lie, factor) in [(Lie::Aligned, 2.5), (Lie::Crossed, 3.5)] {
            let law = of_three(lie);
            assert!((law.viscous - 2.0 * factor).abs() < 1e-12, "{lie:?}");
            assert!((law.inertial - 4.0 * factor).abs() < 1e-12, "{lie:?}");
            assert!((law.band.low - 2.0 / factor).abs() < 1e-12, "{lie:?}");
            assert!((law.band.high - 4.0 / factor).abs() < 1e-12, "{lie:?}");
        }
    }
}
