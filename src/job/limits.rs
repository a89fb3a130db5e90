//! The ranges typed values must keep, and the message when they do not.

use crate::error::{Error, Result};
use crate::settings::{Lines, name_of};
use crate::units::{Area, Length, Pitch, Share, decimal, feet_inches};

/// Checks typed values against their ranges; ends with the key's line and the allowed range.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Limits<'a> {
    lines: &'a Lines,
}

impl<'a> Limits<'a> {
    /// Limits for one file.
    pub(crate) const fn new(lines: &'a Lines) -> Self {
        Self { lines }
    }

    /// Where the file's keys stand.
    pub(crate) const fn lines(&self) -> &'a Lines {
        self.lines
    }

    /// The error `out-of-range`: what the key is, and what it may be.
    pub(crate) fn refuse(&self, path: &str, value: &str, allowed: &str) -> Error {
        Error::usage("out-of-range", format!("{} is {value}", name_of(path)))
            .at(self.lines.place(path))
            .with_hint(format!("allowed: {allowed}"))
    }

    fn within<T>(&self, path: &str, typed: Option<T>, low: f64, high: f64, unit: Unit<T>) -> Result<Option<f64>> {
        let Some(typed) = typed else { return Ok(None) };
        let value = (unit.value)(typed);
        if (low..=high).contains(&value) {
            return Ok(Some(value));
        }
        let print = unit.print;
        Err(self.refuse(path, &print(value), &format!("{} to {}", print(low), print(high))))
    }

    /// A length in inches.
    pub(crate) fn length(&self, path: &str, typed: Option<Length>, low: f64, high: f64) -> Result<Option<f64>> {
        self.within(path, typed, low, high, Unit { value: Length::inches, print: &inches_text })
    }

    /// A pitch, 1/2:12 to 48:12.
    pub(crate) fn pitch(&self, path: &str, typed: Option<Pitch>) -> Result<Option<f64>> {
        self.within(
            path,
            typed,
            0.5 / 12.0,
            4.0,
            Unit { value: Pitch::rise_per_run, print: &crate::units::pitch_in_12 },
        )
    }

    /// An area in square inches, 1 to 10,000 sq ft.
    pub(crate) fn area(&self, path: &str, typed: Option<Area>) -> Result<Option<f64>> {
        let print = |square_inches: f64| format!("{} sq ft", decimal(square_inches / 144.0, 2));
        self.within(path, typed, 144.0, 1_440_000.0, Unit { value: Area::square_inches, print: &print })
    }

    /// A share of one.
    pub(crate) fn share(&self, path: &str, typed: Option<Share>, low: f64, high: f64) -> Result<Option<f64>> {
        let print = |share: f64| format!("{} %", decimal(share * 100.0, 3));
        self.within(path, typed, low, high, Unit { value: Share::part_of_one, print: &print })
    }

    /// A plain number.
    pub(crate) fn number(
        &self,
        path: &str,
        typed: Option<f64>,
        low: f64,
        high: f64,
        unit: &str,
    ) -> Result<Option<f64>> {
        let print = |value: f64| format!("{} {unit}", decimal(value, 6)).trim_end().to_owned();
        self.within(path, typed, low, high, Unit { value: |v| v, print: &print })
    }

    /// A whole number.
    pub(crate) fn count(&self, path: &str, typed: Option<u32>, low: u32, high: u32) -> Result<Option<u32>> {
        match typed {
            Some(value) if !(low..=high).contains(&value) => {
                Err(self.refuse(path, &value.to_string(), &format!("{low} to {high}")))
            }
            typed => Ok(typed),
        }
    }
}

/// How a typed value becomes a number and a number becomes text again.
struct Unit<'a, T> {
    value: fn(T) -> f64,
    print: &'a dyn Fn(f64) -> String,
}

/// Feet and inches, or decimals where sixteenths would hide the value.
fn inches_text(inches: f64) -> String {
    let in_sixteenths = inches * 16.0;
    if (in_sixteenths - in_sixteenths.round()).abs() < 1e-9 {
        feet_inches(inches)
    } else {
        format!("{} in", decimal(inches, 4))
    }
}
