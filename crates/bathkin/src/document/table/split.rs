//! Text to cells.

use crate::document::table::TableError;

/// A cell of more letters is a quote that somebody forgot to close.
const MOST_CHARACTERS: usize = 131_072;

/// A line of cells.
#[derive(Debug, Default)]
pub(crate) struct Line {
    pub(crate) cells: Vec<String>,
    /// Line of the file it begins on, counted from 1.
    pub(crate) number: usize,
}

/// What parts the cells: what the first line says (`sep=;`), else a tab, a semicolon or a comma, whichever the
/// headings have. Second, the rest of the text; third, the lines before it.
pub(crate) fn separator(text: &str) -> (char, &str, usize) {
    let first = text.lines().next().unwrap_or_default();
    let told = first.trim_end().trim_matches('"').strip_prefix("sep=");
    if let Some(mark) = told.and_then(|told| told.chars().next().filter(|mark| told.len() == mark.len_utf8()))
    {
        let rest = text.split_once('\n').map_or("", |(_, rest)| rest);
        return (mark, rest, 1);
    }
    let heading = text.lines().find(|line| !line.trim().is_empty() && !line.starts_with('#'));
    let heading = heading.unwrap_or_default();
    (['\t', ';'].into_iter().find(|mark| heading.contains(*mark)).unwrap_or(','), text, 0)
}

/// Lines of cells, each without space about it. A cell in double quotes may hold separators, ends of lines and
/// doubled quotes.
///
/// # Errors
/// The number of lines read, with the reason: a quote that is not closed, letters behind one that is.
pub(crate) fn lines(
    text: &str,
    separator: char,
    before: usize,
) -> Result<Vec<Line>, (Vec<Line>, TableError)> {
    let mut found: Vec<Line> = Vec::new();
    let mut line = Line { cells: Vec::new(), number: before + 1 };
    let (mut cell, mut quoted, mut closed) = (String::new(), false, false);
    let (mut at, mut characters) = (before + 1, 0_usize);
    let mut letters = text.chars().peekable();
    let refuse = |why: &str| TableError::whole(format!("cannot be read: {why}: is a quote not closed?"));
    while let Some(letter) = letters.next() {
        if letter == '\n' {
            at += 1;
        }
        characters += 1;
        if characters > MOST_CHARACTERS {
            return Err((found, refuse(&format!("a cell of more than {MOST_CHARACTERS} letters"))));
        }
        if quoted {
            match letter {
                '"' if letters.peek() == Some(&'"') => {
                    cell.push('"');
                    letters.next();
                }
                '"' => (quoted, closed) = (false, true),
                _ => cell.push(letter),
            }
        } else if letter == separator || letter == '\n' || letter == '\r' {
            if letter == '\r' && letters.peek() == Some(&'\n') {
                continue;
            }
            line.cells.push(cell.trim().to_owned());
            (closed, characters) = (false, 0);
            cell.clear();
            if letter != separator {
                if letter == '\r' {
                    at += 1;
                }
                found.push(std::mem::replace(&mut line, Line { cells: Vec::new(), number: at }));
            }
        } else if letter == '"' && !closed && cell.trim().is_empty() {
            cell.clear();
            quoted = true;
        } else if closed && !letter.is_whitespace() {
            return Err((found, refuse("letters behind a quote")));
        } else if !closed {
            cell.push(letter);
        }
    }
    if quoted {
        return Err((found, refuse("the file ends within a quote")));
    }
    if !line.cells.is_empty() || !cell.trim().is_empty() || closed {
        line.cells.push(cell.trim().to_owned());
        found.push(line);
    }
    Ok(found)
}
