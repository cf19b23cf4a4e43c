//! The first way: a whole new folder beside the old one, then one step.

use super::disk::{self, Disk, Kind};
use super::findings::Trouble;
use super::inventory::Inventory;
use super::{NewFile, parent};
use std::io::{self, ErrorKind};
use std::path::{Path, PathBuf};

/// Why there was no exchange.
#[derive(Debug)]
pub enum Failed {
    /// This system, or these rights, have no such step; nothing was changed.
    Unable,
    /// Another way would fail as well.
    Trouble(Trouble),
}

/// Where the new folder is made: beside the old one, on the same disk.
fn stage_of(folder: &Path) -> PathBuf {
    let mut name = std::ffi::OsString::from(".");
    name.push(folder.file_name().unwrap_or_default());
    name.push(".pipkin-stage");
    parent(folder).join(name)
}

/// Takes away what a killed build left beside the folder: a new folder that was never
/// complete, or an old one that was exchanged.
pub fn clean(disk: &dyn Disk, folder: &Path) -> io::Result<()> {
    let stage = stage_of(folder);
    match disk.kind(&stage)? {
        Some(Kind::Folder) => disk::remove_tree(disk, &stage),
        _ => Ok(()),
    }
}

/// Makes a folder that was not there.
pub fn first(disk: &dyn Disk, folder: &Path, files: &[NewFile]) -> Result<(), Trouble> {
    clean(disk, folder)?;
    let stage = stage_of(folder);
    let made = fill(disk, &stage, files).and_then(|()| disk.rename(&stage, folder));
    if let Err(error) = made {
        abandon(disk, &stage);
        return Err(error.into());
    }
    // It is there; whether it survives a power cut now is the disk's affair.
    let _ = disk.sync(&parent(folder));
    Ok(())
}

/// Replaces a folder in which everything comes from builds.
pub fn again(
    disk: &dyn Disk,
    folder: &Path,
    files: &[NewFile],
    inventory: &Inventory,
) -> Result<(), Failed> {
    let stage = stage_of(folder);
    let made = fill(disk, &stage, files)
        .and_then(|()| carry(disk, folder, &stage, inventory))
        .and_then(|()| disk.exchange(&stage, folder));
    if let Err(error) = made {
        abandon(disk, &stage);
        return Err(match error.kind() {
            ErrorKind::StorageFull | ErrorKind::QuotaExceeded => Failed::Trouble(error.into()),
            _ => Failed::Unable,
        });
    }
    let _ = disk.sync(&parent(folder));
    rescue(disk, &stage, folder, inventory);
    // What is left of the old folder the next build takes away.
    let _ = disk::remove_tree(disk, &stage);
    Ok(())
}

fn fill(disk: &dyn Disk, stage: &Path, files: &[NewFile]) -> io::Result<()> {
    disk.create_folder(stage)?;
    for (name, bytes) in files {
        disk.write(&stage.join(name), bytes)?;
    }
    disk.sync(stage)
}

/// Gives what stays a second name in the new folder.
fn carry(disk: &dyn Disk, folder: &Path, stage: &Path, inventory: &Inventory) -> io::Result<()> {
    for size in &inventory.sizes {
        disk.create_folder(&stage.join(size))?;
        disk.copy_rights(&folder.join(size), &stage.join(size))?;
    }
    for file in &inventory.carried {
        disk.link(&folder.join(file), &stage.join(file))?;
    }
    disk.copy_rights(folder, stage)?;
    disk.sync(stage)
}

/// Moves what others put into the old folder after we had looked through it.
fn rescue(disk: &dyn Disk, old: &Path, folder: &Path, inventory: &Inventory) {
    let known = |path: &Path| {
        inventory.old.iter().any(|name| Path::new(name) == path)
            || inventory.carried.iter().chain(&inventory.sizes).any(|known| known == path)
    };
    for name in disk.list(old).unwrap_or_default() {
        let there = matches!(disk.kind(&folder.join(&name)), Ok(None));
        if !known(Path::new(&name)) && there {
            let _ = disk.rename(&old.join(&name), &folder.join(&name));
        }
    }
}

/// Takes away a new folder that will not be used. If even that fails, the next build
/// does it.
fn abandon(disk: &dyn Disk, stage: &Path) {
    let _ = disk::remove_tree(disk, stage);
}
