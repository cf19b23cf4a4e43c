//! Reading the root file and every file that it uses.

use super::codes;
use super::drawings::Drawings;
use super::items;
use super::library;
use super::names;
use super::order;
use super::program::{DeclId, FileSpace, Program};
use super::space::{declared_name, is_library_item};
use super::suggest::did_you_mean;
use crate::diagnostics::{Diagnostic, Sink};
use crate::quantity::decimals;
use crate::source::{ReadError, SourceMap, Span, World};
use crate::syntax::{self, Ident, Item, ItemKind, UsePath};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;

/// The most files of one design; far above any, so that a chain of files ends.
const MAX_FILES: usize = 200;

/// Who a file is, however it is named.
#[derive(Clone, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Library(&'static str),
    Path(PathBuf),
}

/// Where a file is in its reading.
#[derive(Clone, Copy)]
enum State {
    /// Read, its own uses not yet all followed.
    Open,
    Done(usize),
}

struct Loader<'a> {
    world: &'a dyn World,
    folder: PathBuf,
    sources: &'a mut SourceMap,
    sink: &'a mut Sink,
    files: Vec<FileSpace>,
    /// The folder of each file.
    folders: Vec<PathBuf>,
    states: BTreeMap<Key, State>,
    /// The files being read, outermost first, each with the `use` that led to it.
    trail: Vec<(Key, Option<Span>)>,
}

/// Reads `root` and all files that it uses, and finds out what every name means.
/// The program is missing only when the root file cannot be read.
pub fn resolve(world: &dyn World, root: &Path, sources: &mut SourceMap) -> (Option<Program>, Sink) {
    let mut sink = Sink::default();
    let shown = root.file_name().map_or_else(|| "the file".into(), |n| n.to_string_lossy());
    let read = world.canonical(root).and_then(|path| Ok((world.read(&path)?, path)));
    let (text, path) = match read {
        Ok(found) => found,
        Err(error) => {
            sink.push(unreadable(&error, &shown, None));
            return (None, sink);
        }
    };
    let name = Path::new(&*shown).file_stem().map_or("design".into(), |s| s.to_string_lossy());
    let folder = path.parent().map(Path::to_path_buf).unwrap_or_default();
    let mut loader = Loader {
        world,
        folder: folder.clone(),
        sources,
        sink: &mut sink,
        files: Vec::new(),
        folders: Vec::new(),
        states: BTreeMap::new(),
        trail: Vec::new(),
    };
    loader.file(Key::Path(path), &shown, text, &folder, None);
    let mut program = Program {
        name: name.into_owned(),
        files: std::mem::take(&mut loader.files),
        order: Vec::new(),
        cyclic: BTreeSet::new(),
        shapes: BTreeMap::new(),
        drawings: BTreeMap::new(),
    };
    let folders = std::mem::take(&mut loader.folders);
    items::check(&program, &mut sink);
    let reads = names::check(&program, &mut sink);
    let root = Drawings { world, root: &folder, folders: &folders };
    root.read(&reads.drawings, &mut program, sources, &mut sink);
    order::arrange(&mut program, &reads, &mut sink);
    (Some(program), sink)
}

impl Loader<'_> {
    /// Parses a file and reads what it uses. Its index.
    fn file(
        &mut self,
        key: Key,
        shown: &str,
        text: String,
        folder: &Path,
        used_at: Option<Span>,
    ) -> usize {
        let file = self.sources.add(shown, text.as_str());
        let (tree, findings) = syntax::parse(file, &text);
        self.sink.append(findings);
        let index = self.files.len();
        let library = matches!(key, Key::Library(_));
        self.states.insert(key.clone(), State::Open);
        self.folders.push(folder.to_path_buf());
        self.files.push(FileSpace {
            file,
            text: text.into(),
            own: own_names(&tree.items),
            tree,
            used: Vec::new(),
            implied: Vec::new(),
        });
        self.trail.push((key.clone(), used_at));
        let items = self.files[index].tree.items.clone();
        for item in &items {
            if let ItemKind::Use(path) = &item.kind {
                self.follow(index, path, item.span, folder);
            }
        }
        if !library {
            for name in library::ALWAYS {
                if let Some(other) = self.library(name, None) {
                    self.files[index].implied.push(other);
                }
            }
        }
        self.trail.pop();
        self.states.insert(key, State::Done(index));
        index
    }

    /// Follows one `use` of file number `index`.
    fn follow(&mut self, index: usize, path: &UsePath, span: Span, folder: &Path) {
        let found = match path {
            UsePath::Library(words) => self.library_words(words, span),
            UsePath::File { path, span } => self.beside(path, *span, folder),
        };
        let Some((qualifier, other)) = found else { return };
        self.must_be_library(other, span);
        let used = &mut self.files[index].used;
        if !used.iter().any(|(_, known)| *known == other) {
            used.push((qualifier, other));
        }
    }

    /// `std.NAME`.
    fn library_words(&mut self, words: &[Ident], span: Span) -> Option<(Arc<str>, usize)> {
        let known = library::names();
        let (name, is_std) = match words {
            [std, name] => (&*name.text, &*std.text == "std"),
            _ => ("", false),
        };
        if !is_std || !known.contains(&name) {
            self.sink.push(unknown_library(words, &known, span));
            return None;
        }
        Some((name.into(), self.library(name, Some(span))?))
    }

    fn library(&mut self, name: &str, used_at: Option<Span>) -> Option<usize> {
        let name = library::names().into_iter().find(|known| *known == name)?;
        let key = Key::Library(name);
        match self.states.get(&key) {
            Some(State::Done(index)) => return Some(*index),
            Some(State::Open) => return None,
            None => {}
        }
        let text = library::text(name)?.to_string();
        Some(self.file(key, &format!("std.{name}"), text, Path::new(""), used_at))
    }

    /// A file beside the using one, inside the root file's folder.
    fn beside(&mut self, path: &str, span: Span, folder: &Path) -> Option<(Arc<str>, usize)> {
        let found = match self.world.canonical(&folder.join(path)) {
            Ok(found) => found,
            Err(error) => {
                self.sink.push(unreadable(&error, path, Some(span)));
                return None;
            }
        };
        let Ok(inside) = found.strip_prefix(&self.folder) else {
            self.sink.push(outside(path, span));
            return None;
        };
        let shown = inside.to_string_lossy().replace('\\', "/");
        let qualifier: Arc<str> = inside.file_stem()?.to_string_lossy().as_ref().into();
        let key = Key::Path(found.clone());
        match self.states.get(&key) {
            Some(State::Done(index)) => return Some((qualifier, *index)),
            Some(State::Open) => {
                let finding = self.use_cycle(&key, &shown, span);
                self.sink.push(finding);
                return None;
            }
            None => {}
        }
        if self.files.len() >= MAX_FILES {
            self.sink.push(too_many(span));
            return None;
        }
        match self.world.read(&found) {
            Ok(text) => {
                let beside = found.parent().map(Path::to_path_buf).unwrap_or_default();
                Some((qualifier, self.file(key, &shown, text, &beside, Some(span))))
            }
            Err(error) => {
                self.sink.push(unreadable(&error, &shown, Some(span)));
                None
            }
        }
    }

    /// The file is being read already: shows every link.
    fn use_cycle(&self, key: &Key, shown: &str, span: Span) -> Diagnostic {
        let from = self.trail.iter().position(|(k, _)| k == key).unwrap_or(0);
        let links = self.trail[from + 1..].iter().filter_map(|(_, span)| *span);
        let first = Diagnostic::at(
            codes::USE_CYCLE,
            span,
            format!("`{shown}` uses itself, by way of the files that it uses"),
        )
        .label("which closes the cycle")
        .help("move what both need into a third file");
        links.fold(first, |finding, link| finding.and_at(link, "uses this file"))
    }

    fn must_be_library(&mut self, other: usize, span: Span) {
        let space = &self.files[other];
        let Some(item) = space.tree.items.iter().find(|item| !is_library_item(&item.kind)) else {
            return;
        };
        let name = self.sources.name(space.file);
        self.sink.push(
            Diagnostic::at(
                codes::NOT_A_LIBRARY,
                span,
                format!("`{name}` is not a library: it holds more than shapes and values"),
            )
            .and_at(item.span, "this belongs into a design's own file")
            .help("keep only shape, let, motif, material and printer in a used file"),
        );
    }
}

/// Own names; of two with one name, the first.
fn own_names(items: &[Item]) -> BTreeMap<Arc<str>, usize> {
    let mut names = BTreeMap::new();
    for (index, item) in items.iter().enumerate() {
        if let Some(name) = declared_name(&item.kind) {
            names.entry(name.text.clone()).or_insert(index);
        }
    }
    names
}

/// Declarations of one file that share a name, with the first.
pub(super) fn doubles(space: &FileSpace, file: usize) -> Vec<(DeclId, DeclId)> {
    let mut found = Vec::new();
    for (item, declared) in space.tree.items.iter().enumerate() {
        let Some(name) = declared_name(&declared.kind) else { continue };
        match space.own.get(&name.text) {
            Some(first) if *first != item => {
                found.push((DeclId { file, item }, DeclId { file, item: *first }));
            }
            _ => {}
        }
    }
    found
}

/// Why the file `name` could not be read; `span` is where it was asked for in a text.
pub fn unreadable(error: &ReadError, name: &str, span: Option<Span>) -> Diagnostic {
    let (code, message, help) = match error {
        ReadError::Missing => (
            codes::FILE_MISSING,
            format!("there is no file `{name}`"),
            "check the name; a used file is looked for beside the file that uses it",
        ),
        ReadError::TooLarge(bytes) => (
            codes::FILE_TOO_LARGE,
            format!(
                "`{name}` is {} MiB large, and at most 4 MiB are read",
                decimals(*bytes as f64 / (1 << 20) as f64, 1)
            ),
            "split it, or check that it is the file that was meant",
        ),
        ReadError::NotText(offset) => (
            codes::FILE_NOT_TEXT,
            format!("`{name}` is not UTF-8 text: byte {offset} is the first that is none"),
            "save it as UTF-8, or check that it is the file that was meant",
        ),
        ReadError::System(words) => (
            codes::FILE_UNREADABLE,
            format!("`{name}` cannot be read: {words}"),
            "check that it is a file and may be read",
        ),
    };
    match span {
        Some(span) => Diagnostic::at(code, span, message),
        None => Diagnostic::nowhere(code, message),
    }
    .help(help)
}

fn unknown_library(words: &[Ident], known: &[&str], span: Span) -> Diagnostic {
    let written: Vec<&str> = words.iter().map(|w| &*w.text).collect();
    let span = match words {
        [first, .., last] => first.span.to(last.span),
        _ => span,
    };
    let finding = Diagnostic::at(
        codes::UNKNOWN_LIBRARY,
        span,
        format!("there is no library `{}`", written.join(".")),
    );
    let last = written.last().copied().unwrap_or("");
    let finding = match did_you_mean(last, known.iter().copied()) {
        Some(help) => finding.help(help),
        None => finding,
    };
    let all: Vec<String> = known.iter().map(|n| format!("std.{n}")).collect();
    finding.help(format!(
        "there are {}; a file of your own is written `use \"file.pkn\"`",
        all.join(", ")
    ))
}

pub(super) fn outside(path: &str, span: Span) -> Diagnostic {
    Diagnostic::at(
        codes::OUTSIDE_FOLDER,
        span,
        format!("`{path}` lies outside the folder of the design"),
    )
    .help("copy it beside the design, so that the folder can be moved as a whole")
}

fn too_many(span: Span) -> Diagnostic {
    Diagnostic::at(codes::TOO_MANY_FILES, span, format!("more than {MAX_FILES} files are used"))
        .help("gather small files into larger ones")
}
