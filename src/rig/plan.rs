//! What to measure: how often each design is mounted, and in which order, with the bare fan in between.
//!
//! The order is that of randomised complete blocks: every design once per remount, shuffled anew each time, so that a drift of the bench cannot pass for a difference
//! between designs (NIST/SEMATECH e-Handbook of Statistical Methods, section 5.3.3.2). The bare fan opens every block, stands in the middle of one with more than three designs, and ends the day.
//! Designs are mounted so often that the rule by which the readings are judged ([`crate::comparison`]) tells the predicted neighbours apart, and that one bad reading is found.

use serde::Serialize;

use crate::rig::outlier::LEAST_FREEDOM;
use crate::rig::power::{FALSE_ALARM, POWER, critical_among, power_among, repeats_needed_among};
use crate::rig::sealed::{PromisedDesign, Sealed};
use crate::rig::shuffle::Chance;
use crate::text::BARE_FAN;

/// Scatter of a remount, per cent of the reading, where the maker does not know it. Judgement: a hobby bench with the same head in the same place.
pub const SCATTER_PERCENT: f64 = 2.0;

/// Fewest remounts of each of so many designs: three, and more of one or two, so that a bad reading is found ([`LEAST_FREEDOM`]).
///
/// # Examples
/// ```
/// assert_eq!([1, 2, 3, 8].map(ventwright::rig::plan::fewest_remounts), [6, 4, 3, 3]);
/// ```
pub fn fewest_remounts(designs: usize) -> usize {
    (1 + LEAST_FREEDOM.div_ceil(designs.max(1))).max(3)
}

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
    /// Readings to take each time that a design is mounted.
    pub readings_per_mount: usize,
    /// Seed of the order.
    pub seed: u64,
}

impl Default for PlanWishes {
    fn default() -> Self {
        Self {
            scatter_percent: SCATTER_PERCENT,
            difference_percent: None,
            most_remounts: MOST_REMOUNTS,
            readings_per_mount: 1,
            seed: 1,
        }
    }
}

/// Two neighbours in the predicted order.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlannedPair {
    /// The better one.
    pub better: String,
    /// The next.
    pub other: String,
    /// Predicted difference, per cent of the bare fan.
    pub difference_percent: f64,
    /// Whether the prediction cannot tell them apart.
    pub is_predicted_tie: bool,
    /// Remounts of each that would show that difference; `None` where nobody would mount so often.
    pub remounts_needed: Option<usize>,
    /// Whether the plan has as many.
    pub is_shown_by_plan: bool,
}

/// One turn: a design to mount and read, or the bare fan to read.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct PlannedReading {
    /// Place in the order, from 1.
    pub order: usize,
    /// Design, or the bare fan.
    pub design: String,
    /// Which remount of this design; of the bare fan, which of its turns.
    pub remount: usize,
    /// Which block.
    pub block: usize,
}

/// What to measure.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct BenchPlan {
    /// Name of the study.
    pub study: String,
    /// Scatter that was reckoned with, per cent of the reading.
    pub scatter_percent: f64,
    /// Probability of calling any of equal designs behind another.
    pub false_alarm: f64,
    /// Probability of seeing a difference that is there.
    pub power: f64,
    /// Seed of the order.
    pub seed: u64,
    /// Remounts of each design.
    pub remounts: usize,
    /// Readings each time.
    pub readings_per_mount: usize,
    /// Neighbours in the predicted order.
    pub pairs: Vec<PlannedPair>,
    /// Least difference that the plan shows with that probability, per cent of the bare fan at the mean predicted flow; `None` beyond 50.
    pub least_difference_percent: Option<f64>,
    /// The turns in order.
    pub readings: Vec<PlannedReading>,
}

/// Why there is nothing to plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[non_exhaustive]
pub enum PlanError {
    /// No design has a number.
    #[error("no design of this prediction has a number, so there is nothing to compare")]
    NoDesigns,
    /// Fewer remounts allowed than are needed.
    #[error(
        "the most remounts are {allowed}, but with {designs} design(s) it takes {needed} to find a bad reading"
    )]
    FewRemounts {
        /// As many are allowed.
        allowed: usize,
        /// As many are needed.
        needed: usize,
        /// Designs.
        designs: usize,
    },
    /// Wishes that cannot be.
    #[error("{0}")]
    Wish(&'static str),
}

/// Plans the readings.
///
/// Remounts are as many as the neediest pair of neighbours wants that the most remounts can show at all, [`fewest_remounts`] at least.
///
/// # Errors
/// [`PlanError`].
pub fn plan(sealed: &Sealed, wishes: &PlanWishes) -> Result<BenchPlan, PlanError> {
    let is_percent = |value: f64, most: f64| value > 0.0 && value <= most;
    for (is_allowed, otherwise) in [
        (
            is_percent(wishes.scatter_percent, 50.0),
            "the scatter must be above 0 and at most 50 %",
        ),
        (
            wishes
                .difference_percent
                .is_none_or(|difference| is_percent(difference, 100.0)),
            "the difference must be above 0 and at most 100 %",
        ),
        (
            wishes.most_remounts <= 100,
            "at most 100 remounts can be planned",
        ),
        (
            (1..=5).contains(&wishes.readings_per_mount),
            "the readings per mount must be between 1 and 5",
        ),
    ] {
        if !is_allowed {
            return Err(PlanError::Wish(otherwise));
        }
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
    let fewest = fewest_remounts(designs.len());
    if wishes.most_remounts < fewest {
        return Err(PlanError::FewRemounts {
            allowed: wishes.most_remounts,
            needed: fewest,
            designs: designs.len(),
        });
    }
    let needed = |difference: f64, scatter: f64| {
        repeats_needed_among(designs.len(), difference, scatter, POWER)
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
                is_predicted_tie: pair[0].tied_with.contains(&pair[1].name),
                remounts_needed: needed(difference_percent, scatter),
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
        .max(fewest);
    for pair in &mut pairs {
        pair.is_shown_by_plan = pair
            .remounts_needed
            .is_some_and(|needed| needed <= remounts);
    }
    let mean_level = designs.iter().filter_map(level).sum::<f64>() / designs.len() as f64;
    Ok(BenchPlan {
        study: sealed.study.clone(),
        scatter_percent: wishes.scatter_percent,
        false_alarm: FALSE_ALARM,
        power: POWER,
        seed: wishes.seed,
        remounts,
        readings_per_mount: wishes.readings_per_mount,
        pairs,
        least_difference_percent: least_difference(
            0.01 * wishes.scatter_percent * mean_level,
            designs.len(),
            remounts,
        ),
        readings: order(&designs, remounts, wishes.seed),
    })
}

/// Least difference in tenths of a per cent that so many remounts show.
fn least_difference(scatter: f64, designs: usize, remounts: usize) -> Option<f64> {
    let critical = critical_among(designs, remounts);
    let is_shown = |tenths: u32| {
        let effect = 0.1 * f64::from(tenths) / scatter;
        power_among(designs, remounts, effect, critical) >= POWER
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
    let mut readings: Vec<PlannedReading> = Vec::new();
    let mut add = |design: &str, block: usize| {
        let before = readings.iter().filter(|reading| reading.design == design);
        let remount = before.count() + 1;
        readings.push(PlannedReading {
            order: readings.len() + 1,
            design: design.to_owned(),
            remount,
            block,
        });
    };
    for block in 1..=remounts {
        let mut shuffled: Vec<&str> = designs.iter().map(|design| design.name.as_str()).collect();
        chance.shuffle(&mut shuffled);
        add(BARE_FAN, block);
        for (place, design) in shuffled.iter().enumerate() {
            if shuffled.len() >= LONG_BLOCK && place == shuffled.len() / 2 {
                add(BARE_FAN, block);
            }
            add(design, block);
        }
    }
    add(BARE_FAN, remounts);
    readings
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::sealed::Promised;
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
            study: "desk".to_owned(),
            reference_area_m2: 0.01,
            designs: designs.collect(),
            ..Sealed::default()
        }
    }

    #[test]
    fn blocks_hold_every_design_once_and_the_bare_fan_in_between() {
        let sealed = sealed(&[95.0, 90.0, 86.0, 80.0, 70.0]);
        let plan = plan(&sealed, &PlanWishes::default()).unwrap();
        let mut count: BTreeMap<(usize, &str), usize> = BTreeMap::new();
        for reading in &plan.readings {
            *count.entry((reading.block, &reading.design)).or_default() += 1;
        }
        for block in 1..=plan.remounts {
            for design in &sealed.designs {
                assert_eq!(count[&(block, design.name.as_str())], 1);
            }
            let bare = count[&(block, BARE_FAN)];
            assert_eq!(bare, if block == plan.remounts { 3 } else { 2 });
        }
        let turns = plan
            .readings
            .iter()
            .filter(|reading| reading.design == BARE_FAN);
        assert!(turns.map(|turn| turn.remount).eq(1..=2 * plan.remounts + 1));
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
        // The more designs there are, the more it takes to tell two of them apart.
        let more = super::tests::sealed(&[93.0, 90.0, 80.0, 70.0, 60.0, 50.0]);
        let more = super::plan(&more, &wishes(1.5)).unwrap();
        assert!(more.pairs[0].remounts_needed > coarse.pairs[0].remounts_needed);
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
        let alone = plan(&super::tests::sealed(&[90.0]), &wish).unwrap();
        assert_eq!(alone.remounts, 6);
        let few = PlanWishes {
            most_remounts: 3,
            ..wish
        };
        assert!(plan(&super::tests::sealed(&[93.0, 90.0, 80.0]), &few).is_ok());
        let told = plan(&sealed, &few).unwrap_err().to_string();
        assert!(told.contains("it takes 4 to find a bad reading"), "{told}");
    }
}
