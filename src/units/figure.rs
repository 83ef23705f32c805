//! Numbers as people write them.

/// A number without a needless digit: with an exponent from a thousand million upwards, and below a ten-thousandth.
///
/// ```
/// use ventwright::units::figure;
/// assert_eq!(figure(0.25), "0.25");
/// assert_eq!(figure(1e308), "1e308");
/// assert_eq!(figure(-2e-7), "-2e-7");
/// ```
pub fn figure(value: f64) -> String {
    let is_handy = (1e-4..1e9).contains(&value.abs());
    if is_handy || value.abs() <= 0.0 {
        (value + 0.0).to_string()
    } else {
        format!("{value:e}")
    }
}
