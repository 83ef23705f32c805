//! Kept fields of several grilles side by side, on one scale of colours and of lengths.

use std::io::Write;

use crate::fields::{KeptCut, KeptView, Quantity};
use crate::picture::{
    FLOW_TO_THE_RIGHT, FieldKind, FieldPicture, PictureError, PlotArea, Sheet, Tiles,
    colour_limits, field_sheet, field_tiles,
};

/// A grille on the page.
#[derive(Debug, Clone, PartialEq)]
pub struct KeptPanel {
    /// Its name.
    pub grille: String,
    /// Speed, K and what else belongs to this run, in a few words.
    pub detail: String,
    /// What is drawn.
    pub cut: KeptCut,
}

/// Draws the panels side by side as a PNG; `study` and `view_in_words` name the page. All must be of this view and quantity.
///
/// `range` are the values at the two ends of the colours, best those of [`common_range`] over everything that is to be compared, also on other pages.
///
/// # Errors
/// [`PictureError`]: a failing `out`, no panel, or a field without a finite value.
pub fn write_side_by_side(
    study: &str,
    view_in_words: &str,
    view: KeptView,
    quantity: Quantity,
    panels: &[KeptPanel],
    range: Option<[f64; 2]>,
    out: impl Write,
) -> Result<Vec<PlotArea>, PictureError> {
    let draw = |sheet: &Sheet<'_>| field_sheet(sheet, out);
    with_sheet(study, (view, view_in_words), quantity, panels, range, draw)
}

/// Draws the panels as pictures of their own, on one scale, with one legend; see [`write_side_by_side`].
///
/// # Errors
/// [`PictureError`]: no panel, or a field without a finite value.
pub fn tiles_side_by_side(
    view: KeptView,
    quantity: Quantity,
    panels: &[KeptPanel],
    range: Option<[f64; 2]>,
) -> Result<Tiles, PictureError> {
    let legend = in_words(view, quantity);
    with_sheet(legend, (view, ""), quantity, panels, range, field_tiles)
}

/// Puts the panels on a sheet.
fn with_sheet<R>(
    title: &str,
    (view, view_in_words): (KeptView, &str),
    quantity: Quantity,
    panels: &[KeptPanel],
    range: Option<[f64; 2]>,
    draw: impl FnOnce(&Sheet<'_>) -> R,
) -> R {
    let (x_label, y_label) = labels(view);
    let fields: Vec<FieldPicture<'_>> = panels
        .iter()
        .map(|panel| FieldPicture {
            title: &panel.grille,
            subtitle: &panel.detail,
            quantity: in_words(view, quantity),
            kind: kind(quantity),
            dimensions: panel.cut.dimensions,
            values: &panel.cut.values,
            solid: &panel.cut.solid,
            wall: None,
            origin_mm: panel.cut.origin_mm,
            cell_mm: panel.cut.cell_mm,
            is_mirrored: panel.cut.is_mirrored,
            crop: panel.cut.crop,
            range: None,
            x_label,
            y_label,
            zero_line: None,
            notes: &[],
        })
        .collect();
    let subtitle = format!("{view_in_words}, {}", cut_in_words(view));
    // Of other quantities zero is no border of anything: in still air the line would draw noise.
    let zero_line = (quantity == Quantity::Speed)
        .then_some("White line: where the air turns back; on its darker side it flows backwards.");
    let scale_note = if view == KeptView::Face {
        "One scale of colours and one of lengths for all; hatched is solid, or where the grille stands."
    } else {
        "One scale of colours and one of lengths for all; hatched is solid."
    };
    let mut notes = vec![scale_note];
    notes.extend(match view {
        KeptView::Flat => {
            Some("One hole as a straight round tube, or one straight slot: a simplified view.")
        }
        KeptView::Face => Some("The view is the same all around the axis: a trend."),
        KeptView::Along | KeptView::Across => None,
    });
    let sheet = Sheet {
        title,
        subtitle: &subtitle,
        panels: &fields,
        quantity: in_words(view, quantity),
        kind: kind(quantity),
        range,
        zero_line,
        flow: match view {
            KeptView::Across => "air flow towards you",
            _ => FLOW_TO_THE_RIGHT,
        },
        notes: &notes,
    };
    draw(&sheet)
}

/// The ends of the colours for the air of all panels of this quantity, within what is shown of them; `None` where its values do not differ.
pub fn common_range(quantity: Quantity, panels: &[KeptPanel]) -> Option<[f64; 2]> {
    let shown = panels.iter().flat_map(|KeptPanel { cut, .. }| {
        let [columns, _] = cut.dimensions;
        let shown_x = cut
            .crop
            .map_or([f64::NEG_INFINITY, f64::INFINITY], |crop| crop.x_mm);
        let cells = cut.values.iter().zip(&cut.solid).enumerate();
        cells.filter_map(move |(cell, (value, solid))| {
            let x = cut.origin_mm[0] + ((cell % columns) as f64 + 0.5) * cut.cell_mm;
            let is_shown = shown_x[0] <= x && x <= shown_x[1];
            (is_shown && *solid == 0).then_some(f64::from(*value))
        })
    });
    colour_limits(kind(quantity), shown)
}

/// What kind of field it is.
fn kind(quantity: Quantity) -> FieldKind {
    match quantity {
        Quantity::Speed => FieldKind::Speed,
        Quantity::Turbulence => FieldKind::Amount,
        Quantity::Swirl | Quantity::Pressure | Quantity::Vortices | Quantity::Turning => {
            FieldKind::Signed
        }
    }
}

fn labels(view: KeptView) -> (&'static str, &'static str) {
    match view {
        KeptView::Flat => (
            "along the flow, mm (0 = face met first)",
            "from the axis or middle of the opening, mm",
        ),
        KeptView::Along => (
            "along the flow, mm (0 = face met first)",
            "y from the axis of the hole, mm",
        ),
        KeptView::Across => (
            "y from the axis of the hole, mm",
            "z from the axis of the hole, mm",
        ),
        KeptView::Face => (
            "along the axis, mm (0 = face met first)",
            "from the fan's axis, mm",
        ),
    }
}

fn cut_in_words(view: KeptView) -> &'static str {
    match view {
        KeptView::Flat | KeptView::Along => "along the flow through the middle of an opening",
        KeptView::Across => "across the flow, one pitch behind the plate, seen against the flow",
        KeptView::Face => "the whole fan face from the side",
    }
}

/// What the colours mean.
fn in_words(view: KeptView, quantity: Quantity) -> &'static str {
    match (quantity, view) {
        (Quantity::Speed, KeptView::Face) => {
            "mean air speed along the axis, as a multiple of the mean speed in the bore"
        }
        (Quantity::Speed, _) => {
            "mean air speed along the flow, as a multiple of the speed ahead of the grille"
        }
        (Quantity::Swirl, _) => {
            "mean air speed around the axis with the fan's rotation, as a multiple of the mean speed in the bore"
        }
        (Quantity::Turbulence, KeptView::Face) => {
            "turbulence intensity: root mean square of the fluctuation, as a multiple of the mean speed in the bore"
        }
        (Quantity::Turbulence, _) => {
            "turbulence intensity: root mean square of the fluctuation, as a multiple of the speed ahead of the grille"
        }
        (Quantity::Pressure, _) => "mean pressure, Pa",
        (Quantity::Turning, _) => {
            "how fast the mean flow turns about the axis (vorticity along it; above zero as a right-handed screw), 1/ms"
        }
        (Quantity::Vortices, _) => {
            "vortices of the mean flow (Q criterion: positive where it turns more than it is strained), 1/ms²"
        }
    }
}
