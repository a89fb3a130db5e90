//! Leads on a developed face: their paths, where they leave it, crossings and gaps in the nail rows.

use super::blocks::Symbol;
use super::face_model::Face;
use super::labels::{Label, Placer};
use super::layers::Pen;
use super::pad::{LEVEL, Pad, TAG};
use super::plan_model::terminal_words;
use super::roof_lines::around_box;
use crate::geometry::{Box2, Point2};
use crate::index::{CrossingId, LeadId};
use crate::wiring::{Crossing, Lead, Leg, LegPlace, Terminal};

/// Where leads leave a face, and what is said there.
struct Exit {
    at: Point2,
    place: LegPlace,
    crossing: Option<CrossingId>,
    leads: Vec<LeadId>,
    beyond: Vec<String>,
}

impl Exit {
    fn how(&self) -> String {
        match (self.place, self.crossing) {
            (LegPlace::Crossing, Some(crossing)) => format!("ACROSS {crossing}"),
            (LegPlace::Crossing, None) => "ACROSS".to_owned(),
            (LegPlace::ThroughDeck | LegPlace::UnderDeck, _) => "THROUGH DECK".to_owned(),
            (LegPlace::OverEave | LegPlace::Wall, _) => "OVER EDGE".to_owned(),
            (LegPlace::Face, _) => "ON".to_owned(),
        }
    }
}

/// Paths, crossings, exits and nail gaps.
pub(super) fn draw_face_leads(face: &Face, pad: &mut Pad, placer: &mut Placer) {
    for lead in &face.leads {
        let legs = lead.legs.iter().filter(|l| l.face == Some(face.layout.face) && l.path.len() > 1);
        for (i, leg) in legs.enumerate() {
            let part = if i == 0 { String::new() } else { format!(".{}", i + 1) };
            placer.block_path(&leg.path, 0.012);
            pad.path(format!("{}{part}", lead.id), Pen::Lead, leg.path.clone());
        }
    }
    if let Some(sensor) = face.drawn.wiring.sensor.as_ref().filter(|sensor| sensor.face == face.layout.face) {
        for (i, leg) in
            sensor.lead.iter().flat_map(|lead| &lead.legs).filter(|leg| leg.face == Some(face.layout.face)).enumerate()
        {
            placer.block_path(&leg.path, 0.012);
            pad.path(format!("sensor.lead.{}", i + 1), Pen::Sensor, leg.path.clone());
        }
        let at = face.layout.frame.to_face(sensor.at.plan());
        pad.insert("sensor", Pen::Sensor, Symbol::Sensor.id(), at, LEVEL, vec!["T".into()]);
        placer.block_spot(at, 0.13);
    }
    for crossing in crossings(face) {
        let Some(side) = side_of(face, crossing) else { continue };
        for track in &crossing.tracks {
            let (end, on_fold) = (track.ends[side], face.layout.frame.to_face(track.at));
            placer.block_line(end, on_fold, 0.012);
            pad.line(format!("{}.{}", track.lead, crossing.id), Pen::Lead, end, on_fold);
        }
    }
    for (i, exit) in exits(face).iter().enumerate() {
        let across = exit.crossing.and_then(|id| to_the_fold(face, &face.drawn.wiring.crossings[id.index()]));
        // Square to the fold, as the leads lie.
        let turn = across.and_then(|[end, on_fold]| (on_fold - end).unit());
        let (symbol, room) = if turn.is_some() { (Symbol::Crossing, 0.13) } else { (Symbol::Exit, 0.08) };
        pad.insert(format!("exit.{}", i + 1), Pen::Crossing, symbol.id(), exit.at, turn.unwrap_or(LEVEL), Vec::new());
        placer.block_spot(exit.at, room);
    }
    let gaps = face.drawn.wiring.nail_gaps.iter().filter(|g| g.face == face.layout.face);
    let mut drawn: Vec<Point2> = Vec::new();
    for gap in gaps {
        // Leads side by side share a gap's mark on paper.
        if drawn.iter().any(|p| p.distance(gap.at) < 0.02 * face.scale) {
            continue;
        }
        drawn.push(gap.at);
        pad.insert(format!("nail.{}", drawn.len()), Pen::NailGap, Symbol::NailGap.id(), gap.at, LEVEL, Vec::new());
        placer.block_spot(gap.at, 0.04);
    }
}

/// Crossings of the face's folds that leads take.
pub(super) fn crossings<'a>(face: &Face<'a>) -> impl Iterator<Item = &'a Crossing> {
    let here = face.layout.face;
    face.drawn.wiring.crossings.iter().filter(move |c| c.faces.contains(&here) && !c.leads.is_empty())
}

/// Which of a crossing's two faces this one is.
fn side_of(face: &Face, crossing: &Crossing) -> Option<usize> {
    crossing.faces.iter().position(|&f| f == face.layout.face)
}

/// The middle of a crossing on the face: where its leads leave their lane, and where they pass the fold.
fn to_the_fold(face: &Face, crossing: &Crossing) -> Option<[Point2; 2]> {
    Some([crossing.ends[side_of(face, crossing)?], face.layout.frame.to_face(crossing.at)])
}

/// Exits with the leads that use them; those within a quarter inch of paper and of one kind are one.
fn exits(face: &Face) -> Vec<Exit> {
    let mut found: Vec<Exit> = Vec::new();
    for lead in &face.leads {
        for (leg, at, end) in leaves(face, lead) {
            let across = leg.crossing.and_then(|id| to_the_fold(face, &face.drawn.wiring.crossings[id.index()]));
            let at = across.map_or(at, |[_, on_fold]| on_fold);
            let beyond = beyond_words(face, end);
            let near = found
                .iter_mut()
                .find(|e| e.place == leg.place && e.crossing == leg.crossing && e.at.distance(at) < 0.25 * face.scale);
            match near {
                Some(exit) => {
                    if !exit.leads.contains(&lead.id) {
                        exit.leads.push(lead.id);
                    }
                    if !exit.beyond.contains(&beyond) {
                        exit.beyond.push(beyond);
                    }
                }
                None => {
                    let (place, crossing) = (leg.place, leg.crossing);
                    found.push(Exit { at, place, crossing, leads: vec![lead.id], beyond: vec![beyond] });
                }
            }
        }
    }
    found
}

/// Where a lead passes from this face to somewhere else: the leg beyond, the point, and the end of the lead on that side.
fn leaves<'a>(face: &Face, lead: &'a Lead) -> Vec<(&'a Leg, Point2, Terminal)> {
    let here = |i: usize| lead.legs[i].face == Some(face.layout.face) && !lead.legs[i].path.is_empty();
    let mut points = Vec::new();
    for i in 0..lead.legs.len() {
        if !here(i) {
            continue;
        }
        let path = &lead.legs[i].path;
        if i > 0 && !here(i - 1) {
            points.push((&lead.legs[i - 1], path[0], lead.from));
        }
        if i + 1 < lead.legs.len() && !here(i + 1) {
            points.push((&lead.legs[i + 1], path[path.len() - 1], lead.to));
        }
    }
    points
}

/// Where a lead goes that leaves this face: its box, or the face of its segment.
fn beyond_words(face: &Face, end: Terminal) -> String {
    match end {
        Terminal::Segment(id, _) => face.drawn.courses.segments[id.index()].face.to_string(),
        Terminal::Box(_) => terminal_words(face.drawn, end),
    }
}

/// `L1-L4 L7` for a rising list of leads.
pub(super) fn ranges(leads: &[LeadId]) -> String {
    id_ranges(leads.iter().map(|l| l.0), |n| LeadId(n).to_string())
}

/// Ids of one kind as `K1-K12 K15`: positions, and how one is printed.
pub(super) fn id_ranges(positions: impl IntoIterator<Item = u32>, print: impl Fn(u32) -> String) -> String {
    let mut sorted: Vec<u32> = positions.into_iter().collect();
    sorted.sort_unstable();
    let mut stretches: Vec<(u32, u32)> = Vec::new();
    for position in sorted {
        match stretches.last_mut() {
            Some((_, last)) if *last + 1 >= position => *last = position,
            _ => stretches.push((position, position)),
        }
    }
    let words: Vec<String> = stretches
        .into_iter()
        .map(|(from, to)| if from == to { print(from) } else { format!("{}-{}", print(from), print(to)) })
        .collect();
    words.join(" ")
}

/// Paper inches that the words of exits over the left (`side` -1) or right (+1) end of the face need beside it.
pub(super) fn exit_room(face: &Face, side: f64) -> f64 {
    let edge = if side < 0.0 { face.bounds.min.x } else { face.bounds.max.x };
    let there = exits(face).into_iter().filter(|exit| (exit.at.x - edge).abs() < 0.3 * face.scale);
    there.map(|exit| TAG.width(&exit_words(&exit)) + 0.25).fold(0.0, f64::max).min(2.5)
}

fn exit_words(exit: &Exit) -> String {
    format!("{} {} TO {}", ranges(&exit.leads), exit.how(), exit.beyond.join(", "))
}

/// What each exit says: which leads leave and where to. Words level with the exit come first, since exits stand one above the other.
pub(super) fn exit_labels(face: &Face) -> Vec<Label> {
    let exits = exits(face);
    let labels = exits.iter().enumerate().map(|(i, exit)| {
        let ids = ranges(&exit.leads);
        let long = exit_words(exit);
        let bounds = Box2 { min: exit.at, max: exit.at }.grown(0.1 * face.scale);
        let around = |bounds: Box2, words: &str| {
            let all = around_box(bounds, face.scale, words);
            // Beside it, then at its corners, then above and below; never on it.
            [3, 4, 5, 6, 7, 8, 1, 2, 11, 12, 9, 10].map(|place| all[place].clone())
        };
        let words = [&long, &format!("{ids} {}", exit.how()), &ids];
        let near = words.iter().flat_map(|words| around(bounds, words));
        let far = words.iter().flat_map(|words| around(bounds.grown(0.25 * face.scale), words));
        Label {
            id: format!("exit.{}.tag", i + 1),
            pen: Pen::HeatTag,
            candidates: near.chain(far).collect(),
            key: long.clone(),
        }
    });
    labels.chain(sensor_label(face)).collect()
}

/// The sensor, where it stands on this face; the notes say where its lead goes.
fn sensor_label(face: &Face) -> Option<Label> {
    let sensor = face.drawn.wiring.sensor.as_ref().filter(|sensor| sensor.face == face.layout.face)?;
    let at = face.layout.frame.to_face(sensor.at.plan());
    let bounds = Box2 { min: at, max: at }.grown(0.14 * face.scale);
    let candidates = around_box(bounds, face.scale, "SENSOR").into_iter().skip(1).collect();
    Some(Label { id: "sensor.tag".to_owned(), pen: Pen::HeatTag, candidates, key: "SENSOR".to_owned() })
}

#[cfg(test)]
mod tests {
    use super::super::face_model::{developed_face, heated_faces};
    use super::super::fixtures::layout;
    use super::super::model::Shape;
    use super::*;
    use crate::job::SheetSize;
    use crate::roof::fixtures::hipped_l;

    /// A piece of 6'-4 1/2" is tagged with its length as one of 6'-0" is: the stroke of the fraction costs it nothing.
    #[test]
    fn every_piece_with_room_carries_its_length() {
        let made = layout(hipped_l(), SheetSize::ArchD);
        let drawn = made.drawn();
        let mut looked = 0;
        for face in heated_faces(&drawn) {
            let items = developed_face(&face, 24.0).model.items;
            for piece in drawn.laid.iter().filter(|s| s.face == face.layout.face && s.course > 0 && s.cut_length > 60.0)
            {
                let length = crate::units::feet_inches(piece.cut_length);
                let tag = items.iter().find(|item| item.id == format!("{}.tag", piece.id)).map(|item| &item.shape);
                assert!(matches!(tag, Some(Shape::Text(t)) if t.content.ends_with(&length)), "{}: {tag:?}", piece.tag);
                looked += usize::from(length.contains('/'));
            }
        }
        assert!(looked > 10, "{looked} lengths with a fraction");
    }

    #[test]
    fn leads_in_a_row_are_written_as_ranges() {
        let ids = [3, 0, 1, 2, 6].map(LeadId);
        assert_eq!(ranges(&ids), "L1-L4 L7");
    }
}
