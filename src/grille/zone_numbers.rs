//! The numbers of one zone.

use std::f64::consts::PI;

use crate::grille::bars::Bars;
use crate::grille::clearance;
use crate::grille::placement::{MAX_HOLE_COUNT, Placement, expected_count};
use crate::grille::room::{Ring, Room};
use crate::grille::sight;
use crate::grille::{
    BarPattern, Grille, GrilleError, GrilleWarning, Hands, HolePattern, MIN_HOLE_WIDTH, MIN_RIB,
    Passage, Pattern, RingPattern, STEEPEST_WALL, Turn, TwistLimit, Zone,
};

/// Obliqueness of the second line of sight, radians.
const OBLIQUE: f64 = PI / 6.0;

/// Numbers of one zone.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneGeometry {
    /// Where its room begins, m: its inner radius, or the centre disc's.
    pub inner_radius: f64,
    /// Where its room ends, m: its outer radius, or the border's inner one.
    pub outer_radius: f64,
    /// Area of that room, m².
    pub zone_area: f64,
    /// Number of openings as placed; each piece of a cut hole counts.
    pub hole_count: usize,
    /// Open area as placed, m².
    pub open_area: f64,
    /// Free-area ratio of the endless pattern, 0 to 1. Of rings: slot ÷ (slot + rib), less the bars' share of the zone; of bars: as placed.
    pub pattern_free_area_ratio: f64,
    /// Open area as placed ÷ area of the zone, 0 to 1.
    pub placed_free_area_ratio: f64,
    /// Hydraulic diameter of one opening, m: 4 × area ÷ perimeter of a hole, twice the width of a ring slot.
    pub hydraulic_diameter: f64,
    /// Thickness ÷ hydraulic diameter.
    pub thickness_ratio: f64,
    /// Lattice vectors of the pattern of holes, m; `None` for rings and bars.
    pub pitch_vectors: Option<[[f64; 2]; 2]>,
    /// Steepest wall against the fan axis, radians.
    pub wall_angle: f64,
    /// Least wall as drawn, m.
    pub drawn_rib: f64,
    /// Least wall over the whole thickness, in planes along the face, m; negative where turned holes merge.
    pub least_rib: f64,
    /// How far the holes may twist, all by the same hand, before they touch; `None` for rings and bars.
    pub twist_limit: Option<TwistLimit>,
    /// Share of the open area that a sight line along the fan axis passes, 0 to 1.
    pub straight_sight: f64,
    /// The same at 30 degrees to the fan axis, mean over all directions; edges of rings count, cut holes as whole ones.
    pub oblique_sight: f64,
    /// What passes through an opening.
    pub passage: Passage,
}

/// A zone's numbers with what the whole grille needs of them.
pub(super) struct Resolved {
    pub(super) geometry: ZoneGeometry,
    pub(super) perimeters: Vec<f64>,
    pub(super) warnings: Vec<GrilleWarning>,
}

impl Grille {
    pub(super) fn resolve_zone(&self, number: usize, zone: &Zone) -> Result<Resolved, GrilleError> {
        let resolved = match &zone.pattern {
            Pattern::Holes(pattern) => self.resolve_holes(number, pattern, self.room(zone)),
            Pattern::Rings(pattern) => self.resolve_rings(number, pattern, self.ring(zone)),
            Pattern::Bars(pattern) => Ok(self.resolve_bars(pattern, self.ring(zone))),
        };
        resolved.map(|mut resolved| {
            let warnings = print_warnings(number, &resolved.geometry);
            resolved.warnings.extend(warnings);
            resolved
        })
    }

    fn resolve_holes(
        &self,
        number: usize,
        pattern: &HolePattern,
        room: Room,
    ) -> Result<Resolved, GrilleError> {
        let not_for_shape = || GrilleError::LayoutNotForShape { zone: number };
        let shape = &pattern.shape;
        let repeat = pattern.repeat().ok_or_else(not_for_shape)?;
        let placement = self
            .placement(pattern, room)
            .ok_or_else(|| GrilleError::TooManyHoles {
                zone: number,
                expected: expected_count(&repeat, &shape.outline(), room),
                max: MAX_HOLE_COUNT,
            })?;
        let hole_width = shape.inscribed_diameter();
        let [half_width, half_height] = room.half();
        if placement.count() == 0 || hole_width >= 2.0 * half_width.min(half_height) {
            let hole_width = shape.extent()[0].max(shape.extent()[1]);
            return Err(match room {
                Room::Ring(ring) => GrilleError::NoHoleFits {
                    zone: number,
                    hole_width,
                    inner_radius: ring.inner,
                    outer_radius: ring.outer,
                },
                Room::Rectangle { .. } => GrilleError::NoHoleFitsVent {
                    hole_width,
                    width: 2.0 * half_width,
                    height: 2.0 * half_height,
                },
            });
        }
        let least_rib = self
            .least_hole_wall(number, pattern, &placement, room)?
            .ok_or_else(not_for_shape)?;
        let same_hands = pattern
            .neighbours(pattern.rib, Hands::Same)
            .ok_or_else(not_for_shape)?;
        let open_area = placement.area(shape);
        let hydraulic_diameter = shape.hydraulic_diameter();
        let geometry = ZoneGeometry {
            inner_radius: room.inner(),
            outer_radius: room.outer(),
            zone_area: room.area(),
            hole_count: placement.count(),
            open_area,
            pattern_free_area_ratio: shape.area() * repeat.holes.len() as f64 / repeat.area(),
            placed_free_area_ratio: open_area / room.area(),
            hydraulic_diameter,
            thickness_ratio: self.thickness / hydraulic_diameter,
            pitch_vectors: Some([repeat.first, repeat.second]),
            wall_angle: pattern
                .turn
                .wall_angle(Some(shape), room.outer(), self.thickness),
            drawn_rib: pattern.rib,
            least_rib,
            twist_limit: Some(same_hands.twist_limit()),
            straight_sight: sight::holes(pattern, room, self.thickness, 0.0),
            oblique_sight: sight::holes(pattern, room, self.thickness, OBLIQUE),
            passage: shape.passage(),
        };
        let warnings = if least_rib <= 0.0 {
            vec![GrilleWarning::MergingHoles {
                zone: number,
                least_rib,
            }]
        } else {
            Vec::new()
        };
        Ok(Resolved {
            geometry,
            perimeters: placement.perimeters(shape),
            warnings,
        })
    }

    /// Least wall over the thickness, m; an error if holes merge without leave; `None` if the layout does not suit the shape.
    fn least_hole_wall(
        &self,
        number: usize,
        pattern: &HolePattern,
        placement: &Placement,
        room: Room,
    ) -> Result<Option<f64>, GrilleError> {
        let mut holes = placement.whole.clone();
        holes.extend(&placement.cut);
        let Some(least) = clearance::least_wall(pattern, self.thickness, &holes) else {
            return Ok(None);
        };
        if least > 0.0 || pattern.merging_accepted {
            return Ok(Some(least));
        }
        match pattern.turn {
            Turn::Twist { angle, hands, .. } => {
                let limit = pattern
                    .neighbours(pattern.rib, hands)
                    .map(|neighbours| neighbours.twist_limit());
                Err(GrilleError::TwistedHolesCollide {
                    zone: number,
                    angle,
                    largest_from_mid_depth: limit.and_then(|limit| limit.from_mid_depth),
                    largest_from_face: limit.and_then(|limit| limit.from_face),
                    rib_needed: pattern.rib_needed(MIN_RIB, hands),
                })
            }
            Turn::Lean { angle } => Err(GrilleError::LeanedHolesCollide {
                zone: number,
                angle,
                inner_radius: room.inner(),
            }),
            Turn::Straight | Turn::PatternTwist { .. } => Err(GrilleError::RibsOverlap {
                zone: number,
                rib: least,
            }),
        }
    }

    fn resolve_rings(
        &self,
        number: usize,
        pattern: &RingPattern,
        room: Ring,
    ) -> Result<Resolved, GrilleError> {
        let bars = Bars::from(pattern);
        let slots = pattern.slots(room, self.crossing_holes);
        let hole_count: usize = slots.iter().map(|slot| bars.opening_count(*slot)).sum();
        if hole_count == 0 {
            return Err(GrilleError::NoHoleFits {
                zone: number,
                hole_width: pattern.slot_width,
                inner_radius: room.inner,
                outer_radius: room.outer,
            });
        }
        let open_area: f64 = slots.iter().map(|slot| bars.open_area(*slot)).sum();
        let slot_share = pattern.slot_width / (pattern.slot_width + pattern.rib);
        let hydraulic_diameter = 2.0 * pattern.slot_width;
        let rib = if pattern.bar_count > 0 {
            pattern.rib.min(pattern.bar_width)
        } else {
            pattern.rib
        };
        let geometry = ZoneGeometry {
            inner_radius: room.inner,
            outer_radius: room.outer,
            zone_area: room.area(),
            hole_count,
            open_area,
            pattern_free_area_ratio: slot_share * bars.open_area(room) / room.area(),
            placed_free_area_ratio: open_area / room.area(),
            hydraulic_diameter,
            thickness_ratio: self.thickness / hydraulic_diameter,
            pitch_vectors: None,
            wall_angle: pattern.turn.wall_angle(None, room.outer, self.thickness),
            drawn_rib: rib,
            least_rib: rib,
            twist_limit: None,
            straight_sight: sight::bars(bars, pattern.turn, room, self.thickness, 0.0),
            oblique_sight: sight::slots(pattern.slot_width, self.thickness, OBLIQUE),
            passage: pattern.passage(room.outer),
        };
        let warnings = if pattern.bar_count == 0 {
            vec![GrilleWarning::LooseRings { zone: number }]
        } else {
            Vec::new()
        };
        let perimeters = slots
            .iter()
            .flat_map(|slot| {
                let count = bars.opening_count(*slot);
                vec![bars.perimeter(*slot) / count.max(1) as f64; count]
            })
            .collect();
        Ok(Resolved {
            geometry,
            perimeters,
            warnings,
        })
    }

    fn resolve_bars(&self, pattern: &BarPattern, room: Ring) -> Resolved {
        let bars = Bars::from(pattern);
        let open_area = bars.open_area(room);
        let hydraulic_diameter = 4.0 * open_area / bars.perimeter(room);
        let hole_count = bars.opening_count(room);
        let geometry = ZoneGeometry {
            inner_radius: room.inner,
            outer_radius: room.outer,
            zone_area: room.area(),
            hole_count,
            open_area,
            pattern_free_area_ratio: open_area / room.area(),
            placed_free_area_ratio: open_area / room.area(),
            hydraulic_diameter,
            thickness_ratio: self.thickness / hydraulic_diameter,
            pitch_vectors: None,
            wall_angle: pattern.turn.wall_angle(None, room.outer, self.thickness),
            drawn_rib: pattern.bar_width,
            least_rib: pattern.bar_width,
            twist_limit: None,
            straight_sight: sight::bars(bars, pattern.turn, room, self.thickness, 0.0),
            oblique_sight: sight::bars(bars, pattern.turn, room, self.thickness, OBLIQUE),
            passage: bars.passage(room),
        };
        Resolved {
            geometry,
            perimeters: vec![bars.perimeter(room) / hole_count.max(1) as f64; hole_count],
            warnings: Vec::new(),
        }
    }
}

/// Doubts about the print of a zone.
fn print_warnings(zone: usize, geometry: &ZoneGeometry) -> Vec<GrilleWarning> {
    let mut warnings = Vec::new();
    let (least_rib, width, angle) = (
        geometry.least_rib,
        geometry.passage.circle,
        geometry.wall_angle,
    );
    if least_rib > 0.0 && least_rib < MIN_RIB - 1e-9 {
        warnings.push(GrilleWarning::ThinRib { zone, least_rib });
    }
    if width < MIN_HOLE_WIDTH - 1e-9 {
        warnings.push(GrilleWarning::SmallHole { zone, width });
    }
    if angle > STEEPEST_WALL + 1e-9 {
        warnings.push(GrilleWarning::SteepWall { zone, angle });
    }
    warnings
}
