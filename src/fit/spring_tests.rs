//! Rings of one section against closed forms and textbooks; rings of several.

use super::ring::{large_opening, layer_share, strain_opened, strain_riding};
use super::section::{STATIONS, Section};
use super::spring::{Opened, Spring, Theory};
use std::f64::consts::PI;

/// A ring of one rectangular section, with a slit of half the angle (rad).
fn uniform(radius: f64, thick: f64, high: f64, half: f64) -> Spring {
    let section = Section::rectangle(radius - thick / 2.0, radius + thick / 2.0, high);
    Spring::new(&[Some(section); STATIONS], PI - half).unwrap()
}

fn near(found: f64, expected: f64, share: f64) {
    assert!((found / expected - 1.0).abs() < share, "{found} instead of {expected}");
}

/// Shigley, Mechanical Engineering Design, 9th ed., problem 4-79: a slit steel ring of mean
/// diameter 70 mm, 4.5 mm thick, 3 mm wide; the force that parts its ends by 1 mm, by
/// Castigliano. The force is not printed; with E = 207 GPa (its table A-5) F = 11.67 N and
/// sigma = 80.7 MPa.
#[test]
fn the_slit_ring_of_a_textbook() {
    let (radius, thick, high, modulus) = (35.0, 4.5, 3.0, 207_000.0);
    let grown = 1.0 / (3.0 * PI);
    let stress = modulus * strain_opened(thick, radius, grown);
    assert!((stress - 80.7).abs() < 0.05, "{stress}");
    let inertia = high * f64::powi(thick, 3) / 12.0;
    let force = modulus * inertia / (3.0 * PI * f64::powi(radius, 3));
    assert!((force - 11.67).abs() < 0.005, "{force}");
    let by_stations = uniform(radius, thick, high, 0.0).pulled(grown, Theory::Straight);
    near(by_stations.opening_mm, 1.0, 1e-3);
    near(modulus * by_stations.strain, 80.7, 1e-3);
}

/// Logan, A First Course in the Finite Element Method, problem 5-64: radii 1.85 to 2.15 in,
/// depth 0.2 in, E = 18e6 psi, opening 0.1 in; bending stress 14 324 psi and 179 psi of pull,
/// force 10.743 lbf.
#[test]
fn the_slit_ring_of_another_textbook() {
    let (radius, thick, modulus): (f64, f64, f64) = (2.0, 0.3, 18e6);
    let grown = 0.1 / (3.0 * PI);
    let stress = modulus * strain_opened(thick, radius, grown);
    assert!((stress - 14_324.0).abs() < 1.0, "{stress}");
    let force = modulus * 4.5e-4 / (3.0 * PI * radius.powi(3)) * 0.1;
    assert!((force - 10.743).abs() < 0.001, "{force}");
    let ring = uniform(radius, thick, 0.2, 0.0);
    let straight = ring.pulled(grown, Theory::Straight);
    near(straight.opening_mm, 0.1, 1e-3);
    near(modulus * straight.strain, 14_324.0, 1e-3);
    // Curved: the inner fibre bears (1 + t / (3 R)) of that, but for terms of (t / R)^2.
    let curved = ring.pulled(grown, Theory::Curved);
    near(modulus * curved.strain, 14_324.0 * (1.0 + thick / (3.0 * radius)) + 179.0, 5e-3);
}

/// The ring opened until its bore clears a larger circle: strain t dR / R^2 and opening
/// 3 pi dR; Castigliano's theorem as at `strain_opened`.
#[test]
fn a_uniform_ring_agrees_with_its_closed_forms() {
    for (radius, thick, grown) in [(41.0, 2.0, 1.5), (39.0, 2.0, 2.0), (12.0, 3.0, 1.5)] {
        let ring = uniform(radius, thick, 10.0, 0.0);
        let pulled = ring.pulled(grown, Theory::Straight);
        near(pulled.strain, strain_opened(thick, radius, grown), 1e-3);
        near(pulled.opening_mm, 3.0 * PI * grown, 1e-3);
        assert!(pulled.at.abs() < 0.01, "{pulled:?}");
        let riding = ring.riding(grown, Theory::Straight).unwrap();
        near(riding.strain, strain_riding(thick, radius, grown), 1e-3);
        // Own derivation of the same contact problem: the slit grows by 6.4981 dR.
        near(riding.opening_mm, 6.4981 * grown, 1e-3);
        assert!((riding.at.abs() - PI / 2.0).abs() < 0.05, "{riding:?}");
    }
}

/// Slits of some width: with a = pi - gap / 2 and K = a (1/2 + cos^2 a) - 1.5 sin a cos a
/// the opening is 2 K F R^3 / (E I) and the strain t (1 - cos a) delta / (4 K R^2) (own
/// derivation by Castigliano's theorem).
#[test]
fn a_wide_slit_takes_its_part_of_the_ring_away() {
    for (degrees, factor) in [(5.0f64, 0.10619), (10.0, 0.10644), (20.0, 0.10746), (60.0, 0.11895)]
    {
        let ring = uniform(40.0, 2.0, 10.0, degrees.to_radians() / 2.0);
        let pulled = ring.pulled(1.0, Theory::Straight);
        near(pulled.strain * 40.0 * 40.0 / (2.0 * pulled.opening_mm), factor, 1e-3);
    }
}

/// Winkler and Bach: the inner fibre of a rectangular curved bar bears 1.071, 1.034 and
/// 1.017 of 6 M / (b t^2) at R / t = 5, 10 and 20 (Shigley, section 3-18, the formula).
#[test]
fn thick_rings_strain_their_inner_fibre_more() {
    for (radius, factor) in [(10.0, 1.071), (20.0, 1.034), (40.0, 1.017)] {
        let ring = uniform(radius, 2.0, 5.0, 0.0);
        let (curved, straight) =
            (ring.pulled(0.5, Theory::Curved), ring.pulled(0.5, Theory::Straight));
        // The pull adds t / (12 R); a curved bar is stiffer by t^2 / (15 R^2).
        let pull = 2.0 / (12.0 * radius);
        let stiff = 4.0 / (15.0 * radius * radius);
        near(curved.strain / straight.strain, factor + pull + stiff, 1e-3);
    }
}

/// Half as high between -90 and 90 deg: by hand, I/2 there: the back half turns twice as
/// much for its moment. With M = F R (1 + cos phi) the opening is
/// 2 F R^3 / E I times the integrals of (1 + cos)^2, 2.0 (3 pi / 4 + 2) + (3 pi / 4 - 2).
#[test]
fn a_ring_of_two_heights_opens_by_the_sum_of_its_halves() {
    let (radius, thick) = (40.0, 2.0);
    let of = |high| Section::rectangle(radius - thick / 2.0, radius + thick / 2.0, high);
    let quarter = STATIONS / 4;
    let sections: Vec<Option<Section>> = (0..STATIONS)
        .map(|k| Some(of(if (quarter..3 * quarter).contains(&k) { 5.0 } else { 10.0 })))
        .collect();
    let ring = Spring::new(&sections, PI).unwrap();
    let Opened { opening_mm, strain, .. } = ring.pulled(1.0, Theory::Straight);
    // M at the back is 2 F R, its strain M t / (2 E I / 2): by the opening alone.
    let integrals = 2.0 * (0.75 * PI + 2.0) + (0.75 * PI - 2.0);
    let inertia = of(10.0).inertia;
    let force = opening_mm / (2.0 * radius.powi(3) / inertia * integrals);
    near(strain, 2.0 * force * radius * thick / inertia, 1e-3);
    assert!(ring.riding(1.0, Theory::Straight).is_some());
}

#[test]
fn a_ring_that_falls_apart_is_none() {
    let section = Section::rectangle(39.0, 41.0, 10.0);
    let mut sections = vec![Some(section); STATIONS];
    sections[100] = None;
    assert!(Spring::new(&sections, PI - 0.01).is_none());
    sections[100] = Some(section);
    sections[0] = None;
    sections[STATIONS - 1] = None;
    assert!(Spring::new(&sections, PI - 0.005).is_some());
}

/// The large deflections solved afresh: the half ring as an elastic line whose curvature
/// grows less by M / (E I), M = F (tip - y) on the bent shape, the angle at the back 0.
#[test]
fn large_openings_strain_less_than_linear_ones() {
    let shape = |force: f64| {
        const STEPS: usize = 2000;
        let step = PI / STEPS as f64;
        let mut tip = 1.0;
        let mut opening = 0.0;
        // The height of the tip is part of the moment: repeated until it stays.
        for _ in 0..200 {
            let (mut turn, mut x, mut y) = (0.0f64, 0.0, -1.0);
            for _ in 0..STEPS {
                let bend = |y: f64| 1.0 - force * (tip - y);
                let middle = turn + bend(y) * step / 2.0;
                let half = y + middle.sin() * step / 2.0;
                turn += bend(half) * step;
                x += middle.cos() * step;
                y += middle.sin() * step;
            }
            opening = 2.0 * x;
            tip = y;
        }
        (opening, force * (tip + 1.0))
    };
    for force in [0.0106, 0.0318, 0.075] {
        let (opening, strain) = shape(force);
        let linear = 2.0 * opening / (3.0 * PI);
        near(large_opening(opening, 1.0), strain / linear, 4e-3);
    }
}

/// Common practice: half of the strain across the layers.
#[test]
fn layers_take_up_to_half() {
    assert_eq!((layer_share(1.0), layer_share(-1.0), layer_share(0.0)), (1.0, 1.0, 0.5));
}
