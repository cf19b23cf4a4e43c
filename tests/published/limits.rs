//! Limits and fits of ISO 286-1.

use pipkin::model::limits::{FitName, LimitsError, grade_mm};

/// Within rounding of a sum of µm.
fn near(found: f64, expected: f64, source: &str) {
    super::published(found, expected, 1e-9, source);
}

/// ISO 286-1:1988 (= IS 919-1:1993), Table 1, µm: grade, size in mm, value.
const CELLS: [(u8, f64, f64); 20] = [
    (5, 2.0, 4.0),
    (5, 25.0, 9.0),
    (6, 25.0, 13.0),
    (6, 80.0, 19.0),
    (7, 10.0, 15.0),
    (7, 80.0, 30.0),
    (7, 100.0, 35.0),
    (8, 64.0, 46.0),
    (9, 25.0, 52.0),
    (10, 18.0, 70.0),
    // The one cell above IT10 that is not ten times the one five grades finer.
    (11, 6.0, 75.0),
    (11, 34.0, 160.0),
    (12, 120.0, 350.0),
    (13, 80.0, 460.0),
    (13, 80.001, 540.0),
    (13, 500.0, 970.0),
    (14, 30.0, 520.0),
    (14, 30.001, 620.0),
    (1, 3.0, 0.8),
    (18, 500.0, 9700.0),
];

#[test]
pub fn standard_tolerances_are_those_of_the_table() {
    for (grade, size, um) in CELLS {
        let found = grade_mm(grade, size).unwrap() * 1000.0;
        near(found, um, "ISO 286-1 Table 1");
    }
    assert_eq!(grade_mm(13, 500.1), Err(LimitsError::Size(500.1)));
    assert_eq!(grade_mm(13, 0.0), Err(LimitsError::Size(0.0)));
    assert_eq!(grade_mm(19, 80.0), Err(LimitsError::Class("IT19".into())));
}

/// ISO 286-1 Annex A: i = 0.45 D^(1/3) + 0.001 D µm, D the geometric mean of the step;
/// IT5 to IT18 are 7, 10, 16, … i. The table's own roundings leave it by up to 13.3 % in
/// the first step and 8.4 % elsewhere.
#[test]
fn the_table_follows_the_formula_of_its_annex() {
    let steps =
        [1.0, 3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0];
    let times = [
        7.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0, 160.0, 250.0, 400.0, 640.0, 1000.0, 1600.0,
        2500.0,
    ];
    for pair in steps.windows(2) {
        let mean = f64::sqrt(pair[0] * pair[1]);
        let unit = 0.45 * mean.cbrt() + 0.001 * mean;
        let off = if pair[0] < 3.0 { 0.134 } else { 0.085 };
        for (grade, k) in (5..).zip(times) {
            let table = grade_mm(grade, pair[1]).unwrap() * 1000.0;
            assert!((k * unit / table - 1.0).abs() < off, "IT{grade} up to {}", pair[1]);
        }
    }
}

/// Limits at 25, 80 and 100 mm by the tables of ISO 286-1: the fit, the size, hole least
/// and greatest, shaft least and greatest (mm).
const FITS: [(&str, f64, [f64; 4]); 18] = [
    ("H7/g6", 25.0, [25.000, 25.021, 24.980, 24.993]),
    ("H7/h6", 25.0, [25.000, 25.021, 24.987, 25.000]),
    ("H8/f7", 25.0, [25.000, 25.033, 24.959, 24.980]),
    ("H9/d9", 25.0, [25.000, 25.052, 24.883, 24.935]),
    ("H11/c11", 25.0, [25.000, 25.130, 24.760, 24.890]),
    ("H7/k6", 25.0, [25.000, 25.021, 25.002, 25.015]),
    ("H7/n6", 25.0, [25.000, 25.021, 25.015, 25.028]),
    ("H7/p6", 25.0, [25.000, 25.021, 25.022, 25.035]),
    ("H7/s6", 25.0, [25.000, 25.021, 25.035, 25.048]),
    ("H7/g6", 80.0, [80.000, 80.030, 79.971, 79.990]),
    ("H7/h6", 80.0, [80.000, 80.030, 79.981, 80.000]),
    ("H8/f7", 80.0, [80.000, 80.046, 79.940, 79.970]),
    ("H9/d9", 80.0, [80.000, 80.074, 79.826, 79.900]),
    ("H11/c11", 80.0, [80.000, 80.190, 79.660, 79.850]),
    ("H7/k6", 80.0, [80.000, 80.030, 80.002, 80.021]),
    ("H7/n6", 80.0, [80.000, 80.030, 80.020, 80.039]),
    ("H7/p6", 80.0, [80.000, 80.030, 80.032, 80.051]),
    ("H7/s6", 80.0, [80.000, 80.030, 80.059, 80.078]),
];

/// Least and greatest clearance at 100 mm by the same tables, µm.
const CLEARANCES: [(&str, [f64; 2]); 9] = [
    ("H7/g6", [12.0, 69.0]),
    ("H7/h6", [0.0, 57.0]),
    ("H8/f7", [36.0, 125.0]),
    ("H9/d9", [120.0, 294.0]),
    ("H11/c11", [170.0, 610.0]),
    ("H7/k6", [-25.0, 32.0]),
    ("H7/n6", [-45.0, 12.0]),
    ("H7/p6", [-59.0, -2.0]),
    ("H7/s6", [-93.0, -36.0]),
];

fn limits(fit: &str, size: f64) -> [f64; 4] {
    let found = FitName::parse(fit).unwrap().limits(size).unwrap();
    [found.hole_mm[0], found.hole_mm[1], found.shaft_mm[0], found.shaft_mm[1]]
}

#[test]
pub fn limits_are_those_of_the_tables() {
    for (fit, size, published) in FITS {
        for (found, published) in limits(fit, size).into_iter().zip(published) {
            near(found, published, &format!("ISO 286-1, {fit} at {size}"));
        }
    }
    for (fit, published) in CLEARANCES {
        let found = FitName::parse(fit).unwrap().limits(100.0).unwrap().clearance_mm();
        for (found, published) in found.into_iter().zip(published) {
            near(found * 1000.0, published, &format!("ISO 286-1, {fit} at 100"));
        }
    }
}

#[test]
pub fn worked_examples_come_out() {
    // Shigley, Mechanical Engineering Design, 9th ed., example 7-7: 34H11/c11.
    let shigley = [34.0, 34.160, 33.720, 33.880];
    // Childs, Mechanical Design Engineering Handbook, question 19.1: 35H11/c11.
    let childs = [35.0, 35.160, 34.720, 34.880];
    // A textbook problem: 64H8/f7, hole 64.000 to 64.046, shaft 63.940 to 63.970.
    let textbook = [64.0, 64.046, 63.940, 63.970];
    let all = [("H11/c11", 34.0, shigley), ("H11/c11", 35.0, childs), ("H8/f7", 64.0, textbook)];
    for (fit, size, published) in all {
        for (found, published) in limits(fit, size).into_iter().zip(published) {
            near(found, published, &format!("{size} {fit}"));
        }
    }
    let textbook = FitName::parse("H8/f7").unwrap().limits(64.0).unwrap();
    near(textbook.clearance_mm()[0], 0.030, "allowance of 64H8/f7");
}

/// Holes other than H by the general rule, ISO 286-1:1988, Table 3 (from memory), µm.
#[test]
pub fn holes_follow_the_general_rule() {
    let published = [
        ("K7/h6", 25.0, [-15.0, 6.0]),
        ("M7/h6", 25.0, [-21.0, 0.0]),
        ("N7/h6", 25.0, [-28.0, -7.0]),
        ("P7/h6", 25.0, [-35.0, -14.0]),
        ("S7/h6", 25.0, [-48.0, -27.0]),
        ("N9/h9", 25.0, [-52.0, 0.0]),
        ("JS7/h6", 25.0, [-10.5, 10.5]),
        ("G7/h6", 25.0, [7.0, 28.0]),
        ("F8/h7", 25.0, [20.0, 53.0]),
        ("M6/h5", 300.0, [-41.0, -9.0]),
        ("C11/h11", 25.0, [110.0, 240.0]),
    ];
    for (fit, size, hole) in published {
        let found = limits(fit, size);
        near((found[0] - size) * 1000.0, hole[0], fit);
        near((found[1] - size) * 1000.0, hole[1], fit);
    }
}

/// Two of the formulae of deviations, ISO 286-1 Annex A: es of d is -16 D^0.44, of f
/// -5.5 D^0.41 µm; roundings of the table leave them by up to 8 %.
#[test]
fn deviations_follow_their_formulae() {
    let steps = [3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0];
    for pair in steps.windows(2) {
        let mean = f64::sqrt(pair[0] * pair[1]);
        for (fit, by_formula) in
            [("H7/d6", 16.0 * mean.powf(0.44)), ("H7/f6", 5.5 * mean.powf(0.41))]
        {
            let es = (pair[1] - limits(fit, pair[1])[3]) * 1000.0;
            assert!((by_formula / es - 1.0).abs() < 0.08, "{fit} up to {}", pair[1]);
        }
    }
}

#[test]
fn names_that_are_none_are_refused() {
    for text in ["", "H7", "h7/H7", "H7/g", "H7/g6/", "H7 /g6", "Ä7/g6", "H0/g6", "H19/g6"] {
        assert!(FitName::parse(text).is_err(), "{text}");
    }
    assert_eq!(FitName::parse("H7/z6"), Err(LimitsError::Class("z6".into())));
    assert!(FitName::parse("H999/g6").is_err());
    let a = FitName::parse("H11/a11").unwrap();
    assert!(a.limits(0.8).is_err() && a.limits(2.0).is_ok());
    assert!(FitName::parse("K9/h9").unwrap().limits(25.0).is_err());
}
