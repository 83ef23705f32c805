//! Times of the day: when a batch is done, and how long a time budget lasts.

use jiff::civil::Time;
use jiff::{SignedDuration, ZonedDateTime};

use crate::study::TimeBudget;

/// Seconds from now to the end of a budget.
pub(super) fn seconds_of(budget: TimeBudget, now: &ZonedDateTime) -> f64 {
    match budget {
        TimeBudget::Hours(hours) => 3600.0 * hours,
        TimeBudget::ReadyBy { hour, minute } => {
            let clock = |part: u8| i8::try_from(part).unwrap_or(0);
            let time = Time::new(clock(hour), clock(minute), 0, 0).unwrap_or(Time::midnight());
            let on = |day: &ZonedDateTime| day.with().time(time).build();
            let today = on(now).ok().filter(|then| then > now);
            let then = today.or_else(|| on(&now.tomorrow().ok()?).ok());
            then.map_or(0.0, |then| now.duration_until(&then).as_secs_f64())
        }
    }
}

/// What the clock shows after so many seconds, with the day if that is another one.
pub(super) fn clock_after(seconds: f64, now: &ZonedDateTime) -> String {
    let later = SignedDuration::try_from_secs_f64(seconds.max(0.0))
        .ok()
        .and_then(|duration| now.checked_add(duration).ok());
    match later {
        None => "in a very long time".to_owned(),
        Some(then) if then.date() == now.date() => format!("at {}", then.strftime("%H:%M")),
        Some(then) if then.date() <= now.date().saturating_add(jiff::Span::new().days(6)) => {
            format!("on {}", then.strftime("%a at %H:%M"))
        }
        Some(then) => format!("on {}", then.strftime("%Y-%m-%d")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn seconds(hour: u8, minute: u8, now: &str) -> f64 {
        let now: ZonedDateTime = now.parse().expect("a date with its zone");
        seconds_of(TimeBudget::ReadyBy { hour, minute }, &now)
    }

    #[test]
    fn a_time_of_day_is_the_next_one() {
        assert!((seconds(7, 0, "2026-11-26T23:00:00+00:00[UTC]") - 8.0 * 3600.0).abs() < 1e-9);
        assert!((seconds(7, 30, "2026-11-26T07:00:00+00:00[UTC]") - 1800.0).abs() < 1e-9);
        assert!((seconds(7, 0, "2026-11-26T07:00:00+00:00[UTC]") - 86_400.0).abs() < 1e-9);
    }

    #[test]
    fn a_night_in_which_the_clocks_change_is_an_hour_longer() {
        let hours = seconds(7, 0, "2026-10-24T23:00:00+02:00[Europe/Berlin]") / 3600.0;
        assert!((hours - 9.0).abs() < 1e-9, "{hours}");
    }

    #[test]
    fn the_clock_is_told_with_its_day_when_that_is_another_one() {
        let now: ZonedDateTime = "2026-11-26T23:00:00+00:00[UTC]"
            .parse()
            .expect("a date with its zone");
        assert_eq!(clock_after(600.0, &now), "at 23:10");
        assert_eq!(clock_after(8.2 * 3600.0, &now), "on Fri at 07:12");
        assert_eq!(clock_after(30.0 * 86_400.0, &now), "on 2026-12-26");
        assert_eq!(clock_after(f64::INFINITY, &now), "in a very long time");
    }
}
