//! The short form for forums, as Markdown: the answer, the table, the biggest doubt, the cautions.

use std::fmt::Write as _;

use crate::document::ranking_part::{doubt, place};
use crate::document::words::{sentence, with_range};
use crate::document::{PICTURE_FOLDER, ReportPicture};
use crate::likely::Likely;
use crate::report::cautions::CAUTIONS;
use crate::report::forum::plain;
use crate::report::{Answer, compact};
use crate::result::StudyResult;

/// The text.
pub(super) fn text(kept: &StudyResult, pictures: &[ReportPicture]) -> String {
    let is_given = kept.is_flow_given();
    let said = Answer::of(kept);
    let (measure, rest) = if is_given {
        ("Pa (likely)", "K | hole area % |".to_owned())
    } else {
        let (flow, pressure) = (
            kept.output_units.flow.symbol(),
            kept.output_units.pressure.symbol(),
        );
        let rest = format!("{flow} | K | {pressure} | hole area % |");
        ("air % (likely)", rest)
    };
    let columns = 3 + rest.matches('|').count();
    let mut text = format!(
        "# {}\n\n**{}**\n",
        plain(&kept.study),
        plain(&sentence(&said.answer))
    );
    // Writing into a text does not fail.
    if let Some(why) = &said.why {
        let _ = writeln!(text, "Why: {}.\n", plain(why));
    }
    if !said.reservation.is_empty() {
        let _ = writeln!(text, "{}", plain(&said.reservation));
    }
    // The cover stands above the table, the others below.
    let (covers, others): (Vec<_>, Vec<_>) = pictures
        .iter()
        .partition(|picture| picture.name == "cover.png");
    show(&mut text, &covers);
    let _ = writeln!(
        text,
        "\n| place | grille | {measure} | {rest}\n|{}",
        " --- |".repeat(columns)
    );
    for grille in &kept.grilles {
        let number = kept.measure(grille);
        let number = number.map_or("no number".to_owned(), with_range);
        let value = |range: Option<Likely>, factor: f64| {
            range.map_or("–".to_owned(), |range| compact(factor * range.value))
        };
        let loss = value(grille.loss_coefficient, 1.0);
        let area = format!("{:.0}", grille.hole_area_percent);
        let rest = if is_given {
            format!("{loss} | {area}")
        } else {
            let flow = value(
                grille.flow_m3_per_h,
                kept.output_units.flow.of_m3_per_h(1.0),
            );
            let drop = value(grille.pressure_drop_pa, kept.output_units.pressure.per_si());
            format!("{flow} | {loss} | {drop} | {area}")
        };
        let _ = writeln!(
            text,
            "| {} | {} | {number} | {rest} |",
            place(kept, grille),
            plain(&grille.name)
        );
    }
    text += "\nLikely ranges hold the true value 95 times in 100 (95 % interval), if the assumptions hold.\n";
    if let Some(doubt) = doubt(kept, is_given) {
        let _ = writeln!(text, "Biggest doubt: {}", plain(&doubt));
    }
    show(&mut text, &others);
    let _ = writeln!(
        text,
        "\nSolved by Ventwright {}, quality {}, {} side.\n",
        plain(&kept.code_version),
        kept.quality,
        kept.side
    );
    for caution in CAUTIONS {
        let _ = writeln!(text, "- {caution}");
    }
    text
}

fn show(text: &mut String, pictures: &[&ReportPicture]) {
    for picture in pictures {
        // Writing into a text does not fail.
        let _ = writeln!(
            text,
            "\n![{}]({PICTURE_FOLDER}/{})",
            plain(&picture.words),
            picture.name
        );
    }
}
