//! What a retrofit keeps to besides.

use super::elements::{Element, rows};
use super::faces::{Face, course_base};
use super::{P, ShingleData, TO_ELEMENT, list, point, text};
use serde_json::Value;
use std::collections::BTreeMap;

/// In a retrofit nails stand everywhere but in stripped lanes, every piece lies under the tabs of the one course named, a hole is near the
/// connection, and nothing crosses a fold.
pub(super) fn existing_roof(
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
