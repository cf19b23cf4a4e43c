//! The order in which declarations, and the lines of shapes, can be worked out.

use super::codes;
use super::graph::{ordered, way_round};
use super::names::Reads;
use super::program::{DeclId, Program, ShapePlan};
use super::space::declared_name;
use crate::diagnostics::{Diagnostic, Sink};
use crate::source::Span;
use crate::syntax::{ItemKind, ShapeLine};
use std::collections::BTreeMap;

/// Fills `order`, `cyclic` and `shapes` of the program; reports every cycle once, with
/// every link.
pub fn arrange(program: &mut Program, reads: &Reads, sink: &mut Sink) {
    declarations(program, reads, sink);
    for (id, lines) in &reads.lines {
        let plan = shape_plan(program, *id, lines, sink);
        program.shapes.insert(*id, plan);
    }
}

fn declarations(program: &mut Program, reads: &Reads, sink: &mut Sink) {
    // Printers first: gaps by name are read from their table wherever they stand.
    let mut ids: Vec<DeclId> = reads.declarations.keys().copied().collect();
    ids.sort_by_key(|id| !matches!(program.item(*id).kind, ItemKind::Printer { .. }));
    let index: BTreeMap<DeclId, usize> = ids.iter().enumerate().map(|(i, id)| (*id, i)).collect();
    let edges: Vec<Vec<usize>> = ids
        .iter()
        .map(|id| {
            reads.declarations[id].iter().filter_map(|(to, _)| index.get(to).copied()).collect()
        })
        .collect();
    let found = ordered(&edges);
    for group in &found.cycles {
        let way = way_round(&edges, group, group[0]);
        let links: Vec<Link> = way
            .iter()
            .enumerate()
            .map(|(i, from)| {
                let to = ids[way[(i + 1) % way.len()]];
                let span = reads.declarations[&ids[*from]].iter().find(|(id, _)| *id == to);
                Link {
                    name: name_of(program, ids[*from]),
                    next: name_of(program, to),
                    span: span.map_or(program.item(to).span, |(_, span)| *span),
                }
            })
            .collect();
        sink.push(cycle(&links));
        program.cyclic.extend(group.iter().map(|i| ids[*i]));
    }
    program.order = found.order.into_iter().map(|i| ids[i]).collect();
}

fn shape_plan(
    program: &Program,
    id: DeclId,
    lines: &[Vec<(usize, Span)>],
    sink: &mut Sink,
) -> ShapePlan {
    let edges: Vec<Vec<usize>> =
        lines.iter().map(|reads| reads.iter().map(|(line, _)| *line).collect()).collect();
    let found = ordered(&edges);
    let name = |line: usize| match program.shape(id).and_then(|s| s.lines.get(line)) {
        Some(ShapeLine::Let { name, .. } | ShapeLine::Offer { name, .. }) => name.text.to_string(),
        _ => String::new(),
    };
    for group in &found.cycles {
        let way = way_round(&edges, group, group[0]);
        let links: Vec<Link> = way
            .iter()
            .enumerate()
            .filter_map(|(i, from)| {
                let to = way[(i + 1) % way.len()];
                let (_, span) = lines[*from].iter().find(|(line, _)| *line == to)?;
                Some(Link { name: name(*from), next: name(to), span: *span })
            })
            .collect();
        sink.push(cycle(&links));
    }
    let endless = !found.cycles.is_empty() || program.cyclic.contains(&id);
    ShapePlan { order: found.order, endless }
}

fn name_of(program: &Program, id: DeclId) -> String {
    let item = program.item(id);
    match (&item.kind, declared_name(&item.kind)) {
        (_, Some(name)) => name.text.to_string(),
        (ItemKind::Seat { inlay, host, .. }, _) => format!("{} in {}", inlay.text, host.text),
        _ => "this".to_string(),
    }
}

/// One link of a cycle: `name` reads `next` at `span`.
struct Link {
    name: String,
    next: String,
    span: Span,
}

fn cycle(links: &[Link]) -> Diagnostic {
    let Some((first, rest)) = links.split_first() else {
        return Diagnostic::nowhere(codes::CYCLE, "a value depends on itself");
    };
    let mut names: Vec<String> = links.iter().map(|l| format!("`{}`", l.name)).collect();
    names.push(format!("`{}`", first.name));
    let finding = Diagnostic::at(
        codes::CYCLE,
        first.span,
        format!("`{}` depends on itself: {}", first.name, names.join(" reads ")),
    )
    .label(format!("`{}` reads `{}`", first.name, first.next))
    .help("give one of them a value that does not read the others");
    rest.iter().fold(finding, |finding, link| {
        finding.and_at(link.span, format!("`{}` reads `{}`", link.name, link.next))
    })
}
