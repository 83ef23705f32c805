//! From a study to its result: which runs, how each is set up, driven and written down, and what follows from them all.
//!
//! Reading order: [`view`] (what a zone looks like to a flat view and what that view is worth), `expected` and `depth` (where and how finely to solve), [`planned`] (a run),
//! `flat_plan` and `repeat_plan` (how the two kinds of runs are set up), [`plan`] (the runs of a study), [`schedule`] (their order and time), [`disk`] (what they take on disk),
//! [`batch`] (drives them in parallel, beside other programs), `finished` (what is there already), `one_run` and `run_checkpoint` (one run, from where it was left), `solved` and `record` (one run's numbers), `files` and `repeat_files` (its fields and picture),
//! `repeat_grid` (what a grid is worth in three dimensions), `level` and `loss` (solved points to K over air speed), [`conclude`] (K of every grille to its flow, with ranges and
//! ties). `swirl_loss_curve`, `zone_loss_curves` and `exhaust` (the fan's air over the zones, ring by ring, and what its angle does to K) and `behind` (what the air does behind the grille) serve the exhaust side, [`face`], [`face_plan`], [`face_foreseen`], `face_rings`, `face_record`, `face_files` and `face_result` are the fan views that follow the ranking, [`air_path`] and [`what_if`] what else the air goes through, [`film`] films of the air with smoke in it. [`repeat_table`] holds what the repeat view says of straight, turned and obliquely met holes, and `turned` brings it to zones of which only the flat view is solved.
//!
//! Nothing here reads a clock or prints: a [`batch::Watch`] is told what happens and says when to stop.

pub mod view;

mod depth;

mod expected;

pub mod planned;

pub mod repeat_table;

mod turned;

mod swirl_loss_curve;

mod zone_loss_curves;

mod exhaust;

pub mod face;

pub mod repeat_grid;

mod flat_plan;

mod repeat_plan;

pub mod plan;

mod repeat_files;

mod face_files;

mod files;

mod face_record;

mod face_rings;

mod record;

mod solved;

pub mod memory_admission;

pub mod schedule;

pub mod disk;

pub mod finished;

pub mod forecast;
mod run_checkpoint;

mod one_run;

pub mod night;

pub mod batch;

mod level;

mod loss;

mod other_doubts;
mod panel_grille;

mod behind;

pub mod air_path;

pub mod what_if;

mod zones_told;

mod pairs;

pub mod face_plan;

pub mod face_foreseen;

mod face_result;

pub mod film;

pub mod conclude;
