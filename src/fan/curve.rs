//! Points of a fan curve: checked, sorted, and moved to other speeds.

use crate::fan::FanCurve;
use crate::fan::curve_fault::{
    CurveFault, CurveFaultKind, CurvePlace, LARGEST_FLOW, LARGEST_PRESSURE, MOST_POINTS,
};
use crate::units::{FlowUnit, PressureUnit};

/// A point as it was written, with the places of its two values.
#[derive(Debug, Clone, Copy)]
pub(super) struct WrittenPoint {
    /// Flow in the unit of its column, and where it stands.
    pub(super) flow: (f64, CurvePlace),
    /// Pressure in the unit of its column, and where it stands.
    pub(super) pressure: (f64, CurvePlace),
}

impl FanCurve {
    /// A curve from (flow, pressure) pairs in any order.
    ///
    /// # Errors
    /// Every fault of every point, in the order of the points.
    ///
    /// # Examples
    /// ```
    /// use ventwright::fan::{FanCurve, FlowUnit, PressureUnit};
    /// let points = [(0.0, 25.0), (60.0, 14.0), (110.0, 0.0)];
    /// let curve = FanCurve::from_points(&points, FlowUnit::CubicMetresPerHour, PressureUnit::Pascals).unwrap();
    /// assert!((curve.flow[1] - 60.0 / 3600.0).abs() < 1e-12);
    /// ```
    pub fn from_points(
        points: &[(f64, f64)],
        flow_unit: FlowUnit,
        pressure_unit: PressureUnit,
    ) -> Result<Self, Vec<CurveFault>> {
        let written: Vec<WrittenPoint> = points
            .iter()
            .enumerate()
            .map(|(index, &(flow, pressure))| WrittenPoint {
                flow: (flow, CurvePlace::Point(index + 1)),
                pressure: (pressure, CurvePlace::Point(index + 1)),
            })
            .collect();
        let mut faults = Vec::new();
        match checked(written, flow_unit, pressure_unit, &mut faults) {
            Some(curve) if faults.is_empty() => Ok(curve),
            _ => Err(faults),
        }
    }

    /// The same fan at `ratio` times its speed: flow goes with the speed, pressure with its square.
    ///
    /// # Validity
    /// Same fan, same density, and a Reynolds number of the blades that changes little: a ratio of some 0.5 to 2.
    ///
    /// # References
    /// The fan laws, in any textbook on fans (from memory).
    #[must_use]
    pub fn at_speed_ratio(&self, ratio: f64) -> Self {
        Self {
            flow: self.flow.iter().map(|flow| flow * ratio).collect(),
            pressure: self.pressure.iter().map(|p| p * ratio * ratio).collect(),
        }
    }
}

/// Checks points and makes them a curve; adds what it finds to `faults`. `None` when nothing usable is left.
pub(super) fn checked(
    mut points: Vec<WrittenPoint>,
    flow_unit: FlowUnit,
    pressure_unit: PressureUnit,
    faults: &mut Vec<CurveFault>,
) -> Option<FanCurve> {
    let had_faults = !faults.is_empty();
    if points.len() > MOST_POINTS {
        faults.push(whole(CurveFaultKind::TooLong {
            found: points.len(),
            what: "points",
            allowed: MOST_POINTS,
        }));
        return None;
    }
    for point in &points {
        let largest_flow = LARGEST_FLOW * flow_unit.per_si();
        let largest_pressure = LARGEST_PRESSURE * pressure_unit.per_si();
        faults.extend(value_fault(
            point.flow,
            flow_unit.column_name(),
            largest_flow,
        ));
        faults.extend(value_fault(
            point.pressure,
            pressure_unit.column_name(),
            largest_pressure,
        ));
    }
    points.sort_by(|a, b| a.flow.0.total_cmp(&b.flow.0));
    for pair in points.windows(2) {
        let (first, second) = (pair[0].flow, pair[1].flow);
        if first.0.total_cmp(&second.0).is_eq() && first.0.is_finite() {
            faults.push(CurveFault {
                place: first.1.max(second.1),
                kind: CurveFaultKind::DuplicateFlow {
                    name: flow_unit.column_name(),
                    value: second.0,
                },
            });
        }
    }
    // When values were thrown away already, too few points are a consequence, not a fault of their own.
    if !had_faults {
        faults.extend(whole_curve_fault(&points));
    }
    faults.sort_by_key(|fault| fault.place);
    if points.len() < 2 {
        return None;
    }
    Some(FanCurve {
        flow: points
            .iter()
            .map(|point| point.flow.0 / flow_unit.per_si())
            .collect(),
        pressure: points
            .iter()
            .map(|point| point.pressure.0 / pressure_unit.per_si())
            .collect(),
    })
}

/// What is wrong with one value, if anything.
fn value_fault(
    (value, place): (f64, CurvePlace),
    name: &'static str,
    largest: f64,
) -> Option<CurveFault> {
    let kind = if !value.is_finite() {
        CurveFaultKind::NotFinite {
            name,
            value: value.to_string(),
        }
    } else if value < 0.0 {
        CurveFaultKind::Negative { name, value }
    } else if value > largest {
        CurveFaultKind::TooLarge {
            name,
            value,
            largest: largest.round(),
        }
    } else {
        return None;
    };
    Some(CurveFault { place, kind })
}

/// What is wrong with a sorted curve as a whole, if anything.
fn whole_curve_fault(points: &[WrittenPoint]) -> Option<CurveFault> {
    let largest_flow = points.last().map_or(0.0, |point| point.flow.0);
    let largest_pressure = points
        .iter()
        .fold(0.0, |most: f64, point| most.max(point.pressure.0));
    match points.len() {
        0 => Some(whole(CurveFaultKind::Empty)),
        1 => Some(whole(CurveFaultKind::OnePoint)),
        _ if largest_pressure <= 0.0 => Some(whole(CurveFaultKind::NoPressure)),
        _ if largest_flow <= 0.0 => Some(whole(CurveFaultKind::NoFlow {
            value: largest_flow,
        })),
        _ => None,
    }
}

/// A fault of the curve as a whole.
pub(super) fn whole(kind: CurveFaultKind) -> CurveFault {
    CurveFault {
        place: CurvePlace::Whole,
        kind,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn codes(points: &[(f64, f64)]) -> Vec<&'static str> {
        FanCurve::from_points(points, FlowUnit::CubicMetresPerHour, PressureUnit::Pascals)
            .unwrap_err()
            .iter()
            .map(CurveFault::code)
            .collect()
    }

    #[test]
    fn points_are_sorted_and_come_out_in_si() {
        let curve = FanCurve::from_points(
            &[(100.0, 0.0), (0.0, 2.0)],
            FlowUnit::CubicFeetPerMinute,
            PressureUnit::MillimetresOfWater,
        )
        .unwrap();
        assert!((curve.flow[1] - 0.047_194_745).abs() < 1e-9);
        assert!((curve.pressure[0] - 19.6133).abs() < 1e-9);
    }

    #[test]
    fn curves_without_sense_are_refused() {
        assert_eq!(codes(&[]), ["curve-empty"]);
        assert_eq!(codes(&[(10.0, 5.0)]), ["curve-one-point"]);
        assert_eq!(codes(&[(0.0, 0.0), (9.0, 0.0)]), ["curve-no-pressure"]);
        assert_eq!(codes(&vec![(1.0, 1.0); 2001]), ["curve-too-long"]);
    }

    #[test]
    fn every_fault_of_every_point_is_told() {
        let points = [
            (-1.0, f64::NAN),
            (5.0, 1e9),
            (5.0, 3.0),
            (f64::INFINITY, -2.0),
        ];
        assert_eq!(
            codes(&points),
            [
                "curve-negative",
                "curve-not-finite",
                "curve-too-large",
                "curve-duplicate-flow",
                "curve-not-finite",
                "curve-negative"
            ]
        );
    }

    #[test]
    fn fan_laws_scale_flow_and_pressure() {
        let curve = FanCurve {
            flow: vec![0.0, 0.03],
            pressure: vec![20.0, 0.0],
        };
        let faster = curve.at_speed_ratio(1.5);
        assert!((faster.flow[1] - 0.045).abs() < 1e-15);
        assert!((faster.pressure[0] - 45.0).abs() < 1e-12);
    }
}
