//! The moving line of a side and the moving point where two of them meet.

use super::double::Double;
use super::model::Rise;

/// A point of twice the digits.
pub(super) type Spot = [Double; 2];

pub(super) fn dot(a: Spot, b: Spot) -> Double {
    a[0] * b[0] + a[1] * b[1]
}

pub(super) fn minus(a: Spot, b: Spot) -> Spot {
    [a[0] - b[0], a[1] - b[1]]
}

/// The squared distance, near enough to compare with a tolerance.
pub(super) fn apart(a: Spot, b: Spot) -> f64 {
    let (x, y) = ((a[0] - b[0]).value(), (a[1] - b[1]).value());
    (x * x + y * y).sqrt()
}

/// A side's supporting line. At height `t` it stands where `normal . p = level + rate * t`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Line {
    /// Direction, roof to the left; not of length 1.
    pub along: Spot,
    /// Inward normal of length 1.
    pub normal: Spot,
    /// Where it rests.
    offset: Double,
    /// Its place at height 0, had it always moved as now.
    level: Double,
    rise: Rise,
    pub phase: Phase,
}

/// What a side does at the present height.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Phase {
    /// It has not started yet.
    Resting,
    /// It moves. A gable moves at no speed.
    Moving,
    /// It stands for good.
    Stopped,
}

impl Line {
    /// The line from `a` to `b`.
    pub(super) fn new(a: Spot, b: Spot, rise: Rise) -> Self {
        let along = minus(b, a);
        let [dx, dy] = along;
        let inverse = Double::from(1.0) / (dx * dx + dy * dy).sqrt();
        let normal = [-(dy * inverse), dx * inverse];
        let offset = dot(normal, a);
        Self { along, normal, offset, level: offset, rise, phase: Phase::Resting }
    }

    /// Goes on to what comes after the present phase.
    pub(super) fn advance(&mut self) {
        self.phase = match self.phase {
            Phase::Resting => Phase::Moving,
            Phase::Moving | Phase::Stopped => Phase::Stopped,
        };
        let Rise { run, start, stop } = self.rise;
        self.level = match self.phase {
            Phase::Resting => self.offset,
            Phase::Moving => self.offset - Double::from(run) * start,
            Phase::Stopped => self.offset + (Double::from(stop) - Double::from(start)) * run,
        };
    }

    /// How fast it moves now.
    pub(super) fn rate(&self) -> f64 {
        if self.phase == Phase::Moving { self.rise.run } else { 0.0 }
    }

    /// Its place at height 0, had it always moved as now.
    pub(super) fn level(&self) -> Double {
        self.level
    }

    /// Unit direction, roof to the left.
    pub(super) fn direction(&self) -> Spot {
        [self.normal[1], -self.normal[0]]
    }

    /// Sign of the turn from this line's direction to another's: positive to the left, zero when parallel.
    pub(super) fn turn(&self, other: &Self) -> f64 {
        cross(self.along, other.along)
    }

    /// Whether two parallel lines run the same way.
    pub(super) fn same_way(&self, other: &Self) -> bool {
        dot(self.along, other.along) > Double::ZERO
    }

    /// Whether the two lines are one and the same at all heights.
    pub(super) fn coincides(&self, other: &Self, tolerance: f64) -> bool {
        self.turn(other) == 0.0
            && self.same_way(other)
            && self.rise == other.rise
            && (self.offset - other.offset).abs().value() <= tolerance
    }

    /// `normal`, level and rate in plain numbers.
    pub(super) fn plain(&self) -> [f64; 4] {
        [self.normal[0].value(), self.normal[1].value(), self.level().value(), self.rate()]
    }
}

/// The cross product; zero when rounding alone would make it so.
pub(super) fn cross(a: Spot, b: Spot) -> f64 {
    /// Sine of an angle that twice the digits can't tell from none.
    const NONE: f64 = 1e-29;
    let (p, q) = (a[0] * b[1], a[1] * b[0]);
    let turn = (p - q).value();
    if turn.abs() <= NONE * (p.value().abs() + q.value().abs()) { 0.0 } else { turn }
}

/// A point on its way: at height `t` it is at `from + by * t`.
#[derive(Debug, Clone, Copy)]
pub(super) struct Motion {
    from: Spot,
    by: Spot,
}

impl Motion {
    /// Where two lines that are not parallel meet.
    pub(super) fn meeting(a: &Line, b: &Line) -> Self {
        let inverse = Double::from(1.0) / (a.normal[0] * b.normal[1] - a.normal[1] * b.normal[0]);
        // The columns of the inverse matrix of the two normals.
        let (for_a, for_b) =
            ([b.normal[1] * inverse, -(b.normal[0] * inverse)], [-(a.normal[1] * inverse), a.normal[0] * inverse]);
        let (p, q) = (a.level(), b.level());
        let (v, w) = (a.rate(), b.rate());
        Self {
            from: [for_a[0] * p + for_b[0] * q, for_a[1] * p + for_b[1] * q],
            by: [for_a[0] * v + for_b[0] * w, for_a[1] * v + for_b[1] * w],
        }
    }

    /// A point that stays on a line, square to it from `spot` at height `now`.
    pub(super) fn square(line: &Line, spot: Spot, now: Double) -> Self {
        let by = [line.normal[0] * line.rate(), line.normal[1] * line.rate()];
        Self { from: [spot[0] - by[0] * now, spot[1] - by[1] * now], by }
    }

    /// Where it is at a height.
    pub(super) fn at(&self, height: Double) -> Spot {
        [self.from[0] + self.by[0] * height, self.from[1] + self.by[1] * height]
    }

    /// How fast it moves.
    pub(super) fn speed(&self) -> f64 {
        let (x, y) = (self.by[0].value(), self.by[1].value());
        (x * x + y * y).sqrt()
    }

    /// Length from `self` to `other` along a unit direction: at height 0, and its growth.
    pub(super) fn gap(&self, other: &Self, direction: Spot) -> (Double, Double) {
        (dot(direction, minus(other.from, self.from)), dot(direction, minus(other.by, self.by)))
    }

    /// Distance in front of a line at height 0, and how fast the line gains on it.
    pub(super) fn lead(&self, line: &Line) -> (Double, Double) {
        (dot(line.normal, self.from) - line.level(), Double::from(line.rate()) - dot(line.normal, self.by))
    }

    /// The same in plain numbers: from x, y, by x, y.
    pub(super) fn plain(&self) -> [f64; 4] {
        [self.from[0].value(), self.from[1].value(), self.by[0].value(), self.by[1].value()]
    }
}
