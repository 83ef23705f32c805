//! What `run` would do, as `check` foresees it.

use crate::result::View;

/// What `run` would do, as it foresees it.
#[derive(Debug, Clone, PartialEq)]
pub struct RunPlan {
    /// The runs, in the order in which they would start.
    pub runs: Vec<PlannedRun>,
    /// Views of the whole fan face that follow the ranking.
    pub fan_views: Vec<PlannedRun>,
    /// Runs at a time.
    pub threads: usize,
    /// Memory that the runs may take together, bytes.
    pub memory_limit: u64,
    /// What they take on disk; with a time budget all that it could come to.
    pub disk: Disk,
    /// With a time budget: then `runs` are those of the first step.
    pub budget: Option<BudgetForeseen>,
    /// The films that `smoke` would make afterwards.
    pub films: FilmsForeseen,
    /// Names of the grilles whose holes turn but are run as straight.
    pub undecided: Vec<String>,
}

/// What a batch takes on disk, about, bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Disk {
    /// What it leaves.
    pub left: u64,
    /// The most at a time, interrupted runs included.
    pub most: u64,
}

/// Films of the first grilles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FilmsForeseen {
    /// How many.
    pub count: usize,
    /// Panels of all of them together.
    pub panels: usize,
    /// Time that they take, s.
    pub seconds: f64,
}

/// What a time budget has to choose from.
#[derive(Debug, Clone, PartialEq)]
pub struct BudgetForeseen {
    /// Time that is given, s.
    pub given: f64,
    /// Each deeper quality that is allowed, and the time, s, of one more grille at it, on average.
    pub deeper: Vec<(String, f64)>,
}

/// One run that is planned.
#[derive(Debug, Clone, PartialEq)]
pub struct PlannedRun {
    /// Name of the grille.
    pub grille: String,
    /// Which view.
    pub view: View,
    /// Whether it is solved in three dimensions.
    pub is_three_dimensional: bool,
    /// Velocity in front of the patterned zone, or in the bore, m/s.
    pub face_velocity: f64,
    /// Number of cells.
    pub cell_count: u64,
    /// Memory that it takes, bytes.
    pub memory_bytes: u64,
    /// Relative half-width of K in time up to which it may stop.
    pub allowed_width: f64,
    /// Time that it takes, s, as a share of the whole: the sum over all runs is the time of the batch.
    pub seconds: f64,
}
