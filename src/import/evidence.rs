//! What the drawing itself says about its unit: dimension texts against the lengths they stand on, and the height of texts.

use super::drawing::Drawing;
use super::entity::{Dimension, Shape};
use crate::units::{DrawingUnit, decimal, parse_length};
use std::collections::BTreeMap;

/// How many dimensions speak for one unit.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Vote {
    /// The unit.
    pub unit: DrawingUnit,
    /// Dimensions that say so.
    pub count: usize,
    /// Dimensions that say anything.
    pub of: usize,
    /// One of them, in words.
    pub example: String,
}

/// What the drawing says about its unit.
#[derive(Debug, Default)]
pub(super) struct Evidence {
    /// By texts that name a unit or stand in another one than the drawing.
    pub marked: Option<Vote>,
    /// By bare numbers equal to the length, as the trade writes them: whole millimetres, metres with two decimals.
    pub custom: Option<Vote>,
    /// The middle one of the heights of texts, in drawing units.
    pub text_height: Option<f64>,
    /// Whether lines are drawn to whole hundredths, as in metres: the lines that are, and the lines that tell.
    pub hundredths: Option<(usize, usize)>,
}

/// Text and length may differ by this share: dimensions are rounded to what the trade can measure.
const ROUNDING: f64 = 0.01;

const ALL: [DrawingUnit; 5] =
    [DrawingUnit::Inches, DrawingUnit::Feet, DrawingUnit::Millimetres, DrawingUnit::Centimetres, DrawingUnit::Metres];

/// Looks at all visible dimensions and texts of model space.
pub(super) fn gather(drawing: &Drawing) -> Evidence {
    let mut marked: Vec<(DrawingUnit, String)> = Vec::new();
    let mut custom: Vec<(DrawingUnit, String)> = Vec::new();
    let mut heights = Vec::new();
    let mut lengths = Vec::new();
    let mut blocks = BTreeMap::new();
    for entity in drawing.model.iter().flat_map(|range| &drawing.entities[range.clone()]).filter(|entity| entity.shown)
    {
        match &entity.shape {
            Shape::Line([a, b]) => lengths.push(((b.x - a.x) * (b.x - a.x) + (b.y - a.y) * (b.y - a.y)).sqrt()),
            Shape::Text(text) if text.height > 0.0 => heights.push(text.height),
            Shape::Dimension(dimension) => {
                let text = shown_text(drawing, dimension, &mut blocks);
                let example = format!("'{text}' on a length of {}", decimal(dimension.measured, 3));
                match reading(&text, dimension.measured) {
                    Some(Reading::Marked(unit)) => marked.push((unit, example)),
                    Some(Reading::Custom(unit)) => custom.push((unit, example)),
                    None => {}
                }
            }
            _ => {}
        }
    }
    let middle = heights.len() / 2;
    let text_height = (!heights.is_empty()).then(|| *heights.select_nth_unstable_by(middle, f64::total_cmp).1);
    Evidence { marked: majority(&marked), custom: majority(&custom), text_height, hundredths: hundredths(&lengths) }
}

/// Whether at least half of the lines that tell are whole hundredths long: centimetres of a drawing in metres. Lengths of whole
/// twelfths tell nothing, they are inches of a drawing in feet; by chance one length in fifty is a whole hundredth.
fn hundredths(lengths: &[f64]) -> Option<(usize, usize)> {
    /// Fewer lines prove nothing.
    const FEWEST: usize = 12;
    /// In drawing units; a file keeps at least six decimals, turned lines lose two of them.
    const NEAR: f64 = 1e-4;
    let whole = |length: f64, part: f64| ((length / part).round() * part - length).abs() < NEAR;
    let tell: Vec<f64> =
        lengths.iter().copied().filter(|&length| length > 0.05 && !whole(length, 1.0 / 12.0)).collect();
    let count = tell.iter().filter(|&&length| whole(length, 0.01)).count();
    (tell.len() >= FEWEST && 2 * count >= tell.len()).then_some((count, tell.len()))
}

/// The text a dimension shows: its own, or the longest in the block it is drawn with. `known` holds the blocks looked at before: any
/// number of dimensions may name one large block.
fn shown_text(drawing: &Drawing, dimension: &Dimension, known: &mut BTreeMap<usize, String>) -> String {
    let own = drawing.decoder.lines(&[dimension.text]).join(" ");
    if !own.trim().is_empty() && !own.contains("<>") {
        return own.trim().to_owned();
    }
    let Some(&block) = drawing.block_names.get(&dimension.block.to_ascii_uppercase()) else { return String::new() };
    known.entry(block).or_insert_with(|| longest_text(drawing, block)).clone()
}

/// The longest text of a block.
fn longest_text(drawing: &Drawing, block: usize) -> String {
    let range = drawing.blocks[block].entities.clone();
    let texts = drawing.entities[range].iter().filter_map(|entity| match &entity.shape {
        Shape::Text(text) if text.formatted => Some(drawing.decoder.lines(&text.pieces).join(" ")),
        Shape::Text(text) => Some(drawing.decoder.line(&text.pieces)),
        _ => None,
    });
    texts.max_by_key(String::len).unwrap_or_default().trim().to_owned()
}

#[derive(Debug, PartialEq)]
enum Reading {
    Marked(DrawingUnit),
    Custom(DrawingUnit),
}

fn reading(text: &str, measured: f64) -> Option<Reading> {
    let near = |a: f64, b: f64| (a - b).abs() <= ROUNDING * b;
    if let Ok(length) = parse_length(text) {
        let unit = ALL.into_iter().find(|unit| near(length.inches(), measured * unit.inches()))?;
        return Some(Reading::Marked(unit));
    }
    let number: f64 = text.replace(',', ".").parse().ok().filter(|number: &f64| *number > 0.0)?;
    let ratio = number / measured;
    for (factor, unit) in [
        // Millimetres written on a drawing in metres, and the other way round; the same with inches and feet.
        (1000.0, DrawingUnit::Metres),
        (0.001, DrawingUnit::Millimetres),
        (12.0, DrawingUnit::Feet),
        (1.0 / 12.0, DrawingUnit::Inches),
    ] {
        if near(ratio, factor) {
            return Some(Reading::Marked(unit));
        }
    }
    let decimals = text.find(['.', ',']).map_or(0, |at| text.len() - at - 1);
    match decimals {
        0 if near(ratio, 1.0) && number >= 600.0 => Some(Reading::Custom(DrawingUnit::Millimetres)),
        2 if near(ratio, 1.0) && number < 100.0 => Some(Reading::Custom(DrawingUnit::Metres)),
        _ => None,
    }
}

/// The unit that two thirds or more speak for.
fn majority(readings: &[(DrawingUnit, String)]) -> Option<Vote> {
    ALL.into_iter().find_map(|unit| {
        let mut own = readings.iter().filter(|(said, _)| *said == unit);
        let example = own.next()?.1.clone();
        let count = own.count() + 1;
        (3 * count >= 2 * readings.len()).then_some(Vote { unit, count, of: readings.len(), example })
    })
}

impl Vote {
    /// The vote in words.
    pub fn words(&self) -> String {
        let unit = self.unit.short();
        match self.of {
            1 => format!("a dimension says {unit} ({})", self.example),
            of => format!("{} of {of} dimensions say {unit} ({})", self.count, self.example),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 40 ft are 480 in and 12.192 m.
    #[test]
    fn texts_against_lengths() {
        for (text, measured, wanted) in [
            ("40'-0\"", 480.0, Some(Reading::Marked(DrawingUnit::Inches))),
            ("40'-0\"", 40.0, Some(Reading::Marked(DrawingUnit::Feet))),
            ("40'-0\"", 12.192, Some(Reading::Marked(DrawingUnit::Metres))),
            ("12.19 m", 12192.0, Some(Reading::Marked(DrawingUnit::Millimetres))),
            ("12192", 12.192, Some(Reading::Marked(DrawingUnit::Metres))),
            ("2140", 2140.0, Some(Reading::Custom(DrawingUnit::Millimetres))),
            ("4,30", 4.3, Some(Reading::Custom(DrawingUnit::Metres))),
            ("480", 480.0, None),
            ("VERIFY", 480.0, None),
            // A text that fits its length in no unit says nothing.
            ("40'-0\"", 777.0, None),
        ] {
            assert_eq!(reading(text, measured), wanted, "{text} on {measured}");
        }
    }

    /// Twelve walls in metres against the same in feet and sixteenths of an inch (1/192 ft), and whole inches, which tell nothing.
    #[test]
    fn whole_hundredths_are_metres() {
        let metres: Vec<f64> = (0..12).map(|i| 2.31 + 0.37 * f64::from(i)).collect();
        assert_eq!(hundredths(&metres), Some((12, 12)));
        assert_eq!(hundredths(&metres[..11]), None);
        let sixteenths: Vec<f64> = (0..12).map(|i| 8.0 + f64::from(1 + 2 * i) / 192.0).collect();
        assert_eq!(hundredths(&sixteenths), None);
        let inches: Vec<f64> = (0..40).map(|i| 8.0 + f64::from(i) / 12.0).collect();
        assert_eq!(hundredths(&inches), None);
    }

    #[test]
    fn two_thirds_decide() {
        let say = |units: &[DrawingUnit]| units.iter().map(|&unit| (unit, String::new())).collect::<Vec<_>>();
        use DrawingUnit::{Feet, Inches};
        assert_eq!(majority(&say(&[Feet, Inches, Inches])).map(|vote| (vote.unit, vote.count)), Some((Inches, 2)));
        assert_eq!(majority(&say(&[Feet, Inches])), None);
        assert_eq!(majority(&[]), None);
    }
}
