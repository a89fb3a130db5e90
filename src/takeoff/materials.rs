//! The material list. Counts for a connection are common practice: two connectors on the bus bars and one on the ground,
//! two sealing patches to a connection and two to a capped end.

use super::model::{CutPiece, LeadPiece, MaterialLine};
use super::retrofit::retrofit;
use super::rolls::rolls_first_fit;
use crate::electrical::{CONTINUOUS_FACTOR, Switching, devices_for, switching};
use crate::index::{BoxId, SegmentId};
use crate::job::Job;
use crate::units::{decimal, feet_inches};
use crate::wiring::{End, Lead, LeadKind, LegPlace, Terminal, Wiring};
use std::collections::{BTreeMap, BTreeSet};

/// Inches in a foot; element and lead are ordered by the foot.
const INCHES_PER_FOOT: f64 = crate::units::INCHES_PER_FOOT;

/// Everything to order, in the order of the groups.
pub(super) fn materials(cuts: &[CutPiece], leads: &[LeadPiece], wiring: &Wiring, job: &Job) -> Vec<MaterialLine> {
    if cuts.is_empty() {
        return Vec::new();
    }
    let mut list = Vec::new();
    element(cuts, job, &mut list);
    lead(leads, job, &mut list);
    passages(wiring, &mut list);
    connections(wiring, &mut list);
    boxes(wiring, job, &mut list);
    protection(wiring, job, &mut list);
    retrofit(cuts, wiring, job, &mut list);
    labels(cuts.len(), wiring, &mut list);
    list
}

pub(super) fn line(group: &str, key: &str, words: &str, quantity: f64, unit: &str, basis: String) -> MaterialLine {
    MaterialLine {
        group: group.to_owned(),
        key: key.to_owned(),
        words: words.to_owned(),
        quantity,
        unit: unit.to_owned(),
        basis,
    }
}

pub(super) fn pieces(group: &str, key: &str, words: &str, count: usize, basis: String) -> Option<MaterialLine> {
    (count > 0).then(|| line(group, key, words, count as f64, "pc", basis))
}

fn element(cuts: &[CutPiece], job: &Job, list: &mut Vec<MaterialLine>) {
    let products = &job.products;
    let mut keys: Vec<&str> = Vec::new();
    for item in [&products.starter.value, &products.deck.value] {
        let lengths: Vec<f64> = cuts.iter().filter(|c| c.element_key == item.key).map(|c| c.length).collect();
        if lengths.is_empty() || keys.contains(&item.key.as_str()) {
            continue;
        }
        keys.push(&item.key);
        let feet = lengths.iter().sum::<f64>() / INCHES_PER_FOOT;
        let count = lengths.len();
        list.push(line("element", &item.key, &item.words, feet, "ft", format!("sum of {count} cut lengths")));
        let roll = item.roll_length.inches();
        let basis = format!("{count} whole pieces cut longest first, each from the first roll with enough left");
        let words = format!("roll of {}: {}", feet_inches(roll), item.words);
        list.extend(pieces("element", &format!("{}-roll", item.key), &words, rolls_first_fit(&lengths, roll), basis));
    }
}

fn lead(leads: &[LeadPiece], job: &Job, list: &mut Vec<MaterialLine>) {
    let cable = &job.products.lead.value;
    let feet = leads.iter().map(|l| l.length).sum::<f64>() / INCHES_PER_FOOT;
    if feet > 0.0 {
        let basis = format!("sum of {} leads and jumpers, slack and make-up included", leads.len());
        list.push(line("leads", &cable.key, &cable.words, feet, "ft", basis));
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
        let words = format!("breaker, {rating} A, {poles}-pole, with ground-fault protection of equipment");
        list.extend(pieces(group, &format!("breaker-{rating}"), &words, tags.len(), tags.join(", ")));
    }
    switches(wiring, job, list);
    let sensor = "temperature-and-moisture sensor";
    list.extend(pieces(group, "sensor", sensor, usize::from(wiring.sensor.is_some()), "as placed on the roof".into()));
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
