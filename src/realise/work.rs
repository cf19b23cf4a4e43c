//! One part on its way from the design to its finished body.

use super::codes;
use super::compare::{Difference, Measured, difference};
use super::finished::{Engines, Finished, Form};
use super::{exactly, pocket, volume_mm3};
use crate::diagnostics::{Diagnostic, Sink};
use crate::exact::{self, Declined, ExactBody};
use crate::mesh::{Finish, Made, MeshFault, Mesher, Pocket, Seated, Tolerance};
use crate::model::{Body, Model, PartId, Places, Seat};
use crate::quantity::decimals;
use std::sync::Arc;

/// Everything that is needed for one part.
pub struct Work<'a> {
    pub model: &'a Model,
    pub places: &'a Places,
    pub tolerance: &'a Tolerance,
    pub mesher: &'a Mesher,
    pub part: usize,
    /// Whether there is to be an exact body, too.
    pub exactly: bool,
}

impl Work<'_> {
    /// The finished part, and what was found on the way.
    pub fn done(&self) -> (Option<Finished>, Sink) {
        let mut sink = Sink::default();
        let (mesh, exact) = rayon::join(|| self.meshed(self.mesher), || self.exact());
        let made = match mesh {
            Ok(made) => made,
            Err(fault) => {
                sink.push(self.not_made(&fault));
                return (None, sink);
            }
        };
        if made.mesh.triangles.is_empty() {
            sink.push(self.nothing_left());
            return (None, sink);
        }
        let finished = self.chosen(made, exact, &mut sink);
        self.check_pockets(&finished, &mut sink);
        (Some(finished), sink)
    }

    fn seats_in(&self) -> impl Iterator<Item = &Seat> {
        self.model.seats.iter().filter(|s| s.host == PartId(self.part))
    }

    fn exact(&self) -> Result<ExactBody, Declined> {
        if !self.exactly {
            return Err(Declined { reason: "only the mesh was asked for".to_string() });
        }
        exactly::finished(self.model, self.part)
    }

    fn meshed(&self, mesher: &Mesher) -> Result<Made, MeshFault> {
        let seated = self.model.seats.iter().find(|s| s.inlay == PartId(self.part));
        let seated = seated.map(|s| Seated { inset_mm: s.shares_mm()[0], owner: self.part });
        let pockets: Vec<Pocket> = self
            .seats_in()
            .map(|s| Pocket {
                inlay: &self.model.parts[s.inlay.0].body,
                grow_mm: s.shares_mm()[1],
                gap_behind_mm: s.gap_behind_mm,
                owner: s.inlay.0,
            })
            .collect();
        let body = &self.model.parts[self.part].body;
        mesher.finished(body, &Finish { seated, pockets: &pockets })
    }

    /// Compares both bodies and decides which stands behind the numbers.
    fn chosen(&self, made: Made, exact: Result<ExactBody, Declined>, sink: &mut Sink) -> Finished {
        let mesh = Measured::of_mesh(&made);
        let (exact, reason) = match exact {
            Ok(body) => match Measured::of_exact(&body) {
                Some(measured) => (Some((body, measured)), None),
                None => (None, Some("its exact body is not closed".to_string())),
            },
            Err(declined) => (None, Some(declined.reason)),
        };
        if let Some((_, measured)) = &exact {
            let chord_mm = self.tolerance.chord_mm;
            let finer = || {
                let mesher = Mesher::new(self.model, &Tolerance { chord_mm: chord_mm / 4.0 });
                Some(self.meshed(&mesher).ok()?.mesh)
            };
            if let Some(difference) = difference(measured, &mesh, chord_mm, self.twist_mm3(), finer)
            {
                sink.push(self.disagree(&difference));
            }
        }
        let numbers = exact.as_ref().map_or(mesh, |(_, measured)| *measured);
        let cavity = self.model.parts[self.part].cavity.as_ref();
        Finished {
            form: if exact.is_some() { Form::Exact } else { Form::Mesh },
            volume_mm3: numbers.volume,
            area_mm2: numbers.area,
            pieces: mesh.pieces,
            genus: mesh.genus,
            open_edges: made.checks.open_edges,
            self_intersections: made.checks.self_intersections,
            box_mm: numbers.bounds,
            capacity_mm3: cavity.and_then(|c| volume_mm3(self.model, c, self.tolerance)),
            engines: Engines {
                exact: exact.as_ref().map(|(_, measured)| measured.told()),
                mesh: mesh.told(),
                chord_mm: self.tolerance.chord_mm,
                reason,
            },
            mesh: Arc::new(made.mesh),
            sorted: Arc::new(made.sorted),
            exact: exact.map(|(body, _)| Arc::new(body)),
        }
    }

    /// Pockets leave the host's pieces and handles as they were, and take from it what
    /// their patterns say.
    fn check_pockets(&self, finished: &Finished, sink: &mut Sink) {
        if self.seats_in().next().is_none() {
            return;
        }
        let Some((before, after)) = self.without_pockets(finished) else { return };
        if (before.pieces, before.genus) != (finished.pieces, finished.genus) {
            let pieces = [before.pieces, finished.pieces];
            sink.push(self.breaks_out(pieces, [before.genus, finished.genus]));
            return;
        }
        let meet = self.seats_in().any(|s| !s.meets.is_empty());
        let volumes: Option<Vec<f64>> = self
            .seats_in()
            .map(|s| {
                let (inlay, _) = self.model.parts[s.inlay.0].body.as_inlay()?;
                pocket::volume_mm3(inlay, s.shares_mm()[1], s.gap_behind_mm)
            })
            .collect();
        let Some(volumes) = volumes.filter(|_| !meet) else { return };
        let expected: f64 = volumes.iter().sum();
        let taken = before.volume - after;
        let allowed = pocket::SHARE * expected + pocket::FLOOR_MM3 + self.twist_mm3();
        if (taken - expected).abs() > allowed {
            sink.push(self.pocket_volume(taken, expected));
        }
    }

    /// The host before its pockets, and the volume of the finished one by the same engine:
    /// the exact one where that costs nothing, for hosts of one profile.
    fn without_pockets(&self, finished: &Finished) -> Option<(Measured, f64)> {
        let body = &self.model.parts[self.part].body;
        if let (Body::Leaf(_), Some(exact)) = (body.as_ref(), finished.engines.exact) {
            return Some((Measured::of_exact(&exact::nominal(body).ok()?)?, exact.volume_mm3));
        }
        let before = self.mesher.nominal(body).ok()?;
        Some((Measured::of_mesh(&before), finished.engines.mesh.volume_mm3))
    }

    /// What the twisted flanks of this part's own pattern and of its pockets may cost.
    fn twist_mm3(&self) -> f64 {
        let turn_rad = std::f64::consts::TAU / self.mesher.facets().count() as f64;
        let of = |part: usize, behind_mm: f64| {
            let inlay = self.model.parts[part].body.as_inlay();
            inlay.map_or(0.0, |(inlay, _)| {
                pocket::twist_mm3(inlay, inlay.sink_mm + inlay.proud_mm + behind_mm, turn_rad)
            })
        };
        let pockets: f64 = self.seats_in().map(|s| of(s.inlay.0, s.gap_behind_mm)).sum();
        of(self.part, 0.0) + pockets
    }

    fn name(&self) -> &str {
        &self.model.parts[self.part].name
    }

    fn at(&self, code: crate::diagnostics::Code, message: String) -> Diagnostic {
        match self.places.parts.get(self.part) {
            Some(place) => Diagnostic::at(code, place.name, message),
            None => Diagnostic::nowhere(code, message),
        }
    }

    fn not_made(&self, fault: &MeshFault) -> Diagnostic {
        let message = format!("`{}` cannot be made: {fault}", self.name());
        self.at(codes::NOT_MADE, message)
            .help("change a measure of it a little, or make it simpler")
    }

    fn nothing_left(&self) -> Diagnostic {
        let message = format!("nothing is left of `{}`", self.name());
        self.at(codes::NOTHING_LEFT, message).help("see what its `less` and `meet` take away")
    }

    fn breaks_out(&self, pieces: [usize; 2], handles: [i64; 2]) -> Diagnostic {
        let inlays: Vec<String> =
            self.seats_in().map(|s| format!("`{}`", self.model.parts[s.inlay.0].name)).collect();
        let message = format!(
            "the pocket of {} goes through `{}`: {} pieces and {} openings become {} and {}",
            inlays.join(" or "),
            self.name(),
            pieces[0],
            handles[0],
            pieces[1],
            handles[1]
        );
        self.at(codes::BREAKS_OUT, message).help("say a smaller `sink`, or move the inlay")
    }

    fn disagree(&self, d: &Difference) -> Diagnostic {
        let unit = if d.unit.is_empty() { String::new() } else { format!(" {}", d.unit) };
        let message = format!(
            "`{}` came out differently by two ways of making it: {} {}{unit} as exact body, {}{unit} as mesh",
            self.name(),
            d.what,
            decimals(d.exact, 4),
            decimals(d.mesh, 4)
        );
        self.at(codes::ENGINES_DISAGREE, message)
            .help("change a measure of it a little, and please report the design")
            .fact("exact", d.exact, d.unit)
            .fact("mesh", d.mesh, d.unit)
    }

    fn pocket_volume(&self, taken: f64, expected: f64) -> Diagnostic {
        let message = format!(
            "the pockets of `{}` take {} mm3 from it, their patterns say {} mm3",
            self.name(),
            decimals(taken, 3),
            decimals(expected, 3)
        );
        self.at(codes::POCKET_VOLUME, message)
            .help("change a measure of it a little, and please report the design")
            .fact("taken", taken, "mm3")
            .fact("expected", expected, "mm3")
    }
}
