//! Outlines of real and made roofs: a checked roof or a question in words, never a panic.

use eavesdraft::catalog::Catalogue;
use eavesdraft::finding::Severity;
use eavesdraft::geometry::{Plane, Point2, Region, Segment2};
use eavesdraft::job::{EdgeHint, Job, Setting, Target};
use eavesdraft::roof::Roof;
use eavesdraft::terms::EdgeKind;
use serde_json::Value;
use std::path::{Path, PathBuf};

fn outlines() -> Vec<PathBuf> {
    let data = std::env::var("EAVESDRAFT_DATA").unwrap_or_else(|_| "../shared/data".into());
    let Ok(sets) = std::fs::read_dir(Path::new(&data).join("roofs")) else { return Vec::new() };
    let mut files: Vec<PathBuf> = sets
        .filter_map(|set| std::fs::read_dir(set.unwrap().path()).ok())
        .flat_map(|files| files.map(|f| f.unwrap().path()))
        .filter(|f| f.to_string_lossy().ends_with(".outline.dxf"))
        .collect();
    files.sort();
    files
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn every_outline_gives_a_checked_roof_or_a_question() {
    let files = outlines();
    assert!(!files.is_empty() || std::env::var("EAVESDRAFT_REQUIRE").is_err(), "no outlines");
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.roof.default_pitch = Setting::given(0.5);
    let (mut roofed, mut asked, mut refused, mut wrong) = (0, 0, 0, Vec::new());
    for file in &files {
        let bytes = std::fs::read(file).unwrap();
        let survey = match eavesdraft::pipeline::survey(&bytes, &job) {
            Ok(survey) => survey,
            Err(error) => {
                println!("{}: [{}] {}", file.display(), error.code, error.message);
                refused += 1;
                continue;
            }
        };
        let flaws = eavesdraft::roof::check_invariants(&survey.roof);
        if !flaws.is_empty() {
            wrong.push(format!("{}: {flaws:?}", file.display()));
        }
        if let Some(finding) = survey.findings.iter().find(|f| f.severity == Severity::Blocking) {
            println!("{}: [{}] {}", file.display(), finding.code, finding.message);
            asked += 1;
        } else {
            assert!(survey.findings.iter().any(|f| f.code == "outline-roofed"), "{}", file.display());
            roofed += 1;
        }
    }
    println!("{} outlines: {roofed} roofed, {asked} asked about, {refused} refused", files.len());
    assert!(wrong.is_empty(), "{wrong:#?}");
    assert!(roofed == files.len(), "{asked} asked about, {refused} refused");
}

const INCHES: f64 = 1000.0 / 25.4;

/// A house of the data: its faces in plan with their planes, in metres, and the middles of its eaves with their pitches.
struct House {
    faces: Vec<(Region, Plane)>,
    nodes: Vec<Point2>,
    eaves: Vec<(Point2, f64)>,
    /// Middle and kind of each ridge, hip and valley.
    folds: Vec<(Point2, EdgeKind)>,
}

/// Reads a house whose outline is eaves all round, all at one height; `None` for others.
fn all_hip(file: &Value) -> Option<House> {
    let number = |v: &Value| v.as_f64().unwrap();
    let list = |v: &Value| v.as_array().cloned().unwrap_or_default();
    if !list(&file["holes"]).iter().all(|h| list(h).is_empty()) {
        return None;
    }
    let vertices: Vec<[f64; 3]> =
        file["vertices"].as_array().unwrap().iter().map(|v| [number(&v[0]), number(&v[1]), number(&v[2])]).collect();
    let planes: Vec<Plane> =
        list(&file["planes"]).iter().map(|p| Plane { a: number(&p[0]), b: number(&p[1]), c: number(&p[2]) }).collect();
    let (mut eaves, mut folds) = (Vec::new(), Vec::new());
    let (mut low, mut high) = (f64::INFINITY, f64::NEG_INFINITY);
    for edge in list(&file["edges"]) {
        let faces = list(&edge["faces"]);
        let ends: Vec<[f64; 3]> = list(&edge["v"]).iter().map(|v| vertices[v.as_u64().unwrap() as usize]).collect();
        let middle = Point2::new(0.5 * (ends[0][0] + ends[1][0]), 0.5 * (ends[0][1] + ends[1][1]));
        let [face] = faces.as_slice() else {
            let fold = match edge["kind"].as_str() {
                Some("ridge") => Some(EdgeKind::Ridge),
                Some("hip") => Some(EdgeKind::Hip),
                Some("valley") => Some(EdgeKind::Valley),
                _ => None,
            };
            folds.extend(fold.map(|kind| (middle, kind)));
            continue;
        };
        if edge["kind"] != "eave" {
            return None;
        }
        for end in &ends {
            (low, high) = (low.min(end[2]), high.max(end[2]));
        }
        eaves.push((middle, planes[face.as_u64().unwrap() as usize].pitch()));
    }
    if high - low > 1e-3 {
        return None;
    }
    let at = |v: usize| Point2::new(vertices[v][0], vertices[v][1]);
    let faces = list(&file["faces"])
        .iter()
        .map(|ring| Region::simple(list(ring).iter().map(|v| at(v.as_u64().unwrap() as usize)).collect()))
        .zip(planes.iter().map(|p| Plane { c: p.c - low, ..*p }))
        .collect();
    Some(House { faces, nodes: (0..vertices.len()).map(at).collect(), eaves, folds })
}

/// Height over a point of the plan: that of the face it lies in, or is nearest to.
fn height(faces: &[(Region, Plane)], at: Point2) -> f64 {
    let off = |r: &Region| if r.contains(at) { 0.0 } else { r.exterior.distance_to(at) };
    let nearest = faces.iter().min_by(|a, b| off(&a.0).total_cmp(&off(&b.0))).unwrap();
    nearest.1.height(at)
}

/// The faces of a roof in metres and drawing coordinates.
fn faces_of(roof: &Roof, frame: &eavesdraft::import::SourceFrame) -> Vec<(Region, Plane)> {
    let origin = frame.plan_to_drawing(Point2::new(0.0, 0.0));
    roof.faces
        .iter()
        .map(|face| {
            let ring = roof.region(face.id).exterior.points.iter().map(|&p| frame.plan_to_drawing(p)).collect();
            let Plane { a, b, c } = face.plane;
            (Region::simple(ring), Plane { a, b, c: c / INCHES - a * origin.x - b * origin.y })
        })
        .collect()
}

/// A house that is eaves all round, with the pitch of each eave from its heights: the roof over its bare outline is the roof that was
/// measured, at every corner of either.
#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn all_hip_houses_equal_their_plan() {
    let files = outlines();
    assert!(!files.is_empty() || std::env::var("EAVESDRAFT_REQUIRE").is_err(), "no outlines");
    let (mut houses, mut equal, mut refused, mut other) = (0, 0, Vec::new(), Vec::new());
    let (mut folds, mut alike, mut most): (usize, usize, f64) = (0, 0, 0.0);
    for file in &files {
        let truth = file.to_string_lossy().replace(".outline.dxf", ".json");
        let Some(house) = all_hip(&serde_json::from_slice(&std::fs::read(&truth).unwrap()).unwrap()) else { continue };
        houses += 1;
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.roof.edges = house
            .eaves
            .iter()
            .map(|&(middle, pitch)| EdgeHint { pitch: Some(pitch), ..EdgeHint::of(Target::Near(middle), 1) })
            .collect();
        let survey = eavesdraft::pipeline::survey(&std::fs::read(file).unwrap(), &job).unwrap();
        if let Some(finding) = survey.findings.iter().find(|f| f.severity == Severity::Blocking) {
            refused.push(format!("{truth}: {}", finding.message));
            continue;
        }
        let ours = faces_of(&survey.roof, &survey.linework.frame);
        let corners = survey.roof.points.iter().map(|&p| survey.linework.frame.plan_to_drawing(p));
        let apart = |p: Point2| (height(&ours, p) - height(&house.faces, p)).abs();
        let worst = corners.chain(house.nodes.iter().copied()).map(apart).fold(0.0, f64::max);
        let same_kind = |&(middle, kind): &(Point2, EdgeKind)| {
            let to_metres = |p: Point2| survey.linework.frame.plan_to_drawing(p);
            let line = |e: &eavesdraft::roof::RoofEdge| {
                let s = survey.roof.segment(e.id);
                Segment2::new(to_metres(s.a), to_metres(s.b))
            };
            survey.roof.edges.iter().any(|e| e.kind == kind && line(e).distance_to(middle) < 0.02)
        };
        folds += house.folds.len();
        alike += house.folds.iter().filter(|f| same_kind(f)).count();
        most = worst.max(most);
        if worst < 0.01 {
            equal += 1;
        } else {
            other.push(format!("{truth}: {worst:.3} m, {} faces for {}", ours.len(), house.faces.len()));
        }
    }
    println!(
        "{houses} houses, {equal} equal within 1 cm (at most {most:.6} m), {} refused, {} other",
        refused.len(),
        other.len()
    );
    println!("{alike} of {folds} ridges, hips and valleys of the same kind");
    println!("{}\n{}", refused.join("\n"), other.join("\n"));
    assert!(houses > 0 || files.is_empty());
    assert!(other.is_empty(), "{other:#?}");
    assert!(alike == folds, "{alike} of {folds} folds");
}
