//! The samples' finished roofs against the verifier.

use crate::verifier::{ShingleData, THREE_TAB, faults, list};
use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{Project, lay_out, survey};
use eavesdraft::write::{json_bytes, project_json};
use serde_json::Value;

fn written(sample: &str) -> Value {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("output").join(sample);
    let name = std::fs::read_dir(&folder)
        .unwrap()
        .filter_map(|e| e.unwrap().file_name().into_string().ok())
        .find(|n| n.ends_with(".json"))
        .unwrap();
    serde_json::from_str(&std::fs::read_to_string(folder.join(name)).unwrap()).unwrap()
}

#[test]
fn no_fastener_meets_an_element_or_a_lead_of_the_samples() {
    for sample in ["gable", "hipped-l", "hipped-l-metric"] {
        let file = written(sample);
        assert!(list(&file, "segments").len() >= 18 && list(&file, "nail_gaps").len() >= 18, "{sample}");
        assert_eq!(faults(&file, THREE_TAB), Vec::<String>::new(), "{sample}");
    }
}

/// The verifier itself: each broken file gives its own fault.
#[test]
fn a_broken_layout_is_found() {
    let broken = |change: &dyn Fn(&mut Value)| {
        let mut file = written("hipped-l");
        change(&mut file);
        faults(&file, THREE_TAB)
    };
    let says = |faults: &[String], words: &str| faults.iter().any(|f| f.contains(words));
    assert!(says(&broken(&|f| f["nail_gaps"] = Value::Array(Vec::new())), "from the nails of shingle course"));
    assert!(says(&broken(&|f| drop(f["leads"].as_array_mut().unwrap().pop())), "has 0 feeds"));
    assert!(says(&faults(&written("gable"), ShingleData { nails: (6.5, 6.5), ..THREE_TAB }), "F1-1-1 lies"));
    let shifted = broken(&|f| {
        for end in ["a", "b"] {
            let x = f["segments"][2][end][0].as_f64().unwrap();
            f["segments"][2][end][0] = Value::from(x - 9.0);
        }
    });
    assert!(says(&shifted, "from an edge") || says(&shifted, "leaves its face"), "{shifted:?}");
    let twice = broken(&|f| {
        let copy = f["segments"][2].clone();
        f["segments"].as_array_mut().unwrap().push(copy);
    });
    assert!(says(&twice, "lies on"));
    let through_one_point = broken(&|f| {
        let leads = f["leads"].as_array_mut().unwrap().iter_mut();
        let legs = leads.flat_map(|lead| lead["legs"].as_array_mut().unwrap());
        let mut crossing: Vec<&mut Value> = legs.filter(|leg| leg["place"] == "crossing").collect();
        let first = crossing[0]["points"].clone();
        crossing.iter_mut().for_each(|leg| leg["points"] = first.clone());
    });
    assert!(says(&through_one_point, "where they cross"));
}

type P = (f64, f64);

/// A shed at 6:12 whose eave jogs up the slope: two coplanar facets.
fn notched(jog: f64) -> Vec<u8> {
    let facet = |corners: [P; 4]| {
        let at = |(n, (x, y)): (usize, P)| format!(" 1{n}\n{x:?}\n 2{n}\n{y:?}\n 3{n}\n{:?}\n", 0.5 * y);
        format!("  0\n3DFACE\n  8\nA-ROOF\n{}", corners.into_iter().enumerate().map(at).collect::<String>())
    };
    let left = facet([(0.0, 0.0), (200.0, 0.0), (200.0, 240.0), (0.0, 240.0)]);
    let right = facet([(200.0, jog), (480.0, jog), (480.0, 240.0), (200.0, 240.0)]);
    format!("  0\nSECTION\n  2\nENTITIES\n{left}{right}  0\nENDSEC\n  0\nEOF\n").into_bytes()
}

fn drafted(plan: &[u8], job: &str) -> (Project, Value) {
    let text = format!("[drawing]\nunits = \"inches\"\n{job}");
    let job = Job::from_toml(&text, &Catalogue::sample()).unwrap_or_else(|e| panic!("{e}")).value;
    let project = lay_out(survey(plan, &job).unwrap(), job).unwrap();
    let file = serde_json::from_slice(&json_bytes(&project_json(&project)).unwrap()).unwrap();
    (project, file)
}

/// Two eaves on one face, the upper one anywhere between two course lines, as new roof and as retrofit.
#[test]
fn an_eave_up_the_slope_keeps_clear_of_the_nails_of_the_face() {
    for work in ["new-roof", "retrofit"] {
        for step in 0..12 {
            let jog = 36.0 + 0.45 * f64::from(step);
            let (project, file) = drafted(&notched(jog), &format!("[roof]\nwork = \"{work}\"\n"));
            assert_eq!(project.zones.zones.len(), 2, "{jog}");
            let upper = project.courses.segments.iter().filter(|s| s.zone == project.zones.zones[1].id).count();
            assert!(upper >= 7, "{work} {jog}: {upper} pieces above the upper eave");
            assert_eq!(faults(&file, THREE_TAB), Vec::<String>::new(), "{work} {jog}");
        }
    }
}

/// A stretch between stations, the eave above an entry, an exclusion and a row of snow guards: laid, fed, and clear of all.
#[test]
fn partial_zones_and_what_is_kept_free() {
    let plan = std::fs::read(std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("samples/gable/plan.dxf")).unwrap();
    let (whole, _) = drafted_as_drawn(&plan, "");
    let eave = whole.zones.zones[0].edges[0];
    let job = format!(
        "[[roof.edge]]\ntag = \"{eave}\"\nfrom = \"4 ft\"\nto = \"30 ft\"\nreason = \"shade\"\npriority = 2\n\
         [heat]\n[[heat.fastener]]\nat = [{x}, {y}]\nto = [{x2}, {y}]\nspacing = \"3 ft\"\nkind = \"snow-guard\"\n",
        x = inside(&whole, 0.3, 24.0).0,
        y = inside(&whole, 0.3, 24.0).1,
        x2 = inside(&whole, 0.7, 24.0).0,
    );
    let (partial, file) = drafted_as_drawn(&plan, &job);
    assert_eq!(faults(&file, THREE_TAB), Vec::<String>::new());
    let zone = &partial.zones.zones[0];
    assert_eq!((zone.along.low, zone.along.high, zone.priority), (48.0, 360.0, 2));
    assert!(list(&file, "keep_outs").len() >= 4, "{}", list(&file, "keep_outs").len());
    let on_it = |project: &Project| {
        project.courses.segments.iter().filter(|s| s.zone == zone.id).map(|s| s.cut_length).sum::<f64>()
    };
    assert!(on_it(&partial) < 0.7 * on_it(&whole));
    // The verifier itself: guards moved over the elements are found.
    let mut spoilt = file.clone();
    let (a, b) = (spoilt["segments"][0]["a"].clone(), spoilt["segments"][0]["b"].clone());
    spoilt["keep_outs"][0]["low"] = a;
    spoilt["keep_outs"][0]["high"] = b;
    assert!(faults(&spoilt, THREE_TAB).iter().any(|f| f.contains("from what is kept free")));
}

fn drafted_as_drawn(plan: &[u8], job: &str) -> (Project, Value) {
    let job = Job::from_toml(job, &Catalogue::sample()).unwrap_or_else(|e| panic!("{e}")).value;
    let project = lay_out(survey(plan, &job).unwrap(), job).unwrap();
    let file = serde_json::from_slice(&json_bytes(&project_json(&project)).unwrap()).unwrap();
    (project, file)
}

/// A drawing point over the first zone's eave at a share of its length, so far in from it in plan inches.
fn inside(project: &Project, share: f64, inches: f64) -> P {
    let roof = &project.survey.roof;
    let zone = &project.zones.zones[0];
    let layout = project.zones.layout(zone.face).unwrap();
    let line = roof.segment(zone.edges[0]);
    let at = line.a.lerp(line.b, share) + layout.frame.uphill * inches;
    let drawn = project.survey.linework.frame.plan_to_drawing(at);
    (drawn.x, drawn.y)
}
