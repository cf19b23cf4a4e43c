//! Meshes as short texts.

use super::PageBody;
use crate::model::Vector;
use crate::output::number::rounded;
use crate::output::pictures::scene::{SceneBody, bounds};

/// Steps from one side of a body's box to the other: 2 micrometres on a body of 130 mm.
const STEPS: f64 = 65535.0;

/// A body as the page reads it; none where it has no corners.
pub(super) fn body(body: &SceneBody<'_>, note: String) -> Option<PageBody> {
    let [low, high] = bounds(body.mesh.vertices.iter())?.map(|corner| corner.map(rounded));
    let corners = body.mesh.vertices.iter();
    let places: Vec<u8> =
        corners.flat_map(|v| steps(*v, low, high)).flat_map(u16::to_le_bytes).collect();
    let wide = body.mesh.vertices.len() > usize::from(u16::MAX);
    let numbers = |numbers: &mut dyn Iterator<Item = u32>| -> String {
        let bytes: Vec<u8> = if wide {
            numbers.flat_map(u32::to_le_bytes).collect()
        } else {
            numbers.flat_map(|n| (n as u16).to_le_bytes()).collect()
        };
        base64(&bytes)
    };
    let (piece_of, ways) = body.pieces();
    Some(PageBody {
        name: body.name.to_string(),
        note,
        colour: body.colour,
        low,
        high,
        places: base64(&places),
        triangles: numbers(&mut body.mesh.triangles.iter().flatten().copied()),
        pieces: (ways.len() > 1).then(|| numbers(&mut piece_of.into_iter())),
        wide,
        ways: ways.into_iter().map(|way| way.map(rounded)).collect(),
    })
}

fn steps(corner: Vector, low: Vector, high: Vector) -> [u16; 3] {
    [0, 1, 2].map(|i| {
        let across = high[i] - low[i];
        if across > 0.0 { ((corner[i] - low[i]) / across * STEPS).round() as u16 } else { 0 }
    })
}

/// Bytes as text (RFC 4648, section 4).
pub fn base64(bytes: &[u8]) -> String {
    const LETTERS: &[u8; 64] = b"ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";
    let mut out = String::with_capacity(bytes.len().div_ceil(3) * 4);
    for three in bytes.chunks(3) {
        let byte = |i: usize| u32::from(three.get(i).copied().unwrap_or(0));
        let bits = byte(0) << 16 | byte(1) << 8 | byte(2);
        for i in 0..4 {
            let letter = LETTERS[(bits >> (18 - 6 * i) & 63) as usize];
            out.push(if i <= three.len() { char::from(letter) } else { '=' });
        }
    }
    out
}
