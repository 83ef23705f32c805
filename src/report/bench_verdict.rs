//! The answer of a bench in one sentence or two, by the rule of [`crate::comparison`].

use crate::comparison::Relation;
use crate::report::page::harmless;
use crate::report::words::sure_percent;
use crate::rig::compared::{ComparedDesign, ComparedPair, Findings};

/// Most words of a verdict whose names are short.
const MOST_WORDS: usize = 35;

/// Which design is best, which are behind or too close to call, and whether the prediction held. `unit`: that of the readings.
pub(super) fn verdict(findings: &Findings, unit: &str) -> String {
    let Some(best) = findings.designs.first() else {
        return "Only the bare fan was read.".to_owned();
    };
    let Some(percent) = best.read_percent else {
        return "No verdict: designs are compared in per cent of the bare fan, which was not read."
            .to_owned();
    };
    let name = harmless(&best.name);
    let air = format!("{:.0} % of the bare fan", percent.value);
    let air = match best.mean_reading.filter(|_| unit != "%") {
        Some(reading) => format!("{} {unit}, {air}", figure(reading)),
        None => air,
    };
    if findings.designs.len() < 2 {
        return format!("Only {name} was read: {air}.");
    }
    if findings.scatter.is_none() {
        return format!(
            "No verdict yet: nothing was read more than once. Highest reading: {name}, {air}."
        );
    }
    let others = Others::of(findings);
    let head = format!("Best on the bench: {name}, {air}");
    let held = held(findings);
    let told = [(true, true), (true, false), (false, false)].map(|(names_behind, names_level)| {
        let parts = [
            others.behind(names_behind),
            level(&others.equal, "equal in use", names_level),
            level(&others.close, "too close to call", names_level),
        ];
        let parts = parts.into_iter().flatten();
        format!("{head}; {}. {held}", parts.collect::<Vec<_>>().join("; "))
    });
    let is_short = |text: &&String| text.split_whitespace().count() <= MOST_WORDS;
    told.iter().find(is_short).unwrap_or(&told[2]).clone()
}

fn held(findings: &Findings) -> String {
    match findings.pairs_held() {
        (0, _) => "No predicted order could be tested.".to_owned(),
        (of, held) => {
            let plural = if of == 1 { "" } else { "s" };
            format!("The prediction held for {held} of {of} pair{plural}.")
        }
    }
}

/// The designs besides the best one.
struct Others<'a> {
    /// Behind it, nearest first.
    behind: Vec<&'a ComparedPair>,
    equal: Vec<&'a ComparedDesign>,
    close: Vec<&'a ComparedDesign>,
}

impl<'a> Others<'a> {
    fn of(findings: &'a Findings) -> Self {
        let mut others = Self {
            behind: Vec::new(),
            equal: Vec::new(),
            close: Vec::new(),
        };
        let best = &findings.designs[0];
        for design in &findings.designs[1..] {
            let is_own =
                |pair: &&ComparedPair| pair.better == best.name && pair.other == design.name;
            let Some(pair) = findings.pairs.iter().find(is_own) else {
                continue;
            };
            match pair.relation {
                Relation::Ahead => others.behind.push(pair),
                Relation::EqualInUse => others.equal.push(design),
                Relation::TooClose => others.close.push(design),
            }
        }
        others
    }

    fn behind(&self, has_name: bool) -> Option<String> {
        let (first, last) = (self.behind.first()?, self.behind.last()?);
        let [least, most] = [first, last].map(|pair| points(pair.difference_points.value));
        // The nearest one is the least sure.
        let sure = sure(first.sureness);
        let count = self.behind.len();
        let name = |pair: &ComparedPair| harmless(&pair.other);
        Some(match (has_name, count) {
            (_, 1) => format!("{} {least} points behind ({sure})", name(first)),
            (true, 2) => format!(
                "{} {least} and {} {most} points behind ({sure})",
                name(first),
                name(last)
            ),
            (true, _) => format!(
                "{} {least} points behind ({sure}), {} more up to {most}",
                name(first),
                count - 1
            ),
            (false, _) => format!("{count} behind by {least} to {most} points ({sure})"),
        })
    }
}

/// Designs that are not behind the best one, as a part of the sentence.
fn level(designs: &[&ComparedDesign], what: &str, has_names: bool) -> Option<String> {
    let names: Vec<String> = designs
        .iter()
        .map(|design| harmless(&design.name))
        .collect();
    Some(match names.as_slice() {
        [] => return None,
        [name] => format!("{name} {what}"),
        [first, second] if has_names => format!("{first} and {second} {what}"),
        [first, second, third] if has_names => format!("{first}, {second} and {third} {what}"),
        all => format!("{} others {what}", all.len()),
    })
}

/// "5", "1.4": a difference in points.
fn points(value: f64) -> String {
    if value < 3.0 {
        format!("{value:.1}")
    } else {
        format!("{value:.0}")
    }
}

/// "97 % sure"; never rounded up to certainty.
pub(super) fn sure(sureness: f64) -> String {
    // Here without the no-break space of a screen: the same text goes into files.
    format!("{} sure", sure_percent(sureness).replace('\u{a0}', " "))
}

/// Three figures or so.
pub(super) fn figure(value: f64) -> String {
    let digits = if value.abs() < 10.0 {
        2
    } else {
        usize::from(value.abs() < 100.0)
    };
    format!("{value:.digits$}")
}
