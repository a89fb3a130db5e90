//! How many rolls a list of pieces needs, cut longest first, each from the first roll with enough left.
//!
//! First fit needs at most 11/9 of the fewest rolls possible, and a part of a roll. No joint is counted on: a piece is
//! whole.

/// Slack for lengths that should fit exactly, inches.
const FIT: f64 = 1e-6;

/// Rolls of `roll` inches for pieces of `lengths` inches. A piece longer than a roll takes as many rolls as it is long.
pub(super) fn rolls_first_fit(lengths: &[f64], roll: f64) -> usize {
    let mut pieces = lengths.to_vec();
    pieces.sort_by(|a, b| b.total_cmp(a));
    let mut left: Vec<f64> = Vec::new();
    let mut oversize = 0;
    for piece in pieces {
        if piece > roll + FIT {
            oversize += (piece / roll).ceil() as usize;
        } else if let Some(space) = left.iter_mut().find(|space| **space + FIT >= piece) {
            *space -= piece;
        } else {
            left.push(roll - piece);
        }
    }
    left.len() + oversize
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// By hand: rolls of 250 ft. Eighteen pieces of 39 ft: six to a roll (234 ft), three rolls, though 702 ft are 2.8 rolls.
    #[test]
    fn rolls_by_hand() {
        assert_eq!(rolls_first_fit(&[39.0; 18], 250.0), 3);
        assert_eq!(rolls_first_fit(&[39.0; 19], 250.0), 4);
        assert_eq!(rolls_first_fit(&[50.0; 5], 250.0), 1);
        assert_eq!(rolls_first_fit(&[130.0, 130.0, 120.0, 120.0], 250.0), 2);
        assert_eq!(rolls_first_fit(&[600.0], 250.0), 3);
        assert_eq!(rolls_first_fit(&[], 250.0), 0);
    }

    proptest! {
        #[test]
        fn never_fewer_than_the_length_asks_and_never_more_than_pieces(lengths in prop::collection::vec(1.0..250.0_f64, 0..40)) {
            let rolls = rolls_first_fit(&lengths, 250.0);
            let total: f64 = lengths.iter().sum();
            prop_assert!(rolls as f64 * 250.0 + 1e-3 >= total);
            prop_assert!(rolls <= lengths.len());
            // All rolls but one are more than half used: two that were not would have been one.
            prop_assert!(rolls as f64 <= 2.0 * total / 250.0 + 1.0);
        }
    }
}
