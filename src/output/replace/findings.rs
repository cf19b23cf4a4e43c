//! What can go wrong with files, and its words.

use crate::diagnostics::Diagnostic;
use crate::output::codes::{
    BUSY, DISK_FULL, EXISTS, FOREIGN_FILE, NOT_A_FOLDER, OTHER_DESIGN, UNWRITABLE,
};
use std::io::{self, ErrorKind};
use std::path::Path;

/// Why a folder's files were not replaced.
#[derive(Debug)]
pub enum Trouble {
    /// The system's words.
    System(io::Error),
    /// There is a file where the folder should be.
    NotAFolder,
    /// This file is not ours.
    Foreign(String),
    /// This file belongs to the design named second.
    OtherDesign(String, String),
    /// Another build does not end.
    Busy,
}

impl From<io::Error> for Trouble {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            ErrorKind::NotADirectory => Trouble::NotAFolder,
            _ => Trouble::System(error),
        }
    }
}

impl Trouble {
    /// Its finding, about this folder as the user wrote it.
    pub fn finding(&self, folder: &Path) -> Diagnostic {
        let folder = shown(folder);
        match self {
            Trouble::System(error) => of_system(&folder, error).help(
                "make room there and see that it is yours, or name another folder with --out",
            ),
            Trouble::NotAFolder => {
                let message = format!("`{folder}` cannot be a folder, for a file has that name");
                Diagnostic::nowhere(NOT_A_FOLDER, message).help("name another folder with --out")
            }
            Trouble::Foreign(name) => {
                let message = format!("`{name}` in `{folder}` was not written by a build");
                Diagnostic::nowhere(FOREIGN_FILE, message)
                    .note("only files that a manifest in the same folder lists are replaced")
                    .help("move the file away, or name another folder with --out")
            }
            Trouble::OtherDesign(name, design) => {
                let message = format!("`{name}` in `{folder}` belongs to the design `{design}`");
                Diagnostic::nowhere(OTHER_DESIGN, message)
                    .help("name another folder with --out, or give the part another name")
            }
            Trouble::Busy => {
                let message = format!("another build is still writing to `{folder}`");
                Diagnostic::nowhere(BUSY, message).help("wait until it has ended, then try again")
            }
        }
    }
}

/// A new file would replace an old one.
pub fn exists(path: &Path) -> Diagnostic {
    let message = format!("`{}` is there already and is not overwritten", shown(path));
    Diagnostic::nowhere(EXISTS, message).help("choose another name")
}

/// A new file could not be written.
pub fn unwritten(path: &Path, error: &io::Error) -> Diagnostic {
    of_system(&shown(path), error).help("name a file in a folder that is there and is yours")
}

/// The system's refusal, without a way out.
fn of_system(path: &str, error: &io::Error) -> Diagnostic {
    match error.kind() {
        ErrorKind::StorageFull | ErrorKind::QuotaExceeded | ErrorKind::FileTooLarge => {
            Diagnostic::nowhere(DISK_FULL, format!("there is no room left to write `{path}`"))
        }
        _ => Diagnostic::nowhere(UNWRITABLE, format!("`{path}` cannot be written: {error}")),
    }
    .note("what was there before is unchanged")
}

fn shown(path: &Path) -> String {
    path.to_string_lossy().into_owned()
}
