//! A ring over flat sides as a chain of short straight bars, cut square to each side.
//!
//! Cuts through the axis would be slanted, and thick, near the corners.

use super::facet::Facet;
use super::section::{Cut, STATIONS, Section, Sum};
use crate::mesh::Mesh;
use crate::model::{Placement, Sides};
use std::f64::consts::TAU;

/// Bars of a whole side, by which the distance of the middle line is found first.
const FEW: usize = 24;

/// Shorter ends than this are none, as a share of their distance from the axis.
const NO_END: f64 = 1e-6;

/// Share of a bar by which a corner of a facet may be off; far above its rounding.
const CORNER: f64 = 1e-6;

/// A short straight bar of a side.
#[derive(Clone, Copy, Debug)]
pub struct Bar {
    /// Where its side faces, rad from the middle of the slit.
    pub facing: f64,
    /// Where it begins, from the middle of its side, anticlockwise, mm.
    pub from: f64,
    /// Where it ends, mm.
    pub to: f64,
    /// What is there; distances square to the side.
    pub section: Section,
}

impl Bar {
    /// Turn, rad, for a moment over the modulus of 1 mm3.
    pub fn flexibility(&self) -> f64 {
        (self.to - self.from) / self.section.inertia
    }
}

/// One side, or what the slit leaves of it, in equal bars.
struct Span {
    facing: f64,
    from: f64,
    step: f64,
    /// Between these a square cut meets neither another side nor the slit, mm.
    square: [f64; 2],
    /// Of the facing: sine and cosine.
    way: [f64; 2],
    cuts: Vec<Cut>,
    sums: Vec<Sum>,
}

impl Span {
    fn at(&self, bar: usize) -> f64 {
        self.from + bar as f64 * self.step
    }
}

/// A ring that is to be cut into bars.
pub struct Sided<'a> {
    /// The finished ring.
    pub mesh: &'a Mesh,
    /// To the frame whose z axis is the ring's.
    pub back: &'a Placement,
    /// Its sides.
    pub sides: Sides,
    /// Angles of the slit's walls, rad.
    pub walls: [f64; 2],
    /// Its least distance from the axis, square to a side, mm.
    pub inner: f64,
    /// Its largest one, mm.
    pub outer: f64,
}

impl Sided<'_> {
    /// Bars without a break, from one tip to the other. None where the ring hangs together nowhere but
    /// at its slit.
    pub fn bars(&self) -> Option<Vec<Bar>> {
        let few = self.cut(self.inner, FEW)?;
        let area: f64 = few.iter().map(|bar| bar.section.area).sum();
        let middle: f64 = few.iter().map(|bar| bar.section.area * bar.section.centroid).sum();
        self.cut(middle / area, STATIONS / self.sides.count() as usize)
    }

    /// Bars for a middle line at a distance, so many to a whole side.
    fn cut(&self, middle: f64, whole: usize) -> Option<Vec<Bar>> {
        let mut spans = self.spans(middle, whole);
        self.fill(&mut spans);
        let slit = self.walls.iter().sum::<f64>() / 2.0;
        let mut all = Vec::new();
        for span in &spans {
            let count = span.sums.len();
            let [least, most] = span.square;
            // Farther out the last whole cut stands for the rest.
            let within = |k: &usize| (least..most).contains(&(span.at(*k) + span.step / 2.0));
            let ends = (0..count).find(within).zip((0..count).rev().find(within));
            for k in 0..count {
                let own = ends.map(|(first, last)| k.clamp(first, last));
                let section = own.and_then(|own| span.sums[own].section(self.inner));
                let bar = |section| Bar {
                    facing: span.facing - slit,
                    from: span.at(k),
                    to: span.at(k + 1),
                    section,
                };
                all.push(section.map(bar));
            }
        }
        // Nothing may lack but slivers beside the slit.
        let first = all.iter().position(Option::is_some)?;
        let last = all.iter().rposition(Option::is_some)?;
        all[first..=last].iter().copied().collect()
    }

    /// Each side, anticlockwise from the slit.
    fn spans(&self, middle: f64, whole: usize) -> Vec<Span> {
        let [near, far] = [self.walls[0] + TAU, self.walls[1]];
        let (turn, half) = (self.sides.turn_rad(), middle * self.sides.half_width());
        let first = self.sides.middle_rad(far);
        let widen = 1.0 / self.sides.half_width();
        let spans = (0..=self.sides.count()).filter_map(|side| {
            let facing = first + f64::from(side) * turn;
            let [start, end] =
                [far, near].map(|wall| (wall - facing).clamp(-turn / 2.0, turn / 2.0).tan());
            let (from, to) = (middle * start, middle * end);
            let share = (to - from) / (2.0 * half);
            let count = (share * whole as f64).ceil() as usize;
            let least = (self.inner * start).max(self.outer * start);
            let most = (self.inner * end).min(self.outer * end);
            let step = (to - from) / count as f64;
            let cut = |bar: usize| {
                let at = from + bar as f64 * step + step / 2.0;
                Cut::square(facing, at, at.abs() * widen)
            };
            (share > NO_END).then(|| Span {
                facing,
                from,
                step,
                square: [least, most],
                way: facing.sin_cos().into(),
                cuts: (0..count).map(cut).collect(),
                sums: vec![Sum::default(); count],
            })
        });
        spans.collect()
    }

    /// Cuts the ring at the middles of all bars where a square cut is whole.
    fn fill(&self, spans: &mut [Span]) {
        for t in 0..self.mesh.triangles.len() {
            let facet = Facet::new(self.mesh.corners(t).map(|p| self.back.point(p)));
            for span in spans.iter_mut() {
                let [sin, cos] = span.way;
                let out = facet.corners.map(|p| p[0] * cos + p[1] * sin);
                let along = facet.corners.map(|p| p[1] * cos - p[0] * sin);
                let [least, most] = span.square;
                let low = along.into_iter().fold(most, f64::min).max(least);
                let high = along.into_iter().fold(least, f64::max).min(most);
                if out.into_iter().fold(0.0, f64::max) <= 0.0 {
                    continue;
                }
                let bar = |along: f64| (along - span.from) / span.step - 0.5;
                let last = (bar(high) + CORNER).floor().min(span.sums.len() as f64 - 1.0);
                let first = (bar(low) - CORNER).ceil().max(0.0);
                for k in first as usize..(last + 1.0).max(first) as usize {
                    span.sums[k].add(&facet, &span.cuts[k], self.inner);
                }
            }
        }
    }
}
