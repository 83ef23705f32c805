//! Designs that repeat unlike one another: a grille that sits loosely scatters more than its neighbours.

use statrs::distribution::{ChiSquared, ContinuousCDF};

use crate::likely::Warning;
use crate::rig::scatter::{Scatter, pooled};

/// Probability below which scatters that far apart are not put down to chance.
const CHANCE: f64 = 0.05;

/// Probability that designs which all repeat alike show scatters as far apart as these; 1 where fewer than two of them were repeated.
///
/// # Validity
/// Repeats that are normally distributed. With three repeats of each it finds a design that scatters three times as much on one bench in four, with five on every second.
///
/// # References
/// Bartlett's test: NIST/SEMATECH e-Handbook of Statistical Methods, section 1.3.5.7.
///
/// # Examples
/// ```
/// // scipy.stats.bartlett says 0.00432.
/// let groups = [vec![99.0, 101.0, 100.0], vec![90.0, 112.0, 101.0], vec![95.0, 97.0, 96.0, 98.5]];
/// let p = ventwright::rig::unlike::chance_of_like_scatter(&groups, 0.0);
/// assert!((p - 0.004_316).abs() < 1e-5);
/// ```
pub fn chance_of_like_scatter(groups: &[Vec<f64>], resolution_percent: f64) -> f64 {
    let each = groups
        .iter()
        .filter_map(|group| pooled(std::slice::from_ref(group), resolution_percent));
    let each: Vec<Scatter> = each.collect();
    let Some(all) = pooled(groups, resolution_percent) else {
        return 1.0;
    };
    let Ok(chi_squared) = ChiSquared::new(each.len() as f64 - 1.0) else {
        return 1.0;
    };
    let (mut apart, mut inverse) = (0.0, -1.0 / all.degrees_of_freedom);
    for own in &each {
        apart += 2.0 * own.degrees_of_freedom * (all.percent / own.percent).ln();
        inverse += 1.0 / own.degrees_of_freedom;
    }
    let correction = 1.0 + inverse / (3.0 * (each.len() as f64 - 1.0));
    let p = chi_squared.sf((apart / correction).max(0.0));
    if p.is_finite() { p } else { 1.0 }
}

/// Whether the designs of a bench do not repeat alike.
pub(super) fn are_unlike(groups: &[Vec<f64>], resolution_percent: f64) -> bool {
    chance_of_like_scatter(groups, resolution_percent) < CHANCE
}

/// What follows from that. `each`: name and own scatter of every design.
pub(super) fn unlike_warning(each: &[(&str, Scatter)]) -> Option<Warning> {
    let by_scatter =
        |a: &&(&str, Scatter), b: &&(&str, Scatter)| a.1.percent.total_cmp(&b.1.percent);
    let (least, most) = (
        each.iter().min_by(by_scatter)?,
        each.iter().max_by(by_scatter)?,
    );
    Some(Warning {
        code: "unlike-scatter".into(),
        message: format!(
            "the designs do not repeat alike: {} scatters by {:.1} % from mount to mount, {} by {:.1} %; pairs are judged by their own scatter where that is the larger",
            most.0, most.1.percent, least.0, least.1.percent
        ),
        advice: "see how the one that scatters sits in its place, and mount each design five times or more".to_owned(),
    })
}
