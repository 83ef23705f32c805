//! What a three-dimensional run leaves for the eye: fields and the plate's surface for an external viewer, a picture.

use crate::fields::{
    PlateShape, SolvedRepeat, hole_axes, ring, write_last, write_mean, write_picture, write_plate,
};
use crate::measure::hole_swirl::{HoleAxis, swirl_profile};
use crate::measure::repeat::RepeatOutcome;
use crate::report::run_files::{RunRecord, SwirlRow, write_swirl};
use crate::run::planned::Run;
use crate::run::views::files::notes;
use crate::run::views::repeat::Repeat;
use crate::store::{StoreError, StudyFolder, write_whole};
use crate::vtk::Note;

/// Writes `mean.vti`, `last.vti`, `plate.vtp`, `swirl.csv` and `picture.png` of a repeat.
pub(super) fn write(
    folder: &StudyFolder,
    run: &Run,
    repeat: &Repeat,
    outcome: &RepeatOutcome,
    record: &RunRecord,
) -> Result<(), StoreError> {
    let path = |name: &str| folder.run_file(&run.key, name);
    let holes = repeat.hole_axes();
    let solved = SolvedRepeat {
        outcome,
        scale: run.scale,
        holes: &holes,
    };
    let noted = |fluctuating| {
        let mut notes = notes(run, fluctuating);
        let pitch = outcome.layout.pitch * run.scale.cell;
        notes.push(Note::Number("pitch_mm", 1e3 * pitch));
        // The pattern is stretched so that whole cells make a repeat.
        notes.push(Note::Number("stretch_along_z", outcome.layout.stretch));
        notes
    };
    write_whole(&path("mean.vti"), |out| {
        write_mean(&solved, &noted(Some("3 components")), out)
    })?;
    write_whole(&path("last.vti"), |out| {
        write_last(&solved, &noted(None), out)
    })?;
    let shape = PlateShape {
        outlines_at: &|depth| repeat.outlines_at(depth),
        solid: &|place| repeat.is_solid(place),
        edges: repeat.edges(),
    };
    write_whole(&path("plate.vtp"), |out| write_plate(&solved, &shape, out))?;
    let stations = swirl_profile(outcome, &holes);
    let rows: Vec<SwirlRow> = stations
        .iter()
        .map(|station| SwirlRow {
            x_mm: 1e3 * station.x * repeat.hydraulic_diameter,
            swirl_number: station.swirl_number,
            helicity: station.helicity,
        })
        .collect();
    write_whole(&path("swirl.csv"), |out| write_swirl(&rows, out))?;
    write_whole(&path("picture.png"), |out| {
        write_picture(
            &solved,
            shape.solid,
            &run.grille,
            record.averaging_time_s,
            out,
        )
    })
}

impl Repeat {
    /// Axes of the holes as the air meets them.
    pub(in crate::run) fn hole_axes(&self) -> Vec<HoleAxis> {
        let axes = hole_axes(&self.solid, self.hydraulic_diameter);
        if !self.is_reversed {
            return axes;
        }
        let depth = self.solid.thickness() / self.hydraulic_diameter;
        let turned = |axis: HoleAxis| {
            let [y, z] = axis.at(depth, depth);
            let [along_y, along_z] = axis.slope;
            HoleAxis {
                centre: [-y, z],
                slope: [along_y, -along_z],
                hand: axis.hand,
            }
        };
        axes.into_iter().map(turned).collect()
    }

    /// Outlines of the holes as the air meets them, at a depth below the face that it meets first; hydraulic diameters.
    fn outlines_at(&self, depth: f64) -> Vec<Vec<[f64; 2]>> {
        let diameter = self.hydraulic_diameter;
        let depth = depth * diameter;
        if !self.is_reversed {
            let outlines = self.solid.outlines_at(depth);
            return outlines.iter().map(|o| ring(o, diameter)).collect();
        }
        let outlines = self.solid.outlines_at(self.solid.thickness() - depth);
        outlines
            .iter()
            .map(|outline| {
                // Seen from the other side, so the points go round the other way.
                let points = ring(outline, diameter).into_iter().rev();
                points.map(|[y, z]| [-y, z]).collect()
            })
            .collect()
    }

    /// Depths of the edges of the face met first and of the other, hydraulic diameters.
    fn edges(&self) -> [f64; 2] {
        let [front, back] = self.edges.map(|edge| edge.size() / self.hydraulic_diameter);
        if self.is_reversed {
            [back, front]
        } else {
            [front, back]
        }
    }
}
