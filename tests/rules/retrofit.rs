//! The same roof as new and as retrofit: each difference by name, and both against the verifier.

use crate::verifier::{THREE_TAB, faults, list};
use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{Project, lay_out, survey};
use eavesdraft::write::{json_bytes, project_json};
use serde_json::Value;
use std::collections::BTreeSet;
use std::path::Path;

/// A sample drafted with words of its job replaced.
fn drafted(sample: &str, change: &[(&str, &str)]) -> (Project, Value) {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample);
    let mut text = std::fs::read_to_string(folder.join("job.toml")).unwrap();
    for (old, new) in change {
        assert!(text.contains(old), "{old}");
        text = text.replace(old, new);
    }
    let job = Job::from_toml(&text, &Catalogue::sample()).unwrap().value;
    let survey = survey(&std::fs::read(folder.join("plan.dxf")).unwrap(), &job).unwrap();
    let project = lay_out(survey, job).unwrap();
    let file = serde_json::from_slice(&json_bytes(&project_json(&project)).unwrap()).unwrap();
    (project, file)
}

const RETROFIT: (&str, &str) = ("work = \"new-roof\"", "work = \"retrofit\"");
const NO_ATTIC: (&str, &str) = ("under = \"attic\"", "under = \"cathedral\"");

fn places(file: &Value) -> BTreeSet<String> {
    let legs = list(file, "leads").iter().flat_map(|lead| list(lead, "legs"));
    legs.map(|leg| leg["place"].as_str().unwrap().to_owned()).collect()
}

fn amount(project: &Project, key: &str) -> f64 {
    project.takeoff.materials.iter().filter(|m| m.key == key).map(|m| m.quantity).sum()
}

fn words(project: &Project) -> String {
    format!("{:?}", eavesdraft::sheet::sheets(project).value.sheets)
}

#[test]
fn each_difference_between_new_roof_and_retrofit() {
    let (new, new_file) = drafted("hipped-l", &[]);
    let (old, old_file) = drafted("hipped-l", &[RETROFIT]);
    for file in [&new_file, &old_file] {
        assert_eq!(faults(file, THREE_TAB), Vec::<String>::new());
    }
    // Layer: element j lies on shingle course j under course j + 1.
    assert!(list(&new_file, "segments").iter().all(|s| s.get("shingle_courses").is_none()));
    for segment in list(&old_file, "segments") {
        let course = segment["course"].as_u64().unwrap();
        assert_eq!(segment["shingle_courses"], serde_json::json!([course, course + 1]));
    }
    // Routes: as new down the columns over the eave; as retrofit through the deck beside the connection too, and up stripped lanes only.
    assert!(!places(&new_file).contains("through-deck") && places(&old_file).contains("through-deck"));
    assert!(list(&new_file, "relays").is_empty() && !list(&old_file, "relays").is_empty());
    assert!(list(&old_file, "nail_gaps").len() < list(&new_file, "nail_gaps").len());
    // Boxes: inside ones join those on the walls.
    let inside = |file: &Value| list(file, "boxes").iter().filter(|b| b["place"] == "under-deck").count();
    assert!(inside(&new_file) == 0 && inside(&old_file) > 0);
    // Sequence: laid from the eave up before shingles, slid in from the top down.
    assert!(words(&new).contains("CHALK LINES AND LAYING ORDER") && !words(&new).contains("LIFTING ORDER"));
    assert!(words(&old).contains("LIFTING ORDER, FROM THE TOP DOWN") && !words(&old).contains("LAYING ORDER"));
    assert!(words(&old).contains("STRIP AND RELAY"));
    // Material.
    for key in ["tab-seal", "relay-shingle", "roofing-nail", "lane-membrane"] {
        assert!(amount(&new, key) == 0.0 && amount(&old, key) > 0.0, "{key}");
    }
    assert!(amount(&old, "deck-sleeve") > 0.0 && amount(&new, "deck-sleeve") == 0.0);
    assert_eq!(amount(&old, "roofing-nail"), 4.0 * amount(&old, "relay-shingle"));
    // Findings: the lift test for a retrofit only, and no retrofit is drawn as a new roof.
    let codes = |project: &Project| project.findings.iter().map(|f| f.code).collect::<BTreeSet<_>>();
    assert!(codes(&old).contains("lift-test") && !codes(&new).contains("lift-test"));
}

/// What a retrofit refuses and a new roof does not: two layers, a woven valley, caps, step flashing.
#[test]
fn each_refusal_of_a_retrofit() {
    let text = |change: &str| format!("[roof]\nwork = \"retrofit\"\n{change}");
    let job = |change: &str| Job::from_toml(&text(change), &Catalogue::sample()).unwrap().value;
    let plan = std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/hipped-l/plan.dxf")).unwrap();
    let two = job("shingle_layers = 2");
    let refused = lay_out(survey(&plan, &two).unwrap(), two).unwrap_err();
    assert_eq!(refused.code, "two-layers");
    let (woven, file) = drafted("hipped-l", &[("work = \"new-roof\"", "work = \"retrofit\"\nvalley_type = \"woven\"")]);
    assert!(woven.findings.iter().any(|f| f.code == "woven-valley"));
    assert!(list(&file, "zones").iter().all(|z| z["kind"] != "valley"));
    let (_, new) = drafted("hipped-l", &[("work = \"new-roof\"", "work = \"new-roof\"\nvalley_type = \"woven\"")]);
    assert!(list(&new, "zones").iter().any(|z| z["kind"] == "valley"));
    let strict = ("under = \"attic\"", "under = \"cathedral\"\n[wiring]\nstrip_and_relay = false");
    let (caps, file) = drafted("hipped-l", &[RETROFIT, strict]);
    let why = |words: &str| caps.wiring.unfed.iter().any(|u| u.why.contains(words));
    assert!(why("caps lie beside it") && why("a valley lies beside it") && why("step flashing lies beside it"));
    assert_eq!(faults(&file, THREE_TAB), Vec::<String>::new());
}

#[test]
fn the_gable_goes_sideways_to_its_rakes() {
    let (old, file) = drafted("gable", &[RETROFIT, NO_ATTIC]);
    assert_eq!(faults(&file, THREE_TAB), Vec::<String>::new());
    assert!(old.wiring.unfed.is_empty() && list(&file, "relays").is_empty() && list(&file, "nail_gaps").is_empty());
    assert_eq!(places(&file), ["face", "over-eave", "wall"].map(str::to_owned).into());
}

/// The verifier itself: each spoilt retrofit gives its own fault.
#[test]
fn a_broken_retrofit_is_found() {
    let (_, sound) = drafted("hipped-l", &[RETROFIT]);
    let broken = |change: &dyn Fn(&mut Value)| {
        let mut file = sound.clone();
        change(&mut file);
        faults(&file, THREE_TAB)
    };
    let says = |faults: &[String], words: &str| faults.iter().any(|f| f.contains(words));
    let spoilt = broken(&|f| f["relays"] = Value::Array(Vec::new()));
    assert!(says(&spoilt, "a nail of the old roof is missing") && says(&spoilt, "lies under another tab"));
    let spoilt = broken(&|f| f["segments"][0]["shingle_courses"] = serde_json::json!([1, 2]));
    assert!(says(&spoilt, "does not lie under the tabs of course 2"));
    let spoilt = broken(&|f| {
        for lead in f["leads"].as_array_mut().unwrap() {
            for leg in lead["legs"].as_array_mut().unwrap().iter_mut().filter(|l| l["place"] == "through-deck") {
                for at in leg["points"].as_array_mut().unwrap() {
                    at[0] = Value::from(at[0].as_f64().unwrap() + 10.0);
                }
            }
        }
    });
    assert!(says(&spoilt, "further than 6 in from its piece"));
}
