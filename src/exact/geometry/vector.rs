//! Arithmetic of three numbers.

use crate::model::Vector;
pub(in crate::exact) use crate::model::vector::{add, cross, dot, length, scale, sub};

/// The point `a + b * by`.
pub(in crate::exact) fn along(a: Vector, b: Vector, by: f64) -> Vector {
    add(a, scale(b, by))
}

/// The distance of two points.
pub(in crate::exact) fn distance(a: Vector, b: Vector) -> f64 {
    length(sub(a, b))
}

/// The same direction with length 1; the null vector stays what it is.
pub(in crate::exact) fn unit(a: Vector) -> Vector {
    let size = length(a);
    if size > 0.0 { scale(a, 1.0 / size) } else { a }
}

/// The point a share `t` of the way from `a` to `b`.
pub(in crate::exact) fn between(a: Vector, b: Vector, t: f64) -> Vector {
    if t == 1.0 { b } else { along(a, sub(b, a), t) }
}

/// The solution of three linear equations `rows[i] * x = right[i]` by Cramer's rule;
/// none where they are dependent.
pub(in crate::exact) fn solve(rows: [Vector; 3], right: Vector) -> Option<Vector> {
    let determinant = dot(rows[0], cross(rows[1], rows[2]));
    if determinant.abs() < 1e-14 {
        return None;
    }
    let sum = add(
        add(scale(cross(rows[1], rows[2]), right[0]), scale(cross(rows[2], rows[0]), right[1])),
        scale(cross(rows[0], rows[1]), right[2]),
    );
    Some(scale(sum, 1.0 / determinant))
}
