//! The fan's swirling air over the zones of a grille, ring by ring: what its angle does to K, and what is left of it behind.

pub(super) mod behind;
pub(super) mod exhaust;
mod swirl_loss_curve;
pub(super) mod zone_loss_curves;
