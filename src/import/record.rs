//! Groups become records: everything from one code 0 to the next.

use super::group::{Damage, Decimals, Group, Groups};
use crate::error::Result;
use crate::geometry::Point3;

/// A record longer than this is refused: two hundred thousand vertices are no roof edge, and memory stays bounded.
const MOST_GROUPS: usize = 600_000;

/// Why one entity could not be read.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Refusal {
    /// Stable word.
    pub code: &'static str,
    /// The reason.
    pub words: String,
    /// Line of the value at fault, if one is.
    pub line: Option<usize>,
}

/// What reading part of an entity gives.
pub(super) type Read<T> = std::result::Result<T, Refusal>;

impl Refusal {
    /// A refusal of the entity as a whole.
    pub fn new(code: &'static str, words: impl Into<String>) -> Self {
        Self { code, words: words.into(), line: None }
    }
}

/// One record: the name after its code 0 and the groups that follow, application data left out.
#[derive(Debug)]
pub(super) struct Record<'a> {
    /// `LINE`, `SECTION`, ...
    pub name: &'a [u8],
    /// Line of the name.
    pub line: usize,
    /// The groups after it.
    pub groups: Vec<Group<'a>>,
    /// A bit for each code below 256 among the groups: most questions are for codes that are not there.
    present: [u64; 4],
    /// Whether the bytes ended before the next record began.
    pub cut_short: bool,
    /// Whether groups were left out because there were too many.
    pub too_long: bool,
    /// Where a group code was due and none stood; what followed in the record was passed over.
    pub damage: Option<Damage>,
}

/// Gathers records from groups.
#[derive(Debug)]
pub(super) struct Records<'a> {
    groups: Groups<'a>,
    /// The code 0 already read.
    head: Option<Group<'a>>,
}

impl<'a> Records<'a> {
    /// Records of a file.
    pub fn new(bytes: &'a [u8], decimals: Decimals) -> Self {
        Self { groups: Groups::new(bytes, decimals), head: None }
    }

    /// Reads the next record into `record`, whose memory is used again; `false` at the end of the bytes.
    ///
    /// Extended data (codes from 1000), `102 {` ... `102 }` lists and embedded objects (after code 101) belong to other programs and
    /// are passed over, however deep they nest.
    ///
    /// # Errors
    /// When the groups cannot be read on.
    pub fn read(&mut self, record: &mut Record<'a>) -> Result<bool> {
        record.groups.clear();
        record.present = [0; 4];
        record.cut_short = false;
        record.too_long = false;
        record.damage = None;
        let head = loop {
            match self.head.take() {
                Some(head) => break head,
                // Groups before the first code 0 belong to nothing.
                None => match self.groups.next()? {
                    Some(group) if group.code == 0 => self.head = Some(group),
                    Some(_) => {}
                    None => return Ok(false),
                },
            }
        };
        record.name = head.bytes().trim_ascii();
        record.line = head.line;
        if record.name == b"EOF" {
            // What stands behind the end mark is no drawing.
            return Ok(true);
        }
        let (mut braces, mut embedded) = (0_usize, false);
        loop {
            let next = self.groups.next()?;
            record.damage = record.damage.take().or_else(|| self.groups.take_damage());
            let Some(group) = next else {
                record.cut_short = true;
                return Ok(true);
            };
            match group.code {
                0 => {
                    self.head = Some(group);
                    return Ok(true);
                }
                101 => embedded = true,
                102 if group.bytes().trim_ascii().starts_with(b"{") => braces += 1,
                102 => braces = braces.saturating_sub(1),
                _ if embedded || braces > 0 || group.code >= 1000 => {}
                _ if record.groups.len() == MOST_GROUPS => record.too_long = true,
                _ => record.push(group),
            }
        }
    }
}

impl<'a> Record<'a> {
    /// Why the record cannot be trusted, where its lines are damaged.
    pub fn damage_refusal(&self) -> Option<Refusal> {
        let Damage { line, found } = self.damage.as_ref()?;
        let words = format!("its lines are damaged: a group code was due, '{found}' was found");
        Some(Refusal { code: "damaged-record", words, line: Some(*line) })
    }

    /// A record to read into.
    pub fn empty() -> Self {
        Self {
            name: b"",
            line: 0,
            groups: Vec::new(),
            present: [0; 4],
            cut_short: false,
            too_long: false,
            damage: None,
        }
    }

    fn push(&mut self, group: Group<'a>) {
        if let Some((word, bit)) = bit_of(group.code) {
            self.present[word] |= bit;
        }
        self.groups.push(group);
    }

    /// The first group with this code.
    fn first(&self, code: i32) -> Option<&Group<'a>> {
        let absent = bit_of(code).is_some_and(|(word, bit)| self.present[word] & bit == 0);
        if absent { None } else { self.groups.iter().find(|group| group.code == code) }
    }

    /// Whether a group with any of these codes, all below 256, is there.
    pub fn has_any(&self, codes: &[i32]) -> bool {
        codes.iter().filter_map(|&code| bit_of(code)).any(|(word, bit)| self.present[word] & bit != 0)
    }

    /// The characters of the first group with this code.
    pub fn text(&self, code: i32) -> Option<&'a [u8]> {
        self.first(code).map(Group::bytes)
    }

    /// The first number with this code, if there is one.
    pub fn real(&self, code: i32) -> Read<Option<f64>> {
        self.first(code).map(number).transpose()
    }

    /// The first number with this code or what the format says of a missing one.
    pub fn real_or(&self, code: i32, missing: f64) -> Read<f64> {
        Ok(self.real(code)?.unwrap_or(missing))
    }

    /// The first whole number with this code or what the format says of a missing one.
    pub fn whole_or(&self, code: i32, missing: i64) -> Read<i64> {
        let Some(group) = self.first(code) else { return Ok(missing) };
        group.whole().ok_or_else(|| not_a_number(group))
    }

    /// The point whose x has this code; a missing x or y is refused, a missing z is 0 as the format says.
    pub fn point(&self, code: i32) -> Read<Point3> {
        self.point_if_any(code)?
            .ok_or_else(|| Refusal::new("missing-value", format!("the coordinate with group code {code} is missing")))
    }

    /// The point whose x has this code, if it is there at all.
    pub fn point_if_any(&self, code: i32) -> Read<Option<Point3>> {
        let Some(x) = self.real(code)? else { return Ok(None) };
        let Some(y) = self.real(code + 10)? else {
            let words = format!("the coordinate with group code {} is missing", code + 10);
            return Err(Refusal::new("missing-value", words));
        };
        Ok(Some(Point3::new(x, y, self.real_or(code + 20, 0.0)?)))
    }
}

/// Where the bit of a code stands in `Record::present`.
fn bit_of(code: i32) -> Option<(usize, u64)> {
    let code = usize::try_from(code).ok().filter(|&code| code < 256)?;
    Some((code / 64, 1 << (code % 64)))
}

/// A group's number.
pub(super) fn number(group: &Group) -> Read<f64> {
    group.real().ok_or_else(|| not_a_number(group))
}

fn not_a_number(group: &Group) -> Refusal {
    let shown: String = String::from_utf8_lossy(group.bytes().trim_ascii()).chars().take(40).collect();
    let words = format!("group {} holds '{}', which is no number a drawing can use", group.code, shown.escape_debug());
    Refusal { code: "bad-number", words, line: Some(group.line) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn application_data_is_passed_over_however_deep() {
        let deep = "102\n{A\n".repeat(200_000);
        let close = "102\n}\n".repeat(200_000);
        let text = format!(
            "0\nLINE\n8\nA\n{deep}10\n99\n{close}10\n1\n1000\nx\n1010\n7\n20\n2\n101\nEmbedded Object\n10\n5\n0\nEOF\n"
        );
        let mut records = Records::new(text.as_bytes(), Decimals::Points);
        let mut record = Record::empty();
        assert!(records.read(&mut record).unwrap());
        assert_eq!(record.name, b"LINE");
        assert_eq!(record.point(10).unwrap(), Point3::new(1.0, 2.0, 0.0));
        assert_eq!(record.groups.len(), 3);
        assert!(records.read(&mut record).unwrap() && record.name == b"EOF");
        assert!(!records.read(&mut record).unwrap());
    }

    #[test]
    fn a_bad_number_names_its_line() {
        let mut records = Records::new(b"0\nLINE\n10\n1,5\n20\n0\n", Decimals::Points);
        let mut record = Record::empty();
        records.read(&mut record).unwrap();
        let refusal = record.point(10).unwrap_err();
        assert_eq!((refusal.code, refusal.line), ("bad-number", Some(4)));
        assert_eq!(record.point(11).unwrap_err().code, "missing-value");
    }
}
