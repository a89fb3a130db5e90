//! Real weather files, fetched at run time and not kept: counts taken from them by another program.

use eavesdraft::thermal::{Control, Hour, Power, Present, Weather, fahrenheit, seasons};
use std::path::Path;
use std::process::Command;

fn count(weather: &Weather, test: impl Fn(&Hour, f64) -> bool) -> usize {
    weather.hours.iter().filter(|h| h.air.is_some_and(|t| test(h, t))).count()
}

fn falls(hour: &Hour) -> bool {
    hour.precipitation.is_some_and(|mm| mm > 0.0)
}

fn lies(hour: &Hour) -> bool {
    hour.snow_depth.is_some_and(|cm| cm > 0.0)
}

/// Counts of `FACTS.md` 4.8, made there with Python from the same files (by their sha256).
#[test]
#[ignore = "needs python3 with pip and the package registry"]
fn counts_of_real_weather_files() {
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let folder = tempfile::tempdir().unwrap();
    let fetch =
        Command::new("python3").arg(root.join("tests/outside/fetch_epw.py")).arg(folder.path()).output().unwrap();
    assert!(fetch.status.success(), "{}", String::from_utf8_lossy(&fetch.stderr));
    let read = |name: &str| {
        Weather::from_epw(&String::from_utf8_lossy(&std::fs::read(folder.path().join(name)).unwrap())).unwrap()
    };
    let shasta = read("USA_CA_Mount.Shasta.725957_TMYx.epw");
    assert_eq!(shasta.hours.len(), 8760);
    for (wanted, found) in [
        (2845, count(&shasta, |_, t| t <= 38.0)),
        (712, count(&shasta, |h, t| t <= 38.0 && falls(h))),
        (2470, count(&shasta, |h, t| t <= 38.0 && lies(h))),
        (2504, count(&shasta, |h, t| t <= 38.0 && (falls(h) || lies(h)))),
        (385, count(&shasta, |h, t| t <= 35.0 && falls(h))),
        (760, count(&shasta, |h, t| (22.0..=32.0).contains(&t) && lies(h))),
        (64, count(&shasta, |_, t| t < 22.0)),
        (3819, count(&shasta, |h, _| lies(h))),
        (1595, count(&shasta, |h, _| falls(h))),
        (268, count(&shasta, |h, _| h.present != Present::Unknown)),
        (89, count(&shasta, |h, _| h.present == Present::Frozen)),
    ] {
        assert_eq!(found, wanted);
    }
    let mean = shasta.hours.iter().filter_map(|h| h.air).sum::<f64>() / 8760.0;
    assert!((mean - fahrenheit(9.7252)).abs() < 1e-3, "{mean}");
    let most = shasta.hours.iter().filter_map(|h| h.precipitation).fold(0.0, f64::max);
    assert_eq!((shasta.hours[0].air, shasta.hours[0].snow_depth, most), (Some(fahrenheit(1.0)), Some(36.0), 4.8));

    let chicago = read("USA_IL_Chicago.OHare.Intl.AP.725300_TMY3.epw");
    assert_eq!(count(&chicago, |h, t| t <= 38.0 && falls(h)), 42);
    assert_eq!(count(&chicago, |h, t| t <= 35.0 && falls(h)), 8);
    assert_eq!(count(&chicago, |_, t| t <= 32.0), 1957);
    assert_eq!(count(&chicago, |_, t| (22.0..=32.0).contains(&t)), 1062);

    let control = Control { on_below: 38.0, hold_on: 0, low_cut_out: None };
    let season = seasons(&shasta, &control, &Power::constant(8000.0), Some(0.2));
    assert!(season.fitness.fit && season.snow_lying.hours >= 2504 && season.sky_wet.hours >= 712);
    println!(
        "Mount Shasta, 38 °F, no hold-on: {} h sky wet, {} h snow lying",
        season.sky_wet.hours, season.snow_lying.hours
    );
    assert!(
        !seasons(&chicago, &control, &Power::constant(8000.0), None).fitness.fit,
        "a file without snow or codes is unfit"
    );
}
