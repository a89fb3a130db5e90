//! Element whose power hangs on its temperature: by the curve of its catalogue entry, and nothing else.
//!
//! The curve gives power over rated power at the element's temperature. That temperature is either stated, the same all along, or,
//! where the catalogue says how far the element warms above what surrounds it (`rise_per_watt`), settled foot by foot: local power
//! `p` solves `p = w (V / V0)^2 f(t + R p)`, `f` the curve, `w` the rated power per foot, `V0` the rated voltage, `t` what surrounds
//! it, `R` the rise. The chain is then solved again with the conductances `p / V^2` until nothing moves. What a breaker does in the
//! seconds after switching on is beyond this.

use super::strip::{ChainState, Piece, PieceState, Strip, element_strip, solve};
use crate::catalog::Element;

/// A chain's parts from the supply outwards, with the element each strip is of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Part<'a> {
    /// A lead or jumper: resistance of both conductors together, ohms.
    Lead(f64),
    /// A piece of element.
    Element {
        /// The product.
        element: &'a Element,
        /// Its length, inches.
        inches: f64,
        /// Whether what follows is fed from the same connection rather than through it.
        beside: bool,
    },
}

/// Stretches a piece is cut into where its temperature is settled along it. Voltage falls by a few per cent along a piece: with
/// sixteen the error of taking each stretch as even is below a part in a million.
const STRETCHES: u32 = 16;
/// Rounds of solving; each brings the voltages nearer by about the share that a chain loses, so a few are enough.
const ROUNDS: u32 = 40;
/// Halvings of the range of local power: more than the digits of a number.
const HALVINGS: u32 = 60;

/// Power per foot of an element at a local voltage, watts: at `fahrenheit`, or warmed by itself above it where the catalogue gives
/// `rise_per_watt`.
#[must_use]
pub fn local_power(element: &Element, volts: f64, fahrenheit: f64) -> f64 {
    let rated = element.watts_per_foot * (volts / element.volts) * (volts / element.volts);
    let Some(rise) = element.rise_per_watt.filter(|_| !element.power_curve.is_empty()) else {
        return rated * power_factor(element, fahrenheit);
    };
    // The catalogue refuses a curve that climbs with temperature beside a rise, so the right side falls as p grows: one crossing.
    let (mut low, mut high) = (0.0, rated * power_factor(element, fahrenheit));
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if middle < rated * power_factor(element, fahrenheit + rise * middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    0.5 * (low + high)
}

/// Conductance per foot of an element in steady use at its rated voltage, siemens.
#[must_use]
pub fn steady_conductance(element: &Element, fahrenheit: f64) -> f64 {
    local_power(element, element.volts, fahrenheit) / (element.volts * element.volts)
}

/// Whether the element's temperature has to be settled along it.
fn warms_itself(part: &Part) -> bool {
    matches!(part, Part::Element { element, .. } if element.rise_per_watt.is_some() && !element.power_curve.is_empty())
}

/// The parts as pieces, each element's conductance the rated one times a factor.
fn pieces(parts: &[Part], factor: impl Fn(&Element) -> f64) -> Vec<Piece> {
    let piece = |part: &Part| match *part {
        Part::Lead(ohms) => Piece::Lead(ohms),
        Part::Element { element, inches, beside } => {
            let rated = element_strip(element, inches);
            let strip = Strip { siemens_per_foot: rated.siemens_per_foot * factor(element), ..rated };
            if beside { Piece::Branch(strip) } else { Piece::Strip(strip) }
        }
    };
    parts.iter().map(piece).collect()
}

/// Solves a chain in steady use at `volts`: one state a part.
///
/// # Units
/// `fahrenheit`: temperature of the element, or of what surrounds it where the catalogue gives `rise_per_watt`.
#[must_use]
pub fn solve_steady(volts: f64, parts: &[Part], fahrenheit: f64) -> ChainState {
    if parts.iter().any(warms_itself) {
        return Warming::new(parts, fahrenheit).settle(volts);
    }
    solve(volts, &pieces(parts, |element| power_factor(element, fahrenheit)))
}

/// Solves a chain at rated resistance, as it is measured.
#[must_use]
pub fn solve_rated(volts: f64, parts: &[Part]) -> ChainState {
    solve(volts, &pieces(parts, |_| 1.0))
}

/// Solves a chain at switching on, all element at `fahrenheit`; `None` when the catalogue is silent on one of its elements.
#[must_use]
pub fn solve_start(volts: f64, parts: &[Part], fahrenheit: f64) -> Option<ChainState> {
    let silent =
        |part: &Part| matches!(part, Part::Element { element, .. } if start_factor(element, fahrenheit).is_none());
    if parts.iter().any(silent) {
        return None;
    }
    Some(solve(volts, &pieces(parts, |element| start_factor(element, fahrenheit).unwrap_or(1.0))))
}

/// A chain whose conductances are being settled: those of each part's stretches; none for a lead.
struct Warming<'a> {
    parts: &'a [Part<'a>],
    fahrenheit: f64,
    siemens: Vec<Vec<f64>>,
}

impl<'a> Warming<'a> {
    fn new(parts: &'a [Part<'a>], fahrenheit: f64) -> Self {
        let start = |part: &Part| match part {
            Part::Lead(_) => Vec::new(),
            Part::Element { element, .. } => vec![steady_conductance(element, fahrenheit); STRETCHES as usize],
        };
        Self { parts, fahrenheit, siemens: parts.iter().map(start).collect() }
    }

    fn settle(mut self, volts: f64) -> ChainState {
        let mut states = self.solved(volts);
        for _ in 0..ROUNDS {
            let mut moved = 0.0_f64;
            for (part, (siemens, (_, stretches))) in self.parts.iter().zip(self.siemens.iter_mut().zip(&states)) {
                let Part::Element { element, .. } = part else { continue };
                for (g, state) in siemens.iter_mut().zip(stretches) {
                    let middle = 0.5 * (state.near_volts + state.far_volts);
                    let settled = local_power(element, middle, self.fahrenheit) / (middle * middle);
                    moved = moved.max((settled / *g - 1.0).abs());
                    *g = settled;
                }
            }
            states = self.solved(volts);
            if moved < 1e-13 {
                break;
            }
        }
        let pieces: Vec<PieceState> = states.into_iter().map(|(whole, _)| whole).collect();
        let amps = pieces.first().map_or(0.0, |piece| piece.near_amps);
        let far_volts = pieces.last().map_or(volts, |piece| piece.far_volts);
        let lowest_volts = pieces.iter().map(|piece| piece.far_volts).fold(volts, f64::min);
        ChainState { amps, watts: volts * amps, far_volts, lowest_volts, pieces }
    }

    /// The stretches of a part in line.
    fn strips(&self, at: usize) -> Vec<Piece> {
        let Part::Element { element, inches, .. } = self.parts[at] else { return Vec::new() };
        let rated = element_strip(element, inches / f64::from(STRETCHES));
        self.siemens[at].iter().map(|&g| Piece::Strip(Strip { siemens_per_foot: g, ..rated })).collect()
    }

    /// Each part's state and those of its stretches, with the conductances as they stand.
    fn solved(&self, volts: f64) -> Vec<(PieceState, Vec<PieceState>)> {
        let mut flat = Vec::new();
        for (at, part) in self.parts.iter().enumerate() {
            match part {
                Part::Lead(ohms) => flat.push(Piece::Lead(*ohms)),
                Part::Element { beside: false, .. } => flat.extend(self.strips(at)),
                // What hangs beside the line draws at its connection like one conductance: what it draws at 1 V.
                Part::Element { .. } => {
                    let siemens_per_foot = solve(1.0, &self.strips(at)).amps;
                    flat.push(Piece::Branch(Strip { ohms_per_foot: 0.0, siemens_per_foot, feet: 1.0 }));
                }
            }
        }
        let mut line = solve(volts, &flat).pieces.into_iter();
        let state = |at: usize, part: &Part| match part {
            Part::Lead(_) => (line.next().expect("a lead is one piece"), Vec::new()),
            Part::Element { beside: false, .. } => {
                let stretches: Vec<PieceState> = line.by_ref().take(STRETCHES as usize).collect();
                let (first, last) = (stretches[0], stretches[stretches.len() - 1]);
                let whole = PieceState { near_volts: first.near_volts, near_amps: first.near_amps, ..last };
                (with_sums(whole, &stretches), stretches)
            }
            Part::Element { .. } => {
                let hung = line.next().expect("a branch is one piece");
                let own = solve(hung.near_volts, &self.strips(at));
                (with_sums(PieceState { far_volts: own.far_volts, ..hung }, &own.pieces), own.pieces)
            }
        };
        let mut state = state;
        self.parts.iter().enumerate().map(|(at, part)| state(at, part)).collect()
    }
}

fn with_sums(whole: PieceState, stretches: &[PieceState]) -> PieceState {
    PieceState {
        element_watts: stretches.iter().map(|s| s.element_watts).sum(),
        bus_watts: stretches.iter().map(|s| s.bus_watts).sum(),
        ..whole
    }
}

/// Power of an element at a temperature over its rated power, by its curve, level beyond the curve's ends; 1 without a curve.
///
/// # Units
/// Degrees Fahrenheit.
#[must_use]
pub fn power_factor(element: &Element, fahrenheit: f64) -> f64 {
    let curve = &element.power_curve;
    let (Some(first), Some(last)) = (curve.first(), curve.last()) else { return 1.0 };
    if fahrenheit <= first.fahrenheit {
        return first.factor;
    }
    let Some(at) = curve.iter().position(|p| p.fahrenheit >= fahrenheit) else { return last.factor };
    let (low, high) = (&curve[at - 1], &curve[at]);
    low.factor + (high.factor - low.factor) * (fahrenheit - low.fahrenheit) / (high.fahrenheit - low.fahrenheit)
}

/// Power at switching on over rated power: the stated factor, or the curve at the coldest start. `None` when the catalogue says neither.
#[must_use]
pub fn start_factor(element: &Element, fahrenheit: f64) -> Option<f64> {
    let by_curve = (!element.power_curve.is_empty()).then(|| power_factor(element, fahrenheit));
    match (element.cold_start_factor, by_curve) {
        (Some(stated), Some(curve)) => Some(stated.max(curve)),
        (stated, curve) => stated.or(curve),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::catalog::{Catalogue, CurvePoint};
    use proptest::prelude::*;

    fn element() -> Element {
        let mut element = Catalogue::sample().elements[0].clone();
        element.cold_start_factor = None;
        element
    }

    const fn point(fahrenheit: f64, factor: f64) -> CurvePoint {
        CurvePoint { fahrenheit, factor }
    }

    /// By hand: factors 2.0 at 0 °F and 1.0 at 50 °F make 1.5 at 25 °F, level beyond.
    #[test]
    fn a_power_curve_is_read_between_its_points() {
        let mut element = element();
        assert_eq!((power_factor(&element, 0.0), start_factor(&element, 0.0)), (1.0, None));
        element.power_curve = vec![point(0.0, 2.0), point(50.0, 1.0)];
        let at = [-20.0, 0.0, 25.0, 50.0, 90.0].map(|t| power_factor(&element, t));
        assert_eq!(at, [2.0, 2.0, 1.5, 1.0, 1.0]);
        element.cold_start_factor = Some(1.8);
        assert_eq!([0.0, 25.0].map(|t| start_factor(&element, t)), [Some(2.0), Some(1.8)]);
    }

    /// 10 W/ft at 240 V, 1 at 32 °F falling by 0.5 to 132 °F, warming by 5 °F for each W/ft.
    fn self_limiting(bus: f64) -> Element {
        Element {
            watts_per_foot: 10.0,
            bus_ohms_per_foot: bus,
            power_curve: vec![point(32.0, 1.0), point(132.0, 0.5)],
            rise_per_watt: Some(5.0),
            ..element()
        }
    }

    /// By hand: in surroundings of 32 °F p = 10 (1 - 0.005 x 5 p) = 10 - 0.25 p, so p = 8 W/ft at 72 °F. At half the voltage
    /// p = 2.5 (1 - 0.025 p): p = 2.5 / 1.0625 = 2.352 941 W/ft, more than a quarter of 8: cooler element draws more.
    #[test]
    fn local_power_by_hand() {
        let warm = self_limiting(0.005);
        assert!((local_power(&warm, 240.0, 32.0) - 8.0).abs() < 1e-9);
        assert!((local_power(&warm, 120.0, 32.0) - 2.5 / 1.0625).abs() < 1e-9);
        let stated = Element { rise_per_watt: None, ..warm };
        assert!((local_power(&stated, 240.0, 72.0) - 8.0).abs() < 1e-9);
        assert!((steady_conductance(&stated, 72.0) - 8.0 / 57_600.0).abs() < 1e-15);
    }

    /// By hand, without bus resistance: 30 ft at 8 W/ft are 240 W, 1 A at 240 V; behind 1 ohm of lead V solves
    /// V = 240 - I, I = 30 p(V) / V with p(V) = q / (1 + 0.025 q), q = 10 (V / 240)^2.
    #[test]
    fn a_piece_behind_a_lead_settles_where_both_laws_hold() {
        let warm = self_limiting(1e-9);
        let part = Part::Element { element: &warm, inches: 360.0, beside: false };
        let alone = solve_steady(240.0, &[part], 32.0);
        assert!((alone.watts - 240.0).abs() < 1e-5 && (alone.amps - 1.0).abs() < 1e-7, "{alone:?}");
        let state = solve_steady(240.0, &[Part::Lead(1.0), part], 32.0);
        let volts = state.pieces[1].near_volts;
        let q = 10.0 * (volts / 240.0) * (volts / 240.0);
        assert!((volts - (240.0 - state.amps)).abs() < 1e-9);
        assert!((state.amps - 30.0 * q / (1.0 + 0.025 * q) / volts).abs() < 1e-6, "{}", state.amps);
        // Constant resistance would draw 240 / (240 + 1); what cools draws a little more.
        assert!(state.amps > 240.0 / 241.0 && state.amps < 1.0);
    }

    /// Shooting on the far-end voltage with a ladder of small resistors whose shunts obey the local law: no closed form, no stretches.
    fn shot(volts: f64, element: &Element, feet: f64, fahrenheit: f64) -> f64 {
        let steps = 4000;
        let h = feet / f64::from(steps);
        let supply = |far: f64| {
            let (mut v, mut i) = (far, 0.0);
            for _ in 0..steps {
                let middle = v + 0.5 * h * element.bus_ohms_per_foot * i;
                i += h * local_power(element, middle, fahrenheit) / middle;
                v = middle + 0.5 * h * element.bus_ohms_per_foot * i;
            }
            (v, i)
        };
        let (mut low, mut high) = (0.5 * volts, volts);
        for _ in 0..50 {
            let middle = 0.5 * (low + high);
            if supply(middle).0 < volts { low = middle } else { high = middle }
        }
        supply(0.5 * (low + high)).1
    }

    #[test]
    fn a_ladder_that_obeys_the_local_law_agrees() {
        let warm = self_limiting(0.02);
        let state = solve_steady(240.0, &[Part::Element { element: &warm, inches: 600.0, beside: false }], 20.0);
        let amps = shot(240.0, &warm, 50.0, 20.0);
        assert!((state.amps / amps - 1.0).abs() < 1e-6, "{} {amps}", state.amps);
        let total: f64 = state.pieces.iter().map(|p| p.element_watts + p.bus_watts).sum();
        assert!((total - state.watts).abs() < 1e-9 * state.watts);
    }

    /// Two pieces side by side at one connection draw twice what one draws at that connection's voltage.
    #[test]
    fn pieces_beside_the_line_warm_by_themselves() {
        let warm = self_limiting(0.005);
        let piece = |beside| Part::Element { element: &warm, inches: 480.0, beside };
        let both = solve_steady(240.0, &[Part::Lead(0.5), piece(true), Part::Lead(0.0), piece(false)], 32.0);
        let at = both.pieces[1].near_volts;
        let one = solve_steady(at, &[piece(false)], 32.0);
        assert!((both.amps - 2.0 * one.amps).abs() < 1e-9 && (240.0 - 0.5 * both.amps - at).abs() < 1e-9);
        assert!((both.lowest_volts - one.far_volts).abs() < 1e-9);
    }

    fn behind_a_lead(element: &Element) -> [Part<'_>; 2] {
        [Part::Lead(0.3), Part::Element { element, inches: 480.0, beside: false }]
    }

    /// A curve without a rise is one factor all along; without a curve nothing changes at all.
    #[test]
    fn without_a_rise_the_closed_form_is_scaled() {
        let mut plain = element();
        let rated = solve_rated(240.0, &behind_a_lead(&plain));
        assert_eq!(solve_steady(240.0, &behind_a_lead(&plain), -10.0), rated);
        assert_eq!(solve_start(240.0, &behind_a_lead(&plain), -10.0), None);
        plain.power_curve = vec![point(0.0, 1.6), point(50.0, 1.0)];
        let colder = solve_steady(240.0, &behind_a_lead(&plain), 25.0);
        let scaled = Element { watts_per_foot: 1.3 * plain.watts_per_foot, power_curve: Vec::new(), ..plain.clone() };
        assert!((colder.amps - solve_rated(240.0, &behind_a_lead(&scaled)).amps).abs() < 1e-12);
        let start = solve_start(240.0, &behind_a_lead(&plain), 0.0).unwrap();
        assert!(start.amps > colder.amps && colder.amps > rated.amps);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]
        #[test]
        fn voltage_never_rises_along_element_that_warms_and_a_longer_lead_never_helps(
            lead in 0.0f64..4.0, more in 0.0f64..4.0, feet in 1.0f64..60.0, rise in 0.0f64..20.0, around in -20.0f64..60.0,
        ) {
            let warm = Element { rise_per_watt: Some(rise), ..self_limiting(0.01) };
            let piece = |beside| Part::Element { element: &warm, inches: 12.0 * feet, beside };
            let chain = |ohms| solve_steady(240.0, &[Part::Lead(ohms), piece(true), Part::Lead(0.1), piece(false)], around);
            let state = chain(lead);
            for piece in &state.pieces {
                prop_assert!(piece.far_volts <= piece.near_volts + 1e-9 && piece.bus_watts >= -1e-9);
            }
            // Never more than the coldest point of its curve at full voltage.
            prop_assert!(state.watts <= 20.0 * feet + 1e-9);
            let sum: f64 = state.pieces.iter().map(|p| p.element_watts + p.bus_watts).sum();
            prop_assert!((sum - state.watts).abs() < 1e-7 * state.watts);
            prop_assert!(chain(lead + more).far_volts <= state.far_volts + 1e-9);
        }
    }
}
