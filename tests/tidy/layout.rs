//! How long files are, what they are called, what lies where, which words may not be left behind.

use crate::source::Source;

const LONGEST_FILE: usize = 600;
const LONGEST_MEDIAN: usize = 300;

const VAGUE_NAMES: [&str; 6] = ["utils", "util", "helpers", "helper", "common", "types"];

const TOP_LEVEL: [&str; 9] = [
    "Cargo.toml",
    "Cargo.lock",
    "README.md",
    "DEVELOPERS.md",
    "LICENSE",
    "src",
    "cases",
    "tests",
    "benches",
];

/// What a build or a study leaves at the top level; not in the repository (see `.gitignore`).
const LEFT_BEHIND: [&str; 2] = ["target", "results"];

const FORBIDDEN_WORDS: [(&str, &str); 8] = [
    ("todo!", "is not done yet"),
    ("unimplemented!", "is not done yet"),
    (concat!("FIX", "ME"), "is not done yet"),
    ("/home/", "names a place on one machine"),
    (concat!("/", "root", "/"), "names a place on one machine"),
    ("/Users/", "names a place on one machine"),
    ("/tmp/", "names a place on one machine"),
    (concat!("/", "work", "/"), "names a place on one machine"),
];

/// Files that are too long, and whether half of them are.
pub(crate) fn length_faults(sources: &[Source]) -> Vec<String> {
    let mut lengths: Vec<usize> = sources
        .iter()
        .map(|source| source.text.lines().count())
        .collect();
    let mut faults: Vec<String> = sources
        .iter()
        .zip(&lengths)
        .filter(|(_, length)| **length > LONGEST_FILE)
        .map(|(source, length)| format!("{}: {length} lines, at most {LONGEST_FILE}", source.path))
        .collect();
    lengths.sort_unstable();
    if let Some(&median) = lengths.get(lengths.len() / 2)
        && median >= LONGEST_MEDIAN
    {
        faults.push(format!(
            "half of the files have {median} lines or more, wanted below {LONGEST_MEDIAN}"
        ));
    }
    faults
}

/// Names that say nothing.
pub(crate) fn name_faults(sources: &[Source]) -> Vec<String> {
    sources
        .iter()
        .filter(|source| {
            source
                .path
                .split('/')
                .any(|part| VAGUE_NAMES.contains(&part.strip_suffix(".rs").unwrap_or(part)))
        })
        .map(|source| format!("{}: name it after its subject", source.path))
        .collect()
}

/// What does not belong to the top level, and what is missing there.
pub(crate) fn top_level_faults(names: &[String]) -> Vec<String> {
    let mut faults: Vec<String> = names
        .iter()
        .filter(|name| {
            let name = name.as_str();
            !name.starts_with('.') && !TOP_LEVEL.contains(&name) && !LEFT_BEHIND.contains(&name)
        })
        .map(|name| format!("{name} does not belong to the top level"))
        .collect();
    for wanted in TOP_LEVEL {
        if !names.iter().any(|name| name == wanted) {
            faults.push(format!("{wanted} is missing"));
        }
    }
    faults
}

/// Words that may not be left behind.
pub(crate) fn word_faults(sources: &[Source]) -> Vec<String> {
    let mut faults = Vec::new();
    for source in sources {
        for (index, line) in source.text.lines().enumerate() {
            for (word, why) in FORBIDDEN_WORDS {
                // `target/tmp/` is within the project.
                if line.replace("target/tmp/", "").contains(word) {
                    faults.push(format!("{}:{}: `{word}` {why}", source.path, index + 1));
                }
            }
        }
    }
    faults
}

/// Tests that are ignored and lints that are waived without a reason, in code or in examples of a doc comment.
pub(crate) fn waiver_faults(sources: &[Source]) -> Vec<String> {
    let mut faults = Vec::new();
    for source in sources {
        let text = &source.text;
        let mut report = |place: usize, what: &str| {
            let line = text[..place].matches('\n').count() + 1;
            faults.push(format!("{}:{line}: {what}", source.path));
        };
        for (place, found) in text.match_indices("#[ignore") {
            if !text[place + found.len()..].starts_with(" = \"") {
                report(place, "an ignored test needs its reason");
            }
        }
        for (place, _) in text.match_indices("```ignore") {
            report(place, "an example is compiled, or it is `text`");
        }
        let opening = ["#[allow(", "#![allow(", "#[expect(", "#![expect("];
        for pattern in opening {
            for (place, _) in text.match_indices(pattern) {
                let end = text[place..]
                    .find(")]")
                    .map_or(text.len(), |end| place + end);
                if !text[place..end].contains("reason = ") {
                    report(place, "a lint is waived without a reason");
                }
                // What several test programs share may be unused in one of them and used in another.
                if pattern.contains("allow") && !source.path.starts_with("tests/common/") {
                    report(place, "write `expect` instead of `allow`");
                }
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn of_length(lines: usize) -> Source {
        Source::new("src/a.rs", &"x\n".repeat(lines))
    }

    #[test]
    fn long_files_are_seen() {
        assert!(length_faults(&[of_length(600), of_length(10), of_length(10)]).is_empty());
        assert_eq!(
            length_faults(&[of_length(601), of_length(10), of_length(10)]).len(),
            1
        );
        assert_eq!(
            length_faults(&[of_length(300), of_length(300), of_length(10)]).len(),
            1
        );
    }

    #[test]
    fn vague_names_are_seen() {
        let names = [
            "src/utils.rs",
            "src/fan/types.rs",
            "src/common/mod.rs",
            "src/fan/curve.rs",
        ];
        assert_eq!(
            name_faults(&names.map(|name| Source::new(name, ""))).len(),
            3
        );
    }

    #[test]
    fn strangers_and_gaps_at_the_top_level_are_seen() {
        let mut names: Vec<String> = TOP_LEVEL.map(str::to_owned).to_vec();
        names.extend([".ci".to_owned(), "target".to_owned()]);
        assert!(top_level_faults(&names).is_empty());
        names.push("CHANGELOG.md".to_owned());
        names.retain(|name| name != "LICENSE");
        assert_eq!(top_level_faults(&names).len(), 2);
    }

    #[test]
    fn forbidden_words_are_seen() {
        for (word, _) in FORBIDDEN_WORDS {
            assert_eq!(
                word_faults(&[Source::new("README.md", &format!("see {word}x"))]).len(),
                1
            );
        }
        assert!(word_faults(&[Source::new("README.md", "see target/tmp/a.png")]).is_empty());
    }

    #[test]
    fn waivers_without_a_reason_are_seen() {
        let count = |text: &str| waiver_faults(&[Source::new("src/a.rs", text)]).len();
        assert_eq!(count("#[ignore]\nfn a() {}"), 1);
        assert_eq!(count("#[ignore = \"slow: 3 min\"]\nfn a() {}"), 0);
        assert_eq!(count("/// ```ignore\n/// a\n/// ```"), 1);
        assert_eq!(count("#![allow(dead_code)]"), 2);
        assert_eq!(count("#![allow(dead_code, reason = \"later\")]"), 1);
        assert_eq!(count("#[expect(dead_code)]"), 1);
        let shared = "#![allow(dead_code, reason = \"not every test needs it\")]";
        assert!(waiver_faults(&[Source::new("tests/common/flow.rs", shared)]).is_empty());
        assert_eq!(
            count("#[expect(\n    dead_code,\n    reason = \"for (later)\"\n)]"),
            0
        );
    }
}
