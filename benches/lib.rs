//! Benches only; see `bath.rs`.
