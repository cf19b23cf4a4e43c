//! Names: which files belong to a design, what every name in them means, and in which
//! order declarations can be worked out.
//!
//! In: a root file and a [`World`](crate::source::World). Out: a [`Program`]: the trees
//! with one namespace a file, an order in which everything depends on earlier things
//! only, and findings about names, fields, cycles and files.
//! Kept out: values. Nothing is computed here; what a call gives is unknown, only who is
//! called is known.

mod builtin;
mod call_names;
mod calls;
pub mod codes;
mod drawings;
mod faults;
mod graph;
mod items;
mod kind;
mod library;
mod load;
mod names;
mod order;
mod program;
mod space;
mod suggest;

pub use builtin::{
    BOUGHT_FIELDS, FIT_FIELDS, MATERIAL_FIELDS, PLATE_FIELDS, PRINTER_FIELDS, PROPS_FIELDS,
    SEAT_FIELDS,
};
pub use builtin::{BUILTINS, Builtin, BuiltinParam, FUNCTIONS, Function, UNIVERSAL_FIELDS};
pub use calls::{Binding, Callee, Signature, SignatureParam, bind, bind_block, callee, part_call};
pub use codes::not_built_yet;
pub use items::line_name;
pub use kind::{GAP_WORDS, GRADE_WORDS, Kind};
pub use load::{resolve, unreadable};
pub use program::{DeclId, Drawing, FileSpace, Program, ShapePlan};
pub use space::Target;
pub use suggest::{did_you_mean, nearest};
