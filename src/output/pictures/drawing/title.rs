//! Title block, notes, projection symbol, scale bar.

use super::dimension::figure;
use super::svg::{Anchor, Svg};
use super::{NOTES, Subject, TITLE};
use crate::model::{Filling, Model, PartId};
use crate::plane::Point;
use crate::quantity::decimals;

/// Distance of lines of notes, and the height of their letters, mm.
const LINE_MM: f64 = 4.4;
const NOTE_MM: f64 = 2.5;

/// Draws all of it.
pub(super) fn draw(svg: &mut Svg, subject: &Subject<'_>, scale: &str, left_out: &[String]) {
    block(svg, subject, scale);
    notes(svg, subject, left_out);
}

fn block(svg: &mut Svg, subject: &Subject<'_>, scale: &str) {
    let (a, b) = (TITLE.low, TITLE.high);
    let line = |svg: &mut Svg, x: [f64; 2], y: [f64; 2]| {
        svg.stroke(Point::new(a.x + x[0], a.y + y[0]), Point::new(a.x + x[1], a.y + y[1]), "");
    };
    svg.open("thick");
    svg.polygons(&[vec![Point::new(a.x, a.y), Point::new(a.x, b.y), b]], false, "");
    svg.close();
    svg.open("thin");
    let wide = TITLE.width();
    for y in [11.0, 22.0, 33.0] {
        line(svg, [0.0, wide], [y, y]);
    }
    line(svg, [110.0; 2], [11.0, 44.0]);
    line(svg, [146.0; 2], [11.0, 33.0]);
    svg.close();
    let [number, count] = subject.sheet;
    let sheet = format!("A3, {number} of {count}");
    let shown = subject.part.and_then(|part| subject.model.parts.get(part.0));
    let title = match shown {
        Some(part) => format!("{}: {}", subject.title(), part.name),
        None => subject.title().to_string(),
    };
    let size = subject.model.size.as_deref().unwrap_or("default");
    let digest: String = subject.digest.chars().take(32).collect();
    let made = concat!("pipkin ", env!("CARGO_PKG_VERSION"));
    let printer = subject.model.printer.name.as_str();
    let cells = [
        (0.0, 33.0, "title", title.as_str(), 5.0),
        (110.0, 33.0, "size", size, 3.5),
        (0.0, 22.0, "design", subject.model.name.as_str(), 3.5),
        (110.0, 22.0, "scale", scale, 3.5),
        (146.0, 22.0, "sheet", sheet.as_str(), 2.5),
        (0.0, 11.0, "made by", made, 3.5),
        (110.0, 11.0, "printer", printer, 2.5),
        (146.0, 11.0, "lengths", "mm", 3.5),
        (0.0, 0.0, "digest of the source", digest.as_str(), 2.5),
    ];
    for (x, y, label, text, height) in cells {
        let corner = a + Point::new(x + 2.0, y);
        svg.text(label, corner + Point::new(0.0, 8.0), 1.8, (Anchor::Start, false));
        svg.text(text, corner + Point::new(0.0, 1.8), height, (Anchor::Start, false));
    }
    symbol(svg, a + Point::new(wide - 26.0, 5.5));
    scale_bar(svg, scale, Point::new(a.x + 62.0, a.y + 13.5));
}

/// First-angle projection: the frustum stands left of its view from the left, in which
/// both circles are seen (ISO 5456-2).
fn symbol(svg: &mut Svg, at: Point) {
    let (large, small, long) = (4.0, 2.0, 8.0);
    let left = at - Point::new(8.0, 0.0);
    let right = at + Point::new(10.0, 0.0);
    svg.open("thick");
    let corners = [(0.0, -small), (long, -large), (long, large), (0.0, small)];
    let corners = corners.map(|(x, y)| left + Point::new(x, y)).to_vec();
    svg.polygons(&[corners], true, "");
    svg.circle(right, large, "");
    svg.circle(right, small, "");
    svg.close();
    svg.open("axis");
    svg.stroke(left - Point::new(1.5, 0.0), left + Point::new(long + 1.5, 0.0), "");
    svg.stroke(right - Point::new(large + 1.2, 0.0), right + Point::new(large + 1.2, 0.0), "");
    svg.stroke(right - Point::new(0.0, large + 1.2), right + Point::new(0.0, large + 1.2), "");
    svg.close();
}

/// A bar of whole centimetres of the thing, about 40 mm long on the sheet.
fn scale_bar(svg: &mut Svg, scale: &str, at: Point) {
    let Some((drawing, thing)) = scale.split_once(':') else { return };
    let (Ok(drawing), Ok(thing)) = (drawing.parse::<f64>(), thing.parse::<f64>()) else { return };
    let factor = drawing / thing;
    let step = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0]
        .into_iter()
        .find(|s| s * factor >= 7.0)
        .unwrap_or(1000.0);
    let count = (40.0 / (step * factor)).floor().clamp(1.0, 4.0) as usize;
    let x = |i: usize| at.x + step * factor * i as f64;
    for i in 0..count {
        let (a, b) = (Point::new(x(i), at.y), Point::new(x(i + 1), at.y + 1.4));
        let corners = vec![a, Point::new(b.x, a.y), b, Point::new(a.x, b.y)];
        svg.open("thin");
        let class = if i % 2 == 0 { "class=\"solid\"" } else { "" };
        svg.polygons(&[corners], true, class);
        svg.close();
    }
    for i in 0..=count {
        let text = figure(step * i as f64);
        svg.text(&text, Point::new(x(i), at.y + 2.4), 1.8, (Anchor::Middle, false));
    }
}

fn notes(svg: &mut Svg, subject: &Subject<'_>, left_out: &[String]) {
    let columns = [parts(subject), givens(subject.model), fits(subject, left_out)];
    let titles = ["parts", "given", "fits"];
    let starts = [0.0, 74.0, 116.0];
    let ends = [starts[1], starts[2], NOTES.width()].map(|end| end - 2.0);
    let most = (NOTES.height() / LINE_MM) as usize - 1;
    for (((lines, title), x), end) in columns.into_iter().zip(titles).zip(starts).zip(ends) {
        let mut at = Point::new(NOTES.low.x + x, NOTES.high.y - LINE_MM);
        svg.text(title, at, 3.5, (Anchor::Start, false));
        at.y -= LINE_MM + 1.0;
        let count = lines.len();
        for (i, line) in lines.into_iter().enumerate().take(most) {
            let rest = count - i;
            let line = if i + 1 == most && rest > 1 { format!("and {rest} more") } else { line };
            svg.text_within(&line, at, NOTE_MM, end - x);
            at.y -= LINE_MM;
        }
    }
}

fn parts(subject: &Subject<'_>) -> Vec<String> {
    let parts = subject.model.parts.iter().zip(&subject.realised.parts).enumerate();
    parts
        .filter(|(index, _)| subject.shows(&[PartId(*index)]))
        .flat_map(|(index, (part, finished))| {
            let [r, g, b] = part.material.colour;
            let volume = match finished {
                Some(f) => format!(", {} ml", decimals(f.volume_mm3 / 1000.0, 2)),
                None => ", not made".to_string(),
            };
            let own =
                format!("{}: {} #{r:02x}{g:02x}{b:02x}{volume}", part.name, part.material.name);
            let columns = subject.columns_of(PartId(index)).map(|columns| {
                let thin = if subject.part.is_some() { ", thin lines" } else { "" };
                format!("{}: {}{thin}", columns.name(), columns.count)
            });
            std::iter::once(own).chain(columns)
        })
        .collect()
}

fn givens(model: &Model) -> Vec<String> {
    let givens = model.givens.iter();
    givens
        .map(|given| match &given.value {
            Filling::Quantity(q) => format!("{} {q}", given.name),
            Filling::Text(text) => format!("{} {text}", given.name),
            Filling::Truth(truth) => {
                format!("{} {}", given.name, if *truth { "yes" } else { "no" })
            }
        })
        .collect()
}

fn fits(subject: &Subject<'_>, left_out: &[String]) -> Vec<String> {
    let name = |p: PartId| subject.model.parts.get(p.0).map_or("?", |p| &p.name);
    let mut lines = Vec::new();
    let seats = subject.fits.seats.iter().flatten();
    for fit in seats.filter(|fit| subject.shows(&[fit.inlay, fit.host])) {
        let gap = figure(fit.gap.least_mm);
        let steps = fit.face_step_mm.map(figure);
        lines.push(format!(
            "{} in {}: gap {gap}, face {} to {}",
            name(fit.inlay),
            name(fit.host),
            steps[0],
            steps[1]
        ));
    }
    let lids = subject.fits.lids.iter().flatten();
    for fit in lids.filter(|fit| subject.shows(&[fit.lid, fit.host])) {
        let gap = figure(fit.gap.least_mm);
        lines.push(format!("{} on {}: gap {gap} a side", name(fit.lid), name(fit.host)));
    }
    for fit in subject.fits.pairs.iter().filter(|fit| subject.shows(&[fit.inner, fit.outer])) {
        let [gap, asked] = [fit.gap.least_mm, fit.gap.asked_mm].map(figure);
        lines.push(format!("{} in {}: gap {gap}, asked {asked}", name(fit.inner), name(fit.outer)));
    }
    for ring in subject.fits.rings.iter().filter(|ring| subject.shows(&[ring.part])) {
        let strain = decimals(ring.strain_percent, 2);
        let permitted = match ring.permitted_percent {
            Some(limit) => format!(" of {} %", decimals(limit, 2)),
            None => " %".to_string(),
        };
        lines.push(format!("{}: sprung open, strain {strain}{permitted}", name(ring.part)));
    }
    lines.extend(left_out.iter().cloned());
    lines
}
