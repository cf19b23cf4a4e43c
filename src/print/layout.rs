//! Setting parts out on the bed.

use super::codes;
use super::posed::{Item, Layout, Posed};
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::{Model, PartId, Places, Vector};
use crate::quantity::decimals;

/// Distance between parts where no plate says another, mm; common practice.
const SPACING_MM: f64 = 5.0;

/// A copy to be set down: its part and its box.
#[derive(Clone, Copy, Debug)]
struct Copy {
    part: PartId,
    low: Vector,
    size: Vector,
}

/// All plates. What does not fit on one bed goes on to the next; a part that fits on none
/// is a finding.
pub fn layouts(
    model: &Model,
    places: &Places,
    parts: &[Option<Posed>],
    sink: &mut Sink,
) -> Vec<Layout> {
    let bed = model.printer.bed_mm;
    let mut boxes: Vec<Option<Copy>> = Vec::new();
    for (index, posed) in parts.iter().enumerate() {
        let Some(copy) = posed.as_ref().and_then(box_of) else {
            boxes.push(None);
            continue;
        };
        let fits = (0..3).all(|c| copy.size[c] <= bed[c]);
        if !fits {
            too_big(model, places, index, copy.size, sink);
        }
        boxes.push(fits.then_some(copy));
    }
    let copies = |part: PartId| {
        let count = model.parts.get(part.0).map_or(0, |p| p.copies + p.spares) as usize;
        let one = boxes.get(part.0).copied().flatten();
        one.into_iter().flat_map(move |copy| std::iter::repeat_n(copy, count))
    };
    let mut out = Vec::new();
    if model.plates.is_empty() {
        let all: Vec<Copy> = (0..model.parts.len()).flat_map(|i| copies(PartId(i))).collect();
        let beds = packed(all, [bed[0], bed[1]], SPACING_MM);
        if beds.len() > 1 {
            more_plates(places, beds.len(), sink);
        }
        out.extend(beds.into_iter().map(|items| Layout { name: None, items }));
    }
    for plate in &model.plates {
        let all: Vec<Copy> = plate.parts.iter().flat_map(|p| copies(*p)).collect();
        let beds = packed(all, [bed[0], bed[1]], plate.spacing_mm.max(0.0));
        if beds.len() > 1 {
            plate_full(places, plate.parts.first().copied(), &plate.name, beds.len(), bed, sink);
        }
        let named = |items| Layout { name: Some(plate.name.clone()), items };
        out.extend(beds.into_iter().map(named));
    }
    out
}

fn box_of(posed: &Posed) -> Option<Copy> {
    let meshes = posed.brim.iter().map(|brim| &brim.mesh).chain([&posed.mesh]);
    let used = meshes.flat_map(|m| m.triangles.iter().flatten().map(|v| m.vertices[*v as usize]));
    let [low, high] = used.map(|p| [p, p]).reduce(|[low, high], [p, _]| {
        [[0, 1, 2].map(|c| low[c].min(p[c])), [0, 1, 2].map(|c| high[c].max(p[c]))]
    })?;
    Some(Copy { part: posed.part, low, size: [0, 1, 2].map(|c| high[c] - low[c]) })
}

/// Boxes in rows on as few beds as rows need, the deepest boxes first, each bed's rows
/// then moved to its middle.
fn packed(mut copies: Vec<Copy>, bed: [f64; 2], spacing: f64) -> Vec<Vec<Item>> {
    copies.sort_by(|a, b| b.size[1].total_cmp(&a.size[1]).then(a.part.cmp(&b.part)));
    let mut beds: Vec<Vec<(Copy, [f64; 2])>> = Vec::new();
    // The next free corner, and how deep the row is.
    let (mut at, mut row) = ([0.0; 2], 0.0);
    for copy in copies {
        if at[0] + copy.size[0] > bed[0] && at[0] > 0.0 {
            at = [0.0, at[1] + row + spacing];
            row = 0.0;
        }
        if beds.is_empty() || at[1] + copy.size[1] > bed[1] {
            beds.push(Vec::new());
            (at, row) = ([0.0; 2], 0.0);
        }
        if let Some(bed) = beds.last_mut() {
            bed.push((copy, at));
        }
        at[0] += copy.size[0] + spacing;
        row = f64::max(row, copy.size[1]);
    }
    beds.into_iter().map(|items| centred(items, bed)).collect()
}

fn centred(items: Vec<(Copy, [f64; 2])>, bed: [f64; 2]) -> Vec<Item> {
    let far = |c: usize| items.iter().map(|(copy, at)| at[c] + copy.size[c]).fold(0.0, f64::max);
    let margin = [0, 1].map(|c| ((bed[c] - far(c)) / 2.0).max(0.0));
    let item = |(copy, at): &(Copy, [f64; 2])| Item {
        part: copy.part,
        shift_mm: [
            margin[0] + at[0] - copy.low[0],
            margin[1] + at[1] - copy.low[1],
            0.0 - copy.low[2],
        ],
    };
    let mut out: Vec<Item> = items.iter().map(item).collect();
    out.sort_by_key(|item| item.part);
    out
}

fn measures(size: Vector) -> String {
    let [x, y, z] = size.map(|c| decimals(c, 1));
    format!("{x} x {y} x {z} mm")
}

fn too_big(model: &Model, places: &Places, index: usize, size: Vector, sink: &mut Sink) {
    let Some(place) = places.parts.get(index) else { return };
    let bed = model.printer.bed_mm;
    let message = format!(
        "`{}` is {} as printed, the bed of `{}` only {}",
        model.parts[index].name,
        measures(size),
        model.printer.name,
        measures(bed)
    );
    let finding = Diagnostic::at(codes::TOO_BIG, place.field("pose"), message)
        .help("make it smaller, say another `pose`, or give the printer its real `bed`")
        .fact("width", size[0], "mm")
        .fact("depth", size[1], "mm")
        .fact("height", size[2], "mm");
    sink.push(finding);
}

fn more_plates(places: &Places, beds: usize, sink: &mut Sink) {
    let message = format!("the parts do not fit on one bed, they are set out on {beds}");
    let finding = match places.parts.first() {
        Some(place) => Diagnostic::at(codes::MORE_PLATES, place.name, message),
        None => Diagnostic::nowhere(codes::MORE_PLATES, message),
    };
    sink.push(finding.help("say which belong together: plate first { parts: [...] }"));
}

fn plate_full(
    places: &Places,
    first: Option<PartId>,
    name: &str,
    beds: usize,
    bed: Vector,
    sink: &mut Sink,
) {
    let message = format!(
        "the parts of plate `{name}` do not fit on one bed of {}, they need {beds}",
        measures(bed)
    );
    let place = first.and_then(|part| places.parts.get(part.0));
    let finding = match place {
        Some(place) => Diagnostic::at(codes::PLATE_FULL, place.name, message),
        None => Diagnostic::nowhere(codes::PLATE_FULL, message),
    };
    sink.push(finding.help("divide its parts between two plates"));
}
