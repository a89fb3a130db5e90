//! How wide a line of text is in the drawing font (`ttf-parser`), so that placing needs no window system.
//!
//! Heights are heights of capitals, as drafting standards give them; a font size follows from the font's own cap height.
//! Widths are sums of advances without kerning: the writers fix the printed width to the measured one.

use super::model::FontWeight;
use std::sync::OnceLock;
use ttf_parser::{Face, GlyphId};

/// Barlow Semi Condensed, by its project's authors under the Open Font License (`font/OFL.txt`).
const REGULAR: &[u8] = include_bytes!("font/BarlowSemiCondensed-Regular.ttf");
const BOLD: &[u8] = include_bytes!("font/BarlowSemiCondensed-SemiBold.ttf");

/// The family name, as written into SVG and DXF text styles.
pub const FONT_FAMILY: &str = "Barlow Semi Condensed";

/// The font file of a face, for embedding.
#[must_use]
pub fn font_bytes(weight: FontWeight) -> &'static [u8] {
    match weight {
        FontWeight::Regular => REGULAR,
        FontWeight::Bold => BOLD,
    }
}

/// Characters looked up in a table: all of Latin-1, which is nearly everything a set prints.
const TABLED: usize = 256;

/// A face with the measures that every text needs, read once.
struct Measured {
    face: Face<'static>,
    /// Font units of an em.
    em: f64,
    /// Font units of a capital's height.
    capitals: f64,
    /// Font units the letter g reaches below the baseline.
    descent: f64,
    /// Glyph, if there is one, and advance in font units of the first [`TABLED`] characters.
    tabled: Vec<(Option<GlyphId>, u16)>,
}

impl Measured {
    fn new(bytes: &'static [u8]) -> Self {
        let face = Face::parse(bytes, 0).expect("the fonts compiled in are valid");
        let em = f64::from(face.units_per_em());
        // Every font of the last twenty years states its cap height; 0.7 em is the usual one.
        let capitals = face.capital_height().map_or(0.7 * em, f64::from);
        let below = face.glyph_index('g').and_then(|glyph| face.glyph_bounding_box(glyph));
        let descent = below.map_or(0.2 * em, |bounds| -f64::from(bounds.y_min));
        let tabled = (0..TABLED).map(|c| look_up(&face, char::from(c as u8))).collect();
        Self { face, em, capitals, descent, tabled }
    }

    /// Glyph and advance of a character; the advance of one without a glyph is that of the font's box.
    fn character(&self, c: char) -> (Option<GlyphId>, u16) {
        self.tabled.get(c as usize).copied().unwrap_or_else(|| look_up(&self.face, c))
    }
}

fn look_up(face: &Face, c: char) -> (Option<GlyphId>, u16) {
    let glyph = face.glyph_index(c);
    (glyph, face.glyph_hor_advance(glyph.unwrap_or_default()).unwrap_or(0))
}

fn measured(weight: FontWeight) -> &'static Measured {
    static FACES: OnceLock<[Measured; 2]> = OnceLock::new();
    let faces = FACES.get_or_init(|| [REGULAR, BOLD].map(Measured::new));
    match weight {
        FontWeight::Regular => &faces[0],
        FontWeight::Bold => &faces[1],
    }
}

/// Font size (em) in inches for capitals of `cap_height` inches.
#[must_use]
pub fn font_size(cap_height: f64, weight: FontWeight) -> f64 {
    let font = measured(weight);
    cap_height * font.em / font.capitals
}

/// How far letters like `g` reach below the baseline, inches, for capitals of `cap_height` inches.
#[must_use]
pub fn descent(cap_height: f64, weight: FontWeight) -> f64 {
    let font = measured(weight);
    font_size(cap_height, weight) * font.descent / font.em
}

/// Width in inches of `content` with capitals of `cap_height` inches. Characters without a glyph count as the font's box.
#[must_use]
pub fn text_width(content: &str, cap_height: f64, weight: FontWeight) -> f64 {
    let font = measured(weight);
    let units: f64 = content.chars().map(|c| f64::from(font.character(c).1)).sum();
    font_size(cap_height, weight) * units / font.em
}

/// One character of a line of text as the font draws it.
#[derive(Debug, Clone, PartialEq)]
pub struct Glyph {
    /// Its number in the font file; 0 is the font's box.
    pub number: u16,
    /// How far the next character is moved on, in ems.
    pub advance: f64,
    /// The bytes of the text it shows.
    pub bytes: std::ops::Range<usize>,
}

/// The glyphs of a line of text, one a character, without kerning: exactly as wide as [`text_width`] says.
#[must_use]
pub fn glyphs(content: &str, weight: FontWeight) -> Vec<Glyph> {
    let font = measured(weight);
    content
        .char_indices()
        .map(|(at, c)| {
            let (glyph, advance) = font.character(c);
            let number = glyph.unwrap_or_default().0;
            Glyph { number, advance: f64::from(advance) / font.em, bytes: at..at + c.len_utf8() }
        })
        .collect()
}

/// Whether both faces can print the character.
#[must_use]
pub fn can_print(c: char) -> bool {
    [FontWeight::Regular, FontWeight::Bold].iter().all(|&w| measured(w).character(c).0.is_some())
}

/// The text with characters the font lacks replaced by `?`, and whether any was.
#[must_use]
pub fn printable(content: &str) -> (String, bool) {
    let text: String = content.chars().map(|c| if can_print(c) { c } else { '?' }).collect();
    let lacking = text != content;
    (text, lacking)
}

/// Breaks `content` at spaces into lines no wider than `width` inches. A single longer word stands alone on its line.
#[must_use]
pub fn wrap(content: &str, width: f64, cap_height: f64, weight: FontWeight) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    let mut line_width = 0.0;
    let space = text_width(" ", cap_height, weight);
    for word in content.split_whitespace() {
        let word_width = text_width(word, cap_height, weight);
        match lines.last_mut() {
            Some(line) if line_width + space + word_width <= width => {
                line.push(' ');
                line.push_str(word);
                line_width += space + word_width;
            }
            _ => {
                lines.push(word.to_owned());
                line_width = word_width;
            }
        }
    }
    lines
}

/// The longest start of `content` that fits `width` with an ellipsis where it was shortened.
#[must_use]
pub fn shorten(content: &str, width: f64, cap_height: f64, weight: FontWeight) -> String {
    if text_width(content, cap_height, weight) <= width {
        return content.to_owned();
    }
    let mut kept: String = content.to_owned();
    while kept.pop().is_some() {
        let shown = format!("{}...", kept.trim_end());
        if text_width(&shown, cap_height, weight) <= width {
            return shown;
        }
    }
    String::new()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Both faces: 1000 units an em, capitals 700, which the drawn letter H confirms.
    #[test]
    fn capitals_have_the_height_asked_for() {
        for weight in [FontWeight::Regular, FontWeight::Bold] {
            assert_eq!((measured(weight).capitals, measured(weight).em), (700.0, 1000.0));
            assert!((font_size(0.07, weight) - 0.1).abs() < 1e-12);
        }
        let face = &measured(FontWeight::Regular).face;
        let bounds = face.glyph_bounding_box(face.glyph_index('H').unwrap()).unwrap();
        assert_eq!((bounds.y_min, bounds.y_max), (0, 700));
    }

    #[test]
    fn widths_add_up_and_scale() {
        let one = text_width("H", 0.1, FontWeight::Regular);
        assert!((text_width("HH", 0.2, FontWeight::Regular) - 4.0 * one).abs() < 1e-12);
        assert_eq!(text_width("", 1.0, FontWeight::Bold), 0.0);
    }

    #[test]
    fn glyphs_are_as_wide_as_the_text() {
        let shown = glyphs("AV 6°", FontWeight::Bold);
        assert_eq!(shown.last().map(|g| g.bytes.clone()), Some(4..6));
        let width: f64 = shown.iter().map(|g| g.advance * font_size(0.1, FontWeight::Bold)).sum();
        assert!((width - text_width("AV 6°", 0.1, FontWeight::Bold)).abs() < 1e-12);
    }

    #[test]
    fn every_character_we_print_has_a_glyph() {
        let ours = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789 .,:;-+'\"/()[]#%&=<>?!*_°±²×Ø≤≥";
        let lacking: Vec<char> = ours.chars().filter(|&c| !can_print(c)).collect();
        assert!(lacking.is_empty(), "{lacking:?}");
        assert_eq!(printable("屋A"), ("?A".to_owned(), true));
    }

    #[test]
    fn lines_break_at_spaces_and_never_pass_the_width() {
        let lines = wrap("keep nails out of the heated band", 1.0, 0.1, FontWeight::Regular);
        assert!(lines.len() > 1);
        assert!(lines.iter().all(|l| text_width(l, 0.1, FontWeight::Regular) <= 1.0));
        assert_eq!(lines.join(" "), "keep nails out of the heated band");
        let short = shorten("a very long title indeed", 0.8, 0.1, FontWeight::Regular);
        assert!(short.ends_with("...") && text_width(&short, 0.1, FontWeight::Regular) <= 0.8);
    }
}
