//! Curves without an entity of their own as cubic B-splines: Hermite pieces through
//! points and tangents of the curve, joined with one derivative in common.

use super::Refused;
use super::entities::{Entities, Real, Slots};
use crate::exact::geometry::{Curve, Trace};
use crate::model::Vector;

/// Pieces for each radian of turn: a cubic Hermite piece over the angle h leaves a circle
/// by r h^4 / 384 (the interpolation's remainder), 6e-9 mm at r = 40 mm.
pub(super) const SPANS_PER_RAD: f64 = 64.0;

/// How far a piece may leave the surfaces that meet in it, mm: a tenth of what exact
/// bodies themselves keep.
const DEVIATION_MM: f64 = 1e-8;

/// A piece halved this often that still leaves its surfaces has a tangent that is wrong.
const HALVINGS: u32 = 12;

/// A point of a curve and the unit tangent there.
#[derive(Clone, Copy, Debug)]
struct Knot {
    share: f64,
    point: Vector,
    tangent: Vector,
}

/// Adds the B-spline of a helix or trace.
pub(super) fn add(entities: &mut Entities, curve: &Curve) -> Result<usize, Refused> {
    let knots = match curve {
        Curve::Trace(trace) => traced(curve, trace)?,
        _ => {
            let spans = (curve.turn() * SPANS_PER_RAD).ceil().max(1.0) as usize;
            (0..=spans).map(|i| knot(curve, i as f64 / spans as f64)).collect()
        }
    };
    let mut controls = vec![entities.point(knots[0].point)];
    let mut runs = vec![0.0];
    for pair in knots.windows(2) {
        let third = chord(&pair[0], &pair[1]) / 3.0;
        controls.push(entities.point(along(pair[0].point, pair[0].tangent, third)));
        controls.push(entities.point(along(pair[1].point, pair[1].tangent, -third)));
        runs.push(runs[runs.len() - 1] + 3.0 * third);
    }
    controls.push(entities.point(knots[knots.len() - 1].point));
    let (multiplicities, values) = knot_lists(&runs);
    let slots = Slots(controls.len());
    let entity = format_args!(
        "B_SPLINE_CURVE_WITH_KNOTS('',3,({slots}),.UNSPECIFIED.,.F.,.F.,({multiplicities}),\
         ({values}),.UNSPECIFIED.)"
    );
    Ok(entities.add(entity, &controls))
}

/// Multiplicities and values of knots for cubic pieces that share one derivative.
pub(super) fn knot_lists(values: &[f64]) -> (String, String) {
    let last = values.len() - 1;
    let multiplicity = |i: usize| if i == 0 || i == last { "4" } else { "2" };
    let multiplicities: Vec<&str> = (0..=last).map(multiplicity).collect();
    let values: Vec<String> = values.iter().map(|v| Real(*v).to_string()).collect();
    (multiplicities.join(","), values.join(","))
}

/// Knots close enough for the pieces between them to stay on both surfaces.
fn traced(curve: &Curve, trace: &Trace) -> Result<Vec<Knot>, Refused> {
    let mut knots: Vec<Knot> = Vec::new();
    for share in trace.knots() {
        let next = knot(curve, share);
        if let Some(last) = knots.last().copied() {
            refine(curve, trace, [last, next], HALVINGS, &mut knots)?;
        }
        knots.push(next);
    }
    Ok(knots)
}

/// Adds knots between two, as many as needed.
fn refine(
    curve: &Curve,
    trace: &Trace,
    [a, b]: [Knot; 2],
    halvings: u32,
    knots: &mut Vec<Knot>,
) -> Result<(), Refused> {
    let leaves = |share: f64| {
        let point = hermite(&a, &b, share);
        let mut off = trace.surfaces().iter().map(|s| s.signed_distance(point).abs());
        // A value that is no number leaves them, too.
        off.any(|mm| mm.is_nan() || mm > DEVIATION_MM)
    };
    if ![0.25, 0.5, 0.75].into_iter().any(leaves) {
        return Ok(());
    }
    if halvings == 0 {
        return Err(Refused::new("surfaces touch where an edge runs, so that it has no tangent"));
    }
    let middle = knot(curve, (a.share + b.share) / 2.0);
    refine(curve, trace, [a, middle], halvings - 1, knots)?;
    knots.push(middle);
    refine(curve, trace, [middle, b], halvings - 1, knots)
}

fn knot(curve: &Curve, share: f64) -> Knot {
    let tangent = curve.derivative(share);
    let length = tangent.iter().map(|c| c * c).sum::<f64>().sqrt();
    Knot { share, point: curve.at(share), tangent: tangent.map(|c| c / length) }
}

fn along(point: Vector, direction: Vector, by: f64) -> Vector {
    [0, 1, 2].map(|i| point[i] + direction[i] * by)
}

fn chord(a: &Knot, b: &Knot) -> f64 {
    (0..3).map(|i| (b.point[i] - a.point[i]).powi(2)).sum::<f64>().sqrt()
}

/// The point of the cubic piece after a share `t`, by its Bernstein form.
fn hermite(a: &Knot, b: &Knot, t: f64) -> Vector {
    let third = chord(a, b) / 3.0;
    let (from, to) = (along(a.point, a.tangent, third), along(b.point, b.tangent, -third));
    let s = 1.0 - t;
    [0, 1, 2].map(|i| {
        let outer = s * s * s * a.point[i] + t * t * t * b.point[i];
        outer + 3.0 * s * t * (s * from[i] + t * to[i])
    })
}
