//! Rows and further terms tested on the linear approximation about a minimum.
//!
//! With the residuals r, their derivatives J and the projection M = I - J (JᵀJ)⁻¹ Jᵀ off the columns of J, a
//! further term z, which would add c z to the residuals, has
//!
//! t = zᵀM r/(s √(zᵀM z)), s² = [rᵀM r - (zᵀM r)²/(zᵀM z)]/(ν - 1),
//!
//! with Student's t of ν - 1 degrees of freedom, ν = rows - rank of J; normal, with s = 1, where the sigmas are
//! absolute. Exact for linear models, the score test of the term otherwise. What z is decides what is tested:
//!
//! | z | test |
//! | --- | --- |
//! | 1 in one row, 0 elsewhere | the externally studentised residual of that row |
//! | square of a setting | curvature |
//! | the residual of the row before | autocorrelation: T. S. Breusch, Australian Economic Papers 17 (1978) 334-355; L. G. Godfrey, Econometrica 46 (1978) 1293-1301 |
//!
//! Source: R. D. Cook and S. Weisberg, *Residuals and Influence in Regression*, Chapman and Hall 1982, chapter 2
//! (studentised residuals with Bonferroni's bound, added variables).
//!
//! Where each column of measured values has an error variance of its own, r is in those sizes, and s comes from the
//! squares and ν of the column alone.

use nalgebra::{DMatrix, DVector};

use crate::fit::Fit;
use crate::mixed::Mixed;
use crate::options::Scale;
use crate::quantiles::two_sided_tail;

/// Residuals and their slopes.
#[derive(Debug, Clone)]
pub struct LinearModel {
    slopes: DMatrix<f64>,
    residuals: DVector<f64>,
    /// Which rows have one error variance; `None` for a row that is not tested, as that of a prior.
    groups: Vec<Option<usize>>,
    /// Whether s = 1.
    known: bool,
}

/// A term tested.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Test {
    /// t.
    pub t: f64,
    /// Probability of a larger one, to either side, were the term zero.
    pub p_value: f64,
}

/// A row off the fit of the others.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Outlier {
    /// Row.
    pub row: usize,
    /// Externally studentised residual.
    pub t: f64,
    /// Its two-sided probability times the number of rows that are tested (Bonferroni), at most 1.
    pub p_value: f64,
}

/// A further term: its value in every row, and the group of rows that it is about.
#[derive(Debug, Clone)]
pub struct Term {
    /// z.
    pub values: Vec<f64>,
    /// The group that s is estimated from.
    pub group: usize,
}

/// What [`LinearModel::examine`] finds.
#[derive(Debug, Clone, PartialEq)]
pub struct Examined {
    /// Outlying rows, in the order in which they were seen.
    pub outliers: Vec<Outlier>,
    /// The test of each term without those rows; `None` where too few rows are left.
    pub terms: Vec<Option<Test>>,
}

impl LinearModel {
    /// Of columns of slopes.
    pub fn of(slopes: &[Vec<f64>], residuals: &[f64]) -> Self {
        LinearModel {
            slopes: DMatrix::from_fn(residuals.len(), slopes.len(), |row, column| slopes[column][row]),
            residuals: DVector::from_row_slice(residuals),
            groups: vec![Some(0); residuals.len()],
            known: false,
        }
    }

    /// About a minimum; `groups` has the error variance that each row belongs to.
    pub fn about(fit: &Fit, groups: Vec<Option<usize>>) -> Self {
        let columns = &fit.minimum.spectrum.columns;
        let jacobian = &fit.minimum.jacobian;
        LinearModel {
            slopes: DMatrix::from_fn(jacobian.nrows(), columns.len(), |row, at| jacobian[(row, columns[at])]),
            residuals: DVector::from_row_slice(&fit.minimum.residuals),
            groups,
            known: fit.options.scale == Scale::Known,
        }
    }

    /// About a fit with random effects: these are columns too, each with a row that holds it to its variance.
    pub fn with_effects(mixed: &Mixed, mut groups: Vec<Option<usize>>) -> Self {
        let (slopes, residuals) = mixed.augmented();
        groups.resize(residuals.len(), None);
        LinearModel { slopes, residuals, groups, known: mixed.fit.options.scale == Scale::Known }
    }

    /// How many rows there are, those that hold priors or random effects too.
    pub fn rows(&self) -> usize {
        self.residuals.len()
    }

    /// Outlying rows first, one after the other as long as one of Bonferroni's p below `level` is left, then every
    /// term without them. A row that explains less than one of the terms is no outlier but what the term is about,
    /// and is looked at again with that term among the columns.
    pub fn examine(&self, terms: &[Term], level: f64) -> Examined {
        // One row alone between others is a curve as well as it is an outlier: then it is a row to look at.
        const CLEARLY: f64 = 1.05;
        let mut kept = vec![true; self.residuals.len()];
        let mut outliers = Vec::new();
        let mut explained: Vec<usize> = Vec::new();
        // No more than a quarter: beyond that nobody knows which ones are the outliers.
        let most = self.groups.iter().flatten().count() / 4;
        while outliers.len() < most {
            let with: Vec<&[f64]> = explained.iter().map(|term| terms[*term].values.as_slice()).collect();
            let left = self.left(&kept, &with);
            let Some(farthest) = left.farthest().filter(|outlier| outlier.p_value < level) else { break };
            let tests = terms.iter().enumerate().filter(|(term, _)| !explained.contains(term));
            let tests = tests.filter_map(|(term, of)| left.test(of).map(|test| (term, test)));
            let strongest = tests.max_by(|a, b| a.1.t.abs().total_cmp(&b.1.t.abs()));
            match strongest.filter(|(_, test)| test.t.abs() > CLEARLY * farthest.t.abs()) {
                Some((term, _)) => explained.push(term),
                None => {
                    kept[farthest.row] = false;
                    outliers.push(farthest);
                }
            }
        }
        let left = self.left(&kept, &[]);
        Examined { outliers, terms: terms.iter().map(|term| left.test(term)).collect() }
    }

    /// The same without some of the rows.
    pub fn without(&self, rows: &[usize]) -> Self {
        let mut less = self.clone();
        for row in rows {
            less.slopes.row_mut(*row).fill(0.0);
            less.residuals[*row] = 0.0;
            less.groups[*row] = None;
        }
        less
    }

    /// Sum of squares of a group and its residual degrees of freedom, fitted anew without some rows.
    pub fn scatter(&self, without: &[usize], group: usize) -> (f64, f64) {
        let kept: Vec<bool> = (0..self.residuals.len()).map(|row| !without.contains(&row)).collect();
        let left = self.left(&kept, &[]);
        let of = |of: &dyn Fn(usize) -> f64| left.rows_of(group).map(of).sum::<f64>();
        (of(&|row| left.residuals[row].powi(2)), of(&|row| 1.0 - left.leverage(row)))
    }

    /// Every row by itself, without regard to what else is odd; `None` where the row is met whatever its value.
    pub fn studentised(&self) -> Vec<Option<Test>> {
        let left = self.left(&vec![true; self.residuals.len()], &[]);
        (0..self.residuals.len()).map(|row| left.of_row(row)).collect()
    }

    /// A term with all rows.
    pub fn test(&self, term: &Term) -> Option<Test> {
        self.left(&vec![true; self.residuals.len()], &[]).test(term)
    }

    /// What is left of the residuals of the rows that are kept, with further columns.
    fn left<'a>(&'a self, kept: &[bool], with: &[&[f64]]) -> Left<'a> {
        // Singular values of columns of norm one: smaller ones are rounding.
        const RANK: f64 = 1e-7;
        let masked = |row: usize, value: f64| if kept[row] { value } else { 0.0 };
        let rows = self.residuals.len();
        let own = self.slopes.ncols();
        let mut columns = DMatrix::from_fn(rows, own + with.len(), |row, column| {
            masked(row, if column < own { self.slopes[(row, column)] } else { with[column - own][row] })
        });
        for mut column in columns.column_iter_mut() {
            let norm = column.norm();
            if norm > 0.0 {
                column /= norm;
            }
        }
        let svd = columns.svd(true, false);
        let largest = svd.singular_values.max();
        let basis = match svd.u {
            Some(u) => {
                let of: Vec<usize> =
                    (0..u.ncols()).filter(|k| svd.singular_values[*k] > RANK * largest).collect();
                u.select_columns(&of)
            }
            None => DMatrix::zeros(rows, 0),
        };
        let mut left = Left { of: self, kept: kept.to_vec(), basis, residuals: DVector::zeros(rows) };
        let own = DVector::from_fn(rows, |row, _| masked(row, self.residuals[row]));
        left.residuals = left.off(&own);
        left
    }
}

struct Left<'a> {
    of: &'a LinearModel,
    kept: Vec<bool>,
    /// Orthonormal; spans the columns.
    basis: DMatrix<f64>,
    residuals: DVector<f64>,
}

impl Left<'_> {
    /// M z of the rows that are kept.
    fn off(&self, z: &DVector<f64>) -> DVector<f64> {
        z - &self.basis * self.basis.tr_mul(z)
    }

    fn leverage(&self, row: usize) -> f64 {
        self.basis.row(row).norm_squared()
    }

    fn rows_of(&self, group: usize) -> impl Iterator<Item = usize> + '_ {
        let of = move |row: &usize| self.kept[*row] && self.of.groups[*row] == Some(group);
        (0..self.kept.len()).filter(of)
    }

    /// The test of a term with zᵀM r and zᵀM z, in a group.
    fn of(&self, group: usize, along: f64, squares: f64) -> Option<Test> {
        // Absolute sigmas count until the other rows scatter so many times as far: then s is estimated from these.
        const CONTRADICTED: f64 = 3.0;
        let freedom: f64 = self.rows_of(group).map(|row| 1.0 - self.leverage(row)).sum::<f64>() - 1.0;
        let whole: f64 = self.rows_of(group).map(|row| self.residuals[row].powi(2)).sum();
        // Less than one degree of freedom estimates no size.
        let estimated = freedom >= 1.0 - 1e-9;
        let rest = (whole - along * along / squares).max(1e-24 * whole) / freedom;
        if self.of.known && !(estimated && rest > CONTRADICTED.powi(2)) {
            let t = along / squares.sqrt();
            return two_sided_tail(t, None).map(|p_value| Test { t, p_value });
        }
        if !estimated {
            return None;
        }
        let t = along / (rest * squares).sqrt();
        if !t.is_finite() {
            return None;
        }
        two_sided_tail(t, Some(freedom)).map(|p_value| Test { t, p_value })
    }

    fn of_row(&self, row: usize) -> Option<Test> {
        // Beyond this a row is met whatever its value.
        const ALONE: f64 = 1.0 - 1e-10;
        let group = self.of.groups[row].filter(|_| self.kept[row])?;
        let leverage = self.leverage(row);
        if leverage > ALONE {
            return None;
        }
        self.of(group, self.residuals[row], 1.0 - leverage)
    }

    fn test(&self, term: &Term) -> Option<Test> {
        // Part of z that is not in the columns already: less is what the curve of the model leaves of a column.
        const NEW: f64 = 1e-2;
        let z =
            DVector::from_fn(term.values.len(), |row, _| if self.kept[row] { term.values[row] } else { 0.0 });
        let off = self.off(&z);
        let (new, all) = (off.norm_squared(), z.norm_squared());
        if all.is_nan() || new <= NEW * NEW * all {
            return None;
        }
        self.of(term.group, off.dot(&self.residuals), new)
    }

    fn farthest(&self) -> Option<Outlier> {
        let tests: Vec<(usize, Test)> =
            (0..self.kept.len()).filter_map(|row| self.of_row(row).map(|test| (row, test))).collect();
        let count = tests.len() as f64;
        tests.into_iter().min_by(|a, b| a.1.p_value.total_cmp(&b.1.p_value)).map(|(row, test)| Outlier {
            row,
            t: test.t,
            p_value: (count * test.p_value).min(1.0),
        })
    }
}
