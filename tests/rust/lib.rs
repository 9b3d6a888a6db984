//! Helpers of the acceptance tests.
