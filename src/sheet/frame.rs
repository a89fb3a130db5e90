//! Paper, border and title block.

use super::blocks::SYMBOLS;
use super::layers::Pen;
use super::model::{Anchor, Block, BlockId, FontWeight, Sheet};
use super::notes::short_cautions;
use super::pad::{HEAD, LEADING, LEVEL, NOTE, Pad, Style, TAG, TITLE, leading};
use super::status::Unsettled;
use super::text::shorten;
use crate::geometry::{Box2, Point2, Vector2};
use crate::job::{Job, SheetSize};
use crate::units::MILLIMETRES_PER_INCH;

/// Sheet numbers, largest letters of the set.
const NUMBER: Style = Style { height: 0.4, weight: FontWeight::Bold };

/// Height of the panel of the sheet number, inches.
const NUMBER_ROOM: f64 = 0.8;
/// Height of the panel of title and scale: two lines of title, inches.
const TITLE_ROOM: f64 = 1.24;
/// The block that holds what all title blocks of a set share: it follows the symbols.
pub(super) const TITLE_BLOCK: BlockId = BlockId(SYMBOLS.len());

/// What all sheets of a set share.
#[derive(Debug, Clone)]
pub(super) struct Paper<'a> {
    /// For the title block.
    pub job: &'a Job,
    /// What keeps the set preliminary.
    pub unsettled: Vec<Unsettled>,
    /// Where or when that list is dealt with, in a few words.
    pub settled_where: &'static str,
    /// Paper size, inches.
    pub size: Vector2,
    /// Border.
    pub frame: Box2,
    /// Inside the border, left of the title block, with white kept.
    pub drawing: Box2,
    /// The title block.
    pub strip: Box2,
}

/// Width and height of a sheet lying down, inches.
pub(super) fn paper_size(size: SheetSize) -> Vector2 {
    let metric = |w: f64, h: f64| Vector2::new(w / MILLIMETRES_PER_INCH, h / MILLIMETRES_PER_INCH);
    match size {
        SheetSize::AnsiB => Vector2::new(17.0, 11.0),
        SheetSize::AnsiD => Vector2::new(34.0, 22.0),
        SheetSize::ArchC => Vector2::new(24.0, 18.0),
        SheetSize::ArchD => Vector2::new(36.0, 24.0),
        SheetSize::IsoA2 => metric(594.0, 420.0),
        SheetSize::IsoA1 => metric(841.0, 594.0),
    }
}

impl<'a> Paper<'a> {
    /// The paper of a job.
    pub(super) fn new(job: &'a Job, unsettled: Vec<Unsettled>, settled_where: &'static str) -> Self {
        let size = paper_size(job.sheet.size);
        let large = size.x > 22.0;
        let margin = if large { 0.5 } else { 0.375 };
        // The binding edge of large sheets is on the left.
        let left = if large { 1.0 } else { 0.5 };
        let frame = Box2 { min: Point2::new(left, margin), max: Point2::new(size.x - margin, size.y - margin) };
        let strip_width = if large { 3.6 } else { 2.9 };
        let strip = Box2 { min: Point2::new(frame.max.x - strip_width, frame.min.y), max: frame.max };
        let room = if large { 0.35 } else { 0.2 };
        let drawing = Box2 { min: frame.min, max: Point2::new(strip.min.x, frame.max.y) }.grown(-room);
        Self { job, unsettled, settled_where, size, frame, drawing, strip }
    }

    /// An empty sheet with border and title block.
    pub(super) fn sheet(&self, number: &str, title: &str, scale: &str) -> Sheet {
        let mut pad = Pad::default();
        pad.box_of("frame", Pen::Border, self.frame.min, self.frame.max);
        let strip = self.strip;
        pad.line("strip", Pen::Border, strip.min, Point2::new(strip.min.x, strip.max.y));
        pad.insert("title-block", Pen::Title, TITLE_BLOCK, Point2::new(0.0, 0.0), LEVEL, Vec::new());
        self.sheet_panels(&mut pad, number, title, scale);
        Sheet {
            number: number.to_owned(),
            title: title.to_owned(),
            size: self.size,
            frame: self.frame,
            viewports: Vec::new(),
            items: pad.items,
        }
    }

    /// What the title blocks of all sheets share, as one block: project, revisions, seal, status and cautions.
    pub(super) fn title_block(&self) -> Block {
        let mut pad = Pad::default();
        let (left, right) = (self.strip.min.x + 0.12, self.strip.max.x - 0.12);
        let mut y = self.strip.min.y + NUMBER_ROOM;
        self.rule(&mut pad, "number", y);
        y += TITLE_ROOM;
        self.rule(&mut pad, "title", y);
        y = self.project_panel(&mut pad, left, right - left, y);
        self.rule(&mut pad, "project", y);
        y = self.revision_panel(&mut pad, left, y);
        self.rule(&mut pad, "revisions", y);
        if self.strip.height() > 15.0 {
            pad.text("seal", Pen::Title, NOTE.text(Point2::new(left, y + 2.3), Anchor::Left, "Seal and signature"));
            y += 2.5;
            self.rule(&mut pad, "seal", y);
        }
        self.status_panels(&mut pad, y);
        Block { name: "EDFT-TITLE-BLOCK".into(), items: pad.items, attributes: Vec::new(), data: Vec::new() }
    }

    fn rule(&self, pad: &mut Pad, id: &str, y: f64) {
        let at = |x: f64| Point2::new(x, y);
        pad.line(format!("rule.{id}"), Pen::Title, at(self.strip.min.x), at(self.strip.max.x));
    }

    /// Number, title and scale: what is the sheet's own.
    fn sheet_panels(&self, pad: &mut Pad, number: &str, title: &str, scale: &str) {
        let (left, right) = (self.strip.min.x + 0.12, self.strip.max.x - 0.12);
        let low = self.strip.min.y;
        pad.text("sheet.number", Pen::Title, NUMBER.text(Point2::new(left, low + 0.2), Anchor::Left, number));
        let low = low + NUMBER_ROOM;
        let scale_line = if scale.is_empty() { String::new() } else { format!("Scale {scale}") };
        pad.text("sheet.scale", Pen::Title, NOTE.text(Point2::new(left, low + 0.1), Anchor::Left, scale_line));
        // The largest letters in which the title takes two lines.
        let title = title.to_uppercase();
        let wrapped = [1.0, 0.8, 0.6, 0.5].map(|part| Style { height: part * TITLE.height, ..TITLE }).map(|style| {
            let lines = style.wrap(&title, right - left);
            (style, lines)
        });
        let fits = wrapped
            .iter()
            .find(|(style, lines)| lines.len() <= 2 && lines.iter().all(|line| style.width(line) <= right - left));
        if let Some((style, lines)) = fits.or(wrapped.last()) {
            pad.lines("sheet.title", Pen::Title, *style, Point2::new(left, low + TITLE_ROOM - 0.06), lines);
        }
    }

    fn project_panel(&self, pad: &mut Pad, left: f64, width: f64, y: f64) -> f64 {
        let p = &self.job.project;
        let label = |name: &str, value: &str| (name.to_owned(), value.to_owned());
        let fields = [
            label("Checked", &p.checked_by),
            label("Drawn", &p.drawn_by),
            label("Design", &p.designer),
            label("Date", &p.date),
            label("Code", &format!("electrical, edition {}", self.job.electrical.code_edition.value)),
            label("Job", &p.number),
            label("Owner", &p.owner),
            label("Site", &p.site),
        ];
        let mut y = y + 0.06;
        for (name, value) in fields {
            let lines = NOTE.wrap(&value, width - 0.7).into_iter().flat_map(|l| broken(&l, width - 0.7));
            let shown: Vec<String> = lines.take(3).collect();
            let height = LEADING * shown.len().max(1) as f64;
            y += height;
            let at = Point2::new(left, y);
            pad.lines(&format!("project.{}", name.to_lowercase()), Pen::Title, TAG, at, std::slice::from_ref(&name));
            pad.lines(
                &format!("project.{}.value", name.to_lowercase()),
                Pen::Title,
                NOTE,
                Point2::new(left + 0.7, y),
                &shown,
            );
        }
        let titles: Vec<String> = HEAD.wrap(&p.title, width).into_iter().take(3).collect();
        y += leading(HEAD) * titles.len() as f64 + 0.05;
        pad.lines("project.title", Pen::Title, HEAD, Point2::new(left, y), &titles);
        y + 0.06
    }

    /// The table of revisions: the last ones of the job, and empty rows for what is filled in by hand. All of them stand on E-001.
    fn revision_panel(&self, pad: &mut Pad, left: f64, y: f64) -> f64 {
        let rows = if self.strip.height() > 15.0 { 4 } else { 2 };
        let row = 0.2;
        let top = y + row * f64::from(rows + 1);
        for i in 1..=rows {
            let level = y + row * f64::from(i);
            pad.line(
                format!("revisions.{i}"),
                Pen::Title,
                Point2::new(self.strip.min.x, level),
                Point2::new(self.strip.max.x, level),
            );
        }
        let columns = [0.0, 0.45, self.strip.width() - 1.0];
        let revisions = &self.job.project.revisions;
        let shown = &revisions[revisions.len().saturating_sub(rows as usize)..];
        for (place, revision) in shown.iter().enumerate() {
            let level = top - row * (1.5 + place as f64);
            let what = shorten(&revision.what, columns[2] - columns[1] - 0.1, NOTE.height, NOTE.weight);
            let date = shorten(&revision.date, 0.86, NOTE.height, NOTE.weight);
            let cells = [("mark", revision.mark.clone()), ("what", what), ("date", date)];
            for ((name, words), x) in cells.into_iter().zip(columns) {
                let text = NOTE.text(Point2::new(left + x, level), Anchor::MiddleLeft, words);
                pad.text(format!("revisions.{}.{name}", revision.mark), Pen::Title, text);
            }
        }
        for (name, x) in ["Rev", "What changed", "Date"].into_iter().zip(columns) {
            pad.text(
                format!("revisions.{}", name.to_lowercase().replace(' ', "-")),
                Pen::Title,
                TAG.text(Point2::new(left + x, top - 0.5 * row), Anchor::MiddleLeft, name),
            );
        }
        top
    }

    /// Status and cautions from the top down, as far as `low`; in 1/8 in letters where the strip is long.
    fn status_panels(&self, pad: &mut Pad, low: f64) {
        let (left, right) = (self.strip.min.x + 0.12, self.strip.max.x - 0.12);
        let width = right - left;
        let words = if self.strip.height() > 15.0 { Style { height: 0.125, ..NOTE } } else { NOTE };
        let mut y = self.strip.max.y - 0.08;
        let cautions: Vec<String> = short_cautions().iter().flat_map(|c| words.wrap(c, width)).collect();
        let cautions_height = leading(words) * cautions.len() as f64 + leading(HEAD) + 0.2;
        if !self.unsettled.is_empty() {
            for (i, banner) in ["PRELIMINARY", "NOT FOR CONSTRUCTION"].into_iter().enumerate() {
                let style = fitted(banner, width, if i == 0 { 0.3 } else { 0.2 });
                y -= leading(style);
                let text = style.text(Point2::new(left, y), Anchor::Left, banner);
                pad.text(format!("status.{}", i + 1), Pen::Status, text);
            }
            y -= 0.06;
            let short: Vec<&str> = self.unsettled.iter().map(|u| u.short.as_str()).collect();
            let list = format!("To settle ({}): {}.", self.settled_where, distinct(&short).join(", "));
            let room = ((y - low - cautions_height) / leading(words)).floor().max(2.0) as usize;
            let mut lines = words.wrap(&list, width);
            if lines.len() > room {
                lines.truncate(room - 1);
                lines.push(shorten("... and more.", width, words.height, words.weight));
            }
            y -= pad.lines("status.settle", Pen::Status, words, Point2::new(left, y), &lines) + 0.1;
            self.rule(pad, "status", y);
        }
        y -= 0.03;
        y -= pad.lines("cautions.title", Pen::Title, HEAD, Point2::new(left, y), &["CAUTIONS".to_owned()]);
        pad.lines("cautions", Pen::Title, words, Point2::new(left, y), &cautions);
    }
}

/// The bold style of at most `height` in which the words fit the width.
fn fitted(words: &str, width: f64, height: f64) -> Style {
    let style = Style { height, weight: FontWeight::Bold };
    let natural = style.width(words);
    if natural <= width { style } else { Style { height: height * width / natural, ..style } }
}

/// The words without repeats, in order.
fn distinct<'w>(words: &[&'w str]) -> Vec<&'w str> {
    let mut seen = Vec::new();
    for &word in words {
        if !seen.contains(&word) {
            seen.push(word);
        }
    }
    seen
}
/// A line cut between letters where one word is wider than `width`: a job number has no spaces to break at.
fn broken(line: &str, width: f64) -> Vec<String> {
    let mut pieces = vec![String::new()];
    for letter in line.chars() {
        let longer = pieces.last().map_or_else(String::new, |p| format!("{p}{letter}"));
        match pieces.last_mut() {
            Some(last) if last.is_empty() || NOTE.width(&longer) <= width => *last = longer,
            _ => pieces.push(letter.to_string()),
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_word_too_wide_is_cut_and_loses_no_letter() {
        let word = "A".repeat(90);
        let pieces = broken(&word, 1.5);
        assert!(pieces.len() > 1 && pieces.iter().all(|p| NOTE.width(p) <= 1.5));
        assert_eq!(pieces.concat(), word);
    }
}
