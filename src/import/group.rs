//! The bytes of a file become groups: a code and its value.
//!
//! A DXF file is a flat list of such pairs, as lines of text or in binary. The rest of the reader sees only [`Group`] and does not know
//! which.

use super::binary::{self, SENTINEL, Width};
use crate::error::{Error, Result};
use crate::finding::Place;
use memchr::memchr;

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
    /// Characters of a number in a file that writes decimals with commas.
    CommaText(&'a [u8]),
    /// A number of a binary file.
    Real(f64),
    /// A whole number of a binary file.
    Whole(i64),
}

impl<'a> Group<'a> {
    /// The characters; none for a number of a binary file.
    pub fn bytes(&self) -> &'a [u8] {
        if let Value::Text(bytes) | Value::CommaText(bytes) = self.value { bytes } else { b"" }
    }

    /// The value as a finite number; `None` when it is none, is infinite or beyond any drawing.
    ///
    /// The exponent may be written with D as Fortran programs do. A comma is no part of a number, except in a file that uses it for every
    /// decimal.
    pub fn real(&self) -> Option<f64> {
        let number: f64 = match self.value {
            Value::Text(bytes) => {
                let bytes = bytes.trim_ascii();
                let written = || {
                    let text = std::str::from_utf8(bytes).ok()?;
                    text.parse().ok().or_else(|| text.replacen(['D', 'd'], "e", 1).parse().ok())
                };
                short_decimal(bytes).or_else(written)?
            }
            Value::CommaText(bytes) => {
                let text = std::str::from_utf8(bytes.trim_ascii()).ok()?;
                if text.contains('.') {
                    return None;
                }
                text.replacen(',', ".", 1).parse().ok()?
            }
            Value::Real(number) => number,
            Value::Whole(number) => number as f64,
        };
        // `parse` also takes the words `nan` and `infinity`; the range test refuses them.
        (number.abs() <= LARGEST).then_some(number)
    }

    /// The value as a whole number, also when written as `1.0`.
    pub fn whole(&self) -> Option<i64> {
        let exact = match self.value {
            Value::Text(bytes) | Value::CommaText(bytes) => short_whole(bytes.trim_ascii()).map(i64::from),
            Value::Real(_) => None,
            Value::Whole(number) => Some(number),
        };
        exact.or_else(|| {
            let number = self.real()?;
            (number.fract() == 0.0).then_some(number as i64)
        })
    }
}

/// A number of at most eighteen digits, with or without a point, as the nearest `f64`; `None` when it is written otherwise.
///
/// Both the digits without their point and the power of ten are exact as `f64`, so their one division rounds to the nearest. Nearly
/// every number of a drawing is written so, and this is twice as fast as the general way.
///
/// # Source
/// William D. Clinger, "How to read floating point numbers accurately" (PLDI 1990), the fast path.
fn short_decimal(bytes: &[u8]) -> Option<f64> {
    /// The largest whole number up to which all are exact as `f64`.
    const EXACT: u64 = 1 << 53;
    /// Powers of ten that are exact as `f64`, as far as eighteen digits need them.
    const TENS: [f64; 19] =
        [1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18];
    let (digits, negative) = match bytes {
        [b'-', digits @ ..] => (digits, true),
        [b'+', digits @ ..] => (digits, false),
        digits => (digits, false),
    };
    if digits.len() > 18 || digits == b"." || digits.is_empty() {
        return None;
    }
    let (mut number, mut decimals) = (0_u64, 0);
    let mut rest = digits.iter();
    for &byte in rest.by_ref() {
        match byte.wrapping_sub(b'0') {
            digit @ 0..=9 => number = number * 10 + u64::from(digit),
            _ if byte == b'.' => {
                decimals = rest.len();
                break;
            }
            _ => return None,
        }
    }
    for &byte in rest {
        match byte.wrapping_sub(b'0') {
            digit @ 0..=9 => number = number * 10 + u64::from(digit),
            _ => return None,
        }
    }
    let size = (number <= EXACT).then(|| number as f64 / TENS[decimals])?;
    Some(if negative { -size } else { size })
}

/// A whole number of at most nine digits; `None` when it is written otherwise.
fn short_whole(bytes: &[u8]) -> Option<i32> {
    let (digits, sign) = match bytes {
        [b'-', digits @ ..] => (digits, -1),
        [b'+', digits @ ..] => (digits, 1),
        digits => (digits, 1),
    };
    if digits.is_empty() || digits.len() > 9 {
        return None;
    }
    let number = digits
        .iter()
        .try_fold(0_i32, |number, &byte| byte.is_ascii_digit().then(|| number * 10 + i32::from(byte - b'0')));
    number.map(|number| sign * number)
}

/// Coordinates beyond this are damage, not drawing: at 1e12 in any unit the steps between numbers are wider than a line.
pub(super) const LARGEST: f64 = 1e12;

/// How a file writes decimals.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Decimals {
    /// With points, as the format says.
    Points,
    /// With commas, as programs do that follow the country's habit by mistake.
    Commas,
}

/// A line where a group code should stand and none does.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Damage {
    /// The line, from one.
    pub line: usize,
    /// What stands there.
    pub found: String,
}

/// A file damaged in more places than this is no longer read on: what is left of it says nothing about a roof.
const MOST_DAMAGES: usize = 1000;

/// Cuts groups off the front of a byte slice.
#[derive(Debug)]
pub(super) struct Groups<'a> {
    rest: &'a [u8],
    /// Lines, or bytes of a binary file, taken so far.
    line: usize,
    form: Form,
    decimals: Decimals,
    /// The first damage since it was last asked for, and how many there were in all.
    damage: Option<Damage>,
    damages: usize,
    /// The last value, which may be a lone 0 that belongs to the next record.
    last: &'a [u8],
}

/// What stands on a line where a code is due.
enum Code<'a> {
    /// The code.
    Read(i32),
    /// Nothing, which is passed over.
    Blank,
    /// No code; the start of the next record, if there is one.
    Record(Option<Group<'a>>),
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
    pub fn new(bytes: &'a [u8], decimals: Decimals) -> Self {
        let made = |rest, line, form| Self { rest, line, form, decimals, damage: None, damages: 0, last: b"" };
        if let Some(rest) = bytes.strip_prefix(SENTINEL) {
            return made(rest, SENTINEL.len(), Form::Binary(Width::of(rest)));
        }
        let rest = bytes.strip_prefix(b"\xEF\xBB\xBF").unwrap_or(bytes);
        let end = if rest.contains(&b'\n') { b'\n' } else { b'\r' };
        made(rest, 0, Form::Lines(end))
    }

    /// The first damage passed over since this was last asked.
    pub fn take_damage(&mut self) -> Option<Damage> {
        self.damage.take()
    }

    /// A code of up to four digits on a line of its own, blanks before it, if the next line is one; nearly all are.
    fn take_code(&mut self, end: u8) -> Option<i32> {
        let mut at = 0;
        while self.rest.get(at) == Some(&b' ') {
            at += 1;
        }
        let (first, mut code) = (at, 0);
        while at < first + 4
            && let Some(digit) = self.rest.get(at).map(|byte| byte.wrapping_sub(b'0')).filter(|&digit| digit <= 9)
        {
            code = code * 10 + i32::from(digit);
            at += 1;
        }
        if at == first {
            return None;
        }
        at += usize::from(end == b'\n' && self.rest.get(at) == Some(&b'\r'));
        if self.rest.get(at) != Some(&end) || !CODES.contains(&code) {
            return None;
        }
        self.rest = &self.rest[at + 1..];
        self.line += 1;
        Some(code)
    }

    fn take_line(&mut self, end: u8) -> Option<&'a [u8]> {
        if self.rest.is_empty() {
            return None;
        }
        self.line += 1;
        let (line, rest) = match memchr(end, self.rest) {
            Some(at) => (&self.rest[..at], &self.rest[at + 1..]),
            None => (self.rest, &self.rest[self.rest.len()..]),
        };
        self.rest = rest;
        Some(line.strip_suffix(b"\r").unwrap_or(line))
    }

    /// The next group, comments passed over; `None` at the end of the bytes, also when they end inside a group.
    ///
    /// A blank line where a code belongs is passed over: some programs leave them at the start and end of a file. Where no code stands, or a
    /// code 0 without a name, the lines up to the next record are passed over and [`Self::take_damage`] says so.
    ///
    /// # Errors
    /// When a binary file has a code the format has not, or a text file is damaged all over.
    pub fn next(&mut self) -> Result<Option<Group<'a>>> {
        let end = match self.form {
            Form::Lines(end) => end,
            Form::Binary(width) => return self.next_binary(width),
        };
        loop {
            let code = match self.take_code(end) {
                Some(code) => code,
                None => match self.odd_code(end)? {
                    Code::Read(code) => code,
                    Code::Blank => continue,
                    Code::Record(group) => return Ok(group),
                },
            };
            let Some(value) = self.take_line(end) else { return Ok(None) };
            if code == 999 {
                continue;
            }
            if code == 0 && !is_name(value.trim_ascii()) {
                self.note_damage(self.line, value)?;
                return Ok(self.next_record(end));
            }
            self.last = value;
            let commas = self.decimals == Decimals::Commas && matches!(code, 10..=59 | 140..=149 | 210..=239);
            let value = if commas { Value::CommaText(value) } else { Value::Text(value) };
            return Ok(Some(Group { code, value, line: self.line }));
        }
    }

    /// Reads a line where a code is due that is not written as nearly all are.
    fn odd_code(&mut self, end: u8) -> Result<Code<'a>> {
        let Some(written) = self.take_line(end).map(<[u8]>::trim_ascii) else { return Ok(Code::Record(None)) };
        if written.is_empty() || written == b"\x1a" {
            return Ok(Code::Blank);
        }
        if let Some(code) = short_whole(written).filter(|code| CODES.contains(code)) {
            return Ok(Code::Read(code));
        }
        // Where one line is missing, the name of the next record stands in the place of a code, behind its 0.
        let line = self.line;
        let name = self.last.trim_ascii() == b"0" && is_name(written);
        self.note_damage(line, written)?;
        if name {
            self.last = written;
            return Ok(Code::Record(Some(Group { code: 0, value: Value::Text(written), line })));
        }
        Ok(Code::Record(self.next_record(end)))
    }

    fn note_damage(&mut self, line: usize, found: &[u8]) -> Result<()> {
        let shown: String = String::from_utf8_lossy(found).chars().take(40).collect();
        let found = shown.escape_debug().to_string();
        self.damages += 1;
        if self.damages > MOST_DAMAGES {
            return Err(Error::unreadable("bad-group-code", format!("expected a group code, found '{found}'"))
                .at(Place::line(line))
                .with_hint("the file is damaged in a thousand places; save it again as ASCII DXF"));
        }
        self.damage.get_or_insert(Damage { line, found });
        Ok(())
    }

    /// The start of the next record: a line 0 with a name behind it.
    fn next_record(&mut self, end: u8) -> Option<Group<'a>> {
        let mut zero = false;
        loop {
            let line = self.take_line(end)?.trim_ascii();
            if zero && is_name(line) {
                self.last = line;
                return Some(Group { code: 0, value: Value::Text(line), line: self.line });
            }
            zero = line == b"0";
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

/// Group codes of the format.
const CODES: std::ops::RangeInclusive<i32> = -5..=1071;

/// Whether bytes can be the name of a record: `LINE`, `3DFACE`, `AcDbSomething`.
fn is_name(bytes: &[u8]) -> bool {
    let fine = |byte: &u8| byte.is_ascii_alphanumeric() || b"_-.$:* ".contains(byte);
    bytes.len() <= 64 && bytes.iter().any(u8::is_ascii_alphabetic) && bytes.iter().all(fine)
}

/// Whether a file writes all its coordinates' decimals with commas: at least one does and none has a point.
pub(super) fn writes_commas(bytes: &[u8]) -> bool {
    let mut groups = Groups::new(bytes, Decimals::Commas);
    let mut commas = 0;
    while let Ok(Some(group)) = groups.next() {
        let Value::CommaText(text) = group.value else { continue };
        if text.contains(&b'.') {
            return false;
        }
        commas += usize::from(text.contains(&b',') && group.real().is_some());
    }
    commas > 0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all(text: &[u8]) -> Vec<(i32, String, usize)> {
        let mut groups = Groups::new(text, Decimals::Points);
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
        // Noise where a code belongs: on to the next record.
        let mut groups = Groups::new(b"0\nLINE\nfoo\n1\n0\n7\n0\nCIRCLE\n", Decimals::Points);
        groups.next().unwrap();
        assert_eq!(groups.next().unwrap().map(|g| (g.bytes(), g.line)), Some((&b"CIRCLE"[..], 8)));
        assert_eq!(groups.take_damage(), Some(Damage { line: 3, found: "foo".to_owned() }));
        assert_eq!(groups.take_damage(), None);
        // One line lost: the next record is found at once.
        let mut groups = Groups::new(b"0\nLINE\n10\n20\n5\n0\nCIRCLE\n8\nA\n", Decimals::Points);
        let found: Vec<_> = std::iter::from_fn(|| groups.next().unwrap()).map(|g| (g.code, g.bytes())).collect();
        assert_eq!(found, [(0, &b"LINE"[..]), (10, b"20"), (5, b"0"), (0, b"CIRCLE"), (8, b"A")]);
        let noise = "x\n".repeat(3000).replace("x\nx\nx\n", "x\n0\nLINE\n");
        let mut groups = Groups::new(noise.as_bytes(), Decimals::Points);
        let error = std::iter::repeat_with(|| groups.next()).take(2000).find_map(std::result::Result::err);
        assert!(error.is_none_or(|error| error.code == "bad-group-code"));
    }

    /// Numbers of every length the fast way takes, against the standard library's reading of them.
    #[test]
    fn short_numbers_are_the_nearest() {
        let mut state = 1_u64;
        for length in 1..=18_usize {
            for point in 0..=length {
                for _ in 0..20 {
                    state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
                    let digits = format!("{:018}", (state >> 4) % 1_000_000_000_000_000_000);
                    let mut text = digits[18 - length..].to_owned();
                    text.insert(point, '.');
                    for written in [text.clone(), format!("-{text}"), text.replace('.', "")] {
                        let own = Group { code: 10, value: Value::Text(written.as_bytes()), line: 1 }.real();
                        let theirs = written.parse::<f64>().ok().filter(|number| number.abs() <= LARGEST);
                        assert_eq!(own.map(f64::to_bits), theirs.map(f64::to_bits), "{written}");
                        let short = short_decimal(written.as_bytes());
                        assert!(short.is_none() || short.map(f64::to_bits) == written.parse().ok().map(f64::to_bits));
                    }
                }
            }
        }
        assert_eq!(short_decimal(b"-12.0625"), Some(-12.0625));
        assert_eq!(
            (short_decimal(b"."), short_decimal(b""), short_decimal(b"1e5"), short_decimal(b"1.2.3")),
            (None, None, None, None)
        );
        assert_eq!(
            (short_whole(b"-70"), short_whole(b"+7"), short_whole(b"1234567890"), short_whole(b"-")),
            (Some(-70), Some(7), None, None)
        );
    }

    #[test]
    fn a_number_is_finite_or_nothing() {
        let real = |text: &'static str| Group { code: 10, value: Value::Text(text.as_bytes()), line: 1 }.real();
        assert_eq!(real(" +4.5"), Some(4.5));
        assert_eq!(real(".5"), Some(0.5));
        assert_eq!(real("2."), Some(2.0));
        assert_eq!(real("1.5D+03"), Some(1500.0));
        assert_eq!(real("-2.5d-1"), Some(-0.25));
        for text in ["", "nan", "inf", "-Infinity", "1e400", "1e13", "12,5", "1.5+03", "D", "1D2D3", "0x10", "1 2"] {
            assert_eq!(real(text), None, "{text}");
        }
        let comma = |text: &'static str| Group { code: 10, value: Value::CommaText(text.as_bytes()), line: 1 }.real();
        assert_eq!((comma(" 12,5"), comma("7"), comma("1,2,3"), comma("1.234,5")), (Some(12.5), Some(7.0), None, None));
        assert!(writes_commas(b"0\nLINE\n10\n1,5\n20\n3\n1\na,b\n"));
        assert!(!writes_commas(b"0\nLINE\n10\n1,5\n20\n3.0\n") && !writes_commas(b"0\nLINE\n10\n1\n1\na,b\n"));
        let whole = |text: &'static str| Group { code: 70, value: Value::Text(text.as_bytes()), line: 1 }.whole();
        assert_eq!((whole("  -7"), whole("1.0"), whole("1.5"), whole("x")), (Some(-7), Some(1), None, None));
    }
}
