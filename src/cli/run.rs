//! `ventwright run FILE`: solves the flow through every grille and ranks them.

use std::path::{Path, PathBuf};
use std::sync::atomic::{AtomicUsize, Ordering};
use std::time::{Duration, SystemTime};

use anyhow::{Context, anyhow};
use clap::Args;

use crate::cli::fan_views::add_fan_views;
use crate::cli::progress::{Progress, Stage, batch_in_words};
use crate::cli::{Failure, Outcome, PlannedRun, RunPlan, StudyArgs, StudyOnDisk, Terminal};
use crate::report::StudyResult;
use crate::report::ranking_csv::write_ranking_csv;
use crate::report::ranking_json::write_ranking_json;
use crate::report::screen::{Pointer, ScreenOptions, write_screen};
use crate::run::batch::{BatchLimits, solve};
use crate::run::conclude::conclude;
use crate::run::face_foreseen::foreseen_fan_views;
use crate::run::plan::{LARGEST_RUN_BYTES, Plan, TooLarge, ZonePlan, plan};
use crate::run::planned::Run;
use crate::run::schedule::{expected_seconds, schedule};
use crate::store::{StoreError, StudyFolder, write_whole};
use crate::study::{Quality, Study, Threads};

/// Age from which on a half-written file is nobody's.
const LEFTOVER_AGE: Duration = Duration::from_secs(600);

/// Where results go unless the user says otherwise.
const RESULTS: &str = "results";

/// Arguments of `run`.
#[derive(Debug, Clone, Args)]
pub struct RunArgs {
    /// The study.
    #[command(flatten)]
    pub study: StudyArgs,
    /// Folder under which the results of every study are kept
    #[arg(long, value_name = "FOLDER", default_value = RESULTS)]
    pub results: PathBuf,
    /// Solve finished runs again instead of reusing them
    #[arg(long)]
    pub fresh: bool,
}

/// Runs a study.
pub(super) fn run(args: &RunArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let on_disk = args.study.read()?;
    let plan = planned(&on_disk)?;
    let study = on_disk.study;
    let folder = open(&args.results, &study)?;
    let threads = threads(&study);
    let signals = Signals::listen().map_err(Failure::Broken)?;
    let stage = Stage::Ranking;
    let progress = Progress::new(&plan.runs, stage, threads, terminal, signals.count);
    let limits = BatchLimits {
        run_seconds: study.run.time_limit_per_run.as_secs_f64(),
        batch_seconds: study.run.time_limit.as_secs_f64(),
        threads,
        is_fresh: args.fresh,
    };
    let batch = solve(&plan.runs, &folder, &limits, &progress);
    let elapsed = progress.end();
    if signals.count.load(Ordering::Relaxed) > 0 {
        let done = batch.summaries.iter().flatten().count();
        terminal.note(&format!(
            "stopped: {done} of {} runs are finished and kept in {}; run the same command again to go on",
            plan.runs.len(),
            folder.path().display()
        ));
        return Ok(Outcome::Interrupted);
    }
    terminal.note(&batch_in_words(&batch.summaries, elapsed));
    let concluded = conclude(
        &study,
        &plan,
        &batch.summaries,
        env!("CARGO_PKG_VERSION"),
        elapsed,
    );
    let mut result = concluded.result;
    // Before the fan views, which may be stopped. A full disk must not keep the answer of a long night from the screen.
    let mut written = write_ranking(&folder, &result);
    let seen = add_fan_views(
        &study,
        &concluded.faces,
        &folder,
        &limits,
        (terminal, signals.count),
        &mut result,
    );
    if seen.is_interrupted {
        written?;
        return Ok(Outcome::Interrupted);
    }
    if !concluded.faces.runs.is_empty() {
        written = write_ranking(&folder, &result);
    }
    show(&study, args, &folder, &result, terminal)?;
    written?;
    if batch.has_lost_files || seen.has_lost_files {
        return Err(Failure::Broken(anyhow!(
            "some files could not be written, see above"
        )));
    }
    let all_ranked = result.grilles.iter().all(|grille| grille.rank.is_some());
    Ok(if all_ranked {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

/// The runs of a study; grilles that do not fit into memory are faults of the study.
pub(super) fn planned(on_disk: &StudyOnDisk) -> Result<Plan, Failure> {
    plan(&on_disk.study).map_err(|grilles| {
        let fault = |grille: TooLarge| {
            on_disk.draft.too_many_cells(
                &grille.grille,
                grille.cell_count,
                grille.memory_bytes,
                LARGEST_RUN_BYTES as f64,
            )
        };
        Failure::Study(grilles.into_iter().map(fault).collect())
    })
}

/// What `check` tells of the runs.
pub(super) fn foreseen(on_disk: &StudyOnDisk) -> Result<Option<RunPlan>, Failure> {
    let plan = planned(on_disk)?;
    let study = &on_disk.study;
    let threads = threads(study);
    let undecided = plan
        .grilles
        .iter()
        .filter(|grille| grille.zones.iter().any(ZonePlan::is_turn_undecided));
    Ok(Some(RunPlan {
        runs: batch(&plan.runs, threads),
        fan_views: batch(&foreseen_fan_views(study, &plan), threads),
        threads,
        undecided: undecided
            .map(|grille| study.grilles[grille.index].name.clone())
            .collect(),
    }))
}

/// The runs of a batch, each with its share of the time.
fn batch(runs: &[Run], threads: usize) -> Vec<PlannedRun> {
    let all: Vec<usize> = (0..runs.len()).collect();
    let order = schedule(runs, &all, threads);
    let work: f64 = runs.iter().map(expected_seconds).sum();
    let planned = runs.iter().map(|run| PlannedRun {
        grille: run.grille.clone(),
        view: run.view_in_words().to_owned(),
        is_three_dimensional: run.is_repeat(),
        face_velocity: run.face_velocity,
        cell_count: run.cell_count() as u64,
        memory_bytes: run.memory_bytes(),
        seconds: expected_seconds(run) / work.max(f64::MIN_POSITIVE) * order.seconds,
    });
    planned.collect()
}

fn open(results: &Path, study: &Study) -> Result<StudyFolder, Failure> {
    let folder = StudyFolder::open(results, &study.name).map_err(|error| broken(&error))?;
    let text = study.to_toml();
    // Nobody writes on one file for as long as this: what is older was left by a program that was killed.
    if let Some(before) = SystemTime::now().checked_sub(LEFTOVER_AGE) {
        folder.sweep(before);
    }
    write_whole(&folder.file("study.toml"), |out| {
        out.write_all(text.as_bytes())
    })
    .map_err(|error| broken(&error))?;
    Ok(folder)
}

/// The words of a store error hold those of its causes: they are not to be told twice.
fn broken(error: &StoreError) -> Failure {
    Failure::Broken(anyhow!("{error}"))
}

fn threads(study: &Study) -> usize {
    let available = std::thread::available_parallelism().map_or(1, usize::from);
    match study.run.threads {
        Threads::All => available,
        Threads::Count(count) => usize::try_from(count).unwrap_or(available),
    }
}

fn write_ranking(folder: &StudyFolder, result: &StudyResult) -> Result<(), Failure> {
    write_whole(&folder.file("ranking.csv"), |out| {
        write_ranking_csv(result, out)
    })
    .and_then(|()| {
        write_whole(&folder.file("ranking.json"), |out| {
            write_ranking_json(result, out)
        })
    })
    .map_err(|error| broken(&error))
}

/// A path as it can be typed in a shell: in quotation marks where it needs them.
fn as_typed(path: &Path) -> String {
    let path = path.display().to_string();
    let is_plain = |c: char| c.is_alphanumeric() || "-_./+=:,@%\\~".contains(c);
    if path.chars().all(is_plain) {
        path
    } else if path.contains('\'') {
        // Single quotation marks end at the next one; double ones take it.
        format!("\"{path}\"")
    } else {
        format!("'{path}'")
    }
}

/// The first screen.
fn show(
    study: &Study,
    args: &RunArgs,
    folder: &StudyFolder,
    result: &StudyResult,
    terminal: &Terminal,
) -> Result<(), Failure> {
    let path = |name: &str| folder.file(name).display().to_string();
    let ranking = path("ranking.csv");
    let runs = path("runs");
    let picture = result.grilles.first().and_then(|grille| {
        // A run in three dimensions tells most, a fine grid more than a coarse one.
        let valid = grille.runs.iter().filter(|run| run.is_valid);
        let (solid, flat): (Vec<_>, Vec<_>) = valid.partition(|run| run.oblique.is_some());
        let mut pictures = solid
            .into_iter()
            .chain(flat)
            .map(|run| folder.run_file(&run.key, "picture.png"));
        let found = pictures.find(|picture| picture.is_file());
        found.map(|picture| picture.display().to_string())
    });
    let mut files = vec![Pointer {
        what: &ranking,
        why: "all numbers, for a spreadsheet (ranking.json beside it)",
    }];
    files.push(match &picture {
        Some(picture) => Pointer {
            what: picture,
            why: "where the air goes behind the first grille of the list; mean.vti beside it for a viewer of VTK files",
        },
        None => Pointer {
            what: &runs,
            why: "what the runs left",
        },
    });
    let view = result.grilles.iter().find_map(|g| g.fan_view.as_ref());
    let view = view.map(|view| folder.run_file(&view.run.key, "picture.png"));
    let view = view.filter(|picture| picture.is_file());
    let view = view.map(|picture| picture.display().to_string());
    files.extend(view.as_ref().map(|picture| Pointer {
        what: picture,
        why: "the whole fan face from the side, with the same grille",
    }));
    let deeper = match study.run.quality {
        Quality::Quick => Some("standard"),
        Quality::Standard => Some("overnight"),
        Quality::Overnight => None,
    };
    let study_file = as_typed(&args.study.file);
    let results = if args.results == Path::new(RESULTS) {
        String::new()
    } else {
        format!(" --results {}", as_typed(&args.results))
    };
    let deeper_command =
        deeper.map(|quality| format!("ventwright run {study_file} --quality {quality}{results}"));
    let check = format!("ventwright check {study_file}");
    let mut next = Vec::new();
    if let Some(command) = &deeper_command {
        next.push(Pointer {
            what: command,
            why: if study.run.quality == Quality::Quick {
                "holes in three dimensions, narrower ranges"
            } else {
                "finer grids, narrower ranges"
            },
        });
    }
    next.push(Pointer {
        what: &check,
        why: "ribs, overhang, what passes the holes",
    });
    let options = ScreenOptions {
        width: terminal.width(),
        has_colour: terminal.is_stdout_coloured(),
        is_ascii: false,
        files: &files,
        next: &next,
    };
    let mut text = Vec::new();
    write_screen(result, &options, &mut text)
        .context("laying out the first screen")
        .map_err(Failure::Broken)?;
    terminal.result(&String::from_utf8_lossy(&text))
}

/// Counts what is sent to stop the program; the second time it ends at once.
struct Signals {
    count: &'static AtomicUsize,
}

impl Signals {
    fn listen() -> Result<Self, anyhow::Error> {
        static COUNT: AtomicUsize = AtomicUsize::new(0);
        ctrlc::set_handler(|| {
            if COUNT.fetch_add(1, Ordering::Relaxed) > 0 {
                // The user asked twice; files appear whole or not at all.
                std::process::exit(130);
            }
        })
        .context("listening for the signal to stop")?;
        Ok(Self { count: &COUNT })
    }
}
