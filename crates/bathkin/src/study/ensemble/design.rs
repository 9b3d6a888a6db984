//! The values of each member.

use bathkin_statistics::distribution::Distribution;
use bathkin_statistics::morris::MorrisSample;
use bathkin_statistics::random::Stream;
use bathkin_statistics::sobol::Sobol;
use bathkin_statistics::sobol_indices::SobolSample;

use crate::document::Digest;

/// Where the values of members come from.
#[derive(Debug, Clone)]
pub enum Design {
    /// A column for each path, a row for each member from `first` on.
    Table {
        /// The member of the first row.
        first: u64,
        /// The columns, all of one length.
        columns: Vec<Vec<f64>>,
    },
    /// Every combination of the values of each path, the last path fastest.
    Grid(Vec<Vec<f64>>),
    /// Random draws: member m takes stream m of the seed.
    Random {
        /// A distribution for each path.
        of: Vec<Distribution>,
        /// How many members.
        count: u64,
        /// Seed.
        seed: u64,
    },
    /// The same distributions at the points of a scrambled Sobol sequence: member m takes point m.
    Sobol {
        /// A distribution for each path.
        of: Vec<Distribution>,
        /// How many members.
        count: u64,
        /// The sequence, scrambled by the seed.
        points: Sobol,
    },
    /// The same at the points that Sobol's indices follow from.
    Indices {
        /// A distribution for each path.
        of: Vec<Distribution>,
        /// The points.
        sample: SobolSample,
    },
    /// The same at the points that Morris's effects follow from.
    Effects {
        /// A distribution for each path.
        of: Vec<Distribution>,
        /// The points.
        sample: MorrisSample,
    },
}

impl Design {
    /// Members there are.
    pub fn count(&self) -> u64 {
        match self {
            Design::Table { first, columns } => first + columns.first().map_or(0, Vec::len) as u64,
            Design::Grid(values) => values.iter().map(|values| values.len() as u64).product(),
            Design::Random { count, .. } | Design::Sobol { count, .. } => *count,
            Design::Indices { sample, .. } => sample.count(),
            Design::Effects { sample, .. } => sample.count(),
        }
    }

    /// Values of the first member whose values are at hand, before anything is checked.
    pub(super) fn first_values(&self) -> Vec<f64> {
        match self {
            Design::Table { columns: of, .. } | Design::Grid(of) => {
                of.iter().map(|values| values.first().copied().unwrap_or(f64::NAN)).collect()
            }
            _ => self.values(0),
        }
    }

    /// Its numbers of paths.
    pub fn paths(&self) -> usize {
        match self {
            Design::Table { columns, .. } => columns.len(),
            Design::Grid(values) => values.len(),
            _ => self.distributions().len(),
        }
    }

    /// Its distributions; none of a table or a grid.
    pub(super) fn distributions(&self) -> &[Distribution] {
        match self {
            Design::Table { .. } | Design::Grid(_) => &[],
            Design::Random { of, .. }
            | Design::Sobol { of, .. }
            | Design::Indices { of, .. }
            | Design::Effects { of, .. } => of,
        }
    }

    /// The values of a member, a value for each path.
    pub fn values(&self, member: u64) -> Vec<f64> {
        match self {
            Design::Table { first, columns } => {
                let row = (member - first) as usize;
                columns.iter().map(|column| column[row]).collect()
            }
            Design::Grid(values) => {
                let mut left = member;
                let mut found: Vec<f64> = values
                    .iter()
                    .rev()
                    .map(|values| {
                        let place = left % values.len() as u64;
                        left /= values.len() as u64;
                        values[place as usize]
                    })
                    .collect();
                found.reverse();
                found
            }
            Design::Random { of, seed, .. } => {
                let mut random = Stream::new(*seed, member);
                of.iter().map(|one| one.quantile(random.inside_unit())).collect()
            }
            Design::Sobol { of, points, .. } => {
                let part = |place| points.coordinate(member as u32, place);
                of.iter().enumerate().map(|(place, one)| one.quantile(part(place))).collect()
            }
            Design::Indices { of, sample } => {
                let part = |place| sample.coordinate(member, place);
                of.iter().enumerate().map(|(place, one)| one.quantile(part(place))).collect()
            }
            Design::Effects { of, sample } => {
                of.iter().zip(sample.point(member)).map(|(one, part)| one.quantile(part)).collect()
            }
        }
    }

    /// What it is known by, whatever the seed.
    pub(super) fn digest(&self) -> Digest {
        let mut digest = Digest::default();
        let (name, columns, sizes): (&str, &[Vec<f64>], Vec<u64>) = match self {
            Design::Table { columns, .. } => ("table", columns, Vec::new()),
            Design::Grid(values) => ("grid", values, Vec::new()),
            Design::Random { .. } => ("random", &[], Vec::new()),
            Design::Sobol { .. } => ("sobol", &[], Vec::new()),
            Design::Indices { sample, .. } => ("indices", &[], vec![sample.base()]),
            Design::Effects { sample, .. } => ("effects", &[], vec![sample.levels() as u64]),
        };
        digest.take_text(name);
        sizes.iter().for_each(|size| digest.take(&size.to_le_bytes()));
        for column in columns {
            digest.take(&(column.len() as u64).to_le_bytes());
            column.iter().for_each(|value| digest.take_number(*value));
        }
        // The shortest text that reads back as the same number.
        self.distributions().iter().for_each(|one| digest.take_text(&format!("{one:?}")));
        digest
    }
}
