//! Annular snaps: a closed ring that stretches over a bead.

/// Poisson's ratio of printed plastics; typical, from memory.
const POISSON: f64 = 0.35;

/// Diameters of an annular snap. All of the undercut is taken by the outer ring: where
/// both give, it strains less.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Annular {
    /// Where both meet, mm.
    pub joint_mm: f64,
    /// Outside of the ring that stretches, mm.
    pub outer_mm: f64,
    /// How much larger the bead is than what must pass it, in diameter, mm.
    pub undercut_mm: f64,
}

impl Annular {
    /// Hoop strain y / d, as a ratio (Bayer, Snap-Fit Joints for Plastics: A Design Guide,
    /// section on annular joints).
    pub fn strain(&self) -> f64 {
        self.undercut_mm / self.joint_mm
    }

    /// The force across the axis that spreads a ring near its end, N, for a modulus in MPa:
    /// P = y d E X with the same guide's X for an elastic hub. Theory of thin shells gives
    /// half as much again: take it within a half either way. None where the ring has no
    /// thickness.
    pub fn spreading_force_n(&self, modulus_mpa: f64) -> Option<f64> {
        let ratio = self.outer_mm / self.joint_mm;
        if ratio <= 1.0 {
            return None;
        }
        Some(self.undercut_mm * self.joint_mm * modulus_mpa * hub_factor(ratio))
    }
}

/// X of an elastic hub of outer over joint diameter.
fn hub_factor(ratio: f64) -> f64 {
    let square = ratio * ratio;
    let bored = (square + 1.0) / (square - 1.0) + POISSON;
    0.62 * ((ratio - 1.0) / (ratio + 1.0)).sqrt() / bored
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::f64::consts::PI;

    /// Bayer's guide: the permissible undercut is the permissible strain times the joint's
    /// diameter; PLA's 2 % at 80 mm are 1.6 mm, 0.8 mm a side.
    #[test]
    fn an_undercut_of_a_fiftieth_strains_by_two_percent() {
        let lid = Annular { joint_mm: 80.0, outer_mm: 84.0, undercut_mm: 1.6 };
        assert!((lid.strain() - 0.02).abs() < 1e-12);
    }

    /// The handbook's factor at nu 0.35 and a ratio of 1.05 is 0.00464, 0.70 of that of a
    /// long thin shell loaded at its edge, P = pi d 2 beta^3 D y / 2 with
    /// beta^4 = 3 (1 - nu^2) / (r^2 t^2) and D = E t^3 / (12 (1 - nu^2)) (Timoshenko and
    /// Woinowsky-Krieger, Theory of Plates and Shells, section 116; from memory).
    #[test]
    fn the_spreading_force_is_that_of_the_guide_and_near_shell_theory() {
        assert!((hub_factor(1.05) - 0.00464).abs() < 5e-6, "{}", hub_factor(1.05));
        // A joint of diameter 1: the hub is 0.025 thick, its mean radius 0.5125.
        let (thick, radius): (f64, f64) = (0.025, 0.5125);
        let stiff = 12.0 * (1.0 - POISSON * POISSON);
        let beta = (stiff / 4.0 / (radius * thick).powi(2)).powf(0.25);
        let ratio = hub_factor(1.05) / (PI * beta.powi(3) * thick.powi(3) / stiff);
        assert!((ratio - 0.70).abs() < 0.01, "{ratio}");
    }

    #[test]
    fn a_ring_without_thickness_has_no_force() {
        let lid = Annular { joint_mm: 80.0, outer_mm: 80.0, undercut_mm: 1.0 };
        assert_eq!(lid.spreading_force_n(2000.0), None);
    }
}
