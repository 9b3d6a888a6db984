//! Labels that make no random effect.

use thiserror::Error;

/// Why labels of rows make no random effect.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum GroupingError {
    /// No label, or more than two.
    #[error(
        "{} labels as random effects{}: expected one, or two of which one lies within the other",
        labels.len(),
        named(labels)
    )]
    Labels {
        /// The labels.
        labels: Vec<String>,
    },
    /// Fewer groups than tell how far groups differ.
    #[error(
        "{label} has {groups} {}: expected at least 3, from fewer nobody knows how far one {label} is off another",
        if *groups == 1 { "group" } else { "groups" }
    )]
    Few {
        /// The label.
        label: String,
        /// How many groups it has.
        groups: usize,
    },
    /// Every group is one row.
    #[error(
        "each {label} has one row: the scatter between them cannot be told from that within; expected several rows in some"
    )]
    OfOne {
        /// The label.
        label: String,
    },
    /// A group of the finer label in two of the coarser one.
    #[error(
        "{finer} {group} stands in {coarser} {} and in {coarser} {}: {finer} does not lie within {coarser}; call different \
         ones by different names, as {}-{group} and {}-{group}, or name one label alone",
        within[0], within[1], within[0], within[1]
    )]
    NotNested {
        /// The finer label.
        finer: String,
        /// The coarser one.
        coarser: String,
        /// The group.
        group: String,
        /// Where it stands.
        within: [String; 2],
    },
    /// Two labels that group rows alike.
    #[error("{first} and {second} group the rows alike: name one of them")]
    Alike {
        /// The first.
        first: String,
        /// The second.
        second: String,
    },
    /// The model has a number for each group already, or none is left to tell groups apart.
    #[error(
        "the {parameters} free numbers leave nothing by which one {label} would be off another: expected more groups than \
         numbers that differ between them"
    )]
    NothingBetween {
        /// The label.
        label: String,
        /// Determined numbers.
        parameters: usize,
    },
    /// No degree of freedom within groups.
    #[error(
        "{rows} rows, {groups} {label} and {parameters} free numbers leave no scatter within one {label}: expected more rows"
    )]
    NothingWithin {
        /// The finest label.
        label: String,
        /// Rows.
        rows: usize,
        /// Groups.
        groups: usize,
        /// Determined numbers.
        parameters: usize,
    },
}

fn named(labels: &[String]) -> String {
    if labels.is_empty() { String::new() } else { format!(" ({})", labels.join(", ")) }
}
