//! Reads the drawings that the design names.

use super::load::{outside, unreadable};
use super::program::{Drawing, Program};
use crate::diagnostics::Sink;
use crate::source::{FileId, ReadError, SourceMap, Span, World};
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// Where drawings are looked for.
pub(super) struct Drawings<'a> {
    pub(super) world: &'a dyn World,
    /// The root file's folder.
    pub(super) root: &'a Path,
    /// The folder of each file.
    pub(super) folders: &'a [PathBuf],
}

impl Drawings<'_> {
    /// Reads each file once, and reports each that cannot be read where it is named.
    pub(super) fn read(
        &self,
        named: &[(usize, String, Span)],
        program: &mut Program,
        sources: &mut SourceMap,
        sink: &mut Sink,
    ) {
        let mut known: BTreeMap<PathBuf, (FileId, Arc<str>)> = BTreeMap::new();
        for (file, name, span) in named {
            let Some(folder) = self.folders.get(*file) else { continue };
            let path = match self.inside(&folder.join(name)) {
                Ok(Some(path)) => path,
                Ok(None) => {
                    sink.push(outside(name, *span));
                    continue;
                }
                Err(error) => {
                    sink.push(unreadable(&error, name, Some(*span)));
                    continue;
                }
            };
            let found = match known.get(&path) {
                Some(found) => found.clone(),
                None => match self.world.read(&path) {
                    Ok(text) => {
                        let text: Arc<str> = text.into();
                        let shown = path.strip_prefix(self.root).unwrap_or(&path);
                        let shown = shown.to_string_lossy().replace('\\', "/");
                        let id = sources.add(shown, &*text);
                        known.insert(path, (id, text.clone()));
                        (id, text)
                    }
                    Err(error) => {
                        sink.push(unreadable(&error, name, Some(*span)));
                        continue;
                    }
                },
            };
            let drawing = Drawing { file: found.0, text: found.1 };
            program.drawings.insert((*file, name.clone()), drawing);
        }
    }

    /// The path itself; none where it lies outside the root file's folder.
    fn inside(&self, path: &Path) -> Result<Option<PathBuf>, ReadError> {
        let found = self.world.canonical(path)?;
        Ok(found.starts_with(self.root).then_some(found))
    }
}
