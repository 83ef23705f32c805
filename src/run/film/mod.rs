//! Films: the air of several grilles runs once more, on one clock and one scale, with smoke in it.
//!
//! A film gives no number: it is solved on a grid of its own, as long as the film lasts, and enters neither ranking nor any K.
//! What a view leaves out the film leaves out too, and its page says so.

mod clock;
mod fan_shots;
mod forecast;
mod hole_shots;
mod moment_files;
mod page;
mod record;
mod set;
mod shots;
mod solid;
mod stage;
mod studio;

pub use clock::{Clock, Window};
pub use forecast::expected_film_seconds;
pub use moment_files::{write_air, write_smoke};
pub use page::FilmPage;
pub use record::{Moment, Reel};
pub use shots::{Film, MOST_GRILLES, Shot, films};
pub use studio::{Crew, take};

use crate::study::FilmView;

/// What the page of a film says of what it leaves out.
fn caveat(view: FilmView) -> &'static str {
    match view {
        FilmView::Fan => {
            "The same all around the axis: rings of air where a real jet breaks up into eddies. The grille is a zone that slows and turns the air; its holes are not drawn."
        }
        FilmView::Slice => {
            "A row of slots in a plane, half as wide as the holes: the vortices that it sheds cannot break up as real ones do. It shows lean, but not twist."
        }
        FilmView::Repeat => {
            "One repeat of an endless pattern in three dimensions, on a coarse grid, lit by a sheet of light through the middle of a hole: smoke that leaves the sheet fades."
        }
    }
}
