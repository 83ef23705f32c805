//! Takes several shots at a time.

use rayon::prelude::*;

use crate::lattice::step::Threads;
use crate::run::batch::schedule::Capacity;
use crate::run::film::record::{Moment, Reel, Unfinished, shoot};
use crate::run::film::shots::{Film, Shot};

/// Is told how shots get on. Called from several threads.
pub trait Crew: Sync {
    /// A shot has come so far, 0 to 1; says whether to go on.
    fn goes_on(&self, shot: &Shot, share: f64) -> bool;
    /// A frame was taken.
    fn frame(&self, film: &Film, shot: &Shot, moment: &Moment<'_>);
    /// The flow of a shot blew up, at half the speed too: there is no reel of it.
    fn ran_away(&self, film: &Film, shot: &Shot);
    /// A shot is done.
    fn done(&self, film: &Film, shot: &Shot, reel: Reel);
}

/// Takes shots, each with its film, side by side as far as threads and memory allow.
///
/// # Panics
/// If the threads cannot be started.
pub fn take(shots: &[(&Film, &Shot)], capacity: Capacity, crew: &dyn Crew) {
    let threads = capacity.threads.max(1);
    let largest = shots.iter().map(|(_, shot)| shot.memory_bytes()).max();
    let fit = capacity.memory_bytes / largest.unwrap_or(1).max(1);
    // One always goes, even where memory is short.
    let at_once = usize::try_from(fit).unwrap_or(usize::MAX).clamp(1, threads);
    let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build();
    let pool = pool.expect("a desk computer can start a few threads");
    let each = match threads / at_once.min(shots.len().max(1)) {
        0 | 1 => Threads::One,
        several => Threads::Pool(several),
    };
    let mut order: Vec<&(&Film, &Shot)> = shots.iter().collect();
    // The longest first, so that no thread waits for it at the end.
    order.sort_by(|(a, first), (b, second)| second.updates(b).total_cmp(&first.updates(a)));
    let group = if at_once < threads {
        at_once
    } else {
        order.len().max(1)
    };
    pool.install(|| {
        for group in order.chunks(group) {
            group.par_iter().with_max_len(1).for_each(|(film, shot)| {
                let watch = |share: f64| crew.goes_on(shot, share);
                let mut keep = |moment: &Moment<'_>| crew.frame(film, shot, moment);
                let mut reel = shoot(film, shot, each, &watch, &mut keep);
                if matches!(reel, Err(Unfinished::RanAway)) {
                    // Fast jets on coarse cells can run away; at half the lattice velocity they rarely do.
                    reel = shoot(film, &shot.at_half_speed(), each, &watch, &mut keep);
                }
                match reel {
                    Ok(reel) => crew.done(film, shot, reel),
                    Err(Unfinished::RanAway) => crew.ran_away(film, shot),
                    Err(Unfinished::Stopped) => {}
                }
            });
        }
    });
}
