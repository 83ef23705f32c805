//! Working time: how long the program has been at it, not counting the time in which the machine slept.

use std::sync::Mutex;
use std::time::{Duration, Instant, SystemTime};

/// By how much the time of day may run ahead of the working time between two looks.
const JUMP: Duration = Duration::from_secs(60);

/// A clock that stands still while the machine sleeps, and notices that it did.
///
/// The monotonic clock of Linux and macOS does not go on while the machine sleeps; the time of day does.
#[derive(Debug)]
pub(super) struct WorkClock {
    begun: Instant,
    last: Mutex<(Instant, SystemTime)>,
}

impl WorkClock {
    /// Starts it.
    pub(super) fn start() -> Self {
        let now = Instant::now();
        Self {
            begun: now,
            last: Mutex::new((now, SystemTime::now())),
        }
    }

    /// Working seconds since the start.
    pub(super) fn seconds(&self) -> f64 {
        self.begun.elapsed().as_secs_f64()
    }

    /// To be called every few seconds: by how much the time of day has jumped ahead since the last call, if it has.
    pub(super) fn jump(&self) -> Option<Duration> {
        let now = (Instant::now(), SystemTime::now());
        let mut last = self.last.lock().expect("no holder of this lock panics");
        let (worked, passed) = (now.0 - last.0, now.1.duration_since(last.1));
        *last = now;
        jump(worked, passed.ok()?)
    }
}

/// By how much `passed` is more than `worked`, if that is more than clocks differ.
fn jump(worked: Duration, passed: Duration) -> Option<Duration> {
    passed.checked_sub(worked).filter(|ahead| *ahead > JUMP)
}

/// A jump in words.
pub(super) fn in_words(jump: Duration) -> String {
    let minutes = jump.as_secs_f64() / 60.0;
    let long = if minutes < 90.0 {
        format!("{minutes:.0} min")
    } else {
        format!("{:.1} h", minutes / 60.0)
    };
    format!(
        "the clock is {long} ahead: the machine slept, or its clock was changed; time limits count working time only"
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sleep_is_noticed_and_small_differences_are_not() {
        let seconds = Duration::from_secs;
        assert_eq!(jump(seconds(2), seconds(7202)), Some(seconds(7200)));
        assert_eq!(jump(seconds(2), seconds(50)), None);
        assert_eq!(jump(seconds(500), seconds(501)), None);
        // The clock was set back.
        assert_eq!(jump(seconds(500), seconds(1)), None);
    }

    #[test]
    fn a_jump_is_told_in_minutes_or_hours() {
        assert!(in_words(Duration::from_secs(125)).starts_with("the clock is 2 min ahead"));
        assert!(in_words(Duration::from_secs(7200)).starts_with("the clock is 2.0 h ahead"));
    }

    #[test]
    fn a_clock_that_was_just_started_has_not_jumped() {
        assert_eq!(WorkClock::start().jump(), None);
    }
}
