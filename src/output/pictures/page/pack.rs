//! Meshes as short texts.

use super::{BodyKind, PageBody};
use crate::model::Vector;
use crate::output::number::rounded;
use crate::output::pictures::scene::{AidKind, SceneBody, ShownAid, bounds};

/// Steps from one side of a body's box to the other: 2 micrometres on a body of 130 mm.
const STEPS: f64 = 65535.0;

/// A body as the page reads it; none where it has no corners.
pub(super) fn body(body: &SceneBody<'_>, told: (BodyKind, String)) -> Option<PageBody> {
    packed(body, told, body.pieces())
}

/// An aid as the page reads it, going with the pieces of its part.
pub(super) fn aid(aid: &ShownAid, of: &SceneBody<'_>) -> Option<PageBody> {
    let (piece_of, ways) = of.pieces();
    let pieces = aid.goes_with.iter().map(|v| piece_of.get(*v as usize).copied().unwrap_or(0));
    let (name, colour, mesh) = (aid.name(), aid.colour, &aid.mesh);
    let body = SceneBody { name: &name, colour, mesh, apart: of.apart };
    let kind = match aid.kind {
        AidKind::Props => BodyKind::Props,
        AidKind::Brim => BodyKind::Brim,
    };
    packed(&body, (kind, aid.note.clone()), (pieces.collect(), ways))
}

/// A body whose vertices belong to numbered pieces, each of which has a way.
fn packed(
    body: &SceneBody<'_>,
    (kind, note): (BodyKind, String),
    (piece_of, ways): (Vec<u32>, Vec<Vector>),
) -> Option<PageBody> {
    let [low, high] = bounds(body.mesh.vertices.iter())?.map(|corner| corner.map(rounded));
    let corners = body.mesh.vertices.iter();
    let places: Vec<u8> =
        corners.flat_map(|v| steps(*v, low, high)).flat_map(u16::to_le_bytes).collect();
    let wide = body.mesh.vertices.len().max(ways.len()) > usize::from(u16::MAX);
    let numbers = |numbers: &mut dyn Iterator<Item = u32>| -> String {
        let bytes: Vec<u8> = if wide {
            numbers.flat_map(u32::to_le_bytes).collect()
        } else {
            numbers.flat_map(|n| (n as u16).to_le_bytes()).collect()
        };
        base64(&bytes)
    };
    Some(PageBody {
        name: body.name.to_string(),
        kind,
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
