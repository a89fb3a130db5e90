//! What is said of the choice of a roof.

use super::drawing::Drawing;
use super::expand::Expanded;
use super::framing::Row;
use super::layers::{Plan, Use};
use super::ledger::Ledger;
use crate::error::Error;
use crate::finding::{Finding, Place, Severity};
use crate::units::decimal;
use std::collections::{BTreeMap, BTreeSet};

/// At most so many layers are named in one sentence.
const MOST_NAMED: usize = 6;

/// The layers named for a roof that hold something and are off or frozen, in words; none if there are none.
pub(super) fn hidden_layers(drawing: &Drawing, plan: &Plan) -> Option<String> {
    let mut hidden: BTreeMap<&str, usize> = BTreeMap::new();
    for entity in &drawing.entities {
        if plan.use_of(entity.layer) == Use::Roof && !plan.visible(entity.layer) {
            *hidden.entry(&drawing.layers[entity.layer as usize].name).or_default() += 1;
        }
    }
    let listed: Vec<String> = hidden.iter().take(MOST_NAMED).map(|(name, count)| format!("{name} ({count})")).collect();
    (!listed.is_empty())
        .then(|| format!("the layers named for a roof are not visible (off or frozen: {})", listed.join(", ")))
}

pub(super) fn framing_words(row: Row) -> String {
    let share = decimal(100.0 * row.share, 0);
    format!(
        "{} strips a few inches wide lie side by side ({share} % of its line length), as rafters, joists or boards do",
        row.strips
    )
}

/// The error for linework that is framing, with what else the drawing holds.
pub(super) fn is_framing(drawing: &Drawing, row: Row, layers: &[&str]) -> Error {
    let words = format!("the linework on {} would be taken as the roof, but {}", layers.join(", "), framing_words(row));
    let hint = "name the layers that hold the roof's outline, ridges, hips and valleys with --layer or [drawing] roof_layers; if it is the roof, name its layers there";
    Error::refused("framing", format!("{words}; {}", layers_with_entities(drawing))).with_hint(hint)
}

/// Names of the layers of leaves, each once, in order of name.
pub(super) fn layer_names<'d>(
    drawing: &'d Drawing,
    expanded: &Expanded,
    leaves: impl Iterator<Item = usize>,
) -> Vec<&'d str> {
    let names: BTreeSet<&str> =
        leaves.map(|leaf| drawing.layers[expanded.leaves[leaf].layer as usize].name.as_str()).collect();
    names.into_iter().take(MOST_NAMED).collect()
}

pub(super) fn hatch_outline() -> Finding {
    let words = "the roof is drawn as hatches without lines; their boundaries are taken as its lines";
    Finding::new(Severity::Assumed, "hatch-outline", words, Place::none())
        .with_hint("draw outline, ridges, hips and valleys as lines")
}

pub(super) fn no_roof(drawing: &Drawing, ledger: &Ledger, words: &str) -> Error {
    let listed = layers_with_entities(drawing);
    Error::refused("no-roof", format!("{words}; {listed}{}", ledger.refused_words()))
        .with_hint("name the roof's layers with --layer or [drawing] roof_layers, and turn them on in the drawing")
}

/// The layers that hold entities in model space, with how many and whether they are hidden.
fn layers_with_entities(drawing: &Drawing) -> String {
    let mut counts = vec![0_usize; drawing.layers.len()];
    for entity in drawing.model.iter().flat_map(|range| &drawing.entities[range.clone()]) {
        if entity.shown {
            counts[entity.layer as usize] += 1;
        }
    }
    let mut present: Vec<String> = drawing
        .layers
        .iter()
        .zip(&counts)
        .filter(|(_, count)| **count > 0)
        .map(|(layer, count)| {
            let hidden = if layer.frozen {
                ", frozen"
            } else if layer.off {
                ", off"
            } else {
                ""
            };
            format!("{} ({count}{hidden})", layer.name)
        })
        .collect();
    present.sort();
    match present.len() {
        0 => "it has no entities at all".to_owned(),
        more @ 31.. => format!("layers with entities: {} and {} more", present[..30].join(", "), more - 30),
        _ => format!("layers with entities: {}", present.join(", ")),
    }
}
