//! How the flow divides between the zones of a face, and what loss coefficient that makes on the reference area.

/// K on another area, for the same pressure drop at the same flow.
///
/// ```text
/// K2 = K1 (A2 / A1)^2
/// ```
///
/// # Examples
/// ```
/// // The same plate on a full 135 mm disc and on the annulus that a 45 mm hub leaves.
/// let k = ventwright::ranking::loss_coefficient_on_area(1.0, 0.01272, 0.01431);
/// assert!((k - 1.27).abs() < 0.005);
/// ```
pub fn loss_coefficient_on_area(loss_coefficient: f64, area: f64, new_area: f64) -> f64 {
    loss_coefficient * (new_area / area).powi(2)
}

/// A zone as the division of flow sees it: its area and its law `K(U) = a/U + b` on its own velocity.
#[derive(Debug, Clone, Copy)]
pub(super) struct ZoneResistance {
    /// Area of the patterned zone, m².
    pub(super) area: f64,
    /// a, m/s.
    pub(super) viscous: f64,
    /// b.
    pub(super) inertial: f64,
    /// What lies on the holes adds to a, m/s.
    pub(super) cover_viscous: f64,
    /// What it adds to b.
    pub(super) cover_inertial: f64,
}

impl ZoneResistance {
    /// a and 1 + b, cover and all.
    fn law(&self) -> (f64, f64) {
        (
            self.viscous + self.cover_viscous,
            1.0 + self.inertial + self.cover_inertial,
        )
    }

    /// The same zone with another law of its holes, a and b.
    pub(super) fn with_own_law(self, viscous: f64, inertial: f64) -> Self {
        Self {
            viscous,
            inertial,
            ..self
        }
    }

    /// The same zone with nothing on its holes.
    pub(super) fn uncovered(self) -> Self {
        Self {
            cover_viscous: 0.0,
            cover_inertial: 0.0,
            ..self
        }
    }

    /// Velocity, m/s, in front of the zone at a given (1 + K) U² in m²/s².
    fn velocity(&self, head: f64) -> f64 {
        let (viscous, inertial) = self.law();
        let root = (viscous * viscous + 4.0 * inertial * head).sqrt();
        2.0 * head / (viscous + root)
    }

    /// (1 + K) U², m²/s², at a velocity in m/s.
    fn head(&self, velocity: f64) -> f64 {
        let (viscous, inertial) = self.law();
        (viscous + inertial * velocity) * velocity
    }

    /// Rise of the velocity with the head, s/m.
    fn velocity_slope(&self, velocity: f64) -> f64 {
        let (viscous, inertial) = self.law();
        1.0 / (viscous + 2.0 * inertial * velocity)
    }
}

/// A whole face at one flow: its K, and how the flow divides between its zones.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceLoss {
    /// K of the whole face on the reference area.
    pub loss_coefficient: f64,
    /// Velocity in front of each zone, m/s.
    pub zone_velocities: Vec<f64>,
}

/// Divides a flow (m³/s, above zero) between zones that work side by side, and gives K on the reference area.
///
/// The formula stands at [`crate::ranking::GrilleLoss::face_loss`].
///
/// With one zone this is `K = K_1 (A/A_1)²` plus the sudden expansion `(A/A_1 - 1)²` of Borda and Carnot behind it; a zone over the
/// whole reference area keeps its own K. Where the patterned zones are wider than the reference area nothing is added.
///
/// # Validity
/// Zones much wider than their repeats. Near the seam of two zones the static pressure behind them is not quite the same.
pub(super) fn divide(zones: &[ZoneResistance], flow: f64, reference_area: f64) -> FaceLoss {
    let total_area: f64 = zones.iter().map(|zone| zone.area).sum();
    let mean_velocity = flow / total_area;
    // Starts where no zone takes more than its share; flow over head is concave, so Newton's steps never overshoot.
    let mut head = zones
        .iter()
        .map(|zone| zone.head(mean_velocity))
        .fold(f64::INFINITY, f64::min);
    if zones.len() > 1 {
        for _ in 0..50 {
            let (mut carried, mut slope) = (0.0, 0.0);
            for zone in zones {
                let velocity = zone.velocity(head);
                carried += zone.area * velocity;
                slope += zone.area * zone.velocity_slope(velocity);
            }
            let step = (flow - carried) / slope;
            head += step;
            if step.abs() <= 4.0 * f64::EPSILON * head {
                break;
            }
        }
    }
    let velocities: Vec<f64> = zones.iter().map(|zone| zone.velocity(head)).collect();
    let face_velocity = flow / reference_area;
    let mixing_area = reference_area.max(total_area);
    let momentum: f64 = zones
        .iter()
        .zip(&velocities)
        .map(|(zone, velocity)| zone.area / mixing_area * velocity * velocity)
        .sum();
    let loss_coefficient = (head - 2.0 * momentum) / (face_velocity * face_velocity)
        + (reference_area / mixing_area).powi(2);
    FaceLoss {
        loss_coefficient,
        zone_velocities: velocities,
    }
}

/// Half-width of K, on the reference area, that the change of area leaves open: a sudden contraction more or less, ahead of the
/// plate (or behind it where the patterned zones are the wider), of which it is not known how much the plate suppresses.
///
/// ```text
/// 0.5 (1 - s) on the velocity in the smaller area,   s: smaller over larger area
/// ```
pub(super) fn area_change_half_width(zones: &[ZoneResistance], reference_area: f64) -> f64 {
    let total_area: f64 = zones.iter().map(|zone| zone.area).sum();
    let (small, large) = (
        total_area.min(reference_area),
        total_area.max(reference_area),
    );
    0.5 * (1.0 - small / large) * (reference_area / small).powi(2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn zone(area: f64, viscous: f64, inertial: f64) -> ZoneResistance {
        ZoneResistance {
            area,
            viscous,
            inertial,
            cover_viscous: 0.0,
            cover_inertial: 0.0,
        }
    }

    #[test]
    fn one_zone_over_the_whole_reference_area_keeps_its_own_law() {
        let division = divide(&[zone(0.01, 0.4, 1.5)], 0.03, 0.01);
        assert!((division.zone_velocities[0] - 3.0).abs() < 1e-12);
        assert!((division.loss_coefficient - (0.4 / 3.0 + 1.5)).abs() < 1e-12);
    }

    #[test]
    fn a_smaller_zone_costs_the_square_and_the_expansion() {
        // s = 0.8: K/s^2 + (1/s - 1)^2, Borda and Carnot.
        let division = divide(&[zone(0.008, 0.0, 2.0)], 0.03, 0.01);
        let exact = 2.0 / 0.64 + 0.25 * 0.25;
        assert!((division.loss_coefficient - exact).abs() < 1e-12);
        assert!(area_change_half_width(&[zone(0.008, 0.0, 2.0)], 0.01) > 0.1);
    }

    #[test]
    fn equal_zones_are_as_good_as_one() {
        let whole = divide(&[zone(0.009, 0.5, 1.2)], 0.025, 0.01);
        let parts = [
            zone(0.002, 0.5, 1.2),
            zone(0.003, 0.5, 1.2),
            zone(0.004, 0.5, 1.2),
        ];
        let divided = divide(&parts, 0.025, 0.01);
        assert!((whole.loss_coefficient - divided.loss_coefficient).abs() < 1e-12);
    }

    #[test]
    fn unequal_zones_share_one_pressure_and_carry_all_the_air() {
        let zones = [zone(0.004, 0.3, 0.5), zone(0.006, 0.0, 3.0)];
        let division = divide(&zones, 0.02, 0.01);
        let heads: Vec<f64> = zones
            .iter()
            .zip(&division.zone_velocities)
            .map(|(zone, velocity)| zone.head(*velocity))
            .collect();
        assert!((heads[0] / heads[1] - 1.0).abs() < 1e-12);
        let carried = 0.004 * division.zone_velocities[0] + 0.006 * division.zone_velocities[1];
        assert!((carried / 0.02 - 1.0).abs() < 1e-12);
        // Better than the worse zone alone, worse than the better one.
        assert!(division.loss_coefficient > 0.5 && division.loss_coefficient < 3.0);
    }

    #[test]
    fn a_zone_wider_than_the_reference_area_adds_no_expansion() {
        let division = divide(&[zone(0.0143, 0.0, 1.0)], 0.03, 0.0127);
        let exact = (0.0127_f64 / 0.0143).powi(2);
        assert!((division.loss_coefficient - exact).abs() < 1e-12);
    }

    #[test]
    fn what_lies_on_the_holes_adds_to_their_law_and_can_be_taken_off() {
        let covered = ZoneResistance {
            cover_viscous: 0.2,
            cover_inertial: 0.6,
            ..zone(0.01, 0.4, 1.5)
        };
        // (0.4 + 0.2)/3 + 1.5 + 0.6 at 3 m/s.
        let loss = |zone: ZoneResistance| divide(&[zone], 0.03, 0.01).loss_coefficient;
        assert!((loss(covered) - 2.3).abs() < 1e-12);
        assert!((loss(covered.uncovered()) - (0.4 / 3.0 + 1.5)).abs() < 1e-12);
        // Another law of the holes keeps what lies on them: 0.9/3 + 0.5 + 0.2/3 + 0.6.
        assert!((loss(covered.with_own_law(0.9, 0.5)) - (1.4 + 0.2 / 3.0)).abs() < 1e-12);
    }

    #[test]
    fn a_change_of_area_leaves_a_contraction_open() {
        // s = 0.8: 0.5 · 0.2 on the velocity in the smaller area; in a zone that is the smaller that is 1/0.64 times as much on the reference area.
        let narrow = area_change_half_width(&[zone(0.003, 0.0, 2.0), zone(0.005, 0.0, 2.0)], 0.01);
        assert!((narrow - 0.1 / 0.64).abs() < 1e-12);
        let wide = area_change_half_width(&[zone(0.0125, 0.0, 2.0)], 0.01);
        assert!((wide - 0.1).abs() < 1e-12);
        assert!(area_change_half_width(&[zone(0.01, 0.0, 2.0)], 0.01).abs() < 1e-12);
    }
}
