//! Slits, proud bands, figures, flat faces, prisms in pockets, hosts that are joined.

use super::seats::*;
use super::*;
use crate::model::{Eased, Inlay, Pattern, Slit, Surface};
use crate::plane::disc;
use std::f64::consts::{PI, TAU};

const WALL: f64 = 39.6;

fn cup() -> Outline {
    cup_profile(WALL, 36.0, 3.0, 87.0)
}

fn ring() -> Inlay {
    band(&cup(), chart(&RIPPLE, 14), 2.0, 45.0)
}

fn figure(ink: Outline, bearing: f64) -> Inlay {
    let mut inlay = band(&cup(), Pattern::Figure { ink }, 2.0, 45.0);
    inlay.bearing = bearing;
    inlay
}

fn leaf(inlay: &Inlay) -> Body {
    Body::Leaf(Leaf::Inlay(Arc::new(inlay.clone())))
}

fn pocket(inlay: &Body, owner: usize) -> Pocket<'_> {
    Pocket { inlay, grow_mm: 0.0, gap_behind_mm: 0.0, owner }
}

fn with_pockets(host: &Body, pockets: &[Pocket]) -> Made {
    let finish = Finish { seated: None, pockets };
    mesher(40.0).finished(host, &finish).unwrap()
}

fn seated(inlay: &Body, inset_mm: f64) -> Made {
    let finish = Finish { seated: Some(Seated { inset_mm, owner: 7 }), pockets: &[] };
    mesher(40.0).finished(inlay, &finish).unwrap()
}

/// Both ways to a pocket give the same body.
fn same_both_ways(host: &Body, pockets: &[Pocket]) -> Made {
    let finish = Finish { seated: None, pockets };
    let (a, b) = (with_pockets(host, pockets), mesher(40.0).cut(host, &finish).unwrap());
    let (va, vb) = (a.mesh.volume_mm3(), b.mesh.volume_mm3());
    assert!((va - vb).abs() < 1e-9 * va, "{va} {vb}");
    assert_eq!(a.checks.genus, b.checks.genus);
    a
}

#[test]
fn a_slit_opens_the_ring_and_not_the_pocket() {
    let mut inlay = ring();
    inlay.slit = Some(Slit { width_mm: 0.5, bearing_rad: 0.0 });
    let pair = pair(&cup(), &inlay, 0.1, &Placement::IDENTITY);
    assert_eq!((pair.inlay.checks.pieces, pair.inlay.checks.genus), (1, 0));
    let whole = pair_volume(&ring());
    let opened = whole.0 - pair.inlay.mesh.volume_mm3();
    assert!(opened > 0.0 && (whole.1 - pair.host.mesh.volume_mm3()).abs() < 1e-6);
}

fn pair_volume(inlay: &Inlay) -> (f64, f64) {
    let pair = pair(&cup(), inlay, 0.1, &Placement::IDENTITY);
    (pair.inlay.mesh.volume_mm3(), pair.host.mesh.volume_mm3())
}

/// The pocket of a band that stands out is the same band's, eased from the show face on.
#[test]
fn proud_bands_fit() {
    let mut inlay = ring();
    inlay.proud_mm = 0.6;
    let pair = pair(&cup(), &inlay, 0.1, &Placement::IDENTITY);
    judge(&pair, &inlay, 0.1, "proud");
    let widest = pair.inlay.mesh.vertices.iter().map(|v| v[0].hypot(v[1])).fold(0.0, f64::max);
    assert!((widest - 40.2).abs() < 0.005, "{widest}");
    let body = leaf(&inlay);
    same_both_ways(&turned(cup()), &[pocket(&body, 7)]);
}

#[test]
fn lower_edges_are_eased_for_hosts_upside_down() {
    let mut inlay = ring();
    inlay.eased = Some(Eased { angle_rad: 45f64.to_radians(), lower: true });
    let pair = pair(&cup(), &inlay, 0.1, &Placement::IDENTITY);
    let least = least_gap(&pair.inlay.mesh, &pair.host.mesh);
    assert!((0.099..0.101).contains(&least), "{least}");
    let ceiling = Tag::new(FaceKind::Ceiling, 7);
    let up = (0..pair.host.mesh.triangles.len())
        .filter(|t| pair.host.mesh.tags[*t] == ceiling)
        .all(|t| pair.host.mesh.normal(t)[2] > -1e-12);
    assert!(up, "seen in assembly axes a ceiling of the turned host looks up");
}

/// Figures side by side: the first pocket is sewn in, the others are cut.
#[test]
fn figures_side_by_side() {
    let inlays: Vec<Body> =
        (0..3).map(|k| leaf(&figure(disc(12.0).unwrap(), TAU / 3.0 * f64::from(k)))).collect();
    let pockets: Vec<Pocket> = inlays.iter().enumerate().map(|(k, b)| pocket(b, k)).collect();
    let host = same_both_ways(&turned(cup()), &pockets);
    assert_eq!((host.checks.pieces, host.checks.genus), (1, 0));
    for (k, inlay) in inlays.iter().enumerate() {
        let made = seated(inlay, 0.2);
        assert_eq!((made.checks.pieces, made.checks.genus), (1, 0));
        let least = least_gap(&made.mesh, &host.mesh);
        assert!((0.199..0.215).contains(&least), "{k} {least}");
        assert_eq!(overlap_mm3(&made.mesh, &host.mesh).unwrap(), 0.0);
    }
}

/// Feet below keep clear of the band; a handle over it does not, and loses its share.
#[test]
fn joined_hosts_get_their_pockets_too() {
    let body = leaf(&ring());
    let foot = at(rod(6.0, 4.0), [30.0, 0.0, -4.0]);
    let footed = boolean(Operation::Join, turned(cup()), foot);
    let made = same_both_ways(&footed, &[pocket(&body, 7)]);
    assert_eq!((made.checks.pieces, made.checks.genus), (1, 0));
    let handle = at(block([20.0, 8.0, 60.0]), [45.0, 0.0, 10.0]);
    let held = boolean(Operation::Join, turned(cup()), handle);
    let whole = mesher(40.0).nominal(&held).unwrap();
    let cut = with_pockets(&held, &[pocket(&body, 7)]);
    let plain = with_pockets(&turned(cup()), &[pocket(&body, 7)]);
    let bare = mesher(40.0).nominal(&turned(cup())).unwrap();
    let (taken, alone) = (
        whole.mesh.volume_mm3() - cut.mesh.volume_mm3(),
        bare.mesh.volume_mm3() - plain.mesh.volume_mm3(),
    );
    assert!(taken > alone - 1e-6, "{taken} {alone}");
    let inlay = seated(&body, 0.1);
    assert_eq!(overlap_mm3(&inlay.mesh, &cut.mesh).unwrap(), 0.0);
}

/// On the front of a block: u to the right, z up, normal towards -y.
fn on_front(host: &Body, ink: Outline, sink_mm: f64) -> Inlay {
    Inlay {
        surface: Surface::Flat {
            host: Arc::new(host.clone()),
            origin: [0.0, -15.0, 0.0],
            right: [1.0, 0.0, 0.0],
            up: [0.0, 0.0, 1.0],
            normal: [0.0, -1.0, 0.0],
            width_mm: [-20.0, 20.0],
            span_mm: [0.0, 30.0],
        },
        pattern: Pattern::Figure { ink },
        level_mm: 15.0,
        height_mm: 10.0,
        bearing: 0.0,
        sink_mm,
        proud_mm: 0.0,
        eased: Some(Eased { angle_rad: 45f64.to_radians(), lower: false }),
        slit: None,
    }
}

/// Closed form: w (h T - T^2 / 2) at 45 deg; in the pocket's host that much is missing.
#[test]
fn flat_sides_take_inlays() {
    let host = block([40.0, 30.0, 30.0]);
    let inlay = on_front(&host, rect(16.0, 10.0, Edge::None).unwrap(), 2.0);
    let body = leaf(&inlay);
    let made = with_pockets(&host, &[pocket(&body, 7)]);
    let expected = 16.0 * (10.0 * 2.0 - 2.0);
    let taken = 36_000.0 - made.mesh.volume_mm3();
    assert!((taken - expected).abs() < 1e-6, "{taken} {expected}");
    let piece = seated(&body, 0.15);
    let least = least_gap(&piece.mesh, &made.mesh);
    assert!((0.1499..0.152).contains(&least), "{least}");
    assert_eq!(overlap_mm3(&piece.mesh, &made.mesh).unwrap(), 0.0);
    let show = piece.mesh.bounds().low[1];
    assert!((show + 15.0).abs() < 1e-9, "{show}");
    let turn = Placement::turned(2, 0.7).then(&Placement::mirrored(0));
    let placed = |b: Body| Body::Placed { body: Arc::new(b), placement: turn };
    let moved_body = placed(body);
    let moved = with_pockets(&placed(host), &[pocket(&moved_body, 7)]);
    assert!((moved.mesh.volume_mm3() - made.mesh.volume_mm3()).abs() < 1e-6);
}

/// On the lid of a cylinder: level, so nothing is eased.
#[test]
fn level_faces_take_inlays() {
    let host = rod(60.0, 8.0);
    let mut inlay = on_front(&host, disc(20.0).unwrap(), 1.5);
    inlay.surface = Surface::Flat {
        host: Arc::new(host.clone()),
        origin: [0.0, 0.0, 8.0],
        right: [1.0, 0.0, 0.0],
        up: [0.0, 1.0, 0.0],
        normal: [0.0, 0.0, 1.0],
        width_mm: [-30.0, 30.0],
        span_mm: [-30.0, 30.0],
    };
    (inlay.level_mm, inlay.height_mm) = (0.0, 20.0);
    let body = leaf(&inlay);
    let made = with_pockets(&host, &[pocket(&body, 7)]);
    let taken = PI * 900.0 * 8.0 - made.mesh.volume_mm3();
    // The ink is flattened to 0.005 mm by chords inside the circle.
    assert!((taken - PI * 100.0 * 1.5).abs() < 0.4, "{taken}");
    let piece = seated(&body, 0.1);
    let least = least_gap(&piece.mesh, &made.mesh);
    assert!((0.099..0.105).contains(&least), "{least}");
}

/// A plug in the top of a block, and one inside it.
#[test]
fn prisms_sit_in_pockets() {
    let host = block([40.0, 30.0, 20.0]);
    let plug = prism_of(rect(10.0, 8.0, Edge::None).unwrap(), 6.0, 0.0, [Edge::None; 2]);
    let flush = at(plug.clone(), [3.0, 1.0, 14.0]);
    let mut place = pocket(&flush, 3);
    place.gap_behind_mm = 0.5;
    let made = with_pockets(&host, &[place]);
    let taken = 24_000.0 - made.mesh.volume_mm3();
    assert!((taken - 80.0 * 6.5).abs() < 1e-9, "{taken}");
    assert_eq!((made.checks.pieces, made.checks.genus), (1, 0));
    let piece = seated(&flush, 0.2);
    let least = least_gap(&piece.mesh, &made.mesh);
    assert!((least - 0.2).abs() < 1e-9, "{least}");
    let through = at(prism_of(disc(8.0).unwrap(), 20.0, 0.0, [Edge::None; 2]), [0.0; 3]);
    let made = with_pockets(&host, &[pocket(&through, 3)]);
    assert_eq!((made.checks.pieces, made.checks.genus), (1, 1));
    assert!((24_000.0 - made.mesh.volume_mm3() - PI * 16.0 * 20.0).abs() < 1e-6);
}

#[test]
fn what_cannot_sit_in_a_pocket_is_said() {
    let rod = rod(5.0, 5.0);
    let pockets = [pocket(&rod, 0)];
    let finish = Finish { seated: None, pockets: &pockets };
    let found = mesher(40.0).finished(&block([9.0, 9.0, 9.0]), &finish);
    assert_eq!(found.err(), Some(MeshFault::NotAnInlay));
}
