//! Where a PDF draws: every corner of a path and every start of a text of each page. What is written here reads qpdf's plain form of the file: the
//! operators of its pages, and the widths its fonts give, since a row of a table is one text with steps between its cells.
//! Source of the operators and of how a text goes on: ISO 32000-1, 8.2, 9.4 and 9.7.4, from memory.

use super::formats::{HALF, Points};
use std::collections::BTreeMap;
use std::path::Path;
use std::process::Command;

/// Numbers, names, operators and strings of hexadecimal digits, `<` before them; arrays come out as what is in them.
fn tokens(stream: &str) -> Vec<&str> {
    let mut found = Vec::new();
    for word in stream.split(|c: char| c.is_ascii_whitespace() || "[]>".contains(c)) {
        assert!(!word.contains('('), "a string of letters, where glyphs have two bytes: {word}");
        // An operator may stand right before a name or a string, and so may a name before a string.
        let mut rest = word;
        while !rest.is_empty() {
            let until = rest[1..].find(['<', '/']).map_or(rest.len(), |i| i + 1);
            found.push(&rest[..until]);
            rest = &rest[until..];
        }
    }
    found
}

type Matrix = [f64; 6];

const LEVEL: Matrix = [1.0, 0.0, 0.0, 1.0, 0.0, 0.0];

fn times(a: Matrix, b: Matrix) -> Matrix {
    [
        a[0] * b[0] + a[1] * b[2],
        a[0] * b[1] + a[1] * b[3],
        a[2] * b[0] + a[3] * b[2],
        a[2] * b[1] + a[3] * b[3],
        a[4] * b[0] + a[5] * b[2] + b[4],
        a[4] * b[1] + a[5] * b[3] + b[5],
    ]
}

/// A PDF in plain form.
struct Plain(String);

impl Plain {
    /// What stands between two words, behind `from`.
    fn between(&self, from: usize, start: &str, end: &str) -> Option<(usize, &str)> {
        let at = from + self.0[from..].find(start)? + start.len();
        let length = self.0[at..].find(end)?;
        Some((at, &self.0[at..at + length]))
    }

    fn object(&self, number: &str) -> &str {
        self.between(0, &format!("\n{number} 0 obj\n"), "\nendobj").unwrap_or_else(|| panic!("no object {number}")).1
    }

    /// Widths of the glyphs of a font, thousandths of its size.
    fn widths(&self, font: &str) -> BTreeMap<u32, f64> {
        let words = |text: &str| text.split_ascii_whitespace().map(str::to_owned).collect::<Vec<_>>();
        let font = words(self.object(font));
        let at = font.iter().position(|word| word == "/DescendantFonts").unwrap();
        let of_glyphs = words(self.object(&font[at + 2]));
        let at = of_glyphs.iter().position(|word| word == "/W").unwrap();
        let numbers: Vec<f64> = of_glyphs[at + 2..].iter().map_while(|word| word.parse().ok()).collect();
        // First and last glyph, and the width of all from one to the other.
        let runs = numbers.chunks_exact(3);
        assert!(runs.remainder().is_empty(), "widths one by one: {of_glyphs:?}");
        runs.flat_map(|run| (run[0] as u32..=run[1] as u32).map(|glyph| (glyph, run[2]))).collect()
    }

    /// Fonts of a page by the names its operators call them.
    fn fonts(&self, page: &str) -> BTreeMap<String, BTreeMap<u32, f64>> {
        let resources = page.split("/Resources ").nth(1).and_then(|rest| rest.split(' ').next()).unwrap();
        let Some((_, list)) = self.object(resources).split_once("/Font <<") else { return BTreeMap::new() };
        let words: Vec<&str> = list.split(">>").next().unwrap().split_ascii_whitespace().collect();
        words.chunks_exact(4).map(|font| (font[0].to_owned(), self.widths(font[1]))).collect()
    }
}

/// Every corner of a path and every start of a text of each page, inches from the lower left corner.
pub fn pdf_points(pdf: &[u8], folder: &Path) -> Vec<Points> {
    let (packed, open) = (folder.join("sheets.pdf"), folder.join("open.pdf"));
    std::fs::write(&packed, pdf).unwrap();
    let qpdf = Command::new("qpdf").args(["--qdf", "--object-streams=disable"]).arg(&packed).arg(&open).output();
    assert!(qpdf.expect("qpdf cannot be started").status.success());
    // Programs of fonts are no text; nothing is looked for in them.
    let plain = Plain(String::from_utf8_lossy(&std::fs::read(&open).unwrap()).into_owned());
    let mut pages = Vec::new();
    loop {
        let number = pages.len() + 1;
        let Some((_, page)) = plain.between(0, &format!("%% Page {number}\n"), "\nendobj") else { return pages };
        let (at, _) = plain.between(0, &format!("%% Contents for page {number}\n"), "\n").unwrap();
        let (_, stream) = plain.between(at, "stream\n", "endstream").unwrap();
        pages.push(page_points(stream, &plain.fonts(page)));
    }
}

fn page_points(stream: &str, fonts: &BTreeMap<String, BTreeMap<u32, f64>>) -> Points {
    let mut points = Points::default();
    let (mut matrix, mut kept, mut operands) = (LEVEL, Vec::new(), Vec::new());
    let mut add = |matrix: Matrix, x: f64, y: f64| {
        let at = times([1.0, 0.0, 0.0, 1.0, x, y], matrix);
        points.add("page", at[4] / 72.0, at[5] / 72.0, HALF);
    };
    // How far the text at hand has come from where its line starts, in units of its own matrix.
    let (mut line, mut along, mut size, mut font) = (LEVEL, 0.0, 0.0, None);
    let mut shown: Vec<&str> = Vec::new();
    for token in tokens(stream) {
        if token.starts_with(['/', '<']) || token.parse::<f64>().is_ok() {
            shown.push(token);
            operands.extend(token.parse::<f64>());
            continue;
        }
        let last = |count: usize| -> Vec<f64> { operands[operands.len().saturating_sub(count)..].to_vec() };
        match token {
            "q" => kept.push(matrix),
            "Q" => matrix = kept.pop().unwrap_or(LEVEL),
            "cm" => matrix = times(last(6).try_into().unwrap(), matrix),
            "Tf" => (font, size) = (fonts.get(shown[0]), last(1)[0]),
            "Tm" => (line, along) = (last(6).try_into().unwrap(), 0.0),
            "TJ" | "Tj" => {
                add(times(line, matrix), along, 0.0);
                for part in &shown {
                    if let Ok(back) = part.parse::<f64>() {
                        along -= back / 1000.0 * size;
                        add(times(line, matrix), along, 0.0);
                        continue;
                    }
                    for glyph in part.as_bytes()[1..].chunks(4) {
                        let glyph = u32::from_str_radix(str::from_utf8(glyph).unwrap(), 16).unwrap();
                        along += font.unwrap()[&glyph] / 1000.0 * size;
                    }
                }
            }
            "m" | "l" => {
                let at = last(2);
                add(matrix, at[0], at[1]);
            }
            _ => {}
        }
        operands.clear();
        shown.clear();
    }
    points
}
