//! Each grille with each fabric, standing apart and lying on the holes: what it would make of the air.

use crate::ranking::{Circuit, GrilleLoss, PathPart, RankedGrille, Seat, rank};
use crate::result::{GrilleName, WhatIf, WhatIfRow};
use crate::units::CUBIC_METRES_PER_HOUR;

/// Most grilles of which it is asked, best first.
const MOST_GRILLES: usize = 12;

/// A fabric that might be used.
#[derive(Debug, Clone, PartialEq)]
pub struct Candidate {
    /// Name.
    pub name: String,
    /// a and b of `Δp = a U + b U²`, Pa s/m and Pa s²/m².
    pub law: [f64; 2],
    /// Least and most of its pressure drop at 95 %, as factors of it.
    pub band: [f64; 2],
    /// Whether its law is good enough for a place in an order.
    pub is_ranked: bool,
}

/// A grille to set fabrics on.
#[derive(Debug, Clone, PartialEq)]
pub struct Carrier<'a> {
    /// Which.
    pub grille: &'a GrilleName,
    /// What it takes, panels and all.
    pub loss: &'a GrilleLoss,
    /// Free-area ratio of each zone.
    pub free_area_ratios: Vec<f64>,
}

/// Every combination on the fan's own area, best first; `None` without fabrics, or where the bare fan settles nowhere.
///
/// Fabrics that may not be ranked are solved too, and stand without a place at the end.
pub fn what_if(
    circuit: &Circuit,
    carriers: &[Carrier<'_>],
    candidates: &[Candidate],
) -> Option<WhatIf> {
    if candidates.is_empty() {
        return None;
    }
    let mut rows = Vec::new();
    let mut ties = Vec::new();
    for is_ranked in [true, false] {
        let combinations = combinations(circuit, carriers, candidates, is_ranked);
        let losses: Vec<GrilleLoss> = combinations.iter().map(|it| it.loss.clone()).collect();
        let ranking = rank(circuit, &losses).ok()?;
        if is_ranked {
            ties = ranking.ties;
        }
        for ranked in &ranking.grilles {
            rows.push(combinations[ranked.index].row(ranked, is_ranked));
        }
    }
    Some(WhatIf { rows, ties })
}

/// A grille with a fabric at one place.
struct Combination<'a> {
    grille: &'a GrilleName,
    fabric: &'a str,
    lies_on_holes: bool,
    loss: GrilleLoss,
}

fn combinations<'a>(
    circuit: &Circuit,
    carriers: &'a [Carrier<'_>],
    candidates: &'a [Candidate],
    is_ranked: bool,
) -> Vec<Combination<'a>> {
    let mut made = Vec::new();
    for carrier in carriers.iter().take(MOST_GRILLES) {
        for candidate in candidates.iter().filter(|it| it.is_ranked == is_ranked) {
            let seats = [
                Seat::Apart {
                    area: circuit.reference_area,
                },
                Seat::Pressed {
                    free_area_ratios: carrier.free_area_ratios.clone(),
                },
            ];
            for seat in seats {
                let lies_on_holes = matches!(seat, Seat::Pressed { .. });
                let part = PathPart {
                    name: candidate.name.clone(),
                    viscous: candidate.law[0],
                    inertial: candidate.law[1],
                    band: candidate.band,
                    seat,
                };
                made.push(Combination {
                    grille: carrier.grille,
                    fabric: &candidate.name,
                    lies_on_holes,
                    loss: carrier.loss.clone().with_parts(&[part]),
                });
            }
        }
    }
    made
}

impl Combination<'_> {
    fn row(&self, ranked: &RankedGrille, is_ranked: bool) -> WhatIfRow {
        WhatIfRow {
            grille: self.grille.clone(),
            fabric: self.fabric.to_owned(),
            lies_on_holes: self.lies_on_holes,
            rank: is_ranked.then(|| u32::try_from(ranked.rank).unwrap_or(u32::MAX)),
            flow_m3_per_h: ranked.flow.scaled(CUBIC_METRES_PER_HOUR),
            flow_percent: ranked.flow_percent,
            grille_pressure_pa: ranked.pressure_drop.value,
            fabric_pressure_pa: ranked.parts_pressure_drop,
        }
    }
}
