//! Columns of labels beside a developed face, and tags of its edges.

use super::dimensions::readable;
use super::face_model::Face;
use super::labels::{Label, Placer};
use super::layers::Pen;
use super::model::Anchor;
use super::pad::{LEADING, NOTE, Pad, TAG};
use super::roof_lines::basis_mark;
use crate::geometry::Point2;
use crate::units::feet_inches;

/// From the face to the column's labels, inches on paper.
const COLUMN_GAP: f64 = 0.4;

/// A column of labels left (`side` -1) or right (+1) of the face, `aside` inches of paper farther off than usual, each led to its point by a thin line. Labels keep their order
/// and at least one line of distance; `rows` hold point, words and id from the eave up.
pub(super) fn side_column(
    face: &Face,
    rows: &[(Point2, String, String)],
    head: &str,
    (side, aside): (f64, f64),
    pad: &mut Pad,
    placer: &mut Placer,
) {
    if rows.is_empty() {
        return;
    }
    let edge = if side < 0.0 { face.bounds.min.x } else { face.bounds.max.x };
    let elbow = edge + side * (0.5 * COLUMN_GAP + aside) * face.scale;
    let held = edge + side * (COLUMN_GAP + aside) * face.scale;
    let anchor = if side < 0.0 { Anchor::MiddleRight } else { Anchor::MiddleLeft };
    let mut heights = spread(&rows.iter().map(|r| r.0.y / face.scale).collect::<Vec<_>>(), LEADING);
    // Not below the lowest point labelled: the stations of the eave are there.
    let floor = rows[0].0.y / face.scale;
    for (i, height) in heights.iter_mut().enumerate() {
        *height = height.max(floor + LEADING * i as f64);
    }
    for ((point, words, id), height) in rows.iter().zip(&heights) {
        let text = NOTE.text(Point2::new(held, height * face.scale), anchor, words.clone());
        let near = Point2::new(held - side * 0.04 * face.scale, text.at.y);
        let bend = Point2::new(elbow, point.y);
        placer.block_path(&[near, bend, *point], 0.004);
        placer.take_text(&text);
        pad.path(format!("{id}.lead"), Pen::Dimension, vec![near, bend, *point]);
        pad.text(id.clone(), Pen::HeatTag, text);
    }
    let top = heights.last().copied().unwrap_or(0.0) + 0.2;
    let text = TAG.text(Point2::new(held, top * face.scale), anchor, head);
    placer.take_text(&text);
    pad.text(format!("{}.head", rows[0].2), Pen::Note, text);
}

/// Rising heights moved apart to at least `least`, the middle of each crowd where it was.
pub(super) fn spread(targets: &[f64], least: f64) -> Vec<f64> {
    // Crowds: first target index, heights' start and count, merged while they touch.
    let mut crowds: Vec<(f64, usize)> = Vec::new();
    for &target in targets {
        crowds.push((target, 1));
        while crowds.len() > 1 {
            let (low, high) = (crowds[crowds.len() - 2], crowds[crowds.len() - 1]);
            let reach = |c: (f64, usize)| 0.5 * least * c.1 as f64;
            if low.0 + reach(low) <= high.0 - reach(high) + 1e-12 {
                break;
            }
            let count = low.1 + high.1;
            let middle = (low.0 * low.1 as f64 + high.0 * high.1 as f64) / count as f64;
            crowds.truncate(crowds.len() - 2);
            crowds.push((middle, count));
        }
    }
    crowds
        .iter()
        .flat_map(|&(middle, count)| {
            let from = middle - 0.5 * least * (count as f64 - 1.0);
            (0..count).map(move |i| from + least * i as f64)
        })
        .collect()
}

/// Id, kind and true length outside each edge.
pub(super) fn face_edge_labels(face: &Face) -> Vec<Label> {
    let mut labels = Vec::new();
    for (i, edge) in face.layout.edges.iter().enumerate() {
        let Some(along) = (edge.b - edge.a).unit() else { continue };
        let data = face.drawn.roof.edge(edge.edge);
        let mark = basis_mark(data.basis);
        let beyond =
            face.drawn.roof.across(edge.edge, face.layout.face).map_or_else(String::new, |f| format!(" TO {f}"));
        let kind = edge.kind.words().to_uppercase();
        let long = format!("{} {kind} {}{mark}{beyond}", edge.edge, feet_inches(edge.a.distance(edge.b)));
        let middle = format!("{} {kind}{mark}", edge.edge);
        let reading = readable(along);
        let paper = edge.a.distance(edge.b) / face.scale;
        let mut candidates = Vec::new();
        for words in [long.clone(), middle, format!("{}{mark}", edge.edge)] {
            let needs = NOTE.width(&words);
            for away in [0.07_f64, 0.24, -0.07, -0.24, 0.75, 0.95] {
                for t in [0.5, 0.62, 0.74, 0.86, 0.38, 0.26, 0.14] {
                    // Not past the edge's ends: it would read as its neighbour's.
                    if needs > 2.0 * paper * f64::min(t, 1.0 - t) + 0.5 {
                        continue;
                    }
                    let off = -along.left() * if away < 0.0 { -1.0 } else { 1.0 };
                    let drop = if off.dot(reading.left()) < 0.0 { NOTE.height } else { 0.0 };
                    let at = edge.a.lerp(edge.b, t) + off * ((away.abs() + drop) * face.scale);
                    candidates.push(NOTE.turned(at, Anchor::Center, reading, words.clone()));
                }
            }
        }
        let again = if i == 0 { String::new() } else { format!(".{i}") };
        labels.push(Label { id: format!("{}.tag{again}", edge.edge), pen: Pen::RoofTag, candidates, key: long });
    }
    labels
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn crowded_heights_spread_about_their_middle() {
        let out = spread(&[0.0, 0.1, 0.2, 5.0], 0.3);
        let expected = [-0.2, 0.1, 0.4, 5.0];
        assert!(out.iter().zip(expected).all(|(a, b)| (a - b).abs() < 1e-12), "{out:?}");
    }

    #[test]
    fn spread_heights_keep_their_distance() {
        let out = spread(&[0.0, 0.02, 0.9, 0.95, 1.0, 1.02, 1.3], 0.2);
        assert!(out.windows(2).all(|w| w[1] - w[0] >= 0.2 - 1e-9), "{out:?}");
    }
}
