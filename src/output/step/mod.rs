//! STEP files (ISO 10303-21, application protocol AP214): exact bodies for other kernels.
//!
//! In: exact bodies with names and colours, in assembly axes. Out: the bytes of one file:
//! elementary surfaces and curves, shared edges, no parameter curves, mm, one uncertainty,
//! a fixed time stamp; the same bytes on each run. Kept out: meshes, measuring.

mod entities;
mod solid;
mod spline;
mod surface;

use crate::exact::{ExactBody, Role};
use entities::{Entities, Real, Section, Slots, Text};
use std::collections::BTreeMap;

/// A body with what is said of it.
#[derive(Clone, Copy, Debug)]
pub struct StepBody<'a> {
    /// Its part's name.
    pub name: &'a str,
    /// Red, green, blue.
    pub colour: [u8; 3],
    /// Its shape, mm.
    pub body: &'a ExactBody,
}

/// Why there is no file, in the author's words.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refused {
    /// Half a sentence: lower case, no full stop.
    pub reason: String,
}

impl Refused {
    fn new(reason: &str) -> Self {
        Refused { reason: reason.to_string() }
    }
}

/// What the file claims of how well edges meet surfaces, mm: ten times what exact bodies
/// are held to.
const UNCERTAINTY_MM: f64 = 1e-6;

/// The entities of a body, made once for all files that have it.
#[derive(Debug)]
pub struct Written {
    entities: Entities,
    solids: Vec<usize>,
    styled: Vec<usize>,
}

/// Writes a body down.
///
/// # Errors
/// Where it has a face or an edge that cannot be written exactly enough.
pub fn write(body: &StepBody<'_>) -> Result<Written, Refused> {
    let mut entities = Entities::default();
    let added = solid::add(&mut entities, body.name, body.body)?;
    let whole = style(&mut entities, body.colour);
    let mut styles = BTreeMap::from([(Role::Plain, whole)]);
    let mut styled = Vec::new();
    let solids = added.solids.iter().map(|solid| (Role::Plain, *solid));
    for (role, item) in solids.chain(added.fitted) {
        let shade = || style(&mut entities, shaded(body.colour, role));
        let style = *styles.entry(role).or_insert_with(shade);
        let entity = format_args!("STYLED_ITEM('colour',(#),#)");
        styled.push(entities.add(entity, &[style, item]));
    }
    if entities.infinite() {
        return Err(Refused::new("a coordinate is not finite"));
    }
    Ok(Written { entities, solids: added.solids, styled })
}

/// The bytes of a file with all bodies as one product, each in its place.
pub fn encode(title: &str, compiler: &str, bodies: &[&Written]) -> Vec<u8> {
    let mut shared = Entities::default();
    let context = context(&mut shared);
    let axes = shared.placement([0.0; 3], [0.0, 0.0, 1.0], [1.0, 0.0, 0.0]);
    let mut data = Section::after(&header(title, compiler));
    let numbers = data.take(&shared);
    let (context, mut items, mut styled) = (numbers[context], vec![numbers[axes]], Vec::new());
    for body in bodies {
        let numbers = data.take(&body.entities);
        items.extend(body.solids.iter().map(|solid| numbers[*solid]));
        styled.extend(body.styled.iter().map(|item| numbers[*item]));
    }
    let (name, slots) = (Text(title), Slots(items.len()));
    items.push(context);
    let entity = format_args!("ADVANCED_BREP_SHAPE_REPRESENTATION({name},({slots}),#)");
    let shape = data.add(entity, &items);
    let slots = Slots(styled.len());
    styled.push(context);
    let entity =
        format_args!("MECHANICAL_DESIGN_GEOMETRIC_PRESENTATION_REPRESENTATION('',({slots}),#)");
    data.add(entity, &styled);
    product(&mut data, title, shape);
    data.ended()
}

/// What comes before the entities.
fn header(title: &str, compiler: &str) -> String {
    let (file, compiler) = (format!("{title}.step"), Text(compiler));
    format!(
        "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\n\
         FILE_NAME({},'1970-01-01T00:00:00',(''),(''),{compiler},{compiler},'');\n\
         FILE_SCHEMA(('AUTOMOTIVE_DESIGN {{ 1 0 10303 214 1 1 1 1 }}'));\nENDSEC;\nDATA;\n",
        Text(&file)
    )
}

/// The colour of a face: what lies hidden in a fit is a shade darker than its part.
fn shaded(colour: [u8; 3], role: Role) -> [u8; 3] {
    let percent = match role {
        Role::Plain | Role::Show => 100,
        Role::Flank => 88,
        Role::Back | Role::Floor => 76,
        Role::Ceiling => 64,
    };
    colour.map(|c| (u16::from(c) * percent / 100) as u8)
}

/// Millimetres, radians, and how exact the file is.
fn context(head: &mut Entities) -> usize {
    let units = [
        head.add(format_args!("(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.))"), &[]),
        head.add(format_args!("(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.))"), &[]),
        head.add(format_args!("(NAMED_UNIT(*)SI_UNIT($,.STERADIAN.)SOLID_ANGLE_UNIT())"), &[]),
    ];
    let [length, plane, solid] = units;
    let uncertainty = format_args!(
        "UNCERTAINTY_MEASURE_WITH_UNIT(LENGTH_MEASURE({}),#,'distance_accuracy_value',\
         'edges and vertices to surfaces')",
        Real(UNCERTAINTY_MM)
    );
    let uncertainty = head.add(uncertainty, &[length]);
    let context = format_args!(
        "(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNCERTAINTY_ASSIGNED_CONTEXT((#))\
         GLOBAL_UNIT_ASSIGNED_CONTEXT((#,#,#))REPRESENTATION_CONTEXT('','3D'))"
    );
    head.add(context, &[uncertainty, length, plane, solid])
}

/// A colour for both sides of all faces.
fn style(entities: &mut Entities, colour: [u8; 3]) -> usize {
    let [red, green, blue] = colour.map(|c| Real(f64::from(c) / 255.0));
    let mut last = entities.add(format_args!("COLOUR_RGB('',{red},{green},{blue})"), &[]);
    // Each wraps the one before.
    for wrap in [
        format_args!("FILL_AREA_STYLE_COLOUR('',#)"),
        format_args!("FILL_AREA_STYLE('',(#))"),
        format_args!("SURFACE_STYLE_FILL_AREA(#)"),
        format_args!("SURFACE_SIDE_STYLE('',(#))"),
        format_args!("SURFACE_STYLE_USAGE(.BOTH.,#)"),
        format_args!("PRESENTATION_STYLE_ASSIGNMENT((#))"),
    ] {
        last = entities.add(wrap, &[last]);
    }
    last
}

/// What the shape is the shape of.
fn product(data: &mut Section, title: &str, shape: usize) {
    let name = Text(title);
    let application = data.add(
        format_args!("APPLICATION_CONTEXT('core data for automotive mechanical design processes')"),
        &[],
    );
    let protocol = "APPLICATION_PROTOCOL_DEFINITION('international standard','automotive_design'";
    data.add(format_args!("{protocol},2000,#)"), &[application]);
    let context = data.add(format_args!("PRODUCT_CONTEXT('',#,'mechanical')"), &[application]);
    let product = data.add(format_args!("PRODUCT({name},{name},'',(#))"), &[context]);
    let formation = data.add(format_args!("PRODUCT_DEFINITION_FORMATION('','',#)"), &[product]);
    let stage = format_args!("PRODUCT_DEFINITION_CONTEXT('part definition',#,'design')");
    let stage = data.add(stage, &[application]);
    let definition =
        data.add(format_args!("PRODUCT_DEFINITION('design','',#,#)"), &[formation, stage]);
    let defined = data.add(format_args!("PRODUCT_DEFINITION_SHAPE('','',#)"), &[definition]);
    data.add(format_args!("SHAPE_DEFINITION_REPRESENTATION(#,#)"), &[defined, shape]);
    data.add(format_args!("PRODUCT_RELATED_PRODUCT_CATEGORY('part',$,(#))"), &[product]);
}
