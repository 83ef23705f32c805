//! What the order, the ties and the intervals must do.

use super::*;
use crate::comparison::Relation;
use crate::fan::{FanCurve, FlowUnit, PressureUnit};

fn circuit(supply: Supply) -> Circuit {
    Circuit {
        air: Air::new(20.0, 101_325.0, None).unwrap(),
        supply,
        reference_area: 0.0125,
        place_loss: 0.8,
        place_loss_half_width: 0.2,
        shared_case: None,
        heat_load: Some(150.0),
    }
}

fn box_fan() -> Supply {
    Supply::TwoNumbers {
        free_flow: 0.036,
        shut_off_pressure: 24.0,
    }
}

fn curve_fan() -> Supply {
    let points = [
        (0.0, 24.0),
        (30.0, 19.0),
        (60.0, 16.5),
        (100.0, 9.0),
        (130.0, 0.0),
    ];
    Supply::Curve(
        FanCurve::from_points(&points, FlowUnit::CubicMetresPerHour, PressureUnit::Pascals)
            .unwrap(),
    )
}

fn band(source: &str, half_width: f64, shared_by: Option<&str>) -> LossBand {
    LossBand {
        source: source.to_owned(),
        half_width,
        shared_by: shared_by.map(str::to_owned),
    }
}

fn grille(name: &str, loss_coefficient: f64, bands: Vec<LossBand>) -> GrilleLoss {
    GrilleLoss {
        name: name.to_owned(),
        zones: vec![ZoneLoss {
            area: 0.0125,
            law: LossLaw::constant(loss_coefficient, 0.0),
            bands,
        }],
        exhaust: None,
        parts: Vec::new(),
    }
}

#[test]
fn a_band_common_to_one_family_cancels_and_counts_in_full_between_families() {
    let of = |name: &str, k: f64, family: &str| {
        let bands = vec![
            band("simplified view", 0.20, Some(family)),
            band("grid", 0.005, None),
        ];
        grille(name, k, bands)
    };
    let grilles = [
        of("wide hexagons", 1.00, "hexagon"),
        of("fine hexagons", 1.25, "hexagon"),
        of("slots", 1.25, "slot"),
    ];
    let ranking = rank(&circuit(curve_fan()), &grilles).unwrap();
    let pair = |a: &str, b: &str| {
        let place = |name: &str| {
            let mut ranked = ranking.grilles.iter();
            ranked
                .position(|it| grilles[it.index].name == name)
                .unwrap()
        };
        let (a, b) = (place(a), place(b));
        ranking
            .comparisons
            .iter()
            .find(|c| c.better == a.min(b) && c.other == a.max(b))
            .unwrap()
    };
    assert!(!pair("wide hexagons", "fine hexagons").is_level());
    assert!(pair("wide hexagons", "fine hexagons").judged.sureness > 0.99);
    assert!(pair("wide hexagons", "slots").is_level());
    assert!(pair("fine hexagons", "slots").is_level());
    // Each one's own interval does hold the band, so the two overlap although one is clearly ahead.
    assert!(ranking.grilles[0].flow.low < ranking.grilles[1].flow.high);
    let part = |source: &str| {
        let parts = &ranking.grilles[0].contributions;
        let part = parts.iter().find(|part| part.source == source).unwrap();
        part.half_width_percent
    };
    assert!(part("simplified view") > 19.0 * part("grid"));
}

#[test]
fn what_differs_by_less_than_a_point_is_equal_in_use() {
    let grilles = [grille("a", 1.0, vec![]), grille("b", 1.02, vec![])];
    let ranking = rank(&circuit(curve_fan()), &grilles).unwrap();
    assert_eq!(ranking.comparisons[0].judged.relation, Relation::EqualInUse);
    assert_eq!(ranking.grilles[1].rank, 1);
}

#[test]
fn no_grille_costs_less_than_nothing() {
    // K 1.0 with a band as wide as itself: half of the unbounded distribution's lower part would lie below zero.
    let wide = grille("wide", 1.0, vec![band("simplified view", 1.8, None)]);
    let narrow = grille("narrow", 1.0, vec![band("grid", 0.05, None)]);
    let mut circuit = circuit(curve_fan());
    circuit.place_loss_half_width = 0.0;
    let ranking = rank(&circuit, &[wide, narrow]).unwrap();
    let place = |name: &str| usize::from(name == "narrow");
    let mut ranked = ranking.grilles.clone();
    ranked.sort_by_key(|it| it.index);
    let of = |name: &str| &ranked[place(name)];
    let bare = ranking.bare.as_ref().unwrap().flow.value;
    assert!(of("wide").loss_coefficient.low > 0.0);
    assert!(of("wide").flow.high < bare);
    assert!(of("wide").pressure_drop.low > 0.0);
    // Far from the bound nothing changes: 5 % both ways.
    let narrow = of("narrow").loss_coefficient;
    assert!(
        (narrow.high - 1.05).abs() < 1e-3 && (narrow.low - 0.95).abs() < 1e-3,
        "{narrow:?}"
    );
}

#[test]
fn the_fan_curve_cancels_in_the_difference_and_less_in_the_flow() {
    let grilles = [grille("a", 1.0, vec![]), grille("b", 1.3, vec![])];
    let mut circuit = circuit(box_fan());
    circuit.place_loss_half_width = 0.0;
    let ranking = rank(&circuit, &grilles).unwrap();
    let [first, second] = [&ranking.grilles[0], &ranking.grilles[1]];
    assert_eq!(first.contributions[0].source, "fan curve");
    assert!(first.flow.low < second.flow.high, "the intervals overlap");
    assert!(ranking.ties.is_empty(), "and yet the order is sure");
    assert!(
        first.flow_percent.unwrap().half_width() / first.flow_percent.unwrap().value
            < first.flow.half_width() / first.flow.value
    );
    assert_eq!([first.rank, second.rank], [1, 2]);
}

#[test]
fn with_a_given_flow_the_pressure_drop_decides() {
    let grilles = [
        grille("dear", 2.0, vec![band("grid", 0.02, None)]),
        grille("cheap", 1.0, vec![band("grid", 0.02, None)]),
    ];
    let circuit = circuit(Supply::GivenFlow(0.025));
    let ranking = rank(&circuit, &grilles).unwrap();
    assert!(ranking.bare.is_none());
    assert_eq!(grilles[ranking.grilles[0].index].name, "cheap");
    assert!(ranking.grilles[0].flow_percent.is_none());
    let exact = circuit.air.dynamic_pressure(0.025 / 0.0125);
    let drop = ranking.grilles[0].pressure_drop;
    assert!((drop.value - exact).abs() < 1e-12);
    assert!((drop.half_width() - 0.02 * exact).abs() < 1e-9);
    assert!((ranking.grilles[0].contributions[0].half_width_percent - 2.0).abs() < 1e-9);
    let comparison = &ranking.comparisons[0];
    assert!((comparison.difference.value - exact).abs() < 1e-9);
    // Two grids of their own: 2 % of each, root-sum-square; all of the interval.
    let by_hand = exact * 0.02_f64.hypot(0.04);
    assert_eq!(comparison.parts[0].source, "grid");
    assert!((comparison.parts[0].half_width - by_hand).abs() < 1e-9);
    let squares: f64 = comparison
        .parts
        .iter()
        .map(|part| part.half_width.powi(2))
        .sum();
    assert!((squares.sqrt() - comparison.difference.half_width()).abs() < 1e-9);
}

#[test]
fn order_that_hangs_on_the_shape_of_the_curve_is_told() {
    // Two laws that cross at the speed where the believed curve settles.
    let mut friction = grille("friction", 0.0, vec![]);
    friction.zones[0].law.viscous = 2.0;
    let mut circuit = circuit(box_fan());
    circuit.place_loss_half_width = 0.0;
    let settled = rank(&circuit, &[friction.clone()]).unwrap();
    let k = settled.grilles[0].loss_coefficient.value;
    let ranking = rank(&circuit, &[friction, grille("inertia", k * 1.001, vec![])]).unwrap();
    assert_eq!(ranking.warnings[0].code, "order-depends-on-fan-curve");
    assert!(ranking.comparisons[0].is_level());
    assert_eq!(ranking.ties, [vec![0, 1]]);
    assert_eq!(ranking.grilles[1].tied_with, [0]);
    assert_eq!(ranking.grilles[0].index, 0, "friction");
}

#[test]
fn of_many_pairs_that_hang_on_the_curve_three_are_named() {
    let mut friction = grille("friction", 0.0, vec![]);
    friction.zones[0].law.viscous = 2.0;
    let mut circuit = circuit(box_fan());
    circuit.place_loss_half_width = 0.0;
    let settled = rank(&circuit, std::slice::from_ref(&friction)).unwrap();
    let k = settled.grilles[0].loss_coefficient.value;
    let told = |count: u32| {
        let others = (1..=count).map(|number| {
            let more = 1.0 + 1e-3 * f64::from(number);
            grille(&format!("inertia {number}"), k * more, vec![])
        });
        let grilles: Vec<GrilleLoss> = std::iter::once(friction.clone()).chain(others).collect();
        rank(&circuit, &grilles).unwrap().warnings[0]
            .message
            .clone()
    };
    let rest =
        " depends on the shape of the fan curve, which the two numbers on the box leave open";
    assert_eq!(
        told(6),
        format!(
            "the order of friction and inertia 1; of friction and inertia 2; of friction and inertia 3; of 3 more pairs{rest}"
        )
    );
    let four = told(4);
    assert!(
        four.contains("; of friction and inertia 4 depends"),
        "{four}"
    );
}

#[test]
fn working_far_from_the_solved_speeds_is_told() {
    let law = LossLaw::fit(&[LossPoint {
        velocity: 0.5,
        loss_coefficient: 1.0,
        standard_uncertainty: 0.01,
    }])
    .unwrap();
    let mut far = grille("far", 1.0, vec![]);
    far.zones[0].law = law;
    let ranking = rank(&circuit(curve_fan()), &[far]).unwrap();
    assert_eq!(ranking.grilles[0].warnings[0].code, "loss-extrapolated");
}

#[test]
fn temperature_rise_follows_from_the_flow() {
    let circuit = circuit(curve_fan());
    let ranking = rank(&circuit, &[grille("a", 1.0, vec![])]).unwrap();
    let grille = &ranking.grilles[0];
    let exact = circuit.air.temperature_rise(150.0, grille.flow.value);
    assert!((grille.temperature_rise.unwrap() - exact).abs() < 1e-12);
    assert!(grille.temperature_rise > ranking.bare.unwrap().temperature_rise);
}

#[test]
fn a_bare_fan_that_never_settles_is_an_error() {
    let short = Supply::Curve(FanCurve {
        flow: vec![0.0, 0.02, 0.025],
        pressure: vec![20.0, 10.0, 12.0],
    });
    let reason = rank(&circuit(short), &[grille("a", 1.0, vec![])]).unwrap_err();
    assert_eq!(reason.code(), "fan-curve-too-short");
}

#[test]
fn a_grille_with_which_the_fan_never_settles_is_told_apart_from_the_ranked() {
    // No pressure at no flow, so that enough friction stops it altogether.
    let weak = Supply::Curve(FanCurve {
        flow: vec![0.0, 0.02, 0.04],
        pressure: vec![0.0, 10.0, 0.0],
    });
    let mut stuck = grille("stuck", 1.0, vec![]);
    stuck.zones[0].law.viscous = 1e3;
    let ranking = rank(&circuit(weak), &[stuck, grille("a", 1.0, vec![])]).unwrap();
    assert_eq!(ranking.grilles.len(), 1);
    assert_eq!(ranking.grilles[0].index, 1);
    assert_eq!(ranking.unranked, [(0, NoOperatingPoint::Blocked)]);
}

#[test]
fn a_face_of_several_zones_can_be_asked_for_by_itself() {
    let mut two = grille("two", 1.0, vec![]);
    two.zones[0].area = 0.005;
    two.zones.push(ZoneLoss {
        area: 0.0075,
        law: LossLaw::constant(2.0, 0.0),
        bands: vec![],
    });
    let face = two.face_loss(0.025, 0.0125);
    assert!(face.loss_coefficient > 1.0 && face.loss_coefficient < 2.0);
    assert!(face.zone_velocities[0] > 2.0 && face.zone_velocities[1] < 2.0);
}

#[test]
fn what_the_case_is_off_by_moves_the_flow_as_a_straight_fan_says() {
    // p0 (1 - Q/Q0) = (k + K) c Q², c = rho / (2 A²): a square for Q.
    let straight = FanCurve {
        flow: vec![0.0, 0.036],
        pressure: vec![24.0, 0.0],
    };
    let circuit = circuit(Supply::Curve(straight));
    let flow = |loss: f64| {
        let s = loss * 0.5 * circuit.air.density / circuit.reference_area.powi(2);
        let slope: f64 = 24.0 / 0.036;
        (-slope + (slope * slope + 4.0 * s * 24.0).sqrt()) / (2.0 * s)
    };
    let ranking = rank(&circuit, &[grille("a", 1.0, vec![])]).unwrap();
    let ranked = &ranking.grilles[0];
    assert!((ranked.flow.value - flow(1.8)).abs() < 1e-12);
    // 0.8 ± 0.2 at 95 %, moved by 0.2/1.95996 both ways.
    let step = 0.2 / 1.959_964;
    let half_width = 0.5 * 1.959_964 * (flow(1.8 - step) - flow(1.8 + step));
    let part = &ranked.contributions[0];
    assert_eq!(part.source, "loss of the PC case");
    assert!((part.half_width_percent - 100.0 * half_width / flow(1.8)).abs() < 1e-6);
    assert!((ranked.flow.half_width() - half_width).abs() < 1e-9);
    let bare = 0.5 * 1.959_964 * (flow(0.8 - step) - flow(0.8 + step));
    assert!((ranking.bare.unwrap().flow.half_width() - bare).abs() < 1e-9);
    let velocity = ranked.face_velocity;
    assert!((velocity.value - flow(1.8) / 0.0125).abs() < 1e-9);
    assert!((velocity.half_width() - half_width / 0.0125).abs() < 1e-7);
}

#[test]
fn what_is_exact_has_no_parts() {
    let mut circuit = circuit(Supply::GivenFlow(0.025));
    circuit.place_loss_half_width = 0.0;
    let ranking = rank(
        &circuit,
        &[grille("a", 1.0, vec![]), grille("b", 2.0, vec![])],
    )
    .unwrap();
    assert!(ranking.grilles[0].contributions.is_empty());
    assert!(ranking.comparisons[0].parts.is_empty());
}

#[test]
fn a_wide_part_counts_to_its_far_end_on_either_side() {
    // A panel of its own that takes 5 Pa at 0.025 m³/s, from half of that to twice as much, before one of two grilles.
    let panel = PathPart {
        name: "mesh".to_owned(),
        viscous: 2.5,
        inertial: 0.0,
        band: [0.5, 2.0],
        seat: Seat::Apart { area: 0.0125 },
    };
    let with = grille("with", 1.0, vec![]).with_parts(&[panel]);
    let mut circuit = circuit(Supply::GivenFlow(0.025));
    circuit.place_loss_half_width = 0.0;
    let ranking = rank(&circuit, &[with, grille("without", 1.0, vec![])]).unwrap();
    let comparison = &ranking.comparisons[0];
    assert!((comparison.difference.value - 5.0).abs() < 1e-9);
    assert_eq!(comparison.parts.len(), 1);
    assert_eq!(comparison.parts[0].source, "mesh");
    assert!((comparison.parts[0].half_width - 5.0).abs() < 1e-9);
    // The better one is without it; 2.5 Pa less and 5 Pa more.
    assert!((comparison.difference.low - 2.5).abs() < 1e-9);
    assert!((comparison.difference.high - 10.0).abs() < 1e-9);
    let with = &ranking.grilles[1];
    assert!((with.parts_pressure_drop.value - 5.0).abs() < 1e-9);
    assert!((with.parts_pressure_drop.low - 2.5).abs() < 1e-9);
    assert!((with.parts_pressure_drop.high - 10.0).abs() < 1e-9);
    // 5 Pa of 5 Pa and K 1 at 2 m/s.
    let all = 5.0 + circuit.air.dynamic_pressure(2.0);
    assert_eq!(with.contributions[0].source, "mesh");
    assert!((with.contributions[0].half_width_percent - 500.0 / all).abs() < 1e-9);
}

#[test]
fn further_flows_at_which_the_fan_could_settle_are_told() {
    let curve = FanCurve {
        flow: vec![0.0, 0.01, 0.02, 0.03, 0.04],
        pressure: vec![30.0, 3.0, 22.0, 16.0, 0.0],
    };
    let fan = crate::fan::Characteristic::through(&curve);
    let mut circuit = circuit(Supply::Curve(curve));
    (circuit.place_loss, circuit.place_loss_half_width) = (0.0, 0.0);
    // A way that takes 50 000 Q²: below the fan at 0.02, above it in the dip at 0.01.
    let k = 5e4 * 0.0125_f64.powi(2) / (0.5 * circuit.air.density);
    let ranking = rank(&circuit, &[grille("a", k, vec![])]).unwrap();
    let others = &ranking.grilles[0].other_flows;
    assert_eq!(others.len(), 2);
    for flow in others {
        assert!(*flow < 0.02 && (fan.pressure(*flow) - 5e4 * flow * flow).abs() < 1e-9);
    }
    assert!(ranking.grilles[0].flow.value > 0.02);
    assert!(ranking.bare.unwrap().other_flows.is_empty());
}
