//! An error by cause: what results keep of something that failed while the rest went on.

use bathkin::Remark;
use bathkin::remark::RemarkValue;

use crate::error::DataError;

impl DataError {
    /// By cause, with its values and its sentence: what results keep of it. An error of the recipe keeps the code and
    /// the values that [`bathkin::Error::remark`] gives it, and says file and row.
    ///
    /// ```
    /// use bathkin_fit::DataError;
    /// use bathkin_fit::error::RequestProblem;
    ///
    /// let error = DataError::from(RequestProblem::NoDump { file: "log.csv".to_owned() });
    /// assert_eq!(error.remark().code, "request");
    /// assert_eq!(error.remark().text, error.to_string());
    /// ```
    pub fn remark(&self) -> Remark {
        macro_rules! named {
            ($($name:ident),*) => { vec![$((stringify!($name).to_owned(), RemarkValue::from($name))),*] };
        }
        let (code, values) = match self.clone() {
            DataError::Cell { file, row, column, raw, expected } => {
                ("cell", named![file, row, column, raw, expected])
            }
            DataError::Sheet { file, .. } => ("sheet", named![file]),
            DataError::Specification(_) => ("specification", named![]),
            DataError::Recipe { place, error } => {
                let of_recipe = error.remark();
                (of_recipe.code, [named![place], of_recipe.values].concat())
            }
            DataError::NotConverged { reason, evaluations, .. } => {
                ("not-converged", named![reason, evaluations])
            }
            DataError::Misfit { .. } => ("misfit", named![]),
            DataError::Request(_) => ("request", named![]),
            DataError::Fit(_) => ("statistics", named![]),
        };
        Remark { code, text: self.to_string(), values }
    }
}
