//! Bodies of revolution, built face by face.

use super::Declined;
use super::body::{Edge, ExactBody, Face, Side};
use super::geometry::{Curve, Frame, Meridian, Surface};
use crate::model::Vector;
use crate::plane::{self, Outline, Point, Track};
use std::f64::consts::{PI, TAU};

/// Faces all round are made of this many sectors: with two, two edges would share both
/// their ends, which the boolean crate's shells do not stand.
pub(super) const SECTORS: usize = 3;

/// A profile point nearer to the axis than this lies on it, mm: profiles are drawn in
/// numbers that mean 0 when they say 0, so only rounding is covered.
const ON_AXIS_MM: f64 = 1e-9;

/// The body swept by `outline` about z. `seam_rad` is where the first sector starts.
///
/// # Errors
/// Where the profile runs to the other side of the axis.
pub(super) fn turned(outline: &Outline, seam_rad: f64) -> Result<ExactBody, Declined> {
    let mut builder = Builder::new(seam_rad);
    for track in &outline.loops {
        let steps = steps(track);
        if steps.iter().any(|step| step.start.x < -ON_AXIS_MM) {
            return Err(Declined::new("the profile crosses its axis"));
        }
        builder.sweep(&steps);
    }
    Ok(ExactBody::new(builder.points, builder.edges, builder.faces))
}

/// A segment with both its ends.
#[derive(Clone, Copy, Debug)]
struct Step {
    start: Point,
    end: Point,
    curve: plane::Curve,
}

/// The segments of a track; arcs that meet the axis at both ends are halved, so that
/// no face has two poles.
fn steps(track: &Track) -> Vec<Step> {
    let mut steps = Vec::new();
    for (start, segment) in track.iter() {
        let (end, curve) = (segment.to, segment.curve);
        let both = on_axis(start) && on_axis(end);
        match curve {
            plane::Curve::Arc { centre, .. } if both => {
                let radius = (start.x - centre.x).hypot(start.y - centre.y);
                let middle = Point::new(centre.x + radius, centre.y);
                steps.push(Step { start, end: middle, curve });
                steps.push(Step { start: middle, end, curve });
            }
            _ => steps.push(Step { start, end, curve }),
        }
    }
    steps
}

fn on_axis(point: Point) -> bool {
    point.x.abs() <= ON_AXIS_MM
}

/// What one profile point sweeps.
#[derive(Clone, Debug)]
enum Ring {
    /// A corner on the axis.
    Pole(usize),
    /// Corners and arcs, one of each for every sector; arc `k` runs from corner `k` to
    /// corner `k + 1`.
    Circle { corners: Vec<usize>, arcs: Vec<usize> },
}

struct Builder {
    points: Vec<Vector>,
    edges: Vec<Edge>,
    faces: Vec<Face>,
    angles: Vec<f64>,
}

impl Builder {
    fn new(seam_rad: f64) -> Self {
        let angles = (0..SECTORS).map(|k| seam_rad + TAU * k as f64 / SECTORS as f64).collect();
        Builder { points: Vec::new(), edges: Vec::new(), faces: Vec::new(), angles }
    }

    fn sweep(&mut self, steps: &[Step]) {
        let rings: Vec<Ring> = steps.iter().map(|step| self.ring(step.start)).collect();
        for (number, step) in steps.iter().enumerate() {
            let (from, to) = (&rings[number], &rings[(number + 1) % rings.len()]);
            let straight = matches!(step.curve, plane::Curve::Line);
            if straight && on_axis(step.start) && on_axis(step.end) {
                continue;
            }
            if straight && step.start.y == step.end.y {
                self.level(step, from, to);
            } else {
                self.side(step, from, to);
            }
        }
    }

    fn point(&mut self, at: Vector) -> usize {
        self.points.push(at);
        self.points.len() - 1
    }

    fn edge(&mut self, curve: Curve, ends: [usize; 2]) -> usize {
        self.edges.push(Edge { curve, ends });
        self.edges.len() - 1
    }

    fn ring(&mut self, at: Point) -> Ring {
        if on_axis(at) {
            return Ring::Pole(self.point([0.0, 0.0, at.y]));
        }
        let frame = Frame::at_height(at.y);
        let angles = self.angles.clone();
        let corners: Vec<usize> =
            angles.iter().map(|angle| self.point(frame.polar(at.x, *angle, 0.0))).collect();
        let arc = |k: usize| {
            let sweep = [angles[k], angles.get(k + 1).copied().unwrap_or(angles[0] + TAU)];
            Curve::circle(frame, at.x, sweep)
        };
        let arcs = (0..SECTORS)
            .map(|k| self.edge(arc(k), [corners[k], corners[(k + 1) % SECTORS]]))
            .collect();
        Ring::Circle { corners, arcs }
    }

    /// A disc or a ring of a level plane.
    fn level(&mut self, step: &Step, from: &Ring, to: &Ring) {
        // The material lies to the left: above a run outwards, below a run inwards.
        let up = step.end.x < step.start.x;
        let (outer, inner) = if up { (from, to) } else { (to, from) };
        let circle = |ring: &Ring, anticlockwise: bool| match ring {
            Ring::Pole(_) => None,
            Ring::Circle { arcs, .. } => {
                let sides = arcs.iter().map(|edge| Side { edge: *edge, forward: anticlockwise });
                let mut sides: Vec<Side> = sides.collect();
                if !anticlockwise {
                    sides.reverse();
                }
                Some(sides)
            }
        };
        let loops = circle(outer, up).into_iter().chain(circle(inner, !up)).collect();
        let surface = Surface::level(step.start.y);
        self.faces.push(Face { surface, outward: up, loops });
    }

    /// A cylinder, cone, torus or sphere in sectors.
    fn side(&mut self, step: &Step, from: &Ring, to: &Ring) {
        let meridian = meridian(step);
        let surface = Surface::Revolved { frame: Frame::WORLD, meridian };
        let ribs: Vec<usize> = (0..SECTORS).map(|k| self.rib(step, from, to, k)).collect();
        for k in 0..SECTORS {
            // Seen from outside, angles grow to the right and the profile runs up.
            let mut sides = Vec::with_capacity(4);
            if let Ring::Circle { arcs, .. } = from {
                sides.push(Side { edge: arcs[k], forward: true });
            }
            sides.push(Side { edge: ribs[(k + 1) % SECTORS], forward: true });
            if let Ring::Circle { arcs, .. } = to {
                sides.push(Side { edge: arcs[k], forward: false });
            }
            sides.push(Side { edge: ribs[k], forward: false });
            self.faces.push(Face { surface, outward: true, loops: vec![sides] });
        }
    }

    /// The meridian edge of sector line `k`.
    fn rib(&mut self, step: &Step, from: &Ring, to: &Ring, k: usize) -> usize {
        let corner = |ring: &Ring| match ring {
            Ring::Pole(pole) => *pole,
            Ring::Circle { corners, .. } => corners[k],
        };
        let ends = [corner(from), corner(to)];
        let curve = match step.curve {
            plane::Curve::Line => {
                Curve::Line { start: self.points[ends[0]], end: self.points[ends[1]] }
            }
            plane::Curve::Arc { .. } => rib_arc(&meridian(step), self.angles[k]),
        };
        self.edge(curve, ends)
    }
}

/// The meridian of a step.
fn meridian(step: &Step) -> Meridian {
    let pair = |p: Point| [if on_axis(p) { 0.0 } else { p.x }, p.y];
    match step.curve {
        plane::Curve::Line => Meridian::Line { start: pair(step.start), end: pair(step.end) },
        plane::Curve::Arc { centre, anticlockwise } => {
            Meridian::arc(pair(step.start), pair(step.end), pair(centre), anticlockwise)
        }
    }
}

/// A circular meridian as an edge in the half plane at `angle`.
fn rib_arc(meridian: &Meridian, angle: f64) -> Curve {
    let Meridian::Arc { centre, radius_mm, from_rad, to_rad } = *meridian else {
        let [start, end] = [meridian.at(0.0), meridian.at(meridian.length())];
        let point = |p: [f64; 2]| Frame::WORLD.polar(p[0], angle, p[1]);
        return Curve::Line { start: point(start), end: point(end) };
    };
    let frame = Frame {
        origin: Frame::WORLD.polar(centre[0], angle, centre[1]),
        x: Frame::WORLD.radial(angle),
        y: Frame::WORLD.z,
        z: Frame::WORLD.tangent(angle + PI),
    };
    Curve::circle(frame, radius_mm, [from_rad, to_rad])
}
