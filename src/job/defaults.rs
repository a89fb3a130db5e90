//! The settings in force when nobody said otherwise. Trade defaults without a source are common practice, all adjustable.

use super::model::{
    CourseSettings, Covering, DrawingSettings, HeatSettings, Job, OutlineMeaning, Products, ProjectInfo, ReachRule,
    RoofSettings, Setting, SheetSettings, SheetSize, Under, ValleyType, WiringSettings, Work,
};
use super::places::Discharge;
use super::supply::ElectricalSettings;
use crate::catalog::Catalogue;
use crate::error::Result;
use crate::terms::{Conduit, DxfRelease, Supply};

impl<T> Setting<T> {
    /// A value a person gave.
    #[must_use]
    pub const fn given(value: T) -> Self {
        Self { value, given: true }
    }

    /// A value nobody gave.
    #[must_use]
    pub const fn assumed(value: T) -> Self {
        Self { value, given: false }
    }
}

impl Job {
    /// A job in which every setting is a default, with the first products of `catalogue`.
    ///
    /// # Errors
    /// When the catalogue lacks a kind of product.
    pub fn with_defaults(catalogue: &Catalogue) -> Result<Self> {
        Ok(Self {
            project: ProjectInfo {
                number: "draft".into(),
                title: "Roof heating layout".into(),
                ..ProjectInfo::default()
            },
            drawing: DrawingSettings {
                units: None,
                roof_layers: Vec::new(),
                gap_tolerance: 0.5,
                opening_area_limit: 60.0 * 144.0,
            },
            roof: RoofSettings {
                work: Setting::assumed(Work::NewRoof),
                shingle_layers: Setting::assumed(1),
                covering: Setting::assumed(Covering::AsphaltShingle),
                default_pitch: Setting::assumed(0.5),
                overhang: Setting::assumed(12.0),
                rake_overhang: Setting::assumed(12.0),
                outline: Setting::assumed(OutlineMeaning::EaveEdge),
                fascia_to_drip: None,
                valley_type: Setting::assumed(ValleyType::Unknown),
                valley_lining: 24.0,
                under: Setting::assumed(Under::Unknown),
                step_tolerance: 2.0,
                edges: Vec::new(),
                faces: Vec::new(),
                leave_open: false,
            },
            heat: default_heat(),
            courses: CourseSettings {
                longest_piece: 600.0,
                shortest_run: 24.0,
                end_gap: 6.0,
                cut_step: 0.5,
                nail_clearance: 0.375,
                lift: 0.125,
                rise: None,
            },
            wiring: WiringSettings {
                boxes: Vec::new(),
                crossing_slack: 12.0,
                crossing_above: 6.0,
                lead_clearance: 0.75,
                nail_gap: 1.5,
                box_tail: 12.0,
                connection_tail: 6.0,
                wall_drop: 24.0,
                leads_per_hole: 4,
                strip_and_relay: true,
            },
            electrical: ElectricalSettings {
                volts: Setting::assumed(240.0),
                code_edition: Setting::assumed(2023),
                largest_breaker: 20.0,
                lead_drop: 0.02,
                measured_volts: None,
                supply: Supply::SinglePhase,
                terminals: 60,
                ambient: 86.0,
                conduit: Conduit::Emt,
                circuits_per_conduit: 1,
                branch_drop: None,
                feeder_drop: None,
                ground_fault_trip: 30.0,
                start_temperature: 0.0,
                // In melting snow.
                running_temperature: Setting::assumed(32.0),
                fault_current: None,
                panel: None,
            },
            sheet: SheetSettings { size: SheetSize::ArchD, dxf: DxfRelease::R2000 },
            products: Products::first_of(catalogue)?,
            estimate: super::Estimate::default(),
        })
    }
}

fn default_heat() -> HeatSettings {
    HeatSettings {
        eaves: true,
        valleys: false,
        reach_rule: Setting::assumed(ReachRule::Irc2024),
        reach: None,
        valley_width: 24.0,
        valley_height: None,
        outer_setback: 6.0,
        valley_setback: 6.0,
        hip_setback: 6.0,
        ridge_setback: 6.0,
        wall_setback: 6.0,
        opening_setback: 6.0,
        opening_flashing: 5.0,
        vent_flashing: 4.0,
        valley_nails_moved: false,
        discharge: Setting::assumed(Discharge::Unknown),
        gutter_heat: false,
        gutter_watts: None,
        downspout_length: 120.0,
        snow_guards: Setting::assumed(false),
        entries: Vec::new(),
        exclusions: Vec::new(),
        fasteners: Vec::new(),
    }
}
