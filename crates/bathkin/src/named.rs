//! Named values as results show them: a mapping in order, not a list of pairs.

use serde::{Serialize, Serializer};

/// Serialises pairs as a mapping.
///
/// # Errors
/// Those of the serializer.
pub fn as_map<S: Serializer, V: Serialize>(pairs: &[(String, V)], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(pairs.iter().map(|(name, value)| (name, value)))
}
