//! Published values: tables and worked examples of standards and handbooks, each with
//! its source beside it; closed forms; and the walk from a coupon to a fit. How many values
//! are compared: `cargo test --release --test published counted -- --nocapture`.

#[path = "published/contents.rs"]
mod contents;
#[path = "published/limits.rs"]
mod limits;
#[path = "published/trade.rs"]
mod trade;
#[path = "published/walk.rs"]
mod walk;

use std::cell::Cell;

thread_local! {
    /// Values that this thread has compared.
    static COMPARED: Cell<usize> = const { Cell::new(0) };
}

/// Compares a value with a published one.
fn published(found: f64, expected: f64, within: f64, source: &str) {
    assert!((found - expected).abs() <= within, "{source}: {found}, published {expected}");
    COMPARED.set(COMPARED.get() + 1);
}

/// A thread of its own, so that nothing else is counted.
#[test]
fn at_least_sixty_published_values_are_counted() {
    limits::standard_tolerances_are_those_of_the_table();
    limits::limits_are_those_of_the_tables();
    limits::worked_examples_come_out();
    limits::holes_follow_the_general_rule();
    contents::contents_are_told_to_the_rim_and_to_the_lid();
    contents::worst_cases_are_stacked_up();
    trade::rings_that_were_worked_out_in_print_come_out();
    trade::hooks_come_out_as_in_the_manuals();
    trade::overlaps_of_lines_are_those_of_their_geometry();
    let compared = COMPARED.get();
    println!("{compared} values compared with published ones");
    assert!(compared >= 60, "{compared}");
}
