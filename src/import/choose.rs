//! The roof is chosen: by the job's layer globs, by layers named for a roof, else as the largest connected figure.

use super::choice_words::{framing_words, hatch_outline, hidden_layers, is_framing, layer_names, no_roof};
use super::drawing::{Drawing, plain};
use super::entity::{Entity, Shape};
use super::evidence::gather;
use super::expand::{Expanded, Leaf, expand};
use super::framing::{Row, framing};
use super::grid::grid_members;
use super::layers::{Annotation, Plan, Use};
use super::ledger::Ledger;
use super::left_figures::left_figures;
use super::model::{Candidate, OpeningKind, Role};
use super::pieces::{Drawn, draw, leaf_map, sides};
use super::select::{Figure, figures};
use super::units::{Decision, Size, decide};
use crate::error::Result;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Box2, Segment2, SegmentIndex};
use crate::job::DrawingSettings;
use std::collections::BTreeMap;

/// The chosen roof, still as leaves.
#[derive(Debug)]
pub(super) struct Choice {
    /// All leaves and placements.
    pub expanded: Expanded,
    /// Leaves that draw roof, in drawing order.
    pub roof: Vec<usize>,
    /// Leaves of openings and walls on the roof.
    pub others: Vec<(usize, Role)>,
    /// The roof's box in drawing units.
    pub area: Box2,
    /// The unit.
    pub decision: Decision,
    /// What could have been the roof, the chosen first.
    pub candidates: Vec<Candidate>,
}

/// Two figures nearer than this share of the drawing are connected while the unit is still unknown: 1/4 in on a 40 ft house.
const SHARE_OF_A_GAP: f64 = 5e-4;

/// Openings and walls may stand this share of the roof's longer side outside it.
const MARGIN: f64 = 0.02;

/// Whether the boundaries of hatches are linework. A hatch is drawn over other lines and seldom tells more than they do; a pattern on part
/// of a face would split it. So hatches count only where nothing else is drawn.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Hatches {
    LeftOut,
    Used,
}

/// At most so many figures are listed.
const MOST_CANDIDATES: usize = 6;

/// Chooses the roof.
///
/// # Errors
/// When no visible linework can be the roof, or blocks expand beyond any roof plan.
pub(super) fn choose(drawing: &Drawing, settings: &DrawingSettings, ledger: &mut Ledger) -> Result<Choice> {
    if !settings.roof_layers.is_empty() {
        let plan = Plan::by_globs(drawing, &settings.roof_layers);
        let chosen = by_layer(drawing, &plan, settings, ledger)?;
        return chosen.ok_or_else(|| {
            let words = format!("no visible linework is on a layer named {}", settings.roof_layers.join(" or "));
            no_roof(drawing, ledger, &words)
        });
    }
    let plan = Plan::by_name(drawing);
    let named = (0..drawing.layers.len()).any(|layer| plan.use_of(layer as u32) == Use::Roof);
    if named && let Some(chosen) = by_layer(drawing, &plan, settings, ledger)? {
        return Ok(chosen);
    }
    // Who hides the roof shows something else: the framing, a floor.
    if let Some(hidden) = hidden_layers(drawing, &plan) {
        return Err(no_roof(drawing, ledger, &hidden));
    }
    let why = if named { "nothing is drawn on the layers named for a roof" } else { "no layer is named for a roof" };
    for (annotation, hatches) in [
        (Annotation::LeftOut, Hatches::LeftOut),
        (Annotation::LookedAt, Hatches::LeftOut),
        (Annotation::LookedAt, Hatches::Used),
    ] {
        let mut trial = Ledger::default();
        let chosen = by_figure(drawing, annotation, hatches, why, settings, &mut trial)?;
        if chosen.is_some() || hatches == Hatches::Used {
            ledger.append(trial);
        }
        if let Some(chosen) = chosen {
            return Ok(chosen);
        }
    }
    Err(no_roof(drawing, ledger, "the drawing has no visible linework that could be a roof"))
}

fn by_layer(drawing: &Drawing, plan: &Plan, settings: &DrawingSettings, ledger: &mut Ledger) -> Result<Option<Choice>> {
    let mut quiet = Ledger::default();
    let expanded = expand(drawing, plan, &mut quiet)?;
    let mut roof = Vec::new();
    let mut layers: BTreeMap<u32, (Option<Box2>, usize)> = BTreeMap::new();
    for hatches in [Hatches::LeftOut, Hatches::Used] {
        if !layers.is_empty() {
            break;
        }
        for (position, leaf) in expanded.leaves.iter().enumerate() {
            let roof_line = role(&expanded, plan, *leaf) == Some(Role::Roof) && !is_words(drawing, *leaf);
            if !roof_line || is_hatch(drawing, *leaf) != (hatches == Hatches::Used) {
                continue;
            }
            roof.push(position);
            let drawn = draw(drawing, &expanded, *leaf, f64::INFINITY);
            if !drawn.paths.is_empty() || !drawn.facets.is_empty() {
                let entry = layers.entry(leaf.layer).or_default();
                entry.0 = join(entry.0, drawn.plan_box());
                entry.1 += 1;
            }
        }
        if hatches == Hatches::Used && !layers.is_empty() {
            quiet.add(hatch_outline());
        }
    }
    let area = layers.values().fold(None, |area, (own, _)| join(area, *own));
    if area.is_some() || !settings.roof_layers.is_empty() {
        // Otherwise the blocks are followed once more for another choice, and say the same again.
        ledger.append(quiet);
    }
    let Some(area) = area else { return Ok(None) };
    let drawn = roof.iter().map(|&position| draw(drawing, &expanded, expanded.leaves[position], f64::INFINITY));
    let members: Vec<Vec<Segment2>> = drawn.map(|drawn| plan_segments(&drawn)).collect();
    let whole = size_of(area);
    let size = Size { figure: longest_figure(&members).unwrap_or(whole.all), ..whole };
    let decision = decide(&drawing.header, &gather(drawing), settings.units, size, ledger);
    let k = decision.unit.inches();
    if let Some(row) = framing(&members.concat(), k) {
        if settings.roof_layers.is_empty() {
            let names = layers.keys().map(|&layer| drawing.layers[layer as usize].name.as_str());
            return Err(is_framing(drawing, row, &names.collect::<Vec<_>>()));
        }
        ledger.add(Finding::new(Severity::Warning, "framing", framing_words(row), Place::none()));
    }
    let mut candidates: Vec<Candidate> = layers
        .iter()
        .filter_map(|(&layer, &(own, paths))| {
            let own = own?;
            let words = format!("layer {}", drawing.layers[layer as usize].name);
            Some(Candidate { words, area: own.width() * own.height() * k * k, paths, chosen: true })
        })
        .collect();
    let names: Vec<&str> = candidates.iter().map(|candidate| candidate.words.as_str()).collect();
    let words = format!("the roof is the linework on {}", names.join(", "));
    ledger.add(Finding::new(Severity::Note, "roof-chosen", words, Place::none()));
    candidates.extend(runners_up(drawing, plan, k));
    if let Some(finding) = left_figures(drawing, plan, area, settings.opening_area_limit, k) {
        ledger.add(finding);
    }
    let others = others(drawing, &expanded, plan, area);
    Ok(Some(Choice { expanded, roof, others, area, decision, candidates }))
}

/// A figure smaller than this is no roof anybody would look for, square inches: 10 ft by 10 ft.
const LEAST_RUNNER_UP: f64 = 14_400.0;

/// Other visible layers with lines or polylines in model space, the largest box first; `scale` is inches in a drawing unit.
fn runners_up(drawing: &Drawing, chosen: &Plan, scale: f64) -> Vec<Candidate> {
    let plan = Plan::of_everything(drawing, Annotation::LeftOut);
    let free =
        |layer: u32| chosen.use_of(layer) == Use::Nothing && plan.use_of(layer) == Use::Any && plan.visible(layer);
    let mut layers: BTreeMap<u32, (Box2, usize)> = BTreeMap::new();
    for entity in drawing.model.iter().flat_map(|range| &drawing.entities[range.clone()]) {
        let own = match &entity.shape {
            Shape::Line(ends) => Box2::around(ends.iter().map(|end| end.plan())),
            Shape::Polyline(line) => Box2::around(line.vertices.iter().map(|(point, _)| point.plan())),
            _ => None,
        };
        let Some(own) = own.filter(|_| entity.shown && free(entity.layer)) else { continue };
        let entry = layers.entry(entity.layer).or_insert((own, 0));
        *entry = (join(Some(entry.0), Some(own)).unwrap_or(own), entry.1 + 1);
    }
    let mut found: Vec<Candidate> = layers
        .into_iter()
        .map(|(layer, (own, paths))| Candidate {
            words: format!("layer {}", drawing.layers[layer as usize].name),
            area: own.width() * own.height() * scale * scale,
            paths,
            chosen: false,
        })
        .filter(|candidate| candidate.area >= LEAST_RUNNER_UP)
        .collect();
    found.sort_by(|a, b| b.area.total_cmp(&a.area).then_with(|| a.words.cmp(&b.words)));
    found.truncate(MOST_CANDIDATES);
    found
}

fn size_of(area: Box2) -> Size {
    let longest = area.width().max(area.height());
    let center = area.center();
    Size { figure: longest, all: longest, away: center.x.abs().max(center.y.abs()) }
}

/// The longer side of the largest connected figure: two roofs side by side are two houses, not one long one.
fn longest_figure(members: &[Vec<Segment2>]) -> Option<f64> {
    let all = Box2::around(members.iter().flatten().flat_map(|s| [s.a, s.b]))?;
    let gap = all.width().max(all.height()) * SHARE_OF_A_GAP;
    let sides = |figure: &Figure| figure.area.width().max(figure.area.height());
    figures(members, gap).ok()?.iter().map(sides).max_by(f64::total_cmp)
}

fn by_figure(
    drawing: &Drawing,
    annotation: Annotation,
    hatches: Hatches,
    why: &str,
    settings: &DrawingSettings,
    ledger: &mut Ledger,
) -> Result<Option<Choice>> {
    let plan = Plan::of_everything(drawing, annotation);
    let expanded = expand(drawing, &plan, ledger)?;
    let mut owners = Vec::new();
    let mut members = Vec::new();
    for (position, leaf) in expanded.leaves.iter().enumerate() {
        let fill = is_hatch(drawing, *leaf) && hatches == Hatches::LeftOut;
        let solid = fill || matches!(drawing.entities[leaf.entity].shape, Shape::Solid(_));
        if role(&expanded, &plan, *leaf) == Some(Role::Roof) && !is_words(drawing, *leaf) && !solid {
            let segments = plan_segments(&draw(drawing, &expanded, *leaf, f64::INFINITY));
            if !segments.is_empty() {
                owners.push(position);
                members.push(segments);
            }
        }
    }
    let of_grid = grid_members(drawing, &expanded, &owners, &members);
    let left_out = of_grid.iter().filter(|of_grid| **of_grid).count();
    if left_out > 0 {
        let mut own = of_grid.iter();
        owners.retain(|_| own.next() == Some(&false));
        let mut own = of_grid.iter();
        members.retain(|_| own.next() == Some(&false));
    }
    let Some(all) = Box2::around(members.iter().flatten().flat_map(|s| [s.a, s.b])) else { return Ok(None) };
    let mut trial = Ledger::default();
    let evidence = gather(drawing);
    let whole = decide(&drawing.header, &evidence, settings.units, size_of(all), &mut trial);
    let known = settings.units.or(whole.header);
    let relative = all.width().max(all.height()) * SHARE_OF_A_GAP;
    let gap = known.map_or(relative, |unit| settings.gap_tolerance / unit.inches());
    let mut found = figures(&members, gap)?;
    let Some(largest) = found.first() else { return Ok(None) };
    let decision = decide(&drawing.header, &evidence, settings.units, size_of(largest.area), ledger);
    let names = |figure: &Figure| layer_names(drawing, &expanded, figure.members.iter().map(|&member| owners[member]));
    if let Some(row) = pass_over_framing(&mut found, &members, decision.unit.inches()) {
        return Err(is_framing(drawing, row, &names(&found[0])));
    }
    let chosen = &found[0];
    let area = chosen.area;
    let candidates = candidates(&found, decision.unit.inches());
    let inside = area.grown(gap);
    let within = |m: &Vec<Segment2>| m.iter().all(|s| inside.contains(s.a) && inside.contains(s.b));
    if hatches == Hatches::Used {
        ledger.add(hatch_outline());
    }
    let own: std::collections::BTreeSet<usize> = chosen.members.iter().copied().collect();
    let taken = |m: usize| own.contains(&m) || within(&members[m]);
    let roof: Vec<usize> = (0..members.len()).filter(|&m| taken(m)).map(|m| owners[m]).collect();
    let words = format!(
        "{why}; the largest connected figure ({} lines and curves on {}) is taken with what lies in it",
        chosen.members.len(),
        names(chosen).join(", ")
    );
    ledger.add(
        Finding::new(Severity::Assumed, "roof-by-size", words, Place::none())
            .with_hint("name the roof's layers with --layer or [drawing] roof_layers"),
    );
    if left_out > 0 {
        let words = format!(
            "{left_out} lines and circles of a grid (lines that end on a circle with a text in it) are not roof"
        );
        ledger.add(
            Finding::new(Severity::Ignored, "grid-left-out", words, Place::none())
                .with_hint("put the roof on a layer of its own, named for it, if some of them are roof"),
        );
    }
    let others = others(drawing, &expanded, &plan, area);
    Ok(Some(Choice { expanded, roof, others, area, decision, candidates }))
}

/// Puts figures that are no framing before those that are, of the largest few; gives the row of members when all that could be a roof are.
fn pass_over_framing(found: &mut [Figure], members: &[Vec<Segment2>], inches: f64) -> Option<Row> {
    let sized = |figure: &Figure| figure.area.width() * figure.area.height() * inches * inches >= LEAST_RUNNER_UP;
    let row = |figure: &Figure| {
        let own: Vec<Segment2> = figure.members.iter().flat_map(|&member| members[member].iter().copied()).collect();
        framing(&own, inches)
    };
    let first = row(&found[0])?;
    let other = (1..found.len().min(MOST_CANDIDATES)).find(|&rank| {
        let figure = &found[rank];
        !figure.frame && sized(figure) && row(figure).is_none()
    });
    let Some(rank) = other else { return Some(first) };
    found[..=rank].rotate_right(1);
    None
}

/// A figure smaller than this share of the first is a tag or a bubble nobody would take for the roof.
const LEAST_LISTED: f64 = 0.01;

fn candidates(found: &[Figure], scale: f64) -> Vec<Candidate> {
    let size = |figure: &Figure| figure.area.width() * figure.area.height();
    let least = found.first().map_or(0.0, size) * LEAST_LISTED;
    let listed = found.iter().filter(|figure| size(figure) >= least).take(MOST_CANDIDATES).enumerate();
    listed.map(|(rank, figure)| figure.candidate(rank, rank == 0, scale)).collect()
}

/// What a leaf's linework is, by the block it stands in and by its layer.
fn role(expanded: &Expanded, plan: &Plan, leaf: Leaf) -> Option<Role> {
    let opening = |kind: OpeningKind| Some(Role::Opening(kind));
    if expanded.placements[leaf.placement].arrow.is_some() {
        return None;
    }
    match (expanded.placements[leaf.placement].opening, plan.use_of(leaf.layer)) {
        (Some(kind), _) | (_, Use::Opening(kind)) => opening(kind),
        (_, Use::Roof | Use::Any) => Some(Role::Roof),
        (_, Use::Wall) => Some(Role::Wall),
        (_, Use::Nothing) => None,
    }
}

/// Whether a leaf says something rather than draws the roof: texts, leaders, and polylines that are arrows by themselves.
fn is_words(drawing: &Drawing, leaf: Leaf) -> bool {
    match &drawing.entities[leaf.entity].shape {
        Shape::Text(_) | Shape::Leader(_) => true,
        Shape::Polyline(line) => line.head.is_some(),
        _ => false,
    }
}

fn is_hatch(drawing: &Drawing, leaf: Leaf) -> bool {
    matches!(drawing.entities[leaf.entity].shape, Shape::Hatch(_))
}

/// Openings and walls that stand on the roof. A hatch is the outline of an opening only where no lines draw one.
fn others(drawing: &Drawing, expanded: &Expanded, plan: &Plan, area: Box2) -> Vec<(usize, Role)> {
    let near = area.grown(MARGIN * area.width().max(area.height()));
    let mut found = Vec::new();
    let mut boxes: Vec<Box2> = Vec::new();
    for hatches in [Hatches::LeftOut, Hatches::Used] {
        let outlined = SegmentIndex::new(&boxes.iter().map(|own| Segment2::new(own.min, own.max)).collect::<Vec<_>>());
        for (position, leaf) in expanded.leaves.iter().enumerate() {
            let Some(role @ (Role::Opening(_) | Role::Wall)) = role(expanded, plan, *leaf) else { continue };
            let hatch = is_hatch(drawing, *leaf);
            if is_words(drawing, *leaf) || hatch != (hatches == Hatches::Used) || hatch && role == Role::Wall {
                continue;
            }
            if let Shape::Line([a, b]) = &drawing.entities[leaf.entity].shape {
                // Most walls of a large drawing stand elsewhere.
                let map = leaf_map(drawing, expanded, *leaf);
                if ![a, b].iter().all(|&&end| near.contains(map.point(end).plan())) {
                    continue;
                }
            }
            let drawn = draw(drawing, expanded, *leaf, f64::INFINITY);
            let Some(own) = drawn.plan_box() else { continue };
            let drawn_already = hatch && !outlined.near(own.center(), 0.0).is_empty();
            if !drawn_already && drawn.plan_points().all(|point| near.contains(point)) {
                found.push((position, role));
                if !hatch && role != Role::Wall {
                    boxes.push(own);
                }
            }
        }
    }
    found.sort_unstable_by_key(|(position, _)| *position);
    found
}

fn plan_segments(drawn: &Drawn) -> Vec<Segment2> {
    let mut segments = Vec::new();
    for (points, closed) in drawn.paths.iter().chain(&sides(&drawn.facets)) {
        let pieces = if *closed { points.len() } else { points.len() - 1 };
        let at = |i: usize| points[i % points.len()].plan();
        segments.extend((0..pieces).map(|i| Segment2::new(at(i), at(i + 1))));
    }
    segments
}

fn join(a: Option<Box2>, b: Option<Box2>) -> Option<Box2> {
    Box2::around([a, b].into_iter().flatten().flat_map(|area| [area.min, area.max]))
}

/// The place of an entity, for findings.
pub(super) fn place_of(drawing: &Drawing, expanded: &Expanded, leaf: Leaf) -> Place {
    let entity = &drawing.entities[leaf.entity];
    Place {
        layer: Some(drawing.layers[leaf.layer as usize].name.clone()),
        block_path: block_path(drawing, expanded, leaf),
        ..place_of_entity(drawing, entity)
    }
}

/// The place of an entity of model space itself, for findings.
pub(super) fn place_of_entity(drawing: &Drawing, entity: &Entity) -> Place {
    Place {
        layer: Some(drawing.layers[entity.layer as usize].name.clone()),
        handle: entity.handle.map(plain),
        line: Some(entity.line),
        ..Place::default()
    }
}

/// Names of the blocks a leaf stands in, outermost first.
pub(super) fn block_path(drawing: &Drawing, expanded: &Expanded, leaf: Leaf) -> Vec<String> {
    let mut names = Vec::new();
    let mut at = leaf.placement;
    while at != 0 {
        let placement = &expanded.placements[at];
        names.push(drawing.decoder.plain(drawing.blocks[placement.block].name));
        at = placement.parent;
    }
    names.reverse();
    names
}
