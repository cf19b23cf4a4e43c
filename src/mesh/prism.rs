//! Outlines drawn up.
//!
//! The side of a prism is a path in (growth, height): the outline grows or shrinks by so
//! much at this height. Corners move along their mitres and arcs change their radius, so all
//! sections have the same corners and are joined by four-sided faces.

use super::crossings::{Sorted, crossings};
use super::facets::Tolerance;
use super::fault::MeshFault;
use super::fill::filled;
use super::flatten::points_of;
use super::triangles::{FaceKind, Mesh, Tag};
use crate::layers::WELD_MM;
use crate::model::Prism;
use crate::plane::{Edge, PathCurve, PathStep, Point, Stretch, Track, path};

/// How far the level faces reach inwards in the drawing of the side, mm: room for the
/// treated edges, more than any of them takes.
const INWARDS_MM: f64 = 1e4;

/// Directions that differ by less (rad) run smoothly into each other.
const SMOOTH_RAD: f64 = 1e-6;

/// A prism. `owner` is the inlay it is, or whose pocket it cuts.
///
/// # Errors
/// Where treated edges do not fit, or use up a side of the outline.
pub(super) fn prism(
    body: &Prism,
    tolerance: &Tolerance,
    owner: Option<usize>,
) -> Result<Mesh, MeshFault> {
    let side = side(body, tolerance)?;
    let rims: Vec<Rim> = body.outline.loops.iter().map(|t| Rim::new(t, tolerance)).collect();
    let tag = |kind| owner.map_or(Tag::PLAIN, |owner| Tag::new(kind, owner));
    let mut mesh = Mesh::default();
    let mut ends: [Vec<Vec<(u32, Point)>>; 2] = [vec![], vec![]];
    for rim in rims.iter().filter(|rim| rim.corners.len() > 2) {
        let mut below: Option<Vec<u32>> = None;
        for (level, at) in side.iter().enumerate() {
            rim.check(at.x)?;
            let points = rim.grown(at.x);
            let names = add_section(&points, at.y, &mut mesh);
            if let Some(below) = &below {
                join_sections(below, &names, tag(FaceKind::Flank), &mut mesh);
            }
            let section = || names.iter().copied().zip(points.iter().copied()).collect();
            if level == 0 {
                ends[0].push(section());
            }
            if level + 1 == side.len() {
                ends[1].push(section());
            }
            below = Some(names);
        }
    }
    for (end, upper) in ends.iter().zip([false, true]) {
        close_end(end, upper, tag(FaceKind::Back), &mut mesh)?;
    }
    let grows = side.iter().any(|p| p.x != 0.0);
    if grows && crossings(&mesh, &Sorted::of(&mesh)).through > 0 {
        let inset_mm = side.iter().map(|p| p.x.abs()).fold(0.0, f64::max);
        return Err(MeshFault::SideUsedUp { inset_mm });
    }
    Ok(mesh.compacted())
}

/// The side from the lower face up to the upper one: (growth, height).
fn side(body: &Prism, tolerance: &Tolerance) -> Result<Vec<Point>, MeshFault> {
    let lean = body.height_mm * body.taper_rad.tan();
    let step =
        |x, y, edge| PathStep { to: Point::new(x, y), curve: PathCurve::Line, edge, face: None };
    let steps = [
        step(0.0, 0.0, body.bottom),
        step(lean, body.height_mm, body.top),
        step(lean - INWARDS_MM, body.height_mm, Edge::None),
    ];
    let track = path(Point::new(-INWARDS_MM, 0.0), &steps, None).map_err(|_| MeshFault::NoSide)?;
    let stretches: Vec<Stretch> = track.stretches().collect();
    let Some(between) = stretches.get(1..stretches.len() - 1).filter(|s| !s.is_empty()) else {
        return Err(MeshFault::NoSide);
    };
    let mut points = vec![between[0].from];
    points.extend(between.iter().flat_map(|s| points_of(s, tolerance)));
    let rises = |w: &[Point]| w[1].y > w[0].y;
    if points.windows(2).all(rises) { Ok(points) } else { Err(MeshFault::NoSide) }
}

/// A loop of the outline as a polygon, and where its corners go when it grows.
struct Rim {
    corners: Vec<Point>,
    /// Motion of each corner for 1 mm of growth.
    motions: Vec<Point>,
}

impl Rim {
    fn new(track: &Track, tolerance: &Tolerance) -> Rim {
        let stretches: Vec<Stretch> = track.stretches().collect();
        let mut rim = Rim { corners: vec![], motions: vec![] };
        for (i, stretch) in stretches.iter().enumerate() {
            let before = &stretches[(i + stretches.len() - 1) % stretches.len()];
            rim.add(stretch.from, mitre(before.direction(1.0), stretch.direction(0.0)));
            let inner = points_of(stretch, tolerance);
            for point in &inner[..inner.len() - 1] {
                rim.add(*point, radial(stretch, *point));
            }
        }
        while rim.corners.len() > 1
            && rim.corners[0].distance(rim.corners[rim.corners.len() - 1]) <= WELD_MM
        {
            rim.corners.pop();
            rim.motions.pop();
        }
        rim
    }

    fn add(&mut self, corner: Point, motion: Point) {
        if self.corners.last().is_none_or(|last| last.distance(corner) > WELD_MM) {
            self.corners.push(corner);
            self.motions.push(motion);
        }
    }

    fn grown(&self, by: f64) -> Vec<Point> {
        self.corners.iter().zip(&self.motions).map(|(p, m)| *p + *m * by).collect()
    }

    /// Whether every side still runs the way it did; a side may shrink to nothing.
    fn check(&self, growth: f64) -> Result<(), MeshFault> {
        let now = self.grown(growth);
        let count = now.len();
        for i in 0..count {
            let was = self.corners[(i + 1) % count] - self.corners[i];
            let is = now[(i + 1) % count] - now[i];
            if was.dot(is) < -WELD_MM * was.length() {
                return Err(MeshFault::SideUsedUp { inset_mm: -growth });
            }
        }
        Ok(())
    }
}

/// Motion of a corner between two directions: both sides move out by 1.
fn mitre(before: Point, after: Point) -> Point {
    let (a, b) = (-before.left(), -after.left());
    if before.cross(after).abs() < SMOOTH_RAD && before.dot(after) > 0.0 {
        return a;
    }
    (a + b) * (1.0 / (1.0 + a.dot(b)).max(SMOOTH_RAD))
}

/// Motion of a point of an arc, so that the arc collapses into its centre at once.
fn radial(arc: &Stretch, point: Point) -> Point {
    let crate::plane::Curve::Arc { centre, anticlockwise } = arc.curve else {
        return Point::default();
    };
    let out = (point - centre) * (1.0 / arc.radius().unwrap_or(1.0));
    if anticlockwise { out } else { -out }
}

/// Adds the vertices of a section; corners that have come together are one.
pub(super) fn add_section(points: &[Point], z: f64, mesh: &mut Mesh) -> Vec<u32> {
    let mut names: Vec<u32> = vec![];
    for (i, p) in points.iter().enumerate() {
        match (i.checked_sub(1), names.last()) {
            (Some(before), Some(name)) if points[before].distance(*p) <= WELD_MM => {
                names.push(*name);
            }
            _ => {
                mesh.vertices.push([p.x, p.y, z]);
                names.push(mesh.vertices.len() as u32 - 1);
            }
        }
    }
    let last = points.len() - 1;
    if points[last].distance(points[0]) <= WELD_MM {
        let (from, to) = (names[last], names[0]);
        names.iter_mut().filter(|n| **n == from).for_each(|n| *n = to);
    }
    names
}

/// Four-sided faces between two sections, three-sided where corners have come together.
pub(super) fn join_sections(below: &[u32], above: &[u32], tag: Tag, mesh: &mut Mesh) {
    for i in 0..below.len() {
        let j = (i + 1) % below.len();
        for triangle in [[below[i], below[j], above[j]], [below[i], above[j], above[i]]] {
            let [a, b, c] = triangle;
            if a != b && b != c && c != a {
                mesh.add(triangle, tag);
            }
        }
    }
}

/// The lower or upper face.
pub(super) fn close_end(
    loops: &[Vec<(u32, Point)>],
    upper: bool,
    tag: Tag,
    mesh: &mut Mesh,
) -> Result<(), MeshFault> {
    let (mut names, mut polygons) = (vec![], vec![]);
    for section in loops {
        let mut kept: Vec<(u32, Point)> = vec![];
        for corner in section {
            if kept.last().is_none_or(|(name, _)| *name != corner.0) {
                kept.push(*corner);
            }
        }
        while kept.len() > 1 && kept[0].0 == kept[kept.len() - 1].0 {
            kept.pop();
        }
        if kept.len() > 2 {
            names.extend(kept.iter().map(|(name, _)| *name));
            polygons.push(kept.into_iter().map(|(_, p)| p).collect());
        }
    }
    if polygons.is_empty() {
        return Ok(());
    }
    for triangle in filled(&polygons)? {
        let [a, b, c] = triangle.map(|corner| names[corner as usize]);
        mesh.add(if upper { [a, b, c] } else { [a, c, b] }, tag);
    }
    Ok(())
}
