//! A batch with a time budget: step by step, with a ranking on disk after each.

use std::sync::atomic::Ordering;

use jiff::ZonedDateTime;

use crate::cli::clock::{clock_after, seconds_of};
use crate::cli::desk::{Batch, Desk};
use crate::cli::planned::too_large;
use crate::cli::progress::{Progress, Stage};
use crate::cli::progress_words::{batch_in_words, best_so_far};
use crate::cli::results::write_ranking;
use crate::cli::{Failure, StudyOnDisk};
use crate::report::duration_in_words;
use crate::result::{
    BudgetResult, BudgetStep, GrilleName, Quality, RunSummary, StudyResult, push_step,
};
use crate::run::batch::schedule::schedule;
use crate::run::batch::{BatchLimits, solve};
use crate::run::budget::{Known, Night, Step, identity};
use crate::run::conclusions::conclude::conclude;
use crate::run::planned::Run;
use crate::run::planning::plan::Plan;
use crate::study::{Study, TimeBudget};

/// Part of the time that is kept for the fan views, and for runs that take longer than expected.
const RESERVE: f64 = 0.1;

/// Solves a study within a budget.
pub(super) fn solve_within(
    on_disk: &StudyOnDisk,
    budget: TimeBudget,
    desk: &Desk<'_>,
) -> Result<Batch, Failure> {
    let given = seconds_of(budget, &ZonedDateTime::now());
    desk.terminal.note(&format!(
        "{} for everything: first a number for each grille, then the top as deep as time allows",
        duration_in_words(given)
    ));
    let mut under_way = UnderWay {
        study: &on_disk.study,
        desk,
        end: (1.0 - RESERVE) * given,
        spent: 0.0,
        known: Known::new(),
        best: None,
        ends_at: clock_after(given, &ZonedDateTime::now()),
        has_lost_files: false,
    };
    let mut night = Night::begin(&on_disk.study, desk.limits.capacity);
    let mut steps: Vec<BudgetStep> = Vec::new();
    let mut step: Option<Step> = None;
    loop {
        let plan = night
            .plan()
            .map_err(|grilles| too_large(on_disk, grilles))?;
        let (expected, spent) = under_way.solve(&plan);
        if desk.is_interrupted() {
            return Ok(under_way.batch(plan, None));
        }
        night.went(expected, spent);
        let unfinished = night.put_back_unfinished(&plan, &under_way.known);
        let mut told = match &step {
            Some(step) => night.told(step, Some(spent)),
            None => glance(&on_disk.study, expected, spent),
        };
        let name = |&grille: &usize| GrilleName::of(&on_disk.study, grille);
        told.unfinished = unfinished.iter().map(name).collect();
        push_step(&mut steps, told);
        let plan = if unfinished.is_empty() {
            plan
        } else {
            night
                .plan()
                .map_err(|grilles| too_large(on_disk, grilles))?
        };
        let result = under_way.conclude(&plan);
        under_way.best = best_so_far(&result);
        let left = under_way.end - under_way.spent;
        step = night.next(&result, &under_way.known, left);
        let budget = BudgetResult {
            given_s: given,
            spent_s: under_way.spent,
            steps: steps.clone(),
            further: night.further(&result, &under_way.known),
        };
        let Some(step) = &step else {
            return Ok(under_way.batch(plan, Some(budget)));
        };
        let mut so_far = result;
        so_far.this_run.budget = Some(budget);
        // An answer early; where it cannot be written, the last one will say so.
        if let Err(Failure::Broken(error)) = write_ranking(desk.folder, &so_far) {
            desk.terminal.complaint(&error.to_string());
        }
        desk.terminal.note(&format!(
            "next: {} at {}, {}; about {}",
            count_in_words(step.grilles.len()),
            step.quality,
            step.reason,
            duration_in_words(step.seconds)
        ));
    }
}

/// What every budget begins with.
fn glance(study: &Study, expected: f64, spent: f64) -> BudgetStep {
    BudgetStep {
        grilles: (0..study.grilles.len())
            .map(|id| GrilleName::of(study, id))
            .collect(),
        quality: Quality::Quick,
        reason: "a number for each".to_owned(),
        expected_s: expected,
        spent_s: Some(spent),
        unfinished: Vec::new(),
    }
}

fn count_in_words(count: usize) -> String {
    if count == 1 {
        "1 grille".to_owned()
    } else {
        format!("{count} grilles")
    }
}

/// A night so far.
struct UnderWay<'a> {
    study: &'a Study,
    desk: &'a Desk<'a>,
    /// When the last run must be done, s from the start.
    end: f64,
    spent: f64,
    known: Known,
    /// The best grille of the ranking so far.
    best: Option<String>,
    /// What the clock shows at the end of the budget.
    ends_at: String,
    has_lost_files: bool,
}

impl UnderWay<'_> {
    /// Solves what is not known of a plan; expected and spent seconds of what was really solved.
    fn solve(&mut self, plan: &Plan) -> (f64, f64) {
        let is_new = |run: &&Run| !self.known.contains_key(&identity(run));
        let runs: Vec<Run> = plan.runs.iter().filter(is_new).cloned().collect();
        if runs.is_empty() {
            return (0.0, 0.0);
        }
        let desk = self.desk;
        let capacity = desk.limits.capacity;
        let progress = Progress::new(
            &runs,
            Stage::Ranking,
            capacity.threads,
            desk.terminal,
            desk.stops,
        )
        .with_best(self.best.clone())
        .ends_at(self.ends_at.clone());
        let limits = BatchLimits {
            batch_seconds: (self.end - self.spent).max(0.0),
            ..desk.limits
        };
        let batch = solve(&runs, desk.folder, &limits, &progress);
        let spent = progress.end();
        self.spent += spent;
        self.has_lost_files |= batch.has_lost_files;
        if !desk.is_interrupted() {
            desk.terminal.note(&batch_in_words(&batch.summaries, spent));
        }
        let mut solved = Vec::new();
        for (index, summary) in batch.summaries.into_iter().enumerate() {
            let Some(summary) = summary else { continue };
            if !summary.was_reused {
                solved.push(index);
            }
            self.known.insert(identity(&runs[index]), summary);
        }
        (schedule(&runs, &solved, capacity).seconds, spent)
    }

    fn summaries(&self, plan: &Plan) -> Vec<Option<RunSummary>> {
        let runs = plan.runs.iter();
        runs.map(|run| self.known.get(&identity(run)).cloned())
            .collect()
    }

    fn conclude(&self, plan: &Plan) -> StudyResult {
        let summaries = self.summaries(plan);
        let version = env!("CARGO_PKG_VERSION");
        conclude(self.study, plan, &summaries, version, self.spent).result
    }

    fn batch(&self, plan: Plan, budget: Option<BudgetResult>) -> Batch {
        Batch {
            summaries: self.summaries(&plan),
            plan,
            elapsed: self.spent,
            has_lost_files: self.has_lost_files,
            budget,
        }
    }
}

impl Desk<'_> {
    /// Whether the user asked to stop.
    pub(super) fn is_interrupted(&self) -> bool {
        self.stops.load(Ordering::Relaxed) > 0
    }
}
