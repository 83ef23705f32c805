//! Fabrics and meshes: what a stretched stocking, a woven mesh or a perforated sheet lets through, and what it costs.
//!
//! A fabric's pressure drop is `a U + b U²`, never one loss coefficient: its fibres run at Reynolds numbers of 1 to 20, where
//! friction counts as much as wakes do.
//! The law names its source and how far it may be off; see [`FabricLaw`].
//! [`Fabric`] holds what a maker knows of one: threads, layers, readings.

use crate::air::Air;
use crate::likely::Likely;

mod bench;
mod contact;
mod doubt;
mod fit;
mod knit;
mod law;
mod layers;
mod mesh_run;
mod particles;
mod row;
mod sag;
mod screen;
mod sheet;
mod thread;
mod woven;

pub use bench::{BareFan, BenchError, DEFAULT_ACCURACY, LEAST_SPREAD, Reading, law_of_readings};
pub use contact::{Contact, SPACED_GAP_IN_HOLES, SPOTLESS_GAP_IN_HOLES, excess_left};
pub use doubt::{clogging_caution, sag_caution};
pub use knit::{CROSSINGS, FLATTENING, Knit, LOOP_CURVATURE};
pub use law::{Band, FabricLaw, Formula, Source};
pub use layers::{Layers, Lie};
pub use particles::{Fate, Particle, fates_in_words};
pub use row::slow_row_loss;
pub use sag::{SLACK_TENSION, SMOOTH_TENSION, bow};
pub use screen::{
    FITTED_VELOCITIES, Grid, LARGEST_WIRE_REYNOLDS, LEAST_WIRE_REYNOLDS, OPEN_FRACTIONS,
    ROUND_WIRE_FACTORS,
};
pub use sheet::{PerforatedSheet, SheetLayout};
pub use thread::{
    DENIER_LENGTH, NYLON_DENSITY, SHEET_DENSITY, STEEL_DENSITY, YARN_PACKING, filament_diameter,
    linear_density, yarn_width,
};
pub use woven::{MeshMaterial, Woven};

/// Shares of the open area that a panel may lose to dust before it is cleaned, as the outputs show them.
pub const AGEING_SHARES: [f64; 3] = [0.10, 0.25, 0.50];

/// Band of a law from geometry for screens and sheets: ±50 % until a bench says better (estimate from the spread of published formulas).
const SCREEN_BAND: Band = Band {
    low: 0.5,
    high: 1.5,
};

/// Band for knits of single filaments, whose loops are no woven screen (estimate).
const FILAMENT_KNIT_BAND: Band = Band {
    low: 1.0 / 3.0,
    high: 3.0,
};

/// Band for knits of yarn, whose flattened yarn and closing loops can cost ten times what screen formulas give: a judgement that errs on the wide side, no source.
const YARN_KNIT_BAND: Band = Band {
    low: 1.0 / 3.0,
    high: 20.0,
};

/// What a fabric is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum FabricKind {
    /// Loops of a thin thread: hosiery.
    Knit(Knit),
    /// Woven filaments or wires.
    Woven(Woven),
    /// A sheet with round holes.
    Sheet(PerforatedSheet),
}

/// A reading on a bench, as it was taken.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum BenchReading {
    /// Air speed and pressure.
    Pressure(Reading),
    /// Flow with this fan in this rig over that without the fabric, 0 to 1, both excluded.
    ShareOfBareFan(f64),
}

/// Readings of one fabric as it is fitted, all of its layers together.
#[derive(Debug, Clone, PartialEq)]
pub struct Bench {
    /// The readings, at least one.
    pub readings: Vec<BenchReading>,
    /// How far the instruments may be off (95 %), relative.
    pub accuracy: f64,
}

/// A fabric as its maker describes it.
#[derive(Debug, Clone, PartialEq)]
pub struct Fabric {
    /// Name.
    pub name: String,
    /// What it is; `None` when it is known only from the bench.
    pub kind: Option<FabricKind>,
    /// How many layers, and how they lie.
    pub layers: Layers,
    /// What a bench said.
    pub bench: Option<Bench>,
}

impl FabricKind {
    /// Width of thread or wire, m; `None` for a sheet.
    pub fn thread(&self) -> Option<f64> {
        match self {
            Self::Knit(knit) => Some(knit.thread()),
            Self::Woven(woven) => Some(woven.thread),
            Self::Sheet(_) => None,
        }
    }

    /// Clear openings across and along, m, the largest that there are.
    pub fn openings(&self) -> [f64; 2] {
        match self {
            Self::Knit(knit) => knit.openings(),
            Self::Woven(woven) => [woven.opening; 2],
            Self::Sheet(sheet) => [sheet.hole; 2],
        }
    }

    /// Open area as seen straight on, over the whole, with its range.
    pub fn open_fraction(&self) -> Likely {
        match self {
            Self::Knit(knit) => knit.open_fraction(),
            Self::Woven(woven) => Likely::exact(woven.grid().open_fraction),
            Self::Sheet(sheet) => Likely::exact(sheet.open_fraction()),
        }
    }

    /// Mass per area of one layer, kg/m²: weigh a piece to see whether the other figures can be right.
    pub fn mass_per_area(&self) -> f64 {
        match self {
            Self::Knit(knit) => knit.mass_per_area(),
            Self::Woven(woven) => woven.mass_per_area(),
            Self::Sheet(sheet) => sheet.mass_per_area(),
        }
    }

    /// Reynolds number at a face velocity (m/s): of the thread on the face velocity, or of the holes of a sheet on theirs.
    pub fn reynolds_number(&self, velocity: f64, air: &Air) -> f64 {
        match self {
            Self::Sheet(sheet) => sheet.hole_reynolds(velocity, air),
            Self::Knit(_) | Self::Woven(_) => {
                velocity * self.thread().unwrap_or(0.0) / air.kinematic_viscosity
            }
        }
    }

    /// The law of one layer by published formulas.
    pub fn law(&self, air: &Air) -> FabricLaw {
        let (coefficients, formula, band) = match self {
            Self::Knit(knit) if knit.is_yarn() => (
                knit.grid().coefficients(air),
                Formula::YarnKnit,
                YARN_KNIT_BAND,
            ),
            Self::Knit(knit) => (
                knit.grid().coefficients(air),
                Formula::FilamentKnit,
                FILAMENT_KNIT_BAND,
            ),
            Self::Woven(woven) => {
                return woven_law(woven, air);
            }
            Self::Sheet(sheet) => (
                sheet.coefficients(air),
                Formula::PerforatedSheet,
                SCREEN_BAND,
            ),
        };
        FabricLaw {
            viscous: coefficients.0,
            inertial: coefficients.1,
            velocities: FITTED_VELOCITIES,
            band,
            source: Source::Geometry(formula),
        }
    }

    /// The same stretched by a further factor both ways; `None` for what does not stretch.
    pub fn stretched(&self, factor: f64) -> Option<Self> {
        match self {
            Self::Knit(knit) => Some(Self::Knit(knit.stretched(factor))),
            Self::Woven(_) | Self::Sheet(_) => None,
        }
    }
}

impl Fabric {
    /// The law of all layers by the most trusted source that there is: the bench, else geometry.
    ///
    /// `bare_fan` turns shares of the bare fan's flow into readings; without it they count for nothing.
    ///
    /// # Errors
    /// [`BenchError`] if the readings make no law, or if there are no usable ones and no geometry either.
    pub fn law(&self, air: &Air, bare_fan: Option<&BareFan<'_>>) -> Result<FabricLaw, BenchError> {
        let geometry = self.law_from_geometry(air);
        let Some(bench) = &self.bench else {
            return geometry.ok_or(BenchError::NoReading);
        };
        let mut readings = Vec::with_capacity(bench.readings.len());
        for reading in &bench.readings {
            match (reading, bare_fan) {
                (BenchReading::Pressure(reading), _) => readings.push(*reading),
                (BenchReading::ShareOfBareFan(share), Some(fan)) => {
                    readings.push(fan.reading(*share)?);
                }
                (BenchReading::ShareOfBareFan(_), None) => {}
            }
        }
        match geometry {
            Some(geometry) if readings.is_empty() => Ok(geometry),
            geometry => law_of_readings(&readings, bench.accuracy, geometry.as_ref()),
        }
    }

    /// The law of all layers by published formulas; `None` for a fabric that is known only from the bench.
    pub fn law_from_geometry(&self, air: &Air) -> Option<FabricLaw> {
        self.kind.map(|kind| self.layers.law(&kind.law(air)))
    }

    /// Pressure drop at 10 % less and 10 % more stretch over that as given, at an air speed (m/s); `None` for what does not stretch.
    ///
    /// By geometry, whatever the law's source: only the ratio is used.
    pub fn stretch_swing(&self, air: &Air, velocity: f64) -> Option<[f64; 2]> {
        let kind = self.kind?;
        let drop = |kind: &FabricKind| kind.law(air).pressure_drop(velocity);
        let [less, more] = [kind.stretched(0.9)?, kind.stretched(1.1)?];
        let given = drop(&kind);
        Some([drop(&less) / given, drop(&more) / given])
    }
}

/// The law of one layer of a woven mesh: by our runs where they reach, by formulas and the nearest run elsewhere.
fn woven_law(woven: &Woven, air: &Air) -> FabricLaw {
    let grid = woven.grid();
    let (viscous, inertial) = grid.coefficients(air);
    let (source, band) = if mesh_run::covers(grid.open_fraction, grid.fitted_reynolds(air)) {
        (Source::FibreRun, mesh_run::MESH_RUN_BAND)
    } else if grid.is_in_range() {
        (Source::Geometry(Formula::WovenScreen), SCREEN_BAND)
    } else {
        let wider = SCREEN_BAND.and(SCREEN_BAND);
        (Source::Geometry(Formula::WovenScreen), wider)
    };
    FabricLaw {
        viscous,
        inertial,
        velocities: FITTED_VELOCITIES,
        band,
        source,
    }
}

/// The law of a panel that has lost a share of its open area to dust (0 to below 1).
///
/// Dust is taken to shut whole patches, so that the rest runs faster; a cake that narrows every opening costs more.
pub fn aged(law: &FabricLaw, lost_share: f64) -> FabricLaw {
    law.through_share(1.0 - lost_share)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn mesh() -> FabricKind {
        FabricKind::Woven(Woven {
            material: MeshMaterial::Monofilament,
            thread: 0.1e-3,
            opening: 0.3e-3,
            density: 1400.0,
        })
    }

    fn stocking() -> FabricKind {
        FabricKind::Knit(Knit {
            denier: 15.0,
            filament_count: 1,
            pitch_across: 0.5e-3,
            pitch_along: 0.6e-3,
            stretch_across: 0.0,
            stretch_along: 0.0,
            density: NYLON_DENSITY,
        })
    }

    fn sheet() -> FabricKind {
        FabricKind::Sheet(PerforatedSheet {
            hole: 2e-3,
            pitch: 4e-3,
            thickness: 1e-3,
            layout: SheetLayout::Square,
            density: 1400.0,
        })
    }

    fn air() -> Air {
        Air::new(20.0, 101_325.0, None).unwrap()
    }

    #[test]
    fn what_each_kind_is_by_hand() {
        // A mesh of 0.1 mm threads and 0.3 mm openings: (3/4)² open.
        assert_eq!(mesh().thread(), Some(0.1e-3));
        let is_open_by = |kind: FabricKind, opening: f64| {
            let [across, along] = kind.openings();
            (across - opening).abs() < 1e-15 && (along - opening).abs() < 1e-15
        };
        assert!(is_open_by(mesh(), 0.3e-3));
        assert!((mesh().open_fraction().value - 0.5625).abs() < 1e-12);
        // Two threads of π/4 · 0.01 mm² for each 0.4 mm: 1400 · π/2 · 1e-8 / 4e-4.
        let mass = 1400.0 * std::f64::consts::FRAC_PI_2 * 1e-8 / 4e-4;
        assert!((mesh().mass_per_area() / mass - 1.0).abs() < 1e-12);
        assert_eq!(sheet().thread(), None);
        assert!(is_open_by(sheet(), 2e-3));
        // 43.145 um of thread in stitches of 0.5 by 0.6 mm.
        let [across, along] = stocking().openings();
        assert!((across - 0.413_71e-3).abs() < 1e-8 && (along - 0.556_86e-3).abs() < 1e-8);
    }

    #[test]
    fn reynolds_numbers_are_of_threads_or_of_holes() {
        let air = air();
        let viscosity = air.kinematic_viscosity;
        let mesh = mesh().reynolds_number(2.0, &air);
        assert!((mesh / (2.0 * 0.1e-3 / viscosity) - 1.0).abs() < 1e-12);
        // π/16 of the sheet is open.
        let sheet = sheet().reynolds_number(2.0, &air);
        let in_holes = 2.0 * 16.0 / std::f64::consts::PI;
        assert!((sheet / (in_holes * 2e-3 / viscosity) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn only_a_knit_stretches_and_costs_less_for_it() {
        assert!(mesh().stretched(1.1).is_none() && sheet().stretched(1.1).is_none());
        let fabric = |kind| Fabric {
            name: "panel".to_owned(),
            kind: Some(kind),
            layers: Layers {
                count: 1,
                lie: Lie::Spaced,
            },
            bench: None,
        };
        assert_eq!(fabric(mesh()).stretch_swing(&air(), 1.0), None);
        let [less, more] = fabric(stocking()).stretch_swing(&air(), 1.0).unwrap();
        assert!(less > 1.0 && more < 1.0, "{less} {more}");
    }

    #[test]
    fn dust_that_shuts_a_quarter_leaves_three_quarters_to_the_air() {
        // a U/0.75 + b (U/0.75)²: 3 and 9 become 4 and 16.
        let law = FabricLaw {
            viscous: 3.0,
            inertial: 9.0,
            velocities: FITTED_VELOCITIES,
            band: Band::EXACT,
            source: Source::FibreRun,
        };
        let aged = aged(&law, 0.25);
        assert!((aged.viscous - 4.0).abs() < 1e-12 && (aged.inertial - 16.0).abs() < 1e-12);
    }

    #[test]
    fn each_kind_has_the_trust_that_its_formula_deserves() {
        let air = air();
        let yarn = match stocking() {
            FabricKind::Knit(knit) => FabricKind::Knit(Knit {
                filament_count: 5,
                ..knit
            }),
            other => other,
        };
        assert_eq!(yarn.law(&air).source, Source::Geometry(Formula::YarnKnit));
        let band = yarn.law(&air).band;
        assert!((band.low - 1.0 / 3.0).abs() < 1e-12 && (band.high - 20.0).abs() < 1e-12);
        let stocking = stocking().law(&air);
        assert_eq!(stocking.source, Source::Geometry(Formula::FilamentKnit));
        // A third to three times.
        assert!((stocking.band.low * stocking.band.high - 1.0).abs() < 1e-12);
        assert!((stocking.band.high - 3.0).abs() < 1e-12);
        assert_eq!(
            sheet().law(&air).source,
            Source::Geometry(Formula::PerforatedSheet)
        );
        // Our own runs reach to a mesh that is open by 0.56 and whose threads run from 1.6 to 27.
        assert_eq!(mesh().law(&air).source, Source::FibreRun);
    }
}
