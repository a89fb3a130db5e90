//! Which lines of the supply each circuit hangs on, so that they carry alike.

use crate::terms::Supply;

/// The lines a circuit hangs on: `A`, `B`, `C`, or two of them.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Lines {
    /// The first.
    pub first: char,
    /// The second, for two poles.
    pub second: Option<char>,
}

impl std::fmt::Display for Lines {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.second {
            Some(second) => write!(f, "{}-{second}", self.first),
            None => write!(f, "{}", self.first),
        }
    }
}

/// Lines given to circuits and what each line then carries.
#[derive(Debug, Clone, PartialEq)]
pub struct Balance {
    /// Lines of each circuit, in the order given.
    pub lines: Vec<Lines>,
    /// Amperes in lines A, B and, for three phases, C.
    pub amps: Vec<f64>,
}

impl Balance {
    /// How far the most loaded line stands above the mean of all, as a share; 0 for no load.
    #[must_use]
    pub fn unbalance(&self) -> f64 {
        let mean = self.amps.iter().sum::<f64>() / self.amps.len() as f64;
        let most = self.amps.iter().copied().fold(0.0, f64::max);
        if mean > 0.0 { most / mean - 1.0 } else { 0.0 }
    }
}

fn places(supply: Supply, poles: u32) -> Vec<Lines> {
    let one = |first| Lines { first, second: None };
    let two = |first, second| Lines { first, second: Some(second) };
    match (supply, poles) {
        (Supply::SinglePhase, 1) => vec![one('A'), one('B')],
        (Supply::SinglePhase, _) => vec![two('A', 'B')],
        (Supply::ThreePhase, 1) => vec![one('A'), one('B'), one('C')],
        (Supply::ThreePhase, _) => vec![two('A', 'B'), two('B', 'C'), two('A', 'C')],
    }
}

/// Currents of the lines when each place carries `loads`. Between two of three lines the currents of neighbouring places stand at
/// 120°: a line with x on one side and y on the other carries the square root of x² + y² + xy.
fn line_amps(supply: Supply, poles: u32, loads: &[f64]) -> Vec<f64> {
    let joined = |x: f64, y: f64| (x * x + y * y + x * y).sqrt();
    match (supply, poles) {
        (Supply::SinglePhase, 2..) => vec![loads[0]; 2],
        (Supply::ThreePhase, 2..) => {
            vec![joined(loads[0], loads[2]), joined(loads[0], loads[1]), joined(loads[1], loads[2])]
        }
        _ => loads.to_vec(),
    }
}

/// Hangs circuits on lines: the largest first, each on the place with least load, the first of equals. All poles alike.
///
/// # Units
/// `amps` in amperes, one a circuit; `poles` 1 or 2.
#[must_use]
pub fn balance(amps: &[f64], supply: Supply, poles: u32) -> Balance {
    let places = places(supply, poles);
    let mut loads = vec![0.0_f64; places.len()];
    let mut lines = vec![places[0]; amps.len()];
    let mut order: Vec<usize> = (0..amps.len()).collect();
    order.sort_by(|&a, &b| amps[b].total_cmp(&amps[a]).then(a.cmp(&b)));
    for circuit in order {
        let least = (0..places.len()).min_by(|&a, &b| loads[a].total_cmp(&loads[b])).unwrap_or(0);
        loads[least] += amps[circuit];
        lines[circuit] = places[least];
    }
    Balance { lines, amps: line_amps(supply, poles, &loads) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_poles_of_a_single_phase_are_always_alike() {
        let found = balance(&[16.0, 3.0], Supply::SinglePhase, 2);
        assert_eq!(found.amps, [19.0, 19.0]);
        assert_eq!(found.lines[1].to_string(), "A-B");
        assert!(found.unbalance().abs() < 1e-12);
    }

    /// By hand: 16, 12, 9, 8 A to neutral: 16 on A, 12 and then 9 on B (12 < 16), 8 on A.
    #[test]
    fn one_pole_circuits_alternate_by_load() {
        let found = balance(&[12.0, 16.0, 8.0, 9.0], Supply::SinglePhase, 1);
        let lines: Vec<String> = found.lines.iter().map(ToString::to_string).collect();
        assert_eq!(lines, ["B", "A", "A", "B"]);
        assert_eq!(found.amps, [24.0, 21.0]);
    }

    /// Textbook: three equal loads between lines give each line the square root of three times one load.
    #[test]
    fn equal_delta_loads_give_root_three() {
        let found = balance(&[10.0; 3], Supply::ThreePhase, 2);
        assert!(found.amps.iter().all(|a| (a - 10.0 * 3f64.sqrt()).abs() < 1e-12));
        let one = balance(&[10.0], Supply::ThreePhase, 2);
        assert_eq!(one.amps, [10.0, 10.0, 0.0]);
        assert!((one.unbalance() - 0.5).abs() < 1e-12);
    }
}
