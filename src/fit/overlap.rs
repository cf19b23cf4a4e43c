//! How much space two bodies share.

use crate::mesh::{Mesh, MeshFault, common};

/// Common volume of two meshes, mm3.
///
/// # Errors
/// If the boolean engine refuses.
pub fn common_mm3(a: &Mesh, b: &Mesh) -> Result<f64, MeshFault> {
    let shared = common(a, b)?;
    Ok(if shared.triangles.is_empty() { 0.0 } else { shared.volume_mm3().max(0.0) })
}
