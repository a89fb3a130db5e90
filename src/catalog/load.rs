//! Reading a catalogue and choosing products from it.

use super::model::Catalogue;
use crate::error::{Error, Result};

/// The catalogue compiled into the program: the invented one of the samples.
const SAMPLE: &str = include_str!("../../samples/catalogue.toml");

impl Catalogue {
    /// The invented catalogue of the samples.
    ///
    /// # Panics
    /// Never: a test reads it.
    #[must_use]
    pub fn sample() -> Self {
        Self::from_toml(SAMPLE).expect("the compiled-in catalogue is valid")
    }

    /// Reads a catalogue.
    ///
    /// # Errors
    /// `catalogue-syntax` with the line and key.
    pub fn from_toml(text: &str) -> Result<Self> {
        toml::from_str(text).map_err(|e| Error::usage("catalogue-syntax", e.to_string()))
    }
}
