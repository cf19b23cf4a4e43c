//! Whether the work is of a size that can be done at all.

use crate::diagnostics::{Diagnostic, Sink};
use crate::model::codes;
use crate::model::{Body, Inlay, Leaf, Model, Pattern, Places};
use crate::source::Span;
use std::collections::BTreeMap;
use std::sync::Arc;

/// Cells of all repeats of a pattern. A thousand repeats of a fine chart stay below it;
/// far above it no printer could show a cell and no machine would end.
pub const MOST_CELLS: u64 = 200_000;

/// Bodies of which one part is put together.
pub const MOST_BODIES: u64 = 10_000;

/// Copies of one part, spares included: no bed holds more.
pub const MOST_COPIES: u64 = 1_000;

/// Booleans within booleans; more would overflow the stacks of those who walk them.
pub const DEEPEST: u64 = 500;

/// Checks counts and depths of everything in the model.
pub fn check(model: &Model, places: &Places, sink: &mut Sink) {
    for (index, part) in model.parts.iter().enumerate() {
        let Some(place) = places.parts.get(index) else { continue };
        let name = &part.name;
        let mut too_many = |what: &str, count: u64, most: u64, span: Span, help: &str| {
            if count > most {
                sink.push(too_much(name, what, count, most, span, help));
            }
        };
        let copies = u64::from(part.copies) + u64::from(part.spares);
        too_many("copies", copies, MOST_COPIES, place.field("copies"), "say fewer copies");
        let measure = Measure::of(&part.body);
        too_many(
            "bodies within bodies",
            measure.depth,
            DEEPEST,
            place.name,
            "gather bodies with joined([...]) in place of one join after the other",
        );
        too_many("bodies", measure.bodies, MOST_BODIES, place.name, "repeat fewer of them");
        too_many(
            "cells in its pattern",
            measure.cells,
            MOST_CELLS,
            place.field("repeats"),
            "say fewer repeats, or draw the motif more simply",
        );
    }
}

fn too_much(name: &str, what: &str, count: u64, most: u64, span: Span, help: &str) -> Diagnostic {
    let message = format!("`{name}` has {count} {what}, more than {most}");
    Diagnostic::at(codes::TOO_MUCH, span, message).help(help).fact("count", count as f64, "").fact(
        "most",
        most as f64,
        "",
    )
}

/// How large a body is. Shared bodies count each time they are used.
#[derive(Clone, Copy, Debug, Default)]
struct Measure {
    bodies: u64,
    depth: u64,
    cells: u64,
}

impl Measure {
    /// Walks without recursion: the depth is what is asked for.
    fn of(body: &Arc<Body>) -> Measure {
        let mut done: BTreeMap<*const Body, Measure> = BTreeMap::new();
        let mut stack = vec![(body.as_ref(), false)];
        while let Some((node, children_done)) = stack.pop() {
            let key = std::ptr::from_ref(node);
            if done.contains_key(&key) {
                continue;
            }
            if children_done {
                done.insert(key, Measure::sum(node, &done));
            } else {
                stack.push((node, true));
                stack.extend(children(node).map(|child| (child, false)));
            }
        }
        done.get(&Arc::as_ptr(body)).copied().unwrap_or_default()
    }

    fn sum(node: &Body, done: &BTreeMap<*const Body, Measure>) -> Measure {
        let mut all = Measure { bodies: 0, depth: 0, cells: 0 };
        match node {
            Body::Leaf(Leaf::Inlay(inlay)) => {
                return Measure { bodies: 1, depth: 1, cells: cells(inlay) };
            }
            Body::Leaf(Leaf::Relief(relief)) => {
                return Measure { bodies: 1, depth: 1, cells: cells(&relief.pattern) };
            }
            Body::Leaf(_) => return Measure { bodies: 1, depth: 1, cells: 0 },
            _ => {}
        }
        for child in children(node) {
            let one = done.get(&std::ptr::from_ref(child)).copied().unwrap_or_default();
            all.bodies = all.bodies.saturating_add(one.bodies);
            all.cells = all.cells.saturating_add(one.cells);
            all.depth = all.depth.max(one.depth.saturating_add(1));
        }
        all
    }
}

fn children(node: &Body) -> impl Iterator<Item = &Body> {
    let (two, many): (Vec<&Arc<Body>>, &[Arc<Body>]) = match node {
        Body::Empty | Body::Leaf(_) => (Vec::new(), &[]),
        Body::Placed { body, .. } => (vec![body], &[]),
        Body::Boolean { left, right, .. } => (vec![left, right], &[]),
        Body::Many(bodies) => (Vec::new(), bodies),
    };
    two.into_iter().chain(many).map(Arc::as_ref)
}

fn cells(inlay: &Inlay) -> u64 {
    let segments = |ink: &crate::plane::Outline| -> u64 {
        ink.loops.iter().map(|track| track.segments.len() as u64).sum()
    };
    match &inlay.pattern {
        Pattern::Chart { rows, repeats } => {
            let marks = rows.len() as u64 * rows.first().map_or(0, Vec::len) as u64;
            marks.saturating_mul(u64::from(*repeats))
        }
        Pattern::Tile { ink, repeats, .. } => segments(ink).saturating_mul(u64::from(*repeats)),
        Pattern::Figure { ink } => segments(ink),
    }
}
