//! Pictures: shaded views, drawings, and the page that shows a design in a browser.
//!
//! In: finished meshes, the design, its measured fits. Out: bytes of PNG, SVG, HTML, the
//! same on every machine. Kept out: decisions of the geometry, measuring, file access.

mod apart;
mod drawing;
mod page;
mod png;
mod scene;
mod section;
#[cfg(test)]
mod tests;
mod view;

pub use drawing::Subject;
pub use page::{
    Excerpt, ExcerptLine, PageBody, PageDesign, PageFinding, PageFit, PageGiven, PageKind,
    PageRule, PageScene, excerpts, html as page_html, json as page_json, scene as page_scene,
    viewer_size,
};
pub use scene::{Apart, SceneBody};
pub use view::Shot;

use crate::model::Model;
use crate::realise::Realised;

/// Why a picture could not be made.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PictureError {
    /// What went wrong, in words.
    pub reason: String,
}

/// All parts of the assembly that could be made, and how they come apart.
pub fn assembly<'a>(model: &'a Model, realised: &'a Realised) -> Vec<SceneBody<'a>> {
    apart::assembly(model, realised)
}

/// A shaded view of bodies, as PNG.
///
/// # Errors
/// When the picture is larger than PNG allows.
pub fn view_png(bodies: &[SceneBody<'_>], shot: Shot) -> Result<Vec<u8>, PictureError> {
    let pixels = view::pixels(bodies, shot);
    png::encode(&pixels).map_err(|e| PictureError { reason: e.to_string() })
}

/// A sheet with the views, sections, details and dimensions of a design, as SVG.
pub fn drawing_svg(subject: &Subject<'_>) -> String {
    drawing::svg(subject)
}
