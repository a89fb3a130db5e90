//! A job file becomes a [`Job`]: what was typed is laid over the defaults and marked as given.

use super::file::{EdgeTable, EdgeWord, FaceTable, JobFile, RevisionTable, job_schema};
use super::limits::Limits;
use super::model::{BoxSetting, EdgeHint, FaceHint, GableForm, Job, Measure, PartGable, Revision, Setting, Target};
use crate::catalog::Catalogue;
use crate::error::{Error, Result};
use crate::finding::{Outcome, Place};
use crate::geometry::Point2;
use crate::settings::{self, Lines};
use crate::terms::EdgeKind;
use std::collections::BTreeMap;

impl Job {
    /// Reads a job file against the catalogue its products come from. The findings list what nobody gave.
    ///
    /// # Errors
    /// Each with the line, the key and what would be right:
    /// - `settings-syntax`, `unknown-key`, `missing-key`, `wrong-value`: see [`settings::read`];
    /// - `out-of-range`: a value outside the range the message names;
    /// - `unsafe-number`: a job number that cannot begin a file name;
    /// - `unknown-product`, `dry-box-outside`, `catalogue-lacks`: see [`super::Products`];
    /// - `no-target`, `two-targets`, `wrong-tag`, `doubled-entry`: an edge, face or box entry that names nothing, two
    ///   things, something else or what an earlier entry names.
    pub fn from_toml(text: &str, catalogue: &Catalogue) -> Result<Outcome<Job>> {
        let (file, lines): (JobFile, Lines) = settings::read(text, &job_schema())?;
        let mut job = Self::with_defaults(catalogue)?;
        let limits = Limits::new(&lines);
        read_project(&mut job, &file, &lines)?;
        read_roof(&mut job, &file, &limits)?;
        read_heat(&mut job, &file, &limits)?;
        read_courses(&mut job, &file, &limits)?;
        read_wiring(&mut job, &file, &limits)?;
        super::supply::read(&mut job, &file, &limits)?;
        super::estimate::read(&mut job, &file, &limits)?;
        job.roof.edges = edge_hints(&file.roof.edge, &limits)?;
        job.roof.faces = face_hints(&file.roof.face, &limits)?;
        job.products.choose(&file.products, catalogue, &lines)?;
        put(&mut job.sheet.size, file.sheet.size);
        put(&mut job.sheet.dxf, file.sheet.dxf);
        let findings = job.assumptions();
        Ok(Outcome { value: job, findings })
    }

    /// The path of the catalogue a job file names, as typed; needed before the job itself can be read.
    ///
    /// # Errors
    /// As [`settings::read`].
    pub fn catalogue_path(text: &str) -> Result<Option<String>> {
        let (file, _): (JobFile, Lines) = settings::read(text, &job_schema())?;
        Ok(file.products.catalogue)
    }
}

pub(super) fn put<T>(slot: &mut T, typed: Option<T>) {
    if let Some(value) = typed {
        *slot = value;
    }
}

pub(super) fn give<T>(slot: &mut Setting<T>, typed: Option<T>) {
    if let Some(value) = typed {
        *slot = Setting::given(value);
    }
}

fn read_project(job: &mut Job, file: &JobFile, lines: &Lines) -> Result<()> {
    let typed = file.project.clone();
    if let Some(number) = &typed.number {
        let safe = |c: char| c.is_ascii_alphanumeric() || c == '-' || c == '_';
        if number.is_empty() || number.len() > 64 || number.starts_with('-') || !number.chars().all(safe) {
            return Err(Error::usage("unsafe-number", format!("the job number '{number}' cannot begin a file name"))
                .at(lines.place("project.number"))
                .with_hint("use up to 64 letters, digits, - and _, not starting with -"));
        }
    }
    let project = &mut job.project;
    put(&mut project.number, typed.number);
    put(&mut project.title, typed.title);
    put(&mut project.site, typed.site);
    put(&mut project.owner, typed.owner);
    put(&mut project.designer, typed.designer);
    put(&mut project.drawn_by, typed.drawn_by);
    put(&mut project.checked_by, typed.checked_by);
    put(&mut project.date, typed.date);
    project.revisions = revisions(&typed.revision, lines)?;
    Ok(())
}

fn revisions(typed: &[RevisionTable], lines: &Lines) -> Result<Vec<Revision>> {
    let mut made: Vec<Revision> = Vec::new();
    for (at, entry) in typed.iter().enumerate() {
        let mark = entry.mark.clone().unwrap_or_else(|| (at + 1).to_string());
        let path = format!("project.revision.{at}.mark");
        if mark.is_empty() || mark.len() > 2 || !mark.chars().all(|c| c.is_ascii_alphanumeric()) {
            return Err(Error::usage("out-of-range", format!("the revision mark '{mark}' does not fit its triangle"))
                .at(lines.place(&path))
                .with_hint("use one or two letters or digits"));
        }
        if made.iter().any(|earlier| earlier.mark == mark) {
            return Err(Error::usage("doubled-entry", format!("two revisions have the mark {mark}"))
                .at(lines.place(&path))
                .with_hint("give each revision its own mark"));
        }
        made.push(Revision {
            mark,
            what: entry.what.clone(),
            date: entry.date.clone().unwrap_or_default(),
            changed: entry.changed.clone(),
        });
    }
    Ok(made)
}

fn read_roof(job: &mut Job, file: &JobFile, limits: &Limits) -> Result<()> {
    let (typed, drawing) = (&file.roof, &mut job.drawing);
    drawing.units = file.drawing.units;
    put(&mut drawing.roof_layers, file.drawing.roof_layers.clone());
    put(&mut drawing.gap_tolerance, limits.length("drawing.gap_tolerance", file.drawing.gap_tolerance, 0.001, 24.0)?);
    put(&mut drawing.opening_area_limit, limits.area("drawing.opening_area_limit", file.drawing.opening_area_limit)?);
    let roof = &mut job.roof;
    give(&mut roof.work, typed.work);
    give(&mut roof.shingle_layers, limits.count("roof.shingle_layers", typed.shingle_layers, 1, 9)?);
    give(&mut roof.covering, typed.covering);
    give(&mut roof.default_pitch, limits.pitch("roof.default_pitch", typed.default_pitch)?);
    give(&mut roof.overhang, limits.length("roof.overhang", typed.overhang, 0.0, 120.0)?);
    give(&mut roof.rake_overhang, limits.length("roof.rake_overhang", typed.rake_overhang, 0.0, 120.0)?);
    give(&mut roof.outline, typed.outline);
    roof.fascia_to_drip = limits.length("roof.fascia_to_drip", typed.fascia_to_drip, 0.0, 12.0)?;
    give(&mut roof.valley_type, typed.valley_type);
    put(&mut roof.valley_lining, limits.length("roof.valley_lining", typed.valley_lining, 2.0, 72.0)?);
    give(&mut roof.under, typed.under);
    put(&mut roof.step_tolerance, limits.length("roof.step_tolerance", typed.step_tolerance, 0.0625, 48.0)?);
    put(&mut roof.leave_open, typed.leave_open);
    Ok(())
}

fn read_heat(job: &mut Job, file: &JobFile, limits: &Limits) -> Result<()> {
    let (typed, heat) = (&file.heat, &mut job.heat);
    put(&mut heat.eaves, typed.eaves);
    put(&mut heat.valleys, typed.valleys);
    give(&mut heat.reach_rule, typed.reach_rule);
    heat.reach = limits.length("heat.reach", typed.reach, 1.0, 600.0)?;
    put(&mut heat.valley_width, limits.length("heat.valley_width", typed.valley_width, 1.0, 240.0)?);
    heat.valley_height = limits.length("heat.valley_height", typed.valley_height, 1.0, 1200.0)?;
    let setbacks = &typed.setbacks;
    for (key, typed, slot) in [
        ("outer", setbacks.outer, &mut heat.outer_setback),
        ("valley", setbacks.valley, &mut heat.valley_setback),
        ("hip", setbacks.hip, &mut heat.hip_setback),
        ("ridge", setbacks.ridge, &mut heat.ridge_setback),
        ("wall", setbacks.wall, &mut heat.wall_setback),
        ("opening", setbacks.opening, &mut heat.opening_setback),
        ("opening_flashing", setbacks.opening_flashing, &mut heat.opening_flashing),
        ("vent_flashing", setbacks.vent_flashing, &mut heat.vent_flashing),
    ] {
        put(slot, limits.length(&format!("heat.setbacks.{key}"), typed, 0.0, 120.0)?);
    }
    put(&mut heat.valley_nails_moved, typed.valley_nails_moved);
    give(&mut heat.discharge, typed.discharge);
    put(&mut heat.gutter_heat, typed.gutter_heat);
    heat.gutter_watts = limits.number("heat.gutter_watts", typed.gutter_watts, 0.1, 100.0, "W/ft")?;
    put(&mut heat.downspout_length, limits.length("heat.downspout_length", typed.downspout_length, 0.0, 1200.0)?);
    give(&mut heat.snow_guards, typed.snow_guards);
    super::places::read(heat, typed, limits)
}

fn read_courses(job: &mut Job, file: &JobFile, limits: &Limits) -> Result<()> {
    let (typed, courses) = (&file.courses, &mut job.courses);
    put(&mut courses.longest_piece, limits.length("courses.longest_piece", typed.longest_piece, 12.0, 6000.0)?);
    put(&mut courses.shortest_run, limits.length("courses.shortest_run", typed.shortest_run, 1.0, 600.0)?);
    put(&mut courses.end_gap, limits.length("courses.end_gap", typed.end_gap, 0.0, 60.0)?);
    put(&mut courses.cut_step, limits.length("courses.cut_step", typed.cut_step, 0.0625, 24.0)?);
    put(&mut courses.nail_clearance, limits.length("courses.nail_clearance", typed.nail_clearance, 0.0, 2.0)?);
    put(&mut courses.lift, limits.length("courses.lift", typed.lift, 0.0, 2.0)?);
    courses.rise = limits.length("courses.rise", typed.rise, 0.0, 24.0)?;
    if courses.shortest_run > courses.longest_piece {
        return Err(limits.refuse(
            "courses.shortest_run",
            &crate::units::feet_inches(courses.shortest_run),
            &format!("at most the longest piece, {}", crate::units::feet_inches(courses.longest_piece)),
        ));
    }
    Ok(())
}

fn read_wiring(job: &mut Job, file: &JobFile, limits: &Limits) -> Result<()> {
    let (typed, wiring) = (&file.wiring, &mut job.wiring);
    put(&mut wiring.crossing_slack, limits.length("wiring.crossing_slack", typed.crossing_slack, 0.0, 120.0)?);
    put(&mut wiring.crossing_above, limits.length("wiring.crossing_above", typed.crossing_above, -240.0, 240.0)?);
    put(&mut wiring.lead_clearance, limits.length("wiring.lead_clearance", typed.lead_clearance, 0.0, 6.0)?);
    put(&mut wiring.nail_gap, limits.length("wiring.nail_gap", typed.nail_gap, 0.25, 12.0)?);
    put(&mut wiring.box_tail, limits.length("wiring.box_tail", typed.box_tail, 0.0, 120.0)?);
    put(&mut wiring.connection_tail, limits.length("wiring.connection_tail", typed.connection_tail, 0.0, 120.0)?);
    put(&mut wiring.wall_drop, limits.length("wiring.wall_drop", typed.wall_drop, 0.0, 1200.0)?);
    put(&mut wiring.leads_per_hole, limits.count("wiring.leads_per_hole", typed.leads_per_hole, 1, 24)?);
    put(&mut wiring.strip_and_relay, typed.strip_and_relay);
    let mut seen = BTreeMap::new();
    for (at, entry) in typed.boxes.iter().enumerate() {
        let path = format!("wiring.box.{at}");
        let line = limits.lines().of(&path).unwrap_or(0);
        if entry.tag.trim().is_empty() {
            return Err(limits.refuse(&format!("{path}.tag"), "empty", "what is printed on the box, such as \"J1\""));
        }
        once(&mut seen, &entry.tag, line)?;
        wiring.boxes.push(BoxSetting {
            tag: entry.tag.clone(),
            at: limits.point(&format!("{path}.at"), entry.at)?,
            place: entry.place,
            line,
        });
    }
    Ok(())
}

fn edge_hints(typed: &[EdgeTable], limits: &Limits) -> Result<Vec<EdgeHint>> {
    let mut seen = BTreeMap::new();
    typed
        .iter()
        .enumerate()
        .map(|(at, entry)| {
            let path = format!("roof.edge.{at}");
            let target = target(&path, entry.tag.as_deref(), entry.near, 'E', limits, &mut seen)?;
            let through = match &entry.through {
                Some(tag) => Some(Target::Tag(checked_tag(&format!("{path}.through"), tag, 'F', limits)?)),
                None => None,
            };
            let from = limits.length(&format!("{path}.from"), entry.from, 0.0, 120_000.0)?;
            let to = limits.length(&format!("{path}.to"), entry.to, 0.0, 120_000.0)?;
            if let (Some(from), Some(to)) = (from, to)
                && to <= from
            {
                let (to, from) = (crate::units::feet_inches(to), crate::units::feet_inches(from));
                return Err(limits.refuse(&format!("{path}.to"), &to, &format!("more than {from}, where it begins")));
            }
            Ok(EdgeHint {
                kind: entry.kind.and_then(kind_of),
                pitch: limits.pitch(&format!("{path}.pitch"), entry.pitch)?,
                raise: limits.length(&format!("{path}.raise"), entry.raise, -360.0, 360.0)?,
                part: part_gable(&path, entry, limits)?,
                overhang: limits.length(&format!("{path}.overhang"), entry.overhang, 0.0, 120.0)?,
                heated: entry.heated,
                reach: limits.length(&format!("{path}.reach"), entry.reach, 1.0, 600.0)?,
                from,
                to,
                reason: entry.reason,
                priority: limits.count(&format!("{path}.priority"), entry.priority, 1, 9)?,
                valley_type: entry.valley_type,
                through,
                discharge: entry.discharge,
                gutter_heat: entry.gutter_heat,
                downspouts: limits.count(&format!("{path}.downspouts"), entry.downspouts, 0, 99)?,
                ..EdgeHint::of(target, limits.lines().of(&path).unwrap_or(0))
            })
        })
        .collect()
}

/// The kind an edge of the roof has by that name; none for what is two kinds.
fn kind_of(word: EdgeWord) -> Option<EdgeKind> {
    Some(match word {
        EdgeWord::Eave => EdgeKind::Eave,
        EdgeWord::Rake => EdgeKind::Rake,
        EdgeWord::Ridge => EdgeKind::Ridge,
        EdgeWord::Hip => EdgeKind::Hip,
        EdgeWord::Valley => EdgeKind::Valley,
        EdgeWord::HighEdge => EdgeKind::HighEdge,
        EdgeWord::Sidewall => EdgeKind::Sidewall,
        EdgeWord::PitchBreak => EdgeKind::PitchBreak,
        EdgeWord::FlatBreak => EdgeKind::FlatBreak,
        EdgeWord::Step => EdgeKind::Step,
        EdgeWord::FlatEdge => EdgeKind::FlatEdge,
        EdgeWord::Skew => EdgeKind::Skew,
        EdgeWord::DutchGable | EdgeWord::Jerkinhead => return None,
    })
}

/// A Dutch gable or jerkinhead with its one measure.
fn part_gable(path: &str, entry: &EdgeTable, limits: &Limits) -> Result<Option<PartGable>> {
    let height = limits.length(&format!("{path}.height"), entry.height, 1.0, 600.0)?;
    let setback = limits.length(&format!("{path}.setback"), entry.setback, 1.0, 600.0)?;
    let form = match entry.kind {
        Some(EdgeWord::DutchGable) => Some(GableForm::DutchGable),
        Some(EdgeWord::Jerkinhead) => Some(GableForm::Jerkinhead),
        _ => None,
    };
    let at = |key: &str| limits.lines().place(&format!("{path}.{key}"));
    match (form, height, setback) {
        (None, None, None) => Ok(None),
        (Some(form), Some(height), None) => Ok(Some(PartGable { form, at: Measure::Height(height) })),
        (Some(form), None, Some(setback)) => Ok(Some(PartGable { form, at: Measure::Setback(setback) })),
        (Some(_), None, None) => {
            Err(Error::usage("missing-key", "an edge that is a gable in part has neither `height` nor `setback`")
                .at(at("kind"))
                .with_hint(
                    "add `height = \"3 ft\"`, up to where hip and gable meet, or `setback = \"3 ft\"`, measured level",
                ))
        }
        (Some(_), Some(_), Some(_)) => Err(Error::usage("wrong-value", "an edge has both `height` and `setback`")
            .at(at("setback"))
            .with_hint("keep one: each follows from the other")),
        (None, _, _) => {
            Err(Error::usage("wrong-value", "an edge has a `height` or `setback` but is no dutch-gable or jerkinhead")
                .at(at(if height.is_some() { "height" } else { "setback" }))
                .with_hint(
                    "add kind = \"dutch-gable\" or \"jerkinhead\"; for an eave higher than the others use `raise`",
                ))
        }
    }
}

fn face_hints(typed: &[FaceTable], limits: &Limits) -> Result<Vec<FaceHint>> {
    let mut seen = BTreeMap::new();
    typed
        .iter()
        .enumerate()
        .map(|(at, entry)| {
            let path = format!("roof.face.{at}");
            let target = target(&path, entry.tag.as_deref(), entry.near, 'F', limits, &mut seen)?;
            let falls_to = match &entry.falls_to {
                Some(tag) => Some(Target::Tag(checked_tag(&format!("{path}.falls_to"), tag, 'E', limits)?)),
                None => None,
            };
            Ok(FaceHint {
                target,
                pitch: limits.pitch(&format!("{path}.pitch"), entry.pitch)?,
                falls_to,
                under: entry.under,
                line: limits.lines().of(&path).unwrap_or(0),
            })
        })
        .collect()
}

fn target(
    path: &str,
    tag: Option<&str>,
    near: Option<[f64; 2]>,
    letter: char,
    limits: &Limits,
    seen: &mut BTreeMap<String, usize>,
) -> Result<Target> {
    let place = limits.lines().place(path);
    match (tag, near) {
        (Some(_), Some(_)) => Err(Error::usage("two-targets", "an entry has both `tag` and `near`")
            .at(limits.lines().place(&format!("{path}.near")))
            .with_hint("keep the one that is sure, remove the other")),
        (None, None) => Err(Error::usage("no-target", "an entry names nothing: it has neither `tag` nor `near`")
            .at(place)
            .with_hint(format!("add `tag = \"{letter}1\"`, as inspect prints it, or `near = [x, y]`"))),
        (Some(tag), None) => {
            let tag = checked_tag(&format!("{path}.tag"), tag, letter, limits)?;
            once(seen, &tag, place.line.unwrap_or(0))?;
            Ok(Target::Tag(tag))
        }
        (None, Some(point)) => Ok(Target::Near(limits.point(&format!("{path}.near"), point)?)),
    }
}

/// The tag in capitals, if it is the letter and a number from one.
fn checked_tag(path: &str, tag: &str, letter: char, limits: &Limits) -> Result<String> {
    let upper = tag.trim().to_uppercase();
    let number = upper.strip_prefix(letter).and_then(|n| n.parse::<u32>().ok());
    match number {
        Some(n) if n >= 1 => Ok(format!("{letter}{n}")),
        _ => Err(Error::usage("wrong-tag", format!("{} is '{tag}', which is no tag", settings::name_of(path)))
            .at(limits.lines().place(path))
            .with_hint(format!("write the tag that inspect prints: {letter} and a number, such as \"{letter}4\""))),
    }
}

fn once(seen: &mut BTreeMap<String, usize>, tag: &str, line: usize) -> Result<()> {
    match seen.insert(tag.to_owned(), line) {
        None => Ok(()),
        Some(first) => {
            Err(Error::usage("doubled-entry", format!("'{tag}' has two entries, the first in line {first}"))
                .at(Place::line(line))
                .with_hint("put everything about it into one entry"))
        }
    }
}

impl Limits<'_> {
    /// A point of the drawing, both coordinates finite and below 1e9 drawing units.
    pub(super) fn point(&self, path: &str, [x, y]: [f64; 2]) -> Result<Point2> {
        if x.abs() <= 1e9 && y.abs() <= 1e9 {
            return Ok(Point2::new(x, y));
        }
        Err(self.refuse(path, &format!("[{x}, {y}]"), "coordinates of the drawing, at most 1e9 either way"))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::job::{Covering, ReachRule, Work};
    use crate::terms::BoxPlace;

    fn read(text: &str) -> Outcome<Job> {
        Job::from_toml(text, &Catalogue::sample()).unwrap_or_else(|e| panic!("{e}"))
    }

    #[test]
    fn an_empty_file_is_the_job_of_defaults() {
        let outcome = read("");
        assert_eq!(outcome.value, Job::with_defaults(&Catalogue::sample()).unwrap());
        assert_eq!(outcome.findings, outcome.value.assumptions());
    }

    #[test]
    fn what_is_typed_is_given_even_when_it_equals_the_default() {
        let outcome = read("[roof]\noverhang = \"1 ft\"\ncovering = \"slate\"\n[heat]\nreach_rule = \"irc-2018\"\n");
        let job = &outcome.value;
        assert_eq!(job.roof.overhang, Setting::given(12.0));
        assert_eq!(job.roof.covering, Setting::given(Covering::Slate));
        assert_eq!(job.heat.reach_rule, Setting::given(ReachRule::Irc2018));
        assert!(!job.roof.default_pitch.given);
    }

    /// 150 mm is 5.9055 in by the international inch; 8:12 is 2/3; 2.5 sq m is 3875.0 sq in.
    #[test]
    fn units_are_resolved() {
        let job = read(
            "[heat.setbacks]\nhip = \"150 mm\"\n[roof]\ndefault_pitch = \"8:12\"\n\
             [drawing]\nopening_area_limit = \"2.5 sq m\"\nunits = \"metres\"\n[electrical]\nlead_drop = \"1.5%\"\n",
        )
        .value;
        assert!((job.heat.hip_setback - 5.905_512).abs() < 1e-6);
        assert!((job.roof.default_pitch.value - 2.0 / 3.0).abs() < 1e-12);
        assert!((job.drawing.opening_area_limit - 3875.008).abs() < 1e-3);
        assert!((job.electrical.lead_drop - 0.015).abs() < 1e-12);
        assert_eq!(job.drawing.units, Some(crate::units::DrawingUnit::Metres));
    }

    #[test]
    fn entries_keep_their_line_and_order() {
        let job = read(
            "[[roof.edge]]\ntag = \"e4\"\nkind = \"rake\"\n\n[[roof.edge]]\nnear = [12, 3.5]\nheated = false\nreach = \"3 ft\"\n\
             [[roof.face]]\ntag = \"F2\"\nfalls_to = \"E7\"\npitch = \"4:12\"\n\
             [[wiring.box]]\ntag = \"J1\"\nat = [1, 2]\nplace = \"outside-wall\"\n",
        )
        .value;
        let [first, second] = job.roof.edges.as_slice() else { panic!("{:?}", job.roof.edges) };
        assert_eq!((first.target.clone(), first.kind, first.line), (Target::Tag("E4".into()), Some(EdgeKind::Rake), 1));
        assert_eq!(second.target, Target::Near(Point2::new(12.0, 3.5)));
        assert_eq!((second.heated, second.reach, second.line), (Some(false), Some(36.0), 5));
        assert_eq!(job.roof.faces[0].falls_to, Some(Target::Tag("E7".into())));
        assert_eq!((job.wiring.boxes[0].place, job.wiring.boxes[0].line), (BoxPlace::OutsideWall, 13));
    }

    #[test]
    fn a_gable_in_part_has_a_form_and_a_measure() {
        let job = read(
            "[[roof.edge]]\ntag = \"E1\"\nkind = \"dutch-gable\"\nsetback = \"3 ft\"\n[[roof.edge]]\ntag = \"E2\"\n\
             kind = \"jerkinhead\"\nheight = \"50 in\"\n[[roof.edge]]\ntag = \"E3\"\nraise = \"-2 ft\"\n",
        )
        .value;
        let parts: Vec<_> = job.roof.edges.iter().map(|e| e.part).collect();
        let dutch = PartGable { form: GableForm::DutchGable, at: Measure::Setback(36.0) };
        let clipped = PartGable { form: GableForm::Jerkinhead, at: Measure::Height(50.0) };
        assert_eq!(parts, [Some(dutch), Some(clipped), None]);
        assert_eq!(job.roof.edges.iter().map(|e| e.kind).collect::<Vec<_>>(), [None; 3]);
        assert_eq!(job.roof.edges[2].raise, Some(-24.0));
    }

    #[test]
    fn products_are_looked_up() {
        let job = read("[products]\nshingle = \"metric-laminated\"\ndeck = \"strip-2\"\n").value;
        assert_eq!(job.products.shingle.value.exposure.inches(), 5.625);
        assert_eq!((job.products.deck.value.key.as_str(), job.products.deck.given), ("strip-2", true));
        let named = Job::catalogue_path("[products]\ncatalogue = \"mine.toml\"\n").unwrap();
        assert_eq!(named.as_deref(), Some("mine.toml"));
        assert_eq!(Job::catalogue_path("").unwrap(), None);
    }

    #[test]
    fn the_keys_of_a_retrofit_are_read() {
        let job = read(
            "[roof]\nwork = \"retrofit\"\nshingle_layers = 2\n[courses]\nlift = \"3/16 in\"\n[wiring]\nstrip_and_relay = false\n",
        )
        .value;
        assert_eq!((job.roof.work, job.roof.shingle_layers), (Setting::given(Work::Retrofit), Setting::given(2)));
        assert_eq!((job.courses.lift, job.wiring.strip_and_relay), (0.1875, false));
    }
}
