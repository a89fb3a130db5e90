//! Words: cautions, general notes, design basis, legend, layers, findings.

use super::Drawn;
use super::blocks::{SYMBOLS, Symbol};
use super::flow::{Align, Panel, Slice, Table, list, title_slice};
use super::layers::{PENS, Pen};
use super::model::Anchor;
use super::pad::{LEADING, LEVEL, NOTE, Pad, rectangle};
use super::status::{Unsettled, sentence};
use crate::finding::{Finding, Severity};
use crate::geometry::{Point2, Region};
use crate::job::{Covering, OutlineMeaning, ReachRule, Setting, Under, ValleyType, Work};
use crate::units::{decimal, feet_inches};

/// Cautions for the title block of every sheet.
pub(super) fn short_cautions() -> Vec<String> {
    [
        "Tie off: fall protection before anyone goes up.",
        "De-energize, lock out and test dead before work.",
        "Never energize coiled or overlapped element.",
        "Drive no nail through element or lead; do not walk on element.",
        "Wiring by a licensed electrician. Local code and the element maker's instructions govern.",
        "Verify assumed figures (A) in the field.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// The cautions in full. The fall-protection heights are quoted from a page of the labor department's safety agency.
pub(super) fn cautions() -> Vec<String> {
    [
        "FALL PROTECTION. Residential work 6 ft or more above a lower level needs guardrails, nets or a personal fall arrest \
         system (29 CFR 1926.501(b)(13)). Roofs steeper than 4 in 12 are steep roofs. Set anchors before material goes up. \
         No work on wet, icy or snow-covered shingles.",
        "POWER OFF. De-energize, lock out and tag, and test dead before any work on element, leads, boxes or panel. Only the \
         person who set a lock removes it.",
        "COILED ELEMENT. Never energize element on the roll, coiled, folded or overlapped: it overheats.",
        "NO NAILS. No nail, staple or screw enters an element, a lead or a lane. Stop and lift the course when a test fails \
         after nailing.",
        "LICENSED ELECTRICIAN. Connections, boxes, circuits, protection and energizing are the work of a licensed \
         electrician, inspected by the authority having jurisdiction.",
        "WHAT GOVERNS. The adopted electrical and residential codes, local amendments and the element maker's instructions \
         govern over these drawings. Stop and ask where they differ.",
        "ASSUMED FIGURES. Values marked (A) or listed under STATUS were assumed. Measure them on the roof before ordering \
         or cutting.",
        "ICE AND SNOW. Heated edges shed water and may shed snow: keep people and cars from below until discharge and snow \
         restraint are settled.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// General notes of the set.
pub(super) fn general_notes(drawn: &Drawn) -> Vec<String> {
    let mut notes = vec![
        "Lengths on face sheets are true lengths on the slope. Lengths on the plan are horizontal unless a tag says otherwise."
            .to_owned(),
        "Distances up the slope start at the outer face of the drip edge. The shingle's overhang is not included.".to_owned(),
        "Setbacks are measured square to the edge on the surface, not along the course.".to_owned(),
        "Stations run from the control line: square to the eave through the left end of the face's lowest eave, seen facing \
         up the slope. Square it with 9 ft along the eave, 12 ft up the slope and 15 ft across."
            .to_owned(),
        "Segment tags name face, course and position. Write the tag on both ends of every piece before it leaves the bench."
            .to_owned(),
        if drawn.measured.is_some_and(crate::field::Measured::for_cutting) {
            "FOR CUTTING: the roof was measured and the layout agrees with it."
        } else {
            "FOR QUOTE ONLY: cut lengths come from the drawing. Measure eaves, rakes, pitch, exposure and openings before cutting."
        }
        .to_owned(),
        "Far ends are cut square, capped and sealed. Each power connection takes two bus bars and the ground, and two sealing \
         patches."
            .to_owned(),
        "Leads lie in lanes only. Where a lead goes up or down it crosses nail rows: leave the nail out at every x. \
         Past an edge it runs on soffit and wall to its box: the plan shows that along the edge."
            .to_owned(),
        insulation_note(drawn),
    ];
    if drawn.job.roof.work.value == Work::NewRoof {
        notes.push(
            "New roof: element goes on the ice barrier before the shingles, course by course as the laying order says."
                .to_owned(),
        );
    } else {
        notes.push(
            "Retrofit: element goes between two shingle courses, from the top course down. Loosen seals with a flat tool and lift \
             tabs about 1/8 in, in mild weather (40 to 80 F, common practice); refuse shingles that crack, tear or lift less, a \
             second layer, woven valleys, and leads under caps or step flashing. Seal every loosened tab again."
                .to_owned(),
        );
    }
    notes
}

/// The insulation test, where there is a ground layer to test against.
fn insulation_note(drawn: &Drawn) -> String {
    match drawn.checks.insulation {
        Some(test) => format!(
            "Test insulation resistance, buses tied together against the ground layer, {} V direct for {} s, at least {} megohm: on \
             receipt, after cutting and terminating, after laying, {}, and at the box; write every reading down.",
            decimal(test.volts, 0),
            decimal(test.seconds, 0),
            decimal(test.least_megohms, 1),
            match drawn.job.roof.work.value {
                Work::NewRoof => "after each course that nails over element",
                Work::Retrofit => "after the tabs over element are sealed again",
            }
        ),
        None => {
            "No insulation test: there is no ground layer over the heated length to test against, and ground-fault \
                 protection sees nothing. Do not install."
                .to_owned()
        }
    }
}

/// Numbered entries.
pub(super) fn numbered(words: &[String]) -> Vec<(String, String)> {
    words.iter().enumerate().map(|(i, w)| (format!("{}.", i + 1), w.clone())).collect()
}

/// What the design rests on, with who gave each value.
pub(super) fn design_basis(drawn: &Drawn) -> Table {
    let job = drawn.job;
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut row = |what: &str, value: String, given: bool| {
        rows.push(vec![what.to_owned(), value, if given { "job".into() } else { "(A) assumed".to_owned() }]);
    };
    row("work", work_words(&job.roof.work), job.roof.work.given);
    row("covering", covering_words(job.roof.covering.value), job.roof.covering.given);
    row("outline drawn", outline_words(&job.roof.outline), job.roof.outline.given);
    row("overhang, level", feet_inches(job.roof.overhang.value), job.roof.overhang.given);
    if job.roof.outline.value == OutlineMeaning::Wall {
        row("rake overhang, level", feet_inches(job.roof.rake_overhang.value), job.roof.rake_overhang.given);
    }
    let general = job.roof.valley_type.value;
    let own = drawn.zones.valleys.iter().filter(|v| v.kind != general);
    let own: Vec<String> = own.map(|v| format!("{} {}", v.edge, valley_words(v.kind))).collect();
    // Where the job says of every valley how it is covered the general word stands for none.
    let words = if own.len() == drawn.zones.valleys.len() && !own.is_empty() {
        own.join(", ")
    } else {
        std::iter::once(valley_words(general).to_owned()).chain(own).collect::<Vec<_>>().join(", ")
    };
    let given = if drawn.zones.valleys.is_empty() {
        job.roof.valley_type.given
    } else {
        drawn.zones.valleys.iter().all(|v| v.given)
    };
    row("valleys", words, given);
    row("under the deck", under_words(&job.roof.under), job.roof.under.given);
    row("reach rule", reach_words(&job.heat.reach_rule), job.heat.reach_rule.given);
    row("shingle", job.products.shingle.value.words.clone(), job.products.shingle.given);
    row("starter element", job.products.starter.value.words.clone(), job.products.starter.given);
    row("deck element", job.products.deck.value.words.clone(), job.products.deck.given);
    row("cold lead", job.products.lead.value.words.clone(), job.products.lead.given);
    row("supply", format!("{} V", decimal(job.electrical.volts.value, 0)), job.electrical.volts.given);
    row("electrical code", format!("edition {}", job.electrical.code_edition.value), job.electrical.code_edition.given);
    if let Some(rule) = &drawn.courses.rule {
        let text = format!(
            "exposure {}, nails {} to {}, clearance {}, rise {} (allowed {} to {})",
            feet_inches(rule.exposure),
            feet_inches(rule.nail_low),
            feet_inches(rule.nail_high),
            feet_inches(rule.clearance),
            feet_inches(rule.rise),
            feet_inches(rule.rise_window.low),
            feet_inches(rule.rise_window.high),
        );
        rows.push(vec!["courses".into(), text, "computed".into()]);
    }
    let heat = &job.heat;
    let text = format!(
        "outer {}, valley {}, hip {}, ridge {}, wall {}, opening {} past flashing",
        feet_inches(heat.outer_setback),
        feet_inches(heat.valley_setback),
        feet_inches(heat.hip_setback),
        feet_inches(heat.ridge_setback),
        feet_inches(heat.wall_setback),
        feet_inches(heat.opening_setback)
    );
    rows.push(vec!["setbacks".into(), text, "common practice".into()]);
    Table {
        id: "basis".into(),
        title: "DESIGN BASIS".into(),
        columns: vec![("what", Align::Left), ("value", Align::Left), ("from", Align::Left)],
        rows,
        foot: drawn.job.products.invented.then(|| {
            format!(
                "Product values come from \"{}\" and are INVENTED for a sample. They belong to no product.",
                job.products.catalogue
            )
        }),
    }
}

fn covering_words(covering: Covering) -> String {
    match covering {
        Covering::AsphaltShingle => "asphalt shingles",
        Covering::Slate => "slate",
        Covering::Tile => "tile",
        Covering::Metal => "metal",
        Covering::Wood => "wood shingles or shakes",
        Covering::Membrane => "membrane",
    }
    .to_owned()
}

fn work_words(work: &Setting<Work>) -> String {
    match work.value {
        Work::NewRoof => "new roof",
        Work::Retrofit => "retrofit",
    }
    .to_owned()
}

fn outline_words(outline: &Setting<OutlineMeaning>) -> String {
    match outline.value {
        OutlineMeaning::EaveEdge => "the drip edge",
        OutlineMeaning::Fascia => "the face of the fascia",
        OutlineMeaning::Wall => "the exterior wall",
    }
    .to_owned()
}

const fn valley_words(kind: ValleyType) -> &'static str {
    match kind {
        ValleyType::OpenMetal => "open metal lining",
        ValleyType::ClosedCut => "closed cut",
        ValleyType::Woven => "woven",
        ValleyType::Unknown => "unknown",
    }
}

fn under_words(under: &Setting<Under>) -> String {
    match under.value {
        Under::Attic => "reachable attic",
        Under::Soffit => "soffit only",
        Under::Cathedral => "cathedral ceiling",
        Under::Conditioned => "rooms",
        Under::Unknown => "unknown",
    }
    .to_owned()
}

fn reach_words(rule: &Setting<ReachRule>) -> String {
    let (edition, steep) = match rule.value {
        ReachRule::Irc2012 => (2012, false),
        ReachRule::Irc2015 => (2015, true),
        ReachRule::Irc2018 => (2018, true),
        ReachRule::Irc2021 => (2021, true),
        ReachRule::Irc2024 => (2024, false),
    };
    let also = if steep { "; 36 in up the slope at 8:12 and steeper" } else { "" };
    format!("ice barrier rule of the {edition} model residential code: 24 in inside the wall line{also}")
}

/// Symbols and line kinds, drawn.
pub(super) fn legend(width: f64) -> Panel {
    let mut slices = Vec::new();
    for symbol in SYMBOLS {
        let mut pad = Pad::default();
        let tall = if symbol == Symbol::NorthArrow { 0.9 } else { 0.34 };
        let middle = -0.5 * tall - if symbol == Symbol::NorthArrow { 0.1 } else { 0.0 };
        let x = if symbol == Symbol::FallArrow { 0.1 } else { 0.35 };
        let attributes = match symbol {
            Symbol::Sensor => vec!["T".to_owned()],
            Symbol::Revision => vec!["1".to_owned()],
            _ => Vec::new(),
        };
        let id = format!("legend.{}", symbol.name());
        pad.insert(&id, Pen::Symbol, symbol.id(), Point2::new(x, middle), LEVEL, attributes);
        words_beside(&mut pad, &id, middle, symbol.words(), width);
        slices.push(Slice { height: tall, ruled: 0.0, items: pad.items });
    }
    for (pen, words) in line_legend() {
        let mut pad = Pad::default();
        let id = format!("legend.line{}", pen.id().0);
        let (a, b) = (Point2::new(0.05, -0.12), Point2::new(0.7, -0.12));
        match pen {
            Pen::Starter | Pen::Deck => {
                let half = if pen == Pen::Deck { 0.04 } else { 0.02 };
                let corners = rectangle(Point2::new(a.x, a.y - half), Point2::new(b.x, b.y + half));
                pad.tone(
                    format!("{id}.tone"),
                    pen,
                    vec![Region::simple(corners.clone())],
                    super::plan_model::element_tone(pen),
                );
                pad.ring(&id, pen, corners);
            }
            Pen::Zone => pad.hatch(
                &id,
                pen,
                vec![Region::simple(rectangle(Point2::new(a.x, a.y - 0.08), Point2::new(b.x, b.y + 0.08)))],
                super::plan_model::zone_hatch(),
            ),
            _ => pad.line(&id, pen, a, b),
        }
        words_beside(&mut pad, &id, -0.12, words, width);
        slices.push(Slice { height: 0.24, ruled: 0.0, items: pad.items });
    }
    let marks: Vec<(&str, &str)> = vec![
        ("(A)", "assumed: verify in the field"),
        ("(?)", "not settled: see the questions"),
        ("F E Z S", "face, edge, zone, segment"),
        ("L J C X", "lead, junction box, circuit, crossing"),
    ];
    for (mark, words) in marks {
        let mut pad = Pad::default();
        let id = format!("legend.{}", mark.replace(' ', ""));
        pad.text(format!("{id}.mark"), Pen::Note, NOTE.text(Point2::new(0.35, -0.1), Anchor::Middle, mark));
        words_beside(&mut pad, &id, -0.1, words, width);
        slices.push(Slice { height: 0.2, ruled: 0.0, items: pad.items });
    }
    Panel { id: "legend".into(), width, rules: Vec::new(), head: vec![title_slice("legend", "LEGEND", width)], slices }
}

/// What short words on the sheets stand for.
pub(super) fn abbreviations(width: f64) -> Panel {
    let entries = [
        ("A, V, W", "amperes, volts, watts"),
        ("AWG", "American wire gauge"),
        ("CU", "copper"),
        ("DS", "disconnect switch"),
        ("EMT", "electrical metallic tubing"),
        ("GFPE", "ground-fault protection of equipment"),
        ("H1 to H4", "hold points: stop until tested and signed"),
        ("K", "chain of pieces fed from one end"),
        ("M", "contactor"),
        ("TC, TS", "temperature-and-moisture controller, its sensor"),
        ("6:12", "pitch: rise in 12 of level run"),
    ];
    let entries: Vec<(String, String)> = entries.map(|(short, long)| (short.to_owned(), long.to_owned())).to_vec();
    list("abbreviations", "ABBREVIATIONS", &entries, width)
}

fn words_beside(pad: &mut Pad, id: &str, middle: f64, words: &str, width: f64) {
    let lines = NOTE.wrap(words, width - 0.9);
    let top = middle + 0.5 * LEADING * lines.len() as f64;
    pad.lines(&format!("{id}.words"), Pen::Note, NOTE, Point2::new(0.9, top), &lines);
}

fn line_legend() -> Vec<(Pen, &'static str)> {
    vec![
        (Pen::Eave, "eave"),
        (Pen::Rake, "rake, high edge, sidewall"),
        (Pen::Ridge, "ridge"),
        (Pen::Hip, "hip"),
        (Pen::Valley, "valley"),
        (Pen::Break, "step or break of pitch"),
        (Pen::Open, "edge not settled"),
        (Pen::Wall, "exterior wall line below"),
        (Pen::Zone, "heated zone"),
        (Pen::Starter, "starter element"),
        (Pen::Deck, "deck element"),
        (Pen::Lead, "cold lead or jumper"),
        (Pen::LeadBelow, "cold lead under the deck"),
        (Pen::Lane, "lane for leads"),
        (Pen::Chalk, "chalk line: lower edge of an element"),
        (Pen::Control, "control line"),
        (Pen::KeepOut, "setback, flashing, keep-out"),
        (Pen::Cold, "stretch left cold, or element not installed"),
    ]
}

/// The layer list.
pub(super) fn layer_table() -> Table {
    let rows = PENS
        .iter()
        .zip(super::layers::layers())
        .map(|(pen, layer)| {
            vec![
                layer.name.to_owned(),
                layer.words.to_owned(),
                format!("{:.2}", f64::from(layer.weight) / 100.0),
                layer.line_type.name().to_lowercase(),
                if pen.project_defined() { "project".into() } else { "standard".to_owned() },
            ]
        })
        .collect();
    Table {
        id: "layers".into(),
        title: "LAYERS".into(),
        columns: vec![
            ("layer", Align::Left),
            ("holds", Align::Left),
            ("mm", Align::Right),
            ("line", Align::Left),
            ("name", Align::Left),
        ],
        rows,
        foot: Some(
            "Names have the National CAD Standard's form. Those marked project are defined by this set and have no standard \
             field code."
                .to_owned(),
        ),
    }
}

/// What to settle, in full.
pub(super) fn status_list(unsettled: &[Unsettled], width: f64) -> Panel {
    let words: Vec<String> = unsettled.iter().map(|u| u.words.clone()).collect();
    let title = "STATUS: PRELIMINARY, NOT FOR CONSTRUCTION. SETTLE FIRST:";
    list("status-list", title, &numbered(&words), width)
}

fn finding_mark(severity: Severity) -> &'static str {
    match severity {
        Severity::Blocking => "OPEN",
        Severity::Warning => "LOOK",
        Severity::Cold => "COLD",
        Severity::Repaired => "MENDED",
        _ => "UNUSED",
    }
}

/// Findings of one code and hint: one is written out; of several the count leads, each message follows and the hint stands
/// once at the end.
fn group_words(group: &[&Finding]) -> String {
    let one = |f: &Finding| {
        // Most messages name their item themselves.
        let item = f.place.item.as_ref().filter(|i| !f.message.contains(i.as_str()));
        item.map_or_else(|| f.message.clone(), |i| format!("{i}: {}", f.message))
    };
    let hint = group[0].hint.as_deref();
    if group.len() == 1 {
        return sentence(&one(group[0]), hint);
    }
    let all: Vec<String> = group.iter().map(|f| one(f)).collect();
    let head = group[0].code.replace('-', " ");
    sentence(&format!("{head}, {} times: {}", group.len(), all.join("; ")), hint)
}

/// All other findings that a reader of the drawings must know: cold stretches, warnings, repairs, things ignored.
pub(super) fn finding_list(drawn: &Drawn, width: f64) -> Option<Panel> {
    let mut groups: Vec<Vec<&Finding>> = Vec::new();
    for finding in drawn.findings.iter().filter(|f| !matches!(f.severity, Severity::Assumed | Severity::Note)) {
        let same = |g: &&mut Vec<&Finding>| {
            g[0].code == finding.code && g[0].severity == finding.severity && g[0].hint == finding.hint
        };
        match groups.iter_mut().find(same) {
            Some(group) => group.push(finding),
            None => groups.push(vec![finding]),
        }
    }
    let entries: Vec<(String, String)> =
        groups.iter().map(|g| (finding_mark(g[0].severity).to_owned(), group_words(g))).collect();
    (!entries.is_empty()).then(|| list("findings", "FINDINGS", &entries, width))
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;
    use crate::roof::fixtures::gable;

    /// Nothing is nailed over element that slides under old shingles: what comes before the reading is another thing on a roof that stays.
    #[test]
    fn the_insulation_test_names_the_work_it_follows() {
        for (work, words) in
            [(Work::NewRoof, "nails over element"), (Work::Retrofit, "tabs over element are sealed again")]
        {
            let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
            job.roof.work.value = work;
            for layer in [true, false] {
                job.products.starter.value.ground_layer = layer;
                job.products.deck.value.ground_layer = layer;
                let made = layout_of(gable(480.0, 288.0, 0.5), job.clone());
                let note = insulation_note(&made.drawn());
                assert_eq!(note.contains(words), layer, "{note}");
                assert_eq!(note.starts_with("No insulation test"), !layer, "{note}");
            }
        }
    }
}
