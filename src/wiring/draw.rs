//! The chosen routes become leads, chains, circuits and boxes, with what a person must know.

use super::assign::{Booked, Served};
use super::boxes::BoxPlan;
use super::build::FaceFacts;
use super::chains::ChainPlan;
use super::check::faults;
use super::circuits::{chain_state, circuit_capacity, group};
use super::graph::{ExitKind, Graph, Way};
use super::legs::Drawing;
use super::model::{
    Chain, Crossing, DeckHole, End, Feed, JunctionBox, Lead, LeadKind, LegPlace, NailGap, Sensor, SensorLead, Terminal,
    Unfed, Wiring,
};
use super::nails::merged;
use super::optimum::Fed;
use super::relay::relays;
use super::sensor::{SensorWay, highest, way_down};
use super::sizes::Sizes;
use super::slots::{LeadPath, slots};
use super::tracks::tracks;
use crate::courses::{Courses, Segment};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::geometry::Point2;
use crate::index::{BoxId, ChainId, CircuitId, CrossingId, FaceId, LaneId, LeadId, SegmentId};
use crate::job::{Job, Work};
use crate::terms::{BoxPlace, EdgeKind};
use crate::zones::Zones;
use std::collections::{BTreeMap, BTreeSet};

/// Everything chosen before anything is drawn.
#[derive(Debug, Clone)]
pub(super) struct Plan {
    pub graph: Graph,
    pub chains: Vec<ChainPlan>,
    pub boxes: Vec<BoxPlan>,
    pub booked: Booked,
}

impl Plan {
    /// Feeds `segments` another way.
    pub(super) fn replace(&mut self, segments: &[SegmentId], fed: Fed) {
        let stays = |chain: &ChainPlan| !segments.contains(&chain.segments[0]);
        let mut numbers = vec![None; self.chains.len()];
        let mut chains = Vec::new();
        for (at, chain) in self.chains.drain(..).enumerate() {
            if stays(&chain) {
                numbers[at] = Some(chains.len());
                chains.push(chain);
            }
        }
        let first = chains.len();
        chains.extend(fed.chains);
        let kept = self.booked.served.drain(..).filter_map(|s| Some(Served { chain: numbers[s.chain]?, ..s }));
        let mut served: Vec<Served> = kept.collect();
        served.extend(fed.served.into_iter().map(|s| Served { chain: first + s.chain, ..s }));
        // In the order of their first segments, as chains made one by one are.
        let mut order: Vec<usize> = (0..chains.len()).collect();
        order.sort_by_key(|&at| chains[at].segments.iter().min().copied());
        let place = |at: usize| order.iter().position(|&o| o == at).unwrap_or(at);
        served.iter_mut().for_each(|s| s.chain = place(s.chain));
        self.chains = order.iter().map(|&at| chains[at].clone()).collect();
        self.booked.served = served;
    }
}

/// What the drawing of one job needs throughout.
pub(super) struct Sheet<'a> {
    pub zones: &'a Zones,
    pub courses: &'a Courses,
    pub facts: &'a BTreeMap<FaceId, FaceFacts>,
    pub job: &'a Job,
}

fn end_of(segment: &Segment, end: End) -> Point2 {
    match end {
        End::Left => segment.left_end(),
        End::Right => segment.right_end(),
    }
}

pub(super) fn draw(
    mut plan: Plan,
    zones: &Zones,
    courses: &Courses,
    facts: &BTreeMap<FaceId, FaceFacts>,
    job: &Job,
    mut findings: Vec<Finding>,
) -> Outcome<Wiring> {
    let sheet = Sheet { zones, courses, facts, job };
    let mut unfed: Vec<Unfed> = Vec::new();
    loop {
        let mut wiring = sheet.wire(&plan);
        // A chain that no circuit can carry is taken out and the rest drawn again.
        let capacity = circuit_capacity(job).unwrap_or(0.0);
        let over =
            wiring.chains.iter().find(|c| c.amps > capacity * (1.0 + 1e-6)).map(|c| (c.segments.clone(), c.amps));
        if let Some((segments, amps)) = over {
            for &segment in &segments {
                unfed.push(sheet.refuse(
                    segment,
                    "over-circuit",
                    format!("draws {amps:.1} A continuously, more than the largest breaker's {capacity:.1} A"),
                    "allow a larger breaker or cut shorter pieces",
                    &mut findings,
                ));
            }
            plan.booked.served.retain(|s| !plan.chains[s.chain].segments.contains(&segments[0]));
            continue;
        }
        let misplaced = sheet.misplaced(&wiring);
        if !misplaced.is_empty() {
            for (segments, what) in misplaced {
                let hint = "leave a lead column open through the courses, set a box nearer, or leave this stretch cold";
                for &segment in &segments {
                    let why = format!("its lead would break a rule where it lies: {what}");
                    unfed.push(sheet.refuse(segment, "no-lead-route", why, hint, &mut findings));
                }
                plan.booked.served.retain(|s| !plan.chains[s.chain].segments.contains(&segments[0]));
            }
            continue;
        }
        for (at, chain) in plan.chains.iter().enumerate() {
            let known = |s: &SegmentId| unfed.iter().any(|u| u.segment == *s);
            if plan.booked.served.iter().any(|s| s.chain == at) || chain.segments.iter().any(known) {
                continue;
            }
            for &segment in &chain.segments {
                let hint = "leave a lead column open through the courses, set a box nearer, or leave this stretch cold";
                let why = match plan.graph.no_way.get(&segment).map(Vec::as_slice) {
                    _ if !chain.feeds.is_empty() => "the lanes at its ends are full or lead to no box".into(),
                    Some([left, right]) => format!("no lead may leave it: left, {left}; right, {right}"),
                    _ => "no lane opens at either end: a lead would have to cross an element, nails or a valley".into(),
                };
                unfed.push(sheet.refuse(segment, "no-lead-route", why, hint, &mut findings));
            }
        }
        wiring.circuits = group(&mut wiring.chains, zones, courses, job);
        for feed in &mut wiring.feeds {
            feed.circuit = wiring.chains[feed.chain.index()].circuit;
        }
        unfed.sort_by_key(|u| u.segment);
        wiring.unfed = unfed;
        sheet.say(&wiring, &mut findings);
        return Outcome { value: wiring, findings };
    }
}

/// A crossing that no lead takes is not made: it is left out and the others are numbered anew.
fn keep_used_crossings(wiring: &mut Wiring) {
    let mut numbers = vec![None; wiring.crossings.len()];
    wiring.crossings.retain(|crossing| !crossing.leads.is_empty());
    for (at, crossing) in wiring.crossings.iter_mut().enumerate() {
        let id = CrossingId::new(at);
        numbers[crossing.id.index()] = Some(id);
        crossing.id = id;
    }
    for leg in wiring.leads.iter_mut().flat_map(|lead| &mut lead.legs) {
        leg.crossing = leg.crossing.and_then(|old| numbers[old.index()]);
    }
}

impl Sheet<'_> {
    /// Chains with a lead that lies where it must not, and what is wrong with it: of two leads on one another the later one's. Two at
    /// fault on one another need only one to go.
    pub(super) fn misplaced(&self, wiring: &Wiring) -> Vec<(Vec<SegmentId>, String)> {
        let chain = |lead: LeadId| wiring.feeds.iter().find(|f| f.lead == lead).map(|f| f.chain);
        let faults = faults(self.zones, self.courses, wiring, self.job);
        let mut gone: BTreeMap<ChainId, String> = BTreeMap::new();
        let (single, pairs): (Vec<_>, Vec<_>) = faults.into_iter().partition(|fault| fault.other.is_none());
        for fault in single.into_iter().chain(pairs) {
            let (Some(one), other) = (chain(fault.lead), fault.other.and_then(chain)) else { continue };
            let settled = gone.contains_key(&one) || other.is_some_and(|other| gone.contains_key(&other));
            if !settled {
                gone.insert(other.map_or(one, |other| one.max(other)), fault.what);
            }
        }
        gone.into_iter().map(|(id, what)| (wiring.chains[id.index()].segments.clone(), what)).collect()
    }

    fn refuse(
        &self,
        segment: SegmentId,
        code: &'static str,
        why: String,
        hint: &str,
        findings: &mut Vec<Finding>,
    ) -> Unfed {
        let segment = &self.courses.segments[segment.index()];
        let middle = segment.left_end().lerp(segment.right_end(), 0.5);
        let mut place = Place::item(segment.id);
        if let Some(layout) = self.zones.layout(segment.face) {
            place = place.with_point(layout.frame.to_plan(middle));
        }
        let message = format!("segment {} is not fed: {why}", segment.tag);
        findings.push(Finding::new(Severity::Warning, code, message, place).with_hint(hint));
        Unfed { segment: segment.id, zone: segment.zone, why }
    }

    /// What a person must know about the boxes and the leads.
    fn say(&self, wiring: &Wiring, findings: &mut Vec<Finding>) {
        if self.job.wiring.boxes.is_empty() {
            if let Some(first) = wiring.boxes.first() {
                let tags: Vec<&str> = wiring.boxes.iter().map(|b| b.tag.as_str()).collect();
                let message =
                    format!("the job sets no box: {} on the walls under the eaves are chosen", tags.join(", "));
                let place = Place::item(first.id).with_point(first.at.plan());
                findings.push(
                    Finding::new(Severity::Assumed, "box-chosen", message, place)
                        .with_hint("set [[wiring.box]] in the job file to hang them elsewhere"),
                );
            }
        } else {
            for item in wiring.boxes.iter().filter(|b| !b.set_by_job) {
                let message =
                    format!("box {} is added: no box of the job can serve all segments of {}", item.tag, item.face);
                let place = Place::item(item.id).with_point(item.at.plan());
                findings.push(Finding::new(Severity::Warning, "box-added", message, place));
            }
            for item in wiring.boxes.iter().filter(|b| b.set_by_job && b.chains.is_empty()) {
                let message = format!("box {} of the job feeds nothing", item.tag);
                let place = Place::item(item.id).with_point(item.at.plan());
                findings.push(Finding::new(Severity::Warning, "box-unused", message, place));
            }
        }
        if let Some(sensor) = wiring.sensor.as_ref().filter(|sensor| sensor.lead.is_none()) {
            let message =
                "the lead of the sensor is not laid out and not counted: no lane from it to a box has room".to_owned();
            let place = Place::item(sensor.face).with_point(sensor.at.plan());
            let hint = "take it through the deck beside the sensor, sealed, and on inside, apart from power";
            findings.push(Finding::new(Severity::Note, "sensor-lead", message, place).with_hint(hint));
        }
        let (volts, lead) = (self.job.electrical.volts.value, &self.job.products.lead.value);
        for chain in &wiring.chains {
            let feed = wiring.leads.iter().find(|l| {
                l.kind == LeadKind::Feed && matches!(l.to, Terminal::Segment(s, _) if s == chain.segments[0])
            });
            let Some(feed) = feed else { continue };
            let drop = crate::electrical::lead_loop_ohms(lead, feed.length) * chain.amps / volts;
            if drop > self.job.electrical.lead_drop {
                let message = format!(
                    "lead {} of {} loses {:.1} % of the voltage, more than {:.1} %",
                    feed.id,
                    crate::units::feet_inches(feed.length),
                    drop * 100.0,
                    self.job.electrical.lead_drop * 100.0
                );
                findings.push(
                    Finding::new(Severity::Warning, "lead-drop", message, Place::item(feed.id))
                        .with_hint("set a box nearer or take a thicker lead"),
                );
            }
            if chain.amps > lead.amps {
                let message = format!("lead {} carries {:.1} A, more than its {:.1} A", feed.id, chain.amps, lead.amps);
                findings.push(Finding::new(Severity::Warning, "lead-amps", message, Place::item(feed.id)));
            }
        }
    }

    /// Boxes in use, those of the job first; `numbers` maps box plans to ids.
    fn boxes(&self, plan: &Plan) -> (Vec<JunctionBox>, BTreeMap<usize, BoxId>) {
        let used = |at: usize| plan.booked.served.iter().any(|s| s.box_plan == at);
        let mut boxes: Vec<JunctionBox> = Vec::new();
        let mut numbers = BTreeMap::new();
        let taken: Vec<&str> = self.job.wiring.boxes.iter().map(|b| b.tag.as_str()).collect();
        let mut next = 0;
        for (at, item) in plan.boxes.iter().enumerate() {
            if item.set_by_job.is_none() && !used(at) {
                continue;
            }
            let id = BoxId::new(boxes.len());
            let tag = item.set_by_job.map(|n| self.job.wiring.boxes[n].tag.clone()).unwrap_or_else(|| {
                loop {
                    let tag = BoxId::new(next).to_string();
                    next += 1;
                    if !taken.contains(&tag.as_str()) {
                        return tag;
                    }
                }
            });
            let key = match item.place {
                BoxPlace::UnderDeck => &self.job.products.inside_box.key,
                BoxPlace::OutsideWall => &self.job.products.outside_box.key,
            };
            let exit = item.exits.iter().min_by(|a, b| a.1.total_cmp(&b.1).then(a.0.cmp(&b.0)));
            let exit = exit.and_then(|&(exit, _)| {
                let node = plan.graph.nodes[plan.graph.exits[exit].node];
                self.zones.layout(node.face).map(|l| l.frame.to_space(node.at))
            });
            numbers.insert(at, id);
            boxes.push(JunctionBox {
                id,
                tag,
                box_key: key.clone(),
                place: item.place,
                set_by_job: item.set_by_job.is_some(),
                face: item.face,
                edge: item.edge,
                exit: exit.unwrap_or(item.at),
                at: item.at,
                outward: item.outward,
                chains: Vec::new(),
            });
        }
        (boxes, numbers)
    }

    fn path(&self, graph: &Graph, served: &Served, first: SegmentId) -> LeadPath {
        LeadPath::Feed {
            from: end_of(&self.courses.segments[first.index()], served.place.end),
            ways: served.route.ways.clone(),
            exit: graph.nodes[graph.exits[served.exit].node].at,
        }
    }

    /// Everything but circuits and what stays unfed.
    fn wire(&self, plan: &Plan) -> Wiring {
        let graph = &plan.graph;
        let mut served: Vec<&Served> = plan.booked.served.iter().collect();
        served.sort_by_key(|s| s.chain);
        let mut paths: Vec<LeadPath> = Vec::new();
        for s in &served {
            let chain = &plan.chains[s.chain];
            paths.push(self.path(graph, s, chain.fed(s.place.reversed)));
            paths.extend(chain.oriented(s.place.reversed).1.iter().map(|j| LeadPath::Jumper {
                from: end_of(&self.courses.segments[j.from.index()], j.end),
                to: end_of(&self.courses.segments[j.to.index()], j.end),
                plan: *j,
            }));
        }
        let sensor = self.sensor(plan, &paths);
        let sensor_path = paths.len();
        paths.extend(sensor.as_ref().and_then(|(_, way)| way.as_ref()).map(|way| way.path.clone()));
        let slots = slots(graph, &paths, &Sizes::of(self.job));
        let tracks = tracks(graph, self.zones, &paths, &slots, &Sizes::of(self.job));
        let drawing = Drawing { graph, zones: self.zones, slots: &slots, tracks: &tracks, job: self.job };
        let (boxes, numbers) = self.boxes(plan);
        let mut wiring =
            Wiring { lanes: graph.lanes.clone(), crossings: graph.crossings.clone(), boxes, ..Wiring::default() };
        for s in served {
            self.wire_chain(plan, s, &paths, &drawing, numbers[&s.box_plan], &mut wiring);
        }
        wiring.feeds.sort_by_key(|f| f.segment);
        wiring.sensor = sensor.map(|(mut sensor, way)| {
            sensor.lead = way.map(|way| {
                let legs = drawing.feed(sensor_path, &paths[sensor_path], way.exit, &plan.boxes[way.box_plan]);
                let laid: f64 = legs.iter().map(|leg| leg.length + leg.slack).sum();
                let length = laid + self.job.wiring.box_tail + self.job.wiring.connection_tail;
                SensorLead { junction_box: numbers[&way.box_plan], legs, length }
            });
            sensor
        });
        for lead in &wiring.leads {
            let mut lanes: Vec<_> = lead.legs.iter().flat_map(|leg| leg.lanes.iter()).collect();
            lanes.sort();
            lanes.dedup();
            for lane in lanes {
                wiring.lanes[lane.index()].used += 1;
            }
            for crossing in lead.legs.iter().filter_map(|leg| leg.crossing) {
                wiring.crossings[crossing.index()].leads.push(lead.id);
                wiring.crossings[crossing.index()].tracks.extend(tracks.get(&(lead.id.index(), crossing)));
            }
        }
        let beside: BTreeSet<LaneId> = wiring.sensor_legs().flat_map(|leg| leg.lanes.iter().copied()).collect();
        for lane in beside {
            wiring.lanes[lane.index()].used += 1;
        }
        keep_used_crossings(&mut wiring);
        for crossing in &mut wiring.crossings {
            let mut sides = self.zones.faces.iter().flat_map(|layout| &layout.edges);
            let capped = sides.any(|e| e.edge == crossing.edge && matches!(e.kind, EdgeKind::Hip | EdgeKind::Ridge));
            if capped {
                crossing.cap_gap = self.job.wiring.nail_gap + self.width_on_fold(crossing);
            }
        }
        wiring.nail_gaps = merged(self.nail_gaps(&wiring));
        if self.job.roof.work.value == Work::Retrofit {
            let rows = self.facts.iter().map(|(&face, facts)| (face, facts.rows.clone())).collect();
            wiring.relays = relays(&wiring, graph, &rows, self.job);
        }
        wiring
    }

    /// The sensor on the face from which its lead finds a way, of those that stand as high, and the way. Under an existing roof nothing is led up the
    /// slope for it.
    fn sensor(&self, plan: &Plan, paths: &[LeadPath]) -> Option<(Sensor, Option<SensorWay>)> {
        if self.courses.segments.is_empty() {
            return None;
        }
        let mut used = vec![0; plan.graph.lanes.len()];
        for path in paths {
            let lanes: BTreeSet<LaneId> = match path {
                LeadPath::Jumper { plan, .. } => BTreeSet::from([plan.lane]),
                LeadPath::Feed { ways, .. } => {
                    ways.iter().filter_map(|way| if let Way::Lane(lane) = way { Some(*lane) } else { None }).collect()
                }
            };
            lanes.into_iter().for_each(|lane| used[lane.index()] += 1);
        }
        let in_use = |at: &usize| plan.booked.served.iter().any(|served| served.box_plan == *at);
        let boxes: Vec<(usize, &BoxPlan)> =
            (0..plan.boxes.len()).filter(in_use).map(|at| (at, &plan.boxes[at])).collect();
        let sizes = Sizes::of(self.job);
        let way = |&(face, at): &(FaceId, Point2)| {
            if self.job.roof.work.value == Work::Retrofit {
                return None;
            }
            let layout = self.zones.layout(face)?;
            way_down((face, at), &plan.graph, layout, &self.facts[&face], &boxes, &used, &sizes)
        };
        let places = highest(self.zones);
        let (place, way) = places
            .iter()
            .map(|place| (place, way(place)))
            .reduce(|best, next| if best.1.is_none() && next.1.is_some() { next } else { best })?;
        let layout = self.zones.layout(place.0)?;
        Some((Sensor { face: place.0, at: layout.frame.to_space(place.1), lead: None }, way))
    }

    fn wire_chain(
        &self,
        plan: &Plan,
        served: &Served,
        paths: &[LeadPath],
        drawing: &Drawing,
        junction_box: BoxId,
        wiring: &mut Wiring,
    ) {
        let (segments, jumpers) = plan.chains[served.chain].oriented(served.place.reversed);
        let id = ChainId::new(wiring.chains.len());
        let first_lead = wiring.leads.len();
        let (box_tail, tail) = (self.job.wiring.box_tail, self.job.wiring.connection_tail);
        let legs = drawing.feed(first_lead, &paths[first_lead], served.exit, &plan.boxes[served.box_plan]);
        self.note_hole(plan, served, junction_box, LeadId::new(first_lead), wiring);
        let mut fed_end = served.place.end;
        let length = |legs: &[super::model::Leg]| legs.iter().map(|l| l.length + l.slack).sum::<f64>();
        wiring.leads.push(Lead {
            id: LeadId::new(first_lead),
            kind: LeadKind::Feed,
            from: Terminal::Box(junction_box),
            to: Terminal::Segment(segments[0], fed_end),
            length: length(&legs) + box_tail + tail,
            legs,
        });
        for (at, &segment) in segments.iter().enumerate() {
            if at > 0 {
                let jumper = jumpers[at - 1];
                let lead = wiring.leads.len();
                let face = self.courses.segments[segment.index()].face;
                let legs = drawing.jumper(lead, face, &paths[lead]);
                wiring.leads.push(Lead {
                    id: LeadId::new(lead),
                    kind: LeadKind::Jumper,
                    from: Terminal::Segment(jumper.from, jumper.end),
                    to: Terminal::Segment(jumper.to, jumper.end),
                    length: length(&legs) + 2.0 * tail,
                    legs,
                });
                fed_end = jumper.end;
            }
            let lead = LeadId::new(first_lead + at);
            let circuit = CircuitId(0);
            wiring.feeds.push(Feed { segment, fed_end, chain: id, circuit, junction_box, lead });
        }
        let leads: Vec<&Lead> = wiring.leads[first_lead..].iter().collect();
        let state = chain_state(self.courses, &segments, &leads, self.job);
        let element_length = segments.iter().map(|s| self.courses.segments[s.index()].cut_length).sum();
        wiring.chains.push(Chain {
            id,
            segments,
            junction_box,
            circuit: CircuitId(0),
            element_length,
            watts: state.watts,
            amps: state.amps,
            far_end_volts: state.lowest_volts,
        });
        wiring.boxes[junction_box.index()].chains.push(id);
    }

    fn note_hole(&self, plan: &Plan, served: &Served, junction_box: BoxId, lead: LeadId, wiring: &mut Wiring) {
        let exit = &plan.graph.exits[served.exit];
        if !matches!(exit.kind, ExitKind::Hole(_)) {
            return;
        }
        let node = plan.graph.nodes[exit.node];
        match wiring.holes.iter_mut().find(|h| h.face == node.face && h.at == node.at) {
            Some(hole) => hole.leads.push(lead),
            None => wiring.holes.push(DeckHole { face: node.face, at: node.at, junction_box, leads: vec![lead] }),
        }
    }

    /// From the lowest to the highest lead of a crossing, slope inches along the fold.
    fn width_on_fold(&self, crossing: &Crossing) -> f64 {
        let Some(layout) = self.zones.layout(crossing.faces[0]) else { return 0.0 };
        let on_fold: Vec<Point2> = crossing.tracks.iter().map(|track| layout.frame.to_face(track.at)).collect();
        let pairs = on_fold.iter().flat_map(|a| on_fold.iter().map(|b| a.distance(*b)));
        pairs.fold(0.0, f64::max)
    }

    fn nail_gaps(&self, wiring: &Wiring) -> Vec<NailGap> {
        let mut gaps = Vec::new();
        let width = self.job.wiring.nail_gap;
        // Lanes keep this off the rows; only ends of crossings come nearer. A hair less, so that a lead at its full distance counts as clear.
        let clear = Sizes::of(self.job).to_fastener - 0.01;
        let legs = wiring.leads.iter().flat_map(|lead| lead.legs.iter().map(|leg| (lead.id, leg)));
        for (lead, leg) in legs.chain(wiring.sensor_legs().map(|leg| (LeadId::new(wiring.leads.len()), leg))) {
            match (leg.place, leg.face, leg.crossing) {
                (LegPlace::Face, Some(face), _) => {
                    gaps.extend(self.facts[&face].rows.gaps(face, &leg.path, width, clear))
                }
                (LegPlace::Crossing, _, Some(crossing)) => {
                    let crossing = &wiring.crossings[crossing.index()];
                    let Some(track) = crossing.tracks.iter().find(|track| track.lead == lead) else { continue };
                    for (face, end) in crossing.faces.into_iter().zip(track.ends) {
                        let Some(layout) = self.zones.layout(face) else { continue };
                        let path = [layout.frame.to_face(track.at), end];
                        gaps.extend(self.facts[&face].rows.gaps(face, &path, width, clear));
                    }
                }
                _ => {}
            }
        }
        gaps
    }
}
