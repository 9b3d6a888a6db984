//! How the logs of a bath are kept: `[log]`.
//!
//! | key | meaning |
//! |---|---|
//! | `additions` | when what stands in a row was added: `"at-the-row"`, after its readings (the default), or `"since-the-row-before"`, evenly and before them |
//! | `ph` | `"compared"` (the default): readings of the pH are compared with what the bath comes to; `"as measured"`: they are the course of the pH, and what that takes of the pH corrector is a result |
//! | `columns."heading as written"` | the heading it is read as, such as `nickel_pct_of_set_point` or `nickel (oz/gal)`; empty: words that are not read |
//! | `file` | the log of this bath, relative to the folder of the file that says so; `bathkin today RECIPE` reads it |
//! | `files` | the same of several files of this one bath, joined by date; `file` or `files`, not both |
//! | `sheet` | sheet of a workbook that holds the log; without it the first one that is shown and holds anything |

use crate::document::reader::Reader;
use crate::document::value::quoted;
use crate::error::Result;
use crate::model::calendar::beside;

/// Path of the name of the log.
const LOG_FILE: &str = "log.file";
/// Path of the names of several files.
const LOG_FILES: &str = "log.files";

/// When what stands in a row of a log was added.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LoggedAdditions {
    /// All at once at the time of the row, after its readings.
    #[default]
    AtTheRow,
    /// Evenly since the row before, so that the readings of the row follow it: the sum of a shift.
    SinceTheRowBefore,
}

/// What the readings of the pH are.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PhReadings {
    /// Readings as others, which are compared.
    #[default]
    Compared,
    /// The course of the pH, straight between neighbouring rows.
    AsMeasured,
}

/// How logs are kept.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct LogSettings {
    /// When what stands in a row was added.
    pub additions: LoggedAdditions,
    /// What the readings of the pH are.
    pub ph: PhReadings,
    /// Headings as the shop writes them, each with the heading it is read as.
    pub columns: Vec<(String, String)>,
    /// Path of the log, beside the recipe that names it.
    pub file: Option<String>,
    /// Paths of the files of a log that has several.
    pub files: Vec<String>,
    /// Sheet of a workbook that holds the log.
    pub sheet: Option<String>,
}

/// The table of a recipe.
pub(crate) fn read_log_settings(reader: &Reader) -> Result<LogSettings> {
    let additions = reader.choice(
        "log.additions",
        &[
            ("at-the-row", LoggedAdditions::AtTheRow),
            ("since-the-row-before", LoggedAdditions::SinceTheRowBefore),
        ],
    )?;
    let ph = reader
        .choice("log.ph", &[("compared", PhReadings::Compared), ("as measured", PhReadings::AsMeasured)])?;
    let file = reader.optional_text(LOG_FILE)?;
    let files = reader.list(LOG_FILES)?;
    if file.is_some() && !files.is_empty() {
        return Err(reader.refuse(
            LOG_FILES,
            "log.file for one file, or log.files for several, not both",
            None,
        ));
    }
    let named = |name: &str, path: &str| beside(name, &reader.place(path)).display().to_string();
    Ok(LogSettings {
        additions,
        ph,
        columns: reader.texts_under("log.columns")?,
        file: file.map(|name| named(name, LOG_FILE)),
        files: files.iter().map(|name| named(name, LOG_FILES)).collect(),
        sheet: reader.optional_text("log.sheet")?.map(str::to_owned),
    })
}

impl LogSettings {
    /// The table as a recipe has it, to be pasted.
    ///
    /// ```
    /// use bathkin::model::LogSettings;
    ///
    /// let columns = vec![("Ni %".to_owned(), "nickel_pct_of_set_point".to_owned())];
    /// assert_eq!(LogSettings::columns_as_toml(&columns), "[log.columns]\n\"Ni %\" = \"nickel_pct_of_set_point\"\n");
    /// ```
    pub fn columns_as_toml(columns: &[(String, String)]) -> String {
        let line =
            |(heading, read_as): &(String, String)| format!("{} = {}\n", quoted(heading), quoted(read_as));
        let lines: String = columns.iter().map(line).collect();
        format!("[log.columns]\n{lines}")
    }
}
