//! What is painted, and how: the properties of SVG that an outline can follow.

use super::numbers::{length, list};
use super::{Fault, Kind};
use roxmltree::Node;
use std::ops::Range;

/// Properties that are handed down to what stands inside.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Style {
    pub(super) fill: bool,
    pub(super) even_odd: bool,
    pub(super) stroke: bool,
    /// User units.
    pub(super) width: f64,
    pub(super) cap: Cap,
    pub(super) join: Join,
    /// Longest mitre as a ratio of the width.
    pub(super) limit: f64,
    pub(super) hidden: bool,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Cap {
    Butt,
    Round,
    Square,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Join {
    Mitre,
    Round,
    Bevel,
}

/// The values that the standard gives where nothing is said.
pub(super) const USUAL: Style = Style {
    fill: true,
    even_odd: false,
    stroke: false,
    width: 1.0,
    cap: Cap::Butt,
    join: Join::Mitre,
    limit: 4.0,
    hidden: false,
};

/// Properties that change what is painted in ways no outline follows.
const UNUSABLE: [&str; 10] = [
    "clip-path",
    "filter",
    "marker",
    "marker-end",
    "marker-mid",
    "marker-start",
    "mask",
    "stroke-dasharray",
    "transform-origin",
    "vector-effect",
];

/// A property where it stands.
struct Property<'t> {
    name: &'t str,
    value: &'t str,
    at: Range<usize>,
}

/// The style of an element inside one of style `outer`; none where it is not displayed.
pub(super) fn of(node: Node<'_, '_>, outer: Style) -> Result<Option<Style>, Fault> {
    let mut style = outer;
    let mut displayed = true;
    for property in properties(node) {
        displayed &= apply(&mut style, &property)?;
    }
    Ok(displayed.then_some(style))
}

/// Presentation attributes, then what `style` says, which counts more.
fn properties<'t>(node: Node<'t, '_>) -> Vec<Property<'t>> {
    let mut found = Vec::new();
    for attribute in node.attributes().filter(|a| a.namespace().is_none()) {
        if attribute.name() != "style" {
            let (name, value) = (attribute.name(), attribute.value().trim());
            found.push(Property { name, value, at: attribute.range() });
        }
    }
    if let Some(attribute) = node.attribute_node("style") {
        for declaration in attribute.value().split(';') {
            if let Some((name, value)) = declaration.split_once(':') {
                let (name, value) = (name.trim(), value.trim());
                found.push(Property { name, value, at: attribute.range() });
            }
        }
    }
    found
}

/// False where the element is not displayed.
fn apply(style: &mut Style, property: &Property<'_>) -> Result<bool, Fault> {
    let Property { name, value, .. } = property;
    let value = value.trim_end_matches("!important").trim();
    if UNUSABLE.contains(name) && !matches!(value, "none" | "0 0") {
        let what = format!("`{name}` cannot be followed in an outline");
        return Err(Fault::new(Kind::Unusable, what, property.at.clone()));
    }
    let bad = || {
        let what = format!("`{value}` is no value of `{name}` that is understood here");
        Fault::new(Kind::Malformed, what, property.at.clone())
    };
    if value == "inherit" {
        return Ok(true);
    }
    match *name {
        "fill" => style.fill = value != "none",
        "stroke" => style.stroke = value != "none",
        "fill-rule" => {
            style.even_odd = match value {
                "evenodd" => true,
                "nonzero" => false,
                _ => return Err(bad()),
            };
        }
        "stroke-width" => {
            style.width = length(value).filter(|w| *w >= 0.0).ok_or_else(bad)?;
        }
        "stroke-linecap" => {
            style.cap = match value {
                "butt" => Cap::Butt,
                "round" => Cap::Round,
                "square" => Cap::Square,
                _ => return Err(bad()),
            };
        }
        "stroke-linejoin" => {
            style.join = match value {
                "miter" => Join::Mitre,
                "round" => Join::Round,
                "bevel" => Join::Bevel,
                _ => return Err(bad()),
            };
        }
        "stroke-miterlimit" => {
            let limit = list(value).filter(|l| l.len() == 1 && l[0] >= 1.0);
            style.limit = limit.ok_or_else(bad)?[0];
        }
        "visibility" => style.hidden = value != "visible",
        "display" if value == "none" => return Ok(false),
        _ => {}
    }
    Ok(true)
}
