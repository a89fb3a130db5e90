//! Hints of the job become edges of the roof.

use super::Hints;
use crate::error::{Error, Result};
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point2, Segment2};
use crate::import::SourceFrame;
use crate::index::EdgeId;
use crate::job::{EdgeHint, Job, Target};
use crate::roof::Roof;
use crate::terms::EdgeKind;

/// A hint placed by a point counts when its edge is this near, inches: a hand's breadth on a plan sheet, yet less than a room.
const NEAR_LIMIT: f64 = 120.0;

/// A stretch of an eave above an entry, in plan: its middle and its length.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Entry {
    pub edge: EdgeId,
    /// On the eave, in plan.
    pub middle: Point2,
    /// Inches along it.
    pub width: f64,
}

/// The eaves above the job's entries.
pub(super) fn entries(roof: &Roof, frame: &SourceFrame, job: &Job, findings: &mut Vec<Finding>) -> Vec<Entry> {
    let mut found = Vec::new();
    for entry in &job.heat.entries {
        let at = frame.to_working(entry.at.at_height(0.0)).plan();
        let eaves = roof.edges.iter().filter(|edge| edge.kind == EdgeKind::Eave);
        let nearest = eaves
            .map(|edge| (roof.segment(edge.id).distance_to(at), edge.id))
            .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)));
        match nearest.filter(|(apart, _)| *apart <= NEAR_LIMIT) {
            Some((_, edge)) => {
                let line = roof.segment(edge);
                let along = (line.b - line.a).unit().unwrap_or_default();
                let middle = line.a + along * (at - line.a).dot(along).clamp(0.0, line.length());
                found.push(Entry { edge, middle, width: entry.width });
            }
            None => findings.push(
                Finding::new(
                    Severity::Ignored,
                    "entry-off-roof",
                    "no eave lies within 10 ft of an entry of the job",
                    Place { line: Some(entry.line), ..Place::at(at) },
                )
                .with_hint("give its place in the drawing's own coordinates, under the eave"),
            ),
        }
    }
    found
}

/// The hints by edge; of several for one edge the last one given wins field by field.
pub(super) fn resolve(roof: &Roof, frame: &SourceFrame, hints: &[EdgeHint]) -> Result<Hints> {
    let mut found = Hints::new();
    for hint in hints {
        let edge = edge_of(roof, frame, &hint.target).map_err(|e| e.at(Place::line(hint.line)))?;
        let entry = found.entry(edge).or_insert_with(|| hint.clone());
        entry.kind = hint.kind.or(entry.kind);
        entry.overhang = hint.overhang.or(entry.overhang);
        entry.heated = hint.heated.or(entry.heated);
        entry.reach = hint.reach.or(entry.reach);
        entry.from = hint.from.or(entry.from);
        entry.to = hint.to.or(entry.to);
        entry.reason = hint.reason.or(entry.reason);
        entry.priority = hint.priority.or(entry.priority);
        entry.valley_type = hint.valley_type.or(entry.valley_type);
        entry.through = hint.through.clone().or(entry.through.take());
        entry.discharge = hint.discharge.or(entry.discharge);
        entry.gutter_heat = hint.gutter_heat.or(entry.gutter_heat);
        entry.downspouts = hint.downspouts.or(entry.downspouts);
        entry.line = hint.line;
    }
    Ok(found)
}

fn edge_of(roof: &Roof, frame: &SourceFrame, target: &Target) -> Result<EdgeId> {
    match target {
        Target::Tag(tag) => by_tag(roof, tag),
        Target::Near(point) => nearest(roof, frame.to_working(point.at_height(0.0)).plan()),
    }
}

fn by_tag(roof: &Roof, tag: &str) -> Result<EdgeId> {
    tag.trim()
        .strip_prefix(['E', 'e'])
        .and_then(|number| number.parse::<usize>().ok())
        .filter(|number| (1..=roof.edges.len()).contains(number))
        .map(|number| EdgeId::new(number - 1))
        .ok_or_else(|| {
            Error::usage(
                "unknown-edge",
                format!("'{tag}' is no edge of this roof, which has E1 to E{}", roof.edges.len()),
            )
            .with_hint("`inspect` prints the edges and draws them on the key plan")
        })
}

fn nearest(roof: &Roof, at: Point2) -> Result<EdgeId> {
    roof.edges
        .iter()
        .map(|edge| {
            let [a, b] = edge.ends.map(|end| roof.drawn[end.index()]);
            (Segment2::new(a, b).distance_to(at), edge.id)
        })
        .min_by(|a, b| a.0.total_cmp(&b.0).then(a.1.cmp(&b.1)))
        .filter(|(distance, _)| *distance <= NEAR_LIMIT)
        .map(|(_, edge)| edge)
        .ok_or_else(|| {
            Error::usage("unknown-edge", "no edge of the roof lies within 10 ft of the point that the hint names")
                .with_hint("give the point in the drawing's own coordinates, on or beside the edge")
        })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point3;
    use crate::roof::fixtures::gable;
    use crate::units::DrawingUnit;

    fn hint(target: Target) -> EdgeHint {
        EdgeHint { overhang: Some(18.0), ..EdgeHint::of(target, 7) }
    }

    #[test]
    fn a_point_in_drawing_feet_finds_its_edge() {
        let roof = gable(480.0, 288.0, 0.5);
        let frame =
            SourceFrame { units: DrawingUnit::Feet, inches_per_unit: 12.0, origin: Point3::new(1000.0, 500.0, 0.0) };
        let found = resolve(&roof, &frame, &[hint(Target::Near(Point2::new(1020.0, 500.5)))]).unwrap();
        let edge = *found.keys().next().unwrap();
        let eave = roof.segment(edge);
        assert!(eave.a.y == 0.0 && eave.b.y == 0.0);
    }

    #[test]
    fn an_unknown_tag_names_the_line_of_the_job() {
        let roof = gable(480.0, 288.0, 0.5);
        let frame =
            SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
        let error = resolve(&roof, &frame, &[hint(Target::Tag("E99".into()))]).unwrap_err();
        assert_eq!((error.code, error.place.line), ("unknown-edge", Some(7)));
    }
}
