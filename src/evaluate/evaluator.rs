//! The worker: what has been worked out so far, what was found, how much work is left.

use super::arithmetic::Fault;
use super::codes;
use super::parts::BuiltPart;
use super::value::Value;
use crate::diagnostics::{Diagnostic, Label, Sink};
use crate::model::Given;
use crate::resolve::{DeclId, Program};
use crate::source::Span;
use std::collections::BTreeMap;
use std::sync::Arc;

/// What is asked for besides the text.
#[derive(Clone, Debug, Default)]
pub struct Choice {
    /// The size, by name.
    pub size: Option<String>,
    /// Givens set from outside, name and value as typed.
    pub sets: Vec<(String, String)>,
}

/// The most expressions that are worked out in one run: a second's work, a thousand
/// times what a design takes.
const MOST_STEPS: u64 = 2_000_000;

/// How deep expressions and calls may be nested: what fits on a stack of 2 MiB.
const DEEPEST: u32 = 400;

/// The most leaves of one solid, copies counted.
pub const MOST_LEAVES: u64 = 20_000;

/// The most builders in one outline, copies counted.
pub const MOST_INK: u64 = 2_000;

/// The deepest nesting of operations in one solid or outline.
pub const DEEPEST_SOLID: u32 = 200;

/// The longest list, and the most copies.
pub const LONGEST_LIST: usize = 10_000;

/// The most calls that a finding shows, innermost first.
const LONGEST_TRACE: usize = 8;

/// The worker.
pub struct Evaluator<'p> {
    /// What is worked out.
    pub program: &'p Program,
    /// What was found.
    pub sink: Sink,
    /// Values of declarations.
    pub values: BTreeMap<DeclId, Value>,
    /// Parts that could be built, by declaration.
    pub parts: BTreeMap<DeclId, BuiltPart>,
    /// Givens as the model shows them, by declaration.
    pub givens: BTreeMap<DeclId, Given>,
    /// The calls that led here, outermost first.
    pub trace: Vec<Label>,
    steps: u64,
    depth: u32,
    exhausted: bool,
}

/// Where an expression stands: its file, the names of the shape around it, the names
/// of lists being made.
#[derive(Clone, Copy)]
pub struct Scope<'s> {
    /// Index into the program's files.
    pub file: usize,
    /// Parameters and lines of the shape, as far as worked out.
    pub locals: Option<&'s BTreeMap<Arc<str>, Value>>,
    /// The innermost name of `each`.
    pub bound: Option<&'s Bound<'s>>,
}

/// A name of `each` with its value.
pub struct Bound<'s> {
    /// The name.
    pub name: &'s str,
    /// Its value.
    pub value: Value,
    /// Names farther out.
    pub outer: Option<&'s Bound<'s>>,
}

impl<'s> Scope<'s> {
    /// The scope of a file's own declarations.
    pub fn of_file(file: usize) -> Self {
        Scope { file, locals: None, bound: None }
    }

    /// The value of a name of the shape or of `each`.
    pub fn local(&self, name: &str) -> Option<&'s Value> {
        let mut bound = self.bound;
        while let Some(inner) = bound {
            if inner.name == name {
                return Some(&inner.value);
            }
            bound = inner.outer;
        }
        self.locals?.get(name)
    }
}

impl<'p> Evaluator<'p> {
    /// A worker that has done nothing yet.
    pub fn new(program: &'p Program) -> Self {
        Evaluator {
            program,
            sink: Sink::default(),
            values: BTreeMap::new(),
            parts: BTreeMap::new(),
            givens: BTreeMap::new(),
            trace: Vec::new(),
            steps: 0,
            depth: 0,
            exhausted: false,
        }
    }

    /// Reports a finding; the value is poison from here on.
    pub fn fail(&mut self, mut finding: Diagnostic) -> Value {
        finding.trace = self.trace.iter().rev().take(LONGEST_TRACE).cloned().collect();
        self.sink.push(finding);
        Value::Poison
    }

    /// The value, or poison where there was a fault.
    pub fn checked(&mut self, found: Result<Value, Fault>) -> Value {
        match found {
            Ok(value) => value,
            Err(fault) => self.fail(*fault),
        }
    }

    /// Counts one step, and goes one level down. False when there has been enough.
    pub fn enter(&mut self, span: Span) -> bool {
        self.steps += 1;
        if self.exhausted {
            return false;
        }
        let what = if self.steps > MOST_STEPS {
            format!("at most {MOST_STEPS} steps are worked out, and this design takes more")
        } else if self.depth >= DEEPEST {
            format!(
                "at most {DEEPEST} expressions and calls stand inside each other, and here are more"
            )
        } else {
            self.depth += 1;
            return true;
        };
        // One finding is enough: everything after it is cut short.
        self.exhausted = self.steps > MOST_STEPS;
        self.fail(codes::too_much_work(span, &what));
        false
    }

    /// Comes back up one level.
    pub fn leave(&mut self) {
        self.depth -= 1;
    }

    /// Whether the work was cut short.
    pub fn is_exhausted(&self) -> bool {
        self.exhausted
    }
}
