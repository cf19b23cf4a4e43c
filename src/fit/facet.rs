//! Distances between points, triangles and triangles, exact up to rounding.

use crate::mesh::Mesh;
use crate::model::Vector;
use crate::model::vector::{add, cross, dot, length, scale, sub};

/// A triangle with its outward normal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Facet {
    /// Anticlockwise seen from outside, mm.
    pub corners: [Vector; 3],
    /// Length 1; 0 for a triangle without area.
    pub normal: Vector,
    /// mm2
    pub area: f64,
}

impl Facet {
    /// A facet from its corners.
    pub fn new(corners: [Vector; 3]) -> Self {
        let [a, b, c] = corners;
        let across = cross(sub(b, a), sub(c, a));
        let double = length(across);
        let normal = if double > 0.0 { scale(across, 1.0 / double) } else { [0.0; 3] };
        Facet { corners, normal, area: double / 2.0 }
    }

    /// A triangle of a mesh.
    pub fn of(mesh: &Mesh, triangle: usize) -> Self {
        Facet::new(mesh.triangles[triangle].map(|v| mesh.vertices[v as usize]))
    }

    /// The least of its three heights, mm.
    pub fn least_height(&self) -> f64 {
        let [a, b, c] = self.corners;
        let longest = length(sub(b, a)).max(length(sub(c, b))).max(length(sub(a, c)));
        if longest > 0.0 { 2.0 * self.area / longest } else { 0.0 }
    }

    /// Where a point lies off its plane, mm; above 0 outside.
    pub fn above(&self, p: Vector) -> f64 {
        dot(self.normal, sub(p, self.corners[0]))
    }

    /// How far all of `other` lies on one side of this facet's plane, mm; 0 where it
    /// lies on both. Never more than the distance of the two.
    fn apart(&self, other: &Facet) -> f64 {
        let [a, b, c] = other.corners.map(|p| self.above(p));
        let (low, high) = (a.min(b).min(c), a.max(b).max(c));
        low.max(-high).max(0.0)
    }
}

/// A distance, the point in the middle of it, and the way from one end to the other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Near {
    /// mm
    pub distance: f64,
    /// mm
    pub at: Vector,
    /// mm
    pub across: Vector,
}

fn middle(a: Vector, b: Vector) -> Near {
    let across = sub(b, a);
    Near { distance: length(across), at: scale(add(a, b), 0.5), across }
}

/// The nearest points of two segments (Ericson, Real-Time Collision Detection, 2005,
/// section 5.1.9).
fn segments(p: Vector, q: Vector, r: Vector, s: Vector) -> Near {
    let (d, e, w) = (sub(q, p), sub(s, r), sub(p, r));
    let (dd, ee, ew) = (dot(d, d), dot(e, e), dot(e, w));
    if dd == 0.0 && ee == 0.0 {
        return middle(p, r);
    }
    let (t, u) = if dd == 0.0 {
        (0.0, (ew / ee).clamp(0.0, 1.0))
    } else {
        let dw = dot(d, w);
        if ee == 0.0 {
            ((-dw / dd).clamp(0.0, 1.0), 0.0)
        } else {
            let de = dot(d, e);
            let det = dd * ee - de * de;
            let t = if det > 1e-14 * dd * ee {
                ((de * ew - dw * ee) / det).clamp(0.0, 1.0)
            } else {
                0.0
            };
            let u = (de * t + ew) / ee;
            if u < 0.0 {
                ((-dw / dd).clamp(0.0, 1.0), 0.0)
            } else if u > 1.0 {
                (((de - dw) / dd).clamp(0.0, 1.0), 1.0)
            } else {
                (t, u)
            }
        }
    };
    middle(add(p, scale(d, t)), add(r, scale(e, u)))
}

/// The point of a triangle nearest to `p` (Ericson, section 5.1.5).
pub fn nearest_point(p: Vector, [a, b, c]: [Vector; 3]) -> Vector {
    let (ab, ac, ap) = (sub(b, a), sub(c, a), sub(p, a));
    let (d1, d2) = (dot(ab, ap), dot(ac, ap));
    if d1 <= 0.0 && d2 <= 0.0 {
        return a;
    }
    let bp = sub(p, b);
    let (d3, d4) = (dot(ab, bp), dot(ac, bp));
    if d3 >= 0.0 && d4 <= d3 {
        return b;
    }
    let vc = d1 * d4 - d3 * d2;
    if vc <= 0.0 && d1 >= 0.0 && d3 <= 0.0 && d1 > d3 {
        return add(a, scale(ab, d1 / (d1 - d3)));
    }
    let cp = sub(p, c);
    let (d5, d6) = (dot(ab, cp), dot(ac, cp));
    if d6 >= 0.0 && d5 <= d6 {
        return c;
    }
    let vb = d5 * d2 - d1 * d6;
    if vb <= 0.0 && d2 >= 0.0 && d6 <= 0.0 && d2 > d6 {
        return add(a, scale(ac, d2 / (d2 - d6)));
    }
    let va = d3 * d6 - d5 * d4;
    let (e, f) = (d4 - d3, d5 - d6);
    if va <= 0.0 && e >= 0.0 && f >= 0.0 && e + f > 0.0 {
        return add(b, scale(sub(c, b), e / (e + f)));
    }
    let sum = va + vb + vc;
    if sum == 0.0 {
        return a;
    }
    add(a, add(scale(ab, vb / sum), scale(ac, vc / sum)))
}

/// Where an edge passes through a facet.
fn pierce(p: Vector, q: Vector, facet: &Facet) -> Option<Vector> {
    let (up, down) = (facet.above(p), facet.above(q));
    if up * down > 0.0 || up == down {
        return None;
    }
    let at = add(p, scale(sub(q, p), up / (up - down)));
    let inside = (0..3).all(|k| {
        let (a, b) = (facet.corners[k], facet.corners[(k + 1) % 3]);
        dot(cross(sub(b, a), sub(at, a)), facet.normal) >= 0.0
    });
    inside.then_some(at)
}

/// The distance of two triangles where it is below `below`, else none.
pub fn distance(a: &Facet, b: &Facet, below: f64) -> Option<Near> {
    let apart = a.apart(b).max(b.apart(a));
    if apart >= below {
        return None;
    }
    if apart == 0.0 {
        for k in 0..3 {
            let at = pierce(a.corners[k], a.corners[(k + 1) % 3], b)
                .or_else(|| pierce(b.corners[k], b.corners[(k + 1) % 3], a));
            if let Some(at) = at {
                return Some(Near { distance: 0.0, at, across: [0.0; 3] });
            }
        }
    }
    let mut best: Option<Near> = None;
    let mut take = |near: Near| {
        if near.distance < best.map_or(below, |b| b.distance) {
            best = Some(near);
        }
    };
    for i in 0..3 {
        take(middle(a.corners[i], nearest_point(a.corners[i], b.corners)));
        take(middle(b.corners[i], nearest_point(b.corners[i], a.corners)));
        for j in 0..3 {
            let (p, q) = (a.corners[i], a.corners[(i + 1) % 3]);
            take(segments(p, q, b.corners[j], b.corners[(j + 1) % 3]));
        }
    }
    best
}

#[cfg(test)]
mod tests {
    use super::*;

    fn facet(a: Vector, b: Vector, c: Vector) -> Facet {
        Facet::new([a, b, c])
    }

    /// Plain geometry: parallel planes, a crossing of edges, a corner over a face, a
    /// triangle through another.
    #[test]
    fn distances_of_triangles_are_those_of_the_figures() {
        let floor = facet([0.0, 0.0, 0.0], [4.0, 0.0, 0.0], [0.0, 4.0, 0.0]);
        let over = facet([1.0, 1.0, 0.5], [5.0, 1.0, 0.5], [1.0, 5.0, 0.5]);
        let d = |a: &Facet, b: &Facet| distance(a, b, 100.0).unwrap().distance;
        assert!((d(&floor, &over) - 0.5).abs() < 1e-12);
        let tip = facet([1.0, 1.0, 0.25], [1.0, 2.0, 3.0], [2.0, 1.0, 3.0]);
        assert!((d(&floor, &tip) - 0.25).abs() < 1e-12);
        let edge = facet([2.0, -3.0, 2.0], [2.0, 3.0, 2.0], [2.0, 0.0, 5.0]);
        assert!((d(&floor, &edge) - 2.0).abs() < 1e-12);
        let through = facet([1.0, 1.0, -1.0], [1.0, 1.5, 1.0], [1.5, 1.0, 1.0]);
        assert_eq!(d(&floor, &through), 0.0);
        let aside = facet([7.0, 4.0, 0.0], [8.0, 4.0, 0.0], [7.0, 5.0, 0.0]);
        assert!((d(&floor, &aside) - 7.0 / 2f64.sqrt()).abs() < 1e-12 || d(&floor, &aside) > 4.9);
        assert!(distance(&floor, &over, 0.4).is_none());
    }

    #[test]
    fn skew_edges_meet_in_their_common_normal() {
        let a = facet([-1.0, 0.0, 0.0], [1.0, 0.0, 0.0], [0.0, 0.0, -5.0]);
        let b = facet([0.0, -1.0, 0.3], [0.0, 1.0, 0.3], [0.0, 0.0, 5.0]);
        let near = distance(&a, &b, 100.0).unwrap();
        assert!((near.distance - 0.3).abs() < 1e-12);
        assert!((near.at[2] - 0.15).abs() < 1e-12);
        assert!((near.across[2].abs() - 0.3).abs() < 1e-12, "{near:?}");
    }
}
