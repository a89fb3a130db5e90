//! The schedules of E-601: segments, leads, circuits, boxes, materials, checks, edges.

use super::Drawn;
use super::face_leads::id_ranges;
use super::flow::{Align, Table};
use super::plan_model::{circuits_of, terminal_words};
use super::roof_lines::basis_mark;
use crate::checks::{SourceLabel, Verdict};
use crate::courses::Segment;
use crate::index::ChainId;
use crate::roof::Roof;
use crate::terms::BoxPlace;
use crate::units::{decimal, feet_inches};
use crate::wiring::{End, LeadKind};

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;

fn table(id: &str, title: &str, columns: Vec<(&'static str, Align)>, rows: Vec<Vec<String>>) -> Table {
    Table { id: id.to_owned(), title: title.to_owned(), columns, rows, foot: None }
}

/// All schedules in reading order.
pub(super) fn schedules(drawn: &Drawn) -> Vec<Table> {
    vec![
        load_table(drawn),
        circuit_table(drawn),
        box_table(drawn),
        segment_table(drawn),
        lead_table(drawn),
        material_table(drawn),
        check_table(drawn),
        edge_table(drawn.roof),
    ]
}

/// How a segment is fed, in cells: fed end, chain, circuit, box.
pub(super) fn feed_cells(drawn: &Drawn, segment: &Segment) -> [String; 4] {
    let Some(feed) = drawn.wiring.feeds.iter().find(|f| f.segment == segment.id) else {
        let why = drawn.wiring.unfed.iter().find(|u| u.segment == segment.id);
        return [why.map_or("not fed", |_| "REFUSED").to_owned(), String::new(), String::new(), String::new()];
    };
    let end = match feed.fed_end {
        End::Left => "left",
        End::Right => "right",
    };
    [
        end.to_owned(),
        feed.chain.to_string(),
        drawn.wiring.circuits[feed.circuit.index()].tag.clone(),
        drawn.wiring.boxes[feed.junction_box.index()].tag.clone(),
    ]
}

fn segment_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .courses
        .segments
        .iter()
        .map(|segment| {
            let [end, chain, circuit, junction] = feed_cells(drawn, segment);
            vec![
                segment.id.to_string(),
                segment.tag.clone(),
                segment.face.to_string(),
                segment.course.to_string(),
                segment.element_key.clone(),
                feet_inches(segment.station),
                feet_inches(segment.offset),
                feet_inches(segment.cut_length),
                end,
                chain,
                circuit,
                junction,
            ]
        })
        .collect();
    let columns = vec![
        ("id", LEFT),
        ("tag", LEFT),
        ("face", LEFT),
        ("course", RIGHT),
        ("element", LEFT),
        ("station", RIGHT),
        ("offset", RIGHT),
        ("cut", RIGHT),
        ("fed end", LEFT),
        ("chain", LEFT),
        ("circuit", LEFT),
        ("box", LEFT),
    ];
    Table {
        foot: Some(
            "Cut lengths FOR QUOTE ONLY until the roof is measured. Left and right as seen facing up the slope.".into(),
        ),
        ..table("segments", "SEGMENTS", columns, rows)
    }
}

fn lead_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .wiring
        .leads
        .iter()
        .map(|lead| {
            let crossings = lead.legs.iter().filter(|l| l.crossing.is_some()).count();
            let slack: f64 = lead.legs.iter().map(|l| l.slack).sum();
            vec![
                lead.id.to_string(),
                match lead.kind {
                    LeadKind::Feed => "feed",
                    LeadKind::Jumper => "jumper",
                }
                .to_owned(),
                terminal_words(drawn, lead.from),
                terminal_words(drawn, lead.to),
                crossings.to_string(),
                feet_inches(slack),
                feet_inches(lead.length),
            ]
        })
        .collect();
    let columns = vec![
        ("lead", LEFT),
        ("kind", LEFT),
        ("from", LEFT),
        ("to", LEFT),
        ("crossings", RIGHT),
        ("slack", RIGHT),
        ("cut", RIGHT),
    ];
    Table {
        foot: Some("Cut length: legs, slack and make-up at both ends. FOR QUOTE ONLY.".into()),
        ..table("leads", "COLD LEADS AND JUMPERS", columns, rows)
    }
}

fn circuit_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .wiring
        .circuits
        .iter()
        .map(|circuit| {
            let chains = id_ranges(circuit.chains.iter().map(|c| c.0), |n| ChainId(n).to_string());
            vec![
                circuit.tag.clone(),
                chains,
                decimal(drawn.job.electrical.volts.value, 0),
                decimal(circuit.watts, 0),
                decimal(circuit.amps, 2),
                decimal(1.25 * circuit.amps, 2),
                decimal(circuit.breaker, 0),
                drawn.job.electrical.poles().to_string(),
                "yes".to_owned(),
                format!("{} AWG", circuit.conductor_awg),
                format!("{} AWG", circuit.ground_awg),
                circuit.priority.to_string(),
            ]
        })
        .collect();
    let columns = vec![
        ("circuit", LEFT),
        ("chains", LEFT),
        ("volts", RIGHT),
        ("watts", RIGHT),
        ("amps", RIGHT),
        ("x 1.25", RIGHT),
        ("breaker A", RIGHT),
        ("poles", RIGHT),
        ("GFPE", LEFT),
        ("wire", LEFT),
        ("ground", LEFT),
        ("priority", RIGHT),
    ];
    Table {
        foot: Some(
            "Continuous load: conductor and breaker at 125 %. GFPE: ground-fault protection of equipment at the breaker."
                .into(),
        ),
        ..table("circuits", "BRANCH CIRCUITS", columns, rows)
    }
}

fn box_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .wiring
        .boxes
        .iter()
        .map(|junction| {
            let place = match junction.place {
                BoxPlace::UnderDeck => "under the deck",
                BoxPlace::OutsideWall => "outside on the wall",
            };
            let from = if junction.set_by_job { "job" } else { "chosen" };
            vec![
                junction.id.to_string(),
                junction.tag.clone(),
                place.to_owned(),
                junction.face.to_string(),
                junction.box_key.clone(),
                junction.chains.len().to_string(),
                circuits_of(drawn, junction).join(" "),
                from.to_owned(),
            ]
        })
        .collect();
    let columns = vec![
        ("id", LEFT),
        ("box", LEFT),
        ("place", LEFT),
        ("face", LEFT),
        ("type", LEFT),
        ("leads", RIGHT),
        ("circuits", LEFT),
        ("from", LEFT),
    ];
    table("boxes", "JUNCTION BOXES", columns, rows)
}

fn material_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .takeoff
        .materials
        .iter()
        .map(|line| {
            vec![
                line.group.clone(),
                line.key.clone(),
                line.words.clone(),
                decimal(line.quantity, 2),
                line.unit.clone(),
                line.basis.clone(),
            ]
        })
        .collect();
    let columns =
        vec![("group", LEFT), ("key", LEFT), ("what", LEFT), ("quantity", RIGHT), ("unit", LEFT), ("sum of", LEFT)];
    Table { foot: Some("FOR QUOTE ONLY.".into()), ..table("materials", "MATERIALS", columns, rows) }
}

fn check_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .checks
        .checks
        .iter()
        .map(|check| {
            let verdict = match check.verdict {
                Verdict::Pass => "pass",
                Verdict::Fail => "FAIL",
                Verdict::Authority => "authority decides",
            };
            let source = match check.source {
                SourceLabel::Seen => "seen as quoted",
                SourceLabel::Memory => "from memory: verify",
                SourceLabel::Computed => "computed",
                SourceLabel::Practice => "common practice",
            };
            let limit = check.limit.map_or_else(String::new, |l| decimal(l, 2));
            vec![
                check.item.clone(),
                check.rule.clone(),
                check.clause.clone().unwrap_or_default(),
                format!("{} {}", decimal(check.value, 2), check.unit),
                limit,
                verdict.to_owned(),
                source.to_owned(),
                check.working.clone(),
            ]
        })
        .collect();
    let columns = vec![
        ("item", LEFT),
        ("rule", LEFT),
        ("clause", LEFT),
        ("value", RIGHT),
        ("limit", RIGHT),
        ("verdict", LEFT),
        ("source", LEFT),
        ("working", LEFT),
    ];
    table("checks", "CHECKS", columns, rows)
}

fn load_table(drawn: &Drawn) -> Table {
    let load = &drawn.checks.load;
    let square_feet = |inches: f64| format!("{} ft²", decimal(inches / 144.0, 1));
    let rows = [
        ("element length", feet_inches(load.element_length)),
        ("element area", square_feet(load.element_area)),
        ("heated zone area on the slope", square_feet(load.zone_area)),
        ("power at the supply voltage", format!("{} W", decimal(load.watts, 0))),
        ("sum of circuit currents", format!("{} A", decimal(load.amps, 2))),
        ("on the element's own area", format!("{} W/ft²", decimal(load.element_watt_density, 1))),
        ("on the zone", format!("{} W/ft²", decimal(load.zone_watt_density, 1))),
    ]
    .into_iter()
    .map(|(what, value)| vec![what.to_owned(), value])
    .collect();
    table("load", "LOAD", vec![("what", LEFT), ("value", RIGHT)], rows)
}

/// Every edge of the roof.
pub(super) fn edge_table(roof: &Roof) -> Table {
    let rows = roof
        .edges
        .iter()
        .map(|edge| {
            let faces: Vec<String> = roof.sides(edge.id).map(|f| f.to_string()).collect();
            let kind = format!("{}{}", edge.kind.words(), basis_mark(edge.basis));
            vec![
                edge.id.to_string(),
                kind,
                faces.join(" "),
                feet_inches(roof.segment(edge.id).length()),
                feet_inches(roof.slope_length(edge.id)),
            ]
        })
        .collect();
    let columns = vec![("edge", LEFT), ("kind", LEFT), ("faces", LEFT), ("in plan", RIGHT), ("true length", RIGHT)];
    table("edges", "ROOF EDGES", columns, rows)
}
