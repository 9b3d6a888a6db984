//! Decimal marks, and numbers without a unit.

use crate::document::table::{Assumed, Cell, TableError};

/// Whether nothing stands in a cell: empty, `-`, `na`, `n/a`, `nan`, `none`.
pub fn is_empty(text: &str) -> bool {
    ["", "-", "na", "n/a", "nan", "none"].contains(&text.to_lowercase().as_str())
}

/// The decimal mark of the cells, a comma or a point; none where no cell has any.
///
/// `columns` are headings, each with whether its unit allows thousands. `1,234` may mean 1234, `1.234` where
/// the unit allows it (a balance writes 1.234 g): refused unless another number of the file has a mark that
/// cannot part thousands.
///
/// # Errors
/// A cell with both marks, two marks in one file, marks that may part thousands.
///
/// ```
/// use bathkin::document::table::Cell;
/// use bathkin::document::table::marks::decimal_mark;
///
/// let rows = ["5.5", "1.234"].map(|text| vec![Cell { text: text.into(), given: false }]);
/// assert_eq!(decimal_mark(&[("metal_ml", true)], &rows), Ok(Some('.')));
/// assert!(decimal_mark(&[("metal_ml", true)], &rows[1..]).is_err());
/// assert_eq!(decimal_mark(&[("mass_g", false)], &rows[1..]), Ok(Some('.')));
/// ```
pub fn decimal_mark(columns: &[(&str, bool)], rows: &[Vec<Cell>]) -> Result<Option<char>, TableError> {
    let mut found = None;
    let (mut doubtful, mut certain) = (None, false);
    for (number, row) in rows.iter().enumerate() {
        for ((column, thousands), cell) in columns.iter().zip(row) {
            let text = without_limit(&cell.text);
            let written = numeric_part(text);
            if cell.given || !written.contains(['.', ',']) || !begins_with_number(text) {
                continue;
            }
            let refuse = |expected: String| TableError::cell(number + 1, column, &cell.text, expected);
            let commas = written.matches(',').count();
            if commas > 1 || (commas == 1 && written.contains('.')) {
                return Err(refuse("one decimal mark and no thousands mark".to_owned()));
            }
            let mark = if commas == 1 { ',' } else { '.' };
            if let Some(known) = found.filter(|known| *known != mark) {
                return Err(refuse(format!("the decimal mark '{known}' of the rows above")));
            }
            found = Some(mark);
            if (*thousands || mark == ',') && may_part_thousands(written) {
                doubtful.get_or_insert((number + 1, *column, cell.text.as_str(), written));
            } else {
                certain = true;
            }
        }
    }
    match doubtful {
        Some((row, column, raw, written)) if !certain => {
            let (whole, mark) =
                (written.replace([',', '.'], ""), if found == Some(',') { "comma" } else { "point" });
            let expected = format!("{written}0 or {whole}: this {mark} may part thousands");
            Err(TableError::cell(row, column, raw, expected))
        }
        _ => Ok(found),
    }
}

/// The assumption of a decimal comma, with the first cell that has one.
pub fn assumed_mark(mark: Option<char>, rows: &[Vec<Cell>]) -> Option<Assumed> {
    let first = rows.iter().flatten().find(|cell| mark == Some(',') && cell.text.contains(','))?;
    let taken = first.text.replace(',', ".");
    Some(Assumed::new(None, "", &first.text, taken, "decimal comma in the whole file"))
}

/// The text of a number, with or without a unit behind it, with a decimal point.
pub fn with_point(text: &str, mark: Option<char>) -> String {
    let unsigned = text.trim_start_matches(['+', '-']).trim_start_matches(|c: char| c.is_ascii_digit());
    let comma = unsigned.strip_prefix(',').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()));
    if mark == Some(',') && comma { text.replacen(',', ".", 1) } else { text.to_owned() }
}

/// A number without a unit; none for anything else, and for what is not finite.
pub fn number(text: &str, mark: Option<char>) -> Option<f64> {
    let text = with_point(text, mark);
    let plain = text.starts_with(|c: char| c.is_ascii_digit() || ['+', '-', '.'].contains(&c))
        && text.chars().all(|c| c.is_ascii_digit() || ['+', '-', '.', 'e', 'E'].contains(&c));
    text.parse().ok().filter(|number: &f64| plain && number.is_finite())
}

/// What stands behind `<` or `<=`, the sign of a limit of detection.
pub fn without_limit(text: &str) -> &str {
    let below = text.strip_prefix(['<', '\u{2264}']);
    below.map_or(text, |rest| rest.strip_prefix('=').unwrap_or(rest).trim_start())
}

fn begins_with_number(text: &str) -> bool {
    text.trim_start_matches(['+', '-']).starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == ',')
}

/// Digits and marks at the beginning.
fn numeric_part(text: &str) -> &str {
    let end = text.find(|c: char| !(c.is_ascii_digit() || ['+', '-', '.', ','].contains(&c)));
    &text[..end.unwrap_or(text.len())]
}

/// One to three digits that do not begin with a zero, a mark, three digits.
fn may_part_thousands(written: &str) -> bool {
    let Some((whole, rest)) = written.trim_start_matches(['+', '-']).split_once([',', '.']) else {
        return false;
    };
    let digits = |text: &str| text.bytes().all(|byte| byte.is_ascii_digit());
    (1..=3).contains(&whole.len())
        && !whole.starts_with('0')
        && rest.len() == 3
        && digits(whole)
        && digits(rest)
}
