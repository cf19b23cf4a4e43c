//! From which depth to which a pattern goes, and how it is eased on the way.

use crate::model::{Drop, Inlay, Relief};

/// A range of level depths and the easing in it. Depth 0 is the host's surface; above
/// it is below 0.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Layer {
    /// The outer end, mm.
    pub from_mm: f64,
    /// Up to here the section stays as it is at `origin_mm` or, if deeper, here; below
    /// it the easing goes on, mm.
    pub kink_mm: f64,
    /// The inner end, mm.
    pub to_mm: f64,
    /// The depth at which the section is the strips as they are, mm: the show face.
    pub origin_mm: f64,
    /// How the section shrinks.
    pub drop: Drop,
}

impl Layer {
    /// The inlay itself: from its show face to its back. `None` where its ceilings are
    /// impossible ([`Inlay::ceiling_drop`]).
    pub fn of_inlay(inlay: &Inlay) -> Option<Layer> {
        let proud = inlay.level_depth_mm(inlay.proud_mm);
        let to_mm = inlay.level_depth_mm(inlay.sink_mm);
        let drop = inlay.ceiling_drop()?;
        Some(Layer { from_mm: -proud, kink_mm: -proud, to_mm, origin_mm: -proud, drop })
    }

    /// A relief: as its pattern, and beyond the surface at the other end. `None` as for
    /// inlays.
    pub fn of_relief(relief: &Relief) -> Option<Layer> {
        let layer = Layer::of_inlay(&relief.pattern)?;
        let beyond = relief.pattern.level_depth_mm(relief.beyond_mm);
        Some(Layer { from_mm: layer.from_mm - beyond, ..layer })
    }

    /// Its pocket: from `overshoot_mm` outside the surface (a constant section, so that a
    /// tool never ends on the surface that it opens) to the floor, `gap_behind_mm` below
    /// the inlay's back, both square to the surface.
    pub fn of_pocket(inlay: &Inlay, gap_behind_mm: f64, overshoot_mm: f64) -> Option<Layer> {
        let inlay_layer = Layer::of_inlay(inlay)?;
        Some(Layer {
            from_mm: -inlay.level_depth_mm(overshoot_mm),
            kink_mm: 0.0,
            to_mm: inlay.level_depth_mm(inlay.sink_mm + gap_behind_mm),
            ..inlay_layer
        })
    }

    /// How fast a cell's height shrinks, mm per mm of depth.
    pub fn closing(&self) -> f64 {
        self.drop.upper + self.drop.lower
    }
}
