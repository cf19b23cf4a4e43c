//! What we ask of a file system, one step at a time, so that tests can stop at any step.

use super::findings::Trouble;
use std::ffi::OsString;
use std::fs::{self, File, OpenOptions};
use std::io::{self, ErrorKind, Write};
use std::path::{Path, PathBuf};
use std::time::Duration;

/// What a path names; links are not followed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A plain file.
    File,
    /// A folder.
    Folder,
    /// Anything else, links too.
    Other,
}

/// Single steps; each happens or does not.
pub trait Disk {
    /// What is there; nothing is `None`.
    fn kind(&self, path: &Path) -> io::Result<Option<Kind>>;
    /// Names in a folder, sorted.
    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>>;
    /// The bytes of a file.
    fn read(&self, file: &Path) -> io::Result<Vec<u8>>;
    /// Without links and dots.
    fn canonical(&self, path: &Path) -> io::Result<PathBuf>;
    /// Whether this process works in the folder, so that it must not be moved.
    fn is_in_use(&self, folder: &Path) -> bool;
    /// A new folder in an existing one.
    fn create_folder(&self, folder: &Path) -> io::Result<()>;
    /// A new file, on the disk when this returns.
    fn write(&self, file: &Path, bytes: &[u8]) -> io::Result<()>;
    /// A second name for a file.
    fn link(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// The rights of one folder for another of the same owner and group.
    fn copy_rights(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// A file or folder gets another name, in one step.
    fn rename(&self, from: &Path, to: &Path) -> io::Result<()>;
    /// Two folders change places, in one step.
    fn exchange(&self, a: &Path, b: &Path) -> io::Result<()>;
    /// A file is gone.
    fn remove_file(&self, file: &Path) -> io::Result<()>;
    /// A folder is gone if it is empty.
    fn remove_empty(&self, folder: &Path) -> io::Result<()>;
    /// The names in a folder are on the disk when this returns.
    fn sync(&self, folder: &Path) -> io::Result<()>;
}

/// Removes a folder with all that is in it; links in it are removed, not followed.
pub fn remove_tree(disk: &dyn Disk, folder: &Path) -> io::Result<()> {
    for name in disk.list(folder)? {
        let path = folder.join(name);
        match disk.kind(&path)? {
            Some(Kind::Folder) => remove_tree(disk, &path)?,
            Some(_) => disk.remove_file(&path)?,
            None => {}
        }
    }
    disk.remove_empty(folder)
}

/// The file system.
#[derive(Clone, Copy, Debug)]
pub struct RealDisk;

impl Disk for RealDisk {
    fn kind(&self, path: &Path) -> io::Result<Option<Kind>> {
        let data = match fs::symlink_metadata(path) {
            Err(e) if e.kind() == ErrorKind::NotFound => return Ok(None),
            other => other?,
        };
        Ok(Some(match data.file_type() {
            t if t.is_file() => Kind::File,
            t if t.is_dir() => Kind::Folder,
            _ => Kind::Other,
        }))
    }

    fn list(&self, folder: &Path) -> io::Result<Vec<OsString>> {
        let names: io::Result<Vec<OsString>> =
            fs::read_dir(folder)?.map(|entry| Ok(entry?.file_name())).collect();
        let mut names = names?;
        names.sort();
        Ok(names)
    }

    fn read(&self, file: &Path) -> io::Result<Vec<u8>> {
        fs::read(file)
    }

    fn canonical(&self, path: &Path) -> io::Result<PathBuf> {
        fs::canonicalize(path)
    }

    fn is_in_use(&self, folder: &Path) -> bool {
        fs::canonicalize(".").is_ok_and(|here| here.starts_with(folder))
    }

    fn create_folder(&self, folder: &Path) -> io::Result<()> {
        fs::create_dir(folder)
    }

    fn write(&self, file: &Path, bytes: &[u8]) -> io::Result<()> {
        let mut new = OpenOptions::new().write(true).create_new(true).open(file)?;
        let written = new.write_all(bytes).and_then(|()| new.sync_all());
        if written.is_err() {
            // Ours, made a moment ago and incomplete.
            let _ = fs::remove_file(file);
        }
        written
    }

    fn link(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::hard_link(from, to)
    }

    fn copy_rights(&self, from: &Path, to: &Path) -> io::Result<()> {
        let (old, new) = (fs::metadata(from)?, fs::metadata(to)?);
        if !is_same_owner(&old, &new) {
            return Err(ErrorKind::Unsupported.into());
        }
        fs::set_permissions(to, old.permissions())
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        fs::rename(from, to)
    }

    #[cfg(target_os = "linux")]
    fn exchange(&self, a: &Path, b: &Path) -> io::Result<()> {
        use rustix::fs::{CWD, RenameFlags, renameat_with};
        Ok(renameat_with(CWD, a, CWD, b, RenameFlags::EXCHANGE)?)
    }

    #[cfg(not(target_os = "linux"))]
    fn exchange(&self, _: &Path, _: &Path) -> io::Result<()> {
        Err(ErrorKind::Unsupported.into())
    }

    fn remove_file(&self, file: &Path) -> io::Result<()> {
        fs::remove_file(file)
    }

    fn remove_empty(&self, folder: &Path) -> io::Result<()> {
        fs::remove_dir(folder)
    }

    #[cfg(unix)]
    fn sync(&self, folder: &Path) -> io::Result<()> {
        File::open(folder)?.sync_all()
    }

    #[cfg(not(unix))]
    fn sync(&self, _: &Path) -> io::Result<()> {
        Ok(())
    }
}

/// Between two tries to get a folder for ourselves.
const RETRY: Duration = Duration::from_millis(20);
/// Tries: 5 seconds, far longer than writing takes.
const TRIES: u32 = 250;

/// Keeps other builds out of `folder` and out of the folder above it until the answer
/// is dropped. Where a system cannot lock folders, nobody is kept out.
///
/// # Errors
/// [`Trouble::Busy`] when another build does not end.
pub fn lock(folder: &Path) -> Result<Vec<File>, Trouble> {
    let mut held = Vec::new();
    for folder in [super::parent(folder), folder.to_path_buf()] {
        for attempt in 0.. {
            // A folder that is not there yet, or cannot be opened, cannot be locked.
            let Ok(handle) = File::open(&folder) else { break };
            match handle.try_lock() {
                // The folder may have been exchanged while we waited for the old one.
                Ok(()) if is_still(&handle, &folder) => {
                    held.push(handle);
                    break;
                }
                Ok(()) => {}
                Err(fs::TryLockError::Error(_)) => break,
                Err(fs::TryLockError::WouldBlock) if attempt >= TRIES => return Err(Trouble::Busy),
                Err(fs::TryLockError::WouldBlock) => std::thread::sleep(RETRY),
            }
        }
    }
    Ok(held)
}

#[cfg(unix)]
fn is_same_owner(a: &fs::Metadata, b: &fs::Metadata) -> bool {
    use std::os::unix::fs::MetadataExt;
    (a.uid(), a.gid()) == (b.uid(), b.gid())
}

#[cfg(not(unix))]
fn is_same_owner(_: &fs::Metadata, _: &fs::Metadata) -> bool {
    true
}

#[cfg(unix)]
fn is_still(handle: &File, folder: &Path) -> bool {
    use std::os::unix::fs::MetadataExt;
    let identity = |data: fs::Metadata| (data.dev(), data.ino());
    match (handle.metadata().map(identity), fs::metadata(folder).map(identity)) {
        (Ok(ours), Ok(now)) => ours == now,
        _ => true,
    }
}

#[cfg(not(unix))]
fn is_still(_: &File, _: &Path) -> bool {
    true
}
