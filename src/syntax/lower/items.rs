//! Items and what stands in their braces.

use super::{Lower, Node, inner, parts};
use crate::source::Span;
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{
    Block, Expr, Field, Given, GivenRange, Ident, Item, ItemKind, KindName, Param, Require, Shape,
    ShapeLine, Size, UsePath,
};

impl Lower<'_> {
    pub(super) fn item(&mut self, pair: Node) -> Option<Item> {
        let mut all = inner(pair);
        let docs = docs(all.next()?);
        let item = all.next()?;
        let span = self.trimmed(&item);
        let kind = self.item_kind(item, span)?;
        Some(Item { docs, span, kind })
    }

    fn item_kind(&mut self, pair: Node, span: Span) -> Option<ItemKind> {
        let rule = pair.as_rule();
        let mut all = parts(pair.clone());
        Some(match rule {
            Rule::use_item => ItemKind::Use(self.use_path(all.next()?)?),
            Rule::given_item => ItemKind::Given(self.given(pair)?),
            Rule::let_line => {
                let (name, value) = self.named_value(pair)?;
                ItemKind::Let { name, value }
            }
            Rule::motif_item => {
                let (name, value) = self.named_value(pair)?;
                ItemKind::Motif { name, value }
            }
            Rule::part_item => {
                let (name, value) = self.named_value(pair)?;
                ItemKind::Part { name, value }
            }
            Rule::require_line => ItemKind::Require(self.require(pair)?),
            Rule::sizes_item => ItemKind::Sizes(all.filter_map(|size| self.size(size)).collect()),
            Rule::shape_item => ItemKind::Shape(self.shape(pair)?),
            Rule::about_item => ItemKind::About { block: self.block(all.next()?) },
            Rule::seat_item | Rule::fit_item => {
                let (inlay, host) = (self.ident(&all.next()?), self.ident(&all.next()?));
                let block = self.block_or_none(all.next(), span);
                if rule == Rule::seat_item {
                    ItemKind::Seat { inlay, host, block }
                } else {
                    ItemKind::Fit { inner: inlay, outer: host, block }
                }
            }
            Rule::props_item => {
                let under = self.ident(&all.next()?);
                ItemKind::Props { under, block: self.block_or_none(all.next(), span) }
            }
            _ => {
                let (name, block) = (self.ident(&all.next()?), self.block(all.next()?));
                match rule {
                    Rule::printer_item => ItemKind::Printer { name, block },
                    Rule::material_item => ItemKind::Material { name, block },
                    Rule::bought_item => ItemKind::Bought { name, block },
                    Rule::plate_item => ItemKind::Plate { name, block },
                    _ => return None,
                }
            }
        })
    }

    fn use_path(&mut self, pair: Node) -> Option<UsePath> {
        if pair.as_rule() == Rule::text {
            let (path, span) = self.plain_text(pair)?;
            return Some(UsePath::File { path, span });
        }
        Some(UsePath::Library(inner(pair).map(|word| self.ident(&word)).collect()))
    }

    /// A name and the value behind its `=`.
    fn named_value(&mut self, pair: Node) -> Option<(Ident, Expr)> {
        let mut all = parts(pair);
        let name = self.ident(&all.next()?);
        let value = parts(all.next()?).next()?;
        Some((name, self.value(value)))
    }

    /// An expression, or what was masked in its place.
    fn value(&mut self, pair: Node) -> Expr {
        if pair.as_rule() == Rule::masked { self.bad(&pair) } else { self.expr(pair) }
    }

    fn given(&mut self, pair: Node) -> Option<Given> {
        let mut all = parts(pair);
        let name = self.ident(&all.next()?);
        let default = self.expr(all.next()?);
        let range = match all.next() {
            None => None,
            Some(pair) if pair.as_rule() == Rule::among => {
                Some(GivenRange::Among(parts(pair).map(|value| self.expr(value)).collect()))
            }
            Some(pair) => {
                let mut all = parts(pair).map(|value| self.expr(value));
                let (low, high) = (all.next()?, all.next()?);
                Some(GivenRange::Span { low, high, step: all.next().map(Box::new) })
            }
        };
        Some(Given { name, default, range })
    }

    fn require(&mut self, pair: Node) -> Option<Require> {
        let mut all = parts(pair);
        let condition = self.value(all.next()?);
        let why = all.next().map(|why| self.only(why));
        Some(Require { condition, why })
    }

    fn size(&mut self, pair: Node) -> Option<Size> {
        let mut all = parts(pair);
        let docs = docs(all.next()?);
        let name = all.next().filter(|part| part.as_rule() == Rule::label)?;
        let name = self.ident(&name);
        let mut values = Vec::new();
        for assign in all.filter(|part| part.as_rule() == Rule::assign) {
            let mut all = parts(assign);
            if let (Some(given), Some(value)) = (all.next(), all.next()) {
                values.push((self.ident(&given), self.expr(value)));
            }
        }
        Some(Size { docs, name, values })
    }

    fn shape(&mut self, pair: Node) -> Option<Shape> {
        let mut all = parts(pair);
        let name = self.ident(&all.next()?);
        let params = inner(all.next()?).filter_map(|param| self.param(param)).collect();
        let body = all.next()?;
        let lines = if body.as_rule() == Rule::body {
            parts(body).filter_map(|line| self.line(line)).collect()
        } else {
            let value = self.expr(body);
            vec![ShapeLine::Make { span: value.span, value }]
        };
        Some(Shape { name, params, lines })
    }

    fn param(&mut self, pair: Node) -> Option<Param> {
        let mut all = parts(pair);
        let docs = docs(all.next()?);
        let name = self.ident(&all.next()?);
        let (mut kind, mut default) = (None, None);
        for part in all {
            if part.as_rule() == Rule::kind {
                kind = self.kind(part);
            } else {
                default = Some(self.expr(part));
            }
        }
        Some(Param { docs, name, kind, default })
    }

    fn kind(&mut self, pair: Node) -> Option<KindName> {
        let mut all = inner(pair);
        let name = self.ident(&all.next()?);
        Some(KindName { name, choices: all.filter_map(|text| self.plain_text(text)).collect() })
    }

    fn line(&mut self, pair: Node) -> Option<ShapeLine> {
        let line = inner(pair).find(|part| part.as_rule() != Rule::docs)?;
        let span = self.trimmed(&line);
        Some(match line.as_rule() {
            Rule::let_line => {
                let (name, value) = self.named_value(line)?;
                ShapeLine::Let { name, value }
            }
            Rule::offer_line => {
                let (name, value) = self.named_value(line)?;
                ShapeLine::Offer { name, value }
            }
            Rule::require_line => ShapeLine::Require(self.require(line)?, span),
            Rule::make_line => ShapeLine::Make { value: self.value(parts(line).next()?), span },
            _ => return None,
        })
    }

    /// Fields in braces; a field whose name is not known is left out.
    pub(super) fn block(&mut self, pair: Node) -> Block {
        let span = self.span(&pair);
        let fields = parts(pair).filter_map(|field| self.field(field)).collect();
        Block { fields, span }
    }

    fn block_or_none(&mut self, pair: Option<Node>, before: Span) -> Block {
        match pair {
            Some(pair) => self.block(pair),
            None => Block { fields: Vec::new(), span: Span { start: before.end, ..before } },
        }
    }

    fn field(&mut self, pair: Node) -> Option<Field> {
        let mut all = parts(pair);
        let docs = docs(all.next()?);
        let name = all.next().filter(|part| part.as_rule() == Rule::label)?;
        let name = self.ident(&name);
        let value = self.value(all.next()?);
        Some(Field { docs, name, value })
    }
}

/// The text of doc lines, without `##`.
fn docs(pair: Node) -> Vec<String> {
    let lines = pair.into_inner().filter(|line| line.as_rule() == Rule::doc);
    lines.map(|line| line.as_str().trim_start_matches("##").trim().to_string()).collect()
}
