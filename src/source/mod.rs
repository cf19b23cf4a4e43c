//! Source texts: which files were read, what is in them, where a byte offset is.
//!
//! In: paths. Out: [`FileId`]s, texts, [`Span`]s, line and column numbers.
//! Kept out: parsing, and any file access but through [`World`], the one window
//! to the outside. Nothing above the command line reads a file in another way.

mod map;
mod world;

pub use map::{FileId, Position, SourceMap, Span};
pub use world::{DiskWorld, MAX_SOURCE_BYTES, MemoryWorld, ReadError, World};
