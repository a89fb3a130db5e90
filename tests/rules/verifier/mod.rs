//! The finished roof, looked at from outside: what is written in `N.json` against fasteners generated from shingle data alone. Nothing
//! here uses the layout's own code, frames or checks; each face gets a frame of its own from its plane.

mod elements;
mod existing;
mod faces;
mod fasteners;
mod leads;

use elements::{element_faults, elements, kept_free, overlaps};
use existing::existing_roof;
use faces::faces;
use fasteners::edge_nails;
use leads::{crossing_leads, leads};
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
    crossing_leads(file, scale, &mut wrong);
    edge_nails(file, scale, &faces, &elements, &mut wrong);
    wrong
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
