//! Values tried in the page become defaults in the file: only the texts of these defaults
//! change, then the file is put into the one layout.

use super::gate::Sets;
use crate::diagnostics::{Diagnostic, Severity};
use crate::format::{self, FormatRefused};
use crate::model::{Filling, Given};
use crate::output::replace;
use crate::pipeline::{self, FORMULA_DEFAULT, Options};
use crate::quantity::{Quantity, decimals};
use crate::resolve;
use crate::source::{DiskWorld, FileId, World};
use crate::syntax::{self, Expr, ExprKind, ItemKind, TextPiece};
use std::path::Path;

/// Writes the values of `sets` into the file. `options` hold them, too.
///
/// # Errors
/// What is wrong with a value or the file; the file is then as it was.
pub fn write(file: &Path, options: &Options, sets: &Sets) -> Result<(), Vec<Diagnostic>> {
    let checked = pipeline::check(&DiskWorld, file, options);
    let Some(model) = checked.model else {
        let is_error = |f: &Diagnostic| f.severity == Severity::Error;
        return Err(checked.findings.into_iter().filter(is_error).collect());
    };
    let name = file.file_name().unwrap_or_default().to_string_lossy();
    let text = DiskWorld.read(file).map_err(|e| vec![resolve::unreadable(&e, &name, None)])?;
    let wanted: Vec<&Given> =
        model.givens.iter().filter(|g| sets.iter().any(|(name, _)| *name == g.name)).collect();
    let changed = with_defaults(&text, &wanted).map_err(|finding| vec![*finding])?;
    let new = format::format(&changed).map_err(|refused| match refused {
        FormatRefused::Mistakes(findings) => findings,
        FormatRefused::Differs(finding) => vec![*finding],
    })?;
    if new == text {
        return Ok(());
    }
    replace::rewrite(file, new.as_bytes()).map_err(|finding| vec![*finding])
}

/// The text with the values of these givens in the places of their defaults.
fn with_defaults(text: &str, givens: &[&Given]) -> Result<String, Box<Diagnostic>> {
    let (tree, _) = syntax::parse(FileId(0), text);
    let mut changes = Vec::new();
    for item in &tree.items {
        let ItemKind::Given(found) = &item.kind else { continue };
        if let Some(given) = givens.iter().find(|g| g.name == *found.name.text) {
            let value = written(&given.value, &found.default)
                .ok_or_else(|| Box::new(formula(&given.name)))?;
            changes.push((found.default.span.range(), value));
        }
    }
    // From the end, so that places before it stay.
    changes.sort_by_key(|(range, _)| std::cmp::Reverse(range.start));
    let mut new = text.to_string();
    for (range, value) in changes {
        new.replace_range(range, &value);
    }
    Ok(new)
}

/// A value in the words of the default that it replaces; none where that is no plain value.
fn written(value: &Filling, default: &Expr) -> Option<String> {
    match (value, &default.kind) {
        (Filling::Quantity(quantity), ExprKind::Number { unit, .. }) => {
            Some(number(*quantity, unit.map(|(unit, _)| (unit.factor, unit.symbol))))
        }
        (Filling::Quantity(quantity), ExprKind::Negate(inner)) => match &inner.kind {
            ExprKind::Number { .. } => written(&Filling::Quantity(*quantity), inner),
            _ => None,
        },
        (Filling::Text(text), ExprKind::Text(pieces)) => {
            let plain = pieces.iter().all(|piece| matches!(piece, TextPiece::Plain(_)));
            plain.then(|| quoted(text)).flatten()
        }
        (Filling::Truth(truth), ExprKind::Truth(_)) => {
            Some(if *truth { "yes" } else { "no" }.to_string())
        }
        _ => None,
    }
}

fn number(quantity: Quantity, unit: Option<(f64, &str)>) -> String {
    let (factor, symbol) = unit.unwrap_or((1.0, ""));
    format!("{} {symbol}", decimals(quantity.value / factor, 6)).trim_end().to_string()
}

/// A text as the language writes it; none for one that has more than one line.
fn quoted(text: &str) -> Option<String> {
    let mut out = String::from('"');
    for c in text.chars() {
        match c {
            '\n' | '\r' => return None,
            '"' | '\\' => out.extend(['\\', c]),
            // Single braces hold a value within the text.
            '{' | '}' => out.extend([c, c]),
            c => out.push(c),
        }
    }
    Some(out + "\"")
}

fn formula(name: &str) -> Diagnostic {
    let message =
        format!("the default of `{name}` is worked out, a plain value would take its place");
    Diagnostic::nowhere(FORMULA_DEFAULT, message).help("change it in the file by hand")
}

#[cfg(test)]
mod tests {
    use super::*;

    const TEXT: &str = "\
# A comment stays.
material chalk { base: pla, colour: #e8e1d3 }
given wide = 20 mm from 10 mm to 40 mm
given fill = 55 % from 0 to 1
given deep = 20 mm + 5 mm from 1 mm to 99 mm
given lid   = yes
given word = \"a\"
part plate = block { size: (wide, deep, 3 mm) }
";

    fn wrote(sets: &[(&str, &str)]) -> Result<String, Vec<Diagnostic>> {
        let folder = tempfile::tempdir().expect("a folder");
        let file = folder.path().join("a.pkn");
        std::fs::write(&file, TEXT).expect("a file");
        let sets: Sets = sets.iter().map(|(n, v)| (n.to_string(), v.to_string())).collect();
        let options = Options { sets: sets.clone(), ..Options::default() };
        let done = write(&file, &options, &sets);
        let text = std::fs::read_to_string(&file).expect("it is there");
        assert!(done.is_ok() || text == TEXT, "a refusal changed the file");
        done.map(|()| text)
    }

    #[test]
    fn only_defaults_change_and_keep_their_unit() {
        let new = wrote(&[("wide", "3 cm"), ("fill", "0.6"), ("lid", "no"), ("word", "b\"{c}")]);
        let new = new.expect("it is written");
        for line in [
            "# A comment stays.",
            "given wide = 30 mm from 10 mm to 40 mm",
            "given fill = 60 % from 0 to 1",
            "given deep = 20 mm + 5 mm from 1 mm to 99 mm",
            "given lid = no",
            "given word = \"b\\\"{{c}}\"",
        ] {
            assert!(new.lines().any(|l| l == line), "{line} is not in\n{new}");
        }
    }

    #[test]
    fn what_is_wrong_changes_nothing() {
        let code = |sets: &[(&str, &str)]| wrote(sets).unwrap_err()[0].code.name;
        assert_eq!(code(&[("wide", "200 mm")]), "set-refused");
        assert_eq!(code(&[("wide", "30 mm\npart q = block { }")]), "set-refused");
        assert_eq!(code(&[("deep", "40 mm")]), "formula-default");
        assert_eq!(code(&[("word", "a\nb")]), "formula-default");
        assert_eq!(code(&[("high", "40 mm")]), "unknown-given");
    }
}
