//! What to measure: how often each design is mounted, and in which order, with the bare fan in between.
//!
//! The order is that of randomised complete blocks: every design once per remount, shuffled anew each time, so that a drift of the bench cannot pass for a difference
//! between designs (NIST/SEMATECH e-Handbook of Statistical Methods, section 5.3.3.2). The bare fan opens every block, stands in the middle of one with more than three designs, and ends the day.

use serde::Serialize;

use crate::bench::BARE_FAN;
use crate::bench::power::{FALSE_ALARM, POWER, repeats_needed};
use crate::bench::sealed::{PromisedDesign, Sealed};

/// Scatter of a remount, per cent of the reading, where the maker does not know it. Judgement: a hobby bench with the same head in the same place.
pub const SCATTER_PERCENT: f64 = 2.0;

/// Fewest remounts: fewer make an interval that is of no use.
pub const FEWEST_REMOUNTS: usize = 3;

/// Most remounts of a plan, where the maker does not say otherwise.
pub const MOST_REMOUNTS: usize = 9;

/// Designs in a block from which on the bare fan stands in its middle too.
const LONG_BLOCK: usize = 4;

/// What the maker says.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlanWishes {
    /// Standard deviation of one remount, per cent of the reading.
    pub scatter_percent: f64,
    /// A difference, per cent of the bare fan, that is to be seen between any two; `None` takes the predicted ones.
    pub difference_percent: Option<f64>,
    /// Most remounts.
    pub most_remounts: usize,
    /// Whether the share of false alarms holds for all neighbours together (Bonferroni) instead of for each pair.
    pub has_bonferroni: bool,
    /// Seed of the order.
    pub seed: u64,
}

impl Default for PlanWishes {
    fn default() -> Self {
        Self {
            scatter_percent: SCATTER_PERCENT,
            difference_percent: None,
            most_remounts: MOST_REMOUNTS,
            has_bonferroni: false,
            seed: 1,
        }
    }
}

/// Two neighbours in the promised order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlannedPair {
    /// The better one.
    pub better: String,
    /// The next.
    pub other: String,
    /// Promised difference, per cent of the bare fan.
    pub difference_percent: f64,
    /// Whether the prediction cannot tell them apart.
    pub is_promised_tie: bool,
    /// Remounts of each that would show that difference; `None` where nobody would mount so often.
    pub remounts_needed: Option<usize>,
    /// Whether the plan has as many.
    pub is_shown_by_plan: bool,
}

/// One reading to take.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlannedReading {
    /// Place in the order, from 1.
    pub order: usize,
    /// Design, or the bare fan.
    pub design: String,
    /// Which remount.
    pub remount: usize,
}

/// What to measure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BenchPlan {
    /// Name of the study.
    pub study: String,
    /// Scatter that was reckoned with, per cent of the reading.
    pub scatter_percent: f64,
    /// Share of false alarms for each pair.
    pub false_alarm: f64,
    /// Whether that was divided by the number of pairs.
    pub has_bonferroni: bool,
    /// Probability of seeing a difference that is there.
    pub power: f64,
    /// Seed of the order.
    pub seed: u64,
    /// Remounts of each design.
    pub remounts: usize,
    /// Neighbours in the promised order.
    pub pairs: Vec<PlannedPair>,
    /// Least difference that the plan shows with that probability, per cent of the bare fan at the mean promised flow; `None` beyond 50.
    pub least_difference_percent: Option<f64>,
    /// The readings in order.
    pub readings: Vec<PlannedReading>,
}

/// Why there is nothing to plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PlanError {
    /// No design has a number.
    #[error("no design of this prediction has a number; there is nothing to compare")]
    NoDesigns,
    /// Wishes that cannot be.
    #[error("{0}")]
    Wish(&'static str),
}

/// Plans the readings.
///
/// Remounts are as many as the neediest pair of neighbours wants that the most remounts can show at all, three at least.
///
/// # Errors
/// [`PlanError`].
pub fn plan(sealed: &Sealed, wishes: &PlanWishes) -> Result<BenchPlan, PlanError> {
    let is_scatter = wishes.scatter_percent > 0.0 && wishes.scatter_percent <= 50.0;
    if !is_scatter {
        return Err(PlanError::Wish(
            "the scatter must lie above 0 and at most at 50 %",
        ));
    }
    if !(FEWEST_REMOUNTS..=100).contains(&wishes.most_remounts) {
        return Err(PlanError::Wish(
            "the most remounts must lie between 3 and 100",
        ));
    }
    let is_difference = |difference: f64| difference > 0.0 && difference <= 100.0;
    if !wishes.difference_percent.is_none_or(is_difference) {
        return Err(PlanError::Wish(
            "the difference must lie above 0 and at most at 100 %",
        ));
    }
    let level = |design: &&PromisedDesign| design.flow_percent.map(|percent| percent.value);
    let mut designs: Vec<&PromisedDesign> = sealed
        .designs
        .iter()
        .filter(|design| level(design).is_some_and(f64::is_finite))
        .collect();
    if designs.is_empty() {
        return Err(PlanError::NoDesigns);
    }
    designs.sort_by(|a, b| level(b).unwrap_or(0.0).total_cmp(&level(a).unwrap_or(0.0)));
    let neighbours = designs.len() - 1;
    let false_alarm = if wishes.has_bonferroni {
        FALSE_ALARM / neighbours.max(1) as f64
    } else {
        FALSE_ALARM
    };
    let mut pairs: Vec<PlannedPair> = designs
        .windows(2)
        .map(|pair| {
            let [a, b] = [pair[0], pair[1]].map(|design| level(&design).unwrap_or(0.0));
            let difference_percent = wishes.difference_percent.unwrap_or(a - b);
            let scatter = 0.01 * wishes.scatter_percent * 0.5 * (a + b);
            PlannedPair {
                better: pair[0].name.clone(),
                other: pair[1].name.clone(),
                difference_percent,
                is_promised_tie: pair[0].tied_with.contains(&pair[1].name),
                remounts_needed: repeats_needed(difference_percent, scatter, false_alarm, POWER),
                is_shown_by_plan: false,
            }
        })
        .collect();
    let remounts = pairs
        .iter()
        .filter_map(|pair| pair.remounts_needed)
        .filter(|needed| *needed <= wishes.most_remounts)
        .max()
        .unwrap_or(0)
        .max(FEWEST_REMOUNTS);
    for pair in &mut pairs {
        pair.is_shown_by_plan = pair
            .remounts_needed
            .is_some_and(|needed| needed <= remounts);
    }
    let mean_level = designs.iter().filter_map(level).sum::<f64>() / designs.len() as f64;
    Ok(BenchPlan {
        study: sealed.study.clone(),
        scatter_percent: wishes.scatter_percent,
        false_alarm,
        has_bonferroni: wishes.has_bonferroni,
        power: POWER,
        seed: wishes.seed,
        remounts,
        pairs,
        least_difference_percent: least_difference(
            0.01 * wishes.scatter_percent * mean_level,
            false_alarm,
            remounts,
        ),
        readings: order(&designs, remounts, wishes.seed),
    })
}

/// Least difference in tenths of a per cent that so many remounts show.
fn least_difference(scatter: f64, false_alarm: f64, remounts: usize) -> Option<f64> {
    let is_shown = |tenths: u32| {
        let needed = repeats_needed(0.1 * f64::from(tenths), scatter, false_alarm, POWER);
        needed.is_some_and(|needed| needed <= remounts)
    };
    let (mut hidden, mut shown) = (0, 500);
    if !is_shown(shown) {
        return None;
    }
    while shown - hidden > 1 {
        let middle = u32::midpoint(hidden, shown);
        if is_shown(middle) {
            shown = middle;
        } else {
            hidden = middle;
        }
    }
    Some(0.1 * f64::from(shown))
}

fn order(designs: &[&PromisedDesign], remounts: usize, seed: u64) -> Vec<PlannedReading> {
    let mut chance = Chance(seed);
    let mut readings = Vec::new();
    let mut add = |design: &str, remount: usize| {
        readings.push(PlannedReading {
            order: readings.len() + 1,
            design: design.to_owned(),
            remount,
        });
    };
    for remount in 1..=remounts {
        let mut block: Vec<&str> = designs.iter().map(|design| design.name.as_str()).collect();
        chance.shuffle(&mut block);
        add(BARE_FAN, remount);
        for (place, design) in block.iter().enumerate() {
            if block.len() >= LONG_BLOCK && place == block.len() / 2 {
                add(BARE_FAN, remount);
            }
            add(design, remount);
        }
    }
    add(BARE_FAN, remounts);
    readings
}

/// Random numbers that are the same on every machine (G. L. Steele, D. Lea and C. H. Flood, OOPSLA 2014, the generator splitmix64; from memory).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A number below `bound`.
    fn below(&mut self, bound: usize) -> usize {
        let wide = u128::from(self.next()) * bound as u128;
        usize::try_from(wide >> 64).unwrap_or(0)
    }

    /// Every order is as likely as any other (Fisher and Yates).
    fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.below(last + 1));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::bench::sealed::Promised;
    use std::collections::BTreeMap;

    pub(crate) fn sealed(percents: &[f64]) -> Sealed {
        let designs = percents
            .iter()
            .enumerate()
            .map(|(index, &percent)| PromisedDesign {
                name: format!("design {index}"),
                rank: u32::try_from(index + 1).ok(),
                flow_percent: Some(Promised {
                    value: percent,
                    low: percent - 2.0,
                    high: percent + 2.0,
                }),
                ..PromisedDesign::default()
            });
        Sealed {
            sealed_at: String::new(),
            code_version: String::new(),
            solved_by_version: String::new(),
            study: "desk".to_owned(),
            study_toml: String::new(),
            quality: String::new(),
            side: String::new(),
            reference_area_m2: 0.01,
            reference_area_words: String::new(),
            given_flow_m3_per_h: None,
            bare_fan: None,
            designs: designs.collect(),
            cautions: Vec::new(),
        }
    }

    #[test]
    fn blocks_hold_every_design_once_and_the_bare_fan_in_between() {
        let sealed = sealed(&[95.0, 90.0, 86.0, 80.0, 70.0]);
        let plan = plan(&sealed, &PlanWishes::default()).unwrap();
        let mut count: BTreeMap<(usize, &str), usize> = BTreeMap::new();
        for reading in &plan.readings {
            *count.entry((reading.remount, &reading.design)).or_default() += 1;
        }
        for remount in 1..=plan.remounts {
            for design in &sealed.designs {
                assert_eq!(count[&(remount, design.name.as_str())], 1);
            }
            let bare = count[&(remount, BARE_FAN)];
            assert_eq!(bare, if remount == plan.remounts { 3 } else { 2 });
        }
        let orders = plan.readings.iter().map(|reading| reading.order);
        assert!(orders.eq(1..=plan.readings.len()));
        assert_eq!(plan.readings[0].design, BARE_FAN);
        assert_eq!(plan.readings.last().unwrap().design, BARE_FAN);
    }

    #[test]
    fn the_seed_alone_makes_the_order() {
        let sealed = sealed(&[95.0, 90.0, 86.0, 80.0, 70.0]);
        let with = |seed| {
            let wishes = PlanWishes {
                seed,
                ..PlanWishes::default()
            };
            plan(&sealed, &wishes).unwrap().readings
        };
        assert_eq!(with(7), with(7));
        assert_ne!(with(7), with(8));
    }

    #[test]
    fn every_order_of_a_block_is_as_likely() {
        // 24 orders of four, 24,000 shuffles: chi-square with 23 degrees of freedom stays below 49.7 in 99.9 % of the cases (any table of the distribution).
        let mut chance = Chance(2024);
        let mut counts: BTreeMap<[u8; 4], f64> = BTreeMap::new();
        for _ in 0..24_000 {
            let mut items = [0, 1, 2, 3];
            chance.shuffle(&mut items);
            *counts.entry(items).or_default() += 1.0;
        }
        assert_eq!(counts.len(), 24);
        let chi_square: f64 = counts
            .values()
            .map(|count| (count - 1000.0).powi(2) / 1000.0)
            .sum();
        assert!(chi_square < 49.7, "{chi_square}");
    }

    #[test]
    fn remounts_follow_from_what_is_promised_and_how_it_scatters() {
        let sealed = sealed(&[93.0, 90.0, 89.9]);
        let wishes = |scatter_percent| PlanWishes {
            scatter_percent,
            ..PlanWishes::default()
        };
        let plan = |wishes: &PlanWishes| super::plan(&sealed, wishes).unwrap();
        let (fine, coarse) = (plan(&wishes(0.5)), plan(&wishes(1.5)));
        assert!(fine.remounts <= coarse.remounts);
        // A tenth of a per cent is nothing that nine remounts could show.
        assert!(coarse.pairs[0].is_shown_by_plan && !coarse.pairs[1].is_shown_by_plan);
        let strict = plan(&PlanWishes {
            has_bonferroni: true,
            ..wishes(1.5)
        });
        assert!(strict.pairs[0].remounts_needed > coarse.pairs[0].remounts_needed);
        let least = coarse.least_difference_percent.unwrap();
        assert!(least > 1.0 && least < 5.0, "{least}");
    }

    #[test]
    fn wishes_that_cannot_be_are_refused() {
        let sealed = sealed(&[93.0, 90.0]);
        let wish = PlanWishes::default();
        let wrong = [
            PlanWishes {
                scatter_percent: 0.0,
                ..wish
            },
            PlanWishes {
                scatter_percent: f64::NAN,
                ..wish
            },
            PlanWishes {
                most_remounts: 1,
                ..wish
            },
            PlanWishes {
                difference_percent: Some(-1.0),
                ..wish
            },
        ];
        assert!(wrong.iter().all(|wish| plan(&sealed, wish).is_err()));
        assert_eq!(
            plan(&super::tests::sealed(&[]), &wish),
            Err(PlanError::NoDesigns)
        );
        assert_eq!(
            plan(&super::tests::sealed(&[90.0]), &wish)
                .unwrap()
                .remounts,
            3
        );
    }
}
