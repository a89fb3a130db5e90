//! Material at the catalogue's prices and hours at the job's rates.

use super::model::{LabourLine, MaterialLine, Quote, QuoteLine};
use super::{CutPiece, LeadPiece};
use crate::job::{Job, Work};
use crate::units::INCHES_PER_FOOT;

/// Tests of a piece that the record asks for and that cost the crew time: on receipt, cut and terminated, laid before cover, covered.
const TESTS: f64 = 4.0;

/// Adds it all up.
pub(super) fn quote(
    cuts: &[CutPiece],
    leads: &[LeadPiece],
    materials: &[MaterialLine],
    circuits: usize,
    job: &Job,
) -> Quote {
    let settings = &job.estimate.prices;
    let price_of = |key: &str| job.products.prices.iter().find(|p| p.key == key).map(|p| p.price);
    let lines: Vec<QuoteLine> = materials
        .iter()
        .filter(|m| m.order > 0.0)
        .map(|m| {
            let price = price_of(&m.key);
            QuoteLine {
                key: m.key.clone(),
                words: m.words.clone(),
                order: m.order,
                unit: m.unit.clone(),
                price,
                amount: price.map(|p| p * m.order),
            }
        })
        .collect();
    // Not `sum`: that of nothing is -0.
    let material = lines.iter().filter_map(|l| l.amount).fold(0.0, |a, b| a + b);
    let labour_lines = labour(cuts, leads, materials, circuits, job);
    let hours = labour_lines.iter().fold(0.0, |sum, line| sum + line.hours);
    let labour = job.estimate.labour.rate.map(|rate| rate * hours);
    let net = material + labour.unwrap_or(0.0);
    let markup = net * settings.markup;
    let tax = (net + markup) * settings.tax;
    let unpriced = lines.iter().filter(|l| l.price.is_none()).map(|l| l.key.clone()).collect();
    Quote {
        currency: settings.currency.clone(),
        invented: job.products.invented,
        lines,
        material,
        labour_lines,
        hours,
        rate: job.estimate.labour.rate,
        labour,
        markup,
        tax,
        total: net + markup + tax,
        unpriced,
    }
}

fn labour(
    cuts: &[CutPiece],
    leads: &[LeadPiece],
    materials: &[MaterialLine],
    circuits: usize,
    job: &Job,
) -> Vec<LabourLine> {
    let rates = &job.estimate.labour;
    let count = |key: &str| materials.iter().filter(|m| m.key == key).map(|m| m.quantity).fold(0.0, |a, b| a + b);
    let boxes = materials.iter().filter(|m| m.group == "boxes").map(|m| m.quantity).fold(0.0, |a, b| a + b);
    let feet = |lengths: f64| lengths / INCHES_PER_FOOT;
    let pieces = cuts.len() as f64;
    let mut lines = vec![
        ("setting up, measuring, clearing, handing over", 1.0, "job", rates.set_up * 60.0),
        ("measuring, cutting and labelling element", pieces, "pc", rates.piece),
        ("laying and fixing element", feet(cuts.iter().map(|c| c.length).sum()), "ft", rates.foot),
        ("power connections", count("ground-connector"), "pc", rates.connection),
        ("capping cut ends", count("end-cap"), "pc", rates.cap),
        ("laying leads", feet(leads.iter().map(|l| l.length).sum()), "ft", rates.lead_foot),
        ("junction boxes", boxes, "pc", rates.junction_box),
        ("circuits, breakers and controller", circuits as f64, "pc", rates.circuit),
        ("tests, four of each piece", TESTS * pieces, "pc", rates.test),
    ];
    if job.roof.work.value == Work::Retrofit {
        lines.push(("stripping and laying shingles anew", count("relay-shingle"), "pc", rates.shingle));
    }
    lines
        .into_iter()
        .filter(|(_, quantity, _, _)| *quantity > 0.0 && pieces > 0.0)
        .map(|(words, quantity, unit, minutes)| LabourLine {
            words: words.to_owned(),
            quantity,
            unit: unit.to_owned(),
            minutes,
            hours: quantity * minutes / 60.0,
        })
        .collect()
}
