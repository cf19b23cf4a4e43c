//! Triangles: the bodies that are printed.
//!
//! In: bodies of the model. Out: closed meshes with tagged faces, and checks of them.
//! The only room that names the mesh boolean crate; every call is guarded and every
//! answer checked. Kept out: files, measurements between parts.

mod belly;
mod checks;
mod combine;
mod crossings;
mod facets;
mod fault;
mod fill;
mod flatten;
mod groups;
mod ladder;
mod measure;
mod mesher;
mod overlap;
mod pieces;
mod prism;
mod slab;
mod socket;
mod space;
mod tool;
mod tree;
mod triangles;
mod turned;
mod wrap;

pub use belly::meridian_corners;
pub use checks::{Checks, checks};
pub use combine::difference;
pub use crossings::{Crossings, Obstacle, Sorted, crossings};
pub use facets::{Facets, Tolerance};
pub use fault::MeshFault;
pub use groups::Groups;
pub use mesher::{Finish, Made, Mesher, Pocket, Seated};
pub use overlap::overlap_mm3;
pub use slab::slab;
pub use space::Bounds;
pub use tree::Tree;
pub use triangles::{FaceKind, Mesh, Tag};

#[cfg(test)]
mod tests;
