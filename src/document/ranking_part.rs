//! The top of the report: the answer with its certainty, the ranking as bars and as a table, the biggest doubt.

use std::io;

use maud::{Markup, html};

use crate::comparison::Relation;
use crate::document::Material;
use crate::document::bars::{Bar, chart};
use crate::document::svg::figure;
use crate::document::words::{cut, listed, sentence, with_range};
use crate::likely::{Contribution, Likely};
use crate::report::{Answer, BarScale, biggest_doubt, compact, harmless, tie_letters};
use crate::result::{GrilleResult, PairComparison, Quality, StudyResult};
use crate::units::FlowUnit;

/// Widths of the two forms of the chart, pixels: for phones, and for everything else.
const WIDTHS: [(&str, i32); 2] = [("chart narrow", 360), ("chart wide", 860)];

/// Most columns of a name in the table; each stands in full above its own part.
const NAME: usize = 80;

/// Title, answer, certainty.
pub(super) fn answer(material: &Material<'_>) -> Markup {
    let kept = material.ranking;
    let said = Answer::of(kept);
    let count = kept.grilles.len();
    html! {
        header {
            h1 { (harmless(&kept.study)) }
            p.answer { (sentence(&said.answer)) }
            @if let Some(why) = &said.why { p { "Why: " (harmless(why)) "." } }
            @if !said.reservation.is_empty() { p { (harmless(&said.reservation)) } }
            @if let Some(certainty) = certainty(kept) { p { (certainty) } }
            p.facts {
                (count) " " (if count == 1 { "grille" } else { "grilles" }) " on the " (kept.side)
                " side, quality " (kept.quality) ". " (base(kept))
            }
        }
    }
}

/// How the first two of the list stand to one another.
fn certainty(kept: &StudyResult) -> Option<String> {
    let [first, second] = kept.grilles.get(..2)? else {
        return None;
    };
    let of = |pair: &&PairComparison| pair.better.id == first.id && pair.other.id == second.id;
    let pair = kept.pairs.iter().find(of)?;
    let (first, second) = (&first.name, &second.name);
    let percent = (100.0 * pair.sureness).floor().min(99.0);
    Some(harmless(&match pair.relation {
        Relation::Ahead => {
            format!(
                "{first} is ahead of {second}, the next in the list: {percent:.0}\u{a0}% sure, with the number of grilles allowed for."
            )
        }
        Relation::EqualInUse => {
            format!(
                "{first} and {second}, the next in the list, are equal in use: less than a point of flow apart."
            )
        }
        Relation::TooClose => {
            format!("{first} and {second}, the next in the list, are too close to call.")
        }
    }))
}

/// What 100 % stands for, or the flow that was given.
fn base(kept: &StudyResult) -> String {
    if let Some(flow) = kept.given_flow_m3_per_h {
        return format!(
            "Ranked by the pressure that {} cost.",
            both_units(kept, flow)
        );
    }
    kept.bare_flow_m3_per_h.map_or_else(String::new, |bare| {
        let unit = kept.output_units.flow;
        let [low, high] = [bare.low, bare.high].map(|flow| compact(unit.of_m3_per_h(flow)));
        format!(
            "100\u{a0}% is the bare fan in its place: {}, likely {low} to {high}\u{a0}{}.",
            both_units(kept, bare.value),
            unit.symbol()
        )
    })
}

/// The units of flow in the order in which they are told: that of the study, then the other of the two that everybody knows.
fn flow_units(kept: &StudyResult) -> [FlowUnit; 2] {
    let other = match kept.output_units.flow {
        FlowUnit::CubicMetresPerHour => FlowUnit::CubicFeetPerMinute,
        _ => FlowUnit::CubicMetresPerHour,
    };
    [kept.output_units.flow, other]
}

/// A flow in both of them.
fn both_units(kept: &StudyResult, flow_m3_per_h: f64) -> String {
    let [first, second] = flow_units(kept).map(|unit| {
        let flow = compact(unit.of_m3_per_h(flow_m3_per_h));
        format!("{flow}\u{a0}{}", unit.symbol())
    });
    format!("{first} ({second})")
}

/// The place as it is written: `1=` where it is shared.
pub(super) fn place(kept: &StudyResult, grille: &GrilleResult) -> String {
    grille.rank.map_or_else(
        || "–".to_owned(),
        |rank| {
            let sharing = kept.grilles.iter().filter(|g| g.rank == Some(rank));
            let mark = if sharing.count() > 1 { "=" } else { "" };
            format!("{rank}{mark}")
        },
    )
}

/// Chart, table, biggest doubt.
///
/// # Errors
/// None that can happen: charts are drawn into a text.
pub(super) fn ranking(material: &Material<'_>) -> io::Result<Markup> {
    let kept = material.ranking;
    let is_given = material.ranking.is_flow_given();
    let letters = tie_letters(kept);
    let has_ties = letters.iter().any(|letters| !letters.is_empty());
    let doubt = doubt(kept, is_given);
    Ok(html! {
        section #ranking {
            h2 { "Ranking" }
            div.beside.bars {
                (bars(kept)?)
                (table(kept, is_given, &letters))
            }
            @if has_ties {
                p.note { "Tie: grilles that share a letter are not behind one another; a place is 1 and the number of grilles ahead." }
            }
            p.note {
                "K (loss coefficient) is the pressure drop over the pressure of the moving air, 0.5 × density × speed²; the speed is flow over "
                (compact(kept.reference_area.area_m2 * 1e4)) "\u{a0}cm² (" (harmless(&kept.reference_area.words)) ")."
            }
            @if let Some(doubt) = doubt {
                h3 { "Biggest doubt" }
                p { (sentence(&doubt)) }
            }
        }
    })
}

/// The biggest doubt of the ranking, if there is one.
pub(super) fn doubt(kept: &StudyResult, is_given: bool) -> Option<String> {
    let ranked = kept.grilles.iter().filter(|grille| grille.rank.is_some());
    let parts: Vec<Vec<Contribution>> = ranked.map(|grille| grille.contributions.clone()).collect();
    let mut grilles = kept.grilles.iter();
    let has_glances = grilles.any(|grille| grille.quality == Quality::Quick);
    let of = if is_given { "pressure drop" } else { "flow" };
    biggest_doubt(&parts, has_glances, of)
}

/// The ranking as bars with all that is said beside them.
pub(super) struct Bars {
    /// A bar for each grille.
    pub(super) each: Vec<Bar>,
    /// Their scale.
    pub(super) scale: BarScale,
    /// Its unit.
    pub(super) unit: &'static str,
    /// What they show.
    pub(super) what: &'static str,
    /// The same in words, for whoever cannot see it.
    pub(super) words: String,
}

/// The bars of a ranking; `None` where no grille has a number.
pub(super) fn bars_of(kept: &StudyResult) -> Option<Bars> {
    let is_given = kept.is_flow_given();
    let letters = tie_letters(kept);
    let measures: Vec<Likely> = kept
        .grilles
        .iter()
        .filter_map(|grille| kept.measure(grille).copied())
        .collect();
    if measures.is_empty() {
        return None;
    }
    let (scale, unit, what) = if is_given {
        (
            BarScale::for_pressure(measures.iter()),
            "Pa",
            "Pressure drop of each grille at the given flow",
        )
    } else {
        (
            BarScale::for_percent(measures.iter()),
            "%",
            "Air of each grille in per cent of what the bare fan moves",
        )
    };
    let bars: Vec<Bar> = kept
        .grilles
        .iter()
        .zip(&letters)
        .map(|(grille, letters)| Bar {
            place: match letters.as_str() {
                "" => place(kept, grille),
                letters => format!("{} ({letters})", place(kept, grille)),
            },
            name: grille.name.clone(),
            measure: kept.measure(grille).copied(),
        })
        .collect();
    let told: Vec<String> = bars
        .iter()
        .map(|bar| {
            let number = bar
                .measure
                .map_or("no number".to_owned(), |m| with_range(&m));
            format!("{} {number}", bar.name)
        })
        .collect();
    let words = harmless(&format!("Bar chart. {what}, {unit}: {}.", told.join("; ")));
    Some(Bars {
        each: bars,
        scale,
        unit,
        what,
        words,
    })
}

fn bars(kept: &StudyResult) -> io::Result<Markup> {
    let Some(of) = bars_of(kept) else {
        return Ok(html! { p { "No grille has a valid number, so there is nothing to draw." } });
    };
    let cut_off = if of.scale.is_cut() {
        " The bars do not begin at 0."
    } else {
        ""
    };
    let mut charts = Vec::new();
    for (class, width) in WIDTHS {
        let svg = chart(&of.each, of.scale, of.unit, width)?;
        charts.push(figure(class, &svg, &of.words));
    }
    Ok(html! {
        figure {
            @for chart in &charts { (chart) }
            figcaption {
                (of.what) ", in " (of.unit) ". Stroke: best estimate; pale: likely range (95\u{a0}%)." (cut_off)
            }
        }
    })
}

fn table(kept: &StudyResult, is_given: bool, letters: &[String]) -> Markup {
    let has_ties = letters.iter().any(|letters| !letters.is_empty());
    let likely =
        |range: Option<Likely>| range.map_or_else(|| "–".to_owned(), |range| with_range(&range));
    let measure = if is_given {
        "Pa (likely)"
    } else {
        "air % (likely)"
    };
    html! {
        table.stack {
            caption { "Every grille, best first" }
            thead { tr {
                th scope="col" { "place" }
                @if has_ties { th scope="col" { "tie" } }
                th scope="col" { "grille" }
                th.number scope="col" { (measure) }
                @if !is_given {
                    @for unit in flow_units(kept) { th.number scope="col" { (unit.symbol()) } }
                }
                th.number scope="col" { "K" }
                @if !is_given { th.number scope="col" { (kept.output_units.pressure.symbol()) } }
                th.number scope="col" { "hole area %" }
                th.number scope="col" { "finger distance, mm" }
            } }
            tbody {
                @for (at, (grille, letters)) in kept.grilles.iter().zip(letters).enumerate() {
                    tr {
                        td.short data-label="place" { (place(kept, grille)) }
                        @if has_ties { td.short data-label="tie" { (if letters.is_empty() { "–" } else { letters.as_str() }) } }
                        th scope="row" { a href={ "#grille-" (at + 1) } { (cut(&grille.name, NAME)) } }
                        td.number data-label=(measure) {
                            (kept.measure(grille).map_or_else(|| "no number".to_owned(), with_range))
                        }
                        @if !is_given {
                            @for unit in flow_units(kept) {
                                td.number data-label=(unit.symbol()) {
                                    (grille.flow_m3_per_h.map_or("–".to_owned(), |f| compact(unit.of_m3_per_h(f.value))))
                                }
                            }
                        }
                        td.number data-label="K" { (likely(grille.loss_coefficient)) }
                        @if !is_given {
                            td.number data-label=(kept.output_units.pressure.symbol()) {
                                (grille.pressure_drop_pa.map_or("–".to_owned(), |p| compact(p.value * kept.output_units.pressure.per_si())))
                            }
                        }
                        td.number data-label="hole area %" { (format!("{:.0}", grille.hole_area_percent)) }
                        td.number data-label="finger distance, mm" { (grille.finger_distance_mm.map_or("–".to_owned(), |d| format!("{d:.0}"))) }
                    }
                }
            }
        }
    }
}

/// Most grilles that are named in a list of ties; the rest is counted, and its letters stand in the table.
const MOST_TIED: usize = 12;

/// "Neither behind nor ahead of a, b and c."
pub(super) fn tied(result: &StudyResult, grille: &GrilleResult) -> Option<String> {
    let tied: Vec<&GrilleResult> = result.tied_with(grille.id).collect();
    // Naming one takes no more room than "1 more".
    let shown = if tied.len() > MOST_TIED + 1 {
        MOST_TIED
    } else {
        tied.len()
    };
    let names = tied[..shown].iter().map(|other| harmless(&other.name));
    let mut names: Vec<String> = names.collect();
    if tied.len() > shown {
        names.push(format!("{} more", tied.len() - shown));
    }
    (!names.is_empty()).then(|| format!("Neither behind nor ahead of {}.", listed(&names)))
}
