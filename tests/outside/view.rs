//! The view page in a real browser: what a thumb on a tablet does to it.

use std::path::{Path, PathBuf};
use std::process::Command;

/// Done in the page as a person would do it; what came of it goes into the page's title as JSON.
const HANDS: &str = r##"<script>
window.addEventListener("load", () => {
  const errors = window.faults;
  const chosen = () => Array.from(document.querySelectorAll("tr.chosen"), (row) => row.dataset.segment);
  const marked = () => document.querySelectorAll("svg .chosen").length;
  const shown = () => document.querySelector(".sheet.shown").dataset.sheet;
  const box = () => document.querySelector(".sheet.shown svg").getAttribute("viewBox").split(" ").map(Number).join(" ");
  const first = shown();
  const strip = document.querySelector('.sheet.shown [data-id="S2.strip"]');
  strip.dispatchEvent(new MouseEvent("click", { bubbles: true }));
  const tapped = { chosen: chosen(), marked: marked(), shown: shown() };
  const whole = box();
  document.querySelector('tr[data-segment="S1"]').click();
  const found = { chosen: chosen(), marked: marked(), shown: shown(), nearer: box() !== whole };
  document.getElementById("whole").click();
  const back = box() === whole;
  document.getElementById("larger").click();
  const larger = Number(box().split(" ")[2]) < Number(whole.split(" ")[2]);
  const layer = document.querySelector('input[data-layer="E-HEAT-LEAD"]');
  const leads = () => Array.from(document.querySelectorAll(".layer-E-HEAT-LEAD")).filter((g) => g.getClientRects().length > 0).length;
  const on = leads();
  layer.click();
  const off = leads();
  layer.click();
  const again = leads();
  const search = document.getElementById("search");
  search.value = "F1-0-1";
  search.dispatchEvent(new Event("input"));
  const left = Array.from(document.querySelectorAll("tbody tr")).filter((row) => !row.hidden).length;
  window.dispatchEvent(new Event("beforeprint"));
  const printed = box() === whole;
  const loaded = performance.getEntriesByType("resource").length;
  document.title = JSON.stringify({ first, tapped, found, back, larger, on, off, again, left, printed, loaded, errors });
});
</script>"##;

fn drafted(sample: &str, folder: &Path) -> PathBuf {
    let samples = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let status = Command::new(env!("CARGO_BIN_EXE_eavesdraft"))
        .arg("draft")
        .arg(samples.join("plan.dxf"))
        .arg("--job")
        .arg(samples.join("job.toml"))
        .arg("-o")
        .arg(folder)
        .output()
        .unwrap();
    assert!(status.status.success(), "{}", String::from_utf8_lossy(&status.stderr));
    let pages = std::fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().path());
    let page =
        |path: &PathBuf| path.extension().is_some_and(|e| e == "html") && !path.to_string_lossy().contains("-labels");
    pages.into_iter().find(page).unwrap()
}

/// The title of a page once its scripts have run in a window of a size.
fn title(page: &Path, [width, height]: [u32; 2]) -> String {
    let output = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"])
        .arg(format!("--window-size={width},{height}"))
        .arg(format!("--user-data-dir={}", page.with_file_name("profile").display()))
        .arg("--dump-dom")
        .arg(format!("file://{}", page.display()))
        .output()
        .expect("chromium cannot be started");
    let dom = String::from_utf8_lossy(&output.stdout).into_owned();
    let title = dom.split("<title>").nth(1).and_then(|rest| rest.split("</title>").next());
    title.unwrap_or_else(|| panic!("no title\n{}", String::from_utf8_lossy(&output.stderr))).to_owned()
}

/// Lengths of the hipped L are longer than the gable's: whichever way a tablet is held, no column of the list runs off it.
#[test]
#[ignore = "needs chromium"]
fn the_list_is_whole_on_a_tablet() {
    let folder = tempfile::tempdir().unwrap();
    let page = std::fs::read_to_string(drafted("hipped-l", folder.path())).unwrap();
    let ask = r#"<script>window.addEventListener("load", () => {
        const aside = document.querySelector("aside");
        const cells = Array.from(aside.querySelectorAll("th"), (cell) => cell.getBoundingClientRect().right);
        document.title = [cells.length, aside.scrollWidth - aside.clientWidth, Math.max(...cells) <= window.innerWidth].join(" ");
    });</script></body>"#;
    let path = folder.path().join("watched.html");
    std::fs::write(&path, page.replace("</body>", ask)).unwrap();
    for size in [[1024, 768], [1180, 820], [820, 1180], [768, 1024]] {
        assert_eq!(title(&path, size), "8 0 true", "{size:?}: columns, what is cut off, whether all end inside");
    }
}

#[test]
#[ignore = "needs chromium"]
fn a_tap_finds_the_row_and_a_row_finds_the_segment() {
    let folder = tempfile::tempdir().unwrap();
    let page = std::fs::read_to_string(drafted("gable", folder.path())).unwrap();
    let watched = page.replacen(
        "<head>",
        "<head><script>window.faults = []; window.onerror = (words) => window.faults.push(String(words));</script>",
        1,
    );
    let path = folder.path().join("watched.html");
    std::fs::write(&path, watched.replace("</body>", &format!("{HANDS}</body>"))).unwrap();
    let title = title(&path, [1400, 900]);
    let seen: serde_json::Value = serde_json::from_str(&title).unwrap_or_else(|e| panic!("{e}: {title}"));
    assert_eq!(seen["errors"], serde_json::json!([]), "{seen}");
    assert_eq!(seen["loaded"], 0, "nothing is fetched: {seen}");
    assert_eq!(seen["first"], "E-101");
    assert_eq!(seen["tapped"]["chosen"], serde_json::json!(["S2"]), "{seen}");
    assert_eq!(seen["tapped"]["shown"], "E-101", "a tap stays on its sheet");
    assert!(seen["tapped"]["marked"].as_u64().unwrap() >= 4, "on the plan and on its face: {seen}");
    assert_eq!(seen["found"]["chosen"], serde_json::json!(["S1"]), "{seen}");
    assert_eq!(seen["found"]["shown"], "E-401", "a row opens the face: {seen}");
    for what in ["back", "larger", "printed"] {
        assert_eq!(seen[what], true, "{what}: {seen}");
    }
    assert_eq!(seen["found"]["nearer"], true, "{seen}");
    assert!(seen["on"].as_u64().unwrap() > 0 && seen["off"] == 0 && seen["again"] == seen["on"], "{seen}");
    assert_eq!(seen["left"], 1, "{seen}");
}

/// Printed by the browser: a page for each sheet and no empty one, whole sheets, then the cut list, and none of the controls.
#[test]
#[ignore = "needs chromium and pdftotext"]
fn the_page_prints_its_sheets_and_none_of_its_controls() {
    let folder = tempfile::tempdir().unwrap();
    let path = drafted("gable", folder.path());
    let page = std::fs::read_to_string(&path).unwrap();
    let sheets: Vec<&str> = page
        .split("<section class=\"sheet\" data-sheet=\"")
        .skip(1)
        .filter_map(|rest| rest.split('"').next())
        .collect();
    assert!(sheets.len() >= 4, "{sheets:?}");
    let printed = folder.path().join("printed.pdf");
    let output = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage", "--no-pdf-header-footer"])
        .arg(format!("--user-data-dir={}", folder.path().join("profile").display()))
        .arg(format!("--print-to-pdf={}", printed.display()))
        .arg(format!("file://{}", path.display()))
        .output()
        .expect("chromium cannot be started");
    assert!(printed.exists(), "{}", String::from_utf8_lossy(&output.stderr));
    let read = Command::new("pdftotext").arg("-bbox").arg(&printed).arg("-").output();
    let read = read.expect("pdftotext cannot be started");
    let pages: Vec<Vec<Word>> = String::from_utf8_lossy(&read.stdout).split("<page ").skip(1).map(words).collect();
    for (number, page) in sheets.iter().zip(&pages) {
        // Only the title block has a sheet's number in letters that high.
        let largest = page.iter().max_by(|a, b| a.height().total_cmp(&b.height())).unwrap();
        assert_eq!(&largest.text, number, "the page of {number}");
        assert!(page.iter().any(|word| word.text == "PRELIMINARY"), "{number} is cut at its upper right corner");
    }
    let rest = &pages[sheets.len()..];
    assert!(!rest.is_empty() && rest.iter().all(|page| page.len() > 20), "a page is all but empty");
    let rows: Vec<&str> =
        page.split("<td>").filter(|cell| cell.starts_with('F')).filter_map(|c| c.split('<').next()).collect();
    assert!(rows.len() >= 18);
    for tag in rows {
        assert_eq!(rest.iter().flatten().filter(|word| word.text == tag).count(), 1, "{tag} in the printed list");
    }
    for word in pages.iter().flatten() {
        assert!(word.inside, "{} runs off its page", word.text);
        assert!(
            !["Print", "Whole", "Layers", "Find"].contains(&word.text.as_str()),
            "a control is printed: {}",
            word.text
        );
    }
}

/// A word of a printed page.
struct Word {
    text: String,
    low: f64,
    high: f64,
    inside: bool,
}

impl Word {
    fn height(&self) -> f64 {
        self.high - self.low
    }
}

/// The words of a page as `pdftotext -bbox` lists them.
fn words(page: &str) -> Vec<Word> {
    let value = |line: &str, name: &str| -> f64 {
        let rest = line.split(&format!("{name}=\"")).nth(1).unwrap();
        rest.split('"').next().unwrap().parse().unwrap()
    };
    let size = [value(page, "width"), value(page, "height")];
    page.lines()
        .filter(|line| line.contains("<word "))
        .map(|line| {
            let [left, right] = ["xMin", "xMax"].map(|name| value(line, name));
            let [low, high] = ["yMin", "yMax"].map(|name| value(line, name));
            let text = line.split('>').nth(1).unwrap().split('<').next().unwrap().to_owned();
            let inside = left >= 0.0 && low >= 0.0 && right <= size[0] && high <= size[1];
            Word { text, low, high, inside }
        })
        .collect()
}
