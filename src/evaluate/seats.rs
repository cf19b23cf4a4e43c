//! Seats, closures and plates: relations between parts.

use super::codes;
use super::easing::{ease_pose, eases_lower_edges};
use super::evaluator::{Evaluator, Scope};
use super::fits::{basic_mm, gap_and_fit, gap_word};
use super::inlays::InlayOrigin;
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Body, Enters, GapName, Leaf, Place, Placement, Surface, TakenFrom};
use crate::quantity::Dimension;
use crate::resolve::{DeclId, PLATE_FIELDS, SEAT_FIELDS, Signature, bind_block, did_you_mean};
use crate::source::Span;
use crate::syntax::{Block, Expr, ExprKind, Ident, ItemKind};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A seat, its parts by their declarations.
pub struct BuiltSeat {
    /// What is put in.
    pub inlay: DeclId,
    /// What loses a pocket.
    pub host: DeclId,
    /// Asked gap, mm; none where it is the printer's.
    pub gap_mm: Option<f64>,
    /// What the text calls that gap.
    pub gap_name: Option<GapName>,
    /// The size that the tolerance of its fit is read for, mm.
    pub basic_mm: f64,
    /// Whose flanks move.
    pub taken_from: TakenFrom,
    /// mm
    pub gap_behind_mm: f64,
    /// How the inlay gets in.
    pub enters: Enters,
    /// Inlays whose pockets this one may meet.
    pub meets: Vec<DeclId>,
    /// Where it stands in the text.
    pub place: Place,
}

/// What is put into a pocket.
enum Seated {
    /// A pattern or figure on a face of the host.
    Inlay(Arc<InlayOrigin>),
    /// A prism: its sides are the flanks, its ends keep their place.
    Prism,
}

/// A plate, its parts by their declarations.
pub struct BuiltPlate {
    /// Its name.
    pub name: String,
    /// What lies on it.
    pub parts: Vec<DeclId>,
    /// mm
    pub spacing_mm: f64,
}

/// Space between parts on a plate that says none, mm: room for a brush and a blade;
/// common practice, no source.
pub const SPACING_MM: f64 = 5.0;

/// Fields of a block that are not poison, with their places.
pub(super) type Values = BTreeMap<String, (Value, Span)>;

impl Evaluator<'_> {
    /// A seat of the root file; nothing when something in it went wrong.
    pub fn seat(&mut self, inlay: &Ident, host: &Ident, block: &Block) -> Option<BuiltSeat> {
        let (a, b) = (self.part_called(inlay), self.part_called(host));
        let values =
            self.values_of(&Signature::of_table(&SEAT_FIELDS), block, &["taken_from", "meets"]);
        let (a, b, values) = (a?, b?, values?);
        let seated = self.seated(a, b, inlay, host)?;
        let basic_mm = basic_mm(&self.parts.get(&a)?.value.solid.body);
        let (gap_mm, gap_name) = self.asked_gap(&values, block, basic_mm)?;
        let gap_behind_mm = self.gap(&values, "gap_behind");
        let bought = self.parts.get(&a).is_some_and(|part| part.bought.is_some());
        let taken_from = self.taken_from(block, inlay, host, bought)?;
        let meets = self.meets(block)?;
        let enters = self.enters(&values, &seated)?;
        let place = place(inlay.span.to(host.span), block);
        Some(BuiltSeat {
            inlay: a,
            host: b,
            gap_mm,
            gap_name,
            basic_mm,
            taken_from,
            gap_behind_mm: gap_behind_mm.unwrap_or(0.0),
            enters,
            meets,
            place,
        })
    }

    /// The declaration of a part of the root file, when it could be built.
    pub(super) fn part_called(&self, name: &Ident) -> Option<DeclId> {
        let id = self.program.find_in(0, &name.text)?;
        self.parts.contains_key(&id).then_some(id)
    }

    /// The fields of a block but those that name parts; nothing when one went wrong.
    pub(super) fn values_of(
        &mut self,
        signature: &Signature<'_>,
        block: &Block,
        skip: &[&str],
    ) -> Option<Values> {
        let binding = bind_block(signature, block);
        let mut sound = binding.faults.is_empty();
        let mut values = Values::new();
        for (param, slot) in signature.params.iter().zip(binding.slots) {
            let Some(expr) = slot.filter(|_| !skip.contains(&param.name)) else { continue };
            let value = self.argument(&Scope::of_file(0), param.name, &param.kind, expr);
            sound &= !value.is_poison();
            values.insert(param.name.to_string(), (value, expr.span));
        }
        sound.then_some(values)
    }

    /// What is put in: an inlay that sits on a face of the host, or a prism.
    fn seated(&mut self, a: DeclId, b: DeclId, inlay: &Ident, host: &Ident) -> Option<Seated> {
        let solid = self.parts.get(&a)?.value.solid.clone();
        let host_value = self.parts.get(&b)?.value.clone();
        let Some(origin) = solid.inlay.clone() else {
            if is_prism(&solid.body) {
                return Some(Seated::Prism);
            }
            self.fail(wrong_host(inlay, host, "it is neither an inlay nor a prism"));
            return None;
        };
        if !holds_leaf(&host_value.solid.body, &origin.face.leaf, &origin.face.here) {
            let why = match &origin.face.part {
                Some(part) if *part != host.text => format!("it lies on a face of `{part}`"),
                _ => format!("its face is not on `{}` where it is now", host.text),
            };
            self.fail(wrong_host(inlay, host, &why));
            return None;
        }
        if let (Some(eased), Some(at)) = (&origin.inlay.eased, origin.eased_at) {
            let Some(lower) = eases_lower_edges(&host_value.pose, &origin.face.here) else {
                self.fail(ease_pose(at, &host.text));
                return None;
            };
            if lower != eased.lower {
                let message = format!(
                    "`{}` is eased for a host that is printed the other way up than `{}`",
                    inlay.text, host.text
                );
                self.fail(
                    Diagnostic::at(codes::EASE_POSE, at, message)
                        .help(format!("write on: {}.{}", host.text, origin.face.name)),
                );
                return None;
            }
        }
        Some(Seated::Inlay(origin))
    }

    /// The gap that a seat asks for, and its name: a length, one of the printer's, or
    /// that of a fit. Nothing when they do not go together.
    fn asked_gap(
        &mut self,
        values: &Values,
        block: &Block,
        basic_mm: f64,
    ) -> Option<(Option<f64>, Option<GapName>)> {
        match (values.get("gap"), values.get("fit")) {
            (Some((_, gap)), Some((_, fit))) => {
                self.fail(gap_and_fit(*gap, *fit));
                None
            }
            (None, Some((Value::Text(fit), span))) => {
                let (gap, name) = self.gap_of_fit(fit, basic_mm, *span)?;
                Some((Some(gap), Some(name)))
            }
            (None, _) => Some((None, Some(GapName::Measured("snap".to_string())))),
            (Some(_), None) => {
                let field = block.fields.iter().find(|f| &*f.name.text == "gap");
                let word = field.and_then(|field| gap_word(&field.value));
                let name = word.map(|word| GapName::Measured(word.to_string()));
                Some((self.gap(values, "gap"), name))
            }
        }
    }

    /// A length in mm; none where it is not given.
    fn gap(&self, values: &Values, field: &str) -> Option<f64> {
        values.get(field)?.0.number(Dimension::LENGTH)
    }

    /// Whose flanks move: what is bought has its size.
    fn taken_from(
        &mut self,
        block: &Block,
        inlay: &Ident,
        host: &Ident,
        bought: bool,
    ) -> Option<TakenFrom> {
        let Some(field) = block.fields.iter().find(|f| &*f.name.text == "taken_from") else {
            return Some(if bought { TakenFrom::Host } else { TakenFrom::Inlay });
        };
        let word = match &field.value.kind {
            ExprKind::Name(ident) => Some(&*ident.text),
            ExprKind::Bad => return None,
            _ => None,
        };
        match word {
            Some(word) if bought && word != &*host.text => {
                let message = format!(
                    "`{}` is bought and keeps its size: no gap is taken from it",
                    inlay.text
                );
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, field.value.span, message)
                        .help(format!("write taken_from: {}", host.text)),
                );
                None
            }
            Some(word) if word == &*inlay.text => Some(TakenFrom::Inlay),
            Some(word) if word == &*host.text => Some(TakenFrom::Host),
            Some("both") => Some(TakenFrom::Both),
            _ => {
                let message = format!(
                    "the gap is taken from `{}`, from `{}` or from both",
                    inlay.text, host.text
                );
                self.fail(
                    Diagnostic::at(codes::WRONG_KIND, field.value.span, message)
                        .help(format!("write taken_from: {}", inlay.text)),
                );
                None
            }
        }
    }

    fn meets(&mut self, block: &Block) -> Option<Vec<DeclId>> {
        match block.fields.iter().find(|f| &*f.name.text == "meets") {
            None => Some(Vec::new()),
            Some(field) => self.parts_listed("meets", &field.value),
        }
    }

    /// One part, or a list of parts.
    fn parts_listed(&mut self, field: &str, expr: &Expr) -> Option<Vec<DeclId>> {
        let items: Vec<&Expr> = match &expr.kind {
            ExprKind::List(items) => items.iter().collect(),
            _ => vec![expr],
        };
        let mut parts = Vec::new();
        for item in items {
            let value = self.eval(&Scope::of_file(0), item);
            match value {
                Value::Poison => return None,
                Value::Part(part) => {
                    if let Some(id) = self.program.find_in(0, &part.name) {
                        parts.push(id);
                    }
                }
                other => {
                    let message =
                        format!("`{field}` names parts, this is {}", codes::shown(&other));
                    self.fail(
                        Diagnostic::at(codes::WRONG_LIST, item.span, message)
                            .label(other.spoken())
                            .help("write the name of a part, or a list such as [belt, crown]"),
                    );
                    return None;
                }
            }
        }
        Some(parts)
    }

    /// How the inlay gets in: as asked, else over the narrow end, else square to the
    /// surface.
    fn enters(&mut self, values: &Values, seated: &Seated) -> Option<Enters> {
        let surface = match seated {
            Seated::Inlay(origin) => Some(&origin.inlay.surface),
            Seated::Prism => None,
        };
        let flat = matches!(surface, Some(Surface::Flat { .. }));
        if let Some((Value::Text(word), span)) = values.get("enters") {
            let enters = match &**word {
                "top" => Enters::Top,
                "bottom" => Enters::Bottom,
                _ => Enters::Surface,
            };
            if flat && enters != Enters::Surface {
                let message =
                    format!("an inlay in a flat face enters by the surface, not by the {word}");
                self.fail(
                    Diagnostic::at(codes::INLAY_FIELDS, *span, message)
                        .help("write enters: surface"),
                );
                return None;
            }
            return Some(enters);
        }
        Some(match (seated, surface) {
            (Seated::Inlay(origin), Some(Surface::Round { slope, outward, .. }))
                if origin.is_ring() =>
            {
                // Outside over the narrow end, inside through the wide one.
                if (*slope > 0.0) == *outward && *slope != 0.0 {
                    Enters::Bottom
                } else {
                    Enters::Top
                }
            }
            // Over the end that is narrower.
            (Seated::Inlay(origin), Some(Surface::Belly { meridian, outward, .. }))
                if origin.is_ring() =>
            {
                let [low, high] = meridian.span_mm().map(|z| meridian.radius_mm(z));
                if (low < high) == *outward { Enters::Bottom } else { Enters::Top }
            }
            _ => Enters::Surface,
        })
    }

    /// A plate of the root file.
    pub fn plate(&mut self, name: &Ident, block: &Block) -> Option<BuiltPlate> {
        let signature = Signature::of_table(&PLATE_FIELDS);
        let values = self.values_of(&signature, block, &["parts"])?;
        let listed = block.fields.iter().find(|f| &*f.name.text == "parts")?;
        let parts = self.parts_listed("parts", &listed.value)?;
        let spacing_mm = self.gap(&values, "spacing").unwrap_or(SPACING_MM);
        Some(BuiltPlate { name: name.text.to_string(), parts, spacing_mm })
    }

    /// Inlays that no seat holds, or two.
    pub fn check_seats(&mut self) {
        let program = self.program;
        let mut seats: BTreeMap<&str, Vec<Span>> = BTreeMap::new();
        for item in &program.root().tree.items {
            if let ItemKind::Seat { inlay, .. } = &item.kind {
                seats.entry(&inlay.text).or_default().push(inlay.span);
            }
        }
        let inlays: Vec<(Arc<str>, Span, Option<Arc<str>>)> = self
            .parts
            .values()
            .filter_map(|part| {
                let origin = part.value.solid.inlay.as_ref()?;
                Some((part.value.name.clone(), part.place.name, origin.face.part.clone()))
            })
            .collect();
        for (name, span, host) in inlays {
            match seats.get(&*name).map(Vec::as_slice) {
                None => {
                    self.fail(no_seat(&name, host.as_deref(), span));
                }
                Some([first, second, ..]) => {
                    self.fail(two_seats(&name, *first, *second));
                }
                Some(_) => {}
            }
        }
    }
}

/// Where a block of this name and its fields stand.
pub fn place(name: Span, block: &Block) -> Place {
    let fields = block.fields.iter().map(|f| (f.name.text.to_string(), f.value.span));
    Place { name, fields: fields.collect() }
}

/// Whether a body holds a leaf at this placement.
fn holds_leaf(body: &Arc<Body>, leaf: &Arc<Body>, at: &Placement) -> bool {
    let mut work = vec![(body.clone(), Placement::IDENTITY)];
    while let Some((body, here)) = work.pop() {
        if Arc::ptr_eq(&body, leaf) {
            if same_place(&here, at) {
                return true;
            }
            continue;
        }
        match &*body {
            Body::Placed { body, placement } => {
                work.push((body.clone(), placement.then(&here)));
            }
            Body::Boolean { left, right, .. } => {
                work.push((left.clone(), here));
                work.push((right.clone(), here));
            }
            Body::Many(all) => work.extend(all.iter().map(|body| (body.clone(), here))),
            Body::Empty | Body::Leaf(_) => {}
        }
    }
    false
}

/// Placements closer than this are the same: far below any printer, far above rounding.
const SAME: f64 = 1e-7;

fn same_place(a: &Placement, b: &Placement) -> bool {
    let near = |x: &[f64; 3], y: &[f64; 3]| x.iter().zip(y).all(|(p, q)| (p - q).abs() <= SAME);
    near(&a.shift, &b.shift) && a.matrix.iter().zip(&b.matrix).all(|(x, y)| near(x, y))
}

fn wrong_host(inlay: &Ident, host: &Ident, why: &str) -> Diagnostic {
    Diagnostic::at(
        codes::WRONG_HOST,
        host.span,
        format!("`{}` cannot sit in `{}`: {why}", inlay.text, host.text),
    )
    .and_at(inlay.span, "what should sit in it")
    .help(format!("write on: {}.FACE in `{}`, or name its own host", host.text, inlay.text))
}

fn no_seat(name: &str, host: Option<&str>, span: Span) -> Diagnostic {
    let host = host.unwrap_or("HOST");
    Diagnostic::at(
        codes::NO_SEAT,
        span,
        format!("the inlay `{name}` has no seat: nothing makes a pocket for it"),
    )
    .help(format!("add seat {name} in {host} {{ gap: 0.1 mm }}"))
}

fn two_seats(name: &str, first: Span, second: Span) -> Diagnostic {
    Diagnostic::at(codes::TWO_SEATS, second, format!("the inlay `{name}` has two seats"))
        .and_at(first, "the first")
        .help("keep one; a second inlay is a part of its own")
}

/// A lid for a part that offers no mouth.
pub fn no_mouth(lid: &str, host: &str, span: Span) -> Diagnostic {
    let known = did_you_mean(host, ["vessel"]).unwrap_or_default();
    Diagnostic::at(
        codes::NO_MOUTH,
        span,
        format!("`{lid}` cannot close `{host}`: it offers no `mouth` with a level"),
    )
    .help(format!("close a vessel, or let the shape `offer mouth` {known}").trim_end().to_string())
}

/// Whether a body is a prism, wherever it is.
fn is_prism(body: &Body) -> bool {
    match body {
        Body::Leaf(Leaf::Prism(_)) => true,
        Body::Placed { body, .. } => is_prism(body),
        _ => false,
    }
}
