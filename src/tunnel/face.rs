//! The fan view: the whole fan face downstream of the fan's exit, axisymmetric with swirl: gap, grille, then a duct of the bore's radius or an open room.
//!
//! Nothing turns here: the air comes in with the axial velocity and the swirl that the fan leaves in it. A grille is a momentum zone by radius ([`FaceZone`]) or rings of real ribs ([`FaceGrille::walls`]);
//! rings may stand in for the holes of a pattern, which makes a picture and a trend.
//! An eddy viscosity of one's own enters as a lower Reynolds number, without the subgrid model.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "lengths become counts of cells, states single precision"
)]

use std::io::{self, Read, Write};

use crate::lattice::collision::Fluid;
use crate::lattice::field::{Extent, Populations};
use crate::lattice::free_side::FreeSide;
use crate::lattice::halo::Side;
use crate::lattice::simulation::CellState;
use crate::lattice::step::Threads;
use crate::lattice::swirl::{PlaneFlux, SwirlLattice, SwirlSetup};
use crate::lattice::velocity_set::D2Q9Swirl;
use crate::lattice::zone::{MomentumZone, ZoneForce, ZoneLaw};
use crate::tunnel::face_walls::FaceWalls;
use crate::units::{LatticeVelocity, LatticeViscosity};

/// A number at a radius (over the bore's).
pub type OverRadius<'a> = &'a (dyn Fn(f64) -> f64 + Sync);

/// Memory of the mean fields of a fan face, bytes per cell: five sums, twice, and the fields made of them.
const FIELD_BYTES_PER_CELL: u64 = 8 * 10 + 4 * 5;

/// What leaves the fan, over the radius; radii in bore radii.
#[derive(Clone, Copy)]
pub struct FaceStream<'a> {
    /// Radius of the hub, a wall.
    pub hub: f64,
    /// Radius up to which the air comes; a wall from there to the bore.
    pub tip: f64,
    /// Axial velocity, in any unit: it is scaled to the flow.
    pub axial: OverRadius<'a>,
    /// Swirl velocity over the mean axial velocity in the bore; positive turns right-handed along the flow.
    pub swirl: OverRadius<'a>,
}

/// A part of the grille between two radii whose passages are too small to be resolved.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceZone {
    /// Inner radius, in bore radii.
    pub inner: f64,
    /// Outer radius.
    pub outer: f64,
    /// Loss coefficient on the velocity through the zone: the part that stays the same.
    pub loss_coefficient: f64,
    /// The part that falls with the velocity, as it is at the mean velocity in the bore.
    pub linear_loss_coefficient: f64,
    /// Share of the swirl's tangent that is left behind the zone.
    pub kept_tangent: f64,
    /// What is added to it: the tangent of the outflow angle if nothing is kept.
    pub outflow_tangent: f64,
    /// Tangent of the lean of the walls, if the loss coefficient leaves out the axial force that goes with the turning; otherwise 0.
    pub lean_tangent: f64,
}

/// A grille across the bore; nothing in it is a bare fan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct FaceGrille {
    /// Thickness, in bore radii. With zones it becomes a whole number of cells, which leaves their loss as it is.
    pub thickness: f64,
    /// Solid from radius to radius (in bore radii): border, centre disc, ribs of rings.
    pub walls: Vec<[f64; 2]>,
    /// Passages. Where there is neither wall nor zone the grille is open.
    pub zones: Vec<FaceZone>,
}

/// What the air comes into behind the grille.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Behind {
    /// A duct that goes on with the bore's radius.
    Duct,
    /// A room at rest behind a wall flush with the back of the grille, from which the jet draws air through a side this many bore radii off the axis.
    Room {
        /// Distance of the side.
        width: f64,
    },
}

/// A fan face with all lengths in bore radii.
#[derive(Clone)]
pub struct FanFace<'a> {
    /// What the fan blows.
    pub exit: FaceStream<'a>,
    /// Distance from there to the grille.
    pub gap: f64,
    /// The grille.
    pub grille: FaceGrille,
    /// What lies behind it.
    pub behind: Behind,
    /// Length behind the grille.
    pub length_behind: f64,
    /// Reynolds number on the mean axial velocity in the bore and its diameter.
    pub reynolds_number: f64,
    /// Mean axial velocity in the bore.
    pub face_velocity: LatticeVelocity,
    /// Cells per bore radius.
    pub cells_per_radius: usize,
    /// Whether the subgrid model is on.
    pub has_subgrid: bool,
}

/// The fan face in cells.
#[derive(Debug, Clone, PartialEq)]
pub struct FaceLayout {
    /// Number of cells.
    pub cells: Extent,
    /// Bore radius.
    pub bore: usize,
    /// First column of the grille.
    pub front: usize,
    /// First column behind it.
    pub rear: usize,
    /// Viscosity.
    pub viscosity: LatticeViscosity,
    /// Columns just ahead of the grille where pressures are read: first and one past the last.
    pub ahead: (usize, usize),
    /// Columns just behind it.
    pub just_behind: (usize, usize),
    /// The last column, where the books are closed: walls beyond it would be counted.
    pub far: usize,
}

/// A fan face that runs.
#[derive(Debug, Clone)]
pub struct FaceFlow {
    /// The lattice.
    pub lattice: SwirlLattice,
    zones: Vec<MomentumZone>,
    side: Option<FreeSide>,
}

impl FaceFlow {
    /// Advances by pairs of steps, with the zones and the free side.
    pub fn step_pairs(&mut self, count: usize) {
        if self.zones.is_empty() && self.side.is_none() {
            self.lattice.step_pairs(count);
            return;
        }
        for _ in 0..2 * count {
            self.lattice.step();
            for zone in &mut self.zones {
                zone.apply(&mut self.lattice);
            }
            if let Some(side) = &mut self.side {
                side.apply(&mut self.lattice);
            }
        }
    }

    /// Writes the state, after pairs of steps.
    ///
    /// # Errors
    /// What `out` gives.
    pub fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.lattice.save(out)?;
        for zone in &self.zones {
            zone.save(out)?;
        }
        self.side.as_ref().map_or(Ok(()), |side| side.save(out))
    }

    /// Reads a state into a face that was built as the one that wrote it. After an error the state is undefined.
    ///
    /// # Errors
    /// What `from` gives; that the state is too short or of another face.
    pub fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.lattice.restore(from)?;
        for zone in &mut self.zones {
            zone.restore(from)?;
        }
        self.side.as_mut().map_or(Ok(()), |side| side.restore(from))
    }

    /// Force on all of the grille, walls and passages, mean of the last two steps.
    pub fn grille_force(&self) -> ZoneForce {
        let [axial, _, torque] = self.lattice.wall_force().body;
        let zones = self.zones.iter().map(MomentumZone::force);
        zones.fold(ZoneForce { axial, torque }, |sum, force| ZoneForce {
            axial: sum.axial + force.axial,
            torque: sum.torque + force.torque,
        })
    }

    /// What came in through the side of the room ahead of the far column, mean of the last two steps.
    pub fn side_gain(&self) -> PlaneFlux {
        self.side
            .as_ref()
            .map_or(PlaneFlux::default(), FreeSide::gained)
    }
}

impl<'a> FanFace<'a> {
    /// The same face without its grille: the bare fan, with the bore as long as before.
    #[must_use]
    pub fn bare(&self) -> FanFace<'a> {
        FanFace {
            grille: FaceGrille {
                thickness: self.grille.thickness,
                ..FaceGrille::default()
            },
            ..self.clone()
        }
    }

    /// The domain in cells.
    pub fn layout(&self) -> FaceLayout {
        let bore = self.cells_per_radius.max(4);
        let cells = |length: f64| (length * bore as f64).round() as usize;
        let gap = cells(self.gap).max(4);
        let thickness = if self.grille.zones.is_empty() {
            (self.grille.thickness * bore as f64).ceil() as usize
        } else {
            cells(self.grille.thickness).max(1)
        };
        let rear = gap + thickness;
        let room = cells(self.length_behind).max(bore / 2 + 8);
        let rows = match self.behind {
            Behind::Duct => bore,
            Behind::Room { width } => cells(width).max(bore + 8),
        };
        let distance = (bore / 16).max(1);
        FaceLayout {
            cells: Extent::planar(rear + room, rows),
            bore,
            front: gap,
            rear,
            viscosity: LatticeViscosity(
                2.0 * bore as f64 * self.face_velocity.0 / self.reynolds_number,
            ),
            ahead: (gap - gap.div_ceil(2), gap - (gap / 4).max(1)),
            just_behind: (rear + distance, rear + 2 * distance),
            far: rear + room - 1,
        }
    }

    /// Memory of the populations and of the mean fields, bytes.
    pub fn memory_bytes(&self) -> u64 {
        let per_cell = Populations::<D2Q9Swirl, 14>::BYTES_PER_CELL + FIELD_BYTES_PER_CELL;
        self.layout().cells.cell_count() as u64 * per_cell
    }

    /// Steps in which the mean flow passes one bore diameter: the unit of time of a run.
    pub fn steps_per_diameter(&self) -> f64 {
        2.0 * self.layout().bore as f64 / self.face_velocity.0
    }

    /// Builds it, with a jet as wide as the bore to begin with.
    pub fn build(&self, threads: Threads) -> (FaceFlow, FaceLayout) {
        let layout = self.layout();
        let walls = FaceWalls::new(self, &layout);
        let mut fluid = Fluid::new(layout.viscosity);
        if self.has_subgrid {
            fluid = fluid.with_subgrid();
        }
        let area_ratio = (layout.bore as f64 / layout.cells.ny as f64).powi(2);
        let setup = SwirlSetup {
            extent: layout.cells,
            fluid,
            along: Side::Open,
            outside: match self.behind {
                Behind::Duct => Side::Open,
                Behind::Room { .. } => Side::Mirror,
            },
            geometry: &walls,
            outlet_velocity: Some(self.face_velocity.0 * area_ratio),
            threads,
        };
        let jet = |y: usize| {
            if y < layout.bore {
                self.face_velocity.0
            } else {
                0.0
            }
        };
        let mut lattice = SwirlLattice::new(&setup, |_, y| CellState {
            density: 0.0,
            velocity: [jet(y) as f32, 0.0, 0.0],
        });
        lattice.expect_jet_at_outlet(jet);
        let columns = layout.front..layout.rear;
        let zones = self.grille.zones.iter().map(|zone| {
            let law = zone.law(self.face_velocity.0);
            let is_in = |radius: f64| {
                let radius = radius / layout.bore as f64;
                (zone.inner..zone.outer).contains(&radius)
            };
            MomentumZone::new(&lattice, columns.clone(), |r| is_in(r).then_some(law))
        });
        let zones = zones.collect();
        let side = match self.behind {
            Behind::Duct => None,
            Behind::Room { .. } => Some(FreeSide::new(layout.rear..layout.cells.nx, layout.far)),
        };
        let flow = FaceFlow {
            lattice,
            zones,
            side,
        };
        (flow, layout)
    }
}

impl FaceZone {
    /// The law in lattice units.
    fn law(&self, face_velocity: f64) -> ZoneLaw {
        ZoneLaw {
            linear: 0.5 * self.linear_loss_coefficient * face_velocity,
            quadratic: 0.5 * self.loss_coefficient,
            kept: self.kept_tangent,
            tangent: self.outflow_tangent,
            lean_tangent: self.lean_tangent,
        }
    }
}
