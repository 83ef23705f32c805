//! The light that a camera sees of smoke.

#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "places become pixels, brightness becomes a byte"
)]

use std::f64::consts::PI;

use crate::smoke::cloud::{Cloud, Particle};

/// How far the light of a particle reaches, in standard deviations.
const REACH: f64 = 2.6;

/// What the camera looks at.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lens {
    /// x and y at the lower left corner of the picture, cells.
    pub corner: [f64; 2],
    /// Pixels per cell.
    pub pixels_per_cell: f64,
    /// Columns and rows.
    pub pixels: [usize; 2],
    /// What of the cloud is shown besides itself.
    pub shown: Shown,
    /// Standard deviation of the light of a fresh particle, pixels.
    pub sharpness: f64,
    /// Age in which smoke thins to 1/e and its particles grow to twice their size.
    pub fading: f64,
    /// z of the sheet of light and its thickness; everything is lit without one.
    pub sheet: Option<[f64; 2]>,
}

/// What of a cloud is shown besides itself.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Shown {
    /// Its image in the axis at y = -1/2.
    Mirrored,
    /// What it would be in the neighbouring repeats, this many cells along y and z.
    Repeated([f64; 2]),
    /// Nothing.
    Alone,
}

/// Light on a picture, row by row from the top.
#[derive(Debug, Clone, PartialEq)]
pub struct Exposure {
    width: usize,
    height: usize,
    light: Vec<f32>,
}

/// A long exposure: what a shutter shows that stays open over several developed pictures, as bright as one of them.
pub fn long_exposure(frames: &[Vec<u8>]) -> Vec<u8> {
    let Some(first) = frames.first() else {
        return Vec::new();
    };
    // The light behind a byte; the whitest one had at least this much.
    let light: Vec<f64> = (0..=255)
        .map(|byte| -(1.0 - f64::from(byte) / 255.5).ln())
        .collect();
    let mut sums = vec![0.0; first.len()];
    for frame in frames {
        for (sum, &byte) in sums.iter_mut().zip(frame) {
            *sum += light[usize::from(byte)];
        }
    }
    let sums = Exposure {
        width: first.len(),
        height: 1,
        light: sums.iter().map(|sum| *sum as f32).collect(),
    };
    sums.develop(frames.len() as f64)
}

impl Exposure {
    /// Nothing yet.
    pub fn dark([width, height]: [usize; 2]) -> Self {
        Self {
            width,
            height,
            light: vec![0.0; width * height],
        }
    }

    /// Takes a picture of a cloud.
    pub fn take(&mut self, cloud: &Cloud, lens: &Lens) {
        for particle in cloud.particles() {
            self.add(particle, lens);
        }
    }

    /// A byte per pixel; light of `full` turns out at 63 %, and no light overexposes.
    pub fn develop(&self, full: f64) -> Vec<u8> {
        let byte = |light: &f32| 255.0 * (1.0 - (-f64::from(*light) / full).exp());
        self.light
            .iter()
            .map(|light| byte(light).round() as u8)
            .collect()
    }

    fn add(&mut self, particle: &Particle, lens: &Lens) {
        let [x, y, z] = particle.place.map(f64::from);
        let age = f64::from(particle.age) / lens.fading;
        let mut weight = (-age).exp();
        let (mut rows, period) = match lens.shown {
            Shown::Mirrored => (vec![y, -1.0 - y], None),
            Shown::Alone => (vec![y], None),
            Shown::Repeated([along_y, along_z]) => (vec![y], Some((along_y, along_z))),
        };
        if let Some([sheet, thickness]) = lens.sheet {
            let away = z - sheet;
            let away = period.map_or(away, |(_, period)| away - period * (away / period).round());
            weight *= (-0.5 * (away / thickness).powi(2)).exp();
        }
        if weight < 1e-3 {
            return;
        }
        if let Some((period, _)) = period {
            let low = lens.corner[1];
            let high = low + lens.pixels[1] as f64 / lens.pixels_per_cell;
            let first = ((low - y) / period).floor();
            let count = ((high - low) / period).ceil() + 1.0;
            rows = (0..=count as usize)
                .map(|number| y + (first + number as f64) * period)
                .collect();
        }
        let spread = lens.sharpness * (1.0 + age);
        for y in rows {
            self.glow([x, y], spread, weight, lens);
        }
    }

    /// The light of one particle: a round spot that fades to its rim.
    fn glow(&mut self, [x, y]: [f64; 2], spread: f64, weight: f64, lens: &Lens) {
        let column = (x - lens.corner[0]) * lens.pixels_per_cell - 0.5;
        let row = self.height as f64 - (y - lens.corner[1]) * lens.pixels_per_cell - 0.5;
        let reach = REACH * spread;
        let is_seen = column > -reach
            && row > -reach
            && column < self.width as f64 + reach
            && row < self.height as f64 + reach;
        if !is_seen {
            return;
        }
        let from = |centre: f64| (centre - reach).ceil().max(0.0) as usize;
        let end = |centre: f64, count: usize| ((centre + reach).floor() as usize + 1).min(count);
        let scale = -0.5 / (spread * spread);
        let peak = weight / (2.0 * PI * spread * spread);
        let columns = from(column)..end(column, self.width);
        let across: Vec<f32> = columns
            .clone()
            .map(|at| (peak * (scale * (at as f64 - column).powi(2)).exp()) as f32)
            .collect();
        for at in from(row)..end(row, self.height) {
            let down = (scale * (at as f64 - row).powi(2)).exp() as f32;
            let start = at * self.width + columns.start;
            let pixels = &mut self.light[start..start + across.len()];
            for (pixel, light) in pixels.iter_mut().zip(&across) {
                *pixel += light * down;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::smoke::air::{Air, Beyond};
    use crate::smoke::cloud::Thread;

    const LENS: Lens = Lens {
        corner: [-0.5, -0.5],
        pixels_per_cell: 4.0,
        pixels: [160, 80],
        shown: Shown::Repeated([20.0, 1.0]),
        sharpness: 1.2,
        fading: 1e9,
        sheet: None,
    };

    fn cloud_at(x: f64, y: f64) -> Cloud {
        let cells = [40, 20, 1];
        let air = Air {
            cells,
            beyond: [Beyond::Repeat; 2],
            velocity: vec![[1e-6, 0.0, 0.0]; cells.iter().product()],
        };
        let thread = Thread {
            place: [x, y, 0.0],
            radius: [0.0; 2],
        };
        let mut cloud = Cloud::new(vec![thread], 1.0, 1e9);
        cloud.drift([&air, &air], 1.0);
        cloud
    }

    #[test]
    fn a_particle_gives_its_light_to_the_pixels_where_it_is() {
        let mut picture = Exposure::dark(LENS.pixels);
        picture.take(&cloud_at(10.0, 4.0), &LENS);
        let sum: f32 = picture.light.iter().sum();
        // The rim that is cut off holds 3 % of the light.
        assert!((sum - 1.0).abs() < 0.05, "{sum}");
        let brightest = picture.light.iter().enumerate();
        let (at, _) = brightest.max_by(|a, b| a.1.total_cmp(b.1)).unwrap();
        // Cell 10 is pixels 40 to 43, cell 4 is pixels 16 to 19 from below.
        assert!((40..44).contains(&(at % 160)), "{}", at % 160);
        assert!((60..64).contains(&(at / 160)), "{}", at / 160);
    }

    #[test]
    fn neighbours_and_images_are_shown() {
        let taller = Lens {
            corner: [-0.5, -20.5],
            pixels: [160, 160],
            ..LENS
        };
        let mut picture = Exposure::dark(taller.pixels);
        picture.take(&cloud_at(10.0, 4.0), &taller);
        let sum: f32 = picture.light.iter().sum();
        assert!((sum - 2.0).abs() < 0.1, "{sum}");
        let mirrored = Lens {
            shown: Shown::Mirrored,
            ..taller
        };
        let mut picture = Exposure::dark(taller.pixels);
        picture.take(&cloud_at(10.0, 4.0), &mirrored);
        let sum: f32 = picture.light.iter().sum();
        assert!((sum - 2.0).abs() < 0.1, "{sum}");
    }

    #[test]
    fn a_long_exposure_of_one_picture_is_that_picture_and_of_many_their_mean_light() {
        let steady: Vec<u8> = (0..=255).collect();
        let long = long_exposure(&[steady.clone(), steady.clone(), steady.clone()]);
        let pairs = steady.iter().zip(&long);
        assert!(pairs.map(|(a, b)| a.abs_diff(*b)).max().unwrap() <= 1);
        // Half of the time light of 1, which turns out at 161: half of that light turns out at 100.
        assert_eq!(long_exposure(&[vec![161], vec![0]]), [100]);
        assert!(long_exposure(&[]).is_empty());
    }

    #[test]
    fn more_light_is_brighter_and_nothing_overexposes() {
        let mut picture = Exposure::dark([4, 1]);
        picture.light = vec![0.0, 0.5, 1.0, 100.0];
        assert_eq!(picture.develop(1.0), [0, 100, 161, 255]);
    }
}
