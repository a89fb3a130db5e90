//! The best way to feed a part against every way there is, tried one by one by code of its own.

use super::boxes::{self, BoxPlan};
use super::chains::Chaining;
use super::graph::{ExitKind, Graph, Way};
use super::model::End;
use super::optimum::{Best, Measure, Part};
use super::samples::{self, Sample};
use super::{build, hints};
use crate::catalog::Catalogue;
use crate::courses::ElementRole;
use crate::index::{LaneId, SegmentId};
use crate::job::Job;
use proptest::prelude::*;
use std::collections::{BTreeMap, BTreeSet};

fn thousandths(length: f64) -> i64 {
    (length * 1000.0 + 0.3).floor() as i64
}

/// Everything a case needs.
struct Case {
    sample: Sample,
    graph: Graph,
    boxes: Vec<BoxPlan>,
    job: Job,
}

/// A gable with few courses, boxes that take few leads and lanes that hold few.
fn case(length: f64, reach: f64, leads: u32, room: u32, wall_drop: f64) -> Case {
    let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
    job.heat.reach = Some(reach);
    job.products.outside_box.leads = leads;
    job.wiring.wall_drop = wall_drop;
    let sample = samples::gable(length, 200.0, &job);
    let facts = build::face_facts(&sample.zones, &sample.courses, &job);
    let hints = hints::Hints { roof: &sample.roof, frame: &sample.frame, job: &job };
    let mut graph = build::build(&sample.zones, &sample.courses, &facts, hints);
    graph.lanes.iter_mut().for_each(|lane| lane.capacity = lane.capacity.min(room));
    graph.link_lanes();
    let boxes = boxes::outside_candidates(&graph, &sample.zones, hints);
    Case { sample, graph, boxes, job }
}

impl Case {
    fn best<R>(&self, look: impl FnOnce(&Best) -> R) -> R {
        let Sample { zones, courses, .. } = &self.sample;
        let left_off = BTreeSet::new();
        let chaining = Chaining::new(&self.graph, zones, courses, &self.job, &left_off);
        let best =
            Best { graph: &self.graph, chaining: &chaining, courses, boxes: &self.boxes, open: &[], job: &self.job };
        look(&best)
    }
}

/// A chain as plain data: its segments in order and the jumpers' end and lane.
#[derive(Clone)]
struct Line {
    segments: Vec<SegmentId>,
    feeds: Vec<(SegmentId, End)>,
    jumper_lanes: Vec<LaneId>,
    jumper_length: f64,
}

/// One way to lead a chain away.
#[derive(Clone)]
struct Lead {
    length: i64,
    crossings: u32,
    lanes: Vec<LaneId>,
    exit: usize,
    item: usize,
}

/// All orders of all subsets of a part's segments that make a chain by the rules, stated anew.
fn lines(case: &Case, part: &Part) -> Vec<Line> {
    let segment = |id: SegmentId| &case.sample.courses.segments[id.index()];
    let lanes = |id: SegmentId, end: End| case.graph.ends.get(&(id, end)).cloned().unwrap_or_default();
    let mut found = Vec::new();
    let mut queue: Vec<Vec<SegmentId>> = part.segments.iter().map(|&s| vec![s]).collect();
    while let Some(order) = queue.pop() {
        for &next in part.segments.iter().filter(|s| !order.contains(s)) {
            queue.push(order.iter().copied().chain([next]).collect());
        }
        let length: f64 = order.iter().map(|&s| segment(s).cut_length).sum();
        let climbs = order
            .windows(2)
            .all(|w| segment(w[1]).course == segment(w[0]).course + 1 && segment(w[0]).face == segment(w[1]).face);
        if (length > 600.0 && order.len() > 1) || !climbs {
            continue;
        }
        let open = |id: SegmentId, end: End| !lanes(id, end).is_empty();
        let sides = [End::Left, End::Right];
        let both = order.iter().all(|&s| sides.iter().all(|&end| open(s, end)));
        for start in sides {
            let other = if start == End::Left { End::Right } else { End::Left };
            // One that hangs on one side has no way out on the other, at any of its segments.
            let comb = order.iter().all(|&s| open(s, start) && !open(s, other));
            if order.len() == 1 {
                if open(order[0], start) {
                    let feeds = vec![(order[0], start)];
                    found.push(Line { segments: order.clone(), feeds, jumper_lanes: Vec::new(), jumper_length: 0.0 });
                }
                continue;
            }
            if !both && !comb {
                continue;
            }
            let mut line = Line {
                segments: order.clone(),
                feeds: vec![(order[0], start)],
                jumper_lanes: Vec::new(),
                jumper_length: 0.0,
            };
            let mut fed = start;
            let mut whole = true;
            for pair in order.windows(2) {
                let out = match (both, fed) {
                    (true, End::Left) => End::Right,
                    (true, End::Right) => End::Left,
                    (false, same) => same,
                };
                let (from, to) = (lanes(pair[0], out), lanes(pair[1], out));
                let shared =
                    from.iter().filter_map(|a| to.iter().find(|b| b.lane == a.lane).map(|b| (a.stub + b.stub, a.lane)));
                let Some((stubs, lane)) =
                    shared.min_by(|a, b| thousandths(a.0).cmp(&thousandths(b.0)).then(a.1.cmp(&b.1)))
                else {
                    whole = false;
                    break;
                };
                line.jumper_lanes.push(lane);
                line.jumper_length += stubs + (segment(pair[0]).left_end().y - segment(pair[1]).left_end().y).abs();
                fed = out;
            }
            if whole {
                let far = if both { if fed == End::Left { End::Right } else { End::Left } } else { fed };
                line.feeds.push((order[order.len() - 1], far));
                found.push(line);
            }
        }
    }
    found
}

/// Distances from one end to every node, by relaxing all links until nothing changes, with some lanes shut; and the way there.
fn reach(case: &Case, from: (SegmentId, End), shut: &[LaneId]) -> BTreeMap<usize, (f64, Vec<Way>)> {
    let mut known: BTreeMap<usize, (f64, Vec<Way>)> = BTreeMap::new();
    for a in case.graph.ends.get(&from).into_iter().flatten().filter(|a| !shut.contains(&a.lane)) {
        if known.get(&a.node).is_none_or(|k| a.stub < k.0) {
            known.insert(a.node, (a.stub, vec![Way::Lane(a.lane)]));
        }
    }
    loop {
        let mut changed = false;
        for (node, links) in case.graph.links.iter().enumerate() {
            let Some((length, ways)) = known.get(&node).cloned() else { continue };
            for link in links {
                if matches!(link.way, Way::Lane(lane) if shut.contains(&lane)) {
                    continue;
                }
                let there = length + link.cost;
                if known.get(&link.to).is_none_or(|k| there < k.0 - 1e-9) {
                    let mut ways = ways.clone();
                    if ways.last() != Some(&link.way) {
                        ways.push(link.way);
                    }
                    known.insert(link.to, (there, ways));
                    changed = true;
                }
            }
        }
        if !changed {
            return known;
        }
    }
}

/// Every way to lead a chain to every box, with each set of the lanes that may overflow shut.
fn leads(case: &Case, part: &Part, line: &Line) -> Vec<Lead> {
    let tight: Vec<LaneId> =
        case.graph.lanes.iter().filter(|l| l.capacity < 2 * part.segments.len() as u32).map(|l| l.id).collect();
    let useful: BTreeSet<LaneId> = line
        .feeds
        .iter()
        .flat_map(|&from| reach(case, from, &[]).into_values().flat_map(|(_, ways)| ways))
        .filter_map(|w| if let Way::Lane(lane) = w { Some(lane) } else { None })
        .filter(|lane| tight.contains(lane))
        .collect();
    let useful: Vec<LaneId> = useful.into_iter().take(5).collect();
    let (tail, box_tail) = (case.job.wiring.connection_tail, case.job.wiring.box_tail);
    let extra = line.jumper_length + 2.0 * tail * line.jumper_lanes.len() as f64 + tail + box_tail;
    let mut found: Vec<Lead> = Vec::new();
    for &from in &line.feeds {
        for bits in 0..1u32 << useful.len() {
            let shut: Vec<LaneId> =
                useful.iter().enumerate().filter(|(i, _)| bits >> i & 1 == 1).map(|(_, &l)| l).collect();
            let reached = reach(case, from, &shut);
            for &item in &part.boxes {
                for &(exit, beyond) in &case.boxes[item].exits {
                    let Some((length, ways)) = reached.get(&case.graph.exits[exit].node) else { continue };
                    let mut lanes: Vec<LaneId> =
                        ways.iter().filter_map(|w| if let Way::Lane(l) = w { Some(*l) } else { None }).collect();
                    lanes.sort();
                    lanes.dedup();
                    lanes.extend(&line.jumper_lanes);
                    let length = thousandths(length + beyond + extra);
                    let crossings = ways.iter().filter(|w| matches!(w, Way::Cross(_))).count() as u32;
                    if !found.iter().any(|f| f.lanes == lanes && f.exit == exit && f.item == item && f.length <= length)
                    {
                        found.push(Lead { length, crossings, lanes, exit, item });
                    }
                }
            }
        }
    }
    found
}

/// The least measure over every cover and every way, nothing left out.
fn exhaustive(case: &Case, part: &Part) -> Measure {
    let options: Vec<(u32, Vec<Lead>)> = lines(case, part)
        .iter()
        .map(|line| {
            let position = |s: &SegmentId| part.segments.iter().position(|p| p == s).unwrap();
            let mask = line.segments.iter().map(position).fold(0u32, |m, at| m | 1 << at);
            (mask, leads(case, part, line))
        })
        .collect();
    let mut best = Measure { unfed: u32::MAX, boxes: 0, length: 0, crossings: 0 };
    try_all(case, &options, (1 << part.segments.len()) - 1, &mut Vec::new(), 0, &mut best);
    best
}

fn try_all(
    case: &Case,
    options: &[(u32, Vec<Lead>)],
    left: u32,
    taken: &mut Vec<Lead>,
    unfed: u32,
    best: &mut Measure,
) {
    if left == 0 {
        let mut lanes: BTreeMap<LaneId, u32> = BTreeMap::new();
        let mut exits: BTreeMap<usize, u32> = BTreeMap::new();
        let mut items: BTreeMap<usize, u32> = BTreeMap::new();
        for lead in taken.iter() {
            lead.lanes.iter().for_each(|&l| *lanes.entry(l).or_default() += 1);
            *exits.entry(lead.exit).or_default() += 1;
            *items.entry(lead.item).or_default() += 1;
        }
        let holds = lanes.iter().all(|(l, &n)| n <= case.graph.lanes[l.index()].capacity)
            && items.iter().all(|(&b, &n)| n <= case.boxes[b].capacity)
            && exits.iter().all(|(&e, &n)| !matches!(case.graph.exits[e].kind, ExitKind::Hole(most) if n > most));
        if holds {
            let measure = Measure {
                unfed,
                boxes: items.len() as u32,
                length: taken.iter().map(|l| l.length).sum(),
                crossings: taken.iter().map(|l| l.crossings).sum(),
            };
            *best = (*best).min(measure);
        }
        return;
    }
    let lowest = 1u32 << left.trailing_zeros();
    for (mask, leads) in options.iter().filter(|(mask, _)| mask & lowest != 0 && mask & !left == 0) {
        for lead in leads {
            taken.push(lead.clone());
            try_all(case, options, left & !mask, taken, unfed, best);
            taken.pop();
        }
    }
    try_all(case, options, left & !lowest, taken, unfed + 1, best);
}

/// 200 small roofs: starter and up to two deck courses, one or two pieces each, boxes for one to four leads, lanes for one to three.
#[test]
fn every_small_case_is_fed_the_best_way_there_is() {
    let (mut cases, mut tight, mut left_cold, mut reached) = (0, 0, 0, 0);
    for number in 0u32.. {
        if cases >= 200 {
            break;
        }
        let length = 84.0 + f64::from(number * 37 % 520);
        let reach = [2.0, 9.0, 14.0][number as usize % 3];
        let (leads, room) = (1 + number / 3 % 4, 1 + number / 5 % 3);
        let made = case(length, reach, leads, room, 12.0 + f64::from(number % 7) * 6.0);
        for part in made.best(|best| best.parts()) {
            if part.segments.len() > 4 || part.boxes.len() > 4 {
                continue;
            }
            let fed = made.best(|best| best.feed(&part, &BTreeSet::new())).expect("the part is small");
            let least = exhaustive(&made, &part);
            assert_eq!(fed.measure, least, "case {number}: {part:?}");
            assert_eq!(fed.bound, fed.measure, "case {number} is proven");
            // What is used for larger parts: its bound is never above the best there is, what it finds never below, and mostly it is that.
            let nothing_fed = Measure { unfed: part.segments.len() as u32, ..Measure::default() };
            let (single, used) = (BTreeSet::new(), part.boxes.iter().copied().collect());
            let found = made.best(|best| {
                let larger = super::larger::Larger { best, part: &part, single: &single, used: &used };
                larger.feed(nothing_fed)
            });
            let (found, bound) = found.expect("the part is small");
            let triple = |m: Measure| (m.unfed, m.boxes, m.length);
            assert!(triple(bound) <= triple(least), "case {number}: bound {bound:?}, best {least:?}");
            if let Some(found) = found {
                assert!(triple(found.measure) >= triple(least), "case {number}: {:?} below {least:?}", found.measure);
                reached += usize::from(triple(found.measure) == triple(least));
            }
            // No bound from as many boxes as the best takes, out of all there are, is above the best; nor do these have no room.
            let every: Vec<usize> = (0..part.boxes.len()).collect();
            let priced = made.best(|best| {
                let cover = super::cover::Cover::of(best, &part, &single)?;
                cover.limited(&every, least.boxes as usize, None, 150)
            });
            let ((unfed, cost, _), _) = priced.expect("the part is small");
            let rounding = 1000 * part.segments.len() as i64;
            assert!(unfed < least.unfed || cost <= 1000 * least.length + rounding, "case {number}: {cost}, {least:?}");
            cases += 1;
            tight += usize::from(least.boxes > 1);
            left_cold += usize::from(least.unfed > 0);
        }
    }
    assert!(cases >= 200 && tight >= 20, "{cases} {tight} {left_cold}");
    assert!(
        reached + left_cold >= cases * 99 / 100,
        "the local search reached the best {reached} times of {cases}, {left_cold} with pieces left cold"
    );
}

/// Leads of single pieces, all at once: there is a way for all exactly where trying every way finds one, and it keeps to the room there is.
#[test]
fn leads_go_through_all_at_once_where_there_is_room() {
    let (mut through, mut stuck) = (0, 0);
    for number in 0u32..150 {
        let made = case(84.0 + f64::from(number * 53 % 420), 9.0, 1 + number % 4, 1 + number / 4 % 3, 24.0);
        for part in made.best(|best| best.parts()) {
            if part.segments.len() > 4 || part.boxes.len() > 4 {
                continue;
            }
            let part = Part { boxes: part.boxes.iter().copied().take(1).collect(), ..part };
            let bit = |s: &SegmentId| 1u32 << part.segments.iter().position(|p| p == s).unwrap();
            let single = lines(&made, &part).into_iter().filter(|line| line.segments.len() == 1);
            let options: Vec<(u32, Vec<Lead>)> =
                single.map(|line| (bit(&line.segments[0]), leads(&made, &part, &line))).collect();
            let mut least = Measure { unfed: u32::MAX, boxes: 0, length: 0, crossings: 0 };
            try_all(&made, &options, (1 << part.segments.len()) - 1, &mut Vec::new(), 0, &mut least);
            let lanes_at = |s: &SegmentId| {
                let ends = [End::Left, End::Right].into_iter().filter_map(|end| made.graph.ends.get(&(*s, end)));
                ends.flatten().map(|a| a.lane).collect::<BTreeSet<LaneId>>()
            };
            let begins: Vec<BTreeSet<LaneId>> = part.segments.iter().map(lanes_at).collect();
            let (used, every): (Vec<u32>, Vec<usize>) =
                (vec![0; made.graph.lanes.len()], (0..part.boxes.len()).collect());
            let found = made.best(|best| super::flow::Flow::through(best, &part, &begins, &used, &every));
            assert_eq!(found.is_some(), least.unfed == 0, "case {number}: {part:?}");
            let Some(found) = found else {
                stuck += 1;
                continue;
            };
            through += 1;
            for lane in &made.graph.lanes {
                let count = found.iter().filter(|way| way.lanes.contains(&lane.id)).count();
                assert!(count as u32 <= lane.capacity, "case {number}: {count} in {}", lane.id);
            }
            for (at, &item) in part.boxes.iter().enumerate() {
                let count = found.iter().filter(|way| way.item == at).count();
                assert!(count as u32 <= made.boxes[item].capacity, "case {number}");
            }
            for (way, begin) in found.iter().zip(&begins) {
                assert!(way.lanes.iter().any(|lane| begin.contains(lane)), "case {number}");
                assert!(made.boxes[part.boxes[way.item]].exits.iter().any(|exit| exit.0 == way.exit), "case {number}");
            }
        }
    }
    assert!(through >= 30 && stuck >= 30, "{through} {stuck}");
}

/// A box more to choose from never makes the result worse.
#[test]
fn a_box_more_never_worsens_the_choice() {
    for number in 0u32..24 {
        let made = case(96.0 + f64::from(number * 41 % 300), 20.0, 1 + number % 5, 2 + number % 3, 24.0);
        for part in made.best(|best| best.parts()) {
            let mut known = None;
            for count in 1..=part.boxes.len().min(6) {
                let fewer = Part { boxes: part.boxes[..count].to_vec(), ..part.clone() };
                let measure = made.best(|best| best.feed(&fewer, &BTreeSet::new())).map(|fed| fed.measure);
                let (Some(before), Some(now)) = (known, measure) else {
                    known = measure;
                    continue;
                };
                assert!(now <= before, "{number}: {before:?} {now:?}");
                known = Some(now);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(12))]
    /// Whole faces of up to 24 pieces are proven and never worse than the choice step by step.
    #[test]
    fn whole_faces_are_proven(length in 100.0f64..600.0, leads in 4u32..12) {
        let made = case(length, 40.25, leads, 12, 24.0);
        for part in made.best(|best| best.parts()) {
            prop_assert!(part.segments.len() <= 24);
            let fed = made.best(|best| best.feed(&part, &BTreeSet::new())).unwrap();
            prop_assert_eq!(fed.bound, fed.measure);
            prop_assert_eq!(fed.measure.unfed, 0);
            prop_assert!(made.sample.courses.segments.iter().any(|s| s.element == ElementRole::Deck));
        }
    }
}

/// Room for one lead more in every lane never makes the result worse, nor does a lane opened that was shut.
#[test]
fn more_room_in_the_lanes_never_worsens_the_choice() {
    for number in 0u32..12 {
        let with = |room: u32| {
            let made = case(90.0 + f64::from(number * 53 % 400), 14.0, 1 + number % 4, room, 24.0);
            let parts = made.best(|best| best.parts());
            let measures =
                parts.iter().filter_map(|p| made.best(|best| best.feed(p, &BTreeSet::new())).map(|fed| fed.measure));
            measures.collect::<Vec<Measure>>()
        };
        let mut before = with(1);
        for room in 2..4 {
            let now = with(room);
            assert_eq!(now.len(), before.len());
            for (now, before) in now.iter().zip(&before) {
                assert!(now <= before, "{number} room {room}: {before:?} became {now:?}");
            }
            before = now;
        }
    }
}
