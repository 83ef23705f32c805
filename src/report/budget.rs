//! How a batch with a time budget spent its time, and what it left out.

use serde::Serialize;

use crate::result::Quality;

/// A time budget and what became of it.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BudgetTold {
    /// Time that was given, s.
    pub given_s: f64,
    /// Time that was spent on the ranking, s (not compared between runs).
    pub spent_s: f64,
    /// What was solved, in this order.
    pub steps: Vec<BudgetStep>,
    /// What more time would be spent on.
    pub further: Vec<BudgetStep>,
}

/// Some grilles at one quality.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BudgetStep {
    /// Their names, best first.
    pub grilles: Vec<String>,
    /// The quality.
    pub quality: Quality,
    /// Why they.
    pub reason: String,
    /// Time that was expected, s (not compared between runs).
    pub expected_s: f64,
    /// Time that it took, s (not compared between runs); `None` for what was not done.
    pub spent_s: Option<f64>,
    /// Those of the grilles for which the time ran out: half runs are kept, and the next batch goes on with them.
    pub unfinished: Vec<String>,
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
