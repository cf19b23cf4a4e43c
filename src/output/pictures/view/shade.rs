//! Samples into pixels: light, lines, ground.

use super::SAMPLES;
use super::camera::Camera;
use super::edges::{Line, line};
use super::raster::{Band, NOTHING, Sample};
use super::shadow::Shadow;

/// Paper, with light counted as the square of what a pixel says.
const PAPER: [f32; 3] = [0.972, 0.972, 0.965];

/// Share of the paper's light that the darkest shadow takes.
const SHADOW: f32 = 0.30;

/// Towards the main light and the weaker one, as the camera has them; of length 1 by
/// whole numbers.
const KEY: [f32; 3] = [-1.0 / 3.0, 2.0 / 3.0, 2.0 / 3.0];
const FILL: [f32; 3] = [6.0 / 7.0, 2.0 / 7.0, 3.0 / 7.0];
const FRONT: [f32; 3] = [0.0, 0.0, 1.0];

/// Light: everywhere, main, weaker, and from where the camera stands.
const AMBIENT: f32 = 0.24;
const KEY_LIGHT: f32 = 0.50;
const FILL_LIGHT: f32 = 0.12;
const FRONT_LIGHT: f32 = 0.30;

/// The main light reaches round the form a little.
const WRAP: f32 = 0.3;

/// The colours of one body, light squared.
#[derive(Clone, Copy, Debug)]
pub(super) struct Paint {
    face: [f32; 3],
    crease: [f32; 3],
    outline: [f32; 3],
}

impl Paint {
    /// Paint of a material's colour.
    pub fn of(colour: [u8; 3]) -> Self {
        // Neither black nor white show a form.
        let face = colour.map(|c| 0.04 + 0.93 * f32::from(c) / 255.0).map(|c| c * c);
        let bright = 0.3 * face[0] + 0.6 * face[1] + 0.1 * face[2];
        if bright > 0.04 {
            Paint { face, crease: face.map(|c| c * 0.36), outline: face.map(|c| c * 0.10) }
        } else {
            let lifted = |by: f32| face.map(|c| c + (0.45 - c) * by);
            Paint { face, crease: lifted(0.25), outline: lifted(0.42) }
        }
    }
}

/// The pixels of `rows` rows from a band that has one more row of samples above and
/// below; `over` gives the light of a sample with what lies over the scene.
pub(super) fn rows(
    band: &Band,
    rows: usize,
    palette: &[Paint],
    camera: &Camera,
    shadow: &Shadow,
    over: &dyn Fn([usize; 2], [f32; 3]) -> [f32; 3],
) -> Vec<u8> {
    let width = band.width / SAMPLES;
    let mut rgb = Vec::with_capacity(rows * width * 3);
    for row in 0..rows {
        for column in 0..width {
            let mut sum = [0.0; 3];
            for sample in 0..SAMPLES * SAMPLES {
                let x = column * SAMPLES + sample % SAMPLES;
                let y = 1 + row * SAMPLES + sample / SAMPLES;
                let light = over([x, y], light(band, [x, y], palette, camera, shadow));
                sum = [0, 1, 2].map(|i| sum[i] + light[i]);
            }
            let mean = sum.map(|c| c / (SAMPLES * SAMPLES) as f32);
            rgb.extend(mean.map(|c| (c.clamp(0.0, 1.0).sqrt() * 255.0).round() as u8));
        }
    }
    rgb
}

fn light(
    band: &Band,
    [x, y]: [usize; 2],
    palette: &[Paint],
    camera: &Camera,
    shadow: &Shadow,
) -> [f32; 3] {
    let sample = band.at(x, y);
    let Some(paint) = palette.get(usize::from(sample.body)) else {
        let at = [x as f64 + 0.5, (y as i64 + band.first) as f64 + 0.5];
        let dark = SHADOW * shadow.at(camera.ground(at, shadow.ground_mm));
        return PAPER.map(|c| c * c * (1.0 - dark));
    };
    debug_assert!(sample.body != NOTHING);
    match line(band, x, y) {
        Line::Outline => paint.outline,
        Line::Crease => paint.crease,
        Line::None => {
            let light = brightness(sample);
            paint.face.map(|c| c * light)
        }
    }
}

/// How much light a sample throws back.
pub(super) fn brightness(sample: &Sample) -> f32 {
    let n = sample.normal;
    let length = dot(n, n).sqrt().max(1e-6);
    let toward = |light: [f32; 3]| dot(n, light) / length;
    let key = ((toward(KEY) + WRAP) / (1.0 + WRAP)).max(0.0);
    AMBIENT
        + KEY_LIGHT * key
        + FILL_LIGHT * toward(FILL).max(0.0)
        + FRONT_LIGHT * toward(FRONT).max(0.0)
}

fn dot(a: [f32; 3], b: [f32; 3]) -> f32 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
