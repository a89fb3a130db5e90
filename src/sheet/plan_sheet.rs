//! E-101, the roof heating plan, and the key plan of a survey.

use super::Drawn;
use super::blocks::Symbol;
use super::flow::{Align, ENLARGED, Panel, Table, flow, list};
use super::frame::Paper;
use super::layers::Pen;
use super::model::{Model, ModelId, Sheet};
use super::notes::numbered;
use super::numbers::{Stretch, sheet_number};
use super::pad::{LEVEL, Pad};
use super::plan_model::{Drawing, heating_plan, openings_in_words, roof_plan};
use super::questions::asked;
use super::scales::Scale;
use super::views::{Fitted, Letterer, VIEW_TITLE, place_view};
use crate::courses::Segment;
use crate::geometry::{Box2, Point2, Vector2};
use crate::index::ZoneId;
use crate::roof::Roof;
use crate::units::feet_inches;
use std::collections::BTreeMap;

/// Width of the column of notes beside a plan, inches.
fn side_width(paper: &Paper) -> f64 {
    if paper.drawing.width() > 20.0 { 5.0 } else { 3.3 }
}

/// Room above the plan for the north arrow, inches.
const NORTH_ROOM: f64 = 0.8;

/// A sheet made, with its model and what must be said about it.
pub(super) struct Made {
    /// The sheets: the first and those its tables run on to.
    pub sheets: Vec<Sheet>,
    /// The model it looks at.
    pub model: Model,
    /// Its scale.
    pub scale: Scale,
}

/// The heating plan with its zone table, setbacks and key notes.
pub(super) fn plan_sheets(drawn: &Drawn, paper: &Paper, model: ModelId) -> Made {
    let side = side_width(paper);
    let panels = |key: &[String]| {
        let mut panels = vec![zone_table(drawn).panel(side), setback_table(drawn).panel(side)];
        let openings = openings_in_words(drawn.roof);
        if !openings.is_empty() {
            panels.push(list("openings", "OPENINGS", &numbered(&openings), side));
        }
        if !drawn.courses.cold.is_empty() {
            panels.push(cold_table(drawn).panel(side));
        }
        if !key.is_empty() {
            panels.push(list("key", "KEY: NO ROOM ON THE PLAN FOR", &numbered(key), side));
        }
        panels
    };
    let bounds = roof_bounds(drawn.roof);
    make(paper, "E-101", "Roof heating plan", model, bounds, |scale| heating_plan(drawn, scale), panels)
}

/// The roof with edge tags, kinds, pitches and open questions.
pub(super) fn key_sheets(roof: &Roof, paper: &Paper, model: ModelId) -> Made {
    let side = side_width(paper);
    let panels = |key: &[String]| {
        let mut panels = Vec::new();
        let questions: Vec<(String, String)> = roof
            .questions
            .iter()
            .enumerate()
            .flat_map(|(i, q)| {
                let put = asked(q);
                let options = put.options.into_iter().zip('a'..).map(|(words, letter)| (format!("  {letter}"), words));
                std::iter::once((format!("Q{}", i + 1), put.words)).chain(options).collect::<Vec<_>>()
            })
            .collect();
        if !questions.is_empty() {
            panels.push(list("questions", "QUESTIONS THE DRAWING LEAVES OPEN", &questions, side));
            let how = "Draw an arrow that points downhill on a face in question, or answer in the job file under [[roof.edge]] or \
                       [[roof.face]]: the init command writes the entries.";
            panels.push(list("answer", "HOW TO ANSWER", &[(String::new(), how.to_owned())], side));
        }
        panels.push(super::schedule::edge_table(roof).panel(side));
        if !key.is_empty() {
            panels.push(list("key", "KEY: NO ROOM ON THE PLAN FOR", &numbered(key), side));
        }
        panels
    };
    make(paper, "E-101", "Key plan", model, roof_bounds(roof), |scale| roof_plan(roof, scale), panels)
}

/// The bare roof.
fn roof_bounds(roof: &Roof) -> Box2 {
    let nothing = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(12.0, 12.0) };
    Box2::around(roof.points.iter().copied()).unwrap_or(nothing)
}

fn make(
    paper: &Paper,
    number: &str,
    title: &str,
    model: ModelId,
    bounds: Box2,
    letter: impl Fn(f64) -> Drawing,
    panels: impl Fn(&[String]) -> Vec<Panel>,
) -> Made {
    let area = paper.drawing;
    let mut drawing = Letterer::new(bounds, letter);
    let mut split = |factor: f64| {
        let side = factor * side_width(paper);
        let view = Box2 { min: area.min, max: Point2::new(area.max.x - side - 0.3, area.max.y) };
        let fitted = drawing.fit(Vector2::new(view.width(), view.height() - VIEW_TITLE - 0.1));
        let notes = Box2 { min: Point2::new(area.max.x - side, area.min.y), max: area.max };
        let north_below = Box2 { min: notes.min, max: Point2::new(notes.max.x, notes.max.y - NORTH_ROOM - 0.1) };
        let panels = panels(&fitted.drawing.key).into_iter().map(|panel| panel.enlarged(factor));
        (view, notes, flow(&panels.collect::<Vec<_>>(), north_below, area), fitted)
    };
    let plain = split(1.0);
    // Larger letters must cost neither scale nor a page.
    let larger = ENLARGED.into_iter().map(&mut split);
    let as_good = larger
        .into_iter()
        .find(|(.., pages, fitted)| fitted.scale.factor <= plain.3.scale.factor && pages.len() <= plain.2.len());
    let (view, notes, pages, fitted) = as_good.unwrap_or(plain);
    let mut pages = pages.into_iter();
    let mut sheet = paper.sheet(number, title, &fitted.scale.words);
    let mut pad = Pad::default();
    pad.insert(
        "north",
        Pen::Symbol,
        Symbol::NorthArrow.id(),
        Point2::new(notes.min.x + 0.4, notes.max.y - 0.5),
        LEVEL,
        Vec::new(),
    );
    pad.text(
        "north.words",
        Pen::Note,
        super::pad::NOTE.text(
            Point2::new(notes.min.x + 0.85, notes.max.y - 0.45),
            super::model::Anchor::MiddleLeft,
            "drawing north: verify",
        ),
    );
    let corner = corner_of(view, &fitted);
    sheet.viewports.push(place_view(&mut pad, &fitted, model, corner, (1, title), f64::INFINITY));
    pad.items.extend(pages.next().unwrap_or_default());
    sheet.items.extend(pad.items);
    let mut sheets = vec![sheet];
    for (i, page) in pages.enumerate() {
        let mut more = paper.sheet(&sheet_number(Stretch::Plan, i + 1), &format!("{title}, continued"), "");
        more.items.extend(page);
        sheets.push(more);
    }
    Made { sheets, model: fitted.drawing.model, scale: fitted.scale }
}

/// The window's upper left corner: in the middle of its room.
fn corner_of(view: Box2, fitted: &Fitted) -> Point2 {
    let spare = Vector2::new(view.width() - fitted.size.x, view.height() - VIEW_TITLE - 0.1 - fitted.size.y);
    Point2::new(view.min.x + 0.5 * spare.x.max(0.0), view.max.y - 0.5 * spare.y.max(0.0))
}

/// First and last course in which a zone has element: a valley's begin where those of the eave below it end.
fn courses_laid(laid: &[&Segment]) -> String {
    let courses = || laid.iter().map(|s| s.course);
    match (courses().min(), courses().max()) {
        (Some(first), Some(last)) if first < last => format!("{first} to {last}"),
        (Some(only), _) => only.to_string(),
        (None, _) => String::new(),
    }
}

fn zone_table(drawn: &Drawn) -> Table {
    let mut pieces: BTreeMap<ZoneId, Vec<&Segment>> = BTreeMap::new();
    for segment in &drawn.courses.segments {
        pieces.entry(segment.zone).or_default().push(segment);
    }
    let rows = drawn
        .zones
        .zones
        .iter()
        .map(|zone| {
            let laid = pieces.get(&zone.id).map_or(&[][..], Vec::as_slice);
            let courses = drawn.courses.zones.iter().find(|z| z.zone == zone.id);
            let provided = courses.map_or_else(String::new, |z| feet_inches(z.provided_reach));
            let fed = |s: &&&Segment| drawn.wiring.feed(s.id).is_some();
            let length: f64 = laid.iter().filter(fed).map(|s| s.cut_length).sum();
            let left_out: f64 = laid.iter().filter(|s| !fed(s)).map(|s| s.cut_length).sum();
            vec![
                zone.id.to_string(),
                zone.face.to_string(),
                courses_laid(laid),
                format!("{}{}", feet_inches(zone.required_reach), super::roof_lines::basis_mark(zone.reach_basis)),
                provided,
                feet_inches(length),
                if left_out > 0.0 { feet_inches(left_out) } else { String::new() },
            ]
        })
        .collect();
    let table = Table {
        id: "zones".into(),
        title: "HEATED ZONES".into(),
        columns: vec![
            ("zone", Align::Left),
            ("face", Align::Left),
            ("courses", Align::Right),
            ("reach required", Align::Right),
            ("reach provided", Align::Right),
            ("element", Align::Right),
            ("not installed", Align::Right),
        ],
        rows,
        foot: Some(
            "Courses: 0 is the starter. Reach: up the slope from the drip edge. Segments, leads and cut lengths: see the face sheets.".into(),
        ),
    };
    without_blank_last(table)
}

/// The table without its last column when that says nothing.
fn without_blank_last(mut table: Table) -> Table {
    if table.rows.iter().all(|row| row.last().is_none_or(String::is_empty)) {
        table.columns.pop();
        for row in &mut table.rows {
            row.pop();
        }
    }
    table
}

/// Distinct setbacks with how they are measured.
fn setback_table(drawn: &Drawn) -> Table {
    let mut rows: Vec<Vec<String>> = Vec::new();
    let mut add = |what: String, distance: f64, why: &str| {
        let row = vec![what, feet_inches(distance), why.to_owned()];
        if distance > 0.0 && !rows.contains(&row) {
            rows.push(row);
        }
    };
    let heated = |face| drawn.zones.zones.iter().any(|z| z.face == face);
    for layout in drawn.zones.faces.iter().filter(|l| heated(l.face)) {
        for edge in &layout.edges {
            add(edge.kind.words().to_owned(), edge.setback, &edge.why);
        }
    }
    for layout in drawn.zones.faces.iter().filter(|l| heated(l.face)) {
        for opening in &layout.openings {
            let distance = opening.flashing.u.low - opening.keep_out.u.low;
            add(format!("{} past flashing", opening.opening), distance, &opening.why);
        }
    }
    Table {
        id: "setbacks".into(),
        title: "SETBACKS OF ELEMENTS".into(),
        columns: vec![("from", Align::Left), ("distance", Align::Right), ("why", Align::Left)],
        rows,
        foot: Some("Square to the edge, on the surface.".into()),
    }
}

fn cold_table(drawn: &Drawn) -> Table {
    let rows = drawn
        .courses
        .cold
        .iter()
        .map(|cold| {
            vec![
                cold.zone.to_string(),
                cold.course.to_string(),
                feet_inches(cold.along.low),
                feet_inches(cold.along.length()),
                cold.why.clone(),
            ]
        })
        .collect();
    Table {
        id: "cold".into(),
        title: "LEFT COLD".into(),
        columns: vec![
            ("zone", Align::Left),
            ("course", Align::Right),
            ("station", Align::Right),
            ("length", Align::Right),
            ("why", Align::Left),
        ],
        rows,
        foot: None,
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;
    use crate::roof::fixtures::hipped_l;
    use crate::zones::ZoneKind;

    /// A crew finds the pieces of a zone by their course: each zone names the courses its tags name, and a valley's begin above the eave's.
    #[test]
    fn zones_name_the_courses_their_pieces_lie_on() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.heat.valleys = true;
        let made = layout_of(hipped_l(), job);
        let drawn = made.drawn();
        let mut above = 0;
        for (zone, row) in drawn.zones.zones.iter().zip(zone_table(&drawn).rows) {
            let tags = drawn.courses.segments.iter().filter(|s| s.zone == zone.id).map(|s| s.tag.clone());
            let mut courses: Vec<u32> = tags.map(|tag| tag.split('-').nth(1).unwrap().parse().unwrap()).collect();
            courses.sort_unstable();
            let (first, last) = (courses[0], courses[courses.len() - 1]);
            assert_eq!(row[2], format!("{first} to {last}"), "{row:?}");
            above += usize::from(zone.kind == ZoneKind::Valley && first > 0);
        }
        assert!(above > 0, "no valley zone above an eave's");
    }
}
