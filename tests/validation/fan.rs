//! Where a fan settles, against closed forms, and its curve against an independent interpolation.
//!
//! Closed forms (own algebra, printed beside each test): straight-line and parabolic fan curves against a constant K, a constant
//! pressure, and a law K = a/U + b. Everything is an exact intersection of polynomials, so the tolerance is 1e-9 (seen below 1e-13).
//!
//! `monotone_interpolation.csv`: `PchipInterpolator` of the Python library `scipy` 1.17.1 (Fritsch and Butland 1984) at 22 flows of
//! four invented curves, one with a dip and a level stretch. Tolerance 1e-9; it agrees to the twelve digits printed there.

use crate::common::assert_close;
use ventwright::air::Air;
use ventwright::fan::{Characteristic, FanCurve, FlowUnit, PressureUnit, Supply, operating_points};
use ventwright::ranking::{Circuit, GrilleLoss, LossLaw, ZoneLoss, rank};

/// An invented fan: 112 m³/h free, 29 Pa shut off, on an annulus of 0.0105 m².
const FREE_FLOW: f64 = 112.0 / 3600.0;
const SHUT_OFF: f64 = 29.0;
const AREA: f64 = 0.0105;
const DENSITY: f64 = 1.2;

fn constant_loss(loss_coefficient: f64) -> impl Fn(f64) -> f64 {
    move |flow| loss_coefficient * 0.5 * DENSITY * (flow / AREA).powi(2)
}

/// Pressure of K at free flow over shut-off pressure: the one number on which the solution depends.
fn load(loss_coefficient: f64) -> f64 {
    constant_loss(loss_coefficient)(FREE_FLOW) / SHUT_OFF
}

#[test]
fn straight_fan_and_constant_loss_meet_where_the_quadratic_says() {
    // 1 - q = c q^2
    let fan = Characteristic::of_two_numbers(FREE_FLOW, SHUT_OFF, 0.0);
    for k in [0.01, 0.5, 1.0, 2.0, 4.0, 100.0] {
        let c = load(k);
        let exact = 2.0 / (1.0 + (1.0 + 4.0 * c).sqrt());
        let settled = operating_points(&fan, constant_loss(k)).unwrap();
        assert_eq!(settled.all.len(), 1);
        assert_close("flow", settled.main.flow, exact * FREE_FLOW, 1e-9);
        assert_close(
            "pressure",
            settled.main.pressure,
            SHUT_OFF * (1.0 - exact),
            1e-9,
        );
        assert_close(
            "fan slope",
            settled.main.fan_slope,
            -SHUT_OFF / FREE_FLOW,
            1e-9,
        );
        let system_slope = 2.0 * settled.main.pressure / settled.main.flow;
        assert_close(
            "system slope",
            settled.main.system_slope,
            system_slope,
            1e-6,
        );
    }
}

#[test]
fn parabolic_fan_and_constant_loss_meet_where_the_root_says() {
    // 1 - q^2 = c q^2
    let fan = Characteristic::of_two_numbers(FREE_FLOW, SHUT_OFF, 1.0);
    for k in [0.01, 0.5, 1.0, 2.0, 4.0, 100.0] {
        let exact = FREE_FLOW / (1.0 + load(k)).sqrt();
        let settled = operating_points(&fan, constant_loss(k)).unwrap();
        assert_close("flow", settled.main.flow, exact, 1e-9);
    }
}

#[test]
fn straight_fan_and_a_law_with_friction_meet_where_the_quadratic_says() {
    // p0 (1 - Q/Q0) = 0.5 rho (a U + b U^2), U = Q/A
    let (a, b) = (0.9, 1.3);
    let circuit = Circuit {
        air: Air {
            density: DENSITY,
            ..Air::new(20.0, 101_325.0, None).unwrap()
        },
        supply: Supply::Curve(FanCurve {
            flow: vec![0.0, FREE_FLOW],
            pressure: vec![SHUT_OFF, 0.0],
        }),
        reference_area: AREA,
        place_loss: 0.0,
        place_loss_half_width: 0.0,
        shared_case: None,
        heat_load: None,
    };
    let law = LossLaw {
        viscous: a,
        ..LossLaw::constant(b, 0.0)
    };
    let grille = GrilleLoss {
        name: "friction".to_owned(),
        zones: vec![ZoneLoss {
            area: AREA,
            law,
            bands: Vec::new(),
        }],
        exhaust: None,
        parts: Vec::new(),
    };
    let ranking = rank(&circuit, &[grille]).unwrap();
    let (square, linear) = (
        0.5 * DENSITY * b / (AREA * AREA),
        0.5 * DENSITY * a / AREA + SHUT_OFF / FREE_FLOW,
    );
    let exact = (-linear + (linear * linear + 4.0 * square * SHUT_OFF).sqrt()) / (2.0 * square);
    assert_close("flow", ranking.grilles[0].flow.value, exact, 1e-9);
    let percent = ranking.grilles[0].flow_percent.unwrap().value;
    assert_close("per cent", percent, 100.0 * exact / FREE_FLOW, 1e-9);
}

#[test]
fn the_shape_of_the_curve_matters_as_much_as_the_loss() {
    // A straight fan loses more air to the same K than a parabolic one, whatever the fan: for small c it loses c and c/2.
    let lost = |roundness: f64, k: f64| {
        let fan = Characteristic::of_two_numbers(FREE_FLOW, SHUT_OFF, roundness);
        let settled = operating_points(&fan, constant_loss(k)).unwrap();
        1.0 - settled.main.flow / FREE_FLOW
    };
    let small = 1e-4;
    assert_close("straight", lost(0.0, small), load(small), 1e-3);
    assert_close("parabola", lost(1.0, small), 0.5 * load(small), 1e-3);
    for k in [0.5, 1.0, 2.0, 4.0] {
        assert!(lost(0.0, k) > 1.25 * lost(1.0, k), "{k}");
    }
}

#[test]
fn a_constant_pressure_is_met_at_every_crossing_of_a_dip() {
    let curve = FanCurve::from_points(
        &[(0.0, 30.0), (40.0, 15.0), (60.0, 20.0), (110.0, 0.0)],
        FlowUnit::CubicMetresPerHour,
        PressureUnit::Pascals,
    )
    .unwrap();
    let fan = Characteristic::through(&curve);
    let settled = operating_points(&fan, |_| 17.0).unwrap();
    assert_eq!(settled.all.len(), 3);
    for point in &settled.all {
        assert_close("pressure", point.pressure, 17.0, 1e-9);
    }
    // By monotony of the pieces: one crossing between each two neighbouring points.
    let flows: Vec<f64> = settled.all.iter().map(|p| p.flow * 3600.0).collect();
    assert!(flows[0] < 40.0 && flows[1] > 40.0 && flows[1] < 60.0 && flows[2] > 60.0);
}

#[test]
fn curves_agree_with_an_independent_monotone_interpolation() {
    let mut reader = csv::Reader::from_reader(
        include_str!("../reference/monotone_interpolation.csv").as_bytes(),
    );
    let rows: Vec<(String, f64, f64, u8)> = reader.deserialize().map(|row| row.unwrap()).collect();
    let mut checked = 0;
    for name in ["falling", "dipped", "uneven", "gentle_end"] {
        let of_curve = |is_point: u8| -> Vec<(f64, f64)> {
            rows.iter()
                .filter(|row| row.0 == name && row.3 == is_point)
                .map(|row| (row.1, row.2))
                .collect()
        };
        let curve = FanCurve::from_points(
            &of_curve(1),
            FlowUnit::CubicMetresPerHour,
            PressureUnit::Pascals,
        )
        .unwrap();
        let fan = Characteristic::through(&curve);
        for (flow, expected) in of_curve(0) {
            assert_close(name, fan.pressure(flow / 3600.0), expected, 1e-9);
            checked += 1;
        }
    }
    assert_eq!(checked, 88);
}
