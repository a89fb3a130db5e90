//! Conduit: how full it may be, and the smallest that holds a circuit's wires.

use super::tables::{INSULATED_AREA, Label, Table};
use crate::terms::Conduit;

/// A trade size.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TradeSize {
    /// What it is called: `3/4`.
    pub name: &'static str,
    /// Inside area, square inches.
    pub area: f64,
    /// What more than two wires may fill, square inches, as printed.
    pub forty: f64,
}

const fn size(name: &'static str, area: f64, forty: f64) -> TradeSize {
    TradeSize { name, area, forty }
}

/// Electrical metallic tubing.
pub const EMT: Table<TradeSize> = Table {
    clause: "Chapter 9 Table 4",
    source: "quoted at orbitaljump.com and wiresizecalculator.org",
    label: Label::Seen,
    rows: &[
        size("1/2", 0.304, 0.122),
        size("3/4", 0.533, 0.213),
        size("1", 0.864, 0.346),
        size("1-1/4", 1.496, 0.598),
        size("1-1/2", 2.036, 0.814),
        size("2", 3.356, 1.342),
    ],
};

/// Rigid metal conduit.
pub const RMC: Table<TradeSize> = Table {
    clause: "Chapter 9 Table 4",
    source: "quoted at orbitaljump.com and wiresizecalculator.org",
    label: Label::Seen,
    rows: &[size("1/2", 0.314, 0.125), size("3/4", 0.549, 0.220), size("1", 0.887, 0.355), size("1-1/4", 1.526, 0.610)],
};

/// PVC conduit, schedule 40. Only 1 in was seen (visitemap.com); the table as a whole counts as recalled.
pub const PVC_40: Table<TradeSize> = Table {
    clause: "Chapter 9 Table 4",
    source: "1 in quoted at visitemap.com, the rest recalled",
    label: Label::Memory,
    rows: &[size("1/2", 0.285, 0.114), size("3/4", 0.508, 0.203), size("1", 0.832, 0.333), size("1-1/4", 1.453, 0.581)],
};

/// The trade sizes of a kind of conduit.
#[must_use]
pub const fn trade_sizes(kind: Conduit) -> &'static Table<TradeSize> {
    match kind {
        Conduit::Emt => &EMT,
        Conduit::Rmc => &RMC,
        Conduit::Pvc40 => &PVC_40,
    }
}

/// What so many wires may fill of a trade size, square inches: 53 % for one, 31 % for two, 40 % for more.
///
/// # Source
/// Chapter 9 Table 1, quoted at orbitaljump.com.
#[must_use]
pub fn fill_limit(size: &TradeSize, wires: usize) -> f64 {
    match wires {
        0 | 1 => 0.53 * size.area,
        2 => 0.31 * size.area,
        _ => size.forty,
    }
}

/// Area that wires of these sizes take together, square inches; `None` when one is not in the table.
#[must_use]
pub fn wires_area(wires: &[u32]) -> Option<f64> {
    wires.iter().map(|&awg| INSULATED_AREA.of(awg)).sum()
}

/// The smallest conduit of a kind for THWN wires of these sizes, AWG; `None` beyond the tables.
#[must_use]
pub fn conduit_for(kind: Conduit, wires: &[u32]) -> Option<&'static TradeSize> {
    let area = wires_area(wires)?;
    trade_sizes(kind).rows.iter().find(|size| area <= fill_limit(size, wires.len()) * (1.0 + 1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published example (steeltubeinstitute.org): 3 #12 + 4 #10 + 8 #8 THWN take 0.4171 sq in and want 1-1/4 in EMT.
    #[test]
    fn published_fill_example() {
        let wires: Vec<u32> = [[12].repeat(3), [10].repeat(4), [8].repeat(8)].concat();
        assert!((wires_area(&wires).unwrap() - 0.4171).abs() < 5e-5);
        assert_eq!(conduit_for(Conduit::Emt, &wires).unwrap().name, "1-1/4");
    }

    /// Most THHN/THWN of one size in EMT, printed in an annex table (voltagelab.com): 1/2 in 12/9/5/3/2 and 3/4 in 22/16/10/6/4 for
    /// 14, 12, 10, 8 and 6 AWG.
    #[test]
    fn most_wires_of_one_size() {
        for (name, most) in [("1/2", [12usize, 9, 5, 3, 2]), ("3/4", [22, 16, 10, 6, 4])] {
            let size = EMT.rows.iter().find(|s| s.name == name).unwrap();
            for (awg, most) in [14, 12, 10, 8, 6].into_iter().zip(most) {
                let fits = |count: usize| wires_area(&vec![awg; count]).unwrap() <= fill_limit(size, count);
                // The annex rounds 0.8 of a wire up: one wire more than whole ones may be printed.
                let whole = (1..40).rev().find(|&n| wires_area(&vec![awg; n]).unwrap() <= size.forty).unwrap();
                assert!(whole == most || whole + 1 == most, "{name} {awg}: {whole}");
                assert!(fits(1));
            }
        }
    }

    #[test]
    fn forty_per_cent_is_what_is_printed() {
        for size in EMT.rows.iter().chain(RMC.rows).chain(PVC_40.rows) {
            assert!((0.4 * size.area - size.forty).abs() < 0.0016, "{}", size.name);
        }
        assert!(conduit_for(Conduit::Rmc, &[12, 12, 12]).is_some_and(|s| s.name == "1/2"));
        assert_eq!(conduit_for(Conduit::Emt, &[2, 2, 8]), None);
    }
}
