//! From a study to its result: which runs, how each is set up, driven and written down, and what follows from them all.
//!
//! Reading order: [`view`] (what a zone looks like to the solver and what that view is worth), `expected` and `depth` (where and how finely to solve), [`plan`] (the runs of a study),
//! [`batch`] (drives them in parallel, reuses what is there), `record` (one run's numbers), `files` (its fields and picture),
//! `loss` (solved points to K over air speed), [`conclude`] (K of every grille to its flow, with ranges and ties).
//!
//! Nothing here reads a clock or prints: a [`batch::Watch`] is told what happens and says when to stop.

pub mod view;

mod depth;

mod expected;

pub mod plan;

mod files;

mod record;

pub mod batch;

mod loss;

pub mod conclude;
