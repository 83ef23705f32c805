//! Properties of the study file: what is read can be written and read again, and no damage makes the reader panic.

use proptest::prelude::*;
use std::fmt::Write as _;
use ventwright::study::{Draft, Study, StudyFault, starter};

fn read(text: &[u8]) -> Result<Study, Vec<StudyFault>> {
    let draft = Draft::parse(text, "study.toml").map_err(|fault| vec![fault])?;
    draft.resolve(&mut |_| Err("there are no files here".to_owned()))
}

/// The pattern of a grille: any shape, size and turn in its range, with figures that have no end in binary.
fn pattern() -> impl Strategy<Value = String> {
    let size = prop_oneof![
        (0.3..20.0).prop_map(|d| format!("shape = \"round\"\ndiameter_mm = {d}\n")),
        (0.45..20.0).prop_map(|s| format!("shape = \"square\"\nacross_corners_mm = {s}\n")),
        (0.3..20.0).prop_map(|f| format!("shape = \"hexagon\"\nacross_flats_mm = {f}\n")),
        (0.45..20.0).prop_map(|c| format!("shape = \"hexagon\"\nacross_corners_mm = {c}\n")),
        (0.45..20.0).prop_map(|s| format!("shape = \"triangle\"\nacross_corners_mm = {s}\n")),
        (0.3..5.0, 5.0..30.0)
            .prop_map(|(w, l)| format!("shape = \"slot\"\nwidth_mm = {w}\nlength_mm = {l}\n")),
    ];
    let turn = prop_oneof![
        Just(String::new()),
        (-40.0..40.0).prop_map(|a| format!("twist_deg = {a}\ntwist_from = \"back\"\n")),
        (-40.0..40.0).prop_map(|a| format!("lean_deg = {a}\n")),
        (-9.0..9.0).prop_map(|a| format!("pattern_twist_deg = {a}\n")),
    ];
    let holes = (size, 0.5..4.0, turn).prop_map(|(size, rib, turn)| {
        format!("[grille.holes]\n{size}rib_mm = {rib}\n{turn}merging = \"accept\"\n")
    });
    let rings = (1.0..8.0, 0.5..3.0, 0_u32..9, 0.5..3.0).prop_map(|(slot, rib, bars, width)| {
        format!(
            "[grille.rings]\nslot_width_mm = {slot}\nrib_mm = {rib}\nbar_count = {bars}\nbar_width_mm = {width}\n"
        )
    });
    prop_oneof![4 => holes, 1 => rings]
}

fn supply() -> impl Strategy<Value = String> {
    prop_oneof![
        (20.0..300.0, 5.0..80.0)
            .prop_map(|(q, p)| format!("free_flow_m3_per_h = {q}\nshut_off_pressure_pa = {p}\n")),
        (20.0..300.0, 0.5..8.0)
            .prop_map(|(q, p)| format!("free_flow_cfm = {q}\nshut_off_pressure_mmh2o = {p}\n")),
        (1.0..300.0).prop_map(|q| format!("given_flow_cfm = {q}\n")),
        prop::collection::vec((1.0..300.0, 0.1..60.0), 2..9).prop_map(|points| {
            let mut text = "points = [\n".to_owned();
            for (index, (flow, pressure)) in points.iter().enumerate() {
                let flow = flow + 301.0 * index as f64;
                let _ = writeln!(
                    text,
                    "  {{ flow_cfm = {flow}, pressure_mmh2o = {pressure} }},"
                );
            }
            text + "]\n"
        }),
    ]
}

/// What the study says of the air that leaves the fan, and of a meter or a view in it, with figures that have no end in binary.
fn exit() -> impl Strategy<Value = (String, String)> {
    let profile = prop_oneof![
        Just(String::new()),
        Just("exit_profile = \"uniform\"\n".to_owned()),
        (20.0..58.0, 0.1..3.0).prop_map(|(r, v)| format!(
            "exit = [{{ radius_mm = 19.9, relative_velocity = {v} }}, {{ radius_mm = {r}, relative_velocity = 1 }}]\n"
        )),
    ];
    let meter = prop_oneof![
        Just(String::new()),
        (6.0..200.0, 0.0..58.0, 0.0..900.0, 11.0..79.0).prop_map(|(head, at, away, blade)| format!(
            "[meter]\nhead_diameter_mm = {head}\nposition_mm = {at}\ndistance_mm = {away}\nblade_angle_deg = {blade}\nhand = \"with\"\n"
        )),
        Just("[fan_view]\nsolve = false\n".to_owned()),
        (0.0..400.0).prop_map(|gap| format!("gap_mm = {gap}\n[fan_view]\nbehind = \"duct\"\n")),
        (1.0..20.0, -90.0..90.0, 0.1..30.0, 1_u32..60).prop_map(|(time, x, to, threads)| format!(
            "[smoke]\nseconds = {time}\nviews = [\"repeat\", \"fan\"]\n\
             [[smoke.rake]]\nview = \"repeat\"\nx_mm = {x}\nfrom_mm = -{to}\nto_mm = {to}\nthreads = {threads}\n"
        )),
    ];
    (profile, meter)
}

/// What stands in the way besides the grille: by K or by a point, in both units.
fn way() -> impl Strategy<Value = (String, String)> {
    let rig = prop_oneof![
        Just(String::new()),
        (0.0..50.0).prop_map(|k| format!("rig_k = {k}\n")),
        (1.0..300.0, 0.0..9.0)
            .prop_map(|(q, p)| format!("rig_point = {{ flow_cfm = {q}, pressure_mmh2o = {p} }}\n")),
    ];
    let place = (rig, 1_u32..9, 0.0..90.0)
        .prop_map(|(rig, fans, leak)| format!("{rig}fans = {fans}\nleak_cm2 = {leak}\n"));
    let panel = prop_oneof![
        Just(String::new()),
        (0.0..50.0, 5.0..900.0)
            .prop_map(|(k, a)| format!("[[panel]]\nname = \"a\"\nk = {k}\narea_cm2 = {a}\ngap_mm = 0\n")),
        (20.0..300.0, 0.5..8.0).prop_map(|(q, p)| format!(
            "[[other_fans]]\nside = \"intake\"\nfans = 2\nfree_flow_cfm = {q}\nshut_off_pressure_mmh2o = {p}\n\
             way_point = {{ flow_cfm = {q}, pressure_mmh2o = {p} }}\n"
        )),
        (1.0..300.0, 0.0..90.0, 0.1..90.0).prop_map(|(q, p, gap)| format!(
            "[[panel]]\nname = \"a\"\npoint = {{ flow_m3_per_h = {q}, pressure_pa = {p} }}\ngap_mm = {gap}\n\
             [[panel]]\nname = \"b\"\nk = 1\n"
        )),
    ];
    (place, panel)
}

/// A fabric of any kind, with figures that have no end in binary.
fn fabric() -> impl Strategy<Value = String> {
    let kind = prop_oneof![
        (1.0..60.0, 1_u32..40, 0.6..3.0, 5.0..18.0, 3.0..40.0, 0.0..300.0).prop_map(
            |(denier, filaments, pitch, count, before, stretch)| {
                let after = before * (1.0 + 0.01 * stretch);
                format!(
                    "[fabric.knit]\ndenier = {denier}\nfilaments = {filaments}\npitch_across_mm = {pitch}\nopenings_along_per_10_mm = {count}\n\
                     stretch_across_percent = {stretch}\nmarks_along = {{ before_mm = {before}, after_mm = {after} }}\n\
                     [[fabric]]\nname = \"again\"\n[fabric.knit]\nsame_as = \"cloth\"\nstretch_along_percent = {stretch}\n"
                )
            }
        ),
        (5.0..3000.0, 5.0..9000.0).prop_map(|(thread, opening)| format!(
            "[fabric.woven]\nthread_um = {thread}\nopening_um = {opening}\n"
        )),
        (0.01..2.0, 1.1..9.0).prop_map(|(wire, ratio)| format!(
            "[fabric.mesh]\nwire_mm = {wire}\npitch_mm = {}\n", wire * ratio + 0.02
        )),
        (0.06..9.0, 1.05..9.0, 0.02..9.0).prop_map(|(hole, ratio, thickness)| format!(
            "[fabric.sheet]\nhole_mm = {hole}\npitch_mm = {}\nthickness_mm = {thickness}\nlayout = \"square\"\n", hole * ratio
        )),
    ];
    let bench = prop_oneof![
        Just(String::new()),
        (0.1..5.0, 0.1..50.0, 1.0..99.0, 20.0..250.0, 0.2..40.0).prop_map(
            |(velocity, pressure, percent, area, accuracy)| format!(
                "bench_area_cm2 = {area}\naccuracy_percent = {accuracy}\nreadings = [{{ velocity_m_per_s = {velocity}, pressure_pa = {pressure} }}, \
                 {{ percent_of_bare_fan = {percent} }}, {{ flow_m3_per_h = {percent}, pressure_pa = {pressure} }}]\n"
            )
        ),
    ];
    (kind, bench, 1_u32..4).prop_map(|(kind, bench, layers)| {
        format!("[[fabric]]\nname = \"cloth\"\nlayers = {layers}\n{bench}{kind}")
    })
}

/// A whole study that is right, or almost: some drawings leave no room for a hole.
fn study() -> impl Strategy<Value = String> {
    let plate = (0.5..20.0, 0.0..10.0, 0.0..40.0, 0.0..0.24);
    let place = (0.01..20.0, -20.0..60.0, 0.0..3000.0, 0.0..400.0);
    let run = (0.06..19.0, 0.2..900.0, 0_u32..64);
    let around = (exit(), way(), fabric());
    (plate, place, run, pattern(), supply(), around, "[a-zA-Z0-9 äß\"\\\\#']{1,20}x").prop_map(
        |(plate, place, run, pattern, supply, around, name)| {
            let (thickness, border, disc, edge) = plate;
            let (pc_case_k, temperature, altitude, heat) = place;
            let swirl = 60.0 * heat / 400.0;
            let (tolerance, minutes, threads) = run;
            let name = toml::Value::String(name);
            let ((exit, meter), way, fabric) = around;
            let (rig, panels) = way;
            let budget = match threads {
                count if count < 8 => format!("tolerance_percent = {tolerance}\n"),
                count if count < 16 => format!("time_budget_h = {}\n", minutes / 3.0),
                count => format!("ready_by = \"{:02}:{:02}\"\n", count % 24, count % 60),
            };
            let running = if supply.starts_with("given") {
                String::new()
            } else {
                format!("running_rpm = {}\n", 110.0 * minutes)
            };
            format!(
                "format = 1\n[study]\nname = {name}\n[air]\ntemperature_c = {temperature}\naltitude_m = {altitude}\n\
                 [fan]\nname = {name}\nbore_mm = 116.3\nhub_mm = 39.7\nspeed_rpm = {minutes}e2\n{running}swirl_deg = {swirl}\n{exit}{supply}\
                 [place]\nside = \"exhaust\"\npc_case_k = {pc_case_k}\nheat_load_w = {heat}\n{rig}{meter}{panels}{fabric}\
                 [[grille]]\nname = {name}\nthickness_mm = {thickness}\nborder_mm = {border}\ncentre_disc_mm = {disc}\n\
                 front_edge = {{ radius_mm = {edge} }}\n{pattern}\
                 [run]\n{budget}time_limit_min = {minutes}\nthreads = {threads}\nmemory_gb = {tolerance}\n"
            )
        },
    )
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn a_study_written_and_read_again_is_the_same(text in study()) {
        let study = match read(text.as_bytes()) {
            Ok(study) => study,
            Err(faults) => {
                // Only a drawing without room may be refused, and readings at about one air speed; every key above lies in its range.
                for fault in faults {
                    prop_assert!(
                        ["no-hole-fits", "bars-overlap", "edge-too-wide", "fabric-readings"].contains(&fault.code()),
                        "{fault}\n{text}"
                    );
                }
                return Err(TestCaseError::reject("the drawing leaves no room for a hole"));
            }
        };
        let copy = study.to_toml();
        let again = read(copy.as_bytes());
        prop_assert_eq!(again.as_ref(), Ok(&study), "{}", copy);
    }

    #[test]
    fn a_study_of_a_vent_written_and_read_again_is_the_same(
        sides in (20.0..300.0, 20.0..300.0), border in 0.0..5.0, size in 0.5..9.0, rib in 0.5..4.0, twist in -30.0..30.0, supply in supply()
    ) {
        let (width, height) = sides;
        let text = format!(
            "format = 1\nstudy.name = \"box\"\n[vent]\nwidth_mm = {width}\nheight_mm = {height}\n[place]\nside = \"exhaust\"\npc_case_k = {rib}\n[fan]\n{supply}\
             [[panel]]\nname = \"second\"\ngrille = \"a\"\n[[grille]]\nname = \"a\"\nthickness_mm = 3\nborder_mm = {border}\n[grille.holes]\nshape = \"hexagon\"\nacross_flats_mm = {size}\nrib_mm = {rib}\ntwist_deg = {twist}\nmerging = \"accept\"\n"
        );
        let study = read(text.as_bytes());
        prop_assert!(study.is_ok(), "{study:?}\n{text}");
        let copy = study.as_ref().unwrap().to_toml();
        prop_assert_eq!(read(copy.as_bytes()), study, "{}", copy);
    }

    #[test]
    fn damage_is_a_fault_and_not_a_panic(
        damage in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..6),
        cut in any::<prop::sample::Index>(),
        is_cut in any::<bool>(),
    ) {
        let mut text = starter("damaged").into_bytes();
        for (place, byte) in damage {
            let place = place.index(text.len());
            // Half of the damage is a digit, sign or bracket, which keeps more of the file readable.
            text[place] = if byte < 128 { b"0123456789-.,=[]{}e\n"[usize::from(byte) % 20] } else { byte };
        }
        if is_cut {
            text.truncate(cut.index(text.len()));
        }
        if let Err(faults) = read(&text) {
            prop_assert!(!faults.is_empty());
            for fault in faults {
                prop_assert!(!fault.to_string().is_empty());
            }
        }
    }
}

#[test]
fn deep_nesting_is_a_fault_and_not_a_stack_overflow() {
    for bracket in ["[", "{ a = "] {
        let text = format!("format = {}", bracket.repeat(200_000));
        assert_eq!(read(text.as_bytes()).unwrap_err()[0].code(), "syntax");
    }
}
