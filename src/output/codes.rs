//! The codes of this room.

use crate::diagnostics::Code;

/// The folder cannot be written.
pub const UNWRITABLE: Code = Code::new("E0910", "out-unwritable");
/// There is no room left.
pub const DISK_FULL: Code = Code::new("E0911", "disk-full");
/// Something else has the folder's name.
pub const NOT_A_FOLDER: Code = Code::new("E0912", "out-not-a-folder");
/// A file that no build wrote has the name of one of ours.
pub const FOREIGN_FILE: Code = Code::new("E0913", "foreign-file");
/// Another design in the same folder has a file of this name.
pub const OTHER_DESIGN: Code = Code::new("E0914", "file-of-another-design");
/// Another build does not end.
pub const BUSY: Code = Code::new("E0915", "out-busy");
/// A new file would replace an old one.
pub const EXISTS: Code = Code::new("E0916", "file-exists");
/// A part has details finer than any file can say.
pub const TOO_FINE: Code = Code::new("E0917", "too-fine-to-write");

/// All of them.
pub const CODES: &[Code] =
    &[UNWRITABLE, DISK_FULL, NOT_A_FOLDER, FOREIGN_FILE, OTHER_DESIGN, BUSY, EXISTS, TOO_FINE];
