//! Where leads leave the roof: over the eave to a box on the wall, or through the deck; and the boxes.

use super::super::Drawn;
use super::super::dimensions::measured;
use super::super::layers::Pen;
use super::super::pad::{Pad, rectangle};
use super::super::plan_model::Drawing;
use super::callouts::{around, break_line, callout, callouts};
use super::section::{DECK, Slope, body};
use super::{Detail, drawing};
use crate::geometry::{Box2, Point2, Vector2};
use crate::job::Work;
use crate::terms::{BoxPlace, EdgeKind};
use crate::units::feet_inches;
use crate::wiring::{JunctionBox, Lead, LegPlace, Terminal};

/// Half the side of a box as drawn in sections, inches.
const HALF_BOX: f64 = 3.0;

/// The edge that leads go over, and how a section square to it shows the roof.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Over {
    /// The roof rises inward, course over course.
    Eave,
    /// The roof is level in the section, which runs along one course.
    Rake,
}

impl Over {
    fn kind(self) -> EdgeKind {
        match self {
            Self::Eave => EdgeKind::Eave,
            Self::Rake => EdgeKind::Rake,
        }
    }

    fn words(self) -> &'static str {
        match self {
            Self::Eave => "eave",
            Self::Rake => "rake",
        }
    }

    fn slope(self, drawn: &Drawn, junction: &JunctionBox, scale: f64) -> Slope {
        match self {
            Self::Eave => Slope::at_pitch(drawn.roof.face(junction.face).pitch, scale),
            Self::Rake => Slope::at_pitch(0.0, scale),
        }
    }

    /// How much of the roof is shown, inches: at a rake past the end of the element.
    fn length(self, drawn: &Drawn) -> f64 {
        match self {
            Self::Eave => 10.0,
            Self::Rake => drawn.job.heat.outer_setback + 8.0,
        }
    }
}

/// Section through an outside box's exit over an eave, from the real course of one of its leads.
pub(super) fn over_eave<'a>(drawn: &'a Drawn<'a>) -> Option<Detail<'a>> {
    over_edge(drawn, Over::Eave)
}

/// The same over a rake.
pub(super) fn over_rake<'a>(drawn: &'a Drawn<'a>) -> Option<Detail<'a>> {
    over_edge(drawn, Over::Rake)
}

/// Section through the first such box, along the lead that leaves the roof nearest to the box's own exit: others run on along the edge.
fn over_edge<'a>(drawn: &'a Drawn<'a>, edge: Over) -> Option<Detail<'a>> {
    let on_edge = |b: &&JunctionBox| b.edge.is_some_and(|e| drawn.roof.edge(e).kind == edge.kind());
    let outside = drawn.wiring.boxes.iter().filter(|b| b.place == BoxPlace::OutsideWall).filter(on_edge);
    let path_of = |junction: &'a JunctionBox| {
        let leads = drawn.wiring.leads.iter().filter(|l| l.from == Terminal::Box(junction.id));
        let over = leads.filter(|l| l.legs.iter().any(|g| g.place == LegPlace::OverEave));
        let paths = over.map(|lead| in_section(junction, lead)).filter(|path| !path.is_empty());
        let aside = |path: &Vec<Point2>| path[path.len() - 1].y.abs();
        paths.min_by(|a, b| aside(a).total_cmp(&aside(b))).map(|path| (junction, path))
    };
    let (junction, mut path) = outside.filter_map(path_of).next()?;
    // Drawn from where this lead leaves the roof, which at a rake may be higher or lower than the box's exit.
    let lower = Vector2::new(0.0, -path[path.len() - 1].y);
    path.iter_mut().for_each(|p| *p = *p + lower);
    let at = section_point(junction, junction.at) + lower;
    let slope = edge.slope(drawn, junction, 1.0);
    let mut corners = path.clone();
    corners.extend([
        slope.point(edge.length(drawn), 0.0),
        Point2::new(at.x + 6.0, at.y - HALF_BOX - 6.0),
        Point2::new(-3.0, 0.0),
    ]);
    let bounds = around(&corners);
    let title = format!("Leads over the {} to box {}", edge.words(), junction.tag);
    let letter = move |scale: f64| over(drawn, (junction, at), edge, &path, bounds, scale);
    Some(Detail { title, bounds, letter: Box::new(letter) })
}

/// A point of space in the plane square to the wall through the exit: inward level, up; the exit is the origin.
fn section_point(junction: &JunctionBox, p: crate::geometry::Point3) -> Point2 {
    let level = p.plan() - junction.exit.plan();
    Point2::new(-level.dot(junction.outward), p.z - junction.exit.z)
}

/// The lead's legs on wall and edge, from the box up to the roof surface.
fn in_section(junction: &JunctionBox, lead: &Lead) -> Vec<Point2> {
    let legs = lead.legs.iter().filter(|l| matches!(l.place, LegPlace::Wall | LegPlace::OverEave));
    let mut path: Vec<Point2> = Vec::new();
    for p in legs.flat_map(|l| l.points.iter()).map(|&p| section_point(junction, p)) {
        if path.last().is_none_or(|q| q.distance(p) > 1e-6) {
            path.push(p);
        }
    }
    path
}

/// Deck, edge metal, barrier and one course in a section along it, with the end of an element at its setback.
fn along_a_course(drawn: &Drawn, slope: Slope, length: f64, pad: &mut Pad) {
    let depth = DECK / slope.scale;
    let deck = [slope.point(0.0, 0.0), slope.point(length, 0.0), slope.point(length, -depth), slope.point(0.0, -depth)];
    pad.ring("deck", Pen::Cut, deck.to_vec());
    pad.path("barrier", Pen::KeepOut, vec![slope.point(0.0, 0.018), slope.point(length, 0.018)]);
    let edge = slope.point(0.0, 0.0);
    pad.path("drip", Pen::Cut, vec![slope.point(2.5, 0.004), edge, edge + Vector2::new(0.0, -2.0)]);
    let setback = drawn.job.heat.outer_setback;
    slope.element(pad, "element", Pen::Deck, setback, length - setback, 0.03);
    let shingle = vec![slope.point(-0.25, 0.085), slope.point(length, 0.085)];
    pad.path("shingle", Pen::Cut, shingle);
    pad.dimension("dim.setback", measured(slope.point(0.0, 0.0), slope.point(setback, 0.0), 0.45));
}

fn over(
    drawn: &Drawn,
    (junction, at): (&JunctionBox, Point2),
    edge: Over,
    path: &[Point2],
    object: Box2,
    scale: f64,
) -> Drawing {
    let mut pad = Pad::default();
    let slope = edge.slope(drawn, junction, scale);
    let length = edge.length(drawn);
    let under = match edge {
        Over::Eave => {
            slope.roofing(&mut pad, &drawn.job.products.shingle.value, 2, length);
            9.0
        }
        Over::Rake => {
            along_a_course(drawn, slope, length, &mut pad);
            drawn.job.heat.outer_setback
        }
    };
    let tangent = slope.along.y / slope.along.x;
    let low = |x: f64| x * tangent - DECK / slope.along.x - 6.0;
    body(&mut pad, "fascia", Pen::Cut, Point2::new(0.1, low(0.1)), Point2::new(0.85, low(0.1) + 6.0), 235);
    if at.x > 1.5 {
        pad.line("soffit", Pen::Cut, Point2::new(0.1, low(0.1)), Point2::new(at.x, low(0.1)));
    }
    let foot = Point2::new(at.x, object.min.y);
    pad.line("wall", Pen::Cut, Point2::new(at.x, low(at.x).max(low(0.1))), foot);
    pad.path("wall.break", Pen::Beyond, break_line(foot - Vector2::new(1.5, 0.0), foot + Vector2::new(4.0, 0.0), 0.5));
    let outward = Point2::new(at.x - 4.0, at.y - HALF_BOX);
    body(&mut pad, "box", Pen::Box, outward, Point2::new(at.x, at.y + HALF_BOX), 245);
    // The lead enters from below.
    let mut lead = path.to_vec();
    if let Some(first) = lead.first_mut() {
        *first = Point2::new(at.x - 2.0, at.y - HALF_BOX);
    }
    if let Some(second) = lead.get_mut(1) {
        second.x = at.x - 2.0;
        second.y = second.y.min(at.y - HALF_BOX - 3.0);
    }
    if let Some(third) = lead.get_mut(2) {
        third.x = at.x - 0.5;
        let loop_foot = Point2::new(at.x - 5.0, at.y - HALF_BOX - 3.0);
        let loop_top = Point2::new(at.x - 5.0, at.y + HALF_BOX + 2.0);
        lead.splice(2..2, [loop_foot, loop_top, Point2::new(at.x - 0.5, at.y + HALF_BOX + 4.0)]);
    }
    let bottom = lead.iter().skip(1).take(2).map(|p| p.y).fold(f64::INFINITY, f64::min);
    pad.path("lead", Pen::Lead, lead.clone());
    pad.path("lead.deck", Pen::Lead, vec![Point2::new(0.0, 0.0), slope.point(under, 0.02)]);
    // The lead's outermost stretch hangs inside the guard.
    let out = path.iter().map(|p| p.x).fold(-1.0, f64::min);
    pad.ring("guard", Pen::Crossing, rectangle(Point2::new(out - 0.4, low(0.1) - 0.5), Point2::new(out + 0.4, 0.6)));
    let drop = drawn.job.wiring.wall_drop;
    let (a, b) = (Point2::new(at.x + 2.5, 0.0), Point2::new(at.x + 2.5, at.y));
    pad.dimension("dim.drop", measured(a, b, 0.2));
    let mut notes = vec![
        callout(slope.point(2.0 / 3.0 * under, 0.02), way_words(drawn)),
        callout(Point2::new(out + 0.4, -2.0), "guard over the edge: no lead lies bare on metal"),
        callout(Point2::new(lead[1].x, bottom), "drip loop: the lead enters the box from below"),
        callout(
            Point2::new(at.x - 1.0, at.y),
            format!("box {}: {}", junction.tag, drawn.job.products.outside_box.words),
        ),
        callout(
            Point2::new(at.x, 0.5 * (at.y + low(at.x))),
            format!("clipped to soffit and wall; box {} below the edge, verify on site", feet_inches(drop)),
        ),
    ];
    if edge == Over::Rake {
        let words = "end of the element: power connection with two sealing patches";
        notes.push(callout(slope.point(under + 0.5, 0.045), words));
    }
    callouts(&mut pad, scale, object, notes);
    drawing(&format!("over {}", edge.words()), scale, pad)
}

/// How leads lie on their way to the exit.
fn way_words(drawn: &Drawn) -> &'static str {
    match drawn.job.roof.work.value {
        Work::NewRoof => "leads come in a lane under the shingles, no nail across it",
        Work::Retrofit => "leads come under their piece's own tab, or up a lane stripped and relaid",
    }
}

/// Section through a hole in the deck.
pub(super) fn through_deck<'a>(drawn: &'a Drawn<'a>) -> Option<Detail<'a>> {
    let hole = drawn.wiring.holes.first()?;
    let pitch = drawn.roof.face(hole.face).pitch;
    let junction = drawn.wiring.boxes.iter().find(|b| b.id == hole.junction_box)?;
    let slope = Slope::at_pitch(pitch, 1.0);
    let bounds =
        around(&[slope.point(0.0, -1.0), slope.point(22.0, 0.0), Point2::new(11.0, slope.point(11.0, 0.0).y - 14.0)]);
    let title = format!("Leads through the deck to box {}", junction.tag);
    let letter = move |scale: f64| {
        let mut pad = Pad::default();
        let slope = Slope::at_pitch(pitch, scale);
        slope.roofing(&mut pad, &drawn.job.products.shingle.value, 4, 22.0);
        let at = 11.0;
        let under = slope.point(at, 0.0) + Vector2::new(0.0, -9.0);
        let sleeve = [
            slope.point(at - 0.6, 0.03),
            slope.point(at - 0.6, 0.0) - slope.out * (DECK + 0.8),
            slope.point(at + 0.6, 0.0) - slope.out * (DECK + 0.8),
            slope.point(at + 0.6, 0.03),
        ];
        pad.path("sleeve", Pen::Cut, sleeve.to_vec());
        let lead =
            vec![slope.point(at - 8.0, 0.03), slope.point(at, 0.03), slope.point(at, 0.0) - slope.out * 2.0, under];
        pad.path("lead", Pen::Lead, lead);
        let low = under + Vector2::new(-HALF_BOX, -2.0 * HALF_BOX + 1.0);
        body(&mut pad, "box", Pen::Box, low, Point2::new(under.x + HALF_BOX, under.y), 245);
        let notes = vec![
            callout(
                slope.point(at + 0.6, 0.03),
                "hole sleeved and sealed, above the dam's reach, 24 in or more from a valley",
            ),
            callout(
                slope.point(at, 0.0) - slope.out * (DECK + 0.6),
                format!("at most {} leads through one hole", drawn.job.wiring.leads_per_hole),
            ),
            callout(slope.point(at - 6.0, 0.03), way_words(drawn)),
            callout(
                Point2::new(under.x, under.y - HALF_BOX),
                format!("box {}: {}; reachable from the attic", junction.tag, drawn.job.products.inside_box.words),
            ),
        ];
        callouts(&mut pad, scale, bounds, notes);
        drawing("through deck", scale, pad)
    };
    Some(Detail { title, bounds, letter: Box::new(letter) })
}

/// The fullest box from the front with its leads and its home run.
pub(super) fn boxes<'a>(drawn: &'a Drawn<'a>) -> Option<Detail<'a>> {
    let leads_of = |b: &JunctionBox| drawn.wiring.leads.iter().filter(|l| l.from == Terminal::Box(b.id)).count();
    let fullest = drawn.wiring.boxes.iter().max_by_key(|b| (leads_of(b), std::cmp::Reverse(b.id)))?;
    let count = leads_of(fullest);
    let bounds = Box2 { min: Point2::new(-6.0, -8.0), max: Point2::new(6.0, 8.0) };
    let title = format!("Junction box {}, the fullest", fullest.tag);
    let letter = move |scale: f64| {
        let mut pad = Pad::default();
        body(&mut pad, "box", Pen::Box, Point2::new(-HALF_BOX, -HALF_BOX), Point2::new(HALF_BOX, HALF_BOX), 248);
        let step = 2.0 * HALF_BOX / (count as f64 + 1.0);
        for i in 0..count {
            let x = -HALF_BOX + step * (i as f64 + 1.0);
            pad.line(format!("lead{}", i + 1), Pen::Lead, Point2::new(x, -7.5), Point2::new(x, -HALF_BOX + 1.2));
            pad.ring(
                format!("gland{}", i + 1),
                Pen::Cut,
                rectangle(Point2::new(x - 0.3 * step, -HALF_BOX - 0.6), Point2::new(x + 0.3 * step, -HALF_BOX)),
            );
        }
        pad.ring("conduit", Pen::Cut, rectangle(Point2::new(-0.5, HALF_BOX), Point2::new(0.5, 7.5)));
        let kind = match fullest.place {
            BoxPlace::OutsideWall => &drawn.job.products.outside_box,
            BoxPlace::UnderDeck => &drawn.job.products.inside_box,
        };
        let circuits: Vec<String> = drawn
            .wiring
            .circuits
            .iter()
            .filter(|c| fullest.chains.iter().any(|k| c.chains.contains(k)))
            .map(|c| c.tag.clone())
            .collect();
        let leads = if count == 1 { "1 lead enters".to_owned() } else { format!("{count} leads enter") };
        let notes = vec![
            callout(Point2::new(0.5, 5.5), format!("home run to the panel: circuit {}", circuits.join(" "))),
            callout(
                Point2::new(1.8, 1.2),
                format!("{}: {} cubic inches, up to {} leads", kind.words, kind.cubic_inches, kind.leads),
            ),
            callout(
                Point2::new(HALF_BOX - step, -HALF_BOX - 0.3),
                format!("{leads} from below, each through its own sealed fitting"),
            ),
            callout(
                Point2::new(HALF_BOX - step, -6.5),
                format!("each labelled with its lead; {} left free inside", feet_inches(drawn.job.wiring.box_tail)),
            ),
            callout(
                Point2::new(-1.5, 0.0),
                "licensed electrician; grounds together; test every chain here and write it down",
            ),
        ];
        callouts(&mut pad, scale, bounds, notes);
        drawing("box", scale, pad)
    };
    Some(Detail { title, bounds, letter: Box::new(letter) })
}
