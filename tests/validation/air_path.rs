//! Parts in series with a grille and on its holes, and what a fan must do to make up for them, against closed forms.
//!
//! Source: textbook formulas. A fan with the straight-forward parabola `p = p0 (1 - (Q/Q0)²)` and losses that go with Q² settles at `Q² = p0 / (p0/Q0² + κ)`, κ in Pa s²/m⁶; losses in series add (continuity and
//! the definition of K); air goes through a cover on the holes with U/f, f the free-area ratio (continuity); fan laws: at r times the speed p is r² times as large at r times the flow.
//! In a sealed PC case (conservation of mass) an intake and an exhaust fan move the same air, so their pressures add.
//! Tolerance: 1e-6 for flows, since the curve is a monotone spline through 81 points of the parabola; 1e-4 in flow and 1e-3 in pressure in the
//! sealed case, whose pressure is read from a table of 1000 flows with a kink where the other fan is at its free flow; 1e-5 where another fan is listed instead of counted; 1e-9, rounding, elsewhere.
//! Error seen: 2e-8 in flow, 3e-5 in flow and 6e-4 in pressure in the sealed case, 3e-7 in flow beside other fans, 2e-16 where nothing is solved.

use ventwright::air::Air;
use ventwright::fan::{Characteristic, FanCurve, Supply};
use ventwright::ranking::{
    Circuit, GrilleLoss, LossLaw, OtherFans, PathPart, RankedGrille, Ranking, Seat, SharedCase,
    ZoneLoss, rank,
};
use ventwright::result::GrilleName;
use ventwright::run::conclusions::what_if::{Candidate, Carrier, what_if};

const AREA: f64 = 0.0125;
const SHUT_OFF: f64 = 30.0;
const FREE_FLOW: f64 = 0.04;

fn air() -> Air {
    Air::new(20.0, 101_325.0, None).expect("usual air")
}

/// A parabola by 81 points.
fn parabola() -> Supply {
    let flow: Vec<f64> = (0..=80).map(|i| FREE_FLOW * f64::from(i) / 80.0).collect();
    let pressure = flow
        .iter()
        .map(|flow| SHUT_OFF * (1.0 - (flow / FREE_FLOW).powi(2)))
        .collect();
    Supply::Curve(FanCurve { flow, pressure })
}

fn circuit(supply: Supply, place_loss: f64) -> Circuit {
    Circuit {
        air: air(),
        supply,
        reference_area: AREA,
        place_loss,
        place_loss_half_width: 0.0,
        shared_case: None,
        heat_load: None,
    }
}

fn grille(name: &str, zones: &[(f64, f64)]) -> GrilleLoss {
    let zones = zones.iter().map(|&(area, loss)| ZoneLoss {
        area,
        law: LossLaw::constant(loss, 0.0),
        bands: Vec::new(),
    });
    GrilleLoss {
        name: name.to_owned(),
        zones: zones.collect(),
        exhaust: None,
        parts: Vec::new(),
    }
}

fn part(name: &str, law: [f64; 2], band: [f64; 2], seat: Seat) -> PathPart {
    PathPart {
        name: name.to_owned(),
        viscous: law[0],
        inertial: law[1],
        band,
        seat,
    }
}

fn one(ranking: &Ranking) -> &RankedGrille {
    &ranking.grilles[0]
}

/// κ of a loss coefficient on the reference area.
fn per_flow_squared(loss_coefficient: f64) -> f64 {
    0.5 * air().density * loss_coefficient / (AREA * AREA)
}

fn close(found: f64, expected: f64, tolerance: f64) {
    let error = (found / expected - 1.0).abs();
    assert!(error < tolerance, "{found} {expected}: off by {error:e}");
}

#[test]
fn parts_in_series_add_to_the_grille() {
    let (own_area, inertial) = (0.02, 3.0);
    let apart = part(
        "panel",
        [0.0, inertial],
        [1.0; 2],
        Seat::Apart { area: own_area },
    );
    let with = grille("plate", &[(AREA, 1.4)]).with_parts(&[apart]);
    let ranking = rank(&circuit(parabola(), 0.6), &[with]).expect("it settles");
    let panel = inertial / (own_area * own_area);
    let total = SHUT_OFF / (FREE_FLOW * FREE_FLOW) + per_flow_squared(0.6 + 1.4) + panel;
    let flow = (SHUT_OFF / total).sqrt();
    let ranked = one(&ranking);
    close(ranked.flow.value, flow, 1e-6);
    close(ranked.loss_coefficient.value, 1.4, 1e-9);
    let parts = ranked.parts_pressure_drop.value;
    close(parts, panel * ranked.flow.value.powi(2), 1e-9);
}

#[test]
fn a_cover_on_the_holes_is_met_by_the_velocity_in_them() {
    let (ratio, viscous, inertial) = (0.5, 0.8, 1.1);
    let seat = Seat::Pressed {
        free_area_ratios: vec![ratio],
    };
    let cover = part("cover", [viscous, inertial], [1.0; 2], seat);
    let with = grille("plate", &[(AREA, 1.4)]).with_parts(&[cover]);
    let given = circuit(Supply::GivenFlow(0.025), 0.0);
    let ranking = rank(&given, &[with]).expect("a flow is given");
    let in_the_holes = 0.025 / AREA / ratio;
    let expected = (viscous + inertial * in_the_holes) * in_the_holes;
    close(one(&ranking).parts_pressure_drop.value, expected, 1e-9);
    close(one(&ranking).loss_coefficient.value, 1.4, 1e-9);
}

#[test]
fn a_cover_on_two_zones_sends_more_air_through_the_more_open_one() {
    let zones = [(0.5 * AREA, 1.0), (0.5 * AREA, 1.0)];
    let cover = |ratios: [f64; 2]| {
        let seat = Seat::Pressed {
            free_area_ratios: ratios.to_vec(),
        };
        grille("plate", &zones).with_parts(&[part("cover", [2.0, 0.5], [1.0; 2], seat)])
    };
    let given = circuit(Supply::GivenFlow(0.025), 0.0);
    let ranking = rank(&given, &[cover([0.3, 0.7])]).expect("a flow is given");
    let velocities = &one(&ranking).zone_velocities;
    // Same total pressure ahead, same static pressure behind: (1 + K) ρU²/2 and the cover's drop together are the same.
    let head = |velocity: f64, ratio: f64| {
        let inside = velocity / ratio;
        air().density * velocity * velocity + (2.0 + 0.5 * inside) * inside
    };
    close(head(velocities[0], 0.3), head(velocities[1], 0.7), 1e-9);
    close(0.5 * (velocities[0] + velocities[1]), 0.025 / AREA, 1e-9);
}

#[test]
fn the_band_of_a_part_is_one_of_a_factor_and_common_to_all_that_have_it() {
    let panel = part("panel", [4.0, 0.0], [0.5, 2.0], Seat::Apart { area: AREA });
    let grilles = [("open", 1.0), ("close", 1.2)]
        .map(|(name, loss)| grille(name, &[(AREA, loss)]).with_parts(std::slice::from_ref(&panel)));
    let given = circuit(Supply::GivenFlow(0.025), 0.0);
    let ranking = rank(&given, &grilles).expect("a flow is given");
    let drop = one(&ranking).parts_pressure_drop;
    close(drop.low, 0.5 * drop.value, 1e-9);
    close(drop.high, 2.0 * drop.value, 1e-9);
    // With a fan the range stays between nothing and the bare fan, however wide the band is.
    let felt = part("felt", [9.0, 0.0], [0.1, 30.0], Seat::Apart { area: AREA });
    let with = grille("open", &[(AREA, 0.2)]).with_parts(&[felt]);
    let ranking = rank(&circuit(parabola(), 0.6), &[with]).expect("it settles");
    let percent = one(&ranking).flow_percent.expect("there is a fan");
    assert!(percent.low > 0.0 && percent.high < 100.0, "{percent:?}");
    assert!(percent.value - percent.low > 1.5 * (percent.high - percent.value));
    let ranking = rank(&given, &grilles).expect("a flow is given");
    assert!(ranking.ties.is_empty(), "the panel is common to both");
}

#[test]
fn a_faster_fan_makes_up_for_what_is_in_its_way() {
    let apart = part("panel", [0.0, 2.0], [1.0; 2], Seat::Apart { area: AREA });
    let with = grille("plate", &[(AREA, 2.5)]).with_parts(&[apart]);
    let ranking = rank(&circuit(parabola(), 0.6), &[with]).expect("it settles");
    let bare = ranking.bare.as_ref().expect("there is a fan").flow.value;
    // With losses that all go with Q² the flow goes with the speed.
    let ratio = one(&ranking)
        .speed_ratio_for_bare_flow
        .expect("within reach");
    close(ratio, bare / one(&ranking).flow.value, 1e-6);
}

#[test]
fn nothing_makes_up_for_a_nearly_closed_path() {
    let apart = part("felt", [0.0, 2e4], [1.0; 2], Seat::Apart { area: AREA });
    let with = grille("plate", &[(AREA, 2.5)]).with_parts(&[apart]);
    let ranking = rank(&circuit(parabola(), 0.6), &[with]).expect("it settles");
    assert_eq!(one(&ranking).speed_ratio_for_bare_flow, None);
}

/// The same parabola as a curve.
fn characteristic() -> Characteristic {
    let Supply::Curve(curve) = parabola() else {
        unreachable!("it is made of points");
    };
    Characteristic::through(&curve)
}

fn with_others(fan_count: u32, openings: f64, others: Vec<OtherFans>) -> Circuit {
    Circuit {
        shared_case: Some(SharedCase {
            fan_count,
            openings,
            others,
        }),
        ..circuit(parabola(), 0.0)
    }
}

fn other(count: u32, is_same_way: bool) -> OtherFans {
    OtherFans {
        characteristic: characteristic(),
        count,
        is_same_way,
        in_their_way: 0.0,
    }
}

#[test]
fn in_a_sealed_case_an_intake_and_an_exhaust_fan_work_in_series() {
    // What one blows in the other takes out: 2 p0 (1 - (Q/Q0)²) = κ Q².
    let sealed = with_others(1, 1e12, vec![other(1, false)]);
    let ranking = rank(&sealed, &[grille("plate", &[(AREA, 2.0)])]).expect("it settles");
    let shut = 2.0 * SHUT_OFF;
    let total = shut / (FREE_FLOW * FREE_FLOW) + per_flow_squared(2.0);
    close(one(&ranking).flow.value, (shut / total).sqrt(), 1e-4);
    // The exhaust fan pulls: the case is below the room.
    let pulled = -SHUT_OFF * (1.0 - (one(&ranking).flow.value / FREE_FLOW).powi(2));
    close(one(&ranking).place_pressure, pulled, 1e-3);
    let bare = ranking.bare.expect("there is a fan");
    close(bare.flow.value, FREE_FLOW, 1e-4);
}

#[test]
fn fans_of_the_same_way_are_as_good_as_a_count() {
    let openings = per_flow_squared(0.8);
    let plate = [grille("plate", &[(AREA, 2.0)])];
    let counted = rank(&with_others(2, openings, Vec::new()), &plate).expect("it settles");
    // Two fans send twice the air through the same openings: four times the K.
    let alone = rank(&circuit(parabola(), 4.0 * 0.8), &plate).expect("it settles");
    close(one(&counted).flow.value, one(&alone).flow.value, 1e-6);
    // With the same plate as a law in the other fan's way it is the same again.
    let mut beside = other(1, true);
    beside.in_their_way = per_flow_squared(2.0);
    let listed = rank(&with_others(1, openings, vec![beside]), &plate).expect("it settles");
    close(one(&listed).flow.value, one(&alone).flow.value, 1e-5);
}

#[test]
fn an_open_case_keeps_fans_apart() {
    let plate = [grille("plate", &[(AREA, 2.0)])];
    let open = with_others(1, 1e-6, vec![other(3, false)]);
    let ranking = rank(&open, &plate).expect("it settles");
    let alone = rank(&circuit(parabola(), 0.0), &plate).expect("it settles");
    close(one(&ranking).flow.value, one(&alone).flow.value, 1e-6);
}

#[test]
fn a_what_if_is_the_ranking_with_that_part_alone() {
    let zones = [(0.5 * AREA, 1.0), (0.5 * AREA, 2.0)];
    let losses = [grille("even", &[(AREA, 1.4)]), grille("zoned", &zones)];
    let names: Vec<GrilleName> = losses
        .iter()
        .enumerate()
        .map(|(id, loss)| GrilleName {
            id,
            name: loss.name.clone(),
        })
        .collect();
    let carriers = [
        Carrier {
            grille: &names[0],
            loss: &losses[0],
            free_area_ratios: vec![0.5],
        },
        Carrier {
            grille: &names[1],
            loss: &losses[1],
            free_area_ratios: vec![0.6, 0.4],
        },
    ];
    let candidate = |name: &str, law: [f64; 2], is_ranked: bool| Candidate {
        name: name.to_owned(),
        law,
        band: [0.8, 1.3],
        is_ranked,
    };
    let candidates = [
        candidate("sheer", [0.4, 0.1], true),
        candidate("mesh", [2.0, 1.5], true),
        candidate("yarn", [1.0, 0.5], false),
    ];
    let circuit = circuit(parabola(), 0.6);
    let made = what_if(&circuit, &carriers, &candidates).expect("there are fabrics");
    assert_eq!(made.rows.len(), 2 * 3 * 2);
    for row in &made.rows {
        let carrier = &carriers[row.grille.id];
        let candidate = candidates.iter().find(|it| it.name == row.fabric).unwrap();
        let seat = if row.lies_on_holes {
            Seat::Pressed {
                free_area_ratios: carrier.free_area_ratios.clone(),
            }
        } else {
            Seat::Apart { area: AREA }
        };
        let with = carrier.loss.clone();
        let with = with.with_parts(&[part("it", candidate.law, candidate.band, seat)]);
        let alone = rank(&circuit, &[with]).expect("it settles");
        close(
            row.flow_m3_per_h.value,
            3600.0 * one(&alone).flow.value,
            1e-9,
        );
        close(row.flow_m3_per_h.low, 3600.0 * one(&alone).flow.low, 1e-9);
        assert_eq!(row.rank.is_some(), candidate.is_ranked);
    }
    // On the holes of the same grille it costs more than apart.
    let percent = |lies_on_holes: bool| {
        let found = made.rows.iter().find(|row| {
            (
                row.grille.name.as_str(),
                row.fabric.as_str(),
                row.lies_on_holes,
            ) == ("even", "mesh", lies_on_holes)
        });
        found.unwrap().flow_percent.unwrap().value
    };
    assert!(percent(true) < percent(false) - 5.0);
    assert!(what_if(&circuit, &carriers, &[]).is_none());
}
