//! The material list. Counts for a connection are common practice: two connectors on the bus bars and one on the ground,
//! two sealing patches to a connection and two to a capped end.

use super::model::{CutPiece, CuttingPlan, LeadPiece, MaterialLine};
use super::retrofit::retrofit;
use crate::checks::{Checks, CircuitSupply, LoadSummary};
use crate::electrical::{CONTINUOUS_FACTOR, Switching, devices_for, switching};
use crate::index::{BoxId, SegmentId};
use crate::job::Job;
use crate::units::{decimal, feet_inches};
use crate::wiring::{CARRYING_OF_A_CIRCUIT, End, Lead, LeadKind, LegPlace, Terminal, Wiring};
use std::collections::{BTreeMap, BTreeSet};

/// Inches in a foot; element and lead are ordered by the foot.
const INCHES_PER_FOOT: f64 = crate::units::INCHES_PER_FOOT;

/// Everything to order, in the order of the groups.
pub(super) fn materials(counted: &Counted, wiring: &Wiring, checks: &Checks, job: &Job) -> Vec<MaterialLine> {
    if counted.cuts.is_empty() {
        return Vec::new();
    }
    let mut list = Vec::new();
    element(counted, job, &mut list);
    lead(counted.leads, job, &mut list);
    gutters(&checks.load, &mut list);
    passages(wiring, &mut list);
    connections(wiring, &mut list);
    fixing(counted.cuts, job, &mut list);
    boxes(wiring, job, &mut list);
    protection(wiring, job, &mut list);
    wire(wiring, &checks.supplies, job, &mut list);
    retrofit(counted.cuts, wiring, job, &mut list);
    labels(counted.cuts.len(), wiring, &mut list);
    for item in &mut list {
        item.order = order(item, job);
    }
    list
}

/// What is counted before the list.
pub(super) struct Counted<'a> {
    pub cuts: &'a [CutPiece],
    pub plans: &'a [CuttingPlan],
    pub leads: &'a [LeadPiece],
}

/// Whole pieces and feet with spare on what is used up in small parts; nothing for what is bought by another line, or not bought.
fn order(item: &MaterialLine, job: &Job) -> f64 {
    let by_the_roll = item.group == "element" && item.unit == "ft";
    let by_stock = item.key == job.products.lead.value.key && !job.products.lead.value.stock_lengths.is_empty();
    if by_the_roll || by_stock || item.group == "marks" {
        return 0.0;
    }
    let spared = item.unit == "ft"
        || item.group == "connections"
        || matches!(item.key.as_str(), "fixing-point" | "relay-shingle");
    let share = if spared { job.estimate.takeoff.spare } else { 0.0 };
    (item.quantity * (1.0 + share) - 1e-9).ceil()
}

pub(super) fn line(group: &str, key: &str, words: &str, quantity: f64, unit: &str, basis: String) -> MaterialLine {
    MaterialLine {
        group: group.to_owned(),
        key: key.to_owned(),
        words: words.to_owned(),
        quantity,
        unit: unit.to_owned(),
        order: 0.0,
        basis,
    }
}

pub(super) fn pieces(group: &str, key: &str, words: &str, count: usize, basis: String) -> Option<MaterialLine> {
    (count > 0).then(|| line(group, key, words, count as f64, "pc", basis))
}

fn element(counted: &Counted, job: &Job, list: &mut Vec<MaterialLine>) {
    for plan in counted.plans {
        let products = [&job.products.starter.value, &job.products.deck.value];
        let Some(item) = products.into_iter().find(|e| e.key == plan.element_key) else { continue };
        let pieces_of = counted.cuts.iter().filter(|c| c.element_key == item.key);
        let (count, inches) = pieces_of.fold((0, 0.0), |(n, sum), cut| (n + 1, sum + cut.length));
        let sum = format!("sum of {count} cut lengths");
        list.push(line("element", &item.key, &item.words, inches / INCHES_PER_FOOT, "ft", sum));
        let mut basis = format!("{count} whole pieces; no plan needs fewer than {}", plan.bound);
        if !plan.too_long.is_empty() {
            basis.push_str(&format!("; {} pieces are longer than a roll", plan.too_long.len()));
        }
        let offcuts: f64 = plan.rolls.iter().map(|r| r.offcut).sum();
        let spare = job.estimate.takeoff.spare * inches;
        let extra = usize::from(offcuts < spare && !plan.rolls.is_empty());
        basis.push_str(&format!("; {} ft of offcuts serve as spare", decimal(offcuts / INCHES_PER_FOOT, 1)));
        if extra > 0 {
            basis.push_str(", too little: one roll more");
        }
        let words = format!("roll of {}: {}", feet_inches(plan.roll_length), item.words);
        list.extend(pieces("element", &format!("{}-roll", item.key), &words, plan.rolls.len() + extra, basis));
    }
}

fn lead(leads: &[LeadPiece], job: &Job, list: &mut Vec<MaterialLine>) {
    let cable = &job.products.lead.value;
    let feet = leads.iter().map(|l| l.length).sum::<f64>() / INCHES_PER_FOOT;
    if feet > 0.0 {
        let basis = format!("sum of {} leads and jumpers, slack and make-up included", leads.len());
        list.push(line("leads", &cable.key, &cable.words, feet, "ft", basis));
    }
    let mut stocks: Vec<f64> = leads.iter().filter_map(|l| l.stock).collect();
    stocks.sort_by(f64::total_cmp);
    for group in stocks.chunk_by(|a, b| a == b) {
        let length = feet_inches(group[0]);
        let key = format!("{}-stock-{}", cable.key, decimal(group[0] / INCHES_PER_FOOT, 2));
        let words = format!("ready lead of {length}: {}", cable.words);
        list.extend(pieces("leads", &key, &words, group.len(), "each lead in the next stock length".into()));
    }
    let special = leads.iter().filter(|l| l.stock.is_none() && !cable.stock_lengths.is_empty()).count();
    let words = format!("lead made to length, longer than any stock: {}", cable.words);
    list.extend(pieces("leads", &format!("{}-stock-special", cable.key), &words, special, "see the lead list".into()));
}

/// Heater in gutters and downspouts, as long as they are.
fn gutters(load: &LoadSummary, list: &mut Vec<MaterialLine>) {
    if load.gutter_length > 0.0 {
        let feet = load.gutter_length / INCHES_PER_FOOT;
        let basis = match load.gutter_watts {
            0.0 => "gutters once and each downspout once; power not given".to_owned(),
            watts => format!("gutters once and each downspout once; {} W", decimal(watts, 0)),
        };
        list.push(line("gutters", "gutter-heater", "heater for gutters and downspouts", feet, "ft", basis));
    }
}

/// What leads need where they leave the roof surface.
fn passages(wiring: &Wiring, list: &mut Vec<MaterialLine>) {
    let holes = wiring.holes.len();
    let sleeve = "sleeve and seal for a hole in the deck";
    list.extend(pieces("leads", "deck-sleeve", sleeve, holes, "one for each hole as drawn".into()));
    let over_eave = |l: &&Lead| l.legs.iter().any(|leg| leg.place == LegPlace::OverEave);
    let boxes: BTreeSet<_> = wiring.leads.iter().filter(over_eave).filter_map(box_of).collect();
    let guard = "guard over leads at the roof's edge, with drip loop";
    let basis = "one for each box that leads reach over the edge".to_owned();
    list.extend(pieces("leads", "edge-guard", guard, boxes.len(), basis));
}

fn box_of(lead: &Lead) -> Option<BoxId> {
    [lead.from, lead.to].into_iter().find_map(|end| match end {
        Terminal::Box(id) => Some(id),
        Terminal::Segment(..) => None,
    })
}

/// The ends of pieces at which a lead or jumper is connected.
fn connected_ends(wiring: &Wiring) -> BTreeSet<(SegmentId, End)> {
    let end = |terminal| match terminal {
        Terminal::Segment(segment, end) => Some((segment, end)),
        Terminal::Box(_) => None,
    };
    wiring.leads.iter().flat_map(|l| [end(l.from), end(l.to)]).flatten().collect()
}

fn connections(wiring: &Wiring, list: &mut Vec<MaterialLine>) {
    let feeds = wiring.leads.iter().filter(|l| l.kind == LeadKind::Feed).count();
    let jumpers = wiring.leads.len() - feeds;
    let connections = feeds + 2 * jumpers;
    let capped = (2 * wiring.feeds.len()).saturating_sub(connected_ends(wiring).len());
    let basis = |each: &str| {
        format!("{each} for each of {connections} power connections: {feeds} feeds, {jumpers} jumpers with two ends")
    };
    let group = "connections";
    list.extend(pieces(group, "bus-bar-connector", "connector on a bus bar", 2 * connections, basis("two")));
    list.extend(pieces(group, "ground-connector", "connector on the ground layer", connections, basis("one")));
    let all_ends =
        format!("{} ends of pieces less {} with a lead", 2 * wiring.feeds.len(), connected_ends(wiring).len());
    list.extend(pieces(group, "end-cap", "cap on a cut end", capped, all_ends));
    let patches = format!("two for each of {connections} power connections and {capped} capped ends");
    let count = 2 * (connections + capped);
    list.extend(pieces(group, "sealing-patch", "sealing patch, about 1 1/2 in", count, patches));
}

/// Fixing points and sealant.
fn fixing(cuts: &[CutPiece], job: &Job, list: &mut Vec<MaterialLine>) {
    let settings = &job.estimate.takeoff;
    let points = |cut: &CutPiece| (cut.length / settings.fixing_spacing - 1e-9).ceil() as usize + 1;
    let count = cuts.iter().map(points).sum();
    let how = job.products.deck.value.fixing.as_deref().unwrap_or("as the element's maker asks");
    let basis = format!("every {} and at both ends of {} pieces", feet_inches(settings.fixing_spacing), cuts.len());
    list.extend(pieces("fixing", "fixing-point", &format!("fixing point of element: {how}"), count, basis));
    let sealed = |m: &&MaterialLine| matches!(m.key.as_str(), "sealing-patch" | "deck-sleeve" | "edge-guard");
    let seals: f64 = list.iter().filter(sealed).map(|m| m.quantity).sum();
    let cartridges = (seals / f64::from(settings.seals_per_cartridge)).ceil() as usize;
    let basis =
        format!("one for {} patches, sleeves and guards, {} in all", settings.seals_per_cartridge, decimal(seals, 0));
    list.extend(pieces("fixing", "sealant", "cartridge of sealant fit for roofing", cartridges, basis));
}

/// Branch conductors and conduit from the panel to the boxes, where the job says how far that is.
fn wire(wiring: &Wiring, supplies: &[CircuitSupply], job: &Job, list: &mut Vec<MaterialLine>) {
    let Some(panel) = &job.electrical.panel else { return };
    let feet = panel.home_run / INCHES_PER_FOOT;
    let conductors = f64::from(CARRYING_OF_A_CIRCUIT);
    let mut wires: BTreeMap<(bool, u32), f64> = BTreeMap::new();
    for circuit in &wiring.circuits {
        *wires.entry((false, circuit.conductor_awg)).or_default() += conductors * feet;
        *wires.entry((true, circuit.ground_awg)).or_default() += feet;
    }
    for ((ground, awg), length) in wires {
        let (key, words) = if ground {
            (format!("ground-wire-{awg}"), format!("equipment ground, copper THWN, {awg} AWG"))
        } else {
            (format!("wire-{awg}"), format!("branch conductor, copper THWN, {awg} AWG"))
        };
        let basis = format!("home run of {} for each circuit", feet_inches(panel.home_run));
        list.push(line("wire", &key, &words, length, "ft", basis));
    }
    let mut conduits: BTreeMap<&str, usize> = BTreeMap::new();
    for size in supplies.iter().filter_map(|s| s.conduit.as_deref()) {
        *conduits.entry(size).or_default() += 1;
    }
    let sharing = job.electrical.circuits_per_conduit as usize;
    for (size, circuits) in conduits {
        let runs = circuits.div_ceil(sharing);
        let key = format!("conduit-{}", size.to_lowercase().replace([' ', '/'], "-"));
        let basis = format!("{runs} home runs for {circuits} circuits, {sharing} in a conduit");
        list.push(line("wire", &key, &format!("conduit, {size}"), runs as f64 * feet, "ft", basis));
    }
}

fn boxes(wiring: &Wiring, job: &Job, list: &mut Vec<MaterialLine>) {
    let mut by_key: BTreeMap<&str, Vec<&str>> = BTreeMap::new();
    for item in &wiring.boxes {
        by_key.entry(&item.box_key).or_default().push(&item.tag);
    }
    for (key, tags) in by_key {
        let kind = [&job.products.inside_box, &job.products.outside_box].into_iter().find(|b| b.key == key);
        let words = kind.map_or("junction box", |b| b.words.as_str());
        list.extend(pieces("boxes", key, words, tags.len(), tags.join(", ")));
    }
}

fn protection(wiring: &Wiring, job: &Job, list: &mut Vec<MaterialLine>) {
    let mut by_rating: BTreeMap<u64, Vec<&str>> = BTreeMap::new();
    for circuit in &wiring.circuits {
        // Ratings are positive, so their bits sort as they do.
        by_rating.entry(circuit.breaker.to_bits()).or_default().push(&circuit.tag);
    }
    let group = "protection";
    let poles = job.electrical.poles();
    for (bits, tags) in by_rating {
        let rating = decimal(f64::from_bits(bits), 1);
        let interrupts = job
            .electrical
            .fault_current
            .map_or_else(String::new, |amps| format!(", interrupting {} A or more", decimal(amps, 0)));
        let words = format!("breaker, {rating} A, {poles}-pole, with ground-fault protection of equipment{interrupts}");
        list.extend(pieces(group, &format!("breaker-{rating}"), &words, tags.len(), tags.join(", ")));
    }
    switches(wiring, job, list);
    let sensor = "temperature-and-moisture sensor";
    list.extend(pieces(group, "sensor", sensor, usize::from(wiring.sensor.is_some()), "as placed on the roof".into()));
    if let Some((sensor, junction)) = wiring.sensor.as_ref().and_then(|s| s.lead.as_ref()).map(|l| (l, l.junction_box))
    {
        let tag = wiring.boxes.iter().find(|b| b.id == junction).map_or("", |b| b.tag.as_str());
        let words = "lead of the sensor, for wet places, as its maker asks";
        let basis = format!("as laid, to an enclosure of its own beside box {tag}; on to the controller by others");
        list.push(line(group, "sensor-lead", words, sensor.length / INCHES_PER_FOOT, "ft", basis));
    }
}

/// Disconnects, contactors and the controller: the job's products, or in our own words what the catalogue lacks.
fn switches(wiring: &Wiring, job: &Job, list: &mut Vec<MaterialLine>) {
    let (circuits, poles, products) = (wiring.circuits.len(), job.electrical.poles(), &job.products);
    if circuits == 0 {
        return;
    }
    let group = "protection";
    let basis = |poles_each: u32| format!("{circuits} circuits of {poles} poles, {poles_each} poles to a device");
    match &products.disconnect {
        Some(product) => {
            let count = devices_for(circuits, poles, product.poles).unwrap_or(circuits);
            list.extend(pieces(group, &product.key, &product.words, count, basis(product.poles)));
        }
        None => {
            let words = "lockable disconnect that opens all ungrounded conductors";
            list.extend(pieces(group, "disconnect", words, 1, "one for the roof, at the controller".into()));
        }
    }
    let pole_amps = CONTINUOUS_FACTOR * wiring.circuits.iter().map(|c| c.amps).fold(0.0, f64::max);
    let load = (pole_amps, job.electrical.volts.value);
    let by = switching(products.controller.as_ref(), products.contactor.as_ref(), (circuits, poles), load);
    if let Switching::Contactors { contactor, count } = by {
        let count = count.unwrap_or(circuits);
        list.extend(pieces(group, &contactor.key, &contactor.words, count, basis(contactor.poles)));
    }
    let (key, words) = products
        .controller
        .as_ref()
        .map_or(("controller", "controller that switches all circuits on cold and moisture"), |product| {
            (product.key.as_str(), product.words.as_str())
        });
    list.extend(pieces(group, key, words, 1, "one for the roof".into()));
}

fn labels(segments: usize, wiring: &Wiring, list: &mut Vec<MaterialLine>) {
    let each = |what: &str| format!("one for each {what}");
    list.extend(pieces("labels", "segment-label", "label on a piece of element", segments, each("piece")));
    list.extend(pieces("labels", "box-label", "label on a junction box", wiring.boxes.len(), each("box")));
    list.extend(pieces("labels", "circuit-label", "label in the panel", wiring.circuits.len(), each("circuit")));
    let gaps = wiring.nail_gaps.len();
    list.extend(pieces("marks", "no-nail-gap", "gap in a nail row to mark on the deck", gaps, "as drawn".into()));
}
