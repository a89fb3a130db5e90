//! One tiny broken job or catalogue for each error, which must give exactly that code, its line, and a hint that helps.

use eavesdraft::catalog::Catalogue;
use eavesdraft::error::{Class, Error};
use eavesdraft::job::Job;
use proptest::prelude::*;

const CATALOGUE: &str = include_str!("../../samples/catalogue.toml");

fn job_error(text: &str) -> Error {
    Job::from_toml(text, &Catalogue::sample()).expect_err(text)
}

/// Code, line, and a word of the hint.
fn refused(error: &Error, code: &str, line: usize, hint: &str) {
    assert_eq!(error.code, code, "{error}");
    assert_eq!(error.class, Class::Usage, "{error}");
    assert_eq!(error.place.line, Some(line), "{error}");
    assert!(error.hint.as_deref().unwrap_or_default().contains(hint), "{error}");
}

#[test]
fn a_text_that_is_not_toml() {
    refused(&job_error("[roof]\noverhang \"12 in\"\n"), "settings-syntax", 2, "key = value");
}

#[test]
fn a_key_given_twice() {
    refused(&job_error("[roof]\noverhang = \"12 in\"\noverhang = \"1 ft\"\n"), "settings-syntax", 3, "remove one");
}

#[test]
fn an_unknown_key_names_the_nearest() {
    let error = job_error("# job\n\n[roof]\nwork = \"new-roof\"\novrhang = \"12 in\"\n");
    refused(&error, "unknown-key", 5, "did you mean `overhang`?");
    assert_eq!(error.message, "unknown key `ovrhang` in [roof]");
}

#[test]
fn an_unknown_table_names_the_nearest() {
    refused(&job_error("[rooof]\noverhang = \"12 in\"\n"), "unknown-key", 1, "did you mean `roof`?");
}

#[test]
fn a_key_in_the_wrong_table_is_sent_home() {
    refused(&job_error("[electrical]\noverhang = \"12 in\"\n"), "unknown-key", 2, "belongs in [roof]");
}

#[test]
fn an_unknown_key_in_a_list_entry() {
    let text = "[[roof.edge]]\ntag = \"E1\"\n\n[[roof.edge]]\ntag = \"E2\"\nkindd = \"rake\"\n";
    let error = job_error(text);
    refused(&error, "unknown-key", 6, "did you mean `kind`?");
    assert!(error.message.contains("[[roof.edge]] number 2"), "{error}");
}

#[test]
fn the_first_of_several_faults_is_told() {
    refused(&job_error("[sheet]\nsiez = \"ANSI B\"\n[drawing]\nunitz = \"feet\"\n"), "unknown-key", 2, "`size`");
}

#[test]
fn a_length_without_a_unit() {
    let error = job_error("[roof]\noverhang = 12\n");
    refused(&error, "wrong-value", 2, "\"6 in\"");
    assert_eq!(error.message, "`overhang` in [roof]: found whole number `12`, expected text");
    refused(&job_error("[roof]\noverhang = \"12\"\n"), "wrong-value", 2, "write the unit");
    refused(&job_error("[roof]\noverhang = \"12 parsecs\"\n"), "wrong-value", 2, "write the unit");
}

#[test]
fn a_pitch_an_area_and_a_share_in_the_wrong_form() {
    refused(&job_error("[roof]\ndefault_pitch = \"steep\"\n"), "wrong-value", 2, "6:12");
    refused(&job_error("[drawing]\nopening_area_limit = \"60 ft\"\n"), "wrong-value", 2, "sq ft");
    refused(&job_error("[electrical]\nlead_drop = 0.02\n"), "wrong-value", 2, "2 %");
}

#[test]
fn a_word_that_is_not_on_the_list() {
    refused(&job_error("[[roof.edge]]\ntag = \"E1\"\nkind = \"raek\"\n"), "wrong-value", 3, "did you mean `rake`?");
    refused(&job_error("[[roof.edge]]\ntag = \"E1\"\nkind = 3\n"), "wrong-value", 3, "one of \"eave\", \"rake\"");
    refused(&job_error("[sheet]\nsize = \"A0\"\n"), "wrong-value", 2, "ARCH D");
}

#[test]
fn a_gable_in_part_needs_its_one_measure() {
    let entry = |rest: &str| job_error(&format!("[[roof.edge]]\ntag = \"E1\"\n{rest}"));
    refused(&entry("kind = \"dutch-gable\"\n"), "missing-key", 3, "setback");
    refused(&entry("kind = \"jerkinhead\"\nheight = \"3 ft\"\nsetback = \"3 ft\"\n"), "wrong-value", 5, "keep one");
    refused(&entry("kind = \"eave\"\nheight = \"3 ft\"\n"), "wrong-value", 4, "raise");
}

#[test]
fn a_number_a_flag_and_a_list_of_the_wrong_type() {
    refused(&job_error("[electrical]\nvolts = \"240 V\"\n"), "wrong-value", 2, "a number");
    refused(&job_error("[heat]\neaves = \"yes\"\n"), "wrong-value", 2, "true or false");
    refused(&job_error("[drawing]\nroof_layers = \"A-ROOF\"\n"), "wrong-value", 2, "list");
    refused(&job_error("[wiring]\nleads_per_hole = -1\n"), "wrong-value", 2, "whole number");
}

#[test]
fn a_table_where_a_list_belongs() {
    refused(&job_error("roof = 3\n"), "wrong-value", 1, "a table");
    refused(&job_error("[roof]\nedge = 3\n"), "wrong-value", 2, "list");
    let error = job_error("[[wiring.box]]\ntag = \"J1\"\nat = [1]\nplace = \"under-deck\"\n");
    refused(&error, "wrong-value", 3, "list");
    assert!(error.message.contains("found a list of 1, expected a list of 2"), "{error}");
}

#[test]
fn a_missing_key() {
    refused(&job_error("[[wiring.box]]\ntag = \"J1\"\nplace = \"under-deck\"\n"), "missing-key", 1, "`at`");
}

#[test]
fn values_out_of_range() {
    for (text, line, allowed) in [
        ("[courses]\ncut_step = \"0 in\"\n", 2, "1/16\" to 2'-0\""),
        ("[roof]\noverhang = \"-1 in\"\n", 2, "0\" to 10'-0\""),
        ("[roof]\n\ndefault_pitch = \"0:12\"\n", 3, "0.5:12 to 48:12"),
        ("[electrical]\nvolts = 0\n", 2, "12 V to 600 V"),
        ("[electrical]\nvolts = nan\n", 2, "12 V to 600 V"),
        ("[electrical]\ncode_edition = 23\n", 2, "2008 to 2035"),
        ("[electrical]\nlead_drop = \"50 %\"\n", 2, "0.1 % to 10 %"),
        ("[electrical]\nlargest_breaker = 5\n", 2, "15 A to 100 A"),
        ("[courses]\nlongest_piece = \"10 ft\"\nshortest_run = \"11 ft\"\n", 3, "longest piece"),
        ("[heat.setbacks]\nvalley = \"-6 in\"\n", 2, "0\" to 10'-0\""),
        ("[drawing]\nopening_area_limit = \"0 sq ft\"\n", 2, "1 sq ft"),
        ("[wiring]\nleads_per_hole = 0\n", 2, "1 to 24"),
        ("[[wiring.box]]\ntag = \"J1\"\nat = [inf, 0]\nplace = \"under-deck\"\n", 3, "coordinates"),
        ("[[wiring.box]]\ntag = \"\"\nat = [0, 0]\nplace = \"under-deck\"\n", 2, "printed"),
        ("[[roof.face]]\ntag = \"F1\"\npitch = \"100:12\"\n", 3, "48:12"),
        ("[[roof.edge]]\ntag = \"E1\"\nraise = \"40 ft\"\n", 3, "30'-0\""),
        ("[electrical.panel]\ntag = \"P\"\nspaces = 4\nspare_amps = -1\nhome_run = \"40 ft\"\n", 4, "0 A to 4000 A"),
    ] {
        refused(&job_error(text), "out-of-range", line, allowed);
    }
}

#[test]
fn a_job_number_that_cannot_begin_a_file_name() {
    for number in ["../etc", "a/b", "", "a b", "-o", "é", "C:\\\\x"] {
        refused(&job_error(&format!("[project]\nnumber = \"{number}\"\n")), "unsafe-number", 2, "letters, digits");
    }
}

#[test]
fn a_product_the_catalogue_does_not_have() {
    for (slot, typed, near) in [
        ("deck", "strip-5", "strip-"),
        ("shingle", "tree-tab", "three-tab"),
        ("lead", "lead14", "lead-14"),
        ("inside_box", "box-insid", "box-inside"),
    ] {
        refused(&job_error(&format!("[products]\n{slot} = \"{typed}\"\n")), "unknown-product", 2, near);
    }
}

#[test]
fn a_dry_box_outside() {
    refused(&job_error("[products]\noutside_box = \"box-inside\"\n"), "dry-box-outside", 2, "wet_location");
}

#[test]
fn an_entry_must_name_one_thing() {
    refused(&job_error("[[roof.edge]]\nkind = \"rake\"\n"), "no-target", 1, "near = [x, y]");
    refused(&job_error("[[roof.edge]]\ntag = \"E1\"\nnear = [1, 2]\n"), "two-targets", 3, "keep the one");
    refused(&job_error("[[roof.edge]]\ntag = \"F1\"\n"), "wrong-tag", 2, "\"E4\"");
    refused(&job_error("[[roof.face]]\ntag = \"F1\"\nfalls_to = \"eave 2\"\n"), "wrong-tag", 3, "\"E4\"");
    refused(&job_error("[[roof.face]]\ntag = \"F1\"\n[[roof.face]]\ntag = \"f1\"\n"), "doubled-entry", 3, "one entry");
    let boxes = "[[wiring.box]]\ntag = \"J1\"\nat = [0, 0]\nplace = \"under-deck\"\n".repeat(2);
    refused(&job_error(&boxes), "doubled-entry", 5, "one entry");
}

/// The sample catalogue with one line replaced.
fn catalogue_error(line: &str, by: &str) -> (Error, usize) {
    let at = CATALOGUE.lines().position(|l| l == line).expect(line);
    (Catalogue::from_toml(&CATALOGUE.replacen(line, by, 1)).expect_err(by), at + 1)
}

#[test]
fn catalogue_values_out_of_range() {
    for (line, by, allowed) in [
        ("watts_per_foot = 6.0", "watts_per_foot = 0.0", "0.1 to 200"),
        ("width = \"2 in\"", "width = \"0 in\"", "1/4\" to 3'-0\""),
        ("exposure = \"5 in\"", "exposure = \"13 in\"", "at most `height`"),
        ("nail_low = \"5 7/8 in\"", "nail_low = \"7 in\"", "at most `nail_high`"),
        ("awg = 14", "awg = 40", "1 to 18"),
        ("cubic_inches = 30.3", "cubic_inches = -1", "1 to 10000"),
        ("leads = 4", "leads = 0", "1 to 100"),
        ("amps = 15.0", "amps = inf", "0.1 to 200"),
        ("coil_amps = 0.1", "coil_amps = -0.1", "0 to 20"),
        ("poles = 4", "poles = 0", "1 to 24"),
    ] {
        let (error, at) = catalogue_error(line, by);
        refused(&error, "out-of-range", at, allowed);
    }
}

/// Element that warms itself has a sure temperature only where it draws no more the warmer it gets.
#[test]
fn a_rise_needs_a_curve_that_falls() {
    let line = "cold_start_factor = 1.0";
    let curve = |second: f64| {
        format!(
            "rise_per_watt = 5.0\npower_curve = [{{ fahrenheit = 0.0, factor = 1.0 }}, {{ fahrenheit = 50.0, factor = {second:.1} }}]"
        )
    };
    for (by, at) in [("rise_per_watt = 5.0".to_owned(), 0), (curve(1.5), 0)] {
        let (error, line) = catalogue_error(line, &by);
        refused(&error, "out-of-range", line + at, "nowhere rises");
    }
    assert!(Catalogue::from_toml(&CATALOGUE.replacen(line, &curve(0.5), 1)).is_ok());
    let (error, _) = catalogue_error(line, "power_curve = [{ fahrenheit = 0.0, factor = 1.0 }]");
    assert_eq!(error.code, "out-of-range");
}

#[test]
fn catalogue_keys_and_types() {
    let (error, at) = catalogue_error("thickness = \"1/16 in\"", "thicknes = \"1/16 in\"");
    refused(&error, "unknown-key", at, "did you mean `thickness`?");
    let (error, at) = catalogue_error("thickness = \"1/16 in\"", "thickness = 0.0625");
    refused(&error, "wrong-value", at, "\"6 in\"");
    let (error, _) = catalogue_error("thickness = \"1/16 in\"", "");
    assert_eq!(error.code, "missing-key", "{error}");
    assert!(error.message.contains("`thickness` in [[element]] number 1"), "{error}");
    let (error, at) = catalogue_error("key = \"strip-4\"", "key = \"strip-2\"");
    refused(&error, "doubled-entry", at, "own key");
}

#[test]
fn a_catalogue_without_a_kind_of_product() {
    let elements_only = CATALOGUE.split("[[lead]]").next().unwrap().to_owned();
    let without = elements_only.replacen("invented = true", "invented = true\nlead = []\nbox = []", 1);
    let catalogue = Catalogue::from_toml(&without).unwrap();
    let error = Job::from_toml("", &catalogue).unwrap_err();
    assert_eq!(error.code, "catalogue-lacks", "{error}");
    assert!(error.hint.is_some(), "{error}");
}

/// Nesting far beyond sense ends in an error, not in a crash.
#[test]
fn a_bomb_of_brackets() {
    let text = format!("a = {}", "[".repeat(200_000));
    assert_eq!(job_error(&text).code, "settings-syntax");
    let text = format!("{} = 1", vec!["a"; 100_000].join("."));
    assert!(["settings-syntax", "unknown-key"].contains(&job_error(&text).code));
}

proptest! {
    /// Whatever is typed, the answer is a job or an error that has a line and a hint.
    #[test]
    fn any_text_gets_an_answer(text in "(?s).{0,80}") {
        if let Err(error) = Job::from_toml(&text, &Catalogue::sample()) {
            prop_assert!(error.place.line.is_some() && error.hint.is_some(), "{error}");
        }
    }

    /// The same for the sample catalogue with a stretch of it overwritten.
    #[test]
    fn any_damage_to_a_catalogue_gets_an_answer(at in 0..CATALOGUE.len(), length in 0..20_usize, by in "[ -~\n]{0,6}") {
        let bytes = CATALOGUE.as_bytes();
        let end = (at + length).min(bytes.len());
        let damaged = [&bytes[..at], by.as_bytes(), &bytes[end..]].concat();
        let damaged = String::from_utf8_lossy(&damaged);
        if let Err(error) = Catalogue::from_toml(&damaged) {
            prop_assert!(error.place.line.is_some() && error.hint.is_some(), "{error}");
        }
    }
}
