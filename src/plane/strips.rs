//! Strips: the trapezoidal decomposition of an outline in the developed plane of
//! a host surface. The one core on which both engines stand.
//!
//! `u` runs along the surface (rad on round hosts, mm on flat ones), `z` up it (mm).

/// Which edge of the outline bounds an interval; equal ids lie on one straight line
/// of the developed plane, so that faces can be merged over strips.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct EdgeId(pub u64);

/// Material between `bottom` and `top` across one strip, both linear in `u`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Interval {
    /// z of the underside at the left and right line of the strip.
    pub bottom: [f64; 2],
    /// z of the upper side at the left and right line.
    pub top: [f64; 2],
    /// The edge that is the underside.
    pub bottom_edge: EdgeId,
    /// The edge that is the upper side.
    pub top_edge: EdgeId,
}

/// An outline cut at the `u` of every vertex.
#[derive(Clone, Debug, PartialEq)]
pub struct Strips {
    /// Ascending. On a round host (`period` is `Some(2 pi)`) strip `i` lies between
    /// `lines[i]` and `lines[(i + 1) % n]` and there are as many strips as lines; on
    /// a flat one there is one strip fewer.
    pub lines: Vec<f64>,
    /// A full turn on round hosts, none on flat ones.
    pub period: Option<f64>,
    /// Per strip, from below upwards, not overlapping.
    pub strips: Vec<Vec<Interval>>,
}
