//! `ventwright export STUDY`: grilles as parts to print and as drawings.

use std::fs;
use std::io::Cursor;
use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};
use clap::{Args, ValueEnum};

use crate::checksum;
use crate::cli::kept_study::{KeptArgs, ranking, stored_study};
use crate::cli::results::unwritten;
use crate::cli::{Failure, Outcome, StudyArgs, Terminal};
use crate::grille::{Grille, Printer};
use crate::part::{
    CURVE_TOLERANCE_MM, Part, PartNotes, WIDEST_TOLERANCE_MM, write_dxf, write_stl, write_svg,
    write_three_mf,
};
use crate::report::part_lines::{PART_CAUTIONS, PartTold, part_lines};
use crate::store::{folder_name, set_name, write_whole};
use crate::study::Study;

/// Folder of the parts, within the results folder.
const PARTS: &str = "parts";

/// Arguments of `export`.
#[derive(Debug, Clone, Args)]
pub struct ExportArgs {
    /// Whose grilles.
    #[command(flatten)]
    pub kept: KeptArgs,
    /// Export this grille (repeatable); by default the one that leads the ranking
    #[arg(long, value_name = "NAME", conflicts_with_all = ["top", "all"])]
    pub grille: Vec<String>,
    /// Export the first N of the ranking
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u32).range(1..), conflicts_with = "all")]
    pub top: Option<u32>,
    /// Export every grille of the study
    #[arg(long)]
    pub all: bool,
    /// What to write (repeatable)
    #[arg(long, value_name = "FORMAT", default_value = "3mf")]
    pub format: Vec<PartFormat>,
    /// How far curved walls may be off, mm; by default 0.02, wider where the file would grow too large
    #[arg(long, value_name = "MM", value_parser = tolerance)]
    pub curve_tolerance: Option<f64>,
    /// Folder for the files, instead of `parts` in the results folder
    #[arg(long, value_name = "FOLDER")]
    pub out: Option<PathBuf>,
}

/// A kind of file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PartFormat {
    /// A part to print, in mm, with its name and cautions
    #[value(name = "3mf")]
    ThreeMf,
    /// A part to print as bare triangles (binary)
    Stl,
    /// Outlines of the front, the middle and the back in real size, to look at or to cut
    Svg,
    /// The same for a drawing program, a layer each
    Dxf,
}

impl PartFormat {
    fn extension(self) -> &'static str {
        match self {
            Self::ThreeMf => "3mf",
            Self::Stl => "stl",
            Self::Svg => "svg",
            Self::Dxf => "dxf",
        }
    }

    fn write(self, part: &Part, notes: &PartNotes, path: &Path) -> Result<(), Failure> {
        write_whole(path, |out| match self {
            Self::ThreeMf => {
                let mut package = Cursor::new(Vec::new());
                write_three_mf(part, notes, &mut package)?;
                out.write_all(&package.into_inner())
            }
            Self::Stl => write_stl(part, out),
            Self::Svg => write_svg(part, notes, out),
            Self::Dxf => write_dxf(part, notes, out),
        })
        .map_err(|error| unwritten(&error, "--out"))
    }
}

fn tolerance(text: &str) -> Result<f64, String> {
    match text.parse::<f64>() {
        Ok(value) if (0.001..=0.5).contains(&value) => Ok(value),
        _ => Err("give a number of mm between 0.001 and 0.5".to_owned()),
    }
}

/// Writes the files and says what they are.
pub(super) fn export(args: &ExportArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let (study, folder) = study(&args.kept)?;
    let asked = asked(args, &study, &folder)?;
    let out = args.out.clone().unwrap_or_else(|| folder.join(PARTS));
    fs::create_dir_all(&out)
        .with_context(|| format!("making the folder {}", out.display()))
        .map_err(Failure::Broken)?;
    let mut formats = args.format.clone();
    formats.dedup();
    let printer = study.printer.unwrap_or_default();
    let mut outcome = Outcome::Done;
    for grille in asked {
        let made = match args.curve_tolerance {
            Some(tolerance) => Part::of(grille, tolerance, printer),
            None => {
                Part::of_moderate_size(grille, CURVE_TOLERANCE_MM, WIDEST_TOLERANCE_MM, printer)
            }
        };
        let part = match made {
            Ok(part) => part,
            Err(why) => {
                terminal.complaint(&format!("{} is left out: {why}", grille.name));
                outcome = Outcome::SomeInvalid;
                continue;
            }
        };
        let notes = notes(&study, grille, &part);
        let mut files = Vec::new();
        for format in &formats {
            let name = set_name(std::slice::from_ref(&grille.name));
            let path = out.join(format!("{name}.{}", format.extension()));
            format.write(&part, &notes, &path)?;
            let bytes = fs::metadata(&path).map_or(0, |file| file.len());
            files.push((path.display().to_string(), bytes));
        }
        let warnings = grille.resolve(0.0).map(|found| found.warnings);
        let told = PartTold {
            grille: &grille.name,
            files: &files,
            drawing: &notes.drawing,
            opening_count: part.mesh.handles(),
            volume_mm3: part.mesh.volume(),
            triangle_count: part.mesh.triangles.len(),
            warnings: warnings
                .unwrap_or_default()
                .iter()
                .map(|warning| format!("{}; {}", warning.message(), warning.advice()))
                .collect(),
        };
        terminal.result(&part_lines(&told))?;
    }
    terminal.result(&format!("{}\n", PART_CAUTIONS.join("\n")))?;
    Ok(outcome)
}

/// The study, and the folder of its results, which need not be there.
fn study(kept: &KeptArgs) -> Result<(Study, PathBuf), Failure> {
    if kept.study.is_dir() {
        let (study, _) = stored_study(&kept.study).map_err(Failure::Wrong)?;
        return Ok((study, kept.study.clone()));
    }
    let study = StudyArgs::plain(&kept.study).read()?.study;
    let folder = kept.results.join(folder_name(&study.name));
    Ok((study, folder))
}

/// The grilles to export, in the order asked for.
fn asked<'a>(
    args: &ExportArgs,
    study: &'a Study,
    folder: &Path,
) -> Result<Vec<&'a Grille>, Failure> {
    let grilles = || study.grilles.iter();
    let names = || {
        let names: Vec<&str> = grilles().map(|grille| grille.name.as_str()).collect();
        names.join(", ")
    };
    if args.all {
        return Ok(grilles().collect());
    }
    if !args.grille.is_empty() {
        let found = args.grille.iter().map(|name| {
            grilles()
                .find(|grille| grille.name == *name)
                .ok_or_else(|| {
                    Failure::Wrong(anyhow!(
                        "no grille is called {name:?}; this study has: {}",
                        names()
                    ))
                })
        });
        return found.collect();
    }
    let mut first: Vec<_> = grilles().collect();
    if first.len() == 1 {
        return Ok(first);
    }
    let kept = ranking(folder)?.ok_or_else(|| {
        Failure::Wrong(anyhow!(
            "nothing is ranked yet, so say which: --grille NAME (repeatable) or --all; this study has: {}",
            names()
        ))
    })?;
    let mut ranked: Vec<(u32, usize)> = kept
        .grilles
        .iter()
        .filter_map(|grille| Some((grille.rank?, grille.id)))
        .collect();
    ranked.sort_unstable();
    // The study may have been edited since.
    let of_place = |id: usize| {
        let name = kept.grilles.iter().find(|grille| grille.id == id)?;
        grilles().find(|grille| grille.name == name.name)
    };
    first = ranked
        .into_iter()
        .filter_map(|(_, id)| of_place(id))
        .take(args.top.unwrap_or(1) as usize)
        .collect();
    if first.is_empty() {
        return Err(Failure::Wrong(anyhow!(
            "no grille of the ranking stands in the study; say which: --grille NAME"
        )));
    }
    Ok(first)
}

/// How holes are drawn, in words.
fn hole_words(printer: Printer) -> String {
    let wider = -1e3 * printer.hole_error;
    if wider.abs() < 1e-9 {
        return "holes as in the study: printed_hole_error_mm in [printer] draws them against what your printer makes of them.".to_owned();
    }
    let (way, size) = if wider > 0.0 {
        ("wider", "small")
    } else {
        ("narrower", "large")
    };
    format!(
        "every hole drawn {:.2} mm {way}, because holes of this printer come out that much too {size}; leave the slicer's own hole compensation off, or it counts twice.",
        wider.abs()
    )
}

fn notes(study: &Study, grille: &Grille, part: &Part) -> PartNotes {
    PartNotes {
        study: study.name.clone(),
        grille: grille.name.clone(),
        inputs: checksum::of_bytes(&[format!(
            "{grille:?} {:?} {}",
            study.printer, part.tolerance_mm
        )
        .as_bytes()]),
        program: format!("Ventwright {}", env!("CARGO_PKG_VERSION")),
        drawing: format!(
            "Front face down, {} mm thick, curved walls within {} mm; {}",
            part.thickness_mm,
            part.tolerance_mm,
            hole_words(study.printer.unwrap_or_default())
        ),
        cautions: PART_CAUTIONS.iter().map(ToString::to_string).collect(),
    }
}
