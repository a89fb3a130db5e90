//! E-401 and on: one developed layout for each heated face, with its cut list and laying order.

use super::Drawn;
use super::face_leads::{crossings, ranges};
use super::face_model::{Face, course_levels, developed_face, heated_faces};
use super::flow::{Align, ENLARGED, Panel, Table, all_fit, flow, list, must_break};
use super::frame::Paper;
use super::model::{Item, Model, ModelId, Sheet};
use super::notes::numbered;
use super::numbers::{Stretch, sheet_number};
use super::pad::Pad;
use super::plan_model::{Drawing, terminal_words};
use super::roof_lines::basis_mark;
use super::scales::Scale;
use super::schedule::feed_cells;
use super::views::{Fitted, Letterer, VIEW_TITLE, place_view, title_width};
use crate::courses::ElementRole;
use crate::field::cut_status;
use crate::geometry::{Box2, Point2, Vector2};
use crate::index::{FaceId, LeadId};
use crate::job::Work;
use crate::units::{feet_inches, pitch_in_12};
use crate::wiring::{Crossing, Lead, LeadKind, Terminal};
use std::collections::BTreeMap;

/// Sheets and models of all heated faces.
pub(super) struct FaceSheets {
    /// In face order.
    pub sheets: Vec<Sheet>,
    /// One a face.
    pub models: Vec<Model>,
    /// Sheet number and scale of each face.
    pub scales: Vec<(String, Scale)>,
}

/// Draws every face that has a zone. `first_model` is the position its first model will have in the set.
pub(super) fn face_sheets(drawn: &Drawn, paper: &Paper, first_model: usize) -> FaceSheets {
    let mut made = FaceSheets { sheets: Vec::new(), models: Vec::new(), scales: Vec::new() };
    for face in heated_faces(drawn) {
        one_face(&face, paper, ModelId(first_model + made.models.len()), &mut made);
    }
    made
}

/// How the view and its tables share the sheet.
struct Arrangement {
    fitted: Fitted,
    view: Box2,
    pages: Vec<Vec<Item>>,
    /// Whether every table found a column that holds it.
    fits: bool,
    /// Whether a table is broken that one column would hold.
    broken: bool,
}

fn one_face(face: &Face, paper: &Paper, model: ModelId, made: &mut FaceSheets) {
    let id = face.layout.face;
    let title = format!("Face {id} layout");
    let mut view = Letterer::new(face.bounds, |scale| developed_face(face, scale));
    // The tables say the same at every size of letters: they are made once.
    let lists = face_tables(face);
    let what = (face, lists.as_slice());
    let plain = arrange(what, paper, &mut view, 1.0);
    // Larger letters must cost neither scale nor a page, nor tear a table apart.
    let larger = ENLARGED.into_iter().map(|factor| arrange(what, paper, &mut view, factor)).find(|larger| {
        larger.fits
            && (plain.broken || !larger.broken)
            && larger.fitted.scale.factor <= plain.fitted.scale.factor
            && larger.pages.len() <= plain.pages.len()
    });
    let Arrangement { fitted, view, pages, .. } = larger.unwrap_or(plain);
    let mut pages = pages.into_iter();
    let number = sheet_number(Stretch::Faces, made.sheets.len());
    let mut sheet = paper.sheet(&number, &title, &fitted.scale.words);
    let mut pad = Pad::default();
    let heading = format!("Face {id} developed, facing up the slope, {}", pitch_in_12(face.drawn.roof.face(id).pitch));
    let wide = fitted.size.x.max(title_width(&heading, &fitted.scale));
    let corner = Point2::new(view.min.x + 0.5 * (view.width() - wide).max(0.0), view.max.y);
    sheet.viewports.push(place_view(&mut pad, &fitted, model, corner, (1, &heading), view.max.x - corner.x));
    pad.items.extend(pages.next().unwrap_or_default());
    sheet.items.extend(pad.items);
    made.scales.push((number, fitted.scale.clone()));
    made.models.push(fitted.drawing.model);
    made.sheets.push(sheet);
    for page in pages {
        let number = sheet_number(Stretch::Faces, made.sheets.len());
        let mut more = paper.sheet(&number, &format!("{title}, continued"), "");
        more.items.extend(page);
        made.sheets.push(more);
    }
}

/// Tables beside the view or below it, whichever lets the face be drawn larger; beside it when both do. What finds no room on the view
/// goes to a list of its own, as wide as the notes.
fn arrange(
    (face, lists): (&Face, &[Table]),
    paper: &Paper,
    drawing: &mut Letterer<impl Fn(f64) -> Drawing>,
    factor: f64,
) -> Arrangement {
    let area = paper.drawing;
    let panels = |key: &[String], width: f64| -> Vec<Panel> {
        face_panels(face, lists, key, width / factor).into_iter().map(|panel| panel.enlarged(factor)).collect()
    };
    let whole = widest(lists, area.width() / factor) * factor;
    // A table of many columns cannot be set as narrow as that.
    let side = widest(lists, whole.min(0.42 * area.width()) / factor) * factor;
    let beside = Vector2::new(area.width() - side - 0.3, area.height() - VIEW_TITLE - 0.1);
    let below = Vector2::new(area.width(), 0.6 * area.height() - VIEW_TITLE);
    let (first, second) = (drawing.fit(beside), drawing.fit(below));
    let (fitted, view, tables) = if first.scale.factor <= second.scale.factor {
        let view = Box2 { min: area.min, max: Point2::new(area.max.x - side - 0.3, area.max.y) };
        (first, view, Box2 { min: Point2::new(area.max.x - side, area.min.y), max: area.max })
    } else {
        let foot = area.max.y - second.size.y - VIEW_TITLE - 0.25;
        (second, area, Box2 { min: area.min, max: Point2::new(area.max.x, foot) })
    };
    let tables_made = panels(&fitted.drawing.key, tables.width());
    let fits = all_fit(&tables_made, area) && tables_made.iter().all(|p| p.width <= tables.width() + 1e-9);
    let pages = flow(&tables_made, tables, area);
    let broken = must_break(&tables_made, tables, area);
    Arrangement { fitted, view, pages, fits, broken }
}

/// The tables of a face sheet in reading order.
fn face_tables(face: &Face) -> Vec<Table> {
    let (cuts, leads, order) = (cut_list(face), lead_list(face), order(face));
    [cuts, leads, order].into_iter().filter(|table| table.id != "leads" || !table.rows.is_empty()).collect()
}

/// Width of the lists of a face sheet where tables may be at most `width` inches wide.
fn list_width(width: f64) -> f64 {
    width.min(5.0)
}

/// Width of the widest of the panels that [`face_panels`] would set.
fn widest(tables: &[Table], width: f64) -> f64 {
    tables.iter().map(|table| table.panel_width(width)).fold(list_width(width), f64::max)
}

fn face_panels(face: &Face, tables: &[Table], key: &[String], width: f64) -> Vec<Panel> {
    let mut panels: Vec<Panel> = tables.iter().map(|table| table.panel(width)).collect();
    let list_width = list_width(width);
    panels.push(list("notes", "NOTES", &numbered(&face_notes(face)), list_width));
    if !key.is_empty() {
        panels.push(list("key", "KEY: NO ROOM ON THE VIEW FOR", &numbered(key), list_width));
    }
    panels
}

/// Whether lengths may be cut from, or that they were.
fn status(drawn: &Drawn) -> &'static str {
    if drawn.record.is_some() { "AS BUILT" } else { cut_status(drawn.measured) }
}

fn cut_list(face: &Face) -> Table {
    let rows = face
        .segments
        .iter()
        .map(|segment| {
            let [end, chain, circuit, junction] = feed_cells(face.drawn, segment);
            let leads: Vec<String> = face
                .leads
                .iter()
                .filter(|l| [l.from, l.to].iter().any(|t| matches!(t, Terminal::Segment(id, _) if *id == segment.id)))
                .map(|l| l.id.to_string())
                .collect();
            vec![
                segment.tag.clone(),
                segment.element_key.clone(),
                feet_inches(segment.station),
                feet_inches(segment.along.high),
                feet_inches(segment.offset),
                feet_inches(segment.cut_length),
                end,
                leads.join(" "),
                chain,
                junction,
                circuit,
            ]
        })
        .collect();
    Table {
        id: "cuts".into(),
        title: format!("CUT LIST FACE {}: {}", face.layout.face, status(face.drawn)),
        columns: vec![
            ("tag", Align::Left),
            ("element", Align::Left),
            ("from", Align::Right),
            ("to", Align::Right),
            ("up", Align::Right),
            ("cut", Align::Right),
            ("fed", Align::Left),
            ("leads", Align::Left),
            ("chain", Align::Left),
            ("box", Align::Left),
            ("circuit", Align::Left),
        ],
        rows,
        foot: Some(format!(
            "From, to: stations right of the control line{}. Up: lower edge from the drip edge on the slope.{}",
            if face.segments.iter().any(|s| s.station < 0.0) { ", with a minus left of it" } else { "" },
            if face.drawn.record.is_some() { " Lengths as laid." } else { " Measure the roof before cutting." }
        )),
    }
    .without_repeats(&["element", "from", "to", "up", "cut", "fed"])
}

/// The face of the piece a lead ends at.
fn fed_face(face: &Face, lead: &Lead) -> Option<FaceId> {
    match lead.to {
        Terminal::Segment(id, _) => Some(face.drawn.courses.segments[id.index()].face),
        Terminal::Box(_) => None,
    }
}

/// Leads that lie on the face and are cut for another one: drawn here, listed there.
fn passing(face: &Face) -> Option<String> {
    let mut by_face: BTreeMap<FaceId, Vec<LeadId>> = BTreeMap::new();
    for lead in &face.leads {
        if let Some(there) = fed_face(face, lead).filter(|there| *there != face.layout.face) {
            by_face.entry(there).or_default().push(lead.id);
        }
    }
    let each: Vec<String> = by_face.iter().map(|(there, leads)| format!("{} to {there}", ranges(leads))).collect();
    (!each.is_empty()).then(|| format!("Laid here, listed with the face they go to: {}.", each.join(", ")))
}

/// Leads and jumpers that end on the face, with the length to cut.
fn lead_list(face: &Face) -> Table {
    let drawn = face.drawn;
    let rows = face
        .leads
        .iter()
        .filter(|lead| fed_face(face, lead) == Some(face.layout.face))
        .map(|lead| {
            let crossings = lead.legs.iter().filter(|l| l.crossing.is_some()).count();
            let slack: f64 = lead.legs.iter().map(|l| l.slack).sum();
            let kind = match lead.kind {
                LeadKind::Feed => "feed",
                LeadKind::Jumper => "jumper",
            };
            vec![
                lead.id.to_string(),
                kind.to_owned(),
                terminal_words(drawn, lead.from),
                terminal_words(drawn, lead.to),
                crossings.to_string(),
                feet_inches(slack),
                feet_inches(lead.length),
            ]
        })
        .collect();
    Table {
        id: "leads".into(),
        title: format!("COLD LEADS AND JUMPERS FACE {}: {}", face.layout.face, status(drawn)),
        columns: vec![
            ("lead", Align::Left),
            ("kind", Align::Left),
            ("from", Align::Left),
            ("to", Align::Left),
            ("crossings", Align::Right),
            ("slack", Align::Right),
            ("cut", Align::Right),
        ],
        rows,
        foot: Some("Cut: legs, slack and make-up at both ends. Left and right as seen facing up the slope.".into()),
    }
    .without_repeats(&["from", "cut"])
}

fn order(face: &Face) -> Table {
    match face.drawn.job.roof.work.value {
        Work::NewRoof => laying_order(face),
        Work::Retrofit => lifting_order(face),
    }
}

/// Course by course from the top down: between which shingle courses its element goes. The highest goes first, so that nobody works on
/// tabs already loosened.
fn lifting_order(face: &Face) -> Table {
    let levels = course_levels(face);
    let rows = levels.into_iter().rev().enumerate().map(|(at, (v, offset, course))| {
        let segment = face.segments.iter().find(|s| s.course == course && (s.across.low - v).abs() < 0.01);
        let between = face.drawn.courses.rule.as_ref().and_then(|rule| rule.between(course));
        let [under, over] = between.unwrap_or([course, course + 1]);
        let under = if under == 0 { "starter strip".into() } else { format!("course {under}") };
        vec![
            (at + 1).to_string(),
            course.to_string(),
            under,
            format!("course {over}"),
            feet_inches(offset),
            feet_inches(offset + segment.map_or(0.0, |s| s.width())),
        ]
    });
    Table {
        id: "order".into(),
        title: "LIFTING ORDER, FROM THE TOP DOWN".into(),
        columns: vec![
            ("step", Align::Right),
            ("element", Align::Right),
            ("lies on", Align::Left),
            ("lift the tabs of", Align::Left),
            ("lower edge", Align::Right),
            ("upper edge", Align::Right),
        ],
        rows: rows.collect(),
        foot: Some(
            "Find each place by counting courses from the eave, 1 being the lowest full one. Loosen only the seals of the course \
             named, slide element in, test it, seal the tabs again. Strip lanes before, relay them last."
                .into(),
        ),
    }
}

/// Course by course: where its element lies and before which shingle course it must be down.
///
/// Shingle course k covers the deck from its butt at (k - 1) e up to (k - 1) e + h, so before it every element whose lower edge
/// lies below that is down, fixed and tested.
fn laying_order(face: &Face) -> Table {
    let shingle = &face.drawn.job.products.shingle.value;
    let (exposure, height) = (shingle.exposure.inches(), shingle.height.inches());
    let rows = course_levels(face)
        .into_iter()
        .map(|(v, offset, course)| {
            let segment = face.segments.iter().find(|s| s.course == course && (s.across.low - v).abs() < 0.01);
            let (role, width) = segment.map_or(("", 0.0), |s| {
                let role = match s.element {
                    ElementRole::Starter => "starter",
                    ElementRole::Deck => "deck",
                };
                (role, s.width())
            });
            vec![
                course.to_string(),
                role.to_owned(),
                feet_inches(offset),
                feet_inches(offset + width),
                before_shingle_course(offset, exposure, height).to_string(),
            ]
        })
        .collect();
    Table {
        id: "order".into(),
        title: "CHALK LINES AND LAYING ORDER".into(),
        columns: vec![
            ("course", Align::Right),
            ("element", Align::Left),
            ("lower edge", Align::Right),
            ("upper edge", Align::Right),
            ("down before shingle course", Align::Right),
        ],
        rows,
        foot: Some(
            "Lay from the eave up. Element is down, fixed and tested before the shingle course named covers it.".into(),
        ),
    }
}

/// The first shingle course, from one, that covers an element whose lower edge lies `offset` above the drip edge.
fn before_shingle_course(offset: f64, exposure: f64, height: f64) -> u32 {
    let covered_by_first = offset < height;
    if covered_by_first { 1 } else { ((offset - height) / exposure).floor() as u32 + 2 }
}

/// What is laid out but not installed, once for each reason.
fn left_out_notes(face: &Face) -> Vec<String> {
    let mut reasons: Vec<(&str, Vec<&str>)> = Vec::new();
    for segment in &face.left_out {
        let unfed = face.drawn.wiring.unfed.iter().find(|u| u.segment == segment.id);
        let why = unfed.map_or("nothing feeds it", |u| u.why.as_str());
        match reasons.iter_mut().find(|(reason, _)| *reason == why) {
            Some((_, tags)) => tags.push(&segment.tag),
            None => reasons.push((why, vec![&segment.tag])),
        }
    }
    let words = |(why, tags): (&str, Vec<&str>)| format!("NOT INSTALLED {}: {why}.", tags.join(" "));
    reasons.into_iter().map(words).collect()
}

/// Where leads cross a fold, for the crew that lays them: which, from where up the fold, with how much slack, and what is not nailed.
fn crossing_note(face: &Face, crossing: &Crossing) -> String {
    let drawn = face.drawn;
    let kind = drawn.roof.edge(crossing.edge).kind.words();
    let other = drawn.roof.across(crossing.edge, face.layout.face).map_or_else(String::new, |f| format!(" to {f}"));
    let cap = if crossing.cap_gap > 0.0 {
        format!(" No cap nail within {} there.", feet_inches(crossing.cap_gap))
    } else {
        String::new()
    };
    format!(
        "{}: {} square across {kind} {}{other}, {} up the {kind} from its lower end, {} slack on each side.{cap}",
        crossing.id,
        ranges(&crossing.leads),
        crossing.edge,
        feet_inches(crossing.up_valley),
        feet_inches(drawn.job.wiring.crossing_slack)
    )
}

/// Where the sensor stands and how its lead goes, on the face it stands on.
fn sensor_note(face: &Face) -> Option<String> {
    let drawn = face.drawn;
    let sensor = drawn.wiring.sensor.as_ref().filter(|sensor| sensor.face == face.layout.face)?;
    let at = face.layout.frame.to_face(sensor.at.plan());
    let lead = match &sensor.lead {
        Some(lead) => format!(
            "its lead, the full thin line, is {} to an enclosure beside {}",
            feet_inches(lead.length),
            drawn.wiring.boxes.iter().find(|b| b.id == lead.junction_box).map_or("", |b| b.tag.as_str())
        ),
        None => "its lead goes through the deck beside it, sealed, and on inside".to_owned(),
    };
    Some(format!("T: the sensor, {} up the slope; {lead}. Keep it apart from power.", feet_inches(at.y)))
}

/// Words that begin a sentence.
fn sentence(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}

fn face_notes(face: &Face) -> Vec<String> {
    let drawn = face.drawn;
    let mut notes = Vec::new();
    let pitch = drawn.roof.face(face.layout.face);
    notes.push(format!("Pitch {}{}. Verify on the roof.", pitch_in_12(pitch.pitch), basis_mark(pitch.pitch_basis)));
    for zone in &face.zones {
        let provided = drawn.courses.zones.iter().find(|z| z.zone == zone.id);
        let provided = provided.map_or_else(String::new, |z| format!(", provided {}", feet_inches(z.provided_reach)));
        notes.push(format!(
            "{}: reach required {}{}{provided}. {}.",
            zone.id,
            feet_inches(zone.required_reach),
            basis_mark(zone.reach_basis),
            sentence(zone.reach_words.trim_end_matches('.'))
        ));
    }
    notes.push("Square the control line to the eave: 9 ft along, 12 ft up the slope, 15 ft across.".into());
    notes.push(
        "Ends of pieces: a dot is fed, by a lead or a jumper; a bar is capped. Lines of short dashes are leads; where they leave the face stands \
         a circle with a dot, or two bars where they cross to another face."
            .into(),
    );
    notes.extend(passing(face));
    notes.extend(crossings(face).map(|crossing| crossing_note(face, crossing)));
    notes.extend(sensor_note(face));
    let mut setbacks: Vec<String> = Vec::new();
    for edge in face.layout.edges.iter().filter(|e| e.setback > 0.0) {
        let words = format!("{} {}", feet_inches(edge.setback), edge.kind.words());
        if !setbacks.contains(&words) {
            setbacks.push(words);
        }
    }
    if !setbacks.is_empty() {
        notes.push(format!("Setbacks, square to the edge on the surface: {}.", setbacks.join(", ")));
    }
    if drawn.wiring.nail_gaps.iter().any(|g| g.face == face.layout.face) {
        let width = feet_inches(drawn.job.wiring.nail_gap);
        notes.push(format!("x: no nail within {width} where a lead crosses a nail row."));
    }
    let mut kept: Vec<&str> = Vec::new();
    for area in &face.layout.keep_outs {
        if !kept.contains(&area.why.as_str()) {
            kept.push(&area.why);
        }
    }
    notes.extend(kept.iter().map(|why| format!("Kept free: {why}.")));
    for melt in drawn.zones.melt.iter().filter(|m| face.zones.iter().any(|z| z.id == m.zone)) {
        let links: Vec<String> = melt
            .links
            .iter()
            .map(|link| if link.open { link.what.clone() } else { format!("{} (COLD)", link.what) })
            .collect();
        let beyond = if links.len() > 1 { "" } else { "; where it drips is not given" };
        notes.push(format!("Melt water of {}{beyond}.", links.join(", then ")));
    }
    notes.extend(left_out_notes(face));
    for cold in drawn.courses.cold.iter().filter(|c| face.zones.iter().any(|z| z.id == c.zone)) {
        notes.push(format!(
            "Cold: course {} from station {}, {}: {}",
            cold.course,
            feet_inches(cold.along.low),
            feet_inches(cold.along.length()),
            cold.why
        ));
    }
    if drawn.job.roof.work.value == Work::Retrofit {
        for relay in drawn.wiring.relays.iter().filter(|r| r.face == face.layout.face) {
            notes.push(format!(
                "STRIP AND RELAY from station {} to {}, courses 1 to {}: at most {} shingles. New nails stay out at every x.",
                feet_inches(relay.extent.u.low),
                feet_inches(relay.extent.u.high),
                relay.highest_course,
                relay.shingles
            ));
        }
        notes.push(
            "Retrofit: old nails stand in every row but in stripped lanes; nothing crosses a row elsewhere.".into(),
        );
    }
    notes
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;
    use crate::roof::fixtures::hipped_l;

    /// Three-tab, 12 in high at 5 in exposure, elements at 0 and j * 5 + 1 1/8 in: the first shingle covers 0 to 12 in,
    /// the second 5 to 17 in, the third 10 to 22 in.
    #[test]
    fn each_element_is_down_before_the_shingle_that_covers_it() {
        let courses = [0.0, 6.125, 11.125, 16.125, 21.125, 26.125];
        assert_eq!(courses.map(|offset| before_shingle_course(offset, 5.0, 12.0)), [1, 1, 1, 2, 3, 4]);
    }

    /// Every note is a sentence; only fractions and marks of inches end without a letter before the stop.
    #[test]
    fn notes_begin_with_a_capital_and_end_with_a_stop() {
        let made = layout_of(hipped_l(), Job::with_defaults(&Catalogue::sample()).unwrap());
        let drawn = made.drawn();
        for face in heated_faces(&drawn) {
            let notes = face_notes(&face);
            assert!(notes.len() > 4);
            for note in notes {
                assert!(note.ends_with('.') && !note.ends_with(".."), "{note}");
                // `x` is a mark on the drawing.
                assert!(!note.starts_with(char::is_lowercase) || note.starts_with("x: "), "{note}");
            }
        }
    }

    /// Whatever lead is drawn on a face is found from its sheet: in its own list, or in that of the face its sheet names.
    #[test]
    fn every_lead_on_a_face_is_listed_or_said_to_be_listed_elsewhere() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.heat.valleys = true;
        let made = layout_of(hipped_l(), job);
        let drawn = made.drawn();
        let faces = heated_faces(&drawn);
        let listed = |face: FaceId| -> Vec<String> {
            let there = faces.iter().find(|f| f.layout.face == face).unwrap();
            lead_list(there).rows.into_iter().map(|row| row[0].clone()).collect()
        };
        let mut elsewhere = 0;
        for face in &faces {
            let words = passing(face).unwrap_or_default();
            for lead in &face.leads {
                let there = fed_face(face, lead).unwrap();
                assert!(listed(there).contains(&lead.id.to_string()), "{}", lead.id);
                if there != face.layout.face {
                    elsewhere += 1;
                    assert!(words.contains(&format!("to {there}")), "{}: {words}", face.layout.face);
                }
            }
        }
        assert!(elsewhere > 0, "no lead passes over a face");
    }

    #[test]
    fn a_sentence_begins_with_a_capital() {
        assert_eq!(
            ["valley: 24 in", "IRC 2024", "24 in", ""].map(sentence),
            ["Valley: 24 in", "IRC 2024", "24 in", ""]
        );
    }
}
