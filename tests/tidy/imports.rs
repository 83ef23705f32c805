//! Who may import whom.

use crate::source::Source;

/// Every module with the modules that it may import, in the order of `lib.rs`; a module may only name those above it.
///
/// A new module or a new arrow is a change of its own: here, in the map of `DEVELOPERS.md`, and in the message of the commit.
pub(crate) const TABLE: &[(&str, &[&str])] = &[
    ("units", &[]),
    ("text", &[]),
    ("checksum", &[]),
    ("likely", &[]),
    ("comparison", &["likely"]),
    (
        "rig",
        &["units", "text", "checksum", "likely", "comparison"],
    ),
    ("air", &[]),
    ("lattice", &["units"]),
    ("grille", &[]),
    ("part", &["grille"]),
    ("fan", &["units", "likely"]),
    ("meter", &[]),
    ("handbook", &[]),
    ("fabric", &["likely", "air", "handbook"]),
    (
        "study",
        &[
            "units", "text", "likely", "air", "grille", "fan", "meter", "fabric",
        ],
    ),
    ("tunnel", &["units", "lattice"]),
    ("measure", &["units", "lattice", "tunnel"]),
    ("ranking", &["likely", "comparison", "air", "fan"]),
    ("store", &["checksum"]),
    ("vtk", &[]),
    ("smoke", &[]),
    ("picture", &["checksum"]),
    (
        "fields",
        &["units", "grille", "tunnel", "measure", "vtk", "picture"],
    ),
    ("result", &["units", "likely", "comparison", "study"]),
    (
        "report",
        &[
            "units",
            "text",
            "checksum",
            "likely",
            "comparison",
            "rig",
            "result",
        ],
    ),
    (
        "document",
        &[
            "units",
            "likely",
            "comparison",
            "grille",
            "fan",
            "study",
            "ranking",
            "picture",
            "result",
            "report",
        ],
    ),
    (
        "run",
        &[
            "units",
            "text",
            "checksum",
            "likely",
            "comparison",
            "rig",
            "air",
            "lattice",
            "grille",
            "fan",
            "meter",
            "handbook",
            "fabric",
            "study",
            "tunnel",
            "measure",
            "ranking",
            "store",
            "vtk",
            "smoke",
            "picture",
            "fields",
            "result",
            "report",
        ],
    ),
    (
        "cli",
        &[
            "units",
            "text",
            "checksum",
            "likely",
            "comparison",
            "rig",
            "grille",
            "part",
            "fan",
            "handbook",
            "fabric",
            "study",
            "measure",
            "ranking",
            "store",
            "vtk",
            "picture",
            "fields",
            "result",
            "report",
            "document",
            "run",
        ],
    ),
];

/// The names after `crate::` in a line.
fn imported(line: &str) -> impl Iterator<Item = &str> {
    line.match_indices("crate::").map(|(place, found)| {
        let rest = &line[place + found.len()..];
        let end = rest
            .find(|c: char| !c.is_ascii_alphanumeric() && c != '_')
            .unwrap_or(rest.len());
        &rest[..end]
    })
}

/// Imports that the table does not allow, and ways of writing them that a search does not see.
pub(crate) fn forbidden_arrows(sources: &[Source]) -> Vec<String> {
    let mut faults = Vec::new();
    for source in sources {
        let Some(module) = source.module() else {
            continue;
        };
        let path = &source.path;
        let allowed = match TABLE.iter().find(|(name, _)| *name == module) {
            Some((_, allowed)) => *allowed,
            None if module == "main" => &[],
            None => {
                faults.push(format!("{path}: `{module}` is not in the table of imports"));
                continue;
            }
        };
        let is_top = source.path.matches('/').count() == 1 || path.ends_with("/mod.rs");
        for (number, line) in source.code() {
            if line.contains("crate::{") || line.contains("super::super") {
                faults.push(format!("{path}:{number}: write `use crate::NAME::...`"));
            }
            if is_top && line.starts_with("use super") {
                faults.push(format!(
                    "{path}:{number}: `super` is the crate here: write `crate::NAME`"
                ));
            }
            if module != "main" && line.contains("ventwright::") {
                faults.push(format!(
                    "{path}:{number}: write `crate::`, not the crate's own name"
                ));
            }
            for name in imported(line) {
                if !name.is_empty() && name != module && !allowed.contains(&name) {
                    faults.push(format!("{path}:{number}: `{module}` may not use `{name}`"));
                }
            }
        }
    }
    faults
}

/// Differences between the order of `lib.rs` and that of the table, and rows of the table that point downwards.
pub(crate) fn order_faults(lib: &str) -> Vec<String> {
    let mut faults = Vec::new();
    let declared: Vec<&str> = lib
        .lines()
        .filter_map(|line| line.strip_prefix("pub mod ")?.strip_suffix(';'))
        .collect();
    let listed: Vec<&str> = TABLE.iter().map(|(name, _)| *name).collect();
    if declared != listed {
        faults.push(format!(
            "lib.rs declares {declared:?}, the table lists {listed:?}"
        ));
    }
    for (place, (name, allowed)) in TABLE.iter().enumerate() {
        for used in *allowed {
            if !listed[..place].contains(used) {
                faults.push(format!(
                    "`{name}` uses `{used}`, which does not stand above it"
                ));
            }
        }
    }
    faults
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(path: &str, text: &str) -> usize {
        forbidden_arrows(&[Source::new(path, text)]).len()
    }

    #[test]
    fn a_forbidden_arrow_is_seen() {
        assert_eq!(
            count("src/lattice/step.rs", "use crate::grille::Grille;"),
            1
        );
        assert_eq!(
            count("src/lattice/step.rs", "let a = 2.0 * crate::study::LENGTH;"),
            1
        );
        assert_eq!(count("src/vtk.rs", "    use crate::units::Scale;"), 1);
        assert_eq!(
            count(
                "src/lattice/step.rs",
                "use crate::units::LatticeVelocity; // crate::cli"
            ),
            0
        );
        assert_eq!(
            count("src/lattice/step.rs", "use crate::lattice::field::Extent;"),
            0
        );
    }

    #[test]
    fn hidden_ways_to_import_are_seen() {
        assert_eq!(count("src/fan/curve.rs", "use crate::{units, air};"), 1);
        assert_eq!(count("src/fan/curve.rs", "use super::super::units;"), 1);
        assert_eq!(count("src/vtk.rs", "use super::units;"), 1);
        assert_eq!(count("src/fan/mod.rs", "use ventwright::units;"), 1);
    }

    #[test]
    fn an_unknown_module_is_seen() {
        assert_eq!(count("src/extra.rs", ""), 1);
    }

    #[test]
    fn another_order_is_seen() {
        let lib: Vec<String> = TABLE
            .iter()
            .map(|(name, _)| format!("pub mod {name};"))
            .collect();
        assert!(order_faults(&lib.join("\n\n")).is_empty());
        let mut turned = lib.clone();
        turned.swap(2, 3);
        assert_eq!(order_faults(&turned.join("\n")).len(), 1);
        assert_eq!(order_faults(&lib[1..].join("\n")).len(), 1);
    }
}
