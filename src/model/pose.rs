//! How a printed copy is turned.

use super::design::Pose;
use super::placement::{Placement, Vector};

impl Pose {
    /// The turn from the assembly to the printer's axes; the shift down to the bed is
    /// not part of it.
    pub fn turn(&self) -> Placement {
        match self {
            Pose::Upright => Placement::IDENTITY,
            Pose::UpsideDown => Placement::turned(0, std::f64::consts::PI),
            Pose::Tipped { angle_rad, axis } => Placement::turned(*axis, *angle_rad),
            Pose::On { normal } => downwards(*normal),
        }
    }
}

/// The shortest turn that points `normal` straight down (Rodrigues' formula).
fn downwards(normal: Vector) -> Placement {
    let length = normal.iter().map(|c| c * c).sum::<f64>().sqrt();
    let [x, y, z] = normal.map(|c| if length > 0.0 { c / length } else { c });
    if z > 1.0 - 1e-12 {
        return Placement::turned(0, std::f64::consts::PI);
    }
    // Axis: normal x down, unscaled; cosine of the turn: -z.
    let (a, b, c) = (-y, x, -z);
    let k = 1.0 / (1.0 + c);
    let matrix = [[c + a * a * k, a * b * k, b], [a * b * k, c + b * b * k, -a], [-b, a, c]];
    Placement { matrix, shift: [0.0; 3] }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pose_is_a_turn_and_puts_its_face_down() {
        for normal in [
            [0.0, 0.0, 1.0],
            [0.0, 0.0, -1.0],
            [1.0, 0.0, 0.0],
            [0.6, 0.0, 0.8],
            [0.48, -0.64, -0.6],
        ] {
            let turn = Pose::On { normal }.turn();
            let down = turn.direction(normal);
            assert!(
                down[0].abs() < 1e-12 && down[1].abs() < 1e-12 && (down[2] + 1.0).abs() < 1e-12
            );
            assert!(!turn.flips());
            let back = turn.then(&turn.inverse());
            for (row, unit) in back.matrix.iter().zip(Placement::IDENTITY.matrix) {
                assert!(row.iter().zip(unit).all(|(a, b)| (a - b).abs() < 1e-12));
            }
        }
        assert_eq!(Pose::UpsideDown.turn().point([1.0, 2.0, 3.0]), [1.0, -2.0, -3.0]);
    }
}
