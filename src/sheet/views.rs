//! A model fitted to a piece of a sheet at a true scale, with its title and scale bar.

use super::blocks::blocks;
use super::flatten::{MarkKind, flatten, place_text};
use super::layers::{Pen, layers};
use super::model::{Anchor, Model, ModelId, Sheet, SheetSet, Viewport};
use super::pad::{HEAD, LEVEL, NOTE, Pad, TAG};
use super::plan_model::Drawing;
use super::scales::{Scale, scales};
use crate::geometry::{Box2, Point2, Region, Vector2};
use std::collections::BTreeMap;

/// White around what a window shows, inches on paper.
const WINDOW_ROOM: f64 = 0.06;
/// Height of the title below a window, inches on paper.
pub(super) const VIEW_TITLE: f64 = 0.75;

/// A drawing lettered for the scale at which it fits.
#[derive(Debug, Clone)]
pub(super) struct Fitted {
    /// The drawing.
    pub drawing: Drawing,
    /// Its scale.
    pub scale: Scale,
    /// Size of its window on paper.
    pub size: Vector2,
    /// Model point in the middle of the window.
    pub center: Point2,
}

/// Draws an object for any scale asked for, each only once: several arrangements of a sheet are tried with one drawing.
pub(super) struct Letterer<L: Fn(f64) -> Drawing> {
    letter: L,
    /// The bare object, for a quick look.
    bounds: Box2,
    /// By position of the scale.
    made: BTreeMap<usize, (Drawing, Box2)>,
}

impl<L: Fn(f64) -> Drawing> Letterer<L> {
    /// Nothing drawn yet.
    pub(super) fn new(bounds: Box2, letter: L) -> Self {
        Self { letter, bounds, made: BTreeMap::new() }
    }

    /// The largest scale at which the drawing, with all its lettering, fits `room`.
    pub(super) fn fit(&mut self, room: Vector2) -> Fitted {
        let all = scales();
        let last = all.len() - 1;
        for (position, scale) in all.into_iter().enumerate() {
            let bare = Vector2::new(self.bounds.width() / scale.factor, self.bounds.height() / scale.factor);
            if position < last && (bare.x > room.x || bare.y > room.y) {
                continue;
            }
            let (drawing, extent) = self.made.entry(position).or_insert_with(|| {
                let drawing = (self.letter)(scale.factor);
                let extent = extent(&drawing.model, scale.factor);
                (drawing, extent)
            });
            let size = Vector2::new(extent.width(), extent.height());
            if position == last || (size.x <= room.x && size.y <= room.y) {
                let middle = extent.center();
                let center = Point2::new(middle.x * scale.factor, middle.y * scale.factor);
                return Fitted { drawing: drawing.clone(), scale, size, center };
            }
        }
        unreachable!("the last scale is always taken")
    }
}

/// Extent of a model on paper at a scale, about the model's origin, with white around it.
fn extent(model: &Model, scale: f64) -> Box2 {
    const FAR: f64 = 1e9;
    let window = Box2 { min: Point2::new(-FAR, -FAR), max: Point2::new(FAR, FAR) };
    let viewport = Viewport { model: ModelId(0), window, center: Point2::new(0.0, 0.0), scale, turn: LEVEL };
    let set = SheetSet { layers: layers(), blocks: blocks(), models: vec![model.clone()], ..SheetSet::default() };
    let sheet = Sheet {
        number: String::new(),
        title: String::new(),
        size: Vector2::new(0.0, 0.0),
        frame: window,
        viewports: vec![viewport],
        items: Vec::new(),
    };
    let marks = flatten(&set, &sheet);
    let points = marks.iter().flat_map(|mark| match &mark.kind {
        MarkKind::Stroke { points, width, .. } => {
            // A heavy line reaches past its points.
            points.iter().flat_map(|&p| corners_about(p, 0.5 * width)).collect::<Vec<_>>()
        }
        MarkKind::Fill { rings, .. } => rings.iter().flat_map(|r| r.points.clone()).collect(),
        MarkKind::Text { at, turn, width, cap_height, .. } => {
            let up = turn.left();
            let low = *at - up * (0.3 * cap_height);
            let high = *at + up * *cap_height;
            vec![low, high, low + *turn * *width, high + *turn * *width]
        }
    });
    let nothing = Box2 { min: Point2::new(0.0, 0.0), max: Point2::new(0.0, 0.0) };
    Box2::around(points).unwrap_or(nothing).grown(WINDOW_ROOM)
}

fn corners_about(p: Point2, half: f64) -> [Point2; 2] {
    [Point2::new(p.x - half, p.y - half), Point2::new(p.x + half, p.y + half)]
}

/// Puts a fitted drawing on a sheet, the upper left corner of its window at `corner`, with title and scale bar below,
/// `room` inches wide.
/// Returns the viewport.
pub(super) fn place_view(
    pad: &mut Pad,
    fitted: &Fitted,
    model: ModelId,
    corner: Point2,
    (number, title): (usize, &str),
    room: f64,
) -> Viewport {
    let window = Box2 {
        min: Point2::new(corner.x, corner.y - fitted.size.y),
        max: Point2::new(corner.x + fitted.size.x, corner.y),
    };
    view_title(pad, Point2::new(window.min.x, window.min.y - 0.1), number, title, &fitted.scale, room);
    Viewport { model, window, center: fitted.center, scale: fitted.scale.factor, turn: LEVEL }
}

/// From the middle of a view's number to its words, and from the words to the bar, inches on paper.
const TITLE_STEPS: [f64; 2] = [0.32, 0.35];

/// Width of a view's title with its scale bar at its natural size, inches on paper.
pub(super) fn title_width(title: &str, scale: &Scale) -> f64 {
    let words = HEAD.width(&title.to_uppercase()).max(NOTE.width(&format!("SCALE {}", scale.words)));
    0.22 + TITLE_STEPS[0] + words + TITLE_STEPS[1] + 48.0 * bar_feet(scale) / scale.factor + 0.4
}

/// Feet of one part of the scale bar: a round number that takes about half an inch of paper or more.
fn bar_feet(scale: &Scale) -> f64 {
    let steps = [1.0, 2.0, 5.0, 10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0];
    steps.into_iter().find(|f| f * 12.0 / scale.factor >= 0.45).unwrap_or(1000.0 * scale.factor / 192.0)
}

/// Circled number, title, scale and scale bar in `room` inches of width; `corner` is the upper left.
fn view_title(pad: &mut Pad, corner: Point2, number: usize, title: &str, scale: &Scale, room: f64) {
    let id = format!("view{number}");
    let middle = Point2::new(corner.x + 0.22, corner.y - 0.3);
    pad.circle(format!("{id}.ring"), Pen::Symbol, middle, 0.2);
    pad.text(format!("{id}.number"), Pen::Symbol, HEAD.text(middle, Anchor::Middle, number.to_string()));
    let words = middle.x + TITLE_STEPS[0];
    let heading = HEAD.text(Point2::new(words, middle.y + 0.06), Anchor::Left, title.to_uppercase());
    let scale_words = NOTE.text(Point2::new(words, middle.y - 0.16), Anchor::Left, format!("SCALE {}", scale.words));
    let wide = place_text(&heading, heading.at, LEVEL).width.max(place_text(&scale_words, scale_words.at, LEVEL).width);
    pad.text(format!("{id}.title"), Pen::Symbol, heading);
    pad.text(format!("{id}.scale"), Pen::Symbol, scale_words);
    let end = words + wide;
    pad.line(format!("{id}.rule"), Pen::Symbol, Point2::new(middle.x + 0.2, middle.y), Point2::new(end, middle.y));
    let bar = end + TITLE_STEPS[1];
    scale_bar(pad, &id, Point2::new(bar, middle.y - 0.04), scale, corner.x + room - bar);
}

/// A bar of four equal parts of a round number of feet, each about half an inch of paper or more; of inches where feet need more
/// than `room`.
fn scale_bar(pad: &mut Pad, id: &str, at: Point2, scale: &Scale, room: f64) {
    let feet = bar_feet(scale);
    let fits = |inches: f64| 4.0 * inches / scale.factor + 0.4 <= room;
    let inches = [6.0, 3.0, 1.0].into_iter().find(|&inches| fits(inches)).filter(|_| !fits(12.0 * feet));
    let (feet, printed, unit) = inches.map_or((feet, feet, " ft"), |inches| (inches / 12.0, inches, " in"));
    let part = feet * 12.0 / scale.factor;
    for i in 0..4 {
        let (min, max) =
            (Point2::new(at.x + part * f64::from(i), at.y), Point2::new(at.x + part * f64::from(i + 1), at.y + 0.06));
        let corners = super::pad::rectangle(min, max);
        if i % 2 == 0 {
            pad.tone(format!("{id}.bar{i}.tone"), Pen::Symbol, vec![Region::simple(corners.clone())], 0);
        }
        pad.ring(format!("{id}.bar{i}"), Pen::Title, corners);
    }
    for i in [0.0, 1.0, 2.0, 4.0] {
        let unit = if i == 4.0 { unit } else { "" };
        let words = format!("{:.0}{unit}", printed * i);
        let text = TAG.text(Point2::new(at.x + part * i, at.y + 0.1), Anchor::Center, words);
        pad.text(format!("{id}.bar.at{i:.0}"), Pen::Note, text);
    }
}
