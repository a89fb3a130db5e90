//! Places where a box may hang: those the job sets, and one under every lane that comes down to an eave.

use super::build::FaceFacts;
use super::graph::{Exit, ExitKind, Graph};
use super::hints::Hints;
use super::model::{LaneCourse, LaneKind};
use super::retrofit::holes_near;
use crate::error::{Error, Result};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point2, Point3, Vector2};
use crate::index::{EdgeId, FaceId, LaneId};
use crate::job::{BoxSetting, Job, Under, Work};
use crate::roof::Roof;
use crate::terms::{BoxPlace, EdgeKind};
use crate::zones::{FaceLayout, Zones};
use std::collections::BTreeMap;

/// A box of the job further than this from every roof face is a slip, inches.
const FARTHEST_FROM_ROOF: f64 = 120.0;
/// Leads run at most this far along the wall to a box of the job, inches.
pub(super) const FARTHEST_ALONG_WALL: f64 = 240.0;
/// A person needs this much height under the deck to reach a box, inches.
pub(super) const HEADROOM: f64 = 30.0;
/// Boxes side by side on a wall, middle to middle, inches.
pub(super) const BETWEEN_BOXES: f64 = 12.0;
/// Holes through the deck keep this far from valleys, inches.
pub(super) const HOLE_FROM_VALLEY: f64 = 24.0;
/// Holes of one box stand this far apart, inches.
const BETWEEN_HOLES: f64 = 6.0;
/// An inside box hangs this far below the deck's surface, inches.
pub(super) const BELOW_DECK: f64 = 12.0;

/// A box that may be used.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct BoxPlan {
    pub place: BoxPlace,
    /// Position in the job's list.
    pub set_by_job: Option<usize>,
    pub face: FaceId,
    pub edge: Option<EdgeId>,
    pub at: Point3,
    pub outward: Vector2,
    /// Leads it takes.
    pub capacity: u32,
    /// Exits of the graph that lead to it, with the length beyond them.
    pub exits: Vec<(usize, f64)>,
}

/// Boxes on the wall under every exit over an eave, as many side by side as its lane may fill.
pub(super) fn outside_candidates(graph: &Graph, zones: &Zones, hints: Hints) -> Vec<BoxPlan> {
    let job = hints.job;
    let mut plans = Vec::new();
    for (at, exit) in graph.exits.iter().enumerate() {
        let node = graph.nodes[exit.node];
        let (ExitKind::Eave(edge), Some(layout)) = (exit.kind, zones.layout(node.face)) else { continue };
        let Some(eave) = layout.edges.iter().find(|e| e.edge == edge) else { continue };
        let inset = zones.overhang(edge).map_or(job.roof.overhang.value, |overhang| overhang.inches);
        // The wall ends short of the eave's ends: the box stays on the wall.
        let (low, high) = (eave.a.x.min(eave.b.x) + inset, eave.a.x.max(eave.b.x) - inset);
        let on_wall = |u: f64| if low < high { u.clamp(low, high) } else { 0.5 * (low + high) };
        // The next box hangs on the side where the wall goes on.
        let step = if node.at.x <= 0.5 * (low + high) { BETWEEN_BOXES } else { -BETWEEN_BOXES };
        let outward = -layout.frame.uphill;
        let leads = job.products.outside_box.leads;
        for number in 0..graph.lanes[exit.lane.index()].capacity.div_ceil(leads.max(1)) {
            let u = on_wall(on_wall(node.at.x) + f64::from(number) * step);
            let foot = layout.frame.to_space(Point2::new(u, node.at.y));
            let plan = foot.plan() - outward * inset;
            plans.push(BoxPlan {
                place: BoxPlace::OutsideWall,
                set_by_job: None,
                face: node.face,
                edge: Some(edge),
                at: plan.at_height(foot.z - job.wiring.wall_drop),
                outward,
                capacity: leads,
                exits: std::iter::once(at)
                    .chain(along_wall(graph, edge, at, u, job))
                    .map(|exit| {
                        (exit, (u - graph.nodes[graph.exits[exit].node].at.x).abs() + job.wiring.wall_drop + inset)
                    })
                    .collect(),
            });
        }
    }
    plans
}

/// Other exits of a retrofit over the same eave: there every piece may have an exit of its own, and one box takes those that lie near it.
fn along_wall(graph: &Graph, edge: EdgeId, own: usize, u: f64, job: &Job) -> Vec<usize> {
    if job.roof.work.value != Work::Retrofit {
        return Vec::new();
    }
    let near = |exit: &Exit| (graph.nodes[exit.node].at.x - u).abs() <= FARTHEST_ALONG_WALL;
    let exits = graph.exits.iter().enumerate();
    exits.filter(|(at, exit)| *at != own && exit.kind == ExitKind::Eave(edge) && near(exit)).map(|(at, _)| at).collect()
}

/// The boxes the job sets; holes through the deck for inside ones are added to the graph.
///
/// # Errors
/// `box-place` when a box lies nowhere near the roof.
pub(super) fn job_boxes(
    graph: &mut Graph,
    zones: &Zones,
    facts: &BTreeMap<FaceId, FaceFacts>,
    hints: Hints,
    findings: &mut Vec<Finding>,
) -> Result<Vec<BoxPlan>> {
    let Hints { roof, frame, job } = hints;
    let mut plans = Vec::new();
    for (at, set) in job.wiring.boxes.iter().enumerate() {
        let plan = frame.to_working(set.at.at_height(0.0)).plan();
        let (face, apart) = nearest_face(roof, zones, plan).ok_or_else(|| far_off(set, f64::INFINITY))?;
        if apart > FARTHEST_FROM_ROOF {
            return Err(far_off(set, apart));
        }
        match set.place {
            BoxPlace::OutsideWall => plans.push(outside_box(graph, zones, at, plan, face, job)),
            BoxPlace::UnderDeck => match inside_box(graph, zones, facts, at, plan, (face, apart), hints) {
                Ok(plan) => plans.push(plan),
                Err(why) => findings.push(
                    Finding::new(
                        Severity::Warning,
                        "inside-box",
                        format!("box {} is not used: {why}", set.tag),
                        Place { line: Some(set.line), ..Place::at(plan) },
                    )
                    .with_hint("give the face 'under = \"attic\"', or hang the box outside on the wall"),
                ),
            },
        }
    }
    Ok(plans)
}

fn far_off(set: &BoxSetting, apart: f64) -> Error {
    let words = crate::units::feet_inches(apart.min(1e9));
    Error::usage("box-place", format!("box {} lies {words} from the roof", set.tag))
        .at(Place::line(set.line))
        .with_hint("give its place in the drawing's own coordinates, within 10 ft of the roof")
}

/// The sloping face under or nearest to a plan point, and how far away it is.
fn nearest_face(roof: &Roof, zones: &Zones, plan: Point2) -> Option<(FaceId, f64)> {
    let apart = |layout: &FaceLayout| {
        let region = roof.region(layout.face);
        if region.contains(plan) { 0.0 } else { region.exterior.distance_to(plan) }
    };
    let all = zones.faces.iter().map(|layout| (layout.face, apart(layout)));
    all.min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)))
}

fn outside_box(graph: &Graph, zones: &Zones, at: usize, plan: Point2, face: FaceId, job: &Job) -> BoxPlan {
    let mut exits: Vec<(usize, f64, f64, EdgeId, FaceId)> = Vec::new();
    for (number, exit) in graph.exits.iter().enumerate() {
        let node = graph.nodes[exit.node];
        let (ExitKind::Eave(edge) | ExitKind::Rake(edge), Some(layout)) = (exit.kind, zones.layout(node.face)) else {
            continue;
        };
        let foot = layout.frame.to_space(node.at);
        let apart = foot.plan().distance(plan);
        if apart <= FARTHEST_ALONG_WALL {
            exits.push((number, apart + job.wiring.wall_drop, foot.z, edge, node.face));
        }
    }
    let nearest = exits.iter().min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0))).copied();
    let lowest = zones.layout(face).map_or(0.0, |l| l.frame.to_space(Point2::new(0.0, 0.0)).z);
    let height = nearest.map_or(lowest, |n| n.2) - job.wiring.wall_drop;
    let face = nearest.map_or(face, |n| n.4);
    BoxPlan {
        place: BoxPlace::OutsideWall,
        set_by_job: Some(at),
        face,
        edge: nearest.map(|n| n.3),
        at: plan.at_height(height),
        outward: nearest.map_or_else(
            || zones.layout(face).map_or(Vector2::default(), |l| -l.frame.uphill),
            |n| graph.exits[n.0].outward,
        ),
        capacity: job.products.outside_box.leads,
        exits: exits.iter().map(|e| (e.0, e.1)).collect(),
    }
}

fn inside_box(
    graph: &mut Graph,
    zones: &Zones,
    facts: &BTreeMap<FaceId, FaceFacts>,
    number: usize,
    plan: Point2,
    (face, apart): (FaceId, f64),
    hints: Hints,
) -> std::result::Result<BoxPlan, String> {
    let job = hints.job;
    if apart > 0.0 {
        return Err("it is to hang under the deck but stands outside the roof".into());
    }
    if hints.under(face) != Under::Attic {
        return Err(format!("nothing says that a reachable attic lies under {face}"));
    }
    let layout = zones.layout(face).ok_or("its face is flat")?;
    let wanted = layout.frame.to_face(plan);
    // The ceiling is taken to lie level with the lowest eave of the face.
    let eaves = layout.edges.iter().filter(|e| e.kind == EdgeKind::Eave).map(|e| layout.frame.to_space(e.a).z);
    let headroom = layout.frame.to_space(wanted).z - eaves.reduce(f64::min).unwrap_or(f64::NEG_INFINITY);
    if headroom < HEADROOM {
        return Err(format!("the attic is {headroom:.0} in high there, less than {HEADROOM} in"));
    }
    if job.roof.work.value == Work::Retrofit {
        let surface = layout.frame.to_space(wanted);
        let at = Point3::new(surface.x, surface.y, surface.z - BELOW_DECK);
        let exits = holes_near(graph, zones, face, at);
        let (place, outward) = (BoxPlace::UnderDeck, Vector2::default());
        let capacity = job.products.inside_box.leads;
        return Ok(BoxPlan { place, set_by_job: Some(number), face, edge: None, at, outward, capacity, exits });
    }
    let valleys: Vec<_> = layout.edges.iter().filter(|e| e.kind == EdgeKind::Valley).collect();
    let clear = |at: Point2| {
        valleys.iter().all(|e| crate::geometry::Segment2::new(e.a, e.b).distance_to(at) >= HOLE_FROM_VALLEY)
    };
    let mut places: Vec<(f64, LaneId, Point2)> = Vec::new();
    for lane in graph.lanes.iter().filter(|l| l.face == face && l.course == LaneCourse::AlongCourse) {
        let middle = 0.5 * (lane.extent.v.low + lane.extent.v.high);
        if lane.kind != LaneKind::AboveElements || middle <= facts[&face].top {
            continue;
        }
        let nearest = wanted.x.clamp(lane.extent.u.low, lane.extent.u.high);
        let mut sides = (0..40).flat_map(|i| [f64::from(i), -f64::from(i)]).map(|i| nearest + i * BETWEEN_HOLES);
        let found = sides.find(|&u| lane.extent.u.contains(u) && clear(Point2::new(u, middle)));
        if let Some(u) = found {
            let at = Point2::new(u, middle);
            places.push((at.distance(wanted), lane.id, at));
        }
    }
    let nearest = places.into_iter().min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
    let (_, lane, first) = nearest.ok_or(format!("no place for a hole above the elements of {face}"))?;
    let surface = layout.frame.to_space(wanted);
    let at = Point3::new(surface.x, surface.y, surface.z - BELOW_DECK);
    let capacity = job.products.inside_box.leads;
    let holes = capacity.div_ceil(job.wiring.leads_per_hole.max(1));
    let mut exits = Vec::new();
    for hole in 0..holes {
        let place = Point2::new(first.x + f64::from(hole) * BETWEEN_HOLES, first.y);
        if !graph.lanes[lane.index()].extent.u.contains(place.x) || !clear(place) {
            break;
        }
        let node = graph.add_node(lane, place);
        exits.push((graph.exits.len(), layout.frame.to_space(place).distance(at)));
        let kind = ExitKind::Hole(job.wiring.leads_per_hole.max(1));
        graph.exits.push(Exit { node, lane, kind, outward: Vector2::default() });
    }
    let (place, outward) = (BoxPlace::UnderDeck, Vector2::default());
    Ok(BoxPlan { place, set_by_job: Some(number), face, edge: None, at, outward, capacity, exits })
}
