//! Which zones get which runs, what makes two runs differ, and which way round the air meets a body.

#![expect(
    clippy::unwrap_used,
    reason = "a test that cannot set its stage has failed"
)]

use std::collections::BTreeSet;

use ventwright::run::batch::forecast::expected_seconds;
use ventwright::run::batch::schedule::{Capacity, schedule};
use ventwright::run::corrections::repeat_grid::one_grid_half_width;
use ventwright::run::planned::Run;
use ventwright::run::planning::plan::{Plan, plan};
use ventwright::run::views::Subject;
use ventwright::run::views::repeat::Repeat;
use ventwright::study::{Draft, Study};

const SQUARES: &str = "shape = \"square\"\nside_mm = 5\nrib_mm = 1.5\n";
const TRIANGLES: &str = "shape = \"triangle\"\nside_mm = 9\nlayout = \"staggered\"\nrib_mm = 2\n";
const SHORT_SLOTS: &str = "shape = \"slot\"\nwidth_mm = 4\nlength_mm = 12\nrib_mm = 1.5\n";
const LONG_SLOTS: &str = "shape = \"slot\"\nwidth_mm = 4\nlength_mm = 20\nrib_mm = 1.5\n";

fn study(fan: &str, side: &str, quality: &str, grilles: &str) -> Study {
    let text = format!(
        "format = 1\nstudy.name = \"plan\"\nplace = {{ side = \"{side}\" }}\nrun = {{ quality = \"{quality}\" }}\n\
         [fan]\nbore_mm = 90\nhub_mm = 30\nfree_flow_m3_per_h = 60\nshut_off_pressure_pa = 20\n{fan}\n{grilles}"
    );
    let draft = Draft::parse(text.as_bytes(), "plan.toml").unwrap();
    draft.resolve(&mut |_| Err(String::new())).unwrap()
}

fn holes(name: &str, plate: &str, holes: &str) -> String {
    format!("[[grille]]\nname = \"{name}\"\nthickness_mm = 3\n{plate}\n[grille.holes]\n{holes}\n")
}

fn planned(fan: &str, side: &str, quality: &str, grilles: &[String]) -> Plan {
    plan(&study(fan, side, quality, &grilles.concat())).unwrap()
}

fn repeats(plan: &Plan) -> Vec<(&Run, &Repeat)> {
    let runs = plan.runs.iter();
    runs.filter_map(|run| match &run.subject {
        Subject::Repeat(repeat) => Some((run, repeat.as_ref())),
        Subject::Flat(_) | Subject::Face(_) => None,
    })
    .collect()
}

/// The only repeat of a study with one grille.
fn repeat(fan: &str, side: &str, plate: &str, pattern: &str) -> (Run, Repeat) {
    let plan = planned(fan, side, "standard", &[holes("a", plate, pattern)]);
    let found = repeats(&plan);
    assert_eq!(found.len(), 1);
    (found[0].0.clone(), found[0].1.clone())
}

#[test]
fn holes_are_solved_in_three_dimensions_where_the_quality_allows() {
    let turned_slots = format!("{LONG_SLOTS}lean_deg = 20\n");
    let rings = "[[grille]]\nname = \"rings\"\nthickness_mm = 3\ncentre_disc_mm = 30\n\
                 [grille.rings]\nslot_width_mm = 4\nrib_mm = 2\nbar_count = 4\nbar_width_mm = 2\nlean_deg = 10\n";
    for (quality, of_repeat, of_flat) in [("quick", 0, 3), ("standard", 1, 5), ("overnight", 3, 5)]
    {
        for (name, pattern, is_solved) in [
            ("squares", SQUARES, true),
            ("short slots", SHORT_SLOTS, true),
            ("long slots", LONG_SLOTS, false),
            ("leaned slots", &turned_slots, true),
            ("rings", "", false),
        ] {
            let grille = if name == "rings" {
                rings.to_owned()
            } else {
                holes(name, "", pattern)
            };
            let plan = planned("", "intake", quality, &[grille]);
            let zone = &plan.grilles[0].zones[0];
            let found = repeats(&plan).len();
            let flat = plan.runs.len() - found;
            let is_levelled = is_solved && of_repeat > 0;
            assert_eq!(
                found,
                if is_solved { of_repeat } else { 0 },
                "{name}, {quality}"
            );
            // A flat view beside a repeat gives the course of K over three air speeds, and needs one grid for that.
            assert_eq!(
                flat,
                if is_levelled { 3 } else { of_flat },
                "{name}, {quality}"
            );
            assert_eq!(zone.repeat.is_some(), is_levelled);
            let is_turned = name == "leaned slots" || name == "rings";
            assert_eq!(
                zone.is_turn_undecided(),
                is_turned && !is_levelled,
                "{name}, {quality}"
            );
            for (run, repeat) in repeats(&plan) {
                let ratio = repeat.domain.free_area_ratio / repeat.solid.free_area_ratio();
                assert!((ratio - 1.0).abs() < 1e-9, "{name}: {ratio}");
                let middle = zone.points[1].face_velocity;
                assert!((run.face_velocity - middle).abs() < 1e-12);
                // Viscosity, cell and step give the real Reynolds number on any grid.
                let lattice = repeat.domain.layout().viscosity.0;
                let real = lattice * run.scale.cell.powi(2) / run.scale.step;
                assert!((real / 1.51e-5 - 1.0).abs() < 0.01, "{real}");
            }
        }
    }
}

#[test]
fn holes_that_merge_are_solved_as_they_are() {
    let merging =
        "shape = \"square\"\nside_mm = 5\nrib_mm = 0.5\ntwist_deg = 60\nmerging = \"accept\"\n";
    let (_, repeat) = repeat("", "intake", "", merging);
    assert!(repeat.least_rib < 0.0);
    let (straight, mid) = (
        repeat.solid.free_area_ratio(),
        repeat.solid.free_area_ratio_at(0.0),
    );
    assert!(
        mid < straight,
        "merged holes share their overlap: {mid}, {straight}"
    );
}

#[test]
fn twins_share_the_flat_view_and_nothing_else() {
    let grilles = [
        holes("straight", "", SQUARES),
        // No table knows twists that alternate.
        holes(
            "turned",
            "",
            &format!("{SQUARES}twist_deg = 20\ntwist_hands = \"alternate\"\n"),
        ),
        holes("again", "", SQUARES),
    ];
    let plan = planned("", "intake", "standard", &grilles);
    assert_eq!(repeats(&plan).len(), 2);
    assert_eq!(plan.runs.len(), 3 + 2);
    // Where the flat view has to stand for the turn, it is another run: it says so in its files.
    let plan = planned("", "intake", "quick", &grilles);
    assert_eq!(plan.runs.len(), 3 + 3);
}

#[test]
fn everything_that_changes_a_repeat_changes_its_key() {
    let mut keys = BTreeSet::new();
    let mut enter = |what: &str, run: &Run| {
        let hash = run.key.rsplit('-').next().unwrap().to_owned();
        assert!(keys.insert(hash), "{what} makes no difference");
    };
    let with = |more: &str| format!("{SQUARES}{more}\n");
    enter("base", &repeat("", "intake", "", SQUARES).0);
    enter("side", &repeat("", "exhaust", "", SQUARES).0);
    enter("swirl", &repeat("swirl_deg = 20", "exhaust", "", SQUARES).0);
    enter(
        "more swirl",
        &repeat("swirl_deg = 25", "exhaust", "", SQUARES).0,
    );
    enter(
        "edge",
        &repeat("", "intake", "front_edge = { radius_mm = 0.3 }", SQUARES).0,
    );
    enter(
        "other edge",
        &repeat("", "intake", "back_edge = { radius_mm = 0.3 }", SQUARES).0,
    );
    enter(
        "cut edge",
        &repeat("", "intake", "back_edge = { chamfer_mm = 0.3 }", SQUARES).0,
    );
    for turn in [
        "lean_deg = 10",
        "lean_deg = -10",
        "twist_deg = 10",
        "twist_deg = -10",
        "twist_deg = 10\ntwist_from = \"front\"",
        "twist_deg = 10\ntwist_hands = \"alternate\"",
        "pattern_twist_deg = 3",
        "layout = \"staggered\"",
    ] {
        enter(turn, &repeat("", "intake", "", &with(turn)).0);
    }
    // The place in the face counts for a pattern twist only.
    let border = "border_mm = 10";
    enter(
        "radius",
        &repeat("", "intake", border, &with("pattern_twist_deg = 3")).0,
    );
    // Swirl is not used ahead of the fan.
    let (unused, repeat) = repeat("swirl_deg = 20", "intake", "", SQUARES);
    assert!(repeat.domain.inflow_tangents[0].abs() < 1e-12);
    let hash = unused.key.rsplit('-').next().unwrap();
    assert!(keys.contains(hash));
}

/// How far an opening has moved towards growing y from the face that the air meets first to the last one: the middle of the open stretch through the hole's centre.
fn movement(repeat: &Repeat) -> f64 {
    let diameter = repeat.hydraulic_diameter;
    let hole = repeat.solid.holes()[0].centre.map(|place| place / diameter);
    let y = if repeat.is_reversed {
        -hole[0]
    } else {
        hole[0]
    };
    let thickness = repeat.domain.thickness;
    let middle = |depth: f64| {
        let open = (-400..=400)
            .map(|step| f64::from(step) * 0.003)
            .filter(|offset| !repeat.is_solid([depth, y + offset, hole[1]]));
        // Only the stretch around the hole itself: neighbours are farther than 1.2 diameters.
        let (count, sum) = open.fold((0.0, 0.0), |(count, sum), offset| {
            (count + 1.0, sum + offset)
        });
        sum / count
    };
    middle(thickness - 1e-6) - middle(1e-6)
}

/// By definition of the study file: a positive lean goes with the fan's rotation when followed along the flow, on both sides; +y of the view goes with the rotation.
#[test]
fn a_positive_lean_goes_with_the_rotation_along_the_flow_on_both_sides() {
    let wide = "shape = \"round\"\ndiameter_mm = 4\nlayout = \"square\"\nrib_mm = 6\n";
    for side in ["intake", "exhaust"] {
        for (lean, sign) in [("lean_deg = 15", 1.0), ("lean_deg = -15", -1.0)] {
            let (run, repeat) = repeat("", side, "", &format!("{wide}{lean}\n"));
            let expected =
                sign * 15_f64.to_radians().tan() * run.thickness / repeat.hydraulic_diameter;
            let seen = movement(&repeat);
            assert!(
                (seen - expected).abs() < 0.01,
                "{side}, {lean}: {seen}, {expected}"
            );
        }
        // A pattern twist of 2 degrees is a lean of R * twist over the thickness at the mean radius: 2/3 (43^3 - 0) / 43^2 mm.
        let (_, repeat) = repeat("", side, "", &format!("{wide}pattern_twist_deg = 2\n"));
        let expected = 2.0 / 3.0 * 0.043 * 2_f64.to_radians() / repeat.hydraulic_diameter;
        let seen = movement(&repeat);
        assert!(
            (seen / expected - 1.0).abs() < 0.05,
            "{side}: {seen}, {expected}"
        );
    }
    let (_, repeat) = repeat("swirl_deg = 30", "exhaust", "", wide);
    let tangent = repeat.domain.inflow_tangents;
    assert!((tangent[0] - 30_f64.to_radians().tan()).abs() < 1e-12 && tangent[1].abs() < 1e-12);
}

/// Along the flow a positive twist is right-handed: a corner turns from y towards z. A right-handed screw is one from both ends.
#[test]
fn the_hand_of_a_twist_is_the_same_from_both_sides() {
    for side in ["intake", "exhaust"] {
        for (twist, sign) in [("twist_deg = 30", 1.0), ("twist_deg = -30", -1.0)] {
            let (_, repeat) = repeat("", side, "", &format!("{TRIANGLES}{twist}\n"));
            let diameter = repeat.hydraulic_diameter;
            let hole = repeat.solid.holes()[0];
            let corner = repeat.solid.outlines_at(0.5 * repeat.solid.thickness())[0]
                .core
                .clone();
            let centre = hole.centre.map(|place| place / diameter);
            let turned_y = if repeat.is_reversed { -1.0 } else { 1.0 };
            for corner in corner {
                // From the centre to just inside a corner, as the air sees it.
                let arm = [
                    0.93 * turned_y * (corner[0] / diameter - centre[0]),
                    0.93 * (corner[1] / diameter - centre[1]),
                ];
                for (share, angle) in [(1e-6, -15.0), (0.25, -7.5), (0.75, 7.5), (1.0 - 1e-6, 15.0)]
                {
                    let is_open_at = |degrees: f64| {
                        let (sine, cosine) = degrees.to_radians().sin_cos();
                        let y = turned_y * centre[0] + cosine * arm[0] - sine * arm[1];
                        let z = centre[1] + sine * arm[0] + cosine * arm[1];
                        !repeat.is_solid([share * repeat.domain.thickness, y, z])
                    };
                    assert!(is_open_at(sign * angle), "{side}, {twist}, {share}");
                    assert!(!is_open_at(-sign * angle), "{side}, {twist}, {share}");
                }
            }
        }
    }
}

#[test]
fn the_edge_that_the_air_meets_first_is_the_front_one_only_on_the_intake_side() {
    let plate = "front_edge = { chamfer_mm = 0.6 }";
    for (side, is_wide_first) in [("intake", true), ("exhaust", false)] {
        let (_, repeat) = repeat("", side, plate, SQUARES);
        let hole = repeat.solid.holes()[0]
            .centre
            .map(|place| place / repeat.hydraulic_diameter);
        let y = if repeat.is_reversed {
            -hole[0]
        } else {
            hole[0]
        };
        // Half a side is 2.5 mm; 2.8 mm from the middle is open only within the chamfer.
        let beside = y + 2.8e-3 / repeat.hydraulic_diameter;
        let is_open = |depth: f64| !repeat.is_solid([depth, beside, hole[1]]);
        assert_eq!(is_open(1e-6), is_wide_first, "{side}");
        assert_eq!(
            is_open(repeat.domain.thickness - 1e-6),
            !is_wide_first,
            "{side}"
        );
    }
}

#[test]
fn a_repeat_that_does_not_fit_into_memory_is_refused() {
    let endless = "shape = \"slot\"\nwidth_mm = 0.5\nlength_mm = 80\nrib_mm = 0.5\nlean_deg = 20\n";
    let study = study("", "intake", "overnight", &holes("combs", "", endless));
    let refused = plan(&study).unwrap_err();
    assert_eq!(refused.len(), 1);
    assert!(refused[0].grille == "combs" && refused[0].memory_bytes > 8e9);
}

/// By counting: no order of a batch can take less than all work on all threads, nor longer than all of it on one.
#[test]
fn a_lone_repeat_gets_all_threads_and_many_go_side_by_side() {
    let grille = |rib: f64| {
        holes(
            &format!("rib {rib}"),
            "",
            &SQUARES.replace("1.5", &rib.to_string()),
        )
    };
    // On two threads the flat views of a grille fill the other thread while its repeat runs.
    for (count, threads, alone) in [(1, 1, 0), (1, 2, 0), (2, 2, 0), (8, 2, 0), (1, 4, 1)] {
        let grilles: Vec<String> = (0..count)
            .map(|i| grille(1.5 + 0.01 * f64::from(i)))
            .collect();
        let plan = planned("", "intake", "standard", &grilles);
        let all: Vec<usize> = (0..plan.runs.len()).collect();
        let capacity = Capacity {
            threads,
            memory_bytes: 1 << 40,
        };
        let order = schedule(&plan.runs, &all, capacity);
        let mut entered = [order.abreast.clone(), order.alone.clone()].concat();
        entered.sort_unstable();
        assert_eq!(entered, all, "each run once");
        if threads > 1 {
            assert_eq!(order.alone.len(), alone, "{count} on {threads}");
        }
        let work: f64 = plan.runs.iter().map(expected_seconds).sum();
        assert!(
            order.seconds <= work * (1.0 + 1e-9)
                && order.seconds * threads as f64 >= work * (1.0 - 1e-9)
        );
        let lengths: Vec<f64> = order
            .abreast
            .iter()
            .map(|&index| expected_seconds(&plan.runs[index]))
            .collect();
        assert!(
            lengths.windows(2).all(|pair| pair[0] >= pair[1]),
            "the longest first"
        );
    }
}

/// What else hides K decides how long a run goes on: a third of what the only grid hides (`run::repeat_grid`), a sixth of what a flat view is worth (`run::view`).
#[test]
fn a_run_need_not_be_steadier_than_what_else_hides_its_number_lets_be_seen() {
    let wide = "shape = \"square\"\nside_mm = 5\nrib_mm = 1.45\n";
    let grille = [holes("a", "", wide)];
    let standard = planned("", "intake", "standard", &grille);
    for run in &standard.runs {
        let hidden = match &run.subject {
            Subject::Repeat(repeat) => {
                let domain = &repeat.domain;
                one_grid_half_width(24.0, domain.free_area_ratio, false)
            }
            // 5 % for squares, twice that where the plate is thinner than 0.65 of the hole.
            _ => 0.5 * 0.1,
        };
        let wanted = (hidden / 3.0).max(run.tolerance);
        let ratio = run.allowed_width() / wanted;
        assert!((ratio - 1.0).abs() < 1e-9, "{}: {ratio}", run.key);
    }
    let (repeat, _) = repeats(&standard)[0];
    assert!(repeat.allowed_width() > 0.03 && repeat.allowed_width() < 0.04);
    // Grids that are compared have to be steadier, and what takes a second is not weighed.
    for quality in ["quick", "overnight"] {
        for run in planned("", "intake", quality, &grille).runs {
            let is_weighed = quality == "overnight" && !run.is_repeat();
            assert_eq!(run.other_doubts > 0.0, is_weighed, "{}", run.key);
        }
    }
}

/// Whoever asks for a tolerance gets it, from the same folder.
#[test]
fn a_tolerance_that_is_asked_for_holds_whatever_else_hides_the_number() {
    let text = |tolerance: &str| {
        study("", "intake", "standard", &holes("a", "", SQUARES))
            .to_toml()
            .replace(
                "quality = \"standard\"\n",
                &format!("quality = \"standard\"\n{tolerance}"),
            )
    };
    let planned = |tolerance: &str| {
        let draft = Draft::parse(text(tolerance).as_bytes(), "plan.toml").unwrap();
        plan(&draft.resolve(&mut |_| Err(String::new())).unwrap()).unwrap()
    };
    let (left_out, asked) = (planned(""), planned("tolerance_percent = 2\n"));
    for (left_out, asked) in left_out.runs.iter().zip(&asked.runs) {
        assert!((asked.allowed_width() - 0.02).abs() < 1e-12);
        assert!(
            (left_out.allowed_width() - 0.02).abs() > 1e-3,
            "{}",
            left_out.key
        );
        assert_eq!(asked.key, left_out.key);
        assert_ne!(asked.inputs, left_out.inputs);
    }
}
