//! A gap at the worst of what the printer does, and a fit by name beside it.

use super::codes;
use super::measured::GapFit;
use crate::diagnostics::{Diagnostic, Sink};
use crate::model::limits::{FitLimits, LimitsError};
use crate::model::{
    Bought, Closure, Fit, GapName, Model, PartId, Place, Printer, Seat, Tolerance, Vector,
};
use crate::quantity::Quantity;

/// A worst case that leaves no more than this below nothing touches, it does not close, mm.
const CLOSED_MM: f64 = -1e-6;

fn names(model: &Model, parts: [PartId; 2]) -> [&str; 2] {
    parts.map(|part| model.parts[part.0].name.as_str())
}

fn bought(model: &Model, parts: [PartId; 2]) -> [Option<Bought>; 2] {
    parts.map(|part| model.parts[part.0].bought)
}

/// What a gap is said to be, beside what is measured of it.
pub struct Asked<'a> {
    /// The printer.
    pub printer: &'a Printer,
    /// What the text calls the gap.
    pub name: Option<&'a GapName>,
    /// The size that tolerances are read for, mm.
    pub basic_mm: f64,
    /// Both parts, for findings: `belt` and `jar`.
    pub between: [&'a str; 2],
    /// Those of both that are bought: they scatter by their own tolerance.
    pub bought: [Option<Bought>; 2],
    /// Where the fit stands in the text.
    pub place: Option<&'a Place>,
}

impl<'a> Asked<'a> {
    /// Of a seat.
    pub fn of_seat(model: &'a Model, seat: &'a Seat, place: Option<&'a Place>) -> Self {
        Asked {
            printer: &model.printer,
            name: seat.gap_name.as_ref(),
            basic_mm: seat.basic_mm,
            between: names(model, [seat.inlay, seat.host]),
            bought: bought(model, [seat.inlay, seat.host]),
            place,
        }
    }

    /// Of a lid that comes nearest to its host at `at`: its basic size is the diameter of
    /// the mouth on which it slides.
    pub fn of_lid(
        model: &'a Model,
        closure: &'a Closure,
        at: Vector,
        place: Option<&'a Place>,
    ) -> Self {
        let found = 2.0 * at[0].hypot(at[1]);
        let off = |across: &f64| (across - found).abs();
        let offered = closure.across_mm.into_iter().flatten();
        let nearest = offered.min_by(|a, b| off(a).total_cmp(&off(b)));
        Asked {
            printer: &model.printer,
            name: closure.gap_name.as_ref(),
            basic_mm: nearest.unwrap_or(found),
            between: names(model, [closure.lid, closure.host]),
            bought: bought(model, [closure.lid, closure.host]),
            place,
        }
    }

    /// Of two other bodies, of which the moving one measures `basic_mm` across its way.
    pub fn of_fit(model: &'a Model, fit: &'a Fit, basic_mm: f64, place: Option<&'a Place>) -> Self {
        Asked {
            printer: &model.printer,
            name: fit.gap_name.as_ref(),
            basic_mm,
            between: names(model, [fit.inner, fit.outer]),
            bought: bought(model, [fit.inner, fit.outer]),
            place,
        }
    }

    /// The zone in which sizes of either body scatter, in the middle of both, mm. A bought
    /// thing that says no tolerance has its size.
    fn zone_mm(&self) -> Result<f64, LimitsError> {
        let mut sum = 0.0;
        for bought in &self.bought {
            sum += match bought {
                None => self.printer.zone_mm(self.basic_mm)?,
                Some(thing) => thing.tolerance.map_or(Ok(0.0), |t| t.zone_mm(self.basic_mm))?,
            };
        }
        Ok(sum / 2.0)
    }

    /// Fills in the worst case and the limits, and says where they will not do.
    ///
    /// Sizes of both bodies lie in a zone of the printer's tolerance t, half above, half
    /// below. A face moves by t / 4 on each side, a gap per side by t / 2 (arithmetic
    /// stack-up of two sizes).
    pub fn add_to(&self, gap: &mut GapFit, sink: &mut Sink) {
        match self.zone_mm() {
            Ok(zone) => {
                gap.worst_mm = Some([gap.least_mm - zone / 2.0, gap.most_mm + zone / 2.0]);
                if gap.least_mm - zone / 2.0 < CLOSED_MM && !self.may_close() {
                    sink.push(self.may_be_closed(gap, zone));
                }
            }
            Err(error) => {
                let message = format!(
                    "no worst case between `{}` and `{}`: {error}",
                    self.between[0], self.between[1]
                );
                let help = "give the printer's tolerance as a length, as in tolerance: 0.4 mm";
                sink.push(self.finding(codes::BEYOND_TABLE, message).help(help));
            }
        }
        let Some(GapName::Limits(name)) = self.name else { return };
        gap.limits = name.limits(self.basic_mm).ok();
        if let (Some(limits), Ok(holds)) = (&gap.limits, self.printer.holds_mm(self.basic_mm))
            && limits.narrowest_mm() < holds
        {
            sink.push(self.not_held(&name.text, limits, holds));
        }
    }

    /// Whether the fit is one that is meant to be tight.
    fn may_close(&self) -> bool {
        matches!(self.name, Some(GapName::Measured(word)) if word == "press")
    }

    fn finding(&self, code: crate::diagnostics::Code, message: String) -> Diagnostic {
        match self.place {
            Some(place) => {
                let field = if place.fields.contains_key("fit") { "fit" } else { "gap" };
                Diagnostic::at(code, place.field(field), message)
            }
            None => Diagnostic::nowhere(code, message),
        }
    }

    fn may_be_closed(&self, gap: &GapFit, zone: f64) -> Diagnostic {
        let message = format!(
            "between `{}` and `{}` the gap of {} may be closed: sizes that scatter over {} take {} of it",
            self.between[0],
            self.between[1],
            Quantity::mm(gap.least_mm),
            Quantity::mm(zone),
            Quantity::mm(zone / 2.0),
        );
        self.finding(codes::MAY_CLOSE, message)
            .help(format!("ask for at least {}, or print a coupon first", Quantity::mm(zone / 2.0)))
            .fact("worst", gap.least_mm - zone / 2.0, "mm")
    }

    fn not_held(&self, name: &str, limits: &FitLimits, holds: f64) -> Diagnostic {
        let by = match self.printer.tolerance {
            Some(Tolerance::Grade(grade)) => format!("it{grade} of the printer is"),
            Some(Tolerance::Zone(_)) => "the printer's tolerance is".to_string(),
            None => "a usual printer keeps".to_string(),
        };
        let message = format!(
            "the limits of {name} at {} are {} apart, {by} {}: the fit is drawn, not promised",
            Quantity::mm(self.basic_mm),
            Quantity::mm(limits.narrowest_mm()),
            Quantity::mm(holds),
        );
        self.finding(codes::GRADE_NOT_HELD, message)
            .help("take a coarser grade, or a gap that a coupon showed to work")
    }
}
