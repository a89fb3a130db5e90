//! Reading a CSV file that a person filled in, often with a spreadsheet: comma or semicolon, with or without a byte-order mark.

use crate::error::{Error, Result};
use crate::finding::Place;
use std::collections::BTreeMap;

/// One line of the file by its column heads.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Line {
    /// Line of the file, from one.
    pub number: usize,
    cells: BTreeMap<String, String>,
}

impl Line {
    /// A cell without the white around it; empty when the row is short.
    pub(super) fn cell(&self, head: &str) -> &str {
        self.cells.get(head).map_or("", String::as_str)
    }
}

/// Reads a table that must have the columns `needed`; others are kept. Empty lines are passed over.
///
/// # Errors
/// `form-columns` when a column is missing, `form-syntax` when the text is no CSV.
pub(super) fn read(text: &str, needed: &[&str]) -> Result<Vec<Line>> {
    let text = text.trim_start_matches('\u{feff}');
    let head_line = text.lines().next().unwrap_or_default();
    let separator = if head_line.contains(';') && !head_line.contains(',') { b';' } else { b',' };
    let mut reader = csv::ReaderBuilder::new().delimiter(separator).flexible(true).from_reader(text.as_bytes());
    let syntax = |e: &csv::Error| {
        let line = e.position().map_or(1, |p| p.line() as usize);
        Error::usage("form-syntax", format!("the form cannot be read as CSV: {e}"))
            .at(Place::line(line))
            .with_hint("save it as CSV with the columns the program wrote")
    };
    let heads: Vec<String> =
        reader.headers().map_err(|e| syntax(&e))?.iter().map(|h| h.trim().to_lowercase()).collect();
    if let Some(missing) = needed.iter().find(|n| !heads.iter().any(|h| h == *n)) {
        return Err(Error::usage("form-columns", format!("the form has no column '{missing}'"))
            .at(Place::line(1))
            .with_hint(format!("keep the columns the program wrote: {}", needed.join(", "))));
    }
    let mut lines = Vec::new();
    for record in reader.records() {
        let record = record.map_err(|e| syntax(&e))?;
        let number = record.position().map_or(0, |p| line_at(text, p.byte() as usize));
        let cells: BTreeMap<String, String> =
            heads.iter().cloned().zip(record.iter().map(|c| c.trim().to_owned())).collect();
        if cells.values().any(|c| !c.is_empty()) {
            lines.push(Line { number, cells });
        }
    }
    Ok(lines)
}

/// The line of what begins at or after a byte of the text, past the ends of lines that the reader has left standing there.
fn line_at(text: &str, byte: usize) -> usize {
    let (before, rest) = text.as_bytes().split_at(byte.min(text.len()));
    let ends = rest.iter().take_while(|b| matches!(b, b'\r' | b'\n'));
    1 + before.iter().chain(ends).filter(|b| **b == b'\n').count()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quotes_separators_and_marks_of_spreadsheets() {
        for text in ["\u{feff}Item,What\r\nE1,\"1'-0\"\"\"\r\n\r\n,\r\nE2\r\n", "item;what\nE1;\"1'-0\"\"\"\n\n;\nE2\n"]
        {
            let lines = read(text, &["item", "what"]).unwrap();
            assert_eq!(lines.len(), 2, "{lines:?}");
            assert_eq!((lines[0].cell("item"), lines[0].cell("what"), lines[0].number), ("E1", "1'-0\"", 2));
            assert_eq!((lines[1].cell("item"), lines[1].cell("what")), ("E2", ""));
        }
        assert_eq!(read("item\nE1\n", &["item", "what"]).unwrap_err().code, "form-columns");
    }
}
