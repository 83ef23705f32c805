//! What else the air goes through besides the holes: dust panels, fabrics, a second grille.
//!
//! A part that stands by itself is met by the mean velocity over its own area; one that lies on the grille is met by the velocity in the holes,
//! since the ribs close the rest of it.

use crate::ranking::division::ZoneResistance;

/// Something that the air goes through besides the holes of a grille. The bare fan goes without it.
#[derive(Debug, Clone, PartialEq)]
pub struct PathPart {
    /// Name; parts of the same name are off together.
    pub name: String,
    /// a of `Δp = a U + b U²`, Pa s/m, on the velocity over its own area.
    pub viscous: f64,
    /// b, Pa s²/m².
    pub inertial: f64,
    /// Least and most of its pressure drop at 95 %, as factors of it.
    pub band: [f64; 2],
    /// Where it is.
    pub seat: Seat,
}

/// Where a part is.
#[derive(Debug, Clone, PartialEq)]
pub enum Seat {
    /// By itself, with this area, m².
    Apart {
        /// Area that the air goes through.
        area: f64,
    },
    /// On the holes of the grille, whose zones have these free-area ratios.
    Pressed {
        /// Free-area ratio of each zone.
        free_area_ratios: Vec<f64>,
    },
}

/// `Δp = viscous Q + inertial Q²`, Pa at a flow in m³/s.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct InSeries {
    /// Pa s/m³.
    pub(super) viscous: f64,
    /// Pa s²/m⁶.
    pub(super) inertial: f64,
}

impl InSeries {
    /// Pa.
    pub(super) fn pressure_drop(self, flow: f64) -> f64 {
        (self.viscous + self.inertial * flow) * flow
    }
}

impl PathPart {
    /// Adds this part, its pressure drop times `factor`, to what stands in series and to the zones of a grille.
    ///
    /// On the velocity U ahead of a zone with free-area ratio f a part that lies on it takes
    ///
    /// ```text
    /// Δp = a U/f + b (U/f)²
    /// ```
    ///
    /// Source: the velocity in the holes is U/f (continuity); that it is even there is a simplification.
    pub(super) fn add(
        &self,
        factor: f64,
        density: f64,
        series: &mut InSeries,
        zones: &mut [ZoneResistance],
    ) {
        match &self.seat {
            Seat::Apart { area } => {
                series.viscous += factor * self.viscous / area;
                series.inertial += factor * self.inertial / (area * area);
            }
            Seat::Pressed { free_area_ratios } => {
                let to_loss = 2.0 * factor / density;
                for (zone, ratio) in zones.iter_mut().zip(free_area_ratios) {
                    zone.cover_viscous += to_loss * self.viscous / ratio;
                    zone.cover_inertial += to_loss * self.inertial / (ratio * ratio);
                }
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn part(seat: Seat) -> PathPart {
        PathPart {
            name: "mesh".to_owned(),
            viscous: 3.0,
            inertial: 4.0,
            band: [0.5, 2.0],
            seat,
        }
    }

    fn zone() -> ZoneResistance {
        ZoneResistance {
            area: 0.01,
            viscous: 0.3,
            inertial: 2.0,
            cover_viscous: 0.1,
            cover_inertial: 0.7,
        }
    }

    #[test]
    fn a_panel_by_itself_is_met_by_the_flow_over_its_own_area() {
        // 0.03 m³/s through 0.02 m² are 1.5 m/s: 3 · 1.5 + 4 · 1.5² = 13.5 Pa; two of them, one half as dear, 20.25 Pa.
        let panel = part(Seat::Apart { area: 0.02 });
        let mut series = InSeries::default();
        let mut zones = [zone()];
        panel.add(1.0, 1.2, &mut series, &mut zones);
        assert!((series.pressure_drop(0.03) - 13.5).abs() < 1e-12);
        panel.add(0.5, 1.2, &mut series, &mut zones);
        assert!((series.pressure_drop(0.03) - 20.25).abs() < 1e-12);
        assert!((zones[0].cover_viscous - 0.1).abs() < 1e-15);
        assert!((zones[0].cover_inertial - 0.7).abs() < 1e-15);
    }

    #[test]
    fn a_fabric_on_the_holes_is_met_by_the_velocity_in_them() {
        // 0.6 m/s ahead of a zone that is open by 0.4 are 1.5 m/s in its holes: 13.5 Pa again, a quarter more with a factor of 1.25. K of it is that over
        // 0.5 · 1.25 · 0.6² = 0.225 Pa.
        let fabric = part(Seat::Pressed {
            free_area_ratios: vec![0.4],
        });
        let mut series = InSeries::default();
        let mut zones = [zone()];
        fabric.add(1.25, 1.25, &mut series, &mut zones);
        let added = (zones[0].cover_viscous - 0.1) / 0.6 + zones[0].cover_inertial - 0.7;
        assert!((added - 1.25 * 13.5 / 0.225).abs() < 1e-9, "{added}");
        // Friction alone: 1.25 · 3 · 1.5 Pa over the same 0.225, times 0.6 m/s.
        let viscous = zones[0].cover_viscous - 0.1;
        assert!((viscous - 1.25 * 4.5 / 0.225 * 0.6).abs() < 1e-9);
        assert_eq!(series, InSeries::default());
    }
}
