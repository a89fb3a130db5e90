//! What changed since the last issue: clouds with a triangle on plan and face sheets, after common drafting practice (no source).

use super::Drawn;
use super::blocks::Symbol;
use super::labels::Placer;
use super::layers::Pen;
use super::model::{Item, Shape};
use super::pad::{LEVEL, Pad};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Box2, Point2, Vector2};
use crate::index::FaceId;

/// White between what changed and its cloud, inches on paper.
const ROOM: f64 = 0.1;
/// Half the width of a symbol, of which only the point is known, inches on paper.
const HALF_SYMBOL: f64 = 0.17;
/// Chord of one bow of a cloud, inches on paper.
const BOW: f64 = 0.24;
/// How far a bow stands out, inches on paper.
const RISE: f64 = 0.07;
/// Half the side of a square that holds a mark, inches on paper.
const HALF_MARK: f64 = 0.2;

/// What a tag of a revision means.
enum Changed {
    /// Drawn under this id.
    Item(String),
    /// A whole face.
    Face(FaceId),
}

fn changed(drawn: &Drawn, tag: &str) -> Option<Changed> {
    if let Some(face) = drawn.roof.faces.iter().find(|f| f.id.to_string() == tag) {
        return Some(Changed::Face(face.id));
    }
    let segment = drawn.courses.segments.iter().find(|s| s.tag == tag).map(|s| s.id.to_string());
    let junction = || drawn.wiring.boxes.iter().find(|b| b.tag == tag).map(|b| b.id.to_string());
    if let Some(id) = segment.or_else(junction) {
        return Some(Changed::Item(id));
    }
    let ids = drawn.roof.edges.iter().map(|e| e.id.to_string());
    let ids = ids.chain(drawn.roof.openings.iter().map(|o| o.id.to_string()));
    let ids = ids.chain(drawn.zones.zones.iter().map(|z| z.id.to_string()));
    let mut ids = ids.chain(drawn.wiring.leads.iter().map(|l| l.id.to_string()));
    ids.any(|id| id == tag).then(|| Changed::Item(tag.to_owned()))
}

/// Tags of revisions that name nothing in the layout.
pub(super) fn unknown_tags(drawn: &Drawn) -> Vec<Finding> {
    let revisions = drawn.job.project.revisions.iter();
    let tags = revisions.flat_map(|revision| revision.changed.iter().map(move |tag| (&revision.mark, tag)));
    tags.filter(|(_, tag)| changed(drawn, tag).is_none())
        .map(|(mark, tag)| {
            let words = format!("revision {mark} marks '{tag}', which is nothing in this layout");
            Finding::new(Severity::Warning, "revision-unknown", words, Place::item(tag.as_str()))
                .with_hint("name a segment, box, lead, zone, edge, face or opening as the sheets do, or leave it out")
        })
        .collect()
}

/// Clouds what the revisions changed in a view; `face` gives the bounds of a face that the view shows. Returns what the key must say
/// for marks without room.
pub(super) fn draw_clouds(
    drawn: &Drawn,
    scale: f64,
    face: impl Fn(FaceId) -> Option<Box2>,
    pad: &mut Pad,
    placer: &mut Placer,
) -> Vec<String> {
    let mut key = Vec::new();
    for revision in &drawn.job.project.revisions {
        for tag in &revision.changed {
            let bounds = match changed(drawn, tag) {
                Some(Changed::Face(id)) => face(id),
                Some(Changed::Item(id)) => pad.items.iter().filter(|item| item.id == id).find_map(bounds),
                None => None,
            };
            let room = |b: Box2| if b.width() == 0.0 && b.height() == 0.0 { ROOM + HALF_SYMBOL } else { ROOM };
            let Some(bounds) = bounds.map(|b| b.grown(room(b) * scale)) else { continue };
            let cloud = cloud(bounds, scale);
            let id = format!("revision.{}.{tag}", revision.mark);
            placer.block_path(&cloud, 0.01);
            pad.ring(id.as_str(), Pen::Revision, cloud);
            let spot = marks(bounds, scale).into_iter().find(|&at| placer.spot_is_free(at, HALF_MARK));
            match spot {
                Some(at) => {
                    placer.block_spot(at, HALF_MARK);
                    let mark = vec![revision.mark.clone()];
                    pad.insert(format!("{id}.mark"), Pen::Revision, Symbol::Revision.id(), at, LEVEL, mark);
                }
                None => key.push(format!("revision {} at {tag}", revision.mark)),
            }
        }
    }
    key
}

fn bounds(item: &Item) -> Option<Box2> {
    match &item.shape {
        Shape::Polyline { points, .. } => Box2::around(points.iter().copied()),
        Shape::Circle { center, radius } => Some(Box2 { min: *center, max: *center }.grown(*radius)),
        Shape::Area { regions, .. } => Box2::around(regions.iter().flat_map(|r| r.exterior.points.iter().copied())),
        Shape::Insert { at, .. } => Some(Box2 { min: *at, max: *at }),
        Shape::Text(_) | Shape::Dimension(_) => None,
    }
}

/// Bows that stand out all around a rectangle, counter-clockwise.
fn cloud(bounds: Box2, scale: f64) -> Vec<Point2> {
    let corners = super::pad::rectangle(bounds.min, bounds.max);
    let mut points = Vec::new();
    for (i, &a) in corners.iter().enumerate() {
        let b = corners[(i + 1) % corners.len()];
        let Some(along) = (b - a).unit() else { continue };
        let out = -along.left();
        let bows = (a.distance(b) / (BOW * scale)).round().max(1.0) as usize;
        for bow in 0..bows {
            // A flat bow by its chord's quarters: a parabola stands out by 3/4 there and by all of its rise in the middle.
            for (part, rise) in [(0.0, 0.0), (0.25, 0.75), (0.5, 1.0), (0.75, 0.75)] {
                points.push(a.lerp(b, (bow as f64 + part) / bows as f64) + out * (rise * RISE * scale));
            }
        }
    }
    points
}

/// Places for a mark: outside the corners, then along the sides.
fn marks(bounds: Box2, scale: f64) -> Vec<Point2> {
    let middle = bounds.center();
    let far = bounds.grown((HALF_MARK + RISE + 0.02) * scale);
    let mut places = Vec::new();
    for away in [0.0, 0.3, 0.6] {
        let far = far.grown(away * scale);
        for (x, y) in
            [(1.0, 1.0), (-1.0, 1.0), (1.0, -1.0), (-1.0, -1.0), (0.0, 1.0), (1.0, 0.0), (-1.0, 0.0), (0.0, -1.0)]
        {
            places.push(middle + Vector2::new(0.5 * x * far.width(), 0.5 * y * far.height()));
        }
    }
    places
}

#[cfg(test)]
mod tests {
    use super::super::check::check_invariants;
    use super::super::fixtures::layout_of;
    use super::super::model::{Shape, SheetSet};
    use super::super::set::sheets;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::{Job, Revision};
    use crate::roof::fixtures::gable;

    fn drawn_with(changed: &[&str]) -> (SheetSet, Vec<&'static str>) {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        if !changed.is_empty() {
            job.project.revisions = vec![Revision {
                mark: "A".into(),
                what: "element moved".into(),
                date: "2026-02-01".into(),
                changed: changed.iter().map(|&tag| tag.to_owned()).collect(),
            }];
        }
        let made = layout_of(gable(480.0, 288.0, 0.5), job);
        let outcome = sheets(made.drawn());
        assert_eq!(check_invariants(&outcome.value), Vec::<String>::new());
        (outcome.value, outcome.findings.into_iter().map(|f| f.code).collect())
    }

    fn clouds(set: &SheetSet, model: usize) -> Vec<&str> {
        let items = set.models[model].items.iter().filter(|i| matches!(i.shape, Shape::Polyline { closed: true, .. }));
        items.map(|i| i.id.as_str()).filter(|id| id.starts_with("revision.")).collect()
    }

    #[test]
    fn without_a_revision_the_table_is_empty_and_nothing_is_clouded() {
        let (set, findings) = drawn_with(&[]);
        assert!(findings.is_empty(), "{findings:?}");
        assert!((0..set.models.len()).all(|model| clouds(&set, model).is_empty()));
        assert!(!format!("{set:?}").contains("element moved"));
    }

    #[test]
    fn a_piece_is_clouded_on_the_plan_and_on_its_own_face_and_the_table_says_why() {
        let (set, findings) = drawn_with(&["F1-1-1", "F2", "J9"]);
        assert_eq!(findings, ["revision-unknown"], "J9 is nowhere");
        assert_eq!(clouds(&set, 0), ["revision.A.F1-1-1", "revision.A.F2"]);
        assert_eq!(clouds(&set, 1), ["revision.A.F1-1-1"], "face F1");
        assert_eq!(clouds(&set, 2), ["revision.A.F2"], "face F2");
        let block = set.blocks.last().unwrap();
        assert!(format!("{block:?}").contains("element moved"));
        assert!(set.sheets[0].items.iter().any(|i| i.id.starts_with("revisions.1")), "listed in full on E-001");
    }

    /// Bows of 0.24 in: a rectangle of 2.4 in by 1.2 in has 2 (10 + 5) of them, four points each, none inside the rectangle.
    #[test]
    fn a_cloud_has_whole_bows_and_stands_outside() {
        let bounds = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(2.4, 1.2) };
        let points = cloud(bounds, 1.0);
        assert_eq!(points.len(), 30 * 4);
        assert!(points.iter().all(|p| !bounds.grown(-1e-9).contains(*p)));
        assert!(points.iter().all(|p| bounds.grown(RISE + 1e-9).contains(*p)));
    }
}
