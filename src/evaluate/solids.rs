//! Solids as values: a body with its faces and what it answers to.

use super::inlays::InlayOrigin;
use super::value::{Attributes, PartValue};
use crate::model::{Body, GapName, Leaf, Operation, Placement, Pose};
use crate::plane::Outline;
use std::collections::BTreeMap;
use std::sync::Arc;

/// A solid as a value.
#[derive(Clone, Debug)]
pub struct SolidValue {
    /// Its body, where it is now.
    pub body: Arc<Body>,
    /// Parameters and offers of the call that made it.
    pub attributes: Arc<Attributes>,
    /// Its faces by name.
    pub faces: Arc<BTreeMap<Arc<str>, FaceValue>>,
    /// From where the call made it to where it is now.
    pub moved: Placement,
    /// How many leaves an engine meets in it, copies counted.
    pub leaves: u64,
    /// How deep its operations are nested.
    pub depth: u32,
    /// The inlay that it is.
    pub inlay: Option<Arc<InlayOrigin>>,
    /// What it closes.
    pub closes: Option<Arc<Closes>>,
    /// The pose that its shape offers.
    pub pose: Option<Pose>,
}

/// A lid's relation to what it closes.
#[derive(Clone, Debug)]
pub struct Closes {
    /// What it closes.
    pub host: Arc<PartValue>,
    /// Gap per side as asked, mm; none where the lid takes none.
    pub gap_mm: Option<f64>,
    /// What the text calls that gap, where it gives no length.
    pub gap_name: Option<GapName>,
}

/// A face of a leaf.
#[derive(Clone, Debug)]
pub struct FaceValue {
    /// Its name.
    pub name: Arc<str>,
    /// The leaf that made it.
    pub leaf: Arc<Body>,
    /// From the leaf's frame to where it is now.
    pub here: Placement,
    /// From the leaf's frame to that of the shape that made it; none while it has not
    /// left one.
    pub in_shape: Option<Placement>,
    /// The part of which it is a face.
    pub part: Option<Arc<str>>,
    /// The pose of that part.
    pub pose: Option<Pose>,
}

impl SolidValue {
    /// Nothing.
    pub fn empty() -> Self {
        SolidValue::of(Arc::new(Body::Empty), 0, 1)
    }

    fn of(body: Arc<Body>, leaves: u64, depth: u32) -> Self {
        SolidValue {
            body,
            attributes: Arc::default(),
            faces: Arc::default(),
            moved: Placement::IDENTITY,
            leaves,
            depth,
            inlay: None,
            closes: None,
            pose: None,
        }
    }

    /// A leaf with all its faces.
    pub fn leaf(leaf: Leaf) -> Self {
        let names = face_names(&leaf);
        let body = Arc::new(Body::Leaf(leaf));
        let faces = names.into_iter().map(|name| {
            let face = FaceValue {
                name: name.clone(),
                leaf: body.clone(),
                here: Placement::IDENTITY,
                in_shape: None,
                part: None,
                pose: None,
            };
            (name, face)
        });
        let faces = Arc::new(faces.collect());
        SolidValue { faces, ..SolidValue::of(body, 1, 1) }
    }

    /// Whether it is nothing at all.
    pub fn is_empty(&self) -> bool {
        matches!(*self.body, Body::Empty)
    }

    /// Somewhere else, with all that it answers to.
    #[must_use]
    pub fn placed(&self, placement: &Placement) -> Self {
        if *placement == Placement::IDENTITY {
            return self.clone();
        }
        let faces = self.faces.iter().map(|(name, face)| {
            let face = FaceValue { here: face.here.then(placement), ..face.clone() };
            (name.clone(), face)
        });
        SolidValue {
            body: placed(&self.body, placement),
            faces: Arc::new(faces.collect()),
            moved: self.moved.then(placement),
            inlay: self.inlay.as_ref().map(|i| Arc::new(i.placed(placement))),
            ..self.clone()
        }
    }

    /// Join, less or meet; the left one's faces and attributes stay, after `meet` only
    /// its faces.
    #[must_use]
    pub fn combined(&self, operation: Operation, other: &SolidValue) -> Self {
        let body = match (operation, self.is_empty(), other.is_empty()) {
            (_, _, true) if operation != Operation::Meet => self.body.clone(),
            (Operation::Join, true, false) => other.body.clone(),
            (Operation::Less, true, _)
            | (Operation::Meet, true, _)
            | (Operation::Meet, _, true) => Arc::new(Body::Empty),
            _ => Arc::new(Body::Boolean {
                operation,
                left: self.body.clone(),
                right: other.body.clone(),
            }),
        };
        let leaves = self.leaves.saturating_add(other.leaves);
        let depth = 1 + self.depth.max(other.depth);
        let mut made = SolidValue { body, leaves, depth, inlay: None, ..self.clone() };
        if operation == Operation::Meet {
            made.attributes = Arc::default();
            made.closes = None;
        }
        made
    }

    /// The union of several; it answers to nothing.
    pub fn many(solids: &[SolidValue]) -> Self {
        let solids: Vec<&SolidValue> = solids.iter().filter(|s| !s.is_empty()).collect();
        match solids.as_slice() {
            [] => SolidValue::empty(),
            [one] => SolidValue::of(one.body.clone(), one.leaves, one.depth),
            _ => {
                let leaves = solids.iter().fold(0u64, |sum, s| sum.saturating_add(s.leaves));
                let depth = 1 + solids.iter().map(|s| s.depth).max().unwrap_or(0);
                let bodies = solids.iter().map(|s| s.body.clone()).collect();
                SolidValue::of(Arc::new(Body::Many(bodies)), leaves, depth)
            }
        }
    }

    /// Leaving the shape that made it: from here on its faces count heights from this
    /// shape's z = 0.
    #[must_use]
    pub fn leaving(mut self, attributes: Attributes) -> Self {
        let faces = self.faces.iter().map(|(name, face)| {
            let in_shape = face.in_shape.or(Some(face.here));
            (name.clone(), FaceValue { in_shape, ..face.clone() })
        });
        self.faces = Arc::new(faces.collect());
        self.attributes = Arc::new(attributes);
        self.moved = Placement::IDENTITY;
        self
    }

    /// As the body of a part: its faces know the part and its pose.
    #[must_use]
    pub fn of_part(mut self, name: &Arc<str>, pose: &Pose) -> Self {
        let faces = self.faces.iter().map(|(key, face)| {
            let part = Some(name.clone());
            (key.clone(), FaceValue { part, pose: Some(pose.clone()), ..face.clone() })
        });
        self.faces = Arc::new(faces.collect());
        self
    }
}

/// A body somewhere else; placements of placements become one.
pub fn placed(body: &Arc<Body>, placement: &Placement) -> Arc<Body> {
    match &**body {
        Body::Empty => body.clone(),
        Body::Placed { body, placement: first } => {
            let both = first.then(placement);
            if both == Placement::IDENTITY {
                return body.clone();
            }
            Arc::new(Body::Placed { body: body.clone(), placement: both })
        }
        _ => Arc::new(Body::Placed { body: body.clone(), placement: *placement }),
    }
}

/// The names of a leaf's faces: those of its outline, and the ends of a prism.
fn face_names(leaf: &Leaf) -> Vec<Arc<str>> {
    let of = |outline: &Outline| -> Vec<Arc<str>> {
        let segments = outline.loops.iter().flat_map(|track| &track.segments);
        segments.filter_map(|segment| segment.face.clone()).collect()
    };
    let mut names = match leaf {
        Leaf::Turned(turned) => of(&turned.outline),
        Leaf::Prism(prism) => {
            let mut names = of(&prism.outline);
            names.extend(["top".into(), "bottom".into()]);
            names
        }
        Leaf::Inlay(_) | Leaf::Relief(_) => Vec::new(),
    };
    names.sort();
    names.dedup();
    names
}
