//! A pocket, or a relief, set into a plane face of a finished body.

use super::super::Declined;
use super::super::body::{Edge, ExactBody, Face, Side};
use super::super::geometry::vector::{cross, dot, scale, sub};
use super::super::geometry::{Frame, Surface};
use super::chart::Chart;
use super::complex::complex;
use super::merged::merged;
use super::wall::Opening;
use super::{Sheet, too_steep};
use crate::layers::{FaceSide, Layer, cells, finer_cells};
use crate::model::{Placement, Surface as HostSurface, Vector};

/// A face within this distance of the pattern's plane lies in it, mm: placements round
/// far below.
const IN_PLANE_MM: f64 = 1e-7;

/// The body with a pocket in, or a relief on, the plane face on which the pattern lies. `placement` leads
/// from the pattern's axes to those of the body.
///
/// # Errors
/// Where no plane face holds the whole pattern.
pub(in crate::exact) fn splice(
    body: &ExactBody,
    opening: &Opening,
    placement: &Placement,
) -> Result<ExactBody, Declined> {
    let layer =
        Layer::of_pocket(opening.inlay, opening.gap_behind_mm, 0.0).ok_or_else(too_steep)?;
    let strips = opening.strips;
    let mut cells = complex(|| cells(strips, &layer), || finer_cells(strips, &layer))?;
    let stands = opening.inlay.depth_sense() < 0.0;
    if stands {
        cells.turn_round();
    }
    let chart = Chart::new(opening.inlay, Vec::new());
    let mut sheet = Sheet::new(&chart, &cells, opening.ends);
    let mut openings = Vec::new();
    for face in merged(&chart, &cells) {
        sheet.add(&face);
        if face.side == FaceSide::Show {
            openings.push(sheet.faces.len() - 1);
        }
    }
    let pocket = (sheet.points, sheet.edges, sheet.faces);
    let plug = Plug::new(pocket, &openings, placement, stands);
    plug.set_into(body, opening, placement)
}

/// The body of the pocket as placed, its open faces apart.
struct Plug {
    points: Vec<Vector>,
    edges: Vec<Edge>,
    /// Everything but the openings, turned inside out for pockets.
    walls: Vec<Face>,
    /// The faces that the host loses, seen from outside the host.
    openings: Vec<Face>,
}

impl Plug {
    fn new(
        (points, edges, faces): (Vec<Vector>, Vec<Edge>, Vec<Face>),
        openings: &[usize],
        placement: &Placement,
        stands: bool,
    ) -> Self {
        let placed = ExactBody::raw(points, edges, faces).placed(placement);
        let (mut walls, mut lost) = (Vec::new(), Vec::new());
        for (number, face) in placed.faces().iter().enumerate() {
            match (openings.contains(&number), stands) {
                (true, false) => lost.push(face.clone()),
                (true, true) => lost.push(face.turned_round()),
                (false, false) => walls.push(face.turned_round()),
                (false, true) => walls.push(face.clone()),
            }
        }
        Plug {
            points: placed.points().to_vec(),
            edges: placed.edges().to_vec(),
            walls,
            openings: lost,
        }
    }

    /// The host with the walls in, its plane faces with the openings as holes.
    fn set_into(
        self,
        body: &ExactBody,
        opening: &Opening,
        placement: &Placement,
    ) -> Result<ExactBody, Declined> {
        let HostSurface::Flat { origin, normal, .. } = opening.inlay.surface else {
            return Err(Declined::new("a pocket reaches the end of its wall"));
        };
        let out = normal.map(|c| c * opening.inlay.depth_sense());
        let (origin, out) = (placement.point(origin), placement.direction(out));
        let mut points = body.points().to_vec();
        let mut edges = body.edges().to_vec();
        let mut faces = body.faces().to_vec();
        let (first_point, first_edge) = (points.len(), edges.len());
        points.extend(&self.points);
        edges.extend(self.edges.iter().cloned().map(|mut edge| {
            edge.ends = edge.ends.map(|end| end + first_point);
            edge
        }));
        let shifted = |mut face: Face| {
            face.loops.iter_mut().flatten().for_each(|side| side.edge += first_edge);
            face
        };
        faces.extend(self.walls.into_iter().map(shifted));
        let openings: Vec<Face> = self.openings.into_iter().map(shifted).collect();
        let all = ExactBody::raw(points, edges, faces);
        let drawing = Drawing::new(&all, origin, out);
        let mut islands = Vec::new();
        let mut holes: Vec<(usize, Vec<Side>)> = Vec::new();
        for face in &openings {
            let rim = &face.loops[0];
            let host = (0..body.faces().len()).find(|f| drawing.holds(*f, rim));
            let Some(host) = host else {
                return Err(Declined::new("a pocket reaches the end of the face it lies in"));
            };
            holes.push((host, reversed(rim)));
            islands.extend(face.loops[1..].iter().map(|l| (host, reversed(l))));
        }
        Ok(drawing.divided(holes, islands))
    }
}

/// A loop run through the other way.
fn reversed(sides: &[Side]) -> Vec<Side> {
    sides.iter().rev().map(|s| s.back()).collect()
}

/// A body seen square to one of its planes.
struct Drawing<'a> {
    body: &'a ExactBody,
    frame: Frame,
}

impl<'a> Drawing<'a> {
    fn new(body: &'a ExactBody, origin: Vector, out: Vector) -> Self {
        let helper = if out[0].abs() < 0.6 { [1.0, 0.0, 0.0] } else { [0.0, 1.0, 0.0] };
        let square = sub(helper, scale(out, dot(helper, out)));
        let x = scale(square, 1.0 / dot(square, square).sqrt());
        Drawing { body, frame: Frame { origin, x, y: cross(out, x), z: out } }
    }

    /// A loop as points in the plane.
    fn drawn(&self, sides: &[Side]) -> Vec<[f64; 2]> {
        let mut points = Vec::new();
        for side in sides {
            let curve = &self.body.edges()[side.edge].curve;
            let parts = 1 + (curve.turn() / 0.05) as usize;
            for i in 0..parts {
                let t = i as f64 / parts as f64;
                let [x, y, _] = self.frame.local(curve.at(if side.forward { t } else { 1.0 - t }));
                points.push([x, y]);
            }
        }
        points
    }

    /// Whether a face lies in the plane, faces the same way, and holds a loop.
    fn holds(&self, face: usize, rim: &[Side]) -> bool {
        let face = &self.body.faces()[face];
        let Surface::Plane { frame } = face.surface else { return false };
        let out = if face.outward { frame.z } else { scale(frame.z, -1.0) };
        let off = self.frame.local(frame.origin)[2].abs();
        if dot(out, self.frame.z) < 1.0 - 1e-12 || off > IN_PLANE_MM {
            return false;
        }
        let rim = self.drawn(rim);
        let loops: Vec<Vec<[f64; 2]>> = face.loops.iter().map(|l| self.drawn(l)).collect();
        rim.iter().all(|p| loops.iter().filter(|l| inside(l, *p)).count() % 2 == 1)
    }

    /// The body with holes in its faces and the islands that stand in them.
    fn divided(
        &self,
        holes: Vec<(usize, Vec<Side>)>,
        islands: Vec<(usize, Vec<Side>)>,
    ) -> ExactBody {
        let mut faces = self.body.faces().to_vec();
        let mut added: Vec<(Face, Vec<[f64; 2]>)> = Vec::new();
        for (host, island) in islands {
            let face = Face { loops: vec![island.clone()], ..faces[host] };
            added.push((face, self.drawn(&island)));
        }
        for (host, hole) in holes {
            let at = self.drawn(&hole)[0];
            // A pocket may stand in the island of another one.
            let around = added.iter_mut().filter(|(_, rim)| inside(rim, at));
            let smallest = around.min_by(|a, b| area(&a.1).total_cmp(&area(&b.1)));
            match smallest {
                Some((face, _)) => face.loops.push(hole),
                None => faces[host].loops.push(hole),
            }
        }
        faces.extend(added.into_iter().map(|(face, _)| face));
        ExactBody::new(self.body.points().to_vec(), self.body.edges().to_vec(), faces)
    }
}

/// Whether a point lies inside a closed run of points.
fn inside(points: &[[f64; 2]], at: [f64; 2]) -> bool {
    let count = points.len();
    let crosses = |i: &usize| {
        let (a, b) = (points[*i], points[(i + 1) % count]);
        let (ay, by) = (a[1] - at[1], b[1] - at[1]);
        (ay > 0.0) != (by > 0.0) && a[0] + (b[0] - a[0]) * ay / (ay - by) > at[0]
    };
    (0..count).filter(crosses).count() % 2 == 1
}

/// What a closed run of points encloses.
fn area(points: &[[f64; 2]]) -> f64 {
    let count = points.len();
    let next = |i: usize| points[(i + 1) % count];
    (0..count).map(|i| points[i][0] * next(i)[1] - points[i][1] * next(i)[0]).sum::<f64>().abs()
}
