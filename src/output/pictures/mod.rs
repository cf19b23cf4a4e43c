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

pub use drawing::{ChangedPart, Chart, ChartLine, ChartPanel, Subject};
pub use page::{
    BodyKind, Excerpt, ExcerptLine, PageBody, PageDesign, PageFinding, PageFit, PageGiven,
    PageKind, PageRule, PageScene, base64, excerpts, html as page_html, json as page_json,
    scene as page_scene, viewer_size,
};
pub use scene::{AidKind, Apart, SceneBody, ShownAid};
pub use view::{Mark, Shot};

use crate::mesh::Mesh;
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
    view_png_framed(bodies, bodies, shot)
}

/// The same by a camera that has `frame` in view, so that several pictures can be laid over each
/// other.
///
/// # Errors
/// As [`view_png`].
pub fn view_png_framed(
    bodies: &[SceneBody<'_>],
    frame: &[SceneBody<'_>],
    shot: Shot,
) -> Result<Vec<u8>, PictureError> {
    encoded(&view::pixels(bodies, frame, shot))
}

/// What changed of a scene: new bodies pale, what was added hatched, what was removed dotted; what
/// lies behind a surface shines through. By a camera that has `frame` in view.
///
/// # Errors
/// As [`view_png`].
pub fn difference_png(
    kept: &[SceneBody<'_>],
    changed: &[(Mark, &Mesh)],
    frame: &[SceneBody<'_>],
    shot: Shot,
) -> Result<Vec<u8>, PictureError> {
    encoded(&view::difference(kept, changed, frame, shot))
}

fn encoded(pixels: &view::Pixels) -> Result<Vec<u8>, PictureError> {
    png::encode(pixels).map_err(|e| PictureError { reason: e.to_string() })
}

/// A fit before and after a change, and what was added and removed, in one section at 20:1, as
/// SVG. `fit` is `belt in jar`; none stands for the first. None where there is no such fit.
pub fn change_svg(
    after: &Subject<'_>,
    fit: Option<&str>,
    parts: &[ChangedPart<'_>],
) -> Option<String> {
    drawing::change_svg(after, fit, parts)
}

/// A chart of values over a varied one, as SVG.
pub fn chart_svg(chart: &Chart) -> String {
    drawing::chart_svg(chart)
}

/// A sheet with the views, sections, details and dimensions of a design: as SVG, and the same
/// as PNG of 6 pixels to the millimetre.
///
/// # Errors
/// When the picture is larger than PNG allows.
pub fn drawing(subject: &Subject<'_>) -> Result<[Vec<u8>; 2], PictureError> {
    let (svg, pixels) = drawing::sheet(subject);
    let png = png::encode(&pixels).map_err(|e| PictureError { reason: e.to_string() })?;
    Ok([svg.into_bytes(), png])
}
