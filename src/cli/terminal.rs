//! What goes to which stream, and whether it may be coloured.

use std::env;
use std::io::{self, ErrorKind, IsTerminal, Write};
use std::path::Path;

use anyhow::Context;
use serde_json::{Value, json};

use crate::cli::Failure;
use crate::cli::progress_events::{self, ProgressForm};

/// Where a command's words go.
#[derive(Debug, Clone)]
pub struct Terminal {
    is_quiet: bool,
    form: ProgressForm,
    is_stderr_coloured: bool,
    is_stdout_coloured: bool,
}

impl Terminal {
    /// Looks at the two streams and at `NO_COLOR`.
    pub(super) fn new(is_quiet: bool) -> Self {
        let is_refused =
            is_dumb() || env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        Self {
            is_quiet,
            form: ProgressForm::Auto,
            is_stderr_coloured: !is_refused && io::stderr().is_terminal(),
            is_stdout_coloured: !is_refused && io::stdout().is_terminal(),
        }
    }

    /// The same with progress told in another form.
    pub(super) fn telling(self, form: ProgressForm) -> Self {
        Self { form, ..self }
    }

    /// Whether only results and faults are wanted.
    pub fn is_quiet(&self) -> bool {
        self.is_quiet
    }

    /// Whether results may be coloured.
    pub fn is_stdout_coloured(&self) -> bool {
        self.is_stdout_coloured
    }

    /// Whether stdout is a terminal that knows no more signs than ASCII, by what the environment says of the language and its letters.
    pub fn is_stdout_plain(&self) -> bool {
        let named = ["LC_ALL", "LC_CTYPE", "LANG"].map(|name| env::var(name).ok());
        let locale = named.into_iter().flatten().find(|value| !value.is_empty());
        io::stdout().is_terminal() && locale.is_some_and(|locale| is_plain(&locale))
    }

    /// Whether progress may be drawn: stderr is a terminal that can, and the user wants to see it.
    pub fn is_stderr_live(&self) -> bool {
        let is_wanted = !self.is_quiet && self.form == ProgressForm::Auto;
        is_wanted && !is_dumb() && io::stderr().is_terminal()
    }

    /// Whether everything that goes to stderr is read by a program.
    pub(super) fn is_for_programs(&self) -> bool {
        self.form == ProgressForm::Json
    }

    /// Tells a program of an event, unless quiet.
    pub(super) fn event(&self, event: &str, keys: Value) {
        if self.is_for_programs() && !self.is_quiet {
            let _ = io::stderr().write_all(progress_events::line(event, keys).as_bytes());
        }
    }

    /// Columns of the terminal that stdout goes to; 80 where nothing is known.
    pub fn width(&self) -> usize {
        if !io::stdout().is_terminal() {
            return env::var("COLUMNS")
                .ok()
                .and_then(|columns| columns.parse().ok())
                .unwrap_or(80);
        }
        terminal_size::terminal_size().map_or(80, |(width, _)| usize::from(width.0))
    }

    /// Says that something went wrong that does not end the command, even when quiet.
    pub fn complaint(&self, line: &str) {
        let text = if self.is_for_programs() {
            progress_events::line("error", json!({ "text": line }))
        } else {
            format!("{} {line}\n", self.bold("error:"))
        };
        let _ = io::stderr().write_all(text.as_bytes());
    }

    /// Writes a result to stdout. Nobody reading any more is no error.
    ///
    /// # Errors
    /// [`Failure::Broken`] when stdout cannot be written, for instance because the disk is full.
    pub fn result(&self, text: &str) -> Result<(), Failure> {
        let mut stdout = io::stdout().lock();
        match stdout
            .write_all(text.as_bytes())
            .and_then(|()| stdout.flush())
        {
            Err(error) if error.kind() != ErrorKind::BrokenPipe => Err(error)
                .context("writing the result to stdout")
                .map_err(Failure::Broken),
            _ => Ok(()),
        }
    }

    /// Writes a line for the user to stderr, unless quiet.
    pub fn note(&self, line: &str) {
        if self.is_for_programs() {
            self.event("note", json!({ "text": line }));
        } else if !self.is_quiet {
            // There is nobody left to tell if stderr is gone.
            let _ = writeln!(io::stderr(), "{line}");
        }
    }

    /// Tells why a command failed.
    pub(super) fn failure(&self, failure: &Failure) {
        let text = match failure {
            Failure::Wrong(error) | Failure::Broken(error) => {
                format!("{} {error:#}\n", self.bold("error:"))
            }
            Failure::Study(faults) => {
                let mut text = String::new();
                for fault in faults {
                    text += &format!("{fault}\n").replacen(
                        &fault.place.to_string(),
                        &self.bold(&fault.place.to_string()),
                        1,
                    );
                }
                let count = faults.len();
                let plural = if count == 1 { "error" } else { "errors" };
                text + &format!("{count} {plural}; nothing was run or written\n")
            }
        };
        let text = if self.is_for_programs() {
            progress_events::line("failed", json!({ "text": text.trim_end() }))
        } else {
            text
        };
        let _ = io::stderr().write_all(text.as_bytes());
    }

    fn bold(&self, text: &str) -> String {
        if self.is_stderr_coloured && !self.is_for_programs() {
            format!("\u{1b}[1m{text}\u{1b}[0m")
        } else {
            text.to_owned()
        }
    }
}

/// Whether a locale has other letters than Unicode: `C`, `POSIX`, or another character set behind its point.
fn is_plain(locale: &str) -> bool {
    let set = locale.split_once('.').map(|(_, set)| set);
    let set = set.and_then(|set| set.split('@').next());
    match set {
        Some(set) => !["utf-8", "utf8"].contains(&set.to_ascii_lowercase().as_str()),
        None => ["C", "POSIX"].contains(&locale),
    }
}

/// Whether the terminal can do nothing but print lines.
fn is_dumb() -> bool {
    env::var_os("TERM").is_some_and(|value| value == "dumb")
}

/// Columns of the terminal that stderr goes to; 80 where nothing is known.
pub(super) fn stderr_width() -> usize {
    terminal_size::terminal_size_of(io::stderr()).map_or(80, |(width, _)| usize::from(width.0))
}

/// A path as it can be typed in a shell: in quotation marks where it needs them.
pub(super) fn as_typed(path: &Path) -> String {
    let path = path.display().to_string();
    let is_plain = |c: char| c.is_alphanumeric() || "-_./+=:,@%\\~".contains(c);
    if path.chars().all(is_plain) {
        path
    } else if path.contains('\'') {
        // Single quotation marks end at the next one; double ones take it.
        format!("\"{path}\"")
    } else {
        format!("'{path}'")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_locale_tells_whether_there_are_more_letters_than_ascii() {
        for plain in ["C", "POSIX", "de_DE.ISO-8859-1", "de_DE.ISO8859-15@euro"] {
            assert!(is_plain(plain), "{plain}");
        }
        for rich in ["C.UTF-8", "en_GB.utf8", "ja_JP.UTF-8@x", "de_DE"] {
            assert!(!is_plain(rich), "{rich}");
        }
    }
}
