//! The fan views of a study: one for the bare fan and one for each ranked grille, each where the fan settles with it, with what the ranking takes K and outflow to be there.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "radii become numbers of cells"
)]

use std::f64::consts::PI;

use crate::fan::{FanExit, Supply};
use crate::grille::{Grille, ZoneFlow};
use crate::ranking::{GrilleLoss, RankedGrille, Ranking, ZoneLoss};
use crate::result::GrilleName;
use crate::run::fan_view::rings::resolved_rings;
use crate::run::planned::{DENSITY_RISE, LARGEST_VISCOSITY, Run, key_of};
use crate::run::planning::expected::fan_exit;
use crate::run::planning::plan::GrillePlan;
use crate::run::swirl::exhaust::ZoneStream;
use crate::run::views::Subject;
use crate::run::views::fan::{Face, FaceDepth, Passages};
use crate::study::{FanView, Quality, Study};
use crate::text::BARE_FAN;
use crate::tunnel::{FaceGrille, FaceZone};
use crate::units::{LatticeVelocity, Metres, MetresPerSecond, Scale};

/// Parts of equal area into which each zone is split, because speed and angle of the air change over the radius.
const PARTS: usize = 6;

/// Largest lattice velocity.
const LARGEST_VELOCITY: f64 = 0.04;

/// Total pressure of the bare fan's stream over the dynamic pressure of the mean velocity in the bore, about: uneven and turning.
const BARE_HEAD: f64 = 3.0;

/// Bench plane where no meter is given, m behind the grille.
const BENCH_DISTANCE: f64 = 0.05;

/// The fan views of a study, to be solved after the ranking.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FacePlan {
    /// The runs, each once.
    pub runs: Vec<Run>,
    /// Of the bare fan: its place in `runs`.
    pub(super) bare: Option<usize>,
    /// Of the grilles.
    pub(super) grilles: Vec<FaceOf>,
}

/// The fan view of a grille.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct FaceOf {
    /// The grille.
    pub(in crate::run) grille: GrilleName,
    /// Its run.
    pub(super) run: usize,
    /// The run of a picture with resolved rings.
    pub(super) rings: Option<usize>,
}

/// What a study says of its grilles after the ranking.
pub(in crate::run) struct RankedStudy<'a> {
    pub(in crate::run) study: &'a Study,
    pub(in crate::run) ranking: &'a Ranking,
    /// The grilles that the ranking was given, side by side.
    pub(in crate::run) plans: &'a [&'a GrillePlan],
    pub(in crate::run) losses: &'a [GrilleLoss],
    pub(in crate::run) named: &'a [GrilleName],
    pub(in crate::run) streams: &'a [Vec<ZoneStream>],
}

/// Where a fan settles.
#[derive(Debug, Clone, Copy)]
pub(super) struct Settled {
    /// m³/s
    pub(super) flow: f64,
    /// m²/s; 0 where the swirl is not known.
    pub(super) circulation: f64,
    /// K on the area of the bore.
    pub(super) bore_loss: f64,
}

impl FacePlan {
    /// Plans the fan views; none without `[fan_view]`, on the intake side, and where a flow was given instead of a fan.
    pub(in crate::run) fn of(ranked: &RankedStudy<'_>) -> Self {
        let mut plan = Self::default();
        let study = ranked.study;
        let (Some(setup), Some(band)) = (FaceSetup::of(study), study.fan.supply.band()) else {
            return plan;
        };
        if let Some(bare) = &ranked.ranking.bare {
            let flow = bare.flow.value;
            let pressure = band.central.pressure(flow);
            let settled = Settled {
                flow,
                circulation: setup.exit.circulation(flow, Some(pressure)).unwrap_or(0.0),
                bore_loss: 0.0,
            };
            plan.bare = Some(plan.place(setup.bare(settled)));
        }
        for grille in &ranked.ranking.grilles {
            if let Some((run, rings)) = setup.grille(ranked, grille) {
                let run = plan.place(run);
                let rings = rings.map(|rings| plan.place(rings));
                plan.grilles.push(FaceOf {
                    grille: ranked.named[grille.index].clone(),
                    run,
                    rings,
                });
            }
        }
        plan
    }

    /// The fan faces that a film shows, each with the place of its grille in the study: the bare fan without one, then the grilles as ranked.
    pub(in crate::run) fn to_film(&self) -> impl Iterator<Item = (Option<usize>, &Run)> {
        let bare = self.bare.iter().map(|&place| (None, &self.runs[place]));
        let grilles = self.grilles.iter();
        bare.chain(grilles.map(|face| (Some(face.grille.id), &self.runs[face.run])))
    }

    /// Enters a run, once for equal inputs, and returns its place.
    pub(super) fn place(&mut self, run: Run) -> usize {
        let known = self
            .runs
            .iter()
            .position(|other| other.inputs == run.inputs);
        known.unwrap_or_else(|| {
            self.runs.push(run);
            self.runs.len() - 1
        })
    }
}

/// What all fan views of a study share.
pub(super) struct FaceSetup<'a> {
    study: &'a Study,
    view: FanView,
    pub(in crate::run) exit: FanExit,
}

impl<'a> FaceSetup<'a> {
    /// `None` without `[fan_view]`, on the intake side, and where a flow was given instead of a fan.
    pub(in crate::run) fn of(study: &'a Study) -> Option<Self> {
        if matches!(study.fan.supply, Supply::GivenFlow(_)) {
            return None;
        }
        let (view, exit) = (study.fan_view?, fan_exit(study)?);
        Some(Self { study, view, exit })
    }

    fn bore_area(&self) -> f64 {
        PI * self.exit.tip_radius().powi(2)
    }

    /// K on the area of the bore, of K on the reference area.
    pub(super) fn bore_loss(&self, loss_coefficient: f64) -> f64 {
        loss_coefficient * (self.bore_area() / self.study.reference_area()).powi(2)
    }

    pub(super) fn bare(&self, settled: Settled) -> Run {
        let grille = FaceGrille::default();
        let depth = FaceDepth::of(self.study.run.quality);
        self.run(BARE_FAN, settled, 0.0, grille, Passages::Bare, depth)
    }

    /// The fan view of a grille, and at the deepest quality a picture with resolved rings.
    fn grille(
        &self,
        ranked: &RankedStudy<'_>,
        grille: &RankedGrille,
    ) -> Option<(Run, Option<Run>)> {
        let plan = ranked.plans[grille.index];
        let swirl = grille.swirl?;
        let settled = Settled {
            flow: grille.flow.value,
            circulation: swirl.circulation,
            bore_loss: self.bore_loss(grille.loss_coefficient.value),
        };
        let drawn = &self.study.grilles[plan.index];
        let zones = ZonesAtWork {
            plan,
            losses: &ranked.losses[grille.index].zones,
            streams: &ranked.streams[grille.index],
            velocities: &grille.zone_velocities,
        };
        let face = self.zone_grille(drawn, &zones, settled);
        Some(self.pictures(drawn, plan, face, settled))
    }

    /// The fan view of a grille that stands in it as `face`, and at the deepest quality a picture with resolved rings.
    pub(super) fn pictures(
        &self,
        drawn: &Grille,
        plan: &GrillePlan,
        face: FaceGrille,
        settled: Settled,
    ) -> (Run, Option<Run>) {
        let flows: Vec<ZoneFlow> = plan.zones.iter().map(|zone| zone.flow).collect();
        let resolved = (self.study.run.quality == Quality::Overnight)
            .then(|| resolved_rings(drawn, &flows, &face, self.exit.tip_radius()))
            .flatten();
        let rings = resolved.map(|rings| {
            let depth = FaceDepth::of_rings(rings.cells);
            let grille = rounded(rings.grille);
            let (thickness, passages) = (drawn.thickness, rings.passages);
            self.run(&drawn.name, settled, thickness, grille, passages, depth)
        });
        let (thickness, depth) = (drawn.thickness, FaceDepth::of(self.study.run.quality));
        let zone = Passages::Zone;
        (
            self.run(&drawn.name, settled, thickness, face, zone, depth),
            rings,
        )
    }

    /// The grille as zones and walls of whole cells. K of a zone is moved to the area of its cells, so that the flow through it meets the drop that the ranking charges.
    fn zone_grille(&self, drawn: &Grille, zones: &ZonesAtWork<'_>, settled: Settled) -> FaceGrille {
        let cells = FaceDepth::of(self.study.run.quality).cells as f64;
        let bore = self.exit.tip_radius();
        let bore_velocity = settled.flow / self.bore_area();
        let flows: Vec<&ZoneFlow> = zones.plan.zones.iter().map(|zone| &zone.flow).collect();
        let rows = whole_rows(&flows, bore, cells as usize);
        let mut face = FaceGrille {
            thickness: drawn.thickness / bore,
            walls: walls_between(&rows, cells as usize),
            zones: Vec::new(),
        };
        for (number, &(from, to)) in rows.iter().enumerate() {
            let (loss, velocity) = (&zones.losses[number], zones.velocities[number]);
            let (from, to) = (from as f64 / cells, to as f64 / cells);
            let area = PI * bore * bore * (to * to - from * from);
            // Velocity in front of the zone over that in its cells.
            let crowded = area / loss.area;
            let rings = zones.streams[number].face_rings(settled.circulation, velocity, PARTS);
            let bounds = equal_parts([from, to], rings.len());
            for (ring, ends) in rings.iter().zip(bounds.windows(2)) {
                let factor = ring.loss_factor * crowded;
                face.zones.push(FaceZone {
                    inner: ends[0],
                    outer: ends[1],
                    loss_coefficient: four_digits(factor * crowded * loss.law.inertial),
                    linear_loss_coefficient: four_digits(factor * loss.law.viscous / bore_velocity),
                    kept_tangent: four_digits(ring.kept_tangent),
                    outflow_tangent: four_digits(ring.outflow_tangent * crowded),
                    lean_tangent: 0.0,
                });
            }
        }
        face
    }

    /// A fan view of a plate of this thickness (m), grille and passages.
    pub(super) fn run(
        &self,
        name: &str,
        settled: Settled,
        thickness: f64,
        grille: FaceGrille,
        passages: Passages,
        depth: FaceDepth,
    ) -> Run {
        let study = self.study;
        let bore = self.exit.tip_radius();
        let velocity = four_digits(settled.flow / self.bore_area());
        let reynolds_number = 2.0 * bore * velocity / study.air.kinematic_viscosity;
        let by_density = (2.0 * DENSITY_RISE / (3.0 * (settled.bore_loss + BARE_HEAD))).sqrt();
        let by_viscosity = LARGEST_VISCOSITY * reynolds_number / (2.0 * depth.cells as f64);
        let fastest = by_density.min(by_viscosity).min(LARGEST_VELOCITY);
        let face = Face {
            exit: self.exit.clone(),
            swirl: four_digits(settled.circulation / (velocity * bore)),
            view: self.view,
            grille,
            passages,
            bench_distance: study.meter.map_or(BENCH_DISTANCE, |meter| meter.distance),
            reynolds_number,
            // Two digits, so that a hair's difference of K does not make another run.
            lattice_velocity: digits(fastest, 2),
            depth,
        };
        let scale = Scale::new(
            Metres(bore),
            depth.cells as f64,
            MetresPerSecond(velocity),
            LatticeVelocity(face.lattice_velocity),
            study.air.density,
        );
        let inputs = face.inputs(study, velocity, thickness);
        let readable = format!("{name} {}", passages.view());
        Run {
            grille: name.to_owned(),
            face_velocity: velocity,
            hole_reynolds_number: reynolds_number,
            thickness,
            scale,
            tolerance: depth.tolerance,
            other_doubts: 0.0,
            key: key_of(&readable, &inputs),
            inputs,
            subject: Subject::Face(Box::new(face)),
        }
    }
}

/// The zones of a grille where its fan settles.
struct ZonesAtWork<'a> {
    plan: &'a GrillePlan,
    losses: &'a [ZoneLoss],
    streams: &'a [ZoneStream],
    velocities: &'a [f64],
}

/// First row and one past the last of each zone: at least one row each, none twice.
fn whole_rows(flows: &[&ZoneFlow], bore: f64, cells: usize) -> Vec<(usize, usize)> {
    let row = |radius: f64| ((radius / bore * cells as f64).round().max(0.0) as usize).min(cells);
    let mut last = 0;
    let mut rows = Vec::new();
    for (number, flow) in flows.iter().enumerate() {
        // The zones further out need a row each.
        let most = cells.saturating_sub(flows.len() - 1 - number);
        let from = row(flow.inner_radius).max(last).min(most.saturating_sub(1));
        let to = row(flow.outer_radius).max(from + 1).min(most);
        rows.push((from, to));
        last = to;
    }
    rows
}

/// What is solid besides the zones, over the bore's radius.
fn walls_between(rows: &[(usize, usize)], cells: usize) -> Vec<[f64; 2]> {
    let ends = rows.iter().map(|zone| zone.1);
    let starts = std::iter::once(0).chain(ends);
    let next = rows.iter().map(|zone| zone.0).chain([cells]);
    starts
        .zip(next)
        .filter(|(from, to)| to > from)
        .map(|(from, to)| [from, to].map(|row| row as f64 / cells as f64))
        .collect()
}

/// Bounds of parts of equal area.
fn equal_parts([from, to]: [f64; 2], count: usize) -> Vec<f64> {
    let (inner, outer) = (from * from, to * to);
    let share = |part: usize| part as f64 / count.max(1) as f64;
    (0..=count)
        .map(|part| match part {
            0 => from,
            last if last == count => to,
            _ => (inner + share(part) * (outer - inner)).sqrt(),
        })
        .collect()
}

/// A grille whose radii and tangents are rounded like all computed inputs.
fn rounded(mut grille: FaceGrille) -> FaceGrille {
    for wall in &mut grille.walls {
        *wall = wall.map(four_digits);
    }
    for zone in &mut grille.zones {
        zone.inner = four_digits(zone.inner);
        zone.outer = four_digits(zone.outer);
        zone.outflow_tangent = four_digits(zone.outflow_tangent);
    }
    grille
}

/// Rounds to four significant digits, so that a run is found again although its inputs were computed.
fn four_digits(value: f64) -> f64 {
    digits(value, 4)
}

fn digits(value: f64, count: i32) -> f64 {
    if value.abs() < 1e-9 {
        return 0.0;
    }
    let exponent = count - 1 - value.abs().log10().floor() as i32;
    // Division by a power of ten gives the nearest decimal number, multiplication by a tenth does not.
    if exponent >= 0 {
        let power = 10_f64.powi(exponent);
        (value * power).round() / power
    } else {
        let power = 10_f64.powi(-exponent);
        (value / power).round() * power
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn zones_get_whole_rows_and_the_rest_is_wall() {
        let rows = [(3, 10), (11, 23)];
        let walls = walls_between(&rows, 24);
        let expected = [[0.0, 3.0], [10.0, 11.0], [23.0, 24.0]];
        for (wall, expected) in walls.iter().zip(expected) {
            assert!((wall[0] * 24.0 - expected[0]).abs() < 1e-12);
            assert!((wall[1] * 24.0 - expected[1]).abs() < 1e-12);
        }
        assert!(walls_between(&[(0, 24)], 24).is_empty());
    }

    #[test]
    fn parts_have_equal_areas() {
        let bounds = equal_parts([0.2, 0.9], 4);
        let area = |pair: &[f64]| pair[1] * pair[1] - pair[0] * pair[0];
        for pair in bounds.windows(2) {
            assert!((area(pair) - area(&[0.2, 0.9]) / 4.0).abs() < 1e-12);
        }
    }

    #[test]
    fn digits_are_significant_ones() {
        for (value, expected) in [
            (1.234_56, 1.235),
            (0.012_345_6, 0.012_35),
            (123_456.0, 123_500.0),
            (-2.000_04, -2.0),
            (0.0, 0.0),
        ] {
            assert!((four_digits(value) - expected).abs() < 1e-12, "{value}");
        }
    }
}
