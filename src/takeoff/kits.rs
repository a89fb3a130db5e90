//! What is packed together for each face: its pieces, the leads that end on them and the small parts for both.

use super::model::{CutPiece, Kit, KitPart};
use crate::courses::Courses;
use crate::index::{FaceId, SegmentId};
use crate::wiring::{Terminal, Wiring};
use std::collections::{BTreeMap, BTreeSet};

/// One kit for each face with pieces, in face order. A connection's parts are packed where its piece is.
pub(super) fn kits(cuts: &[CutPiece], courses: &Courses, wiring: &Wiring) -> Vec<Kit> {
    let faces: BTreeSet<FaceId> = cuts.iter().map(|c| c.face).collect();
    let face_of = |segment: SegmentId| courses.segments[segment.index()].face;
    let mut connections: BTreeMap<FaceId, usize> = BTreeMap::new();
    let mut connected: BTreeMap<FaceId, BTreeSet<_>> = BTreeMap::new();
    for terminal in wiring.leads.iter().flat_map(|lead| [lead.from, lead.to]) {
        if let Terminal::Segment(segment, end) = terminal {
            *connections.entry(face_of(segment)).or_default() += 1;
            connected.entry(face_of(segment)).or_default().insert((segment, end));
        }
    }
    faces
        .into_iter()
        .map(|face| {
            let segments: Vec<SegmentId> = cuts.iter().filter(|c| c.face == face).map(|c| c.segment).collect();
            let ends = |terminal| match terminal {
                Terminal::Segment(segment, _) => Some(face_of(segment)),
                Terminal::Box(_) => None,
            };
            let leads = wiring.leads.iter().filter(|lead| ends(lead.to) == Some(face)).map(|lead| lead.id).collect();
            let at = connections.get(&face).copied().unwrap_or(0);
            let capped = 2 * segments.len() - connected.get(&face).map_or(0, BTreeSet::len);
            let parts = [
                ("bus-bar-connector", 2 * at),
                ("ground-connector", at),
                ("end-cap", capped),
                ("sealing-patch", 2 * (at + capped)),
                ("segment-label", segments.len()),
            ];
            let parts = parts.into_iter().filter(|(_, n)| *n > 0);
            let parts = parts.map(|(key, n)| KitPart { key: key.to_owned(), quantity: n as f64 }).collect();
            Kit { face, segments, leads, parts }
        })
        .collect()
}
