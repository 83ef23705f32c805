//! What stands behind the first screen, each part by its name.

use std::io::{self, Write};

use crate::comparison::SURE;
use crate::report::air_path::air_path_lines;
use crate::report::budget_lines::budget_lines;
use crate::report::doubt::biggest_doubt;
use crate::report::fan_view_lines::fan_view_lines;
use crate::report::meter_lines::meter_lines;
use crate::report::oblique::oblique_lines;
use crate::report::page::{Ink, Page, harmless};
use crate::report::pairs::tie_lines;
use crate::report::profile_lines::{Profiles, profile_lines};
use crate::report::reasons::turn_lines;
use crate::report::screen::Screen;
use crate::report::screen::ScreenOptions;
use crate::report::table::round;
use crate::report::warming::warming_line;
use crate::report::warning_texts::warning_texts;
use crate::report::what_if::{what_if_legend, what_if_lines};
use crate::report::words::shortened;
use crate::result::{Quality, StudyResult};

/// A part of the details.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Detail {
    /// Every grille, where the first screen shows the first ten.
    Table,
    /// Pairs that are too close to call or equal in use, and what would decide.
    Ties,
    /// What every turn does against its straight twin.
    Turns,
    /// Every grille with every fabric.
    Fabrics,
    /// What each thing in the air's way takes.
    AirPath,
    /// Angles of the air, K static and total, torque.
    Swirl,
    /// The fan view: how the jet spreads behind the grille.
    Behind,
    /// Air speed from side to side behind each grille.
    Profile,
    /// What a vane meter would show.
    Meter,
    /// How much the air warms.
    Warming,
    /// Which doubts weigh most, and what makes them smaller.
    Doubts,
    /// How a time budget was spent.
    Budget,
    /// Every warning.
    Warnings,
    /// What the columns and marks mean.
    Definitions,
    /// Where the files are.
    Files,
}

impl Detail {
    /// All of them, in the order in which they are shown.
    pub const ALL: [Self; 15] = [
        Self::Table,
        Self::Ties,
        Self::Turns,
        Self::Fabrics,
        Self::AirPath,
        Self::Swirl,
        Self::Behind,
        Self::Profile,
        Self::Meter,
        Self::Warming,
        Self::Doubts,
        Self::Budget,
        Self::Warnings,
        Self::Definitions,
        Self::Files,
    ];

    /// What it is asked for by.
    pub fn name(self) -> &'static str {
        self.words().0
    }

    /// What it shows, for the help.
    pub fn meaning(self) -> &'static str {
        self.words().1
    }

    fn heading(self) -> &'static str {
        self.words().2
    }

    /// Name, meaning, heading.
    fn words(self) -> (&'static str, &'static str, &'static str) {
        match self {
            Self::Table => ("table", "Every grille of a long ranking", "Table"),
            Self::Ties => (
                "ties",
                "Pairs too close to call, and what would decide between them",
                "Ties",
            ),
            Self::Turns => ("turns", "Every turn against its straight twin", "Turns"),
            Self::Fabrics => ("fabrics", "Every grille with every fabric", "Fabrics"),
            Self::AirPath => (
                "air-path",
                "What each thing in the air's way takes",
                "Air path",
            ),
            Self::Swirl => (
                "swirl",
                "Angles of the air, static and total K, torque",
                "Swirl",
            ),
            Self::Behind => (
                "behind",
                "The jet behind each grille, from the fan view",
                "Behind grille",
            ),
            Self::Profile => ("profile", "Air speed across each opening", "Profile"),
            Self::Meter => ("meter", "What a vane meter would show", "Meter"),
            Self::Warming => ("warming", "How much the air warms", "Warming"),
            Self::Doubts => ("doubts", "What each number is uncertain by", "Doubts"),
            Self::Budget => ("budget", "How a time budget was spent", "Time budget"),
            Self::Warnings => ("warnings", "Every warning", "Warnings"),
            Self::Definitions => ("definitions", "What columns and marks mean", "Definitions"),
            Self::Files => ("files", "Where the files are", "Files"),
        }
    }
}

/// Writes the details that were asked for, in their own order; what a study does not have is left out where all were asked for, and said to be missing otherwise.
pub(super) fn write_details<W: Write>(
    screen: &mut Screen<W>,
    result: &StudyResult,
    options: &ScreenOptions,
) -> io::Result<()> {
    let is_all = options.details.len() == Detail::ALL.len();
    for detail in Detail::ALL {
        if !options.details.contains(&detail) {
            continue;
        }
        match detail {
            Detail::Table if result.grilles.len() > super::screen::MOST_ROWS.0 => {
                screen.whole_table(result)?;
            }
            Detail::Fabrics if result.what_if.is_some() => fabrics(screen, result)?,
            Detail::Profile => {
                let room = screen.room();
                if let Some(lines) = profile(options.profiles, &screen.page, room) {
                    screen.block(detail.heading(), None, &lines)?;
                }
            }
            Detail::Files => screen.pointers(detail.heading(), options.files)?,
            Detail::Table if is_all => {}
            _ => {
                let mut lines = lines(detail, result, screen);
                if lines.is_empty() && !is_all {
                    lines.push("nothing of that in this study".to_owned());
                }
                let ink = (detail == Detail::Warnings).then_some(Ink::Alert);
                screen.labelled(detail.heading(), ink, &lines)?;
            }
        }
    }
    Ok(())
}

/// The lines of a detail that consists of lines; none where the study has nothing of it.
fn lines<W: Write>(detail: Detail, result: &StudyResult, screen: &Screen<W>) -> Vec<String> {
    let lines = match detail {
        Detail::Ties => tie_lines(result),
        Detail::Turns => turn_lines(result),
        Detail::AirPath => air_path_lines(result, &screen.page, screen.room()),
        Detail::Swirl => oblique_lines(result),
        Detail::Behind => fan_view_lines(result),
        Detail::Meter => meter_lines(result),
        Detail::Warming => warming_line(result).into_iter().collect(),
        Detail::Doubts => doubt(result).into_iter().collect(),
        Detail::Budget => budget_lines(result),
        Detail::Warnings => warning_texts(result),
        Detail::Definitions => definitions(result),
        Detail::Table | Detail::Fabrics | Detail::Profile | Detail::Files => Vec::new(),
    };
    lines.iter().map(|line| harmless(line)).collect()
}

/// How fast the air is behind each grille.
fn profile(profiles: Option<&Profiles>, page: &Page, room: usize) -> Option<Vec<String>> {
    let (heading, drawn) = profile_lines(profiles?, page, room)?;
    let mut lines = page.wrap(&heading, room);
    lines.extend(drawn);
    Some(lines)
}

/// Each grille with each fabric.
fn fabrics<W: Write>(screen: &mut Screen<W>, result: &StudyResult) -> io::Result<()> {
    let unit = match result.given_flow_m3_per_h {
        None => "air in per cent of what the bare fan moves",
        Some(_) => "Pa of both together",
    };
    let title = format!("Every grille with every fabric, over the fan's own area: {unit}.");
    screen.paragraph(&title, Some(Ink::Strong))?;
    for line in what_if_lines(result, &screen.page) {
        writeln!(screen.out, "{}", line.trim_end())?;
    }
    screen.paragraph(&what_if_legend(result), None)
}

/// The doubts that weigh most.
fn doubt(result: &StudyResult) -> Option<String> {
    let ranked = result.grilles.iter().filter(|g| g.rank.is_some());
    let parts: Vec<_> = ranked.map(|grille| grille.contributions.clone()).collect();
    let of = if result.is_flow_given() {
        "pressure drop"
    } else {
        "flow"
    };
    let has_glances = result
        .grilles
        .iter()
        .any(|grille| grille.quality == Quality::Quick);
    biggest_doubt(&parts, has_glances, of)
}

/// What columns and marks mean.
fn definitions(result: &StudyResult) -> Vec<String> {
    let area = result.reference_area.area_m2 * 1e4;
    let count = result
        .grilles
        .iter()
        .filter(|grille| result.measure(grille).is_some())
        .count();
    let mut lines = Vec::new();
    if count > 1 {
        lines.push(format!(
            "Place: 1 and the number of grilles that one is behind. Behind: {:.0}\u{a0}% sure, with {count} grilles allowed for (studentized range). Equal in use: less than one point of flow apart. Grilles that share a letter are not behind one another.",
            100.0 * SURE
        ));
    }
    lines.extend([
        format!(
            "K (loss coefficient): pressure drop ÷ (0.5\u{a0}ρ\u{a0}U²), U = flow ÷ {}\u{a0}cm² ({}).",
            round((area * 10.0).round() / 10.0),
            result.reference_area.words
        ),
        "Likely range: 95\u{a0}%, from fluctuation in time, grid, lattice velocity, simplified view and fan curve.".to_owned(),
    ]);
    if result.has_blades {
        lines.push("Finger: distance from the outside of the grille to the blades by ISO 13857:2019, table 4, from 14 years of age; children need more.".to_owned());
    }
    let ranked = result.grilles.iter().filter(|grille| grille.rank.is_some());
    let ks = ranked.filter_map(|grille| {
        let k = grille.loss_coefficient?;
        Some(format!(
            "{} {:.2} ({:.2}–{:.2})",
            shortened(&grille.name),
            k.value,
            k.low,
            k.high
        ))
    });
    lines.push(format!("K: {}.", ks.collect::<Vec<_>>().join(", ")));
    lines
}
