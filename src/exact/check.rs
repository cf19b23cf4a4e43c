//! Whether an exact body is sound.

use super::body::{ExactBody, Face};
use super::geometry::vector::distance;

/// How far a point of an edge may be from the surfaces that meet in it, mm: below what
/// STEP files state as their accuracy (1e-6), above what angles and roots round to.
pub const ON_SURFACE_MM: f64 = 1e-7;

/// What is wrong with an exact body.
#[derive(Clone, Debug, PartialEq)]
pub enum Fault {
    /// An edge is not used by two faces, once each way.
    Open {
        /// Number of the edge.
        edge: usize,
    },
    /// The sides of a loop do not follow each other.
    Broken {
        /// Number of the face.
        face: usize,
    },
    /// An edge leaves a surface, or misses its corners.
    Apart {
        /// Number of the edge.
        edge: usize,
        /// By how much, mm.
        by_mm: f64,
    },
    /// Euler's sum fits no closed body.
    Euler,
    /// A body with faces but no volume inside.
    Hollow,
}

impl ExactBody {
    /// Checks that the body is closed, that every edge lies on both its surfaces and
    /// ends in its corners, and that there is material inside.
    ///
    /// # Errors
    /// The first thing that is wrong.
    pub fn check(&self) -> Result<(), Fault> {
        self.check_closed()?;
        for (number, face) in self.faces().iter().enumerate() {
            self.check_loops(number, face)?;
            self.check_edges(face)?;
        }
        if self.genus().is_none() {
            return Err(Fault::Euler);
        }
        if !self.is_empty() && self.volume_mm3() <= 0.0 {
            return Err(Fault::Hollow);
        }
        Ok(())
    }

    fn check_closed(&self) -> Result<(), Fault> {
        let mut uses = vec![[0_u32; 2]; self.edges().len()];
        for side in self.faces().iter().flat_map(|f| f.loops.iter().flatten()) {
            uses[side.edge][usize::from(side.forward)] += 1;
        }
        match uses.iter().position(|u| *u != [1, 1]) {
            Some(edge) => Err(Fault::Open { edge }),
            None => Ok(()),
        }
    }

    fn check_loops(&self, number: usize, face: &Face) -> Result<(), Fault> {
        for sides in &face.loops {
            let broken = (0..sides.len()).any(|i| {
                let next = sides[(i + 1) % sides.len()];
                self.start(sides[i].back()) != self.start(next)
            });
            if broken || sides.is_empty() {
                return Err(Fault::Broken { face: number });
            }
        }
        if face.loops.is_empty() { Err(Fault::Broken { face: number }) } else { Ok(()) }
    }

    fn check_edges(&self, face: &Face) -> Result<(), Fault> {
        for side in face.loops.iter().flatten() {
            let edge = &self.edges()[side.edge];
            let mut worst: f64 = 0.0;
            for i in 0..=4 {
                let point = edge.curve.at(f64::from(i) / 4.0);
                worst = worst.max(face.surface.signed_distance(point).abs());
            }
            for (end, t) in edge.ends.into_iter().zip([0.0, 1.0]) {
                worst = worst.max(distance(self.points()[end], edge.curve.at(t)));
            }
            // A value that is no number is a fault, too.
            if worst.is_nan() || worst > ON_SURFACE_MM {
                return Err(Fault::Apart { edge: side.edge, by_mm: worst });
            }
        }
        Ok(())
    }
}
