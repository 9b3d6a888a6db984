//! A heading to its words and the unit in its brackets.

/// Headings of columns of words, in every kind of table.
pub const WORDS: [&str; 13] = [
    "note", "notes", "comment", "comments", "remark", "remarks", "id", "no", "nr", "#", "row", "sample",
    "operator",
];

/// The words of a heading as a name, and the unit in its brackets; marks of LaTeX go.
///
/// ```
/// use bathkin::document::table::headings::named;
///
/// assert_eq!(named("Duration of coating (h)"), ("duration_of_coating".into(), "h".into()));
/// assert_eq!(named(r"$K_r$ [mol/L/s]"), ("k_r".into(), "mol/L/s".into()));
/// ```
pub fn named(text: &str) -> (String, String) {
    let plain = without_latex(text);
    let plain = plain.trim();
    let (words, unit) = bracketed(plain).unwrap_or((plain, ""));
    let mut name = String::new();
    for part in words.trim().split(|c: char| c.is_whitespace() || c == '-').filter(|part| !part.is_empty()) {
        if !name.is_empty() {
            name.push('_');
        }
        name.push_str(&part.to_lowercase());
    }
    (name.trim_matches('_').to_owned(), unit.trim().to_owned())
}

/// Words and unit of `words [unit]` or `words (unit)`.
fn bracketed(text: &str) -> Option<(&str, &str)> {
    let inner = text.strip_suffix([']', ')'])?;
    if inner.contains([']', ')']) {
        let last = inner.rfind([']', ')'])?;
        // Brackets in the words are words; the unit has none of its own.
        let open = last + 1 + inner[last + 1..].find(['[', '('])?;
        return Some((&inner[..open], &inner[open + 1..]));
    }
    let open = inner.find(['[', '('])?;
    Some((&inner[..open], &inner[open + 1..]))
}

fn without_latex(text: &str) -> String {
    let mut plain = String::new();
    let mut letters = text.chars().peekable();
    while let Some(letter) = letters.next() {
        match letter {
            '\\' => while letters.next_if(char::is_ascii_alphabetic).is_some() {},
            '$' | '{' | '}' => {}
            _ => plain.push(letter),
        }
    }
    plain
}
