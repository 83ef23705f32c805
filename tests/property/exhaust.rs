//! What must hold for any grille behind any fan whose air turns.

use proptest::prelude::*;
use ventwright::air::Air;
use ventwright::fan::{ExitProfile, FanExit, Supply, SwirlSource};
use ventwright::ranking::{
    Circuit, Exhaust, ExhaustPoint, GrilleLoss, LossLaw, RankedGrille, ZoneExhaust, ZoneLoss, rank,
};

const HUB: f64 = 0.02;
const TIP: f64 = 0.058;

fn circuit(place_loss: f64) -> Circuit {
    Circuit {
        air: Air::new(20.0, 101_325.0, None).expect("a state of air"),
        supply: Supply::TwoNumbers {
            free_flow: 0.028,
            shut_off_pressure: 24.0,
        },
        reference_area: 0.0093,
        place_loss,
        place_loss_half_width: 0.0,
        shared_case: None,
        heat_load: None,
    }
}

fn any_source() -> impl Strategy<Value = SwirlSource> {
    prop_oneof![
        Just(SwirlSource::Unknown),
        (0.0..1.5_f64).prop_map(|tangent| SwirlSource::Given {
            tangent,
            radius: 0.04
        }),
        (0.3..0.9_f64, 80.0..400.0_f64).prop_map(|(efficiency, angular_speed)| {
            SwirlSource::Euler {
                efficiency,
                angular_speed,
            }
        }),
    ]
}

/// Zones with these areas (as parts of the bore) whose K rises with the swirl and which take a part of the suction away.
fn grille(exit: &FanExit, parts: &[f64], loss: f64, rise: f64, taken: f64) -> GrilleLoss {
    let point = |i: i32| {
        let strength = 0.05 * f64::from(i);
        ExhaustPoint {
            loss_factor: 1.0 + rise * strength,
            least_loss: 0.0,
            lost_suction: taken * strength * strength,
        }
    };
    let zones = parts.iter().map(|part| ZoneLoss {
        area: part * exit.area(),
        law: LossLaw {
            viscous: 0.2,
            ..LossLaw::constant(loss, 0.0)
        },
        bands: Vec::new(),
    });
    let courses = parts.iter().map(|part| ZoneExhaust {
        step: 0.05,
        points: (0..81)
            .map(point)
            .map(|point| ExhaustPoint {
                lost_suction: part * point.lost_suction,
                ..point
            })
            .collect(),
    });
    GrilleLoss {
        name: "plate".to_owned(),
        zones: zones.collect(),
        exhaust: Some(Exhaust {
            exit: exit.clone(),
            zones: courses.collect(),
            suction_half_width: 0.3,
            extremes: None,
        }),
        parts: Vec::new(),
    }
}

fn ranked(place_loss: f64, grille: GrilleLoss) -> RankedGrille {
    let ranking = rank(&circuit(place_loss), &[grille]).expect("the bare fan settles");
    ranking.grilles.into_iter().next().expect("it settles")
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// The grille's share of the fan's pressure is K times the dynamic pressure, lost suction and all.
    #[test]
    fn the_operating_point_lies_on_both_curves(
        source in any_source(), loss in 0.3..9.0_f64, rise in 0.0..1.0_f64, taken in -0.2..1.0_f64, place in 0.0..3.0_f64,
    ) {
        let exit = FanExit::new(1.2, HUB, TIP, &ExitProfile::Outboard, source).half_spread();
        let seen = ranked(place, grille(&exit, &[0.94], loss, rise, taken));
        let circuit = circuit(place);
        let velocity = seen.flow.value / circuit.reference_area;
        let cost = (place + seen.loss_coefficient.value) * circuit.air.dynamic_pressure(velocity);
        let band = circuit.supply.band().expect("a fan");
        let pressure = band.central.pressure(seen.flow.value);
        prop_assert!((cost / pressure - 1.0).abs() < 1e-6, "{cost} {pressure}");
        prop_assert!(seen.flow.low <= seen.flow.value && seen.flow.value <= seen.flow.high);
    }

    /// More suction taken away, or K that rises more with the angle, never gives more air.
    #[test]
    fn taking_more_swirl_away_never_gives_more_air(
        source in any_source(), loss in 0.3..9.0_f64, rise in 0.0..1.0_f64, taken in 0.0..0.6_f64, more in 0.0..0.5_f64,
    ) {
        let exit = FanExit::new(1.2, HUB, TIP, &ExitProfile::Uniform, source);
        let flow = |rise: f64, taken: f64| ranked(1.0, grille(&exit, &[0.9], loss, rise, taken)).flow.value;
        let base = flow(rise, taken);
        prop_assert!(flow(rise, taken + more) <= base * (1.0 + 1e-12));
        prop_assert!(flow(rise + more, taken) <= base * (1.0 + 1e-12));
    }

    /// A zone cut in two is the same grille.
    #[test]
    fn a_cut_zone_is_the_same_zone(
        source in any_source(), loss in 0.3..9.0_f64, rise in 0.0..1.0_f64, taken in 0.0..0.6_f64, cut in 0.1..0.9_f64,
    ) {
        let exit = FanExit::new(1.2, HUB, TIP, &ExitProfile::Outboard, source).half_spread();
        let whole = ranked(1.0, grille(&exit, &[0.9], loss, rise, taken));
        let halves = ranked(1.0, grille(&exit, &[0.9 * cut, 0.9 * (1.0 - cut)], loss, rise, taken));
        prop_assert!((whole.flow.value / halves.flow.value - 1.0).abs() < 1e-9);
        let swirl = (whole.swirl.expect("behind a fan"), halves.swirl.expect("behind a fan"));
        prop_assert!((swirl.0.lost_suction - swirl.1.lost_suction).abs() < 1e-9 * (1.0 + swirl.0.lost_suction));
    }
}
