//! Files of [`ventwright::vtk`] opened by the packages `vtk` and `pyvista` of the Python registry and compared value by value.
//!
//! Outside reference: the reader of `vtk`, the reference implementation of the format (seen with version 9.7.2), and `pyvista` on top of it (seen with version 0.49.1).
//! Tolerance: none for values; single precision for origin and spacing, as the writer's format has it.
//!
//! The interpreter is named by the environment variable `VENTWRIGHT_PYTHON`; `.ci/run` sets it up.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

#[path = "common/checker.rs"]
mod checker;

use checker::verdict;
use serde_json::{Value, json};
use ventwright::vtk::{
    CellArray, ImageGrid, Note, Points, Surface, TIME, write_image, write_noted_image,
    write_points, write_surface,
};

/// Smooth, noisy and awkward values in turn, reproducible.
fn values(count: usize, seed: u64) -> Vec<f32> {
    let mut state = seed;
    (0..count)
        .map(|i| {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1_442_695_040_888_963_407);
            let noise = f32::from(u16::try_from(state >> 48).unwrap()) / 65_536.0;
            match i % 5 {
                0 => 0.0,
                1 => -1e-30 * noise,
                2 => 3.0e7 * noise,
                _ => (i as f32 * 0.01).sin() + noise,
            }
        })
        .collect()
}

fn arrays(count: usize) -> Vec<CellArray> {
    let flat = values(3 * count, 7);
    let vectors = flat.chunks_exact(3).map(|c| [c[0], c[1], c[2]]).collect();
    let mask = (0..count).map(|i| u8::from(i % 7 < 3)).collect();
    vec![
        CellArray::Vector("velocity_m_per_s", vectors),
        CellArray::Scalar("pressure_pa", values(count, 3)),
        CellArray::Mask("solid", mask),
    ]
}

/// Words with everything that a file of XML could trip over, and numbers.
fn some_notes() -> Vec<Note> {
    vec![
        Note::Text("grille", "a<b> & \"c\" ]]> решётка".to_owned()),
        Note::Text("empty", String::new()),
        Note::Number("face_velocity_m_per_s", 2.125),
        Note::Number("small", -1.0e-9),
    ]
}

fn in_json(notes: &[Note]) -> serde_json::Map<String, Value> {
    notes
        .iter()
        .map(|note| match note {
            Note::Text(name, words) => ((*name).to_owned(), json!(words)),
            Note::Number(name, number) => ((*name).to_owned(), json!(number)),
        })
        .collect()
}

fn expectation(grid: &ImageGrid, arrays: &[CellArray], notes: &[Note]) -> Value {
    let said = in_json(notes);
    let described: serde_json::Map<String, Value> = arrays
        .iter()
        .map(|array| {
            let (components, kind, values) = match array {
                CellArray::Scalar(_, v) => (1, "float", json!(v)),
                CellArray::Vector(_, v) => (3, "float", json!(v.as_flattened())),
                CellArray::Mask(_, v) => (1, "unsigned char", json!(v)),
            };
            let entry = json!({"components": components, "kind": kind, "values": values});
            (array.name().to_owned(), entry)
        })
        .collect();
    json!({
        "dimensions": grid.dimensions, "origin": grid.origin, "spacing": grid.spacing, "arrays": described, "notes": said,
    })
}

/// Runs the checker; `true` when it says that file and expectation agree.
fn agrees(file: &[u8], expected: &Value) -> (bool, String) {
    file_agrees("field.vti", file, expected)
}

/// The same for a file of this name.
fn file_agrees(name: &str, file: &[u8], expected: &Value) -> (bool, String) {
    let folder = tempfile::tempdir().unwrap();
    let (image, json) = (
        folder.path().join(name),
        folder.path().join("expected.json"),
    );
    std::fs::write(&image, file).unwrap();
    std::fs::write(&json, expected.to_string()).unwrap();
    let said = verdict("check_vtk.py", &[&image, &json]);
    (said.starts_with("agrees: "), said)
}

#[test]
#[ignore = "needs Python with vtk and pyvista: run by .ci/run"]
fn another_program_reads_the_same_values() {
    // 128 x 64 single-precision values are exactly one block of 32 768 bytes, a corner of the format.
    for dimensions in [[5, 4, 1], [128, 64, 1], [257, 129, 1], [13, 11, 7]] {
        let grid = ImageGrid {
            dimensions,
            origin: [-0.0125, -0.004, 0.0],
            spacing: [0.000_1, 0.000_1, 0.000_25],
        };
        let arrays = arrays(grid.cell_count());
        let mut file = Vec::new();
        let mut notes = some_notes();
        notes.push(Note::Number(TIME, 0.375));
        write_noted_image(&grid, arrays.clone(), &notes, &mut file).unwrap();
        let (is_equal, said) = agrees(&file, &expectation(&grid, &arrays, &notes));
        assert!(is_equal, "{dimensions:?}: {said}");
        let (is_equal, said) = agrees(&file, &expectation(&grid, &arrays, &notes[1..]));
        assert!(!is_equal && said.contains("notes"), "{said}");
    }
}

#[test]
#[ignore = "needs Python with vtk and pyvista: run by .ci/run"]
fn the_checker_sees_a_single_wrong_value() {
    let grid = ImageGrid {
        dimensions: [30, 20, 1],
        origin: [0.0; 3],
        spacing: [0.001; 3],
    };
    let written = arrays(grid.cell_count());
    let mut file = Vec::new();
    write_image(&grid, &written, &mut file).unwrap();
    for index in 0..written.len() {
        let mut other = written.clone();
        match &mut other[index] {
            CellArray::Scalar(_, v) => v[77] += 1.0,
            CellArray::Vector(_, v) => v[77].swap(0, 2),
            CellArray::Mask(_, v) => v[77] ^= 1,
        }
        let (is_equal, said) = agrees(&file, &expectation(&grid, &other, &[]));
        assert!(!is_equal && said.contains(written[index].name()), "{said}");
    }
    let shifted = ImageGrid {
        origin: [0.001, 0.0, 0.0],
        ..grid
    };
    let (is_equal, said) = agrees(&file, &expectation(&shifted, &written, &[]));
    assert!(!is_equal && said.contains("origin"), "{said}");
}

#[test]
#[ignore = "needs Python with vtk and pyvista: run by .ci/run"]
fn another_program_reads_the_same_surface() {
    // Triangles, quadrilaterals and pentagons between points of their own.
    let places = values(3 * 4000, 11);
    let points: Vec<[f32; 3]> = places.chunks_exact(3).map(|c| [c[0], c[1], c[2]]).collect();
    let mut surface = Surface::default();
    let mut rest = points.as_slice();
    for size in [3, 4, 5].into_iter().cycle().take(900) {
        let (piece, others) = rest.split_at(size);
        surface.add(piece);
        rest = others;
    }
    let mut file = Vec::new();
    write_surface(&surface, &mut file).unwrap();
    let mut corners = surface.corners.iter();
    let pieces: Vec<Vec<u32>> = surface
        .sizes
        .iter()
        .map(|&size| corners.by_ref().take(size.into()).copied().collect())
        .collect();
    let expected = json!({"points": surface.points, "pieces": pieces});
    let (is_equal, said) = file_agrees("plate.vtp", &file, &expected);
    assert!(is_equal, "{said}");
    let mut other = pieces;
    other[77].swap(0, 1);
    let expected = json!({"points": surface.points, "pieces": other});
    let (is_equal, said) = file_agrees("plate.vtp", &file, &expected);
    assert!(!is_equal && said.contains("pieces"), "{said}");
}

#[test]
#[ignore = "needs Python with vtk and pyvista: run by .ci/run"]
fn another_program_reads_points_that_move_as_a_series() {
    let folder = tempfile::tempdir().unwrap();
    let mut moments = Vec::new();
    // Points come and go from moment to moment; one has a single point.
    for (number, count) in [700, 1, 1100].into_iter().enumerate() {
        let seed = 17 + number as u64;
        let places = values(3 * count, seed);
        let places: Vec<[f32; 3]> = places.chunks_exact(3).map(|c| [c[0], c[1], c[2]]).collect();
        let (ages, threads) = (values(count, seed + 5), values(count, seed + 9));
        let (time, name) = (0.0125 * number as f64, format!("smoke-{number:04}.vtp"));
        let mut notes = some_notes();
        notes.push(Note::Number(TIME, time));
        moments.push(json!({
            "time": time, "file": name, "points": places, "notes": in_json(&notes),
            "values": {"age_s": ages, "thread": threads},
        }));
        let points = Points {
            places,
            values: vec![("age_s", ages), ("thread", threads)],
        };
        let mut file = Vec::new();
        write_points(points, &notes, &mut file).unwrap();
        std::fs::write(folder.path().join(name), file).unwrap();
    }
    let path = folder.path().join("smoke-*.vtp");
    let expected = folder.path().join("expected.json");
    let agrees = |moments: &Value| {
        std::fs::write(&expected, moments.to_string()).unwrap();
        verdict("check_vtk.py", &[&path, &expected])
    };
    let mut moments = Value::from(moments);
    let said = agrees(&moments);
    assert!(said.starts_with("agrees: 3 moments"), "{said}");
    moments[2]["values"]["age_s"][77] = json!(1.0e9);
    let said = agrees(&moments);
    assert!(
        said.starts_with("differs: ") && said.contains("age_s"),
        "{said}"
    );
    moments[1]["time"] = json!(0.5);
    let said = agrees(&moments);
    assert!(said.starts_with("differs: times"), "{said}");
}
