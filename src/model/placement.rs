//! Rigid placements, mirror images included.

use super::vector::{cross, dot};

/// Three numbers: a point (mm) or a direction.
pub type Vector = [f64; 3];

/// `x` goes to `matrix * x + shift`. The matrix is orthonormal; its determinant is
/// -1 for mirror images.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Placement {
    /// Rows.
    pub matrix: [Vector; 3],
    /// mm
    pub shift: Vector,
}

impl Placement {
    /// Nothing moves.
    pub const IDENTITY: Placement =
        Placement { matrix: [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]], shift: [0.0; 3] };

    /// A shift by `by`, mm.
    pub fn shifted(by: Vector) -> Self {
        Placement { shift: by, ..Placement::IDENTITY }
    }

    /// A turn by `angle` rad about the axis 0, 1 or 2, right-handed. Quarter turns
    /// are exact.
    pub fn turned(axis: usize, angle: f64) -> Self {
        let quarters = angle / std::f64::consts::FRAC_PI_2;
        let (sin, cos) = if (quarters - quarters.round()).abs() < 1e-12 {
            [(0.0, 1.0), (1.0, 0.0), (0.0, -1.0), (-1.0, 0.0)]
                [quarters.round().rem_euclid(4.0) as usize % 4]
        } else {
            angle.sin_cos()
        };
        let (a, b) = ((axis + 1) % 3, (axis + 2) % 3);
        let mut matrix = Placement::IDENTITY.matrix;
        matrix[a][a] = cos;
        matrix[a][b] = -sin;
        matrix[b][a] = sin;
        matrix[b][b] = cos;
        Placement { matrix, shift: [0.0; 3] }
    }

    /// The mirror image along the axis 0, 1 or 2.
    pub fn mirrored(axis: usize) -> Self {
        let mut matrix = Placement::IDENTITY.matrix;
        matrix[axis][axis] = -1.0;
        Placement { matrix, shift: [0.0; 3] }
    }

    /// First `self`, then `next`.
    #[must_use]
    pub fn then(&self, next: &Placement) -> Self {
        let column =
            |c: usize| next.direction([self.matrix[0][c], self.matrix[1][c], self.matrix[2][c]]);
        let columns = [column(0), column(1), column(2)];
        let row = |r: usize| [columns[0][r], columns[1][r], columns[2][r]];
        Placement { matrix: [row(0), row(1), row(2)], shift: next.point(self.shift) }
    }

    /// The placement that undoes this one.
    #[must_use]
    pub fn inverse(&self) -> Self {
        let m = &self.matrix;
        let row = |c: usize| [m[0][c], m[1][c], m[2][c]];
        let turn = Placement { matrix: [row(0), row(1), row(2)], shift: [0.0; 3] };
        let back = turn.direction(self.shift);
        Placement { shift: back.map(|c| 0.0 - c), ..turn }
    }

    /// Where a point goes.
    pub fn point(&self, p: Vector) -> Vector {
        let d = self.direction(p);
        [d[0] + self.shift[0], d[1] + self.shift[1], d[2] + self.shift[2]]
    }

    /// Where a direction goes.
    pub fn direction(&self, v: Vector) -> Vector {
        self.matrix.map(|row| row[0] * v[0] + row[1] * v[1] + row[2] * v[2])
    }

    /// As 3MF writes it (core specification, section 3.3): the matrix for row vectors, row
    /// by row, then the shift in mm.
    pub fn rows(&self) -> [f64; 12] {
        let [a, b, c] = self.matrix;
        let s = self.shift;
        [a[0], b[0], c[0], a[1], b[1], c[1], a[2], b[2], c[2], s[0], s[1], s[2]]
    }

    /// Whether it is a mirror image.
    pub fn flips(&self) -> bool {
        let [a, b, c] = self.matrix;
        dot(a, cross(b, c)) < 0.0
    }

    /// Whether the z axis stays where it is, pointing up or down.
    pub fn keeps_axis(&self) -> bool {
        self.shift[0] == 0.0 && self.shift[1] == 0.0 && self.matrix[2][2].abs() == 1.0
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn placements_compose_in_the_order_written() {
        let spun = Placement::turned(2, std::f64::consts::FRAC_PI_2);
        let both = spun.then(&Placement::shifted([10.0, 0.0, 1.0]));
        assert_eq!(both.point([1.0, 0.0, 0.0]), [10.0, 1.0, 1.0]);
        assert_eq!(both.then(&both.inverse()), Placement::IDENTITY);
        assert!(Placement::mirrored(0).flips());
        assert!(!both.flips());
    }
}
