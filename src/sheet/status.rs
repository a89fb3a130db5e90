//! Whether the set is preliminary, and what must be settled first.

use super::Drawn;
use crate::finding::Severity;
use crate::job::Covering;
use crate::roof::Basis;

/// One thing to settle before the set may be built from.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Unsettled {
    /// A few words, for the title block.
    pub short: String,
    /// The whole sentence, for the notes sheet.
    pub words: String,
}

/// Whether the set is preliminary.
#[must_use]
pub fn preliminary(drawn: &Drawn) -> bool {
    !unsettled(drawn).is_empty()
}

/// Everything that keeps the set preliminary: settings nobody gave, invented products, assumed pitches and edges, and every
/// other finding of an assumption. No flag removes one.
pub(super) fn unsettled(drawn: &Drawn) -> Vec<Unsettled> {
    let mut list = from_job(drawn);
    list.extend(from_roof(drawn));
    let said = |code: &str| SAID_FROM_THE_JOB.contains(&code);
    for finding in drawn.findings.iter().filter(|f| f.severity == Severity::Assumed && !said(f.code)) {
        let short = finding.code.replace('-', " ");
        list.push(Unsettled { short, words: sentence(&finding.message, finding.hint.as_deref()) });
    }
    list.dedup_by(|a, b| a.words == b.words);
    list
}

/// Findings whose matter [`from_job`] and [`from_roof`] already put in words.
const SAID_FROM_THE_JOB: [&str; 6] =
    ["assumed-setting", "invented-products", "assumed-valley-type", "assumed-overhang", "assumed-pitch", "no-job"];

/// A message as a sentence, with its hint as another.
pub(super) fn sentence(message: &str, hint: Option<&str>) -> String {
    let closed = |words: &str| {
        let words = words.trim();
        let mut letters = words.chars();
        let first = letters.next().map(|c| c.to_uppercase().to_string()).unwrap_or_default();
        let stop = if words.ends_with(['.', '!', '?']) || words.is_empty() { "" } else { "." };
        format!("{first}{}{stop}", letters.as_str())
    };
    match hint {
        Some(hint) => format!("{} {}", closed(message), closed(hint)),
        None => closed(message),
    }
}

fn entry(short: &str, words: String) -> Unsettled {
    Unsettled { short: short.to_owned(), words }
}

fn from_job(drawn: &Drawn) -> Vec<Unsettled> {
    let job = drawn.job;
    let mut list = Vec::new();
    let mut unless = |given: bool, short: &str, words: String| {
        if !given {
            list.push(entry(short, words));
        }
    };
    unless(job.roof.work.given, "kind of work", "Kind of work assumed: a new roof.".to_owned());
    unless(job.roof.outline.given, "drawn outline", "The drawn outline is taken for the drip edge.".to_owned());
    let volts = job.electrical.volts.value;
    unless(job.electrical.volts.given, "supply voltage", format!("Supply voltage assumed: {volts:.0} V."));
    unless(
        job.electrical.panel.is_some(),
        "panel",
        "No panel named: its capacity, spaces and distance are unknown.".to_owned(),
    );
    unless(
        job.electrical.code_edition.given,
        "code edition",
        format!("Electrical code edition assumed: {}.", job.electrical.code_edition.value),
    );
    let guessed: Vec<_> = drawn.zones.overhangs.iter().filter(|o| o.basis == Basis::Assumed).collect();
    if let Some(first) = guessed.first() {
        let edges: Vec<String> = guessed.iter().map(|o| o.edge.to_string()).collect();
        let inside = crate::units::feet_inches(first.inches);
        let words = format!("Exterior wall line assumed {inside} inside {}, measured level.", edges.join(", "));
        list.push(entry("wall line", words));
    }
    let mut unless = |given: bool, short: &str, words: String| {
        if !given {
            list.push(entry(short, words));
        }
    };
    unless(
        job.roof.covering.given,
        "covering",
        match job.roof.covering.value {
            Covering::AsphaltShingle => "Covering assumed: asphalt shingles.".to_owned(),
            _ => "Covering assumed.".to_owned(),
        },
    );
    unless(
        job.products.shingle.given,
        "shingle and nail line",
        format!("Shingle assumed: {}.", job.products.shingle.value.words),
    );
    unless(
        job.products.starter.given && job.products.deck.given && job.products.lead.given,
        "element and lead",
        "Element and cold lead were not named by the job: the first of the catalogue are drawn.".to_owned(),
    );
    unless(
        !job.products.invented,
        "product data",
        format!("Product data are invented ({}): put in the data of the products used.", job.products.catalogue),
    );
    let elements = [&job.products.starter.value, &job.products.deck.value];
    let running = job.electrical.running_temperature;
    unless(
        running.given || elements.iter().all(|e| e.power_curve.is_empty()),
        "element temperature",
        format!("Temperature at which the element's steady load is reckoned assumed: {:.0} °F.", running.value),
    );
    unless(
        elements.iter().all(|e| e.listing.is_some() && e.listed_under_roof_covering),
        "listing",
        "No listing of the element for use under a roof covering is stated.".to_owned(),
    );
    unless(
        drawn.zones.valleys.iter().all(|valley| valley.given),
        "valley type",
        "Valley type unknown (open metal, closed cut or woven): the keep-out beside it may grow.".to_owned(),
    );
    unless(
        job.roof.under.given,
        "space under deck",
        "What lies under the deck is unknown: boxes are drawn outside.".to_owned(),
    );
    list
}

fn from_roof(drawn: &Drawn) -> Vec<Unsettled> {
    let named = |ids: Vec<String>| ids.join(", ");
    let mut list = Vec::new();
    let pitches: Vec<String> =
        drawn.roof.faces.iter().filter(|f| f.pitch_basis >= Basis::Assumed).map(|f| f.id.to_string()).collect();
    if !pitches.is_empty() {
        list.push(entry("pitches", format!("Pitch assumed on {}.", named(pitches))));
    }
    for (basis, short, words) in [
        (Basis::Assumed, "edge kinds", "Edge kinds assumed by convention"),
        (Basis::Ambiguous, "open edges", "More than one kind fits"),
    ] {
        let edges: Vec<String> =
            drawn.roof.edges.iter().filter(|e| e.basis == basis).map(|e| e.id.to_string()).collect();
        if !edges.is_empty() {
            list.push(entry(short, format!("{words}: {}.", named(edges))));
        }
    }
    list
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout;
    use super::*;
    use crate::job::SheetSize;
    use crate::roof::fixtures::hipped_l;

    #[test]
    fn a_finding_is_written_as_a_sentence() {
        assert_eq!(sentence("no job file", Some("write one")), "No job file. Write one.");
        assert_eq!(sentence("Done.", None), "Done.");
    }

    #[test]
    fn no_matter_is_listed_twice() {
        let mut made = layout(hipped_l(), SheetSize::ArchD);
        made.findings = made.job.assumptions();
        let list = unsettled(&made.drawn());
        assert!(list.iter().any(|u| u.short == "panel"));
        for word in ["panel", "valley", "invented"] {
            let naming = list.iter().filter(|u| u.words.to_lowercase().contains(word)).count();
            assert_eq!(naming, 1, "{word}: {list:?}");
        }
        assert!(list.iter().all(|u| u.words.ends_with('.') && !u.words.starts_with(char::is_lowercase)), "{list:?}");
    }
}
