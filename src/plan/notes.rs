//! Pitch notes and slope arrows are placed in the faces they stand in.

use super::model::{PlacedArrow, PlacedNote, PlanGraph};
use super::report::Report;
use crate::finding::{Finding, Place, Severity};
use crate::geometry::{Point2, Segment2, SegmentIndex, trig};
use crate::import::{Arrow, Note};
use crate::index::FaceId;
use crate::units::decimal;

/// Steepest rise in 12 that is believed in a note; steeper figures are something else.
const STEEPEST_IN_12: f64 = 30.0;

/// Shallowest rise in 12 that is believed in a note.
const SHALLOWEST_IN_12: f64 = 0.125;

/// The face that holds a point.
pub(super) struct FaceFinder {
    regions: Vec<crate::geometry::Region>,
    index: SegmentIndex,
}

impl FaceFinder {
    pub(super) fn new(plan: &PlanGraph) -> Self {
        let regions: Vec<_> = (0..plan.faces.len()).map(|face| plan.region(FaceId::new(face))).collect();
        let boxes: Vec<Segment2> = regions
            .iter()
            .map(|r| {
                r.exterior
                    .bounds()
                    .map_or(Segment2::new(Point2::default(), Point2::default()), |b| Segment2::new(b.min, b.max))
            })
            .collect();
        Self { regions, index: SegmentIndex::new(&boxes) }
    }

    /// The face a point lies in; the lowest id on a shared edge.
    pub(super) fn face_at(&self, point: Point2) -> Option<FaceId> {
        self.index.near(point, 0.0).into_iter().find(|&f| self.regions[f].contains(point)).map(FaceId::new)
    }

    /// The faces whose boxes meet an area, with their regions.
    pub(super) fn faces_meeting(
        &self,
        area: crate::geometry::Box2,
    ) -> impl Iterator<Item = (FaceId, &crate::geometry::Region)> {
        self.index.meeting(area).into_iter().map(|f| (FaceId::new(f), &self.regions[f]))
    }
}

/// The notes that give a pitch, each with its face.
pub(super) fn place_notes(notes: &[Note], finder: &FaceFinder, report: &mut Report) -> Vec<PlacedNote> {
    let mut placed = Vec::new();
    for note in notes {
        let pitch = match reading_of(&note.text) {
            Reading::Pitch(pitch) => pitch,
            Reading::Nothing => continue,
            Reading::Impossible(in_12) => {
                let message = format!(
                    "the pitch note '{}' says {} in 12, which no roof has (from {} to {}); it is not used",
                    note.text,
                    decimal(in_12, 2),
                    decimal(SHALLOWEST_IN_12, 3),
                    decimal(STEEPEST_IN_12, 0)
                );
                report.push(
                    Finding::new(Severity::Warning, "pitch-not-possible", message, Place::at(note.at))
                        .with_hint("correct the note, or give the pitch in the job file"),
                );
                continue;
            }
        };
        if let Some(face) = finder.face_at(note.at) {
            placed.push(PlacedNote { face, pitch, text: note.text.clone(), at: note.at, origin: note.origin });
        } else {
            let message = format!("the pitch note '{}' stands in no face and is not used", note.text);
            report.push(
                Finding::new(Severity::Ignored, "note-off-roof", message, Place::at(note.at))
                    .with_hint("move it into the face it speaks of, or give the pitch in the job file"),
            );
        }
    }
    placed
        .sort_by(|a, b| a.face.cmp(&b.face).then(super::draft::by_place(a.at, b.at)).then_with(|| a.text.cmp(&b.text)));
    placed
}

/// The slope arrows, each with the face its middle lies in.
pub(super) fn place_arrows(arrows: &[Arrow], finder: &FaceFinder, report: &mut Report) -> Vec<PlacedArrow> {
    let mut placed = Vec::new();
    for arrow in arrows {
        let middle = arrow.tail.lerp(arrow.head, 0.5);
        let Some(downhill) = (arrow.head - arrow.tail).unit() else { continue };
        if let Some(face) = finder.face_at(middle) {
            placed.push((middle, PlacedArrow { face, downhill, origin: arrow.origin }));
        } else {
            let message = "a slope arrow stands in no face and is not used";
            report.push(Finding::new(Severity::Ignored, "arrow-off-roof", message, Place::at(middle)));
        }
    }
    placed.sort_by(|(p, a), (q, b)| a.face.cmp(&b.face).then(super::draft::by_place(*p, *q)));
    placed.into_iter().map(|(_, arrow)| arrow).collect()
}

/// What a text says of pitch.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Reading {
    /// A pitch, as rise per run.
    Pitch(f64),
    /// A rise over 12 that is no roof's and no pitch beside it.
    Impossible(f64),
    /// Nothing.
    Nothing,
}

/// The pitch a text gives.
///
/// A pitch is a rise over a run of exactly 12 (`6:12`, `7 1/2 : 12`, `6/12`, `6 in 12`), an angle (`26.6°`, `26.6 deg`) or a
/// percentage, anywhere in the text. Scales (`1:50`, `1/4" = 1'-0"`), dates and bare numbers are none.
fn reading_of(text: &str) -> Reading {
    let lower = text.to_lowercase().replace(['∶', '：'], ":").replace('⁄', "/");
    // A scale names its lengths; a date or clock time has a third figure. Both are told apart where the figure stands.
    let chars: Vec<char> = lower.chars().collect();
    let (mut at, mut impossible) = (0, Reading::Nothing);
    while at < chars.len() {
        let begins = chars[at].is_ascii_digit() && !joined_before(&chars[..at]);
        if begins && let Some((rise, after)) = number_at(&chars, at) {
            match pitch_at(&chars, rise, after) {
                Some((pitch, _)) if (SHALLOWEST_IN_12..=STEEPEST_IN_12).contains(&(pitch * 12.0)) => {
                    return Reading::Pitch(pitch);
                }
                // A share of a hundred or an angle out of range speaks of something else: humidity, a plan's north.
                Some((pitch, Written::OverTwelve)) => impossible = Reading::Impossible(pitch * 12.0),
                _ => {}
            }
            at = skip_figure(&chars, at);
        } else {
            at += 1;
        }
    }
    impossible
}

/// How a pitch is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Written {
    /// As a rise over a run of 12.
    OverTwelve,
    /// As an angle or a share.
    Otherwise,
}

/// Whether what stands before a digit makes it part of something longer: a code, a decimal, a ratio, a date, a length.
fn joined_before(before: &[char]) -> bool {
    match before {
        [.., last] if last.is_alphanumeric() || matches!(last, '.' | ',' | '/' | '\'' | '#') => true,
        [.., earlier, '-' | ':'] => earlier.is_ascii_digit(),
        _ => false,
    }
}

/// The end of the digits and points from `at`.
fn skip_figure(chars: &[char], at: usize) -> usize {
    (at..chars.len()).find(|&i| !chars[i].is_ascii_digit() && chars[i] != '.').unwrap_or(chars.len())
}

/// The number at `at` (`6`, `6.5`, `7 1/2`, `7-1/2`) and what follows it.
fn number_at(chars: &[char], at: usize) -> Option<(f64, usize)> {
    let (whole, after) = plain_at(chars, at)?;
    if matches!(chars.get(after), Some(' ' | '-'))
        && let Some((above, slash)) = plain_at(chars, after + 1)
        && chars.get(slash) == Some(&'/')
        && let Some((below, end)) = plain_at(chars, slash + 1)
        && [2.0, 4.0, 8.0, 16.0].contains(&below)
        && above < below
    {
        return Some((whole + above / below, end));
    }
    if chars.get(after) == Some(&'/')
        && let Some((below, end)) = plain_at(chars, after + 1)
        && [2.0, 4.0, 8.0].contains(&below)
        && whole < below
    {
        return Some((whole / below, end));
    }
    Some(match chars.get(after) {
        Some('½') => (whole + 0.5, after + 1),
        Some('¼') => (whole + 0.25, after + 1),
        Some('¾') => (whole + 0.75, after + 1),
        _ => (whole, after),
    })
}

fn plain_at(chars: &[char], at: usize) -> Option<(f64, usize)> {
    let end = skip_figure(chars, at);
    let digits: String = chars[at.min(end)..end].iter().collect();
    digits.parse().ok().filter(|value: &f64| value.is_finite()).map(|value| (value, end))
}

/// The pitch when what follows a number makes it one.
fn pitch_at(chars: &[char], rise: f64, after: usize) -> Option<(f64, Written)> {
    let mut at = after;
    let skip_spaces = |at: &mut usize| {
        while chars.get(*at) == Some(&' ') {
            *at += 1
        }
    };
    skip_spaces(&mut at);
    let rest: String = chars[at..].iter().take(8).collect();
    let ends_word = |word: &str| rest.strip_prefix(word).is_some_and(|r| !r.starts_with(char::is_alphabetic));
    if rest.starts_with('°')
        || rest.starts_with('º')
        || ["deg", "degs", "degree", "degrees"].iter().any(|w| ends_word(w))
    {
        return (rise > 0.0 && rise < 70.0).then(|| (trig::tan(rise.to_radians()), Written::Otherwise));
    }
    if rest.starts_with('%') || ends_word("percent") {
        return Some((rise / 100.0, Written::Otherwise));
    }
    // A rise may carry an inch mark: 6" in 12", 6":12".
    if matches!(chars.get(at), Some('"' | '″')) {
        at += 1;
        skip_spaces(&mut at);
    }
    let rest: String = chars[at..].iter().take(8).collect();
    let mark = [":", "/", "in ", "on ", "over ", "-in-"].iter().find(|mark| rest.starts_with(**mark))?;
    at += mark.chars().count();
    skip_spaces(&mut at);
    let (run, end) = plain_at(chars, at)?;
    let next = chars.get(end).copied().unwrap_or(' ');
    // 3/12/24 is a date, 6/12-1 a code; 6:12 pitch, 6:12" and 6:12. are pitches.
    let goes_on = matches!(next, '/' | ':' | '-' | '\'') && chars.get(end + 1).is_some_and(char::is_ascii_digit);
    let longer = next.is_alphanumeric() || (next == '\'' && chars.get(end + 1) != Some(&'\''));
    (run == 12.0 && !goes_on && !longer).then_some((rise / 12.0, Written::OverTwelve))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pitches_are_read_and_scales_are_not() {
        for (text, in_12) in [
            ("6:12", 6.0),
            ("6/12", 6.0),
            ("6 in 12", 6.0),
            ("6 IN 12", 6.0),
            ("7:12 PITCHED ROOF", 7.0),
            ("SLOPE 6:12", 6.0),
            ("SLOPE: 6:12 TYP.", 6.0),
            ("7 1/2:12", 7.5),
            ("7-1/2 : 12", 7.5),
            ("7½:12", 7.5),
            ("6\" IN 12\"", 6.0),
            ("50%", 6.0),
            ("45°", 12.0),
            ("45 DEG. SLOPE", 12.0),
            ("SCALE 1:50, ROOF 4:12", 4.0),
            ("6:12.", 6.0),
            ("(6:12)", 6.0),
            ("1/4:12", 0.25),
        ] {
            let reading = reading_of(text);
            let right = matches!(reading, Reading::Pitch(pitch) if (pitch * 12.0 - in_12).abs() < 1e-9);
            assert!(right, "{text}: {reading:?}");
        }
        for text in [
            "1:50",
            "1:100",
            "1/4\" = 1'-0\"",
            "1/12",
            "12/12/2024",
            "6/12/24",
            "2024-06-12",
            "A6:12B",
            "R38",
            "6",
            "1:12.5",
            "120%",
            "300%",
            "12",
            "SCALE 1\" = 12'",
            "6:12:30",
            "SEE 6/A-12",
            "90°",
            "3' IN 12'",
        ] {
            let reading = reading_of(text);
            // One twelfth is a pitch; nobody writes a date so.
            assert!(reading == Reading::Nothing || ["1/12", "120%"].contains(&text), "{text}: {reading:?}");
        }
        for (text, in_12) in [("999:12", 999.0), ("31 in 12", 31.0), ("0:12", 0.0), ("SLOPE 80/12", 80.0)] {
            assert_eq!(reading_of(text), Reading::Impossible(in_12), "{text}");
        }
        // A good pitch beside it is taken.
        assert_eq!(reading_of("999:12 OR 6:12"), Reading::Pitch(0.5));
    }
}
