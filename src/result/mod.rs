//! What a study found, as plain data, in the words in which it is told.

mod view;

pub use crate::study::{Quality, Side};
pub use view::View;
