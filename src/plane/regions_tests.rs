use super::*;

fn square(low: f64, high: f64) -> Vec<Point> {
    [[low, low], [high, low], [high, high], [low, high]].map(|[x, y]| Point::new(x, y)).to_vec()
}

/// Areas as on paper.
#[test]
fn what_lies_beyond_comes_in_connected_regions() {
    let rim = beyond(&[square(0.0, 10.0)], &[square(2.0, 8.0)], 1.0);
    assert_eq!(rim.len(), 1);
    assert_eq!(rim[0].len(), 2, "a ring: outline and hole");
    assert!((region_area(&rim[0]) - 36.0).abs() < 1e-9);
    let inside = Inside::new(&rim[0]);
    assert!(inside.holds(Point::new(0.5, 5.0)) && !inside.holds(Point::new(5.0, 5.0)));
    assert!(!inside.holds(Point::new(5.0, 50.0)) && !inside.holds(Point::new(-1.0, -1.0)));
    let two = beyond(&[square(0.0, 1.0), square(4.0, 6.0)], &[square(4.0, 5.0)], 0.25);
    let areas: Vec<f64> = two.iter().map(|r| region_area(r)).collect();
    assert_eq!(areas.len(), 2);
    assert!((areas.iter().sum::<f64>() - (1.0 + 4.0 - 1.25 * 1.25)).abs() < 1e-9);
    assert!(beyond(&[square(0.0, 4.0)], &[square(1.0, 3.0)], 1.0).is_empty());
    assert_eq!(beyond(&[square(0.0, 4.0)], &[], 1.0).len(), 1);
    assert!((region_area(&grown_region(&[square(0.0, 4.0)], -1.0)) - 4.0).abs() < 1e-9);
}
