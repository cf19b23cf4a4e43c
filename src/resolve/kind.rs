//! Kinds: what a parameter takes.

use crate::quantity::Dimension;
use crate::syntax::KindName;
use std::sync::Arc;

/// What a parameter or a field takes.
#[derive(Clone, Debug, PartialEq)]
pub enum Kind {
    /// Anything.
    Any,
    /// A number of this dimension.
    Number(Dimension),
    /// A whole number, within 1e-9.
    Count,
    /// A text.
    Text,
    /// yes or no
    YesNo,
    /// A point of two or three lengths.
    Point,
    /// A list.
    List,
    /// An outline in lengths.
    Outline,
    /// A solid, or a part's body.
    Solid,
    /// A motif.
    Motif,
    /// A treatment of an edge.
    Edge,
    /// A treatment of the corners of an outline; a bare length rounds them.
    Corner,
    /// A face.
    Face,
    /// A part.
    Part,
    /// A material.
    Material,
    /// One of these words, the author's.
    Choice(Vec<Arc<str>>),
    /// One of these words, the language's.
    Words(&'static [&'static str]),
    /// A length, or a plain number in tile units.
    Coordinate,
    /// Two coordinates.
    CoordinatePair,
    /// An outline in lengths or in tile units.
    Ink,
    /// An open or closed path.
    Line,
    /// An open path in lengths, or `none`.
    Path,
    /// An angle, or `none`.
    Ease,
    /// A length, or a length at an angle.
    Slit,
    /// An angle on round faces, a length on flat ones.
    Bearing,
    /// A length, or a ratio of the height.
    Weight,
    /// How the printed copy lies.
    Pose,
    /// A printer.
    Printer,
    /// A table of gaps.
    Gaps,
    /// A length, or the name of a gap in the printer's table.
    Gap,
    /// A length, or a grade of ISO 286-1.
    Tolerance,
    /// A colour.
    Colour,
    /// A direction.
    Way,
}

/// The kinds that an author can write.
static WRITTEN: [(&str, Kind); 21] = [
    ("length", Kind::Number(Dimension::LENGTH)),
    ("angle", Kind::Number(Dimension::ANGLE)),
    ("area", Kind::Number(Dimension::AREA)),
    ("volume", Kind::Number(Dimension::VOLUME)),
    ("mass", Kind::Number(Dimension::MASS)),
    ("ratio", Kind::Number(Dimension::NONE)),
    ("count", Kind::Count),
    ("text", Kind::Text),
    ("yes_no", Kind::YesNo),
    ("point", Kind::Point),
    ("list", Kind::List),
    ("outline", Kind::Outline),
    ("path", Kind::Path),
    ("solid", Kind::Solid),
    ("motif", Kind::Motif),
    ("edge", Kind::Edge),
    ("face", Kind::Face),
    ("part", Kind::Part),
    ("material", Kind::Material),
    ("choice", Kind::Choice(Vec::new())),
    ("gap", Kind::Gap),
];

/// The names of gaps in a printer's table.
pub const GAP_WORDS: &[&str] = &["snap", "slide", "press", "free"];

/// The grades of ISO 286-1 as words, from 1 up.
pub const GRADE_WORDS: &[&str] = &[
    "it1", "it2", "it3", "it4", "it5", "it6", "it7", "it8", "it9", "it10", "it11", "it12", "it13",
    "it14", "it15", "it16", "it17", "it18",
];

/// The words for the poses that need no angle or face.
const POSES: &[&str] = &["upright", "upside_down"];

impl Kind {
    /// The names of all kinds an author can write.
    pub fn names() -> impl Iterator<Item = &'static str> {
        WRITTEN.iter().map(|(name, _)| *name)
    }

    /// The kind of this name.
    pub fn written(kind: &KindName) -> Option<Kind> {
        let (_, found) = WRITTEN.iter().find(|(name, _)| *name == &*kind.name.text)?;
        Some(match found {
            Kind::Choice(_) => {
                Kind::Choice(kind.choices.iter().map(|(word, _)| word.as_str().into()).collect())
            }
            other => other.clone(),
        })
    }

    /// Whether `word`, written bare, is meant before any name.
    pub fn has_word(&self, word: &str) -> bool {
        match self {
            Kind::Choice(words) => words.iter().any(|w| **w == *word),
            Kind::Words(words) => words.contains(&word),
            Kind::Pose => POSES.contains(&word),
            Kind::Gap => GAP_WORDS.contains(&word),
            Kind::Tolerance => GRADE_WORDS.contains(&word),
            _ => false,
        }
    }

    /// Its own words, for messages and did-you-mean.
    pub fn words(&self) -> Vec<&str> {
        match self {
            Kind::Choice(words) => words.iter().map(|w| &**w).collect(),
            Kind::Words(words) => words.to_vec(),
            Kind::Pose => POSES.to_vec(),
            Kind::Gap => GAP_WORDS.to_vec(),
            Kind::Tolerance => GRADE_WORDS.to_vec(),
            _ => Vec::new(),
        }
    }

    /// What a value of this kind is called: `a length`.
    pub fn spoken(&self) -> String {
        let words = match self {
            Kind::Any => "a value",
            Kind::Number(dimension) => return dimension.spoken(),
            Kind::Count => "a whole number",
            Kind::Text => "a text",
            Kind::YesNo => "yes or no",
            Kind::Point => "a point",
            Kind::List => "a list",
            Kind::Outline => "an outline",
            Kind::Solid => "a solid",
            Kind::Motif => "a motif",
            Kind::Edge | Kind::Corner => "a treatment of an edge",
            Kind::Face => "a face",
            Kind::Part => "a part",
            Kind::Material => "a material",
            Kind::Choice(_) | Kind::Words(_) => return one_of(&self.words()),
            Kind::Coordinate => "a length",
            Kind::CoordinatePair => "a point of two lengths",
            Kind::Ink => "an outline",
            Kind::Line => "a path",
            Kind::Path => "an open path",
            Kind::Ease => "an angle or none",
            Kind::Slit => "a length",
            Kind::Bearing => "an angle or a length",
            Kind::Weight => "a length or a ratio",
            Kind::Pose => "a pose",
            Kind::Printer => "a printer",
            Kind::Gaps => "a table of gaps",
            Kind::Gap => "a length, snap, slide, press or free",
            Kind::Tolerance => "a length or a grade from it1 to it18",
            Kind::Colour => "a colour",
            Kind::Way => "a direction",
        };
        words.to_string()
    }

    /// What to type instead: an example of the kind.
    pub fn example(&self) -> Option<&'static str> {
        Some(match self {
            Kind::Text => "\"a text\"",
            Kind::YesNo => "yes",
            Kind::Point => "(10 mm, 0 mm, 5 mm)",
            Kind::List => "[1, 2, 3]",
            Kind::Outline | Kind::Ink => "disc { diameter: 20 mm }",
            Kind::Solid => "rod { diameter: 8 mm, height: 20 mm }",
            Kind::Motif => "the name of a motif",
            Kind::Edge | Kind::Corner => "bevel 1 mm, round 1 mm or none",
            Kind::Face => "jar.outside",
            Kind::Part => "the name of a part",
            Kind::Material => "the name of a material",
            Kind::CoordinatePair => "(20 mm, 10 mm)",
            Kind::Line | Kind::Path => "path { start (0 mm, 0 mm), line to (10 mm, 0 mm) }",
            Kind::Ease => "45 deg",
            Kind::Slit => "0.5 mm, or 0.5 mm at 90 deg",
            Kind::Weight => "1.2 mm or 14 %",
            Kind::Pose => "upright, upside_down, tipped(90 deg, x) or on(FACE)",
            Kind::Gaps => "gaps { snap: 0.1 mm }",
            Kind::Gap => "0.1 mm, snap, slide, press or free",
            Kind::Tolerance => "0.1 mm, or it13",
            Kind::Colour => "#e8e1d3",
            Kind::Way => "along y, or along -y",
            _ => return None,
        })
    }
}

/// `"a", "b" or "c"`
pub fn one_of(words: &[&str]) -> String {
    match words {
        [] => "no word".to_string(),
        [one] => (*one).to_string(),
        [most @ .., last] => format!("{} or {last}", most.join(", ")),
    }
}
