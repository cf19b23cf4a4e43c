//! The second way: complete files inside the folder, a marker, then one file at a time.

use super::NewFile;
use super::disk::{self, Disk, Kind};
use super::findings::Trouble;
use super::inventory::Inventory;
use serde::{Deserialize, Serialize};
use std::io;
use std::path::{Path, PathBuf};

/// The folder, inside the one that changes, in which this way works.
const STAGE: &str = ".pipkin-stage";

/// What is to be done, once everything is ready.
#[derive(Debug, Serialize, Deserialize)]
struct Marker {
    /// Files that take their place.
    put: Vec<String>,
    /// Files that go.
    remove: Vec<String>,
}

/// Paths of one journal.
struct Journal<'a> {
    folder: &'a Path,
    stage: PathBuf,
}

impl<'a> Journal<'a> {
    fn new(folder: &'a Path) -> Self {
        Journal { folder, stage: folder.join(STAGE) }
    }

    /// Its presence says that all new files are complete.
    fn marker(&self) -> PathBuf {
        self.stage.join("commit")
    }

    fn new_file(&self, name: &str) -> PathBuf {
        self.stage.join("new").join(name)
    }

    fn old_file(&self, name: &str) -> PathBuf {
        self.stage.join("old").join(name)
    }
}

/// Finishes what a killed build had ready, and takes away what it had not.
pub fn recover(disk: &dyn Disk, folder: &Path) -> Result<(), Trouble> {
    let journal = Journal::new(folder);
    if disk.kind(&journal.stage)? != Some(Kind::Folder) {
        return Ok(());
    }
    if disk.kind(&journal.marker())?.is_some() {
        let marker = serde_json::from_slice(&disk.read(&journal.marker())?);
        let marker: Marker = marker.map_err(io::Error::from)?;
        apply(disk, &journal, &marker)?;
    }
    Ok(close(disk, &journal)?)
}

/// Replaces files in a folder that holds others, too.
pub fn replace(
    disk: &dyn Disk,
    folder: &Path,
    files: &[NewFile],
    inventory: &Inventory,
) -> Result<(), Trouble> {
    let journal = Journal::new(folder);
    let is_new = |name: &String| files.iter().any(|(new, _)| new == name);
    let marker = Marker {
        put: files.iter().map(|(name, _)| name.clone()).collect(),
        remove: inventory.old.iter().filter(|name| !is_new(name)).cloned().collect(),
    };
    if let Err(error) = prepare(disk, &journal, files, &marker) {
        // Without its marker the journal is nothing; if it stays, the next build
        // takes it away.
        let _ = close(disk, &journal);
        return Err(error.into());
    }
    if let Err(error) = apply(disk, &journal, &marker) {
        // If a file cannot be put back either, the marker stays, and the next build
        // goes on from there.
        if undo(disk, &journal, &marker).is_ok() {
            let _ = close(disk, &journal);
        }
        return Err(error.into());
    }
    // Everything is in its place; what is left here the next build takes away.
    let _ = close(disk, &journal);
    Ok(())
}

fn prepare(
    disk: &dyn Disk,
    journal: &Journal<'_>,
    files: &[NewFile],
    marker: &Marker,
) -> io::Result<()> {
    disk.create_folder(&journal.stage)?;
    disk.create_folder(&journal.stage.join("new"))?;
    disk.create_folder(&journal.stage.join("old"))?;
    for (name, bytes) in files {
        disk.write(&journal.new_file(name), bytes)?;
    }
    disk.sync(&journal.stage.join("new"))?;
    let unready = journal.stage.join("unready");
    disk.write(&unready, &serde_json::to_vec(marker)?)?;
    disk.rename(&unready, &journal.marker())?;
    disk.sync(&journal.stage)
}

/// Puts new files in their places. May be run again after it was cut off anywhere.
fn apply(disk: &dyn Disk, journal: &Journal<'_>, marker: &Marker) -> io::Result<()> {
    for name in &marker.put {
        if disk.kind(&journal.new_file(name))?.is_some() {
            keep(disk, journal, name)?;
            disk.rename(&journal.new_file(name), &journal.folder.join(name))?;
        }
    }
    for name in &marker.remove {
        // A file that is kept already and is here again is another one, and not ours.
        let is_kept = disk.kind(&journal.old_file(name))?.is_some();
        let place = journal.folder.join(name);
        if !is_kept && disk.kind(&place)?.is_some() {
            disk.rename(&place, &journal.old_file(name))?;
        }
    }
    disk.sync(journal.folder)
}

/// Keeps the old file of this name, if there is one. A second name for it is best: then
/// its place is never empty. Without such names the file is moved.
fn keep(disk: &dyn Disk, journal: &Journal<'_>, name: &str) -> io::Result<()> {
    let (place, kept) = (journal.folder.join(name), journal.old_file(name));
    if disk.kind(&place)?.is_none() || disk.kind(&kept)?.is_some() {
        return Ok(());
    }
    disk.link(&place, &kept).or_else(|_| disk.rename(&place, &kept))
}

/// Puts old files back. New files are kept in the journal until all is done, so that
/// a build cut off here can still be finished by the next.
fn undo(disk: &dyn Disk, journal: &Journal<'_>, marker: &Marker) -> io::Result<()> {
    for name in marker.put.iter().chain(&marker.remove) {
        let place = journal.folder.join(name);
        let was_put = disk.kind(&journal.new_file(name))?.is_none() && marker.put.contains(name);
        if was_put && disk.kind(&place)?.is_some() {
            disk.rename(&place, &journal.new_file(name))?;
        }
        if disk.kind(&journal.old_file(name))?.is_some() {
            disk.rename(&journal.old_file(name), &place)?;
        }
    }
    Ok(())
}

/// The marker first: without it the rest is nothing.
fn close(disk: &dyn Disk, journal: &Journal<'_>) -> io::Result<()> {
    if disk.kind(&journal.marker())?.is_some() {
        disk.remove_file(&journal.marker())?;
    }
    match disk.kind(&journal.stage)? {
        Some(_) => disk::remove_tree(disk, &journal.stage),
        None => Ok(()),
    }
}
