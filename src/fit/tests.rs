//! Measurements of hand-made meshes with known distances.

use super::facet::Facet;
use super::ring::{Ring, opening_mm, ring, sections, strain_opened, strain_riding};
use super::seat::{ceiling, depth, face_step, gap};
use super::surface::HostSurface;
use super::tree::Tree;
use super::{lid, vector};
use crate::mesh::{FaceKind, Mesh, Tag, overlap_mm3};
use crate::model::{Enters, Inlay, PartId, Pattern, Placement, Slit, Surface, Turned, Vector};
use crate::plane::Outline;
use std::f64::consts::{PI, TAU};
use std::sync::Arc;

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
    let host = Arc::new(Turned { outline: Outline::default() });
    Inlay {
        surface: Surface::Round {
            host,
            radius_mm,
            slope: 0.0,
            outward: true,
            span_mm: [0.0, 40.0],
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
        let (fit, engagement) = lid::lid(&a, &b, 0.1).unwrap();
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
    let (fit, engagement) = lid::lid(&skirt, &jar, 0.15).unwrap();
    assert!((engagement - 8.0).abs() < 1e-12, "{engagement}");
    assert!((fit.least_mm - 0.15 * (PI / 128.0).cos()).abs() < 1e-6, "{fit:?}");
    let loose = tube(20.0, 25.0, 72.0, 86.0, plain, 128);
    assert!(lid::lid(&loose, &jar, 0.15).is_none(), "too far away to guide");
}

/// Shigley, Mechanical Engineering Design, 9th ed., problem 4-79: mean diameter 70, radial
/// 4.5, axial 3 mm, ends 1 mm apart; with E = 207 GPa (its table A-5) F = 11.67 N and
/// sigma = 80.7 MPa.
#[test]
fn the_slit_ring_of_a_textbook() {
    let (radius, thick, high, modulus) = (35.0, 4.5, 3.0, 207_000.0);
    let grown = 1.0 / (3.0 * PI);
    assert!((opening_mm(grown) - 1.0).abs() < 1e-12);
    let stress = modulus * strain_opened(thick, radius, grown);
    assert!((stress - 80.7).abs() < 0.05, "{stress}");
    let inertia = high * f64::powi(thick, 3) / 12.0;
    let force = modulus * inertia / (3.0 * PI * f64::powi(radius, 3));
    assert!((force - 11.67).abs() < 0.005, "{force}");
    // The same ring by its moment: M = 2 F R at the back.
    let by_moment = 2.0 * force * radius * thick / 2.0 / inertia;
    assert!((by_moment - stress).abs() < 1e-9);
}

/// Logan, A First Course in the Finite Element Method, problem 5-64: radii 1.85 to 2.15 in,
/// depth 0.2 in, E = 18e6 psi, opening 0.1 in; bending stress 14 324 psi, force 10.743 lbf.
#[test]
fn the_slit_ring_of_another_textbook() {
    let (radius, thick, modulus): (f64, f64, f64) = (2.0, 0.3, 18e6);
    let grown = 0.1 / (3.0 * PI);
    let stress = modulus * strain_opened(thick, radius, grown);
    assert!((stress - 14_324.0).abs() < 1.0, "{stress}");
    let force = modulus * 4.5e-4 / (3.0 * PI * radius.powi(3)) * 0.1;
    assert!((force - 10.743).abs() < 0.001, "{force}");
}

/// The contact problem solved afresh: a ring in contact over psi from the back, free
/// beyond, touching again at its tips. In units of grown / R^2 the curvature changes by
/// 1 in contact and by c (cos of the angle from the quarter turn) beyond.
#[test]
fn riding_is_between_wrapping_and_pulling() {
    let (thick, radius, grown) = (2.0, 41.0, 1.5);
    let unit = thick * grown / (radius * radius);
    let riding = strain_riding(thick, radius, grown) / unit;
    assert!((riding - 0.5933).abs() < 5e-5, "{riding}");
    assert!(riding > 0.5 && riding < strain_opened(thick, radius, grown) / unit);
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
    for section in sections(&band, &identity) {
        assert!((section.area - 20.0).abs() < 0.01, "{section:?}");
        assert!((section.thick - 2.0).abs() < 1e-3 && (section.radius - 39.0).abs() < 0.02);
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
        });
        let fit = fit.unwrap();
        assert!((fit.over_mm - 40.0).abs() < 1e-9, "{fit:?}");
        assert!((fit.opening_mm - 3.0 * PI * 2.0).abs() < 1e-6);
        let expected = 2.0 * 2.0 / (39.0 * 39.0) * 100.0;
        assert!((fit.strain_percent - expected).abs() < 2e-3 * expected, "{fit:?}");
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
        };
        ring(&asked).unwrap().over_mm
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
    let shared = overlap_mm3(&inner, &outer).unwrap();
    assert!((shared - expected).abs() < 1e-6 * expected, "{shared} {expected}");
    let within = tube(20.5, 21.0, 5.0, 9.0, plain, n);
    let all = overlap_mm3(&within, &outer).unwrap();
    assert!((all - volume(&within)).abs() < 1e-9 * all, "{all}");
    let apart = tube(18.0, 19.9, 0.0, 30.0, plain, n);
    assert_eq!(overlap_mm3(&apart, &outer).unwrap(), 0.0);
    let touching = tube(20.0, 22.0, 30.0, 40.0, plain, n);
    assert!(overlap_mm3(&touching, &outer).unwrap() < 1e-9);
}
