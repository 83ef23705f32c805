//! Text that came from outside (names, mostly): what of it is seen, and what a spreadsheet may take for a formula.

mod name;
mod spreadsheet;

pub use name::{BARE_FAN, is_bare_fan, is_direction_mark, is_seen};
pub use spreadsheet::{SpreadsheetWriter, unguarded};
