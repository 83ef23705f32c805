//! `ventwright smoke FILE`: lets smoke into the air of some grilles and shows them side by side on one clock.

use std::path::PathBuf;

use anyhow::anyhow;
use clap::Args;

use crate::cli::film_files::{MOST_BYTES, Places, is_kept, write_page};
use crate::cli::gentle::be_gentle;
use crate::cli::machine::capacity;
use crate::cli::machine::threads;
use crate::cli::rank::{Looker, open_as_found};
use crate::cli::report::write_report;
use crate::cli::results::broken;
use crate::cli::signals::Signals;
use crate::cli::smoke_desk::Desk;
use crate::cli::{Failure, Outcome, StudyArgs, Terminal};
use crate::run::batch::finished::look;
use crate::run::budget::for_fan_views;
use crate::run::conclusions::conclude::conclude;
use crate::run::fan_view::plan::FacePlan;
use crate::run::film::{Film, MOST_GRILLES, Shot, films, take};
use crate::run::planning::plan::Plan;
use crate::store::{RANKING_FILE, RESULTS_FOLDER, StudyFolder};
use crate::study::{FilmView, Smoke, Study};
use crate::text::BARE_FAN;

/// Arguments of `smoke`.
#[derive(Debug, Clone, Args)]
pub struct SmokeArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
    /// Folder that holds the results of all studies
    #[arg(long, value_name = "FOLDER", default_value = RESULTS_FOLDER)]
    pub results: PathBuf,
    /// A grille to show (repeatable); by default the first five of the ranking, or of the study if there is no ranking
    #[arg(long, value_name = "NAME")]
    pub grille: Vec<String>,
    /// What to film (repeatable): the whole fan face from the side (fan), a row of slots in a plane (slice), the true holes in three dimensions (repeat); by default what the study says
    #[arg(long, value_name = "VIEW", value_parser = FilmView::WORDS.map(|(word, _)| word))]
    pub view: Vec<String>,
    /// Film again even if the films exist
    #[arg(long)]
    pub fresh: bool,
    /// Run at low priority, so that other programs go first
    #[arg(long)]
    pub gentle: bool,
}

/// Makes the films of a study.
pub(super) fn smoke(args: &SmokeArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let on_disk = args.study.read()?;
    let study = &on_disk.study;
    let (folder, plan) = open_as_found(&on_disk, &args.results, &Looker { terminal })?;
    if args.gentle {
        be_gentle(terminal);
    }
    let (faces, ranked) = what_is_known(study, &plan, &folder, terminal);
    let places = asked_grilles(study, &args.grille, ranked)?;
    let smoke = Smoke {
        views: asked_views(&args.view).unwrap_or_else(|| study.smoke.views.clone()),
        ..study.smoke.clone()
    };
    let films = films(study, &plan, &faces, &smoke, &places);
    tell_missing_views(study, &smoke.views, &films, terminal);
    tell_missing_panels(study, &films, &places, terminal);
    for film in films.iter().filter(|film| film.has_lost_rake()) {
        let ends = film.window.x.map(|end| 1e3 * end);
        terminal.note(&format!(
            "{}: a rake is outside the film, where its smoke cannot be seen; x_mm goes from {:.0} to {:.0}",
            film.view.in_words(),
            ends[0],
            ends[1]
        ));
    }
    if films.is_empty() {
        return Err(Failure::Wrong(anyhow!("nothing to film")));
    }
    let places = Places::of(&folder);
    let wanted: Vec<(&Film, &Shot)> = films
        .iter()
        .flat_map(|film| film.shots.iter().map(move |shot| (film, shot)))
        .filter(|(film, shot)| args.fresh || !is_kept(&places, film, shot, study.run.frame_count))
        .collect();
    let signals = Signals::listen().map_err(Failure::Broken)?;
    let desk = Desk::new(&places, study, &wanted, signals.count, terminal);
    take(&wanted, capacity(study, threads(study)), &desk);
    desk.end();
    if desk.is_interrupted() {
        terminal.note("stopped: finished films are kept; run the same command again to continue");
        return Ok(Outcome::Interrupted);
    }
    if let Some(error) = desk.into_loss() {
        return Err(broken(&error));
    }
    let mut is_whole = true;
    for film in &films {
        let page = write_page(&places, film, study)?;
        is_whole &= page.is_whole;
        if page.bytes > MOST_BYTES {
            let (size, most) = (page.bytes / 1_000_000, MOST_BYTES / 1_000_000);
            terminal.note(&format!(
                "the film of the {} is {size} MB, more than the {most} MB that most forums accept; show fewer grilles or fewer seconds",
                film.view.in_words()
            ));
        }
        if let Some(path) = page.path {
            terminal.result(&format!("{}\n", path.display()))?;
        }
    }
    if folder.file(RANKING_FILE).is_file() {
        write_report(folder.path())?;
    }
    Ok(if is_whole {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

/// The fan faces that the finished runs lead to, and the places in the study of the ranked grilles, best first.
fn what_is_known(
    study: &Study,
    plan: &Plan,
    folder: &StudyFolder,
    terminal: &Terminal,
) -> (FacePlan, Vec<usize>) {
    let summaries = look(&plan.runs, folder, &Looker { terminal });
    // A film of the fan face is wanted whether the study asks for its numbers or not.
    let mut study = for_fan_views(study);
    study.fan_view = study.fan_view.or_else(|| study.usual_fan_view());
    let version = env!("CARGO_PKG_VERSION");
    let concluded = conclude(&study, plan, &summaries, version, 0.0);
    let grilles = concluded.result.grilles.iter();
    let ranked = grilles.filter(|grille| grille.rank.is_some());
    let mut ranked: Vec<_> = ranked.collect();
    ranked.sort_by_key(|grille| (grille.rank, &grille.name));
    let places = ranked.into_iter().map(|grille| grille.id).collect();
    (concluded.faces, places)
}

/// The places in the study of the grilles to show: those asked for, or the best ones.
fn asked_grilles(
    study: &Study,
    asked: &[String],
    ranked: Vec<usize>,
) -> Result<Vec<usize>, Failure> {
    // Each once: two panels of one grille would be one file.
    let mut places: Vec<usize> = Vec::new();
    // The bare fan is always there.
    for name in asked.iter().filter(|name| *name != BARE_FAN) {
        let mut grilles = study.grilles.iter();
        let Some(place) = grilles.position(|grille| grille.name == *name) else {
            let known = study.grilles.iter().map(|grille| grille.name.as_str());
            let known: Vec<&str> = known.collect();
            return Err(Failure::Wrong(anyhow!(
                "this study has no grille called {name:?}; it has: {}",
                known.join(", ")
            )));
        };
        if !places.contains(&place) {
            places.push(place);
        }
    }
    if asked.is_empty() {
        places = ranked;
        if places.is_empty() {
            places = (0..study.grilles.len()).collect();
        }
        places.truncate(MOST_GRILLES);
    }
    Ok(places)
}

/// The views that flags ask for, each once.
fn asked_views(words: &[String]) -> Option<Vec<FilmView>> {
    let meant = |word: &String| {
        let mut known = FilmView::WORDS.iter();
        known
            .find(|(known, _)| known == word)
            .map(|(_, view)| *view)
    };
    let mut views: Vec<FilmView> = words.iter().filter_map(meant).collect();
    views.sort();
    views.dedup();
    (!views.is_empty()).then_some(views)
}

/// Says which views there is no film of, and why.
fn tell_missing_views(study: &Study, views: &[FilmView], films: &[Film], terminal: &Terminal) {
    for view in views {
        if films.iter().any(|film| film.view == *view) {
            continue;
        }
        let why = match view {
            FilmView::Fan if study.usual_fan_view().is_none() => {
                "it exists only on the exhaust side of a fan with a curve"
            }
            FilmView::Fan => {
                "it needs a finished ranking, to know where the fan settles: ventwright run"
            }
            FilmView::Slice | FilmView::Repeat => "no grille has holes that this view can show",
        };
        terminal.note(&format!("no film of the {}: {why}", view.in_words()));
    }
}

/// Says which grilles a film does not show, and why.
fn tell_missing_panels(study: &Study, films: &[Film], places: &[usize], terminal: &Terminal) {
    for film in films {
        let is_shown = |place: usize| film.shots.iter().any(|shot| shot.grille == Some(place));
        let missing = places.iter().filter(|&&place| !is_shown(place));
        let missing = missing.map(|&place| study.grilles[place].name.as_str());
        let missing: Vec<&str> = missing.collect();
        if missing.is_empty() {
            continue;
        }
        let why = match film.view {
            FilmView::Fan => "no place in the ranking",
            FilmView::Slice | FilmView::Repeat => "no holes that this view can show",
        };
        terminal.note(&format!(
            "the {} leaves out {}: {why}",
            film.view.in_words(),
            missing.join(", ")
        ));
    }
}
