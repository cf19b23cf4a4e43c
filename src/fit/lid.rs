//! What slides in what, measured: a lid on what it closes, and any other two bodies.

use super::facet::Facet;
use super::measured::GapFit;
use super::spread::{median_and_most, spread};
use super::tree::Tree;
use crate::mesh::{Bounds, Mesh};
use crate::model::Vector;
use crate::model::vector::{dot, sub};
use rayon::prelude::*;

/// Faces that slide lean from the way by no more than this: the sine of 15 deg, more
/// than any taper that still guides.
const GUIDES: f64 = 0.26;

/// Faces look at each other when their normals are opposed: the cosine of 150 deg.
const OPPOSED: f64 = -0.87;

/// Faces farther apart than this many gaps, and this many mm more, do not guide.
const WITHIN: [f64; 2] = [3.0, 1.0];

/// The gap per side and the engagement along the way, mm; none where nothing of one slides
/// on the other. Without a way all faces that look at each other count, and the engagement
/// is told along the upright.
pub fn slide(
    lid: &Mesh,
    host: &Mesh,
    asked_mm: f64,
    along: Option<Vector>,
) -> Option<(GapFit, f64)> {
    let within = WITHIN[0] * asked_mm + WITHIN[1];
    // What lies farther from all of the lid guides nothing.
    let near = lid.bounds().grown(within);
    let (lid, host) = (guides(lid, along, None), guides(host, along, Some(&near)));
    let along = along.unwrap_or([0.0, 0.0, 1.0]);
    let samples = spread(lid.facets());
    let found: Vec<Option<(f64, [f64; 2])>> = samples
        .par_iter()
        .map(|s| {
            let faces = |f: &Facet| dot(f.normal, s.normal) < OPPOSED && f.above(s.at) > 0.0;
            let (distance, q, host_facet) = host.nearest(s.at, within, faces)?;
            // Square to the face, or it is only an edge that is near.
            let square = dot(sub(q, s.at), s.normal) > 0.8 * distance;
            square.then(|| (distance, reach(host_facet, along)))
        })
        .collect();
    let mut levels: Option<[f64; 2]> = None;
    let mut host_levels: Option<[f64; 2]> = None;
    let mut distances = Vec::new();
    for (sample, hit) in samples.iter().zip(&found) {
        let Some((distance, host_reach)) = hit else { continue };
        distances.push((*distance, sample.weight));
        levels = wider(levels, reach(&lid.facets()[sample.facet], along));
        host_levels = wider(host_levels, *host_reach);
    }
    let least = lid.least(&host, |a, b| {
        dot(a.normal, b.normal) < OPPOSED && looks_at(a, b) && looks_at(b, a)
    })?;
    if least.distance > within {
        return None;
    }
    let [median_mm, most_mm] = median_and_most(distances)?;
    let (own, other) = (levels?, host_levels?);
    let engagement = (own[1].min(other[1]) - own[0].max(other[0])).max(0.0);
    let gap = GapFit {
        asked_mm,
        least_mm: least.distance,
        median_mm: median_mm.max(least.distance),
        most_mm: most_mm.max(least.distance),
        least_at_mm: least.at,
        worst_mm: None,
        limits: None,
        least_across_mm: least.across,
    };
    Some((gap, engagement))
}

/// The faces along which a body slides, of all or of those in a box.
fn guides(mesh: &Mesh, along: Option<Vector>, within: Option<&Bounds>) -> Tree {
    let lies_in = |f: &Facet| within.is_none_or(|all| all.meets(&Bounds::of(f.corners)));
    let slides = |f: &Facet| along.is_none_or(|a| dot(f.normal, a).abs() < GUIDES);
    let facets = (0..mesh.triangles.len()).map(|t| Facet::of(mesh, t));
    Tree::new(facets.filter(lies_in).filter(slides))
}

/// Where a facet begins and ends along the way, mm.
fn reach(facet: &Facet, along: Vector) -> [f64; 2] {
    let [a, b, c] = facet.corners.map(|p| dot(p, along));
    [a.min(b).min(c), a.max(b).max(c)]
}

fn wider(a: Option<[f64; 2]>, b: [f64; 2]) -> Option<[f64; 2]> {
    Some(a.map_or(b, |a| [a[0].min(b[0]), a[1].max(b[1])]))
}

/// Whether some of `b` lies in front of `a`.
fn looks_at(a: &Facet, b: &Facet) -> bool {
    b.corners.iter().any(|p| a.above(*p) > 0.0)
}
