//! The developed (unrolled) bands, with their repeats.

use super::dimension::{figure, linear};
use super::svg::{Anchor, Svg};
use super::views::FLATS;
use super::{BANDS, Place, Subject, edges, scale_below, scale_text, sight};
use crate::model::{Inlay, Part, PartId, Pattern, Surface, nominal_strips};
use crate::plane::{Interval, Point, SAME_LINE, Strips};

/// How many bands the sheet has room for.
const MOST: usize = 3;

/// Room that a band needs above and below for its dimensions and name, mm.
const ROUND_MM: f64 = 15.0;

/// Draws them; says what found no place.
pub(super) fn draw(svg: &mut Svg, subject: &Subject<'_>) -> Option<String> {
    let mut bands: Vec<(&Part, &Inlay, Strips)> = Vec::new();
    for (index, part) in subject.model.parts.iter().enumerate() {
        if !subject.shows(&[PartId(index)]) {
            continue;
        }
        let Some((inlay, _)) = sight::inlay_of(&part.body) else { continue };
        if let Ok(strips) = nominal_strips(inlay) {
            bands.push((part, inlay, strips));
        }
    }
    let shown = bands.len().min(MOST);
    for (row, (part, inlay, strips)) in bands.iter().take(MOST).enumerate() {
        let high = BANDS.height() / shown as f64;
        let top = BANDS.high.y - high * row as f64;
        draw_band(svg, (part, inlay, strips), [top - high, top]);
    }
    let more = bands.len() - shown;
    (more > 0).then(|| format!("{more} more inlays are not shown unrolled"))
}

/// A pattern laid out flat from its seam on; lengths in mm.
struct Laid {
    /// Left and right end of each strip and its bars.
    strips: Vec<([f64; 2], Vec<Interval>)>,
    /// Left and right end of all.
    ends: [f64; 2],
}

impl Laid {
    fn of(inlay: &Inlay, strips: &Strips) -> Option<Laid> {
        // mm for each unit of u
        let stretch = inlay.reference_radius_mm().unwrap_or(1.0);
        let cut = match strips.period {
            Some(_) => strips.cut(&[inlay.bearing]),
            None => strips.clone(),
        };
        let place = |index: usize| {
            let span = cut.span(index);
            let turns = match cut.period {
                Some(turn) => turn * ((span[0] - inlay.bearing + SAME_LINE) / turn).floor(),
                None => 0.0,
            };
            (span.map(|u| (u - turns) * stretch), cut.strips[index].clone())
        };
        let mut laid: Vec<_> = (0..cut.strips.len()).map(place).collect();
        laid.sort_by(|a, b| a.0[0].total_cmp(&b.0[0]));
        let inked = [laid.first()?.0[0], laid.last()?.0[1]];
        // On a flat face the repeats begin and end before and behind their ink.
        let ends = match (&inlay.surface, &inlay.pattern) {
            (Surface::Flat { width_mm: [a, b], .. }, Pattern::Chart { .. }) => {
                [inlay.bearing, inlay.bearing + b - a]
            }
            (Surface::Flat { .. }, Pattern::Tile { width_mm, repeats, .. }) => {
                [inlay.bearing, inlay.bearing + width_mm * f64::from(*repeats)]
            }
            _ => inked,
        };
        Some(Laid { strips: laid, ends })
    }

    /// The corners of all bars.
    fn bars(&self) -> Vec<Vec<Point>> {
        let each = self.strips.iter().flat_map(|(span, bars)| bars.iter().map(move |b| (span, b)));
        each.map(|([a, b], bar)| {
            let corners =
                [(a, bar.bottom[0]), (b, bar.bottom[1]), (b, bar.top[1]), (a, bar.top[0])];
            corners.map(|(x, z)| Point::new(*x, z)).to_vec()
        })
        .collect()
    }

    /// All sides of the pattern: undersides, upper sides, and upright ones where
    /// material lies on one side of a line only.
    fn outline(&self) -> Vec<[Point; 2]> {
        let mut sides = Vec::new();
        for ([a, b], bars) in &self.strips {
            for side in bars.iter().flat_map(|bar| [bar.bottom, bar.top]) {
                sides.push([Point::new(*a, side[0]), Point::new(*b, side[1])]);
            }
        }
        let ends = |bars: &[Interval], side: usize| -> Vec<f64> {
            bars.iter().flat_map(|i| [i.bottom[side], i.top[side]]).collect()
        };
        for pair in self.strips.windows(2) {
            let [(_, before), ([x, _], after)] = pair else { continue };
            let mut heights = [ends(before, 1), ends(after, 0)].concat();
            heights.sort_by(f64::total_cmp);
            // Between an odd and an even end, one of both sides is material.
            for pair in heights.chunks_exact(2).filter(|p| p[1] - p[0] > 1e-9) {
                sides.push([Point::new(*x, pair[0]), Point::new(*x, pair[1])]);
            }
        }
        sides
    }
}

fn draw_band(
    svg: &mut Svg,
    (part, inlay, strips): (&Part, &Inlay, &Strips),
    [low, high]: [f64; 2],
) {
    let Some(([bottom, top], laid)) = height_span(strips).zip(Laid::of(inlay, strips)) else {
        return;
    };
    let [first, last] = laid.ends;
    let room = (high - low - ROUND_MM).max(1.0);
    let most = (BANDS.width() / (last - first)).min(room / (top - bottom));
    let (scale, factor) = scale_below(most);
    let left = (BANDS.low.x + BANDS.high.x - (last - first) * factor) / 2.0;
    let base = low + 9.0 + (room - (top - bottom) * factor) / 2.0;
    let origin = Point::new(left - first * factor, base - bottom * factor);
    let place = Place { origin, scale: factor };
    let [r, g, b] = part.material.colour.map(|c| 255 - (255 - u16::from(c)) * 2 / 5);
    // A hair of a line, so that neighbours leave no seam.
    let paint =
        format!("fill=\"rgb({r},{g},{b})\" stroke=\"rgb({r},{g},{b})\" stroke-width=\".05\"");
    svg.polygons(&place.put_all(&laid.bars()), true, &paint);
    svg.open("thick");
    svg.polygons(&place.put_all(&edges::chained(laid.outline())), false, "");
    svg.close();
    let corners = [Point::new(first, bottom), Point::new(last, bottom), Point::new(last, top)];
    let corners = corners.map(|p| place.put(p));
    let up = Point::new(0.0, 1.0);
    let line = Point::new(corners[1].x + 5.0, 0.0);
    linear(svg, [corners[1], corners[2]], line, up, &figure(top - bottom));
    repeats(svg, inlay, (first, last), [bottom, top], &place);
    let title = format!("{} unrolled ({}){}", part.name, scale_text(scale), words(inlay));
    svg.text(&title, Point::new(corners[0].x, corners[2].y + 2.4), 2.5, (Anchor::Start, false));
}

fn words(inlay: &Inlay) -> String {
    let repeats = match &inlay.pattern {
        Pattern::Chart { repeats, .. } | Pattern::Tile { repeats, .. } => *repeats,
        Pattern::Figure { .. } => 1,
    };
    let mut text = String::new();
    if repeats > 1 {
        text.push_str(&format!(", {repeats} repeats"));
    }
    if let Some(radius) = inlay.radius_at(inlay.level_mm) {
        let across = figure(2.0 * radius);
        text.push_str(&match inlay.sides() {
            Some(_) => format!(", at {across} {FLATS}"),
            None => format!(", at Ø{across}"),
        });
    }
    if let Some(slit) = inlay.slit {
        text.push_str(&format!(", slit {}", figure(slit.width_mm)));
    }
    text
}

/// Limits of the repeats, the length of one and of all.
fn repeats(
    svg: &mut Svg,
    inlay: &Inlay,
    (first, last): (f64, f64),
    [bottom, top]: [f64; 2],
    place: &Place,
) {
    let repeats = match &inlay.pattern {
        Pattern::Chart { repeats, .. } | Pattern::Tile { repeats, .. } => f64::from(*repeats),
        Pattern::Figure { .. } => 1.0,
    };
    let right = Point::new(1.0, 0.0);
    let below = |by: f64| Point::new(0.0, place.put(Point::new(0.0, bottom)).y - by);
    let ends = [first, last].map(|x| place.put(Point::new(x, bottom)));
    linear(svg, ends, below(6.5), right, &figure(last - first));
    let pitch = (last - first) / repeats;
    if repeats < 2.0 {
        return;
    }
    svg.open("axis");
    let beyond = Point::new(0.0, 1.2);
    let mut x = first;
    while x < last + pitch * 1e-6 {
        let line = [bottom, top].map(|z| place.put(Point::new(x, z)));
        svg.stroke(line[0] - beyond, line[1] + beyond, "");
        x += pitch;
    }
    svg.close();
}

/// Lowest and highest z of the material, mm; none where there is none.
fn height_span(strips: &Strips) -> Option<[f64; 2]> {
    let heights = strips.strips.iter().flatten().flat_map(|i| i.bottom.into_iter().chain(i.top));
    heights.fold(None, |span, z| {
        let [low, high] = span.unwrap_or([z, z]);
        Some([low.min(z), high.max(z)])
    })
}
