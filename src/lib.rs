//! Ventwright ranks 3D-printed fan grilles by solved airflow before anything is printed.
//!
//! The modules stand in reading order: each may use those above it, and only the ones that the table in `tests/tidy/imports.rs` allows.

pub mod units;

pub mod likely;

pub mod comparison;

pub mod rig;

pub mod air;

pub mod lattice;

pub mod grille;

pub mod fan;

pub mod meter;

pub mod handbook;

pub mod fabric;

pub mod study;

pub mod tunnel;

pub mod measure;

pub mod ranking;

pub mod store;

pub mod vtk;

pub mod smoke;

pub mod picture;

pub mod fields;

pub mod result;

pub mod report;

pub mod document;

pub mod run;

pub mod cli;
