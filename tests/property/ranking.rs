//! What must hold for any ranking, whatever the fan and the grilles.

use proptest::prelude::*;
use ventwright::air::Air;
use ventwright::fan::{FanCurve, Supply};
use ventwright::likely::Likely;
use ventwright::ranking::{Circuit, GrilleLoss, LossBand, LossLaw, Ranking, ZoneLoss, rank};

const AREA: f64 = 0.0118;

/// A falling curve, the two numbers of a box, or a curve with humps.
fn any_fan() -> impl Strategy<Value = Supply> {
    let box_numbers = (0.01..0.06_f64, 5.0..60.0_f64).prop_map(|(free_flow, shut_off_pressure)| {
        Supply::TwoNumbers {
            free_flow,
            shut_off_pressure,
        }
    });
    let points = prop::collection::vec((0.002..0.02_f64, 2.0..60.0_f64), 3..7);
    let curve = (points, any::<bool>()).prop_map(|(mut points, is_falling)| {
        if is_falling {
            points.sort_by(|a, b| b.1.total_cmp(&a.1));
        }
        let mut flow = vec![0.0];
        let mut pressure = Vec::new();
        for (step, height) in &points {
            flow.push(flow[flow.len() - 1] + step);
            pressure.push(*height);
        }
        pressure.push(0.0);
        Supply::Curve(FanCurve { flow, pressure })
    });
    prop_oneof![box_numbers, curve]
}

/// One or two zones with a law and bands of every kind.
fn any_grille() -> impl Strategy<Value = GrilleLoss> {
    let zone = (
        0.3..0.9_f64,
        0.2..30.0_f64,
        0.0..0.05_f64,
        0.0..0.2_f64,
        0.0..0.2_f64,
    );
    prop::collection::vec(zone, 1..3).prop_map(|zones| {
        let count = zones.len() as f64;
        let zones = zones.into_iter().map(|(share, k, noise, grid, view)| {
            let band = |source: &str, half_width, shared_by: Option<&str>| LossBand {
                source: source.to_owned(),
                half_width,
                shared_by: shared_by.map(str::to_owned),
            };
            ZoneLoss {
                area: share * AREA / count,
                law: LossLaw::constant(k, noise * k),
                bands: vec![
                    band("grid", grid, None),
                    band("simplified view", view, Some("Hexagon")),
                ],
            }
        });
        GrilleLoss {
            name: String::new(),
            zones: zones.collect(),
            exhaust: None,
            parts: Vec::new(),
        }
    })
}

fn any_grilles() -> impl Strategy<Value = Vec<GrilleLoss>> {
    prop::collection::vec(any_grille(), 1..6).prop_map(|grilles| {
        let named = grilles.into_iter().enumerate();
        let named = named.map(|(i, grille)| GrilleLoss {
            name: format!("grille {i}"),
            ..grille
        });
        named.collect()
    })
}

fn ranking(supply: Supply, place_loss: f64, grilles: &[GrilleLoss]) -> Ranking {
    let circuit = Circuit {
        air: Air::new(24.0, 99_000.0, Some(0.4)).expect("a state of air"),
        supply,
        reference_area: AREA,
        place_loss,
        place_loss_half_width: 0.1 * place_loss,
        shared_case: None,
        heat_load: None,
    };
    rank(&circuit, grilles).expect("these fans settle somewhere")
}

fn holds(likely: &Likely) -> Result<(), TestCaseError> {
    let Likely { value, low, high } = *likely;
    prop_assert!(value.is_finite() && value > 0.0, "{likely:?}");
    prop_assert!(low <= value && value <= high, "{likely:?}");
    Ok(())
}

proptest! {
    #[test]
    fn a_ranking_is_in_order_and_every_range_holds_its_value(
        supply in any_fan(),
        place_loss in 0.0..8.0_f64,
        grilles in any_grilles(),
    ) {
        let ranking = ranking(supply, place_loss, &grilles);
        prop_assert_eq!(ranking.grilles.len() + ranking.unranked.len(), grilles.len());
        let bare = ranking.bare.as_ref().expect("there is a fan").flow;
        holds(&bare)?;
        let mut last = f64::INFINITY;
        for (place, grille) in ranking.grilles.iter().enumerate() {
            holds(&grille.flow)?;
            holds(&grille.loss_coefficient)?;
            holds(&grille.pressure_drop)?;
            holds(&grille.face_velocity)?;
            let percent = grille.flow_percent.expect("there is a fan");
            holds(&percent)?;
            prop_assert!(percent.value <= 100.0 * (1.0 + 1e-9), "{percent:?}");
            let share = 100.0 * grille.flow.value / bare.value;
            prop_assert!((percent.value - share).abs() <= 1e-9 * share, "{percent:?} and {share}");
            // Best first; never a place beyond its position.
            prop_assert!(grille.flow.value <= last);
            prop_assert!((1..=place + 1).contains(&grille.rank));
            last = grille.flow.value;
            // Ties are mutual, and nobody ties with itself; a place counts those above that are no tie.
            prop_assert_eq!(grille.rank, 1 + place - grille.tied_with.iter().filter(|other| **other < place).count());
            for &other in &grille.tied_with {
                prop_assert!(other != place && ranking.grilles[other].tied_with.contains(&place));
            }
        }
    }

    #[test]
    fn with_a_given_flow_the_least_pressure_drop_comes_first(
        flow in 0.002..0.06_f64,
        grilles in any_grilles(),
    ) {
        let ranking = ranking(Supply::GivenFlow(flow), 0.0, &grilles);
        prop_assert!(ranking.bare.is_none());
        prop_assert_eq!(ranking.grilles.len(), grilles.len());
        let mut last = 0.0;
        for grille in &ranking.grilles {
            prop_assert!(grille.flow_percent.is_none());
            prop_assert!((grille.flow.value - flow).abs() <= 1e-12);
            holds(&grille.loss_coefficient)?;
            holds(&grille.pressure_drop)?;
            prop_assert!(grille.pressure_drop.value >= last);
            last = grille.pressure_drop.value;
        }
    }

    #[test]
    fn a_grille_keeps_its_numbers_in_any_company(
        supply in any_fan(),
        grilles in any_grilles(),
    ) {
        let together = ranking(supply.clone(), 2.0, &grilles);
        for (index, grille) in grilles.iter().enumerate() {
            let alone = ranking(supply.clone(), 2.0, std::slice::from_ref(grille));
            let Some(alone) = alone.grilles.first() else { continue };
            let beside = together.grilles.iter().find(|it| it.index == index);
            let beside = beside.expect("ranked alone, ranked in company");
            prop_assert_eq!(alone.flow, beside.flow);
            prop_assert_eq!(alone.flow_percent, beside.flow_percent);
            prop_assert_eq!(alone.pressure_drop, beside.pressure_drop);
            prop_assert_eq!(alone.loss_coefficient, beside.loss_coefficient);
        }
    }
}
