//! `[vent]`: a rectangular opening in the wall of a box, with no fan in it.

use toml::Spanned;

use crate::grille::CutOut;
use crate::study::fault::FaultKind;
use crate::study::file::{FanTable, VentTable};
use crate::study::findings::{Findings, Table, span_of};
use crate::study::limits;

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
pub(super) fn resolve(findings: &mut Findings<'_>, table: &Spanned<VentTable>) -> Option<Vent> {
    let vent = table.get_ref();
    let header = Table::new("[vent]", table);
    let width = findings.required_number(&header, "width_mm", &vent.width_mm, &limits::VENT_MM);
    let height = findings.required_number(&header, "height_mm", &vent.height_mm, &limits::VENT_MM);
    Some(Vent {
        width: width? / 1000.0,
        height: height? / 1000.0,
    })
}

/// Refuses what `[fan]` says of a bore and of the air that leaves one: nobody would look at it.
pub(super) fn refuse_bore_keys(findings: &mut Findings<'_>, fan: &FanTable) {
    let keys = [
        ("bore_mm", span_of(fan.bore_mm.as_ref())),
        ("hub_mm", span_of(fan.hub_mm.as_ref())),
        ("blades", span_of(fan.blades.as_ref())),
        ("swirl_deg", span_of(fan.swirl_deg.as_ref())),
        (
            "hydraulic_efficiency",
            span_of(fan.hydraulic_efficiency.as_ref()),
        ),
        ("exit_profile", span_of(fan.exit_profile.as_ref())),
        ("exit", span_of(fan.exit.as_ref())),
    ];
    for (key, span) in keys {
        if let Some(span) = span {
            findings.report(&span, FaultKind::NeedsBore { key });
        }
    }
}
