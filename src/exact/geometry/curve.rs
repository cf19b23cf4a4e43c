//! Curves.

use super::vector::{add, along, between, distance, dot, scale, sub};
use super::{Frame, Trace, unwrapped};
use crate::model::{Placement, Vector};

/// An edge's curve, from its start (`t` = 0) to its end (`t` = 1).
#[derive(Clone, Debug, PartialEq)]
pub enum Curve {
    /// Straight.
    Line {
        /// mm
        start: Vector,
        /// mm
        end: Vector,
    },
    /// On a circle in the plane of x and y, round its origin.
    Arc {
        /// Its axes.
        frame: Frame,
        /// mm
        radius_mm: f64,
        /// Angles of start and end, rad.
        angles_rad: [f64; 2],
    },
    /// Angle, radius and height about z all change evenly.
    Helix {
        /// Its axes.
        frame: Frame,
        /// Angles of start and end, rad.
        angles_rad: [f64; 2],
        /// Radii of start and end, mm.
        radii_mm: [f64; 2],
        /// Heights of start and end, mm.
        heights_mm: [f64; 2],
    },
    /// Where two surfaces meet.
    Trace(Trace),
}

/// `a` where t is 0, `b` where it is 1, exactly.
fn mix(pair: [f64; 2], t: f64) -> f64 {
    if t == 1.0 { pair[1] } else { pair[0] + (pair[1] - pair[0]) * t }
}

impl Curve {
    /// The point after a share `t`.
    pub fn at(&self, t: f64) -> Vector {
        match self {
            Curve::Line { start, end } => between(*start, *end, t),
            Curve::Arc { frame, radius_mm, angles_rad } => {
                frame.polar(*radius_mm, mix(*angles_rad, t), 0.0)
            }
            Curve::Helix { frame, angles_rad, radii_mm, heights_mm } => {
                frame.polar(mix(*radii_mm, t), mix(*angles_rad, t), mix(*heights_mm, t))
            }
            Curve::Trace(trace) => trace.at(t),
        }
    }

    /// Derivative by `t`.
    pub fn derivative(&self, t: f64) -> Vector {
        match self {
            Curve::Line { start, end } => sub(*end, *start),
            Curve::Arc { frame, radius_mm, angles_rad } => {
                let sweep = angles_rad[1] - angles_rad[0];
                scale(frame.tangent(mix(*angles_rad, t)), radius_mm * sweep)
            }
            Curve::Helix { frame, angles_rad, radii_mm, heights_mm } => {
                let angle = mix(*angles_rad, t);
                let sweep = angles_rad[1] - angles_rad[0];
                let across = add(
                    scale(frame.radial(angle), radii_mm[1] - radii_mm[0]),
                    scale(frame.tangent(angle), mix(*radii_mm, t) * sweep),
                );
                along(across, frame.z, heights_mm[1] - heights_mm[0])
            }
            Curve::Trace(trace) => trace.derivative(t),
        }
    }

    /// Second derivative by `t`; nought on a trace, where nobody needs it.
    pub fn second_derivative(&self, t: f64) -> Vector {
        match self {
            Curve::Line { .. } | Curve::Trace(_) => [0.0; 3],
            Curve::Arc { frame, radius_mm, angles_rad } => {
                let sweep = angles_rad[1] - angles_rad[0];
                scale(frame.radial(mix(*angles_rad, t)), -radius_mm * sweep * sweep)
            }
            Curve::Helix { frame, angles_rad, radii_mm, .. } => {
                let angle = mix(*angles_rad, t);
                let sweep = angles_rad[1] - angles_rad[0];
                let opening = radii_mm[1] - radii_mm[0];
                add(
                    scale(frame.tangent(angle), 2.0 * opening * sweep),
                    scale(frame.radial(angle), -mix(*radii_mm, t) * sweep * sweep),
                )
            }
        }
    }

    /// A length that grows evenly with `t`, mm: the true one of lines and arcs, near it
    /// for the others.
    pub fn length(&self) -> f64 {
        match self {
            Curve::Line { start, end } => distance(*start, *end),
            Curve::Arc { radius_mm, .. } => radius_mm * self.turn(),
            Curve::Helix { radii_mm, heights_mm, .. } => {
                let round = (radii_mm[0] + radii_mm[1]) / 2.0 * self.turn();
                round.hypot(radii_mm[1] - radii_mm[0]).hypot(heights_mm[1] - heights_mm[0])
            }
            Curve::Trace(trace) => trace.length(),
        }
    }

    /// By how much its direction turns about its own axis, rad; 0 on lines and traces.
    pub fn turn(&self) -> f64 {
        match self {
            Curve::Line { .. } | Curve::Trace(_) => 0.0,
            Curve::Arc { angles_rad, .. } | Curve::Helix { angles_rad, .. } => {
                (angles_rad[1] - angles_rad[0]).abs()
            }
        }
    }

    /// The share at which the unlimited curve is nearest to a point; on a helix: at the
    /// point's angle.
    pub fn nearest(&self, point: Vector) -> f64 {
        match self {
            Curve::Line { start, end } => {
                let d = sub(*end, *start);
                dot(sub(point, *start), d) / dot(d, d)
            }
            Curve::Arc { frame, angles_rad, .. } | Curve::Helix { frame, angles_rad, .. } => {
                let (_, angle, _) = frame.cylindrical(point);
                let angle = unwrapped(angle, (angles_rad[0] + angles_rad[1]) / 2.0);
                (angle - angles_rad[0]) / (angles_rad[1] - angles_rad[0])
            }
            Curve::Trace(trace) => trace.nearest(point),
        }
    }

    /// The same curve run through the other way.
    #[must_use]
    pub fn reversed(&self) -> Self {
        let back = |pair: [f64; 2]| [pair[1], pair[0]];
        match self {
            Curve::Line { start, end } => Curve::Line { start: *end, end: *start },
            Curve::Arc { frame, radius_mm, angles_rad } => {
                Curve::Arc { frame: *frame, radius_mm: *radius_mm, angles_rad: back(*angles_rad) }
            }
            Curve::Helix { frame, angles_rad, radii_mm, heights_mm } => Curve::Helix {
                frame: *frame,
                angles_rad: back(*angles_rad),
                radii_mm: back(*radii_mm),
                heights_mm: back(*heights_mm),
            },
            Curve::Trace(trace) => Curve::Trace(trace.reversed()),
        }
    }

    /// The pieces before and after a share `t`; none where one would have no length.
    pub fn cut(&self, t: f64) -> Option<(Self, Self)> {
        let halves = |pair: [f64; 2]| ([pair[0], mix(pair, t)], [mix(pair, t), pair[1]]);
        Some(match self {
            Curve::Line { start, end } => {
                let at = self.at(t);
                (Curve::Line { start: *start, end: at }, Curve::Line { start: at, end: *end })
            }
            Curve::Arc { frame, radius_mm, angles_rad } => {
                let (front, back) = halves(*angles_rad);
                let piece = |angles_rad: [f64; 2]| Curve::Arc {
                    frame: *frame,
                    radius_mm: *radius_mm,
                    angles_rad,
                };
                (piece(front), piece(back))
            }
            Curve::Helix { frame, angles_rad, radii_mm, heights_mm } => {
                let (a, r, h) = (halves(*angles_rad), halves(*radii_mm), halves(*heights_mm));
                let piece = |angles_rad, radii_mm, heights_mm| Curve::Helix {
                    frame: *frame,
                    angles_rad,
                    radii_mm,
                    heights_mm,
                };
                (piece(a.0, r.0, h.0), piece(a.1, r.1, h.1))
            }
            Curve::Trace(trace) => {
                let (front, back) = trace.cut(t)?;
                (Curve::Trace(front), Curve::Trace(back))
            }
        })
    }

    /// The same curve elsewhere.
    #[must_use]
    pub fn placed(&self, placement: &Placement) -> Self {
        let turned = |pair: [f64; 2], flips: bool| if flips { pair.map(|a| -a) } else { pair };
        match self {
            Curve::Line { start, end } => {
                Curve::Line { start: placement.point(*start), end: placement.point(*end) }
            }
            Curve::Arc { frame, radius_mm, angles_rad } => {
                let (frame, flips) = frame.placed(placement);
                let angles_rad = turned(*angles_rad, flips);
                Curve::Arc { frame, radius_mm: *radius_mm, angles_rad }
            }
            Curve::Helix { frame, angles_rad, radii_mm, heights_mm } => {
                let (frame, flips) = frame.placed(placement);
                Curve::Helix {
                    frame,
                    angles_rad: turned(*angles_rad, flips),
                    radii_mm: *radii_mm,
                    heights_mm: *heights_mm,
                }
            }
            Curve::Trace(trace) => Curve::Trace(trace.placed(placement)),
        }
    }
}
