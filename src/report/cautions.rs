//! Cautions that travel with every output.

/// What anybody who acts on a ranking has to know, in the order of weight.
pub const CAUTIONS: [&str; 2] = [
    "A planning aid from a simplified flow tool (it sees one hole or slot at a time), not a safety assessment: local rules and the applicable standards prevail.",
    "Moving blades, mains supplies and blocked cooling stay dangerous: check temperatures after fitting a grille.",
];

/// Codes of the warnings of a grille that say why it has no number. Other warnings (fingers, ribs) are no reason.
pub const NO_NUMBER: [&str; 4] = [
    "run-damaged",
    "not-run",
    "no-loss-law",
    "no-operating-point",
];

/// Codes of the warnings of a grille that say that it may not print well.
pub const PRINTING: [&str; 5] = [
    "thin-rib",
    "small-hole",
    "steep-wall",
    "thin-wall-between-zones",
    "loose-rings",
];

/// Codes of the warnings of something that may change places and is in no range; they stand on the first screen.
pub const NOT_IN_RANGES: [&str; 3] = [
    "swirl-missing",
    "swirl-into-fan",
    "order-depends-on-fan-curve",
];

/// Code of the warning of a study that some of its fan views did not settle, and of the doubt of each of them; told beside what they show.
pub const FAN_VIEW_UNSTEADY: &str = "fan-view-unsteady";

/// Code of the warning that air runs back through the meter's wheel; told beside its readings.
pub const METER_IN_BACK_FLOW: &str = "meter-in-back-flow";

/// Code of the warning that a grille's turned holes were run as straight ones.
pub const TURN_UNDECIDED: &str = "turn-undecided";
