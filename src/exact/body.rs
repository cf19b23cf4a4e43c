//! The exact body: corners, edges and faces by number.

use super::geometry::{Curve, Surface, unwrapped};
use crate::model::{Placement, Vector};
use std::collections::BTreeMap;

/// A bounded curve, shared by the two faces that meet in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Edge {
    /// From the first end to the second.
    pub curve: Curve,
    /// Corners where it starts and ends.
    pub ends: [usize; 2],
}

/// One step of a loop: an edge and whether it is run through from start to end.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Side {
    /// Number of the edge.
    pub edge: usize,
    /// Whether it is run through from start to end.
    pub forward: bool,
}

impl Side {
    /// The same edge the other way.
    #[must_use]
    pub fn back(self) -> Self {
        Side { forward: !self.forward, ..self }
    }
}

/// What a face is to the fit of an inlay in its pocket.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord)]
pub enum Role {
    /// Nothing.
    #[default]
    Plain,
    /// The side of an inlay that is seen.
    Show,
    /// The side of an inlay that looks into the pocket.
    Back,
    /// The deepest side of a pocket.
    Floor,
    /// A side wall.
    Flank,
    /// The side that the easing slopes.
    Ceiling,
}

impl Role {
    /// Its word; empty where there is none.
    pub fn word(self) -> &'static str {
        match self {
            Role::Plain => "",
            Role::Show => "show face",
            Role::Back => "back",
            Role::Floor => "floor",
            Role::Flank => "flank",
            Role::Ceiling => "ceiling",
        }
    }
}

/// A bounded piece of a surface.
#[derive(Clone, Debug, PartialEq)]
pub struct Face {
    /// What it lies on.
    pub surface: Surface,
    /// Whether the surface's own normal points out of the body.
    pub outward: bool,
    /// Outer loop first, then holes; seen from outside the body the outer loop runs
    /// anticlockwise and holes clockwise: the face lies to the left.
    pub loops: Vec<Vec<Side>>,
    /// What it is to a fit.
    pub role: Role,
}

impl Face {
    /// A face that is nothing to a fit.
    pub(super) fn plain(surface: Surface, outward: bool, loops: Vec<Vec<Side>>) -> Self {
        Face { surface, outward, loops, role: Role::Plain }
    }

    /// The same face with the material on its other side.
    #[must_use]
    pub(super) fn turned_round(&self) -> Self {
        let back = |sides: &Vec<Side>| sides.iter().rev().map(|side| side.back()).collect();
        let loops = self.loops.iter().map(back).collect();
        Face { outward: !self.outward, loops, ..*self }
    }
}

/// Bodies bounded by analytic faces, closed, in mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct ExactBody {
    points: Vec<Vector>,
    edges: Vec<Edge>,
    faces: Vec<Face>,
    shells: Vec<Vec<usize>>,
}

impl ExactBody {
    /// Puts a body together: finds its shells, drops what no face uses.
    pub(super) fn new(points: Vec<Vector>, edges: Vec<Edge>, faces: Vec<Face>) -> Self {
        let mut body = ExactBody { points, edges, faces, shells: Vec::new() };
        body.drop_unused();
        body.shells = connected(&body.faces, body.edges.len());
        body
    }

    /// As it comes, numbers kept; shells are not looked for.
    pub(super) fn raw(points: Vec<Vector>, edges: Vec<Edge>, faces: Vec<Face>) -> Self {
        ExactBody { points, edges, faces, shells: Vec::new() }
    }

    /// Corners, mm.
    pub fn points(&self) -> &[Vector] {
        &self.points
    }

    /// Edges; each is used by two faces, once each way.
    pub fn edges(&self) -> &[Edge] {
        &self.edges
    }

    /// Faces.
    pub fn faces(&self) -> &[Face] {
        &self.faces
    }

    /// Numbers of the faces that hang together. A hollow inside a piece is a shell too.
    pub fn shells(&self) -> &[Vec<usize>] {
        &self.shells
    }

    /// Whether there is nothing.
    pub fn is_empty(&self) -> bool {
        self.faces.is_empty()
    }

    /// How many faces of each kind there are, by the name of their surface.
    pub fn face_kinds(&self) -> BTreeMap<&'static str, usize> {
        let mut kinds = BTreeMap::new();
        for face in &self.faces {
            *kinds.entry(face.surface.name()).or_default() += 1;
        }
        kinds
    }

    /// The same body elsewhere.
    #[must_use]
    pub fn placed(&self, placement: &Placement) -> Self {
        let turn = |side: &Side| if placement.flips() { side.back() } else { *side };
        let placed_loop = |sides: &Vec<Side>| {
            let mut sides: Vec<Side> = sides.iter().map(turn).collect();
            if placement.flips() {
                sides.reverse();
            }
            sides
        };
        let faces = self.faces.iter().map(|face| Face {
            surface: face.surface.placed(placement),
            loops: face.loops.iter().map(placed_loop).collect(),
            ..*face
        });
        let edges = self.edges.iter();
        ExactBody {
            points: self.points.iter().map(|p| placement.point(*p)).collect(),
            edges: edges.map(|e| Edge { curve: e.curve.placed(placement), ..*e }).collect(),
            faces: faces.collect(),
            shells: self.shells.clone(),
        }
    }

    /// Both bodies as one; they must not touch.
    #[must_use]
    pub(super) fn beside(mut self, other: ExactBody) -> Self {
        let (points, edges, faces) = (self.points.len(), self.edges.len(), self.faces.len());
        self.points.extend(other.points);
        let shifted = |e: Edge| Edge { ends: e.ends.map(|p| p + points), ..e };
        self.edges.extend(other.edges.into_iter().map(shifted));
        for mut face in other.faces {
            face.loops.iter_mut().flatten().for_each(|side| side.edge += edges);
            self.faces.push(face);
        }
        let shift = |shell: Vec<usize>| shell.into_iter().map(|f| f + faces).collect();
        self.shells.extend(other.shells.into_iter().map(shift));
        self
    }

    /// The body turned inside out: what bounds a hollow.
    #[must_use]
    pub(super) fn inside_out(mut self) -> Self {
        self.faces.iter_mut().for_each(|face| *face = face.turned_round());
        self
    }

    /// The body with only the chosen shells.
    #[must_use]
    pub(super) fn only(&self, shells: &[usize]) -> Self {
        let kept = shells.iter().flat_map(|s| &self.shells[*s]);
        let faces = kept.map(|f| self.faces[*f].clone()).collect();
        ExactBody::new(self.points.clone(), self.edges.clone(), faces)
    }

    /// The corner where a side starts.
    pub(super) fn start(&self, side: Side) -> usize {
        self.edges[side.edge].ends[usize::from(!side.forward)]
    }

    /// An angle (rad) on a face's surface from which no point of the face is as far as
    /// half a turn: its seam lies opposite. 0 on planes and ramps.
    pub(super) fn middle_rad(&self, face: &Face) -> f64 {
        let Surface::Revolved { frame, .. } = face.surface else { return 0.0 };
        let mut angles = Vec::new();
        for side in face.loops.iter().flatten() {
            let curve = &self.edges[side.edge].curve;
            let samples = 2 + (curve.turn() / 0.5) as usize + trace_points(curve);
            for i in 0..=samples {
                let (radius, angle, _) = frame.cylindrical(curve.at(i as f64 / samples as f64));
                if radius > 1e-9 {
                    angles.push(angle);
                }
            }
        }
        angles.sort_by(f64::total_cmp);
        let (Some(first), Some(last)) = (angles.first(), angles.last()) else { return 0.0 };
        let round = first + std::f64::consts::TAU;
        let mut widest = (round - last, (round + last) / 2.0);
        for pair in angles.windows(2) {
            if pair[1] - pair[0] > widest.0 + 1e-9 {
                widest = (pair[1] - pair[0], (pair[0] + pair[1]) / 2.0);
            }
        }
        unwrapped(widest.1 + std::f64::consts::PI, 0.0)
    }

    fn drop_unused(&mut self) {
        let mut edges = vec![None; self.edges.len()];
        let mut points = vec![None; self.points.len()];
        for side in self.faces.iter().flat_map(|f| f.loops.iter().flatten()) {
            edges[side.edge] = Some(0);
            for end in self.edges[side.edge].ends {
                points[end] = Some(0);
            }
        }
        number(&mut edges);
        number(&mut points);
        retain(&mut self.edges, &edges);
        retain(&mut self.points, &points);
        for end in self.edges.iter_mut().flat_map(|e| &mut e.ends) {
            *end = points[*end].unwrap_or(0);
        }
        for side in self.faces.iter_mut().flat_map(|f| f.loops.iter_mut().flatten()) {
            side.edge = edges[side.edge].unwrap_or(0);
        }
    }
}

/// Points that a trace needs beyond those of other curves to be followed round.
fn trace_points(curve: &Curve) -> usize {
    if let Curve::Trace(trace) = curve { trace.leader().len() } else { 0 }
}

/// Numbers what is kept, in order.
fn number(kept: &mut [Option<usize>]) {
    for (number, slot) in kept.iter_mut().flatten().enumerate() {
        *slot = number;
    }
}

/// Keeps what has a number.
fn retain<T>(items: &mut Vec<T>, kept: &[Option<usize>]) {
    let mut index = 0;
    items.retain(|_| {
        index += 1;
        kept[index - 1].is_some()
    });
}

/// Groups of faces that share edges, in the order of their first face.
fn connected(faces: &[Face], edges: usize) -> Vec<Vec<usize>> {
    let mut groups = Groups::new(faces.len());
    let mut first_user = vec![None; edges];
    for (number, face) in faces.iter().enumerate() {
        for side in face.loops.iter().flatten() {
            match first_user[side.edge] {
                Some(other) => groups.unite(number, other),
                None => first_user[side.edge] = Some(number),
            }
        }
    }
    groups.lists()
}

/// Union-find: which of some numbered things belong together.
#[derive(Debug)]
pub(super) struct Groups {
    parents: Vec<usize>,
}

impl Groups {
    /// Each of `count` things by itself.
    pub(super) fn new(count: usize) -> Self {
        Groups { parents: (0..count).collect() }
    }

    /// The least member of the group of `thing`.
    pub(super) fn find(&mut self, thing: usize) -> usize {
        let mut at = thing;
        while self.parents[at] != at {
            self.parents[at] = self.parents[self.parents[at]];
            at = self.parents[at];
        }
        at
    }

    /// Makes two groups one.
    pub(super) fn unite(&mut self, a: usize, b: usize) {
        let (a, b) = (self.find(a), self.find(b));
        self.parents[a.max(b)] = a.min(b);
    }

    /// The groups in the order of their least members, members ascending.
    pub(super) fn lists(&mut self) -> Vec<Vec<usize>> {
        let mut lists: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        for thing in 0..self.parents.len() {
            lists.entry(self.find(thing)).or_default().push(thing);
        }
        lists.into_values().collect()
    }
}
