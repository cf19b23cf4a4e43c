//! Inlays in their pockets.

use super::*;
use crate::model::vector::{cross, dot, length, sub};
use crate::model::{
    Eased, Inlay, Pattern, Slit, Surface, inset_strips, nominal_strips, pocket_strips,
};

pub const RIPPLE: [&str; 4] = ["..###...", ".##.##..", "##...###", "#.....##"];

pub fn rows(text: &[&str]) -> Vec<Vec<bool>> {
    text.iter().map(|r| r.chars().map(|c| c == '#').collect()).collect()
}

/// A band on the outside of a cup with a straight or leaning wall.
pub fn band(host: &Outline, pattern: Pattern, sink_mm: f64, angle_deg: f64) -> Inlay {
    let host = Arc::new(Turned { outline: host.clone(), sides: None });
    let (low, high) = (host.outline.loops[0].segments[0].to, host.outline.loops[0].segments[1].to);
    let slope = (high.x - low.x) / (high.y - low.y);
    Inlay {
        surface: Surface::Round {
            host,
            radius_mm: low.x - slope * low.y,
            slope,
            outward: true,
            span_mm: [low.y, high.y],
            sides: None,
        },
        pattern,
        level_mm: 44.0,
        height_mm: 24.0,
        bearing: 0.0,
        sink_mm,
        proud_mm: 0.0,
        eased: Some(Eased { angle_rad: angle_deg.to_radians(), lower: false }),
        slit: None,
    }
}

pub fn chart(text: &[&str], repeats: u32) -> Pattern {
    Pattern::Chart { rows: rows(text), repeats }
}

/// An inlay and its host, both finished.
pub struct Pair {
    pub inlay: Made,
    pub host: Made,
    pub nominal: Made,
}

pub fn pair(outline: &Outline, inlay: &Inlay, gap: f64, placement: &Placement) -> Pair {
    pair_on(outline, inlay, gap, placement, 40.0).unwrap()
}

pub fn pair_on(
    outline: &Outline,
    inlay: &Inlay,
    gap: f64,
    placement: &Placement,
    radius_mm: f64,
) -> Result<Pair, String> {
    let mesher = mesher(radius_mm);
    let placed = |leaf| Body::Placed { body: Arc::new(Body::Leaf(leaf)), placement: *placement };
    let body = placed(Leaf::Inlay(Arc::new(inlay.clone())));
    let host = placed(Leaf::Turned(Arc::new(Turned { outline: outline.clone(), sides: None })));
    let pocket = Pocket { inlay: &body, grow_mm: 0.0, gap_behind_mm: 0.0, owner: 7 };
    let finish = Finish { seated: None, pockets: &[pocket] };
    let seated = Some(Seated { inset_mm: gap, owner: 7 });
    let inlay = mesher.finished(&body, &Finish { seated, pockets: &[] });
    Ok(Pair {
        inlay: inlay.map_err(|fault| format!("inlay: {fault}"))?,
        host: mesher.finished(&host, &finish).map_err(|fault| format!("host: {fault}"))?,
        nominal: mesher.nominal(&host).map_err(|fault| format!("nominal: {fault}"))?,
    })
}

fn segments(p: Vector, q: Vector, r: Vector, s: Vector) -> f64 {
    let (d1, d2, w) = (sub(q, p), sub(s, r), sub(p, r));
    let (a, e, f, c, b) = (dot(d1, d1), dot(d2, d2), dot(d2, w), dot(d1, w), dot(d1, d2));
    let det = a * e - b * b;
    let mut u = if det > 1e-14 * a * e { ((b * f - c * e) / det).clamp(0.0, 1.0) } else { 0.0 };
    let mut v = (b * u + f) / e;
    if !(0.0..=1.0).contains(&v) {
        v = v.clamp(0.0, 1.0);
        u = ((b * v - c) / a).clamp(0.0, 1.0);
    }
    length([0, 1, 2].map(|i| w[i] + d1[i] * u - d2[i] * v))
}

fn point_triangle(p: Vector, t: [Vector; 3]) -> f64 {
    let n = cross(sub(t[1], t[0]), sub(t[2], t[0]));
    let inside = (0..3).all(|k| dot(cross(n, sub(t[(k + 1) % 3], t[k])), sub(p, t[k])) >= 0.0);
    if inside { (dot(n, sub(p, t[0])) / length(n)).abs() } else { f64::INFINITY }
}

fn triangles(a: [Vector; 3], b: [Vector; 3]) -> f64 {
    let mut least = f64::INFINITY;
    for i in 0..3 {
        least = least.min(point_triangle(a[i], b)).min(point_triangle(b[i], a));
        for j in 0..3 {
            least = least.min(segments(a[i], a[(i + 1) % 3], b[j], b[(j + 1) % 3]));
        }
    }
    least
}

/// Least distance of the flanks and ceilings of two meshes, up to 1 mm.
pub fn least_gap(a: &Mesh, b: &Mesh) -> f64 {
    let flank = |t: Tag| matches!(t.kind(), FaceKind::Flank | FaceKind::Ceiling);
    let chosen = |m: &Mesh| -> Vec<[Vector; 3]> {
        let kept = (0..m.tags.len()).filter(|t| flank(m.tags[*t]));
        kept.map(|t| m.corners(t)).collect()
    };
    let others = chosen(b);
    let tree = Tree::of(others.iter().copied());
    let mut least = 1.0f64;
    for corners in chosen(a) {
        tree.meeting(&Bounds::of(corners).grown(least), |u| {
            least = least.min(triangles(corners, others[u as usize]));
        });
    }
    least
}

/// Steepest ceiling of a host's pocket from the vertical, deg; needles left out.
fn steepest(host: &Mesh) -> f64 {
    (0..host.triangles.len())
        .filter(|t| host.tags[*t].owner().is_some() && length(host.normal(*t)) > 1e-6)
        .map(|t| {
            let n = host.normal(t);
            (-n[2] / length(n)).clamp(-1.0, 1.0).asin().to_degrees()
        })
        .fold(0.0, f64::max)
}

/// Everything that must hold of a pair on its own facets.
pub fn judge(pair: &Pair, inlay: &Inlay, gap: f64, name: &str) {
    let drop = inlay.ceiling_drop().unwrap();
    let closing = drop.upper + drop.lower;
    let told = inset_strips(inlay, gap).unwrap().section(0.0);
    assert_eq!(pair.inlay.checks.pieces, told.pieces.len(), "{name}");
    assert_eq!(pair.inlay.checks.genus, told.loops() as i64, "{name}");
    assert_eq!((pair.host.checks.pieces, pair.host.checks.genus), (1, 0), "{name}");
    let overlap = overlap_mm3(&pair.host.mesh, &pair.inlay.mesh).unwrap();
    assert!(overlap.abs() < 1e-7, "{name} {overlap}");
    let least = least_gap(&pair.inlay.mesh, &pair.host.mesh);
    assert!(least >= gap - 0.001 && least < gap * 1.1 + 0.001, "{name} {least}");
    if let Some(eased) = inlay.eased.filter(|_| closing > 0.0) {
        let asked = eased.angle_rad.to_degrees();
        let found = steepest(&pair.host.mesh);
        assert!(found <= asked + 0.05, "{name} {found}");
    }
    assert_eq!(pair.host.checks.collapsing + pair.inlay.checks.collapsing, 0, "{name}");
}

/// The pocket by the way that shares nothing with sewing it in: host minus tool by a boolean.
fn by_boolean(pair: &Pair, inlay: &Inlay, placement: &Placement, radius_mm: f64) -> Mesh {
    let mesher = mesher(radius_mm);
    let layer = crate::layers::Layer::of_pocket(inlay, 0.0, 0.5).unwrap();
    let strips = pocket_strips(inlay, 0.0).unwrap();
    let tool =
        mesher.wrapped(inlay, placement, strips, &layer, Some(7), ladder::Bulge::Out).unwrap();
    combine::combined(Operation::Less, pair.nominal.mesh.clone(), &tool).unwrap()
}

/// What differs between a host with its pocket sewn in and one with its pocket cut.
pub fn differences(
    pair: &Pair,
    inlay: &Inlay,
    placement: &Placement,
    radius_mm: f64,
) -> Vec<String> {
    let cut = by_boolean(pair, inlay, placement, radius_mm);
    let mut wrong = vec![];
    let (a, b) = (pair.host.mesh.volume_mm3(), cut.volume_mm3());
    if (a - b).abs() > 1e-9 * a {
        wrong.push(format!("volume {a}, cut {b}"));
    }
    let (a, b) = (pair.host.mesh.area_mm2(), cut.area_mm2());
    if (a - b).abs() > 1e-7 * a {
        wrong.push(format!("area {a}, cut {b}"));
    }
    let again = checks(&cut);
    if !again.is_sound() || again.genus != pair.host.checks.genus {
        wrong.push(format!("cut: {again:?}"));
    }
    wrong
}

fn same_by_boolean(pair: &Pair, inlay: &Inlay, placement: &Placement, name: &str) {
    let wrong = differences(pair, inlay, placement, 40.0);
    assert!(wrong.is_empty(), "{name}: {wrong:?}");
}

#[test]
fn a_ripple_band_fits_its_cup() {
    let cup = cup_profile(39.6, 36.0, 3.0, 87.0);
    let here = Placement::IDENTITY;
    for (repeats, angle, gap) in [(14, 45.0, 0.1), (9, 30.0, 0.2), (24, 60.0, 0.05)] {
        let inlay = band(&cup, chart(&RIPPLE, repeats), 2.0, angle);
        let pair = pair(&cup, &inlay, gap, &here);
        judge(&pair, &inlay, gap, &format!("{repeats}"));
        same_by_boolean(&pair, &inlay, &here, &format!("{repeats}"));
        assert_eq!(pair.inlay.checks.genus, 1);
    }
}

/// Closed form: cells of angle w and height h at full depth T below R, easing k:
/// w * integral of (h - k d) (R - d) dd, on facets of the circle's area.
#[test]
fn the_pocket_has_its_closed_volume() {
    let cup = cup_profile(39.6, 36.0, 3.0, 87.0);
    let inlay = band(&cup, chart(&["####", "#..#"], 20), 1.5, 45.0);
    let pair = pair(&cup, &inlay, 0.1, &Placement::IDENTITY);
    let (r, t, k) = (39.6f64, 1.5f64, 1.0f64);
    let cell = |h: f64| h * (r * t - t * t / 2.0) - k * (r * t * t / 2.0 - t.powi(3) / 3.0);
    let w = std::f64::consts::TAU / 2.0;
    let expected = w * cell(24.0) + w * cell(12.0);
    let found = pair.nominal.mesh.volume_mm3() - pair.host.mesh.volume_mm3();
    assert!((found - expected).abs() < 1e-4 * expected, "{found} {expected}");
}

#[test]
fn bands_travel_with_their_host() {
    let cup = cup_profile(39.6, 36.0, 3.0, 87.0);
    let inlay = band(&cup, chart(&RIPPLE, 9), 2.0, 45.0);
    let flat = pair(&cup, &inlay, 0.1, &Placement::IDENTITY);
    let volume = flat.inlay.mesh.volume_mm3();
    let turns = [
        Placement::turned(2, 0.3).then(&Placement::shifted([0.0, 0.0, 5.0])),
        Placement::mirrored(0).then(&Placement::turned(2, 1.1)),
        Placement::turned(0, std::f64::consts::PI).then(&Placement::shifted([0.0, 0.0, 90.0])),
        Placement::turned(0, 0.4).then(&Placement::shifted([10.0, 5.0, 1.0])),
        Placement::shifted([100.0, 0.0, 0.0]),
    ];
    for (i, placement) in turns.iter().enumerate() {
        let moved = pair(&cup, &inlay, 0.1, placement);
        let least = least_gap(&moved.inlay.mesh, &moved.host.mesh);
        assert!((0.099..0.101).contains(&least), "{i} {least}");
        let found = moved.inlay.mesh.volume_mm3();
        assert!((found - volume).abs() < 1e-5 * volume, "{i} {found} {volume}");
        same_by_boolean(&moved, &inlay, placement, &format!("{i}"));
        // The same corner of the pattern is where the placement takes it.
        let middle = placement.point(flat.inlay.mesh.centroid().unwrap());
        let is = moved.inlay.mesh.centroid().unwrap();
        assert!(length(sub(middle, is)) < 1e-3, "{i} {middle:?} {is:?}");
    }
}

#[test]
fn bands_fit_leaning_walls() {
    for slope in [-0.12, 0.12] {
        let at = |z: f64| 38.0 + slope * (z - 40.0);
        let cup = profile(&[
            (0.0, 0.0),
            (at(0.0), 0.0),
            (at(87.0), 87.0),
            (at(87.0) - 4.0, 87.0),
            (at(3.0) - 4.0, 3.0),
            (0.0, 3.0),
        ]);
        for lower in [false, true] {
            let mut inlay = band(&cup, chart(&RIPPLE, 11), 2.0, 45.0);
            inlay.eased = Some(Eased { angle_rad: 45f64.to_radians(), lower });
            let here = Placement::IDENTITY;
            let pair = pair(&cup, &inlay, 0.1, &here);
            same_by_boolean(&pair, &inlay, &here, &format!("{slope} {lower}"));
            if !lower {
                judge(&pair, &inlay, 0.1, &format!("{slope}"));
            }
        }
    }
}

#[test]
fn tags_tell_what_is_what() {
    let cup = cup_profile(39.6, 36.0, 3.0, 87.0);
    let inlay = band(&cup, chart(&RIPPLE, 14), 2.0, 45.0);
    let pair = pair(&cup, &inlay, 0.1, &Placement::IDENTITY);
    let area = |m: &Made, kind| m.mesh.area_where(|t| t == Tag::new(kind, 7));
    let half = 2.0 * std::f64::consts::PI * 39.6 * 24.0 / 2.0;
    let show = area(&pair.inlay, FaceKind::Show);
    assert!((show / half - 0.9).abs() < 0.15, "{show} {half}");
    for kind in [FaceKind::Back, FaceKind::Flank, FaceKind::Ceiling] {
        assert!(area(&pair.inlay, kind) > 100.0 && area(&pair.host, kind) > 100.0);
    }
    let openings = area(&pair.host, FaceKind::Show);
    let wall = 2.0 * std::f64::consts::PI * 39.6 * 87.0;
    assert!(openings > 0.0 && openings < wall);
    let kept = combine::combined(Operation::Less, pair.host.mesh.clone(), &{
        let far = at(rod(10.0, 200.0), [38.0, 0.0, -10.0]);
        mesher(40.0).nominal(&far).unwrap().mesh
    })
    .unwrap();
    let floors = kept.area_where(|t| t == Tag::new(FaceKind::Back, 7));
    let before = area(&pair.host, FaceKind::Back);
    assert!(floors > 0.5 * before && floors < before);
}

#[test]
fn nominal_strips_are_what_the_mesh_shows() {
    let cup = cup_profile(39.6, 36.0, 3.0, 87.0);
    let mut inlay = band(&cup, chart(&RIPPLE, 14), 2.0, 45.0);
    inlay.slit = Some(Slit { width_mm: 0.5, bearing_rad: 0.0 });
    assert!(nominal_strips(&inlay).is_ok());
}
