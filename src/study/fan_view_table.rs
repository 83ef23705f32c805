//! `[fan_view]`: the whole fan face as seen from the side, behind the fan.

use crate::fan::Supply;
use crate::study::diagnostics::Diagnostics;
use crate::study::fault::FaultKind;
use crate::study::key::{Key, Keys};
use crate::study::run_table::Quality;
use crate::study::table::Table;
use crate::study::word_key::WordKey;
use crate::study::write::ResolvedCopy;
use crate::study::{Place, Side};

const SOLVE: Key = Key::flag("solve");
const BEHIND: WordKey<BehindGrille> = Key::text("behind")
    .means(&[("room", BehindGrille::Room), ("duct", BehindGrille::Duct)])
    .or(BehindGrille::Room);

/// `[fan_view]`
pub(super) const FAN_VIEW: Keys = Keys::new("[fan_view]", &[&SOLVE, &BEHIND.key]);

/// Distance from the blades to the grille where none is given, mm. Judgement: blades end some millimetres ahead of the frame, on which the grille lies.
const GAP_MM: f64 = 10.0;

/// How the flow through the whole fan face is looked at, besides the ranking.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FanView {
    /// What lies behind the grille.
    pub behind: BehindGrille,
    /// Distance from the blades to the grille, m.
    pub gap: f64,
}

impl FanView {
    /// Into a room, with the grille this far from the blades (m), where that is known.
    pub fn at(blade_gap: Option<f64>) -> Self {
        Self {
            behind: BehindGrille::Room,
            gap: blade_gap.unwrap_or(GAP_MM / 1000.0),
        }
    }
}

/// What the air comes into behind the grille.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BehindGrille {
    /// A room at rest.
    Room,
    /// A duct of the bore's diameter.
    Duct,
}

/// Checks `[fan_view]`; `None` where no fan view is wanted, and after a fault.
///
/// Without the table there is one behind a fan, but not at the quality `quick`. What is not known after a fault does not matter.
pub(super) fn resolve(
    diagnostics: &mut Diagnostics<'_>,
    table: Option<&Table<'_>>,
    has_vent: bool,
    place: Option<&Place>,
    supply: Option<&Supply>,
    quality: Option<Quality>,
) -> Option<FanView> {
    let usual = FanView::at(place.and_then(|place| place.blade_gap));
    let Some(table) = table else {
        let is_usual = !has_vent
            && place.is_some_and(|place| place.side == Side::Exhaust)
            && !matches!(supply, Some(Supply::GivenFlow(_)))
            && quality > Some(Quality::Quick);
        return is_usual.then_some(usual);
    };
    let behind = table.word(diagnostics, &BEHIND);
    let view = FanView {
        behind: behind?,
        ..usual
    };
    let is_solved = table.flag(&SOLVE).unwrap_or(true);
    if is_solved && has_vent {
        diagnostics.report(&table.span, FaultKind::NeedsBore { key: "[fan_view]" });
        return None;
    }
    is_solved.then_some(view)
}

/// Writes `[fan_view]`.
pub(super) fn write(copy: &mut ResolvedCopy, view: Option<&FanView>) {
    copy.table(FAN_VIEW.header);
    copy.value(&SOLVE, view.is_some());
    if let Some(view) = view {
        copy.word(&BEHIND, &view.behind);
    }
}
