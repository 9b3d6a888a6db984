//! bathkin-python
