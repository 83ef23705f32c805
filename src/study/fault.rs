//! What can be wrong with a study: one value per fault, with its place, a fixed short code, a message and what to do.

use std::fmt;

use crate::fan::CurveFault;
use crate::grille::GrilleError;
use crate::study::fabric_fault::FabricFault;
use crate::study::place::FaultPlace;
use crate::units::figure;

/// One thing that is wrong with a study, and where.
///
/// Its text is two lines: place, message and code, then the hint.
#[derive(Debug, Clone, PartialEq)]
pub struct StudyFault {
    /// Where it lies.
    pub place: FaultPlace,
    /// What is wrong.
    pub kind: Box<FaultKind>,
}

impl StudyFault {
    /// A fault at a place.
    pub fn new(place: FaultPlace, kind: FaultKind) -> Self {
        let kind = Box::new(kind);
        Self { place, kind }
    }

    /// Fixed short code of the kind of fault, such as `out-of-range`.
    pub fn code(&self) -> &'static str {
        self.kind.code()
    }
}

impl fmt::Display for StudyFault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let (place, kind, code) = (&self.place, &self.kind, self.code());
        write!(f, "{place}: {kind} [{code}]\n  hint: {}", kind.hint())
    }
}

impl std::error::Error for StudyFault {}

/// What is wrong with a study. Numbers are in the unit of the key that is named beside them.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[non_exhaustive]
pub enum FaultKind {
    /// The file is not text.
    #[error("this is not a text file: byte {offset} is not valid UTF-8 text")]
    NotText {
        /// The first byte that cannot be text, counted from 0.
        offset: usize,
    },
    /// The file is too large to be a study or a fan curve.
    #[error("the file is {bytes} bytes long; the limit is {limit}")]
    TooLarge {
        /// Its size.
        bytes: u64,
        /// The largest size that is read.
        limit: u64,
    },
    /// There is nothing in the file.
    #[error("the file is empty")]
    Empty,
    /// A file that the study names cannot be read.
    #[error("{key} is \"{path}\", but this file cannot be read: {reason}")]
    UnreadableFile {
        /// The key that names it.
        key: &'static str,
        /// The path as written.
        path: String,
        /// What the system said.
        reason: String,
    },
    /// The text is not TOML.
    #[error("this is not valid TOML: {message}")]
    Syntax {
        /// What the parser said.
        message: String,
        /// Whether the line holds a comma between digits.
        has_decimal_comma: bool,
        /// Whether a backslash stands before something that it cannot stand before.
        has_bad_escape: bool,
    },
    /// A value of the wrong type.
    #[error("{key} is {message}")]
    WrongType {
        /// The key, as far as it can be told.
        key: String,
        /// What stands there and what should.
        message: String,
    },
    /// A key or a table that this table does not have.
    #[error("unknown key or table {key}")]
    UnknownKey {
        /// The key as written.
        key: String,
        /// The keys of the table.
        known: Vec<&'static str>,
        /// Other tables that have the key.
        stands_in: Vec<&'static str>,
    },
    /// A format version that this program does not read.
    #[error("format is {found}, but this program reads format {supported}")]
    UnknownFormat {
        /// The version asked for.
        found: i64,
        /// The version that is read.
        supported: u32,
    },
    /// A key or table that has no default is absent.
    #[error("{table} has no {key}")]
    Missing {
        /// The table in which it should stand.
        table: &'static str,
        /// The key.
        key: &'static str,
        /// What to write.
        hint: &'static str,
    },
    /// Exactly one of some keys is needed, and none is there.
    #[error("{table} needs one of {}", join(keys))]
    NeedsOneOf {
        /// The table in which it should stand.
        table: &'static str,
        /// The keys.
        keys: Vec<&'static str>,
    },
    /// Keys that exclude each other.
    #[error("{key} and {other} cannot be used together")]
    Excludes {
        /// The key that is too much.
        key: &'static str,
        /// The key that was there before.
        other: &'static str,
    },
    /// A number outside its range.
    #[error("{key} is {}, but must be between {low} and {high}{unit}", figure(*value))]
    OutOfRange {
        /// The key.
        key: &'static str,
        /// Its value.
        value: f64,
        /// The least allowed value.
        low: f64,
        /// The largest allowed value.
        high: f64,
        /// The unit, with a space before it, or nothing.
        unit: &'static str,
        /// What to do.
        hint: &'static str,
    },
    /// A number that may be 0 and is neither that nor in its range.
    #[error("{key} is {}, but must be 0 or between {least} and {high}{unit}", figure(*value))]
    NeitherZeroNor {
        /// The key.
        key: &'static str,
        /// Its value.
        value: f64,
        /// The least allowed value besides 0.
        least: f64,
        /// The largest allowed value.
        high: f64,
        /// The unit, with a space before it, or nothing.
        unit: &'static str,
        /// What to do.
        hint: &'static str,
    },
    /// A number that is not a number, or infinite.
    #[error("{key} is {value}, which is not a finite number")]
    NotFinite {
        /// The key.
        key: &'static str,
        /// Its value.
        value: f64,
    },
    /// A list value that should be a whole number.
    #[error("{key} is {}, which is not a whole number", figure(*value))]
    NotWhole {
        /// The key.
        key: &'static str,
        /// Its value.
        value: f64,
    },
    /// A word that is none of the allowed ones.
    #[error("{key} is \"{value}\", but must be {}", quoted(allowed))]
    UnknownWord {
        /// The key.
        key: &'static str,
        /// Its value.
        value: String,
        /// The words that are allowed.
        allowed: Vec<&'static str>,
    },
    /// A name that cannot serve as one.
    #[error("name is \"{name}\", which {reason}")]
    BadName {
        /// The name.
        name: String,
        /// What is wrong with it.
        reason: &'static str,
    },
    /// A grille under the name of the fan without one.
    #[error(
        "name is \"{name}\", but readings and sealed predictions call the fan without a grille so"
    )]
    ReservedName {
        /// The name.
        name: String,
    },
    /// Two grilles of the same name.
    #[error("the name \"{name}\" is already used in line {first_line}")]
    DuplicateName {
        /// The name.
        name: String,
        /// Line of the first one.
        first_line: usize,
    },
    /// A study without grilles.
    #[error("the study has no grille")]
    NoGrille,
    /// More grilles than one study takes.
    #[error("the study would have {count} grilles; the limit is {limit}")]
    TooManyGrilles {
        /// How many there would be.
        count: usize,
        /// The largest number.
        limit: usize,
    },
    /// A series builds on a grille that the study does not have.
    #[error("base is \"{base}\", but there is no grille of that name")]
    UnknownBase {
        /// The name asked for.
        base: String,
        /// The names that exist.
        known: Vec<String>,
    },
    /// A series varies a key that its base does not use.
    #[error("{key} cannot be varied: the base grille \"{base}\" does not use it")]
    CannotVary {
        /// The key.
        key: &'static str,
        /// The base grille.
        base: String,
    },
    /// A series without values.
    #[error("{key} has no values to vary")]
    NothingToVary {
        /// The key or table that is empty.
        key: &'static str,
    },
    /// A range whose steps do not lead from its beginning to its end.
    #[error("a step of {} never gets from {} to {}", figure(*step), figure(*from), figure(*to))]
    StepAway {
        /// The step.
        step: f64,
        /// Where the range begins.
        from: f64,
        /// Where it ends.
        to: f64,
    },
    /// A key that the chosen shape of hole does not have.
    #[error("{key} does not belong to shape \"{shape}\"")]
    KeyNotForShape {
        /// The key.
        key: &'static str,
        /// The shape.
        shape: &'static str,
        /// The keys that it has.
        wanted: String,
    },
    /// A layout that the chosen shape of hole does not have.
    #[error("layout is \"{layout}\", which does not go with shape \"{shape}\"")]
    LayoutNotForShape {
        /// The layout.
        layout: &'static str,
        /// The shape.
        shape: &'static str,
    },
    /// A key that only means something beside another one.
    #[error("{key} has no effect without {needed}")]
    MeansNothing {
        /// The key.
        key: &'static str,
        /// The key that is needed.
        needed: &'static str,
    },
    /// A word that is no time of day.
    #[error("ready_by is \"{found}\", which is not a time of day")]
    NoClockTime {
        /// What was written.
        found: String,
    },
    /// A speed too far from the one at which the fan's figures hold.
    #[error("running_rpm is {}, but the fan's figures are for {}: too far apart for the fan laws", figure(*running), figure(*given))]
    SpeedFarOff {
        /// Speed at which the fan runs, revolutions per minute.
        running: f64,
        /// Speed at which the figures hold.
        given: f64,
    },
    /// A slot shorter than wide.
    #[error(
        "length_mm is {length}, but width_mm is {width}: a slot must be longer than it is wide"
    )]
    SlotTooShort {
        /// Length.
        length: f64,
        /// Width.
        width: f64,
    },
    /// A hub that leaves no room for blades.
    #[error(
        "hub_mm is {hub}, but bore_mm is {bore}: the hub may take up to 90 % of the bore's diameter"
    )]
    HubTooLarge {
        /// Hub diameter.
        hub: f64,
        /// Bore diameter.
        bore: f64,
    },
    /// An exit profile of fewer than two points.
    #[error("exit has {count} {}, but a profile needs at least two", if *count == 1 { "point" } else { "points" })]
    ExitTooShort {
        /// How many there are.
        count: usize,
    },
    /// A point of an exit profile where no air leaves.
    #[error(
        "radius_mm is {radius}, but air leaves the fan between {low} and {high} mm from its axis"
    )]
    ExitOutsideFan {
        /// Its radius.
        radius: f64,
        /// Radius of the hub.
        low: f64,
        /// Radius of the bore.
        high: f64,
    },
    /// Points of an exit profile that do not run outwards.
    #[error("radius_mm is {radius}, but the point before is at {before}")]
    ExitNotRising {
        /// Its radius.
        radius: f64,
        /// The radius before.
        before: f64,
    },
    /// An exit profile without air.
    #[error("every relative_velocity of exit is 0")]
    ExitWithoutAir,
    /// A meter beside the stream.
    #[error("position_mm is {position}, but the bore of {bore} mm ends {} mm from its axis", bore / 2.0)]
    MeterBesideBore {
        /// Distance of the meter from the axis.
        position: f64,
        /// Bore diameter.
        bore: f64,
    },
    /// A panel of a grille that the study does not have.
    #[error("this study has no grille called \"{name}\"")]
    UnknownGrille {
        /// The name as written.
        name: String,
        /// The names that there are.
        known: Vec<String>,
    },
    /// A key that belongs to a fan in a bore, where the opening is a rectangular vent.
    #[error(
        "{key} belongs to a round bore with a fan in it, but [vent] makes the opening a rectangle"
    )]
    NeedsBore {
        /// The key or table.
        key: &'static str,
    },
    /// A list of views to film without a view.
    #[error("views is empty, so there is nothing to film")]
    NoViews,
    /// A rake of smoke that ends where it begins.
    #[error(
        "this rake goes from from_mm = {from_mm} to to_mm = {to_mm}, which leaves no room for smoke"
    )]
    RakeWithoutLength {
        /// Its beginning.
        from_mm: f64,
        /// Its end.
        to_mm: f64,
    },
    /// Border and centre disc leave nothing open.
    #[error(
        "border_mm is {border} and centre_disc_mm is {disc}, which leaves nothing open in a bore of {bore} mm"
    )]
    NothingLeft {
        /// Border.
        border: f64,
        /// Diameter of the centre disc.
        disc: f64,
        /// Bore diameter.
        bore: f64,
    },
    /// Rounded or chamfered edges deeper than the plate.
    #[error(
        "the edges of \"{grille}\" take {edges} mm of the depth, but thickness_mm is {thickness}: they would meet inside the plate"
    )]
    EdgesTooDeep {
        /// The grille.
        grille: String,
        /// Front and back edge together.
        edges: f64,
        /// Plate thickness.
        thickness: f64,
    },
    /// Rounded or chamfered edges wider than half a rib.
    #[error(
        "{key} is {edge}, but the rib of \"{grille}\" is {rib}: the edges of neighbouring holes would meet"
    )]
    EdgeTooWide {
        /// The grille.
        grille: String,
        /// The key of the edge.
        key: &'static str,
        /// Radius or depth of the edge.
        edge: f64,
        /// Rib between the holes.
        rib: f64,
    },
    /// A zone that is not a ring.
    #[error("outer_diameter_mm is {outer}, but inner_diameter_mm is {inner}")]
    ZoneInsideOut {
        /// Inner diameter.
        inner: f64,
        /// Outer diameter.
        outer: f64,
    },
    /// A zone that reaches into the border or the centre disc.
    #[error("{key} is {value}, but the open area is between {low} and {high} mm in diameter")]
    ZoneOutsideFace {
        /// The key.
        key: &'static str,
        /// Its value.
        value: f64,
        /// Diameter of the centre disc.
        low: f64,
        /// Diameter inside the border.
        high: f64,
    },
    /// Two zones that overlap.
    #[error(
        "inner_diameter_mm is {inner}, but the zone in line {other_line} ends at {other_outer}: the zones overlap"
    )]
    ZonesOverlap {
        /// Inner diameter of the outer zone.
        inner: f64,
        /// Outer diameter of the inner zone.
        other_outer: f64,
        /// Line of the inner zone.
        other_line: usize,
    },
    /// A grille that cannot be made as drawn.
    #[error("grille \"{grille}\", {error}")]
    Drawing {
        /// Its name.
        grille: String,
        /// What is wrong with the drawing.
        error: GrilleError,
    },
    /// A fan curve that cannot be one.
    #[error("{}", .0.kind)]
    Curve(CurveFault),
    /// A fabric that cannot be one.
    #[error("{0}")]
    Fabric(FabricFault),
    /// A run that needs more memory than allowed.
    #[error(
        "grille \"{grille}\" needs {cells:.2e} cells, which take {} of memory; the limit is {}",
        bytes_in_words(*memory_bytes),
        bytes_in_words(*limit_bytes)
    )]
    TooManyCells {
        /// The grille.
        grille: String,
        /// Cells of its largest run.
        cells: f64,
        /// Memory that they take, in bytes.
        memory_bytes: f64,
        /// Memory that may be taken, in bytes.
        limit_bytes: f64,
    },
}

/// `a, b or c`
pub(super) fn join(words: &[&str]) -> String {
    match words {
        [] => String::new(),
        [one] => (*one).to_owned(),
        [first @ .., last] => format!("{} or {last}", first.join(", ")),
    }
}

/// `"a", "b" or "c"`
fn quoted(words: &[&str]) -> String {
    let words: Vec<String> = words.iter().map(|word| format!("\"{word}\"")).collect();
    join(&words.iter().map(String::as_str).collect::<Vec<_>>())
}

/// A number of bytes as a person says it: `3.2 GB`.
fn bytes_in_words(bytes: f64) -> String {
    let units = ["B", "kB", "MB", "GB", "TB", "PB", "EB"];
    let mut value = bytes;
    let mut unit = 0;
    while value >= 1000.0 && unit + 1 < units.len() {
        value /= 1000.0;
        unit += 1;
    }
    format!("{value:.1} {}", units[unit])
}
