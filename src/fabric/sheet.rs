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

#[cfg(test)]
mod tests {
    use super::*;

    /// Holes of 2 mm every 4 mm in 1 mm of plastic.
    fn sheet(layout: SheetLayout) -> PerforatedSheet {
        PerforatedSheet {
            hole: 2e-3,
            pitch: 4e-3,
            thickness: 1e-3,
            layout,
            density: 1400.0,
        }
    }

    #[test]
    fn a_sheet_by_hand() {
        // A hole of π mm² in each square of 16 mm², or in each rhombus of 16 sin 60° mm².
        let square = sheet(SheetLayout::Square);
        assert!((square.open_fraction() - PI / 16.0).abs() < 1e-12);
        let staggered = sheet(SheetLayout::Staggered).open_fraction();
        assert!((staggered - PI / (16.0 * 60_f64.to_radians().sin())).abs() < 1e-12);
        // 1.4 kg/m² without holes.
        assert!((square.mass_per_area() - 1.4 * (1.0 - PI / 16.0)).abs() < 1e-12);
    }

    #[test]
    fn air_in_the_holes_by_hand() {
        let air = Air {
            density: 1.25,
            kinematic_viscosity: 1.6e-5,
            ..Air::new(20.0, 101_325.0, None).unwrap()
        };
        let sheet = sheet(SheetLayout::Square);
        // 1 m/s ahead is 16/π = 5.093 m/s in a hole of 2 mm.
        assert!((sheet.hole_reynolds(1.0, &air) / (16.0 / PI * 2e-3 / 1.6e-5) - 1.0).abs() < 1e-12);
        // Sampson's hole and Poiseuille's, one behind the other, each with the flow of its own square: Q = 16 mm² · U, dp = mu Q (3/r³ + 8 t/(π r⁴)), r = 1 mm, t = 1 mm.
        let (viscous, inertial) = sheet.coefficients(&air);
        let viscosity = 1.25 * 1.6e-5;
        let by_hand = viscosity * 16e-6 * (3.0 / 1e-9 + 8e-3 / (PI * 1e-12));
        assert!(
            (viscous / by_hand - 1.0).abs() < 1e-9,
            "{viscous} {by_hand}"
        );
        // K of the handbook's thick plate, on half the density.
        let loss = perforated_plate(PI / 16.0, 0.5, 1e6)
            .unwrap()
            .loss_coefficient;
        assert!((inertial / (0.625 * loss) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn a_foil_is_taken_as_a_thin_plate() {
        let air = Air::new(20.0, 101_325.0, None).unwrap();
        let foil = PerforatedSheet {
            thickness: 2e-5,
            ..sheet(SheetLayout::Square)
        };
        let loss = thin_perforated_plate(PI / 16.0, 1e6)
            .unwrap()
            .loss_coefficient;
        let (_, inertial) = foil.coefficients(&air);
        assert!((inertial / (0.5 * air.density * loss) - 1.0).abs() < 1e-12);
    }
}
