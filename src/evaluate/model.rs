//! From a program to the model.

use super::bought::BuiltFit;
use super::codes;
use super::evaluator::{Choice, Evaluator};
use super::measured::{Gauge, Measures};
use super::parts::{BuiltPart, is_part};
use super::props::BuiltProps;
use super::rules::{Judged, Rule};
use super::seats::{BuiltPlate, BuiltSeat, no_mouth};
use super::value::{PrinterValue, Value};
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::{
    Body, Bought, Closure, Fit, Material, Model, Part, PartId, Place, Places, Plate, Printer, Seat,
    SeatId,
};
use crate::quantity::Dimension;
use crate::resolve::{DeclId, Program};
use crate::source::Span;
use crate::syntax::{Item, ItemKind};
use std::collections::BTreeMap;
use std::sync::Arc;

/// What a design comes to.
#[derive(Clone, Debug)]
pub struct Evaluated {
    /// The model. Parts with errors are left out, and what refers to them.
    pub model: Model,
    /// Where its things stand in the text.
    pub places: Places,
    /// The names of all sizes.
    pub sizes: Vec<String>,
    /// The fields of `about`, in the order of the text.
    pub about: Vec<(String, String)>,
    rules: Vec<Rule>,
    notes: Vec<(PartId, Value)>,
    index: Index,
}

/// Which part of the text became what.
#[derive(Clone, Debug, Default)]
struct Index {
    parts: Vec<Option<PartId>>,
    seats: Vec<Option<SeatId>>,
    closures: Vec<Option<usize>>,
    fits: Vec<Option<usize>>,
}

/// What the text says of parts that belong together.
struct Relations {
    seats: Vec<BuiltSeat>,
    fits: Vec<BuiltFit>,
    plates: Vec<BuiltPlate>,
    props: Vec<BuiltProps>,
}

/// Works out a program under a choice of size and settings. There is no result only
/// when there is nothing to make at all.
pub fn evaluate(program: &Program, choice: &Choice) -> (Option<Evaluated>, Sink) {
    let mut evaluator = Evaluator::new(program);
    evaluator.all_givens(choice);
    evaluator.declarations();
    let seats = evaluator.all(|e, kind| match kind {
        ItemKind::Seat { inlay, host, block } => e.seat(inlay, host, block),
        _ => None,
    });
    let fits = evaluator.all(|e, kind| match kind {
        ItemKind::Fit { inner, outer, block } => e.fit(inner, outer, block),
        _ => None,
    });
    let plates = evaluator.all(|e, kind| match kind {
        ItemKind::Plate { name, block } => e.plate(name, block),
        _ => None,
    });
    let props = evaluator.all(|e, kind| match kind {
        ItemKind::Props { under, block } => e.props(under, block),
        _ => None,
    });
    let rules = evaluator.all_rules();
    let about = evaluator.about();
    evaluator.check_seats();
    evaluator.anything_to_make();
    let relations = Relations { seats, fits, plates, props };
    let found = evaluator.assemble(choice, relations, rules, about);
    (found, evaluator.sink)
}

impl Evaluated {
    /// Judges every rule of the file with what was measured. Rules that fail are errors.
    pub fn judge(&self, measures: &dyn Measures) -> (Vec<Judged>, Sink) {
        let mut sink = Sink::default();
        let gauge = self.gauge(measures);
        let judged = self.rules.iter().filter_map(|rule| rule.judge(&gauge, &mut sink)).collect();
        (judged, sink)
    }

    /// The notes of parts that read measured values, filled in.
    pub fn notes(&self, measures: &dyn Measures) -> Vec<(PartId, String)> {
        let gauge = self.gauge(measures);
        let told = self.notes.iter().filter_map(|(part, note)| match gauge.tell(note) {
            Ok(Value::Text(text)) => Some((*part, text.to_string())),
            _ => None,
        });
        told.collect()
    }

    fn gauge<'a>(&'a self, measures: &'a dyn Measures) -> Gauge<'a> {
        Gauge {
            measures,
            parts: &self.index.parts,
            seats: &self.index.seats,
            closures: &self.index.closures,
            fits: &self.index.fits,
        }
    }
}

impl<'p> Evaluator<'p> {
    /// Every declaration, each after those that it reads.
    pub(super) fn declarations(&mut self) {
        let program = self.program;
        for id in &program.order {
            if self.is_exhausted() {
                return;
            }
            let item = program.item(*id);
            if program.cyclic.contains(id) {
                self.values.insert(*id, Value::Poison);
                continue;
            }
            if let Some(value) = self.declaration(*id, item) {
                self.values.insert(*id, value);
            }
        }
    }

    fn declaration(&mut self, id: DeclId, item: &'p Item) -> Option<Value> {
        let scope = super::evaluator::Scope::of_file(id.file);
        Some(match &item.kind {
            ItemKind::Let { value, .. } => self.eval(&scope, value),
            ItemKind::Motif { value, .. } => {
                let found = self.eval(&scope, value);
                self.coerced("motif", &crate::resolve::Kind::Motif, found, value.span)
            }
            ItemKind::Part { name, value } if id.file == 0 => {
                self.part(id, name, value, &item.docs)
            }
            ItemKind::Bought { name, block } if id.file == 0 => {
                self.bought(id, name, block, &item.docs)
            }
            ItemKind::Printer { name, block } => self.printer(name, block, id.file),
            ItemKind::Material { name, block } => self.material(name, block, id.file),
            _ => return None,
        })
    }

    /// What the items of a kind come to, in the order of the text.
    fn all<T>(&mut self, build: impl Fn(&mut Self, &'p ItemKind) -> Option<T>) -> Vec<T> {
        let items = &self.program.root().tree.items;
        items.iter().filter_map(|item| build(self, &item.kind)).collect()
    }

    fn all_rules(&mut self) -> Vec<Rule> {
        let items = &self.program.root().tree.items;
        let mut rules = Vec::new();
        for item in items {
            if let ItemKind::Require(require) = &item.kind {
                rules.extend(self.rules(require));
            }
        }
        for rule in &rules {
            rule.judge_known(&mut self.sink);
        }
        rules
    }

    fn about(&mut self) -> Vec<(String, String)> {
        let items = &self.program.root().tree.items;
        let mut about = Vec::new();
        for item in items {
            let ItemKind::About { block } = &item.kind else { continue };
            for field in &block.fields {
                let scope = super::evaluator::Scope::of_file(0);
                let kind = crate::resolve::Kind::Text;
                let value = self.argument(&scope, &field.name.text, &kind, &field.value);
                if let Value::Text(text) = value {
                    about.push((field.name.text.to_string(), text.to_string()));
                }
            }
        }
        about
    }

    fn anything_to_make(&mut self) {
        let items = &self.program.root().tree.items;
        let any = items.iter().any(|item| matches!(item.kind, ItemKind::Part { .. }));
        if any {
            return;
        }
        let message = "nothing is made: there is no part in this file";
        let top = Span::new(self.program.root().file, 0..0);
        let span = items.first().map_or(top, |item| item.span);
        let finding = Diagnostic::at(codes::NOTHING_TO_MAKE, span, message);
        self.fail(finding.help(
            "declare one, as in part jar = vessel { bore: 40 mm, depth: 60 mm, wall: 2.4 mm }",
        ));
    }

    fn assemble(
        &mut self,
        choice: &Choice,
        relations: Relations,
        rules: Vec<Rule>,
        about: Vec<(String, String)>,
    ) -> Option<Evaluated> {
        let process = self.printer_of_root()?;
        let printer = process.printer.clone();
        let (only, must_say) = self.only_material();
        let mut ids: BTreeMap<DeclId, PartId> = BTreeMap::new();
        let mut index = Index::default();
        let mut parts = Vec::new();
        let mut places = Places::default();
        let mut notes = Vec::new();
        let program = self.program;
        for (item, declared) in program.root().tree.items.iter().enumerate() {
            if !is_part(declared) {
                continue;
            }
            let decl = DeclId { file: 0, item };
            let id = PartId(parts.len());
            let made = self.parts.get(&decl).map(|built| model_part(built, only.as_ref()));
            match made {
                Some(Ok(part)) => {
                    let built = &self.parts[&decl];
                    if let Some(Value::Measured(_)) = &built.note {
                        notes.extend(built.note.clone().map(|note| (id, note)));
                    }
                    places.parts.push(built.place.clone());
                    parts.push(part);
                    ids.insert(decl, id);
                    index.parts.push(Some(id));
                }
                Some(Err(finding)) => {
                    if must_say {
                        self.fail(*finding);
                    }
                    index.parts.push(None);
                }
                None => index.parts.push(None),
            }
        }
        if parts.is_empty() {
            return None;
        }
        index.seats = vec![None; index.parts.len()];
        index.closures = vec![None; index.parts.len()];
        index.fits = vec![None; index.parts.len()];
        let Relations { seats, fits, plates, props } = relations;
        let model_seats = self.model_seats(seats, &ids, &printer, &mut index, &mut places);
        let fits = self.model_fits(fits, &ids, &printer, &mut index, &mut places);
        let closures = self.closures(&ids, &mut index, &mut places);
        let (props, of_props) = self.model_props(props, &ids, &printer).into_iter().unzip();
        places.props = of_props;
        let plates = plates.into_iter().map(|plate| Plate {
            name: plate.name,
            parts: plate.parts.iter().filter_map(|id| ids.get(id).copied()).collect(),
            spacing_mm: plate.spacing_mm,
        });
        let model = Model {
            name: program.name.clone(),
            size: choice.size.clone(),
            givens: self.givens.values().cloned().collect(),
            printer,
            parts,
            seats: model_seats,
            closures,
            fits,
            plates: plates.collect(),
            props,
        };
        let sizes = program.sizes();
        Some(Evaluated { model, places, sizes, about, rules, notes, index })
    }

    /// The printer of the root file, else the generic one.
    fn printer_of_root(&mut self) -> Option<Arc<PrinterValue>> {
        let items = self.program.root().tree.items.iter().enumerate();
        let own = items.filter(|(_, item)| matches!(item.kind, ItemKind::Printer { .. })).find_map(
            |(item, _)| match self.values.get(&DeclId { file: 0, item }) {
                Some(Value::Printer(printer)) => Some(printer.clone()),
                _ => None,
            },
        );
        own.or_else(|| self.generic())
    }

    /// The only material that the file declares; and whether a part must say its own,
    /// which it need not when the only one has gone wrong.
    fn only_material(&self) -> (Option<Material>, bool) {
        let items = self.program.root().tree.items.iter().enumerate();
        let mut own = items.filter(|(_, item)| matches!(item.kind, ItemKind::Material { .. }));
        let (Some((item, _)), None) = (own.next(), own.next()) else { return (None, true) };
        match self.values.get(&DeclId { file: 0, item }) {
            Some(Value::Material(material)) => (Some(material.material.clone()), false),
            _ => (None, false),
        }
    }

    fn model_seats(
        &self,
        seats: Vec<BuiltSeat>,
        ids: &BTreeMap<DeclId, PartId>,
        printer: &Printer,
        index: &mut Index,
        places: &mut Places,
    ) -> Vec<Seat> {
        let built: Vec<BuiltSeat> = seats
            .into_iter()
            .filter(|s| ids.contains_key(&s.inlay) && ids.contains_key(&s.host))
            .collect();
        let of_inlay: BTreeMap<DeclId, SeatId> =
            built.iter().enumerate().map(|(i, s)| (s.inlay, SeatId(i))).collect();
        let mut made = Vec::new();
        for (i, seat) in built.into_iter().enumerate() {
            if let Some(part) = self.parts.get(&seat.inlay) {
                index.seats[part.value.number] = Some(SeatId(i));
            }
            made.push(Seat {
                inlay: ids[&seat.inlay],
                host: ids[&seat.host],
                gap_mm: seat.gap_mm.unwrap_or(printer.measured.snap_mm),
                gap_name: seat.gap_name,
                basic_mm: seat.basic_mm,
                taken_from: seat.taken_from,
                gap_behind_mm: seat.gap_behind_mm,
                enters: seat.enters,
                meets: seat.meets.iter().filter_map(|id| of_inlay.get(id).copied()).collect(),
            });
            places.seats.push(seat.place);
        }
        made
    }

    fn model_fits(
        &self,
        fits: Vec<BuiltFit>,
        ids: &BTreeMap<DeclId, PartId>,
        printer: &Printer,
        index: &mut Index,
        places: &mut Places,
    ) -> Vec<Fit> {
        let mut made = Vec::new();
        for fit in fits {
            let (Some(inner), Some(outer)) = (ids.get(&fit.inner), ids.get(&fit.outer)) else {
                continue;
            };
            if let Some(part) = self.parts.get(&fit.inner) {
                index.fits[part.value.number] = Some(made.len());
            }
            made.push(Fit {
                inner: *inner,
                outer: *outer,
                gap_mm: fit.gap_mm.unwrap_or(printer.measured.slide_mm),
                gap_name: fit.gap_name,
                along: fit.along,
            });
            places.fits.push(fit.place);
        }
        made
    }

    fn closures(
        &mut self,
        ids: &BTreeMap<DeclId, PartId>,
        index: &mut Index,
        places: &mut Places,
    ) -> Vec<Closure> {
        let mut closures = Vec::new();
        let mut findings = Vec::new();
        for (decl, lid) in ids {
            let Some(built) = self.parts.get(decl) else { continue };
            let Some(closes) = &built.value.solid.closes else { continue };
            let host = self.program.find_in(0, &closes.host.name).and_then(|id| ids.get(&id));
            let Some(host) = host else { continue };
            let Some(mouth_mm) = mouth_level(&closes.host.solid) else {
                let span = built.place.field("closes");
                findings.push(no_mouth(&built.value.name, &closes.host.name, span));
                continue;
            };
            index.closures[built.value.number] = Some(closures.len());
            closures.push(Closure {
                lid: *lid,
                host: *host,
                gap_mm: closes.gap_mm.unwrap_or(0.0),
                gap_name: closes.gap_name.clone(),
                across_mm: ["bore", "across"].map(|word| mouth_length(&closes.host.solid, word)),
                facets: mouth_facets(&closes.host.solid),
                mouth_mm,
            });
            places.closures.push(built.place.clone());
        }
        for finding in findings {
            self.fail(finding);
        }
        closures
    }
}

/// z of a host's mouth in the assembly: its `mouth.level`, moved as the host was.
fn mouth_level(host: &super::solids::SolidValue) -> Option<f64> {
    let level = mouth_length(host, "level")?;
    Some(host.moved.point([0.0, 0.0, level])[2])
}

/// A length of the `mouth` that a host offers, mm.
fn mouth_length(host: &super::solids::SolidValue, word: &str) -> Option<f64> {
    let Some(Value::Record(mouth)) = host.attributes.get("mouth") else { return None };
    mouth.get(word)?.number(Dimension::LENGTH)
}

/// How many flat sides a mouth has; 0 where its record says nothing of them.
fn mouth_facets(host: &super::solids::SolidValue) -> u32 {
    let Some(Value::Record(mouth)) = host.attributes.get("mouth") else { return 0 };
    let count = mouth.get("facets").and_then(|value| value.number(Dimension::NONE));
    count.map_or(0, |count| count as u32)
}

fn model_part(built: &BuiltPart, only: Option<&Material>) -> Result<Part, Box<Diagnostic>> {
    let value = &built.value;
    let declared = built.material.as_ref().map(|m| &m.material);
    let material = match (&built.bought, declared.or(only)) {
        (Some(bought), _) => not_made(bought),
        (None, Some(material)) => material.clone(),
        (None, None) => return Err(Box::new(no_material(&value.name, &built.place))),
    };
    let note = match &built.note {
        Some(Value::Text(text)) => Some(text.to_string()),
        _ => None,
    };
    Ok(Part {
        name: value.name.to_string(),
        docs: built.docs.clone(),
        body: value.solid.body.clone(),
        material,
        pose: value.pose.clone(),
        copies: built.copies,
        spares: built.spares,
        brim_mm: built.brim_mm,
        assembled: built.assembled,
        bought: built.bought,
        note,
        cavity: cavity(&value.solid),
    })
}

/// What stands for the material of a thing that is not made: nothing is weighed or bent.
fn not_made(bought: &Bought) -> Material {
    Material {
        name: "bought".to_string(),
        colour: bought.colour,
        density_g_cm3: 0.0,
        modulus_mpa: None,
        permitted: None,
        shrink: 0.0,
    }
}

/// The cavity that a part's shape offers, moved as the part was.
fn cavity(solid: &super::solids::SolidValue) -> Option<Arc<Body>> {
    let cavity = solid.attributes.get("cavity")?.solid()?;
    Some(cavity.placed(&solid.moved).body)
}

fn no_material(name: &str, place: &Place) -> Diagnostic {
    Diagnostic::at(
        codes::NO_MATERIAL,
        place.name,
        format!("the part `{name}` says no material, and the file does not declare just one"),
    )
    .help("add material: pla to it, or declare one, as in material chalk { base: pla }")
}
