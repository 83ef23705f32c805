//! Texts of the project, with their paths below its root.

use std::path::{Path, PathBuf};

/// A text file.
#[derive(Clone)]
pub(crate) struct Source {
    /// Path below the root, with forward slashes.
    pub(crate) path: String,
    /// What it says.
    pub(crate) text: String,
}

impl Source {
    pub(crate) fn new(path: &str, text: &str) -> Self {
        Self {
            path: path.to_owned(),
            text: text.to_owned(),
        }
    }

    /// The module of the library that a path below `src` belongs to; `None` for `lib.rs`.
    pub(crate) fn module(&self) -> Option<&str> {
        let name = self.path.strip_prefix("src/")?.split('/').next()?;
        let name = name.strip_suffix(".rs").unwrap_or(name);
        (name != "lib").then_some(name)
    }

    /// Lines of code with their numbers, comments taken away.
    pub(crate) fn code(&self) -> impl Iterator<Item = (usize, &str)> {
        self.text
            .lines()
            .enumerate()
            .map(|(index, line)| (index + 1, without_comment(line)))
    }

    /// Lines of code outside `mod tests`, which stands last in its file.
    pub(crate) fn code_outside_tests(&self) -> impl Iterator<Item = (usize, &str)> {
        self.code().take_while(|(_, line)| *line != "mod tests {")
    }
}

/// The line up to `//`, unless that stands within a text.
fn without_comment(line: &str) -> &str {
    let mut from = 0;
    while let Some(found) = line[from..].find("//") {
        let place = from + found;
        if line[..place].matches('"').count().is_multiple_of(2) {
            return &line[..place];
        }
        from = place + 2;
    }
    line
}

/// The root of the project.
pub(crate) fn root() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR"))
}

/// Paths of all files below a folder of the project, sorted; none if there is no such folder.
fn files_below(folder: &str) -> Vec<String> {
    let mut found = Vec::new();
    let mut folders = vec![root().join(folder)];
    while let Some(folder) = folders.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else {
            continue;
        };
        for entry in entries {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else {
                let below = path.strip_prefix(root()).unwrap();
                found.push(below.to_str().unwrap().replace('\\', "/"));
            }
        }
    }
    found.sort();
    found
}

/// All texts below `folders` whose names end in one of `kinds`.
pub(crate) fn read(folders: &[&str], kinds: &[&str]) -> Vec<Source> {
    let is_wanted = |path: &str| {
        let kind = Path::new(path)
            .extension()
            .map_or("", |kind| kind.to_str().unwrap());
        kinds.contains(&kind)
    };
    folders
        .iter()
        .flat_map(|folder| files_below(folder))
        .filter(|path| is_wanted(path))
        .map(|path| {
            let bytes = std::fs::read(root().join(&path)).unwrap();
            Source {
                text: String::from_utf8_lossy(&bytes).into_owned(),
                path,
            }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn comments_are_taken_away_and_texts_are_not() {
        assert_eq!(without_comment("let a = 1; // crate::cli"), "let a = 1; ");
        assert_eq!(
            without_comment("let a = \"http://b\"; // c"),
            "let a = \"http://b\"; "
        );
        assert_eq!(without_comment("/// [`crate::run`]"), "");
    }

    #[test]
    fn modules_are_named_by_file_or_folder() {
        assert_eq!(Source::new("src/vtk.rs", "").module(), Some("vtk"));
        assert_eq!(Source::new("src/fan/curve.rs", "").module(), Some("fan"));
        assert_eq!(Source::new("src/lib.rs", "").module(), None);
    }
}
