//! How many entities of each kind a drawing holds, whether or not a roof can be found in it.

use super::drawing::{self, plain};
use super::ledger::Ledger;
use super::model::EntityCount;
use super::sniff;
use crate::error::Result;
use crate::finding::Outcome;
use std::collections::BTreeMap;

/// Counts the entities of model space, paper space and block definitions by kind, each definition once.
///
/// A polyline counts once with its vertices. An attribute counts as an entity of its own. `used` stays 0: no roof is chosen, and whatever
/// was read is `not_roof`.
///
/// # Errors
/// As [`super::import`], except that a drawing without a roof is counted too.
pub fn census(bytes: &[u8]) -> Result<Outcome<BTreeMap<String, EntityCount>>> {
    sniff::sniff(bytes)?;
    let mut ledger = Ledger::default();
    let drawing = drawing::read(bytes, &mut ledger)?;
    let mut counts = drawing.refused;
    for entity in &drawing.entities {
        let count = counts.entry(plain(entity.kind)).or_default();
        count.seen += 1;
        count.not_roof += 1;
    }
    Ok(Outcome { value: counts, findings: ledger.close() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn blocks_count_once_and_no_roof_is_needed() {
        let text = "0\nSECTION\n2\nBLOCKS\n0\nBLOCK\n2\nB\n10\n0\n20\n0\n0\nPOINT\n10\n1\n20\n1\n0\nENDBLK\n0\nENDSEC\n\
            0\nSECTION\n2\nENTITIES\n0\nINSERT\n2\nB\n10\n0\n20\n0\n0\nINSERT\n2\nB\n10\n5\n20\n0\n\
            0\nLINE\n10\nx\n20\n0\n11\n1\n21\n1\n0\nENDSEC\n0\nEOF\n";
        let counts = census(text.as_bytes()).unwrap().value;
        let of = |seen, refused| EntityCount { seen, used: 0, not_roof: seen - refused, refused };
        let wanted = [("INSERT", of(2, 0)), ("LINE", of(1, 1)), ("POINT", of(1, 0))];
        assert_eq!(counts.into_iter().collect::<Vec<_>>(), wanted.map(|(kind, count)| (kind.to_owned(), count)));
    }
}
