//! One hole of a turned grille, large: its outline in the front and in the back face, one over the other.

use maud::{Markup, html};

use crate::document::Drawn;
use crate::document::drawing::{UNIT, scale_bar, seen, write_outline};
use crate::document::words::cut;

/// How far a drawn line may lie off the true one, units.
const ROUGHNESS: f64 = 1.0;

/// Room around the outlines, as a part of their width.
const MARGIN: f64 = 0.12;

/// The hole whose middle lies nearest to half of the way to the rim; nothing where front and back do not hold the same holes.
pub(super) fn close_up(drawn: &Drawn<'_>) -> Markup {
    let [front, back] = [0.0, 1.0].map(|depth| drawn.grille.outlines_at_depth(depth));
    if front.len() != back.len() {
        return html! {};
    }
    let half_way = 0.5 * drawn.grille.cut_out.reach();
    let off = |outline: &[[f64; 2]]| {
        let [y, z] = middle(outline);
        (y.hypot(z) - half_way).abs()
    };
    let holes = front.iter().zip(&back);
    let Some((front, back)) = holes.min_by(|a, b| off(a.0).total_cmp(&off(b.0))) else {
        return html! {};
    };
    let corners = front.iter().chain(back).map(|point| seen(*point));
    let (mut low, mut high) = ([f64::INFINITY; 2], [f64::NEG_INFINITY; 2]);
    for corner in corners {
        for axis in 0..2 {
            low[axis] = low[axis].min(corner[axis]);
            high[axis] = high[axis].max(corner[axis]);
        }
    }
    let width = (high[0] - low[0]).max(high[1] - low[1]);
    if !(width > 0.0 && width.is_finite()) {
        return html! {};
    }
    let margin = MARGIN * width;
    let line = 0.012 * width;
    let [mut front_path, mut back_path] = [String::new(), String::new()];
    write_outline(&mut front_path, front, ROUGHNESS);
    write_outline(&mut back_path, back, ROUGHNESS);
    let bar = scale_bar(high[0] - low[0]);
    let under = high[1] + 1.6 * margin;
    let letters = 0.09 * width;
    let frame = format!(
        "{:.0} {:.0} {:.0} {:.0}",
        low[0] - margin,
        low[1] - margin,
        high[0] - low[0] + 2.0 * margin,
        under + 0.6 * margin - low[1] + margin,
    );
    let alternative = format!(
        "One hole of {}, large: its outline in the front face and, dashed, in the back face.",
        cut(&drawn.grille.name, 60)
    );
    html! {
        figure {
            svg.face viewBox=(frame) role="img" aria-label=(alternative) {
                path.hole d=(front_path) stroke-width=(format!("{line:.1}")) {}
                path.hole-back d=(back_path) stroke-width=(format!("{line:.1}"))
                    stroke-dasharray=(format!("{:.1} {:.1}", 4.0 * line, 3.0 * line)) {}
                path.scale-small d=(format!("M{:.0} {under:.0}h{:.0}", low[0], bar / 1e3 / UNIT)) stroke-width=(format!("{:.1}", 2.0 * line)) {}
                text x=(format!("{:.0}", low[0] + bar / 1e3 / UNIT + 0.3 * margin)) y=(format!("{:.0}", under + 0.35 * letters))
                    font-size=(format!("{letters:.0}")) { (bar) " mm" }
            }
            figcaption { "one hole, large: line in the front, dashes in the back, as seen from the front" }
        }
    }
}

/// Mean of the corners.
fn middle(outline: &[[f64; 2]]) -> [f64; 2] {
    let count = outline.len().max(1) as f64;
    [0, 1].map(|axis| outline.iter().map(|point| point[axis]).sum::<f64>() / count)
}
