//! Parts of a module that use one another in a circle.

use std::collections::{BTreeMap, BTreeSet};

use crate::source::Source;

/// Modules whose files (of `run`: whose folders) must not use one another in a circle, with parts that count as one: a run knows what it solves, and a view what it is told about its run.
pub(crate) const MODULES: [(&str, &[&str]); 2] = [("cli", &[]), ("run", &["planned", "views"])];

/// Circles among the parts of a module. A part is a file or folder right below the module; those in `together` count as the first of them.
pub(crate) fn circles(sources: &[Source], module: &str, together: &[&str]) -> Vec<String> {
    let part = |name: &str| -> String {
        let is_together = together.contains(&name);
        if is_together { together[0] } else { name }.to_owned()
    };
    let mut uses: BTreeMap<String, BTreeSet<String>> = BTreeMap::new();
    for source in sources {
        let below = source.path.strip_prefix(&format!("src/{module}/"));
        let Some(name) = below.and_then(|below| below.split('/').next()) else {
            continue;
        };
        let own = part(name.trim_end_matches(".rs"));
        let begin = format!("crate::{module}::");
        for (_, line) in source.code_outside_tests() {
            for (place, found) in line.match_indices(&begin) {
                let rest = &line[place + found.len()..];
                let end = rest.find(|c: char| !c.is_ascii_lowercase() && c != '_');
                let used = part(&rest[..end.unwrap_or(rest.len())]);
                if !used.is_empty() && used != own {
                    uses.entry(own.clone()).or_default().insert(used);
                }
            }
        }
    }
    // Whoever uses nothing that is left, or is used by nobody who is, is in no circle.
    loop {
        let left: BTreeSet<String> = uses.keys().cloned().collect();
        let wanted: BTreeSet<String> = uses.values().flatten().cloned().collect();
        for used in uses.values_mut() {
            used.retain(|name| left.contains(name));
        }
        uses.retain(|name, used| !used.is_empty() && wanted.contains(name));
        if uses.len() == left.len() {
            break;
        }
    }
    uses.iter()
        .map(|(name, used)| format!("src/{module}: `{name}` uses {used:?} in a circle"))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_circle_is_seen_and_a_line_is_not() {
        let file = |name: &str, used: &str| {
            Source::new(
                &format!("src/cli/{name}.rs"),
                &format!("use crate::cli::{used}::Thing;"),
            )
        };
        let line = [file("run", "night"), file("night", "clock")];
        assert!(circles(&line, "cli", &[]).is_empty());
        let circle = [
            file("run", "night"),
            file("night", "desk"),
            file("desk", "run"),
        ];
        assert_eq!(circles(&circle, "cli", &[]).len(), 3);
        assert!(circles(&circle, "cli", &["run", "night", "desk"]).is_empty());
    }

    #[test]
    fn a_folder_is_one_part_and_tests_do_not_count() {
        let inside = Source::new("src/run/film/set.rs", "use crate::run::film::clock::Clock;");
        let test = Source::new(
            "src/run/film/clock.rs",
            "mod tests {\n    use crate::run::batch::solve;\n}",
        );
        let back = Source::new("src/run/batch.rs", "use crate::run::film::Film;");
        assert!(circles(&[inside, test, back], "run", &[]).is_empty());
    }
}
