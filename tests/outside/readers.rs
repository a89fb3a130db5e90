//! Coordinates entity by entity against two readers made by others: the `dxf` crate and ezdxf.

#![expect(clippy::print_stdout, reason = "a harness prints its counts")]

use crate::corpus::corpus;
use dxf::entities::EntityType;
use eavesdraft::geometry::Point3;
use eavesdraft::import::import;
use eavesdraft::job::DrawingSettings;
use serde::Deserialize;
use std::collections::BTreeMap;
use std::f64::consts::TAU;
use std::path::Path;
use std::process::Command;

/// An entity of model space as another reader has it.
#[derive(Debug, Deserialize)]
struct Theirs {
    handle: String,
    kind: String,
    /// Ends, corners, vertices.
    exact: Vec<[f64; 3]>,
    /// Points along its curve, so close that the chords between them count as the curve.
    samples: Vec<[f64; 3]>,
}

/// What we read of one entity: pieces as points, and how far a chord may lie from its curve.
type Ours = BTreeMap<String, Vec<(Vec<Point3>, bool)>>;

fn key(handle: &str) -> String {
    handle.trim_start_matches('0').to_ascii_uppercase()
}

/// Everything drawn on visible layers of model space, blocks left out, in drawing coordinates; the chord error in drawing units.
fn ours(file: &Path) -> Option<(Ours, f64)> {
    let settings =
        DrawingSettings { units: None, roof_layers: vec!["*".into()], gap_tolerance: 0.5, opening_area_limit: 8640.0 };
    let linework = import(&std::fs::read(file).unwrap(), &settings).ok()?.value;
    let mut ours = Ours::new();
    let paths = linework.paths.iter().map(|path| (&path.points, path.closed, path.origin));
    let facets = linework.facets.iter().map(|facet| (&facet.points, true, facet.origin));
    for (points, closed, origin) in paths.chain(facets) {
        let origin = &linework.origins[origin.index()];
        if let (Some(handle), true) = (&origin.handle, origin.block_path.is_empty()) {
            let points = points.iter().map(|p| linework.frame.to_drawing(*p)).collect();
            ours.entry(format!("{} {}", origin.entity, key(handle))).or_default().push((points, closed));
        }
    }
    Some((ours, 1.0 / 16.0 / linework.frame.inches_per_unit))
}

fn distance_to_chords(p: Point3, points: &[Point3], closed: bool) -> f64 {
    let count = points.len();
    let chords = if closed { count } else { count - 1 };
    let chord = |i: usize| {
        let (a, b) = (points[i], points[(i + 1) % count]);
        let along = b - a;
        let length = along.dot(along);
        let t = if length > 0.0 { ((p - a).dot(along) / length).clamp(0.0, 1.0) } else { 0.0 };
        p.distance(a + along * t)
    };
    (0..chords).map(chord).fold(p.distance(points[0]), f64::min)
}

/// What is wrong with our pieces of an entity.
fn compare(pieces: &[(Vec<Point3>, bool)], theirs: &Theirs, chord: f64) -> Option<String> {
    let point = |p: &[f64; 3]| Point3::new(p[0], p[1], p[2]);
    let size = theirs.exact.iter().chain(&theirs.samples).flatten().fold(1.0_f64, |m, v| m.max(v.abs()));
    let rounding = 1e-9 * size;
    let lost = theirs
        .exact
        .iter()
        .map(point)
        .find(|p| !pieces.iter().flat_map(|(points, _)| points).any(|q| q.distance(*p) <= rounding));
    if let Some(p) = lost {
        return Some(format!("no point at {p:?}"));
    }
    let samples: Vec<Point3> = theirs.samples.iter().map(point).collect();
    if samples.len() < 2 {
        return None;
    }
    // 64 chords of a curve leave it by up to 1/300 of its size; ours by the chord error.
    let middle = samples[0];
    let reach = samples.iter().map(|p| p.distance(middle)).fold(0.0, f64::max);
    let off = samples
        .iter()
        .map(|p| pieces.iter().map(|(q, closed)| distance_to_chords(*p, q, *closed)).fold(f64::INFINITY, f64::min))
        .fold(0.0, f64::max);
    let back = pieces
        .iter()
        .flat_map(|(points, _)| points)
        .map(|p| distance_to_chords(*p, &samples, false))
        .fold(0.0, f64::max);
    if off > 1.001 * chord + rounding {
        return Some(format!("the curve is {off} away from our chords (allowed {chord})"));
    }
    (back > reach / 300.0 + rounding).then(|| format!("our points are up to {back} off the curve of size {reach}"))
}

/// Entities compared by kind, and what differs.
#[derive(Debug, Default)]
struct Tally {
    files: usize,
    equal: BTreeMap<String, usize>,
    wrong: Vec<String>,
    /// On layers that are off or frozen, too short to draw, or left out beside facets.
    not_ours: usize,
}

impl Tally {
    fn file(&mut self, name: &str, file: &Path, theirs: &[Theirs]) {
        let Some((ours, chord)) = ours(file) else { return };
        self.files += 1;
        for entity in theirs {
            let Some(pieces) = ours.get(&format!("{} {}", entity.kind, key(&entity.handle))) else {
                self.not_ours += 1;
                continue;
            };
            match compare(pieces, entity, chord) {
                None => *self.equal.entry(entity.kind.clone()).or_default() += 1,
                Some(words) => self.wrong.push(format!("{name}: {} {}: {words}", entity.kind, entity.handle)),
            }
        }
    }

    fn judge(&self, least: &[(&str, usize)]) {
        println!("{} files, {} entities not ours, equal: {:?}", self.files, self.not_ours, self.equal);
        println!("{}", self.wrong.join("\n"));
        for (kind, count) in least {
            assert!(self.equal.get(*kind).is_some_and(|equal| equal >= count), "{kind}: {:?}", self.equal);
        }
        assert!(self.wrong.is_empty(), "{} entities differ", self.wrong.len());
    }
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA and python3 with ezdxf"]
fn coordinates_agree_with_ezdxf() {
    #[derive(Deserialize)]
    struct Answer {
        path: String,
        entities: Vec<Theirs>,
    }
    let entries = corpus();
    let script = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/outside/read_dxf.py");
    let loaded: Vec<_> = entries.iter().filter(|entry| entry.counts.is_some()).collect();
    let answer = Command::new("python3").arg(script).args(loaded.iter().map(|entry| &entry.path)).output();
    let answer = String::from_utf8(answer.expect("python3 cannot be started").stdout).unwrap();
    let mut tally = Tally::default();
    let mut lines = 0;
    for (line, entry) in answer.lines().zip(&loaded) {
        lines += 1;
        let answer: Answer = serde_json::from_str(line).unwrap();
        assert_eq!(answer.path, entry.path.to_string_lossy());
        tally.file(&entry.name, &entry.path, &answer.entities);
    }
    assert_eq!(lines, loaded.len(), "ezdxf stopped early");
    tally.judge(&[
        ("LINE", 12_000),
        ("LWPOLYLINE", 400),
        ("ARC", 250),
        ("CIRCLE", 2500),
        ("3DFACE", 1000),
        ("ELLIPSE", 40),
        ("SPLINE", 150),
    ]);
}

#[test]
#[ignore = "needs EAVESDRAFT_DATA"]
fn coordinates_agree_with_the_dxf_crate() {
    let mut tally = Tally::default();
    for entry in corpus() {
        let loaded = std::panic::catch_unwind(|| dxf::Drawing::load_file(&entry.path));
        let Ok(Ok(drawing)) = loaded else { continue };
        let theirs: Vec<Theirs> =
            drawing.entities().filter(|e| !e.common.is_in_paper_space).filter_map(shape).collect();
        tally.file(&entry.name, &entry.path, &theirs);
    }
    tally.judge(&[
        ("LINE", 12_000),
        ("LWPOLYLINE", 400),
        ("ARC", 250),
        ("CIRCLE", 2500),
        ("3DFACE", 1000),
        ("ELLIPSE", 40),
        ("SPLINE", 150),
    ]);
}

fn of(p: &dxf::Point) -> [f64; 3] {
    [p.x, p.y, p.z]
}

/// Whether a plane is level, and the sign of x in it: seen from below, x runs the other way.
fn level(normal: &dxf::Vector) -> Option<f64> {
    (normal.x == 0.0 && normal.y == 0.0 && normal.z != 0.0).then(|| normal.z.signum())
}

fn shape(entity: &dxf::entities::Entity) -> Option<Theirs> {
    let round = |normal: &dxf::Vector, center: &dxf::Point, radius: f64, start: f64, end: f64| {
        let sign = level(normal)?;
        let sweep = match (end - start).rem_euclid(360.0) {
            0.0 => 360.0,
            sweep => sweep,
        };
        let at = |i: u32| {
            let angle = (start + sweep * f64::from(i) / 64.0).to_radians();
            [sign * (center.x + radius * angle.cos()), center.y + radius * angle.sin(), sign * center.z]
        };
        Some((0..=64).map(at).collect::<Vec<_>>())
    };
    let (kind, exact, samples) = match &entity.specific {
        EntityType::Line(line) => ("LINE", vec![of(&line.p1), of(&line.p2)], Vec::new()),
        EntityType::Face3D(face) => {
            let corners = [&face.first_corner, &face.second_corner, &face.third_corner, &face.fourth_corner].map(of);
            // A level face is no more than its drawn sides.
            let sides =
                (0..4).filter(|side| face.edge_flags >> side & 1 == 0).map(|i| [corners[i], corners[(i + 1) % 4]]);
            ("3DFACE", sides.filter(|[a, b]| a != b).flatten().collect(), Vec::new())
        }
        EntityType::LwPolyline(line) => {
            let (sign, z) = (level(&line.extrusion_direction)?, entity.common.elevation);
            ("LWPOLYLINE", line.vertices.iter().map(|v| [sign * v.x, v.y, sign * z]).collect(), Vec::new())
        }
        EntityType::Arc(arc) => {
            let samples = round(&arc.normal, &arc.center, arc.radius, arc.start_angle, arc.end_angle)?;
            ("ARC", vec![samples[0], samples[64]], samples)
        }
        EntityType::Circle(circle) => {
            ("CIRCLE", Vec::new(), round(&circle.normal, &circle.center, circle.radius, 0.0, 360.0)?)
        }
        EntityType::Ellipse(ellipse) => ("ELLIPSE", Vec::new(), along_ellipse(ellipse)?),
        EntityType::Spline(spline) => ("SPLINE", Vec::new(), along_spline(spline)?),
        _ => return None,
    };
    Some(Theirs { handle: entity.common.handle.as_string(), kind: kind.into(), exact, samples })
}

fn along_ellipse(ellipse: &dxf::entities::Ellipse) -> Option<Vec<[f64; 3]>> {
    let sign = level(&ellipse.normal)?;
    let (c, major, ratio) = (&ellipse.center, &ellipse.major_axis, ellipse.minor_axis_ratio);
    let minor = [-sign * major.y * ratio, sign * major.x * ratio];
    let sweep = match (ellipse.end_parameter - ellipse.start_parameter).rem_euclid(TAU) {
        sweep if sweep < 1e-9 => TAU,
        sweep => sweep,
    };
    let at = |i: u32| {
        let t = ellipse.start_parameter + sweep * f64::from(i) / 64.0;
        [c.x + major.x * t.cos() + minor[0] * t.sin(), c.y + major.y * t.cos() + minor[1] * t.sin(), c.z]
    };
    Some((0..=64).map(at).collect())
}

/// Points of a spline by de Boor's algorithm; none for one given by fit points alone.
fn along_spline(spline: &dxf::entities::Spline) -> Option<Vec<[f64; 3]>> {
    let (degree, knots) = (usize::try_from(spline.degree_of_curve).ok()?, &spline.knot_values);
    let count = spline.control_points.len();
    if count <= degree || knots.len() != count + degree + 1 {
        return None;
    }
    let weight = |i: usize| spline.weight_values.get(i).copied().unwrap_or(1.0);
    let mut steps: Vec<f64> = knots[degree..=count]
        .windows(2)
        .filter(|span| span[0] < span[1])
        .flat_map(|span| (0..16).map(|i| span[0] + (span[1] - span[0]) * f64::from(i) / 16.0))
        .collect();
    steps.push(knots[count]);
    let at = |t: f64| {
        let span = (degree..count).rev().find(|&k| knots[k] <= t && knots[k] < knots[k + 1]).unwrap_or(degree);
        let mut points: Vec<[f64; 4]> = (span - degree..=span)
            .map(|i| {
                let (p, w) = (&spline.control_points[i], weight(i));
                [p.x * w, p.y * w, p.z * w, w]
            })
            .collect();
        for round in 1..=degree {
            for j in (round..=degree).rev() {
                let i = span - degree + j;
                let width = knots[i + degree + 1 - round] - knots[i];
                let share = if width > 0.0 { (t - knots[i]) / width } else { 0.0 };
                points[j] = std::array::from_fn(|k| points[j - 1][k] * (1.0 - share) + points[j][k] * share);
            }
        }
        let [x, y, z, w] = points[degree];
        [x / w, y / w, z / w]
    };
    Some(steps.into_iter().map(at).collect())
}
