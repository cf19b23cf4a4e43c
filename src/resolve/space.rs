//! What a name means in a file: own before `use`d before built-in.

use super::builtin::{BUILTINS, Builtin};
use super::program::{DeclId, FileSpace, Program};
use crate::source::Span;
use crate::syntax::{Ident, ItemKind};

/// What a name means.
#[derive(Clone, Debug)]
pub enum Target {
    /// A declaration of this or another file.
    Declared(DeclId),
    /// A built-in shape.
    Builtin(&'static Builtin),
    /// The number pi.
    Pi,
    /// Two `use`d files declare it.
    Ambiguous(Vec<DeclId>),
}

/// The name that an item puts into its file's namespace.
pub fn declared_name(kind: &ItemKind) -> Option<&Ident> {
    match kind {
        ItemKind::Given(given) => Some(&given.name),
        ItemKind::Shape(shape) => Some(&shape.name),
        ItemKind::Let { name, .. }
        | ItemKind::Motif { name, .. }
        | ItemKind::Part { name, .. }
        | ItemKind::Printer { name, .. }
        | ItemKind::Material { name, .. }
        | ItemKind::Bought { name, .. } => Some(name),
        _ => None,
    }
}

/// Whether a `use`d file may hold the item.
pub fn is_library_item(kind: &ItemKind) -> bool {
    matches!(
        kind,
        ItemKind::Use(_)
            | ItemKind::Shape(_)
            | ItemKind::Let { .. }
            | ItemKind::Motif { .. }
            | ItemKind::Printer { .. }
            | ItemKind::Material { .. }
            | ItemKind::About { .. }
    )
}

impl FileSpace {
    /// The place of an own name.
    pub fn place(&self, item: usize) -> Span {
        let item = &self.tree.items[item];
        declared_name(&item.kind).map_or(item.span, |name| name.span)
    }
}

impl Program {
    /// What `name` means in file number `file`.
    pub fn find(&self, file: usize, name: &str) -> Option<Target> {
        let space = &self.files[file];
        if let Some(item) = space.own.get(name) {
            return Some(Target::Declared(DeclId { file, item: *item }));
        }
        let used: Vec<_> =
            space.used.iter().filter_map(|(_, other)| self.find_in(*other, name)).collect();
        match used.as_slice() {
            [] => {}
            [one] => return Some(Target::Declared(*one)),
            _ => return Some(Target::Ambiguous(used)),
        }
        if let Some(id) = space.implied.iter().find_map(|other| self.find_in(*other, name)) {
            return Some(Target::Declared(id));
        }
        if name == "pi" {
            return Some(Target::Pi);
        }
        Builtin::find(name).map(Target::Builtin)
    }

    /// A name that file number `file` declares itself.
    pub fn find_in(&self, file: usize, name: &str) -> Option<DeclId> {
        self.files[file].own.get(name).map(|item| DeclId { file, item: *item })
    }

    /// The `use`d file of this qualifier.
    pub fn qualified(&self, file: usize, qualifier: &str) -> Option<usize> {
        let used = &self.files[file].used;
        used.iter().find(|(name, _)| **name == *qualifier).map(|(_, other)| *other)
    }

    /// What a name would mean were it not the file's own: a library name that is always
    /// in use, or a built-in.
    pub fn hidden(&self, file: usize, name: &str) -> Option<&'static str> {
        if name == "pi" {
            return Some("the built-in number");
        }
        if Builtin::find(name).is_some() {
            return Some("the built-in shape");
        }
        let implied = &self.files[file].implied;
        let found = implied.iter().any(|other| self.find_in(*other, name).is_some());
        found.then_some("the standard library's")
    }

    /// Every name that means something in file number `file`.
    pub fn visible(&self, file: usize) -> Vec<&str> {
        let space = &self.files[file];
        let others = space.used.iter().map(|(_, f)| f).chain(&space.implied);
        let mut names: Vec<&str> = space.own.keys().map(|n| &**n).collect();
        names.extend(others.flat_map(|f| self.files[*f].own.keys().map(|n| &**n)));
        names.extend(space.used.iter().map(|(qualifier, _)| &**qualifier));
        names.extend(BUILTINS.iter().map(|b| b.name));
        names.push("pi");
        names
    }
}
