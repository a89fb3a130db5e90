//! What the job says about single edges and faces, found by tag or by a point near them.

use crate::geometry::Point2;
use crate::import::SourceFrame;
use crate::index::FaceId;
use crate::job::{Job, Target, Under};
use crate::roof::Roof;

/// The job's hints on the roof they speak of.
#[derive(Debug, Clone, Copy)]
pub(super) struct Hints<'a> {
    pub roof: &'a Roof,
    pub frame: &'a SourceFrame,
    pub job: &'a Job,
}

impl Hints<'_> {
    /// What lies under a face's deck; of several hints the last one counts.
    pub(super) fn under(&self, face: FaceId) -> Under {
        let speaks = |target: &Target| match target {
            Target::Tag(tag) => tag.trim().eq_ignore_ascii_case(&face.to_string()),
            Target::Near(point) => self.nearest_face(self.plan(*point)) == Some(face),
        };
        let hints = self.job.roof.faces.iter().rev().filter(|hint| speaks(&hint.target));
        hints.filter_map(|hint| hint.under).next().unwrap_or(self.job.roof.under.value)
    }

    fn plan(&self, point: Point2) -> Point2 {
        self.frame.to_working(point.at_height(0.0)).plan()
    }

    fn nearest_face(&self, at: Point2) -> Option<FaceId> {
        let apart = |id: FaceId| {
            let region = self.roof.region(id);
            if region.contains(at) { 0.0 } else { region.exterior.distance_to(at) }
        };
        self.roof.faces.iter().map(|f| f.id).min_by(|&a, &b| apart(a).total_cmp(&apart(b)).then(a.cmp(&b)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::geometry::Point3;
    use crate::job::FaceHint;
    use crate::roof::fixtures::gable;
    use crate::units::DrawingUnit;

    #[test]
    fn a_point_in_drawing_feet_names_a_face() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let target = Target::Near(Point2::new(1020.0, 500.5));
        job.roof.faces.push(FaceHint { target, pitch: None, falls_to: None, under: Some(Under::Cathedral), line: 8 });
        let roof = gable(480.0, 288.0, 0.5);
        let frame =
            SourceFrame { units: DrawingUnit::Feet, inches_per_unit: 12.0, origin: Point3::new(1000.0, 500.0, 0.0) };
        let hints = Hints { roof: &roof, frame: &frame, job: &job };
        let face = hints.nearest_face(Point2::new(240.0, 10.0)).unwrap();
        let other = hints.nearest_face(Point2::new(240.0, 280.0)).unwrap();
        assert_eq!((hints.under(face), hints.under(other)), (Under::Cathedral, job.roof.under.value));
    }
}
