//! Runs that belong together, as remarks: labels that explain scatter though nobody named them, and groups too few or too
//! alike to say how far they differ.

use bathkin::Remark;
use bathkin_numerics::least_squares::Loss;
use bathkin_statistics::mixed::label_test;

use crate::data::sheet::Data;
use crate::report::sentences::groups::OfGroups;
use crate::report::thresholds::MAY_MISS;
use crate::result::solution::Solution;

/// Stands for the sheet itself as a label.
const SHEET: &str = "data";
/// Groups from which a variance between them is known within a factor of about two.
const ENOUGH_GROUPS: usize = 6;

pub(crate) fn grouped(made: &Solution) -> Vec<Remark> {
    let Some(mixed) = &made.mixed else { return unnamed(made) };
    let mut found = Vec::new();
    for (place, level) in mixed.grouping().levels().iter().enumerate() {
        let (label, groups) = (level.label.clone(), level.groups.len());
        if mixed.between(place) == 0.0 {
            found.push(OfGroups::Alike { label: label.clone() }.into());
        }
        if groups < ENOUGH_GROUPS {
            found.push(OfGroups::Few { label, groups }.into());
        }
    }
    found
}

/// Labels of runs that nobody named and that explain scatter: F tests, p times the number of labels (Bonferroni).
fn unnamed(made: &Solution) -> Vec<Remark> {
    if !made.has_scatter() || made.options.loss != Loss::Linear || made.is_censored() {
        return Vec::new();
    }
    let weights = made.model.effect_weights();
    let tests: Vec<_> = labels(made)
        .into_iter()
        .filter_map(|label| {
            let (names, group) = rows_by(made, &label);
            label_test(&made.fit, &group, &weights).map(|test| (label, names, test))
        })
        .collect();
    let count = tests.len() as f64;
    let said = |(label, groups, test): (String, usize, bathkin_statistics::mixed::LabelTest)| {
        let p_value = (count * test.p_value).min(1.0);
        let f_ratio = test.f_ratio;
        (p_value < MAY_MISS).then(|| OfGroups::Explains { label, groups, f_ratio, p_value }.into())
    };
    tests.into_iter().filter_map(said).collect()
}

/// Columns of words of the runs that no number is grouped by, and the sheets where there are several.
fn labels(made: &Solution) -> Vec<String> {
    let sheets: Vec<_> =
        made.data.iter().filter(|data| matches!(data, Data::Runs(_))).map(Data::sheet).collect();
    let mut found: Vec<String> = Vec::new();
    if sheets.len() > 1 {
        found.push(SHEET.to_owned());
    }
    for (name, _) in sheets.iter().flat_map(|sheet| &sheet.labels) {
        if !found.contains(name) {
            found.push(name.clone());
        }
    }
    let per = &made.options.specification.per;
    found.retain(|name| !per.iter().any(|(_, column)| column == name));
    found
}

/// How many groups a label has, and the group of every row of the fit; none for rows without the label.
fn rows_by(made: &Solution, label: &str) -> (usize, Vec<Option<usize>>) {
    let mut names: Vec<String> = Vec::new();
    let of_row = made
        .model
        .rows
        .iter()
        .map(|row| {
            let Data::Runs(sheet) = &made.data[row.sheet] else { return None };
            let name = sheet.label(label, row.place)?;
            Some(names.iter().position(|known| *known == name).unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            }))
        })
        .collect();
    (names.len(), of_row)
}
