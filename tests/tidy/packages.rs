//! The packages of others: under which licences they may join, where they come from, and which of them stay in spite of a known fault.

use std::collections::BTreeSet;
use std::process::Command;

use serde_json::Value;
use spdx::{Expression, LicenseReq};

/// Licences that ask for no more than a notice, or for the source of changed files.
const ALLOWED: [&str; 10] = [
    "0BSD",
    "Apache-2.0",
    "BSD-3-Clause",
    "BSL-1.0",
    "ISC",
    "MIT",
    "MIT-0",
    "MPL-2.0",
    "Unicode-3.0",
    "Zlib",
];

/// Licences of single packages besides, and why that is well.
const ALLOWED_FOR: [(&str, &str, &str); 1] = [(
    "jpeg-encoder",
    "IJG",
    "asks that its papers be named beside a program: README does",
)];

/// The one place that packages come from.
const REGISTRY: &str = "registry+https://github.com/rust-lang/crates.io-index";

/// Packages with a known fault that stay, the version that has it, and why it does no harm.
const EXCUSED: [(&str, &str, &str); 2] = [
    (
        "quick-xml",
        "0.36.",
        "two advisories about hostile input; it sits behind vtkio, which only writes here: no VTK file is ever read by the program",
    ),
    (
        "ttf-parser",
        "0.25.",
        "no longer kept; it reads the one font that is built into the program, never a file of the user's",
    ),
];

/// A package that is built here.
struct Package {
    name: String,
    version: String,
    licence: String,
    source: Option<String>,
}

/// Every package that a build for this machine takes, tests and benches included.
fn packages() -> Vec<Package> {
    let host = Command::new("rustc").arg("-vV").output().unwrap();
    let host = String::from_utf8(host.stdout).unwrap();
    let host = host.lines().find_map(|line| line.strip_prefix("host: "));
    let told = Command::new(env!("CARGO"))
        .args(["metadata", "--format-version=1", "--locked", "--offline"])
        .args(["--filter-platform", host.unwrap()])
        .current_dir(crate::source::root())
        .output()
        .unwrap();
    assert!(
        told.status.success(),
        "{}",
        String::from_utf8_lossy(&told.stderr)
    );
    let told: Value = serde_json::from_slice(&told.stdout).unwrap();
    let text = |package: &Value, key: &str| package[key].as_str().map(str::to_owned);
    let packages = told["packages"].as_array().unwrap().iter();
    packages
        .map(|package| Package {
            name: text(package, "name").unwrap(),
            version: text(package, "version").unwrap(),
            licence: text(package, "license").unwrap_or_default(),
            source: text(package, "source"),
        })
        .collect()
}

/// What is wrong with a package.
fn faults(package: &Package) -> Vec<String> {
    let Package { name, version, .. } = package;
    let mut faults = Vec::new();
    // Some old packages write a stroke for OR.
    let licence = package.licence.replace('/', " OR ");
    let is_allowed = |asked: &LicenseReq| {
        let asked = asked.to_string();
        let beside = ALLOWED_FOR.iter();
        ALLOWED.contains(&asked.as_str())
            || beside
                .clone()
                .any(|(of, licence, _)| of == name && *licence == asked)
    };
    let expression = Expression::parse(&licence);
    if !expression.is_ok_and(|expression| expression.evaluate(is_allowed)) {
        faults.push(format!("{name} {version}: licence {:?}", package.licence));
    }
    // The project itself comes from nowhere.
    let is_known = |source: &String| source == REGISTRY;
    if name != env!("CARGO_PKG_NAME") && !package.source.as_ref().is_some_and(is_known) {
        faults.push(format!("{name} {version}: from {:?}", package.source));
    }
    faults
}

#[test]
fn packages_come_from_the_registry_under_licences_that_may_join() {
    let packages = packages();
    assert!(packages.len() > 100, "{}", packages.len());
    let faults: Vec<String> = packages.iter().flat_map(faults).collect();
    assert!(faults.is_empty(), "{faults:#?}");
}

#[test]
fn no_package_is_excused_that_is_gone() {
    let packages = packages();
    let stale = EXCUSED.iter().filter(|(name, version, why)| {
        assert!(
            why.contains("; "),
            "{name}: say what is wrong, and why it does no harm"
        );
        let mut found = packages.iter().filter(|package| package.name == *name);
        !found.any(|package| package.version.starts_with(version))
    });
    let stale: BTreeSet<&str> = stale.map(|(name, ..)| *name).collect();
    assert!(stale.is_empty(), "{stale:?}");
}

#[test]
fn odd_packages_are_found() {
    let package = |licence: &str, source: Option<&str>| Package {
        name: "odd".to_owned(),
        version: "1.0.0".to_owned(),
        licence: licence.to_owned(),
        source: source.map(str::to_owned),
    };
    let count = |licence: &str, source: Option<&str>| faults(&package(licence, source)).len();
    assert_eq!(count("MIT/Apache-2.0", Some(REGISTRY)), 0);
    assert_eq!(count("GPL-3.0-only OR MIT", Some(REGISTRY)), 0);
    assert_eq!(count("GPL-3.0-only", Some(REGISTRY)), 1);
    assert_eq!(count("MIT AND IJG", Some(REGISTRY)), 1);
    assert_eq!(count("", Some(REGISTRY)), 1);
    assert_eq!(count("MIT", Some("git+https://example.org/odd")), 1);
    assert_eq!(count("MIT", None), 1);
}
