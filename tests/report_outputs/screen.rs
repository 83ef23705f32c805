//! The first screen, as it stands on a terminal.

use crate::samples::{
    demo, exhaust, failed, given_flow, grille, likely, night, study, tie, warning, with_panel,
};
use unicode_width::UnicodeWidthStr;
use ventwright::report::details::Detail;
use ventwright::report::screen::{Pointer, ScreenOptions, write_screen};
use ventwright::result::StudyResult;
use ventwright::units::{FlowUnit, PressureUnit};

const PLAIN: ScreenOptions = ScreenOptions {
    width: 80,
    has_colour: false,
    is_ascii: false,
    details: &[],
    profiles: None,
    files: &[
        Pointer {
            what: "results/desk-fan-140/ranking.csv",
            why: "this table for a spreadsheet",
        },
        Pointer {
            what: "results/desk-fan-140/runs/wide-triangles-0123456789ab/picture.png",
            why: "where the air slows down",
        },
    ],
    next: Some(Pointer {
        what: "ventwright run desk-fan-140.toml --quality standard",
        why: "holes in 3D, about 40 min",
    }),
};

/// With all details.
const DETAILED: ScreenOptions = ScreenOptions {
    details: &Detail::ALL,
    ..PLAIN
};

fn screen(result: &StudyResult, options: &ScreenOptions) -> String {
    let mut out = Vec::new();
    write_screen(result, options, &mut out).unwrap();
    String::from_utf8(out).unwrap()
}

/// Forty grilles, neighbours tied.
fn many() -> StudyResult {
    let grilles = (0..40).map(|i| {
        grille(
            &format!("series-{:02}", i + 1),
            i + 1,
            97.0 - 0.6 * f64::from(i),
            1.2,
            0.4 + 0.05 * f64::from(i),
        )
    });
    let mut result = study(grilles.collect());
    for i in 0..39 {
        tie(
            &mut result,
            &[
                &format!("series-{:02}", i + 1),
                &format!("series-{:02}", i + 2),
            ],
        );
    }
    result
}

fn awkward_names() -> StudyResult {
    let names = [
        "ファンの六角形格子",
        "решётка с шестиугольниками",
        "<script>alert(1)</script>",
        "a\u{1b}[31m red\nline",
        "",
        "x",
    ];
    let mut grilles: Vec<_> = (0_u32..)
        .zip(names)
        .map(|(i, name)| grille(name, i + 1, 95.0 - 4.0 * f64::from(i), 1.0, 0.6))
        .collect();
    grilles.push(grille(&"very long name ".repeat(14), 7, 60.0, 3.0, 8.0));
    grilles.push(grille(&"格".repeat(90), 8, 55.0, 3.0, 8.0));
    let mut result = study(grilles);
    result.study = "s".repeat(200);
    result
}

fn warm() -> StudyResult {
    let mut result = study(vec![grille("hexagons", 1, 96.1, 0.4, 0.55)]);
    result.heat_load_w = Some(300.0);
    result.bare_temperature_rise_k = Some(9.3);
    result
}

#[test]
fn the_demo_at_80_columns() {
    insta::assert_snapshot!(screen(&demo(), &PLAIN));
}

#[test]
fn the_demo_at_120_columns() {
    insta::assert_snapshot!(screen(
        &demo(),
        &ScreenOptions {
            width: 120,
            ..PLAIN
        }
    ));
}

#[test]
fn the_demo_in_ascii_at_60_columns() {
    let text = screen(
        &demo(),
        &ScreenOptions {
            width: 60,
            is_ascii: true,
            ..PLAIN
        },
    );
    assert!(text.is_ascii());
    insta::assert_snapshot!(text);
}

#[test]
fn a_given_flow_at_80_columns() {
    insta::assert_snapshot!(screen(&given_flow(), &PLAIN));
}

#[test]
fn a_given_flow_at_120_columns() {
    insta::assert_snapshot!(screen(
        &given_flow(),
        &ScreenOptions {
            width: 120,
            ..PLAIN
        }
    ));
}

#[test]
fn one_grille_with_a_heat_load() {
    insta::assert_snapshot!(screen(&warm(), &DETAILED));
}

#[test]
fn behind_a_fan_with_a_meter() {
    insta::assert_snapshot!(screen(&exhaust(), &DETAILED));
}

#[test]
fn a_panel_two_fans_and_a_rig() {
    insta::assert_snapshot!(screen(&with_panel(), &DETAILED));
}

#[test]
fn forty_grilles() {
    insta::assert_snapshot!(screen(&many(), &PLAIN));
}

#[test]
fn a_hundred_and_twenty_grilles_keep_their_places_and_ties() {
    let name = |i: u32| format!("n{i}");
    let grilles = (1..=120).map(|i| grille(&name(i), i, 97.0 - 0.2 * f64::from(i), 0.3, 1.0));
    let mut result = study(grilles.collect());
    for i in 1..120 {
        tie(&mut result, &[&name(i), &name(i + 1)]);
    }
    let short = screen(&result, &PLAIN);
    assert!(short.contains("\n110 more: --details table\n"), "{short}");
    assert!(short.lines().count() <= 30, "{short}");
    let options = ScreenOptions {
        details: &[Detail::Table],
        ..PLAIN
    };
    let text = screen(&result, &options);
    assert!(text.contains("\n119  +   n120 "), "{text}");
    assert!(text.contains("\n 52  Z+  n53 "), "{text}");
    assert!(text.contains("+ more"));
}

#[test]
fn nothing_valid() {
    let result = study(vec![failed("hair-fine slots"), failed("mesh")]);
    insta::assert_snapshot!(screen(&result, &PLAIN));
}

#[test]
fn awkward_names_at_80_columns() {
    insta::assert_snapshot!(screen(&awkward_names(), &PLAIN));
}

#[test]
fn a_warning_is_told_once_with_all_who_have_it() {
    let mut result = demo();
    for grille in &mut result.grilles[..5] {
        let few = warning(
            "few-cells",
            "the gap is 18 cells wide",
            "choose a higher quality",
        );
        grille.runs[0].warnings.push(few.clone());
        grille.warnings.push(few);
    }
    let text = screen(
        &result,
        &ScreenOptions {
            width: 160,
            ..DETAILED
        },
    );
    assert_eq!(
        text.matches("the gap is 18 cells wide").count(),
        1,
        "{text}"
    );
    assert!(
        text.contains("wide triangles, hexagons, leaned slots and 2 more: the gap is 18"),
        "{text}"
    );
}

#[test]
fn warnings_with_other_numbers_are_all_told() {
    let mut result = demo();
    for (grille, distance) in result.grilles.iter_mut().zip([5, 10, 80, 5]) {
        grille.warnings.push(warning(
            "finger-distance",
            &format!("fingers: {distance} mm or more to the blades"),
            "look it up",
        ));
    }
    let text = screen(
        &result,
        &ScreenOptions {
            width: 160,
            ..DETAILED
        },
    );
    let told = "fingers: 5 (wide triangles and rings), 10 (hexagons), 80 (leaned slots) mm or more to the blades; look it up.";
    assert!(text.contains(told), "{text}");
}

/// Eight grilles with fabrics, the longest that a screen of 24 lines has to hold.
fn eight() -> StudyResult {
    let mut result = study(
        (0..8)
            .map(|i| {
                let percent = 90.0 - 2.0 * f64::from(i);
                grille(&format!("hexagons {i} mm"), 1 + i, percent, 2.0, 1.0)
            })
            .collect(),
    );
    let names: Vec<String> = result.grilles.iter().map(|it| it.name.clone()).collect();
    tie(&mut result, &[&names[0], &names[1], &names[2]]);
    let first = result.grilles[0].named();
    result.what_if = with_panel().what_if;
    for row in &mut result.what_if.as_mut().unwrap().rows {
        row.grille = first.clone();
    }
    result.blade_gap_mm = None;
    result.grilles[0].warnings.push(warning(
        "thin-rib",
        "zone 1: the thinnest wall between holes is 0.70 mm",
        "walls of 0.8 mm or more print reliably",
    ));
    result
}

#[test]
fn eight_grilles_fit_into_24_lines_of_80_columns() {
    let text = screen(&eight(), &PLAIN);
    assert!(
        text.lines().count() <= 24,
        "{}\n{text}",
        text.lines().count()
    );
    for part in [
        "Print hexagons 0 mm",
        "Why: ",
        "Fabrics on",
        "Fingers: ",
        "Printing ",
        "Simplified tool",
        "Biggest doubt: ",
        "Next: ",
    ] {
        assert!(text.contains(part), "{part} is missing in\n{text}");
    }
    insta::assert_snapshot!(text);
}

#[test]
fn details_come_by_name() {
    let of = |details: &[Detail]| screen(&demo(), &ScreenOptions { details, ..PLAIN });
    assert!(!of(&[]).contains("\nTies "));
    let ties = of(&[Detail::Ties]);
    assert!(ties.contains("\nTies ") && !ties.contains("\nDefinitions "));
    assert!(of(&[Detail::Meter]).contains("nothing of that in this study"));
}

#[test]
fn flows_stand_in_the_units_of_the_study() {
    let mut result = demo();
    result.output_units.flow = FlowUnit::CubicFeetPerMinute;
    result.output_units.pressure = PressureUnit::MillimetresOfWater;
    let text = screen(&result, &PLAIN);
    assert!(text.contains("bare fan 57 CFM (54 to 59)"), "{text}");
    assert!(
        text.contains("CFM mmH2O") && !text.contains("m³/h"),
        "{text}"
    );
}

#[test]
fn no_line_is_wider_than_the_screen() {
    for result in [
        demo(),
        with_panel(),
        given_flow(),
        many(),
        awkward_names(),
        warm(),
        study(Vec::new()),
    ] {
        for width in 60..=160 {
            for is_ascii in [false, true] {
                let options = ScreenOptions {
                    width,
                    is_ascii,
                    files: &[],
                    next: None,
                    ..DETAILED
                };
                for line in screen(&result, &options).lines() {
                    assert!(
                        line.width() <= width,
                        "{width}: {} columns in {line:?}",
                        line.width()
                    );
                }
            }
        }
    }
}

#[test]
fn colour_adds_nothing_but_codes() {
    for result in [demo(), given_flow(), study(vec![failed("mesh")])] {
        let coloured = screen(
            &result,
            &ScreenOptions {
                has_colour: true,
                ..PLAIN
            },
        );
        assert!(coloured.contains("\u{1b}[1m"));
        let mut stripped = coloured;
        for code in ["\u{1b}[0m", "\u{1b}[1m", "\u{1b}[33m", "\u{1b}[36m"] {
            stripped = stripped.replace(code, "");
        }
        let trimmed: Vec<&str> = stripped.lines().map(str::trim_end).collect();
        assert_eq!(trimmed.join("\n") + "\n", screen(&result, &PLAIN));
    }
}

#[test]
fn names_cannot_send_codes_to_the_terminal() {
    assert!(!screen(&awkward_names(), &PLAIN).contains('\u{1b}'));
}

#[test]
fn a_narrow_range_shows_its_decimals() {
    let mut result = study(vec![grille("hexagons", 1, 96.12, 0.05, 0.55)]);
    result.grilles[0].flow_percent = Some(likely(96.12, 0.05));
    assert!(screen(&result, &PLAIN).contains("96.12 (96.07–96.17)"));
}

#[test]
fn a_full_disk_is_reported() {
    struct Full;
    impl std::io::Write for Full {
        fn write(&mut self, _: &[u8]) -> std::io::Result<usize> {
            Err(std::io::ErrorKind::StorageFull.into())
        }
        fn flush(&mut self) -> std::io::Result<()> {
            Ok(())
        }
    }
    assert!(write_screen(&demo(), &PLAIN, Full).is_err());
}

#[test]
fn a_night_with_a_time_budget() {
    insta::assert_snapshot!(screen(&night(), &DETAILED));
}
