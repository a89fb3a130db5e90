//! Leads: joined legs, no element under them, no nail near them outside a marked gap, square over folds.

use super::elements::{Element, rows};
use super::faces::{Face, course_base, point_to_segment, polygon_holds, to_rectangle};
use super::{P, ROUNDING, ShingleData, TO_LEAD, V3, dot, list, minus, norm, point, text};
use serde_json::Value;
use std::collections::BTreeMap;

pub(super) fn leads(
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
    // The sensor's lead lies like any other.
    let sensor = Some(&file["sensor"]["lead"]).filter(|lead| lead.is_object());
    for lead in list(file, "leads").iter().chain(sensor) {
        let id = if lead["id"].is_string() { text(lead, "id") } else { "the sensor's lead".to_owned() };
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
pub(super) fn laid_on_faces(
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
pub(super) fn lead_over_elements(id: &str, stretch: (P, P), face: &str, elements: &[Element], wrong: &mut Vec<String>) {
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
pub(super) const TRIED: f64 = 0.125;

/// Nails stand anywhere in their row but in the gaps marked there, beyond the face and within 6 in of a valley, where no shingle is nailed.
pub(super) fn lead_in_nails(
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

/// Thickness of the sample catalogue's lead, inches: two of them lie at least so far apart.
const LEAD: f64 = 0.25;

/// Leads that cross a fold at one place lie beside one another and not on one another.
pub(super) fn crossing_leads(file: &Value, scale: f64, wrong: &mut Vec<String>) {
    let mut over: BTreeMap<String, Vec<(String, V3)>> = BTreeMap::new();
    for lead in list(file, "leads") {
        for leg in list(lead, "legs").iter().filter(|leg| leg["place"] == "crossing") {
            let points = list(leg, "points");
            over.entry(text(leg, "crossing"))
                .or_default()
                .push((text(lead, "id"), point(&points[points.len() / 2], scale)));
        }
    }
    for (crossing, leads) in over {
        for (at, (one, a)) in leads.iter().enumerate() {
            for (other, b) in &leads[at + 1..] {
                if norm(minus(*a, *b)) < LEAD - ROUNDING {
                    wrong.push(format!("{one} and {other} lie on one another where they cross {crossing}"));
                }
            }
        }
    }
}

/// A crossing leads square over its fold on both faces.
pub(super) fn square_over_fold(id: &str, points: &[V3], fold: (V3, V3), wrong: &mut Vec<String>) {
    let along = minus(fold.1, fold.0);
    for pair in points.windows(2) {
        let way = minus(pair[1], pair[0]);
        if dot(along, way).abs() > 1e-3 * norm(along) * norm(way) + ROUNDING {
            wrong.push(format!("{id} crosses its fold aslant"));
        }
    }
}
