//! How a flat velocity field turns and is strained: plane flow, and flow that is the same all around an axis, with or without swirl.
//!
//! The gradient has the same shape as that of a three-dimensional flow, so vorticity, helicity and Q are read off it in one place.

use ndarray::Array2;

use crate::measure::face_fields::SwirlFields;
use crate::measure::mean_fields::Fields;
use crate::measure::volume_gradient::VelocityGradient;

/// A flat flow in lattice units, arrays indexed `[y, x]`. Below the lowest row lies an axis or a mirror plane.
#[derive(Debug, Clone, Copy)]
pub struct FlatFlow<'a> {
    /// Velocity along x.
    pub axial: &'a Array2<f32>,
    /// Velocity along y.
    pub across: &'a Array2<f32>,
    /// Velocity about the axis; `None` where nothing turns.
    pub swirl: Option<&'a Array2<f32>>,
    /// True in walls.
    pub is_solid: &'a Array2<bool>,
    /// Whether y counts from an axis of rotation; else the flow is plane.
    pub is_round: bool,
}

impl<'a> FlatFlow<'a> {
    /// The flow of a flat view.
    pub fn of_view(fields: &'a Fields, is_round: bool) -> Self {
        Self {
            axial: &fields.axial,
            across: &fields.across,
            swirl: None,
            is_solid: &fields.is_solid,
            is_round,
        }
    }

    /// The flow of a fan view.
    pub fn of_face(fields: &'a SwirlFields) -> Self {
        Self {
            axial: &fields.axial,
            across: &fields.radial,
            swirl: Some(&fields.swirl),
            is_solid: &fields.is_solid,
            is_round: true,
        }
    }

    /// The gradient at column `x` and row `y`; its axes and components are x, y and, out of the plane, z (about the axis). Zero in walls.
    ///
    /// ```text
    /// round flow:  du/dx  du/dr  0            u, v, w: velocity along the axis, away from it, about it
    ///              dv/dx  dv/dr  -w/r         r: distance from the axis
    ///              dw/dx  dw/dr   v/r         plane flow: the same without the last column and w
    /// ```
    ///
    /// Central differences between neighbours in the air, one-sided beside walls and at the outer ends; across the axis or mirror plane the flow is mirrored.
    /// A wall itself is not used as a place where the air stands still, so beside walls the gradient is that of the air half a cell further in.
    ///
    /// # References
    /// The velocity gradient in cylindrical coordinates: G. K. Batchelor, "An Introduction to Fluid Dynamics" (1967), appendix 2 (from memory).
    pub fn gradient(&self, x: usize, y: usize) -> VelocityGradient {
        if self.is_solid[[y, x]] {
            return VelocityGradient::default();
        }
        let mut slope = [[0.0; 3]; 3];
        let fields = [Some(self.axial), Some(self.across), self.swirl];
        for (component, field) in fields.into_iter().enumerate() {
            let Some(field) = field else { continue };
            // Along the axis the velocity goes on alike on its other side, away from it and about it it has turned round.
            let mirrored = if component == 0 { 1.0 } else { -1.0 };
            slope[component][0] = self.along(field, x, y);
            slope[component][1] = self.outwards(field, x, y, mirrored);
        }
        if self.is_round {
            let radius = y as f32 + 0.5;
            slope[1][2] = self.swirl.map_or(0.0, |swirl| -swirl[[y, x]] / radius);
            slope[2][2] = self.across[[y, x]] / radius;
        }
        VelocityGradient { slope }
    }

    /// The gradients of all cells, x fastest.
    pub fn gradients(&self) -> impl Iterator<Item = VelocityGradient> + '_ {
        let (rows, columns) = self.axial.dim();
        (0..rows).flat_map(move |y| (0..columns).map(move |x| self.gradient(x, y)))
    }

    fn along(&self, field: &Array2<f32>, x: usize, y: usize) -> f32 {
        let low = x.checked_sub(1).map(|low| [y, low]);
        let high = Some([y, x + 1]).filter(|_| x + 1 < field.dim().1);
        self.slope(field, [y, x], low, high)
    }

    fn outwards(&self, field: &Array2<f32>, x: usize, y: usize, mirrored: f32) -> f32 {
        let high = Some([y + 1, x]).filter(|_| y + 1 < field.dim().0);
        if let Some(low) = y.checked_sub(1) {
            return self.slope(field, [y, x], Some([low, x]), high);
        }
        let below = mirrored * field[[y, x]];
        match high.filter(|&high| !self.is_solid[high]) {
            Some(high) => 0.5 * (field[high] - below),
            None => field[[y, x]] - below,
        }
    }

    /// Slope between two neighbours of a cell; one that is not there or solid is replaced by the cell itself.
    fn slope(
        &self,
        field: &Array2<f32>,
        here: [usize; 2],
        low: Option<[usize; 2]>,
        high: Option<[usize; 2]>,
    ) -> f32 {
        let [low, high] = [low, high].map(|end| end.filter(|&end| !self.is_solid[end]));
        let distance = f32::from(u8::from(low.is_some())) + f32::from(u8::from(high.is_some()));
        (field[high.unwrap_or(here)] - field[low.unwrap_or(here)]) / distance.max(1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const COLUMNS: usize = 24;
    const ROWS: usize = 20;

    /// A field from its values at the centres of the cells.
    fn field(value: impl Fn(f64, f64) -> f64) -> Array2<f32> {
        Array2::from_shape_fn((ROWS, COLUMNS), |(y, x)| {
            let value = value(x as f64 + 0.5, y as f64 + 0.5);
            #[expect(
                clippy::cast_possible_truncation,
                reason = "fields are single precision"
            )]
            let single = value as f32;
            single
        })
    }

    struct Made {
        axial: Array2<f32>,
        across: Array2<f32>,
        swirl: Array2<f32>,
        is_solid: Array2<bool>,
    }

    impl Made {
        fn new(velocity: impl Fn(f64, f64) -> [f64; 3]) -> Self {
            Self {
                axial: field(|x, y| velocity(x, y)[0]),
                across: field(|x, y| velocity(x, y)[1]),
                swirl: field(|x, y| velocity(x, y)[2]),
                is_solid: Array2::from_elem((ROWS, COLUMNS), false),
            }
        }

        fn flow(&self, is_round: bool) -> FlatFlow<'_> {
            FlatFlow {
                axial: &self.axial,
                across: &self.across,
                swirl: is_round.then_some(&self.swirl),
                is_solid: &self.is_solid,
                is_round,
            }
        }
    }

    /// Closed form: air that turns as a solid body with Ω has the vorticity 2Ω along the axis, Q = Ω² and, moving along the axis with U, the helicity 2ΩU.
    #[test]
    fn solid_body_rotation_is_a_vortex_everywhere() {
        let omega = 0.01;
        let made = Made::new(|_, r| [0.05, 0.0, omega * r]);
        for y in 0..ROWS {
            for x in 0..COLUMNS {
                let gradient = made.flow(true).gradient(x, y);
                let vorticity = gradient.vorticity();
                assert!((f64::from(vorticity[0]) - 2.0 * omega).abs() < 1e-6);
                assert!(vorticity[1].abs() < 1e-7 && vorticity[2].abs() < 1e-7);
                assert!((f64::from(gradient.q_criterion()) - omega * omega).abs() < 1e-7);
            }
        }
    }

    /// Closed form: a potential vortex (swirl Γ/r) has no vorticity, and strain alone makes Q = -(Γ/r²)².
    #[test]
    fn a_potential_vortex_is_none() {
        let gamma = 0.5;
        let made = Made::new(|_, r| [0.0, 0.0, gamma / r]);
        for y in 8..ROWS - 1 {
            let radius = y as f64 + 0.5;
            let gradient = made.flow(true).gradient(11, y);
            let strain = gamma / radius.powi(2);
            // Central differences of 1/r: 1/(r² - 1) instead of 1/r².
            assert!(f64::from(gradient.vorticity()[0].abs()) < 0.02 * strain);
            assert!((f64::from(gradient.q_criterion()) / -strain.powi(2) - 1.0).abs() < 0.02);
        }
    }

    /// Closed form: air that spreads from a stagnation point on the axis (u = -2ax, v = ar) is strained alone: Q = -(4a² + a² + a²)/2 = -3a².
    #[test]
    fn spreading_air_is_strained_and_no_vortex() {
        let rate = 0.003;
        let made = Made::new(|x, r| [-2.0 * rate * x, rate * r, 0.0]);
        for y in 0..ROWS {
            let gradient = made.flow(true).gradient(7, y);
            assert!(gradient.vorticity().iter().all(|w| w.abs() < 1e-6));
            assert!((f64::from(gradient.q_criterion()) / (-3.0 * rate * rate) - 1.0).abs() < 1e-3);
        }
    }

    /// Closed form: shear along x that grows with y turns as much as it strains, so Q is zero; its vorticity is -du/dy.
    #[test]
    fn pure_shear_is_no_vortex() {
        let made = Made::new(|_, y| [0.02 * y, 0.0, 0.0]);
        for y in 1..ROWS {
            let gradient = made.flow(false).gradient(5, y);
            assert!(gradient.q_criterion().abs() < 1e-9);
            assert!((gradient.vorticity()[2] + 0.02).abs() < 1e-6);
        }
    }

    /// Closed form: Taylor-Green vortices u = cos kx cos ky, v = sin kx sin ky, mirrored about y = 0: ω = 2k cos kx sin ky, Q = k² (cos² kx sin² ky - sin² kx cos² ky).
    #[test]
    fn taylor_green_vortices_have_their_closed_form() {
        let k = std::f64::consts::TAU / 40.0;
        let made = Made::new(|x, y| {
            [
                (k * x).cos() * (k * y).cos(),
                (k * x).sin() * (k * y).sin(),
                0.0,
            ]
        });
        // Central differences of a wave give sin(k)/k of its slope.
        let slope = k.sin();
        for y in 0..ROWS - 1 {
            for x in 1..COLUMNS - 1 {
                let [kx, ky] = [x, y].map(|place| k * (place as f64 + 0.5));
                let gradient = made.flow(false).gradient(x, y);
                let vorticity = 2.0 * slope * kx.cos() * ky.sin();
                assert!((f64::from(gradient.vorticity()[2]) - vorticity).abs() < 1e-6);
                let q =
                    slope.powi(2) * ((kx.cos() * ky.sin()).powi(2) - (kx.sin() * ky.cos()).powi(2));
                assert!(
                    (f64::from(gradient.q_criterion()) - q).abs() < 1e-6,
                    "{x} {y}"
                );
            }
        }
    }

    #[test]
    fn walls_hold_zeros_and_are_not_used_as_air() {
        let mut made = Made::new(|x, y| [0.01 * x * x, 0.0, 0.001 * y]);
        made.is_solid[[6, 9]] = true;
        made.axial[[6, 9]] = 0.0;
        let flow = made.flow(true);
        assert_eq!(flow.gradient(9, 6), VelocityGradient::default());
        // Beside it one-sided: 0.01 (8.5² - 7.5²) = 0.16.
        assert!((flow.gradient(8, 6).slope[0][0] - 0.16).abs() < 1e-5);
        assert_eq!(flow.gradients().count(), ROWS * COLUMNS);
    }
}
