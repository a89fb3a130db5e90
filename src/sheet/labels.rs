//! Placing labels so that none lies on another or on a line it must not hide.
//!
//! Each label has candidates, the best first. Those of a group are placed together: one after the other takes its first candidate
//! that is free, then labels that were pushed aside by another of the group change places with it where both together come nearer
//! to their best. What finds no place is left to the caller, who lists it in the key.
//!
//! Works in paper inches of a view: model inches divided by its scale.

use super::flatten::place_text;
use super::layers::Pen;
use super::model::Text;
use super::pad::Pad;
use crate::geometry::{Box2, Point2, Segment2};
use std::collections::BTreeMap;

/// Side of a search cell, paper inches.
const CELL: f64 = 1.0;
/// Rounds of changing places: each lowers the sum of all costs, and later rounds move next to nothing.
const ROUNDS: usize = 4;
/// Candidates of a label that is to make room which are looked at.
const LOOKS: usize = 120;
/// Cost of a label without a place, in candidates passed over.
const NO_PLACE: usize = 10_000;
/// White kept around a label, paper inches.
pub(super) const LABEL_ROOM: f64 = 0.025;

/// Four corners, counter-clockwise, convex.
pub(super) type Quad = [Point2; 4];

/// A label to be placed.
#[derive(Debug, Clone)]
pub(super) struct Label {
    /// Id of its item.
    pub id: String,
    /// Its pen.
    pub pen: Pen,
    /// Where it may stand and what it says there, the best first.
    pub candidates: Vec<Text>,
    /// What the key says where it finds no place.
    pub key: String,
}

/// Places labels together and draws them; returns what the key must say.
pub(super) fn draw_labels(mut labels: Vec<Label>, pad: &mut Pad, placer: &mut Placer) -> Vec<String> {
    let texts: Vec<Vec<Text>> = labels.iter_mut().map(|label| std::mem::take(&mut label.candidates)).collect();
    let mut key = Vec::new();
    for (placed, label) in placer.place_all(&texts).into_iter().zip(labels) {
        match placed {
            Some(text) => pad.text(label.id, label.pen, text),
            None => key.push(label.key),
        }
    }
    key
}

/// What is taken so far in one view.
#[derive(Debug, Clone)]
pub(super) struct Placer {
    /// Model inches per paper inch.
    scale: f64,
    taken: Vec<Quad>,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
}

impl Placer {
    /// Nothing taken yet in a view of this scale.
    pub(super) fn new(scale: f64) -> Self {
        Self { scale, taken: Vec::new(), cells: BTreeMap::new() }
    }

    fn paper(&self, p: Point2) -> Point2 {
        Point2::new(p.x / self.scale, p.y / self.scale)
    }

    /// The quad a model text takes, in paper inches.
    pub(super) fn quad(&self, text: &Text) -> Quad {
        self.quad_with(text, LABEL_ROOM)
    }

    fn quad_with(&self, text: &Text, room: f64) -> Quad {
        place_text(text, self.paper(text.at), text.turn).corners(room)
    }

    /// Keeps labels off a stroke of `half_width` paper inches to each side.
    pub(super) fn block_line(&mut self, a: Point2, b: Point2, half_width: f64) {
        let (a, b) = (self.paper(a), self.paper(b));
        let Some(along) = (b - a).unit() else { return };
        let (reach, side) = (along * half_width, along.left() * half_width);
        self.take([a - reach - side, b + reach - side, b + reach + side, a - reach + side]);
    }

    /// Keeps labels off a polyline.
    pub(super) fn block_path(&mut self, points: &[Point2], half_width: f64) {
        for w in points.windows(2) {
            self.block_line(w[0], w[1], half_width);
        }
    }

    /// Keeps labels off a convex model quad.
    pub(super) fn block_quad(&mut self, corners: [Point2; 4]) {
        self.take(corners.map(|p| self.paper(p)));
    }

    /// Keeps labels off a square of `half` paper inches about a model point.
    pub(super) fn block_spot(&mut self, at: Point2, half: f64) {
        self.take(square(self.paper(at), half));
    }

    /// Whether a square of `half` paper inches about a model point is free.
    pub(super) fn spot_is_free(&self, at: Point2, half: f64) -> bool {
        self.is_free(&square(self.paper(at), half))
    }

    /// Takes a quad given in paper inches.
    pub(super) fn take(&mut self, quad: Quad) {
        let position = self.taken.len();
        for cell in cells(&quad) {
            self.cells.entry(cell).or_default().push(position);
        }
        self.taken.push(quad);
    }

    /// Whether a quad in paper inches touches nothing taken.
    pub(super) fn is_free(&self, quad: &Quad) -> bool {
        let bounds = Box2::around(*quad);
        // Most of a cell lies clear of the frame: that is told faster than two leaning quads apart.
        let meets = |other: &Quad| bounds.zip(Box2::around(*other)).is_some_and(|(a, b)| a.meets(b));
        cells(quad)
            .into_iter()
            .filter_map(|cell| self.cells.get(&cell))
            .flatten()
            .map(|&other| &self.taken[other])
            .all(|other| !meets(other) || !quads_overlap(quad, other))
    }

    /// Takes the place of a text wherever it lies.
    pub(super) fn take_text(&mut self, text: &Text) {
        self.take(self.quad(text));
    }

    /// Places a group of labels together, each with its candidates; `None` for those that find no place.
    pub(super) fn place_all(&mut self, texts: &[Vec<Text>]) -> Vec<Option<Text>> {
        let free = texts.iter().map(|candidates| vec![None; candidates.len()]).collect();
        let mut candidates = Candidates { texts, free };
        let mut group = Group { places: vec![None; texts.len()], cells: BTreeMap::new() };
        for label in 0..texts.len() {
            if let Some((candidate, quad)) = candidates.best(self, &group, label, usize::MAX, &[]) {
                group.put(label, candidate, quad);
            }
        }
        for _ in 0..ROUNDS {
            let moved = (0..texts.len()).filter(|&label| self.improve(&mut candidates, &mut group, label)).count();
            if moved == 0 {
                break;
            }
        }
        let placed: Vec<Option<Text>> =
            group.places.iter().zip(texts).map(|(place, texts)| place.map(|(i, _)| texts[i].clone())).collect();
        for text in placed.iter().flatten() {
            self.take_text(text);
        }
        placed
    }

    /// Moves a label to a better candidate if it is clear, or if the one label on it can move at less cost than is won.
    fn improve(&self, candidates: &mut Candidates, group: &mut Group, label: usize) -> bool {
        let now = group.cost(label);
        for better in 0..candidates.texts[label].len().min(now) {
            let Some(quad) = candidates.free(self, label, better) else { continue };
            let blocking = group.in_the_way(label, &quad);
            let &[other] = &blocking[..] else {
                if blocking.is_empty() {
                    group.put(label, better, quad);
                    return true;
                }
                continue;
            };
            let held = group.places[label];
            let cost = now + group.cost(other);
            // Its own old place is free for the other.
            group.lift(label);
            let aside = candidates.best(self, group, other, LOOKS, &[quad]);
            if let Some((candidate, place)) = aside
                && better + candidate < cost
            {
                group.put(other, candidate, place);
                group.put(label, better, quad);
                return true;
            }
            if let Some((candidate, place)) = held {
                group.put(label, candidate, place);
            }
        }
        false
    }

    /// Places the first candidate that is free.
    pub(super) fn place(&mut self, candidates: impl IntoIterator<Item = Text>) -> Option<Text> {
        self.place_within(candidates, LABEL_ROOM)
    }

    /// Places the first candidate that is free with `room` inches of white around it, for a label inside a narrow figure of its own.
    pub(super) fn place_within(&mut self, candidates: impl IntoIterator<Item = Text>, room: f64) -> Option<Text> {
        let free = candidates.into_iter().find(|text| self.is_free(&self.quad_with(text, room)))?;
        self.take_text(&free);
        Some(free)
    }
}

/// The labels of a group placed so far: candidate and quad of each, found by cell.
struct Group {
    places: Vec<Option<(usize, Quad)>>,
    cells: BTreeMap<(i64, i64), Vec<usize>>,
}

impl Group {
    fn cost(&self, label: usize) -> usize {
        self.places[label].map_or(NO_PLACE, |(candidate, _)| candidate)
    }

    /// Labels other than `label` whose places overlap the quad.
    fn in_the_way(&self, label: usize, quad: &Quad) -> Vec<usize> {
        let mut found: Vec<usize> = cells(quad)
            .iter()
            .filter_map(|cell| self.cells.get(cell))
            .flatten()
            .copied()
            .filter(|&other| other != label)
            .filter(|&other| self.places[other].is_some_and(|(_, place)| quads_overlap(quad, &place)))
            .collect();
        found.sort_unstable();
        found.dedup();
        found
    }

    fn lift(&mut self, label: usize) {
        if let Some((_, quad)) = self.places[label].take() {
            for cell in cells(&quad) {
                self.cells.entry(cell).or_default().retain(|&other| other != label);
            }
        }
    }

    fn put(&mut self, label: usize, candidate: usize, quad: Quad) {
        self.lift(label);
        for cell in cells(&quad) {
            self.cells.entry(cell).or_default().push(label);
        }
        self.places[label] = Some((candidate, quad));
    }
}

/// Candidates of a group's labels with what is known of the ground below them.
struct Candidates<'a> {
    texts: &'a [Vec<Text>],
    /// Whether each looked at so far touches nothing taken before.
    free: Vec<Vec<Option<bool>>>,
}

impl Candidates<'_> {
    /// The quad of a candidate that touches nothing taken before.
    fn free(&mut self, placer: &Placer, label: usize, candidate: usize) -> Option<Quad> {
        let quad = placer.quad(&self.texts[label][candidate]);
        let free = *self.free[label][candidate].get_or_insert_with(|| placer.is_free(&quad));
        free.then_some(quad)
    }

    /// The best place of a label among its first `looks` candidates that touches neither the ground, nor the group, nor `kept`.
    fn best(
        &mut self,
        placer: &Placer,
        group: &Group,
        label: usize,
        looks: usize,
        kept: &[Quad],
    ) -> Option<(usize, Quad)> {
        (0..self.texts[label].len().min(looks)).find_map(|candidate| {
            let quad = self.free(placer, label, candidate)?;
            let clear =
                !kept.iter().any(|other| quads_overlap(&quad, other)) && group.in_the_way(label, &quad).is_empty();
            clear.then_some((candidate, quad))
        })
    }
}

fn square(at: Point2, half: f64) -> Quad {
    [
        Point2::new(at.x - half, at.y - half),
        Point2::new(at.x + half, at.y - half),
        Point2::new(at.x + half, at.y + half),
        Point2::new(at.x - half, at.y + half),
    ]
}

/// The cells a quad's sides and middle pass through. Long thin slanting quads would fill their whole box, so they are
/// walked along their longer axis.
fn cells(quad: &Quad) -> Vec<(i64, i64)> {
    let long = if quad[0].distance(quad[1]) >= quad[1].distance(quad[2]) {
        [Segment2::new(quad[0], quad[1]), Segment2::new(quad[3], quad[2])]
    } else {
        [Segment2::new(quad[1], quad[2]), Segment2::new(quad[0], quad[3])]
    };
    let pieces = (long[0].length() / CELL).ceil().clamp(1.0, 10_000.0) as usize;
    let mut found = Vec::new();
    for i in 0..pieces {
        let (from, to) = (i as f64 / pieces as f64, (i + 1) as f64 / pieces as f64);
        let corners = long.iter().flat_map(|s| [s.a.lerp(s.b, from), s.a.lerp(s.b, to)]);
        let Some(bounds) = Box2::around(corners) else { continue };
        let cell = |x: f64| (x / CELL).floor() as i64;
        for x in cell(bounds.min.x)..=cell(bounds.max.x) {
            for y in cell(bounds.min.y)..=cell(bounds.max.y) {
                found.push((x, y));
            }
        }
    }
    found.sort_unstable();
    found.dedup();
    found
}

/// Whether two convex quads share more than their rims (separating axes).
pub(super) fn quads_overlap(first: &Quad, second: &Quad) -> bool {
    // A hair of overlap is rounding, not a collision.
    const HAIR: f64 = 1e-6;
    let separated = |of: &Quad, other: &Quad| {
        (0..4).any(|i| {
            let Some(axis) = (of[(i + 1) % 4] - of[i]).unit().map(|v| v.left()) else { return false };
            let spread = |quad: &Quad| {
                quad.iter()
                    .map(|p| p.to_vector().dot(axis))
                    .fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), d| (low.min(d), high.max(d)))
            };
            let ((a, b), (c, d)) = (spread(of), spread(other));
            b <= c + HAIR || d <= a + HAIR
        })
    };
    !separated(first, second) && !separated(second, first)
}

#[cfg(test)]
mod tests {
    use super::super::model::Anchor;
    use super::super::pad::NOTE;
    use super::*;

    #[test]
    fn slanting_boxes_that_only_meet_in_their_frames_do_not_overlap() {
        let level = square(Point2::new(0.0, 0.0), 0.5);
        let diamond = |x: f64, y: f64| {
            [Point2::new(x, y - 0.6), Point2::new(x + 0.6, y), Point2::new(x, y + 0.6), Point2::new(x - 0.6, y)]
        };
        assert!(!quads_overlap(&level, &diamond(0.9, 0.9)));
        assert!(quads_overlap(&level, &diamond(0.6, 0.6)));
    }

    #[test]
    fn the_second_label_goes_to_its_second_place() {
        let mut placer = Placer::new(48.0);
        let at = |y: f64| NOTE.text(Point2::new(0.0, y), Anchor::Center, "E4 EAVE");
        assert_eq!(placer.place([at(0.0), at(48.0)]).unwrap().at.y, 0.0);
        assert_eq!(placer.place([at(0.0), at(48.0)]).unwrap().at.y, 48.0);
        assert!(placer.place([at(0.0), at(48.0)]).is_none());
    }

    /// The first label would keep the only place the second has; together both find one.
    #[test]
    fn a_label_makes_room_for_one_that_has_no_other_place() {
        let mut placer = Placer::new(48.0);
        placer.block_line(Point2::new(-60.0, 96.0), Point2::new(60.0, 96.0), 0.3);
        let at = |y: f64, words: &str| NOTE.text(Point2::new(0.0, y), Anchor::Center, words);
        let labels = [vec![at(0.0, "E4"), at(48.0, "E4")], vec![at(0.0, "E5"), at(96.0, "E5")]];
        let placed: Vec<f64> = placer.place_all(&labels).into_iter().map(|text| text.unwrap().at.y).collect();
        assert_eq!(placed, [48.0, 0.0]);
        assert!(placer.place([at(0.0, "E6"), at(48.0, "E6")]).is_none(), "both places are taken now");
    }

    #[test]
    fn a_label_without_a_place_is_left_out_and_moves_nobody() {
        let mut placer = Placer::new(48.0);
        let at = |y: f64| NOTE.text(Point2::new(0.0, y), Anchor::Center, "E4 EAVE");
        let placed = placer.place_all(&[vec![at(0.0)], vec![at(0.0)], vec![at(0.0), at(48.0)]]);
        let places: Vec<Option<f64>> = placed.into_iter().map(|text| text.map(|t| t.at.y)).collect();
        assert_eq!(places, [Some(0.0), None, Some(48.0)]);
    }

    #[test]
    fn a_long_slanting_line_is_found_far_from_its_ends() {
        let mut placer = Placer::new(1.0);
        placer.block_line(Point2::new(0.0, 0.0), Point2::new(40.0, 30.0), 0.01);
        assert!(!placer.spot_is_free(Point2::new(20.0, 15.0), 0.1));
        assert!(placer.spot_is_free(Point2::new(20.0, 16.0), 0.1));
    }
}
