//! Pipkin: a compiler for printed containers. Text in, fitting parts out.
//!
//! The rooms in reading order; data flows downwards and a room uses only rooms above
//! it (`tests/rooms.rs` says so). DEVELOPERS.md is the guide.
#![forbid(unsafe_code)]

pub mod cli;
pub mod diagnostics;
pub mod evaluate;
pub mod exact;
pub mod fit;
pub mod layers;
pub mod mesh;
pub mod model;
pub mod output;
pub mod pipeline;
pub mod plane;
pub mod print;
pub mod quantity;
pub mod realise;
pub mod resolve;
pub mod source;
pub mod syntax;
