//! Turned hosts with pockets, built directly: the surface between two heights is taken out
//! and the skin round the pocket, on the same facets, is sewn in.

use super::facets::{Facets, Tolerance};
use super::flatten::polygon;
use super::ladder::{Bulge, rungs};
use super::triangles::{Mesh, Tag};
use super::turned::{Lift, Ring, band, rings};
use super::wrap::{Cone, Ground, Wrap};
use crate::layers::{Cells, WELD_MM};
use crate::model::Turned;
use crate::plane::Point;

/// The skin reaches as far above and below its pattern where there is room, mm; fewer long
/// needles than with a narrow one.
const MARGIN_MM: f64 = 1.0;

/// Least distance of a pattern from the end of its face and from the next pattern, mm. With
/// less, the pocket is cut by a boolean.
const LEAST_MARGIN_MM: f64 = 0.02;

/// A profile point lies on a line within this, mm: rounding.
const ON_SURFACE_MM: f64 = 1e-6;

/// Where the skin of a pocket goes.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Zone {
    wrap: usize,
    /// Loop and side of the profile.
    side: [usize; 2],
    span_mm: [f64; 2],
}

/// Which pockets can be sewn in, and where. A pocket must lie inside one straight side of the
/// profile and overlap no other pocket in height.
fn zones(profiles: &[Vec<Point>], wraps: &[Wrap]) -> Vec<Zone> {
    let mut zones: Vec<Zone> = vec![];
    for (wrap, it) in wraps.iter().enumerate() {
        let Ground::Round { cone, .. } = &it.ground else { continue };
        let Some(span_mm) = it.extent_mm() else { continue };
        if let Some(side) = side_of(profiles, cone, span_mm) {
            zones.push(Zone { wrap, side, span_mm });
        }
    }
    zones.sort_by(|a, b| a.side.cmp(&b.side).then(a.span_mm[0].total_cmp(&b.span_mm[0])));
    zones.dedup_by(|next, kept| {
        next.side == kept.side && next.span_mm[0] < kept.span_mm[1] + 2.0 * LEAST_MARGIN_MM
    });
    widened(profiles, zones)
}

/// The side of a profile that runs up along a cone and has room for a span.
fn side_of(profiles: &[Vec<Point>], cone: &Cone, span_mm: [f64; 2]) -> Option<[usize; 2]> {
    let on = |p: &Point| (p.x - cone.radius(p.y)).abs() < ON_SURFACE_MM;
    for (number, points) in profiles.iter().enumerate() {
        for (i, from) in points.iter().enumerate() {
            let to = points[(i + 1) % points.len()];
            let room = from.y + LEAST_MARGIN_MM < span_mm[0] && span_mm[1] < to.y - LEAST_MARGIN_MM;
            if room && on(from) && on(&to) {
                return Some([number, i]);
            }
        }
    }
    None
}

/// Each span with as much margin as there is room for.
fn widened(profiles: &[Vec<Point>], zones: Vec<Zone>) -> Vec<Zone> {
    let mut out = zones.clone();
    for (i, zone) in zones.iter().enumerate() {
        let points = &profiles[zone.side[0]];
        let (from, to) = (points[zone.side[1]], points[(zone.side[1] + 1) % points.len()]);
        let below = i.checked_sub(1).and_then(|j| zones.get(j)).filter(|z| z.side == zone.side);
        let above = zones.get(i + 1).filter(|z| z.side == zone.side);
        let low = below.map_or(from.y, |z| z.span_mm[1]);
        let high = above.map_or(to.y, |z| z.span_mm[0]);
        let room = [zone.span_mm[0] - low, high - zone.span_mm[1]];
        let margin = room.map(|r| (r / 3.0).min(MARGIN_MM));
        out[i].span_mm = [zone.span_mm[0] - margin[0], zone.span_mm[1] + margin[1]];
    }
    out
}

/// The turned body with as many of the pockets as can be sewn in, and which of them were.
pub(super) fn socketed(
    body: &Turned,
    facets: &Facets,
    tolerance: &Tolerance,
    lift: &Lift,
    wraps: &[Wrap],
) -> (Mesh, Vec<usize>) {
    let tracks = body.outline.loops.iter();
    let profiles: Vec<Vec<Point>> = tracks.map(|t| lift.profile(&polygon(t, tolerance))).collect();
    let zones = zones(&profiles, wraps);
    let mut mesh = Mesh::default();
    for (number, points) in profiles.iter().enumerate() {
        let rings = rings(points, facets, &mut mesh);
        for (i, ring) in rings.iter().enumerate() {
            let (from, to) = (ring.outgoing, rings[(i + 1) % rings.len()].incoming);
            let here: Vec<&Zone> = zones.iter().filter(|z| z.side == [number, i]).collect();
            if here.is_empty() {
                band(from, to, facets.count(), &mut mesh);
            } else {
                sew(from, to, &here, wraps, facets, &mut mesh);
            }
        }
    }
    let mut done: Vec<usize> = zones.iter().map(|z| z.wrap).collect();
    done.sort_unstable();
    (mesh, done)
}

/// One side of the profile with the skins of its pockets.
fn sew(from: Ring, to: Ring, zones: &[&Zone], wraps: &[Wrap], facets: &Facets, mesh: &mut Mesh) {
    let mut below = ring_chains(from, facets.count());
    for zone in zones {
        let (skin, cells) = wraps[zone.wrap].socket(zone.span_mm);
        let first = mesh.vertices.len() as u32;
        mesh.take(&skin);
        let [low, high] =
            rims(&cells).map(|rim| rim.iter().map(|v| v + first).collect::<Vec<u32>>());
        join(&below, &facet_chains(&low, &cells.lines, facets), mesh);
        below = facet_chains(&high, &cells.lines, facets);
    }
    join(&below, &ring_chains(to, facets.count()), mesh);
}

/// The vertices between facet lines, both included, of a plain ring.
fn ring_chains(ring: Ring, count: usize) -> Vec<Vec<u32>> {
    (0..count).map(|k| vec![ring.vertex(k, count), ring.vertex(k + 1, count)]).collect()
}

/// The lowest and the highest vertex of the surface on every line.
fn rims(cells: &Cells) -> [Vec<u32>; 2] {
    let mut rims = [vec![], vec![]];
    let outer = cells.vertices.first().map_or(0.0, |v| v.depth_mm);
    for (name, vertex) in cells.vertices.iter().enumerate() {
        if vertex.depth_mm != outer {
            continue;
        }
        if rims[0].len() <= vertex.line as usize {
            rims[0].push(name as u32);
            rims[1].push(name as u32);
        }
        rims[1][vertex.line as usize] = name as u32;
    }
    rims
}

/// A rim as one chain for each facet, both facet lines included.
fn facet_chains(rim: &[u32], lines: &[f64], facets: &Facets) -> Vec<Vec<u32>> {
    let count = facets.count();
    let width = std::f64::consts::TAU / count as f64;
    let mut chains = vec![vec![]; count];
    for (name, u) in rim.iter().zip(lines) {
        let place = facets.place(*u);
        let whole = place.round();
        if (place - whole).abs() * width < WELD_MM * 1e-3 {
            let k = whole.rem_euclid(count as f64) as usize;
            chains[k].push((f64::NEG_INFINITY, *name));
            chains[(k + count - 1) % count].push((f64::INFINITY, *name));
        } else {
            let k = place.floor().rem_euclid(count as f64) as usize;
            chains[k].push((place - place.floor(), *name));
        }
    }
    let sorted = |mut chain: Vec<(f64, u32)>| {
        chain.sort_by(|a, b| a.0.total_cmp(&b.0));
        chain.into_iter().map(|(_, name)| name).collect()
    };
    chains.into_iter().map(sorted).collect()
}

/// Plain faces between two rings of chains.
fn join(below: &[Vec<u32>], above: &[Vec<u32>], mesh: &mut Mesh) {
    for (low, high) in below.iter().zip(above) {
        for triangle in rungs(high, low, &mesh.vertices, Bulge::In) {
            mesh.add(triangle, Tag::PLAIN);
        }
    }
}
