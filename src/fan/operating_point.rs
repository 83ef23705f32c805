//! Where a fan settles: every flow at which its pressure equals what the air's way costs.

use crate::fan::Characteristic;
use crate::likely::Warning;
use crate::units::CUBIC_METRES_PER_HOUR;

/// Pieces into which the search cuts the stretch between two knots.
const PIECES: u32 = 48;

/// A fan curve falls too gently to hold the flow when it falls less than this share of its largest
/// pressure over its largest flow.
const FLAT_SHARE: f64 = 0.1;

/// A flow at which the fan may settle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct OperatingPoint {
    /// Volume flow, m³/s.
    pub flow: f64,
    /// Static pressure, Pa.
    pub pressure: f64,
    /// Slope of the fan curve, Pa s/m³; negative where the fan works as it should.
    pub fan_slope: f64,
    /// Slope of the system curve (what the air's way costs), Pa s/m³.
    pub system_slope: f64,
}

impl OperatingPoint {
    /// Whether a small disturbance of the flow dies out: the system curve is steeper than the fan curve.
    pub fn is_stable(&self) -> bool {
        self.system_slope > self.fan_slope
    }
}

/// All points at which a fan may settle.
#[derive(Debug, Clone, PartialEq)]
pub struct OperatingPoints {
    /// Every intersection of the two curves, rising flow. Never empty.
    pub all: Vec<OperatingPoint>,
    /// The one that the fan is taken to settle at: the stable one with the largest flow, which a fan reaches that starts with
    /// little in its way.
    pub main: OperatingPoint,
    /// Doubts: several intersections, flat or rising fan curve, continued fan curve.
    pub warnings: Vec<Warning>,
}

impl OperatingPoints {
    /// The stable point nearest to a flow, m³/s.
    pub fn nearest(&self, flow: f64) -> OperatingPoint {
        let distance = |point: &OperatingPoint| (point.flow - flow).abs();
        self.all
            .iter()
            .filter(|point| point.is_stable())
            .copied()
            .min_by(|a, b| distance(a).total_cmp(&distance(b)))
            .unwrap_or(self.main)
    }
}

/// Why a fan settles nowhere on its curve.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum NoOperatingPoint {
    /// At the end of the curve the fan still makes more pressure than the air's way costs.
    #[error(
        "the fan curve ends at {largest_flow_m3_per_h:.1} m³/h with {pressure_pa:.2} Pa, where the air path costs only {cost_pa:.2} Pa"
    )]
    BeyondTheCurve {
        /// Flow at the end of the curve.
        largest_flow_m3_per_h: f64,
        /// Pressure of the fan there.
        pressure_pa: f64,
        /// Cost of the air's way there.
        cost_pa: f64,
    },
    /// At the end of the curve the air's way gives pressure back instead of costing any.
    #[error(
        "at {largest_flow_m3_per_h:.1} m³/h, where the fan curve ends, the air path gives back more pressure than it costs: the fan would move more air than its curve tells of"
    )]
    GivesBack {
        /// Flow at the end of the curve.
        largest_flow_m3_per_h: f64,
        /// Pressure of the fan there.
        pressure_pa: f64,
    },
    /// The air's way costs more than the fan makes, at any flow.
    #[error("the fan never makes the pressure that the air path costs")]
    Blocked,
    /// The system curve gave something that is no number.
    #[error("the pressure drop of the air path is not a number at {flow_m3_per_h:.1} m³/h")]
    NotANumber {
        /// At which flow.
        flow_m3_per_h: f64,
    },
}

impl NoOperatingPoint {
    /// Fixed short code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::BeyondTheCurve { .. } => "fan-curve-too-short",
            Self::GivesBack { .. } => "fan-curve-beyond-free-flow",
            Self::Blocked => "fan-blocked",
            Self::NotANumber { .. } => "system-not-a-number",
        }
    }

    /// What to do about it.
    pub fn hint(&self) -> &'static str {
        match self {
            Self::BeyondTheCurve { .. } => "add points to the fan curve up to free flow",
            Self::GivesBack { pressure_pa, .. } if *pressure_pa > 0.0 => {
                "give the fan curve down to 0 Pa, or what else is in the air's way (pc_case_k, a panel)"
            }
            Self::GivesBack { .. } => {
                "give what else is in the air's way (pc_case_k, a panel): against some resistance the fan settles on its curve"
            }
            Self::Blocked => "give the fan curve down to zero flow",
            Self::NotANumber { .. } => "please report this: it is a bug",
        }
    }
}

/// Every flow above zero at which a fan's pressure equals `system` (Pa at a flow in m³/s), to the last bits of an `f64`.
///
/// Each stretch between two knots of the fan curve is cut into 48 pieces; a change of sign is bisected to the end.
/// Where the difference of the curves has an extreme within a piece, the extreme is found first, so that two intersections in one
/// piece are both seen.
///
/// # Errors
/// [`NoOperatingPoint`] when there is none.
///
/// # Examples
/// ```
/// use ventwright::fan::{Characteristic, operating_points};
/// let fan = Characteristic::of_two_numbers(0.04, 20.0, 1.0);
/// let settled = operating_points(&fan, |flow| 20.0 * (flow / 0.04).powi(2))?;
/// assert!((settled.main.flow - 0.04 * 0.5_f64.sqrt()).abs() < 1e-12);
/// # Ok::<(), ventwright::fan::NoOperatingPoint>(())
/// ```
pub fn operating_points(
    fan: &Characteristic,
    system: impl Fn(f64) -> f64,
) -> Result<OperatingPoints, NoOperatingPoint> {
    let excess = |flow: f64| fan.pressure(flow) - system(flow);
    let flows = intersections(fan, &excess)?;
    let all: Vec<OperatingPoint> = flows
        .into_iter()
        .map(|flow| OperatingPoint {
            flow,
            pressure: fan.pressure(flow),
            fan_slope: fan.slope(flow),
            system_slope: slope_of(&system, flow),
        })
        .collect();
    let Some(&main) = all
        .iter()
        .rev()
        .find(|point| point.is_stable())
        .or(all.last())
    else {
        let end = fan.largest_flow();
        return Err(if excess(end) > 0.0 && system(end) < 0.0 {
            NoOperatingPoint::GivesBack {
                largest_flow_m3_per_h: end * CUBIC_METRES_PER_HOUR,
                pressure_pa: fan.pressure(end),
            }
        } else if excess(end) > 0.0 {
            NoOperatingPoint::BeyondTheCurve {
                largest_flow_m3_per_h: end * CUBIC_METRES_PER_HOUR,
                pressure_pa: fan.pressure(end),
                cost_pa: system(end),
            }
        } else {
            NoOperatingPoint::Blocked
        });
    };
    let warnings = doubts(fan, &all, &main);
    Ok(OperatingPoints {
        all,
        main,
        warnings,
    })
}

/// Flows above zero at which `excess` vanishes, rising.
fn intersections(
    fan: &Characteristic,
    excess: &impl Fn(f64) -> f64,
) -> Result<Vec<f64>, NoOperatingPoint> {
    let mut grid = Vec::new();
    for pair in fan.knots().windows(2) {
        let width = pair[1] - pair[0];
        grid.extend((0..PIECES).map(|i| pair[0] + width * f64::from(i) / f64::from(PIECES)));
    }
    grid.push(fan.largest_flow());
    let mut points = Vec::with_capacity(grid.len());
    for flow in grid {
        let value = excess(flow);
        if value.is_nan() {
            return Err(NoOperatingPoint::NotANumber {
                flow_m3_per_h: flow * CUBIC_METRES_PER_HOUR,
            });
        }
        points.push((flow, value));
    }
    // An extreme between three neighbours that comes near zero may hide two intersections.
    let hidden: Vec<(f64, f64)> = points
        .windows(3)
        .filter_map(|three| hidden_extreme(excess, three))
        .collect();
    points.extend(hidden);
    points.sort_by(|a, b| a.0.total_cmp(&b.0));

    let negligible = 1e-13 * fan.largest_pressure();
    let mut flows: Vec<f64> = Vec::new();
    for pair in points.windows(2) {
        let ((left, at_left), (right, at_right)) = (pair[0], pair[1]);
        if at_right.abs() <= negligible {
            flows.push(right);
        } else if at_left.abs() > negligible && (at_left > 0.0) != (at_right > 0.0) {
            flows.push(bisect(excess, left, right, at_left > 0.0));
        }
    }
    let least_gap = 1e-9 * fan.largest_flow();
    flows.dedup_by(|later, earlier| (*later - *earlier).abs() < least_gap);
    Ok(flows)
}

/// An extreme of `excess` within three neighbouring points, if it has the other sign than all three.
fn hidden_extreme(excess: &impl Fn(f64) -> f64, three: &[(f64, f64)]) -> Option<(f64, f64)> {
    let sign = three[1].1.signum();
    let is_dip = three
        .iter()
        .all(|point| point.1.signum() * sign > 0.0 && point.1.abs() >= three[1].1.abs());
    if !is_dip {
        return None;
    }
    let ratio = 0.5 * (5.0_f64.sqrt() - 1.0); // golden section
    let (mut low, mut high) = (three[0].0, three[2].0);
    for _ in 0..60 {
        let (first, second) = (high - ratio * (high - low), low + ratio * (high - low));
        if sign * excess(first) < sign * excess(second) {
            high = second;
        } else {
            low = first;
        }
    }
    let flow = 0.5 * (low + high);
    let value = excess(flow);
    (value * sign <= 0.0).then_some((flow, value))
}

/// The change of sign between `low` and `high`, halved until no number lies between.
fn bisect(excess: &impl Fn(f64) -> f64, mut low: f64, mut high: f64, low_is_positive: bool) -> f64 {
    loop {
        let middle = 0.5 * (low + high);
        if middle <= low || middle >= high {
            return middle;
        }
        if (excess(middle) > 0.0) == low_is_positive {
            low = middle;
        } else {
            high = middle;
        }
    }
}

/// Slope of the system curve by a central difference.
fn slope_of(system: &impl Fn(f64) -> f64, flow: f64) -> f64 {
    let step = 1e-5 * flow;
    (system(flow + step) - system(flow - step)) / (2.0 * step)
}

/// What is doubtful about where the fan settles.
fn doubts(fan: &Characteristic, all: &[OperatingPoint], main: &OperatingPoint) -> Vec<Warning> {
    let mut warnings = Vec::new();
    if all.len() > 1 {
        let flows: Vec<String> = all
            .iter()
            .map(|point| format!("{:.1}", point.flow * CUBIC_METRES_PER_HOUR))
            .collect();
        warnings.push(Warning {
            code: "several-operating-points".into(),
            message: format!(
                "the fan could settle at {} m³/h; the largest steady flow is used",
                flows.join(", ")
            ),
            advice: "choose a grille or a fan speed at which only one flow is possible".to_owned(),
        });
    }
    if let Some(warning) = fan.continued_warning(main.flow) {
        warnings.push(warning);
    } else if is_in_stall(fan, main) {
        warnings.push(Warning {
            code: "fan-in-stall".into(),
            message: "the fan settles where its curve is flat or rises with the flow (stall): less air than computed is likely, and a rougher sound".to_owned(),
            advice: "use a more open grille, or a fan with more pressure".to_owned(),
        });
    }
    warnings
}

/// Whether the fan curve rises with the flow, or is flat where the fan still has much pressure to make (near free flow many a
/// curve runs out gently).
fn is_in_stall(fan: &Characteristic, main: &OperatingPoint) -> bool {
    let flat = FLAT_SHARE * fan.largest_pressure() / fan.largest_flow();
    main.fan_slope > 0.0
        || (main.fan_slope > -flat && main.pressure > FLAT_SHARE * fan.largest_pressure())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fan::FanCurve;

    fn dipped() -> Characteristic {
        Characteristic::through(&FanCurve {
            flow: vec![0.0, 0.01, 0.02, 0.03, 0.04],
            pressure: vec![30.0, 18.0, 22.0, 16.0, 0.0],
        })
    }

    #[test]
    fn all_three_intersections_with_a_dipped_curve_are_found() {
        // A straight way that cuts the dip: from 16 Pa at no flow up to 22 Pa at 0.02 m³/s.
        let settled = operating_points(&dipped(), |flow| 16.0 + 300.0 * flow).unwrap();
        assert_eq!(settled.all.len(), 3);
        let stable: Vec<bool> = settled.all.iter().map(OperatingPoint::is_stable).collect();
        assert_eq!(stable, [true, false, true]);
        assert!((settled.main.flow - settled.all[2].flow).abs() < 1e-15);
        assert_eq!(settled.warnings[0].code, "several-operating-points");
        assert!((settled.nearest(0.0).flow - settled.all[0].flow).abs() < 1e-15);
    }

    #[test]
    fn two_intersections_within_one_piece_are_seen() {
        let fan = dipped();
        // Touches the bottom of the dip at 0.01 m³/s from above by a hair.
        let settled = operating_points(&fan, |flow| {
            18.0 + 1e-4 - 1e3 * (flow - 0.01_f64).powi(2) + 1e4 * (flow - 0.025).max(0.0)
        })
        .unwrap();
        assert_eq!(settled.all.len(), 3, "{:?}", settled.all);
    }

    #[test]
    fn settling_on_the_rising_side_warns_of_stall() {
        let settled = operating_points(&dipped(), |flow| 20.0 * (flow / 0.015).powi(2)).unwrap();
        assert_eq!(settled.all.len(), 1);
        assert_eq!(settled.warnings[0].code, "fan-in-stall");
    }

    #[test]
    fn nothing_in_the_way_gives_free_flow() {
        let settled = operating_points(&dipped(), |_| 0.0).unwrap();
        assert!((settled.main.flow - 0.04).abs() < 1e-12);
        assert!(settled.warnings.is_empty());
    }

    #[test]
    fn fans_that_settle_nowhere_are_an_error() {
        let rising = Characteristic::through(&FanCurve {
            flow: vec![0.0, 0.01, 0.02],
            pressure: vec![20.0, 10.0, 12.0],
        });
        assert!(matches!(
            operating_points(&rising, |flow| 100.0 * flow),
            Err(NoOperatingPoint::BeyondTheCurve { .. })
        ));
        let given_back = operating_points(&rising, |flow| -100.0 * flow).unwrap_err();
        assert_eq!(
            given_back.to_string(),
            "at 72.0 m³/h, where the fan curve ends, the air path gives back more pressure than it costs: the fan would move more air than its curve tells of"
        );
        assert!(given_back.hint().contains("down to 0 Pa"));
        let free = Characteristic::of_two_numbers(0.02, 20.0, 0.0);
        let given_back = operating_points(&free, |flow| -100.0 * flow).unwrap_err();
        assert!(!given_back.hint().contains("0 Pa"));
        assert!(matches!(
            operating_points(&rising, |_| 50.0),
            Err(NoOperatingPoint::Blocked)
        ));
        assert!(matches!(
            operating_points(&rising, |_| f64::NAN),
            Err(NoOperatingPoint::NotANumber { .. })
        ));
    }

    #[test]
    fn two_intersections_far_from_the_ends_of_their_piece_are_found_where_they_are() {
        // The way costs what a straight fan makes, less (or more) 1e4 (Q - 0.0123)² - 1e-6 Pa: that vanishes 1e-5 m³/s to both sides of 0.0123, and a piece is 83 times as long.
        let fan = Characteristic::of_two_numbers(0.04, 20.0, 0.0);
        for (sign, stable) in [(1.0, 0), (-1.0, 1)] {
            let way = |flow: f64| {
                let from_middle: f64 = flow - 0.0123;
                20.0 - 500.0 * flow - sign * (1e4 * from_middle * from_middle - 1e-6)
            };
            let settled = operating_points(&fan, way).unwrap();
            let flows: Vec<f64> = settled.all.iter().map(|point| point.flow).collect();
            assert_eq!(flows.len(), 2, "{flows:?}");
            assert!((flows[0] - 0.012_29).abs() < 1e-9 && (flows[1] - 0.012_31).abs() < 1e-9);
            // The fan settles where its pressure falls below what the way costs.
            assert!((settled.main.flow - flows[stable]).abs() < 1e-15);
        }
    }

    #[test]
    fn slopes_and_pressure_are_those_of_the_two_curves() {
        // 20 (1 - q) = 20 q², q = Q/0.04: q = (√5 - 1)/2; the way's slope is 2 · 20 q / 0.04.
        let fan = Characteristic::of_two_numbers(0.04, 20.0, 0.0);
        let settled = operating_points(&fan, |flow| 20.0 * (flow / 0.04).powi(2)).unwrap();
        let q = 0.5 * (5_f64.sqrt() - 1.0);
        assert!((settled.main.flow - 0.04 * q).abs() < 1e-12);
        assert!((settled.main.pressure - 20.0 * (1.0 - q)).abs() < 1e-9);
        assert!((settled.main.fan_slope + 500.0).abs() < 1e-9);
        assert!((settled.main.system_slope / (1000.0 * q) - 1.0).abs() < 1e-6);
    }

    #[test]
    fn a_curve_is_flat_below_a_tenth_of_its_mean_fall_unless_it_runs_out() {
        // 20 Pa over 0.04 m³/s: flat is less than 50 Pa s/m³, and near free flow less than 2 Pa.
        let fan = Characteristic::of_two_numbers(0.04, 20.0, 0.0);
        let in_stall = |fan_slope: f64, pressure: f64| {
            let point = OperatingPoint {
                flow: 0.02,
                pressure,
                fan_slope,
                system_slope: 100.0,
            };
            is_in_stall(&fan, &point)
        };
        assert!(in_stall(-49.0, 5.0) && !in_stall(-51.0, 5.0));
        assert!(in_stall(-49.0, 2.1) && !in_stall(-49.0, 1.9));
        // A curve that runs out level is none, one that rises is.
        assert!(!in_stall(0.0, 0.5) && in_stall(1.0, 0.5));
    }

    #[test]
    fn intersections_within_a_billionth_of_the_largest_flow_are_one() {
        // 1e11 (Q - 0.0123)² - 1e-11 Pa vanishes at 1e-11 m³/s to both sides of 0.0123; a billionth of 0.04 is 4e-11.
        let fan = Characteristic::of_two_numbers(0.04, 20.0, 0.0);
        let way = |flow: f64| {
            let from_middle: f64 = flow - 0.0123;
            20.0 - 500.0 * flow - (1e11 * from_middle * from_middle - 1e-11)
        };
        let settled = operating_points(&fan, way).unwrap();
        assert_eq!(settled.all.len(), 1, "{:?}", settled.all);
        assert!((settled.main.flow - 0.0123).abs() < 1e-10);
    }

    #[test]
    fn what_is_no_number_is_told_with_its_flow() {
        // 48 pieces of 0.04 m³/s: the first flow beyond 0.0201 that is looked at is 25 of them, 75 m³/h.
        let fan = Characteristic::of_two_numbers(0.04, 20.0, 0.0);
        let way = |flow: f64| if flow > 0.0201 { f64::NAN } else { 0.0 };
        let Err(reason) = operating_points(&fan, way) else {
            panic!("nothing settles there");
        };
        let NoOperatingPoint::NotANumber { flow_m3_per_h } = reason else {
            panic!("{reason}");
        };
        assert!((flow_m3_per_h - 75.0).abs() < 1e-9);
        assert_eq!(reason.code(), "system-not-a-number");
        assert_eq!(NoOperatingPoint::Blocked.code(), "fan-blocked");
    }
}
