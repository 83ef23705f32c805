//! One grille of the report.

use std::io;

use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use maud::{Markup, html};

use crate::document::drawing::faces;
use crate::document::loss_part::loss;
use crate::document::passage_part::{geometry, warnings};
use crate::document::pressure_part::shares;
use crate::document::ranking_part::{place, tied};
use crate::document::words::{listed, sentence, whole, with_range};
use crate::document::{Material, Picture, PicturePart};
use crate::likely::Likely;
use crate::report::harmless;
use crate::result::{FanViewResult, GrilleName, GrilleResult, MeterShown};

/// Grilles that are open when the page is; the others are folded.
pub(super) const UNFOLDED: usize = 20;

/// Letters that all drawings of a report may take together.
const DRAWING_LETTERS: usize = 1_000_000;

/// Letters that the drawings of one grille may take.
const MOST_DRAWING_LETTERS: usize = 300_000;

/// Letters that the drawings of a grille may take, by its place in the list; `None` where it is not drawn: of a long list those that are open have all the room.
fn drawing_room(number: usize, count: usize) -> Option<usize> {
    let drawn = if count > 2 * UNFOLDED {
        UNFOLDED
    } else {
        count.max(1)
    };
    (number <= drawn).then_some((DRAWING_LETTERS / drawn).min(MOST_DRAWING_LETTERS))
}

/// Everything about one grille; `number` counts from 1 down the ranking.
///
/// # Errors
/// None that can happen: charts are drawn into a text.
pub(super) fn grille(
    material: &Material<'_>,
    number: usize,
    kept: &GrilleResult,
) -> io::Result<Markup> {
    let ranking = material.ranking;
    let drawn = material.drawn(kept);
    let room = drawing_room(number, ranking.grilles.len());
    let paths = ranking.air_path.iter().flat_map(|path| &path.grilles);
    let path = paths.clone().find(|path| path.id == kept.id);
    let pictures = material.pictures.iter();
    let pictures = pictures.filter(|it| it.grille.as_ref().is_some_and(|of| of.id == kept.id));
    let of_runs = kept.runs.iter().flat_map(|run| &run.warnings);
    let shared = material.pictures.iter();
    let shared = shared.filter(|picture| picture.shared_by.contains(&kept.id));
    let doubts = kept.warnings.iter().chain(of_runs);
    Ok(html! {
        article id={ "grille-" (number) } {
            h3 { span.place { (place(ranking, kept)) } " " (harmless(&kept.name)) }
            p { (sentence(&kept.description)) " Quality " (kept.quality) "." }
            @if let Some(line) = headline(kept) { p.answer-line { (line) } }
            @if let Some(tied) = tied(ranking, kept) { p { (tied) } }
            @match (&drawn, material.study) {
                (Some(drawn), Some(study)) => div.beside {
                    @match room {
                        Some(room) => (faces(drawn, study.fan.hub_diameter, room)),
                        None => p.note { "Drawn are the first " (UNFOLDED) " of the list." },
                    }
                    div {
                        h4 { "Geometry" }
                        (geometry(study, drawn))
                    }
                },
                _ => p.note { "No drawing: the resolved study beside this report is missing or has another grille of this name." },
            }
            h4 { "What it costs" }
            (loss(material, kept)?)
            @if let Some(path) = path { (shares(path)) }
            @if let Some(view) = &kept.fan_view { (behind(view)) }
            @if let Some(swirl) = &kept.swirl {
                p {
                    "The air meets it at " (angles(&swirl.inflow_angles_deg)) " degrees from the fan's axis and leaves at "
                    (angles(&swirl.outflow_angles_deg)) " (at " (angles(&swirl.radii_mm)) "\u{a0}mm from the axis; positive: with the fan's rotation)."
                }
            }
            @if let Some(meter) = &kept.meter { p { (shown(meter, kept.flow_percent)) } }
            @if let Some(rise) = kept.temperature_rise_k {
                p { "The heat load warms the passing air by " (format!("{rise:.1}")) "\u{a0}°C on average." }
            }
            @for picture in pictures { (shown_picture(picture, " The colours have a scale of their own in each picture.")) }
            @for picture in shared { (shown_elsewhere(material, picture)) }
            (warnings(doubts.map(|w| (w.message.as_str(), w.advice.as_str()))))
        }
    })
}

/// Where a picture stands that a grille shares with another one.
fn shown_elsewhere(material: &Material<'_>, picture: &Picture) -> Markup {
    let place = |of: &GrilleName| {
        let mut grilles = material.ranking.grilles.iter();
        grilles.position(|grille| grille.id == of.id)
    };
    html! {
        @if let Some((of, place)) = picture.grille.as_ref().and_then(|of| Some((of, place(of)?))) {
            p.note {
                "Its run is that of " a href={ "#grille-" (place + 1) } { (harmless(&of.name)) } ", and so is the picture of its air."
            }
        }
    }
}

/// A picture within the page, and what is said below it after its caption.
pub(super) fn shown_picture(picture: &Picture, after: &str) -> Markup {
    let image = |part: &PicturePart| {
        html! {
            img src={ "data:" (picture.media_type) ";base64," (STANDARD.encode(&part.bytes)) } alt=(harmless(&part.words));
        }
    };
    html! {
        figure {
            @match picture.parts.as_slice() {
                [one] => (image(one)),
                parts => div.panels { @for part in parts { (image(part)) } },
            }
            @if let Some(legend) = &picture.legend { (image(legend)) }
            figcaption { (sentence(&picture.caption)) (after) }
        }
    }
}

fn headline(kept: &GrilleResult) -> Option<String> {
    kept.rank?;
    let mut parts = Vec::new();
    if let Some(percent) = kept.flow_percent {
        let percent = with_range(&percent);
        parts.push(format!("{percent}\u{a0}% of the bare fan's air"));
    }
    if let Some(flow) = kept.flow_m3_per_h {
        parts.push(format!("{}\u{a0}m³/h", with_range(&flow)));
    }
    if let Some(drop) = kept.pressure_drop_pa {
        parts.push(format!("costs {}\u{a0}Pa", with_range(&drop)));
    }
    Some(format!("{}.", parts.join(", ")))
}

fn angles(values: &[f64]) -> String {
    listed(&values.iter().map(|value| whole(*value)).collect::<Vec<_>>())
}

/// Splay, calm core and what still turns.
fn behind(view: &FanViewResult) -> Markup {
    let Some(seen) = view.seen() else {
        return html! { p { "The view of the whole fan face gave no valid numbers." } };
    };
    let mut parts = Vec::new();
    if !seen.jet.is_empty() {
        let angles: Vec<String> = seen
            .jet
            .iter()
            .map(|jet| whole(jet.splay_angle_deg))
            .collect();
        let places: Vec<String> = seen
            .jet
            .iter()
            .map(|jet| jet.distance_diameters.to_string())
            .collect();
        parts.push(format!(
            "the jet spreads (splay) by {} degrees up to {} bore diameters",
            listed(&angles),
            listed(&places)
        ));
    }
    parts.push(match seen.hub_wake_mm {
        _ if seen.is_hub_wake_beyond_view => {
            "the calm core behind the hub reaches beyond the view".to_owned()
        }
        length if length < 0.5 => "there is no calm core behind the hub".to_owned(),
        length => format!("the calm core behind the hub is {length:.0}\u{a0}mm long"),
    });
    if let Some(angle) = seen.bench_swirl_angle_deg {
        parts.push(format!(
            "{:.0}\u{a0}mm behind the grille the air still turns by {} degrees (residual swirl)",
            seen.bench_distance_mm,
            whole(angle)
        ));
    }
    parts.push(format!(
        "swirl number {:.2} ahead of the grille, {:.2} behind it",
        seen.swirl_number_in + 0.0,
        seen.swirl_number_out + 0.0
    ));
    html! {
        h4 { "Behind it" }
        p { (sentence(&parts.join("; "))) " A trend: compare grilles, trust no single number." }
    }
}

/// What a meter is expected to show.
fn shown(meter: &MeterShown, percent: Option<Likely>) -> String {
    let span = |[low, high]: [f64; 2], places: usize| {
        let [low, high] = [low, high].map(|value| format!("{value:.places$}"));
        if low == high {
            low
        } else {
            format!("{low} to {high}")
        }
    };
    let beside = match (meter.reading_percent_of_bare_fan, percent) {
        (Some(reading), Some(flow)) => format!(
            ", {}\u{a0}% of the bare fan's reading, while the true flow is {:.0}\u{a0}%",
            span(reading, 0),
            flow.value
        ),
        _ => String::new(),
    };
    format!(
        "A hobby vane meter is expected to show {}\u{a0}m/s where the air moves at {:.2}{beside}. Common practice without a source: rank by the true flow.",
        span(meter.reading_m_per_s, 2),
        meter.air_speed_m_per_s
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_a_long_list_the_open_ones_are_drawn_and_have_all_the_room() {
        assert_eq!(drawing_room(1, 1), Some(300_000));
        assert_eq!(drawing_room(40, 40), Some(25_000));
        assert_eq!(drawing_room(1, 41), Some(50_000));
        assert_eq!(drawing_room(20, 200), Some(50_000));
        assert_eq!(drawing_room(21, 200), None);
    }
}
