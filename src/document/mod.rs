//! The report of a study: one page that explains itself (`report.html`), and a short form for forums (`report.md`) with pictures beside it.
//!
//! Made from what lies in a results folder: the kept ranking, the resolved study, whose drawings are made again, and pictures.
//! The page needs no network and no script; every text from outside goes through the templates of `maud`, which escape it.

use std::io::{self, Write};

use crate::grille::{Grille, GrilleGeometry};
use crate::result::{GrilleName, GrilleResult, StudyResult};
use crate::study::{Study, describe};

mod bars;
mod bitmap;
mod close_up;
mod drawing;
mod fan_chart;
mod fan_part;
mod grille_part;
mod how;
mod loss_chart;
mod loss_part;
mod markdown;
mod overview_part;
mod passage_part;
mod pictures;
mod pressure_part;
mod ranking_part;
mod svg;
mod web_page;
mod what_if_part;
mod words;

/// What a report is made from.
#[derive(Debug, Clone, Copy)]
pub struct Material<'a> {
    /// The ranking.
    pub ranking: &'a StudyResult,
    /// The resolved study; `None` where it is missing or cannot be read: then drawings and fan curve are left out.
    pub study: Option<&'a Study>,
    /// Pictures, in the order in which they are shown.
    pub pictures: &'a [Picture],
    /// What is missing from the folder, in sentences.
    pub missing: &'a [String],
}

/// A picture of a run.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Picture {
    /// The grille; `None` where it shows several.
    pub grille: Option<GrilleName>,
    /// Places in the study of further grilles that it shows as well, because they share its run.
    pub shared_by: Vec<usize>,
    /// What it shows, in a sentence without the full stop.
    pub caption: String,
    /// `image/png` or `image/jpeg`.
    pub media_type: &'static str,
    /// What it is made of, side by side where there is room and below each other where not.
    pub parts: Vec<PicturePart>,
    /// The colours of all parts, where they stand apart from them.
    pub legend: Option<PicturePart>,
}

/// A file of a picture.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PicturePart {
    /// What it shows, for whoever cannot see it.
    pub words: String,
    /// The file.
    pub bytes: Vec<u8>,
}

impl Picture {
    /// A picture in one file; `words` as of [`Self::caption`].
    pub fn whole(
        grille: Option<GrilleName>,
        words: &str,
        media_type: &'static str,
        bytes: Vec<u8>,
    ) -> Self {
        let of = grille.as_ref();
        let of = of.map_or_else(String::new, |of| format!("{}: ", of.name));
        let part = PicturePart {
            words: format!("{of}{words}"),
            bytes,
        };
        Self {
            grille,
            shared_by: Vec::new(),
            caption: words.to_owned(),
            media_type,
            parts: vec![part],
            legend: None,
        }
    }
}

/// Writes the report as one page of HTML.
///
/// # Errors
/// What `out` reports.
pub fn write_report_html(material: &Material<'_>, mut out: impl Write) -> io::Result<()> {
    let page = web_page::page(material)?;
    out.write_all(page.into_string().as_bytes())
}

/// Folder beside the short form that holds its pictures.
pub const PICTURE_FOLDER: &str = "report-pictures";

/// Names of all pictures that a short form may have.
pub const PICTURE_NAMES: [&str; 2] = ["cover.png", "fan-curve.png"];

/// A picture of the short form, a PNG in [`PICTURE_FOLDER`].
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReportPicture {
    /// One of [`PICTURE_NAMES`].
    pub name: &'static str,
    /// What it shows, in words.
    pub words: String,
    /// The file.
    pub bytes: Vec<u8>,
}

/// Draws the pictures of the short form that there is something to draw for.
///
/// # Errors
/// None that can happen: they are drawn into memory.
pub fn report_pictures(material: &Material<'_>) -> io::Result<Vec<ReportPicture>> {
    pictures::pictures(material)
}

/// Writes the short form in Markdown: the answer, the pictures, the table, the biggest doubt, the cautions.
///
/// # Errors
/// What `out` reports.
pub fn write_report_markdown(
    material: &Material<'_>,
    pictures: &[ReportPicture],
    mut out: impl Write,
) -> io::Result<()> {
    out.write_all(markdown::text(material.ranking, pictures).as_bytes())
}

/// A grille's drawing with the numbers that follow from it.
struct Drawn<'a> {
    grille: &'a Grille,
    geometry: &'a GrilleGeometry,
}

impl Material<'_> {
    /// The drawing of a ranked grille; `None` where the study is missing or has another grille in its place by now.
    fn drawn(&self, kept: &GrilleResult) -> Option<Drawn<'_>> {
        let study = self.study?;
        let grille = study.grilles.get(kept.id)?;
        if grille.name != kept.name || describe(grille) != kept.description {
            return None;
        }
        let geometry = study.geometries.get(kept.id)?;
        Some(Drawn { grille, geometry })
    }
}
