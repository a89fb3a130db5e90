//! Bytes of a text become plain characters.

use super::binary::SENTINEL;
use super::code_page::{CodePage, looks_japanese};

/// Decodes names and texts.
#[derive(Debug, Clone)]
pub(super) struct Decoder {
    /// Whether texts are UTF-8 as far as they can be.
    utf8: bool,
    /// The page of texts that are not.
    page: CodePage,
    /// What was decided, in words.
    pub words: String,
    /// What a person should know about the decision, in words.
    pub doubt: Option<String>,
}

impl Default for Decoder {
    fn default() -> Self {
        Self { utf8: true, page: CodePage::WESTERN, words: "UTF-8".to_owned(), doubt: None }
    }
}

impl Decoder {
    /// Decides by version, the header's code page and the bytes themselves.
    ///
    /// Files before R2007 that are valid UTF-8 with characters beyond ASCII were written by programs that ignore the rule; no
    /// Western text is valid UTF-8 by chance. From R2007 a text that is not UTF-8 is read in the declared page, and said so.
    pub fn new(version: Option<&str>, code_page: Option<&str>, bytes: &[u8]) -> Self {
        let modern = version.is_some_and(|version| version >= "AC1021");
        let binary = bytes.starts_with(SENTINEL);
        let declared = code_page.map(str::to_ascii_uppercase);
        let known = declared.as_deref().and_then(CodePage::named);
        let ascii = bytes.is_ascii();
        let japanese = !binary && !ascii && declared.is_none() && looks_japanese(bytes);
        let page = if japanese { CodePage::JAPANESE } else { known.unwrap_or(CodePage::WESTERN) };
        let named = match (&declared, known, japanese) {
            (_, _, true) => "Shift-JIS, found by its characters".to_owned(),
            (Some(name), Some(_), _) => name.clone(),
            (Some(name), None, _) => format!("ANSI_1252 in place of {name}"),
            (None, ..) => "ANSI_1252".to_owned(),
        };
        let unknown = declared.as_ref().filter(|_| known.is_none());
        if ascii && !modern {
            // Which page makes no difference.
            return Self { utf8: true, page, words: declared.unwrap_or(named), doubt: None };
        }
        let valid = !binary && std::str::from_utf8(bytes).is_ok();
        if modern || valid && !(page.is_wide() && only_pairs(bytes)) {
            let broken = modern && !binary && !valid;
            let doubt = broken
                .then(|| format!("some texts are not UTF-8, as this version's should be; they were read as {named}"));
            let words = if broken { format!("UTF-8, some texts {named}") } else { "UTF-8".to_owned() };
            return Self { utf8: true, page, words, doubt };
        }
        let doubt = match unknown {
            Some(name) => {
                Some(format!("texts are in code page {name}, which is not known here; they were read as ANSI_1252"))
            }
            None if japanese => {
                Some("the drawing declares no code page; its texts were read as Shift-JIS (Japanese)".to_owned())
            }
            None => None,
        };
        Self { utf8: false, page, words: named, doubt }
    }

    /// A name: code page, `\U+` and `\M+` only.
    pub fn plain(&self, bytes: &[u8]) -> String {
        let text = match std::str::from_utf8(bytes) {
            Ok(text) if self.utf8 => text.to_owned(),
            _ => self.page.decode(bytes),
        };
        if text.contains("\\U+") || text.contains("\\M+") { unescape(&text) } else { text }
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

/// Whether all characters beyond ASCII take two bytes of UTF-8: a short text of a two-byte page can be valid UTF-8 by chance, but Asian
/// words in real UTF-8 take three.
fn only_pairs(bytes: &[u8]) -> bool {
    bytes.iter().all(|&byte| byte < 0xE0)
}

/// `\U+00B0` and `\M+1897D` become the character; anything else stays as it is.
fn unescape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(at) = rest.find('\\') {
        out.push_str(&rest[..at]);
        let code = &rest[at..];
        let hexadecimal =
            |range: std::ops::Range<usize>| code.get(range).and_then(|digits| u32::from_str_radix(digits, 16).ok());
        let unicode = || hexadecimal(3..7).and_then(char::from_u32).map(|c| (c.to_string(), 7));
        let wide = || {
            let page = CodePage::of_escape(code[3..].chars().next()?)?;
            let pair = hexadecimal(4..8)?.to_be_bytes();
            Some((page.decode(&pair[2..]), 8))
        };
        let decoded = match code.get(..3) {
            Some("\\U+") => unicode(),
            Some("\\M+") => wide(),
            _ => None,
        };
        let (characters, used) = decoded.unwrap_or(("\\".to_owned(), 1));
        out.push_str(&characters);
        rest = &code[used..];
    }
    out.push_str(rest);
    out
}

/// A character by its number in the Western page.
fn western(byte: u8) -> char {
    CodePage::WESTERN.decode(&[byte]).chars().next().unwrap_or('\u{FFFD}')
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
                // A code without its end mark is cut off or no code; what follows stays.
                Some('f' | 'F' | 'H' | 'W' | 'Q' | 'T' | 'A' | 'C' | 'c' | 'p')
                    if characters.clone().all(|c| c != ';') => {}
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
        let declared = Decoder::new(Some("AC1015"), Some("ansi_932"), b"\x89\xae\x8d\xaa");
        assert_eq!((declared.plain(b"\x89\xae\x8d\xaa"), declared.doubt), ("屋根".to_owned(), None));
        let silent = Decoder::new(Some("AC1009"), None, b"\x89\xae\x8d\xaa");
        assert_eq!(silent.plain(b"\x89\xae\x8d\xaa"), "屋根");
        assert!(silent.doubt.is_some_and(|words| words.contains("Shift-JIS")));
        let unknown = Decoder::new(Some("AC1015"), Some("ANSI_9999"), b"26\xb0");
        assert!(unknown.doubt.is_some_and(|words| words.contains("ANSI_9999")));
        // A text of R2018 in Latin letters that are not UTF-8.
        let broken = Decoder::new(Some("AC1032"), Some("ANSI_1252"), b"26\xb0");
        assert_eq!(broken.plain(b"26\xb0"), "26°");
        assert!(broken.doubt.is_some_and(|words| words.contains("not UTF-8")));
    }

    #[test]
    fn codes_inside_texts() {
        let decoder = Decoder::default();
        assert_eq!(decoder.line(&[b"26.6%%d %%uPITCH%%U 50%%% %%176 \\U+00B1"]), "26.6° PITCH 50% ° ±");
        assert_eq!(decoder.line(&[b"100%"]), "100%");
        assert_eq!(decoder.line(&[b"%%"]), "%%");
        assert_eq!(decoder.line(&[b"%%z\\U+12"]), "%%z\\U+12");
        assert_eq!(decoder.line(&["\\M+1897D \\M+9ABCD \\M+1 \\M+°x".as_bytes()]), "厭 \\M+9ABCD \\M+1 \\M+°x");
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
