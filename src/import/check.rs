//! What must hold of any linework, however it was read.

use super::model::{Linework, Role};
use crate::geometry::Point3;

/// Every rule that is broken, in words; empty when all is well.
#[must_use]
pub fn check_invariants(linework: &Linework) -> Vec<String> {
    let mut broken = Vec::new();
    let mut require = |holds: bool, words: &dyn Fn() -> String| {
        if !holds {
            broken.push(words());
        }
    };
    let finite = |p: &Point3| p.x.is_finite() && p.y.is_finite() && p.z.is_finite();
    let origins = linework.origins.len();
    for (place, path) in linework.paths.iter().enumerate() {
        let id = path.id;
        require(id.index() == place, &|| format!("{id} stands at position {place}"));
        require(path.points.len() >= if path.closed { 3 } else { 2 }, &|| format!("{id} has too few points"));
        require(path.points.iter().all(finite), &|| format!("{id} has a point that is no number"));
        require(path.origin.index() < origins, &|| format!("{id} has no origin"));
        require(path.points.windows(2).all(|pair| pair[0] != pair[1]), &|| format!("{id} repeats a point"));
        let wraps = path.closed && path.points.first() == path.points.last();
        require(!wraps, &|| format!("{id} repeats its first point at its end"));
        let start = &path.points[0];
        let sorted = place == 0 || {
            let before = &linework.paths[place - 1].points[0];
            (before.y, before.x, before.z) <= (start.y, start.x, start.z)
        };
        require(sorted, &|| format!("{id} is out of order"));
    }
    for (place, facet) in linework.facets.iter().enumerate() {
        require(facet.points.len() >= 3, &|| format!("facet {place} has too few corners"));
        require(facet.points.iter().all(finite), &|| format!("facet {place} has a corner that is no number"));
        require(facet.origin.index() < origins, &|| format!("facet {place} has no origin"));
    }
    for note in &linework.notes {
        let fine = note.at.x.is_finite() && note.at.y.is_finite() && note.origin.index() < origins;
        require(fine && !note.text.is_empty(), &|| format!("note '{}' is broken", note.text));
    }
    for arrow in &linework.arrows {
        require(arrow.tail != arrow.head && arrow.origin.index() < origins, &|| "an arrow is broken".to_owned());
    }
    for (kind, count) in &linework.drawing.entities {
        let sum = count.used + count.not_roof + count.refused;
        require(count.seen == sum, &|| format!("{} {kind} seen, {sum} accounted for", count.seen));
    }
    let roof = linework.paths.iter().any(|path| path.role == Role::Roof) || !linework.facets.is_empty();
    require(roof, &|| "there is no roof".to_owned());
    require(linework.drawing.candidates.iter().any(|candidate| candidate.chosen), &|| "nothing was chosen".to_owned());
    let frame = &linework.frame;
    let corners = linework.paths.iter().flat_map(|path| &path.points).take(1000);
    for point in corners {
        let back = frame.to_working(frame.to_drawing(*point));
        // The way there and back may round at the size of the drawing's own coordinates.
        let size = frame.origin.x.abs().max(frame.origin.y.abs()) * frame.inches_per_unit;
        require(back.distance(*point) <= 1e-9 + 1e-14 * size, &|| format!("{point:?} comes back as {back:?}"));
    }
    broken
}
