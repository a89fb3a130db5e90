//! The supply of a job file: voltages, code, branch conductors, panel.

use super::file::{JobFile, PanelTable};
use super::limits::Limits;
use super::model::{Job, Setting};
use super::read::{give, put};
use crate::error::{Error, Result};
use crate::terms::{Conduit, Supply};
use crate::units::decimal;
use serde::Serialize;

/// The panel circuits come from.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Panel {
    /// Name.
    pub tag: String,
    /// Free spaces (poles).
    pub spaces: u32,
    /// Current left for this work, amperes: as given, or what main breaker and existing load leave.
    pub spare_amps: f64,
    /// Rating of its bus, amperes.
    pub bus_amps: Option<f64>,
    /// Main breaker and existing load, if both are given.
    pub service: Option<Service>,
    /// One-way length of the home run, inches.
    pub home_run: f64,
}

/// What a panel carries without this work.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
pub struct Service {
    /// Main breaker, amperes.
    pub main_amps: f64,
    /// Calculated load, amperes.
    pub existing_amps: f64,
    /// The part of it that never runs together with de-icing, amperes.
    pub non_coincident_amps: f64,
}

impl Service {
    /// Current left for de-icing, amperes: of de-icing and the load that never runs with it only the larger counts (220.60, from
    /// memory), so de-icing may take the place of that load.
    #[must_use]
    pub fn spare_amps(&self) -> f64 {
        (self.main_amps - (self.existing_amps - self.non_coincident_amps)).max(0.0)
    }
}

/// Supply and code.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct ElectricalSettings {
    /// Supply voltage, volts.
    pub volts: Setting<f64>,
    /// Edition of the electrical code, a year.
    pub code_edition: Setting<u32>,
    /// Largest breaker to use, amperes.
    pub largest_breaker: f64,
    /// Voltage drop a lead may have, as a share.
    pub lead_drop: f64,
    /// Supply voltage as measured, volts.
    pub measured_volts: Option<f64>,
    /// How the supply is wired.
    pub supply: Supply,
    /// Lower rating of the terminals, °C: 60 or 75.
    pub terminals: u32,
    /// Air around the branch conductors, °F.
    pub ambient: f64,
    /// Conduit of the home runs.
    pub conduit: Conduit,
    /// Circuits that share one conduit.
    pub circuits_per_conduit: u32,
    /// Voltage drop allowed from panel to box, as a share.
    pub branch_drop: Option<f64>,
    /// Voltage drop of the feeder, as a share.
    pub feeder_drop: Option<f64>,
    /// Trip setting of the ground-fault protection, milliamperes.
    pub ground_fault_trip: f64,
    /// Coldest temperature of the element when it is switched on, °F.
    pub start_temperature: f64,
    /// Temperature at which the steady load is reckoned, °F, for element whose power changes with it.
    pub running_temperature: Setting<f64>,
    /// Fault current available at the panel, amperes, as the job gives it.
    pub fault_current: Option<f64>,
    /// The panel, if known.
    pub panel: Option<Panel>,
}

impl ElectricalSettings {
    /// Poles of a breaker at the supply voltage: one where it is measured to neutral (120, 277 and 347 V), else two.
    #[must_use]
    pub fn poles(&self) -> u32 {
        let to_neutral = [120.0_f64, 277.0, 347.0].iter().any(|v| (self.volts.value / v - 1.0).abs() <= 0.08);
        if to_neutral { 1 } else { 2 }
    }
}

pub(super) fn read(job: &mut Job, file: &JobFile, limits: &Limits) -> Result<()> {
    let (typed, electrical) = (&file.electrical, &mut job.electrical);
    give(&mut electrical.volts, limits.number("electrical.volts", typed.volts, 12.0, 600.0, "V")?);
    give(&mut electrical.code_edition, limits.count("electrical.code_edition", typed.code_edition, 2008, 2035)?);
    let breaker = limits.number("electrical.largest_breaker", typed.largest_breaker, 15.0, 100.0, "A")?;
    put(&mut electrical.largest_breaker, breaker);
    put(&mut electrical.lead_drop, limits.share("electrical.lead_drop", typed.lead_drop, 0.001, 0.1)?);
    electrical.measured_volts = limits.number("electrical.measured_volts", typed.measured_volts, 12.0, 660.0, "V")?;
    put(&mut electrical.supply, typed.supply);
    if let Some(rating) = typed.terminals {
        if ![60, 75].contains(&rating) {
            return Err(limits.refuse("electrical.terminals", &rating.to_string(), "60 or 75"));
        }
        electrical.terminals = rating;
    }
    put(&mut electrical.ambient, limits.number("electrical.ambient", typed.ambient, -40.0, 150.0, "°F")?);
    put(&mut electrical.conduit, typed.conduit);
    let sharing = limits.count("electrical.circuits_per_conduit", typed.circuits_per_conduit, 1, 20)?;
    put(&mut electrical.circuits_per_conduit, sharing);
    electrical.branch_drop = limits.share("electrical.branch_drop", typed.branch_drop, 0.005, 0.1)?;
    electrical.feeder_drop = limits.share("electrical.feeder_drop", typed.feeder_drop, 0.0, 0.1)?;
    let trip = limits.number("electrical.ground_fault_trip", typed.ground_fault_trip, 4.0, 1000.0, "mA")?;
    put(&mut electrical.ground_fault_trip, trip);
    let start = limits.number("electrical.start_temperature", typed.start_temperature, -80.0, 60.0, "°F")?;
    put(&mut electrical.start_temperature, start);
    let running = limits.number("electrical.running_temperature", typed.running_temperature, -80.0, 250.0, "°F")?;
    give(&mut electrical.running_temperature, running);
    electrical.fault_current = limits.number("electrical.fault_current", typed.fault_current, 100.0, 200_000.0, "A")?;
    if let Some(panel) = &typed.panel {
        electrical.panel = Some(read_panel(panel, limits)?);
    }
    Ok(())
}

fn read_panel(panel: &PanelTable, limits: &Limits) -> Result<Panel> {
    let number = |key: &str, typed| limits.number(&format!("electrical.panel.{key}"), typed, 0.0, 4000.0, "A");
    let (main, existing) = (number("main_amps", panel.main_amps)?, number("existing_amps", panel.existing_amps)?);
    let other = number("non_coincident_amps", panel.non_coincident_amps)?.unwrap_or_default();
    let service = main.zip(existing).map(|(main_amps, existing_amps)| Service {
        main_amps,
        existing_amps,
        non_coincident_amps: other,
    });
    if let Some(service) = service.filter(|s| s.non_coincident_amps > s.existing_amps) {
        let allowed =
            format!("at most `existing_amps`, {} A: it is a part of that load", decimal(service.existing_amps, 1));
        let value = format!("{} A", decimal(service.non_coincident_amps, 1));
        return Err(limits.refuse("electrical.panel.non_coincident_amps", &value, &allowed));
    }
    let spare = number("spare_amps", panel.spare_amps)?.or_else(|| service.map(|s| s.spare_amps()));
    let Some(spare_amps) = spare else {
        return Err(Error::usage("missing-key", "[electrical.panel] says nothing of the current it has left")
            .at(limits.lines().place("electrical.panel.tag"))
            .with_hint("give `spare_amps`, or `main_amps` and `existing_amps`"));
    };
    Ok(Panel {
        tag: panel.tag.clone(),
        spaces: limits.count("electrical.panel.spaces", Some(panel.spaces), 0, 200)?.unwrap_or(panel.spaces),
        spare_amps,
        bus_amps: number("bus_amps", panel.bus_amps)?,
        service,
        home_run: limits.length("electrical.panel.home_run", Some(panel.home_run), 0.0, 24000.0)?.unwrap_or_default(),
    })
}
