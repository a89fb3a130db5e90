//! The forms for the site as CSV: what to measure before anything is cut, and what to test while it is built.

use super::csv::csv;
use crate::field::{form, record_form};
use crate::pipeline::Project;
use crate::units::decimal;

/// What to measure: item, what, the drawn value, how that is known, and an empty cell for the measured one.
#[must_use]
pub fn verify_csv(project: &Project) -> Vec<u8> {
    let rows: Vec<Vec<String>> = form(&project.into())
        .into_iter()
        .map(|row| vec![row.item, row.what.words().into(), row.drawn.words(), row.basis.into(), String::new()])
        .collect();
    csv(&["item", "what", "drawn", "basis", "measured"], &rows)
}

/// What to test and when, with what to expect, and empty cells for the reading, its circumstances and who took it.
#[must_use]
pub fn record_csv(project: &Project) -> Vec<u8> {
    let number = |value: Option<f64>| value.map(|v| decimal(v, 3)).unwrap_or_default();
    let rows: Vec<Vec<String>> = record_form(&project.into())
        .into_iter()
        .map(|row| {
            vec![
                row.stage.word().into(),
                row.stage.hold().unwrap_or_default().into(),
                row.item.clone(),
                row.quantity.words().into(),
                row.quantity.unit().into(),
                number(row.expected),
                number(row.low),
                number(row.high),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
                String::new(),
            ]
        })
        .collect();
    csv(&RECORD_COLUMNS, &rows)
}

/// Columns of the record.
const RECORD_COLUMNS: [&str; 14] = [
    "stage",
    "hold",
    "item",
    "what",
    "unit",
    "expected",
    "low",
    "high",
    "reading",
    "date",
    "time",
    "temperature_f",
    "instrument",
    "by",
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::Basis;
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
