//! Lines of a note that stand under each other become one MTEXT, so that a person can edit the note as a whole.

use super::entities::text_style;
use super::tags::Tags;
use crate::geometry::{Point2, Vector2};
use crate::sheet::{Anchor, Item, LayerId, Shape, Text};

/// Longest text of one group, characters, by the format.
const CHUNK: usize = 250;
/// From baseline to baseline at a spacing factor of 1, in letter heights, by the format.
const SINGLE: f64 = 5.0 / 3.0;

/// Lines that are one note: same left end, letters and layer, evenly spaced, numbered on from `id.1`.
pub(super) struct Paragraph<'a> {
    /// The layer.
    pub layer: LayerId,
    lines: Vec<&'a Text>,
}

impl<'a> Paragraph<'a> {
    /// The note that begins at the first of `items` and how many of them it takes; `None` for a text of one line and all else.
    pub(super) fn at(items: &'a [Item]) -> Option<(Self, usize)> {
        let (first, layer) = (items.first()?, items.first()?.layer);
        let (start, stem) = (text_of(first)?, first.id.strip_suffix(".1")?);
        if start.anchor != Anchor::Left || start.turn != Vector2::new(1.0, 0.0) {
            return None;
        }
        let mut lines = vec![start];
        for (i, item) in items.iter().enumerate().skip(1) {
            let Some(text) = text_of(item) else { break };
            let step = if lines.len() > 1 { lines[0].at.y - lines[1].at.y } else { lines[0].at.y - text.at.y };
            let below = lines[lines.len() - 1].at.y - text.at.y;
            let numbered =
                item.id.strip_prefix(stem).and_then(|rest| rest.strip_prefix('.')) == Some(&(i + 1).to_string());
            let alike = text.anchor == start.anchor
                && text.turn == start.turn
                && text.weight == start.weight
                && item.layer == layer
                && (text.height - start.height).abs() < 1e-9
                && (text.at.x - start.at.x).abs() < 1e-9;
            // The format takes factors from a quarter to four.
            let spaced = (below - step).abs() < 1e-3 && (0.25..4.0).contains(&(step / (SINGLE * start.height)));
            if !(numbered && alike && spaced) {
                break;
            }
            lines.push(text);
        }
        let count = lines.len();
        (count > 1).then_some((Self { layer, lines }, count))
    }

    /// The part of an MTEXT after what all entities share.
    pub(super) fn write(&self, out: &mut Tags) {
        let [first, second] = [self.lines[0], self.lines[1]];
        // Held at the upper left corner of its first capitals.
        let corner = Point2::new(first.at.x, first.at.y + first.height);
        out.name(100, "AcDbMText").point(10, corner).real(40, first.height).real(41, 0.0).int(71, 1).int(72, 1);
        let mut chunks = chunks(&self.lines.iter().map(|line| line.content.as_str()).collect::<Vec<_>>());
        let last = chunks.pop().unwrap_or_default();
        for chunk in &chunks {
            out.words(3, chunk);
        }
        out.words(1, &last);
        let factor = (first.at.y - second.at.y) / (SINGLE * first.height);
        // 2: exactly so, whatever letters the line holds.
        out.name(7, text_style(first.weight)).int(73, 2).real(44, factor);
    }
}

fn text_of(item: &Item) -> Option<&Text> {
    match &item.shape {
        Shape::Text(text) if !text.content.is_empty() => Some(text),
        _ => None,
    }
}

/// The lines as text of the format, in pieces that are short enough even where every character needs seven.
fn chunks(lines: &[&str]) -> Vec<String> {
    let mut pieces = vec![String::new()];
    let mut length = 0;
    for (i, line) in lines.iter().enumerate() {
        let mut signs: Vec<String> = if i == 0 { Vec::new() } else { vec!["\\P".into()] };
        signs.extend(line.chars().map(|c| match c {
            '\\' | '{' | '}' => format!("\\{c}"),
            other => other.to_string(),
        }));
        for sign in signs {
            let cost: usize =
                sign.chars().map(|c| if c.is_ascii_alphanumeric() || " .,-\\".contains(c) { 1 } else { 14 }).sum();
            if length + cost > CHUNK {
                pieces.push(String::new());
                length = 0;
            }
            length += cost;
            if let Some(piece) = pieces.last_mut() {
                piece.push_str(&sign);
            }
        }
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn long_notes_are_cut_between_signs_and_lose_none() {
        let lines = ["a {b} \\ c".repeat(20), "° ² %% ^J".repeat(30), "end".into()];
        let lines: Vec<&str> = lines.iter().map(String::as_str).collect();
        let pieces = chunks(&lines);
        assert!(pieces.len() > 3);
        for piece in &pieces {
            let mut tags = Tags::default();
            tags.words(3, piece);
            let written = String::from_utf8(tags.into_bytes()).unwrap();
            assert!(written.lines().nth(1).unwrap().len() <= CHUNK, "{written}");
        }
        let whole = pieces.concat().replace("\\P", "\n").replace("\\{", "{").replace("\\}", "}").replace("\\\\", "\\");
        assert_eq!(whole, lines.join("\n"));
    }
}
