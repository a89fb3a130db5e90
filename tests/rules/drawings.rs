//! Small drawings of one matter each, through reading and planning.

use eavesdraft::finding::Finding;
use eavesdraft::import::{Linework, OpeningKind, import};
use eavesdraft::job::DrawingSettings;
use eavesdraft::plan::{PlanGraph, plan};

/// Groups written as `LINE 8=A-ROOF 10=1.5`; a bare word is a group of code 0. `_` in a value is a blank.
fn groups(text: &str) -> String {
    text.split_whitespace()
        .map(|word| match word.split_once('=') {
            Some((code, value)) => format!("{code}\n{}\n", value.replace('_', " ")),
            None => format!("0\n{word}\n"),
        })
        .collect()
}

fn file(blocks: &str, entities: &str) -> Vec<u8> {
    let header = "SECTION 2=HEADER 9=$ACADVER 1=AC1015 9=$INSUNITS 70=1 ENDSEC";
    groups(&format!("{header} SECTION 2=BLOCKS {blocks} ENDSEC SECTION 2=ENTITIES {entities} ENDSEC EOF")).into_bytes()
}

fn settings() -> DrawingSettings {
    DrawingSettings { units: None, roof_layers: Vec::new(), gap_tolerance: 0.5, opening_area_limit: 8640.0 }
}

fn planned(bytes: &[u8]) -> (Linework, PlanGraph, Vec<Finding>) {
    let read = import(bytes, &settings()).unwrap();
    let drawn = plan(&read.value, &settings()).unwrap();
    (read.value, drawn.value, read.findings.into_iter().chain(drawn.findings).collect())
}

/// A gable of 40 ft by 24 ft at a place, its ridge along x.
fn gable(layer: &str, x: i32, y: i32) -> String {
    let (right, top, ridge) = (x + 480, y + 288, y + 144);
    format!(
        "LWPOLYLINE 8={layer} 70=1 10={x} 20={y} 10={right} 20={y} 10={right} 20={top} 10={x} 20={top} \
         LINE 8={layer} 10={x} 20={ridge} 11={right} 21={ridge} "
    )
}

#[test]
fn roofs_on_one_sheet_are_numbered_left_to_right() {
    let all = gable("A-ROOF", 1200, 0) + &gable("A-ROOF", 0, 0) + &gable("A-ROOF", 0, 900);
    let (_, plan, _) = planned(&file("", &all));
    assert_eq!((plan.roofs.len(), plan.faces.len()), (3, 6));
    let lows: Vec<(f64, f64)> = plan
        .roofs
        .iter()
        .map(|roof| {
            let points = plan.region(roof.faces[0]).exterior.points;
            points.iter().fold((f64::INFINITY, f64::INFINITY), |low, p| (low.0.min(p.x), low.1.min(p.y)))
        })
        .collect();
    assert!(lows[0].0 == lows[1].0 && lows[0].1 < lows[1].1 && lows[2].0 > lows[1].0, "{lows:?}");
}

/// Everything on layer 0: three grid lines run across the roof and end on bubbles with their names.
#[test]
fn a_grid_on_the_roof_s_own_layer_is_not_roof() {
    let bubble =
        |x: i32, y: i32, name: &str| format!("CIRCLE 8=0 10={x} 20={y} 40=24 TEXT 8=0 10={x} 20={y} 40=12 1={name} ");
    let grid = (1..=3)
        .map(|i| {
            let x = 120 * i;
            format!("LINE 8=0 10={x} 20=-96 11={x} 21=400 {}", bubble(x, -120, &i.to_string()))
        })
        .collect::<String>();
    let (_, alone, _) = planned(&file("", &gable("0", 0, 0)));
    let (_, plan, findings) = planned(&file("", &(gable("0", 0, 0) + &grid)));
    assert_eq!((plan.faces.len(), plan.edges.len()), (alone.faces.len(), alone.edges.len()));
    assert_eq!(findings.iter().filter(|f| f.code == "grid-left-out").count(), 1, "{findings:?}");
    // One line that ends on a numbered vent stays what it is.
    let vent = bubble(480 + 24, 144, "7");
    let (_, _, findings) = planned(&file("", &(gable("0", 0, 0) + &vent)));
    assert!(findings.iter().all(|f| f.code != "grid-left-out"), "{findings:?}");
}

#[test]
fn a_roof_drawn_in_a_turned_block_has_its_faces() {
    let block = format!("BLOCK 2=HOUSE 10=0 20=0 {} ENDBLK", gable("0", 0, 0));
    let (linework, plan, _) = planned(&file(&block, "INSERT 8=A-ROOF 2=HOUSE 10=5000 20=3000 50=30"));
    assert_eq!((plan.roofs.len(), plan.faces.len()), (1, 2));
    assert!((plan.region(plan.roofs[0].faces[0]).area() - 480.0 * 144.0).abs() < 1e-3);
    assert!(linework.origins.iter().all(|origin| origin.block_path == ["HOUSE"]));
}

#[test]
fn a_roof_on_a_bound_reference_is_the_roof() {
    let around = gable("site$0$A-FLOR", 2000, 0);
    let (linework, plan, _) = planned(&file("", &(gable("house$0$A-ROOF", 0, 0) + &around)));
    assert_eq!(plan.faces.len(), 2);
    assert!(linework.origins.iter().all(|origin| origin.layer == "house$0$A-ROOF"));
}

/// A chimney of 4 ft by 2 ft across the ridge lies half on each face, with one id.
#[test]
fn a_chimney_on_the_ridge_lies_on_both_faces() {
    let chimney = "LWPOLYLINE 8=A-ROOF-CHIM 70=1 10=200 20=132 10=248 20=132 10=248 20=156 10=200 20=156";
    let (_, plan, _) = planned(&file("", &(gable("A-ROOF", 0, 0) + chimney)));
    let [opening] = &plan.openings[..] else { panic!("{:?}", plan.openings) };
    assert_eq!((opening.kind, opening.parts.len()), (OpeningKind::Chimney, 2));
    assert!(opening.parts.iter().all(|(_, part)| (part.area() - 48.0 * 12.0).abs() < 1e-6));
}

/// A skylight across a valley is cut where the valley runs: the valley from (0, 0) to (288, 288) halves a square on it.
#[test]
fn a_skylight_across_a_valley_lies_on_both_faces() {
    let line = |a: i32, b: i32, c: i32, d: i32| format!("LINE 8=A-ROOF 10={a} 20={b} 11={c} 21={d} ");
    let outline =
        "LWPOLYLINE 8=A-ROOF 70=1 10=-300 20=0 10=0 20=0 10=0 20=-300 10=288 20=-300 10=288 20=288 10=-300 20=288 ";
    let skylight = "LWPOLYLINE 8=A-ROOF-SKYL 70=1 10=100 20=100 10=148 20=100 10=148 20=148 10=100 20=148";
    let (_, plan, _) = planned(&file("", &(outline.to_owned() + &line(0, 0, 288, 288) + skylight)));
    let [opening] = &plan.openings[..] else { panic!("{:?}", plan.openings) };
    assert_eq!(opening.parts.len(), 2);
    assert!(opening.parts.iter().all(|(_, part)| (part.area() - 48.0 * 48.0 / 2.0).abs() < 1e-6));
}

#[test]
fn walls_under_the_roof_are_the_exterior_wall_line() {
    let walls = "LWPOLYLINE 8=A-WALL 70=1 10=12 20=12 10=468 20=12 10=468 20=276 10=12 20=276";
    let (_, plan, _) = planned(&file("", &(gable("A-ROOF", 0, 0) + walls)));
    let length: f64 = plan.walls.iter().map(|wall| wall.length()).sum();
    assert_eq!((plan.walls.len(), plan.faces.len()), (4, 2));
    assert!((length - 2.0 * (456.0 + 264.0)).abs() < 1e-9);
}

#[test]
fn a_pitch_no_roof_has_is_told() {
    let note = "TEXT 8=A-ANNO-TEXT 10=200 20=60 40=6 1=999:12";
    let (_, plan, findings) = planned(&file("", &(gable("A-ROOF", 0, 0) + note)));
    assert!(plan.notes.is_empty());
    let finding = findings.iter().find(|finding| finding.code == "pitch-not-possible").unwrap();
    assert!(finding.message.contains("999:12") && finding.place.at.is_some(), "{finding:?}");
}

/// An array of 2 by 32,767 is below any bound on one count, and far above what its file of 300 bytes may ask for.
#[test]
fn arrays_are_kept_in_proportion_to_the_file() {
    let line = "BLOCK 2=L 10=0 20=0 LINE 8=0 10=0 20=0 11=10 21=5 ENDBLK";
    let rows = "BLOCK 2=R 10=0 20=0 INSERT 8=0 2=L 10=0 20=0 70=200 71=1 44=20 ENDBLK";
    for insert in [
        "INSERT 8=ROOF 2=L 10=0 20=0 70=2 71=32767 44=100 45=50",
        "INSERT 8=ROOF 2=R 10=0 20=0 71=600 45=30",
        "INSERT 8=0 2=R 10=0 20=0 71=600 45=30",
    ] {
        let error = import(&file(&format!("{line} {rows}"), insert), &settings()).unwrap_err();
        // As many parallel lines as may be read are boarding before they are too many.
        assert!(matches!(error.code, "too-large" | "framing"), "{insert}: {error:?}");
    }
    // Rows of standing seams, drawn as an array, are read.
    let seams = "INSERT 8=ROOF 2=L 10=0 20=0 70=20 71=10 44=24 45=24";
    assert_eq!(import(&file(line, seams), &settings()).unwrap().value.paths.len(), 200);
    // Circles of a mile are curves of thousands of points each.
    let circles: String = (0..400).map(|x| format!("CIRCLE 8=A-ROOF 10={x} 20=0 40=90000 ")).collect();
    let error = import(&file("", &circles), &settings()).unwrap_err();
    assert!(matches!(error.code, "too-large" | "framing"), "{error:?}");
}

/// Named layers hold the roof, and what else is drawn is listed after them.
#[test]
fn other_layers_are_listed_as_runners_up() {
    let others = gable("A-FLOR", 2000, 0) + "LINE 8=S-GRID 10=-900 20=0 11=900 21=900 TEXT 8=NOTES 10=0 20=0 40=4 1=X";
    let (linework, ..) = planned(&file("", &(gable("A-ROOF", 0, 0) + &others)));
    let listed: Vec<(&str, bool)> =
        linework.drawing.candidates.iter().map(|candidate| (candidate.words.as_str(), candidate.chosen)).collect();
    assert_eq!(listed, [("layer A-ROOF", true), ("layer A-FLOR", false)]);
}
