//! How far up the slope heat must reach: the ice-barrier rule of the building code and the wall line it counts from.

use crate::geometry::{Box2, Segment2, SegmentIndex};
use crate::job::{Job, OutlineMeaning, ReachRule};
use crate::roof::Basis;
use crate::units::decimal;

/// The face of the exterior wall a rule counts from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum WallFace {
    /// The exterior wall line.
    Outer,
    /// The room side of the exterior wall.
    Inner,
}

/// A least length along the slope, from a pitch upwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastOnSlope {
    /// Rise per run at and above which it holds.
    pub from_pitch: f64,
    /// Inches along the slope from the eave.
    pub inches: f64,
}

/// One building code's ice-barrier rule, as the numbers that set the reach.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IceBarrierRule {
    /// What is printed.
    pub name: &'static str,
    /// Horizontal inches inside the wall.
    pub inside_wall: f64,
    /// The face of the wall they count from.
    pub counts_from: WallFace,
    /// A least length along the slope beside it.
    pub least: Option<LeastOnSlope>,
}

/// 24 in inside the exterior wall line; with `least` the 36 in along the slope at 8:12 and steeper.
///
/// # Source
/// Model residential code R905.1.2 as quoted in public forums: the 36 in rule came with the 2015 edition and left with the 2024 edition.
const fn model_code(name: &'static str, least: bool) -> IceBarrierRule {
    let least = if least { Some(LeastOnSlope { from_pitch: 8.0 / 12.0, inches: 36.0 }) } else { None };
    IceBarrierRule { name, inside_wall: 24.0, counts_from: WallFace::Outer, least }
}

/// The rules by edition.
const RULES: [(ReachRule, IceBarrierRule); 5] = [
    (ReachRule::Irc2012, model_code("IRC 2012 R905.1.2", false)),
    (ReachRule::Irc2015, model_code("IRC 2015 R905.1.2", true)),
    (ReachRule::Irc2018, model_code("IRC 2018 R905.1.2", true)),
    (ReachRule::Irc2021, model_code("IRC 2021 R905.1.2", true)),
    (ReachRule::Irc2024, model_code("IRC 2024 R905.1.2", false)),
];

/// The rule of an edition.
///
/// # Panics
/// Never: a test looks up every edition.
#[must_use]
pub fn barrier_rule(edition: ReachRule) -> IceBarrierRule {
    RULES.iter().find(|(key, _)| *key == edition).expect("every edition has a row").1
}

impl IceBarrierRule {
    /// Slope inches from the eave, for an eave `overhang` inches (horizontal) outside the wall line and a wall `thickness` inches thick.
    #[must_use]
    pub fn reach(&self, overhang: f64, thickness: f64, pitch: f64) -> f64 {
        let behind = if self.counts_from == WallFace::Inner { thickness } else { 0.0 };
        let inside = (overhang + behind + self.inside_wall) * (1.0 + pitch * pitch).sqrt();
        self.least_at(pitch).map_or(inside, |least| inside.max(least))
    }

    /// The least length along the slope that holds at `pitch`. A pitch solved from linework may miss 8:12 by rounding.
    fn least_at(&self, pitch: f64) -> Option<f64> {
        self.least.filter(|least| pitch >= least.from_pitch - 1e-6).map(|least| least.inches)
    }
}

/// A reach with how it was found.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Reach {
    /// Slope inches from the drip edge.
    pub inches: f64,
    /// How it was found, with numbers.
    pub words: String,
    /// How sure it is.
    pub basis: Basis,
}

/// What the job says about one eave's reach.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub(super) struct EaveHint {
    /// Horizontal inches to the wall line.
    pub overhang: Option<f64>,
    /// Slope inches.
    pub reach: Option<f64>,
}

/// The reach of one eave, walked with its face to the left.
pub(super) fn reach_of(walls: &WallLines, eave: Segment2, pitch: f64, hint: EaveHint, job: &Job) -> Reach {
    if let Some(inches) = hint.reach.or(job.heat.reach) {
        let words = format!("{} in along the slope, set by the job", decimal(inches, 2));
        return Reach { inches, words, basis: Basis::Set };
    }
    let rule = barrier_rule(job.heat.reach_rule.value);
    let (overhang, basis, source) = overhang_of(walls, eave, hint.overhang, job);
    let inches = rule.reach(overhang, 0.0, pitch);
    let factor = (1.0 + pitch * pitch).sqrt();
    let inside = (overhang + rule.inside_wall) * factor;
    let mut words = format!(
        "{}: {} in inside the wall line, ({} in {source} + {} in) x {} = {} in",
        rule.name,
        decimal(rule.inside_wall, 0),
        decimal(overhang, 2),
        decimal(rule.inside_wall, 0),
        decimal(factor, 4),
        decimal(inside, 2),
    );
    if let Some(least) = rule.least_at(pitch) {
        words += &format!("; at this pitch at least {} in along the slope", decimal(least, 0));
    }
    let basis = if job.heat.reach_rule.given { basis } else { Basis::Assumed };
    Reach { inches, words, basis }
}

/// Marks a reach that counts with an overhang nobody gave.
pub(super) const ASSUMED: &str = "overhang assumed";

/// Horizontal inches from an eave to the exterior wall line, how sure, and in what words. What the job says of this very eave counts
/// before drawn walls: a person looked at it.
pub(super) fn overhang_of(
    walls: &WallLines,
    eave: Segment2,
    hint: Option<f64>,
    job: &Job,
) -> (f64, Basis, &'static str) {
    if let Some(overhang) = hint {
        return (overhang, Basis::Set, "overhang set for this eave");
    }
    // An outline drawn at the walls was moved out by the overhang: the wall line is where that says.
    let drawn = if job.roof.outline.value == OutlineMeaning::Wall { None } else { walls.distance_from(eave) };
    if let Some(distance) = drawn {
        return (distance, Basis::Measured, "overhang from the drawing");
    }
    match job.roof.overhang.given {
        true => (job.roof.overhang.value, Basis::Set, "overhang"),
        false => (job.roof.overhang.value, Basis::Assumed, ASSUMED),
    }
}

/// A wall further inside than this belongs to another part of the house, inches.
const DEEPEST_OVERHANG: f64 = 72.0;
/// A wall is parallel to an eave when it strays by less than this share of its length: about 2 degrees.
const PARALLEL_SHARE: f64 = 0.035;
/// A wall must run beside the eave over at least this share of the shorter of both.
const BESIDE_SHARE: f64 = 0.25;

/// The exterior wall lines of the drawing, found by place.
pub(super) struct WallLines<'a> {
    lines: &'a [Segment2],
    index: SegmentIndex,
}

impl<'a> WallLines<'a> {
    /// Indexes the lines.
    pub(super) fn new(lines: &'a [Segment2]) -> Self {
        Self { lines, index: SegmentIndex::new(lines) }
    }

    /// Horizontal distance from an eave to its exterior wall line, if one is drawn.
    fn distance_from(&self, eave: Segment2) -> Option<f64> {
        let around = Box2::around([eave.a, eave.b])?.grown(DEEPEST_OVERHANG);
        let near: Vec<Segment2> = self.index.meeting(around).into_iter().map(|at| self.lines[at]).collect();
        wall_distance(eave, &near)
    }
}

/// Horizontal distance from an eave (its face to the left) to the nearest parallel wall line beside it.
///
/// The nearest, because a wall drawn with both its faces has two lines and the outer one is the exterior wall line.
fn wall_distance(eave: Segment2, walls: &[Segment2]) -> Option<f64> {
    let along = (eave.b - eave.a).unit()?;
    let inward = along.left();
    let length = eave.length();
    walls
        .iter()
        .filter_map(|wall| {
            let direction = (wall.b - wall.a).unit()?;
            if direction.cross(along).abs() > PARALLEL_SHARE {
                return None;
            }
            let stations = [(wall.a - eave.a).dot(along), (wall.b - eave.a).dot(along)];
            let shared = stations[0].max(stations[1]).min(length) - stations[0].min(stations[1]).max(0.0);
            let distance = (wall.midpoint() - eave.a).dot(inward);
            let beside = shared >= BESIDE_SHARE * length.min(wall.length());
            (beside && (-0.5..=DEEPEST_OVERHANG).contains(&distance)).then_some(distance.max(0.0))
        })
        .min_by(f64::total_cmp)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::geometry::Point2;

    /// Distances along the slope, computed by hand as (overhang + 24) x slope factor.
    #[test]
    fn reach_by_edition_overhang_and_pitch() {
        let cases = [
            (ReachRule::Irc2024, 12.0, 4.0, 37.95),
            (ReachRule::Irc2024, 12.0, 6.0, 40.25),
            (ReachRule::Irc2018, 12.0, 6.0, 40.25),
            (ReachRule::Irc2024, 24.0, 8.0, 57.69),
            (ReachRule::Irc2021, 24.0, 8.0, 57.69),
            (ReachRule::Irc2015, 18.0, 12.0, 59.40),
            (ReachRule::Irc2012, 0.0, 8.0, 28.84),
            (ReachRule::Irc2015, 0.0, 8.0, 36.00),
            (ReachRule::Irc2018, 0.0, 8.0, 36.00),
            (ReachRule::Irc2021, 0.0, 8.0, 36.00),
            (ReachRule::Irc2024, 0.0, 8.0, 28.84),
        ];
        for (edition, overhang, rise, expected) in cases {
            let reach = barrier_rule(edition).reach(overhang, 6.0, rise / 12.0);
            assert!((reach - expected).abs() < 0.006, "{edition:?} {overhang} {rise}:12 gives {reach}");
        }
    }

    #[test]
    fn the_slope_minimum_governs_only_below_six_inches_of_overhang() {
        let rule = barrier_rule(ReachRule::Irc2018);
        assert_eq!(rule.reach(5.9, 0.0, 8.0 / 12.0), 36.0);
        assert!(rule.reach(6.0, 0.0, 8.0 / 12.0) > 36.0);
    }

    /// A state rule of another kind: 30 in up the slope and 12 in beyond the inner face of the wall (Wisconsin SPS 321.28, as quoted on a public page).
    #[test]
    fn a_rule_that_counts_from_the_inner_face_fits_the_table() {
        let rule = IceBarrierRule {
            name: "SPS 321.28",
            inside_wall: 12.0,
            counts_from: WallFace::Inner,
            least: Some(LeastOnSlope { from_pitch: 0.0, inches: 30.0 }),
        };
        // 4:12: (0 + 6 + 12) x 1.0541 = 18.97, so the 30 in govern; (12 + 6 + 12) x 1.0541 = 31.62.
        assert_eq!(rule.reach(0.0, 6.0, 4.0 / 12.0), 30.0);
        assert!((rule.reach(12.0, 6.0, 4.0 / 12.0) - 31.62).abs() < 0.01);
    }

    #[test]
    fn the_wall_line_is_the_nearest_parallel_one_inside() {
        let eave = Segment2::new(Point2::new(0.0, 0.0), Point2::new(480.0, 0.0));
        let line = |x0: f64, y0: f64, x1: f64, y1: f64| Segment2::new(Point2::new(x0, y0), Point2::new(x1, y1));
        let walls = [
            line(16.0, 16.0, 464.0, 16.0),
            line(464.0, 22.0, 16.0, 22.0),
            line(16.0, 16.0, 16.0, 270.0),
            line(16.0, -30.0, 464.0, -30.0),
        ];
        assert_eq!(wall_distance(eave, &walls), Some(16.0));
        assert_eq!(wall_distance(eave, &walls[2..]), None);
    }
}
