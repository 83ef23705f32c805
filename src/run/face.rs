//! The fan view as a run: the whole fan face at the operating point of one grille, or of the bare fan.

use serde_json::{Value, json};

use crate::fan::FanExit;
use crate::measure::drive::DriveLimits;
use crate::result::View;
use crate::run::planned::{SOLVER_VERSION, TOLERANCE};
use crate::study::{BehindGrille, FanView, Quality, Study};
use crate::tunnel::{Behind, FaceGrille, FaceStream, FanFace};
use crate::units::LatticeVelocity;

/// Distance of the side of the room from the axis, bore radii: beyond 3 it makes no difference (`tests/validation/fan_face_room.rs`).
const ROOM_WIDTH: f64 = 4.0;

/// Length behind the grille, bore radii: three diameters, and room for the outlet.
const LENGTH_BEHIND: f64 = 7.0;

/// The same of a picture with resolved rings, whose cells are small.
const RINGS_ROOM: (f64, f64) = (3.0, 4.0);

/// Radii at which the exit profile goes into the inputs of a run.
const PROFILE_POINTS: u32 = 24;

/// How finely and how long a fan view is solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FaceDepth {
    /// Cells per bore radius.
    pub(super) cells: usize,
    /// Relative half-width of the pressure ahead of the grille at which it may stop.
    pub(super) tolerance: f64,
    /// Least and longest time, in bore diameters that the mean flow passes.
    pub(super) times: (f64, f64),
    /// Distance of the side of a room from the axis, and length behind the grille, bore radii.
    pub(super) room: (f64, f64),
}

impl FaceDepth {
    /// The depth of a quality. One thread of a desk computer takes some 2, 10 and 80 seconds.
    pub(super) fn of(quality: Quality) -> Self {
        let (cells, tolerance, times) = match quality {
            Quality::Quick => (16, 0.04, (10.0, 16.0)),
            Quality::Standard => (24, 0.02, (20.0, 30.0)),
            Quality::Overnight => (40, 0.01, (30.0, 45.0)),
        };
        Self {
            cells,
            tolerance,
            times,
            room: (ROOM_WIDTH, LENGTH_BEHIND),
        }
    }

    /// The depth of a picture with resolved rings: some minutes on one thread.
    pub(super) fn of_rings(cells: usize) -> Self {
        Self {
            cells,
            tolerance: 0.02,
            times: (8.0, 12.0),
            room: RINGS_ROOM,
        }
    }

    /// When it may stop.
    pub(super) fn limits(&self) -> DriveLimits {
        DriveLimits {
            tolerance: self.tolerance,
            other_doubts: 0.0,
            least_time: self.times.0,
            longest_time: self.times.1,
        }
    }
}

/// A fan view.
#[derive(Debug, Clone, PartialEq)]
pub struct Face {
    /// The air that leaves the fan, unspread.
    pub(super) exit: FanExit,
    /// Circulation over the mean velocity in the bore and its radius.
    pub(super) swirl: f64,
    /// What was asked for.
    pub(super) view: FanView,
    /// The grille; nothing in it is the bare fan.
    pub(super) grille: FaceGrille,
    /// What its passages are: a zone, real ribs, or rings in the place of holes.
    pub(super) passages: Passages,
    /// Bench plane behind the outside of the grille, m.
    pub(super) bench_distance: f64,
    /// Reynolds number on the mean velocity in the bore and its diameter.
    pub(super) reynolds_number: f64,
    /// Mean velocity in the bore, cells per step.
    pub(super) lattice_velocity: f64,
    /// How finely.
    pub(super) depth: FaceDepth,
}

/// How the grille stands in a fan view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Passages {
    /// There is none.
    Bare,
    /// As a zone that brakes and turns the air.
    Zone,
    /// As the ribs that a ring grille has.
    Ribs,
    /// As rings in the place of holes: a trend.
    RingsForHoles,
}

impl Passages {
    /// How the view is called.
    pub(super) fn view(self) -> View {
        match self {
            Self::Bare | Self::Zone => View::Fan,
            Self::Ribs => View::FanWithRibs,
            Self::RingsForHoles => View::FanWithRings,
        }
    }
}

impl Face {
    /// Radius of the bore, m.
    pub(super) fn bore_radius(&self) -> f64 {
        self.exit.tip_radius()
    }

    /// The bench plane behind the grille, bore diameters.
    pub(super) fn bench_diameters(&self) -> f64 {
        self.bench_distance / (2.0 * self.bore_radius())
    }

    /// Hands the domain to `act`: it borrows the exit profile.
    pub(super) fn with_domain<T>(&self, act: impl FnOnce(&FanFace<'_>) -> T) -> T {
        let bore = self.bore_radius();
        let axial = |radius: f64| self.exit.relative_velocity(radius * bore);
        // Circulation over velocity is a length: the bore's radius times a number.
        let swirl = |radius: f64| self.exit.swirl_velocity(self.swirl * bore, radius * bore);
        act(&FanFace {
            exit: FaceStream {
                hub: self.exit.hub_radius() / bore,
                tip: 1.0,
                axial: &axial,
                swirl: &swirl,
            },
            gap: self.view.gap / bore,
            grille: self.grille.clone(),
            behind: match self.view.behind {
                BehindGrille::Room => Behind::Room {
                    width: self.depth.room.0,
                },
                BehindGrille::Duct => Behind::Duct,
            },
            length_behind: self.depth.room.1,
            reynolds_number: self.reynolds_number,
            face_velocity: LatticeVelocity(self.lattice_velocity),
            cells_per_radius: self.depth.cells,
            has_subgrid: true,
        })
    }

    /// Memory of the populations and of the mean fields, bytes.
    #[expect(
        clippy::redundant_closure_for_method_calls,
        reason = "the method by itself fits one lifetime only"
    )]
    pub(super) fn memory_bytes(&self) -> u64 {
        self.with_domain(|domain| domain.memory_bytes())
    }

    /// Everything that determines its result; `velocity` in the bore and `thickness` in SI units.
    pub(super) fn inputs(&self, study: &Study, velocity: f64, thickness: f64) -> Value {
        let bore = self.bore_radius();
        let profile = (0..PROFILE_POINTS).map(|point| {
            let radius = bore * (f64::from(point) + 0.5) / f64::from(PROFILE_POINTS);
            (1e6 * self.exit.relative_velocity(radius)).round() / 1e6
        });
        let zones = self.grille.zones.iter().map(|zone| {
            json!({
                "from": zone.inner,
                "to": zone.outer,
                "loss_coefficient": zone.loss_coefficient,
                "linear_loss_coefficient": zone.linear_loss_coefficient,
                "kept_tangent": zone.kept_tangent,
                "outflow_tangent": zone.outflow_tangent,
            })
        });
        json!({
            "solver_version": SOLVER_VERSION,
            "view": self.passages.view(),
            "bore_mm": 2e3 * bore,
            "hub_mm": 2e3 * self.exit.hub_radius(),
            "exit_profile": profile.collect::<Vec<f64>>(),
            "swirl": self.swirl,
            "gap_mm": 1e3 * self.view.gap,
            "behind": match self.view.behind {
                BehindGrille::Room => "room",
                BehindGrille::Duct => "duct",
            },
            "thickness_mm": 1e3 * thickness,
            "walls": self.grille.walls,
            "zones": zones.collect::<Vec<Value>>(),
            "bore_velocity_m_per_s": velocity,
            "bench_distance_mm": 1e3 * self.bench_distance,
            "air_density_kg_per_m3": study.air.density,
            "kinematic_viscosity_m2_per_s": study.air.kinematic_viscosity,
            "length_behind": self.depth.room.1,
            "room_width": self.depth.room.0,
            "cells_per_radius": self.depth.cells,
            "lattice_velocity": self.lattice_velocity,
            TOLERANCE: self.depth.tolerance,
            "times": [self.depth.times.0, self.depth.times.1],
        })
    }
}
