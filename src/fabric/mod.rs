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
