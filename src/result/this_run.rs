//! What may differ between two runs of the same study: times, and what was found on disk.

use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

use crate::result::{GrilleName, Quality, StudyResult};

/// What may differ between two runs of the same study.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct ThisRun {
    /// Time that it took, s.
    pub elapsed_s: f64,
    /// How a time budget was spent; null where none was given.
    pub budget: Option<BudgetResult>,
    /// Every run that stands behind the numbers, once.
    pub runs: Vec<RunTime>,
}

/// A run as it went this time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct RunTime {
    /// Name of its folder under runs/.
    pub key: String,
    /// Time that it took when it was solved, s.
    pub elapsed_s: f64,
    /// Whether its result was found on disk.
    pub was_reused: bool,
}

impl StudyResult {
    /// Notes for [`ThisRun`] what each run of the result took, each once.
    pub fn note_runs(&mut self) {
        let solved = self.grilles.iter().flat_map(|grille| &grille.runs);
        let views = self.grilles.iter().filter_map(|it| it.fan_view.as_ref());
        let views = views.chain(&self.bare_fan_view);
        let views = views.flat_map(|view| std::iter::once(&view.run).chain(&view.rings));
        let mut runs: Vec<RunTime> = Vec::new();
        for run in solved.chain(views) {
            if !runs.iter().any(|known| known.key == run.key) {
                runs.push(RunTime {
                    key: run.key.clone(),
                    elapsed_s: run.elapsed_s,
                    was_reused: run.was_reused,
                });
            }
        }
        self.this_run.runs = runs;
    }
}

/// A time budget and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BudgetResult {
    /// Time that was given, s.
    pub given_s: f64,
    /// Time that was spent on the ranking, s.
    pub spent_s: f64,
    /// What was solved, in this order.
    pub steps: Vec<BudgetStep>,
    /// What more time would be spent on.
    pub further: Vec<BudgetStep>,
}

/// Some grilles at one quality.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct BudgetStep {
    /// The grilles, best first.
    pub grilles: Vec<GrilleName>,
    /// The quality.
    pub quality: Quality,
    /// Why they, in plain words.
    pub reason: String,
    /// Time that was expected, s.
    pub expected_s: f64,
    /// Time that it took, s; null for what was not done.
    pub spent_s: Option<f64>,
    /// Those of the grilles for which the time ran out: interrupted runs are kept, and the next batch goes on with them.
    pub unfinished: Vec<GrilleName>,
}

/// Adds a step to those before it; one like the last, for the same reason, goes on with that one.
pub fn push_step(steps: &mut Vec<BudgetStep>, step: BudgetStep) {
    match steps.last_mut() {
        Some(last) if last.quality == step.quality && last.reason == step.reason => {
            last.grilles.extend(step.grilles);
            last.unfinished.extend(step.unfinished);
            last.expected_s += step.expected_s;
            if let (Some(spent), Some(more)) = (&mut last.spent_s, step.spent_s) {
                *spent += more;
            }
        }
        _ => steps.push(step),
    }
}
