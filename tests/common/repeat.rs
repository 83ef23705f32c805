//! Small repeats in three dimensions, driven until they hardly change.

use super::free_area;
use std::ops::ControlFlow;

use ventwright::fields::hole_axes;
use ventwright::grille::{
    CountedFrom, Edge, Hands, HolePattern, HoleShape, Layout, RepeatSolid, Turn,
};
use ventwright::lattice::step::Threads;
use ventwright::measure::drive::{DriveLimits, DriveProgress};
use ventwright::measure::hole_swirl::HoleAxis;
use ventwright::measure::repeat::{RepeatOutcome, drive_repeat};
use ventwright::measure::series::StopReason;
use ventwright::tunnel::RepeatDomain;
use ventwright::units::LatticeVelocity;

/// Hydraulic diameter of all holes, m.
pub(crate) const DIAMETER: f64 = 0.005;

/// Plate thickness, m.
pub(crate) const THICKNESS: f64 = 0.004;

/// A repeat of holes, and the flow through it.
pub(crate) struct Solved {
    pub(crate) solid: RepeatSolid,
    pub(crate) holes: Vec<HoleAxis>,
    pub(crate) outcome: RepeatOutcome,
}

/// Twisted about their own axes by this angle in degrees, all by the same hand.
pub(crate) fn twisted(degrees: f64) -> Turn {
    Turn::Twist {
        angle: degrees.to_radians(),
        counted_from: CountedFrom::MidDepth,
        hands: Hands::Same,
    }
}

/// Triangles on shifted rows, all with the tip the same way, with a free-area ratio of 0.42.
pub(crate) fn triangles(turn: Turn) -> RepeatSolid {
    with_free_area(0.42, |rib| HolePattern {
        // The hydraulic diameter of a triangle is that of the circle inside.
        shape: HoleShape::Triangle {
            side: 3.0_f64.sqrt() * DIAMETER,
        },
        layout: Layout::Staggered,
        rib,
        turn,
        merging_accepted: true,
    })
}

/// Round holes on shifted rows with a rounded front edge and a chamfered back edge of these sizes, m.
pub(crate) fn eased_round_holes(rounded: f64, chamfered: f64) -> RepeatSolid {
    let pattern = HolePattern {
        shape: HoleShape::Round { diameter: DIAMETER },
        layout: Layout::Staggered,
        rib: 0.5 * DIAMETER,
        turn: Turn::Straight,
        merging_accepted: false,
    };
    let edges = (Edge::Rounded(rounded), Edge::Chamfered(chamfered));
    RepeatSolid::of(&pattern, THICKNESS, edges.0, edges.1, 0.05).expect("the pattern is sound")
}

/// Hexagons on shifted rows.
pub(crate) fn hexagons(free_area_ratio: f64, turn: Turn) -> RepeatSolid {
    with_free_area(free_area_ratio, |rib| HolePattern {
        shape: HoleShape::Hexagon {
            across_flats: DIAMETER,
        },
        layout: Layout::Staggered,
        rib,
        turn,
        merging_accepted: true,
    })
}

/// The pattern with the rib that gives a free-area ratio.
pub(crate) fn with_free_area(
    free_area_ratio: f64,
    pattern: impl Fn(f64) -> HolePattern,
) -> RepeatSolid {
    let solid =
        |rib: f64| RepeatSolid::of(&pattern(rib), THICKNESS, Edge::Sharp, Edge::Sharp, 0.05).ok();
    free_area::with_free_area(free_area_ratio, 4.0 * DIAMETER, solid)
        .expect("holes with this free-area ratio fit")
}

/// Drives a repeat for this many pitch-times.
pub(crate) fn solve(solid: RepeatSolid, cells: f64, reynolds_number: f64, time: f64) -> Solved {
    let mut go_on = |_: &DriveProgress| ControlFlow::Continue(());
    let how = [cells, reynolds_number, time];
    solve_while(solid, how, Threads::Pool(2), &mut go_on)
}

/// The same (cells, Reynolds number, time), unless the observer breaks off.
pub(crate) fn solve_while(
    solid: RepeatSolid,
    [cells, reynolds_number, time]: [f64; 3],
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> Solved {
    let domain = domain(&solid, cells, reynolds_number);
    let outcome = drive(&solid, &domain, time, threads, observer);
    Solved {
        holes: hole_axes(&solid, DIAMETER),
        solid,
        outcome,
    }
}

/// One pitch of room ahead and three behind, met straight on.
pub(crate) fn domain(solid: &RepeatSolid, cells: f64, reynolds_number: f64) -> RepeatDomain {
    let free_area_ratio = solid.free_area_ratio();
    RepeatDomain {
        extent: solid.extent().map(|width| width / DIAMETER),
        pitch: (solid.area() / solid.hole_count() as f64).sqrt() / DIAMETER,
        thickness: THICKNESS / DIAMETER,
        free_area_ratio,
        reynolds_number,
        inflow_tangents: [0.0; 2],
        cells_across_hole: cells,
        face_velocity: LatticeVelocity(0.1 * free_area_ratio),
        pitches_ahead: 1.0,
        pitches_behind: 3.0,
        has_subgrid: reynolds_number > 500.0,
        shift: [0.0; 3],
        head_start: 0.0,
    }
}

/// Whether a place of the repeat is solid, in hydraulic diameters.
pub(crate) fn is_solid(solid: &RepeatSolid, [depth, y, z]: [f64; 3]) -> bool {
    solid.is_solid(depth * DIAMETER, y * DIAMETER, z * DIAMETER)
}

/// Drives a domain for this many pitch-times, unless the observer breaks off.
pub(crate) fn drive(
    solid: &RepeatSolid,
    domain: &RepeatDomain,
    time: f64,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let limits = DriveLimits {
        tolerance: 1e-3,
        other_doubts: 0.0,
        least_time: time,
        longest_time: time,
    };
    let is_solid = |place: [f64; 3]| is_solid(solid, place);
    drive_repeat(domain, &is_solid, &limits, &threads, observer)
}
