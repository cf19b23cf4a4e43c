//! What resolving leaves behind.

use crate::source::FileId;
use crate::syntax::{Expr, Item, ItemKind, Shape, Tree};
use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

/// A declaration: its file and its item there.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct DeclId {
    /// Index into [`Program::files`].
    pub file: usize,
    /// Index into the items of the file's tree.
    pub item: usize,
}

/// A file with its namespace.
#[derive(Clone, Debug)]
pub struct FileSpace {
    /// Its id in the source map.
    pub file: FileId,
    /// Its text.
    pub text: Arc<str>,
    /// What was written.
    pub tree: Tree,
    /// Own names: the item that declares each; of two with one name, the first.
    pub own: BTreeMap<Arc<str>, usize>,
    /// `use`d files: the qualifier and the index of the file.
    pub used: Vec<(Arc<str>, usize)>,
    /// Library files that are always in use.
    pub implied: Vec<usize>,
}

/// The order in which the lines of a shape can be worked out.
#[derive(Clone, Debug, Default)]
pub struct ShapePlan {
    /// Indices of its lines, each after those that it reads.
    pub order: Vec<usize>,
    /// Whether a call of it cannot be worked out: it calls itself, or its lines do.
    pub endless: bool,
}

/// The text of a drawing.
#[derive(Clone, Debug)]
pub struct Drawing {
    /// Its id in the source map.
    pub file: FileId,
    /// Its text.
    pub text: Arc<str>,
}

/// A design: its files, and in which order its declarations can be worked out.
#[derive(Clone, Debug)]
pub struct Program {
    /// The root file's name without its ending.
    pub name: String,
    /// The root file first, then `use`d files in the order in which they were read.
    pub files: Vec<FileSpace>,
    /// Declarations that hold a value, each after those that it reads.
    pub order: Vec<DeclId>,
    /// Declarations in a cycle: reported, without a value.
    pub cyclic: BTreeSet<DeclId>,
    /// Every shape.
    pub shapes: BTreeMap<DeclId, ShapePlan>,
    /// Drawings that could be read, by the file that names each and its name as written.
    pub drawings: BTreeMap<(usize, String), Drawing>,
}

impl Program {
    /// The root file.
    pub fn root(&self) -> &FileSpace {
        &self.files[0]
    }

    /// The item of a declaration.
    pub fn item(&self, id: DeclId) -> &Item {
        &self.files[id.file].tree.items[id.item]
    }

    /// The shape of a declaration that is one.
    pub fn shape(&self, id: DeclId) -> Option<&Shape> {
        match &self.item(id).kind {
            ItemKind::Shape(shape) => Some(shape),
            _ => None,
        }
    }

    /// The names of all sizes, in the order of the text.
    pub fn sizes(&self) -> Vec<String> {
        let blocks = self.root().tree.items.iter().filter_map(|item| match &item.kind {
            ItemKind::Sizes(sizes) => Some(sizes),
            _ => None,
        });
        blocks.flatten().map(|size| size.name.text.to_string()).collect()
    }

    /// The givens of the root file with their defaults as written, in the order of the
    /// text.
    pub fn givens(&self) -> Vec<(String, String)> {
        let text = |e: &Expr| self.snippet(0, e).to_string();
        let items = self.root().tree.items.iter();
        items
            .filter_map(|item| match &item.kind {
                ItemKind::Given(g) => Some((g.name.text.to_string(), text(&g.default))),
                _ => None,
            })
            .collect()
    }

    /// The text of an expression of a file.
    pub fn snippet(&self, file: usize, expr: &Expr) -> &str {
        self.files[file].text.get(expr.span.range()).unwrap_or("")
    }
}
