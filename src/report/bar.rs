//! A value with its likely range as a bar of characters.

use crate::report::Likely;

/// Where bars begin and end, in the unit of what they show.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BarScale {
    /// Where bars begin.
    pub low: f64,
    /// Where they end at most.
    pub high: f64,
}

impl BarScale {
    /// The scale for per cent of the bare fan: ends at 100 or above the highest range, and begins at 0 or, when all ranges lie far above it, at a
    /// multiple of ten below them.
    pub fn for_percent<'a>(values: impl Iterator<Item = &'a Likely> + Clone) -> Self {
        let (least, most) = ends(values);
        let low = if least >= 30.0 {
            ((least - 5.0) / 10.0).floor() * 10.0
        } else {
            0.0
        };
        let high = ((most.max(100.0)) / 5.0).ceil() * 5.0;
        Self { low, high }
    }

    /// The scale for pressure drops: from 0 to a round value above the highest range.
    pub fn for_pressure<'a>(values: impl Iterator<Item = &'a Likely> + Clone) -> Self {
        let (_, most) = ends(values);
        let power = 10_f64.powf(most.max(1e-6).log10().floor());
        let ratio = most / power;
        let round = [1.0, 1.5, 2.0, 3.0, 4.0, 5.0, 6.0, 8.0];
        let factor = round.into_iter().find(|r| *r >= ratio).unwrap_or(10.0);
        Self {
            low: 0.0,
            high: factor * power,
        }
    }

    /// Whether bars begin at something else than nothing.
    pub fn is_cut(&self) -> bool {
        self.low > 0.0
    }

    /// A bar of `columns` characters: full up to the likely range, shaded within it, a stroke at the value.
    pub(super) fn bar(&self, likely: &Likely, columns: usize) -> String {
        let column = |value: f64| {
            let share = ((value - self.low) / (self.high - self.low)).clamp(0.0, 1.0);
            share * columns as f64
        };
        // The column that holds the value; a value at the very end belongs to the last column.
        let at = column(likely.value).floor().min(columns as f64 - 1.0);
        (0..columns)
            .map(|i| {
                let centre = i as f64 + 0.5;
                if (centre - 0.5 - at).abs() < 0.5 {
                    '┃'
                } else if centre < column(likely.low) {
                    '█'
                } else if centre <= column(likely.high) {
                    '▒'
                } else {
                    ' '
                }
            })
            .collect()
    }
}

fn ends<'a>(values: impl Iterator<Item = &'a Likely> + Clone) -> (f64, f64) {
    let least = values.clone().map(|v| v.low.min(v.value));
    let most = values.map(|v| v.high.max(v.value));
    (
        least
            .filter(|v| v.is_finite())
            .fold(f64::INFINITY, f64::min),
        most.filter(|v| v.is_finite()).fold(0.0, f64::max),
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    fn likely(low: f64, value: f64, high: f64) -> Likely {
        Likely { value, low, high }
    }

    #[test]
    fn the_range_and_the_value_can_be_read_off() {
        let scale = BarScale {
            low: 0.0,
            high: 100.0,
        };
        assert_eq!(
            scale.bar(&likely(60.0, 75.0, 90.0), 20),
            "████████████▒▒▒┃▒▒  "
        );
        assert_eq!(
            scale.bar(&likely(74.9, 75.0, 75.1), 20),
            "███████████████┃    "
        );
        assert_eq!(scale.bar(&likely(99.0, 100.0, 101.0), 10), "█████████┃");
        assert_eq!(scale.bar(&likely(0.0, 0.0, 0.0), 10), "┃         ");
    }

    #[test]
    fn every_column_is_within_one_of_where_it_belongs() {
        let scale = BarScale {
            low: 40.0,
            high: 100.0,
        };
        for i in 0..=60 {
            let value = 40.0 + f64::from(i);
            let bar: Vec<char> = scale
                .bar(&likely(value - 3.0, value, value + 3.0), 30)
                .chars()
                .collect();
            let stroke = bar.iter().position(|c| *c == '┃').unwrap() as f64 + 0.5;
            assert!((40.0 + 2.0 * stroke - value).abs() <= 1.0 + 1e-9, "{value}");
        }
    }

    #[test]
    fn scales_are_round_and_hold_every_range() {
        let values = [likely(83.0, 85.0, 87.0), likely(92.0, 95.0, 98.0)];
        assert_eq!(
            BarScale::for_percent(values.iter()),
            BarScale {
                low: 70.0,
                high: 100.0
            }
        );
        let values = [likely(8.0, 12.0, 16.0), likely(92.0, 95.0, 103.0)];
        assert_eq!(
            BarScale::for_percent(values.iter()),
            BarScale {
                low: 0.0,
                high: 105.0
            }
        );
        let values = [likely(2.0, 2.4, 2.9), likely(11.0, 12.0, 13.0)];
        assert_eq!(
            BarScale::for_pressure(values.iter()),
            BarScale {
                low: 0.0,
                high: 15.0
            }
        );
        let values = [likely(0.0, 0.0, 0.0)];
        assert!(BarScale::for_pressure(values.iter()).high > 0.0);
    }
}
