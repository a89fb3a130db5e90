//! Sets of intervals on a line: where a course is clear.

use schemars::JsonSchema;
use serde::Serialize;

/// A closed stretch of a line, `low <= high`, in inches.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Interval {
    /// Where it starts.
    pub low: f64,
    /// Where it ends.
    pub high: f64,
}

impl Interval {
    /// The stretch between two stations given in any order.
    #[must_use]
    pub fn new(a: f64, b: f64) -> Self {
        Self { low: a.min(b), high: a.max(b) }
    }

    /// Length.
    #[must_use]
    pub fn length(self) -> f64 {
        self.high - self.low
    }

    /// The stretch shared with `other`, or `None` when they do not overlap by more than a point.
    #[must_use]
    pub fn overlap(self, other: Self) -> Option<Self> {
        let (low, high) = (self.low.max(other.low), self.high.min(other.high));
        (low < high).then_some(Self { low, high })
    }

    /// Whether `station` lies in or on it.
    #[must_use]
    pub fn contains(self, station: f64) -> bool {
        (self.low..=self.high).contains(&station)
    }
}

/// Disjoint stretches in rising order.
#[derive(Debug, Clone, Default, PartialEq, Serialize)]
pub struct IntervalSet {
    stretches: Vec<Interval>,
}

impl IntervalSet {
    /// The union of `stretches`, in any order and overlapping.
    #[must_use]
    pub fn from_union(mut stretches: Vec<Interval>) -> Self {
        stretches.sort_by(|a, b| a.low.total_cmp(&b.low).then(a.high.total_cmp(&b.high)));
        let mut merged: Vec<Interval> = Vec::with_capacity(stretches.len());
        for next in stretches {
            match merged.last_mut() {
                Some(last) if next.low <= last.high => last.high = last.high.max(next.high),
                _ => merged.push(next),
            }
        }
        Self { stretches: merged }
    }

    /// The disjoint stretches in rising order.
    #[must_use]
    pub fn stretches(&self) -> &[Interval] {
        &self.stretches
    }

    /// What is left of this set without `other`.
    #[must_use]
    pub fn minus(&self, other: &Self) -> Self {
        let mut left = Vec::new();
        for stretch in &self.stretches {
            let mut from = stretch.low;
            for cut in &other.stretches {
                if cut.high <= from {
                    continue;
                }
                if cut.low >= stretch.high {
                    break;
                }
                if cut.low > from {
                    left.push(Interval { low: from, high: cut.low });
                }
                from = from.max(cut.high);
            }
            if from < stretch.high {
                left.push(Interval { low: from, high: stretch.high });
            }
        }
        Self { stretches: left }
    }

    /// Total length.
    #[must_use]
    pub fn length(&self) -> f64 {
        self.stretches.iter().map(|s| s.length()).sum()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn cutting_a_course_leaves_its_clear_runs() {
        let course = IntervalSet::from_union(vec![Interval::new(0.0, 100.0)]);
        let blocked = IntervalSet::from_union(vec![
            Interval::new(40.0, 60.0),
            Interval::new(-5.0, 6.0),
            Interval::new(55.0, 62.0),
        ]);
        let clear = course.minus(&blocked);
        assert_eq!(clear.stretches(), &[Interval::new(6.0, 40.0), Interval::new(62.0, 100.0)]);
        assert!((clear.length() - 72.0).abs() < 1e-12);
    }
}
