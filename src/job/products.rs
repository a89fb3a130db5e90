//! Choosing products from a catalogue.

use super::model::{Products, Setting};
use crate::catalog::{BoxType, Catalogue, Element};
use crate::error::{Error, Result};

impl Products {
    /// The first product of each kind: the narrowest element on the eave, the widest on the deck.
    ///
    /// # Errors
    /// `catalogue-lacks` when a kind of product is missing.
    pub fn first_of(catalogue: &Catalogue) -> Result<Products> {
        let lacks =
            |what: &str| Error::usage("catalogue-lacks", format!("the catalogue '{}' has no {what}", catalogue.name));
        let by_width = |a: &&Element, b: &&Element| a.width.inches().total_cmp(&b.width.inches());
        let boxed = |wet: bool| -> Option<BoxType> { catalogue.boxes.iter().find(|b| b.wet_location == wet).cloned() };
        Ok(Products {
            catalogue: catalogue.name.clone(),
            invented: catalogue.invented,
            shingle: Setting::assumed(catalogue.shingles.first().ok_or_else(|| lacks("shingle"))?.clone()),
            starter: Setting::assumed(
                catalogue.elements.iter().min_by(by_width).ok_or_else(|| lacks("element"))?.clone(),
            ),
            deck: Setting::assumed(catalogue.elements.iter().max_by(by_width).ok_or_else(|| lacks("element"))?.clone()),
            lead: Setting::assumed(catalogue.leads.first().ok_or_else(|| lacks("lead"))?.clone()),
            inside_box: boxed(false).or_else(|| boxed(true)).ok_or_else(|| lacks("box"))?,
            outside_box: boxed(true).ok_or_else(|| lacks("wet-location box"))?,
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::Job;

    #[test]
    fn the_sample_catalogue_serves_a_job_of_defaults() {
        let job = Job::with_defaults(&Catalogue::sample()).unwrap();
        assert!((job.products.starter.value.width.inches() - 2.0).abs() < 1e-12);
        assert!((job.products.deck.value.width.inches() - 4.0).abs() < 1e-12);
    }
}
