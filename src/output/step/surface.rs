//! Surfaces and curves as entities: elementary ones wherever they serve.

use super::Refused;
use super::entities::{Entities, Real, Slots, logical};
use super::spline::{self, SPANS_PER_RAD, knot_lists};
use crate::exact::geometry::{Curve, Frame, Meridian, Surface};
use crate::exact::{ExactBody, Face};
use crate::model::Vector;

/// How far a ramp goes on beyond its face, mm, so that no edge lies on its border.
const MARGIN_MM: f64 = 0.5;

/// Likewise round the axis, as a share of the face's own angle: many faces are narrow.
const MARGIN_SHARE: f64 = 0.125;

fn minus(v: Vector) -> Vector {
    v.map(|c| -c)
}

/// Adds a curve that runs from the start of the edge to its end.
pub(super) fn curve(entities: &mut Entities, curve: &Curve) -> Result<usize, Refused> {
    Ok(match curve {
        Curve::Line { start, end } => {
            let along = [0, 1, 2].map(|i| end[i] - start[i]);
            let length = along.iter().map(|c| c * c).sum::<f64>().sqrt();
            let (start, along) =
                (entities.point(*start), entities.direction(along.map(|c| c / length)));
            let vector = entities.add(format_args!("VECTOR('',#,1.)"), &[along]);
            entities.add(format_args!("LINE('',#,#)"), &[start, vector])
        }
        Curve::Arc { frame, radii_mm, angles_rad } => {
            let z = if angles_rad[1] < angles_rad[0] { minus(frame.z) } else { frame.z };
            let [a, b] = *radii_mm;
            // The greater half axis comes first.
            let x = if a < b { frame.y } else { frame.x };
            let axes = entities.placement(frame.origin, z, x);
            if a == b {
                entities.add(format_args!("CIRCLE('',#,{})", Real(a)), &[axes])
            } else {
                let (most, least) = (Real(a.max(b)), Real(a.min(b)));
                entities.add(format_args!("ELLIPSE('',#,{most},{least})"), &[axes])
            }
        }
        Curve::Helix { .. } | Curve::Trace(_) => spline::add(entities, curve)?,
    })
}

/// Adds the surface of a face; also says whether its normal as STEP has it points out of
/// the body.
pub(super) fn surface(
    entities: &mut Entities,
    body: &ExactBody,
    face: &Face,
) -> Result<(usize, bool), Refused> {
    match face.surface {
        Surface::Plane { frame } => Ok((plane(entities, &frame, 0.0), face.outward)),
        Surface::Revolved { frame, meridian: Meridian::Line { start, end } } => {
            Ok(straight(entities, &frame, [start, end], face.outward))
        }
        Surface::Revolved {
            frame,
            meridian: Meridian::Arc { centre, radius_mm, from_rad, to_rad },
        } => {
            let number = round(entities, &frame, centre, radius_mm)?;
            // STEP's normal points away from the tube's own circle, ours to the right.
            Ok((number, face.outward == (to_rad > from_rad)))
        }
        Surface::Ramp { frame, .. } => Ok((ramp(entities, body, face, &frame), face.outward)),
    }
}

fn plane(entities: &mut Entities, frame: &Frame, height: f64) -> usize {
    let axes = entities.placement(frame.point([0.0, 0.0, height]), frame.z, frame.x);
    entities.add(format_args!("PLANE('',#)"), &[axes])
}

/// Cylinder, cone or level ring.
fn straight(
    entities: &mut Entities,
    frame: &Frame,
    [start, end]: [[f64; 2]; 2],
    outward: bool,
) -> (usize, bool) {
    let rise = end[1] - start[1];
    if rise == 0.0 {
        // Our normal points up where the meridian runs towards the axis.
        return (plane(entities, frame, start[1]), outward == (end[0] < start[0]));
    }
    // STEP's normal points away from the axis, and so does ours where it runs upwards.
    let same = outward == (rise > 0.0);
    if start[0] == end[0] {
        let axes = entities.placement(frame.origin, frame.z, frame.x);
        let radius = Real(start[0]);
        let entity = format_args!("CYLINDRICAL_SURFACE('',#,{radius})");
        return (entities.add(entity, &[axes]), same);
    }
    let (narrow, wide) = if start[0] < end[0] { (start, end) } else { (end, start) };
    let z = if wide[1] > narrow[1] { frame.z } else { minus(frame.z) };
    let axes = entities.placement(frame.point([0.0, 0.0, narrow[1]]), z, frame.x);
    let half_angle = Real((wide[0] - narrow[0]).atan2(rise.abs()));
    // On the axis rounding may leave a radius below nought.
    let radius = Real(narrow[0].max(0.0));
    let entity = format_args!("CONICAL_SURFACE('',#,{radius},{half_angle})");
    (entities.add(entity, &[axes]), same)
}

/// Nearer to the axis than this the centre of an arc lies on it, mm: only rounding.
const ON_AXIS_MM: f64 = 1e-9;

/// Sphere or torus.
fn round(
    entities: &mut Entities,
    frame: &Frame,
    centre: [f64; 2],
    radius_mm: f64,
) -> Result<usize, Refused> {
    let axes = entities.placement(frame.point([0.0, 0.0, centre[1]]), frame.z, frame.x);
    let (major, minor) = (Real(centre[0]), Real(radius_mm));
    if centre[0].abs() < ON_AXIS_MM {
        return Ok(entities.add(format_args!("SPHERICAL_SURFACE('',#,{minor})"), &[axes]));
    }
    if centre[0] < 0.0 {
        return Err(Refused::new("an arc whose centre lies beyond its axis sweeps a lemon"));
    }
    if centre[0] <= radius_mm {
        let outer = logical(true);
        let entity = format_args!("DEGENERATE_TOROIDAL_SURFACE('',#,{major},{minor},{outer})");
        return Ok(entities.add(entity, &[axes]));
    }
    Ok(entities.add(format_args!("TOROIDAL_SURFACE('',#,{major},{minor})"), &[axes]))
}

/// A ramp over the range of its face: straight along the radius, cubic round the axis.
/// Hermite's form is linear in its data and these are linear in the radius, so only the
/// error round the axis counts, as on a circle.
fn ramp(entities: &mut Entities, body: &ExactBody, face: &Face, frame: &Frame) -> usize {
    let mut low = [f64::INFINITY; 2];
    let mut high = [f64::NEG_INFINITY; 2];
    for side in face.loops.iter().flatten() {
        for i in 0..=4 {
            let point = body.edges()[side.edge].curve.at(f64::from(i) / 4.0);
            let (radius, angle, _) = frame.cylindrical(point);
            for (axis, value) in [radius, angle].into_iter().enumerate() {
                low[axis] = low[axis].min(value);
                high[axis] = high[axis].max(value);
            }
        }
    }
    let radii = [(low[0] - MARGIN_MM).max(low[0] / 2.0), high[0] + MARGIN_MM];
    let margin = (high[1] - low[1]) * MARGIN_SHARE;
    let (from, to) = (low[1] - margin, high[1] + margin);
    let spans = ((to - from) * SPANS_PER_RAD).ceil().max(1.0) as usize;
    let step = (to - from) / spans as f64;
    let angle = |i: usize| from + step * i as f64;
    let mut rows = Vec::new();
    for radius in radii {
        let mut row = Vec::new();
        for i in 0..=spans {
            let point = face.surface.at(radius, angle(i));
            let (_, slope) = face.surface.tangents(radius, angle(i));
            let beside = |share: f64| [0, 1, 2].map(|k| point[k] + slope[k] * share * step / 3.0);
            if i > 0 {
                row.push(entities.point(beside(-1.0)));
            }
            if i == 0 || i == spans {
                row.push(entities.point(point));
            }
            if i < spans {
                row.push(entities.point(beside(1.0)));
            }
        }
        rows.push(row);
    }
    let angles: Vec<f64> = (0..=spans).map(angle).collect();
    let (multiplicities, values) = knot_lists(&angles);
    let (slots, [inner, outer]) = (Slots(rows[0].len()), radii.map(Real));
    let entity = format_args!(
        "B_SPLINE_SURFACE_WITH_KNOTS('',1,3,(({slots}),({slots})),.UNSPECIFIED.,.F.,.F.,.F.,(2,2),\
         ({multiplicities}),({inner},{outer}),({values}),.UNSPECIFIED.)"
    );
    entities.add(entity, &rows.concat())
}
