//! The bytes of a file become groups: a code and its value.
//!
//! A DXF file is a flat list of such pairs, as lines of text or in binary. The rest of the reader sees only [`Group`] and does not know
//! which.

use super::binary::{self, SENTINEL, Width};
use crate::error::{Error, Result};
use crate::finding::Place;

/// One value with the code that says what it means.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Group<'a> {
    /// What the value means.
    pub code: i32,
    /// The value as stored.
    pub value: Value<'a>,
    /// Line of the value, from one; in a binary file the byte where the group starts.
    pub line: usize,
}

/// A value as the file stores it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) enum Value<'a> {
    /// Characters in the file's code page, the end of line taken off.
    Text(&'a [u8]),
    /// A number of a binary file.
    Real(f64),
    /// A whole number of a binary file.
    Whole(i64),
}

impl<'a> Group<'a> {
    /// The characters; none for a number of a binary file.
    pub fn bytes(&self) -> &'a [u8] {
        if let Value::Text(bytes) = self.value { bytes } else { b"" }
    }

    /// The value as a finite number; `None` when it is none, is infinite or beyond any drawing.
    pub fn real(&self) -> Option<f64> {
        let number: f64 = match self.value {
            Value::Text(bytes) => std::str::from_utf8(bytes.trim_ascii()).ok()?.parse().ok()?,
            Value::Real(number) => number,
            Value::Whole(number) => number as f64,
        };
        // `parse` also takes the words `nan` and `infinity`; the range test refuses them.
        (number.abs() <= LARGEST).then_some(number)
    }

    /// The value as a whole number, also when written as `1.0`.
    pub fn whole(&self) -> Option<i64> {
        let exact = match self.value {
            Value::Text(bytes) => std::str::from_utf8(bytes.trim_ascii()).ok()?.parse().ok(),
            Value::Real(_) => None,
            Value::Whole(number) => Some(number),
        };
        exact.or_else(|| {
            let number = self.real()?;
            (number.fract() == 0.0).then_some(number as i64)
        })
    }
}

/// Coordinates beyond this are damage, not drawing: at 1e12 in any unit the steps between numbers are wider than a line.
pub(super) const LARGEST: f64 = 1e12;

/// Cuts groups off the front of a byte slice.
#[derive(Debug)]
pub(super) struct Groups<'a> {
    rest: &'a [u8],
    /// Lines, or bytes of a binary file, taken so far.
    line: usize,
    form: Form,
}

#[derive(Debug, Clone, Copy)]
enum Form {
    /// Lines that end with this byte: a line feed, or a carriage return in files that have no line feed.
    Lines(u8),
    /// Binary.
    Binary(Width),
}

impl<'a> Groups<'a> {
    /// Groups of a file in either form, any byte order mark passed over.
    pub fn new(bytes: &'a [u8]) -> Self {
        if let Some(rest) = bytes.strip_prefix(SENTINEL) {
            return Self { rest, line: SENTINEL.len(), form: Form::Binary(Width::of(rest)) };
        }
        let rest = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let end = if rest.contains(&b'\n') { b'\n' } else { b'\r' };
        Self { rest, line: 0, form: Form::Lines(end) }
    }

    fn take_line(&mut self, end: u8) -> Option<&'a [u8]> {
        if self.rest.is_empty() {
            return None;
        }
        self.line += 1;
        let (line, rest) = match self.rest.iter().position(|&b| b == end) {
            Some(at) => (&self.rest[..at], &self.rest[at + 1..]),
            None => (self.rest, &self.rest[self.rest.len()..]),
        };
        self.rest = rest;
        Some(line.strip_suffix(b"\r").unwrap_or(line))
    }

    /// The next group, comments passed over; `None` at the end of the bytes, also when they end inside a group.
    ///
    /// A blank line where a code belongs is passed over: some programs leave them at the start and end of a file.
    ///
    /// # Errors
    /// When a line that should be a group code is no whole number: nothing after it can be trusted.
    pub fn next(&mut self) -> Result<Option<Group<'a>>> {
        let end = match self.form {
            Form::Lines(end) => end,
            Form::Binary(width) => return self.next_binary(width),
        };
        loop {
            let Some(code) = self.take_line(end).map(<[u8]>::trim_ascii) else { return Ok(None) };
            if code.is_empty() || code == b"\x1a" {
                continue;
            }
            let line = self.line;
            let code: i32 = std::str::from_utf8(code).ok().and_then(|text| text.parse().ok()).ok_or_else(|| {
                let shown: String = String::from_utf8_lossy(code).chars().take(40).collect();
                Error::unreadable("bad-group-code", format!("expected a group code, found '{}'", shown.escape_debug()))
                    .at(Place::line(line))
                    .with_hint("the file is damaged from here on; save it again as ASCII DXF")
            })?;
            let Some(value) = self.take_line(end) else { return Ok(None) };
            if code != 999 {
                return Ok(Some(Group { code, value: Value::Text(value), line: self.line }));
            }
        }
    }

    fn next_binary(&mut self, width: Width) -> Result<Option<Group<'a>>> {
        let line = self.line;
        let before = self.rest.len();
        let Some(code) = binary::code(&mut self.rest, width) else { return Ok(None) };
        let Some(value) = binary::value(&mut self.rest, code)? else { return Ok(None) };
        self.line += before - self.rest.len();
        Ok(Some(Group { code, value, line }))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &[u8]) -> Vec<(i32, String, usize)> {
        let mut groups = Groups::new(text);
        let mut found = Vec::new();
        while let Some(g) = groups.next().unwrap() {
            found.push((g.code, String::from_utf8_lossy(g.bytes()).into_owned(), g.line));
        }
        found
    }

    #[test]
    fn line_ends_of_every_kind() {
        let wanted = vec![(0, "LINE".to_owned(), 2), (10, " 1.5".to_owned(), 4)];
        assert_eq!(all(b"  0\r\nLINE\r\n 10\r\n 1.5\r\n"), wanted);
        assert_eq!(all(b"0\nLINE\n10\n 1.5"), wanted);
        assert_eq!(all(b"0\rLINE\r10\r 1.5\r"), wanted);
        assert_eq!(all(b"\xEF\xBB\xBF0\nLINE\n10\n 1.5\n"), wanted);
    }

    #[test]
    fn comments_and_blank_lines_pass_and_a_lost_code_stops() {
        assert_eq!(all(b"999\nmade by hand\n\n0\nEOF\n\n\n"), vec![(0, "EOF".to_owned(), 5)]);
        assert_eq!(all(b"0\nLINE\n10\n"), vec![(0, "LINE".to_owned(), 2)]);
        let mut groups = Groups::new(b"0\nLINE\nfoo\n1\n");
        groups.next().unwrap();
        let error = groups.next().unwrap_err();
        assert_eq!((error.code, error.place.line), ("bad-group-code", Some(3)));
    }

    #[test]
    fn a_number_is_finite_or_nothing() {
        let real = |text: &'static str| Group { code: 10, value: Value::Text(text.as_bytes()), line: 1 }.real();
        assert_eq!(real(" +4.5"), Some(4.5));
        assert_eq!(real(".5"), Some(0.5));
        assert_eq!(real("2."), Some(2.0));
        for text in ["", "nan", "inf", "-Infinity", "1e400", "1e13", "12,5", "1.5D+03", "0x10", "1 2"] {
            assert_eq!(real(text), None, "{text}");
        }
        let whole = |text: &'static str| Group { code: 70, value: Value::Text(text.as_bytes()), line: 1 }.whole();
        assert_eq!((whole("  -7"), whole("1.0"), whole("1.5"), whole("x")), (Some(-7), Some(1), None, None));
    }
}
