//! Drives a three-dimensional repeat and reads its loss coefficient, outflow angle and forces.

use std::io::{self, Read, Write};
use std::ops::ControlFlow;

use crate::lattice::state::{not_fitting, put, put_list, take, take_list};
use crate::measure::attendant::{Attendant, Onlooker, Parts, State};
use crate::measure::engine::{MakeEngine, PlaneSums, VolumeEngine};
use crate::measure::head_start::{Coarse, HeadStart};
use crate::measure::series::StopReason;
use crate::measure::settle::{
    DriveLimits, DriveOutcome, DriveProgress, HALF_SECOND, Pace, Reading, Resumable, Sampled,
    go_on_from, pairs_within, run_until_settled,
};
use crate::measure::volume_fields::{VolumeFields, VolumeMeans};
use crate::measure::wall_load::WallLoad;
use crate::tunnel::repeat::Solid;
use crate::tunnel::{RepeatDomain, RepeatLayout};

/// How many columns one momentum sum looks at, evenly spread.
const COLUMNS: usize = 4;

/// Time after which fields are collected, in pitch-times, from an undisturbed stream.
const START_UP: f64 = 7.0;

/// The same after a head start.
const START_UP_AFTER_HEAD_START: f64 = 2.0;

/// What came out of a repeat.
#[derive(Debug, Clone)]
pub struct RepeatOutcome {
    /// The domain in cells.
    pub layout: RepeatLayout,
    /// What it came to.
    pub drive: DriveOutcome,
    /// Total K: static K + tan²(in) − tan²(out).
    pub total_loss_coefficient: f64,
    /// Tangents of the mixed-out flow angles towards y and z, from the transverse momentum behind the plate.
    pub outflow_tangents: [f64; 2],
    /// Axial velocity ahead of the plate, lattice units.
    pub face_velocity: f64,
    /// Plate thickness in cells.
    pub thickness: f64,
    /// Time means.
    pub mean: VolumeFields,
    /// The last instant.
    pub last: VolumeFields,
    /// Mean force on the walls of the plate, cell by cell, over the samples of the fields.
    pub wall_load: WallLoad,
    /// Mean force on the plate along y and z over the area of the repeat and the dynamic pressure of the face velocity.
    pub side_force: [f64; 2],
}

/// Memory of a repeat besides its populations, at most, bytes per cell: what collecting the fields takes, and twice the last instant while it is read out at the end.
pub const FIELD_BYTES_PER_CELL: u64 =
    VolumeMeans::BYTES_PER_CELL + 2 * VolumeFields::INSTANT_BYTES_PER_CELL;

struct RepeatFlow {
    engine: Box<dyn VolumeEngine>,
    layout: RepeatLayout,
    dynamic_pressure: f64,
    /// Transverse momentum up to the last time that early samples were forgotten, and since then.
    sums: [Sums; 2],
}

/// Sums over the samples of a span of time.
#[derive(Debug, Clone, Copy, Default)]
struct Sums {
    count: f64,
    transverse: [f64; 2],
}

/// Runs `domain` with its `solid` on an engine, such as some threads. The observer is asked at every sample, sixty times per pitch-time, and may break off.
pub fn drive_repeat(
    domain: &RepeatDomain,
    solid: Solid<'_>,
    limits: &DriveLimits,
    engines: &dyn MakeEngine,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let (built, start_up) = if domain.head_start > 0.0 {
        let mut attendant = Onlooker(&mut *observer);
        let coarse = Coarse::new(domain, solid, engines);
        let (flow, _) = coarse.run(&mut attendant);
        after_head_start(domain, solid, engines, flow.as_ref())
    } else {
        (from_rest(domain, solid, engines), START_UP)
    };
    drive_built(domain, built, start_up, limits, observer)
}

/// The same with an attendant, from a state that it kept before. `None` if it was interrupted.
///
/// # Errors
/// That `from` cannot be read or is not a state of this run.
pub fn drive_repeat_from(
    domain: &RepeatDomain,
    solid: Solid<'_>,
    limits: &DriveLimits,
    engines: &dyn MakeEngine,
    mut from: Option<&mut dyn Read>,
    attendant: &mut dyn Attendant,
) -> io::Result<Option<RepeatOutcome>> {
    let stage = match &mut from {
        Some(from) => Stage::restore(*from)?,
        None if domain.head_start > 0.0 => Stage::HeadStart,
        None => Stage::FromRest,
    };
    // A head start that was cut short is not what another program would begin with.
    let mut is_cut_short = false;
    let (built, start_up) = match stage {
        Stage::HeadStart => {
            let mut coarse = Coarse::new(domain, solid, engines);
            if let Some(from) = from.take() {
                coarse.restore(from)?;
            }
            let (flow, stopped) = coarse.run(&mut InStage { stage, attendant });
            if stopped == Some(StopReason::Interrupted) {
                return Ok(None);
            }
            is_cut_short = stopped.is_some();
            after_head_start(domain, solid, engines, flow.as_ref())
        }
        Stage::AfterHeadStart => (from_rest(domain, solid, engines), START_UP_AFTER_HEAD_START),
        Stage::FromRest => (from_rest(domain, solid, engines), START_UP),
    };
    let stage = if start_up < START_UP {
        Stage::AfterHeadStart
    } else {
        Stage::FromRest
    };
    let mut flow = RepeatFlow::new(domain, built);
    let pace = Pace::new(flow.layout.pitch / domain.face_velocity.0, start_up);
    let mut in_stage = InStage { stage, attendant };
    let drive = if is_cut_short {
        let mut look = |progress: &DriveProgress| in_stage.attend(progress, None);
        go_on_from(&mut flow, &pace, limits, None, &mut Onlooker(&mut look))?
    } else {
        go_on_from(&mut flow, &pace, limits, from, &mut in_stage)?
    };
    Ok(drive.map(|drive| outcome(domain, drive, flow)))
}

/// Which part of a repeat is under way.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Stage {
    /// The coarse grid.
    HeadStart,
    /// The grid itself after it.
    AfterHeadStart,
    /// The grid itself from an undisturbed stream.
    FromRest,
}

impl Stage {
    const ALL: [Self; 3] = [Self::HeadStart, Self::AfterHeadStart, Self::FromRest];

    fn save(self, out: &mut dyn Write) -> io::Result<()> {
        put(out, self as u64)
    }

    fn restore(from: &mut dyn Read) -> io::Result<Self> {
        let number: u64 = take(from)?;
        let stage = Self::ALL.into_iter().find(|&stage| stage as u64 == number);
        stage.ok_or_else(|| not_fitting("no such part of a run"))
    }
}

/// An attendant that is given the stage with the state.
struct InStage<'a> {
    stage: Stage,
    attendant: &'a mut dyn Attendant,
}

impl Attendant for InStage<'_> {
    fn attend(
        &mut self,
        progress: &DriveProgress,
        state: Option<&dyn State>,
    ) -> ControlFlow<StopReason> {
        let stage = self.stage;
        match state {
            Some(state) => {
                let whole = |out: &mut dyn Write| {
                    stage.save(out)?;
                    state.save(out)
                };
                self.attendant.attend(progress, Some(&Parts(&whole)))
            }
            None => self.attendant.attend(progress, None),
        }
    }
}

/// The fine grid filled with the flow of the coarse one, or with an undisturbed stream where that blew up.
fn after_head_start(
    domain: &RepeatDomain,
    solid: Solid<'_>,
    engines: &dyn MakeEngine,
    flow: Option<&HeadStart>,
) -> (Built, f64) {
    match flow {
        Some(start) => {
            let (lattice, layout) =
                domain.build_from(solid, engines.threads(), |place| start.at(place));
            ((engines.make(lattice), layout), START_UP_AFTER_HEAD_START)
        }
        None => (from_rest(domain, solid, engines), START_UP),
    }
}

/// The same between mirrors ([`RepeatDomain::build_mirrored`]), from the undisturbed stream.
pub fn drive_mirrored_repeat(
    domain: &RepeatDomain,
    solid: Solid<'_>,
    limits: &DriveLimits,
    engines: &dyn MakeEngine,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let (lattice, layout) = domain.build_mirrored(solid, engines.threads());
    let built = (engines.make(lattice), layout);
    drive_built(domain, built, START_UP, limits, observer)
}

fn drive_built(
    domain: &RepeatDomain,
    built: Built,
    start_up: f64,
    limits: &DriveLimits,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> RepeatOutcome {
    let mut flow = RepeatFlow::new(domain, built);
    let steps_per_pitch = flow.layout.pitch / domain.face_velocity.0;
    let drive = run_until_settled(&mut flow, steps_per_pitch, start_up, limits, observer);
    outcome(domain, drive, flow)
}

fn outcome(domain: &RepeatDomain, drive: DriveOutcome, mut flow: RepeatFlow) -> RepeatOutcome {
    if flow.sums.iter().all(|sums| sums.count == 0.0) {
        flow.collect_fields();
    }
    let velocity = domain.face_velocity.0;
    let layout = flow.layout;
    let [older, newer] = flow.sums;
    let count = older.count + newer.count;
    let outflow_tangents = [0, 1].map(|axis| {
        let sum = older.transverse[axis] + newer.transverse[axis];
        sum / count / (velocity * velocity)
    });
    let square = |tangents: [f64; 2]| tangents[0] * tangents[0] + tangents[1] * tangents[1];
    let added = square(domain.inflow_tangents) - square(outflow_tangents);
    let area = (layout.cells.ny * layout.cells.nz) as f64;
    let engine = flow.engine;
    let last = engine.instant();
    let collected = engine.collected();
    let [_, side_y, side_z] = collected.wall_load.force();
    RepeatOutcome {
        layout,
        total_loss_coefficient: drive.loss_coefficient.map_or(f64::NAN, |mean| mean.mean) + added,
        drive,
        outflow_tangents,
        face_velocity: velocity,
        thickness: domain.thickness * layout.cells_across_hole,
        mean: collected.mean,
        last,
        wall_load: collected.wall_load,
        side_force: [side_y, side_z].map(|force| force / area / flow.dynamic_pressure),
    }
}

/// A domain on its engine.
type Built = (Box<dyn VolumeEngine>, RepeatLayout);

/// The domain filled with an undisturbed stream.
fn from_rest(domain: &RepeatDomain, solid: Solid<'_>, engines: &dyn MakeEngine) -> Built {
    let (lattice, layout) = domain.build(solid, engines.threads());
    (engines.make(lattice), layout)
}

impl RepeatFlow {
    fn new(domain: &RepeatDomain, (mut engine, layout): Built) -> Self {
        let velocity = domain.face_velocity.0;
        engine.begin_to_collect();
        Self {
            engine,
            layout,
            dynamic_pressure: 0.5 * velocity * velocity,
            sums: [Sums::default(); 2],
        }
    }

    fn plane_sums(&self, (from, to): (usize, usize)) -> PlaneSums {
        let stride = (to - from).div_ceil(COLUMNS).max(1);
        self.engine.plane_sums(from..to, stride)
    }
}

impl Sampled for RepeatFlow {
    fn advance(&mut self, pairs: usize) {
        self.engine.step_pairs(pairs);
    }

    fn step_count(&self) -> u64 {
        self.engine.step_count()
    }

    fn fluid_cell_count(&self) -> usize {
        self.engine.fluid_cell_count()
    }

    fn dynamic_pressure(&self) -> f64 {
        self.dynamic_pressure
    }

    fn reading(&self) -> Reading {
        let [ahead, behind] = [self.layout.ahead, self.layout.behind].map(|it| self.plane_sums(it));
        let flux = |sums: &PlaneSums| sums.momentum_flux / sums.count;
        let velocity = |sums: &PlaneSums| sums.velocity / sums.count;
        let cells = self.layout.cells;
        let area = (cells.ny * cells.nz) as f64;
        Reading {
            loss_coefficient: (flux(&ahead) - flux(&behind)) / self.dynamic_pressure,
            loss_coefficient_by_force: self.engine.wall_force()[0] / area / self.dynamic_pressure,
            flow_error: velocity(&behind) / velocity(&ahead) - 1.0,
        }
    }

    fn mean_density(&self) -> f64 {
        self.engine.mean_density()
    }

    fn collect_fields(&mut self) {
        let behind = self.plane_sums(self.layout.behind);
        let sums = &mut self.sums[1];
        sums.count += 1.0;
        for (sum, part) in sums.transverse.iter_mut().zip(behind.transverse) {
            *sum += part / behind.count;
        }
        self.engine.collect();
    }

    fn forget_early_fields(&mut self) {
        self.sums = [self.sums[1], Sums::default()];
        self.engine.forget_early();
    }

    fn pairs_at_once(&self) -> usize {
        pairs_within(HALF_SECOND, self.layout.cells.cell_count())
    }
}

impl Resumable for RepeatFlow {
    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.engine.save(out)?;
        for sums in &self.sums {
            put(out, sums.count)?;
            put_list(out, &sums.transverse)?;
        }
        Ok(())
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.engine.restore(from)?;
        for sums in &mut self.sums {
            sums.count = take(from)?;
            take_list(from, &mut sums.transverse)?;
        }
        Ok(())
    }
}
