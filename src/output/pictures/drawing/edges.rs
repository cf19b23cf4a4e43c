//! The visible edges of a view: creases and silhouettes that nothing hides.

use super::super::section::Frame;
use super::depth::{Cut, Depths};
use crate::mesh::Mesh;
use crate::model::Vector;
use crate::model::vector::{cross, dot};
use crate::plane::Point;
use std::collections::BTreeMap;

/// Faces that meet at a smaller angle (cosine; 30 deg) are one curved face.
const CREASE: f64 = 0.866;

/// Faces never meet at so large an angle.
const NO_CREASE: f64 = -2.0;

/// A face whose normal leans to the viewer by less is seen edge-on.
const EDGE_ON: f64 = 1e-9;

/// Points of drawn lines that leave the straight line by less are left out, mm.
const STRAIGHT_MM: f64 = 0.004;

/// Visible edges of meshes as runs of points, mm in the view.
pub(super) fn visible(
    meshes: &[&Mesh],
    frame: &Frame,
    box_mm: [Point; 2],
    cut: Cut,
) -> Vec<Vec<Point>> {
    let depths = Depths::of(meshes, frame, box_mm, cut);
    let mut pieces = Vec::new();
    for mesh in meshes {
        seen(mesh, frame, &depths, CREASE, &mut pieces);
    }
    chained(pieces)
}

/// The outline of one mesh where neither it nor the others hide it.
pub(super) fn outline(
    mesh: &Mesh,
    others: &[&Mesh],
    frame: &Frame,
    box_mm: [Point; 2],
    cut: Cut,
) -> Vec<Vec<Point>> {
    let all: Vec<&Mesh> = others.iter().copied().chain([mesh]).collect();
    let depths = Depths::of(&all, frame, box_mm, cut);
    let mut pieces = Vec::new();
    seen(mesh, frame, &depths, NO_CREASE, &mut pieces);
    chained(pieces)
}

fn seen(mesh: &Mesh, frame: &Frame, depths: &Depths, crease: f64, pieces: &mut Vec<[Point; 2]>) {
    for [a, b] in drawn_edges(mesh, frame, crease) {
        let ends = [a, b].map(|v| mesh.vertices[v as usize]);
        let ends = ends.map(|v| (frame.flat(v), frame.height(v)));
        visible_pieces(depths, ends, pieces);
    }
}

/// Edges that are silhouettes, or where faces meet at an angle of a lesser cosine.
fn drawn_edges(mesh: &Mesh, frame: &Frame, crease: f64) -> Vec<[u32; 2]> {
    let toward = frame.toward();
    let normals: Vec<Vector> =
        mesh.triangles.iter().map(|t| unit_normal(t.map(|v| mesh.vertices[v as usize]))).collect();
    let mut sides: Vec<([u32; 2], u32)> = Vec::with_capacity(mesh.triangles.len() * 3);
    for (face, t) in mesh.triangles.iter().enumerate() {
        for [a, b] in [[t[0], t[1]], [t[1], t[2]], [t[2], t[0]]] {
            sides.push(([a.min(b), a.max(b)], face as u32));
        }
    }
    sides.sort_unstable();
    let is_drawn = |pair: &[([u32; 2], u32)]| {
        let [(_, f), (_, g)] = pair else { return true };
        let (n, m) = (normals[*f as usize], normals[*g as usize]);
        let (a, b) = (dot(n, toward), dot(m, toward));
        let turned_away = a < EDGE_ON && b < EDGE_ON;
        let silhouette = (a > EDGE_ON) != (b > EDGE_ON);
        !turned_away && (silhouette || dot(n, m) < crease)
    };
    sides.chunk_by(|a, b| a.0 == b.0).filter(|pair| is_drawn(pair)).map(|p| p[0].0).collect()
}

fn unit_normal([a, b, c]: [Vector; 3]) -> Vector {
    let [u, v] = [b, c].map(|p| [p[0] - a[0], p[1] - a[1], p[2] - a[2]]);
    let n = cross(u, v);
    let length = dot(n, n).sqrt();
    if length > 0.0 { n.map(|c| c / length) } else { [0.0; 3] }
}

/// The parts of an edge that are seen.
fn visible_pieces(depths: &Depths, ends: [(Point, f64); 2], pieces: &mut Vec<[Point; 2]>) {
    let [(a, ha), (b, hb)] = ends;
    let steps = (a.distance(b) / (2.0 * depths.cell_mm())).ceil().max(1.0) as usize;
    let at = |i: usize| a + (b - a) * (i as f64 / steps as f64);
    let mut start = None;
    for i in 0..=steps {
        let t = (i as f64 + 0.5) / steps as f64;
        let seen = i < steps && depths.sees(a + (b - a) * t, ha + (hb - ha) * t);
        match (seen, start) {
            (true, None) => start = Some(i),
            (false, Some(first)) => {
                pieces.push([at(first), if i == steps { b } else { at(i) }]);
                start = None;
            }
            _ => {}
        }
    }
}

/// Places nearer than this are one, in parts of a mm.
fn key(p: Point) -> [i64; 2] {
    [p.x, p.y].map(|c| (c * 2000.0).round() as i64)
}

/// Pieces that follow each other made one run, without points on straight lines.
pub(super) fn chained(pieces: Vec<[Point; 2]>) -> Vec<Vec<Point>> {
    let mut pieces: Vec<[Point; 2]> =
        pieces.into_iter().filter(|[a, b]| key(*a) != key(*b)).collect();
    let sorted = |[a, b]: &[Point; 2]| {
        let (a, b) = (key(*a), key(*b));
        (a.min(b), a.max(b))
    };
    pieces.sort_by_key(sorted);
    pieces.dedup_by_key(|p| sorted(p));
    let mut ends: BTreeMap<[i64; 2], Vec<usize>> = BTreeMap::new();
    for (i, piece) in pieces.iter().enumerate() {
        for end in piece {
            ends.entry(key(*end)).or_default().push(i);
        }
    }
    let mut used = vec![false; pieces.len()];
    let mut runs = Vec::new();
    for first in 0..pieces.len() {
        if used[first] {
            continue;
        }
        used[first] = true;
        let [a, b] = pieces[first];
        let mut back = vec![b, a];
        follow(&pieces, &ends, &mut used, &mut back);
        back.reverse();
        follow(&pieces, &ends, &mut used, &mut back);
        runs.push(straightened(&back));
    }
    runs
}

/// Goes on from the last point as long as exactly one other piece starts there.
fn follow(
    pieces: &[[Point; 2]],
    ends: &BTreeMap<[i64; 2], Vec<usize>>,
    used: &mut [bool],
    run: &mut Vec<Point>,
) {
    while let Some(last) = run.last().copied() {
        let Some([p, q]) = ends.get(&key(last)).and_then(|e| <[usize; 2]>::try_from(&e[..]).ok())
        else {
            return;
        };
        let next = if used[p] { q } else { p };
        if used[next] {
            return;
        }
        used[next] = true;
        let [a, b] = pieces[next];
        run.push(if key(a) == key(last) { b } else { a });
    }
}

/// Without points that lie on the straight line between their neighbours.
pub(super) fn straightened(run: &[Point]) -> Vec<Point> {
    let mut kept: Vec<Point> = Vec::new();
    let mut from = 0;
    while from + 1 < run.len() {
        kept.push(run[from]);
        let fits = |to: usize| {
            let along = (run[to] - run[from]).unit();
            let ahead = (run[to] - run[from]).dot(along);
            run[from + 1..to].iter().all(|p| {
                let d = *p - run[from];
                d.cross(along).abs() < STRAIGHT_MM && (0.0..=ahead).contains(&d.dot(along))
            })
        };
        let mut to = from + 1;
        // A step that is too long for one point is too long for all later ones, near
        // enough; runs are short of a thousand points.
        while to + 1 < run.len() && to - from < LONGEST_STEP && fits(to + 1) {
            to += 1;
        }
        from = to;
    }
    kept.extend(run.last());
    kept
}

/// Points that one straight line may replace.
const LONGEST_STEP: usize = 200;
