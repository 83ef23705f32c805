//! From a study to its result: which runs, how each is set up, driven and written down, and what follows from them all.
//!
//! Reading order: [`planned`] (a run), [`views`] (what a run can solve: a flat view, a repeat in three dimensions, or the fan view), [`corrections`] (what a flat view and a grid are worth),
//! `swirl` (the fan's air over the zones), [`planning`] (the runs of a study), [`batch`] (their order and time, one run and many, beside other programs), [`conclusions`] (from K of every run
//! to flows with ranges, ties, and what else the air goes through), [`fan_view`] (the whole fan face, after the ranking), [`budget`] (as deep as a night allows), [`film`] (the air with smoke in it).
//!
//! Nothing here reads a clock or prints: a [`batch::Watch`] is told what happens and says when to stop.

pub mod planned;

pub mod views;

pub mod corrections;

mod swirl;

pub mod planning;

pub mod batch;

pub mod conclusions;

pub mod fan_view;

pub mod budget;

pub mod film;
