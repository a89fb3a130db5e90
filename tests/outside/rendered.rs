//! Every sheet as a browser draws it: no text on another, none outside the frame, capitals of 3/32 in at least, none crossed by an
//! element or a lead. The browser measures with its own text engine and shares no code with the layout.

use eavesdraft::catalog::Catalogue;
use eavesdraft::job::{Job, SheetSize, Under, Work};
use eavesdraft::pipeline::{Project, lay_out, survey};
use eavesdraft::sheet::{SheetSet, check_invariants, sheets};
use eavesdraft::write::sheet_svg;
use serde::Deserialize;
use std::path::{Path, PathBuf};
use std::process::Command;

const SCRIPT: &str = include_str!("rendered.js");
/// The shared sets of roofs.
const FOLDERS: [&str; 6] = ["traced_main", "traced_flat", "traced_hand", "city_main", "city_parts", "city_step"];

/// What the browser says of a page of sheets.
#[derive(Debug, Deserialize)]
struct Seen {
    sheets: usize,
    texts: usize,
    strokes: usize,
    fonts: bool,
    wrong: Vec<String>,
}

/// Puts sheets into one page of true size and lets the browser judge them.
fn judged(folder: &Path, drawings: &[String]) -> Seen {
    let font = Path::new(env!("CARGO_MANIFEST_DIR")).join("src/sheet/font");
    let face = |weight: u32, file: &str| {
        let file = font.join(file);
        format!(
            "@font-face {{ font-family: 'Barlow Semi Condensed'; font-weight: {weight}; src: url('file://{}'); }}\n",
            file.display()
        )
    };
    let fonts = face(400, "BarlowSemiCondensed-Regular.ttf") + &face(600, "BarlowSemiCondensed-SemiBold.ttf");
    let sheets = drawings.concat();
    let page = format!(
        "<!DOCTYPE html><html><head><meta charset=\"utf-8\"><title></title><style>{fonts} svg {{ display: block; }}</style>\
         <script>{SCRIPT}</script></head><body>{sheets}</body></html>"
    );
    let path = folder.join("sheets.html");
    std::fs::write(&path, page).unwrap();
    let output = Command::new("chromium")
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"])
        .arg("--allow-file-access-from-files")
        .args(["--virtual-time-budget=60000", "--timeout=120000"])
        .arg(format!("--user-data-dir={}", folder.join("profile").display()))
        .arg("--dump-dom")
        .arg(format!("file://{}", path.display()))
        .output()
        .expect("chromium cannot be started");
    let dom = String::from_utf8_lossy(&output.stdout);
    let title = dom.split("<title>").nth(1).and_then(|rest| rest.split("</title>").next()).unwrap_or_default();
    let title = title.replace("&amp;", "&").replace("&lt;", "<").replace("&gt;", ">");
    let seen: Seen = serde_json::from_str(&title)
        .unwrap_or_else(|e| panic!("{e}: {title}\n{}", String::from_utf8_lossy(&output.stderr)));
    assert!(seen.fonts, "the drawing font was not loaded");
    assert_eq!(seen.sheets, drawings.len());
    seen
}

fn svgs(set: &SheetSet) -> Vec<String> {
    set.sheets.iter().map(|sheet| String::from_utf8(sheet_svg(set, sheet)).unwrap()).collect()
}

/// A check that sees nothing proves nothing: each rule broken once on one sheet.
#[test]
#[ignore = "needs chromium"]
fn a_spoilt_sheet_is_noticed() {
    let folder = tempfile::tempdir().unwrap();
    let text = |id: &str, x: u32, y: u32, size: &str, words: &str| {
        format!("<text data-id=\"{id}\" x=\"{x}\" y=\"{y}\" font-size=\"{size}\">{words}</text>")
    };
    let sheet = format!(
        "<svg font-family=\"'Barlow Semi Condensed'\" width=\"4in\" height=\"4in\" viewBox=\"0 0 288 288\"><title>E-9 x</title>\
         <rect id=\"frame\" x=\"36\" y=\"36\" width=\"216\" height=\"216\" fill=\"none\"/>\
         <g class=\"layer-E-HEAT-LEAD\"><path data-id=\"L1\" fill=\"none\" stroke=\"#000000\" d=\"M40 150L240 150\"/></g>\
         <g class=\"layer-E-ANNO-NOTE\">{}{}{}{}{}</g></svg>",
        text("a", 50, 60, "9.65", "FIRST"),
        text("b", 60, 62, "9.65", "SECOND"),
        text("small", 50, 90, "9", "SMALL"),
        text("out", 240, 110, "9.65", "OUTSIDE"),
        text("hit", 100, 153, "9.65", "CROSSED"),
    );
    let seen = judged(folder.path(), &[sheet]);
    for words in [
        "(a) and 'SECOND' (b) overlap",
        "small 'SMALL' has capitals of 0.08",
        "'OUTSIDE' leaves",
        "(hit) is crossed by L1",
    ] {
        assert_eq!(seen.wrong.iter().filter(|w| w.contains(words)).count(), 1, "{words}: {:?}", seen.wrong);
    }
    assert_eq!(seen.wrong.len(), 4, "{:?}", seen.wrong);
}

#[test]
#[ignore = "needs chromium"]
fn the_samples_are_clean_as_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    for sample in ["gable", "hipped-l", "hipped-l-metric", "cross-gable-retrofit"] {
        let made = folder.path().join(sample);
        let draft = Command::new(env!("CARGO_BIN_EXE_eavesdraft"))
            .arg("draft")
            .arg(root.join("samples").join(sample).join("plan.dxf"))
            .arg("--job")
            .arg(root.join("samples").join(sample).join("job.toml"))
            .arg("-o")
            .arg(&made)
            .output()
            .unwrap();
        assert!(draft.status.success(), "{}", String::from_utf8_lossy(&draft.stderr));
        let mut drawings: Vec<PathBuf> = std::fs::read_dir(&made).unwrap().map(|e| e.unwrap().path()).collect();
        drawings.retain(|path| path.extension().is_some_and(|e| e == "svg"));
        drawings.sort();
        let drawings: Vec<String> = drawings.iter().map(|path| std::fs::read_to_string(path).unwrap()).collect();
        let seen = judged(folder.path(), &drawings);
        println!("{sample}: {} sheets, {} texts, {} strokes", seen.sheets, seen.texts, seen.strokes);
        assert!(seen.texts > 1000 && seen.strokes > 100, "{sample}: {seen:?}");
        assert_eq!(seen.wrong, Vec::<String>::new(), "{sample}");
    }
}

/// Roofs spread evenly over every shared set, `each` of a set, in name order; every other one is a retrofit, every third is drawn
/// on small paper.
fn shared_roofs(each: usize) -> Vec<(String, Project)> {
    let data = std::env::var_os("EAVESDRAFT_DATA").expect("EAVESDRAFT_DATA names the folder with the data");
    let mut made = Vec::new();
    for folder in FOLDERS {
        let mut plans: Vec<PathBuf> = std::fs::read_dir(PathBuf::from(&data).join("roofs").join(folder))
            .unwrap()
            .map(|entry| entry.unwrap().path())
            .filter(|path| path.to_string_lossy().ends_with(".plan.dxf"))
            .collect();
        plans.sort();
        let step = plans.len() / each;
        for (i, path) in plans.iter().step_by(step.max(1)).take(each).enumerate() {
            let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
            job.heat.valleys = true;
            job.roof.leave_open = true;
            if i % 2 == 1 {
                job.roof.work.value = Work::Retrofit;
                job.roof.under.value = Under::Attic;
            }
            job.sheet.size = [SheetSize::ArchD, SheetSize::AnsiB, SheetSize::IsoA1][i % 3];
            let name = format!("{folder}/{}", path.file_name().unwrap().to_string_lossy());
            let survey = survey(&std::fs::read(path).unwrap(), &job).unwrap_or_else(|e| panic!("{name}: {e}"));
            match lay_out(survey, job) {
                Ok(project) => made.push((name, project)),
                Err(error) => println!("{name} is refused: {error}"),
            }
        }
    }
    made
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA and chromium"]
fn shared_roofs_are_clean_as_drawn() {
    let folder = tempfile::tempdir().unwrap();
    let (mut wrong, mut roofs, mut pages, mut texts) = (Vec::new(), 0, 0, 0);
    for (name, project) in shared_roofs(9) {
        let set = sheets(&project).value;
        wrong.extend(check_invariants(&set).into_iter().map(|w| format!("{name}: {w}")));
        let seen = judged(folder.path(), &svgs(&set));
        roofs += 1;
        pages += seen.sheets;
        texts += seen.texts;
        wrong.extend(seen.wrong.into_iter().map(|w| format!("{name}: {w}")));
    }
    println!("{roofs} roofs, {pages} sheets, {texts} texts, {} faults", wrong.len());
    assert!(roofs >= 50, "only {roofs} roofs were laid out");
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}
