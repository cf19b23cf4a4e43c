//! Parts: bodies that get printed, with the fields that every part takes.

use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::measured::Sort;
use super::solids::SolidValue;
use super::value::{MaterialValue, PartValue, Value};
use crate::diagnostics::Diagnostic;
use crate::model::{Bought, Place, Pose};
use crate::quantity::Dimension;
use crate::resolve::{DeclId, Kind, UNIVERSAL_FIELDS, part_call};
use crate::source::Span;
use crate::syntax::{Arg, Expr, Ident, Item, ItemKind};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A part as far as it is known without geometry.
pub struct BuiltPart {
    /// What expressions see.
    pub value: Arc<PartValue>,
    /// `##` lines before it.
    pub docs: Vec<String>,
    /// What it is made of, where it says so.
    pub material: Option<Arc<MaterialValue>>,
    /// How many are printed.
    pub copies: u32,
    /// How many more.
    pub spares: u32,
    /// How far its brim reaches, mm.
    pub brim_mm: Option<f64>,
    /// Whether it takes part in the check for overlap.
    pub assembled: bool,
    /// The author's remark: a text, or one that is measured.
    pub note: Option<Value>,
    /// Of what is fitted but not made.
    pub bought: Option<Bought>,
    /// Where things of it stand in the text.
    pub place: Place,
}

/// Fields of every part, as a part gives them.
struct PartFields {
    values: BTreeMap<&'static str, Value>,
}

/// The widest brim, mm: several times what holds any part.
const WIDEST_BRIM_MM: f64 = 50.0;

/// The most copies of one part; far above any plate.
const MOST_COPIES: i64 = 10_000;

impl Evaluator<'_> {
    /// Works out the part of a declaration; its value, and what the model needs.
    pub fn part(&mut self, id: DeclId, name: &Ident, value: &Expr, docs: &[String]) -> Value {
        let scope = Scope::of_file(id.file);
        let call = part_call(value);
        let made = match call {
            Some((callee, args, braces)) => {
                self.call(&scope, callee, args, braces, value.span, true)
            }
            None => self.eval(&scope, value),
        };
        let args = call.map_or(&[][..], |(_, args, _)| args);
        let Some(fields) = self.part_fields(&scope, args) else { return Value::Poison };
        let solid = match (&made, made.solid()) {
            (Value::Poison, _) => return Value::Poison,
            (_, Some(solid)) => (**solid).clone(),
            (Value::None, _) => SolidValue::empty(),
            (other, None) => return self.fail(no_solid(name, other, value.span)),
        };
        if solid.is_empty() {
            return self.fail(empty(name, value.span));
        }
        self.finish(id, name, solid, fields, docs, place(name, args))
    }

    fn finish(
        &mut self,
        id: DeclId,
        name: &Ident,
        solid: SolidValue,
        fields: PartFields,
        docs: &[String],
        place: Place,
    ) -> Value {
        let pose = match (fields.values.get("pose"), &solid.pose) {
            (Some(Value::Pose(pose)), _) => pose.clone(),
            (_, Some(offered)) => offered.clone(),
            _ => Pose::Upright,
        };
        // A lid is made in the frame of what it closes, and goes where that has gone.
        let solid = match &solid.closes {
            Some(closes) => {
                let moved = closes.host.solid.moved;
                solid.placed(&moved)
            }
            None => solid,
        };
        let Some(solid) = self.reliefs_eased(solid, &pose, name.span) else {
            return Value::Poison;
        };
        let slit = solid.inlay.as_ref().is_some_and(|origin| origin.inlay.slit.is_some());
        let value = Arc::new(PartValue {
            number: self.part_number(id),
            name: name.text.clone(),
            solid: Arc::new(solid.of_part(&name.text, &pose)),
            pose,
            slit,
            bought: false,
        });
        let count = |field: &str| match fields.values.get(field) {
            Some(Value::Quantity(q)) => q.value as u32,
            _ => u32::from(field == "copies"),
        };
        let brim_mm = match fields.values.get("brim") {
            Some(Value::Quantity(q)) => Some(q.value),
            _ => None,
        };
        let material = match fields.values.get("material") {
            Some(Value::Material(material)) => Some(material.clone()),
            _ => None,
        };
        let built = BuiltPart {
            value: value.clone(),
            docs: docs.to_vec(),
            material,
            copies: count("copies"),
            spares: count("spares"),
            brim_mm,
            assembled: !matches!(fields.values.get("assembled"), Some(Value::Truth(false))),
            note: fields.values.get("note").cloned(),
            bought: None,
            place,
        };
        self.parts.insert(id, built);
        Value::Part(value)
    }

    /// Its number among all parts of the text, bought ones included.
    pub(super) fn part_number(&self, id: DeclId) -> usize {
        let items = &self.program.files[id.file].tree.items;
        items[..id.item].iter().filter(|item| is_part(item)).count()
    }

    /// The fields of every part among the arguments of its call.
    fn part_fields(&mut self, scope: &Scope<'_>, args: &[Arg]) -> Option<PartFields> {
        let mut values = BTreeMap::new();
        let mut sound = true;
        for arg in args {
            let Some(name) = &arg.name else { continue };
            let Some(field) = UNIVERSAL_FIELDS.iter().find(|f| f.name == &*name.text) else {
                continue;
            };
            let value = match field.name {
                "note" => self.note(scope, &arg.value),
                "copies" | "spares" => self.count(scope, field.name, &arg.value),
                "brim" => self.brim(scope, &arg.value),
                _ => self.argument(scope, field.name, &field.kind, &arg.value),
            };
            sound &= !value.is_poison();
            values.insert(field.name, value);
        }
        sound.then_some(PartFields { values })
    }

    fn note(&mut self, scope: &Scope<'_>, expr: &Expr) -> Value {
        match self.eval(scope, expr) {
            Value::Measured(measured) if measured.sort == Sort::Text => Value::Measured(measured),
            other => self.coerced("note", &Kind::Text, other, expr.span),
        }
    }

    fn brim(&mut self, scope: &Scope<'_>, expr: &Expr) -> Value {
        let value = self.argument(scope, "brim", &Kind::Number(Dimension::LENGTH), expr);
        let Value::Quantity(q) = value else { return value };
        if q.value > 0.0 && q.value <= WIDEST_BRIM_MM {
            return Value::Quantity(q);
        }
        let message =
            format!("a brim reaches farther than 0 mm and up to {WIDEST_BRIM_MM} mm, this is {q}");
        self.bad_measure(expr.span, message, "write 4 mm to 8 mm, or leave it out for none")
    }

    fn count(&mut self, scope: &Scope<'_>, name: &str, expr: &Expr) -> Value {
        let value = self.argument(scope, name, &Kind::Count, expr);
        let Value::Quantity(q) = value else { return Value::Poison };
        let least = i64::from(name == "copies");
        if (least..=MOST_COPIES).contains(&(q.value as i64)) {
            return Value::Quantity(q);
        }
        let message = format!("`{name}` lies between {least} and {MOST_COPIES}, this is {q}");
        self.bad_measure(expr.span, message, "give it a whole number in that range")
    }
}

/// Whether an item puts a body into the assembly.
pub fn is_part(item: &Item) -> bool {
    matches!(item.kind, ItemKind::Part { .. } | ItemKind::Bought { .. })
}

/// Where a part and its fields stand in the text.
fn place(name: &Ident, args: &[Arg]) -> Place {
    let fields = args.iter().filter_map(|arg| {
        let name = arg.name.as_ref()?;
        Some((name.text.to_string(), arg.value.span))
    });
    Place { name: name.span, fields: fields.collect() }
}

fn no_solid(name: &Ident, value: &Value, span: Span) -> Diagnostic {
    let finding = Diagnostic::at(
        codes::WRONG_KIND,
        span,
        format!("the part `{}` wants a solid, this is {}", name.text, codes::shown(value)),
    )
    .label(value.spoken());
    match value {
        Value::Outline(_) => finding.help("draw it up: prism { outline: …, height: 5 mm }"),
        Value::Record(_) => finding.help("give the shape a line `make`"),
        _ => finding.help("write part p = solid { form: …, material: … }"),
    }
}

fn empty(name: &Ident, span: Span) -> Diagnostic {
    Diagnostic::at(codes::EMPTY_PART, span, format!("nothing is left of the part `{}`", name.text))
        .help("give it a body, or leave the part out")
}
