//! Group codes and handles: the two things every part of a DXF file is made of.

use crate::geometry::Point2;
use crate::write::digits::push_whole;
use std::fmt::Write as _;

/// Decimals of a real number: a hundred-millionth of a drawing unit, below what any reader keeps apart on a site.
const DECIMALS: usize = 8;
/// Such parts in one.
const PARTS: f64 = 1e8;
/// Whole numbers up to here are exact in a real: 2^53.
const EXACT: f64 = 9_007_199_254_740_992.0;

/// The number of an entity, table entry or object; unique in the file.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Handle(u64);

impl Handle {
    /// Points at nothing; the owner of what has none.
    pub(super) const NONE: Self = Self(0);
}

impl std::fmt::Display for Handle {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "{:X}", self.0)
    }
}

/// Hands out handles in order.
#[derive(Debug)]
pub(super) struct Handles {
    next: u64,
}

impl Handles {
    /// None handed out yet.
    pub(super) fn new() -> Self {
        Self { next: 1 }
    }

    /// A new handle.
    pub(super) fn take(&mut self) -> Handle {
        self.next += 1;
        Handle(self.next - 1)
    }

    /// The first handle nobody has.
    pub(super) fn seed(&self) -> Handle {
        Handle(self.next)
    }
}

/// A stretch of a DXF file.
#[derive(Debug, Default, Clone)]
pub(super) struct Tags {
    text: String,
}

impl Tags {
    /// A word of the format or a name of a table entry; characters outside ASCII are written as `\U+XXXX`.
    pub(super) fn name(&mut self, code: u16, value: &str) -> &mut Self {
        self.line(code, |out| push_ascii(out, value))
    }

    /// Text that is drawn: what text entities would read as codes (`%%d`, `^J`) is written so that it stays as it is, and the
    /// three signs that have such a code use it, because every reader knows those.
    pub(super) fn words(&mut self, code: u16, value: &str) -> &mut Self {
        let mut coded = String::with_capacity(value.len());
        let mut rest = value;
        while let Some(c) = rest.chars().next() {
            if let Some(after) = rest.strip_prefix("%%") {
                coded.push_str("%%%%%%");
                rest = after;
                continue;
            }
            match c {
                '°' => coded.push_str("%%d"),
                '±' => coded.push_str("%%p"),
                'Ø' => coded.push_str("%%c"),
                '^' => coded.push_str("^ "),
                other => coded.push(other),
            }
            rest = &rest[c.len_utf8()..];
        }
        self.line(code, |out| push_ascii(out, &coded))
    }

    /// A whole number.
    pub(super) fn int(&mut self, code: u16, value: i64) -> &mut Self {
        self.line(code, |out| {
            let _ = write!(out, "{value}");
        })
    }

    /// A real number with a fixed number of decimals at most, and at least one.
    pub(super) fn real(&mut self, code: u16, value: f64) -> &mut Self {
        self.line(code, |out| push_real(out, value))
    }

    /// A handle, as its own or as a pointer.
    pub(super) fn handle(&mut self, code: u16, value: Handle) -> &mut Self {
        self.line(code, |out| {
            let _ = write!(out, "{value}");
        })
    }

    /// A point or direction of the plane: `code` for x, `code + 10` for y.
    pub(super) fn flat(&mut self, code: u16, x: f64, y: f64) -> &mut Self {
        self.real(code, x).real(code + 10, y)
    }

    /// A point or direction in space: `code`, `code + 10`, `code + 20`.
    pub(super) fn spatial(&mut self, code: u16, x: f64, y: f64, z: f64) -> &mut Self {
        self.real(code, x).real(code + 10, y).real(code + 20, z)
    }

    /// A point of the drawing plane as a point in space.
    pub(super) fn point(&mut self, code: u16, p: Point2) -> &mut Self {
        self.spatial(code, p.x, p.y, 0.0)
    }

    /// The same without its height: readers take 0 where an entity gives none, and it would be written ten thousand times.
    pub(super) fn on_ground(&mut self, code: u16, p: Point2) -> &mut Self {
        self.flat(code, p.x, p.y)
    }

    /// `other` after this.
    pub(super) fn append(&mut self, other: &Self) -> &mut Self {
        self.text.push_str(&other.text);
        self
    }

    /// The file's bytes, all ASCII.
    pub(super) fn into_bytes(self) -> Vec<u8> {
        self.text.into_bytes()
    }

    fn line(&mut self, code: u16, value: impl FnOnce(&mut String)) -> &mut Self {
        push_whole(&mut self.text, u64::from(code), 1);
        self.text.push('\n');
        value(&mut self.text);
        self.text.push('\n');
        self
    }
}

/// Fixed decimals without idle zeros, `.0` kept so that a reader sees a real, and no negative zero.
fn push_real(out: &mut String, value: f64) {
    let scaled = value * PARTS;
    if scaled.abs() >= EXACT {
        // Far origins in millimetres: the slow way is right at every size.
        let text = format!("{value:.DECIMALS$}");
        let kept = text.trim_end_matches('0');
        out.push_str(kept);
        out.push_str(if kept.ends_with('.') { "0" } else { "" });
        return;
    }
    let parts = scaled.round() as i64;
    let (whole, mut part, mut places) =
        (parts.unsigned_abs() / PARTS as u64, parts.unsigned_abs() % PARTS as u64, DECIMALS);
    while places > 1 && part % 10 == 0 {
        part /= 10;
        places -= 1;
    }
    if parts < 0 {
        out.push('-');
    }
    push_whole(out, whole, 1);
    out.push('.');
    push_whole(out, part, places);
}

/// ASCII with everything else as `\U+XXXX` (two of them beyond the first 65,536 characters); control characters would break the
/// line and become spaces.
fn push_ascii(out: &mut String, value: &str) {
    if value.bytes().all(|b| b.is_ascii() && !b.is_ascii_control()) {
        out.push_str(value);
        return;
    }
    for c in value.chars() {
        if c.is_ascii_control() {
            out.push(' ');
        } else if c.is_ascii() {
            out.push(c);
        } else {
            for unit in c.encode_utf16(&mut [0; 2]) {
                let _ = write!(out, "\\U+{unit:04X}");
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn reals_have_one_form() {
        for (value, text) in [
            (0.0, "0.0"),
            (-1e-12, "0.0"),
            (2.5, "2.5"),
            (100.0, "100.0"),
            (1.0 / 3.0, "0.33333333"),
            (-7.25, "-7.25"),
            (-0.125, "-0.125"),
            (1.5e9, "1500000000.0"),
            (500_000_000.25, "500000000.25"),
        ] {
            let mut out = String::new();
            push_real(&mut out, value);
            assert_eq!(out, text);
        }
    }

    #[test]
    fn text_keeps_its_meaning() {
        let mut tags = Tags::default();
        tags.words(1, "6° 50% %%d ^J\n屋²").int(70, -3);
        assert_eq!(tags.text, "1\n6%%d 50% %%%%%%d ^ J \\U+5C4B\\U+00B2\n70\n-3\n");
    }

    #[test]
    fn handles_are_hexadecimal_and_rise() {
        let mut handles = Handles::new();
        let last = (0..26).map(|_| handles.take().to_string()).last();
        assert_eq!((last.as_deref(), handles.seed().to_string().as_str()), (Some("1A"), "1B"));
    }
}
