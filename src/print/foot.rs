//! The first layer: a brim round it, and less of it where it will spread.

use super::codes;
use super::posed::PosedPiece;
use super::slices::first_layer;
use crate::diagnostics::{BUG, Diagnostic, Sink};
use crate::mesh::{Mesh, MeshFault, difference, slab};
use crate::model::{Model, Places, Printer};
use crate::plane::{Point, beyond, grown_region, inner_radius, region_area, regions};
use crate::quantity::decimals;

/// How far the body that cuts a first layer reaches past it, mm, so that no two of their
/// faces lie in one plane.
const BEYOND_MM: f64 = 1.0;

/// Of what drawing in takes away for good, less than this is the tip of a sharp corner, mm.
const LOST_MM: f64 = 0.05;

/// To what the circles in it are known, mm.
const WITHIN_MM: f64 = 0.005;

/// A body of one layer that touches the first layer of a copy on all its sides.
#[derive(Clone, Debug)]
pub struct Brim {
    /// How far it reaches, mm.
    pub width_mm: f64,
    /// What it covers, mm2.
    pub area_mm2: f64,
    /// The body, where the posed copy is.
    pub mesh: Mesh,
}

/// What was taken off the sides of a first layer.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DrawnIn {
    /// By how much each side moved, mm.
    pub by_mm: f64,
    /// What the first layer covers once it has spread, mm2.
    pub nominal_mm2: f64,
    /// What it covers in the file, mm2.
    pub meshed_mm2: f64,
    /// Pieces whose first layer is too narrow for it; they are left as drawn.
    pub kept: usize,
}

/// The brim of a posed copy; none where that has no first layer. Columns that stand on the bed
/// are left out with a line of air round each, so that they come off by themselves.
///
/// # Errors
/// When the region round it cannot be drawn up.
pub fn brim(
    mesh: &Mesh,
    columns: Option<&Mesh>,
    printer: &Printer,
    width_mm: f64,
) -> Result<Option<Brim>, MeshFault> {
    let outlines = first_layer(mesh, printer);
    if outlines.is_empty() {
        return Ok(None);
    }
    let mut round = beyond(&grown_region(&outlines, width_mm), &outlines, 0.0).concat();
    let feet = columns.map_or(Vec::new(), |columns| first_layer(columns, printer));
    if !feet.is_empty() {
        round = beyond(&round, &feet, printer.line_mm).concat();
    }
    if round.is_empty() {
        return Ok(None);
    }
    let mesh = slab(&round, [0.0, printer.first_layer_mm])?;
    Ok(Some(Brim { width_mm, area_mm2: region_area(&round), mesh }))
}

/// Moves the sides of the first layer of every piece in by what the printer's first layer
/// spreads. A piece of whose first layer a part would vanish keeps it.
///
/// # Errors
/// When the boolean engine refuses a body.
pub fn drawn_in(
    mesh: &mut Mesh,
    pieces: &mut [PosedPiece],
    printer: &Printer,
) -> Result<Option<DrawnIn>, MeshFault> {
    let by_mm = printer.elephant_mm;
    if by_mm == 0.0 {
        return Ok(None);
    }
    let (mut out, mut first) = (Mesh::default(), 0);
    let mut told = DrawnIn { by_mm, nominal_mm2: 0.0, meshed_mm2: 0.0, kept: 0 };
    for piece in pieces {
        let whole = mesh.only(first..first + piece.triangles);
        first += piece.triangles;
        let outlines = first_layer(&whole, printer);
        let less = grown_region(&outlines, -by_mm);
        told.nominal_mm2 += region_area(&outlines);
        let lost = beyond(&outlines, &less, by_mm);
        let stays = regions(&less).len() == regions(&outlines).len()
            && lost.iter().all(|region| inner_radius(region, WITHIN_MM) < LOST_MM);
        let cut = if stays && !outlines.is_empty() {
            told.meshed_mm2 += region_area(&less);
            difference(&whole, &around(&whole, &less, printer.first_layer_mm)?)?
        } else {
            told.meshed_mm2 += region_area(&outlines);
            told.kept += usize::from(!outlines.is_empty());
            whole
        };
        piece.triangles = cut.triangles.len();
        out.take(&cut);
    }
    *mesh = out;
    Ok(Some(told))
}

/// Tells of a first layer that was not drawn in everywhere.
pub fn told(
    model: &Model,
    places: &Places,
    index: usize,
    drawn_in: Result<Option<DrawnIn>, MeshFault>,
    sink: &mut Sink,
) -> Option<DrawnIn> {
    let name = &model.parts[index].name;
    match drawn_in {
        Ok(Some(told)) if told.kept > 0 => {
            let message = format!(
                "the first layer of `{name}` is narrower somewhere than twice the {} mm by which \
                 it is to be drawn in: it stays as drawn there",
                decimals(told.by_mm, 2)
            );
            if let Some(place) = places.parts.get(index) {
                let finding = Diagnostic::at(codes::FOOT_KEPT, place.name, message);
                sink.push(finding.help("widen its foot, or let the printer say elephant: 0 mm"));
            }
            Some(told)
        }
        Ok(told) => told,
        Err(fault) => {
            sink.push(failed(name, &fault));
            None
        }
    }
}

/// The brim that could be laid round a copy.
pub fn laid(
    name: &str,
    brim: Option<Result<Option<Brim>, MeshFault>>,
    sink: &mut Sink,
) -> Option<Brim> {
    match brim? {
        Ok(brim) => brim,
        Err(fault) => {
            sink.push(failed(name, &fault));
            None
        }
    }
}

fn failed(name: &str, fault: &MeshFault) -> Diagnostic {
    Diagnostic::nowhere(BUG, format!("the first layer of `{name}`: {fault}"))
}

/// All that lies round a region, as far as a body reaches, up to the top of the first layer.
fn around(body: &Mesh, region: &[Vec<Point>], high_mm: f64) -> Result<Mesh, MeshFault> {
    let bounds = body.bounds();
    let [low, high] = [bounds.low, bounds.high];
    let (left, right) = (low[0] - BEYOND_MM, high[0] + BEYOND_MM);
    let (front, back) = (low[1] - BEYOND_MM, high[1] + BEYOND_MM);
    let corners = [[left, front], [right, front], [right, back], [left, back]];
    let frame = corners.map(|[x, y]| Point::new(x, y)).to_vec();
    slab(&beyond(&[frame], region, 0.0).concat(), [-BEYOND_MM, high_mm])
}

#[cfg(test)]
mod tests {
    use super::super::tests::{block, printer, together};
    use super::*;
    use crate::mesh::{Obstacle, checks, overlap_mm3};
    use crate::model::Placement;

    fn posed(triangles: usize) -> PosedPiece {
        PosedPiece { placement: Placement::IDENTITY, triangles }
    }

    #[test]
    fn a_brim_goes_round_outside_and_inside() {
        // A square tube of 20 mm, 2 mm thick: outside 30² - 20², inside 16² - 6².
        let tube = difference(
            &block([0.0; 3], [20.0, 20.0, 5.0]),
            &block([2.0, 2.0, -1.0], [16.0, 16.0, 9.0]),
        );
        let brim = brim(&tube.unwrap(), None, &printer(45.0), 5.0).unwrap().unwrap();
        let area = 30.0 * 30.0 - 400.0 + 16.0 * 16.0 - 6.0 * 6.0;
        assert!((brim.area_mm2 - area).abs() < 1e-6, "{}", brim.area_mm2);
        assert!((brim.mesh.volume_mm3() - area * 0.2).abs() < 1e-6);
        assert_eq!(checks(&brim.mesh).open_edges, 0);
    }

    #[test]
    fn a_brim_leaves_out_feet_with_a_line_of_air() {
        let part = block([0.0; 3], [20.0, 20.0, 5.0]);
        // One foot of 2 mm within the brim, one half beyond it, one far off, one above the bed.
        let feet = [[22.0, 9.0, 0.0], [-6.0, 9.0, 0.0], [60.0, 9.0, 0.0], [9.0, 22.0, 1.0]];
        let feet = feet.map(|at| block(at, [2.0, 2.0, 9.0]));
        let columns = feet.iter().skip(1).fold(feet[0].clone(), |all, foot| together(&all, foot));
        let bench = printer(45.0);
        let brim = brim(&part, Some(&columns), &bench, 5.0).unwrap().unwrap();
        let wide = 2.0 + 2.0 * bench.line_mm;
        let area = 900.0 - 400.0 - wide * wide - (1.0 + bench.line_mm) * wide;
        assert!((brim.area_mm2 - area).abs() < 1e-6, "{} for {area}", brim.area_mm2);
        let found = checks(&brim.mesh);
        assert_eq!((found.open_edges, found.self_intersections), (0, 0));
        for foot in &feet {
            let [laid, standing] = [&brim.mesh, foot].map(Obstacle::of);
            let common = overlap_mm3(&laid, &standing).unwrap();
            assert!(common == 0.0, "{common}");
        }
    }

    #[test]
    fn a_first_layer_is_drawn_in_and_nothing_above_it() {
        let mut mesh = block([0.0; 3], [10.0, 20.0, 5.0]);
        let mut pieces = [posed(12)];
        let bench = Printer { elephant_mm: 0.25, ..printer(45.0) };
        let told = drawn_in(&mut mesh, &mut pieces, &bench).unwrap().unwrap();
        assert!((told.nominal_mm2 - 200.0).abs() < 1e-6);
        assert!((told.meshed_mm2 - 9.5 * 19.5).abs() < 1e-6);
        assert!((mesh.volume_mm3() - (1000.0 - 0.2 * (200.0 - 9.5 * 19.5))).abs() < 1e-6);
        assert_eq!(checks(&mesh).open_edges, 0);
        assert_eq!(pieces[0].triangles, mesh.triangles.len());
        assert_eq!(told.kept, 0);
    }

    #[test]
    fn what_would_vanish_stays_as_drawn() {
        let thin = block([30.0, 0.0, 0.0], [0.4, 20.0, 5.0]);
        let mut mesh = together(&block([0.0; 3], [10.0, 20.0, 5.0]), &thin);
        let mut pieces = [posed(12), posed(12)];
        let bench = Printer { elephant_mm: 0.25, ..printer(45.0) };
        let told = drawn_in(&mut mesh, &mut pieces, &bench).unwrap().unwrap();
        assert_eq!((told.kept, pieces[1].triangles), (1, 12));
        assert!(pieces[0].triangles > 12);
    }
}
