//! One height at a time: everything that meets there is gathered by place and joined anew.
//!
//! At a *contact* some vertices, and perhaps fronts they run into, have come to one point. What is left of the fronts
//! there are *strands*, arriving and leaving, with the open region to the left of each. Sorted by angle they bound
//! wedges of open region: from a leaving strand counter-clockwise to an arriving one. Each wedge gets one new vertex.
//! Where sides don't move outwards a vertex never leaves its wedge, so nothing crosses (T. Biedl, M. Held, S. Huber,
//! D. Kaaser, P. Palfrader, "Weighted straight skeletons in the plane", Computational Geometry 48 (2015), treats when
//! this choice is free; from memory).

use super::double::Double;
use super::events::{Event, What};
use super::lines::{Spot, apart, cross};
use super::wave::{Lost, Wave};
use std::cmp::Ordering;

/// What is left of a front at a contact.
#[derive(Debug, Clone, Copy)]
struct Strand {
    leaving: bool,
    side: usize,
    /// The vertex at its other end.
    far: usize,
    /// From the contact along the strand.
    ray: Spot,
}

/// Counter-clockwise from the x axis; of a leaving and an arriving strand on one ray the leaving one first, for their
/// open regions face each other.
fn around(a: &Strand, b: &Strand) -> Ordering {
    let lower = |r: Spot| r[1] < Double::ZERO || (r[1] == Double::ZERO && r[0] < Double::ZERO);
    let by_angle = lower(a.ray).cmp(&lower(b.ray)).then(cross(b.ray, a.ray).total_cmp(&0.0));
    by_angle.then(b.leaving.cmp(&a.leaving))
}

impl Wave {
    /// Runs until nothing is open any more.
    pub(super) fn run(&mut self, budget: usize) -> Result<(), Lost> {
        self.settle();
        self.look_ahead();
        let mut left = budget;
        while let Some(first) = self.watch.pop(None) {
            left = left.checked_sub(1).ok_or(Lost("the wavefront does not come to an end", None))?;
            if !self.holds(&first) {
                continue;
            }
            self.now = first.height.max(self.now);
            let until = self.now + Double::from(self.tolerance.height);
            let mut events = vec![first];
            while let Some(event) = self.watch.pop(Some(until)) {
                left = left.checked_sub(1).ok_or(Lost("the wavefront does not come to an end", None))?;
                if self.holds(&event) {
                    events.push(event);
                }
            }
            self.turn_sides(&events);
            for contact in self.by_place(&events) {
                self.join(&contact)?;
            }
            self.settle();
            self.look_ahead();
        }
        match self.vertices.iter().position(|v| v.alive) {
            Some(open) => {
                let at = self.nodes[self.vertices[open].node].at;
                Err(Lost("part of the outline is never closed by its sides", Some([at[0].value(), at[1].value()])))
            }
            None => Ok(()),
        }
    }

    /// Whether an event still stands; a vertex whose front has gone looks for another.
    fn holds(&mut self, event: &Event) -> bool {
        match event.what {
            What::Turn(_) => true,
            What::Collapse(from, to) => self.vertices[from].alive && self.vertices[from].next == to,
            What::Hit(vertex, from, to) => {
                if !self.vertices[vertex].alive || !self.watch.awaits(event) {
                    return false;
                }
                let stands = self.vertices[from].alive && self.vertices[from].next == to;
                if !stands {
                    self.look_again(vertex);
                }
                stands
            }
        }
    }

    /// Lets sides start or stop whose height has come: every vertex on them starts anew.
    fn turn_sides(&mut self, events: &[Event]) {
        let turning: Vec<usize> =
            events.iter().filter_map(|e| if let What::Turn(side) = e.what { Some(side) } else { None }).collect();
        if turning.is_empty() {
            return;
        }
        let concerned = |v: &super::wave::Vertex| turning.contains(&v.before) || turning.contains(&v.after);
        let ids: Vec<usize> =
            (0..self.vertices.len()).filter(|&id| self.vertices[id].alive && concerned(&self.vertices[id])).collect();
        for id in ids {
            let spot = self.place(id);
            let node = self.mark(spot);
            let old = self.vertices[id];
            self.end(id, node);
            let renewed = self.vertices.len();
            let link = |other: usize| if other == id { renewed } else { other };
            self.begin(node, (old.before, link(old.previous)), (old.after, link(old.next)));
        }
        for side in turning {
            self.lines[side].advance();
        }
        self.settle();
    }

    /// The events where vertices meet, grouped by where they happen.
    fn by_place(&self, events: &[Event]) -> Vec<Vec<Event>> {
        let mut placed: Vec<(Spot, f64, Event)> =
            events.iter().filter_map(|&event| self.spot(&event).map(|(spot, blur)| (spot, blur, event))).collect();
        placed.sort_by(|a, b| a.0[0].total(b.0[0]).then(a.0[1].total(b.0[1])).then(a.2.cmp(&b.2)));
        let widest = placed.iter().map(|p| p.1).fold(0.0, f64::max);
        let mut group: Vec<usize> = (0..placed.len()).collect();
        for i in 0..placed.len() {
            for j in i + 1..placed.len() {
                if (placed[j].0[0] - placed[i].0[0]).value() > 2.0 * widest {
                    break;
                }
                if apart(placed[i].0, placed[j].0) <= placed[i].1 + placed[j].1 {
                    let (from, to) = (group[j].max(group[i]), group[j].min(group[i]));
                    if from != to {
                        group.iter_mut().filter(|g| **g == from).for_each(|g| *g = to);
                    }
                }
            }
        }
        let mut contacts: Vec<Vec<Event>> = vec![Vec::new(); placed.len()];
        for (position, &(_, _, event)) in placed.iter().enumerate() {
            contacts[group[position]].push(event);
        }
        contacts.retain(|c| !c.is_empty());
        contacts
    }

    /// Where an event happens, and how exactly that is known.
    fn spot(&self, event: &Event) -> Option<(Spot, f64)> {
        let vertex = match event.what {
            What::Collapse(from, to) if self.blur(to) < self.blur(from) => to,
            What::Collapse(vertex, _) | What::Hit(vertex, ..) => vertex,
            What::Turn(_) => return None,
        };
        Some((self.place(vertex), self.blur(vertex)))
    }

    /// Ends everything that has come to one place and joins what is left.
    fn join(&mut self, events: &[Event]) -> Result<(), Lost> {
        let mut here: Vec<usize> = Vec::new();
        let mut cut: Vec<usize> = Vec::new();
        let mut spot: Option<(Spot, f64)> = None;
        for event in events {
            // An earlier contact at this height may have taken what this one was about.
            if !self.holds(event) {
                continue;
            }
            let Some((at, blur)) = self.spot(event) else { continue };
            if spot.is_none_or(|s| blur < s.1) {
                spot = Some((at, blur));
            }
            match event.what {
                What::Collapse(from, to) => here.extend([from, to]),
                What::Hit(vertex, from, to) => {
                    here.push(vertex);
                    match (self.is_at(from, at, blur), self.is_at(to, at, blur)) {
                        (false, false) => cut.push(from),
                        (start, end) => here.extend([(from, start), (to, end)].iter().filter(|e| e.1).map(|e| e.0)),
                    }
                }
                What::Turn(_) => {}
            }
        }
        let Some((spot, blur)) = spot else { return Ok(()) };
        self.add_neighbours(&mut here, spot, blur);
        cut.sort_unstable();
        cut.dedup();
        cut.retain(|&from| !here.contains(&from) && !here.contains(&self.vertices[from].next));
        let node = self.mark(spot);
        let mut strands = self.strands(&here, &cut);
        strands.sort_by(around);
        for &vertex in &here {
            self.end(vertex, node);
        }
        for position in 0..strands.len() {
            let (strand, after) = (strands[position], strands[(position + 1) % strands.len()]);
            if strand.leaving == after.leaving {
                return Err(Lost(
                    "the fronts at one point do not bound wedges",
                    Some([spot[0].value(), spot[1].value()]),
                ));
            }
            if strand.leaving {
                self.begin(node, (after.side, after.far), (strand.side, strand.far));
            }
        }
        self.settle();
        Ok(())
    }

    /// Adds neighbours of the vertices that are in the same place.
    fn add_neighbours(&self, here: &mut Vec<usize>, spot: Spot, blur: f64) {
        here.sort_unstable();
        here.dedup();
        let mut position = 0;
        while position < here.len() {
            let vertex = self.vertices[here[position]];
            for other in [vertex.previous, vertex.next] {
                if !here.contains(&other) && self.is_at(other, spot, blur) {
                    here.push(other);
                }
            }
            position += 1;
        }
    }

    fn strands(&self, here: &[usize], cut: &[usize]) -> Vec<Strand> {
        let mut strands = Vec::new();
        let mut add = |leaving: bool, side: usize, far: usize| {
            let [x, y] = self.lines[side].along;
            strands.push(Strand { leaving, side, far, ray: if leaving { [x, y] } else { [-x, -y] } });
        };
        for &id in here {
            let vertex = self.vertices[id];
            if !here.contains(&vertex.previous) {
                add(false, vertex.before, vertex.previous);
            }
            if !here.contains(&vertex.next) {
                add(true, vertex.after, vertex.next);
            }
        }
        for &from in cut {
            let vertex = self.vertices[from];
            add(false, vertex.after, from);
            add(true, vertex.after, vertex.next);
        }
        strands
    }
}
