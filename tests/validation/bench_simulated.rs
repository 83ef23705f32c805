//! A bench as a maker has it, simulated: how often clean benches raise a false alarm, and how surely a bad reading is found.
//!
//! Source: the definition of the 5 % level for false alarms, of equal designs called behind another (Tukey 1953, Kramer 1956) and of outliers (Bonferroni); no published value for what is found.
//! Tolerance: of 1,000 benches 6.4 % at most where the level is 5 % (97.5 % of cases, binomial), each from a fixed seed; nine bad readings of ten found at ten times the scatter, 99.9 % at twenty.
//! Error seen: an outlier on 2.9 %, a design behind on 5.6 % of clean benches of three designs; outliers on 1.1 to 4.4 % of all benches that are planned; found 92 to 99.6 % at ten times the scatter, all at twenty.

use rayon::prelude::*;

use crate::common::normal::Normal;
use ventwright::rig::compare::compare;
use ventwright::rig::compared::Compared;
use ventwright::rig::outlier::far_off;
use ventwright::rig::plan::fewest_remounts;
use ventwright::rig::readings::{OrderKind, Reading, Readings};
use ventwright::rig::sealed::{Promised, PromisedDesign, Sealed};
use ventwright::rig::unit::Unit;

/// Designs at these levels, per cent of the bare fan.
fn sealed(levels: &[f64]) -> Sealed {
    let designs = levels
        .iter()
        .enumerate()
        .map(|(index, &value)| PromisedDesign {
            name: format!("design {index}"),
            flow_percent: Some(Promised {
                value,
                low: value - 3.0,
                high: value + 3.0,
            }),
            ..PromisedDesign::default()
        });
    Sealed {
        study: "desk".to_owned(),
        reference_area_m2: 0.013,
        designs: designs.collect(),
        ..Sealed::default()
    }
}

/// Remounts of every design in blocks, the bare fan around them; one per cent of drift, remounts that scatter by 2 %, a bare fan that scatters by 0.5 %.
fn readings(
    levels: &[f64],
    remounts: u32,
    seed: u64,
    change: impl Fn(usize, u32) -> f64,
) -> Readings {
    let mut normal = Normal(seed);
    let mut readings: Vec<Reading> = Vec::new();
    let mut add = |design: String, remount: u32, level: f64| {
        let order = readings.len() as f64;
        readings.push(Reading {
            line: readings.len() as u64 + 2,
            design,
            value: 0.62 * level * (1.0 - 5e-4 * order),
            unit: Unit::CubicFeetPerMinute,
            order,
            remount: Some(remount),
            speed_rpm: None,
            temperature_c: None,
            place: String::new(),
        });
    };
    for remount in 1..=remounts {
        add("bare fan".to_owned(), remount, 100.0 + 0.5 * normal.draw());
        for (index, level) in levels.iter().enumerate() {
            let level = level * (1.0 + 0.02 * normal.draw()) * change(index, remount);
            add(format!("design {index}"), remount, level);
        }
    }
    add(
        "bare fan".to_owned(),
        remounts + 1,
        100.0 + 0.5 * normal.draw(),
    );
    Readings {
        readings,
        order: OrderKind::Number,
        empty_count: 0,
    }
}

/// Share of 1,000 benches of which something holds.
fn share(of: impl Fn(u64) -> bool + Sync) -> f64 {
    (1..=1000_u64)
        .into_par_iter()
        .filter(|seed| of(*seed))
        .count() as f64
        / 1000.0
}

#[test]
fn clean_benches_of_equal_designs_raise_few_false_alarms() {
    let levels = [84.0; 3];
    let sealed = sealed(&levels);
    let bench = |seed| {
        let found = compare(&sealed, &readings(&levels, 3, seed, |_, _| 1.0));
        found.expect("a comparison")
    };
    let found: Vec<Compared> = (1..=1000_u64).into_par_iter().map(bench).collect();
    let of = |is: fn(&&Compared) -> bool| found.iter().filter(is).count() as f64 / 1000.0;
    let outliers = of(|it| !it.outliers.is_empty());
    let behind = of(|it| {
        it.findings
            .designs
            .iter()
            .any(|design| design.place != Some(1))
    });
    println!("outliers {outliers}, behind {behind}");
    assert!((0.01..=0.064).contains(&outliers), "{outliers}");
    assert!((0.01..=0.064).contains(&behind), "{behind}");
}

/// Source for the share: 4,000 benches drawn and judged alike with numpy and scipy (`bartlett`, `studentized_range`): 55 % are seen to be unlike, and on 6.1 % a design is called behind, where the pooled
/// scatter alone gives 8 %. Tolerance: 97.5 % of cases of 1,000, binomial.
#[test]
fn a_design_that_scatters_three_times_as_much_is_said_and_judged_by_its_own() {
    let levels = [84.0; 3];
    let sealed = sealed(&levels);
    let bench = |seed, factor: f64| {
        // The scatter of the second design once more, on top of that of all.
        let mut normal = Normal(seed + 5000);
        let mut more = [1.0; 6];
        more.fill_with(|| 1.0 + 0.02 * (factor.powi(2) - 1.0).sqrt() * normal.draw());
        let change = |index, remount: u32| {
            if index == 1 {
                more[remount as usize]
            } else {
                1.0
            }
        };
        let found = compare(&sealed, &readings(&levels, 5, seed, change));
        found.expect("a comparison")
    };
    let is_said = |found: &Compared| found.warnings.iter().any(|it| it.code == "unlike-scatter");
    let said = share(|seed| is_said(&bench(seed, 1.0)));
    let unlike: Vec<Compared> = (1..=1000_u64)
        .into_par_iter()
        .map(|seed| bench(seed, 3.0))
        .collect();
    let of =
        |is: &dyn Fn(&Compared) -> bool| unlike.iter().filter(|it| is(it)).count() as f64 / 1000.0;
    let seen = of(&|found| is_said(found) || !found.outliers.is_empty());
    let behind = of(&|found| {
        found
            .findings
            .designs
            .iter()
            .any(|design| design.place != Some(1))
    });
    println!("said of like ones {said}, seen of unlike ones {seen}, behind {behind}");
    assert!((0.01..=0.064).contains(&said), "{said}");
    assert!(seen >= 0.52, "{seen}");
    assert!(behind <= 0.076, "{behind}");
}

#[test]
fn a_reading_a_fifth_off_is_found_among_three_remounts_of_three_designs() {
    let levels = [92.0, 88.0, 84.0];
    let sealed = sealed(&levels);
    let found = share(|seed| {
        let off = |index, remount| if (index, remount) == (1, 2) { 0.8 } else { 1.0 };
        let found = compare(&sealed, &readings(&levels, 3, seed, off)).expect("a comparison");
        // Three blocks of four lines below the head: the bare fan's second turn is line 6, that design line 8.
        found
            .outliers
            .first()
            .is_some_and(|it| it.lines == [8] && it.off_percent < -10.0)
    });
    println!("found {found}");
    assert!(found >= 0.9, "{found}");
}

/// Groups about 100.
fn groups(designs: usize, remounts: usize, percent: f64, seed: u64) -> Vec<Vec<f64>> {
    let mut normal = Normal(seed);
    let mut group = || {
        (0..remounts)
            .map(|_| 100.0 + percent * normal.draw())
            .collect()
    };
    (0..designs).map(|_| group()).collect()
}

#[test]
fn outliers_hold_their_level_on_every_bench_that_is_planned() {
    for designs in [1, 2, 3, 5, 8] {
        let remounts = fewest_remounts(designs);
        let alarms = share(|seed| !far_off(&groups(designs, remounts, 2.0, seed), 0.01).is_empty());
        let found = |percent: f64| {
            share(|seed| {
                let mut groups = groups(designs, remounts, percent, seed);
                groups[0][0] -= 20.0;
                let found = far_off(&groups, 0.01);
                found.iter().any(|far| far.group == 0 && far.members == [0])
            })
        };
        let [ten, twenty] = [2.0, 1.0].map(found);
        println!(
            "{designs} designs, {remounts} remounts: alarms {alarms}, found {ten} and {twenty}"
        );
        assert!((0.01..=0.064).contains(&alarms), "{designs}: {alarms}");
        assert!(ten >= 0.9 && twenty >= 0.999, "{designs}: {ten} {twenty}");
    }
}

#[test]
fn two_bad_readings_do_not_hide_each_other() {
    let found = share(|seed| {
        let mut groups = groups(4, 3, 1.0, seed);
        groups[0][0] -= 20.0;
        groups[2][1] -= 18.0;
        far_off(&groups, 0.01).len() == 2
    });
    println!("found {found}");
    assert!(found >= 0.9, "{found}");
}
