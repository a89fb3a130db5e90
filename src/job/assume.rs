//! What nobody gave: one finding for each setting that keeps the drawing preliminary.

use super::model::{Covering, Job, OutlineMeaning, Setting, Under, Work};
use crate::finding::{Finding, Place, Severity};
use crate::units::decimal;

impl Job {
    /// One `assumed-setting` finding for each setting whose value is a default, and `invented-products` when the
    /// catalogue says its values are made up. Pitch, overhang, valley covering and reach rule are left to the stages, which
    /// know whether the roof uses them.
    #[must_use]
    pub fn assumptions(&self) -> Vec<Finding> {
        let (roof, products, electrical) = (&self.roof, &self.products, &self.electrical);
        let mut findings: Vec<Finding> = [
            assumed(&roof.work, "roof.work", "kind of work", |v| work_words(*v).into()),
            assumed(&roof.covering, "roof.covering", "roof covering", |v| covering_words(*v).into()),
            assumed(&roof.outline, "roof.outline", "meaning of the drawn outline", |v| outline_words(*v).into()),
            assumed(&roof.under, "roof.under", "what lies under the deck", |v| under_words(*v).into()),
            assumed(&electrical.volts, "electrical.volts", "supply voltage", |v| format!("{} V", decimal(*v, 1))),
            assumed(
                &electrical.code_edition,
                "electrical.code_edition",
                "edition of the electrical code",
                u32::to_string,
            ),
            assumed(&products.shingle, "products.shingle", "shingle", |v| v.words.clone()),
            assumed(&products.starter, "products.starter", "element on the eave", |v| v.words.clone()),
            assumed(&products.deck, "products.deck", "element in the courses", |v| v.words.clone()),
            assumed(&products.lead, "products.lead", "cold lead", |v| v.words.clone()),
        ]
        .into_iter()
        .flatten()
        .collect();
        if electrical.panel.is_none() {
            let message = "the panel is not known: spaces, spare current and the drop of the home run are not checked";
            findings.push(
                Finding::new(Severity::Assumed, "assumed-setting", message, Place::item("electrical.panel"))
                    .with_hint("set [electrical.panel] in the job file"),
            );
        }
        if [&products.starter, &products.deck].iter().any(|e| !e.value.power_curve.is_empty()) {
            let words = |v: &f64| format!("{} °F", decimal(*v, 1));
            let path = "electrical.running_temperature";
            let what = "temperature at which element whose power changes with it is reckoned";
            findings.extend(assumed(&electrical.running_temperature, path, what, words));
        }
        if products.invented {
            let message = format!("the values of the catalogue '{}' are invented", products.catalogue);
            findings.push(
                Finding::new(Severity::Assumed, "invented-products", message, Place::none())
                    .with_hint("name a catalogue with the data of the real products: [products] catalogue"),
            );
        }
        findings
    }
}

fn assumed<T>(setting: &Setting<T>, path: &str, what: &str, words: impl Fn(&T) -> String) -> Option<Finding> {
    if setting.given {
        return None;
    }
    let (table, key) = path.split_once('.')?;
    let message = format!("{what} assumed: {}", words(&setting.value));
    Some(
        Finding::new(Severity::Assumed, "assumed-setting", message, Place::item(path))
            .with_hint(format!("set `{key}` under [{table}] in the job file")),
    )
}

fn work_words(work: Work) -> &'static str {
    match work {
        Work::NewRoof => "new roof, element laid before the shingles",
        Work::Retrofit => "retrofit, element slid under loosened shingles",
    }
}

fn covering_words(covering: Covering) -> &'static str {
    match covering {
        Covering::AsphaltShingle => "asphalt shingle",
        Covering::Slate => "slate",
        Covering::Tile => "tile",
        Covering::Metal => "metal",
        Covering::Wood => "wood",
        Covering::Membrane => "membrane",
    }
}

fn outline_words(outline: OutlineMeaning) -> &'static str {
    match outline {
        OutlineMeaning::EaveEdge => "the drip edge",
        OutlineMeaning::Fascia => "the face of the fascia",
        OutlineMeaning::Wall => "the exterior wall",
    }
}

fn under_words(under: Under) -> &'static str {
    match under {
        Under::Attic => "reachable attic",
        Under::Soffit => "soffit only",
        Under::Cathedral => "cathedral ceiling",
        Under::Conditioned => "rooms",
        Under::Unknown => "not known",
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;

    #[test]
    fn a_job_of_defaults_lists_every_default() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        let before = job.assumptions();
        assert_eq!(before.iter().filter(|f| f.code == "assumed-setting").count(), 11);
        assert_eq!(before.iter().filter(|f| f.code == "invented-products").count(), 1);
        job.roof.work = Setting::given(Work::NewRoof);
        assert_eq!(job.assumptions().len(), before.len() - 1);
    }
}
