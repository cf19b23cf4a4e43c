//! Inlays on bellied faces, and the tools that cut their pockets.
//!
//! The host's mesh has the meridian as a polygon; here it is the same polygon, and the back is
//! one with corners at the same heights, so that what lies on the face lies in the host's facets.
//! Cells are laid out in even heights ([`Web`]), put into space, and cut at those corners.

use super::facets::{Facets, Tolerance};
use super::flatten::points_of;
use super::ladder::{Bulge, tag_of, wrapped};
use super::triangles::{Mesh, Tag};
use super::wrap::{LEAST_STRIP_MM, RIDGE_MM, on_facets};
use crate::layers::{Layer, Motion, WELD_MM, Web, cells, moved, settled};
use crate::model::{Inlay, Meridian, Surface, Vector};
use crate::plane::{Curve, Strips};
use std::collections::BTreeMap;

/// What is asked for, in the frame of the leaf.
pub(super) struct Bellied<'a> {
    pub inlay: &'a Inlay,
    pub strips: &'a Strips,
    pub layer: &'a Layer,
    pub motion: &'a Motion,
    pub facets: &'a Facets,
    pub tolerance: &'a Tolerance,
    pub owner: Option<usize>,
}

/// The meridian and its back as polygons: height, radius of the face, radius of the back.
struct Polygon {
    corners: Vec<[f64; 3]>,
}

impl Polygon {
    /// Corners as the host's mesh has them, the back `out_mm` away from the axis.
    fn of(meridian: &Meridian, out_mm: f64, turned: f64, tolerance: &Tolerance) -> Polygon {
        let with_back = |[z, radius, wider]: [f64; 3]| {
            [turned * z, radius, meridian.parallel_mm(z, out_mm, wider)]
        };
        let mut corners: Vec<[f64; 3]> =
            widened(meridian, tolerance).into_iter().map(with_back).collect();
        if turned < 0.0 {
            corners.reverse();
        }
        Polygon { corners }
    }

    /// Radius at a height: 1 of the face, 2 of the back; beyond the ends straight on.
    fn radius(&self, y: f64, which: usize) -> f64 {
        let above = self.corners.partition_point(|c| c[0] <= y).clamp(1, self.corners.len() - 1);
        let (a, b) = (self.corners[above - 1], self.corners[above]);
        a[which] + (b[which] - a[which]) * (y - a[0]) / (b[0] - a[0])
    }

    /// Which corner a height is, or twice the number of the one below it and a half.
    fn level(&self, y: f64) -> f64 {
        let near = self.corners.partition_point(|c| c[0] < y - WELD_MM);
        match self.corners.get(near) {
            Some(corner) if (corner[0] - y).abs() <= WELD_MM => near as f64,
            _ => near as f64 - 0.5,
        }
    }
}

/// Corners of a meridian as the mesh of its body has them: height, radius, and how much wider
/// the arc is drawn there.
fn widened(meridian: &Meridian, tolerance: &Tolerance) -> Vec<[f64; 3]> {
    let mut corners: Vec<[f64; 3]> = Vec::new();
    for step in meridian.steps() {
        for point in std::iter::once(step.from).chain(points_of(step, tolerance)) {
            let wider = match (step.curve, step.radius()) {
                (Curve::Arc { centre, .. }, Some(radius)) => point.distance(centre) / radius,
                _ => 1.0,
            };
            corners.push([point.y, point.x, wider]);
        }
    }
    corners.sort_by(|a, b| a[0].total_cmp(&b[0]));
    corners.dedup_by(|b, a| b[0] - a[0] <= WELD_MM);
    corners
}

/// Heights and radii at which the facets of a bellied face meet, from below upwards, mm.
pub fn meridian_corners(meridian: &Meridian, tolerance: &Tolerance) -> Vec<[f64; 2]> {
    widened(meridian, tolerance).into_iter().map(|[z, radius, _]| [z, radius]).collect()
}

/// The body itself: an inlay, or with [`Bulge::Out`] a tool. None where a ceiling never meets
/// the back.
pub(super) fn body(it: &Bellied, bulge: Bulge) -> Option<Mesh> {
    let Surface::Belly { meridian, .. } = &it.inlay.surface else { return None };
    let sense = it.inlay.depth_sense();
    let lower = it.inlay.eased.is_some_and(|e| e.lower);
    let deep = it.layer.to_mm;
    let turned = if lower { -1.0 } else { 1.0 };
    let polygon = Polygon::of(meridian, -sense * deep, turned, it.tolerance);
    let (front, back) = (|y: f64| polygon.radius(y, 1), |y: f64| polygon.radius(y, 2));
    let around = Motion { mirror_z: false, rise_mm: 0.0, ..*it.motion };
    let strips = moved(it.strips, &around);
    let strips = if lower { strips.mirrored() } else { strips };
    // Ceilings stay where they are: they come out of the polygon a little beside the arc.
    let strips = match it.inlay.seen() {
        Some(seen) => strips.tops_reshaped(|y| seen.through(y, front)),
        None => strips,
    };
    let span = strips.heights()?;
    let web = Web::new([&front, &back], sense, it.inlay.eased, deep, span)?;
    let layer = web.layer(it.layer.from_mm);

    // Facets and twists are cut where heights are real, ridges where they are even.
    let [least, inner] = [it.layer.from_mm, deep].map(|d| {
        let beyond = -sense * d;
        meridian.least_mm(meridian.span_mm(), beyond)
    });
    let least = least.min(inner).max(1.0);
    let near = LEAST_STRIP_MM / least;
    let strips = on_facets(&strips, &layer, it.facets, least, near);
    let mut known = BTreeMap::new();
    let even = |y: f64| *known.entry(y.to_bits()).or_insert_with(|| web.even(y));
    let strips = strips.reshaped(even);
    let strips = settled(&strips.ridges_refined(layer.closing(), deep, RIDGE_MM), near);

    let cells = cells(&strips, &layer);
    let lines: Vec<[f64; 2]> = cells.lines.iter().map(|u| it.facets.at(*u)).collect();
    let mut known = BTreeMap::new();
    let points: Vec<Vector> = cells
        .vertices
        .iter()
        .map(|v| {
            let [x, y] = lines[v.line as usize];
            let key = (v.z_mm.to_bits(), v.depth_mm.to_bits());
            let [radius, height] = *known.entry(key).or_insert_with(|| {
                let height = web.uneven(v.z_mm);
                [web.radius(v.z_mm, v.depth_mm, height), height]
            });
            [radius * x, radius * y, height]
        })
        .collect();
    // Here ceilings are the upper edges, whichever they are in the host.
    let mesh = wrapped(&cells, points, bulge, sense < 0.0, |side| tag_of(side, false, it.owner));
    let depths = cells.vertices.iter().map(|v| v.depth_mm).collect();
    let lines = cells.vertices.iter().map(|v| lines[v.line as usize]).collect();
    let cut = Cut { polygon: &polygon, web: &web, depths, lines, mesh, edges: BTreeMap::new() };
    Some(placed(cut.done(), turned, it.motion))
}

/// From heights y to those of the frame.
fn placed(mut mesh: Mesh, turned: f64, motion: &Motion) -> Mesh {
    let over = if motion.mirror_z { -1.0 } else { 1.0 };
    for vertex in &mut mesh.vertices {
        vertex[2] = motion.rise_mm + over * turned * vertex[2];
    }
    if over * turned < 0.0 {
        mesh.triangles.iter_mut().for_each(|t| t.swap(1, 2));
    }
    mesh
}

/// A mesh that is being cut at the heights of the corners of the polygon.
struct Cut<'a> {
    polygon: &'a Polygon,
    web: &'a Web<'a>,
    /// Of every vertex.
    depths: Vec<f64>,
    /// Direction from the axis of every vertex, as long as facets want it.
    lines: Vec<[f64; 2]>,
    mesh: Mesh,
    /// New vertices of an edge, from its vertex of lesser number on, each with its level.
    edges: BTreeMap<(u32, u32), Vec<(u32, f64)>>,
}

impl Cut<'_> {
    fn done(mut self) -> Mesh {
        let levels: Vec<f64> =
            self.mesh.vertices.iter().map(|v| self.polygon.level(v[2])).collect();
        let triangles = std::mem::take(&mut self.mesh.triangles);
        let tags = std::mem::take(&mut self.mesh.tags);
        for (triangle, tag) in triangles.into_iter().zip(tags) {
            self.slice(triangle, tag, &levels);
        }
        self.mesh
    }

    /// A triangle in parts between neighbouring levels.
    fn slice(&mut self, triangle: [u32; 3], tag: Tag, levels: &[f64]) {
        let mut loop_: Vec<(u32, f64)> = Vec::new();
        for i in 0..3 {
            let (a, b) = (triangle[i], triangle[(i + 1) % 3]);
            loop_.push((a, levels[a as usize]));
            let key = (a.min(b), a.max(b));
            if !self.edges.contains_key(&key) {
                let made = self.between(key, levels);
                self.edges.insert(key, made);
            }
            let made = self.edges[&key].iter().copied();
            if key.0 == a { loop_.extend(made) } else { loop_.extend(made.rev()) }
        }
        let all = loop_.iter().map(|v| v.1);
        let (low, high) =
            all.fold((f64::INFINITY, f64::NEG_INFINITY), |(a, b), l| (a.min(l), b.max(l)));
        let mut slab = low.floor();
        loop {
            let part: Vec<u32> =
                loop_.iter().filter(|v| v.1 >= slab && v.1 <= slab + 1.0).map(|v| v.0).collect();
            for k in 1..part.len().saturating_sub(1) {
                self.mesh.add([part[0], part[k], part[k + 1]], tag);
            }
            slab += 1.0;
            if slab >= high {
                break;
            }
        }
    }

    /// New vertices on an edge, one for each level that it passes.
    fn between(&mut self, (a, b): (u32, u32), levels: &[f64]) -> Vec<(u32, f64)> {
        let [from, to] = [a, b].map(|v| levels[v as usize]);
        let (low, high) = (from.min(to), from.max(to));
        let mut made: Vec<(u32, f64)> = Vec::new();
        let mut level = low.floor() + 1.0;
        while level < high {
            let y = self.polygon.corners[level as usize][0];
            made.push((self.vertex([a, b], y), level));
            level += 1.0;
        }
        if from > to {
            made.reverse();
        }
        made
    }

    /// A point of an edge at a height: in the face, in its back, or between them.
    fn vertex(&mut self, ends: [u32; 2], y: f64) -> u32 {
        let [p, q] = ends.map(|v| self.mesh.vertices[v as usize]);
        let share = (y - p[2]) / (q[2] - p[2]);
        let between = |a: f64, b: f64| a + (b - a) * share;
        let [d, e] = ends.map(|v| self.depths[v as usize]);
        let [l, m] = ends.map(|v| self.lines[v as usize]);
        let line = [between(l[0], m[0]), between(l[1], m[1])];
        let at = if d == e && self.web.is_end(d) {
            let radius = self.web.radius(0.0, d, y);
            [radius * line[0], radius * line[1], y]
        } else if l == m {
            let flat = |v: Vector| [v[0].hypot(v[1]) / l[0].hypot(l[1]), v[2]];
            let radius = self.web.between([flat(p), flat(q)], y);
            [radius * line[0], radius * line[1], y]
        } else {
            // The diagonal of a ceiling, whose facets lean no more than asked.
            [between(p[0], q[0]), between(p[1], q[1]), y]
        };
        self.mesh.vertices.push(at);
        self.depths.push(between(d, e));
        self.lines.push(line);
        self.mesh.vertices.len() as u32 - 1
    }
}
