//! Tools that cut pockets, and where they go.

use super::fault::MeshFault;
use super::fill::filled;
use super::flatten::polygons;
use super::ladder::Bulge;
use super::mesher::{Mesher, Pocket};
use super::triangles::Mesh;
use super::wrap::{OVERSHOOT_MM, layer_of};
use crate::layers::Layer;
use crate::model::{Body, Inlay, Leaf, Placement, Prism, Surface, Turned, pocket_strips};
use crate::plane::{Corners, Edge, grown};
use std::sync::Arc;

/// What sits in a pocket, and where.
#[derive(Clone, Debug)]
pub(super) struct Site {
    pub leaf: Leaf,
    pub placement: Placement,
}

/// Placements that differ by less, in any of their numbers, are the same: rounding of
/// placements composed in different order.
const SAME_PLACE: f64 = 1e-9;

/// Everything that another body keeps clear of a pocket by, mm.
const CLEAR_MM: f64 = 0.01;

/// All leaves of the body of a part that sits in a pocket.
///
/// # Errors
/// [`MeshFault::NotAnInlay`].
pub(super) fn sites(body: &Body, at: &Placement) -> Result<Vec<Site>, MeshFault> {
    match body {
        Body::Empty => Ok(vec![]),
        Body::Leaf(Leaf::Turned(_) | Leaf::Relief(_)) | Body::Boolean { .. } => {
            Err(MeshFault::NotAnInlay)
        }
        Body::Leaf(leaf) => Ok(vec![Site { leaf: leaf.clone(), placement: *at }]),
        Body::Placed { body, placement } => sites(body, &placement.then(at)),
        Body::Many(bodies) => {
            let found: Result<Vec<Vec<Site>>, MeshFault> =
                bodies.iter().map(|b| sites(b, at)).collect();
            Ok(found?.concat())
        }
    }
}

impl Site {
    /// The inlay, if it sits in this turned body at this place.
    pub fn sits_in(&self, body: &Arc<Turned>, at: &Placement) -> Option<&Inlay> {
        let Leaf::Inlay(inlay) = &self.leaf else { return None };
        let Surface::Round { host, .. } = &inlay.surface else { return None };
        let same = Arc::ptr_eq(host, body) || host == body;
        (same && is_same(&self.placement, at)).then_some(inlay.as_ref())
    }

    /// Whether a mesh comes into the ring in which an inlay on a round surface lies.
    pub fn is_near(&self, mesh: &Mesh) -> bool {
        let Leaf::Inlay(inlay) = &self.leaf else { return true };
        let Surface::Round { radius_mm, slope, outward, sides, .. } = inlay.surface else {
            return true;
        };
        let [low, high] = inlay.band_mm();
        let [low, high] = [low - CLEAR_MM, high + CLEAR_MM];
        let ends = [low, high].map(|z| radius_mm + slope * z);
        let inwards = if outward { inlay.sink_mm } else { inlay.proud_mm };
        let inner = ends[0].min(ends[1]) - inlay.level_depth_mm(inwards) - CLEAR_MM;
        let back = self.placement.inverse();
        let (mut lowest, mut highest, mut widest) = (f64::INFINITY, f64::NEG_INFINITY, 0.0f64);
        for v in mesh.triangles.iter().flatten() {
            let [x, y, z] = back.point(mesh.vertices[*v as usize]);
            (lowest, highest) = (lowest.min(z), highest.max(z));
            widest = widest.max(sides.map_or(x.hypot(y), |s| s.over(x, y).0));
        }
        highest >= low && lowest <= high && widest >= inner
    }
}

fn is_same(a: &Placement, b: &Placement) -> bool {
    let numbers = |p: &Placement| p.matrix.into_iter().flatten().chain(p.shift).collect::<Vec<_>>();
    numbers(a).iter().zip(numbers(b)).all(|(x, y)| (x - y).abs() < SAME_PLACE)
}

/// The tool for one site of a pocket.
///
/// # Errors
/// Why it cannot be made.
pub(super) fn tool(
    mesher: &Mesher,
    pocket: &Pocket,
    site: &Site,
    host: &Mesh,
) -> Result<Mesh, MeshFault> {
    match &site.leaf {
        Leaf::Turned(_) | Leaf::Relief(_) => Err(MeshFault::NotAnInlay),
        Leaf::Prism(prism) => prism_tool(mesher, pocket, prism, &site.placement, host),
        Leaf::Inlay(inlay) => {
            let layer: Layer = layer_of(inlay, Some((pocket.gap_behind_mm, OVERSHOOT_MM)))?;
            let strips = pocket_strips(inlay, pocket.grow_mm)?;
            let (at, owner) = (&site.placement, Some(pocket.owner));
            let made = mesher.wrapped(inlay, at, strips, &layer, owner, Bulge::Out);
            Ok(made.unwrap_or_default())
        }
    }
}

/// A prism's sides move out. Where one of its ends comes out of the host the tool goes on;
/// an end inside the host moves by the gap behind.
fn prism_tool(
    mesher: &Mesher,
    pocket: &Pocket,
    prism: &Prism,
    placement: &Placement,
    host: &Mesh,
) -> Result<Mesh, MeshFault> {
    let middle = inner_point(mesher, prism)?;
    let beyond = |z: f64| placement.point([middle[0], middle[1], z]);
    let opens = [-OVERSHOOT_MM / 2.0, prism.height_mm + OVERSHOOT_MM / 2.0]
        .map(|z| !host.contains(beyond(z)));
    let further = opens.map(|open| if open { OVERSHOOT_MM } else { pocket.gap_behind_mm });
    let lean = prism.taper_rad.tan();
    let mut longer = prism.clone();
    longer.height_mm += further[0] + further[1];
    if lean != 0.0 && further[0] > 0.0 {
        longer.outline = grown(&prism.outline, -lean * further[0], Corners::Mitre)?;
    }
    if opens[0] {
        longer.bottom = Edge::None;
    }
    if opens[1] {
        longer.top = Edge::None;
    }
    let lowered = Placement::shifted([0.0, 0.0, -further[0]]).then(placement);
    mesher.prism(&longer, &lowered, pocket.grow_mm, Some(pocket.owner))
}

/// A point well inside the outline: the middle of its largest triangle.
fn inner_point(mesher: &Mesher, prism: &Prism) -> Result<[f64; 2], MeshFault> {
    let polygons = polygons(&prism.outline, mesher.tolerance());
    let points = polygons.concat();
    let mut best = (0.0, [0.0; 2]);
    for triangle in filled(&polygons)? {
        let [a, b, c] = triangle.map(|i| points[i as usize]);
        let area = (b - a).cross(c - a);
        if area > best.0 {
            best = (area, [(a.x + b.x + c.x) / 3.0, (a.y + b.y + c.y) / 3.0]);
        }
    }
    Ok(best.1)
}
