//! The one window to files.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

/// Why a file could not be read, in words for a message.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReadError {
    /// There is no such file.
    Missing,
    /// It is larger than [`MAX_SOURCE_BYTES`].
    TooLarge(u64),
    /// It is not UTF-8 text; the offset of the first bad byte.
    NotText(usize),
    /// The system refused; its own words.
    System(String),
}

/// The largest source file that is read, 4 MiB: far above any design, far below
/// what would hurt.
pub const MAX_SOURCE_BYTES: u64 = 4 << 20;

/// Where files come from.
pub trait World: Sync {
    /// The text of a file.
    ///
    /// # Errors
    /// [`ReadError`] when it cannot be read or is not text.
    fn read(&self, path: &Path) -> Result<String, ReadError>;

    /// The path with every link and `..` resolved.
    ///
    /// # Errors
    /// [`ReadError`] when there is no such file.
    fn canonical(&self, path: &Path) -> Result<PathBuf, ReadError>;
}

/// The file system.
#[derive(Clone, Copy, Debug, Default)]
pub struct DiskWorld;

impl World for DiskWorld {
    fn read(&self, path: &Path) -> Result<String, ReadError> {
        let system = |e: std::io::Error| match e.kind() {
            std::io::ErrorKind::NotFound => ReadError::Missing,
            _ => ReadError::System(e.to_string()),
        };
        let size = std::fs::metadata(path).map_err(system)?.len();
        if size > MAX_SOURCE_BYTES {
            return Err(ReadError::TooLarge(size));
        }
        let bytes = std::fs::read(path).map_err(system)?;
        String::from_utf8(bytes).map_err(|e| ReadError::NotText(e.utf8_error().valid_up_to()))
    }

    fn canonical(&self, path: &Path) -> Result<PathBuf, ReadError> {
        std::fs::canonicalize(path).map_err(|e| match e.kind() {
            std::io::ErrorKind::NotFound => ReadError::Missing,
            _ => ReadError::System(e.to_string()),
        })
    }
}

/// Files in memory, for tests and editors.
#[derive(Clone, Debug, Default)]
pub struct MemoryWorld {
    files: BTreeMap<PathBuf, String>,
}

impl MemoryWorld {
    /// A world that holds one file.
    pub fn with(path: impl Into<PathBuf>, text: impl Into<String>) -> Self {
        let mut world = MemoryWorld::default();
        world.insert(path, text);
        world
    }

    /// Adds or replaces a file.
    pub fn insert(&mut self, path: impl Into<PathBuf>, text: impl Into<String>) {
        self.files.insert(path.into(), text.into());
    }
}

impl World for MemoryWorld {
    fn read(&self, path: &Path) -> Result<String, ReadError> {
        let text = self.files.get(path).ok_or(ReadError::Missing)?;
        if text.len() as u64 > MAX_SOURCE_BYTES {
            return Err(ReadError::TooLarge(text.len() as u64));
        }
        Ok(text.clone())
    }

    fn canonical(&self, path: &Path) -> Result<PathBuf, ReadError> {
        let mut clean = PathBuf::new();
        for part in path.components() {
            match part {
                std::path::Component::ParentDir => {
                    clean.pop();
                }
                std::path::Component::CurDir => {}
                other => clean.push(other),
            }
        }
        if self.files.contains_key(&clean) { Ok(clean) } else { Err(ReadError::Missing) }
    }
}
