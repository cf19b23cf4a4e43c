//! Published values: tables and worked examples of standards and handbooks, each with
//! its source beside it; closed forms; and the walk from a coupon to a fit.

#[path = "published/contents.rs"]
mod contents;
#[path = "published/limits.rs"]
mod limits;
#[path = "published/walk.rs"]
mod walk;
