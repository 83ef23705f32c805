//! When long work has to say again where it is, on a stream that nobody can draw on.

/// Working time between two lines, s: work is asked every second or so, and writing a large file may take some more.
const BETWEEN_LINES: f64 = 20.0;

/// Says when the next line is due.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct Pulse {
    /// When the last line was due, working seconds.
    last: f64,
}

impl Pulse {
    /// Whether a line is due after so many working seconds; then the next one is counted from here.
    pub(super) fn is_due(&mut self, seconds: f64) -> bool {
        let is_due = seconds - self.last >= BETWEEN_LINES;
        if is_due {
            self.last = seconds;
        }
        is_due
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_is_asked_now_and_then_says_where_it_is_at_least_every_thirty_seconds() {
        for between_questions in [0.1, 1.0, 7.0, 9.9] {
            let mut pulse = Pulse::default();
            let questions = (0..1000).map(|n| between_questions * f64::from(n));
            let mut told = vec![0.0];
            told.extend(questions.filter(|&seconds| pulse.is_due(seconds)));
            assert!(told.len() > 3);
            for pair in told.windows(2) {
                let apart = pair[1] - pair[0];
                assert!((BETWEEN_LINES..=30.0).contains(&apart), "{apart}");
            }
        }
    }
}
