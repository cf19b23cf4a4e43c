//! Whether the two engines made the same body.

use super::finished::Told;
use crate::exact::ExactBody;
use crate::mesh::{Made, Mesh};
use crate::model::Vector;

/// The volumes of mesh and exact body agree within this share of the volume: what the
/// facets of the default tolerance leave, of which equal-area facets leave far less.
const VOLUME_SHARE: f64 = 2e-4;

/// Areas, which facets take more from than volumes.
const AREA_SHARE: f64 = 1e-3;

/// With facets a quarter as coarse the difference falls to this share or less, if facets
/// are all that there is to it; they should make it a quarter.
const CONVERGING: f64 = 0.35;

/// Boxes agree within this many chords: the corners of equal-area facets stand out, the
/// middles of facets fall short.
const BOX_CHORDS: f64 = 3.0;

/// What is compared of a body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Measured {
    /// mm3
    pub volume: f64,
    /// mm2
    pub area: f64,
    /// Bodies that hang together.
    pub pieces: usize,
    /// Handles.
    pub genus: i64,
    /// Lowest and highest corner of its box, mm.
    pub bounds: [Vector; 2],
    /// Centre of volume, mm.
    pub centre: Vector,
}

impl Measured {
    /// What the manifest tells of it.
    pub fn told(&self) -> Told {
        Told { volume_mm3: self.volume, area_mm2: self.area, centre_mm: self.centre }
    }

    /// Of a mesh.
    pub fn of_mesh(made: &Made) -> Self {
        let bounds = made.mesh.bounds();
        Measured {
            volume: made.mesh.volume_mm3(),
            area: made.mesh.area_mm2(),
            pieces: made.checks.pieces,
            genus: made.checks.genus,
            bounds: [bounds.low, bounds.high],
            centre: made.mesh.centroid().unwrap_or_default(),
        }
    }

    /// Of an exact body; none where it has no genus, and so is not closed.
    pub fn of_exact(body: &ExactBody) -> Option<Self> {
        Some(Measured {
            volume: body.volume_mm3(),
            area: body.area_mm2(),
            pieces: body.pieces(),
            genus: body.genus()? as i64,
            bounds: body.bounds()?,
            centre: body.centroid_mm(),
        })
    }
}

/// What the engines disagree in.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Difference {
    /// `volume`, `pieces`, …
    pub what: &'static str,
    /// What the exact body says.
    pub exact: f64,
    /// What the mesh says.
    pub mesh: f64,
    /// `mm3`, …; empty for counts.
    pub unit: &'static str,
}

/// Where mesh and exact body differ by more than facets explain; none where they agree.
/// `finer` makes the mesh with facets a quarter as coarse; it is asked only where the
/// first look is in doubt.
///
/// `twist_mm3` is what straight triangles take from twisted flanks, see
/// [`twist_mm3`](super::pocket::twist_mm3).
pub fn difference(
    exact: &Measured,
    mesh: &Measured,
    chord_mm: f64,
    twist_mm3: f64,
    finer: impl FnOnce() -> Option<Mesh>,
) -> Option<Difference> {
    let differ = |what, exact: f64, mesh: f64, unit| Some(Difference { what, exact, mesh, unit });
    if exact.pieces != mesh.pieces {
        return differ("pieces", exact.pieces as f64, mesh.pieces as f64, "");
    }
    if exact.genus != mesh.genus {
        return differ("handles", exact.genus as f64, mesh.genus as f64, "");
    }
    for (a, b) in exact.bounds.iter().flatten().zip(mesh.bounds.iter().flatten()) {
        if (a - b).abs() > BOX_CHORDS * chord_mm {
            return differ("box", *a, *b, "mm");
        }
    }
    let off = |a: f64, b: f64, share: f64| (a - b).abs() > share * a.abs();
    let allowed = VOLUME_SHARE * exact.volume.abs() + twist_mm3;
    let volume = (exact.volume - mesh.volume).abs() > allowed;
    let area = off(exact.area, mesh.area, AREA_SHARE);
    if !volume && !area {
        return None;
    }
    let finer = finer();
    let converges = |e: f64, coarse: f64, fine: Option<f64>| {
        fine.is_some_and(|fine| (e - fine).abs() <= CONVERGING * (e - coarse).abs())
    };
    let fine_volume = finer.as_ref().map(Mesh::volume_mm3);
    if volume && !converges(exact.volume, mesh.volume, fine_volume) {
        return differ("volume", exact.volume, mesh.volume, "mm3");
    }
    let fine_area = finer.as_ref().map(Mesh::area_mm2);
    if area && !converges(exact.area, mesh.area, fine_area) {
        return differ("area", exact.area, mesh.area, "mm2");
    }
    None
}
