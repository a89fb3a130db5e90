//! Column and setting-out grids drawn on the roof's own layer: straight lines that end on a circle with a short text in it.

use super::drawing::Drawing;
use super::entity::Shape;
use super::expand::{Expanded, Leaf};
use super::pieces::leaf_map;
use crate::geometry::{Point2, Segment2};

/// A line that ends on a circle is off its rim, and off pointing to its middle, by less than this share of the radius.
const ON_THE_RIM: f64 = 0.1;
/// A grid line is at least so many radii of its bubble long; a ridge that ends on a round vent may be too, but no vent bears a text.
const LEAST_LENGTH: f64 = 6.0;
/// One such line may be a ridge that ends on a numbered vent; a grid has more.
const LEAST_LINES: usize = 2;

/// More pairs of circles and texts, or of circles and lines, are no roof plan and not looked through.
const MOST_PAIRS: usize = 4_000_000;

struct Bubble {
    leaf: usize,
    middle: Point2,
    radius: f64,
}

/// Which of `owners` (leaves, with the segments each draws in `members`) are grid lines or their bubbles. None when there is no grid.
pub(super) fn grid_members(
    drawing: &Drawing,
    expanded: &Expanded,
    owners: &[usize],
    members: &[Vec<Segment2>],
) -> Vec<bool> {
    let bubbles = bubbles(drawing, expanded, owners);
    let mut of_grid = vec![false; owners.len()];
    let mut lines = 0;
    if bubbles.is_empty() || bubbles.len() * members.len() > MOST_PAIRS {
        return of_grid;
    }
    for (position, segments) in members.iter().enumerate() {
        let [line] = segments[..] else { continue };
        let ends_on = |bubble: &&Bubble| {
            let along = line.b - line.a;
            let aside = along.unit().map_or(f64::INFINITY, |unit| unit.cross(bubble.middle - line.a).abs());
            let on_rim = [line.a, line.b]
                .iter()
                .any(|end| (end.distance(bubble.middle) - bubble.radius).abs() < ON_THE_RIM * bubble.radius);
            on_rim && aside < ON_THE_RIM * bubble.radius && along.length() > LEAST_LENGTH * bubble.radius
        };
        for bubble in bubbles.iter().filter(ends_on) {
            of_grid[position] = true;
            of_grid[bubble.leaf] = true;
        }
        lines += usize::from(of_grid[position]);
    }
    if lines < LEAST_LINES { vec![false; owners.len()] } else { of_grid }
}

/// Full circles with a text in them.
fn bubbles(drawing: &Drawing, expanded: &Expanded, owners: &[usize]) -> Vec<Bubble> {
    let texts: Vec<Point2> = expanded
        .leaves
        .iter()
        .filter_map(|&leaf| match &drawing.entities[leaf.entity].shape {
            Shape::Text(text) => Some(leaf_map(drawing, expanded, leaf).point(text.at).plan()),
            _ => None,
        })
        .collect();
    if texts.len() * owners.len() > MOST_PAIRS {
        return Vec::new();
    }
    let circle = |(position, &owner): (usize, &usize)| {
        let leaf: Leaf = expanded.leaves[owner];
        let Shape::Arc(arc) = &drawing.entities[leaf.entity].shape else { return None };
        if (arc.end - arc.start).abs() < 359.9 {
            return None;
        }
        let map = leaf_map(drawing, expanded, leaf);
        let rim = crate::geometry::Point3::new(arc.center.x + arc.radius, arc.center.y, arc.center.z);
        let (middle, rim) = (map.point(arc.center).plan(), map.point(rim).plan());
        let radius = middle.distance(rim);
        texts.iter().any(|text| text.distance(middle) < radius).then_some(Bubble { leaf: position, middle, radius })
    };
    owners.iter().enumerate().filter_map(circle).collect()
}
