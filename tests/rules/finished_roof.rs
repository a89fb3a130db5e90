//! The samples' finished roofs against the verifier.

use crate::verifier::{ShingleData, THREE_TAB, faults, list};
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
}
