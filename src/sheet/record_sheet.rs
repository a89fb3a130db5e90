//! E-602: the test record with its hold points. Empty cells are for the pen; once the record has come back they hold the readings, and what
//! calls for a stop is marked.

use super::Drawn;
use super::flow::{Align, Panel, Table, list};
use super::notes::numbered;
use crate::checks::{Reading, ReadingOf};
use crate::field::{Difference, JudgedReading, Judgement, Quantity, Stage};
use crate::job::Work;
use crate::takeoff::CutPiece;
use crate::units::{decimal, feet_inches};
use std::collections::BTreeMap;

const LEFT: Align = Align::Left;
const RIGHT: Align = Align::Right;

/// Room for a hand-written entry, where there is no reading yet: white as wide as eight figures.
const PEN: &str = "                 ";

/// All panels in reading order, lists `column` and tables at most `most` inches wide.
pub(super) fn panels(drawn: &Drawn, column: f64, most: f64) -> Vec<Panel> {
    let mut panels = vec![list("record-how", "HOW TO TEST", &numbered(&how(drawn)), column), holds(drawn).panel(most)];
    let entries = Entries::new(drawn);
    panels.push(pieces(drawn, &entries).panel(most));
    panels.push(chains(drawn, &entries).panel(most));
    panels.push(circuits(drawn, &entries).panel(most));
    panels.push(rolls(drawn, &entries).panel(most));
    panels.extend(differences(drawn).map(|table| table.panel(most)));
    panels.push(instruments(drawn).panel(most));
    panels
}

/// Insulation is read only against a ground layer: without one there is nothing to read and nothing to write down.
fn how(drawn: &Drawn) -> Vec<String> {
    let insulation = match drawn.checks.insulation {
        Some(_) => {
            "Insulation: both conductors tied together against the ground layer, at least 500 V direct current or what the element's \
             maker asks, held 60 seconds. 20 Mohm or more is good (common practice, from memory); from 1 to 20 Mohm dry it, look \
             for the place and read again; below 1 Mohm stop (seen as quoted for circuits up to 500 V)."
        }
        None => {
            "Insulation is not read: some element has no ground layer to read against, and ground-fault protection sees nothing in it. \
             Do not install it."
        }
    };
    [
        "De-energize, lock out and test dead first. Nothing is energized for a resistance or insulation reading but the meter.",
        "Resistance: between the two conductors, far end open. Expected values are for rated resistance at the fed end of the \
         piece, of a chain at its box with its leads.",
        insulation,
        match drawn.job.roof.work.value {
            Work::NewRoof => {
                "H3 is read after every shingle course that nails over a piece. On failure stop and lift that course: a nail is the likely \
                 cause."
            }
            Work::Retrofit => {
                "H3 is read after the tabs over a piece are sealed again, in a lane after its shingles are relaid. On failure stop and \
                 loosen them again: an old nail or a new one in a lane is the likely cause."
            }
        },
        "A piece whose resistance has changed by more than 5 % since it was cut was hurt on the way (common practice).",
        "Nobody goes on past a hold point before every reading of it is good and it is signed. Write date, time, air temperature \
         and meter beside each reading in the record file.",
        "Never energize element on the roll, coiled or overlapped. Voltage and current are read at hand-over by the electrician.",
    ]
    .map(str::to_owned)
    .to_vec()
}

/// What goes into the cells of the record: the readings that came back, each by where it stands in the form.
struct Entries<'a> {
    found: BTreeMap<(Stage, &'a str, Quantity), &'a JudgedReading>,
    /// Whether insulation is read.
    insulation: bool,
}

impl<'a> Entries<'a> {
    fn new(drawn: &Drawn<'a>) -> Self {
        let readings = drawn.record.into_iter().flat_map(|r| &r.readings);
        let found = readings.map(|r| ((r.stage, r.item.as_str(), r.quantity), r)).collect();
        Self { found, insulation: drawn.checks.insulation.is_some() }
    }

    /// A reading as it goes into a cell; a rule to write on while there is no record.
    fn cell(&self, stage: Stage, item: &str, quantity: Quantity) -> String {
        match self.found.get(&(stage, item, quantity)) {
            None if quantity == Quantity::Insulation && !self.insulation => "no test".to_owned(),
            None => PEN.to_owned(),
            Some(reading) => match reading.judgement {
                Judgement::Missing => "not read".to_owned(),
                Judgement::Good | Judgement::Unjudged => reading.reading.clone(),
                Judgement::Doubtful => format!("{} LOOK AGAIN", reading.reading),
                Judgement::Bad => format!("{} STOP", reading.reading),
            },
        }
    }
}

fn table(id: &str, title: &str, columns: Vec<(&'static str, Align)>, rows: Vec<Vec<String>>, foot: &str) -> Table {
    let foot = Some(foot.to_owned()).filter(|f| !f.is_empty());
    Table { id: id.to_owned(), title: title.to_owned(), columns, rows, foot }
}

fn holds(drawn: &Drawn) -> Table {
    let rows = Stage::ALL
        .into_iter()
        .map(|stage| {
            let name = stage.hold().unwrap_or("");
            let hold = drawn.record.and_then(|r| r.holds.iter().find(|h| h.name == name));
            let passed = hold.map_or_else(
                || if drawn.record.is_some() { String::new() } else { PEN.to_owned() },
                |h| format!("{} of {}", h.passed, h.needed),
            );
            vec![name.to_owned(), when(drawn, stage).to_owned(), passed, PEN.to_owned(), PEN.to_owned(), PEN.to_owned()]
        })
        .collect();
    let columns = vec![
        ("hold", LEFT),
        ("when", LEFT),
        ("readings passed", LEFT),
        ("date and time", LEFT),
        ("air °F", LEFT),
        ("signed", LEFT),
    ];
    table(
        "record-holds",
        "STAGES AND HOLD POINTS",
        columns,
        rows,
        "H1 to H4: the work stops until it is tested and signed.",
    )
}

/// When a stage is; on a roof that stays nothing is nailed over a piece but in lanes.
fn when(drawn: &Drawn, stage: Stage) -> &'static str {
    match (drawn.job.roof.work.value, stage) {
        (Work::Retrofit, Stage::Covered) => {
            "after the tabs over the piece are sealed again: on failure stop and loosen them"
        }
        _ => stage.words(),
    }
}

fn expected(reading: Option<&Reading>) -> String {
    match reading {
        Some(Reading { low: Some(low), high: Some(high), ohms, .. }) => {
            format!("{} ({} to {})", decimal(*ohms, 1), decimal(*low, 1), decimal(*high, 1))
        }
        Some(reading) => decimal(reading.ohms, 1),
        None => String::new(),
    }
}

fn pieces(drawn: &Drawn, entries: &Entries) -> Table {
    let readings = drawn.checks.readings_of(ReadingOf::Segment);
    let row = |cut: &CutPiece| {
        let reading = readings.get(cut.tag.as_str()).copied();
        let mut cells = vec![cut.tag.clone(), feet_inches(cut.length), expected(reading)];
        for stage in [Stage::Cut, Stage::Laid, Stage::Covered] {
            cells.push(entries.cell(stage, &cut.tag, Quantity::Resistance));
            cells.push(entries.cell(stage, &cut.tag, Quantity::Insulation));
        }
        cells.push(entries.cell(Stage::Laid, &cut.tag, Quantity::InstalledLength));
        cells
    };
    let columns = vec![
        ("piece", LEFT),
        ("drawn", RIGHT),
        ("expected ohm", RIGHT),
        ("H1 cut ohm", RIGHT),
        ("H1 cut Mohm", RIGHT),
        ("H2 laid ohm", RIGHT),
        ("H2 laid Mohm", RIGHT),
        ("H3 covered ohm", RIGHT),
        ("H3 covered Mohm", RIGHT),
        ("length as laid", RIGHT),
    ];
    let rows = drawn.takeoff.cuts.iter().map(row).collect();
    table("record-pieces", "PIECES", columns, rows, "Expected: at the fed end, far end open, without leads.")
}

fn chains(drawn: &Drawn, entries: &Entries) -> Table {
    let readings = drawn.checks.readings_of(ReadingOf::Chain);
    let rows = drawn
        .wiring
        .chains
        .iter()
        .map(|chain| {
            let item = chain.id.to_string();
            let reading = readings.get(item.as_str()).copied();
            vec![
                item.clone(),
                drawn.wiring.boxes[chain.junction_box.index()].tag.clone(),
                expected(reading),
                entries.cell(Stage::InBox, &item, Quantity::Resistance),
                entries.cell(Stage::InBox, &item, Quantity::Insulation),
            ]
        })
        .collect();
    let columns = vec![("chain", LEFT), ("box", LEFT), ("expected ohm", RIGHT), ("H4 ohm", RIGHT), ("H4 Mohm", RIGHT)];
    table("record-chains", "CHAINS AT THEIR BOX", columns, rows, "")
}

fn circuits(drawn: &Drawn, entries: &Entries) -> Table {
    let rows = drawn
        .wiring
        .circuits
        .iter()
        .map(|circuit| {
            let cell = |quantity| entries.cell(Stage::HandOver, &circuit.tag, quantity);
            vec![
                circuit.tag.clone(),
                decimal(drawn.job.electrical.volts.value, 0),
                cell(Quantity::Voltage),
                decimal(circuit.amps, 2),
                cell(Quantity::Current),
                cell(Quantity::GroundFaultTrip),
                cell(Quantity::ControlSwitches),
            ]
        })
        .collect();
    let columns = vec![
        ("circuit", LEFT),
        ("volts", RIGHT),
        ("volts read", RIGHT),
        ("amps", RIGHT),
        ("amps read", RIGHT),
        ("GFPE trips by its button", LEFT),
        ("control switches on and off", LEFT),
    ];
    let foot = "Cold element may draw more when it is switched on: read after it has settled.";
    table("record-circuits", "CIRCUITS AT HAND-OVER", columns, rows, foot)
}

fn rolls(drawn: &Drawn, entries: &Entries) -> Table {
    let numbered = drawn
        .takeoff
        .plans
        .iter()
        .flat_map(|plan| (1..=plan.rolls.len()).map(move |at| format!("{} roll {at}", plan.element_key)));
    let rows = numbered
        .map(|item| vec![item.clone(), PEN.to_owned(), entries.cell(Stage::Receipt, &item, Quantity::Insulation)])
        .collect();
    let columns = vec![("roll", LEFT), ("maker's number on it", LEFT), ("Mohm on receipt", RIGHT)];
    table("record-rolls", "ROLLS", columns, rows, "")
}

/// What was measured otherwise than drawn, when the roof was measured.
fn differences(drawn: &Drawn) -> Option<Table> {
    let measured = drawn.measured?;
    let row = |found: &Difference, words: &str| {
        vec![found.item.clone(), found.what.clone(), found.drawn.clone(), found.measured.clone(), words.to_owned()]
    };
    let redrafted = measured.redrafted.iter().map(|d| row(d, "drafted anew"));
    let rows: Vec<Vec<String>> = redrafted.chain(measured.open.iter().map(|d| row(d, "OPEN"))).collect();
    let columns = vec![("item", LEFT), ("what", LEFT), ("drawn", RIGHT), ("measured", RIGHT), ("then", LEFT)];
    let foot = format!("{} of {} measures taken.", measured.answered, measured.asked);
    Some(table("record-measured", "ROOF AS MEASURED", columns, rows, &foot))
}

fn instruments(drawn: &Drawn) -> Table {
    let mut used: Vec<String> = Vec::new();
    for reading in drawn.record.into_iter().flat_map(|r| &r.readings) {
        if !reading.by.is_empty() && !used.contains(&reading.by) {
            used.push(reading.by.clone());
        }
    }
    let mut rows: Vec<Vec<String>> = used.into_iter().map(|by| vec!["readings".to_owned(), by]).collect();
    if rows.is_empty() {
        let line = format!("{PEN}{PEN}{PEN}");
        rows = ["insulation tester, test volts", "resistance meter", "tested by", "accepted by"]
            .map(|what| vec![what.to_owned(), line.clone()])
            .to_vec();
    }
    table("record-meters", "METERS AND PEOPLE", vec![("what", LEFT), ("which", LEFT)], rows, "")
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;
    use crate::roof::fixtures::gable;

    /// A reading against nothing is no reading: no line to write it on.
    #[test]
    fn insulation_is_asked_for_only_against_a_ground_layer() {
        let with = |ground_layer| {
            let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
            job.products.deck.value.ground_layer = ground_layer;
            layout_of(gable(480.0, 288.0, 0.5), job)
        };
        for (layer, words, entry) in [(true, "500 V direct", PEN), (false, "not read", "no test")] {
            let made = with(layer);
            let drawn = made.drawn();
            assert!(how(&drawn).iter().any(|line| line.starts_with("Insulation") && line.contains(words)));
            assert_eq!(Entries::new(&drawn).cell(Stage::Cut, "F1-1-1", Quantity::Insulation), entry);
            assert_eq!(Entries::new(&drawn).cell(Stage::Cut, "F1-1-1", Quantity::Resistance), PEN);
        }
    }

    /// Nothing is nailed over element that slides under old shingles: the reading has another time and another likely cause.
    #[test]
    fn a_retrofit_is_read_after_the_tabs_are_sealed() {
        for (work, nails, tabs) in [(Work::NewRoof, true, false), (Work::Retrofit, false, true)] {
            let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
            job.roof.work.value = work;
            let made = layout_of(gable(480.0, 288.0, 0.5), job);
            let drawn = made.drawn();
            let words = [how(&drawn), holds(&drawn).rows.concat()].concat().join(" ");
            assert_eq!((words.contains("nails over"), words.contains("sealed again")), (nails, tabs), "{words}");
        }
    }
}
