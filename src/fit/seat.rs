//! An inlay in its pocket, measured.

use super::facet::Facet;
use super::measured::{CeilingFit, GapFit};
use super::spread::{median_and_most, spread};
use super::surface::HostSurface;
use super::tree::Tree;
use crate::mesh::{FaceKind, Mesh};
use crate::model::{Inlay, Placement, Vector};
use rayon::prelude::*;

/// Triangles lower than this (mm) do not count for a slope: the corners of a mesh are
/// rounded to some 1e-9 mm, which turns such a needle by no more than 1e-4 rad.
const NEEDLE_MM: f64 = 1e-5;

/// Rounding of an angle at which a slit ends, rad; far below any strip beside it.
const SLIT_RAD: f64 = 1e-7;

/// Sampled distances are looked for within this many gaps, and this many mm more.
const WITHIN: [f64; 2] = [10.0, 5.0];

/// The faces of an inlay, or of its pocket, of certain kinds.
fn faces<'a>(
    mesh: &'a Mesh,
    owner: usize,
    kinds: &'a [FaceKind],
) -> impl Iterator<Item = Facet> + 'a {
    let wanted = move |t: &usize| {
        let tag = mesh.tags[*t];
        tag.owner() == Some(owner) && kinds.contains(&tag.kind())
    };
    (0..mesh.triangles.len()).filter(wanted).map(|t| Facet::of(mesh, t))
}

/// Faces between which a gap is left: not the backs, which touch by design, not the slit.
const FACING: &[FaceKind] = &[FaceKind::Flank, FaceKind::Ceiling];

/// The gap between the flanks of an inlay and those of its pocket; none where one of the
/// two has no flank. `in_slit` tells the walls of a slit, which face nothing.
pub fn gap(
    inlay: &Mesh,
    host: &Mesh,
    owner: usize,
    asked_mm: f64,
    in_slit: impl Fn(&Facet) -> bool,
) -> Option<GapFit> {
    let inlay = Tree::new(faces(inlay, owner, FACING).filter(|f| !in_slit(f)));
    let pocket = Tree::new(faces(host, owner, FACING));
    let least = inlay.least(&pocket, |_, _| true)?;
    let within = WITHIN[0] * asked_mm + WITHIN[1];
    let distances: Vec<(f64, f64)> = spread(inlay.facets())
        .into_par_iter()
        .filter_map(|s| Some((pocket.nearest(s.at, within, |_| true)?.0, s.weight)))
        .collect();
    let [median_mm, most_mm] = median_and_most(distances).unwrap_or([least.distance; 2]);
    Some(GapFit {
        asked_mm,
        least_mm: least.distance,
        median_mm: median_mm.max(least.distance),
        most_mm: most_mm.max(least.distance),
        least_at_mm: least.at,
        worst_mm: None,
        limits: None,
        least_across_mm: least.across,
    })
}

/// Tells the walls of an inlay's slit: they lie in its angle, in which nothing else is.
pub fn slit_of(inlay: &Inlay, placement: &Placement) -> impl Fn(&Facet) -> bool + use<> {
    let back = placement.inverse();
    let walls = inlay.slit_rad().ok().flatten();
    let slit = walls.map(|[from, to]| ((from + to) / 2.0, (to - from) / 2.0 + SLIT_RAD));
    move |facet: &Facet| {
        let Some((middle, half)) = slit else { return false };
        let [a, b, c] = facet.corners;
        let p = back.point([0, 1, 2].map(|k| (a[k] + b[k] + c[k]) / 3.0));
        let turn = std::f64::consts::TAU;
        let off = p[1].atan2(p[0]) - middle;
        (off - (off / turn).round() * turn).abs() <= half
    }
}

/// Lowest and highest that the show face stands out of its host's surface, mm.
pub fn face_step(inlay: &Mesh, owner: usize, surface: &HostSurface) -> [f64; 2] {
    let show = faces(inlay, owner, &[FaceKind::Show]);
    let steps = show.flat_map(|f| f.corners).filter_map(|p| surface.step(p));
    steps.map(|s| [s, s]).reduce(|a, b| [a[0].min(b[0]), a[1].max(b[1])]).unwrap_or_default()
}

/// Least depth of a pocket's floor below its host's surface, mm.
pub fn depth(host: &Mesh, owner: usize, surface: &HostSurface) -> f64 {
    let floor = faces(host, owner, &[FaceKind::Back]);
    let depths = floor.flat_map(|f| f.corners).filter_map(|p| surface.step(p)).map(|s| -s);
    depths.reduce(f64::min).unwrap_or_default()
}

/// The steepest ceiling of a pocket in the pose in which its host is printed.
pub fn ceiling(host: &Mesh, owner: usize, asked_rad: f64, turn: &Placement) -> CeilingFit {
    let slopes = faces(host, owner, FACING)
        .filter(|f| f.least_height() >= NEEDLE_MM)
        .map(|f| overhang_rad(turn.direction(f.normal)));
    CeilingFit {
        asked_deg: asked_rad.to_degrees(),
        steepest_deg: slopes.fold(0.0, f64::max).to_degrees(),
    }
}

/// How far a face with this outward normal hangs over, from the vertical, rad; a flat
/// ceiling is a quarter turn, a wall or a slope that lies back 0.
pub fn overhang_rad(normal: Vector) -> f64 {
    (-normal[2]).clamp(0.0, 1.0).asin()
}
