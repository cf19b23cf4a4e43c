//! Calls in the walk over all names: who is called, and whether the arguments fit.

use super::builtin::{Function, UNIVERSAL_FIELDS};
use super::calls::{Callee, Signature, bind, callee};
use super::codes::not_built_yet;
use super::faults;
use super::names::{ANY, Walker};
use crate::source::Span;
use crate::syntax::{Arg, Expr, ExprKind};
use std::collections::BTreeMap;

impl Walker<'_> {
    /// `list.at(k)`: the one thing that is called on a value.
    fn method(&mut self, called: &Expr, args: &[Arg]) -> bool {
        let ExprKind::Member { base, word } = &called.kind else { return false };
        let is_file = match &base.kind {
            ExprKind::Name(name) => {
                !self.is_local(&name.text)
                    && self.program.find(self.file, &name.text).is_none()
                    && self.program.qualified(self.file, &name.text).is_some()
            }
            _ => false,
        };
        if is_file || &*word.text != "at" {
            return false;
        }
        self.expr(base, ANY);
        args.iter().for_each(|arg| self.expr(&arg.value, ANY));
        true
    }

    /// Walks a call; one that is a part's value takes the fields of every part.
    pub(super) fn call(
        &mut self,
        called: &Expr,
        args: &[Arg],
        braces: bool,
        span: Span,
        of_part: bool,
    ) {
        if self.method(called, args) {
            return;
        }
        let found = callee(self.program, self.file, called, braces, &|name| self.is_local(name));
        let target = match found {
            Ok(target) => target,
            Err(fault) => {
                let candidates = self.candidates(ANY);
                let finding =
                    faults::callee(self.program, self.file, called, fault, braces, &candidates);
                self.sink.push(finding);
                return args.iter().for_each(|arg| self.expr(&arg.value, ANY));
            }
        };
        if let Callee::Shape(id, _) = &target {
            self.reads.push((*id, called.span));
        }
        if self.constant && !matches!(target, Callee::Function(_)) {
            self.sink.push(faults::call_not_constant(called.span));
        }
        match (&target, Signature::of(&target)) {
            (Callee::Function(function), _) => self.function(function, args, span),
            (_, Some(signature)) => {
                self.unbuilt(&target, called.span);
                self.shape_call(called, &signature, args, span, of_part);
            }
            _ => {}
        }
    }

    fn unbuilt(&mut self, target: &Callee<'_>, span: Span) {
        let Callee::Builtin(builtin) = target else { return };
        let what = match builtin.name {
            "coupon" => "a coupon",
            _ => return,
        };
        self.sink.push(not_built_yet(span, what));
    }

    fn function(&mut self, function: &'static Function, args: &[Arg], span: Span) {
        let named = args.iter().find_map(|arg| arg.name.as_ref());
        if let Some(name) = named {
            self.sink.push(faults::named_argument(function, name));
        } else if args.len() < function.least || args.len() > function.most {
            self.sink.push(faults::argument_count(function, args.len(), span));
        }
        if let ("drawing", [arg]) = (function.name, args) {
            self.drawing(&arg.value);
        }
        for arg in args {
            self.expr(&arg.value, ANY);
        }
    }

    fn shape_call(
        &mut self,
        called: &Expr,
        signature: &Signature<'_>,
        args: &[Arg],
        span: Span,
        of_part: bool,
    ) {
        let universal: Vec<&str> = UNIVERSAL_FIELDS.iter().map(|f| f.name).collect();
        let binding = bind(signature, args, if of_part { &universal } else { &[] });
        let name = self.program.snippet(self.file, called);
        for fault in binding.faults {
            let place = called.span.to(span);
            self.sink.push(faults::binding(&format!("`{name}`"), signature, fault, place));
        }
        let mut seen: BTreeMap<&str, Span> = BTreeMap::new();
        for (position, arg) in args.iter().enumerate() {
            let index = match &arg.name {
                Some(name) => signature.index(&name.text),
                None => (position < signature.params.len()).then_some(position),
            };
            let own = index.map(|i| signature.params[i].kind.clone());
            let of_every_part = || {
                let name = arg.name.as_ref().filter(|_| of_part)?;
                UNIVERSAL_FIELDS.iter().find(|f| f.name == &*name.text)
            };
            let kind = own.or_else(|| {
                let field = of_every_part()?;
                let name = arg.name.as_ref()?;
                if let Some(first) = seen.insert(field.name, name.span) {
                    self.sink.push(faults::doubled_field(name, first));
                }
                Some(field.kind.clone())
            });
            self.expr(&arg.value, kind.as_ref().unwrap_or(ANY));
        }
    }
}
