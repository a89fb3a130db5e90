//! Labels for pieces, boxes and circuits, and a packing slip for each kit, as a page to print: three labels across letter paper.

use crate::checks::{Reading, ReadingOf};
use crate::field::cut_status;
use crate::index::SegmentId;
use crate::pipeline::Project;
use crate::units::{decimal, feet_inches};
use crate::wiring::End;
use std::collections::BTreeMap;

const STYLE: &str = "@page{size:letter;margin:0.5in}body{font:9pt sans-serif;margin:0}h1{font-size:12pt;break-after:avoid}\
    .labels{display:grid;grid-template-columns:repeat(3,2.4in);gap:0.1in}\
    .label{border:1px solid #000;padding:0.06in;height:0.95in;overflow:hidden;break-inside:avoid}\
    .label b{font-size:13pt}table{border-collapse:collapse;break-inside:avoid}td,th{border:1px solid #000;padding:2px 6px;text-align:left}\
    .kit{break-before:page}";

/// The page.
#[must_use]
pub fn labels_page(project: &Project) -> Vec<u8> {
    let number = escaped(&project.job.project.number);
    let status = cut_status(project.measured.as_ref());
    let mut out = format!(
        "<!DOCTYPE html>\n<html lang=\"en\"><head><meta charset=\"utf-8\"><title>Labels {number}</title><style>{STYLE}</style></head>\
         <body>\n"
    );
    let readings = project.checks.readings_of(ReadingOf::Segment);
    let tag = |id: SegmentId| project.courses.segments[id.index()].tag.as_str();
    for kit in &project.takeoff.kits {
        out += &format!("<section class=\"kit\"><h1>KIT {}, job {number}: {status}</h1>\n", kit.face);
        out += "<table><tr><th>what</th><th>how many</th><th>which</th></tr>\n";
        let pieces: Vec<&str> = kit.segments.iter().map(|&id| tag(id)).collect();
        let leads: Vec<String> = kit
            .leads
            .iter()
            .map(|id| format!("{id} ({})", feet_inches(project.wiring.leads[id.index()].length)))
            .collect();
        out += &slip("pieces of element", pieces.len() as f64, &pieces.join(" "));
        out += &slip("leads and jumpers", leads.len() as f64, &leads.join(" "));
        for part in &kit.parts {
            let item = project.takeoff.materials.iter().find(|m| m.key == part.key);
            out += &slip(item.map_or(part.key.as_str(), |m| m.words.as_str()), part.quantity, "");
        }
        out += "</table>\n<div class=\"labels\">\n";
        for &id in &kit.segments {
            out += &segment_label(project, &readings, id, &number, status);
        }
        out += "</div></section>\n";
    }
    out += &format!("<section class=\"kit\"><h1>Boxes and circuits, job {number}</h1><div class=\"labels\">\n");
    for junction in &project.wiring.boxes {
        let circuits: Vec<&str> = project
            .wiring
            .circuits
            .iter()
            .filter(|c| c.chains.iter().any(|chain| junction.chains.contains(chain)))
            .map(|c| c.tag.as_str())
            .collect();
        let words =
            format!("circuits {}<br>Roof heating. De-energize and lock out before opening.", circuits.join(", "));
        out += &label(&junction.tag, &number, &words);
    }
    for circuit in &project.wiring.circuits {
        let words = format!(
            "roof heating, {} A, {} W<br>ground-fault protection of equipment: test by its button",
            decimal(circuit.breaker, 0),
            decimal(circuit.watts, 0)
        );
        out += &label(&circuit.tag, &number, &words);
    }
    out += "</div></section>\n</body></html>\n";
    out.into_bytes()
}

fn slip(what: &str, quantity: f64, which: &str) -> String {
    format!("<tr><td>{}</td><td>{}</td><td>{}</td></tr>\n", escaped(what), decimal(quantity, 2), escaped(which))
}

fn label(tag: &str, number: &str, words: &str) -> String {
    format!("<div class=\"label\"><b>{}</b> &nbsp; job {number}<br>{words}</div>\n", escaped(tag))
}

fn segment_label(
    project: &Project,
    readings: &BTreeMap<&str, &Reading>,
    id: SegmentId,
    number: &str,
    status: &str,
) -> String {
    let segment = &project.courses.segments[id.index()];
    let reading = readings.get(segment.tag.as_str());
    let ohms = match reading.and_then(|r| Some((r.low?, r.high?))) {
        Some((low, high)) => format!("{} to {} ohm", decimal(low, 1), decimal(high, 1)),
        None => reading.map(|r| format!("about {} ohm", decimal(r.ohms, 1))).unwrap_or_default(),
    };
    let fed = project.wiring.feed(id).map_or_else(String::new, |feed| {
        let end = match feed.fed_end {
            End::Left => "left",
            End::Right => "right",
        };
        let junction = &project.wiring.boxes[feed.junction_box.index()].tag;
        let circuit = &project.wiring.circuits[feed.circuit.index()].tag;
        format!("fed at the {end} end, {}, box {junction}, circuit {circuit}", feed.chain)
    });
    let cut = feet_inches(segment.cut_length);
    let words =
        format!("{} &nbsp; <b>{cut}</b><br>{}<br>{ohms}<br>{status}", escaped(&segment.element_key), escaped(&fed));
    label(&segment.tag, number, &words)
}

fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::takeoff::Kit;
    use crate::write::project_fixture::project;

    #[test]
    fn every_piece_box_and_circuit_has_a_label() {
        let mut project = project();
        project.takeoff.kits = vec![Kit {
            face: crate::index::FaceId(0),
            segments: vec![SegmentId(0)],
            leads: vec![crate::index::LeadId(0)],
            parts: Vec::new(),
        }];
        project.job.project.number = "A<1>".into();
        let page = String::from_utf8(labels_page(&project)).unwrap();
        assert_eq!(page.matches("class=\"label\"").count(), 3, "{page}");
        assert!(
            page.contains("F1-0-1")
                && page.contains("39'-0\"")
                && page.contains("FOR QUOTE ONLY")
                && !page.contains("A<1>")
        );
    }
}
