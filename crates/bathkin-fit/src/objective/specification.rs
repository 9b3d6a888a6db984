//! What is fitted: which parameters are free, tied or grouped, and how errors are distributed.

use bathkin::Recipe;
use bathkin::document::Value;
use bathkin::error::Place;
use bathkin::tank::Quantity;

use crate::data::cases::{Case, Kind};
use crate::data::collected::Collected;
use crate::data::error_model::ErrorModel;
use crate::data::runs::Setting;
use crate::data::sheet::{Data, Sheet};
use crate::data::{logs, runs};
use crate::error::{DataError, Part, SheetProblem, SpecificationProblem};
use crate::objective::free::{FreeParameter, ParameterScale, Target};
use crate::objective::residuals::RecipeModel;

/// A number that follows another one.
#[derive(Debug, Clone, PartialEq)]
pub struct Tie {
    /// Its path.
    pub path: String,
    /// The free path it follows.
    pub to: String,
    /// Times that one; `None` for the ratio they have in the recipe.
    pub factor: Option<f64>,
}

/// What is fitted.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FitSpecification {
    /// Free paths.
    pub free: Vec<String>,
    /// Paths that follow a free one.
    pub ties: Vec<Tie>,
    /// (free path, column): it has a value of its own for every label there. `run` stands for every row,
    /// `data` for every sheet.
    pub per: Vec<(String, String)>,
    /// Columns whose labels tell which runs belong together: all runs of one group are off to the same side, by a random
    /// effect. None, one, or two of which one lies within the other.
    pub group: Vec<String>,
    /// Errors of what was measured on coupons; `None` for relative ones.
    pub errors: Option<ErrorModel>,
    /// Errors of single columns.
    pub column_errors: Vec<(String, ErrorModel)>,
    /// Whether the baths of logs start as the recipe makes them up. By default they start with what the first
    /// row found, as measured values with errors of their own.
    pub starts_as_made_up: bool,
}

impl FitSpecification {
    /// The residuals of data over a recipe, from whose numbers fits start.
    ///
    /// # Errors
    /// [`DataError`]: a cell, column or path that cannot be used; the recipe, where it does not take a row.
    pub fn build(&self, recipe: &Recipe, data: &[Data]) -> Result<RecipeModel, DataError> {
        if data.is_empty() {
            return Err(SpecificationProblem::NoData.into());
        }
        let mut free = self.parameters(recipe)?;
        let mut collected = Collected {
            asked: self.column_errors.clone(),
            otherwise: Some(self.errors.unwrap_or(ErrorModel::Relative { sigma: 1.0 })),
            ..Collected::default()
        };
        let per = self.per.iter().map(|(_, column)| column);
        let mut groups: Vec<String> = per.chain(&self.group).cloned().collect();
        groups.sort();
        groups.dedup();
        let mut settings = Vec::new();
        for (number, sheet) in data.iter().enumerate() {
            match sheet {
                Data::Runs(sheet) => {
                    for setting in runs::collect(recipe, sheet, &groups, &mut collected)? {
                        self.refuse_if_free(&setting, sheet)?;
                        settings.push((number, setting));
                    }
                }
                Data::Log(sheet) => {
                    logs::collect(recipe, sheet, self.starts_as_made_up, &mut collected)?;
                }
            }
        }
        free.extend(starts(&collected.cases));
        collected.resolve_cases()?;
        collected.settle_columns();
        if collected.rows.is_empty() {
            let columns =
                Quantity::of_coupons().iter().map(|quantity| quantity.own_name().to_owned()).collect();
            return Err(data[0].sheet().problem(SheetProblem::NothingMeasured { columns }));
        }
        if let Some((name, _)) = self
            .column_errors
            .iter()
            .find(|(name, _)| collected.columns.iter().all(|column| column.name != *name))
        {
            let measured = collected.columns.iter().map(|column| column.name.clone()).collect();
            return Err(SpecificationProblem::ErrorsOfNone { column: name.clone(), measured }.into());
        }
        let free = self.grouped(free, &collected)?;
        if free.is_empty() {
            return Err(SpecificationProblem::NothingFree.into());
        }
        for column in &self.group {
            if let Some((path, _)) = self.per.iter().find(|(_, per)| per == column) {
                let (path, column) = (path.clone(), column.clone());
                return Err(SpecificationProblem::GroupAndPer { path, column }.into());
            }
        }
        Ok(RecipeModel::new(free, settings, collected))
    }

    /// The free paths with what is tied to them.
    fn parameters(&self, recipe: &Recipe) -> Result<Vec<FreeParameter>, DataError> {
        let twice = |path: &String, what| SpecificationProblem::Twice { path: path.clone(), what }.into();
        let mut numbers: Vec<FreeParameter> = Vec::new();
        for path in &self.free {
            let start = number_at(recipe, path)?;
            if numbers.iter().any(|known| known.name == *path) {
                return Err(twice(path, Part::Free));
            }
            let model = recipe.model()?;
            numbers.push(FreeParameter {
                name: path.clone(),
                targets: vec![Target::Path { path: path.clone(), factor: 1.0 }],
                scale: model.scale_of(path, start),
                start,
                size: 1.0,
                dependence: model.declaration(path).and_then(|one| one.bounds.dependence),
                group: None,
            });
        }
        for (place, tie) in self.ties.iter().enumerate() {
            if self.ties[..place].iter().any(|known| known.path == tie.path) {
                return Err(twice(&tie.path, Part::Tied));
            }
            let value = number_at(recipe, &tie.path)?;
            let (path, to) = (tie.path.clone(), tie.to.clone());
            if self.free.contains(&tie.path) {
                return Err(SpecificationProblem::FreeAndTied { path, to }.into());
            }
            let Some(number) = numbers.iter_mut().find(|number| number.name == tie.to) else {
                return Err(SpecificationProblem::TiedToFixed { path, to, free: self.free.clone() }.into());
            };
            let factor = tie.factor.unwrap_or(value / number.start);
            if !factor.is_finite() {
                return Err(SpecificationProblem::NoRatio { path, to }.into());
            }
            number.targets.push(Target::Path { path: tie.path.clone(), factor });
        }
        for (place, (path, _)) in self.per.iter().enumerate() {
            if !self.free.contains(path) {
                let (path, free) = (path.clone(), self.free.clone());
                return Err(SpecificationProblem::NotFree { what: Part::Grouped, path, free }.into());
            }
            if self.per[..place].iter().any(|(known, _)| known == path) {
                return Err(twice(path, Part::Grouped));
            }
        }
        Ok(numbers)
    }

    /// One parameter for every label where it is grouped.
    fn grouped(
        &self,
        free: Vec<FreeParameter>,
        collected: &Collected,
    ) -> Result<Vec<FreeParameter>, DataError> {
        let mut grouped = Vec::new();
        for number in free {
            let Some((_, column)) = self.per.iter().find(|(path, _)| *path == number.name) else {
                grouped.push(number);
                continue;
            };
            let mut labels: Vec<&(String, String)> = Vec::new();
            for case in &collected.cases {
                let Some(label) = case.labels.iter().find(|(known, _)| known == column) else {
                    let (place, column, path) = (case.place.clone(), column.clone(), number.name);
                    return Err(SpecificationProblem::NoGroup { place, column, path }.into());
                };
                if !labels.contains(&label) {
                    labels.push(label);
                }
            }
            grouped.extend(labels.into_iter().map(|label| FreeParameter {
                name: format!("{}@{}", number.name, label.1),
                group: Some(label.clone()),
                ..number.clone()
            }));
        }
        Ok(grouped)
    }

    fn refuse_if_free(&self, setting: &Setting, sheet: &Sheet) -> Result<(), DataError> {
        let taken = self.free.contains(&setting.path) || self.ties.iter().any(|tie| tie.path == setting.path);
        if taken {
            let (column, path) = (setting.column.clone(), setting.path.clone());
            return Err(sheet.problem(SheetProblem::SetsFree { column, path }));
        }
        Ok(())
    }
}

/// What baths held at the start of their logs, as free parameters.
fn starts(cases: &[Case]) -> impl Iterator<Item = FreeParameter> {
    cases.iter().enumerate().flat_map(|(case, of)| {
        let starts = match &of.kind {
            Kind::Log(bath) => bath.starts.as_slice(),
            Kind::Coupon(_) => &[],
        };
        starts.iter().enumerate().map(move |(place, start)| FreeParameter {
            name: format!("start.{}@{}", start.column, of.place),
            targets: vec![Target::Start { case, place }],
            scale: ParameterScale::Linear,
            start: start.value,
            size: start.size,
            dependence: None,
            group: None,
        })
    })
}

/// A number of the recipe.
pub(crate) fn number_at(recipe: &Recipe, path: &str) -> Result<f64, DataError> {
    let document = recipe.document();
    match document.get(path).map(|entry| &entry.value) {
        Some(Value::Number(number)) => Ok(*number),
        _ => {
            let numbers = document.entries().iter().filter(|e| matches!(e.value, Value::Number(_)));
            let place = Place { file: document.file.clone(), line: None };
            let valid = numbers.map(|entry| entry.path.as_str());
            Err(bathkin::Error::unknown_name(place, "number of this recipe", path, valid).into())
        }
    }
}
