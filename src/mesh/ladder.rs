//! Triangles between two chains of points, and cells put into space.

use super::triangles::{FaceKind, Mesh, Tag};
use crate::layers::{Cells, FaceSide};
use crate::model::Vector;
use crate::model::vector::{cross, dot, length, sub};

/// How the two triangles of a twisted four-sided face lie.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Bulge {
    /// The body gains: for tools.
    Out,
    /// The body loses: for inlays, and for hosts with a pocket.
    In,
}

/// Faces twisted by less than this (mm) are flat.
const FLAT_MM: f64 = 1e-9;

/// Puts cells into space. A face between two chains is filled rung by rung. On the flank of
/// an inclined edge a rung is twisted: its two diagonals differ by up to a quarter of
/// (depth) x (turn). The tool takes the outer one and the inlay the inner one, else the gap
/// between them would lose that much on either side. `turned` is for points that are the
/// mirror image of the cells.
pub(super) fn wrapped(
    cells: &Cells,
    points: Vec<Vector>,
    bulge: Bulge,
    turned: bool,
    tag: impl Fn(FaceSide) -> Tag,
) -> Mesh {
    let mut mesh = Mesh { vertices: points, ..Mesh::default() };
    for face in &cells.faces {
        let tag = tag(face.side);
        let [left, right] =
            if turned { [&face.right, &face.left] } else { [&face.left, &face.right] };
        for triangle in rungs(left, right, &mesh.vertices, bulge) {
            mesh.add(triangle, tag);
        }
    }
    mesh
}

/// The tag of a side of an inlay or of its pocket.
pub(super) fn tag_of(side: FaceSide, lower_eased: bool, owner: Option<usize>) -> Tag {
    let Some(owner) = owner else { return Tag::PLAIN };
    let kind = match side {
        FaceSide::Show => FaceKind::Show,
        FaceSide::Back => FaceKind::Back,
        FaceSide::Upper(_) if !lower_eased => FaceKind::Ceiling,
        FaceSide::Lower(_) if lower_eased => FaceKind::Ceiling,
        _ => FaceKind::Flank,
    };
    Tag::new(kind, owner)
}

/// Triangles between two chains; seen from outside the loop runs up `right` and down `left`.
pub(super) fn rungs(left: &[u32], right: &[u32], points: &[Vector], bulge: Bulge) -> Vec<[u32; 3]> {
    let (mut l, mut r) = (0, 0);
    let mut out = vec![];
    while l + 1 < left.len() || r + 1 < right.len() {
        let up_right = if r + 1 == right.len() {
            false
        } else if l + 1 == left.len() {
            true
        } else {
            let corner = |v: u32| points[v as usize];
            rises_right(
                [corner(left[l]), corner(left[l + 1])],
                [corner(right[r]), corner(right[r + 1])],
                bulge,
            )
        };
        let triangle = if up_right {
            r += 1;
            [right[r - 1], right[r], left[l]]
        } else {
            l += 1;
            [right[r], left[l], left[l - 1]]
        };
        let [a, b, c] = triangle;
        if a != b && b != c && c != a {
            out.push(triangle);
        }
    }
    out
}

/// Whether the diagonal of a rung goes from lower left to upper right.
fn rises_right(left: [Vector; 2], right: [Vector; 2], bulge: Bulge) -> bool {
    let (rising, falling) = (sub(right[1], left[0]), sub(left[1], right[0]));
    // Points outwards: from `right` up and over to `left` is anticlockwise.
    let normal = cross(rising, falling);
    let size = length(normal);
    let middles = [0, 1, 2].map(|i| right[1][i] + left[0][i] - left[1][i] - right[0][i]);
    let rising_lies_out = dot(middles, normal);
    if rising_lies_out.abs() > 2.0 * FLAT_MM * size {
        return (rising_lies_out > 0.0) == (bulge == Bulge::Out);
    }
    dot(rising, rising) <= dot(falling, falling)
}
