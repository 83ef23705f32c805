//! A grille as a part to print: one closed surface of triangles, and the files that take it to a printer or a drawing program.
//!
//! The surface is made from the walls that [`crate::grille`] gives, so what is printed is what was solved.
//! Lengths are in mm from here on, as in the files; the front face lies at z = 0 (on the bed of a printer), the back face, which the fan sees, above it.

mod carve;
mod cutters;
mod dxf;
mod face;
mod mesh;
mod sections;
mod shell;
mod stl;
mod svg;
mod three_mf;

use crate::grille::{Grille, Meets, PartFault, PartWalls, Printer};

pub use dxf::write_dxf;
pub use mesh::TriangleMesh;
pub use sections::Section;
pub use stl::write_stl;
pub use svg::write_svg;
pub use three_mf::{PartNotes, write_three_mf};

use cutters::Cutter;
use shell::Shell;

/// How far curved walls of the part may be off the drawing, mm, where nothing else is asked for.
pub const CURVE_TOLERANCE_MM: f64 = 0.02;

/// The widest tolerance that keeps a part of very many turned holes at a size that slicers like, mm.
pub const WIDEST_TOLERANCE_MM: f64 = 0.05;

/// Triangles of a part of moderate size: about 5 MB as 3MF.
const MODERATE_COUNT: usize = 300_000;

/// Shares of the tolerance at which a surface is tried: where walls meet in an unlucky way, other points on them do not.
const TRIES: [f64; 4] = [1.0, 0.93, 0.86, 0.79];

/// Why there is no part.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum PartError {
    /// The drawing itself is in the way.
    #[error(transparent)]
    Drawing(#[from] PartFault),
    /// It would fall apart.
    #[error("it would come off the printer in {count} pieces: nothing holds the one of {volume:.1} mm³ at {:.1}, {:.1} mm from the middle of the face; give the holes more rib, or leave cut holes out with crossing_holes = \"drop\"", place[0], place[1])]
    FallsApart {
        /// Number of pieces.
        count: usize,
        /// Volume of the second largest, mm³.
        volume: f64,
        /// Where it lies, mm.
        place: [f64; 2],
    },
    /// The surface did not come out closed.
    #[error(
        "no closed surface could be made of it ({0}); this is a fault of the program, not of the drawing"
    )]
    Surface(String),
}

/// A part to print.
#[derive(Debug, Clone)]
pub struct Part {
    /// Its surface, mm.
    pub mesh: TriangleMesh,
    /// How far curved walls may be off the drawing, mm.
    pub tolerance_mm: f64,
    /// Thickness, mm.
    pub thickness_mm: f64,
}

impl Part {
    /// The part of a grille, with curved walls within `tolerance_mm`, drawn so that it comes off this printer as the grille says.
    ///
    /// # Errors
    /// [`PartError`]: what breaks out or falls apart.
    ///
    /// # Examples
    /// ```
    /// use ventwright::grille::{
    ///     CrossingHoles, CutOut, Edge, Grille, HolePattern, HoleShape, Layout, Pattern, Printer,
    ///     Turn, Zone,
    /// };
    /// let grille = Grille {
    ///     name: "five squares".to_owned(),
    ///     cut_out: CutOut::Bore { diameter: 0.04 },
    ///     thickness: 0.003,
    ///     border: 0.002,
    ///     centre_disc_diameter: 0.0,
    ///     crossing_holes: CrossingHoles::Drop,
    ///     front_edge: Edge::Sharp,
    ///     back_edge: Edge::Sharp,
    ///     zones: vec![Zone {
    ///         inner_radius: 0.0,
    ///         outer_radius: 0.018,
    ///         pattern: Pattern::Holes(HolePattern {
    ///             shape: HoleShape::Square { side: 0.008 },
    ///             layout: Layout::Square,
    ///             rib: 0.002,
    ///             turn: Turn::Straight,
    ///             merging_accepted: false,
    ///         }),
    ///     }],
    /// };
    /// let part = ventwright::part::Part::of(&grille, 0.02, Printer::default())?;
    /// assert_eq!(part.mesh.handles(), 5); // as many as holes
    /// let expected = 3.0 * (std::f64::consts::PI * 400.0 - 5.0 * 64.0);
    /// assert!((part.mesh.volume() / expected - 1.0).abs() < 1e-4);
    /// # Ok::<(), ventwright::part::PartError>(())
    /// ```
    pub fn of(grille: &Grille, tolerance_mm: f64, printer: Printer) -> Result<Self, PartError> {
        let mut made = Err(PartError::Surface(String::new()));
        for share in TRIES {
            let walls = grille.part_walls(1e-3 * share * tolerance_mm, printer.wall_offset())?;
            // Leaned holes near the axis may meet though the pattern's do not: only then is every hole taken out as a body.
            let mesh = surface(&walls, false).or_else(|_| surface(&walls, true));
            made = mesh.map_err(PartError::Surface);
            if made.is_ok() {
                break;
            }
        }
        let mesh = made?;
        let pieces = mesh.pieces();
        if let [_, lost, ..] = pieces[..] {
            return Err(PartError::FallsApart {
                count: pieces.len(),
                volume: lost.volume,
                place: lost.place,
            });
        }
        Ok(Self {
            mesh,
            tolerance_mm,
            thickness_mm: 1e3 * grille.thickness,
        })
    }

    /// The part with the tolerance doubled, up to `widest_mm`, as long as its surface is too large to handle well.
    ///
    /// # Errors
    /// As [`Part::of`].
    pub fn of_moderate_size(
        grille: &Grille,
        tolerance_mm: f64,
        widest_mm: f64,
        printer: Printer,
    ) -> Result<Self, PartError> {
        let mut tolerance = tolerance_mm;
        loop {
            let part = Self::of(grille, tolerance, printer)?;
            if part.mesh.triangles.len() <= MODERATE_COUNT || tolerance >= widest_mm {
                return Ok(part);
            }
            tolerance = (2.0 * tolerance).min(widest_mm);
        }
    }
}

/// The surface of a part; with openings that may meet taken out as bodies, or with all.
fn surface(walls: &PartWalls, may_all_meet: bool) -> Result<TriangleMesh, String> {
    let mut shell = Shell::new(&walls.plate, walls.thickness);
    let mut cutters = Vec::new();
    for opening in &walls.openings {
        match opening.meets {
            Meets::Nothing if !may_all_meet => shell.open(&opening.rings),
            Meets::Nothing | Meets::Others => cutters.push(Cutter::new(&opening.rings, None)),
            Meets::Zone(zone) => cutters.push(Cutter::new(&opening.rings, Some(zone))),
        }
    }
    carve::carve(shell.close()?, cutters, &walls.zones)?.settled()
}

#[cfg(test)]
mod tests {
    use std::f64::consts::PI;

    use super::*;
    use crate::grille::{
        CrossingHoles, CutOut, Edge, HolePattern, HoleShape, Layout, Pattern, Turn, Zone,
    };

    fn squares() -> Grille {
        Grille {
            name: "squares".to_owned(),
            cut_out: CutOut::Bore { diameter: 0.04 },
            thickness: 0.003,
            border: 0.002,
            centre_disc_diameter: 0.0,
            crossing_holes: CrossingHoles::Drop,
            front_edge: Edge::Sharp,
            back_edge: Edge::Sharp,
            zones: vec![Zone {
                inner_radius: 0.0,
                outer_radius: 0.018,
                pattern: Pattern::Holes(HolePattern {
                    shape: HoleShape::Square { side: 0.008 },
                    layout: Layout::Square,
                    rib: 0.002,
                    turn: Turn::Straight,
                    merging_accepted: false,
                }),
            }],
        }
    }

    #[test]
    fn holes_that_come_out_small_are_drawn_wider_and_large_ones_narrower() {
        let open = |error_mm: f64| {
            let printer = Printer {
                hole_error: 1e-3 * error_mm,
            };
            let part = Part::of(&squares(), 0.02, printer).unwrap();
            PI * 400.0 - part.mesh.section(1.5).area()
        };
        // Five squares; each wall moved by half of the error, corners rounded as the wall moves outwards (Steiner's formula).
        for (error, expected) in [
            (0.0, 64.0),
            (-0.2, 64.0 + 4.0 * 8.0 * 0.1 + PI * 0.01),
            (0.2, 7.8 * 7.8),
        ] {
            let off = open(error) / (5.0 * expected) - 1.0;
            assert!(off.abs() < 1e-4, "{error}: {off}");
        }
    }

    #[test]
    fn a_rib_that_the_printer_eats_is_refused() {
        let printer = Printer {
            hole_error: -2.1e-3,
        };
        let why = Part::of(&squares(), 0.02, printer).unwrap_err();
        assert!(why.to_string().contains("ribs of 2.00 mm"), "{why}");
    }
}
