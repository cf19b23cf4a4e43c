//! Elevation and half section of the assembly, or of one part.

use super::super::section::{Contour, Frame, contours, right_half};
use super::depth::Cut;
use super::dimension::{TEXT_MM, auxiliary, figure, half_linear, linear};
use super::svg::{Anchor, Svg};
use super::{Area, Place, Subject, VIEWS, edges, hatch, scale_below, sight};
use crate::mesh::Mesh;
use crate::model::{Body, Leaf, Model, PartId};
use crate::plane::Point;
use crate::quantity::{Dimension, decimals};

/// Free space round a view for dimensions, mm.
const ROUND_MM: f64 = 22.0;

/// Space for the caption above a view, mm.
const CAPTION_MM: f64 = 14.0;

/// What details need to know of the half section.
pub(super) struct Drawn {
    pub scale: [u32; 2],
    pub frame: Frame,
    pub place: Place,
}

/// Draws both.
pub(super) fn draw(svg: &mut Svg, subject: &Subject<'_>) -> Drawn {
    let parts = subject.drawn();
    let meshes: Vec<&Mesh> = parts.iter().map(|(_, m)| *m).collect();
    let front = Frame::upright([1.0, 0.0]);
    let seats = subject.model.seats.iter().filter(|s| subject.shows(&[s.inlay, s.host]));
    let inlays = seats.filter_map(|s| subject.model.parts.get(s.inlay.0));
    let bodies = subject.model.parts.iter().map(|p| &*p.body);
    let plane = sight::half_plane(inlays.map(|p| &*p.body), bodies);
    let cut = Frame::upright(plane);
    let boxes = [front, cut].map(|f| extent(&meshes, &f));
    let widths = boxes.map(|[low, high]| high.x - low.x);
    let height = boxes[0][1].y - boxes[0][0].y;
    let room_x = VIEWS.width() - 4.0 * ROUND_MM;
    let room_y = VIEWS.height() - CAPTION_MM - 2.0 * ROUND_MM;
    let most = (room_x / (widths[0] + widths[1])).min(room_y / height);
    let (scale, factor) = scale_below(most.max(1e-3));
    // Both stand on one line, with equal free space left, between and right.
    let free = (VIEWS.width() - factor * (widths[0] + widths[1])) / 4.0;
    let ground = VIEWS.low.y + (VIEWS.height() - CAPTION_MM - height * factor) / 2.0;
    let mut left = VIEWS.low.x + free;
    let places = [0, 1].map(|i| {
        let low = boxes[i][0];
        let origin = Point::new(left - low.x * factor, ground - low.y * factor);
        left += widths[i] * factor + 2.0 * free;
        Place { origin, scale: factor }
    });
    let seen = edges::visible(&meshes, &front, grown(boxes[0]), Cut::Whole);
    lines(svg, "thick", &places[0], &seen, false);
    let columns = subject.part.and_then(|part| subject.columns_of(part)).map(|c| &c.mesh);
    if let Some(columns) = columns {
        let seen = edges::outline(columns, &meshes, &front, grown(boxes[0]), Cut::Whole);
        lines(svg, "thin", &places[0], &seen, false);
    }
    axis(svg, &places[0], boxes[0]);
    half_section(svg, &parts, &cut, &places[1], boxes[1]);
    if let Some(columns) = columns {
        cut_columns(svg, columns, &meshes, &cut, &places[1], boxes[1]);
    }
    captions(svg, plane, &places, &boxes);
    outer_dimensions(svg, &places[0], boxes[0]);
    inner_dimensions(svg, subject, &cut, &places[1], boxes[1]);
    Drawn { scale, frame: cut, place: places[1] }
}

/// Lines of a weight, `thick` or `thin`.
fn lines(svg: &mut Svg, weight: &str, place: &Place, lines: &[Vec<Point>], closed: bool) {
    svg.open(weight);
    svg.polygons(&place.put_all(lines), closed, "");
    svg.close();
}

/// Columns in the half section: what is not of the part is neither thick nor hatched.
fn cut_columns(
    svg: &mut Svg,
    columns: &Mesh,
    parts: &[&Mesh],
    frame: &Frame,
    place: &Place,
    box_mm: [Point; 2],
) {
    let seen = edges::outline(columns, parts, frame, grown(box_mm), Cut::RightHalf);
    lines(svg, "thin", place, &seen, false);
    let found = contours(columns, frame);
    let halves: Vec<_> = found.iter().filter_map(right_half).map(|c| c.points).collect();
    lines(svg, "thin", place, &halves, true);
}

/// The box of meshes in a view.
fn extent(meshes: &[&Mesh], frame: &Frame) -> [Point; 2] {
    let mut points = meshes.iter().flat_map(|m| &m.vertices).map(|v| frame.flat(*v));
    let Some(first) = points.next() else { return [Point::default(), Point::new(1.0, 1.0)] };
    points.fold([first, first], |[low, high], p| {
        [Point::new(low.x.min(p.x), low.y.min(p.y)), Point::new(high.x.max(p.x), high.y.max(p.y))]
    })
}

/// A little more than what is seen, so that its rim has neighbours.
fn grown([low, high]: [Point; 2]) -> [Point; 2] {
    let by = (high - low) * 0.01 + Point::new(0.1, 0.1);
    [low - by, high + by]
}

fn half_section(
    svg: &mut Svg,
    parts: &[(PartId, &Mesh)],
    frame: &Frame,
    place: &Place,
    box_mm: [Point; 2],
) {
    let meshes: Vec<&Mesh> = parts.iter().map(|(_, m)| *m).collect();
    let seen = edges::visible(&meshes, frame, grown(box_mm), Cut::RightHalf);
    lines(svg, "thick", place, &seen, false);
    for (part, mesh) in parts {
        let halves: Vec<Contour> = contours(mesh, frame).iter().filter_map(right_half).collect();
        cut_face(svg, &halves, place, *part, true);
    }
    axis(svg, place, box_mm);
}

/// A cut face: white, hatched, with a thick contour; `halved` ones have none on x = 0.
pub(super) fn cut_face(
    svg: &mut Svg,
    found: &[Contour],
    place: &Place,
    part: PartId,
    halved: bool,
) {
    let on_sheet: Vec<Contour> = found
        .iter()
        .map(|c| Contour {
            points: c.points.iter().map(|p| place.put(*p)).collect(),
            tags: c.tags.clone(),
        })
        .collect();
    let areas: Vec<Vec<Point>> = on_sheet.iter().map(|c| c.points.clone()).collect();
    svg.polygons(&areas, true, "class=\"cut\"");
    let lines = hatch::lines(&on_sheet, hatch::of_part(part.0));
    svg.open("thin");
    svg.polygons(&lines.into_iter().map(|l| l.to_vec()).collect::<Vec<_>>(), false, "");
    svg.close();
    let mut runs: Vec<Vec<Point>> = Vec::new();
    for (contour, shown) in found.iter().zip(&on_sheet) {
        let sides = contour.sides().zip(shown.sides());
        let mut run: Vec<Point> = Vec::new();
        for ((a, b, _), (from, to, _)) in sides {
            if halved && a.x == 0.0 && b.x == 0.0 {
                runs.push(std::mem::take(&mut run));
                continue;
            }
            if run.is_empty() {
                run.push(from);
            }
            run.push(to);
        }
        runs.push(run);
    }
    svg.open("thick");
    let runs: Vec<_> = runs.iter().map(|r| edges::straightened(r)).collect();
    svg.polygons(&runs, false, "");
    svg.close();
}

fn axis(svg: &mut Svg, place: &Place, [low, high]: [Point; 2]) {
    let beyond = Point::new(0.0, 4.0);
    svg.open("axis");
    let ends = [Point::new(0.0, low.y), Point::new(0.0, high.y)].map(|p| place.put(p));
    svg.stroke(ends[0] - beyond, ends[1] + beyond, "");
    svg.close();
}

fn captions(svg: &mut Svg, [cos, sin]: [f64; 2], places: &[Place; 2], boxes: &[[Point; 2]; 2]) {
    let degrees = decimals(sin.atan2(cos).to_degrees(), 1);
    let texts = ["elevation from the front".to_string(), format!("half section A at {degrees}°")];
    for ((text, place), [low, high]) in texts.iter().zip(places).zip(boxes) {
        let middle = place.put(Point::new((low.x + high.x) / 2.0, high.y));
        let at = middle + Point::new(0.0, 14.0);
        svg.text(text, at, 3.5, (Anchor::Middle, false));
    }
}

/// Width and height over all.
fn outer_dimensions(svg: &mut Svg, place: &Place, [low, high]: [Point; 2]) {
    let corners = [low, Point::new(high.x, low.y), Point::new(low.x, high.y)].map(|p| place.put(p));
    let below = Point::new(0.0, corners[0].y - 9.0);
    let right = Point::new(1.0, 0.0);
    linear(svg, [corners[0], corners[1]], below, right, &auxiliary(high.x - low.x));
    let beside = Point::new(corners[0].x - 10.0, 0.0);
    let up = Point::new(0.0, 1.0);
    linear(svg, [corners[0], corners[2]], beside, up, &auxiliary(high.y - low.y));
}

/// Inside width and depth of what is closed or holds something, height of each part
/// that stands for itself, level and height of bands.
fn inner_dimensions(
    svg: &mut Svg,
    subject: &Subject<'_>,
    frame: &Frame,
    place: &Place,
    [low, high]: [Point; 2],
) {
    let model = subject.model;
    let up = Point::new(0.0, 1.0);
    let sheet = [low, high].map(|p| place.put(p));
    let mut column = sheet[1].x + 12.0;
    let mut row = sheet[1].y + 6.0;
    for (part, mesh) in subject.drawn() {
        let Some(declared) = model.parts.get(part.0) else { continue };
        if let Some((inside, round)) = declared.cavity.as_deref().and_then(cavity) {
            let flats = declared.cavity.as_deref().is_some_and(|c| sight::sides_of(c).is_some());
            let text = named(model, inside.width(), if round { "Ø" } else { "" });
            let text = if flats { format!("{text} {FLATS}") } else { text };
            let end = place.put(inside.high);
            let line = Point::new(0.0, row);
            half_linear(svg, end, line, place.origin.x, &text);
            row += 6.0;
            let ends = [Point::new(inside.high.x, inside.low.y), inside.high].map(|p| place.put(p));
            linear(svg, ends, Point::new(column, 0.0), up, &named(model, inside.height(), ""));
            column += 8.0;
        }
        if let Some((inlay, placement)) = sight::inlay_of(&declared.body) {
            // Bands on upright faces only: elsewhere z is not up.
            let [a, b] = inlay.band_mm().map(|z| placement.point([0.0, 0.0, z])[2]);
            if placement.keeps_axis() && inlay.surface.is_turned() {
                let x = extent(&[mesh], frame)[1].x;
                let ends = [Point::new(x, a), Point::new(x, b)].map(|p| place.put(p));
                linear(svg, ends, Point::new(column, 0.0), up, &named(model, (b - a).abs(), ""));
                // Its level says something only beside what it sits in.
                if subject.part.is_none() {
                    let floor = place.put(Point::new(x, low.y));
                    linear(svg, [floor, ends[0]], Point::new(column, 0.0), up, &figure(a - low.y));
                }
                column += 8.0;
            }
        }
        if is_base(model, part) {
            let [bottom, top] = extent(&[mesh], frame);
            let ends = [Point::new(top.x, bottom.y), top].map(|p| place.put(p));
            linear(svg, ends, Point::new(column, 0.0), up, &auxiliary(top.y - bottom.y));
            column += 8.0;
        }
    }
}

fn is_base(model: &Model, part: PartId) -> bool {
    !model.seats.iter().any(|s| s.inlay == part) && !model.closures.iter().any(|c| c.lid == part)
}

/// A length, with the name of a given that has this very value.
fn named(model: &Model, mm: f64, before: &str) -> String {
    use crate::model::Filling;
    let same = model.givens.iter().find(|g| {
        matches!(&g.value, Filling::Quantity(q)
            if q.dimension == Dimension::LENGTH && (q.value - mm).abs() < 1e-6)
    });
    match same {
        Some(given) => format!("{} {before}{}", given.name, figure(mm)),
        None => format!("{before}{}", figure(mm)),
    }
}

/// Width and height of the body that a vessel holds, where it is a plain one, and
/// whether it is round.
fn cavity(body: &Body) -> Option<(Area, bool)> {
    match body {
        Body::Leaf(Leaf::Turned(turned)) => {
            let [low, high] = turned.outline.bounds()?;
            Some((Area::new([-high.x, high.x], [low.y, high.y]), turned.sides.is_none()))
        }
        Body::Leaf(Leaf::Prism(prism)) => {
            let [low, high] = prism.outline.bounds()?;
            Some((Area::new([low.x, high.x], [0.0, prism.height_mm]), false))
        }
        Body::Placed { body, placement } => {
            let (inside, round) = cavity(body)?;
            let by = Point::new(0.0, placement.shift[2]);
            let level = placement.matrix == crate::model::Placement::IDENTITY.matrix;
            let moved = Area { low: inside.low + by, high: inside.high + by };
            (level && placement.keeps_axis()).then_some((moved, round))
        }
        _ => None,
    }
}

/// What a size has behind it that is taken from one flat side to the opposite one.
pub(super) const FLATS: &str = "A/F";

/// Height of figures and small notes.
pub(super) const NOTE_MM: f64 = TEXT_MM;
