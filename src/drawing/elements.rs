//! From element to element: what is painted.

use super::bends::{Matrix, Run, close, skewed, track};
use super::sheet::transform;
use super::style::{Cap, Join, Style, USUAL};
use super::{DEEPEST, FARTHEST_MM, Fault, Kind, MOST_STRETCHES, shapes, style};
use crate::plane::{
    Combine, Corners, Curve, Ends, Filling, Outline, PlaneError, Segment, Side, Track, combine,
    filled, stroke,
};
use roxmltree::Node;
use std::ops::Range;

const SVG: &str = "http://www.w3.org/2000/svg";

/// Elements that the standard does not paint.
const SILENT: [&str; 5] = ["title", "desc", "metadata", "defs", "symbol"];

/// What has been painted.
#[derive(Default)]
pub(super) struct Walk {
    /// Regions in mm on the sheet, with their element.
    pub(super) painted: Vec<(Outline, Range<usize>)>,
    stretches: usize,
}

/// The opening of an element, `<path`.
pub(super) fn tag(node: Node<'_, '_>) -> Range<usize> {
    let start = node.range().start;
    start..start + 1 + node.tag_name().name().len()
}

pub(super) fn tangled(error: &PlaneError, at: Range<usize>) -> Fault {
    Fault::new(Kind::Malformed, format!("the outline cannot be made: {error}"), at)
}

impl Walk {
    /// Everything on the sheet.
    pub(super) fn root(&mut self, root: Node<'_, '_>, sheet: Matrix) -> Result<(), Fault> {
        let name = root.tag_name();
        if name.name() != "svg" || name.namespace().is_some_and(|space| space != SVG) {
            let what = format!("the file holds `{}`, no `svg`", name.name());
            return Err(Fault::new(Kind::Malformed, what, tag(root)));
        }
        let Some(style) = style::of(root, USUAL)? else { return Ok(()) };
        self.inside(root, style, sheet.after(transform(root)?), 1)
    }

    fn inside(
        &mut self,
        node: Node<'_, '_>,
        style: Style,
        matrix: Matrix,
        depth: usize,
    ) -> Result<(), Fault> {
        if depth > DEEPEST {
            let what = format!("at most {DEEPEST} groups stand inside each other");
            return Err(Fault::new(Kind::TooMuch, what, tag(node)));
        }
        for child in node.children().filter(Node::is_element) {
            self.element(child, style, matrix, depth)?;
        }
        Ok(())
    }

    fn element(
        &mut self,
        node: Node<'_, '_>,
        outer: Style,
        matrix: Matrix,
        depth: usize,
    ) -> Result<(), Fault> {
        // Other vocabularies are notes of the program that wrote the file.
        if node.tag_name().namespace().is_some_and(|space| space != SVG) {
            return Ok(());
        }
        let name = node.tag_name().name();
        if SILENT.contains(&name) {
            return Ok(());
        }
        let group = matches!(name, "g" | "a");
        let shape = if group { None } else { shapes::of(node)? };
        if !group && shape.is_none() {
            let what = format!("`{name}` cannot be used as an outline");
            return Err(Fault::new(Kind::Unusable, what, tag(node)));
        }
        let Some(style) = style::of(node, outer)? else { return Ok(()) };
        let matrix = matrix.after(transform(node)?);
        match shape {
            None => self.inside(node, style, matrix, depth + 1),
            Some(_) if style.hidden => Ok(()),
            Some(runs) => self.paint(&runs, style, matrix, tag(node)),
        }
    }

    fn paint(
        &mut self,
        runs: &[Run],
        style: Style,
        matrix: Matrix,
        at: Range<usize>,
    ) -> Result<(), Fault> {
        // A length that is no number is too far, too.
        let near = |p: &crate::plane::Point| p.length() < FARTHEST_MM;
        let mut tracks: Vec<Track> = runs.iter().filter_map(|run| track(run, matrix)).collect();
        self.stretches += tracks.iter().map(|t| t.segments.len()).sum::<usize>();
        if self.stretches > MOST_STRETCHES {
            let what = format!("a drawing has at most {MOST_STRETCHES} lines and arcs");
            return Err(Fault::new(Kind::TooMuch, what, at));
        }
        if !tracks.iter().all(|t| near(&t.start) && t.segments.iter().all(|s| near(&s.to))) {
            let what = "this lies too far out to be meant";
            return Err(Fault::new(Kind::TooMuch, what, at));
        }
        if style.stroke && style.width > 0.0 && matrix.determinant() != 0.0 {
            let line =
                stroked(runs, &tracks, style, matrix).map_err(|e| tangled(&e, at.clone()))?;
            self.painted.push((line, at.clone()));
        }
        if style.fill {
            tracks.iter_mut().for_each(close);
            tracks.retain(|t| t.segments.len() > 1);
            let rule = if style.even_odd { Filling::EvenOdd } else { Filling::NonZero };
            let region = filled(&tracks, rule).map_err(|e| tangled(&e, at.clone()))?;
            self.painted.push((region, at));
        }
        self.painted.retain(|(outline, _)| !outline.is_empty());
        Ok(())
    }
}

/// The line with its width. Where the matrix does not keep circles, it is drawn in a plane
/// of the same scale, and that goes through what is left of the matrix.
fn stroked(
    runs: &[Run],
    tracks: &[Track],
    style: Style,
    matrix: Matrix,
) -> Result<Outline, PlaneError> {
    if let Some(scale) = matrix.even() {
        return widened(tracks, style, style.width * scale);
    }
    let scale = matrix.determinant().abs().sqrt();
    let flat = Matrix::scale(scale, scale);
    let tracks: Vec<Track> = runs.iter().filter_map(|run| track(run, flat)).collect();
    let outline = widened(&tracks, style, style.width * scale)?;
    let rest = matrix.after(Matrix::scale(1.0 / scale, 1.0 / scale));
    filled(&skewed(&outline, rest), Filling::NonZero)
}

fn widened(tracks: &[Track], style: Style, width_mm: f64) -> Result<Outline, PlaneError> {
    let corners = match style.join {
        Join::Round => Corners::Round,
        Join::Bevel => Corners::Limited { ratio: 1.0 },
        Join::Mitre => Corners::Limited { ratio: style.limit },
    };
    let ends = if style.cap == Cap::Round { Ends::Round } else { Ends::Flat };
    let mut whole = Outline::default();
    for track in tracks {
        let track = match style.cap {
            Cap::Square if !track.is_closed() => longer(track, width_mm / 2.0),
            _ => track.clone(),
        };
        let line = stroke(&track, width_mm, Side::Middle, ends, corners)?;
        whole = combine(Combine::Join, &whole, &line)?;
    }
    Ok(whole)
}

/// Both ends drawn out straight.
fn longer(track: &Track, by: f64) -> Track {
    let stretches: Vec<_> = track.stretches().collect();
    let (Some(first), Some(last)) = (stretches.first(), stretches.last()) else {
        return track.clone();
    };
    let line = |to| Segment { to, curve: Curve::Line, face: None };
    let start = first.from - first.direction(0.0) * by;
    let mut segments = vec![line(first.from)];
    segments.extend(track.segments.iter().cloned());
    segments.push(line(last.to + last.direction(1.0) * by));
    Track { start, segments }
}
