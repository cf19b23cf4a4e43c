//! Declarations by themselves: doubled names, hidden built-ins, names that make no
//! good file names, kinds that are not there, things that are not built yet.

use super::codes;
use super::kind::Kind;
use super::load::doubles;
use super::program::{FileSpace, Program};
use super::space::declared_name;
use super::suggest::did_you_mean;
use super::{Function, UNIVERSAL_FIELDS};
use crate::diagnostics::{Code, Diagnostic, Sink};
use crate::source::Span;
use crate::syntax::{Ident, Item, ItemKind, Shape, ShapeLine};
use std::collections::BTreeMap;

/// Names that some systems keep for devices; a file of that name cannot be written there.
/// Source: Microsoft, "Naming Files, Paths, and Namespaces" (reserved names).
const DEVICES: [&str; 4] = ["con", "nul", "aux", "prn"];

/// Checks every declaration of every file.
pub fn check(program: &Program, sink: &mut Sink) {
    for (index, space) in program.files.iter().enumerate() {
        for (second, first) in doubles(space, index) {
            sink.push(duplicate(space, second.item, first.item));
        }
        for item in &space.tree.items {
            check_item(program, index, item, sink);
        }
    }
    file_names(program.root(), sink);
    one_printer(program.root(), sink);
    one_props_a_part(program.root(), sink);
    size_names(program.root(), sink);
}

fn check_item(program: &Program, file: usize, item: &Item, sink: &mut Sink) {
    let library = program.files[file].implied.is_empty();
    if let Some(name) = declared_name(&item.kind).filter(|_| !library) {
        let function = matches!(item.kind, ItemKind::Shape(_))
            .then(|| Function::find(&name.text))
            .flatten()
            .map(|_| "the built-in function");
        if let Some(what) = program.hidden(file, &name.text).or(function) {
            sink.push(hides(name, what));
        }
    }
    if let ItemKind::Shape(shape) = &item.kind {
        check_shape(shape, sink);
    }
}

fn check_shape(shape: &Shape, sink: &mut Sink) {
    let mut names: BTreeMap<&str, Span> = BTreeMap::new();
    let params = shape.params.iter().map(|p| &p.name);
    let lines = shape.lines.iter().filter_map(line_name);
    for name in params.chain(lines) {
        match names.get(&*name.text) {
            Some(first) => sink.push(doubled(name, *first)),
            None => {
                names.insert(&name.text, name.span);
            }
        }
    }
    for param in &shape.params {
        if UNIVERSAL_FIELDS.iter().any(|f| f.name == &*param.name.text) {
            sink.push(universal_param(&param.name));
        }
        if let Some(kind) = param.kind.as_ref().filter(|kind| Kind::written(kind).is_none()) {
            sink.push(unknown_kind(&kind.name));
        }
    }
    let makes = shape.lines.iter().filter_map(|line| match line {
        ShapeLine::Make { span, .. } => Some(*span),
        _ => None,
    });
    let makes: Vec<Span> = makes.collect();
    if let [first, second, ..] = makes.as_slice() {
        sink.push(two_makes(shape, *first, *second));
    }
}

/// The name that a line of a shape declares; a `pose` that is offered is none that
/// other lines read by mistake, but it is one name all the same.
pub fn line_name(line: &ShapeLine) -> Option<&Ident> {
    match line {
        ShapeLine::Let { name, .. } | ShapeLine::Offer { name, .. } => Some(name),
        ShapeLine::Require(..) | ShapeLine::Make { .. } => None,
    }
}

fn file_names(root: &FileSpace, sink: &mut Sink) {
    let parts = root.tree.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Part { name, .. } | ItemKind::Bought { name, .. } => Some(name),
        _ => None,
    });
    distinct_file_names("part", parts, sink);
}

fn size_names(root: &FileSpace, sink: &mut Sink) {
    let blocks = root.tree.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Sizes(sizes) => Some(sizes),
        _ => None,
    });
    let sizes: Vec<_> = blocks.flatten().collect();
    let mut seen: BTreeMap<&str, Span> = BTreeMap::new();
    for size in &sizes {
        match seen.get(&*size.name.text) {
            Some(first) => sink.push(doubled(&size.name, *first)),
            None => {
                seen.insert(&size.name.text, size.name.span);
            }
        }
        let mut given: BTreeMap<&str, Span> = BTreeMap::new();
        for (name, _) in &size.values {
            match given.get(&*name.text) {
                Some(first) => sink.push(doubled(name, *first)),
                None => {
                    given.insert(&name.text, name.span);
                }
            }
        }
    }
    distinct_file_names("size", sizes.iter().map(|size| &size.name), sink);
}

/// Names become names of files: none may differ from another in case only, or be a
/// device's.
fn distinct_file_names<'t>(what: &str, names: impl Iterator<Item = &'t Ident>, sink: &mut Sink) {
    let mut seen: BTreeMap<String, &Ident> = BTreeMap::new();
    for name in names {
        let lower = name.text.to_ascii_lowercase();
        if is_device(&lower) {
            sink.push(device(what, name));
        }
        match seen.get(&lower) {
            Some(first) if first.text != name.text => sink.push(case_only(what, name, first)),
            _ => {
                seen.insert(lower, name);
            }
        }
    }
}

fn is_device(lower: &str) -> bool {
    let numbered = |port: &str| {
        lower.strip_prefix(port).is_some_and(|n| matches!(n.as_bytes(), [b'0'..=b'9']))
    };
    DEVICES.contains(&lower) || numbered("com") || numbered("lpt")
}

fn one_printer(root: &FileSpace, sink: &mut Sink) {
    let mut printers = root.tree.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Printer { name, .. } => Some(name),
        _ => None,
    });
    if let (Some(first), Some(second)) = (printers.next(), printers.next()) {
        sink.push(two_printers(first, second));
    }
}

fn one_props_a_part(root: &FileSpace, sink: &mut Sink) {
    let mut seen: BTreeMap<&str, Span> = BTreeMap::new();
    for item in &root.tree.items {
        let ItemKind::Props { under, .. } = &item.kind else { continue };
        match seen.get(&*under.text) {
            Some(first) => {
                let message = format!("`props under {}` is written twice", under.text);
                let finding = Diagnostic::at(codes::DUPLICATE_NAME, under.span, message);
                sink.push(finding.and_at(*first, "the first").help("put both into one block"));
            }
            None => {
                seen.insert(&under.text, under.span);
            }
        }
    }
}

fn duplicate(space: &FileSpace, second: usize, first: usize) -> Diagnostic {
    let name = declared_name(&space.tree.items[second].kind).map_or("", |n| &n.text);
    Diagnostic::at(
        codes::DUPLICATE_NAME,
        space.place(second),
        format!("`{name}` is declared twice"),
    )
    .label("declared again")
    .and_at(space.place(first), "declared first")
    .help("give one of them another name")
}

fn doubled(name: &Ident, first: Span) -> Diagnostic {
    Diagnostic::at(codes::DUPLICATE_NAME, name.span, format!("`{}` is declared twice", name.text))
        .label("declared again")
        .and_at(first, "declared first")
        .help("give one of them another name")
}

fn hides(name: &Ident, what: &str) -> Diagnostic {
    Diagnostic::at(
        codes::HIDES_BUILT_IN,
        name.span,
        format!("`{}` hides {what} `{}` in this file", name.text, name.text),
    )
    .help("give it another name if the built-in one is wanted too")
}

fn universal_param(name: &Ident) -> Diagnostic {
    Diagnostic::at(
        codes::PART_FIELD,
        name.span,
        format!("`{}` is a field of every part; a shape cannot take it", name.text),
    )
    .help("give the parameter another name")
}

fn unknown_kind(name: &Ident) -> Diagnostic {
    let kinds: Vec<&str> = Kind::names().collect();
    let finding =
        Diagnostic::at(codes::UNKNOWN_KIND, name.span, format!("there is no kind `{}`", name.text));
    match did_you_mean(&name.text, kinds.iter().copied()) {
        Some(help) => finding.help(help),
        None => finding.help(format!("the kinds are {}", kinds.join(", "))),
    }
}

fn two_makes(shape: &Shape, first: Span, second: Span) -> Diagnostic {
    Diagnostic::at(codes::TWO_MAKES, second, format!("`{}` makes two things", shape.name.text))
        .label("made again")
        .and_at(first, "made first")
        .help("put both into one: make a join b")
}

fn device(what: &str, name: &Ident) -> Diagnostic {
    file_name(
        codes::BAD_FILE_NAME,
        name,
        format!(
            "a {what} cannot be called `{}`: some systems keep that file name for a device",
            name.text
        ),
    )
}

fn case_only(what: &str, name: &Ident, first: &Ident) -> Diagnostic {
    file_name(codes::BAD_FILE_NAME, name, format!(
        "the {what}s `{}` and `{}` differ in case only, and their files would overwrite each other",
        first.text, name.text
    ))
    .and_at(first.span, "the other one")
}

fn file_name(code: Code, name: &Ident, message: String) -> Diagnostic {
    Diagnostic::at(code, name.span, message).help("give it another name")
}

fn two_printers(first: &Ident, second: &Ident) -> Diagnostic {
    Diagnostic::at(
        codes::TWO_PRINTERS,
        second.span,
        format!("a design is printed on one printer, and `{}` is the second", second.text),
    )
    .and_at(first.span, "the first")
    .help("keep the one that is to be used")
}
