//! The tables of the template whose keys do not hang on the drawing.

use super::model::Job;
use super::template::{Page, point, quoted, word};
use crate::import::SourceFrame;
use crate::roof::Roof;
use crate::settings::description;
use crate::terms::EdgeKind;
use crate::units::{decimal, feet_inches, pitch_in_12};

impl Page {
    pub(super) fn sections_of_the_roof(&mut self, job: &Job, frame: &SourceFrame) {
        self.table("project");
        self.set("project.number", &quoted(&job.project.number), "");
        self.set("project.title", &quoted(&job.project.title), "");
        for key in ["site", "owner", "designer", "drawn_by", "checked_by", "date"] {
            self.key(&format!("project.{key}"), "\"\"");
        }
        self.push("");
        let words = description(&self.schema, "project.revision").unwrap_or_default().to_owned();
        self.prose(&words);
        self.push("#[[project.revision]]");
        for (key, value) in [
            ("mark", "\"1\""),
            ("what", "\"boxes moved\""),
            ("date", "\"2026-02-01\""),
            ("changed", "[\"J1\", \"F1-0-1\"]"),
        ] {
            self.key(&format!("project.revision.0.{key}"), value);
        }
        self.table("drawing");
        self.key("drawing.units", &word(&frame.units));
        self.key("drawing.roof_layers", "[]");
        self.key("drawing.gap_tolerance", &length(job.drawing.gap_tolerance));
        let feet = decimal(job.drawing.opening_area_limit / 144.0, 2);
        self.key("drawing.opening_area_limit", &quoted(&format!("{feet} sq ft")));
        let roof = &job.roof;
        self.table("roof");
        self.key("roof.work", &word(&roof.work.value));
        self.key("roof.shingle_layers", &roof.shingle_layers.value.to_string());
        self.key("roof.covering", &word(&roof.covering.value));
        self.key("roof.default_pitch", &quoted(&pitch_in_12(roof.default_pitch.value)));
        self.key("roof.overhang", &length(roof.overhang.value));
        self.key("roof.rake_overhang", &length(roof.rake_overhang.value));
        self.key("roof.outline", &word(&roof.outline.value));
        self.example("roof.fascia_to_drip", &length(0.5));
        self.key("roof.valley_type", &word(&roof.valley_type.value));
        self.key("roof.valley_lining", &length(roof.valley_lining));
        self.key("roof.under", &word(&roof.under.value));
        self.key("roof.step_tolerance", &length(roof.step_tolerance));
        self.key("roof.leave_open", "false");
    }

    pub(super) fn sections_of_the_layout(&mut self, job: &Job) {
        let heat = &job.heat;
        self.table("heat");
        self.key("heat.eaves", &heat.eaves.to_string());
        self.key("heat.valleys", &heat.valleys.to_string());
        self.key("heat.reach_rule", &word(&heat.reach_rule.value));
        self.example("heat.reach", &length(36.0));
        self.key("heat.valley_width", &length(heat.valley_width));
        self.example("heat.valley_height", &length(72.0));
        self.key("heat.valley_nails_moved", &heat.valley_nails_moved.to_string());
        self.key("heat.discharge", &word(&heat.discharge.value));
        self.key("heat.gutter_heat", &heat.gutter_heat.to_string());
        self.example("heat.gutter_watts", "5");
        self.key("heat.downspout_length", &length(heat.downspout_length));
        self.key("heat.snow_guards", &heat.snow_guards.value.to_string());
        self.table("heat.setbacks");
        for (key, inches) in [
            ("outer", heat.outer_setback),
            ("valley", heat.valley_setback),
            ("hip", heat.hip_setback),
            ("ridge", heat.ridge_setback),
            ("wall", heat.wall_setback),
            ("opening", heat.opening_setback),
            ("opening_flashing", heat.opening_flashing),
            ("vent_flashing", heat.vent_flashing),
        ] {
            self.key(&format!("heat.setbacks.{key}"), &length(inches));
        }
        self.places_of_heat();
        let courses = &job.courses;
        self.table("courses");
        self.key("courses.longest_piece", &length(courses.longest_piece));
        self.key("courses.shortest_run", &length(courses.shortest_run));
        self.key("courses.end_gap", &length(courses.end_gap));
        self.key("courses.cut_step", &length(courses.cut_step));
        self.key("courses.nail_clearance", &length(courses.nail_clearance));
        self.key("courses.lift", &length(courses.lift));
        self.example("courses.rise", &length(1.125));
        let products = &job.products;
        self.table("products");
        self.example("products.catalogue", "\"catalogue.toml\"");
        for (key, product) in [
            ("shingle", &products.shingle.value.key),
            ("starter", &products.starter.value.key),
            ("deck", &products.deck.value.key),
            ("lead", &products.lead.value.key),
            ("inside_box", &products.inside_box.key),
            ("outside_box", &products.outside_box.key),
        ] {
            self.key(&format!("products.{key}"), &quoted(product));
        }
        for (key, product) in [
            ("disconnect", products.disconnect.as_ref().map(|p| &p.key)),
            ("contactor", products.contactor.as_ref().map(|p| &p.key)),
            ("controller", products.controller.as_ref().map(|p| &p.key)),
        ] {
            if let Some(product) = product {
                self.key(&format!("products.{key}"), &quoted(product));
            }
        }
        self.electrical(job);
        self.table("sheet");
        self.key("sheet.size", &word(&job.sheet.size));
        self.key("sheet.dxf", &word(&job.sheet.dxf));
        self.wiring(job);
    }

    fn electrical(&mut self, job: &Job) {
        let electrical = &job.electrical;
        self.table("electrical");
        self.key("electrical.volts", &decimal(electrical.volts.value, 3));
        self.key("electrical.code_edition", &electrical.code_edition.value.to_string());
        self.key("electrical.largest_breaker", &decimal(electrical.largest_breaker, 1));
        self.key("electrical.lead_drop", &quoted(&format!("{} %", decimal(electrical.lead_drop * 100.0, 3))));
        self.example("electrical.measured_volts", "236");
        self.key("electrical.supply", &word(&electrical.supply));
        self.key("electrical.terminals", &electrical.terminals.to_string());
        self.key("electrical.ambient", &decimal(electrical.ambient, 1));
        self.key("electrical.conduit", &word(&electrical.conduit));
        self.key("electrical.circuits_per_conduit", &electrical.circuits_per_conduit.to_string());
        self.example("electrical.branch_drop", "\"3 %\"");
        self.example("electrical.feeder_drop", "\"1 %\"");
        self.key("electrical.ground_fault_trip", &decimal(electrical.ground_fault_trip, 1));
        self.key("electrical.start_temperature", &decimal(electrical.start_temperature, 1));
        self.key("electrical.running_temperature", &decimal(electrical.running_temperature.value, 1));
        self.example("electrical.fault_current", "10000");
    }

    fn wiring(&mut self, job: &Job) {
        let wiring = &job.wiring;
        self.table("wiring");
        for (key, inches) in [
            ("crossing_slack", wiring.crossing_slack),
            ("crossing_above", wiring.crossing_above),
            ("lead_clearance", wiring.lead_clearance),
            ("nail_gap", wiring.nail_gap),
            ("box_tail", wiring.box_tail),
            ("connection_tail", wiring.connection_tail),
            ("wall_drop", wiring.wall_drop),
        ] {
            self.key(&format!("wiring.{key}"), &length(inches));
        }
        self.key("wiring.leads_per_hole", &wiring.leads_per_hole.to_string());
        self.key("wiring.strip_and_relay", &wiring.strip_and_relay.to_string());
    }

    /// Entries, exclusions and fasteners, as examples.
    fn places_of_heat(&mut self) {
        for (table, keys) in [
            ("entry", &[("at", "[0, 0]"), ("width", "\"6 ft\"")][..]),
            ("exclusion", &[("corners", "[[0, 0], [10, 0], [10, 5], [0, 5]]"), ("why", "\"solar panels\"")]),
            (
                "fastener",
                &[
                    ("at", "[0, 0]"),
                    ("to", "[40, 0]"),
                    ("spacing", "\"2 ft\""),
                    ("kind", "\"snow-guard\""),
                    ("size", "\"4 in\""),
                ],
            ),
        ] {
            self.push("");
            let words = description(&self.schema, &format!("heat.{table}")).unwrap_or_default().to_owned();
            self.prose(&words);
            self.push(&format!("#[[heat.{table}]]"));
            for (key, value) in keys {
                self.key(&format!("heat.{table}.0.{key}"), value);
            }
        }
    }

    pub(super) fn boxes_and_panel(&mut self, roof: &Roof, frame: &SourceFrame) {
        let eave = roof.edges.iter().find(|e| e.kind == EdgeKind::Eave);
        let at = frame.plan_to_drawing(eave.map(|e| roof.segment(e.id).a).unwrap_or_default());
        self.push("");
        self.prose("A box whose place is settled; one entry for each. Without any, places are chosen.");
        self.push("#[[wiring.box]]");
        for (key, value) in
            [("tag", "\"J1\"".to_owned()), ("at", format!("[{}]", point(at))), ("place", "\"outside-wall\"".to_owned())]
        {
            self.key(&format!("wiring.box.0.{key}"), &value);
        }
        self.push("");
        let words = description(&self.schema, "electrical.panel").unwrap_or_default().to_owned();
        self.prose(&words);
        self.push("#[electrical.panel]");
        for (key, value) in [
            ("tag", "\"P1\""),
            ("spaces", "4"),
            ("spare_amps", "40"),
            ("bus_amps", "125"),
            ("main_amps", "100"),
            ("existing_amps", "60"),
            ("non_coincident_amps", "20"),
            ("home_run", "\"60 ft\""),
        ] {
            self.key(&format!("electrical.panel.{key}"), value);
        }
    }
}

pub(super) fn length(inches: f64) -> String {
    let sixteenths = inches * 16.0;
    if inches >= 48.0 && (inches / 12.0).fract() == 0.0 {
        quoted(&format!("{} ft", decimal(inches / 12.0, 0)))
    } else if (sixteenths - sixteenths.round()).abs() < 1e-9 && inches.fract() != 0.0 && inches < 12.0 {
        quoted(&format!("{} in", feet_inches(inches).trim_end_matches('"')))
    } else {
        quoted(&format!("{} in", decimal(inches, 4)))
    }
}
