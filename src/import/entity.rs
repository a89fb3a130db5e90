//! One record becomes one compact entity, in its own coordinates, with curves and blocks unexpanded.

use super::curves::{Ellipse, Spline, read_ellipse, read_spline};
use super::hatch::{Boundary, read_hatch};
use super::mesh::read_mesh;
use super::record::{Read, Record, Refusal, number};
use crate::geometry::{Point3, Vector3, trig};

/// An entity as drawn.
#[derive(Debug)]
pub(super) struct Entity<'a> {
    /// Kind as in the file.
    pub kind: &'a [u8],
    /// Handle as in the file.
    pub handle: Option<&'a [u8]>,
    /// Position in `Drawing::layers`.
    pub layer: u32,
    /// Line of the kind.
    pub line: usize,
    /// Whether it is drawn in model space and not marked invisible.
    pub shown: bool,
    /// The normal of its own plane where that is not straight up.
    pub normal: Option<Box<Vector3>>,
    /// What it is.
    pub shape: Shape<'a>,
}

/// What an entity is, as far as a roof is concerned.
#[derive(Debug)]
pub(super) enum Shape<'a> {
    /// Straight line in space.
    Line([Point3; 2]),
    /// Connected straight and curved pieces.
    Polyline(Polyline),
    /// Arc of a circle, counter-clockwise from `start` to `end`, in degrees; a full circle runs from 0 to 360.
    Arc(Box<Arc>),
    /// Part of an ellipse.
    Ellipse(Box<Ellipse>),
    /// A smooth curve.
    Spline(Box<Spline>),
    /// A reference to a block.
    Insert(Box<Insert<'a>>),
    /// Characters.
    Text(Box<Text<'a>>),
    /// Flat facets in space with, for each side, whether it is drawn.
    Facets(Vec<FacetShape>),
    /// A filled figure of three or four corners in order.
    Solid(Box<[Point3; 4]>),
    /// Outlines and islands of a hatch.
    Hatch(Vec<Boundary>),
    /// A dimension, kept as evidence of the unit.
    Dimension(Box<Dimension<'a>>),
    /// A leader without text, arrow head first.
    Leader(Box<[Point3]>),
    /// Never part of a roof: dimensions, points, viewports and the like.
    Aside,
    /// A curve or body this reader does not know; on a roof layer it is refused.
    Unread,
}

/// Vertices in order.
#[derive(Debug)]
pub(super) struct Polyline {
    /// Position and bulge of the piece that starts there (tangent of a quarter of its angle).
    pub vertices: Vec<(Point3, f64)>,
    /// Whether the last joins the first.
    pub closed: bool,
    /// Whether the points lie in space rather than in the entity's own plane.
    pub in_space: bool,
    /// Where its width narrows to nothing: the piece that is an arrow head, as tail and tip.
    pub head: Option<Box<[Point3; 2]>>,
}

/// A linear dimension.
#[derive(Debug)]
pub(super) struct Dimension<'a> {
    /// The length it measures, in drawing units.
    pub measured: f64,
    /// The text that stands in place of the measurement, if any.
    pub text: &'a [u8],
    /// The block it is drawn with.
    pub block: &'a [u8],
}

/// Part of a circle.
#[derive(Debug)]
pub(super) struct Arc {
    /// Middle.
    pub center: Point3,
    /// Radius.
    pub radius: f64,
    /// Start angle in degrees.
    pub start: f64,
    /// End angle in degrees.
    pub end: f64,
}

/// A block reference.
#[derive(Debug)]
pub(super) struct Insert<'a> {
    /// Block name as written.
    pub block: &'a [u8],
    /// Where the block's base point goes.
    pub at: Point3,
    /// Stretch along the block's axes.
    pub scale: Vector3,
    /// Turn in degrees.
    pub angle: f64,
    /// Columns and rows.
    pub count: [i64; 2],
    /// Column and row spacing.
    pub spacing: [f64; 2],
}

/// One text entity.
#[derive(Debug)]
pub(super) struct Text<'a> {
    /// The pieces of its characters in order, not yet decoded.
    pub pieces: Vec<&'a [u8]>,
    /// The point it hangs on.
    pub at: Point3,
    /// Letter height.
    pub height: f64,
    /// Direction of reading in degrees.
    pub angle: f64,
    /// Where the point sits in the text: 0 left, 0.5 middle, 1 right.
    pub across: f64,
    /// 0 at the bottom of the text, 1 at its top.
    pub up: f64,
    /// Several lines and formatting codes.
    pub formatted: bool,
    /// Whether the point lies in space rather than in the entity's own plane.
    pub in_space: bool,
}

/// One flat facet.
#[derive(Debug, Clone)]
pub(super) struct FacetShape {
    /// Three or more corners in order.
    pub corners: Vec<Point3>,
    /// Whether the side after each corner is drawn.
    pub drawn: Vec<bool>,
}

/// Kinds that carry no roof linework whatever layer they are on.
const ASIDE: &[&[u8]] = &[
    b"ARC_DIMENSION",
    b"LARGE_RADIAL_DIMENSION",
    b"VIEWPORT",
    b"POINT",
    b"ATTDEF",
    b"XLINE",
    b"RAY",
    b"IMAGE",
    b"WIPEOUT",
    b"TOLERANCE",
    b"MULTILEADER",
    b"MLEADER",
    b"ACAD_TABLE",
    b"OLE2FRAME",
    b"OLEFRAME",
    b"SHAPE",
    b"ACAD_PROXY_ENTITY",
    b"PDFUNDERLAY",
    b"DGNUNDERLAY",
    b"DWFUNDERLAY",
    b"PDFREFERENCE",
    b"LIGHT",
    b"SUN",
    b"CAMERA",
    b"SECTION",
    b"GEOPOSITIONMARKER",
    b"POSITIONMARKER",
    b"ARCALIGNEDTEXT",
    b"RTEXT",
    b"SECTIONOBJECT",
    b"POINTCLOUD",
];

impl Shape<'_> {
    /// Reads what a record draws. POLYLINE gives a polyline without vertices yet.
    pub fn read<'a>(record: &Record<'a>, normal: Option<&Vector3>) -> Read<Shape<'a>> {
        if record.too_long {
            return Err(Refusal::new("too-long", "it has more values than any roof edge"));
        }
        Ok(match record.name {
            b"LINE" => Shape::Line([record.point(10)?, record.point(11)?]),
            b"LWPOLYLINE" => lightweight_polyline(record)?,
            b"ARC" => Shape::Arc(Box::new(Arc {
                center: record.point(10)?,
                radius: radius(record)?,
                start: record.real_or(50, 0.0)?,
                end: record.real_or(51, 360.0)?,
            })),
            b"CIRCLE" => {
                Shape::Arc(Box::new(Arc { center: record.point(10)?, radius: radius(record)?, start: 0.0, end: 360.0 }))
            }
            b"ELLIPSE" => read_ellipse(record, normal)?,
            b"SPLINE" => read_spline(record)?,
            b"INSERT" => insert(record)?,
            b"TEXT" | b"ATTRIB" => text(record)?,
            b"MTEXT" => formatted_text(record)?,
            b"3DFACE" => face(record)?,
            b"SOLID" | b"TRACE" => {
                let (a, b, c) = (record.point(10)?, record.point(11)?, record.point(12)?);
                // The corners of a solid are stored in zigzag order.
                Shape::Solid(Box::new([a, b, record.point_if_any(13)?.unwrap_or(c), c]))
            }
            b"LEADER" => leader(record)?,
            b"HATCH" => read_hatch(record)?,
            b"MESH" => read_mesh(record)?,
            b"DIMENSION" => dimension(record),
            name if ASIDE.contains(&name) => Shape::Aside,
            _ => Shape::Unread,
        })
    }
}

fn radius(record: &Record) -> Read<f64> {
    match record.real(40)? {
        Some(radius) if radius > 0.0 => Ok(radius),
        Some(radius) => Err(Refusal::new("bad-radius", format!("its radius is {radius}"))),
        None => Err(Refusal::new("missing-value", "its radius (group code 40) is missing")),
    }
}

fn lightweight_polyline<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let height = record.real_or(38, 0.0)?;
    let count = record.groups.iter().filter(|group| group.code == 10).count();
    let mut vertices: Vec<(Point3, f64)> = Vec::with_capacity(count);
    let mut waiting_for_y = false;
    let constant = record.real_or(43, 0.0).unwrap_or(0.0);
    // An arrow head needs a width that changes, so the widths of most polylines are not gathered.
    let wide = record.has_any(&[40, 41]);
    let mut widths: Vec<[f64; 2]> = Vec::new();
    for group in &record.groups {
        match group.code {
            10 | 20 if waiting_for_y != (group.code == 20) => {
                return Err(Refusal {
                    code: "missing-value",
                    words: "a vertex has only one of its two coordinates".into(),
                    line: Some(group.line),
                });
            }
            10 => {
                vertices.push((Point3::new(number(group)?, 0.0, height), 0.0));
                if wide {
                    widths.push([constant; 2]);
                }
                waiting_for_y = true;
            }
            20 => {
                let y = number(group)?;
                if let Some((point, _)) = vertices.last_mut() {
                    point.y = y;
                }
                waiting_for_y = false;
            }
            40 | 41 => {
                // A width is for the eye: one that cannot be read spoils no line.
                if let (Some(own), Some(width)) = (widths.last_mut(), group.real()) {
                    own[usize::from(group.code == 41)] = width;
                }
            }
            42 => {
                let bulge = number(group)?;
                if let Some((_, last)) = vertices.last_mut() {
                    *last = bulge;
                }
            }
            _ => {}
        }
    }
    if waiting_for_y {
        return Err(Refusal::new("missing-value", "its last vertex has no y"));
    }
    let closed = record.whole_or(70, 0)? & 1 == 1;
    let head = if closed { None } else { arrow_head(&vertices, &widths) };
    Ok(Shape::Polyline(Polyline { vertices, closed, in_space: false, head }))
}

/// The end piece of an open polyline that narrows from a width to nothing towards its free end.
pub(super) fn arrow_head(vertices: &[(Point3, f64)], widths: &[[f64; 2]]) -> Option<Box<[Point3; 2]>> {
    let last = vertices.len().checked_sub(2)?;
    let narrows = |wide: f64, thin: f64| wide > 0.0 && thin.abs() < 0.05 * wide;
    let at = |place: usize| vertices[place].0;
    let forward = widths.get(last).is_some_and(|&[start, end]| narrows(start, end));
    let backward = widths.first().is_some_and(|&[start, end]| narrows(end, start));
    match (forward, backward) {
        (true, false) => Some(Box::new([at(0), at(last + 1)])),
        (false, true) => Some(Box::new([at(last + 1), at(0)])),
        _ => None,
    }
}

/// Reads a dimension. Only its length and text matter, and only as evidence, so one that says nothing readable is passed over.
fn dimension<'a>(record: &Record<'a>) -> Shape<'a> {
    let linear = matches!(record.whole_or(70, 0).map(|kind| kind & 7), Ok(0 | 1));
    let point = |code| record.point_if_any(code).ok().flatten();
    let between = || {
        let along = point(14)? - point(13)?;
        let angle = record.real_or(50, 0.0).ok()?.to_radians();
        let rotated = record.whole_or(70, 0).ok()? & 7 == 0;
        let direction = Vector3::new(trig::cos(angle), trig::sin(angle), 0.0);
        Some(if rotated { along.dot(direction).abs() } else { along.length() })
    };
    let said = record.real(42).ok().flatten().filter(|&length| length > 0.0);
    match said.or_else(between) {
        Some(measured) if linear && measured > 0.0 => Shape::Dimension(Box::new(Dimension {
            measured,
            text: record.text(1).unwrap_or(b""),
            block: record.text(2).unwrap_or(b"").trim_ascii(),
        })),
        _ => Shape::Aside,
    }
}

fn insert<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let block = record.text(2).ok_or_else(|| Refusal::new("missing-value", "it names no block"))?;
    let scale = Vector3::new(record.real_or(41, 1.0)?, record.real_or(42, 1.0)?, record.real_or(43, 1.0)?);
    if scale.x == 0.0 || scale.y == 0.0 {
        return Err(Refusal::new("zero-scale", "its block is scaled to nothing"));
    }
    Ok(Shape::Insert(Box::new(Insert {
        block: block.trim_ascii(),
        at: record.point(10)?,
        scale,
        angle: record.real_or(50, 0.0)?,
        count: [record.whole_or(70, 1)?.max(1), record.whole_or(71, 1)?.max(1)],
        spacing: [record.real_or(44, 0.0)?, record.real_or(45, 0.0)?],
    })))
}

/// A text longer than this is refused: no note on a plan is a book.
const LONGEST_TEXT: usize = 65_536;

fn short_enough(pieces: Vec<&[u8]>) -> Read<Vec<&[u8]>> {
    let length: usize = pieces.iter().map(|piece| piece.len()).sum();
    if length > LONGEST_TEXT {
        return Err(Refusal::new("too-long", format!("its text has {length} bytes")));
    }
    Ok(pieces)
}

fn text<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let (across, up) = (record.whole_or(72, 0)?, record.whole_or(if record.name == b"ATTRIB" { 74 } else { 73 }, 0)?);
    // Aligned and fitted texts (3 and 5) stand between their two points; any other but plain left-bottom hangs on the second.
    let first = record.point(10)?;
    let second = record.point_if_any(11)?;
    let at = match (across, up, second) {
        (3 | 5, _, Some(end)) => first + (end - first) * 0.5,
        (0, 0, _) | (_, _, None) => first,
        (_, _, Some(second)) => second,
    };
    Ok(Shape::Text(Box::new(Text {
        pieces: short_enough(record.text(1).into_iter().collect())?,
        at,
        height: record.real_or(40, 0.0)?,
        angle: record.real_or(50, 0.0)?,
        across: match across {
            1 | 3 | 4 | 5 => 0.5,
            2 => 1.0,
            _ => 0.0,
        },
        up: match (across, up) {
            (4, _) | (_, 2) => 0.5,
            (_, 3) => 1.0,
            _ => 0.0,
        },
        formatted: false,
        in_space: false,
    })))
}

fn formatted_text<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let hung = record.whole_or(71, 1)?.clamp(1, 9) - 1;
    let angle = match record.point_if_any(11)? {
        Some(along) if along.x != 0.0 || along.y != 0.0 => trig::atan2(along.y, along.x).to_degrees(),
        _ => record.real_or(50, 0.0)?,
    };
    Ok(Shape::Text(Box::new(Text {
        pieces: short_enough(record.groups.iter().filter(|g| matches!(g.code, 1 | 3)).map(|g| g.bytes()).collect())?,
        at: record.point(10)?,
        height: record.real_or(40, 0.0)?,
        angle,
        across: (hung % 3) as f64 / 2.0,
        up: 1.0 - (hung / 3) as f64 / 2.0,
        formatted: true,
        in_space: true,
    })))
}

fn face<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let mut corners = vec![record.point(10)?, record.point(11)?, record.point(12)?];
    corners.extend(record.point_if_any(13)?);
    let hidden = record.whole_or(70, 0)?;
    let drawn = (0..4).map(|side| hidden >> side & 1 == 0).collect();
    Ok(Shape::Facets(facet(corners, drawn).into_iter().collect()))
}

/// A facet without corners that repeat; `None` when fewer than three are left. A side is drawn if any side joined into it is.
pub(super) fn facet(corners: Vec<Point3>, drawn: Vec<bool>) -> Option<FacetShape> {
    let mut kept = FacetShape { corners: Vec::new(), drawn: Vec::new() };
    for (place, &corner) in corners.iter().enumerate() {
        if corner != corners[(place + 1) % corners.len()] {
            kept.corners.push(corner);
            kept.drawn.push(drawn.get(place).copied().unwrap_or(true));
        }
    }
    (kept.corners.len() >= 3).then_some(kept)
}

fn leader<'a>(record: &Record<'a>) -> Read<Shape<'a>> {
    let mut points = Vec::new();
    for (place, group) in record.groups.iter().enumerate().filter(|(_, g)| g.code == 10) {
        let part = |offset: usize, code: i32| {
            record.groups.get(place + offset).filter(|g| g.code == code).map(number).transpose()
        };
        let y = part(1, 20)?.ok_or_else(|| Refusal::new("missing-value", "a vertex has no y"))?;
        points.push(Point3::new(number(group)?, y, part(2, 30)?.unwrap_or(0.0)));
    }
    // A leader with a text (73 other than 3) points at a thing and says its name; it is no slope arrow.
    let bare = record.whole_or(73, 3)? == 3 && record.whole_or(71, 1)? == 1 && record.whole_or(72, 0)? == 0;
    Ok(if bare && points.len() >= 2 { Shape::Leader(points.into()) } else { Shape::Aside })
}
