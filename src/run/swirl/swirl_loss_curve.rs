//! How K of a zone, and the angle at which its air leaves, change with the angle at which the air comes in.

use crate::run::corrections::repeat_table::{Loss, STAND_IN, incidence_reach, leaning, outflow};

/// Step of the tangent between two nodes.
const STEP: f64 = 0.02;

/// How many nodes: tangents from 0 to 2.2, 65 degrees.
const NODES: u32 = 111;

/// Largest lean (degrees) that the table of repeats reaches: beyond it, and beyond its free-area ratios, its relative changes are taken as at its ends.
const LARGEST_LEAN: f64 = 30.0;

/// What is left of the swirl behind openings of which nothing is known: half, as far as anybody can say.
const UNKNOWN_REST: f64 = 0.5;

/// K over K of straight holes met straight on, and the tangent of the outflow, over the tangent of the inflow.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct SwirlLossCurve {
    loss: Vec<f64>,
    outflow: Vec<f64>,
}

impl SwirlLossCurve {
    /// By the table of repeats, which holds hexagons; `lean` in radians, positive with the swirl.
    ///
    /// Beyond the angles of the table K follows that of straight holes met as far off their axis, which goes on in a straight line over the tangent from 45 degrees on,
    /// and the outflow goes on in a straight line:
    ///
    /// ```text
    /// K(t) = K(t_e) S(|t - m|) / S(|t_e - m|),    m = tan(lean) / phi      t_e: last tangent of the table;  S: straight holes
    /// ```
    pub(in crate::run) fn tabled(free_area_ratio: f64, lean: f64) -> Self {
        let lean_deg = lean.to_degrees().clamp(-LARGEST_LEAN, LARGEST_LEAN);
        let (least, most) = incidence_reach(lean_deg);
        let phi = free_area_ratio.clamp(least, most);
        let met = |lean_deg: f64, inflow: f64| {
            leaning(STAND_IN, phi, lean_deg, inflow, Loss::Static).map(|(factor, _)| factor)
        };
        let straight = prolonged(&known(|inflow| met(0.0, inflow)));
        let mut loss = known(|inflow| met(lean_deg, inflow));
        let aligned = lean_deg.to_radians().tan() / phi;
        if let Some(&last) = loss.last() {
            let off_axis = |node: usize| at(&straight, (tangent(node) - aligned).abs());
            let end = loss.len() - 1;
            for node in loss.len()..NODES as usize {
                loss.push(last * off_axis(node) / off_axis(end));
            }
        } else {
            loss = straight;
        }
        Self {
            loss,
            outflow: prolonged(&known(|inflow| outflow(phi, lean_deg, inflow))),
        }
    }

    /// Of openings of which nothing is known: K stays, half of the swirl goes through.
    pub(super) fn unknown() -> Self {
        Self {
            loss: vec![1.0; NODES as usize],
            outflow: (0..NODES as usize)
                .map(|node| UNKNOWN_REST * tangent(node))
                .collect(),
        }
    }

    /// Moved so that air which came in at a tangent leaves at the one that was solved: a share of it where holes do not lean, else by as much everywhere.
    #[must_use]
    pub(super) fn through(mut self, inflow: f64, solved_outflow: f64, is_straight: bool) -> Self {
        let tabled = self.outflow(inflow);
        if is_straight {
            if inflow > 0.0 && tabled > 0.0 {
                let share = (solved_outflow / tabled).clamp(0.0, inflow / tabled);
                self.outflow.iter_mut().for_each(|node| *node *= share);
            }
        } else {
            let shift = solved_outflow - tabled;
            self.outflow.iter_mut().for_each(|node| *node += shift);
        }
        self
    }

    /// K at a tangent of the inflow, over that of straight holes met straight on.
    pub(in crate::run) fn loss(&self, inflow: f64) -> f64 {
        at(&self.loss, inflow)
    }

    /// Tangent of the outflow at a tangent of the inflow.
    pub(super) fn outflow(&self, inflow: f64) -> f64 {
        at(&self.outflow, inflow)
    }
}

fn tangent(node: usize) -> f64 {
    STEP * node as f64
}

/// The nodes that the table reaches, from 0 on.
fn known(value: impl Fn(f64) -> Option<f64>) -> Vec<f64> {
    (0..NODES as usize)
        .map_while(|node| value(tangent(node).atan().to_degrees()))
        .collect()
}

/// All nodes: beyond the known ones in a straight line.
fn prolonged(known: &[f64]) -> Vec<f64> {
    let mut all = known.to_vec();
    let slope = match known {
        [.., a, b] => b - a,
        _ => 0.0,
    };
    let last = known.last().copied().unwrap_or(1.0);
    for more in 1..=(NODES as usize).saturating_sub(known.len()) {
        all.push(last + slope * more as f64);
    }
    all
}

/// Between nodes in straight lines, beyond the last as there.
#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "held between the first and the last node"
)]
fn at(nodes: &[f64], inflow: f64) -> f64 {
    let place = (inflow / STEP).clamp(0.0, nodes.len() as f64 - 1.0);
    let left = (place as usize).min(nodes.len().saturating_sub(2));
    let part = place - left as f64;
    nodes[left] + part * (nodes[left + 1] - nodes[left])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn within_the_table_it_is_the_table() {
        // Rows of the table: hexagons at 0.42, met at 30 degrees: K 5.9921 over 5.0546, out at 11.7 degrees; leaned 15 there: 5.2108, out at 32.3.
        let thirty = 30_f64.to_radians().tan();
        for (lean, loss, out) in [(0.0_f64, 5.9921, 11.7_f64), (15.0, 5.2108, 32.3)] {
            let curve = SwirlLossCurve::tabled(0.42, lean.to_radians());
            assert!((curve.loss(thirty) / (loss / 5.0546) - 1.0).abs() < 0.005);
            assert!((curve.outflow(thirty) - out.to_radians().tan()).abs() < 0.01);
        }
    }

    #[test]
    fn beyond_the_table_it_goes_on_without_a_jump() {
        for (phi, lean) in [
            (0.42, 0.0),
            (0.6, 15.0),
            (0.5, -15.0),
            (0.8, 40.0),
            (0.2, 0.0),
        ] {
            let curve = SwirlLossCurve::tabled(phi, f64::to_radians(lean));
            for node in 1..NODES as usize {
                let (before, here) = (curve.loss[node - 1], curve.loss[node]);
                assert!(
                    here > 0.5 && (here / before - 1.0).abs() < 0.08,
                    "{phi} {lean} {node}"
                );
                let step = curve.outflow[node] - curve.outflow[node - 1];
                assert!(step.abs() < STEP, "{phi} {lean} {node}: {step}");
            }
        }
    }

    #[test]
    fn straight_holes_cost_more_the_more_the_air_turns_and_never_turn_it_more() {
        for phi in [0.2, 0.36, 0.42, 0.5, 0.6, 0.66, 0.8] {
            let curve = SwirlLossCurve::tabled(phi, 0.0);
            for node in 1..NODES as usize {
                assert!(curve.loss[node] > curve.loss[node - 1], "{phi} {node}");
                let outflow = curve.outflow[node];
                assert!(outflow > 0.0 && outflow <= tangent(node), "{phi} {node}");
            }
        }
    }

    #[test]
    fn a_solved_outflow_is_met() {
        let curve = SwirlLossCurve::tabled(0.5, 0.0).through(0.5, 0.1, true);
        assert!((curve.outflow(0.5) - 0.1).abs() < 1e-9 && curve.outflow(0.0).abs() < 1e-9);
        let leaned = SwirlLossCurve::tabled(0.5, 0.2).through(0.5, 0.7, false);
        assert!((leaned.outflow(0.5) - 0.7).abs() < 1e-9);
        assert!((SwirlLossCurve::unknown().outflow(1.0) - 0.5).abs() < 1e-9);
    }
}
