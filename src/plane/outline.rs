//! Outlines: closed regions of straight lines and circular arcs.

use std::sync::Arc;

/// A point in the plane, mm.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right; the radius of a turned profile.
    pub x: f64,
    /// Upwards; the height of a turned profile.
    pub y: f64,
}

impl Point {
    /// The point (x, y).
    pub const fn new(x: f64, y: f64) -> Self {
        Point { x, y }
    }
}

/// How a segment runs to its end.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Curve {
    /// Straight.
    Line,
    /// On a circle round `centre`; anticlockwise where `anticlockwise`. Never more
    /// than half a turn: builders split longer arcs, so that centre and sense say all.
    Arc { centre: Point, anticlockwise: bool },
}

/// A segment from where the one before it ended to `to`.
#[derive(Clone, Debug, PartialEq)]
pub struct Segment {
    /// Its end.
    pub to: Point,
    /// How it runs.
    pub curve: Curve,
    /// The face it sweeps when it is turned or drawn up: `as NAME`.
    pub face: Option<Arc<str>>,
}

/// An open or closed run of segments. Closed when the last `to` is `start`.
#[derive(Clone, Debug, PartialEq)]
pub struct Track {
    /// Where it starts.
    pub start: Point,
    /// Never empty.
    pub segments: Vec<Segment>,
}

impl Track {
    /// Whether it returns to its start, to the bit.
    pub fn is_closed(&self) -> bool {
        self.segments.last().is_some_and(|s| s.to == self.start)
    }

    /// Every segment with the point it starts from.
    pub fn iter(&self) -> impl Iterator<Item = (Point, &Segment)> {
        let starts = std::iter::once(self.start).chain(self.segments.iter().map(|s| s.to));
        starts.zip(&self.segments)
    }
}

/// A region of the plane. Loops are closed, do not cross, do not touch but at
/// single points; outer loops run anticlockwise, holes clockwise. Material lies to
/// the left. No loops: the empty outline.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Outline {
    /// Outer loops and holes.
    pub loops: Vec<Track>,
}

impl Outline {
    /// Whether there is nothing in it.
    pub fn is_empty(&self) -> bool {
        self.loops.is_empty()
    }
}

/// What happens at a corner.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Edge {
    /// Sharp.
    #[default]
    None,
    /// Rounded with this radius, mm.
    Round(f64),
    /// Cut off. `leg` is measured along the first of the two sides, mm; `angle` is
    /// between the cut and that side, rad (45 deg: both legs alike).
    Bevel { leg: f64, angle: f64 },
}
