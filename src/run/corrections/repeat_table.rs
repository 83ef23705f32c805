//! The table of K from the repeat view over K of the hole view, and what lies between its rows.
//!
//! `repeat_factors.csv` is written by `benches/heavy_repeat_factors.rs`: sharp edges, hole Reynolds number 2000, 24 cells across the hydraulic diameter. Its last column says what a row is for; rows
//! that are kept out are never read here.

use std::sync::LazyLock;

use serde::Deserialize;

/// Which K of a row.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Loss {
    /// Static K: what the air has to be pushed with.
    Static,
    /// Total K: what the air loses.
    Total,
}

/// A row of the table.
#[derive(Debug, Clone, Deserialize)]
struct Row {
    shape: String,
    free_area_ratio: f64,
    thickness_over_diameter: f64,
    twist_deg: f64,
    lean_deg: f64,
    inflow_deg: f64,
    #[serde(rename = "K_static")]
    static_loss: f64,
    #[serde(rename = "K_total")]
    total_loss: f64,
    outflow_deg: f64,
    #[serde(rename = "K_hole_view")]
    hole_view: f64,
    role: String,
}

static ROWS: LazyLock<Vec<Row>> = LazyLock::new(|| {
    let mut table = csv::Reader::from_reader(include_str!("repeat_factors.csv").as_bytes());
    table
        .deserialize()
        .filter_map(Result::ok)
        .filter(|row: &Row| row.role != KEPT_OUT)
        .collect()
});

/// Role of the rows that only tell what the table is worth.
const KEPT_OUT: &str = "kept out";

/// Thickness over the hydraulic diameter of most rows.
const THICKNESS: f64 = 0.8;

/// Shape that stands in for others where these have no rows of their own that lean or are met at an angle.
pub(in crate::run) const STAND_IN: &str = "hexagon";

/// Free-area ratios at which rows lean or are met at an angle.
const INCIDENCE_RATIOS: [f64; 4] = [0.42, 0.6, 0.7, 0.8];

/// How far beyond the outermost free-area ratios of a shape its rows are followed.
const BEYOND: f64 = 0.06;

/// What sums of such numbers may miss by.
const ROUNDING: f64 = 1e-9;

impl Row {
    fn is_axial(&self) -> bool {
        self.lean_deg == 0.0 && self.inflow_deg == 0.0
    }

    fn is_straight(&self) -> bool {
        self.twist_deg == 0.0 && self.is_axial()
    }

    fn has_thickness(&self, thickness: f64) -> bool {
        (self.thickness_over_diameter - thickness).abs() < 1e-9
    }

    fn has_free_area_ratio(&self, free_area_ratio: f64) -> bool {
        (self.free_area_ratio - free_area_ratio).abs() < 1e-9
    }

    fn factor(&self) -> f64 {
        self.static_loss / self.hole_view
    }
}

/// K of straight holes met straight on over K of the hole view; `None` beyond the table.
pub fn straight(shape: &str, free_area_ratio: f64, thickness: f64) -> Option<f64> {
    let nodes: Vec<(f64, f64)> = rows(shape)
        .filter(|row| row.is_straight() && row.has_thickness(THICKNESS))
        .map(|row| (row.free_area_ratio, row.factor()))
        .collect();
    let factor = along(nodes, free_area_ratio, BEYOND)?;
    Some(factor * by_thickness(shape, thickness)?)
}

/// K of twisted holes over K of straight ones, both met straight on; `None` beyond the table. `twist` in degrees.
pub fn twisted(shape: &str, free_area_ratio: f64, twist: f64) -> Option<f64> {
    let twist = twist.abs();
    if twist == 0.0 || shape == "round" {
        return Some(1.0);
    }
    let mut ratios: Vec<f64> = rows(shape)
        .filter(|row| row.twist_deg != 0.0 && row.is_axial())
        .map(|row| row.free_area_ratio)
        .collect();
    ratios.sort_by(f64::total_cmp);
    ratios.dedup();
    let mut nodes = Vec::new();
    for ratio in ratios {
        let plain = straight(shape, ratio, THICKNESS)?;
        let turned = rows(shape)
            .filter(|row| row.twist_deg != 0.0 && row.is_axial() && row.has_free_area_ratio(ratio))
            .map(|row| (row.twist_deg, row.factor() / plain));
        let by_twist = std::iter::once((0.0, 1.0)).chain(turned).collect();
        // A ratio whose rows do not reach the twist is no help.
        nodes.extend(along(by_twist, twist, 0.0).map(|factor| (ratio, factor)));
    }
    along(nodes, free_area_ratio, 2.0 * BEYOND)
}

/// K of holes that lean and are met at an angle over K of straight ones met straight on, and whether it comes from rows of this shape alone; `None` beyond the table. Angles in degrees, positive the
/// same way. Where a shape has no row, hexagons stand in for it.
pub fn leaning(
    shape: &str,
    free_area_ratio: f64,
    lean: f64,
    inflow: f64,
    loss: Loss,
) -> Option<(f64, bool)> {
    if lean == 0.0 && inflow == 0.0 {
        return Some((1.0, true));
    }
    let of = |row: &Row| match loss {
        Loss::Static => row.static_loss,
        Loss::Total => row.total_loss,
    };
    let at = |shape: &str, ratio: f64| {
        let straight = rows(shape)
            .filter(|row| row.is_straight() && row.has_thickness(THICKNESS))
            .find(|row| row.has_free_area_ratio(ratio))?;
        Some(met_at(shape, ratio, lean, inflow, &|row, _| of(row))? / of(straight))
    };
    let mut nodes = Vec::new();
    let mut is_own = Vec::new();
    for ratio in INCIDENCE_RATIOS {
        let own = at(shape, ratio);
        if let Some(value) = own.or_else(|| at(STAND_IN, ratio)) {
            nodes.push((ratio, value));
            is_own.push((ratio, own.is_some()));
        }
    }
    // The node at the ratio, or the two nearest to it.
    let distance = |node: &(f64, bool)| (node.0 - free_area_ratio).abs();
    is_own.sort_by(|a, b| distance(a).total_cmp(&distance(b)));
    let is_at_node = is_own.first().is_some_and(|node| distance(node) < 1e-9);
    let used = if is_at_node { 1 } else { 2 };
    let is_own = is_own.iter().take(used).all(|node| node.1);
    Some((along(nodes, free_area_ratio, BEYOND)?, is_own))
}

/// Tangent of the angle at which air leaves hexagonal holes that lean and are met at an angle, once it has mixed; `None` beyond the table. Angles in degrees, positive the same way.
pub fn outflow(free_area_ratio: f64, lean: f64, inflow: f64) -> Option<f64> {
    if lean == 0.0 && inflow == 0.0 {
        return Some(0.0);
    }
    // In a mirror the outflow turns over too.
    let of = |row: &Row, side: f64| side * row.outflow_deg.to_radians().tan();
    let nodes = INCIDENCE_RATIOS
        .into_iter()
        .filter_map(|ratio| Some((ratio, met_at(STAND_IN, ratio, lean, inflow, &of)?)));
    along(nodes.collect(), free_area_ratio, BEYOND)
}

/// Least and largest free-area ratio at which the table tells of hexagons of a lean (degrees), whatever the angle of the air.
pub(in crate::run) fn incidence_reach(lean: f64) -> (f64, f64) {
    let reaching = INCIDENCE_RATIOS
        .into_iter()
        .filter(|&ratio| met_at(STAND_IN, ratio, lean, 0.0, &|row, _| row.static_loss).is_some());
    let (least, most) = reaching.fold((f64::INFINITY, 0.0_f64), |(least, most), ratio| {
        (least.min(ratio), most.max(ratio))
    });
    (least - BEYOND, most + BEYOND)
}

/// A number of the rows of a shape and free-area ratio, between lean and stream; `of` takes the row and -1 where it is seen in a mirror.
fn met_at(
    shape: &str,
    free_area_ratio: f64,
    lean: f64,
    inflow: f64,
    of: &dyn Fn(&Row, f64) -> f64,
) -> Option<f64> {
    let known: Vec<&Row> = rows(shape)
        .filter(|row| row.twist_deg == 0.0 && row.has_thickness(THICKNESS))
        .filter(|row| row.has_free_area_ratio(free_area_ratio))
        .collect();
    // In a mirror lean and stream turn over together.
    let mut leans: Vec<f64> = known
        .iter()
        .flat_map(|row| [row.lean_deg, -row.lean_deg])
        .collect();
    leans.sort_by(f64::total_cmp);
    leans.dedup();
    let tangent = |degrees: f64| degrees.to_radians().tan();
    let mut nodes = Vec::new();
    for node in leans {
        let line = known.iter().flat_map(|row| {
            [1.0, -1.0].map(|side| (side * row.lean_deg, side * row.inflow_deg, of(row, side)))
        });
        let line: Vec<(f64, f64)> = line
            .filter(|&(lean, _, _)| (lean - node).abs() < 1e-9)
            .map(|(_, inflow, value)| (tangent(inflow), value))
            .collect();
        // A line that does not reach the stream's angle is no help.
        nodes.extend(through(line, tangent(inflow)).map(|value| (tangent(node), value)));
    }
    if lean == 0.0 {
        let straight = nodes.into_iter().find(|node| node.0 == 0.0);
        return straight.map(|node| node.1);
    }
    through(nodes, tangent(lean))
}

/// By how much the factor of straight holes changes with the thickness; that of hexagons where a shape has no rows of its own.
fn by_thickness(shape: &str, thickness: f64) -> Option<f64> {
    let line = |shape: &str| -> Vec<(f64, f64)> {
        rows(shape)
            .filter(|row| row.is_straight() && row.has_free_area_ratio(0.42))
            .map(|row| (row.thickness_over_diameter, row.factor()))
            .collect()
    };
    let own = line(shape);
    let nodes = if own.len() > 1 { own } else { line(STAND_IN) };
    let (_, plain) = *nodes
        .iter()
        .find(|node| (node.0 - THICKNESS).abs() < 1e-9)?;
    Some(along(nodes, thickness, 0.1)? / plain)
}

fn rows(shape: &str) -> impl Iterator<Item = &'static Row> {
    ROWS.iter().filter(move |row| row.shape == shape)
}

/// Piecewise linear between nodes, up to `beyond` outside of them.
fn along(mut nodes: Vec<(f64, f64)>, at: f64, beyond: f64) -> Option<f64> {
    nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
    let (first, last) = (*nodes.first()?, *nodes.last()?);
    let reach = beyond + ROUNDING;
    if !(first.0 - reach..=last.0 + reach).contains(&at) {
        return None;
    }
    let pair = nodes
        .windows(2)
        .find(|pair| at <= pair[1].0)
        .or_else(|| nodes.windows(2).last());
    let Some(&[(x0, y0), (x1, y1)]) = pair else {
        return Some(first.1);
    };
    Some(y0 + (y1 - y0) * (at - x0) / (x1 - x0))
}

/// The parabola through the three nodes nearest to a place between the outermost ones (a degree beyond is let pass).
fn through(mut nodes: Vec<(f64, f64)>, at: f64) -> Option<f64> {
    nodes.sort_by(|a, b| a.0.total_cmp(&b.0));
    nodes.dedup_by(|a, b| (a.0 - b.0).abs() < 1e-9);
    let slack = 0.02;
    let (first, last) = (nodes.first()?.0, nodes.last()?.0);
    if !(first - slack..=last + slack).contains(&at) {
        return None;
    }
    nodes.sort_by(|a, b| (a.0 - at).abs().total_cmp(&(b.0 - at).abs()));
    nodes.truncate(3);
    let terms = nodes.iter().enumerate().map(|(i, &(x, y))| {
        let others = nodes.iter().enumerate().filter(|&(j, _)| j != i);
        others.fold(y, |term, (_, other)| term * (at - other.0) / (x - other.0))
    });
    Some(terms.sum())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_is_read_and_given_back() {
        let count = include_str!("repeat_factors.csv").lines().count() - 1;
        let kept_out = include_str!("repeat_factors.csv").matches(KEPT_OUT).count();
        assert_eq!(ROWS.len() + kept_out, count);
        for row in ROWS.iter().filter(|row| row.is_straight()) {
            if row.has_thickness(THICKNESS) {
                let factor = straight(&row.shape, row.free_area_ratio, THICKNESS).unwrap();
                assert!((factor - row.factor()).abs() < 1e-12, "{row:?}");
            }
        }
        let leaning_rows = ROWS.iter().filter(|row| !row.is_axial());
        for row in leaning_rows.filter(|row| row.has_thickness(THICKNESS)) {
            if row.shape == STAND_IN {
                let seen = outflow(row.free_area_ratio, row.lean_deg, row.inflow_deg).unwrap();
                let own = row.outflow_deg.to_radians().tan();
                assert!((seen - own).abs() < 1e-3, "{row:?}");
                let image = outflow(row.free_area_ratio, -row.lean_deg, -row.inflow_deg).unwrap();
                assert!((image + seen).abs() < 1e-9, "{row:?}");
            }
            let plain = straight(&row.shape, row.free_area_ratio, THICKNESS).unwrap();
            for (loss, own) in [
                (Loss::Static, row.static_loss),
                (Loss::Total, row.total_loss),
            ] {
                let (shape, phi) = (&row.shape, row.free_area_ratio);
                let (lean, inflow) = (row.lean_deg, row.inflow_deg);
                let (ratio, is_own) = leaning(shape, phi, lean, inflow, loss).unwrap();
                let (image, _) = leaning(shape, phi, -lean, -inflow, loss).unwrap();
                assert!(is_own || phi < 0.65, "{row:?}");
                assert!(
                    (ratio * plain * row.hole_view / own - 1.0).abs() < 1e-3,
                    "{row:?}"
                );
                assert!((image / ratio - 1.0).abs() < 1e-9);
            }
        }
    }

    #[test]
    fn beyond_the_table_nothing_is_said() {
        assert_eq!(straight("hexagon", 0.88, 0.8), None);
        assert_eq!(straight("hexagon", 0.5, 4.0), None);
        assert_eq!(straight("slot", 0.5, 0.8), None);
        assert_eq!(twisted("hexagon", 0.5, 120.0), None);
        assert_eq!(twisted("triangle up-down", 0.42, 30.0), None);
        let hexagon = |lean, inflow| leaning(STAND_IN, 0.5, lean, inflow, Loss::Static);
        assert_eq!(hexagon(40.0, 0.0), None);
        assert_eq!(hexagon(15.0, 50.0), None);
        assert_eq!(hexagon(0.0, 60.0), None);
        assert_eq!(
            leaning(STAND_IN, 0.5, 0.0, 0.0, Loss::Total),
            Some((1.0, true))
        );
    }
}
