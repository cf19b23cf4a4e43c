//! Bodies of revolution, built face by face.

use super::Declined;
use super::body::{Edge, Face, Side};
use super::geometry::{Curve, Frame, Meridian, Surface};
use crate::model::{Sides, Vector};
use crate::plane::{self, Outline, Point, Track};
use std::f64::consts::{PI, TAU};

/// Faces all round are made of this many sectors: with two, two edges would share both
/// their ends, which the boolean crate's shells do not stand.
const SECTORS: usize = 3;

/// A profile point nearer to the axis than this lies on it, mm: profiles are drawn in
/// numbers that mean 0 when they say 0, so only rounding is covered.
const ON_AXIS_MM: f64 = 1e-9;

/// Angles of evenly spread sector lines, the first at `first_rad`.
pub(super) fn even_seams(first_rad: f64) -> Vec<f64> {
    (0..SECTORS).map(|k| first_rad + TAU * k as f64 / SECTORS as f64).collect()
}

/// The loops of a profile as steps.
///
/// # Errors
/// Where it runs to the other side of the axis.
pub(super) fn profile(outline: &Outline) -> Result<Vec<Vec<Step>>, Declined> {
    let loops: Vec<Vec<Step>> = outline.loops.iter().map(steps).collect();
    if loops.iter().flatten().any(|step| step.start.x < -ON_AXIS_MM) {
        return Err(Declined::new("the profile crosses its axis"));
    }
    Ok(loops)
}

/// A segment with both its ends.
#[derive(Clone, Copy, Debug)]
pub(super) struct Step {
    /// Where it starts: (radius, z), mm.
    pub(super) start: Point,
    /// Where it ends.
    pub(super) end: Point,
    /// How it runs.
    pub(super) curve: plane::Curve,
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
    straightened(steps)
}

/// Straight steps that go on in the same direction as one: the profile may be divided
/// where only the names of its faces change.
fn straightened(steps: Vec<Step>) -> Vec<Step> {
    let mut merged: Vec<Step> = Vec::with_capacity(steps.len());
    for step in steps {
        match merged.last_mut() {
            Some(last) if goes_on(last, &step) => last.end = step.end,
            _ => merged.push(step),
        }
    }
    if merged.len() > 2 && goes_on(&merged[merged.len() - 1], &merged[0]) {
        merged[0].start = merged[merged.len() - 1].start;
        merged.pop();
    }
    merged
}

fn goes_on(a: &Step, b: &Step) -> bool {
    let straight = a.curve == plane::Curve::Line && b.curve == plane::Curve::Line;
    let (first, second) = ((a.end - a.start).unit(), (b.end - b.start).unit());
    straight && first.dot(second) > 0.0 && first.cross(second).abs() < 1e-12
}

fn on_axis(point: Point) -> bool {
    point.x.abs() <= ON_AXIS_MM
}

/// What one profile point sweeps.
#[derive(Clone, Debug)]
pub(super) enum Ring {
    /// A corner on the axis.
    Pole(usize),
    /// Corners and arcs, one of each for every sector; arc `k` runs from corner `k` to
    /// corner `k + 1`.
    Circle { corners: Vec<usize>, arcs: Vec<usize> },
}

/// A body of revolution under construction.
pub(super) struct Sweep {
    /// Corners, mm.
    pub(super) points: Vec<Vector>,
    /// Edges.
    pub(super) edges: Vec<Edge>,
    /// Faces.
    pub(super) faces: Vec<Face>,
    /// Where sectors start, ascending, rad.
    seams: Vec<f64>,
    /// Flat sides, one a sector; none where it is round.
    sides: Option<Sides>,
}

impl Sweep {
    /// With sectors that start at the given angles; at least three, each less than half
    /// a turn wide.
    pub(super) fn new(seams: Vec<f64>) -> Self {
        let (points, edges, faces) = (Vec::new(), Vec::new(), Vec::new());
        Sweep { points, edges, faces, seams, sides: None }
    }

    /// Along flat sides.
    pub(super) fn along(sides: Sides) -> Self {
        Sweep { sides: Some(sides), ..Sweep::new(sides.corners()) }
    }

    /// Sweeps a closed loop; steps for which `with_faces` says no are left open. Gives
    /// the ring that each step starts from.
    pub(super) fn add(&mut self, steps: &[Step], with_faces: impl Fn(usize) -> bool) -> Vec<Ring> {
        let rings: Vec<Ring> = steps.iter().map(|step| self.ring(step.start)).collect();
        for (number, step) in steps.iter().enumerate().filter(|(number, _)| with_faces(*number)) {
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
        rings
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
        let seams = self.seams.clone();
        let radius = at.x * self.sides.map_or(1.0, Sides::corner);
        let corners: Vec<usize> =
            seams.iter().map(|angle| self.point(frame.polar(radius, *angle, 0.0))).collect();
        let mut arcs = Vec::with_capacity(seams.len());
        for k in 0..seams.len() {
            let ends = [corners[k], corners[(k + 1) % seams.len()]];
            let sweep = [seams[k], seams.get(k + 1).copied().unwrap_or(seams[0] + TAU)];
            let curve = match self.sides {
                Some(_) => Curve::Line { start: self.points[ends[0]], end: self.points[ends[1]] },
                None => Curve::circle(frame, at.x, sweep),
            };
            arcs.push(self.edge(curve, ends));
        }
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
        self.faces.push(Face::plain(surface, up, loops));
    }

    /// A cylinder, cone, torus or sphere in sectors; along flat sides planes and cylinders.
    fn side(&mut self, step: &Step, from: &Ring, to: &Ring) {
        let ribs: Vec<usize> = (0..self.seams.len()).map(|k| self.rib(step, from, to, k)).collect();
        for k in 0..self.seams.len() {
            // Seen from outside, angles grow to the right and the profile runs up.
            let mut sides = Vec::with_capacity(4);
            if let Ring::Circle { arcs, .. } = from {
                sides.push(Side { edge: arcs[k], forward: true });
            }
            sides.push(Side { edge: ribs[(k + 1) % ribs.len()], forward: true });
            if let Ring::Circle { arcs, .. } = to {
                sides.push(Side { edge: arcs[k], forward: false });
            }
            sides.push(Side { edge: ribs[k], forward: false });
            let (surface, outward) = match self.sides {
                Some(flat) => self.flat(step, flat, k),
                None => {
                    let meridian = meridian(step);
                    (Surface::Revolved { frame: Frame::WORLD, meridian }, true)
                }
            };
            self.faces.push(Face::plain(surface, outward, vec![sides]));
        }
    }

    /// What a step sweeps along the side in sector `k`, and whether its own normal points out.
    fn flat(&self, step: &Step, sides: Sides, k: usize) -> (Surface, bool) {
        let middle = self.seams[k] + sides.turn_rad() / 2.0;
        let (out, along) = (Frame::WORLD.radial(middle), Frame::WORLD.tangent(middle));
        let place = |p: Point| [out[0] * p.x, out[1] * p.x, p.y];
        match step.curve {
            plane::Curve::Line => {
                let d = (step.end - step.start).unit();
                let y = [out[0] * d.x, out[1] * d.x, d.y];
                // Along the side and up the step: their cross product points to its right.
                let z = [out[0] * d.y, out[1] * d.y, 0.0 - d.x];
                (
                    Surface::Plane { frame: Frame { origin: place(step.start), x: along, y, z } },
                    true,
                )
            }
            plane::Curve::Arc { centre, anticlockwise } => {
                let radius = (step.start.x - centre.x).hypot(step.start.y - centre.y);
                let back = along.map(|c| 0.0 - c);
                let frame = Frame { origin: place(centre), x: out, y: Frame::WORLD.z, z: back };
                let reach = step.start.x.max(step.end.x).max(centre.x + radius);
                let half = reach * sides.half_width();
                let meridian = Meridian::Line { start: [radius, -half], end: [radius, half] };
                (Surface::Revolved { frame, meridian }, anticlockwise)
            }
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
            plane::Curve::Arc { centre, .. } => match self.sides {
                Some(sides) => mitre_arc(step, centre, self.seams[k], sides),
                None => rib_arc(&meridian(step), self.seams[k]),
            },
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

/// An arc of the profile where two flat sides meet: seen in the plane through the corner it
/// is drawn out away from the axis.
fn mitre_arc(step: &Step, centre: Point, angle: f64, sides: Sides) -> Curve {
    let Meridian::Arc { radius_mm: radius, from_rad: from, to_rad: to, .. } = meridian(step) else {
        return rib_arc(&meridian(step), angle);
    };
    let frame = Frame {
        origin: Frame::WORLD.polar(centre.x * sides.corner(), angle, centre.y),
        x: Frame::WORLD.radial(angle),
        y: Frame::WORLD.z,
        z: Frame::WORLD.tangent(angle + PI),
    };
    Curve::Arc { frame, radii_mm: [radius * sides.corner(), radius], angles_rad: [from, to] }
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
