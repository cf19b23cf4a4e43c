//! What a design says: its declarations with their fields, in the order of the text, each in
//! one spelling and with what it comes to.

use super::spell::{Names, chart_rows, expression, is_literal, operator, renamed};
use crate::evaluate::{Choice, spoken_values};
use crate::quantity::decimals;
use crate::resolve::Program;
use crate::source::SourceMap;
use crate::syntax::{
    Binary, Block, Expr, ExprKind, GivenRange, Item, ItemKind, Require, Shape, ShapeLine, UsePath,
};
use serde_json::Value;

/// A declaration.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Statement {
    /// `given`, `part`, `seat`
    pub kind: &'static str,
    /// Its name, as the new side has it.
    pub name: String,
    /// Its name as written; what renames are told of.
    pub own_name: Option<String>,
    /// What else must be the same where it is to be the same thing under another name.
    pub stamp: String,
    /// What it says, by field; the empty name is the thing itself.
    pub fields: Vec<(String, Said)>,
}

/// One thing said.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Said {
    /// In one spelling.
    pub text: String,
    /// What it comes to, where that is short and the text does not say it.
    pub value: Option<String>,
    /// Whether the text is the value.
    pub is_literal: bool,
}

impl Said {
    fn words(text: String) -> Self {
        Said { text, value: None, is_literal: true }
    }

    /// The text, and behind it the value where they differ.
    pub fn shown(&self) -> String {
        match &self.value {
            Some(value) if !self.is_literal => format!("{} = {value}", self.text),
            _ => self.text.clone(),
        }
    }

    /// Whether both come to the same, however written.
    pub fn equals(&self, other: &Said) -> bool {
        self.text == other.text || (self.value.is_some() && self.value == other.value)
    }
}

/// All that the files of a design say, those of the standard library left out.
pub(super) fn of_program(
    program: &Program,
    sources: &SourceMap,
    choice: &Choice,
    names: &Names,
) -> Vec<Statement> {
    let mut reader = Reader { names, file: 0, asked: Vec::new(), statements: Vec::new() };
    for (index, space) in program.files.iter().enumerate() {
        // The standard library comes with the program and is the same on both sides.
        if !sources.name(space.file).starts_with("std.") {
            reader.file = index;
            let prefix = qualifier(program, index);
            space.tree.items.iter().for_each(|item| reader.item(item, &prefix));
        }
    }
    let asked: Vec<(usize, &Expr)> = reader.asked.iter().map(|(f, e, ..)| (*f, *e)).collect();
    let values = spoken_values(program, choice, &asked);
    let places: Vec<(usize, usize)> = reader.asked.iter().map(|(_, _, s, f)| (*s, *f)).collect();
    let mut statements = reader.statements;
    for ((statement, field), value) in places.into_iter().zip(values) {
        statements[statement].fields[field].1.value = value;
    }
    numbered(statements)
}

/// What a manifest tells of a text: its inputs, its parts and how they go together.
pub(super) fn of_manifest(manifest: &Value, names: &Names) -> Vec<Statement> {
    let mut statements = Vec::new();
    let entries = manifest.get("given").and_then(Value::as_object);
    for (name, entry) in entries.into_iter().flatten() {
        let unit = entry.get("unit").and_then(Value::as_str).unwrap_or_default();
        let value = entry.get("value").map(plain).unwrap_or_default();
        let text = format!("{value} {unit}").trim_end().to_string();
        statements.push(told("given", name, names, vec![("", text)]));
    }
    for part in entries_of(manifest, "parts") {
        let word = |key: &str| part.get(key).map(plain).unwrap_or_default();
        let fields = vec![("material", renamed(names, &word("material")).to_string())];
        let mut statement = told("part", &word("name"), names, fields);
        let stamp = ["volume_mm3", "area_mm2", "pieces", "genus"].map(word);
        statement.stamp = stamp.join(" ");
        statements.push(statement);
    }
    for (key, kind, inner, between) in
        [("seats", "seat", "inlay", "in"), ("lids", "lid", "lid", "on")]
    {
        for entry in entries_of(manifest, key) {
            let word = |key: &str| {
                renamed(names, &entry.get(key).map(plain).unwrap_or_default()).to_string()
            };
            let gap = entry.get("gap_mm").and_then(|g| g.get("asked")).map(plain);
            let mut fields = vec![("gap", format!("{} mm", gap.unwrap_or_default()))];
            if entry.get("taken_from").is_some() {
                fields.push(("taken_from", word("taken_from")));
            }
            let name = format!("{} {between} {}", word(inner), word("host"));
            let mut statement = told(kind, &name, &Names::new(), fields);
            statement.own_name = None;
            statements.push(statement);
        }
    }
    for rule in entries_of(manifest, "requires") {
        let text = rule.get("text").map(plain).unwrap_or_default();
        let mut statement = told("require", &text, &Names::new(), Vec::new());
        statement.own_name = None;
        statements.push(statement);
    }
    numbered(statements)
}

fn told(kind: &'static str, name: &str, names: &Names, fields: Vec<(&str, String)>) -> Statement {
    let fields = fields.into_iter().map(|(n, text)| (n.to_string(), Said::words(text)));
    Statement {
        kind,
        name: renamed(names, name).to_string(),
        own_name: Some(name.to_string()),
        stamp: String::new(),
        fields: fields.collect(),
    }
}

fn entries_of<'a>(manifest: &'a Value, key: &str) -> &'a [Value] {
    manifest.get(key).and_then(Value::as_array).map_or(&[], Vec::as_slice)
}

/// A value of JSON as an author writes it.
fn plain(value: &Value) -> String {
    match value {
        Value::String(text) => text.clone(),
        Value::Bool(truth) => if *truth { "yes" } else { "no" }.to_string(),
        Value::Number(number) => decimals(number.as_f64().unwrap_or_default(), 6),
        _ => String::new(),
    }
}

/// The name before those of a `use`d file.
fn qualifier(program: &Program, index: usize) -> String {
    let users = program.files.iter().flat_map(|file| &file.used);
    let mut found = users.filter(|(_, used)| *used == index);
    found.next().map_or(String::new(), |(name, _)| format!("{name}."))
}

/// Rules and other things that share a name are told apart by their number.
fn numbered(mut statements: Vec<Statement>) -> Vec<Statement> {
    for index in 0..statements.len() {
        let (before, rest) = statements.split_at_mut(index);
        let this = &mut rest[0];
        let same = |s: &&Statement| s.kind == this.kind && s.own_name.is_none();
        let twins = before.iter().filter(same).filter(|s| s.name == this.name).count();
        if twins > 0 && this.own_name.is_none() {
            this.name += &format!(" ({})", twins + 1);
        }
    }
    statements
}

struct Reader<'a> {
    names: &'a Names,
    file: usize,
    /// Expressions whose values are wanted: file, expression, statement, field.
    asked: Vec<(usize, &'a Expr, usize, usize)>,
    statements: Vec<Statement>,
}

impl<'a> Reader<'a> {
    fn item(&mut self, item: &'a Item, prefix: &str) {
        match &item.kind {
            ItemKind::Use(path) => self.open("use", used_name(path), None),
            ItemKind::Given(given) => {
                self.named("given", prefix, &given.name.text);
                self.says("", &given.default);
                self.range(given.range.as_ref());
            }
            ItemKind::Let { name, value } => {
                self.named("let", prefix, &name.text);
                self.says("", value);
            }
            ItemKind::Motif { name, value } => {
                self.named("motif", prefix, &name.text);
                self.made(value);
            }
            ItemKind::Part { name, value } => {
                self.named("part", prefix, &name.text);
                self.made(value);
            }
            ItemKind::Require(require) => self.require(require),
            ItemKind::Printer { name, block } => {
                self.named("printer", prefix, &name.text);
                self.block(block);
            }
            ItemKind::Material { name, block } => {
                self.named("material", prefix, &name.text);
                self.block(block);
            }
            ItemKind::Seat { inlay, host, block } => {
                self.pair("seat", &inlay.text, "in", &host.text);
                self.block(block);
            }
            ItemKind::Fit { inner, outer, block } => {
                self.pair("fit", &inner.text, "in", &outer.text);
                self.block(block);
            }
            ItemKind::Bought { name, block } => {
                self.named("bought", prefix, &name.text);
                self.block(block);
            }
            ItemKind::Plate { name, block } => {
                self.named("plate", prefix, &name.text);
                self.block(block);
            }
            ItemKind::Props { under, block } => {
                let under = renamed(self.names, &under.text).to_string();
                self.open("props", format!("under {under}"), None);
                self.block(block);
            }
            ItemKind::About { block } => {
                self.open("about", String::new(), None);
                self.block(block);
            }
            ItemKind::Sizes(sizes) => {
                for size in sizes {
                    self.named("size", prefix, &size.name.text);
                    size.values.iter().for_each(|(name, value)| {
                        let name = renamed(self.names, &name.text).to_string();
                        self.says(&name, value);
                    });
                }
            }
            ItemKind::Shape(shape) => {
                self.named("shape", prefix, &shape.name.text);
                self.shape(shape);
            }
        }
    }

    fn open(&mut self, kind: &'static str, name: String, own_name: Option<String>) {
        let (stamp, fields) = (String::new(), Vec::new());
        self.statements.push(Statement { kind, name, own_name, stamp, fields });
    }

    fn named(&mut self, kind: &'static str, prefix: &str, name: &str) {
        let shown = format!("{prefix}{}", renamed(self.names, name));
        self.open(kind, shown, Some(name.to_string()));
    }

    fn pair(&mut self, kind: &'static str, inner: &str, word: &str, outer: &str) {
        let [inner, outer] = [inner, outer].map(|name| renamed(self.names, name));
        self.open(kind, format!("{inner} {word} {outer}"), None);
    }

    fn field(&mut self, name: &str, said: Said) -> Option<(usize, usize)> {
        let statement = self.statements.len().checked_sub(1)?;
        let fields = &mut self.statements[statement].fields;
        fields.push((name.to_string(), said));
        Some((statement, fields.len() - 1))
    }

    fn says(&mut self, name: &str, value: &'a Expr) {
        let text = expression(value, self.names);
        let said = Said { text, value: None, is_literal: is_literal(value) };
        if let Some((statement, field)) = self.field(name, said) {
            self.asked.push((self.file, value, statement, field));
        }
    }

    fn words(&mut self, name: &str, text: String) {
        self.field(name, Said::words(text));
    }

    /// A thing made by a call tells each of its fields; a chart each of its rows.
    fn made(&mut self, value: &'a Expr) {
        match &value.kind {
            ExprKind::Call { callee, args, .. } if args.iter().all(|a| a.name.is_some()) => {
                self.words("", expression(callee, self.names));
                for arg in args {
                    let name = arg.name.as_ref().map_or("", |n| &*n.text).to_string();
                    self.says(&name, &arg.value);
                }
            }
            ExprKind::Chart(chart) => {
                self.words("", "chart".to_string());
                for (index, row) in chart_rows(chart).into_iter().enumerate() {
                    self.words(&format!("row {}", index + 1), row);
                }
            }
            _ => self.says("", value),
        }
    }

    fn block(&mut self, block: &'a Block) {
        for field in &block.fields {
            self.says(&field.name.text, &field.value);
        }
    }

    fn range(&mut self, range: Option<&'a GivenRange>) {
        match range {
            Some(GivenRange::Span { low, high, step }) => {
                self.says("from", low);
                self.says("to", high);
                if let Some(step) = step {
                    self.says("by", step);
                }
            }
            Some(GivenRange::Among(values)) => {
                let all: Vec<String> = values.iter().map(|v| expression(v, self.names)).collect();
                self.words("among", all.join(", "));
            }
            None => {}
        }
    }

    /// A comparison is known by its left side, so that a moved bound is a change of one rule.
    fn require(&mut self, require: &'a Require) {
        match &require.condition.kind {
            ExprKind::Binary { op, left, right, .. } if is_comparison(*op) => {
                self.open("require", expression(left, self.names), None);
                self.says(operator(*op), right);
            }
            _ => self.open("require", expression(&require.condition, self.names), None),
        }
        if let Some(why) = &require.why {
            self.says("else", why);
        }
    }

    fn shape(&mut self, shape: &'a Shape) {
        for param in &shape.params {
            let kind = param.kind.as_ref().map(|k| {
                let choices: Vec<&str> = k.choices.iter().map(|(c, _)| c.as_str()).collect();
                format!("{} {}", k.name.text, choices.join(" ")).trim_end().to_string()
            });
            let default = param.default.as_ref().map(|d| expression(d, self.names));
            let said: Vec<String> =
                kind.into_iter().chain(default.map(|d| format!("= {d}"))).collect();
            self.words(&param.name.text, said.join(" "));
        }
        for line in &shape.lines {
            let of = |e: &Expr| expression(e, self.names);
            match line {
                ShapeLine::Let { name, value } => {
                    self.words(&format!("let {}", name.text), of(value))
                }
                ShapeLine::Offer { name, value } => {
                    self.words(&format!("offer {}", name.text), of(value));
                }
                ShapeLine::Make { value, .. } => self.words("make", of(value)),
                ShapeLine::Require(require, _) => {
                    self.words("require", of(&require.condition));
                }
            }
        }
    }
}

fn is_comparison(op: Binary) -> bool {
    use Binary::{Above, Below, Equal, GreaterEqual, LessEqual, NotEqual};
    matches!(op, LessEqual | GreaterEqual | Equal | NotEqual | Below | Above)
}

fn used_name(path: &UsePath) -> String {
    match path {
        UsePath::Library(words) => words.iter().map(|w| &*w.text).collect::<Vec<_>>().join("."),
        UsePath::File { path, .. } => format!("\"{path}\""),
    }
}
