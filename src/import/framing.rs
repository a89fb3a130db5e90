//! Whether linework is framing or boarding rather than a roof: rafters, joists and boards are drawn as strips a few inches wide, many
//! side by side. Faces of a roof are wider, and a fascia or gutter drawn as a second line makes a strip at an eave, not six in a row.

use crate::geometry::{Point2, Segment2, trig};
use std::collections::BTreeMap;
use std::f64::consts::PI;

/// Two lines this far apart, in inches, are the sides of a member or board: from a lath to a wall of 6 in studs with its boarding.
const WIDTH: std::ops::RangeInclusive<f64> = 0.5..=8.0;
/// Shorter lines, in inches, are blocks, tags and ticks.
const SHORTEST: f64 = 24.0;
/// Both sides of a member run beside each other for this share of the shorter one.
const BESIDE: f64 = 0.6;
/// So many strips side by side are a row of members; a plan of doubled eaves has two or four.
const LEAST_ROW: usize = 6;
/// Strips make at least this share of all line length; a roof over visible rafter tails has more lines of its own.
const LEAST_SHARE: f64 = 0.5;
/// Pairs of lines that are compared in any drawing, and further ones for each line: a row of boards has a dozen a line.
const MOST_PAIRS: usize = 200_000;
const MOST_PAIRS_PER_LINE: usize = 64;

/// A row of members.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Row {
    /// Strips side by side.
    pub strips: usize,
    /// Share of all line length that is the side of a strip.
    pub share: f64,
}

/// A line seen along the direction of its group.
struct Lying {
    aside: f64,
    from: f64,
    to: f64,
}

/// The longest row of members if most of the linework is such; none otherwise, and none for more lines on top of each other than anyone draws.
///
/// # Units
/// `segments` in drawing units, `inches` is the length of one.
pub(super) fn framing(segments: &[Segment2], inches: f64) -> Option<Row> {
    let first = segments.first()?.a;
    let mut groups: BTreeMap<i64, Vec<Lying>> = BTreeMap::new();
    for segment in segments.iter().filter(|segment| segment.length() * inches >= SHORTEST) {
        let Some((direction, lying)) = lying(*segment, first, inches) else { continue };
        groups.entry(direction).or_default().push(lying);
    }
    let all: f64 = segments.iter().map(|segment| segment.length() * inches).sum();
    let (mut sides, mut strips, mut pairs) = (0.0, 0, 0);
    for mut group in groups.into_values() {
        group.sort_by(|a, b| a.aside.total_cmp(&b.aside).then(a.from.total_cmp(&b.from)));
        let mut paired = vec![false; group.len()];
        for (place, one) in group.iter().enumerate() {
            for (other, two) in group.iter().enumerate().skip(place + 1) {
                if two.aside - one.aside > *WIDTH.end() {
                    break;
                }
                pairs += 1;
                if pairs > MOST_PAIRS + MOST_PAIRS_PER_LINE * segments.len() {
                    return None;
                }
                let shorter = (one.to - one.from).min(two.to - two.from);
                let beside = one.to.min(two.to) - one.from.max(two.from);
                if two.aside - one.aside >= *WIDTH.start() && beside >= BESIDE * shorter {
                    paired[place] = true;
                    paired[other] = true;
                }
            }
        }
        let own: Vec<&Lying> = group.iter().zip(&paired).filter(|(_, paired)| **paired).map(|(one, _)| one).collect();
        sides += own.iter().map(|one| one.to - one.from).sum::<f64>();
        strips = strips.max(deepest(&own) / 2);
    }
    let share = sides / all;
    (strips >= LEAST_ROW && share >= LEAST_SHARE).then_some(Row { strips, share })
}

/// The direction of a line in whole degrees, and the line along and aside from it in inches.
fn lying(segment: Segment2, first: Point2, inches: f64) -> Option<(i64, Lying)> {
    let along = (segment.b - segment.a).unit()?;
    let half_turn = trig::atan2(along.y, along.x).rem_euclid(PI).to_degrees().round() as i64 % 180;
    // Lines of one group are measured along one direction, whichever way each was drawn.
    let angle = (half_turn as f64).to_radians();
    let axis = crate::geometry::Vector2::new(trig::cos(angle), trig::sin(angle));
    let middle = segment.midpoint() - first;
    let ends = [segment.a, segment.b].map(|end| (end - first).dot(axis) * inches);
    let (from, to) = (ends[0].min(ends[1]), ends[0].max(ends[1]));
    Some((half_turn, Lying { aside: axis.cross(middle) * inches, from, to }))
}

/// The most lines that one line square to them meets.
fn deepest(lines: &[&Lying]) -> usize {
    let mut ends: Vec<(f64, i64)> = lines.iter().flat_map(|line| [(line.from, 1), (line.to, -1)]).collect();
    // At one place the lines that end go first: members end to end are no row.
    ends.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let depths = ends.iter().scan(0, |depth, (_, step)| {
        *depth += step;
        Some(*depth)
    });
    depths.max().map_or(0, |deepest| deepest.max(0) as usize)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn line(x: f64, y: f64, to_x: f64, to_y: f64) -> Segment2 {
        Segment2::new(Point2::new(x, y), Point2::new(to_x, to_y))
    }

    /// Rafters of 1 1/2 in, 24 in on centre, 12 ft long, with a ridge board: a row of seven.
    #[test]
    fn rafters_are_framing_in_any_unit_and_direction() {
        let rafters = (0..7)
            .map(f64::from)
            .flat_map(|i| [line(24.0 * i, 0.0, 24.0 * i, 144.0), line(24.0 * i + 1.5, 0.0, 24.0 * i + 1.5, 144.0)]);
        let lines: Vec<Segment2> = rafters.chain([line(0.0, 144.0, 145.5, 144.0)]).collect();
        let row = framing(&lines, 1.0).unwrap();
        assert_eq!(row.strips, 7);
        assert!((row.share - 14.0 * 144.0 / (14.0 * 144.0 + 145.5)).abs() < 1e-12);
        let turned: Vec<Segment2> = lines
            .iter()
            .map(|s| {
                let turn = |p: Point2| Point2::new((0.8 * p.x - 0.6 * p.y) * 25.4, (0.6 * p.x + 0.8 * p.y) * 25.4);
                Segment2::new(turn(s.b), turn(s.a))
            })
            .collect();
        assert_eq!(framing(&turned, 1.0 / 25.4).map(|row| row.strips), Some(7));
        // Five are no row yet.
        assert_eq!(framing(&lines[..10], 1.0), None);
    }

    /// A T-shaped outline drawn twice, 5 in apart as a fascia with its gutter, and six dormers 4 ft wide side by side.
    #[test]
    fn doubled_eaves_and_dormers_are_a_roof() {
        let corners: [(f64, f64); 8] = [
            (0.0, 0.0),
            (720.0, 0.0),
            (720.0, 300.0),
            (480.0, 300.0),
            (480.0, 600.0),
            (240.0, 600.0),
            (240.0, 300.0),
            (0.0, 300.0),
        ];
        let ring = |by: f64| {
            (0..8).map(move |i| {
                let ((x, y), (u, v)) = (corners[i], corners[(i + 1) % 8]);
                // Outward of a ring that runs counter-clockwise.
                let (dx, dy) = ((v - y).signum() * by, (x - u).signum() * by);
                line(x + dx, y + dy, u + dx, v + dy)
            })
        };
        let dormers = (0..6).map(f64::from).flat_map(|i| {
            [line(60.0 + 96.0 * i, 0.0, 60.0 + 96.0 * i, 90.0), line(108.0 + 96.0 * i, 0.0, 108.0 + 96.0 * i, 90.0)]
        });
        let lines: Vec<Segment2> = ring(0.0).chain(ring(5.0)).chain(dormers).collect();
        assert_eq!(framing(&lines, 1.0), None);
    }
}
