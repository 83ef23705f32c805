//! What can be wrong with a drawing.

use crate::grille::warning::MIN_RIB;

/// Why a grille cannot be made as drawn. Zones count from 1, from the inside out; lengths in m, angles in radians.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum GrilleError {
    /// A length is not finite or outside of what can be meant.
    #[error("{}{quantity} is {}, but must be between {} and {}", in_zone(*zone), millimetres(*value), millimetres(*min), millimetres(*max))]
    LengthOutOfRange {
        /// Which length, in words.
        quantity: &'static str,
        /// Zone that it belongs to, if any.
        zone: Option<usize>,
        /// Value.
        value: f64,
        /// Least allowed value.
        min: f64,
        /// Largest allowed value.
        max: f64,
    },
    /// An angle is not finite or outside of what can be meant.
    #[error("zone {zone}: {quantity} is {}, but must be between {} and {}", degrees(*value), degrees(-*max), degrees(*max))]
    AngleOutOfRange {
        /// Which angle, in words.
        quantity: &'static str,
        /// Zone.
        zone: usize,
        /// Value.
        value: f64,
        /// Largest allowed amount, either way.
        max: f64,
    },
    /// There is no zone.
    #[error("the grille has no zone, so it would be a closed plate")]
    NoZones,
    /// The hub covers the whole bore.
    #[error("the fan's hub of {} fills the bore of {}", millimetres(*hub_diameter), millimetres(*bore_diameter))]
    HubFillsBore {
        /// Hub diameter.
        hub_diameter: f64,
        /// Bore diameter.
        bore_diameter: f64,
    },
    /// Border and centre disc meet.
    #[error("border and centre disc leave nothing open in a bore of {}", millimetres(*bore_diameter))]
    NothingLeft {
        /// Bore diameter.
        bore_diameter: f64,
    },
    /// The border closes a vent.
    #[error("a border of {} leaves nothing open in a vent of {} x {}", millimetres(*border), millimetres(*width), millimetres(*height))]
    BorderFillsVent {
        /// Border.
        border: f64,
        /// Width of the vent.
        width: f64,
        /// Its height.
        height: f64,
    },
    /// Something that goes round a fan axis in a vent, which has none.
    #[error("{what} needs a round bore, but this plate covers a rectangular vent")]
    NeedsBore {
        /// What it is, in words.
        what: &'static str,
    },
    /// No hole fits into a vent.
    #[error("no hole of {} fits into the {} x {} that the border leaves of the vent", millimetres(*hole_width), millimetres(*width), millimetres(*height))]
    NoHoleFitsVent {
        /// Largest extent of a hole.
        hole_width: f64,
        /// Width inside the border.
        width: f64,
        /// Height inside the border.
        height: f64,
    },
    /// A zone is inside out or lies wholly on border or centre disc.
    #[error("zone {zone} goes from radius {} to {}, which border and centre disc cover completely", millimetres(*inner_radius), millimetres(*outer_radius))]
    EmptyZone {
        /// Zone.
        zone: usize,
        /// Its inner radius.
        inner_radius: f64,
        /// Its outer radius.
        outer_radius: f64,
    },
    /// A zone begins inside the one before it.
    #[error("zone {zone} starts at radius {}, inside the previous zone, which ends at {}", millimetres(*inner_radius), millimetres(*previous_outer_radius))]
    ZonesOverlap {
        /// The outer of the two.
        zone: usize,
        /// Where it begins.
        inner_radius: f64,
        /// Where the inner one ends.
        previous_outer_radius: f64,
    },
    /// A zone reaches beyond the bore.
    #[error("zone {zone} ends at radius {}, beyond the bore's {}", millimetres(*outer_radius), millimetres(*bore_radius))]
    ZoneBeyondBore {
        /// Zone.
        zone: usize,
        /// Its outer radius.
        outer_radius: f64,
        /// Radius of the bore.
        bore_radius: f64,
    },
    /// The rib is zero or negative.
    #[error("zone {zone}: a rib of {} leaves no wall between the holes", millimetres(*rib))]
    RibsOverlap {
        /// Zone.
        zone: usize,
        /// Rib.
        rib: f64,
    },
    /// A slot is shorter than it is wide.
    #[error("zone {zone}: a slot {} long cannot be {} wide", millimetres(*length), millimetres(*width))]
    SlotShorterThanWide {
        /// Zone.
        zone: usize,
        /// Width.
        width: f64,
        /// Length.
        length: f64,
    },
    /// The layout does not suit the shape.
    #[error("zone {zone}: the up/down layout is for triangles only")]
    LayoutNotForShape {
        /// Zone.
        zone: usize,
    },
    /// This kind of turn does not suit the pattern.
    #[error("zone {zone}: rings and bars have no axis of their own to twist about")]
    TurnNotForPattern {
        /// Zone.
        zone: usize,
    },
    /// No hole fits into the zone.
    #[error("zone {zone}: no hole of {} fits between radius {} and {}", millimetres(*hole_width), millimetres(*inner_radius), millimetres(*outer_radius))]
    NoHoleFits {
        /// Zone.
        zone: usize,
        /// Largest extent of a hole, or width of a slot.
        hole_width: f64,
        /// Where room begins.
        inner_radius: f64,
        /// Where room ends.
        outer_radius: f64,
    },
    /// Too many holes.
    #[error("zone {zone}: about {expected:.0} holes; the limit is {max}")]
    TooManyHoles {
        /// Zone.
        zone: usize,
        /// Roughly how many there would be.
        expected: f64,
        /// Most that are allowed.
        max: usize,
    },
    /// Twisted holes run into each other.
    #[error(
        "zone {zone}: holes twisted by {} run into their neighbours; at most {} from mid-depth or {} from a face",
        degrees(*angle), any_degrees(*largest_from_mid_depth), any_degrees(*largest_from_face)
    )]
    TwistedHolesCollide {
        /// Zone.
        zone: usize,
        /// Twist from face to face.
        angle: f64,
        /// Largest twist that fits when counted from mid-depth; `None` if any does.
        largest_from_mid_depth: Option<f64>,
        /// Largest twist that fits when counted from a face; `None` if any does.
        largest_from_face: Option<f64>,
        /// Drawn rib with which this twist would leave a wall of [`MIN_RIB`] everywhere; `None` if none was found.
        rib_needed: Option<f64>,
    },
    /// Leaned holes run into each other.
    #[error("zone {zone}: holes leaned by {} run into their neighbours near radius {}, where they lean in different directions", degrees(*angle), millimetres(*inner_radius))]
    LeanedHolesCollide {
        /// Zone.
        zone: usize,
        /// Lean.
        angle: f64,
        /// Inner radius of the zone's room.
        inner_radius: f64,
    },
    /// Edges need more than the thickness.
    #[error("front and back edge together take {} of a thickness of {}", millimetres(*edges), millimetres(*thickness))]
    EdgesTooDeep {
        /// Both edges together.
        edges: f64,
        /// Thickness.
        thickness: f64,
    },
    /// An edge needs more than half the rib.
    #[error("zone {zone}: edges of {} meet on a rib of {}", millimetres(*edge), millimetres(*rib))]
    EdgesMeet {
        /// Zone.
        zone: usize,
        /// The larger edge.
        edge: f64,
        /// Narrowest rib, ring or bar as drawn.
        rib: f64,
    },
    /// A bar pattern without bars.
    #[error("zone {zone}: a zone of bars needs at least one bar")]
    NoBars {
        /// Zone.
        zone: usize,
    },
    /// Bars fill the zone.
    #[error("zone {zone}: {bar_count} bars of {} leave no opening up to radius {}", millimetres(*bar_width), millimetres(*closed_radius))]
    BarsOverlap {
        /// Zone.
        zone: usize,
        /// Number of bars.
        bar_count: u32,
        /// Their width.
        bar_width: f64,
        /// Radius up to which they touch.
        closed_radius: f64,
    },
}

/// Zone in front of a message.
fn in_zone(zone: Option<usize>) -> String {
    zone.map_or_else(String::new, |zone| format!("zone {zone}: "))
}

/// A length in mm, absurd ones with an exponent.
fn millimetres(length: f64) -> String {
    let value = length * 1e3;
    if value.abs() >= 1e6 || (value.abs() < 1e-4 && value.abs() > 0.0) {
        format!("{value:e} mm")
    } else {
        format!("{} mm", (value * 1e4).round() / 1e4)
    }
}

/// An angle in degrees, absurd ones with an exponent.
fn degrees(angle: f64) -> String {
    let value = angle.to_degrees();
    if value.abs() >= 1e6 {
        format!("{value:e} degrees")
    } else {
        format!("{} degrees", (value * 10.0).round() / 10.0)
    }
}

/// A largest angle in degrees, if there is one.
fn any_degrees(angle: Option<f64>) -> String {
    angle.map_or_else(|| "any angle".to_owned(), degrees)
}

impl GrilleError {
    /// Fixed short code.
    pub fn code(&self) -> &'static str {
        match self {
            Self::LengthOutOfRange { .. } => "length-out-of-range",
            Self::AngleOutOfRange { .. } => "angle-out-of-range",
            Self::NoZones => "no-zones",
            Self::HubFillsBore { .. } => "hub-fills-bore",
            Self::NothingLeft { .. } => "nothing-left",
            Self::BorderFillsVent { .. } => "border-fills-vent",
            Self::NeedsBore { .. } => "needs-bore",
            Self::NoHoleFitsVent { .. } => "no-hole-fits-vent",
            Self::EmptyZone { .. } => "empty-zone",
            Self::ZonesOverlap { .. } => "zones-overlap",
            Self::ZoneBeyondBore { .. } => "zone-beyond-bore",
            Self::RibsOverlap { .. } => "ribs-overlap",
            Self::SlotShorterThanWide { .. } => "slot-shorter-than-wide",
            Self::LayoutNotForShape { .. } => "layout-not-for-shape",
            Self::TurnNotForPattern { .. } => "turn-not-for-pattern",
            Self::NoHoleFits { .. } => "no-hole-fits",
            Self::TooManyHoles { .. } => "too-many-holes",
            Self::TwistedHolesCollide { .. } => "twisted-holes-collide",
            Self::LeanedHolesCollide { .. } => "leaned-holes-collide",
            Self::EdgesTooDeep { .. } => "edges-too-deep",
            Self::EdgesMeet { .. } => "edges-meet",
            Self::NoBars { .. } => "no-bars",
            Self::BarsOverlap { .. } => "bars-overlap",
        }
    }

    /// What to do about it.
    pub fn hint(&self) -> String {
        match self {
            Self::LengthOutOfRange { .. } | Self::AngleOutOfRange { .. } => "check the unit of the value".to_owned(),
            Self::NoZones => "add a pattern of holes, rings or bars".to_owned(),
            Self::HubFillsBore { .. } => "check the hub and bore diameters".to_owned(),
            Self::NothingLeft { .. } => "make the border or the centre disc smaller".to_owned(),
            Self::BorderFillsVent { .. } => "make the border less than half of the shorter side; it takes its width on both sides".to_owned(),
            Self::NeedsBore { .. } => "use one pattern of holes, straight or each twisted about its own axis".to_owned(),
            Self::NoHoleFitsVent { .. } => "make the holes or the border smaller, or clip crossing holes instead of dropping them".to_owned(),
            Self::EmptyZone { .. } => "make the outer radius larger than the inner one, inside the border and outside the centre disc".to_owned(),
            Self::ZonesOverlap { .. } => "write the zones from the inside out, without overlap".to_owned(),
            Self::ZoneBeyondBore { .. } => "end the zone at the border".to_owned(),
            Self::RibsOverlap { .. } => format!("a printed rib needs {:.1} mm or more", MIN_RIB * 1e3),
            Self::SlotShorterThanWide { .. } => "swap width and length".to_owned(),
            Self::LayoutNotForShape { .. } => "use the square or the staggered layout".to_owned(),
            Self::TurnNotForPattern { .. } => "use a lean or a twist of the whole pattern".to_owned(),
            Self::NoHoleFits { .. } => "make the holes smaller or the zone wider, or clip crossing holes instead of dropping them".to_owned(),
            Self::TooManyHoles { .. } => "make the holes or ribs larger, or describe such a fine pattern as a fabric".to_owned(),
            Self::TwistedHolesCollide { rib_needed, .. } => rib_needed.map_or_else(
                || "twist less".to_owned(),
                |rib| {
                    format!(
                        "twist less, or draw ribs of {:.2} mm to keep walls of {:.1} mm, or accept merging holes",
                        rib * 1e3,
                        MIN_RIB * 1e3
                    )
                },
            ),
            Self::LeanedHolesCollide { .. } => "lean less, make the centre disc larger or the ribs wider, or accept merging holes".to_owned(),
            Self::EdgesTooDeep { .. } => "make the edges smaller or the plate thicker".to_owned(),
            Self::EdgesMeet { .. } => "make the edges at most half of the rib".to_owned(),
            Self::NoBars { .. } => "give the number of bars, or leave the zone out".to_owned(),
            Self::BarsOverlap { .. } => "use fewer or narrower bars".to_owned(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn messages_are_short_even_for_absurd_values() {
        let error = GrilleError::LengthOutOfRange {
            quantity: "the rib",
            zone: Some(2),
            value: 0.1 + 0.2,
            min: 1e-6,
            max: 1e300,
        };
        assert_eq!(
            error.to_string(),
            "zone 2: the rib is 300 mm, but must be between 0.001 mm and 1e303 mm"
        );
        let error = GrilleError::TwistedHolesCollide {
            zone: 1,
            angle: std::f64::consts::FRAC_PI_2,
            largest_from_mid_depth: Some(1.0),
            largest_from_face: None,
            rib_needed: Some(0.0021),
        };
        assert_eq!(
            error.to_string(),
            "zone 1: holes twisted by 90 degrees run into their neighbours; at most 57.3 degrees from mid-depth or any angle from a face"
        );
        assert!(error.hint().contains("ribs of 2.10 mm"), "{}", error.hint());
    }
}
