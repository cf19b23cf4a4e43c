//! The syntax tree: what was written, with its places. No meaning yet.

use crate::quantity::Unit;
use crate::source::{FileId, Span};
use std::sync::Arc;

/// A word with its place.
#[derive(Clone, Debug)]
pub struct Ident {
    /// The word.
    pub text: Arc<str>,
    /// Its place.
    pub span: Span,
}

/// One parsed file.
#[derive(Clone, Debug)]
pub struct Tree {
    /// The file.
    pub file: FileId,
    /// Its items in the order of the text; an item that could not be parsed is
    /// left out (a finding says why) unless its name is known: then it stands as
    /// a declaration whose expression is [`ExprKind::Bad`].
    pub items: Vec<Item>,
    /// `# …` comments in the order of the text.
    pub comments: Vec<Span>,
}

/// A declaration with the `##` lines before it.
#[derive(Clone, Debug)]
pub struct Item {
    /// Text of the `##` lines before it, one string a line, blanks trimmed.
    pub docs: Vec<String>,
    /// All of it, without the docs.
    pub span: Span,
    /// What it declares.
    pub kind: ItemKind,
}

/// What an item declares.
#[derive(Clone, Debug)]
pub enum ItemKind {
    /// `use std.closures`, `use "feet.pkn"`
    Use(UsePath),
    /// `given bore = 72 mm from 46 mm to 140 mm`
    Given(Given),
    /// `let wall = 3.6 mm`
    Let { name: Ident, value: Expr },
    /// `motif ripple = chart {…}`
    Motif { name: Ident, value: Expr },
    /// `part jar = vessel {…}`
    Part { name: Ident, value: Expr },
    /// `require COND else "why"`
    Require(Require),
    /// `printer bench {…}`
    Printer { name: Ident, block: Block },
    /// `material chalk {…}`
    Material { name: Ident, block: Block },
    /// `seat belt in jar {…}`
    Seat { inlay: Ident, host: Ident, block: Block },
    /// `fit lug in track {…}`
    Fit { inner: Ident, outer: Ident, block: Block },
    /// `bought coin {…}`
    Bought { name: Ident, block: Block },
    /// `plate one {…}`
    Plate { name: Ident, block: Block },
    /// `props under belt {…}`
    Props { under: Ident, block: Block },
    /// `about {…}`
    About { block: Block },
    /// `sizes {…}`
    Sizes(Vec<Size>),
    /// `shape lug(width: length) = …` or `{…}`
    Shape(Shape),
}

/// What a `use` names.
#[derive(Clone, Debug)]
pub enum UsePath {
    /// `std.closures`: the words.
    Library(Vec<Ident>),
    /// `"feet.pkn"`: the path and its place.
    File { path: String, span: Span },
}

/// An input.
#[derive(Clone, Debug)]
pub struct Given {
    /// Its name.
    pub name: Ident,
    /// Its default.
    pub default: Expr,
    /// What is permitted.
    pub range: Option<GivenRange>,
}

/// What a given permits.
#[derive(Clone, Debug)]
pub enum GivenRange {
    /// `from LOW to HIGH [by STEP]`
    Span { low: Expr, high: Expr, step: Option<Box<Expr>> },
    /// `among A, B`
    Among(Vec<Expr>),
}

/// A design rule.
#[derive(Clone, Debug)]
pub struct Require {
    /// What must hold.
    pub condition: Expr,
    /// `else "why"`
    pub why: Option<Expr>,
}

/// One named size.
#[derive(Clone, Debug)]
pub struct Size {
    /// `##` lines before it.
    pub docs: Vec<String>,
    /// Its name.
    pub name: Ident,
    /// `given = CONST` pairs.
    pub values: Vec<(Ident, Expr)>,
}

/// A shape of the author's own.
#[derive(Clone, Debug)]
pub struct Shape {
    /// Its name.
    pub name: Ident,
    /// Its parameters.
    pub params: Vec<Param>,
    /// Lines of the body; `= EXPR` is one `Make`.
    pub lines: Vec<ShapeLine>,
}

/// A parameter.
#[derive(Clone, Debug)]
pub struct Param {
    /// `##` lines before it.
    pub docs: Vec<String>,
    /// Its name.
    pub name: Ident,
    /// `: length`, `: choice("a", "b")`
    pub kind: Option<KindName>,
    /// `= EXPR`
    pub default: Option<Expr>,
}

/// A kind as written.
#[derive(Clone, Debug)]
pub struct KindName {
    /// `length`, `choice`
    pub name: Ident,
    /// The words of a choice, with their places.
    pub choices: Vec<(String, Span)>,
}

/// A line in the body of a shape.
#[derive(Clone, Debug)]
pub enum ShapeLine {
    /// `let NAME = EXPR`
    Let { name: Ident, value: Expr },
    /// `require COND else "why"`
    Require(Require, Span),
    /// `offer NAME = EXPR`
    Offer { name: Ident, value: Expr },
    /// `make EXPR`
    Make { value: Expr, span: Span },
}

/// Fields in braces.
#[derive(Clone, Debug)]
pub struct Block {
    /// In the order of the text.
    pub fields: Vec<Field>,
    /// From `{` to `}`; for a missing block, the end of what comes before.
    pub span: Span,
}

/// `NAME: EXPR`
#[derive(Clone, Debug)]
pub struct Field {
    /// `##` lines before it.
    pub docs: Vec<String>,
    /// Its name.
    pub name: Ident,
    /// Its value; [`ExprKind::Bad`] where the text could not be parsed.
    pub value: Expr,
}

/// An expression.
#[derive(Clone, Debug)]
pub struct Expr {
    /// All of it.
    pub span: Span,
    /// What it is.
    pub kind: ExprKind,
}

/// What an expression is.
#[derive(Clone, Debug)]
pub enum ExprKind {
    /// `14`, `72 mm`, `55 %`
    Number { value: f64, unit: Option<(Unit, Span)> },
    /// `#e8e1d3`
    Colour([u8; 3]),
    /// `"gap {gap}"`
    Text(Vec<TextPiece>),
    /// `yes`, `no`
    Truth(bool),
    /// `none`
    None,
    /// `[a, b]`, `[0 .. 5]` is a list of one range
    List(Vec<Expr>),
    /// `[EXPR each k in RANGE]`
    Each { body: Box<Expr>, name: Ident, range: Box<Expr> },
    /// `(x, y)`, `(x, y, z)`; two or three
    Point(Vec<Expr>),
    /// `(a)`: kept so that `meet` mixed with `join` can be told apart
    Paren(Box<Expr>),
    /// `chart {…}`: rows of marks, all equally long
    Chart(Chart),
    /// `path {…}`
    Path(Vec<Step>),
    /// A name.
    Name(Ident),
    /// `base.word`
    Member { base: Box<Expr>, word: Ident },
    /// `f(a, x: b)` or `S { x: b }`; the callee is a `Name` or a `Member`
    Call { callee: Box<Expr>, args: Vec<Arg>, braces: bool },
    /// `round 2 mm`, `bevel 1 mm`, `drawing "f.svg"`
    Prefix { word: Ident, arg: Box<Expr> },
    /// `-a`
    Negate(Box<Expr>),
    /// `not a`
    Not(Box<Expr>),
    /// `a + b`, `a <= b`, `a join b`
    Binary { op: Binary, op_span: Span, left: Box<Expr>, right: Box<Expr> },
    /// `a .. b [by c]`
    Range { low: Box<Expr>, high: Box<Expr>, step: Option<Box<Expr>> },
    /// `if a then b else c`
    If { condition: Box<Expr>, then: Box<Expr>, otherwise: Box<Expr> },
    /// `N of X around z [over ANGLE]`, `N of X along (…)`
    Copies { count: Box<Expr>, body: Box<Expr>, spread: Box<Spread> },
    /// `along y`, `along -y`: a direction
    Way { axis: Axis, back: bool },
    /// `a at p`, `a raised h`, `a grown d`, `a spun w [about z]`, `a mirrored along x`
    Placed { body: Box<Expr>, placing: Box<Placing> },
    /// Text that could not be parsed; a finding was already given. Poison.
    Bad,
}

/// A piece of a text.
#[derive(Clone, Debug)]
pub enum TextPiece {
    /// As it stands, escapes resolved.
    Plain(String),
    /// `{expr}`
    Hole(Expr),
}

/// An argument.
#[derive(Clone, Debug)]
pub struct Arg {
    /// `x:`; none for a positional one.
    pub name: Option<Ident>,
    /// Its value.
    pub value: Expr,
}

/// A chart of marks, top row first.
#[derive(Clone, Debug)]
pub struct Chart {
    /// `true` is material. Rows are never empty and all equally long.
    pub rows: Vec<Vec<bool>>,
    /// The place of each mark.
    pub spans: Vec<Vec<Span>>,
}

/// Operators between two values.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]

pub enum Binary {
    Or,
    And,
    LessEqual,
    GreaterEqual,
    Equal,
    NotEqual,
    Below,
    Above,
    Join,
    Less,
    Meet,
    Add,
    Subtract,
    Multiply,
    Divide,
}

/// An axis of the assembly.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]

pub enum Axis {
    X,
    Y,
    Z,
}

/// How copies are spread.
#[derive(Clone, Debug)]
pub enum Spread {
    /// `around z [over ANGLE]`
    Around { axis: Axis, over: Option<Expr> },
    /// `along (dx, dy[, dz])`
    Along { step: Expr },
}

/// A placement.
#[derive(Clone, Debug)]
pub enum Placing {
    /// `at p`; for `0.2 mm at 90 deg` the bearing of a slit
    At(Expr),
    /// `raised h`
    Raised(Expr),
    /// `grown d`
    Grown(Expr),
    /// `spun w [about z]`
    Spun { by: Expr, about: Axis },
    /// `mirrored along x`
    Mirrored { along: Axis },
}

/// A step of a path.
#[derive(Clone, Debug)]
pub struct Step {
    /// All of it.
    pub span: Span,
    /// Where it goes.
    pub kind: StepKind,
    /// `with EDGE`: the corner at the end of the step.
    pub with: Option<Expr>,
    /// `as NAME`: the face it sweeps.
    pub face: Option<Ident>,
}

/// Where a step goes.
#[derive(Clone, Debug)]
pub enum StepKind {
    /// `start P`
    Start(Expr),
    /// `line to P`
    LineTo(Expr),
    /// `line by P`
    LineBy(Expr),
    /// `arc to P through Q`
    ArcThrough { to: Expr, through: Expr },
    /// `arc to P radius R left|right [long]`
    ArcRadius { to: Expr, radius: Expr, left: bool, long: bool },
    /// `close`
    Close,
}

impl Expr {
    /// The text that it is, when that is written out without holes.
    pub fn plain_text(&self) -> Option<&str> {
        match &self.kind {
            ExprKind::Text(pieces) => match pieces.as_slice() {
                [] => Some(""),
                [TextPiece::Plain(text)] => Some(text),
                _ => None,
            },
            _ => None,
        }
    }
}
