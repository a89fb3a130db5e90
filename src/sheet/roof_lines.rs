//! Roof edges, openings and face tags of a plan.

use super::blocks::{FALL_ARROW, Symbol};
use super::dimensions::readable;
use super::labels::{Label, Placer};
use super::layers::Pen;
use super::model::{Anchor, Text};
use super::pad::{HEAD, NOTE, Pad, TAG};
use crate::geometry::{Box2, Point2, Region, Segment2, Vector2};
use crate::import::OpeningKind;
use crate::index::FaceId;
use crate::plan::PlanOpening;
use crate::roof::{Basis, Roof, RoofEdge};
use crate::terms::EdgeKind;
use crate::units::{feet_inches, pitch_in_12};

/// The pen of an edge kind.
pub(super) fn edge_pen(kind: EdgeKind, basis: Basis) -> Pen {
    if basis == Basis::Ambiguous {
        return Pen::Open;
    }
    match kind {
        EdgeKind::Eave => Pen::Eave,
        EdgeKind::Rake | EdgeKind::HighEdge | EdgeKind::Sidewall | EdgeKind::FlatEdge | EdgeKind::Skew => Pen::Rake,
        EdgeKind::Ridge => Pen::Ridge,
        EdgeKind::Hip => Pen::Hip,
        EdgeKind::Valley => Pen::Valley,
        EdgeKind::PitchBreak | EdgeKind::FlatBreak | EdgeKind::Step => Pen::Break,
        EdgeKind::Unknown => Pen::Open,
    }
}

/// `(A)` and `(?)` behind what is assumed or open.
pub(super) fn basis_mark(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured | Basis::Set | Basis::Solved => "",
        Basis::Assumed => " (A)",
        Basis::Ambiguous => " (?)",
    }
}

/// The trade's word for an opening.
pub(super) fn opening_words(kind: OpeningKind) -> &'static str {
    match kind {
        OpeningKind::Skylight => "skylight",
        OpeningKind::Chimney => "chimney",
        OpeningKind::Vent => "vent",
        OpeningKind::Hatch => "hatch",
        OpeningKind::Unknown => "opening",
    }
}

/// Draws edges, walls and openings in plan, and keeps labels off them.
pub(super) fn draw_roof(roof: &Roof, pad: &mut Pad, placer: &mut Placer) {
    for (i, wall) in roof.walls.iter().enumerate() {
        pad.line(format!("wall.{}", i + 1), Pen::Wall, wall.a, wall.b);
    }
    for opening in &roof.openings {
        for (i, ring) in opening.outline.rings().enumerate() {
            let part = if i == 0 { String::new() } else { format!(".hole{i}") };
            pad.ring(format!("{}{part}", opening.id), Pen::Opening, ring.points.clone());
            for side in ring.sides() {
                placer.block_line(side.a, side.b, 0.01);
            }
        }
    }
    for edge in &roof.edges {
        let line = roof.segment(edge.id);
        pad.line(edge.id.to_string(), edge_pen(edge.kind, edge.basis), line.a, line.b);
        placer.block_line(line.a, line.b, 0.014);
    }
}

/// Tags of edges: id, kind and true length where there is room, else the id alone.
pub(super) fn edge_labels(roof: &Roof, scale: f64) -> Vec<Label> {
    roof.edges.iter().map(|edge| edge_label(roof, edge, scale)).collect()
}

fn edge_label(roof: &Roof, edge: &RoofEdge, scale: f64) -> Label {
    let mark = basis_mark(edge.basis);
    let kind = if edge.basis == Basis::Ambiguous {
        open_words(edge.kind, &edge.alternatives)
    } else {
        edge.kind.words().to_owned()
    };
    let long = format!("{} {} {}{mark}", edge.id, kind.to_uppercase(), feet_inches(roof.slope_length(edge.id)));
    let middle = format!("{} {}{mark}", edge.id, kind.to_uppercase());
    let short = format!("{}{mark}", edge.id);
    let outside = match (edge.left, edge.right) {
        (Some(_), None) => Some(-1.0),
        (None, Some(_)) => Some(1.0),
        _ => None,
    };
    let line = roof.segment(edge.id);
    let paper = line.length() / scale;
    let candidates = [&long, &middle, &short].into_iter().flat_map(|words| {
        // A long tag that reaches past its edge would read as its neighbour's.
        let fits = NOTE.width(words) <= paper + 0.4 || words == &short;
        fits.then(|| along_line(line, scale, outside, words)).into_iter().flatten()
    });
    let faces: Vec<String> = roof.sides(edge.id).map(|f| f.to_string()).collect();
    let key = format!(
        "{} {} {} at {}",
        edge.id,
        edge.kind.words(),
        feet_inches(roof.slope_length(edge.id)),
        faces.join(", ")
    );
    Label { id: format!("{}.tag", edge.id), pen: Pen::RoofTag, candidates: candidates.collect(), key }
}

/// `rake or high edge` for an open edge.
fn open_words(kind: EdgeKind, others: &[EdgeKind]) -> String {
    let mut words = vec![kind.words()];
    words.extend(others.iter().map(|k| k.words()).filter(|w| *w != kind.words()));
    words.dedup();
    words.join(" or ")
}

/// Places beside a line: on its outer side if it has one, else on both; `outside` is +1 for the left.
fn along_line(line: Segment2, scale: f64, outside: Option<f64>, words: &str) -> Vec<Text> {
    let Some(along) = (line.b - line.a).unit() else { return Vec::new() };
    let reading = readable(along);
    let sides: Vec<f64> = match outside {
        Some(side) => vec![side],
        None => vec![1.0, -1.0],
    };
    let mut places = Vec::new();
    for away in [0.07, 0.24] {
        for t in [0.5, 0.38, 0.62, 0.26, 0.74, 0.15, 0.85] {
            for side in &sides {
                let off = along.left() * *side;
                // Held by its baseline: below the line it must come down by its own height.
                let drop = if off.dot(reading.left()) < 0.0 { NOTE.height } else { 0.0 };
                let at = line.a.lerp(line.b, t) + off * ((away + drop) * scale);
                places.push(NOTE.turned(at, Anchor::Center, reading, words));
            }
        }
    }
    places
}

/// Tags a face with its id, pitch and fall arrow at a free place; returns whether there was room.
pub(super) fn tag_face(roof: &Roof, face: FaceId, scale: f64, pad: &mut Pad, placer: &mut Placer) -> bool {
    let data = roof.face(face);
    let downhill = roof.downhill(face);
    let pitch = format!("{}{}", pitch_in_12(data.pitch), basis_mark(data.pitch_basis));
    let region = roof.region(face);
    for at in places_in(&region, 9.0 * scale / 48.0) {
        let name = HEAD.text(at + Vector2::new(0.0, 0.03) * scale, Anchor::Center, face.to_string());
        let below = NOTE.text(at - Vector2::new(0.0, 0.15) * scale, Anchor::Center, pitch.clone());
        let mut taken = vec![placer.quad(&name), placer.quad(&below)];
        let arrow = downhill.map(|d| {
            // Clear of the two lines of text in whichever direction it points.
            let clear = 0.3 * d.x.abs() + 0.24 * d.y.abs();
            (at - Vector2::new(0.0, 0.03) * scale + d * (clear * scale), d)
        });
        if let Some((tail, d)) = arrow {
            let (a, b) = (
                Point2::new(tail.x / scale, tail.y / scale),
                Point2::new(tail.x / scale, tail.y / scale) + d * FALL_ARROW,
            );
            let side = d.left() * 0.05;
            taken.push([a - side, b - side, b + side, a + side]);
        }
        let inside = taken.iter().flatten().all(|p| region.contains(Point2::new(p.x * scale, p.y * scale)));
        if !inside || !taken.iter().all(|quad| placer.is_free(quad)) {
            continue;
        }
        for quad in taken {
            placer.take(quad);
        }
        pad.text(format!("{face}.tag"), Pen::RoofTag, name);
        pad.text(format!("{face}.pitch"), Pen::Fall, below);
        if let Some((tail, d)) = arrow {
            pad.insert(format!("{face}.fall"), Pen::Fall, Symbol::FallArrow.id(), tail, d, Vec::new());
        }
        return true;
    }
    let short = format!("{face} {pitch}");
    let small =
        places_in(&region, 4.0 * scale / 48.0).into_iter().map(|at| TAG.text(at, Anchor::Middle, short.clone()));
    match placer.place(small) {
        Some(text) => {
            pad.text(format!("{face}.tag"), Pen::RoofTag, text);
            true
        }
        None => false,
    }
}

/// Points of a region on a grid, the farthest from its sides first; at most 900.
pub(super) fn places_in(region: &Region, step: f64) -> Vec<Point2> {
    let Some(bounds) = region.exterior.bounds() else { return Vec::new() };
    let step = step.max(bounds.width().max(bounds.height()) / 30.0);
    let mut found: Vec<(f64, Point2)> = Vec::new();
    let count = |length: f64| (length / step).ceil() as usize;
    for row in 0..=count(bounds.height()) {
        for column in 0..=count(bounds.width()) {
            let at = Point2::new(bounds.min.x + column as f64 * step, bounds.min.y + row as f64 * step);
            if region.contains(at) {
                let room = region.rings().map(|r| r.distance_to(at)).fold(f64::INFINITY, f64::min);
                found.push((room, at));
            }
        }
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.y.total_cmp(&b.1.y)).then(a.1.x.total_cmp(&b.1.x)));
    found.into_iter().map(|(_, at)| at).collect()
}

/// Tags openings with id and kind.
pub(super) fn opening_labels(roof: &Roof, scale: f64) -> Vec<Label> {
    let label = |opening: &PlanOpening| {
        let bounds = opening.outline.exterior.bounds()?;
        let long = format!("{} {}", opening.id, opening_words(opening.kind).to_uppercase());
        let both = [&long, &opening.id.to_string()];
        let candidates = both.into_iter().flat_map(|words| around_box(bounds, scale, words)).collect();
        Some(Label { id: format!("{}.tag", opening.id), pen: Pen::RoofTag, candidates, key: long })
    };
    roof.openings.iter().filter_map(label).collect()
}

/// Places for a level label inside, above, below and beside a box.
pub(super) fn around_box(bounds: Box2, scale: f64, words: &str) -> Vec<Text> {
    let c = bounds.center();
    let gap = 0.06 * scale;
    let tall = NOTE.height * scale;
    let at = |x: f64, y: f64, anchor: Anchor| TAG.text(Point2::new(x, y), anchor, words);
    vec![
        at(c.x, c.y, Anchor::Middle),
        at(c.x, bounds.max.y + gap, Anchor::Center),
        at(c.x, bounds.min.y - gap - tall, Anchor::Center),
        at(bounds.max.x + gap, c.y, Anchor::MiddleLeft),
        at(bounds.min.x - gap, c.y, Anchor::MiddleRight),
        at(bounds.max.x + gap, bounds.max.y + gap, Anchor::Left),
        at(bounds.min.x - gap, bounds.max.y + gap, Anchor::Right),
        at(bounds.max.x + gap, bounds.min.y - gap - tall, Anchor::Left),
        at(bounds.min.x - gap, bounds.min.y - gap - tall, Anchor::Right),
        at(c.x, bounds.max.y + 4.0 * gap, Anchor::Center),
        at(c.x, bounds.min.y - 4.0 * gap - tall, Anchor::Center),
        at(bounds.max.x + 4.0 * gap, c.y, Anchor::MiddleLeft),
        at(bounds.min.x - 4.0 * gap, c.y, Anchor::MiddleRight),
    ]
}
