//! The report: everything that differs, for one reader or another.

use super::form::{self, Difference, Fate, PartForm};
use super::meaning::{self, Change, Meaning, Renamed};
use super::pictures::{self, Picture};
use super::values::{self, Moved, Weight};
use super::{Content, Side, html, markdown, table};
use crate::output::number;
use crate::output::pictures::PictureError;
use crate::pipeline::Made;
use serde::Serialize;

/// A report, and the bodies behind it.
#[derive(Debug)]
pub struct Compared {
    /// What differs.
    pub report: Report,
    /// What was added to and removed from each part of `report.form`.
    pub differences: Vec<Difference>,
}

/// What differs between two sides.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Report {
    /// What the old side is called.
    pub old: String,
    /// What the new side is called.
    pub new: String,
    /// Whether form or fit changed; none where a side could not be measured.
    pub changed: Option<bool>,
    /// Whether a fit or a rule newly crosses its limit.
    pub crossed: bool,
    /// What is said differently, in the order of the new text; none where a side cannot be read.
    pub meaning: Option<Vec<Change>>,
    /// Things with a new name that are the same otherwise.
    pub renamed: Vec<Renamed>,
    /// Fields written in another way that come to the same.
    pub rewritten: usize,
    /// Values that moved, first what matters most; none where a side has no values.
    pub followed: Option<Vec<Moved>>,
    /// Values that did not move.
    pub unchanged: usize,
    /// The form of every part; none where a side has no bodies.
    pub form: Option<Vec<PartForm>>,
    /// Why something was not compared.
    pub notes: Vec<String>,
}

pub(super) fn compare(old: &Side<'_>, new: &Side<'_>) -> Compared {
    let meaning = meaning::between(&old.content, &new.content);
    let Meaning { changes, renamed, rewritten } = meaning.clone().unwrap_or_default();
    let names = meaning.as_ref().map(Meaning::names).unwrap_or_default();
    let manifests = (old.content.manifest(), new.content.manifest());
    let followed = match &manifests {
        (Some(a), Some(b)) => Some(values::between(a, b, &names)),
        _ => None,
    };
    let (form, differences) = match (old.content.made(), new.content.made()) {
        (Some(a), Some(b)) => {
            let (form, differences) = form::between(a, b, &names);
            (Some(form), differences)
        }
        _ => (None, Vec::new()),
    };
    let moved = followed.as_ref().map(|f| f.moved.clone());
    let reshaped = form.iter().flatten().any(|part| part.fate != Fate::Kept);
    let report = Report {
        old: old.label.to_string(),
        new: new.label.to_string(),
        changed: moved.as_ref().map(|moved| reshaped || !moved.is_empty()),
        crossed: moved.iter().flatten().any(|m| m.weight == Weight::Crossed),
        meaning: meaning.is_some().then_some(changes),
        renamed,
        rewritten,
        unchanged: followed.map_or(0, |f| f.unchanged),
        followed: moved,
        form,
        notes: [old, new].iter().filter_map(|side| note(side)).collect(),
    };
    Compared { report, differences }
}

fn note(side: &Side<'_>) -> Option<String> {
    match side.content {
        Content::Manifest(_) => {
            Some(format!("{} is a manifest: form not compared, no source", side.label))
        }
        Content::Study { study, .. } if study.made.is_none() => {
            Some(format!("{} has errors: values and form not compared", side.label))
        }
        Content::Study { .. } => None,
    }
}

/// Every form of a report, as files.
#[derive(Clone, Debug, Default)]
pub struct Written {
    /// Names and contents, sorted by name.
    pub files: Vec<(String, Vec<u8>)>,
}

/// What the comparison's own JSON file says besides the report: which files lie beside it.
#[derive(Serialize)]
struct Listed<'a> {
    compiler: String,
    size: Option<&'a str>,
    files: Vec<&'a str>,
    #[serde(flatten)]
    report: &'a Report,
}

impl Compared {
    /// The report as one HTML file with pictures in it, where both sides have bodies.
    ///
    /// # Errors
    /// When a picture cannot be encoded.
    pub fn to_html(&self, old: &Side<'_>, new: &Side<'_>) -> Result<String, PictureError> {
        Ok(html::html(&self.report, &self.pictures(old, new)?))
    }

    fn pictures(&self, old: &Side<'_>, new: &Side<'_>) -> Result<Vec<Picture>, PictureError> {
        let sides: Option<[&Made; 2]> = old.content.made().zip(new.content.made()).map(Into::into);
        match sides {
            Some(sides) => pictures::pictures(&self.report, &self.differences, sides),
            None => Ok(Vec::new()),
        }
    }

    /// Markdown, HTML, JSON and the pictures; names begin with `name`.
    ///
    /// # Errors
    /// When a picture cannot be encoded.
    pub fn files(
        &self,
        name: &str,
        old: &Side<'_>,
        new: &Side<'_>,
    ) -> Result<Written, PictureError> {
        let pictures = self.pictures(old, new)?;
        let named: Vec<(&str, String)> = pictures
            .iter()
            .map(|p| (p.shows, format!("{name}.{}.{}", p.shows, p.ending)))
            .collect();
        let markdown = markdown::markdown(&self.report, &named);
        let html = html::html(&self.report, &pictures);
        let [md, page, json] = ["md", "html", "json"].map(|e| format!("{name}.comparison.{e}"));
        let mut files = vec![(md, markdown.into_bytes()), (page, html.into_bytes())];
        files.extend(
            named.into_iter().map(|(_, file)| file).zip(pictures.into_iter().map(|p| p.bytes)),
        );
        let mut names: Vec<&str> = files.iter().map(|(name, _)| name.as_str()).collect();
        names.push(&json);
        names.sort_unstable();
        let report = self.report.rounded();
        let compiler = format!("pipkin {}", env!("CARGO_PKG_VERSION"));
        let listed = Listed { compiler, size: None, files: names, report: &report };
        let bytes = text_of(&listed).into_bytes();
        files.push((json, bytes));
        files.sort();
        Ok(Written { files })
    }
}

/// The report holds nothing that JSON lacks.
fn text_of(value: &impl Serialize) -> String {
    serde_json::to_string_pretty(value).map_or_else(|e| e.to_string(), |json| json + "\n")
}

impl Report {
    /// For a review comment; without pictures, which need files beside it.
    pub fn to_markdown(&self) -> String {
        markdown::markdown(self, &[])
    }

    /// For terminals: aligned columns, no colour.
    pub fn to_text(&self) -> String {
        table::text(self)
    }

    /// For scripts: one JSON object, numbers rounded as in the manifest.
    pub fn to_json(&self) -> String {
        text_of(&self.rounded())
    }

    fn rounded(&self) -> Report {
        let mut rounded = self.clone();
        for part in rounded.form.iter_mut().flatten() {
            part.added_mm3 = number::rounded(part.added_mm3);
            part.removed_mm3 = number::rounded(part.removed_mm3);
            part.of_mm3 = number::rounded(part.of_mm3);
            if let Some(shift) = &mut part.moved {
                shift.distance_mm = number::rounded(shift.distance_mm);
                shift.at_mm = shift.at_mm.map(number::rounded);
            }
        }
        rounded
    }
}
