//! What lies in a folder, and which of it comes from builds. Builds list their files in
//! their manifests; what no manifest lists is somebody else's.

use super::disk::{Disk, Kind};
use super::findings::Trouble;
use super::{LISTING_ENDINGS, NewFile, is_listing};
use serde::Deserialize;
use std::collections::{BTreeMap, BTreeSet};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// The contents of a folder that is about to change.
#[derive(Debug, Default)]
pub struct Inventory {
    /// Files of earlier builds of the same design; they go.
    pub old: Vec<String>,
    /// Files of other designs and of sizes, with their paths from the folder; they stay.
    pub carried: Vec<PathBuf>,
    /// Folders of sizes; they stay.
    pub sizes: Vec<PathBuf>,
    /// Whether there is anything else.
    foreign: bool,
}

/// The keys of a manifest that say what is ours.
#[derive(Debug, Deserialize)]
struct Listing {
    compiler: String,
    size: Option<String>,
    files: Vec<String>,
}

impl Inventory {
    /// Looks through `folder`, into which `files` are to be put.
    ///
    /// # Errors
    /// When one of `files` would replace what is not an earlier one of the same design.
    pub fn of(disk: &dyn Disk, folder: &Path, files: &[NewFile]) -> Result<Self, Trouble> {
        let names = disk.list(folder)?;
        let listed = listed(disk, folder, &names)?;
        let own: BTreeSet<&str> =
            files.iter().map(|(n, _)| n.as_str()).filter(|n| is_listing(n)).collect();
        let mut inventory = Inventory::default();
        for name in &names {
            let path = folder.join(name);
            let kind = disk.kind(&path)?;
            let owner = name.to_str().and_then(|name| listed.get(name));
            let new = files.iter().find(|(n, _)| OsStr::new(n) == name);
            match (kind, owner) {
                (Some(Kind::File), Some(owner)) if own.contains(owner.as_str()) => {
                    inventory.old.push(name.to_string_lossy().into_owned());
                }
                (Some(Kind::File), Some(owner)) => {
                    if new.is_some() {
                        let ending = LISTING_ENDINGS.iter().find_map(|e| owner.strip_suffix(e));
                        let design = ending.unwrap_or(owner).to_string();
                        let name = name.to_string_lossy().into_owned();
                        return Err(Trouble::OtherDesign(name, design));
                    }
                    inventory.carried.push(PathBuf::from(name));
                }
                (Some(Kind::Folder), _) if new.is_none() => {
                    inventory.add_size(disk, folder, name)?
                }
                _ => match new {
                    Some((new, bytes)) if !is_same(disk, &path, kind, bytes) => {
                        return Err(Trouble::Foreign(new.clone()));
                    }
                    Some((new, _)) => inventory.old.push(new.clone()),
                    None => inventory.foreign = true,
                },
            }
        }
        Ok(inventory)
    }

    /// Whether everything in the folder comes from builds.
    pub fn is_ours_alone(&self) -> bool {
        !self.foreign
    }

    /// A folder inside: ours when it is a size and all in it is listed.
    fn add_size(&mut self, disk: &dyn Disk, folder: &Path, name: &OsStr) -> Result<(), Trouble> {
        let path = folder.join(name);
        let names = disk.list(&path)?;
        let mut is_size = false;
        let mut all = BTreeSet::new();
        for manifest in names.iter().filter_map(|n| n.to_str()) {
            if let Some(listing) = listing(disk, &path, manifest)? {
                is_size |= listing.size.as_deref().map(OsStr::new) == Some(name);
                all.insert(manifest.to_string());
                all.extend(listing.files);
            }
        }
        let mut files = Vec::new();
        for file in &names {
            let known = file.to_str().is_some_and(|f| all.contains(f));
            if !known || disk.kind(&path.join(file))? != Some(Kind::File) {
                self.foreign = true;
                return Ok(());
            }
            files.push(Path::new(name).join(file));
        }
        if is_size {
            self.sizes.push(PathBuf::from(name));
            self.carried.extend(files);
        } else {
            self.foreign = true;
        }
        Ok(())
    }
}

/// The manifest's name for each file that a manifest in the folder lists.
fn listed(
    disk: &dyn Disk,
    folder: &Path,
    names: &[std::ffi::OsString],
) -> Result<BTreeMap<String, String>, Trouble> {
    let mut owners = BTreeMap::new();
    for manifest in names.iter().filter_map(|n| n.to_str()) {
        if let Some(listing) = listing(disk, folder, manifest)? {
            owners.insert(manifest.to_string(), manifest.to_string());
            for file in listing.files {
                owners.insert(file, manifest.to_string());
            }
        }
    }
    Ok(owners)
}

/// Reads a manifest; none where the file is something else.
fn listing(disk: &dyn Disk, folder: &Path, name: &str) -> Result<Option<Listing>, Trouble> {
    let path = folder.join(name);
    if !is_listing(name) || disk.kind(&path)? != Some(Kind::File) {
        return Ok(None);
    }
    let parsed: Option<Listing> = serde_json::from_slice(&disk.read(&path)?).ok();
    Ok(parsed.filter(|listing| listing.compiler.starts_with("pipkin ")))
}

fn is_same(disk: &dyn Disk, path: &Path, kind: Option<Kind>, bytes: &[u8]) -> bool {
    kind == Some(Kind::File) && disk.read(path).is_ok_and(|there| there == bytes)
}
