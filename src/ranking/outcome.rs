//! What a ranking tells, as plain data in SI units.

use crate::fan::NoOperatingPoint;
use crate::likely::{Contribution, Likely, Warning};
use crate::ranking::Comparison;

/// Grilles in order.
#[derive(Debug, Clone, PartialEq)]
pub struct Ranking {
    /// The fan without a grille; `None` when a flow was given.
    pub bare: Option<BareFan>,
    /// The grilles, best first.
    pub grilles: Vec<RankedGrille>,
    /// Grilles for which the fan settles nowhere, in the order given: place among those given, and why.
    pub unranked: Vec<(usize, NoOperatingPoint)>,
    /// Pairs, best first: all of the first twenty places, further down neighbours, and each with the first.
    pub comparisons: Vec<Comparison>,
    /// Groups of places in `grilles` of which none is behind another; a grille may stand in several.
    pub ties: Vec<Vec<usize>>,
    /// Doubts about the order as a whole.
    pub warnings: Vec<Warning>,
}

/// The fan in the same place without a grille.
#[derive(Debug, Clone, PartialEq)]
pub struct BareFan {
    /// Flow, m³/s.
    pub flow: Likely,
    /// Pressure that the PC case takes, Pa; below zero where other fans blow air through this one.
    pub place_pressure: f64,
    /// Further flows at which it could settle, m³/s.
    pub other_flows: Vec<f64>,
    /// Mean temperature rise of the air, K.
    pub temperature_rise: Option<f64>,
    /// Doubts.
    pub warnings: Vec<Warning>,
}

/// A grille in its place.
#[derive(Debug, Clone, PartialEq)]
pub struct RankedGrille {
    /// Place among the grilles that were given.
    pub index: usize,
    /// 1 and the number of grilles that it is behind.
    pub rank: usize,
    /// Those that it is neither behind nor ahead of, best first: places in [`Ranking::grilles`].
    pub tied_with: Vec<usize>,
    /// Flow, m³/s.
    pub flow: Likely,
    /// Flow in per cent of the bare fan; `None` when a flow was given.
    pub flow_percent: Option<Likely>,
    /// Pressure drop of the grille, Pa.
    pub pressure_drop: Likely,
    /// Pressure drop of everything else that the bare fan goes without, Pa.
    pub parts_pressure_drop: Likely,
    /// Pressure that the PC case takes, Pa; below zero where other fans blow air through this one.
    pub place_pressure: f64,
    /// Flow over the reference area, m/s.
    pub face_velocity: Likely,
    /// K of the grille on the reference area.
    pub loss_coefficient: Likely,
    /// Velocity in front of each zone, m/s, in the order of the zones.
    pub zone_velocities: Vec<f64>,
    /// What the air behind a fan adds, on the exhaust side.
    pub swirl: Option<RankedSwirl>,
    /// Mean temperature rise of the air, K, when a heat load was given.
    pub temperature_rise: Option<f64>,
    /// Further flows at which the fan could settle, m³/s.
    pub other_flows: Vec<f64>,
    /// How many times as fast the fan would have to turn to move what the bare fan moves, by the fan laws; `None` when a flow was given, and above 3.
    pub speed_ratio_for_bare_flow: Option<f64>,
    /// Parts of the interval of the flow (of the pressure drop when a flow was given), largest first.
    pub contributions: Vec<Contribution>,
    /// Doubts.
    pub warnings: Vec<Warning>,
}

/// What the air behind a fan adds to a grille where the fan settles.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RankedSwirl {
    /// Circulation of the air that leaves the fan, m²/s; 0 where its swirl is not known.
    pub circulation: f64,
    /// The part of K, on the reference area, that is lost suction of the turning core.
    pub lost_suction: f64,
}
