//! The sequence of operation on E-604, from the job's own numbers: two-stage control by air temperature and moisture, hold-on, low
//! cut-out. Common practice, no source; `thermal::seasons` runs the same rules through a year of weather.

use super::Drawn;
use super::flow::{Panel, list};
use super::notes::numbered;
use crate::units::decimal;

/// What switches the heat on and off; none while nothing is fed.
pub(super) fn sequence(drawn: &Drawn, width: f64) -> Option<Panel> {
    let steps = steps(drawn);
    (!steps.is_empty()).then(|| list("sequence", "SEQUENCE OF OPERATION", &numbered(&steps), width))
}

fn steps(drawn: &Drawn) -> Vec<String> {
    let circuits = &drawn.wiring.circuits;
    let (Some(first), Some(last)) = (circuits.first(), circuits.last()) else { return Vec::new() };
    let season = &drawn.job.estimate.season;
    let tags = if circuits.len() == 1 { first.tag.clone() } else { format!("{} to {}", first.tag, last.tag) };
    let on_below = decimal(season.on_below, 0);
    let hours = if season.hold_on == 1 { "1 hour".to_owned() } else { format!("{} hours", season.hold_on) };
    let sensor = if drawn.wiring.sensor.is_some() { "sensor TS" } else { "the sensor" };
    let mut steps = vec![
        "At rest the poles of all circuits are open. Controller TC switches them together; no circuit is switched by itself.".into(),
        format!("Stage one, temperature: {sensor} reports air at {on_below} °F or below."),
        format!("Stage two, moisture: {sensor} reports snow, ice or water on it. Neither stage alone switches heat on."),
        format!(
            "On both, TC closes the poles of {tags}: {} W in all.",
            decimal(drawn.checks.load.watts, 0)
        ),
    ];
    steps.push(match season.hold_on {
        0 => "No hold-on is set: heat goes off as soon as the sensor is dry.".to_owned(),
        _ => format!(
            "Hold-on: heat stays on for {hours} after the sensor is dry, so that what still lies on the courses melts and runs off."
        ),
    });
    steps.push(format!("Heat goes off when the hold-on has run out, or at once when the air is above {on_below} °F."));
    steps.push(match season.low_cut_out {
        Some(low) => format!("Low cut-out: no heat while the air is below {} °F.", decimal(low, 0)),
        None => "No low cut-out is set: heat runs in any cold while it is called for.".to_owned(),
    });
    steps.push(format!(
        "Ground fault: each breaker trips by itself at {} mA and is reset by hand, after the fault is found. Nothing resets it automatically.",
        decimal(drawn.job.electrical.ground_fault_trip, 0)
    ));
    steps.push(
        "Before anyone works on the roof: disconnect of every circuit open, locked, tested dead. Control is no disconnecting means.".into(),
    );
    steps.push(
        "At hand-over and every autumn: cool and wet the sensor, see every circuit draw its current, let the hold-on run out, write it down. \
         Set points are adjustable; they are common practice, and the controller maker's instructions govern."
            .into(),
    );
    steps
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::Job;
    use crate::roof::fixtures::gable;

    fn said(change: impl Fn(&mut Job)) -> String {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        change(&mut job);
        steps(&layout_of(gable(480.0, 288.0, 0.5), job).drawn()).join("\n")
    }

    #[test]
    fn the_sequence_says_the_numbers_of_the_job() {
        let plain = said(|_| ());
        assert!(
            plain.contains("38 °F or below") && plain.contains("for 2 hours") && plain.contains("No low cut-out"),
            "{plain}"
        );
        let other = said(|job| {
            job.estimate.season.on_below = 35.0;
            job.estimate.season.hold_on = 0;
            job.estimate.season.low_cut_out = Some(5.0);
        });
        assert!(
            other.contains("35 °F or below") && other.contains("No hold-on") && other.contains("below 5 °F"),
            "{other}"
        );
        assert!(!other.contains("38 °F"));
    }

    #[test]
    fn without_heat_there_is_no_sequence() {
        assert_eq!(said(|job| job.heat.eaves = false), "");
    }
}
