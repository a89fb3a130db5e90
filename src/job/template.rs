//! The job file that `init` writes: every key with its default, what it means, and what this drawing leaves open.
//!
//! A line that starts with `##` is prose; a line that starts with one `#` is a setting to be made by removing the `#`.
//! Removing one `#` from every line therefore gives a job file again. What a key means is taken from the schema, so
//! the two say the same.

use super::file::job_schema;
use super::model::Job;
use crate::catalog::Catalogue;
use crate::error::Result;
use crate::geometry::Point2;
use crate::import::{DrawingReport, SourceFrame};
use crate::index::EdgeId;
use crate::roof::{Basis, Question, Roof, likely_gables};
use crate::settings::description;
use crate::terms::EdgeKind;
use crate::units::{decimal, feet_inches, pitch_in_12};
use serde_json::Value;
use std::collections::BTreeSet;
use std::fmt::Write as _;

/// A commented job file for a drawing, with the defaults of [`Job::with_defaults`] and the sample catalogue.
#[must_use]
pub fn template(roof: &Roof, drawing: &DrawingReport, frame: &SourceFrame) -> String {
    let mut page = Page { text: String::new(), schema: job_schema() };
    page.prose(
        "Job file. Remove the # in front of a line to set it; lines with ## explain. A value that nobody sets is",
    );
    page.prose("a default: the drawing lists it as assumed and stays preliminary. Lengths carry their unit: \"6 in\",");
    page.prose("\"1'-6 1/2\\\"\", \"150 mm\".");
    page.prose(&format!("Drawing: DXF {}, units {}.", drawing.version, drawing.units_evidence));
    if let Ok(job) = defaults() {
        page.sections_of_the_roof(&job, frame);
        page.edges(roof, frame);
        page.faces(roof, frame);
        page.sections_of_the_layout(&job);
        page.boxes_and_panel(roof, frame);
        page.sections_of_the_estimate(&job.estimate);
    }
    page.text
}

fn defaults() -> Result<Job> {
    Job::with_defaults(&Catalogue::sample())
}

/// The text so far.
pub(super) struct Page {
    text: String,
    pub(super) schema: Value,
}

impl Page {
    pub(super) fn prose(&mut self, words: &str) {
        for line in words.lines() {
            self.push(&format!("## {line}"));
        }
    }

    pub(super) fn push(&mut self, line: &str) {
        self.text.push_str(line.trim_end());
        self.text.push('\n');
    }

    /// A table that is always there, and what it is for.
    pub(super) fn table(&mut self, name: &str) {
        let words = description(&self.schema, name).unwrap_or_default().to_owned();
        self.push("");
        self.prose(&words);
        self.push(&format!("[{name}]"));
    }

    /// A key that is commented out, explained in the line above.
    pub(super) fn key(&mut self, path: &str, value: &str) {
        self.set(path, value, "#");
    }

    /// A key that has no default: left out, the program decides.
    pub(super) fn example(&mut self, path: &str, value: &str) {
        let words = description(&self.schema, path).unwrap_or_default().to_owned();
        let (_, name) = path.rsplit_once('.').unwrap_or(("", path));
        self.prose(&format!("{words} Not set; the value shown is an example."));
        self.push(&format!("#{name} = {value}"));
    }

    pub(super) fn set(&mut self, path: &str, value: &str, mark: &str) {
        let words = description(&self.schema, path).unwrap_or_default().to_owned();
        let (_, name) = path.rsplit_once('.').unwrap_or(("", path));
        self.prose(&words);
        self.push(&format!("{mark}{name} = {value}"));
    }

    /// Open questions first, then the eaves, each as an entry to fill in.
    fn edges(&mut self, roof: &Roof, frame: &SourceFrame) {
        let mut listed = BTreeSet::new();
        for question in &roof.questions {
            self.question(question, roof, frame, &mut listed);
        }
        let open = |e: &&crate::roof::RoofEdge| e.basis == Basis::Ambiguous || e.kind == EdgeKind::Unknown;
        for edge in roof.edges.iter().filter(open).map(|e| e.id) {
            if listed.insert(edge) {
                self.push("");
                self.prose(&format!("Open: what is {}?", place_of(edge, roof, frame)));
                self.open_edge(edge, roof);
            }
        }
        for edge in roof.edges.iter().filter(|e| e.kind == EdgeKind::Eave).map(|e| e.id) {
            if listed.insert(edge) {
                self.push("");
                self.prose(&format!("Eave {}.", place_of(edge, roof, frame)));
                self.push("#[[roof.edge]]");
                self.push(&format!("#tag = \"{edge}\""));
                self.push("#heated = true");
                if roof.edge(edge).basis == Basis::Assumed {
                    self.prose(
                        "assumed: only the outline is drawn. To settle it: kind = \"eave\" or \"rake\" (gable), pitch = \"8:12\"",
                    );
                }
            }
        }
        self.push("");
        self.prose("Any edge can be named by its tag, or in place of the tag by a point near it: near = [x, y]. Keys:");
        for key in [
            "kind",
            "pitch",
            "raise",
            "height",
            "setback",
            "overhang",
            "heated",
            "reach",
            "from",
            "to",
            "reason",
            "priority",
            "valley_type",
            "through",
            "discharge",
            "gutter_heat",
            "downspouts",
        ] {
            let words = description(&self.schema, &format!("roof.edge.0.{key}")).unwrap_or_default().to_owned();
            self.prose(&format!("  {key}: {words}"));
        }
    }

    fn question(&mut self, question: &Question, roof: &Roof, frame: &SourceFrame, listed: &mut BTreeSet<EdgeId>) {
        self.push("");
        self.prose(&format!("Open: {}", question.words));
        for option in &question.options {
            self.prose(&format!("  possible: {}", option.words));
        }
        for &edge in &question.edges {
            if listed.insert(edge) {
                self.prose(&format!("Edge {}.", place_of(edge, roof, frame)));
                self.open_edge(edge, roof);
            }
        }
    }

    fn open_edge(&mut self, edge: EdgeId, roof: &Roof) {
        let edge = roof.edge(edge);
        let mut kinds: Vec<EdgeKind> = vec![edge.kind];
        kinds.extend(edge.alternatives.iter().filter(|k| **k != edge.kind));
        kinds.retain(|k| *k != EdgeKind::Unknown);
        let bare = edge.kind == EdgeKind::Unknown;
        if bare && likely_gables(roof).contains(&edge.id) {
            self.prose("Short end of a wing: could be a gable, then kind = \"rake\".");
        }
        self.push("#[[roof.edge]]");
        self.push(&format!("#tag = \"{}\"", edge.id));
        match kinds.first() {
            Some(first) => {
                let others: Vec<String> = kinds[1..].iter().map(word).collect();
                if !others.is_empty() {
                    self.prose(&format!("or {}", others.join(", ")));
                }
                self.push(&format!("#kind = {}", word(first)));
            }
            None => self.push("#kind = \"eave\""),
        }
        if bare && let Ok(job) = defaults() {
            self.push(&format!("#pitch = \"{}\"", pitch_in_12(job.roof.default_pitch.value)));
        }
    }

    fn faces(&mut self, roof: &Roof, frame: &SourceFrame) {
        for face in &roof.faces {
            let at = roof.region(face.id).exterior.bounds().map(|b| b.min.lerp(b.max, 0.5)).unwrap_or_default();
            let at = frame.plan_to_drawing(at);
            let basis = basis_words(face.pitch_basis);
            self.push("");
            self.prose(&format!(
                "Face {} around ({}), pitch {} ({basis}).",
                face.id,
                point(at),
                pitch_in_12(face.pitch)
            ));
            self.push("#[[roof.face]]");
            self.push(&format!("#tag = \"{}\"", face.id));
            self.push("#under = \"unknown\"");
        }
        self.push("");
        self.prose("Keys of a face:");
        for key in ["near", "pitch", "falls_to", "under"] {
            let words = description(&self.schema, &format!("roof.face.0.{key}")).unwrap_or_default().to_owned();
            self.prose(&format!("  {key}: {words}"));
        }
    }
}

/// A tag with its length and ends in drawing coordinates.
fn place_of(edge: EdgeId, roof: &Roof, frame: &SourceFrame) -> String {
    let line = roof.segment(edge);
    let faces: Vec<String> = roof.sides(edge).map(|f| f.to_string()).collect();
    let mut words = format!("{edge}, {}", feet_inches(roof.slope_length(edge)));
    if !faces.is_empty() {
        let _ = write!(words, ", of {}", faces.join(" and "));
    }
    let ends = [line.a, line.b].map(|p| point(frame.plan_to_drawing(p)));
    let _ = write!(words, ", from ({}) to ({})", ends[0], ends[1]);
    words
}

pub(super) fn point(p: Point2) -> String {
    format!("{}, {}", decimal(p.x, 3), decimal(p.y, 3))
}

fn basis_words(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured => "measured",
        Basis::Set => "noted or set",
        Basis::Solved => "solved",
        Basis::Assumed => "assumed",
        Basis::Ambiguous => "open",
    }
}

/// The word a closed list has for a value, in quotes.
pub(super) fn word<T: serde::Serialize>(value: &T) -> String {
    serde_json::to_value(value).map(|v| v.to_string()).unwrap_or_default()
}

/// A text in quotes; JSON's escapes are TOML's too.
pub(super) fn quoted(text: &str) -> String {
    Value::from(text).to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point3;
    use crate::roof::fixtures::{gable, hipped_l};
    use crate::roof::{AnswerOption, Lifting};
    use crate::units::DrawingUnit;

    fn written(roof: &Roof) -> String {
        let drawing = DrawingReport {
            version: "AC1015".into(),
            code_page: "UTF-8".into(),
            header_units: None,
            units_evidence: "inches, from the header".into(),
            entities: Default::default(),
            candidates: Vec::new(),
        };
        let frame =
            SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(1000.0, 0.0, 0.0) };
        template(roof, &drawing, &frame)
    }

    fn uncommented(text: &str) -> String {
        text.lines().map(|l| l.strip_prefix('#').unwrap_or(l)).map(|l| format!("{l}\n")).collect()
    }

    fn read(text: &str) -> Job {
        Job::from_toml(text, &Catalogue::sample()).unwrap_or_else(|e| panic!("{e}\n{text}")).value
    }

    fn open_gable() -> Roof {
        let mut roof = gable(480.0, 288.0, 0.5);
        let edge = EdgeId(1);
        roof.edges[1].basis = Basis::Ambiguous;
        roof.edges[1].alternatives = vec![EdgeKind::HighEdge, EdgeKind::Eave];
        roof.edges[3].basis = Basis::Ambiguous;
        let lifting = Lifting { planes: Vec::new(), kinds: Vec::new(), energy: 0.0 };
        roof.questions.push(Question {
            edges: vec![edge],
            words: "which way does F1 fall?".into(),
            options: vec![AnswerOption { words: "E2 is an eave".into(), lifting }],
        });
        roof
    }

    #[test]
    fn as_written_it_gives_the_defaults() {
        for roof in [gable(480.0, 288.0, 0.5), hipped_l(), open_gable(), Roof::default()] {
            assert_eq!(read(&written(&roof)), defaults().unwrap());
        }
    }

    #[test]
    fn with_every_line_uncommented_it_still_is_a_job() {
        for roof in [gable(480.0, 288.0, 0.5), hipped_l(), open_gable(), Roof::default()] {
            let job = read(&uncommented(&written(&roof)));
            let eaves = roof.edges.iter().filter(|e| e.kind == EdgeKind::Eave).count();
            assert!(job.roof.edges.len() >= eaves);
            assert_eq!(job.roof.faces.len(), roof.faces.len());
            assert_eq!(job.wiring.boxes.len(), 1);
            assert!(job.electrical.panel.is_some());
            // The values shown are the defaults themselves.
            let plain = defaults().unwrap();
            assert_eq!(job.roof.overhang.value, plain.roof.overhang.value);
            assert_eq!(job.courses.nail_clearance, plain.courses.nail_clearance);
            assert_eq!(job.heat.outer_setback, plain.heat.outer_setback);
            assert_eq!(job.wiring.leads_per_hole, plain.wiring.leads_per_hole);
            assert!((job.electrical.lead_drop - plain.electrical.lead_drop).abs() < 1e-12);
            assert!((job.drawing.opening_area_limit - plain.drawing.opening_area_limit).abs() < 1e-9);
            assert!(job.assumptions().iter().all(|f| f.code == "invented-products"), "{:?}", job.assumptions());
        }
    }

    #[test]
    fn every_key_of_the_schema_is_shown() {
        let text = uncommented(&written(&gable(480.0, 288.0, 0.5)));
        let shown = |key: &str| {
            text.lines().any(|l| l.starts_with(&format!("{key} = ")) || l.starts_with(&format!("#   {key}: ")))
        };
        let schema = job_schema();
        let sections = schema["properties"].as_object().unwrap();
        let mut seen = 0;
        for section in sections.keys() {
            for key in crate::settings::keys_at(&schema, section) {
                if !crate::settings::keys_at(&schema, &format!("{section}.{key}.0")).is_empty() {
                    assert!(text.contains(&format!("{section}.{key}]")), "{section}.{key}");
                } else {
                    assert!(shown(&key), "{section}.{key}");
                    seen += 1;
                }
            }
        }
        assert!(seen > 50, "{seen}");
    }

    /// A roof 480 in long whose drawing has its origin at x = 1000.
    #[test]
    fn eaves_stand_with_their_tag_length_and_drawing_coordinates() {
        let text = written(&gable(480.0, 288.0, 0.5));
        assert!(text.contains("40'-0\", of F1, from (1000, 0) to (1480, 0)."), "{text}");
        assert_eq!(text.matches("## Eave E").count(), 2);
    }

    #[test]
    fn open_questions_stand_ready_to_fill() {
        let text = written(&open_gable());
        assert!(text.contains("## Open: which way does F1 fall?\n##   possible: E2 is an eave\n"), "{text}");
        assert!(text.contains("#[[roof.edge]]\n#tag = \"E2\"\n## or \"high-edge\""), "{text}");
        assert!(text.contains("## Open: what is E4,"), "{text}");
    }
}
