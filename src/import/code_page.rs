//! Bytes become characters by the code page a file declares, or the one its bytes show.
//!
//! # Source
//! Windows and Asian pages: the tables of the WHATWG Encoding Standard. DOS pages 437 and 850: Unicode's CP437.TXT and CP850.TXT.

use encoding_rs::{
    BIG5, EUC_KR, Encoding, GBK, IBM866, SHIFT_JIS, WINDOWS_874, WINDOWS_1250, WINDOWS_1251, WINDOWS_1252,
    WINDOWS_1253, WINDOWS_1254, WINDOWS_1255, WINDOWS_1256, WINDOWS_1257, WINDOWS_1258,
};

/// Characters 128 to 255 of the DOS pages.
const DOS_437: &str = "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜ¢£¥₧ƒáíóúñÑªº¿⌐¬½¼¡«»░▒▓│┤╡╢╖╕╣║╗╝╜╛┐└┴┬├─┼╞╟╚╔╩╦╠═╬╧╨╤╥╙╘╒╓╫╪┘┌█▄▌▐▀αßΓπΣσµτΦΘΩδ∞φε∩≡±≥≤⌠⌡÷≈°∙·√ⁿ²■\u{a0}";
const DOS_850: &str = "ÇüéâäàåçêëèïîìÄÅÉæÆôöòûùÿÖÜø£Ø×ƒáíóúñÑªº¿®¬½¼¡«»░▒▓│┤ÁÂÀ©╣║╗╝¢¥┐└┴┬├─┼ãÃ╚╔╩╦╠═╬¤ðÐÊËÈıÍÎÏ┘┌█▄¦Ì▀ÓßÔÒõÕµþÞÚÛÙýÝ¯´\u{ad}±‗¾¶§÷¸°¨·¹³²■\u{a0}";

/// A table of characters.
#[derive(Debug, Clone, Copy)]
pub(super) enum CodePage {
    /// One of the standard's.
    Standard(&'static Encoding),
    /// A DOS page: the characters from 128.
    Dos(&'static str),
}

impl CodePage {
    /// Western European, what a file is in that says nothing.
    pub const WESTERN: Self = Self::Standard(WINDOWS_1252);
    /// Japanese.
    pub const JAPANESE: Self = Self::Standard(SHIFT_JIS);

    /// The page of a `$DWGCODEPAGE` in capitals; none for a name this program has no table for.
    pub fn named(name: &str) -> Option<Self> {
        let number: String = name.chars().filter(char::is_ascii_digit).collect();
        let standard = match number.as_str() {
            "874" => WINDOWS_874,
            "932" => SHIFT_JIS,
            "936" => GBK,
            "949" => EUC_KR,
            "950" => BIG5,
            "1250" => WINDOWS_1250,
            "1251" => WINDOWS_1251,
            "1252" => WINDOWS_1252,
            "1253" => WINDOWS_1253,
            "1254" => WINDOWS_1254,
            "1255" => WINDOWS_1255,
            "1256" => WINDOWS_1256,
            "1257" => WINDOWS_1257,
            "1258" => WINDOWS_1258,
            "866" => IBM866,
            "437" => return Some(Self::Dos(DOS_437)),
            "850" => return Some(Self::Dos(DOS_850)),
            _ => return None,
        };
        Some(Self::Standard(standard))
    }

    /// The page that `\\M+n` means, by its digit n.
    pub fn of_escape(digit: char) -> Option<Self> {
        match digit {
            '1' => Some(Self::Standard(SHIFT_JIS)),
            '2' => Some(Self::Standard(BIG5)),
            '3' => Some(Self::Standard(EUC_KR)),
            '5' => Some(Self::Standard(GBK)),
            _ => None,
        }
    }

    /// Whether two bytes can be one character.
    pub fn is_wide(self) -> bool {
        matches!(self, Self::Standard(page) if !page.is_single_byte())
    }

    /// The characters; bytes the page has none for become U+FFFD.
    pub fn decode(self, bytes: &[u8]) -> String {
        match self {
            Self::Standard(page) => page.decode_without_bom_handling(bytes).0.into_owned(),
            Self::Dos(upper) => {
                let upper = |byte: u8| upper.chars().nth(usize::from(byte) - 128).unwrap_or('\u{FFFD}');
                bytes.iter().map(|&byte| if byte < 128 { char::from(byte) } else { upper(byte) }).collect()
            }
        }
    }
}

/// Whether text in no declared page is Japanese: every line of it decodes as Shift-JIS, and most of its bytes beyond ASCII are pairs that
/// are kana or kanji.
///
/// Both bytes of a pair must be beyond ASCII, so a Western or DOS word with single accented letters is never taken for Japanese.
pub(super) fn looks_japanese(bytes: &[u8]) -> bool {
    let (mut beyond, mut paired) = (0_usize, 0_usize);
    for line in bytes.split(|&byte| byte == b'\n').filter(|line| !line.is_ascii()) {
        let (text, damaged) = SHIFT_JIS.decode_without_bom_handling(line);
        if damaged {
            return false;
        }
        beyond += line.iter().filter(|&&byte| byte >= 128).count();
        let pairs = line.windows(2).filter(|pair| pair[0] >= 128 && pair[1] >= 128).count();
        let japanese = text.chars().filter(|c| matches!(c, '\u{3040}'..='\u{30FF}' | '\u{4E00}'..='\u{9FFF}')).count();
        paired += 2 * japanese.min(pairs);
    }
    beyond > 0 && paired * 10 >= beyond * 6
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The words for roof in seven languages, their bytes by the published tables.
    #[test]
    fn roofs_of_the_world() {
        for (page, bytes, word) in [
            ("ANSI_932", &b"\x89\xae\x8d\xaa"[..], "屋根"),
            ("ANSI_936", b"\xce\xdd\xb6\xa5", "屋顶"),
            ("ANSI_949", b"\xc1\xf6\xba\xd8", "지붕"),
            ("ANSI_950", b"\xab\xce\xb3\xbb", "屋頂"),
            ("ANSI_1251", b"\xea\xf0\xfb\xf8\xe0", "крыша"),
            ("ANSI_1250", b"st\xf8echa", "střecha"),
            ("ANSI_1253", b"\xf3\xf4\xdd\xe3\xe7", "στέγη"),
            ("DOS850", b"26\xf8", "26°"),
            ("dos437", b"26\xf8", "26°"),
        ] {
            assert_eq!(CodePage::named(&page.to_uppercase()).unwrap().decode(bytes), word, "{page}");
        }
        assert!(CodePage::named("ANSI_9999").is_none());
    }

    #[test]
    fn japanese_is_told_from_western() {
        assert!(looks_japanese(b"8\n\x89\xae\x8d\xaa\n"));
        for western in [&b"26\xb0\n"[..], b"Dachfl\xe4che\nT\xfcr\n", b"Dachfl\x84che\n", b"plain\n"] {
            assert!(!looks_japanese(western), "{western:?}");
        }
    }
}
