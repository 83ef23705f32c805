//! What must hold for any fan and any grille.

use crate::common::assert_close;
use proptest::prelude::*;
use ventwright::air::Air;
use ventwright::fan::{Characteristic, FanCurve, Supply, operating_points};
use ventwright::ranking::{
    Circuit, GrilleLoss, LossBand, LossLaw, ZoneLoss, loss_coefficient_on_area, rank,
};

const AREA: f64 = 0.0118;

fn circuit(supply: Supply, place_loss: f64) -> Circuit {
    Circuit {
        air: Air::new(24.0, 99_000.0, Some(0.4)).expect("a state of air"),
        supply,
        reference_area: AREA,
        place_loss,
        place_loss_half_width: 0.0,
        shared_case: None,
        heat_load: None,
    }
}

fn grille(name: &str, area: f64, law: LossLaw, bands: Vec<LossBand>) -> GrilleLoss {
    GrilleLoss {
        name: name.to_owned(),
        zones: vec![ZoneLoss { area, law, bands }],
        exhaust: None,
        parts: Vec::new(),
    }
}

/// Any curve of four to seven points, dips and humps included, that ends without pressure.
fn any_curve() -> impl Strategy<Value = FanCurve> {
    prop::collection::vec((0.002..0.02_f64, 2.0..60.0_f64), 3..7).prop_map(|points| {
        let mut flow = vec![0.0];
        let mut pressure = Vec::new();
        for (step, height) in &points {
            flow.push(flow[flow.len() - 1] + step);
            pressure.push(*height);
        }
        pressure.push(0.0);
        FanCurve { flow, pressure }
    })
}

/// Any curve that lies between the straight line and the parabola of its two numbers, falling.
fn any_curve_within_the_family() -> impl Strategy<Value = FanCurve> {
    (0.015..0.06_f64, 8.0..60.0_f64, 0.05..0.95_f64).prop_map(|(free, shut, roundness)| {
        let q = [0.0, 0.15, 0.3, 0.5, 0.7, 0.85, 1.0];
        FanCurve {
            flow: q.iter().map(|q| q * free).collect(),
            pressure: q
                .iter()
                .map(|q| shut * (1.0 - (1.0 - roundness) * q - roundness * q * q).max(0.0))
                .collect(),
        }
    })
}

proptest! {
    #[test]
    fn every_operating_point_lies_on_both_curves(
        curve in any_curve(), linear in 0.0..400.0_f64, square in 1.0..200_000.0_f64,
    ) {
        let fan = Characteristic::through(&curve);
        let system = |flow: f64| linear * flow + square * flow * flow;
        let settled = operating_points(&fan, system).unwrap();
        // A fan curve that starts above and ends below the system curve crosses it an odd number of times.
        prop_assert!(settled.all.len() % 2 == 1);
        for point in &settled.all {
            prop_assert!((fan.pressure(point.flow) - system(point.flow)).abs() < 1e-9 * point.pressure);
        }
        prop_assert!(settled.main.is_stable());
    }

    #[test]
    fn no_intersection_is_overlooked(curve in any_curve(), square in 100.0..200_000.0_f64) {
        let fan = Characteristic::through(&curve);
        let system = |flow: f64| square * flow * flow;
        let settled = operating_points(&fan, system).unwrap();
        let end = fan.largest_flow();
        let excess = |i: u32| {
            let flow = end * f64::from(i) / 40_000.0;
            fan.pressure(flow) - system(flow)
        };
        let changes = (0..40_000).filter(|&i| (excess(i) > 0.0) != (excess(i + 1) > 0.0)).count();
        prop_assert!(settled.all.len() >= changes, "{} of {changes}", settled.all.len());
    }

    #[test]
    fn the_curve_stays_within_its_points(curve in any_curve(), at in 0.0..1.0_f64) {
        let fan = Characteristic::through(&curve);
        let flow = at * fan.largest_flow();
        let left = curve.flow.iter().rposition(|f| *f <= flow).unwrap().min(curve.flow.len() - 2);
        let (low, high) = (
            curve.pressure[left].min(curve.pressure[left + 1]),
            curve.pressure[left].max(curve.pressure[left + 1]),
        );
        let pressure = fan.pressure(flow);
        prop_assert!(pressure >= low - 1e-9 && pressure <= high + 1e-9);
    }

    #[test]
    fn a_constant_loss_keeps_the_flow_in_step_with_the_speed(
        curve in any_curve(), k in 0.1..20.0_f64, ratio in 0.3..3.0_f64,
    ) {
        let system = |flow: f64| k * 0.6 * (flow / AREA).powi(2);
        let slow = operating_points(&Characteristic::through(&curve), system).unwrap();
        let fast = operating_points(&Characteristic::through(&curve.at_speed_ratio(ratio)), system).unwrap();
        prop_assert_eq!(slow.all.len(), fast.all.len());
        assert_close("flow", fast.main.flow, ratio * slow.main.flow, 1e-9);
        assert_close("pressure", fast.main.pressure, ratio * ratio * slow.main.pressure, 1e-9);
    }

    #[test]
    fn a_loss_on_another_area_gives_the_same_flow(
        curve in any_curve(), k in 0.1..20.0_f64, wide in 0.9..1.5_f64,
    ) {
        let fan = Characteristic::through(&curve);
        let on = |k: f64, area: f64| {
            operating_points(&fan, |flow| k * 0.6 * (flow / area).powi(2)).unwrap().main.flow
        };
        let other = loss_coefficient_on_area(k, AREA, wide * AREA);
        assert_close("flow", on(other, wide * AREA), on(k, AREA), 1e-12);
    }

    #[test]
    fn a_full_curve_settles_within_the_band_of_its_two_numbers(
        curve in any_curve_within_the_family(), k in 0.2..8.0_f64, place in 0.0..3.0_f64,
    ) {
        let two_numbers = Supply::TwoNumbers {
            free_flow: curve.flow[6],
            shut_off_pressure: curve.pressure[0],
        };
        let grilles = [grille("a", AREA, LossLaw::constant(k, 0.0), Vec::new())];
        let full = rank(&circuit(Supply::Curve(curve), place), &grilles).unwrap();
        let from_box = rank(&circuit(two_numbers, place), &grilles).unwrap();
        // The interpolation between seven points of a curve leaves it by less than a thousandth of the flow.
        let (full, from_box) = (&full.grilles[0], &from_box.grilles[0]);
        prop_assert!(from_box.flow.low * 0.999 < full.flow.value);
        prop_assert!(from_box.flow.high * 1.001 > full.flow.value);
        let (percent, likely) = (full.flow_percent.unwrap().value, from_box.flow_percent.unwrap());
        prop_assert!(likely.low * 0.999 < percent && percent < likely.high * 1.001);
    }

    #[test]
    fn more_loss_gives_less_air_and_a_higher_place(
        free in 0.02..0.05_f64, shut in 10.0..50.0_f64,
        first in 0.1..6.0_f64, more in 0.01..6.0_f64, viscous in 0.0..2.0_f64,
    ) {
        let supply = Supply::TwoNumbers { free_flow: free, shut_off_pressure: shut };
        let law = |inertial| LossLaw { viscous, ..LossLaw::constant(inertial, 0.0) };
        let grilles = [
            grille("dear", AREA, law(first + more), Vec::new()),
            grille("cheap", AREA, law(first), Vec::new()),
        ];
        let ranking = rank(&circuit(supply, 0.5), &grilles).unwrap();
        prop_assert_eq!(&grilles[ranking.grilles[0].index].name, "cheap");
        prop_assert!(ranking.grilles[0].flow.value > ranking.grilles[1].flow.value);
        prop_assert!(ranking.grilles[1].flow.value < ranking.bare.unwrap().flow.value);
        // Both move with the fan curve; who is better does not.
        prop_assert!(ranking.comparisons[0].judged.sureness > 0.999);
    }

    #[test]
    fn what_is_common_cancels_between_equal_grilles(k in 0.2..6.0_f64, width in 0.01..0.4_f64) {
        let bands = |own: f64| vec![
            LossBand { source: "simplified view".to_owned(), half_width: width, shared_by: Some("round".to_owned()) },
            LossBand { source: "grid".to_owned(), half_width: own, shared_by: None },
        ];
        let supply = Supply::TwoNumbers { free_flow: 0.03, shut_off_pressure: 25.0 };
        let pair = |own: f64| {
            let law = LossLaw::constant(k, 0.0);
            let grilles = [grille("a", 0.9 * AREA, law.clone(), bands(own)), grille("b", 0.9 * AREA, law, bands(own))];
            let ranking = rank(&circuit(supply.clone(), 0.5), &grilles).unwrap();
            (ranking.comparisons[0].difference.half_width(), ranking.grilles[0].flow.half_width())
        };
        prop_assert!(pair(0.0).0 < 1e-12, "nothing of its own, nothing left");
        prop_assert!(pair(0.0).1 > 0.0);
        // Only the two independent parts are left: root two times one of them.
        let alone = rank(
            &circuit(Supply::Curve(FanCurve { flow: vec![0.0, 0.03], pressure: vec![25.0, 0.0] }), 0.5),
            &[grille("a", AREA, LossLaw::constant(k, 0.0), vec![bands(0.02)[1].clone()])],
        ).unwrap().grilles[0].flow.half_width();
        let both = rank(
            &circuit(Supply::Curve(FanCurve { flow: vec![0.0, 0.03], pressure: vec![25.0, 0.0] }), 0.5),
            &[
                grille("a", AREA, LossLaw::constant(k, 0.0), bands(0.02)),
                grille("b", AREA, LossLaw::constant(k, 0.0), bands(0.02)),
            ],
        ).unwrap().comparisons[0].difference.half_width();
        assert_close("difference", both, 2.0_f64.sqrt() * alone, 1e-6);
    }
}
