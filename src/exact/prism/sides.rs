//! Faces of a prism.

use super::super::body::{Edge, ExactBody, Face, Side};
use super::super::geometry::{Curve, Frame, Meridian, Surface, unwrapped};
use super::footprint::{Footprint, GONE_MM, Ring};
use crate::model::Vector;
use crate::plane::{self, Point, Stretch};

/// Puts the faces of all loops together.
pub(super) fn build(footprint: &Footprint, path: &[Stretch]) -> ExactBody {
    let mut builder = Builder::default();
    let mut ends: [Vec<Vec<Side>>; 2] = [Vec::new(), Vec::new()];
    for ring in &footprint.rings {
        let levels = builder.levels(ring, path);
        for (number, step) in path.iter().enumerate() {
            builder.band(ring, step, &levels[number], &levels[number + 1]);
        }
        let lower = levels[0].edges.iter().rev().flatten();
        ends[0].push(lower.map(|edge| Side { edge: *edge, forward: false }).collect());
        if let Some(last) = levels.last() {
            let upper = last.edges.iter().flatten();
            ends[1].push(upper.map(|edge| Side { edge: *edge, forward: true }).collect());
        }
    }
    let heights = [path.first().map_or(0.0, |s| s.from.y), path.last().map_or(0.0, |s| s.to.y)];
    for (outward, (loops, height)) in ends.into_iter().zip(heights).enumerate() {
        builder.level_faces(loops, height, outward == 1);
    }
    ExactBody::new(builder.points, builder.edges, builder.faces)
}

/// The section at one height of one loop.
struct Level {
    corners: Vec<usize>,
    /// None where a side has shrunk to a point.
    edges: Vec<Option<usize>>,
}

#[derive(Default)]
struct Builder {
    points: Vec<Vector>,
    edges: Vec<Edge>,
    faces: Vec<Face>,
}

impl Builder {
    fn levels(&mut self, ring: &Ring, path: &[Stretch]) -> Vec<Level> {
        let at = path.iter().map(|s| s.from).chain(path.last().map(|s| s.to));
        at.map(|at| self.level(ring, at)).collect()
    }

    fn level(&mut self, ring: &Ring, at: Point) -> Level {
        let count = ring.sides.len();
        let gone: Vec<bool> = (0..count).map(|i| self.is_gone(ring, i, at.x)).collect();
        let mut corners = vec![0; count];
        for i in 0..count {
            let p = ring.corner(i, at.x);
            corners[i] = if i > 0 && gone[i - 1] { corners[i - 1] } else { self.point(p, at.y) };
        }
        if gone[count - 1] && !gone.iter().all(|g| *g) {
            let last = corners[count - 1];
            let run = gone.iter().take_while(|g| **g).count();
            corners[..=run].fill(last);
        }
        let edges = (0..count).map(|i| {
            let ends = [corners[i], corners[(i + 1) % count]];
            (!gone[i]).then(|| self.section_edge(ring, i, at, ends))
        });
        let edges = edges.collect();
        Level { corners, edges }
    }

    fn is_gone(&self, ring: &Ring, i: usize, growth: f64) -> bool {
        match ring.sides[i].curve {
            plane::Curve::Line => {
                ring.corner(i, growth).distance(ring.corner(i + 1, growth)) < GONE_MM
            }
            plane::Curve::Arc { .. } => ring.radius(i, growth) < GONE_MM,
        }
    }

    fn point(&mut self, at: Point, height: f64) -> usize {
        self.points.push([at.x, at.y, height]);
        self.points.len() - 1
    }

    fn edge(&mut self, curve: Curve, ends: [usize; 2]) -> usize {
        self.edges.push(Edge { curve, ends });
        self.edges.len() - 1
    }

    fn section_edge(&mut self, ring: &Ring, i: usize, at: Point, ends: [usize; 2]) -> usize {
        let curve = match ring.sides[i].curve {
            plane::Curve::Line => {
                Curve::Line { start: self.points[ends[0]], end: self.points[ends[1]] }
            }
            plane::Curve::Arc { centre, .. } => {
                let frame = Frame { origin: [centre.x, centre.y, at.y], ..Frame::WORLD };
                let out = ring.sides[i].from - centre;
                let from = out.y.atan2(out.x);
                let sweep = ring.sides[i].sweep();
                Curve::circle(frame, ring.radius(i, at.x), [from, from + sweep])
            }
        };
        self.edge(curve, ends)
    }

    /// The faces between two sections.
    fn band(&mut self, ring: &Ring, step: &Stretch, low: &Level, high: &Level) {
        let count = ring.sides.len();
        let mut ribs: Vec<Option<usize>> = Vec::with_capacity(count);
        for i in 0..count {
            let ends = [low.corners[i], high.corners[i]];
            // Corners that have run into one at both ends share one rib.
            let shared = (0..i).find(|j| [low.corners[*j], high.corners[*j]] == ends);
            let rib = match shared {
                Some(j) => ribs[j],
                None => Some(self.rib(ring, i, step, ends)),
            };
            ribs.push(rib);
        }
        for i in 0..count {
            let next = (i + 1) % count;
            if ribs[i] == ribs[next] {
                continue;
            }
            let side = |edge: Option<usize>, forward| edge.map(|edge| Side { edge, forward });
            let sides = [
                side(low.edges[i], true),
                side(ribs[next], true),
                side(high.edges[i], false),
                side(ribs[i], false),
            ];
            let (surface, outward) = surface(ring, i, step);
            let loops = vec![sides.into_iter().flatten().collect()];
            self.faces.push(Face::plain(surface, outward, loops));
        }
    }

    /// The edge that corner `i` draws.
    fn rib(&mut self, ring: &Ring, i: usize, step: &Stretch, ends: [usize; 2]) -> usize {
        let curve = match step.curve {
            plane::Curve::Line => {
                Curve::Line { start: self.points[ends[0]], end: self.points[ends[1]] }
            }
            plane::Curve::Arc { centre, .. } => {
                let mitre = ring.mitres[i];
                let size = mitre.length();
                let x = [mitre.x / size, mitre.y / size, 0.0];
                let origin = ring.corner(i, centre.x);
                let frame = Frame {
                    origin: [origin.x, origin.y, centre.y],
                    x,
                    y: [0.0, 0.0, 1.0],
                    z: [x[1], -x[0], 0.0],
                };
                let (from, to) = path_angles(step, centre);
                let radius = step.radius().unwrap_or(0.0);
                Curve::Arc { frame, radii_mm: [radius * size, radius], angles_rad: [from, to] }
            }
        };
        self.edge(curve, ends)
    }

    /// Upper or lower faces: every outer loop with the holes in it. All loops of one
    /// outline lie in one plane, but separate outer loops are separate faces.
    fn level_faces(&mut self, loops: Vec<Vec<Side>>, height: f64, up: bool) {
        let mut outer: Vec<(Vec<Point>, Vec<Vec<Side>>)> = Vec::new();
        let mut holes = Vec::new();
        for sides in loops.into_iter().filter(|l| !l.is_empty()) {
            let drawn = self.drawn(&sides);
            if (signed_area(&drawn) > 0.0) == up {
                outer.push((drawn, vec![sides]));
            } else {
                holes.push((drawn, sides));
            }
        }
        for (drawn, sides) in holes {
            let around = outer.iter_mut().filter(|(o, _)| contains(o, drawn[0]));
            let nearest =
                around.min_by(|a, b| signed_area(&a.0).abs().total_cmp(&signed_area(&b.0).abs()));
            if let Some((_, loops)) = nearest {
                loops.push(sides);
            }
        }
        for (_, loops) in outer {
            self.faces.push(Face::plain(Surface::level(height), up, loops));
        }
    }

    /// A loop as points in (x, y).
    fn drawn(&self, sides: &[Side]) -> Vec<Point> {
        let mut points = Vec::new();
        for side in sides {
            for i in 0..8 {
                let t = f64::from(i) / 8.0;
                let curve = &self.edges[side.edge].curve;
                let p = curve.at(if side.forward { t } else { 1.0 - t });
                points.push(Point::new(p[0], p[1]));
            }
        }
        points
    }
}

/// The surface between two sections on side `i`, and whether its own normal points out.
fn surface(ring: &Ring, i: usize, step: &Stretch) -> (Surface, bool) {
    let side = &ring.sides[i];
    match side.curve {
        plane::Curve::Arc { centre, anticlockwise } => {
            let frame = Frame { origin: [centre.x, centre.y, 0.0], ..Frame::WORLD };
            let grown = |p: Point| [ring.radius(i, p.x), p.y];
            let meridian = match step.curve {
                plane::Curve::Line => {
                    Meridian::Line { start: grown(step.from), end: grown(step.to) }
                }
                plane::Curve::Arc { centre, anticlockwise: bulges } => Meridian::arc(
                    grown(step.from),
                    grown(step.to),
                    grown(centre),
                    bulges == anticlockwise,
                ),
            };
            (Surface::Revolved { frame, meridian }, anticlockwise)
        }
        plane::Curve::Line => {
            let along = side.direction(0.0);
            let out = -along.left();
            let x = [along.x, along.y, 0.0];
            match step.curve {
                plane::Curve::Line => {
                    let d = step.direction(0.0);
                    let y = [out.x * d.x, out.y * d.x, d.y];
                    let z = [out.x * d.y, out.y * d.y, -d.x];
                    let p = side.from + out * step.from.x;
                    let frame = Frame { origin: [p.x, p.y, step.from.y], x, y, z };
                    (Surface::Plane { frame }, true)
                }
                plane::Curve::Arc { centre, anticlockwise } => {
                    let p = side.from + out * centre.x;
                    let frame = Frame {
                        origin: [p.x, p.y, centre.y],
                        x: [out.x, out.y, 0.0],
                        y: [0.0, 0.0, 1.0],
                        z: [out.y, -out.x, 0.0],
                    };
                    // z of the frame runs against the side: out x up.
                    let radius = step.radius().unwrap_or(0.0);
                    let reach = -side.length();
                    let meridian = Meridian::Line { start: [radius, reach], end: [radius, 0.0] };
                    (Surface::Revolved { frame, meridian }, anticlockwise)
                }
            }
        }
    }
}

/// Directions from the centre to both ends of an arc of the path, rad.
fn path_angles(step: &Stretch, centre: Point) -> (f64, f64) {
    let out = step.from - centre;
    let from = unwrapped(out.y.atan2(out.x), 0.0);
    (from, from + step.sweep())
}

/// Area, above 0 for loops that run anticlockwise.
fn signed_area(points: &[Point]) -> f64 {
    let count = points.len();
    (0..count).map(|i| points[i].cross(points[(i + 1) % count]) / 2.0).sum()
}

/// Whether a point lies inside a closed run of points.
fn contains(points: &[Point], at: Point) -> bool {
    let count = points.len();
    let crossings = (0..count).filter(|i| {
        let (a, b) = (points[*i] - at, points[(i + 1) % count] - at);
        (a.y > 0.0) != (b.y > 0.0) && (a.x + (b.x - a.x) * a.y / (a.y - b.y)) > 0.0
    });
    crossings.count() % 2 == 1
}
