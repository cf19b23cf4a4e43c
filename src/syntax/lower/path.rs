//! Steps of a path.

use super::{Lower, Node, inner, parts};
use crate::syntax::findings;
use crate::syntax::grammar::Rule;
use crate::syntax::tree::{Expr, ExprKind, Step, StepKind};

impl Lower<'_> {
    /// The steps of a path: `start` is the first, and `close`, where there is one, the last.
    /// A path of which something was reported is poison.
    pub(super) fn path(&mut self, pair: Node) -> ExprKind {
        let place = self.span(&pair);
        let all: Vec<Node> = inner(pair).filter(|part| part.as_rule() == Rule::step).collect();
        let count = all.len();
        let steps: Vec<Step> = all.into_iter().filter_map(|step| self.step(step)).collect();
        if steps.len() < count {
            return ExprKind::Bad;
        }
        let is_start = |step: &Step| matches!(step.kind, StepKind::Start(_));
        let finding = if !steps.first().is_some_and(is_start) {
            let at = steps.first().map_or(place, |step| step.span);
            Some(findings::path_without_start(at))
        } else if let Some(second) = steps.iter().skip(1).find(|step| is_start(step)) {
            Some(findings::second_start(second.span))
        } else {
            let close = steps.iter().position(|step| matches!(step.kind, StepKind::Close));
            let behind = close.and_then(|close| steps.get(close + 1));
            behind.map(|step| findings::step_behind_close(step.span))
        };
        match finding {
            None => ExprKind::Path(steps),
            Some(finding) => {
                self.sink.push(finding);
                ExprKind::Bad
            }
        }
    }

    fn step(&mut self, pair: Node) -> Option<Step> {
        let mut all = inner(pair).filter(|part| part.as_rule() != Rule::docs);
        let first = all.next()?;
        let mut span = self.trimmed(&first);
        let kind = self.step_kind(first)?;
        let (mut with, mut face) = (None, None);
        for part in all {
            span = span.to(self.trimmed(&part));
            if part.as_rule() == Rule::corner {
                with = Some(self.only(part));
            } else {
                face = parts(part).next().map(|name| self.ident(&name));
            }
        }
        Some(Step { span, kind, with, face })
    }

    fn step_kind(&mut self, pair: Node) -> Option<StepKind> {
        Some(match pair.as_rule() {
            Rule::start => StepKind::Start(self.only(pair)),
            Rule::line_to => StepKind::LineTo(self.only(pair)),
            Rule::line_by => StepKind::LineBy(self.only(pair)),
            Rule::arc => self.arc(pair)?,
            Rule::close => StepKind::Close,
            _ => return None,
        })
    }

    fn arc(&mut self, pair: Node) -> Option<StepKind> {
        let mut all = parts(pair);
        let to = self.expr(all.next()?);
        let bow = all.next()?;
        if bow.as_rule() == Rule::through {
            return Some(StepKind::ArcThrough { to, through: self.only(bow) });
        }
        let left = inner(bow.clone()).any(|part| part.as_rule() == Rule::k_left);
        let long = inner(bow.clone()).any(|part| part.as_rule() == Rule::k_long);
        let radius = self.only(bow);
        Some(StepKind::ArcRadius { to, radius, left, long })
    }
}

/// The value of a part that was masked.
impl Lower<'_> {
    pub(super) fn bad(&self, pair: &Node) -> Expr {
        Expr { span: self.span(pair), kind: ExprKind::Bad }
    }
}
