//! Bodies for the tests of pictures.

use crate::fit::{Fits, GapFit, LidFit};
use crate::mesh::{Mesh, Sorted, Tag};
use crate::model::{
    Body, Closure, GapTable, Leaf, Material, Model, Part, PartId, Pose, Printer, Turned,
};
use crate::plane::{Point, polygon};
use crate::realise::{Engines, Finished, Form, Realised, Told};
use std::f64::consts::TAU;
use std::sync::Arc;

/// A body of revolution, its profile (radius, z) anticlockwise, in `sides` facets.
pub(super) fn turned(profile: &[[f64; 2]], sides: u32) -> Mesh {
    let mut mesh = Mesh::default();
    let rows = profile.len() as u32;
    for i in 0..sides {
        let (sin, cos) = (TAU * f64::from(i) / f64::from(sides)).sin_cos();
        mesh.vertices.extend(profile.iter().map(|[r, z]| [r * cos, r * sin, *z]));
        for j in 0..rows {
            let at = |i: u32, j: u32| (i % sides) * rows + j % rows;
            let [a, b, c, d] = [at(i, j), at(i + 1, j), at(i + 1, j + 1), at(i, j + 1)];
            mesh.triangles.extend([[a, b, c], [a, c, d]]);
        }
    }
    mesh.tags = vec![Tag::PLAIN; mesh.triangles.len()];
    mesh
}

/// A tube that stands on z = 0.
pub(super) fn tube(outer_mm: f64, inner_mm: f64, height_mm: f64, sides: u32) -> Mesh {
    let profile = [[inner_mm, 0.0], [outer_mm, 0.0], [outer_mm, height_mm], [inner_mm, height_mm]];
    turned(&profile, sides)
}

/// A pot of 40 mm bore with a flat lid whose plug is 0.15 mm smaller on each side.
pub(super) fn design() -> Model {
    let printer = Printer {
        name: "bench".into(),
        line_mm: 0.42,
        layer_mm: 0.2,
        first_layer_mm: 0.2,
        overhang_rad: 0.785,
        bridge_mm: 8.0,
        bed_mm: [220.0; 3],
        fill: 1.0,
        elephant_mm: 0.0,
        measured: GapTable { snap_mm: 0.1, slide_mm: 0.2, press_mm: 0.05, free_mm: 0.3 },
        tolerance: None,
    };
    let part = |name: &str, profile: &[[f64; 2]]| {
        let points: Vec<Point> = profile.iter().map(|[x, y]| Point::new(*x, *y)).collect();
        let turned = Turned { outline: polygon(&points).unwrap(), sides: None };
        Part {
            name: name.into(),
            docs: Vec::new(),
            body: Arc::new(Body::Leaf(Leaf::Turned(Arc::new(turned)))),
            material: Material {
                name: "chalk".into(),
                colour: [232, 225, 211],
                density_g_cm3: 1.24,
                modulus_mpa: None,
                permitted: None,
                shrink: 0.0,
            },
            pose: Pose::Upright,
            copies: 1,
            spares: 0,
            brim_mm: None,
            assembled: true,
            note: None,
            bought: None,
            cavity: None,
        }
    };
    Model {
        name: "pot".into(),
        size: None,
        givens: Vec::new(),
        printer,
        parts: vec![part("pot", &POT), part("cap", &CAP)],
        seats: Vec::new(),
        closures: vec![Closure {
            lid: PartId(1),
            host: PartId(0),
            gap_mm: 0.15,
            gap_name: None,
            across_mm: [None; 2],
            facets: 0,
            mouth_mm: 50.0,
        }],
        fits: Vec::new(),
        plates: Vec::new(),
        props: Vec::new(),
    }
}

const POT: [[f64; 2]; 6] =
    [[0.0, 0.0], [23.0, 0.0], [23.0, 50.0], [20.0, 50.0], [20.0, 3.0], [0.0, 3.0]];
const CAP: [[f64; 2]; 6] =
    [[0.0, 44.0], [19.85, 44.0], [19.85, 50.0], [23.0, 50.0], [23.0, 53.0], [0.0, 53.0]];

/// Its parts, as finished as pictures need them.
pub(super) fn realised(model: &Model) -> Realised {
    let finished = |profile: &[[f64; 2]]| {
        let mesh = Arc::new(turned(profile, 120));
        let box_mm = super::scene::bounds(mesh.vertices.iter()).unwrap();
        let told = Told { volume_mm3: 1.0, area_mm2: 1.0, centre_mm: [0.0; 3] };
        let engines = Engines { exact: None, mesh: told, chord_mm: 0.005, reason: None };
        let sorted = Arc::new(Sorted::of(&mesh));
        Some(Finished {
            sorted,
            form: Form::Mesh,
            mesh,
            exact: None,
            volume_mm3: 1.0,
            area_mm2: 1.0,
            pieces: 1,
            genus: 0,
            open_edges: 0,
            self_intersections: 0,
            box_mm,
            capacity_mm3: None,
            engines,
        })
    };
    assert_eq!(model.parts.len(), 2);
    Realised { parts: vec![finished(&POT), finished(&CAP)] }
}

/// How the lid fits.
pub(super) fn fits() -> Fits {
    let gap = GapFit {
        asked_mm: 0.15,
        least_mm: 0.15,
        median_mm: 0.15,
        most_mm: 0.151,
        least_at_mm: [19.925, 0.0, 48.0],
        least_across_mm: [0.15, 0.0, 0.0],
        worst_mm: None,
        limits: None,
    };
    let lid = LidFit {
        closure: 0,
        lid: PartId(1),
        host: PartId(0),
        gap,
        engagement_mm: 6.0,
        overlap_mm3: 0.0,
    };
    Fits {
        seats: Vec::new(),
        lids: vec![Some(lid)],
        rings: Vec::new(),
        pairs: Vec::new(),
        ways: Vec::new(),
    }
}
