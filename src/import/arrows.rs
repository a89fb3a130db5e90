//! Slope arrows that are no leaders: a block named for an arrow, a polyline that narrows to a tip, a line ending in a filled triangle.

use super::drawing::Drawing;
use super::entity::Shape;
use super::expand::{Expanded, Leaf};
use super::pieces::{draw, leaf_map};
use crate::geometry::{Box2, Matrix4, Point2, Point3, Segment2, SegmentIndex, Vector3};
use std::collections::{BTreeMap, BTreeSet};

/// What was found, in drawing units.
#[derive(Debug, Default)]
pub(super) struct Found {
    /// Tail, head, and the leaves it was drawn with.
    pub arrows: Vec<(Point2, Point2, Vec<usize>)>,
    /// Leaves that are arrows and so neither roof nor opening.
    pub consumed: BTreeSet<usize>,
    /// A leaf of each arrow block whose direction cannot be told.
    pub unclear: Vec<usize>,
}

/// Points of a head lie within this share of the shaft's length beside it and beyond its ends; wider ones belong to something else.
const HEAD: f64 = 0.5;
/// A head narrower than this share of the shaft's length is a crooked line.
const THINNEST: f64 = 0.005;
/// A loose shaft is at least so many times as long as its head; shorter ones are ticks and symbols.
const SHAFT: f64 = 1.2;
/// A text whose point is nearer to the tail than this many letter heights is what the arrow points from.
const LABEL: f64 = 6.0;
/// Words beside a slope arrow. Any other word at its tail makes it a pointer to what the word names.
const SLOPE_WORDS: [&str; 18] = [
    "SLOPE", "SLOPES", "PITCH", "DN", "DOWN", "FALL", "FALLS", "IN", "PER", "FT", "MIN", "TYP", "DEG", "ROOF", "DRAIN",
    "TO", "DRAINS", "RISE",
];

/// Finds the arrows that lie wholly in `near`.
pub(super) fn find(drawing: &Drawing, expanded: &Expanded, near: Box2) -> Found {
    let mut found = Found::default();
    let mut blocks: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let (mut lines, mut heads) = (Vec::new(), Vec::new());
    for (position, &leaf) in expanded.leaves.iter().enumerate() {
        if matches!(drawing.entities[leaf.entity].shape, Shape::Text(_) | Shape::Leader(_)) {
            continue;
        }
        if let Some(block) = expanded.placements[leaf.placement].arrow {
            blocks.entry(block).or_default().push(position);
            continue;
        }
        match &drawing.entities[leaf.entity].shape {
            Shape::Polyline(line) if line.head.is_some() => {
                let Some([tail, tip]) = line.head.as_deref() else { continue };
                let map = leaf_map(drawing, expanded, leaf);
                let (tail, tip) = (map.point(*tail).plan(), map.point(*tip).plan());
                if tail != tip && near.contains(tail) && near.contains(tip) {
                    found.arrows.push((tail, tip, vec![position]));
                    found.consumed.insert(position);
                }
            }
            // Only what lies wholly near the roof can be one of its arrows, and most lines of a large drawing do not.
            Shape::Line(ends) if !all_near(ends, &leaf_map(drawing, expanded, leaf), near) => {}
            Shape::Line(_) | Shape::Polyline(_) | Shape::Solid(_) => {
                let drawn = draw(drawing, expanded, leaf, f64::INFINITY);
                let beside = |(points, _): &&(Vec<Point3>, bool)| points.iter().all(|p| near.contains(p.plan()));
                for (points, closed) in drawn.paths.iter().filter(beside) {
                    let plan: Vec<Point2> = points.iter().map(|point| point.plan()).collect();
                    match (plan[..].len(), closed) {
                        (3, true) => heads.push((plan, position)),
                        (2, false) => lines.push((Segment2::new(plan[0], plan[1]), position)),
                        _ => {}
                    }
                }
            }
            _ => {}
        }
    }
    for leaves in blocks.into_values() {
        block_arrow(drawing, expanded, &leaves, near, &mut found);
    }
    loose_arrows(drawing, expanded, &lines, &heads, near, &mut found);
    found
}

fn all_near(points: &[Point3], map: &Matrix4, near: Box2) -> bool {
    points.iter().all(|&point| near.contains(map.point(point).plan()))
}

fn block_arrow(drawing: &Drawing, expanded: &Expanded, leaves: &[usize], near: Box2, found: &mut Found) {
    let (mut segments, mut corners) = (Vec::new(), Vec::new());
    for &position in leaves {
        let leaf: Leaf = expanded.leaves[position];
        let filled = matches!(drawing.entities[leaf.entity].shape, Shape::Solid(_) | Shape::Hatch(_));
        for (points, closed) in draw(drawing, expanded, leaf, f64::INFINITY).paths {
            let plan: Vec<Point2> = points.iter().map(|point| point.plan()).collect();
            if filled || closed && plan.len() == 3 {
                corners.extend(plan);
            } else {
                let sides = if closed { plan.len() } else { plan.len() - 1 };
                segments.extend((0..sides).map(|i| Segment2::new(plan[i], plan[(i + 1) % plan.len()])));
            }
        }
        if let Shape::Polyline(line) = &drawing.entities[leaf.entity].shape
            && let Some([tail, tip]) = line.head.as_deref()
        {
            let map = leaf_map(drawing, expanded, leaf);
            let arrow = (map.point(*tail).plan(), map.point(*tip).plan());
            if near.contains(arrow.0) && near.contains(arrow.1) && arrow.0 != arrow.1 {
                found.arrows.push((arrow.0, arrow.1, leaves.to_vec()));
                found.consumed.extend(leaves);
            }
            return;
        }
    }
    found.consumed.extend(leaves);
    let first = leaves.iter().copied().next().unwrap_or_default();
    let inside =
        segments.iter().flat_map(|s| [s.a, s.b]).chain(corners.iter().copied()).all(|point| near.contains(point));
    if !inside {
        return;
    }
    match arrow_of(&segments, &corners) {
        Some((tail, head)) => found.arrows.push((tail, head, leaves.to_vec())),
        None => found.unclear.push(first),
    }
}

/// The arrow that a few lines and filled corners make: the longest line is its shaft, everything else lies at its head.
fn arrow_of(segments: &[Segment2], corners: &[Point2]) -> Option<(Point2, Point2)> {
    let longest = segments.iter().enumerate().max_by(|a, b| a.1.length().total_cmp(&b.1.length()));
    let (place, shaft) = longest?;
    let along = (shaft.b - shaft.a).unit()?;
    let length = shaft.length();
    let barbs = segments.iter().enumerate().filter(|(other, _)| *other != place).flat_map(|(_, s)| [s.a, s.b]);
    let points: Vec<(f64, f64)> = barbs
        .map(|point| (point, 0.05))
        // A filled head may stand on the end of its shaft, barbs run back from the tip.
        .chain(corners.iter().map(|&corner| (corner, HEAD)))
        .map(|(point, beyond)| {
            let from = point - shaft.a;
            let (ahead, aside) = (from.dot(along) / length, from.cross(along).abs() / length);
            let fits = aside <= HEAD && (-beyond..=1.0 + beyond).contains(&ahead);
            if fits { (ahead, aside) } else { (f64::NAN, aside) }
        })
        .collect();
    let wide = points.iter().any(|(_, aside)| *aside > THINNEST);
    if !wide || points.iter().any(|(ahead, _)| ahead.is_nan()) {
        return None;
    }
    if points.iter().all(|(ahead, _)| *ahead > 0.5) {
        Some((shaft.a, shaft.b))
    } else if points.iter().all(|(ahead, _)| *ahead < 0.5) {
        Some((shaft.b, shaft.a))
    } else {
        None
    }
}

fn loose_arrows(
    drawing: &Drawing,
    expanded: &Expanded,
    lines: &[(Segment2, usize)],
    heads: &[(Vec<Point2>, usize)],
    near: Box2,
    found: &mut Found,
) {
    if heads.is_empty() {
        return;
    }
    let labels = Labels::new(drawing, expanded);
    let segments: Vec<Segment2> = lines.iter().map(|(segment, _)| *segment).collect();
    let index = SegmentIndex::new(&segments);
    // For each line the heads that stand on an end of it; a line with two is a dimension line.
    let mut touching: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (head, (corners, _)) in heads.iter().enumerate() {
        let Some(area) = Box2::around(corners.iter().copied()) else { continue };
        let size = area.width().max(area.height());
        let reach = area.grown(0.1 * size);
        let ends = |line: &usize| {
            let segment = segments[*line];
            segment.length() >= SHAFT * size && (reach.contains(segment.a) != reach.contains(segment.b))
        };
        let on: Vec<usize> = index.near(area.center(), size).into_iter().filter(ends).collect();
        if let [line] = on[..] {
            touching.entry(line).or_default().push(head);
        }
    }
    for (line, own) in touching {
        let [head] = own[..] else { continue };
        let (shaft, position) = lines[line];
        let Some((tail, tip)) = arrow_of(&[shaft], &heads[head].0) else { continue };
        if near.contains(tail) && near.contains(tip) && !labels.name_something(drawing, tail) {
            let own = vec![position, heads[head].1];
            found.consumed.extend(own.iter().copied());
            found.arrows.push((tail, tip, own));
        }
    }
}

/// The texts of the drawing, found by the places an arrow may start from to point at what they name.
struct Labels {
    texts: Vec<(Leaf, Point2, f64)>,
    index: SegmentIndex,
}

impl Labels {
    fn new(drawing: &Drawing, expanded: &Expanded) -> Self {
        let mut texts = Vec::new();
        let mut boxes = Vec::new();
        for &leaf in &expanded.leaves {
            let Shape::Text(text) = &drawing.entities[leaf.entity].shape else { continue };
            let map = leaf_map(drawing, expanded, leaf);
            let reach = LABEL * map.vector(Vector3::new(0.0, text.height, 0.0)).length();
            let at = map.point(text.at).plan();
            texts.push((leaf, at, reach));
            let around = Box2 { min: at, max: at }.grown(reach);
            boxes.push(Segment2::new(around.min, around.max));
        }
        Self { texts, index: SegmentIndex::new(&boxes) }
    }

    /// Whether a text at the tail says what the arrow points to.
    fn name_something(&self, drawing: &Drawing, tail: Point2) -> bool {
        self.index.near(tail, 0.0).into_iter().any(|number| {
            let (leaf, at, reach) = self.texts[number];
            let Shape::Text(text) = &drawing.entities[leaf.entity].shape else { return false };
            if at.distance(tail) > reach {
                return false;
            }
            let words = if text.formatted {
                drawing.decoder.lines(&text.pieces).join(" ")
            } else {
                drawing.decoder.line(&text.pieces)
            };
            let capitals = words.to_uppercase();
            let mut words = capitals.split(|c: char| !c.is_alphabetic()).filter(|word| word.chars().count() >= 2);
            words.any(|word| !SLOPE_WORDS.contains(&word))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn segment(a: (f64, f64), b: (f64, f64)) -> Segment2 {
        Segment2::new(Point2::new(a.0, a.1), Point2::new(b.0, b.1))
    }

    #[test]
    fn the_head_tells_the_direction() {
        let shaft = segment((0.0, 0.0), (100.0, 0.0));
        let barbs = [shaft, segment((0.0, 0.0), (15.0, 5.0)), segment((0.0, 0.0), (15.0, -5.0))];
        assert_eq!(arrow_of(&barbs, &[]), Some((shaft.b, shaft.a)));
        let solid = [(100.0, 6.0), (100.0, -6.0), (120.0, 0.0)].map(|(x, y)| Point2::new(x, y));
        assert_eq!(arrow_of(&[shaft], &solid), Some((shaft.a, shaft.b)));
        // Two heads, no head, and feathers behind the tail are no arrow.
        let both = [(0.0, 6.0), (0.0, -6.0), (-20.0, 0.0), (100.0, 6.0), (100.0, -6.0), (120.0, 0.0)];
        assert_eq!(arrow_of(&[shaft], &both.map(|(x, y)| Point2::new(x, y))), None);
        assert_eq!(arrow_of(&[shaft], &[]), None);
        let feathers = [shaft, segment((0.0, 0.0), (-15.0, 5.0)), segment((0.0, 0.0), (-15.0, -5.0))];
        assert_eq!(arrow_of(&feathers, &[]), None);
    }
}
