//! Arithmetic of three numbers.

use super::placement::Vector;

/// The sum.
#[inline]
pub fn add(a: Vector, b: Vector) -> Vector {
    [a[0] + b[0], a[1] + b[1], a[2] + b[2]]
}

/// The difference.
#[inline]
pub fn sub(a: Vector, b: Vector) -> Vector {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

/// A multiple.
#[inline]
pub fn scale(a: Vector, by: f64) -> Vector {
    a.map(|c| c * by)
}

/// The scalar product.
#[inline]
pub fn dot(a: Vector, b: Vector) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

/// The vector product.
#[inline]
pub fn cross(a: Vector, b: Vector) -> Vector {
    [a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]]
}

/// The length.
#[inline]
pub fn length(a: Vector) -> f64 {
    dot(a, a).sqrt()
}
