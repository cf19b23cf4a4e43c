//! The page that shows a design in a browser: one file that asks for nothing else.
//!
//! The design travels as JSON ([`PageDesign`]); viewer, style and markup are files of this
//! folder. The page may run its own script and nothing else: the policy at its head allows
//! one script and one style by a name that follows from everything in the page.

mod excerpt;
mod pack;
#[cfg(test)]
mod tests;

pub use excerpt::{Excerpt, ExcerptLine, excerpts};

use super::scene::{self, SceneBody, ShownAid};
use crate::model::Vector;
use crate::output::number::rounded;
pub use pack::base64;
use serde::Serialize;

const MARKUP: &str = include_str!("page.html");
const STYLE: &str = include_str!("viewer.css");

/// The scripts in the order in which they stand in the page.
const SCRIPTS: [&str; 4] = [
    include_str!("sums.js"),
    include_str!("picture.js"),
    include_str!("panel.js"),
    include_str!("hands.js"),
];

/// Follows a design that is being edited; only in pages that a server gives.
const FOLLOW: &str = include_str!("follow.js");

/// What the page shows of a design. Lengths in mm, assembly axes.
#[derive(Clone, Debug, Serialize)]
pub struct PageDesign {
    /// The author's title, or the design's name.
    pub title: String,
    /// The chosen size.
    pub size: Option<String>,
    /// Who made it, and from what.
    pub origin: Vec<String>,
    /// What is shown; none where nothing could be made.
    pub scene: Option<PageScene>,
    /// How parts go together.
    pub fits: Vec<PageFit>,
    /// Inputs.
    pub givens: Vec<PageGiven>,
    /// Design rules.
    pub rules: Vec<PageRule>,
    /// What a user of the parts must know.
    pub cautions: Vec<String>,
    /// What was found.
    pub findings: Vec<PageFinding>,
    /// How many more there are.
    pub more_findings: usize,
}

/// Bodies, and the boxes round them.
#[derive(Clone, Debug, Serialize)]
pub struct PageScene {
    /// Lowest and highest corner of the assembly.
    pub closed: [Vector; 2],
    /// The same of the exploded assembly.
    pub apart: [Vector; 2],
    /// In the order of the text, what helps to print them after all others.
    pub bodies: Vec<PageBody>,
}

/// What a body of the page is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum BodyKind {
    /// It is printed.
    Part,
    /// It is fitted but not made.
    Bought,
    /// Columns that are printed with a part and broken away.
    Props,
    /// One layer round the first layer of a part, cut off after printing.
    Brim,
}

/// One body. Bytes as base64 (RFC 4648), numbers little end first.
#[derive(Clone, Debug, Serialize)]
pub struct PageBody {
    /// Its name; no two bodies share one.
    pub name: String,
    /// What it is.
    pub kind: BodyKind,
    /// Size and mass, for the list.
    pub note: String,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// Lowest and highest corner.
    pub low: Vector,
    /// The same.
    pub high: Vector,
    /// Three 16-bit steps from `low` to `high` for each corner.
    pub places: String,
    /// Three corners for each triangle.
    pub triangles: String,
    /// For each corner its piece; absent where there is one piece.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub pieces: Option<String>,
    /// Whether numbers of corners and pieces have 32 bits instead of 16.
    pub wide: bool,
    /// The way of each piece in the exploded view.
    pub ways: Vec<Vector>,
}

/// How two parts go together, measured.
#[derive(Clone, Debug, Serialize)]
pub struct PageFit {
    /// `belt in jar`
    pub title: String,
    /// What was measured, in words.
    pub text: String,
    /// The least gap in words; empty where none was measured.
    pub label: String,
    /// The middle of the least gap; none where none was measured.
    pub at: Option<Vector>,
    /// From one face to the other there.
    pub across: Option<Vector>,
    /// The names of the parts.
    pub parts: Vec<String>,
}

/// An input, and how it may be moved.
#[derive(Clone, Debug, Serialize)]
pub struct PageGiven {
    /// Its name.
    pub name: String,
    /// What the author says of it.
    pub docs: String,
    /// Its value as it is typed.
    pub text: String,
    /// The number in `text`.
    pub number: Option<f64>,
    /// The unit in `text`.
    pub unit: String,
    /// Least, greatest and step of the number; a step of 0 is none.
    pub span: Option<[f64; 3]>,
    /// What it may be instead, as it is typed.
    pub among: Vec<String>,
    /// Whether the chosen size says its value.
    pub fixed: bool,
}

/// A design rule.
#[derive(Clone, Debug, Serialize)]
pub struct PageRule {
    /// As written.
    pub text: String,
    /// Whether it holds.
    pub holds: bool,
}

/// A finding.
#[derive(Clone, Debug, Serialize)]
pub struct PageFinding {
    /// `E0301`
    pub code: String,
    /// `unit-mismatch`
    pub name: String,
    /// `error` or `warning`
    pub severity: String,
    /// The sentence.
    pub message: String,
    /// The lines that it is about.
    pub excerpts: Vec<Excerpt>,
    /// Ways out.
    pub help: Vec<String>,
    /// Background.
    pub notes: Vec<String>,
    /// Which of the fits it is about.
    pub fit: Option<usize>,
    /// Which of the parts it is about.
    pub part: Option<String>,
}

/// What is shown of bodies; `told` says of each what it is, with its note. Aids lie within
/// the boxes of their parts or a few mm beside them: too near to move what is seen.
pub fn scene(
    bodies: &[SceneBody<'_>],
    told: Vec<(BodyKind, String)>,
    aids: &[ShownAid],
) -> Option<PageScene> {
    let closed = scene::bounds(bodies.iter().flat_map(|b| &b.mesh.vertices))?;
    let moved: Vec<_> = bodies.iter().map(|b| b.placed(1.0)).collect();
    let apart = scene::bounds(moved.iter().flatten())?;
    let round = |corners: [Vector; 2]| corners.map(|c| c.map(rounded));
    let own = bodies.iter().zip(told).filter_map(|(body, told)| pack::body(body, told));
    let of = |aid: &ShownAid| bodies.iter().find(|b| b.name == aid.of);
    let aids = aids.iter().filter_map(|aid| pack::aid(aid, of(aid)?));
    let bodies = own.chain(aids).collect();
    Some(PageScene { closed: round(closed), apart: round(apart), bodies })
}

/// The design as JSON.
///
/// # Errors
/// Only when memory cannot be written to.
pub fn json(design: &PageDesign) -> std::io::Result<String> {
    Ok(serde_json::to_string(design)?)
}

/// Where a page comes from.
#[derive(Clone, Copy, Debug)]
pub enum PageKind<'a> {
    /// A file: all of the design is in it, and this PNG stands in where there is no WebGL.
    File {
        /// [`json`]
        design: &'a str,
        /// A shaded view.
        still: &'a [u8],
    },
    /// A server, which sends the design when it is asked; `token` must come with what writes.
    Served {
        /// Known to this page only.
        token: &'a str,
    },
}

/// The page of a design.
pub fn html(title: &str, kind: PageKind<'_>) -> String {
    let (design, still, token) = match kind {
        PageKind::File { design, still } => (design, pack::base64(still), ""),
        PageKind::Served { token } => ("null", String::new(), token),
    };
    let is_served = matches!(kind, PageKind::Served { .. });
    let script = if is_served {
        [SCRIPTS[0], SCRIPTS[1], SCRIPTS[2], SCRIPTS[3], FOLLOW].concat()
    } else {
        SCRIPTS.concat()
    };
    let name = {
        let mut hasher = blake3::Hasher::new();
        for part in [title, design, token, &script] {
            hasher.update(&(part.len() as u64).to_le_bytes());
            hasher.update(part.as_bytes());
        }
        hasher.finalize().to_hex()[..32].to_string()
    };
    fill(MARKUP, |field| match field {
        "title" => escaped(title),
        "style" => STYLE.to_string(),
        "script" => script.clone(),
        "name" => name.clone(),
        "connect" => if is_served { "; connect-src 'self'" } else { "" }.to_string(),
        "pictures" => if is_served { " 'self'" } else { "" }.to_string(),
        "token" => escaped(token),
        // A tag inside a text of the design must not end the element that holds it.
        "design" => design.replace('<', "\\u003c"),
        "still" if is_served => String::new(),
        "still" => format!("src=\"data:image/png;base64,{still}\""),
        _ => String::new(),
    })
}

/// The size of everything in a page but its design and its still picture, bytes.
pub fn viewer_size() -> usize {
    MARKUP.len() + STYLE.len() + SCRIPTS.iter().map(|s| s.len()).sum::<usize>() + FOLLOW.len()
}

/// Fills the `{{fields}}` of a template in one pass, so that a value is never read again.
fn fill(template: &str, value: impl Fn(&str) -> String) -> String {
    let mut out = String::with_capacity(template.len());
    let mut rest = template;
    while let Some((before, after)) = rest.split_once("{{") {
        let Some((field, after)) = after.split_once("}}") else { break };
        out += before;
        out += &value(field);
        rest = after;
    }
    out + rest
}

fn escaped(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out += "&amp;",
            '<' => out += "&lt;",
            '>' => out += "&gt;",
            '"' => out += "&quot;",
            c => out.push(c),
        }
    }
    out
}
