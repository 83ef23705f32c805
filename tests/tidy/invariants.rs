//! Who opens files, prints, reads the clock or the environment, ends the process, and which crate belongs to which module.

use crate::source::Source;

/// What only some modules may do: the words that show it, what it is, and who may.
const RESERVED: &[(&[&str], &str, &[&str])] = &[
    (
        &["std::fs", "fs::", "File::", "OpenOptions", "tempfile::"],
        "opens files",
        &["store", "cli"],
    ),
    (
        &[
            "println!",
            "print!",
            "eprintln!",
            "eprint!",
            "dbg!",
            "stdout",
            "stderr",
        ],
        "prints",
        &["cli", "main"],
    ),
    (
        &[
            "Instant::now",
            "SystemTime::now",
            "std::env",
            "env::var",
            "env::args",
            "stdin",
        ],
        "reads the clock or the environment",
        &["cli", "main"],
    ),
    (
        &["process::exit", "process::abort", "ExitCode"],
        "ends the process",
        &["cli", "main"],
    ),
    (
        &["std::net", "process::Command"],
        "reaches out of the process",
        &[],
    ),
    (
        &[
            "anyhow::",
            "clap::",
            "ctrlc::",
            "jiff::",
            "indicatif::",
            "terminal_size::",
        ],
        "uses a crate of the command line",
        &["cli"],
    ),
    (&["vtkio::"], "uses the writer of fields", &["vtk"]),
    (
        &["png::", "ab_glyph::", "gif::", "jpeg_encoder::"],
        "uses a crate for pictures",
        &["picture"],
    ),
    (
        &["maud::", "plotters::", "plotters_backend::"],
        "uses a crate of the report",
        &["document"],
    ),
    (
        &["base64::"],
        "writes or reads base 64",
        &["document", "vtk"],
    ),
    (
        &["boolmesh::", "spade::", "svg::Document", "threemf2::"],
        "makes a part to print",
        &["part"],
    ),
    (&["flate2::"], "reads packed fields", &["vtk"]),
    (&["toml::"], "reads or writes TOML", &["study"]),
    (&["multiversion::"], "chooses vector units", &["lattice"]),
    (
        &["rayon::"],
        "starts threads",
        &["lattice", "measure", "run"],
    ),
];

/// Whether `word` stands in `line` as a word of its own.
fn has_word(line: &str, word: &str) -> bool {
    let is_part = |c: char| c.is_ascii_alphanumeric() || c == '_';
    line.match_indices(word).any(|(place, _)| {
        let goes_on = word.ends_with(is_part) && line[place + word.len()..].starts_with(is_part);
        !line[..place].ends_with(is_part) && !goes_on
    })
}

/// Uses of reserved words outside the modules that may use them; tests within a file are free.
pub(crate) fn faults(sources: &[Source]) -> Vec<String> {
    let mut faults = Vec::new();
    for source in sources {
        let module = source.module().unwrap_or("lib");
        for (number, line) in source.code_outside_tests() {
            for (words, what, who) in RESERVED {
                if let Some(word) = words.iter().find(|word| has_word(line, word))
                    && !who.contains(&module)
                {
                    let path = &source.path;
                    faults.push(format!(
                        "{path}:{number}: `{word}`: `{module}` {what}, which only {who:?} may"
                    ));
                }
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(path: &str, text: &str) -> usize {
        faults(&[Source::new(path, text)]).len()
    }

    #[test]
    fn each_reserved_word_is_seen() {
        for (words, _, who) in RESERVED {
            for word in *words {
                assert!(
                    count("src/units.rs", &format!("    let a = {word};")) >= 1,
                    "{word}"
                );
                for module in *who {
                    let path = format!("src/{module}.rs");
                    let found = faults(&[Source::new(&path, &format!("{word}new()"))]);
                    assert!(
                        found
                            .iter()
                            .all(|fault| !fault.contains(&format!("`{word}`"))),
                        "{found:?}"
                    );
                }
            }
        }
    }

    #[test]
    fn parts_of_words_comments_and_tests_are_free() {
        assert_eq!(
            count("src/run/batch/mod.rs", "let x = Instantaneous; // Instant"),
            0
        );
        assert_eq!(
            count("src/run/batch/mod.rs", "mod tests {\n    use std::fs;\n}"),
            0
        );
        assert_eq!(
            count("src/run/batch/mod.rs", "use std::fs;\nmod tests {\n}"),
            1
        );
    }
}
