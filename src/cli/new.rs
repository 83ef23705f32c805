//! `ventwright new NAME`: a commented study to start from.

use std::fs::OpenOptions;
use std::io::{ErrorKind, Write};
use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};
use clap::Args;

use crate::cli::terminal::as_typed;
use crate::cli::{Failure, Outcome, Terminal};
use crate::report::harmless;
use crate::study::{name_trouble, starter};

/// Arguments of `new`.
#[derive(Debug, Clone, Args)]
pub struct NewArgs {
    /// Name of the study; the file NAME.toml is written
    pub name: PathBuf,
}

/// Writes the starter study, never over a file that is there.
pub(super) fn new(args: &NewArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let path = with_extension(&args.name);
    let stem = path
        .file_stem()
        .map(|stem| stem.to_string_lossy().trim().to_owned());
    let name = stem.unwrap_or_default();
    if let Some(trouble) = name_trouble(&name) {
        return Err(Failure::Wrong(anyhow!(
            "\"{}\" cannot be the name of a study, for it {trouble}: type 1 to 80 characters, such as quiet-desk",
            harmless(&args.name.to_string_lossy())
        )));
    }
    let shown = path.display();
    let file = OpenOptions::new().write(true).create_new(true).open(&path);
    let mut file = match file {
        Ok(file) => file,
        Err(error) if error.kind() == ErrorKind::AlreadyExists => {
            return Err(Failure::Wrong(anyhow!(
                "{shown} already exists and was not changed: use another name or remove it first"
            )));
        }
        Err(error) => {
            return Err(Failure::Wrong(
                anyhow!(error).context(format!("creating {shown}")),
            ));
        }
    };
    file.write_all(starter(&name).as_bytes())
        .with_context(|| format!("writing {shown}"))
        .map_err(Failure::Broken)?;
    let argument = as_typed(&path);
    terminal.note(&format!(
        "wrote {shown}\nnext: edit it, then `ventwright check {argument}` and `ventwright run {argument}`"
    ));
    Ok(Outcome::Done)
}

/// `desk` becomes `desk.toml`; `desk.toml` stays, and so does the dot in `desk 1.2`.
fn with_extension(name: &Path) -> PathBuf {
    if name
        .extension()
        .is_some_and(|extension| extension == "toml")
    {
        return name.to_owned();
    }
    let mut path = name.as_os_str().to_owned();
    path.push(".toml");
    path.into()
}
