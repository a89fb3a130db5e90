//! Faces rebuilt from the linework of traced and surveyed roofs, against their published corners.

use eavesdraft::geometry::{Point3, Ring};
use eavesdraft::import::import;
use eavesdraft::index::FaceId;
use eavesdraft::job::DrawingSettings;
use eavesdraft::plan::{PlanGraph, check_invariants, plan};
use std::collections::BTreeMap;

/// Inches in a metre.
const METRE: f64 = 1000.0 / 25.4;

fn settings() -> DrawingSettings {
    DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 60.0 * 144.0 }
}

/// Areas of the true faces in square inches, rising. With `heights`, neighbours on one plane count as one face: facets cannot
/// tell them apart, and the data set keeps some because they were surveyed apart.
fn true_areas(truth: &serde_json::Value, heights: bool) -> Vec<f64> {
    let number = |v: &serde_json::Value| v.as_f64().unwrap();
    let corner = |i: usize| {
        let p = &truth["vertices"][i];
        Point3::new(number(&p[0]) * METRE, number(&p[1]) * METRE, number(&p[2]) * METRE)
    };
    let faces: Vec<Vec<usize>> = list(&truth["faces"])
        .iter()
        .map(|face| list(face).iter().map(|i| usize::try_from(i.as_u64().unwrap()).unwrap()).collect())
        .collect();
    let slope = |face: usize| [0, 1].map(|k| number(&truth["planes"][face][k]));
    let height = |face: usize, v: usize| {
        let p = &truth["planes"][face];
        let at = corner(v).plan();
        number(&p[0]) * at.x + number(&p[1]) * at.y + number(&p[2]) * METRE
    };
    let mut group: Vec<usize> = (0..faces.len()).collect();
    for (a, b) in (0..faces.len()).flat_map(|a| (0..a).map(move |b| (a, b))).filter(|_| heights) {
        let shared: Vec<usize> = faces[a].iter().copied().filter(|v| faces[b].contains(v)).collect();
        let turn = slope(a).iter().zip(slope(b)).map(|(p, q)| (p - q).abs()).fold(0.0, f64::max);
        if shared.len() >= 2 && turn < 0.015 && shared.iter().all(|&v| (height(a, v) - height(b, v)).abs() < 1.0) {
            let (old, new) = (group[a], group[b]);
            group.iter_mut().filter(|g| **g == old).for_each(|g| *g = new);
        }
    }
    let mut sums: BTreeMap<usize, f64> = BTreeMap::new();
    for (face, corners) in faces.iter().enumerate() {
        let ring = Ring::new(corners.iter().map(|&i| corner(i).plan()).collect());
        *sums.entry(group[face]).or_default() += ring.signed_area();
    }
    let mut areas: Vec<f64> = sums.into_values().collect();
    areas.sort_by(f64::total_cmp);
    areas
}

fn list(value: &serde_json::Value) -> &[serde_json::Value] {
    value.as_array().unwrap()
}

fn areas(plan: &PlanGraph) -> Vec<f64> {
    let mut areas: Vec<f64> = (0..plan.faces.len()).map(|face| plan.region(FaceId::new(face)).area()).collect();
    areas.sort_by(f64::total_cmp);
    areas
}

/// What is wrong with the faces of one drawing; `slack` is how far an edge may lie from the truth, inches.
fn compare(dxf: &[u8], truth: &serde_json::Value, slack: f64) -> Result<(), String> {
    let linework = import(dxf, &settings()).map_err(|e| e.to_string())?.value;
    let plan = plan(&linework, &settings()).map_err(|e| e.to_string())?.value;
    let broken = check_invariants(&plan);
    if !broken.is_empty() {
        return Err(format!("{broken:?}"));
    }
    let (found, expected) = (areas(&plan), true_areas(truth, !linework.facets.is_empty()));
    if found.len() != expected.len() {
        return Err(format!("{} faces, truly {}", found.len(), expected.len()));
    }
    for (a, b) in found.iter().zip(&expected) {
        if (a - b).abs() > slack * 8.0 * b.sqrt() + 1e-3 * slack {
            return Err(format!("a face of {a} sq in, truly {b}"));
        }
    }
    Ok(())
}

fn measure(folder: &str, variant: &str, slack: f64, least: usize, share: f64) {
    let data = std::env::var("EAVESDRAFT_DATA").expect("EAVESDRAFT_DATA names the data folder");
    let mut names: Vec<std::path::PathBuf> = std::fs::read_dir(format!("{data}/roofs/{folder}"))
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|e| e == "json"))
        .collect();
    names.sort();
    let mut wrong = Vec::new();
    for name in &names {
        let truth = serde_json::from_str(&std::fs::read_to_string(name).unwrap()).unwrap();
        let dxf = std::fs::read(name.with_extension(format!("{variant}.dxf"))).unwrap();
        if let Err(words) = compare(&dxf, &truth, slack) {
            wrong.push(format!("{}: {words}", name.file_stem().unwrap().display()));
        }
    }
    let right = names.len() - wrong.len();
    println!("{folder} {variant}: {right} of {} right\n{}", names.len(), wrong.join("\n"));
    assert!(names.len() >= least, "only {} roofs in {folder}", names.len());
    assert!(right as f64 >= share * names.len() as f64, "{folder} {variant}: {right} of {} right", names.len());
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn plan_lines_give_the_faces_exactly() {
    measure("traced_main", "plan", 1e-3, 70, 1.0);
    measure("city_main", "plan", 1e-3, 70, 1.0);
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn dirty_lines_give_the_faces() {
    measure("traced_main", "dirty", 0.5, 70, 0.99);
    measure("city_main", "dirty", 0.5, 70, 0.99);
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn facets_give_the_faces_exactly() {
    measure("traced_main", "faces", 1e-3, 70, 1.0);
    measure("city_main", "faces", 1e-3, 70, 1.0);
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn roofs_with_walls_inside_keep_their_faces() {
    for variant in ["plan", "faces", "dirty"] {
        measure("city_step", variant, 0.5, 50, 0.95);
        measure("city_parts", variant, 0.5, 50, 0.97);
        measure("traced_flat", variant, 0.5, 20, 1.0);
    }
}
