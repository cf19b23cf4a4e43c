//! Pieces of an exact body as solids.

use super::Refused;
use super::entities::{Entities, Slots, Text, logical};
use super::surface;
use crate::exact::{ExactBody, Face, Role};

/// What was added for a body.
#[derive(Debug, Default)]
pub(super) struct Added {
    /// Numbers of its solids, one for each piece.
    pub(super) solids: Vec<usize>,
    /// Numbers of the faces that are something to a fit.
    pub(super) fitted: Vec<(Role, usize)>,
}

/// Adds a body.
pub(super) fn add(entities: &mut Entities, name: &str, body: &ExactBody) -> Result<Added, Refused> {
    let edges = edges(entities, body)?;
    let mut fitted = Vec::new();
    let mut pieces = Vec::new();
    let mut hollows = Vec::new();
    for (number, shell) in body.shells().iter().enumerate() {
        let mut faces = Vec::with_capacity(shell.len());
        for face in shell {
            let face = &body.faces()[*face];
            let number = add_face(entities, body, face, &edges)?;
            if face.role != Role::Plain {
                fitted.push((face.role, number));
            }
            faces.push(number);
        }
        let solid = body.shells().len() == 1 || body.shell_volume_mm3(number) > 0.0;
        let shell = entities.add(format_args!("CLOSED_SHELL('',({}))", Slots(faces.len())), &faces);
        if solid { pieces.push(shell) } else { hollows.push(shell) }
    }
    let name = Text(name);
    let solids = match (pieces.as_slice(), hollows.as_slice()) {
        (pieces, []) => {
            let solid = |outer: &usize| {
                entities.add(format_args!("MANIFOLD_SOLID_BREP({name},#)"), &[*outer])
            };
            pieces.iter().map(solid).collect()
        }
        ([outer], hollows) => {
            let mut shells = vec![*outer];
            for hollow in hollows {
                let inner = format_args!("ORIENTED_CLOSED_SHELL('',*,#,.T.)");
                shells.push(entities.add(inner, &[*hollow]));
            }
            let inner = Slots(hollows.len());
            vec![entities.add(format_args!("BREP_WITH_VOIDS({name},#,({inner}))"), &shells)]
        }
        _ => return Err(Refused::new("several pieces of which some are hollow are not written")),
    };
    Ok(Added { solids, fitted })
}

/// All edges; each is written once, the faces on both its sides share it.
fn edges(entities: &mut Entities, body: &ExactBody) -> Result<Vec<usize>, Refused> {
    let mut corners = Vec::with_capacity(body.points().len());
    for point in body.points() {
        let point = entities.point(*point);
        corners.push(entities.add(format_args!("VERTEX_POINT('',#)"), &[point]));
    }
    let mut edges = Vec::with_capacity(body.edges().len());
    for edge in body.edges() {
        let [start, end] = edge.ends.map(|end| corners[end]);
        let curve = surface::curve(entities, &edge.curve)?;
        let entity = format_args!("EDGE_CURVE('',#,#,#,.T.)");
        edges.push(entities.add(entity, &[start, end, curve]));
    }
    Ok(edges)
}

fn add_face(
    entities: &mut Entities,
    body: &ExactBody,
    face: &Face,
    edges: &[usize],
) -> Result<usize, Refused> {
    let mut bounds = Vec::with_capacity(face.loops.len());
    for (number, sides) in face.loops.iter().enumerate() {
        let mut oriented = Vec::with_capacity(sides.len());
        for side in sides {
            let (edge, forward) = (edges[side.edge], logical(side.forward));
            let entity = format_args!("ORIENTED_EDGE('',*,*,#,{forward})");
            oriented.push(entities.add(entity, &[edge]));
        }
        let ring =
            entities.add(format_args!("EDGE_LOOP('',({}))", Slots(oriented.len())), &oriented);
        let keyword = if number == 0 { "FACE_OUTER_BOUND" } else { "FACE_BOUND" };
        bounds.push(entities.add(format_args!("{keyword}('',#,.T.)"), &[ring]));
    }
    let (surface, same) = surface::surface(entities, body, face)?;
    let name = Text(face.role.word());
    let (slots, same) = (Slots(bounds.len()), logical(same));
    bounds.push(surface);
    Ok(entities.add(format_args!("ADVANCED_FACE({name},({slots}),#,{same})"), &bounds))
}
