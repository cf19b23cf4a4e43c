//! What two bodies have in common.

use super::combine::combined;
use super::crossings::Obstacle;
use super::fault::MeshFault;
use super::space::Bounds;
use super::triangles::Mesh;
use crate::model::vector::{add, cross, dot, length, scale, sub};
use crate::model::{Operation, Vector};

/// How far below its surface a body is sampled, mm.
const BELOW_MM: f64 = 1e-3;

/// Faces lower than this (mm) are no place for a sample: it would lie beside the body.
const NEEDLE_MM: f64 = 0.01;

/// Faces that leave the upright by less than this have no one height over a point, but all of
/// theirs; the sine of it.
const UPRIGHT: f64 = 1e-9;

/// Volume that two sound bodies have in common, mm3. Bodies that only touch, as an inlay and
/// its pocket do, have none: no face of one passes through a face of the other, and no face
/// of one lies in the other. Only where that fails is the common body built.
///
/// # Errors
/// [`MeshFault::Refused`].
pub fn overlap_mm3(a: &Obstacle, b: &Obstacle) -> Result<f64, MeshFault> {
    if !b.crossed_by(a, [0.0; 3]) && !lies_in(a, b) && !lies_in(b, a) {
        return Ok(0.0);
    }
    Ok(b.shared_with(a.mesh().clone())?.volume_mm3())
}

impl Obstacle<'_> {
    /// What a body has in common with this one.
    ///
    /// # Errors
    /// [`MeshFault::Refused`].
    pub fn shared_with(&self, mesh: Mesh) -> Result<Mesh, MeshFault> {
        combined(Operation::Meet, mesh, self.mesh())
    }
}

/// Whether any face of one body lies in another one, told by a point just below its middle.
/// One point for a piece does not do: bodies whose sides lie in each other's do not cross,
/// and share what lies between their ends.
fn lies_in(a: &Obstacle, b: &Obstacle) -> bool {
    let a = a.mesh();
    let within = b.mesh().bounds();
    (0..a.triangles.len()).any(|t| {
        let corners = a.corners(t);
        let normal = a.normal(t);
        let size = length(normal);
        if size < NEEDLE_MM * longest(&corners) {
            return false;
        }
        let [p, q, r] = corners;
        let middle = scale(add(p, add(q, r)), 1.0 / 3.0);
        let below = add(middle, scale(normal, -BELOW_MM / size));
        within.meets(&Bounds::of([below])) && is_inside(below, b)
    })
}

/// The longest side of a triangle, mm.
fn longest([p, q, r]: &[Vector; 3]) -> f64 {
    [(p, q), (q, r), (r, p)].into_iter().map(|(a, b)| length(sub(*a, *b))).fold(0.0, f64::max)
}

/// Whether a point lies in a body: the faces that a ray upwards leaves by, less those that it
/// enters by. An edge of a face counts for the ray where one of its ends lies behind it and
/// the other does not, so that every edge that faces share is counted alike for both. Most
/// faces of what stands upright are out of the way of such a ray.
fn is_inside(point: Vector, body: &Obstacle) -> bool {
    let mut far = point;
    far[2] = f64::INFINITY;
    let mut winding = 0;
    body.tree().meeting(&Bounds { low: point, high: far }, |t| {
        winding += passes(point, body.mesh().corners(t as usize));
    });
    winding > 0
}

/// 1 where a ray upwards from a point leaves through a triangle, -1 where it enters.
fn passes(point: Vector, corners: [Vector; 3]) -> i32 {
    let flat = corners.map(|c| [c[0] - point[0], c[1] - point[1]]);
    let mut turns = 0;
    for i in 0..3 {
        let (a, b) = (flat[i], flat[(i + 1) % 3]);
        let (up, down) = (a[1] < 0.0 && b[1] >= 0.0, a[1] >= 0.0 && b[1] < 0.0);
        // The lower end first, so that both faces of an edge compute the same number.
        let (low, high) = if up { (a, b) } else { (b, a) };
        let left = low[0] * high[1] - low[1] * high[0] > 0.0;
        turns += i32::from(up && left) - i32::from(down && left);
    }
    if turns == 0 {
        return 0;
    }
    let [a, b, c] = corners;
    let n = cross(sub(b, a), sub(c, a));
    let ahead = if n[2].abs() > UPRIGHT * length(n) {
        dot(n, sub(a, point)) / n[2] > 0.0
    } else {
        a[2] + b[2] + c[2] > 3.0 * point[2]
    };
    if ahead { turns } else { 0 }
}
