//! The layer check: what of each layer the layer below does not carry.
//!
//! A layer's outline is the section in its middle. The layer below carries what lies
//! within it grown by `h tan(overhang)`, h being the distance of the two sections: on a
//! plain slope just what leans no more than the limit. Corners of the grown outline stay
//! sharp, so that the corner between two walls that both lean as they may is carried too.

mod carry;
mod descent;
mod regions;
mod report;
#[cfg(test)]
mod tests;

pub use carry::{Kind, Patch, distance};
pub use regions::{Hanging, Unsupported};
pub use report::{PRINTS_MM, report, will_not_print};

use super::slices::{Planes, Slices};
use crate::mesh::Mesh;
use crate::model::Printer;
use carry::patches;
use rayon::prelude::*;

/// What may hang over more than the limit and still counts as carried, mm: a slope of just
/// the limit must be, and its sections are rounded (single precision in an STL file leaves
/// 4e-6 mm at 50 mm) and cut from facets (0.001 rad on twisted ones, 4e-4 mm in a layer of
/// 0.2 mm). At 45 deg it is a seventh of a degree.
pub const CARRY_MM: f64 = 1e-3;

/// What the layers of a posed body do not carry.
pub struct Survey {
    /// By layer, upwards.
    pub patches: Vec<Patch>,
    /// Those that hang together.
    pub hanging: Vec<Hanging>,
    /// Where the body is cut.
    pub planes: Planes,
    /// How far each layer carries the next, mm.
    pub reach_mm: Vec<f64>,
    line_mm: f64,
}

impl Survey {
    /// Looks at all layers of a posed body. `props` stand beside it, up to what they carry.
    pub fn new(slices: &Slices, props: Option<&Mesh>, printer: &Printer) -> Survey {
        let planes = slices.planes().clone();
        let reach_mm: Vec<f64> = (0..planes.cuts_mm.len())
            .map(|layer| planes.rise_mm(layer) * printer.overhang_rad.tan() + CARRY_MM)
            .collect();
        let beside = props.map(|props| Slices::at(props, planes.clone()));
        let doubtful = descent::doubtful(slices, &reach_mm);
        let layers: Vec<usize> = (1..doubtful.len()).filter(|layer| doubtful[*layer]).collect();
        let found: Vec<Vec<Patch>> = layers
            .par_iter()
            .map(|layer| {
                let (upper, lower) = (slices.outlines(*layer), slices.outlines(layer - 1));
                let reach = reach_mm[*layer];
                match &beside {
                    None => patches(*layer, upper, lower, reach),
                    Some(beside) => {
                        let carriers = [lower, beside.outlines(layer - 1)].concat();
                        patches(*layer, upper, &carriers, reach)
                    }
                }
            })
            .collect();
        let patches: Vec<Patch> = found.into_iter().flatten().collect();
        let hanging = regions::joined(&patches, &reach_mm);
        let dot_mm2 = std::f64::consts::FRAC_PI_4 * printer.line_mm.powi(2);
        let hanging = regions::laid(hanging, &patches, dot_mm2);
        Survey { patches, hanging, planes, reach_mm, line_mm: printer.line_mm }
    }

    /// One region, measured.
    pub fn measured(&self, hanging: &Hanging) -> Unsupported {
        regions::measured(hanging, &self.patches, &self.planes, self.line_mm)
    }

    /// All of them, from below, those that are alike told once.
    pub fn told(&self) -> Vec<Unsupported> {
        regions::told(&self.hanging, &self.patches, &self.planes, self.line_mm)
    }
}
