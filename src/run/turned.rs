//! What a table won from the repeat view says of a zone that the flat views cannot see: holes that turn, and air that comes in at an angle.

use crate::grille::{Zone, ZoneFlow};
use crate::run::view::Worth;

/// K of the real pattern over K of its flat view, by a table; `None` where no table reaches.
///
/// `inflow_tangent` is the tangent of the angle at which the air comes in, positive with the fan's rotation.
pub(super) fn tabled(_zone: &Zone, _flow: &ZoneFlow, _inflow_tangent: f64) -> Option<Worth> {
    None
}
