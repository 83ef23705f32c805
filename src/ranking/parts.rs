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
