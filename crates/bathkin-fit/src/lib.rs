//! bathkin-fit
