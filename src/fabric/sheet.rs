//! Perforated sheets: round holes in a thin plate.

use std::f64::consts::PI;

use crate::air::Air;
use crate::handbook::{perforated_plate, thin_perforated_plate};

/// How the holes of a sheet lie.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum SheetLayout {
    /// In rows and columns.
    Square,
    /// Every other row shifted, neighbours at 60 degrees.
    Staggered,
}

/// A thin sheet with round holes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PerforatedSheet {
    /// Diameter of the holes, m.
    pub hole: f64,
    /// Distance of neighbouring holes, m.
    pub pitch: f64,
    /// Thickness of the sheet, m.
    pub thickness: f64,
    /// How the holes lie.
    pub layout: SheetLayout,
    /// Density of the material, kg/m³.
    pub density: f64,
}

impl PerforatedSheet {
    /// Open area over the whole.
    ///
    /// ```text
    /// f = pi/4 (d/p)^2 in rows and columns,   pi / (2 sqrt 3) (d/p)^2 staggered      d: hole;  p: pitch
    /// ```
    pub fn open_fraction(&self) -> f64 {
        let ratio = self.hole / self.pitch;
        let full = match self.layout {
            SheetLayout::Square => 0.25 * PI,
            SheetLayout::Staggered => PI / 12.0_f64.sqrt(),
        };
        full * ratio * ratio
    }

    /// Mass per area, kg/m².
    pub fn mass_per_area(&self) -> f64 {
        self.density * self.thickness * (1.0 - self.open_fraction())
    }

    /// Reynolds number in the holes, on their diameter, at a face velocity (m/s).
    pub fn hole_reynolds(&self, velocity: f64, air: &Air) -> f64 {
        velocity / self.open_fraction() * self.hole / air.kinematic_viscosity
    }

    /// Viscous (Pa per m/s) and inertial coefficient (Pa per (m/s)²) on the face velocity.
    ///
    /// ```text
    /// a = mu (6 pi + 32 t/d) / (d f)      slow flow into a hole and along it;  t: thickness
    /// b = rho/2 K                         K: the handbook's perforated plate at high Reynolds numbers
    /// ```
    ///
    /// # Validity
    /// Both limits hold on their own; that they add up in between (Reynolds numbers in the holes of 30 to 1000, where most sheets
    /// on fans run) is an assumption. Neighbouring holes are taken as far apart in the viscous part, which is a little too high.
    ///
    /// # References
    /// Hole in a thin wall: R. A. Sampson, Phil. Trans. R. Soc. A 182 (1891) 449: dp = 3 mu Q / r^3; along the hole: Poiseuille; that
    /// both add up within 1 %: Z. Dagan, S. Weinbaum, R. Pfeffer, J. Fluid Mech. 115 (1982) 505 (all from memory).
    /// K: [`perforated_plate`], or [`thin_perforated_plate`] below its least thickness.
    pub fn coefficients(&self, air: &Air) -> (f64, f64) {
        let open = self.open_fraction();
        let ratio = self.thickness / self.hole;
        let viscosity = air.density * air.kinematic_viscosity;
        let viscous = viscosity * (6.0 * PI + 32.0 * ratio) / (self.hole * open);
        let fast = f64::INFINITY;
        let loss =
            perforated_plate(open, ratio, fast).or_else(|| thin_perforated_plate(open, fast));
        let inertial = loss.map_or(0.0, |loss| 0.5 * air.density * loss.loss_coefficient);
        (viscous, inertial)
    }
}
