//! The finished roof, looked at from outside: what is written in `N.json` against fasteners generated from shingle data alone. Nothing
//! here uses the layout's own code, frames or checks; each face gets a frame of its own from its plane.

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};

/// Clear distance from a nail to an element, inches (`nail_clearance`), and to a lead (`lead_clearance`).
const TO_ELEMENT: f64 = 0.375;
const TO_LEAD: f64 = 0.75;
/// Setback of elements from rakes, hips, ridges and valleys, inches.
const SETBACK: f64 = 6.0;
/// Lengths in the file are kept to a millionth of an inch; drawings in metres to that of a metre.
const ROUNDING: f64 = 1e-3;

type V3 = [f64; 3];
type P = (f64, f64);

/// What of a shingle the fasteners hang on, inches.
#[derive(Debug, Clone, Copy)]
pub struct ShingleData {
    /// Course spacing.
    pub exposure: f64,
    /// Nail band of a shingle above its butt.
    pub nails: (f64, f64),
    /// Nail band of the starter strip above the drip edge.
    pub starter: (f64, f64),
}

/// Three-tab strips 12 x 36 in at 5 in, nails 5 5/8 in above the butt: FACTS of the trade, common practice, no source.
pub const THREE_TAB: ShingleData = ShingleData { exposure: 5.0, nails: (5.625, 5.625), starter: (3.0, 4.0) };

fn dot(a: V3, b: V3) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}

fn minus(a: V3, b: V3) -> V3 {
    [a[0] - b[0], a[1] - b[1], a[2] - b[2]]
}

fn norm(a: V3) -> f64 {
    dot(a, a).sqrt()
}

/// A face as this test sees it: along the contour and up the slope from its origin.
struct Face {
    origin: V3,
    along: V3,
    up: V3,
    ring: Vec<P>,
    /// Edges that elements keep away from.
    edges: Vec<(P, P)>,
    valleys: Vec<(P, P)>,
    /// Lowest and highest point of each eave: one that is drawn out of level has both.
    eaves: Vec<(f64, f64)>,
    /// From left to right, in the same order.
    eaves_along: Vec<(f64, f64)>,
    openings: Vec<Vec<P>>,
}

impl Face {
    fn uv(&self, p: V3) -> P {
        let d = minus(p, self.origin);
        (dot(d, self.along), dot(d, self.up))
    }
}

fn polygon_holds(ring: &[P], p: P) -> bool {
    let mut inside = false;
    for i in 0..ring.len() {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        if (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (p.1 - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            inside = !inside;
        }
    }
    inside
}

fn point_to_segment(p: P, (a, b): (P, P)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let t = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
    (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
}

/// Distance between a segment and an upright rectangle, 0 when they meet.
fn to_rectangle(segment: (P, P), low: P, high: P) -> f64 {
    let (a, b) = segment;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let mut meets = true;
    for (start, end, low, high) in [(a.0, b.0, low.0, high.0), (a.1, b.1, low.1, high.1)] {
        let d = end - start;
        if d.abs() < 1e-12 {
            meets &= start >= low && start <= high;
        } else {
            let (t, s) = ((low - start) / d, (high - start) / d);
            from = from.max(t.min(s));
            to = to.min(t.max(s));
        }
    }
    if meets && from <= to {
        return 0.0;
    }
    let outside = |p: P| {
        let dx = (low.0 - p.0).max(p.0 - high.0).max(0.0);
        let dy = (low.1 - p.1).max(p.1 - high.1).max(0.0);
        dx.hypot(dy)
    };
    let corners = [low, (high.0, low.1), high, (low.0, high.1)];
    corners.into_iter().map(|c| point_to_segment(c, segment)).fold(outside(a).min(outside(b)), f64::min)
}

fn point(value: &Value, scale: f64) -> V3 {
    let axis = |i: usize| value[i].as_f64().unwrap_or(0.0) * scale;
    [axis(0), axis(1), axis(2)]
}

fn text(value: &Value, key: &str) -> String {
    value[key].as_str().unwrap_or_default().to_owned()
}

pub fn list<'a>(value: &'a Value, key: &str) -> &'a [Value] {
    value[key].as_array().map_or(&[], Vec::as_slice)
}

fn faces(file: &Value, scale: f64) -> BTreeMap<String, Face> {
    let mut found = BTreeMap::new();
    for roof in list(file, "roofs") {
        for face in list(roof, "faces") {
            let (a, b) = (face["plane"]["a"].as_f64().unwrap(), face["plane"]["b"].as_f64().unwrap());
            let pitch = a.hypot(b);
            if pitch < 1e-9 {
                continue;
            }
            let up = [a / pitch, b / pitch, pitch].map(|x| x / (1.0 + pitch * pitch).sqrt());
            let along = [b / pitch, -a / pitch, 0.0];
            let ring: Vec<V3> = list(face, "ring").iter().map(|p| point(p, scale)).collect();
            let mut made = Face {
                origin: ring[0],
                along,
                up,
                ring: Vec::new(),
                edges: Vec::new(),
                valleys: Vec::new(),
                eaves: Vec::new(),
                eaves_along: Vec::new(),
                openings: Vec::new(),
            };
            made.ring = ring.iter().map(|&p| made.uv(p)).collect();
            let id = text(face, "id");
            // A fold's ends carry the height of one of its faces; this face's own plane tells where the line lies on it.
            let height = |p: V3| face["plane"]["c"].as_f64().unwrap() * scale + a * p[0] + b * p[1];
            let on_plane = |p: V3| [p[0], p[1], height(p)];
            for edge in list(roof, "edges").iter().filter(|e| list(e, "faces").iter().any(|f| f == id.as_str())) {
                let line = (made.uv(on_plane(point(&edge["a"], scale))), made.uv(on_plane(point(&edge["b"], scale))));
                match edge["kind"].as_str().unwrap() {
                    "eave" => {
                        made.eaves.push((line.0.1.min(line.1.1), line.0.1.max(line.1.1)));
                        made.eaves_along.push((line.0.0.min(line.1.0), line.0.0.max(line.1.0)));
                    }
                    "valley" => {
                        made.edges.push(line);
                        made.valleys.push(line);
                    }
                    _ => made.edges.push(line),
                }
            }
            for opening in list(roof, "openings") {
                if list(opening, "faces").iter().any(|f| f == id.as_str()) {
                    let outline = list(opening, "outline").iter().map(|p| point(p, scale));
                    made.openings.push(outline.map(|p| made.uv(on_plane(p))).collect());
                }
            }
            found.insert(id, made);
        }
    }
    found
}

/// An element on its face: low and high corner.
struct Element {
    tag: String,
    face: String,
    low: P,
    high: P,
    base: f64,
}

/// Everything wrong with a finished roof, in words.
pub fn faults(file: &Value, shingle: ShingleData) -> Vec<String> {
    let scale = file["inches_per_unit"].as_f64().unwrap();
    let faces = faces(file, scale);
    let mut wrong = Vec::new();
    let elements = elements(file, scale, &faces, &mut wrong);
    for element in &elements {
        element_faults(element, &faces[&element.face], shingle, &mut wrong);
    }
    kept_free(file, scale, &faces, &elements, &mut wrong);
    overlaps(&elements, &mut wrong);
    feeding(file, &mut wrong);
    if file["work"] == "retrofit" {
        existing_roof(file, scale, &faces, &elements, shingle, &mut wrong);
    }
    leads(file, scale, &faces, &elements, shingle, &mut wrong);
    wrong
}

fn elements(file: &Value, scale: f64, faces: &BTreeMap<String, Face>, wrong: &mut Vec<String>) -> Vec<Element> {
    let mut found = Vec::new();
    for segment in list(file, "segments") {
        let (tag, face_id) = (text(segment, "tag"), text(segment, "face"));
        let face = &faces[&face_id];
        let (a, b) = (point(&segment["a"], scale), point(&segment["b"], scale));
        let (p, q) = (face.uv(a), face.uv(b));
        let half = 0.5 * segment["width"].as_f64().unwrap();
        let length = segment["cut_length"].as_f64().unwrap();
        if (norm(minus(b, a)) - length).abs() > ROUNDING || (p.1 - q.1).abs() > ROUNDING {
            wrong.push(format!("{tag} is not {length} in long along its course"));
        }
        if length > 600.0 + ROUNDING {
            wrong.push(format!("{tag} is longer than 50 ft"));
        }
        let low = (p.0.min(q.0), p.1 - half);
        let base = low.1 - segment["offset"].as_f64().unwrap();
        if !face.eaves.iter().any(|&(low, high)| base > low - 0.1 && base < high + 0.1) {
            wrong.push(format!("{tag} is measured from {base}, where no eave of {face_id} is"));
        }
        found.push(Element { tag, face: face_id, low, high: (p.0.max(q.0), p.1 + half), base });
    }
    found
}

/// Where the shingle courses of a face are counted from: the higher end of its lowest eave, eaves within half an inch of level being one.
fn course_base(face: &Face) -> Option<f64> {
    let mut tops: Vec<f64> = face.eaves.iter().map(|e| e.1).collect();
    tops.sort_by(f64::total_cmp);
    let mut base = *tops.first()?;
    for top in tops {
        if top - base <= 0.5 {
            base = top;
        }
    }
    Some(base)
}

fn element_faults(element: &Element, face: &Face, shingle: ShingleData, wrong: &mut Vec<String>) {
    let Element { tag, low, high, base, .. } = element;
    let middle = (0.5 * (low.0 + high.0), 0.5 * (low.1 + high.1));
    // The starter's lower edge lies on the drip edge itself: corners are tried a hair inside.
    let corners = [(low.0, low.1 + 0.01), (high.0, low.1 + 0.01), *high, (low.0, high.1)];
    if !corners.iter().chain([&middle]).all(|&c| polygon_holds(&face.ring, c)) {
        wrong.push(format!("{tag} leaves its face"));
    }
    for &edge in &face.edges {
        let gap = to_rectangle(edge, *low, *high);
        if gap < SETBACK - 0.01 {
            wrong.push(format!("{tag} lies {gap:.3} in from an edge"));
        }
    }
    for ring in &face.openings {
        let near = (0..ring.len()).map(|i| to_rectangle((ring[i], ring[(i + 1) % ring.len()]), *low, *high));
        if near.fold(f64::INFINITY, f64::min) < SETBACK - 0.01 || polygon_holds(ring, middle) {
            wrong.push(format!("{tag} lies on or near an opening"));
        }
    }
    let lowest = course_base(face).unwrap_or(*base).min(*base);
    for (row, (from, to)) in rows(shingle, (lowest, *base), low.1 - 10.0, high.1 + 10.0) {
        let gap = (from - high.1).max(low.1 - to);
        if gap < TO_ELEMENT - 0.01 {
            wrong.push(format!("{tag} lies {gap:.3} in from the nails of shingle course {row}"));
        }
    }
}

/// Nail rows between two heights: of shingle courses 1, 2, ... counted from the face's lowest eave, and of the starter strip on the eave at
/// hand. Courses that end at or below that eave are not laid above it; an eighth of an inch is what a shingler sees.
fn rows(shingle: ShingleData, (lowest, eave): (f64, f64), from: f64, to: f64) -> Vec<(u32, (f64, f64))> {
    let field = (1u32..).map(|k| (k, lowest + f64::from(k - 1) * shingle.exposure));
    let laid = field
        .take_while(|(_, butt)| butt + shingle.nails.0 <= to)
        .filter(|(_, butt)| butt + shingle.exposure > eave + 0.125);
    let nailed = laid.map(|(k, butt)| (k, (butt + shingle.nails.0, butt + shingle.nails.1)));
    let starter = std::iter::once((0, (eave + shingle.starter.0, eave + shingle.starter.1)));
    starter.chain(nailed).filter(|(_, row)| row.1 >= from && row.0 <= to).collect()
}

/// Nothing lies in what the job keeps free: elements keep an inch from what is fastened there.
fn kept_free(file: &Value, scale: f64, faces: &BTreeMap<String, Face>, elements: &[Element], wrong: &mut Vec<String>) {
    for area in list(file, "keep_outs") {
        let id = text(area, "face");
        let (low, high) = (faces[&id].uv(point(&area["low"], scale)), faces[&id].uv(point(&area["high"], scale)));
        let beyond = if area.get("fastener").is_some() { 1.0 } else { 0.0 };
        for element in elements.iter().filter(|e| e.face == id) {
            let apart = |l: f64, h: f64, low: f64, high: f64| (low - h).max(l - high);
            let gap = apart(element.low.0, element.high.0, low.0, high.0).max(apart(
                element.low.1,
                element.high.1,
                low.1,
                high.1,
            ));
            if gap < beyond - 0.01 {
                wrong.push(format!("{} lies {gap:.3} in from what is kept free", element.tag));
            }
        }
        for lead in list(file, "leads") {
            for leg in list(lead, "legs").iter().filter(|leg| leg["place"] == "face" && text(leg, "face") == id) {
                let path: Vec<P> = list(leg, "points").iter().map(|p| faces[&id].uv(point(p, scale))).collect();
                if path.windows(2).any(|w| to_rectangle((w[0], w[1]), low, high) < 0.1) {
                    wrong.push(format!("{} lies in what is kept free", text(lead, "id")));
                }
            }
        }
    }
}

fn overlaps(elements: &[Element], wrong: &mut Vec<String>) {
    for (i, a) in elements.iter().enumerate() {
        for b in elements[i + 1..].iter().filter(|b| b.face == a.face) {
            let share = |low: f64, high: f64, l: f64, h: f64| high.min(h) - low.max(l) > ROUNDING;
            if share(a.low.0, a.high.0, b.low.0, b.high.0) && share(a.low.1, a.high.1, b.low.1, b.high.1) {
                wrong.push(format!("{} lies on {}", a.tag, b.tag));
            }
        }
    }
}

/// Each segment is fed by one lead, or named as cold; each circuit holds what its chains hold.
fn feeding(file: &Value, wrong: &mut Vec<String>) {
    let cold: BTreeSet<String> = list(file, "cold").iter().map(|c| text(c, "segment")).collect();
    let mut fed: BTreeMap<String, usize> = BTreeMap::new();
    for lead in list(file, "leads") {
        *fed.entry(text(lead, "segment")).or_default() += 1;
    }
    for segment in list(file, "segments") {
        let id = text(segment, "id");
        let feeds = fed.get(&id).copied().unwrap_or(0);
        if feeds != usize::from(!cold.contains(&id)) {
            wrong.push(format!("{} has {feeds} feeds", text(segment, "tag")));
        }
    }
    for circuit in list(file, "circuits") {
        let watts: f64 = list(file, "chains")
            .iter()
            .filter(|c| text(c, "circuit") == text(circuit, "id"))
            .map(|c| c["watts"].as_f64().unwrap())
            .sum();
        if (watts - circuit["watts"].as_f64().unwrap()).abs() > 0.01 * list(file, "chains").len() as f64 {
            wrong.push(format!("{} carries {} W, its chains {watts} W", text(circuit, "tag"), circuit["watts"]));
        }
    }
}

fn leads(
    file: &Value,
    scale: f64,
    faces: &BTreeMap<String, Face>,
    elements: &[Element],
    shingle: ShingleData,
    wrong: &mut Vec<String>,
) {
    let gaps: Vec<(String, u32, V3, f64)> = list(file, "nail_gaps")
        .iter()
        .map(|g| {
            let course = u32::try_from(g["shingle_course"].as_u64().unwrap()).unwrap();
            (text(g, "face"), course, point(&g["at"], scale), g["width"].as_f64().unwrap())
        })
        .collect();
    for lead in list(file, "leads") {
        let id = text(lead, "id");
        let legs = list(lead, "legs");
        let ends = |leg: &Value| {
            let points = list(leg, "points");
            (point(&points[0], scale), point(&points[points.len() - 1], scale))
        };
        for pair in legs.windows(2) {
            if norm(minus(ends(&pair[0]).1, ends(&pair[1]).0)) > 1.0 / 64.0 + ROUNDING {
                wrong.push(format!("{id}: its legs do not join"));
            }
        }
        let laid: f64 = legs.iter().map(|l| l["length"].as_f64().unwrap() + l["slack"].as_f64().unwrap()).sum();
        let (from, to) = (ends(&legs[0]).0, ends(&legs[legs.len() - 1]).1);
        let cut = lead["length"].as_f64().unwrap();
        if cut < laid - ROUNDING || laid < norm(minus(to, from)) - ROUNDING {
            wrong.push(format!("{id}: cut {cut} in, laid {laid} in"));
        }
        for (face_id, points) in laid_on_faces(&id, file, legs, scale, faces, wrong) {
            let face = &faces[&face_id];
            let path: Vec<P> = points.iter().map(|&p| face.uv(p)).collect();
            let own_gaps: Vec<(u32, P, f64)> =
                gaps.iter().filter(|g| g.0 == face_id).map(|g| (g.1, face.uv(g.2), g.3)).collect();
            for pair in path.windows(2) {
                lead_over_elements(&id, (pair[0], pair[1]), &face_id, elements, wrong);
                // Courses are counted from the eave that the nearest element is measured from; without element from the face's own.
                let on_face = elements.iter().filter(|e| e.face == face_id);
                let nearest = on_face.min_by(|e, f| {
                    let to = |e: &Element| to_rectangle((pair[0], pair[1]), e.low, e.high);
                    to(e).total_cmp(&to(f))
                });
                let Some(base) = nearest.map(|e| e.base).or(course_base(face)) else { continue };
                let lowest = course_base(face).unwrap_or(base).min(base);
                lead_in_nails(&id, (pair[0], pair[1]), (lowest, base), face, &own_gaps, shingle, wrong);
            }
        }
    }
}

/// The stretches of a lead that lie on faces: its legs there, and both halves of each crossing.
fn laid_on_faces(
    id: &str,
    file: &Value,
    legs: &[Value],
    scale: f64,
    faces: &BTreeMap<String, Face>,
    wrong: &mut Vec<String>,
) -> Vec<(String, Vec<V3>)> {
    let mut found = Vec::new();
    for leg in legs {
        let points: Vec<V3> = list(leg, "points").iter().map(|p| point(p, scale)).collect();
        if leg["place"] == "face" {
            found.push((text(leg, "face"), points));
        } else if leg["place"] == "crossing" {
            let crossing = list(file, "crossings").iter().find(|c| c["id"] == leg["crossing"]);
            let edges = list(file, "roofs").iter().flat_map(|roof| list(roof, "edges"));
            let edge = crossing.and_then(|c| edges.into_iter().find(|e| e["id"] == c["edge"]));
            let Some(edge) = edge else {
                wrong.push(format!("{id} crosses no fold that the file names"));
                continue;
            };
            square_over_fold(id, &points, (point(&edge["a"], scale), point(&edge["b"], scale)), wrong);
            for pair in points.windows(2) {
                // The half lies on the face of the fold from whose plane its ends stand off least.
                let off = |face: &Face| {
                    let normal = [
                        face.along[1] * face.up[2] - face.along[2] * face.up[1],
                        face.along[2] * face.up[0] - face.along[0] * face.up[2],
                        face.along[0] * face.up[1] - face.along[1] * face.up[0],
                    ];
                    pair.iter().map(|&p| dot(minus(p, face.origin), normal).abs()).fold(0.0, f64::max)
                };
                let sides = list(edge, "faces").iter().filter_map(Value::as_str);
                let own = sides.min_by(|a, b| off(&faces[*a]).total_cmp(&off(&faces[*b])));
                let Some(own) = own.filter(|own| off(&faces[*own]) < 0.1) else {
                    wrong.push(format!("{id} leaves the roof where it crosses"));
                    continue;
                };
                found.push((own.to_owned(), pair.to_vec()));
            }
        }
    }
    found
}

/// A lead may touch the end of an element it feeds, and pass none.
fn lead_over_elements(id: &str, stretch: (P, P), face: &str, elements: &[Element], wrong: &mut Vec<String>) {
    let shrink = 1.0 / 16.0;
    for element in elements.iter().filter(|e| e.face == face) {
        let (low, high) =
            ((element.low.0 + shrink, element.low.1 + shrink), (element.high.0 - shrink, element.high.1 - shrink));
        if to_rectangle(stretch, low, high) == 0.0 {
            wrong.push(format!("{id} crosses {}", element.tag));
        }
    }
}

/// How far apart nails are tried along a row, inches: fine enough that none between two tries comes nearer by more than a hundredth.
const TRIED: f64 = 0.125;

/// Nails stand anywhere in their row but in the gaps marked there, beyond the face and within 6 in of a valley, where no shingle is nailed.
fn lead_in_nails(
    id: &str,
    stretch: (P, P),
    bases: (f64, f64),
    face: &Face,
    gaps: &[(u32, P, f64)],
    shingle: ShingleData,
    wrong: &mut Vec<String>,
) {
    let (a, b) = stretch;
    let (left, right) = (a.0.min(b.0) - 1.0, a.0.max(b.0) + 1.0);
    for (course, row) in rows(shingle, bases, a.1.min(b.1) - 2.0, a.1.max(b.1) + 2.0) {
        let own = gaps.iter().filter(|g| g.0 == course && (g.1.1 - 0.5 * (row.0 + row.1)).abs() < 0.1);
        let free: Vec<(f64, f64)> = own.map(|g| (g.1.0 - 0.5 * g.2, g.1.0 + 0.5 * g.2)).collect();
        // A starter strip is nailed along its own eave.
        let strips: Vec<(f64, f64)> = face
            .eaves
            .iter()
            .zip(&face.eaves_along)
            .filter(|(eave, _)| (eave.1 - bases.1).abs() <= 0.5)
            .map(|(_, along)| *along)
            .collect();
        let nailed = |u: f64| course > 0 || strips.iter().any(|&(from, to)| u >= from && u <= to);
        let tries = ((right - left) / TRIED).ceil() as u32;
        let nail = (0..=tries).map(|step| left + TRIED * f64::from(step)).find(|&u| {
            let nails = ((u, row.0), (u, row.1));
            let near = to_rectangle(stretch, (u, row.0), (u, row.1)) < TO_LEAD - 0.02;
            near && nailed(u)
                && !free.iter().any(|&(from, to)| u > from - 0.01 && u < to + 0.01)
                && polygon_holds(&face.ring, (u, row.0))
                && !face
                    .valleys
                    .iter()
                    .any(|&v| point_to_segment(nails.0, v) < 6.0 || point_to_segment(nails.1, v) < 6.0)
        });
        if let Some(u) = nail {
            wrong.push(format!(
                "{id} passes less than 3/4 in from the nails of shingle course {course} at {u:.2} on {a:?} {b:?}"
            ));
        }
    }
}

/// A crossing leads square over its fold on both faces.
fn square_over_fold(id: &str, points: &[V3], fold: (V3, V3), wrong: &mut Vec<String>) {
    let along = minus(fold.1, fold.0);
    for pair in points.windows(2) {
        let way = minus(pair[1], pair[0]);
        if dot(along, way).abs() > 1e-3 * norm(along) * norm(way) + ROUNDING {
            wrong.push(format!("{id} crosses its fold aslant"));
        }
    }
}

/// In a retrofit nails stand everywhere but in stripped lanes, every piece lies under the tabs of the one course named, a hole is near the
/// connection, and nothing crosses a fold.
fn existing_roof(
    file: &Value,
    scale: f64,
    faces: &BTreeMap<String, Face>,
    elements: &[Element],
    shingle: ShingleData,
    wrong: &mut Vec<String>,
) {
    let stripped: Vec<(String, P, P)> = list(file, "relays")
        .iter()
        .map(|r| {
            let face = &faces[&text(r, "face")];
            (text(r, "face"), face.uv(point(&r["low"], scale)), face.uv(point(&r["high"], scale)))
        })
        .collect();
    let in_lane = |face: &str, p: P| {
        stripped.iter().any(|(f, low, high)| {
            f == face && p.0 > low.0 - 0.1 && p.0 < high.0 + 0.1 && p.1 > low.1 - 0.1 && p.1 < high.1 + 0.1
        })
    };
    for gap in list(file, "nail_gaps") {
        let face = text(gap, "face");
        if !in_lane(&face, faces[&face].uv(point(&gap["at"], scale))) {
            wrong.push(format!("{face}: a nail of the old roof is missing outside a stripped lane"));
        }
    }
    for (element, segment) in elements.iter().zip(list(file, "segments")) {
        let over = segment["shingle_courses"][1].as_u64().unwrap_or(u64::MAX);
        // Courses of an eave up the slope are counted from the one it cuts.
        let lowest = course_base(&faces[&element.face]).unwrap_or(element.base).min(element.base);
        let first = rows(shingle, (lowest, element.base), f64::NEG_INFINITY, element.base + 2.0 * shingle.exposure);
        let first = first.iter().find(|(k, _)| *k > 0).map_or(element.base, |(_, row)| row.0 - shingle.nails.0);
        let butt = first + (over as f64 - 1.0) * shingle.exposure;
        // The lowest tab covers the starter's nails, which are counted from the eave itself.
        let top = if over == 1 {
            (butt + shingle.nails.0).min(element.base + shingle.starter.0)
        } else {
            butt + shingle.nails.0
        };
        if element.low.1 < butt - 0.01 || element.high.1 > top - TO_ELEMENT + 0.01 {
            wrong.push(format!("{} does not lie under the tabs of course {over}", element.tag));
        }
    }
    for lead in list(file, "leads") {
        let (id, legs) = (text(lead, "id"), list(lead, "legs"));
        if legs.iter().any(|leg| leg["place"] == "crossing") {
            wrong.push(format!("{id} crosses a fold of an existing roof"));
        }
        let piece = list(file, "segments").iter().position(|s| s["id"] == lead["segment"]);
        let Some(element) = piece.map(|at| &elements[at]) else { continue };
        let middle = 0.5 * (element.low.1 + element.high.1);
        // A jumper begins under the tab of the piece before, on the same face.
        let before =
            list(file, "segments").iter().position(|s| s["id"] == lead["from_segment"]).map(|at| &elements[at]);
        let before = before.filter(|e| e.face == element.face);
        for leg in legs.iter().filter(|leg| leg["place"] == "through-deck") {
            let at = faces[&element.face].uv(point(&list(leg, "points")[1], scale));
            let ends = [(element.low.0, middle), (element.high.0, middle)];
            let hole = faces[&element.face].uv(point(list(leg, "points").last().unwrap(), scale));
            let apart = |p: P| ends.iter().map(|e| (e.0 - p.0).hypot(e.1 - p.1)).fold(f64::INFINITY, f64::min);
            if apart(at).min(apart(hole)) > 6.0 {
                wrong.push(format!("{id} goes through the deck further than 6 in from its piece"));
            }
        }
        for leg in legs.iter().filter(|leg| leg["place"] == "face") {
            let face = &faces[&text(leg, "face")];
            let path: Vec<P> = list(leg, "points").iter().map(|p| face.uv(point(p, scale))).collect();
            let lowest = course_base(&faces[&element.face]).unwrap_or(element.base).min(element.base);
            let tab = |v: f64| ((v - lowest) / shingle.exposure).floor();
            for p in path.iter().filter(|p| !in_lane(&element.face, **p)) {
                let own = |middle: f64| tab(p.1 + 0.01) == tab(middle) || tab(p.1 - 0.01) == tab(middle);
                let under_own = own(middle) || before.is_some_and(|e| own(0.5 * (e.low.1 + e.high.1)));
                if !under_own {
                    wrong.push(format!("{id} lies under another tab than its piece, outside a stripped lane"));
                }
            }
        }
    }
}
