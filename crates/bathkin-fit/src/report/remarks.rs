//! What a fit says of itself, all together.

use crate::report::assumptions::{below, further_starts, left_out, taken_for_logs, weighed_in};
use crate::report::data_checks::implausible;
use crate::report::groups::grouped;
use crate::report::identifiability::{
    correlated, errors_matter, lack_of_fit, not_varied, open, out_of_range, priors, spans, weak,
};
use crate::report::influence_checks::tested;
use crate::report::misfit::misfit;
use crate::report::replicates::{conflicting, copied};
use crate::result::solution::Solution;
use bathkin::Remark;

/// All remarks on a fit, in the order in which they are read.
pub(crate) fn remarks(made: &Solution) -> Vec<Remark> {
    // Outlying rows are judged first.
    let (missed, outliers) = misfit(made);
    let mut found = left_out(made);
    found.extend(weighed_in(made));
    found.extend(below(made));
    found.extend(priors(made));
    found.extend(taken_for_logs(made));
    found.extend(implausible(made, &outliers));
    found.extend(spans(made));
    found.extend(not_varied(made));
    found.extend(open(made));
    found.extend(weak(made));
    found.extend(correlated(made));
    found.extend(out_of_range(made));
    found.extend(tested(made, &outliers));
    found.extend(grouped(made));
    found.extend(copied(made));
    found.extend(conflicting(made));
    found.extend(missed);
    found.extend(errors_matter(made));
    found.extend(lack_of_fit(made));
    found.extend(made.starts.map(further_starts));
    found
}
