//! What we write as PDF, checked by qpdf and read back by pdftotext.

use std::process::Command;

/// Fails when a program is missing: a check that did not run proves nothing.
#[test]
#[ignore = "needs qpdf and pdftotext"]
fn qpdf_finds_no_fault_and_pdftotext_finds_the_words() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("sheets.pdf");
    std::fs::write(&path, eavesdraft::write::sheets_pdf(&crate::fixtures::set()).unwrap()).unwrap();
    let check = Command::new("qpdf").arg("--check").arg(&path).output().expect("qpdf cannot be started");
    assert!(check.status.success(), "{}", String::from_utf8_lossy(&check.stderr));
    let read = Command::new("pdftotext").arg(&path).arg("-").output().expect("pdftotext cannot be started");
    let words = String::from_utf8_lossy(&read.stdout);
    for text in ["E1 6:12 26.6° 50%", "40'-0\"", "J1", "E-101 PLAN", "E-401 FACE F1"] {
        assert!(words.contains(text), "{text}: {words}");
    }
}

/// The files that are kept for looking at, as they are: one set of each sample.
#[test]
#[ignore = "needs qpdf"]
fn qpdf_finds_no_fault_in_any_sample() {
    let kept = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("output");
    let mut checked = 0;
    for sample in crate::formats::SAMPLES {
        let files = std::fs::read_dir(kept.join(sample)).unwrap().map(|file| file.unwrap().path());
        for path in files.filter(|path| path.extension().is_some_and(|e| e == "pdf")) {
            let words = said("qpdf", &["--check"], &path);
            assert!(words.contains("No syntax or stream encoding errors found"), "{}: {words}", path.display());
            checked += 1;
        }
    }
    assert_eq!(checked, crate::formats::SAMPLES.len());
}

/// What a program says of a file.
fn said(program: &str, arguments: &[&str], file: &std::path::Path) -> String {
    let output = Command::new(program).args(arguments).arg(file).output();
    let output = output.unwrap_or_else(|e| panic!("{program} cannot be started: {e}"));
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// Fonts embedded, pages exact, each segment's tag found.
#[test]
#[ignore = "needs poppler-utils"]
fn samples_have_exact_pages_embedded_fonts_and_every_tag() {
    let folder = tempfile::tempdir().unwrap();
    for sample in crate::formats::SAMPLES {
        let project = crate::formats::project(sample);
        let set = eavesdraft::sheet::sheets(&project).value;
        let path = folder.path().join("sheets.pdf");
        std::fs::write(&path, eavesdraft::write::sheets_pdf(&set).unwrap()).unwrap();
        let last = set.sheets.len().to_string();
        let info = said("pdfinfo", &["-f", "1", "-l", &last], &path);
        let sizes: Vec<[f64; 2]> = info
            .lines()
            .filter(|line| line.starts_with("Page ") && line.contains(" size:"))
            .map(|line| {
                let words: Vec<&str> = line.split(':').nth(1).unwrap().split_whitespace().collect();
                [words[0].parse().unwrap(), words[2].parse().unwrap()]
            })
            .collect();
        assert_eq!(sizes.len(), set.sheets.len(), "{info}");
        for (size, sheet) in sizes.iter().zip(&set.sheets) {
            let exact = (size[0] - 72.0 * sheet.size.x).abs() < 0.01 && (size[1] - 72.0 * sheet.size.y).abs() < 0.01;
            assert!(exact, "{sample} {}: {size:?} points", sheet.number);
        }
        let fonts = said("pdffonts", &[], &path);
        let listed: Vec<&str> = fonts.lines().skip(2).collect();
        assert!(!listed.is_empty());
        for font in listed {
            // Columns from the right: object, generation, uni, sub, emb.
            let words: Vec<&str> = font.split_whitespace().rev().collect();
            assert_eq!(words[2..5], ["yes", "yes", "yes"], "{sample}: {font}");
            assert!(font.contains("BarlowSemiCondensed"), "{font}");
        }
        let output = Command::new("pdftotext").arg(&path).arg("-").output().expect("pdftotext cannot be started");
        let words = String::from_utf8_lossy(&output.stdout).into_owned();
        let found: std::collections::BTreeSet<&str> = words.split_whitespace().collect();
        for segment in &project.courses.segments {
            assert!(found.contains(segment.tag.as_str()), "{sample}: {} is not in the PDF", segment.tag);
        }
    }
}

/// A word on a page as `pdftotext -bbox` lists it: its letters, and its box in points from the top left corner.
fn boxed_words(path: &std::path::Path, page: usize) -> Vec<(String, [f64; 4])> {
    let page = page.to_string();
    let output = Command::new("pdftotext").args(["-bbox", "-f", &page, "-l", &page]).arg(path).arg("-").output();
    let listed = String::from_utf8(output.expect("pdftotext cannot be started").stdout).unwrap();
    let value = |line: &str, name: &str| -> f64 {
        let rest = line.split(&format!("{name}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let word = |line: &str| {
        let text = line.split('>').nth(1).unwrap().split('<').next().unwrap().to_owned();
        (text, ["xMin", "yMin", "xMax", "yMax"].map(|name| value(line, name)))
    };
    listed.lines().filter(|line| line.contains("<word ")).map(word).collect()
}

/// A text of one word, level, is found where the sheet has it and as wide: to 1/200 in, on every sheet of every sample. Cells of a row are written
/// in one piece, and each must still stand in its column.
#[test]
#[ignore = "needs poppler-utils"]
fn words_stand_where_the_sheets_have_them() {
    use eavesdraft::sheet::{MarkKind, flatten};
    let folder = tempfile::tempdir().unwrap();
    let mut compared = 0;
    for sample in crate::formats::SAMPLES {
        let set = eavesdraft::sheet::sheets(&crate::formats::project(sample)).value;
        let path = folder.path().join("sheets.pdf");
        std::fs::write(&path, eavesdraft::write::sheets_pdf(&set).unwrap()).unwrap();
        for (page, sheet) in set.sheets.iter().enumerate() {
            let words = boxed_words(&path, page + 1);
            for mark in flatten(&set, sheet).iter().filter(|mark| set.layers[mark.layer.0].plots) {
                let MarkKind::Text { at, turn, width, content, .. } = &mark.kind else { continue };
                let plain = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '.';
                if turn.x < 1.0 || content.is_empty() || !content.chars().all(plain) {
                    continue;
                }
                let [left, right, base] = [at.x, at.x + width, sheet.size.y - at.y].map(|inches| 72.0 * inches);
                let here = |(text, [x0, y0, x1, y1]): &(String, [f64; 4])| {
                    text == content && (x0 - left).abs() < 0.36 && (x1 - right).abs() < 0.36 && *y0 < base && base < *y1
                };
                assert!(words.iter().any(here), "{sample} {}: {} '{content}' at {left} {base}", sheet.number, mark.id);
                compared += 1;
            }
        }
    }
    println!("{compared} words");
    assert!(compared > 5000, "only {compared}");
}

/// Dots in an inch at which the scale bar is measured.
const DOTS: f64 = 1200.0;

/// The bar of every view, printed at 1200 dots an inch and measured from its first dark dot to its last: as long as its label says
/// at the view's scale, to 0.2 %.
#[test]
#[ignore = "needs poppler-utils"]
fn printed_scale_bars_are_as_long_as_they_say() {
    let folder = tempfile::tempdir().unwrap();
    let mut bars = 0;
    for sample in crate::formats::SAMPLES {
        let set = eavesdraft::sheet::sheets(&crate::formats::project(sample)).value;
        let path = folder.path().join("sheets.pdf");
        std::fs::write(&path, eavesdraft::write::sheets_pdf(&set).unwrap()).unwrap();
        for (page, sheet) in set.sheets.iter().enumerate() {
            for (i, view) in sheet.viewports.iter().enumerate() {
                bars += measured_bar(&path, page + 1, sheet, &format!("view{}", i + 1), view.scale, folder.path());
            }
        }
    }
    println!("{bars} bars");
    assert!(bars > 40, "only {bars}");
}

/// Measures one bar; 1 when there is one.
fn measured_bar(
    pdf: &std::path::Path,
    page: usize,
    sheet: &eavesdraft::sheet::Sheet,
    view: &str,
    scale: f64,
    folder: &std::path::Path,
) -> usize {
    use eavesdraft::sheet::Shape;
    let item = |id: String| sheet.items.iter().find(|item| item.id == id).map(|item| &item.shape);
    let Some(Shape::Polyline { points: first, .. }) = item(format!("{view}.bar0")) else { return 0 };
    let Some(Shape::Polyline { points: last, .. }) = item(format!("{view}.bar3")) else { return 0 };
    let Some(Shape::Text(label)) = item(format!("{view}.bar.at4")) else { return 0 };
    let (figure, unit) = label.content.split_once(' ').unwrap();
    let inches = figure.parse::<f64>().unwrap() * if unit == "ft" { 12.0 } else { 1.0 };
    // A window of the page around the bar and half an inch more on both sides.
    let (low, high) = (first[0], last[2]);
    let dots = |inches: f64| (inches * DOTS).round();
    let [x, y] = [dots(low.x - 0.1), dots(sheet.size.y - high.y - 0.02)];
    let [width, height] = [dots(high.x - low.x + 0.2), dots(high.y - low.y + 0.04)];
    let root = folder.join("bar");
    let output = Command::new("pdftoppm")
        .args(["-gray", "-singlefile", "-r", "1200", "-aa", "no", "-aaVector", "no"])
        .args(["-f", &page.to_string(), "-l", &page.to_string()])
        .args(["-x", &x.to_string(), "-y", &y.to_string(), "-W", &width.to_string(), "-H", &height.to_string()])
        .arg(pdf)
        .arg(&root)
        .output()
        .expect("pdftoppm cannot be started");
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    let image = std::fs::read(root.with_extension("pgm")).unwrap();
    let wide = width as usize;
    let pixels = &image[image.len() - wide * height as usize..];
    let row = &pixels[wide * (height as usize / 2)..][..wide];
    let dark: Vec<usize> = (0..wide).filter(|&i| row[i] < 128).collect();
    // The rims of first and last part are drawn about their edges: one pen too long.
    let pen = 0.25 / 25.4;
    let length = (dark[dark.len() - 1] - dark[0] + 1) as f64 / DOTS - pen;
    let off = (length * scale / inches - 1.0).abs();
    assert!(off < 0.002, "{} {view}: {length} in printed for {inches} in at 1:{scale}", sheet.number);
    1
}
