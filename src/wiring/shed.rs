//! What a panel too small has to do without. Heat goes by whole zones: an eave heated by half of its courses still makes its dam. A
//! zone the panel cannot carry is not installed, and what is left is wired as if it had never been laid.

use super::circuits::circuit_capacity;
use super::model::{Shed, Unfed, Wiring};
use crate::courses::{Courses, ElementRole, Segment};
use crate::electrical::{CONTINUOUS_FACTOR, local_power};
use crate::finding::{Finding, Place, Severity};
use crate::index::{SegmentId, ZoneId};
use crate::job::{Job, Panel};
use crate::units::INCHES_PER_FOOT;
use crate::zones::Zones;
use std::collections::{BTreeMap, BTreeSet};

/// A value this much over its limit, as a share, still counts as equal.
const EQUAL: f64 = 1e-6;

/// Zones to leave out, the first to go first: the highest priority number, then the last zone. Those that go with one another are
/// one entry. Empty without a panel, or when all fits. What is left is estimated by its current alone; wired anew it is tried again.
pub(super) fn too_much(wiring: &Wiring, zones: &Zones, courses: &Courses, job: &Job) -> Vec<Shed> {
    let Some(panel) = &job.electrical.panel else { return Vec::new() };
    let poles = job.electrical.poles();
    let mut left: f64 = wiring.circuits.iter().map(|c| c.amps).sum();
    if fits(left, wiring.circuits.len(), panel, poles) {
        return Vec::new();
    }
    let capacity = circuit_capacity(job).unwrap_or(f64::INFINITY);
    let fewest = |amps: f64| (amps / (capacity * (1.0 + EQUAL))).ceil() as usize;
    let loads = zone_loads(wiring, courses, job);
    let mut order: Vec<ZoneId> = loads.keys().copied().collect();
    order.sort_by_key(|&id| std::cmp::Reverse((zones.zones[id.index()].priority, id)));
    let mut shed: Vec<Shed> = Vec::new();
    let mut gone: BTreeSet<ZoneId> = BTreeSet::new();
    for id in order {
        if !shed.is_empty() && fits(left, fewest(left), panel, poles) {
            break;
        }
        let unit: Vec<ZoneId> = going_with(id, zones).into_iter().filter(|z| !gone.contains(z)).collect();
        if gone.contains(&id) {
            continue;
        }
        let item = entry(zones.zones[id.index()].priority, &unit, &loads, wiring, courses);
        left -= item.amps;
        gone.extend(unit);
        shed.push(item);
    }
    shed
}

fn fits(amps: f64, circuits: usize, panel: &Panel, poles: u32) -> bool {
    let spaces = circuits as u64 * u64::from(poles);
    CONTINUOUS_FACTOR * amps <= panel.spare_amps * (1.0 + EQUAL) && spaces <= u64::from(panel.spaces)
}

/// Amperes and watts of each zone that is fed: of a chain that serves several, each has the share of its rated power.
fn zone_loads(wiring: &Wiring, courses: &Courses, job: &Job) -> BTreeMap<ZoneId, (f64, f64)> {
    let electrical = &job.electrical;
    let rated = |segment: &Segment| {
        let element = match segment.element {
            ElementRole::Starter => &job.products.starter.value,
            ElementRole::Deck => &job.products.deck.value,
        };
        let per_foot = local_power(element, electrical.volts.value, electrical.running_temperature.value);
        per_foot * segment.cut_length / INCHES_PER_FOOT
    };
    let mut loads: BTreeMap<ZoneId, (f64, f64)> = BTreeMap::new();
    for chain in &wiring.chains {
        let pieces = || chain.segments.iter().map(|id| &courses.segments[id.index()]);
        let whole: f64 = pieces().map(rated).sum();
        for piece in pieces() {
            let share = rated(piece) / whole;
            let load = loads.entry(piece.zone).or_default();
            *load = (load.0 + share * chain.amps, load.1 + share * chain.watts);
        }
    }
    loads
}

/// A zone with those that must not stay without it: the other side of its valley, and the valley above an eave, whose melt water would
/// come down on a cold eave.
fn going_with(zone: ZoneId, zones: &Zones) -> BTreeSet<ZoneId> {
    let mut unit = BTreeSet::from([zone]);
    loop {
        let before = unit.len();
        for other in &zones.zones {
            let joined = unit.iter().any(|id| zones.zones[id.index()].edges.iter().any(|e| other.edges.contains(e)));
            if joined || other.continues.is_some_and(|eave| unit.contains(&eave)) {
                unit.insert(other.id);
            }
        }
        if unit.len() == before {
            return unit;
        }
    }
}

fn entry(
    priority: u32,
    unit: &[ZoneId],
    loads: &BTreeMap<ZoneId, (f64, f64)>,
    wiring: &Wiring,
    courses: &Courses,
) -> Shed {
    let load = |zone: &ZoneId| loads.get(zone).copied().unwrap_or_default();
    let feeds = wiring.feeds.iter().map(|feed| &courses.segments[feed.segment.index()]);
    let segments: Vec<SegmentId> = feeds.filter(|s| unit.contains(&s.zone)).map(|s| s.id).collect();
    let tags: Vec<String> = unit.iter().filter(|zone| loads.contains_key(zone)).map(ToString::to_string).collect();
    Shed {
        tag: tags.join(" "),
        priority,
        amps: unit.iter().map(|zone| load(zone).0).sum(),
        watts: unit.iter().map(|zone| load(zone).1).sum(),
        segments,
        zones: unit.to_vec(),
    }
}

/// Marks what is shed in the wiring of what is left: each piece is not fed, and why.
pub(super) fn mark(shed: Vec<Shed>, courses: &Courses, job: &Job, wiring: &mut Wiring) -> Option<Finding> {
    let (first, panel) = (shed.first()?, job.electrical.panel.as_ref()?);
    for item in &shed {
        wiring.unfed.extend(item.segments.iter().map(|&segment| Unfed {
            segment,
            zone: courses.segments[segment.index()].zone,
            why: format!("panel {} cannot carry {} (priority {})", panel.tag, item.tag, item.priority),
        }));
    }
    wiring.unfed.sort_by_key(|u| u.segment);
    let words: Vec<String> =
        shed.iter().map(|s| format!("{} (priority {}, {:.1} A)", s.tag, s.priority, s.amps)).collect();
    let message = format!(
        "panel {} cannot carry all zones; not installed, the first to go first: {}",
        panel.tag,
        words.join("; ")
    );
    let finding = Finding::new(Severity::Warning, "panel-sheds", message, Place::item(&first.tag)).with_hint(
        "have the service enlarged, or set `priority` under [[roof.edge]] so that the least needed goes first",
    );
    wiring.shed = shed;
    Some(finding)
}

#[cfg(test)]
mod tests {
    use super::super::check::check_invariants;
    use super::super::samples::{self, Sample};
    use super::super::wiring;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::{EdgeHint, Target};
    use crate::zones::ZoneKind;

    fn job(spare_amps: f64, spaces: u32) -> Job {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let (bus_amps, service, home_run) = (None, None, 120.0);
        job.electrical.panel = Some(Panel { tag: "P1".into(), spaces, spare_amps, bus_amps, service, home_run });
        job
    }

    fn wired(sample: &Sample, job: &Job) -> Wiring {
        let made = wiring(&sample.roof, &sample.zones, &sample.courses, &sample.frame, job).unwrap();
        let faults = check_invariants(&sample.zones, &sample.courses, &made.value, job);
        assert_eq!(faults, Vec::<String>::new());
        let said = made.findings.iter().filter(|f| f.code == "panel-sheds").count();
        assert_eq!(said, usize::from(!made.value.shed.is_empty()));
        made.value
    }

    fn shed(job: &Job) -> Vec<String> {
        let sample = samples::gable(480.0, 288.0, job);
        wired(&sample, job).shed.into_iter().map(|s| s.tag).collect()
    }

    /// The gable's eaves draw 16.56 A each, 33.12 A on three circuits; 125 % is 41.4 A, of one eave 20.7 A. Three circuits of two poles
    /// take six spaces, one eave's two circuits four.
    #[test]
    fn whole_eaves_go_until_the_panel_carries_the_rest() {
        assert_eq!(shed(&job(41.5, 6)), Vec::<String>::new());
        assert_eq!(shed(&job(41.3, 6)), ["Z2"]);
        assert_eq!(shed(&job(20.8, 6)), ["Z2"]);
        assert_eq!(shed(&job(20.6, 6)), ["Z2", "Z1"]);
        assert_eq!(shed(&job(100.0, 5)), ["Z2"]);
        assert_eq!(shed(&job(100.0, 3)), ["Z2", "Z1"]);
    }

    #[test]
    fn the_highest_priority_number_goes_first() {
        let mut job = job(30.0, 6);
        let target = Target::Tag("E1".into());
        job.roof.edges = vec![EdgeHint { priority: Some(2), ..EdgeHint::of(target, 1) }];
        let sample = samples::gable(480.0, 288.0, &job);
        let made = wired(&sample, &job);
        let [gone] = made.shed.as_slice() else { panic!("{:?}", made.shed) };
        assert_eq!((gone.priority, gone.segments.len(), made.feeds.len(), made.unfed.len()), (2, 9, 9, 9));
        // By hand: 16.56 A and half of 7950 W.
        assert!((gone.amps - 16.56).abs() < 0.01 && (gone.watts - 3975.0).abs() < 3.0, "{gone:?}");
        assert!(made.unfed.iter().all(|u| u.why.contains("P1 cannot carry") && u.zone == gone.zones[0]));
    }

    /// Both sides of the valley go together, and with the eave below either: never the eave alone. The valley alone may go.
    #[test]
    fn no_valley_is_left_above_a_cold_eave() {
        let mut job = job(60.0, 40);
        job.heat.valleys = true;
        let sample = samples::hipped_l(&job);
        let zones = &sample.zones;
        let valleys: BTreeSet<ZoneId> =
            zones.zones.iter().filter(|z| z.kind == ZoneKind::Valley).map(|z| z.id).collect();
        assert_eq!(valleys.len(), 2);
        for &valley in &valleys {
            assert_eq!(going_with(valley, zones), valleys);
            let eave = zones.zones[valley.index()].continues.unwrap();
            assert_eq!(going_with(eave, zones), &valleys | &BTreeSet::from([eave]));
        }
        let free = zones.zones.iter().find(|z| {
            z.kind == ZoneKind::Eave && valleys.iter().all(|v| zones.zones[v.index()].continues != Some(z.id))
        });
        assert_eq!(going_with(free.unwrap().id, zones).len(), 1);
        let made = wired(&sample, &job);
        assert!(!made.shed.is_empty() && !made.circuits.is_empty());
        let cold: BTreeSet<ZoneId> = made.shed.iter().flat_map(|s| s.zones.iter().copied()).collect();
        let warm = made.feeds.iter().map(|f| &zones.zones[sample.courses.segments[f.segment.index()].zone.index()]);
        for zone in warm {
            assert!(!cold.contains(&zone.id) && zone.continues.is_none_or(|eave| !cold.contains(&eave)));
        }
    }
}
