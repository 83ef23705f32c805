//! Runs behind a ranking whose files are gone.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use crate::cli::kept_fields::run_folder;
use crate::cli::terminal::as_typed;
use crate::result::StudyResult;
use crate::store::{RESULTS_FOLDER, RUN_FILE};

/// Which runs of the ranking in a results folder have lost their files, and how to get them again.
pub(super) fn lost_runs(folder: &Path, kept: &StudyResult) -> Option<String> {
    // From within, a folder is called `.`, which tells no folder above it.
    let is_named = folder.file_name().is_some();
    let whole = (!is_named).then(|| folder.canonicalize().ok()).flatten();
    let folder = whole.as_deref().unwrap_or(folder);
    let files = files(folder, kept);
    let lost: Vec<&PathBuf> = files.iter().filter(|file| !file.is_file()).collect();
    in_words(folder, &lost, files.len())
}

/// Where the numbers of every run behind the ranking should lie.
fn files(folder: &Path, kept: &StudyResult) -> BTreeSet<PathBuf> {
    let of_grilles = kept.grilles.iter().flat_map(|grille| &grille.runs);
    let views = kept
        .grilles
        .iter()
        .filter_map(|grille| grille.fan_view.as_ref());
    let views = views.chain(&kept.bare_fan_view).map(|view| &view.run);
    let runs = of_grilles.chain(views);
    runs.filter_map(|run| Some(run_folder(folder, &run.key)?.join(RUN_FILE)))
        .collect()
}

fn in_words(folder: &Path, lost: &[&PathBuf], count: usize) -> Option<String> {
    let first = lost.first()?.display();
    let others = match lost.len() - 1 {
        0 => String::new(),
        others => format!(" and {others} more"),
    };
    let study = as_typed(&folder.join("study.toml"));
    let results = folder
        .parent()
        .filter(|it| *it != Path::new(RESULTS_FOLDER));
    let results = results.map_or_else(String::new, |results| {
        let results = if results.as_os_str().is_empty() {
            Path::new(".")
        } else {
            results
        };
        format!(" --results {}", as_typed(results))
    });
    Some(format!(
        "the ranking is whole, but {} of the {count} runs behind it have lost their files: {first}{others}; `ventwright run {study}{results}` makes them anew",
        lost.len()
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_lost_is_named_with_the_command_that_makes_it_anew() {
        let [a, b] =
            ["a", "b"].map(|key| PathBuf::from(format!("results/desk/runs/{key}/run.json")));
        assert_eq!(in_words(Path::new("results/desk"), &[], 3), None);
        assert_eq!(
            in_words(Path::new("results/desk"), &[&a, &b], 3).unwrap(),
            "the ranking is whole, but 2 of the 3 runs behind it have lost their files: results/desk/runs/a/run.json and 1 more; \
             `ventwright run results/desk/study.toml` makes them anew"
        );
        let elsewhere = in_words(Path::new("mine/desk"), &[&a], 3).unwrap();
        assert!(
            elsewhere
                .ends_with("`ventwright run mine/desk/study.toml --results mine` makes them anew")
        );
    }
}
