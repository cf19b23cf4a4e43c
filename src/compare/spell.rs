//! Expressions in one spelling, so that texts that differ in layout, breaks or comments
//! only are the same text.

use crate::quantity::decimals;
use crate::syntax::{
    Arg, Axis, Binary, Chart, Expr, ExprKind, Placing, Spread, Step, StepKind, TextPiece,
};
use std::collections::BTreeMap;

/// New names of things by their old ones.
pub(super) type Names = BTreeMap<String, String>;

/// The name that a thing has on the new side.
pub(super) fn renamed<'a>(names: &'a Names, name: &'a str) -> &'a str {
    names.get(name).map_or(name, String::as_str)
}

/// An expression in one line, with names as the new side has them.
pub(super) fn expression(expr: &Expr, names: &Names) -> String {
    let of = |e: &Expr| expression(e, names);
    match &expr.kind {
        ExprKind::Number { value, unit } => match unit {
            Some((unit, _)) => format!("{} {}", decimals(*value, 9), unit.symbol),
            None => decimals(*value, 9),
        },
        ExprKind::Colour([r, g, b]) => format!("#{r:02x}{g:02x}{b:02x}"),
        ExprKind::Text(pieces) => text(pieces, names),
        ExprKind::Truth(truth) => if *truth { "yes" } else { "no" }.to_string(),
        ExprKind::None => "none".to_string(),
        ExprKind::List(items) => format!("[{}]", joined(items, names)),
        ExprKind::Each { body, name, range } => {
            format!("[{} each {} in {}]", of(body), name.text, of(range))
        }
        ExprKind::Point(items) => format!("({})", joined(items, names)),
        ExprKind::Paren(inner) => format!("({})", of(inner)),
        ExprKind::Chart(chart) => format!("chart {{ {} }}", chart_rows(chart).join(" / ")),
        ExprKind::Path(steps) => {
            let steps: Vec<String> = steps.iter().map(|s| step(s, names)).collect();
            format!("path {{ {} }}", steps.join("; "))
        }
        ExprKind::Name(name) => renamed(names, &name.text).to_string(),
        ExprKind::Member { base, word } => format!("{}.{}", of(base), word.text),
        ExprKind::Call { callee, args, braces } => call(callee, args, *braces, names),
        ExprKind::Prefix { word, arg } => format!("{} {}", word.text, of(arg)),
        ExprKind::Negate(inner) => format!("-{}", of(inner)),
        ExprKind::Not(inner) => format!("not {}", of(inner)),
        ExprKind::Binary { op, left, right, .. } => {
            format!("{} {} {}", of(left), operator(*op), of(right))
        }
        ExprKind::Range { low, high, step } => match step {
            Some(step) => format!("{} .. {} by {}", of(low), of(high), of(step)),
            None => format!("{} .. {}", of(low), of(high)),
        },
        ExprKind::If { condition, then, otherwise } => {
            format!("if {} then {} else {}", of(condition), of(then), of(otherwise))
        }
        ExprKind::Copies { count, body, spread } => {
            format!("{} of {} {}", of(count), of(body), spreading(spread, names))
        }
        ExprKind::Way { axis, back } => {
            format!("along {}{}", if *back { "-" } else { "" }, self::axis(*axis))
        }
        ExprKind::Placed { body, placing } => format!("{} {}", of(body), placed(placing, names)),
        ExprKind::Bad => "?".to_string(),
    }
}

/// Whether an expression is its own value: a number, a colour, a text, a word.
pub(super) fn is_literal(expr: &Expr) -> bool {
    match &expr.kind {
        ExprKind::Number { .. }
        | ExprKind::Colour(_)
        | ExprKind::Truth(_)
        | ExprKind::None
        | ExprKind::Way { .. } => true,
        ExprKind::Text(pieces) => pieces.iter().all(|p| matches!(p, TextPiece::Plain(_))),
        ExprKind::Negate(inner) => is_literal(inner),
        ExprKind::Point(items) => items.iter().all(is_literal),
        _ => false,
    }
}

/// The rows of a chart, as they are drawn.
pub(super) fn chart_rows(chart: &Chart) -> Vec<String> {
    let row = |marks: &Vec<bool>| {
        let marks: Vec<&str> = marks.iter().map(|m| if *m { "#" } else { "." }).collect();
        marks.join(" ")
    };
    chart.rows.iter().map(row).collect()
}

/// The word or sign of an operator.
pub(super) fn operator(op: Binary) -> &'static str {
    match op {
        Binary::Or => "or",
        Binary::And => "and",
        Binary::LessEqual => "<=",
        Binary::GreaterEqual => ">=",
        Binary::Equal => "==",
        Binary::NotEqual => "!=",
        Binary::Below => "<",
        Binary::Above => ">",
        Binary::Join => "join",
        Binary::Less => "less",
        Binary::Meet => "meet",
        Binary::Add => "+",
        Binary::Subtract => "-",
        Binary::Multiply => "*",
        Binary::Divide => "/",
    }
}

fn joined(items: &[Expr], names: &Names) -> String {
    items.iter().map(|e| expression(e, names)).collect::<Vec<_>>().join(", ")
}

fn text(pieces: &[TextPiece], names: &Names) -> String {
    let pieces = pieces.iter().map(|piece| match piece {
        TextPiece::Plain(plain) => plain.replace('"', "\\\""),
        TextPiece::Hole(hole) => format!("{{{}}}", expression(hole, names)),
    });
    format!("\"{}\"", pieces.collect::<String>())
}

fn call(callee: &Expr, args: &[Arg], braces: bool, names: &Names) -> String {
    let each = args.iter().map(|arg| {
        let value = expression(&arg.value, names);
        arg.name.as_ref().map_or(value.clone(), |name| format!("{}: {value}", name.text))
    });
    let (callee, args) = (expression(callee, names), each.collect::<Vec<_>>().join(", "));
    if braces { format!("{callee} {{ {args} }}") } else { format!("{callee}({args})") }
}

fn axis(axis: Axis) -> &'static str {
    match axis {
        Axis::X => "x",
        Axis::Y => "y",
        Axis::Z => "z",
    }
}

fn spreading(spread: &Spread, names: &Names) -> String {
    match spread {
        Spread::Around { axis: about, over: None } => format!("around {}", axis(*about)),
        Spread::Around { axis: about, over: Some(over) } => {
            format!("around {} over {}", axis(*about), expression(over, names))
        }
        Spread::Along { step } => format!("along {}", expression(step, names)),
    }
}

fn placed(placing: &Placing, names: &Names) -> String {
    let of = |e: &Expr| expression(e, names);
    match placing {
        Placing::At(point) => format!("at {}", of(point)),
        Placing::Raised(by) => format!("raised {}", of(by)),
        Placing::Grown(by) => format!("grown {}", of(by)),
        Placing::Spun { by, about } => format!("spun {} about {}", of(by), axis(*about)),
        Placing::Mirrored { along } => format!("mirrored along {}", axis(*along)),
    }
}

fn step(step: &Step, names: &Names) -> String {
    let of = |e: &Expr| expression(e, names);
    let mut text = match &step.kind {
        StepKind::Start(point) => format!("start {}", of(point)),
        StepKind::LineTo(point) => format!("line to {}", of(point)),
        StepKind::LineBy(by) => format!("line by {}", of(by)),
        StepKind::ArcThrough { to, through } => {
            format!("arc to {} through {}", of(to), of(through))
        }
        StepKind::ArcRadius { to, radius, left, long } => {
            let side = if *left { "left" } else { "right" };
            let long = if *long { " long" } else { "" };
            format!("arc to {} radius {} {side}{long}", of(to), of(radius))
        }
        StepKind::Close => "close".to_string(),
    };
    if let Some(with) = &step.with {
        text += &format!(" with {}", of(with));
    }
    if let Some(face) = &step.face {
        text += &format!(" as {}", face.text);
    }
    text
}
