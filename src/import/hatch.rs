//! The boundaries of a HATCH: outlines and islands, each as polylines.
//!
//! # Source
//! DXF reference, "HATCH" and "Boundary path data". Clockwise arcs and ellipses hold their angles measured clockwise.

use super::curves::{Ellipse, Spline};
use super::entity::{Arc, Polyline, Shape};
use super::expand::MOST_OF_ONE;
use super::flatten;
use super::group::Group;
use super::record::{Read, Record, Refusal, number};
use crate::geometry::{Point3, Vector3, trig};

/// One closed outline as drawn.
#[derive(Debug)]
pub(super) struct Boundary {
    edges: Vec<(Edge, Direction)>,
}

#[derive(Debug)]
enum Edge {
    Line(Polyline),
    Arc(Arc),
    Ellipse(Ellipse),
    Spline(Spline),
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Direction {
    Forward,
    Backward,
}

/// Ends of boundary edges nearer than this, in shares of their size, are one point: programs write them with 12 digits or more.
const SAME_END: f64 = 1e-9;

impl Boundary {
    /// Straight pieces: one closed path where the edges join, else a path for each stretch that does.
    pub fn flatten(&self, error: f64) -> Vec<(Vec<Point3>, bool)> {
        let mut paths: Vec<(Vec<Point3>, bool)> = Vec::new();
        let mut total = 0;
        for (edge, direction) in &self.edges {
            // What one entity may have is used up: it is refused as a whole.
            if total > MOST_OF_ONE {
                break;
            }
            let (mut points, closed) = match edge {
                Edge::Line(line) => (flatten::polyline(line, error), line.closed),
                Edge::Arc(arc) => flatten::arc(arc, error),
                Edge::Ellipse(ellipse) => ellipse.flatten(error),
                Edge::Spline(spline) => spline.flatten(error),
            };
            total += points.len();
            if *direction == Direction::Backward {
                points.reverse();
            }
            match paths.last_mut() {
                Some((run, false)) if !closed && joins(run, &points) => run.extend(points.into_iter().skip(1)),
                _ => paths.push((points, closed)),
            }
        }
        for (points, closed) in &mut paths {
            let ends_meet = points.len() > 3 && points.last().zip(points.first()).is_some_and(|(&a, &b)| same(a, b));
            if !*closed && ends_meet {
                points.pop();
                *closed = true;
            }
        }
        paths
    }
}

fn joins(run: &[Point3], next: &[Point3]) -> bool {
    run.last().zip(next.first()).is_some_and(|(&a, &b)| same(a, b))
}

fn same(a: Point3, b: Point3) -> bool {
    let size = a.x.abs().max(a.y.abs()).max(1.0);
    a.distance(b) <= SAME_END * size
}

/// The groups of a hatch in order; counts are believed only as far as groups follow.
struct Cursor<'r, 'a> {
    groups: &'r [Group<'a>],
}

impl<'r, 'a> Cursor<'r, 'a> {
    fn optional(&mut self, code: i32) -> Option<&'r Group<'a>> {
        let (first, rest) = self.groups.split_first()?;
        if first.code != code {
            return None;
        }
        self.groups = rest;
        Some(first)
    }

    fn group(&mut self, code: i32) -> Read<&'r Group<'a>> {
        let found = self.groups.first().map(|group| (group.code, group.line));
        self.optional(code).ok_or_else(|| {
            let (words, line) = match found {
                Some((other, line)) => {
                    (format!("its boundary should go on with group {code}, not {other}"), Some(line))
                }
                None => (format!("its boundary ends where group {code} is due"), None),
            };
            Refusal { code: "bad-hatch", words, line }
        })
    }

    fn real(&mut self, code: i32) -> Read<f64> {
        number(self.group(code)?)
    }

    fn whole(&mut self, code: i32) -> Read<i64> {
        let group = self.group(code)?;
        group.whole().map_or_else(|| number(group).map(|value| value as i64), Ok)
    }

    fn whole_or(&mut self, code: i32, missing: i64) -> Read<i64> {
        if self.groups.first().is_some_and(|group| group.code == code) { self.whole(code) } else { Ok(missing) }
    }

    /// A count of things that each take at least one group.
    fn count(&mut self, code: i32) -> Read<usize> {
        let line = self.groups.first().map(|group| group.line);
        let count = self.whole(code)?;
        usize::try_from(count).ok().filter(|&count| count <= self.groups.len()).ok_or_else(|| {
            let words = format!("it counts {count} items in group {code}, {} values follow", self.groups.len());
            Refusal { code: "bad-hatch", words, line }
        })
    }

    fn point(&mut self, code: i32, height: f64) -> Read<Point3> {
        Ok(Point3::new(self.real(code)?, self.real(code + 10)?, height))
    }
}

/// Reads a HATCH's boundaries; pattern, seeds and gradient are passed over.
pub(super) fn read_hatch<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let height = record.real_or(30, 0.0)?;
    let start = record.groups.iter().position(|group| group.code == 91);
    let start =
        start.ok_or_else(|| Refusal::new("missing-value", "its number of boundaries (group code 91) is missing"))?;
    let mut cursor = Cursor { groups: &record.groups[start..] };
    let count = cursor.count(91)?;
    let mut boundaries = Vec::new();
    for _ in 0..count {
        let flags = cursor.whole(92)?;
        let boundary = if flags & 2 != 0 { polyline(&mut cursor, height)? } else { edges(&mut cursor, height)? };
        // The entities it was made from.
        if cursor.groups.first().is_some_and(|group| group.code == 97) {
            for _ in 0..cursor.count(97)? {
                cursor.optional(330);
            }
        }
        // Bit 8 marks the box left out around a text.
        if flags & 8 == 0 && !boundary.edges.is_empty() {
            boundaries.push(boundary);
        }
    }
    Ok(Shape::Hatch(boundaries))
}

fn polyline(cursor: &mut Cursor, height: f64) -> Read<Boundary> {
    cursor.whole_or(72, 0)?;
    let closed = cursor.whole_or(73, 1)? != 0;
    let mut vertices = Vec::new();
    for _ in 0..cursor.count(93)? {
        let point = cursor.point(10, height)?;
        let bulge = cursor.optional(42).map(number).transpose()?.unwrap_or(0.0);
        vertices.push((point, bulge));
    }
    let line = Polyline { vertices, closed, in_space: false, head: None };
    Ok(Boundary { edges: vec![(Edge::Line(line), Direction::Forward)] })
}

fn edges(cursor: &mut Cursor, height: f64) -> Read<Boundary> {
    let mut edges = Vec::new();
    for _ in 0..cursor.count(93)? {
        let line = cursor.groups.first().map(|group| group.line);
        edges.push(match cursor.whole(72)? {
            1 => {
                let vertices = vec![(cursor.point(10, height)?, 0.0), (cursor.point(11, height)?, 0.0)];
                let line = Polyline { vertices, closed: false, in_space: false, head: None };
                (Edge::Line(line), Direction::Forward)
            }
            2 => arc(cursor, height)?,
            3 => ellipse(cursor, height)?,
            4 => (Edge::Spline(spline(cursor, height)?), Direction::Forward),
            other => {
                return Err(Refusal {
                    code: "bad-hatch",
                    words: format!("its boundary has an edge of kind {other}"),
                    line,
                });
            }
        });
    }
    Ok(Boundary { edges })
}

/// Start and end counter-clockwise, in degrees, and which way the edge runs.
fn angles(cursor: &mut Cursor) -> Read<(f64, f64, Direction)> {
    let (start, end) = (cursor.real(50)?, cursor.real(51)?);
    Ok(match cursor.whole_or(73, 1)? {
        0 => (360.0 - end, 360.0 - start, Direction::Backward),
        _ => (start, end, Direction::Forward),
    })
}

fn arc(cursor: &mut Cursor, height: f64) -> Read<(Edge, Direction)> {
    let center = cursor.point(10, height)?;
    let radius = cursor.real(40)?;
    if radius <= 0.0 {
        return Err(Refusal::new("bad-radius", format!("an edge of its boundary has the radius {radius}")));
    }
    let (start, end, direction) = angles(cursor)?;
    Ok((Edge::Arc(Arc { center, radius, start, end }), direction))
}

fn ellipse(cursor: &mut Cursor, height: f64) -> Read<(Edge, Direction)> {
    let center = cursor.point(10, height)?;
    let major = Vector3::new(cursor.real(11)?, cursor.real(21)?, 0.0);
    let ratio = cursor.real(40)?;
    if major.length() == 0.0 || ratio == 0.0 {
        return Err(Refusal::new("bad-radius", "an ellipse of its boundary has an axis without length"));
    }
    let (start, end, direction) = angles(cursor)?;
    let full = (end - start).abs() >= 360.0 - 1e-7;
    // The file holds directions seen from the middle; the curve runs by the angle on the circle it is the shadow of.
    let parameter = |degrees: f64| {
        let turns = (degrees / 360.0).floor();
        let angle = (degrees - 360.0 * turns).to_radians();
        let own = trig::atan2(trig::sin(angle) / ratio.abs(), trig::cos(angle));
        own.rem_euclid(std::f64::consts::TAU) + turns * std::f64::consts::TAU
    };
    let (start, end) = if full { (0.0, std::f64::consts::TAU) } else { (parameter(start), parameter(end)) };
    let minor = Vector3::new(-major.y, major.x, 0.0) * ratio;
    Ok((Edge::Ellipse(Ellipse::new(center, major, minor, start, end)), direction))
}

fn spline(cursor: &mut Cursor, height: f64) -> Read<Spline> {
    let degree = cursor.whole(94)?;
    cursor.whole_or(73, 0)?;
    let periodic = cursor.whole_or(74, 0)? != 0;
    let knots = cursor.count(95)?;
    let controls = cursor.count(96)?;
    let knots = (0..knots).map(|_| cursor.real(40)).collect::<Read<Vec<f64>>>()?;
    let (mut points, mut weights) = (Vec::new(), Vec::new());
    for _ in 0..controls {
        points.push(cursor.point(10, height)?);
        if let Some(weight) = cursor.optional(42) {
            weights.push(number(weight)?);
        }
    }
    if cursor.groups.first().is_some_and(|group| group.code == 97) {
        // Points the curve was drawn through, and its directions at both ends, say nothing the controls do not.
        let fitted = cursor.count(97)?;
        let own = cursor.groups.first().is_some_and(|group| group.code == 11);
        if own {
            for _ in 0..fitted {
                cursor.point(11, height)?;
            }
        } else {
            // The same code counts the entities of the whole boundary, which follow as handles.
            for _ in 0..fitted {
                cursor.optional(330);
            }
        }
        for code in [12, 13] {
            if cursor.groups.first().is_some_and(|group| group.code == code) {
                cursor.point(code, height)?;
            }
        }
    }
    Spline::new(degree, knots, points, &weights, periodic)
}

#[cfg(test)]
mod tests {
    use super::super::group::Decimals;
    use super::super::record::Records;
    use super::*;

    fn read(groups: &str) -> Read<Vec<Boundary>> {
        let text: String = groups
            .split_whitespace()
            .map(|word| word.split_once('=').map_or(format!("0\n{word}\n"), |(c, v)| format!("{c}\n{v}\n")))
            .collect();
        let mut records = Records::new(text.as_bytes(), Decimals::Points);
        let mut record = Record::empty();
        records.read(&mut record).unwrap();
        match read_hatch(&record)? {
            Shape::Hatch(boundaries) => Ok(boundaries),
            other => panic!("{other:?}"),
        }
    }

    /// Twice the area by the surveyor's formula.
    fn doubled_area(points: &[Point3]) -> f64 {
        (0..points.len())
            .map(|i| points[i].plan().to_vector().cross(points[(i + 1) % points.len()].plan().to_vector()))
            .sum()
    }

    #[test]
    fn an_outline_with_an_island() {
        let text = "HATCH 10=0 20=0 30=7 2=SOLID 70=1 71=0 91=2 92=3 72=0 73=1 93=4 10=0 20=0 10=10 20=0 10=10 20=6 10=0 20=6 97=0 \
            92=2 72=1 73=1 93=2 10=4 20=3 42=1 10=6 20=3 42=1 97=1 330=2A 75=0 76=1 98=1 10=0 20=0 EOF";
        let found = read(text).unwrap();
        let outlines: Vec<_> = found.iter().flat_map(|boundary| boundary.flatten(1e-4)).collect();
        assert_eq!(outlines.len(), 2);
        assert!(outlines.iter().all(|(points, closed)| *closed && points.iter().all(|p| p.z == 7.0)));
        assert_eq!(doubled_area(&outlines[0].0), 120.0);
        // Two half circles of radius 1.
        assert!((doubled_area(&outlines[1].0).abs() / 2.0 - std::f64::consts::PI).abs() < 1e-3);
    }

    /// A stadium: two lines of 10 and two half circles of radius 2, one stored clockwise, drawn once around.
    #[test]
    fn lines_and_arcs_join() {
        let text = "HATCH 91=1 92=1 93=4 72=1 10=0 20=-2 11=10 21=-2 72=2 10=10 20=0 40=2 50=-90 51=90 73=1 \
            72=1 10=10 20=2 11=0 21=2 72=2 10=0 20=0 40=2 50=90 51=270 73=1 97=0 EOF";
        let outlines = read(text).unwrap()[0].flatten(1e-4);
        assert_eq!(outlines.len(), 1);
        assert!(outlines[0].1);
        assert!((doubled_area(&outlines[0].0) / 2.0 - 40.0 - 4.0 * std::f64::consts::PI).abs() < 1e-2);
        // The same half circle clockwise, from (0, 2) over (2, 0) to (0, -2): 270 to 90 measured clockwise is -270 to -90.
        let clockwise =
            "HATCH 91=1 92=1 93=2 72=2 10=0 20=0 40=2 50=270 51=450 73=0 72=1 10=0 20=-2 11=0 21=2 97=0 EOF";
        let outlines = read(clockwise).unwrap()[0].flatten(1e-4);
        assert_eq!(outlines.len(), 1, "{outlines:?}");
        assert!(outlines[0].1 && outlines[0].0.iter().all(|p| p.x > -1e-9));
    }

    /// Half of x²/4 + y² = 1 above the axis, and a straight spline back along it.
    #[test]
    fn ellipses_and_splines_join() {
        let text = "HATCH 91=1 92=1 93=2 72=3 10=0 20=0 11=2 21=0 40=0.5 50=0 51=180 73=1 \
            72=4 94=1 73=0 74=0 95=4 96=2 40=0 40=0 40=1 40=1 10=-2 20=0 10=2 20=0 97=0 97=0 EOF";
        let outlines = read(text).unwrap()[0].flatten(1e-4);
        assert_eq!(outlines.len(), 1, "{outlines:?}");
        assert!((doubled_area(&outlines[0].0) / 2.0 - std::f64::consts::PI).abs() < 1e-2);
    }

    #[test]
    fn counts_that_cannot_be_are_refused() {
        for text in [
            "HATCH 91=2147483647 EOF",
            "HATCH 91=1 92=2 72=0 73=1 93=2000000000 10=0 20=0 EOF",
            "HATCH 91=1 92=1 93=1 72=4 94=3 73=0 74=0 95=2147483647 96=2 40=0 EOF",
            "HATCH 91=1 92=1 93=1 72=9 EOF",
            "HATCH 91=-1 EOF",
        ] {
            assert_eq!(read(text).unwrap_err().code, "bad-hatch", "{text}");
        }
        assert_eq!(read("HATCH 2=SOLID EOF").unwrap_err().code, "missing-value");
    }
}
