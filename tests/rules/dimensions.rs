//! Dimensions measure what they say, read by a DXF reader of others; leads go up to the fold they cross; and the order of a drawing's
//! entities reaches no sheet.

use eavesdraft::catalog::Catalogue;
use eavesdraft::job::Job;
use eavesdraft::pipeline::{lay_out, survey};
use eavesdraft::sheet::{Shape, SheetSet, sheets};
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

/// Both faces show the leads go on to the very fold, square to it, say which crossing of the plan that is and where they go, and
/// the notes say how far up the fold it lies.
#[test]
fn face_sheets_draw_leads_up_to_the_fold_they_cross() {
    let mut crossings = 0;
    for sample in SAMPLES {
        let job = Job::from_toml(&read(sample, "job.toml"), &Catalogue::sample()).unwrap().value;
        let project = lay_out(survey(read(sample, "plan.dxf").as_bytes(), &job).unwrap(), job).unwrap();
        let set = sheets(&project).value;
        for crossing in &project.wiring.crossings {
            for face in crossing.faces {
                let model = set.models.iter().position(|m| m.name == format!("face {face}")).unwrap();
                let items = &set.models[model].items;
                let layout = project.zones.layout(face).unwrap();
                let fold = layout.edges.iter().find(|e| e.edge == crossing.edge).unwrap();
                let along = (fold.b - fold.a).unit().unwrap();
                for lead in &crossing.leads {
                    let line = items.iter().find(|i| i.id == format!("{lead}.{}", crossing.id)).unwrap();
                    let Shape::Polyline { points, .. } = &line.shape else { panic!("{line:?}") };
                    let last = project.wiring.leads[lead.index()].legs.iter().filter(|l| l.face == Some(face));
                    let joins = last.flat_map(|leg| [leg.path.first(), leg.path.last()]).flatten();
                    assert!(
                        joins.clone().any(|p| p.distance(points[0]) < 1e-6),
                        "{sample} {face} {lead}: no end there"
                    );
                    let across = points[1] - points[0];
                    assert!(across.dot(along).abs() < 1e-6 && across.length() > 1.0, "{sample} {face} {lead}");
                    assert!(
                        (points[1] - fold.a).dot(along.left()).abs() < 1e-6,
                        "{sample} {face} {lead}: off the fold"
                    );
                }
                let says = |shape: &Shape, words: &str| matches!(shape, Shape::Text(t) if t.content.contains(words));
                let tag = format!("ACROSS {} TO ", crossing.id);
                assert!(items.iter().any(|item| says(&item.shape, &tag)), "{sample} {face}: {tag}");
                let shows = |view: &eavesdraft::sheet::Viewport| view.model.0 == model;
                let sheet = set.sheets.iter().find(|sheet| sheet.viewports.iter().any(shows)).unwrap();
                let note = format!("{}: L", crossing.id);
                assert!(sheet.items.iter().any(|item| says(&item.shape, &note)), "{sample} {face}: no note on {note}");
                crossings += 1;
            }
        }
    }
    assert!(crossings >= 8, "only {crossings}");
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
