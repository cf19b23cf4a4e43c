//! Calls: arguments to parameters, then the shape's lines or the built-in's work.

use super::arithmetic::{Operator, Spans, apply};
use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::fits::gap_word;
use super::functions::FunctionBody;
use super::rules::split;
use super::solids::Closes;
use super::value::{Attributes, Value};
use crate::diagnostics::{Diagnostic, Label};
use crate::model::GapName;
use crate::model::limits::FitName;
use crate::quantity::Dimension;
use crate::resolve::{Builtin, Callee, DeclId, Kind, Signature, UNIVERSAL_FIELDS, bind, callee};
use crate::source::Span;
use crate::syntax::{Arg, Expr, ExprKind, Shape, ShapeLine};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The arguments of a call by parameter: value and place.
pub struct Arguments {
    /// By name; what was not given is missing.
    values: BTreeMap<String, (Value, Span)>,
    /// Gaps that are given by name.
    gap_words: BTreeMap<String, String>,
    /// The whole call.
    pub span: Span,
    /// Who is called.
    pub callee: Span,
}

impl Arguments {
    /// The value of a parameter.
    pub fn get(&self, name: &str) -> Option<&Value> {
        self.values.get(name).map(|(value, _)| value)
    }

    /// The place of a parameter's value; the call where it was not given.
    pub fn place(&self, name: &str) -> Span {
        self.values.get(name).map_or(self.callee, |(_, span)| *span)
    }

    /// The number of a parameter, in base units.
    pub fn number(&self, name: &str) -> Option<f64> {
        match self.get(name) {
            Some(Value::Quantity(q)) => Some(q.value),
            _ => None,
        }
    }

    /// The word of a parameter.
    pub fn word(&self, name: &str) -> Option<&str> {
        match self.get(name) {
            Some(Value::Text(text)) => Some(text),
            _ => None,
        }
    }

    /// The arguments as attributes of what is made.
    pub fn attributes(&self) -> Attributes {
        self.values.iter().map(|(name, (value, _))| (name.as_str().into(), value.clone())).collect()
    }
}

impl<'p> Evaluator<'p> {
    /// What a call gives. Fields of every part are left to the part.
    pub fn call(
        &mut self,
        scope: &Scope<'_>,
        called: &Expr,
        args: &[Arg],
        braces: bool,
        span: Span,
        of_part: bool,
    ) -> Value {
        if let Some(value) = self.method(scope, called, args, span) {
            return value;
        }
        let is_local = |name: &str| scope.local(name).is_some();
        let program = self.program;
        let Ok(target) = callee(program, scope.file, called, braces, &is_local) else {
            return Value::Poison;
        };
        match target {
            Callee::Function(function) => self.function(scope, function.name, args, span),
            Callee::Builtin(builtin) => {
                let signature = Signature::of_table(builtin.params);
                match self.arguments(scope, &signature, args, called.span, span, of_part) {
                    Some(arguments) => self.build(builtin, &arguments),
                    None => Value::Poison,
                }
            }
            Callee::Shape(id, shape) => self.shape(scope, (id, shape), called, args, span, of_part),
        }
    }

    /// `list.at(k)`
    fn method(
        &mut self,
        scope: &Scope<'_>,
        called: &Expr,
        args: &[Arg],
        span: Span,
    ) -> Option<Value> {
        let ExprKind::Member { base, word } = &called.kind else { return None };
        let [index] = args else { return None };
        if &*word.text != "at" || index.name.is_some() {
            return None;
        }
        match self.eval(scope, base) {
            Value::List(list) => {
                let index = self.eval(scope, &index.value);
                Some(self.list_at(&list, &index, span))
            }
            _ => None,
        }
    }

    /// The arguments of a call, each as its parameter wants it; nothing when one went
    /// wrong.
    fn arguments(
        &mut self,
        scope: &Scope<'_>,
        signature: &Signature<'_>,
        args: &[Arg],
        callee: Span,
        span: Span,
        of_part: bool,
    ) -> Option<Arguments> {
        let universal: Vec<&str> = UNIVERSAL_FIELDS.iter().map(|f| f.name).collect();
        let binding = bind(signature, args, if of_part { &universal } else { &[] });
        let mut sound = binding.faults.is_empty();
        let mut values = BTreeMap::new();
        let mut gap_words = BTreeMap::new();
        for (param, slot) in signature.params.iter().zip(binding.slots) {
            let Some(expr) = slot else { continue };
            let value = self.argument(scope, param.name, &param.kind, expr);
            sound &= !value.is_poison();
            if let Some(word) = gap_word(expr).filter(|_| param.kind == Kind::Gap) {
                gap_words.insert(param.name.to_string(), word.to_string());
            }
            values.insert(param.name.to_string(), (value, expr.span));
        }
        sound.then_some(Arguments { values, gap_words, span, callee })
    }

    fn function(&mut self, scope: &Scope<'_>, name: &str, args: &[Arg], span: Span) -> Value {
        if let ("drawing", [arg]) = (name, args) {
            return self.drawing(scope, &arg.value);
        }
        let mut values = Vec::with_capacity(args.len());
        let mut spans = vec![span];
        for arg in args {
            if arg.name.is_some() {
                return Value::Poison;
            }
            values.push(self.eval(scope, &arg.value));
            spans.push(arg.value.span);
        }
        let wanted = crate::resolve::Function::find(name);
        if !wanted.is_some_and(|f| f.least <= values.len() && values.len() <= f.most) {
            return Value::Poison;
        }
        let spans: Spans = spans.into();
        match (name, values.as_slice()) {
            (_, values) if values.iter().any(Value::is_poison) => Value::Poison,
            ("joined", [list]) => self.joined(list, &spans),
            ("volume", [solid]) => self.volume(solid, &spans),
            ("min" | "max", [Value::List(list)]) => {
                let list = list.to_vec();
                let spans: Spans = vec![span; list.len() + 1].into();
                self.numbers(name, list, &spans)
            }
            _ => self.numbers(name, values, &spans),
        }
    }

    fn numbers(&mut self, name: &str, values: impl Into<Vec<Value>>, spans: &Spans) -> Value {
        let Some(body) = FunctionBody::find(name) else { return Value::Poison };
        let found = apply(&Operator::Function(body), values.into(), spans);
        self.checked(found)
    }

    /// A call of a shape written in the language.
    fn shape(
        &mut self,
        scope: &Scope<'_>,
        (id, shape): (DeclId, &'p Shape),
        called: &Expr,
        args: &[Arg],
        span: Span,
        of_part: bool,
    ) -> Value {
        let signature = Signature::of_shape(shape);
        let arguments = self.arguments(scope, &signature, args, called.span, span, of_part);
        let program = self.program;
        let plan = program.shapes.get(&id).filter(|plan| !plan.endless);
        let (Some(arguments), Some(plan)) = (arguments, plan) else { return Value::Poison };
        let text = format!("in this call of `{}`", shape.name.text);
        self.trace.push(Label { span: called.span, text });
        let made = self.shape_body(id.file, shape, &plan.order, &signature, &arguments);
        self.trace.pop();
        made
    }

    fn shape_body(
        &mut self,
        file: usize,
        shape: &'p Shape,
        order: &[usize],
        signature: &Signature<'_>,
        arguments: &Arguments,
    ) -> Value {
        let mut locals: BTreeMap<Arc<str>, Value> = BTreeMap::new();
        for (param, declared) in signature.params.iter().zip(&shape.params) {
            let value = match (arguments.get(param.name), &declared.default) {
                (Some(value), _) => value.clone(),
                (None, Some(default)) => {
                    let scope = Scope { file, locals: Some(&locals), bound: None };
                    self.argument(&scope, param.name, &param.kind, default)
                }
                (None, None) => Value::Poison,
            };
            if value.is_poison() {
                return Value::Poison;
            }
            locals.insert(declared.name.text.clone(), value);
        }
        let mut attributes: Attributes = locals.clone();
        let mut made = None;
        let mut pose = None;
        let mut sound = true;
        let mut ruled_out = false;
        for line in order.iter().filter_map(|index| shape.lines.get(*index)) {
            let scope = Scope { file, locals: Some(&locals), bound: None };
            match line {
                // What a broken rule forbids would only be found again, in other words.
                ShapeLine::Let { name, .. } | ShapeLine::Offer { name, .. } if ruled_out => {
                    locals.insert(name.text.clone(), Value::Poison);
                }
                ShapeLine::Make { .. } if ruled_out => {}
                ShapeLine::Let { name, value } => {
                    let value = self.eval(&scope, value);
                    sound &= !value.is_poison();
                    locals.insert(name.text.clone(), value);
                }
                ShapeLine::Offer { name, value } if &*name.text == "pose" => {
                    let found = self.offered_pose(&scope, value);
                    sound &= !found.is_poison();
                    pose = Some(found.clone());
                    locals.insert(name.text.clone(), found);
                }
                ShapeLine::Offer { name, value } => {
                    let value = self.eval(&scope, value);
                    sound &= !value.is_poison();
                    locals.insert(name.text.clone(), value.clone());
                    attributes.insert(name.text.clone(), value);
                }
                ShapeLine::Require(require, _) => {
                    for (condition, _) in split(&require.condition) {
                        ruled_out |= !self.rule_of_shape(
                            &scope,
                            shape,
                            condition,
                            require.why.as_ref(),
                            arguments,
                        );
                    }
                }
                ShapeLine::Make { value, span } => {
                    let value = self.eval(&scope, value);
                    sound &= !value.is_poison();
                    if let Value::Measured(_) = value {
                        let finding = codes::measured_too_early(*span, "what the shape makes");
                        self.fail(finding);
                        sound = false;
                    }
                    made = Some(value);
                }
            }
        }
        if !sound || ruled_out {
            return Value::Poison;
        }
        self.made(made, attributes, pose, shape, arguments)
    }

    /// What a shape gives: its solid or outline with what it answers to, or a record.
    fn made(
        &mut self,
        made: Option<Value>,
        attributes: Attributes,
        pose: Option<Value>,
        shape: &Shape,
        arguments: &Arguments,
    ) -> Value {
        match made {
            None => Value::Record(Arc::new(attributes)),
            Some(Value::Outline(mut outline)) => {
                outline.attributes = Arc::new(attributes);
                Value::Outline(outline)
            }
            Some(value) if value.solid().is_some() || matches!(value, Value::None) => {
                let mut solid = match value.solid() {
                    Some(solid) => (**solid).clone(),
                    None => super::solids::SolidValue::empty(),
                };
                if let Some(closes) = closing(shape, arguments, &attributes) {
                    solid.closes = Some(Arc::new(closes));
                }
                if let Some(Value::Pose(pose)) = pose {
                    solid.pose = Some(pose);
                }
                Value::Solid(Arc::new(solid.leaving(attributes)))
            }
            Some(other) => other,
        }
    }

    fn offered_pose(&mut self, scope: &Scope<'_>, value: &Expr) -> Value {
        let found = self.eval_as(scope, value, &Kind::Pose);
        let found = match &found {
            // `if top == "plain" then "upside_down" else "upright"`
            Value::Text(text) if &**text == "upright" => Value::Pose(crate::model::Pose::Upright),
            Value::Text(text) if &**text == "upside_down" => {
                Value::Pose(crate::model::Pose::UpsideDown)
            }
            _ => found,
        };
        self.coerced("pose", &Kind::Pose, found, value.span)
    }

    /// The work of a built-in shape.
    fn build(&mut self, builtin: &'static Builtin, arguments: &Arguments) -> Value {
        match builtin.name {
            "rect" | "disc" | "slot" | "polygon" | "regular" | "stroke" => {
                self.build_outline(builtin.name, arguments)
            }
            "lettering" => self.lettering(arguments),
            "tile" => self.tile(arguments),
            "inlay" => self.inlay(arguments),
            "relief" => self.relief(arguments),
            "gaps" => super::process::gaps(arguments),
            "tipped" | "on" => self.pose_call(builtin.name, arguments),
            "coupon" => Value::Poison,
            _ => self.build_body(builtin.name, arguments),
        }
    }
}

/// What a shape with a parameter `closes: part` closes. Its gap is the `play` that it
/// offers, else its parameter `gap`.
fn closing(shape: &Shape, arguments: &Arguments, attributes: &Attributes) -> Option<Closes> {
    let param = shape.params.iter().find(|p| &*p.name.text == "closes")?;
    let is_part = param.kind.as_ref().and_then(Kind::written) == Some(Kind::Part);
    match arguments.get("closes") {
        Some(Value::Part(host)) if is_part => Some(Closes {
            host: host.clone(),
            gap_mm: ["play", "gap"]
                .into_iter()
                .find_map(|word| attributes.get(word)?.number(Dimension::LENGTH)),
            gap_name: closing_gap(shape, arguments),
        }),
        _ => None,
    }
}

/// What the text calls the gap of a lid.
fn closing_gap(shape: &Shape, arguments: &Arguments) -> Option<GapName> {
    if let Some(fit) = arguments.word("fit").filter(|fit| !fit.is_empty()) {
        return FitName::parse(fit).ok().map(GapName::Limits);
    }
    let word = match arguments.get("gap") {
        Some(_) => arguments.gap_words.get("gap").cloned(),
        None => {
            let param = shape.params.iter().find(|p| &*p.name.text == "gap")?;
            param.default.as_ref().and_then(gap_word).map(str::to_string)
        }
    };
    word.map(GapName::Measured)
}

impl Evaluator<'_> {
    /// A value that cannot be built, with the builder's reason.
    pub fn bad_measure(&mut self, span: Span, message: String, help: &str) -> Value {
        self.fail(Diagnostic::at(codes::BAD_MEASURE, span, message).help(help))
    }
}
