//! Enlarged details: each seat, lid and fit of a pair, cut square to where it fits.

use super::super::section::{Contour, Frame, contours};
use super::dimension::{self, figure};
use super::sight::Sight;
use super::svg::Svg;
use super::views::{Drawn, NOTE_MM, cut_face};
use super::{DETAILS, Place, Subject, scale_below, scale_text, sight};
use crate::fit::GapFit;
use crate::mesh::FaceKind;
use crate::model::vector::{cross, dot};
use crate::model::{PartId, Vector};
use crate::plane::Point;

/// Radius of a detail on the sheet, mm; two in a row.
const RADIUS_MM: f64 = 25.0;

/// Distance of details on the sheet, and of rows, with room for captions, mm.
const PITCH_MM: [f64; 2] = [55.0, 73.0];

/// What is written to a detail ends before the next one, mm.
const LONGEST_MM: f64 = 52.0;

/// How many the sheet has room for.
const MOST: usize = 6;

/// One detail before it is drawn.
pub(super) struct Detail {
    pub frame: Frame,
    /// Middle of what is shown.
    pub at: Vector,
    /// What must be inside, mm.
    reach_mm: f64,
    pub parts: [PartId; 2],
    pub title: String,
    /// The fit's least gap, and whether faces of the seat are tagged.
    gap_mm: f64,
    is_seat: bool,
    /// Whether it looks alike in every plane through the axis.
    is_round: bool,
    notes: Vec<String>,
}

/// Draws them; says what found no place.
pub(super) fn draw(svg: &mut Svg, subject: &Subject<'_>, drawn: &Drawn) -> Option<String> {
    let all = all(subject);
    for (index, detail) in all.iter().take(MOST).enumerate() {
        let [column, row] = [index % 2, index / 2];
        let centre = Point::new(
            DETAILS.low.x + RADIUS_MM + 1.0 + PITCH_MM[0] * column as f64,
            DETAILS.high.y - 9.0 - RADIUS_MM - PITCH_MM[1] * row as f64,
        );
        let letter = char::from(b'B' + index as u8);
        detail.draw(svg, subject, centre, letter);
        detail.mark(svg, drawn, letter);
    }
    let more = all.len().saturating_sub(MOST);
    (more > 0).then(|| format!("{more} more fits are not shown as details"))
}

/// One for each seat, lid and pair.
pub(super) fn all(subject: &Subject<'_>) -> Vec<Detail> {
    let mut all: Vec<Detail> = seats(subject).chain(lids(subject)).chain(pairs(subject)).collect();
    all.retain(|detail| subject.shows(&detail.parts));
    all
}

fn seats<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = Detail> + 'a {
    subject.fits.seats.iter().flatten().filter_map(|fit| {
        let part = subject.model.parts.get(fit.inlay.0)?;
        let host = subject.model.parts.get(fit.host.0)?;
        let Sight { frame, at } = sight::of_inlay(&part.body)?;
        let depth = fit.depth_mm;
        let out = frame.right;
        // Square to the surface, halfway to the floor of the pocket.
        let level = out[2].abs() < 0.9;
        let into = if level { out } else { frame.up };
        let middle = [0, 1, 2].map(|i| at[i] - into[i] * depth / 2.0);
        let mut notes = gap_notes(&fit.gap);
        notes.push(format!("depth {}", figure(depth)));
        if let Some(ceiling) = fit.ceiling {
            let steepest = crate::quantity::decimals(ceiling.steepest_deg, 2);
            notes.push(format!("ceiling {steepest}° from the vertical"));
        }
        Some(Detail {
            frame,
            at: middle,
            reach_mm: depth * 1.15,
            parts: [fit.host, fit.inlay],
            title: format!("{} in {}", part.name, host.name),
            gap_mm: fit.gap.least_mm,
            is_seat: true,
            is_round: false,
            notes,
        })
    })
}

fn lids<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = Detail> + 'a {
    subject.fits.lids.iter().flatten().filter_map(|fit| {
        let lid = subject.model.parts.get(fit.lid.0)?;
        let host = subject.model.parts.get(fit.host.0)?;
        let closure = subject.model.closures.get(fit.closure)?;
        let [x, y, z] = fit.gap.least_at_mm;
        let far = (x * x + y * y).sqrt();
        let plane = if far > 1e-6 { [x / far, y / far] } else { [1.0, 0.0] };
        // The mouth's edge and the gap below it, with some of the wall.
        let level = if (z - closure.mouth_mm).abs() < 2.2 { z } else { closure.mouth_mm - 0.8 };
        Some(Detail {
            frame: Frame::upright(plane),
            at: [x, y, level],
            reach_mm: 2.4,
            parts: [fit.host, fit.lid],
            title: format!("{} on {}", lid.name, host.name),
            gap_mm: fit.gap.least_mm,
            is_seat: false,
            // Lids of round mouths look alike all round.
            is_round: true,
            notes: {
                let mut notes = gap_notes(&fit.gap);
                notes.push(format!("engagement {}", figure(fit.engagement_mm)));
                notes
            },
        })
    })
}

fn pairs<'a>(subject: &'a Subject<'_>) -> impl Iterator<Item = Detail> + 'a {
    subject.fits.pairs.iter().filter_map(|fit| {
        let inner = subject.model.parts.get(fit.inner.0)?;
        let outer = subject.model.parts.get(fit.outer.0)?;
        let along = subject.model.fits.get(fit.fit)?.along;
        let at = fit.gap.least_at_mm;
        let mut notes = gap_notes(&fit.gap);
        notes.push(format!("at {}", at.map(figure).join(", ")));
        if let Some(way) = subject.fits.way_of(fit.inner, fit.outer) {
            notes.push(match &way.caught {
                None => format!("comes out over {}", figure(way.travel_mm)),
                Some(caught) => format!("is caught after {}", figure(caught.after_mm)),
            });
        }
        Some(Detail {
            frame: across(fit.gap.least_across_mm, along, at)?,
            at,
            reach_mm: f64::max(2.4, 4.0 * fit.gap.least_mm),
            parts: [fit.outer, fit.inner],
            title: format!("{} in {}", inner.name, outer.name),
            gap_mm: fit.gap.least_mm,
            is_seat: false,
            is_round: false,
            notes,
        })
    })
}

/// A plane in which a gap shows its width: with the way out where that runs beside it, else
/// upright where it can be. Seen from the front, from the right or from above.
pub(super) fn across(gap: Vector, along: Option<Vector>, origin: Vector) -> Option<Frame> {
    let ways = along.into_iter().chain([[0.0, 0.0, 1.0], [1.0, 0.0, 0.0]]);
    let normal = ways.map(|way| unit(cross(gap, way))).find(|n| n.iter().any(|c| *c != 0.0))?;
    if normal[2].abs() > 0.999 {
        return Some(Frame { origin, right: [1.0, 0.0, 0.0], up: [0.0, 1.0, 0.0] });
    }
    // Towards the viewer is -y, +x where the plane looks to the side, +z.
    let sense = [-normal[1], normal[0], normal[2]].into_iter().find(|c| c.abs() > 1e-9)?;
    let toward = normal.map(|c| c * sense.signum());
    let right = unit(cross([0.0, 0.0, 1.0], toward));
    Some(Frame { origin, right, up: cross(toward, right) })
}

/// Of length 1; the zero vector where there is as good as no length.
fn unit(a: Vector) -> Vector {
    let length = dot(a, a).sqrt();
    if length > 1e-9 { a.map(|c| c / length) } else { [0.0; 3] }
}

fn gap_notes(gap: &GapFit) -> Vec<String> {
    vec![
        format!("gap a side: asked {}", figure(gap.asked_mm)),
        format!("least {}, most {}", figure(gap.least_mm), figure(gap.most_mm)),
    ]
}

impl Detail {
    fn draw(&self, svg: &mut Svg, subject: &Subject<'_>, centre: Point, letter: char) {
        let (scale, factor) = scale_below(RADIUS_MM / self.reach_mm);
        let middle = self.frame.flat(self.at);
        let place = Place { origin: centre - middle * factor, scale: factor };
        let cuts: Vec<(PartId, Vec<Contour>)> = self
            .parts
            .iter()
            .filter_map(|p| Some((*p, contours(subject.mesh(*p)?, &self.frame))))
            .map(|(p, found)| (p, near(found, middle, 1.5 * RADIUS_MM / factor)))
            .collect();
        svg.open_clipped(&format!("detail{letter}"), centre, RADIUS_MM);
        for (part, found) in &cuts {
            cut_face(svg, found, &place, *part, false);
        }
        svg.close();
        svg.open("thin");
        svg.circle(centre, RADIUS_MM, "");
        svg.close();
        if let Some(pair) = self.gap_place(&cuts, middle, 0.85 * RADIUS_MM / factor) {
            dimension::gap(svg, pair.map(|p| place.put(p)), &figure(self.gap_mm));
        }
        let title = format!("{letter} ({})  {}", scale_text(scale), self.title);
        let above = centre + Point::new(-RADIUS_MM, RADIUS_MM + 2.5);
        svg.text_within(&title, above, 3.5, LONGEST_MM);
        for (i, note) in self.notes.iter().enumerate() {
            let below = centre - Point::new(RADIUS_MM, RADIUS_MM + 4.6 + 4.4 * i as f64);
            svg.text_within(note, below, NOTE_MM, LONGEST_MM);
        }
    }

    /// A circle and the letter on the half section, where that shows the place.
    fn mark(&self, svg: &mut Svg, drawn: &Drawn, letter: char) {
        let same = (0..3).all(|i| (self.frame.right[i] - drawn.frame.right[i]).abs() < 1e-9);
        let upright = self.frame.up[2] > 0.999;
        let in_plane = drawn.frame.height(self.at).abs() < 1e-6;
        let is_cut = self.is_seat || drawn.frame.flat(self.at).x >= 0.0;
        if !((self.is_round && upright) || (same && upright && in_plane && is_cut)) {
            return;
        }
        let at = drawn.place.put(self.frame.flat(self.at));
        let (_, factor) = scale_below(RADIUS_MM / self.reach_mm);
        let radius = (RADIUS_MM / factor * drawn.place.scale).max(2.0);
        svg.open("thin");
        svg.circle(at, radius, "");
        svg.close();
        let name = at + Point::new(radius * 0.8 + 0.8, radius * 0.8 + 0.8);
        svg.text_on_hatch(&letter.to_string(), name, 3.5);
    }

    /// Two facing points of both parts that are as far apart as the fit's least gap.
    fn gap_place(
        &self,
        cuts: &[(PartId, Vec<Contour>)],
        middle: Point,
        reach: f64,
    ) -> Option<[Point; 2]> {
        let [(_, host), (inlay, laid)] = cuts else { return None };
        let fits = |tag: crate::mesh::Tag| {
            let kind = matches!(tag.kind(), FaceKind::Flank | FaceKind::Ceiling);
            !self.is_seat || (kind && tag.owner() == Some(inlay.0))
        };
        let sides = |found: &[Contour]| -> Vec<[Point; 2]> {
            let all = found.iter().flat_map(Contour::sides);
            all.filter(|(_, _, tag)| fits(*tag)).map(|(a, b, _)| [a, b]).collect()
        };
        let (host, laid) = (sides(host), sides(laid));
        let mut best: Option<(f64, [Point; 2])> = None;
        for a in &laid {
            for b in &host {
                let Some(pair) = facing(a, b, middle) else { continue };
                let between = (pair[0] + pair[1]) * 0.5;
                let off = (pair[0].distance(pair[1]) - self.gap_mm).abs();
                let inside = between.distance(middle) < reach;
                let alike = off < 0.1 * self.gap_mm + 0.002;
                if inside && alike && best.is_none_or(|(known, _)| off < known - 1e-4) {
                    best = Some((off, pair));
                }
            }
        }
        best.map(|(_, pair)| pair)
    }
}

/// Contours of which something lies within `reach` of a point.
fn near(found: Vec<Contour>, middle: Point, reach: f64) -> Vec<Contour> {
    let is_near = |c: &Contour| {
        let x = c.points.iter().map(|p| p.x - middle.x);
        let y = c.points.iter().map(|p| p.y - middle.y);
        let (low_x, high_x) = x.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        let (low_y, high_y) = y.fold((f64::MAX, f64::MIN), |(l, h), v| (l.min(v), h.max(v)));
        low_x < reach && high_x > -reach && low_y < reach && high_y > -reach
    };
    found.into_iter().filter(is_near).collect()
}

/// A point on each of two sides where they face each other square: of the stretch
/// over which they run side by side, the place nearest to `wanted`.
fn facing(a: &[Point; 2], b: &[Point; 2], wanted: Point) -> Option<[Point; 2]> {
    let along = (a[1] - a[0]).unit();
    let way = (b[1] - b[0]).unit();
    // Facing sides of two bodies run against each other.
    if along.dot(way) > -0.996 {
        return None;
    }
    let share = |p: Point| (p - a[0]).dot(along);
    let (low, high) = (share(b[1]).max(0.0), share(b[0]).min(a[0].distance(a[1])));
    if high - low < 0.02 {
        return None;
    }
    let on_a = a[0] + along * share(wanted).clamp(low, high);
    let on_b = b[0] + way * (on_a - b[0]).dot(way);
    // The gap lies outside: to the right of the side, for material is to its left.
    ((on_b - on_a).dot(along.left()) < 0.0).then_some([on_a, on_b])
}
