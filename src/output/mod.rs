//! Bytes out: STL, 3MF, STEP, the manifest, and the one place that writes files.
//!
//! In: finished meshes and measured values. Out: the bytes of each file, and a
//! folder in which they replaced an earlier build whole or not at all.
//! Kept out: decisions (what is made, how it lies, what is measured), and file
//! access anywhere but in `replace`.

pub mod codes;
pub mod manifest;
pub mod number;
pub mod pictures;
pub mod replace;
pub mod step;
pub mod stl;
#[cfg(test)]
mod tests;
pub mod threemf;
mod weld;
