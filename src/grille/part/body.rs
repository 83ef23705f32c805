//! Which points of a grille are plastic.

use std::collections::HashMap;

use crate::grille::part::LEAST_LAND;
use crate::grille::part::sector::BarredRing;
use crate::grille::placement::Placement;
use crate::grille::room::Room;
use crate::grille::solid::{Core, Rim};
use crate::grille::turning::PlacedHole;
use crate::grille::{CutOut, Grille, HolePattern, Pattern, Turn, convex};

/// A whole grille as a body, for questions about many points.
#[derive(Debug)]
pub struct GrilleBody<'a> {
    grille: &'a Grille,
    zones: Vec<ZoneBody<'a>>,
}

#[derive(Debug)]
enum ZoneBody<'a> {
    Holes(HolesBody<'a>),
    Bars(Vec<BarredRing>),
}

#[derive(Debug)]
struct HolesBody<'a> {
    pattern: &'a HolePattern,
    core: Core,
    radius: f64,
    room: Room,
    widest: f64,
    /// Holes with whether the room cuts them, by squares of the face that they may reach into.
    holes: HashMap<[i64; 2], Vec<(PlacedHole, bool)>>,
    square: f64,
}

impl Grille {
    /// The grille as a body; a grille that [`Grille::resolve`] refuses is a plate without openings.
    pub fn body(&self) -> GrilleBody<'_> {
        let is_sound = self.faults().is_empty();
        let zones = self.zones.iter().enumerate().filter(|_| is_sound);
        let body =
            |(number, zone): (usize, &'_ crate::grille::Zone)| match &self.zones[number].pattern {
                Pattern::Holes(pattern) => {
                    let room = self.room(zone);
                    let placement = self.placement(pattern, room)?;
                    Some(ZoneBody::Holes(self.holes_body(pattern, room, &placement)))
                }
                Pattern::Rings(_) | Pattern::Bars(_) => {
                    let rings = self.barred_rings(number, zone).unwrap_or_default();
                    Some(ZoneBody::Bars(rings))
                }
            };
        GrilleBody {
            grille: self,
            zones: zones.filter_map(body).collect(),
        }
    }

    fn holes_body<'a>(
        &self,
        pattern: &'a HolePattern,
        room: Room,
        placement: &Placement,
    ) -> HolesBody<'a> {
        let outline = pattern.shape.outline();
        let edge = self.front_edge.size().max(self.back_edge.size());
        let reach = outline.farthest() + edge;
        let way = match pattern.turn {
            Turn::Straight | Turn::Twist { .. } => 0.0,
            Turn::Lean { angle } => 0.5 * (self.thickness * angle.tan()).abs(),
            Turn::PatternTwist { angle } => room.outer() * angle.abs(),
        };
        let square = reach + way;
        let mut holes: HashMap<[i64; 2], Vec<(PlacedHole, bool)>> = HashMap::new();
        let whole = placement.whole.iter().map(|hole| (hole, false));
        let cut = placement.cut.iter().map(|hole| (hole, true));
        for (hole, is_cut) in whole.chain(cut) {
            let [y, z] = square_of(hole.centre, square);
            for (row, column) in (-1..=1).flat_map(|row| (-1..=1).map(move |column| (row, column)))
            {
                let here = holes.entry([y + column, z + row]).or_default();
                here.push((*hole, is_cut));
            }
        }
        HolesBody {
            pattern,
            core: Core::new(&outline.core),
            radius: outline.radius,
            room,
            widest: if pattern.merging_accepted {
                f64::INFINITY
            } else {
                0.5 * (pattern.rib - LEAST_LAND)
            },
            holes,
            square,
        }
    }
}

fn square_of(place: [f64; 2], size: f64) -> [i64; 2] {
    #[expect(
        clippy::cast_possible_truncation,
        reason = "a face is at most some thousand squares wide"
    )]
    place.map(|along| (along / size).floor() as i64)
}

impl GrilleBody<'_> {
    /// Whether there is plastic at a depth and a place about the fan axis, m; walls may count as either.
    pub fn is_solid(&self, depth: f64, y: f64, z: f64) -> bool {
        let thickness = self.grille.thickness;
        let is_within = match self.grille.cut_out {
            CutOut::Bore { diameter } => y.hypot(z) < 0.5 * diameter,
            CutOut::Vent { width, height } => y.abs() < 0.5 * width && z.abs() < 0.5 * height,
        };
        if !is_within || !(0.0..=thickness).contains(&depth) {
            return false;
        }
        let from_back = thickness - depth;
        let rim = if depth < self.grille.front_edge.size() {
            Rim::new(self.grille.front_edge, depth)
        } else if from_back < self.grille.back_edge.size() {
            Rim::new(self.grille.back_edge, from_back)
        } else {
            Rim::Wall
        };
        let opening = rim.opening();
        !self.zones.iter().any(|zone| match zone {
            ZoneBody::Holes(holes) => holes.is_open(
                thickness,
                depth / thickness,
                opening.min(holes.widest),
                [y, z],
            ),
            ZoneBody::Bars(rings) => rings.iter().any(|ring| {
                let opening = opening.min(0.5 * (ring.bars.width - LEAST_LAND));
                ring.is_open(thickness, depth / thickness, opening, [y, z])
            }),
        })
    }
}

impl HolesBody<'_> {
    fn is_open(&self, thickness: f64, depth: f64, opening: f64, place: [f64; 2]) -> bool {
        let Some(holes) = self.holes.get(&square_of(place, self.square)) else {
            return false;
        };
        holes.iter().any(|(hole, is_cut)| {
            let (centre, angle) = self.pattern.turn.pose(hole, thickness, depth);
            let local = convex::rotate(convex::subtract(place, centre), -angle);
            self.core.distance(local) < self.radius + opening
                && (!is_cut || self.room.is_within(place, opening))
        })
    }
}
