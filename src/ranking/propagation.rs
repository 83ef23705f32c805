//! How far each cause of doubt moves the answer: finite differences through the operating point.

use std::collections::{BTreeMap, BTreeSet};

use crate::fan::NoOperatingPoint;
use crate::likely::{Contribution, HALF_WIDTH_95, Likely};
use crate::ranking::bounded::{Bound, Bounded, reach_of_difference};
use crate::ranking::division::{ZoneResistance, area_change_half_width};
use crate::ranking::exhaust::MovedExhaust;
use crate::ranking::parts::InSeries;
use crate::ranking::system::{Answer, Drive, Plate, Way};
use crate::ranking::{DifferencePart, GrilleLoss, LossBand, PathPart};

/// A cause of doubt. Two grilles that share a cause are moved together by it.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Cause {
    /// Fluctuation in time of one zone of one grille: one of the two independent directions of its law.
    Fluctuation {
        grille: usize,
        zone: usize,
        direction: usize,
    },
    /// A band of one grille alone, by its source.
    Own { grille: usize, source: String },
    /// A band that is common to all that have the same source and key.
    Shared { source: String, key: String },
    /// Loss of the PC case.
    Place,
    /// What the change of area does ahead of or behind the plate.
    AreaChange,
    /// How much the air behind the fan turns.
    Swirl,
    /// How the air spreads between fan and grille.
    Spreading,
    /// What the turning core sucks, and how much of that one grille takes away.
    Suction { grille: usize },
    /// What else the air goes through.
    Part { name: String },
}

impl Cause {
    /// Whether it moves K of the holes, which a plate without loss bounds.
    fn is_of_holes(&self) -> bool {
        matches!(
            self,
            Self::Fluctuation { .. } | Self::Own { .. } | Self::Shared { .. } | Self::AreaChange
        )
    }

    /// In plain words.
    fn words(&self) -> &str {
        match self {
            Self::Fluctuation { .. } => FLUCTUATION_WORDS,
            Self::Own { source, .. } | Self::Shared { source, .. } => source,
            Self::Place => "loss of the PC case",
            Self::AreaChange => "change of area at the border",
            Self::Swirl => "the fan's swirl",
            Self::Spreading => "how the air spreads behind the fan",
            Self::Suction { .. } => "suction of the turning core",
            Self::Part { name } => name,
        }
    }
}

/// Words for the part of the interval that comes from a mean over a limited time.
pub const FLUCTUATION_WORDS: &str = "fluctuation in time";

/// Words for the part of the interval that comes from the fan curve's shape.
pub(super) const FAN_CURVE_WORDS: &str = "fan curve";

/// The answer for one grille and how each cause moves it.
#[derive(Debug, Clone)]
pub(super) struct Propagated {
    /// With everything as it is believed to be.
    pub(super) central: Answer,
    /// With holes in which the air loses nothing: no grille is better.
    pub(super) lossless: Answer,
    /// Half-widths at 95 %, with sign: where the answer goes when the cause raises the loss.
    pub(super) moves: BTreeMap<Cause, Answer>,
    /// The answers at both ends of the band of each part: such a band is one of a factor, too wide to be taken as straight.
    pub(super) ends: BTreeMap<Cause, [Answer; 2]>,
    /// The answer for other members of the fan's band.
    pub(super) members: Vec<Answer>,
}

/// The drive as it is believed to be, and other members of its band.
#[derive(Debug, Clone)]
pub(super) struct DriveBand<'a> {
    pub(super) central: Drive<'a>,
    pub(super) members: Vec<Drive<'a>>,
}

/// Solves one grille and moves every cause by one standard uncertainty to both sides.
pub(super) fn propagate(
    grille: &GrilleLoss,
    index: usize,
    way: &Way<'_>,
    place_half_width: f64,
    drive: &DriveBand<'_>,
) -> Result<Propagated, NoOperatingPoint> {
    let plate = believed(grille, way.density);
    let central = way.answer(drive.central, &plate, None)?;
    let near = Some(central.flow);
    let lossless = way.answer(drive.central, &without_loss(grille, way.density), near)?;
    let mut moves = BTreeMap::new();
    for cause in causes(grille, index) {
        let ahead = way.answer(drive.central, &moved(grille, way, &cause, 1.0), near)?;
        let back = way.answer(drive.central, &moved(grille, way, &cause, -1.0), near)?;
        moves.insert(cause, half_difference(ahead, back));
    }
    let mut ends = BTreeMap::new();
    for cause in part_causes(grille) {
        let at = |end| way.answer(drive.central, &with_part_at(grille, way, &cause, end), near);
        ends.insert(cause.clone(), [at(0)?, at(1)?]);
    }
    if place_half_width > 0.0 {
        let with_place = |sign: f64| {
            let place_loss = way.place_loss + sign * place_half_width / HALF_WIDTH_95;
            let place_loss = place_loss.max(0.0);
            let way = Way { place_loss, ..*way };
            way.answer(drive.central, &plate, near)
        };
        moves.insert(
            Cause::Place,
            half_difference(with_place(1.0)?, with_place(-1.0)?),
        );
    }
    let exhaust = grille.exhaust.as_ref();
    if let Some([unspread, even]) = exhaust.and_then(|exhaust| exhaust.extremes.as_deref()) {
        let unspread = way.answer(drive.central, &believed(unspread, way.density), near)?;
        let even = way.answer(drive.central, &believed(even, way.density), near)?;
        moves.insert(
            Cause::Spreading,
            even.joined(unspread, |a, b| 0.5 * (a - b)),
        );
    }
    let members = drive
        .members
        .iter()
        .map(|member| way.answer(*member, &plate, None))
        .collect::<Result<_, _>>()?;
    Ok(Propagated {
        central,
        lossless,
        moves,
        ends,
        members,
    })
}

/// Half-width at 95 % from the answers at one standard uncertainty to both sides.
fn half_difference(ahead: Answer, back: Answer) -> Answer {
    ahead.joined(back, |a, b| 0.5 * HALF_WIDTH_95 * (a - b))
}

/// The grille as it is believed to be, in air of this density.
pub(super) fn believed(grille: &GrilleLoss, density: f64) -> Plate<'_> {
    with_parts_times(grille, density, |_| 1.0)
}

/// The grille with its parts, the pressure drop of each times a factor.
fn with_parts_times(
    grille: &GrilleLoss,
    density: f64,
    factor: impl Fn(&PathPart) -> f64,
) -> Plate<'_> {
    let mut plate = own_plate(grille);
    for part in &grille.parts {
        part.add(factor(part), density, &mut plate.series, &mut plate.zones);
    }
    plate
}

/// The grille without its parts.
pub(super) fn own_plate(grille: &GrilleLoss) -> Plate<'_> {
    Plate {
        zones: grille
            .zones
            .iter()
            .map(|zone| ZoneResistance {
                area: zone.area,
                viscous: zone.law.viscous,
                inertial: zone.law.inertial,
                cover_viscous: 0.0,
                cover_inertial: 0.0,
            })
            .collect(),
        area_change: 0.0,
        series: InSeries::default(),
        exhaust: grille.exhaust.as_ref().map(|exhaust| MovedExhaust {
            exhaust,
            circulation_factor: 1.0,
            suction_factor: 1.0,
            is_lossless: false,
        }),
    }
}

/// The grille with holes in which the air loses nothing.
fn without_loss(grille: &GrilleLoss, density: f64) -> Plate<'_> {
    let mut plate = believed(grille, density);
    for zone in &mut plate.zones {
        *zone = zone.with_own_law(0.0, 0.0);
    }
    if let Some(exhaust) = &mut plate.exhaust {
        exhaust.is_lossless = true;
    }
    plate
}

/// All causes of doubt about one grille.
fn causes(grille: &GrilleLoss, index: usize) -> Vec<Cause> {
    let mut causes = vec![Cause::AreaChange];
    if grille.exhaust.is_some() {
        causes.extend([Cause::Swirl, Cause::Suction { grille: index }]);
    }
    for (zone_index, zone) in grille.zones.iter().enumerate() {
        causes.extend((0..2).map(|direction| Cause::Fluctuation {
            grille: index,
            zone: zone_index,
            direction,
        }));
        for band in &zone.bands {
            let cause = cause_of(band, index);
            if !causes.contains(&cause) {
                causes.push(cause);
            }
        }
    }
    causes
}

/// The parts of a grille as causes of doubt.
fn part_causes(grille: &GrilleLoss) -> BTreeSet<Cause> {
    let names = grille.parts.iter().map(|part| part.name.clone());
    names.map(|name| Cause::Part { name }).collect()
}

/// The grille with one part at the lower (0) or upper (1) end of its band.
fn with_part_at<'a>(grille: &'a GrilleLoss, way: &Way<'_>, cause: &Cause, end: usize) -> Plate<'a> {
    with_parts_times(grille, way.density, |part| match cause {
        Cause::Part { name } if *name == part.name => part.band[end],
        _ => 1.0,
    })
}

/// The cause that a band stands for.
fn cause_of(band: &LossBand, grille: usize) -> Cause {
    let source = band.source.clone();
    match &band.shared_by {
        Some(key) => Cause::Shared {
            source,
            key: key.clone(),
        },
        None => Cause::Own { grille, source },
    }
}

/// The grille with one cause moved by one standard uncertainty, up or down.
fn moved<'a>(grille: &'a GrilleLoss, way: &Way<'_>, moved_cause: &Cause, sign: f64) -> Plate<'a> {
    let mut plate = believed(grille, way.density);
    if *moved_cause == Cause::AreaChange {
        plate.area_change =
            sign * area_change_half_width(&plate.zones, way.stream_area(&plate)) / HALF_WIDTH_95;
    }
    if let Some(behind_fan) = &mut plate.exhaust {
        match moved_cause {
            Cause::Swirl => {
                let (least, most) = behind_fan.exhaust.exit.circulation_band();
                let far = if sign > 0.0 { most } else { least };
                behind_fan.circulation_factor = 1.0 + (far - 1.0) / HALF_WIDTH_95;
            }
            Cause::Suction { .. } => {
                let part = behind_fan.exhaust.suction_half_width / HALF_WIDTH_95;
                behind_fan.suction_factor = 1.0 + sign * part;
            }
            _ => {}
        }
    }
    for (zone_index, (zone, resistance)) in grille.zones.iter().zip(&mut plate.zones).enumerate() {
        if let Cause::Fluctuation {
            zone: moved_zone,
            direction,
            ..
        } = moved_cause
            && *moved_zone == zone_index
        {
            let (viscous, inertial) = zone.law.deviations()[*direction];
            resistance.viscous += sign * viscous;
            resistance.inertial += sign * inertial;
        }
        for band in &zone.bands {
            let is_moved = match (moved_cause, &band.shared_by) {
                (Cause::Own { source, .. }, None) => *source == band.source,
                (Cause::Shared { source, key }, Some(band_key)) => {
                    *source == band.source && key == band_key
                }
                _ => false,
            };
            if is_moved {
                let factor = (1.0 + sign * band.half_width / HALF_WIDTH_95).max(0.0);
                resistance.viscous *= factor;
                resistance.inertial *= factor;
            }
        }
    }
    plate
}

impl Propagated {
    /// What one number may be off by because of K of the holes, bounded by holes without loss.
    fn bounded(&self, number: impl Fn(&Answer) -> f64) -> Bounded {
        let of_holes = self.moves.iter().filter(|(cause, _)| cause.is_of_holes());
        let (mut squares, mut with_loss) = (0.0, 0.0);
        for by in of_holes.map(|(_, by)| number(by)) {
            squares += by * by;
            with_loss += by;
        }
        Bounded {
            value: number(&self.central),
            half_width: f64::sqrt(squares),
            bound: number(&self.lossless),
            side: if with_loss > 0.0 {
                Bound::Least
            } else {
                Bound::Most
            },
        }
    }

    /// The interval of one number of the answer.
    pub(super) fn likely(&self, number: impl Fn(&Answer) -> f64) -> Likely {
        let value = number(&self.central);
        let others = self.moves.iter().filter(|(cause, _)| !cause.is_of_holes());
        let squares: f64 = others.map(|(_, by)| number(by).powi(2)).sum();
        let members = self.members.iter().map(&number).collect::<Vec<f64>>();
        let ends = self.ends.values().map(|ends| ends.each_ref().map(&number));
        let holes = self.bounded(&number).reach();
        joined_interval(value, holes, squares, ends, &members)
    }

    /// The parts of that interval, largest first, in per cent of the number.
    pub(super) fn contributions(&self, number: impl Fn(&Answer) -> f64) -> Vec<Contribution> {
        let value = number(&self.central);
        let mut squares: BTreeMap<&str, f64> = BTreeMap::new();
        for (cause, by) in &self.moves {
            *squares.entry(cause.words()).or_default() += number(by).powi(2);
        }
        for (cause, ends) in &self.ends {
            let far = ends.iter().map(|end| (number(end) - value).abs());
            let far = far.fold(0.0, f64::max);
            *squares.entry(cause.words()).or_default() += far * far;
        }
        let widest = self
            .members
            .iter()
            .map(|member| (number(member) - value).abs())
            .fold(0.0, f64::max);
        *squares.entry(FAN_CURVE_WORDS).or_default() += widest * widest;
        let mut contributions: Vec<Contribution> = squares
            .into_iter()
            .filter(|(_, square)| *square > 0.0)
            .map(|(source, square)| Contribution {
                source: source.to_owned(),
                half_width_percent: 100.0 * square.sqrt() / value.abs(),
            })
            .collect();
        contributions.sort_by(|a, b| b.half_width_percent.total_cmp(&a.half_width_percent));
        contributions
    }

    /// The interval of the difference of one number between two grilles: what moves both alike cancels.
    pub(super) fn difference(&self, other: &Self, number: impl Fn(&Answer) -> f64) -> Likely {
        let (mut of_holes, mut squares) = (0.0, 0.0);
        for cause in self.causes_with(other) {
            let of = |it: &Self| it.moves.get(cause).map_or(0.0, &number);
            let square = (of(self) - of(other)).powi(2);
            if cause.is_of_holes() {
                of_holes += square;
            } else {
                squares += square;
            }
        }
        let holes = reach_of_difference(
            &self.bounded(&number),
            &other.bounded(&number),
            f64::sqrt(of_holes),
        );
        let members: Vec<f64> = self
            .members
            .iter()
            .zip(&other.members)
            .map(|(own, others)| number(own) - number(others))
            .collect();
        let value = number(&self.central) - number(&other.central);
        let causes: BTreeSet<&Cause> = self.ends.keys().chain(other.ends.keys()).collect();
        let ends = causes.into_iter().map(|cause| {
            let of = |it: &Self| {
                it.ends.get(cause).map_or([number(&it.central); 2], |ends| {
                    ends.each_ref().map(&number)
                })
            };
            let (own, others) = (of(self), of(other));
            [own[0] - others[0], own[1] - others[1]]
        });
        joined_interval(value, holes, squares, ends, &members)
    }

    /// What moves either of two answers.
    fn causes_with<'a>(&'a self, other: &'a Self) -> BTreeSet<&'a Cause> {
        self.moves.keys().chain(other.moves.keys()).collect()
    }

    /// The parts of the interval of the difference of one number between two grilles, largest first: what moves both alike is not among them.
    pub(super) fn difference_parts(
        &self,
        other: &Self,
        number: impl Fn(&Answer) -> f64,
    ) -> Vec<DifferencePart> {
        let value = number(&self.central) - number(&other.central);
        let mut squares: BTreeMap<&str, f64> = BTreeMap::new();
        for cause in self.causes_with(other) {
            let of = |it: &Self| it.moves.get(cause).map_or(0.0, &number);
            *squares.entry(cause.words()).or_default() += (of(self) - of(other)).powi(2);
        }
        let ends: BTreeSet<&Cause> = self.ends.keys().chain(other.ends.keys()).collect();
        for cause in ends {
            let at = |it: &Self, end: usize| {
                let answer = it.ends.get(cause).map_or(&it.central, |ends| &ends[end]);
                number(answer)
            };
            let far = (0..2).map(|end| (at(self, end) - at(other, end) - value).abs());
            let far = far.fold(0.0, f64::max);
            *squares.entry(cause.words()).or_default() += far * far;
        }
        let members = self.members.iter().zip(&other.members);
        let far = members.map(|(own, others)| (number(own) - number(others) - value).abs());
        let far = far.fold(0.0, f64::max);
        *squares.entry(FAN_CURVE_WORDS).or_default() += far * far;
        let mut parts: Vec<DifferencePart> = squares
            .into_iter()
            .filter(|(_, square)| *square > 0.0)
            .map(|(source, square)| DifferencePart {
                source: source.to_owned(),
                half_width: square.sqrt(),
            })
            .collect();
        parts.sort_by(|a, b| b.half_width.total_cmp(&a.half_width));
        parts
    }
}

/// Root-sum-square of how far the holes reach below and above, of the other symmetric parts, of how far the ends of wide bands reach on each side, and of how far the members of the fan's band do.
fn joined_interval(
    value: f64,
    holes: [f64; 2],
    squares: f64,
    ends: impl Iterator<Item = [f64; 2]>,
    members: &[f64],
) -> Likely {
    let reach = |numbers: &[f64]| {
        let below = numbers.iter().map(|it| value - it).fold(0.0, f64::max);
        let above = numbers.iter().map(|it| it - value).fold(0.0, f64::max);
        [below, above]
    };
    let mut sides = holes.map(|reach| reach * reach + squares);
    for reached in ends.map(|ends| reach(&ends)).chain([reach(members)]) {
        for (side, reached) in sides.iter_mut().zip(reached) {
            *side += reached * reached;
        }
    }
    Likely {
        value,
        low: value - sides[0].sqrt(),
        high: value + sides[1].sqrt(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    use crate::fan::{ExitProfile, FanExit, SwirlSource};
    use crate::ranking::{Exhaust, ExhaustPoint, LossLaw, ZoneExhaust, ZoneLoss};

    /// A grille behind a fan whose swirl was given.
    fn behind_a_fan() -> GrilleLoss {
        let source = SwirlSource::Given {
            tangent: 0.5,
            radius: 0.05,
        };
        let exit = FanExit::new(1.2, 0.02, 0.06, &ExitProfile::Uniform, source);
        GrilleLoss {
            name: "exhaust".to_owned(),
            zones: vec![ZoneLoss {
                area: exit.area(),
                law: LossLaw {
                    viscous: 0.5,
                    ..LossLaw::constant(2.0, 0.0)
                },
                bands: vec![LossBand {
                    source: "grid".to_owned(),
                    half_width: 0.1,
                    shared_by: None,
                }],
            }],
            exhaust: Some(Exhaust {
                exit,
                zones: vec![ZoneExhaust {
                    step: 1.0,
                    points: vec![ExhaustPoint {
                        loss_factor: 1.0,
                        least_loss: 0.0,
                        lost_suction: 0.0,
                    }],
                }],
                suction_half_width: 0.3,
                extremes: None,
            }),
            parts: Vec::new(),
        }
    }

    #[test]
    fn each_cause_is_moved_by_one_standard_uncertainty() {
        let grille = behind_a_fan();
        let way = Way {
            density: 1.2,
            reference_area: 0.02,
            place_loss: 0.0,
            shared: None,
        };
        for sign in [1.0, -1.0] {
            let plate = |cause: Cause| moved(&grille, &way, &cause, sign);
            // A given angle may be off by a tenth at 95 %: 0.051021 is a tenth over 1.95996.
            let exhaust = plate(Cause::Swirl).exhaust.unwrap();
            assert!((exhaust.circulation_factor - 1.0 - sign * 0.051_021).abs() < 1e-6);
            assert!((exhaust.suction_factor - 1.0).abs() < 1e-12);
            // Of the suction three times as much was said.
            let exhaust = plate(Cause::Suction { grille: 0 }).exhaust.unwrap();
            assert!((exhaust.suction_factor - 1.0 - sign * 0.153_064).abs() < 1e-6);
            assert!((exhaust.circulation_factor - 1.0).abs() < 1e-12);
            // The grid's tenth moves both coefficients.
            let grid = Cause::Own {
                grille: 0,
                source: "grid".to_owned(),
            };
            let zone = plate(grid).zones[0];
            assert!((zone.viscous - 0.5 * (1.0 + sign * 0.051_021)).abs() < 1e-6);
            assert!((zone.inertial - 2.0 * (1.0 + sign * 0.051_021)).abs() < 1e-6);
            // Of another source none.
            let other = Cause::Own {
                grille: 0,
                source: "view".to_owned(),
            };
            assert!((plate(other).zones[0].inertial - 2.0).abs() < 1e-12);
        }
    }

    #[test]
    fn parts_of_an_interval_join_in_squares_on_their_own_sides() {
        // Holes 3 below and 4 above, others 12 by 12 squared, a band from -5 to +1, members at -2 and +2: √(9 + 144 + 25 + 4) below, √(16 + 144 + 1 + 4) above.
        let ends = [[95.0, 101.0]].into_iter();
        let joined = joined_interval(100.0, [3.0, 4.0], 144.0, ends, &[98.0, 102.0]);
        assert!((joined.low - (100.0 - 182_f64.sqrt())).abs() < 1e-12);
        assert!((joined.high - (100.0 + 165_f64.sqrt())).abs() < 1e-12);
    }

    #[test]
    fn a_change_of_area_is_moved_by_one_standard_uncertainty() {
        // A zone over 0.8 of the reference area: 0.5 · 0.2 / 0.64 = 0.15625 at 95 %, over 1.95996.
        let way = Way {
            density: 1.2,
            reference_area: 0.01,
            place_loss: 0.0,
            shared: None,
        };
        let mut grille = behind_a_fan();
        grille.exhaust = None;
        grille.zones[0].area = 0.008;
        for sign in [1.0, -1.0] {
            let plate = moved(&grille, &way, &Cause::AreaChange, sign);
            assert!((plate.area_change - sign * 0.079_721).abs() < 1e-6);
        }
    }
}
