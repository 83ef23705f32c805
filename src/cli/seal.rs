//! `ventwright seal STUDY`: records a prediction, dated and hashed, before anything is printed.

use std::fs::{self, OpenOptions};
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};
use clap::Args;
use jiff::Timestamp;

use crate::cli::kept_study::{Kept, KeptArgs, stored_study};
use crate::cli::plain_file::plain_text;
use crate::cli::results::remedy;
use crate::cli::{Failure, Outcome, Terminal};
use crate::likely::Likely;
use crate::report::cautions::CAUTIONS;
use crate::result::StudyResult;
use crate::rig::sealed::{Opened, Promised, PromisedDesign, Sealed, open, seal as sealed_text};
use crate::store::STUDY_FILE;
use crate::text::BARE_FAN;

/// Largest sealed prediction that is read, bytes.
const LARGEST_SEALED_BYTES: u64 = 64 << 20;

/// Arguments of `seal`.
#[derive(Debug, Clone, Args)]
pub struct SealArgs {
    /// Whose results.
    #[command(flatten)]
    pub kept: KeptArgs,
    /// The file to write; `sealed-DATE-TIME.json` in the folder of the results unless given
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// Seals the prediction of a solved study.
pub(super) fn seal(args: &SealArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let folder = args.kept.folder()?;
    let Some(content) = prediction(&folder, terminal)? else {
        return Ok(Outcome::SomeInvalid);
    };
    let text = sealed_text(&content)
        .context("writing the prediction")
        .map_err(Failure::Broken)?;
    let digits = content
        .sealed_at
        .replace([' ', ':'], "-")
        .replace("-UTC", "");
    let path = args
        .out
        .clone()
        .unwrap_or_else(|| folder.join(format!("sealed-{digits}.json")));
    write_new(&path, &text)?;
    let hash = open(&text)
        .map_err(|error| Failure::Broken(error.into()))?
        .hash;
    let designs = content
        .designs
        .iter()
        .filter(|design| design.flow_percent.is_some())
        .count();
    terminal.result(&format!(
        "{}\nsealed on {}: {designs} designs of {} and the bare fan\nblake3 {hash}\n",
        path.display(),
        content.sealed_at,
        content.study.replace(char::is_control, "\u{fffd}")
    ))?;
    terminal.note("To prove the date later, give the hash to somebody now. A planning aid, not a safety assessment.");
    Ok(Outcome::Done)
}

/// A sealed file is never written over.
fn write_new(path: &Path, text: &str) -> Result<(), Failure> {
    let file = OpenOptions::new().write(true).create_new(true).open(path);
    let mut file = match file {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            return Err(Failure::Wrong(anyhow!(
                "{} already exists, and a sealed prediction is never overwritten; choose another name with --out",
                path.display()
            )));
        }
        Err(error) => {
            let remedy = remedy(&error, "--out");
            return Err(Failure::Broken(anyhow!(
                "writing {}: {error}{remedy}",
                path.display()
            )));
        }
    };
    let written = file
        .write_all(text.as_bytes())
        .and_then(|()| file.sync_all());
    if let Err(error) = written {
        // Half a seal is none.
        let _ = fs::remove_file(path);
        let context = format!("writing {}", path.display());
        return Err(Failure::Broken(anyhow::Error::new(error).context(context)));
    }
    Ok(())
}

/// What is to be sealed of the results in a folder.
///
/// # Errors
/// [`Failure::Wrong`] when the study was not solved to its end. `None` when runs behind the ranking are damaged, which is told.
pub(super) fn prediction(folder: &Path, terminal: &Terminal) -> Result<Option<Sealed>, Failure> {
    let kept = Kept::open(folder)?.ok_or_else(|| {
        let folder = folder.display();
        Failure::Wrong(anyhow!(
            "there is no ranking in {folder}; run the study to the end first"
        ))
    })?;
    if let Some(missing) = &kept.missing {
        terminal.note(missing);
    }
    if !kept.damaged.is_empty() {
        for fault in &kept.damaged {
            terminal.complaint(fault);
        }
        terminal.complaint(
            "nothing is promised by damaged results: `ventwright run` solves what is damaged again",
        );
        return Ok(None);
    }
    let (study, text) = stored_study(folder).map_err(Failure::Wrong)?;
    if study.name != kept.result.study {
        return Err(Failure::Wrong(anyhow!(
            "{} is not the study that was ranked ({})",
            folder.join(STUDY_FILE).display(),
            kept.result.study
        )));
    }
    Ok(Some(promised(&kept.result, text)))
}

/// A range as it is sealed; nothing is promised by a number that is not finite.
fn promise(range: Likely) -> Option<Promised> {
    let Likely { value, low, high } = range;
    let is_finite = [value, low, high].iter().all(|end| end.is_finite());
    is_finite.then(|| range.into())
}

fn promised(kept: &StudyResult, study_toml: String) -> Sealed {
    let bare_fan = kept.bare_flow_m3_per_h.map(|flow| PromisedDesign {
        name: BARE_FAN.to_owned(),
        description: "the fan in its place without a grille".to_owned(),
        flow_m3_per_h: promise(flow),
        meter_m_per_s: kept.bare_meter.map(|meter| meter.reading_m_per_s),
        ..PromisedDesign::default()
    });
    let designs = kept.grilles.iter().map(|grille| PromisedDesign {
        name: grille.name.clone(),
        description: grille.description.clone(),
        rank: grille.rank,
        flow_m3_per_h: grille.flow_m3_per_h.and_then(promise),
        flow_percent: grille.flow_percent.and_then(promise),
        pressure_drop_pa: grille.pressure_drop_pa.and_then(promise),
        meter_m_per_s: grille.meter.map(|meter| meter.reading_m_per_s),
        meter_percent: grille
            .meter
            .and_then(|meter| meter.reading_percent_of_bare_fan),
        tied_with: kept
            .tied_with(grille.id)
            .map(|it| it.name.clone())
            .collect(),
    });
    Sealed {
        sealed_at: Timestamp::now()
            .strftime("%Y-%m-%d %H:%M:%S UTC")
            .to_string(),
        code_version: env!("CARGO_PKG_VERSION").to_owned(),
        solved_by_version: kept.code_version.clone(),
        study: kept.study.clone(),
        study_toml,
        quality: kept.quality.to_string(),
        side: kept.side.to_string(),
        reference_area_m2: kept.reference_area.area_m2,
        reference_area_words: kept.reference_area.words.clone(),
        given_flow_m3_per_h: kept.given_flow_m3_per_h,
        bare_fan,
        designs: designs.collect(),
        cautions: CAUTIONS.map(str::to_owned).to_vec(),
    }
}

/// Reads a sealed prediction from disk and checks that it is whole.
///
/// # Errors
/// [`Failure::Wrong`] when it cannot be read or its seal is broken.
pub(super) fn opened(path: &Path) -> Result<Opened, Failure> {
    let read = || -> anyhow::Result<Opened> { Ok(open(&plain_text(path, LARGEST_SEALED_BYTES)?)?) };
    read()
        .with_context(|| format!("reading {}", path.display()))
        .map_err(Failure::Wrong)
}
