//! Dimensions measure what they say, read by a DXF reader of others; and the order of a drawing's entities reaches no sheet.

use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{lay_out, survey};
use eavesdraft::sheet::{SheetSet, sheets};
use eavesdraft::write::{sheet_svg, sheets_dxf, sheets_pdf};
use std::path::Path;

use crate::samples::SAMPLES;

fn read(sample: &str, file: &str) -> String {
    std::fs::read_to_string(Path::new(env!("CARGO_MANIFEST_DIR")).join("samples").join(sample).join(file)).unwrap()
}

fn set_of(sample: &str, plan: &str) -> SheetSet {
    let job = Job::from_toml(&read(sample, "job.toml"), &Catalogue::sample()).unwrap().value;
    sheets(&lay_out(survey(plan.as_bytes(), &job).unwrap(), job).unwrap()).value
}

#[test]
fn dimensions_measure_what_they_say() {
    let mut count = 0;
    for sample in SAMPLES {
        let file = sheets_dxf(&set_of(sample, &read(sample, "plan.dxf")));
        let drawing = dxf::Drawing::load(&mut std::io::Cursor::new(file)).unwrap();
        for entity in drawing.entities() {
            let dxf::entities::EntityType::RotatedDimension(dimension) = &entity.specific else { continue };
            let (a, b) = (&dimension.definition_point_2, &dimension.definition_point_3);
            let apart = ((a.x - b.x) * (a.x - b.x) + (a.y - b.y) * (a.y - b.y)).sqrt();
            let base = &dimension.dimension_base;
            assert!((base.actual_measurement - apart).abs() < 0.001, "{sample}: {base:?}");
            // Some say what they measure as well: 3'-4 1/4" required.
            let figure = base.text.split_inclusive('"').next().unwrap();
            assert_eq!(figure, eavesdraft::units::feet_inches(apart), "{sample}: {apart}");
            count += 1;
        }
    }
    assert!(count > 60, "only {count}");
}

/// The entities of a drawing in another order: every seventh, then the next; groups of code 0 stay together.
fn shuffled(plan: &str) -> String {
    let (head, rest) = plan.split_once("\nENTITIES\n").unwrap();
    let (body, tail) = rest.split_once("\n  0\nENDSEC\n").or_else(|| rest.split_once("\n0\nENDSEC\n")).unwrap();
    let lines: Vec<&str> = body.lines().collect();
    let mut entities: Vec<String> = Vec::new();
    for pair in lines.chunks(2) {
        // A polyline's vertices follow it.
        let begins = pair[0].trim() == "0" && !matches!(pair[1], "VERTEX" | "SEQEND" | "ATTRIB");
        if begins || entities.is_empty() {
            entities.push(String::new());
        }
        *entities.last_mut().unwrap() += &format!("{}\n{}\n", pair[0], pair[1]);
    }
    let order = (0..7).flat_map(|first| (first..entities.len()).step_by(7)).map(|i| entities[i].as_str());
    let mixed: String = order.rev().collect();
    format!("{head}\nENTITIES\n{mixed}0\nENDSEC\n{tail}")
}

#[test]
fn the_order_of_entities_reaches_no_sheet() {
    for sample in SAMPLES {
        let plan = read(sample, "plan.dxf");
        let other = shuffled(&plan);
        assert_ne!(plan, other);
        let (one, two) = (set_of(sample, &plan), set_of(sample, &other));
        assert!(sheets_pdf(&one).unwrap() == sheets_pdf(&two).unwrap(), "{sample}: PDF");
        assert!(sheets_dxf(&one) == sheets_dxf(&two), "{sample}: DXF");
        for (a, b) in one.sheets.iter().zip(&two.sheets) {
            assert!(sheet_svg(&one, a) == sheet_svg(&two, b), "{sample}: {}", a.number);
        }
    }
}
