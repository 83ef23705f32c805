//! From the loss coefficients of grilles to an order: flow at the operating point, with its likely range and ties.
//!
//! [`rank`] takes what was solved (K over air speed of each patterned zone, and how far it may be off) and what drives the air.
//!
//! # The equations
//!
//! ```text
//! K by momentum      K = (P ahead − P behind) / (ρ U²/2),   P = mean of (p + ρ u_x²) over a plane between mirrors or in a repeat     (`measure::momentum`)
//! law of a zone      K(U) = a/U + b,   a >= 0 friction, b >= 0 inertia                                                              (`LossLaw`)
//! zones side by side ρ/2 (a_z U_z + (1 + b_z) U_z²) is the same for all zones z,   Σ A_z U_z = Q                                      (`division`)
//! whole grille       K = Δp of the grille / (ρ/2 (Q/A)²),   A: reference area
//! behind a fan       static K of a ring = total K + tan²(out) − tan²(in), each ring at its own speed and angle                      (`Exhaust`)
//! operating point    p_fan(Q) = K_case ρ/2 (Q/A)² + Δp_grille(Q) + Δp of what else is in the way;  the stable one with the largest Q  (`fan`)
//! range of a number  half-width² = Σ over causes of (1.96 (y(x + σ) − y(x − σ)) / 2)² + the ends of bands that are no deviations    (`propagation`)
//! ```
//!
//! # References
//! I. E. Idelchik, Handbook of hydraulic resistance, chapter 1, for K, its reference area and branches side by side; ISO/IEC Guide 98-3 (GUM), 5.1.2 and 5.1.3 note 2, for propagation by central differences
//! (both from memory).
//!
//! # How doubts are put together
//!
//! - Each cause is moved by one standard uncertainty up and down, the operating point is solved anew, and half the
//!   difference times 1.96 is its part of the 95 % half-width (linear propagation by central differences).
//! - Parts of different causes are independent: root-sum-square.
//! - Bands of the same source and key ([`LossBand::shared_by`]) are one cause: they move all zones and grilles that have it together.
//!   The band of a simplified view is shared within a family of shapes and counts in full between families.
//! - The band of the fan curve is no standard uncertainty: both its ends and two members between are solved, and the farthest on
//!   each side joins the root-sum-square of that side.
//! - A part of the air's way has a band of a factor, too wide to be taken as straight: both its ends are solved, and each joins the root-sum-square of the side on which it lies.
//! - Who is behind whom is said by [`crate::comparison`], from the interval of the difference of two flows. In the difference each cause counts
//!   with the difference of its two moves, so that what is common to both cancels.
//! - K of the holes is bounded: air loses no less than nothing (`bounded`).
//! - Behind a fan the swirl's band moves all grilles together, and so does how the air spreads between fan and grille: there half of the difference
//!   between air that has not spread at all and air that has spread evenly over the whole face counts as the half-width. What the lost suction may be off by is each grille's own.
//!
//! With a given flow instead of a fan the same is done with the pressure drop.

mod bounded;
mod comparison;
mod division;
mod exhaust;
mod loss_law;
mod outcome;
mod parts;
mod propagation;
mod shared_case;
mod system;

use crate::air::Air;
use crate::comparison::{EQUAL_IN_USE_POINTS, Judge, Judged, Relation, Standing};
use crate::fan::{FanBand, NoOperatingPoint, OperatingPoints, Supply};
use crate::likely::{HALF_WIDTH_95, Likely, Warning};

pub use comparison::{Comparison, DifferencePart};
pub use division::{FaceLoss, loss_coefficient_on_area};
pub use exhaust::{Exhaust, ExhaustPoint, ZoneExhaust};
pub use loss_law::{EXTRAPOLATION_LIMIT, LossLaw, LossLawError, LossPoint};
pub use outcome::{BareFan, RankedGrille, RankedSwirl, Ranking};
pub use parts::{PathPart, Seat};
pub use propagation::FLUCTUATION_WORDS;
pub use shared_case::{OtherFans, SharedCase};

use division::divide;
use propagation::{DriveBand, Propagated, believed, own_plate, propagate};
use shared_case::{PlaceCurve, REACH};
use system::{Answer, Drive, Way};

/// A grille as it was solved.
#[derive(Debug, Clone, PartialEq)]
pub struct GrilleLoss {
    /// Name, unique in the study.
    pub name: String,
    /// Patterned zones side by side; at least one.
    pub zones: Vec<ZoneLoss>,
    /// What the air behind a fan makes of it, on the exhaust side; without it the air comes straight and as fast everywhere.
    pub exhaust: Option<Exhaust>,
    /// What else the air goes through with this grille, and the bare fan goes without.
    pub parts: Vec<PathPart>,
}

/// A patterned zone of a grille.
#[derive(Debug, Clone, PartialEq)]
pub struct ZoneLoss {
    /// Area of the zone, m²: that of the repeats that the view stands for, solid ribs included.
    pub area: f64,
    /// K on the velocity in front of the zone; its covariance is the fluctuation in time.
    pub law: LossLaw,
    /// How far K may be off beyond that, each as a part of K.
    pub bands: Vec<LossBand>,
}

/// One reason why K may be off.
#[derive(Debug, Clone, PartialEq)]
pub struct LossBand {
    /// Plain words: "grid", "air speed limit of the solver", "simplified view".
    pub source: String,
    /// Half-width at 95 %, as a part of K: 0.05 for 5 %.
    pub half_width: f64,
    /// Key of those that are off together: all zones and grilles with a band of this source and key. `None`: this grille's
    /// own (its zones are still off together).
    pub shared_by: Option<String>,
}

/// What drives the air, and what is in its way besides the grille.
#[derive(Debug, Clone, PartialEq)]
pub struct Circuit {
    /// The air.
    pub air: Air,
    /// What drives it.
    pub supply: Supply,
    /// Area on which every K and face velocity is based, m².
    pub reference_area: f64,
    /// K of the PC case (or the rig) on that area; 0 for none.
    pub place_loss: f64,
    /// Its half-width at 95 %; 0 when it is taken as exact.
    pub place_loss_half_width: f64,
    /// The PC case with fans on both sides, instead of [`Circuit::place_loss`].
    pub shared_case: Option<SharedCase>,
    /// Heat that the air carries off, W.
    pub heat_load: Option<f64>,
}

/// Grilles at the top of a ranking of which every pair is compared in full.
const COMPARED_IN_FULL: usize = 20;

/// Whether two places of a ranking are compared in full: both at its top, neighbours, or one of them the first. All pairs are judged; of some two hundred grilles nobody reads twenty
/// thousand comparisons.
fn is_compared(better: usize, other: usize) -> bool {
    other < COMPARED_IN_FULL || other == better + 1 || better == 0
}

/// Ranks grilles by their flow at the operating point, or by pressure drop when a flow was given.
///
/// # Errors
/// [`NoOperatingPoint`] if even the bare fan settles nowhere.
///
/// # Panics
/// If a grille has no zone.
pub fn rank(circuit: &Circuit, grilles: &[GrilleLoss]) -> Result<Ranking, NoOperatingPoint> {
    let mut band = circuit.supply.band();
    let shared = circuit.shared_place(band.as_mut());
    let drive = drive_band(&circuit.supply, band.as_ref());
    let way = circuit.way(shared.as_ref());
    let bare = match &band {
        Some(band) => Some(circuit.bare_fan(&way, band)?),
        None => None,
    };
    let mut solved: Vec<(usize, Propagated)> = Vec::new();
    let mut unranked = Vec::new();
    for (index, grille) in grilles.iter().enumerate() {
        assert!(!grille.zones.is_empty(), "a grille has at least one zone");
        match propagate(grille, index, &way, circuit.place_loss_half_width, &drive) {
            Ok(propagated) => solved.push((index, propagated)),
            Err(reason) => unranked.push((index, reason)),
        }
    }
    let merit = circuit.merit();
    solved.sort_by(|(_, a), (_, b)| merit(&b.central).total_cmp(&merit(&a.central)));

    let count = solved.len();
    let equal_in_use = |better: &Answer| match &bare {
        Some(bare) => 0.01 * EQUAL_IN_USE_POINTS * bare.flow.value,
        // At a given flow: what a hundredth of the flow would make of the pressure.
        None => 0.02 * EQUAL_IN_USE_POINTS * merit(better).abs(),
    };
    let judge = Judge::of(count);
    let mut comparisons = Vec::new();
    let mut is_ahead = vec![vec![false; count]; count];
    for better in 0..count {
        let first = &solved[better].1;
        let equal_in_use = equal_in_use(&first.central);
        for other in better + 1..count {
            let second = &solved[other].1;
            let difference = first.difference(second, merit);
            is_ahead[better][other] = judge.relation(&difference, equal_in_use) == Relation::Ahead;
            if is_compared(better, other) {
                comparisons.push(Comparison {
                    better,
                    other,
                    difference,
                    judged: Judged::of(&difference, equal_in_use, count),
                    parts: first.difference_parts(second, merit),
                });
            }
        }
    }
    let standing = Standing::of(count, |better, other| is_ahead[better][other]);
    let warnings = shape_warning(grilles, &solved, merit).into_iter().collect();
    let mut ranked = Vec::new();
    for (place, ((index, propagated), rank)) in solved.iter().zip(&standing.places).enumerate() {
        let mut made = circuit.ranked(&way, &grilles[*index], propagated, band.as_ref())?;
        made.index = *index;
        made.rank = *rank;
        made.tied_with = (0..count)
            .filter(|&other| other != place && standing.are_level(place, other))
            .collect();
        ranked.push(made);
    }
    Ok(Ranking {
        bare,
        grilles: ranked,
        unranked,
        ties: standing.groups,
        comparisons,
        warnings,
    })
}

impl GrilleLoss {
    /// The same grille with more that the air goes through.
    #[must_use]
    pub fn with_parts(mut self, parts: &[PathPart]) -> Self {
        self.parts.extend_from_slice(parts);
        if let Some(extremes) = self.exhaust.as_mut().and_then(|it| it.extremes.as_mut()) {
            for extreme in extremes.iter_mut() {
                extreme.parts.extend_from_slice(parts);
            }
        }
        self
    }

    /// K of the whole grille on the reference area (m²) at a flow (m³/s, above zero), and the velocity in front of each zone.
    ///
    /// The air comes with one total pressure; in front of each zone it is sped up or slowed down without loss; right behind all
    /// zones the static pressure is the same; then the streams of different speed mix in the reference area, by momentum.
    ///
    /// ```text
    /// (1 + K_i) U_i^2 the same for all zones,   sum A_i U_i = Q = A U
    /// K = (1 + K_i) (U_i/U)^2 - 2 sum (A_i/A_m) (U_i/U)^2 + (A/A_m)^2,   A_m = max(A, sum A_i)
    /// ```
    ///
    /// What the air behind a fan adds ([`GrilleLoss::exhaust`]) is not in it, nor are its parts.
    pub fn face_loss(&self, flow: f64, reference_area: f64) -> FaceLoss {
        divide(&own_plate(self).zones, flow, reference_area)
    }
}

impl Circuit {
    fn way<'a>(&self, shared: Option<&'a PlaceCurve>) -> Way<'a> {
        Way {
            density: self.air.density,
            reference_area: self.reference_area,
            place_loss: self.place_loss,
            shared,
        }
    }

    /// What a PC case with other fans in it takes; the fan's curves are drawn on to where those may push it.
    fn shared_place(&self, band: Option<&mut FanBand>) -> Option<PlaceCurve> {
        let case = self.shared_case.as_ref()?;
        let Some(band) = band else {
            // A given flow is moved whatever the case does.
            return None;
        };
        let reach = REACH * band.central.largest_flow();
        for member in band.members.iter_mut().chain([&mut band.central]) {
            *member = member.clone().drawn_on_to(reach);
        }
        Some(case.tabled(reach))
    }

    /// The number by which grilles are ordered: more is better.
    fn merit(&self) -> fn(&Answer) -> f64 {
        match self.supply {
            Supply::GivenFlow(_) => |answer| -(answer.pressure_drop + answer.parts_pressure_drop),
            _ => |answer| answer.flow,
        }
    }

    fn temperature_rise(&self, flow: f64) -> Option<f64> {
        self.heat_load
            .map(|heat_load| self.air.temperature_rise(heat_load, flow))
    }

    /// Where the fan settles without a grille, and how sure that is.
    fn bare_fan(&self, way: &Way<'_>, band: &FanBand) -> Result<BareFan, NoOperatingPoint> {
        let points = way.bare(&band.central)?;
        let flow = points.main.flow;
        let place_part = {
            let step = self.place_loss_half_width / HALF_WIDTH_95;
            let at = |place_loss: f64| {
                let place_loss = place_loss.max(0.0);
                Way { place_loss, ..*way }
                    .bare(&band.central)
                    .map(|points| points.nearest(flow).flow)
            };
            0.5 * HALF_WIDTH_95 * (at(self.place_loss + step)? - at(self.place_loss - step)?)
        };
        let (mut low, mut high) = (flow, flow);
        for member in &band.members {
            let other = way.bare(member)?.main.flow;
            low = low.min(other);
            high = high.max(other);
        }
        Ok(BareFan {
            flow: Likely {
                value: flow,
                low: flow - place_part.hypot(flow - low),
                high: flow + place_part.hypot(high - flow),
            },
            place_pressure: way.place_pressure(flow),
            other_flows: others(&points),
            temperature_rise: self.temperature_rise(flow),
            warnings: points.warnings,
        })
    }

    /// Everything about one grille but its place among the others.
    fn ranked(
        &self,
        way: &Way<'_>,
        grille: &GrilleLoss,
        propagated: &Propagated,
        band: Option<&FanBand>,
    ) -> Result<RankedGrille, NoOperatingPoint> {
        let plate = believed(grille, self.air.density);
        let flow = propagated.likely(|answer| answer.flow);
        let pressure = band.map(|band| band.central.pressure(flow.value));
        let face = way.face(&plate, flow.value, pressure);
        let velocities = face.zone_velocities;
        let mut warnings = loss_warnings(grille, &velocities);
        let mut other_flows = Vec::new();
        let mut speed_ratio_for_bare_flow = None;
        if let Some(band) = band {
            let points = way.with_plate(&band.central, &plate)?;
            other_flows = others(&points);
            warnings.extend(points.warnings);
            let bare = way.bare(&band.central)?.main.flow;
            speed_ratio_for_bare_flow = way.speed_ratio(&band.central, &plate, bare);
        }
        Ok(RankedGrille {
            index: 0,
            rank: 0,
            tied_with: Vec::new(),
            flow,
            flow_percent: band.map(|_| propagated.likely(|answer| answer.flow_percent)),
            pressure_drop: propagated.likely(|answer| answer.pressure_drop),
            place_pressure: way.place_pressure(flow.value),
            parts_pressure_drop: propagated.likely(|answer| answer.parts_pressure_drop),
            face_velocity: flow.scaled(1.0 / self.reference_area),
            loss_coefficient: propagated.likely(|answer| answer.loss_coefficient),
            zone_velocities: velocities,
            swirl: face.swirl.map(|(circulation, lost_suction)| RankedSwirl {
                circulation,
                lost_suction,
            }),
            temperature_rise: self.temperature_rise(flow.value),
            other_flows,
            speed_ratio_for_bare_flow,
            contributions: propagated.contributions(self.merit()),
            warnings,
        })
    }
}

/// The drive as it is believed to be, and other members of its band.
fn drive_band<'a>(supply: &Supply, band: Option<&'a FanBand>) -> DriveBand<'a> {
    match (supply, band) {
        (Supply::GivenFlow(flow), _) => DriveBand {
            central: Drive::Flow(*flow),
            members: Vec::new(),
        },
        (_, Some(band)) => DriveBand {
            central: Drive::Fan(&band.central),
            members: band.members.iter().map(Drive::Fan).collect(),
        },
        (_, None) => unreachable!("every supply but a given flow has a curve"),
    }
}

/// Flows other than the main one.
fn others(points: &OperatingPoints) -> Vec<f64> {
    points
        .all
        .iter()
        .filter(|point| **point != points.main)
        .map(|point| point.flow)
        .collect()
}

/// Doubts about the laws of a grille at the velocities at which it works.
fn loss_warnings(grille: &GrilleLoss, velocities: &[f64]) -> Vec<Warning> {
    let mut warnings = Vec::new();
    for (number, (zone, &velocity)) in grille.zones.iter().zip(velocities).enumerate() {
        warnings.extend(zone.law.warnings.iter().cloned());
        if !zone.law.is_supported(velocity) {
            let (low, high) = zone.law.velocity_range;
            warnings.push(Warning {
                code: "loss-extrapolated".into(),
                message: format!(
                    "zone {} works at {velocity:.2} m/s, but was solved from {low:.2} to {high:.2} m/s",
                    number + 1
                ),
                advice: format!("solve it at {velocity:.2} m/s too"),
            });
        }
    }
    warnings
}

/// Most pairs of grilles that are named in one warning; the rest is counted.
const MOST_PAIRS: usize = 3;

/// A warning if two grilles change places within the band of the fan curve.
fn shape_warning(
    grilles: &[GrilleLoss],
    solved: &[(usize, Propagated)],
    merit: fn(&Answer) -> f64,
) -> Option<Warning> {
    let mut pairs = Vec::new();
    for (place, (first, better)) in solved.iter().enumerate() {
        for (second, other) in &solved[place + 1..] {
            let mut members = better.members.iter().zip(&other.members);
            if members.any(|(own, others)| merit(own) < merit(others)) {
                pairs.push([first, second].map(|index| grilles[*index].name.as_str()));
            }
        }
    }
    // Naming one takes no more room than "1 more".
    let named = if pairs.len() > MOST_PAIRS + 1 {
        MOST_PAIRS
    } else {
        pairs.len()
    };
    let names = pairs[..named].iter();
    let names = names.map(|[first, second]| format!("{first} and {second}"));
    let mut told: Vec<String> = names.collect();
    if pairs.len() > named {
        told.push(format!("{} more pairs", pairs.len() - named));
    }
    (!pairs.is_empty()).then(|| Warning {
        code: "order-depends-on-fan-curve".into(),
        message: format!(
            "the order of {} depends on the shape of the fan curve, which the two numbers on the box leave open",
            told.join("; of ")
        ),
        advice: "give the fan curve point by point".to_owned(),
    })
}

#[cfg(test)]
mod tests;
