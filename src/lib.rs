//! Pipkin: a compiler for printed containers. Text in, fitting parts out.
//!
//! The rooms in reading order; data flows downwards and a room uses only rooms above
//! it (`tests/rooms.rs` reads the order from here). DEVELOPERS.md is the guide.
#![forbid(unsafe_code)]

pub mod source;

pub mod diagnostics;

pub mod quantity;

pub mod syntax;

pub mod resolve;

pub mod plane;

pub mod drawing;

pub mod model;

pub mod evaluate;

pub mod layers;

pub mod exact;

pub mod mesh;

pub mod realise;

pub mod fit;

pub mod print;

pub mod format;

pub mod output;

pub mod pipeline;

pub mod compare;

pub mod server;

pub mod cli;
