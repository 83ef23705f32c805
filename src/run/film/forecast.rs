//! How long films take, foreseen from what is to be filmed.

use crate::run::batch::schedule::Capacity;
use crate::run::film::shots::{Film, Scene, Shot};

/// Cell updates per second of one thread with smoke in the air: a row of slots (seen on one film), a repeat and a fan face (guessed by it).
const RATES: (f64, f64, f64) = (2.5e7, 3e7, 2.5e7);

/// Time, s, that films take about: their panels side by side, one thread each.
pub fn expected_film_seconds(films: &[Film], capacity: Capacity) -> f64 {
    let panels = films.iter().flat_map(|film| {
        let of = |shot: &Shot| shot.updates(film) / rate(shot);
        film.shots.iter().map(of)
    });
    let (mut all, mut longest) = (0.0, 0.0_f64);
    for seconds in panels {
        all += seconds;
        longest = longest.max(seconds);
    }
    longest.max(all / capacity.threads.max(1) as f64)
}

fn rate(shot: &Shot) -> f64 {
    match &shot.scene {
        Scene::Still { .. } | Scene::Row { .. } => RATES.0,
        Scene::Run(run) if run.is_repeat() => RATES.1,
        Scene::Run(_) => RATES.2,
    }
}
