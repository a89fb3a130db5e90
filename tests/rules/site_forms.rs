//! The forms for the site: the roof as measured, and the test record, there and back.

use eavesdraft::catalog::Catalogue;
use eavesdraft::field::{Judgement, answers, as_built, compare, cut_status, judge, settle};
use eavesdraft::finding::Finding;
use eavesdraft::index::SegmentId;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{Project, lay_out, survey};
use eavesdraft::sheet::sheets;
use eavesdraft::wiring::End;
use eavesdraft::write::{record_csv, verify_csv};
use std::path::Path;

fn laid_out(sample: &str, job: Job) -> Project {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let survey = survey(&std::fs::read(folder.join("plan.dxf")).unwrap(), &job).unwrap();
    lay_out(survey, job).unwrap()
}

fn job_of(sample: &str) -> Job {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample).join("job.toml");
    Job::from_toml(&std::fs::read_to_string(path).unwrap(), &Catalogue::sample()).unwrap().value
}

/// Cells of a CSV line as the program writes them.
fn cells(line: &str) -> Vec<String> {
    let (mut cells, mut cell, mut quoted) = (Vec::new(), String::new(), false);
    let mut letters = line.chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            '"' if quoted && letters.peek() == Some(&'"') => {
                letters.next();
                cell.push('"');
            }
            '"' => quoted = !quoted,
            ',' if !quoted => cells.push(std::mem::take(&mut cell)),
            c => cell.push(c),
        }
    }
    cells.push(cell);
    cells
}

fn line(cells: &[String]) -> String {
    cells.iter().map(|c| format!("\"{}\"", c.replace('"', "\"\""))).collect::<Vec<_>>().join(",") + "\r\n"
}

/// The verify form of a layout, each measure what `fill` makes of item, what and drawn value.
fn filled(project: &Project, fill: impl Fn(&str, &str, &str) -> String) -> String {
    let form = String::from_utf8(verify_csv(project)).unwrap();
    let mut out = String::new();
    for (at, text) in form.lines().enumerate() {
        let mut row = cells(text);
        if at > 0 {
            row[4] = fill(&row[0], &row[1], &row[2]);
        }
        out += &line(&row);
    }
    out
}

/// What `draft --measured` does.
fn measured(sample: &str, project: &Project, form: &str) -> (Project, Vec<Finding>) {
    let answers = answers(form).unwrap();
    let mut job = project.job.clone();
    let redrafted = settle(&answers, &project.into(), &mut job).unwrap();
    let mut anew = laid_out(sample, job);
    let outcome = compare(&answers, redrafted, &(&anew).into()).unwrap();
    anew.measured = Some(outcome.value);
    (anew, outcome.findings)
}

fn as_drawn(_: &str, what: &str, drawn: &str) -> String {
    match (what, drawn) {
        ("valley type", "unknown") => "closed-cut".into(),
        ("attic access under the deck", "unknown") => "soffit only".into(),
        _ => drawn.to_owned(),
    }
}

#[test]
fn a_measured_roof_equal_to_the_drawn_one_changes_nothing_but_the_status() {
    for sample in ["gable", "hipped-l", "hipped-l-metric"] {
        let mut job = job_of(sample);
        // What is unknown has no drawn value to be equal to.
        job.roof.valley_type = eavesdraft::job::Setting::given(eavesdraft::job::ValleyType::ClosedCut);
        let drawn = laid_out(sample, job);
        assert_eq!(cut_status(drawn.measured.as_ref()), "FOR QUOTE ONLY");
        let (anew, findings) = measured(sample, &drawn, &filled(&drawn, as_drawn));
        assert!(findings.is_empty(), "{sample}: {findings:?}");
        assert_eq!(cut_status(anew.measured.as_ref()), "FOR CUTTING", "{sample}: {:?}", anew.measured);
        assert_eq!(anew.courses, drawn.courses, "{sample}");
        assert_eq!(anew.wiring, drawn.wiring, "{sample}");
        assert_eq!(anew.takeoff, drawn.takeoff, "{sample}");
        assert_eq!(anew.checks, drawn.checks, "{sample}");
    }
}

/// With every setting assumed the form settles them: overhang, shingle, what lies under the deck.
#[test]
fn measuring_settles_what_was_assumed() {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.drawing.units = Some(eavesdraft::units::DrawingUnit::Inches);
    let drawn = laid_out("gable", job);
    let form = filled(&drawn, |item, what, drawn| match what {
        "attic access under the deck" => "Reachable attic".into(),
        _ => as_drawn(item, what, drawn),
    });
    let (anew, findings) = measured("gable", &drawn, &form);
    assert!(findings.is_empty(), "{findings:?}");
    assert!(drawn.findings.iter().any(|f| f.code == "assumed-overhang") || !drawn.survey.roof.walls.is_empty());
    assert!(!anew.findings.iter().any(|f| f.code == "assumed-overhang"));
    assert!(anew.job.products.shingle.given && anew.job.roof.under.given);
    assert_eq!(anew.courses, drawn.courses);
}

/// By hand: at 18 in of overhang on 6:12 the reach is 42 x 1.118 = 46.96 in, one course more than at 12 in.
#[test]
fn a_measured_overhang_is_drafted_anew() {
    let drawn = laid_out("gable", job_of("gable"));
    let form =
        filled(&drawn, |_, what, drawn| if what.starts_with("overhang") { "18 in".into() } else { drawn.to_owned() });
    let (anew, findings) = measured("gable", &drawn, &form);
    assert!(findings.is_empty(), "{findings:?}");
    let made = anew.measured.as_ref().unwrap();
    assert_eq!((made.redrafted.len(), made.for_cutting()), (2, true));
    assert!(anew.zones.zones.iter().all(|z| (z.required_reach - 46.957).abs() < 1e-3), "{:?}", anew.zones.zones[0]);
    assert_eq!(anew.courses.segments.len(), drawn.courses.segments.len() + 2);
}

#[test]
fn what_only_the_drawing_can_settle_keeps_the_status() {
    let drawn = laid_out("gable", job_of("gable"));
    let longer = |_: &str, what: &str, drawn: &str| {
        if what == "eave length" { "40'-8\"".into() } else { drawn.to_owned() }
    };
    let (anew, findings) = measured("gable", &drawn, &filled(&drawn, longer));
    assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), ["measured-differs"; 2]);
    assert_eq!(cut_status(anew.measured.as_ref()), "FOR QUOTE ONLY");
    // An empty cell, a measure nobody asked for, and one that is no length.
    let gap = |_: &str, what: &str, drawn: &str| if what == "pitch" { String::new() } else { drawn.to_owned() };
    let form = filled(&drawn, gap) + "E99,eave length,,,12 ft\r\n";
    let (anew, findings) = measured("gable", &drawn, &form);
    assert_eq!(findings.iter().map(|f| f.code).collect::<Vec<_>>(), ["measured-missing", "measured-unknown"]);
    assert_eq!(cut_status(anew.measured.as_ref()), "FOR QUOTE ONLY");
    let wrong = filled(&drawn, |_, what, drawn| if what == "eave length" { "forty".into() } else { drawn.to_owned() });
    let error = settle(&answers(&wrong).unwrap(), &(&drawn).into(), &mut drawn.job.clone()).unwrap_err();
    assert_eq!((error.code, error.place.line), ("measured-value", Some(2)));
}

/// The record form with what `fill` makes of stage, item, what and expected value.
fn recorded(project: &Project, fill: impl Fn(&str, &str, &str, &str) -> String) -> String {
    let form = String::from_utf8(record_csv(project)).unwrap();
    let mut out = String::new();
    for (at, text) in form.lines().enumerate() {
        let mut row = cells(text);
        if at > 0 {
            row[8] = fill(&row[0], &row[2], &row[3], &row[5]);
            row[9] = "2026-02-01".into();
        }
        out += &line(&row);
    }
    out
}

fn good(_: &str, _: &str, what: &str, expected: &str) -> String {
    match what {
        "insulation" => ">200".into(),
        "ground-fault trip by test button" | "control switches on and off" => "yes".into(),
        _ => expected.to_owned(),
    }
}

#[test]
fn a_good_record_passes_every_hold_point() {
    let project = laid_out("gable", job_of("gable"));
    let outcome = judge(&recorded(&project, good), &(&project).into()).unwrap();
    assert!(outcome.findings.is_empty(), "{:?}", outcome.findings);
    let record = outcome.value;
    // 4 rolls; 18 pieces at three stages with two readings, and a length; 18 chains with two; 3 circuits with four.
    assert_eq!(record.readings.len(), 4 + 18 * 7 + 18 * 2 + project.wiring.circuits.len() * 4);
    assert!(record.readings.iter().all(|r| r.judgement == Judgement::Good), "{record:?}");
    let holds: Vec<(&str, usize, usize)> = record.holds.iter().map(|h| (h.name.as_str(), h.needed, h.passed)).collect();
    assert_eq!(holds, [("H1", 36, 36), ("H2", 54, 54), ("H3", 36, 36), ("H4", 36, 36)]);
}

/// A piece laid 3 in short ends 3 in sooner at the end that was not fed; one laid 2 in long likewise further out. All else stays as drawn.
#[test]
fn pieces_are_drawn_as_long_as_they_were_laid() {
    let mut project = laid_out("hipped-l", job_of("hipped-l"));
    let fed = |end: End| project.wiring.feeds.iter().find(|f| f.fed_end == end).unwrap().segment;
    let (left, right) = (fed(End::Left), fed(End::Right));
    let tag = |id: SegmentId| project.courses.segments[id.index()].tag.clone();
    let (short, long) = (tag(left), tag(right));
    let length = |id: SegmentId| project.courses.segments[id.index()].cut_length;
    let (short_by, long_by) = (length(left) - 3.0, length(right) + 2.0);
    let form = recorded(&project, |stage, item, what, expected| match what {
        "installed length" if item == short => format!("{short_by} in"),
        "installed length" if item == long => format!("{long_by}"),
        _ => good(stage, item, what, expected),
    });
    let record = judge(&form, &(&project).into()).unwrap().value;
    let laid = as_built(&record, &(&project).into());
    for (was, is) in project.courses.segments.iter().zip(&laid) {
        let moved = [is.along.low - was.along.low, is.along.high - was.along.high, is.cut_length - was.cut_length];
        let wanted = match was.id {
            id if id == left => [0.0, -3.0, -3.0],
            id if id == right => [-2.0, 0.0, 2.0],
            _ => [0.0; 3],
        };
        assert!(moved.iter().zip(wanted).all(|(m, w)| (m - w).abs() < 1e-9), "{}: {moved:?}", was.tag);
        assert!((is.station - was.station - moved[0]).abs() < 1e-9);
    }
    let before = sheets(&project).value;
    project.laid = Some(laid);
    assert_ne!(before, sheets(&project).value);
}

#[test]
fn each_bad_reading_is_found_and_the_holds_stay_open() {
    let project = laid_out("gable", job_of("gable"));
    let first = project.takeoff.cuts[0].tag.clone();
    let second = project.takeoff.cuts[1].tag.clone();
    let form = recorded(&project, |stage, item, what, expected| match (stage, what) {
        // A nail through the first piece, a wet second one, and its resistance off by 8 % since it was cut.
        ("covered", "insulation") if item == first => "0.2".into(),
        ("laid", "insulation") if item == second => "5".into(),
        ("covered", "resistance") if item == second => format!("{}", expected.parse::<f64>().unwrap() * 0.92),
        ("hand-over", "ground-fault trip by test button") => "no".into(),
        ("receipt", _) => String::new(),
        _ => good(stage, item, what, expected),
    });
    let outcome = judge(&form, &(&project).into()).unwrap();
    let of = |code: &str| outcome.findings.iter().filter(|f| f.code == code).count();
    assert_eq!(of("reading-bad"), 2 + project.wiring.circuits.len());
    assert_eq!((of("reading-doubtful"), of("reading-missing"), of("reading-unknown")), (1, 1, 0));
    // Work went on past H2 and past H3.
    assert_eq!(of("hold-passed"), 2);
    let changed = outcome.value.readings.iter().find(|r| r.item == second && r.judgement == Judgement::Bad).unwrap();
    assert!(changed.why.contains("has changed since"), "{changed:?}");
    let error = judge(&recorded(&project, |_, _, _, _| "perhaps".into()), &(&project).into()).unwrap_err();
    assert_eq!((error.code, error.place.line), ("record-value", Some(2)));
}

/// The whole way by the command: draft, measure, draft for cutting, record, as-built sheets.
#[test]
fn the_commands_read_the_forms_back() {
    let folder = tempfile::tempdir().unwrap();
    let sample = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/gable");
    let run = |words: &[&str]| {
        let out = std::process::Command::new(env!("CARGO_BIN_EXE_eavesdraft"))
            .arg(words[0])
            .arg(sample.join("plan.dxf"))
            .arg("--job")
            .arg(sample.join("job.toml"))
            .args(&words[1..])
            .current_dir(folder.path())
            .output()
            .unwrap();
        (
            out.status.code(),
            String::from_utf8_lossy(&out.stdout).into_owned(),
            String::from_utf8_lossy(&out.stderr).into_owned(),
        )
    };
    let project = laid_out("gable", job_of("gable"));
    std::fs::write(folder.path().join("m.csv"), filled(&project, as_drawn)).unwrap();
    std::fs::write(folder.path().join("r.csv"), recorded(&project, good)).unwrap();
    let (code, _, said) = run(&["draft", "--measured", "m.csv", "-o", "out"]);
    assert_eq!(code, Some(0), "{said}");
    let sheet = std::fs::read_to_string(folder.path().join("out/A-gable-E-401.svg")).unwrap();
    assert!(sheet.contains("FOR CUTTING") && !sheet.contains("FOR QUOTE ONLY"));
    let (code, data, said) = run(&["record", "--record", "r.csv", "--measured", "m.csv", "-o", "out", "--json"]);
    assert_eq!(code, Some(0), "{said}");
    assert!(data.contains("\"judgement\": \"good\"") && data.contains("\"season\""));
    let made = std::fs::read_to_string(folder.path().join("out/A-gable-as-built-E-602.svg")).unwrap();
    assert!(made.contains("AS BUILT") || made.contains("as built"), "the title says so");
    assert!(folder.path().join("out/A-gable-E-602.svg").exists(), "what it was built from stays");
    let (code, _, said) = run(&["draft", "--weather", "m.csv", "-o", "out"]);
    assert!(code == Some(3) && said.contains("error[not-epw]") && said.contains("m.csv"), "{code:?} {said}");
    let (code, _, said) = run(&["record", "--record", "m.csv", "-o", "out"]);
    assert!(code == Some(2) && said.contains("error[form-columns]") && said.contains("m.csv"), "{code:?} {said}");
}
