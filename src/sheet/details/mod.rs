//! E-501 and on: details drawn from the job's own numbers.
//!
//! Lengths along the roof and on the level are to scale and carry the dimensions; thickness of shingle, element and metal is drawn
//! larger than it is so that the layers can be told apart, and the sheet says so.

mod callouts;
mod courses;
mod eave;
mod ends;
mod exits;
mod section;
mod valley;

use super::Drawn;
use super::frame::Paper;
use super::layers::Pen;
use super::model::{Anchor, Model, ModelId, Sheet};
use super::numbers::{Stretch, sheet_number};
use super::pad::{NOTE, Pad};
use super::plan_model::Drawing;
use super::views::{Letterer, VIEW_TITLE, place_view};
use crate::geometry::{Box2, Point2, Vector2};

/// One detail before a scale is chosen.
struct Detail<'a> {
    /// Printed under it.
    title: String,
    /// The bare object, inches.
    bounds: Box2,
    /// Draws and letters it for a scale.
    letter: Box<dyn Fn(f64) -> Drawing + 'a>,
}

/// Sheets and models of all details.
pub(super) struct DetailSheets {
    /// In order.
    pub sheets: Vec<Sheet>,
    /// One a detail.
    pub models: Vec<Model>,
}

/// White between two details, inches on paper.
const BETWEEN: f64 = 0.35;
/// Least room for one detail, inches on paper.
const CELL: Vector2 = Vector2::new(6.2, 4.8);
/// Room for the note below the details, inches on paper.
const FOOT: f64 = 0.3;
/// What every sheet of details says below them.
const NOT_TO_SCALE: &str = "Lengths along the roof and on the level are to scale. Thickness of shingle, element, lead and metal is drawn larger than it is.";

/// Draws every detail the layout calls for. `first_model` is the position the first model will have in the set.
pub(super) fn detail_sheets(drawn: &Drawn, paper: &Paper, first_model: usize) -> DetailSheets {
    let mut made = DetailSheets { sheets: Vec::new(), models: Vec::new() };
    let details = details(drawn);
    let (columns, rows) = grid(details.len(), paper);
    let cell = Vector2::new(
        (paper.drawing.width() + BETWEEN) / columns as f64 - BETWEEN,
        (paper.drawing.height() - FOOT + BETWEEN) / rows as f64 - BETWEEN,
    );
    for (page, on_page) in details.chunks(columns * rows).enumerate() {
        let title = if page == 0 { "Details" } else { "Details, continued" };
        let mut sheet = paper.sheet(&sheet_number(Stretch::Details, page), title, "as shown");
        let mut pad = Pad::default();
        let mut top = paper.drawing.max.y;
        for (row, in_row) in on_page.chunks(columns).enumerate() {
            let mut deepest: f64 = 0.0;
            for (column, detail) in in_row.iter().enumerate() {
                let corner = Point2::new(paper.drawing.min.x + column as f64 * (cell.x + BETWEEN), top);
                let room = Vector2::new(cell.x, cell.y - VIEW_TITLE - 0.1);
                let fitted = Letterer::new(detail.bounds, &detail.letter).fit(room);
                deepest = deepest.max(fitted.size.y);
                let model = ModelId(first_model + made.models.len());
                let heading = (row * columns + column + 1, detail.title.as_str());
                let view = place_view(&mut pad, &fitted, model, corner, heading, cell.x.min(6.5));
                sheet.viewports.push(view);
                made.models.push(fitted.drawing.model);
            }
            // Rows stand close under each other: what they do not need is left white below them all.
            top -= (deepest + VIEW_TITLE + 0.1).min(cell.y) + BETWEEN;
        }
        let at = Point2::new(paper.drawing.min.x, (top + BETWEEN - 0.25).max(paper.drawing.min.y + 0.05));
        pad.text("details.note", Pen::Note, NOTE.text(at, Anchor::Left, NOT_TO_SCALE));
        sheet.items.extend(pad.items);
        made.sheets.push(sheet);
    }
    made
}

/// Columns and rows of a sheet of details: as many rows as it needs, so that each has all the height there is, at most three, and
/// a fourth only where it saves a sheet.
fn grid(details: usize, paper: &Paper) -> (usize, usize) {
    let columns = (((paper.drawing.width() + BETWEEN) / (CELL.x + BETWEEN)).floor() as usize).clamp(1, 3);
    let most = (((paper.drawing.height() - FOOT + BETWEEN) / (CELL.y + BETWEEN)).floor() as usize).clamp(1, 4);
    let rows = if details > 3 * columns { most } else { most.min(details.div_ceil(columns)).min(3) };
    (columns, rows.max(1))
}

/// The details in order: from the eave up, then ends, exits and boxes. Only what the layout has is shown.
fn details<'a>(drawn: &'a Drawn<'a>) -> Vec<Detail<'a>> {
    if drawn.courses.segments.is_empty() {
        return Vec::new();
    }
    let mut all = eave::eave_sections(drawn);
    all.extend(courses::build_up(drawn));
    all.extend(valley::valleys(drawn));
    all.extend(ends::power_connection(drawn));
    all.extend(ends::capped_end(drawn));
    all.extend(exits::over_eave(drawn));
    all.extend(exits::over_rake(drawn));
    all.extend(exits::through_deck(drawn));
    all.extend(exits::boxes(drawn));
    all
}

/// A finished detail model.
fn drawing(name: &str, scale: f64, pad: Pad) -> Drawing {
    let model = Model { name: format!("detail {name}"), is_plan: false, lettered_for: scale, items: pad.items };
    Drawing { model, key: Vec::new() }
}

#[cfg(test)]
mod tests {
    use super::super::check::check_invariants;
    use super::super::fixtures::{layout, layout_of};
    use super::super::model::Shape;
    use super::super::set::sheets;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::{Job, SheetSize, ValleyType, Work};
    use crate::roof::fixtures::{gable, hipped_l};

    fn job(change: impl Fn(&mut Job)) -> Job {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        change(&mut job);
        job
    }

    /// Names of the details drawn for a job on the hipped L, each with everything in its model as text.
    fn drawn_for(job: Job) -> Vec<(String, String)> {
        let made = layout_of(hipped_l(), job);
        let paper = Paper::new(&made.job, Vec::new(), "");
        let details = detail_sheets(&made.drawn(), &paper, 0);
        details.models.iter().map(|m| (m.name.clone(), format!("{:?}", m.items))).collect()
    }

    /// Names of the details that differ between two jobs.
    fn changed(a: Job, b: Job) -> Vec<String> {
        let (a, b) = (drawn_for(a), drawn_for(b));
        a.into_iter()
            .filter(|(name, items)| b.iter().any(|(n, i)| n == name && i != items))
            .map(|(name, _)| name)
            .collect()
    }

    #[test]
    fn a_detail_changes_with_the_number_it_shows_and_not_with_others() {
        let wider = changed(job(|_| ()), job(|j| j.roof.overhang.value = 24.0));
        assert!(wider.contains(&"detail eave 1".into()) && wider.contains(&"detail over eave".into()), "{wider:?}");
        let valley = changed(job(|_| ()), job(|j| j.roof.valley_type.value = ValleyType::OpenMetal));
        assert!(valley.iter().all(|n| n.starts_with("detail valley")) && !valley.is_empty(), "{valley:?}");
        let exposure = changed(
            job(|_| ()),
            job(|j| {
                j.products.shingle.value =
                    Catalogue::sample().shingles.into_iter().find(|s| s.key == "metric-laminated").unwrap()
            }),
        );
        assert!(exposure.contains(&"detail courses".into()), "{exposure:?}");
        assert!(!exposure.contains(&"detail power connection".into()), "{exposure:?}");
        let layer = changed(job(|_| ()), job(|j| j.roof.work.value = Work::Retrofit));
        assert!(layer.contains(&"detail courses".into()), "{layer:?}");
        let gap = changed(job(|_| ()), job(|j| j.courses.end_gap = 9.0));
        assert!(gap.contains(&"detail capped end".into()), "{gap:?}");
    }

    #[test]
    fn the_pitch_of_the_roof_is_the_pitch_of_its_section() {
        for pitch in [4.0 / 12.0, 0.5, 1.0] {
            let made = layout(gable(480.0, 288.0, pitch), SheetSize::ArchD);
            let drawn = made.drawn();
            let details = detail_sheets(&drawn, &Paper::new(&made.job, Vec::new(), ""), 0);
            let eave = details.models.iter().find(|m| m.name == "detail eave 1").unwrap();
            let barrier = eave.items.iter().find(|i| i.id == "barrier").unwrap();
            let Shape::Polyline { points, .. } = &barrier.shape else { panic!("the barrier is a line") };
            let run = points[1] - points[0];
            assert!((run.y / run.x - pitch).abs() < 1e-9, "{pitch}");
        }
    }

    #[test]
    fn sheets_of_details_are_sound_on_every_size_of_paper() {
        for size in [SheetSize::AnsiB, SheetSize::ArchC, SheetSize::ArchD, SheetSize::IsoA1] {
            let made = layout(hipped_l(), size);
            let set = sheets(made.drawn()).value;
            assert!(set.sheets.iter().any(|s| s.number == "E-501"), "{size:?}");
            assert_eq!(check_invariants(&set), Vec::<String>::new(), "{size:?}");
        }
    }

    #[test]
    fn an_unheated_roof_has_no_details() {
        let made = layout_of(
            gable(480.0, 288.0, 0.5),
            job(|j| {
                j.heat.eaves = false;
                j.heat.valleys = false;
            }),
        );
        assert!(detail_sheets(&made.drawn(), &Paper::new(&made.job, Vec::new(), ""), 0).sheets.is_empty());
    }
}
