//! Places the job names for heat and against it: entries, exclusions, fasteners.

use super::file::HeatTable;
use super::limits::Limits;
use super::model::HeatSettings;
use crate::error::Result;
use crate::geometry::Point2;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Where melt water goes from an eave.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Discharge {
    /// Into a gutter.
    Gutter,
    /// It drips on open ground.
    Ground,
    /// It drips on a walk or a drive.
    Walk,
    /// Nobody said.
    Unknown,
}

/// A door or a stair under an eave.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct EntrySetting {
    /// Near it, in drawing coordinates.
    pub at: Point2,
    /// Of the eave above it, inches.
    pub width: f64,
    /// Line of the job file.
    pub line: usize,
}

/// An area no element and no lead may enter.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ExclusionSetting {
    /// Its corners, in drawing coordinates.
    pub corners: Vec<Point2>,
    /// What is there.
    pub why: String,
    /// Line of the job file.
    pub line: usize,
}

/// What is fastened through the shingles.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum FastenerKind {
    /// A bracket for scaffolding or a ladder.
    RoofBracket,
    /// A guard that holds snow.
    SnowGuard,
    /// Anything else: a mast, a panel's foot.
    Other,
}

/// One fastener or a row of them.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct FastenerSetting {
    /// Where, or where the row begins, in drawing coordinates.
    pub at: Point2,
    /// Where the row ends.
    pub to: Option<Point2>,
    /// From one to the next in a row, plan inches.
    pub spacing: f64,
    /// What it is.
    pub kind: FastenerKind,
    /// Across its foot, inches.
    pub size: f64,
    /// Line of the job file.
    pub line: usize,
}

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
