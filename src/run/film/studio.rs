//! Takes several shots at a time.

use rayon::prelude::*;

use crate::lattice::step::Threads;
use crate::run::film::record::{Moment, Reel, shoot};
use crate::run::film::shots::{Film, Shot};

/// Is told how shots get on. Called from several threads.
pub trait Crew: Sync {
    /// A shot has come so far, 0 to 1; says whether to go on.
    fn goes_on(&self, shot: &Shot, share: f64) -> bool;
    /// A frame was taken.
    fn frame(&self, film: &Film, shot: &Shot, moment: &Moment<'_>);
    /// A shot is done.
    fn done(&self, film: &Film, shot: &Shot, reel: Reel);
}

/// Takes shots, each with its film, on this many threads.
///
/// # Panics
/// If the threads cannot be started.
pub fn take(shots: &[(&Film, &Shot)], threads: usize, crew: &dyn Crew) {
    let threads = threads.max(1);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
    let pool = pool.expect("a desk computer can start a few threads");
    let each = match threads / shots.len().max(1) {
        0 | 1 => Threads::One,
        several => Threads::Pool(several),
    };
    let mut order: Vec<&(&Film, &Shot)> = shots.iter().collect();
    // The longest first, so that no thread waits for it at the end.
    order.sort_by(|(a, first), (b, second)| second.updates(b).total_cmp(&first.updates(a)));
    pool.install(|| {
        order
            .into_par_iter()
            .with_max_len(1)
            .for_each(|(film, shot)| {
                let watch = |share: f64| crew.goes_on(shot, share);
                let mut keep = |moment: &Moment<'_>| crew.frame(film, shot, moment);
                if let Some(reel) = shoot(film, shot, each, &watch, &mut keep) {
                    crew.done(film, shot, reel);
                }
            });
    });
}
