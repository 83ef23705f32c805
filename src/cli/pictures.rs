//! `ventwright pictures STUDY`: grilles side by side on one scale, from the results folder alone.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context, anyhow};
use clap::{Args, ValueEnum};

use crate::cli::kept_fields::kept_run;
use crate::cli::kept_study::{Kept, KeptArgs};
use crate::cli::results::broken;
use crate::cli::{Failure, Outcome, Terminal};
use crate::fields::{KeptCut, KeptPanel, KeptView, Quantity, common_range, write_side_by_side};
use crate::result::{RunSummary, StudyResult, View};
use crate::store::{set_name, write_whole};
use crate::text::BARE_FAN;

/// Folder of the pictures, within the results folder.
const PICTURES: &str = "pictures";

/// Most grilles on a page.
const MOST_PANELS: usize = 40;

/// Arguments of `pictures`.
#[derive(Debug, Clone, Args)]
pub struct PicturesArgs {
    /// Whose results.
    #[command(flatten)]
    pub kept: KeptArgs,
    /// Show only this grille (repeatable, shown in this order); `bare fan` works too
    #[arg(long, value_name = "NAME")]
    pub grille: Vec<String>,
    /// Which views (repeatable); all that exist by default
    #[arg(long, value_name = "VIEW")]
    pub view: Vec<PictureView>,
    /// What the colours show
    #[arg(long, value_name = "WHAT", default_value = "speed")]
    pub show: Shown,
}

/// A kind of view.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum PictureView {
    /// One hole or slot, flat
    Flat,
    /// One repeat in three dimensions, along and across the flow
    Repeat,
    /// The whole fan face from the side
    Fan,
}

/// What is shown.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Shown {
    /// Mean air speed along the flow
    Speed,
    /// Mean air speed around the fan's axis (fan view)
    Swirl,
    /// Turbulence intensity
    Turbulence,
    /// Mean pressure
    Pressure,
    /// Vortices of the mean flow (Q criterion)
    Vortices,
    /// How fast the mean flow turns about the axis (vorticity along it; not in flat views)
    Turning,
}

impl Shown {
    fn quantity(self) -> Quantity {
        match self {
            Self::Speed => Quantity::Speed,
            Self::Swirl => Quantity::Swirl,
            Self::Turbulence => Quantity::Turbulence,
            Self::Pressure => Quantity::Pressure,
            Self::Vortices => Quantity::Vortices,
            Self::Turning => Quantity::Turning,
        }
    }
}

impl PictureView {
    /// The pictures that are made of it: how it is cut, and what the file is called after.
    pub(super) fn cuts(self) -> &'static [(KeptView, &'static str)] {
        match self {
            Self::Flat => &[(KeptView::Flat, "flat")],
            Self::Repeat => &[
                (KeptView::Along, "repeat-along"),
                (KeptView::Across, "repeat-across"),
            ],
            Self::Fan => &[(KeptView::Face, "fan")],
        }
    }

    pub(super) fn in_words(self) -> &'static str {
        match self {
            Self::Flat => "flat views",
            Self::Repeat => "repeats in three dimensions",
            Self::Fan => "fan views",
        }
    }
}

/// Draws the pictures and says where they are.
pub(super) fn pictures(args: &PicturesArgs, terminal: &Terminal) -> Result<Outcome, Failure> {
    let folder = args.kept.folder()?;
    let kept = Kept::open(&folder)?.ok_or_else(|| {
        let folder = folder.display();
        Failure::Wrong(anyhow!(
            "there is no ranking in {folder}; let the study run to the end first"
        ))
    })?;
    let Kept {
        result: kept,
        damaged,
        missing,
    } = kept;
    for fault in damaged.iter().chain(&missing) {
        terminal.complaint(fault);
    }
    let asked = asked(&kept, &args.grille)?;
    let views = views(args);
    let (mut drawn, mut is_whole) = (Vec::new(), damaged.is_empty() && missing.is_none());
    for &view in &views {
        let mut found = runs(&kept, &asked, view);
        if found.len() > MOST_PANELS {
            let (count, what) = (found.len(), view.in_words());
            terminal.note(&format!(
                "showing the first {MOST_PANELS} of {count} {what}; choose others with --grille"
            ));
            found.truncate(MOST_PANELS);
        }
        if found.is_empty() {
            if !args.view.is_empty() {
                is_whole = false;
                let what = view.in_words();
                terminal.complaint(&format!("these grilles have no {what}"));
            }
            continue;
        }
        is_whole &= draw(
            args,
            &folder,
            &kept.study,
            view,
            &found,
            terminal,
            &mut drawn,
        )?;
    }
    if drawn.is_empty() {
        return Err(Failure::Wrong(anyhow!(
            "nothing to draw: no finished view of these grilles shows this"
        )));
    }
    let lines: Vec<String> = drawn
        .iter()
        .map(|path| format!("{}\n", path.display()))
        .collect();
    terminal.result(&lines.concat())?;
    Ok(if is_whole {
        Outcome::Done
    } else {
        Outcome::SomeInvalid
    })
}

/// The views to draw, each once: those asked for, or all that can show what is asked for.
fn views(args: &PicturesArgs) -> Vec<PictureView> {
    if args.view.is_empty() {
        return match args.show {
            Shown::Swirl => vec![PictureView::Fan],
            Shown::Turning => vec![PictureView::Repeat, PictureView::Fan],
            _ => PictureView::value_variants().to_vec(),
        };
    }
    let mut views = Vec::new();
    for view in &args.view {
        if !views.contains(view) {
            views.push(*view);
        }
    }
    views
}

/// Places in the study of the grilles to show, best first or as asked, each once; `None` is the bare fan.
fn asked(kept: &StudyResult, only: &[String]) -> Result<Vec<Option<usize>>, Failure> {
    let grilles = kept.grilles.iter();
    let known = grilles.map(|grille| (grille.name.as_str(), Some(grille.id)));
    let known: Vec<(&str, Option<usize>)> =
        std::iter::once((BARE_FAN, None)).chain(known).collect();
    if only.is_empty() {
        return Ok(known.into_iter().map(|(_, id)| id).collect());
    }
    let mut asked = Vec::new();
    for name in only {
        let Some((_, id)) = known.iter().find(|(known, _)| known == name) else {
            let known: Vec<&str> = known.iter().map(|(name, _)| *name).collect();
            let known = known.join(", ");
            return Err(Failure::Wrong(anyhow!(
                "this study has no grille called {name:?}; it has: {known}"
            )));
        };
        if !asked.contains(id) {
            asked.push(*id);
        }
    }
    Ok(asked)
}

/// The best runs of a view by their keys, each with the grilles that it stands for: a flat view does not see how a hole turns.
pub(super) fn runs<'a>(
    kept: &'a StudyResult,
    grilles: &[Option<usize>],
    view: PictureView,
) -> Vec<(Vec<&'a str>, &'a str)> {
    let of = |id: &Option<usize>| -> Option<(&'a str, &'a str)> {
        let Some(id) = *id else {
            let bare = kept.bare_fan_view.as_ref();
            return bare
                .filter(|_| view == PictureView::Fan)
                .map(|bare| (BARE_FAN, bare.run.key.as_str()));
        };
        let grille = kept.grille(id)?;
        let key = match view {
            PictureView::Fan => &grille.fan_view.as_ref()?.run.key,
            PictureView::Repeat => best(&grille.runs, &[View::Repeat])?,
            PictureView::Flat => best(&grille.runs, &[View::Hole, View::Slice])?,
        };
        Some((grille.name.as_str(), key.as_str()))
    };
    let mut found: Vec<(Vec<&str>, &str)> = Vec::new();
    for (name, key) in grilles.iter().filter_map(of) {
        match found.iter_mut().find(|(_, known)| *known == key) {
            Some((grilles, _)) => grilles.push(name),
            None => found.push((vec![name], key)),
        }
    }
    found
}

/// The key of the valid run on the finest grid.
fn best<'a>(runs: &'a [RunSummary], views: &[View]) -> Option<&'a String> {
    let of_view = runs
        .iter()
        .filter(|run| run.is_valid && views.contains(&run.view));
    of_view
        .max_by(|a, b| a.cells_across.total_cmp(&b.cells_across))
        .map(|run| &run.key)
}

/// What a view shows of some grilles, for each of its cuts, and what could not be read.
pub(super) struct Pages {
    /// The panels of each cut.
    pub(super) pages: Vec<Vec<KeptPanel>>,
    /// What is missing or damaged, a sentence each.
    pub(super) faults: Vec<String>,
}

/// Reads what a view shows of the runs that stand for some grilles.
pub(super) fn pages(
    folder: &Path,
    view: PictureView,
    quantity: Quantity,
    runs: &[(Vec<&str>, &str)],
) -> Pages {
    let wanted = [quantity.array(), "solid", "grille_zone"];
    let mut faults = Vec::new();
    let mut pages: Vec<Vec<KeptPanel>> = view.cuts().iter().map(|_| Vec::new()).collect();
    for (names, key) in runs {
        let Some((name, others)) = names.split_first() else {
            continue;
        };
        let (record, image) = match kept_run(folder, key, &wanted) {
            Ok(read) => read,
            Err(error) => {
                faults.push(format!("{name}: {error:#}"));
                continue;
            }
        };
        let run = &record.summary;
        let detail = if view == PictureView::Fan {
            format!(
                "{}, {:.2} m/s mean in the bore",
                run.view, run.face_velocity_m_per_s
            )
        } else {
            format!(
                "{}, {:.2} m/s ahead, K {:.2} on that speed",
                run.view, run.face_velocity_m_per_s, run.loss_coefficient.value
            )
        };
        let detail = if others.is_empty() {
            detail
        } else {
            format!("{detail}; also stands for {}", others.join(", "))
        };
        let before = pages.iter().map(Vec::len).sum::<usize>();
        for ((cut, _), panels) in view.cuts().iter().zip(&mut pages) {
            let speed = run.face_velocity_m_per_s;
            panels.extend(
                KeptCut::of(&image, *cut, quantity, speed).map(|cut| KeptPanel {
                    grille: (*name).to_owned(),
                    detail: detail.clone(),
                    cut,
                }),
            );
        }
        if pages.iter().map(Vec::len).sum::<usize>() == before {
            let array = quantity.array();
            faults.push(format!(
                "{name}: its {} does not contain this ({array})",
                run.view
            ));
        }
    }
    Pages { pages, faults }
}

/// Draws the pictures of a view; whether every field could be read.
fn draw(
    args: &PicturesArgs,
    folder: &Path,
    study: &str,
    view: PictureView,
    runs: &[(Vec<&str>, &str)],
    terminal: &Terminal,
    drawn: &mut Vec<PathBuf>,
) -> Result<bool, Failure> {
    let quantity = args.show.quantity();
    let Pages { pages, faults } = pages(folder, view, quantity, runs);
    for fault in &faults {
        terminal.complaint(fault);
    }
    let is_whole = faults.is_empty();
    let shown = args.show.to_possible_value();
    let shown = shown.as_ref().map_or("", |value| value.get_name());
    let set = if args.grille.is_empty() {
        String::new()
    } else {
        format!("-{}", set_name(&args.grille))
    };
    for ((cut, name), panels) in view.cuts().iter().zip(&pages) {
        if panels.is_empty() {
            continue;
        }
        let pictures = folder.join(PICTURES);
        fs::create_dir_all(&pictures)
            .with_context(|| format!("making {}", pictures.display()))
            .map_err(Failure::Broken)?;
        let path = pictures.join(format!("{shown}-{name}{set}.png"));
        write_whole(&path, |out| {
            write_side_by_side(
                study,
                view.in_words(),
                *cut,
                quantity,
                panels,
                common_range(quantity, panels),
                out,
            )
            .map(drop)
            .map_err(|error| Box::new(error) as Box<_>)
        })
        .map_err(|error| broken(&error))?;
        drawn.push(path);
    }
    Ok(is_whole)
}
