//! The sheet: size, viewBox, and `transform` lists.

use super::bends::Matrix;
use super::elements::tag;
use super::numbers::{PIXEL_MM, length, list};
use super::{FARTHEST_MM, Fault, Kind};
use crate::plane::Point;
use roxmltree::{Attribute, Node};

/// How user units lie on the sheet.
pub(super) struct Sheet {
    /// From user units to mm, y upwards.
    pub(super) matrix: Matrix,
    /// The middle of the sheet, mm; none where the file gives it no size.
    pub(super) middle_mm: Option<Point>,
}

/// Size and viewBox of the root element (SVG 1.1, 7.7 and 7.8). Without a size a unit is a
/// pixel.
pub(super) fn of(root: Node<'_, '_>) -> Result<Sheet, Fault> {
    let size = [size(root, "width")?, size(root, "height")?];
    let view = match root.attribute_node("viewBox") {
        None => None,
        Some(attribute) => match list(attribute.value()).as_deref() {
            Some(&[x, y, w, h]) if w > 0.0 && h > 0.0 => Some([x, y, w, h]),
            _ => return Err(malformed(&attribute, "four numbers, the last two above 0")),
        },
    };
    let upright = Matrix::scale(PIXEL_MM, -PIXEL_MM);
    let Some([x, y, w, h]) = view else {
        let middle_mm = match size {
            [Some(width), Some(height)] => Some(upright.of(Point::new(width / 2.0, height / 2.0))),
            _ => None,
        };
        return Ok(Sheet { matrix: upright, middle_mm });
    };
    let stretched = root.attribute("preserveAspectRatio").is_some_and(|v| v.trim() == "none");
    let slice = root.attribute("preserveAspectRatio").is_some_and(|v| v.contains("slice"));
    let [across, up] = match size {
        [Some(width), Some(height)] if stretched => [width / w, height / h],
        [Some(width), Some(height)] if slice => [(width / w).max(height / h); 2],
        [Some(width), Some(height)] => [(width / w).min(height / h); 2],
        [Some(width), None] => [width / w; 2],
        [None, Some(height)] => [height / h; 2],
        [None, None] => [1.0; 2],
    };
    let matrix = upright.after(Matrix::scale(across, up));
    let middle = matrix.of(Point::new(x + w / 2.0, y + h / 2.0));
    if !(middle.length() < FARTHEST_MM && across > 0.0 && up > 0.0) {
        let what = "the sheet of the drawing is too large or too small";
        return Err(Fault::new(Kind::TooMuch, what, tag(root)));
    }
    Ok(Sheet { matrix, middle_mm: Some(middle) })
}

/// A size in pixels; none where it is missing or a share of whatever surrounds it.
fn size(root: Node<'_, '_>, name: &str) -> Result<Option<f64>, Fault> {
    let Some(attribute) = root.attribute_node(name) else { return Ok(None) };
    let value = attribute.value().trim();
    if value.ends_with('%') || value == "auto" {
        return Ok(None);
    }
    match length(value).filter(|v| *v > 0.0 && *v < FARTHEST_MM) {
        Some(pixels) => Ok(Some(pixels)),
        None => Err(malformed(&attribute, "a length above 0")),
    }
}

pub(super) fn malformed(attribute: &Attribute<'_, '_>, wants: &str) -> Fault {
    let what = format!("`{}` wants {wants}", attribute.name());
    Fault::new(Kind::Malformed, what, attribute.range())
}

/// The matrix of a `transform` attribute (SVG 1.1, 7.6).
pub(super) fn transform(node: Node<'_, '_>) -> Result<Matrix, Fault> {
    let Some(attribute) = node.attribute_node("transform") else { return Ok(Matrix::NONE) };
    let bad = || malformed(&attribute, "translate, scale, rotate, skewX, skewY or matrix");
    let mut whole = Matrix::NONE;
    let mut rest = attribute.value().trim();
    while !rest.is_empty() {
        let (name, behind) = rest.split_once('(').ok_or_else(bad)?;
        let (numbers, behind) = behind.split_once(')').ok_or_else(bad)?;
        let numbers = list(numbers).ok_or_else(bad)?;
        let turned = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            Matrix([cos, sin, -sin, cos, 0.0, 0.0])
        };
        let one = match (name.trim(), numbers.as_slice()) {
            ("matrix", &[a, b, c, d, e, f]) => Matrix([a, b, c, d, e, f]),
            ("translate", &[x]) => Matrix::shift(x, 0.0),
            ("translate", &[x, y]) => Matrix::shift(x, y),
            ("scale", &[both]) => Matrix::scale(both, both),
            ("scale", &[x, y]) => Matrix::scale(x, y),
            ("rotate", &[angle]) => turned(angle),
            ("rotate", &[angle, x, y]) => {
                Matrix::shift(x, y).after(turned(angle)).after(Matrix::shift(-x, -y))
            }
            ("skewX", &[angle]) => Matrix([1.0, 0.0, angle.to_radians().tan(), 1.0, 0.0, 0.0]),
            ("skewY", &[angle]) => Matrix([1.0, angle.to_radians().tan(), 0.0, 1.0, 0.0, 0.0]),
            _ => return Err(bad()),
        };
        whole = whole.after(one);
        rest = behind.trim_start().trim_start_matches(',').trim_start();
    }
    Ok(whole)
}
