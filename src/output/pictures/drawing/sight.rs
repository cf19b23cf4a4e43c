//! Where to look: the planes of sections, so that they show what fits.

use super::super::section::Frame;
use crate::model::{Body, Inlay, Leaf, Placement, Surface, Vector, nominal_strips};
use crate::plane::Strips;

/// An inlay as its part's body has it, and where that puts it.
pub(super) fn inlay_of(body: &Body) -> Option<(&Inlay, Placement)> {
    match body {
        Body::Leaf(Leaf::Inlay(inlay)) => Some((inlay, Placement::IDENTITY)),
        Body::Placed { body, placement } => {
            let (inlay, inner) = inlay_of(body)?;
            Some((inlay, inner.then(placement)))
        }
        _ => None,
    }
}

/// A plane square to the surface through a typical place of an inlay, and that place:
/// on the show face, at the upper end of the highest bar of the pattern.
pub(super) struct Sight {
    pub frame: Frame,
    pub at: Vector,
}

/// Where a seat is best seen; none where the pattern is empty.
pub(super) fn of_inlay(body: &Body) -> Option<Sight> {
    let (inlay, placement) = inlay_of(body)?;
    let strips = nominal_strips(inlay).ok()?;
    let (u, z) = highest_bar(&strips)?;
    let (origin, right, up, at) = match &inlay.surface {
        Surface::Round { .. } => {
            let (sin, cos) = u.sin_cos();
            let right = [cos, sin, 0.0];
            let radius = inlay.radius_at(z)?;
            ([0.0; 3], right, [0.0, 0.0, 1.0], [radius * cos, radius * sin, z])
        }
        Surface::Flat { origin, right, up, normal, .. } => {
            let base = [0, 1, 2].map(|i| origin[i] + right[i] * u);
            (base, *normal, *up, [0, 1, 2].map(|i| base[i] + up[i] * z))
        }
    };
    let [right, up] = [right, up].map(|v| placement.direction(v));
    let (right, up) = if right[2].abs() > 0.9 { (up, right) } else { (right, up) };
    let frame = Frame { origin: placement.point(origin), right, up };
    Some(Sight { frame, at: placement.point(at) })
}

/// u and z of the upper end of the highest bar; where several are as high, the one
/// whose strip is widest. Neither seams nor slits lie inside a bar.
fn highest_bar(strips: &Strips) -> Option<(f64, f64)> {
    let mut best: Option<(f64, f64, f64, f64)> = None;
    for (index, strip) in strips.strips.iter().enumerate() {
        let [left, right] = strips.span(index);
        for bar in strip {
            let height = (bar.heights()[0] + bar.heights()[1]) / 2.0;
            let top = (bar.top[0] + bar.top[1]) / 2.0;
            let better = best.is_none_or(|(h, w, ..)| {
                height > h + ALIKE_MM || (height > h - ALIKE_MM && right - left > w + 1e-6)
            });
            if better {
                best = Some((height, right - left, (left + right) / 2.0, top));
            }
        }
    }
    best.map(|(_, _, u, z)| (u, z))
}

/// Bars whose heights differ by less are equally high, mm.
const ALIKE_MM: f64 = 1e-6;

/// Direction, as cosine and sine, of the half plane through the z axis in which an
/// assembly is cut: through the first inlay, or along the x axis.
pub(super) fn half_plane<'a>(inlays: impl Iterator<Item = &'a Body>) -> [f64; 2] {
    let level = |right: Vector| right[2].abs() < 1e-9;
    let sights = inlays.filter_map(of_inlay).filter(|s| level(s.frame.right));
    let mut upright = sights.filter(|s| s.frame.up[2] > 0.999);
    upright.next().map_or([1.0, 0.0], |s| [s.frame.right[0], s.frame.right[1]])
}
