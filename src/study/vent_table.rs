//! `[vent]`: a rectangular opening in the wall of a box, with no fan in it.

use crate::grille::CutOut;
use crate::study::diagnostics::Diagnostics;
use crate::study::key::{Key, Keys};
use crate::study::table::Table;
use crate::study::write::ResolvedCopy;

pub(super) const WIDTH: Key = side("width_mm");
const HEIGHT: Key = side("height_mm");

/// `[vent]`
pub(super) const VENT: Keys = Keys::new("[vent]", &[&WIDTH, &HEIGHT]);

const fn side(name: &'static str) -> Key {
    Key::mm(name, 5.0, 2000.0).hint(
        "give both sides of the rectangular opening in mm, such as width_mm = 80 and height_mm = 40",
    )
}

/// A rectangular opening through which the air passes evenly and straight on; its fan, if there is one, sits elsewhere in the box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vent {
    /// Extent along the rows of a pattern, m.
    pub width: f64,
    /// Extent across them, m.
    pub height: f64,
}

/// What a plate covers, as the study gives it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum FaceSize {
    /// The bore of the fan, mm.
    Bore {
        /// Its diameter.
        diameter_mm: f64,
    },
    /// A vent.
    Vent(Vent),
}

impl FaceSize {
    /// The same in SI.
    pub(super) fn cut_out(self) -> CutOut {
        match self {
            Self::Bore { diameter_mm } => CutOut::Bore {
                diameter: diameter_mm / 1000.0,
            },
            Self::Vent(Vent { width, height }) => CutOut::Vent { width, height },
        }
    }
}

/// Checks `[vent]`. `None` only after a fault.
pub(super) fn resolve(diagnostics: &mut Diagnostics<'_>, table: &Table<'_>) -> Option<Vent> {
    let width = table.number(diagnostics, &WIDTH);
    let height = table.number(diagnostics, &HEIGHT);
    Some(Vent {
        width: width?.si,
        height: height?.si,
    })
}

/// Writes `[vent]`.
pub(super) fn write(copy: &mut ResolvedCopy, vent: &Vent) {
    copy.table(VENT.header);
    copy.number(&WIDTH, vent.width);
    copy.number(&HEIGHT, vent.height);
}
