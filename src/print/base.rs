//! How a posed copy stands: its first layer, and where its weight is.

use super::posed::PosedPiece;
use super::slices::first_layer;
use crate::mesh::Mesh;
use crate::model::Printer;
use crate::plane::{Point, hull, inner_radius, region_area};
use std::ops::Range;

/// A piece that is so many times as tall as its first layer is wide is held badly: a brim is
/// advised. Common practice, no source.
const TALL: f64 = 10.0;

/// To what the widest circle is known, mm across.
const WIDEST_MM: f64 = 0.02;

/// How a piece stands on the bed; of a part, how its worst piece does.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Base {
    /// Area within the outermost outline of the first layer, hollows filled, mm2.
    pub footprint_mm2: f64,
    /// Least distance of two upright planes that hold the first layer, mm.
    pub narrowest_mm: f64,
    /// Height over that distance.
    pub slenderness: f64,
    /// The widest circle in the first layer, mm across.
    pub widest_mm: f64,
    /// How far the centre of mass stands inside the footprint, mm; below 0 outside.
    pub inside_mm: f64,
    /// Height over the widest circle.
    pub leverage: f64,
}

impl Base {
    /// Whether the first layer holds so badly that a brim is advised.
    pub fn wants_brim(&self) -> bool {
        self.leverage > TALL || self.slenderness > TALL
    }

    fn worse(self, other: Base) -> Base {
        Base {
            footprint_mm2: self.footprint_mm2.min(other.footprint_mm2),
            narrowest_mm: self.narrowest_mm.min(other.narrowest_mm),
            slenderness: self.slenderness.max(other.slenderness),
            widest_mm: self.widest_mm.min(other.widest_mm),
            inside_mm: self.inside_mm.min(other.inside_mm),
            leverage: self.leverage.max(other.leverage),
        }
    }
}

/// How a posed copy stands; none where it has no first layer.
pub fn base(mesh: &Mesh, pieces: &[PosedPiece], printer: &Printer) -> Option<Base> {
    let mut first = 0;
    let all = pieces.iter().map(|piece| {
        let range = first..first + piece.triangles;
        first = range.end;
        one(mesh, range, printer)
    });
    // A piece without a first layer has no base at all.
    all.collect::<Option<Vec<Base>>>()?.into_iter().reduce(Base::worse)
}

fn one(mesh: &Mesh, triangles: Range<usize>, printer: &Printer) -> Option<Base> {
    let piece = mesh.only(triangles);
    let height = piece.bounds().high[2];
    let outlines = first_layer(&piece, printer);
    let round = hull(outlines.iter().flatten().copied());
    if round.len() < 3 {
        return None;
    }
    let narrowest_mm = narrowest(&round);
    let widest_mm = 2.0 * inner_radius(&outlines, WIDEST_MM / 2.0);
    Some(Base {
        footprint_mm2: region_area(std::slice::from_ref(&round)),
        narrowest_mm,
        slenderness: height / narrowest_mm,
        widest_mm,
        inside_mm: inside(&round, centre(&piece)),
        leverage: height / widest_mm,
    })
}

/// Least distance of two parallel lines that hold a hull: one of them lies along a side.
fn narrowest(hull: &[Point]) -> f64 {
    let across = (0..hull.len()).map(|i| {
        let (from, to) = (hull[i], hull[(i + 1) % hull.len()]);
        let normal = (to - from).unit().left();
        hull.iter().map(|p| normal.dot(*p - from)).fold(0.0, f64::max)
    });
    across.fold(f64::INFINITY, f64::min)
}

/// Distance of a point to the nearest line along a side of a hull, below 0 outside.
fn inside(hull: &[Point], point: Point) -> f64 {
    let off = (0..hull.len()).map(|i| {
        let (from, to) = (hull[i], hull[(i + 1) % hull.len()]);
        (to - from).unit().left().dot(point - from)
    });
    off.fold(f64::INFINITY, f64::min)
}

/// Where the centre of mass stands over the bed: all of it is as dense.
fn centre(mesh: &Mesh) -> Point {
    let (mut volume, mut sum) = (0.0, Point::default());
    for triangle in &mesh.triangles {
        let [a, b, c] = triangle.map(|v| mesh.vertices[v as usize]);
        let six = a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0]);
        volume += six;
        sum = sum + Point::new(a[0] + b[0] + c[0], a[1] + b[1] + c[1]) * (six / 4.0);
    }
    sum * (1.0 / volume)
}

#[cfg(test)]
mod tests {
    use super::super::tests::{block, printer, together};
    use super::*;
    use crate::model::Placement;

    fn based(mesh: &Mesh) -> Base {
        let whole = PosedPiece { placement: Placement::IDENTITY, triangles: mesh.triangles.len() };
        base(mesh, &[whole], &printer(45.0)).unwrap()
    }

    #[test]
    fn a_block_stands_on_its_own_rectangle() {
        let stands = based(&block([3.0, 4.0, 0.0], [10.0, 20.0, 50.0]));
        assert!((stands.footprint_mm2 - 200.0).abs() < 1e-9);
        assert!((stands.narrowest_mm - 10.0).abs() < 1e-9);
        assert!((stands.slenderness - 5.0).abs() < 1e-9);
        assert!((stands.widest_mm - 10.0).abs() < 0.02, "{stands:?}");
        assert!((stands.inside_mm - 5.0).abs() < 1e-9);
        assert!(!stands.wants_brim());
        assert!(based(&block([0.0; 3], [4.0, 4.0, 50.0])).wants_brim());
    }

    /// A leg of 4 by 4 by 10 mm under the end of an arm of 20 by 4 by 4 mm: the common
    /// centre of mass is at (160 * 2 + 320 * 10) / 480 = 7.333 mm, 3.333 mm outside.
    #[test]
    fn an_arm_to_one_side_topples() {
        let leg = block([0.0; 3], [4.0, 4.0, 10.0]);
        let arm = block([0.0, 0.0, 10.0], [20.0, 4.0, 4.0]);
        let stands = based(&together(&leg, &arm));
        assert!((stands.inside_mm + 10.0 / 3.0).abs() < 1e-9, "{stands:?}");
    }

    #[test]
    fn loose_pieces_tell_the_worst() {
        let far = block([50.0, 0.0, 0.0], [2.0, 2.0, 1.0]);
        let both = together(&block([0.0; 3], [10.0, 20.0, 50.0]), &far);
        let piece = PosedPiece { placement: Placement::IDENTITY, triangles: 12 };
        let stands = base(&both, &[piece, piece], &printer(45.0)).unwrap();
        assert!((stands.footprint_mm2 - 4.0).abs() < 1e-9);
        assert!((stands.slenderness - 5.0).abs() < 1e-9);
        assert!((stands.inside_mm - 1.0).abs() < 1e-9);
    }
}
