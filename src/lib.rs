//! Ventwright ranks 3D-printed fan grilles by solved airflow before anything is printed.
//!
//! The modules stand in reading order: each may use those above it, and only the ones that the table in `tests/tidy/imports.rs` allows.
//!
//! The whole chain, from a text to a number; the runs of one grille at the quality `quick` take some seconds:
//!
//! ```
//! use ventwright::run::batch::schedule::Capacity;
//! use ventwright::run::batch::{BatchLimits, UntilDone, solve};
//! use ventwright::run::conclusions::conclude::conclude;
//! use ventwright::run::planning::plan::plan;
//! use ventwright::store::StudyFolder;
//! use ventwright::study::Draft;
//!
//! let text = r#"
//!     format = 1
//!     study.name = "round holes"
//!     fan = { bore_mm = 112, hub_mm = 40, free_flow_m3_per_h = 90, shut_off_pressure_pa = 18 }
//!     place.side = "intake"
//!     run.quality = "quick"
//!     [[grille]]
//!     name = "round 6"
//!     thickness_mm = 4.8
//!     holes = { shape = "round", diameter_mm = 6, rib_mm = 2.8 }
//! "#;
//! let draft = Draft::parse(text.as_bytes(), "round.toml").expect("this is a study");
//! let study = draft.resolve(&mut |_| Err("no other file".to_owned())).expect("without a fault");
//! let plan = plan(&study).expect("it fits into memory");
//!
//! let results = tempfile::tempdir().expect("a folder");
//! let folder = StudyFolder::open(results.path(), &study.name).expect("it can be written");
//! let limits = BatchLimits {
//!     run_seconds: 600.0,
//!     batch_seconds: 600.0,
//!     capacity: Capacity { threads: 1, memory_bytes: 1 << 30 },
//!     is_fresh: false,
//!     checkpoint_seconds: 0.0,
//! };
//! let batch = solve(&plan.runs, &folder, &limits, &UntilDone);
//! let result = conclude(&study, &plan, &batch.summaries, "1", 0.0).result;
//!
//! // I. E. Idelchik's handbook, diagram 4-15 (thick perforated plate), which the result has beside it: within a tenth, and the flow below that of the bare fan.
//! let grille = &result.grilles[0];
//! let solved = grille.loss_coefficient.expect("it is ranked").value;
//! let handbook = grille.handbook_loss_coefficient.as_ref().expect("within its range").value;
//! assert!((solved / handbook - 1.0).abs() < 0.1, "{solved} and {handbook}");
//! assert!(grille.flow_percent.expect("of the bare fan").high < 100.0);
//! ```

pub mod units;

pub mod text;

pub mod checksum;

pub mod likely;

pub mod comparison;

pub mod rig;

pub mod air;

pub mod lattice;

pub mod grille;

pub mod part;

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
