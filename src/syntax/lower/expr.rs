//! Expressions.

use super::{Lower, Node, inner, parts};
use crate::quantity::Unit;
use crate::source::Span;
use crate::syntax::findings;
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{
    Arg, Axis, Binary, Chart, Expr, ExprKind, Field, Placing, Spread, TextPiece,
};

impl Lower<'_> {
    /// Any rule of an expression. Rules that hold one part only are passed through.
    pub(super) fn expr(&mut self, mut pair: Node) -> Expr {
        while passes_through(pair.as_rule()) {
            let mut all = inner(pair.clone());
            let (Some(first), None) = (all.next(), all.next()) else { break };
            pair = first;
        }
        self.build(pair)
    }

    fn build(&mut self, pair: Node) -> Expr {
        let span = self.trimmed(&pair);
        let kind = match pair.as_rule() {
            Rule::either | Rule::both | Rule::comparison | Rule::sum | Rule::term => {
                return self.chain(pair);
            }
            Rule::made => return self.made(pair),
            Rule::placed => return self.placed(pair),
            Rule::group => return self.group(pair),
            Rule::parens => return self.parens(pair),
            Rule::reference => return self.reference(pair),
            Rule::choice => self.choice(pair),
            Rule::inverse => self.operand(pair, ExprKind::Not),
            Rule::unary => {
                let atom = inner(pair).nth(1);
                atom.map_or(ExprKind::Bad, |atom| ExprKind::Negate(Box::new(self.expr(atom))))
            }
            Rule::range => self.range(pair),
            Rule::quantity => self.quantity(pair),
            Rule::colour => colour(pair.as_str()),
            Rule::text => self.text(pair),
            Rule::truth => ExprKind::Truth(pair.as_str() == "yes"),
            Rule::empty => ExprKind::None,
            Rule::list => self.list(pair),
            Rule::chart => self.chart(pair),
            Rule::way => way(pair),
            Rule::path => self.path(pair),
            Rule::prefix => self.prefix(pair),
            _ => ExprKind::Bad,
        };
        Expr { span, kind }
    }

    /// The one part that says something, in `wrap`.
    fn operand(&mut self, pair: Node, wrap: fn(Box<Expr>) -> ExprKind) -> ExprKind {
        let part = parts(pair).next();
        part.map_or(ExprKind::Bad, |part| wrap(Box::new(self.expr(part))))
    }

    /// The first part that says something.
    pub(super) fn only(&mut self, pair: Node) -> Expr {
        let span = self.trimmed(&pair);
        let part = parts(pair).next();
        part.map_or(Expr { span, kind: ExprKind::Bad }, |part| self.expr(part))
    }

    /// `a + b - c`, from the left.
    fn chain(&mut self, pair: Node) -> Expr {
        let span = self.trimmed(&pair);
        let mut all = inner(pair);
        let Some(first) = all.next() else { return Expr { span, kind: ExprKind::Bad } };
        let mut left = self.expr(first);
        while let (Some(op), Some(right)) = (all.next(), all.next()) {
            let right = self.expr(right);
            left = self.binary(&op, left, right);
        }
        left
    }

    fn binary(&self, op: &Node, left: Expr, right: Expr) -> Expr {
        let span = left.span.to(right.span);
        let op_span = self.span(op);
        let Some(op) = operator(op.as_str()) else { return Expr { span, kind: ExprKind::Bad } };
        let (left, right) = (Box::new(left), Box::new(right));
        Expr { span, kind: ExprKind::Binary { op, op_span, left, right } }
    }

    /// `a join b less c`; `meet` is not mixed with the others.
    fn made(&mut self, pair: Node) -> Expr {
        let words: Vec<_> =
            inner(pair.clone()).filter(|p| p.as_rule() == Rule::made_word).collect();
        let expr = self.chain(pair);
        let Some(first) = words.first() else { return expr };
        let is_meet = |word: &Node| word.as_str() == "meet";
        let Some(other) = words.iter().find(|word| is_meet(word) != is_meet(first)) else {
            return expr;
        };
        let (at, there) = (self.span(other), self.span(first));
        self.sink.push(findings::mixed_meet(at, there, first.as_str(), other.as_str()));
        Expr { span: expr.span, kind: ExprKind::Bad }
    }

    fn choice(&mut self, pair: Node) -> ExprKind {
        let mut all = parts(pair).map(|part| self.expr(part));
        match (all.next(), all.next(), all.next()) {
            (Some(condition), Some(then), Some(otherwise)) => ExprKind::If {
                condition: Box::new(condition),
                then: Box::new(then),
                otherwise: Box::new(otherwise),
            },
            _ => ExprKind::Bad,
        }
    }

    fn range(&mut self, pair: Node) -> ExprKind {
        let mut all = parts(pair).map(|part| Box::new(self.expr(part)));
        match (all.next(), all.next()) {
            (Some(low), Some(high)) => ExprKind::Range { low, high, step: all.next() },
            _ => ExprKind::Bad,
        }
    }

    /// A value, copied and placed in the order written.
    fn placed(&mut self, pair: Node) -> Expr {
        let span = self.trimmed(&pair);
        let mut all = inner(pair);
        let Some(first) = all.next() else { return Expr { span, kind: ExprKind::Bad } };
        let mut body = self.expr(first);
        for part in all {
            let span = body.span.to(self.trimmed(&part));
            let kind = match part.as_rule() {
                Rule::copies => self.copies(body, part),
                _ => self.placing(body, part),
            };
            body = Expr { span, kind };
        }
        body
    }

    fn copies(&mut self, count: Expr, pair: Node) -> ExprKind {
        let mut all = parts(pair);
        let (Some(body), Some(spread)) = (all.next(), all.next()) else { return ExprKind::Bad };
        let body = Box::new(self.expr(body));
        let Some(spread) = parts(spread).next() else { return ExprKind::Bad };
        let spread = if spread.as_rule() == Rule::along {
            Spread::Along { step: self.only(spread) }
        } else {
            let mut all = parts(spread);
            let axis = all.next().map_or(Axis::Z, |axis| axis_of(&axis));
            Spread::Around { axis, over: all.next().map(|over| self.expr(over)) }
        };
        ExprKind::Copies { count: Box::new(count), body, spread: Box::new(spread) }
    }

    fn placing(&mut self, body: Expr, pair: Node) -> ExprKind {
        let Some(placing) = parts(pair).next() else { return ExprKind::Bad };
        let rule = placing.as_rule();
        let mut all = parts(placing);
        let Some(first) = all.next() else { return ExprKind::Bad };
        let placing = match rule {
            Rule::mirrored => Placing::Mirrored { along: axis_of(&first) },
            Rule::at => Placing::At(self.expr(first)),
            Rule::raised => Placing::Raised(self.expr(first)),
            Rule::grown => Placing::Grown(self.expr(first)),
            _ => {
                let by = self.expr(first);
                Placing::Spun { by, about: all.next().map_or(Axis::Z, |axis| axis_of(&axis)) }
            }
        };
        ExprKind::Placed { body: Box::new(body), placing: Box::new(placing) }
    }

    fn quantity(&mut self, pair: Node) -> ExprKind {
        let span = self.span(&pair);
        let mut all = pair.into_inner();
        let value = all.next().and_then(|number| number.as_str().parse::<f64>().ok());
        let Some(value) = value.filter(|value| value.is_finite()) else {
            self.sink.push(findings::number_too_large(span));
            return ExprKind::Bad;
        };
        let unit = all.next().and_then(|unit| Some((Unit::find(unit.as_str())?, self.span(&unit))));
        ExprKind::Number { value, unit }
    }

    fn text(&mut self, pair: Node) -> ExprKind {
        let pieces = inner(pair).map(|piece| match piece.as_rule() {
            Rule::hole => TextPiece::Hole(self.only(piece)),
            _ => TextPiece::Plain(unescaped(piece.as_str())),
        });
        ExprKind::Text(pieces.collect())
    }

    /// A text without values in it, as a path of a file or a word of a choice is.
    pub(super) fn plain_text(&mut self, pair: Node) -> Option<(String, Span)> {
        let span = self.span(&pair);
        let mut plain = String::new();
        let mut is_plain = true;
        for piece in inner(pair) {
            if piece.as_rule() == Rule::hole {
                let way_out = "no values stand in this text: write it out";
                self.sink.push(findings::bad_text(self.span(&piece), way_out));
                is_plain = false;
            } else {
                plain.push_str(&unescaped(piece.as_str()));
            }
        }
        is_plain.then_some((plain, span))
    }

    fn list(&mut self, pair: Node) -> ExprKind {
        let mut values = Vec::new();
        for part in inner(pair) {
            if part.as_rule() != Rule::each {
                values.push(self.expr(part));
                continue;
            }
            let mut all = parts(part);
            let (Some(name), Some(range), Some(body)) = (all.next(), all.next(), values.pop())
            else {
                return ExprKind::Bad;
            };
            let (name, range) = (self.ident(&name), Box::new(self.expr(range)));
            return ExprKind::Each { body: Box::new(body), name, range };
        }
        ExprKind::List(values)
    }

    fn chart(&self, pair: Node) -> ExprKind {
        let mut chart = Chart { rows: Vec::new(), spans: Vec::new() };
        for row in pair.into_inner() {
            chart.rows.push(row.clone().into_inner().map(|mark| mark.as_str() == "#").collect());
            chart.spans.push(row.into_inner().map(|mark| self.span(&mark)).collect());
        }
        ExprKind::Chart(chart)
    }

    fn prefix(&mut self, pair: Node) -> ExprKind {
        let mut all = inner(pair);
        let (Some(word), Some(arg)) = (all.next(), all.next()) else { return ExprKind::Bad };
        ExprKind::Prefix { word: self.ident(&word), arg: Box::new(self.expr(arg)) }
    }

    /// `(a)`, `(x, y)`, `(x, y, z)`
    fn parens(&mut self, pair: Node) -> Expr {
        let span = self.span(&pair);
        let mut values: Vec<Expr> = inner(pair).map(|part| self.expr(part)).collect();
        let kind = match values.len() {
            1 => values.pop().map_or(ExprKind::Bad, |value| ExprKind::Paren(Box::new(value))),
            2 | 3 => ExprKind::Point(values),
            count => {
                self.sink.push(findings::bad_point(span, count));
                ExprKind::Bad
            }
        };
        Expr { span, kind }
    }

    fn group(&mut self, pair: Node) -> Expr {
        let span = self.trimmed(&pair);
        let mut all = inner(pair);
        let Some(first) = all.next() else { return Expr { span, kind: ExprKind::Bad } };
        let value = self.parens(first);
        self.tails(value, all)
    }

    fn reference(&mut self, pair: Node) -> Expr {
        let span = self.trimmed(&pair);
        let mut all = inner(pair);
        let Some(first) = all.next() else { return Expr { span, kind: ExprKind::Bad } };
        let name = self.ident(&first);
        self.tails(Expr { span: name.span, kind: ExprKind::Name(name) }, all)
    }

    /// `.word` and calls behind a value.
    fn tails<'i>(&mut self, mut base: Expr, tails: impl Iterator<Item = Node<'i>>) -> Expr {
        for tail in tails {
            let span = base.span.to(self.trimmed(&tail));
            let is_member = tail.as_rule() == Rule::member;
            let Some(part) = inner(tail).next() else { continue };
            let kind = if is_member {
                ExprKind::Member { base: Box::new(base), word: self.ident(&part) }
            } else {
                let braces = part.as_rule() == Rule::block;
                let args = if braces { self.field_args(part) } else { self.args(part) };
                // Where it is not known which arguments there are, nobody is to miss one.
                args.map_or(ExprKind::Bad, |args| ExprKind::Call {
                    callee: Box::new(base),
                    args,
                    braces,
                })
            };
            base = Expr { span, kind };
        }
        base
    }

    /// Arguments in parentheses: those without a name come first, or there are none to be had.
    fn args(&mut self, pair: Node) -> Option<Vec<Arg>> {
        let mut args: Vec<Arg> = Vec::new();
        let mut first_named: Option<Span> = None;
        let mut is_late = false;
        for arg in inner(pair) {
            let mut all = inner(arg).peekable();
            let name = all.next_if(|part| part.as_rule() == Rule::label);
            let name = name.map(|name| self.ident(&name));
            let Some(value) = all.next() else { continue };
            let value = self.expr(value);
            match (&name, first_named) {
                (Some(name), None) => first_named = Some(name.span),
                (None, Some(named)) => {
                    self.sink.push(findings::late_argument(value.span, named));
                    is_late = true;
                }
                _ => {}
            }
            args.push(Arg { name, value });
        }
        if is_late { None } else { Some(args) }
    }

    /// Fields in braces as arguments; none to be had where the name of one is not known.
    fn field_args(&mut self, pair: Node) -> Option<Vec<Arg>> {
        let count = parts(pair.clone()).count();
        let fields = self.block(pair).fields;
        if fields.len() < count {
            return None;
        }
        let arg = |field: Field| Arg { name: Some(field.name), value: field.value };
        Some(fields.into_iter().map(arg).collect())
    }
}

/// Rules that may hold nothing but the next tighter rule.
fn passes_through(rule: Rule) -> bool {
    matches!(
        rule,
        Rule::expr
            | Rule::either
            | Rule::both
            | Rule::inverse
            | Rule::comparison
            | Rule::made
            | Rule::placed
            | Rule::range
            | Rule::sum
            | Rule::term
            | Rule::unary
    )
}

fn operator(text: &str) -> Option<Binary> {
    Some(match text {
        "or" => Binary::Or,
        "and" => Binary::And,
        "<=" => Binary::LessEqual,
        ">=" => Binary::GreaterEqual,
        "==" => Binary::Equal,
        "!=" => Binary::NotEqual,
        "<" => Binary::Below,
        ">" => Binary::Above,
        "join" => Binary::Join,
        "less" => Binary::Less,
        "meet" => Binary::Meet,
        "+" => Binary::Add,
        "-" => Binary::Subtract,
        "*" => Binary::Multiply,
        "/" => Binary::Divide,
        _ => return None,
    })
}

/// `along y`, `along -y`
fn way(pair: Node) -> ExprKind {
    let words: Vec<Node> = inner(pair).collect();
    let back = words.iter().any(|word| word.as_rule() == Rule::minus);
    words.last().map_or(ExprKind::Bad, |axis| ExprKind::Way { axis: axis_of(axis), back })
}

fn axis_of(pair: &Node) -> Axis {
    match pair.as_str() {
        "x" => Axis::X,
        "y" => Axis::Y,
        _ => Axis::Z,
    }
}

fn colour(text: &str) -> ExprKind {
    let part = |from: usize| u8::from_str_radix(text.get(from..from + 2)?, 16).ok();
    match (part(1), part(3), part(5)) {
        (Some(red), Some(green), Some(blue)) => ExprKind::Colour([red, green, blue]),
        _ => ExprKind::Bad,
    }
}

/// The text that is meant: `\"`, `\\`, `{{` and `}}` stand for one sign each.
fn unescaped(text: &str) -> String {
    let mut plain = String::with_capacity(text.len());
    let mut signs = text.chars();
    while let Some(sign) = signs.next() {
        match sign {
            '\\' | '{' | '}' => plain.extend(signs.next()),
            _ => plain.push(sign),
        }
    }
    plain
}
