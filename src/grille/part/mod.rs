//! The whole grille as a body, as it is to be printed: which points are plastic, and the walls of its openings.
//!
//! Coordinates are (depth, y, z) as in [`crate::grille::RepeatSolid`], about the fan axis; lengths in m.
//! Holes move and turn by [`crate::grille::Turn`] and widen by the edges as they do in a repeat, so a view and a part have one geometry.
//! A hole that is cut off at an edge of its zone has its edges along the cut as well: it is what the widened hole and the widened zone share.

mod arcs;
mod body;
mod fault;
mod hole_rings;
mod levels;
mod sector;

use std::f64::consts::TAU;

pub use body::GrilleBody;
pub use fault::PartFault;

use crate::grille::bars::Bars;
use crate::grille::part::hole_rings::HoleRings;
use crate::grille::part::levels::{Level, Plate};
use crate::grille::part::sector::BarredRing;
use crate::grille::room::{Ring, Room};
use crate::grille::turning::PlacedHole;
use crate::grille::{CutOut, Grille, HolePattern, Pattern, Zone};

/// Least width of plastic that edges of neighbouring openings leave between them on a face, m: where they meet in a line there would be no face to print.
const LEAST_LAND: f64 = 1e-5;

/// The outline of an opening at one depth.
#[derive(Debug, Clone, PartialEq)]
pub struct WallRing {
    /// From the front face, m.
    pub depth: f64,
    /// Points (y, z), counter-clockwise and not closed, m; equal points follow each other where an edge ends at a corner.
    pub points: Vec<[f64; 2]>,
}

/// What the wall of an opening may meet on its way through the plate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Meets {
    /// Nothing.
    Nothing,
    /// Walls of other openings.
    Others,
    /// The edge of its zone, which cuts it off, and perhaps other openings; the number is that of the zone, from 0.
    Zone(usize),
}

/// The wall of one opening from face to face.
#[derive(Debug, Clone, PartialEq)]
pub struct OpeningWall {
    /// Its outlines from the front face to the back face, all with the same number of points: a point goes on to the one with its number.
    pub rings: Vec<WallRing>,
    /// What it may meet.
    pub meets: Meets,
}

/// The edge of a zone as walls that cut holes off.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneWalls {
    /// Outer wall.
    pub outer: Vec<WallRing>,
    /// Inner wall, if the zone does not reach to the middle.
    pub inner: Option<Vec<WallRing>>,
}

/// Everything that bounds a part.
#[derive(Debug, Clone, PartialEq)]
pub struct PartWalls {
    /// Outline of the plate, counter-clockwise, m.
    pub plate: Vec<[f64; 2]>,
    /// Thickness, m.
    pub thickness: f64,
    /// All openings.
    pub openings: Vec<OpeningWall>,
    /// The edges of all zones.
    pub zones: Vec<ZoneWalls>,
}

impl Grille {
    /// The walls of the part, curved ones within `tolerance` and all moved into the plastic by `offset` (m; negative: out of it).
    ///
    /// # Errors
    /// [`PartFault`]: what falls apart or breaks out by its drawing alone. A grille that [`Grille::resolve`] refuses has no walls.
    pub fn part_walls(&self, tolerance: f64, offset: f64) -> Result<PartWalls, PartFault> {
        if !self.faults().is_empty() {
            return Err(PartFault::Refused);
        }
        let plate = Plate {
            thickness: self.thickness,
            front_edge: self.front_edge,
            back_edge: self.back_edge,
            tolerance,
            offset,
        };
        let edge = self.front_edge.size().max(self.back_edge.size());
        let (mut openings, mut zones) = (Vec::new(), Vec::new());
        for (number, zone) in self.zones.iter().enumerate() {
            let before = openings.len();
            match &zone.pattern {
                Pattern::Holes(pattern) => {
                    if !pattern.merging_accepted {
                        check_land(number, pattern.rib, offset)?;
                    }
                    self.hole_walls(number, pattern, &plate, edge, &mut openings);
                }
                Pattern::Rings(_) | Pattern::Bars(_) => {
                    let meets = self.meets_at_edges();
                    for ring in self.barred_rings(number, zone)? {
                        let widest = 0.5 * (ring.bars.width - LEAST_LAND) - offset;
                        check_land(number, ring.bars.width, offset)?;
                        let walls = ring.walls(&plate, widest).into_iter();
                        openings.extend(walls.map(|rings| OpeningWall { rings, meets }));
                    }
                }
            }
            if openings.len() > before && self.border <= edge + offset.max(0.0) + LEAST_LAND {
                self.check_frame(number, edge + offset, &openings[before..])?;
            }
            zones.push(Self::zone_walls(self.room(zone), &plate));
        }
        let plate_outline = match self.cut_out {
            CutOut::Bore { diameter } => {
                let radius = 0.5 * diameter;
                arcs::circle(radius, arcs::piece_count(radius, TAU, tolerance))
            }
            CutOut::Vent { width, height } => rectangle([0.5 * width, 0.5 * height]),
        };
        Ok(PartWalls {
            plate: plate_outline,
            thickness: self.thickness,
            openings,
            zones,
        })
    }

    fn hole_walls(
        &self,
        number: usize,
        pattern: &HolePattern,
        plate: &Plate,
        edge: f64,
        openings: &mut Vec<OpeningWall>,
    ) {
        let room = self.room(&self.zones[number]);
        let Some(placement) = self.placement(pattern, room) else {
            return;
        };
        let rings = HoleRings::new(pattern, plate, edge, room.outer());
        let widest = if pattern.merging_accepted {
            f64::INFINITY
        } else {
            0.5 * (pattern.rib - LEAST_LAND) - plate.offset
        };
        let levels = plate.levels(rings.turning_steps, widest);
        // Walls that stand closer than the tolerance meet as polygons.
        let margin = edge + plate.offset.max(0.0) + 2.0 * plate.tolerance;
        let reach = pattern.shape.circumradius() + margin;
        for hole in &placement.whole {
            let meets = if pattern.merging_accepted || self.is_at_edge(pattern, hole, room, reach) {
                Meets::Others
            } else {
                Meets::Nothing
            };
            let rings = rings.wall(hole, &levels);
            openings.push(OpeningWall { rings, meets });
        }
        for hole in &placement.cut {
            openings.push(OpeningWall {
                rings: rings.wall(hole, &levels),
                meets: Meets::Zone(number),
            });
        }
    }

    /// Whether a hole may meet openings of a neighbouring zone.
    fn is_at_edge(&self, pattern: &HolePattern, hole: &PlacedHole, room: Room, reach: f64) -> bool {
        let Room::Ring(ring) = room else {
            return false;
        };
        self.zones.len() > 1
            && [0.0, 0.5, 1.0].into_iter().any(|depth| {
                let (centre, _) = pattern.turn.pose(hole, self.thickness, depth);
                let radius = centre[0].hypot(centre[1]);
                radius + reach > ring.outer || radius - reach < ring.inner
            })
    }

    /// What slots along the edge of a zone meet.
    fn meets_at_edges(&self) -> Meets {
        if self.zones.len() > 1 {
            Meets::Others
        } else {
            Meets::Nothing
        }
    }

    /// The rings between whose bars a zone is open.
    fn barred_rings(&self, number: usize, zone: &Zone) -> Result<Vec<BarredRing>, PartFault> {
        let room = self.ring(zone);
        let (rings, bars, turn) = match &zone.pattern {
            Pattern::Holes(_) => return Ok(Vec::new()),
            Pattern::Rings(pattern) => (
                pattern.slots(room, self.crossing_holes),
                Bars::from(pattern),
                pattern.turn,
            ),
            Pattern::Bars(pattern) => (vec![room], Bars::from(pattern), pattern.turn),
        };
        if bars.count == 0 && !rings.is_empty() {
            return Err(PartFault::NoSpokes { zone: number + 1 });
        }
        let ring = |ring: Ring| BarredRing { ring, bars, turn };
        Ok(rings.into_iter().map(ring).collect())
    }

    /// An opening may not reach the outline of the plate.
    fn check_frame(
        &self,
        number: usize,
        edge: f64,
        openings: &[OpeningWall],
    ) -> Result<(), PartFault> {
        let fault = PartFault::ThroughFrame {
            zone: number + 1,
            border: self.border,
            edge,
        };
        let is_out = |place: &[f64; 2]| match self.cut_out {
            CutOut::Bore { diameter } => place[0].hypot(place[1]) > 0.5 * diameter - LEAST_LAND,
            CutOut::Vent { width, height } => {
                place[0].abs() > 0.5 * width - LEAST_LAND
                    || place[1].abs() > 0.5 * height - LEAST_LAND
            }
        };
        let mut rings = openings.iter().flat_map(|opening| &opening.rings);
        if rings.any(|ring| ring.points.iter().any(is_out)) {
            return Err(fault);
        }
        Ok(())
    }

    fn zone_walls(room: Room, plate: &Plate) -> ZoneWalls {
        let levels = plate.levels(1, f64::INFINITY);
        let wall = |outline: &dyn Fn(f64) -> Vec<[f64; 2]>| {
            let ring = |level: &Level| WallRing {
                depth: level.depth,
                points: outline(level.opening),
            };
            levels.iter().map(ring).collect()
        };
        match room {
            Room::Ring(ring) => {
                let pieces = [ring.outer, ring.inner]
                    .map(|r| arcs::piece_count(r, TAU, 0.5 * plate.tolerance));
                ZoneWalls {
                    outer: wall(&|opening| {
                        arcs::circle(ring.outer + plate.offset + opening, pieces[0])
                    }),
                    inner: (ring.inner > 0.0).then(|| {
                        wall(&|opening| {
                            arcs::circle((ring.inner - plate.offset - opening).max(1e-6), pieces[1])
                        })
                    }),
                }
            }
            Room::Rectangle { half } => ZoneWalls {
                outer: wall(&|opening| rectangle(half.map(|half| half + plate.offset + opening))),
                inner: None,
            },
        }
    }
}

/// Walls that are moved towards each other have to leave something of the rib between them.
fn check_land(number: usize, rib: f64, offset: f64) -> Result<(), PartFault> {
    if rib - 2.0 * offset > LEAST_LAND {
        return Ok(());
    }
    Err(PartFault::NoRibLeft {
        zone: number + 1,
        rib,
        moved: 2.0 * offset,
    })
}

/// The corners of a rectangle about the middle, counter-clockwise.
fn rectangle([y, z]: [f64; 2]) -> Vec<[f64; 2]> {
    vec![[-y, -z], [y, -z], [y, z], [-y, z]]
}
