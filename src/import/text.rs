//! Bytes of a text become plain characters.

/// How a file writes its characters.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
enum Page {
    /// UTF-8, from R2007.
    #[default]
    Utf8,
    /// Windows-1252, Western European.
    Western,
}

/// Decodes names and texts.
#[derive(Debug, Clone, Default)]
pub(super) struct Decoder {
    page: Page,
    /// What was decided, in words.
    pub words: String,
    /// The code page the file names, where this program has no table for it and the file needs one.
    pub unknown: Option<String>,
}

impl Decoder {
    /// Decides by version, the header's code page and the bytes themselves.
    ///
    /// Files before R2007 that are valid UTF-8 with characters beyond ASCII were written by programs that ignore the rule; no
    /// Western text is valid UTF-8 by chance.
    pub fn new(version: Option<&str>, code_page: Option<&str>, bytes: &[u8]) -> Self {
        let modern = version.is_some_and(|version| version >= "AC1021");
        let named = code_page.unwrap_or("ANSI_1252").to_ascii_uppercase();
        if modern || std::str::from_utf8(bytes).is_ok() {
            let words = if modern || !bytes.is_ascii() { "UTF-8".to_owned() } else { named };
            return Self { page: Page::Utf8, words, unknown: None };
        }
        let unknown = (named != "ANSI_1252").then(|| named.clone());
        let words = if unknown.is_some() { format!("ANSI_1252 in place of {named}") } else { named };
        Self { page: Page::Western, words, unknown }
    }

    /// A name: code page and `\U+` only.
    pub fn plain(&self, bytes: &[u8]) -> String {
        let text = match self.page {
            Page::Utf8 => String::from_utf8_lossy(bytes).into_owned(),
            Page::Western => bytes.iter().map(|&byte| western(byte)).collect(),
        };
        if text.contains("\\U+") { unescape(&text) } else { text }
    }

    /// A TEXT or ATTRIB: `%%` codes too.
    pub fn line(&self, pieces: &[&[u8]]) -> String {
        percent_codes(&self.plain(&pieces.concat()))
    }

    /// An MTEXT: formatting taken off, one entry a line.
    pub fn lines(&self, pieces: &[&[u8]]) -> Vec<String> {
        let stripped = strip_formatting(&self.plain(&pieces.concat()));
        stripped.split('\n').map(percent_codes).collect()
    }
}

/// Windows-1252 as tabulated by Unicode's CP1252.TXT; its five holes map to the control characters of the same number.
fn western(byte: u8) -> char {
    const UPPER: [char; 32] = [
        '€', '\u{81}', '‚', 'ƒ', '„', '…', '†', '‡', 'ˆ', '‰', 'Š', '‹', 'Œ', '\u{8d}', 'Ž', '\u{8f}', '\u{90}', '‘',
        '’', '“', '”', '•', '–', '—', '˜', '™', 'š', '›', 'œ', '\u{9d}', 'ž', 'Ÿ',
    ];
    match byte {
        0x80..=0x9F => UPPER[usize::from(byte - 0x80)],
        _ => char::from(byte),
    }
}

/// `\U+00B0` becomes the character; anything else stays as it is.
fn unescape(text: &str) -> String {
    let mut parts = text.split("\\U+");
    let mut out = parts.next().unwrap_or_default().to_owned();
    for part in parts {
        let decoded = part.get(..4).and_then(|digits| u32::from_str_radix(digits, 16).ok()).and_then(char::from_u32);
        match decoded {
            Some(character) => {
                out.push(character);
                out.push_str(&part[4..]);
            }
            None => {
                out.push_str("\\U+");
                out.push_str(part);
            }
        }
    }
    out
}

/// `%%d` degrees, `%%p` plus-minus, `%%c` diameter, `%%%` percent, `%%nnn` a character by number; `%%u`, `%%o`, `%%k` switch lines on.
fn percent_codes(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find("%%") {
        out.push_str(&rest[..at]);
        let code = &rest[at + 2..];
        let Some(first) = code.chars().next() else {
            out.push_str("%%");
            return out;
        };
        let mut used = first.len_utf8();
        match first.to_ascii_lowercase() {
            'd' => out.push('°'),
            'p' => out.push('±'),
            'c' => out.push('⌀'),
            '%' => out.push('%'),
            'u' | 'o' | 'k' => {}
            '0'..='9' if code.get(..3).is_some_and(|digits| digits.bytes().all(|b| b.is_ascii_digit())) => {
                out.extend(code[..3].parse().ok().map(western));
                used = 3;
            }
            _ => {
                out.push_str("%%");
                used = 0;
            }
        }
        rest = &code[used..];
    }
    out.push_str(rest);
    out
}

/// Takes the formatting of an MTEXT off: fonts, heights, colours and groups vanish, paragraphs become line feeds, stacks become
/// fractions.
fn strip_formatting(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut characters = text.chars().peekable();
    while let Some(character) = characters.next() {
        match character {
            '{' | '}' => {}
            '^' => match characters.next() {
                Some('J') => out.push('\n'),
                Some('I') => out.push(' '),
                Some(' ') => out.push('^'),
                Some('M') | None => {}
                Some(other) => out.extend(['^', other]),
            },
            '\\' => match characters.next() {
                Some('P' | 'N' | 'X') => out.push('\n'),
                Some('~') => out.push(' '),
                Some(plain @ ('\\' | '{' | '}')) => out.push(plain),
                Some('L' | 'l' | 'O' | 'o' | 'K' | 'k') => {}
                Some('S') => {
                    let stack: String = characters.by_ref().take_while(|&c| c != ';').collect();
                    // A fraction right behind its whole number needs a gap to stay a fraction.
                    if out.ends_with(|c: char| c.is_ascii_digit()) {
                        out.push(' ');
                    }
                    out.push_str(&stack.replace(['#', '^'], "/"));
                }
                Some('f' | 'F' | 'H' | 'W' | 'Q' | 'T' | 'A' | 'C' | 'c' | 'p') => {
                    characters.by_ref().take_while(|&c| c != ';').for_each(drop);
                }
                Some(other) => out.extend(['\\', other]),
                None => {}
            },
            _ => out.push(character),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn code_pages() {
        let western = Decoder::new(Some("AC1015"), Some("ANSI_1252"), b"26\xB0");
        assert_eq!(western.plain(b"26\xB0 \x80"), "26° €");
        let modern = Decoder::new(Some("AC1032"), Some("ANSI_1252"), b"x");
        assert_eq!(modern.plain("26°".as_bytes()), "26°");
        let careless = Decoder::new(Some("AC1015"), Some("ANSI_1252"), "°".as_bytes());
        assert_eq!(careless.plain("26°".as_bytes()), "26°");
        assert_eq!(Decoder::new(None, Some("ANSI_932"), b"\x83\x89").unknown.as_deref(), Some("ANSI_932"));
    }

    #[test]
    fn codes_inside_texts() {
        let decoder = Decoder::default();
        assert_eq!(decoder.line(&[b"26.6%%d %%uPITCH%%U 50%%% %%176 \\U+00B1"]), "26.6° PITCH 50% ° ±");
        assert_eq!(decoder.line(&[b"100%"]), "100%");
        assert_eq!(decoder.line(&[b"%%"]), "%%");
        assert_eq!(decoder.line(&[b"%%z\\U+12"]), "%%z\\U+12");
    }

    #[test]
    fn paragraphs_lose_their_formatting() {
        let decoder = Decoder::default();
        let lines =
            decoder.lines(&[b"{\\fArial|b1;\\H2.5;PITCH 6:12}\\P\\A1;", b"5\\S1/2;\" \\\\ \\{ok\\} 30%%d^Jlast"]);
        assert_eq!(lines, ["PITCH 6:12", "5 1/2\" \\ {ok} 30°", "last"]);
        assert_eq!(decoder.lines(&[b"\\S1#2"]), ["1/2"]);
    }
}
