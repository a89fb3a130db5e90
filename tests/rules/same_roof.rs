//! The same roof drawn another way gives the same takeoff: moved, turned, mirrored, shuffled, reversed, in millimetres.

use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{Project, lay_out, survey};

type P = (f64, f64);

/// Lines of the hipped L (see `samples/make_samples.rs`) with a skylight near the front eave, as (layer, from, to).
fn lines() -> Vec<(&'static str, P, P)> {
    let c: [P; 10] = [
        (288.0, -216.0),
        (528.0, -216.0),
        (528.0, 288.0),
        (0.0, 288.0),
        (0.0, 0.0),
        (288.0, 0.0),
        (408.0, -96.0),
        (408.0, 120.0),
        (384.0, 144.0),
        (144.0, 144.0),
    ];
    let mut lines: Vec<(&str, P, P)> = (0..6).map(|i| ("A-ROOF-OTLN", c[i], c[(i + 1) % 6])).collect();
    for (a, b) in [(0, 6), (1, 6), (6, 7), (5, 7), (7, 8), (2, 8), (8, 9), (3, 9), (4, 9)] {
        lines.push(("A-ROOF-FOLD", c[a], c[b]));
    }
    lines
}

const SKYLIGHT: [P; 4] = [(120.0, 30.0), (142.0, 30.0), (142.0, 60.0), (120.0, 60.0)];

/// A drawing of the L with every point mapped, in the unit of an `$INSUNITS` code.
fn drawing(map: impl Fn(P) -> P, unit: u32, reorder: impl Fn(Vec<String>) -> Vec<String>, reverse: bool) -> Vec<u8> {
    let mut entities: Vec<String> = lines()
        .into_iter()
        .map(|(layer, a, b)| {
            let (a, b) = if reverse { (map(b), map(a)) } else { (map(a), map(b)) };
            format!("  0\nLINE\n  8\n{layer}\n 10\n{:?}\n 20\n{:?}\n 11\n{:?}\n 21\n{:?}\n", a.0, a.1, b.0, b.1)
        })
        .collect();
    let mut skylight = "  0\nLWPOLYLINE\n  8\nA-ROOF-SKYL\n 90\n4\n 70\n1\n".to_owned();
    for at in SKYLIGHT.map(map) {
        skylight += &format!(" 10\n{:?}\n 20\n{:?}\n", at.0, at.1);
    }
    entities.push(skylight);
    let entities = reorder(entities).concat();
    format!(
        "  0\nSECTION\n  2\nHEADER\n  9\n$ACADVER\n  1\nAC1015\n  9\n$INSUNITS\n 70\n{unit}\n  0\nENDSEC\n  0\nSECTION\n  2\nENTITIES\n{entities}  0\nENDSEC\n  0\nEOF\n"
    )
    .into_bytes()
}

fn project(bytes: &[u8]) -> Project {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.heat.valleys = true;
    let survey = survey(bytes, &job).unwrap();
    lay_out(survey, job).unwrap()
}

/// What must not change: counts to the digit, lengths and watts to what turning a drawing costs in rounding.
struct Fingerprint {
    counts: Vec<String>,
    /// Cut lengths in rising order, inches, with the element each is cut from.
    cuts: Vec<(String, f64)>,
    /// Lead lengths in rising order, inches.
    leads: Vec<f64>,
    watts: f64,
}

fn fingerprint(project: &Project) -> Fingerprint {
    let mut cuts: Vec<(String, f64)> = project.takeoff.cuts.iter().map(|c| (c.element_key.clone(), c.length)).collect();
    cuts.sort_by(|a, b| a.0.cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut leads: Vec<f64> = project.takeoff.leads.iter().map(|l| l.length).collect();
    leads.sort_by(f64::total_cmp);
    Fingerprint {
        counts: vec![
            format!("{} faces, {} zones", project.survey.roof.faces.len(), project.zones.zones.len()),
            format!("{} circuits, {} boxes", project.wiring.circuits.len(), project.wiring.boxes.len()),
            format!("{} pieces, {} leads, {} unfed", cuts.len(), leads.len(), project.wiring.unfed.len()),
        ],
        cuts,
        leads,
        watts: project.checks.load.watts,
    }
}

fn plain() -> Project {
    project(&drawing(|p| p, 1, |e| e, false))
}

fn assert_same(name: &str, other: &Project) {
    let (expected, found) = (fingerprint(&plain()), fingerprint(other));
    assert_eq!(expected.counts, found.counts, "{name}");
    for (a, b) in expected.cuts.iter().zip(&found.cuts) {
        // Cuts go in steps of 1/2 in, so equal means equal.
        assert!(a.0 == b.0 && (a.1 - b.1).abs() < 1e-6, "{name}: cut {a:?} became {b:?}");
    }
    for (a, b) in expected.leads.iter().zip(&found.leads) {
        assert!((a - b).abs() < 0.01, "{name}: lead {a} became {b}");
    }
    assert!((expected.watts - found.watts).abs() < 0.1, "{name}: {} W became {} W", expected.watts, found.watts);
}

#[test]
fn the_roof_is_fed_and_heated_at_all() {
    let project = plain();
    assert_eq!(project.survey.roof.faces.len(), 6);
    assert!(project.takeoff.cuts.len() > 50, "{}", project.takeoff.cuts.len());
    assert!(project.wiring.unfed.is_empty(), "{:?}", project.wiring.unfed);
}

#[test]
fn moved_far_away() {
    assert_same("moved", &project(&drawing(|p| (p.0 + 5.0e6, p.1 - 2.0e6), 1, |e| e, false)));
}

#[test]
fn turned_a_quarter() {
    assert_same("quarter turn", &project(&drawing(|p| (-p.1, p.0), 1, |e| e, false)));
}

#[test]
fn turned_by_a_crooked_angle() {
    // 3-4-5: cosine 0.8, sine 0.6.
    assert_same("crooked", &project(&drawing(|p| (0.8 * p.0 - 0.6 * p.1, 0.6 * p.0 + 0.8 * p.1), 1, |e| e, false)));
}

#[test]
fn mirrored() {
    assert_same("mirrored", &project(&drawing(|p| (-p.0, p.1), 1, |e| e, false)));
}

#[test]
fn shuffled_and_reversed() {
    let shuffle = |entities: Vec<String>| {
        let count = entities.len();
        // 7 has no factor in common with the 16 entities, so every one is taken once.
        (0..count).map(|i| entities[(i * 7 + 3) % count].clone()).collect()
    };
    let other = project(&drawing(|p| p, 1, shuffle, true));
    assert_same("shuffled", &other);
    assert_eq!(
        serde_json::to_string(&other.courses).unwrap(),
        serde_json::to_string(&plain().courses).unwrap(),
        "entity order reached the layout"
    );
}

#[test]
fn in_millimetres() {
    assert_same("millimetres", &project(&drawing(|p| (p.0 * 25.4, p.1 * 25.4), 4, |e| e, false)));
}
