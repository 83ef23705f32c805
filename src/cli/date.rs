//! Date and time of the clock, in UTC.

use std::time::{SystemTime, UNIX_EPOCH};

/// Now, as `2031-02-03 04:05:06 UTC`.
pub(super) fn now_utc() -> String {
    let since = SystemTime::now().duration_since(UNIX_EPOCH);
    in_words(since.map_or(0, |since| since.as_secs()))
}

/// Seconds since 1970 as date and time.
///
/// The calendar repeats itself every 400 years of 146,097 days; days are counted from 1 March, so that a leap day is the last of its year
/// (H. Hinnant, "chrono-compatible low-level date algorithms"; from memory).
fn in_words(seconds: u64) -> String {
    let (days, of_day) = (seconds / 86_400, seconds % 86_400);
    // Days from 0000-03-01 to 1970-01-01.
    let days = days + 719_468;
    let (era, day_of_era) = (days / 146_097, days % 146_097);
    let year_of_era =
        (day_of_era - day_of_era / 1460 + day_of_era / 36_524 - day_of_era / 146_096) / 365;
    let day_of_year = day_of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted_month = (5 * day_of_year + 2) / 153;
    let day = day_of_year - (153 * shifted_month + 2) / 5 + 1;
    let month = if shifted_month < 10 {
        shifted_month + 3
    } else {
        shifted_month - 9
    };
    let year = 400 * era + year_of_era + u64::from(month <= 2);
    let (hour, minute, second) = (of_day / 3600, of_day / 60 % 60, of_day % 60);
    format!("{year:04}-{month:02}-{day:02} {hour:02}:{minute:02}:{second:02} UTC")
}

#[cfg(test)]
mod tests {
    use super::in_words;

    #[test]
    fn known_moments_have_their_dates() {
        // From GNU date: `date -u -d @SECONDS`.
        for (seconds, expected) in [
            (0, "1970-01-01 00:00:00 UTC"),
            (951_782_399, "2000-02-28 23:59:59 UTC"),
            (951_782_400, "2000-02-29 00:00:00 UTC"),
            (1_000_000_000, "2001-09-09 01:46:40 UTC"),
            (1_924_991_999, "2030-12-31 23:59:59 UTC"),
            (4_107_542_400, "2100-03-01 00:00:00 UTC"),
        ] {
            assert_eq!(in_words(seconds), expected);
        }
    }
}
