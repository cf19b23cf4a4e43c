//! One file of the author's gets new contents, in one step.

use super::disk::{Disk, RealDisk};
use super::findings;
use crate::diagnostics::Diagnostic;
use std::ffi::OsString;
use std::fs::OpenOptions;
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Names that are tried for the new file until it takes its place; others may be left over from
/// runs that were killed.
const MAX_NAMES: usize = 100;

/// Gives an existing file new contents. Links are followed; rights are kept.
///
/// # Errors
/// A finding of this module; the file is then as it was.
pub fn rewrite(path: &Path, bytes: &[u8]) -> Result<(), Box<Diagnostic>> {
    swap(&RealDisk, path, bytes).map_err(|e| Box::new(findings::unwritten(path, &e)))
}

fn swap(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> io::Result<()> {
    let path = &disk.canonical(path)?;
    // A rename asks for rights in the folder only: a file that must not be written stays.
    OpenOptions::new().write(true).open(path)?;
    let new = written_beside(disk, path, bytes)?;
    let done = disk.copy_rights(path, &new).and_then(|()| disk.rename(&new, path));
    if done.is_err() {
        // Ours, made a moment ago; what cannot go stays under a name that says what it is.
        let _ = disk.remove_file(&new);
    }
    done
}

/// Writes a file beside `path`; gives its name.
fn written_beside(disk: &dyn Disk, path: &Path, bytes: &[u8]) -> io::Result<PathBuf> {
    for n in 0..MAX_NAMES {
        let mut name = OsString::from(".");
        name.push(path.file_name().unwrap_or_default());
        name.push(format!(".{n}.new"));
        let new = path.with_file_name(name);
        match disk.write(&new, bytes) {
            Err(e) if e.kind() == ErrorKind::AlreadyExists => {}
            other => return other.map(|()| new),
        }
    }
    Err(ErrorKind::AlreadyExists.into())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_rewritten_whole_and_nothing_is_left_beside_it() {
        let folder = tempfile::tempdir().expect("a folder");
        let path = folder.path().join("jar.pkn");
        std::fs::write(&path, "old").expect("a file");
        // Left by a run that was killed.
        std::fs::write(folder.path().join(".jar.pkn.0.new"), "half").expect("a file");
        rewrite(&path, b"new").expect("it can be written");
        assert_eq!(std::fs::read(&path).expect("it is there"), b"new");
        assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 2);
    }

    #[test]
    fn a_file_that_is_not_there_is_not_made() {
        let folder = tempfile::tempdir().expect("a folder");
        assert!(rewrite(&folder.path().join("jar.pkn"), b"new").is_err());
        assert_eq!(std::fs::read_dir(folder.path()).expect("a folder").count(), 0);
    }

    #[cfg(unix)]
    #[test]
    fn links_stay_and_rights_are_kept() {
        use std::os::unix::fs::PermissionsExt;
        let folder = tempfile::tempdir().expect("a folder");
        let (path, link) = (folder.path().join("jar.pkn"), folder.path().join("link.pkn"));
        std::fs::write(&path, "old").expect("a file");
        std::fs::set_permissions(&path, PermissionsExt::from_mode(0o640)).expect("rights");
        std::os::unix::fs::symlink(&path, &link).expect("a link");
        rewrite(&link, b"new").expect("it can be written");
        assert!(std::fs::symlink_metadata(&link).expect("a link").is_symlink());
        let data = std::fs::metadata(&path).expect("a file");
        assert_eq!(data.permissions().mode() & 0o777, 0o640);
        assert_eq!(std::fs::read(&path).expect("it is there"), b"new");
    }
}
