//! The schedules of E-601: load, circuits, boxes, chains, materials, checks, edges.

use super::Drawn;
use super::face_leads::id_ranges;
use super::flow::{Align, Table};
use super::plan_model::circuits_of;
use super::roof_lines::basis_mark;
use crate::checks::{Check, SourceLabel, Verdict};
use crate::courses::Segment;
use crate::electrical::interrupting_rating;
use crate::field::{Measured, cut_status};
use crate::index::{ChainId, LeadId};
use crate::roof::Roof;
use crate::terms::{BoxPlace, Supply};
use crate::units::{decimal, feet_inches};
use crate::wiring::{End, Lead};

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;
/// What the job does not say and others must.
const TO_BE_GIVEN: &str = "by others, to be given";

fn table(id: &str, title: &str, columns: Vec<(&'static str, Align)>, rows: Vec<Vec<String>>) -> Table {
    Table { id: id.to_owned(), title: title.to_owned(), columns, rows, foot: None }
}

/// Whether lengths may be cut from.
fn status_words(drawn: &Drawn) -> String {
    if drawn.record.is_some() {
        return "AS BUILT".to_owned();
    }
    let until = if drawn.measured.is_some_and(Measured::for_cutting) { "" } else { " until the roof is measured" };
    format!("{}{until}", cut_status(drawn.measured))
}

/// All schedules in reading order.
pub(super) fn schedules(drawn: &Drawn) -> Vec<Table> {
    vec![
        load_table(drawn),
        panel_table(drawn),
        circuit_table(drawn),
        box_table(drawn),
        chain_table(drawn),
        material_table(drawn),
        check_table(drawn),
        edge_table(drawn.roof),
    ]
}

/// How a segment is fed, in cells: fed end, chain, circuit, box.
pub(super) fn feed_cells(drawn: &Drawn, segment: &Segment) -> [String; 4] {
    let Some(feed) = drawn.wiring.feed(segment.id) else {
        return ["not installed".to_owned(), String::new(), String::new(), String::new()];
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

/// Chain by chain what is fed from where; pieces and leads one by one stand on the face sheets.
fn chain_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .wiring
        .chains
        .iter()
        .map(|chain| {
            let pieces: Vec<&Segment> = chain.segments.iter().map(|s| &drawn.courses.segments[s.index()]).collect();
            let tags: Vec<&str> = pieces.iter().map(|s| s.tag.as_str()).collect();
            let feeds = chain.segments.iter().filter_map(|&segment| drawn.wiring.feed(segment));
            let mut leads: Vec<&Lead> = feeds.map(|feed| &drawn.wiring.leads[feed.lead.index()]).collect();
            leads.sort_by_key(|lead| lead.id);
            let (ids, lengths): (Vec<u32>, Vec<f64>) = leads.iter().map(|l| (l.id.0, l.length)).unzip();
            vec![
                chain.id.to_string(),
                drawn.wiring.circuits[chain.circuit.index()].tag.clone(),
                drawn.wiring.boxes[chain.junction_box.index()].tag.clone(),
                tags.join(" "),
                feet_inches(chain.element_length),
                id_ranges(ids, |n| LeadId(n).to_string()),
                feet_inches(lengths.iter().sum()),
                decimal(chain.watts, 0),
                decimal(chain.amps, 2),
                decimal(chain.far_end_volts, 1),
            ]
        })
        .collect();
    let columns = vec![
        ("chain", LEFT),
        ("circuit", LEFT),
        ("box", LEFT),
        ("segments from the box outwards", LEFT),
        ("element", RIGHT),
        ("leads", LEFT),
        ("lead length", RIGHT),
        ("watts", RIGHT),
        ("amps", RIGHT),
        ("far end V", RIGHT),
    ];
    Table {
        foot: Some(format!("{}. Pieces and leads one by one: see the face sheets.", status_words(drawn))),
        ..table("chains", "CHAINS", columns, rows)
    }
}

/// The panel the circuits come from. What others must give is said, never assumed.
fn panel_table(drawn: &Drawn) -> Table {
    let electrical = &drawn.job.electrical;
    let amps = |value: Option<f64>| value.map_or_else(|| TO_BE_GIVEN.to_owned(), |a| format!("{} A", decimal(a, 0)));
    let phases = match electrical.supply {
        Supply::SinglePhase => "single phase",
        Supply::ThreePhase => "three phase",
    };
    let panel = electrical.panel.as_ref();
    let service = panel.and_then(|p| p.service);
    let interrupting = electrical.fault_current.map_or_else(
        || "follows from the fault current".to_owned(),
        |fault| match interrupting_rating(fault) {
            Some(rating) => format!("{} A or more; next common rating {} A", decimal(fault, 0), decimal(rating, 0)),
            None => format!("{} A or more", decimal(fault, 0)),
        },
    );
    let fault = electrical.fault_current.map_or_else(
        || "by the utility, to be given".to_owned(),
        |fault| format!("{} A as given by the job", decimal(fault, 0)),
    );
    let rows = [
        ("panel", panel.map_or_else(|| TO_BE_GIVEN.to_owned(), |p| p.tag.clone())),
        ("supply", format!("{} V, {phases}", decimal(electrical.volts.value, 0))),
        ("bus", amps(panel.and_then(|p| p.bus_amps))),
        ("main breaker", amps(service.map(|s| s.main_amps))),
        ("load without this work", amps(service.map(|s| s.existing_amps))),
        ("free poles", panel.map_or_else(|| TO_BE_GIVEN.to_owned(), |p| p.spaces.to_string())),
        ("current left for this work", amps(panel.map(|p| p.spare_amps))),
        ("this work as a continuous load", format!("{} A", decimal(drawn.checks.load.continuous_amps, 2))),
        ("available fault current", fault),
        ("interrupting rating of the breakers", interrupting),
    ];
    let rows = rows.into_iter().map(|(what, value)| vec![what.to_owned(), value]).collect();
    table("panel", "PANEL", vec![("what", LEFT), ("value", LEFT)], rows)
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
        ("amps x 1.25", RIGHT),
        ("breaker A", RIGHT),
        ("poles", RIGHT),
        ("GFPE", LEFT),
        ("wire", LEFT),
        ("ground", LEFT),
        ("priority", RIGHT),
    ];
    let mut foot =
        "Continuous load: conductor and breaker at 125 %. GFPE: ground-fault protection of equipment at the breaker."
            .to_owned();
    let shed: Vec<&str> = drawn.wiring.shed.iter().map(|shed| shed.tag.as_str()).collect();
    if !shed.is_empty() {
        foot += &format!(" NOT INSTALLED, the panel cannot carry them: {}; see E-604.", shed.join(", "));
    }
    Table { foot: Some(foot), ..table("circuits", "BRANCH CIRCUITS", columns, rows) }
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
    Table { foot: Some(format!("{}.", status_words(drawn))), ..table("materials", "MATERIALS", columns, rows) }
}

/// Checks of one rule that came out alike share a row with the range of what was found and the arithmetic of the highest;
/// a check that failed stands alone.
fn check_table(drawn: &Drawn) -> Table {
    let alike = |a: &Check, b: &Check| {
        a.verdict == b.verdict
            && a.verdict != Verdict::Fail
            && (&a.rule, &a.clause, &a.unit, a.source) == (&b.rule, &b.clause, &b.unit, b.source)
            && a.limit == b.limit
    };
    let mut groups: Vec<Vec<&Check>> = Vec::new();
    for check in &drawn.checks.checks {
        match groups.iter_mut().find(|group| alike(group[0], check)) {
            Some(group) => group.push(check),
            None => groups.push(vec![check]),
        }
    }
    let rows = groups.iter().map(|group| check_row(group)).collect();
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
    Table {
        foot: Some(
            "One row for all items of a rule that came out alike: the working is that of the highest value.".into(),
        ),
        ..table("checks", "CHECKS", columns, rows)
    }
}

fn check_row(group: &[&Check]) -> Vec<String> {
    let first = group[0];
    let highest = group.iter().fold(first, |high, check| if check.value > high.value { check } else { high });
    let lowest = group.iter().map(|c| c.value).fold(first.value, f64::min);
    let [low, high, limit] = [Some(lowest), Some(highest.value), first.limit].map(|v| figure(v, first));
    let value = if low == high { high } else { format!("{low} to {high}") };
    let verdict = match first.verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "FAIL",
        Verdict::Authority => "authority decides",
    };
    let source = match first.source {
        SourceLabel::Seen => "seen as quoted",
        SourceLabel::Memory => "from memory: verify",
        SourceLabel::Computed => "computed",
        SourceLabel::Practice => "common practice",
    };
    let working =
        if group.len() == 1 { first.working.clone() } else { format!("{}: {}", highest.item, highest.working) };
    vec![
        item_ranges(group),
        first.rule.clone(),
        first.clause.clone().unwrap_or_default(),
        format!("{value} {}", first.unit).trim().to_owned(),
        limit,
        verdict.to_owned(),
        source.to_owned(),
        working,
    ]
}

/// A figure of a check. What has no unit is no quantity but a yes or no, and nothing at all where there is nothing to hold it against.
fn figure(value: Option<f64>, check: &Check) -> String {
    match (value, check.limit) {
        (None, _) => String::new(),
        (Some(value), _) if !check.unit.is_empty() => decimal(value, 2),
        (Some(_), None) => String::new(),
        (Some(value), Some(_)) => if value > 0.0 { "yes" } else { "no" }.to_owned(),
    }
}

/// `K1-K39`, or the items one after the other where they are not a letter and a number.
fn item_ranges(group: &[&Check]) -> String {
    let split = |item: &str| {
        let (letter, number) = item.split_at_checked(1)?;
        Some((letter.to_owned(), number.parse::<u32>().ok()?))
    };
    let parts: Option<Vec<(String, u32)>> = group.iter().map(|c| split(&c.item)).collect();
    match parts {
        Some(parts) if parts.iter().all(|p| p.0 == parts[0].0) => {
            id_ranges(parts.iter().map(|p| p.1), |n| format!("{}{n}", parts[0].0))
        }
        _ => group.iter().map(|c| c.item.as_str()).collect::<Vec<_>>().join(" "),
    }
}

fn load_table(drawn: &Drawn) -> Table {
    let load = &drawn.checks.load;
    let square_feet = |inches: f64| format!("{} ft²", decimal(inches / 144.0, 1));
    let mut rows = vec![
        ("element length", feet_inches(load.element_length)),
        ("element area", square_feet(load.element_area)),
        ("heated zone area on the slope", square_feet(load.zone_area)),
        ("power at the supply voltage", format!("{} W", decimal(load.watts, 0))),
        ("sum of circuit currents", format!("{} A", decimal(load.amps, 2))),
        ("on the element's own area", format!("{} W/ft²", decimal(load.element_watt_density, 1))),
        ("on the zone", format!("{} W/ft²", decimal(load.zone_watt_density, 1))),
    ];
    if load.gutter_length > 0.0 {
        let watts = match load.gutter_watts {
            0.0 => "power not given".to_owned(),
            watts => format!("{} W", decimal(watts, 0)),
        };
        rows.push(("heater in gutters and downspouts", format!("{}, {watts}", feet_inches(load.gutter_length))));
        rows.push(("power in all", format!("{} W, {} A", decimal(load.total_watts, 0), decimal(load.total_amps, 2))));
    }
    let rows = rows.into_iter().map(|(what, value)| vec![what.to_owned(), value]).collect();
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

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;
    use crate::roof::fixtures::gable;

    fn panel_rows(change: impl Fn(&mut Job)) -> Vec<Vec<String>> {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        change(&mut job);
        panel_table(&layout_of(gable(480.0, 288.0, 0.5), job).drawn()).rows
    }

    fn value<'r>(rows: &'r [Vec<String>], what: &str) -> &'r str {
        &rows.iter().find(|row| row[0] == what).unwrap_or_else(|| panic!("{what}"))[1]
    }

    /// A question without a quantity shows no figure: a bare 1 or 0 says nothing to a reviewer.
    #[test]
    fn checks_without_a_unit_answer_yes_or_no_or_nothing() {
        let made = layout_of(gable(480.0, 288.0, 0.5), Job::with_defaults(&Catalogue::sample()).unwrap());
        let drawn = made.drawn();
        let rows = check_table(&drawn).rows;
        let mut seen = std::collections::BTreeSet::new();
        for check in drawn.checks.checks.iter().filter(|c| c.unit.is_empty()) {
            let row = rows.iter().find(|row| row[1] == check.rule).unwrap();
            let shown = (row[3].as_str(), row[4].as_str());
            assert!([("", ""), ("yes", "yes"), ("no", "yes")].contains(&shown), "{row:?}");
            seen.insert(shown);
        }
        assert!(seen.len() > 1, "{seen:?}");
        assert!(rows.iter().any(|row| row[3].ends_with(" A") && !row[4].is_empty()));
    }

    /// A reviewer asks for bus, main, fault current and interrupting rating: what nobody gave is asked back, not made up.
    #[test]
    fn what_the_job_does_not_say_of_the_panel_is_left_to_others() {
        let rows = panel_rows(|_| ());
        for what in ["panel", "bus", "main breaker"] {
            assert_eq!(value(&rows, what), TO_BE_GIVEN, "{what}");
        }
        assert_eq!(value(&rows, "available fault current"), "by the utility, to be given");
        let rows = panel_rows(|job| job.electrical.fault_current = Some(12_500.0));
        assert_eq!(value(&rows, "available fault current"), "12500 A as given by the job");
        let rating = value(&rows, "interrupting rating of the breakers");
        assert_eq!(rating, "12500 A or more; next common rating 14000 A");
    }
}
