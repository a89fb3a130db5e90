//! Numbers of sheets: discipline, type and sequence, after the National CAD Standard's form. No two sheets of a set share one, however
//! many it has: files are named by them.

/// A stretch of sheets that are numbered on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Stretch {
    /// Notes and legend: E-001 and on.
    Notes,
    /// The plan: E-101, then E-111 and on.
    Plan,
    /// Faces: E-401 and on.
    Faces,
    /// Details: E-501 and on.
    Details,
    /// Schedules: E-601, then E-611 and on.
    Schedules,
    /// The test record: E-602, then E-631 and on.
    Record,
    /// The owner's sheet: E-603, then E-641 and on.
    Owner,
    /// The load calculation: E-604, then E-621 and on.
    Load,
}

/// The number of the sheet at a position of its stretch. Past two digits the sequence takes a third, so that the hundredth face is not
/// the first detail.
pub(super) fn sheet_number(stretch: Stretch, position: usize) -> String {
    let first_then = |first: &str, tens: u32| match position {
        0 => first.to_owned(),
        _ => format!("E-6{tens}{position}"),
    };
    match stretch {
        Stretch::Notes => format!("E-0{:02}", position + 1),
        Stretch::Plan if position == 0 => "E-101".to_owned(),
        Stretch::Plan => format!("E-1{}", position + 10),
        Stretch::Faces => format!("E-4{:02}", position + 1),
        Stretch::Details => format!("E-5{:02}", position + 1),
        Stretch::Schedules => first_then("E-601", 1),
        Stretch::Load => first_then("E-604", 2),
        Stretch::Record => first_then("E-602", 3),
        Stretch::Owner => first_then("E-603", 4),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeSet;

    const ALL: [Stretch; 8] = [
        Stretch::Notes,
        Stretch::Plan,
        Stretch::Faces,
        Stretch::Details,
        Stretch::Schedules,
        Stretch::Record,
        Stretch::Owner,
        Stretch::Load,
    ];

    /// Two hundred roofs have four hundred faces: E-501 was once the number of the hundred and first and of the first detail.
    #[test]
    fn no_two_sheets_share_a_number() {
        let numbers: BTreeSet<String> =
            ALL.into_iter().flat_map(|stretch| (0..1200).map(move |i| sheet_number(stretch, i))).collect();
        assert_eq!(numbers.len(), 8 * 1200);
    }

    #[test]
    fn sheets_of_a_house_have_three_digits() {
        let number = |stretch, position| sheet_number(stretch, position);
        assert_eq!(number(Stretch::Faces, 0), "E-401");
        assert_eq!([number(Stretch::Faces, 98), number(Stretch::Faces, 99)], ["E-499", "E-4100"]);
        assert_eq!([number(Stretch::Plan, 0), number(Stretch::Plan, 1)], ["E-101", "E-111"]);
        assert_eq!([number(Stretch::Schedules, 9), number(Stretch::Schedules, 10)], ["E-619", "E-6110"]);
    }
}
