//! Lines that cross are cut where they cross.

use super::draft::{Draft, DraftNode};
use super::report::Report;
use crate::error::{Error, Result};
use crate::finding::{Place, Severity};
use crate::geometry::{Box2, Point2, Segment2, SegmentIndex, Side, side_of_line};
use std::collections::BTreeMap;

/// Whether two segments cross at a point inside both, exactly decided. Touching is not crossing.
pub(super) fn cross(a: Segment2, b: Segment2) -> bool {
    let apart = |line: Segment2, other: Segment2| {
        matches!(
            (side_of_line(line.a, line.b, other.a), side_of_line(line.a, line.b, other.b)),
            (Side::Left, Side::Right) | (Side::Right, Side::Left)
        )
    };
    apart(a, b) && apart(b, a)
}

/// The box around a segment.
pub(super) fn around(s: Segment2) -> Box2 {
    Box2 { min: Point2::new(s.a.x.min(s.b.x), s.a.y.min(s.b.y)), max: Point2::new(s.a.x.max(s.b.x), s.a.y.max(s.b.y)) }
}

/// Crossings that any drawing may have, and further ones for each line. A roof has fewer crossings than lines; a hatch has
/// the square of them.
const MOST_CROSSINGS: usize = 10_000;
const MOST_CROSSINGS_PER_LINE: usize = 4;

/// Cuts all crossing lines. Says whether anything changed.
///
/// # Errors
/// `too-many-crossings` when the lines are a hatch rather than a roof.
pub(super) fn cut_crossings(draft: &mut Draft, report: &mut Report) -> Result<bool> {
    let segments = draft.segments();
    let index = SegmentIndex::new(&segments);
    let mut cuts: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    let mut crossings = 0;
    for (i, &one) in segments.iter().enumerate() {
        for j in index.meeting(around(one)).into_iter().filter(|&j| j > i) {
            let other = segments[j];
            if !cross(one, other) {
                continue;
            }
            let Some((t, _)) = one.line_meeting(other) else { continue };
            let at = one.a.lerp(one.b, t.clamp(0.0, 1.0));
            crossings += 1;
            if crossings > MOST_CROSSINGS + MOST_CROSSINGS_PER_LINE * segments.len() {
                let message = format!("more than {MOST_CROSSINGS} crossings among {} roof lines", segments.len());
                return Err(Error::refused("too-many-crossings", message)
                    .at(Place::at(at))
                    .with_hint("name the layers that hold the roof and no hatch with --layer"));
            }
            let node = draft.nodes.len();
            draft.nodes.push(DraftNode { at, drawn: vec![at] });
            cuts.entry(i).or_default().push(node);
            cuts.entry(j).or_default().push(node);
            report.add(Severity::Note, "split-line", "two lines cut where they cross".into(), at, 0.0);
        }
    }
    let changed = !cuts.is_empty();
    if changed {
        draft.cut(&cuts);
    }
    Ok(changed)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::index::OriginId;

    #[test]
    fn a_cross_has_four_arms_and_a_touch_none() {
        let at = |a: f64, b: f64, c: f64, d: f64| Segment2::new(Point2::new(a, b), Point2::new(c, d));
        let mut draft = Draft::new(&[(at(0.0, 0.0, 8.0, 8.0), OriginId(0)), (at(0.0, 8.0, 8.0, 0.0), OriginId(1))]);
        assert!(cut_crossings(&mut draft, &mut Report::default()).unwrap());
        assert_eq!((draft.nodes.len(), draft.edges.len()), (5, 4));
        assert!(draft.nodes.iter().any(|n| n.at == Point2::new(4.0, 4.0)));
        assert!(!cross(at(0.0, 0.0, 8.0, 0.0), at(4.0, 0.0, 4.0, 5.0)));
    }
}
