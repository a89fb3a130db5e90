//! Tables and lists of notes flow through the columns of as many pages as they need.

use super::layers::Pen;
use super::model::{Anchor, Item};
use super::pad::{HEAD, LEADING, NOTE, Pad, Style, TAG, placed};
use crate::geometry::{Box2, Point2, Vector2};

/// Between columns, inches on paper.
const GUTTER: f64 = 0.3;
/// Between panels in a column, inches on paper.
const PANEL_GAP: f64 = 0.25;
/// White inside a table cell, left and right, inches on paper.
const CELL_PAD: f64 = 0.06;

/// Sizes to which notes and tables are enlarged where the sheet has room for it without another page: capitals of 5/32 in, which a
/// crew reads at arm's length, or 1/8 in, which stay legible on half-size prints; else they keep the plotted minimum of 3/32 in.
pub(super) const ENLARGED: [f64; 2] = [5.0 / 3.0, 4.0 / 3.0];

/// A slice of a panel that is never broken; drawn about its top left corner, y down from there negative.
#[derive(Debug, Clone, Default)]
pub(super) struct Slice {
    /// Height, inches.
    pub height: f64,
    /// Height of its part between the upright rules of a table, from its top; 0 outside a table.
    pub ruled: f64,
    /// What it shows.
    pub items: Vec<Item>,
}

/// Something to flow: a table or a list.
#[derive(Debug, Clone, Default)]
pub(super) struct Panel {
    /// Its id, for its upright rules.
    pub id: String,
    /// Width, inches.
    pub width: f64,
    /// Where upright rules stand, from the left edge: drawn from the first ruled slice of a column to the last.
    pub rules: Vec<f64>,
    /// Repeated at the top of every column the panel runs over.
    pub head: Vec<Slice>,
    /// The rest.
    pub slices: Vec<Slice>,
}

impl Panel {
    /// The panel with everything in it, letters too, `factor` times as large.
    pub(super) fn enlarged(self, factor: f64) -> Self {
        let grown = |slice: Slice| Slice {
            height: slice.height * factor,
            ruled: slice.ruled * factor,
            items: placed(slice.items, factor, Vector2::new(0.0, 0.0)),
        };
        Self {
            id: self.id,
            width: self.width * factor,
            rules: self.rules.into_iter().map(|x| x * factor).collect(),
            head: self.head.into_iter().map(grown).collect(),
            slices: self.slices.into_iter().map(grown).collect(),
        }
    }
}

/// How a table column is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Align {
    /// Words.
    Left,
    /// Figures.
    Right,
}

/// A table to be set.
#[derive(Debug, Clone)]
pub(super) struct Table {
    /// Id of the table, the start of its cells' ids.
    pub id: String,
    /// Title above it.
    pub title: String,
    /// Head and alignment of each column.
    pub columns: Vec<(&'static str, Align)>,
    /// Cells, row by row.
    pub rows: Vec<Vec<String>>,
    /// A line under the table.
    pub foot: Option<String>,
}

/// Rows from which a column that never changes is said once below the table instead.
const REPEATS: usize = 3;

impl Table {
    /// The table without columns that say the same in every row: those stand once in its foot. The first column and those named
    /// in `kept` stay.
    pub(super) fn without_repeats(mut self, kept: &[&str]) -> Self {
        if self.rows.len() < REPEATS {
            return self;
        }
        let same = |column: usize| self.rows.iter().all(|row| row[column] == self.rows[0][column]);
        let repeated: Vec<usize> =
            (1..self.columns.len()).filter(|&column| !kept.contains(&self.columns[column].0) && same(column)).collect();
        let said: Vec<String> = repeated
            .iter()
            .filter(|&&column| !self.rows[0][column].is_empty())
            .map(|&column| format!("{} {}", self.columns[column].0, self.rows[0][column]))
            .collect();
        let mut column = 0;
        self.columns.retain(|_| {
            column += 1;
            !repeated.contains(&(column - 1))
        });
        for row in &mut self.rows {
            let cells = std::mem::take(row).into_iter().enumerate();
            *row = cells.filter(|(column, _)| !repeated.contains(column)).map(|(_, cell)| cell).collect();
        }
        if !said.is_empty() {
            let throughout = format!("Throughout: {}.", said.join(", "));
            self.foot = Some(self.foot.map_or_else(|| throughout.clone(), |foot| format!("{throughout} {foot}")));
        }
        self
    }

    /// The table as a panel at most `most` inches wide: the widest columns are wrapped.
    pub(super) fn panel(&self, most: f64) -> Panel {
        let widths = self.widths(most);
        let width = panel_width(&widths, most);
        let heads: Vec<String> = self.columns.iter().map(|c| c.0.to_owned()).collect();
        let mut head = vec![title_slice(&self.id, &self.title, width)];
        head.push(self.row(&format!("{}.head", self.id), &heads, &widths, TAG, true));
        let mut slices: Vec<Slice> = self
            .rows
            .iter()
            .enumerate()
            .map(|(i, cells)| self.row(&format!("{}.{}", self.id, i + 1), cells, &widths, NOTE, false))
            .collect();
        if let Some(foot) = &self.foot {
            let mut pad = Pad::default();
            let lines = NOTE.wrap(foot, width);
            let height = pad.lines(&format!("{}.foot", self.id), Pen::Note, NOTE, Point2::new(0.0, -0.03), &lines);
            // Kept with the last row, so that no column holds a foot alone.
            let last = slices.pop().unwrap_or_default();
            let mut items = last.items;
            items.extend(placed(pad.items, 1.0, Vector2::new(0.0, -last.height)));
            slices.push(Slice { height: last.height + height + 0.05, ruled: last.ruled, items });
        }
        let mut rules = vec![0.0];
        rules.extend(widths.iter().scan(0.0, |x, width| {
            *x += width;
            Some(*x)
        }));
        Panel { id: self.id.clone(), width, rules, head, slices }
    }

    /// How wide [`Table::panel`] makes it.
    pub(super) fn panel_width(&self, most: f64) -> f64 {
        panel_width(&self.widths(most), most)
    }

    /// Natural widths, then the widest shrunk until the table fits.
    fn widths(&self, most: f64) -> Vec<f64> {
        let longest_word = |text: &str| text.split_whitespace().map(|w| NOTE.width(w)).fold(0.0, f64::max);
        let mut widths = Vec::new();
        let mut least = Vec::new();
        for (i, (head, _)) in self.columns.iter().enumerate() {
            let cells = || self.rows.iter().filter_map(|r| r.get(i));
            let head_word = head.split_whitespace().map(|w| TAG.width(w)).fold(0.0, f64::max);
            let natural = cells().map(|c| NOTE.width(c)).fold(head_word, f64::max);
            widths.push(natural + 2.0 * CELL_PAD);
            least.push(cells().map(|c| longest_word(c)).fold(head_word, f64::max) + 2.0 * CELL_PAD);
        }
        let mut over = widths.iter().sum::<f64>() - most;
        while over > 1e-9 {
            let Some(widest) = (0..widths.len())
                .filter(|&i| widths[i] > least[i] + 1e-9)
                .max_by(|&a, &b| widths[a].total_cmp(&widths[b]).then(b.cmp(&a)))
            else {
                break;
            };
            let cut = over.min(0.25).min(widths[widest] - least[widest]);
            widths[widest] -= cut;
            over -= cut;
        }
        widths
    }

    fn row(&self, id: &str, cells: &[String], widths: &[f64], style: Style, is_head: bool) -> Slice {
        let wrapped: Vec<Vec<String>> =
            cells.iter().zip(widths).map(|(cell, width)| style.wrap(cell, width - 2.0 * CELL_PAD + 1e-6)).collect();
        let lines = wrapped.iter().map(Vec::len).max().unwrap_or(1).max(1);
        let height = LEADING * lines as f64 + 0.03;
        let mut pad = Pad::default();
        let total: f64 = widths.iter().sum();
        let mut x = 0.0;
        for (column, (text, width)) in wrapped.iter().zip(widths).enumerate() {
            let align = self.columns[column].1;
            for (line, content) in text.iter().enumerate() {
                let y = -LEADING * line as f64 - 0.5 * (LEADING + 0.03);
                let (at, anchor) = match align {
                    Align::Left => (Point2::new(x + CELL_PAD, y), Anchor::MiddleLeft),
                    Align::Right => (Point2::new(x + width - CELL_PAD, y), Anchor::MiddleRight),
                };
                let part = if text.len() > 1 { format!(".{}", line + 1) } else { String::new() };
                pad.text(format!("{id}.{}{part}", column + 1), Pen::Note, style.text(at, anchor, content.as_str()));
            }
            x += width;
        }
        let mut rule = |name: &str, pen: Pen, y: f64| {
            pad.line(format!("{id}.{name}"), pen, Point2::new(0.0, y), Point2::new(total, y));
        };
        if is_head {
            rule("top", Pen::Title, 0.0);
            rule("under", Pen::Title, -height);
        }
        Slice { height, ruled: height, items: pad.items }
    }
}

/// Titles and feet of narrow tables reach past them rather than break after every word.
fn panel_width(widths: &[f64], most: f64) -> f64 {
    widths.iter().sum::<f64>().max(most.min(3.2))
}

/// A heading as the first slice of a panel.
pub(super) fn title_slice(id: &str, title: &str, width: f64) -> Slice {
    let mut pad = Pad::default();
    let lines = HEAD.wrap(title, width.max(1.0));
    let height = pad.lines(&format!("{id}.title"), Pen::Note, HEAD, Point2::new(0.0, 0.0), &lines);
    Slice { height: height + 0.03, ruled: 0.0, items: pad.items }
}

/// A numbered or marked list of notes as a panel of a given width: each entry is its mark and its words.
pub(super) fn list(id: &str, title: &str, entries: &[(String, String)], width: f64) -> Panel {
    let mark_width = entries.iter().map(|(mark, _)| TAG.width(mark)).fold(0.0, f64::max) + 0.1;
    let slices = entries
        .iter()
        .enumerate()
        .map(|(i, (mark, words))| {
            let mut pad = Pad::default();
            let lines = NOTE.wrap(words, width - mark_width);
            let id = format!("{id}.{}", i + 1);
            pad.lines(&format!("{id}.mark"), Pen::Note, TAG, Point2::new(0.0, 0.0), std::slice::from_ref(mark));
            let height = pad.lines(&id, Pen::Note, NOTE, Point2::new(mark_width, 0.0), &lines).max(LEADING);
            Slice { height: height + 0.05, ruled: 0.0, items: pad.items }
        })
        .collect();
    Panel { id: id.to_owned(), width, rules: Vec::new(), head: vec![title_slice(id, title, width)], slices }
}

/// Lays panels out in columns of `area` on the first page and of `rest` on those after it. Returns the items of each page.
///
/// A panel that fits a column is kept whole unless that costs a page. One that runs on repeats its head. A slice taller than the
/// area is set all the same and the sheet check reports it.
pub(super) fn flow(panels: &[Panel], area: Box2, rest: Box2) -> Vec<Vec<Item>> {
    let count = |breaks| flow_with(panels, area, rest, breaks, Draws::Nothing).len();
    let whole = count(Breaks::Seldom);
    if whole == 1 {
        let low = balanced(panels, area).unwrap_or(area);
        return flow_with(panels, low, rest, Breaks::Seldom, Draws::All);
    }
    let breaks = if must_break(panels, area, rest) { Breaks::Anywhere } else { Breaks::Seldom };
    flow_with(panels, area, rest, breaks, Draws::All)
}

/// How many pages [`flow`] would fill.
pub(super) fn page_count(panels: &[Panel], area: Box2, rest: Box2) -> usize {
    let count = |breaks| flow_with(panels, area, rest, breaks, Draws::Nothing).len();
    count(Breaks::Seldom).min(count(Breaks::Anywhere))
}

/// Whether [`flow`] runs panels on in another column that would fit one whole, to save a page.
pub(super) fn must_break(panels: &[Panel], area: Box2, rest: Box2) -> bool {
    let count = |breaks| flow_with(panels, area, rest, breaks, Draws::Nothing).len();
    let whole = count(Breaks::Seldom);
    whole > 1 && count(Breaks::Anywhere) < whole
}

/// Whether every panel is no wider than an area and no slice of it higher: larger letters can make one that no column holds.
pub(super) fn all_fit(panels: &[Panel], area: Box2) -> bool {
    panels.iter().all(|panel| {
        let head: f64 = panel.head.iter().map(|slice| slice.height).sum();
        let tallest = panel.slices.iter().map(|slice| slice.height).fold(0.0, f64::max);
        panel.width <= area.width() + 1e-9 && head + tallest <= area.height()
    })
}

/// The upper part of the page that holds the panels in columns of about the same height, as low as the tallest panel allows.
fn balanced(panels: &[Panel], area: Box2) -> Option<Box2> {
    let height = |panel: &Panel| panel.head.iter().chain(&panel.slices).map(|s| s.height).sum::<f64>();
    let tallest = panels.iter().map(height).fold(0.0, f64::max);
    (4..10)
        .map(|tenths| area.height() * f64::from(tenths) / 10.0)
        .filter(|&low| low >= tallest)
        .map(|low| Box2 { min: Point2::new(area.min.x, area.max.y - low), max: area.max })
        .find(|&low| flow_with(panels, low, area, Breaks::Seldom, Draws::Nothing).len() == 1)
}

/// Whether a flow makes its items or only its pages, to count them: there are thousands of items, and several flows are tried.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Draws {
    /// Pages without items.
    Nothing,
    /// Pages with everything on them.
    All,
}

/// Where panels may run on in another column.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Breaks {
    /// Wherever a column is full.
    Anywhere,
    /// Only panels longer than a column.
    Seldom,
}

fn flow_with(panels: &[Panel], first: Box2, others: Box2, breaks: Breaks, draws: Draws) -> Vec<Vec<Item>> {
    let mut area = first;
    let mut pages: Vec<Vec<Item>> = vec![Vec::new()];
    let (mut x, mut y, mut column_width) = (area.min.x, area.max.y, 0.0_f64);
    let mut fresh = true;
    for panel in panels {
        let head: f64 = panel.head.iter().map(|s| s.height).sum();
        let mut next = 0;
        let mut times = 0;
        loop {
            let rest: f64 = panel.slices[next..].iter().map(|s| s.height).sum();
            let whole = breaks == Breaks::Seldom && head + rest <= area.height();
            let kept = if whole { usize::MAX } else { 2 };
            let keep: f64 = panel.slices[next..].iter().take(kept).map(|s| s.height).sum();
            let gap = if fresh { 0.0 } else { PANEL_GAP };
            let fits = y - gap - head - keep >= area.min.y && x + panel.width <= area.max.x + 1e-9;
            if !fits && !fresh {
                x += column_width + GUTTER;
                (y, column_width, fresh) = (area.max.y, 0.0, true);
            }
            if fresh && x > area.min.x && x + panel.width > area.max.x + 1e-9 {
                pages.push(Vec::new());
                area = others;
                (x, y, column_width) = (area.min.x, area.max.y, 0.0);
            }
            if !fresh {
                y -= PANEL_GAP;
            }
            fresh = false;
            column_width = column_width.max(panel.width);
            let page = pages.last_mut().expect("there is always a page");
            let mut levels = Vec::new();
            for slice in &panel.head {
                y = put(page, slice, x, y, (times, draws), &mut levels);
            }
            let mut first = true;
            while next < panel.slices.len() && (first || y - panel.slices[next].height >= area.min.y) {
                y = put(page, &panel.slices[next], x, y, (0, draws), &mut levels);
                next += 1;
                first = false;
            }
            if draws == Draws::All {
                page.extend(again(rules(panel, x, &levels), times));
            }
            if next >= panel.slices.len() {
                break;
            }
            times += 1;
            x += column_width + GUTTER;
            (y, column_width, fresh) = (area.max.y, 0.0, true);
        }
    }
    pages
}

/// Puts a slice on a page, its top left corner at `x`, `y`; returns where the next one goes. `levels` grows by the heights at
/// which its ruled part begins and ends.
fn put(
    page: &mut Vec<Item>,
    slice: &Slice,
    x: f64,
    y: f64,
    (times, draws): (usize, Draws),
    levels: &mut Vec<f64>,
) -> f64 {
    if draws == Draws::All {
        page.extend(again(placed(slice.items.clone(), 1.0, Vector2::new(x, y)), times));
    }
    if slice.ruled > 0.0 {
        if levels.is_empty() {
            levels.push(y);
        }
        levels.push(y - slice.ruled);
    }
    y - slice.height
}

/// The rules of what a column holds of a table: one line to and fro under the rows, one up and down between the columns. Where
/// it turns it runs along the table's rim, so nothing is drawn that a rule would not draw, at a fraction of the size.
fn rules(panel: &Panel, x: f64, levels: &[f64]) -> Vec<Item> {
    let mut pad = Pad::default();
    let ends = |of: &[f64]| of.first().copied().zip(of.last().copied());
    let (Some((top, bottom)), Some((left, right))) = (ends(levels), ends(&panel.rules)) else { return Vec::new() };
    let to_and_fro = |stops: &[f64], near: f64, far: f64| -> Vec<(f64, f64)> {
        let pair = |(i, &stop): (usize, &f64)| {
            if i % 2 == 0 { [(stop, near), (stop, far)] } else { [(stop, far), (stop, near)] }
        };
        stops.iter().enumerate().flat_map(pair).collect()
    };
    let upright = to_and_fro(&panel.rules, top, bottom).into_iter().map(|(rule, y)| Point2::new(x + rule, y));
    pad.path(format!("{}.columns", panel.id), Pen::Table, upright.collect());
    let level = to_and_fro(&levels[1..], left, right).into_iter().map(|(y, rule)| Point2::new(x + rule, y));
    pad.path(format!("{}.rows", panel.id), Pen::Table, level.collect());
    placed(pad.items, 1.0, Vector2::new(0.0, 0.0))
}

/// What a panel that runs on repeats takes new ids.
fn again(mut items: Vec<Item>, times: usize) -> Vec<Item> {
    if times > 0 {
        for item in &mut items {
            item.id = format!("{}.again{times}", item.id);
        }
    }
    items
}

#[cfg(test)]
mod tests {
    use super::super::model::Shape;
    use super::*;

    fn table(rows: usize) -> Table {
        Table {
            id: "T".into(),
            title: "SEGMENTS".into(),
            columns: vec![("tag", Align::Left), ("length", Align::Right)],
            rows: (0..rows).map(|i| vec![format!("F1-{i}"), "39'-0\"".into()]).collect(),
            foot: None,
        }
    }

    fn texts(items: &[Item]) -> Vec<&str> {
        items
            .iter()
            .filter_map(|i| match &i.shape {
                Shape::Text(t) => Some(t.content.as_str()),
                _ => None,
            })
            .collect()
    }

    #[test]
    fn a_long_table_runs_over_columns_and_pages_and_loses_no_row() {
        let area = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(4.0, 5.0) };
        let pages = flow(&[table(200).panel(4.0)], area, area);
        assert!(pages.len() > 1);
        let all: Vec<&str> = pages.iter().flat_map(|p| texts(p)).collect();
        for i in 0..200 {
            assert_eq!(all.iter().filter(|t| **t == format!("F1-{i}")).count(), 1, "row {i}");
        }
        let mut ids: Vec<&str> = pages.iter().flatten().map(|i| i.id.as_str()).collect();
        let count = ids.len();
        ids.sort_unstable();
        ids.dedup();
        assert_eq!(ids.len(), count);
    }

    #[test]
    fn wide_tables_are_wrapped_to_the_width_given() {
        let wide = Table {
            rows: vec![vec!["a very long description of a thing that will not fit on one line".into(), "1".into()]],
            ..table(0)
        };
        assert!(wide.panel(10.0).width > 3.0);
        assert!(wide.panel(2.0).width <= 2.0 + 1e-9);
    }

    #[test]
    fn a_column_that_never_changes_is_said_once() {
        let told = table(4).without_repeats(&[]);
        assert_eq!(told.columns.iter().map(|c| c.0).collect::<Vec<_>>(), ["tag"]);
        assert!(told.rows.iter().all(|row| row.len() == 1));
        assert_eq!(told.foot.as_deref(), Some("Throughout: length 39'-0\"."));
        assert_eq!(table(4).without_repeats(&["length"]).columns.len(), 2);
        assert_eq!(table(2).without_repeats(&[]).columns.len(), 2, "two rows are short enough");
    }

    #[test]
    fn upright_rules_run_from_the_head_to_the_last_row_of_each_column() {
        let area = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(8.0, 5.0) };
        let panel = table(40).panel(4.0);
        let pages = flow(std::slice::from_ref(&panel), area, area);
        let pieces: Vec<(Point2, Point2)> = pages[0]
            .iter()
            .filter_map(|i| match &i.shape {
                Shape::Polyline { points, .. } => Some(points.windows(2).map(|w| (w[0], w[1])).collect::<Vec<_>>()),
                _ => None,
            })
            .flatten()
            .collect();
        let top = area.max.y - panel.head[0].height;
        for rule in &panel.rules {
            let whole = pieces.iter().any(|(a, b)| {
                let stands = (a.x - rule).abs() < 1e-4 && (b.x - rule).abs() < 1e-4;
                stands && (a.y.max(b.y) - top).abs() < 1e-4 && a.y.min(b.y) < 0.3
            });
            assert!(whole, "{rule}: {pieces:?}");
        }
        let across_all = panel.rules.last().copied().unwrap_or_default();
        // Each row has its line across the whole table: 40 rows in two columns of the area and two heads.
        let across = pieces.iter().filter(|(a, b)| a.y == b.y && ((a.x - b.x).abs() - across_all).abs() < 1e-3).count();
        assert!(across >= 40 + 2, "{across}");
    }

    #[test]
    fn an_enlarged_panel_has_larger_letters_and_keeps_its_words() {
        let plain = table(3).panel(4.0);
        let large = plain.clone().enlarged(4.0 / 3.0);
        assert!((large.width - plain.width * 4.0 / 3.0).abs() < 1e-9);
        let heights = |panel: &Panel| -> Vec<f64> {
            let items = panel.slices.iter().flat_map(|s| &s.items);
            items.filter_map(|i| if let Shape::Text(t) = &i.shape { Some(t.height) } else { None }).collect()
        };
        assert!(heights(&large).iter().all(|h| (h - 0.125).abs() < 1e-12));
        assert_eq!(heights(&large).len(), heights(&plain).len());
    }
}
