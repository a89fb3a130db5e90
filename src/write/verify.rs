//! What to measure on the roof before anything is cut, as a form with the drawn values filled in.

use super::csv::csv;
use crate::index::{EdgeId, FaceId};
use crate::job::{Setting, Target, Under, ValleyType};
use crate::pipeline::Project;
use crate::roof::Basis;
use crate::terms::EdgeKind;
use crate::units::{decimal, feet_inches, pitch_in_12};
use std::collections::BTreeSet;

/// The form: item, what to measure, the drawn value, how that is known, and an empty cell for the measured one.
///
/// It covers the heated faces, or every face when none is heated: lengths of eaves and rakes, overhang at each eave, pitch,
/// exposure at both ends, openings, valley types, attic access.
#[must_use]
pub fn verify_csv(project: &Project) -> Vec<u8> {
    let form = Form { project, faces: faces(project) };
    let rows: Vec<Vec<String>> = [
        form.edges(),
        form.faces(),
        form.exposures(),
        form.openings(),
        form.valleys(),
        form.access(),
        form.insulation(),
    ]
    .into_iter()
    .flatten()
    .map(|row| vec![row.item, row.what.into(), row.drawn, row.basis.into(), String::new()])
    .collect();
    csv(&["item", "what", "drawn", "basis", "measured"], &rows)
}

/// One thing to measure.
struct Row {
    item: String,
    what: &'static str,
    drawn: String,
    basis: &'static str,
}

struct Form<'a> {
    project: &'a Project,
    faces: BTreeSet<FaceId>,
}

fn faces(project: &Project) -> BTreeSet<FaceId> {
    let heated: BTreeSet<FaceId> = project.zones.zones.iter().map(|z| z.face).collect();
    if heated.is_empty() { project.survey.roof.faces.iter().map(|f| f.id).collect() } else { heated }
}

fn basis_words(basis: Basis) -> &'static str {
    match basis {
        Basis::Measured => "drawn",
        Basis::Set => "set",
        Basis::Solved => "solved",
        Basis::Assumed => "assumed",
        Basis::Ambiguous => "open",
    }
}

fn setting_words<T>(setting: &Setting<T>) -> &'static str {
    if setting.given { "set" } else { "assumed" }
}

impl Form<'_> {
    /// Edges of one kind at the faces of the form.
    fn edges_of(&self, kind: EdgeKind) -> impl Iterator<Item = EdgeId> {
        let roof = &self.project.survey.roof;
        roof.edges
            .iter()
            .filter(move |e| e.kind == kind && roof.sides(e.id).any(|f| self.faces.contains(&f)))
            .map(|e| e.id)
    }

    fn edges(&self) -> Vec<Row> {
        let roof = &self.project.survey.roof;
        let length = |edge: EdgeId, what| Row {
            item: edge.to_string(),
            what,
            drawn: feet_inches(roof.slope_length(edge)),
            basis: "drawn",
        };
        let mut rows = Vec::new();
        for edge in self.edges_of(EdgeKind::Eave) {
            rows.push(length(edge, "eave length"));
            let (overhang, basis) = self.overhang(edge);
            let drawn = feet_inches(overhang);
            rows.push(Row { item: edge.to_string(), what: "overhang, drip edge to wall, level", drawn, basis });
        }
        rows.extend(self.edges_of(EdgeKind::Rake).map(|edge| length(edge, "rake length on the slope")));
        rows
    }

    fn overhang(&self, edge: EdgeId) -> (f64, &'static str) {
        let settings = &self.project.job.roof;
        let known = self.project.zones.overhang(edge);
        known.map_or((settings.overhang.value, setting_words(&settings.overhang)), |o| (o.inches, basis_words(o.basis)))
    }

    fn faces(&self) -> Vec<Row> {
        self.faces
            .iter()
            .map(|&id| {
                let face = self.project.survey.roof.face(id);
                let basis = basis_words(face.pitch_basis);
                Row { item: id.to_string(), what: "pitch", drawn: pitch_in_12(face.pitch), basis }
            })
            .collect()
    }

    fn exposures(&self) -> Vec<Row> {
        let Some(rule) = &self.project.courses.rule else { return Vec::new() };
        let basis = setting_words(&self.project.job.products.shingle);
        let row = |face: &FaceId, what| Row { item: face.to_string(), what, drawn: feet_inches(rule.exposure), basis };
        let both = |face| [row(face, "exposure at the left end"), row(face, "exposure at the right end")];
        self.faces.iter().flat_map(both).collect()
    }

    fn openings(&self) -> Vec<Row> {
        let mut rows = Vec::new();
        for layout in self.project.zones.faces.iter().filter(|l| self.faces.contains(&l.face)) {
            for opening in &layout.openings {
                let Some(bounds) = opening.outline.exterior.bounds() else { continue };
                let item = format!("{} on {}", opening.opening, layout.face);
                for (what, inches) in [
                    ("opening: left side from the control line", bounds.min.x),
                    ("opening: lower edge up the slope from the eave", bounds.min.y),
                    ("opening: width", bounds.width()),
                    ("opening: height on the slope", bounds.height()),
                ] {
                    rows.push(Row { item: item.clone(), what, drawn: feet_inches(inches), basis: "drawn" });
                }
            }
        }
        rows
    }

    fn valleys(&self) -> Vec<Row> {
        let setting = &self.project.job.roof.valley_type;
        let drawn = match setting.value {
            ValleyType::OpenMetal => "open metal",
            ValleyType::ClosedCut => "closed-cut",
            ValleyType::Woven => "woven",
            ValleyType::Unknown => "unknown",
        };
        let basis = setting_words(setting);
        self.edges_of(EdgeKind::Valley)
            .map(|edge| Row { item: edge.to_string(), what: "valley type", drawn: drawn.into(), basis })
            .collect()
    }

    /// Each roll is tested when it comes, where it has a ground layer to be tested against.
    fn insulation(&self) -> Vec<Row> {
        let Some(test) = self.project.checks.insulation else { return Vec::new() };
        let keys: BTreeSet<&str> = self.project.takeoff.cuts.iter().map(|cut| cut.element_key.as_str()).collect();
        let drawn = format!(
            "at least {} megohm at {} V for {} s",
            decimal(test.least_megohms, 1),
            decimal(test.volts, 0),
            decimal(test.seconds, 0)
        );
        let row = |key: &str| Row {
            item: key.to_owned(),
            what: "insulation resistance of each roll on receipt",
            drawn: drawn.clone(),
            basis: "common practice",
        };
        keys.into_iter().map(row).collect()
    }

    fn access(&self) -> Vec<Row> {
        self.faces
            .iter()
            .map(|&face| {
                let (under, basis) = self.under(face);
                let drawn = match under {
                    Under::Attic => "reachable attic",
                    Under::Soffit => "soffit only",
                    Under::Cathedral => "cathedral ceiling",
                    Under::Conditioned => "rooms",
                    Under::Unknown => "unknown",
                };
                Row { item: face.to_string(), what: "attic access under the deck", drawn: drawn.into(), basis }
            })
            .collect()
    }

    fn under(&self, face: FaceId) -> (Under, &'static str) {
        let settings = &self.project.job.roof;
        let (roof, frame) = (&self.project.survey.roof, &self.project.survey.linework.frame);
        let about = |target: &Target| match target {
            Target::Tag(tag) => *tag == face.to_string(),
            Target::Near(at) => roof.region(face).contains(frame.to_working(at.at_height(frame.origin.z)).plan()),
        };
        let hinted = settings.faces.iter().filter(|hint| about(&hint.target)).find_map(|hint| hint.under);
        hinted.map_or((settings.under.value, setting_words(&settings.under)), |under| (under, "set"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::write::project_fixture::project;

    fn rows(project: &Project) -> Vec<String> {
        String::from_utf8(verify_csv(project)).unwrap().lines().map(str::to_owned).collect()
    }

    /// The lower face of a gable 40 ft by 24 ft at 6:12: one eave, two rakes of 13'-5" (160.997 in), nothing of the other face.
    #[test]
    fn the_form_asks_for_every_measure_of_the_heated_face() {
        let mut project = project();
        project.job.roof.edges.clear();
        let rows = rows(&project);
        assert_eq!(rows[0], "item,what,drawn,basis,measured");
        let count = |words: &str| rows.iter().filter(|r| r.contains(words)).count();
        assert_eq!(count(",eave length,\"40'-0\"\"\",drawn,"), 1);
        assert_eq!(count(",rake length on the slope,\"13'-5\"\"\",drawn,"), 2);
        assert_eq!(count(",\"overhang, drip edge to wall, level\",\"1'-0\"\"\",assumed,"), 1);
        assert_eq!(count("F1,pitch,6:12,drawn,"), 1);
        assert_eq!(count("F1,exposure at the "), 2);
        assert_eq!(count("F1,attic access under the deck,unknown,assumed,"), 1);
        assert_eq!(count("F2"), 0);
        assert_eq!(rows.len(), 9);
        assert!(rows.iter().skip(1).all(|r| r.ends_with(',')), "the measured cells are empty");
    }

    #[test]
    fn the_overhang_is_the_one_the_reach_counts_from() {
        let mut project = project();
        let edge = project.zones.zones[0].edges[0];
        project.zones.overhangs = vec![crate::zones::EaveOverhang { edge, inches: 18.0, basis: Basis::Set }];
        assert!(rows(&project).iter().any(|r| r.ends_with("\"1'-6\"\"\",set,")), "{:#?}", rows(&project));
    }
}
