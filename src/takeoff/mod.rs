//! The layout is counted: [`Takeoff`].
//!
//! Only what is fed is counted; a piece nothing feeds is not installed.

mod check;
mod materials;
mod model;
mod retrofit;
mod rolls;

pub use check::check_invariants;
pub use model::*;

use crate::courses::Courses;
use crate::job::Job;
use crate::wiring::Wiring;
use std::collections::BTreeSet;

/// Counts everything placed.
#[must_use]
pub fn takeoff(courses: &Courses, wiring: &Wiring, job: &Job) -> Takeoff {
    let fed: BTreeSet<_> = wiring.feeds.iter().map(|f| f.segment).collect();
    let cuts: Vec<CutPiece> = courses
        .segments
        .iter()
        .filter(|s| fed.contains(&s.id))
        .map(|s| CutPiece {
            segment: s.id,
            tag: s.tag.clone(),
            face: s.face,
            element_key: s.element_key.clone(),
            length: s.cut_length,
        })
        .collect();
    let lead_key = &job.products.lead.value.key;
    let leads: Vec<LeadPiece> =
        wiring.leads.iter().map(|l| LeadPiece { lead: l.id, lead_key: lead_key.clone(), length: l.length }).collect();
    let materials = materials::materials(&cuts, &leads, wiring, job);
    Takeoff { cuts, leads, materials }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::geometry::Point2;
    use crate::index::{BoxId, FaceId, LeadId};
    use crate::wiring::hand_made::{courses, wiring};
    use crate::wiring::{DeckHole, Leg, LegPlace};

    fn count(takeoff: &Takeoff, key: &str) -> f64 {
        takeoff.materials.iter().filter(|m| m.key == key).map(|m| m.quantity).sum()
    }

    fn counted(wiring: &Wiring) -> Takeoff {
        let job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let takeoff = takeoff(&courses(), wiring, &job);
        assert_eq!(check_invariants(&takeoff, &courses(), wiring), Vec::<String>::new());
        takeoff
    }

    /// By hand. Element: 40 ft narrow, 50 + 30 ft wide, the 10 ft that nothing feeds left out. Leads 10 + 2 + 15 ft.
    /// Two feeds and a jumper are four power connections: eight bus-bar and four ground connectors, eight patches.
    /// Of six ends four are connected, two are capped with two patches each.
    #[test]
    fn the_small_layout_by_hand() {
        let takeoff = counted(&wiring());
        for (key, expected) in [
            ("strip-2", 40.0),
            ("strip-4", 80.0),
            ("strip-2-roll", 1.0),
            ("strip-4-roll", 1.0),
            ("lead-12", 27.0),
            ("bus-bar-connector", 8.0),
            ("ground-connector", 4.0),
            ("end-cap", 2.0),
            ("sealing-patch", 12.0),
            ("box-outside", 1.0),
            ("breaker-15", 1.0),
            ("controller-5", 1.0),
            ("contactor-4x30", 1.0),
            ("sensor", 1.0),
            ("disconnect-2x30", 1.0),
            ("segment-label", 3.0),
            ("box-label", 1.0),
            ("circuit-label", 1.0),
            ("no-nail-gap", 1.0),
        ] {
            assert!((count(&takeoff, key) - expected).abs() < 1e-9, "{key}: {}", count(&takeoff, key));
        }
        assert_eq!(takeoff.materials.len(), 19);
        assert_eq!(takeoff.cuts.len(), 3);
        assert_eq!(takeoff.leads.len(), 3);
    }

    /// Two leads over one edge need one guard, a hole one sleeve.
    #[test]
    fn leads_that_leave_the_surface_need_guards_and_sleeves() {
        let mut leaving = wiring();
        let leg = |place| Leg {
            place,
            face: None,
            crossing: None,
            path: Vec::new(),
            points: Vec::new(),
            length: 0.0,
            slack: 0.0,
            lanes: Vec::new(),
        };
        leaving.leads[0].legs.push(leg(LegPlace::OverEave));
        leaving.leads[2].legs.push(leg(LegPlace::OverEave));
        leaving.holes.push(DeckHole {
            face: FaceId(0),
            at: Point2::new(10.0, 60.0),
            junction_box: BoxId(0),
            leads: vec![LeadId(0)],
        });
        let takeoff = counted(&leaving);
        assert_eq!((count(&takeoff, "edge-guard"), count(&takeoff, "deck-sleeve")), (1.0, 1.0));
    }

    #[test]
    fn nothing_fed_is_nothing_to_order() {
        assert_eq!(counted(&Wiring::default()), Takeoff::default());
    }

    #[test]
    fn a_false_total_is_found() {
        let mut takeoff = counted(&wiring());
        takeoff.materials[0].quantity += 1.0;
        assert_eq!(check_invariants(&takeoff, &courses(), &wiring()).len(), 1);
        let mut takeoff = counted(&wiring());
        takeoff.cuts.pop();
        assert!(!check_invariants(&takeoff, &courses(), &wiring()).is_empty());
    }
}
