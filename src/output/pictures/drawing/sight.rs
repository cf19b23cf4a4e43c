//! Where to look: the planes of sections, so that they show what fits.

use super::super::section::Frame;
use crate::model::{Body, Inlay, Leaf, Placement, Sides, Surface, Vector, nominal_strips};
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
    let seen = inlay.sides().and_then(|sides| at_a_middle(&strips, sides));
    let (u, z) = seen.or_else(|| highest_bar(&strips))?;
    let (origin, right, up, at) = match &inlay.surface {
        Surface::Round { .. } | Surface::Belly { .. } => {
            let sides = inlay.sides();
            let (sin, cos) = sides.map_or(u, |sides| sides.angle_rad(u)).sin_cos();
            let right = [cos, sin, 0.0];
            let [x, y] = sides.map_or([cos, sin], |sides| sides.at(u));
            let radius = inlay.radius_at(z)?;
            ([0.0; 3], right, [0.0, 0.0, 1.0], [radius * x, radius * y, z])
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

/// u and z of the upper end of the highest bar in the middle of a flat side, where a wall is
/// seen as thick as it is; none where no side has a bar there.
fn at_a_middle(strips: &Strips, sides: Sides) -> Option<(f64, f64)> {
    let turn = strips.period?;
    let mut best: Option<(f64, f64, f64)> = None;
    for corner in sides.corners() {
        let middle = corner + sides.turn_rad() / 2.0;
        for (index, strip) in strips.strips.iter().enumerate() {
            let [left, right] = strips.span(index);
            let off = (middle - left).rem_euclid(turn);
            if off >= right - left {
                continue;
            }
            let at = |ends: [f64; 2]| ends[0] + (ends[1] - ends[0]) * off / (right - left);
            for bar in strip {
                let height = at(bar.top) - at(bar.bottom);
                if best.is_none_or(|(most, ..)| height > most + ALIKE_MM) {
                    best = Some((height, middle, at(bar.top)));
                }
            }
        }
    }
    best.map(|(_, u, z)| (u, z))
}

/// The flat sides of the first body of them that is met.
pub(super) fn sides_of(body: &Body) -> Option<Sides> {
    match body {
        Body::Empty => None,
        Body::Leaf(Leaf::Turned(turned)) => turned.sides,
        Body::Leaf(_) => None,
        Body::Placed { body, .. } => sides_of(body),
        Body::Boolean { left, right, .. } => sides_of(left).or_else(|| sides_of(right)),
        Body::Many(bodies) => bodies.iter().find_map(|body| sides_of(body)),
    }
}

/// Bars whose heights differ by less are equally high, mm.
const ALIKE_MM: f64 = 1e-6;

/// Direction, as cosine and sine, of the half plane through the z axis in which an
/// assembly is cut: through the first inlay, else square to a flat side of its bodies, or
/// along the x axis.
pub(super) fn half_plane<'a>(
    inlays: impl Iterator<Item = &'a Body>,
    mut bodies: impl Iterator<Item = &'a Body>,
) -> [f64; 2] {
    let level = |right: Vector| right[2].abs() < 1e-9;
    let sights = inlays.filter_map(of_inlay).filter(|s| level(s.frame.right));
    let mut upright = sights.filter(|s| s.frame.up[2] > 0.999);
    if let Some(sight) = upright.next() {
        return [sight.frame.right[0], sight.frame.right[1]];
    }
    bodies.find_map(sides_of).map_or([1.0, 0.0], |sides| {
        let (sin, cos) = sides.middle_rad(0.0).sin_cos();
        [cos, sin]
    })
}
