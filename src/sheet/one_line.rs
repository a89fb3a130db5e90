//! The one-line diagram of E-604, drawn from the same data as `N.json` holds.
//!
//! Symbols are those of common practice and of IEEE 315, from memory: an arc over a gap for a breaker, a hinged blade for a
//! disconnect, two bars for the poles of a contactor, a square for a box, a zigzag for heating element. The bus runs down the left
//! side, each circuit is a row from it, so that a diagram of any length flows over columns and sheets.

use super::Drawn;
use super::flow::{Panel, Slice, title_slice};
use super::layers::Pen;
use super::pad::{LEADING, NOTE, Pad, TAG, rectangle};
use crate::checks::{OneLineItem, OneLineKind};
use crate::geometry::{Point2, Region, trig};
use crate::units::{INCHES_PER_FOOT, decimal};

/// Where the bus stands, inches from the left edge.
const BUS: f64 = 0.3;
/// Widths of the cells of breaker, disconnect, contactor, home run and box, inches.
const CELLS: [f64; 5] = [1.75, 1.6, 1.75, 2.0, 1.15];
/// Width of the whole diagram at most, inches: longer rows are hard to follow.
const WIDEST: f64 = 14.0;
/// Its least: cells, stem, element and two inches of words.
const NARROWEST: f64 = 10.9;
/// From the top of a row down to its wire, inches.
const WIRE: f64 = 0.42;
/// Half the gap a symbol leaves in a wire, inches.
const GAP: f64 = 0.12;
/// Chains of one box beyond this are drawn as one element: more would make a row taller than a sheet.
const MOST_CHAINS: usize = 14;

/// The diagram as a panel that flows: its supply, a row a circuit, what is not installed, and the symbols.
pub(super) fn one_line(drawn: &Drawn, most: f64) -> Option<Panel> {
    let items = &drawn.checks.one_line;
    let panel_at = items.iter().position(|item| item.kind == OneLineKind::Panel)?;
    let width = most.clamp(NARROWEST, WIDEST);
    let diagram = Diagram { items, width };
    let mut slices = vec![diagram.supply(panel_at)];
    let breakers: Vec<usize> = (0..items.len()).filter(|&at| items[at].kind == OneLineKind::Breaker).collect();
    for (place, &at) in breakers.iter().enumerate() {
        slices.extend(diagram.circuit(at, place + 1 == breakers.len()));
    }
    slices.extend(drawn.wiring.shed.iter().map(|shed| {
        let words = format!(
            "{}: NOT INSTALLED. The panel cannot carry more; priority {}, {} A.",
            shed.tag,
            shed.priority,
            decimal(shed.amps, 2)
        );
        words_slice(&format!("one-line.shed.{}", shed.tag.replace(' ', "-")), &words, width)
    }));
    slices.push(symbols(width));
    Some(Panel {
        id: "one-line".into(),
        width,
        rules: Vec::new(),
        head: vec![title_slice("one-line", "ONE-LINE DIAGRAM", width)],
        slices,
    })
}

fn words_slice(id: &str, words: &str, width: f64) -> Slice {
    let mut pad = Pad::default();
    let height = pad.lines(id, Pen::Note, NOTE, Point2::new(0.0, 0.0), &NOTE.wrap(words, width));
    Slice { height: height + 0.06, ruled: 0.0, items: pad.items }
}

struct Diagram<'a> {
    items: &'a [OneLineItem],
    width: f64,
}

/// Left edge of a cell.
fn cell(number: usize) -> f64 {
    BUS + CELLS[..number].iter().sum::<f64>()
}

fn at(x: f64, y: f64) -> Point2 {
    Point2::new(x, y)
}

impl<'a> Diagram<'a> {
    /// Items of a kind that hang on another.
    fn hung(&self, on: usize, kind: OneLineKind) -> impl Iterator<Item = usize> + use<'a> {
        let items = self.items;
        (on + 1..items.len()).filter(move |&at| items[at].from == Some(on) && items[at].kind == kind)
    }

    /// Service, main, panel, grounding, controller and sensor.
    fn supply(&self, panel_at: usize) -> Slice {
        let mut pad = Pad::default();
        let (service, panel) = (&self.items[0], &self.items[panel_at]);
        let right = BUS + 0.45;
        pad.circle("one-line.service", Pen::Wire, at(BUS, -0.15), 0.12);
        pad.path("one-line.service.wave", Pen::Wire, wave(BUS, -0.15));
        label(&mut pad, "one-line.service.words", right, -0.03, "SERVICE", &service.words, 5.0);
        breaker_down(&mut pad, "one-line.main", BUS, -0.65);
        pad.line("one-line.feed", Pen::Wire, at(BUS, -0.27), at(BUS, -0.65 + GAP));
        let height = 2.0;
        pad.line("one-line.bus", Pen::Bus, at(BUS, -0.65 - GAP), at(BUS, -height));
        let head = if panel.tag == "panel" { "PANEL".to_owned() } else { format!("PANEL {}", panel.tag) };
        let words = format!("{}. Grounding electrode system existing: verify.", panel.words);
        pad.line("one-line.ground.wire", Pen::Wire, at(BUS, -1.0), at(BUS + 0.25, -1.0));
        ground(&mut pad, "one-line.ground", BUS + 0.25, -1.0);
        label(&mut pad, "one-line.panel", right, -0.75, &head, &words, cell(2) - right - 0.5);
        if let Some(controller) = self.hung(panel_at, OneLineKind::Controller).next() {
            self.control(&mut pad, controller, height);
        }
        Slice { height, ruled: 0.0, items: pad.items }
    }

    /// The controller above the contactors' column, fed from the bus, its signal going down, the sensor beside it.
    fn control(&self, pad: &mut Pad, controller: usize, height: f64) {
        let (x, y) = (signal_x(), -1.6);
        let (low, high) = (at(x - 0.2, y - 0.14), at(x + 0.2, y + 0.14));
        pad.line("one-line.control.power", Pen::Wire, at(BUS, y), at(low.x, y));
        dot(pad, "one-line.control.node", BUS, y);
        pad.box_of("one-line.controller", Pen::Wire, low, high);
        let item = &self.items[controller];
        pad.text(
            "one-line.controller.tag",
            Pen::Note,
            TAG.text(at(x, y), super::model::Anchor::Middle, item.tag.as_str()),
        );
        pad.line("one-line.signal", Pen::Signal, at(x, low.y), at(x, -height));
        if let Some(sensor) = self.hung(controller, OneLineKind::Sensor).next() {
            let item = &self.items[sensor];
            let sensor_x = x + 0.75;
            pad.line("one-line.sensor.wire", Pen::Signal, at(high.x, y), at(sensor_x - 0.14, y));
            pad.circle("one-line.sensor", Pen::Wire, at(sensor_x, y), 0.14);
            pad.text(
                "one-line.sensor.tag",
                Pen::Note,
                TAG.text(at(sensor_x, y), super::model::Anchor::Middle, item.tag.as_str()),
            );
            label(pad, "one-line.sensor.words", sensor_x + 0.22, y + 0.12, "SENSOR", &item.words, 2.2);
        }
        let head = format!("CONTROLLER {}", item.tag);
        label(pad, "one-line.controller.words", low.x, high.y + 0.42, &head, &item.words, self.width - low.x);
    }

    /// A row: from the bus through breaker, disconnect, contactor and home run to the first box; further boxes follow in slices of
    /// their own, so that a circuit of many boxes runs on in another column.
    fn circuit(&self, breaker: usize, last: bool) -> Vec<Slice> {
        let id = format!("one-line.{}", self.items[breaker].tag);
        let mut pad = Pad::default();
        let next = |on: usize, kind| self.hung(on, kind).next();
        let disconnect = next(breaker, OneLineKind::Disconnect);
        let contactor = disconnect.and_then(|on| next(on, OneLineKind::Contactor));
        let home_run = contactor.and_then(|on| next(on, OneLineKind::HomeRun));
        let mut lowest = -WIRE;
        let row = [Some(breaker), disconnect, contactor, home_run];
        dot(&mut pad, &format!("{id}.node"), BUS, -WIRE);
        let mut from = BUS;
        for (column, item) in row.iter().enumerate() {
            let Some(item) = item.map(|at| &self.items[at]) else { continue };
            let (x, part) = (cell(column) + 0.55, format!("{id}.{}", item.kind.words().replace(' ', "-")));
            match item.kind {
                OneLineKind::Breaker => breaker_across(&mut pad, &part, x, -WIRE),
                OneLineKind::Disconnect => blade(&mut pad, &part, x, -WIRE),
                OneLineKind::Contactor => poles(&mut pad, &part, x, -WIRE),
                _ => {}
            }
            if item.kind != OneLineKind::HomeRun {
                pad.line(format!("{part}.wire"), Pen::Wire, at(from, -WIRE), at(x - gap_of(item.kind), -WIRE));
                from = x + gap_of(item.kind);
            }
            let left = cell(column) + 0.32;
            let tag = if item.kind == OneLineKind::HomeRun { "HOME RUN".to_owned() } else { item.tag.clone() };
            pad.text(
                format!("{part}.tag"),
                Pen::Note,
                TAG.text(at(left, -WIRE + 0.2), super::model::Anchor::Left, tag),
            );
            let lines = NOTE.wrap(&item.words, CELLS[column] - 0.5);
            let used = pad.lines(&part, Pen::Note, NOTE, at(left, -WIRE - 0.16), &lines);
            lowest = f64::min(lowest, -WIRE - 0.16 - used);
        }
        let boxes: Vec<usize> = home_run.into_iter().flat_map(|run| self.hung(run, OneLineKind::JunctionBox)).collect();
        let end = boxes.first().map_or(lowest, |&first| {
            let (stem, middle) = (cell(4) - 0.1, cell(4) + 0.45);
            pad.line(format!("{id}.run"), Pen::Wire, at(from, -WIRE), at(middle - 0.1, -WIRE));
            let end = self.junction(&mut pad, &id, first, -WIRE);
            if boxes.len() > 1 {
                let foot = lowest.min(end) - 0.12;
                pad.line(format!("{id}.stem"), Pen::Wire, at(stem, -WIRE), at(stem, foot));
            }
            end
        });
        let height = -lowest.min(end) + 0.12;
        let foot = if last { -WIRE } else { -height };
        pad.line(format!("{id}.bus"), Pen::Bus, at(BUS, 0.0), at(BUS, foot));
        if contactor.is_some() {
            let x = signal_x();
            let coil = -WIRE + 0.13;
            pad.line(format!("{id}.signal"), Pen::Signal, at(x, 0.0), at(x, if last { coil } else { -height }));
            pad.line(format!("{id}.signal.in"), Pen::Signal, at(x, coil), at(cell(2) + 0.55, coil));
        }
        let row = Slice { height, ruled: 0.0, items: pad.items };
        let further = boxes.iter().enumerate().skip(1).map(|(place, &junction)| {
            let ends = [last, place + 1 == boxes.len()];
            self.further_box(&self.items[breaker].tag, &id, junction, ends, contactor.is_some())
        });
        std::iter::once(row).chain(further).collect()
    }

    /// A box after the first of a circuit. `ends` says whether the bus ends above it and whether the stem ends at it.
    fn further_box(&self, circuit: &str, id: &str, junction: usize, ends: [bool; 2], signal: bool) -> Slice {
        let (middle, stem) = (cell(4) + 0.45, cell(4) - 0.1);
        let mut pad = Pad::default();
        let y = -0.32;
        let part = format!("{id}.{}", self.items[junction].tag);
        let low = self.junction(&mut pad, id, junction, y);
        let height = -low + 0.12;
        let [bus_ends, stem_ends] = ends;
        pad.path(format!("{part}.run"), Pen::Wire, vec![at(stem, 0.0), at(stem, y), at(middle - 0.1, y)]);
        // Read at the top of a column, too, where the row itself stands in another.
        pad.text(
            format!("{part}.circuit"),
            Pen::Note,
            NOTE.text(at(stem - 0.08, y), super::model::Anchor::MiddleRight, circuit),
        );
        if !stem_ends {
            pad.line(format!("{part}.stem"), Pen::Wire, at(stem, y), at(stem, -height));
        }
        if !bus_ends {
            pad.line(format!("{part}.bus"), Pen::Bus, at(BUS, 0.0), at(BUS, -height));
            if signal {
                pad.line(format!("{part}.signal"), Pen::Signal, at(signal_x(), 0.0), at(signal_x(), -height));
            }
        }
        Slice { height, ruled: 0.0, items: pad.items }
    }

    /// A box in the wire at height `y` with its chains; returns how far down they reach.
    fn junction(&self, pad: &mut Pad, id: &str, junction: usize, y: f64) -> f64 {
        let middle = cell(4) + 0.45;
        let item = &self.items[junction];
        let part = format!("{id}.{}", item.tag);
        let (low, high) = (at(middle - 0.1, y - 0.1), at(middle + 0.1, y + 0.1));
        pad.tone(format!("{part}.half"), Pen::Wire, vec![Region::simple(vec![low, at(high.x, low.y), high])], 0);
        pad.box_of(&part, Pen::Wire, low, high);
        pad.text(
            format!("{part}.tag"),
            Pen::Note,
            TAG.text(at(middle - 0.1, y + 0.2), super::model::Anchor::Left, item.tag.as_str()),
        );
        self.chains(pad, &part, junction, middle + 0.1, y)
    }

    /// Chains under each other on a stem beside their box; returns how far down they reach.
    fn chains(&self, pad: &mut Pad, id: &str, junction: usize, from: f64, top: f64) -> f64 {
        let chains: Vec<&OneLineItem> = self.hung(junction, OneLineKind::Chain).map(|at| &self.items[at]).collect();
        let said: Vec<(String, String)> = if chains.len() > MOST_CHAINS {
            vec![(
                format!("{} to {}", chains[0].tag, chains[chains.len() - 1].tag),
                format!("{} chains as scheduled on E-601", chains.len()),
            )]
        } else {
            chains.iter().map(|c| (c.tag.clone(), c.words.clone())).collect()
        };
        let (stem, heat) = (from + 0.2, 0.45);
        let text = stem + 0.12 + heat + 0.12;
        let mut y = top;
        for (place, (tag, words)) in said.iter().enumerate() {
            let part = format!("{id}.{}", tag.replace(' ', "-"));
            if place == 0 {
                pad.line(format!("{part}.wire"), Pen::Wire, at(from, y), at(stem + 0.12, y));
            } else {
                pad.path(format!("{part}.wire"), Pen::Wire, vec![at(stem, top), at(stem, y), at(stem + 0.12, y)]);
            }
            pad.path(format!("{part}.element"), Pen::Wire, zigzag(stem + 0.12, y, heat));
            let lines = NOTE.wrap(&format!("{tag}: {words}"), self.width - text);
            let used = pad.lines(&part, Pen::Note, NOTE, at(text, y + 0.5 * LEADING), &lines);
            y -= used.max(0.2) + 0.02;
        }
        y
    }
}

/// The signal line runs left of the contactors.
fn signal_x() -> f64 {
    cell(2) + 0.14
}

fn gap_of(kind: OneLineKind) -> f64 {
    if kind == OneLineKind::Contactor { 0.04 } else { GAP }
}

/// A heading and its words, wrapped, below `top`.
fn label(pad: &mut Pad, id: &str, left: f64, top: f64, head: &str, words: &str, width: f64) {
    let used = pad.lines(&format!("{id}.head"), Pen::Note, TAG, at(left, top), &[head.to_owned()]);
    pad.lines(id, Pen::Note, NOTE, at(left, top - used), &NOTE.wrap(words, width));
}

fn dot(pad: &mut Pad, id: &str, x: f64, y: f64) {
    let r = 0.035;
    let corners = vec![at(x - r, y), at(x, y - r), at(x + r, y), at(x, y + r)];
    pad.tone(id, Pen::Wire, vec![Region::simple(corners)], 0);
}

/// Points of half a circle about the origin, from `(-GAP, 0)` over the top to `(GAP, 0)`, a little flat.
fn arc() -> Vec<(f64, f64)> {
    (0..=8)
        .map(|i| std::f64::consts::PI * (1.0 - f64::from(i) / 8.0))
        .map(|turn| (GAP * trig::cos(turn), 0.05 + 0.08 * trig::sin(turn)))
        .collect()
}

/// A breaker in a wire that runs across, with the ring of its ground-fault sensor around the wire behind it.
fn breaker_across(pad: &mut Pad, id: &str, x: f64, y: f64) {
    pad.path(id, Pen::Wire, arc().into_iter().map(|(dx, dy)| at(x + dx, y + dy)).collect());
    pad.circle(format!("{id}.ring"), Pen::Wire, at(x + 0.34, y), 0.07);
}

fn breaker_down(pad: &mut Pad, id: &str, x: f64, y: f64) {
    pad.path(id, Pen::Wire, arc().into_iter().map(|(dx, dy)| at(x + dy, y + dx)).collect());
}

fn blade(pad: &mut Pad, id: &str, x: f64, y: f64) {
    pad.circle(format!("{id}.hinge"), Pen::Wire, at(x - GAP, y), 0.025);
    pad.circle(format!("{id}.jaw"), Pen::Wire, at(x + GAP, y), 0.025);
    pad.line(id, Pen::Wire, at(x - GAP, y), at(x + 0.09, y + 0.13));
}

fn poles(pad: &mut Pad, id: &str, x: f64, y: f64) {
    for (name, dx) in [("a", -0.04), ("b", 0.04)] {
        pad.line(format!("{id}.{name}"), Pen::Wire, at(x + dx, y - 0.1), at(x + dx, y + 0.1));
    }
}

fn ground(pad: &mut Pad, id: &str, x: f64, y: f64) {
    pad.line(format!("{id}.stem"), Pen::Wire, at(x, y), at(x, y - 0.08));
    for (i, half) in [0.09, 0.055, 0.02].into_iter().enumerate() {
        let level = y - 0.08 - 0.035 * i as f64;
        pad.line(format!("{id}.{i}"), Pen::Wire, at(x - half, level), at(x + half, level));
    }
}

/// One wave of an alternating source.
fn wave(x: f64, y: f64) -> Vec<Point2> {
    (0..=12)
        .map(|i| f64::from(i) / 12.0)
        .map(|t| at(x - 0.07 + 0.14 * t, y + 0.04 * trig::sin(std::f64::consts::TAU * t)))
        .collect()
}

/// Heating element: a resistor's zigzag.
fn zigzag(x: f64, y: f64, length: f64) -> Vec<Point2> {
    let teeth = 6;
    let step = length / (2.0 * f64::from(teeth));
    let mut points = vec![at(x, y)];
    for i in 0..teeth {
        let height = if i % 2 == 0 { 0.06 } else { -0.06 };
        points.push(at(x + step * (2.0 * f64::from(i) + 1.0), y + height));
    }
    points.push(at(x + length, y));
    points
}

/// What the symbols mean, in a row of two columns.
fn symbols(width: f64) -> Slice {
    let mut pad = Pad::default();
    type Draw = fn(&mut Pad, &str, f64, f64);
    let entries: [(&str, &str, Draw); 6] = [
        ("breaker", "breaker; ring: its ground-fault sensor", breaker_across),
        ("disconnect", "disconnect: all poles, indicating, lockable", blade),
        ("contactor", "poles of contactor or controller, with signal", poles),
        ("ground", "ground", |pad, id, x, y| ground(pad, id, x, y + 0.08)),
        ("box", "junction box", |pad, id, x, y| {
            let (low, high) = (at(x - 0.1, y - 0.1), at(x + 0.1, y + 0.1));
            pad.tone(format!("{id}.half"), Pen::Wire, vec![Region::simple(vec![low, at(high.x, low.y), high])], 0);
            pad.ring(id, Pen::Wire, rectangle(low, high));
        }),
        ("element", "heating element of one chain", |pad, id, x, y| {
            pad.path(id, Pen::Wire, zigzag(x - 0.22, y, 0.45));
        }),
    ];
    let half = 0.5 * width;
    for (i, (name, words, draw)) in entries.into_iter().enumerate() {
        let (x, y) = (0.4 + half * (i % 2) as f64, -0.3 - 0.36 * (i / 2) as f64);
        let id = format!("one-line.symbol.{name}");
        draw(&mut pad, &id, x, y);
        let lines = NOTE.wrap(words, half - 1.1);
        pad.lines(
            &format!("{id}.words"),
            Pen::Note,
            NOTE,
            at(x + 0.55, y + 0.5 * LEADING * lines.len() as f64),
            &lines,
        );
    }
    let words = "Symbols after common practice and IEEE 315, from memory. Each wire stands for all conductors of its circuit and its \
                 equipment ground. Dashed: control. Lengths of chains are of element.";
    let lines = NOTE.wrap(words, width);
    let used = pad.lines("one-line.note", Pen::Note, NOTE, at(0.0, -1.28), &lines);
    Slice { height: 1.28 + used + 0.05, ruled: 0.0, items: pad.items }
}

/// Feet of a length in inches, for the load calculation.
pub(super) fn feet(inches: f64) -> String {
    decimal(inches / INCHES_PER_FOOT, 2)
}
