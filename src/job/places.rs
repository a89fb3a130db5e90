//! Places the job names for heat and against it: entries, exclusions, fasteners.

use super::file::HeatTable;
use super::limits::Limits;
use super::model::{EntrySetting, ExclusionSetting, FastenerSetting, HeatSettings};
use crate::error::Result;
use crate::geometry::Point2;

/// Width of a fastener's foot when none is given, inches (common practice).
const FOOT: f64 = 4.0;
/// Fasteners of a row stand this far apart when nothing is given, inches (common practice).
const APART: f64 = 24.0;

pub(super) fn read(heat: &mut HeatSettings, typed: &HeatTable, limits: &Limits) -> Result<()> {
    let line = |path: &str| limits.lines().of(path).unwrap_or(0);
    for (at, entry) in typed.entry.iter().enumerate() {
        let path = format!("heat.entry.{at}");
        let width = limits.length(&format!("{path}.width"), Some(entry.width), 12.0, 1200.0)?;
        heat.entries.push(EntrySetting {
            at: limits.point(&format!("{path}.at"), entry.at)?,
            width: width.unwrap_or_default(),
            line: line(&path),
        });
    }
    for (at, area) in typed.exclusion.iter().enumerate() {
        let path = format!("heat.exclusion.{at}");
        if area.corners.len() < 3 {
            let found = format!("{} points", area.corners.len());
            return Err(limits.refuse(&format!("{path}.corners"), &found, "three corners or more"));
        }
        let corner = |&corner: &[f64; 2]| limits.point(&format!("{path}.corners"), corner);
        heat.exclusions.push(ExclusionSetting {
            corners: area.corners.iter().map(corner).collect::<Result<Vec<Point2>>>()?,
            why: area.why.clone().unwrap_or_else(|| "left out by the job".into()),
            line: line(&path),
        });
    }
    for (at, fastener) in typed.fastener.iter().enumerate() {
        let path = format!("heat.fastener.{at}");
        let to = fastener.to.map(|to| limits.point(&format!("{path}.to"), to)).transpose()?;
        heat.fasteners.push(FastenerSetting {
            at: limits.point(&format!("{path}.at"), fastener.at)?,
            to,
            spacing: limits.length(&format!("{path}.spacing"), fastener.spacing, 1.0, 1200.0)?.unwrap_or(APART),
            kind: fastener.kind,
            size: limits.length(&format!("{path}.size"), fastener.size, 0.25, 120.0)?.unwrap_or(FOOT),
            line: line(&path),
        });
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use crate::catalog::Catalogue;
    use crate::job::{Discharge, FastenerKind, Job, Reason, Target, ValleyType};

    fn read(text: &str) -> crate::error::Result<Job> {
        Job::from_toml(text, &Catalogue::sample()).map(|outcome| outcome.value)
    }

    #[test]
    fn entries_exclusions_and_fasteners_are_read() {
        let job = read(
            "[[heat.entry]]\nat = [1, 2]\nwidth = \"6 ft\"\n[[heat.exclusion]]\ncorners = [[0, 0], [4, 0], [4, 3]]\nwhy = \"panels\"\n\
             [[heat.fastener]]\nat = [0, 9]\nto = [40, 9]\nspacing = \"2 ft\"\nkind = \"snow-guard\"\n",
        )
        .unwrap();
        assert_eq!((job.heat.entries[0].width, job.heat.entries[0].line), (72.0, 1));
        assert_eq!((job.heat.exclusions[0].corners.len(), job.heat.exclusions[0].why.as_str()), (3, "panels"));
        let row = &job.heat.fasteners[0];
        assert_eq!((row.kind, row.spacing, row.size), (FastenerKind::SnowGuard, 24.0, 4.0));
        let error = read("[[heat.exclusion]]\ncorners = [[0, 0], [4, 0]]\n").unwrap_err();
        assert_eq!((error.code, error.place.line), ("out-of-range", Some(2)));
    }

    #[test]
    fn what_is_said_of_one_edge_is_read() {
        let job = read(
            "[[roof.edge]]\ntag = \"E1\"\nfrom = \"3 ft\"\nto = \"12 ft\"\nreason = \"shade\"\npriority = 2\ndischarge = \"walk\"\n\
             [[roof.edge]]\ntag = \"E2\"\nvalley_type = \"closed-cut\"\nthrough = \"F2\"\ngutter_heat = true\ndownspouts = 2\n",
        )
        .unwrap();
        let [eave, valley] = job.roof.edges.as_slice() else { panic!() };
        assert_eq!(
            (eave.from, eave.to, eave.reason, eave.priority),
            (Some(36.0), Some(144.0), Some(Reason::Shade), Some(2))
        );
        assert_eq!(eave.discharge, Some(Discharge::Walk));
        assert_eq!(
            (valley.valley_type, valley.through.clone()),
            (Some(ValleyType::ClosedCut), Some(Target::Tag("F2".into())))
        );
        assert_eq!((valley.gutter_heat, valley.downspouts), (Some(true), Some(2)));
        let error = read("[[roof.edge]]\ntag = \"E1\"\nfrom = \"3 ft\"\nto = \"2 ft\"\n").unwrap_err();
        assert_eq!((error.code, error.place.line), ("out-of-range", Some(4)));
    }
}
