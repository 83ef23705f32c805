//! Checks of a drawing that need no placement: ranges, and what contradicts itself.

use crate::grille::bars::Bars;
use crate::grille::placement::MAX_HOLE_COUNT;
use crate::grille::room::{Ring, Room};
use crate::grille::{
    BarPattern, CutOut, Grille, GrilleError, HolePattern, Pattern, RingPattern, Turn, Zone,
};

/// Least length that can be meant, m.
const LEAST_LENGTH: f64 = 1e-6;

/// Largest length that can be meant, m.
const LARGEST_LENGTH: f64 = 10.0;

/// Largest lean, radians.
pub(super) const LARGEST_LEAN: f64 = 75.0 * std::f64::consts::PI / 180.0;

/// Largest twist, own or of the pattern, radians.
pub(super) const LARGEST_TWIST: f64 = 2.0 * std::f64::consts::PI;

/// A length that must lie in a range.
struct Length {
    quantity: &'static str,
    zone: Option<usize>,
    value: f64,
    may_be_zero: bool,
}

impl Length {
    fn check(&self, errors: &mut Vec<GrilleError>) {
        let min = if self.may_be_zero { 0.0 } else { LEAST_LENGTH };
        if !(min..=LARGEST_LENGTH).contains(&self.value) {
            errors.push(GrilleError::LengthOutOfRange {
                quantity: self.quantity,
                zone: self.zone,
                value: self.value,
                min,
                max: LARGEST_LENGTH,
            });
        }
    }
}

impl Grille {
    /// The part of the cut-out that a zone may use: in a bore a ring between border and centre disc, of a vent all inside the border.
    pub(super) fn room(&self, zone: &Zone) -> Room {
        match self.cut_out.inside(self.border) {
            CutOut::Bore { .. } => Room::Ring(self.ring(zone)),
            CutOut::Vent { width, height } => Room::Rectangle {
                half: [0.5 * width, 0.5 * height],
            },
        }
    }

    /// The ring between border and centre disc that a zone may use.
    pub(super) fn ring(&self, zone: &Zone) -> Ring {
        Ring {
            inner: zone.inner_radius.max(0.5 * self.centre_disc_diameter),
            outer: zone
                .outer_radius
                .min(self.cut_out.inside(self.border).reach()),
        }
    }

    /// All faults that show without placing a hole. Zones count from 1.
    pub(super) fn faults(&self) -> Vec<GrilleError> {
        let mut errors = Vec::new();
        self.check_plate(&mut errors);
        self.check_vent(&mut errors);
        self.check_zones(&mut errors);
        for (index, zone) in self.zones.iter().enumerate() {
            match &zone.pattern {
                Pattern::Holes(pattern) => check_holes(pattern, index + 1, &mut errors),
                Pattern::Rings(pattern) => check_rings(pattern, index + 1, &mut errors),
                Pattern::Bars(pattern) => check_bars(pattern, index + 1, &mut errors),
            }
        }
        if errors.is_empty() {
            self.check_room(&mut errors);
        }
        errors
    }

    fn check_plate(&self, errors: &mut Vec<GrilleError>) {
        let sides = match self.cut_out {
            CutOut::Bore { diameter } => [("the bore's diameter", diameter, false); 2],
            CutOut::Vent { width, height } => [
                ("the vent's width", width, false),
                ("the vent's height", height, false),
            ],
        };
        for (quantity, value, may_be_zero) in [
            sides[0],
            sides[1],
            ("the thickness", self.thickness, false),
            ("the border", self.border, true),
            (
                "the centre disc's diameter",
                self.centre_disc_diameter,
                true,
            ),
            ("the front edge", self.front_edge.size(), true),
            ("the back edge", self.back_edge.size(), true),
        ] {
            Length {
                quantity,
                zone: None,
                value,
                may_be_zero,
            }
            .check(errors);
        }
        match self.cut_out {
            CutOut::Bore { diameter } => {
                if self.centre_disc_diameter >= diameter - 2.0 * self.border {
                    errors.push(GrilleError::NothingLeft {
                        bore_diameter: diameter,
                    });
                }
            }
            CutOut::Vent { width, height } => {
                if width.min(height) <= 2.0 * self.border {
                    errors.push(GrilleError::BorderFillsVent {
                        border: self.border,
                        width,
                        height,
                    });
                }
            }
        }
        let edges = self.front_edge.size() + self.back_edge.size();
        if edges > self.thickness * (1.0 + 1e-9) {
            errors.push(GrilleError::EdgesTooDeep {
                edges,
                thickness: self.thickness,
            });
        }
    }

    /// A rectangle has no fan axis: nothing may go round it.
    fn check_vent(&self, errors: &mut Vec<GrilleError>) {
        if !self.cut_out.is_vent() {
            return;
        }
        let mut refuse = |what: &'static str| errors.push(GrilleError::NeedsBore { what });
        if self.centre_disc_diameter > 0.0 {
            refuse("a centre disc");
        }
        if self.zones.len() > 1 {
            refuse("more than one zone");
        }
        for zone in &self.zones {
            match &zone.pattern {
                Pattern::Rings(_) => refuse("a pattern of rings"),
                Pattern::Bars(_) => refuse("a pattern of radial bars"),
                Pattern::Holes(holes) => match holes.turn {
                    Turn::Lean { .. } => refuse("a lean about the fan axis"),
                    Turn::PatternTwist { .. } => refuse("a twist of the whole pattern"),
                    Turn::Straight | Turn::Twist { .. } => {}
                },
            }
        }
    }

    fn check_zones(&self, errors: &mut Vec<GrilleError>) {
        if self.zones.is_empty() {
            errors.push(GrilleError::NoZones);
        }
        let mut previous_outer_radius = 0.0;
        for (index, zone) in self.zones.iter().enumerate() {
            let number = index + 1;
            for (quantity, value, may_be_zero) in [
                ("the zone's inner radius", zone.inner_radius, true),
                ("the zone's outer radius", zone.outer_radius, false),
            ] {
                Length {
                    quantity,
                    zone: Some(number),
                    value,
                    may_be_zero,
                }
                .check(errors);
            }
            let reach = self.cut_out.reach();
            let tolerance = 2e-9 * reach;
            let room = self.ring(zone);
            if zone.outer_radius > reach + tolerance {
                errors.push(GrilleError::ZoneBeyondBore {
                    zone: number,
                    outer_radius: zone.outer_radius,
                    bore_radius: reach,
                });
            } else if zone.inner_radius >= zone.outer_radius
                || room.outer - room.inner <= LEAST_LENGTH
            {
                errors.push(GrilleError::EmptyZone {
                    zone: number,
                    inner_radius: zone.inner_radius,
                    outer_radius: zone.outer_radius,
                });
            }
            if zone.inner_radius < previous_outer_radius - tolerance {
                errors.push(GrilleError::ZonesOverlap {
                    zone: number,
                    inner_radius: zone.inner_radius,
                    previous_outer_radius,
                });
            }
            previous_outer_radius = zone.outer_radius;
        }
    }

    /// Faults of sound patterns in the room that they have: edges against ribs, bars against the ring, counts.
    fn check_room(&self, errors: &mut Vec<GrilleError>) {
        let edge = self.front_edge.size().max(self.back_edge.size());
        for (index, zone) in self.zones.iter().enumerate() {
            let number = index + 1;
            let room = self.ring(zone);
            let (rib, bars) = match &zone.pattern {
                Pattern::Holes(pattern) => (pattern.rib, None),
                Pattern::Rings(pattern) => {
                    let bars = (pattern.bar_count > 0).then(|| Bars::from(pattern));
                    let slots = (room.outer - room.inner) / (pattern.slot_width + pattern.rib);
                    let expected = slots * f64::from(pattern.bar_count.max(1));
                    if expected > MAX_HOLE_COUNT as f64 {
                        errors.push(GrilleError::TooManyHoles {
                            zone: number,
                            expected,
                            max: MAX_HOLE_COUNT,
                        });
                    }
                    (
                        bars.map_or(pattern.rib, |bars| pattern.rib.min(bars.width)),
                        bars,
                    )
                }
                Pattern::Bars(pattern) => (pattern.bar_width, Some(Bars::from(pattern))),
            };
            if edge > 0.5 * rib * (1.0 + 1e-9) {
                errors.push(GrilleError::EdgesMeet {
                    zone: number,
                    edge,
                    rib,
                });
            }
            if let Some(bars) = bars {
                if bars.count as usize > MAX_HOLE_COUNT {
                    errors.push(GrilleError::TooManyHoles {
                        zone: number,
                        expected: f64::from(bars.count),
                        max: MAX_HOLE_COUNT,
                    });
                } else if bars.closed_radius() >= room.outer {
                    errors.push(GrilleError::BarsOverlap {
                        zone: number,
                        bar_count: bars.count,
                        bar_width: bars.width,
                        closed_radius: bars.closed_radius(),
                    });
                }
            }
        }
    }
}

fn check_rib(rib: f64, zone: usize, errors: &mut Vec<GrilleError>) {
    if rib <= 0.0 {
        errors.push(GrilleError::RibsOverlap { zone, rib });
    } else {
        check_length("the rib", rib, zone, errors);
    }
}

fn check_length(quantity: &'static str, value: f64, zone: usize, errors: &mut Vec<GrilleError>) {
    Length {
        quantity,
        zone: Some(zone),
        value,
        may_be_zero: false,
    }
    .check(errors);
}

fn check_holes(pattern: &HolePattern, zone: usize, errors: &mut Vec<GrilleError>) {
    check_rib(pattern.rib, zone, errors);
    for length in pattern.shape.lengths() {
        check_length(length.in_words, length.value, zone, errors);
    }
    if let Some([width, length]) = pattern.shape.as_short_slot() {
        errors.push(GrilleError::SlotShorterThanWide {
            zone,
            width,
            length,
        });
    }
    if pattern.repeat().is_none() {
        errors.push(GrilleError::LayoutNotForShape { zone });
    }
    check_turn(pattern.turn, zone, errors);
}

fn check_rings(pattern: &RingPattern, zone: usize, errors: &mut Vec<GrilleError>) {
    check_rib(pattern.rib, zone, errors);
    check_length("the ring slot's width", pattern.slot_width, zone, errors);
    if pattern.bar_count > 0 {
        check_length("the bar's width", pattern.bar_width, zone, errors);
    }
    check_turn_of_bars(pattern.turn, zone, errors);
}

fn check_bars(pattern: &BarPattern, zone: usize, errors: &mut Vec<GrilleError>) {
    if pattern.bar_count == 0 {
        errors.push(GrilleError::NoBars { zone });
    }
    check_length("the bar's width", pattern.bar_width, zone, errors);
    check_turn_of_bars(pattern.turn, zone, errors);
}

fn check_turn_of_bars(turn: Turn, zone: usize, errors: &mut Vec<GrilleError>) {
    if matches!(turn, Turn::Twist { .. }) {
        errors.push(GrilleError::TurnNotForPattern { zone });
    }
    check_turn(turn, zone, errors);
}

fn check_turn(turn: Turn, zone: usize, errors: &mut Vec<GrilleError>) {
    let (quantity, value, max) = match turn {
        Turn::Straight => return,
        Turn::Twist { angle, .. } => ("the twist", angle, LARGEST_TWIST),
        Turn::Lean { angle } => ("the lean", angle, LARGEST_LEAN),
        Turn::PatternTwist { angle } => ("the twist of the pattern", angle, LARGEST_TWIST),
    };
    if !(-max..=max).contains(&value) {
        errors.push(GrilleError::AngleOutOfRange {
            quantity,
            zone,
            value,
            max,
        });
    }
}
