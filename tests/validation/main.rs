//! What the program computes beside what others found: published tables, closed forms, other methods.
//!
//! One module is one physical claim; its head names the source, the tolerance and the error seen.
//! One program for all of them, because each program links the whole library.

#[path = "../common/mod.rs"]
mod common;
#[path = "../drawn/mod.rs"]
mod drawn;
#[path = "../common/face.rs"]
mod face;
#[path = "../common/flow.rs"]
mod flow;
#[path = "../../benches/holes/mod.rs"]
mod holes;
#[path = "../common/rotating_lid.rs"]
mod lid;
#[path = "../common/reference.rs"]
mod reference;
#[path = "../repeated/mod.rs"]
mod repeated;
#[path = "../common/steady.rs"]
mod steady;
#[path = "../../benches/threads/mod.rs"]
mod threads;

use common::free_area;

mod air;
mod air_path;
mod bench_simulated;
mod bench_statistics;
mod cavity;
mod channel_flow;
mod comparisons;
mod cylinder_array;
mod cylinder_in_channel;
mod deep_passages;
mod entrance;
mod exhaust_cost;
mod fabric_screens;
mod fabric_threads;
mod fan;
mod fan_exit;
mod fan_face_balance;
mod fan_face_room;
mod fan_face_suction;
mod grille_clearance;
mod grille_geometry;
mod grille_openings;
mod handbook;
mod head_start;
mod hole_twist;
mod hole_view;
mod leaned_row;
mod momentum_zone;
mod oscillating_plate;
mod outlet;
mod perforated_plate;
mod pressed_layer;
mod propagation;
mod real_hole;
mod repeat_factors;
mod repeat_grids;
mod repeat_mirrors;
mod repeat_shift;
mod repeat_solid;
mod repeat_view;
mod repeat_walls;
mod rotated_duct;
mod rotating_lid;
mod round_jet;
mod slot_row;
mod smoke_paths;
mod sphere_array;
mod swirl_balance;
mod swirl_decay;
mod swirl_equilibrium;
mod swirl_free_slip;
mod swirl_hole;
mod swirl_outlet;
mod swirl_solid_body;
mod swirl_taylor_couette;
mod taylor_green;
mod thread_mesh;
mod thread_row;
mod vent;
mod volume_ducts;
mod volume_taylor_green;
mod walls;
