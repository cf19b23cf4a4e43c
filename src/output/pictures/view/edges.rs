//! Lines where the form breaks: between bodies, at silhouettes, at creases.

use super::raster::{Band, NOTHING, Sample};

/// What kind of line runs through a sample.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Line {
    None,
    /// The face turns sharply.
    Crease,
    /// Another body, or a far farther part of the same one, begins.
    Outline,
}

/// Normals that differ by more than this (cosine; 32 deg) make a crease.
const CREASE: f32 = 0.85;

/// How far depth may leave a plane from one sample to the next, in samples. Steps of
/// form are seen; curved faces stay free but for their last sliver.
const STEP: f32 = 3.0;

/// The line through the sample in column `x` of the band's row `y`.
pub(super) fn line(band: &Band, x: usize, y: usize) -> Line {
    let here = band.at(x, y);
    if here.body == NOTHING {
        return Line::None;
    }
    let rows = band.samples.len() / band.width;
    let [left, right] = [x.saturating_sub(1), (x + 1).min(band.width - 1)];
    let [above, below] = [y.saturating_sub(1), (y + 1).min(rows - 1)];
    let pairs = [[band.at(left, y), band.at(right, y)], [band.at(x, above), band.at(x, below)]];
    let found = pairs.iter().map(|[a, b]| across(a, here, b));
    found.max().unwrap_or(Line::None)
}

fn across(a: &Sample, here: &Sample, b: &Sample) -> Line {
    if [a, b].iter().any(|s| s.body != here.body) {
        return Line::Outline;
    }
    // On a plane depth grows evenly: the second difference is nil.
    if (a.depth - 2.0 * here.depth + b.depth).abs() > STEP {
        return Line::Outline;
    }
    let dot: f32 = (0..3).map(|i| a.normal[i] * b.normal[i]).sum();
    if dot < CREASE { Line::Crease } else { Line::None }
}
