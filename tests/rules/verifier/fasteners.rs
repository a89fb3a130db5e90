//! Nails along the edges of faces and around openings: caps, drip edge, flashing. Those of shingle courses and starter strips stand in rows
//! (`elements.rs`, `leads.rs`).
//!
//! - Caps on hips and ridges: pieces 12 in wide bent over the line, nailed 1 in from each side, so 5 in from the line all along it. Common practice,
//!   no source.
//! - Drip edge at rakes: its flange reaches 2 in or more up the deck (IRC R905.2.8.5, over the underlayment at gables), nailed in its middle, 1 in from
//!   the edge. At eaves the underlayment lies over it: its nails are driven and covered before any element or lead is laid, so none is generated.
//! - Step flashing at walls, and flashing around openings: flanges 4 in on the deck (IRC R905.2.8.3: 4 by 4 in at least), nailed anywhere in that.
//!   At a step only the lower face has the wall.
//! - Valleys: no shingle is nailed within 6 in of the line, which the rows leave out. Lining is nailed at its sides before anything is laid on it.
//!
//! On an existing roof the drip edge lies under the courses that a lead is slid in between; what is nailed there stays below it.

use super::elements::Element;
use super::faces::{Face, point_to_segment, polygon_holds, to_rectangle};
use super::leads::laid_on_faces;
use super::{P, TO_ELEMENT, TO_LEAD, list, point, text};
use serde_json::Value;
use std::collections::BTreeMap;

const CAP: f64 = 5.0;
const DRIP: f64 = 1.0;
const FLANGE: f64 = 4.0;
/// Between nails that are tried along an edge, and across a flange, inches.
const ALONG: f64 = 0.25;
const ACROSS: f64 = 0.5;

/// A strip along a line in which nails stand: how far from the line it begins and ends, on its left.
struct Strip {
    what: &'static str,
    edge: String,
    line: (P, P),
    from: f64,
    to: f64,
}

/// Everything nailed along edges against elements and leads.
pub(super) fn edge_nails(
    file: &Value,
    scale: f64,
    faces: &BTreeMap<String, Face>,
    elements: &[Element],
    wrong: &mut Vec<String>,
) {
    let strips: BTreeMap<&String, Vec<Strip>> =
        faces.iter().map(|(id, face)| (id, strips(file, scale, (id, face), faces))).collect();
    for element in elements {
        let face = &faces[&element.face];
        for strip in &strips[&element.face] {
            let reach = strip.to + TO_ELEMENT;
            if to_rectangle(strip.line, element.low, element.high) > reach {
                continue;
            }
            let outside = |p: P| {
                let dx = (element.low.0 - p.0).max(p.0 - element.high.0).max(0.0);
                let dy = (element.low.1 - p.1).max(p.1 - element.high.1).max(0.0);
                dx.hypot(dy)
            };
            if nails(strip, face).any(|p| outside(p) < TO_ELEMENT - 0.01) {
                wrong.push(format!(
                    "{} lies less than 3/8 in from nails of the {} at {}",
                    element.tag, strip.what, strip.edge
                ));
            }
        }
    }
    let gaps = cap_gaps(file, scale);
    for lead in list(file, "leads") {
        let id = text(lead, "id");
        for (face_id, points) in laid_on_faces(&id, file, list(lead, "legs"), scale, faces, &mut Vec::new()) {
            let face = &faces[&face_id];
            let path: Vec<P> = points.iter().map(|&p| face.uv(p)).collect();
            for pair in path.windows(2) {
                let stretch = (pair[0], pair[1]);
                for strip in &strips[&face_id] {
                    let reach = strip.to + TO_LEAD;
                    if apart(strip.line, stretch) > reach {
                        continue;
                    }
                    let marked = |p: P| {
                        let own = gaps.iter().filter(|gap| gap.0 == strip.edge);
                        let (a, b) = strip.line;
                        let length = (b.0 - a.0).hypot(b.1 - a.1);
                        let along = |q: P| ((q.0 - a.0) * (b.0 - a.0) + (q.1 - a.1) * (b.1 - a.1)) / length;
                        own.into_iter().any(|(_, at, width)| {
                            let at = face.uv([at.0, at.1, face.plane[0] * at.0 + face.plane[1] * at.1 + face.plane[2]]);
                            (along(at) - along(p)).abs() < 0.5 * width + 0.01
                        })
                    };
                    if let Some(p) =
                        nails(strip, face).find(|&p| point_to_segment(p, stretch) < TO_LEAD - 0.02 && !marked(p))
                    {
                        wrong.push(format!(
                            "{id} passes less than 3/4 in from nails of the {} at {}, {p:.2?}",
                            strip.what, strip.edge
                        ));
                        break;
                    }
                }
            }
        }
    }
}

/// Strips of nails on a face.
fn strips(file: &Value, scale: f64, (id, face): (&String, &Face), faces: &BTreeMap<String, Face>) -> Vec<Strip> {
    let mut found = Vec::new();
    let existing = file["work"] == "retrofit";
    for (edge, kind, line) in &face.sides {
        let (what, from, to) = match kind.as_str() {
            "hip" | "ridge" => ("caps", CAP, CAP),
            "rake" if !existing => ("drip edge", DRIP, DRIP),
            "sidewall" => ("step flashing", 0.0, FLANGE),
            "step" if is_lower(file, scale, edge, id, faces) => ("step flashing", 0.0, FLANGE),
            _ => continue,
        };
        // On both sides of the line; those off the face are no nails of it.
        for line in [*line, (line.1, line.0)] {
            found.push(Strip { what, edge: edge.clone(), line, from, to });
        }
    }
    for ring in &face.openings {
        for at in 0..ring.len() {
            let line = (ring[at], ring[(at + 1) % ring.len()]);
            for line in [line, (line.1, line.0)] {
                found.push(Strip { what: "flashing", edge: "an opening".to_owned(), line, from: 0.0, to: FLANGE });
            }
        }
    }
    found
}

/// Whether a face lies below the other one of a step, or is alone there.
fn is_lower(file: &Value, scale: f64, edge: &str, id: &str, faces: &BTreeMap<String, Face>) -> bool {
    let edges = list(file, "roofs").iter().flat_map(|roof| list(roof, "edges"));
    let Some(found) = edges.into_iter().find(|e| e["id"] == edge) else { return true };
    let (a, b) = (point(&found["a"], scale), point(&found["b"], scale));
    let middle = (0.5 * (a[0] + b[0]), 0.5 * (a[1] + b[1]));
    let height = |face: &Face| face.plane[0] * middle.0 + face.plane[1] * middle.1 + face.plane[2];
    let others = list(found, "faces").iter().filter_map(Value::as_str).filter(|other| *other != id);
    others.filter_map(|other| faces.get(other)).all(|other| height(&faces[id]) < height(other))
}

/// Nails of a strip that stand on the face and off its openings.
fn nails<'a>(strip: &'a Strip, face: &'a Face) -> impl Iterator<Item = P> + 'a {
    let (a, b) = strip.line;
    let length = (b.0 - a.0).hypot(b.1 - a.1).max(1e-9);
    let (along, inward) = (((b.0 - a.0) / length, (b.1 - a.1) / length), (-(b.1 - a.1) / length, (b.0 - a.0) / length));
    let steps = (length / ALONG).ceil() as u32;
    let across = ((strip.to - strip.from) / ACROSS).ceil() as u32;
    (0..=across)
        .flat_map(move |row| (0..=steps).map(move |step| (row, step)))
        .map(move |(row, step)| {
            let off = (strip.from + ACROSS * f64::from(row)).min(strip.to);
            let s = (ALONG * f64::from(step)).min(length);
            (a.0 + along.0 * s + inward.0 * off, a.1 + along.1 * s + inward.1 * off)
        })
        .filter(|&p| polygon_holds(&face.ring, p))
}

/// Least distance between two segments.
fn apart(a: (P, P), b: (P, P)) -> f64 {
    let cross = |o: P, p: P, q: P| (p.0 - o.0) * (q.1 - o.1) - (p.1 - o.1) * (q.0 - o.0);
    let meet = cross(a.0, a.1, b.0) * cross(a.0, a.1, b.1) < 0.0 && cross(b.0, b.1, a.0) * cross(b.0, b.1, a.1) < 0.0;
    let ends = [point_to_segment(a.0, b), point_to_segment(a.1, b), point_to_segment(b.0, a), point_to_segment(b.1, a)];
    if meet { 0.0 } else { ends.into_iter().fold(f64::INFINITY, f64::min) }
}

/// Where caps are not nailed for leads that cross under them: the fold, where in plan inches, and how wide along the fold.
fn cap_gaps(file: &Value, scale: f64) -> Vec<(String, P, f64)> {
    let crossings = list(file, "crossings").iter();
    crossings
        .filter_map(|crossing| {
            let at = &crossing["at"];
            let axis = |name: &str, index: usize| at.get(name).or_else(|| at.get(index)).and_then(Value::as_f64);
            let plan = (axis("x", 0)? * scale, axis("y", 1)? * scale);
            Some((text(crossing, "edge"), plan, crossing["cap_gap"].as_f64()?))
        })
        .collect()
}
