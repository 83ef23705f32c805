//! Readings beside the sealed prediction.
//!
//! Every reading is taken in per cent of the bare fan as it was at that moment, at one speed of the fan; readings of one remount are one repeat. How much a repeat scatters
//! is found from all designs together: it gives the intervals, the outliers, and by [`crate::comparison`] who is behind whom. Outliers are named and stay in; what follows without
//! them is told beside it.

use crate::comparison::{Relation, Standing};
use crate::likely::{Likely, Warning};
use crate::rig::bare::Bare;
use crate::rig::compared::{Compared, ComparedDesign, ComparedReading, Findings, Outlier};
use crate::rig::design::{Group, about_median};
use crate::rig::doubts::doubts;
use crate::rig::impossible::possible;
use crate::rig::outlier::{Far, far_off, median};
use crate::rig::pairs::{Read, judged};
use crate::rig::reading_fault::{ReadingFault, ReadingFaultKind};
use crate::rig::reading_line::quoted;
use crate::rig::readings::{Reading, Readings};
use crate::rig::same_speed::{Taken, at_one_speed};
use crate::rig::scatter::{Scatter, pooled};
use crate::rig::sealed::{PromisedDesign, Sealed};
use crate::rig::student::{mean, percent_interval, variance};
use crate::rig::unit::{Quantity, Unit};
use crate::rig::unlike::{are_unlike, unlike_warning};
use crate::text::{BARE_FAN, is_bare_fan};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Holds readings against a sealed prediction.
///
/// # Errors
/// Designs that were not sealed, and quantities that do not go together, each with its line.
pub fn compare(sealed: &Sealed, readings: &Readings) -> Result<Compared, Vec<ReadingFault>> {
    let whole = |kind| vec![ReadingFault { line: None, kind }];
    let all = &readings.readings;
    let first = all
        .first()
        .ok_or_else(|| whole(ReadingFaultKind::NoReadings))?;
    let unit = first.unit;
    only_of(unit.quantity(), all)?;
    only_known(sealed, all)?;
    let (kept, mut warnings) = possible(all);
    if kept.is_empty() {
        return Err(whole(ReadingFaultKind::AllZero));
    }
    let (taken, conditions, of_speed) = at_one_speed(&kept, unit.quantity());
    let nothing = PromisedDesign {
        name: BARE_FAN.to_owned(),
        ..PromisedDesign::default()
    };
    let bench = Bench::of(sealed, &nothing, &taken, unit);
    warnings.extend(of_speed);
    warnings.extend(doubts(
        sealed,
        &bench.bare,
        &bench.designs,
        readings,
        unit.quantity(),
    ));
    let outliers = bench.outliers();
    // One far reading makes its design scatter: that is told as an outlier.
    if outliers.is_empty() {
        warnings.extend(bench.scatter_doubt());
    }
    let without_outliers = (!outliers.is_empty()).then(|| {
        let is_left = |taken: &&Taken<'_>| {
            let line = taken.reading.line;
            !outliers.iter().any(|outlier| outlier.lines.contains(&line))
        };
        let left: Vec<Taken<'_>> = taken.iter().filter(is_left).copied().collect();
        Bench::of(sealed, &nothing, &left, unit).findings()
    });
    if !outliers.is_empty() {
        warnings.push(Warning {
            code: "outlier".into(),
            message: "some readings lie far from the others of their design; they still count".to_owned(),
            advice: "find out what happened, read that remount again, and put # in front of the bad line".to_owned(),
        });
    }
    let findings = bench.findings();
    let names = sealed.designs.iter().map(|design| design.name.clone());
    let is_unread = |name: &String| findings.designs.iter().all(|design| design.name != *name);
    Ok(Compared {
        study: sealed.study.clone(),
        sealed_at: sealed.sealed_at.clone(),
        quantity: unit.quantity().in_words(),
        unit: unit.word(),
        unread: names.filter(is_unread).collect(),
        readings: bench.each_reading(),
        findings,
        without_outliers,
        conditions,
        outliers,
        empty_count: readings.empty_count,
        warnings,
    })
}

fn only_of(quantity: Quantity, readings: &[Reading]) -> Result<(), Vec<ReadingFault>> {
    let other = readings
        .iter()
        .find(|reading| reading.unit.quantity() != quantity);
    other.map_or(Ok(()), |other| {
        Err(vec![ReadingFault {
            line: Some(other.line),
            kind: ReadingFaultKind::MixedQuantities {
                found: [quantity.in_words(), other.unit.quantity().in_words()],
            },
        }])
    })
}

fn only_known(sealed: &Sealed, readings: &[Reading]) -> Result<(), Vec<ReadingFault>> {
    let names: Vec<String> = sealed
        .designs
        .iter()
        .map(|design| quoted(&design.name))
        .collect();
    let is_known = |name: &str| place(sealed, name).is_some() || is_bare_fan(name);
    let unknown = readings.iter().filter(|reading| !is_known(&reading.design));
    let faults: Vec<ReadingFault> = unknown
        .take(20)
        .map(|reading| ReadingFault {
            line: Some(reading.line),
            kind: ReadingFaultKind::UnknownDesign {
                value: quoted(&reading.design),
                known: names.join(", "),
            },
        })
        .collect();
    if faults.is_empty() {
        Ok(())
    } else {
        Err(faults)
    }
}

/// Which of the sealed designs is meant. Large and small letters matter only where nothing else tells two designs apart.
fn place(sealed: &Sealed, name: &str) -> Option<usize> {
    let exact = sealed.designs.iter().position(|design| design.name == name);
    exact.or_else(|| {
        let name = name.to_lowercase();
        let is_it = |design: &PromisedDesign| design.name.trim().to_lowercase() == name;
        let mut alike = (0..sealed.designs.len()).filter(|&at| is_it(&sealed.designs[at]));
        let first = alike.next();
        first.filter(|_| alike.next().is_none())
    })
}

/// Readings in their groups.
struct Bench<'a> {
    unit: Unit,
    /// Area of the stream, m².
    area: f64,
    level: Bare<'a>,
    bare: Group<'a>,
    /// Those that were read.
    designs: Vec<Group<'a>>,
    /// Last digit of the readings, per cent of the usual one.
    resolution_percent: f64,
}

impl<'a> Bench<'a> {
    fn of(
        sealed: &'a Sealed,
        nothing: &'a PromisedDesign,
        taken: &[Taken<'a>],
        unit: Unit,
    ) -> Self {
        let mut bare = Group::new(sealed.bare_fan.as_ref().unwrap_or(nothing));
        let mut designs: Vec<Group<'a>> = sealed.designs.iter().map(Group::new).collect();
        let mut in_order = taken.to_vec();
        in_order.sort_by(|a, b| a.reading.order.total_cmp(&b.reading.order));
        let mut is_next = false;
        for taken in in_order {
            match place(sealed, &taken.reading.design) {
                Some(at) => designs[at].add(taken, false, false),
                None => bare.add(taken, true, is_next),
            }
            is_next = is_bare_fan(&taken.reading.design);
        }
        let level = Bare::of(&bare.mounts, unit.quantity());
        bare.set_against(&level);
        designs.retain(|group| !group.mounts.is_empty());
        for group in &mut designs {
            group.set_against(&level);
        }
        Self {
            unit,
            area: sealed.reference_area_m2,
            level,
            bare,
            designs,
            resolution_percent: resolution_percent(taken),
        }
    }

    /// Repeats of every design in per cent of their mean.
    fn in_percent(&self) -> Vec<Vec<f64>> {
        let designs = self.designs.iter();
        designs.map(|group| about_mean(&group.repeats())).collect()
    }

    fn are_unlike(&self) -> bool {
        are_unlike(&self.in_percent(), self.resolution_percent)
    }

    fn own_scatter(&self, group: &Group<'_>) -> Option<Scatter> {
        pooled(&[about_mean(&group.repeats())], self.resolution_percent)
    }

    /// That the designs do not repeat alike, where they do not.
    fn scatter_doubt(&self) -> Option<Warning> {
        let of = |group: &Group<'a>| Some((group.promised.name.as_str(), self.own_scatter(group)?));
        let each: Vec<(&str, Scatter)> = self.designs.iter().filter_map(of).collect();
        self.are_unlike().then(|| unlike_warning(&each)).flatten()
    }

    fn findings(&self) -> Findings {
        let scatter = pooled(&self.in_percent(), self.resolution_percent);
        let bare_fan = (!self.bare.mounts.is_empty()).then(|| self.compared(&self.bare, None));
        let mut order: Vec<(f64, &Group<'_>)> = self
            .designs
            .iter()
            .map(|group| (mean(&group.repeats()), group))
            .collect();
        // Numbers first, best first; what has none (no bare fan at its place) last.
        order.sort_by(|(a, _), (b, _)| b.is_finite().cmp(&a.is_finite()).then(b.total_cmp(a)));
        let read: Vec<Read<'_>> = order
            .iter()
            .filter(|(percent, _)| percent.is_finite())
            .map(|&(percent, group)| Read {
                promised: group.promised,
                percent,
                repeat_count: group.repeats().len(),
                own: self.own_scatter(group),
            })
            .collect();
        let pairs = judged(&read, scatter, self.are_unlike());
        let is_ahead = |better: usize, other: usize| {
            let names = [better, other].map(|at| &read[at].promised.name);
            let mut pairs = pairs.iter();
            pairs.any(|pair| {
                pair.relation == Relation::Ahead && [&pair.better, &pair.other] == names
            })
        };
        let standing = Standing::of(read.len(), is_ahead);
        let mut designs: Vec<ComparedDesign> = order
            .iter()
            .map(|(_, group)| self.compared(group, scatter))
            .collect();
        for (design, place) in designs.iter_mut().zip(&standing.places) {
            design.place = scatter.map(|_| *place);
        }
        Findings {
            bare_fan,
            designs,
            scatter,
            groups: if scatter.is_some() {
                standing.groups
            } else {
                Vec::new()
            },
            pairs,
            drift: self.level.drift.clone(),
        }
    }

    /// `scatter`: of all designs; `None` for the bare fan, which has its own.
    fn compared(&self, group: &Group<'_>, scatter: Option<Scatter>) -> ComparedDesign {
        let promised = group.promised;
        let repeats = group.repeats();
        let percent = mean(&repeats);
        let visits = about_mean(&self.bare.repeats());
        let of_bare = (
            1e-4 * variance(&visits) / visits.len() as f64,
            visits.len() as f64 - 1.0,
        );
        let has_bare = visits.len() >= 2;
        let interval = if self.is_bare(group) {
            has_bare.then(|| percent_interval(percent, of_bare, (0.0, f64::INFINITY)))
        } else {
            scatter.map(|scatter| {
                let own = (0.01 * scatter.percent).powi(2) / repeats.len() as f64;
                // The bare fan's own scatter belongs to a quotient; where it was read once only, that of the design has to do.
                let by = if has_bare {
                    of_bare
                } else {
                    (0.0, f64::INFINITY)
                };
                percent_interval(percent, (own, scatter.degrees_of_freedom), by)
            })
        };
        let interval = interval.filter(|interval| interval.half_width().is_finite());
        let held = self.held_against(group);
        let (inside_count, held_count) = group
            .readings()
            .filter_map(|(_, percent)| is_inside(held, percent))
            .fold((0, 0), |(inside, of), is| {
                (inside + usize::from(is), of + 1)
            });
        let si: Vec<f64> = group.readings().map(|(taken, _)| taken.si).collect();
        ComparedDesign {
            name: promised.name.clone(),
            predicted_rank: promised.rank,
            predicted_flow_m3_per_h: promised.flow_m3_per_h.map(Likely::from),
            predicted_percent: promised.flow_percent.map(Likely::from),
            predicted_meter_m_per_s: promised.meter_m_per_s,
            predicted_reading_percent: held,
            predicted_reading: self.predicted_reading(promised),
            place: None,
            reading_count: si.len(),
            repeat_count: repeats.len(),
            mean_reading: Some(mean(&si) / self.unit.in_si()).filter(|value| value.is_finite()),
            read_percent: interval.or_else(|| percent.is_finite().then(|| Likely::exact(percent))),
            has_interval: interval.is_some(),
            inside_count,
            held_count,
        }
    }

    fn is_bare(&self, group: &Group<'_>) -> bool {
        std::ptr::eq(group, &raw const self.bare)
    }

    /// What readings of a design are held against, per cent of the bare fan. A meter behind a swirl is wrong by an amount that was predicted too: its range is widened by that of the flow.
    fn held_against(&self, group: &Group<'_>) -> Option<[f64; 2]> {
        let flow = group
            .promised
            .flow_percent
            .filter(|_| !self.is_bare(group))?;
        match (self.unit.quantity(), group.promised.meter_percent) {
            (Quantity::Speed, Some([least, most])) if flow.value > 0.0 => {
                Some([least * flow.low / flow.value, most * flow.high / flow.value])
            }
            _ => Some([flow.low, flow.high]),
        }
    }

    /// The flow or the meter, in the unit that was read.
    fn predicted_reading(&self, promised: &PromisedDesign) -> Option<[f64; 2]> {
        let si = match self.unit.quantity() {
            Quantity::Flow => promised
                .flow_m3_per_h
                .map(|flow| [flow.low, flow.high].map(|end| end / CUBIC_METRES_PER_HOUR)),
            Quantity::Speed => promised.meter_m_per_s,
            Quantity::Percent => None,
        };
        si.map(|ends| ends.map(|end| end / self.unit.in_si()))
    }

    /// Every reading with what was predicted for it, by the line.
    fn each_reading(&self) -> Vec<ComparedReading> {
        let mut told = Vec::new();
        for group in self.designs.iter().chain([&self.bare]) {
            let promised = group.promised;
            let held = self.held_against(group);
            let flow = promised
                .flow_m3_per_h
                .map(|flow| flow.value / CUBIC_METRES_PER_HOUR);
            let in_si = match self.unit.quantity() {
                Quantity::Flow => flow,
                Quantity::Speed => flow.map(|flow| flow / self.area),
                Quantity::Percent => promised.flow_percent.map(|percent| percent.value),
            };
            let meter = promised
                .meter_m_per_s
                .filter(|_| self.unit.quantity() == Quantity::Speed);
            told.extend(group.readings().map(|(taken, percent)| {
                let unit = taken.reading.unit.in_si();
                ComparedReading {
                    line: taken.reading.line,
                    design: promised.name.clone(),
                    value: taken.reading.value,
                    unit: taken.reading.unit.word(),
                    percent_of_bare_fan: Some(percent).filter(|percent| percent.is_finite()),
                    predicted: in_si.map(|value| value / unit),
                    predicted_meter: meter.map(|meter| meter.map(|speed| speed / unit)),
                    is_inside: is_inside(held, percent),
                }
            }));
        }
        told.sort_by_key(|reading| reading.line);
        told
    }

    /// Readings within a remount first, then remounts within a design; the bare fan, which is never remounted and scatters less, by the scatter of all.
    fn outliers(&self) -> Vec<Outlier> {
        let all: Vec<&Group<'_>> = self.designs.iter().chain([&self.bare]).collect();
        let mut told = Vec::new();
        let mut within = Vec::new();
        let mut places = Vec::new();
        for (group, mounts) in all.iter().map(|group| (group, &group.percents)) {
            for (mount, percents) in mounts.iter().enumerate().filter(|(_, it)| it.len() >= 2) {
                within.push(about_median(percents));
                places.push((group, mount));
            }
        }
        for far in far_off(&within, self.resolution_percent) {
            let (group, mount) = places[far.group];
            let of = |member: &usize| vec![&group.mounts[mount][*member]];
            let bad: Vec<Vec<&Taken<'_>>> = far.members.iter().map(of).collect();
            told.push(outlier(group, &bad, &far, &within[far.group]));
        }
        let repeats: Vec<Vec<f64>> = all
            .iter()
            .map(|group| about_median(&group.of_mounts()))
            .collect();
        let of_designs = far_off(&repeats[..self.designs.len()], self.resolution_percent);
        let of_bare = far_off(&repeats, self.resolution_percent);
        let of_bare = of_bare
            .into_iter()
            .filter(|far| far.group == self.designs.len());
        for far in of_designs.into_iter().chain(of_bare) {
            let group = all[far.group];
            let of = |member: &usize| group.mounts[*member].iter().collect();
            let bad: Vec<Vec<&Taken<'_>>> = far.members.iter().map(of).collect();
            let lines = bad.iter().flatten().map(|taken| taken.reading.line);
            let is_told = |line| told.iter().any(|it: &Outlier| it.lines.contains(&line));
            if !lines.into_iter().any(is_told) {
                told.push(outlier(group, &bad, &far, &repeats[far.group]));
            }
        }
        told
    }
}

/// What lies off, told. `bad`: the readings of each member; `about`: the values of the group in per cent of their median.
fn outlier(group: &Group<'_>, bad: &[Vec<&Taken<'_>>], far: &Far, about: &[f64]) -> Outlier {
    let readings: Vec<&Reading> = bad.iter().flatten().map(|taken| taken.reading).collect();
    let others = about
        .iter()
        .enumerate()
        .filter(|(at, _)| *at != far.members[0]);
    let others = median(&others.map(|(_, value)| *value).collect::<Vec<_>>());
    let worst: Vec<f64> = bad[0].iter().map(|taken| taken.reading.value).collect();
    Outlier {
        lines: readings.iter().map(|reading| reading.line).collect(),
        design: group.promised.name.clone(),
        value: mean(&worst),
        unit: readings[0].unit.word(),
        off_percent: 100.0 * (about[far.members[0]] / others - 1.0),
        is_either: far.members.len() > 1,
        score: far.score,
        chance: far.chance,
    }
}

/// Values in per cent of their mean.
fn about_mean(values: &[f64]) -> Vec<f64> {
    let mean = mean(values);
    values.iter().map(|value| 100.0 * value / mean).collect()
}

fn is_inside(held: Option<[f64; 2]>, percent: f64) -> Option<bool> {
    let [low, high] = held.filter(|_| percent.is_finite())?;
    Some((low..=high).contains(&percent))
}

/// Least step between readings: one of the last digit that anybody typed, per cent of the usual reading.
fn resolution_percent(taken: &[Taken<'_>]) -> f64 {
    let step = |unit: Unit| {
        let of_unit = taken
            .iter()
            .map(|taken| taken.reading)
            .filter(|reading| reading.unit == unit);
        let digits = of_unit.map(|reading| {
            let text = reading.value.to_string();
            text.split_once('.').map_or(0, |(_, digits)| digits.len())
        });
        digits
            .max()
            .map(|digits| unit.in_si() * 0.1_f64.powi(i32::try_from(digits.min(9)).unwrap_or(9)))
    };
    let step = Unit::ALL.into_iter().filter_map(step).fold(0.0, f64::max);
    let usual = median(&taken.iter().map(|taken| taken.si).collect::<Vec<_>>());
    100.0 * step / usual
}
