//! The pages for a reader, `README.md` and `cases/*/README.md`: their links lead somewhere, the first is short, and the study in it is one.

#![expect(clippy::unwrap_used, reason = "a test may stop at what cannot be")]

use std::fs;
use std::path::Path;

use crate::readme::{blocks, readme, ventwright};

/// Most lines of the page that a newcomer reads, and of the study in it.
const MOST_LINES: usize = 200;
const MOST_STUDY_LINES: usize = 10;

pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR"))
}

/// Path from the root and text of each page.
pub(crate) fn pages() -> Vec<(String, String)> {
    let mut pages = vec![("README.md".to_owned(), readme())];
    for entry in fs::read_dir(root().join("cases")).unwrap() {
        let name = entry.unwrap().file_name().into_string().unwrap();
        let path = format!("cases/{name}/README.md");
        if let Ok(text) = fs::read_to_string(root().join(&path)) {
            pages.push((path, text));
        }
    }
    pages.sort();
    pages
}

/// Targets of the links and pictures of a text that are no addresses on the network.
fn links(text: &str) -> Vec<&str> {
    let targets = text.split("](").skip(1);
    targets
        .filter_map(|rest| rest.split(')').next())
        .filter(|target| !target.starts_with("https://"))
        .collect()
}

/// The part of a link after `#` that leads to a heading, as hosts of Markdown make it.
fn anchor(heading: &str) -> String {
    let heading = heading.trim_start_matches('#').trim().to_lowercase();
    let kept = heading.chars().filter_map(|c| match c {
        ' ' => Some('-'),
        c if c.is_alphanumeric() || c == '-' || c == '_' => Some(c),
        _ => None,
    });
    kept.collect()
}

/// Links of a page, by its path from the root, that lead nowhere.
fn dead_links(path: &str, text: &str) -> Vec<String> {
    let folder = root().join(path).parent().unwrap().to_owned();
    let is_dead = |link: &&str| {
        let (file, wanted) = link.split_once('#').unwrap_or((link, ""));
        let target = folder.join(file);
        if wanted.is_empty() {
            return !target.is_file();
        }
        let page = fs::read_to_string(target).unwrap_or_default();
        let mut headings = page.lines().filter(|line| line.starts_with('#'));
        !headings.any(|heading| anchor(heading) == wanted)
    };
    let dead = links(text).into_iter().filter(is_dead);
    dead.map(|link| format!("{path}: {link}")).collect()
}

#[test]
fn every_link_leads_somewhere() {
    let pages = pages();
    for (path, text) in &pages {
        assert_eq!(dead_links(path, text), Vec::<String>::new());
    }
    // Every page is found from the first one.
    let first = links(&pages[0].1);
    for (path, _) in &pages[1..] {
        assert!(
            first.contains(&path.as_str()),
            "README.md leaves out {path}"
        );
    }
    let broken = "[a](cases/none.md) [b](README.md#no-such-part) [c](README.md#licence)";
    assert_eq!(dead_links("README.md", broken).len(), 2);
}

#[test]
fn the_readme_is_short() {
    let line_count = readme().lines().count();
    assert!(line_count <= MOST_LINES, "{line_count} lines");
}

#[test]
fn the_study_in_the_readme_is_short_and_right() {
    let mut studies = blocks(&readme());
    studies.retain(|block| block.language == "toml");
    let [study] = &studies[..] else {
        panic!("{} studies", studies.len());
    };
    assert!(study.lines.len() <= MOST_STUDY_LINES);
    let folder = tempfile::tempdir().unwrap();
    fs::write(folder.path().join("my-fan.toml"), study.lines.join("\n")).unwrap();
    let checked = ventwright(folder.path(), &["check", "my-fan.toml"]);
    let said = String::from_utf8_lossy(&checked.stderr);
    assert!(checked.status.success(), "{said}");
    let sheet = String::from_utf8(checked.stdout).unwrap();
    for grille in ["hexagons", "round holes", "rings"] {
        assert!(sheet.contains(grille), "no {grille} in\n{sheet}");
    }
}
