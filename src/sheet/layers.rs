//! The layer table. Names follow the National CAD Standard's form (discipline, major group, minor groups); those of the heating
//! work have no standard field code and are declared as project-defined in the legend.
//!
//! Weights are the usual series .18 .25 .35 .50 .70 mm. Everything stays readable in black and white: elements are wide toned
//! strips, leads thin short dashes, chalk lines hairs.

use super::model::{Layer, LayerId, LineType};

/// What lies on each layer: the pen to draw with.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Pen {
    Eave,
    Rake,
    Ridge,
    Hip,
    Valley,
    Break,
    Open,
    Opening,
    KeepOut,
    Wall,
    Fall,
    RoofTag,
    Zone,
    Starter,
    Deck,
    Lead,
    /// Leads under the deck.
    LeadBelow,
    Lane,
    Crossing,
    NailGap,
    Box,
    Sensor,
    Bus,
    Wire,
    Signal,
    HeatTag,
    Cold,
    Chalk,
    Control,
    Cut,
    Beyond,
    Dimension,
    Note,
    Symbol,
    Table,
    Border,
    Title,
    Status,
    /// Clouds around what changed, and their marks.
    Revision,
}

/// Every pen in layer order.
pub(super) const PENS: [Pen; 39] = [
    Pen::Eave,
    Pen::Rake,
    Pen::Ridge,
    Pen::Hip,
    Pen::Valley,
    Pen::Break,
    Pen::Open,
    Pen::Opening,
    Pen::KeepOut,
    Pen::Wall,
    Pen::Fall,
    Pen::RoofTag,
    Pen::Zone,
    Pen::Starter,
    Pen::Deck,
    Pen::Lead,
    Pen::LeadBelow,
    Pen::Lane,
    Pen::Crossing,
    Pen::NailGap,
    Pen::Box,
    Pen::Sensor,
    Pen::Bus,
    Pen::Wire,
    Pen::Signal,
    Pen::HeatTag,
    Pen::Cold,
    Pen::Chalk,
    Pen::Control,
    Pen::Cut,
    Pen::Beyond,
    Pen::Dimension,
    Pen::Note,
    Pen::Symbol,
    Pen::Table,
    Pen::Border,
    Pen::Title,
    Pen::Status,
    Pen::Revision,
];

impl Pen {
    /// Its layer.
    pub(super) fn id(self) -> LayerId {
        LayerId(self as usize)
    }

    /// Name, words, weight in hundredths of a millimetre, line type, tone.
    fn row(self) -> (&'static str, &'static str, i16, LineType, u8) {
        use LineType::{Center, Continuous, Dashed, Dotted, Hidden, Phantom};
        match self {
            Self::Eave => ("A-ROOF-EAVE", "eaves (drip edge)", 70, Continuous, 0),
            Self::Rake => ("A-ROOF-RAKE", "rakes, high edges and sidewalls", 50, Continuous, 0),
            Self::Ridge => ("A-ROOF-RIDG", "ridges", 35, Continuous, 0),
            Self::Hip => ("A-ROOF-HIPS", "hips", 25, Continuous, 0),
            Self::Valley => ("A-ROOF-VLLY", "valleys", 50, Center, 0),
            Self::Break => ("A-ROOF-BRKS", "steps and breaks of pitch", 35, Phantom, 0),
            Self::Open => ("A-ROOF-OPEN", "edges whose kind is not settled", 70, Dotted, 0),
            Self::Opening => ("A-ROOF-OPNG", "skylights, chimneys, vents, hatches", 35, Continuous, 0),
            Self::KeepOut => ("A-ROOF-KEEP", "flashing and keep-out lines", 18, Hidden, 90),
            Self::Wall => ("A-WALL-EXTR", "exterior wall line below", 25, Hidden, 90),
            Self::Fall => ("A-ROOF-SLOP", "fall arrows and pitches", 25, Continuous, 0),
            Self::RoofTag => ("A-ROOF-IDEN", "face and edge tags", 18, Continuous, 0),
            Self::Zone => ("E-HEAT-ZONE", "heated zones", 18, Continuous, 170),
            Self::Starter => ("E-HEAT-STRT", "starter element", 25, Continuous, 0),
            Self::Deck => ("E-HEAT-DECK", "deck element", 25, Continuous, 0),
            // Short dashes: a jumper a few inches long still shows its turns.
            Self::Lead => ("E-HEAT-LEAD", "cold leads and jumpers", 35, Hidden, 0),
            Self::LeadBelow => ("E-HEAT-LEAD-BLOW", "cold leads under the deck", 25, Dashed, 0),
            Self::Lane => ("E-HEAT-LANE", "lanes for leads, kept free of fasteners", 18, Dotted, 120),
            Self::Crossing => ("E-HEAT-XING", "crossings of valleys, hips and ridges", 35, Continuous, 0),
            Self::NailGap => ("E-HEAT-NAIL", "places without a nail", 25, Continuous, 0),
            Self::Box => ("E-HEAT-JBOX", "junction boxes", 35, Continuous, 0),
            Self::Sensor => ("E-HEAT-SENS", "temperature-and-moisture sensor", 35, Continuous, 0),
            Self::Bus => ("E-DIAG-BUSS", "one-line diagram: bus of the panel", 70, Continuous, 0),
            Self::Wire => ("E-DIAG-WIRE", "one-line diagram: circuits and their devices", 35, Continuous, 0),
            Self::Signal => ("E-DIAG-CTRL", "one-line diagram: control", 18, Dashed, 0),
            Self::HeatTag => ("E-HEAT-IDEN", "tags of zones, segments, boxes and circuits", 18, Continuous, 0),
            Self::Cold => ("E-HEAT-COLD", "stretches left cold", 35, Dotted, 0),
            Self::Chalk => ("E-HEAT-CHLK", "chalk lines: lower edge of each element", 18, Dashed, 90),
            Self::Control => ("E-HEAT-CTRL", "control line square to the eave", 35, Center, 0),
            Self::Cut => ("E-DETL-MCUT", "details: material cut", 50, Continuous, 0),
            Self::Beyond => ("E-DETL-MBND", "details: material beyond", 18, Continuous, 0),
            Self::Dimension => ("E-ANNO-DIMS", "dimensions", 18, Continuous, 0),
            Self::Note => ("E-ANNO-NOTE", "notes", 18, Continuous, 0),
            Self::Symbol => ("E-ANNO-SYMB", "titles of views, scale bars, north arrow", 35, Continuous, 0),
            Self::Table => ("E-ANNO-SCHD", "schedules", 18, Continuous, 0),
            Self::Border => ("E-ANNO-BRDR", "border", 70, Continuous, 0),
            Self::Title => ("E-ANNO-TTLB", "title block", 25, Continuous, 0),
            Self::Status => ("E-ANNO-STAT", "status of the set", 50, Continuous, 0),
            Self::Revision => ("E-ANNO-REVS", "revision clouds and marks", 35, Continuous, 0),
        }
    }

    /// Whether the layer's name is our own and has no standard field code.
    pub(super) fn project_defined(self) -> bool {
        let name = self.row().0;
        ["E-HEAT", "E-DETL", "E-DIAG", "A-ROOF"].iter().any(|own| name.starts_with(own))
            || matches!(self, Self::Status | Self::Border)
    }
}

/// The layer table in pen order.
pub(super) fn layers() -> Vec<Layer> {
    PENS.iter()
        .map(|pen| {
            let (name, words, weight, line_type, gray) = pen.row();
            Layer { name, words, weight, line_type, gray, plots: true }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_pen_finds_its_own_layer_and_names_have_the_standard_form() {
        let table = layers();
        for pen in PENS {
            let layer = &table[pen.id().0];
            assert_eq!(layer.name, pen.row().0);
            let groups: Vec<&str> = layer.name.split('-').collect();
            assert!(groups[0].len() == 1 && groups[1..].iter().all(|g| g.len() == 4), "{}", layer.name);
            assert!([18, 25, 35, 50, 70].contains(&layer.weight));
        }
        // Black on white, what is drawn broken is told by its dashes and its weight alone; control is on a diagram of its own.
        let broken = table.iter().filter(|l| l.line_type != LineType::Continuous && !l.name.starts_with("E-DIAG"));
        let looks: Vec<_> = broken.map(|l| (l.line_type, l.weight)).collect();
        let apart: std::collections::BTreeSet<_> = looks.iter().collect();
        assert_eq!(looks.len(), apart.len(), "{looks:?}");
        let names: std::collections::BTreeSet<&str> = table.iter().map(|l| l.name).collect();
        assert_eq!(names.len(), table.len());
    }
}
