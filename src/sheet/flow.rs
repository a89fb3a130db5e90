//! Tables and lists of notes flow through the columns of as many pages as they need.

use super::layers::Pen;
use super::model::{Anchor, Item};
use super::pad::{HEAD, LEADING, NOTE, Pad, Style, TAG, moved};
use crate::geometry::{Box2, Point2, Vector2};

/// Between columns, inches on paper.
const GUTTER: f64 = 0.3;
/// Between panels in a column, inches on paper.
const PANEL_GAP: f64 = 0.25;
/// White inside a table cell, left and right, inches on paper.
const CELL_PAD: f64 = 0.06;

/// A slice of a panel that is never broken; drawn about its top left corner, y down from there negative.
#[derive(Debug, Clone, Default)]
pub(super) struct Slice {
    /// Height, inches.
    pub height: f64,
    /// What it shows.
    pub items: Vec<Item>,
}

/// Something to flow: a table or a list.
#[derive(Debug, Clone, Default)]
pub(super) struct Panel {
    /// Width, inches.
    pub width: f64,
    /// Repeated at the top of every column the panel runs over.
    pub head: Vec<Slice>,
    /// The rest.
    pub slices: Vec<Slice>,
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

impl Table {
    /// The table as a panel at most `most` inches wide: the widest columns are wrapped.
    pub(super) fn panel(&self, most: f64) -> Panel {
        let widths = self.widths(most);
        let width = widths.iter().sum::<f64>();
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
            items.extend(moved(pad.items, Vector2::new(0.0, -last.height)));
            slices.push(Slice { height: last.height + height + 0.05, items });
        }
        Panel { width, head, slices }
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
            pad.line(format!("{id}.v{column}"), Pen::Table, Point2::new(x, 0.0), Point2::new(x, -height));
            x += width;
        }
        pad.line(format!("{id}.v"), Pen::Table, Point2::new(total, 0.0), Point2::new(total, -height));
        pad.line(format!("{id}.h"), Pen::Table, Point2::new(0.0, -height), Point2::new(total, -height));
        if is_head {
            pad.line(format!("{id}.top"), Pen::Title, Point2::new(0.0, 0.0), Point2::new(total, 0.0));
            pad.line(format!("{id}.under"), Pen::Title, Point2::new(0.0, -height), Point2::new(total, -height));
        }
        Slice { height, items: pad.items }
    }
}

/// A heading as the first slice of a panel.
pub(super) fn title_slice(id: &str, title: &str, width: f64) -> Slice {
    let mut pad = Pad::default();
    let lines = HEAD.wrap(title, width.max(1.0));
    let height = pad.lines(&format!("{id}.title"), Pen::Note, HEAD, Point2::new(0.0, 0.0), &lines);
    Slice { height: height + 0.03, items: pad.items }
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
            Slice { height: height + 0.05, items: pad.items }
        })
        .collect();
    Panel { width, head: vec![title_slice(id, title, width)], slices }
}

/// Lays panels out in columns of `area`, page by page. Returns the items of each page.
///
/// A panel that runs on repeats its head. A slice taller than the area is set all the same and the sheet check reports it.
pub(super) fn flow(panels: &[Panel], area: Box2) -> Vec<Vec<Item>> {
    let mut pages: Vec<Vec<Item>> = vec![Vec::new()];
    let (mut x, mut y, mut column_width) = (area.min.x, area.max.y, 0.0_f64);
    let mut fresh = true;
    for panel in panels {
        let head: f64 = panel.head.iter().map(|s| s.height).sum();
        let mut next = 0;
        let mut times = 0;
        loop {
            let keep: f64 = panel.slices[next..].iter().take(2).map(|s| s.height).sum();
            let gap = if fresh { 0.0 } else { PANEL_GAP };
            let fits = y - gap - head - keep >= area.min.y && x + panel.width <= area.max.x + 1e-9;
            if !fits && !fresh {
                x += column_width + GUTTER;
                (y, column_width, fresh) = (area.max.y, 0.0, true);
            }
            if fresh && x > area.min.x && x + panel.width > area.max.x + 1e-9 {
                pages.push(Vec::new());
                (x, y, column_width) = (area.min.x, area.max.y, 0.0);
            }
            if !fresh {
                y -= PANEL_GAP;
            }
            fresh = false;
            column_width = column_width.max(panel.width);
            let page = pages.last_mut().expect("there is always a page");
            for slice in &panel.head {
                page.extend(placed(slice, x, y, times));
                y -= slice.height;
            }
            let mut first = true;
            while next < panel.slices.len() && (first || y - panel.slices[next].height >= area.min.y) {
                page.extend(placed(&panel.slices[next], x, y, 0));
                y -= panel.slices[next].height;
                next += 1;
                first = false;
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

/// A slice with its top left corner at `x`, `y`; a repeated head takes new ids.
fn placed(slice: &Slice, x: f64, y: f64, times: usize) -> Vec<Item> {
    let mut items = moved(slice.items.clone(), Vector2::new(x, y));
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
        let pages = flow(&[table(200).panel(4.0)], area);
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
}
