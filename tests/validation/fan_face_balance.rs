//! A fan face conserves mass, axial momentum with the forces on walls and grille, and angular momentum with the torques, from the fan's exit to the end of the domain.
//!
//! Source: conservation, in closed form. What passes the far plane is read off pressure and velocity; what comes in and what walls take is told by the links.
//!
//! Tolerance: 0.5 % of what the stream carries at the fan's exit.
//! Seen: mass 0.00001 %, axial momentum 0.15 % at a Reynolds number of 200 (half a column of wall beyond the plane) and 0.08 % at 2,000, angular momentum 0.06 %.
use crate::face::{even_grille, steady};
use crate::flow::assert_error;
use ventwright::tunnel::{Behind, FaceGrille, FaceStream, FanFace};
use ventwright::units::LatticeVelocity;

fn duct(grille: FaceGrille, reynolds_number: f64) -> FanFace<'static> {
    FanFace {
        exit: FaceStream {
            hub: 0.4,
            tip: 0.95,
            axial: &|r| 1.0 + r,
            swirl: &|r| 0.6 * r,
        },
        gap: 0.3,
        grille,
        behind: Behind::Duct,
        length_behind: 6.0,
        reynolds_number,
        face_velocity: LatticeVelocity(0.03),
        cells_per_radius: 28,
        has_subgrid: false,
    }
}

fn assert_balance(name: &str, face: &FanFace<'_>) {
    let outcome = steady(name, face, 15.0);
    let balance = outcome.balance;
    assert_error(&format!("{name}, mass"), balance.mass, 5e-3);
    assert_error(&format!("{name}, axial"), balance.axial, 5e-3);
    assert_error(&format!("{name}, angular"), balance.angular, 5e-3);
}

#[test]
fn a_bare_fan_loses_nothing() {
    assert_balance("bare, 200", &duct(even_grille(0.0, 1.0), 200.0).bare());
    assert_balance("bare, 2000", &duct(even_grille(0.0, 1.0), 2000.0).bare());
}

#[test]
fn nor_does_a_fan_behind_a_grille() {
    let mut grille = even_grille(2.0, 0.3);
    grille.walls = vec![[0.0, 0.2], [0.92, 1.0]];
    assert_balance("border and disc", &duct(grille, 200.0));
    let rings = FaceGrille {
        thickness: 0.15,
        walls: vec![[0.0, 0.2], [0.42, 0.5], [0.7, 0.78], [0.92, 1.0]],
        zones: Vec::new(),
    };
    assert_balance("rings", &duct(rings, 200.0));
}
