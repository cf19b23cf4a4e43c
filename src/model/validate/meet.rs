//! Pockets of one host that run into each other.

use super::may_meet;
use super::site::Site;
use super::wall::{drawn, extent, on_surface};
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::codes;
use crate::model::{Surface, Vector};
use crate::plane::Strips;
use crate::quantity::Quantity;

/// Pockets nearer to each other than this (mm) meet: no wall between them could be made.
const APART_MM: f64 = 1e-3;

/// Depths, of the whole, at which points of a pocket are looked up in another one that
/// lies in another face.
const DEPTHS: [f64; 4] = [0.001, 0.35, 0.7, 0.999];

/// Two seats in one host meet only if one of them says so.
pub fn check(a: &Site, b: &Site, sink: &mut Sink) {
    let (Some((id_a, seat_a)), Some((id_b, seat_b))) = (a.seat, b.seat) else { return };
    if seat_a.host != seat_b.host || may_meet(a.model, id_a, id_b) {
        return;
    }
    let grown = seat_a.shares_mm()[1] + seat_b.shares_mm()[1] + APART_MM;
    let same_face = a.placement == b.placement && a.inlay.surface == b.inlay.surface;
    let meets = match same_face {
        true => overlap(&a.strips, &b.strips, grown, a.least_radius_mm()),
        false => boxes_meet(a, b) && (reaches(a, b) || reaches(b, a)),
    };
    if !meets {
        return;
    }
    let reach = |site: &Site| {
        let [low, high] = extent(&site.strips).unwrap_or_default();
        format!("from {} to {}", Quantity::mm(low), Quantity::mm(high))
    };
    let message = format!(
        "the pockets of `{}`, {}, and `{}`, {}, meet in `{}`",
        a.name(),
        reach(a),
        b.name(),
        reach(b),
        a.host_name()
    );
    let finding = Diagnostic::at(codes::POCKETS_MEET, b.field("level"), message)
        .and_at(a.field("level"), format!("`{}` is here", a.name()))
        .help(format!(
            "move one of them, or say meets: {} in the seat of `{}`",
            a.name(),
            b.name()
        ));
    sink.push(finding);
}

/// Whether two outlines of one developed plane come nearer than `slack` mm.
fn overlap(a: &Strips, b: &Strips, slack: f64, radius: f64) -> bool {
    let (Some(ea), Some(eb)) = (extent(a), extent(b)) else { return false };
    if ea[0] > eb[1] + slack || eb[0] > ea[1] + slack {
        return false;
    }
    let turns = a.period.map_or(vec![0.0], |turn| vec![-turn, 0.0, turn]);
    let aside = slack / radius;
    turns.iter().any(|turn| {
        ranges(a).any(|(i, [from, to])| {
            let first = b.lines.partition_point(|l| l + turn < from - aside).saturating_sub(1);
            ranges(b)
                .skip(first)
                .take_while(|(_, r)| r[0] + turn < to + aside)
                .filter(|(_, r)| r[1] + turn > from - aside)
                .any(|(j, r)| {
                    let shared = [from.max(r[0] + turn), to.min(r[1] + turn)];
                    touch(a, i, b, j, shared, *turn, slack)
                })
        })
    })
}

/// Every strip with the lines at its sides.
fn ranges(strips: &Strips) -> impl Iterator<Item = (usize, [f64; 2])> + '_ {
    let end = strips.lines.first().copied().unwrap_or(0.0) + strips.period.unwrap_or(0.0);
    (0..strips.strips.len())
        .map(move |i| (i, [strips.lines[i], strips.lines.get(i + 1).copied().unwrap_or(end)]))
}

/// Whether intervals of two strips come nearer than `slack` in their shared range.
fn touch(
    a: &Strips,
    i: usize,
    b: &Strips,
    j: usize,
    shared: [f64; 2],
    turn: f64,
    slack: f64,
) -> bool {
    let at = |strips: &Strips, k: usize, ends: [f64; 2], u: f64| {
        let from = strips.lines[k];
        let last = strips.lines[0] + strips.period.unwrap_or(0.0);
        let to = strips.lines.get(k + 1).copied().unwrap_or(last);
        let share = if to > from { ((u - from) / (to - from)).clamp(0.0, 1.0) } else { 0.5 };
        ends[0] + (ends[1] - ends[0]) * share
    };
    a.strips[i].iter().any(|p| {
        b.strips[j].iter().any(|q| {
            shared.iter().any(|u| {
                let top = at(a, i, p.top, *u).min(at(b, j, q.top, u - turn));
                let bottom = at(a, i, p.bottom, *u).max(at(b, j, q.bottom, u - turn));
                top > bottom - slack
            })
        })
    })
}

/// Points of a pocket in assembly axes: ends and middles of its intervals at some depths.
fn points<'a>(site: &'a Site) -> impl Iterator<Item = Vector> + 'a {
    let deepest = pocket_depth(site);
    ranges(&site.strips).flat_map(move |(i, [from, to])| {
        let middle = (from + to) / 2.0;
        site.strips.strips[i].iter().flat_map(move |v| {
            let (low, high) = ((v.bottom[0] + v.bottom[1]) / 2.0, (v.top[0] + v.top[1]) / 2.0);
            let places = [from, middle, to].into_iter().flat_map(move |u| {
                [0.0, 0.25, 0.5, 0.75, 1.0].map(|s| (u, low + (high - low) * s))
            });
            places.flat_map(move |(u, z)| {
                DEPTHS.map(|share| {
                    let (point, normal) = on_surface(&site.inlay.surface, u, z);
                    let at = [0, 1, 2].map(|c| point[c] - normal[c] * share * deepest);
                    site.placement.point(at)
                })
            })
        })
    })
}

/// Depth of a site's pocket, square to the surface, mm.
fn pocket_depth(site: &Site) -> f64 {
    site.inlay.sink_mm + site.seat.map_or(0.0, |(_, seat)| seat.gap_behind_mm)
}

fn boxes_meet(a: &Site, b: &Site) -> bool {
    let bounds = |site: &Site| {
        let mut low = [f64::INFINITY; 3];
        let mut high = [f64::NEG_INFINITY; 3];
        for p in points(site) {
            for c in 0..3 {
                low[c] = low[c].min(p[c]);
                high[c] = high[c].max(p[c]);
            }
        }
        (low, high)
    };
    let ((la, ha), (lb, hb)) = (bounds(a), bounds(b));
    (0..3).all(|c| la[c] < hb[c] && lb[c] < ha[c])
}

/// Whether a point of the pocket of `a` lies in that of `b`.
fn reaches(a: &Site, b: &Site) -> bool {
    let back = b.placement.inverse();
    let deepest = b.inlay.level_depth_mm(pocket_depth(b));
    points(a).any(|p| {
        let p = back.point(p);
        let (u, z, depth) = match &b.inlay.surface {
            Surface::Round { outward, sides, .. } => {
                let angle = p[1].atan2(p[0]);
                let (out, u) = match sides {
                    Some(sides) => (sides.over(p[0], p[1]).0, sides.place_rad(angle)),
                    None => (p[0].hypot(p[1]), angle),
                };
                let below = b.inlay.radius_at(p[2]).unwrap_or(0.0) - out;
                (u, p[2], if *outward { below } else { -below })
            }
            Surface::Belly { outward, .. } => {
                let below = b.radius_mm(p[2]) - p[0].hypot(p[1]);
                (p[1].atan2(p[0]), p[2], if *outward { below } else { -below })
            }
            Surface::Flat { origin, right, up, normal, .. } => {
                let d = [0, 1, 2].map(|c| p[c] - origin[c]);
                let along = |v: &Vector| d[0] * v[0] + d[1] * v[1] + d[2] * v[2];
                (along(right), along(up), -along(normal))
            }
        };
        (0.0..=deepest).contains(&depth) && drawn(&b.strips, u, z)
    })
}
