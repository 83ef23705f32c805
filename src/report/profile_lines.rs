//! How fast the air is behind each grille, as a small profile of characters.

use unicode_width::UnicodeWidthStr;

use crate::report::page::{Page, harmless};
use crate::report::words::shortened;

/// Most grilles whose profile is shown.
pub const MOST_PROFILES: usize = 6;

/// Characters for rising speed, each an eighth of the full height.
const HEIGHTS: [char; 8] = ['▁', '▂', '▃', '▄', '▅', '▆', '▇', '█'];

/// Where air flows backwards.
const BACKWARDS: char = '<';

/// Share of the highest speed below which air counts as still.
const STILL: f64 = 0.02;

/// Columns of the narrowest and the widest profile.
const COLUMNS: (usize, usize) = (12, 48);

/// Columns of the longest name.
const NAME: usize = 20;

/// Columns of the numbers beside a profile, ` −0.12 to 12.3`.
const NUMBERS: usize = 14;

/// Profiles of several grilles at the same place, on one scale.
#[derive(Debug, Clone, PartialEq)]
pub struct Profiles {
    /// Where they were taken.
    pub place: ProfilePlace,
    /// The profiles, best grille first.
    pub rows: Vec<Profile>,
}

/// Where profiles were taken, and with it their unit.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum ProfilePlace {
    /// One pitch behind the plate, across one repeat of the pattern; values as a multiple of the speed ahead of the grille.
    Repeat {
        /// Whether a flat view is among them, which sees straight holes only.
        is_flat: bool,
    },
    /// Behind the whole fan face, across its axis; values in m/s.
    FanFace {
        /// Distance behind the outside of the grille, mm.
        distance_mm: f64,
        /// Distance of the outermost values from the axis, mm.
        reach_mm: f64,
    },
}

/// Mean air speed along the flow from one side to the other.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// Name of the grille.
    pub grille: String,
    /// How many more grilles it stands for.
    pub more: usize,
    /// Speeds at equal distances.
    pub values: Vec<f64>,
}

/// A heading and a line per grille, each at most `room` columns but for the heading, which is wrapped by whoever writes it; nothing without profiles.
pub(super) fn profile_lines(
    profiles: &Profiles,
    page: &Page,
    room: usize,
) -> Option<(String, Vec<String>)> {
    let rows: Vec<&Profile> = profiles
        .rows
        .iter()
        .filter(|row| !row.values.is_empty() && row.values.iter().all(|v| v.is_finite()))
        .collect();
    let most = rows
        .iter()
        .flat_map(|row| &row.values)
        .copied()
        .fold(0.0, f64::max);
    if most <= 0.0 {
        return None;
    }
    let names: Vec<String> = rows
        .iter()
        .map(|row| {
            let more = match row.more {
                0 => String::new(),
                more => format!(" +{more}"),
            };
            let name = page.cut(&harmless(&shortened(&row.grille)), NAME - more.len());
            name + &more
        })
        .collect();
    let name_room = names.iter().map(|name| name.width()).max().unwrap_or(0);
    let columns = room.saturating_sub(name_room + 2 + NUMBERS);
    let columns = columns.clamp(COLUMNS.0, COLUMNS.1);
    let lines = rows.iter().zip(&names).map(|(row, name)| {
        let drawn = page.spell(&drawn(&row.values, columns, most));
        let least = row.values.iter().copied().fold(f64::INFINITY, f64::min);
        let highest = row.values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        let numbers = page.spell(&format!("{} to {}", speed(least), speed(highest)));
        format!("{} {drawn} {numbers}", page.left(name, name_room))
    });
    let (place, unit) = match profiles.place {
        ProfilePlace::Repeat { is_flat } => (
            format!(
                "one pitch behind the plate, across one repeat, the hole in the middle{}",
                if is_flat {
                    " (a flat view takes holes for straight)"
                } else {
                    ""
                }
            ),
            "times the speed ahead",
        ),
        ProfilePlace::FanFace {
            distance_mm,
            reach_mm,
        } => (
            format!(
                "{distance_mm:.0}\u{a0}mm behind the grille, up to {reach_mm:.0}\u{a0}mm to both sides of the fan's axis"
            ),
            "m/s",
        ),
    };
    let stands_for = if rows.iter().any(|row| row.more > 0) {
        ", + so many more grilles that look alike"
    } else {
        ""
    };
    let heading = format!(
        "air speed along the flow {place}; full height is {}\u{a0}{unit}, {BACKWARDS} is air that flows backwards{stands_for}:",
        speed(most)
    );
    Some((heading, lines.collect()))
}

/// The mean of each column as a character.
fn drawn(values: &[f64], columns: usize, most: f64) -> String {
    (0..columns)
        .map(|column| {
            let mean = column_mean(values, column, columns);
            if mean < -STILL * most {
                return BACKWARDS;
            }
            let eighths = (8.0 * mean / most).round();
            let height = HEIGHTS
                .iter()
                .zip(1_u8..)
                .take_while(|(_, height)| f64::from(*height) <= eighths);
            height.last().map_or(' ', |(character, _)| *character)
        })
        .collect()
}

/// Mean over the part of the profile that a column stands for; values reach half-way to their neighbours.
fn column_mean(values: &[f64], column: usize, columns: usize) -> f64 {
    let per_column = values.len() as f64 / columns as f64;
    let (from, to) = (
        column as f64 * per_column,
        (column as f64 + 1.0) * per_column,
    );
    let (mut sum, mut weight) = (0.0, 0.0);
    for (place, value) in values.iter().enumerate() {
        let share = (to.min(place as f64 + 1.0) - from.max(place as f64)).max(0.0);
        sum += share * value;
        weight += share;
    }
    sum / weight
}

/// A speed in three digits at most.
fn speed(value: f64) -> String {
    let decimals = usize::from(value.abs() < 9.95);
    let text = format!("{:.decimals$}", value.abs());
    let is_zero = text.bytes().all(|byte| byte == b'0' || byte == b'.');
    if value < 0.0 && !is_zero {
        format!("−{text}")
    } else {
        text
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn page(width: usize, is_ascii: bool) -> Page {
        Page {
            is_ascii,
            ..Page::of(width, false)
        }
    }

    fn jet() -> Profiles {
        // A jet with air that flows back at both sides; not a solution of anything.
        let value = |place: i32| {
            let y = f64::from(place) / 40.0;
            2.4 * (-(y / 0.4).powi(4)).exp() - 0.3
        };
        Profiles {
            place: ProfilePlace::Repeat { is_flat: false },
            rows: vec![Profile {
                grille: "hexagons".to_owned(),
                more: 0,
                values: (-40..=40).map(value).collect(),
            }],
        }
    }

    #[test]
    fn a_jet_rises_in_the_middle_and_back_flow_is_marked() {
        let (heading, lines) = profile_lines(&jet(), &page(80, false), 65).unwrap();
        assert!(
            heading.contains("2.1\u{a0}times the speed ahead"),
            "{heading}"
        );
        let drawn: Vec<char> = lines[0].chars().skip("hexagons ".len()).take(41).collect();
        assert_eq!(drawn[20], '█', "{}", lines[0]);
        assert_eq!((drawn[0], drawn[40]), ('<', '<'), "{}", lines[0]);
        assert!(lines[0].ends_with("−0.3 to 2.1"), "{}", lines[0]);
        let mirrored: Vec<char> = drawn.iter().rev().copied().collect();
        assert_eq!(drawn, mirrored, "a profile that is the same on both sides");
    }

    #[test]
    fn the_height_of_a_character_is_the_mean_of_its_part() {
        // Closed form: a ramp from 0 to 8 in 8 characters has the means 0.5 to 7.5, rounded to eighths of the highest value.
        let values: Vec<f64> = (0..800).map(|i| (f64::from(i) + 0.5) / 100.0).collect();
        assert_eq!(drawn(&values, 8, 8.0), "▁▂▃▄▅▆▇█");
        assert_eq!(drawn(&[0.0, 4.0, -1.0], 3, 4.0), " █<");
        // Fewer values than characters: each value takes its share of them.
        assert_eq!(drawn(&[4.0, 2.0], 4, 4.0), "██▄▄");
    }

    #[test]
    fn lines_fit_narrow_and_wide_terminals_and_plain_characters() {
        let mut profiles = jet();
        profiles.rows.push(Profile {
            grille: "格子".repeat(30),
            more: 12,
            values: vec![1.0, 1.5],
        });
        for width in [60, 80, 120, 160] {
            for is_ascii in [false, true] {
                let room = width - 15;
                let (_, lines) = profile_lines(&profiles, &page(width, is_ascii), room).unwrap();
                for line in &lines {
                    assert!(line.width() <= room, "{width}: {line}");
                }
                assert!(!is_ascii || lines[0].is_ascii(), "{}", lines[0]);
            }
        }
    }

    #[test]
    fn nothing_is_drawn_of_nothing() {
        for values in [vec![], vec![f64::NAN], vec![0.0, -1.0]] {
            let profiles = Profiles {
                place: ProfilePlace::FanFace {
                    distance_mm: 50.0,
                    reach_mm: 100.0,
                },
                rows: vec![Profile {
                    grille: "a".to_owned(),
                    more: 0,
                    values,
                }],
            };
            assert!(profile_lines(&profiles, &page(80, false), 65).is_none());
        }
    }
}
