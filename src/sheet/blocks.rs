//! Our own symbols, drawn in inches on paper so that they keep their size at every scale.

use super::layers::Pen;
use super::model::{Anchor, Block, BlockId};
use super::pad::{HEAD, Pad, TAG, rectangle};
use crate::geometry::{Point2, Region, Vector2};

/// The symbols of a set, in block order.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Symbol {
    /// Junction box outside: a square with a diagonal.
    BoxOutside,
    /// Junction box under the deck: the same, dashed ring around it.
    BoxInside,
    /// End of a segment where power comes in.
    FedEnd,
    /// Capped far end of a segment; x points out of the segment.
    CappedEnd,
    /// Sensor.
    Sensor,
    /// Drawing north.
    NorthArrow,
    /// Points down the slope along x.
    FallArrow,
    /// Leads cross a fold here; x along the lead.
    Crossing,
    /// No nail here.
    NailGap,
    /// A lead goes through the deck or over the edge here.
    Exit,
    /// Small arrow head at the origin, x pointing at what is meant.
    Pointer,
    /// Mark of a revision: a triangle about its letters.
    Revision,
}

/// Every symbol in block order.
pub(super) const SYMBOLS: [Symbol; 12] = [
    Symbol::BoxOutside,
    Symbol::BoxInside,
    Symbol::FedEnd,
    Symbol::CappedEnd,
    Symbol::Sensor,
    Symbol::NorthArrow,
    Symbol::FallArrow,
    Symbol::Crossing,
    Symbol::NailGap,
    Symbol::Exit,
    Symbol::Pointer,
    Symbol::Revision,
];

/// Length of the fall arrow, inches on paper.
pub(super) const FALL_ARROW: f64 = 0.5;
/// Half the side of a box symbol, inches on paper.
pub(super) const HALF_BOX: f64 = 0.1;

impl Symbol {
    pub(super) fn id(self) -> BlockId {
        BlockId(self as usize)
    }

    /// The block's name.
    pub(super) fn name(self) -> &'static str {
        match self {
            Self::BoxOutside => "JBOX-OUTSIDE",
            Self::BoxInside => "JBOX-UNDER-DECK",
            Self::FedEnd => "FED-END",
            Self::CappedEnd => "CAPPED-END",
            Self::Sensor => "SENSOR",
            Self::NorthArrow => "NORTH-ARROW",
            Self::FallArrow => "FALL-ARROW",
            Self::Crossing => "CROSSING",
            Self::NailGap => "NO-NAIL",
            Self::Exit => "LEAD-EXIT",
            Self::Pointer => "POINTER",
            Self::Revision => "REVISION-MARK",
        }
    }

    /// What it means, for the legend.
    pub(super) fn words(self) -> &'static str {
        match self {
            Self::BoxOutside => "junction box outside, wet location",
            Self::BoxInside => "junction box under the deck",
            Self::FedEnd => "fed end: power connection with two sealing patches",
            Self::CappedEnd => "far end: cut square, capped and sealed",
            Self::Sensor => "temperature-and-moisture sensor",
            Self::NorthArrow => "drawing north (up the drawing; verify)",
            Self::FallArrow => "fall of the face, pitch as rise in 12",
            Self::Crossing => "leads cross a fold here, square to it",
            Self::NailGap => "no nail here: a lead crosses the nail row",
            Self::Exit => "leads leave the roof surface",
            Self::Pointer => "points at what a note means",
            Self::Revision => "mark of a revision, beside a cloud around what it changed",
        }
    }

    /// What a DXF carries with it unseen.
    fn data(self) -> &'static [&'static str] {
        match self {
            Self::BoxOutside | Self::BoxInside => &["TAG", "PRODUCT", "CIRCUITS", "CHAINS"],
            Self::FedEnd => &["SEGMENT", "ELEMENT", "CUT", "CHAIN", "CIRCUIT", "BOX"],
            _ => &[],
        }
    }

    fn block(self) -> Block {
        let mut pad = Pad::default();
        let mut attributes = Vec::new();
        match self {
            Self::BoxOutside => junction_box(&mut pad, Pen::Box),
            Self::BoxInside => {
                junction_box(&mut pad, Pen::Box);
                pad.circle("ring", Pen::KeepOut, Point2::new(0.0, 0.0), HALF_BOX * 1.7);
            }
            Self::FedEnd => pad.tone("dot", Pen::Lead, vec![disc(0.042)], 0),
            Self::CappedEnd => pad.tone(
                "bar",
                Pen::Deck,
                vec![Region::simple(rectangle(Point2::new(0.0, -0.06), Point2::new(0.035, 0.06)))],
                0,
            ),
            Self::Sensor => {
                pad.tone("ground", Pen::Sensor, vec![disc(0.12)], 255);
                pad.circle("rim", Pen::Sensor, Point2::new(0.0, 0.0), 0.12);
                attributes.push(("LETTER".to_owned(), TAG.text(Point2::new(0.0, 0.0), Anchor::Middle, "T")));
            }
            Self::NorthArrow => north_arrow(&mut pad),
            Self::FallArrow => fall_arrow(&mut pad),
            Self::Crossing => {
                for (i, y) in [-0.07, 0.07].into_iter().enumerate() {
                    pad.line(format!("bar{i}"), Pen::Crossing, Point2::new(-0.12, y), Point2::new(0.12, y));
                }
            }
            Self::NailGap => {
                let r = 0.035;
                pad.line("a", Pen::NailGap, Point2::new(-r, -r), Point2::new(r, r));
                pad.line("b", Pen::NailGap, Point2::new(-r, r), Point2::new(r, -r));
            }
            Self::Exit => {
                pad.tone("ground", Pen::Lead, vec![disc(0.06)], 255);
                pad.circle("rim", Pen::Box, Point2::new(0.0, 0.0), 0.06);
                pad.tone("dot", Pen::Lead, vec![disc(0.02)], 0);
            }
            Self::Revision => {
                let corners = vec![Point2::new(-0.18, -0.104), Point2::new(0.18, -0.104), Point2::new(0.0, 0.208)];
                pad.tone("ground", Pen::Revision, vec![Region::simple(corners.clone())], 255);
                pad.ring("rim", Pen::Revision, corners);
                attributes.push(("MARK".to_owned(), TAG.text(Point2::new(0.0, -0.035), Anchor::Middle, "1")));
            }
            Self::Pointer => pad.tone(
                "head",
                Pen::Note,
                vec![Region::simple(vec![Point2::new(0.0, 0.0), Point2::new(-0.1, 0.022), Point2::new(-0.1, -0.022)])],
                0,
            ),
        }
        Block { name: self.name().to_owned(), items: pad.items, attributes, data: self.data().to_vec() }
    }
}

/// All symbols as blocks.
pub(super) fn blocks() -> Vec<Block> {
    SYMBOLS.iter().map(|s| s.block()).collect()
}

/// A sixteen-sided disc about the origin.
fn disc(radius: f64) -> Region {
    let turn = |i: u32| std::f64::consts::TAU * f64::from(i) / 16.0;
    Region::simple(
        (0..16)
            .map(|i| {
                Point2::new(radius * crate::geometry::trig::cos(turn(i)), radius * crate::geometry::trig::sin(turn(i)))
            })
            .collect(),
    )
}

fn junction_box(pad: &mut Pad, pen: Pen) {
    let (min, max) = (Point2::new(-HALF_BOX, -HALF_BOX), Point2::new(HALF_BOX, HALF_BOX));
    pad.tone("ground", pen, vec![Region::simple(rectangle(min, max))], 255);
    pad.tone("half", pen, vec![Region::simple(vec![min, Point2::new(max.x, min.y), max])], 0);
    pad.ring("rim", pen, rectangle(min, max));
}

fn north_arrow(pad: &mut Pad) {
    pad.circle("ring", Pen::Symbol, Point2::new(0.0, 0.0), 0.3);
    let half = vec![Point2::new(0.0, 0.3), Point2::new(-0.12, -0.26), Point2::new(0.0, -0.16)];
    pad.tone("half", Pen::Symbol, vec![Region::simple(half)], 0);
    pad.path("other", Pen::Symbol, vec![Point2::new(0.0, -0.16), Point2::new(0.12, -0.26), Point2::new(0.0, 0.3)]);
    pad.text("n", Pen::Symbol, HEAD.text(Point2::new(0.0, 0.36), Anchor::Center, "N"));
}

fn fall_arrow(pad: &mut Pad) {
    pad.line("shaft", Pen::Fall, Point2::new(0.0, 0.0), Point2::new(FALL_ARROW - 0.1, 0.0));
    let head = [Vector2::new(0.0, 0.0), Vector2::new(-0.13, 0.035), Vector2::new(-0.13, -0.035)];
    let tip = Point2::new(FALL_ARROW, 0.0);
    pad.tone("head", Pen::Fall, vec![Region::simple(head.iter().map(|&v| tip + v).collect())], 0);
}
