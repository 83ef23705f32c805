//! Round numbers for axes and legends.

/// The marks of an axis: round values inside a range, and how many decimals they need.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Marks {
    pub(super) step: f64,
    pub(super) values: Vec<f64>,
    decimals: usize,
}

impl Marks {
    /// Marks at multiples of the smallest step 1, 2 or 5 · 10ⁿ that is at least `least_step`.
    pub(super) fn new(low: f64, high: f64, least_step: f64) -> Self {
        let (step, decimals) = round_up(least_step);
        let first = (low / step - 1e-6).ceil();
        let last = (high / step + 1e-6).floor();
        let mut values = Vec::new();
        let mut count = first;
        while count <= last && values.len() < 1000 {
            values.push(count * step);
            count += 1.0;
        }
        Self {
            step,
            values,
            decimals,
        }
    }

    /// A value as text, with a true minus sign.
    pub(super) fn label(&self, value: f64) -> String {
        number(value, self.decimals)
    }
}

/// A number with a true minus sign and never a negative zero.
pub(super) fn number(value: f64, decimals: usize) -> String {
    let text = format!("{:.decimals$}", value.abs());
    let is_zero = text.bytes().all(|b| b == b'0' || b == b'.');
    if value < 0.0 && !is_zero {
        format!("−{text}")
    } else {
        text
    }
}

/// The smallest 1, 2 or 5 · 10ⁿ that is at least `least`, and the decimals that its multiples need.
pub(super) fn round_up(least: f64) -> (f64, usize) {
    let exponent = least.log10().floor();
    let power = 10_f64.powf(exponent);
    let (factor, exponent) = match least / power {
        ratio if ratio <= 1.000_001 => (1.0, exponent),
        ratio if ratio <= 2.000_001 => (2.0, exponent),
        ratio if ratio <= 5.000_001 => (5.0, exponent),
        _ => (1.0, exponent + 1.0),
    };
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "clamped to 0 to 12"
    )]
    let decimals = (-exponent).clamp(0.0, 12.0) as usize;
    (factor * 10_f64.powf(exponent), decimals)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn marks_are_round_and_inside() {
        let marks = Marks::new(-3.2, 11.7, 3.0);
        assert_eq!(marks.values, [0.0, 5.0, 10.0]);
        let labels: Vec<String> = Marks::new(-0.31, 0.31, 0.07)
            .values
            .iter()
            .map(|v| Marks::new(-0.31, 0.31, 0.07).label(*v))
            .collect();
        assert_eq!(labels, ["−0.3", "−0.2", "−0.1", "0.0", "0.1", "0.2", "0.3"]);
    }

    #[test]
    fn the_ends_belong_to_the_range() {
        assert_eq!(Marks::new(0.0, 1.0, 0.5).values, [0.0, 0.5, 1.0]);
        assert_eq!(Marks::new(-2.0, 2.0, 2.0).values, [-2.0, 0.0, 2.0]);
    }

    #[test]
    fn a_negative_zero_shows_no_sign() {
        assert_eq!(number(-0.001, 1), "0.0");
        assert_eq!(number(-0.06, 1), "−0.1");
    }
}
