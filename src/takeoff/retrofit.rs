//! What a retrofit needs beside element and leads: shingles that come up are laid anew, and every loosened tab is sealed again.
//!
//! Four nails a strip shingle and cement under every loosened tab are common practice, no source (NAVEDTRA 14044 as quoted names at least
//! four nails for a three-tab strip).

use super::materials::{line, pieces};
use super::model::{CutPiece, MaterialLine};
use crate::job::{Job, Work};
use crate::units::INCHES_PER_FOOT;
use crate::wiring::{LegPlace, Wiring};

/// Nails of one shingle.
const NAILS_A_SHINGLE: u32 = 4;

pub(super) fn retrofit(cuts: &[CutPiece], wiring: &Wiring, job: &Job, list: &mut Vec<MaterialLine>) {
    if job.roof.work.value != Work::Retrofit {
        return;
    }
    let group = "retrofit";
    let under_tabs: f64 = cuts.iter().map(|cut| cut.length).sum::<f64>()
        + wiring
            .leads
            .iter()
            .flat_map(|lead| &lead.legs)
            .filter(|leg| leg.place == LegPlace::Face && !wiring.relays.iter().any(|r| leg.lanes.contains(&r.lane)))
            .map(|leg| leg.length)
            .sum::<f64>();
    let words = "tabs loosened, and sealed again with asphalt roof cement";
    let basis = "length of element and of leads under tabs".to_owned();
    list.push(line(group, "tab-seal", words, under_tabs / INCHES_PER_FOOT, "ft", basis));
    let shingles: u32 = wiring.relays.iter().map(|relay| relay.shingles).sum();
    let lanes = wiring.relays.len();
    let basis =
        format!("at most so many in {lanes} stripped lanes: whole shingles that reach into them, course by course");
    list.extend(pieces(group, "relay-shingle", "shingle to strip and lay anew", shingles as usize, basis));
    let nails = (shingles * NAILS_A_SHINGLE) as usize;
    let basis = format!("{NAILS_A_SHINGLE} for each shingle laid anew, outside the marked gaps");
    list.extend(pieces(group, "roofing-nail", "roofing nail", nails, basis));
    let length: f64 = wiring.relays.iter().map(|r| r.extent.v.length()).sum();
    if length > 0.0 {
        let basis = format!("length of {lanes} stripped lanes up the slope");
        let words = "self-adhered membrane to patch under a stripped lane";
        list.push(line(group, "lane-membrane", words, length / INCHES_PER_FOOT, "ft", basis));
    }
}
