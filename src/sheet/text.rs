//! How wide a line of text is in the drawing font (`ttf-parser`), so that placing needs no window system.
//!
//! Heights are heights of capitals, as drafting standards give them; a font size follows from the font's own cap height.
//! Widths are sums of advances without kerning: the writers fix the printed width to the measured one.

use super::model::FontWeight;
use std::sync::OnceLock;
use ttf_parser::Face;

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

fn face(weight: FontWeight) -> &'static Face<'static> {
    static FACES: OnceLock<[Face<'static>; 2]> = OnceLock::new();
    let faces = FACES
        .get_or_init(|| [REGULAR, BOLD].map(|bytes| Face::parse(bytes, 0).expect("the fonts compiled in are valid")));
    match weight {
        FontWeight::Regular => &faces[0],
        FontWeight::Bold => &faces[1],
    }
}

/// Units of the font for capitals and for one em.
fn capitals_and_em(weight: FontWeight) -> (f64, f64) {
    let face = face(weight);
    let em = f64::from(face.units_per_em());
    // Every font of the last twenty years states its cap height; 0.7 em is the usual one.
    let capitals = face.capital_height().map_or(0.7 * em, f64::from);
    (capitals, em)
}

/// Font size (em) in inches for capitals of `cap_height` inches.
#[must_use]
pub fn font_size(cap_height: f64, weight: FontWeight) -> f64 {
    let (capitals, em) = capitals_and_em(weight);
    cap_height * em / capitals
}

/// How far letters like `g` reach below the baseline, inches, for capitals of `cap_height` inches.
#[must_use]
pub fn descent(cap_height: f64, weight: FontWeight) -> f64 {
    let em = f64::from(face(weight).units_per_em());
    let reach = face(weight)
        .glyph_index('g')
        .and_then(|glyph| face(weight).glyph_bounding_box(glyph))
        .map_or(0.2 * em, |bounds| -f64::from(bounds.y_min));
    font_size(cap_height, weight) * reach / em
}

/// Width in inches of `content` with capitals of `cap_height` inches. Characters without a glyph count as the font's box.
#[must_use]
pub fn text_width(content: &str, cap_height: f64, weight: FontWeight) -> f64 {
    let face = face(weight);
    let units: f64 = content
        .chars()
        .map(|c| {
            let glyph = face.glyph_index(c).unwrap_or_default();
            f64::from(face.glyph_hor_advance(glyph).unwrap_or(0))
        })
        .sum();
    font_size(cap_height, weight) * units / f64::from(face.units_per_em())
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
    let face = face(weight);
    let em = f64::from(face.units_per_em());
    content
        .char_indices()
        .map(|(at, c)| {
            let glyph = face.glyph_index(c).unwrap_or_default();
            let advance = f64::from(face.glyph_hor_advance(glyph).unwrap_or(0)) / em;
            Glyph { number: glyph.0, advance, bytes: at..at + c.len_utf8() }
        })
        .collect()
}

/// Whether both faces can print the character.
#[must_use]
pub fn can_print(c: char) -> bool {
    [FontWeight::Regular, FontWeight::Bold].iter().all(|&w| face(w).glyph_index(c).is_some())
}

/// The text with characters the font lacks replaced by `?`, and whether any was.
#[must_use]
pub fn printable(content: &str) -> (String, bool) {
    let mut lacking = false;
    let text = content
        .chars()
        .map(|c| {
            if can_print(c) {
                c
            } else {
                lacking = true;
                '?'
            }
        })
        .collect();
    (text, lacking)
}

/// Breaks `content` at spaces into lines no wider than `width` inches. A single longer word stands alone on its line.
#[must_use]
pub fn wrap(content: &str, width: f64, cap_height: f64, weight: FontWeight) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in content.split_whitespace() {
        match lines.last_mut() {
            Some(line) if text_width(&format!("{line} {word}"), cap_height, weight) <= width => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
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
            assert_eq!(capitals_and_em(weight), (700.0, 1000.0));
            assert!((font_size(0.07, weight) - 0.1).abs() < 1e-12);
        }
        let h = face(FontWeight::Regular).glyph_index('H').unwrap();
        let bounds = face(FontWeight::Regular).glyph_bounding_box(h).unwrap();
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
