//! Outlines in two dimensions: builders, charts, strokes, booleans, offsets, and the
//! strips into which the developed plane of a host is cut.
//!
//! In: numbers in mm and rad. Out: [`Outline`]s, [`Track`]s, [`Strips`].
//! Kept out: bodies, names of parts, anything three-dimensional.

mod arrange;
mod builders;
mod check;
mod combine;
mod crossing;
mod error;
mod filling;
mod hollow;
mod ink;
mod inner;
pub mod letters;
mod measure;
mod outline;
mod overlay;
mod path;
mod rays;
mod regions;
mod stretch;
mod strips;
mod strips_alter;
mod strips_build;
mod strips_section;
mod stroke;
mod transform;
mod weave;

pub use builders::{disc, polygon, rect, regular, slot};
pub use check::{first_crossing, outline_of};
pub use combine::{Combine, combine, grown};
pub use crossing::TOUCH_MM;
pub use error::{PathError, PlaneError};
pub use filling::{Filling, filled};
pub use hollow::{Hollow, HollowError, HollowPlan, hollow};
pub use ink::{INK_SAGITTA_MM, InkFrame, ink_polygons};
pub use inner::inner_radius;
pub use measure::Moments;
pub use outline::{Curve, Edge, Outline, Point, Segment, Track};
pub use path::{Close, PathCurve, PathStep, path};
pub use regions::{
    Inside, Region, beyond, grown_region, hull, nearest_on_side, region_area, region_bounds,
    region_sides, regions,
};
pub use stretch::Stretch;
pub use strips::{EdgeId, Interval, SAME_HEIGHT_MM, SAME_LINE, Strips};
pub use strips_build::{ChartFrame, Moves, chart_strips, chart_strips_with, polygon_strips};
pub use strips_section::{Section, SectionPiece};
pub use stroke::{Corners, Ends, Side, stroke};
