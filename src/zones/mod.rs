//! [`Roof`] becomes [`Zones`]: where heat goes, how far up the slope, and what every sloping face keeps clear.
//!
//! A heated eave gives the band from its drip edge up to the reach, over the part of the face that drains to it; a heated valley adds the
//! band beside its line. What drains to which eave follows the fall line: a point belongs to the highest eave straight below it, and what
//! lies beyond the end of an eave (beside a valley) to the eave at the valley's foot.
//!
//! A valley's covering widens its setback where its metal or end nails reach further. The job may heat a stretch of an eave only, or what lies
//! above an entry, and may keep areas and fasteners free. Each zone's water is followed to where it leaves the roof.
//!
//! Not handled: water that leaves one roof for another is followed one face down; outlets of hidden gutters are not known.

mod bands;
mod check;
mod eaves;
mod heated;
mod layout;
mod melt;
mod model;
mod notes;
mod obstacles;
mod openings;
mod reach;
mod targets;
mod valleys;

pub use bands::clear_regions;
pub use check::check_invariants;
pub use model::*;
pub use reach::{IceBarrierRule, LeastOnSlope, WallFace, barrier_rule};

use crate::error::{Error, Result};
use crate::finding::{Finding, Outcome, Place, Severity};
use crate::geometry::Segment2;
use crate::import::SourceFrame;
use crate::index::{EdgeId, FaceId};
use crate::job::{Covering, EdgeHint, Job, OutlineMeaning, Target, ValleyType};
use crate::roof::{Roof, RoofEdge};
use crate::terms::EdgeKind;
use std::collections::BTreeMap;

/// What the job says, by edge.
type Hints = BTreeMap<EdgeId, EdgeHint>;

/// What every face's zones are worked out from.
struct Inputs<'a> {
    roof: &'a Roof,
    job: &'a Job,
    hints: Hints,
    /// Stretches of eaves above entries.
    entries: Vec<targets::Entry>,
    walls: reach::WallLines<'a>,
}

impl Inputs<'_> {
    /// How a valley is covered: as the job says of it, else of all.
    fn valley_type(&self, edge: EdgeId) -> ValleyType {
        let own = self.hints.get(&edge).and_then(|hint| hint.valley_type);
        own.unwrap_or(self.job.roof.valley_type.value)
    }

    /// How far the covering's metal or end nails reach from a valley's line on one face, inches: half the lining and an inch beside open metal,
    /// 14 in where shingles are cut or woven, nothing where they run through. Common practice, no source; the lining's width is the job's.
    fn valley_nails(&self, edge: EdgeId, face: FaceId) -> f64 {
        const CUT_SIDE: f64 = 14.0;
        let through = self.hints.get(&edge).and_then(|hint| hint.through.as_ref());
        let runs_through = matches!(through, Some(Target::Tag(tag)) if *tag == face.to_string());
        match self.valley_type(edge) {
            ValleyType::Unknown => 0.0,
            ValleyType::OpenMetal => 0.5 * self.job.roof.valley_lining + layout::BEYOND_METAL,
            ValleyType::ClosedCut if runs_through => 0.0,
            ValleyType::ClosedCut | ValleyType::Woven => CUT_SIDE,
        }
    }
}

/// Decides where heat goes.
///
/// # Errors
/// `covering` when the roof is not covered with asphalt shingle; `unknown-edge` when a hint names no edge.
pub fn zones(roof: &Roof, frame: &SourceFrame, job: &Job) -> Result<Outcome<Zones>> {
    refuse_other_coverings(job)?;
    let hints = targets::resolve(roof, frame, &job.roof.edges)?;
    let mut findings = outline_findings(job);
    let entries = targets::entries(roof, frame, job, &mut findings);
    let inputs = Inputs { roof, job, hints, entries, walls: reach::WallLines::new(&roof.walls) };
    let faces = layout::layouts(&inputs, frame, &mut findings);
    let zones = heated::zones_of(&inputs, &faces, &mut findings);
    let (melt, gutters) = melt::follow(&inputs, &faces, &zones, &mut findings);
    Ok(Outcome {
        value: Zones { faces, zones, melt, gutters, overhangs: overhangs(&inputs), valleys: valleys(&inputs) },
        findings,
    })
}

/// The overhang of every eave, heated or not.
fn overhangs(inputs: &Inputs) -> Vec<EaveOverhang> {
    let of_eave = |edge: &RoofEdge| {
        let segment = inputs.roof.segment(edge.id);
        // Walked with its face to the left, as the wall is looked for on that side.
        let eave = if edge.left.is_some() { segment } else { Segment2::new(segment.b, segment.a) };
        let hint = inputs.hints.get(&edge.id).and_then(|hint| hint.overhang);
        let (inches, basis, _) = reach::overhang_of(&inputs.walls, eave, hint, inputs.job);
        EaveOverhang { edge: edge.id, inches, basis }
    };
    inputs.roof.edges.iter().filter(|edge| edge.kind == EdgeKind::Eave).map(of_eave).collect()
}

/// How every valley is covered, heated or not.
fn valleys(inputs: &Inputs) -> Vec<ValleyCovering> {
    let of_valley = |edge: &RoofEdge| {
        let own = inputs.hints.get(&edge.id).is_some_and(|hint| hint.valley_type.is_some());
        let given = own || inputs.job.roof.valley_type.given;
        ValleyCovering { edge: edge.id, kind: inputs.valley_type(edge.id), given }
    };
    inputs.roof.edges.iter().filter(|edge| edge.kind == EdgeKind::Valley).map(of_valley).collect()
}

fn refuse_other_coverings(job: &Job) -> Result<()> {
    let words = match job.roof.covering.value {
        Covering::AsphaltShingle => return Ok(()),
        Covering::Slate => "slate",
        Covering::Tile => "tile",
        Covering::Metal => "metal",
        Covering::Wood => "wood shingles or shakes",
        Covering::Membrane => "a flat roof's membrane",
    };
    Err(Error::refused(
        "covering",
        format!("the roof is covered with {words}; flat element is laid under asphalt shingles only"),
    )
    .with_hint("this layout does not fit the roof; set covering = \"asphalt-shingle\" only if that is what lies on it"))
}

/// A fascia taken for the drip edge, when the job gives no distance between them.
fn outline_findings(job: &Job) -> Vec<Finding> {
    if job.roof.outline.value != OutlineMeaning::Fascia || job.roof.fascia_to_drip.is_some() {
        return Vec::new();
    }
    vec![
        Finding::new(
            Severity::Assumed,
            "outline-is-fascia",
            "the outline is the face of the fascia: crew distances are counted from it as from the drip edge's outer face",
            Place::none(),
        )
        .with_hint("set fascia_to_drip under [roof]; measure from the drip edge on the roof and compare with the first course before cutting"),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::Catalogue;
    use crate::geometry::{Point2, Point3, Region};
    use crate::job::{Setting, Target};
    use crate::roof::Basis;
    use crate::roof::fixtures::{gable, hipped_l, roof_of};
    use crate::units::DrawingUnit;

    fn job() -> Job {
        Job::with_defaults(&Catalogue::sample()).unwrap()
    }

    fn zoned(roof: &Roof, job: &Job) -> Outcome<Zones> {
        let frame =
            SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
        let outcome = zones(roof, &frame, job).unwrap();
        assert_eq!(check::check_invariants(roof, &outcome.value), Vec::<String>::new());
        outcome
    }

    fn codes(outcome: &Outcome<Zones>) -> Vec<&'static str> {
        outcome.findings.iter().map(|f| f.code).collect()
    }

    fn hint(edge: EdgeId) -> EdgeHint {
        EdgeHint::of(Target::Tag(edge.to_string()), 1)
    }

    fn edges_of(roof: &Roof, kind: EdgeKind) -> Vec<EdgeId> {
        roof.edges.iter().filter(|e| e.kind == kind).map(|e| e.id).collect()
    }

    #[test]
    fn other_coverings_are_refused_in_words() {
        let mut job = job();
        job.roof.covering.value = Covering::Slate;
        let frame =
            SourceFrame { units: DrawingUnit::Inches, inches_per_unit: 1.0, origin: Point3::new(0.0, 0.0, 0.0) };
        let error = zones(&gable(480.0, 288.0, 0.5), &frame, &job).unwrap_err();
        assert_eq!(error.code, "covering");
        assert!(error.message.contains("slate"));
    }

    /// Limits of asphalt shingles: 2:12 and 21:12 are heated, a hair beyond is not; below 4:12 a double underlayment is noted.
    #[test]
    fn pitch_limits() {
        let cases = [
            (1.9, 0, "pitch-too-low"),
            (2.0, 2, "double-underlayment"),
            (3.9, 2, "double-underlayment"),
            (4.0, 2, ""),
            (21.0, 2, ""),
            (21.1, 0, "pitch-too-steep"),
        ];
        for (rise, heated, code) in cases {
            let outcome = zoned(&gable(480.0, 288.0, rise / 12.0), &job());
            assert_eq!(outcome.value.zones.len(), heated, "{rise}:12");
            assert_eq!(outcome.value.faces.len(), 2, "{rise}:12 faces are laid flat, heated or not");
            let limits: Vec<&str> =
                codes(&outcome).into_iter().filter(|c| !c.starts_with("assumed") && *c != "snow-above").collect();
            assert!(limits.iter().all(|c| *c == code) && limits.is_empty() == code.is_empty(), "{rise}:12 {limits:?}");
        }
    }

    /// (12 + 24) x 1.1180 = 40.25 in with the assumed overhang; a drawn wall 16 in inside gives (16 + 24) x 1.1180 = 44.72 in.
    #[test]
    fn the_wall_line_comes_from_the_drawing_the_job_or_an_assumption() {
        let mut roof = gable(480.0, 288.0, 0.5);
        let settled = || {
            let mut job = job();
            job.heat.snow_guards = Setting::given(true);
            job.heat.discharge = Setting::given(Discharge::Ground);
            job
        };
        let assumed = zoned(&roof, &settled());
        assert!(assumed.value.zones.iter().all(|z| z.reach_basis == Basis::Assumed));
        assert!(assumed.value.zones.iter().all(|z| (z.required_reach - 40.249).abs() < 1e-3));
        assert_eq!(codes(&assumed), ["assumed-overhang", "assumed-reach-rule"]);

        let mut given = settled();
        given.roof.overhang = Setting::given(12.0);
        given.heat.reach_rule.given = true;
        let eave = edges_of(&roof, EdgeKind::Eave)[0];
        given.roof.edges = vec![EdgeHint { overhang: Some(18.0), ..hint(eave) }];
        let set = zoned(&roof, &given);
        assert!(codes(&set).is_empty());
        for zone in &set.value.zones {
            let expected = if zone.edges == [eave] { 46.957 } else { 40.249 };
            assert!((zone.required_reach - expected).abs() < 1e-3 && zone.reach_basis == Basis::Set);
        }

        roof.walls = vec![
            Segment2::new(Point2::new(16.0, 16.0), Point2::new(464.0, 16.0)),
            Segment2::new(Point2::new(464.0, 272.0), Point2::new(16.0, 272.0)),
        ];
        let measured = zoned(&roof, &given).value;
        for zone in &measured.zones {
            // The job's word on one eave counts before the drawn wall.
            let (expected, basis) = if zone.edges == [eave] { (46.957, Basis::Set) } else { (44.721, Basis::Measured) };
            assert!((zone.required_reach - expected).abs() < 1e-3 && zone.reach_basis == basis);
            let overhang = measured.overhang(zone.edges[0]).unwrap();
            assert_eq!((overhang.inches, overhang.basis), (if basis == Basis::Set { 18.0 } else { 16.0 }, basis));
        }
    }

    #[test]
    fn a_hint_turns_one_eave_off_or_sets_its_reach() {
        let roof = gable(480.0, 288.0, 0.5);
        let eaves = edges_of(&roof, EdgeKind::Eave);
        let mut job = job();
        job.roof.edges =
            vec![EdgeHint { heated: Some(false), ..hint(eaves[0]) }, EdgeHint { reach: Some(60.0), ..hint(eaves[1]) }];
        let outcome = zoned(&roof, &job);
        assert_eq!(outcome.value.zones.len(), 1);
        assert_eq!(
            (outcome.value.zones[0].edges.as_slice(), outcome.value.zones[0].required_reach),
            (&eaves[1..], 60.0)
        );
    }

    #[test]
    fn heat_on_a_ridge_is_answered() {
        let roof = gable(480.0, 288.0, 0.5);
        let mut job = job();
        job.roof.edges = vec![EdgeHint { heated: Some(true), ..hint(edges_of(&roof, EdgeKind::Ridge)[0]) }];
        assert!(codes(&zoned(&roof, &job)).contains(&"heat-not-possible"));
    }

    #[test]
    fn a_valley_alone_is_heated_on_both_faces_from_its_foot() {
        let roof = hipped_l();
        let mut job = job();
        job.heat.eaves = false;
        job.roof.edges = vec![EdgeHint { heated: Some(true), ..hint(edges_of(&roof, EdgeKind::Valley)[0]) }];
        let outcome = zoned(&roof, &job);
        let zones = &outcome.value.zones;
        assert_eq!(zones.len(), 2);
        for zone in zones {
            assert_eq!((zone.kind, zone.continues, zone.valley_width), (ZoneKind::Valley, None, 24.0));
            // The eave's reach of 40.25 in and 24 in more.
            assert!((zone.required_reach - 64.249).abs() < 1e-3);
            // A band 24 - 6 in wide from 0 to 64.25 in up the slope, 1 / sin 48.19 deg = 1.3416 along the course for 1 in square to the valley;
            // round its foot the two circles take 0.5 (24^2 - 6^2) (tan 41.81 deg - 41.81 deg) = 44.5 in2 of it.
            let area: f64 = zone.regions.iter().map(Region::area).sum();
            assert!((area - (18.0 * 1.341_64 * 64.249 - 44.5)).abs() < 1.5, "{area}");
        }
    }

    /// A wall drawn beside the moved eave does not count twice: the overhang it was moved by is the distance to the wall.
    #[test]
    fn the_overhang_of_an_outline_drawn_at_the_walls_is_the_one_it_was_moved_by() {
        let mut job = job();
        job.roof.outline.value = OutlineMeaning::Wall;
        job.roof.overhang = Setting::given(18.0);
        let mut roof = gable(480.0, 288.0, 0.5);
        roof.walls = vec![Segment2::new(Point2::new(0.0, 4.0), Point2::new(480.0, 4.0))];
        let zones = zoned(&roof, &job).value;
        assert!(zones.overhangs.iter().all(|o| o.inches == 18.0 && o.basis == Basis::Set));
    }

    #[test]
    fn a_fascia_without_its_distance_to_the_drip_edge_is_said() {
        let mut job = job();
        job.roof.outline = Setting::given(OutlineMeaning::Fascia);
        assert!(codes(&zoned(&gable(480.0, 288.0, 0.5), &job)).contains(&"outline-is-fascia"));
        job.roof.fascia_to_drip = Some(0.75);
        assert!(!codes(&zoned(&gable(480.0, 288.0, 0.5), &job)).contains(&"outline-is-fascia"));
    }

    #[test]
    fn a_valley_covering_that_reaches_further_than_the_setback_is_said() {
        let roof = hipped_l();
        let mut job = job();
        assert!(codes(&zoned(&roof, &job)).contains(&"assumed-valley-type"));
        job.roof.valley_type = Setting::given(ValleyType::Woven);
        assert!(codes(&zoned(&roof, &job)).contains(&"valley-nails"));
        job.heat.valley_setback = 14.0;
        assert!(!codes(&zoned(&roof, &job)).contains(&"valley-nails"));
    }

    /// Setbacks on both sides of a valley by its covering: unknown 6 and 6; open metal half of 24 in and 1; closed-cut 14 on the cut side and 6
    /// where shingles run through; woven 14 and 14; 6 and 6 again where the crew moves the nails.
    #[test]
    fn a_valley_keeps_elements_off_by_its_covering() {
        let roof = hipped_l();
        let valley = edges_of(&roof, EdgeKind::Valley)[0];
        let setbacks = |job: &Job| {
            let zones = zoned(&roof, job).value;
            let sides = zones
                .faces
                .iter()
                .flat_map(|l| l.edges.iter().filter(|e| e.edge == valley).map(move |e| (l.face, e.setback)));
            sides.collect::<Vec<_>>()
        };
        let mut job = job();
        let faces: Vec<FaceId> = setbacks(&job).iter().map(|(face, _)| *face).collect();
        let kept = |job: &Job| setbacks(job).iter().map(|(_, setback)| *setback).collect::<Vec<_>>();
        assert_eq!(kept(&job), [6.0, 6.0]);
        for (covering, expected) in [
            (ValleyType::OpenMetal, [13.0, 13.0]),
            (ValleyType::Woven, [14.0, 14.0]),
            (ValleyType::ClosedCut, [14.0, 14.0]),
        ] {
            job.roof.valley_type = Setting::given(covering);
            assert_eq!(kept(&job), expected, "{covering:?}");
        }
        assert!(codes(&zoned(&roof, &job)).contains(&"assumed-cut-side"));
        job.roof.edges = vec![EdgeHint { through: Some(Target::Tag(faces[0].to_string())), ..hint(valley) }];
        assert_eq!(kept(&job), [6.0, 14.0]);
        assert!(!codes(&zoned(&roof, &job)).contains(&"assumed-cut-side"));
        job.heat.valley_nails_moved = true;
        assert_eq!(kept(&job), [6.0, 6.0]);
        job.roof.edges[0].valley_type = Some(ValleyType::OpenMetal);
        job.heat.valley_nails_moved = false;
        assert_eq!(kept(&job), [13.0, 13.0]);
    }

    /// A gable's front eave from 3 ft to 12 ft, as seen facing up the slope.
    #[test]
    fn a_stretch_of_an_eave_is_heated_between_stations() {
        let roof = gable(480.0, 288.0, 0.5);
        let eave = edges_of(&roof, EdgeKind::Eave)[0];
        let mut job = job();
        job.heat.eaves = false;
        let named = EdgeHint {
            from: Some(36.0),
            to: Some(144.0),
            reason: Some(Reason::Shade),
            priority: Some(3),
            ..hint(eave)
        };
        job.roof.edges = vec![named];
        let zones = zoned(&roof, &job).value.zones;
        assert_eq!(zones.len(), 1);
        assert_eq!((zones[0].along.low, zones[0].along.high), (36.0, 144.0));
        assert_eq!((zones[0].reason, zones[0].priority), (Reason::Shade, 3));
        // Open to one side it goes on to the end of the face.
        job.roof.edges[0].to = None;
        let zones = zoned(&roof, &job).value.zones;
        assert_eq!((zones[0].along.low, zones[0].along.high), (36.0, 480.0));
    }

    /// Two doors under the front eave: 6 ft each, joined where they overlap; on an eave heated anyway only the reason changes.
    #[test]
    fn the_eave_above_an_entry_is_heated() {
        let roof = gable(480.0, 288.0, 0.5);
        let mut job = job();
        job.heat.eaves = false;
        let entry = |x: f64| crate::job::EntrySetting { at: Point2::new(x, -20.0), width: 72.0, line: 1 };
        job.heat.entries = vec![entry(100.0), entry(300.0), entry(340.0)];
        let zones = zoned(&roof, &job).value.zones;
        let along: Vec<(f64, f64)> = zones.iter().map(|z| (z.along.low, z.along.high)).collect();
        assert_eq!(along, [(64.0, 136.0), (264.0, 376.0)]);
        assert!(zones.iter().all(|z| z.reason == Reason::EntryBelow && z.priority == 1));
        job.heat.eaves = true;
        let zones = zoned(&roof, &job).value.zones;
        assert_eq!(zones.iter().map(|z| z.reason).collect::<Vec<_>>(), [Reason::EntryBelow, Reason::Dam]);
        assert_eq!((zones[0].along.low, zones[0].along.high), (0.0, 480.0));
        job.heat.entries = vec![crate::job::EntrySetting { at: Point2::new(100.0, -500.0), width: 72.0, line: 4 }];
        assert!(codes(&zoned(&roof, &job)).contains(&"entry-off-roof"));
    }

    /// An exclusion over the left end of the front face and a row of three guards 24 in apart up the slope of it.
    #[test]
    fn exclusions_and_fasteners_are_kept_free() {
        let roof = gable(480.0, 288.0, 0.5);
        let mut job = job();
        let corners = [(-10.0, 0.0), (60.0, 0.0), (60.0, 20.0), (-10.0, 20.0)].map(|(x, y)| Point2::new(x, y)).to_vec();
        job.heat.exclusions = vec![crate::job::ExclusionSetting { corners, why: "panels".into(), line: 1 }];
        job.heat.fasteners = vec![crate::job::FastenerSetting {
            at: Point2::new(200.0, 60.0),
            to: Some(Point2::new(248.0, 60.0)),
            spacing: 24.0,
            kind: FastenerKind::SnowGuard,
            size: 4.0,
            line: 2,
        }];
        let zones = zoned(&roof, &job).value;
        let kept = &zones.faces[0].keep_outs;
        assert_eq!(kept.len(), 4);
        // 20 in of run at 6:12 is 22.36 in of slope.
        assert!((kept[0].keep_out.u.high - 60.0).abs() < 1e-6 && (kept[0].keep_out.v.high - 22.361).abs() < 1e-3);
        assert_eq!(kept[1].fastener, Some(FastenerKind::SnowGuard));
        assert!((kept[1].keep_out.u.low - 197.0).abs() < 1e-9 && (kept[1].solid.u.low - 198.0).abs() < 1e-9);
        assert!(zones.faces[1].keep_outs.is_empty());
        job.heat.fasteners[0].at = Point2::new(200.0, 600.0);
        job.heat.fasteners[0].to = None;
        job.heat.exclusions[0].corners.iter_mut().for_each(|p| p.x += 900.0);
        let codes = codes(&zoned(&roof, &job));
        assert!(codes.contains(&"fastener-off-roof") && codes.contains(&"exclusion-off-roof"));
    }

    /// Water of the front eave falls on a walk, that of the back one into a gutter which is cold until it is heated: 40 ft of gutter and two
    /// downspouts of 10 ft at 5 W/ft are 60 ft and 300 W.
    #[test]
    fn melt_water_is_followed_to_its_discharge() {
        let roof = gable(480.0, 288.0, 0.5);
        let eaves = edges_of(&roof, EdgeKind::Eave);
        let mut job = job();
        assert!(codes(&zoned(&roof, &job)).contains(&"assumed-discharge"));
        let walk = EdgeHint { discharge: Some(Discharge::Walk), ..hint(eaves[0]) };
        let gutter = EdgeHint { discharge: Some(Discharge::Gutter), downspouts: Some(2), ..hint(eaves[1]) };
        job.roof.edges = vec![walk, gutter];
        let cold = zoned(&roof, &job);
        assert!(codes(&cold).contains(&"drips-on-walk") && codes(&cold).contains(&"cold-gutter"));
        assert!(codes(&cold).contains(&"snow-above") && cold.value.gutters.is_empty());
        assert_eq!(
            cold.value.melt.iter().map(|m| m.discharge).collect::<Vec<_>>(),
            [Discharge::Walk, Discharge::Gutter]
        );
        assert!(cold.value.melt[1].links.iter().any(|link| !link.open));
        job.heat.gutter_heat = true;
        job.heat.gutter_watts = Some(5.0);
        job.heat.snow_guards = Setting::given(true);
        let warm = zoned(&roof, &job);
        assert!(!codes(&warm).contains(&"cold-gutter") && !codes(&warm).contains(&"snow-above"));
        let item = &warm.value.gutters[0];
        assert_eq!((item.gutter, item.downspouts, item.length, item.watts), (480.0, 2, 720.0, Some(300.0)));
        assert!(warm.value.melt[1].links.iter().all(|link| link.open));
        job.heat.gutter_watts = None;
        assert!(codes(&zoned(&roof, &job)).contains(&"gutter-watts"));
    }

    /// A heated valley above an eave that is not heated: its water freezes at the eave.
    #[test]
    fn a_heated_valley_above_a_cold_eave_is_a_cold_link() {
        let roof = hipped_l();
        let mut job = job();
        job.heat.valleys = true;
        assert!(!codes(&zoned(&roof, &job)).contains(&"cold-link"));
        job.heat.eaves = false;
        assert!(codes(&zoned(&roof, &job)).contains(&"cold-link"));
    }

    #[test]
    fn a_face_with_an_open_edge_stays_cold() {
        let mut roof = gable(480.0, 288.0, 0.5);
        let eave = edges_of(&roof, EdgeKind::Eave)[0];
        roof.edges[eave.index()].basis = Basis::Ambiguous;
        let outcome = zoned(&roof, &job());
        assert_eq!(outcome.value.zones.len(), 1);
        assert!(codes(&outcome).contains(&"face-open"));
    }

    /// A shed whose eave jogs 60 in up the plan: two eaves at two levels, a zone each.
    #[test]
    fn eaves_at_two_levels_are_two_zones() {
        let corner = |x: f64, y: f64| Point3::new(x, y, 0.5 * y);
        let roof = roof_of(
            &[
                corner(0.0, 0.0),
                corner(200.0, 0.0),
                corner(200.0, 60.0),
                corner(480.0, 60.0),
                corner(480.0, 240.0),
                corner(0.0, 240.0),
            ],
            &[&[0, 1, 2, 3, 4, 5]],
        );
        let zones = zoned(&roof, &job()).value.zones;
        assert_eq!(zones.len(), 2);
        // 60 in of run is 67.08 in of slope.
        assert!(zones[0].base_v.abs() < 1e-9 && (zones[1].base_v - 67.082).abs() < 1e-3);
        assert_eq!((zones[0].along.low, zones[0].along.high), (0.0, 200.0));
        assert_eq!((zones[1].along.low, zones[1].along.high), (200.0, 480.0));
    }
}
