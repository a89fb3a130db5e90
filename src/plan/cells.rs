//! Walks become cells: bounded areas with their holes, and connected pieces lying in each other.
//!
//! Terms: a *piece* is everything connected by lines; it has one outer contour. A piece lies in the smallest cell of another
//! piece that holds it, or in none.

use super::draft::Draft;
use super::half_edge::{Walks, ring, start, walk_sides};
use crate::geometry::{Box2, Point2, Region, Ring, Segment2, SegmentIndex};

/// A bounded area with no line inside it, other pieces apart.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cell {
    /// Its outer walk, counter-clockwise.
    pub walk: usize,
    /// The piece its outer walk belongs to.
    pub piece: usize,
    /// Area inside the outer walk, square inches.
    pub area: f64,
}

/// Everything connected by lines.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Piece {
    /// Its outer contour, clockwise.
    pub contour: usize,
    /// Area inside its contour, square inches.
    pub area: f64,
    /// Its cells.
    pub cells: Vec<usize>,
    /// The cell of another piece it lies in.
    pub inside: Option<usize>,
}

/// The plane cut up by a draft without crossings or dangles.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Cells {
    /// The walks.
    pub walks: Walks,
    /// All bounded areas.
    pub cells: Vec<Cell>,
    /// The cell of each walk that is the outside of one.
    pub cell_of_walk: Vec<Option<usize>>,
    /// The piece of each walk.
    pub piece_of_walk: Vec<usize>,
    /// Connected pieces.
    pub pieces: Vec<Piece>,
}

/// Finds cells, pieces, and what lies in what.
pub(super) fn find_cells(draft: &Draft) -> Cells {
    let walks = walk_sides(draft);
    let areas: Vec<f64> = walks.walks.iter().map(|walk| ring(draft, walk).signed_area()).collect();
    let piece_of_node = connected(draft);
    let count = piece_of_node.iter().max().map_or(0, |last| last + 1);
    let mut pieces: Vec<Piece> =
        (0..count).map(|_| Piece { contour: usize::MAX, area: 0.0, cells: Vec::new(), inside: None }).collect();
    let mut cells = Vec::new();
    let mut cell_of_walk = vec![None; areas.len()];
    let mut piece_of_walk = Vec::with_capacity(areas.len());
    for (walk, &area) in areas.iter().enumerate() {
        let piece = piece_of_node[start(draft, walks.walks[walk][0])];
        piece_of_walk.push(piece);
        if area > 0.0 {
            cell_of_walk[walk] = Some(cells.len());
            pieces[piece].cells.push(cells.len());
            cells.push(Cell { walk, piece, area });
        } else if pieces[piece].contour == usize::MAX || -area > pieces[piece].area {
            pieces[piece].contour = walk;
            pieces[piece].area = -area;
        }
    }
    let mut found = Cells { walks, cells, cell_of_walk, piece_of_walk, pieces };
    let holders = holding_cells(draft, &found);
    for (piece, holder) in found.pieces.iter_mut().zip(holders) {
        piece.inside = holder;
    }
    found
}

/// The number of the connected piece of each node, by lowest node.
pub(super) fn connected(draft: &Draft) -> Vec<usize> {
    let edges_at = draft.edges_at();
    let mut piece_of = vec![usize::MAX; draft.nodes.len()];
    let mut count = 0;
    for first in 0..draft.nodes.len() {
        if piece_of[first] != usize::MAX {
            continue;
        }
        let mut open = vec![first];
        piece_of[first] = count;
        while let Some(node) = open.pop() {
            for end in edges_at[node].iter().flat_map(|&edge| draft.edges[edge].ends) {
                if piece_of[end] == usize::MAX {
                    piece_of[end] = count;
                    open.push(end);
                }
            }
        }
        count += 1;
    }
    piece_of
}

/// For each piece the smallest cell of another piece that holds it.
fn holding_cells(draft: &Draft, found: &Cells) -> Vec<Option<usize>> {
    let rings: Vec<Ring> = found.cells.iter().map(|cell| ring(draft, &found.walks.walks[cell.walk])).collect();
    let diagonals: Vec<Segment2> = rings
        .iter()
        .map(|r| r.bounds().map_or(Segment2::new(Point2::default(), Point2::default()), diagonal))
        .collect();
    let index = SegmentIndex::new(&diagonals);
    found
        .pieces
        .iter()
        .enumerate()
        .map(|(number, piece)| {
            // Pieces do not touch, so any point of the contour decides.
            let point = draft.nodes[start(draft, found.walks.walks[piece.contour][0])].at;
            index
                .near(point, 0.0)
                .into_iter()
                .filter(|&cell| found.cells[cell].piece != number && rings[cell].contains(point))
                .min_by(|&a, &b| found.cells[a].area.total_cmp(&found.cells[b].area))
        })
        .collect()
}

fn diagonal(around: Box2) -> Segment2 {
    Segment2::new(around.min, around.max)
}

impl Cells {
    /// The cell to the left of a dart: its own, or the one its piece lies in.
    pub(super) fn cell_left_of(&self, dart: usize) -> Option<usize> {
        let walk = self.walks.walk_of[dart];
        self.cell_of_walk[walk].or_else(|| self.pieces[self.piece_of_walk[walk]].inside)
    }

    /// The contours of the pieces that lie directly in a cell.
    pub(super) fn holes(&self) -> Vec<Vec<usize>> {
        let mut holes = vec![Vec::new(); self.cells.len()];
        for (number, piece) in self.pieces.iter().enumerate() {
            if let Some(cell) = piece.inside {
                holes[cell].push(number);
            }
        }
        holes
    }

    /// A cell as a region, its holes included.
    pub(super) fn region(&self, draft: &Draft, cell: usize, holes: &[usize]) -> Region {
        let ring_of = |walk: usize| ring(draft, &self.walks.walks[walk]);
        Region {
            exterior: ring_of(self.cells[cell].walk),
            holes: holes.iter().map(|&piece| ring_of(self.pieces[piece].contour)).collect(),
        }
    }
}
