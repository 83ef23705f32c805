//! Slow flow through a row of round fibres: the limit in which friction is all there is.

use std::f64::consts::PI;

/// K times the fibre's Reynolds number for very slow flow across a row of parallel round fibres.
///
/// ```text
/// K Re = 2 (F / mu U) (d/p)
/// F / mu U = 8 pi / (1 - 2 ln 2t + 2/3 t^2 - 1/9 t^4 + 8/135 t^6),   t = pi d / (2 p)      wide gaps
/// F / mu U = 9/2 pi sqrt(d / 2p) (p / (p - d))^2.5                                          narrow gaps
/// F: force on a fibre per length;  U: air speed ahead of the row;  Re = U d / nu;  d: diameter;  p: pitch
/// ```
///
/// The larger of the two holds. `open_share` is 1 - d/p, above 0 and below 1.
///
/// # Validity
/// Reynolds numbers well below 1. Within 0.1 % of independent finite elements at open shares of 0.6 and 0.8; between narrow and
/// wide gaps (0.3 to 0.5) it has not been checked.
///
/// # References
/// Wide gaps: T. Miyagi, J. Phys. Soc. Japan 13 (1958) 493 (series from memory).
/// Narrow gaps: lubrication theory, the pressure drop between two cylinders, 12 mu q times the integral of dx / h^3 over h = h0 + x^2 / a.
pub fn slow_row_loss(open_share: f64) -> f64 {
    let solid = 1.0 - open_share;
    let t = 0.5 * PI * solid;
    let t2 = t * t;
    let bracket =
        1.0 - 2.0 * (2.0 * t).ln() + t2 * (2.0 / 3.0 - t2 * (1.0 / 9.0 - t2 * 8.0 / 135.0));
    let wide = 8.0 * PI / bracket;
    let narrow = 4.5 * PI * (0.5 * solid).sqrt() / open_share.powf(2.5);
    2.0 * solid * wide.max(narrow)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_denser_row_costs_more() {
        let losses: Vec<f64> = (1..100)
            .map(|share| slow_row_loss(f64::from(share) / 100.0))
            .collect();
        assert!(
            losses.windows(2).all(|pair| pair[0] > pair[1]),
            "{losses:?}"
        );
        assert!(losses.iter().all(|loss| *loss > 0.0));
    }

    #[test]
    fn rows_by_hand() {
        // A thousandth solid: the series ends with 1 - 2 ln(0.001 π) = 12.526, and 2 · 0.001 · 8π over that is 0.0040129.
        assert!((slow_row_loss(0.999) / 0.004_012_9 - 1.0).abs() < 1e-4);
        // Two fifths solid, t = 0.62832: 1 - 0.45687 + 0.26319 - 0.01732 + 0.00365 = 0.79265, and 2 · 0.4 · 8π over that is 25.366.
        assert!((slow_row_loss(0.6) / 25.366 - 1.0).abs() < 1e-4);
        // Narrow gaps, a tenth open: 2 · 0.9 · 4.5 π √0.45 · 0.1^-2.5 = 1.8 · 9.4835 · 316.23 = 5398.1.
        assert!((slow_row_loss(0.1) / 5398.1 - 1.0).abs() < 1e-4);
    }
}
