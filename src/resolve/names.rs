//! Walks every expression and finds out what its names mean.

use super::builtin::{
    ABOUT_FIELDS, BOUGHT_FIELDS, BuiltinParam, FIT_FIELDS, Function, MATERIAL_FIELDS, PLATE_FIELDS,
    PRINTER_FIELDS, PROPS_FIELDS, SEAT_FIELDS,
};
use super::calls::{Signature, bind_block, part_call};
use super::faults;
use super::items::line_name;
use super::kind::Kind;
use super::program::{DeclId, Program};
use super::space::Target;
use crate::diagnostics::Sink;
use crate::source::Span;
use crate::syntax::{
    Block, Expr, ExprKind, Field, Given, GivenRange, Ident, Item, ItemKind, Placing, Shape,
    ShapeLine, Size, Spread, Step, StepKind, TextPiece,
};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What the declarations read.
#[derive(Debug, Default)]
pub struct Reads {
    /// Other declarations, with the place where each is read.
    pub declarations: BTreeMap<DeclId, Vec<(DeclId, Span)>>,
    /// For each line of a shape, the lines it reads, with the place.
    pub lines: BTreeMap<DeclId, Vec<Vec<(usize, Span)>>>,
    /// Drawings: the file that names each, its name as written, and the place.
    pub drawings: Vec<(usize, String, Span)>,
}

/// What a name means inside a shape.
#[derive(Clone, Copy)]
enum Local {
    Param(usize),
    Line(usize),
}

/// The shape in which an expression stands.
struct Inside<'p> {
    names: BTreeMap<&'p str, Local>,
    /// Parameters that may be read: those before a default, else all.
    params: usize,
    /// Whether lines may be read: not in defaults.
    lines: bool,
}

pub(super) struct Walker<'a> {
    pub(super) program: &'a Program,
    pub(super) sink: &'a mut Sink,
    pub(super) file: usize,
    pub(super) reads: Vec<(DeclId, Span)>,
    line_reads: Vec<(usize, Span)>,
    inside: Option<Inside<'a>>,
    bound: Vec<Arc<str>>,
    pub(super) constant: bool,
    drawings: Vec<(usize, String, Span)>,
}

/// Names no kind of its own: any value will do.
pub(super) const ANY: &Kind = &Kind::Any;

/// Checks every name and every call, and gathers what reads what.
pub fn check(program: &Program, sink: &mut Sink) -> Reads {
    let mut reads = Reads::default();
    for (file, space) in program.files.iter().enumerate() {
        for (index, item) in space.tree.items.iter().enumerate() {
            let id = DeclId { file, item: index };
            let mut walker = Walker {
                program,
                sink,
                file,
                reads: Vec::new(),
                line_reads: Vec::new(),
                inside: None,
                bound: Vec::new(),
                constant: false,
                drawings: Vec::new(),
            };
            if let ItemKind::Shape(shape) = &item.kind {
                let lines = walker.shape(shape);
                reads.lines.insert(id, lines);
            } else {
                walker.item(item);
            }
            reads.declarations.insert(id, walker.reads);
            reads.drawings.append(&mut walker.drawings);
        }
    }
    reads
}

impl<'a> Walker<'a> {
    fn item(&mut self, item: &Item) {
        match &item.kind {
            ItemKind::Let { value, .. } | ItemKind::Motif { value, .. } => self.expr(value, ANY),
            ItemKind::Part { value, .. } => self.part(value),
            ItemKind::Given(given) => self.given(given),
            ItemKind::Require(require) => {
                self.expr(&require.condition, ANY);
                if let Some(why) = &require.why {
                    self.expr(why, ANY);
                }
            }
            ItemKind::Printer { block, .. } => self.block("a printer", &PRINTER_FIELDS, block),
            ItemKind::Material { block, .. } => self.block("a material", &MATERIAL_FIELDS, block),
            ItemKind::Seat { inlay, host, block } => self.seat(inlay, host, block),
            ItemKind::Fit { inner, outer, block } => {
                for name in [inner, outer] {
                    self.part_name(name);
                }
                self.block("a fit", &FIT_FIELDS, block);
            }
            ItemKind::Bought { block, .. } => self.block("`bought`", &BOUGHT_FIELDS, block),
            ItemKind::Plate { block, .. } => self.block("a plate", &PLATE_FIELDS, block),
            ItemKind::Props { under, block } => {
                self.part_name(under);
                self.block("`props`", &PROPS_FIELDS, block);
            }
            ItemKind::About { block } => self.block("`about`", &ABOUT_FIELDS, block),
            ItemKind::Sizes(sizes) => self.sizes(sizes),
            ItemKind::Use(_) | ItemKind::Shape(_) => {}
        }
    }

    fn given(&mut self, given: &Given) {
        self.constant = true;
        self.expr(&given.default, ANY);
        match &given.range {
            Some(GivenRange::Span { low, high, step }) => {
                for bound in [Some(low), Some(high), step.as_deref()].into_iter().flatten() {
                    self.expr(bound, ANY);
                }
            }
            Some(GivenRange::Among(values)) => self.all(values),
            None => {}
        }
        self.constant = false;
    }

    fn sizes(&mut self, sizes: &[Size]) {
        self.constant = true;
        for (name, value) in sizes.iter().flat_map(|size| &size.values) {
            let own = self.program.find_in(self.file, &name.text);
            let is_given =
                own.is_some_and(|id| matches!(self.program.item(id).kind, ItemKind::Given(_)));
            if !is_given {
                self.sink.push(faults::no_given(self.program, name));
            }
            self.expr(value, ANY);
        }
        self.constant = false;
    }

    fn seat(&mut self, inlay: &Ident, host: &Ident, block: &Block) {
        for name in [inlay, host] {
            self.part_name(name);
        }
        let signature = Signature::of_table(&SEAT_FIELDS);
        let sides = [inlay.text.clone(), host.text.clone(), "both".into()];
        let sides = Kind::Choice(sides.to_vec());
        self.fields("a seat", &signature, block, |field| {
            (&*field.name.text == "taken_from").then_some(&sides)
        });
    }

    /// A name that must be a part of this file.
    fn part_name(&mut self, name: &Ident) {
        let own = self.program.find_in(self.file, &name.text);
        match own.map(|id| &self.program.item(id).kind) {
            Some(ItemKind::Part { .. } | ItemKind::Bought { .. }) => {}
            _ => self.sink.push(faults::no_part(self.program, name)),
        }
    }

    fn block(&mut self, what: &str, table: &'static [BuiltinParam], block: &Block) {
        self.fields(what, &Signature::of_table(table), block, |_| None);
    }

    fn fields<'k>(
        &mut self,
        what: &str,
        signature: &'k Signature<'_>,
        block: &Block,
        special: impl Fn(&Field) -> Option<&'k Kind>,
    ) {
        let binding = bind_block(signature, block);
        for fault in binding.faults {
            self.sink.push(faults::binding(what, signature, fault, block.span));
        }
        for field in &block.fields {
            let kind = signature.index(&field.name.text).map(|i| &signature.params[i].kind);
            self.expr(&field.value, special(field).or(kind).unwrap_or(ANY));
        }
    }

    /// Walks a shape; gives what each of its lines reads.
    fn shape(&mut self, shape: &'a Shape) -> Vec<Vec<(usize, Span)>> {
        let mut names = BTreeMap::new();
        let params = shape.params.iter().enumerate().map(|(i, p)| (&p.name, Local::Param(i)));
        let lines = shape.lines.iter().enumerate();
        let lines = lines.filter_map(|(i, line)| Some((line_name(line)?, Local::Line(i))));
        for (name, local) in params.chain(lines) {
            names.entry(&*name.text).or_insert(local);
        }
        self.inside = Some(Inside { names, params: 0, lines: false });
        for (index, param) in shape.params.iter().enumerate() {
            let Some(default) = &param.default else { continue };
            if let Some(inside) = &mut self.inside {
                inside.params = index;
            }
            let kind = param.kind.as_ref().and_then(Kind::written);
            self.expr(default, kind.as_ref().unwrap_or(ANY));
        }
        if let Some(inside) = &mut self.inside {
            inside.params = shape.params.len();
            inside.lines = true;
        }
        let mut reads = Vec::new();
        for line in &shape.lines {
            self.line(line);
            reads.push(std::mem::take(&mut self.line_reads));
        }
        self.inside = None;
        reads
    }

    fn line(&mut self, line: &ShapeLine) {
        match line {
            ShapeLine::Offer { name, value } if &*name.text == "pose" => {
                self.expr(value, &Kind::Pose);
            }
            ShapeLine::Let { value, .. }
            | ShapeLine::Offer { value, .. }
            | ShapeLine::Make { value, .. } => self.expr(value, ANY),
            ShapeLine::Require(require, _) => {
                self.expr(&require.condition, ANY);
                if let Some(why) = &require.why {
                    self.expr(why, ANY);
                }
            }
        }
    }

    /// A part's value: its call takes the fields of every part.
    fn part(&mut self, value: &Expr) {
        match part_call(value) {
            Some((callee, args, braces)) => self.call(callee, args, braces, value.span, true),
            None => self.expr(value, ANY),
        }
    }

    fn all(&mut self, values: &[Expr]) {
        for value in values {
            self.expr(value, ANY);
        }
    }

    /// Walks an expression; bare words of `kind` are words, not names. Chains that grow
    /// to the left are walked in a loop: they may be long.
    pub(super) fn expr(&mut self, expr: &Expr, kind: &Kind) {
        let mut expr = expr;
        let mut kind = kind;
        loop {
            match &expr.kind {
                ExprKind::Paren(inner) => {
                    expr = inner;
                    continue;
                }
                ExprKind::If { condition, then, otherwise } => {
                    self.expr(condition, ANY);
                    self.expr(then, kind);
                    expr = otherwise;
                    continue;
                }
                ExprKind::Binary { left, right, .. } => {
                    self.expr(right, ANY);
                    expr = left;
                }
                ExprKind::Placed { body, placing } => {
                    self.placing(placing);
                    expr = body;
                }
                ExprKind::Copies { count, body, spread } => {
                    self.expr(count, ANY);
                    self.spread(spread);
                    expr = body;
                }
                ExprKind::Negate(inner) | ExprKind::Not(inner) => expr = inner,
                ExprKind::Name(ident) => return self.name(ident, kind),
                ExprKind::Member { base, word } => {
                    if self.qualified(base, word) {
                        return;
                    }
                    expr = base;
                }
                ExprKind::Call { callee, args, braces } => {
                    return self.call(callee, args, *braces, expr.span, false);
                }
                _ => return self.leaf(expr),
            }
            kind = ANY;
        }
    }

    /// Expressions without a long chain to the left.
    fn leaf(&mut self, expr: &Expr) {
        match &expr.kind {
            ExprKind::Text(pieces) => {
                for piece in pieces {
                    if let TextPiece::Hole(hole) = piece {
                        self.expr(hole, ANY);
                    }
                }
            }
            ExprKind::List(values) | ExprKind::Point(values) => self.all(values),
            ExprKind::Each { body, name, range } => {
                self.expr(range, ANY);
                self.bound.push(name.text.clone());
                self.expr(body, ANY);
                self.bound.pop();
            }
            ExprKind::Path(steps) => steps.iter().for_each(|step| self.step(step)),
            ExprKind::Prefix { word, arg } => {
                if &*word.text == "drawing" {
                    self.drawing(arg);
                }
                self.expr(arg, ANY);
            }
            ExprKind::Range { low, high, step } => {
                self.expr(low, ANY);
                self.expr(high, ANY);
                if let Some(step) = step {
                    self.expr(step, ANY);
                }
            }
            _ => {}
        }
    }

    /// The file of a drawing, which is read before anything is worked out.
    pub(super) fn drawing(&mut self, arg: &Expr) {
        match arg.plain_text() {
            Some(name) => self.drawings.push((self.file, name.to_string(), arg.span)),
            None => self.sink.push(faults::drawing_name(arg.span)),
        }
    }

    fn placing(&mut self, placing: &Placing) {
        match placing {
            Placing::At(value)
            | Placing::Raised(value)
            | Placing::Grown(value)
            | Placing::Spun { by: value, .. } => self.expr(value, ANY),
            Placing::Mirrored { .. } => {}
        }
    }

    fn spread(&mut self, spread: &Spread) {
        match spread {
            Spread::Around { over: Some(value), .. } | Spread::Along { step: value } => {
                self.expr(value, ANY);
            }
            Spread::Around { over: None, .. } => {}
        }
    }

    fn step(&mut self, step: &Step) {
        match &step.kind {
            StepKind::Start(to) | StepKind::LineTo(to) | StepKind::LineBy(to) => {
                self.expr(to, ANY);
            }
            StepKind::ArcThrough { to, through: other }
            | StepKind::ArcRadius { to, radius: other, .. } => {
                self.expr(to, ANY);
                self.expr(other, ANY);
            }
            StepKind::Close => {}
        }
        if let Some(edge) = &step.with {
            self.expr(edge, &Kind::Edge);
        }
    }

    fn name(&mut self, ident: &Ident, kind: &Kind) {
        let word = &*ident.text;
        if kind.has_word(word) || self.bound.iter().any(|b| **b == *word) {
            return;
        }
        if let Some(inside) = &self.inside
            && let Some(local) = inside.names.get(word)
        {
            match local {
                Local::Param(index) if *index < inside.params => {}
                Local::Line(index) if inside.lines => self.line_reads.push((*index, ident.span)),
                _ => self.sink.push(faults::parameter_order(ident)),
            }
            return;
        }
        match self.program.find(self.file, word) {
            Some(Target::Pi) => {}
            Some(_) if self.constant => self.sink.push(faults::not_constant(ident)),
            Some(Target::Declared(id)) => self.declared(ident, id),
            Some(Target::Builtin(_)) => self.sink.push(faults::needs_call(ident, "a shape")),
            Some(Target::Ambiguous(ids)) => {
                self.sink.push(faults::ambiguous(self.program, self.file, ident, &ids));
            }
            None => self.unknown(ident, kind),
        }
    }

    fn declared(&mut self, ident: &Ident, id: DeclId) {
        match &self.program.item(id).kind {
            ItemKind::Shape(_) => self.sink.push(faults::needs_call(ident, "a shape")),
            ItemKind::Given(_) if self.inside.is_some() => {
                self.sink.push(faults::not_in_shape(ident, "given"));
            }
            ItemKind::Part { .. } | ItemKind::Bought { .. } if self.inside.is_some() => {
                self.sink.push(faults::not_in_shape(ident, "part"));
            }
            _ => self.reads.push((id, ident.span)),
        }
    }

    fn unknown(&mut self, ident: &Ident, kind: &Kind) {
        if Function::find(&ident.text).is_some() {
            return self.sink.push(faults::needs_call(ident, "a function"));
        }
        if self.program.qualified(self.file, &ident.text).is_some() {
            return self.sink.push(faults::bare_qualifier(ident));
        }
        let candidates = self.candidates(kind);
        self.sink.push(faults::unknown_name(ident, kind, &candidates));
    }

    /// Every name that could stand here.
    pub(super) fn candidates<'n>(&'n self, kind: &'n Kind) -> Vec<&'n str> {
        let mut names = self.program.visible(self.file);
        if let Some(inside) = &self.inside {
            names.extend(inside.names.keys());
        }
        names.extend(self.bound.iter().map(|b| &**b));
        names.extend(kind.words());
        names
    }

    /// `closures.lid_thickness`: a name of a `use`d file. False when `base` is no
    /// qualifier.
    fn qualified(&mut self, base: &Expr, word: &Ident) -> bool {
        let ExprKind::Name(qualifier) = &base.kind else { return false };
        let is_local = self.is_local(&qualifier.text);
        if is_local || self.program.find(self.file, &qualifier.text).is_some() {
            return false;
        }
        let Some(other) = self.program.qualified(self.file, &qualifier.text) else { return false };
        match self.program.find_in(other, &word.text) {
            Some(id) => self.declared(word, id),
            None => {
                let names: Vec<&str> = self.program.files[other].own.keys().map(|n| &**n).collect();
                self.sink.push(faults::unknown_name(word, ANY, &names));
            }
        }
        true
    }

    pub(super) fn is_local(&self, name: &str) -> bool {
        self.bound.iter().any(|b| **b == *name)
            || self.inside.as_ref().is_some_and(|i| i.names.contains_key(name))
    }
}
