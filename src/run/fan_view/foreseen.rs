//! The fan views that will follow a ranking that is not there yet: how many, how large, how long.

use crate::grille::ZoneFlow;
use crate::ranking::{GrilleLoss, rank};
use crate::result::GrilleName;
use crate::run::fan_view::plan::{FaceOf, FacePlan, FaceSetup, Settled};
use crate::run::planned::Run;
use crate::run::planning::expected::expected_loss;
use crate::run::planning::plan::{Plan, circuit};
use crate::run::views::zone_view::ZoneView;
use crate::study::Study;
use crate::tunnel::FaceGrille;

/// The fan views that are to be expected, where a fan would settle with the handbook's K; grids and steps are about those of the real ones, their results are not.
///
/// Empty where there will be none.
pub fn foreseen_fan_views(study: &Study, plan: &Plan) -> FacePlan {
    let mut foreseen = FacePlan::default();
    let Some(setup) = FaceSetup::of(study) else {
        return foreseen;
    };
    let losses: Vec<GrilleLoss> = plan
        .grilles
        .iter()
        .map(|grille| {
            let zones = grille.zones.iter().map(|zone| (&zone.flow, &zone.view));
            let zones: Vec<(&ZoneFlow, &ZoneView)> = zones.collect();
            expected_loss(study, &study.grilles[grille.index].name, &zones)
        })
        .collect();
    let Ok(ranking) = rank(&circuit(study), &losses) else {
        return foreseen;
    };
    let settled = |flow: f64, loss: f64| Settled {
        flow,
        circulation: 0.0,
        bore_loss: setup.bore_loss(loss),
    };
    let mut bare_place = None;
    // Two that differ only by what the grille does to the air count as two, as they will.
    let mut push = |run: Run| {
        foreseen.runs.push(run);
        foreseen.runs.len() - 1
    };
    if let Some(bare) = &ranking.bare {
        bare_place = Some(push(setup.bare(settled(bare.flow.value, 0.0))));
    }
    let mut grilles = Vec::new();
    for ranked in &ranking.grilles {
        let grille = &plan.grilles[ranked.index];
        let drawn = &study.grilles[grille.index];
        let face = FaceGrille {
            thickness: drawn.thickness / setup.exit.tip_radius(),
            ..FaceGrille::default()
        };
        let settled = settled(ranked.flow.value, ranked.loss_coefficient.value);
        let (run, rings) = setup.pictures(drawn, grille, face, settled);
        let (run, rings) = (push(run), rings.map(&mut push));
        grilles.push(FaceOf {
            grille: GrilleName::of(study, grille.index),
            run,
            rings,
        });
    }
    foreseen.bare = bare_place;
    foreseen.grilles = grilles;
    foreseen
}
