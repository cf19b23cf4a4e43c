//! Files of a revision, read through git's own command: nothing is checked out.

use crate::diagnostics::Diagnostic;
use crate::pipeline;
use crate::source::{MAX_SOURCE_BYTES, ReadError, World};
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};
use std::process::Command;

/// The most links that are followed to one file.
const MOST_LINKS: usize = 10;

/// The files of one revision. Paths begin with `/`, which is the top of the work tree.
#[derive(Debug)]
pub struct Revision {
    /// Where git is run.
    folder: PathBuf,
    /// The tree's hash: what is read cannot change in the meantime.
    tree: String,
    /// The path from the top to `folder`.
    prefix: String,
}

/// What a path is in a tree.
enum Entry {
    File,
    Link,
    Folder,
}

impl Revision {
    /// The revision `name`, seen from `folder` of a work tree.
    ///
    /// # Errors
    /// A finding when git has no such revision, or cannot be run.
    pub fn open(folder: &Path, name: &str) -> Result<Self, Box<Diagnostic>> {
        let asked = format!("{name}^{{tree}}");
        let tree = git(folder, ["rev-parse", "--verify", "--quiet", "--end-of-options", &asked])
            .map_err(|why| refused(name, &why))?;
        let prefix =
            git(folder, ["rev-parse", "--show-prefix"]).map_err(|why| refused(name, &why))?;
        let [tree, prefix] = [tree, prefix].map(|b| String::from_utf8_lossy(&b).trim().to_string());
        Ok(Revision { folder: folder.to_path_buf(), tree, prefix })
    }

    /// The path in the revision of a path as seen from the folder.
    pub fn path(&self, from_folder: &Path) -> PathBuf {
        plain(&Path::new("/").join(&self.prefix).join(from_folder))
    }

    /// The bytes of a file.
    ///
    /// # Errors
    /// When there is no such file, or it is larger than a source may be.
    pub fn bytes(&self, path: &Path) -> Result<Vec<u8>, ReadError> {
        let object = self.object(path);
        let size =
            git(&self.folder, ["cat-file", "-s", &object]).map_err(|_| ReadError::Missing)?;
        let size: u64 = String::from_utf8_lossy(&size).trim().parse().unwrap_or(0);
        if size > MAX_SOURCE_BYTES {
            return Err(ReadError::TooLarge(size));
        }
        git(&self.folder, ["cat-file", "blob", &object]).map_err(ReadError::System)
    }

    /// Names of the files of a folder; none where it is no folder.
    pub fn names(&self, path: &Path) -> Option<Vec<String>> {
        let listed =
            git(&self.folder, ["ls-tree", "-z", "--full-tree", "--name-only", &self.object(path)])
                .ok()?;
        let names = listed.split(|b| *b == 0).filter(|n| !n.is_empty());
        Some(names.map(|n| String::from_utf8_lossy(n).into_owned()).collect())
    }

    /// Whether a path is a folder.
    pub fn is_folder(&self, path: &Path) -> bool {
        matches!(self.entry(path), Some(Entry::Folder))
    }

    fn object(&self, path: &Path) -> String {
        let inside = path.to_string_lossy().replace('\\', "/");
        format!("{}:{}", self.tree, inside.trim_start_matches('/'))
    }

    fn entry(&self, path: &Path) -> Option<Entry> {
        let inside = path.to_string_lossy().replace('\\', "/");
        let inside = inside.trim_start_matches('/').to_string();
        if inside.is_empty() {
            return Some(Entry::Folder);
        }
        // The path of the tree is taken as it stands: no stars, no folder of this run.
        let told = git(&self.folder, ["ls-tree", "--full-tree", &self.tree, "--", &inside]);
        let told = String::from_utf8_lossy(&told.ok()?).into_owned();
        match told.split_whitespace().next()? {
            "120000" => Some(Entry::Link),
            "040000" => Some(Entry::Folder),
            "100644" | "100755" => Some(Entry::File),
            _ => None,
        }
    }
}

impl World for Revision {
    fn read(&self, path: &Path) -> Result<String, ReadError> {
        let bytes = self.bytes(path)?;
        String::from_utf8(bytes).map_err(|e| ReadError::NotText(e.utf8_error().valid_up_to()))
    }

    fn canonical(&self, path: &Path) -> Result<PathBuf, ReadError> {
        let mut path = plain(&Path::new("/").join(path));
        for _ in 0..MOST_LINKS {
            match self.entry(&path) {
                Some(Entry::Link) => {
                    let target = self.read(&path)?;
                    let folder = path.parent().unwrap_or(Path::new("/"));
                    // A link out of the work tree leads nowhere in a revision.
                    if Path::new(&target).is_absolute() {
                        return Err(ReadError::Missing);
                    }
                    path = plain(&folder.join(target));
                }
                Some(_) => return Ok(path),
                None => return Err(ReadError::Missing),
            }
        }
        Err(ReadError::System("links lead in a circle".to_string()))
    }
}

/// Without `.` and `..`.
fn plain(path: &Path) -> PathBuf {
    let mut clean = PathBuf::new();
    for part in path.components() {
        match part {
            Component::ParentDir => {
                clean.pop();
            }
            Component::CurDir => {}
            other => clean.push(other),
        }
    }
    clean
}

/// What git says on standard output.
///
/// # Errors
/// What it says on standard error, or why it could not be run.
pub fn git<S: AsRef<OsStr>>(
    folder: &Path,
    arguments: impl IntoIterator<Item = S>,
) -> Result<Vec<u8>, String> {
    let folder = if folder.as_os_str().is_empty() { Path::new(".") } else { folder };
    let output = Command::new("git")
        .current_dir(folder)
        .args(arguments)
        .output()
        .map_err(|e| format!("git cannot be run: {e}"))?;
    if output.status.success() {
        return Ok(output.stdout);
    }
    let said = String::from_utf8_lossy(&output.stderr);
    Err(said.lines().next().unwrap_or_default().to_string())
}

fn refused(name: &str, why: &str) -> Box<Diagnostic> {
    let finding =
        Diagnostic::nowhere(pipeline::NO_REVISION, format!("git has no revision `{name}` here"));
    let finding = finding.help("write it as git knows it, as in HEAD~1:jar.pkn or v2:jar.pkn");
    Box::new(if why.is_empty() { finding } else { finding.note(format!("git says: {why}")) })
}
