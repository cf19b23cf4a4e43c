//! Measurements of hand-made meshes with known distances.

use super::facet::Facet;
use super::lid;
use super::ring::{Ring, ring};
use super::seat::{ceiling, depth, face_step, gap};
use super::section::{STATIONS, Section, sections};
use super::surface::HostSurface;
use super::tree::Tree;
use crate::mesh::{FaceKind, Mesh, Obstacle, Tag, overlap_mm3};
use crate::model::vector;
use crate::model::{Enters, Inlay, PartId, Pattern, Placement, Slit, Surface, Turned, Vector};
use crate::plane::Outline;
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

/// The axis of a lid.
const UP: Option<Vector> = Some([0.0, 0.0, 1.0]);

/// A profile in (r, z) turned round the axis from `from` over `sweep` rad in `n` steps; a
/// tag for each side of the profile. Closed at its ends where the sweep is not full.
fn swept(profile: &[(f64, f64)], tags: &[Tag], n: usize, from: f64, sweep: f64, end: Tag) -> Mesh {
    let m = profile.len();
    let full = (sweep - TAU).abs() < 1e-12;
    let rows = if full { n } else { n + 1 };
    let mut mesh = Mesh::default();
    for k in 0..rows {
        let (sin, cos) = (from + sweep * k as f64 / n as f64).sin_cos();
        mesh.vertices.extend(profile.iter().map(|(r, z)| [r * cos, r * sin, *z]));
    }
    let id = |k: usize, j: usize| ((k % rows) * m + j % m) as u32;
    let mut add = |t: [u32; 3], tag: Tag| {
        mesh.triangles.push(t);
        mesh.tags.push(tag);
    };
    for k in 0..n {
        for (j, tag) in tags.iter().enumerate().take(m) {
            add([id(k, j), id(k + 1, j), id(k + 1, j + 1)], *tag);
            add([id(k, j), id(k + 1, j + 1), id(k, j + 1)], *tag);
        }
    }
    if !full {
        for j in 1..m - 1 {
            add([id(0, 0), id(0, j), id(0, j + 1)], end);
            add([id(n, 0), id(n, j + 1), id(n, j)], end);
        }
    }
    mesh
}

/// A ring of rectangular section; its profile runs anticlockwise from the inner lower corner.
fn tube(inner: f64, outer: f64, low: f64, high: f64, tags: [Tag; 4], n: usize) -> Mesh {
    let profile = [(inner, low), (outer, low), (outer, high), (inner, high)];
    swept(&profile, &tags, n, 0.0, TAU, Tag::PLAIN)
}

fn volume(mesh: &Mesh) -> f64 {
    let corner = |v: u32| mesh.vertices[v as usize];
    let six = |t: &[u32; 3]| {
        let [a, b, c] = t.map(corner);
        vector::dot(a, vector::cross(b, c))
    };
    mesh.triangles.iter().map(six).sum::<f64>() / 6.0
}

fn inlay_on(radius_mm: f64, slit: Option<Slit>) -> Inlay {
    let host = Arc::new(Turned { outline: Outline::default(), sides: None });
    Inlay {
        surface: Surface::Round {
            host,
            radius_mm,
            slope: 0.0,
            outward: true,
            span_mm: [0.0, 40.0],
            sides: None,
        },
        pattern: Pattern::Chart { rows: vec![vec![true]], repeats: 1 },
        level_mm: 20.0,
        height_mm: 10.0,
        bearing: 0.0,
        sink_mm: 2.0,
        proud_mm: 0.0,
        eased: None,
        slit,
    }
}

const OWNER: usize = 7;

fn tag(kind: FaceKind) -> Tag {
    Tag::new(kind, OWNER)
}

/// A band of 38 to 40 mm from z = 15.1 to 24.9, and a wall with its pocket from 15 to 25
/// with a ceiling of 45 deg.
fn band_and_wall(n: usize) -> (Mesh, Mesh) {
    let (flank, show, back, plain) =
        (tag(FaceKind::Flank), tag(FaceKind::Show), tag(FaceKind::Back), Tag::PLAIN);
    let slope = 0.1 * 2f64.sqrt();
    let band = swept(
        &[(38.0, 15.1), (40.0, 15.1), (40.0, 25.0 - slope), (38.0, 23.0 - slope)],
        &[flank, show, tag(FaceKind::Ceiling), back],
        n,
        0.0,
        TAU,
        Tag::PLAIN,
    );
    let wall = swept(
        &[
            (36.0, 0.0),
            (40.0, 0.0),
            (40.0, 15.0),
            (38.0, 15.0),
            (38.0, 23.0),
            (40.0, 25.0),
            (40.0, 40.0),
            (36.0, 40.0),
        ],
        &[plain, plain, flank, back, tag(FaceKind::Ceiling), plain, plain, plain],
        n,
        0.0,
        TAU,
        Tag::PLAIN,
    );
    (band, wall)
}

/// The gap of 0.1 mm is built in: 0.1 below, and 0.1 * sqrt 2 along the axis above a
/// ceiling of 45 deg is 0.1 square to it.
#[test]
fn gap_step_depth_and_ceiling_of_a_band_are_those_it_was_built_with() {
    let (band, wall) = band_and_wall(96);
    assert!(volume(&band) > 0.0 && volume(&wall) > 0.0);
    let fit = gap(&band, &wall, OWNER, 0.1, |_| false).unwrap();
    assert!((fit.least_mm - 0.1).abs() < 1e-3 * 0.1, "{fit:?}");
    assert!((fit.median_mm - 0.1).abs() < 1e-3, "{fit:?}");
    // Beside the floor a point of the ceiling faces the corner of the pocket: the foot of
    // its perpendicular would lie 0.1 / sqrt 2 behind the floor.
    let corner = f64::hypot(0.1 / 2f64.sqrt(), 0.1 * 2f64.sqrt() - 0.1 / 2f64.sqrt());
    assert!(fit.most_mm <= corner.max(0.1 * 2f64.sqrt()) && fit.most_mm > 0.1, "{fit:?}");
    let inlay = inlay_on(40.0, None);
    let surface = HostSurface::of(&inlay, &Placement::IDENTITY, &wall);
    let step = face_step(&band, OWNER, &surface);
    assert!(step[0].abs() < 1e-9 && step[1].abs() < 1e-9, "{step:?}");
    // The facets of the floor lie 2 mm, times the cosine of half a facet, below those of
    // the surface.
    let expected = 2.0 * (PI / 96.0).cos();
    let measured = depth(&wall, OWNER, &surface);
    assert!((measured - expected).abs() < 1e-9, "{measured} {expected}");
    // A chord leans less than the generator: tan = tan 45 deg / cos(half a facet).
    let slope = ceiling(&wall, OWNER, PI / 4.0, &Placement::IDENTITY);
    let facet = (1.0f64).atan2((PI / 96.0).cos()).to_degrees();
    assert!((slope.steepest_deg - 45.0).abs() < (facet - 45.0).abs() + 1e-6, "{slope:?}");
    let turned = ceiling(&wall, OWNER, PI / 4.0, &Placement::turned(0, PI));
    assert!((turned.steepest_deg - 90.0).abs() < 1e-6, "a sharp underside is a ceiling then");
}

#[test]
fn a_band_that_stands_out_is_seen() {
    let (mut band, wall) = band_and_wall(96);
    for p in &mut band.vertices {
        let r = p[0].hypot(p[1]);
        *p = [p[0] * (r + 0.05) / r, p[1] * (r + 0.05) / r, p[2]];
    }
    let inlay = inlay_on(40.0, None);
    let surface = HostSurface::of(&inlay, &Placement::IDENTITY, &wall);
    let step = face_step(&band, OWNER, &surface);
    let expected = 0.05 * (PI / 96.0).cos();
    assert!((step[0] - expected).abs() < 1e-9 && (step[1] - expected).abs() < 1e-9, "{step:?}");
}

/// Coaxial tubes of the same facets: the distance of their walls is the difference of
/// radii times cos(pi / n), in the middle of every facet.
#[test]
fn coaxial_tubes_are_apart_by_the_closed_form() {
    for n in [24, 64, 200] {
        let plain = [Tag::PLAIN; 4];
        let (a, b) = (tube(18.0, 20.0, 0.0, 30.0, plain, n), tube(20.1, 22.0, 0.0, 30.0, plain, n));
        let tree = |m: &Mesh| Tree::new((0..m.triangles.len()).map(|t| Facet::of(m, t)));
        let near = tree(&a).least(&tree(&b), |_, _| true).unwrap();
        let expected = 0.1 * (PI / n as f64).cos();
        assert!((near.distance - expected).abs() < 1e-6, "{n} {near:?}");
        let (fit, engagement) = lid::slide(&a, &b, 0.1, UP).unwrap();
        assert!((fit.least_mm - expected).abs() < 1e-6);
        assert!(fit.median_mm < 0.1001 && fit.most_mm < 0.11);
        assert!((engagement - 30.0).abs() < 1e-12);
    }
}

#[test]
fn a_plug_is_engaged_as_far_as_its_skirt_reaches_down() {
    let plain = [Tag::PLAIN; 4];
    let jar = tube(36.0, 39.6, 0.0, 80.0, plain, 128);
    let skirt = tube(33.0, 35.85, 72.0, 86.0, plain, 128);
    let (fit, engagement) = lid::slide(&skirt, &jar, 0.15, UP).unwrap();
    assert!((engagement - 8.0).abs() < 1e-12, "{engagement}");
    assert!((fit.least_mm - 0.15 * (PI / 128.0).cos()).abs() < 1e-6, "{fit:?}");
    let loose = tube(20.0, 25.0, 72.0, 86.0, plain, 128);
    assert!(lid::slide(&loose, &jar, 0.15, UP).is_none(), "too far away to guide");
}

/// Upright flanks of a motif often lie in a station's half plane: the section is then that
/// beside it, whole, whichever way the rounding of its corners falls.
#[test]
fn a_ring_whose_corners_lie_on_the_stations_keeps_whole_sections() {
    let step = TAU / STATIONS as f64;
    let (side, flank) = (tag(FaceKind::Back), tag(FaceKind::Flank));
    let profile = [(38.0, 15.0), (40.0, 15.0), (40.0, 25.0), (38.0, 25.0)];
    for turned in [0.0, 1.0, 2.5, 4.0] {
        let first = turned + 10.5 * step;
        let band = swept(&profile, &[side, side, side, side], 300, first, 600.0 * step, flank);
        let found = sections(&band, &Placement::IDENTITY, turned);
        let present = found.iter().flatten().count();
        assert!((599..=601).contains(&present), "{present}");
        for s in found.into_iter().flatten() {
            assert!((s.area - 20.0).abs() < 0.01 && (s.centroid - 39.0).abs() < 0.01, "{s:?}");
        }
    }
}

#[test]
fn a_slit_ring_on_a_cylinder_has_the_section_and_strain_of_its_measures() {
    let slit = 0.5 / 38.0;
    let back = tag(FaceKind::Back);
    let (show, flank) = (tag(FaceKind::Show), tag(FaceKind::Flank));
    let profile = [(38.0, 15.0), (40.0, 15.0), (40.0, 25.0), (38.0, 25.0)];
    let band = swept(
        &profile,
        &[flank, show, flank, back],
        200,
        slit / 2.0,
        TAU - slit,
        tag(FaceKind::Slit),
    );
    let (_, wall) = band_and_wall(200);
    let identity = Placement::IDENTITY;
    let found = sections(&band, &identity, 0.0);
    let gone = (slit / TAU * found.len() as f64).floor() as usize;
    assert_eq!(found.iter().filter(|s| s.is_none()).count(), gone);
    let like = Section::rectangle(38.0, 40.0, 10.0);
    for s in found.into_iter().flatten() {
        // Chords of 200 facets lie 0.005 mm inside their circle at the most.
        assert!((s.area - 20.0).abs() < 0.01 && (s.centroid - 39.0).abs() < 0.01, "{s:?}");
        assert!((s.inertia / like.inertia - 1.0).abs() < 1e-3, "{s:?}");
        let apart = (s.centroid - s.neutral) / (like.centroid - like.neutral);
        assert!((apart - 1.0).abs() < 1e-3, "{s:?} {like:?}");
    }
    let inlay = inlay_on(40.0, Some(Slit { width_mm: 0.5, bearing_rad: 0.0 }));
    for enters in [Enters::Top, Enters::Bottom, Enters::Surface] {
        let fit = ring(&Ring {
            part: PartId(0),
            mesh: &band,
            inlay: &inlay,
            placement: &identity,
            host: &wall,
            enters,
            permitted: Some(0.03),
            turn: &identity,
        });
        let fit = fit.unwrap().unwrap();
        assert!((fit.over_mm - 40.0).abs() < 1e-9, "{fit:?}");
        // The tips move out the more the wider the slit: by pi / 2 of its half angle at
        // each of them, which a shift of the whole ring halves.
        let less = 1.0 + PI / 4.0 * slit / 2.0;
        assert!((fit.opening_mm * less / (6.0 * PI) - 1.0).abs() < 1e-3, "{fit:?}");
        let expected = 2.0 * 2.0 / (39.0 * 39.0) * 100.0;
        assert!((fit.uniform_percent - expected).abs() < 2e-3 * expected, "{fit:?}");
        // Winkler and Bach's inner fibre of R / t = 19.5, and the pull: t / (12 R).
        let curved = expected * (1.0 + 2.0 / (3.0 * 39.0) + 2.0 / (12.0 * 39.0)) / less;
        assert!((fit.strain_percent - curved).abs() < 2e-3 * curved, "{fit:?} {curved}");
        assert!((fit.strain_at_deg - 180.0).abs() < 2.0, "{fit:?}");
        assert_eq!(fit.permitted_percent, Some(3.0));
    }
}

/// A vessel that is narrower at its top is entered there more easily than over its foot.
#[test]
fn a_ring_must_pass_what_lies_between_its_seat_and_its_end() {
    let (_, mut wall) = band_and_wall(64);
    for p in &mut wall.vertices {
        if p[2] == 0.0 {
            *p = [p[0] * 1.1, p[1] * 1.1, 0.0];
        }
    }
    let (band, _) = band_and_wall(64);
    let inlay = inlay_on(40.0, Some(Slit { width_mm: 0.5, bearing_rad: 0.0 }));
    let over = |enters| {
        let asked = Ring {
            part: PartId(0),
            mesh: &band,
            inlay: &inlay,
            placement: &Placement::IDENTITY,
            host: &wall,
            enters,
            permitted: None,
            turn: &Placement::IDENTITY,
        };
        ring(&asked).unwrap().unwrap().over_mm
    };
    assert!((over(Enters::Top) - 40.0).abs() < 1e-9);
    assert!((over(Enters::Bottom) - 44.0).abs() < 1e-9);
}

#[test]
fn points_off_the_axis_are_measured_in_the_frame_of_their_host() {
    let (band, wall) = band_and_wall(96);
    let placement = Placement::turned(1, 0.7).then(&Placement::shifted([3.0, -2.0, 9.0]));
    let moved = |m: &Mesh| Mesh {
        vertices: m.vertices.iter().map(|p| placement.point(*p)).collect::<Vec<Vector>>(),
        ..m.clone()
    };
    let (band, wall) = (moved(&band), moved(&wall));
    let inlay = inlay_on(40.0, None);
    let surface = HostSurface::of(&inlay, &placement, &wall);
    let step = face_step(&band, OWNER, &surface);
    assert!(step[0].abs() < 1e-9 && step[1].abs() < 1e-9, "{step:?}");
    let fit = gap(&band, &wall, OWNER, 0.1, |_| false).unwrap();
    assert!((fit.least_mm - 0.1).abs() < 1e-4, "{fit:?}");
}

/// A tube pushed 0.01 mm into another one shares a thin skin with it, by the closed form
/// of regular polygons: n / 2 sin(2 pi / n) (R^2 - r^2) h. A body within another one shares
/// all of itself, though their faces are apart.
#[test]
fn injected_overlaps_are_measured() {
    let plain = [Tag::PLAIN; 4];
    let n = 96;
    let (inner, outer) =
        (tube(18.0, 20.01, 0.0, 30.0, plain, n), tube(20.0, 22.0, 0.0, 30.0, plain, n));
    let sector = n as f64 / 2.0 * (TAU / n as f64).sin();
    let expected = sector * (20.01 * 20.01 - 20.0 * 20.0) * 30.0;
    let shared = overlap_mm3(&Obstacle::of(&inner), &Obstacle::of(&outer)).unwrap();
    assert!((shared - expected).abs() < 1e-6 * expected, "{shared} {expected}");
    let within = tube(20.5, 21.0, 5.0, 9.0, plain, n);
    let all = overlap_mm3(&Obstacle::of(&within), &Obstacle::of(&outer)).unwrap();
    assert!((all - volume(&within)).abs() < 1e-9 * all, "{all}");
    let apart = tube(18.0, 19.9, 0.0, 30.0, plain, n);
    assert_eq!(overlap_mm3(&Obstacle::of(&apart), &Obstacle::of(&outer)).unwrap(), 0.0);
    let touching = tube(20.0, 22.0, 30.0, 40.0, plain, n);
    assert!(overlap_mm3(&Obstacle::of(&touching), &Obstacle::of(&outer)).unwrap() < 1e-9);
}
