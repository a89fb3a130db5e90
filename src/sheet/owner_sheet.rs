//! E-603: for the owner, in plain words: what the heating does and does not do, what a season costs, how to live with it.

use super::Drawn;
use super::flow::{Align, Panel, Slice, Table, list, title_slice};
use super::layers::Pen;
use super::model::Anchor;
use super::notes::numbered;
use super::pad::{NOTE, Pad, TAG, rectangle};
use crate::checks::Heat;
use crate::geometry::{Point2, Region};
use crate::thermal::{Month, Season, Seasons};
use crate::units::decimal;

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;

/// Months as they are printed.
const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// Height of the tallest bar, inches.
const BAR_HEIGHT: f64 = 1.6;

/// All panels in reading order, lists `column` and tables at most `most` inches wide.
pub(super) fn panels(drawn: &Drawn, column: f64, most: f64) -> Vec<Panel> {
    let mut panels = vec![list("owner-what", "WHAT IT DOES", &numbered(&what(drawn)), column)];
    if let Some(heat) = &drawn.checks.heat {
        panels.push(heat_table(drawn, heat).panel(most));
        panels.push(dam_table(drawn, heat).panel(most));
    }
    match drawn.season {
        Some(seasons) => {
            panels.push(chart(seasons, column));
            panels.push(season_table(drawn, seasons).panel(most));
        }
        None => panels.push(list("owner-season", "WHAT A SEASON COSTS", &numbered(&no_weather(drawn)), column)),
    }
    panels.push(list("owner-care", "HOW TO LIVE WITH IT", &numbered(&care()), column));
    panels
}

fn what(drawn: &Drawn) -> Vec<String> {
    let load = &drawn.checks.load;
    let season = &drawn.job.estimate.season;
    let mut words = vec![
        "Flat heating element lies under the shingles along the eaves and valleys marked on E-101. It keeps a path open by which \
         melt water leaves the roof, so that ice does not dam it up. It does not clear the whole roof of snow."
            .to_owned(),
        format!(
            "All of it together draws {} kW on {} circuits while it is on.",
            decimal(load.watts / 1000.0, 2),
            drawn.wiring.circuits.len()
        ),
        format!(
            "The control switches it on by itself when the air is at {} °F or colder and the sensor is wet, and off {} hours after the \
             sensor has dried{}.",
            decimal(season.on_below, 0),
            season.hold_on,
            season.low_cut_out.map_or_else(String::new, |low| format!("; below {} °F it stays off", decimal(low, 0)))
        ),
        "Insulation and ventilation of the attic come first: heat lost through the roof is what melts the snow that dams. The \
         heating treats the consequence."
            .to_owned(),
    ];
    if drawn.measured.is_none() && drawn.record.is_none() {
        words.push(
            "This sheet comes from the drawing. After hand-over ask for the test record, E-602, filled in and signed."
                .to_owned(),
        );
    }
    words
}

fn care() -> Vec<String> {
    [
        "Each fall before the first snow: push the test button of the ground-fault protection; it must trip and reset. Clean gutters \
         and downspouts. Have a switched-on circuit's current read against E-601 every few years.",
        "If the protection trips, leave it off and call a licensed electrician. Do not reset it again and again.",
        "Before anyone works on the roof, the boxes or the shingles: switch off, lock out and test dead. Show this set to every \
         roofer: element and leads lie where E-401 and on show them. No nail, no staple, no walking on them when they are bare.",
        "New shingles, a new skylight or a new vent: stop and have the layout looked at first.",
        "Keep people, cars and play away from below heated eaves in thaws: ice and snow may still come down.",
        "Keep the sensor clear of leaves. Leave the control on automatic; by hand it heats a dry roof for nothing.",
        "Local code and the element maker's instructions govern over this sheet.",
    ]
    .map(str::to_owned)
    .to_vec()
}

fn no_weather(drawn: &Drawn) -> Vec<String> {
    let kilowatts = drawn.checks.load.watts / 1000.0;
    let mut words = vec![
        "No weather file was given, so hours and cost of a season are not worked out. Draft with --weather FILE.epw."
            .to_owned(),
        format!("Each hour on takes {} kWh.", decimal(kilowatts, 2)),
    ];
    if let Some(tariff) = drawn.job.estimate.season.tariff {
        let currency = &drawn.job.estimate.prices.currency;
        words.push(format!(
            "At {} {currency} a kWh that is {} {currency} an hour.",
            decimal(tariff, 4),
            decimal(tariff * kilowatts, 2)
        ));
    }
    words
}

fn table(id: &str, title: &str, columns: Vec<(&'static str, Align)>, rows: Vec<Vec<String>>, foot: String) -> Table {
    Table { id: id.to_owned(), title: title.to_owned(), columns, rows, foot: Some(foot) }
}

fn heat_table(drawn: &Drawn, heat: &Heat) -> Table {
    let site = &drawn.job.estimate.site;
    let flux = |value: f64| format!("{} Btu/h ft²", decimal(value, 1));
    let weather = format!(
        "{} in/h of water (about {} in/h of snow), {} °F, {} % humidity, {} mph wind{}",
        decimal(site.snow_water, 3),
        decimal(site.snow_water * site.snow_ratio, 1),
        decimal(site.air, 1),
        decimal(100.0 * site.humidity, 0),
        decimal(site.wind, 1),
        if heat.weather_given { "" } else { " (A)" }
    );
    let rows = [
        ("weather held against", weather),
        ("share of the band kept bare", format!("{} %", decimal(100.0 * heat.free_area, 0))),
        ("needed, by the energy balance", flux(heat.balance.total)),
        ("needed, by the older closed form", flux(heat.closed_form.total)),
        (
            "given by the band",
            format!(
                "{}: {} W/ft² less {} % to the deck",
                flux(heat.band_flux),
                decimal(heat.band_watts_per_square_foot, 1),
                decimal(100.0 * site.backside_loss, 1)
            ),
        ),
        ("snow melted as it falls", format!("about {} in/h", decimal(heat.snow_melted, 2))),
    ]
    .map(|(what, value)| vec![what.to_owned(), value])
    .to_vec();
    let foot = format!(
        "What is needed is a bound for a level surface in the open, not a promise for a roof. {}In thicker snow than the band melts, snow \
         lies until it stops.",
        if heat.weather_given { "" } else { "(A): assumed, set the site's weather in the job. " }
    );
    table("owner-heat", "DOES IT MELT", vec![("what", LEFT), ("value", LEFT)], rows, foot)
}

fn dam_table(drawn: &Drawn, heat: &Heat) -> Table {
    let site = &drawn.job.estimate.site;
    let degrees = |value: f64| format!("{} °F", decimal(value, 1));
    let verdict = match (heat.dam_likely, site.icing_air < 32.0) {
        (true, _) => "likely: snow melts from below while the eave is frozen",
        (false, true) => "not likely: the snow's base stays frozen",
        (false, false) => "not likely: the eave is above freezing",
    };
    let rows = [
        ("attic, outside", format!("{}, {}", degrees(site.attic), degrees(site.icing_air))),
        (
            "roof, snow",
            format!(
                "R {}, {} in of snow at R {} an inch",
                decimal(site.roof_resistance, 1),
                decimal(site.snow_depth, 1),
                decimal(site.snow_resistance, 2)
            ),
        ),
        ("base of the snow, if it could not melt", degrees(heat.dam_dry_surface)),
        ("melt water running to the eave", format!("{} in/h", decimal(heat.dam_water_rate, 4))),
        ("ice dams", verdict.to_owned()),
    ]
    .map(|(what, value)| vec![what.to_owned(), value])
    .to_vec();
    let foot = "An ESTIMATE by two layers on a steady day without sun, for the figures of the job under [site], which are assumed unless \
                set there.";
    table("owner-dam", "WOULD THIS ROOF DAM WITHOUT IT", vec![("what", LEFT), ("value", LEFT)], rows, foot.to_owned())
}

fn season_table(drawn: &Drawn, seasons: &Seasons) -> Table {
    let priced = seasons.tariff.is_some();
    let cost = |month: &Month| if priced { decimal(month.cost, 0) } else { String::new() };
    let months = |at: usize| (&seasons.sky_wet.months[at], &seasons.snow_lying.months[at]);
    let mut rows: Vec<Vec<String>> = Vec::new();
    for (at, name) in MONTHS.iter().enumerate() {
        let (sky, lying) = months(at);
        if sky.hours + lying.hours > 0 {
            let cells = [sky, lying].map(|m| [m.hours.to_string(), decimal(m.energy, 0), cost(m)]).concat();
            rows.push([vec![(*name).to_owned()], cells].concat());
        }
    }
    let year = |season: &Season| Month { hours: season.hours, energy: season.energy, cost: season.cost };
    let totals = [&seasons.sky_wet, &seasons.snow_lying].map(year);
    let cells = totals.map(|m| [m.hours.to_string(), decimal(m.energy, 0), cost(&m)]).concat();
    let whole = seasons.fitness.rows >= YEAR;
    rows.push([vec![if whole { "year" } else { "all" }.to_owned()], cells].concat());
    let currency = &drawn.job.estimate.prices.currency;
    let columns = vec![
        ("month", LEFT),
        ("sky wet: hours", RIGHT),
        ("kWh", RIGHT),
        ("cost", RIGHT),
        ("snow lying: hours", RIGHT),
        ("kWh", RIGHT),
        ("cost", RIGHT),
    ];
    let tariff = seasons.tariff.map_or_else(
        || "No tariff given: no cost. ".to_owned(),
        |tariff| format!("Cost in {currency} at {} a kWh. ", decimal(tariff, 4)),
    );
    let coldest =
        |season: &Season| season.coldest.map_or_else(|| "none".to_owned(), |t| format!("{} °F", decimal(t, 1)));
    let power =
        if seasons.follows_air { "at the running temperature; energy at the air of each hour" } else { "throughout" };
    let foot = format!(
        "{tariff}{} kW {power}. Coldest hour on: {} by sky wet, {} by snow lying. Sky wet: a sensor that sees what falls; snow lying: \
         one on the roof that also sees what lies. {}, no forecast.{}",
        decimal(seasons.watts / 1000.0, 2),
        coldest(&seasons.sky_wet),
        coldest(&seasons.snow_lying),
        if whole {
            format!("One typical year of {}", seasons.place)
        } else {
            format!("Counted from {}", seasons.place)
        },
        unfit(seasons)
    );
    table("owner-season", "WHAT A SEASON COSTS", columns, rows, foot)
}

/// Hours in a year.
const YEAR: u32 = 8760;

fn unfit(seasons: &Seasons) -> String {
    let fitness = &seasons.fitness;
    let mut words = String::new();
    if !fitness.fit {
        words += " UNFIT: this weather file has no snow depth and no weather codes; hours and cost are far too low.";
    }
    if fitness.rows < YEAR {
        words += &format!(" The file holds {} hours only: this is no whole season.", fitness.rows);
    }
    words
}

/// Hours on by month as bars: sky wet dark, snow lying light beside it, with the hours of the taller one above.
fn chart(seasons: &Seasons, width: f64) -> Panel {
    let mut pad = Pad::default();
    let most =
        seasons.sky_wet.months.iter().chain(&seasons.snow_lying.months).map(|m| m.hours).max().unwrap_or(0).max(1);
    let step = width / 12.0;
    let bar = 0.36 * step;
    let foot = -BAR_HEIGHT - 0.2;
    for (at, name) in MONTHS.iter().enumerate() {
        let x = step * (at as f64 + 0.5);
        let hours = [seasons.sky_wet.months[at].hours, seasons.snow_lying.months[at].hours];
        for (side, hours, gray) in [(-1.0, hours[0], 90), (1.0, hours[1], 200)] {
            if hours == 0 {
                continue;
            }
            let height = BAR_HEIGHT * f64::from(hours) / f64::from(most);
            let near = x + side * 0.02;
            let (low, high) = (near.min(near + side * bar), near.max(near + side * bar));
            let ring = rectangle(Point2::new(low, foot), Point2::new(high, foot + height));
            let id = format!("owner-chart.{}.{}", at + 1, if side < 0.0 { "sky" } else { "lying" });
            pad.tone(format!("{id}.tone"), Pen::Table, vec![Region::simple(ring.clone())], gray);
            pad.ring(id, Pen::Table, ring);
        }
        let tallest = hours[0].max(hours[1]);
        if tallest > 0 {
            let top = foot + BAR_HEIGHT * f64::from(tallest) / f64::from(most) + 0.05;
            let text = TAG.text(Point2::new(x, top), Anchor::Center, tallest.to_string());
            pad.text(format!("owner-chart.{}.hours", at + 1), Pen::Note, text);
        }
        let text = NOTE.text(Point2::new(x, foot - 0.14), Anchor::Center, *name);
        pad.text(format!("owner-chart.{}.month", at + 1), Pen::Note, text);
    }
    pad.line("owner-chart.foot", Pen::Title, Point2::new(0.0, foot), Point2::new(width, foot));
    let key = "Dark: sky wet. Light: sky wet or snow lying. Figures: hours of the taller bar.";
    let lines = NOTE.wrap(key, width);
    let used = pad.lines("owner-chart.key", Pen::Note, NOTE, Point2::new(0.0, foot - 0.2), &lines);
    let height = -foot + 0.25 + used;
    Panel {
        id: "owner-chart".into(),
        width,
        rules: Vec::new(),
        head: vec![title_slice("owner-chart", "HOURS ON BY MONTH", width)],
        slices: vec![Slice { height, ruled: 0.0, items: pad.items }],
    }
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout;
    use super::*;
    use crate::job::SheetSize;
    use crate::roof::fixtures::gable;
    use crate::thermal::{Control, Hour, Power, Present, Weather, seasons};

    fn foot(rows: usize) -> (Vec<Vec<String>>, String) {
        let cold = Hour {
            month: 1,
            day: 1,
            hour: 1,
            air: Some(20.0),
            present: Present::Unknown,
            snow_depth: Some(0.0),
            precipitation: Some(1.0),
        };
        let control = Control { on_below: 38.0, hold_on: 2, low_cut_out: None };
        let weather = Weather { place: "Example town".into(), hours: vec![cold; rows] };
        let made = layout(gable(480.0, 288.0, 0.5), SheetSize::ArchD);
        let table = season_table(&made.drawn(), &seasons(&weather, &control, &Power::constant(1000.0), None));
        (table.rows, table.foot.unwrap())
    }

    /// Three days of weather are no year, whatever the table above says.
    #[test]
    fn a_year_is_said_only_of_a_file_that_holds_one() {
        let (rows, words) = foot(72);
        assert_eq!(rows.last().unwrap()[0], "all");
        assert!(words.contains("Counted from Example town") && !words.contains("typical year"), "{words}");
        assert!(words.contains("72 hours only"), "{words}");
        let (rows, words) = foot(YEAR as usize);
        assert_eq!(rows.last().unwrap()[0], "year");
        assert!(words.contains("One typical year of Example town") && !words.contains("only"), "{words}");
    }

    /// 1 W/ft² is 3.412 Btu/h ft²: what the band gives follows from the figures beside it, and a mark is explained only where it stands.
    #[test]
    fn the_heat_table_adds_up() {
        for given in [true, false] {
            let mut made = layout(gable(480.0, 288.0, 0.5), SheetSize::ArchD);
            made.checks.heat.as_mut().unwrap().weather_given = given;
            let drawn = made.drawn();
            let table = heat_table(&drawn, drawn.checks.heat.as_ref().unwrap());
            let words = &table.rows.iter().find(|row| row[0] == "given by the band").unwrap()[1];
            let figures: Vec<f64> = words.split(' ').filter_map(|word| word.parse().ok()).collect();
            let [flux, watts, lost] = figures[..] else { panic!("{words}") };
            assert!((flux - watts * 3.412 * (1.0 - lost / 100.0)).abs() < 0.3, "{words}");
            let marked = table.rows.iter().flatten().any(|cell| cell.contains("(A)"));
            assert_eq!((marked, table.foot.unwrap().contains("(A)")), (!given, !given));
        }
    }
}
