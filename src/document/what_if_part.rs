//! Every grille with every fabric: a table for each fabric's two seats.

use maud::{Markup, html};

use crate::document::Material;
use crate::document::words::with_range;
use crate::report::harmless;
use crate::result::WhatIf;

/// Seats of a fabric, and how they are called.
const SEATS: [(bool, &str); 2] = [(false, "apart"), (true, "on the holes")];

/// The table; nothing without fabrics.
pub(super) fn what_if(material: &Material<'_>) -> Option<Markup> {
    let told = material.ranking.what_if.as_ref()?;
    if told.rows.is_empty() {
        return None;
    }
    let (grilles, fabrics) = (told.grilles(), told.fabrics());
    let unit = if told.rows.iter().any(|row| row.flow_percent.is_some()) {
        "air in per cent of the bare fan"
    } else {
        "pressure of grille, fabric and panels together, Pa"
    };
    let has_unranked = told.rows.iter().any(|row| row.rank.is_none());
    Some(html! {
        section #fabrics {
            h2 { "With a fabric" }
            p {
                "What each grille would leave with each fabric of the study: " (unit) ", with its likely range. "
                "The fabric stands apart from the grille, over the fan's own area, or it lies on the holes, where the air is faster."
            }
            div.tables {
                @for fabric in fabrics {
                    table.stack {
                        caption { (harmless(fabric)) }
                        thead { tr {
                            th scope="col" { "grille" }
                            @for (_, seat) in SEATS { th.number scope="col" { (seat) } }
                        } }
                        tbody {
                            @for grille in &grilles {
                                tr {
                                    th scope="row" { (harmless(&grille.name)) }
                                    @for (lies_on_holes, seat) in SEATS {
                                        td.number data-label=(seat) { (cell(told, grille.id, (fabric, lies_on_holes))) }
                                    }
                                }
                            }
                        }
                    }
                }
            }
            p.note {
                "=: not behind the best of its column."
                @if has_unranked {
                    " ?: known from its threads alone; a knit of yarn may cost many times as much as shown, so it has no place before a bench reading."
                }
            }
        }
    })
}

/// A number with its range, and a sign where it is as good as the best of its column, or has no place.
fn cell(told: &WhatIf, grille: usize, column: (&str, bool)) -> String {
    let Some((row, is_best)) = told.cell(grille, column) else {
        return "–".to_owned();
    };
    let sign = match row.rank {
        None => "\u{a0}?",
        Some(_) if is_best => "\u{a0}=",
        Some(_) => "",
    };
    let number = row.flow_percent.unwrap_or_else(|| row.total_pressure_pa());
    with_range(&number) + sign
}
