//! What all tests share.

/// Fails unless `actual` lies within `relative_tolerance` of `expected`; NaN fails.
#[track_caller]
pub fn assert_close(name: &str, actual: f64, expected: f64, relative_tolerance: f64) {
    let error = (actual - expected) / expected.abs().max(f64::MIN_POSITIVE);
    assert!(
        error.abs() <= relative_tolerance,
        "{name}: {actual} instead of {expected}: off by {:+.4} %, allowed {:.4} %",
        100.0 * error,
        100.0 * relative_tolerance
    );
}
