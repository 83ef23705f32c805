//! The walls of the fan view: the fan's exit, the bore, the solid parts of a grille, the wall around it.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places become numbers of rows"
)]

use crate::lattice::walls::{Geometry, WallGroup, WallPoint};
use crate::tunnel::face::{Behind, FaceLayout, FanFace};

/// Walls in cell coordinates.
pub(super) struct FaceWalls {
    /// Axial velocity of the rows of the fan's exit.
    axial: Vec<f64>,
    /// Their swirl.
    swirl: Vec<f64>,
    bore: f64,
    /// x of the grille's faces.
    front: f64,
    back: f64,
    /// Where the bore ends; infinite for a duct.
    bore_end: f64,
    /// Solid from radius to radius.
    walls: Vec<[f64; 2]>,
}

impl FaceWalls {
    pub(super) fn new(face: &FanFace<'_>, layout: &FaceLayout) -> Self {
        let bore = layout.bore as f64;
        let rows = 0..layout.bore;
        let exit = face.exit;
        let (hub, tip) = (exit.hub * bore, exit.tip.min(1.0) * bore);
        // Rows that the annulus covers in part let in less.
        let axial = |y: usize| {
            let (inner, outer) = ((y as f64).max(hub), (y as f64 + 1.0).min(tip));
            if outer <= inner {
                return 0.0;
            }
            let share = (outer * outer - inner * inner) / (2.0 * y as f64 + 1.0);
            share * (exit.axial)(0.5 * (inner + outer) / bore)
        };
        let axial: Vec<f64> = rows.clone().map(axial).collect();
        let scale = 0.5 * bore * bore * face.face_velocity.0 / link_flow(&axial);
        let swirl = rows.map(|y| {
            let radius = (y as f64 + 0.5) / bore;
            if axial[y] == 0.0 {
                0.0
            } else {
                face.face_velocity.0 * (exit.swirl)(radius)
            }
        });
        let swirl = swirl.collect();
        let front = layout.front as f64 - 0.5;
        let thickness = if face.grille.zones.is_empty() {
            face.grille.thickness * bore
        } else {
            (layout.rear - layout.front) as f64
        };
        Self {
            axial: axial.iter().map(|u| scale * u).collect(),
            swirl,
            bore,
            front,
            back: front + thickness,
            bore_end: match face.behind {
                Behind::Duct => f64::INFINITY,
                Behind::Room { .. } => layout.rear as f64 - 0.5,
            },
            walls: face
                .grille
                .walls
                .iter()
                .map(|band| band.map(|r| r * bore))
                .collect(),
        }
    }
}

/// Value of a row, or the mean of two where oblique links of both meet the fan's exit: on the border below row `border`.
fn on_border(rows: &[f64], border: usize) -> f64 {
    match (
        border.checked_sub(1).and_then(|y| rows.get(y)),
        rows.get(border),
    ) {
        (Some(below), Some(above)) => 0.5 * (below + above),
        _ => 0.0,
    }
}

/// What comes in through the links of the first column, per radian: each row takes two thirds from ahead of it and a sixth at both of its borders, weighed with the radius there.
fn link_flow(axial: &[f64]) -> f64 {
    let row = |(y, velocity): (usize, &f64)| {
        let low = y as f64 * on_border(axial, y);
        let high = (y as f64 + 1.0) * on_border(axial, y + 1);
        (y as f64 + 0.5) * velocity * 2.0 / 3.0 + (low + high) / 6.0
    };
    axial.iter().enumerate().map(row).sum()
}

impl Geometry for FaceWalls {
    fn wall_at(&self, point: [f64; 3]) -> Option<WallPoint> {
        let [x, y, _] = point;
        // Beyond the axis lies the other side.
        let radius = (y + 0.5).abs();
        let fixed = |group| {
            Some(WallPoint {
                group,
                velocity: [0.0; 3],
            })
        };
        if x < -0.5 {
            let border = radius.round();
            let row = radius.floor() as usize;
            let velocity = if (radius - border).abs() < 1e-3 {
                [on_border(&self.axial, border as usize), 0.0, 0.0]
            } else {
                let of_row = |rows: &[f64]| rows.get(row).copied().unwrap_or(0.0);
                [of_row(&self.axial), 0.0, of_row(&self.swirl)]
            };
            return Some(WallPoint {
                group: WallGroup::Rim,
                velocity,
            });
        }
        if radius > self.bore && x < self.bore_end {
            return fixed(WallGroup::Rim);
        }
        let is_solid = (self.front..=self.back).contains(&x)
            && self
                .walls
                .iter()
                .any(|[inner, outer]| (*inner..=*outer).contains(&radius));
        if is_solid {
            fixed(WallGroup::Body)
        } else {
            None
        }
    }
}
