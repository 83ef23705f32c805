//! The whole page: head, style, parts in their order.

use std::io;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::document::Material;
use crate::document::fan_part::fan;
use crate::document::grille_part::{UNFOLDED, grille};
use crate::document::how::{cautions, how};
use crate::document::overview_part::overview;
use crate::document::ranking_part::{answer, ranking};
use crate::document::what_if_part::what_if;
use crate::report::harmless;

/// How it looks; nothing in it names an address.
const STYLE: &str = include_str!("style.css");

/// The page.
///
/// # Errors
/// None that can happen: charts are drawn into a text.
pub(super) fn page(material: &Material<'_>) -> io::Result<Markup> {
    let kept = material.ranking;
    let mut grilles = Vec::new();
    for (at, of) in kept.grilles.iter().enumerate() {
        grilles.push(grille(material, at + 1, of)?);
    }
    // What a reader can jump to, in this order; each is a section with this name.
    let parts = [
        ("ranking", "Ranking", Some(ranking(material)?)),
        ("fabrics", "With a fabric", what_if(material)),
        ("air", "The air, side by side", overview(material)),
        ("grilles", "Each grille", Some(each(&grilles))),
        ("fan", "Where the fan settles", fan(material)?),
        ("how", "How it was made", Some(how(material))),
        ("cautions", "Cautions", Some(cautions(material))),
    ];
    let parts = parts
        .into_iter()
        .filter_map(|(name, title, part)| Some((name, title, part?)));
    let parts: Vec<(&str, &str, Markup)> = parts.collect();
    Ok(html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (harmless(&kept.study)) " – Ventwright report" }
                style { (PreEscaped(STYLE)) }
            }
            body {
                (answer(material))
                nav aria-label="Parts of the report" {
                    ul {
                        @for (name, title, _) in &parts { li { a href={ "#" (name) } { (title) } } }
                    }
                }
                main { @for (_, _, part) in &parts { (part) } }
                footer {
                    p { "Written by Ventwright " (env!("CARGO_PKG_VERSION")) " from results of version " (kept.code_version) ". All numbers: ranking.csv and ranking.json beside this file; ranking.schema.json explains the latter." }
                }
            }
        }
    })
}

/// All grilles, best first.
fn each(grilles: &[Markup]) -> Markup {
    html! {
        section #grilles {
            h2 { "Each grille" }
            @for grille in grilles.iter().take(UNFOLDED) { (grille) }
            @if let [first, ..] = grilles.get(UNFOLDED..).unwrap_or_default() {
                details {
                    summary { "The other " (grilles.len() - UNFOLDED) ", from place " (UNFOLDED + 1) " of the list on" }
                    (first)
                    @for grille in &grilles[UNFOLDED + 1..] { (grille) }
                }
            }
        }
    }
}
