//! Every kind of file, on a disk that is full after so many bytes: an error and no panic, what stood there before is untouched, and nothing half-written is left.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

#[path = "report_outputs/samples.rs"]
#[expect(dead_code, reason = "only a part of it is needed")]
mod samples;

use std::error::Error;
use std::fs;
use std::io::{self, Write};

use ventwright::picture::{FieldKind, FieldPicture, field_picture};
use ventwright::report::ranking_csv::write_ranking_csv;
use ventwright::report::ranking_json::write_ranking_json;
use ventwright::report::run_files::{
    HistoryRow, RunRecord, SwirlRow, write_history, write_run, write_swirl,
};
use ventwright::store::{CheckpointOwner, StoreError, write_checkpoint, write_whole};
use ventwright::vtk::{CellArray, ImageGrid, Surface, write_image, write_surface};

type Fault = Box<dyn Error + Send + Sync>;

/// Writes one kind of file.
type Kind = fn(&mut dyn Write) -> Result<(), Fault>;

/// A disk with room for so many bytes.
struct Full<'a> {
    out: &'a mut dyn Write,
    left: usize,
}

impl Write for Full<'_> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        let count = bytes.len().min(self.left);
        if count == 0 && !bytes.is_empty() {
            return Err(io::Error::from(io::ErrorKind::StorageFull));
        }
        self.left -= count;
        self.out.write(&bytes[..count])
    }

    fn flush(&mut self) -> io::Result<()> {
        self.out.flush()
    }
}

fn history(out: &mut dyn Write) -> Result<(), Fault> {
    let row = |n: u32| HistoryRow {
        time_s: f64::from(n),
        loss_coefficient: 1.0 / f64::from(n + 1),
        loss_coefficient_by_force: 1.0,
        mean_density_error: 0.0,
    };
    Ok(write_history(&(0..2000).map(row).collect::<Vec<_>>(), out)?)
}

fn swirl(out: &mut dyn Write) -> Result<(), Fault> {
    let row = |n: u32| SwirlRow {
        x_mm: f64::from(n),
        swirl_number: 0.1,
        helicity: 0.2,
    };
    Ok(write_swirl(&(0..2000).map(row).collect::<Vec<_>>(), out)?)
}

fn run_json(out: &mut dyn Write) -> Result<(), Fault> {
    let record = RunRecord {
        code_version: "0.0.0".to_owned(),
        seed: 0,
        inputs: serde_json::json!({ "view": "hole view" }),
        summary: samples::run("k", 2.0, 1.5),
        contributions: Vec::new(),
        averaging_time_s: 1.0,
        start_up_time_s: 0.5,
        files: std::collections::BTreeMap::new(),
    };
    Ok(write_run(&record, out)?)
}

fn csv(out: &mut dyn Write) -> Result<(), Fault> {
    Ok(write_ranking_csv(&samples::demo(), out)?)
}

fn json(out: &mut dyn Write) -> Result<(), Fault> {
    Ok(write_ranking_json(&samples::demo(), out)?)
}

fn image(out: &mut dyn Write) -> Result<(), Fault> {
    let grid = ImageGrid {
        dimensions: [20, 30, 1],
        origin: [0.0; 3],
        spacing: [1.0; 3],
    };
    let numbers = (0..600_u16).map(f32::from).collect();
    let arrays = [CellArray::Scalar("pressure_pa", numbers)];
    Ok(write_image(&grid, &arrays, out)?)
}

fn surface(out: &mut dyn Write) -> Result<(), Fault> {
    let mut surface = Surface::default();
    for n in 0..200_u16 {
        let x = f32::from(n);
        surface.add(&[[x, 0.0, 0.0], [x, 1.0, 0.0], [x, 1.0, 1.0]]);
    }
    Ok(write_surface(&surface, out)?)
}

fn picture(out: &mut dyn Write) -> Result<(), Fault> {
    let values: Vec<f32> = (0..600_u16).map(f32::from).collect();
    let picture = FieldPicture {
        title: "hexagons",
        subtitle: "hole view",
        quantity: "speed",
        kind: FieldKind::Speed,
        dimensions: [20, 30],
        values: &values,
        solid: &[0; 600],
        wall: None,
        origin_mm: [0.0; 2],
        cell_mm: 1.0,
        is_mirrored: false,
        crop: None,
        range: None,
        x_label: "x",
        y_label: "y",
        zero_line: None,
        notes: &[],
    };
    field_picture(&picture, out)?;
    Ok(())
}

fn checkpoint(out: &mut dyn Write) -> Result<(), Fault> {
    let owner = CheckpointOwner::new(1, b"inputs");
    write_checkpoint(&owner, out, |out| out.write_all(&vec![7; 100_000]))?;
    Ok(())
}

const KINDS: [(&str, Kind); 9] = [
    ("history.csv", history),
    ("swirl.csv", swirl),
    ("run.json", run_json),
    ("ranking.csv", csv),
    ("ranking.json", json),
    ("mean.vti", image),
    ("plate.vtp", surface),
    ("picture.png", picture),
    ("half.state", checkpoint),
];

#[test]
fn a_full_disk_leaves_every_kind_of_file_as_it_was() {
    for (name, kind) in KINDS {
        let mut whole = Vec::new();
        kind(&mut whole).unwrap();
        assert!(whole.len() > 100, "{name}: {}", whole.len());
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join(name);
        fs::write(&path, "what stood there before").unwrap();
        for left in [0, 1, 40, whole.len() / 2, whole.len() - 1] {
            let error = write_whole(&path, |out| kind(&mut Full { out, left })).unwrap_err();
            assert!(
                matches!(error, StoreError::Fill { .. }),
                "{name} after {left} bytes: {error}"
            );
            assert!(error.to_string().contains(name), "{error}");
            assert_eq!(fs::read(&path).unwrap(), b"what stood there before");
            assert_eq!(fs::read_dir(folder.path()).unwrap().count(), 1, "{name}");
        }
        let left = whole.len();
        write_whole(&path, |out| kind(&mut Full { out, left })).unwrap();
        assert!(fs::read(&path).unwrap() == whole, "{name}");
    }
}
