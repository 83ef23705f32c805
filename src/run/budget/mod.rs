//! A batch with a time budget: every grille at a glance first, then the undecided ones near the top as deep as the time allows.
//!
//! After each step the ranking decides on the next one ([`Night::next`]):
//!
//! 1. grilles that have no number yet, and those whose holes turn in a way that only three dimensions can tell;
//! 2. the best grille and those that tie with it, the shallowest of them first;
//! 3. the best three, although nothing ties with them, because they will be printed;
//! 4. the ties further down, one group after the other, as far as the better half.
//!
//! Of a step that does not fit into the time, as many grilles from the top as do fit. What was left out is told as further steps with their times.

use std::collections::{HashMap, HashSet};
use std::rc::Rc;

use crate::measure::series::StopReason;
use crate::result::{BudgetStep, GrilleName, RunSummary, StudyResult};
use crate::run::batch::schedule::{Capacity, expected_batch_seconds};
use crate::run::planned::Run;
use crate::run::planning::plan::{
    Plan, PlannedGrille, TooLarge, ZonePlan, planned_ahead, together,
};
use crate::study::{Quality, Study};

mod wishes;

use wishes::Wish;

/// Further steps that are told.
const TOLD_STEPS: usize = 3;

/// What was solved so far, by the inputs of the run.
pub type Known = HashMap<String, RunSummary>;

/// How deep each grille of a study is solved, step by step.
#[derive(Debug, Clone)]
pub struct Night<'a> {
    /// The study at each quality.
    studies: [Study; 3],
    study: &'a Study,
    capacity: Capacity,
    /// Of each grille, in the order of the study.
    qualities: Vec<Quality>,
    /// Whether a grille cannot go deeper: it would not fit into memory, or the time for it ran out once.
    is_at_end: Vec<bool>,
    /// The step under way: its grilles with the quality that they had.
    under_way: Vec<(usize, Quality)>,
    /// What was planned of a grille at a quality: laying a pattern on a grid takes a while.
    planned: HashMap<(usize, Quality), Rc<Planned>>,
    /// The same of the grilles of panels ahead of the fan, at every quality, once they are asked for.
    panels: Option<Vec<Rc<Planned>>>,
    /// Seconds of the clock per second expected, as the last step went.
    pace: f64,
}

/// Some grilles, one quality deeper.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    /// Indices in the study, best first.
    pub grilles: Vec<usize>,
    /// The quality that they get.
    pub quality: Quality,
    /// Why they, in plain words.
    pub reason: String,
    /// Time that it takes about, s.
    pub seconds: f64,
}

impl<'a> Night<'a> {
    /// Begins with all grilles at the lowest quality.
    pub fn begin(study: &'a Study, capacity: Capacity) -> Self {
        let count = study.grilles.len();
        Self {
            studies: Quality::WORDS.map(|(_, quality)| study.at(quality)),
            study,
            capacity,
            planned: HashMap::new(),
            panels: None,
            qualities: vec![Quality::Quick; count],
            is_at_end: vec![false; count],
            under_way: Vec::new(),
            pace: 1.0,
        }
    }

    /// Takes each grille at the deepest quality whose runs are all there, or at the lowest: what an earlier night or several machines have solved.
    pub fn take_what_is_there(&mut self, are_there: &dyn Fn(&[Run]) -> bool) {
        for grille in 0..self.qualities.len() {
            let mut quality = self.study.run.quality;
            while quality > Quality::Quick {
                let planned = self.planned(std::iter::once((grille, quality)));
                if planned.iter().all(|one| are_there(&one.grille.runs)) {
                    break;
                }
                quality = shallower(quality);
            }
            self.qualities[grille] = quality;
        }
    }

    /// The runs of all grilles, each as deep as it is to be solved now.
    ///
    /// # Errors
    /// [`TooLarge`] for every grille that does not fit into memory even at a glance.
    pub fn plan(&mut self) -> Result<Plan, Vec<TooLarge>> {
        let qualities = self.qualities.clone();
        let planned = self.planned(qualities.into_iter().enumerate());
        let grilles: Vec<&PlannedGrille> = planned.iter().map(|one| &one.grille).collect();
        // A panel is solved as deep as its grille.
        let ahead = planned_ahead(self.study, |grille| {
            let quality = self.qualities[grille];
            let mut studies = self.studies.iter();
            studies
                .find(|study| study.run.quality == quality)
                .unwrap_or(self.study)
        });
        together(&grilles, &ahead)
    }

    /// Grilles, each at a quality; those that do not resolve are left out.
    fn planned(&mut self, wanted: impl Iterator<Item = (usize, Quality)>) -> Vec<Rc<Planned>> {
        let mut found = Vec::new();
        for (grille, quality) in wanted {
            if let Some(known) = self.planned.get(&(grille, quality)) {
                found.push(Rc::clone(known));
                continue;
            }
            let study = self
                .studies
                .iter()
                .find(|study| study.run.quality == quality);
            let Some(planned) = study.and_then(|study| PlannedGrille::of(study, grille)) else {
                continue;
            };
            let planned = Rc::new(Planned::of(planned));
            self.planned.insert((grille, quality), Rc::clone(&planned));
            found.push(planned);
        }
        found
    }

    /// Of a study behind a fan, those of some grilles that panels are made of as they stand ahead of it, at a quality.
    fn planned_panels(&mut self, grilles: &[usize], quality: Quality) -> Vec<Rc<Planned>> {
        let Some(panels) = &self.panels else {
            let ahead = self.studies.iter().map(|study| {
                let planned = planned_ahead(study, |_| study);
                planned.into_iter().map(|one| Rc::new(Planned::of(one)))
            });
            self.panels = Some(ahead.flatten().collect());
            return self.planned_panels(grilles, quality);
        };
        let is_wanted = |one: &&Rc<Planned>| one.grille.is_of(grilles, quality);
        panels.iter().filter(is_wanted).cloned().collect()
    }

    /// Takes note of how a step went: `expected` and `spent` seconds of what was really solved.
    pub fn went(&mut self, expected: f64, spent: f64) {
        // A step of a second says nothing about the machine.
        if expected > 1.0 && spent > 1.0 {
            self.pace = spent / expected;
        }
    }

    /// Puts grilles of the last step back to the quality that they had, where the time ran out before all of their runs were done. Returns them.
    pub fn put_back_unfinished(&mut self, plan: &Plan, known: &Known) -> Vec<usize> {
        let is_done = |run: &usize| {
            let summary = known.get(&identity(&plan.runs[*run]));
            summary.is_some_and(|summary| summary.stop_reason != StopReason::TimeBudget.in_words())
        };
        let mut unfinished = Vec::new();
        for (grille, before) in std::mem::take(&mut self.under_way) {
            let every = plan.grilles.iter().chain(&plan.ahead);
            let zones = every.filter(|plan| plan.index == grille);
            let mut runs = zones.flat_map(|plan| plan.zones.iter().flat_map(runs_of));
            if !runs.all(|run| is_done(&run)) {
                self.qualities[grille] = before;
                self.is_at_end[grille] = true;
                unfinished.push(grille);
            }
        }
        unfinished
    }

    /// The next step that fits into `seconds_left`; [`Night::plan`] then has it in. `None` when nothing is undecided or nothing fits.
    pub fn next(&mut self, result: &StudyResult, known: &Known, seconds_left: f64) -> Option<Step> {
        let solved: HashSet<&str> = known.keys().map(String::as_str).collect();
        loop {
            let wishes = self.wishes(result);
            let mut has_learnt = false;
            for mut wish in wishes {
                // Few at a time: what is done is done when the time runs out, and the ranking may be decided by then.
                wish.grilles.truncate(2 * self.capacity.threads.max(1));
                match self.fitting(wish, &solved, seconds_left) {
                    Fit::Step(step) => {
                        self.under_way = step
                            .grilles
                            .iter()
                            .map(|&grille| (grille, self.qualities[grille]))
                            .collect();
                        for &grille in &step.grilles {
                            self.qualities[grille] = step.quality;
                        }
                        return Some(step);
                    }
                    Fit::TooLarge => has_learnt = true,
                    Fit::No => {}
                }
            }
            if !has_learnt {
                return None;
            }
        }
    }

    /// What more time would be spent on, in this order, each step with its time after the one before.
    pub fn further(&self, result: &StudyResult, known: &Known) -> Vec<BudgetStep> {
        let solved: HashSet<&str> = known.keys().map(String::as_str).collect();
        let mut later = self.clone();
        later.is_at_end = vec![false; self.qualities.len()];
        let mut steps: Vec<BudgetStep> = Vec::new();
        for wish in later.wishes(result) {
            let Fit::Step(step) = later.fitting(wish, &solved, f64::INFINITY) else {
                continue;
            };
            let step = self.told(&step, None);
            let is_in = |told: &BudgetStep| {
                let mut names = step.grilles.iter();
                told.quality == step.quality && names.all(|name| told.grilles.contains(name))
            };
            if steps.len() < TOLD_STEPS && !steps.iter().any(is_in) {
                steps.push(step);
            }
        }
        steps
    }

    /// A step in the words of the outputs.
    pub fn told(&self, step: &Step, spent: Option<f64>) -> BudgetStep {
        BudgetStep {
            grilles: step
                .grilles
                .iter()
                .map(|&grille| GrilleName::of(self.study, grille))
                .collect(),
            quality: step.quality,
            reason: step.reason.clone(),
            expected_s: step.seconds,
            spent_s: spent,
            unfinished: Vec::new(),
        }
    }

    /// As many grilles of a wish, from its beginning, as fit into the time.
    fn fitting(&mut self, wish: Wish, solved: &HashSet<&str>, seconds_left: f64) -> Fit {
        let mut count = wish.grilles.len();
        while count > 0 {
            let grilles = &wish.grilles[..count];
            match self.cost(grilles, wish.quality, solved) {
                Ok(seconds) if seconds <= seconds_left => {
                    return Fit::Step(Step {
                        grilles: grilles.to_vec(),
                        quality: wish.quality,
                        reason: wish.reason,
                        seconds,
                    });
                }
                // From many too many at once: a night may have two hundred grilles.
                Ok(seconds) => count = (count - 1).min(share(count, seconds_left / seconds)),
                Err(too_large) => {
                    for grille in too_large {
                        self.is_at_end[grille] = true;
                    }
                    return Fit::TooLarge;
                }
            }
        }
        Fit::No
    }

    /// Time, s, of the runs that these grilles need more for a quality.
    ///
    /// # Errors
    /// Those that do not fit into memory at it.
    fn cost(
        &mut self,
        grilles: &[usize],
        quality: Quality,
        solved: &HashSet<&str>,
    ) -> Result<f64, Vec<usize>> {
        let mut planned = self.planned(grilles.iter().map(|&grille| (grille, quality)));
        planned.extend(self.planned_panels(grilles, quality));
        let too_large = planned.iter().filter(|one| one.grille.too_large.is_some());
        let too_large: Vec<usize> = too_large.map(|one| one.grille.index()).collect();
        if !too_large.is_empty() {
            return Err(too_large);
        }
        let mut seen = solved.clone();
        let mut pending = Vec::new();
        for one in &planned {
            for (run, identity) in one.grille.runs.iter().zip(&one.identities) {
                if seen.insert(identity) {
                    pending.push(run);
                }
            }
        }
        Ok(self.pace * expected_batch_seconds(&pending, self.capacity))
    }
}

/// A grille at a quality with the identities of its runs.
#[derive(Debug)]
struct Planned {
    grille: PlannedGrille,
    identities: Vec<String>,
}

impl Planned {
    fn of(grille: PlannedGrille) -> Self {
        Self {
            identities: grille.runs.iter().map(identity).collect(),
            grille,
        }
    }
}

/// Whether a wish can be fulfilled.
enum Fit {
    Step(Step),
    No,
    TooLarge,
}

/// The study as the views of the whole fan face take it: with a budget grilles differ in depth, and the views, which change no rank, are no deeper than `standard`.
pub fn for_fan_views(study: &Study) -> Study {
    match study.run.budget {
        Some(_) => study.at(study.run.quality.min(Quality::Standard)),
        None => study.clone(),
    }
}

/// By what a run is known again.
pub fn identity(run: &Run) -> String {
    run.identity()
}

fn runs_of(zone: &ZonePlan) -> impl Iterator<Item = usize> + '_ {
    let points = zone.points.iter().chain(&zone.repeat);
    points.flat_map(|point| point.runs.iter().copied())
}

fn shallower(quality: Quality) -> Quality {
    match quality {
        Quality::Quick | Quality::Standard => Quality::Quick,
        Quality::Overnight => Quality::Standard,
    }
}

/// Part of a count, at least nothing.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "between 0 and the count"
)]
fn share(count: usize, part: f64) -> usize {
    (count as f64 * part.clamp(0.0, 1.0)).ceil() as usize
}
