//! Printers and materials.

use super::calls::Arguments;
use super::codes;
use super::evaluator::{Evaluator, Scope};
use super::value::{Attributes, GapsValue, MaterialValue, PrinterValue, Value};
use crate::diagnostics::Diagnostic;
use crate::model::{GapTable, Material, Printer, Tolerance};
use crate::quantity::Quantity;
use crate::resolve::{GRADE_WORDS, MATERIAL_FIELDS, PRINTER_FIELDS, Signature, bind_block};
use crate::source::Span;
use crate::syntax::{Block, Ident, ItemKind};
use std::collections::BTreeMap;
use std::sync::Arc;

/// The values of a block by field, with their places.
type Fields = BTreeMap<String, (Value, Span)>;

/// The share of the strain at yield that a part with a clear yield point stands once:
/// DSM Engineering Plastics, "Maximum allowable short-term strain" (70 % of the yield
/// strain); here for printed parts, where nothing is published.
const SHARE_OF_YIELD: f64 = 0.7;

/// No filament shrinks by as much as this, as a ratio: what is meant is something else.
const MOST_SHRINK: f64 = 0.1;

/// No first layer spreads by more than this, mm: 0.1 to 0.3 mm are usual (common practice,
/// no source).
const MOST_SPREAD_MM: f64 = 1.0;

/// The printer of the standard library from which others take what they do not say.
const GENERIC: &str = "generic_04";

/// A printer of which nothing is said yet.
const BLANK: Printer = Printer {
    name: String::new(),
    line_mm: 0.0,
    layer_mm: 0.0,
    first_layer_mm: 0.0,
    overhang_rad: 0.0,
    bridge_mm: 0.0,
    bed_mm: [0.0; 3],
    fill: 1.0,
    elephant_mm: 0.0,
    measured: GapTable { snap_mm: 0.0, slide_mm: 0.0, press_mm: 0.0, free_mm: 0.0 },
    tolerance: None,
};

impl Evaluator<'_> {
    /// The values of a block; nothing when one went wrong.
    fn block_fields(
        &mut self,
        table: &'static [crate::resolve::BuiltinParam],
        block: &Block,
        file: usize,
    ) -> Option<Fields> {
        let signature = Signature::of_table(table);
        let binding = bind_block(&signature, block);
        let mut sound = binding.faults.is_empty();
        let mut fields = Fields::new();
        for (param, slot) in signature.params.iter().zip(binding.slots) {
            let Some(expr) = slot else { continue };
            let scope = Scope::of_file(file);
            let value = self.argument(&scope, param.name, &param.kind, expr);
            sound &= !value.is_poison();
            fields.insert(param.name.to_string(), (value, expr.span));
        }
        sound.then_some(fields)
    }

    /// `printer NAME {…}`
    pub fn printer(&mut self, name: &Ident, block: &Block, file: usize) -> Value {
        let Some(fields) = self.block_fields(&PRINTER_FIELDS, block, file) else {
            return Value::Poison;
        };
        let base = match fields.get("base") {
            Some((Value::Printer(base), _)) => Some(base.clone()),
            _ if file == 0 => self.generic(),
            _ => None,
        };
        let (mut printer, mut attributes) = match base {
            Some(base) => (base.printer.clone(), base.attributes.clone()),
            None => (BLANK, Attributes::new()),
        };
        printer.name = name.text.to_string();
        let number = |field: &str| match fields.get(field) {
            Some((Value::Quantity(q), _)) => Some(q.value),
            _ => None,
        };
        let set = |slot: &mut f64, field: &str| {
            if let Some(value) = number(field) {
                *slot = value;
            }
        };
        set(&mut printer.line_mm, "line");
        set(&mut printer.layer_mm, "layer");
        printer.first_layer_mm = number("first_layer").unwrap_or(match number("layer") {
            Some(layer) => layer,
            None => printer.first_layer_mm,
        });
        set(&mut printer.overhang_rad, "overhang");
        set(&mut printer.bridge_mm, "bridge");
        set(&mut printer.fill, "fill");
        set(&mut printer.elephant_mm, "elephant");
        if let Some((Value::Gaps(gaps), _)) = fields.get("measured") {
            printer.measured = gaps.over(&printer.measured);
        }
        if let Some((tolerance, _)) = fields.get("tolerance") {
            printer.tolerance = tolerance_of(tolerance);
        }
        if let Some((Value::Point(bed), _)) = fields.get("bed") {
            for (slot, side) in printer.bed_mm.iter_mut().zip(&bed.coordinates) {
                *slot = *side;
            }
        }
        if !self.printer_holds(&printer, &fields) {
            return Value::Poison;
        }
        attributes.extend(named(&fields));
        attributes.extend(printer_attributes(&printer));
        Value::Printer(Arc::new(PrinterValue { printer, attributes }))
    }

    /// Measures of a printer that must be above 0, an overhang below a flat ceiling.
    fn printer_holds(&mut self, printer: &Printer, fields: &Fields) -> bool {
        let wrong = fields.iter().find_map(|(name, (value, span))| match value {
            Value::Quantity(q)
                if q.value <= 0.0 && !["bridge", "elephant"].contains(&name.as_str()) =>
            {
                Some((name, q, *span))
            }
            Value::Quantity(q) if name == "fill" && q.value > 1.0 => Some((name, q, *span)),
            Value::Quantity(q) if name == "elephant" && q.value > MOST_SPREAD_MM => {
                Some((name, q, *span))
            }
            Value::Quantity(q) if name == "overhang" && q.value >= std::f64::consts::FRAC_PI_2 => {
                Some((name, q, *span))
            }
            Value::Quantity(q) if q.value < 0.0 => Some((name, q, *span)),
            _ => None,
        });
        if let Some((name, value, span)) = wrong {
            self.fail(bad_process(name, value, span));
            return false;
        }
        if printer.bed_mm.iter().any(|side| *side <= 0.0) {
            let span = fields.get("bed").map(|(_, span)| *span);
            if let Some(span) = span {
                self.fail(
                    Diagnostic::at(codes::BAD_PROCESS, span, "`bed` must be above 0 mm each way")
                        .help("write (220 mm, 220 mm, 250 mm)"),
                );
            }
            return false;
        }
        true
    }

    /// `material NAME {…}`
    pub fn material(&mut self, name: &Ident, block: &Block, file: usize) -> Value {
        let Some(fields) = self.block_fields(&MATERIAL_FIELDS, block, file) else {
            return Value::Poison;
        };
        let base = match fields.get("base") {
            Some((Value::Material(base), _)) => Some(base.clone()),
            _ => None,
        };
        let mut attributes = base.as_ref().map(|b| b.attributes.clone()).unwrap_or_default();
        let wrong = fields.iter().find_map(|(name, (value, span))| match value {
            Value::Quantity(q) if name == "shrink" => {
                (!(0.0..MOST_SHRINK).contains(&q.value)).then_some((name, q, *span))
            }
            Value::Quantity(q) if q.value <= 0.0 => Some((name, q, *span)),
            _ => None,
        });
        if let Some((name, value, span)) = wrong {
            let finding = bad_process(name, value, span);
            return self.fail(finding);
        }
        attributes.extend(named(&fields));
        if !fields.contains_key("permitted")
            && let Some((Value::Quantity(q), _)) = fields.get("yield_strain")
        {
            let permitted = Quantity::plain(q.value * SHARE_OF_YIELD);
            attributes.insert("permitted".into(), Value::Quantity(permitted));
        }
        let number = |field: &str| match attributes.get(field) {
            Some(Value::Quantity(q)) => Some(q.value),
            _ => None,
        };
        let Some(density) = number("density") else {
            return self.fail(no_density(name));
        };
        let colour = match attributes.get("colour") {
            Some(Value::Colour(colour)) => *colour,
            _ => UNPAINTED,
        };
        let material = Material {
            name: name.text.to_string(),
            colour,
            density_g_cm3: density * MM3_PER_CM3,
            modulus_mpa: number("modulus"),
            permitted: number("permitted"),
            shrink: number("shrink").unwrap_or(0.0),
        };
        Value::Material(Arc::new(MaterialValue { material, attributes }))
    }

    /// The generic printer: what a design without one is printed on, and what fills in
    /// for what its own does not say.
    pub fn generic(&mut self) -> Option<Arc<PrinterValue>> {
        let program = self.program;
        let mut files = program.root().implied.iter();
        let id = files.find_map(|file| program.find_in(*file, GENERIC))?;
        let value = match self.values.get(&id) {
            Some(value) => value.clone(),
            None => {
                let ItemKind::Printer { name, block } = &program.item(id).kind else { return None };
                let value = self.printer(name, block, id.file);
                self.values.insert(id, value.clone());
                value
            }
        };
        match value {
            Value::Printer(printer) => Some(printer),
            _ => None,
        }
    }
}

/// The colour of a material that has none: a light grey.
pub const UNPAINTED: [u8; 3] = [0xc8, 0xc8, 0xc8];

/// g/cm3 in a g/mm3.
const MM3_PER_CM3: f64 = 1000.0;

fn named(fields: &Fields) -> Attributes {
    let kept = fields.iter().filter(|(name, _)| *name != "base");
    kept.map(|(name, (value, _))| (name.as_str().into(), value.clone())).collect()
}

fn printer_attributes(printer: &Printer) -> Attributes {
    let lengths = [
        ("line", printer.line_mm),
        ("layer", printer.layer_mm),
        ("first_layer", printer.first_layer_mm),
        ("bridge", printer.bridge_mm),
        ("elephant", printer.elephant_mm),
    ];
    let mut attributes: Attributes =
        lengths.iter().map(|(name, mm)| ((*name).into(), Value::mm(*mm))).collect();
    let overhang = Value::Quantity(Quantity::rad(printer.overhang_rad));
    attributes.insert("overhang".into(), overhang);
    attributes.insert("fill".into(), Value::Quantity(Quantity::plain(printer.fill)));
    let gaps = [
        ("snap", printer.measured.snap_mm),
        ("slide", printer.measured.slide_mm),
        ("press", printer.measured.press_mm),
        ("free", printer.measured.free_mm),
    ];
    let gaps: Attributes = gaps.iter().map(|(name, mm)| ((*name).into(), Value::mm(*mm))).collect();
    attributes.insert("measured".into(), Value::Record(Arc::new(gaps)));
    attributes
}

/// The tolerance that a value is: a length, or the word of a grade.
pub fn tolerance_of(value: &Value) -> Option<Tolerance> {
    match value {
        Value::Quantity(zone) => Some(Tolerance::Zone(zone.value)),
        Value::Text(word) => {
            let index = GRADE_WORDS.iter().position(|known| *known == &**word)?;
            u8::try_from(index + 1).ok().map(Tolerance::Grade)
        }
        _ => None,
    }
}

/// `gaps { snap: 0.1 mm, … }`
pub fn gaps(arguments: &Arguments) -> Value {
    Value::Gaps(Arc::new(GapsValue {
        snap: arguments.number("snap"),
        slide: arguments.number("slide"),
        press: arguments.number("press"),
        free: arguments.number("free"),
    }))
}

fn bad_process(name: &str, value: &Quantity, span: Span) -> Diagnostic {
    let wants = match name {
        "fill" => "lies above 0 % and is at most 100 %",
        "overhang" => "lies between 0 deg and 90 deg",
        "bridge" => "cannot be below 0 mm",
        "elephant" => "lies between 0 mm and 1 mm",
        "shrink" => "lies between 0 % and 10 %",
        _ => "must be above 0",
    };
    Diagnostic::at(codes::BAD_PROCESS, span, format!("`{name}` {wants}, this is {value}"))
        .help("leave it out to take it from the base")
}

fn no_density(name: &Ident) -> Diagnostic {
    Diagnostic::at(
        codes::BAD_PROCESS,
        name.span,
        format!("the material `{}` has no density", name.text),
    )
    .help("add base: pla, or density: 1.24 g/cm3")
}
