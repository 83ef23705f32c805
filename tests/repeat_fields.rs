//! What a solved repeat leaves: mean fields, last instant and the plate's surface for an external viewer, and a picture.
//!
//! Outside reference: closed forms for the areas of the surface (walls of straight and of twisted holes, eased edges, faces), and the packages `vtk` and `pyvista` of the Python registry (seen with
//! versions 9.7.2 and 0.49.1), of which the first has a gradient filter that gives vorticity and Q; `tests/check_repeat_fields.py` says what it checks.
//! Tolerance: 0.1 % for faces; 0.3 % for walls, which are flat pieces, and the stretch of the repeat.
//! Error seen: 3e-6 for faces, 4e-4 for walls (with a stretch of 7e-4).
//!
//! The files are left in `target/tmp` for looking at.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

#[path = "common/checker.rs"]
mod checker;
mod common;

use std::f64::consts::{FRAC_PI_2, PI, SQRT_2, TAU};
use std::ops::ControlFlow;
use std::path::{Path, PathBuf};

use checker::verdict;
use common::assert_close;
use common::repeat::{
    DIAMETER, Solved, THICKNESS, eased_round_holes, solve, solve_while, triangles, twisted,
};
use serde_json::{Value, json};
use ventwright::fields::{
    PlateShape, SolvedRepeat, hole_axes, plate_surface, ring, write_last, write_mean,
    write_picture, write_plate,
};
use ventwright::grille::{RepeatSolid, Turn};
use ventwright::lattice::step::Threads;
use ventwright::measure::series::StopReason;
use ventwright::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};
use ventwright::vtk::Surface;

/// Speed ahead of the plate, m/s.
const FACE_VELOCITY: f64 = 3.0;

fn repeat(solved: &Solved) -> SolvedRepeat<'_> {
    let outcome = &solved.outcome;
    SolvedRepeat {
        outcome,
        scale: Scale::new(
            Metres(DIAMETER),
            outcome.layout.cells_across_hole,
            MetresPerSecond(FACE_VELOCITY),
            LatticeVelocity(outcome.face_velocity),
            1.2,
        ),
        holes: &solved.holes,
    }
}

/// Hands over the plate of a repeat as drawn.
fn with_shape<T>(solved: &Solved, edges: [f64; 2], take: impl FnOnce(&PlateShape<'_>) -> T) -> T {
    let solid = &solved.solid;
    take(&PlateShape {
        outlines_at: &|depth| {
            let outlines = solid.outlines_at(depth * DIAMETER);
            outlines.iter().map(|o| ring(o, DIAMETER)).collect()
        },
        solid: &|[depth, y, z]: [f64; 3]| {
            solid.is_solid(depth * DIAMETER, y * DIAMETER, z * DIAMETER)
        },
        edges: edges.map(|edge| edge / DIAMETER),
    })
}

/// Writes all files; the paths of mean fields and surface.
fn write_all(name: &str, solved: &Solved) -> [PathBuf; 2] {
    let folder = Path::new(env!("CARGO_TARGET_TMPDIR"));
    let path = |end: &str| folder.join(format!("repeat-{name}-{end}"));
    let file = |end: &str| std::fs::File::create(path(end)).unwrap();
    let repeat = repeat(solved);
    write_mean(&repeat, &[], file("mean.vti")).unwrap();
    write_last(&repeat, &[], file("last.vti")).unwrap();
    with_shape(solved, [0.0; 2], |shape| {
        write_plate(&repeat, shape, file("plate.vtp")).unwrap();
        write_picture(&repeat, shape.solid, name, 0.05, file("picture.png")).unwrap();
    });
    [path("mean.vti"), path("plate.vtp")]
}

/// Area of the walls of all holes of a repeat of triangles, m².
///
/// A straight side that turns about an axis a distance away sweeps, per depth, the element √(1 + (turning per depth)² q²) dq at q from the foot of the axis on it.
fn wall_area(solved: &Solved, twist: f64) -> f64 {
    let half_side = 0.5 * 3.0_f64.sqrt() * DIAMETER;
    let k = twist / THICKNESS;
    let per_depth = if k == 0.0 {
        half_side
    } else {
        let end = k * half_side;
        0.5 * half_side * (1.0 + end * end).sqrt() + 0.5 * end.asinh() / k
    };
    solved.holes.len() as f64 * 3.0 * 2.0 * per_depth * THICKNESS
}

/// Areas of the front face, the back face and the walls, m².
fn areas(surface: &Surface) -> [f64; 3] {
    let mut areas = [0.0; 3];
    let mut corners = surface.corners.iter();
    for &size in &surface.sizes {
        let points: Vec<[f64; 3]> = corners
            .by_ref()
            .take(size.into())
            .map(|&corner| surface.points[corner as usize].map(f64::from))
            .collect();
        let mut normal = [0.0; 3];
        for pair in points[1..].windows(2) {
            let [a, b] = [0, 1].map(|i| [0, 1, 2].map(|axis| pair[i][axis] - points[0][axis]));
            for (axis, sum) in normal.iter_mut().enumerate() {
                let (j, k) = ((axis + 1) % 3, (axis + 2) % 3);
                *sum += 0.5 * (a[j] * b[k] - a[k] * b[j]);
            }
        }
        let is_at = |depth: f64| points.iter().all(|p| (p[0] - depth).abs() < 1e-9);
        let part = match (is_at(0.0), is_at(THICKNESS)) {
            (true, _) => 0,
            (_, true) => 1,
            _ => 2,
        };
        areas[part] += normal[0].hypot(normal[1]).hypot(normal[2]);
    }
    areas
}

/// A repeat after its first pitch-time.
fn begun(solid: RepeatSolid) -> Solved {
    begun_on(Threads::Pool(2), solid)
}

fn begun_on(threads: Threads, solid: RepeatSolid) -> Solved {
    solve_while(solid, [8.0, 100.0, 9.0], threads, &mut |_| {
        ControlFlow::Break(StopReason::Interrupted)
    })
}

#[test]
fn threads_do_not_change_a_bit() {
    let [one, three] = [Threads::One, Threads::Pool(3)]
        .map(|threads| begun_on(threads, triangles(twisted(20.0))).outcome);
    assert!(one.mean == three.mean && one.last == three.last);
    assert_eq!(one.wall_load, three.wall_load);
    assert!(one.mean.velocity.iter().flatten().all(|u| u.is_finite()));
}

#[test]
fn a_repeat_that_has_hardly_begun_is_written_down_too() {
    for (name, degrees) in [("begun-straight", 0.0_f64), ("begun-twisted", 20.0)] {
        let turn = if degrees == 0.0 {
            Turn::Straight
        } else {
            twisted(degrees)
        };
        let solved = begun(triangles(turn));
        let [mean, _] = write_all(name, &solved);
        let text = std::fs::read_to_string(mean).unwrap();
        for array in [
            "velocity_m_per_s",
            "pressure_pa",
            "turbulence_intensity",
            "vorticity_per_s",
            "helicity_m_per_s2",
            "q_criterion_per_s2",
            "solid",
        ] {
            assert!(text.contains(&format!("Name=\"{array}\"")), "{array}");
        }

        let surface = with_shape(&solved, [0.0; 2], |shape| {
            plate_surface(&repeat(&solved), shape)
        });
        let [front, back, walls] = areas(&surface);
        let stretch = solved.outcome.layout.stretch;
        let face = (solved.solid.area() - solved.solid.open_area()) * stretch;
        assert_close("front face", front, face, 1e-3);
        assert_close("back face", back, face, 1e-3);
        // The stretch along z lengthens the walls by less than itself; it is under 0.2 % here.
        assert!((stretch - 1.0).abs() < 2e-3, "{stretch}");
        let tolerance = 3e-3 + (stretch - 1.0).abs();
        let expected = wall_area(&solved, degrees.to_radians());
        assert_close("walls", walls, expected, tolerance);
    }
}

/// A quarter of a torus, a cylinder and a cone; closed forms (Pappus and Guldin).
#[test]
fn eased_edges_belong_to_the_surface() {
    let (rounded, chamfered, radius) = (1.0e-3, 0.8e-3, 0.5 * DIAMETER);
    let solved = begun(eased_round_holes(rounded, chamfered));
    let surface = with_shape(&solved, [rounded, chamfered], |shape| {
        plate_surface(&repeat(&solved), shape)
    });
    let torus = TAU * ((radius + rounded) * FRAC_PI_2 * rounded - rounded * rounded);
    let cylinder = TAU * radius * (THICKNESS - rounded - chamfered);
    let cone = TAU * (radius + 0.5 * chamfered) * SQRT_2 * chamfered;
    let stretch = solved.outcome.layout.stretch;
    let face = |edge: f64| stretch * (solved.solid.area() - 2.0 * PI * (radius + edge).powi(2));
    let [front, back, walls] = areas(&surface);
    let tolerance = 3e-3 + (stretch - 1.0).abs();
    assert_close("front face", front, face(rounded), 3e-3);
    assert_close("back face", back, face(chamfered), 3e-3);
    assert_close("walls", walls, 2.0 * (torus + cylinder + cone), tolerance);
}

#[test]
fn axes_lean_with_their_holes() {
    let angle = 20.0_f64.to_radians();
    let solid = triangles(Turn::Lean { angle });
    let axes = hole_axes(&solid, DIAMETER);
    assert_eq!(axes.len(), solid.hole_count());
    for (axis, hole) in axes.iter().zip(solid.holes()) {
        let thickness = THICKNESS / DIAMETER;
        let drawn = axis.at(0.5 * thickness, thickness);
        for (place, centre) in drawn.iter().zip(hole.centre) {
            assert!((place - centre / DIAMETER).abs() < 1e-9);
        }
        assert_close("slope", axis.slope[0], angle.tan(), 1e-9);
        assert!(axis.slope[1].abs() < 1e-9);
    }
}

/// What the checker says of two files.
fn check(files: &[PathBuf; 2], expected: &Value) -> String {
    let folder = tempfile::tempdir().unwrap();
    let expectation = folder.path().join("expected.json");
    std::fs::write(&expectation, expected.to_string()).unwrap();
    let [field, plate] = files;
    verdict("check_repeat_fields.py", &[field, plate, &expectation])
}

#[test]
#[ignore = "needs Python with vtk and pyvista: run by .ci/run"]
fn another_program_finds_the_physics_in_the_files() {
    for (name, degrees) in [("straight", 0.0_f64), ("twisted", 20.0)] {
        let turn = if degrees == 0.0 {
            Turn::Straight
        } else {
            twisted(degrees)
        };
        let solved = solve(triangles(turn), 12.0, 300.0, 9.0);
        let files = write_all(name, &solved);
        let [along, across] = solved.solid.extent();
        let expected = json!({
            "face_velocity": FACE_VELOCITY,
            "extent": [along, across * solved.outcome.layout.stretch],
            "thickness": THICKNESS,
            "free_area_ratio": solved.solid.free_area_ratio(),
            "wall_area": wall_area(&solved, degrees.to_radians()),
            "wall_tolerance": 0.01,
        });
        let said = check(&files, &expected);
        assert!(said.starts_with("agrees: "), "{name}: {said}");

        // The checker sees what is wrong.
        for (key, value, complaint) in [
            ("face_velocity", json!(3.1), "mean velocity"),
            ("free_area_ratio", json!(0.45), "the face"),
            ("wall_area", json!(1e-4), "the walls"),
        ] {
            let mut wrong = expected.clone();
            wrong[key] = value;
            let said = check(&files, &wrong);
            assert!(
                said.starts_with("differs: ") && said.contains(complaint),
                "{said}"
            );
        }
    }
}
