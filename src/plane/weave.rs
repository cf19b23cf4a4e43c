//! From directed pieces to the loops of an outline in normal form.

use super::crossing::TOUCH_MM;
use super::error::PlaneError;
use super::outline::{Curve, Outline, Point, Segment, Track};
use super::stretch::Stretch;
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

/// A piece of a boundary, material to its left.
#[derive(Clone)]
pub(super) struct Piece {
    pub(super) ends: [usize; 2],
    pub(super) stretch: Stretch,
    pub(super) face: Option<Arc<str>>,
}

/// Puts pieces together to loops, joins what runs on along the same curve with the
/// same face, and sorts.
///
/// # Errors
/// A vertex where as many pieces do not end as start.
pub(super) fn weave(vertices: &[Point], pieces: Vec<Piece>) -> Result<Outline, PlaneError> {
    let mut outgoing: Vec<Vec<usize>> = vec![Vec::new(); vertices.len()];
    let mut balance = vec![0i32; vertices.len()];
    for (index, piece) in pieces.iter().enumerate() {
        outgoing[piece.ends[0]].push(index);
        balance[piece.ends[0]] += 1;
        balance[piece.ends[1]] -= 1;
    }
    if let Some(vertex) = balance.iter().position(|b| *b != 0) {
        return Err(PlaneError::Tangled { at: vertices[vertex] });
    }
    let mut used = vec![false; pieces.len()];
    let mut loops = Vec::new();
    for first in 0..pieces.len() {
        if !used[first] {
            let walk = walk(first, &pieces, &outgoing, &mut used);
            loops.extend(simple_loops(&walk, &pieces));
        }
    }
    let mut tracks: Vec<Track> = loops.iter().filter_map(|run| track(run)).collect();
    tracks.sort_by(|a, b| {
        let key = |t: &Track| (t.start, t.segments.first().map_or(t.start, |s| s.to));
        let ((p, q), (r, s)) = (key(a), key(b));
        (p.x.total_cmp(&r.x))
            .then(p.y.total_cmp(&r.y))
            .then(q.x.total_cmp(&s.x))
            .then(q.y.total_cmp(&s.y))
    });
    Ok(Outline { loops: tracks })
}

/// A closed walk that always turns left as sharply as it can: material stays beside it.
fn walk(first: usize, pieces: &[Piece], outgoing: &[Vec<usize>], used: &mut [bool]) -> Vec<usize> {
    let mut path = vec![first];
    used[first] = true;
    let mut current = first;
    let home = pieces[first].ends[0];
    loop {
        let vertex = pieces[current].ends[1];
        let free: Vec<usize> = outgoing[vertex].iter().copied().filter(|&p| !used[p]).collect();
        let next = match free.as_slice() {
            [] => return path,
            [only] if vertex != home => *only,
            several => {
                let next = leftmost(current, several, pieces);
                let closes = vertex == home && leftmost(current, &[next, first], pieces) == first;
                if closes {
                    return path;
                }
                next
            }
        };
        used[next] = true;
        path.push(next);
        current = next;
    }
}

/// The first of `choices` that one meets when turning clockwise from the way back.
fn leftmost(arriving: usize, choices: &[usize], pieces: &[Piece]) -> usize {
    let back = pieces[arriving].stretch.reversed();
    let lengths = choices.iter().map(|&c| pieces[c].stretch.length());
    // Compared a little way off the vertex, so that curves with a common tangent part.
    let off = lengths.fold(back.length(), f64::min) / 2.0;
    let heading = |s: &Stretch| {
        let d = s.at(off / s.length()) - s.from;
        d.y.atan2(d.x)
    };
    let from = heading(&back);
    let turn = |choice: usize| {
        let clockwise = (from - heading(&pieces[choice].stretch)).rem_euclid(TAU);
        if clockwise == 0.0 { TAU } else { clockwise }
    };
    choices.iter().copied().min_by(|&a, &b| turn(a).total_cmp(&turn(b))).unwrap_or(arriving)
}

/// A walk that passes a vertex twice, in parts that do not.
fn simple_loops(walk: &[usize], pieces: &[Piece]) -> Vec<Vec<Piece>> {
    let mut loops = Vec::new();
    let mut open: Vec<Piece> = Vec::new();
    for &index in walk {
        open.push(pieces[index].clone());
        let end = pieces[index].ends[1];
        if let Some(start) = open.iter().position(|p| p.ends[0] == end) {
            loops.push(open.split_off(start));
        }
    }
    loops
}

/// A loop as a track in normal form; none where it is thinner than what touches.
fn track(run: &[Piece]) -> Option<Track> {
    let count = run.len();
    let continues = |i: usize| joined(&run[(i + count - 1) % count], &run[i]).is_some();
    let lowest = |i: &usize, j: &usize| {
        let (p, q) = (run[*i].stretch.from, run[*j].stretch.from);
        p.x.total_cmp(&q.x).then(p.y.total_cmp(&q.y))
    };
    let corners = (0..count).filter(|&i| !continues(i));
    let start = corners.min_by(lowest).or_else(|| (0..count).min_by(lowest))?;
    let mut merged: Vec<Piece> = Vec::new();
    for offset in 0..count {
        let piece = &run[(start + offset) % count];
        match merged.last().and_then(|last| joined(last, piece)) {
            Some(both) => {
                merged.pop();
                merged.push(both);
            }
            None => merged.push(piece.clone()),
        }
    }
    let segment = |p: Piece| Segment { to: p.stretch.to, curve: p.stretch.curve, face: p.face };
    let start = merged.first()?.stretch.from;
    let track = Track { start, segments: merged.into_iter().map(segment).collect() };
    let outline = Outline { loops: vec![track] };
    let thin = outline.area().abs() <= TOUCH_MM * outline.perimeter();
    outline.loops.into_iter().next().filter(|_| !thin)
}

/// Two pieces as one, where the second goes on along the curve of the first.
fn joined(a: &Piece, b: &Piece) -> Option<Piece> {
    /// Farther off the common line than this, a vertex is a corner, mm: well below
    /// what touches, well above rounding.
    const STRAIGHT_MM: f64 = 1e-9;
    if a.face != b.face {
        return None;
    }
    let both = Stretch { from: a.stretch.from, to: b.stretch.to, curve: a.stretch.curve };
    let fits = match (a.stretch.curve, b.stretch.curve) {
        (Curve::Line, Curve::Line) => {
            let along = both.to - both.from;
            along.dot(a.stretch.to - both.from) > 0.0
                && along.dot(b.stretch.to - b.stretch.from) > 0.0
                && (along.unit().cross(a.stretch.to - both.from)).abs() <= STRAIGHT_MM
        }
        (
            Curve::Arc { centre: p, anticlockwise: m },
            Curve::Arc { centre: q, anticlockwise: n },
        ) => {
            let (r, s) = (a.stretch.radius()?, b.stretch.radius()?);
            let sweep = a.stretch.sweep().abs() + b.stretch.sweep().abs();
            m == n
                && p.distance(q) <= TOUCH_MM
                && (r - s).abs() <= TOUCH_MM
                && sweep <= PI + STRAIGHT_MM
        }
        _ => false,
    };
    fits.then(|| Piece { ends: [a.ends[0], b.ends[1]], stretch: both, face: a.face.clone() })
}
