//! Density, viscosity and specific heat of air.
//!
//! `standard_atmosphere_1976.csv`: U.S. Standard Atmosphere, 1976 (NOAA, NASA, USAF), tables of the first 5 km, as computed by
//! the Python library `fluids` 1.3.1. Stated there to be exact by definition. Ours uses the same two laws, so the tolerance is
//! the rounding of the table, 1e-5. Error seen: 3e-6.
//! The two sea-level values are also the printed ones (1.2250 kg/m³, 1.4607e-5 m²/s), tested to the last printed digit.
//!
//! `moist_air.csv`: a real-gas equation of state of humid air with transport properties by mixing rules (Python library
//! `CoolProp` 8.0.0, after ASHRAE research project 1485). Tolerances: density 0.1 % (ideal gas; seen 0.06 %), specific heat 1 %
//! (constants for both parts; seen 0.8 % at 50 °C and 90 %, 0.4 % up to 35 °C).
//! Viscosity 2 %: Sutherland's law alone is 0.3 to 0.5 % below the source in dry air, and the two mixing rules part with the share
//! of vapour (seen 0.8 % at 20 °C, 1.3 % at 35 °C, 1.9 % at 50 °C, each at 90 % and 850 hPa). 1 % was the first guess, before
//! anything was measured; without a mixing rule at all the error was 4.7 %.

use crate::common::assert_close;
use ventwright::air::{Air, CELSIUS_ZERO};

fn rows(text: &str) -> Vec<Vec<f64>> {
    text.lines()
        .skip(1)
        .map(|line| {
            line.split(',')
                .map(|field| field.parse().expect("a number"))
                .collect()
        })
        .collect()
}

#[test]
fn sea_level_of_the_standard_atmosphere_to_the_last_printed_digit() {
    let air = Air::new(15.0, 101_325.0, None).unwrap();
    assert!((air.density - 1.2250).abs() < 0.5e-4, "{}", air.density);
    assert!(
        (air.kinematic_viscosity - 1.4607e-5).abs() < 0.5e-9,
        "{}",
        air.kinematic_viscosity
    );
}

#[test]
fn the_standard_atmosphere_up_to_five_kilometres() {
    let rows = rows(include_str!("../reference/standard_atmosphere_1976.csv"));
    assert_eq!(rows.len(), 7);
    for row in rows {
        let air = Air::new(row[1] - CELSIUS_ZERO, row[2], None).unwrap();
        assert_close("density", air.density, row[3], 1e-5);
        assert_close("viscosity", air.kinematic_viscosity, row[4], 1e-5);
    }
}

#[test]
fn moist_air_against_a_real_gas_equation() {
    let rows = rows(include_str!("../reference/moist_air.csv"));
    assert_eq!(rows.len(), 32);
    for row in rows {
        let air = Air::new(row[0], row[1], Some(row[2])).unwrap();
        assert_close("density", air.density, row[3], 1e-3);
        assert_close("specific heat", air.specific_heat, row[4], 1e-2);
        assert_close("viscosity", air.kinematic_viscosity, row[5], 2e-2);
    }
}
