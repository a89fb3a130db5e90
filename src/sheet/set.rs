//! All sheets of a layout in order.

use super::blocks::blocks;
use super::flow::{ENLARGED, Panel, all_fit, flow, list, page_count};
use super::frame::Paper;
use super::layers::layers;
use super::model::{Model, ModelId, Shape, Sheet, SheetSet};
use super::notes::{
    abbreviations, cautions, design_basis, finding_list, general_notes, layer_table, legend, numbered, status_list,
};
use super::numbers::{Stretch, sheet_number};
use super::plan_sheet::{key_sheets, plan_sheets};
use super::schedule::schedules;
use super::status::{Unsettled, unsettled};
use super::text::printable;
use super::{Drawn, Surveyed};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::job::Job;
use crate::threads::joined;

/// Draws the whole set: notes and legend, plan, one sheet for each heated face, schedules, load calculation with one-line diagram.
///
/// The set is preliminary while anything is assumed; nothing removes the status but settling it.
#[must_use]
pub fn sheets<'a>(layout: impl Into<Drawn<'a>>) -> Outcome<SheetSet> {
    let drawn = &layout.into();
    let mut findings = Vec::new();
    let paper = Paper::new(drawn.job, unsettled(drawn), "in full on E-001");
    // Sheets know nothing of each other but the number of models before theirs.
    let (plan, faces, forms) = std::thread::scope(|scope| {
        let faces = scope.spawn(|| super::face_sheet::face_sheets(drawn, &paper, 1));
        let forms = scope.spawn(|| {
            [schedule_sheets(drawn, &paper), site_sheets(drawn, &paper), load_sheets(drawn, &paper)].concat()
        });
        (plan_sheets(drawn, &paper, ModelId(0)), joined(faces), joined(forms))
    });
    note_scale(&plan.scale, "E-101", &mut findings);
    let mut models = vec![plan.model];
    let mut drawings = plan.sheets;
    for scale in &faces.scales {
        note_scale(&scale.1, &scale.0, &mut findings);
    }
    models.extend(faces.models);
    drawings.extend(faces.sheets);
    let details = super::details::detail_sheets(drawn, &paper, models.len());
    models.extend(details.models);
    drawings.extend(details.sheets);
    drawings.extend(forms);
    let mut all = notes_sheets(drawn, &paper, &drawings);
    all.extend(drawings);
    findings.extend(super::revisions::unknown_tags(drawn));
    let set = finish(&paper, models, all, &mut findings);
    Outcome { value: set, findings }
}

/// Draws the roof alone with its edge tags, kinds, pitches and open questions: the key plan of a survey.
#[must_use]
pub fn key_plan<'a>(survey: impl Into<Surveyed<'a>>, job: &Job) -> SheetSet {
    let Surveyed { roof } = survey.into();
    let open = roof
        .questions
        .iter()
        .map(|q| Unsettled { short: "the open questions on this sheet".into(), words: q.words.clone() });
    let paper = Paper::new(job, open.collect(), "before a layout is drawn");
    let made = key_sheets(roof, &paper, ModelId(0));
    finish(&paper, vec![made.model], made.sheets, &mut Vec::new())
}

fn note_scale(scale: &super::scales::Scale, sheet: &str, findings: &mut Vec<Finding>) {
    if !scale.architectural {
        findings.push(
            Finding::new(
                Severity::Warning,
                "sheet-scale",
                format!("no architect's scale fits: sheet {sheet} is drawn at {}", scale.words),
                Place::item(sheet),
            )
            .with_hint("choose a larger sheet with sheet.size, or draft the roofs one by one"),
        );
    }
}

fn finish(paper: &Paper, models: Vec<Model>, sheets: Vec<Sheet>, findings: &mut Vec<Finding>) -> SheetSet {
    let project = &paper.job.project;
    let mut blocks = blocks();
    blocks.push(paper.title_block());
    let mut set = SheetSet {
        job_number: project.number.clone(),
        title: project.title.clone(),
        date: project.date.clone(),
        dxf: paper.job.sheet.dxf,
        layers: layers(),
        blocks,
        models,
        sheets,
    };
    replace_unprintable(&mut set, findings);
    set
}

/// Characters the drawing font lacks become `?`, with one finding for each text.
fn replace_unprintable(set: &mut SheetSet, findings: &mut Vec<Finding>) {
    let mut reported = std::collections::BTreeSet::new();
    let models = set.models.iter_mut().flat_map(|m| m.items.iter_mut());
    let sheets = set.sheets.iter_mut().flat_map(|s| s.items.iter_mut());
    let blocks = set.blocks.iter_mut().flat_map(|b| b.items.iter_mut());
    for item in models.chain(sheets).chain(blocks) {
        let Shape::Text(text) = &mut item.shape else { continue };
        let (shown, lacking) = printable(&text.content);
        if lacking && reported.insert(text.content.clone()) {
            findings.push(
                Finding::new(
                    Severity::Warning,
                    "glyph-missing",
                    format!("the drawing font lacks a character of '{}': printed as '{shown}'", text.content),
                    Place::item(&item.id),
                )
                .with_hint("use Latin letters in the job's title block"),
            );
        }
        text.content = shown;
    }
}

/// E-001 and on: sheet index, status, cautions, notes, design basis, legend, layers, findings.
fn notes_sheets(drawn: &Drawn, paper: &Paper, others: &[Sheet]) -> Vec<Sheet> {
    let wide = paper.drawing.width();
    let index: Vec<(String, String)> = std::iter::once(("E-001".to_owned(), "Notes and legend".to_owned()))
        .chain(others.iter().map(|s| (s.number.clone(), s.title.clone())))
        .collect();
    let panels = |factor: f64| {
        // Columns of a readable line length: about 70 characters.
        let most = READABLE * factor;
        let column = (wide / (wide / most).floor().max(2.0) - 0.31).min(most) / factor;
        let mut panels: Vec<Panel> = vec![list("index", "SHEETS", &index, column)];
        if !paper.unsettled.is_empty() {
            panels.push(status_list(&paper.unsettled, column));
        }
        let revisions: Vec<(String, String)> = drawn
            .job
            .project
            .revisions
            .iter()
            .map(|r| {
                (r.mark.clone(), [r.date.as_str(), r.what.as_str(), &r.changed.join(" ")].join(" ").trim().to_owned())
            })
            .collect();
        if !revisions.is_empty() {
            panels.push(list("revisions", "REVISIONS", &revisions, column));
        }
        panels.push(list("cautions-full", "CAUTIONS", &numbered(&cautions()), column));
        panels.push(list("general", "GENERAL NOTES", &numbered(&general_notes(drawn)), column));
        panels.push(design_basis(drawn).panel(column));
        panels.push(legend(column));
        panels.push(abbreviations(column));
        panels.push(layer_table().panel(column));
        panels.extend(finding_list(drawn, column));
        panels
    };
    pages(paper, panels, "Notes and legend", |i| sheet_number(Stretch::Notes, i))
}

/// Width of a column of notes in 3/32 in letters, inches.
const READABLE: f64 = 6.2;

/// E-601, E-611, E-612 and on.
fn schedule_sheets(drawn: &Drawn, paper: &Paper) -> Vec<Sheet> {
    let wide = paper.drawing.width();
    let most = if wide > 20.0 { 0.5 * wide - 0.2 } else { wide };
    let tables = schedules(drawn);
    let panels = |factor: f64| tables.iter().map(|t| t.panel(most / factor)).collect();
    // E-602 is kept for the test record.
    pages(paper, panels, "Schedules", |i| sheet_number(Stretch::Schedules, i))
}

/// E-602 and on for the test record, E-603 and on for the owner; none while nothing is heated.
fn site_sheets(drawn: &Drawn, paper: &Paper) -> Vec<Sheet> {
    if drawn.takeoff.cuts.is_empty() {
        return Vec::new();
    }
    let wide = paper.drawing.width();
    let most = if wide > 20.0 { 0.5 * wide - 0.2 } else { wide };
    let column = |factor: f64| (most / factor).min(READABLE);
    let record = |factor: f64| super::record_sheet::panels(drawn, column(factor), most / factor);
    let title = if drawn.record.is_some() { "Test record, as built" } else { "Test record" };
    let mut sheets = pages(paper, record, title, |i| sheet_number(Stretch::Record, i));
    let owner = |factor: f64| super::owner_sheet::panels(drawn, column(factor), most.min(10.0) / factor);
    sheets.extend(pages(paper, owner, "For the owner", |i| sheet_number(Stretch::Owner, i)));
    sheets
}

/// E-604, E-621 and on: the load calculation, the sequence of operation and the one-line diagram, when anything is fed. E-603 is kept for the owner's sheet.
fn load_sheets(drawn: &Drawn, paper: &Paper) -> Vec<Sheet> {
    if drawn.wiring.circuits.is_empty() {
        return Vec::new();
    }
    let wide = paper.drawing.width();
    let most = if wide > 20.0 { 0.5 * wide - 0.2 } else { wide };
    let panels = |factor: f64| {
        let mut panels = super::load_calc::panels(drawn, most / factor);
        panels.extend(super::control::sequence(drawn, (most / factor).min(READABLE)));
        panels.extend(super::one_line::one_line(drawn, most / factor));
        panels
    };
    let title = "Load calculation, one-line diagram, control sequence";
    pages(paper, panels, title, |i| sheet_number(Stretch::Load, i))
}

/// Flows panels, made for letters `factor` times the least height, over as few pages as they need, in the largest letters that
/// need no more.
fn pages(
    paper: &Paper,
    panels: impl Fn(f64) -> Vec<Panel>,
    title: &str,
    number: impl Fn(usize) -> String,
) -> Vec<Sheet> {
    let made = |factor: f64| -> Vec<Panel> { panels(factor).into_iter().map(|panel| panel.enlarged(factor)).collect() };
    let plain = made(1.0);
    let count = page_count(&plain, paper.drawing, paper.drawing);
    let as_few = |panels: &Vec<Panel>| {
        all_fit(panels, paper.drawing) && page_count(panels, paper.drawing, paper.drawing) <= count
    };
    let panels = ENLARGED.into_iter().map(made).find(as_few).unwrap_or(plain);
    flow(&panels, paper.drawing, paper.drawing)
        .into_iter()
        .enumerate()
        .map(|(i, items)| {
            let title = if i == 0 { title.to_owned() } else { format!("{title}, continued") };
            let mut sheet = paper.sheet(&number(i), &title, "");
            sheet.items.extend(items);
            sheet
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::check::check_invariants;
    use super::super::fixtures::{layout, layout_of};
    use super::*;
    use crate::job::SheetSize;
    use crate::roof::Roof;
    use crate::roof::fixtures::{gable, hipped_l};

    fn sound(roof: Roof, size: SheetSize) -> SheetSet {
        let made = layout(roof, size);
        let set = sheets(made.drawn()).value;
        let wrong = check_invariants(&set);
        assert!(wrong.is_empty(), "{size:?}\n{}", wrong.join("\n"));
        set
    }

    #[test]
    fn a_gable_fits_both_sheet_sizes_without_a_collision() {
        for size in [SheetSize::ArchD, SheetSize::AnsiB] {
            let set = sound(gable(480.0, 288.0, 0.5), size);
            let numbers: Vec<&str> = set.sheets.iter().map(|s| s.number.as_str()).collect();
            for number in ["E-001", "E-101", "E-401", "E-402", "E-601", "E-602", "E-603", "E-604"] {
                assert!(numbers.contains(&number), "{number} is missing from {numbers:?}");
            }
        }
    }

    #[test]
    fn a_hipped_l_fits_both_sheet_sizes_without_a_collision() {
        for size in [SheetSize::ArchD, SheetSize::AnsiB] {
            let set = sound(hipped_l(), size);
            let faces = set.models.iter().filter(|m| m.name.starts_with("face ")).count();
            assert_eq!(faces, 6);
        }
    }

    /// With a season and a record that has every kind of judgement.
    #[test]
    fn record_and_owners_sheet_hold_what_came_back() {
        use crate::field::{Hold, JudgedReading, Judgement, Quantity, Record, Stage};
        use crate::thermal::{Control, Power, Weather, seasons};
        for size in [SheetSize::ArchD, SheetSize::AnsiB] {
            let mut made = layout(gable(480.0, 288.0, 0.5), size);
            let tag = made.takeoff.cuts[0].tag.clone();
            let judged =
                [Judgement::Missing, Judgement::Bad, Judgement::Good, Judgement::Doubtful, Judgement::Unjudged];
            let readings = judged.into_iter().zip(Stage::ALL).map(|(judgement, stage)| JudgedReading {
                stage,
                item: tag.clone(),
                quantity: Quantity::Resistance,
                expected: None,
                reading: "123.1".into(),
                by: "2026-02-01, meter 7".into(),
                judgement,
                why: String::new(),
            });
            let holds = vec![Hold { name: "H1".into(), needed: 36, passed: 1 }];
            made.record = Some(Record { readings: readings.collect(), holds });
            let control = Control { on_below: 38.0, hold_on: 2, low_cut_out: None };
            let rows: Vec<String> = (1..=12)
                .map(|m| {
                    let air = if m < 5 { "-5" } else { "20" };
                    format!("1,{m},1,1,0,?,{air}{},9,999999999{},0.2,99", ",0".repeat(19), ",0".repeat(5))
                })
                .collect();
            let text = format!("LOCATION,Nowhere\n{}{}\n", "\n".repeat(7), rows.join("\n"));
            let weather = Weather::from_epw(&text).unwrap();
            made.season = Some(seasons(&weather, &control, &Power::constant(8000.0), Some(0.2)));
            let set = sheets(made.drawn()).value;
            assert_eq!(check_invariants(&set), Vec::<String>::new(), "{size:?}");
            // On small paper the record runs over more than one sheet.
            let words = |title: &str| {
                let sheets = set.sheets.iter().filter(|s| s.title.starts_with(title));
                let texts = sheets.flat_map(|s| &s.items).filter_map(|i| match &i.shape {
                    Shape::Text(t) => Some(t.content.clone()),
                    _ => None,
                });
                texts.collect::<Vec<_>>().join(" ")
            };
            let record = words("Test record");
            assert!(record.contains("STOP"), "{size:?}: {record}");
            assert!(record.contains("1 of 36"), "{size:?}: {record}");
            assert!(words("For the owner").contains("UNFIT"), "no snow in that file");
        }
    }

    #[test]
    fn every_size_of_paper_works() {
        for size in [SheetSize::AnsiD, SheetSize::ArchC, SheetSize::IsoA2, SheetSize::IsoA1] {
            sound(gable(480.0, 288.0, 0.5), size);
        }
    }

    #[test]
    fn the_key_plan_is_sound() {
        let made = layout(hipped_l(), SheetSize::AnsiB);
        assert_eq!(check_invariants(&key_plan(Surveyed { roof: &made.roof }, &made.job)), Vec::<String>::new());
    }

    #[test]
    fn every_sheet_says_preliminary_while_anything_is_assumed() {
        let made = layout(gable(480.0, 288.0, 0.5), SheetSize::AnsiB);
        let set = sheets(made.drawn()).value;
        for sheet in &set.sheets {
            let marks = crate::sheet::flatten(&set, sheet);
            let says = |words: &str| {
                use crate::sheet::MarkKind;
                marks.iter().any(|m| matches!(&m.kind, MarkKind::Text { content, .. } if content.contains(words)))
            };
            assert!(says("PRELIMINARY") && says("NOT FOR CONSTRUCTION") && says("To settle"), "{}", sheet.number);
        }
    }

    #[test]
    fn characters_without_a_glyph_are_replaced_and_reported() {
        let mut made = layout(gable(480.0, 288.0, 0.5), SheetSize::AnsiB);
        made.job.project.owner = "屋".into();
        let outcome = sheets(made.drawn());
        assert_eq!(outcome.findings.iter().map(|f| f.code).collect::<Vec<_>>(), ["glyph-missing"]);
        assert!(check_invariants(&outcome.value).is_empty());
    }

    #[test]
    fn a_roof_too_long_for_any_architects_scale_is_drawn_at_an_engineers_and_said() {
        // Unheated: the scale is in question, not the wiring of two thousand feet of eave.
        let mut job = crate::job::Job::with_defaults(&crate::catalog::Catalogue::sample()).unwrap();
        job.sheet.size = SheetSize::AnsiB;
        job.heat.eaves = false;
        let made = layout_of(gable(24_000.0, 288.0, 0.5), job);
        let outcome = sheets(made.drawn());
        assert!(outcome.findings.iter().any(|f| f.code == "sheet-scale"));
    }
}
