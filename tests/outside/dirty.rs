//! The same roofs drawn cleanly and drawn by a person in a hurry: the faces must be the same.

#![expect(clippy::print_stdout, reason = "a harness prints its counts")]

use eavesdraft::geometry::Point2;
use eavesdraft::import::{SourceFrame, import};
use eavesdraft::index::FaceId;
use eavesdraft::job::DrawingSettings;
use eavesdraft::plan::{check_invariants, plan};
use std::path::{Path, PathBuf};

/// A face in drawing coordinates (metres): its area and the middle of its box.
#[derive(Debug, Clone, Copy)]
struct Face {
    area: f64,
    middle: Point2,
    around: f64,
}

fn faces(file: &Path) -> Result<Vec<Face>, String> {
    let settings =
        DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 8640.0 };
    let bytes = std::fs::read(file).unwrap();
    let linework = import(&bytes, &settings).map_err(|error| error.to_string())?.value;
    let plan = plan(&linework, &settings).map_err(|error| error.to_string())?.value;
    let broken = check_invariants(&plan);
    if !broken.is_empty() {
        return Err(format!("{broken:?}"));
    }
    let SourceFrame { inches_per_unit: k, .. } = linework.frame;
    Ok((0..plan.faces.len())
        .map(|face| {
            let region = plan.region(FaceId::new(face));
            let middle = region.exterior.bounds().unwrap().center();
            let around = region.exterior.sides().map(|side| side.length()).sum::<f64>();
            let around =
                around + region.holes.iter().flat_map(|hole| hole.sides()).map(|side| side.length()).sum::<f64>();
            let middle = linework.frame.plan_to_drawing(middle);
            Face { area: region.area() / (k * k), middle, around: around / k }
        })
        .collect())
}

/// Ends are drawn up to 3 mm off and the tolerance is half an inch, so a side may lie that far from its true place.
const SLACK: f64 = 0.0127;

fn compare(clean: &Path, dirty: &Path) -> Result<(), String> {
    let (wanted, mut found) = (faces(clean)?, faces(dirty)?);
    if wanted.len() != found.len() {
        let areas = |faces: &[Face]| faces.iter().map(|f| format!("{:.2}", f.area)).collect::<Vec<_>>().join(" ");
        return Err(format!("{} faces ({}), not {} ({})", found.len(), areas(&found), wanted.len(), areas(&wanted)));
    }
    for face in wanted {
        let fits = |other: &Face| {
            (other.area - face.area).abs() <= SLACK * face.around && other.middle.distance(face.middle) <= 2.0 * SLACK
        };
        let Some(at) = found.iter().position(fits) else {
            return Err(format!("no face of {:.3} sq m at {:?}", face.area, face.middle));
        };
        found.swap_remove(at);
    }
    Ok(())
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn dirty_drawings_give_the_faces_of_clean_ones() {
    let data = PathBuf::from(std::env::var_os("EAVESDRAFT_DATA").expect("EAVESDRAFT_DATA names the data folder"));
    let (mut count, mut wrong) = (0, Vec::new());
    for folder in ["traced_main", "traced_flat", "traced_hand", "city_main", "city_parts", "city_step"] {
        let entries = std::fs::read_dir(data.join("roofs").join(folder)).unwrap();
        let mut files: Vec<PathBuf> = entries.map(|entry| entry.unwrap().path()).collect();
        files.retain(|file| file.to_string_lossy().ends_with(".dirty.dxf"));
        files.sort();
        let before = (count, wrong.len());
        for dirty in files {
            count += 1;
            let clean = PathBuf::from(dirty.to_string_lossy().replace(".dirty.", ".plan."));
            if let Err(words) = compare(&clean, &dirty) {
                wrong.push(format!("{folder}/{}: {words}", dirty.file_name().unwrap().to_string_lossy()));
            }
        }
        println!("{folder}: {} of {} equal", count - before.0 - (wrong.len() - before.1), count - before.0);
    }
    println!("{}", wrong.join("\n"));
    assert!(count >= 340, "only {count} dirty drawings");
    assert!(wrong.is_empty(), "{} of {count} dirty drawings give other faces", wrong.len());
}
