//! What two designs say differently.

use super::Content;
use super::spell::Names;
use super::statements::{Said, Statement, of_manifest, of_program};
use crate::model::Part;
use serde::Serialize;
use std::collections::BTreeMap;

/// One thing that is said differently.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Change {
    /// `given`, `part`, `seat`
    pub kind: String,
    /// The name of the declaration, as the new side has it.
    pub name: String,
    /// The field; empty for the thing itself.
    pub field: String,
    /// What the old side says; none where it says nothing.
    pub old: Option<String>,
    /// What the new side says.
    pub new: Option<String>,
}

/// A thing that has another name and is the same otherwise.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Renamed {
    /// `part`, `let`
    pub kind: String,
    /// Its old name.
    pub old: String,
    /// Its new name.
    pub new: String,
}

/// What is said differently.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Meaning {
    pub changes: Vec<Change>,
    pub renamed: Vec<Renamed>,
    /// Fields that are written in another way and come to the same.
    pub rewritten: usize,
}

impl Meaning {
    /// The new name for each old one.
    pub fn names(&self) -> Names {
        self.renamed.iter().map(|r| (r.old.clone(), r.new.clone())).collect()
    }
}

/// A chain of renamed things is settled after one round for each link.
const MOST_ROUNDS: usize = 20;

/// What two sides say differently; of a manifest only what it tells of its text, and then of
/// the other side, too. None where a text cannot be read.
pub(super) fn between(old: &Content<'_>, new: &Content<'_>) -> Option<Meaning> {
    let texts = [old, new].iter().all(|side| matches!(side, Content::Study { .. }));
    let said = |side: &Content<'_>, names: &Names| match side {
        Content::Study { study, choice } if texts => {
            let program = study.program.as_ref()?;
            Some(of_program(program, &study.sources, choice, names))
        }
        side => Some(of_manifest(&side.manifest()?, names)),
    };
    let after = said(new, &Names::new())?;
    let mut meaning = Meaning::default();
    let mut before = said(old, &Names::new())?;
    for _ in 0..MOST_ROUNDS {
        let found = renames(&before, &after, [old, new]);
        if found.is_empty() {
            break;
        }
        meaning.renamed.extend(found);
        before = said(old, &meaning.names())?;
    }
    changes(&before, &after, &mut meaning);
    Some(meaning)
}

/// Things of the old side that the new one has under another name: exactly one thing of the
/// same kind says the same and was not there before.
fn renames(before: &[Statement], after: &[Statement], sides: [&Content<'_>; 2]) -> Vec<Renamed> {
    let is_in = |list: &[Statement], s: &Statement| {
        list.iter().any(|o| o.kind == s.kind && o.name == s.name)
    };
    let gone: Vec<&Statement> =
        before.iter().filter(|s| s.own_name.is_some() && !is_in(after, s)).collect();
    let come: Vec<&Statement> =
        after.iter().filter(|s| s.own_name.is_some() && !is_in(before, s)).collect();
    let alike = |a: &Statement, b: &Statement| {
        let same = a.fields == b.fields && a.stamp == b.stamp;
        a.kind == b.kind && (same || is_one_part(a, b, sides))
    };
    let mut found = Vec::new();
    for old in &gone {
        let matches: Vec<&&Statement> = come.iter().filter(|new| alike(old, new)).collect();
        let [new] = matches[..] else { continue };
        let rivals = gone.iter().filter(|other| alike(other, new)).count();
        if let (1, Some(from), Some(to)) = (rivals, &old.own_name, &new.own_name) {
            found.push(Renamed { kind: old.kind.into(), old: from.clone(), new: to.clone() });
        }
    }
    found
}

/// Whether two parts have the same body of the same material, whatever their text says.
fn is_one_part(old: &Statement, new: &Statement, [before, after]: [&Content<'_>; 2]) -> bool {
    fn part<'a>(side: &'a Content<'_>, name: &Option<String>) -> Option<&'a Part> {
        let parts = &side.made()?.model.parts;
        parts.iter().find(|p| Some(&p.name) == name.as_ref())
    }
    if old.kind != "part" {
        return false;
    }
    match (part(before, &old.own_name), part(after, &new.own_name)) {
        (Some(a), Some(b)) => a.body == b.body && a.material.name == b.material.name,
        _ => false,
    }
}

fn changes(before: &[Statement], after: &[Statement], meaning: &mut Meaning) {
    let key = |s: &Statement| (s.kind, s.name.clone());
    let olds: BTreeMap<_, &Statement> = before.iter().map(|s| (key(s), s)).collect();
    let news: BTreeMap<_, &Statement> = after.iter().map(|s| (key(s), s)).collect();
    for new in after {
        match olds.get(&key(new)) {
            Some(old) => fields(old, new, meaning),
            None => meaning.changes.push(whole(new, false)),
        }
    }
    for old in before.iter().filter(|s| !news.contains_key(&key(s))) {
        meaning.changes.push(whole(old, true));
    }
}

/// A declaration that only one side has.
fn whole(statement: &Statement, is_old: bool) -> Change {
    let each = statement.fields.iter().map(|(name, said)| match name.as_str() {
        "" => said.shown(),
        name => format!("{name}: {}", said.shown()),
    });
    let text = Some(each.collect::<Vec<_>>().join(", "));
    Change {
        kind: statement.kind.into(),
        name: statement.name.clone(),
        field: String::new(),
        old: text.clone().filter(|_| is_old),
        new: text.filter(|_| !is_old),
    }
}

fn fields(old: &Statement, new: &Statement, meaning: &mut Meaning) {
    let find = |statement: &Statement, name: &str| -> Option<Said> {
        statement.fields.iter().find(|(n, _)| n == name).map(|(_, said)| said.clone())
    };
    let gone = old.fields.iter().map(|(name, _)| name).filter(|n| find(new, n).is_none());
    for name in new.fields.iter().map(|(name, _)| name).chain(gone) {
        let (before, after) = (find(old, name), find(new, name));
        match (&before, &after) {
            (Some(a), Some(b)) if a.text == b.text => continue,
            (Some(a), Some(b)) if a.equals(b) => meaning.rewritten += 1,
            _ => meaning.changes.push(Change {
                kind: new.kind.into(),
                name: new.name.clone(),
                field: name.clone(),
                old: before.map(|said| said.shown()),
                new: after.map(|said| said.shown()),
            }),
        }
    }
}
