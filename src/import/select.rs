//! Which linework is the roof when no layer is named for it: the largest connected figure.

use super::model::Candidate;
use crate::error::{Error, Result};
use crate::geometry::{Box2, Segment2, SegmentIndex};

/// A connected figure.
#[derive(Debug)]
pub(super) struct Figure {
    /// Positions of its members in the list given.
    pub members: Vec<usize>,
    /// Its box.
    pub area: Box2,
    /// A sheet frame or title block rather than a building.
    pub frame: bool,
}

impl Figure {
    fn size(&self) -> f64 {
        self.area.width() * self.area.height()
    }

    /// The figure as a line of the report; `scale` is inches in a drawing unit.
    pub fn candidate(&self, rank: usize, chosen: bool, scale: f64) -> Candidate {
        let words = match (self.frame, rank) {
            (true, _) => "sheet frame".to_owned(),
            (_, 0) => "largest connected figure".to_owned(),
            _ => format!("connected figure {}", rank + 1),
        };
        Candidate { words, area: self.size() * scale * scale, paths: self.members.len(), chosen }
    }
}

/// Figures of an own separate area larger than this share of a rectangle around them show that the rectangle is a frame.
const SHARE_IN_A_FRAME: f64 = 0.1;

/// Pairs of lines with meeting boxes that are looked at in any drawing, and further ones for each line; a busy sheet has a dozen.
const MOST_PAIRS: usize = 2_000_000;
const MOST_PAIRS_PER_LINE: usize = 64;

/// Groups members whose segments come within `gap` of each other, largest box first and frames last.
///
/// # Errors
/// When so many lines lie over each other that no person could have drawn them.
pub(super) fn figures(members: &[Vec<Segment2>], gap: f64) -> Result<Vec<Figure>> {
    let mut owners = Vec::new();
    let mut segments = Vec::new();
    for (member, own) in members.iter().enumerate() {
        owners.extend(std::iter::repeat_n(member, own.len()));
        segments.extend_from_slice(own);
    }
    let index = SegmentIndex::new(&segments);
    let mut parents: Vec<usize> = (0..members.len()).collect();
    let mut pairs = 0;
    for (position, segment) in segments.iter().enumerate() {
        let Some(around) = Box2::around([segment.a, segment.b]) else { continue };
        let meeting = index.meeting(around.grown(gap));
        pairs += meeting.len();
        if pairs > MOST_PAIRS + MOST_PAIRS_PER_LINE * segments.len() {
            return Err(Error::refused("too-dense", "too many lines lie over each other to find the roof among them")
                .with_hint("name the roof's layers with --layer or [drawing] roof_layers"));
        }
        for other in meeting.into_iter().filter(|&other| other > position) {
            let (a, b) = (root(&mut parents, owners[position]), root(&mut parents, owners[other]));
            if a != b && within(*segment, segments[other], gap) {
                parents[a.max(b)] = a.min(b);
            }
        }
    }
    let mut gathered: Vec<Vec<usize>> = vec![Vec::new(); members.len()];
    for member in 0..members.len() {
        let at = root(&mut parents, member);
        gathered[at].push(member);
    }
    let mut figures: Vec<Figure> = gathered
        .into_iter()
        .filter_map(|group| {
            let area = Box2::around(group.iter().flat_map(|&m| &members[m]).flat_map(|s| [s.a, s.b]))?;
            Some(Figure { members: group, area, frame: false })
        })
        .collect();
    let order = |a: &Figure, b: &Figure| {
        let place = (a.area.min.y.total_cmp(&b.area.min.y)).then(a.area.min.x.total_cmp(&b.area.min.x));
        a.frame.cmp(&b.frame).then(b.size().total_cmp(&a.size())).then(place)
    };
    figures.sort_by(order);
    mark_frames(&mut figures, members, gap);
    figures.sort_by(order);
    Ok(figures)
}

fn root(parents: &mut [usize], mut at: usize) -> usize {
    while parents[at] != at {
        parents[at] = parents[parents[at]];
        at = parents[at];
    }
    at
}

fn within(a: Segment2, b: Segment2, gap: f64) -> bool {
    let ends = a.distance_to(b.a).min(a.distance_to(b.b)).min(b.distance_to(a.a)).min(b.distance_to(a.b));
    let crossing = || a.line_meeting(b).is_some_and(|(t, u)| (0.0..=1.0).contains(&t) && (0.0..=1.0).contains(&u));
    ends <= gap || crossing()
}

/// A frame is drawn upright, has all four sides of its box, and holds a building of its own inside.
fn mark_frames(figures: &mut [Figure], members: &[Vec<Segment2>], gap: f64) {
    // Frames are the largest figures; a sheet has a few at most.
    for at in 0..figures.len().min(8) {
        let frame = &figures[at];
        let holds = figures[at + 1..].iter().any(|inner| {
            let inside = frame.area.contains(inner.area.min) && frame.area.contains(inner.area.max);
            inside && inner.size() >= SHARE_IN_A_FRAME * frame.size()
        });
        let mut lines = frame.members.iter().flat_map(|&member| &members[member]);
        let upright = lines.all(|s| (s.a.x - s.b.x).abs() <= gap || (s.a.y - s.b.y).abs() <= gap);
        if holds && upright && has_four_sides(frame, members, gap) {
            figures[at].frame = true;
        }
    }
}

fn has_four_sides(figure: &Figure, members: &[Vec<Segment2>], gap: f64) -> bool {
    let Box2 { min, max } = figure.area;
    let mut drawn = [0.0; 4];
    for s in figure.members.iter().flat_map(|&member| &members[member]) {
        let along = |at: f64, p: f64, q: f64| (p - at).abs() <= gap && (q - at).abs() <= gap;
        let sides = [
            along(min.x, s.a.x, s.b.x),
            along(max.x, s.a.x, s.b.x),
            along(min.y, s.a.y, s.b.y),
            along(max.y, s.a.y, s.b.y),
        ];
        for (length, on) in drawn.iter_mut().zip(sides) {
            *length += if on { s.length() } else { 0.0 };
        }
    }
    let (width, height) = (figure.area.width(), figure.area.height());
    let enough = |length: f64, side: f64| length >= 0.98 * side;
    enough(drawn[0], height) && enough(drawn[1], height) && enough(drawn[2], width) && enough(drawn[3], width)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point2;

    fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Vec<Vec<Segment2>> {
        let corners = [(x, y), (x + w, y), (x + w, y + h), (x, y + h)].map(|(x, y)| Point2::new(x, y));
        (0..4).map(|i| vec![Segment2::new(corners[i], corners[(i + 1) % 4])]).collect()
    }

    #[test]
    fn the_building_inside_the_frame_is_taken() {
        let mut lines = rectangle(0.0, 0.0, 1000.0, 700.0);
        lines.extend(rectangle(200.0, 200.0, 480.0, 300.0));
        lines.push(vec![Segment2::new(Point2::new(200.0, 350.0), Point2::new(680.0, 350.0))]);
        lines.extend(rectangle(300.0, 220.0, 24.0, 36.0));
        let found = figures(&lines, 0.5).unwrap();
        assert_eq!(found.len(), 3);
        assert_eq!((found[0].members.len(), found[0].frame), (5, false));
        assert!(found[2].frame);
    }

    #[test]
    fn a_plain_outline_is_no_frame() {
        let mut lines = rectangle(0.0, 0.0, 480.0, 300.0);
        lines.extend(rectangle(100.0, 20.0, 24.0, 36.0));
        let found = figures(&lines, 0.5).unwrap();
        assert!(!found[0].frame && found[0].members.len() == 4);
    }
}
