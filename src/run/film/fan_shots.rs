//! Films of the whole fan face, where the fan settles.

use crate::run::fan_view::plan::FacePlan;
use crate::run::film::clock::{Clock, Window};
use crate::run::film::shots::{Film, Scene, Shot, keyed, rakes};
use crate::run::planned::Run;
use crate::run::views::Subject;
use crate::study::{FilmView, Smoke, Study};
use crate::text::BARE_FAN;
use crate::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

/// The window of the fan face, in bore radii: ahead of the blades, behind the face of the grille, to either side.
const FACE: (f64, f64, f64) = (0.12, 4.4, 1.7);

/// Fewest cells across the radius of the bore.
const FACE_CELLS: usize = 40;

/// The film of the fan faces that the ranking found.
pub(super) fn fan_film(
    study: &Study,
    faces: &FacePlan,
    smoke: &Smoke,
    places: &[usize],
) -> Option<Film> {
    let face = |wanted: Option<usize>| {
        let (_, run) = faces.to_film().find(|(place, _)| *place == wanted)?;
        face_shot(study, wanted, run)
    };
    let wanted = std::iter::once(None).chain(places.iter().copied().map(Some));
    let shots: Vec<Shot> = wanted.filter_map(face).collect();
    let speed = shots.iter().map(|shot| shot.speed).fold(0.0, f64::max);
    let Subject::Face(face) = faces.to_film().next()?.1.subject.clone() else {
        return None;
    };
    let (bore, gap) = (face.bore_radius(), face.view.gap);
    let (ahead, behind, beside) = FACE;
    let window = Window {
        x: [-gap - ahead * bore, behind * bore],
        y: [-beside * bore, beside * bore],
    };
    let clock = Clock::new(&window, speed, smoke.seconds);
    let hub = face.exit.hub_radius();
    let rakes = rakes(smoke, FilmView::Fan, -0.94 * gap, [hub, bore]);
    Some(Film {
        view: FilmView::Fan,
        shots: keyed(shots.into_iter(), FilmView::Fan, &window, &clock, &rakes),
        window,
        clock,
        has_own_rakes: smoke.rakes.iter().any(|rake| rake.view == FilmView::Fan),
        rakes,
    })
}

/// The fan face of a run, on a grid of whole times as many cells.
fn face_shot(study: &Study, grille: Option<usize>, run: &Run) -> Option<Shot> {
    let mut run = run.clone();
    let Subject::Face(face) = &mut run.subject else {
        return None;
    };
    face.depth.cells *= FACE_CELLS.div_ceil(face.depth.cells);
    let scale = Scale::new(
        Metres(face.bore_radius()),
        face.depth.cells as f64,
        MetresPerSecond(run.face_velocity),
        LatticeVelocity(face.lattice_velocity),
        study.air.density,
    );
    let inputs = face.inputs(study, run.face_velocity, run.thickness);
    Some(Shot {
        grille,
        name: grille
            .map_or(BARE_FAN, |place| &study.grilles[place].name)
            .to_owned(),
        speed: run.face_velocity,
        key: String::new(),
        inputs,
        scale,
        scene: Scene::Run(Box::new(run)),
    })
}
