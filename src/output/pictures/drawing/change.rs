//! A fit before and after a change, and what was added and removed: three sections of one place
//! side by side, at a scale at which a tenth of a millimetre is seen.

use super::super::section::{Contour, Frame, contours};
use super::detail::{self, Detail};
use super::svg::{Anchor, Svg};
use super::views::cut_face;
use super::{Place, Subject, hatch, scale_text};
use crate::mesh::Mesh;
use crate::model::PartId;
use crate::plane::Point;

/// One part on both sides; what is not there is none.
#[derive(Clone, Copy, Debug)]
pub struct ChangedPart<'a> {
    /// Its name on the new side.
    pub name: &'a str,
    /// The old body.
    pub before: Option<&'a Mesh>,
    /// The new body.
    pub after: Option<&'a Mesh>,
    /// What only the new body has.
    pub added: &'a Mesh,
    /// What only the old body has.
    pub removed: &'a Mesh,
}

/// 20:1 of ISO 5455: a tenth of a millimetre is 2 mm on the sheet.
const SCALE: [u32; 2] = [20, 1];

/// Radius of each view, mm, and the sheet round the three of them.
const RADIUS_MM: f64 = 42.0;
const PITCH_MM: f64 = 92.0;
const SHEET_MM: [f64; 2] = [3.0 * PITCH_MM, 122.0];

/// Distance of hatch lines of what was added, and of rows of dots of what was removed, mm.
const ADDED: hatch::Hatch = hatch::Hatch { along: [0.6, 0.8], apart_mm: 1.0 };
const REMOVED: hatch::Hatch = hatch::Hatch { along: [1.0, 0.0], apart_mm: 1.4 };

const STYLE: &str = "\
.paper{fill:#fff;stroke:none}
.thick,.thin,.text{fill:none;stroke:#000;stroke-linecap:round;stroke-linejoin:round}
.thick{stroke-width:.35}
.thin{stroke-width:.18}
.cut{fill:#fff;stroke:none}
.kept{fill:#e2e2dc;stroke:#000;stroke-width:.18}
.new{fill:#dbe7f7;stroke:#123f80;stroke-width:.35}
.gone{fill:#fbe6d8;stroke:#a33c00;stroke-width:.35;stroke-dasharray:2 .8}
.lines{fill:none;stroke:#123f80;stroke-width:.3}
.dots{fill:none;stroke:#a33c00;stroke-width:.65;stroke-linecap:round;stroke-dasharray:0 1.4}
";

/// The sheet as SVG; none where the new side has no such fit, or the text shows no place of it.
/// `fit` is `belt in jar`; none stands for the first fit.
pub(in super::super) fn svg(
    after: &Subject<'_>,
    fit: Option<&str>,
    parts: &[ChangedPart<'_>],
) -> Option<String> {
    let all = detail::all(after);
    let named = fit.and_then(|fit| all.iter().position(|d| d.title == fit));
    let detail = all.get(named.unwrap_or(0))?;
    let sheet = Sheet { detail, subject: after, parts };
    let mut svg = Svg::new(SHEET_MM[0], SHEET_MM[1]);
    sheet.view(&mut svg, 0, "before", |sheet, svg, place| sheet.one_side(svg, place, |p| p.before));
    sheet.view(&mut svg, 1, "after", |sheet, svg, place| sheet.one_side(svg, place, |p| p.after));
    sheet.view(&mut svg, 2, "difference", Sheet::difference);
    let title = format!("{}, section {}", detail.title, scale_text(SCALE));
    svg.text(&title, Point::new(4.0, SHEET_MM[1] - 8.0), 4.0, (Anchor::Start, false));
    let legend = "difference: grey both, hatched added, dotted with a dashed edge removed";
    svg.text(legend, Point::new(4.0, 5.0), 3.0, (Anchor::Start, false));
    scale_bar(&mut svg);
    Some(svg.finish(&title, STYLE))
}

/// A tenth of a millimetre, drawn.
fn scale_bar(svg: &mut Svg) {
    let long = 0.1 * f64::from(SCALE[0]);
    let at = Point::new(SHEET_MM[0] - 30.0, 5.0);
    svg.open("thick");
    svg.stroke(at, at + Point::new(long, 0.0), "");
    for end in [at, at + Point::new(long, 0.0)] {
        svg.stroke(end - Point::new(0.0, 0.8), end + Point::new(0.0, 0.8), "");
    }
    svg.close();
    svg.text("0.1 mm", at + Point::new(long + 2.0, -1.0), 3.0, (Anchor::Start, false));
}

struct Sheet<'a> {
    detail: &'a Detail,
    subject: &'a Subject<'a>,
    parts: &'a [ChangedPart<'a>],
}

impl Sheet<'_> {
    /// One round view with its caption.
    fn view(
        &self,
        svg: &mut Svg,
        column: usize,
        caption: &str,
        draw: impl Fn(&Self, &mut Svg, &Place),
    ) {
        let centre = Point::new(PITCH_MM * (column as f64 + 0.5), 14.0 + RADIUS_MM);
        let scale = f64::from(SCALE[0]) / f64::from(SCALE[1]);
        let middle = self.frame().flat(self.detail.at);
        let place = Place { origin: centre - middle * scale, scale };
        svg.open_clipped(&format!("view{column}"), centre, RADIUS_MM);
        draw(self, svg, &place);
        svg.close();
        svg.open("thin");
        svg.circle(centre, RADIUS_MM, "");
        svg.close();
        let above = centre + Point::new(0.0, RADIUS_MM + 2.5);
        svg.text(caption, above, 3.5, (Anchor::Middle, false));
    }

    fn frame(&self) -> &Frame {
        &self.detail.frame
    }

    /// The parts of the fit on both sides.
    fn pair(&self) -> impl Iterator<Item = (PartId, &ChangedPart<'_>)> {
        self.detail.parts.iter().filter_map(|id| {
            let name = &self.subject.model.parts.get(id.0)?.name;
            Some((*id, self.parts.iter().find(|p| p.name == name)?))
        })
    }

    fn cut(&self, mesh: &Mesh) -> Vec<Contour> {
        contours(mesh, self.frame())
    }

    fn one_side<'a>(
        &'a self,
        svg: &mut Svg,
        place: &Place,
        side: impl Fn(&'a ChangedPart<'a>) -> Option<&'a Mesh>,
    ) {
        for (id, part) in self.pair() {
            if let Some(mesh) = side(part) {
                cut_face(svg, &self.cut(mesh), place, id, false);
            }
        }
    }

    fn difference(&self, svg: &mut Svg, place: &Place) {
        let areas = |found: &[Contour]| -> Vec<Vec<Point>> {
            found.iter().map(|c| c.points.iter().map(|p| place.put(*p)).collect()).collect()
        };
        for mesh in self.pair().filter_map(|(_, part)| part.after) {
            svg.polygons(&areas(&self.cut(mesh)), true, "class=\"kept\" fill-rule=\"evenodd\"");
        }
        for (_, part) in self.pair() {
            let both =
                [(part.added, ADDED, "new", "lines"), (part.removed, REMOVED, "gone", "dots")];
            for (mesh, how, area, lines) in both {
                let found = self.cut(mesh);
                let class = format!("class=\"{area}\" fill-rule=\"evenodd\"");
                svg.polygons(&areas(&found), true, &class);
                let on_sheet: Vec<Contour> = found
                    .iter()
                    .map(|c| Contour {
                        points: c.points.iter().map(|p| place.put(*p)).collect(),
                        tags: c.tags.clone(),
                    })
                    .collect();
                let drawn = hatch::lines(&on_sheet, how).into_iter().map(|l| l.to_vec());
                svg.open(lines);
                svg.polygons(&drawn.collect::<Vec<_>>(), false, "");
                svg.close();
            }
        }
    }
}
