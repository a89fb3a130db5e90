//! What each layer is for, by its name.

use super::drawing::Drawing;
use super::model::OpeningKind;

/// What a layer's linework is to us.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Use {
    /// Roof linework.
    Roof,
    /// Outlines of openings.
    Opening(OpeningKind),
    /// Exterior walls.
    Wall,
    /// Any linework may be roof: no layer is named for it.
    Any,
    /// No linework of ours.
    Nothing,
}

/// What becomes of linework on layers named for grids, borders, dimensions and texts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Annotation {
    /// It is no roof.
    LeftOut,
    /// It is looked at like any other.
    LookedAt,
}

/// The use of every layer.
#[derive(Debug)]
pub(super) struct Plan {
    uses: Vec<Use>,
    arrows: Vec<bool>,
    visible: Vec<bool>,
    /// No layer is named for the roof, so all linework is looked at.
    pub everything: bool,
}

impl Plan {
    /// The use of a layer.
    pub fn use_of(&self, layer: u32) -> Use {
        self.uses.get(layer as usize).copied().unwrap_or(if self.everything { Use::Any } else { Use::Nothing })
    }

    /// Whether lines and filled triangles on a layer may be slope arrows.
    pub fn may_hold_arrows(&self, layer: u32) -> bool {
        self.arrows.get(layer as usize).copied().unwrap_or(false)
    }

    /// Whether a layer is shown.
    pub fn visible(&self, layer: u32) -> bool {
        self.visible.get(layer as usize).copied().unwrap_or(true)
    }

    /// What opening a block is named for.
    #[expect(clippy::unused_self, reason = "asked together with the layers")]
    pub fn block_opening(&self, name: &str) -> Option<OpeningKind> {
        opening(&name.to_uppercase())
    }

    /// By the layers the job names, as globs. A name without stars means the layer whatever it is called; under a star, layers of texts and
    /// dimensions give no linework.
    pub fn by_globs(drawing: &Drawing, globs: &[String]) -> Self {
        Self::new(drawing, false, |name| {
            let bare = bare_name(name);
            let words = is_annotation(&bare.to_uppercase());
            let taken = globs.iter().any(|glob| {
                let exact = !glob.contains(['*', '?']);
                (exact || !words) && (matches(glob, name) || matches(glob, bare))
            });
            taken.then_some(Use::Roof)
        })
    }

    /// By names that hold ROOF.
    pub fn by_name(drawing: &Drawing) -> Self {
        Self::new(drawing, false, |name| is_roof(&bare_name(name).to_uppercase()).then_some(Use::Roof))
    }

    /// All linework but that on layers named for something else, or on all layers.
    pub fn of_everything(drawing: &Drawing, annotation: Annotation) -> Self {
        Self::new(drawing, true, |name| {
            let left_out = annotation == Annotation::LeftOut && is_annotation(&bare_name(name).to_uppercase());
            Some(if left_out { Use::Nothing } else { Use::Any })
        })
    }

    fn new(drawing: &Drawing, everything: bool, roof: impl Fn(&str) -> Option<Use>) -> Self {
        let uses = drawing
            .layers
            .iter()
            .map(|layer| {
                let capitals = bare_name(&layer.name).to_uppercase();
                let named = opening(&capitals).map(Use::Opening);
                let wall = capitals.contains("WALL").then_some(Use::Wall);
                match roof(&layer.name) {
                    Some(Use::Nothing) => Use::Nothing,
                    // A layer the job names is roof even when it is called a wall; skylights on A-ROOF-SKYL stay openings.
                    Some(Use::Roof) => named.unwrap_or(Use::Roof),
                    roof => named.or(wall).or(roof).unwrap_or(Use::Nothing),
                }
            })
            .collect();
        let visible = drawing.layers.iter().map(|layer| !layer.off && !layer.frozen).collect();
        let arrows = drawing
            .layers
            .iter()
            .map(|layer| {
                let capitals = bare_name(&layer.name).to_uppercase();
                is_arrow(&capitals) || is_annotation(&capitals)
            })
            .collect();
        Self { uses, arrows, visible, everything }
    }
}

/// A layer name without the name of the drawing it was bound from: `x$0$A-ROOF` and `x|A-ROOF` are `A-ROOF`.
pub(super) fn bare_name(name: &str) -> &str {
    let name = name.rsplit('|').next().unwrap_or(name);
    // Bound names read drawing$number$layer.
    match name.rsplit_once('$') {
        Some((before, layer))
            if before.rsplit_once('$').is_some_and(|(_, n)| n.bytes().all(|b| b.is_ascii_digit()) && !n.is_empty()) =>
        {
            layer
        }
        _ => name,
    }
}

/// The words of a layer or block name in capitals.
fn words(capitals: &str) -> impl Iterator<Item = &str> {
    capitals.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty())
}

/// Annotation groups of the National CAD Standard and words drafters use for them: such layers give notes, not linework.
const ANNOTATION: [&str; 17] = [
    "ANNO",
    "TEXT",
    "TXT",
    "IDEN",
    "NOTE",
    "DIM",
    "SYMB",
    "TTLB",
    "TITLE",
    "GRID",
    "DEFPOINTS",
    "VPRT",
    "VPORT",
    "VIEWPORT",
    "BORDER",
    "BUBBLE",
    "LEGN",
];

/// Things drawn on or under a roof that are not its edges (minor groups of the National CAD Standard and common words).
const ON_THE_ROOF: [&str; 19] = [
    "PATT", "HRAL", "RAIL", "STRS", "RISR", "ELEV", "EQPM", "GUTT", "DRAIN", "DRN", "FNSH", "SOLAR", "RAFT", "JOIS",
    "BEAM", "TRUS", "FRAM", "PURL", "BATTEN",
];

/// Whether a block or layer is named for an arrow or for the fall of the roof.
pub(super) fn is_arrow(name: &str) -> bool {
    let capitals = name.to_uppercase();
    capitals.contains("ARROW")
        || words(&capitals).any(|word| matches!(word, "SLOPE" | "SLOPES" | "SLOP" | "FALL" | "FALLS" | "PITCH"))
}

fn is_annotation(capitals: &str) -> bool {
    words(capitals).any(|word| ANNOTATION.iter().any(|name| word.starts_with(name)))
}

fn is_roof(capitals: &str) -> bool {
    // PROOF as in WATERPROOFING is no roof.
    let named = capitals.match_indices("ROOF").any(|(at, _)| !capitals[..at].ends_with('P'));
    named
        && !is_annotation(capitals)
        && !words(capitals).any(|word| ON_THE_ROOF.iter().any(|name| word.starts_with(name)))
}

/// What opening a layer or block name in capitals stands for.
fn opening(capitals: &str) -> Option<OpeningKind> {
    if capitals.contains("SKYL") {
        return Some(OpeningKind::Skylight);
    }
    if capitals.contains("CHIM") {
        return Some(OpeningKind::Chimney);
    }
    words(capitals).find_map(|word| match word {
        "HATCH" | "SCUTTLE" => capitals.contains("ROOF").then_some(OpeningKind::Hatch),
        "VENT" | "VENTS" | "PIPE" | "PIPES" | "FAN" | "FANS" | "VTR" => Some(OpeningKind::Vent),
        _ => None,
    })
}

/// Whether a glob with `*` and `?` matches a whole name, capitals or not.
pub(super) fn matches(glob: &str, name: &str) -> bool {
    let glob: Vec<char> = glob.to_uppercase().chars().collect();
    let name: Vec<char> = name.to_uppercase().chars().collect();
    let (mut g, mut n) = (0, 0);
    // The last star and how far the name had been read when it was met.
    let mut star: Option<(usize, usize)> = None;
    while n < name.len() {
        match glob.get(g) {
            Some('*') => {
                star = Some((g, n));
                g += 1;
            }
            Some(&c) if c == '?' || c == name[n] => {
                g += 1;
                n += 1;
            }
            _ => {
                let Some((at, read)) = star else { return false };
                star = Some((at, read + 1));
                g = at + 1;
                n = read + 1;
            }
        }
    }
    glob[g..].iter().all(|&c| c == '*')
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn roof_layers_by_name() {
        for name in
            ["A-ROOF", "ROOF", "roof lines", "A-ROOF-OTLN", "x$0$A-ROOF", "site|A-ROOF-LEVL", "ROOF-3D", "Roofing"]
        {
            assert!(is_roof(&bare_name(name).to_uppercase()), "{name}");
        }
        for name in [
            "A-WATERPROOFING",
            "A-ROOF-TEXT",
            "A-ROOF-IDEN",
            "A-ROOF-PATT",
            "7_roof_rafter",
            "S-ROOF-FRAM",
            "ROOF NOTES",
            "ROOF DIMS",
            "0",
            "A-WALL",
        ] {
            assert!(!is_roof(&bare_name(name).to_uppercase()), "{name}");
        }
        assert_eq!(bare_name("house$0$A-ROOF"), "A-ROOF");
        assert_eq!(bare_name("A$ROOF"), "A$ROOF");
    }

    #[test]
    fn openings_by_name() {
        for (name, kind) in [
            ("A-ROOF-SKYL", Some(OpeningKind::Skylight)),
            ("SKYLIGHT-24X48", Some(OpeningKind::Skylight)),
            ("CHIMNEY", Some(OpeningKind::Chimney)),
            ("P-VENT", Some(OpeningKind::Vent)),
            ("FAN 12", Some(OpeningKind::Vent)),
            ("ROOF HATCH", Some(OpeningKind::Hatch)),
            ("HATCH", None),
            ("INFANTRY", None),
            ("EVENTS", None),
        ] {
            assert_eq!(opening(name), kind, "{name}");
        }
    }

    #[test]
    fn arrows_by_name() {
        for (name, wanted) in [
            ("Slope-Arrow", true),
            ("A-ROOF-SLOPE", true),
            ("FALL_12", true),
            ("SARROWHEAD", true),
            ("WATERFALL", false),
        ] {
            assert_eq!(is_arrow(name), wanted, "{name}");
        }
    }

    #[test]
    fn globs() {
        for (glob, name, wanted) in [
            ("a-roof*", "A-ROOF-OTLN", true),
            ("a-roof", "A-ROOF-OTLN", false),
            ("*roof", "X-A-ROOF", true),
            ("?-roof", "A-ROOF", true),
            ("*a*b*c", "xxaxxbxxc", true),
            ("*a*b*c", "xxaxxcxxb", false),
            ("", "", true),
            ("*", "", true),
        ] {
            assert_eq!(matches(glob, name), wanted, "{glob} {name}");
        }
    }
}
