//! Block references are followed through a stack of maps down to the entities the roof may need.
//!
//! A leaf is one drawn entity in one placement; nothing is copied or flattened yet. Blocks that hold nothing wanted are not entered, so
//! a site plan full of trees costs nothing.

use super::drawing::{Drawing, plain};
use super::entity::{Insert, Shape};
use super::flatten::plane_of;
use super::layers::{Plan, Use, is_arrow};
use super::ledger::Ledger;
use super::model::OpeningKind;
use super::record::Refusal;
use crate::error::{Error, Result};
use crate::finding::Place;
use crate::geometry::{Matrix4, Point3, Vector3};

/// Blocks nested deeper than this are refused: drawings nest a handful of levels.
const DEEPEST: usize = 64;
/// So many pieces may come out of blocks whatever the size of the file, and one for so many of its bytes beyond: an entity takes about a
/// hundred, so blocks may repeat a drawing six times over. The bound keeps the work in proportion to the file.
const ANY_LEAVES: usize = 1_500;
const BYTES_A_LEAF: usize = 16;
/// So many points may come out of curves whatever the size of the file, and one for so many of its bytes beyond: a vertex takes at least ten,
/// so a drawing without blocks and curves never has more.
const ANY_POINTS: usize = 20_000;
const BYTES_A_POINT: usize = 8;
/// Points of one entity, its curves flattened.
pub(super) const MOST_OF_ONE: usize = 300_000;
/// Entities looked at while following blocks.
const MOST_STEPS: usize = 20_000_000;

/// One way down through the blocks.
#[derive(Debug)]
pub(super) struct Placement {
    /// From the block's coordinates to the drawing's.
    pub map: Matrix4,
    /// The placement this one is in; model space is its own.
    pub parent: usize,
    /// The INSERT entity.
    pub insert: usize,
    /// The block.
    pub block: usize,
    /// The layer that entities on layer `0` take.
    pub layer: u32,
    /// Number of the model-space INSERT above.
    pub group: Option<u32>,
    /// What a block on the way down is named for.
    pub opening: Option<OpeningKind>,
    /// The outermost placement above of a block named for an arrow.
    pub arrow: Option<usize>,
}

/// One drawn entity in one placement.
#[derive(Debug, Clone, Copy)]
pub(super) struct Leaf {
    /// The entity.
    pub entity: usize,
    /// Its placement; 0 is model space.
    pub placement: usize,
    /// Its layer after inheritance.
    pub layer: u32,
}

/// All that may matter to the roof.
#[derive(Debug)]
pub(super) struct Expanded {
    /// The ways down.
    pub placements: Vec<Placement>,
    /// In drawing order.
    pub leaves: Vec<Leaf>,
    /// Entities that could not be followed.
    pub refused: Vec<usize>,
}

struct Walk<'d, 'a> {
    drawing: &'d Drawing<'a>,
    plan: &'d Plan,
    ledger: &'d mut Ledger,
    wanted: Vec<Wanted>,
    /// For each block what opening it is named for, and whether for an arrow.
    named: Vec<(Option<OpeningKind>, bool)>,
    /// Entities refused already: a bomb meets the same one a million times.
    refused: Vec<bool>,
    zero: Option<u32>,
    out: Expanded,
    steps: usize,
    /// The bound for this drawing.
    most: usize,
}

/// What a block holds that is wanted.
#[derive(Debug, Clone, Copy, Default)]
struct Wanted {
    settled: bool,
    /// Something, whatever layer the insert is on.
    anyway: bool,
    /// Something on layer `0`, if the insert's layer is wanted.
    inherited: bool,
}

/// Follows all block references of model space.
///
/// # Errors
/// When the drawing holds more pieces than any roof plan.
pub(super) fn expand(drawing: &Drawing, plan: &Plan, ledger: &mut Ledger) -> Result<Expanded> {
    let zero = drawing.layers.iter().position(|layer| layer.name == "0").map(|at| at as u32);
    let root = Placement {
        map: Matrix4::IDENTITY,
        parent: 0,
        insert: usize::MAX,
        block: usize::MAX,
        layer: zero.unwrap_or(u32::MAX),
        group: None,
        opening: None,
        arrow: None,
    };
    let out = Expanded { placements: vec![root], leaves: Vec::new(), refused: Vec::new() };
    let wanted = vec![Wanted::default(); drawing.blocks.len()];
    let named = drawing
        .blocks
        .iter()
        .map(|block| {
            let name = drawing.decoder.plain(block.name);
            (plan.block_opening(&name), is_arrow(&name))
        })
        .collect();
    let mut walk = Walk {
        drawing,
        plan,
        ledger,
        wanted,
        named,
        refused: vec![false; drawing.entities.len()],
        zero,
        out,
        steps: 0,
        most: most_leaves(drawing),
    };
    for range in drawing.model.clone() {
        walk.entities(range, 0, 0)?;
    }
    walk.out.refused.sort_unstable();
    walk.out.refused.dedup();
    Ok(walk.out)
}

impl Walk<'_, '_> {
    fn entities(&mut self, range: std::ops::Range<usize>, placement: usize, depth: usize) -> Result<()> {
        for position in range {
            self.steps += 1;
            if self.steps > MOST_STEPS || self.out.leaves.len() + self.out.placements.len() > self.most {
                return Err(too_large(self.most));
            }
            let entity = &self.drawing.entities[position];
            let inherits = Some(entity.layer) == self.zero;
            let layer = if inherits { self.out.placements[placement].layer } else { entity.layer };
            // What is on layer 0 of a block follows the insert's layer, off and all.
            if !entity.shown || !self.plan.visible(layer) {
                continue;
            }
            if let Shape::Insert(insert) = &entity.shape {
                self.insert(position, insert, layer, placement, depth)?;
            } else if self.wants(&entity.shape, layer, &self.out.placements[placement]) {
                self.out.leaves.push(Leaf { entity: position, placement, layer });
            }
        }
        Ok(())
    }

    fn wants(&self, shape: &Shape, layer: u32, placement: &Placement) -> bool {
        let named = placement.opening.is_some() || placement.arrow.is_some();
        match shape {
            Shape::Text(_) | Shape::Leader(_) => true,
            Shape::Aside | Shape::Dimension(_) | Shape::Insert(_) => false,
            Shape::Polyline(line) if line.head.is_some() => true,
            Shape::Line(_) | Shape::Solid(_) if self.plan.may_hold_arrows(layer) => true,
            _ => named || self.plan.use_of(layer) != Use::Nothing,
        }
    }

    fn insert(&mut self, position: usize, insert: &Insert, layer: u32, parent: usize, depth: usize) -> Result<()> {
        if self.refused[position] {
            return Ok(());
        }
        let Some(&block) = self.drawing.block_names.get(&insert.block.to_ascii_uppercase()) else {
            let words = format!("block {} is not in the drawing", plain(insert.block));
            self.refuse(position, &Refusal::new("unknown-block", words));
            return Ok(());
        };
        let (opening, arrow) = self.named[block];
        let opening = opening.or(self.out.placements[parent].opening);
        let wanted = self.block_wanted(block, depth);
        let holds = wanted.anyway
            || wanted.inherited && (self.plan.use_of(layer) != Use::Nothing || self.plan.everything)
            || opening.is_some()
            || arrow;
        if !holds {
            return Ok(());
        }
        if depth >= DEEPEST {
            let words = format!("blocks are nested more than {DEEPEST} deep");
            self.refuse(position, &Refusal::new("blocks-too-deep", words));
            return Ok(());
        }
        if self.inside(block, parent) {
            let words = format!("block {} holds itself", plain(insert.block));
            self.refuse(position, &Refusal::new("block-cycle", words));
            return Ok(());
        }
        let [columns, rows] = insert.count;
        if columns.saturating_mul(rows) > self.most as i64 {
            return Err(too_large(columns.saturating_mul(rows) as usize));
        }
        let group = match self.out.placements[parent].group {
            Some(group) => Some(group),
            None => Some(position as u32),
        };
        let entity = &self.drawing.entities[position];
        for row in 0..rows {
            for column in 0..columns {
                let shift = Vector3::new(column as f64 * insert.spacing[0], row as f64 * insert.spacing[1], 0.0);
                let own = place(insert, entity.normal.as_deref(), shift, self.drawing.blocks[block].base);
                let map = self.out.placements[parent].map.after(&own);
                let placement = self.out.placements.len();
                let arrow = self.out.placements[parent].arrow.or(arrow.then_some(placement));
                self.out.placements.push(Placement {
                    map,
                    parent,
                    insert: position,
                    block,
                    layer,
                    group,
                    opening,
                    arrow,
                });
                let entities = self.drawing.blocks[block].entities.clone();
                self.entities(entities, placement, depth + 1)?;
            }
        }
        Ok(())
    }

    /// Whether the placement stands in the block already.
    fn inside(&self, block: usize, mut placement: usize) -> bool {
        while placement != 0 {
            if self.out.placements[placement].block == block {
                return true;
            }
            placement = self.out.placements[placement].parent;
        }
        false
    }

    /// What of a block is wanted, itself and the blocks in it. Cut off at the depth limit with the answer that keeps everything.
    fn block_wanted(&mut self, block: usize, depth: usize) -> Wanted {
        if self.wanted[block].settled || depth >= DEEPEST {
            return if self.wanted[block].settled {
                self.wanted[block]
            } else {
                Wanted { settled: false, anyway: true, inherited: true }
            };
        }
        // Settled as holding something while its contents are looked at: a block in itself ends here and is entered, and refused there.
        self.wanted[block] = Wanted { settled: true, anyway: true, inherited: true };
        let mut answer = Wanted { settled: true, ..Wanted::default() };
        for position in self.drawing.blocks[block].entities.clone() {
            let entity = &self.drawing.entities[position];
            let inherits = Some(entity.layer) == self.zero;
            if !entity.shown {
                continue;
            }
            match &entity.shape {
                Shape::Insert(insert) => {
                    let named = self.drawing.block_names.get(&insert.block.to_ascii_uppercase()).copied();
                    let opening = named.is_some_and(|inner| self.named[inner].0.is_some() || self.named[inner].1);
                    let inner = named.map_or(Wanted::default(), |inner| self.block_wanted(inner, depth + 1));
                    let own_layer = !inherits && self.plan.use_of(entity.layer) != Use::Nothing;
                    answer.anyway |= inner.anyway || opening || named.is_none() || inner.inherited && own_layer;
                    answer.inherited |= inner.inherited && inherits;
                }
                Shape::Text(_) | Shape::Leader(_) => answer.anyway = true,
                Shape::Polyline(line) if line.head.is_some() => answer.anyway = true,
                Shape::Aside | Shape::Dimension(_) => {}
                _ if inherits => answer.inherited = true,
                _ => answer.anyway |= self.plan.use_of(entity.layer) != Use::Nothing,
            }
        }
        self.wanted[block] = answer;
        answer
    }

    fn refuse(&mut self, position: usize, refusal: &Refusal) {
        self.out.refused.push(position);
        self.refused[position] = true;
        let entity = &self.drawing.entities[position];
        let place = Place {
            layer: Some(self.drawing.layers[entity.layer as usize].name.clone()),
            handle: entity.handle.map(plain),
            line: Some(entity.line),
            ..Place::default()
        };
        self.ledger.refusal(refusal, &plain(entity.kind), place);
    }
}

/// The map of one insert: base point to origin, stretch, shift within the array, turn, to its point, into space.
fn place(insert: &Insert, normal: Option<&Vector3>, shift: Vector3, base: Point3) -> Matrix4 {
    let to_origin = Matrix4::translation(Point3::default() - base);
    let stretched = Matrix4::scaling(insert.scale.x, insert.scale.y, insert.scale.z).after(&to_origin);
    let shifted = Matrix4::translation(shift).after(&stretched);
    let turned = Matrix4::rotation(insert.angle.to_radians()).after(&shifted);
    let placed = Matrix4::translation(insert.at - Point3::default()).after(&turned);
    normal.map_or(placed, |&normal| plane_of(normal).after(&placed))
}

/// Leaves and placements a drawing may have; any file may place each of its own entities once.
fn most_leaves(drawing: &Drawing) -> usize {
    ANY_LEAVES + drawing.entities.len().max(drawing.size / BYTES_A_LEAF)
}

/// Points its linework may have.
pub(super) fn most_points(drawing: &Drawing) -> usize {
    ANY_POINTS + drawing.size / BYTES_A_POINT
}

/// The error for a drawing with more pieces than any roof.
pub(super) fn too_large(pieces: usize) -> Error {
    Error::unreadable("too-large", format!("its blocks expand to {pieces} pieces or more, which is no roof plan"))
        .with_hint("save the roof plan alone, without the blocks that repeat others thousands of times")
}
