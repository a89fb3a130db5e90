//! Roofs made by rule, so that the truth is known: an outline with a pitch or a gable for each side is roofed over by its straight
//! skeleton, the heights are taken away, and what is solved from the lines alone is held against them.

use eavesdraft::catalog::Catalogue;
use eavesdraft::geometry::{Point2, Point3, Ring, trig};
use eavesdraft::import::SourceFrame;
use eavesdraft::index::{EdgeId, FaceId, NodeId, OriginId, RoofId};
use eavesdraft::job::{EdgeHint, Job, RoofSettings, Setting, Target};
use eavesdraft::plan::{HalfEdge, PlanEdge, PlanFace, PlanGraph, PlanRoof};
use eavesdraft::roof::{Basis, Roof, check_invariants, roof};
use eavesdraft::terms::EdgeKind;
use eavesdraft::units::DrawingUnit;
use std::collections::BTreeMap;

/// Lines shorter than this are no drawing of a roof, inches.
const SHORT: f64 = 6.0;

/// Numbers that look random and are the same every time.
///
/// # Source
/// The constants are those of SplitMix64 (G. L. Steele et al., "Fast splittable pseudorandom number generators", 2014), from memory.
struct Random(u64);

impl Random {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn below(&mut self, end: usize) -> usize {
        (self.next() % end as u64) as usize
    }

    fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    fn chance(&mut self, of_hundred: usize) -> bool {
        self.below(100) < of_hundred
    }
}

/// A main body with up to four wings on a crooked grid, counter-clockwise without straight corners.
fn grid_outline(random: &mut Random) -> Vec<Point2> {
    let columns = 2 + random.below(4);
    let mut place = |count: usize| {
        let mut at = vec![0.0];
        for i in 0..count {
            at.push(at[i] + random.between(90.0, 300.0));
        }
        at
    };
    let (xs, ys) = (place(columns), place(3));
    let mut filled = vec![[false, true, false]; columns];
    for _ in 0..random.below(5) {
        let row = 2 * random.below(2);
        let first = random.below(columns);
        for column in filled.iter_mut().skip(first).take(1 + random.below(2)) {
            column[row] = true;
        }
    }
    let is_in = |x: isize, y: isize| {
        let column = usize::try_from(x).ok().and_then(|x| filled.get(x));
        column.zip(usize::try_from(y).ok()).is_some_and(|(c, y)| c.get(y).copied().unwrap_or_default())
    };
    let mut next: BTreeMap<(isize, isize), (isize, isize)> = BTreeMap::new();
    for x in 0..columns as isize {
        for y in (0..3).filter(|&y| is_in(x, y)) {
            let sides = [
                ((x, y - 1), (x, y), (x + 1, y)),
                ((x + 1, y), (x + 1, y), (x + 1, y + 1)),
                ((x, y + 1), (x + 1, y + 1), (x, y + 1)),
                ((x - 1, y), (x, y + 1), (x, y)),
            ];
            next.extend(sides.iter().filter(|s| !is_in(s.0.0, s.0.1)).map(|s| (s.1, s.2)));
        }
    }
    let start = *next.keys().next().unwrap();
    let mut ring = vec![start];
    while let Some(&to) = next.get(ring.last().unwrap()).filter(|to| **to != start) {
        ring.push(to);
    }
    assert_eq!(ring.len(), next.len(), "the wings hang together");
    let corner = |i: usize| ring[i % ring.len()];
    let straight = |i: usize| {
        let (a, b, c) = (corner(i + ring.len() - 1), corner(i), corner(i + 1));
        (b.0 - a.0) * (c.1 - b.1) == (b.1 - a.1) * (c.0 - b.0)
    };
    (0..ring.len())
        .filter(|&i| !straight(i))
        .map(|i| Point2::new(xs[corner(i).0 as usize], ys[corner(i).1 as usize]))
        .collect()
}

fn at(ring: &[Point2], i: usize) -> Point2 {
    ring[i % ring.len()]
}

/// Sine of the turn at a corner, positive where the outline juts out.
fn turn(ring: &[Point2], i: usize) -> f64 {
    let before = at(ring, i) - at(ring, i + ring.len() - 1);
    let after = at(ring, i + 1) - at(ring, i);
    before.cross(after) / (before.length() * after.length())
}

/// Some corners cut off, the whole leaning and turned.
fn bent(mut ring: Vec<Point2>, random: &mut Random) -> Vec<Point2> {
    if random.chance(35) {
        let corner = random.below(ring.len());
        if turn(&ring, corner) > 0.0 {
            let (a, b, c) = (at(&ring, corner + ring.len() - 1), ring[corner], at(&ring, corner + 1));
            let off = random.between(0.2, 0.45) * (b - a).length().min((c - b).length());
            let cut = [b + (a - b).unit().unwrap() * off, b + (c - b).unit().unwrap() * off];
            ring.splice(corner..=corner, cut);
        }
    }
    let lean = if random.chance(35) { random.between(-0.4, 0.4) } else { 0.0 };
    let angle = if random.chance(60) { random.between(0.0, std::f64::consts::TAU) } else { 0.0 };
    let (sin, cos) = (trig::sin(angle), trig::cos(angle));
    ring.iter()
        .map(|p| (p.x + lean * p.y, p.y))
        .map(|(x, y)| Point2::new(x * cos - y * sin, x * sin + y * cos))
        .collect()
}

fn settings() -> RoofSettings {
    let mut settings = Job::with_defaults(&Catalogue::sample()).unwrap().roof;
    settings.default_pitch = Setting::given(0.5);
    settings
}

fn frame() -> SourceFrame {
    SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) }
}

fn solved(plan: &PlanGraph) -> Roof {
    let settings = Job::with_defaults(&Catalogue::sample()).unwrap().roof;
    let roof = roof(plan, &frame(), &settings).unwrap().value;
    assert_eq!(check_invariants(&roof), Vec::<String>::new());
    roof
}

/// The roof over an outline: the ends of wings are gables by chance, pitches differ by chance. None where no sound roof was found,
/// or one with lines too short to be drawn.
fn roofed(ring: &[Point2], random: &mut Random) -> Option<Roof> {
    let count = ring.len();
    let mut settings = settings();
    let unequal = random.chance(35);
    for side in 0..count {
        let end = turn(ring, side) > 0.5 && turn(ring, side + 1) > 0.5;
        let gable = end && random.chance(50);
        let pitch = [4.0, 6.0, 8.0, 12.0][random.below(4)] / 12.0;
        settings.edges.push(EdgeHint {
            kind: gable.then_some(EdgeKind::Rake),
            pitch: (unequal && !gable).then_some(pitch),
            ..EdgeHint::of(Target::Tag(EdgeId::new(side).to_string()), 1)
        });
    }
    let plan = PlanGraph {
        nodes: ring.to_vec(),
        edges: (0..count)
            .map(|i| PlanEdge {
                ends: [NodeId::new(i), NodeId::new((i + 1) % count)],
                left: Some(FaceId(0)),
                right: None,
                sources: vec![OriginId(0)],
            })
            .collect(),
        faces: vec![PlanFace {
            roof: RoofId(0),
            exterior: (0..count).map(|i| HalfEdge { edge: EdgeId::new(i), forward: true }).collect(),
            holes: Vec::new(),
            plane: None,
        }],
        roofs: vec![PlanRoof { faces: vec![FaceId(0)], outline_only: true, has_heights: false }],
        ..PlanGraph::default()
    };
    let roof = roof(&plan, &frame(), &settings).unwrap().value;
    let drawn = roof.faces.len() > 1
        && roof.edges.iter().all(|e| e.kind != EdgeKind::Unknown && roof.segment(e.id).length() > SHORT);
    drawn.then_some(roof)
}

/// What a plan of the roof shows: no heights.
fn lines_of(roof: &Roof) -> PlanGraph {
    PlanGraph {
        nodes: roof.points.clone(),
        edges: roof
            .edges
            .iter()
            .map(|e| PlanEdge { ends: e.ends, left: e.left, right: e.right, sources: e.sources.clone() })
            .collect(),
        faces: roof
            .faces
            .iter()
            .map(|f| PlanFace { roof: RoofId(0), exterior: f.exterior.clone(), holes: f.holes.clone(), plane: None })
            .collect(),
        roofs: vec![PlanRoof {
            faces: roof.faces.iter().map(|f| f.id).collect(),
            outline_only: false,
            has_heights: false,
        }],
        ..PlanGraph::default()
    }
}

/// The next roof that could be made.
fn made(seed: u64) -> Option<Roof> {
    let mut random = Random(seed);
    let ring = grid_outline(&mut random);
    let ring = bent(ring, &mut random);
    if Ring::new(ring.clone()).signed_area() <= 0.0 {
        return None;
    }
    roofed(&ring, &mut random)
}

/// Counts over many roofs.
#[derive(Debug, Default)]
struct Tally {
    roofs: usize,
    right: usize,
    certain: usize,
    asked_right: usize,
    certain_wrong: Vec<String>,
    /// Of all: those where a slope ends level at its top, as a shed's does.
    sheds: usize,
    sheds_right: usize,
}

fn measure(seeds: std::ops::Range<u64>) -> Tally {
    let mut tally = Tally::default();
    for seed in seeds {
        let Some(truth) = made(seed) else { continue };
        let roof = solved(&lines_of(&truth));
        let scored = |e: &&eavesdraft::roof::RoofEdge| !matches!(e.kind, EdgeKind::FlatBreak | EdgeKind::Skew);
        let wrong: Vec<String> = truth
            .edges
            .iter()
            .filter(scored)
            .zip(roof.edges.iter().zip(&truth.edges).filter(|(_, t)| scored(t)).map(|(e, _)| e))
            .filter(|(truth, found)| truth.kind != found.kind)
            .map(|(truth, found)| format!("{} {:?}>{:?} ({:.1})", found.id, truth.kind, found.kind, found.margin))
            .collect();
        let listed = truth.edges.iter().filter(scored).all(|t| {
            let found = &roof.edges[t.id.index()];
            t.kind == found.kind || found.alternatives.contains(&t.kind)
        });
        let certain = roof.edges.iter().all(|e| e.basis != Basis::Ambiguous);
        let shed = truth.edges.iter().any(|e| e.kind == EdgeKind::HighEdge);
        tally.sheds += usize::from(shed);
        tally.sheds_right += usize::from(shed && wrong.is_empty());
        tally.roofs += 1;
        tally.right += usize::from(wrong.is_empty());
        tally.certain += usize::from(certain);
        tally.asked_right += usize::from(listed);
        if certain && !wrong.is_empty() {
            tally.certain_wrong.push(format!("seed {seed}: {}", wrong.join(", ")));
        }
        if std::env::var("ROOF_LIST").is_ok() && !wrong.is_empty() {
            eprintln!("seed {seed} {}: {}", if certain { "CERTAIN-WRONG" } else { "open" }, wrong.join(", "));
        }
    }
    tally
}

fn report(tally: &Tally) {
    eprintln!(
        "{} roofs, {} right, {} certain, {} asked right, {} certain and wrong: {:#?}",
        tally.roofs,
        tally.right,
        tally.certain,
        tally.asked_right,
        tally.certain_wrong.len(),
        tally.certain_wrong
    );
}

#[test]
fn made_roofs_are_never_wrong_and_sure() {
    let tally = measure(0..100);
    report(&tally);
    assert!(tally.roofs >= 40 && tally.sheds >= 10, "{tally:?}");
    assert!(tally.certain_wrong.is_empty(), "{tally:?}");
    assert!((tally.right - tally.sheds_right) * 100 >= (tally.roofs - tally.sheds) * 95, "{tally:?}");
    assert!(tally.right * 100 >= tally.roofs * 90, "{tally:?}");
    assert!(tally.asked_right * 100 >= tally.roofs * 97, "{tally:?}");
    assert!(tally.certain * 100 >= tally.roofs * 50, "{tally:?}");
}

/// Wrong and sure are single slopes whose high edge and eave pass for rakes: 2 of the 1,463 certain ones among these 3,388 roofs, of which 3,057 are
/// right. The aim is none; the bounds only keep it from getting worse.
#[test]
#[ignore = "needs minutes"]
fn thousands_of_made_roofs_are_hardly_ever_wrong_and_sure() {
    let tally = measure(1_000..5_000);
    report(&tally);
    assert!(tally.roofs >= 1_500, "{tally:?}");
    assert!(tally.certain_wrong.len() * 500 <= tally.certain, "{tally:?}");
    assert!((tally.right - tally.sheds_right) * 100 >= (tally.roofs - tally.sheds) * 98, "{tally:?}");
    assert!(tally.right * 100 >= tally.roofs * 88, "{tally:?}");
    assert!(tally.asked_right * 100 >= tally.roofs * 97, "{tally:?}");
}

/// The plan turned, mirrored and scaled, its points, lines and faces numbered otherwise and its lines drawn the other way; and
/// the new number of each line.
fn redrawn(plan: &PlanGraph, size: f64, random: &mut Random) -> (PlanGraph, Vec<usize>) {
    let order = |count: usize, random: &mut Random| {
        let mut order: Vec<usize> = (0..count).collect();
        for i in (1..count).rev() {
            order.swap(i, random.below(i + 1));
        }
        order
    };
    let nodes = order(plan.nodes.len(), random);
    let edges = order(plan.edges.len(), random);
    let faces = order(plan.faces.len(), random);
    let mirror = random.chance(50);
    let angle = random.between(0.0, std::f64::consts::TAU);
    let (sin, cos) = (trig::sin(angle), trig::cos(angle));
    let backward: Vec<bool> = plan.edges.iter().map(|_| random.chance(50)).collect();
    let mut out = plan.clone();
    for (old, p) in plan.nodes.iter().enumerate() {
        let (x, y) = (p.x * size, if mirror { -p.y * size } else { p.y * size });
        out.nodes[nodes[old]] = Point2::new(x * cos - y * sin + 300.0, x * sin + y * cos - 800.0);
    }
    let face = |id: Option<FaceId>| id.map(|f| FaceId::new(faces[f.index()]));
    for (old, edge) in plan.edges.iter().enumerate() {
        let [a, b] = edge.ends.map(|n| NodeId::new(nodes[n.index()]));
        let (left, right) = (face(edge.left), face(edge.right));
        out.edges[edges[old]] = PlanEdge {
            ends: if backward[old] { [b, a] } else { [a, b] },
            left: if backward[old] == mirror { left } else { right },
            right: if backward[old] == mirror { right } else { left },
            sources: edge.sources.clone(),
        };
    }
    for (old, face) in plan.faces.iter().enumerate() {
        let ring = |half_edges: &[HalfEdge]| {
            let mut ring: Vec<HalfEdge> = half_edges
                .iter()
                .map(|h| HalfEdge {
                    edge: EdgeId::new(edges[h.edge.index()]),
                    forward: h.forward != (backward[h.edge.index()] != mirror),
                })
                .collect();
            if mirror {
                ring.reverse();
            }
            ring
        };
        let holes = face.holes.iter().map(|h| ring(h)).collect();
        out.faces[faces[old]] = PlanFace { exterior: ring(&face.exterior), holes, ..face.clone() };
    }
    (out, edges)
}

/// Whether kinds, and which are open, hang on how a roof is drawn: what differs, or nothing. On a larger or smaller roof the same inch of
/// misfit says less or more, so that there only what is sure in both sizes must agree.
fn differing(plan: &PlanGraph, seed: u64) -> Option<String> {
    let one = solved(plan);
    for size in [1.0, 0.6, 1.7] {
        let (other, number) = redrawn(plan, size, &mut Random(seed));
        let two = solved(&other);
        for edge in &one.edges {
            let same = &two.edges[number[edge.id.index()]];
            let sure = [edge, same].iter().all(|e| e.basis == Basis::Solved);
            let listed = edge.kind == same.kind || (!sure && same.alternatives.contains(&edge.kind));
            let alike = if size == 1.0 { edge.basis == same.basis && listed } else { !sure || edge.kind == same.kind };
            if !alike {
                return Some(format!("seed {seed}, times {size}: {edge:?} and {same:?}"));
            }
        }
    }
    None
}

/// Where answers cost the same, which of them the bounded search looks around first hangs on their numbers. At most `most` of a thousand
/// roofs may differ on some edge; the aim is none.
fn redrawn_alike(seeds: std::ops::Range<u64>, least: usize, most: usize) {
    let roofs: Vec<(u64, PlanGraph)> = seeds.filter_map(|seed| Some((seed, lines_of(&made(seed)?)))).collect();
    let found: Vec<String> = roofs.iter().filter_map(|(seed, plan)| differing(plan, *seed)).collect();
    eprintln!("{} of {} roofs differ", found.len(), roofs.len());
    assert!(roofs.len() >= least, "{}", roofs.len());
    assert!(found.len() * 1000 <= roofs.len() * most, "{found:#?}");
}

#[test]
fn made_roofs_drawn_another_way_have_the_same_kinds() {
    redrawn_alike(0..100, 40, 0);
}

#[test]
#[ignore = "needs minutes"]
fn a_thousand_made_roofs_drawn_another_way_have_the_same_kinds() {
    redrawn_alike(10_000..12_500, 1_000, 50);
}
