//! Lost suction: a grille that takes all swirl out of a fan's jet also takes away the low pressure of its core, and the fan pays for that.
//!
//! Source: radial equilibrium in closed form. The area mean of the pressure of a swirl `w(r)` in a bore of radius 1 whose edge is at the pressure of the room is `-rho` times the integral of `w² r dr`
//! (solid body `-rho W² / 4`, W at the edge; by parts from `dp/dr = rho w² / r`). Here: a solid-body core up to 0.6, outside a free vortex less a solid body, so that it ends with zero at the wall.
//! The same faces without swirl are subtracted: what layers at the wall of the bore cost is in both.
//!
//! Tolerance: the bare fan within 3 % of the swirl that the fan was told, and within 2 % of that which is left where the pressure is read: layers at walls and in the core wear the swirl down on its way.
//! Seen: 2.8 % and 1.7 % low.
//!
//! What the fan then pays for the grille is printed, and held only to be between half and one and a half of the closed form: at K 2 the fan pays 14 % less than the closed form, 3 % of it seen in the bare fan. The rest is pressure behind the grille, which is lower
//! than without swirl by 0.02 dynamic pressures: the core ahead was at low pressure, and it takes a radius behind the grille until that has evened out.
//!
//! Solid body up to the wall and a free vortex from the hub are not tested: the layer at the wall does not turn, and behind the hub the air closes in, so neither stays what the closed form takes it for.
use crate::face::{even_grille, steady};
use crate::flow::assert_error;
use ventwright::measure::face::{FaceCost, FaceOutcome};
use ventwright::tunnel::{Behind, FaceStream, FanFace};
use ventwright::units::LatticeVelocity;

const CORE: f64 = 0.6;
const ROTATION: f64 = 1.2;

fn vortex(r: f64) -> f64 {
    if r < CORE {
        ROTATION * r
    } else {
        ROTATION * CORE * CORE / r * (1.0 - r * r) / (1.0 - CORE * CORE)
    }
}

/// Over the dynamic pressure of the mean axial velocity.
fn closed_form() -> f64 {
    let count = 10_000;
    let step = 1.0 / f64::from(count);
    let radii = (0..count).map(|i| (f64::from(i) + 0.5) * step);
    2.0 * step * radii.map(|r| vortex(r).powi(2) * r).sum::<f64>()
}

/// The closed form for the swirl that is left in the columns where the pressure is read, over the same dynamic pressure.
fn left(outcome: &FaceOutcome) -> f64 {
    let (first, end) = outcome.layout.ahead;
    let bore = outcome.layout.bore;
    let column = |x: usize| {
        let rows =
            (0..bore).map(|y| (y as f64 + 0.5) * f64::from(outcome.mean.swirl[[y, x]]).powi(2));
        2.0 * rows.sum::<f64>() / (bore as f64 * outcome.face_velocity).powi(2)
    };
    (first..end).map(column).sum::<f64>() / (end - first) as f64
}

#[test]
#[ignore = "slow: 15 s"]
fn taking_the_swirl_out_costs_its_suction() {
    let faces = |share: f64| {
        let swirl = move |r: f64| share * vortex(r);
        let face = FanFace {
            exit: FaceStream {
                hub: 0.0,
                tip: 1.0,
                axial: &|_| 1.0,
                swirl: &swirl,
            },
            gap: 0.25,
            grille: even_grille(2.0, 0.0),
            behind: Behind::Room { width: 4.0 },
            length_behind: 4.0,
            reynolds_number: 8000.0,
            face_velocity: LatticeVelocity(0.03),
            cells_per_radius: 24,
            has_subgrid: true,
        };
        [("grille", face.clone()), ("bare", face.bare())]
            .map(|(name, face)| steady(&format!("{name}, swirl {share}"), &face, 16.0))
    };
    let (turning, straight) = (faces(1.0), faces(0.0));
    assert_error("swirl left", turning[0].swirl_number_out, 0.01);
    let suction = straight[1].pressure_ahead - turning[1].pressure_ahead;
    assert_error(
        "suction of the bare fan",
        suction / closed_form() - 1.0,
        0.03,
    );
    let error = suction / left(&turning[1]) - 1.0;
    assert_error("suction and the swirl beside it", error, 0.02);
    let [turning, straight] =
        [&turning, &straight].map(|[grille, bare]| FaceCost::between(grille, bare));
    let lost = turning.lost_suction - straight.lost_suction;
    println!("lost suction {lost}, closed form {}", closed_form());
    // It is a loss, and most of the suction.
    assert!(lost > 0.5 * closed_form() && lost < 1.5 * closed_form());
}
