//! What lies on the disk after a build: formats, and whole sets or none.

use pipkin::mesh::{Mesh, Tag};
use pipkin::output::{stl, threemf};
use std::path::Path;

/// The cube of the 3MF Core Specification 1.4.0, appendix B.2: 8 corners, 12 triangles,
/// a box from (0, 42.998, 0) to (39.998, 82.998, 39.998).
fn appendix_cube() -> Mesh {
    let (low, high) = ([0.0, 42.998, 0.0], [39.998, 82.998, 39.998]);
    let corner =
        |bits: usize| std::array::from_fn(|i| if bits >> i & 1 == 1 { high[i] } else { low[i] });
    let faces =
        [[0, 2, 3, 1], [4, 5, 7, 6], [0, 1, 5, 4], [2, 6, 7, 3], [0, 4, 6, 2], [1, 3, 7, 5]];
    let triangles: Vec<[u32; 3]> =
        faces.iter().flat_map(|[a, b, c, d]| [[*a, *b, *c], [*a, *c, *d]]).collect();
    let tags = vec![Tag::PLAIN; triangles.len()];
    Mesh { vertices: (0..8).map(corner).collect(), triangles, tags }
}

/// The volume under the corners of each triangle, by the divergence theorem.
fn volume(corners: &[[f64; 3]], triangles: &[[usize; 3]]) -> f64 {
    let under = |t: &[usize; 3]| {
        let [a, b, c] = t.map(|v| corners[v]);
        a[0] * (b[1] * c[2] - b[2] * c[1])
            + a[1] * (b[2] * c[0] - b[0] * c[2])
            + a[2] * (b[0] * c[1] - b[1] * c[0])
    };
    triangles.iter().map(under).sum::<f64>() / 6.0
}

/// The numbers of every element `name` in a model part, by a reading that shares
/// nothing with the writer.
fn numbers(model: &str, name: &str) -> Vec<[f64; 3]> {
    let head = format!("<{name} ");
    let elements = model.split(&head).skip(1).map(|rest| rest.split("/>").next().unwrap());
    let values = elements.map(|e| e.split('"').skip(1).step_by(2).map(|v| v.parse().unwrap()));
    values.map(|v| v.collect::<Vec<f64>>().try_into().unwrap()).collect()
}

/// Also writes the package where the outside check looks for it.
#[test]
fn the_cube_of_the_3mf_specification_keeps_its_volume() {
    let mesh = appendix_cube();
    let object = threemf::PrintObject {
        name: "cube",
        material: "Green",
        colour: [0x21, 0xbb, 0x4c],
        mesh: &mesh,
        items: vec![threemf::shifted([0.0; 3])],
    };
    let package = threemf::encode("Cube", "pipkin", &[object]).unwrap();
    let path = Path::new(env!("CARGO_TARGET_TMPDIR")).join("appendix.3mf");
    std::fs::write(path, &package).unwrap();

    let mut archive = zip::ZipArchive::new(std::io::Cursor::new(&package)).unwrap();
    let model = std::io::read_to_string(archive.by_name("3D/3dmodel.model").unwrap()).unwrap();
    let corners = numbers(&model, "vertex");
    let triangles: Vec<[usize; 3]> =
        numbers(&model, "triangle").iter().map(|t| t.map(|v| v as usize)).collect();
    assert_eq!((corners.len(), triangles.len()), (8, 12));
    assert!((volume(&corners, &triangles) - 63_993.600_16).abs() < 1e-8);
}

/// 12 triangles are 684 bytes (binary STL: 84 + 50 n; 3D Systems, StereoLithography
/// Interface Specification, 1989; from memory).
#[test]
fn the_same_cube_as_stl_has_684_bytes() {
    let bytes = stl::encode(&appendix_cube()).unwrap();
    assert_eq!(bytes.len(), 684);
    let read = stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap();
    let corners: Vec<[f64; 3]> = read.vertices.iter().map(|v| v.0.map(f64::from)).collect();
    let triangles: Vec<[usize; 3]> = read.faces.iter().map(|f| f.vertices).collect();
    // Single precision: 6e-8 of each of three lengths.
    let ratio = volume(&corners, &triangles) / 63_993.600_16 - 1.0;
    assert!(ratio.abs() < 3e-7, "{ratio}");
}
