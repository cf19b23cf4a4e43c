//! What the printer will make of a part.
//!
//! In: the design and its finished parts. Out: [`Printed`]: the posed copies that go
//! into files, how they are set out on the bed, what to know before printing.
//! Kept out: changing any body; file formats.

mod posed;

pub use posed::{Item, Layout, Posed, PosedPiece, PrintCheck, Printed};
