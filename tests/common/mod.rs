//! What every validation test needs.

/// Fails unless `actual` lies within `relative_tolerance` of `expected`; NaN fails.
#[track_caller]
pub(crate) fn assert_close(name: &str, actual: f64, expected: f64, relative_tolerance: f64) {
    let error = if expected == 0.0 {
        actual.abs()
    } else {
        ((actual - expected) / expected).abs()
    };
    assert!(
        error <= relative_tolerance,
        "{name}: got {actual}, expected {expected}: {:.4} % off, allowed {:.4} %",
        100.0 * error,
        100.0 * relative_tolerance
    );
}
