//! The roof stage against real roofs with measured heights.

use eavesdraft::geometry::{Plane, Point2, Ring};
use eavesdraft::import::SourceFrame;
use eavesdraft::index::{EdgeId, FaceId, NodeId, OriginId, RoofId};
use eavesdraft::job::Job;
use eavesdraft::plan::{HalfEdge, PlacedArrow, PlanEdge, PlanFace, PlanGraph, PlanRoof};
use eavesdraft::roof::{Basis, Roof};
use eavesdraft::terms::EdgeKind;
use eavesdraft::units::DrawingUnit;
use serde_json::Value;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

const INCHES: f64 = 1000.0 / 25.4;
/// Flatter than 2 degrees is flat, as the data has it.
const FLAT: f64 = 0.035;

/// A roof of the data: its plan and the true kinds of each edge (kind, kind accepted too).
struct Truth {
    plan: PlanGraph,
    kinds: Vec<Option<[String; 2]>>,
}

fn data(folder: &str) -> Option<PathBuf> {
    let root = match std::env::var("EAVESDRAFT_DATA") {
        Ok(root) => PathBuf::from(root),
        Err(_) if std::env::var("EAVESDRAFT_REQUIRE").is_ok() => panic!("EAVESDRAFT_DATA names no folder"),
        Err(_) => return None,
    };
    let path = root.join("roofs").join(folder);
    assert!(path.is_dir(), "{} is missing", path.display());
    Some(path)
}

fn truths(folder: &Path, heights: bool) -> Vec<(String, Truth)> {
    let mut files: Vec<PathBuf> =
        std::fs::read_dir(folder).expect("truth data").map(|f| f.expect("truth data").path()).collect();
    files.sort();
    files
        .iter()
        .filter(|p| p.extension().is_some_and(|e| e == "json"))
        .map(|path| {
            let name = path.file_stem().expect("truth data").to_string_lossy().into_owned();
            (
                name,
                read(&serde_json::from_slice(&std::fs::read(path).expect("truth data")).expect("truth data"), heights),
            )
        })
        .collect()
}

fn ids(value: &Value) -> Vec<usize> {
    value.as_array().expect("truth data").iter().map(|v| v.as_u64().expect("truth data") as usize).collect()
}

/// The truth file as the plan stage would hand it over.
#[expect(clippy::too_many_lines, reason = "one pass over the fields of the truth file")]
fn read(file: &Value, heights: bool) -> Truth {
    let number = |v: &Value| v.as_f64().expect("truth data");
    let mut nodes: Vec<Point2> = Vec::new();
    let node_of: Vec<usize> = file["vertices"]
        .as_array()
        .expect("truth data")
        .iter()
        .map(|v| {
            let p = Point2::new(number(&v[0]) * INCHES, number(&v[1]) * INCHES);
            nodes.iter().position(|&q| q == p).unwrap_or_else(|| {
                nodes.push(p);
                nodes.len() - 1
            })
        })
        .collect();
    let rings: Vec<Vec<usize>> = file["faces"]
        .as_array()
        .expect("truth data")
        .iter()
        .map(|f| {
            let mut ring: Vec<usize> = ids(f).into_iter().map(|v| node_of[v]).collect();
            ring.dedup();
            let area = Ring::new(ring.iter().map(|&n| nodes[n]).collect()).signed_area();
            if area < 0.0 {
                ring.reverse();
            }
            ring
        })
        .collect();
    let mut pairs: BTreeMap<(usize, usize), PlanEdge> = BTreeMap::new();
    for (face, ring) in rings.iter().enumerate() {
        for (i, &from) in ring.iter().enumerate() {
            let to = ring[(i + 1) % ring.len()];
            let edge = pairs.entry((from.min(to), from.max(to))).or_insert_with(|| PlanEdge {
                ends: [NodeId::new(from.min(to)), NodeId::new(from.max(to))],
                left: None,
                right: None,
                sources: vec![OriginId(0)],
            });
            if from < to { edge.left = Some(FaceId::new(face)) } else { edge.right = Some(FaceId::new(face)) }
        }
    }
    let position: BTreeMap<(usize, usize), usize> = pairs.keys().enumerate().map(|(i, &k)| (k, i)).collect();
    let faces = rings
        .iter()
        .enumerate()
        .map(|(face, ring)| PlanFace {
            roof: RoofId(0),
            exterior: (0..ring.len())
                .map(|i| {
                    let (from, to) = (ring[i], ring[(i + 1) % ring.len()]);
                    HalfEdge { edge: EdgeId::new(position[&(from.min(to), from.max(to))]), forward: from < to }
                })
                .collect(),
            holes: Vec::new(),
            plane: heights.then(|| {
                let p = &file["planes"][face];
                Plane { a: number(&p[0]), b: number(&p[1]), c: number(&p[2]) * INCHES }
            }),
        })
        .collect();
    let mut kinds = vec![None; pairs.len()];
    for edge in file["edges"].as_array().expect("truth data") {
        let v: Vec<usize> = ids(&edge["v"]).into_iter().map(|v| node_of[v]).collect();
        let word = |key: &str| edge.get(key).and_then(Value::as_str).map(plain).map(str::to_owned);
        let kind = word("kind").expect("truth data");
        if let Some(&at) = position.get(&(v[0].min(v[1]), v[0].max(v[1]))) {
            kinds[at] = Some([kind.clone(), word("kind_basic").unwrap_or(kind)]);
        }
    }
    let count = rings.len();
    let plan = PlanGraph {
        nodes,
        edges: pairs.into_values().collect(),
        faces,
        roofs: vec![PlanRoof {
            faces: (0..count).map(FaceId::new).collect(),
            outline_only: count == 1 && !heights,
            has_heights: heights,
        }],
        ..PlanGraph::default()
    };
    Truth { plan, kinds }
}

fn plain(kind: &str) -> &str {
    match kind {
        "valley-level" => "valley",
        "headwall" | "high" => "high-edge",
        other => other,
    }
}

fn scored(kind: &str) -> bool {
    !["ambiguous", "flat-break", "flat-edge"].contains(&kind)
}

fn word(kind: EdgeKind) -> String {
    serde_json::to_value(kind).expect("truth data").as_str().expect("truth data").to_owned()
}

fn stage(plan: &PlanGraph) -> Roof {
    let job = Job::with_defaults(&eavesdraft::catalog::Catalogue::sample()).expect("truth data");
    let frame = SourceFrame {
        units: DrawingUnit::Metres,
        inches_per_unit: INCHES,
        origin: eavesdraft::geometry::Point3::new(0.0, 0.0, 0.0),
    };
    eavesdraft::roof::roof(plan, &frame, &job.roof).expect("truth data").value
}

/// Counts over a folder.
#[derive(Debug, Default)]
struct Tally {
    roofs: usize,
    right: usize,
    certain: usize,
    certain_wrong: usize,
    asked_right: usize,
}

impl Tally {
    fn add(&mut self, other: &Tally) {
        self.roofs += other.roofs;
        self.right += other.right;
        self.certain += other.certain;
        self.certain_wrong += other.certain_wrong;
        self.asked_right += other.asked_right;
    }

    fn words(&self) -> String {
        let [low, high] = wilson(self.certain_wrong, self.certain);
        format!(
            "{} roofs, {} right, {} certain, {} certain and wrong ({:.1} to {:.1} % of the certain at 95 %), {} asked right",
            self.roofs,
            self.right,
            self.certain,
            self.certain_wrong,
            100.0 * low,
            100.0 * high,
            self.asked_right
        )
    }
}

fn measure(folder: &str, heights: bool) -> Option<Tally> {
    let mut tally = Tally::default();
    for (name, truth) in truths(&data(folder)?, heights) {
        let roof = stage(&truth.plan);
        tally.add(&one(folder, &name, &truth, &roof));
    }
    eprintln!("{folder}: {tally:?}");
    Some(tally)
}

/// The verdict on one roof.
fn one(folder: &str, name: &str, truth: &Truth, roof: &Roof) -> Tally {
    let mut tally = Tally::default();
    let list = std::env::var("ROOF_LIST").is_ok();
    let broken = eavesdraft::roof::check_invariants(roof);
    assert!(broken.is_empty(), "{name}: {broken:?}");
    let (mut good, mut asked, mut certain) = (true, true, true);
    let mut words = Vec::new();
    for (edge, kinds) in roof.edges.iter().zip(&truth.kinds) {
        let Some(kinds) = kinds else { continue };
        let open = edge.basis == Basis::Ambiguous || edge.kind == EdgeKind::Unknown;
        certain &= !open;
        if !scored(&kinds[0]) || kinds.contains(&word(edge.kind)) {
            continue;
        }
        good = false;
        asked &= open && edge.alternatives.iter().take(3).any(|&k| kinds.contains(&word(k)));
        let others: Vec<String> = edge.alternatives.iter().map(|&k| word(k)).collect();
        words.push(format!("{}:{}>{}({:.2} {})", edge.id, kinds[0], word(edge.kind), edge.margin, others.join("/")));
    }
    let margin = roof.edges.iter().map(|e| e.margin).fold(f64::INFINITY, f64::min);
    if list {
        let state = match (good, certain) {
            (true, true) => "ok",
            (true, false) => "RIGHT-ASKED",
            (false, true) => "CERTAIN-WRONG",
            (false, false) => {
                if asked {
                    "asked"
                } else {
                    "WRONG"
                }
            }
        };
        eprintln!("{folder} {name} {state} margin {margin:.2} {}", words.join(" "));
    }
    tally.roofs += 1;
    tally.right += usize::from(good);
    tally.certain += usize::from(certain);
    tally.certain_wrong += usize::from(certain && !good);
    tally.asked_right += usize::from(good || asked);
    tally
}

/// One slope arrow in each face beside an open edge, as the truth has it; flat faces get none.
fn with_arrows(truth: &Truth, measured: &PlanGraph, roof: &Roof) -> PlanGraph {
    let mut plan = truth.plan.clone();
    for (position, face) in measured.faces.iter().enumerate() {
        let id = FaceId::new(position);
        let open =
            roof.edges.iter().any(|e| e.basis == Basis::Ambiguous && (e.left == Some(id) || e.right == Some(id)));
        let up = face.plane.expect("the truth has planes").uphill_gradient();
        let (true, true, Some(up)) = (open, up.length() > FLAT, up.unit()) else { continue };
        plan.arrows.push(PlacedArrow { face: id, downhill: -up, origin: OriginId(0) });
    }
    plan
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn one_arrow_in_each_open_face_settles_town_buildings() {
    for folder in ["city_main", "city_parts"] {
        let Some(path) = data(folder) else { return };
        let mut tally = Tally::default();
        for ((name, truth), (_, measured)) in truths(&path, false).iter().zip(truths(&path, true)) {
            let plan = with_arrows(truth, &measured.plan, &stage(&truth.plan));
            tally.add(&one(folder, name, truth, &stage(&plan)));
        }
        eprintln!("{folder} with arrows: {tally:?}");
        assert!(tally.roofs >= 70 && tally.right * 100 >= tally.roofs * 99 && tally.certain_wrong == 0, "{tally:?}");
    }
}

/// Bounds of a share at 95 %.
///
/// # Source
/// E. B. Wilson, "Probable inference, the law of succession, and statistical inference", JASA 22 (1927); 1.96 is the normal
/// quantile of 97.5 %.
fn wilson(hits: usize, of: usize) -> [f64; 2] {
    let (z, n) = (1.96_f64, of.max(1) as f64);
    let share = hits as f64 / n;
    let centre = (share + z * z / (2.0 * n)) / (1.0 + z * z / n);
    let half = z / (1.0 + z * z / n) * (share * (1.0 - share) / n + z * z / (4.0 * n * n)).sqrt();
    [(centre - half).max(0.0), (centre + half).min(1.0)]
}

/// Five folds over buildings; the pieces of one building are in one fold.
#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn no_fold_of_town_buildings_is_certain_and_wrong() {
    let mut folds: [Tally; 5] = Default::default();
    for folder in ["city_main", "city_parts"] {
        let Some(path) = data(folder) else { return };
        for (name, truth) in truths(&path, false) {
            let building = name.rsplit_once("-_c").map_or(name.trim_end_matches('-'), |(building, _)| building);
            let fold = building.bytes().map(usize::from).sum::<usize>() % folds.len();
            folds[fold].add(&one(folder, &name, &truth, &stage(&truth.plan)));
        }
    }
    let mut all = Tally::default();
    for (number, fold) in folds.iter().enumerate() {
        println!("fold {}: {}", number + 1, fold.words());
        assert!(fold.roofs >= 20, "fold {number} holds {} roofs", fold.roofs);
        all.add(fold);
    }
    println!("all: {}", all.words());
    assert_eq!(all.certain_wrong, 0, "{all:?}");
    assert!(all.certain * 100 >= all.roofs * 65, "{all:?}");
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn walls_inside_the_plan_are_never_passed_over_in_silence() {
    let Some(tally) = measure("city_step", false) else { return };
    assert!(tally.roofs >= 50 && tally.certain_wrong == 0, "{tally:?}");
    assert!((tally.roofs - tally.certain) * 100 >= tally.roofs * 95, "{tally:?}");
    assert!(tally.asked_right * 100 >= tally.roofs * 96, "{tally:?}");
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn plans_of_traced_houses_are_solved() {
    let Some(tally) = measure("traced_main", false) else { return };
    assert!(tally.roofs >= 90, "{tally:?}");
    assert!(tally.right * 100 >= tally.roofs * 98 && tally.certain_wrong == 0, "{tally:?}");
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn plans_of_town_buildings_are_solved_or_asked_about() {
    for (folder, right) in [("city_main", 91), ("city_parts", 92)] {
        let Some(tally) = measure(folder, false) else { return };
        assert!(tally.roofs >= 70, "{tally:?}");
        assert!(tally.right * 100 >= tally.roofs * right && tally.certain_wrong == 0, "{tally:?}");
        assert!(tally.asked_right * 100 >= tally.roofs * 98, "{tally:?}");
    }
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn hand_clicked_and_partly_flat_houses_are_solved_or_asked_about() {
    for (folder, least) in [("traced_hand", 50), ("traced_flat", 25)] {
        let Some(tally) = measure(folder, false) else { return };
        assert!(tally.roofs >= least && tally.certain_wrong == 0, "{tally:?}");
        assert!(tally.asked_right * 100 >= tally.roofs * 95, "{tally:?}");
    }
}

/// Edges off the flat faces of a roof and how many of them are right; its flat faces and how many are flat or asked about.
#[derive(Debug, Default)]
struct AroundFlat {
    roofs: usize,
    off: usize,
    off_right: usize,
    flat: usize,
    flat_told: usize,
}

impl AroundFlat {
    fn add(&mut self, name: &str, truth: &Truth, measured: &PlanGraph) {
        let is_flat = |f: FaceId| measured.faces[f.index()].plane.is_some_and(|p| p.uphill_gradient().length() < FLAT);
        if !(0..measured.faces.len()).any(|face| is_flat(FaceId::new(face))) {
            return;
        }
        self.roofs += 1;
        let roof = stage(&truth.plan);
        for (edge, kinds) in roof.edges.iter().zip(&truth.kinds) {
            let Some(kinds) = kinds.as_ref().filter(|k| scored(&k[0])) else { continue };
            if edge.left.into_iter().chain(edge.right).any(is_flat) {
                continue;
            }
            self.off += 1;
            self.off_right += usize::from(kinds.contains(&word(edge.kind)));
            if !kinds.contains(&word(edge.kind)) {
                let open = if edge.basis == Basis::Ambiguous { "asked" } else { "certain" };
                println!("{name}: {} is a {} and came out as {} ({open})", edge.id, kinds[0], word(edge.kind));
            }
        }
        for face in roof.faces.iter().filter(|f| is_flat(f.id)) {
            let mut sides = face.exterior.iter().map(|h| roof.edge(h.edge));
            let told = face.pitch < FLAT || sides.any(|e| e.basis == Basis::Ambiguous);
            self.flat += 1;
            self.flat_told += usize::from(told);
            if !told {
                println!("{name}: {} is not flat", face.id);
            }
        }
    }
}

/// A flat face among slopes: of what does not touch it 99.5 % is right, and it is flat or asked about; on houses as computed and as
/// clicked by hand.
#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn houses_with_a_flat_face_are_right_off_it_and_flat_or_asked_on_it() {
    let mut all = AroundFlat::default();
    for (folder, least) in [("traced_flat", 25), ("traced_hand", 10)] {
        let Some(path) = data(folder) else { return };
        let before = all.roofs;
        for ((name, truth), (_, measured)) in truths(&path, false).iter().zip(truths(&path, true)) {
            all.add(name, truth, &measured.plan);
        }
        assert!(all.roofs - before >= least, "{folder}: {all:?}");
        println!("up to {folder}: {all:?}");
    }
    assert!(all.off >= 400 && all.off_right * 1000 >= all.off * 995 && all.flat_told == all.flat, "{all:?}");
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn kinds_of_measured_roofs_are_read_off() {
    for folder in ["traced_main", "traced_flat", "city_main", "city_parts"] {
        let Some(tally) = measure(folder, true) else { return };
        assert!(tally.roofs >= 30, "{tally:?}");
        assert_eq!((tally.right, tally.certain), (tally.roofs, tally.roofs), "{tally:?}");
    }
}
