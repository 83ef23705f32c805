//! How moving air carries a particle.

/// Air that moves.
pub trait Wind {
    /// Its velocity at a place and a time; `None` where there is none.
    fn velocity(&self, place: [f64; 3], time: f64) -> Option<[f64; 3]>;
}

/// Where a particle is after `step`, that was at `place` at `time`; `None` once it has left the air.
///
/// The classical method of fourth order in the length of the step:
///
/// ```text
/// x' = x + (k1 + 2 k2 + 2 k3 + k4) / 6
/// k1 = h u(x, t)    k2 = h u(x + k1/2, t + h/2)    k3 = h u(x + k2/2, t + h/2)    k4 = h u(x + k3, t + h)
/// ```
///
/// # References
/// W. Kutta, "Beitrag zur näherungsweisen Integration totaler Differentialgleichungen", Zeitschrift für Mathematik und Physik 46 (1901), 435–453.
pub fn carried(
    wind: &(impl Wind + ?Sized),
    place: [f64; 3],
    time: f64,
    step: f64,
) -> Option<[f64; 3]> {
    let from = |slope: [f64; 3], share: f64| -> [f64; 3] {
        [0, 1, 2].map(|axis| place[axis] + share * step * slope[axis])
    };
    let first = wind.velocity(place, time)?;
    let second = wind.velocity(from(first, 0.5), time + 0.5 * step)?;
    let third = wind.velocity(from(second, 0.5), time + 0.5 * step)?;
    let fourth = wind.velocity(from(third, 1.0), time + step)?;
    let mean = [0, 1, 2]
        .map(|axis| (first[axis] + 2.0 * (second[axis] + third[axis]) + fourth[axis]) / 6.0);
    Some(from(mean, 1.0))
}
