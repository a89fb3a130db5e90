//! The published schemas are those of the types, and what the program reads fits them.

use eavesdraft::catalog::catalogue_schema;
use eavesdraft::job::job_schema;
use serde_json::Value;
use std::path::{Path, PathBuf};

fn samples() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("samples")
}

/// `UPDATE_GOLDEN=1` writes the file; otherwise it must be what the types say.
fn published(name: &str, schema: &Value) {
    let path = samples().join(name);
    let text = serde_json::to_string_pretty(schema).expect("a schema prints") + "\n";
    if std::env::var_os("UPDATE_GOLDEN").is_some() {
        std::fs::write(&path, text).expect("samples can be written");
        return;
    }
    let stored = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(stored == text, "samples/{name} is out of date: run the tests with UPDATE_GOLDEN=1 and read the diff");
}

fn as_json(toml_text: &str) -> Value {
    toml::from_str(toml_text).expect("the text is TOML")
}

#[test]
fn the_published_job_schema_is_that_of_the_type() {
    published("job.schema.json", &job_schema());
}

#[test]
fn the_published_catalogue_schema_is_that_of_the_type() {
    published("catalogue.schema.json", &catalogue_schema());
}

#[test]
fn every_sample_fits_its_schema() {
    let (job, catalogue) = (job_schema(), catalogue_schema());
    let mut seen = 0;
    let mut folders = vec![samples()];
    while let Some(folder) = folders.pop() {
        for entry in std::fs::read_dir(folder).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                folders.push(path);
            } else if path.extension().is_some_and(|e| e == "toml") {
                let instance = as_json(&std::fs::read_to_string(&path).unwrap());
                let schema = if instance.get("invented").is_some() { &catalogue } else { &job };
                let validator = jsonschema::validator_for(schema).unwrap();
                let faults: Vec<String> =
                    validator.iter_errors(&instance).map(|e| format!("{}: {e}", e.instance_path())).collect();
                assert!(faults.is_empty(), "{}: {faults:?}", path.display());
                seen += 1;
            }
        }
    }
    assert!(seen >= 1, "no sample was looked at");
}

#[test]
fn the_job_schema_refuses_what_the_reader_refuses() {
    let validator = jsonschema::validator_for(&job_schema()).unwrap();
    for (text, fits) in [
        ("[roof]\noverhang = \"12 in\"\n", true),
        ("[roof]\novrhang = \"12 in\"\n", false),
        ("[roof]\noverhang = 12\n", false),
        ("[[roof.edge]]\ntag = \"E1\"\nkind = \"rake\"\n", true),
        ("[[roof.edge]]\ntag = \"E1\"\nkind = \"raek\"\n", false),
        ("[electrical]\nvolts = 240\n", true),
        ("[electrical.panel]\ntag = \"P\"\nspaces = 4\nspare_amps = 40\n", false),
    ] {
        assert_eq!(validator.is_valid(&as_json(text)), fits, "{text}");
    }
}
