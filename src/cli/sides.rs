//! From a word of the command line to one side of a comparison.

use crate::compare::{Content, Side};
use crate::diagnostics::{Diagnostic, Severity};
use crate::evaluate::Choice;
use crate::pipeline::{self, Options, Progress, Study};
use crate::resolve::unreadable;
use crate::source::{DiskWorld, ReadError, World};
use serde_json::Value;
use std::path::{Path, PathBuf};

use super::revision::Revision;

/// Where a side comes from.
#[derive(Debug)]
pub enum Place {
    /// A file or folder on disk.
    Disk(PathBuf),
    /// A path in a revision.
    Revision { folder: PathBuf, name: String, file: PathBuf },
}

impl Place {
    /// A file, a folder or a manifest, or `REV:FILE`, seen from the folder of this run.
    pub fn of(word: &str) -> Place {
        let path = PathBuf::from(word);
        match word.split_once(':') {
            Some((name, file)) if !name.is_empty() && !path.exists() => {
                Place::Revision { folder: PathBuf::new(), name: name.into(), file: file.into() }
            }
            _ => Place::Disk(path),
        }
    }

    /// The same file as the last commit has it.
    pub fn at_head(path: &Path) -> Place {
        let folder = if path.is_dir() { path } else { path.parent().unwrap_or(Path::new("")) };
        let file = path.strip_prefix(folder).unwrap_or(path).to_path_buf();
        Place::Revision { folder: folder.to_path_buf(), name: "HEAD".to_string(), file }
    }
}

/// A side that was read.
#[derive(Debug)]
pub struct ReadSide {
    label: String,
    choice: Choice,
    content: ReadContent,
}

#[derive(Debug)]
enum ReadContent {
    Study { study: Box<Study>, root: PathBuf },
    Manifest(Value),
}

type Refusal = Box<Diagnostic>;

impl ReadSide {
    /// Reads a side, and works it out where it is a design.
    ///
    /// # Errors
    /// A finding when there is no such side.
    pub fn read(
        place: &Place,
        label: String,
        options: &Options,
        progress: &dyn Progress,
    ) -> Result<ReadSide, Refusal> {
        let choice = Choice { size: options.size.clone(), sets: options.sets.clone() };
        let content = match place {
            Place::Disk(path) => on_disk(path, &label, options, progress)?,
            Place::Revision { folder, name, file } => {
                let revision = Revision::open(folder, name)?;
                in_revision(&revision, file, &label, options, progress)?
            }
        };
        Ok(ReadSide { label, choice, content })
    }

    /// For the comparison.
    pub fn side(&self) -> Side<'_> {
        let content = match &self.content {
            ReadContent::Study { study, .. } => Content::Study { study, choice: &self.choice },
            ReadContent::Manifest(manifest) => Content::Manifest(manifest),
        };
        Side { label: &self.label, content }
    }

    /// The design behind it, and its root file.
    pub fn study(&self) -> Option<(&Study, &Path)> {
        match &self.content {
            ReadContent::Study { study, root } => Some((study, root)),
            ReadContent::Manifest(_) => None,
        }
    }

    /// Findings because of which it could not be worked out.
    pub fn errors(&self) -> Vec<Diagnostic> {
        let Some((study, _)) = self.study().filter(|(study, _)| study.made.is_none()) else {
            return Vec::new();
        };
        study.findings.iter().filter(|f| f.severity == Severity::Error).cloned().collect()
    }
}

fn on_disk(
    path: &Path,
    label: &str,
    options: &Options,
    progress: &dyn Progress,
) -> Result<ReadContent, Refusal> {
    if !path.is_dir() {
        return one(&DiskWorld, path, label, options, progress);
    }
    let entries = std::fs::read_dir(path)
        .map_err(|e| Box::new(unreadable(&ReadError::System(e.to_string()), label, None)))?;
    let names = entries.flatten().map(|entry| entry.file_name().to_string_lossy().into_owned());
    let root = path.join(only_design(path, names.collect(), label)?);
    one(&DiskWorld, &root, label, options, progress)
}

fn in_revision(
    revision: &Revision,
    file: &Path,
    label: &str,
    options: &Options,
    progress: &dyn Progress,
) -> Result<ReadContent, Refusal> {
    let path = revision.path(file);
    if !revision.is_folder(&path) {
        return one(revision, &path, label, options, progress);
    }
    let names = revision.names(&path).unwrap_or_default();
    let root = path.join(only_design(&path, names, label)?);
    one(revision, &root, label, options, progress)
}

fn one(
    world: &dyn World,
    path: &Path,
    label: &str,
    options: &Options,
    progress: &dyn Progress,
) -> Result<ReadContent, Refusal> {
    // What is no file is refused here, under the name that was asked for.
    let found = world.canonical(path).map_err(|e| Box::new(unreadable(&e, label, None)))?;
    if path.extension().is_some_and(|e| e == "json") {
        let text = world.read(&found).map_err(|e| Box::new(unreadable(&e, label, None)))?;
        return manifest(&text, label).map(ReadContent::Manifest);
    }
    let study = Box::new(pipeline::study(world, path, options, progress));
    Ok(ReadContent::Study { study, root: path.to_path_buf() })
}

/// The manifest that a text is.
///
/// # Errors
/// A finding when it is none.
pub fn manifest(text: &str, label: &str) -> Result<Value, Refusal> {
    let refused = |why: String| {
        let message = format!("`{label}` is no manifest of a build: {why}");
        let help = "give the file NAME.manifest.json that a build wrote, or the design itself";
        Box::new(Diagnostic::nowhere(pipeline::NOT_A_MANIFEST, message).help(help))
    };
    let value: Value = serde_json::from_str(text).map_err(|e| refused(e.to_string()))?;
    let is_ours = value.get("manifest").is_some_and(Value::is_u64)
        && value.get("parts").is_some_and(Value::is_array);
    if is_ours { Ok(value) } else { Err(refused("it does not list the parts of a design".into())) }
}

/// The design of a folder: its only `.pkn` file, or the one that has the folder's name.
fn only_design(folder: &Path, names: Vec<String>, label: &str) -> Result<String, Refusal> {
    let mut designs: Vec<String> =
        names.into_iter().filter(|name| name.ends_with(".pkn")).collect();
    designs.sort();
    let named = folder.file_name().map(|name| format!("{}.pkn", name.to_string_lossy()));
    if let Some(own) = designs.iter().find(|name| Some(*name) == named.as_ref()) {
        return Ok(own.clone());
    }
    if let [only] = &designs[..] {
        return Ok(only.clone());
    }
    let message = match designs.len() {
        0 => format!("there is no design in the folder `{label}`"),
        n => format!("there are {n} designs in the folder `{label}`, and none has its name"),
    };
    let finding = Diagnostic::nowhere(pipeline::WHICH_DESIGN, message);
    Err(Box::new(match designs.first() {
        Some(first) => finding.help(format!("name the file, as in {label}/{first}")),
        None => finding.help("name a file that ends in .pkn"),
    }))
}
