//! What a night would do next: which grilles, how deep, and why.

use std::collections::HashSet;

use crate::result::{GrilleResult, StudyResult};
use crate::run::budget::Night;
use crate::run::planned::Run;
use crate::study::Quality;

/// Grilles of the top that are solved deeper even if nothing ties with them.
const TO_PRINT: usize = 3;

/// What a step would be for.
pub(super) struct Wish {
    pub(super) grilles: Vec<usize>,
    pub(super) quality: Quality,
    pub(super) reason: String,
}

impl Night<'_> {
    /// Steps that would help, the most urgent first, whether they fit or not.
    pub(super) fn wishes(&mut self, result: &StudyResult) -> Vec<Wish> {
        let in_three_dimensions = self.undecided_at_a_glance(result);
        let mut wishes = Vec::new();
        let mut wish = |grilles: Vec<usize>, reason: &str| {
            wishes.extend(self.shallowest(&grilles).map(|(grilles, quality)| Wish {
                grilles,
                quality,
                reason: reason.to_owned(),
            }));
        };
        let without_number = result.grilles.iter().filter(|grille| grille.rank.is_none());
        wish(without_number.map(|it| it.id).collect(), "no number yet");
        wish(
            in_three_dimensions,
            "only a three-dimensional run can show what turned holes or swirl do to it",
        );
        let (top, below): (Vec<_>, Vec<_>) = tied_groups(result)
            .into_iter()
            .partition(|group| group[0].rank == Some(1));
        for group in top {
            wish(
                group.into_iter().map(|it| it.id).collect(),
                "too close to call at the top",
            );
        }
        let best = result.grilles.iter().filter(|grille| grille.rank.is_some());
        wish(
            best.take(TO_PRINT).map(|it| it.id).collect(),
            "the best ones, to narrow their ranges",
        );
        for group in below {
            let place = group[0].rank.map_or(0, |rank| rank as usize);
            if 2 * place <= result.grilles.len() {
                let reason = format!("tied at place {place}");
                wish(group.into_iter().map(|it| it.id).collect(), &reason);
            }
        }
        wishes
    }

    /// Grilles of which only three dimensions tell what is not known yet.
    fn undecided_at_a_glance(&mut self, result: &StudyResult) -> Vec<usize> {
        let is_doubt = |code: &str| matches!(code, "turn-undecided" | "swirl-unseen");
        let is_undecided = |grille: &&GrilleResult| {
            grille.quality == Quality::Quick
                && grille
                    .warnings
                    .iter()
                    .any(|warning| is_doubt(&warning.code))
        };
        let undecided = result.grilles.iter().filter(is_undecided);
        let undecided: Vec<usize> = undecided.map(|it| it.id).collect();
        let helps = |grille: &usize| {
            let planned = self.planned(std::iter::once((*grille, Quality::Standard)));
            let mut runs = planned.iter().flat_map(|one| &one.grille.runs);
            runs.any(Run::is_repeat)
        };
        undecided.into_iter().filter(helps).collect()
    }

    /// Those of some grilles that were solved least deep, and the quality that comes next for them.
    fn shallowest(&self, grilles: &[usize]) -> Option<(Vec<usize>, Quality)> {
        let can_go_on = |grille: &&usize| {
            !self.is_at_end[**grille] && self.qualities[**grille] < self.study.run.quality
        };
        let open = grilles.iter().filter(can_go_on);
        let least = open.clone().map(|&grille| self.qualities[grille]).min()?;
        let chosen = open
            .copied()
            .filter(|&grille| self.qualities[grille] == least);
        Some((chosen.collect(), deeper(least)?))
    }
}

fn deeper(quality: Quality) -> Option<Quality> {
    match quality {
        Quality::Quick => Some(Quality::Standard),
        Quality::Standard => Some(Quality::Overnight),
        Quality::Overnight => None,
    }
}

/// Groups of ranked grilles that tie with the best of the group, from the top down; each grille in one group, none alone.
fn tied_groups(result: &StudyResult) -> Vec<Vec<&GrilleResult>> {
    let ranked = result.grilles.iter().filter(|grille| grille.rank.is_some());
    let mut rest: Vec<&GrilleResult> = ranked.collect();
    let mut groups = Vec::new();
    while !rest.is_empty() {
        let best = rest[0];
        let tied: HashSet<usize> = result.tied_with(best.id).map(|it| it.id).collect();
        let (group, others): (Vec<_>, Vec<_>) = rest
            .into_iter()
            .partition(|grille| grille.id == best.id || tied.contains(&grille.id));
        if group.len() > 1 {
            groups.push(group);
        }
        rest = others;
    }
    groups
}
