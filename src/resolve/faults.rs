//! Findings about names and calls, in the author's words.

use super::builtin::{Function, UNIVERSAL_FIELDS};
use super::calls::{BindingFault, NoCallee, Signature};
use super::codes;
use super::kind::Kind;
use super::program::{DeclId, Program};
use super::suggest::did_you_mean;
use crate::diagnostics::{Diagnostic, Label};
use crate::source::Span;
use crate::syntax::{Expr, Ident, ItemKind};

/// A name that nothing declares.
pub fn unknown_name(name: &Ident, kind: &Kind, candidates: &[&str]) -> Diagnostic {
    let finding = Diagnostic::at(
        codes::UNKNOWN_NAME,
        name.span,
        format!("nothing is called `{}`", name.text),
    );
    if let Some(help) = did_you_mean(&name.text, candidates.iter().copied()) {
        return finding.help(help);
    }
    let words = kind.words();
    if words.is_empty() {
        finding
            .help(format!("declare it, as in `let {} = …`; a text is written in quotes", name.text))
    } else {
        finding.help(format!("the words that can stand here are {}", words.join(", ")))
    }
}

/// A name of a seat or a plate that is no part of this file.
pub fn no_part(program: &Program, name: &Ident) -> Diagnostic {
    let parts = program.root().tree.items.iter().filter_map(|item| match &item.kind {
        ItemKind::Part { name, .. } | ItemKind::Bought { name, .. } => Some(&*name.text),
        _ => None,
    });
    let finding = Diagnostic::at(
        codes::UNKNOWN_NAME,
        name.span,
        format!("there is no part called `{}`", name.text),
    );
    match did_you_mean(&name.text, parts) {
        Some(help) => finding.help(help),
        None => finding.help(format!("declare it, as in `part {} = …`", name.text)),
    }
}

/// A size that names no given.
pub fn no_given(program: &Program, name: &Ident) -> Diagnostic {
    let givens = program.givens();
    let finding = Diagnostic::at(
        codes::UNKNOWN_NAME,
        name.span,
        format!("there is no given called `{}`", name.text),
    );
    match did_you_mean(&name.text, givens.iter().map(|(name, _)| name.as_str())) {
        Some(help) => finding.help(help),
        None => finding
            .help(format!("declare it, as in `given {} = 10 mm from 5 mm to 20 mm`", name.text)),
    }
}

/// A shape or function that is named, not called.
pub fn needs_call(name: &Ident, what: &str) -> Diagnostic {
    let call = if what == "a shape" { "{ … }" } else { "(…)" };
    let space = if what == "a shape" { " " } else { "" };
    Diagnostic::at(
        codes::NEEDS_CALL,
        name.span,
        format!("`{}` is {what}: it gives nothing until it is called", name.text),
    )
    .help(format!("write {}{space}{call}", name.text))
}

/// The qualifier of a `use`d file that stands alone.
pub fn bare_qualifier(name: &Ident) -> Diagnostic {
    Diagnostic::at(
        codes::NEEDS_CALL,
        name.span,
        format!("`{}` is a used file, not a value", name.text),
    )
    .help(format!("name what you want of it, as in `{}.NAME`", name.text))
}

/// A given or a part inside a shape.
pub fn not_in_shape(name: &Ident, what: &str) -> Diagnostic {
    let kind = if what == "part" { "part" } else { "length" };
    Diagnostic::at(
        codes::NOT_IN_SHAPE,
        name.span,
        format!("`{}` is a {what}, and a shape sees only its own parameters", name.text),
    )
    .help(format!("add a parameter `{}: {kind}` and give it where the shape is called", name.text))
}

/// A name where only constants may stand.
pub fn not_constant(name: &Ident) -> Diagnostic {
    Diagnostic::at(
        codes::NOT_CONSTANT,
        name.span,
        format!("`{}` is not a constant: defaults, ranges and sizes hold no names", name.text),
    )
    .help("write the number itself, or make a `let` of what follows from a given")
}

/// A shape called where only constants may stand.
pub fn call_not_constant(span: Span) -> Diagnostic {
    Diagnostic::at(codes::NOT_CONSTANT, span, "a shape is not a constant")
        .help("defaults, ranges and sizes hold numbers, texts, yes and no")
}

/// A default that reads what is written after it.
pub fn parameter_order(name: &Ident) -> Diagnostic {
    Diagnostic::at(
        codes::PARAMETER_ORDER,
        name.span,
        format!("this default reads `{}`, which is not a parameter written before it", name.text),
    )
    .help("move the parameter up, or work the value out in a `let` of the shape")
}

/// A name of two `use`d files.
pub fn ambiguous(program: &Program, file: usize, name: &Ident, ids: &[DeclId]) -> Diagnostic {
    let used = &program.files[file].used;
    let qualified = ids.iter().filter_map(|id| {
        let (qualifier, _) = used.iter().find(|(_, f)| *f == id.file)?;
        Some(format!("`{qualifier}.{}`", name.text))
    });
    let finding = Diagnostic::at(
        codes::AMBIGUOUS_NAME,
        name.span,
        format!("`{}` is declared by {} used files", name.text, ids.len()),
    )
    .help(format!("write {}", qualified.collect::<Vec<_>>().join(" or ")));
    ids.iter().fold(finding, |finding, id| {
        let span = program.files[id.file].place(id.item);
        finding.and_at(span, "declared here")
    })
}

/// A call of nothing that can be called.
pub fn callee(
    program: &Program,
    file: usize,
    called: &Expr,
    fault: NoCallee<'_>,
    braces: bool,
    candidates: &[&str],
) -> Diagnostic {
    let text = program.snippet(file, called);
    match fault {
        NoCallee::Ambiguous(name, ids) => ambiguous(program, file, name, &ids),
        NoCallee::Unknown(name) => {
            let functions = super::FUNCTIONS.iter().map(|f| f.name).filter(|_| !braces);
            let all: Vec<&str> = candidates.iter().copied().chain(functions).collect();
            let what = if braces { "shape" } else { "shape or function" };
            let finding = Diagnostic::at(
                codes::UNKNOWN_NAME,
                name.span,
                format!("there is no {what} called `{}`", name.text),
            );
            match library_help(&name.text).or_else(|| did_you_mean(&name.text, all)) {
                Some(help) => finding.help(help),
                None => finding.help(format!("declare it, as in `shape {}(…) = …`", name.text)),
            }
        }
        NoCallee::NotAShape(name) => not_a_shape(name.span, &name.text),
        NoCallee::NoName => not_a_shape(called.span, text),
    }
}

/// The library file that declares a shape which is not in use.
fn library_help(name: &str) -> Option<String> {
    let holds = |library: &&str| {
        let text = super::library::text(library).unwrap_or("");
        text.lines().any(|line| {
            line.strip_prefix("shape ")
                .and_then(|l| l.strip_prefix(name))
                .is_some_and(|rest| rest.starts_with('('))
        })
    };
    let library = super::library::names().into_iter().find(holds)?;
    Some(format!("write `use std.{library}` at the head of the file"))
}

fn not_a_shape(span: Span, text: &str) -> Diagnostic {
    Diagnostic::at(
        codes::NOT_A_SHAPE,
        span,
        format!("`{text}` is not a shape, it cannot be called"),
    )
    .help("braces go to the name just before them; a composed part is `solid { form: a less b }`")
}

/// An argument that goes nowhere, or one that is wanted.
pub fn binding(
    what: &str,
    signature: &Signature<'_>,
    fault: BindingFault<'_>,
    span: Span,
) -> Diagnostic {
    match fault {
        BindingFault::Unknown(name) => unknown_field(what, signature, name),
        BindingFault::Doubled(name, first) => doubled_field(name, first.span),
        BindingFault::Surplus(value) => Diagnostic::at(
            codes::WRONG_ARGUMENTS,
            value.span,
            format!("{what} does not know what to do with this argument"),
        )
        .help(format!("it takes {}, by position and then by name", listed(signature))),
        BindingFault::Missing(names) => missing_field(what, &names, span),
    }
}

fn unknown_field(what: &str, signature: &Signature<'_>, name: &Ident) -> Diagnostic {
    if UNIVERSAL_FIELDS.iter().any(|f| f.name == &*name.text) {
        return Diagnostic::at(
            codes::PART_FIELD,
            name.span,
            format!("`{}` belongs to a part, and this is only a body inside one", name.text),
        )
        .help(format!("write it into the part: part p = solid {{ form: …, {}: … }}", name.text));
    }
    let finding = Diagnostic::at(
        codes::UNKNOWN_FIELD,
        name.span,
        format!("{what} has no field `{}`", name.text),
    );
    let fields = signature.params.iter().map(|p| p.name);
    match did_you_mean(&name.text, fields.chain(UNIVERSAL_FIELDS.iter().map(|f| f.name))) {
        Some(help) => finding.help(help),
        None => finding.help(format!("it takes {}", listed(signature))),
    }
}

fn listed(signature: &Signature<'_>) -> String {
    if signature.params.is_empty() {
        return "no fields".to_string();
    }
    let names: Vec<&str> = signature.params.iter().map(|p| p.name).collect();
    names.join(", ")
}

/// A field given twice.
pub fn doubled_field(name: &Ident, first: Span) -> Diagnostic {
    let mut finding =
        Diagnostic::at(codes::DOUBLED_FIELD, name.span, format!("`{}` is given twice", name.text))
            .label("given again")
            .help("keep one of them");
    finding.secondary.push(Label { span: first, text: "given first".to_string() });
    finding
}

fn missing_field(what: &str, names: &[String], span: Span) -> Diagnostic {
    let quoted: Vec<String> = names.iter().map(|n| format!("`{n}`")).collect();
    let listed = match quoted.as_slice() {
        [most @ .., last] if !most.is_empty() => format!("{} and {last}", most.join(", ")),
        all => all.join(", "),
    };
    let lines: Vec<String> = names.iter().map(|n| format!("{n}: …")).collect();
    Diagnostic::at(codes::MISSING_FIELD, span, format!("{what} needs {listed}"))
        .help(format!("add {}", lines.join(", ")))
}

/// A named argument of a function.
pub fn named_argument(function: &Function, name: &Ident) -> Diagnostic {
    Diagnostic::at(
        codes::WRONG_ARGUMENTS,
        name.span,
        format!("the arguments of `{}` have no names", function.name),
    )
    .help(format!("write {}", function.usage))
}

/// A function with too many or too few arguments.
pub fn argument_count(function: &Function, count: usize, span: Span) -> Diagnostic {
    let wanted = match (function.least, function.most) {
        (least, most) if least == most => format!("{least}"),
        (least, most) if most > 9 => format!("at least {least}"),
        (least, most) => format!("{least} or {most}"),
    };
    let noun = if wanted == "1" || wanted == "at least 1" { "argument" } else { "arguments" };
    Diagnostic::at(
        codes::WRONG_ARGUMENTS,
        span,
        format!("`{}` takes {wanted} {noun}, not {count}", function.name),
    )
    .help(format!("write {}", function.usage))
}

/// A drawing whose file is not written out.
pub fn drawing_name(span: Span) -> Diagnostic {
    let what = "the file of a drawing is written out as a text: it is read before anything is \
                worked out";
    Diagnostic::at(codes::NOT_CONSTANT, span, what).help("write drawing \"leaf.svg\"")
}
