//! The air through all grilles at once.

use maud::{Markup, html};

use crate::document::Material;
use crate::document::grille_part::shown_picture;

/// Pictures that show several grilles; nothing without one.
pub(super) fn overview(material: &Material<'_>) -> Option<Markup> {
    let mut pictures = material
        .pictures
        .iter()
        .filter(|p| p.grille.is_none())
        .peekable();
    pictures.peek()?;
    Some(html! {
        section #air {
            h2 { "The air, side by side" }
            p { "One scale of lengths, and where there are colours one of colours, for all grilles of a picture, so that they can be compared by eye." }
            @for picture in pictures { (shown_picture(picture, "")) }
        }
    })
}
