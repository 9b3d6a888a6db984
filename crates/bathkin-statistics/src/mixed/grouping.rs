//! Rows by their labels.

use std::collections::HashMap;

use crate::mixed::error::GroupingError;

/// Fewest groups from which a variance between them is estimated.
const LEAST_GROUPS: usize = 3;

/// A label, and the group of every row under it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Level {
    /// The label: `batch`.
    pub label: String,
    /// Its groups, in the order in which rows name them.
    pub groups: Vec<String>,
    /// The group of each row.
    pub of_row: Vec<usize>,
}

/// One grouping of rows, or two of which the finer lies within the coarser.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Grouping {
    /// The coarser first.
    levels: Vec<Level>,
}

impl Level {
    fn new(label: &str, of_rows: &[String]) -> Self {
        let (mut groups, mut known) = (Vec::new(), HashMap::new());
        let of_row = of_rows
            .iter()
            .map(|name| {
                *known.entry(name).or_insert_with(|| {
                    groups.push(name.clone());
                    groups.len() - 1
                })
            })
            .collect();
        Level { label: label.to_owned(), groups, of_row }
    }

    /// The group of `coarser` that each group lies in, or one that lies in two.
    fn within(&self, coarser: &Level) -> Result<Vec<usize>, GroupingError> {
        let mut parent: Vec<Option<usize>> = vec![None; self.groups.len()];
        for (group, of) in self.of_row.iter().zip(&coarser.of_row) {
            let known = *parent[*group].get_or_insert(*of);
            if known != *of {
                return Err(GroupingError::NotNested {
                    finer: self.label.clone(),
                    coarser: coarser.label.clone(),
                    group: self.groups[*group].clone(),
                    within: [known, *of].map(|place| coarser.groups[place].clone()),
                });
            }
        }
        Ok(parent.into_iter().map(Option::unwrap_or_default).collect())
    }
}

impl Grouping {
    /// From labels with the name of the group of each row; of two either may be the finer.
    ///
    /// ```
    /// use bathkin_statistics::mixed::Grouping;
    ///
    /// let named = |names: [&str; 6]| names.map(str::to_owned).to_vec();
    /// let beaker = named(["a", "a", "b", "c", "d", "d"]);
    /// let day = named(["1", "1", "1", "2", "3", "3"]);
    /// let rows = Grouping::new(&[("beaker".to_owned(), beaker), ("day".to_owned(), day)])?;
    /// assert_eq!(rows.levels()[0].label, "day");
    /// assert!(Grouping::new(&[("half".to_owned(), named(["1", "1", "1", "2", "2", "2"]))]).is_err());
    /// # Ok::<(), bathkin_statistics::mixed::GroupingError>(())
    /// ```
    ///
    /// # Errors
    /// [`GroupingError`]: no label or more than two, fewer than three groups, groups of one row all, labels that are not nested
    /// or group alike.
    pub fn new(labels: &[(String, Vec<String>)]) -> Result<Self, GroupingError> {
        let mut levels: Vec<Level> = labels.iter().map(|(label, rows)| Level::new(label, rows)).collect();
        if !(1..=2).contains(&levels.len()) {
            return Err(GroupingError::Labels {
                labels: levels.into_iter().map(|level| level.label).collect(),
            });
        }
        levels.sort_by_key(|level| level.groups.len());
        for level in &levels {
            let (label, groups) = (level.label.clone(), level.groups.len());
            if groups < LEAST_GROUPS {
                return Err(GroupingError::Few { label, groups });
            }
            if groups == level.of_row.len() {
                return Err(GroupingError::OfOne { label });
            }
        }
        if let [coarser, finer] = levels.as_slice() {
            finer.within(coarser)?;
            if coarser.groups.len() == finer.groups.len() {
                let [first, second] = [coarser, finer].map(|level| level.label.clone());
                return Err(GroupingError::Alike { first, second });
            }
        }
        Ok(Grouping { levels })
    }

    /// The levels, the coarser first.
    pub fn levels(&self) -> &[Level] {
        &self.levels
    }

    /// The finest level.
    pub(crate) fn finest(&self) -> &Level {
        &self.levels[self.levels.len() - 1]
    }

    /// The coarse group of every fine one; empty for one level.
    pub(crate) fn parents(&self) -> Vec<usize> {
        match self.levels.as_slice() {
            [coarser, finer] => finer.within(coarser).unwrap_or_default(),
            _ => Vec::new(),
        }
    }
}
