//! Schedules become CSV (RFC 4180: comma, quotes where needed, CR LF).

use crate::index::SegmentId;
use crate::pipeline::Project;
use crate::units::{INCHES_PER_FOOT, decimal, feet_inches};
use crate::wiring::{End, Feed};

/// Rows of text as CSV bytes, the heading first.
pub(super) fn csv(heading: &[&str], rows: &[Vec<String>]) -> Vec<u8> {
    let mut out = String::new();
    push_row(&mut out, heading.iter().copied());
    for row in rows {
        push_row(&mut out, row.iter().map(String::as_str));
    }
    out.into_bytes()
}

fn push_row<'a>(out: &mut String, cells: impl Iterator<Item = &'a str>) {
    for (i, cell) in cells.enumerate() {
        if i > 0 {
            out.push(',');
        }
        let plain = !cell.contains(['"', ',', '\r', '\n']) && cell.trim() == cell;
        if plain {
            out.push_str(cell);
        } else {
            out.push('"');
            out.push_str(&cell.replace('"', "\"\""));
            out.push('"');
        }
    }
    out.push_str("\r\n");
}

/// The cut list: one row a segment, in segment order. What feeds a segment is empty when nothing does.
#[must_use]
pub fn segments_csv(project: &Project) -> Vec<u8> {
    let heading = [
        "tag",
        "segment",
        "face",
        "zone",
        "course",
        "element",
        "station_in",
        "offset_in",
        "cut_in",
        "cut",
        "fed_end",
        "chain",
        "circuit",
        "box",
        "lead",
        "lead_in",
    ];
    let wiring = &project.wiring;
    let rows: Vec<Vec<String>> = project
        .courses
        .segments
        .iter()
        .map(|s| {
            let feed = wiring.feed(s.id);
            let fed = |cell: &dyn Fn(&Feed) -> String| feed.map(cell).unwrap_or_default();
            vec![
                s.tag.clone(),
                s.id.to_string(),
                s.face.to_string(),
                s.zone.to_string(),
                s.course.to_string(),
                s.element_key.clone(),
                decimal(s.station, 3),
                decimal(s.offset, 3),
                decimal(s.cut_length, 3),
                feet_inches(s.cut_length),
                feed.map_or("not installed", |f| match f.fed_end {
                    End::Left => "left",
                    End::Right => "right",
                })
                .to_owned(),
                fed(&|f| f.chain.to_string()),
                fed(&|f| wiring.circuits[f.circuit.index()].tag.clone()),
                fed(&|f| wiring.boxes[f.junction_box.index()].tag.clone()),
                fed(&|f| f.lead.to_string()),
                fed(&|f| decimal(wiring.leads[f.lead.index()].length, 3)),
            ]
        })
        .collect();
    csv(&heading, &rows)
}

/// The panel schedule: one row a circuit.
#[must_use]
pub fn circuits_csv(project: &Project) -> Vec<u8> {
    let heading = [
        "circuit",
        "tag",
        "volts",
        "watts",
        "amps",
        "breaker_a",
        "conductor_awg",
        "ground_awg",
        "priority",
        "chains",
        "boxes",
        "segments",
        "element_ft",
        "lines",
        "conduit",
        "drop_v",
        "leakage_ma",
        "start_a",
    ];
    let optional = |value: Option<f64>, places| value.map(|v| decimal(v, places)).unwrap_or_default();
    let wiring = &project.wiring;
    let tag_of = |id: &SegmentId| project.courses.segments[id.index()].tag.as_str();
    let rows: Vec<Vec<String>> = wiring
        .circuits
        .iter()
        .map(|c| {
            let supply = project.checks.supplies.iter().find(|supply| supply.circuit == c.id);
            let chains: Vec<_> = c.chains.iter().map(|id| &wiring.chains[id.index()]).collect();
            let mut boxes: Vec<&str> =
                chains.iter().map(|chain| wiring.boxes[chain.junction_box.index()].tag.as_str()).collect();
            boxes.dedup();
            let segments: Vec<&str> = chains.iter().flat_map(|chain| chain.segments.iter().map(tag_of)).collect();
            let element: f64 = chains.iter().map(|chain| chain.element_length).sum();
            vec![
                c.id.to_string(),
                c.tag.clone(),
                decimal(project.job.electrical.volts.value, 1),
                decimal(c.watts, 1),
                decimal(c.amps, 3),
                decimal(c.breaker, 0),
                c.conductor_awg.to_string(),
                c.ground_awg.to_string(),
                c.priority.to_string(),
                c.chains.iter().map(ToString::to_string).collect::<Vec<_>>().join(" "),
                boxes.join(" "),
                segments.join(" "),
                decimal(element / INCHES_PER_FOOT, 2),
                supply.map(|s| s.lines.clone()).unwrap_or_default(),
                supply.and_then(|s| s.conduit.clone()).unwrap_or_default(),
                optional(supply.and_then(|s| s.drop), 3),
                optional(supply.and_then(|s| s.leakage), 3),
                optional(supply.and_then(|s| s.start_amps), 3),
            ]
        })
        .collect();
    csv(&heading, &rows)
}

/// The material list, in the order of the takeoff.
#[must_use]
pub fn materials_csv(project: &Project) -> Vec<u8> {
    let rows: Vec<Vec<String>> = project
        .takeoff
        .materials
        .iter()
        .map(|m| {
            vec![
                m.group.clone(),
                m.key.clone(),
                m.words.clone(),
                decimal(m.quantity, 2),
                m.unit.clone(),
                decimal(m.order, 0),
                m.basis.clone(),
            ]
        })
        .collect();
    csv(&["group", "key", "item", "quantity", "unit", "order", "basis"], &rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::project_fixture::project;

    fn text(bytes: Vec<u8>) -> String {
        String::from_utf8(bytes).unwrap()
    }

    #[test]
    fn quotes_commas_and_breaks_are_quoted() {
        let row = ["6\"", "a,b", "two\nlines", " spaced", "plain", ""].map(str::to_owned).to_vec();
        assert_eq!(
            text(csv(&["a", "b", "c", "d", "e", "f"], &[row])),
            "a,b,c,d,e,f\r\n\"6\"\"\",\"a,b\",\"two\nlines\",\" spaced\",plain,\r\n"
        );
    }

    #[test]
    fn the_cut_list_says_what_is_cut_and_what_feeds_it() {
        let list = text(segments_csv(&project()));
        let rows: Vec<&str> = list.lines().collect();
        assert_eq!(rows.len(), 3);
        let head = rows[0].split(',').count();
        assert_eq!(rows[1], "F1-0-1,S1,F1,Z1,0,starter-2,6,0,468,\"39'-0\"\"\",left,K1,HT-1,J1,L1,96");
        assert_eq!(rows[1].split(',').count(), head);
        assert!(rows[2].ends_with(",\"39'-0\"\"\",not installed,,,,,"), "an unfed segment says so: {}", rows[2]);
    }

    #[test]
    fn schedules_name_every_circuit_and_material() {
        let circuits = text(circuits_csv(&project()));
        assert_eq!(circuits.lines().nth(1).unwrap(), "C1,HT-1,240,390,1.625,15,14,14,1,K1,J1,F1-0-1,39,,,,,");
        let materials = text(materials_csv(&project()));
        assert_eq!(materials.lines().nth(1).unwrap(), "element,starter-2,\"Starter element, 2 in\",39,ft,39,1 piece");
    }
}
