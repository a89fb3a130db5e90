//! Pieces as long as they were laid.

use super::Site;
use super::judge::installed_length;
use super::model::{JudgedReading, Quantity, Record, Stage};
use crate::courses::Segment;
use crate::geometry::Interval;
use crate::wiring::End;
use std::collections::BTreeMap;

/// All pieces in the order of the layout, each with the length the record gives it: the fed end stays where its lead is, the other end
/// moves. A piece without a length in the record stays as it was to be cut. Where a jumper left from an end that moved is not recorded, so
/// jumpers stay as drawn.
#[must_use]
pub fn as_built(record: &Record, site: &Site) -> Vec<Segment> {
    let is_length = |r: &&JudgedReading| r.stage == Stage::Laid && r.quantity == Quantity::InstalledLength;
    let lengths: BTreeMap<&str, &JudgedReading> =
        record.readings.iter().filter(is_length).map(|r| (r.item.as_str(), r)).collect();
    site.courses
        .segments
        .iter()
        .map(|segment| {
            let length = lengths.get(segment.tag.as_str());
            let mut laid = segment.clone();
            let Some(length) = length.and_then(|reading| installed_length(&reading.reading)) else { return laid };
            let from_right = site.wiring.feed(segment.id).is_some_and(|feed| feed.fed_end == End::Right);
            laid.along = if from_right {
                Interval { low: segment.along.high - length, ..segment.along }
            } else {
                Interval { high: segment.along.low + length, ..segment.along }
            };
            laid.station += laid.along.low - segment.along.low;
            laid.cut_length = length;
            laid
        })
        .collect()
}
