//! Where the air goes behind a fan's face: how wide the jet is, how far the hub's wake reaches, what still turns at a plane.
//!
//! All of it is read off mean fields. An axisymmetric flow has no vortex stretching, so at the Reynolds numbers of a fan spreading and turbulence are a trend.

use crate::measure::face_fields::SwirlFields;
use crate::tunnel::FaceLayout;

/// Width of the jet at a plane.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct JetWidth {
    /// Largest axial velocity in the plane, lattice units.
    pub fastest: f64,
    /// Outermost radius at which the axial velocity is half of the largest, in bore radii; where the jet fills a duct, the duct's.
    pub half_width: f64,
    /// Angle between the axis and the line from the half-width just behind the grille to this one, degrees.
    pub splay_angle_deg: f64,
}

/// Air that runs back on the axis.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HubWake {
    /// From the back of the grille to where the last back-flow ends, in bore diameters; 0 if there is none behind the grille.
    pub length: f64,
    /// Whether it reaches the end of the domain, so that its length is not known.
    pub is_cut_off: bool,
}

/// A point of a profile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ProfilePoint {
    /// Radius, in bore radii.
    pub radius: f64,
    /// Axial velocity, lattice units.
    pub axial: f64,
    /// Swirl velocity, lattice units.
    pub swirl: f64,
}

/// Columns next to the outlet that are not looked at.
const NEAR_OUTLET: usize = 8;

/// Column `distance` bore diameters behind the grille, if it lies in the domain.
fn column(layout: &FaceLayout, distance: f64) -> Option<f64> {
    let place = layout.rear as f64 - 0.5 + 2.0 * distance * layout.bore as f64;
    let last = layout.cells.nx.checked_sub(NEAR_OUTLET)?;
    (distance >= 0.0 && place < last as f64).then_some(place)
}

/// Profile over the radius at a plane `distance` bore diameters behind the grille (between two columns, in proportion); `None` beyond the domain.
pub fn profile(
    fields: &SwirlFields,
    layout: &FaceLayout,
    distance: f64,
) -> Option<Vec<ProfilePoint>> {
    let place = column(layout, distance)?.max(layout.rear as f64);
    let share = place.fract();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place within the domain"
    )]
    let first = place as usize;
    let point = |y: usize| {
        let between = |field: &ndarray::Array2<f32>| {
            let values = [first, first + 1].map(|x| f64::from(field[[y, x]]));
            values[0] + share * (values[1] - values[0])
        };
        ProfilePoint {
            radius: (y as f64 + 0.5) / layout.bore as f64,
            axial: between(&fields.axial),
            swirl: between(&fields.swirl),
        }
    };
    Some((0..layout.cells.ny).map(point).collect())
}

/// Momentum mean of the swirl angle of a profile, radians; `None` where nothing flows.
///
/// ```text
/// tan(angle) = ∫ u_x u_theta r dr / ∫ u_x^2 r dr      over what flows on
/// ```
pub fn swirl_angle(profile: &[ProfilePoint]) -> Option<f64> {
    let onwards = profile.iter().filter(|point| point.axial > 0.0);
    let (around, along) = onwards.fold((0.0, 0.0), |(around, along), point| {
        let carried = point.radius * point.axial;
        (
            around + carried * point.swirl,
            along + carried * point.axial,
        )
    });
    (along > 0.0).then(|| (around / along).atan())
}

/// Root of the mean square of a component of the velocity's fluctuation `distance` bore diameters behind the grille, flux mean over what flows on; `None` beyond the domain.
pub fn turbulence(fields: &SwirlFields, layout: &FaceLayout, distance: f64) -> Option<f64> {
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a place within the domain"
    )]
    let x = column(layout, distance)?.max(layout.rear as f64).round() as usize;
    let (mut sum, mut flux) = (0.0, 0.0);
    for y in 0..layout.cells.ny {
        let carried = (y as f64 + 0.5) * f64::from(fields.axial[[y, x]]).max(0.0);
        sum += carried * f64::from(fields.fluctuation[[y, x]]) / 3.0;
        flux += carried;
    }
    (flux > 0.0).then(|| (sum / flux).sqrt())
}

/// Width of the jet `distance` bore diameters behind the grille; `None` beyond the domain or where nothing flows.
pub fn jet_width(fields: &SwirlFields, layout: &FaceLayout, distance: f64) -> Option<JetWidth> {
    let near = (layout.just_behind.0 - layout.rear) as f64 / (2.0 * layout.bore as f64);
    let (_, near_width) = half_width(&profile(fields, layout, near)?)?;
    let (fastest, width) = half_width(&profile(fields, layout, distance)?)?;
    let length = 2.0 * (distance - near);
    let splay_angle_deg = if length > 0.0 {
        (width - near_width).atan2(length).to_degrees()
    } else {
        0.0
    };
    Some(JetWidth {
        fastest,
        half_width: width,
        splay_angle_deg,
    })
}

/// Largest axial velocity and the outermost radius with half of it.
fn half_width(profile: &[ProfilePoint]) -> Option<(f64, f64)> {
    let fastest = profile.iter().map(|p| p.axial).fold(0.0, f64::max);
    if fastest <= 0.0 {
        return None;
    }
    let half = 0.5 * fastest;
    let inner = profile.iter().rposition(|p| p.axial >= half)?;
    let radius = profile[inner].radius;
    let Some(outer) = profile.get(inner + 1) else {
        // Half a cell to the wall.
        return Some((fastest, radius + profile[0].radius));
    };
    let share = (profile[inner].axial - half) / (profile[inner].axial - outer.axial);
    Some((fastest, radius + share * (outer.radius - radius)))
}

/// Back-flow on the axis behind the grille.
pub fn hub_wake(fields: &SwirlFields, layout: &FaceLayout) -> HubWake {
    let end = layout.cells.nx.saturating_sub(NEAR_OUTLET);
    let axis = |x: usize| f64::from(fields.axial[[0, x]]);
    let Some(last) = (layout.rear..end).rev().find(|&x| axis(x) < 0.0) else {
        return HubWake {
            length: 0.0,
            is_cut_off: false,
        };
    };
    // Where the velocity passes through zero between the last column with back-flow and the next.
    let share = axis(last) / (axis(last) - axis(last + 1));
    let place = last as f64 + share.clamp(0.0, 1.0) - (layout.rear as f64 - 0.5);
    HubWake {
        length: place / (2.0 * layout.bore as f64),
        is_cut_off: last + 1 >= end,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::lattice::field::Extent;
    use crate::units::LatticeViscosity;
    use ndarray::Array2;

    #[expect(
        clippy::cast_possible_truncation,
        reason = "fields are single precision"
    )]
    /// A jet whose half-width grows by 0.1 per length, with back-flow on the axis up to column 40.5.
    fn jet() -> (SwirlFields, FaceLayout) {
        let layout = FaceLayout {
            cells: Extent::planar(160, 60),
            bore: 20,
            front: 10,
            rear: 14,
            viscosity: LatticeViscosity(0.1),
            ahead: (5, 8),
            just_behind: (15, 16),
            far: 150,
        };
        let shape = (60, 160);
        let axial = Array2::from_shape_fn(shape, |(y, x)| {
            let width = 20.0 + 0.1 * (x as f64 - 13.5);
            let radius = y as f64 + 0.5;
            if y == 0 && x <= 40 {
                -0.01
            } else if y == 0 && x == 41 {
                0.01
            } else {
                (1.0 - 0.5 * (radius / width).powi(2)).max(0.0) as f32
            }
        });
        let zeros = || Array2::zeros(shape);
        let fields = SwirlFields {
            density: zeros(),
            axial,
            radial: zeros(),
            swirl: Array2::from_shape_fn(shape, |(y, _)| y as f32 + 0.5),
            fluctuation: zeros(),
            is_solid: Array2::from_elem(shape, false),
        };
        (fields, layout)
    }

    #[test]
    fn half_width_and_splay_are_those_of_the_jet() {
        let (fields, layout) = jet();
        for distance in [1.0, 2.0, 3.0] {
            let width = jet_width(&fields, &layout, distance).unwrap();
            let expected = 1.0 + 0.2 * distance;
            assert!((width.half_width - expected).abs() < 5e-3, "{width:?}");
            let expected = 0.1_f64.atan().to_degrees();
            assert!((width.splay_angle_deg - expected).abs() < 0.2, "{width:?}");
        }
        assert!(jet_width(&fields, &layout, 3.6).is_none());
    }

    #[test]
    fn hub_wake_ends_where_the_axis_stops_running_back() {
        let (fields, layout) = jet();
        let wake = hub_wake(&fields, &layout);
        assert!((wake.length - 27.0 / 40.0).abs() < 1e-6, "{wake:?}");
        assert!(!wake.is_cut_off);
    }

    #[test]
    fn the_swirl_angle_is_the_momentum_mean() {
        // Closed form: u = 1, w = r tan(a) over r up to 1 gives 2/3 tan(a).
        let profile: Vec<ProfilePoint> = (0..400)
            .map(|row| {
                let radius = (f64::from(row) + 0.5) / 400.0;
                ProfilePoint {
                    radius,
                    axial: 1.0,
                    swirl: 0.6 * radius,
                }
            })
            .collect();
        let angle = swirl_angle(&profile).unwrap();
        assert!((angle.tan() - 0.4).abs() < 1e-5, "{angle}");
        assert!(swirl_angle(&[]).is_none());
    }

    #[test]
    fn a_profile_lies_in_proportion_between_columns() {
        let (fields, layout) = jet();
        let profile = profile(&fields, &layout, 2.01).unwrap();
        assert!((profile[9].swirl - 9.5).abs() < 1e-6);
        assert!((profile[9].radius - 9.5 / 20.0).abs() < 1e-12);
    }
}
