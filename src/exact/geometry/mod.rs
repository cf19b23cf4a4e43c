//! The shapes of which exact bodies are made: analytic surfaces and curves, in mm.
//!
//! In: numbers. Out: [`Surface`]s and [`Curve`]s that know their points, derivatives and
//! nearest parameters in closed form. Kept out: topology, and every outside library.

mod curve;
mod frame;
mod meridian;
mod surface;
mod trace;
pub(super) mod vector;

pub use curve::Curve;
pub use frame::Frame;
pub use meridian::Meridian;
pub use surface::Surface;
pub use trace::Trace;
pub(super) use trace::settle;

/// The angle that differs from `angle` by whole turns and lies within half a turn of
/// `middle`.
pub(super) fn unwrapped(angle: f64, middle: f64) -> f64 {
    let turn = std::f64::consts::TAU;
    angle - ((angle - middle) / turn).round() * turn
}
