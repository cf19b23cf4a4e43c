//! Where things of the model stand in the text: a side table, kept out of equality
//! and hash of the model itself.

use crate::source::Span;
use std::collections::BTreeMap;

/// The places of one declaration.
#[derive(Clone, Debug)]
pub struct Place {
    /// Its name.
    pub name: Span,
    /// The values of its fields, by field name.
    pub fields: BTreeMap<String, Span>,
}

impl Place {
    /// The place of a field's value; the declaration's name where it was not written.
    pub fn field(&self, name: &str) -> Span {
        self.fields.get(name).copied().unwrap_or(self.name)
    }
}

/// The places of all parts, seats, closures and requires, in the order of the model.
#[derive(Clone, Debug, Default)]
pub struct Places {
    /// As `Model::parts`.
    pub parts: Vec<Place>,
    /// As `Model::seats`.
    pub seats: Vec<Place>,
    /// As `Model::closures`: the lid's declaration.
    pub closures: Vec<Place>,
    /// As `Model::fits`.
    pub fits: Vec<Place>,
    /// As `Model::props`: the part they stand under.
    pub props: Vec<Place>,
}
