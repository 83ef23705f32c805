//! The part of `ventwright check` that tells of one fabric: its sheet, without a run.

use crate::cli::checked::write_wrapped;
use crate::cli::expectation::bare_flow;
use crate::fabric::{
    AGEING_SHARES, Bench, BenchReading, Fabric, FabricKind, FabricLaw, Lie, MeshMaterial, aged,
    fates_in_words, sag_caution,
};
use crate::study::{Study, describe_fabric};

/// Air speeds at which every sheet tells the pressure, m/s.
const TOLD_VELOCITIES: [f64; 3] = [0.5, 1.0, 2.0];

/// One paragraph for one fabric, a line for each subject.
pub(super) fn write_fabric(out: &mut String, study: &Study, fabric: &Fabric) -> std::fmt::Result {
    let what = fabric
        .kind
        .as_ref()
        .map_or_else(|| "known only from the bench".to_owned(), describe_fabric);
    let layers = match (fabric.layers.count, fabric.layers.lie) {
        (1, _) => String::new(),
        (count, Lie::Spaced) => format!(", {count} layers apart"),
        (count, Lie::Aligned) => format!(", {count} layers in contact, threads in line"),
        (count, Lie::Crossed) => format!(", {count} layers in contact, threads crossed"),
    };
    write_wrapped(out, "", &format!("{}: {what}{layers}", fabric.name))?;
    // The speed to expect on the reference area; a strong fabric slows it further.
    let velocity = bare_flow(study).map(|flow| flow / study.reference_area());
    if let Some(kind) = &fabric.kind {
        write_kind(out, study, kind, velocity)?;
    }
    // A study whose fabrics have no law is refused.
    if let Ok(law) = study.fabric_law(fabric) {
        write_law(out, study, fabric, &law, velocity)?;
    }
    out.push('\n');
    Ok(())
}

/// What follows from threads and openings.
fn write_kind(
    out: &mut String,
    study: &Study,
    kind: &FabricKind,
    velocity: Option<f64>,
) -> std::fmt::Result {
    let mut line = |text: &str| write_wrapped(out, "  ", text);
    let open = kind.open_fraction();
    let range = if open.half_width() > 0.0 {
        format!(
            " (likely {:.0} to {:.0} %)",
            100.0 * open.low,
            100.0 * open.high
        )
    } else {
        String::new()
    };
    let [across, along] = kind.openings().map(|length| 1000.0 * length);
    let openings = match kind {
        FabricKind::Knit(_) => format!("openings up to {across:.2} x {along:.2} mm"),
        FabricKind::Woven(_) | FabricKind::Sheet(_) => format!("openings {across:.3} mm"),
    };
    let thread = kind.thread().map_or_else(String::new, |thread| {
        format!("thread {:.3} mm; ", 1000.0 * thread)
    });
    line(&format!(
        "{thread}{openings}; open area {:.0} %{range}",
        100.0 * open.value
    ))?;
    line(&format!(
        "when clean, by size alone, it {}",
        fates_in_words(across.min(along) / 1000.0)
    ))?;
    let remark = match kind {
        FabricKind::Knit(_) => "; covered and crimped yarns weigh more",
        FabricKind::Woven(_) | FabricKind::Sheet(_) => "",
    };
    line(&format!(
        "weight of one layer: {:.1} g/m2 (weigh a piece: if it is far off, a figure above is wrong{remark})",
        1000.0 * kind.mass_per_area()
    ))?;
    if let Some(velocity) = velocity {
        let number = kind.reynolds_number(velocity, &study.air);
        let where_in = match kind {
            FabricKind::Sheet(_) => "in its holes",
            FabricKind::Knit(_) | FabricKind::Woven(_) => "at its threads",
        };
        line(&format!(
            "at {velocity:.2} m/s, the mean air speed without a grille: Reynolds number {} {where_in}",
            figure(number)
        ))?;
    }
    Ok(())
}

/// What the fabric costs, and how sure that is.
fn write_law(
    out: &mut String,
    study: &Study,
    fabric: &Fabric,
    law: &FabricLaw,
    velocity: Option<f64>,
) -> std::fmt::Result {
    let mut line = |text: &str| write_wrapped(out, "  ", text);
    line(&format!(
        "cost: {} U + {} U^2 in Pa, U in m/s (viscous and inertial part), {}; likely {:.2} to {:.2} times that",
        figure(law.viscous),
        figure(law.inertial),
        law.source.in_words(),
        law.band.low,
        law.band.high
    ))?;
    let told: Vec<String> = TOLD_VELOCITIES
        .iter()
        .map(|velocity| {
            let drop = law.likely_pressure_drop(*velocity);
            format!(
                "{} Pa at {velocity} m/s ({} to {})",
                figure(drop.value),
                figure(drop.low),
                figure(drop.high)
            )
        })
        .collect();
    line(&told.join(", "))?;
    let rank = if law.may_be_ranked() {
        "it may be ranked"
    } else {
        "it may not be ranked"
    };
    let at_speed = velocity.map_or_else(String::new, |velocity| {
        format!(
            "; at {velocity:.2} m/s its K is {:.2}, based on that speed",
            law.loss_coefficient(velocity, study.air.density)
        )
    });
    line(&format!("{rank}{at_speed}"))?;
    let reference = velocity.unwrap_or(1.0);
    if let Some(swing) = fabric.stretch_swing(&study.air, reference) {
        let [less, more] = swing.map(|factor| 100.0 * (factor - 1.0));
        line(&format!(
            "stretched 10 % less it costs {less:+.0} %, 10 % more {more:+.0} %"
        ))?;
    }
    let ageing: Vec<String> = AGEING_SHARES
        .iter()
        .map(|lost| {
            let drop = aged(law, *lost).pressure_drop(reference);
            format!("{:.0} %: {} Pa", 100.0 * lost, figure(drop))
        })
        .collect();
    line(&format!(
        "with part of it clogged by dust, at {reference:.2} m/s: {} (clean {} Pa)",
        ageing.join(", "),
        figure(law.pressure_drop(reference))
    ))?;
    if has_shares(fabric.bench.as_ref()) {
        line(
            "a reading in per cent of the bare fan is taken as the pressure that this fan has left at that flow, on the rig, or in the PC case if there is no rig",
        )?;
    }
    let pressure = law.pressure_drop(reference);
    let mut doubts = fabric.doubts(law, reference, &study.air);
    let is_stiff = match &fabric.kind {
        Some(FabricKind::Sheet(_)) => true,
        Some(FabricKind::Woven(woven)) => woven.material == MeshMaterial::Metal,
        Some(FabricKind::Knit(_)) | None => false,
    };
    // No blades turn behind a vent.
    if !is_stiff && study.vent.is_none() {
        doubts.push(sag_caution(pressure, study.fan.bore_diameter));
    }
    for doubt in &doubts {
        line(&format!("caution: {}; {}", doubt.message, doubt.advice))?;
    }
    Ok(())
}

fn has_shares(bench: Option<&Bench>) -> bool {
    bench.is_some_and(|bench| {
        let is_share = |reading: &BenchReading| matches!(reading, BenchReading::ShareOfBareFan(_));
        bench.readings.iter().any(is_share)
    })
}

/// A number with three figures that count, down to three decimals.
fn figure(value: f64) -> String {
    let decimals = [1.0, 10.0, 100.0]
        .iter()
        .filter(|limit| value.abs() < **limit);
    let decimals = decimals.count();
    format!("{value:.decimals$}")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_show_what_counts() {
        assert_eq!(figure(0.012), "0.012");
        assert_eq!(figure(0.12345), "0.123");
        assert_eq!(figure(12.345), "12.3");
        assert_eq!(figure(1234.5), "1234");
    }
}
