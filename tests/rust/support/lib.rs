//! What the acceptance tests share: where the outside values lie, how they are compared, and baths, solutions and fits.
//!
//! A file that is missing, or a column that is not there, fails loudly: a test that cannot find its
//! truth has not passed.

pub mod calibration;
pub mod copper;
pub mod coupons;
mod csv;
pub mod curve;
pub mod dosed;
mod files;
pub mod film_copper;
pub mod fits;
pub mod jittering;
pub mod random;
pub mod recipes;
pub mod shop;
pub mod slips;
pub mod solutions;
pub mod stabilized;
pub mod strd;

use std::fmt::Display;

pub use csv::{Csv, Row};
pub use files::{bench_data, read, shared, sources};

/// A case of `shared/reference/cases.json` by its id.
///
/// # Panics
/// When the file or the case is missing.
pub fn case(id: &str) -> serde_json::Value {
    let path = shared().join("reference/cases.json");
    let cases: Vec<serde_json::Value> =
        serde_json::from_str(&read(&path)).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    cases.into_iter().find(|case| case["id"] == id).unwrap_or_else(|| panic!("no case {id} in cases.json"))
}

/// The number at a JSON pointer of a case.
///
/// # Panics
/// When there is none.
pub fn number(case: &serde_json::Value, pointer: &str) -> f64 {
    let found = case.pointer(pointer).and_then(serde_json::Value::as_f64);
    found.unwrap_or_else(|| panic!("case {} has no number at {pointer}", case["id"]))
}

/// Asserts |found - expected| <= tolerance.
///
/// # Panics
/// When it is not, or when either is not a number.
#[track_caller]
pub fn assert_within(what: impl Display, found: f64, expected: f64, tolerance: f64) {
    let off = (found - expected).abs();
    assert!(off <= tolerance, "{what}: {found}, expected {expected} +- {tolerance:.1e} (off by {off:.2e})");
}

/// Asserts |found/expected - 1| <= tolerance.
///
/// # Panics
/// When it is not, or when either is not a number.
#[track_caller]
pub fn assert_relative(what: impl Display, found: f64, expected: f64, tolerance: f64) {
    let off = (found / expected - 1.0).abs();
    assert!(
        off <= tolerance,
        "{what}: {found}, expected {expected} within {tolerance:.1e} relative (off by {off:.2e})"
    );
}

/// The Rust examples of the guide, run as documentation tests.
#[cfg(doctest)]
#[doc = include_str!("../../../docs/guide/rust.md")]
pub struct GuideExamples;
