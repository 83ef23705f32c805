//! Rows and meshes of round threads, by which the laws of woven fabrics are checked.

pub(crate) mod mesh;
pub(crate) mod row;
mod speed;
