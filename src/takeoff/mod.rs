//! The layout is counted: [`Takeoff`].
//!
//! Only what is fed is counted; a piece nothing feeds is not installed.

mod check;
mod kits;
mod materials;
mod model;
mod quote;
mod retrofit;
mod stock;

pub use check::check_invariants;
pub use model::*;

use crate::checks::Checks;
use crate::courses::Courses;
use crate::job::Job;
use crate::wiring::Wiring;
use std::collections::BTreeSet;

/// Counts everything placed, plans the cutting and prices it.
#[must_use]
pub fn takeoff(courses: &Courses, wiring: &Wiring, checks: &Checks, job: &Job) -> Takeoff {
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
    let leads = lead_pieces(wiring, job);
    let plans = cutting_plans(&cuts, job);
    let counted = materials::Counted { cuts: &cuts, plans: &plans, leads: &leads };
    let materials = materials::materials(&counted, wiring, checks, job);
    let kits = kits::kits(&cuts, courses, wiring);
    let quote = quote::quote(&cuts, &leads, &materials, wiring.circuits.len(), job);
    Takeoff { cuts, plans, leads, materials, kits, quote }
}

/// Rolls a cutting plan takes, and the fewest any plan can need: for measuring plans of piece lengths apart from a layout. Inches.
#[must_use]
pub fn cutting_gap(lengths: &[f64], roll_length: f64, kerf: f64) -> (usize, usize) {
    let made = stock::cutting(lengths, roll_length, kerf);
    (made.rolls.len(), made.bound)
}

/// Each lead in the shortest stock length that takes it.
fn lead_pieces(wiring: &Wiring, job: &Job) -> Vec<LeadPiece> {
    let cable = &job.products.lead.value;
    let mut stocks: Vec<f64> = cable.stock_lengths.iter().map(|l| l.inches()).collect();
    stocks.sort_by(f64::total_cmp);
    wiring
        .leads
        .iter()
        .map(|l| LeadPiece {
            lead: l.id,
            lead_key: cable.key.clone(),
            length: l.length,
            stock: stocks.iter().copied().find(|stock| *stock + 1e-6 >= l.length),
        })
        .collect()
}

/// One plan for each element in use.
fn cutting_plans(cuts: &[CutPiece], job: &Job) -> Vec<CuttingPlan> {
    let mut plans: Vec<CuttingPlan> = Vec::new();
    for item in [&job.products.starter.value, &job.products.deck.value] {
        let pieces: Vec<&CutPiece> = cuts.iter().filter(|c| c.element_key == item.key).collect();
        if pieces.is_empty() || plans.iter().any(|p| p.element_key == item.key) {
            continue;
        }
        let lengths: Vec<f64> = pieces.iter().map(|c| c.length).collect();
        let (roll_length, kerf) = (item.roll_length.inches(), job.estimate.takeoff.kerf);
        let made = stock::cutting(&lengths, roll_length, kerf);
        let rolls: Vec<RollCut> = made
            .rolls
            .iter()
            .map(|places| {
                let used: f64 = places.iter().map(|&at| lengths[at] + kerf).sum();
                // The last cut is spared where the roll just ends.
                let offcut = (roll_length - used).max(0.0);
                let kept = offcut >= job.estimate.takeoff.keep_offcut;
                RollCut { pieces: places.iter().map(|&at| pieces[at].segment).collect(), offcut, kept }
            })
            .collect();
        plans.push(CuttingPlan {
            element_key: item.key.clone(),
            roll_length,
            kerf,
            bound: made.bound,
            optimal: rolls.len() == made.bound,
            rolls,
            too_long: made.too_long.iter().map(|&at| pieces[at].segment).collect(),
        });
    }
    plans
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
        let takeoff = takeoff(&courses(), wiring, &Checks::default(), &job);
        assert_eq!(check_invariants(&takeoff, &courses(), wiring), Vec::<String>::new());
        takeoff
    }

    /// By hand. Element: 40 ft narrow, 50 + 30 ft wide, the 10 ft that nothing feeds left out. Leads 10 + 2 + 15 ft.
    /// Two feeds and a jumper are four power connections: eight bus-bar and four ground connectors, eight patches.
    /// Of six ends four are connected, two are capped with two patches each. Fixing every 2 ft: 21 + 26 + 16 points; one cartridge
    /// for twelve patches.
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
            ("fixing-point", 63.0),
            ("sealant", 1.0),
        ] {
            assert!((count(&takeoff, key) - expected).abs() < 1e-9, "{key}: {}", count(&takeoff, key));
        }
        assert_eq!(takeoff.materials.len(), 21);
        assert_eq!(takeoff.cuts.len(), 3);
        assert_eq!(takeoff.leads.len(), 3);
    }

    /// By hand, 5 % spare: 8 connectors order 9, 27 ft of lead 29; rolls and breakers order what is counted, and nobody orders
    /// element by the foot or a gap in a nail row.
    #[test]
    fn orders_are_whole_and_have_spare() {
        let takeoff = counted(&wiring());
        for (key, order) in [
            ("strip-4", 0.0),
            ("strip-4-roll", 1.0),
            ("lead-12", 29.0),
            ("bus-bar-connector", 9.0),
            ("breaker-15", 1.0),
            ("no-nail-gap", 0.0),
        ] {
            assert_eq!(takeoff.materials.iter().find(|m| m.key == key).unwrap().order, order, "{key}");
        }
    }

    /// By hand: leads of 10, 2 and 15 ft from stock of 5 and 12 ft: one of 5, one of 12, one made to length.
    #[test]
    fn leads_by_stock_length() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.products.lead.value.stock_lengths = [12.0, 5.0].map(crate::units::Length::from_feet).to_vec();
        let takeoff = takeoff(&courses(), &wiring(), &Checks::default(), &job);
        assert_eq!(check_invariants(&takeoff, &courses(), &wiring()), Vec::<String>::new());
        let stocks: Vec<Option<f64>> = takeoff.leads.iter().map(|l| l.stock).collect();
        assert_eq!(stocks, [Some(144.0), Some(60.0), None]);
        let order = |key: &str| takeoff.materials.iter().find(|m| m.key == key).unwrap().order;
        let keys = ["lead-12-stock-5", "lead-12-stock-12", "lead-12-stock-special", "lead-12"];
        assert_eq!(keys.map(order), [1.0, 1.0, 1.0, 0.0]);
    }

    /// By hand at 60 ft of home run: 2 conductors and a ground of 14 AWG on one circuit.
    #[test]
    fn a_known_home_run_is_wired() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.electrical.panel = Some(crate::job::Panel {
            tag: "P1".into(),
            spaces: 4,
            spare_amps: 40.0,
            bus_amps: None,
            service: None,
            home_run: 720.0,
        });
        let takeoff = takeoff(&courses(), &wiring(), &Checks::default(), &job);
        assert_eq!((count(&takeoff, "wire-14"), count(&takeoff, "ground-wire-14")), (120.0, 60.0));
    }

    /// By hand: 4 ft of 2 by the hour at 60, and a list of one price of 10 for 9 connectors; 10 % markup, then 5 % tax.
    #[test]
    fn the_quote_adds_up() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.products.prices = vec![crate::catalog::Price { key: "bus-bar-connector".into(), price: 10.0 }];
        job.estimate.labour.rate = Some(60.0);
        (job.estimate.prices.markup, job.estimate.prices.tax) = (0.1, 0.05);
        let quote = takeoff(&courses(), &wiring(), &Checks::default(), &job).quote;
        assert_eq!(quote.material, 90.0);
        // 8 h; 3 x 6, 120 x 0.5, 4 x 15, 2 x 5, 27 x 0.5, 45, 60 and 12 x 3 min.
        let minutes = 480.0 + 18.0 + 60.0 + 60.0 + 10.0 + 13.5 + 45.0 + 60.0 + 36.0;
        assert!((quote.hours - minutes / 60.0).abs() < 1e-9, "{}", quote.hours);
        let net = 90.0 + minutes;
        assert!((quote.total - net * 1.1 * 1.05).abs() < 1e-9);
        assert_eq!(quote.unpriced.len(), quote.lines.len() - 1);
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
        let takeoff = counted(&Wiring::default());
        assert!(takeoff.materials.is_empty() && takeoff.kits.is_empty() && takeoff.plans.is_empty());
        assert_eq!((takeoff.quote.total, takeoff.quote.hours), (0.0, 0.0));
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
