//! Scales of a rule.

/// A scale as printed and as a factor.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Scale {
    /// `1/4" = 1'-0"`.
    pub words: String,
    /// Model inches per paper inch.
    pub factor: f64,
    /// Whether it is on an architect's scale; the rest are an engineer's, for what no architect's scale fits.
    pub architectural: bool,
}

/// The architect's scales from large to small.
const ARCHITECTURAL: [(&str, f64); 12] = [
    ("6\"", 2.0),
    ("3\"", 4.0),
    ("1 1/2\"", 8.0),
    ("1\"", 12.0),
    ("3/4\"", 16.0),
    ("1/2\"", 24.0),
    ("3/8\"", 32.0),
    ("1/4\"", 48.0),
    ("3/16\"", 64.0),
    ("1/8\"", 96.0),
    ("3/32\"", 128.0),
    ("1/16\"", 192.0),
];
/// Feet to the inch of an engineer's scale, from large to small, and on by tens.
const ENGINEER_FEET: [f64; 6] = [20.0, 30.0, 40.0, 50.0, 60.0, 100.0];

/// All scales from large to small; the engineer's go on to 1 in = 1,000,000 ft, beyond any drawing that is read.
pub(super) fn scales() -> Vec<Scale> {
    let architectural = ARCHITECTURAL.iter().map(|&(words, factor)| Scale {
        words: format!("{words} = 1'-0\""),
        factor,
        architectural: true,
    });
    let engineer = [1.0, 10.0, 100.0, 1000.0, 10_000.0].into_iter().flat_map(|ten| {
        ENGINEER_FEET.iter().map(move |feet| Scale {
            words: format!("1\" = {:.0}'", feet * ten),
            factor: feet * ten * 12.0,
            architectural: false,
        })
    });
    architectural.chain(engineer).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Factors printed in scale tables for drawing programs: 1/4 is 48, 1/8 is 96, 1/16 is 192.
    #[test]
    fn factors_are_those_of_the_rule() {
        let of = |words: &str| scales().iter().find(|s| s.words == words).map(|s| s.factor);
        assert_eq!(of("1/4\" = 1'-0\""), Some(48.0));
        assert_eq!(of("1 1/2\" = 1'-0\""), Some(8.0));
        assert_eq!(of("3/32\" = 1'-0\""), Some(128.0));
        assert_eq!(of("1\" = 20'"), Some(240.0));
        assert!(scales().windows(2).all(|w| w[0].factor < w[1].factor));
    }
}
