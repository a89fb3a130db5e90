//! What must hold of any [`Wiring`], tested by plain distances that share nothing with the layout.

use super::model::{End, LaneCourse, LaneKind, LeadKind, Leg, LegPlace, RelayLane, Terminal, Wiring};
use crate::courses::{Courses, ElementRole, Segment};
use crate::geometry::{Interval, Point2, Point3, Segment2};
use crate::index::{FaceId, LaneId, LeadId, SegmentId};
use crate::job::{Job, Work};
use crate::terms::{BoxPlace, EdgeKind};
use crate::zones::{FaceLayout, Interval2, StarterStrip, Zones};
use std::collections::BTreeMap;

/// Ends this near are joined: 1/64 in.
const JOINED: f64 = 1.0 / 64.0;
/// Rounding of our own arithmetic, inches.
const ROUNDING: f64 = 1e-6;

/// Every broken rule in words; empty when all is well.
#[must_use]
pub fn check_invariants(zones: &Zones, courses: &Courses, wiring: &Wiring, job: &Job) -> Vec<String> {
    let mut wrong = Vec::new();
    fed_once(courses, wiring, &mut wrong);
    joined(zones, courses, wiring, job, &mut wrong);
    wrong.extend(faults(zones, courses, wiring, job).into_iter().map(|fault| fault.what));
    nails_left_out(zones, wiring, job, &mut wrong);
    lanes_counted(wiring, &mut wrong);
    crossings(zones, wiring, job, &mut wrong);
    chains_and_circuits(courses, wiring, job, &mut wrong);
    existing_roof(wiring, job, &mut wrong);
    wrong
}

/// Under an existing roof leads lie under their own tab or in a stripped lane, nails are missing only there, and nothing crosses a fold.
fn existing_roof(wiring: &Wiring, job: &Job, wrong: &mut Vec<String>) {
    if job.roof.work.value != Work::Retrofit {
        if !wiring.relays.is_empty() {
            wrong.push("a new roof has stripped lanes".into());
        }
        return;
    }
    let stripped = |face: FaceId, at: Point2| {
        let holds = |r: &RelayLane| r.face == face && r.extent.u.contains(at.x) && at.y <= r.extent.v.high + JOINED;
        wiring.relays.iter().any(holds)
    };
    for gap in wiring.nail_gaps.iter().filter(|gap| !stripped(gap.face, gap.at)) {
        wrong.push(format!(
            "a nail of course {} of {} is missing where no shingle comes up",
            gap.shingle_course, gap.face
        ));
    }
    for lead in &wiring.leads {
        for leg in &lead.legs {
            let away = |lane: &LaneId| {
                let lane = &wiring.lanes[lane.index()];
                lane.kind != LaneKind::UnderTab && !wiring.relays.iter().any(|r| r.lane == lane.id)
            };
            if leg.crossing.is_some() || leg.lanes.iter().any(away) {
                wrong.push(format!("{} lies under shingles that stay", lead.id));
            }
        }
        let thick = job.products.lead.value.thickness.unwrap_or(job.products.lead.value.diameter).inches();
        let sideways = lead.legs.iter().any(|leg| !leg.lanes.is_empty() && leg.place == LegPlace::Face)
            && lead.legs.iter().any(|leg| leg.place == LegPlace::OverEave);
        let under_tab = lead.legs.iter().flat_map(|l| &l.lanes).all(|l| {
            let lane = &wiring.lanes[l.index()];
            lane.kind == LaneKind::UnderTab && lane.course == LaneCourse::AlongCourse
        });
        if sideways && under_tab && thick > job.courses.lift {
            wrong.push(format!("{} is thicker than the tab over it lifts", lead.id));
        }
    }
}

/// A lead that lies where it must not.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Fault {
    pub lead: LeadId,
    /// The lead it lies on, where that is what is wrong.
    pub other: Option<LeadId>,
    pub what: String,
}

/// Every lead that lies where it must not. What is drawn is tried against these before it is handed on, so that a layout with a
/// stretch left cold stands in for one that breaks a rule.
pub(super) fn faults(zones: &Zones, courses: &Courses, wiring: &Wiring, job: &Job) -> Vec<Fault> {
    let mut faults = clear_of_everything(zones, courses, wiring, job);
    faults.extend(side_by_side(wiring, job));
    faults
}

fn fed_once(courses: &Courses, wiring: &Wiring, wrong: &mut Vec<String>) {
    for segment in &courses.segments {
        let fed = wiring.feeds.iter().filter(|f| f.segment == segment.id).count();
        let unfed = wiring.unfed.iter().filter(|u| u.segment == segment.id).count();
        if fed + unfed != 1 {
            wrong.push(format!("{} is fed {fed} times and refused {unfed} times", segment.id));
        }
        let ends = wiring.leads.iter().filter(|l| l.to_segment() == Some(segment.id)).count();
        if ends != fed {
            wrong.push(format!("{} is fed {fed} times and has {ends} leads", segment.id));
        }
    }
    for feed in &wiring.feeds {
        let lead = &wiring.leads[feed.lead.index()];
        if lead.to != Terminal::Segment(feed.segment, feed.fed_end) {
            wrong.push(format!("{} is not what feeds {}", lead.id, feed.segment));
        }
    }
}

impl super::model::Lead {
    /// The segment this lead brings power to.
    #[must_use]
    pub fn to_segment(&self) -> Option<crate::index::SegmentId> {
        if let Terminal::Segment(id, _) = self.to { Some(id) } else { None }
    }
}

fn terminal_point(zones: &Zones, courses: &Courses, wiring: &Wiring, terminal: Terminal) -> Point3 {
    match terminal {
        Terminal::Box(id) => wiring.boxes[id.index()].at,
        Terminal::Segment(id, end) => {
            let segment = &courses.segments[id.index()];
            let at = if end == End::Left { segment.left_end() } else { segment.right_end() };
            zones.layout(segment.face).map_or_else(Point3::default, |l| l.frame.to_space(at))
        }
    }
}

fn joined(zones: &Zones, courses: &Courses, wiring: &Wiring, job: &Job, wrong: &mut Vec<String>) {
    for lead in &wiring.leads {
        let mut at = terminal_point(zones, courses, wiring, lead.from);
        let mut total = 0.0;
        for leg in &lead.legs {
            let (Some(&first), Some(&last)) = (leg.points.first(), leg.points.last()) else {
                wrong.push(format!("{} has an empty leg", lead.id));
                continue;
            };
            if at.distance(first) > JOINED {
                wrong.push(format!("{}: a {:?} leg starts {} in off", lead.id, leg.place, at.distance(first)));
            }
            let length: f64 = leg.points.windows(2).map(|w| w[0].distance(w[1])).sum();
            if (length - leg.length).abs() > JOINED {
                wrong.push(format!("{}: a leg of {length} in says {}", lead.id, leg.length));
            }
            if let (LegPlace::Face, Some(face)) = (leg.place, leg.face)
                && let Some(layout) = zones.layout(face)
            {
                let same =
                    leg.path.iter().zip(&leg.points).all(|(&p, &q)| layout.frame.to_space(p).distance(q) < JOINED);
                if !same || leg.path.len() != leg.points.len() {
                    wrong.push(format!("{}: path and points of a leg differ", lead.id));
                }
            }
            total += length + leg.slack;
            at = last;
        }
        let end = terminal_point(zones, courses, wiring, lead.to);
        if at.distance(end) > JOINED {
            wrong.push(format!("{} ends {} in from where it leads", lead.id, at.distance(end)));
        }
        let tails = match lead.kind {
            LeadKind::Feed => job.wiring.box_tail + job.wiring.connection_tail,
            LeadKind::Jumper => 2.0 * job.wiring.connection_tail,
        };
        if (total + tails - lead.length).abs() > JOINED {
            wrong.push(format!("{} is {} in long, its parts are {}", lead.id, lead.length, total + tails));
        }
    }
}

/// Stretches of a leg in the frames of the faces it lies on.
fn stretches(zones: &Zones, wiring: &Wiring, lead: LeadId, leg: &Leg) -> Vec<(FaceId, Segment2)> {
    match (leg.face, leg.crossing) {
        (Some(face), _) => leg.path.windows(2).map(|w| (face, Segment2::new(w[0], w[1]))).collect(),
        (_, Some(crossing)) => {
            let crossing = &wiring.crossings[crossing.index()];
            let Some(track) = crossing.tracks.iter().find(|track| track.lead == lead) else { return Vec::new() };
            let side = |(face, end): (FaceId, Point2)| {
                let layout = zones.layout(face)?;
                Some((face, Segment2::new(layout.frame.to_face(track.at), end)))
            };
            crossing.faces.into_iter().zip(track.ends).filter_map(side).collect()
        }
        _ => Vec::new(),
    }
}

/// Whether a straight stretch passes through the inside of a rectangle (Liang and Barsky's clipping).
fn enters(stretch: Segment2, rectangle: &Interval2, grown: f64) -> bool {
    let (mut from, mut to) = (0.0f64, 1.0f64);
    let d = stretch.b - stretch.a;
    let low = Point2::new(rectangle.u.low - grown, rectangle.v.low - grown);
    let high = Point2::new(rectangle.u.high + grown, rectangle.v.high + grown);
    for (p, q) in [
        (-d.x, stretch.a.x - low.x),
        (d.x, high.x - stretch.a.x),
        (-d.y, stretch.a.y - low.y),
        (d.y, high.y - stretch.a.y),
    ] {
        if p == 0.0 {
            if q <= 0.0 {
                return false;
            }
        } else if p < 0.0 {
            from = from.max(q / p);
        } else {
            to = to.min(q / p);
        }
    }
    to - from > 1e-9
}

fn apart(a: Segment2, b: Segment2) -> f64 {
    if let Some((s, t)) = a.line_meeting(b)
        && (0.0..=1.0).contains(&s)
        && (0.0..=1.0).contains(&t)
    {
        return 0.0;
    }
    a.distance_to(b.a).min(a.distance_to(b.b)).min(b.distance_to(a.a)).min(b.distance_to(a.b))
}

fn clear_of_everything(zones: &Zones, courses: &Courses, wiring: &Wiring, job: &Job) -> Vec<Fault> {
    let half = 0.5 * job.products.lead.value.diameter.inches();
    let mut faults = Vec::new();
    let mut on_face: BTreeMap<FaceId, Vec<&Segment>> = BTreeMap::new();
    for segment in &courses.segments {
        on_face.entry(segment.face).or_default().push(segment);
    }
    let longest = courses.segments.iter().map(|s| s.along.length()).fold(0.0, f64::max) + 1.0;
    on_face.values_mut().for_each(|segments| segments.sort_by(|a, b| a.along.low.total_cmp(&b.along.low)));
    for lead in &wiring.leads {
        let own: Vec<_> = [lead.from, lead.to]
            .iter()
            .filter_map(|t| if let Terminal::Segment(s, _) = t { Some(*s) } else { None })
            .collect();
        let mut fault =
            |what: String| faults.push(Fault { lead: lead.id, other: None, what: format!("{} {what}", lead.id) });
        for leg in &lead.legs {
            for (face, stretch) in stretches(zones, wiring, lead.id, leg) {
                let Some(layout) = zones.layout(face) else { continue };
                let (left, right) = (stretch.a.x.min(stretch.b.x) - longest, stretch.a.x.max(stretch.b.x) + longest);
                let segments = on_face.get(&face).map_or(&[][..], Vec::as_slice);
                let from = segments.partition_point(|s| s.along.low < left);
                for segment in segments[from..].iter().take_while(|s| s.along.low <= right) {
                    let grown = if own.contains(&segment.id) { -ROUNDING } else { half - ROUNDING };
                    let element = Interval2 { u: segment.along, v: segment.across };
                    if enters(stretch, &element, grown) {
                        fault(format!("crosses {}", segment.id));
                    }
                }
                if layout.keep_outs.iter().any(|area| enters(stretch, &area.solid, half)) {
                    fault("enters an area that the job keeps free".into());
                }
                for opening in &layout.openings {
                    if enters(stretch, &opening.flashing, half) {
                        fault(format!("crosses the flashing of {}", opening.opening));
                    }
                }
                let own_tab = leg.lanes.iter().all(|l| wiring.lanes[l.index()].kind == LaneKind::UnderTab);
                within_face(layout, leg, stretch, own_tab, job, &mut fault);
            }
        }
    }
    faults
}

/// `own_tab` leads lie between two nail rows under one tab and may go on to the rake.
fn within_face(
    layout: &FaceLayout,
    leg: &Leg,
    stretch: Segment2,
    own_tab: bool,
    job: &Job,
    fault: &mut impl FnMut(String),
) {
    let steps = (stretch.length() / 3.0).ceil().max(1.0) as u32;
    for step in 0..=steps {
        let p = stretch.a.lerp(stretch.b, f64::from(step) / f64::from(steps));
        if !layout.region.contains(p) && layout.region.rings().all(|ring| ring.distance_to(p) > JOINED) {
            fault(format!("leaves {} at {:.2}, {:.2}", layout.face, p.x, p.y));
        }
    }
    if leg.place != LegPlace::Face {
        return;
    }
    let nails = job.products.shingle.value.end_nail.inches() + job.wiring.lead_clearance;
    for edge in &layout.edges {
        let least = match edge.kind {
            EdgeKind::Valley => 14.0,
            EdgeKind::Hip | EdgeKind::Ridge => 6.0,
            EdgeKind::Rake if !own_tab => nails,
            _ => continue,
        };
        let distance = apart(stretch, Segment2::new(edge.a, edge.b));
        if distance < least - JOINED {
            fault(format!("lies {distance:.2} in from the {} {}", edge.kind.words(), edge.edge));
        }
    }
}

fn nails_left_out(zones: &Zones, wiring: &Wiring, job: &Job, wrong: &mut Vec<String>) {
    let shingle = &job.products.shingle.value;
    let clearance = job.wiring.lead_clearance;
    let legs = wiring.leads.iter().flat_map(|lead| lead.legs.iter().map(|leg| (lead.id, leg)));
    for (lead, leg) in legs.chain(wiring.sensor_legs().map(|leg| (LeadId::new(wiring.leads.len()), leg))) {
        for (face, stretch) in stretches(zones, wiring, lead, leg) {
            let Some(layout) = zones.layout(face) else { continue };
            let base = layout.course_base();
            let top = stretch.a.y.max(stretch.b.y);
            let strip = 0.5 * (shingle.starter_nail_low.inches() + shingle.starter_nail_high.inches());
            let beside = |along: Interval| along.contains(stretch.a.x) || along.contains(stretch.b.x);
            let strips = layout.starters.iter().filter(|s| beside(s.along));
            let mut rows: Vec<(u32, f64)> = strips.map(|s| (0, s.v + strip)).collect();
            let middle = 0.5 * (shingle.nail_low.inches() + shingle.nail_high.inches());
            for course in 1.. {
                let butt = base + f64::from(course - 1) * shingle.exposure.inches();
                let v = butt + middle;
                if v > top {
                    break;
                }
                // A course that ends below an eave up the slope is not laid above it.
                let ends_below = |s: &StarterStrip| {
                    let above = s.along.contains(stretch.a.x) && s.along.contains(stretch.b.x) && s.v <= v;
                    above && butt + shingle.exposure.inches() <= s.v + 0.125
                };
                if layout.starters.iter().any(ends_below) {
                    continue;
                }
                rows.push((course, v));
            }
            for (course, v) in rows {
                let (a, b) = (stretch.a, stretch.b);
                if (a.y - v) * (b.y - v) >= 0.0 {
                    continue;
                }
                let u = a.lerp(b, (v - a.y) / (b.y - a.y)).x;
                let gap = wiring.nail_gaps.iter().any(|g| {
                    g.face == face
                        && g.shingle_course == course
                        && (g.at.y - v).abs() < JOINED
                        && u - clearance >= g.at.x - 0.5 * g.width - JOINED
                        && u + clearance <= g.at.x + 0.5 * g.width + JOINED
                });
                if !gap {
                    wrong.push(format!("no gap in the nails of course {course} of {face} at {u:.2}"));
                }
            }
        }
    }
}

fn lanes_counted(wiring: &Wiring, wrong: &mut Vec<String>) {
    for lane in &wiring.lanes {
        let sensor = wiring.sensor.iter().filter_map(|sensor| sensor.lead.as_ref().map(|lead| &lead.legs));
        let legs = wiring.leads.iter().map(|lead| &lead.legs).chain(sensor);
        let counted = legs.filter(|legs| legs.iter().any(|leg| leg.lanes.contains(&lane.id))).count();
        if counted != lane.used as usize || lane.used > lane.capacity {
            wrong.push(format!("{}: {counted} leads, says {}, room for {}", lane.id, lane.used, lane.capacity));
        }
    }
}

/// Leads up the slope lie apart.
fn side_by_side(wiring: &Wiring, job: &Job) -> Vec<Fault> {
    let diameter = job.products.lead.value.diameter.inches();
    let mut faults = Vec::new();
    // Where leads gather, at a hole, they come together.
    let gathers =
        |face: FaceId, at: Point2| wiring.holes.iter().any(|h| h.face == face && h.at.distance(at) < ROUNDING);
    let upright: Vec<(FaceId, LeadId, Segment2)> = wiring
        .leads
        .iter()
        .flat_map(|lead| lead.legs.iter().map(move |leg| (lead.id, leg)))
        .filter_map(|(lead, leg)| leg.face.map(|face| (face, lead, leg)))
        .flat_map(|(face, lead, leg)| leg.path.windows(2).map(move |w| (face, lead, Segment2::new(w[0], w[1]))))
        .filter(|(_, _, s)| (s.a.x - s.b.x).abs() < ROUNDING && s.length() > 1.0)
        .filter(|(face, _, s)| !gathers(*face, s.a) && !gathers(*face, s.b))
        .collect();
    // From left to right on each face, so that only neighbours are compared.
    let mut upright = upright;
    upright.sort_by(|a, b| a.0.cmp(&b.0).then(a.2.a.x.total_cmp(&b.2.a.x)).then(a.1.cmp(&b.1)));
    for (at, (face, lead, s)) in upright.iter().enumerate() {
        let near = upright[at + 1..].iter().take_while(|(f, _, t)| f == face && t.a.x - s.a.x < diameter);
        for (other_face, other, t) in near {
            let (lead, other) = (lead.min(other), lead.max(other));
            let shared = s.a.y.max(s.b.y).min(t.a.y.max(t.b.y)) - s.a.y.min(s.b.y).max(t.a.y.min(t.b.y));
            if face == other_face && lead != other && shared > 1.0 && (s.a.x - t.a.x).abs() < diameter - ROUNDING {
                let what = format!("leads {lead} and {other} lie on one another on {face}");
                faults.push(Fault { lead: *lead, other: Some(*other), what });
            }
        }
    }
    faults
}

fn crossings(zones: &Zones, wiring: &Wiring, job: &Job, wrong: &mut Vec<String>) {
    let diameter = job.products.lead.value.diameter.inches();
    for (at, crossing) in wiring.crossings.iter().enumerate() {
        if crossing.leads.is_empty() || crossing.id.index() != at {
            wrong.push(format!("{} stands at {at} and carries {} leads", crossing.id, crossing.leads.len()));
        }
        if wiring.crossings[..at].iter().any(|other| other.edge == crossing.edge) {
            wrong.push(format!("{} is crossed at two places", crossing.edge));
        }
        if crossing.above_bands < job.wiring.crossing_above - ROUNDING {
            wrong.push(format!("{} lies only {} in above the bands", crossing.id, crossing.above_bands));
        }
        if crossing.tracks.iter().map(|track| track.lead).ne(crossing.leads.iter().copied()) {
            wrong.push(format!("{} has other tracks than leads", crossing.id));
        }
        for (side, face) in crossing.faces.into_iter().enumerate() {
            let Some(layout) = zones.layout(face) else { continue };
            let Some(edge) = layout.edges.iter().find(|e| e.edge == crossing.edge) else { continue };
            let fold = edge.b - edge.a;
            for track in &crossing.tracks {
                let way = track.ends[side] - layout.frame.to_face(track.at);
                if fold.dot(way).abs() > 1e-6 * fold.length() * way.length() {
                    wrong.push(format!("{} is not square to {}", track.lead, crossing.edge));
                }
            }
            let mut up: Vec<f64> = crossing
                .tracks
                .iter()
                .map(|track| fold.dot(layout.frame.to_face(track.at) - edge.a) / fold.length())
                .collect();
            up.sort_by(f64::total_cmp);
            if up.windows(2).any(|pair| pair[1] - pair[0] < diameter - ROUNDING) {
                wrong.push(format!("leads lie on one another where they cross {}", crossing.edge));
            }
            if up.iter().any(|&at| at < -ROUNDING || at > fold.length() + ROUNDING) {
                wrong.push(format!("a lead passes {} beyond its end", crossing.edge));
            }
        }
    }
}

fn longest(segment: &Segment, job: &Job) -> f64 {
    let element = match segment.element {
        ElementRole::Starter => &job.products.starter.value,
        ElementRole::Deck => &job.products.deck.value,
    };
    job.courses.longest_piece.min(element.longest_piece.inches())
}

fn chains_and_circuits(courses: &Courses, wiring: &Wiring, job: &Job, wrong: &mut Vec<String>) {
    for chain in &wiring.chains {
        let pieces: Vec<&Segment> = chain.segments.iter().map(|s| &courses.segments[s.index()]).collect();
        let length: f64 = pieces.iter().map(|s| s.cut_length).sum();
        let limit = pieces.iter().map(|s| longest(s, job)).fold(f64::INFINITY, f64::min);
        if length > limit + ROUNDING && pieces.len() > 1 || (length - chain.element_length).abs() > ROUNDING {
            wrong.push(format!("{} is {length} in long, the limit is {limit}", chain.id));
        }
        let full: f64 = pieces
            .iter()
            .map(|s| {
                let deck = s.element == ElementRole::Deck;
                let element = if deck { &job.products.deck.value } else { &job.products.starter.value };
                let (volts, running) = (job.electrical.volts.value, job.electrical.running_temperature.value);
                crate::electrical::local_power(element, volts, running) * s.cut_length / 12.0
            })
            .sum();
        if chain.watts > full + ROUNDING || chain.watts < 0.9 * full {
            wrong.push(format!("{} draws {} W of {full}", chain.id, chain.watts));
        }
        for pair in chain.segments.windows(2) {
            let fed = |id: SegmentId| wiring.feeds.iter().find(|f| f.segment == id);
            let joined = fed(pair[0]).zip(fed(pair[1])).is_some_and(|(before, after)| {
                let lead = &wiring.leads[after.lead.index()];
                let sources = [before.fed_end, before.fed_end.other()].map(|end| Terminal::Segment(pair[0], end));
                before.chain == chain.id
                    && after.chain == chain.id
                    && lead.kind == LeadKind::Jumper
                    && sources.contains(&lead.from)
            });
            if !joined {
                wrong.push(format!("{}: {} is not joined to {}", chain.id, pair[1], pair[0]));
            }
        }
        let homes = wiring.circuits.iter().filter(|c| c.chains.contains(&chain.id)).count();
        if homes != 1 || !wiring.circuits[chain.circuit.index()].chains.contains(&chain.id) {
            wrong.push(format!("{} is on {homes} circuits", chain.id));
        }
    }
    for circuit in &wiring.circuits {
        let amps: f64 = circuit.chains.iter().map(|c| wiring.chains[c.index()].amps).sum();
        let watts: f64 = circuit.chains.iter().map(|c| wiring.chains[c.index()].watts).sum();
        if (amps - circuit.amps).abs() > ROUNDING || (watts - circuit.watts).abs() > ROUNDING {
            wrong.push(format!("{} is not the sum of its chains", circuit.id));
        }
        if 1.25 * amps > circuit.breaker * (1.0 + 1e-5) || circuit.breaker > job.electrical.largest_breaker {
            wrong.push(format!("{} carries {amps} A on {} A", circuit.id, circuit.breaker));
        }
    }
    for item in &wiring.boxes {
        let room = match item.place {
            BoxPlace::UnderDeck => job.products.inside_box.leads,
            BoxPlace::OutsideWall => job.products.outside_box.leads,
        };
        let own = wiring.chains.iter().filter(|c| c.junction_box == item.id).count();
        if own != item.chains.len() || own > room as usize {
            wrong.push(format!("{} feeds {own} chains, lists {}, room for {room}", item.id, item.chains.len()));
        }
    }
    for hole in &wiring.holes {
        if hole.leads.len() > job.wiring.leads_per_hole as usize {
            wrong.push(format!("{} leads go through one hole of {}", hole.leads.len(), hole.face));
        }
    }
}
