//! A weather file in the EPW format becomes [`Weather`]: one [`Hour`] a row.
//!
//! Eight header lines, then rows of comma-separated columns, hour 1 being the first of the day. What a column's missing-value mark
//! says is missing stays so: `None`, never 0.
//!
//! # Source
//! The format's data dictionary in the documentation of a public building simulation program, as noted in `FACTS.md` 4.6 (seen).
//!
//! Not read: anything but temperatures, moisture and place; files of more than one record an hour are refused.

use super::psychrometrics::fahrenheit;
use crate::error::{Error, Result};
use crate::finding::Place;

/// Lines before the first hour.
const HEADER: usize = 8;
/// Columns of a row up to the last one used.
const COLUMNS: usize = 34;

/// Whether something falls from the sky, by the observed weather codes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Present {
    /// Nobody observed, or the codes are missing.
    Unknown,
    /// Nothing falls.
    Dry,
    /// Rain, drizzle or hail.
    Rain,
    /// Snow, ice pellets or ice crystals, and freezing rain or drizzle.
    Frozen,
}

/// One hour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hour {
    /// 1 to 12.
    pub month: u8,
    /// 1 to 31.
    pub day: u8,
    /// 1 to 24; hour 1 ends at one o'clock.
    pub hour: u8,
    /// Dry bulb, °F.
    pub air: Option<f64>,
    /// What was observed.
    pub present: Present,
    /// Snow on the ground, cm.
    pub snow_depth: Option<f64>,
    /// Liquid precipitation, mm.
    pub precipitation: Option<f64>,
}

impl Hour {
    /// Whether something falls: by its depth, or by the codes; `None` when neither is known.
    #[must_use]
    pub fn falling(&self) -> Option<bool> {
        let by_depth = self.precipitation.map(|mm| mm > 0.0);
        let by_code = match self.present {
            Present::Unknown => None,
            Present::Dry => Some(false),
            Present::Rain | Present::Frozen => Some(true),
        };
        match (by_depth, by_code) {
            (None, known) | (known, None) => known,
            (Some(a), Some(b)) => Some(a || b),
        }
    }

    /// Whether snow lies; `None` when not known.
    #[must_use]
    pub fn lying(&self) -> Option<bool> {
        self.snow_depth.map(|cm| cm > 0.0)
    }
}

/// A year of weather.
#[derive(Debug, Clone, PartialEq)]
pub struct Weather {
    /// The place as the file names it.
    pub place: String,
    /// In the file's order.
    pub hours: Vec<Hour>,
}

impl Weather {
    /// Reads a weather file.
    ///
    /// # Errors
    /// `not-epw` when the first line is not a `LOCATION` line or no hours follow, or more than one record an hour; `epw-row` with
    /// the line for a row that is too short or holds no number where one belongs.
    pub fn from_epw(text: &str) -> Result<Self> {
        let not_epw = |words: &str| {
            Error::unreadable("not-epw", format!("this is no EPW weather file: {words}"))
                .with_hint("name a file in the EPW format, hour by hour for a year")
        };
        let mut lines = text.trim_start_matches('\u{feff}').lines();
        let head: Vec<&str> = lines.by_ref().take(HEADER).collect();
        let mut location = head.first().copied().unwrap_or_default().split(',');
        if !location.next().is_some_and(|word| word.trim().eq_ignore_ascii_case("LOCATION")) {
            return Err(not_epw("the first line does not begin with LOCATION"));
        }
        let place: Vec<&str> = location.take(3).map(str::trim).filter(|s| !s.is_empty() && *s != "-").collect();
        if let Some(periods) = head.iter().find(|l| l.to_ascii_uppercase().starts_with("DATA PERIODS"))
            && periods.split(',').nth(2).is_some_and(|n| n.trim() != "1")
        {
            return Err(not_epw("it has more than one record an hour, which is not read"));
        }
        let rows = lines.enumerate().filter(|(_, line)| !line.trim().is_empty());
        let hours: Vec<Hour> = rows.map(|(at, line)| hour(line, at + HEADER + 1)).collect::<Result<_>>()?;
        if hours.is_empty() {
            return Err(not_epw("no hours follow its eight header lines"));
        }
        Ok(Self { place: place.join(", "), hours })
    }
}

fn hour(line: &str, number: usize) -> Result<Hour> {
    let refuse = |words: String| {
        Error::unreadable("epw-row", words).at(Place::line(number)).with_hint("see the format's data dictionary")
    };
    let mut cells = [""; COLUMNS];
    let mut found = 0;
    for (slot, cell) in cells.iter_mut().zip(line.split(',')) {
        *slot = cell.trim();
        found += 1;
    }
    // A file cut after the weather codes lacks the snow and rain columns, which then are missing.
    if found < 29 {
        return Err(refuse(format!("{found} columns where at least 29 belong")));
    }
    let small = |column: usize, most: u8| -> Result<u8> {
        let cell = cells[column - 1];
        let value = cell.parse::<f64>().ok().filter(|v| v.fract() == 0.0 && (1.0..=f64::from(most)).contains(v));
        value.map(|v| v as u8).ok_or_else(|| refuse(format!("column {column} is '{cell}', not 1 to {most}")))
    };
    // A number, or nothing where the cell is empty or holds at least the mark of a missing value.
    let number_of = |column: usize, missing: f64| -> Result<Option<f64>> {
        let cell = cells[column - 1];
        if cell.is_empty() {
            return Ok(None);
        }
        let value = cell.parse::<f64>().ok().filter(|v| v.is_finite());
        value
            .map(|v| Some(v).filter(|v| *v < missing))
            .ok_or_else(|| refuse(format!("column {column} is '{cell}', no number")))
    };
    Ok(Hour {
        month: small(2, 12)?,
        day: small(3, 31)?,
        hour: small(4, 24)?,
        air: number_of(7, 99.9)?.map(fahrenheit),
        present: present(cells[26], cells[27]),
        snow_depth: number_of(31, 999.0)?,
        precipitation: number_of(34, 999.0)?,
    })
}

/// What the nine digits say, if somebody observed (flag 0). Leading zeros that a spreadsheet dropped are put back.
fn present(flag: &str, codes: &str) -> Present {
    let digits = codes.trim_matches(['"', '\'']);
    if flag != "0" || digits.is_empty() || digits.len() > 9 || !digits.bytes().all(|b| b.is_ascii_digit()) {
        return Present::Unknown;
    }
    let mut all = [b'0'; 9];
    all[9 - digits.len()..].copy_from_slice(digits.as_bytes());
    let digit = |place: usize| all[place - 1] - b'0';
    let freezing = |place: usize| (6..=8).contains(&digit(place));
    // Places: 2 rain, 3 drizzle, 4 snow, 5 snow showers and grains, 6 ice pellet showers and hail, 9 ice pellets; 9 is none.
    let frozen = digit(4) <= 8 || digit(5) <= 7 || digit(6) <= 2 || digit(9) <= 2 || freezing(2) || freezing(3);
    if frozen {
        Present::Frozen
    } else if digit(2) <= 8 || digit(3) <= 8 || digit(6) == 4 {
        Present::Rain
    } else {
        Present::Dry
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A row with the columns that are read; the others as the format marks them missing.
    pub(in crate::thermal) fn row(
        stamp: (u8, u8, u8),
        air: &str,
        flag: &str,
        codes: &str,
        snow: &str,
        rain: &str,
    ) -> String {
        let (month, day, hour) = stamp;
        format!(
            "2001,{month},{day},{hour},0,?,{air},99.9,999,999999,9999,9999,9999,9999,9999,9999,999999,999999,999999,9999,\
             999,999,99,99,9999,99999,{flag},{codes},999,.999,{snow},99,999,{rain},99"
        )
    }

    pub(in crate::thermal) fn file(rows: &[String]) -> String {
        let head = "LOCATION,Nowhere,-,XXX,invented,0,44.0,-73.0,-5.0,100.0\nDESIGN CONDITIONS,0\nTYPICAL/EXTREME PERIODS,0\n\
                    GROUND TEMPERATURES,0\nHOLIDAYS/DAYLIGHT SAVINGS,No,0,0,0\nCOMMENTS 1,invented\nCOMMENTS 2,\n\
                    DATA PERIODS,1,1,Data,Sunday, 1/ 1,12/31\n";
        format!("{head}{}\n", rows.join("\n"))
    }

    #[test]
    fn an_hour_is_read_with_what_is_missing() {
        let text = file(&[
            row((1, 2, 3), "-5.0", "0", "999099999", "12", "0.4"),
            row((1, 2, 4), "99.9", "9", "999999999", "999", "999"),
            row((1, 2, 5), "0", "0", "", "", ""),
        ]);
        let weather = Weather::from_epw(&text).unwrap();
        assert_eq!(weather.place, "Nowhere, XXX");
        let [first, second, third] = weather.hours.as_slice() else { panic!("{weather:?}") };
        assert_eq!((first.month, first.day, first.hour), (1, 2, 3));
        assert_eq!(first.air, Some(23.0));
        assert_eq!((first.present, first.snow_depth, first.precipitation), (Present::Frozen, Some(12.0), Some(0.4)));
        assert_eq!((first.falling(), first.lying()), (Some(true), Some(true)));
        assert_eq!((second.air, second.falling(), second.lying()), (None, None, None));
        assert_eq!((third.air, third.present, third.snow_depth), (Some(32.0), Present::Unknown, None));
    }

    /// FACTS 4.6: 929999999 is heavy rain; a dropped leading zero is put back.
    #[test]
    fn codes_by_the_format() {
        for (codes, wanted) in [
            ("929999999", Present::Rain),
            ("999999999", Present::Dry),
            ("999199999", Present::Frozen),
            ("999919999", Present::Frozen),
            ("969999999", Present::Frozen),
            ("993999999", Present::Rain),
            ("999999990", Present::Frozen),
            ("999999199", Present::Dry),
            ("29999999", Present::Rain),
            ("\"929999999\"", Present::Rain),
            ("9299999990", Present::Unknown),
            ("abc", Present::Unknown),
        ] {
            assert_eq!(present("0", codes), wanted, "{codes}");
        }
        assert_eq!(present("9", "929999999"), Present::Unknown);
    }

    #[test]
    fn what_is_no_weather_file_is_refused_with_its_place() {
        let code = |text: &str| Weather::from_epw(text).unwrap_err().code;
        assert_eq!(code("station,1\n"), "not-epw");
        assert_eq!(code(&file(&[])), "not-epw");
        let good = row((1, 1, 1), "0", "9", "9", "0", "0");
        assert_eq!(code(&file(std::slice::from_ref(&good)).replace("DATA PERIODS,1,1", "DATA PERIODS,1,4")), "not-epw");
        for (bad, good) in [(good.replace("2001,1,1,1", "2001,13,1,1"), &good), ("2001,1,1,1".to_owned(), &good)] {
            let error = Weather::from_epw(&file(&[good.clone(), bad])).unwrap_err();
            assert_eq!((error.code, error.place.line), ("epw-row", Some(10)));
        }
        let letters = row((1, 1, 1), "cold", "9", "9", "0", "0");
        assert_eq!(code(&file(&[letters])), "epw-row");
    }
}
