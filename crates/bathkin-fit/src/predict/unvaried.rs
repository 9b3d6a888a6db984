//! Settings of a prediction that no data reach.

use bathkin::document::{Role, Value};
use bathkin::flag::Flag;

use crate::data::cases::{Case, Coupon, Kind};
use crate::data::logs;
use crate::error::DataError;
use crate::format::number;
use crate::predict::prediction::OF_NO_TABLE;
use crate::report::assumptions::TEMPERATURE;
use crate::result::solution::Solution;

impl Solution {
    /// Settings of a coupon that the data never varied, or not so far, and that change its value.
    pub(crate) fn unvaried(&self, given: &[(String, f64)]) -> Result<Vec<Flag>, DataError> {
        // What is converted may miss an end by rounding.
        const SLACK: f64 = 1e-9;
        let (case, _) = self.coupon(given)?;
        let value_of =
            |case: &Case| self.model.values_of(OF_NO_TABLE, case, self.fit.values()).ok()?.first().copied();
        let value = value_of(&case);
        // As a rate does not depend on the volume of the tank.
        let matters = |path: &str, to: f64| {
            let Kind::Coupon(coupon) = &case.kind else { return true };
            let recipe = coupon.recipe.with(path, Value::Number(to), "predict");
            let coupon = Coupon { recipe, fresh: Default::default(), ..coupon.clone() };
            let other = Case { kind: Kind::Coupon(coupon), ..case.clone() };
            let pair = value.zip(value_of(&other));
            pair.is_none_or(|(value, other)| (other - value).abs() > SLACK * value.abs())
        };
        let now = |path: &str| match case.recipe().document().get(path).map(|entry| &entry.value) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        };
        let changed = |path: &str| now(path).zip(self.setting(path)).is_some_and(|(now, own)| now != own);
        let own = self.recipe.document().entries().iter().map(|entry| entry.path.as_str());
        let mut paths: Vec<&str> = own.filter(|path| changed(path)).collect();
        for (_, setting) in &self.model.settings {
            if !paths.contains(&setting.path.as_str()) {
                paths.push(&setting.path);
            }
        }
        let mut found = Vec::new();
        for path in paths {
            let (Some(now), Some((low, high))) = (now(path), self.reach(path)) else { continue };
            let slack = SLACK * low.abs().max(high.abs());
            if (low - slack..=high + slack).contains(&now) || !matters(path, now.clamp(low, high)) {
                continue;
            }
            let what = if high - low <= slack {
                format!(
                    "{} here and {} in all data: what it does is the recipe's, and in neither band",
                    number(now, 4),
                    number(low, 4)
                )
            } else {
                format!(
                    "{} here and {} to {} in the data: extrapolated, and the bands do not know how well",
                    number(now, 4),
                    number(low, 4),
                    number(high, 4)
                )
            };
            found.push(Flag { r#where: path.to_owned(), what });
        }
        Ok(found)
    }

    fn setting(&self, path: &str) -> Option<f64> {
        match self.recipe.document().get(path).map(|entry| &entry.value) {
            Some(Value::Number(number)) => Some(*number),
            _ => None,
        }
    }

    /// Least and largest value of a setting in the data; `None` for one that varies along a log.
    fn reach(&self, path: &str) -> Option<(f64, f64)> {
        let made_up = |path: &str| {
            let declared = self.recipe.model().ok().and_then(|model| model.declaration(path));
            declared.is_some_and(|one| one.role == Role::MakeUp)
        };
        let by_itself = |path: &str| path == "operation.ph" || made_up(path);
        let mut values = Vec::new();
        for row in &self.model.rows {
            let logged = matches!(self.model.cases[row.case].kind, Kind::Log(_));
            let sheet = self.data[row.sheet].sheet();
            let value = match logged {
                true if by_itself(path) => return None,
                true if path == TEMPERATURE => sheet.cell(logs::columns::TEMPERATURE, row.place),
                true => None,
                false => self.model.cases[row.case].setting(path),
            };
            values.push(value.or_else(|| self.setting(path))?);
        }
        let low = values.iter().copied().fold(f64::INFINITY, f64::min);
        (low.is_finite()).then(|| (low, values.into_iter().fold(f64::NEG_INFINITY, f64::max)))
    }
}
