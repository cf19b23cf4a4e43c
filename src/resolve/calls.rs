//! Who is called, and which argument goes to which parameter.

use super::builtin::{Builtin, BuiltinParam, Function};
use super::kind::Kind;
use super::program::{DeclId, Program};
use super::space::Target;
use crate::syntax::{Arg, Block, Expr, ExprKind, Ident, Shape};

/// Who is called.
#[derive(Clone, Copy, Debug)]
pub enum Callee<'p> {
    /// A shape written in the language.
    Shape(DeclId, &'p Shape),
    /// A built-in shape.
    Builtin(&'static Builtin),
    /// A built-in function.
    Function(&'static Function),
}

/// Why nobody can be called.
pub enum NoCallee<'e> {
    /// Nothing has this name.
    Unknown(&'e Ident),
    /// The name means something that is no shape.
    NotAShape(&'e Ident),
    /// Two `use`d files declare it.
    Ambiguous(&'e Ident, Vec<DeclId>),
    /// What stands before the call is no name.
    NoName,
}

/// Who is called by `callee` in file number `file`; `is_local` says whether a name is a
/// parameter or a line of the shape in which the call stands.
pub fn callee<'p, 'e>(
    program: &'p Program,
    file: usize,
    callee: &'e Expr,
    braces: bool,
    is_local: &dyn Fn(&str) -> bool,
) -> Result<Callee<'p>, NoCallee<'e>> {
    let (ident, target) = match &callee.kind {
        ExprKind::Name(ident) => {
            let target = program.find(file, &ident.text);
            let is_shape = match &target {
                Some(Target::Declared(id)) => program.shape(*id).is_some(),
                _ => false,
            };
            if !braces
                && !is_shape
                && let Some(function) = Function::find(&ident.text)
            {
                return Ok(Callee::Function(function));
            }
            if is_local(&ident.text) {
                return Err(NoCallee::NotAShape(ident));
            }
            (ident, target)
        }
        ExprKind::Member { base, word } => {
            let ExprKind::Name(qualifier) = &base.kind else { return Err(NoCallee::NoName) };
            let Some(other) = program.qualified(file, &qualifier.text) else {
                return Err(NoCallee::NotAShape(word));
            };
            (word, program.find_in(other, &word.text).map(Target::Declared))
        }
        _ => return Err(NoCallee::NoName),
    };
    match target {
        Some(Target::Declared(id)) => match program.shape(id) {
            Some(shape) => Ok(Callee::Shape(id, shape)),
            None => Err(NoCallee::NotAShape(ident)),
        },
        Some(Target::Builtin(builtin)) => Ok(Callee::Builtin(builtin)),
        Some(Target::Pi) => Err(NoCallee::NotAShape(ident)),
        Some(Target::Ambiguous(ids)) => Err(NoCallee::Ambiguous(ident, ids)),
        None => Err(NoCallee::Unknown(ident)),
    }
}

/// A parameter as a call sees it.
#[derive(Clone, Debug)]
pub struct SignatureParam<'p> {
    /// Its name.
    pub name: &'p str,
    /// What it takes.
    pub kind: Kind,
    /// Whether a call must give it.
    pub required: bool,
}

/// The parameters of a shape or a block.
#[derive(Clone, Debug)]
pub struct Signature<'p> {
    /// In the order in which positional arguments fill them.
    pub params: Vec<SignatureParam<'p>>,
}

impl<'p> Signature<'p> {
    /// Of a shape written in the language; a kind that is not there takes anything.
    pub fn of_shape(shape: &'p Shape) -> Self {
        let params = shape.params.iter().map(|p| SignatureParam {
            name: &p.name.text,
            kind: p.kind.as_ref().and_then(Kind::written).unwrap_or(Kind::Any),
            required: p.default.is_none(),
        });
        Signature { params: params.collect() }
    }

    /// Of a built-in table.
    pub fn of_table(table: &'static [BuiltinParam]) -> Self {
        let params = table.iter().map(|p| SignatureParam {
            name: p.name,
            kind: p.kind.clone(),
            required: p.required,
        });
        Signature { params: params.collect() }
    }

    /// Of a shape that can be called; functions have none.
    pub fn of(callee: &Callee<'p>) -> Option<Self> {
        match callee {
            Callee::Shape(_, shape) => Some(Signature::of_shape(shape)),
            Callee::Builtin(builtin) => Some(Signature::of_table(builtin.params)),
            Callee::Function(_) => None,
        }
    }

    /// The index of a parameter.
    pub fn index(&self, name: &str) -> Option<usize> {
        self.params.iter().position(|p| p.name == name)
    }
}

/// Which argument goes where.
pub struct Binding<'e> {
    /// The argument of each parameter.
    pub slots: Vec<Option<&'e Expr>>,
    /// What went wrong.
    pub faults: Vec<BindingFault<'e>>,
}

/// Why an argument goes nowhere.
pub enum BindingFault<'e> {
    /// No parameter has this name.
    Unknown(&'e Ident),
    /// Given twice; the place of the first.
    Doubled(&'e Ident, &'e Expr),
    /// A positional argument where there is no further parameter, or behind a named one.
    Surplus(&'e Expr),
    /// Parameters that must be given are not.
    Missing(Vec<String>),
}

/// Gives the arguments of a call to parameters; names in `skip` are left out.
pub fn bind<'e>(signature: &Signature<'_>, args: &'e [Arg], skip: &[&str]) -> Binding<'e> {
    let named = args.iter().map(|arg| (arg.name.as_ref(), &arg.value));
    bind_pairs(signature, named, skip)
}

/// Gives the fields of a block to parameters.
pub fn bind_block<'e>(signature: &Signature<'_>, block: &'e Block) -> Binding<'e> {
    bind_pairs(signature, block.fields.iter().map(|f| (Some(&f.name), &f.value)), &[])
}

fn bind_pairs<'e>(
    signature: &Signature<'_>,
    pairs: impl Iterator<Item = (Option<&'e Ident>, &'e Expr)>,
    skip: &[&str],
) -> Binding<'e> {
    let mut slots: Vec<Option<&Expr>> = vec![None; signature.params.len()];
    let mut faults = Vec::new();
    let mut named = false;
    for (position, (name, value)) in pairs.enumerate() {
        let Some(name) = name else {
            match slots.get_mut(position) {
                Some(slot) if !named => *slot = Some(value),
                _ => faults.push(BindingFault::Surplus(value)),
            }
            continue;
        };
        named = true;
        if skip.contains(&&*name.text) {
            continue;
        }
        match signature.index(&name.text) {
            None => faults.push(BindingFault::Unknown(name)),
            Some(index) => match slots[index] {
                Some(first) => faults.push(BindingFault::Doubled(name, first)),
                None => slots[index] = Some(value),
            },
        }
    }
    let missing =
        signature.params.iter().zip(&slots).filter(|(p, slot)| p.required && slot.is_none());
    let missing: Vec<String> = missing.map(|(p, _)| p.name.to_string()).collect();
    if !missing.is_empty() {
        faults.push(BindingFault::Missing(missing));
    }
    Binding { slots, faults }
}

/// The call that is a part's value, through brackets.
pub fn part_call(value: &Expr) -> Option<(&Expr, &[Arg], bool)> {
    match &value.kind {
        ExprKind::Paren(inner) => part_call(inner),
        ExprKind::Call { callee, args, braces } => Some((callee, args, *braces)),
        _ => None,
    }
}
