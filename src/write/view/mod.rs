//! The drawings as one self-contained HTML page for a tablet on the roof: layers to switch, pan and zoom, tap a segment to see
//! its row and a row to find its segment. It loads nothing, and its policy forbids that it could.

use crate::courses::Segment;
use crate::pipeline::Project;
use crate::sheet::{Sheet, SheetSet};
use crate::units::feet_inches;
use crate::wiring::End;
use std::collections::BTreeMap;

const STYLE: &str = include_str!("page.css");
const SCRIPT: &str = include_str!("page.js");

/// The page of a draft: every sheet that shows a model, and a row for each segment. `drawings` are the sheets' SVG files in the
/// order of the set.
#[must_use]
pub fn view_page(project: &Project, set: &SheetSet, drawings: &[Vec<u8>]) -> Vec<u8> {
    let drawn = set.sheets.iter().zip(drawings).filter(|(sheet, _)| !sheet.viewports.is_empty());
    let (sheets, drawings): (Vec<&Sheet>, Vec<std::borrow::Cow<str>>) =
        drawn.map(|(sheet, svg)| (sheet, String::from_utf8_lossy(svg))).unzip();
    let title = format!("{} {}", set.job_number, set.title);
    let mut page = String::from("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n");
    page += "<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n";
    page += "<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src 'unsafe-inline'; \
             script-src 'unsafe-inline'\">\n";
    page += &format!("<title>{}</title>\n<style>\n{STYLE}</style>\n</head>\n<body>\n", escaped(&title));
    let preliminary = drawings.iter().any(|svg| svg.contains(">PRELIMINARY</text>"));
    page += &header(&title, &sheets, preliminary);
    page += "<main>\n";
    for (sheet, svg) in sheets.iter().zip(&drawings) {
        page += &drawing(sheet, svg);
    }
    page += "</main>\n<aside>\n";
    page += &format!(
        "<p class=\"printed\"><strong>{}</strong>{}</p>\n",
        escaped(&title),
        if preliminary { format!(" {PRELIMINARY}") } else { String::new() }
    );
    page += &layer_switches(set, &drawings);
    page += &segment_table(project, set, &sheets);
    page += "</aside>\n<script>\n";
    page += SCRIPT;
    page += "</script>\n</body>\n</html>\n";
    page.into_bytes()
}

/// Said of a set that is not settled.
const PRELIMINARY: &str = "PRELIMINARY, NOT FOR CONSTRUCTION";

/// Text as it may stand between tags and in quoted attributes.
fn escaped(text: &str) -> String {
    text.replace('&', "&amp;").replace('<', "&lt;").replace('>', "&gt;").replace('"', "&quot;")
}

fn header(title: &str, sheets: &[&Sheet], preliminary: bool) -> String {
    let mut out = format!("<header>\n<h1>{}</h1>\n", escaped(title));
    if preliminary {
        out += &format!("<strong class=\"status\">{PRELIMINARY}</strong>\n");
    }
    out += "<select id=\"sheet\" aria-label=\"Sheet\">\n";
    for sheet in sheets {
        let (number, title) = (escaped(&sheet.number), escaped(&sheet.title));
        out += &format!("<option value=\"{number}\">{number} {title}</option>\n");
    }
    out += "</select>\n";
    for (id, sign, words) in [("larger", "+", "Larger"), ("smaller", "\u{2212}", "Smaller")] {
        out += &format!("<button id=\"{id}\" aria-label=\"{words}\">{sign}</button>\n");
    }
    out += "<button id=\"whole\">Whole sheet</button>\n<button id=\"print\">Print</button>\n";
    out += "<input id=\"search\" type=\"search\" placeholder=\"Find a segment\" aria-label=\"Find a segment\">\n</header>\n";
    out
}

/// One sheet, drawn as its SVG file draws it.
fn drawing(sheet: &Sheet, svg: &str) -> String {
    // Ids must be unique in a page; those of the sheet's own file become classes.
    let svg = svg.replace(" id=\"frame\"", " class=\"frame\"").replace(" id=\"paper\"", " class=\"paper\"");
    format!("<section class=\"sheet\" data-sheet=\"{}\">\n{svg}</section>\n", escaped(&sheet.number))
}

/// A box to tick for each layer that these sheets draw on.
fn layer_switches(set: &SheetSet, drawings: &[std::borrow::Cow<str>]) -> String {
    let used = |name: &str| drawings.iter().any(|svg| svg.contains(&format!("class=\"layer-{name}\"")));
    let mut out = String::from("<details>\n<summary>Layers</summary>\n");
    for layer in set.layers.iter().filter(|layer| used(layer.name)) {
        let (name, words) = (escaped(layer.name), escaped(layer.words));
        out += &format!("<label><input type=\"checkbox\" data-layer=\"{name}\" checked> {words}</label>\n");
    }
    out + "</details>\n"
}

fn segment_table(project: &Project, set: &SheetSet, sheets: &[&Sheet]) -> String {
    let mut out = String::from("<table>\n<thead><tr>");
    for head in ["tag", "cut", "from", "up", "fed", "chain", "circuit", "box"] {
        // Heads stand over their figures.
        let class = if ["cut", "from", "up"].contains(&head) { " class=\"figure\"" } else { "" };
        out += &format!("<th{class}>{head}</th>");
    }
    out += "</tr></thead>\n<tbody>\n";
    let numbers = sheets_of(set, sheets);
    let first = sheets.first().map_or("", |sheet| sheet.number.as_str());
    for segment in &project.courses.segments {
        let number = numbers.get(segment.id.to_string().as_str()).copied();
        out += &segment_row(project, segment, number.unwrap_or(first));
    }
    let measured = project.measured.as_ref();
    let status = crate::field::cut_status(measured);
    let until =
        if measured.is_some_and(crate::field::Measured::for_cutting) { "" } else { " until the roof is measured" };
    out + &format!(
        "</tbody>\n</table>\n<p>Cut lengths {status}{until}. Local code and the element maker's instructions govern.</p>\n"
    )
}

/// The number of the last sheet that shows an item, by the item's id: of a segment its face sheet, which follows the plan.
fn sheets_of<'s>(set: &'s SheetSet, sheets: &[&'s Sheet]) -> BTreeMap<&'s str, &'s str> {
    let views = sheets.iter().flat_map(|sheet| sheet.viewports.iter().map(|view| (sheet.number.as_str(), view)));
    let shown = views.flat_map(|(number, view)| set.models[view.model.0].items.iter().map(move |item| (item, number)));
    shown.map(|(item, number)| (item.id.as_str(), number)).collect()
}

fn segment_row(project: &Project, segment: &Segment, sheet: &str) -> String {
    let feed = project.wiring.feed(segment.id);
    let fed = feed.map_or("not installed", |feed| match feed.fed_end {
        End::Left => "left",
        End::Right => "right",
    });
    let chain = feed.map_or_else(String::new, |feed| feed.chain.to_string());
    let circuit = feed.map_or_else(String::new, |f| project.wiring.circuits[f.circuit.index()].tag.clone());
    let junction = feed.map_or_else(String::new, |f| project.wiring.boxes[f.junction_box.index()].tag.clone());
    let mut out = format!("<tr data-segment=\"{}\" data-sheet=\"{}\" tabindex=\"0\">", segment.id, escaped(sheet));
    out += &format!("<td>{}</td>", escaped(&segment.tag));
    for length in [segment.cut_length, segment.station, segment.offset] {
        out += &format!("<td class=\"figure\">{}</td>", escaped(&feet_inches(length)));
    }
    for words in [fed, &chain, &circuit, &junction] {
        out += &format!("<td>{}</td>", escaped(words));
    }
    out + "</tr>\n"
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::project_fixture::project;
    use crate::write::sheet_svg;

    fn page(project: &Project) -> String {
        let set = crate::sheet::sheets(project).value;
        let drawings: Vec<Vec<u8>> = set.sheets.iter().map(|sheet| sheet_svg(&set, sheet)).collect();
        String::from_utf8(view_page(project, &set, &drawings)).unwrap()
    }

    #[test]
    fn every_segment_has_its_row_and_nothing_is_loaded() {
        let project = project();
        let page = page(&project);
        assert!(!project.courses.segments.is_empty());
        let figures = |words: &str, cell: &str| -> Vec<bool> {
            words.split(&format!("<{cell}")).skip(1).map(|rest| rest.starts_with(" class=\"figure\"")).collect()
        };
        let heads =
            figures(page.split("<thead><tr>").nth(1).and_then(|rest| rest.split("</tr>").next()).unwrap(), "th");
        let mut fed = 0;
        for segment in &project.courses.segments {
            assert_eq!(page.matches(&format!("<tr data-segment=\"{}\"", segment.id)).count(), 1);
            assert!(page.contains(&format!("<td>{}</td>", segment.tag)));
            let row = page
                .split(&format!("<tr data-segment=\"{}\"", segment.id))
                .nth(1)
                .and_then(|rest| rest.split("</tr>").next());
            assert_eq!(row.unwrap().matches("<td").count(), page.matches("</th>").count(), "{row:?}");
            assert_eq!(figures(row.unwrap(), "td"), heads, "{row:?}");
            let Some(feed) = project.wiring.feed(segment.id) else { continue };
            let circuit = &project.wiring.circuits[feed.circuit.index()].tag;
            assert!(row.unwrap().contains(&format!("<td>{}</td><td>{circuit}</td>", feed.chain)), "{row:?}");
            fed += 1;
        }
        assert_eq!(fed, project.wiring.feeds.len());
        let outside = page.replace("http://www.w3.org/2000/svg", "").replace("http-equiv", "");
        for word in ["http", " src=", "@import", "url(", "fetch", "XMLHttpRequest"] {
            assert!(!outside.contains(word), "{word}");
        }
        assert!(page.contains("PRELIMINARY, NOT FOR CONSTRUCTION"), "as the sheets say");
        for once in ["id=\"sheet\"", "id=\"search\""] {
            assert_eq!(page.matches(once).count(), 1, "{once}");
        }
    }

    #[test]
    fn words_of_a_job_cannot_become_markup() {
        let mut project = project();
        project.job.project.title = "<script>alert(1)</script> \"&\"".into();
        let page = page(&project);
        assert_eq!(page.matches("<script>").count(), 1, "our own");
        assert!(page.contains("&lt;script&gt;alert(1)&lt;/script&gt;"));
    }
}
