//! Properties of fabrics: what costs more, what adds up, what a fit gives back.

use proptest::prelude::*;
use ventwright::air::Air;
use ventwright::fabric::{
    Fabric, FabricKind, Knit, Layers, Lie, MeshMaterial, NYLON_DENSITY, Reading, Woven, aged,
    law_of_readings,
};

fn air() -> Air {
    Air::new(22.0, 101_325.0, None).expect("a state in its range")
}

/// Hosiery as it may be: slack enough that its legs do not touch.
fn knit() -> impl Strategy<Value = Knit> {
    (
        5.0..70.0,
        1_u32..30,
        0.45e-3..1.5e-3,
        0.3e-3..1.0e-3,
        0.0..1.5,
    )
        .prop_map(
            |(denier, filament_count, pitch_across, pitch_along, stretch)| Knit {
                denier,
                filament_count,
                pitch_across,
                pitch_along,
                stretch_across: stretch,
                stretch_along: 0.5 * stretch,
                density: NYLON_DENSITY,
            },
        )
        .prop_filter("loops that leave something open", |knit| {
            knit.open_fraction().value > 0.1 && knit.openings()[0] > 0.1 * knit.pitches()[0]
        })
}

fn woven() -> impl Strategy<Value = Woven> {
    (20e-6..1e-3, 0.3..6.0).prop_map(|(thread, ratio)| Woven {
        material: MeshMaterial::Monofilament,
        thread,
        opening: ratio * thread,
        density: NYLON_DENSITY,
    })
}

fn drop(kind: FabricKind, velocity: f64) -> f64 {
    kind.law(&air()).pressure_drop(velocity)
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn stretch_never_costs_and_denier_always_does(knit in knit(), velocity in 0.3..4.0, factor in 1.02..1.6) {
        let given = drop(FabricKind::Knit(knit), velocity);
        let taut = drop(FabricKind::Knit(knit.stretched(factor)), velocity);
        prop_assert!(taut < given, "stretched by {factor}: {taut} after {given}");
        let thicker = Knit { denier: knit.denier * factor, ..knit };
        prop_assume!(thicker.open_fraction().value > 0.1 && thicker.openings()[0] > 0.1 * knit.pitches()[0]);
        let coarse = drop(FabricKind::Knit(thicker), velocity);
        prop_assert!(coarse > given, "denier times {factor}: {coarse} after {given}");
    }

    #[test]
    fn a_wider_opening_costs_less_and_a_thicker_thread_more(woven in woven(), velocity in 0.3..4.0, factor in 1.02..1.6) {
        let given = drop(FabricKind::Woven(woven), velocity);
        let wider = Woven { opening: woven.opening * factor, ..woven };
        prop_assert!(drop(FabricKind::Woven(wider), velocity) < given);
        let pitch = woven.pitch();
        let thread = woven.thread * factor;
        prop_assume!(thread < 0.75 * pitch);
        let thicker = Woven { thread, opening: pitch - thread, ..woven };
        prop_assert!(drop(FabricKind::Woven(thicker), velocity) > given);
    }

    #[test]
    fn the_law_is_never_negative_and_rises(woven in woven(), low in 0.1..3.0, rise in 1.01..2.0) {
        let law = FabricKind::Woven(woven).law(&air());
        prop_assert!(law.viscous >= 0.0 && law.inertial >= 0.0);
        prop_assert!(law.pressure_drop(low * rise) > law.pressure_drop(low));
        prop_assert!(law.loss_coefficient(low * rise, 1.2) <= law.loss_coefficient(low, 1.2) * (1.0 + 1e-12));
    }

    #[test]
    fn spaced_layers_add_and_any_further_layer_costs(knit in knit(), count in 1_u32..8, velocity in 0.3..4.0) {
        let fabric = |count, lie| Fabric {
            name: "layers".to_owned(),
            kind: Some(FabricKind::Knit(knit)),
            layers: Layers { count, lie },
            bench: None,
        };
        let cost = |count, lie| fabric(count, lie).law(&air(), None).unwrap().pressure_drop(velocity);
        let one = cost(1, Lie::Spaced);
        let all = cost(count, Lie::Spaced);
        prop_assert!((all - f64::from(count) * one).abs() <= 1e-12 * all);
        for lie in [Lie::Aligned, Lie::Crossed] {
            prop_assert!((cost(1, lie) - one).abs() <= 1e-12 * one);
            prop_assert!(cost(count + 1, lie) > cost(count, lie));
            let two = fabric(2, lie).law(&air(), None).unwrap();
            prop_assert!((1.5..=2.5).contains(&(two.pressure_drop(velocity) / one)));
        }
    }

    #[test]
    fn pressed_is_one_over_f_and_one_over_f_squared(woven in woven(), open in 0.2..0.95) {
        let law = FabricKind::Woven(woven).law(&air());
        let pressed = law.at_gap(0.0, 0.006, open);
        prop_assert!((pressed.viscous * open - law.viscous).abs() <= 1e-12 * law.viscous);
        prop_assert!((pressed.inertial * open * open - law.inertial).abs() <= 1e-12 * law.inertial);
        prop_assert_eq!(law.at_gap(0.02, 0.006, open), law);
    }

    #[test]
    fn dust_costs_more_the_more_it_shuts(woven in woven(), velocity in 0.3..4.0) {
        let law = FabricKind::Woven(woven).law(&air());
        let mut before = law.pressure_drop(velocity);
        for lost in [0.1, 0.25, 0.5] {
            let after = aged(&law, lost).pressure_drop(velocity);
            prop_assert!(after > before);
            before = after;
        }
    }

    #[test]
    fn a_fit_gives_back_the_law_that_made_the_readings(
        viscous in 0.0..20.0,
        inertial in 0.01..20.0,
        start in 0.2..1.5,
        steps in prop::collection::vec(1.26..1.8, 1..7),
    ) {
        let (viscous, inertial): (f64, f64) = (viscous, inertial);
        let mut velocity: f64 = start;
        let mut readings = Vec::new();
        for step in [1.0].iter().chain(&steps) {
            velocity *= step;
            readings.push(Reading { velocity, pressure: velocity * (viscous + inertial * velocity) });
        }
        let law = law_of_readings(&readings, 0.1, None).unwrap();
        for reading in &readings {
            let found = law.pressure_drop(reading.velocity);
            prop_assert!((found / reading.pressure - 1.0).abs() < 1e-8);
        }
        prop_assert!((law.viscous - viscous).abs() < 1e-6 * (viscous + inertial * velocity));
        prop_assert!((law.inertial - inertial).abs() < 1e-6 * (inertial + viscous / start));
        prop_assert!((law.band.high - 1.1).abs() < 1e-6, "{:?}", law.band);
    }
}

/// Common practice, no source: only the order is asked for.
#[test]
fn slack_costs_more_than_taut_and_thick_more_than_thin() {
    let hosiery = |denier: f64, filament_count, stretch| Knit {
        denier,
        filament_count,
        pitch_across: 0.6e-3,
        pitch_along: 0.5e-3,
        stretch_across: stretch,
        stretch_along: 0.5 * stretch,
        density: NYLON_DENSITY,
    };
    let cost = |knit| drop(FabricKind::Knit(knit), 1.5);
    let [slack, taut] = [0.0, 1.0].map(|stretch| cost(hosiery(40.0, 14, stretch)));
    assert!(
        slack > 1.5 * taut,
        "40 denier: {slack} Pa slack, {taut} Pa taut"
    );
    // Taut fine hosiery costs little, and all of it nearly alike.
    let [ten, twenty] = [10.0, 20.0].map(|denier| cost(hosiery(denier, 1, 1.0)));
    assert!(
        ten < twenty && twenty < taut,
        "{ten}, {twenty} and {taut} Pa"
    );
    // Two layers of a thick knit cost far more than one of them, and more than a taut one of two.
    let thick = |count| {
        let fabric = Fabric {
            name: "thick".to_owned(),
            kind: Some(FabricKind::Knit(hosiery(40.0, 14, 0.0))),
            layers: Layers {
                count,
                lie: Lie::Crossed,
            },
            bench: None,
        };
        fabric.law(&air(), None).unwrap().pressure_drop(1.5)
    };
    assert!(thick(2) > 2.0 * thick(1));
}
