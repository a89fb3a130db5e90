//! [`Roof`] becomes [`Zones`]: where heat goes, how far up the slope, and what every sloping face keeps clear.
//!
//! A heated eave gives the band from its drip edge up to the reach, over the part of the face that drains to it; a heated valley adds the
//! band beside its line. What drains to which eave follows the fall line: a point belongs to the highest eave straight below it, and what
//! lies beyond the end of an eave (beside a valley) to the eave at the valley's foot.
//!
//! Not handled: the melt path below a zone, and the wider keep-outs of valley types. Both fit without new types: a valley type
//! changes `FaceEdge::setback` and its `why`, and a melt path starts from `Zone::edges`.

mod bands;
mod check;
mod eaves;
mod heated;
mod layout;
mod model;
mod notes;
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
use crate::index::EdgeId;
use crate::job::{Covering, EdgeHint, Job, OutlineMeaning, ValleyType};
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
    walls: reach::WallLines<'a>,
}

impl Inputs<'_> {
    /// How a valley is covered: as the job says of it, else of all.
    fn valley_type(&self, _edge: EdgeId) -> ValleyType {
        self.job.roof.valley_type.value
    }
}

/// Decides where heat goes.
///
/// # Errors
/// `covering` when the roof is not covered with asphalt shingle; `unknown-edge` when a hint names no edge.
pub fn zones(roof: &Roof, frame: &SourceFrame, job: &Job) -> Result<Outcome<Zones>> {
    refuse_other_coverings(job)?;
    let hints = targets::resolve(roof, frame, &job.roof.edges)?;
    let inputs = Inputs { roof, job, hints, walls: reach::WallLines::new(&roof.walls) };
    let mut findings = outline_findings(job);
    let faces = layout::layouts(roof, job, &mut findings);
    let mut zones = heated::zones_of(&inputs, &faces, &mut findings);
    for zone in &mut zones {
        // Of several edges the one that stays longest holds for the zone.
        let said = zone.edges.iter().filter_map(|edge| inputs.hints.get(edge)?.priority).min();
        zone.priority = said.unwrap_or(zone.priority);
    }
    Ok(Outcome { value: Zones { faces, zones, overhangs: overhangs(&inputs) }, findings })
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
            let limits: Vec<&str> = codes(&outcome).into_iter().filter(|c| !c.starts_with("assumed")).collect();
            assert!(limits.iter().all(|c| *c == code) && limits.is_empty() == code.is_empty(), "{rise}:12 {limits:?}");
        }
    }

    /// (12 + 24) x 1.1180 = 40.25 in with the assumed overhang; a drawn wall 16 in inside gives (16 + 24) x 1.1180 = 44.72 in.
    #[test]
    fn the_wall_line_comes_from_the_drawing_the_job_or_an_assumption() {
        let mut roof = gable(480.0, 288.0, 0.5);
        let assumed = zoned(&roof, &job());
        assert!(assumed.value.zones.iter().all(|z| z.reach_basis == Basis::Assumed));
        assert!(assumed.value.zones.iter().all(|z| (z.required_reach - 40.249).abs() < 1e-3));
        assert_eq!(codes(&assumed), ["assumed-overhang", "assumed-reach-rule"]);

        let mut given = job();
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
