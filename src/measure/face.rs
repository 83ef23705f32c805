//! Drives a fan face until it has settled, and reads what the fan pays, what still turns behind, and whether the books close.

use crate::lattice::state::{put_list, take_list};
use crate::lattice::step::Threads;
use crate::lattice::swirl::PlaneFlux;
use crate::lattice::walls::WallForce;
use crate::lattice::zone::ZoneForce;
use crate::measure::attendant::Attendant;
use crate::measure::face_fields::{FaceMeans, FacePlane, SwirlFields, instant};
use crate::measure::face_jet::{self, HubWake, JetWidth, ProfilePoint};
use crate::measure::series::StopReason;
use crate::measure::settle::{
    DriveLimits, DriveOutcome, DriveProgress, HALF_SECOND, Pace, Reading, Resumable, Sampled,
    go_on_from, pairs_within, run_until_settled,
};
use crate::tunnel::{FaceFlow, FaceLayout, FanFace};
use std::io::{self, Read, Write};
use std::ops::ControlFlow;

/// What came out of a fan face. Coefficients are over the dynamic pressure of the mean axial velocity in the bore.
#[derive(Debug, Clone)]
pub struct FaceOutcome {
    /// The domain in cells.
    pub layout: FaceLayout,
    /// What it came to. What the run waits for (`loss_coefficient`) is the flux-weighted total pressure just ahead of the grille over that at the side of the room, or at the duct's end;
    /// K by the force is static K.
    pub drive: DriveOutcome,
    /// Flux-weighted total pressure just ahead of the grille from the mean fields, over the pressure of the room beside the jet.
    pub total_pressure_ahead: f64,
    /// Area mean of the static pressure just ahead of the grille, over that of the room beside the jet.
    pub pressure_ahead: f64,
    /// Pressure of the room beside the first radius of the jet over that at its side: small once the room has come to rest; 0 for a duct.
    pub room_pressure: f64,
    /// Static K: pressure plus axial momentum flux over the bore's area, just ahead less just behind.
    pub static_loss_coefficient: f64,
    /// The same by the axial force on the grille; walls of the bore between the planes are not in it.
    pub static_loss_coefficient_by_force: f64,
    /// Total K: flux-weighted total pressure just ahead less just behind.
    pub total_loss_coefficient: f64,
    /// Swirl number just ahead of the grille, on the bore's radius.
    pub swirl_number_in: f64,
    /// Swirl number just behind it.
    pub swirl_number_out: f64,
    /// Torque on the grille over the dynamic pressure, the bore's area and its radius; positive with positive swirl.
    pub torque_coefficient: f64,
    /// How the books close between the fan's exit and a plane far behind.
    pub balance: FaceBalance,
    /// Samples of the fields behind the time means.
    pub sample_count: u32,
    /// Mean sums over every column: up to the bore's radius, and all of it.
    pub planes: Vec<[FacePlane; 2]>,
    /// Time means.
    pub mean: SwirlFields,
    /// The last instant.
    pub last: SwirlFields,
    /// Mean axial velocity in the bore, lattice units.
    pub face_velocity: f64,
}

/// What is left over in the balance of mass, axial and angular momentum up to a plane far behind, walls, grille and free side counted, as a part of what the stream carries just behind the fan's exit.
///
/// What passes the plane is read off pressure and velocity, without viscous stress.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceBalance {
    /// Mass.
    pub mass: f64,
    /// Axial momentum.
    pub axial: f64,
    /// Angular momentum; without swirl as a part of axial momentum times the bore's radius.
    pub angular: f64,
}

/// What the fan pays for a grille.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FaceCost {
    /// Area-mean static pressure just ahead of the grille less that at the same place of the bare fan, at equal flow, over the dynamic pressure: the K that an exhaust fan pays, lost suction included.
    pub paid: f64,
    /// Static K of the grille, by the force on it.
    pub static_loss_coefficient: f64,
    /// Total K of the grille.
    pub total_loss_coefficient: f64,
    /// What the fan pays on top of static K: suction of the swirling core that the grille took away, and whatever else the jet does.
    pub lost_suction: f64,
}

impl FaceCost {
    /// Sets a face beside its bare fan.
    pub fn between(grille: &FaceOutcome, bare: &FaceOutcome) -> Self {
        let paid = grille.pressure_ahead - bare.pressure_ahead;
        Self {
            paid,
            static_loss_coefficient: grille.static_loss_coefficient_by_force,
            total_loss_coefficient: grille.total_loss_coefficient,
            lost_suction: paid - grille.static_loss_coefficient_by_force,
        }
    }
}

impl FaceOutcome {
    /// Width of the jet this many bore diameters behind the grille.
    pub fn jet_width(&self, distance: f64) -> Option<JetWidth> {
        face_jet::jet_width(&self.mean, &self.layout, distance)
    }

    /// Back-flow behind the hub.
    pub fn hub_wake(&self) -> HubWake {
        face_jet::hub_wake(&self.mean, &self.layout)
    }

    /// Mean axial and swirl velocity over the radius this many bore diameters behind the grille: what a meter on the bench is met by.
    pub fn profile(&self, distance: f64) -> Option<Vec<ProfilePoint>> {
        face_jet::profile(&self.mean, &self.layout, distance)
    }

    /// Static pressure just ahead of the grille over that of the room beside the jet, area mean from the radius `inner` (in bore radii) to the bore, over the dynamic pressure.
    pub fn pressure_ahead_beyond(&self, inner: f64) -> f64 {
        let (first, end) = self.layout.ahead;
        let bore = self.layout.bore;
        let (mut sum, mut area) = (0.0, 0.0);
        for y in 0..bore {
            // What of the row lies beyond the radius.
            let low = (y as f64).max(inner * bore as f64);
            let share = ((y + 1) as f64).powi(2) - low.powi(2);
            if share <= 0.0 {
                continue;
            }
            for x in first..end {
                sum += share * f64::from(self.mean.density[[y, x]]) / 3.0;
                area += share;
            }
        }
        sum / area / (0.5 * self.face_velocity * self.face_velocity) - self.room_pressure
    }

    /// Angle of the mean flow against the axis this many bore diameters behind the grille, radians: flux of angular over that of axial momentum, of the mean radius.
    pub fn swirl_angle(&self, distance: f64) -> Option<f64> {
        face_jet::swirl_angle(&self.profile(distance)?)
    }

    /// Root of the mean square of a component of the velocity's fluctuation there, flux mean over what flows on, lattice units. A trend.
    pub fn turbulence(&self, distance: f64) -> Option<f64> {
        face_jet::turbulence(&self.mean, &self.layout, distance)
    }
}

/// Runs `face` on `threads`. Times in `limits` count bore diameters passed at the mean velocity; fields are collected from half of the least time on. The observer is asked sixty times in each of them
/// and may break off.
pub fn drive_face(
    face: &FanFace<'_>,
    limits: &DriveLimits,
    threads: Threads,
    observer: &mut dyn FnMut(&DriveProgress) -> ControlFlow<StopReason>,
) -> FaceOutcome {
    let mut run = FaceRun::new(face, threads);
    let start_up = 0.5 * limits.least_time;
    let steps = face.steps_per_diameter();
    let drive = run_until_settled(&mut run, steps, start_up, limits, observer);
    run.outcome(drive, face.face_velocity.0)
}

/// The same with an attendant, from a state that it kept before. `None` if it was interrupted.
///
/// # Errors
/// That `from` cannot be read or is not a state of this run.
pub fn drive_face_from(
    face: &FanFace<'_>,
    limits: &DriveLimits,
    threads: Threads,
    from: Option<&mut dyn Read>,
    attendant: &mut dyn Attendant,
) -> io::Result<Option<FaceOutcome>> {
    let mut run = FaceRun::new(face, threads);
    let pace = Pace::new(face.steps_per_diameter(), 0.5 * limits.least_time);
    let drive = go_on_from(&mut run, &pace, limits, from, attendant)?;
    Ok(drive.map(|drive| run.outcome(drive, face.face_velocity.0)))
}

/// Sums of what acts on the air.
#[derive(Debug, Clone, Copy, Default)]
struct Books {
    count: f64,
    walls: WallForce,
    grille: ZoneForce,
    side: PlaneFlux,
}

struct FaceRun {
    flow: FaceFlow,
    layout: FaceLayout,
    means: FaceMeans,
    /// Up to the last time that early samples were forgotten as well, and since then.
    books: [Books; 2],
    /// Volume flow per radian.
    inflow: f64,
    dynamic_pressure: f64,
    volume: f64,
}

impl FaceRun {
    fn new(face: &FanFace<'_>, threads: Threads) -> Self {
        let (flow, layout) = face.build(threads);
        let velocity = face.face_velocity.0;
        Self {
            means: FaceMeans::new(&flow.lattice, layout.bore),
            books: [Books::default(); 2],
            inflow: 0.5 * (layout.bore * layout.bore) as f64 * velocity,
            dynamic_pressure: 0.5 * velocity * velocity,
            volume: volume(&flow),
            flow,
            layout,
        }
    }

    fn area(&self) -> f64 {
        0.5 * (self.layout.bore * self.layout.bore) as f64
    }

    /// Mean over columns, from first to one past the last.
    fn mean_plane(planes: &[[FacePlane; 2]], columns: (usize, usize), which: usize) -> FacePlane {
        let count = (columns.1 - columns.0) as f64;
        let mut mean = FacePlane::default();
        for plane in &planes[columns.0..columns.1] {
            mean.add(&plane[which], 1.0 / count);
        }
        mean
    }

    fn outcome(mut self, drive: DriveOutcome, velocity: f64) -> FaceOutcome {
        if self.means.sample_count() == 0 {
            self.collect_fields();
        }
        let planes = self.means.planes();
        let radius = self.layout.bore as f64;
        let books = &self.books[0];
        let share = 1.0 / books.count.max(1.0);
        let grille = ZoneForce {
            axial: share * books.grille.axial,
            torque: share * books.grille.torque,
        };
        let ahead = Self::mean_plane(&planes, self.layout.ahead, 0);
        let behind = Self::mean_plane(&planes, self.layout.just_behind, 0);
        let behind_all = Self::mean_plane(&planes, self.layout.just_behind, 1);
        let over = |pressure: f64| pressure / self.dynamic_pressure;
        let (last, mean) = (
            instant(&self.flow.lattice),
            self.means.fields(&self.flow.lattice),
        );
        let room = room_pressure(&mean, &self.layout);
        let total_pressure_ahead = over(ahead.total_pressure() - room);
        FaceOutcome {
            drive: DriveOutcome {
                density_rise: 3.0 * self.dynamic_pressure * total_pressure_ahead,
                ..drive
            },
            total_pressure_ahead,
            pressure_ahead: over(ahead.mean_pressure() - room),
            room_pressure: over(room),
            static_loss_coefficient: over(ahead.momentum_flux() - behind.momentum_flux()),
            static_loss_coefficient_by_force: over(grille.axial / self.area()),
            total_loss_coefficient: over(ahead.total_pressure() - behind.total_pressure()),
            swirl_number_in: ahead.swirl_number(radius),
            swirl_number_out: behind_all.swirl_number(radius),
            torque_coefficient: over(grille.torque / (self.area() * radius)),
            balance: self.balance(&planes, grille),
            sample_count: self.means.sample_count(),
            planes,
            mean,
            last,
            face_velocity: velocity,
            layout: self.layout,
        }
    }

    fn balance(&self, planes: &[[FacePlane; 2]], grille: ZoneForce) -> FaceBalance {
        let books = &self.books[0];
        let share = 1.0 / books.count.max(1.0);
        let exit = planes[1][1];
        let far = planes[self.layout.far][1];
        let radius = self.layout.bore as f64;
        // On the rim: what the fan's exit let in, less what walls took.
        let axial = -share * books.walls.rim[0] - grille.axial + share * books.side.axial;
        let angular = -share * books.walls.rim[2] - grille.torque + share * books.side.angular;
        let angular_scale = exit.angular.abs().max(0.01 * radius * exit.axial);
        FaceBalance {
            mass: (self.inflow + share * books.side.mass - far.flow) / self.inflow,
            axial: (axial - far.axial - far.pressure) / exit.axial,
            angular: (angular - far.angular) / angular_scale,
        }
    }
}

impl Sampled for FaceRun {
    fn advance(&mut self, pairs: usize) {
        self.flow.step_pairs(pairs);
    }

    fn step_count(&self) -> u64 {
        self.flow.lattice.step_count()
    }

    fn fluid_cell_count(&self) -> usize {
        self.flow.lattice.fluid_cell_count()
    }

    fn dynamic_pressure(&self) -> f64 {
        self.dynamic_pressure
    }

    fn reading(&self) -> Reading {
        let read = |x: usize| FacePlane::read(&self.flow.lattice, x, self.layout.bore);
        let (first, end) = self.layout.ahead;
        let mut ahead = FacePlane::default();
        for x in first..end {
            ahead.add(&read(x)[0], 1.0);
        }
        let far = read(self.layout.far)[1];
        let force = self.flow.grille_force().axial / self.area();
        Reading {
            loss_coefficient: ahead.total_pressure() / self.dynamic_pressure,
            loss_coefficient_by_force: force / self.dynamic_pressure,
            flow_error: (far.flow - self.flow.side_gain().mass) / self.inflow - 1.0,
        }
    }

    fn mean_density(&self) -> f64 {
        self.flow.lattice.total_mass() / self.volume
    }

    fn collect_fields(&mut self) {
        self.means.add(&self.flow.lattice);
        let (walls, grille) = (self.flow.lattice.wall_force(), self.flow.grille_force());
        let side = self.flow.side_gain();
        for books in &mut self.books {
            books.count += 1.0;
            books.walls = books.walls + walls;
            books.grille.axial += grille.axial;
            books.grille.torque += grille.torque;
            books.side.mass += side.mass;
            books.side.axial += side.axial;
            books.side.angular += side.angular;
        }
    }

    fn forget_early_fields(&mut self) {
        self.means.forget_early_samples();
        self.books = [self.books[1], Books::default()];
    }

    fn pairs_at_once(&self) -> usize {
        pairs_within(HALF_SECOND, self.layout.cells.cell_count())
    }
}

impl Resumable for FaceRun {
    fn save(&self, out: &mut dyn Write) -> io::Result<()> {
        self.flow.save(out)?;
        self.means.save(out)?;
        put_list(out, self.books.map(|books| books.numbers()).as_flattened())
    }

    fn restore(&mut self, from: &mut dyn Read) -> io::Result<()> {
        self.flow.restore(from)?;
        self.means.restore(from)?;
        let mut numbers = [[0.0; 12]; 2];
        take_list(from, numbers.as_flattened_mut())?;
        self.books = numbers.map(Books::of_numbers);
        Ok(())
    }
}

impl Books {
    fn numbers(&self) -> [f64; 12] {
        let ([a, b, c], [d, e, f]) = (self.walls.body, self.walls.rim);
        let (grille, side) = (self.grille, self.side);
        let [g, h] = [grille.axial, grille.torque];
        let [i, j, k] = [side.mass, side.axial, side.angular];
        [self.count, a, b, c, d, e, f, g, h, i, j, k]
    }

    fn of_numbers([count, a, b, c, d, e, f, g, h, i, j, k]: [f64; 12]) -> Self {
        Self {
            count,
            walls: WallForce {
                body: [a, b, c],
                rim: [d, e, f],
            },
            grille: ZoneForce {
                axial: g,
                torque: h,
            },
            side: PlaneFlux {
                mass: i,
                axial: j,
                angular: k,
            },
        }
    }
}

/// Mean pressure of the outer half of the room over the length of a bore radius behind the grille; 0 for a duct.
fn room_pressure(mean: &SwirlFields, layout: &FaceLayout) -> f64 {
    let rows = layout.bore.midpoint(layout.cells.ny)..layout.cells.ny.saturating_sub(3);
    if layout.cells.ny <= layout.bore || rows.is_empty() {
        return 0.0;
    }
    let end = (layout.rear + layout.bore).min(layout.far);
    let (mut sum, mut area) = (0.0, 0.0);
    for y in rows {
        let radius = y as f64 + 0.5;
        for x in layout.rear..end {
            sum += radius * f64::from(mean.density[[y, x]]) / 3.0;
            area += radius;
        }
    }
    sum / area
}

/// Volume of the air per radian.
fn volume(flow: &FaceFlow) -> f64 {
    let lattice = &flow.lattice;
    let row = |y: usize| {
        let cells: usize = lattice
            .fluid_runs(y)
            .iter()
            .map(ExactSizeIterator::len)
            .sum();
        (y as f64 + 0.5) * cells as f64
    };
    (0..lattice.extent().ny).map(row).sum()
}
