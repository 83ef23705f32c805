//! How long something takes, as a person says it.

/// `40 s`, `12 min` or `3.5 h`.
pub fn duration_in_words(seconds: f64) -> String {
    match seconds {
        seconds if seconds < 90.0 => format!("{:.0}\u{a0}s", seconds.max(1.0)),
        seconds if seconds < 5400.0 => format!("{:.0}\u{a0}min", seconds / 60.0),
        seconds => format!("{:.1}\u{a0}h", seconds / 3600.0),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn times_are_told_as_a_person_does() {
        assert_eq!(duration_in_words(0.2), "1\u{a0}s");
        assert_eq!(duration_in_words(150.0), "2\u{a0}min");
        assert_eq!(duration_in_words(12_600.0), "3.5\u{a0}h");
    }
}
