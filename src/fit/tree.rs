//! Facets sorted by place, so that the nearest ones are found quickly.

use super::facet::{Facet, Near, distance, nearest_point};
use crate::mesh;
use crate::model::Vector;
use crate::model::vector::{length, sub};

/// The least distance is settled to this much, mm: pairs that could only be nearer by
/// less are not looked at.
const SETTLED_MM: f64 = 1e-7;

/// A set of triangles.
#[derive(Clone, Debug, Default)]
pub struct Tree {
    facets: Vec<Facet>,
    boxes: mesh::Tree,
}

impl Tree {
    /// Builds the tree. Triangles without area are left out: their corners belong to
    /// neighbours.
    pub fn new(facets: impl IntoIterator<Item = Facet>) -> Self {
        let facets: Vec<Facet> = facets.into_iter().filter(|f| f.area > 0.0).collect();
        let mut boxes = mesh::Tree::of(facets.iter().map(|f| f.corners));
        let facets = boxes.renumbered().into_iter().map(|f| facets[f as usize]).collect();
        Tree { facets, boxes }
    }

    /// Its triangles, in an order that depends on them alone.
    pub fn facets(&self) -> &[Facet] {
        &self.facets
    }

    /// The least distance to the triangles of another tree, over pairs that `counts`
    /// (called with one triangle of each).
    pub fn least(&self, other: &Tree, counts: impl Fn(&Facet, &Facet) -> bool) -> Option<Near> {
        let mut best: Option<Near> = None;
        self.boxes.nearer_pairs(&other.boxes, |m, n, limit| {
            let (p, q) = (&self.facets[m as usize], &other.facets[n as usize]);
            if counts(p, q)
                && let Some(near) = distance(p, q, limit)
            {
                best = Some(near);
                return near.distance - SETTLED_MM;
            }
            limit
        });
        best
    }

    /// The point nearest to `p`, at most `within` mm away, over triangles that `counts`,
    /// with its triangle.
    pub fn nearest(
        &self,
        p: Vector,
        within: f64,
        counts: impl Fn(&Facet) -> bool,
    ) -> Option<(f64, Vector, &Facet)> {
        let mut best: Option<(f64, Vector, &Facet)> = None;
        self.boxes.nearer(p, within, |k, limit| {
            let facet = &self.facets[k as usize];
            if !counts(facet) {
                return limit;
            }
            let q = nearest_point(p, facet.corners);
            let d = length(sub(p, q));
            if best.map_or(d <= within, |b| d < b.0) {
                best = Some((d, q, facet));
                return d;
            }
            limit
        });
        best
    }
}
