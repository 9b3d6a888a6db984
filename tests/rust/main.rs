//! Acceptance tests.
