//! Fabrics and meshes: what a stretched stocking, a woven mesh or a perforated sheet lets through, and what it costs.
//!
//! A fabric's pressure drop is `a U + b U²`, never one loss coefficient: its fibres run at Reynolds numbers of 1 to 20, where
//! friction counts as much as wakes do.
//! The law names its source and how far it may be off; see [`FabricLaw`].

mod law;

pub use law::{Band, FabricLaw, Formula, Source};
