//! From (line, z, depth) to space: on a cylinder or cone, or on a plane.

use super::super::geometry::vector::{add, along, cross, dot, scale, sub};
use super::super::geometry::{Curve, Frame, Meridian, Surface, unwrapped};
use super::merged::MergedFace;
use crate::layers::{CellVertex, Cells, FaceSide};
use crate::model::{Inlay, Sides, Surface as HostSurface, Vector};

/// Two heights that differ by less are level, mm: rounding of levels in one strip.
const LEVEL_MM: f64 = 1e-11;

/// How cells lie in space.
pub(in crate::exact) struct Chart<'a> {
    pub(super) inlay: &'a Inlay,
    /// 1, or -1 where depth runs away from the axis.
    sense: f64,
    /// Where sectors start, ascending, rad; none on flat hosts.
    seams: Vec<f64>,
}

impl<'a> Chart<'a> {
    /// For the cells of an inlay or of its pocket.
    pub(in crate::exact) fn new(inlay: &'a Inlay, seams: Vec<f64>) -> Self {
        Chart { inlay, sense: inlay.depth_sense(), seams }
    }

    /// The sector of a strip.
    pub(super) fn sector(&self, cells: &Cells, strip: u32) -> usize {
        let Some(period) = cells.period else { return 0 };
        let from = cells.lines[strip as usize];
        let to = cells.lines.get(strip as usize + 1).copied().unwrap_or(cells.lines[0] + period);
        let middle = (from + to) / 2.0;
        let Some(first) = self.seams.first() else { return 0 };
        let home = (middle - first).rem_euclid(period) + first;
        self.seams.iter().rposition(|s| *s <= home).unwrap_or(0)
    }

    /// Where a vertex is.
    pub(super) fn point(&self, cells: &Cells, vertex: &CellVertex) -> Vector {
        let u = cells.lines[vertex.line as usize];
        match &self.inlay.surface {
            HostSurface::Round { sides: Some(sides), .. } => {
                let ([x, y], radius) = (sides.at(u), self.radius(vertex));
                [radius * x, radius * y, vertex.z_mm]
            }
            HostSurface::Round { .. } | HostSurface::Belly { .. } => {
                Frame::WORLD.polar(self.radius(vertex), u, vertex.z_mm)
            }
            HostSurface::Flat { origin, right, up, normal, .. } => {
                let across = along(along(*origin, *right, u), *up, vertex.z_mm);
                along(across, *normal, -vertex.depth_mm)
            }
        }
    }

    /// Distance of a vertex from the axis, on round hosts.
    fn radius(&self, vertex: &CellVertex) -> f64 {
        match self.inlay.surface {
            HostSurface::Round { radius_mm, slope, .. } => {
                radius_mm + slope * vertex.z_mm - self.sense * vertex.depth_mm
            }
            HostSurface::Belly { .. } | HostSurface::Flat { .. } => 0.0,
        }
    }

    /// The curve between two vertices; none where it is the straight line.
    pub(super) fn curve(&self, cells: &Cells, a: &CellVertex, b: &CellVertex) -> Option<Curve> {
        let period = cells.period?;
        if a.line == b.line || self.inlay.sides().is_some() {
            return None;
        }
        let from = cells.lines[a.line as usize];
        let turn = cells.lines[b.line as usize] - from;
        let angles_rad = [from, from + turn - (turn / period).round() * period];
        let radii_mm = [self.radius(a), self.radius(b)];
        if a.z_mm == b.z_mm && radii_mm[0] == radii_mm[1] {
            return Some(Curve::circle(Frame::at_height(a.z_mm), radii_mm[0], angles_rad));
        }
        let heights_mm = [a.z_mm, b.z_mm];
        Some(Curve::Helix { frame: Frame::WORLD, angles_rad, radii_mm, heights_mm })
    }

    /// A vertex in the plane drawing of a face, to compare what loops enclose.
    pub(super) fn drawn(&self, cells: &Cells, face: &MergedFace, vertex: &CellVertex) -> [f64; 2] {
        let first = cells.faces[face.parts[0]].right[0];
        let home = cells.lines[cells.vertices[first as usize].line as usize];
        let u = cells.lines[vertex.line as usize];
        let u = if cells.period.is_some() { unwrapped(u, home) } else { u };
        match face.side {
            FaceSide::Show | FaceSide::Back => [u, vertex.z_mm],
            FaceSide::Upper(_) | FaceSide::Lower(_) => [u, vertex.depth_mm],
            FaceSide::LeftOf(_) | FaceSide::RightOf(_) => [vertex.depth_mm, vertex.z_mm],
        }
    }

    /// The surface of a face, and whether its own normal points out.
    pub(super) fn surface(&self, cells: &Cells, face: &MergedFace) -> (Surface, bool) {
        let surface = match &self.inlay.surface {
            HostSurface::Round { sides: Some(sides), slope, .. } => {
                self.sided_surface(cells, face, *sides, *slope)
            }
            HostSurface::Round { slope, .. } => self.round_surface(cells, face, *slope),
            HostSurface::Belly { .. } | HostSurface::Flat { .. } => self.flat_surface(cells, face),
        };
        let (middle, out) = self.facing(cells, face);
        (surface, dot(surface.normal_near(middle), out) > 0.0)
    }

    /// A point in a part of a face and the direction out of it.
    fn facing(&self, cells: &Cells, face: &MergedFace) -> (Vector, Vector) {
        let mut best = ([0.0; 3], [0.0; 3]);
        for part in &face.parts {
            let corners = cells.faces[*part].corners();
            let points: Vec<Vector> =
                corners.iter().map(|v| self.point(cells, &cells.vertices[*v as usize])).collect();
            let mut out = [0.0; 3];
            for i in 1..points.len().saturating_sub(1) {
                out = add(out, cross(sub(points[i], points[0]), sub(points[i + 1], points[0])));
            }
            if dot(out, out) > dot(best.1, best.1) {
                let sum = points.iter().fold([0.0; 3], |s, p| add(s, *p));
                best = (scale(sum, 1.0 / points.len() as f64), out);
            }
        }
        best
    }

    /// On one of the flat sides: everything is plane. Level edges sweep planes that are
    /// square to the side's own section.
    fn sided_surface(&self, cells: &Cells, face: &MergedFace, sides: Sides, slope: f64) -> Surface {
        if let FaceSide::LeftOf(line) | FaceSide::RightOf(line) = face.side {
            return radial_plane(sides.angle_rad(cells.lines[line as usize]));
        }
        let strip = cells.faces[face.parts[0]].strip as usize;
        let from = cells.lines[strip];
        let to = cells
            .lines
            .get(strip + 1)
            .copied()
            .unwrap_or_else(|| cells.lines[0] + cells.period.unwrap_or(0.0));
        let middle = sides.middle_rad((from + to) / 2.0);
        let (out, along) = (Frame::WORLD.radial(middle), Frame::WORLD.tangent(middle));
        let run = Run::of(cells, face);
        let (start, rise) = match face.side {
            FaceSide::Show | FaceSide::Back => {
                (cells.vertices[face.loops[0][0] as usize], [slope, 1.0])
            }
            // Down the drop: away from the axis by what the depth loses and the wall leans.
            _ => (run.start, [slope * run.drop + self.sense, run.drop]),
        };
        let size = rise[0].hypot(rise[1]);
        let y = [out[0] * rise[0] / size, out[1] * rise[0] / size, rise[1] / size];
        let radius = self.radius(&start);
        let origin = [out[0] * radius, out[1] * radius, start.z_mm];
        Surface::Plane { frame: Frame { origin, x: along, y, z: cross(along, y) } }
    }

    fn round_surface(&self, cells: &Cells, face: &MergedFace, slope: f64) -> Surface {
        let vertices = face.loops.iter().flatten().map(|v| cells.vertices[*v as usize]);
        let vertices: Vec<CellVertex> = vertices.collect();
        match face.side {
            FaceSide::Show | FaceSide::Back => {
                let (low, high) = ends(&vertices, |v| v.z_mm);
                let start = [self.radius(&low), low.z_mm];
                let end = [start[0] + slope * (high.z_mm - low.z_mm), high.z_mm];
                Surface::Revolved { frame: Frame::WORLD, meridian: Meridian::Line { start, end } }
            }
            FaceSide::LeftOf(line) | FaceSide::RightOf(line) => {
                radial_plane(cells.lines[line as usize])
            }
            FaceSide::Upper(_) | FaceSide::Lower(_) => self.swept(cells, face, slope),
        }
    }

    /// What an edge of the pattern sweeps on its way down: z = z0 + per_rad * angle -
    /// drop * depth, with depth = sense * (R + slope * z - radius).
    fn swept(&self, cells: &Cells, face: &MergedFace, slope: f64) -> Surface {
        let run = Run::of(cells, face);
        let HostSurface::Round { radius_mm, .. } = self.inlay.surface else {
            return Surface::level(run.start.z_mm);
        };
        if run.per_u == 0.0 {
            if run.drop.abs() < LEVEL_MM {
                return Surface::level(run.start.z_mm);
            }
            let point = |v: &CellVertex| [self.radius(v), v.z_mm];
            let (start, end) = (point(&run.end), point(&run.start));
            let meridian = Meridian::Line { start, end };
            return Surface::Revolved { frame: Frame::WORLD, meridian };
        }
        let angle = run.middle;
        let frame =
            Frame { x: Frame::WORLD.radial(angle), y: Frame::WORLD.tangent(angle), ..Frame::WORLD };
        // With k = sense * drop:
        // z (1 + k slope) = z0 + drop * d0 - k * R + per_rad * angle + k * radius
        let per_mm = self.sense * run.drop;
        let share = 1.0 / (1.0 + per_mm * slope);
        let level = run.start.z_mm + run.drop * run.start.depth_mm - per_mm * radius_mm;
        let at_middle = level + run.per_u * (angle - run.start_u);
        Surface::Ramp {
            frame,
            start_mm: at_middle * share,
            per_rad: run.per_u * share,
            per_mm: per_mm * share,
        }
    }

    fn flat_surface(&self, cells: &Cells, face: &MergedFace) -> Surface {
        let HostSurface::Flat { origin, right, up, normal, .. } = &self.inlay.surface else {
            return Surface::level(0.0);
        };
        let depth = cells.vertices[face.loops[0][0] as usize].depth_mm;
        let (origin, x, y) = match face.side {
            FaceSide::Show | FaceSide::Back => (along(*origin, *normal, -depth), *right, *up),
            FaceSide::LeftOf(line) | FaceSide::RightOf(line) => {
                (along(*origin, *right, cells.lines[line as usize]), *up, *normal)
            }
            FaceSide::Upper(_) | FaceSide::Lower(_) => {
                let run = Run::of(cells, face);
                let at = along(along(*origin, *right, run.start_u), *up, run.start.z_mm);
                let size = (1.0 + run.per_u * run.per_u).sqrt();
                let x = scale(along(*right, *up, run.per_u), 1.0 / size);
                let inwards = scale(*normal, -1.0);
                let down = along(inwards, *up, -run.drop);
                let square = along(down, x, -dot(down, x));
                let y = scale(square, 1.0 / dot(square, square).sqrt());
                (along(at, *normal, -run.start.depth_mm), x, y)
            }
        };
        Surface::Plane { frame: Frame { origin, x, y, z: cross(x, y) } }
    }
}

/// The plane through the axis at an angle.
fn radial_plane(angle: f64) -> Surface {
    let frame = Frame {
        origin: [0.0; 3],
        x: Frame::WORLD.radial(angle),
        y: Frame::WORLD.z,
        z: scale(Frame::WORLD.tangent(angle), -1.0),
    };
    Surface::Plane { frame }
}

/// The vertices with the least and the greatest value.
fn ends(vertices: &[CellVertex], value: impl Fn(&CellVertex) -> f64) -> (CellVertex, CellVertex) {
    let mut found = (vertices[0], vertices[0]);
    for v in vertices {
        if value(v) < value(&found.0) {
            found.0 = *v;
        }
        if value(v) > value(&found.1) {
            found.1 = *v;
        }
    }
    found
}

/// How the edge that sweeps a face runs.
struct Run {
    /// Where it starts, at the outer end.
    start: CellVertex,
    /// `u` of the start.
    start_u: f64,
    /// Straight below the start, as deep as the face goes on some line.
    end: CellVertex,
    /// Rise per rad or mm of `u`; exactly 0 on level edges.
    per_u: f64,
    /// Fall per mm of depth.
    drop: f64,
    /// The middle of the face, `u`.
    middle: f64,
}

impl Run {
    fn of(cells: &Cells, face: &MergedFace) -> Run {
        let vertex = |v: u32| cells.vertices[v as usize];
        let u = |v: &CellVertex| cells.lines[v.line as usize];
        let first = vertex(cells.faces[face.parts[0]].left[0]);
        let home = u(&first);
        let near = |v: &CellVertex| match cells.period {
            Some(_) => unwrapped(u(v), home),
            None => u(v),
        };
        let parts = face.parts.iter().map(|p| &cells.faces[*p]);
        let chains: Vec<&Vec<u32>> = parts.flat_map(|f| [&f.left, &f.right]).collect();
        let heads: Vec<CellVertex> = chains.iter().map(|c| vertex(c[0])).collect();
        let (mut left, mut right) = (heads[0], heads[0]);
        for head in &heads {
            if near(head) < near(&left) {
                left = *head;
            }
            if near(head) > near(&right) {
                right = *head;
            }
        }
        let rise = right.z_mm - left.z_mm;
        let per_u = if rise.abs() < LEVEL_MM { 0.0 } else { rise / (near(&right) - near(&left)) };
        let depth = |c: &Vec<u32>| vertex(c[c.len() - 1]).depth_mm - vertex(c[0]).depth_mm;
        let deepest = chains.iter().copied().max_by(|a, b| depth(a).total_cmp(&depth(b)));
        let (top, end) = deepest.map_or((left, left), |c| (vertex(c[0]), vertex(c[c.len() - 1])));
        let fall = end.depth_mm - top.depth_mm;
        let drop = if fall > 0.0 { (top.z_mm - end.z_mm) / fall } else { 0.0 };
        Run {
            start: top,
            start_u: near(&top),
            end,
            per_u,
            drop,
            middle: (near(&left) + near(&right)) / 2.0,
        }
    }
}
