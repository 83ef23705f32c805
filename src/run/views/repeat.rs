//! The repeat view: one repeat of the true holes of a zone, in three dimensions.

use std::io::{self, Read};

use crate::grille::{Edge, Outline, RepeatSolid};
use crate::lattice::step::Threads;
use crate::measure::attendant::Attendant;
use crate::measure::drive::{DriveLimits, DriveOutcome};
use crate::measure::hole_swirl::torque_coefficients;
use crate::measure::repeat::{FIELD_BYTES_PER_CELL, RepeatOutcome, drive_repeat_from};
use crate::report::run_files::RunRecord;
use crate::result::{ObliqueFlow, View};
use crate::run::planned::Run;
use crate::run::views::plate_record::Plate;
use crate::run::views::{CellCost, RunView, SolvedView, Steadiness, repeat_files};
use crate::store::{StoreError, StudyFolder};
use crate::tunnel::{Opening, RepeatDomain};

/// Least and longest time after the head start, in pitch-times.
pub(in crate::run) const TIMES: (f64, f64) = (4.0, 40.0);

/// Head start on half as many cells, in pitch-times: K is then within 1 % of its mean after the first pitch-time on the fine grid (`tests/validation/head_start.rs`).
pub(in crate::run) const HEAD_START: f64 = 5.0;

/// Fewest cells across the least rib on the coarsest grid, as far as half as many cells again bring it about.
pub(in crate::run) const FEWEST_RIB_CELLS: f64 = 4.0;

/// Pitch-times of a repeat, two looks in a row included, that is met along its walls.
const LEAST: f64 = 5.5;

/// Further ones for every degree beyond [`HARMLESS_DEG`] between the air and the walls of the holes.
const PER_DEGREE: f64 = 0.1;

/// Angle, degrees, between the air and the walls up to which K settles as fast as along them.
const HARMLESS_DEG: f64 = 25.0;

/// How many times longer a repeat goes on whose end is not weighed against what else hides its K: geometric mean of nine of the demo and the like, run to 1.5 %.
const UNWEIGHED: f64 = 1.7;

/// Head start over the same time on the grid itself: half as many cells each way, half as many steps.
const COARSE_WORK: f64 = 1.0 / 16.0;

/// What its cells cost.
pub(in crate::run) const COST: CellCost = CellCost {
    updates_per_second: 9e7,
    field_bytes: 94,
    state_bytes: 19 * 4 + 2 * 7 * 4,
    other_bytes: 600_000,
};

/// One repeat of the pattern of a zone.
#[derive(Debug, Clone, PartialEq)]
pub struct Repeat {
    /// The body, as drawn: its depth counts from the front face.
    pub solid: RepeatSolid,
    /// Edges of the front and the back face.
    pub edges: [Edge; 2],
    /// Whether the air meets the back face first.
    pub is_reversed: bool,
    /// Hydraulic diameter of a hole, m: the unit of length of the domain.
    pub hydraulic_diameter: f64,
    /// Least rib over the whole thickness, m; negative where holes run into each other.
    pub least_rib: f64,
    /// The domain.
    pub domain: RepeatDomain,
}

impl Repeat {
    /// Whether there is solid at a place as the air meets it: depth below the face that it meets first, y with the fan's rotation, z; in hydraulic diameters.
    ///
    /// A body that the air meets from behind is turned by half a turn about z: the depth counts from the other face and y the other way. That keeps the hand
    /// of every twist, keeps +z pointing to the fan's axis, and keeps a positive lean what it is, a movement with the fan's rotation *followed along the flow*:
    ///
    /// ```text
    /// y' = -y = -tan(lean) (depth - t/2) = tan(lean) (depth' - t/2)      depth' = t - depth
    /// ```
    pub fn is_solid(&self, [depth, y, z]: [f64; 3]) -> bool {
        let [depth, y, z] = [depth, y, z].map(|length| length * self.hydraulic_diameter);
        if self.is_reversed {
            // The last face is asked for with rounding; it belongs to the plate.
            let thickness = self.solid.thickness();
            self.solid
                .is_solid((thickness - depth).clamp(0.0, thickness), -y, z)
        } else {
            self.solid
                .is_solid(depth.clamp(0.0, self.solid.thickness()), y, z)
        }
    }

    /// The openings at a depth below the face that the air meets first, as [`Repeat::is_solid`] sees them; in hydraulic diameters.
    pub fn openings(&self, depth: f64) -> Vec<Opening> {
        let thickness = self.solid.thickness();
        let depth = (depth * self.hydraulic_diameter).clamp(0.0, thickness);
        let drawn = if self.is_reversed {
            self.solid.outlines_at(thickness - depth)
        } else {
            self.solid.outlines_at(depth)
        };
        let opening = |outline: Outline| {
            let mut corners = outline.core;
            if self.is_reversed {
                // Seen in a mirror a polygon runs the other way.
                corners.reverse();
                for corner in &mut corners {
                    corner[0] *= -1.0;
                }
            }
            let per_diameter = 1.0 / self.hydraulic_diameter;
            let corners = corners
                .into_iter()
                .map(|corner| corner.map(|length| length * per_diameter));
            Opening::new(corners.collect(), outline.radius * per_diameter)
        };
        drawn.into_iter().map(opening).collect()
    }
}

impl RunView for Repeat {
    fn name(&self) -> View {
        View::Repeat
    }

    fn cell_count(&self) -> usize {
        self.domain.layout().cells.cell_count()
    }

    fn memory_bytes(&self) -> u64 {
        self.domain.memory_bytes() + FIELD_BYTES_PER_CELL * self.cell_count() as u64
    }

    fn lattice_velocity(&self) -> f64 {
        self.domain.face_velocity.0
    }

    fn halve_lattice_velocity(&mut self) {
        self.domain.face_velocity.0 *= 0.5;
    }

    fn pitch(&self) -> f64 {
        self.domain.layout().pitch
    }

    fn expected_pitch_times(&self, is_weighed: bool) -> f64 {
        let [lean, inflow] = [self.solid.lean_slope(), self.domain.inflow_tangents[0]];
        let weighed = pitch_times((inflow.atan() - lean.atan()).to_degrees());
        let own = if is_weighed {
            weighed
        } else {
            UNWEIGHED * weighed
        };
        own + COARSE_WORK * HEAD_START
    }

    fn cost(&self) -> CellCost {
        COST
    }

    fn file_names(&self) -> &'static [&'static str] {
        &[
            "history.csv",
            "mean.vti",
            "last.vti",
            "picture.png",
            "plate.vtp",
            "swirl.csv",
        ]
    }

    fn solve(
        &self,
        steadiness: Steadiness,
        threads: Threads,
        from: Option<&mut dyn Read>,
        attendant: &mut dyn Attendant,
    ) -> io::Result<Option<Box<dyn SolvedView>>> {
        let limits = DriveLimits {
            tolerance: steadiness.tolerance,
            other_doubts: steadiness.other_doubts,
            least_time: TIMES.0,
            longest_time: TIMES.1,
        };
        let is_solid = |place: [f64; 3]| self.is_solid(place);
        let outcome =
            drive_repeat_from(&self.domain, &is_solid, &limits, &threads, from, attendant)?;
        Ok(outcome.map(|outcome| {
            let repeat = self.clone();
            Box::new(SolvedRepeat { repeat, outcome }) as Box<dyn SolvedView>
        }))
    }
}

/// A repeat with what came out of it.
struct SolvedRepeat {
    repeat: Repeat,
    outcome: RepeatOutcome,
}

impl SolvedRepeat {
    /// What air that comes in or goes out at an angle adds; a run that blew up has none.
    fn oblique(&self) -> Option<ObliqueFlow> {
        let outcome = &self.outcome;
        let torques = torque_coefficients(outcome, &self.repeat.hole_axes());
        let degrees = |tangent: f64| tangent.atan().to_degrees();
        let torque = torques.iter().sum::<f64>() / torques.len().max(1) as f64;
        let inflow = self.repeat.domain.inflow_tangents;
        let outflow = outcome.outflow_tangents;
        let side = outcome.side_force;
        let mut all = [inflow, outflow, side].into_iter().flatten();
        let is_finite =
            all.all(f64::is_finite) && (outcome.total_loss_coefficient + torque).is_finite();
        is_finite.then(|| ObliqueFlow {
            total_loss_coefficient: outcome.total_loss_coefficient,
            inflow_angle_deg: degrees(inflow[0]),
            outflow_angle_deg: degrees(outflow[0]),
            outflow_cross_angle_deg: degrees(outflow[1]),
            side_force_coefficients: side,
            torque_coefficient: torque,
        })
    }
}

impl SolvedView for SolvedRepeat {
    fn drive(&self) -> &DriveOutcome {
        &self.outcome.drive
    }

    fn record(&self, run: &Run, elapsed: f64) -> RunRecord {
        let domain = &self.repeat.domain;
        let cells = self.outcome.layout.cells_across_hole;
        let rib = self.repeat.least_rib / self.repeat.hydraulic_diameter;
        let plate = Plate {
            drive: &self.outcome.drive,
            oblique: self.oblique(),
            cells_across: cells,
            // Holes that run into each other have no rib to be resolved.
            narrowest: if rib > 0.0 {
                rib.min(1.0) * cells
            } else {
                cells
            },
            narrowest_wanted: FEWEST_RIB_CELLS,
            free_area_ratio: domain.free_area_ratio,
            room: [domain.pitches_ahead, domain.pitches_behind],
            doubt: None,
        };
        plate.record(run, elapsed)
    }

    fn write_fields(
        &self,
        folder: &StudyFolder,
        run: &Run,
        record: &RunRecord,
    ) -> Result<(), StoreError> {
        repeat_files::write(folder, run, &self.repeat, &self.outcome, record)
    }
}

/// The same of holes that the air meets at this angle to their walls, degrees, where its end is weighed against what else hides K. Twist, shape and free-area
/// ratio make no difference that could be told.
pub(in crate::run) fn pitch_times(against_deg: f64) -> f64 {
    LEAST + PER_DEGREE * (against_deg.abs() - HARMLESS_DEG).max(0.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::grille::{CountedFrom, Hands, HolePattern, HoleShape, Layout, Turn};
    use crate::units::LatticeVelocity;

    /// A repeat on about so many cells across its hole; `None` where the layout does not suit the shape.
    fn repeat(pattern: &HolePattern, edges: [Edge; 2], is_reversed: bool) -> Option<Repeat> {
        let solid = RepeatSolid::of(pattern, 0.004, edges[0], edges[1], 0.03).ok()?;
        let hydraulic_diameter = pattern.shape.hydraulic_diameter();
        let domain = RepeatDomain {
            extent: solid.extent().map(|width| width / hydraulic_diameter),
            pitch: 1.5,
            thickness: 0.004 / hydraulic_diameter,
            free_area_ratio: solid.free_area_ratio(),
            reynolds_number: 500.0,
            inflow_tangents: [0.0; 2],
            cells_across_hole: 6.3,
            face_velocity: LatticeVelocity(0.03),
            pitches_ahead: 1.0,
            pitches_behind: 2.0,
            has_subgrid: false,
            shift: [0.0; 3],
            head_start: 0.0,
        };
        Some(Repeat {
            solid,
            edges,
            is_reversed,
            hydraulic_diameter,
            least_rib: 0.001,
            domain,
        })
    }

    #[test]
    fn a_repeat_is_laid_on_the_same_grid_by_its_outlines_as_cell_by_cell() {
        let turns = [
            Turn::Straight,
            Turn::Lean { angle: 0.4 },
            Turn::PatternTwist { angle: 0.1 },
            Turn::Twist {
                angle: 0.5,
                counted_from: CountedFrom::MidDepth,
                hands: Hands::Alternate,
            },
        ];
        let sharp = [Edge::Sharp; 2];
        let worked = [Edge::Rounded(0.0004), Edge::Chamfered(0.0003)];
        let mut count = 0;
        for shape in HoleShape::one_of_each(0.004, 0.003) {
            for layout in [Layout::Square, Layout::Staggered] {
                for (turn, edges) in turns
                    .iter()
                    .flat_map(|turn| [(turn, sharp), (turn, worked)])
                {
                    let pattern = HolePattern {
                        shape,
                        layout,
                        rib: 0.0018,
                        turn: *turn,
                        merging_accepted: true,
                    };
                    for is_reversed in [false, true] {
                        let Some(repeat) = repeat(&pattern, edges, is_reversed) else {
                            continue;
                        };
                        let solid = |place: [f64; 3]| repeat.is_solid(place);
                        let plain = repeat.domain.fitted(&solid);
                        let fast = repeat
                            .domain
                            .fitted_to(&solid, &|depth| repeat.openings(depth));
                        assert_eq!(fast, plain, "{pattern:?} {edges:?} {is_reversed}");
                        count += 1;
                    }
                }
            }
        }
        assert!(count > 100, "{count}");
    }
}
