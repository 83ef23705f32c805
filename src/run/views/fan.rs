//! The fan view as a run: the whole fan face at the operating point of one grille, or of the bare fan.

use std::io::{self, Read};

use serde_json::{Value, json};

use crate::fan::FanExit;
use crate::lattice::step::Threads;
use crate::measure::attendant::Attendant;
use crate::measure::drive::{DriveLimits, DriveOutcome};
use crate::measure::face::{FaceOutcome, drive_face_from};
use crate::report::run_files::RunRecord;
use crate::result::View;
use crate::run::planned::{Run, SOLVER_VERSION, TOLERANCE};
use crate::run::views::{CellCost, RunView, SolvedView, Steadiness};
use crate::run::views::{fan_files, fan_record};
use crate::store::{StoreError, StudyFolder};
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

/// What its cells cost: the lattice is braked between steps.
const COST: CellCost = CellCost {
    updates_per_second: 6e7,
    field_bytes: 62,
    state_bytes: 14 * 4 + 2 * 5 * 8,
    other_bytes: 400_000,
};

/// How finely and how long a fan view is solved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(in crate::run) struct FaceDepth {
    /// Cells per bore radius.
    pub(in crate::run) cells: usize,
    /// Relative half-width of the pressure ahead of the grille at which it may stop.
    pub(in crate::run) tolerance: f64,
    /// Least and longest time, in bore diameters that the mean flow passes.
    pub(super) times: (f64, f64),
    /// Distance of the side of a room from the axis, and length behind the grille, bore radii.
    pub(super) room: (f64, f64),
}

impl FaceDepth {
    /// The depth of a quality. One thread of a desk computer takes some 2, 10 and 80 seconds.
    pub(in crate::run) fn of(quality: Quality) -> Self {
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
    pub(in crate::run) fn of_rings(cells: usize) -> Self {
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
    pub(in crate::run) exit: FanExit,
    /// Circulation over the mean velocity in the bore and its radius.
    pub(in crate::run) swirl: f64,
    /// What was asked for.
    pub(in crate::run) view: FanView,
    /// The grille; nothing in it is the bare fan.
    pub(in crate::run) grille: FaceGrille,
    /// What its passages are: a zone, real ribs, or rings in the place of holes.
    pub(in crate::run) passages: Passages,
    /// Bench plane behind the outside of the grille, m.
    pub(in crate::run) bench_distance: f64,
    /// Reynolds number on the mean velocity in the bore and its diameter.
    pub(in crate::run) reynolds_number: f64,
    /// Mean velocity in the bore, cells per step.
    pub(in crate::run) lattice_velocity: f64,
    /// How finely.
    pub(in crate::run) depth: FaceDepth,
}

/// How the grille stands in a fan view.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::run) enum Passages {
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
    pub(in crate::run) fn view(self) -> View {
        match self {
            Self::Bare | Self::Zone => View::Fan,
            Self::Ribs => View::FanWithRibs,
            Self::RingsForHoles => View::FanWithRings,
        }
    }
}

impl Face {
    /// Radius of the bore, m.
    pub(in crate::run) fn bore_radius(&self) -> f64 {
        self.exit.tip_radius()
    }

    /// The bench plane behind the grille, bore diameters.
    pub(super) fn bench_diameters(&self) -> f64 {
        self.bench_distance / (2.0 * self.bore_radius())
    }

    /// Hands the domain to `act`: it borrows the exit profile.
    pub(in crate::run) fn with_domain<T>(&self, act: impl FnOnce(&FanFace<'_>) -> T) -> T {
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

    /// Everything that determines its result; `velocity` in the bore and `thickness` in SI units.
    pub(in crate::run) fn inputs(&self, study: &Study, velocity: f64, thickness: f64) -> Value {
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

impl RunView for Face {
    fn name(&self) -> View {
        self.passages.view()
    }

    fn cell_count(&self) -> usize {
        self.with_domain(|domain| domain.layout().cells.cell_count())
    }

    #[expect(
        clippy::redundant_closure_for_method_calls,
        reason = "the method by itself fits one lifetime only"
    )]
    fn memory_bytes(&self) -> u64 {
        self.with_domain(|domain| domain.memory_bytes())
    }

    fn lattice_velocity(&self) -> f64 {
        self.lattice_velocity
    }

    fn halve_lattice_velocity(&mut self) {
        self.lattice_velocity *= 0.5;
    }

    fn pitch(&self) -> f64 {
        2.0 * self.depth.cells as f64
    }

    /// A jet into a room is not steady: most go on to the end.
    fn expected_pitch_times(&self, _: bool) -> f64 {
        self.depth.times.1
    }

    fn cost(&self) -> CellCost {
        COST
    }

    fn file_names(&self) -> &'static [&'static str] {
        &["history.csv", "mean.vti", "last.vti", "picture.png"]
    }

    /// Its depth says how steady it has to be.
    fn solve(
        &self,
        _: Steadiness,
        threads: Threads,
        from: Option<&mut dyn Read>,
        attendant: &mut dyn Attendant,
    ) -> io::Result<Option<Box<dyn SolvedView>>> {
        let limits = self.depth.limits();
        let outcome =
            self.with_domain(|domain| drive_face_from(domain, &limits, threads, from, attendant))?;
        Ok(outcome.map(|outcome| {
            let face = self.clone();
            Box::new(SolvedFace { face, outcome }) as Box<dyn SolvedView>
        }))
    }
}

/// A fan view with what came out of it.
struct SolvedFace {
    face: Face,
    outcome: FaceOutcome,
}

impl SolvedView for SolvedFace {
    fn drive(&self) -> &DriveOutcome {
        &self.outcome.drive
    }

    fn record(&self, run: &Run, elapsed: f64) -> RunRecord {
        fan_record::record(run, &self.face, &self.outcome, elapsed)
    }

    fn write_fields(
        &self,
        folder: &StudyFolder,
        run: &Run,
        record: &RunRecord,
    ) -> Result<(), StoreError> {
        fan_files::write(folder, run, &self.face, &self.outcome, record)
    }
}
