//! Binary STL: an 80-byte header, the number of triangles, 50 bytes for each.
//! Single precision, no unit: the numbers are millimetres.

use super::weld::triangle_normal;
use crate::mesh::Mesh;
use crate::model::Vector;

/// The bytes of one mesh. Their number is 84 + 50 n for n triangles. A triangle two of
/// whose corners are the same point in single precision is left out, on both
/// sides of the edge that vanished, so the surface stays closed.
///
/// # Errors
/// Only when memory cannot be written to.
pub fn encode(mesh: &Mesh) -> std::io::Result<Vec<u8>> {
    let triangles: Vec<stl_io::Triangle> =
        mesh.triangles.iter().filter_map(|corners| triangle(mesh, corners)).collect();
    let mut bytes = Vec::with_capacity(84 + 50 * triangles.len());
    stl_io::write_stl(&mut bytes, triangles.iter())?;
    Ok(bytes)
}

fn triangle(mesh: &Mesh, corners: &[u32; 3]) -> Option<stl_io::Triangle> {
    let exact = corners.map(|c| mesh.vertices[c as usize]);
    let single = exact.map(|p| p.map(|c| c as f32 + 0.0));
    let [a, b, c] = single;
    if a == b || b == c || c == a {
        return None;
    }
    let normal: Vector = triangle_normal(exact);
    Some(stl_io::Triangle {
        normal: stl_io::Vector::new(normal.map(|c| c as f32 + 0.0)),
        vertices: single.map(stl_io::Vector::new),
    })
}

/// What an STL file tells of a body.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct StlFacts {
    /// How many there are.
    pub triangles: usize,
    /// Extents along x, y and z, mm.
    pub size_mm: Vector,
    /// mm3
    pub volume_mm3: f64,
    /// mm2
    pub area_mm2: f64,
}

/// What the bytes of a binary STL file tell; none where they are no such file.
pub fn facts(bytes: &[u8]) -> Option<StlFacts> {
    let count = u32::from_le_bytes(bytes.get(80..84)?.try_into().ok()?) as usize;
    if count.checked_mul(50)?.checked_add(84)? != bytes.len() {
        return None;
    }
    let mut mesh = Mesh::default();
    for record in bytes[84..].chunks_exact(50) {
        // A normal, three corners, two bytes of attributes.
        for corner in record[12..48].chunks_exact(12) {
            let number = |i: usize| -> Option<f64> {
                let bytes = corner.get(4 * i..4 * i + 4)?.try_into().ok()?;
                Some(f64::from(f32::from_le_bytes(bytes))).filter(|c| c.is_finite())
            };
            mesh.vertices.push([number(0)?, number(1)?, number(2)?]);
        }
        let next = mesh.vertices.len() as u32;
        mesh.triangles.push([next - 3, next - 2, next - 1]);
        mesh.tags.push(crate::mesh::Tag::PLAIN);
    }
    let size_mm = if count == 0 { [0.0; 3] } else { mesh.bounds().size() };
    let (volume_mm3, area_mm2) = (mesh.volume_mm3(), mesh.area_mm2());
    Some(StlFacts { triangles: count, size_mm, volume_mm3, area_mm2 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::output::tests::cube;

    /// The size law and the layout of the binary form, as published with the format
    /// (3D Systems, StereoLithography Interface Specification, 1989; from memory).
    #[test]
    fn the_size_is_84_and_50_for_each_triangle() {
        let bytes = encode(&cube(10.0)).unwrap();
        assert_eq!(bytes.len(), 684);
        assert_eq!(bytes[80..84], 12u32.to_le_bytes());
        assert!(!bytes.starts_with(b"solid"));
        // The attribute of every triangle is 0.
        assert!(bytes[84..].chunks(50).all(|t| t[48..] == [0, 0]));
    }

    #[test]
    fn a_file_tells_of_its_body_and_nothing_else_does() {
        let bytes = encode(&cube(10.0)).unwrap();
        let facts = facts(&bytes).unwrap();
        assert_eq!((facts.triangles, facts.size_mm), (12, [10.0; 3]));
        assert!((facts.volume_mm3 - 1000.0).abs() < 1e-9);
        assert!((facts.area_mm2 - 600.0).abs() < 1e-9);
        assert_eq!(super::facts(&bytes[..bytes.len() - 1]), None);
        assert_eq!(super::facts(b"solid cube"), None);
    }

    #[test]
    fn normals_point_outwards_and_there_is_no_negative_zero() {
        let bytes = encode(&cube(10.0)).unwrap();
        let mut reader = std::io::Cursor::new(&bytes);
        let read = stl_io::read_stl(&mut reader).unwrap();
        read.validate().unwrap();
        for face in &read.faces {
            let centre: [f32; 3] = std::array::from_fn(|i| {
                face.vertices.iter().map(|v| read.vertices[*v].0[i]).sum::<f32>() / 3.0 - 5.0
            });
            let outwards: f32 = (0..3).map(|i| face.normal.0[i] * centre[i]).sum();
            assert!((outwards - 5.0).abs() < 1e-5);
        }
        let negative_zero = (-0.0f32).to_le_bytes();
        assert!(bytes[84..].chunks(50).all(|t| t[..48].chunks(4).all(|f| f != negative_zero)));
    }

    #[test]
    fn triangles_that_single_precision_closes_are_left_out_in_pairs() {
        // Splitting an edge 1e-9 mm from its end makes two triangles that vanish.
        let mut mesh = cube(100.0);
        let [a, b, c] = mesh.triangles[0];
        let other =
            mesh.triangles.iter().position(|t| (0..3).any(|i| t[i] == b && t[(i + 1) % 3] == a));
        let other = other.unwrap();
        let far = *mesh.triangles[other].iter().find(|v| **v != a && **v != b).unwrap();
        let (p, q) = (mesh.vertices[a as usize], mesh.vertices[b as usize]);
        let new = mesh.vertices.len() as u32;
        mesh.vertices.push(std::array::from_fn(|i| p[i] + (q[i] - p[i]) * (1.0 - 1e-11)));
        mesh.triangles[0] = [new, b, c];
        mesh.triangles.push([a, new, c]);
        mesh.triangles[other] = [b, new, far];
        mesh.triangles.push([new, a, far]);
        let bytes = encode(&mesh).unwrap();
        assert_eq!(bytes.len(), 684);
        stl_io::read_stl(&mut std::io::Cursor::new(&bytes)).unwrap().validate().unwrap();
    }
}
