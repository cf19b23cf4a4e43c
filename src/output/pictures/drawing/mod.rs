//! Drawings: one sheet with elevation, half section, details of the fits, developed
//! bands, dimensions and title block.
//!
//! Line conventions and hatching after ISO 128, dimensions after ISO 129-1, scales after
//! ISO 5455, first-angle projection after ISO 5456-2, title block after ISO 7200: as
//! published practice, from memory of the standards.

mod band;
mod change;
mod chart;
mod depth;
mod detail;
mod dimension;
mod edges;
mod hatch;
mod raster;
mod sight;
mod svg;
#[cfg(test)]
mod tests;
mod title;
mod views;

pub use chart::{Chart, ChartLine, ChartPanel};

use super::scene::{AidKind, ShownAid};
use super::view::Pixels;
use crate::fit::Fits;
use crate::mesh::Mesh;
use crate::model::{Model, PartId};
use crate::plane::Point;
use crate::realise::Realised;
pub use change::ChangedPart;
pub(super) use change::svg as change_svg;
use svg::Svg;

/// What a drawing or a page shows.
#[derive(Clone, Copy, Debug)]
pub struct Subject<'a> {
    /// The design.
    pub model: &'a Model,
    /// Its finished parts.
    pub realised: &'a Realised,
    /// How they fit.
    pub fits: &'a Fits,
    /// What is printed with parts and taken off; only columns are drawn.
    pub aids: &'a [ShownAid],
    /// The digest of its source.
    pub digest: &'a str,
    /// The author's title; else the design's name stands for it.
    pub title: Option<&'a str>,
    /// The one part that is shown, with its own fits; none for the assembly.
    pub part: Option<PartId>,
    /// Which of how many sheets of the design this is.
    pub sheet: [usize; 2],
}

impl<'a> Subject<'a> {
    /// The title to show.
    pub fn title(&self) -> &'a str {
        self.title.unwrap_or(&self.model.name)
    }

    /// Whether what concerns these parts belongs on the sheet.
    fn shows(&self, parts: &[PartId]) -> bool {
        self.part.is_none_or(|part| parts.contains(&part))
    }

    /// The columns under a part.
    fn columns_of(&self, part: PartId) -> Option<&'a ShownAid> {
        let name = &self.model.parts.get(part.0)?.name;
        self.aids.iter().find(|aid| aid.kind == AidKind::Props && aid.of == *name)
    }

    /// The finished mesh of a part.
    pub fn mesh(&self, part: PartId) -> Option<&'a Mesh> {
        self.realised.parts.get(part.0)?.as_ref().map(|f| &*f.mesh)
    }

    /// What is drawn of all that could be made: the assembly, or the one part.
    fn drawn(&self) -> Vec<(PartId, &'a Mesh)> {
        let parts = self.model.parts.iter().enumerate();
        let drawn = parts.filter(|(i, part)| match self.part {
            Some(only) => only == PartId(*i),
            None => part.assembled,
        });
        drawn.filter_map(|(i, _)| Some((PartId(i), self.mesh(PartId(i))?))).collect()
    }
}

/// A part of the sheet, mm.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Area {
    low: Point,
    high: Point,
}

impl Area {
    const fn new(x: [f64; 2], y: [f64; 2]) -> Self {
        Area { low: Point::new(x[0], y[0]), high: Point::new(x[1], y[1]) }
    }

    fn width(&self) -> f64 {
        self.high.x - self.low.x
    }

    fn height(&self) -> f64 {
        self.high.y - self.low.y
    }
}

/// A3, landscape (ISO 216), its frame (ISO 5457: 20 mm at the binding edge, else 10),
/// and what goes where.
const SHEET_MM: [f64; 2] = [420.0, 297.0];
const FRAME: Area = Area::new([20.0, 410.0], [10.0, 287.0]);
const VIEWS: Area = Area::new([24.0, 296.0], [114.0, 283.0]);
const DETAILS: Area = Area::new([298.0, 408.0], [62.0, 285.0]);
const BANDS: Area = Area::new([28.0, 292.0], [58.0, 110.0]);
const NOTES: Area = Area::new([24.0, 226.0], [12.0, 52.0]);
const TITLE: Area = Area::new([230.0, 410.0], [10.0, 54.0]);

/// Line widths of ISO 128, group 0.35: 0.35 and 0.18 mm.
const STYLE: &str = "\
.paper{fill:#fff;stroke:none}
.thick,.thin,.axis,.phantom,.text{fill:none;stroke:#000;stroke-linecap:round;stroke-linejoin:round}
.thick{stroke-width:.35}
.thin{stroke-width:.18}
.axis{stroke-width:.18;stroke-dasharray:4.3 .6 .1 .6}
.phantom{stroke-width:.18;stroke-dasharray:2.2 .6}
.solid{fill:#000;stroke:none}
.cut{fill:#fff;stroke:none}
";

/// Where the origin of a view lies on the sheet, and how large it is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Place {
    origin: Point,
    scale: f64,
}

impl Place {
    fn put(&self, p: Point) -> Point {
        self.origin + p * self.scale
    }

    fn put_all(&self, runs: &[Vec<Point>]) -> Vec<Vec<Point>> {
        runs.iter().map(|r| r.iter().map(|p| self.put(*p)).collect()).collect()
    }
}

/// Scales of ISO 5455, from large to small, each as numbers of drawing and thing.
const SCALES: [[u32; 2]; 13] = [
    [50, 1],
    [20, 1],
    [10, 1],
    [5, 1],
    [2, 1],
    [1, 1],
    [1, 2],
    [1, 5],
    [1, 10],
    [1, 20],
    [1, 50],
    [1, 100],
    [1, 200],
];

/// The largest of the scales that is not above `most`.
fn scale_below(most: f64) -> ([u32; 2], f64) {
    let value = |s: [u32; 2]| f64::from(s[0]) / f64::from(s[1]);
    let fit = SCALES.iter().find(|s| value(**s) <= most).copied().unwrap_or([1, 200]);
    (fit, value(fit))
}

/// `5:1`
fn scale_text([drawing, thing]: [u32; 2]) -> String {
    format!("{drawing}:{thing}")
}

/// A chart as SVG.
pub(super) fn chart_svg(chart: &Chart) -> String {
    chart::svg(chart)
}

/// The sheet as SVG and as pixels.
pub(super) fn sheet(subject: &Subject<'_>) -> (String, Pixels) {
    let mut svg = Svg::new(SHEET_MM[0], SHEET_MM[1]);
    svg.open("thick");
    let (a, b) = (FRAME.low, FRAME.high);
    svg.polygons(&[vec![a, Point::new(b.x, a.y), b, Point::new(a.x, b.y)]], true, "");
    svg.close();
    let drawn = views::draw(&mut svg, subject);
    let details = detail::draw(&mut svg, subject, &drawn);
    let bands = band::draw(&mut svg, subject);
    let left_out: Vec<String> = [details, bands].into_iter().flatten().collect();
    title::draw(&mut svg, subject, &scale_text(drawn.scale), &left_out);
    let pixels = svg.pixels();
    (svg.finish(subject.title(), STYLE), pixels)
}
