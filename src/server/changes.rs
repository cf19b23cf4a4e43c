//! Which files a build asked for, and whether they are still as they were then.

use crate::source::{DiskWorld, ReadError, World};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};
use std::time::SystemTime;

/// What tells one state of a file from another: when it was written, and its length. None
/// where there is no file.
pub type Print = Option<(SystemTime, u64)>;

/// The state of a file now.
pub fn print(path: &Path) -> Print {
    let data = std::fs::metadata(path).ok()?;
    Some((data.modified().ok()?, data.len()))
}

/// The disk, with a list of every file that was asked for, also of those that are not there,
/// and its state just before it was read.
#[derive(Debug, Default)]
pub struct Noting {
    asked: Mutex<BTreeMap<PathBuf, Print>>,
}

impl Noting {
    /// All files that were asked for.
    pub fn into_files(self) -> BTreeMap<PathBuf, Print> {
        self.asked.into_inner().unwrap_or_else(PoisonError::into_inner)
    }

    fn note(&self, path: &Path) {
        let mut asked = self.asked.lock().unwrap_or_else(PoisonError::into_inner);
        asked.entry(path.to_path_buf()).or_insert_with(|| print(path));
    }
}

impl World for Noting {
    fn read(&self, path: &Path) -> Result<String, ReadError> {
        self.note(path);
        DiskWorld.read(path)
    }

    fn canonical(&self, path: &Path) -> Result<PathBuf, ReadError> {
        self.note(path);
        DiskWorld.canonical(path)
    }
}

/// Whether any file is no longer as it was.
pub fn any(files: &BTreeMap<PathBuf, Print>) -> bool {
    files.iter().any(|(path, was)| print(path) != *was)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn files_that_change_come_and_go_are_seen() {
        let folder = tempfile::tempdir().expect("a folder");
        let (here, later) = (folder.path().join("a.pkn"), folder.path().join("b.pkn"));
        std::fs::write(&here, "one").expect("a file");
        let world = Noting::default();
        assert_eq!(world.read(&here), Ok("one".to_string()));
        assert_eq!(world.canonical(&later), Err(ReadError::Missing));
        let files = world.into_files();
        assert_eq!(files.len(), 2);
        assert!(!any(&files));
        std::fs::write(&later, "").expect("a file");
        assert!(any(&files));
        std::fs::remove_file(&later).expect("it goes");
        assert!(!any(&files));
        std::fs::write(&here, "longer").expect("a file");
        assert!(any(&files));
    }
}
