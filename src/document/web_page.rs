//! The whole page: head, style, parts in their order.

use std::io;

use maud::{DOCTYPE, Markup, PreEscaped, html};

use crate::document::Material;
use crate::document::fan_part::fan;
use crate::document::grille_part::grille;
use crate::document::how::{cautions, how};
use crate::document::ranking_part::{answer, ranking};
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
    let fan = fan(material)?;
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
                        li { a href="#ranking" { "Ranking" } }
                        li { a href="#grilles" { "Each grille" } }
                        @if fan.is_some() { li { a href="#fan" { "Where the fan settles" } } }
                        li { a href="#how" { "How it was made" } }
                        li { a href="#cautions" { "Cautions" } }
                    }
                }
                main {
                    (ranking(material)?)
                    section #grilles {
                        h2 { "Each grille" }
                        @for grille in &grilles { (grille) }
                    }
                    @if let Some(fan) = fan { (fan) }
                    (how(material))
                    (cautions(material))
                }
                footer {
                    p { "Written by Ventwright " (env!("CARGO_PKG_VERSION")) " from results of version " (kept.code_version) ". All numbers: ranking.csv and ranking.json beside this file." }
                }
            }
        }
    })
}
