//! The straight twin of a grille whose openings turn: the same part in everything but the turn.

use crate::grille::{Grille, Pattern, Turn};
use crate::study::Study;
use crate::study::describe::pattern_turn;

/// The grille with straight openings; `None` where they are straight already.
fn straightened(grille: &Grille) -> Option<Grille> {
    let is_turned = |zone: &crate::grille::Zone| pattern_turn(&zone.pattern) != Turn::Straight;
    if !grille.zones.iter().any(is_turned) {
        return None;
    }
    let mut straight = grille.clone();
    for zone in &mut straight.zones {
        match &mut zone.pattern {
            Pattern::Holes(holes) => {
                holes.turn = Turn::Straight;
                // Straight holes never merge.
                holes.merging_accepted = false;
            }
            Pattern::Rings(rings) => rings.turn = Turn::Straight,
            Pattern::Bars(bars) => bars.turn = Turn::Straight,
        }
    }
    Some(straight)
}

impl Study {
    /// Whether the openings of a grille turn, and the place of the grille of this study that is the same but for the turn.
    pub fn straight_twin(&self, grille: &Grille) -> Option<Option<usize>> {
        let straight = straightened(grille)?;
        let is_twin = |other: &Grille| {
            let named = Grille {
                name: other.name.clone(),
                ..straight.clone()
            };
            *other == named
        };
        Some(self.grilles.iter().position(is_twin))
    }
}
