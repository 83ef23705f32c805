//! From solved points to the result of a study: K laws with their bands, the ranking, and everything that the outputs tell.

use crate::fan::{FanExit, NoOperatingPoint, Supply, SwirlSource};
use crate::grille::{Grille, GrilleGeometry, Turn};
use crate::likely::Warning;
use crate::meter::{Meter, MeterReading};
use crate::ranking::{GrilleLoss, PathPart, RankedGrille, Ranking, loss_coefficient_on_area, rank};
use crate::result::{
    AirProperties, GrilleName, GrilleResult, HandbookLoss, OpeningTurn, ReferenceArea, RunSummary,
    StudyResult, ThisRun,
};
use crate::run::conclusions::air_path::{self, candidates, close_panels, fabric_doubts};
use crate::run::conclusions::loss::loss;
use crate::run::conclusions::pairs::pairs;
use crate::run::conclusions::solved_panels::solved_panels;
use crate::run::conclusions::what_if::{Carrier, what_if};
use crate::run::conclusions::zone_results::{enter_laws, zone_results};
use crate::run::fan_view::plan::{FacePlan, RankedStudy};
use crate::run::planning::expected::fan_exit;
use crate::run::planning::panels::parts_with;
use crate::run::planning::plan::{GrillePlan, Plan, ZonePlan, circuit, repeat_area};
use crate::run::swirl::behind::{Behind, bare_reading, shown};
use crate::run::swirl::exhaust::ZoneStream;
use crate::run::views::flat::turn_undecided;
use crate::study::{
    Panel, Side, Study, describe, grille_cautions, grille_finger_distance_mm, panel_cautions,
    pattern_turn, unused_swirl, vent_cautions,
};
use crate::units::{CUBIC_METRES_PER_HOUR, FlowUnit};

/// The result of a study as far as the ranking goes, and what may be solved after it.
#[derive(Debug, Clone, PartialEq)]
pub struct Concluded {
    /// The result.
    pub result: StudyResult,
    /// Fan views that can be entered into it.
    pub faces: FacePlan,
}

/// The grilles that have a law, as the ranking is given them: all lists side by side.
#[derive(Default)]
struct Given<'a> {
    losses: Vec<GrilleLoss>,
    streams: Vec<Vec<ZoneStream>>,
    plans: Vec<&'a GrillePlan>,
    named: Vec<GrilleName>,
    /// Places in the plan, which are those of the results before they are ranked.
    places: Vec<usize>,
}

/// Puts the result of a study together. `summaries` in the order of the plan's runs; `elapsed` in seconds.
pub fn conclude(
    study: &Study,
    plan: &Plan,
    summaries: &[Option<RunSummary>],
    code_version: &str,
    elapsed: f64,
) -> Concluded {
    let circuit = circuit(study);
    let (grilles, given) = with_laws(study, plan, summaries);
    let mut told = of_study(study, grilles, code_version, elapsed);
    told.warnings.extend(swirl_missing(study));
    told.warnings.extend(unused_swirl(study));
    told.warnings.extend(vent_cautions(study));
    told.warnings.extend(panel_cautions(study));
    told.warnings.extend(unused_meter(study));
    told.warnings.extend(unused_fan_view(study));
    let mut faces = FacePlan::default();
    match rank(&circuit, &given.losses) {
        Ok(ranking) => {
            enter(&mut told, &ranking, study, &given);
            told.pairs = pairs(&ranking, &given.named);
            told.air_path = Some(air_path::air_path_result(
                study,
                &ranking,
                &given.losses,
                &given.named,
            ));
            let carriers = ranking.grilles.iter().map(|ranked| Carrier {
                grille: &given.named[ranked.index],
                loss: &given.losses[ranked.index],
                free_area_ratios: free_area_ratios(given.plans[ranked.index]),
            });
            let carriers: Vec<Carrier<'_>> = carriers.collect();
            told.what_if = what_if(&circuit, &carriers, &candidates(study));
            let bare = ranking.bare.as_ref().map(|bare| bare.flow.value);
            let velocity = bare.map(|flow| flow / study.reference_area());
            told.warnings
                .extend(fabric_doubts(study, velocity.unwrap_or(1.0)));
            tell_swirl(&mut told, &ranking, study, &given);
            faces = FacePlan::of(&RankedStudy {
                study,
                ranking: &ranking,
                plans: &given.plans,
                losses: &given.losses,
                named: &given.named,
                streams: &given.streams,
            });
        }
        Err(reason) => told.warnings.push(settles_nowhere("the bare fan", &reason)),
    }
    told.note_runs();
    Concluded {
        result: told,
        faces,
    }
}

/// Every grille before it is ranked, and those that have a law.
fn with_laws<'a>(
    study: &Study,
    plan: &'a Plan,
    summaries: &[Option<RunSummary>],
) -> (Vec<GrilleResult>, Given<'a>) {
    let (mut results, mut given) = (Vec::new(), Given::default());
    let panels = solved_panels(study, plan, summaries);
    for (place, grille) in plan.grilles.iter().enumerate() {
        let mut result = unranked(study, grille, summaries);
        result.warnings.extend(panels_without_number(&panels));
        match loss(study, grille, plan, summaries) {
            // Without its panel a grille would be ranked in another air path than asked for.
            Ok(_) if panels.iter().any(|(_, part)| part.is_err()) => {}
            Ok(solved) => {
                result.handbook_loss_coefficient = handbook(study, grille);
                enter_laws(&mut result.zones, &solved.loss);
                let widths = grille.zones.iter().map(|zone| zone.flow.hydraulic_diameter);
                let widest = widths.fold(0.0, f64::max);
                result.warnings.extend(close_panels(&study.panels, widest));
                let of_grille = |panel: &Panel, _: usize| {
                    let (_, part) = panels.iter().find(|(name, _)| *name == panel.name)?;
                    part.clone().ok()
                };
                let parts = parts_with(study, &free_area_ratios(grille), widest, &of_grille);
                given.losses.push(solved.loss.with_parts(&parts));
                given.streams.push(solved.streams);
                given.plans.push(grille);
                given.named.push(result.named());
                given.places.push(place);
            }
            Err(doubt) => result.warnings.extend(doubt),
        }
        results.push(result);
    }
    (results, given)
}

/// What is known of a study before its grilles are ranked.
fn of_study(
    study: &Study,
    grilles: Vec<GrilleResult>,
    code_version: &str,
    elapsed: f64,
) -> StudyResult {
    StudyResult {
        study: study.name.clone(),
        code_version: code_version.to_owned(),
        quality: study.run.quality,
        side: study.place.side,
        air: AirProperties {
            density_kg_per_m3: study.air.density,
            kinematic_viscosity_m2_per_s: study.air.kinematic_viscosity,
        },
        reference_area: ReferenceArea {
            area_m2: study.reference_area(),
            words: study.reference_area_in_words(),
        },
        bare_flow_m3_per_h: None,
        given_flow_m3_per_h: match study.fan.supply {
            Supply::GivenFlow(flow) => Some(flow * CUBIC_METRES_PER_HOUR),
            _ => None,
        },
        bare_meter: None,
        bare_fan_view: None,
        output_units: study.output_units,
        has_blades: study.vent.is_none(),
        blade_gap_mm: study.place.blade_gap.map(|gap| 1e3 * gap),
        heat_load_w: study.place.heat_load,
        bare_temperature_rise_k: None,
        grilles,
        air_path: None,
        what_if: None,
        pairs: Vec::new(),
        ties: Vec::new(),
        warnings: Vec::new(),
        this_run: ThisRun {
            elapsed_s: elapsed,
            ..ThisRun::default()
        },
    }
}

/// Free-area ratio of each zone of a grille.
fn free_area_ratios(plan: &GrillePlan) -> Vec<f64> {
    let zones = plan.zones.iter();
    zones.map(|zone| zone.flow.free_area_ratio).collect()
}

fn settles_nowhere(who: &str, reason: &NoOperatingPoint) -> Warning {
    Warning {
        code: "no-operating-point".into(),
        message: format!("{who}: {reason}"),
        advice: "check the fan curve and the K of the PC case".to_owned(),
    }
}

/// The doubt about a grille that turns so much of the fan's swirl into pressure that its holes cost less.
fn gives_back(largest_flow_m3_per_h: f64, reason: &NoOperatingPoint) -> Warning {
    Warning {
        message: format!(
            "it straightens the fan's swirl, and that gives back more pressure than its holes cost: the fan would move more than {largest_flow_m3_per_h:.1} m³/h, where its curve ends and tells no more"
        ),
        advice: reason.hint().to_owned(),
        ..settles_nowhere("this grille", reason)
    }
}

/// Enters the ranking into the result: best first, those without a number last.
fn enter(told: &mut StudyResult, ranking: &Ranking, study: &Study, given: &Given<'_>) {
    for (index, reason) in &ranking.unranked {
        let doubt = match reason {
            NoOperatingPoint::GivesBack {
                largest_flow_m3_per_h,
                ..
            } if study.is_behind_fan() => gives_back(*largest_flow_m3_per_h, reason),
            _ => settles_nowhere("this grille", reason),
        };
        told.grilles[given.places[*index]].warnings.push(doubt);
    }
    if let Some(bare) = &ranking.bare {
        told.bare_flow_m3_per_h = Some(bare.flow.scaled(CUBIC_METRES_PER_HOUR));
        told.bare_temperature_rise_k = bare.temperature_rise;
        told.warnings.extend(bare.warnings.iter().cloned());
    }
    told.warnings.extend(ranking.warnings.iter().cloned());
    let all = std::mem::take(&mut told.grilles);
    let mut rest: Vec<Option<GrilleResult>> = all.into_iter().map(Some).collect();
    for ranked in &ranking.grilles {
        if let Some(mut result) = rest[given.places[ranked.index]].take() {
            fill(&mut result, ranked, study, given.plans[ranked.index]);
            told.grilles.push(result);
        }
    }
    let by_place: Vec<usize> = told.grilles.iter().map(|grille| grille.id).collect();
    let ids = |places: &[usize]| places.iter().map(|&place| by_place[place]).collect();
    let groups = ranking.ties.iter().filter(|group| group.len() > 1);
    told.ties = groups.map(|group| ids(group)).collect();
    told.grilles.extend(rest.into_iter().flatten());
}

fn fill(result: &mut GrilleResult, ranked: &RankedGrille, study: &Study, plan: &GrillePlan) {
    result.rank = u32::try_from(ranked.rank).ok();
    result.face_velocity_m_per_s = Some(ranked.face_velocity);
    result.loss_coefficient = Some(ranked.loss_coefficient);
    result.pressure_drop_pa = Some(ranked.pressure_drop);
    let flow = ranked.flow.scaled(CUBIC_METRES_PER_HOUR);
    result.flow_m3_per_h = Some(flow);
    result.flow_cfm = Some(flow.map(|flow| FlowUnit::CubicFeetPerMinute.of_m3_per_h(flow)));
    result.flow_percent = ranked.flow_percent;
    result.temperature_rise_k = ranked.temperature_rise;
    result.other_flows_m3_per_h = ranked
        .other_flows
        .iter()
        .map(|flow| flow * CUBIC_METRES_PER_HOUR)
        .collect();
    for (zone, velocity) in result.zones.iter_mut().zip(&ranked.zone_velocities) {
        zone.face_velocity_m_per_s = Some(*velocity);
    }
    result.contributions.clone_from(&ranked.contributions);
    result.warnings.extend(ranked.warnings.iter().cloned());
    // Of several zones, the one with the most holes' worth of flow speaks for the grille.
    let zones = plan.zones.iter().zip(&ranked.zone_velocities);
    let largest = zones.max_by(|a, b| a.0.flow.open_area.total_cmp(&b.0.flow.open_area));
    result.hole_reynolds_number = largest.map(|(zone, &velocity)| {
        zone.view
            .hole_reynolds_number(velocity, study.air.kinematic_viscosity)
    });
}

/// What is known of a grille before it is ranked.
fn unranked(study: &Study, plan: &GrillePlan, summaries: &[Option<RunSummary>]) -> GrilleResult {
    let grille = &study.grilles[plan.index];
    let largest = plan
        .zones
        .iter()
        .max_by(|a, b| a.flow.open_area.total_cmp(&b.flow.open_area));
    let runs: Vec<RunSummary> = plan
        .zones
        .iter()
        .flat_map(|zone| zone.points.iter().chain(&zone.repeat))
        .flat_map(|point| &point.runs)
        .filter_map(|&index| summaries[index].clone())
        .collect();
    let mut warnings = grille_cautions(study, grille, &plan.geometry);
    let is_turn_undecided = plan.zones.iter().any(ZonePlan::is_turn_undecided);
    if is_turn_undecided {
        warnings.push(turn_undecided());
    }
    let is_blind = |zone: &ZonePlan| zone.expected_inflow > 0.0 && zone.is_blind_to_swirl();
    if plan.zones.iter().any(is_blind) {
        warnings.push(swirl_unseen());
    }
    GrilleResult {
        id: plan.index,
        name: grille.name.clone(),
        description: describe(grille),
        quality: plan.quality,
        rank: None,
        hole_area_percent: 100.0 * plan.geometry.open_area / study.reference_area(),
        zone_free_area_ratio: largest.map_or(0.0, |zone| zone.flow.free_area_ratio),
        hydraulic_diameter_mm: largest.map_or(0.0, |zone| 1e3 * zone.flow.hydraulic_diameter),
        thickness_mm: 1e3 * grille.thickness,
        hole_count: plan.geometry.hole_count,
        finger_distance_mm: grille_finger_distance_mm(&plan.geometry),
        see_through_percent: see_through_percent(&plan.geometry),
        turn: opening_turn(study, grille),
        face_velocity_m_per_s: None,
        hole_reynolds_number: None,
        loss_coefficient: None,
        handbook_loss_coefficient: None,
        pressure_drop_pa: None,
        is_turn_undecided,
        flow_m3_per_h: None,
        flow_cfm: None,
        flow_percent: None,
        temperature_rise_k: None,
        other_flows_m3_per_h: Vec::new(),
        swirl: None,
        meter: None,
        fan_view: None,
        contributions: Vec::new(),
        zones: zone_results(plan, summaries),
        runs,
        warnings,
    }
}

/// Share of the patterns through which one sees straight, per cent; mean over the zones by area.
fn see_through_percent(geometry: &GrilleGeometry) -> f64 {
    let zones = geometry.zones.iter();
    let open: f64 = zones.map(|zone| zone.zone_area * zone.straight_sight).sum();
    (100.0 * open / geometry.zone_area).clamp(0.0, 100.0)
}

/// How the openings turn, where they do.
fn opening_turn(study: &Study, grille: &Grille) -> Option<OpeningTurn> {
    let twin = study.straight_twin(grille)?;
    let mut turns = grille.zones.iter().map(|zone| pattern_turn(&zone.pattern));
    Some(OpeningTurn {
        is_lean: turns.any(|turn| matches!(turn, Turn::Lean { .. } | Turn::PatternTwist { .. })),
        straight_twin: twin.map(|twin| GrilleName::of(study, twin)),
    })
}

/// The doubt about a grille whose panel came out without a number.
fn panels_without_number(
    panels: &[(String, Result<PathPart, Vec<Warning>>)],
) -> impl Iterator<Item = Warning> {
    let failed = panels.iter().filter(|(_, part)| part.is_err());
    failed.map(|(name, _)| Warning {
        code: "panel-without-number".into(),
        message: format!("the runs of its panel {name} gave no number"),
        advice: "run the study again: finished runs are kept".to_owned(),
    })
}

/// The doubt about swirl that a flat view cannot see.
fn swirl_unseen() -> Warning {
    Warning {
        code: "swirl-unseen".into(),
        message: "the fan's swirl meets the grille, but a flat view does not see it; what it costs is not decided".to_owned(),
        advice: "holes are solved with it at the qualities standard and overnight; straight long slots, rings and bars are not".to_owned(),
    }
}

/// What is not known of the fan's swirl.
fn swirl_missing(study: &Study) -> Option<Warning> {
    let is_behind_fan = study.is_behind_fan() && !matches!(study.fan.supply, Supply::GivenFlow(_));
    let is_unknown = is_behind_fan && exit_source(study) == Some(SwirlSource::Unknown);
    is_unknown.then(|| Warning {
        code: "swirl-missing".into(),
        message: "behind a fan the air turns, usually at 20 to 45 degrees; that swirl is not known here and not in these numbers".to_owned(),
        advice: "give speed_rpm or swirl_deg in [fan]; without it take the order as a first guess and compare on the bench".to_owned(),
    })
}

fn exit_source(study: &Study) -> Option<SwirlSource> {
    fan_exit(study).map(|exit| exit.source())
}

/// A meter that is given where nothing is said of it.
fn unused_meter(study: &Study) -> Option<Warning> {
    study.meter?;
    let message = match exit_source(study) {
        None => {
            "[meter] is given, but on the intake side the air behind the grille does not turn: it is not used"
        }
        Some(SwirlSource::Unknown) => {
            "[meter] is given, but how the air turns is not known: what it shows is not told"
        }
        Some(_) => return None,
    };
    Some(Warning {
        code: "meter-not-used".into(),
        message: message.to_owned(),
        advice: "a meter is told of behind a fan with speed_rpm or swirl_deg".to_owned(),
    })
}

/// A fan view that is asked for where there is none.
fn unused_fan_view(study: &Study) -> Option<Warning> {
    study.fan_view?;
    let message = match (study.place.side, &study.fan.supply) {
        (Side::Intake, _) => {
            "[fan_view] is given, but on the intake side there is nothing to see behind the grille but the fan: it is not used"
        }
        (Side::Exhaust, Supply::GivenFlow(_)) => {
            "[fan_view] is given, but a flow instead of a fan: it is not used"
        }
        (Side::Exhaust, _) => return None,
    };
    Some(Warning {
        code: "fan-view-not-used".into(),
        message: message.to_owned(),
        advice: "leave it out, or write solve = false in it".to_owned(),
    })
}

/// Enters what the swirl does to each grille, and what a meter shows, where the swirl is known.
fn tell_swirl(told: &mut StudyResult, ranking: &Ranking, study: &Study, given: &Given<'_>) {
    let Some(exit) = fan_exit(study).filter(|exit| exit.source() != SwirlSource::Unknown) else {
        return;
    };
    let bare = study
        .meter
        .and_then(|meter| bare_of(&exit, ranking, study, &meter));
    told.bare_meter = bare.as_ref().map(|reading| shown(reading, None, false));
    let at_grille = exit.half_spread();
    // Those with a number stand first, in the order of the ranking.
    for (ranked, result) in ranking.grilles.iter().zip(&mut told.grilles) {
        let (loss, streams) = (&given.losses[ranked.index], &given.streams[ranked.index]);
        let behind = Behind::of(&at_grille, &loss.zones, streams, ranked);
        result
            .warnings
            .extend(swirl_held(&exit, study, ranked.flow.value));
        result.swirl = Some(behind.swirl(ranked, ranked.face_velocity.value));
        result.meter = study
            .meter
            .map(|meter| shown(&behind.reading(&meter), bare.as_ref(), false));
    }
}

/// The doubt about a swirl beyond what Euler's equation can tell.
fn swirl_held(exit: &FanExit, study: &Study, flow: f64) -> Option<Warning> {
    let pressure = study.fan.supply.band()?.central.pressure(flow);
    exit.is_held(flow, Some(pressure)).then(|| Warning {
        code: "swirl-held".into(),
        message: "throttled so far, the fan would turn the air by more than 60 degrees: it is held there, and the fan is near stall".to_owned(),
        advice: "take a more open grille, or give the angle as swirl_deg".to_owned(),
    })
}

/// What a meter shows behind the bare fan; `None` where a flow was given instead of a fan.
fn bare_of(
    exit: &FanExit,
    ranking: &Ranking,
    study: &Study,
    meter: &Meter,
) -> Option<MeterReading> {
    let flow = ranking.bare.as_ref()?.flow.value;
    let pressure = study.fan.supply.band()?.central.pressure(flow);
    let circulation = exit.circulation(flow, Some(pressure))?;
    Some(bare_reading(meter, exit, flow, circulation))
}

/// The handbook's K of a grille with one zone, on the reference area.
fn handbook(study: &Study, plan: &GrillePlan) -> Option<HandbookLoss> {
    let [zone] = plan.zones.as_slice() else {
        return None;
    };
    let (loss, source) = zone.handbook?;
    Some(HandbookLoss {
        value: loss_coefficient_on_area(loss, repeat_area(&zone.flow), study.reference_area()),
        formula: source.to_owned(),
    })
}
