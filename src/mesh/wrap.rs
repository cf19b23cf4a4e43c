//! Inlays, and the tools that cut their pockets, put on the host's surface.

use super::facets::Facets;
use super::fault::MeshFault;
use super::ladder::{Bulge, tag_of, wrapped};
use super::triangles::Mesh;
use crate::layers::{Cells, Layer, Motion, WELD_MM, cells, cut_at, moved, pocket, settled};
use crate::model::{Drop, Inlay, Placement, Surface, Vector};
use crate::plane::Strips;

/// Greatest distance of a straight ridge of an inlay from the true one, mm: what gaps are
/// measured to.
pub(super) const RIDGE_MM: f64 = 0.001;

/// A tool stands out of the surface that it opens by as much, mm. A tool that ended in the
/// surface would leave skins over the opening.
pub(super) const OVERSHOOT_MM: f64 = 0.5;

/// A straight piece of a surface of revolution round the axis of the assembly, or of its
/// own frame: `radius(z) = radius_mm + slope * z`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Cone {
    pub radius_mm: f64,
    pub slope: f64,
}

impl Cone {
    pub fn radius(&self, z: f64) -> f64 {
        self.radius_mm + self.slope * z
    }
}

/// What makes the mesh of an inlay or of its pocket: everything in one frame.
pub(super) struct Wrap<'a> {
    pub strips: Strips,
    pub layer: Layer,
    pub lower_eased: bool,
    pub ground: Ground<'a>,
    /// 1, or -1 where depth runs the other way ([`Inlay::depth_sense`]).
    pub sense: f64,
    pub owner: Option<usize>,
}

/// The surface under a wrap.
pub(super) enum Ground<'a> {
    /// Round; `facets` of its frame.
    Round { cone: Cone, facets: &'a Facets },
    /// Flat: origin, right, up, normal.
    Flat { origin: Vector, right: Vector, up: Vector, normal: Vector },
}

/// Where a leaf that keeps the axis goes: a motion of the developed plane.
pub(super) fn motion_of(placement: &Placement) -> Motion {
    let [x, y, z] = placement.matrix;
    Motion {
        mirror_u: x[0] * y[1] - x[1] * y[0] < 0.0,
        mirror_z: z[2] < 0.0,
        turn: y[0].atan2(x[0]),
        rise_mm: placement.shift[2],
    }
}

impl<'a> Wrap<'a> {
    /// A wrap on a round surface, moved along the axis. `strips` and `layer` are in the frame
    /// of the leaf.
    pub fn round(
        inlay: &Inlay,
        strips: &Strips,
        layer: &Layer,
        motion: &Motion,
        facets: &'a Facets,
        owner: Option<usize>,
    ) -> Option<Wrap<'a>> {
        let Surface::Round { radius_mm, slope, .. } = inlay.surface else { return None };
        let sign = if motion.mirror_z { -1.0 } else { 1.0 };
        let slope = sign * slope;
        let cone = Cone { radius_mm: radius_mm - slope * motion.rise_mm, slope };
        let Drop { upper, lower } = layer.drop;
        let drop = if motion.mirror_z { Drop { upper: lower, lower: upper } } else { layer.drop };
        let lower_eased = inlay.eased.is_some_and(|e| e.lower) != motion.mirror_z;
        Some(Wrap {
            strips: moved(strips, motion),
            layer: Layer { drop, ..*layer },
            lower_eased,
            ground: Ground::Round { cone, facets },
            sense: inlay.depth_sense(),
            owner,
        })
    }

    /// A wrap on a flat face, in the frame of the leaf.
    pub fn flat(
        inlay: &Inlay,
        strips: Strips,
        layer: Layer,
        owner: Option<usize>,
    ) -> Option<Wrap<'a>> {
        let Surface::Flat { origin, right, up, normal, .. } = inlay.surface else { return None };
        let lower_eased = inlay.eased.is_some_and(|e| e.lower);
        let ground = Ground::Flat { origin, right, up, normal };
        Some(Wrap { strips, layer, lower_eased, ground, sense: inlay.depth_sense(), owner })
    }

    /// The body itself: an inlay, or with [`Bulge::Out`] a tool.
    pub fn body(&self, bulge: Bulge) -> Mesh {
        self.put(&cells(&self.prepared(), &self.layer), bulge)
    }

    /// The skin of a host round its pocket, with what it takes to sew it in.
    pub fn socket(&self, span_mm: [f64; 2]) -> (Mesh, Cells) {
        let cells = pocket(&self.prepared(), &self.layer, span_mm);
        (self.put(&cells, Bulge::In), cells)
    }

    /// Lowest and highest z of the pattern, mm.
    pub fn extent_mm(&self) -> Option<[f64; 2]> {
        self.strips.heights()
    }

    /// The strips without what is too fine, cut at facet lines and where ridges need it.
    fn prepared(&self) -> Strips {
        match &self.ground {
            Ground::Flat { .. } => settled(&self.strips, LEAST_STRIP_MM),
            Ground::Round { cone, facets } => {
                let [low, high] = self.extent_mm().unwrap_or([0.0; 2]);
                let ends = [self.layer.from_mm, self.layer.to_mm].map(|d| self.sense * d);
                let least = cone.radius(low).min(cone.radius(high));
                let inner = least - ends[0].max(ends[1]);
                let near = LEAST_STRIP_MM / inner.max(1.0);
                let strips = on_facets(&self.strips, &self.layer, facets, least, near);
                let deep = self.layer.to_mm - self.layer.origin_mm;
                settled(&strips.ridges_refined(self.layer.closing(), deep, RIDGE_MM), near)
            }
        }
    }

    fn put(&self, cells: &Cells, bulge: Bulge) -> Mesh {
        let points = match &self.ground {
            Ground::Round { cone, facets } => {
                let lines: Vec<[f64; 2]> = cells.lines.iter().map(|u| facets.at(*u)).collect();
                let place = |v: &crate::layers::CellVertex| {
                    let [x, y] = lines[v.line as usize];
                    let radius = cone.radius(v.z_mm) - self.sense * v.depth_mm;
                    [radius * x, radius * y, v.z_mm]
                };
                cells.vertices.iter().map(place).collect()
            }
            Ground::Flat { origin, right, up, normal } => {
                let place = |v: &crate::layers::CellVertex| {
                    let u = cells.lines[v.line as usize];
                    [0, 1, 2]
                        .map(|c| origin[c] + u * right[c] + v.z_mm * up[c] - v.depth_mm * normal[c])
                };
                cells.vertices.iter().map(place).collect()
            }
        };
        wrapped(cells, points, bulge, self.sense < 0.0, |side| {
            tag_of(side, self.lower_eased, self.owner)
        })
    }
}

/// The strips without what is too fine, cut at facet lines and where flanks twist.
pub(super) fn on_facets(
    strips: &Strips,
    layer: &Layer,
    facets: &Facets,
    least_mm: f64,
    near: f64,
) -> Strips {
    let strips = settled(strips, near);
    let strips = settled(&cut_at(&strips, &facets.angles(), near), near);
    let twists = twist_cuts(&strips, least_mm, layer, facets);
    cut_at(&strips, &twists, near)
}

/// Further cuts for strips with inclined edges: the flat triangles of a twisted flank leave it
/// by up to a quarter of (depth) x (turn) along the surface, which is to stay below what
/// facets leave of their arcs.
fn twist_cuts(strips: &Strips, radius_mm: f64, layer: &Layer, facets: &Facets) -> Vec<f64> {
    let sagitta = facets.sagitta(radius_mm);
    let depth = layer.to_mm - layer.kink_mm;
    let mut cuts = vec![];
    for (index, cells) in strips.strips.iter().enumerate() {
        let [from, to] = strips.span(index);
        let across = radius_mm * (to - from);
        let edges = cells.iter().flat_map(|v| [v.bottom, v.top]);
        let steepest = edges.map(|z| (z[1] - z[0]).abs()).fold(0.0, f64::max);
        // Square to an edge only the sine of its inclination counts.
        let off = depth * (to - from) / 4.0 * steepest / across.hypot(steepest);
        let parts = (off / sagitta).ceil().max(1.0) as usize;
        cuts.extend((1..parts).map(|k| from + (to - from) * k as f64 / parts as f64));
    }
    cuts
}

/// Strips narrower than this (mm, at the innermost radius) are left out: corners on two
/// lines then stay apart when written as 32-bit numbers.
pub(super) const LEAST_STRIP_MM: f64 = 1.5 * WELD_MM;

/// The layer of an inlay, or of its pocket.
///
/// # Errors
/// [`MeshFault::SteepSurface`].
pub(super) fn layer_of(inlay: &Inlay, pocket: Option<(f64, f64)>) -> Result<Layer, MeshFault> {
    match pocket {
        None => Layer::of_inlay(inlay),
        Some((gap_behind_mm, overshoot_mm)) => Layer::of_pocket(inlay, gap_behind_mm, overshoot_mm),
    }
    .ok_or(MeshFault::SteepSurface)
}
