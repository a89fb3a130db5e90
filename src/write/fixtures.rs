//! A small set with every shape, for the tests of the writers.

use crate::geometry::{Box2, Point2, Region, Ring, Vector2};
use crate::sheet::{
    Anchor, Block, BlockId, Dimension, Fill, FontWeight, Item, Layer, LayerId, LineType, Model, ModelId, Shape, Sheet,
    SheetSet, Text, Viewport,
};

const RIGHT: Vector2 = Vector2::new(1.0, 0.0);

fn p(x: f64, y: f64) -> Point2 {
    Point2::new(x, y)
}

fn item(id: &str, layer: usize, shape: Shape) -> Item {
    Item { id: id.into(), layer: LayerId(layer), shape }
}

pub(crate) fn text(at: Point2, anchor: Anchor, content: &str) -> Text {
    Text { at, anchor, height: 0.125, turn: RIGHT, weight: FontWeight::Regular, content: content.into(), mask: false }
}

fn rectangle(x: f64, y: f64, w: f64, h: f64) -> Vec<Point2> {
    vec![p(x, y), p(x + w, y), p(x + w, y + h), p(x, y + h)]
}

/// Two models (a plan 40 ft by 24 ft, a face), two sheets, two windows of which one is turned, and a symbol with an attribute.
pub(crate) fn set() -> SheetSet {
    let layer =
        |name, weight, line_type, gray, plots| Layer { name, words: "for tests", weight, line_type, gray, plots };
    SheetSet {
        job_number: "T-1".into(),
        title: "Test roof".into(),
        dxf: Default::default(),
        date: "2026-03-02".into(),
        layers: vec![
            layer("A-ROOF-OTLN", 50, LineType::Continuous, 0, true),
            layer("E-HEAT-ELEM", 35, LineType::Dashed, 90, true),
            layer("G-ANNO-TEXT", 18, LineType::Continuous, 0, true),
            layer("G-ANNO-REFR", 13, LineType::Center, 128, false),
        ],
        blocks: vec![Block {
            name: "EDFT-JBOX".into(),
            items: vec![item(
                "JBOX.frame",
                1,
                Shape::Polyline { points: rectangle(-0.1, -0.1, 0.2, 0.2), closed: true },
            )],
            attributes: vec![("TAG".into(), text(p(0.15, 0.0), Anchor::MiddleLeft, "J?"))],
            data: vec!["CIRCUITS"],
        }],
        models: vec![plan(), face()],
        sheets: sheets(),
    }
}

/// A line of a note on paper.
#[allow(dead_code, reason = "the outside tests take this file as a module and need no note")]
pub(crate) fn note(id: &str, at: Point2, words: &str) -> Item {
    item(id, 2, Shape::Text(Text { height: 0.1, ..text(at, Anchor::Left, words) }))
}

fn plan() -> Model {
    let hole = Ring::new(rectangle(100.0, 50.0, 30.0, 20.0).into_iter().rev().collect());
    let band = Region { exterior: Ring::new(rectangle(6.0, 0.0, 468.0, 80.0)), holes: vec![hole] };
    let hatch = Fill::Lines { along: Vector2::new(0.6, 0.8), spacing: 0.1 };
    Model {
        name: "plan".into(),
        is_plan: true,
        lettered_for: 48.0,
        items: vec![
            item("E1", 0, Shape::Polyline { points: rectangle(0.0, 0.0, 480.0, 288.0), closed: true }),
            item("E7", 3, Shape::Polyline { points: vec![p(0.0, 144.0), p(480.0, 144.0)], closed: false }),
            item("Z1", 1, Shape::Area { regions: vec![band], fill: hatch }),
            item("V1", 1, Shape::Circle { center: p(240.0, 200.0), radius: 6.0 }),
            item("E1.label", 2, Shape::Text(text(p(240.0, 12.0), Anchor::Middle, "E1 6:12 26.6° 50%"))),
            item(
                "D1",
                2,
                Shape::Dimension(Dimension { a: p(0.0, 0.0), b: p(480.0, 0.0), offset: -0.5, text: "40'-0\"".into() }),
            ),
            item(
                "J1",
                1,
                Shape::Insert {
                    block: BlockId(0),
                    at: p(480.0, -24.0),
                    turn: RIGHT,
                    attributes: vec!["J1".into(), "C1 C2".into()],
                },
            ),
        ],
    }
}

fn face() -> Model {
    Model {
        name: "face F1".into(),
        is_plan: false,
        lettered_for: 24.0,
        items: vec![
            item("F1", 0, Shape::Polyline { points: rectangle(0.0, 0.0, 480.0, 161.0), closed: true }),
            item(
                "S1",
                1,
                Shape::Area { regions: vec![Region::simple(rectangle(6.0, 1.125, 468.0, 4.0))], fill: Fill::Tone(200) },
            ),
        ],
    }
}

fn sheets() -> Vec<Sheet> {
    let frame = Box2 { min: p(0.5, 0.5), max: p(16.5, 10.5) };
    let sheet = |number: &str, title: &str, viewport: Viewport, items: Vec<Item>| Sheet {
        number: number.into(),
        title: title.into(),
        size: Vector2::new(17.0, 11.0),
        frame,
        viewports: vec![viewport],
        items,
    };
    let window = Box2 { min: p(1.0, 2.0), max: p(13.0, 10.0) };
    let plan = Viewport { model: ModelId(0), window, center: p(240.0, 144.0), scale: 48.0, turn: RIGHT };
    // 3-4-5: turned by 53.13 degrees.
    let face =
        Viewport { model: ModelId(1), window, center: p(240.0, 80.0), scale: 48.0, turn: Vector2::new(0.6, 0.8) };
    let border = Shape::Polyline { points: rectangle(0.5, 0.5, 16.0, 10.0), closed: true };
    let title =
        |n: usize, content: &str| item(&format!("title{n}"), 2, Shape::Text(text(p(13.2, 1.0), Anchor::Left, content)));
    vec![
        sheet("E-101", "Roof heating plan", plan, vec![item("border1", 0, border.clone()), title(1, "E-101 PLAN")]),
        sheet("E-401", "Face F1", face, vec![item("border2", 0, border), title(2, "E-401 FACE F1")]),
    ]
}
