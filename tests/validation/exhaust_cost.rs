//! What a fan pays for a grille behind it: static K of the holes and the lost suction of the turning core, at the operating point.
//!
//! Source: closed forms, put together by hand for an even stream over an annulus of hub ratio 0.35 (all of it patterned):
//! a grille whose static K does not change with the angle and that takes all swirl away costs K + 0.6825 tan^2(a) of the dynamic pressure, where a is the angle at 0.7 R of a
//! free vortex (2 * 0.49 (ln(1/h) - (1 - h^2)/2)/(1 - h^2), h = 0.35); one that lets all swirl through costs K. With a fan whose curve is a parabola the flow then follows from a square root.
//! Euler: with `C = (p + 0.5 rho U^2)/(rho eta w)` the pressure balance is one equation in the flow; it is solved here by halving, apart from the program's way.
//! Half of all in a grille's own tables (here written by hand), half of the program: no run and no table of K enters.
//!
//! Tolerance: 1e-6 relative; the program's table of strengths is a polygon, fine enough here for that.
//! Error seen: 4e-10 and below (that of suction summed over rings, 0.4 %, is checked in `src/run/swirl/exhaust.rs`).

use crate::common::assert_close;
use ventwright::air::Air;
use ventwright::fan::{Characteristic, ExitProfile, FanExit, Supply, SwirlSource};
use ventwright::ranking::{
    Circuit, Exhaust, ExhaustPoint, GrilleLoss, LossLaw, RankedGrille, ZoneExhaust, ZoneLoss, rank,
};

const HUB: f64 = 0.021;
const TIP: f64 = 0.06;
const FREE_FLOW: f64 = 0.03;
const SHUT_OFF: f64 = 25.0;

fn air() -> Air {
    Air::new(20.0, 101_325.0, None).expect("a state of air")
}

/// A parabola as points, fine enough that the interpolation between them leaves it by a millionth.
fn parabola() -> Supply {
    let points: Vec<(f64, f64)> = (0..=1000)
        .map(|i| f64::from(i) / 1000.0)
        .map(|q| (3600.0 * FREE_FLOW * q, SHUT_OFF * (1.0 - q * q)))
        .collect();
    let curve = ventwright::fan::FanCurve::from_points(
        &points,
        ventwright::fan::FlowUnit::CubicMetresPerHour,
        ventwright::fan::PressureUnit::Pascals,
    );
    Supply::Curve(curve.expect("a fan curve"))
}

/// A grille over the whole annulus: static K 3 at any angle, and a part of the swirl taken away.
fn grille(exit: &FanExit, taken: f64, factor_per_strength: f64) -> GrilleLoss {
    // Suction over the dynamic pressure goes with the square of the strength; straight lines between the points are fine enough at this step.
    let unit = -exit.mean_suction(exit.median_radius()) / (0.5 * exit.density());
    let step = 2e-4;
    let points = (0..20_000).map(|i| {
        let strength = step * f64::from(i);
        ExhaustPoint {
            loss_factor: 1.0 + factor_per_strength * strength,
            least_loss: 0.0,
            lost_suction: (1.0 - (1.0 - taken).powi(2)) * unit * strength * strength,
        }
    });
    GrilleLoss {
        name: "plate".to_owned(),
        zones: vec![ZoneLoss {
            area: exit.area(),
            law: LossLaw::constant(3.0, 0.0),
            bands: Vec::new(),
        }],
        exhaust: Some(Exhaust {
            exit: exit.clone(),
            zones: vec![ZoneExhaust {
                step,
                points: points.collect(),
            }],
            suction_half_width: 0.0,
            extremes: None,
        }),
        parts: Vec::new(),
    }
}

fn ranked(exit: &FanExit, grille: GrilleLoss) -> RankedGrille {
    let circuit = Circuit {
        air: air(),
        supply: parabola(),
        reference_area: exit.area(),
        place_loss: 1.0,
        place_loss_half_width: 0.0,
        shared_case: None,
        heat_load: None,
    };
    rank(&circuit, &[grille]).expect("the fan settles").grilles[0].clone()
}

fn exit(source: SwirlSource) -> FanExit {
    FanExit::new(air().density, HUB, TIP, &ExitProfile::Uniform, source)
}

/// Flow where the parabola meets a K that does not change, by its square root.
fn flow_against(loss: f64, area: f64) -> f64 {
    let steep = 0.5 * air().density * loss / (area * area);
    (SHUT_OFF / (steep + SHUT_OFF / (FREE_FLOW * FREE_FLOW))).sqrt()
}

#[test]
fn a_given_angle_adds_the_suction_of_the_swirl_that_is_taken_away() {
    let hub_ratio: f64 = HUB / TIP;
    let square = hub_ratio * hub_ratio;
    let per_tangent = 2.0 * 0.49 * ((1.0 / hub_ratio).ln() - 0.5 * (1.0 - square)) / (1.0 - square);
    assert_close("of the closed form", per_tangent, 0.6825, 1e-3);
    for degrees in [0.0_f64, 20.0, 40.0] {
        let tangent = degrees.to_radians().tan();
        let exit = exit(SwirlSource::Given {
            tangent,
            radius: 0.7 * TIP,
        });
        for taken in [0.0, 0.6, 1.0] {
            let share = 1.0 - (1.0_f64 - taken).powi(2);
            let loss = 3.0 + share * per_tangent * tangent * tangent;
            let seen = ranked(&exit, grille(&exit, taken, 0.0));
            let expected = flow_against(loss + 1.0, exit.area());
            println!(
                "{degrees} {taken}: {:+.1e}",
                seen.flow.value / expected - 1.0
            );
            assert_close("K", seen.loss_coefficient.value, loss, 1e-6);
            assert_close("flow", seen.flow.value, expected, 1e-6);
            let swirl = seen.swirl.expect("behind a fan");
            let lost = loss - 3.0;
            assert!((swirl.lost_suction - lost).abs() < 1e-5 * loss);
        }
    }
}

#[test]
fn eulers_swirl_follows_the_operating_point() {
    let (efficiency, angular_speed) = (0.7, 260.0);
    let exit = exit(SwirlSource::Euler {
        efficiency,
        angular_speed,
    });
    let (rho, area) = (air().density, exit.area());
    let unit = -exit.mean_suction(1.0);
    let curve = match parabola() {
        Supply::Curve(curve) => Characteristic::through(&curve),
        _ => unreachable!("it is a curve"),
    };
    for (taken, slope) in [(1.0, 0.0), (0.7, 0.4)] {
        // What is left of the fan's pressure, falling with the flow: halved until nothing is left between.
        let rest = |flow: f64| {
            let mean = flow / area;
            let pressure = curve.pressure(flow);
            let circulation =
                (pressure + 0.5 * rho * mean * mean) / (rho * efficiency * angular_speed);
            let strength = circulation / (mean * exit.median_radius());
            let dynamic = 0.5 * rho * mean * mean;
            let share = 1.0 - (1.0_f64 - taken).powi(2);
            pressure
                - (1.0 + 3.0 * (1.0 + slope * strength)) * dynamic
                - share * unit * circulation * circulation
        };
        let (mut low, mut high) = (0.5 * FREE_FLOW, FREE_FLOW);
        assert!(rest(low) > 0.0 && rest(high) < 0.0);
        for _ in 0..100 {
            let middle = 0.5 * (low + high);
            if rest(middle) > 0.0 {
                low = middle;
            } else {
                high = middle;
            }
        }
        let seen = ranked(&exit, grille(&exit, taken, slope));
        println!("{taken}: {:+.1e}", seen.flow.value / low - 1.0);
        assert_close("flow", seen.flow.value, low, 1e-6);
        let swirl = seen.swirl.expect("behind a fan");
        let angle = (swirl.circulation / (low / area * exit.median_radius()))
            .atan()
            .to_degrees();
        assert!(angle > 20.0 && angle < 59.0, "{angle}");
        // The efficiency is a doubt of its own, named in the likely range.
        assert!(
            seen.contributions
                .iter()
                .any(|part| part.source == "the fan's swirl" && part.half_width_percent > 0.1)
        );
    }
}

#[test]
fn a_grille_that_lets_all_swirl_through_is_not_charged_for_it() {
    let source = SwirlSource::Given {
        tangent: 0.8,
        radius: 0.05,
    };
    let turning = ranked(&exit(source), grille(&exit(source), 0.0, 0.0));
    let still = exit(SwirlSource::Unknown);
    let straight = ranked(&still, grille(&still, 1.0, 0.0));
    assert_close("flow", turning.flow.value, straight.flow.value, 1e-12);
}
