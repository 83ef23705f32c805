//! What the terminal says of a part to print.

use std::fmt::Write;

/// What whoever fits a printed grille has to know, in the order of weight.
pub const PART_CAUTIONS: [&str; 3] = [
    "Not a safety assessment: openings may let fingers reach moving blades; local rules and the applicable standards prevail.",
    "Before fitting, unplug, and press on the part: a thin rib that snaps goes into the blades. For fans of 12 V or less, with plastic blades, not for mains fans or power supplies.",
    "Printed plastic creeps in warm exhaust air and has no flame rating here; check temperatures under load before and after.",
];

/// A part, as it is told.
#[derive(Debug)]
pub struct PartTold<'a> {
    /// Name of the grille.
    pub grille: &'a str,
    /// Files with their sizes in bytes.
    pub files: &'a [(String, u64)],
    /// How it lies and how exact it is.
    pub drawing: &'a str,
    /// Openings that go through it.
    pub opening_count: usize,
    /// Volume, mm³.
    pub volume_mm3: f64,
    /// Triangles of its surface.
    pub triangle_count: usize,
    /// Doubts about the print, a sentence each.
    pub warnings: Vec<String>,
}

/// The lines about one part.
pub fn part_lines(part: &PartTold<'_>) -> String {
    let mut text = format!(
        "{}: {} openings, {:.1} cm³ of plastic, {} triangles\n",
        part.grille,
        part.opening_count,
        1e-3 * part.volume_mm3,
        part.triangle_count
    );
    let mut line = |words: &str| {
        // Writing into a string cannot fail.
        let _ = writeln!(text, "  {words}");
    };
    for (file, bytes) in part.files {
        line(&format!("{file} ({})", size_in_words(*bytes)));
    }
    line(part.drawing);
    for warning in &part.warnings {
        line(warning);
    }
    text
}

fn size_in_words(bytes: u64) -> String {
    match bytes as f64 {
        bytes if bytes < 1e6 => format!("{:.0} kB", (1e-3 * bytes).max(1.0)),
        bytes => format!("{:.1} MB", 1e-6 * bytes),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_and_doubts_stand_below_the_grille() {
        let told = PartTold {
            grille: "small comb",
            files: &[("results/a/parts/small-comb.3mf".to_owned(), 1_234_567)],
            drawing: "Front face down.",
            opening_count: 61,
            volume_mm3: 23_456.0,
            triangle_count: 4_800,
            warnings: vec!["thin rib".to_owned()],
        };
        assert_eq!(
            part_lines(&told),
            "small comb: 61 openings, 23.5 cm³ of plastic, 4800 triangles\n  \
             results/a/parts/small-comb.3mf (1.2 MB)\n  Front face down.\n  thin rib\n"
        );
    }
}
