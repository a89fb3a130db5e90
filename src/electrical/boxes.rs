//! Box fill by the volume rule, and the standard boxes it is compared with.

use super::tables::{CONDUCTOR_ROOM, Label, Table};

/// What lies in a box.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct BoxContents {
    /// Each conductor that enters or passes, AWG.
    pub conductors: Vec<u32>,
    /// Each equipment ground, AWG.
    pub grounds: Vec<u32>,
    /// Whether cable clamps stand inside.
    pub clamps: bool,
    /// AWG of the largest conductor on each device yoke.
    pub yokes: Vec<u32>,
}

/// Room each kind of content takes, cubic inches.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoxFill {
    /// Conductors.
    pub conductors: f64,
    /// Clamps: one of the largest conductor.
    pub clamps: f64,
    /// Yokes: two of their largest conductor each.
    pub yokes: f64,
    /// Grounds: one of the largest for up to four, a quarter more for each further one.
    pub grounds: f64,
}

impl BoxFill {
    /// All together, cubic inches.
    #[must_use]
    pub fn total(&self) -> f64 {
        self.conductors + self.clamps + self.yokes + self.grounds
    }
}

/// Room that contents need; `None` when a size is not in the table.
///
/// # Source
/// 314.16(B), counting as quoted at intrysys.com; the quarter for more than four grounds (2020 edition on) is from memory and is
/// counted for every edition, which is on the safe side.
#[must_use]
pub fn box_fill(contents: &BoxContents) -> Option<BoxFill> {
    let rooms = |sizes: &[u32]| sizes.iter().map(|&awg| CONDUCTOR_ROOM.of(awg)).collect::<Option<Vec<f64>>>();
    let largest = |rooms: &[f64]| rooms.iter().copied().fold(0.0, f64::max);
    let (conductors, grounds, yokes) =
        (rooms(&contents.conductors)?, rooms(&contents.grounds)?, rooms(&contents.yokes)?);
    let ground_count = grounds.len();
    let ground_share = if ground_count == 0 { 0.0 } else { 1.0 + 0.25 * ground_count.saturating_sub(4) as f64 };
    Some(BoxFill {
        clamps: if contents.clamps { largest(&conductors).max(largest(&grounds)) } else { 0.0 },
        yokes: yokes.iter().map(|room| 2.0 * room).sum(),
        grounds: ground_share * largest(&grounds),
        conductors: conductors.iter().sum(),
    })
}

/// A standard metal box.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StandardBox {
    /// Its size in words.
    pub words: &'static str,
    /// Inside volume, cubic inches.
    pub cubic_inches: f64,
}

const fn metal(words: &'static str, cubic_inches: f64) -> StandardBox {
    StandardBox { words, cubic_inches }
}

/// Standard square metal boxes.
pub const STANDARD_BOXES: Table<StandardBox> = Table {
    clause: "314.16(A)",
    source: "quoted at intrysys.com and necmastery.com",
    label: Label::Seen,
    rows: &[
        metal("4 x 1-1/4 square", 18.0),
        metal("4 x 1-1/2 square", 21.0),
        metal("4-11/16 x 1-1/4 square", 25.5),
        metal("4-11/16 x 1-1/2 square", 29.5),
        metal("4 x 2-1/8 square", 30.3),
        metal("4-11/16 x 2-1/8 square", 42.0),
    ],
};

/// The smallest standard square box with so much room; `None` beyond the table.
#[must_use]
pub fn standard_box_for(cubic_inches: f64) -> Option<&'static StandardBox> {
    STANDARD_BOXES.rows.iter().find(|b| cubic_inches <= b.cubic_inches * (1.0 + 1e-9))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Published (electriciansexam.com): 4 #12, 2 #10, 3 #12, a #10 ground, an isolated #12 ground and a switch on #12 make
    /// 9 + 5 + 6.75 + 2.5 + 2.25 + 4.5 = 30.0 cu in, which a 4 in square deep box of 30.3 holds. The isolated ground counts by itself.
    #[test]
    fn published_example_of_thirty_cubic_inches() {
        let contents = BoxContents {
            conductors: [[12].repeat(4), [10].repeat(2), [12].repeat(3), vec![12]].concat(),
            grounds: vec![10],
            clamps: false,
            yokes: vec![12],
        };
        let fill = box_fill(&contents).unwrap();
        assert!((fill.total() - 30.0).abs() < 1e-12);
        assert_eq!(standard_box_for(fill.total()).unwrap().words, "4 x 2-1/8 square");
    }

    /// Published (ecmweb.com): nine 12 AWG need 20.25 cu in, a 4 x 1-1/2 square box.
    #[test]
    fn nine_number_twelve() {
        let fill = box_fill(&BoxContents { conductors: vec![12; 9], ..BoxContents::default() }).unwrap();
        assert!((fill.total() - 20.25).abs() < 1e-12);
        assert_eq!(standard_box_for(fill.total()).unwrap().words, "4 x 1-1/2 square");
    }

    /// Published (intrysys.com): two 12-2 cables, clamps, a receptacle: 9.00 + 2.25 + 2.25 + 4.50 = 18.00.
    #[test]
    fn two_cables_clamps_and_a_receptacle() {
        let contents = BoxContents { conductors: vec![12; 4], grounds: vec![12; 2], clamps: true, yokes: vec![12] };
        assert!((box_fill(&contents).unwrap().total() - 18.0).abs() < 1e-12);
    }

    #[test]
    fn a_fifth_ground_takes_a_quarter_more_and_unknown_sizes_are_not_guessed() {
        let with = |count: usize| {
            box_fill(&BoxContents { grounds: vec![12; count], ..BoxContents::default() }).unwrap().grounds
        };
        assert_eq!([0, 1, 4, 5, 6].map(with), [0.0, 2.25, 2.25, 2.8125, 3.375]);
        assert_eq!(box_fill(&BoxContents { conductors: vec![2], ..BoxContents::default() }), None);
        assert_eq!(standard_box_for(43.0), None);
    }
}
