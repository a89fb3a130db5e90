//! The plan as a true-size model: roof, zones, elements, leads, boxes, with tags and dimensions for one scale.

use super::Drawn;
use super::blocks::{HALF_BOX, Symbol};
use super::dimensions::{dimension_parts, measured, readable};
use super::labels::{Label, Placer, draw_labels};
use super::layers::Pen;
use super::model::{Anchor, Dimension, Fill, Model, Text};
use super::pad::{LEVEL, NOTE, Pad, TAG, rectangle};
use super::revisions::draw_clouds;
use super::roof_lines::{around_box, draw_roof, edge_labels, opening_labels, opening_words, places_in, tag_face};
use super::schedule::feed_cells;
use crate::courses::ElementRole;
use crate::geometry::{Box2, FaceFrame, Point2, Region, Ring, Vector2};
use crate::index::{BoxId, FaceId, LeadId, ZoneId};
use crate::roof::Roof;
use crate::terms::BoxPlace;
use crate::units::feet_inches;
use crate::wiring::{Lead, Leg, LegPlace, Terminal};
use crate::zones::Interval2;

/// A model with what found no room on it and goes into the key.
#[derive(Debug, Clone)]
pub(super) struct Drawing {
    /// The model.
    pub model: Model,
    /// Words for the key, in order.
    pub key: Vec<String>,
}

/// Hatch of heated zones.
pub(super) fn zone_hatch() -> Fill {
    let half = std::f64::consts::FRAC_1_SQRT_2;
    Fill::Lines { along: Vector2::new(half, half), spacing: 0.07 }
}

/// From hole to hole in plan, inches of paper, from which each has its own mark: the width of a mark.
const HOLE_ROOM: f64 = 0.12;
/// Tone of an element strip: dark enough to stand out beside dashes, lighter than the roof's heavy lines.
pub(super) fn element_tone(pen: Pen) -> u8 {
    if pen == Pen::Starter { 40 } else { 120 }
}

/// The pen of an element.
pub(super) fn element_pen(role: ElementRole) -> Pen {
    match role {
        ElementRole::Starter => Pen::Starter,
        ElementRole::Deck => Pen::Deck,
    }
}

/// The heating plan, lettered for a scale.
pub(super) fn heating_plan(drawn: &Drawn, scale: f64) -> Drawing {
    let mut pad = Pad::default();
    let mut placer = Placer::new(scale);
    draw_zones(drawn, &mut pad);
    draw_elements(drawn, &mut pad, &mut placer);
    // Roof lines may run under the sensor's symbol, which has a white ground: only what is laid must stay clear of it.
    let sensor = drawn.wiring.sensor.as_ref().map(|sensor| sensor_at(drawn, sensor.at.plan(), scale, placer.clone()));
    draw_roof(drawn.roof, &mut pad, &mut placer);
    draw_leads(drawn, scale, &mut pad, &mut placer);
    draw_devices(drawn, sensor, scale, &mut pad, &mut placer);
    overall_dimensions(drawn.roof, scale, &mut pad, &mut placer);
    let face_bounds = |face| drawn.roof.region(face).exterior.bounds();
    let marks = draw_clouds(drawn, scale, face_bounds, &mut pad, &mut placer);
    let mut labels = device_labels(drawn, sensor, scale);
    labels.extend(opening_labels(drawn.roof, scale));
    labels.extend(edge_labels(drawn.roof, scale));
    let mut key = draw_labels(labels, &mut pad, &mut placer);
    key.extend(marks);
    for face in &drawn.roof.faces {
        if !tag_face(drawn.roof, face.id, scale, &mut pad, &mut placer) {
            key.push(face_in_words(drawn.roof, face.id));
        }
    }
    key.extend(draw_labels(zone_labels(drawn, scale), &mut pad, &mut placer));
    Drawing { model: Model { name: "plan".into(), is_plan: true, lettered_for: scale, items: pad.items }, key }
}

/// The roof alone, with open questions marked, lettered for a scale.
pub(super) fn roof_plan(roof: &Roof, scale: f64) -> Drawing {
    let mut pad = Pad::default();
    let mut placer = Placer::new(scale);
    draw_roof(roof, &mut pad, &mut placer);
    overall_dimensions(roof, scale, &mut pad, &mut placer);
    let mut key = question_marks(roof, scale, &mut pad, &mut placer);
    let mut labels = opening_labels(roof, scale);
    labels.extend(edge_labels(roof, scale));
    key.extend(draw_labels(labels, &mut pad, &mut placer));
    for face in &roof.faces {
        if !tag_face(roof, face.id, scale, &mut pad, &mut placer) {
            key.push(face_in_words(roof, face.id));
        }
    }
    Drawing { model: Model { name: "plan".into(), is_plan: true, lettered_for: scale, items: pad.items }, key }
}

fn face_in_words(roof: &Roof, face: FaceId) -> String {
    let data = roof.face(face);
    let edges: Vec<String> = data.exterior.iter().map(|h| h.edge.to_string()).collect();
    format!("{face} {} between {}", crate::units::pitch_in_12(data.pitch), edges.join(", "))
}

/// A circled number of its question beside each open edge.
fn question_marks(roof: &Roof, scale: f64, pad: &mut Pad, placer: &mut Placer) -> Vec<String> {
    let mut key = Vec::new();
    for (number, question) in roof.questions.iter().enumerate() {
        for &edge in &question.edges {
            let line = roof.segment(edge);
            let words = format!("Q{}", number + 1);
            let Some(along) = (line.b - line.a).unit() else { continue };
            let spots = [0.2, 0.36]
                .into_iter()
                .flat_map(|away| [0.5, 0.35, 0.65, 0.2, 0.8, 0.1, 0.9].map(|t| (away, t)))
                .flat_map(|(away, t)| [away, -away].map(|off| line.a.lerp(line.b, t) + along.left() * (off * scale)));
            let Some(at) = spots.into_iter().find(|&p| placer.spot_is_free(p, 0.14)) else {
                key.push(format!("{words}: {edge}"));
                continue;
            };
            placer.block_spot(at, 0.14);
            pad.circle(format!("{edge}.q{}.ring", number + 1), Pen::Open, at, 0.13 * scale);
            pad.text(format!("{edge}.q{}", number + 1), Pen::RoofTag, TAG.text(at, Anchor::Middle, words));
        }
    }
    key
}

/// A region of a developed face in plan.
fn to_plan(frame: &FaceFrame, region: &Region) -> Region {
    let ring = |r: &Ring| Ring::new(r.points.iter().map(|&p| frame.to_plan(p)).collect());
    Region { exterior: ring(&region.exterior), holes: region.holes.iter().map(ring).collect() }
}

/// Corners of a rectangle of a developed face in plan.
fn quad_in_plan(frame: &FaceFrame, extent: Interval2) -> [Point2; 4] {
    let corners = rectangle(Point2::new(extent.u.low, extent.v.low), Point2::new(extent.u.high, extent.v.high));
    [corners[0], corners[1], corners[2], corners[3]].map(|p| frame.to_plan(p))
}

fn draw_zones(drawn: &Drawn, pad: &mut Pad) {
    for zone in &drawn.zones.zones {
        let Some(layout) = drawn.zones.layout(zone.face) else { continue };
        let raised = drawn.courses.zones.iter().find(|z| z.zone == zone.id).map(|z| &z.regions);
        let regions = raised.filter(|r| !r.is_empty()).unwrap_or(&zone.regions);
        let plan: Vec<Region> = regions.iter().map(|r| to_plan(&layout.frame, r)).collect();
        pad.hatch(zone.id.to_string(), Pen::Zone, plan, zone_hatch());
    }
}

fn draw_elements(drawn: &Drawn, pad: &mut Pad, placer: &mut Placer) {
    for segment in drawn.laid {
        let Some(layout) = drawn.zones.layout(segment.face) else { continue };
        let corners = quad_in_plan(&layout.frame, Interval2 { u: segment.along, v: segment.across });
        if drawn.wiring.feed(segment.id).is_none() {
            // Not installed.
            pad.ring(segment.id.to_string(), Pen::Cold, corners.to_vec());
            placer.block_quad(corners);
            continue;
        }
        let pen = element_pen(segment.element);
        pad.tone(format!("{}.strip", segment.id), pen, vec![Region::simple(corners.to_vec())], element_tone(pen));
        pad.ring(segment.id.to_string(), pen, corners.to_vec());
        placer.block_quad(corners);
    }
    for (i, cold) in drawn.courses.cold.iter().enumerate() {
        let zone = drawn.zones.zones.iter().find(|z| z.id == cold.zone);
        let Some((zone, rule)) = zone.zip(drawn.courses.rule.as_ref()) else { continue };
        let Some(layout) = drawn.zones.layout(zone.face) else { continue };
        let v = zone.base_v + course_offset(rule, cold.course);
        let ends = [cold.along.low, cold.along.high].map(|u| layout.frame.to_plan(Point2::new(u, v)));
        pad.line(format!("cold.{}", i + 1), Pen::Cold, ends[0], ends[1]);
    }
}

/// Lower edge of a course's element above the drip edge.
pub(super) fn course_offset(rule: &crate::courses::CourseRule, course: u32) -> f64 {
    if course == 0 { 0.0 } else { f64::from(course) * rule.exposure + rule.rise }
}

/// A lead as the plan shows it, stretch by stretch: on the roof and under the deck. What runs on the soffit and the wall under the edge is drawn
/// along the edge, outside it, to in front of the box: in its true place it would cross the elements above it.
fn lead_in_plan(drawn: &Drawn, legs: &[Leg], junction: BoxId) -> Vec<(Pen, Vec<Point2>)> {
    let junction = &drawn.wiring.boxes[junction.index()];
    let on_wall = |leg: &Leg| leg.place == LegPlace::Wall;
    let below = |leg: &Leg| leg.place == LegPlace::UnderDeck;
    let in_front = |p: Point2| {
        let along = junction.outward.left();
        p + along * (junction.at.plan() - p).dot(along)
    };
    let shown: Vec<&Leg> = legs.iter().filter(|leg| !on_wall(leg)).collect();
    let mut stretches: Vec<(Pen, Vec<Point2>)> = Vec::new();
    for stretch in shown.chunk_by(|a, b| below(a) == below(b)) {
        let pen = if below(stretch[0]) { Pen::LeadBelow } else { Pen::Lead };
        stretches.push((pen, stretch.iter().flat_map(|leg| leg.points.iter().map(|p| p.plan())).collect()));
    }
    if legs.first().is_some_and(on_wall)
        && let Some((_, points)) = stretches.first_mut()
    {
        points.insert(0, in_front(points[0]));
    }
    if legs.last().is_some_and(on_wall)
        && let Some((_, points)) = stretches.last_mut()
    {
        points.push(in_front(points[points.len() - 1]));
    }
    for (_, points) in &mut stretches {
        // Straight down a wall is a point in plan.
        points.dedup_by(|a, b| a.distance(*b) <= 1e-6);
    }
    stretches.retain(|(_, points)| points.len() > 1);
    stretches
}

/// The box a lead comes from: of a jumper, that of its piece.
fn box_of(drawn: &Drawn, lead: &Lead) -> Option<BoxId> {
    match lead.from {
        Terminal::Box(id) => Some(id),
        Terminal::Segment(id, _) => drawn.wiring.feed(id).map(|feed| feed.junction_box),
    }
}

/// Holes through the deck, each with the first lead that takes it; a box's own is marked with the box. Of marks that would lie on one another, less than
/// `apart` from middle to middle, the first stands for all.
fn holes(drawn: &Drawn, apart: f64) -> Vec<(LeadId, Point2)> {
    let mut marked: Vec<Point2> = drawn.wiring.boxes.iter().map(|junction| junction.exit.plan()).collect();
    let mut holes = Vec::new();
    for hole in &drawn.wiring.holes {
        let Some((lead, layout)) = hole.leads.first().zip(drawn.zones.layout(hole.face)) else { continue };
        let at = layout.frame.to_plan(hole.at);
        if marked.iter().all(|mark| mark.distance(at) >= apart) {
            marked.push(at);
            holes.push((*lead, at));
        }
    }
    holes
}

/// Every stretch of a lead to be drawn on the plan, the lead it is of and the number of it along the lead.
fn leads_in_plan(drawn: &Drawn) -> impl Iterator<Item = (LeadId, usize, Pen, Vec<Point2>)> {
    drawn.wiring.leads.iter().flat_map(|lead| {
        let stretches = box_of(drawn, lead).map(|junction| lead_in_plan(drawn, &lead.legs, junction));
        let numbered = stretches.unwrap_or_default().into_iter().enumerate();
        numbered.map(|(i, (pen, points))| (lead.id, i, pen, points))
    })
}

fn draw_leads(drawn: &Drawn, scale: f64, pad: &mut Pad, placer: &mut Placer) {
    let part = |i: usize| if i == 0 { String::new() } else { format!(".{}", i + 1) };
    for (lead, i, pen, points) in leads_in_plan(drawn) {
        placer.block_path(&points, 0.01);
        pad.path(format!("{lead}{}", part(i)), pen, points);
    }
    if let Some(lead) = drawn.wiring.sensor.as_ref().and_then(|sensor| sensor.lead.as_ref()) {
        for (i, (_, points)) in lead_in_plan(drawn, &lead.legs, lead.junction_box).into_iter().enumerate() {
            placer.block_path(&points, 0.01);
            pad.path(format!("sensor.lead{}", part(i)), Pen::Sensor, points);
        }
    }
    for (lead, at) in holes(drawn, HOLE_ROOM * scale) {
        pad.insert(format!("{lead}.hole"), Pen::Box, Symbol::Exit.id(), at, LEVEL, Vec::new());
        placer.block_spot(at, 0.07);
    }
    for crossing in drawn.wiring.crossings.iter().filter(|c| !c.leads.is_empty()) {
        let line = drawn.roof.segment(crossing.edge);
        let along = (line.b - line.a).unit().unwrap_or(LEVEL);
        pad.insert(
            crossing.id.to_string(),
            Pen::Crossing,
            Symbol::Crossing.id(),
            crossing.at,
            along.left(),
            Vec::new(),
        );
        placer.block_spot(crossing.at, 0.13);
    }
}

/// Values of a fed end's data: segment, element, cut, chain, circuit, box.
fn fed_data(drawn: &Drawn, segment: &crate::courses::Segment) -> Vec<String> {
    let [_, chain, circuit, junction] = feed_cells(drawn, segment);
    let cut = feet_inches(segment.cut_length);
    vec![segment.tag.clone(), segment.element_key.clone(), cut, chain, circuit, junction]
}

/// Values of a box's data: tag, product, circuits, chains.
fn box_data(drawn: &Drawn, junction: &crate::wiring::JunctionBox) -> Vec<String> {
    let chains: Vec<String> = junction.chains.iter().map(ToString::to_string).collect();
    vec![junction.tag.clone(), junction.box_key.clone(), circuits_of(drawn, junction).join(" "), chains.join(" ")]
}

fn draw_devices(drawn: &Drawn, sensor_at: Option<Point2>, scale: f64, pad: &mut Pad, placer: &mut Placer) {
    for (segment, feed) in fed_ends(drawn) {
        let Some(layout) = drawn.zones.layout(segment.face) else { continue };
        let end = match feed {
            crate::wiring::End::Left => segment.left_end(),
            crate::wiring::End::Right => segment.right_end(),
        };
        let at = layout.frame.to_plan(end);
        pad.insert(format!("{}.fed", segment.id), Pen::Lead, Symbol::FedEnd.id(), at, LEVEL, fed_data(drawn, segment));
    }
    for junction in &drawn.wiring.boxes {
        let exit = junction.exit.plan();
        let symbol = if junction.place == BoxPlace::UnderDeck { Symbol::BoxInside } else { Symbol::BoxOutside };
        pad.insert(format!("{}.exit", junction.id), Pen::Box, Symbol::Exit.id(), exit, LEVEL, Vec::new());
        placer.block_spot(exit, 0.07);
        let at = shown_at(drawn, junction, scale);
        pad.insert(junction.id.to_string(), Pen::Box, symbol.id(), at, LEVEL, box_data(drawn, junction));
        placer.block_spot(at, HALF_BOX + 0.02);
    }
    if let Some((sensor, at)) = drawn.wiring.sensor.as_ref().zip(sensor_at) {
        let true_place = sensor.at.plan();
        if at != true_place {
            let toward = (true_place - at).unit().unwrap_or(LEVEL);
            pad.line("sensor.place", Pen::Sensor, at + toward * (0.12 * scale), true_place);
        }
        pad.insert("sensor", Pen::Sensor, Symbol::Sensor.id(), at, LEVEL, vec!["T".into()]);
        placer.block_spot(at, 0.14);
    }
}

/// Where the sensor's symbol is drawn: at its place, or the nearest clear spot about it where elements or leads lie there. A line
/// then shows the place.
fn sensor_at(drawn: &Drawn, place: Point2, scale: f64, mut placer: Placer) -> Point2 {
    for (.., points) in leads_in_plan(drawn) {
        placer.block_path(&points, 0.01);
    }
    for junction in &drawn.wiring.boxes {
        placer.block_spot(shown_at(drawn, junction, scale), HALF_BOX + 0.02);
    }
    let turns = [(0.0, 1.0), (0.0, -1.0), (1.0, 0.0), (-1.0, 0.0), (0.7, 0.7), (-0.7, 0.7), (0.7, -0.7), (-0.7, -0.7)];
    let rings = (0..16).flat_map(|ring| {
        let away = 0.25 + 0.15 * f64::from(ring);
        turns.iter().map(move |&(x, y)| place + Vector2::new(x, y) * (away * scale))
    });
    std::iter::once(place).chain(rings).find(|&at| placer.spot_is_free(at, 0.13)).unwrap_or(place)
}

/// Where a box is drawn in plan: outside boxes hang on the wall under the eave, so their symbol is moved out where it can be
/// read; the exit mark shows the true place.
///
/// Boxes with one exit stand side by side along the wall, each symbol clear of the next and of its tag.
fn shown_at(drawn: &Drawn, junction: &crate::wiring::JunctionBox, scale: f64) -> Point2 {
    let exit = junction.exit.plan();
    let together: Vec<_> = drawn
        .wiring
        .boxes
        .iter()
        .filter(|other| {
            other.place == junction.place
                && other.edge == junction.edge
                && other.exit.plan().distance(exit) < 0.3 * scale
        })
        .map(|other| other.id)
        .collect();
    let position = together.iter().position(|&id| id == junction.id).unwrap_or(0) as f64;
    let aside = (position - 0.5 * (together.len() as f64 - 1.0)) * 0.36 * scale;
    let middle = 1.0 / together.len().max(1) as f64;
    match junction.place {
        BoxPlace::UnderDeck => junction.at.plan() + LEVEL * aside,
        BoxPlace::OutsideWall => {
            let shared = drawn.wiring.boxes.iter().filter(|b| together.contains(&b.id));
            let sum = shared.fold(Vector2::new(0.0, 0.0), |sum, b| sum + b.exit.plan().to_vector());
            let from = Point2::new(sum.x * middle, sum.y * middle);
            from + junction.outward * (0.3 * scale) + junction.outward.left() * aside
        }
    }
}

/// Each fed segment with its fed end.
pub(super) fn fed_ends<'d>(
    drawn: &'d Drawn,
) -> impl Iterator<Item = (&'d crate::courses::Segment, crate::wiring::End)> + use<'d> {
    let segments = drawn.laid;
    drawn.wiring.feeds.iter().map(move |feed| (&segments[feed.segment.index()], feed.fed_end))
}

fn device_labels(drawn: &Drawn, sensor_at: Option<Point2>, scale: f64) -> Vec<Label> {
    let mut labels = Vec::new();
    let mut tag = |id: String, at: Point2, half: f64, words: Vec<String>| {
        let bounds = Box2 { min: at, max: at }.grown(half * scale);
        let around = |bounds: Box2| words.iter().flat_map(move |w| around_box(bounds, scale, w).into_iter().skip(1));
        // Farther off only where a cloud or lines leave no room beside it.
        let candidates = around(bounds).chain(around(bounds.grown(0.3 * scale))).collect();
        labels.push(Label { id: format!("{id}.tag"), pen: Pen::HeatTag, candidates, key: words[0].clone() });
    };
    for junction in &drawn.wiring.boxes {
        let circuits = circuits_of(drawn, junction);
        let long = format!("{} {}", junction.tag, circuits.join(" ")).trim().to_owned();
        let at = shown_at(drawn, junction, scale);
        tag(junction.id.to_string(), at, HALF_BOX + 0.02, vec![long, junction.tag.clone()]);
    }
    for crossing in drawn.wiring.crossings.iter().filter(|c| !c.leads.is_empty()) {
        let many = if crossing.leads.len() == 1 { "LEAD" } else { "LEADS" };
        let mut words = format!("{} {} {many}", crossing.id, crossing.leads.len());
        if crossing.cap_gap > 0.0 {
            words += &format!(", NO CAP NAIL IN {}", feet_inches(crossing.cap_gap));
        }
        tag(crossing.id.to_string(), crossing.at, 0.12, vec![words, crossing.id.to_string()]);
    }
    if let Some(at) = sensor_at {
        tag("sensor".into(), at, 0.13, vec!["SENSOR".into()]);
    }
    labels
}

/// Tags of the circuits that end in a box.
pub(super) fn circuits_of(drawn: &Drawn, junction: &crate::wiring::JunctionBox) -> Vec<String> {
    let mut found = Vec::new();
    for chain in junction.chains.iter().map(|c| &drawn.wiring.chains[c.index()]) {
        let tag = drawn.wiring.circuits[chain.circuit.index()].tag.clone();
        if !found.contains(&tag) {
            found.push(tag);
        }
    }
    found
}

/// Overall size below and to the left of everything on the roof.
fn overall_dimensions(roof: &Roof, scale: f64, pad: &mut Pad, placer: &mut Placer) {
    for (number, unit) in roof.units.iter().enumerate() {
        let nodes = unit.faces.iter().flat_map(|&f| roof.region(f).exterior.points);
        let Some(bounds) = Box2::around(nodes) else { continue };
        let (min, max) = (bounds.min, bounds.max);
        for (name, a, b) in [
            // Offsets go to the left of a to b: below when walking left, left of the roof when walking up.
            ("width", Point2::new(max.x, min.y), min),
            ("depth", min, Point2::new(min.x, max.y)),
        ] {
            let dimension = measured(a, b, 0.75);
            block_dimension(&dimension, scale, placer);
            pad.dimension(format!("R{}.{name}", number + 1), dimension);
        }
    }
}

/// Keeps labels off a dimension.
pub(super) fn block_dimension(dimension: &Dimension, scale: f64, placer: &mut Placer) {
    let paper = |p: Point2| Point2::new(p.x / scale, p.y / scale);
    let parts = dimension_parts(paper(dimension.a), paper(dimension.b), dimension.offset, &dimension.text);
    let back = |p: Point2| Point2::new(p.x * scale, p.y * scale);
    for line in &parts.lines {
        placer.block_line(back(line.a), back(line.b), 0.005);
    }
    placer.take_text(&Text { at: back(parts.text.at), ..parts.text });
}

/// What a zone's tag says.
fn zone_words(drawn: &Drawn, zone: ZoneId) -> Vec<String> {
    let laid = drawn.laid.iter().filter(|s| s.zone == zone);
    let (segments, left_out): (Vec<_>, Vec<_>) = laid.partition(|s| drawn.wiring.feed(s.id).is_some());
    let circuits: std::collections::BTreeSet<&str> = drawn
        .wiring
        .feeds
        .iter()
        .filter(|f| segments.iter().any(|s| s.id == f.segment))
        .map(|f| drawn.wiring.circuits[f.circuit.index()].tag.as_str())
        .collect();
    let circuits: Vec<&str> = circuits.into_iter().collect();
    let range = match (segments.first(), segments.last()) {
        (Some(first), Some(last)) if segments.len() > 1 => format!("{} TO {}", first.tag, last.tag),
        (Some(only), _) => only.tag.clone(),
        _ if left_out.is_empty() => "COLD".to_owned(),
        _ => return vec![format!("{zone}: NOT INSTALLED"), zone.to_string()],
    };
    let length: f64 = segments.iter().map(|s| s.cut_length).sum();
    let partly = if left_out.is_empty() { String::new() } else { format!(", {} NOT INSTALLED", left_out.len()) };
    let long = format!("{zone}: {range}, {} {}{partly}", feet_inches(length), circuits.join(" "));
    vec![long.trim().to_owned(), format!("{zone}: {range}{partly}"), zone.to_string()]
}

/// A tag for each zone along its band, above it, else free on its face as near to the band as can be: farther off it would be read
/// as another zone's.
fn zone_labels(drawn: &Drawn, scale: f64) -> Vec<Label> {
    let mut labels = Vec::new();
    for zone in &drawn.zones.zones {
        let Some(layout) = drawn.zones.layout(zone.face) else { continue };
        let frame = &layout.frame;
        let courses = drawn.courses.zones.iter().find(|z| z.zone == zone.id);
        let top = zone.base_v + courses.map_or(zone.required_reach, |z| z.provided_reach.max(z.required_reach));
        let reading = readable(frame.along);
        let words = zone_words(drawn, zone.id);
        // Where its pieces lie: beyond them, along the same face, the tag would be read as another zone's.
        let pieces = drawn.courses.segments.iter().filter(|s| s.zone == zone.id);
        let reach = pieces.fold(None, |reach: Option<(f64, f64)>, s| {
            let (low, high) = reach.unwrap_or((s.along.low, s.along.high));
            Some((low.min(s.along.low), high.max(s.along.high)))
        });
        let (low, high) = reach.unwrap_or((zone.along.low, zone.along.high));
        let middle = frame.to_plan(Point2::new(0.5 * (low + high), top));
        let mut free = places_in(&drawn.roof.region(zone.face), 9.0 * scale / 48.0);
        free.sort_by(|a, b| a.distance(middle).total_cmp(&b.distance(middle)));
        let mut candidates: Vec<Text> = Vec::new();
        for content in &words {
            for away in [0.08, 0.22, 0.36, 0.5] {
                for t in [0.5, 0.4, 0.6, 0.3, 0.7, 0.2, 0.8] {
                    let u = low + t * (high - low);
                    let foot = frame.to_plan(Point2::new(u, top));
                    let drop = if reading.left().dot(frame.uphill) < 0.0 { NOTE.height } else { 0.0 };
                    let at = foot + frame.uphill * ((away + drop) * scale);
                    candidates.push(TAG.turned(at, Anchor::Center, reading, content.as_str()));
                }
            }
            candidates.extend(free.iter().map(|&at| TAG.turned(at, Anchor::Middle, reading, content.as_str())));
        }
        labels.push(Label { id: format!("{}.tag", zone.id), pen: Pen::HeatTag, candidates, key: words[0].clone() });
    }
    labels
}

/// What a lead joins, in words: `J1 to F1-3`.
pub(super) fn terminal_words(drawn: &Drawn, terminal: Terminal) -> String {
    match terminal {
        Terminal::Box(id) => drawn.wiring.boxes[id.index()].tag.clone(),
        Terminal::Segment(id, end) => {
            let side = match end {
                crate::wiring::End::Left => "left",
                crate::wiring::End::Right => "right",
            };
            format!("{} {side}", drawn.courses.segments[id.index()].tag)
        }
    }
}

/// Openings of the roof in words, for notes.
pub(super) fn openings_in_words(roof: &Roof) -> Vec<String> {
    roof.openings
        .iter()
        .map(|o| {
            let faces: Vec<String> = o.parts.iter().map(|(f, _)| f.to_string()).collect();
            format!("{} {} on {}", o.id, opening_words(o.kind), faces.join(", "))
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::super::fixtures::layout_of;
    use super::*;
    use crate::catalog::Catalogue;
    use crate::job::{Job, Under, Work};
    use crate::roof::fixtures::{gable, hipped_l};

    /// Leads over a rake reach the front of their box without crossing back over the elements: what is past the edge stays past it.
    #[test]
    fn leads_over_an_edge_are_drawn_along_it() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.roof.work.value = Work::Retrofit;
        let made = layout_of(gable(480.0, 288.0, 0.5), job);
        let drawn = made.drawn();
        let mut along = 0;
        for lead in &drawn.wiring.leads {
            let Some(start) = lead.legs.first().filter(|leg| leg.place == LegPlace::Wall) else { continue };
            let stretches = lead_in_plan(&drawn, &lead.legs, box_of(&drawn, lead).unwrap());
            let points = &stretches[0].1;
            let junction = &drawn.wiring.boxes[box_of(&drawn, lead).unwrap().index()];
            let (first, true_place) = (points[0], start.points[0].plan());
            assert!((first - true_place).dot(junction.outward.left()).abs() < 1e-6, "{}: in front of its box", lead.id);
            assert!((first - junction.exit.plan()).dot(junction.outward) > -1e-6, "{}: outside the edge", lead.id);
            let run = points[1] - first;
            along += usize::from(run.length() > 1.0 && run.dot(junction.outward).abs() < 1e-6);
        }
        assert!(along > 2, "{along} leads run along the edge");
    }

    /// What lies under the deck is told from what lies on the roof, from the box to the hole, and every hole is marked.
    #[test]
    fn leads_under_the_deck_are_drawn_apart_up_to_their_holes() {
        let mut job = Job::with_defaults(&Catalogue::sample()).unwrap();
        job.roof.work.value = Work::Retrofit;
        job.roof.under.value = Under::Attic;
        job.heat.valleys = true;
        let made = layout_of(hipped_l(), job);
        let drawn = made.drawn();
        let mut marks: Vec<Point2> = drawn.wiring.boxes.iter().map(|junction| junction.exit.plan()).collect();
        marks.extend(holes(&drawn, 1e-6).iter().map(|(_, at)| at));
        let mut below = 0;
        for lead in drawn.wiring.leads.iter().filter(|l| l.legs.iter().any(|leg| leg.place == LegPlace::UnderDeck)) {
            let junction = &drawn.wiring.boxes[box_of(&drawn, lead).unwrap().index()];
            let stretches = lead_in_plan(&drawn, &lead.legs, junction.id);
            let pens: Vec<Pen> = stretches.iter().map(|(pen, _)| *pen).collect();
            assert_eq!(pens, [Pen::LeadBelow, Pen::Lead], "{}", lead.id);
            let [(_, under), (_, over)] = &stretches[..] else { unreachable!() };
            assert!(under[0].distance(junction.at.plan()) < 1e-6, "{}: from its box", lead.id);
            let hole = under[under.len() - 1];
            assert!(hole.distance(over[0]) < 1e-6, "{}: the two meet", lead.id);
            assert!(marks.iter().any(|mark| mark.distance(hole) < 1e-6), "{}: no mark at its hole", lead.id);
            below += 1;
        }
        assert!(below > 2, "{below} leads under the deck");
    }
}
