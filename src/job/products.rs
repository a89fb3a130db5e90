//! Choosing products from a catalogue.

use super::file::ProductsTable;
use super::model::{Products, Setting};
use crate::catalog::{BoxType, Catalogue, Contactor, Controller, Disconnect, Element, LeadCable, Shingle};
use crate::error::{Error, Result};
use crate::settings::{Lines, name_of, suggestion};

impl Products {
    /// The first product of each kind: the narrowest element on the eave, the widest on the deck.
    ///
    /// # Errors
    /// `catalogue-lacks` when a kind of product is missing.
    pub fn first_of(catalogue: &Catalogue) -> Result<Products> {
        let lacks = |what: &str| {
            Error::usage("catalogue-lacks", format!("the catalogue '{}' has no {what}", catalogue.name))
                .with_hint(format!("add a {what} to the catalogue"))
        };
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
            disconnect: catalogue.disconnects.first().cloned(),
            contactor: catalogue.contactors.first().cloned(),
            controller: catalogue.controllers.first().cloned(),
            prices: catalogue.prices.clone(),
        })
    }

    /// Takes the products a job names in place of the first ones.
    ///
    /// # Errors
    /// - `unknown-product` when the catalogue has no such key, with the nearest one;
    /// - `dry-box-outside` when the outside box is not fit for wet locations.
    pub(crate) fn choose(&mut self, typed: &ProductsTable, catalogue: &Catalogue, lines: &Lines) -> Result<()> {
        let shelf = Shelf { catalogue: &catalogue.name, lines };
        if let Some(it) = shelf.find("shingle", typed.shingle.as_ref(), &catalogue.shingles)? {
            self.shingle = Setting::given(it);
        }
        if let Some(it) = shelf.find("starter", typed.starter.as_ref(), &catalogue.elements)? {
            self.starter = Setting::given(it);
        }
        if let Some(it) = shelf.find("deck", typed.deck.as_ref(), &catalogue.elements)? {
            self.deck = Setting::given(it);
        }
        if let Some(it) = shelf.find("lead", typed.lead.as_ref(), &catalogue.leads)? {
            self.lead = Setting::given(it);
        }
        if let Some(it) = shelf.find("inside_box", typed.inside_box.as_ref(), &catalogue.boxes)? {
            self.inside_box = it;
        }
        if let Some(it) = shelf.find("outside_box", typed.outside_box.as_ref(), &catalogue.boxes)? {
            if !it.wet_location {
                return Err(Error::usage(
                    "dry-box-outside",
                    format!("the outside box '{}' is not fit for wet locations", it.key),
                )
                .at(lines.place("products.outside_box"))
                .with_hint("name a box whose entry in the catalogue says `wet_location = true`"));
            }
            self.outside_box = it;
        }
        if let Some(it) = shelf.find("disconnect", typed.disconnect.as_ref(), &catalogue.disconnects)? {
            self.disconnect = Some(it);
        }
        if let Some(it) = shelf.find("contactor", typed.contactor.as_ref(), &catalogue.contactors)? {
            self.contactor = Some(it);
        }
        if let Some(it) = shelf.find("controller", typed.controller.as_ref(), &catalogue.controllers)? {
            self.controller = Some(it);
        }
        Ok(())
    }
}

/// Looks products up by the keys of the job file.
struct Shelf<'a> {
    catalogue: &'a str,
    lines: &'a Lines,
}

impl Shelf<'_> {
    fn find<T: Product>(&self, slot: &str, key: Option<&String>, items: &[T]) -> Result<Option<T>> {
        let Some(key) = key else { return Ok(None) };
        if let Some(item) = items.iter().find(|i| i.key() == key) {
            return Ok(Some(item.clone()));
        }
        let path = format!("products.{slot}");
        let message = format!("{} is '{key}', which the catalogue '{}' does not have", name_of(&path), self.catalogue);
        Err(Error::usage("unknown-product", message)
            .at(self.lines.place(&path))
            .with_hint(suggestion(key, items.iter().map(Product::key))))
    }
}

/// Anything of the catalogue that a job names by its key.
trait Product: Clone {
    fn key(&self) -> &str;
}

impl Product for Shingle {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Product for Element {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Product for LeadCable {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Product for BoxType {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Product for Disconnect {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Product for Contactor {
    fn key(&self) -> &str {
        &self.key
    }
}

impl Product for Controller {
    fn key(&self) -> &str {
        &self.key
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
