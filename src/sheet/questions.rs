//! Open questions in few words, for the key plan and the terminal.

use crate::index::EdgeId;
use crate::roof::Question;

/// A question as it is put to a person.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Asked {
    /// `What are E1, E3 and E5?`
    pub words: String,
    /// Answers to choose from, the likeliest first, no two alike: only what they differ in. Empty where there is none to choose.
    pub options: Vec<String>,
}

/// Puts a question shortly: what is asked once, and of each answer only the clauses that another answer lacks.
#[must_use]
pub fn asked(question: &Question) -> Asked {
    let clauses: Vec<Vec<&str>> = question.options.iter().map(|o| o.words.split("; ").collect()).collect();
    let shared = |clause: &str| clauses.iter().all(|other| other.contains(&clause));
    let mut options: Vec<String> = Vec::new();
    for own in &clauses {
        let telling: Vec<&str> = own.iter().copied().filter(|clause| !shared(clause)).collect();
        let words = telling.join("; ");
        if !words.is_empty() && !options.contains(&words) {
            options.push(words);
        }
    }
    if options.len() < 2 {
        return Asked { words: question.words.clone(), options: Vec::new() };
    }
    let verb = if question.edges.len() == 1 { "is" } else { "are" };
    Asked { words: format!("What {verb} {}?", named(&question.edges)), options }
}

/// `E1, E3 and E5`.
fn named(edges: &[EdgeId]) -> String {
    let names: Vec<String> = edges.iter().map(EdgeId::to_string).collect();
    match names.split_last() {
        Some((last, [])) => last.clone(),
        Some((last, others)) => format!("{} and {last}", others.join(", ")),
        None => "the roof".into(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::roof::{AnswerOption, Lifting};

    fn question(options: &[&str]) -> Question {
        let lifting = Lifting { planes: Vec::new(), kinds: Vec::new(), energy: 0.0 };
        Question {
            edges: vec![EdgeId(0), EdgeId(4)],
            words: "in full".into(),
            options: options.iter().map(|w| AnswerOption { words: (*w).into(), lifting: lifting.clone() }).collect(),
        }
    }

    #[test]
    fn answers_say_only_what_they_differ_in() {
        let put = asked(&question(&[
            "E1 is a rake; E5 is a hip; F2 falls to E6",
            "E1 is a rake; E5 is a step; F2 falls to E6",
        ]));
        assert!(put.words.starts_with("What are E") && put.words.contains(" and "), "{}", put.words);
        assert_eq!(put.options, ["E5 is a hip", "E5 is a step"]);
    }

    #[test]
    fn answers_that_read_alike_are_one_and_one_answer_is_no_choice() {
        let three =
            asked(&question(&["E1 is a rake; E5 is a hip", "E1 is an eave; E5 is a hip", "E1 is a rake; E5 is a hip"]));
        assert_eq!(three.options, ["E1 is a rake", "E1 is an eave"]);
        let one = asked(&question(&["nothing is known but the outline"]));
        assert_eq!((one.words.as_str(), one.options.len()), ("in full", 0));
    }
}
