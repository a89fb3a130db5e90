//! Rival answers become questions a person can settle.

use super::hints::Hints;
use super::model::{AnswerOption, Lifting, Question};
use super::piece::Piece;
use super::scale::{rounded, scale};
use super::search::Candidate;
use super::settle::rivals_within;
use crate::index::EdgeId;
use crate::terms::EdgeKind;
use std::collections::{BTreeMap, BTreeSet};

/// Most answers offered to one question.
const MOST_OPTIONS: usize = 4;

/// Questions of one piece: each joins edges that one answer settles together.
pub(super) fn questions(
    piece: &Piece,
    candidates: &[Candidate],
    capped: bool,
    hints: &Hints,
    default_pitch: f64,
) -> Vec<Question> {
    let Some(best) = candidates.first() else { return Vec::new() };
    let within = rivals_within(best, capped);
    // Answers that change the same edges to the same kinds ask the same: the cheapest stands for them.
    let mut asked: BTreeSet<Vec<(EdgeId, EdgeKind)>> = BTreeSet::new();
    let rivals: Vec<Rival> = candidates
        .iter()
        .take_while(|c| c.priced.energy - best.priced.energy < within)
        .map(|candidate| Rival::of(piece, best, candidate))
        .filter(|rival| !rival.edges.is_empty() && asked.insert(rival.changes()))
        .collect();
    joined(&rivals)
        .into_iter()
        .map(|edges| {
            let mut options = vec![best];
            let mut seen = vec![kinds_on(piece, best, &edges)];
            for rival in rivals.iter().filter(|rival| rival.edges.is_subset(&edges)) {
                let kinds: Vec<EdgeKind> = edges.iter().map(|edge| rival.kinds[edge]).collect();
                if options.len() < MOST_OPTIONS && !seen.contains(&kinds) {
                    options.push(rival.candidate);
                    seen.push(kinds);
                }
            }
            let options = options
                .into_iter()
                .map(|c| AnswerOption {
                    words: option_words(piece, c, &edges),
                    lifting: lifting(piece, c, hints, default_pitch),
                })
                .collect::<Vec<_>>();
            Question { words: question_words(&edges), edges: edges.into_iter().collect(), options }
        })
        .collect()
}

/// An answer that is not told from the best: what it changes, and the kind of every edge.
struct Rival<'a> {
    candidate: &'a Candidate,
    edges: BTreeSet<EdgeId>,
    kinds: BTreeMap<EdgeId, EdgeKind>,
}

impl<'a> Rival<'a> {
    fn of(piece: &Piece, best: &Candidate, candidate: &'a Candidate) -> Self {
        let (usual, kinds) = (kinds(piece, best), kinds(piece, candidate));
        let edges = usual.iter().filter(|(edge, kind)| kinds[edge] != **kind).map(|(&edge, _)| edge).collect();
        Self { candidate, edges, kinds }
    }

    fn changes(&self) -> Vec<(EdgeId, EdgeKind)> {
        self.edges.iter().map(|edge| (*edge, self.kinds[edge])).collect()
    }
}

/// Groups edges that change together. A rival that only adds up what smaller rivals change says nothing new.
fn joined(rivals: &[Rival]) -> Vec<BTreeSet<EdgeId>> {
    let mut sets: Vec<&Rival> = rivals.iter().collect();
    sets.sort_by_key(|rival| rival.edges.len());
    let mut kept: Vec<&Rival> = Vec::new();
    for rival in sets {
        let within: Vec<&&Rival> = kept.iter().filter(|k| k.edges.is_subset(&rival.edges)).collect();
        let told = |edge: &EdgeId| within.iter().any(|k| k.edges.contains(edge) && k.kinds[edge] == rival.kinds[edge]);
        if !rival.edges.iter().all(told) {
            kept.push(rival);
        }
    }
    let kept = kept.into_iter().map(|rival| &rival.edges);
    let mut groups: Vec<BTreeSet<EdgeId>> = Vec::new();
    for set in kept {
        let (touching, apart): (Vec<_>, Vec<_>) = groups.into_iter().partition(|g| !g.is_disjoint(set));
        let mut group = set.clone();
        group.extend(touching.into_iter().flatten());
        groups = apart;
        groups.push(group);
    }
    groups.sort();
    groups
}

/// Every edge of the piece with its kind.
fn kinds(piece: &Piece, candidate: &Candidate) -> BTreeMap<EdgeId, EdgeKind> {
    let folds = piece.folds.iter().zip(candidate.priced.folds.iter().copied());
    let folds = folds.flat_map(|(fold, kind)| fold.edges.iter().map(move |&edge| (edge, kind)));
    let borders = piece.borders.iter().map(|b| b.edge).zip(candidate.priced.borders.iter().copied());
    folds.chain(borders).collect()
}

fn kinds_on(piece: &Piece, candidate: &Candidate, edges: &BTreeSet<EdgeId>) -> Vec<EdgeKind> {
    let all = kinds(piece, candidate);
    edges.iter().map(|e| all[e]).collect()
}

fn lifting(piece: &Piece, candidate: &Candidate, hints: &Hints, default_pitch: f64) -> Lifting {
    let scaled = scale(piece, &candidate.planes, &candidate.priced.borders, hints, default_pitch);
    let mut planes: Vec<_> = piece.faces.iter().copied().zip(scaled.planes.into_iter().map(rounded)).collect();
    planes.sort_by_key(|p| p.0);
    Lifting { planes, kinds: kinds(piece, candidate).into_iter().collect(), energy: candidate.priced.energy }
}

/// `E4, E6 are rakes; F2 falls to E7`.
fn option_words(piece: &Piece, candidate: &Candidate, edges: &BTreeSet<EdgeId>) -> String {
    let all = kinds(piece, candidate);
    let mut by_kind: BTreeMap<EdgeKind, Vec<EdgeId>> = BTreeMap::new();
    for edge in edges {
        by_kind.entry(all[edge]).or_default().push(*edge);
    }
    let mut words: Vec<String> = by_kind.iter().map(|(kind, edges)| kind_words(*kind, edges)).collect();
    let touched: BTreeSet<usize> = piece
        .borders
        .iter()
        .filter(|b| edges.contains(&b.edge))
        .map(|b| b.face)
        .chain(piece.folds.iter().filter(|f| f.edges.iter().any(|e| edges.contains(e))).flat_map(|f| [f.left, f.right]))
        .collect();
    for face in touched.into_iter().take(4) {
        let eave = piece
            .borders
            .iter()
            .filter(|b| b.face == face && all[&b.edge] == EdgeKind::Eave)
            .max_by(|a, b| a.segment.length().total_cmp(&b.segment.length()).then(b.edge.cmp(&a.edge)));
        if let Some(eave) = eave {
            words.push(format!("{} falls to {}", piece.faces[face], eave.edge));
        }
    }
    words.join("; ")
}

fn kind_words(kind: EdgeKind, edges: &[EdgeId]) -> String {
    let word = kind.words();
    match edges {
        [edge] if word.starts_with(['a', 'e', 'i', 'o', 'u']) => format!("{edge} is an {word}"),
        [edge] => format!("{edge} is a {word}"),
        _ => {
            let names: Vec<String> = edges.iter().map(EdgeId::to_string).collect();
            format!("{} are {}", names.join(", "), if word == "unknown" { word.to_owned() } else { plural(word) })
        }
    }
}

fn plural(word: &str) -> String {
    word.strip_suffix('y').filter(|w| !w.ends_with('e')).map_or_else(|| format!("{word}s"), |w| format!("{w}ies"))
}

/// Of each answer, only the clauses that not every answer shares; answers that read alike once. Empty where fewer than two are
/// left to choose from.
pub(super) fn telling_answers(question: &Question) -> Vec<String> {
    let clauses: Vec<Vec<&str>> = question.options.iter().map(|o| o.words.split("; ").collect()).collect();
    let mut answers: Vec<String> = Vec::new();
    for own in &clauses {
        let telling = own.iter().filter(|clause| !clauses.iter().all(|other| other.contains(clause)));
        let words = telling.copied().collect::<Vec<_>>().join("; ");
        if !words.is_empty() && !answers.contains(&words) {
            answers.push(words);
        }
    }
    if answers.len() < 2 { Vec::new() } else { answers }
}

/// `What are E1, E3?`, for a place that lists the answers beside it.
fn question_words(edges: &BTreeSet<EdgeId>) -> String {
    let names: Vec<String> = edges.iter().map(EdgeId::to_string).collect();
    format!("What {} {}?", if names.len() == 1 { "is" } else { "are" }, names.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn answers_are_told_apart_and_told_once() {
        let option = |words: &str| AnswerOption {
            words: words.into(),
            lifting: Lifting { planes: Vec::new(), kinds: Vec::new(), energy: 0.0 },
        };
        let ask = |words: &[&str]| Question {
            edges: vec![EdgeId(0)],
            words: String::new(),
            options: words.iter().map(|w| option(w)).collect(),
        };
        let three = ask(&["E1 is a rake; E2 is a hip", "E1 is an eave; E2 is a hip", "E1 is a rake; E2 is a hip"]);
        assert_eq!(telling_answers(&three), ["E1 is a rake", "E1 is an eave"]);
        assert!(telling_answers(&ask(&["E1 is a rake"])).is_empty());
    }
}
