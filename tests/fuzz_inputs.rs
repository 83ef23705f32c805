//! Whatever a file holds, reading it ends with a value or with faults: no panic, no hang.
//!
//! Inputs are the files of the project and texts of ours, mutated (bytes changed, pieces cut out, doubled, swapped and mixed from another text, words of the format strewn in),
//! and random TOML. The number of inputs each is 100,000, or what the environment variable `VENTWRIGHT_FUZZ_INPUTS` says. Inputs come from their number alone, so a failure names the
//! input that makes it again. No single input may take ten seconds.

#[path = "report_outputs/samples.rs"]
#[expect(
    dead_code,
    clippy::unwrap_used,
    reason = "only a part of it is needed, and a sample that cannot be made has failed"
)]
mod samples;

use std::fmt::Write as _;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::time::{Duration, Instant};

use rayon::prelude::*;
use ventwright::fan::FanCurve;
use ventwright::report::ranking_json::{read_ranking, write_ranking_json};
use ventwright::report::run_files::read_run;
use ventwright::rig::compare::compare;
use ventwright::rig::readings::read_readings;
use ventwright::rig::sealed::{Promised, PromisedDesign, Sealed, open, seal};
use ventwright::study::{Draft, name_trouble, starter};
use ventwright::text::is_bare_fan;

/// Longest time that one input may take.
const LONGEST: Duration = Duration::from_secs(10);

fn input_count() -> u64 {
    let asked = std::env::var("VENTWRIGHT_FUZZ_INPUTS").ok();
    asked.map_or(100_000, |count| {
        count.parse().expect("VENTWRIGHT_FUZZ_INPUTS is a number")
    })
}

/// Random numbers from a seed: splitmix64 (G. L. Steele, D. Lea, C. H. Flood, OOPSLA 2014).
struct Chance(u64);

impl Chance {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.next() % bound.max(1) as u64).unwrap_or(0)
    }

    fn pick<'a, T>(&mut self, items: &'a [T]) -> &'a T {
        &items[self.below(items.len())]
    }

    /// A number as somebody, or a broken program, may write it.
    fn number(&mut self) -> String {
        let odd = [
            "0",
            "-0",
            "nan",
            "inf",
            "-inf",
            "1e308",
            "-1e308",
            "1e-320",
            "9223372036854775807",
            "-9223372036854775808",
            "18446744073709551616",
            "1e999",
            "0.1.2",
            "1_000",
            "0x10",
            "1,5",
            "٣",
            "",
        ];
        match self.below(4) {
            0 => (*self.pick(&odd)).to_owned(),
            1 => format!("{}", self.below(2000)),
            2 => format!("{:.3}", self.below(1_000_000) as f64 / 1000.0 - 100.0),
            _ => format!("{}e{}", self.below(1000), self.below(40)),
        }
    }
}

/// Most changes of a text, one of which is picked: many reach odd places, few leave most of the text to be read.
const FEW_OR_MANY: [usize; 4] = [1, 1, 2, 8];

/// The same for studies: one that is right is drawn hole by hole, which takes a hundred times as long as one that is refused.
const MANY: [usize; 1] = [8];

/// A text made from one of `texts`, with bits of the others and of `words`.
fn mutated(chance: &mut Chance, texts: &[Vec<u8>], words: &[&str], changes: &[usize]) -> Vec<u8> {
    let mut text = chance.pick(texts).clone();
    let most = *chance.pick(changes);
    for _ in 0..=chance.below(most) {
        let (from, to) = (chance.below(text.len() + 1), chance.below(text.len() + 1));
        let (from, to) = (from.min(to), from.max(to));
        let short = from..to.min(from + 1 + chance.below(60));
        let at = chance.below(text.len() + 1);
        match chance.below(9) {
            0 if !text.is_empty() => {
                let at = chance.below(text.len());
                text[at] = chance.next().to_le_bytes()[0];
            }
            1 => drop(text.drain(short)),
            2 => {
                let piece = text[short].to_vec();
                text.splice(at..at, piece);
            }
            3 => {
                let other = chance.pick(texts).clone();
                let start = chance.below(other.len() + 1);
                let end = other.len().min(start + chance.below(200));
                text.splice(at..at, other[start..end].to_vec());
            }
            4 => {
                let word = chance.pick(words).as_bytes().to_vec();
                text.splice(at..at, word);
            }
            5 => {
                // A number in place of a number.
                let number = chance.number().into_bytes();
                if let Some(first) = (at..text.len()).find(|&i| text[i].is_ascii_digit()) {
                    let last = (first..text.len())
                        .find(|&i| !text[i].is_ascii_digit() && text[i] != b'.')
                        .unwrap_or(text.len());
                    text.splice(first..last, number);
                }
            }
            6 => {
                // A line for a line.
                let line = chance
                    .pick(texts)
                    .split(|byte| *byte == b'\n')
                    .nth(chance.below(30));
                let mut line = line.unwrap_or_default().to_vec();
                line.push(b'\n');
                text.splice(at..at, line);
            }
            7 => text.truncate(at),
            _ => {
                let number = chance.number().into_bytes();
                text.splice(at..at, number);
            }
        }
        text.truncate(100_000);
    }
    text
}

/// Reads every input; a panic or a hang is told with the number of its input.
#[expect(clippy::print_stdout, reason = "how many were read is worth knowing")]
fn fuzz(
    subject: &str,
    input: impl Fn(&mut Chance) -> Vec<u8> + Sync,
    read: impl Fn(&[u8]) -> bool + Sync,
) {
    let count = input_count();
    let begun = Instant::now();
    let good: usize = (0..count)
        .into_par_iter()
        .map(|number| {
            let text = input(&mut Chance(number.wrapping_mul(0xd134_2543_de82_ef95)));
            let begun = Instant::now();
            let read = catch_unwind(AssertUnwindSafe(|| read(&text)));
            let took = begun.elapsed();
            let shown = || String::from_utf8_lossy(&text).into_owned();
            assert!(
                read.is_ok(),
                "{subject}: input {number} makes it panic:\n{}",
                shown()
            );
            assert!(
                took < LONGEST,
                "{subject}: input {number} takes {took:?}:\n{}",
                shown()
            );
            usize::from(read.unwrap_or(false))
        })
        .sum();
    println!(
        "{subject}: {count} inputs, {good} of them good, {:.1} s",
        begun.elapsed().as_secs_f64()
    );
    // Mutations that leave nothing readable would test the first line of the reader only.
    assert!(good > 0, "{subject}: not one input was read");
}

fn project(file: &str) -> Vec<u8> {
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join(file);
    std::fs::read(path).expect("a file of the project")
}

fn study_texts() -> Vec<Vec<u8>> {
    // The long one explains in comments, which take the mutations away from the keys.
    let every_key = String::from_utf8(project("cases/every-key.toml")).expect("text");
    let bare: String = every_key
        .lines()
        .filter(|line| !line.trim_start().starts_with('#') && !line.trim().is_empty())
        .fold(String::new(), |mut text, line| {
            let _ = writeln!(text, "{line}");
            text
        });
    let starter = starter("fuzzed").into_bytes();
    vec![
        every_key.into_bytes(),
        bare.into_bytes(),
        starter,
        project("cases/quiet-desk/study.toml"),
    ]
}

const STUDY_WORDS: [&str; 28] = [
    "[fan]\n",
    "[[grille]]\n",
    "[grille.holes]\n",
    "[[series]]\n",
    "[run]\n",
    "[[fabric]]\n",
    "twist_deg = ",
    "lean_deg = 20\n",
    "points = [",
    "{ flow_m3_per_h = 1, pressure_pa = 2 },",
    "]",
    "}",
    "\"",
    "'''",
    "= ",
    "shape = \"slot\"\n",
    "shape = \"triangle\"\n",
    "[[panel]]\n",
    "zone = ",
    "true",
    "1979-05-27T07:32:00Z",
    "\u{feff}",
    "\u{202e}",
    "\r",
    "name = \"Bare fan\"\n",
    "name = \"\u{200b}\"\n",
    "1e308",
    "\\u12",
];

fn read_study(text: &[u8]) -> bool {
    let Ok(mut draft) = Draft::parse(text, "study.toml") else {
        return false;
    };
    draft.set_quality("quick");
    let curve = b"flow_m3_per_h,pressure_pa\n0,25\n60,14\n110,0\n";
    match draft.resolve(&mut |_| Ok(curve.to_vec())) {
        Ok(study) => {
            assert!(!study.to_toml().is_empty());
            let mut names = study.grilles.iter().map(|grille| &grille.name);
            assert!(names.all(|name| name_trouble(name).is_none() && !is_bare_fan(name)));
            true
        }
        Err(faults) => {
            assert!(!faults.is_empty());
            assert!(faults.iter().all(|fault| !fault.to_string().is_empty()));
            false
        }
    }
}

#[test]
#[ignore = "slow: 1 min"]
fn mutated_studies_are_read_or_refused() {
    let texts = study_texts();
    fuzz(
        "study",
        |chance| mutated(chance, &texts, &STUDY_WORDS, &MANY),
        read_study,
    );
}

/// Any TOML, with the words of a study in it or not.
fn random_toml(chance: &mut Chance, keys: &[String]) -> Vec<u8> {
    let mut text = "format = 1\n".repeat(usize::from(chance.below(4) > 0));
    for _ in 0..chance.below(14) {
        let key = chance.pick(keys).clone();
        match chance.below(5) {
            0 => {
                let _ = writeln!(text, "[{key}]");
            }
            1 => {
                let _ = writeln!(text, "[[{key}]]");
            }
            _ => {
                let _ = writeln!(text, "{key} = {}", random_value(chance, keys, 4));
            }
        }
    }
    text.into_bytes()
}

fn random_value(chance: &mut Chance, keys: &[String], depth: usize) -> String {
    match chance.below(if depth == 0 { 4 } else { 7 }) {
        0 | 1 => chance.number(),
        2 => format!("\"{}\"", chance.pick(keys)),
        3 => ["true", "false", "07:32:00", "''"][chance.below(4)].to_owned(),
        4 | 5 => {
            let items: Vec<String> = (0..chance.below(5))
                .map(|_| random_value(chance, keys, depth - 1))
                .collect();
            format!("[{}]", items.join(", "))
        }
        _ => {
            let items: Vec<String> = (0..chance.below(4))
                .map(|_| {
                    format!(
                        "{} = {}",
                        chance.pick(keys),
                        random_value(chance, keys, depth - 1)
                    )
                })
                .collect();
            format!("{{ {} }}", items.join(", "))
        }
    }
}

#[test]
#[ignore = "slow: 10 s"]
fn random_toml_is_read_or_refused() {
    let mut keys: Vec<String> = [
        "study", "fan", "grille", "place", "air", "run", "fabric", "series", "holes", "zone",
        "panel", "meter",
    ]
    .map(str::to_owned)
    .to_vec();
    let text = String::from_utf8(project("cases/every-key.toml")).expect("text");
    keys.extend(text.lines().filter_map(|line| {
        let key = line.trim_start_matches(['#', ' ']).split(" = ").next()?;
        let is_key = !key.is_empty()
            && key
                .bytes()
                .all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit() || byte == b'_');
        is_key.then(|| key.to_owned())
    }));
    assert!(keys.len() > 60);
    // Nothing random is a whole study: that the reader comes to an end is what counts.
    fuzz(
        "random TOML",
        |chance| random_toml(chance, &keys),
        |text| {
            let _ = read_study(text);
            true
        },
    );
}

#[test]
#[ignore = "slow: 5 s"]
fn mutated_fan_curves_are_read_or_refused() {
    let texts = vec![
        project("cases/quiet-desk/marrow-140.csv"),
        b"# bench, 21 C\nflow_cfm,pressure_mmh2o\n0,2.5\n30,1.9\n61,0\n".to_vec(),
        b"flow_m3_per_h;pressure_pa\n0;25\n60;14,5\n110;0\n".to_vec(),
        project("tests/broken/decimal_commas.csv"),
    ];
    let words = [
        "flow_m3_per_h",
        "pressure_pa",
        "flow_cfm",
        ",",
        ";",
        "\t",
        "\"",
        "\n",
        "#",
        "\u{feff}",
        "\0",
    ];
    fuzz(
        "fan curve",
        |chance| mutated(chance, &texts, &words, &FEW_OR_MANY),
        |text| FanCurve::from_csv_bytes(text).is_ok(),
    );
}

fn sealed() -> Sealed {
    let range = |value: f64| {
        Some(Promised {
            value,
            low: value - 2.0,
            high: value + 2.0,
        })
    };
    let designs = [("comb", 92.0), ("mesh", 88.0), ("slots", 87.5)];
    Sealed {
        sealed_at: "2031-02-03 04:05:06 UTC".to_owned(),
        code_version: "0.1.0".to_owned(),
        solved_by_version: "0.1.0".to_owned(),
        study: "fuzzed".to_owned(),
        study_toml: "format = 1\n".to_owned(),
        quality: "quick".to_owned(),
        side: "exhaust".to_owned(),
        reference_area_m2: 0.0127,
        reference_area_words: "bore".to_owned(),
        given_flow_m3_per_h: None,
        bare_fan: Some(PromisedDesign {
            name: "bare fan".to_owned(),
            flow_m3_per_h: range(96.0),
            ..PromisedDesign::default()
        }),
        designs: designs
            .into_iter()
            .map(|(name, percent)| PromisedDesign {
                name: name.to_owned(),
                flow_percent: range(percent),
                flow_m3_per_h: range(0.96 * percent),
                meter_m_per_s: Some([1.9, 2.2]),
                meter_percent: Some([0.9 * percent, percent]),
                ..PromisedDesign::default()
            })
            .collect(),
        cautions: Vec::new(),
    }
}

const READINGS: [&str; 5] = [
    "design,value,unit,time,remount,note\nbare fan,96.0,m3/h,14:00,1,\ncomb,88.1,m3/h,14:05,1,\nmesh,83.9,m3/h,14:10,1,\nslots,84.1,m3/h,14:15,1,\nbare fan,95.0,m3/h,14:20,2,\nslots,82.9,m3/h,14:25,2,\ncomb,87.0,m3/h,14:30,2,\nmesh,83.3,m3/h,23:35,2,\nbare fan,94.1,m3/h,0:40,3,\n",
    "design;value;unit;order\nbare fan;2,50;m/s;1\ncomb;2,22;m/s;2\nbare fan;490;ft/min;3\ncomb;2,21;m/s;4\nbare fan;2,49;m/s;5\ncomb;2,2;m/s;6\ncomb;2,2;m/s;7\ncomb;9;m/s;8\n",
    "design,value,unit,remount,speed_rpm,temperature_c,place\nbare fan,62,CFM,1,1200,20,a\ncomb,51,CFM,1,1190,21,a\ncomb,52,CFM,1,1195,21,b\nbare fan,61,CFM,2,1200,22,b\ncomb,50,CFM,2,1100,22,a\nmesh,40,CFM,2,1190,-3,b\n",
    "design,value,unit\ncomb,91,%\ncomb,92,%\nmesh,0.88,percent\nslots,,%\n",
    "# to be filled in\ndesign\tvalue\tunit\tremount\nbare fan\t400\tCFM\t1\ncomb\t390\tCFM\t1\n",
];

const READING_WORDS: [&str; 20] = [
    "bare fan",
    "comb",
    "mesh",
    ",",
    ";",
    "\t",
    "\n",
    "\"",
    "#",
    "m3/h",
    "CFM",
    "ft/min",
    "%",
    "order",
    "time",
    "speed_rpm",
    "place",
    "23:59:59",
    "\u{feff}",
    "\0",
];

#[test]
#[ignore = "slow: 20 s"]
fn mutated_readings_are_compared_or_refused() {
    let texts: Vec<Vec<u8>> = READINGS
        .iter()
        .map(|text| text.as_bytes().to_vec())
        .collect();
    let sealed = sealed();
    fuzz(
        "readings",
        |chance| mutated(chance, &texts, &READING_WORDS, &FEW_OR_MANY),
        |text| {
            let readings = match read_readings(text) {
                Ok(readings) => readings,
                Err(faults) => {
                    assert!(!faults.is_empty() && faults.len() <= 20);
                    assert!(faults.iter().all(|fault| !fault.to_string().is_empty()));
                    return false;
                }
            };
            let Ok(found) = compare(&sealed, &readings) else {
                return false;
            };
            let mut out = Vec::new();
            ventwright::report::rig_comparison::write_compared_screen(
                &found,
                "0123456789ab",
                80,
                false,
                &mut out,
            )
            .expect("memory");
            let screen = String::from_utf8(std::mem::take(&mut out)).expect("text");
            assert!(
                !screen.contains("NaN") && !screen.contains("inf"),
                "{screen}"
            );
            ventwright::report::rig_comparison::write_compared_json(&found, "", &mut out)
                .expect("numbers");
            ventwright::report::rig_comparison::write_compared_csv(&found, &mut out)
                .expect("memory");
            true
        },
    );
}

#[test]
#[ignore = "slow: 10 s"]
fn mutated_seals_rankings_and_runs_are_read_or_refused() {
    let mut ranking = Vec::new();
    let result = samples::study(vec![samples::grille("a", 1, 92.0, 1.5, 0.8)]);
    write_ranking_json(&result, &mut ranking).expect("memory");
    let texts = vec![
        seal(&sealed()).expect("finite numbers").into_bytes(),
        ranking,
        br#"{"format":"ventwright run","format_version":2,"key":"k","code_version":"0","seed":0,"inputs":{},"view":"hole view","face_velocity_m_per_s":1,"hole_reynolds_number":1,"cells_across":1,"cell_count":1,"step_count":1,"start_up_time_s":0,"averaging_time_s":0,"is_valid":true,"stop_reason":"settled","contributions":[],"checks":[{"code":"drift","value":1,"limit":2,"unit":"%","is_passed":true}],"warnings":[],"elapsed_s":1}"#.to_vec(),
    ];
    let words = [
        "{", "}", "[", "]", "null", ":", ",", "\"", "1e999", "\\u0000", "true",
    ];
    fuzz(
        "JSON",
        |chance| mutated(chance, &texts, &words, &FEW_OR_MANY),
        |text| {
            let text = String::from_utf8_lossy(text);
            let is_seal = open(&text).is_ok();
            let is_ranking = read_ranking(&text).is_ok();
            let is_run = read_run(&text).is_ok();
            is_seal || is_ranking || is_run
        },
    );
}
