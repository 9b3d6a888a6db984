//! Rows that belong together: batch, day or beaker as a random effect.
//!
//! Rows of one group are off to the same side by what nobody set. With the residuals r of the rows, each divided by its sigma,
//! their derivatives J, and z what a change of the value by one makes of the residual (1/sigma),
//!
//! r = r(β) + Σ_k Z_k u_k + e,  u_k ~ N(0, τ_k),  e ~ N(0, s²),  V = s² I + Σ_k τ_k Z_k Z_kᵀ,
//!
//! Z_k with z of a row in the column of its group. There are one or two groupings k; of two the finer lies within the
//! coarser. On the linear approximation r + J δ about the estimates, with n rows and p determined numbers,
//!
//! -2 ln L = m ln 2π + ln|V| + min_δ rᵀV⁻¹r [+ ln|JᵀV⁻¹J|],  m = n, or n - p with the term in brackets,
//!
//! is the marginal likelihood, or the restricted one (REML), profiled over s² in closed form and over the ratios θ_k = τ_k/s²
//! by a search that starts from a grid and includes zero. Estimates given θ are those of generalised least squares: the
//! nonlinear search runs on whitened residuals W r, WᵀW = s² V⁻¹ ([`Whitening`]). Where the model is not linear both
//! alternate until they hold still.
//!
//! | file | what stands there |
//! | --- | --- |
//! | [`grouping`] | rows by their labels, and which labels make no grouping |
//! | `linear`, `solved` | rᵀV⁻¹r, ln abs(V) and what follows from them at given ratios, in closed form, group by group |
//! | [`likelihood`] | the two likelihoods, and their greatest values |
//! | [`whitening`] | W |
//! | [`fit`](mod@fit) | estimates and variances together |
//! | [`components`] | the standard deviations between and within, with intervals |
//! | [`effects`] | how far each group is off, shrunken; residuals and leverages beside them |
//! | `freedom` | degrees of freedom of intervals (Satterthwaite) |
//! | [`unnamed`] | whether a label that is no grouping explains scatter |
//!
//! Source: N. M. Laird and J. H. Ware, *Random-effects models for longitudinal data*, Biometrics 38 (1982) 963-974;
//! J. C. Pinheiro and D. M. Bates, *Mixed-Effects Models in S and S-PLUS*, Springer 2000, chapters 2 and 7 (alternating
//! steps). Assumes normal effects; from few groups their size is known badly: see the interval.

pub mod components;
pub mod effects;
pub mod error;
pub mod fit;
mod freedom;
pub mod grouping;
pub mod likelihood;
mod linear;
mod search;
mod solved;
pub mod unnamed;
pub mod whitening;

pub use components::VarianceComponent;
pub use effects::{Conditional, GroupEffect};
pub use error::GroupingError;
pub use fit::{Mixed, fit_mixed, mixed};
pub use grouping::Grouping;
pub use likelihood::Likelihood;
pub use unnamed::{LabelTest, label_test};
pub use whitening::{Whitened, Whitening};
