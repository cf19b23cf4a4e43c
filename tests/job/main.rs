//! The main job from text to files: published values, sizes and sweeps, the same bytes
//! on every run, bad input.

mod bytes;
mod letters;
mod level;
mod mistakes;
mod oracle;
mod seats;
mod sweep;
mod tools;
