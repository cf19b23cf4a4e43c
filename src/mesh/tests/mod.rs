//! Meshes against closed forms and against each other.

mod bodies;
mod others;
mod seats;
mod sweep;

use super::*;
use crate::model::{Body, Leaf, Operation, Placement, Prism, Turned, Vector};
use crate::plane::{Edge, Outline, Point, polygon, rect};
use std::sync::Arc;

pub fn mesher(radius_mm: f64) -> Mesher {
    Mesher::for_radius(radius_mm, &Tolerance::default())
}

pub fn overlap_mm3(a: &Mesh, b: &Mesh) -> Result<f64, MeshFault> {
    super::overlap_mm3(&Obstacle::of(a), &Obstacle::of(b))
}

pub fn turned(outline: Outline) -> Body {
    Body::Leaf(Leaf::Turned(Arc::new(Turned { outline, sides: None })))
}

pub fn profile(points: &[(f64, f64)]) -> Outline {
    let points: Vec<Point> = points.iter().map(|(x, y)| Point::new(*x, *y)).collect();
    polygon(&points).unwrap()
}

/// A rod on z = 0.
pub fn rod(diameter: f64, height: f64) -> Body {
    let r = diameter / 2.0;
    turned(profile(&[(0.0, 0.0), (r, 0.0), (r, height), (0.0, height)]))
}

pub fn tube(bore: f64, wall: f64, height: f64) -> Body {
    let (r, out) = (bore / 2.0, bore / 2.0 + wall);
    turned(profile(&[(r, 0.0), (out, 0.0), (out, height), (r, height)]))
}

/// A cup: outer radius, bore radius, floor, height.
pub fn cup_profile(r: f64, bore: f64, floor: f64, height: f64) -> Outline {
    profile(&[(0.0, 0.0), (r, 0.0), (r, height), (bore, height), (bore, floor), (0.0, floor)])
}

pub fn block(size: Vector) -> Body {
    prism_of(rect(size[0], size[1], Edge::None).unwrap(), size[2], 0.0, [Edge::None; 2])
}

pub fn prism_of(outline: Outline, height_mm: f64, taper_rad: f64, edges: [Edge; 2]) -> Body {
    let [bottom, top] = edges;
    Body::Leaf(Leaf::Prism(Arc::new(Prism { outline, height_mm, taper_rad, top, bottom })))
}

pub fn at(body: Body, shift: Vector) -> Body {
    Body::Placed { body: Arc::new(body), placement: Placement::shifted(shift) }
}

pub fn boolean(operation: Operation, left: Body, right: Body) -> Body {
    Body::Boolean { operation, left: Arc::new(left), right: Arc::new(right) }
}
