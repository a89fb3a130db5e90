//! Facets with heights become cells with planes.
//!
//! The edges of all facets that are not walls are projected and cut into an arrangement; each cell takes the plane of the
//! topmost facet over it, and neighbours on one plane are joined. A step is simply an edge whose two cells have other planes.

use super::cells::{Cells, find_cells};
use super::draft::Draft;
use super::faces::Fill;
use super::half_edge::start;
use super::repair::repair;
use super::report::Report;
use crate::error::Result;
use crate::finding::Severity;
use crate::geometry::{Plane, Point2, Point3, Region, Ring, Segment2, SegmentIndex, fit_plane};
use crate::import::Facet;
use crate::index::OriginId;
use crate::units::decimal;
use std::collections::BTreeMap;

/// Corners of facets this near in plan are one, inches. Models are exact to a few digits, not drawn by hand; a larger value
/// would close real reveals, a smaller one leaves slivers between facets written with three decimals of a metre.
const FACET_TOLERANCE: f64 = 0.05;

/// Facets whose corners all lie this near a common plane are one face, inches: half the 1/8 in a deck can be read to.
const SAME_PLANE: f64 = 1.0 / 16.0;

/// A facet or face may be this far out of flat, inches: corners of town models (LoD2) are shared between roofs and stand up
/// to 38 mm off the planes their faces were made from. Smaller, and one face falls apart along lines nobody drew; larger, and
/// it would reach the step tolerance of 2 in. Above it a four-sided facet is two, and facets are joined only up to it (and
/// only where their slopes agree, [`SAME_SLOPE`]).
const OUT_OF_FLAT: f64 = 1.5;

/// Facets whose heights along their common edge differ by less than this are folded, not stepped, inches.
const FOLDED: f64 = 0.25;

/// Rise per run by which two planes may differ and still be one: about half a degree. Thin facets are exempt, as their
/// rounded corners fix the slope across them badly.
const SAME_SLOPE: f64 = 0.01;

/// Facets narrower than this are thin, inches.
const THIN: f64 = 12.0;

/// A facet steeper than this, as rise per run, is a wall.
const WALL_PITCH: f64 = 20.0;

/// A facet that is no wall.
#[derive(Debug, Clone, PartialEq)]
struct Sheet {
    corners: Vec<Point3>,
    ring: Ring,
    plane: Plane,
    origin: OriginId,
}

/// Facets as an arrangement with a fill for each cell; `None` when there is no facet but walls.
///
/// Tries a tolerance for models first, and the drawing's gap tolerance when that leaves slivers.
pub(super) fn facet_cells(
    facets: &[Facet],
    gap_tolerance: f64,
    report: &mut Report,
) -> Result<Option<(Draft, Cells, Vec<Fill>)>> {
    let sheets = sheets_of(facets, report);
    if sheets.is_empty() {
        return Ok(None);
    }
    let mut exact = Report::default();
    let found = arrange(&sheets, FACET_TOLERANCE.min(gap_tolerance), &mut exact)?;
    if !has_slivers(&found.0, &found.1, gap_tolerance) {
        return Ok(Some(found));
    }
    arrange(&sheets, gap_tolerance, report).map(Some)
}

fn sheets_of(facets: &[Facet], report: &mut Report) -> Vec<Sheet> {
    let mut sheets = Vec::new();
    let mut outlines: Vec<Vec<Point3>> = facets
        .iter()
        .map(|facet| {
            let mut corners = facet.points.clone();
            corners.dedup();
            if corners.first() == corners.last() {
                corners.pop();
            }
            corners
        })
        .collect();
    super::mean_corners::part(&mut outlines, SAME_PLANE);
    for (facet, corners) in facets.iter().zip(outlines) {
        let pieces = match fit_plane(&corners) {
            Some((_, miss)) if miss > OUT_OF_FLAT && corners.len() == 4 => {
                let at = corners[0].plan();
                let words = format!("a four-sided facet {} in out of flat read as two triangles", decimal(miss, 2));
                report.add(Severity::Repaired, "warped-facet", words, at, miss);
                vec![vec![corners[0], corners[1], corners[2]], vec![corners[0], corners[2], corners[3]]]
            }
            _ => vec![corners],
        };
        for corners in pieces {
            let Some((plane, _)) = fit_plane(&corners) else { continue };
            if plane.pitch() > WALL_PITCH {
                continue;
            }
            let ring = Ring::new(corners.iter().map(|p| p.plan()).collect()).counter_clockwise();
            if ring.signed_area() > 0.0 {
                sheets.push(Sheet { corners, ring, plane, origin: facet.origin });
            }
        }
    }
    sheets
}

fn arrange(sheets: &[Sheet], tolerance: f64, report: &mut Report) -> Result<(Draft, Cells, Vec<Fill>)> {
    let lines: Vec<(Segment2, OriginId)> =
        sheets.iter().flat_map(|s| s.ring.sides().map(|side| (side, s.origin))).collect();
    // Facets share their edges, and triangles meet wherever the modeller put them: cuts and doubles are no repairs here.
    let mut own = Report::default();
    let mut draft = repair(&lines, tolerance, &mut own)?;
    report.take_moves(own);
    super::prune::drop_dangles(&mut draft, &mut Report::default());
    let cells = find_cells(&draft);
    let top = topmost(&draft, &cells, sheets);
    let groups = same_planes(&draft, &cells, &top, sheets);
    let group_of_dart = |cells: &Cells, dart: usize| -> Option<usize> {
        let cell = cells.cell_left_of(dart)?;
        top[cell].map(|_| groups[cell])
    };
    let sides: Vec<[Option<usize>; 2]> = (0..draft.edges.len())
        .map(|edge| [group_of_dart(&cells, 2 * edge), group_of_dart(&cells, 2 * edge + 1)])
        .collect();
    let mut members: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (cell, sheet) in top.iter().enumerate() {
        if let Some(sheet) = sheet {
            members.entry(groups[cell]).or_default().push(*sheet);
        }
    }
    // Edges between ends are unique by now, so sides can be found again by ends.
    let by_ends: BTreeMap<[[u64; 2]; 2], [Option<usize>; 2]> =
        (0..draft.edges.len()).map(|edge| (bits(draft.segment(edge)), sides[edge])).collect();
    draft.keep_edges(|edge| sides[edge][0] != sides[edge][1]);
    let cells = find_cells(&draft);
    let fills = cells
        .cells
        .iter()
        .map(|cell| {
            let dart = cells.walks.walks[cell.walk][0];
            let group = by_ends[&bits(draft.segment(dart / 2))][dart % 2];
            group.map_or(Fill::Nothing, |group| Fill::Facet(common_plane(&members[&group], sheets)))
        })
        .collect();
    Ok((draft, cells, fills))
}

fn bits(s: Segment2) -> [[u64; 2]; 2] {
    [s.a, s.b].map(|p| [p.x.to_bits(), p.y.to_bits()])
}

/// The topmost facet over each cell.
fn topmost(draft: &Draft, cells: &Cells, sheets: &[Sheet]) -> Vec<Option<usize>> {
    let boxes: Vec<Segment2> = sheets
        .iter()
        .map(|s| {
            s.ring.bounds().map_or(Segment2::new(s.ring.points[0], s.ring.points[0]), |b| Segment2::new(b.min, b.max))
        })
        .collect();
    let index = SegmentIndex::new(&boxes);
    let holes = cells.holes();
    (0..cells.cells.len())
        .map(|cell| {
            let point = inner_point(&cells.region(draft, cell, &holes[cell]))?;
            index.near(point, 0.0).into_iter().filter(|&sheet| sheets[sheet].ring.contains(point)).max_by(|&a, &b| {
                sheets[a].plane.height(point).total_cmp(&sheets[b].plane.height(point)).then(b.cmp(&a))
            })
        })
        .collect()
}

/// A point well inside a region: the middle of the widest stretch of it on a few level lines.
fn inner_point(region: &Region) -> Option<Point2> {
    let mut levels: Vec<f64> = region.rings().flat_map(|r| r.points.iter().map(|p| p.y)).collect();
    levels.sort_by(f64::total_cmp);
    levels.dedup();
    let mut gaps: Vec<(f64, f64)> = levels.windows(2).map(|w| (w[1] - w[0], w[0] + (w[1] - w[0]) * 0.5)).collect();
    gaps.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.total_cmp(&b.1)));
    let mut best: Option<(f64, Point2)> = None;
    for &(gap, y) in gaps.iter().take(4) {
        let mut crossings: Vec<f64> = region
            .rings()
            .flat_map(Ring::sides)
            .filter(|s| (s.a.y > y) != (s.b.y > y))
            .map(|s| s.a.x + (y - s.a.y) / (s.b.y - s.a.y) * (s.b.x - s.a.x))
            .collect();
        crossings.sort_by(f64::total_cmp);
        for pair in crossings.chunks_exact(2) {
            let room = (pair[1] - pair[0]).min(gap);
            if best.is_none_or(|(most, _)| room > most) {
                best = Some((room, Point2::new(pair[0] + (pair[1] - pair[0]) * 0.5, y)));
            }
        }
    }
    best.map(|(_, point)| point)
}

/// Cells joined so far because one plane holds them.
#[derive(Debug, Clone, PartialEq)]
struct Flat {
    cells: Vec<usize>,
    /// The topmost facet over each.
    sheets: Vec<usize>,
    plane: Plane,
    /// How many facets the plane was fitted to.
    fitted: usize,
}

/// Up to this many facets a join is judged by the plane through all of them; larger groups have a plane that one more facet
/// can't change, and fitting it each time would cost the square of their number.
const FITTED_EACH_TIME: usize = 48;

/// Group of each cell: neighbours whose topmost facets lie on one plane are in the same. What is flat is joined before what is
/// nearly flat.
fn same_planes(draft: &Draft, cells: &Cells, top: &[Option<usize>], sheets: &[Sheet]) -> Vec<usize> {
    let mut group_of: Vec<usize> = (0..cells.cells.len()).collect();
    let mut groups: Vec<Option<Flat>> = top
        .iter()
        .enumerate()
        .map(|(cell, &sheet)| {
            sheet.map(|s| Flat { cells: vec![cell], sheets: vec![s], plane: sheets[s].plane, fitted: 1 })
        })
        .collect();
    for flatness in [SAME_PLANE, OUT_OF_FLAT] {
        for edge in 0..draft.edges.len() {
            let sides = [2 * edge, 2 * edge + 1].map(|dart| cells.cell_left_of(dart));
            let [Some(left), Some(right)] = sides else { continue };
            let (mut a, mut b) = (group_of[left], group_of[right]);
            let (Some(left), Some(right)) = (top[left], top[right]) else { continue };
            let line = draft.segment(edge);
            let step = [line.a, line.b].map(|p| (sheets[left].plane.height(p) - sheets[right].plane.height(p)).abs());
            if a == b || (flatness > SAME_PLANE && step[0].max(step[1]) > FOLDED) {
                continue;
            }
            let size = |group: usize| groups[group].as_ref().map_or(0, |flat| flat.sheets.len());
            if size(a) < size(b) {
                (a, b) = (b, a);
            }
            let (Some(large), Some(small)) = (&groups[a], &groups[b]) else { continue };
            let Some((plane, fitted)) = common_to(large, small, sheets, flatness) else { continue };
            let (Some(mut joined), Some(small)) = (groups[a].take(), groups[b].take()) else { continue };
            for &cell in &small.cells {
                group_of[cell] = a;
            }
            joined.cells.extend(small.cells);
            joined.sheets.extend(small.sheets);
            groups[a] = Some(Flat { plane, fitted, ..joined });
        }
    }
    group_of
}

/// The plane that holds both groups, if there is one, with the number of facets it was fitted to.
fn common_to(large: &Flat, small: &Flat, sheets: &[Sheet], flatness: f64) -> Option<(Plane, usize)> {
    let thin = |flat: &Flat| flat.sheets.len() < 4 && flat.sheets.iter().all(|&s| thickness(&sheets[s].ring) < THIN);
    let turn = (large.plane.uphill_gradient() - small.plane.uphill_gradient()).length();
    let alike = turn <= SAME_SLOPE || (flatness <= SAME_PLANE && (thin(large) || thin(small)));
    if !alike {
        return None;
    }
    let count = large.sheets.len() + small.sheets.len();
    let both = || [large.sheets.as_slice(), small.sheets.as_slice()].concat();
    if count <= FITTED_EACH_TIME {
        let corners: Vec<Point3> = both().iter().flat_map(|&s| sheets[s].corners.iter().copied()).collect();
        let flat = fit_plane(&corners).is_some_and(|(_, miss)| miss <= flatness);
        return flat.then(|| (common_plane(&both(), sheets), count));
    }
    let near = |p: &Point3| (large.plane.height(p.plan()) - p.z).abs() <= flatness;
    if !small.sheets.iter().all(|&s| sheets[s].corners.iter().all(near)) {
        return None;
    }
    let settled = count < 2 * large.fitted;
    Some(if settled { (large.plane, large.fitted) } else { (common_plane(&both(), sheets), count) })
}

/// Twice the area over half the perimeter: the width of a long strip.
fn thickness(ring: &Ring) -> f64 {
    2.0 * ring.signed_area().abs() / ring.perimeter()
}

fn common_plane(used: &[usize], sheets: &[Sheet]) -> Plane {
    let mut used = used.to_vec();
    used.sort_unstable();
    used.dedup();
    if let [only] = used[..] {
        return sheets[only].plane;
    }
    let mut corners: Vec<Point3> = used.iter().flat_map(|&s| sheets[s].corners.iter().copied()).collect();
    corners.sort_by(|a, b| a.y.total_cmp(&b.y).then(a.x.total_cmp(&b.x)).then(a.z.total_cmp(&b.z)));
    corners.dedup();
    fit_plane(&corners).map_or(sheets[used[0]].plane, |(plane, _)| plane)
}

fn has_slivers(draft: &Draft, cells: &Cells, tolerance: f64) -> bool {
    cells.cells.iter().any(|cell| {
        let walk = &cells.walks.walks[cell.walk];
        let ring = Ring::new(walk.iter().map(|&dart| draft.nodes[start(draft, dart)].at).collect());
        thickness(&ring) < tolerance
    })
}
