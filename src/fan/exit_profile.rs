//! How the air that leaves a fan is spread between hub and tip.

/// How much faster or slower than on average the air leaves at each radius between hub and tip.
#[derive(Debug, Clone, PartialEq)]
pub enum ExitProfile {
    /// As fast everywhere.
    Uniform,
    /// The default of a fan: slow at the hub, fastest at some three quarters of the tip's radius, slower at the tip.
    ///
    /// ```text
    /// relative velocity 0.6 at the hub, 1.15 at 65 % of the way to the tip, 0.85 at the tip; straight lines between
    /// ```
    ///
    /// Judgement: axial fans with a small hub blow an annular jet whose peak lies at 70 to 90 % of the tip's radius (from memory), and the flow
    /// separates at the hub, the more so the smaller the hub.
    Outboard,
    /// Points from the fan's maker or from a traverse, by rising radius; straight lines between, level beyond both ends.
    Given(Vec<ExitPoint>),
}

/// A point of an exit profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ExitPoint {
    /// Radius, m.
    pub radius: f64,
    /// Axial velocity there, in any unit that all points share.
    pub relative_velocity: f64,
}

/// The default profile: part of the way from hub to tip, relative velocity.
const OUTBOARD: [(f64, f64); 3] = [(0.0, 0.6), (0.65, 1.15), (1.0, 0.85)];

/// Axial velocity over its area mean between two radii.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct AxialShape {
    /// Radius (m) and velocity over the mean, rising radius, from the first to the last radius.
    knots: Vec<(f64, f64)>,
}

impl AxialShape {
    /// The profile between two radii, m; as fast everywhere where a given table holds no air.
    pub(super) fn of(profile: &ExitProfile, inner: f64, outer: f64) -> Self {
        let raw: Vec<(f64, f64)> = match profile {
            ExitProfile::Uniform => Vec::new(),
            ExitProfile::Outboard => OUTBOARD
                .iter()
                .map(|&(way, velocity)| (inner + way * (outer - inner), velocity))
                .collect(),
            ExitProfile::Given(points) => points
                .iter()
                .map(|point| (point.radius, point.relative_velocity))
                .collect(),
        };
        let even = Self {
            knots: vec![(inner, 1.0), (outer, 1.0)],
        };
        if raw.is_empty() {
            return even;
        }
        let raw = Self { knots: raw };
        let inside = raw
            .knots
            .iter()
            .filter(|knot| inner < knot.0 && knot.0 < outer);
        let mut knots = vec![(inner, raw.at(inner))];
        knots.extend(inside.copied());
        knots.push((outer, raw.at(outer)));
        let cut = Self { knots };
        let mean = cut.mean();
        if !(mean.is_finite() && mean > 0.0) {
            return even;
        }
        Self {
            knots: cut
                .knots
                .iter()
                .map(|knot| (knot.0, knot.1 / mean))
                .collect(),
        }
    }

    /// Halfway between this profile, with no air within its first radius, and air that is as fast everywhere: from the axis on.
    pub(super) fn half_spread(&self) -> Self {
        let (inner, outer) = (self.knots[0].0, self.knots[self.knots.len() - 1].0);
        let crowded = outer * outer / (outer * outer - inner * inner);
        let mut knots = Vec::with_capacity(self.knots.len() + 2);
        if inner > 0.0 {
            knots.extend([(0.0, 0.5), (inner, 0.5)]);
        }
        let own = self.knots.iter();
        knots.extend(own.map(|&(radius, velocity)| (radius, 0.5 + 0.5 * crowded * velocity)));
        Self { knots }
    }

    /// Velocity over the mean at a radius, m; beyond the ends as there.
    pub(super) fn at(&self, radius: f64) -> f64 {
        let above = self.knots.partition_point(|knot| knot.0 <= radius);
        match (
            above.checked_sub(1).map(|i| self.knots[i]),
            self.knots.get(above),
        ) {
            (Some(left), Some(right)) => {
                left.1 + (right.1 - left.1) * (radius - left.0) / (right.0 - left.0)
            }
            (Some(last), None) => last.1,
            (None, Some(first)) => first.1,
            (None, None) => 1.0,
        }
    }

    /// Area mean between the first and the last radius.
    fn mean(&self) -> f64 {
        let (mut carried, mut area) = (0.0, 0.0);
        for pair in self.knots.windows(2) {
            let ((r0, v0), (r1, v1)) = (pair[0], pair[1]);
            // Velocity and radius are both straight lines over the stretch: Simpson's rule is exact.
            let middle = 0.25 * (v0 + v1) * (r0 + r1);
            carried += (r1 - r0) / 6.0 * (v0 * r0 + 4.0 * middle + v1 * r1);
            area += 0.5 * (r1 * r1 - r0 * r0);
        }
        carried / area
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_area_mean_is_one_whatever_the_table_says() {
        let given = ExitProfile::Given(vec![
            ExitPoint {
                radius: 0.030,
                relative_velocity: 2.0,
            },
            ExitPoint {
                radius: 0.045,
                relative_velocity: 5.0,
            },
        ]);
        for profile in [ExitProfile::Uniform, ExitProfile::Outboard, given] {
            let shape = AxialShape::of(&profile, 0.02, 0.058);
            assert!((shape.mean() - 1.0).abs() < 1e-12, "{profile:?}");
        }
    }

    #[test]
    fn the_default_is_fastest_outboard_and_a_table_is_level_beyond_its_ends() {
        let shape = AxialShape::of(&ExitProfile::Outboard, 0.35, 1.0);
        let fastest = (35..=100).max_by(|a, b| {
            let at = |i: &u32| shape.at(f64::from(*i) / 100.0);
            at(a).total_cmp(&at(b))
        });
        assert_eq!(fastest, Some(77));
        let given = ExitProfile::Given(vec![
            ExitPoint {
                radius: 0.5,
                relative_velocity: 1.0,
            },
            ExitPoint {
                radius: 0.8,
                relative_velocity: 3.0,
            },
        ]);
        let shape = AxialShape::of(&given, 0.35, 1.0);
        assert!((shape.at(0.4) - shape.at(0.5)).abs() < 1e-12);
        assert!((shape.at(0.9) / shape.at(0.4) - 3.0).abs() < 1e-12);
    }

    #[test]
    fn half_spread_air_carries_the_same_flow_over_the_whole_bore() {
        for inner in [0.0, 0.02] {
            let shape = AxialShape::of(&ExitProfile::Outboard, inner, 0.058).half_spread();
            assert!((shape.mean() - 1.0).abs() < 1e-12, "{inner}");
            assert!(inner == 0.0 || (shape.at(0.5 * inner) - 0.5).abs() < 1e-12);
        }
    }

    #[test]
    fn a_table_without_air_is_taken_as_even() {
        let nothing = ExitProfile::Given(vec![ExitPoint {
            radius: 0.5,
            relative_velocity: 0.0,
        }]);
        assert!((AxialShape::of(&nothing, 0.35, 1.0).at(0.6) - 1.0).abs() < 1e-12);
    }

    #[test]
    fn straight_lines_between_points_and_their_area_mean_by_hand() {
        // 1 to 3 between radii 0 and 1: ∫ (1 + 2r) 2r dr = 1 + 4/3, so each velocity is over 7/3.
        let shape = AxialShape::of(
            &ExitProfile::Given(
                [(0.0, 1.0), (1.0, 3.0)]
                    .map(|(radius, relative_velocity)| ExitPoint {
                        radius,
                        relative_velocity,
                    })
                    .to_vec(),
            ),
            0.0,
            1.0,
        );
        for (radius, velocity) in [(0.0, 1.0), (0.25, 1.5), (0.5, 2.0), (1.0, 3.0), (1.2, 3.0)] {
            assert!(
                (shape.at(radius) - velocity * 3.0 / 7.0).abs() < 1e-12,
                "{radius}"
            );
        }
    }

    #[test]
    fn half_spread_air_is_half_even_and_half_as_it_left() {
        // Even air from 0.03 to 0.05 m is 25/16 times the mean over the whole bore.
        let half = AxialShape::of(&ExitProfile::Uniform, 0.03, 0.05).half_spread();
        assert!((half.at(0.01) - 0.5).abs() < 1e-12);
        assert!((half.at(0.04) - (0.5 + 0.5 * 25.0 / 16.0)).abs() < 1e-12);
    }
}
