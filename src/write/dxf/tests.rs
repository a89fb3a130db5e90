//! What is written is read back by an independent reader (the `dxf` crate) and compared with what was drawn.

use super::{model_shifts, overlay_dxf, sheets_dxf};
use crate::geometry::{Point2, Point3};
use crate::import::SourceFrame;
use crate::sheet::{FontWeight, text_width};
use crate::units::DrawingUnit;
use crate::write::check::check_invariants;
use crate::write::fixtures;
use dxf::entities::{Entity, EntityType};
use dxf::enums::{AcadVersion, HorizontalTextJustification, Units};

fn load(bytes: &[u8]) -> dxf::Drawing {
    dxf::Drawing::load(&mut &bytes[..]).unwrap()
}

/// The item ids of entities with their kind.
fn id_of(entity: &Entity) -> Option<String> {
    let data = entity.common.x_data.iter().find(|x| x.application_name == "EAVESDRAFT")?;
    data.items.iter().find_map(|i| match i {
        dxf::XDataItem::Str(id) => Some(id.clone()),
        _ => None,
    })
}

fn find<'a>(drawing: &'a dxf::Drawing, id: &str) -> &'a Entity {
    drawing.entities().find(|e| id_of(e).as_deref() == Some(id)).unwrap_or_else(|| panic!("{id} is not there"))
}

fn corners(entity: &Entity) -> Vec<Point2> {
    match &entity.specific {
        EntityType::LwPolyline(line) => line.vertices.iter().map(|v| Point2::new(v.x, v.y)).collect(),
        EntityType::Line(line) => [&line.p1, &line.p2].map(|p| Point2::new(p.x, p.y)).to_vec(),
        other => panic!("{other:?}"),
    }
}

fn source() -> SourceFrame {
    SourceFrame {
        units: DrawingUnit::Millimetres,
        inches_per_unit: 1.0 / 25.4,
        origin: Point3::new(500_000.0, 250_000.0, 0.0),
    }
}

#[test]
fn both_drawings_keep_every_rule() {
    let set = fixtures::set();
    for bytes in [sheets_dxf(&set), overlay_dxf(&set, &source())] {
        assert_eq!(check_invariants(&bytes), Vec::<String>::new());
    }
}

#[test]
fn an_empty_set_is_still_a_drawing() {
    let bytes = sheets_dxf(&crate::sheet::SheetSet::default());
    assert_eq!(check_invariants(&bytes), Vec::<String>::new());
    assert_eq!(load(&bytes).entities().filter(|e| !e.common.is_in_paper_space).count(), 0);
}

#[test]
fn the_sheets_are_read_back_as_drawn() {
    let drawing = load(&sheets_dxf(&fixtures::set()));
    assert_eq!(drawing.header.version, AcadVersion::R2000);
    assert_eq!(drawing.header.default_drawing_units, Units::Inches);
    let outline = corners(find(&drawing, "E1"));
    assert_eq!(outline, [(0.0, 0.0), (480.0, 0.0), (480.0, 288.0), (0.0, 288.0)].map(|(x, y)| Point2::new(x, y)));
    assert_eq!(corners(find(&drawing, "E7")), [Point2::new(0.0, 144.0), Point2::new(480.0, 144.0)]);
    let EntityType::Circle(circle) = &find(&drawing, "V1").specific else { panic!() };
    assert_eq!((circle.center.x, circle.center.y, circle.radius), (240.0, 200.0, 6.0));
    let EntityType::Text(text) = &find(&drawing, "E1.label").specific else { panic!() };
    // 1/8 in on paper at 1:48.
    assert_eq!((text.value.as_str(), text.text_height), ("E1 6:12 26.6%%d 50%", 6.0));
    // Fitted between the ends of its baseline, 3 below the middle (240, 12) where it is held.
    assert_eq!(text.horizontal_text_justification, HorizontalTextJustification::Fit);
    let (left, right) = (&text.location, &text.second_alignment_point);
    let width = text_width("E1 6:12 26.6° 50%", 6.0, FontWeight::Regular);
    assert!((right.x - left.x - width).abs() < 1e-3 && left.y == 9.0 && right.y == 9.0, "{left:?} {right:?}");
    assert!((0.5 * (left.x + right.x) - 240.0).abs() < 1e-3);
    let EntityType::Insert(insert) = &find(&drawing, "J1").specific else { panic!() };
    assert_eq!((insert.name.as_str(), insert.x_scale_factor), ("EDFT-JBOX", 48.0));
    let attribute = insert.attributes().next().unwrap();
    assert_eq!((attribute.attribute_tag.as_str(), attribute.value.as_str()), ("TAG", "J1"));
    let unseen = insert.attributes().nth(1).unwrap();
    assert_eq!((unseen.attribute_tag.as_str(), unseen.value.as_str()), ("CIRCUITS", "C1 C2"));
    assert!(unseen.is_invisible() && !attribute.is_invisible());
    let EntityType::RotatedDimension(_) = &find(&drawing, "D1").specific else { panic!("{:?}", find(&drawing, "D1")) };
    let block = drawing.blocks().find(|b| b.name == "*D1").unwrap();
    assert_eq!(block.entities.len(), 6, "dimension line, two extension lines, two ticks, figures");
}

/// Model space of the `dxf` crate leaves out hatches; everything else must be there once, and the paper of the first layout.
#[test]
fn nothing_is_lost_or_doubled() {
    let drawing = load(&sheets_dxf(&fixtures::set()));
    let mut ids: Vec<String> = drawing.entities().filter_map(id_of).collect();
    ids.sort();
    assert_eq!(ids, ["D1", "E1", "E1.label", "E7", "F1", "J1", "V1", "border1"]);
    let mut layers: Vec<&str> = drawing.layers().map(|l| l.name.as_str()).collect();
    layers.sort_unstable();
    assert_eq!(layers, ["0", "A-ROOF-OTLN", "E-HEAT-ELEM", "G-ANNO-NPLT", "G-ANNO-REFR", "G-ANNO-TEXT"]);
    let other = drawing.blocks().find(|b| b.name == "*Paper_Space0").unwrap();
    assert_eq!(other.entities.iter().filter_map(id_of).collect::<Vec<_>>(), ["border2"]);
    let words = |e: &Entity| if let EntityType::Text(t) = &e.specific { Some(t.value.clone()) } else { None };
    assert_eq!(other.entities.iter().filter_map(words).collect::<Vec<_>>(), ["E-401 FACE F1"]);
}

#[test]
fn the_second_model_stands_clear_of_what_windows_show_of_the_first() {
    let set = fixtures::set();
    let shifts = model_shifts(&set);
    // The plan's window shows x from -48 to 528, its lettering margin to 576. The face's turned window: half widths 288 and 192,
    // turned by 3-4-5: 0.6 * 288 + 0.8 * 192 = 326.4 to the left of 240. So -86.4 + shift >= 576 + 240: 902.4, in steps of 120.
    assert_eq!(shifts, [0.0, 960.0]);
    let drawing = load(&sheets_dxf(&set));
    assert_eq!(corners(find(&drawing, "F1"))[0], Point2::new(960.0, 0.0));
}

/// 480 in are 12,192 mm; the working origin stands at (500 m, 250 m).
#[test]
fn the_overlay_lies_in_the_source_drawing() {
    let drawing = load(&overlay_dxf(&fixtures::set(), &source()));
    assert_eq!(drawing.header.default_drawing_units, Units::Millimeters);
    let outline = corners(find(&drawing, "E1"));
    for (found, (x, y)) in outline.iter().zip([(0.0, 0.0), (12_192.0, 0.0), (12_192.0, 7_315.2), (0.0, 7_315.2)]) {
        assert!(found.distance(Point2::new(500_000.0 + x, 250_000.0 + y)) < 1e-6, "{found:?}");
    }
    let EntityType::Text(text) = &find(&drawing, "E1.label").specific else { panic!() };
    assert!((text.text_height - 6.0 * 25.4).abs() < 1e-6);
    assert!(drawing.entities().all(|e| id_of(e).as_deref() != Some("F1")), "faces are not in the overlay");
}

/// Notes 0.165 in apart in letters of 0.1 in: spacing factor 0.165 / (5/3 * 0.1) = 0.99.
#[test]
fn lines_of_a_note_are_one_text_of_paragraphs() {
    let mut set = fixtures::set();
    let line = |i: usize, y: f64, words: &str| fixtures::note(&format!("note.{i}"), Point2::new(2.0, y), words);
    set.sheets[0].items.extend([
        line(1, 5.0, "first {line} 6°"),
        line(2, 4.835, "second"),
        line(3, 4.67, "third"),
        line(4, 4.0, "apart"),
    ]);
    let bytes = sheets_dxf(&set);
    assert_eq!(check_invariants(&bytes), Vec::<String>::new());
    let drawing = load(&bytes);
    let notes: Vec<_> = drawing
        .entities()
        .filter_map(|e| if let EntityType::MText(text) = &e.specific { Some(text) } else { None })
        .collect();
    let [note] = notes[..] else { panic!("{} notes", notes.len()) };
    assert_eq!(note.text, "first \\{line\\} 6%%d\\Psecond\\Pthird");
    assert_eq!((note.insertion_point.x, note.insertion_point.y, note.initial_text_height), (2.0, 5.1, 0.1));
    assert!((note.line_spacing_factor - 0.99).abs() < 1e-9);
    let apart = |e: &Entity| matches!(&e.specific, EntityType::Text(t) if t.value == "apart");
    assert_eq!(drawing.entities().filter(|e| apart(e)).count(), 1);
}

#[test]
fn the_later_release_keeps_tones_as_true_colours() {
    let mut set = fixtures::set();
    set.dxf = crate::terms::DxfRelease::R2010;
    let bytes = sheets_dxf(&set);
    assert_eq!(check_invariants(&bytes), Vec::<String>::new());
    let drawing = load(&bytes);
    assert_eq!(drawing.header.version, AcadVersion::R2010);
    assert_eq!(corners(find(&drawing, "E1")).len(), 4);
    // Tone 90 of 255 is 0x5A5A5A.
    let text = String::from_utf8(bytes).unwrap();
    assert!(text.contains(&format!("\n420\n{}\n", 0x5A_5A5A)));
}

#[test]
fn two_runs_give_the_same_bytes() {
    assert_eq!(sheets_dxf(&fixtures::set()), sheets_dxf(&fixtures::set()));
}
