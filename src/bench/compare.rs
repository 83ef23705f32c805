//! Readings beside the sealed prediction.
//!
//! Every reading is taken in per cent of the bare fan as it was at that moment; readings of one remount are one repeat. What follows is Student's: an interval for each
//! design, and Welch's test for each pair. Outliers are named and stay in.

use crate::bench::agreement::agreement;
use crate::bench::bare::Bare;
use crate::bench::compared::{Compared, ComparedDesign, ComparedPair, ComparedReading, Outlier};
use crate::bench::outlier::{LARGEST_SCORE, modified_z_scores};
use crate::bench::plausible::{Stream, unit_doubt};
use crate::bench::reading_fault::{ReadingFault, ReadingFaultKind};
use crate::bench::readings::{OrderKind, Quantity, Reading, Readings, Unit, quoted};
use crate::bench::sealed::{PromisedDesign, Sealed};
use crate::bench::student::{holm, mean, mean_interval, percent_interval, welch_test};
use crate::bench::{BARE_FAN, is_bare_fan};
use crate::likely::{Likely, Warning};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Readings of one design, taken apart.
struct Group<'a> {
    promised: &'a PromisedDesign,
    readings: Vec<&'a Reading>,
    /// Per cent of the bare fan, reading by reading.
    percents: Vec<f64>,
}

impl Group<'_> {
    /// One value per remount.
    fn repeats(&self, is_kept: impl Fn(usize) -> bool) -> Vec<f64> {
        let mut remounts: Vec<(Option<u32>, Vec<f64>)> = Vec::new();
        for (index, (reading, percent)) in self.readings.iter().zip(&self.percents).enumerate() {
            if !is_kept(index) {
                continue;
            }
            let known = remounts
                .iter_mut()
                .find(|(remount, _)| remount.is_some() && *remount == reading.remount);
            match known {
                Some((_, values)) => values.push(*percent),
                None => remounts.push((reading.remount, vec![*percent])),
            }
        }
        remounts.iter().map(|(_, values)| mean(values)).collect()
    }
}

/// Holds readings against a sealed prediction.
///
/// # Errors
/// Designs that were not sealed, and quantities that do not go together, each with its line.
pub fn compare(sealed: &Sealed, readings: &Readings) -> Result<Compared, Vec<ReadingFault>> {
    let quantity = one_quantity(&readings.readings)?;
    let nothing = PromisedDesign {
        name: BARE_FAN.to_owned(),
        ..PromisedDesign::default()
    };
    let bare_promise = sealed.bare_fan.as_ref().unwrap_or(&nothing);
    let (bare_readings, mut groups) = sorted(sealed, &readings.readings)?;
    let bare = Bare::of(&bare_readings, quantity);
    for group in &mut groups {
        group.percents = group
            .readings
            .iter()
            .map(|reading| bare.percent(reading, quantity))
            .collect();
    }
    groups.retain(|group| !group.readings.is_empty());
    let mut warnings = doubts(
        sealed,
        bare_promise,
        &bare_readings,
        &groups,
        readings,
        quantity,
    );
    let mut outliers = Vec::new();
    let mut readings_told = Vec::new();
    let bare_fan = (!bare_readings.is_empty()).then(|| {
        let group = Group {
            promised: bare_promise,
            percents: bare_readings
                .iter()
                .map(|reading| bare.percent(reading, quantity))
                .collect(),
            readings: bare_readings.clone(),
        };
        readings_told.extend(each_reading(&group, sealed, (quantity, true)));
        compared(&group, &bare, (quantity, true), &mut outliers)
    });
    let mut pairs_of = Vec::new();
    let mut designs = Vec::new();
    for group in &groups {
        readings_told.extend(each_reading(group, sealed, (quantity, false)));
        designs.push(compared(group, &bare, (quantity, false), &mut outliers));
        pairs_of.push((group.promised, group.repeats(|_| true)));
    }
    let points: Vec<(f64, f64)> = designs
        .iter()
        .filter_map(|design| Some((design.promised_percent?.value, design.read_percent?.value)))
        .collect();
    let pairs = pairs(&pairs_of);
    let read =
        |design: &ComparedDesign| design.read_percent.map_or(f64::NEG_INFINITY, |it| it.value);
    designs.sort_by(|a, b| read(b).total_cmp(&read(a)));
    if !outliers.is_empty() {
        warnings.push(Warning {
            code: "outlier",
            message: format!("{} of the readings lie far from their fellows", outliers.len()),
            advice: "they are counted; look up what happened there, and put # before the line only if you know".to_owned(),
        });
    }
    let names = sealed.designs.iter().map(|design| design.name.clone());
    Ok(Compared {
        study: sealed.study.clone(),
        sealed_at: sealed.sealed_at.clone(),
        quantity: quantity.in_words(),
        unit: mean_unit(quantity).0,
        bare_fan,
        unread: names
            .filter(|name| designs.iter().all(|design| design.name != *name))
            .collect(),
        drift: bare.drift.clone(),
        inside_count: designs.iter().map(|design| design.inside_count).sum(),
        held_count: designs.iter().map(|design| design.held_count).sum(),
        designs,
        readings: {
            readings_told.sort_by_key(|reading| reading.line);
            readings_told
        },
        pairs,
        agreement: agreement(&points),
        outliers,
        empty_count: readings.empty_count,
        warnings,
    })
}

/// Unit of mean readings, and how many of it are one in SI units.
fn mean_unit(quantity: Quantity) -> (&'static str, f64) {
    match quantity {
        Quantity::Flow => ("m3/h", CUBIC_METRES_PER_HOUR),
        Quantity::Speed => ("m/s", 1.0),
        Quantity::Percent => ("%", 1.0),
    }
}

fn one_quantity(readings: &[Reading]) -> Result<Quantity, Vec<ReadingFault>> {
    let Some(first) = readings.first() else {
        let kind = ReadingFaultKind::NoReadings;
        return Err(vec![ReadingFault { line: None, kind }]);
    };
    let quantity = first.unit.quantity();
    match readings
        .iter()
        .find(|reading| reading.unit.quantity() != quantity)
    {
        None => Ok(quantity),
        Some(other) => Err(vec![ReadingFault {
            line: Some(other.line),
            kind: ReadingFaultKind::MixedQuantities {
                found: [quantity.in_words(), other.unit.quantity().in_words()],
            },
        }]),
    }
}

/// The readings of the bare fan, and those of each sealed design.
type Sorted<'a> = (Vec<&'a Reading>, Vec<Group<'a>>);

fn sorted<'a>(
    sealed: &'a Sealed,
    readings: &'a [Reading],
) -> Result<Sorted<'a>, Vec<ReadingFault>> {
    let mut groups: Vec<Group<'a>> = sealed
        .designs
        .iter()
        .map(|promised| Group {
            promised,
            readings: Vec::new(),
            percents: Vec::new(),
        })
        .collect();
    let (mut bare, mut faults) = (Vec::new(), Vec::new());
    for reading in readings {
        let exact = groups
            .iter()
            .position(|group| group.promised.name == reading.design);
        let alike = || {
            let name = reading.design.to_lowercase();
            groups
                .iter()
                .position(|group| group.promised.name.trim().to_lowercase() == name)
        };
        match exact.or_else(alike) {
            Some(at) => groups[at].readings.push(reading),
            None if is_bare_fan(&reading.design) => bare.push(reading),
            None => {
                let names: Vec<String> = sealed.designs.iter().map(|d| quoted(&d.name)).collect();
                faults.push(ReadingFault {
                    line: Some(reading.line),
                    kind: ReadingFaultKind::UnknownDesign {
                        value: quoted(&reading.design),
                        known: names.join(", "),
                    },
                });
            }
        }
    }
    faults.truncate(20);
    if faults.is_empty() {
        Ok((bare, groups))
    } else {
        Err(faults)
    }
}

fn compared(
    group: &Group<'_>,
    bare: &Bare,
    (quantity, is_bare): (Quantity, bool),
    outliers: &mut Vec<Outlier>,
) -> ComparedDesign {
    let promised = group.promised;
    let held = if is_bare {
        None
    } else {
        held_against(promised, quantity)
    };
    let (_, per_si) = mean_unit(quantity);
    let si: Vec<f64> = group.readings.iter().map(|reading| reading.si()).collect();
    let repeats = group.repeats(|_| true);
    let percent = mean(&repeats);
    let interval = match quantity {
        Quantity::Percent => mean_interval(&repeats),
        _ if is_bare => mean_interval(&repeats),
        // The bare fan's own scatter belongs to a quotient; where it was read once only, that of the design has to do.
        _ if bare.values.len() < 2 => mean_interval(&repeats),
        _ => percent_interval(&repeats, &bare.percents()),
    };
    let scores = modified_z_scores(&group.percents);
    let is_far = |index: usize| {
        scores
            .as_ref()
            .is_some_and(|scores| scores[index].abs() > LARGEST_SCORE)
    };
    let mut has_outliers = false;
    for (index, reading) in group
        .readings
        .iter()
        .enumerate()
        .filter(|(index, _)| is_far(*index))
    {
        has_outliers = true;
        outliers.push(Outlier {
            line: reading.line,
            design: reading.design.clone(),
            value: reading.value,
            unit: reading.unit.word(),
            score: scores.as_ref().map_or(f64::NAN, |scores| scores[index]),
        });
    }
    let is_inside = |value: &&f64| held.is_some_and(|[low, high]| (low..=high).contains(*value));
    ComparedDesign {
        name: promised.name.clone(),
        promised_rank: promised.rank,
        promised_flow_m3_per_h: promised.flow_m3_per_h.map(Likely::from),
        promised_percent: promised.flow_percent.map(Likely::from),
        promised_meter_m_per_s: promised.meter_m_per_s,
        promised_reading_percent: held,
        reading_count: group.readings.len(),
        repeat_count: repeats.len(),
        mean_reading: Some(mean(&si) * per_si).filter(|value| value.is_finite()),
        read_percent: interval.or_else(|| percent.is_finite().then(|| Likely::exact(percent))),
        has_interval: interval.is_some(),
        percent_without_outliers: has_outliers
            .then(|| mean(&group.repeats(|index| !is_far(index))))
            .filter(|value| value.is_finite()),
        inside_count: group.percents.iter().filter(is_inside).count(),
        held_count: if held.is_some() {
            group
                .percents
                .iter()
                .filter(|percent| percent.is_finite())
                .count()
        } else {
            0
        },
    }
}

/// The readings of a design with what was promised for each.
fn each_reading(
    group: &Group<'_>,
    sealed: &Sealed,
    (quantity, is_bare): (Quantity, bool),
) -> Vec<ComparedReading> {
    let promised = group.promised;
    let held = held_against(promised, quantity).filter(|_| !is_bare);
    let flow = promised
        .flow_m3_per_h
        .map(|flow| flow.value / CUBIC_METRES_PER_HOUR);
    let in_si = match quantity {
        Quantity::Flow => flow,
        Quantity::Speed => flow.map(|flow| flow / sealed.reference_area_m2),
        Quantity::Percent => promised.flow_percent.map(|percent| percent.value),
    };
    let meter = promised
        .meter_m_per_s
        .filter(|_| quantity == Quantity::Speed);
    let told = group.readings.iter().zip(&group.percents);
    let told = told.map(|(reading, percent)| {
        let unit = reading.unit.in_si();
        let percent = Some(*percent).filter(|percent| percent.is_finite());
        ComparedReading {
            line: reading.line,
            design: promised.name.clone(),
            value: reading.value,
            unit: reading.unit.word(),
            percent_of_bare_fan: percent,
            promised: in_si.map(|value| value / unit),
            promised_meter: meter.map(|meter| meter.map(|speed| speed / unit)),
            is_inside: held
                .zip(percent)
                .map(|([low, high], percent)| (low..=high).contains(&percent)),
        }
    });
    told.collect()
}

/// What readings of a design are held against, per cent of the bare fan. A meter behind a swirl is wrong by an amount that was promised too: its range is widened by that of the flow.
fn held_against(promised: &PromisedDesign, quantity: Quantity) -> Option<[f64; 2]> {
    let flow = promised.flow_percent?;
    match (quantity, promised.meter_percent) {
        (Quantity::Speed, Some([least, most])) if flow.value > 0.0 => {
            Some([least * flow.low / flow.value, most * flow.high / flow.value])
        }
        _ => Some([flow.low, flow.high]),
    }
}

fn pairs(designs: &[(&PromisedDesign, Vec<f64>)]) -> Vec<ComparedPair> {
    let mut found = Vec::new();
    for (index, (first, first_repeats)) in designs.iter().enumerate() {
        for (second, second_repeats) in &designs[index + 1..] {
            let Some(test) = welch_test(first_repeats, second_repeats) else {
                continue;
            };
            let is_first = test.difference.value >= 0.0;
            let (better, other) = if is_first {
                (first, second)
            } else {
                (second, first)
            };
            let difference = if is_first {
                test.difference
            } else {
                Likely::symmetric(-test.difference.value, test.difference.half_width())
            };
            let promised =
                |design: &PromisedDesign| design.flow_percent.map(|percent| percent.value);
            let is_promised_tie = first.tied_with.contains(&second.name);
            let is_as_promised = match (promised(better), promised(other)) {
                (Some(better), Some(other)) if !is_promised_tie => Some(better > other),
                _ => None,
            };
            found.push(ComparedPair {
                better: better.name.clone(),
                other: other.name.clone(),
                difference_percent: difference,
                chance: test.chance,
                chance_among_all: test.chance,
                is_tie: difference.includes(0.0),
                is_as_promised,
            });
        }
    }
    let chances: Vec<f64> = found.iter().map(|pair| pair.chance).collect();
    for (pair, raised) in found.iter_mut().zip(holm(&chances)) {
        pair.chance_among_all = raised;
    }
    found
}

fn doubts(
    sealed: &Sealed,
    bare_promise: &PromisedDesign,
    bare: &[&Reading],
    groups: &[Group<'_>],
    readings: &Readings,
    quantity: Quantity,
) -> Vec<Warning> {
    let mut warnings = Vec::new();
    for unit in Unit::ALL {
        let mut of_unit = Vec::new();
        let all = groups.iter().map(|group| (group.promised, &group.readings));
        let bare = bare.to_vec();
        for (promised, readings) in all.chain([(bare_promise, &bare)]) {
            let stream = Stream {
                area: sealed.reference_area_m2,
                promised: promised_si(promised, quantity, sealed.reference_area_m2),
            };
            let same = readings.iter().filter(|reading| reading.unit == unit);
            of_unit.extend(same.map(|reading| (*reading, stream)));
        }
        warnings.extend(unit_doubt(&of_unit));
    }
    let mut warn = |code, message: &str, advice: &str| {
        warnings.push(Warning {
            code,
            message: message.to_owned(),
            advice: advice.to_owned(),
        });
    };
    if quantity != Quantity::Percent && bare.is_empty() {
        warn(
            "no-bare-fan",
            "the bare fan was not read: nothing can be told in per cent of it",
            "read it first, in between and last",
        );
    } else if quantity != Quantity::Percent && bare.len() < 3 {
        warn(
            "few-bare-fan",
            "the bare fan was read less than three times: drift cannot be told",
            "read it first, in between and last",
        );
    }
    if readings
        .readings
        .iter()
        .any(|reading| reading.remount.is_none())
    {
        warn(
            "no-remounts",
            "some readings do not say which remount they belong to: each is taken as a repeat",
            "number how often the grille was put in anew in the column remount; readings without a remount between them say how steady the meter is, not how good the design",
        );
    }
    if readings.order == OrderKind::Lines && bare.len() >= 3 {
        warn(
            "no-order",
            "neither order nor time was given: the lines are taken as the order of reading",
            "fill in the column order or time",
        );
    }
    if groups
        .iter()
        .any(|group| group.repeats(|_| true).len() == 1)
    {
        warn(
            "one-repeat",
            "some designs were mounted once only: they have no interval and cannot be compared",
            "mount each design three times or more",
        );
    }
    warnings
}

/// What was promised for a reading, in SI units.
fn promised_si(promised: &PromisedDesign, quantity: Quantity, area: f64) -> Option<f64> {
    let flow = promised
        .flow_m3_per_h
        .map(|flow| flow.value / CUBIC_METRES_PER_HOUR);
    match quantity {
        Quantity::Flow => flow,
        Quantity::Speed => promised
            .meter_m_per_s
            .map(|[least, most]| 0.5 * (least + most))
            .filter(|speed| *speed > 0.0)
            .or(flow.map(|flow| flow / area)),
        Quantity::Percent => None,
    }
}
