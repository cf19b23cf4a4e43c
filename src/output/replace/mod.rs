//! The one place that writes files: a build's files replace an earlier build's together
//! or not at all, and nothing but what a build wrote is ever touched.
//!
//! In: a folder, names and bytes. Out: the folder with exactly these files of the
//! design, everything else in it as it was; or a finding, and the folder as it was.
//!
//! Two ways, both safe when the process is killed at any moment:
//! - **exchange**: the whole new folder is made beside the old one, files of other
//!   designs carried over as links, and the two change places in one step of the file
//!   system. Taken when the folder is new, or when all of it comes from builds.
//! - **journal**: all files are made inside the folder, a marker says that they are
//!   complete, then each takes its place. Killed before the marker, the old set
//!   stays; killed after it, the next build first finishes the work. Taken when
//!   something else lies in the folder, or the system cannot exchange.

mod disk;
mod exchange;
mod findings;
mod inventory;
mod journal;
mod rewrite;
#[cfg(test)]
mod tests;

use crate::diagnostics::Diagnostic;
use disk::{Disk, Kind, RealDisk};
use findings::Trouble;
pub use findings::unwritten;
use inventory::Inventory;
pub use rewrite::rewrite;
use std::path::{Path, PathBuf};

/// A file's name (no folders) and its bytes.
pub type NewFile = (String, Vec<u8>);

/// How the names of files end that list what lies beside them: manifests of builds, and reports
/// of comparisons.
const LISTING_ENDINGS: [&str; 2] = [".manifest.json", ".comparison.json"];

/// Whether a file of this name lists others.
fn is_listing(name: &str) -> bool {
    LISTING_ENDINGS.iter().any(|ending| name.ends_with(ending))
}

/// Puts the files of one design into `folder`, which is made if need be. Files of an
/// earlier build of this design that are not among `files` are removed.
///
/// # Errors
/// A finding of this module; the folder is then as it was.
pub fn replace(folder: &Path, files: &[NewFile]) -> Result<(), Box<Diagnostic>> {
    let locked = disk::lock(folder).map_err(|trouble| Box::new(trouble.finding(folder)))?;
    let done = replace_on(&RealDisk, folder, files);
    drop(locked);
    done.map_err(|trouble| Box::new(trouble.finding(folder)))
}

/// Writes a new file; never over an existing one.
///
/// # Errors
/// A finding of this module; there is then no new file.
pub fn create(path: &Path, bytes: &[u8]) -> Result<(), Box<Diagnostic>> {
    if RealDisk.kind(path).ok().flatten().is_some() {
        return Err(Box::new(findings::exists(path)));
    }
    RealDisk.write(path, bytes).map_err(|e| {
        let exists = e.kind() == std::io::ErrorKind::AlreadyExists;
        Box::new(if exists { findings::exists(path) } else { findings::unwritten(path, &e) })
    })
}

/// Writes a file of ours, over an earlier one of that name.
///
/// # Errors
/// A finding of this module; an earlier file is then as it was.
pub fn put(path: &Path, bytes: &[u8]) -> Result<(), Box<Diagnostic>> {
    match RealDisk.kind(path) {
        Ok(None) => create(path, bytes),
        _ => rewrite(path, bytes),
    }
}

/// As [`replace`], on any disk.
fn replace_on(disk: &dyn Disk, folder: &Path, files: &[NewFile]) -> Result<(), Trouble> {
    let made = make_parents(disk, folder)?;
    let done = place(disk, folder, files);
    if done.is_err() {
        // Only folders that are still empty go; what cannot go stays, empty.
        made.iter().rev().for_each(|folder| drop(disk.remove_empty(folder)));
    }
    done
}

/// Makes the folders above `folder`; gives those that were not there.
fn make_parents(disk: &dyn Disk, folder: &Path) -> Result<Vec<PathBuf>, Trouble> {
    let mut missing = Vec::new();
    let mut at = parent(folder);
    while disk.kind(&at)?.is_none() {
        missing.push(at.clone());
        at = parent(&at);
    }
    missing.reverse();
    for folder in &missing {
        disk.create_folder(folder)?;
    }
    Ok(missing)
}

fn parent(path: &Path) -> PathBuf {
    match path.parent() {
        Some(parent) if !parent.as_os_str().is_empty() => parent.to_path_buf(),
        _ => PathBuf::from("."),
    }
}

fn place(disk: &dyn Disk, folder: &Path, files: &[NewFile]) -> Result<(), Trouble> {
    if disk.kind(folder)?.is_none() {
        return exchange::first(disk, folder, files);
    }
    // Links and `.` are followed once, so that the folder itself has a name and parent.
    let folder = &disk.canonical(folder)?;
    if disk.kind(folder)? != Some(Kind::Folder) {
        return Err(Trouble::NotAFolder);
    }
    journal::recover(disk, folder)?;
    exchange::clean(disk, folder)?;
    let inventory = Inventory::of(disk, folder, files)?;
    if inventory.is_ours_alone() && !disk.is_in_use(folder) {
        match exchange::again(disk, folder, files, &inventory) {
            Err(exchange::Failed::Unable) => {}
            Err(exchange::Failed::Trouble(trouble)) => return Err(trouble),
            Ok(()) => return Ok(()),
        }
    }
    journal::replace(disk, folder, files, &inventory)
}
