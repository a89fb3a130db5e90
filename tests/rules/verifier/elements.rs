//! Elements against the nails over them, edges, openings, one another and what is kept free.

use super::faces::{Face, course_base, polygon_holds, to_rectangle};
use super::{P, ROUNDING, SETBACK, ShingleData, TO_ELEMENT, list, minus, norm, point, text};
use serde_json::Value;
use std::collections::BTreeMap;

/// An element on its face: low and high corner.
pub(super) struct Element {
    pub(super) tag: String,
    pub(super) face: String,
    pub(super) low: P,
    pub(super) high: P,
    pub(super) base: f64,
}

pub(super) fn elements(
    file: &Value,
    scale: f64,
    faces: &BTreeMap<String, Face>,
    wrong: &mut Vec<String>,
) -> Vec<Element> {
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

pub(super) fn element_faults(element: &Element, face: &Face, shingle: ShingleData, wrong: &mut Vec<String>) {
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
pub(super) fn rows(shingle: ShingleData, (lowest, eave): (f64, f64), from: f64, to: f64) -> Vec<(u32, (f64, f64))> {
    let field = (1u32..).map(|k| (k, lowest + f64::from(k - 1) * shingle.exposure));
    let laid = field
        .take_while(|(_, butt)| butt + shingle.nails.0 <= to)
        .filter(|(_, butt)| butt + shingle.exposure > eave + 0.125);
    let nailed = laid.map(|(k, butt)| (k, (butt + shingle.nails.0, butt + shingle.nails.1)));
    let starter = std::iter::once((0, (eave + shingle.starter.0, eave + shingle.starter.1)));
    starter.chain(nailed).filter(|(_, row)| row.1 >= from && row.0 <= to).collect()
}

/// Nothing lies in what the job keeps free: elements keep an inch from what is fastened there.
pub(super) fn kept_free(
    file: &Value,
    scale: f64,
    faces: &BTreeMap<String, Face>,
    elements: &[Element],
    wrong: &mut Vec<String>,
) {
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

pub(super) fn overlaps(elements: &[Element], wrong: &mut Vec<String>) {
    for (i, a) in elements.iter().enumerate() {
        for b in elements[i + 1..].iter().filter(|b| b.face == a.face) {
            let share = |low: f64, high: f64, l: f64, h: f64| high.min(h) - low.max(l) > ROUNDING;
            if share(a.low.0, a.high.0, b.low.0, b.high.0) && share(a.low.1, a.high.1, b.low.1, b.high.1) {
                wrong.push(format!("{} lies on {}", a.tag, b.tag));
            }
        }
    }
}
