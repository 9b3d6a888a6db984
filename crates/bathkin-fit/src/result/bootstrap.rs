//! The fit repeated on drawn data.

use bathkin_statistics::bootstrap::{Bootstrap, BootstrapOptions, Resampling, bootstrap_reporting};
use bathkin_statistics::progress::Done;

use crate::error::{DataError, RequestProblem};
use crate::estimate::chord::{CHORD, Chord};
use crate::result::solution::Solution;
use crate::stop::unless_asked;

impl Solution {
    /// The fit repeated on data that could have come instead; draws, deviations and intervals are of the
    /// recipe's numbers. It goes by the slopes of the fit itself: leaving out how they curve on the way costs a
    /// few hundredths of a standard error.
    ///
    /// # Errors
    /// As [`bootstrap`](bathkin_statistics::bootstrap::bootstrap); with priors, which no data could have changed; with
    /// groups, whose effects are no residuals; with values below a limit where
    /// residuals are drawn, as those have none.
    pub fn bootstrap(&self, options: &BootstrapOptions) -> Result<Bootstrap, DataError> {
        self.bootstrap_reporting(options, &|_| {})
    }

    /// The same, reporting how many replicates are done.
    ///
    /// # Errors
    /// As [`Solution::bootstrap`].
    pub fn bootstrap_reporting(
        &self,
        options: &BootstrapOptions,
        done: Done,
    ) -> Result<Bootstrap, DataError> {
        if !self.priors.is_empty() {
            return Err(RequestProblem::BootstrapWithPriors.into());
        }
        if self.mixed.is_some() {
            return Err(RequestProblem::BootstrapWithGroups.into());
        }
        let values = self.model.below().filter(|below| *below).count();
        if options.resampling == Resampling::Residuals && values > 0 {
            return Err(RequestProblem::NoResiduals { values }.into());
        }
        let mut coarser = self.fit.clone();
        coarser.options.solver.decrease_tolerance = 1e-8;
        coarser.options.solver.resolution = CHORD;
        let chord = Chord::about(&self.model, self.fit.values())?;
        let found = bootstrap_reporting(&chord, &coarser, options, done).map_err(DataError::from);
        let found = unless_asked(&self.options.stop, found)?;
        let outside = |place: usize, value| self.model.free[place].scale.outside(value);
        Ok(found.seen_from(self.fit.options.level, outside))
    }
}
