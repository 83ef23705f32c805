//! The air that leaves an axial fan: how fast at which radius, how much it turns, and what its turning core sucks.

use std::f64::consts::{PI, TAU};

use crate::fan::exit_profile::AxialShape;
use crate::fan::{ExitProfile, Fan};

/// Hydraulic efficiency of the blades where none is given (from memory: 0.5 to 0.7 for small axial fans).
pub const HYDRAULIC_EFFICIENCY: f64 = 0.55;

/// How far the hydraulic efficiency may lie below and above what is taken, at 95 %: the default then spans 0.5 to 0.7.
const EFFICIENCY_BAND: (f64, f64) = (0.05, 0.15);

/// How far the tangent of a given swirl angle may be off, as a part of it, at 95 %. Judgement: a thread or a vane reads an angle of 30 degrees to 2 or 3.
const ANGLE_BAND: f64 = 0.1;

/// Largest tangent of the swirl angle at the median radius, 60 degrees: beyond it blades stall and Euler's equation says nothing.
const LARGEST_TANGENT: f64 = 1.732_050_807_568_877_2;

/// Least radius of the core that turns as a solid, over the tip's radius, where the hub is smaller. Judgement.
const LEAST_CORE: f64 = 0.2;

/// The flow that leaves a fan, or that a fan draws in.
///
/// The air leaves between hub and tip, in the hub's wake nothing does.
/// It turns as a free vortex (`u_theta = C / r`, the same work at every radius), and as a solid within the hub's wake (a Rankine vortex).
#[derive(Debug, Clone, PartialEq)]
pub struct FanExit {
    density: f64,
    hub_radius: f64,
    tip_radius: f64,
    /// From which radius on air leaves, m.
    air_from: f64,
    axial: AxialShape,
    source: SwirlSource,
    /// Circulation over flow of an angle that was given, 1/m.
    given: f64,
}

/// Where the swirl comes from.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SwirlSource {
    /// Nothing says how the air turns.
    Unknown,
    /// Nothing turns: the intake side.
    None,
    /// The tangent of the swirl angle at a radius (m) was given; it stays the same at any flow.
    Given {
        /// Its value.
        tangent: f64,
        /// At which radius, m.
        radius: f64,
    },
    /// Euler's turbomachine equation.
    Euler {
        /// Hydraulic efficiency of the blades.
        efficiency: f64,
        /// Angular speed, rad/s.
        angular_speed: f64,
    },
}

impl FanExit {
    /// What leaves a fan in air of this density, kg/m³.
    ///
    /// A swirl angle that was given goes before Euler's equation, and holds at the radius within which half of the annulus lies.
    /// Euler's equation needs speed and curve:
    ///
    /// ```text
    /// p_t = rho eta w r u_theta,    p_t = p(Q) + 0.5 rho (Q/A)^2
    /// p(Q): static pressure of the fan curve;  A: annulus between hub and tip;  eta: hydraulic efficiency;  w: angular speed
    /// ```
    pub fn of(fan: &Fan, density: f64) -> Self {
        let (hub_radius, tip_radius) = (0.5 * fan.hub_diameter, 0.5 * fan.bore_diameter);
        let has_curve = fan.supply.band().is_some();
        let source = match (fan.swirl_angle, fan.speed) {
            (Some(angle), _) => SwirlSource::Given {
                tangent: angle.tan(),
                radius: median(hub_radius, tip_radius),
            },
            (None, Some(speed)) if has_curve => SwirlSource::Euler {
                efficiency: fan.hydraulic_efficiency,
                angular_speed: TAU * speed,
            },
            _ => SwirlSource::Unknown,
        };
        Self::new(density, hub_radius, tip_radius, &fan.exit_profile, source)
    }

    /// Air that leaves an annulus (radii in m) with this swirl.
    pub fn new(
        density: f64,
        hub_radius: f64,
        tip_radius: f64,
        profile: &ExitProfile,
        source: SwirlSource,
    ) -> Self {
        let mut exit = Self {
            density,
            hub_radius,
            tip_radius,
            air_from: hub_radius,
            axial: AxialShape::of(profile, hub_radius, tip_radius),
            source,
            given: 0.0,
        };
        if let SwirlSource::Given { tangent, radius } = source {
            exit.given = tangent * radius * exit.relative_velocity(radius) / exit.area();
        }
        exit
    }

    /// What a fan draws in: as fast everywhere, without swirl.
    pub fn intake(fan: &Fan, density: f64) -> Self {
        let radii = (0.5 * fan.hub_diameter, 0.5 * fan.bore_diameter);
        Self::new(
            density,
            radii.0,
            radii.1,
            &ExitProfile::Uniform,
            SwirlSource::None,
        )
    }

    /// The same swirl in air as it meets a grille: halfway between how it leaves the fan and air that has spread evenly over the whole bore.
    ///
    /// At a plate across the stream a disturbance of the axial velocity is the mean of those far ahead and far behind, and behind a plate with a K of
    /// several hardly any is left (G. I. Taylor, G. K. Batchelor, The effect of wire gauze on small disturbances in a uniform stream,
    /// Q. J. Mech. Appl. Math. 2 (1949); from memory). A hub's wake is no small disturbance, and a narrow gap leaves less room: the ranking takes
    /// all between this air and even air as a doubt.
    #[must_use]
    pub fn half_spread(&self) -> Self {
        Self {
            air_from: 0.0,
            axial: self.axial.half_spread(),
            ..self.clone()
        }
    }

    /// The same swirl in air that has spread evenly over the whole bore, the hub's wake included.
    #[must_use]
    pub fn spread_evenly(&self) -> Self {
        Self {
            air_from: 0.0,
            axial: AxialShape::of(&ExitProfile::Uniform, 0.0, self.tip_radius),
            ..self.clone()
        }
    }

    /// Where the swirl comes from.
    pub fn source(&self) -> SwirlSource {
        self.source
    }

    /// Radius of the hub, m.
    pub fn hub_radius(&self) -> f64 {
        self.hub_radius
    }

    /// Radius of the tip, m.
    pub fn tip_radius(&self) -> f64 {
        self.tip_radius
    }

    /// From which radius on air leaves, m: the hub's, or 0 where it has spread.
    pub fn air_from(&self) -> f64 {
        self.air_from
    }

    /// Area through which the air leaves, m².
    pub fn area(&self) -> f64 {
        PI * (self.tip_radius.powi(2) - self.air_from.powi(2))
    }

    /// The radius within which half of the annulus between hub and tip lies, m.
    pub fn median_radius(&self) -> f64 {
        median(self.hub_radius, self.tip_radius)
    }

    /// Three radii between hub and tip, m: the medians of thirds of equal area, from the hub outwards.
    pub fn three_radii(&self) -> [f64; 3] {
        let (inner, outer) = (self.hub_radius.powi(2), self.tip_radius.powi(2));
        [1.0, 3.0, 5.0].map(|sixths| (inner + (outer - inner) * sixths / 6.0).sqrt())
    }

    /// Axial velocity over its area mean at a radius, m; 0 where no air leaves.
    pub fn relative_velocity(&self, radius: f64) -> f64 {
        if radius < self.air_from || radius > self.tip_radius {
            0.0
        } else {
            self.axial.at(radius)
        }
    }

    /// Radius times swirl velocity outside the core, m²/s, at a flow in m³/s and the fan's static pressure there, Pa.
    ///
    /// `None` when the swirl is not known: no speed and no angle, or no pressure for Euler's equation.
    /// At the median radius the angle is held to 60 degrees.
    pub fn circulation(&self, flow: f64, static_pressure: Option<f64>) -> Option<f64> {
        let annulus = PI * (self.tip_radius.powi(2) - self.hub_radius.powi(2));
        let mean = flow / annulus;
        let circulation = match self.source {
            SwirlSource::Unknown => return None,
            SwirlSource::None => 0.0,
            SwirlSource::Given { .. } => self.given * flow,
            SwirlSource::Euler {
                efficiency,
                angular_speed,
            } => {
                let total = static_pressure? + 0.5 * self.density * mean * mean;
                total / (self.density * efficiency * angular_speed)
            }
        };
        let largest = self.largest_circulation(flow);
        Some(circulation.clamp(-largest, largest))
    }

    /// Whether the circulation at this flow had to be held to an angle of 60 degrees.
    pub fn is_held(&self, flow: f64, static_pressure: Option<f64>) -> bool {
        self.circulation(flow, static_pressure)
            .is_some_and(|circulation| circulation.abs() >= self.largest_circulation(flow))
    }

    fn largest_circulation(&self, flow: f64) -> f64 {
        let annulus = PI * (self.tip_radius.powi(2) - self.hub_radius.powi(2));
        LARGEST_TANGENT * self.median_radius() * flow / annulus
    }

    /// By which factors the circulation may be smaller and larger at 95 %.
    pub fn circulation_band(&self) -> (f64, f64) {
        match self.source {
            SwirlSource::Unknown | SwirlSource::None => (1.0, 1.0),
            SwirlSource::Given { .. } => (1.0 - ANGLE_BAND, 1.0 + ANGLE_BAND),
            SwirlSource::Euler { efficiency, .. } => {
                let (below, above) = EFFICIENCY_BAND;
                let lowest = (efficiency - below).max(0.5 * efficiency);
                (efficiency / (efficiency + above), efficiency / lowest)
            }
        }
    }

    /// Velocity around the axis, m/s, at a radius in m.
    ///
    /// ```text
    /// u_theta = C / r,    C r / rc^2 within the core;    C: circulation;  rc: the hub's radius, at least a fifth of the tip's
    /// ```
    pub fn swirl_velocity(&self, circulation: f64, radius: f64) -> f64 {
        let core = self.core_radius();
        if radius < core {
            circulation * radius / (core * core)
        } else {
            circulation / radius
        }
    }

    /// Tangent of the swirl angle at a radius in m; 0 where no air leaves.
    pub fn swirl_tangent(&self, circulation: f64, flow: f64, radius: f64) -> f64 {
        let axial = self.relative_velocity(radius) * flow / self.area();
        if axial > 0.0 {
            self.swirl_velocity(circulation, radius) / axial
        } else {
            0.0
        }
    }

    /// Radius of the core that turns as a solid, m.
    pub fn core_radius(&self) -> f64 {
        self.hub_radius.max(LEAST_CORE * self.tip_radius)
    }

    /// Air density, kg/m³.
    pub fn density(&self) -> f64 {
        self.density
    }

    /// Static pressure less that at the tip, area mean over the annulus between hub and tip, Pa: what the swirl of this circulation sucks (not above zero).
    pub fn mean_suction(&self, circulation: f64) -> f64 {
        let swirl = |radius: f64| self.swirl_velocity(circulation, radius);
        crate::fan::suction::mean_suction(
            self.density,
            [self.hub_radius, self.tip_radius],
            &[self.core_radius()],
            swirl,
        )
    }
}

/// The radius within which half of an annulus lies, m.
fn median(inner: f64, outer: f64) -> f64 {
    (0.5 * (inner * inner + outer * outer)).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::Supply;

    fn exit(source: SwirlSource) -> FanExit {
        FanExit::new(1.2, 0.021, 0.0675, &ExitProfile::Uniform, source)
    }

    #[test]
    fn a_given_angle_is_met_at_its_radius_at_any_flow() {
        let source = SwirlSource::Given {
            tangent: 0.5,
            radius: 0.05,
        };
        for profile in [ExitProfile::Uniform, ExitProfile::Outboard] {
            let exit = FanExit::new(1.2, 0.021, 0.0675, &profile, source);
            for flow in [0.01, 0.03] {
                let circulation = exit.circulation(flow, None).unwrap();
                let seen = exit.swirl_tangent(circulation, flow, 0.05);
                assert!((seen - 0.5).abs() < 1e-12, "{profile:?}");
            }
        }
    }

    #[test]
    fn what_is_not_known_is_not_made_up() {
        assert_eq!(
            exit(SwirlSource::Unknown).circulation(0.03, Some(8.0)),
            None
        );
        let euler = SwirlSource::Euler {
            efficiency: 0.55,
            angular_speed: 178.0,
        };
        assert_eq!(exit(euler).circulation(0.03, None), None);
        assert_eq!(exit(SwirlSource::None).circulation(0.03, None), Some(0.0));
    }

    #[test]
    fn a_throttled_fan_turns_the_air_more_but_never_beyond_sixty_degrees() {
        let euler = exit(SwirlSource::Euler {
            efficiency: 0.55,
            angular_speed: 178.0,
        });
        let tangent = |flow: f64, pressure: f64| {
            let circulation = euler.circulation(flow, Some(pressure)).unwrap();
            euler.swirl_tangent(circulation, flow, euler.median_radius())
        };
        assert!(tangent(0.03, 12.0) > tangent(0.04, 6.0));
        assert!((tangent(1e-6, 25.0) - 60_f64.to_radians().tan()).abs() < 1e-9);
    }

    #[test]
    fn the_default_efficiency_spans_its_range() {
        let (low, high) = exit(SwirlSource::Euler {
            efficiency: HYDRAULIC_EFFICIENCY,
            angular_speed: 100.0,
        })
        .circulation_band();
        assert!((high - 0.55 / 0.5).abs() < 1e-12 && (low - 0.55 / 0.7).abs() < 1e-12);
    }

    /// A hub of 0.03 m and a tip of 0.05 m: an annulus of π · 0.0016 m².
    fn annulus(source: SwirlSource) -> FanExit {
        FanExit::new(1.2, 0.03, 0.05, &ExitProfile::Uniform, source)
    }

    #[test]
    fn radii_and_areas_by_hand() {
        let exit = annulus(SwirlSource::None);
        assert!((exit.area() - PI * 0.0016).abs() < 1e-15);
        // Half of the area lies within √((9 + 25)/2 · 1e-4).
        assert!((exit.median_radius() - 17e-4_f64.sqrt()).abs() < 1e-15);
        // Thirds of the area: medians at 1, 3 and 5 sixths of the way from 9 to 25.
        for (radius, square) in exit
            .three_radii()
            .iter()
            .zip([35.0 / 3.0, 17.0, 67.0 / 3.0])
        {
            assert!((radius * radius - square * 1e-4).abs() < 1e-15);
        }
        assert!((exit.tip_radius() - 0.05).abs() < 1e-15);
        assert!((exit.hub_radius() - 0.03).abs() < 1e-15);
        assert!((exit.density() - 1.2).abs() < 1e-15);
    }

    #[test]
    fn air_that_has_spread_leaves_through_the_whole_bore() {
        let exit = annulus(SwirlSource::None);
        assert!((exit.air_from() - 0.03).abs() < 1e-15);
        assert!(exit.relative_velocity(0.01).abs() < 1e-15);
        let even = exit.spread_evenly();
        assert!(even.air_from().abs() < 1e-15);
        assert!((even.area() - PI * 0.0025).abs() < 1e-15);
        assert!((even.relative_velocity(0.01) - 1.0).abs() < 1e-12);
        // Halfway: half a share everywhere, and half of the annulus' air, which is 25/16 of the mean there.
        let half = exit.half_spread();
        assert!((half.area() - PI * 0.0025).abs() < 1e-15);
        assert!((half.relative_velocity(0.01) - 0.5).abs() < 1e-12);
        assert!((half.relative_velocity(0.04) - (0.5 + 0.5 * 25.0 / 16.0)).abs() < 1e-12);
        assert!(half.relative_velocity(0.051).abs() < 1e-15);
    }

    #[test]
    fn eulers_circulation_by_hand() {
        // 0.0016 π m² and 6 m/s: 0.5 · 1.2 · 36 = 21.6 Pa beside 10 Pa static; over 1.2 · 0.5 · 400 that is 0.131667 m²/s.
        let exit = annulus(SwirlSource::Euler {
            efficiency: 0.5,
            angular_speed: 400.0,
        });
        let flow = 6.0 * PI * 0.0016;
        let circulation = exit.circulation(flow, Some(10.0)).unwrap();
        assert!((circulation - 31.6 / 240.0).abs() < 1e-12);
        assert!(!exit.is_held(flow, Some(10.0)));
        // A tenth of that flow and 20 Pa would turn it by more than 60 degrees.
        assert!(exit.is_held(0.1 * flow, Some(20.0)));
        // As 1/r outside the hub's radius, as a solid within it.
        assert!((exit.swirl_velocity(circulation, 0.04) - circulation / 0.04).abs() < 1e-12);
        assert!((exit.swirl_velocity(circulation, 0.015) - 0.5 * circulation / 0.03).abs() < 1e-12);
        assert!(
            (exit.swirl_tangent(circulation, flow, 0.04) - circulation / 0.04 / 6.0).abs() < 1e-12
        );
        assert!(exit.swirl_tangent(circulation, flow, 0.02).abs() < 1e-15);
    }

    #[test]
    fn what_a_vortex_sucks_in_closed_form() {
        // Outside the core dp/dr = rho C²/r³, so p(r) - p(R) = -rho C²/2 (1/r² - 1/R²); area mean over an annulus from h to R:
        // -rho C² (ln(R/h) / (R² - h²) - 1/(2 R²)).
        let exit = annulus(SwirlSource::None);
        let by_hand = -1.2 * 0.01 * ((5.0_f64 / 3.0).ln() / 0.0016 - 0.5 / 0.0025);
        assert!((exit.mean_suction(0.1) / by_hand - 1.0).abs() < 1e-6);
    }

    fn fan(supply: Supply, swirl_angle: Option<f64>, speed: Option<f64>) -> Fan {
        Fan {
            name: "fan".to_owned(),
            bore_diameter: 0.1,
            hub_diameter: 0.06,
            speed,
            blade_count: None,
            swirl_angle,
            hydraulic_efficiency: 0.6,
            exit_profile: ExitProfile::Outboard,
            supply,
        }
    }

    fn two_numbers() -> Supply {
        Supply::TwoNumbers {
            free_flow: 0.03,
            shut_off_pressure: 20.0,
        }
    }

    #[test]
    fn an_intake_draws_evenly_and_without_swirl() {
        let intake = FanExit::intake(&fan(two_numbers(), Some(0.5), None), 1.2);
        assert!((intake.tip_radius() - 0.05).abs() < 1e-15);
        assert!((intake.hub_radius() - 0.03).abs() < 1e-15);
        assert!((intake.relative_velocity(0.031) - 1.0).abs() < 1e-12);
        assert_eq!(intake.circulation(0.03, None), Some(0.0));
    }

    #[test]
    fn an_angle_goes_before_euler_and_euler_needs_speed_and_curve() {
        let source = |supply: Supply, angle: Option<f64>, speed: Option<f64>| {
            FanExit::of(&fan(supply, angle, speed), 1.2).source()
        };
        let angle = 30_f64.to_radians();
        let SwirlSource::Given { tangent, radius } = source(two_numbers(), Some(angle), Some(25.0))
        else {
            panic!("an angle was given");
        };
        assert!((tangent - 1.0 / 3_f64.sqrt()).abs() < 1e-12);
        assert!((radius - 17e-4_f64.sqrt()).abs() < 1e-15);
        let SwirlSource::Euler {
            efficiency,
            angular_speed,
        } = source(two_numbers(), None, Some(25.0))
        else {
            panic!("speed and curve are known");
        };
        // 25 turns a second.
        assert!((angular_speed - 157.079_632).abs() < 1e-5);
        assert!((efficiency - 0.6).abs() < 1e-15);
        let unknown = SwirlSource::Unknown;
        assert_eq!(source(two_numbers(), None, None), unknown);
        assert_eq!(source(Supply::GivenFlow(0.03), None, Some(25.0)), unknown);
    }
}
