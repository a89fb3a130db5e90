//! Whole numbers as digits without the formatting machinery: a set of drawings writes hundreds of thousands of them, and that takes
//! several times as long for each.

/// Writes a whole number with at least `least` digits, at most twenty.
pub(super) fn push_whole(out: &mut String, mut value: u64, least: usize) {
    let mut digits = [b'0'; 20];
    let mut first = digits.len();
    while first > 0 && (value > 0 || digits.len() - first < least) {
        first -= 1;
        digits[first] = b'0' + (value % 10) as u8;
        value /= 10;
    }
    // Digits are always text; asking is a few steps for all of them, adding them one by one is several for each.
    out.push_str(std::str::from_utf8(&digits[first..]).unwrap_or_default());
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn digits_are_those_of_the_formatter() {
        for (value, least) in [(0, 1), (0, 2), (7, 3), (10, 1), (99, 2), (120, 2), (u64::MAX, 1)] {
            let mut out = String::from("x");
            push_whole(&mut out, value, least);
            assert_eq!(out, format!("x{value:0least$}"));
        }
    }
}
