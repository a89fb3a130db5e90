//! The load calculation of E-604: every number from element to panel.

use super::Drawn;
use super::flow::{Align, Panel, Table, list};
use super::notes::numbered;
use super::one_line::feet;
use crate::checks::{Check, LoadSummary, Verdict};
use crate::courses::{ElementRole, Segment};
use crate::electrical::{CONTINUOUS_FACTOR, Piece, element_strip, lead_loop_ohms, local_power, solve};
use crate::index::ChainId;
use crate::units::decimal;
use crate::wiring::Chain;

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;

/// Checks that settle the service and the devices, in the order they are read.
const DEVICES: [&str; 11] = [
    "ground-fault-protection",
    "fault-current",
    "disconnect-rating",
    "contactor-rating",
    "controller-output",
    "phase-balance",
    "panel-spaces",
    "panel-amps",
    "panel-service",
    "panel-bus",
    "panel-unknown",
];

/// Tables and the worked steps, in reading order, at most `most` inches wide.
pub(super) fn panels(drawn: &Drawn, most: f64) -> Vec<Panel> {
    let mut panels = vec![circuit_table(drawn).panel(most), device_table(drawn).panel(most)];
    panels.extend(shed_table(drawn).map(|table| table.panel(most)));
    let steps = numbered(&steps(drawn));
    if !steps.is_empty() {
        panels.push(list("steps", "FROM ELEMENT TO PANEL, ONE CHAIN WORKED", &steps, most.min(7.0)));
    }
    panels
}

fn table(id: &str, title: &str, columns: Vec<(&'static str, Align)>, rows: Vec<Vec<String>>) -> Table {
    Table { id: id.to_owned(), title: title.to_owned(), columns, rows, foot: None }
}

fn segments<'a>(drawn: &Drawn<'a>, chain: &'a Chain) -> impl Iterator<Item = &'a Segment> + use<'a> {
    let courses = drawn.courses;
    chain.segments.iter().map(move |id| &courses.segments[id.index()])
}

/// Power at the supply voltage without leads and buses, watts.
fn nameplate(drawn: &Drawn, segment: &Segment) -> f64 {
    let (products, electrical) = (&drawn.job.products, &drawn.job.electrical);
    let element = match segment.element {
        ElementRole::Starter => &products.starter.value,
        ElementRole::Deck => &products.deck.value,
    };
    local_power(element, electrical.volts.value, electrical.running_temperature.value) * segment.cut_length / 12.0
}

fn circuit_table(drawn: &Drawn) -> Table {
    let optional = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), |v| decimal(v, 2));
    let rows = drawn
        .wiring
        .circuits
        .iter()
        .zip(&drawn.checks.supplies)
        .map(|(circuit, supply)| {
            let chains = || circuit.chains.iter().map(|id| &drawn.wiring.chains[id.index()]);
            let length: f64 = chains().map(|chain| chain.element_length).sum();
            let full: f64 = chains().flat_map(|chain| segments(drawn, chain)).map(|s| nameplate(drawn, s)).sum();
            vec![
                circuit.tag.clone(),
                supply.lines.clone(),
                feet(length),
                decimal(full, 1),
                decimal(circuit.watts, 1),
                decimal(circuit.amps, 3),
                decimal(supply.continuous_amps, 3),
                decimal(circuit.breaker, 0),
                format!("{} + {} ground", circuit.conductor_awg, circuit.ground_awg),
                supply.conduit.clone().unwrap_or_else(|| "-".into()),
                optional(supply.drop),
                optional(supply.leakage),
                optional(supply.start_amps),
            ]
        })
        .collect();
    let load = &drawn.checks.load;
    let foot = format!(
        "Total {} ft of element, {} W, {} A; as a continuous load 1.25 x {} = {} A.",
        feet(load.element_length),
        decimal(load.watts, 1),
        decimal(load.amps, 3),
        decimal(load.amps, 3),
        decimal(load.continuous_amps, 3)
    ) + &gutters_too(load);
    let columns = vec![
        ("circuit", LEFT),
        ("lines", LEFT),
        ("element ft", RIGHT),
        ("rated W", RIGHT),
        ("W", RIGHT),
        ("A", RIGHT),
        ("125 % A", RIGHT),
        ("breaker A", RIGHT),
        ("AWG", LEFT),
        ("conduit", LEFT),
        ("drop V", RIGHT),
        ("leakage mA", RIGHT),
        ("start A", RIGHT),
    ];
    Table { foot: Some(foot), ..table("calculation", "LOAD CALCULATION", columns, rows) }
}

fn device_table(drawn: &Drawn) -> Table {
    let row = |check: &Check| {
        let verdict = match check.verdict {
            Verdict::Pass => "pass",
            Verdict::Fail => "FAIL",
            Verdict::Authority => "authority decides",
        };
        vec![check.code.replace('-', " "), check.item.clone(), check.working.clone(), verdict.to_owned()]
    };
    let of = |code: &'static str| drawn.checks.checks.iter().filter(move |check| check.code == code);
    let rows = DEVICES.into_iter().flat_map(of).map(row).collect();
    let columns = vec![("check", LEFT), ("item", LEFT), ("numbers", LEFT), ("verdict", LEFT)];
    Table {
        foot: Some("Rules, clauses and how they are known: CHECKS on E-601.".into()),
        ..table("devices", "SERVICE, PROTECTION AND SWITCHES", columns, rows)
    }
}

/// Zones the panel cannot carry.
fn shed_table(drawn: &Drawn) -> Option<Table> {
    let rows: Vec<Vec<String>> = drawn
        .wiring
        .shed
        .iter()
        .map(|shed| {
            let tags: Vec<&str> =
                shed.segments.iter().map(|id| drawn.courses.segments[id.index()].tag.as_str()).collect();
            vec![
                shed.tag.clone(),
                shed.priority.to_string(),
                decimal(shed.amps, 2),
                decimal(shed.watts, 0),
                tags.join(" "),
            ]
        })
        .collect();
    let columns =
        vec![("zones", LEFT), ("priority", RIGHT), ("A", RIGHT), ("W", RIGHT), ("pieces that stay cold", LEFT)];
    (!rows.is_empty()).then(|| Table {
        foot: Some("The panel cannot carry these beside the others. They are in no count, total or material list; the first was left out first.".into()),
        ..table("shed", "NOT INSTALLED", columns, rows)
    })
}

/// One chain of one piece worked from its element to the panel; the first of constant resistance.
fn steps(drawn: &Drawn) -> Vec<String> {
    let single = |chain: &&Chain| {
        chain.segments.len() == 1
            && segments(drawn, chain).all(|s| match s.element {
                ElementRole::Starter => drawn.job.products.starter.value.power_curve.is_empty(),
                ElementRole::Deck => drawn.job.products.deck.value.power_curve.is_empty(),
            })
    };
    let Some(chain) = drawn.wiring.chains.iter().find(single) else { return general_steps(drawn) };
    let Some(segment) = segments(drawn, chain).next() else { return Vec::new() };
    let (products, volts) = (&drawn.job.products, drawn.job.electrical.volts.value);
    let element = match segment.element {
        ElementRole::Starter => &products.starter.value,
        ElementRole::Deck => &products.deck.value,
    };
    let strip = element_strip(element, segment.cut_length);
    let lead = drawn.wiring.feed(segment.id).map_or(0.0, |feed| drawn.wiring.leads[feed.lead.index()].length);
    let loop_ohms = lead_loop_ohms(&products.lead.value, lead);
    let k = (strip.ohms_per_foot * strip.siemens_per_foot).sqrt();
    let alone = solve(volts, &[Piece::Strip(strip)]);
    let mut steps = vec![
        format!(
            "Piece {} of {}: r = {} ohm/ft in both buses, g = {} W/ft / ({} V)² = {} S/ft, L = {} ft. As a line with resistance in its \
             buses and conductance between them, k = sqrt(r g) = {} per ft, kL = {}.",
            segment.tag,
            element.key,
            decimal(strip.ohms_per_foot, 5),
            decimal(element.watts_per_foot, 2),
            decimal(element.volts, 0),
            decimal(strip.siemens_per_foot, 8),
            decimal(strip.feet, 3),
            decimal(k, 7),
            decimal(k * strip.feet, 5)
        ),
        format!("Resistance at its fed end, far end open: sqrt(r / g) / tanh kL = {} ohm.", decimal(alone.ohms(), 3)),
        format!(
            "Lead of {} ft, out and back: 2 x {} ft x {} ohm/kft / 1000 = {} ohm.",
            feet(lead),
            feet(lead),
            decimal(products.lead.value.ohms_per_kft, 3),
            decimal(loop_ohms, 4)
        ),
        format!(
            "Chain {}: {} V / ({} + {}) ohm = {} A, {} W from the box; {} V at its far end.",
            chain.id,
            decimal(volts, 1),
            decimal(loop_ohms, 4),
            decimal(alone.ohms(), 3),
            decimal(chain.amps, 4),
            decimal(chain.watts, 2),
            decimal(chain.far_end_volts, 2)
        ),
    ];
    steps.extend(circuit_steps(drawn, chain));
    steps
}

fn general_steps(drawn: &Drawn) -> Vec<String> {
    let Some(chain) = drawn.wiring.chains.first() else { return Vec::new() };
    let mut steps = vec![format!(
        "Chain {}: each piece is a line with resistance in its buses and conductance between them, solved from the far end through \
         jumpers and lead: {} A, {} W from the box, {} V at the lowest far end.",
        chain.id,
        decimal(chain.amps, 4),
        decimal(chain.watts, 2),
        decimal(chain.far_end_volts, 2)
    )];
    steps.extend(circuit_steps(drawn, chain));
    steps
}

/// From a chain to its circuit and on to the panel.
fn circuit_steps(drawn: &Drawn, chain: &Chain) -> Vec<String> {
    let circuit = &drawn.wiring.circuits[chain.circuit.index()];
    let chains = super::face_leads::id_ranges(circuit.chains.iter().map(|c| c.0), |n| ChainId(n).to_string());
    let load = &drawn.checks.load;
    vec![
        format!(
            "Circuit {}: chains {chains} together {} A; x {} for a continuous load = {} A; the next standard breaker is {} A.",
            circuit.tag,
            decimal(circuit.amps, 3),
            decimal(CONTINUOUS_FACTOR, 2),
            decimal(CONTINUOUS_FACTOR * circuit.amps, 3),
            decimal(circuit.breaker, 0)
        ),
        format!(
            "Panel: all circuits {} A x {} = {} A. Chains are reckoned with the full supply voltage at their box; what the home run loses \
             is judged by itself, which leaves the current on the safe side.",
            decimal(load.amps, 3),
            decimal(CONTINUOUS_FACTOR, 2),
            decimal(load.continuous_amps, 3)
        ),
    ]
}

/// What gutters add, in words; nothing where none is heated.
fn gutters_too(load: &LoadSummary) -> String {
    if load.gutter_length == 0.0 {
        return String::new();
    }
    format!(
        " Gutters and downspouts: {} ft of heater, {} W, on circuits of their own; in all {} W, {} A.",
        feet(load.gutter_length),
        decimal(load.gutter_watts, 1),
        decimal(load.total_watts, 1),
        decimal(load.total_amps, 3)
    )
}
