//! Triangles: the bodies that are printed.
//!
//! In: bodies of the model. Out: closed meshes with tagged faces, and checks of them.
//! The only room that names the mesh boolean crate; every call is guarded and every
//! answer checked. Kept out: files, measurements between parts.

mod triangles;

pub use triangles::{FaceKind, Mesh, Tag};
