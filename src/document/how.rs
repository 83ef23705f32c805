//! How the numbers were made and what they leave out, and the cautions.

use maud::{Markup, html};

use crate::document::Material;
use crate::document::words::sentence;
use crate::report::cautions::CAUTIONS;
use crate::result::{Side, View};

/// How the numbers were made, in words of the workshop; each trade term once.
pub(super) fn how(material: &Material<'_>) -> Markup {
    let kept = material.ranking;
    let has = |view: View| {
        let mut runs = kept.grilles.iter().flat_map(|grille| &grille.runs);
        runs.any(|run| run.view == view)
    };
    let has_fan_view =
        kept.bare_fan_view.is_some() || kept.grilles.iter().any(|grille| grille.fan_view.is_some());
    html! {
        section #how {
            h2 { "How the numbers were made" }
            ol {
                li {
                    "A piece of each grille was taken out of the drawing. "
                    @if has(View::Hole) { "A hole was replaced by a round one of the same effective width in a round piece of plate (hole view). " }
                    @if has(View::Slice) { "A slot was cut across, half of it between two mirrors (slice view). " }
                    @if has(View::Repeat) { "The smallest repeating piece was solved as it is, in three dimensions (repeat view). " }
                    "The air through it was followed step by step on a fine grid of cells (lattice-Boltzmann method) until its mean no longer moved."
                }
                li {
                    "That gave what each grille costs at several air speeds: the pressure lost, over the pressure of the moving air. "
                    "It is computed in two independent ways, from what flows in and out and from the force on the plate; the two have to agree."
                }
                @if material.ranking.is_flow_given() {
                    li { "The flow was given, so the grilles are ranked by the pressure that they cost at it." }
                } @else {
                    li { "The fan's own curve and that cost decide how much air the fan still moves; the grilles are ranked by it." }
                }
                li {
                    "Every number has a likely range: with the assumptions made here the true value lies within it 95 times in 100 (95 % interval). "
                    "It combines the fluctuation in time, the grid, what the simplified piece leaves out, and what is known about the fan."
                }
                @if has_fan_view {
                    li {
                        "How the air spreads behind the whole fan face was solved in a view that is the same all around the axis (axisymmetric). "
                        "It is a trend and changes no place in the ranking."
                    }
                }
            }
            h3 { "What they leave out" }
            ul {
                li { "Print quality: strings, stair steps and rough walls are not in the drawing." }
                li { "Noise: only bars against blades are counted; no sound was computed; a grille close to the blades can hum or whistle." }
                li { "Dust: every grille is taken as clean." }
                li { "Anything close to the grille: cables, a wall, a desk." }
                li { "The blades themselves: the fan is its curve, and the curve was measured without a grille close by." }
                @if kept.side == Side::Exhaust {
                    li { "Gusts from blade to blade: the air behind the fan is taken as steady, with its mean swirl." }
                }
            }
        }
    }
}

/// Doubts of the study as a whole and the cautions, which always stand.
pub(super) fn cautions(material: &Material<'_>) -> Markup {
    html! {
        section #cautions {
            h2 { "Cautions" }
            ul.warnings {
                @for caution in CAUTIONS { li { (caution) } }
                @for warning in &material.ranking.warnings {
                    li { (sentence(&warning.message)) " " span.advice { (sentence(&warning.advice)) } }
                }
                @for missing in material.missing { li { (sentence(missing)) } }
            }
        }
    }
}
