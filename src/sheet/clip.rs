//! Lines, regions and hatches cut to a window.

use crate::geometry::{Box2, Point2, Region, Segment2, Vector2, intersection};

/// The pieces of a polyline inside an upright window, each with whether it is still closed.
#[must_use]
pub fn clip_polyline(points: &[Point2], closed: bool, window: Box2) -> Vec<(Vec<Point2>, bool)> {
    if points.iter().all(|&p| window.contains(p)) {
        return vec![(points.to_vec(), closed)];
    }
    let mut pieces: Vec<Vec<Point2>> = Vec::new();
    let count = points.len();
    let sides = if closed { count } else { count.saturating_sub(1) };
    let mut open_end = false;
    for i in 0..sides {
        let side = Segment2::new(points[i], points[(i + 1) % count]);
        let Some(inside) = clip_segment(side, window) else {
            open_end = false;
            continue;
        };
        match pieces.last_mut() {
            Some(piece) if open_end && inside.a == side.a => piece.push(inside.b),
            _ => pieces.push(vec![inside.a, inside.b]),
        }
        open_end = inside.b == side.b;
    }
    pieces.into_iter().map(|p| (p, false)).collect()
}

/// The part of a segment inside an upright window (Liang and Barsky's parameters); `None` for none or a bare point.
#[must_use]
pub fn clip_segment(segment: Segment2, window: Box2) -> Option<Segment2> {
    let d = segment.b - segment.a;
    let (mut from, mut to) = (0.0_f64, 1.0_f64);
    let limits = [
        (-d.x, segment.a.x - window.min.x),
        (d.x, window.max.x - segment.a.x),
        (-d.y, segment.a.y - window.min.y),
        (d.y, window.max.y - segment.a.y),
    ];
    for (rate, room) in limits {
        if rate == 0.0 {
            if room < 0.0 {
                return None;
            }
        } else if rate < 0.0 {
            from = from.max(room / rate);
        } else {
            to = to.min(room / rate);
        }
    }
    if from >= to {
        return None;
    }
    // The ends themselves, not a rounded copy, so that neighbouring sides still join.
    let a = if from == 0.0 { segment.a } else { segment.a + d * from };
    let b = if to == 1.0 { segment.b } else { segment.a + d * to };
    Some(Segment2::new(a, b))
}

/// Regions cut to an upright window.
#[must_use]
pub fn clip_regions(regions: &[Region], window: Box2) -> Vec<Region> {
    let inside = |region: &Region| region.exterior.points.iter().all(|&p| window.contains(p));
    if regions.iter().all(inside) {
        return regions.to_vec();
    }
    let frame = Region::simple(vec![
        window.min,
        Point2::new(window.max.x, window.min.y),
        window.max,
        Point2::new(window.min.x, window.max.y),
    ]);
    intersection(regions, &[frame])
}

/// Parallel lines over regions. They are counted from the paper's origin, so that neighbouring areas share one pattern.
#[must_use]
pub fn hatch_lines(regions: &[Region], along: Vector2, spacing: f64) -> Vec<Segment2> {
    let mut lines = Vec::new();
    let across = along.left();
    for region in regions {
        let heights: Vec<f64> = region.exterior.points.iter().map(|p| p.to_vector().dot(across)).collect();
        let low = heights.iter().copied().fold(f64::INFINITY, f64::min);
        let high = heights.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        if !(low.is_finite() && high.is_finite() && spacing > 0.0) {
            continue;
        }
        let mut step = (low / spacing).ceil();
        while step * spacing <= high {
            let height = step * spacing;
            let mut stations: Vec<f64> = region
                .rings()
                .flat_map(|ring| ring.sides())
                .filter_map(|side| {
                    let (a, b) = (side.a.to_vector().dot(across) - height, side.b.to_vector().dot(across) - height);
                    ((a > 0.0) != (b > 0.0)).then(|| side.a.lerp(side.b, a / (a - b)).to_vector().dot(along))
                })
                .collect();
            stations.sort_by(f64::total_cmp);
            for pair in stations.chunks_exact(2) {
                let at = |station: f64| {
                    let v = along * station + across * height;
                    Point2::new(v.x, v.y)
                };
                lines.push(Segment2::new(at(pair[0]), at(pair[1])));
            }
            step += 1.0;
        }
    }
    lines
}

/// The stretches of a segment that lie inside a region, in order along it.
#[must_use]
pub fn inside_region(segment: Segment2, region: &Region) -> Vec<Segment2> {
    let mut cuts = vec![0.0, 1.0];
    for side in region.rings().flat_map(|ring| ring.sides()) {
        if let Some((t, s)) = segment.line_meeting(side)
            && (0.0..=1.0).contains(&s)
            && (0.0..=1.0).contains(&t)
        {
            cuts.push(t);
        }
    }
    cuts.sort_by(f64::total_cmp);
    cuts.windows(2)
        .filter(|w| w[1] - w[0] > 1e-9 && region.contains(segment.a.lerp(segment.b, 0.5 * (w[0] + w[1]))))
        .map(|w| Segment2::new(segment.a.lerp(segment.b, w[0]), segment.a.lerp(segment.b, w[1])))
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const WINDOW: Box2 = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(10.0, 10.0) };

    #[test]
    fn a_line_through_the_window_keeps_its_inner_part() {
        let pieces =
            clip_polyline(&[Point2::new(-5.0, 5.0), Point2::new(5.0, 5.0), Point2::new(5.0, 15.0)], false, WINDOW);
        assert_eq!(pieces, vec![(vec![Point2::new(0.0, 5.0), Point2::new(5.0, 5.0), Point2::new(5.0, 10.0)], false)]);
        assert!(clip_segment(Segment2::new(Point2::new(11.0, 0.0), Point2::new(20.0, 9.0)), WINDOW).is_none());
    }

    #[test]
    fn a_closed_figure_inside_stays_closed_and_one_across_opens() {
        let square = |x: f64| {
            vec![Point2::new(x, 1.0), Point2::new(x + 4.0, 1.0), Point2::new(x + 4.0, 5.0), Point2::new(x, 5.0)]
        };
        assert!(clip_polyline(&square(1.0), true, WINDOW)[0].1);
        let cut = clip_polyline(&square(8.0), true, WINDOW);
        assert_eq!(cut.len(), 2);
        assert!(cut.iter().all(|(p, closed)| !closed && p.iter().all(|&q| WINDOW.contains(q))));
    }

    /// A 4 x 4 square with a 2 x 2 hole, level lines 0.5 apart: 4 rows of 4 outside the hole's height, 4 of 2 beside it.
    #[test]
    fn hatch_lines_leave_holes_white() {
        let mut region = Region::simple(vec![
            Point2::new(0.1, 0.1),
            Point2::new(4.1, 0.1),
            Point2::new(4.1, 4.1),
            Point2::new(0.1, 4.1),
        ]);
        region.holes.push(crate::geometry::Ring::new(vec![
            Point2::new(1.1, 1.1),
            Point2::new(1.1, 3.1),
            Point2::new(3.1, 3.1),
            Point2::new(3.1, 1.1),
        ]));
        let total: f64 = hatch_lines(&[region], Vector2::new(1.0, 0.0), 0.5).iter().map(|l| l.length()).sum();
        assert!((total - (4.0 * 4.0 + 4.0 * 2.0)).abs() < 1e-9, "{total}");
    }
}
