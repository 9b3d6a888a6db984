//! Bytes of a file to text.

use encoding_rs::{Encoding, UTF_16BE, UTF_16LE, WINDOWS_1252};

use crate::document::table::{Assumed, TableError};

/// The text of a file, and what was assumed of its bytes.
///
/// UTF-8 with or without a byte order mark is read without a word. UTF-16 is told by its mark or by the zeros
/// that plain letters have in it; what is neither is read as Windows-1252 (cp1252), where that has a letter for
/// every byte.
pub(crate) fn decoded(bytes: &[u8]) -> Result<(String, Option<Assumed>), TableError> {
    let utf8 = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let (encoding, name, told_by): (&'static Encoding, &str, &str) = match (bytes, std::str::from_utf8(utf8))
    {
        ([0xff, 0xfe, ..], _) => (UTF_16LE, "UTF-16", "told by its byte order mark"),
        ([0xfe, 0xff, ..], _) => (UTF_16BE, "UTF-16", "told by its byte order mark"),
        (_, Ok(text)) if !text.contains('\0') => return Ok((text.to_owned(), None)),
        (_, _) if zeros(bytes, 1) => (UTF_16LE, "UTF-16", "told by its zeros"),
        (_, _) if zeros(bytes, 0) => (UTF_16BE, "UTF-16", "told by its zeros"),
        _ => (
            WINDOWS_1252,
            "Windows-1252 (cp1252)",
            "not UTF-8: look at letters beyond a to z, such as the degree sign",
        ),
    };
    let (text, broken) = encoding.decode_with_bom_removal(bytes);
    let strange = |c: char| c.is_control() && !matches!(c, '\t' | '\n' | '\r' | '\u{c}');
    if broken || text.contains(strange) {
        let expected = "expected a text file in UTF-8, UTF-16 or Windows-1252, or an xlsx workbook";
        return Err(TableError::whole(expected));
    }
    Ok((text.into_owned(), Some(Assumed::new(None, "", "the letters of the file", name, told_by))))
}

/// Whether most bytes on odd (1) or even (0) places are zero.
fn zeros(bytes: &[u8], first: usize) -> bool {
    let count = |from: usize| bytes.iter().skip(from).step_by(2).filter(|byte| **byte == 0).count();
    let pairs = bytes.len() / 2;
    pairs > 0 && bytes.len().is_multiple_of(2) && 2 * count(first) > pairs && count(1 - first) * 10 < pairs
}
