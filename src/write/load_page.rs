//! The load calculation as a page of Markdown: every number from element to panel, for whoever has to follow it.

use crate::checks::{Check, ReadingOf, SourceLabel, Verdict};
use crate::pipeline::Project;
use crate::sheet::{Drawn, preliminary};
use crate::units::{INCHES_PER_FOOT, decimal};
use std::collections::BTreeSet;

/// The page, UTF-8.
#[must_use]
pub fn load_page(project: &Project) -> Vec<u8> {
    let mut page = Page { project, out: String::new() };
    page.head();
    page.inputs();
    page.chains();
    page.circuits();
    page.one_line();
    page.checks();
    page.readings();
    page.insulation();
    page.out.into_bytes()
}

struct Page<'a> {
    project: &'a Project,
    out: String,
}

/// A cell of a Markdown table: bars and line ends would break it.
fn cell(text: &str) -> String {
    text.replace('|', "\\|").replace(['\r', '\n'], " ")
}

fn ohms(value: f64) -> String {
    if value.is_finite() { decimal(value, 2) } else { "open".to_owned() }
}

fn verdict_words(check: &Check) -> &'static str {
    match check.verdict {
        Verdict::Pass => "pass",
        Verdict::Fail => "FAIL",
        Verdict::Authority => "for the authority to decide",
    }
}

impl Page<'_> {
    fn line(&mut self, text: &str) {
        self.out.push_str(text);
        self.out.push('\n');
    }

    fn table(&mut self, heading: &[&str], rows: &[Vec<String>]) {
        self.line(&format!("| {} |", heading.join(" | ")));
        self.line(&format!("|{}", "---|".repeat(heading.len())));
        for row in rows {
            let cells: Vec<String> = row.iter().map(|text| cell(text)).collect();
            self.line(&format!("| {} |", cells.join(" | ")));
        }
        self.line("");
    }

    fn head(&mut self) {
        let info = &self.project.job.project;
        let title = cell(&info.title);
        self.line(&format!("# Load calculation, {}: {title}\n", cell(&info.number)));
        for part in [&info.site, &info.date].into_iter().filter(|part| !part.is_empty()) {
            self.line(&format!("{}  ", cell(part)));
        }
        let edition = self.project.job.electrical.code_edition.value;
        self.line(&format!("Electrical code edition asked for: {edition}.\n"));
        if preliminary(&Drawn::from(self.project)) {
            self.line(
                "**PRELIMINARY, NOT FOR CONSTRUCTION.** Settings are assumed; the notes sheet lists what to settle.\n",
            );
        }
        self.line(
            "The code's own text was not open when this was made: *seen* means seen as quoted on public pages, *memory* that a value was \
             recalled and has to be looked up. The local code, the authority having jurisdiction and the element maker's instructions \
             govern; a licensed electrician checks this page. Work de-energised.\n",
        );
    }

    fn inputs(&mut self) {
        let job = &self.project.job;
        let electrical = &job.electrical;
        let assumed = |given: bool| if given { "" } else { " (assumed)" };
        let mut rows = vec![
            vec![
                "supply".into(),
                format!("{} V{}", decimal(electrical.volts.value, 1), assumed(electrical.volts.given)),
            ],
            vec!["terminals".into(), format!("{} °C", electrical.terminals)],
            vec!["air around branch conductors".into(), format!("{} °F", decimal(electrical.ambient, 0))],
            vec!["circuits in one conduit".into(), electrical.circuits_per_conduit.to_string()],
            vec!["conduit".into(), electrical.conduit.words().into()],
            vec!["ground-fault trip".into(), format!("{} mA", decimal(electrical.ground_fault_trip, 0))],
            vec!["coldest start".into(), format!("{} °F", decimal(electrical.start_temperature, 0))],
        ];
        let products = &job.products;
        let changes = [&products.starter, &products.deck].iter().any(|e| !e.value.power_curve.is_empty());
        if changes {
            let running = electrical.running_temperature;
            let words = format!("{} °F{}", decimal(running.value, 0), assumed(running.given));
            rows.push(vec!["steady load reckoned at".into(), words]);
        }
        if let Some(volts) = electrical.measured_volts {
            rows.push(vec!["supply as measured".into(), format!("{} V", decimal(volts, 1))]);
        }
        for (what, element) in
            [("element on the eave", &job.products.starter), ("element in the courses", &job.products.deck)]
        {
            let value = &element.value;
            rows.push(vec![
                what.into(),
                format!(
                    "{}: {} W/ft at {} V, bus {} ohm/ft{}",
                    value.key,
                    decimal(value.watts_per_foot, 2),
                    decimal(value.volts, 0),
                    decimal(value.bus_ohms_per_foot, 5),
                    assumed(element.given)
                ),
            ]);
        }
        let lead = &job.products.lead;
        let words =
            format!("{}: {} AWG, {} ohm/kft", lead.value.key, lead.value.awg, decimal(lead.value.ohms_per_kft, 3));
        rows.push(vec!["cold lead".into(), words + assumed(lead.given)]);
        self.line("## What went in\n");
        self.table(&["what", "value"], &rows);
        if job.products.invented {
            self.line("Product values come from an invented catalogue and belong to no product.\n");
        }
    }

    fn chains(&mut self) {
        let wiring = &self.project.wiring;
        let rows: Vec<Vec<String>> = wiring
            .chains
            .iter()
            .map(|chain| {
                let tags: Vec<&str> =
                    chain.segments.iter().map(|id| self.project.courses.segments[id.index()].tag.as_str()).collect();
                vec![
                    chain.id.to_string(),
                    tags.join(" "),
                    decimal(chain.element_length / INCHES_PER_FOOT, 2),
                    decimal(chain.watts, 1),
                    decimal(chain.amps, 3),
                    decimal(chain.far_end_volts, 2),
                    wiring.boxes[chain.junction_box.index()].tag.clone(),
                    wiring.circuits[chain.circuit.index()].tag.clone(),
                ]
            })
            .collect();
        self.line("## Chains, behind their own leads\n");
        self.line("Each chain is solved as a line with resistance in both bus bars and conductance between them.\n");
        self.table(&["chain", "pieces", "element ft", "W", "A", "V at far end", "box", "circuit"], &rows);
    }

    fn circuits(&mut self) {
        let project = self.project;
        let optional = |value: Option<f64>, places| value.map_or_else(|| "-".to_owned(), |v| decimal(v, places));
        let rows: Vec<Vec<String>> = project
            .wiring
            .circuits
            .iter()
            .zip(&project.checks.supplies)
            .map(|(circuit, supply)| {
                vec![
                    circuit.tag.clone(),
                    supply.lines.clone(),
                    decimal(circuit.watts, 1),
                    decimal(circuit.amps, 3),
                    decimal(supply.continuous_amps, 3),
                    decimal(circuit.breaker, 0),
                    circuit.conductor_awg.to_string(),
                    circuit.ground_awg.to_string(),
                    supply.conduit.clone().unwrap_or_else(|| "-".into()),
                    optional(supply.drop, 2),
                    optional(supply.leakage, 2),
                    optional(supply.start_amps, 2),
                    circuit.priority.to_string(),
                ]
            })
            .collect();
        self.line("## Circuits\n");
        let heading = [
            "circuit",
            "lines",
            "W",
            "A",
            "125 % A",
            "breaker A",
            "AWG",
            "ground AWG",
            "conduit",
            "drop V",
            "leakage mA",
            "start A",
            "priority",
        ];
        self.table(&heading, &rows);
        let load = &project.checks.load;
        let total = format!(
            "Total: {} ft of element, {} W, {} A, 125 % = {} A.\n",
            decimal(load.element_length / INCHES_PER_FOOT, 2),
            decimal(load.watts, 1),
            decimal(load.amps, 3),
            decimal(load.continuous_amps, 3)
        );
        self.line(&total);
        if load.gutter_length > 0.0 {
            self.line(&format!(
                "Gutters and downspouts: {} ft of heater, {} W, on circuits of their own; in all {} W, {} A.\n",
                decimal(load.gutter_length / INCHES_PER_FOOT, 2),
                decimal(load.gutter_watts, 1),
                decimal(load.total_watts, 1),
                decimal(load.total_amps, 3)
            ));
        }
        let shed = &project.wiring.shed;
        if !shed.is_empty() {
            self.line(
                "NOT INSTALLED: the panel cannot carry these zones beside the circuits above. They are in no total and no list; the \
                 first was left out first.\n",
            );
            let rows: Vec<Vec<String>> = shed
                .iter()
                .map(|s| {
                    let tags: Vec<&str> =
                        s.segments.iter().map(|id| project.courses.segments[id.index()].tag.as_str()).collect();
                    let figures = [s.priority.to_string(), decimal(s.amps, 3), decimal(s.watts, 1), tags.join(" ")];
                    std::iter::once(s.tag.clone()).chain(figures).collect()
                })
                .collect();
            self.table(&["zones", "priority", "A", "W", "pieces that stay cold"], &rows);
        }
    }

    fn one_line(&mut self) {
        self.line("## One-line diagram\n");
        let items = &self.project.checks.one_line;
        let mut depth = vec![0; items.len()];
        for (at, item) in items.iter().enumerate() {
            depth[at] = item.from.map_or(0, |from| depth[from] + 1);
            let indent = "  ".repeat(depth[at]);
            self.line(&format!("{indent}- {} {}: {}", item.kind.words(), cell(&item.tag), cell(&item.words)));
        }
        self.line("");
    }

    /// Rule by rule, each said once, in the order of the checks.
    fn checks(&mut self) {
        self.line("## Checks\n");
        let checks = &self.project.checks.checks;
        let mut said: BTreeSet<&str> = BTreeSet::new();
        for first in checks {
            if !said.insert(&first.code) {
                continue;
            }
            let source = match first.source {
                SourceLabel::Seen => "seen",
                SourceLabel::Memory => "memory",
                SourceLabel::Computed => "computed",
                SourceLabel::Practice => "common practice",
            };
            let clause = first.clause.as_ref().map(|clause| format!("{clause}; ")).unwrap_or_default();
            self.line(&format!("**{}**: {} ({clause}{source})\n", first.code, cell(&first.rule)));
            let same = checks.iter().filter(|check| check.code == first.code);
            let rows: Vec<Vec<String>> =
                same.map(|c| vec![c.item.clone(), c.working.clone(), verdict_words(c).into()]).collect();
            self.table(&["item", "numbers", "verdict"], &rows);
        }
    }

    fn readings(&mut self) {
        self.line("## Resistances to expect\n");
        self.line(
            "Between the two conductors, far end open, nothing energised. A chain is read at its box with its leads.\n",
        );
        let limit = |value: Option<f64>| value.map_or_else(|| "-".to_owned(), ohms);
        let rows: Vec<Vec<String>> = self
            .project
            .checks
            .readings
            .iter()
            .map(|reading| {
                let of = match reading.of {
                    ReadingOf::Segment => "piece",
                    ReadingOf::Chain => "chain",
                };
                vec![of.into(), reading.item.clone(), ohms(reading.ohms), limit(reading.low), limit(reading.high)]
            })
            .collect();
        self.table(&["of", "item", "ohms", "least", "most"], &rows);
    }

    fn insulation(&mut self) {
        self.line("## Insulation test\n");
        let words = self.project.checks.insulation.map_or_else(
            || {
                "Not offered: some element has no ground layer, so there is nothing to test its insulation against. A good reading would \
                 mean nothing.\n"
                    .to_owned()
            },
            |test| {
                format!(
                    "Both buses tied together against the ground layer, {} V direct, held {} s: at least {} megohm (seen as quoted on public \
                     pages; the element's maker may ask for more). De-energised and disconnected: on receipt, after cutting and \
                     terminating, after laying, after each course that nails over element, at the box, at hand-over. Write down \
                     every reading with the temperature.\n",
                    decimal(test.volts, 0),
                    decimal(test.seconds, 0),
                    decimal(test.least_megohms, 1)
                )
            },
        );
        self.line(&words);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::project_fixture::project;

    #[test]
    fn every_chain_circuit_and_rule_is_on_the_page_once() {
        let project = project();
        let page = String::from_utf8(load_page(&project)).unwrap();
        for heading in [
            "## What went in",
            "## Chains",
            "## Circuits",
            "## One-line diagram",
            "## Checks",
            "## Resistances",
            "## Insulation test",
        ] {
            assert_eq!(page.matches(heading).count(), 1, "{heading}");
        }
        assert!(page.contains("| K1 | F1-0-1 | 39 | 390 | 1.625 | 238 | J1 | HT-1 |"), "{page}");
        assert_eq!(page.matches("**finite**: a test (common practice)").count(), 1);
        assert!(page.contains("PRELIMINARY"));
    }

    #[test]
    fn a_bar_in_a_title_breaks_no_table() {
        assert_eq!(cell("a|b\nc"), "a\\|b c");
    }
}
