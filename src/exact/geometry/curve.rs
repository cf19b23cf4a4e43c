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
    /// On a circle in the plane of x and y, round its origin; on an ellipse where the
    /// radii differ, angles then being those of the circle from which it is stretched.
    Arc {
        /// Its axes.
        frame: Frame,
        /// Along x and along y, mm.
        radii_mm: [f64; 2],
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

/// The share of a range at which an angle lies, seen from its middle.
fn share(angle: f64, range: [f64; 2]) -> f64 {
    (unwrapped(angle, (range[0] + range[1]) / 2.0) - range[0]) / (range[1] - range[0])
}

impl Curve {
    /// A piece of the circle of a radius round the origin of a frame.
    pub fn circle(frame: Frame, radius_mm: f64, angles_rad: [f64; 2]) -> Self {
        Curve::Arc { frame, radii_mm: [radius_mm; 2], angles_rad }
    }

    /// The point after a share `t`.
    pub fn at(&self, t: f64) -> Vector {
        match self {
            Curve::Line { start, end } => between(*start, *end, t),
            Curve::Arc { frame, radii_mm, angles_rad } => {
                let (sin, cos) = mix(*angles_rad, t).sin_cos();
                frame.point([radii_mm[0] * cos, radii_mm[1] * sin, 0.0])
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
            Curve::Arc { frame, radii_mm, angles_rad } => {
                let sweep = angles_rad[1] - angles_rad[0];
                let (sin, cos) = mix(*angles_rad, t).sin_cos();
                frame.direction([-radii_mm[0] * sin * sweep, radii_mm[1] * cos * sweep, 0.0])
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
            Curve::Arc { frame, radii_mm, angles_rad } => {
                let square = (angles_rad[1] - angles_rad[0]).powi(2);
                let (sin, cos) = mix(*angles_rad, t).sin_cos();
                frame.direction([-radii_mm[0] * cos * square, -radii_mm[1] * sin * square, 0.0])
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

    /// A length that grows evenly with `t`, mm: the true one of lines and circles, near
    /// it for the others.
    pub fn length(&self) -> f64 {
        match self {
            Curve::Line { start, end } => distance(*start, *end),
            Curve::Arc { radii_mm, .. } => (radii_mm[0] + radii_mm[1]) / 2.0 * self.turn(),
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

    /// The share at which the unlimited curve is nearest to a point; on a helix and on an
    /// ellipse: right for points of the curve.
    pub fn nearest(&self, point: Vector) -> f64 {
        match self {
            Curve::Line { start, end } => {
                let d = sub(*end, *start);
                dot(sub(point, *start), d) / dot(d, d)
            }
            Curve::Arc { frame, radii_mm, angles_rad } => {
                let [x, y, _] = frame.local(point);
                share((y / radii_mm[1]).atan2(x / radii_mm[0]), *angles_rad)
            }
            Curve::Helix { frame, angles_rad, .. } => {
                let [x, y, _] = frame.local(point);
                share(y.atan2(x), *angles_rad)
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
            Curve::Arc { frame, radii_mm, angles_rad } => {
                Curve::Arc { frame: *frame, radii_mm: *radii_mm, angles_rad: back(*angles_rad) }
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
            Curve::Arc { frame, radii_mm, angles_rad } => {
                let (front, back) = halves(*angles_rad);
                let piece = |angles_rad: [f64; 2]| Curve::Arc {
                    frame: *frame,
                    radii_mm: *radii_mm,
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
            Curve::Arc { frame, radii_mm, angles_rad } => {
                let (frame, flips) = frame.placed(placement);
                let angles_rad = turned(*angles_rad, flips);
                Curve::Arc { frame, radii_mm: *radii_mm, angles_rad }
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
