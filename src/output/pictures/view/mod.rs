//! Shaded views: a software renderer.
//!
//! Only sums, products and square roots, which every machine rounds alike, so that
//! the same scene gives the same bytes everywhere; bands of the picture are drawn on
//! all cores, each by itself.

mod camera;
mod difference;
mod edges;
mod normals;
mod raster;
mod shade;
mod shadow;
#[cfg(test)]
mod tests;

use super::scene::SceneBody;
use crate::model::Vector;
use camera::Camera;
pub use difference::Mark;
pub(super) use difference::difference;
use raster::{Band, Corner, Face};
use rayon::prelude::*;
use shadow::Shadow;

/// Samples to the side of a pixel.
const SAMPLES: usize = 3;

/// Rows of pixels that are drawn in one go.
const BAND: usize = 40;

/// How a picture is taken.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Shot {
    /// Pixels.
    pub width: usize,
    /// Pixels.
    pub height: usize,
    /// How far the bodies are apart: 0 assembled, 1 fully.
    pub apart: f64,
}

impl Default for Shot {
    fn default() -> Self {
        Shot { width: 800, height: 600, apart: 0.0 }
    }
}

/// A picture: rows of red, green, blue from the top.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Pixels {
    pub width: usize,
    pub height: usize,
    pub rgb: Vec<u8>,
}

/// Takes a picture of a scene; `frame` is what the camera has in view.
pub(super) fn pixels(bodies: &[SceneBody<'_>], frame: &[SceneBody<'_>], shot: Shot) -> Pixels {
    let placed: Vec<_> = bodies.iter().map(|b| b.placed(shot.apart)).collect();
    let framed: Vec<_> = frame.iter().map(|b| b.placed(shot.apart)).collect();
    let fine = [shot.width * SAMPLES, shot.height * SAMPLES];
    let camera = Camera::framing(framed.iter().flatten(), fine);
    let shadow = Shadow::cast(bodies, &placed);
    let faces = faces(bodies, &placed, &camera);
    let palette: Vec<_> = bodies.iter().map(|b| shade::Paint::of(b.colour)).collect();
    let bands: Vec<usize> = (0..shot.height).step_by(BAND).collect();
    let rgb = bands.par_iter().flat_map_iter(|&top| {
        let rows = BAND.min(shot.height - top);
        // One more row of samples on both sides, for the lines between samples.
        let first = (top * SAMPLES) as i64 - 1;
        let band = Band::draw(&faces, fine[0], first, rows * SAMPLES + 2);
        shade::rows(&band, rows, &palette, &camera, &shadow, &|_, light| light)
    });
    Pixels { width: shot.width, height: shot.height, rgb: rgb.collect() }
}

/// The faces of bodies that are turned towards the camera.
fn faces(bodies: &[SceneBody<'_>], placed: &[Vec<Vector>], camera: &Camera) -> Vec<Face> {
    let mut faces = Vec::new();
    for (index, (body, points)) in bodies.iter().zip(placed).enumerate() {
        let normals = normals::corners(body.mesh, points);
        let corners: Vec<_> = points.iter().map(|p| camera.project(*p)).collect();
        for (triangle, normals) in body.mesh.triangles.iter().zip(normals) {
            let corner = |i: usize| Corner {
                at: corners[triangle[i] as usize],
                normal: camera.turn(normals[i]).map(|c| c as f32),
            };
            faces.extend(Face::facing([corner(0), corner(1), corner(2)], index));
        }
    }
    faces
}
