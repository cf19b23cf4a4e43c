//! Between our bodies and those of the boolean crate.

use super::super::body::{Edge, ExactBody, Face, Side};
use super::super::geometry::vector::{add, cross, distance, scale, solve, sub, unit};
use super::super::geometry::{Curve, Frame, Surface, Trace, settle};
use super::meeting::meeting;
use super::patch::{Patch, from_point, to_point};
use super::strand::Strand;
use crate::model::Vector;
use truck_base::cgmath64::Point3;
use truck_topology::compress::{
    CompressedEdge, CompressedEdgeIndex, CompressedFace, CompressedShell,
};

/// A solid of the boolean crate.
pub(super) type Solid = truck_topology::Solid<Point3, Strand, Patch>;
/// A shell of the boolean crate.
type Shell = truck_topology::Shell<Point3, Strand, Patch>;

/// A body of one shell, as the crate has it. None where the crate does not accept it.
pub(super) fn to_solid(body: &ExactBody) -> Option<Solid> {
    let faces = body.faces().iter().map(|face| {
        let step =
            |side: &Side| CompressedEdgeIndex { index: side.edge, orientation: side.forward };
        CompressedFace {
            boundaries: face.loops.iter().map(|l| l.iter().map(step).collect()).collect(),
            orientation: true,
            surface: Patch::new(face, body.middle_rad(face)),
        }
    });
    let edges = body.edges().iter().map(|edge| CompressedEdge {
        vertices: (edge.ends[0], edge.ends[1]),
        curve: Strand::new(edge.curve.clone()),
    });
    let compressed = CompressedShell {
        vertices: body.points().iter().map(|p| to_point(*p)).collect(),
        edges: edges.collect(),
        faces: faces.collect(),
    };
    let shell = Shell::extract(compressed).ok()?;
    Solid::try_new(vec![shell]).ok()
}

/// A solid as a body: corners and curves made exact, everything in an order that depends
/// on the geometry alone.
pub(super) fn to_body(solid: &Solid) -> ExactBody {
    let mut raw = Raw::default();
    for shell in solid.boundaries() {
        raw.add(shell.compress());
    }
    // Sorted first, so that not even rounding depends on the order of faces.
    let mut raw = raw.in_order();
    raw.polish_points();
    raw.polish_curves();
    ExactBody::new(raw.points, raw.edges, raw.faces)
}

/// Numbered lists under work.
#[derive(Default)]
struct Raw {
    points: Vec<Vector>,
    edges: Vec<Edge>,
    faces: Vec<Face>,
}

impl Raw {
    fn add(&mut self, shell: CompressedShell<Point3, Strand, Patch>) {
        let (first_point, first_edge) = (self.points.len(), self.edges.len());
        self.points.extend(shell.vertices.into_iter().map(from_point));
        self.edges.extend(shell.edges.into_iter().map(|edge| Edge {
            curve: edge.curve.curve,
            ends: [edge.vertices.0 + first_point, edge.vertices.1 + first_point],
        }));
        for face in shell.faces {
            let side = |step: &CompressedEdgeIndex| Side {
                edge: step.index + first_edge,
                forward: step.orientation,
            };
            let loops = face.boundaries.iter().map(|l| l.iter().map(side).collect()).collect();
            let outward = face.surface.outward();
            let Patch { surface, role, .. } = face.surface;
            let made = Face { surface, outward, loops, role };
            self.faces.push(if face.orientation { made } else { made.turned_round() });
        }
    }

    /// Surfaces at every corner, and the two at every edge.
    fn surfaces(&self) -> (Vec<Vec<Surface>>, Vec<Vec<Surface>>) {
        let mut at_points: Vec<Vec<Surface>> = vec![Vec::new(); self.points.len()];
        let mut at_edges: Vec<Vec<Surface>> = vec![Vec::new(); self.edges.len()];
        for face in &self.faces {
            for side in face.loops.iter().flatten() {
                at_edges[side.edge].push(face.surface);
                for end in self.edges[side.edge].ends {
                    if !at_points[end].contains(&face.surface) {
                        at_points[end].push(face.surface);
                    }
                }
            }
        }
        (at_points, at_edges)
    }

    fn polish_points(&mut self) {
        let (mut at_points, at_edges) = self.surfaces();
        for (edge, surfaces) in self.edges.iter().zip(&at_edges) {
            // A sector line lies in one surface only; its corners have to stay on it.
            if let [a, b] = surfaces.as_slice()
                && a == b
                && let Some(plane) = plane_of(&edge.curve, a)
            {
                edge.ends.iter().for_each(|end| at_points[*end].push(plane));
            }
        }
        for (point, surfaces) in self.points.iter_mut().zip(&at_points) {
            *point = polished(*point, surfaces);
        }
    }

    fn polish_curves(&mut self) {
        let (_, at_edges) = self.surfaces();
        for (edge, surfaces) in self.edges.iter_mut().zip(&at_edges) {
            let ends = edge.ends.map(|end| self.points[end]);
            if let [a, b] = surfaces.as_slice()
                && let Some(curve) = polished_curve(&edge.curve, &[*a, *b], ends)
            {
                edge.curve = curve;
            }
        }
    }

    /// Sorts corners by place, edges by corners and middle, faces by edges.
    fn in_order(self) -> Raw {
        let mut points: Vec<usize> = (0..self.points.len()).collect();
        points.sort_by(|a, b| compare(&self.points[*a], &self.points[*b]));
        let new_point = inverse(&points);
        let key = |e: &usize| {
            let edge = &self.edges[*e];
            let mut ends = edge.ends.map(|p| new_point[p]);
            ends.sort_unstable();
            (ends, edge.curve.at(0.5))
        };
        let mut edges: Vec<usize> = (0..self.edges.len()).collect();
        edges.sort_by(|a, b| {
            let (a, b) = (key(a), key(b));
            a.0.cmp(&b.0).then_with(|| compare(&a.1, &b.1))
        });
        let new_edge = inverse(&edges);
        let upright: Vec<bool> = self
            .edges
            .iter()
            .map(|edge| new_point[edge.ends[0]] <= new_point[edge.ends[1]])
            .collect();
        let sorted_edges = edges.iter().map(|e| {
            let Edge { curve, ends } = &self.edges[*e];
            let ends = ends.map(|p| new_point[p]);
            if upright[*e] {
                Edge { curve: curve.clone(), ends }
            } else {
                Edge { curve: curve.reversed(), ends: [ends[1], ends[0]] }
            }
        });
        let sorted_edges = sorted_edges.collect();
        let renamed = |side: &Side| Side {
            edge: new_edge[side.edge],
            forward: side.forward == upright[side.edge],
        };
        let mut faces: Vec<Face> = Vec::with_capacity(self.faces.len());
        for face in &self.faces {
            let mut loops: Vec<Vec<Side>> = Vec::new();
            for sides in &face.loops {
                let mut sides: Vec<Side> = sides.iter().map(renamed).collect();
                let least = (0..sides.len()).min_by_key(|i| sides[*i]).unwrap_or(0);
                sides.rotate_left(least);
                loops.push(sides);
            }
            let inner = loops.split_off(1.min(loops.len()));
            let mut inner = inner;
            inner.sort();
            loops.extend(inner);
            faces.push(Face { loops, ..*face });
        }
        faces.sort_by(|a, b| a.loops.cmp(&b.loops));
        let sorted_points = points.iter().map(|p| self.points[*p]).collect();
        Raw { points: sorted_points, edges: sorted_edges, faces }
    }
}

/// Places that differ by less are in the same place along an axis, mm: then the next axis
/// tells the order.
const SAME_MM: f64 = 1e-6;

fn compare(a: &Vector, b: &Vector) -> std::cmp::Ordering {
    let grid = |p: &Vector| p.map(|c| (c / SAME_MM).round() as i64);
    grid(a).cmp(&grid(b))
}

/// Where each number has gone.
fn inverse(order: &[usize]) -> Vec<usize> {
    let mut places = vec![0; order.len()];
    for (place, number) in order.iter().enumerate() {
        places[*number] = place;
    }
    places
}

/// The plane square to a surface in which a sector line lies.
fn plane_of(curve: &Curve, surface: &Surface) -> Option<Surface> {
    match curve {
        Curve::Arc { frame, .. } => Some(Surface::Plane { frame: *frame }),
        Curve::Line { start, end } => {
            let y = surface.normal_near(*start);
            let x = unit(sub(*end, *start));
            Some(Surface::Plane { frame: Frame { origin: *start, x, y, z: cross(x, y) } })
        }
        Curve::Helix { .. } | Curve::Trace(_) => None,
    }
}

/// The nearest point on all surfaces: least squares, Newton's method. A little damping
/// keeps the step the shortest one where fewer than three surfaces cross.
fn polished(point: Vector, surfaces: &[Surface]) -> Vector {
    let mut at = point;
    for _ in 0..30 {
        let mut rows = [[1e-10, 0.0, 0.0], [0.0, 1e-10, 0.0], [0.0, 0.0, 1e-10]];
        let mut right = [0.0; 3];
        let mut worst: f64 = 0.0;
        for surface in surfaces {
            let (off, normal) = (surface.signed_distance(at), surface.normal_near(at));
            worst = worst.max(off.abs());
            for axis in 0..3 {
                rows[axis] = add(rows[axis], scale(normal, normal[axis]));
            }
            right = sub(right, scale(normal, off));
        }
        if worst < 1e-13 {
            break;
        }
        // Multiplied, so that damped equations still count as independent.
        let rows = rows.map(|row| scale(row, 1e6));
        let Some(step) = solve(rows, scale(right, 1e6)) else { break };
        at = add(at, step);
    }
    // The crate's points are within a micrometre; farther is another meeting.
    if distance(at, point) < 1e-4 { at } else { point }
}

/// A curve between polished corners, on both surfaces. None where it cannot be told.
fn polished_curve(curve: &Curve, surfaces: &[Surface; 2], ends: [Vector; 2]) -> Option<Curve> {
    if let Curve::Trace(trace) = curve {
        let mut leader = trace.leader().to_vec();
        let last = leader.len() - 1;
        (leader[0], leader[last]) = (ends[0], ends[1]);
        return meeting(surfaces, &leader);
    }
    let trimmed = trimmed(curve, ends)?;
    let off = |t: f64| {
        let at = trimmed.at(t);
        surfaces.iter().map(|s| s.signed_distance(at).abs()).fold(0.0, f64::max)
    };
    let apart = distance(trimmed.at(0.0), ends[0]).max(distance(trimmed.at(1.0), ends[1]));
    if off(0.3).max(off(0.7)).max(apart) < 1e-10 || surfaces[0] == surfaces[1] {
        return Some(trimmed);
    }
    let mut points = vec![ends[0]];
    for i in 1..8 {
        let t = f64::from(i) / 8.0;
        let (at, along) = (curve.at(t), unit(curve.derivative(t)));
        points.push(settle(surfaces, at, along)?);
    }
    points.push(ends[1]);
    meeting(surfaces, &points)
}

/// The same curve from corner to corner.
fn trimmed(curve: &Curve, ends: [Vector; 2]) -> Option<Curve> {
    let [from, to] = ends.map(|p| curve.nearest(p));
    let part = |pair: [f64; 2]| [from, to].map(|t| pair[0] + (pair[1] - pair[0]) * t);
    Some(match curve {
        Curve::Line { .. } => Curve::Line { start: ends[0], end: ends[1] },
        Curve::Arc { frame, radii_mm, angles_rad } => {
            Curve::Arc { frame: *frame, radii_mm: *radii_mm, angles_rad: part(*angles_rad) }
        }
        Curve::Helix { frame, angles_rad, radii_mm, heights_mm } => Curve::Helix {
            frame: *frame,
            angles_rad: part(*angles_rad),
            radii_mm: part(*radii_mm),
            heights_mm: part(*heights_mm),
        },
        Curve::Trace(trace) => Curve::Trace(Trace::new(*trace.surfaces(), trace.leader())?),
    })
}
