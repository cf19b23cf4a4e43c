//! SVG in plain writing: one element a line, numbers in mm with three decimals; beside it the
//! same marks for pixels.

use super::super::view::Pixels;
use super::raster::{self, Mark, Stroke};
use crate::plane::{Curve, Point, Stretch, Track, letters};
use std::fmt::Write;

/// Drawings tell places to a thousandth of a millimetre of the sheet.
const STEPS: f64 = 1000.0;

/// How far pixels may cut a corner of an arc, mm.
const SAGITTA_MM: f64 = 0.005;

/// A sheet that grows: y upwards here, as in the model; downwards in the file.
#[derive(Debug)]
pub(super) struct Svg {
    body: String,
    width_mm: f64,
    height_mm: f64,
    marks: Vec<Mark>,
    /// How marks look in the groups that are open, the innermost last.
    looks: Vec<Look>,
}

/// How marks look, as the style sheet of drawings says it.
#[derive(Clone, Debug, Default)]
struct Look {
    fill: Option<[u8; 3]>,
    stroke: Option<Stroke>,
    clip: Option<(Point, f64)>,
}

impl Look {
    /// With what attributes say: a class, and paint that goes before it.
    fn with(&self, attributes: &str) -> Look {
        let value = |name: &str| {
            let (_, rest) = attributes.split_once(&format!("{name}=\""))?;
            Some(rest.split_once('"')?.0)
        };
        let mut look = self.clone();
        match value("class") {
            Some("paper" | "cut") => (look.fill, look.stroke) = (Some([255; 3]), None),
            Some("solid") => (look.fill, look.stroke) = (Some([0; 3]), None),
            Some(class) => {
                let (width_mm, dash_mm) = match class {
                    "thick" => (0.35, vec![]),
                    "axis" => (0.18, vec![4.3, 0.6, 0.1, 0.6]),
                    "phantom" => (0.18, vec![2.2, 0.6]),
                    _ => (0.18, vec![]),
                };
                look.fill = None;
                look.stroke = Some(Stroke { colour: [0; 3], width_mm, dash_mm });
            }
            None => {}
        }
        if let Some(fill) = value("fill") {
            look.fill = colour(fill);
        }
        if let Some(paint) = value("stroke").and_then(colour) {
            look.stroke = Some(Stroke { colour: paint, width_mm: 0.18, dash_mm: Vec::new() });
        }
        if let Some(stroke) = &mut look.stroke {
            if let Some(width_mm) = value("stroke-width").and_then(|w| w.parse().ok()) {
                stroke.width_mm = width_mm;
            }
            if let Some(dashes) = value("stroke-dasharray") {
                stroke.dash_mm = dashes.split(' ').filter_map(|d| d.parse().ok()).collect();
            }
        }
        look
    }
}

/// `rgb(1,2,3)`
fn colour(text: &str) -> Option<[u8; 3]> {
    let inside = text.strip_prefix("rgb(")?.strip_suffix(')')?;
    let parts: Vec<u8> = inside.split(',').filter_map(|c| c.trim().parse().ok()).collect();
    parts.try_into().ok()
}

/// How text stands on its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Anchor {
    Start,
    Middle,
}

impl Svg {
    pub fn new(width_mm: f64, height_mm: f64) -> Self {
        let (marks, looks) = (Vec::new(), vec![Look::default()]);
        Svg { body: String::new(), width_mm, height_mm, marks, looks }
    }

    /// A number as the file writes it.
    pub fn number(value: f64) -> String {
        let rounded = (value * STEPS).round() / STEPS;
        // -0 would be written as such
        if rounded == 0.0 || !rounded.is_finite() { "0".into() } else { format!("{rounded}") }
    }

    fn place(&self, p: Point) -> String {
        format!("{} {}", Self::number(p.x), Self::number(self.height_mm - p.y))
    }

    /// Opens a group of one class.
    pub fn open(&mut self, class: &str) {
        self.group(&format!("class=\"{class}\""));
        self.body.push('\n');
    }

    fn group(&mut self, attributes: &str) {
        self.body.push_str(&format!("<g {attributes}>"));
        self.looks.push(self.look(attributes));
    }

    /// How a mark with these attributes looks here.
    fn look(&self, attributes: &str) -> Look {
        self.looks.last().cloned().unwrap_or_default().with(attributes)
    }

    fn mark(&mut self, runs: Vec<Vec<Point>>, closed: bool, attributes: &str) {
        let Look { fill, stroke, clip } = self.look(attributes);
        self.marks.push(Mark { runs, closed, fill, stroke, clip });
    }

    /// Closes it.
    pub fn close(&mut self) {
        self.line("</g>");
        self.looks.pop();
    }

    /// One line of the file, as it is.
    pub fn line(&mut self, text: &str) {
        self.body.push_str(text);
        self.body.push('\n');
    }

    /// The data of a path through tracks, each closed where it ends at its start.
    fn data(&self, tracks: &[Track]) -> String {
        let mut data = String::new();
        for track in tracks {
            // Writing to a text cannot fail.
            let _ = write!(data, "M{}", self.place(track.start));
            for stretch in track.stretches() {
                let to = self.place(stretch.to);
                match (stretch.curve, stretch.radius()) {
                    (Curve::Arc { anticlockwise, .. }, Some(radius)) => {
                        // y runs downwards in the file: anticlockwise is sweep 0
                        let sweep = u8::from(!anticlockwise);
                        let r = Self::number(radius);
                        let _ = write!(data, "A{r} {r} 0 0 {sweep} {to}");
                    }
                    _ => {
                        let _ = write!(data, "L{to}");
                    }
                }
            }
            if track.is_closed() {
                data.push('Z');
            }
        }
        data
    }

    /// Tracks in one path, with further attributes.
    pub fn tracks(&mut self, tracks: &[Track], attributes: &str) {
        if !tracks.is_empty() {
            let data = self.data(tracks);
            self.path(&data, attributes);
            self.mark(tracks.iter().map(flattened).collect(), false, attributes);
        }
    }

    fn path(&mut self, data: &str, attributes: &str) {
        let gap = if attributes.is_empty() { "" } else { " " };
        self.line(&format!("<path d=\"{data}\"{gap}{attributes}/>"));
    }

    /// Straight lines between points; closed ones as areas.
    pub fn polygons(&mut self, loops: &[Vec<Point>], closed: bool, attributes: &str) {
        let mut data = String::new();
        for points in loops.iter().filter(|l| l.len() > 1) {
            for (i, p) in points.iter().enumerate() {
                data.push(if i == 0 { 'M' } else { 'L' });
                data.push_str(&self.place(*p));
            }
            if closed {
                data.push('Z');
            }
        }
        if !data.is_empty() {
            self.path(&data, attributes);
            self.mark(loops.to_vec(), closed, attributes);
        }
    }

    /// One straight line.
    pub fn stroke(&mut self, from: Point, to: Point, attributes: &str) {
        self.polygons(&[vec![from, to]], false, attributes);
    }

    /// A circle.
    pub fn circle(&mut self, centre: Point, radius_mm: f64, attributes: &str) {
        let [x, y] = [centre.x, self.height_mm - centre.y].map(Self::number);
        let r = Self::number(radius_mm);
        self.line(&format!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" {attributes}/>"));
        let [east, west] = [1.0, -1.0].map(|side| centre + Point::new(side * radius_mm, 0.0));
        let halves = [(east, west), (west, east)].map(|(a, b)| Stretch::arc(a, b, centre, true));
        let round = halves.iter().flat_map(|half| half.points(SAGITTA_MM)).collect();
        self.mark(vec![round], true, attributes);
    }

    /// Text in our own letters; returns its width, mm. `turned` reads upwards.
    pub fn text(&mut self, text: &str, at: Point, height_mm: f64, how: (Anchor, bool)) -> f64 {
        let laid = lettering(text, height_mm);
        let before = match how.0 {
            Anchor::Start => 0.0,
            Anchor::Middle => laid.width_mm / 2.0,
        };
        let turn = |p: Point| if how.1 { Point::new(-p.y, p.x) } else { p };
        let map = |p: Point| at + turn(p - Point::new(before, 0.0));
        let tracks: Vec<Track> = laid.tracks.iter().map(|t| mapped(t, map)).collect();
        let wide = Self::number(height_mm / 10.0);
        let label = escape(text);
        self.group(&format!("class=\"text\" stroke-width=\"{wide}\""));
        self.line(&format!("<title>{label}</title>"));
        self.tracks(&tracks, "");
        self.close();
        laid.width_mm
    }

    /// A line of text from its start, in smaller letters where it would be longer than that.
    pub fn text_within(&mut self, text: &str, at: Point, height_mm: f64, most_mm: f64) {
        let width = lettering(text, height_mm).width_mm;
        self.text(text, at, height_mm * (most_mm / width).min(1.0), (Anchor::Start, false));
    }

    /// Text on paper of its own, so that hatching does not run through it.
    pub fn text_on_hatch(&mut self, text: &str, at: Point, height_mm: f64) {
        let width = lettering(text, height_mm).width_mm;
        let (low, high) =
            (at - Point::new(0.6, 0.6), at + Point::new(width + 0.6, height_mm + 0.6));
        let corners = vec![low, Point::new(high.x, low.y), high, Point::new(low.x, high.y)];
        self.polygons(&[corners], true, "class=\"paper\"");
        self.text(text, at, height_mm, (Anchor::Start, false));
    }

    /// What follows until `close` is seen inside a circle only; `id` names it.
    pub fn open_clipped(&mut self, id: &str, centre: Point, radius_mm: f64) {
        self.line(&format!("<clipPath id=\"{id}\">"));
        let [x, y] = [centre.x, self.height_mm - centre.y].map(Self::number);
        let r = Self::number(radius_mm);
        self.line(&format!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" />\n</clipPath>"));
        self.group(&format!("clip-path=\"url(#{id})\""));
        self.body.push('\n');
        if let Some(look) = self.looks.last_mut() {
            look.clip = Some((centre, radius_mm));
        }
    }

    /// The same as pixels.
    pub fn pixels(&self) -> Pixels {
        raster::pixels(&self.marks, [self.width_mm, self.height_mm])
    }

    /// The whole file. `style` is CSS.
    pub fn finish(self, title: &str, style: &str) -> String {
        let (w, h) = (Self::number(self.width_mm), Self::number(self.height_mm));
        let title = escape(title);
        format!(
            "<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n\
             <svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{w}mm\" height=\"{h}mm\" \
             viewBox=\"0 0 {w} {h}\">\n<title>{title}</title>\n<style>\n{style}</style>\n\
             <rect class=\"paper\" width=\"{w}\" height=\"{h}\"/>\n{}</svg>\n",
            self.body
        )
    }
}

/// A text in our letters; one that the alphabet has not becomes a small box, so that
/// a drawing never fails for the name of a part.
pub(super) fn lettering(text: &str, height_mm: f64) -> letters::Lettering {
    let known: String = text.chars().map(|c| if letters::has(c) { c } else { '▯' }).collect();
    letters::layout(&known, height_mm).unwrap_or_default()
}

/// A track as straight lines; a closed one returns to its start.
fn flattened(track: &Track) -> Vec<Point> {
    let rest = track.stretches().flat_map(|stretch| stretch.points(SAGITTA_MM));
    std::iter::once(track.start).chain(rest).collect()
}

/// Every point through a map that keeps circles and their sense.
fn mapped(track: &Track, map: impl Fn(Point) -> Point) -> Track {
    let mut moved = track.clone();
    moved.start = map(moved.start);
    for segment in &mut moved.segments {
        segment.to = map(segment.to);
        if let Curve::Arc { centre, .. } = &mut segment.curve {
            *centre = map(*centre);
        }
    }
    moved
}

/// Text between tags or quotes of XML. Characters that XML 1.0 forbids are left out.
pub(super) fn escape(text: &str) -> String {
    let mut out = String::new();
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            c if c.is_control() => out.push(' '),
            '\u{fffe}' | '\u{ffff}' => {}
            c => out.push(c),
        }
    }
    out
}
