//! What several test files share.

#[allow(dead_code, reason = "not every test program draws numbers")]
pub(crate) mod normal;

#[allow(dead_code, reason = "not every test program reads tables")]
pub(crate) mod table;

#[allow(dead_code, reason = "not every test program drives views")]
pub(crate) mod views;

#[allow(dead_code, reason = "not every test program drives repeats")]
pub(crate) mod repeat;

#[allow(dead_code, reason = "not every test program draws patterns")]
pub(crate) mod free_area;

/// Asserts that `actual` is within `relative_tolerance` of `expected`; shows both numbers and the error in per cent. NaN fails.
#[track_caller]
pub(crate) fn assert_close(name: &str, actual: f64, expected: f64, relative_tolerance: f64) {
    let error = (actual - expected).abs();
    let is_close = error <= relative_tolerance * expected.abs();
    assert!(
        is_close,
        "{name}: {actual} instead of {expected}, off by {:.4} %, allowed {:.4} %",
        100.0 * (actual - expected) / expected.abs(),
        100.0 * relative_tolerance
    );
}
