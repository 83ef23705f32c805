//! What documents must say: the heads of the validations, the reference tables, the map for developers.

use crate::source::Source;

/// Validations whose head names no source, no bound or no error seen.
///
/// A source is called so, or is a closed form, or a table in `tests/reference`. A bound is a tolerance or stands after "at least", "at most" or "within".
pub(crate) fn validation_faults(sources: &[Source]) -> Vec<String> {
    let wanted: [(&str, &[&str]); 3] = [
        ("its source", &["source", "closed form", ".csv`"]),
        (
            "its tolerance",
            &["tolerance", "at least", "at most", "within"],
        ),
        ("the error seen", &["seen"]),
    ];
    let mut faults = Vec::new();
    for source in sources {
        let is_claim = source.path.starts_with("tests/validation/")
            && source.path != "tests/validation/main.rs";
        if !is_claim {
            continue;
        }
        let head: String = source
            .text
            .lines()
            .take_while(|line| line.starts_with("//!"))
            .flat_map(|line| [line.trim_start_matches("//!"), " "])
            .collect::<String>()
            .to_lowercase();
        for (what, words) in wanted {
            if !words.iter().any(|word| head.contains(word)) {
                faults.push(format!("{}: its head does not name {what}", source.path));
            }
        }
    }
    faults
}

/// Files beside the `main.rs` of a test program that it does not declare: their tests would never run.
pub(crate) fn unused_modules(sources: &[Source]) -> Vec<String> {
    let mut faults = Vec::new();
    for program in sources {
        let Some(folder) = program.path.strip_suffix("main.rs") else {
            continue;
        };
        for source in sources {
            let name = source
                .path
                .strip_prefix(folder)
                .and_then(|name| name.strip_suffix(".rs"));
            let Some(name) = name.filter(|name| *name != "main" && !name.contains('/')) else {
                continue;
            };
            let declaration = format!("mod {name};");
            if !program.text.lines().any(|line| line == declaration) {
                faults.push(format!("{} has no `{declaration}`", program.path));
            }
        }
    }
    faults
}

/// Reference tables that the readme beside them does not name.
pub(crate) fn reference_faults(readme: &str, tables: &[String]) -> Vec<String> {
    tables
        .iter()
        .filter(|path| {
            let name = path.rsplit('/').next().unwrap_or(path);
            !readme.contains(name)
        })
        .map(|path| format!("{path} is not described in tests/reference/README.md"))
        .collect()
}

/// Differences between the map (`` | `module` | what it is | uses | ``) and the table of imports.
pub(crate) fn map_faults(guide: &str, table: &[(&str, &[&str])]) -> Vec<String> {
    let rows: Vec<(&str, Vec<&str>)> = guide
        .lines()
        .filter_map(|line| {
            let cells: Vec<&str> = line
                .strip_prefix("| `")?
                .trim_end_matches('|')
                .split(" | ")
                .collect();
            let [name, _, uses] = cells.as_slice() else {
                return None;
            };
            let uses = uses
                .split_whitespace()
                .filter(|word| *word != "nothing")
                .collect();
            Some((name.trim_end_matches('`'), uses))
        })
        .collect();
    let mut faults = Vec::new();
    if rows.len() != table.len() {
        faults.push(format!(
            "the map has {} rows, the table {}",
            rows.len(),
            table.len()
        ));
    }
    for ((name, uses), (wanted, allowed)) in rows.iter().zip(table) {
        if name != wanted || uses != allowed {
            faults.push(format!(
                "the map says {name} uses {uses:?}, the table {wanted} {allowed:?}"
            ));
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_that_miss_something_are_seen() {
        let count =
            |text: &str| validation_faults(&[Source::new("tests/validation/a.rs", text)]).len();
        assert_eq!(
            count("//! Source: a book. Tolerance 1 %.\n//! Seen: 0.3 %."),
            0
        );
        assert_eq!(count("//! Source: a book. Tolerance 1 %.\nfn seen() {}"), 1);
        assert_eq!(count("fn a() {}"), 3);
        let elsewhere = |path: &str| validation_faults(&[Source::new(path, "fn a() {}")]).len();
        assert_eq!(elsewhere("tests/validation/main.rs"), 0);
        assert_eq!(elsewhere("tests/common/flow.rs"), 0);
    }

    #[test]
    fn claims_that_no_program_takes_in_are_seen() {
        let text = "mod common;\n\nmod air;\n";
        let main = Source::new("tests/property/main.rs", text);
        let module = |path: &str| Source::new(path, "");
        let count = |path: &str| unused_modules(&[main.clone(), module(path)]).len();
        assert_eq!(count("tests/property/air.rs"), 0);
        assert_eq!(count("tests/property/fan.rs"), 1);
        assert_eq!(count("tests/common/fan.rs"), 0);
        assert_eq!(count("tests/fan.rs"), 0);
    }

    #[test]
    fn tables_without_a_description_are_seen() {
        let tables = [
            "tests/reference/a.csv".to_owned(),
            "tests/reference/fem/b.csv".to_owned(),
        ];
        assert_eq!(reference_faults("- `a.csv`: a book", &tables).len(), 1);
    }

    #[test]
    fn a_map_that_says_something_else_is_seen() {
        let table: &[(&str, &[&str])] = &[("units", &[]), ("lattice", &["units"])];
        let good = "| `units` | SI | nothing |\n| `lattice` | core | units |\n";
        assert!(map_faults(good, table).is_empty());
        assert_eq!(
            map_faults(&good.replace("core | units", "core | units fan"), table).len(),
            1
        );
        assert_eq!(map_faults("| `units` | SI | nothing |", table).len(), 1);
    }
}
