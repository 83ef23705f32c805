//! The part of `ventwright check` that tells how the air behind a fan turns, and which lean suits it.

use crate::cli::checked::CheckedGrille;
use crate::fan::{FanExit, SwirlSource};
use crate::grille::{Pattern, Zone};
use crate::study::Study;
use crate::units::CUBIC_METRES_PER_HOUR;

/// Swirl angles at three radii, and how sure they are.
struct Swirl {
    /// Radius (m) and tangent of the angle.
    at: [(f64, f64); 3],
    /// Factors between which the tangents lie.
    band: (f64, f64),
}

/// The swirl of air as it leaves the fan of an exhaust study, at a flow in m³/s; `None` on the intake side and where it is not known.
fn swirl_at_fan(study: &Study, flow: f64) -> Option<Swirl> {
    let exit = exit(study)?;
    swirl(study, &exit, flow)
}

/// The same as it meets the grille, where it has spread halfway.
fn swirl_at_grille(study: &Study, flow: f64) -> Option<Swirl> {
    let exit = exit(study)?.half_spread();
    swirl(study, &exit, flow)
}

/// The air as it leaves the fan; `None` where no grille meets it.
fn exit(study: &Study) -> Option<FanExit> {
    let is_met = study.is_behind_fan();
    is_met.then(|| FanExit::of(&study.fan, study.air.density))
}

fn swirl(study: &Study, exit: &FanExit, flow: f64) -> Option<Swirl> {
    let pressure = study.fan.supply.band();
    let pressure = pressure.map(|band| band.central.pressure(flow));
    let circulation = exit.circulation(flow, pressure)?;
    Some(Swirl {
        at: exit
            .three_radii()
            .map(|radius| (radius, exit.swirl_tangent(circulation, flow, radius))),
        band: exit.circulation_band(),
    })
}

/// One line on the air that leaves the fan at a flow, m³/s; `None` on the intake side.
pub(super) fn exit_in_words(study: &Study, flow: f64) -> Option<String> {
    let exit = exit(study)?;
    let Some(swirl) = swirl_at_fan(study, flow) else {
        return Some(
            "swirl: unknown; give speed_rpm and a fan curve, or swirl_deg, in [fan]".to_owned(),
        );
    };
    let source = match exit.source() {
        SwirlSource::Given { .. } => "as given".to_owned(),
        _ => format!(
            "from its speed and curve (Euler's turbomachine equation, hydraulic efficiency {})",
            study.fan.hydraulic_efficiency
        ),
    };
    Some(format!(
        "swirl: at {:.0} m3/h the air leaves the fan turning with it, {} degrees to the axis at {} mm from it, {source}; likely {:.2} to {:.2} times that (tangents)",
        flow * CUBIC_METRES_PER_HOUR,
        list(swirl.at.map(|(_, tangent)| tangent.atan().to_degrees())),
        list(swirl.at.map(|(radius, _)| 1e3 * radius)),
        swirl.band.0,
        swirl.band.1,
    ))
}

/// The lean that suits the fan's swirl, one line for every zone of holes; nothing on the intake side or where the swirl is not known.
///
/// ```text
/// tan(lean) = phi tan(swirl)      phi: free-area ratio; the air in a hole is faster by 1/phi along the axis, and turns as much as ahead of it
/// ```
pub(super) fn matching_lean(study: &Study, checked: &CheckedGrille<'_>) -> Vec<String> {
    let flow = checked.expectation.as_ref().map(|expected| expected.flow);
    let Some(swirl) = flow.and_then(|flow| swirl_at_grille(study, flow)) else {
        return Vec::new();
    };
    let zones = checked.grille.zones.iter().zip(&checked.geometry.zones);
    zones
        .filter(|(zone, _)| matches!(zone.pattern, Pattern::Holes(_)))
        .filter_map(|(zone, numbers)| lean_of_zone(zone, numbers.pattern_free_area_ratio, &swirl))
        .collect()
}

fn lean_of_zone(zone: &Zone, free_area_ratio: f64, swirl: &Swirl) -> Option<String> {
    let within = swirl
        .at
        .iter()
        .filter(|(radius, _)| (zone.inner_radius..=zone.outer_radius).contains(radius));
    let leans: Vec<String> = within
        .map(|(radius, tangent)| {
            format!(
                "{:.0} degrees at {:.0} mm (swirl {:.0})",
                (free_area_ratio * tangent).atan().to_degrees(),
                1e3 * radius,
                tangent.atan().to_degrees()
            )
        })
        .collect();
    (!leans.is_empty()).then(|| {
        format!(
            "the lean that suits this fan's swirl (lean_deg; air and holes are in line where tan(lean) = hole area share x tan(swirl)): {} from the fan's axis; when in doubt, less",
            leans.join(", ")
        )
    })
}

/// `33, 24 and 20`
fn list(values: [f64; 3]) -> String {
    let [a, b, c] = values.map(|value| format!("{value:.0}"));
    format!("{a}, {b} and {c}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::cli::expectation::expect;
    use crate::study::Draft;

    fn study(fan: &str, side: &str) -> Study {
        let text = format!(
            r#"
            format = 1
            study.name = "swirl"
            [fan]
            bore_mm = 116
            hub_mm = 40
            free_flow_m3_per_h = 98
            shut_off_pressure_pa = 24
            {fan}
            [place]
            side = "{side}"
            [[grille]]
            name = "hexagons"
            thickness_mm = 4
            holes = {{ shape = "hexagon", across_flats_mm = 5, rib_mm = 2.71 }}
            "#
        );
        let draft = Draft::parse(text.as_bytes(), "swirl").unwrap();
        draft.resolve(&mut |_| Err(String::new())).unwrap()
    }

    fn lean(study: &Study) -> Vec<String> {
        let grille = &study.grilles[0];
        let geometry = grille.resolve(study.fan.hub_diameter).unwrap();
        let checked = CheckedGrille {
            grille,
            expectation: expect(study, grille, &geometry),
            geometry: &geometry,
        };
        matching_lean(study, &checked)
    }

    #[test]
    fn the_lean_follows_from_open_area_and_swirl_at_each_radius() {
        // 30 degrees at the median radius where the air leaves, as fast everywhere; halfway to even air it is slower by 1/2 + 1/2 annulus / bore there. A free vortex, so tan
        // falls as 1/r; 42 % open.
        let study = study("swirl_deg = 30\nexit_profile = \"uniform\"", "exhaust");
        let lines = lean(&study);
        assert_eq!(lines.len(), 1);
        let slower = 0.5 + 0.5 * (1.0 - (40.0_f64 / 116.0).powi(2));
        let tangent = 30_f64.to_radians().tan() / slower;
        let (swirl, lean) = (tangent.atan(), (0.42 * tangent).atan());
        let (swirl, lean) = (swirl.to_degrees(), lean.to_degrees());
        assert!(
            lines[0].contains(&format!("{lean:.0} degrees at 43 mm (swirl {swirl:.0})")),
            "{lines:?}"
        );
        let radii = FanExit::of(&study.fan, 1.2).three_radii();
        let hub = (tangent * radii[1] / radii[0]).atan().to_degrees();
        assert!(lines[0].contains(&format!("(swirl {hub:.0})")), "{lines:?}");
    }

    #[test]
    fn without_a_known_swirl_no_lean_is_told() {
        assert!(lean(&study("", "exhaust")).is_empty());
        assert!(lean(&study("swirl_deg = 30", "intake")).is_empty());
        assert_eq!(
            exit_in_words(&study("swirl_deg = 30", "intake"), 0.02),
            None
        );
        let unknown = exit_in_words(&study("", "exhaust"), 0.02).unwrap();
        assert!(unknown.contains("unknown"));
        let euler = exit_in_words(&study("speed_rpm = 1400", "exhaust"), 0.02).unwrap();
        assert!(euler.contains("Euler"), "{euler}");
    }
}
