//! The resolved copy: a study as a study file in which nothing is left to a default.

use std::f64::consts::PI;
use std::fmt::Write as _;
use std::time::Duration;

use crate::fan::{ExitProfile, Fan, Supply};
use crate::grille::{Edge, Grille, HoleShape, Pattern, Turn, Zone};
use crate::study::exit_table;
use crate::study::fan_view_table::BEHIND_IT;
use crate::study::grille_table::{CROSSING_HOLES, INNER, OUTER, face_radii};
use crate::study::holes_table::{LAYOUTS, word_for};
use crate::study::meter_table::HANDS;
use crate::study::run_table::{Threads, TimeBudget};
use crate::study::told_units::{FLOW_UNITS, PRESSURE_UNITS};
use crate::study::turn_table::{COUNTED_FROM, HANDS_OF};
use crate::study::write_fabric::write_fabric;
use crate::study::{FORMAT, Panel, PanelLoss, PathLoss, Smoke, Study};
use crate::units::CUBIC_METRES_PER_HOUR;

/// The study as text, every key written out.
pub(super) fn to_toml(study: &Study) -> String {
    let mut text = String::new();
    // Writing into a `String` cannot fail.
    let _ = write_study(&mut text, study);
    text
}

fn write_study(out: &mut String, study: &Study) -> std::fmt::Result {
    writeln!(out, "format = {FORMAT}\n")?;
    writeln!(out, "[study]")?;
    writeln!(out, "name = {}", quoted(&study.name))?;
    writeln!(out, "notes = {}", quoted(&study.notes))?;
    writeln!(
        out,
        "flow_unit = \"{}\"",
        word_for(&FLOW_UNITS, &study.told_units.flow)
    )?;
    writeln!(
        out,
        "pressure_unit = \"{}\"\n",
        word_for(&PRESSURE_UNITS, &study.told_units.pressure)
    )?;
    writeln!(out, "[air]")?;
    writeln!(out, "temperature_c = {}", study.air.temperature_c)?;
    writeln!(
        out,
        "pressure_hpa = {}\n",
        decimal(study.air.pressure, |hpa| hpa * 100.0, 0.01)
    )?;
    write_fan(out, study)?;
    if let Some(vent) = &study.vent {
        writeln!(out, "[vent]")?;
        writeln!(out, "width_mm = {}", millimetres(vent.width))?;
        writeln!(out, "height_mm = {}\n", millimetres(vent.height))?;
    }
    writeln!(out, "[place]")?;
    writeln!(out, "side = \"{}\"", study.place.side)?;
    writeln!(out, "reference_area = \"{}\"", study.place.reference_area)?;
    write_loss(out, ["pc_case_k", "pc_case_point"], &study.place.pc_case)?;
    if let Some(rig) = &study.place.rig {
        write_loss(out, ["rig_k", "rig_point"], rig)?;
    }
    writeln!(out, "fans = {}", study.place.fan_count)?;
    let leak_cm2 = decimal(study.place.leak_area, |cm2| cm2 / 1e4, 1e4);
    writeln!(out, "leak_cm2 = {leak_cm2}")?;
    if let Some(gap) = study.place.blade_gap {
        writeln!(out, "gap_mm = {}", millimetres(gap))?;
    }
    writeln!(
        out,
        "heat_load_w = {}\n",
        study.place.heat_load.unwrap_or(0.0)
    )?;
    write_meter(out, study)?;
    write_fan_view(out, study)?;
    for fans in &study.other_fans {
        writeln!(out, "[[other_fans]]")?;
        writeln!(out, "side = \"{}\"", fans.side)?;
        writeln!(out, "fans = {}", fans.count)?;
        write_supply(out, &fans.supply)?;
        if let PathLoss::Point { .. } = fans.in_their_way {
            write_loss(out, ["", "way_point"], &fans.in_their_way)?;
        }
        writeln!(out)?;
    }
    for panel in &study.panels {
        write_panel(out, panel)?;
    }
    for fabric in &study.fabrics {
        write_fabric(out, fabric)?;
    }
    for grille in &study.grilles {
        write_grille(out, grille)?;
    }
    write_smoke(out, &study.smoke)?;
    write_run(out, study)
}

fn write_fan(out: &mut String, study: &Study) -> std::fmt::Result {
    let fan = &study.fan;
    writeln!(out, "[fan]")?;
    writeln!(out, "name = {}", quoted(&fan.name))?;
    if study.vent.is_none() {
        writeln!(out, "bore_mm = {}", millimetres(fan.bore_diameter))?;
        writeln!(out, "hub_mm = {}", millimetres(fan.hub_diameter))?;
    }
    if let Some(speed) = fan.speed {
        writeln!(
            out,
            "speed_rpm = {}",
            decimal(speed, |rpm| rpm / 60.0, 60.0)
        )?;
    }
    if let Some(blade_count) = fan.blade_count {
        writeln!(out, "blades = {blade_count}")?;
    }
    if let Some(swirl_angle) = fan.swirl_angle {
        writeln!(out, "swirl_deg = {}", degrees(swirl_angle))?;
    }
    if study.vent.is_none() {
        write_exit(out, fan)?;
    }
    write_supply(out, &fan.supply)?;
    writeln!(out)
}

/// What a fan delivers.
fn write_supply(out: &mut String, supply: &Supply) -> std::fmt::Result {
    match supply {
        Supply::Curve(curve) => {
            writeln!(out, "points = [")?;
            for (flow, pressure) in curve.flow.iter().zip(&curve.pressure) {
                let flow = m3_per_h(*flow);
                writeln!(
                    out,
                    "  {{ flow_m3_per_h = {flow}, pressure_pa = {pressure} }},"
                )?;
            }
            writeln!(out, "]")
        }
        Supply::TwoNumbers {
            free_flow,
            shut_off_pressure,
        } => {
            writeln!(out, "free_flow_m3_per_h = {}", m3_per_h(*free_flow))?;
            writeln!(out, "shut_off_pressure_pa = {shut_off_pressure}")
        }
        Supply::GivenFlow(flow) => {
            writeln!(out, "given_flow_m3_per_h = {}", m3_per_h(*flow))
        }
    }
}

/// What is known of the air that leaves the fan.
fn write_exit(out: &mut String, fan: &Fan) -> std::fmt::Result {
    let is_euler = fan.swirl_angle.is_none()
        && fan.speed.is_some()
        && !matches!(fan.supply, Supply::GivenFlow(_));
    if is_euler {
        writeln!(out, "hydraulic_efficiency = {}", fan.hydraulic_efficiency)?;
    }
    if let Some(word) = exit_table::word(&fan.exit_profile) {
        writeln!(out, "exit_profile = \"{word}\"")?;
    }
    if let ExitProfile::Given(points) = &fan.exit_profile {
        writeln!(out, "exit = [")?;
        for point in points {
            let (radius, velocity) = (millimetres(point.radius), point.relative_velocity);
            writeln!(
                out,
                "  {{ radius_mm = {radius}, relative_velocity = {velocity} }},"
            )?;
        }
        writeln!(out, "]")?;
    }
    Ok(())
}

fn write_meter(out: &mut String, study: &Study) -> std::fmt::Result {
    let Some(meter) = &study.meter else {
        return Ok(());
    };
    writeln!(out, "[meter]")?;
    for (key, length) in [
        ("head_diameter_mm", meter.head_diameter),
        ("position_mm", meter.position),
        ("distance_mm", meter.distance),
    ] {
        writeln!(out, "{key} = {}", millimetres(length))?;
    }
    writeln!(out, "blade_angle_deg = {}", degrees(meter.blade_angle))?;
    writeln!(out, "hand = \"{}\"\n", word_for(&HANDS, &meter.hand))
}

/// A loss under one of its two keys.
fn write_loss(out: &mut String, keys: [&str; 2], loss: &PathLoss) -> std::fmt::Result {
    match *loss {
        PathLoss::Coefficient(loss_coefficient) => {
            writeln!(out, "{} = {loss_coefficient}", keys[0])
        }
        PathLoss::Point { flow, pressure } => {
            let flow = m3_per_h(flow);
            writeln!(
                out,
                "{} = {{ flow_m3_per_h = {flow}, pressure_pa = {pressure} }}",
                keys[1]
            )
        }
    }
}

fn write_panel(out: &mut String, panel: &Panel) -> std::fmt::Result {
    writeln!(out, "[[panel]]")?;
    writeln!(out, "name = {}", quoted(&panel.name))?;
    match &panel.loss {
        PanelLoss::Known(loss) => write_loss(out, ["k", "point"], loss)?,
        PanelLoss::Fabric(name) => writeln!(out, "fabric = {}", quoted(name))?,
        PanelLoss::Grille(name) => writeln!(out, "grille = {}", quoted(name))?,
    }
    if let Some(area) = panel.area {
        writeln!(out, "area_cm2 = {}", decimal(area, |cm2| cm2 / 1e4, 1e4))?;
    }
    if let Some(gap) = panel.gap {
        writeln!(out, "gap_mm = {}", millimetres(gap))?;
    }
    writeln!(out)
}

fn write_fan_view(out: &mut String, study: &Study) -> std::fmt::Result {
    writeln!(out, "[fan_view]")?;
    let Some(view) = &study.fan_view else {
        return writeln!(out, "solve = false\n");
    };
    writeln!(out, "solve = true")?;
    writeln!(out, "behind = \"{}\"\n", word_for(&BEHIND_IT, &view.behind))
}

fn write_smoke(out: &mut String, smoke: &Smoke) -> std::fmt::Result {
    let views: Vec<String> = smoke.views.iter().map(|view| quoted(view.word())).collect();
    writeln!(out, "[smoke]")?;
    writeln!(out, "seconds = {}", smoke.seconds)?;
    writeln!(out, "views = [{}]\n", views.join(", "))?;
    for rake in &smoke.rakes {
        writeln!(out, "[[smoke.rake]]")?;
        writeln!(out, "view = \"{}\"", rake.view.word())?;
        writeln!(out, "x_mm = {}", millimetres(rake.x))?;
        writeln!(out, "from_mm = {}", millimetres(rake.from))?;
        writeln!(out, "to_mm = {}", millimetres(rake.to))?;
        writeln!(out, "threads = {}\n", rake.thread_count)?;
    }
    Ok(())
}

fn write_grille(out: &mut String, grille: &Grille) -> std::fmt::Result {
    writeln!(out, "[[grille]]")?;
    writeln!(out, "name = {}", quoted(&grille.name))?;
    writeln!(out, "thickness_mm = {}", millimetres(grille.thickness))?;
    writeln!(out, "border_mm = {}", millimetres(grille.border))?;
    writeln!(
        out,
        "centre_disc_mm = {}",
        millimetres(grille.centre_disc_diameter)
    )?;
    writeln!(
        out,
        "crossing_holes = \"{}\"",
        word_for(&CROSSING_HOLES, &grille.crossing_holes)
    )?;
    writeln!(out, "front_edge = {}", edge(grille.front_edge))?;
    writeln!(out, "back_edge = {}\n", edge(grille.back_edge))?;
    if let [zone] = grille.zones.as_slice()
        && fills_the_face(grille, zone)
    {
        return write_pattern(out, "grille", &zone.pattern);
    }
    for zone in &grille.zones {
        writeln!(out, "[[grille.zone]]")?;
        for (key, end) in [(&INNER, zone.inner_radius), (&OUTER, zone.outer_radius)] {
            let end = decimal(end, |mm| key.si(mm), key.limits().unit.per_si);
            writeln!(out, "{} = {end}", key.name)?;
        }
        writeln!(out)?;
        write_pattern(out, "grille.zone", &zone.pattern)?;
    }
    Ok(())
}

/// Whether the zone is the one that a grille without zones has, as `grille_table` computes it.
#[expect(
    clippy::float_cmp,
    reason = "the copy must give back the same bits, so only the same bits will do"
)]
fn fills_the_face(grille: &Grille, zone: &Zone) -> bool {
    let radii = face_radii(grille.cut_out, grille.border, grille.centre_disc_diameter);
    radii == [zone.inner_radius, zone.outer_radius]
}

fn edge(edge: Edge) -> String {
    match edge {
        Edge::Sharp => "{ sharp = true }".to_owned(),
        Edge::Rounded(size) => format!("{{ radius_mm = {} }}", millimetres(size)),
        Edge::Chamfered(size) => format!("{{ chamfer_mm = {} }}", millimetres(size)),
    }
}

fn write_pattern(out: &mut String, table: &str, pattern: &Pattern) -> std::fmt::Result {
    match pattern {
        Pattern::Holes(holes) => {
            writeln!(out, "[{table}.holes]")?;
            writeln!(out, "{}", hole_size(&holes.shape))?;
            writeln!(out, "layout = \"{}\"", word_for(&LAYOUTS, &holes.layout))?;
            writeln!(out, "rib_mm = {}", millimetres(holes.rib))?;
            write_turn(out, &holes.turn, "twist_deg")?;
            let merging = if holes.merging_accepted {
                "accept"
            } else {
                "refuse"
            };
            writeln!(out, "merging = \"{merging}\"\n")
        }
        Pattern::Rings(rings) => {
            writeln!(out, "[{table}.rings]")?;
            writeln!(out, "slot_width_mm = {}", millimetres(rings.slot_width))?;
            writeln!(out, "rib_mm = {}", millimetres(rings.rib))?;
            writeln!(out, "bar_count = {}", rings.bar_count)?;
            writeln!(out, "bar_width_mm = {}", millimetres(rings.bar_width))?;
            write_turn(out, &rings.turn, "lean_deg")?;
            writeln!(out)
        }
        Pattern::Bars(bars) => {
            writeln!(out, "[{table}.bars]")?;
            writeln!(out, "bar_count = {}", bars.bar_count)?;
            writeln!(out, "bar_width_mm = {}", millimetres(bars.bar_width))?;
            write_turn(out, &bars.turn, "lean_deg")?;
            writeln!(out)
        }
    }
}

fn hole_size(shape: &HoleShape) -> String {
    match shape {
        HoleShape::Round { diameter } => {
            format!(
                "shape = \"round\"\ndiameter_mm = {}",
                millimetres(*diameter)
            )
        }
        HoleShape::Square { side } => {
            format!("shape = \"square\"\nside_mm = {}", millimetres(*side))
        }
        HoleShape::Hexagon { across_flats } => {
            let across_flats = millimetres(*across_flats);
            format!("shape = \"hexagon\"\nacross_flats_mm = {across_flats}")
        }
        HoleShape::Triangle { side } => {
            format!("shape = \"triangle\"\nside_mm = {}", millimetres(*side))
        }
        HoleShape::Slot { width, length } => {
            let (width, length) = (millimetres(*width), millimetres(*length));
            format!("shape = \"slot\"\nwidth_mm = {width}\nlength_mm = {length}")
        }
    }
}

/// The turn under its key; a straight pattern says so under `straight_key`.
fn write_turn(out: &mut String, turn: &Turn, straight_key: &str) -> std::fmt::Result {
    match turn {
        Turn::Straight => writeln!(out, "{straight_key} = 0"),
        Turn::Lean { angle } => writeln!(out, "lean_deg = {}", degrees(*angle)),
        Turn::PatternTwist { angle } => {
            writeln!(out, "pattern_twist_deg = {}", degrees(*angle))
        }
        Turn::Twist {
            angle,
            counted_from,
            hands,
        } => {
            writeln!(out, "twist_deg = {}", degrees(*angle))?;
            let counted_from = word_for(&COUNTED_FROM, counted_from);
            writeln!(out, "twist_from = \"{counted_from}\"")?;
            writeln!(out, "twist_hands = \"{}\"", word_for(&HANDS_OF, hands))
        }
    }
}

fn write_run(out: &mut String, study: &Study) -> std::fmt::Result {
    let run = &study.run;
    writeln!(out, "[run]")?;
    writeln!(out, "quality = \"{}\"", run.quality)?;
    let threads = match run.threads {
        Threads::All => 0,
        Threads::Count(count) => count,
    };
    writeln!(out, "threads = {threads}")?;
    let memory_gb = run.memory_limit.map_or(0.0, |bytes| bytes as f64 / 1e9);
    writeln!(out, "memory_gb = {memory_gb}")?;
    if !run.tolerance_follows_quality {
        let tolerance_percent = decimal(run.tolerance, |percent| percent / 100.0, 100.0);
        writeln!(out, "tolerance_percent = {tolerance_percent}")?;
    }
    match run.budget {
        None => {}
        Some(TimeBudget::Hours(hours)) => writeln!(out, "time_budget_h = {hours}")?,
        Some(TimeBudget::ReadyBy { hour, minute }) => {
            writeln!(out, "ready_by = \"{hour:02}:{minute:02}\"")?;
        }
    }
    for (key, limit) in [
        ("time_limit_per_run_min", run.time_limit_per_run),
        ("time_limit_min", run.time_limit),
        ("checkpoint_min", run.checkpoint_interval),
    ] {
        writeln!(out, "{key} = {}", minutes(limit))?;
    }
    writeln!(out, "frames = {}", run.frame_count)
}

pub(super) fn millimetres(metres: f64) -> String {
    decimal(metres, |mm| mm / 1000.0, 1000.0)
}

fn m3_per_h(flow: f64) -> String {
    decimal(
        flow,
        |flow| flow / CUBIC_METRES_PER_HOUR,
        CUBIC_METRES_PER_HOUR,
    )
}

fn degrees(angle: f64) -> String {
    decimal(angle, f64::to_radians, 180.0 / PI)
}

/// Minutes that give back the same duration.
fn minutes(limit: Duration) -> String {
    let seconds = limit.as_secs_f64();
    shortest(seconds / 60.0, |minutes| {
        Duration::from_secs_f64(minutes * 60.0) == limit
    })
}

/// The shortest decimal number that `to_si` turns into exactly `value`, so that reading the copy gives back the same bits.
///
/// `factor` is about how much larger the number is than `value`.
#[expect(clippy::float_cmp, reason = "exactly the same bits are wanted")]
pub(super) fn decimal(value: f64, to_si: impl Fn(f64) -> f64, factor: f64) -> String {
    shortest(value * factor, |number| to_si(number) == value)
}

/// The number near `number` with the fewest digits of which `fits` is true.
fn shortest(number: f64, fits: impl Fn(f64) -> bool) -> String {
    for digits in 0..17 {
        let text = format!("{number:.digits$e}");
        if let Ok(candidate) = text.parse::<f64>()
            && fits(candidate)
        {
            return candidate.to_string();
        }
    }
    // Conversion there and back may be off by a few units in the last place: look at the neighbours.
    let mut candidates = [number, number];
    for _ in 0..8 {
        candidates = [candidates[0].next_up(), candidates[1].next_down()];
        if let Some(candidate) = candidates.into_iter().find(|candidate| fits(*candidate)) {
            return candidate.to_string();
        }
    }
    number.to_string()
}

/// A TOML string on one line.
pub(super) fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}
