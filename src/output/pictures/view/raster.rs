//! Triangles into samples, the nearest wins.

use crate::model::Vector;

/// A corner as the camera sees it.
#[derive(Clone, Copy, Debug)]
pub(super) struct Corner {
    /// Samples to the right, downwards, away.
    pub at: Vector,
    /// Right, up, towards the camera.
    pub normal: [f32; 3],
}

/// A triangle that faces the camera.
#[derive(Clone, Copy, Debug)]
pub(super) struct Face {
    corners: [Corner; 3],
    body: u16,
    /// Twice its area, samples squared.
    area: f64,
}

/// What is seen at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sample {
    pub depth: f32,
    pub normal: [f32; 3],
    /// Number of the body; [`NOTHING`] where there is none.
    pub body: u16,
}

/// No body.
pub(super) const NOTHING: u16 = u16::MAX;

const EMPTY: Sample = Sample { depth: f32::INFINITY, normal: [0.0; 3], body: NOTHING };

/// Some rows of samples.
#[derive(Debug)]
pub(super) struct Band {
    pub width: usize,
    /// The first row's number in the picture.
    pub first: i64,
    pub samples: Vec<Sample>,
}

impl Face {
    /// The face, if it is turned towards the camera and has an area.
    pub fn facing(corners: [Corner; 3], body: usize) -> Option<Self> {
        let [a, b, c] = corners.map(|c| c.at);
        // y runs downwards: anticlockwise triangles have an area below 0
        let area = -cross(a, b, [c[0], c[1]]);
        let body = u16::try_from(body).ok().filter(|b| *b != NOTHING)?;
        (area > 0.0).then_some(Face { corners, body, area })
    }
}

/// Twice the area of the triangle a, b, p.
fn cross(a: Vector, b: Vector, p: [f64; 2]) -> f64 {
    (b[0] - a[0]) * (p[1] - a[1]) - (b[1] - a[1]) * (p[0] - a[0])
}

impl Band {
    /// Rows `first` to `first + rows` of the picture of all faces.
    pub fn draw(faces: &[Face], width: usize, first: i64, rows: usize) -> Band {
        let mut band = Band { width, first, samples: vec![EMPTY; width * rows] };
        for face in faces {
            band.fill(face, rows);
        }
        band
    }

    /// The sample in column `x` of the band's row `y`.
    pub fn at(&self, x: usize, y: usize) -> &Sample {
        &self.samples[y * self.width + x]
    }

    fn fill(&mut self, face: &Face, rows: usize) {
        let [a, b, c] = face.corners.map(|c| c.at);
        let first = self.first as f64;
        let top = a[1].min(b[1]).min(c[1]) - first - 0.5;
        let bottom = a[1].max(b[1]).max(c[1]) - first - 0.5;
        if bottom < 0.0 || top > rows as f64 - 1.0 {
            return;
        }
        let left = a[0].min(b[0]).min(c[0]) - 0.5;
        let right = a[0].max(b[0]).max(c[0]) - 0.5;
        let columns = range(left, right, self.width);
        for row in range(top, bottom, rows) {
            let y = row as f64 + first + 0.5;
            for column in columns.clone() {
                self.test(face, [column as f64 + 0.5, y], row * self.width + column);
            }
        }
    }

    fn test(&mut self, face: &Face, p: [f64; 2], index: usize) {
        let [a, b, c] = face.corners.map(|c| c.at);
        // Shares of the three corners; both neighbours take a sample on their edge.
        let shares = [cross(b, c, p), cross(c, a, p), cross(a, b, p)].map(|s| -s / face.area);
        if shares.iter().any(|s| *s < 0.0) {
            return;
        }
        let depth = (shares[0] * a[2] + shares[1] * b[2] + shares[2] * c[2]) as f32;
        let sample = &mut self.samples[index];
        if depth < sample.depth {
            let mix = |i: usize| {
                let each = face.corners.iter().zip(shares);
                each.map(|(c, share)| c.normal[i] * share as f32).sum()
            };
            *sample = Sample { depth, normal: [mix(0), mix(1), mix(2)], body: face.body };
        }
    }
}

/// The whole numbers from `low` to `high` that are below `end`.
fn range(low: f64, high: f64, end: usize) -> std::ops::Range<usize> {
    let low = low.ceil().max(0.0) as usize;
    let high = (high.floor() + 1.0).clamp(0.0, end as f64) as usize;
    low.min(high)..high
}
