//! What changed of a scene: the new bodies in one pale colour, and over them what was added,
//! hatched, and what was removed, dotted. What lies behind the surface shines through.

use super::camera::Camera;
use super::raster::{Band, NOTHING, Sample};
use super::shade::{self, Paint};
use super::shadow::Shadow;
use super::{BAND, Pixels, SAMPLES, Shot, faces};
use crate::mesh::Mesh;
use crate::output::pictures::scene::{Apart, SceneBody};
use rayon::prelude::*;

/// What a body of the difference is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mark {
    /// Only the new side has it: hatched.
    Added,
    /// Only the old side has it: dotted.
    Removed,
}

/// The pale colour of what stays.
const KEPT: [u8; 3] = [226, 226, 220];

/// Light of both marks, squared: a blue and an orange that stay apart for eyes that do not tell
/// red from green.
const ADDED: [f32; 3] = [0.05, 0.22, 0.50];
const REMOVED: [f32; 3] = [0.78, 0.32, 0.06];

/// Distance of hatch lines and of dots, in samples, and how much of it is dark.
const PITCH: usize = 18;
const DARK: usize = 6;

/// Depths nearer than this are one surface, in samples: both bodies have it.
const ONE_SURFACE: f32 = 1.5;

/// Share of its light that a mark behind the surface keeps.
const BEHIND: f32 = 0.45;

/// Takes a picture of what changed; `frame` is what the camera has in view.
pub(in super::super) fn difference(
    kept: &[SceneBody<'_>],
    changed: &[(Mark, &Mesh)],
    frame: &[SceneBody<'_>],
    shot: Shot,
) -> Pixels {
    let bodies: Vec<SceneBody<'_>> =
        kept.iter().map(|body| SceneBody { colour: KEPT, ..*body }).collect();
    let marked: Vec<SceneBody<'_>> = changed
        .iter()
        .map(|(_, mesh)| SceneBody { name: "", colour: KEPT, mesh, apart: Apart::STAYS })
        .collect();
    let marks: Vec<Mark> = changed.iter().map(|(mark, _)| *mark).collect();
    let points = frame.iter().flat_map(|b| &b.mesh.vertices);
    let camera = Camera::framing(points, [shot.width * SAMPLES, shot.height * SAMPLES]);
    let placed: Vec<_> = bodies.iter().map(|b| b.placed(0.0)).collect();
    let over: Vec<_> = marked.iter().map(|b| b.placed(0.0)).collect();
    let shadow = Shadow::cast(&bodies, &placed);
    let (below, above) = (faces(&bodies, &placed, &camera), faces(&marked, &over, &camera));
    let palette: Vec<Paint> = bodies.iter().map(|b| Paint::of(b.colour)).collect();
    let width = shot.width * SAMPLES;
    let tops: Vec<usize> = (0..shot.height).step_by(BAND).collect();
    let rgb = tops.par_iter().flat_map_iter(|&top| {
        let rows = BAND.min(shot.height - top);
        let first = (top * SAMPLES) as i64 - 1;
        let [below, above] =
            [&below, &above].map(|f| Band::draw(f, width, first, rows * SAMPLES + 2));
        let mix = |at: [usize; 2], light| marked_light(&below, &above, &marks, at, light);
        shade::rows(&below, rows, &palette, &camera, &shadow, &mix)
    });
    Pixels { width: shot.width, height: shot.height, rgb: rgb.collect() }
}

/// The light of a sample with what changed over it.
fn marked_light(
    below: &Band,
    above: &Band,
    marks: &[Mark],
    [x, y]: [usize; 2],
    light: [f32; 3],
) -> [f32; 3] {
    let sample = above.at(x, y);
    if sample.body == NOTHING {
        return light;
    }
    let Some(mark) = marks.get(usize::from(sample.body)) else { return light };
    // The row in the whole picture, so that patterns run through from band to band.
    let row = (y as i64 + above.first).max(0) as usize;
    let own = pattern(*mark, x, row, sample);
    if sample.depth <= below.at(x, y).depth + ONE_SURFACE {
        return own;
    }
    [0, 1, 2].map(|i| own[i] * BEHIND + light[i] * (1.0 - BEHIND))
}

fn pattern(mark: Mark, x: usize, y: usize, sample: &Sample) -> [f32; 3] {
    let (colour, is_dark) = match mark {
        Mark::Added => (ADDED, (x + y) % PITCH < DARK),
        Mark::Removed => {
            // Every other row of dots is set off by half.
            let shift = if (y / PITCH).is_multiple_of(2) { 0 } else { PITCH / 2 };
            let from = |v: usize| (v % PITCH) as i64 - PITCH as i64 / 2;
            let (dx, dy) = (from(x + shift), from(y));
            (REMOVED, dx * dx + dy * dy < (DARK * DARK) as i64 * 2 / 3)
        }
    };
    let light = shade::brightness(sample);
    let ground = if is_dark { 0.25 } else { 1.0 };
    colour.map(|c| {
        let pale = 0.45 + 0.55 * c;
        let tone = if is_dark { c } else { pale };
        (tone * light * (0.75 + 0.25 * ground)).min(1.0)
    })
}
