//! What the fan view shows: where the air goes behind the whole fan face. An axisymmetric flow has no vortex stretching, so all of it is a trend.

use serde::{Deserialize, Serialize};

use crate::report::RunSummary;

/// What was read off a solved fan view.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct FanViewSeen {
    /// Width of the jet at some distances; those beyond the view are missing.
    pub jet: Vec<JetSeen>,
    /// Length of the back-flow on the axis behind the grille, mm; 0 where there is none.
    pub hub_wake_mm: f64,
    /// Whether it reaches the end of the view, so that it is longer than that.
    pub is_hub_wake_beyond_view: bool,
    /// Swirl number just ahead of the grille: flux of angular momentum over that of axial momentum and the bore's radius.
    pub swirl_number_in: f64,
    /// Swirl number just behind it.
    pub swirl_number_out: f64,
    /// Distance of the bench plane behind the outside of the grille, mm: the meter's, where one is given.
    pub bench_distance_mm: f64,
    /// Angle of the air against the axis that is left there, degrees, momentum mean; `None` beyond the view.
    pub bench_swirl_angle_deg: Option<f64>,
    /// Turbulence there over the mean speed in the bore, per cent, flux mean.
    pub bench_turbulence_percent: Option<f64>,
    /// Static pressure just ahead of the grille over that of the room, area mean over the annulus between hub and bore, where the blades push, over the dynamic pressure of the mean speed in the bore.
    pub pressure_ahead: f64,
    /// Root mean square of the swing of the total pressure just ahead of the grille about its mean, per cent, once the start is over; `None` where that was too short.
    pub total_pressure_swing_percent: Option<f64>,
    /// Static K of the grille by pressure and momentum flux, on the mean speed in the bore.
    pub static_loss_coefficient: f64,
    /// The same by the axial force on the grille.
    pub static_loss_coefficient_by_force: f64,
    /// Total K: what the air itself loses.
    pub total_loss_coefficient: f64,
    /// Mean velocity over the radius in the bench plane; empty beyond the view.
    pub bench_profile: Vec<BenchPoint>,
}

/// Width of the jet at a plane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct JetSeen {
    /// Distance behind the grille, bore diameters.
    pub distance_diameters: f64,
    /// Outermost radius at which the axial velocity is half of the largest, mm.
    pub half_width_mm: f64,
    /// Angle by which that radius has grown since just behind the grille, degrees.
    pub splay_angle_deg: f64,
}

/// A point of the velocity profile in the bench plane.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct BenchPoint {
    /// Distance from the axis, mm.
    pub radius_mm: f64,
    /// Axial velocity, m/s.
    pub axial_m_per_s: f64,
    /// Swirl velocity, m/s, positive = with the fan's rotation.
    pub swirl_m_per_s: f64,
}

/// The fan view of a grille, or of the bare fan.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FanViewTold {
    /// The run.
    pub run: RunSummary,
    /// What the fan pays for the grille by this view, on the reference area: pressure ahead of it less that of the bare fan at equal flow. To be set beside the K that is ranked.
    /// `None` for the bare fan, and where one of the two has no numbers.
    pub paid_loss_coefficient: Option<f64>,
    /// A picture with rings in the place of holes, or with the real ribs of a ring grille: its run.
    pub rings: Option<RunSummary>,
}

impl FanViewTold {
    /// What it shows, if its run is worth anything.
    pub fn seen(&self) -> Option<&FanViewSeen> {
        self.run
            .fan_view
            .as_ref()
            .filter(|_| self.run.is_valid)
            .map(Box::as_ref)
    }
}
