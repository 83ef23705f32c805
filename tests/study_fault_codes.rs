//! Every kind of fault has a fixed short code of its own, a message and a hint.

use std::collections::BTreeSet;
use std::fmt::Write as _;

use ventwright::fabric::BenchError;
use ventwright::fan::{CurveFault, CurveFaultKind, CurvePlace};
use ventwright::grille::GrilleError;
use ventwright::study::{FabricFault, FaultKind};

/// One fault of each kind.
#[expect(
    clippy::too_many_lines,
    reason = "a list of one of each, without any logic"
)]
fn examples() -> Vec<FaultKind> {
    vec![
        FaultKind::NotText { offset: 8 },
        FaultKind::TooLarge {
            bytes: 100_000_000,
            limit: 2_000_000,
        },
        FaultKind::Empty,
        FaultKind::NoViews,
        FaultKind::RakeWithoutLength {
            from_mm: 4.0,
            to_mm: 4.0,
        },
        FaultKind::StepAway {
            step: -0.5,
            from: 1.0,
            to: 3.0,
        },
        FaultKind::UnreadableFile {
            key: "curve",
            path: "fan.csv".to_owned(),
            reason: "there is no such file".to_owned(),
        },
        FaultKind::Syntax {
            message: "expected `=`".to_owned(),
            has_decimal_comma: true,
            has_bad_escape: false,
        },
        FaultKind::WrongType {
            key: "rib_mm".to_owned(),
            message: "string \"1\", expected a number".to_owned(),
        },
        FaultKind::UnknownKey {
            key: "ribs_mm".to_owned(),
            known: vec!["rib_mm"],
            stands_in: Vec::new(),
        },
        FaultKind::UnknownFormat {
            found: 0,
            supported: 1,
        },
        FaultKind::Missing {
            table: "[fan]",
            key: "bore_mm",
            hint: "give the diameter",
        },
        FaultKind::NeedsOneOf {
            table: "[fan]",
            keys: vec!["curve", "points"],
        },
        FaultKind::Excludes {
            key: "points",
            other: "curve",
        },
        FaultKind::OutOfRange {
            key: "rib_mm",
            value: 1e300,
            low: 0.2,
            high: 100.0,
            unit: " mm",
            hint: "give the rib",
        },
        FaultKind::NeitherZeroNor {
            key: "memory_gb",
            value: 0.001,
            least: 0.025,
            high: 4096.0,
            unit: " GB",
            hint: "give the memory",
        },
        FaultKind::NotFinite {
            key: "rib_mm",
            value: f64::NAN,
        },
        FaultKind::NotWhole {
            key: "bar_count",
            value: 9.5,
        },
        FaultKind::UnknownWord {
            key: "side",
            value: "intakes".to_owned(),
            allowed: vec!["intake", "exhaust"],
        },
        FaultKind::BadName {
            name: String::new(),
            reason: "is empty",
        },
        FaultKind::ReservedName {
            name: "Bare fan".to_owned(),
        },
        FaultKind::DuplicateName {
            name: "hexagons".to_owned(),
            first_line: 12,
        },
        FaultKind::NoGrille,
        FaultKind::TooManyGrilles {
            count: 344,
            limit: 200,
        },
        FaultKind::UnknownBase {
            base: "hexagon".to_owned(),
            known: vec!["hexagons".to_owned()],
        },
        FaultKind::CannotVary {
            key: "twist_deg",
            base: "hexagons".to_owned(),
        },
        FaultKind::NothingToVary { key: "rib_mm" },
        FaultKind::KeyNotForShape {
            key: "side_mm",
            shape: "round",
            wanted: "diameter_mm".to_owned(),
        },
        FaultKind::LayoutNotForShape {
            layout: "up-down",
            shape: "round",
        },
        FaultKind::MeansNothing {
            key: "twist_from",
            needed: "twist_deg",
        },
        FaultKind::SpeedFarOff {
            running: 9000.0,
            given: 1200.0,
        },
        FaultKind::SlotTooShort {
            length: 4.0,
            width: 10.0,
        },
        FaultKind::HubTooLarge {
            hub: 130.0,
            bore: 135.0,
        },
        FaultKind::NoClockTime {
            found: "7 in the morning".to_owned(),
        },
        FaultKind::ExitTooShort { count: 1 },
        FaultKind::ExitOutsideFan {
            radius: 12.0,
            low: 21.0,
            high: 67.5,
        },
        FaultKind::ExitNotRising {
            radius: 40.0,
            before: 50.0,
        },
        FaultKind::ExitWithoutAir,
        FaultKind::MeterBesideBore {
            position: 90.0,
            bore: 135.0,
        },
        FaultKind::UnknownGrille {
            name: "hexagon".to_owned(),
            known: vec!["hexagons".to_owned()],
        },
        FaultKind::NeedsBore { key: "hub_mm" },
        FaultKind::NothingLeft {
            border: 40.0,
            disc: 60.0,
            bore: 135.0,
        },
        FaultKind::EdgesTooDeep {
            grille: "hexagons".to_owned(),
            edges: 1.2,
            thickness: 1.0,
        },
        FaultKind::EdgeTooWide {
            grille: "hexagons".to_owned(),
            key: "front_edge",
            edge: 0.7,
            rib: 1.2,
        },
        FaultKind::ZoneInsideOut {
            inner: 130.0,
            outer: 120.0,
        },
        FaultKind::ZoneOutsideFace {
            key: "outer_diameter_mm",
            value: 140.0,
            low: 0.0,
            high: 131.0,
        },
        FaultKind::ZonesOverlap {
            inner: 70.0,
            other_outer: 80.0,
            other_line: 19,
        },
        FaultKind::Drawing {
            grille: "hexagons".to_owned(),
            error: GrilleError::NoZones,
        },
        FaultKind::Curve(CurveFault {
            place: CurvePlace::Whole,
            kind: CurveFaultKind::OnePoint,
        }),
        fabric_faults().remove(0),
        FaultKind::TooManyCells {
            grille: "hexagons".to_owned(),
            cells: 1e12,
            memory_bytes: 8e13,
            limit_bytes: 1.6e10,
        },
    ]
}

/// One fault of each kind that a fabric may have.
fn fabric_faults() -> Vec<FaultKind> {
    vec![
        FaultKind::Fabric(FabricFault::NameTwice {
            name: "slack".to_owned(),
            first_line: 8,
        }),
        FaultKind::Fabric(FabricFault::UnknownBase {
            base: "slak".to_owned(),
            known: vec!["slack".to_owned()],
        }),
        FaultKind::Fabric(FabricFault::Unknown {
            name: "nylons".to_owned(),
            known: vec!["stocking".to_owned()],
        }),
        FaultKind::Fabric(FabricFault::Shut {
            fabric: "knit".to_owned(),
            what: "loops",
            direction: "across",
            taken: 0.27,
            pitch: 0.25,
        }),
        FaultKind::Fabric(FabricFault::HolesMeet {
            pitch: 0.8,
            hole: 1.3,
        }),
        FaultKind::Fabric(FabricFault::Readings {
            fabric: "cloth".to_owned(),
            error: BenchError::OneVelocity {
                low: 1.0,
                high: 1.1,
            },
        }),
    ]
}

#[test]
fn each_kind_of_fault_has_a_code_of_its_own() {
    let mut examples = examples();
    examples.extend(fabric_faults().split_off(1));
    let codes: BTreeSet<&str> = examples.iter().map(FaultKind::code).collect();
    assert_eq!(codes.len(), examples.len(), "a code stands for two kinds");
    let mut text = String::new();
    for kind in &examples {
        let _ = write!(text, "{}\n  {kind}\n  hint: {}\n", kind.code(), kind.hint());
    }
    insta::assert_snapshot!("fault_codes", text);
}

#[test]
fn no_kind_of_fault_is_missing_above() {
    let faults = include_str!("../src/study/fault.rs");
    assert_eq!(count_kinds(faults, "FaultKind"), examples().len());
    let of_fabrics = include_str!("../src/study/fabric_fault.rs");
    assert_eq!(
        count_kinds(of_fabrics, "FabricFault"),
        fabric_faults().len()
    );
}

/// How many kinds an enum has.
fn count_kinds(source: &str, name: &str) -> usize {
    let start = format!("pub enum {name} {{");
    let (_, kinds) = source.split_once(&start).expect("the enum is there");
    let (kinds, _) = kinds.split_once("\n}\n").expect("the enum ends");
    let is_kind = |line: &&str| {
        line.strip_prefix("    ")
            .is_some_and(|line| line.starts_with(|c: char| c.is_ascii_uppercase()))
    };
    kinds.lines().filter(is_kind).count()
}

#[test]
fn messages_are_one_line_without_full_stop() {
    for kind in examples().into_iter().chain(fabric_faults()) {
        for text in [kind.to_string(), kind.hint()] {
            assert!(!text.contains('\n') && !text.ends_with('.'), "{text}");
            assert!(
                !text.starts_with(|c: char| c.is_ascii_uppercase()),
                "{text}"
            );
        }
    }
}
