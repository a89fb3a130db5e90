//! Voltage, current and power along parallel-bus strips behind leads and jumpers, in closed form.
//!
//! A strip is a line with series bus resistance `r` and shunt conductance `g` per foot: `dV/dx = -r I`, `dI/dx = -g V`, no
//! current leaving the far end. With `k = sqrt(r g)` and `Z = sqrt(r / g)`, seen from the far end a stretch of length `L`
//! turns `(V, I)` into `(V cosh kL + I Z sinh kL, I cosh kL + V sinh kL / Z)`; a lead turns it into `(V + R I, I)`. A chain is
//! the product of its pieces, walked from the far end with 1 V there and scaled to the supply. Conductance is constant along a strip;
//! element whose power hangs on its temperature is brought to such strips in `warm`.

use crate::catalog::{Element, LeadCable};
use crate::geometry::trig;
use crate::units::INCHES_PER_FOOT;

/// A piece of element as a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Strip {
    /// Resistance of both buses together per foot, ohms.
    pub ohms_per_foot: f64,
    /// Conductance between the buses per foot, siemens.
    pub siemens_per_foot: f64,
    /// Length, feet.
    pub feet: f64,
}

/// One piece of a chain, from the supply outwards.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Piece {
    /// A lead or jumper: resistance of both conductors together, ohms.
    Lead(f64),
    /// Element that what follows is fed through.
    Strip(Strip),
    /// Element beside the line: what follows is fed from the same connection, not through it.
    Branch(Strip),
}

/// Volts and amperes at both ends of a piece, and where its power goes. A branch's far end carries nothing on: `far_amps` is then what
/// passes by it at its near end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PieceState {
    /// Volts at the end nearer the supply.
    pub near_volts: f64,
    /// Volts at the other end.
    pub far_volts: f64,
    /// Amperes into it.
    pub near_amps: f64,
    /// Amperes out of it to what follows.
    pub far_amps: f64,
    /// Watts between the buses: the heat that is wanted. 0 for a lead.
    pub element_watts: f64,
    /// Watts lost in buses or lead conductors.
    pub bus_watts: f64,
}

/// A whole chain at its supply voltage.
#[derive(Debug, Clone, PartialEq)]
pub struct ChainState {
    /// Current from the supply, amperes.
    pub amps: f64,
    /// Power from the supply, watts.
    pub watts: f64,
    /// Volts at the far end of the last piece.
    pub far_volts: f64,
    /// The lowest voltage anywhere along it.
    pub lowest_volts: f64,
    /// Piece by piece from the supply.
    pub pieces: Vec<PieceState>,
}

impl ChainState {
    /// Resistance seen from the supply with the far end open, ohms; infinite without element.
    #[must_use]
    pub fn ohms(&self) -> f64 {
        if self.amps > 0.0 { self.watts / (self.amps * self.amps) } else { f64::INFINITY }
    }
}

/// Solves a chain of pieces, the one at the supply first, at `volts`. An empty chain draws nothing.
#[must_use]
pub fn solve(volts: f64, pieces: &[Piece]) -> ChainState {
    let (mut v, mut i) = (1.0, 0.0);
    let mut states: Vec<PieceState> = Vec::with_capacity(pieces.len());
    for piece in pieces.iter().rev() {
        let state = if let Piece::Branch(strip) = *piece { beside(strip, v, i) } else { along(piece, v, i) };
        (v, i) = (state.near_volts, state.near_amps);
        states.push(state);
    }
    states.reverse();
    let scale = volts / v;
    for state in &mut states {
        state.near_volts *= scale;
        state.far_volts *= scale;
        state.near_amps *= scale;
        state.far_amps *= scale;
        state.element_watts *= scale * scale;
        state.bus_watts *= scale * scale;
    }
    let lowest_volts = states.iter().map(|s| s.far_volts).fold(volts, f64::min);
    ChainState { amps: i * scale, watts: volts * i * scale, far_volts: scale, lowest_volts, pieces: states }
}

/// The state of a piece that the current passes along.
fn along(piece: &Piece, v: f64, i: f64) -> PieceState {
    let (near_volts, near_amps, element_watts) = across(piece, v, i);
    let bus_watts = near_volts * near_amps - v * i - element_watts;
    PieceState { near_volts, far_volts: v, near_amps, far_amps: i, element_watts, bus_watts }
}

/// The state of a strip beside a line that carries `i` on at `v`: its far end is open, so it is solved for 1 V there and scaled to `v`.
fn beside(strip: Strip, v: f64, i: f64) -> PieceState {
    let (near_volts, near_amps, element_watts) = across(&Piece::Strip(strip), 1.0, 0.0);
    let scale = v / near_volts;
    let (own, element_watts) = (near_amps * scale, element_watts * scale * scale);
    PieceState {
        near_volts: v,
        far_volts: scale,
        near_amps: i + own,
        far_amps: i,
        element_watts,
        bus_watts: v * own - element_watts,
    }
}

/// Volts and amperes at the near end of a piece from those at its far end, and the watts between the buses.
fn across(piece: &Piece, v: f64, i: f64) -> (f64, f64, f64) {
    match *piece {
        Piece::Lead(ohms) => (v + ohms * i, i, 0.0),
        Piece::Strip(Strip { ohms_per_foot: r, siemens_per_foot: g, feet: length })
        | Piece::Branch(Strip { ohms_per_foot: r, siemens_per_foot: g, feet: length }) => {
            let k = (r * g).sqrt();
            if k * length < 1e-9 {
                // No bus resistance or no shunt to speak of: the limits of the formulas below.
                return (v + r * length * i, i + g * length * v, g * length * v * v);
            }
            let z = (r / g).sqrt();
            let (cosh, sinh) = (trig::cosh(k * length), trig::sinh(k * length));
            let (cosh2, sinh2) = (trig::cosh(2.0 * k * length), trig::sinh(2.0 * k * length));
            let half = 0.5 * length;
            let wave = sinh2 / (4.0 * k);
            let shunt =
                g * (v * v * (half + wave) + i * i * z * z * (wave - half) + v * i * z * (cosh2 - 1.0) / (2.0 * k));
            (v * cosh + i * z * sinh, i * cosh + v * sinh / z, shunt)
        }
    }
}

/// A length of element as a strip: its conductance follows from its watts per foot at its own voltage.
///
/// # Units
/// `inches` in inches.
#[must_use]
pub fn element_strip(element: &Element, inches: f64) -> Strip {
    Strip {
        ohms_per_foot: element.bus_ohms_per_foot,
        siemens_per_foot: element.watts_per_foot / (element.volts * element.volts),
        feet: inches / INCHES_PER_FOOT,
    }
}

/// Resistance of a lead out and back, ohms.
///
/// # Units
/// `inches` is the one-way length, in inches.
#[must_use]
pub fn lead_loop_ohms(lead: &LeadCable, inches: f64) -> f64 {
    2.0 * lead.ohms_per_kft * inches / INCHES_PER_FOOT / 1000.0
}

/// The longest piece of this strip whose far end loses no more than `share` of the voltage at its near end, feet.
/// Infinite for a strip without bus resistance or conductance.
#[must_use]
pub fn longest_strip(ohms_per_foot: f64, siemens_per_foot: f64, share: f64) -> f64 {
    let k = (ohms_per_foot * siemens_per_foot).sqrt();
    if k == 0.0 {
        return f64::INFINITY;
    }
    // V(L) / V(0) = 1 / cosh kL.
    let ratio = 1.0 / (1.0 - share.clamp(0.0, 0.999));
    trig::ln(ratio + (ratio * ratio - 1.0).sqrt()) / k
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn near(value: f64, expected: f64, relative: f64) {
        assert!((value - expected).abs() <= relative * expected.abs(), "{value} is not {expected}");
    }

    /// Supply, r, g, then V(L), I0, total, shunt and bus watts of a 50 ft strip: FACTS 3.9, from mpmath at 30 digits.
    fn case(volts: f64, r: f64, g: f64, expected: [f64; 5]) {
        let strip = Strip { ohms_per_foot: r, siemens_per_foot: g, feet: 50.0 };
        let state = solve(volts, &[Piece::Strip(strip)]);
        near(state.far_volts, expected[0], 1e-9);
        near(state.amps, expected[1], 1e-9);
        near(state.watts, expected[2], 1e-9);
        near(state.pieces[0].element_watts, expected[3], 1e-9);
        near(state.pieces[0].bus_watts, expected[4], 1e-8);
        near(longest_strip(r, g, 1.0 - expected[0] / volts), 50.0, 1e-6);
    }

    #[test]
    fn case_a_14_awg_bus_12_watts_a_foot() {
        case(240.0, 0.00505, 12.0 / 57600.0, [239.68472053, 2.49781046327, 599.474511184, 598.949574632, 0.5249365524]);
    }

    #[test]
    fn case_b_16_awg_bus_6_watts_a_foot() {
        case(
            120.0,
            0.008032,
            6.0 / 14400.0,
            [119.499744094, 2.49305103273, 299.166123927, 298.335029031, 0.8310948968],
        );
    }

    #[test]
    fn case_c_18_awg_bus_18_watts_a_foot() {
        case(120.0, 0.01277, 18.0 / 14400.0, [117.644801905, 7.40180157009, 888.216188411, 876.617450931, 11.59873748]);
    }

    #[test]
    fn case_d_where_the_exponent_is_one() {
        case(100.0, 0.04, 0.01, [64.8054273664, 38.0797077978, 3807.97077978, 2953.92124392, 854.0495359]);
    }

    #[test]
    fn case_e_is_case_a_behind_60_feet_of_lead() {
        let lead = Piece::Lead(2.0 * 1.98 * 60.0 / 1000.0);
        let strip = Piece::Strip(Strip { ohms_per_foot: 0.00505, siemens_per_foot: 12.0 / 57600.0, feet: 50.0 });
        let state = solve(240.0, &[lead, strip]);
        near(state.amps, 2.491649033, 1e-9);
        near(state.pieces[1].near_volts, 239.4079842, 1e-9);
        near(state.far_volts, 239.0934824, 1e-9);
        near(state.ohms(), 96.084151912 + 0.2376, 1e-9);
    }

    /// By hand: 10 V behind 1 ohm feeds, at one connection, a strip of 10 ft at 0.01 S/ft without bus resistance (10 ohms) and, behind a
    /// jumper of 2 ohms, another 10 ft of 0.0125 S/ft (8 ohms): 10 and 10 ohms in parallel are 5, so 10 / 6 A flow from the supply,
    /// 8.3333 V stand at the connection, 0.8333 A go each way and 6.6667 V reach the second strip.
    #[test]
    fn two_strips_fed_from_one_connection() {
        let strip = |siemens_per_foot| Strip { ohms_per_foot: 0.0, siemens_per_foot, feet: 10.0 };
        let chain = [Piece::Lead(1.0), Piece::Branch(strip(0.01)), Piece::Lead(2.0), Piece::Strip(strip(0.0125))];
        let state = solve(10.0, &chain);
        near(state.amps, 10.0 / 6.0, 1e-9);
        near(state.watts, 100.0 / 6.0, 1e-9);
        near(state.pieces[1].near_volts, 50.0 / 6.0, 1e-9);
        near(state.pieces[1].element_watts, 2500.0 / 360.0, 1e-9);
        near(state.pieces[2].near_amps, 5.0 / 6.0, 1e-9);
        near(state.far_volts, 40.0 / 6.0, 1e-9);
        assert!((state.lowest_volts - state.far_volts).abs() < 1e-12);
    }

    /// A branch at its own voltage is the strip of case A: the line behind it does not change what it draws.
    #[test]
    fn a_branch_with_bus_resistance_is_a_strip_at_its_connection() {
        let long = Strip { ohms_per_foot: 0.00505, siemens_per_foot: 12.0 / 57600.0, feet: 50.0 };
        let state = solve(240.0, &[Piece::Branch(long), Piece::Strip(Strip { feet: 1.0, ..long })]);
        near(state.pieces[0].far_volts, 239.68472053, 1e-9);
        near(state.pieces[0].near_amps - state.pieces[0].far_amps, 2.49781046327, 1e-9);
        near(state.pieces[0].element_watts, 598.949574632, 1e-9);
        near(state.lowest_volts, 239.68472053, 1e-9);
    }

    /// The same line cut into many short stretches, each a plain resistor and a plain shunt.
    fn finite_differences(volts: f64, strip: Strip, steps: u32) -> (f64, f64) {
        let h = strip.feet / f64::from(steps);
        let (mut v, mut i) = (1.0, 0.0);
        for _ in 0..steps {
            // Half the bus, the shunt, the other half: second order in h.
            let middle = v + 0.5 * h * strip.ohms_per_foot * i;
            i += h * strip.siemens_per_foot * middle;
            v = middle + 0.5 * h * strip.ohms_per_foot * i;
        }
        (volts / v, volts / v * i)
    }

    /// Cases A to D, and E: the lead is one more resistor before the ladder's near end.
    #[test]
    fn a_ladder_of_resistors_agrees() {
        for (volts, r, g, lead) in [
            (240.0, 0.00505, 12.0 / 57600.0, 0.0),
            (120.0, 0.008032, 6.0 / 14400.0, 0.0),
            (120.0, 0.01277, 18.0 / 14400.0, 0.0),
            (100.0, 0.04, 0.01, 0.0),
            (240.0, 0.00505, 12.0 / 57600.0, 0.2376),
        ] {
            let strip = Strip { ohms_per_foot: r, siemens_per_foot: g, feet: 50.0 };
            let (far, amps) = finite_differences(1.0, strip, 200_000);
            let near_volts = volts / (1.0 + lead * amps);
            let state = solve(volts, &[Piece::Lead(lead), Piece::Strip(strip)]);
            near(state.far_volts, far * near_volts, 1e-9);
            near(state.amps, amps * near_volts, 1e-9);
        }
    }

    /// Voltage half way, cases A to D of FACTS 3.9: a strip cut in two shows it between its halves.
    #[test]
    fn voltage_half_way_along() {
        for (volts, r, g, half_way) in [
            (240.0, 0.00505, 12.0 / 57600.0, 239.763_527_4),
            (120.0, 0.008032, 6.0 / 14400.0, 119.624_742_7),
            (120.0, 0.01277, 18.0 / 14400.0, 118.232_135_3),
            (100.0, 0.04, 0.01, 73.076_282_58),
        ] {
            let half = Piece::Strip(Strip { ohms_per_foot: r, siemens_per_foot: g, feet: 25.0 });
            near(solve(volts, &[half, half]).pieces[0].far_volts, half_way, 1e-9);
        }
    }

    proptest! {
        #[test]
        fn a_strip_cut_in_two_is_the_same_strip(
            r in 0.0f64..0.05, g in 0.0f64..0.02, feet in 1.0f64..60.0, at in 0.0f64..1.0,
        ) {
            let strip = |feet| Piece::Strip(Strip { ohms_per_foot: r, siemens_per_foot: g, feet });
            let whole = solve(240.0, &[strip(feet)]);
            let parts = solve(240.0, &[strip(feet * at), strip(feet * (1.0 - at))]);
            prop_assert!((whole.amps - parts.amps).abs() <= 1e-9 * (1.0 + whole.amps));
            prop_assert!((whole.far_volts - parts.far_volts).abs() <= 1e-7);
        }

        #[test]
        fn voltage_never_rises_and_a_longer_lead_never_helps(
            lead in 0.0f64..2.0, more in 0.0f64..2.0, feet in 1.0f64..60.0, jumper in 0.0f64..0.5,
        ) {
            let strip = Piece::Strip(Strip { ohms_per_foot: 0.01, siemens_per_foot: 12.0 / 57600.0, feet });
            let state = solve(240.0, &[Piece::Lead(lead), strip, Piece::Lead(jumper), strip]);
            for piece in &state.pieces {
                prop_assert!(piece.far_volts <= piece.near_volts + 1e-9);
                prop_assert!(piece.bus_watts >= -1e-9);
            }
            // Power below nominal, of the whole and of each strip.
            prop_assert!(state.watts <= 24.0 * feet + 1e-9);
            prop_assert!(state.pieces.iter().all(|p| p.element_watts <= 12.0 * feet + 1e-9));
            prop_assert!(state.pieces.windows(2).all(|p| (p[0].far_volts - p[1].near_volts).abs() < 1e-9));
            let sum: f64 = state.pieces.iter().map(|p| p.element_watts + p.bus_watts).sum();
            prop_assert!((sum - state.watts).abs() < 1e-6);
            let longer = solve(240.0, &[Piece::Lead(lead + more), strip, Piece::Lead(jumper), strip]);
            prop_assert!(longer.far_volts <= state.far_volts + 1e-9);
        }
    }
}
