//! Made-up results for the tests of the outputs: invented names and figures.

use ventwright::comparison::Relation;
use ventwright::report::cautions::{FAN_VIEW_UNSTEADY, METER_IN_BACK_FLOW};
use ventwright::report::{Contribution, Likely, Warning};
use ventwright::result::{
    AirPathOfGrille, AirPathResult, AirProperties, BenchPoint, BudgetResult, BudgetStep,
    DifferenceUnit, FanViewResult, FanViewSeen, GrilleName, GrilleResult, GrilleSwirl,
    HandbookLoss, JetSeen, LossAtSpeed, MeterShown, ObliqueFlow, OnRig, OpeningTurn,
    PairComparison, PressureShare, Quality, ReferenceArea, RunSummary, Separation, Side,
    StudyResult, ThisRun, View, WhatIf, WhatIfRow, ZoneResult,
};
use ventwright::units::{FlowUnit, OutputUnits};

/// A value with a symmetric range.
pub(crate) fn likely(value: f64, half_width: f64) -> Likely {
    Likely {
        value,
        low: value - half_width,
        high: value + half_width,
    }
}

/// A warning with this code.
pub(crate) fn warning(code: &'static str, message: &str, advice: &str) -> Warning {
    Warning {
        code: code.into(),
        message: message.to_owned(),
        advice: advice.to_owned(),
    }
}

/// A solved run.
pub(crate) fn run(key: &str, face_velocity: f64, loss_coefficient: f64) -> RunSummary {
    RunSummary {
        key: key.to_owned(),
        view: View::Hole,
        face_velocity_m_per_s: face_velocity,
        hole_reynolds_number: 410.0 * face_velocity,
        cells_across: 48.0,
        loss_coefficient: likely(loss_coefficient, 0.04),
        loss_coefficient_by_force: loss_coefficient * 1.002,
        oblique: None,
        fan_view: None,
        density_rise: 0.0031,
        stop_reason: "the mean is known well enough".to_owned(),
        is_valid: true,
        step_count: 41_200,
        cell_count: 61_440,
        elapsed_s: 12.5,
        was_reused: false,
        checks: Vec::new(),
        warnings: Vec::new(),
    }
}

/// A solved repeat whose air leaves at an angle: tan²(12°) = 0.0452.
pub(crate) fn oblique_run(key: &str) -> RunSummary {
    let mut repeat = run(key, 2.0, 0.56);
    repeat.view = View::Repeat;
    repeat.cells_across = 24.0;
    repeat.oblique = Some(ObliqueFlow {
        total_loss_coefficient: 0.5148,
        inflow_angle_deg: 0.0,
        outflow_angle_deg: 12.0,
        outflow_cross_angle_deg: 0.0,
        side_force_coefficients: [0.2126, 0.0],
        torque_coefficient: 0.0,
    });
    repeat
}

/// A grille with a number: flow in per cent of the bare fan with its half-width, K.
pub(crate) fn grille(
    name: &str,
    rank: u32,
    percent: f64,
    half_width: f64,
    loss_coefficient: f64,
) -> GrilleResult {
    GrilleResult {
        id: 0,
        name: name.to_owned(),
        description: format!("{name}, 4.0 mm thick"),
        quality: Quality::Quick,
        rank: Some(rank),
        hole_area_percent: 71.0 - 4.0 * loss_coefficient,
        zone_free_area_ratio: 0.68,
        hydraulic_diameter_mm: 5.0,
        thickness_mm: 4.0,
        hole_count: 313,
        finger_distance_mm: Some(10.0),
        see_through_percent: 68.0,
        turn: None,
        face_velocity_m_per_s: Some(likely(2.1 * percent / 100.0, 0.05)),
        hole_reynolds_number: Some(1240.0),
        loss_coefficient: Some(likely(loss_coefficient, 0.05)),
        handbook_loss_coefficient: Some(handbook(loss_coefficient * 1.1)),
        pressure_drop_pa: Some(likely(2.4 * loss_coefficient, 0.2)),
        is_turn_undecided: false,
        flow_m3_per_h: Some(likely(0.96 * percent, 2.4)),
        flow_cfm: Some(
            likely(0.96 * percent, 2.4).map(|flow| FlowUnit::CubicFeetPerMinute.of_m3_per_h(flow)),
        ),
        flow_percent: Some(likely(percent, half_width)),
        temperature_rise_k: Some(930.0 / percent),
        other_flows_m3_per_h: Vec::new(),
        swirl: None,
        meter: None,
        fan_view: None,
        contributions: vec![
            Contribution {
                source: "simplified view".to_owned(),
                half_width_percent: 0.8 * half_width,
            },
            Contribution {
                source: "grid".to_owned(),
                half_width_percent: 0.5 * half_width,
            },
        ],
        zones: vec![zone(
            [0.0, 135.0],
            &format!("{}-0123456789ab", name.replace(' ', "-")),
            loss_coefficient,
        )],
        runs: vec![run(
            &format!("{}-0123456789ab", name.replace(' ', "-")),
            1.8,
            loss_coefficient,
        )],
        warnings: Vec::new(),
    }
}

/// A zone between two diameters in mm, with one run and a K that falls with the speed.
pub(crate) fn zone(across: [f64; 2], key: &str, loss_coefficient: f64) -> ZoneResult {
    let at = |speed: f64| LossAtSpeed {
        face_velocity_m_per_s: speed,
        loss_coefficient: likely(loss_coefficient * (0.9 + 0.18 / speed), 0.05),
    };
    ZoneResult {
        inner_diameter_mm: across[0],
        outer_diameter_mm: across[1],
        free_area_ratio: 0.68,
        hydraulic_diameter_mm: 5.0,
        face_velocity_m_per_s: Some(1.9),
        area_m2: Some(0.0125),
        handbook_loss_coefficient: Some(handbook(1.1 * loss_coefficient)),
        loss_curve: [1.2, 1.6, 2.0, 2.4].map(at).to_vec(),
        runs: vec![key.to_owned()],
    }
}

/// A grille without a number, because its run blew up.
pub(crate) fn failed(name: &str) -> GrilleResult {
    let mut failed = grille(name, 1, 50.0, 5.0, 9.0);
    failed.rank = None;
    failed.face_velocity_m_per_s = None;
    failed.hole_reynolds_number = None;
    failed.loss_coefficient = None;
    failed.handbook_loss_coefficient = None;
    failed.pressure_drop_pa = None;
    failed.flow_m3_per_h = None;
    failed.flow_cfm = None;
    failed.flow_percent = None;
    failed.temperature_rise_k = None;
    failed.contributions = Vec::new();
    failed.zones[0].face_velocity_m_per_s = None;
    failed.zones[0].area_m2 = None;
    failed.zones[0].loss_curve = Vec::new();
    failed.runs[0].is_valid = false;
    failed.runs[0].stop_reason = String::from("the run blew up at step 1 204");
    failed.runs[0].warnings = vec![warning(
        "gap-too-narrow",
        "the gap between ribs is 3.1 cells wide, at least 6 are needed",
        "choose a higher quality or a wider gap",
    )];
    failed
}

/// K by a handbook.
fn handbook(value: f64) -> HandbookLoss {
    HandbookLoss {
        value,
        formula: "thick perforated plate".to_owned(),
    }
}

/// The grille of this name.
pub(crate) fn named(result: &StudyResult, name: &str) -> GrilleName {
    let mut grilles = result.grilles.iter();
    grilles.find(|it| it.name == name).unwrap().named()
}

/// Marks grilles as too close to call, each with each, and adds the group to the study.
pub(crate) fn tie(result: &mut StudyResult, names: &[&str]) {
    relate(result, names, Relation::TooClose);
}

/// The same with another relation.
pub(crate) fn relate(result: &mut StudyResult, names: &[&str], relation: Relation) {
    let group: Vec<GrilleName> = names.iter().map(|name| named(result, name)).collect();
    let is_among = |named: &GrilleName| group.contains(named);
    for pair in &mut result.pairs {
        if is_among(&pair.better) && is_among(&pair.other) {
            // Hidden by the view.
            pair.sureness = 0.52;
            pair.probability = 0.758;
            pair.relation = relation;
            pair.separation = Some(Separation {
                largest_part: "simplified view".to_owned(),
                largest_part_half_width: 1.2,
                cells_factor: None,
                time_factor: None,
                bench_scatter_percent: 2.0,
                bench_remounts: Some(194),
            });
        }
    }
    result
        .ties
        .push(group.iter().map(|named| named.id).collect());
    place(result);
}

/// Places by the rule: 1 and the number of grilles that one is behind.
fn place(result: &mut StudyResult) {
    for grille in result.grilles.iter_mut().filter(|it| it.rank.is_some()) {
        let ahead = result
            .pairs
            .iter()
            .filter(|pair| pair.other.id == grille.id && pair.relation == Relation::Ahead);
        grille.rank = u32::try_from(1 + ahead.count()).ok();
    }
}

/// Every pair of grilles with a number, the first clearly ahead.
fn pairs_of(grilles: &[GrilleResult]) -> Vec<PairComparison> {
    let percent = |grille: &GrilleResult| grille.flow_percent.map_or(0.0, |it| it.value);
    let ranked: Vec<&GrilleResult> = grilles.iter().filter(|it| it.rank.is_some()).collect();
    let mut pairs = Vec::new();
    for (at, better) in ranked.iter().enumerate() {
        for other in &ranked[at + 1..] {
            pairs.push(PairComparison {
                better: better.named(),
                other: other.named(),
                difference: likely(percent(better) - percent(other), 1.0),
                unit: DifferenceUnit::Points,
                probability: 0.9995,
                sureness: 0.998,
                relation: Relation::Ahead,
                separation: None,
            });
        }
    }
    pairs
}

/// The demo at the end of a night: two grilles solved deep, two at the middle, time left for none.
pub(crate) fn night() -> StudyResult {
    let mut result = demo();
    result.quality = Quality::Overnight;
    let names: Vec<GrilleName> = result.grilles.iter().map(GrilleResult::named).collect();
    for (place, quality) in [
        Quality::Overnight,
        Quality::Overnight,
        Quality::Standard,
        Quality::Standard,
    ]
    .iter()
    .enumerate()
    {
        result.grilles[place].quality = *quality;
    }
    let step =
        |grilles: &[GrilleName], quality: Quality, reason: &str, expected, spent| BudgetStep {
            grilles: grilles.to_vec(),
            quality,
            reason: reason.to_owned(),
            expected_s: expected,
            spent_s: spent,
            unfinished: Vec::new(),
        };
    result.this_run.budget = Some(BudgetResult {
        given_s: 8.0 * 3600.0,
        spent_s: 27_400.0,
        steps: vec![
            step(
                &names,
                Quality::Quick,
                "a number for each",
                300.0,
                Some(240.0),
            ),
            step(
                &names[..4],
                Quality::Standard,
                "tied at the top",
                5000.0,
                Some(5200.0),
            ),
            step(
                &names[..2],
                Quality::Overnight,
                "tied at the top",
                20_000.0,
                Some(22_000.0),
            ),
        ],
        further: vec![
            step(
                &names[2..4],
                Quality::Overnight,
                "tied at place 3",
                21_000.0,
                None,
            ),
            step(
                &names[4..6],
                Quality::Standard,
                "tied at place 5",
                3000.0,
                None,
            ),
        ],
    });
    result
}

/// A study with a fan and these grilles.
pub(crate) fn study(mut grilles: Vec<GrilleResult>) -> StudyResult {
    for (id, grille) in grilles.iter_mut().enumerate() {
        grille.id = id;
    }
    let pairs = pairs_of(&grilles);
    let mut result = StudyResult {
        study: "desk-fan-140".to_owned(),
        code_version: "0.1.0".to_owned(),
        quality: Quality::Quick,
        side: Side::Intake,
        air: AirProperties {
            density_kg_per_m3: 1.188,
            kinematic_viscosity_m2_per_s: 1.53e-5,
        },
        reference_area: ReferenceArea {
            area_m2: 0.012_724,
            words: "bore 135 mm less hub 45 mm".to_owned(),
        },
        bare_flow_m3_per_h: Some(likely(96.0, 4.1)),
        given_flow_m3_per_h: None,
        bare_meter: None,
        bare_fan_view: None,
        output_units: OutputUnits::default(),
        has_blades: true,
        blade_gap_mm: Some(8.0),
        heat_load_w: None,
        bare_temperature_rise_k: None,
        grilles,
        air_path: None,
        what_if: None,
        pairs,
        ties: Vec::new(),
        warnings: Vec::new(),
        this_run: ThisRun {
            elapsed_s: 154.2,
            ..ThisRun::default()
        },
    };
    place(&mut result);
    result.note_runs();
    result
}

/// The study that the README could show: a tie in front, one turned grille, one failure.
pub(crate) fn demo() -> StudyResult {
    let mut turned = grille("leaned slots", 3, 93.8, 1.9, 0.81);
    turned.is_turn_undecided = true;
    turned.warnings.push(warning(
        "turn-undecided",
        "the holes lean by 20 degrees but were run as straight",
        "wait for the view that solves the lean",
    ));
    let mut rings = grille("rings", 4, 91.0, 1.2, 1.4);
    rings.warnings.push(warning(
        "few-cells",
        "the slot is 18 cells wide, at least 24 are wanted",
        "choose a higher quality",
    ));
    let mut hexagons = grille("hexagons", 1, 96.1, 1.0, 0.55);
    hexagons
        .runs
        .push(oblique_run("hexagons-repeat-0123456789ab"));
    let mut result = study(vec![
        grille("wide triangles", 1, 96.4, 1.1, 0.52),
        hexagons,
        turned,
        rings,
        grille("round holes", 5, 90.2, 1.3, 1.52),
        grille("fine triangles", 6, 89.5, 2.5, 1.7),
        failed("hair-fine slots"),
    ]);
    tie(&mut result, &["wide triangles", "hexagons"]);
    tie(&mut result, &["rings", "round holes"]);
    result
}

/// Two grilles behind a fan whose air turns, and a meter behind them.
pub(crate) fn exhaust() -> StudyResult {
    let shown = |speed: f64, low: f64, high: f64, percent: Option<[f64; 2]>| MeterShown {
        air_speed_m_per_s: speed,
        reading_m_per_s: [low, high],
        reading_percent_of_bare_fan: percent,
        is_by_fan_view: false,
    };
    let mut straight = grille("hexagons", 1, 80.2, 1.4, 4.31);
    straight.swirl = Some(GrilleSwirl {
        radii_mm: [29.6, 43.4, 53.7],
        inflow_angles_deg: [44.2, 29.9, 27.6],
        outflow_angles_deg: [18.1, 11.6, 10.8],
        static_loss_coefficient: 4.11,
        lost_suction_loss_coefficient: 0.2,
        total_loss_coefficient: 4.42,
        torque_n_m: 0.000_212,
    });
    straight.meter = Some(shown(1.93, 1.61, 2.25, Some([76.0, 89.2])));
    let mut leaned = grille("hexagons, lean 14", 2, 78.4, 1.5, 4.62);
    leaned.swirl = Some(GrilleSwirl {
        outflow_angles_deg: [37.5, 32.0, -0.2],
        lost_suction_loss_coefficient: -0.04,
        torque_n_m: -0.000_031,
        ..straight.swirl.unwrap()
    });
    leaned.turn = Some(OpeningTurn {
        is_lean: true,
        straight_twin: Some(GrilleName {
            id: 0,
            name: "hexagons".to_owned(),
        }),
    });
    leaned.meter = Some(shown(1.9, 1.2, 1.2, None));
    let mut result = study(vec![straight, leaned]);
    result.side = Side::Exhaust;
    result.bare_fan_view = Some(fan_view(16.2, 287.6, 22.4, None));
    result.grilles[0].fan_view = Some(fan_view(9.4, 0.0, 11.6, Some(4.44)));
    let mut long = fan_view(-0.6, 440.2, 31.0, Some(4.7));
    if let Some(seen) = &mut long.run.fan_view {
        seen.is_hub_wake_beyond_view = true;
        seen.bench_swirl_angle_deg = None;
        seen.jet.pop();
    }
    result.grilles[1].fan_view = Some(long);
    result.bare_meter = Some(shown(2.41, 1.7, 3.12, None));
    // Each is told beside the numbers that it is about.
    result.warnings.push(warning(
        METER_IN_BACK_FLOW,
        "by the fan view air runs back through the wheel",
        "move the meter",
    ));
    result.warnings.push(warning(
        FAN_VIEW_UNSTEADY,
        "2 of 3 fan views did not settle",
        "take what they show as a mean",
    ));
    result.note_runs();
    result
}

/// A fan view: splay at one diameter, hub wake, what still turns at the bench plane.
fn fan_view(splay: f64, hub_wake: f64, angle: f64, paid: Option<f64>) -> FanViewResult {
    let mut run = run("a-fan-view-0123456789ab", 2.1, 7.48);
    run.view = View::Fan;
    let jet = [1.0, 2.0, 3.0].map(|distance_diameters| JetSeen {
        distance_diameters,
        half_width_mm: 60.0 + 10.0 * distance_diameters,
        splay_angle_deg: splay / distance_diameters,
    });
    run.fan_view = Some(Box::new(FanViewSeen {
        jet: jet.to_vec(),
        hub_wake_mm: hub_wake,
        is_hub_wake_beyond_view: false,
        swirl_number_in: 0.394,
        swirl_number_out: 0.151,
        bench_distance_mm: 50.0,
        bench_swirl_angle_deg: Some(angle),
        bench_turbulence_percent: Some(8.4),
        pressure_ahead: 4.31,
        total_pressure_swing_percent: Some(1.3),
        static_loss_coefficient: 4.28,
        static_loss_coefficient_by_force: 4.3,
        total_loss_coefficient: 5.1,
        bench_profile: vec![BenchPoint {
            radius_mm: 1.4,
            axial_m_per_s: 1.9,
            swirl_m_per_s: 0.1,
        }],
    }));
    FanViewResult {
        run,
        paid_loss_coefficient: paid,
        rings: None,
    }
}

/// The same grilles at a given flow, ranked by pressure drop.
pub(crate) fn given_flow() -> StudyResult {
    let mut result = demo();
    result.bare_flow_m3_per_h = None;
    result.given_flow_m3_per_h = Some(80.0);
    for grille in &mut result.grilles {
        grille.flow_percent = None;
        grille.flow_m3_per_h = None;
        grille.flow_cfm = None;
        grille.pressure_drop_pa = grille.pressure_drop_pa.map(|drop| likely(drop.value, 0.1));
    }
    let drop = |result: &StudyResult, named: &GrilleName| result.grille(named.id)?.pressure_drop_pa;
    for at in 0..result.pairs.len() {
        let [better, other] =
            [&result.pairs[at].better, &result.pairs[at].other].map(|named| drop(&result, named));
        let pair = &mut result.pairs[at];
        pair.unit = DifferenceUnit::Pascals;
        if let (Some(better), Some(other)) = (better, other) {
            pair.difference = likely(other.value - better.value, 0.2);
        }
    }
    result
}

/// A study with a panel in front of every grille, two fans and a rig.
pub(crate) fn with_panel() -> StudyResult {
    let mut result = study(vec![
        grille("rings", 1, 84.0, 1.4, 0.66),
        grille("hexagons", 2, 82.5, 1.2, 0.81),
    ]);
    let of = |id: usize, name: &str, grille: f64, rank: u32, percent: f64| AirPathOfGrille {
        id,
        name: name.to_owned(),
        shares: [("grille", grille), ("dust sheet", 3.46), ("PC case", 11.8)]
            .map(|(what, pressure_pa)| PressureShare {
                what: what.to_owned(),
                is_panel: what == "dust sheet",
                pressure_pa,
            })
            .to_vec(),
        case_pressure_pa: -0.1 * grille,
        speed_ratio_for_bare_flow: Some(100.0 / percent),
        on_rig: Some(OnRig {
            rank,
            flow_m3_per_h: likely(1.1 * percent, 2.0),
            flow_percent: Some(likely(percent - 4.0, 1.0)),
        }),
    };
    result.air_path = Some(AirPathResult {
        fan_count: 2,
        panels: vec!["dust sheet".to_owned()],
        grilles: vec![
            of(0, "rings", 2.04, 1, 84.0),
            of(1, "hexagons", 2.41, 2, 82.5),
        ],
        has_other_fans: true,
        bare_case_pressure_pa: Some(0.31),
        bare_on_rig_m3_per_h: Some(likely(118.0, 3.0)),
    });
    let ranked = result.clone();
    let row = |grille: &str, fabric: &str, lies_on_holes, rank, percent: f64| WhatIfRow {
        grille: named(&ranked, grille),
        fabric: fabric.to_owned(),
        lies_on_holes,
        rank,
        flow_m3_per_h: likely(percent, 2.0),
        flow_percent: Some(likely(percent, 2.4)),
        grille_pressure_pa: 2.0,
        fabric_pressure_pa: likely(90.0 - percent, 2.0),
    };
    result.what_if = Some(WhatIf {
        rows: vec![
            row("rings", "sheer, taut", false, Some(1), 81.0),
            row("hexagons", "sheer, taut", false, Some(1), 80.2),
            row("rings", "sheer, taut", true, Some(3), 71.6),
            row("hexagons", "sheer, taut", true, Some(4), 65.1),
            row("rings", "thick yarn", false, None, 52.0),
        ],
        ties: vec![vec![0, 1]],
    });
    result
}
