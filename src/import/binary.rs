//! Groups of a binary DXF file.
//!
//! # Source
//! DXF reference, "Binary DXF Files" and "Group Code Value Types": the sentinel, codes of two bytes (of one byte before R13, 255 announcing a
//! longer one), little-endian numbers, strings ending in a zero byte, the type of a value following from its code.

use super::group::Value;
use crate::error::{Error, Result};

/// How every binary file begins.
pub(super) const SENTINEL: &[u8] = b"AutoCAD Binary DXF\r\n\x1a\0";

/// How wide group codes are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Width {
    /// Before R13.
    Narrow,
    /// From R13.
    Wide,
}

impl Width {
    /// The first group is code 0 with the string `SECTION`, so a second zero byte belongs to the code.
    pub fn of(rest: &[u8]) -> Self {
        if rest.get(1) == Some(&0) { Self::Wide } else { Self::Narrow }
    }
}

fn take<'a, const N: usize>(rest: &mut &'a [u8]) -> Option<&'a [u8; N]> {
    let (taken, left) = rest.split_first_chunk::<N>()?;
    *rest = left;
    Some(taken)
}

/// The next group code; `None` at the end.
pub(super) fn code(rest: &mut &[u8], width: Width) -> Option<i32> {
    if width == Width::Narrow {
        let [code] = *take::<1>(rest)?;
        if code != 255 {
            return Some(i32::from(code));
        }
    }
    take::<2>(rest).map(|bytes| i32::from(i16::from_le_bytes(*bytes)))
}

/// The value of a group; `None` when the bytes end inside it.
///
/// # Errors
/// When the code is none of the format's: where the next group starts is then unknown.
pub(super) fn value<'a>(rest: &mut &'a [u8], code: i32) -> Result<Option<Value<'a>>> {
    Ok(match code {
        10..=59 | 110..=149 | 210..=239 | 460..=469 | 1010..=1059 => {
            take::<8>(rest).map(|bytes| Value::Real(f64::from_le_bytes(*bytes)))
        }
        60..=79 | 170..=179 | 270..=289 | 370..=389 | 400..=409 | 1060..=1070 => {
            take::<2>(rest).map(|bytes| Value::Whole(i16::from_le_bytes(*bytes).into()))
        }
        90..=99 | 420..=429 | 440..=459 | 1071 => {
            take::<4>(rest).map(|bytes| Value::Whole(i32::from_le_bytes(*bytes).into()))
        }
        160..=169 => take::<8>(rest).map(|bytes| Value::Whole(i64::from_le_bytes(*bytes))),
        290..=299 => take::<1>(rest).map(|bytes| Value::Whole(bytes[0].into())),
        310..=319 | 1004 => take::<1>(rest).and_then(|length| {
            let (chunk, left) = rest.split_at_checked(usize::from(length[0]))?;
            *rest = left;
            Some(Value::Text(chunk))
        }),
        0..=9 | 100..=109 | 300..=309 | 320..=369 | 390..=399 | 410..=419 | 430..=439 | 470..=481 | 999..=1009 => {
            rest.iter().position(|&byte| byte == 0).map(|end| {
                let text = &rest[..end];
                *rest = &rest[end + 1..];
                Value::Text(text)
            })
        }
        _ => {
            return Err(Error::unreadable("bad-group-code", format!("the binary file has a group code {code}"))
                .with_hint("the file is damaged from here on; save it again as ASCII DXF"));
        }
    })
}

#[cfg(test)]
mod tests {
    use super::super::group::{Decimals, Groups};
    use super::*;

    #[test]
    fn both_widths_of_code() {
        let wide =
            [SENTINEL, b"\0\0LINE\0", b"\x0a\0", &1.5_f64.to_le_bytes(), b"\x3e\0\xff\xff", b"\0\0EOF\0"].concat();
        let narrow = [SENTINEL, b"\0LINE\0", b"\x0a", &1.5_f64.to_le_bytes(), b"\x3e\xff\xff", b"\0EOF\0"].concat();
        for bytes in [wide, narrow] {
            let mut groups = Groups::new(&bytes, Decimals::Points);
            let mut next = || groups.next().unwrap();
            assert_eq!(next().map(|g| (g.code, g.bytes())), Some((0, &b"LINE"[..])));
            assert_eq!(next().map(|g| (g.code, g.real())), Some((10, Some(1.5))));
            assert_eq!(next().map(|g| (g.code, g.whole())), Some((62, Some(-1))));
            assert_eq!(next().map(|g| g.bytes()), Some(&b"EOF"[..]));
            assert!(next().is_none());
        }
    }

    #[test]
    fn a_code_the_format_has_not_stops_the_reading() {
        let bytes = [SENTINEL, b"\0\0LINE\0", b"\xf4\x01zzzz"].concat();
        let mut groups = Groups::new(&bytes, Decimals::Points);
        groups.next().unwrap();
        assert_eq!(groups.next().unwrap_err().code, "bad-group-code");
    }
}
