//! Bodies of the model as meshes.

use super::belly::{Bellied, body as bellied};
use super::checks::{Checks, checks_sorted};
use super::combine::{combined, simplified, united};
use super::crossings::Sorted;
use super::facets::{Facets, Tolerance, largest_radius, radius_of};
use super::fault::MeshFault;
use super::ladder::Bulge;
use super::prism::prism;
use super::socket::socketed;
use super::tool::{Site, sites, tool};
use super::triangles::Mesh;
use super::turned::Lift;
use super::wrap::{Wrap, layer_of, motion_of};
use crate::layers::{Layer, Motion, WELD_MM};
use crate::model::{
    Body, Inlay, Leaf, Model, Operation, Placement, Prism, Relief, Surface, Turned, inset_strips,
    nominal_strips, pocket_strips,
};
use crate::plane::{Corners, Strips, grown};
use std::ops::Range;
use std::sync::Arc;

/// What a part has to do with seats.
#[derive(Clone, Copy, Debug, Default)]
pub struct Finish<'a> {
    /// The seat that the part itself sits in.
    pub seated: Option<Seated>,
    /// The pockets that it loses.
    pub pockets: &'a [Pocket<'a>],
}

/// An inlay's side of a seat.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Seated {
    /// How far its flanks move in, mm.
    pub inset_mm: f64,
    /// The number of the part, for tags.
    pub owner: usize,
}

/// A host's side of a seat.
#[derive(Clone, Copy, Debug)]
pub struct Pocket<'a> {
    /// The body of the part that sits in it, in assembly axes.
    pub inlay: &'a Body,
    /// How far its flanks move out, mm.
    pub grow_mm: f64,
    /// Extra depth behind the inlay, mm.
    pub gap_behind_mm: f64,
    /// The number of the inlay's part, for tags.
    pub owner: usize,
}

/// A mesh that passed its checks.
#[derive(Clone, Debug)]
pub struct Made {
    /// The body.
    pub mesh: Mesh,
    /// What was found; always sound.
    pub checks: Checks,
    /// Its triangles by place: what comes after the checks needs them again.
    pub sorted: Sorted,
}

/// Makes meshes of the bodies of one model, all on the same facets.
#[derive(Clone, Debug)]
pub struct Mesher {
    tolerance: Tolerance,
    facets: Facets,
}

impl Mesher {
    /// For all bodies of a model.
    pub fn new(model: &Model, tolerance: &Tolerance) -> Mesher {
        Mesher::for_radius(largest_radius(model), tolerance)
    }

    /// For bodies of up to this radius round the z axis, mm.
    pub fn for_radius(radius_mm: f64, tolerance: &Tolerance) -> Mesher {
        let facets = Facets::for_radius(radius_mm, tolerance);
        Mesher { tolerance: *tolerance, facets }
    }

    /// The facets of all bodies round the z axis of the assembly.
    pub fn facets(&self) -> &Facets {
        &self.facets
    }

    /// A body as it is before any seat.
    ///
    /// # Errors
    /// Why there is no mesh, or no sound one.
    pub fn nominal(&self, body: &Body) -> Result<Made, MeshFault> {
        self.finished(body, &Finish::default())
    }

    /// A body with its gaps taken and its pockets cut.
    ///
    /// Pockets in turned hosts are sewn in where nothing else comes near them; all others are
    /// cut by a tool that stands out of the surface.
    ///
    /// # Errors
    /// Why there is no mesh, or no sound one.
    pub fn finished(&self, body: &Body, finish: &Finish) -> Result<Made, MeshFault> {
        let seats = seats_of(finish)?;
        let sewable = seats.iter().map(|sites| sites.len() == 1).collect();
        self.with_pockets(body, finish, &seats, sewable)
    }

    /// As [`Mesher::finished`], every pocket cut by a tool: an independent way to the same
    /// body, for checks.
    ///
    /// # Errors
    /// Why there is no mesh, or no sound one.
    pub fn cut(&self, body: &Body, finish: &Finish) -> Result<Made, MeshFault> {
        let seats = seats_of(finish)?;
        let sewable = vec![false; seats.len()];
        self.with_pockets(body, finish, &seats, sewable)
    }

    fn with_pockets(
        &self,
        body: &Body,
        finish: &Finish,
        seats: &[Vec<Site>],
        mut sewable: Vec<bool>,
    ) -> Result<Made, MeshFault> {
        let (mut mesh, sewn) = loop {
            let mut work = Work::new(self, finish, seats, &sewable);
            let mesh = work.solid(body, &Placement::IDENTITY)?;
            if work.blocked.is_empty() {
                break (mesh, work.done);
            }
            work.blocked.iter().for_each(|p| sewable[*p] = false);
        };
        for (pocket, sites) in seats.iter().enumerate().filter(|(p, _)| !sewn.contains(p)) {
            for site in sites {
                let tool = tool(self, &finish.pockets[pocket], site, &mesh)?;
                mesh = combined(Operation::Less, mesh, &tool)?;
            }
        }
        accepted(mesh)
    }

    pub(super) fn tolerance(&self) -> &Tolerance {
        &self.tolerance
    }

    /// Facets and motion for a turned leaf: in the assembly's axes where it is round and
    /// keeps them, else in its own, to be placed afterwards.
    pub(super) fn frame(&self, placement: &Placement, body: &Turned) -> Frame {
        if let Some(sides) = body.sides {
            return Frame {
                facets: Facets::of_sides(sides, &self.tolerance),
                motion: motion_of(&Placement::IDENTITY),
                rest: *placement,
            };
        }
        if placement.keeps_axis() {
            return Frame {
                facets: self.facets.clone(),
                motion: motion_of(placement),
                rest: Placement::IDENTITY,
            };
        }
        Frame {
            facets: Facets::for_radius(radius_of(body), &self.tolerance),
            motion: motion_of(&Placement::IDENTITY),
            rest: *placement,
        }
    }

    /// A prism somewhere, its sides moved out by `grow_mm`.
    pub(super) fn prism(
        &self,
        body: &Prism,
        placement: &Placement,
        grow_mm: f64,
        owner: Option<usize>,
    ) -> Result<Mesh, MeshFault> {
        let made = if grow_mm == 0.0 {
            prism(body, &self.tolerance, owner)?
        } else {
            let outline = grown(&body.outline, grow_mm, Corners::Mitre)?;
            prism(&Prism { outline, ..body.clone() }, &self.tolerance, owner)?
        };
        Ok(made.placed(placement))
    }

    /// An inlay, or with [`Bulge::Out`] the tool of its pocket, somewhere.
    pub(super) fn wrapped(
        &self,
        inlay: &Inlay,
        placement: &Placement,
        strips: Strips,
        layer: &Layer,
        owner: Option<usize>,
        bulge: Bulge,
    ) -> Option<Mesh> {
        match &inlay.surface {
            Surface::Flat { .. } => {
                let wrap = Wrap::flat(inlay, strips, *layer, owner)?;
                Some(wrap.body(bulge).placed(placement))
            }
            Surface::Round { host, .. } => {
                let frame = self.frame(placement, host);
                let wrap = Wrap::round(inlay, &strips, layer, &frame.motion, &frame.facets, owner)?;
                Some(wrap.body(bulge).placed(&frame.rest))
            }
            Surface::Belly { host, .. } => {
                let frame = self.frame(placement, host);
                let (motion, facets) = (&frame.motion, &frame.facets);
                let tolerance = &self.tolerance;
                let it =
                    Bellied { inlay, strips: &strips, layer, motion, facets, tolerance, owner };
                Some(bellied(&it, bulge)?.placed(&frame.rest))
            }
        }
    }
}

/// Where a leaf is built.
pub(super) struct Frame {
    pub facets: Facets,
    pub motion: Motion,
    /// What is left to do afterwards.
    pub rest: Placement,
}

impl Frame {
    fn lift(&self) -> Lift {
        Lift { rise_mm: self.motion.rise_mm, over: self.motion.mirror_z }
    }
}

/// The sites of each pocket.
fn seats_of(finish: &Finish) -> Result<Vec<Vec<Site>>, MeshFault> {
    finish.pockets.iter().map(|p| sites(p.inlay, &Placement::IDENTITY)).collect()
}

/// One walk over a body.
struct Work<'a> {
    mesher: &'a Mesher,
    finish: &'a Finish<'a>,
    seats: &'a [Vec<Site>],
    /// Pockets that may be sewn in.
    sewable: &'a [bool],
    /// Pockets that were, in the order of the walk.
    done: Vec<usize>,
    /// Pockets that something else comes near.
    blocked: Vec<usize>,
}

impl<'a> Work<'a> {
    fn new(
        mesher: &'a Mesher,
        finish: &'a Finish<'a>,
        seats: &'a [Vec<Site>],
        sewable: &'a [bool],
    ) -> Work<'a> {
        Work { mesher, finish, seats, sewable, done: vec![], blocked: vec![] }
    }

    fn solid(&mut self, body: &Body, at: &Placement) -> Result<Mesh, MeshFault> {
        match body {
            Body::Empty => Ok(Mesh::default()),
            Body::Leaf(Leaf::Turned(turned)) => self.turned(turned, at),
            Body::Leaf(Leaf::Prism(prism)) => {
                let inset = self.finish.seated.map_or(0.0, |s| s.inset_mm);
                self.mesher.prism(prism, at, -inset, self.owner())
            }
            Body::Leaf(Leaf::Inlay(inlay)) => self.inlay(inlay, at),
            Body::Leaf(Leaf::Relief(relief)) => self.relief(relief, at),
            Body::Placed { body, placement } => self.solid(body, &placement.then(at)),
            Body::Boolean { operation, left, right } => {
                let before = self.done.len();
                let a = self.solid(left, at)?;
                let between = self.done.len();
                let b = self.solid(right, at)?;
                match operation {
                    Operation::Join => {
                        self.keep_clear(&[before..between, between..self.done.len()], &[&a, &b])
                    }
                    Operation::Less => self.blocked.extend_from_slice(&self.done[between..]),
                    Operation::Meet => {}
                }
                combined(*operation, a, &b)
            }
            Body::Many(bodies) => {
                let (mut parts, mut done) = (vec![], vec![]);
                for body in bodies {
                    let before = self.done.len();
                    parts.push(self.solid(body, at)?);
                    done.push(before..self.done.len());
                }
                self.keep_clear(&done, &parts.iter().collect::<Vec<_>>());
                united(parts)
            }
        }
    }

    fn owner(&self) -> Option<usize> {
        self.finish.seated.map(|s| s.owner)
    }

    /// Blocks pockets sewn into one of several joined bodies that another one comes near.
    fn keep_clear(&mut self, done: &[Range<usize>], parts: &[&Mesh]) {
        let mut near = vec![];
        for (i, range) in done.iter().enumerate() {
            for pocket in self.done[range.clone()].iter().copied() {
                let site = &self.seats[pocket][0];
                let others = parts.iter().enumerate().filter(|(j, _)| *j != i);
                if others.map(|(_, mesh)| mesh).any(|mesh| site.is_near(mesh)) {
                    near.push(pocket);
                }
            }
        }
        self.blocked.extend(near);
    }

    fn turned(&mut self, body: &Arc<Turned>, at: &Placement) -> Result<Mesh, MeshFault> {
        let frame = self.mesher.frame(at, body);
        let (mut wraps, mut names) = (vec![], vec![]);
        for (pocket, it) in self.finish.pockets.iter().enumerate() {
            let Some(inlay) = self.seats[pocket].first().and_then(|s| s.sits_in(body, at)) else {
                continue;
            };
            if !self.sewable[pocket] {
                continue;
            }
            let layer = layer_of(inlay, Some((it.gap_behind_mm, 0.0)))?;
            let strips = pocket_strips(inlay, it.grow_mm)?;
            let owner = Some(it.owner);
            let wrap = Wrap::round(inlay, &strips, &layer, &frame.motion, &frame.facets, owner);
            if let Some(wrap) = wrap {
                wraps.push(wrap);
                names.push(pocket);
            }
        }
        let (mesh, sewn) =
            socketed(body, &frame.facets, &self.mesher.tolerance, &frame.lift(), &wraps);
        self.done.extend(sewn.into_iter().map(|wrap| names[wrap]));
        Ok(mesh.placed(&frame.rest))
    }

    fn inlay(&self, inlay: &Inlay, at: &Placement) -> Result<Mesh, MeshFault> {
        let strips = match self.finish.seated {
            Some(seated) => inset_strips(inlay, seated.inset_mm)?,
            None => nominal_strips(inlay)?,
        };
        let layer = layer_of(inlay, None)?;
        let made = self.mesher.wrapped(inlay, at, strips, &layer, self.owner(), Bulge::In);
        Ok(made.unwrap_or_default())
    }

    fn relief(&self, relief: &Relief, at: &Placement) -> Result<Mesh, MeshFault> {
        let strips = nominal_strips(&relief.pattern)?;
        let layer = Layer::of_relief(relief).ok_or(MeshFault::SteepSurface)?;
        let made = self.mesher.wrapped(&relief.pattern, at, strips, &layer, None, Bulge::In);
        Ok(made.unwrap_or_default())
    }
}

/// Checks a mesh; what is too fine to be written is merged away first.
fn accepted(mesh: Mesh) -> Result<Made, MeshFault> {
    let sorted = Sorted::of(&mesh);
    let found = checks_sorted(&mesh, &sorted);
    if found.collapsing > 0 {
        let finer = simplified(&mesh, WELD_MM)?;
        let sorted = Sorted::of(&finer);
        let again = checks_sorted(&finer, &sorted);
        if again.is_sound() && again.collapsing < found.collapsing {
            return Ok(Made { mesh: finer, checks: again, sorted });
        }
    }
    if !found.is_sound() {
        return Err(MeshFault::Unsound { checks: found });
    }
    Ok(Made { mesh, checks: found, sorted })
}
