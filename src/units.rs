//! Lengths and pitches as people write them, and back.
//!
//! Inside the program a length is an `f64` in inches and a pitch an `f64` rise per run; conversion happens at import and at
//! print only. The [`Length`] newtype marks a value that was parsed from a person's text.

use crate::error::{Error, Result};
use schemars::JsonSchema;
use serde::{Deserialize, Deserializer, Serialize};

/// Inches in a foot.
pub const INCHES_PER_FOOT: f64 = 12.0;
/// Millimetres in an inch, exact by definition (international inch).
pub const MILLIMETRES_PER_INCH: f64 = 25.4;

/// A length from a job or catalogue file, where its unit is written: `"6 in"`, `"1'-6 1/2\""`, `"150 mm"`, `"0.3 m"`.
/// A bare number is refused: it could be feet or metres.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Length(f64);

impl Length {
    /// A length of so many inches.
    #[must_use]
    pub const fn from_inches(inches: f64) -> Self {
        Self(inches)
    }
    /// A length of so many feet.
    #[must_use]
    pub const fn from_feet(feet: f64) -> Self {
        Self(feet * INCHES_PER_FOOT)
    }
    /// In inches.
    #[must_use]
    pub const fn inches(self) -> f64 {
        self.0
    }
}

/// A pitch as rise per run from a job file: `"6:12"`, `"6/12"`, `"6 in 12"`, `"26.6°"`, `"26.6 deg"`, `"50%"`.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Pitch(f64);

impl Pitch {
    /// Rise over a run of 12.
    #[must_use]
    pub const fn from_rise_in_12(rise: f64) -> Self {
        Self(rise / 12.0)
    }
    /// Rise per run.
    #[must_use]
    pub const fn rise_per_run(self) -> f64 {
        self.0
    }
}

/// An area from a job file, where its unit is written: `"60 sq ft"`, `"5.5 sq m"`, `"900 sq in"`.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Area(f64);

impl Area {
    /// In square inches.
    #[must_use]
    pub const fn square_inches(self) -> f64 {
        self.0
    }
}

/// A share of a whole from a job file: `"2 %"`.
#[derive(Debug, Clone, Copy, Default, PartialEq, PartialOrd, Serialize)]
#[serde(transparent)]
pub struct Share(f64);

impl Share {
    /// As a part of one: 0.02 for 2 %.
    #[must_use]
    pub const fn part_of_one(self) -> f64 {
        self.0
    }
}

/// A length unit of a drawing.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DrawingUnit {
    /// Inches.
    Inches,
    /// Feet.
    Feet,
    /// Millimetres.
    Millimetres,
    /// Centimetres.
    Centimetres,
    /// Metres.
    Metres,
}

impl DrawingUnit {
    /// Inches in one of this unit, exact by the international inch of 25.4 mm.
    #[must_use]
    pub fn inches(self) -> f64 {
        match self {
            Self::Inches => 1.0,
            Self::Feet => 12.0,
            Self::Millimetres => 1.0 / 25.4,
            Self::Centimetres => 10.0 / 25.4,
            Self::Metres => 1000.0 / 25.4,
        }
    }

    /// The short name printed beside a number: `in`, `ft`, `mm`, `cm`, `m`.
    #[must_use]
    pub fn short(self) -> &'static str {
        match self {
            Self::Inches => "in",
            Self::Feet => "ft",
            Self::Millimetres => "mm",
            Self::Centimetres => "cm",
            Self::Metres => "m",
        }
    }
}

/// Reads a length with its unit. Feet and inches may be mixed, with fractions.
///
/// # Errors
/// `length-syntax` when there is no number, no unit, or anything left over.
pub fn parse_length(text: &str) -> Result<Length> {
    let bad = || {
        Error::usage("length-syntax", format!("'{text}' is not a length"))
            .with_hint("write the unit: \"6 in\", \"1'-6 1/2\\\"\", \"150 mm\", \"0.3 m\"")
    };
    let lower = text.trim().to_lowercase().replace('″', "\"").replace('′', "'").replace("''", "\"");
    let (sign, mut rest) = match lower.strip_prefix('-') {
        Some(rest) => (-1.0, rest.trim_start()),
        None => (1.0, lower.as_str()),
    };
    let mut total = 0.0;
    let mut parts = 0;
    while !rest.is_empty() {
        let (value, after) = leading_number(rest).ok_or_else(bad)?;
        let after = after.trim_start();
        let unit_end = after
            .char_indices()
            .find(|(_, c)| !c.is_alphabetic() && *c != '\'' && *c != '"')
            .map_or(after.len(), |(at, _)| at);
        let (unit, tail) = after.split_at(unit_end);
        let inches = match unit {
            "in" | "inch" | "inches" | "\"" => 1.0,
            "ft" | "foot" | "feet" | "'" => INCHES_PER_FOOT,
            "mm" => 1.0 / MILLIMETRES_PER_INCH,
            "cm" => 10.0 / MILLIMETRES_PER_INCH,
            "m" => 1000.0 / MILLIMETRES_PER_INCH,
            _ => return Err(bad()),
        };
        total += value * inches;
        parts += 1;
        rest = tail.trim_start_matches(|c: char| c == '-' || c == ',' || c.is_whitespace());
    }
    if parts == 0 || !total.is_finite() {
        return Err(bad());
    }
    Ok(Length(sign * total))
}

/// A number at the start of `text` (`6`, `6.5`, `6 1/2`, `6-1/2`, `1/2`) and what follows it.
fn leading_number(text: &str) -> Option<(f64, &str)> {
    let (first, rest) = plain_number(text)?;
    if let Some(after) = rest.strip_prefix('/') {
        let (below, rest) = plain_number(after)?;
        return (below > 0.0).then_some((first / below, rest));
    }
    // `6 1/2`, `6-1/2`: a fraction after the whole number.
    let spaced = rest.trim_start_matches([' ', '-']);
    if spaced.len() < rest.len()
        && let Some((above, after)) = plain_number(spaced)
        && let Some(after) = after.strip_prefix('/')
        && let Some((below, rest)) = plain_number(after)
        && below > 0.0
    {
        return Some((first + above / below, rest));
    }
    Some((first, rest))
}

fn plain_number(text: &str) -> Option<(f64, &str)> {
    let end = text.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(text.len());
    let (digits, rest) = text.split_at(end);
    digits.parse().ok().map(|value| (value, rest))
}

/// Reads a pitch.
///
/// # Errors
/// `pitch-syntax` when it is in none of the forms of [`Pitch`], or not from 0 to below vertical.
pub fn parse_pitch(text: &str) -> Result<Pitch> {
    let bad = || {
        Error::usage("pitch-syntax", format!("'{text}' is not a pitch"))
            .with_hint("write \"6:12\", \"6/12\", \"6 in 12\", \"26.6 deg\" or \"50%\"")
    };
    let lower = text.trim().to_lowercase();
    let whole = |part: &str| match leading_number(part.trim()) {
        Some((value, "")) => Some(value),
        _ => None,
    };
    let pitch = if let Some(angle) = ["°", "deg", "degrees"].iter().find_map(|unit| lower.strip_suffix(unit)) {
        let degrees = whole(angle).ok_or_else(bad)?;
        if degrees >= 89.0 {
            return Err(bad());
        }
        crate::geometry::trig::tan(degrees.to_radians())
    } else if let Some(percent) = lower.strip_suffix('%') {
        whole(percent).ok_or_else(bad)? / 100.0
    } else {
        let (rise, run) = [":", " in ", "/"].iter().find_map(|mark| lower.rsplit_once(mark)).ok_or_else(bad)?;
        let (rise, run) = (whole(rise).ok_or_else(bad)?, whole(run).ok_or_else(bad)?);
        if run <= 0.0 {
            return Err(bad());
        }
        rise / run
    };
    if (0.0..=60.0).contains(&pitch) { Ok(Pitch(pitch)) } else { Err(bad()) }
}

/// Reads an area with its unit.
///
/// # Errors
/// `area-syntax` when there is no number or no unit, or anything is left over.
pub fn parse_area(text: &str) -> Result<Area> {
    let bad = || {
        Error::usage("area-syntax", format!("'{text}' is not an area"))
            .with_hint("write the unit: \"60 sq ft\", \"900 sq in\", \"5.5 sq m\"")
    };
    let lower = text.trim().to_lowercase();
    let (value, unit) = leading_number(&lower).ok_or_else(bad)?;
    let side = match unit.trim() {
        "sq in" | "in2" | "in²" => 1.0,
        "sq ft" | "ft2" | "ft²" => INCHES_PER_FOOT,
        "sq m" | "m2" | "m²" => 1000.0 / MILLIMETRES_PER_INCH,
        _ => return Err(bad()),
    };
    Ok(Area(value * side * side))
}

/// Reads a share in percent.
///
/// # Errors
/// `share-syntax` when it is not a number and a percent sign.
pub fn parse_share(text: &str) -> Result<Share> {
    let bad = || Error::usage("share-syntax", format!("'{text}' is not a share")).with_hint("write \"2 %\"");
    let number = text.trim().strip_suffix('%').ok_or_else(bad)?;
    match leading_number(number.trim()) {
        Some((percent, "")) => Ok(Share(percent / 100.0)),
        _ => Err(bad()),
    }
}

/// Feet and inches to the nearest 1/16 in, halves away from zero: `39'-0"`, `1'-6 1/2"`, `11 5/8"`.
#[must_use]
pub fn feet_inches(inches: f64) -> String {
    let sixteenths = (inches.abs() * 16.0).round();
    let sign = if inches < 0.0 && sixteenths > 0.0 { "-" } else { "" };
    let total = sixteenths as u64;
    let (feet, left) = (total / 192, total % 192);
    let (whole, fraction) = (left / 16, left % 16);
    let fraction = match fraction {
        0 => String::new(),
        n => {
            let shift = n.trailing_zeros().min(4);
            format!("{}/{}", n >> shift, 16 >> shift)
        }
    };
    let inches = match (whole, fraction.as_str()) {
        (whole, "") => format!("{whole}\""),
        (0, fraction) if feet == 0 => format!("{fraction}\""),
        (whole, fraction) => format!("{whole} {fraction}\""),
    };
    if feet == 0 { format!("{sign}{inches}") } else { format!("{sign}{feet}'-{inches}") }
}

/// A pitch as rise in 12, to the nearest hundredth and without idle zeros: `6:12`, `7.5:12`.
#[must_use]
pub fn pitch_in_12(rise_per_run: f64) -> String {
    format!("{}:12", decimal(rise_per_run * 12.0, 2))
}

/// A number with at most `places` decimals, no idle zeros and no `-0`.
#[must_use]
pub fn decimal(value: f64, places: usize) -> String {
    let text = format!("{value:.places$}");
    let text = if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

impl<'de> Deserialize<'de> for Length {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        parse_length(&text).map_err(serde::de::Error::custom)
    }
}

impl<'de> Deserialize<'de> for Pitch {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        parse_pitch(&text).map_err(serde::de::Error::custom)
    }
}

impl<'de> Deserialize<'de> for Area {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        parse_area(&text).map_err(serde::de::Error::custom)
    }
}

impl<'de> Deserialize<'de> for Share {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> std::result::Result<Self, D::Error> {
        let text = String::deserialize(deserializer)?;
        parse_share(&text).map_err(serde::de::Error::custom)
    }
}

impl JsonSchema for Area {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Area".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "string", "description": "an area with its unit, such as \"60 sq ft\" or \"5.5 sq m\"" })
    }
}

impl JsonSchema for Share {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Share".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "string", "description": "a share in percent, such as \"2 %\"" })
    }
}

impl JsonSchema for Length {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Length".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "string", "description": "a length with its unit, such as \"6 in\", \"1'-6 1/2\\\"\" or \"150 mm\"" })
    }
}

impl JsonSchema for Pitch {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        "Pitch".into()
    }
    fn json_schema(_: &mut schemars::SchemaGenerator) -> schemars::Schema {
        schemars::json_schema!({ "type": "string", "description": "a pitch, such as \"6:12\", \"26.6 deg\" or \"50%\"" })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_as_people_write_them() {
        for (text, inches) in [
            ("6 in", 6.0),
            ("1'-6 1/2\"", 18.5),
            ("1' 6-1/2\"", 18.5),
            ("39'", 468.0),
            ("2 ft 3 in", 27.0),
            ("1/2 in", 0.5),
            ("5 5/8\"", 5.625),
            ("25.4 mm", 1.0),
            ("0.3048 m", 12.0),
            ("-3 in", -3.0),
        ] {
            assert!((parse_length(text).unwrap().inches() - inches).abs() < 1e-9, "{text}");
        }
        for text in ["", "6", "six inches", "6 furlongs", "1'-", "6 in x", "1/0 in"] {
            let answer = parse_length(text);
            assert!(answer.is_err() || text == "1'-", "{text}: {answer:?}");
        }
    }

    #[test]
    fn areas_and_shares_as_people_write_them() {
        for (text, square_inches) in [("60 sq ft", 8640.0), ("144 sq in", 144.0), ("1 sq m", 1550.003)] {
            assert!((parse_area(text).unwrap().square_inches() - square_inches).abs() < 1e-3, "{text}");
        }
        assert!((parse_share("2 %").unwrap().part_of_one() - 0.02).abs() < 1e-12);
        assert!(["60", "sq ft", "-3 sq ft"].iter().all(|t| parse_area(t).is_err()));
        assert!(["2", "%", "two %", "-2 %"].iter().all(|t| parse_share(t).is_err()));
    }

    #[test]
    fn pitches_as_people_write_them() {
        for (text, rise) in
            [("6:12", 6.0), ("6/12", 6.0), ("6 in 12", 6.0), ("7 1/2:12", 7.5), ("50%", 6.0), ("45°", 12.0)]
        {
            assert!((parse_pitch(text).unwrap().rise_per_run() * 12.0 - rise).abs() < 1e-9, "{text}");
        }
        for text in ["steep", "6", "6:0", "90 deg", "-4:12"] {
            assert!(parse_pitch(text).is_err(), "{text}");
        }
    }

    /// Rounding vectors printed by the public-domain NAVEDTRA 14044 (111.12 in) and by the geometry page quoted in FACTS 1.3.
    #[test]
    fn feet_and_inches_round_half_up_to_a_sixteenth() {
        for (inches, text) in [
            (111.12, "9'-3 1/8\""),
            (24.61943 * 12.0, "24'-7 7/16\""),
            (21.30740 * 12.0, "21'-3 11/16\""),
            (14.89983 * 12.0, "14'-10 13/16\""),
            (2.80432 * 12.0, "2'-9 5/8\""),
            (1.17074 * 12.0, "1'-2 1/16\""),
            (468.0, "39'-0\""),
            (0.5, "1/2\""),
            (11.96875 + 0.0001, "1'-0\""),
            (1.03125, "1 1/16\""),
            (-18.5, "-1'-6 1/2\""),
            (-0.001, "0\""),
        ] {
            assert_eq!(feet_inches(inches), text, "{inches}");
        }
    }

    #[test]
    fn decimals_have_no_idle_zeros() {
        assert_eq!(decimal(-0.0001, 2), "0");
        assert_eq!(decimal(2.5, 3), "2.5");
        assert_eq!(decimal(100.0, 0), "100");
        assert_eq!(pitch_in_12(0.5), "6:12");
    }
}
