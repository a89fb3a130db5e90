//! A section square to the eave: stations along the slope, heights off the deck.

use super::super::layers::Pen;
use super::super::pad::{Pad, rectangle};
use crate::catalog::Shingle;
use crate::geometry::{Point2, Region, Vector2};

/// Drawn thickness of an element, inches on paper.
pub(super) const ELEMENT: f64 = 0.035;
/// Drawn height of a shingle's butt above the deck, inches on paper.
const BUTT: f64 = 0.13;
/// Drawn height of a shingle's upper edge above the deck, inches on paper.
const HEAD: f64 = 0.055;
/// Thickness of the deck, inches: half-inch sheathing, common practice; not dimensioned.
pub(super) const DECK: f64 = 0.5;

/// Where a section lies in its model.
#[derive(Clone, Copy)]
pub(super) struct Slope {
    /// Up the slope, length 1.
    pub along: Vector2,
    /// Out of the roof, length 1.
    pub out: Vector2,
    /// Model inches per paper inch.
    pub scale: f64,
    /// How much thicker than in a small section the layers are drawn.
    pub lift: f64,
}

impl Slope {
    /// A section through a roof of a rise per run; the drip edge is the origin and the slope rises to the right.
    pub(super) fn at_pitch(pitch: f64, scale: f64) -> Self {
        let length = (1.0 + pitch * pitch).sqrt();
        let along = Vector2::new(1.0 / length, pitch / length);
        Self { along, out: along.left(), scale, lift: 1.0 }
    }

    /// The point `s` inches up the slope and `n` paper inches of drawn thickness off the deck.
    pub(super) fn point(&self, s: f64, n: f64) -> Point2 {
        Point2::new(0.0, 0.0) + self.along * s + self.out * (n * self.scale * self.lift)
    }

    /// The deck's thickness as [`Slope::point`] takes it.
    fn depth(&self) -> f64 {
        DECK / (self.scale * self.lift)
    }

    /// The deck and the roofing of courses 1 to `courses` and the starter strip, from the drip edge to `top`.
    pub(super) fn roofing(&self, pad: &mut Pad, shingle: &Shingle, courses: u32, top: f64) {
        let depth = self.depth();
        let deck = [self.point(0.0, 0.0), self.point(top, 0.0), self.point(top, -depth), self.point(0.0, -depth)];
        pad.ring("deck", Pen::Cut, deck.to_vec());
        pad.path("barrier", Pen::KeepOut, vec![self.point(0.0, 0.018), self.point(top, 0.018)]);
        let drop = Vector2::new(0.0, -2.0);
        let edge = self.point(0.0, 0.0);
        pad.path("drip", Pen::Cut, vec![self.point(2.5, 0.004), edge, edge + drop]);
        let (exposure, height) = (shingle.exposure.inches(), shingle.height.inches());
        let hang = shingle.overhang.inches();
        let starter = shingle.starter_nail_high.inches() + 3.0;
        pad.path(
            "starter-strip",
            Pen::Beyond,
            vec![self.point(-hang, HEAD + 0.03), self.point(starter.min(top), HEAD)],
        );
        for course in 1..=courses {
            let butt = f64::from(course - 1) * exposure;
            let low = if course == 1 { -hang } else { butt };
            let head = butt + height;
            if low >= top {
                break;
            }
            // The butt rests on the course below.
            let under = if course == 1 { HEAD + 0.035 } else { BUTT + exposure / height * (HEAD - BUTT) };
            // Cut off where the section ends.
            let part = ((top - low) / (head - low)).min(1.0);
            let shingle = [
                self.point(low, under),
                self.point(low, BUTT),
                self.point(low + part * (head - low), BUTT + part * (HEAD - BUTT)),
            ];
            pad.path(format!("shingle{course}"), Pen::Cut, shingle.to_vec());
        }
    }

    /// An element seen on its edge, lower edge at `low`, `base` paper inches off the deck.
    pub(super) fn element(&self, pad: &mut Pad, id: &str, pen: Pen, low: f64, width: f64, base: f64) {
        let corners = [
            self.point(low, base),
            self.point(low + width, base),
            self.point(low + width, base + ELEMENT),
            self.point(low, base + ELEMENT),
        ];
        pad.tone(format!("{id}.strip"), pen, vec![Region::simple(corners.to_vec())], 0);
        pad.ring(id, pen, corners.to_vec());
    }

    /// A nail through everything, its head on the shingle.
    pub(super) fn nail(&self, pad: &mut Pad, id: &str, at: f64) {
        pad.line(id, Pen::NailGap, self.point(at, BUTT), self.point(at, -self.depth()));
        pad.line(
            format!("{id}.head"),
            Pen::NailGap,
            self.point(at, BUTT) - self.along * (0.035 * self.scale),
            self.point(at, BUTT) + self.along * (0.035 * self.scale),
        );
    }
}

/// A toned rectangle with an outline.
pub(super) fn body(pad: &mut Pad, id: &str, pen: Pen, min: Point2, max: Point2, tone: u8) {
    let corners = rectangle(min, max);
    pad.tone(format!("{id}.tone"), pen, vec![Region::simple(corners.clone())], tone);
    pad.ring(id, pen, corners);
}

/// Drawn height of a shingle's upper face `s` inches above its own butt, paper inches.
pub(super) fn butt_height(s: f64, shingle: &Shingle) -> f64 {
    BUTT + (s / shingle.height.inches()).clamp(0.0, 1.0) * (HEAD - BUTT)
}
