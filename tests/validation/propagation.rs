//! The interval of a flow and of a difference of flows, by linear propagation, against drawing at random.
//!
//! Method and tolerance: 4000 draws of every cause of doubt from normal distributions, each solved through the same operating
//! point; half-width = 1.96 standard deviations of the draws. 4000 draws know a standard deviation to 1.1 % (one over the root
//! of twice their number), curvature of the problem adds some; tolerance 10 %. Source of the method: ISO/IEC Guide 98-3,
//! supplement 1 (propagation of distributions). Errors seen: flows -0.7 and -1.6 %, their difference +1.1 %,
//! pressure drop -0.5 %, per cent of the bare fan -0.5 %. The draws come from a fixed seed.

use crate::common::assert_close;
use crate::common::normal::Normal;
use ventwright::air::Air;
use ventwright::fan::{FanCurve, FlowUnit, PressureUnit, Supply};
use ventwright::likely::HALF_WIDTH_95;
use ventwright::ranking::{
    Circuit, GrilleLoss, LossBand, LossLaw, LossPoint, Ranking, ZoneLoss, rank,
};

const AREA: f64 = 0.0123;
const DRAWS: usize = 4000;

fn circuit() -> Circuit {
    let points = [
        (0.0, 31.0),
        (35.0, 24.0),
        (70.0, 19.0),
        (105.0, 8.0),
        (124.0, 0.0),
    ];
    Circuit {
        air: Air::new(20.0, 101_325.0, None).expect("a state of air"),
        supply: Supply::Curve(
            FanCurve::from_points(&points, FlowUnit::CubicMetresPerHour, PressureUnit::Pascals)
                .expect("a fan curve"),
        ),
        reference_area: AREA,
        place_loss: 1.1,
        place_loss_half_width: 0.3,
        shared_case: None,
        heat_load: None,
    }
}

fn bands(family: &str) -> Vec<LossBand> {
    let band = |source: &str, half_width: f64, shared_by: Option<&str>| LossBand {
        source: source.to_owned(),
        half_width,
        shared_by: shared_by.map(str::to_owned),
    };
    vec![
        band("grid", 0.06, None),
        band("air speed limit of the solver", 0.03, None),
        band("simplified view", 0.12, Some(family)),
    ]
}

/// Measured points with noise, one grille of a single zone and one of two zones, of one family.
fn laws() -> [LossLaw; 3] {
    let fit = |a: f64, b: f64, noise: f64| {
        let points: Vec<LossPoint> = [1.5, 2.2, 3.2]
            .iter()
            .map(|&velocity| LossPoint {
                velocity,
                loss_coefficient: a / velocity + b,
                standard_uncertainty: noise,
            })
            .collect();
        LossLaw::fit(&points).expect("a law")
    };
    [
        fit(1.2, 1.0, 0.02),
        fit(0.9, 0.8, 0.02),
        fit(1.6, 2.2, 0.04),
    ]
}

#[test]
fn linear_propagation_agrees_with_drawing_at_random() {
    let [single, inner, outer] = laws();
    assert!(single.viscous > 0.0 && inner.viscous > 0.0 && outer.viscous > 0.0);
    let zone = |area: f64, law: &LossLaw, bands: &[LossBand]| ZoneLoss {
        area,
        law: law.clone(),
        bands: bands.to_vec(),
    };
    let family = bands("hexagon");
    let make = |laws: &[LossLaw; 3], bands: &[LossBand]| {
        [
            GrilleLoss {
                name: "one zone".to_owned(),
                zones: vec![zone(AREA, &laws[0], bands)],
                exhaust: None,
                parts: Vec::new(),
            },
            GrilleLoss {
                name: "two zones".to_owned(),
                zones: vec![
                    zone(0.4 * AREA, &laws[1], bands),
                    zone(0.6 * AREA, &laws[2], bands),
                ],
                exhaust: None,
                parts: Vec::new(),
            },
        ]
    };
    let circuit = circuit();
    let ranking = rank(&circuit, &make(&laws(), &family)).unwrap();
    let of_index = |ranking: &Ranking, index: usize| {
        let mut grilles = ranking.grilles.iter();
        grilles.find(|it| it.index == index).unwrap().clone()
    };
    let (one, two) = (of_index(&ranking, 0), of_index(&ranking, 1));
    let (better, other) = (ranking.grilles[0].index, ranking.grilles[1].index);

    let mut normal = Normal(20_251_125);
    let mut drawn: [Vec<f64>; 5] = Default::default();
    for _ in 0..DRAWS {
        let view = 0.12 / HALF_WIDTH_95 * normal.draw();
        let own: Vec<f64> = (0..2)
            .map(|_| {
                (0.06 / HALF_WIDTH_95 * normal.draw()) + (0.03 / HALF_WIDTH_95 * normal.draw())
            })
            .collect();
        let mut moved = laws();
        for (index, law) in moved.iter_mut().enumerate() {
            // Correlated draws of a and b by the factor of their 2 x 2 covariance, written out.
            let [aa, ab, bb] = law.covariance;
            let (first, second) = (normal.draw(), normal.draw());
            law.viscous += aa.sqrt() * first;
            law.inertial += ab / aa.sqrt() * first + (bb - ab * ab / aa).sqrt() * second;
            let factor = 1.0 + view + own[usize::from(index > 0)];
            law.viscous *= factor;
            law.inertial *= factor;
        }
        let place_loss = circuit.place_loss + 0.3 / HALF_WIDTH_95 * normal.draw();
        let moved_circuit = Circuit {
            place_loss,
            place_loss_half_width: 0.0,
            shared_case: None,
            ..circuit.clone()
        };
        let solved = rank(&moved_circuit, &make(&moved, &[])).unwrap();
        let of = |index: usize| of_index(&solved, index);
        drawn[0].push(of(0).flow.value);
        drawn[1].push(of(1).flow.value);
        drawn[2].push(of(better).flow.value - of(other).flow.value);
        drawn[3].push(of(0).pressure_drop.value);
        drawn[4].push(of(1).flow_percent.unwrap().value);
    }
    let half_width = |values: &[f64]| {
        let mean = values.iter().sum::<f64>() / values.len() as f64;
        let square: f64 = values.iter().map(|value| (value - mean).powi(2)).sum();
        HALF_WIDTH_95 * (square / (values.len() - 1) as f64).sqrt()
    };
    let expected = [
        ("flow, one zone", one.flow.half_width()),
        ("flow, two zones", two.flow.half_width()),
        ("difference", ranking.comparisons[0].difference.half_width()),
        ("pressure drop", one.pressure_drop.half_width()),
        ("per cent", two.flow_percent.unwrap().half_width()),
    ];
    for ((name, linear), values) in expected.iter().zip(&drawn) {
        println!(
            "{name}: {:+.2} %",
            100.0 * (linear / half_width(values) - 1.0)
        );
        assert_close(name, *linear, half_width(values), 0.10);
    }
    // The difference of two of one family is known better than either flow.
    assert!(expected[2].1 < 0.8 * expected[0].1);
}
