//! Patterns with the free-area ratio that is asked for.

use ventwright::grille::RepeatSolid;

/// The repeat with the rib that makes this free-area ratio, found by halving between no rib and `widest`, m; `None` if its holes do not fit.
///
/// `solid` gives the repeat for a rib, or `None` where its holes run into each other.
pub(crate) fn with_free_area(
    free_area_ratio: f64,
    widest: f64,
    solid: impl Fn(f64) -> Option<RepeatSolid>,
) -> Option<RepeatSolid> {
    let (mut narrow, mut wide) = (0.0, widest);
    for _ in 0..60 {
        let rib = 0.5 * (narrow + wide);
        if solid(rib).is_some_and(|found| found.free_area_ratio() < free_area_ratio) {
            wide = rib;
        } else {
            narrow = rib;
        }
    }
    solid(wide).filter(|found| (found.free_area_ratio() - free_area_ratio).abs() < 1e-6)
}
