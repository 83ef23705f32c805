//! A repeat of holes at the conditions of a real grille, for the commands that write tables.

use std::ops::ControlFlow;
use std::time::Instant;

use crate::free_area::with_free_area;
use ventwright::grille::{
    CountedFrom, Edge, Hands, HolePattern, HoleShape, Layout, RepeatSolid, Turn,
};
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::DriveLimits;
use ventwright::measure::repeat::{RepeatOutcome, drive_repeat};
use ventwright::tunnel::RepeatDomain;
use ventwright::units::LatticeVelocity;

/// Hydraulic diameter, m: a unit here.
const DIAMETER: f64 = 0.005;

/// Velocity in the hole where a case does not say, cells per step.
const HOLE_VELOCITY: f64 = 0.073;

/// One pattern in one stream. Angles in degrees, thickness in hydraulic diameters.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Case {
    pub(crate) shape: &'static str,
    pub(crate) free_area_ratio: f64,
    pub(crate) thickness: f64,
    pub(crate) twist: f64,
    pub(crate) lean: f64,
    pub(crate) inflow: f64,
    pub(crate) reynolds_number: f64,
    pub(crate) cells: f64,
    /// Time on a coarser grid first, in pitch-times.
    pub(crate) head_start: f64,
    /// Velocity in the hole, cells per step.
    pub(crate) hole_velocity: f64,
    /// Room behind the plate.
    pub(crate) pitches_behind: f64,
}

/// Outcome and wall-clock seconds.
pub(crate) struct Solved {
    pub(crate) outcome: RepeatOutcome,
    pub(crate) seconds: f64,
}

impl Case {
    /// A straight hole in an axial stream.
    pub(crate) fn straight(shape: &'static str, free_area_ratio: f64, cells: f64) -> Self {
        Self {
            shape,
            free_area_ratio,
            thickness: 0.8,
            twist: 0.0,
            lean: 0.0,
            inflow: 0.0,
            reynolds_number: 2000.0,
            cells,
            head_start: 0.0,
            hole_velocity: HOLE_VELOCITY,
            pitches_behind: 2.5,
        }
    }

    /// What names it, as text.
    pub(crate) fn names(&self) -> [String; 7] {
        [
            self.shape.to_owned(),
            self.free_area_ratio.to_string(),
            self.thickness.to_string(),
            self.twist.to_string(),
            self.lean.to_string(),
            self.inflow.to_string(),
            self.reynolds_number.to_string(),
        ]
    }

    fn shape(&self) -> (HoleShape, Layout) {
        let triangle = HoleShape::Triangle {
            side: 3.0_f64.sqrt() * DIAMETER,
        };
        match self.shape {
            "round" => (HoleShape::Round { diameter: DIAMETER }, Layout::Staggered),
            "square" => (HoleShape::Square { side: DIAMETER }, Layout::Square),
            "hexagon" => (
                HoleShape::Hexagon {
                    across_flats: DIAMETER,
                },
                Layout::Staggered,
            ),
            "triangle" => (triangle, Layout::Staggered),
            "triangle up-down" => (triangle, Layout::UpDown),
            other => panic!("no shape {other}"),
        }
    }

    /// The solid, with the rib that makes the free-area ratio; `None` if such holes do not fit.
    pub(crate) fn solid(&self) -> Option<RepeatSolid> {
        let (shape, layout) = self.shape();
        let turn = if self.twist != 0.0 {
            Turn::Twist {
                angle: self.twist.to_radians(),
                counted_from: CountedFrom::MidDepth,
                hands: Hands::Same,
            }
        } else if self.lean != 0.0 {
            Turn::Lean {
                angle: self.lean.to_radians(),
            }
        } else {
            Turn::Straight
        };
        let solid = |rib: f64| {
            let pattern = HolePattern {
                shape,
                layout,
                rib,
                turn,
                merging_accepted: false,
            };
            let thickness = self.thickness * DIAMETER;
            RepeatSolid::of(&pattern, thickness, Edge::Sharp, Edge::Sharp, 0.0).ok()
        };
        with_free_area(self.free_area_ratio, 4.0 * DIAMETER, solid)
    }

    /// Solves it; `None` if such holes do not fit.
    pub(crate) fn solve(&self, limits: &DriveLimits, threads: Threads) -> Option<Solved> {
        let begun = Instant::now();
        let solid = self.solid()?;
        // In the hole the air runs flatter than ahead of it.
        let against = (self.lean - 0.6 * self.inflow).abs();
        let hole_velocity = self.hole_velocity / (1.0 + 0.3 * (against / 15.0).powi(2)).sqrt();
        let domain = RepeatDomain {
            extent: solid.extent().map(|width| width / DIAMETER),
            pitch: (solid.area() / solid.hole_count() as f64).sqrt() / DIAMETER,
            thickness: self.thickness,
            free_area_ratio: self.free_area_ratio,
            reynolds_number: self.reynolds_number,
            inflow_tangents: [self.inflow.to_radians().tan(), 0.0],
            cells_across_hole: self.cells,
            face_velocity: LatticeVelocity(hole_velocity * self.free_area_ratio),
            pitches_ahead: 1.0,
            pitches_behind: self.pitches_behind,
            has_subgrid: true,
            shift: [0.0; 3],
            head_start: self.head_start,
        };
        let thickness = solid.thickness();
        let is_solid = |[depth, y, z]: [f64; 3]| {
            let depth = (depth * DIAMETER).clamp(0.0, thickness);
            solid.is_solid(depth, y * DIAMETER, z * DIAMETER)
        };
        let domain = domain.fitted(&is_solid);
        let outcome = drive_repeat(&domain, &is_solid, limits, &threads, &mut |_| {
            ControlFlow::Continue(())
        });
        Some(Solved {
            outcome,
            seconds: begun.elapsed().as_secs_f64(),
        })
    }
}

/// A number with so many decimals.
pub(crate) fn digits(value: f64, decimals: usize) -> String {
    format!("{value:.decimals$}")
}
