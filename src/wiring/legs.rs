//! The geometry of leads: legs on faces, over crossings, over the eave and on the wall, joined end to end.

use super::boxes::BoxPlan;
use super::graph::{ExitKind, Graph, Way};
use super::model::{LaneCourse, Leg, LegPlace};
use super::slots::{LeadPath, Slots};
use super::tracks::Tracks;
use crate::geometry::{Point2, Point3, Vector2};
use crate::index::{CrossingId, FaceId, LaneId};
use crate::job::Job;
use crate::terms::BoxPlace;
use crate::zones::Zones;

/// The guard at the eave holds leads this far out at least, inches.
const GUARD: f64 = 1.0;
/// And so many bend radii: a square turn takes one, the turn from the slope to level up to 0.58 on the steepest roof for shingles.
const GUARD_RADII: f64 = 1.6;
/// Drip loops hang this low, at the eave and under a box, inches.
const DRIP_LOOP: f64 = 4.0;
/// Deck and sheathing where a hole goes through, inches.
const DECK: f64 = 1.5;

/// What legs are drawn from.
pub(super) struct Drawing<'a> {
    pub graph: &'a Graph,
    pub zones: &'a Zones,
    pub slots: &'a Slots,
    pub tracks: &'a Tracks,
    pub job: &'a Job,
}

/// Length along points in space.
fn run_of(points: &[Point3]) -> f64 {
    points.windows(2).map(|w| w[0].distance(w[1])).sum()
}

impl Drawing<'_> {
    fn space(&self, face: FaceId, at: Point2) -> Point3 {
        self.zones.layout(face).map_or_else(Point3::default, |l| l.frame.to_space(at))
    }

    fn face_leg(&self, face: FaceId, path: Vec<Point2>, lanes: Vec<LaneId>) -> Leg {
        let path = simplified(path);
        let points: Vec<Point3> = path.iter().map(|&p| self.space(face, p)).collect();
        let length = run_of(&points);
        Leg { place: LegPlace::Face, face: Some(face), crossing: None, path, points, length, slack: 0.0, lanes }
    }

    fn off_face(&self, place: LegPlace, points: Vec<Point3>) -> Leg {
        let length = run_of(&points);
        Leg { place, face: None, crossing: None, path: Vec::new(), points, length, slack: 0.0, lanes: Vec::new() }
    }

    /// A jumper's only leg, from the segment nearer the box.
    pub(super) fn jumper(&self, lead: usize, face: FaceId, path: &LeadPath) -> Vec<Leg> {
        let LeadPath::Jumper { from, to, plan } = path else { return Vec::new() };
        let u = self.slots.get(&(lead, plan.lane)).copied().unwrap_or(from.x);
        let path = vec![*from, Point2::new(u, from.y), Point2::new(u, to.y), *to];
        vec![self.face_leg(face, path, vec![plan.lane])]
    }

    /// A feed's legs from the box to the segment.
    pub(super) fn feed(&self, lead: usize, path: &LeadPath, exit: usize, plan: &BoxPlan) -> Vec<Leg> {
        let LeadPath::Feed { from, ways, exit: out } = path else { return Vec::new() };
        let mut legs = self.on_the_roof(lead, *from, ways, *out);
        let leaves = legs.last().and_then(|leg| leg.points.last()).copied().unwrap_or_default();
        match self.graph.exits[exit].kind {
            ExitKind::Eave(_) | ExitKind::Rake(_) => {
                legs.extend(self.down_to(leaves, self.graph.exits[exit].outward, plan));
            }
            ExitKind::Hole(_) => {
                // Below the deck it hangs straight down until it has room to bend both ways.
                let straight = DECK + 2.0 * self.job.products.lead.value.bend_radius.inches();
                let below = Point3::new(leaves.x, leaves.y, leaves.z - straight);
                legs.push(self.off_face(LegPlace::ThroughDeck, vec![leaves, below]));
                legs.push(self.off_face(LegPlace::UnderDeck, vec![below, plan.at]));
            }
        }
        legs.reverse();
        for leg in &mut legs {
            leg.path.reverse();
            leg.points.reverse();
            leg.lanes.reverse();
        }
        legs
    }

    /// Over the eave behind a guard, a drip loop, under the soffit to the wall, down it and up into the box from below.
    fn down_to(&self, leaves: Point3, outward: Vector2, plan: &BoxPlan) -> [Leg; 2] {
        debug_assert_eq!(plan.place, BoxPlace::OutsideWall);
        let guard = GUARD.max(GUARD_RADII * self.job.products.lead.value.bend_radius.inches());
        let out = (leaves.plan() + outward * guard).at_height(leaves.z);
        let low = Point3::new(out.x, out.y, out.z - DRIP_LOOP);
        let wall = plan.at.plan();
        let bottom = wall.at_height(plan.at.z - DRIP_LOOP);
        [
            self.off_face(LegPlace::OverEave, vec![leaves, out, low]),
            self.off_face(LegPlace::Wall, vec![low, wall.at_height(low.z), bottom, plan.at]),
        ]
    }

    /// A lead's way over a fold, coming from `face`: where it leaves its lane there, passes the fold in plan, and enters the lane beyond. A lead
    /// without a track of its own takes the crossing's middle.
    fn track(&self, lead: usize, id: CrossingId, face: FaceId) -> (Point2, Point2, Point2) {
        let crossing = &self.graph.crossings[id.index()];
        let own = self.tracks.get(&(lead, id));
        let (at, ends) = own.map_or((crossing.at, crossing.ends), |track| (track.at, track.ends));
        if crossing.faces[0] == face { (ends[0], at, ends[1]) } else { (ends[1], at, ends[0]) }
    }

    fn on_the_roof(&self, lead: usize, from: Point2, ways: &[Way], exit: Point2) -> Vec<Leg> {
        let mut legs = Vec::new();
        let mut path = vec![from];
        let mut lanes: Vec<LaneId> = Vec::new();
        let mut face = FaceId(0);
        for (i, way) in ways.iter().enumerate() {
            let last = path.last().copied().unwrap_or(from);
            match *way {
                Way::Lane(id) => {
                    let lane = &self.graph.lanes[id.index()];
                    face = lane.face;
                    lanes.push(id);
                    let upright = lane.course == LaneCourse::UpSlope;
                    let slot = self.slots.get(&(lead, id)).copied().unwrap_or_default();
                    let on = |p: Point2| if upright { Point2::new(slot, p.y) } else { Point2::new(p.x, slot) };
                    path.push(on(last));
                    match ways.get(i + 1) {
                        None if upright => path.push(on(exit)),
                        None => path.extend([on(exit), exit]),
                        Some(Way::Cross(id)) => path.push(self.track(lead, *id, face).0),
                        Some(Way::Lane(_)) => {}
                    }
                }
                Way::Cross(id) => {
                    legs.push(self.face_leg(face, std::mem::take(&mut path), std::mem::take(&mut lanes)));
                    let faces = self.graph.crossings[id.index()].faces;
                    let (begin, at, end) = self.track(lead, id, face);
                    let beyond = if faces[0] == face { faces[1] } else { faces[0] };
                    let fold = self.zones.layout(faces[0]).map(|l| l.frame.plane.lift(at));
                    let points = vec![self.space(face, begin), fold.unwrap_or_default(), self.space(beyond, end)];
                    let slack = 2.0 * self.job.wiring.crossing_slack;
                    let leg = self.off_face(LegPlace::Crossing, points);
                    legs.push(Leg { crossing: Some(id), slack, ..leg });
                    face = beyond;
                    path = vec![end];
                }
            }
        }
        legs.push(self.face_leg(face, path, lanes));
        legs
    }
}

/// The path without doubled points and without points in the middle of straight stretches.
fn simplified(path: Vec<Point2>) -> Vec<Point2> {
    let mut out: Vec<Point2> = Vec::new();
    for p in path {
        if out.last().is_some_and(|last| last.distance(p) < 1e-9) {
            continue;
        }
        if let [.., a, b] = out.as_slice()
            && ((a.x == b.x && b.x == p.x && (b.y - a.y) * (p.y - b.y) > 0.0)
                || (a.y == b.y && b.y == p.y && (b.x - a.x) * (p.x - b.x) > 0.0))
        {
            out.pop();
        }
        out.push(p);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn straight_stretches_have_two_points() {
        let p = |x: f64, y: f64| Point2::new(x, y);
        let path = simplified(vec![p(6.0, 8.0), p(3.0, 8.0), p(3.0, 8.0), p(3.0, 4.0), p(3.0, 0.0)]);
        assert_eq!(path, [p(6.0, 8.0), p(3.0, 8.0), p(3.0, 0.0)]);
    }
}
