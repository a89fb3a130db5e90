//! Faces as the verifier sees them: each with a frame of its own from its plane.

use super::{P, V3, dot, list, minus, point, text};
use serde_json::Value;
use std::collections::BTreeMap;

/// A face as this test sees it: along the contour and up the slope from its origin.
pub(super) struct Face {
    pub(super) origin: V3,
    pub(super) along: V3,
    pub(super) up: V3,
    pub(super) ring: Vec<P>,
    /// Edges that elements keep away from.
    pub(super) edges: Vec<(P, P)>,
    pub(super) valleys: Vec<(P, P)>,
    /// Lowest and highest point of each eave: one that is drawn out of level has both.
    pub(super) eaves: Vec<(f64, f64)>,
    /// From left to right, in the same order.
    pub(super) eaves_along: Vec<(f64, f64)>,
    pub(super) openings: Vec<Vec<P>>,
    /// Every edge with its id and kind.
    pub(super) sides: Vec<(String, String, (P, P))>,
    /// Height over plan `(x, y)`: `a x + b y + c`, inches.
    pub(super) plane: [f64; 3],
}

impl Face {
    pub(super) fn uv(&self, p: V3) -> P {
        let d = minus(p, self.origin);
        (dot(d, self.along), dot(d, self.up))
    }
}

pub(super) fn polygon_holds(ring: &[P], p: P) -> bool {
    let mut inside = false;
    for i in 0..ring.len() {
        let (a, b) = (ring[i], ring[(i + 1) % ring.len()]);
        if (a.1 > p.1) != (b.1 > p.1) && p.0 < a.0 + (p.1 - a.1) / (b.1 - a.1) * (b.0 - a.0) {
            inside = !inside;
        }
    }
    inside
}

pub(super) fn point_to_segment(p: P, (a, b): (P, P)) -> f64 {
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let t = (((p.0 - a.0) * dx + (p.1 - a.1) * dy) / (dx * dx + dy * dy).max(1e-12)).clamp(0.0, 1.0);
    (p.0 - a.0 - t * dx).hypot(p.1 - a.1 - t * dy)
}

/// Distance between a segment and an upright rectangle, 0 when they meet.
pub(super) fn to_rectangle(segment: (P, P), low: P, high: P) -> f64 {
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

pub(super) fn faces(file: &Value, scale: f64) -> BTreeMap<String, Face> {
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
                sides: Vec::new(),
                plane: [a, b, face["plane"]["c"].as_f64().unwrap() * scale],
            };
            made.ring = ring.iter().map(|&p| made.uv(p)).collect();
            let id = text(face, "id");
            // A fold's ends carry the height of one of its faces; this face's own plane tells where the line lies on it.
            let plane = made.plane;
            let on_plane = |p: V3| [p[0], p[1], plane[0] * p[0] + plane[1] * p[1] + plane[2]];
            for edge in list(roof, "edges").iter().filter(|e| list(e, "faces").iter().any(|f| f == id.as_str())) {
                let line = (made.uv(on_plane(point(&edge["a"], scale))), made.uv(on_plane(point(&edge["b"], scale))));
                made.sides.push((text(edge, "id"), text(edge, "kind"), line));
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

/// Where the shingle courses of a face are counted from: the higher end of its lowest eave, eaves within half an inch of level being one.
pub(super) fn course_base(face: &Face) -> Option<f64> {
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
