use super::super::scene::{Apart, SceneBody};
use super::super::tests::{tube, turned};
use super::*;

fn body(mesh: &crate::mesh::Mesh) -> SceneBody<'_> {
    SceneBody { name: "tube", colour: [200, 60, 40], mesh, apart: Apart::Along([0.0, 0.0, 40.0]) }
}

const SMALL: Shot = Shot { width: 160, height: 120, apart: 0.0 };

#[test]
fn the_same_bytes_on_any_number_of_cores() {
    let mesh = tube(30.0, 26.0, 50.0, 90);
    let draw = |threads| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| super::super::view_png(&[body(&mesh)], SMALL).unwrap())
    };
    let one = draw(1);
    assert_eq!(one, draw(2));
    assert_eq!(one, draw(8));
}

/// A ball appears as a disc: pi r2 of its pixels are red (closed form), the rest is
/// paper.
#[test]
fn a_ball_covers_the_area_of_its_disc() {
    let profile: Vec<[f64; 2]> = (0..=180)
        .map(|i| f64::from(i).to_radians())
        .map(|a| [20.0 * a.sin(), -20.0 * a.cos()])
        .collect();
    let mesh = turned(&profile, 360);
    let taken = pixels(&[body(&mesh)], &[body(&mesh)], SMALL);
    let red = taken.rgb.chunks(3).filter(|p| p[0].saturating_sub(p[2]) > 10).count() as f64;
    let radius = 120.0 * (1.0 - 2.0 * 0.06) / 2.0;
    let disc = std::f64::consts::PI * radius * radius;
    // half a pixel all round for the softened rim
    assert!((red - disc).abs() < std::f64::consts::PI * radius, "{red} {disc}");
    // The two lights reach the upper left; the lower right lies in shade.
    let at = |x: usize, y: usize| taken.rgb[(y * taken.width + x) * 3];
    assert!(at(62, 40) > at(98, 80));
}

#[test]
fn nothing_and_slivers_are_drawn_without_harm() {
    assert_eq!(pixels(&[], &[], SMALL).rgb.len(), 160 * 120 * 3);
    let mut mesh = tube(30.0, 26.0, 50.0, 3);
    mesh.vertices[0] = mesh.vertices[1];
    assert_eq!(pixels(&[body(&mesh)], &[body(&mesh)], SMALL).rgb.len(), 160 * 120 * 3);
    assert_eq!(
        pixels(&[body(&mesh)], &[body(&mesh)], Shot { width: 1, height: 1, apart: 1.0 }).rgb.len(),
        3
    );
}
