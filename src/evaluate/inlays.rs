//! `inlay`: a motif or a figure on a face.

use super::calls::Arguments;
use super::codes;
use super::coerce::lengths;
use super::easing::is_level;
use super::evaluator::Evaluator;
use super::ink::OutlineValue;
use super::motifs::{Motif, cells_touch, touching};
use super::sided::{turned, uneven_repeats};
use super::solids::{FaceValue, SolidValue};
use super::value::Value;
use crate::diagnostics::Diagnostic;
use crate::model::{Inlay, Leaf, Pattern, Placement, Sides, Slit, Surface, nominal_strips};
use crate::plane::{Outline, Point};
use crate::quantity::{Dimension, Quantity, decimals};
use crate::source::Span;
use std::f64::consts::TAU;
use std::sync::Arc;

/// What an inlay knows of where it comes from.
#[derive(Clone, Debug)]
pub struct InlayOrigin {
    /// The face it sits on, where it is now.
    pub face: FaceValue,
    /// Its nominal form in the frame of the face's leaf.
    pub inlay: Arc<Inlay>,
    /// The place of `ease`, where it is eased.
    pub eased_at: Option<Span>,
}

impl InlayOrigin {
    /// Whether it springs over its host: a slit ring, or a motif in one piece all the
    /// way round.
    pub fn is_ring(&self) -> bool {
        let whole =
            || nominal_strips(&self.inlay).is_ok_and(|strips| strips.section(0.0).is_ring());
        match (&self.inlay.surface, &self.inlay.pattern) {
            (Surface::Flat { .. }, _) | (_, Pattern::Figure { .. }) => false,
            _ if self.inlay.slit.is_some() => true,
            _ => whole(),
        }
    }

    /// Somewhere else, together with its body.
    pub fn placed(&self, placement: &Placement) -> Self {
        let face = FaceValue { here: self.face.here.then(placement), ..self.face.clone() };
        InlayOrigin { face, ..self.clone() }
    }
}

/// Where on the developed surface an inlay is.
pub struct Position {
    /// z of its middle, mm.
    pub level_mm: f64,
    /// rad on round hosts, mm on flat ones
    pub bearing: f64,
}

/// A pattern with what is known of it.
struct Drawn {
    pattern: Pattern,
    height_mm: f64,
}

/// Stretch that differs more between x and y than this is worth a warning.
const UNEVEN_STRETCH: f64 = 0.1;

impl Evaluator<'_> {
    /// `inlay {…}`
    pub fn inlay(&mut self, arguments: &Arguments) -> Value {
        let Some((face, inlay)) = self.laid(arguments, "an inlay") else { return Value::Poison };
        let inlay = Arc::new(inlay);
        let origin = InlayOrigin {
            face: FaceValue { here: Placement::IDENTITY, ..face.clone() },
            inlay: inlay.clone(),
            eased_at: inlay.eased.map(|_| arguments.place("ease")),
        };
        let mut solid = SolidValue::leaf(Leaf::Inlay(inlay));
        solid.inlay = Some(Arc::new(origin));
        solid.attributes = Arc::new(arguments.attributes());
        Value::Solid(Arc::new(solid.placed(&face.here)))
    }

    /// What `inlay` and `relief` have in common: the face, and the pattern on it.
    pub fn laid(&mut self, arguments: &Arguments, it: &str) -> Option<(FaceValue, Inlay)> {
        let Some(Value::Face(face)) = arguments.get("on") else { return None };
        let face = (**face).clone();
        if !self.fields_go_together(arguments, it) {
            return None;
        }
        let mut surface = self.surface(&face, arguments.place("on"))?;
        let zero = self.zero_of(&face, arguments.place("on"))?;
        let position = match (arguments.get("figure"), surface.sides()) {
            (Some(Value::Outline(figure)), Some(sides)) => {
                let figure = figure.clone();
                let (side, position) =
                    self.on_side(arguments, &face, &surface, sides, zero, &figure)?;
                surface = side;
                Some(position)
            }
            (Some(_), _) => self.figure_position(arguments, &surface, zero),
            (None, _) => self.band_position(arguments, &surface, zero),
        }?;
        let drawn = match (arguments.get("motif"), arguments.get("figure")) {
            (Some(Value::Motif(motif)), _) => {
                self.band(arguments, &motif.clone(), &surface, position.level_mm)
            }
            (_, Some(Value::Outline(figure))) => self.figure(arguments, &figure.clone()),
            _ => None,
        };
        let drawn = drawn?;
        let eased = self.ease(arguments, &face, &surface)?;
        let slit = self.slit(arguments, &surface, position.bearing)?;
        let inlay = Inlay {
            surface,
            pattern: drawn.pattern,
            level_mm: position.level_mm,
            height_mm: drawn.height_mm,
            bearing: position.bearing,
            sink_mm: arguments.number("sink").unwrap_or(0.0),
            proud_mm: arguments.number("proud").unwrap_or(0.0),
            eased,
            slit,
        };
        if !self.bends_gently(arguments, &inlay) {
            return None;
        }
        Some((face, read_from_inside(inlay)))
    }

    /// Depths of a pattern on a bellied face: one way only, and less than its arcs bend.
    fn bends_gently(&mut self, arguments: &Arguments, inlay: &Inlay) -> bool {
        /// What is left of the radius of an arc at the deepest place of a pattern, mm.
        const LEFT_MM: f64 = 0.5;
        let Surface::Belly { meridian, .. } = &inlay.surface else { return true };
        let finding = if inlay.sink_mm > 0.0 && inlay.proud_mm > 0.0 {
            let what = "an inlay that stands proud of a bellied face";
            crate::resolve::not_built_yet(arguments.place("proud"), what)
        } else {
            let deep = inlay.sink_mm.max(inlay.proud_mm);
            let towards = if inlay.sink_mm > 0.0 { -deep } else { deep };
            let out = if inlay.surface.faces_axis() { -towards } else { towards };
            let left = meridian.tightest_mm(out);
            if left >= LEFT_MM {
                return true;
            }
            let field = if inlay.sink_mm > 0.0 { "sink" } else { "proud" };
            let message = format!(
                "the face bends with a radius of {}, too tightly for a pattern {} deep",
                Quantity::mm(left + deep),
                Quantity::mm(deep)
            );
            Diagnostic::at(codes::UNFIT_FACE, arguments.place(field), message)
                .and_at(arguments.place("on"), "this face")
                .help("make the pattern less deep, or the bend wider")
        };
        self.fail(finding);
        false
    }

    /// A band has a motif, a figure its outline, and each only its own fields.
    fn fields_go_together(&mut self, arguments: &Arguments, it: &str) -> bool {
        let has = |field: &str| arguments.get(field).is_some();
        let (message, help) = match (has("motif"), has("figure")) {
            (true, true) => (
                format!("{it} is a band of a motif or a figure, not both"),
                "keep `motif` or `figure`",
            ),
            (false, false) => {
                (format!("{it} needs a motif or a figure"), "add motif: …, repeats: … or figure: …")
            }
            (true, false) => {
                let missing: Vec<&str> =
                    ["repeats", "height"].into_iter().filter(|f| !has(f)).collect();
                let stray = ["at", "spun"].into_iter().find(|f| has(f));
                match (missing.as_slice(), stray) {
                    ([], None) => return true,
                    ([], Some(field)) => (
                        format!("`{field}` places a figure; a band goes all the way"),
                        "place a band by `level`",
                    ),
                    (fields, _) => (
                        format!("a band needs `{}`", fields.join("` and `")),
                        "add repeats: …, height: …",
                    ),
                }
            }
            (false, true) => match ["repeats", "height", "slit"].into_iter().find(|f| has(f)) {
                None => return true,
                Some(field) => (
                    format!("`{field}` belongs to a band; a figure has its true size"),
                    "leave it out, or draw a band with `motif`",
                ),
            },
        };
        self.fail(Diagnostic::at(codes::INLAY_FIELDS, arguments.callee, message).help(help));
        false
    }

    /// The height, in the leaf's frame, from which `level` counts: z = 0 of the shape
    /// that made the face.
    fn zero_of(&mut self, face: &FaceValue, span: Span) -> Option<f64> {
        let Some(in_shape) = face.in_shape else { return Some(0.0) };
        let up = in_shape.matrix[2][2];
        if (up - 1.0).abs() < 1e-12 && !in_shape.flips() {
            return Some(0.0 - in_shape.shift[2]);
        }
        self.fail(
            Diagnostic::at(
                codes::UNFIT_FACE,
                span,
                format!(
                    "`{}` is on a body that its shape tips or mirrors: level has no meaning there",
                    face.name
                ),
            )
            .help("make the body upright in its shape, and place the whole afterwards"),
        );
        None
    }

    fn band_position(
        &mut self,
        arguments: &Arguments,
        surface: &Surface,
        zero: f64,
    ) -> Option<Position> {
        let start = match surface {
            Surface::Flat { width_mm, .. } => width_mm[0],
            _ => surface.sides().map_or(0.0, Sides::start_rad),
        };
        let level_mm = level(arguments, surface, zero, surface.span_mm());
        let turn = self.bearing(arguments, surface)?;
        Some(Position { level_mm, bearing: turned(surface.sides(), start, turn) })
    }

    /// `bearing`: an angle on round faces, a length on flat ones; 0 where not given.
    pub fn bearing(&mut self, arguments: &Arguments, surface: &Surface) -> Option<f64> {
        let Some(Value::Quantity(bearing)) = arguments.get("bearing") else { return Some(0.0) };
        let wants = if surface.is_turned() { Dimension::ANGLE } else { Dimension::LENGTH };
        if bearing.dimension == wants {
            return Some(bearing.value);
        }
        let value = Value::Quantity(*bearing);
        let place = arguments.place("bearing");
        self.fail(codes::wants_dimension("`bearing` on this face", wants, &value, place));
        None
    }

    /// Where a figure is that lies on one face.
    pub fn figure_position(
        &mut self,
        arguments: &Arguments,
        surface: &Surface,
        zero: f64,
    ) -> Option<Position> {
        let span = surface.span_mm();
        let Some(at) = arguments.get("at") else {
            let level_mm = level(arguments, surface, zero, span);
            return Some(Position { level_mm, bearing: self.bearing(arguments, surface)? });
        };
        let stray = ["level", "bearing"].into_iter().find(|f| arguments.get(f).is_some());
        if let Some(field) = stray {
            let message = format!(
                "a figure is placed by `at`, or by `level` and `bearing`; this has `{field}` too"
            );
            self.fail(
                Diagnostic::at(codes::INLAY_FIELDS, arguments.place(field), message)
                    .help("keep one way of placing it"),
            );
            return None;
        }
        let Some([u, v, _]) = lengths(at) else {
            let value = Value::Quantity(Quantity::plain(0.0));
            let place = arguments.place("at");
            self.fail(codes::wants_dimension("`at`", Dimension::LENGTH, &value, place));
            return None;
        };
        let level_mm = (span[0] + span[1]) / 2.0 + v;
        let bearing = match (surface, surface.radius_at(level_mm)) {
            (Surface::Flat { width_mm, .. }, _) => (width_mm[0] + width_mm[1]) / 2.0 + u,
            // Inside, what is to the right lies clockwise.
            (_, Some([radius, _])) if surface.faces_axis() => 0.0 - u / radius,
            (_, radius) => radius.map_or(0.0, |[radius, _]| u / radius),
        };
        Some(Position { level_mm, bearing })
    }

    fn band(
        &mut self,
        arguments: &Arguments,
        motif: &Motif,
        surface: &Surface,
        level_mm: f64,
    ) -> Option<Drawn> {
        let height_mm = arguments.number("height")?;
        let repeats = arguments.number("repeats")?;
        if !(1.0..=10_000.0).contains(&repeats) {
            let message =
                format!("`repeats` lies between 1 and 10000, it is {}", decimals(repeats, 0));
            self.bad_measure(arguments.place("repeats"), message, "give it a whole number from 1");
            return None;
        }
        let repeats = repeats as u32;
        if let Some(sides) = surface.sides().filter(|sides| !repeats.is_multiple_of(sides.count()))
        {
            let finding = uneven_repeats(arguments.place("repeats"), repeats, sides);
            self.fail(finding);
            return None;
        }
        let (around, round) = match (surface, surface.radius_at(level_mm)) {
            (Surface::Flat { width_mm, .. }, _) => (width_mm[1] - width_mm[0], false),
            (_, radius) => {
                let stretch = surface.sides().map_or(1.0, Sides::longer);
                (TAU * radius.map_or(0.0, |[radius, _]| radius) * stretch, true)
            }
        };
        match motif {
            Motif::Chart { rows, spans } => {
                let seam = round || repeats > 1;
                let touches = touching(rows, seam);
                if let Some(touch) = touches.first() {
                    let at = arguments.place("motif");
                    let finding = cells_touch(spans, *touch, touches.len(), at)
                        .and_at(at, "where one repeat meets the next");
                    self.fail(finding);
                    return None;
                }
                let pattern = Pattern::Chart { rows: rows.clone(), repeats };
                Some(Drawn { pattern, height_mm })
            }
            Motif::Tile { size, dimension, ink, span } => {
                let width_mm = around / f64::from(repeats);
                let (x, y) = (width_mm / size[0], height_mm / size[1]);
                if *dimension == Dimension::LENGTH && y > 0.0 {
                    self.warn_stretch(*span, x, y, arguments);
                }
                // A height that is none is told by the model's own check.
                let drawn = if y > 0.0 { ink.drawn(x, y) } else { Ok(Outline::default()) };
                match drawn {
                    Ok(ink) => {
                        let ink = ink.shifted(Point::new(0.0, -height_mm / 2.0));
                        let pattern = Pattern::Tile { ink, width_mm, repeats };
                        Some(Drawn { pattern, height_mm })
                    }
                    Err(error) => {
                        self.bad_outline(*span, &error);
                        None
                    }
                }
            }
        }
    }

    fn warn_stretch(&mut self, span: Span, x: f64, y: f64, arguments: &Arguments) {
        if (x / y - 1.0).abs() <= UNEVEN_STRETCH && (y / x - 1.0).abs() <= UNEVEN_STRETCH {
            return;
        }
        let percent = |f: f64| format!("{} %", decimals(f * 100.0, 0));
        self.fail(
            Diagnostic::at(
                codes::TILE_STRETCHED,
                arguments.place("repeats"),
                format!(
                    "the tile is stretched to {} of its width and {} of its height",
                    percent(x),
                    percent(y)
                ),
            )
            .and_at(span, "this tile")
            .help("change `repeats` or `height`, or give the tile its size in plain numbers"),
        );
    }

    fn figure(&mut self, arguments: &Arguments, figure: &OutlineValue) -> Option<Drawn> {
        let outline = figure.outline.as_ref()?;
        let turned = match arguments.number("spun") {
            Some(angle) => outline.spun(angle),
            None => (**outline).clone(),
        };
        let Some([low, high]) = turned.bounds() else {
            let message = "`figure` draws nothing".to_string();
            self.bad_measure(arguments.place("figure"), message, "give it an outline");
            return None;
        };
        let height_mm = high.y - low.y;
        Some(Drawn { pattern: Pattern::Figure { ink: turned }, height_mm })
    }

    fn slit(
        &mut self,
        arguments: &Arguments,
        surface: &Surface,
        bearing: f64,
    ) -> Option<Option<Slit>> {
        let (width_mm, bearing_rad) = match arguments.get("slit") {
            Some(Value::Quantity(width)) => (width.value, 0.0),
            Some(Value::LengthAt { length_mm, angle_rad }) => (*length_mm, *angle_rad),
            _ => return Some(None),
        };
        if let Surface::Flat { .. } = surface {
            self.fail(
                Diagnostic::at(
                    codes::INLAY_FIELDS,
                    arguments.place("slit"),
                    "`slit` lets a ring spring open, and this inlay lies on a flat face",
                )
                .help("leave it out"),
            );
            return None;
        }
        let at = turned(surface.sides(), bearing, bearing_rad);
        Some(Some(Slit { width_mm, bearing_rad: at - bearing }))
    }
}

/// Columns run to the right as seen by who faces the surface: inside, clockwise. Patterns
/// are laid out anticlockwise, so that there they are drawn as their mirror image.
fn read_from_inside(inlay: Inlay) -> Inlay {
    if !inlay.surface.faces_axis() {
        return inlay;
    }
    let pattern = match inlay.pattern {
        Pattern::Chart { rows, repeats } => {
            let reversed = |row: Vec<bool>| row.into_iter().rev().collect();
            Pattern::Chart { rows: rows.into_iter().map(reversed).collect(), repeats }
        }
        Pattern::Tile { ink, width_mm, repeats } => {
            let ink = ink.mirrored(true).shifted(Point::new(width_mm, 0.0));
            Pattern::Tile { ink, width_mm, repeats }
        }
        Pattern::Figure { ink } => Pattern::Figure { ink: ink.mirrored(true) },
    };
    Inlay { pattern, ..inlay }
}

/// z of `level` in the developed plane; the middle of the face where it is not given.
pub fn level(arguments: &Arguments, surface: &Surface, zero: f64, span: [f64; 2]) -> f64 {
    match arguments.number("level") {
        // On a level face there is no height to count from.
        Some(level) if is_level(surface) => level,
        Some(level) => zero + level,
        None => (span[0] + span[1]) / 2.0,
    }
}
