//! Readings that no meter can have shown behind any of these grilles: a slip of the pen, an empty battery.
//!
//! They are left out before anything is worked out, and that is said.

use crate::likely::Warning;
use crate::rig::outlier::median;
use crate::rig::readings::Reading;

/// More than so many times the usual reading is none. Judgement: the bare fan moves at most this much more than its closest grille.
const MOST_TIMES: f64 = 5.0;

/// Less than this share of the usual reading is none. Judgement: a fan whose air is nearly shut off.
const LEAST_SHARE: f64 = 0.05;

/// Less than this is nothing, m³/s or m/s: no meter shows it.
const NOTHING: f64 = 1e-9;

/// A figure as it was written, but for those that would fill the screen with digits.
fn figure(value: f64) -> String {
    if value == 0.0 || (1e-4..1e7).contains(&value.abs()) {
        format!("{value}")
    } else {
        format!("{value:.1e}")
    }
}

/// The readings that are possible, and a warning for each that is not. All of one quantity.
///
/// # Examples
/// ```
/// use ventwright::rig::{impossible::possible, readings::read_readings};
/// let found = read_readings(b"design,value,unit\nbare fan,62,CFM\ncomb,52000,CFM\ncomb,0,CFM\n").unwrap();
/// let (kept, warnings) = possible(&found.readings);
/// assert_eq!((kept.len(), warnings.len()), (1, 2));
/// ```
pub fn possible(readings: &[Reading]) -> (Vec<&Reading>, Vec<Warning>) {
    let mut positive: Vec<f64> = readings
        .iter()
        .map(Reading::si)
        .filter(|si| *si > NOTHING)
        .collect();
    positive.sort_by(f64::total_cmp);
    // Of an even number the lower one in the middle: of two readings the smaller is believed.
    let usual = median(&positive[..positive.len() - positive.len().saturating_sub(1) % 2]);
    let allowed = LEAST_SHARE * usual..=MOST_TIMES * usual;
    let (kept, left_out): (Vec<&Reading>, Vec<&Reading>) = readings
        .iter()
        .partition(|reading| allowed.contains(&reading.si()));
    let told = left_out.into_iter().map(|reading| {
        let times = reading.si() / usual;
        let what = if reading.si() <= NOTHING {
            "is no air at all".to_owned()
        } else if times > 1.0 {
            format!("is {} times the usual reading", figure(times.round()))
        } else {
            format!("is 1/{:.0} of the usual reading", times.recip())
        };
        Warning {
            code: "impossible-reading".into(),
            message: format!(
                "line {}: {} {} for {} {what}; it was left out",
                reading.line,
                figure(reading.value),
                reading.unit.word(),
                reading.design
            ),
            advice: "correct the line, or read it again".to_owned(),
        }
    });
    (kept, told.collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rig::readings::read_readings;

    #[test]
    fn only_what_cannot_be_is_left_out() {
        let text = "design,value,unit\nbare fan,62,CFM\ncomb,55,CFM\nbare fan,105,m3/h\nmesh,20,CFM\nslots,620,CFM\nslots,0.6,CFM\nslots,0,CFM\n";
        let found = read_readings(text.as_bytes()).unwrap();
        let (kept, warnings) = possible(&found.readings);
        assert_eq!(kept.len(), 4);
        let told: Vec<&str> = warnings.iter().map(|it| it.message.as_str()).collect();
        assert!(
            told[0].starts_with("line 6: 620 CFM for slots is 11 times"),
            "{told:?}"
        );
        assert!(told[1].contains("is 1/92 of"), "{told:?}");
        assert!(told[2].contains("no air at all"), "{told:?}");
        // Neither a row of zeros nor an infinite ratio reaches the screen.
        let tiny = "design,value,unit\nbare fan,62,CFM\ncomb,1e-310,CFM\ncomb,1e6,CFM\n";
        let found = read_readings(tiny.as_bytes()).unwrap();
        for warning in possible(&found.readings).1 {
            assert!(warning.message.len() < 90, "{}", warning.message);
            assert!(!warning.message.contains("inf"), "{}", warning.message);
        }
        let zeros = read_readings(b"design,value,unit\na,0,CFM\nb,0,CFM\n").unwrap();
        assert!(possible(&zeros.readings).0.is_empty());
    }
}
